#include "rules/placing.h"

#include "model/site.h"
#include "resolve/value.h"

#include <math.h>
#include <string.h>

bool placing_room_is_certain(const struct room *r)
{
    return facts_known(r, WHOLE_ROOM) && !rules_room_is_old(r);
}

void placing_room_kinds(const struct checked *c, const struct room *r, kind_fn *each, void *data)
{
    for (uint32_t i = 0; i < r->kind_count; i++)
        each(c, r, r->kinds[i], data);
    for (uint32_t i = 0; i < r->areas.n; i++)
        each(c, r, r->areas.at[i].kind, data);
}

const char *placing_kind_for_rule(const struct checked *c, const struct rule *rule)
{
    struct code *code = &c->model->code;
    return code_cell_kind(code, COL_RULE_PLACES_KIND, code_rule_name(code, rule));
}

bool placing_kind_of_room(const struct checked *c, const struct room *r, const struct rule *rule)
{
    const char *kind = placing_kind_for_rule(c, rule);
    for (uint32_t i = 0; kind && i < r->kind_count; i++)
        if (library_kind_is(r->kinds[i], kind))
            return true;
    return false;
}

bool placing_room_for_rule(const struct checked *c, const struct room *r, const struct rule *rule)
{
    const char *kind = placing_kind_for_rule(c, rule);
    if (placing_kind_of_room(c, r, rule))
        return true;
    for (uint32_t i = 0; kind && i < r->areas.n; i++)
        if (library_kind_is(r->areas.at[i].kind, kind))
            return true;
    return false;
}

bool placing_device_is_receptacle(const struct device *d)
{
    return d->general;
}

bool placing_box_has_receptacle(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (placing_device_is_receptacle(b->devices[i]))
            return true;
    return false;
}

bool placing_box_is_open(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (placing_device_is_receptacle(b->devices[i]) &&
            b->devices[i]->def->sort != SORT_APPLIANCE)
            return true;
    return false;
}

/* A part that plugs take their current from, with no switch before it. */
static bool part_always_live(const struct part *p)
{
    return !p->control && !p->leg;
}

bool placing_box_always_live(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        for (uint32_t k = 0;
             placing_device_is_receptacle(b->devices[i]) && k < b->devices[i]->part_count; k++)
            if (part_always_live(&b->devices[i]->parts[k]))
                return true;
    return false;
}

RULE(box_height, "box-height", ERROR, WAIVABLE,
     "a receptacle that must be there is at a height where it counts");

void placing_say_height(const struct checked *c, const struct rule *missing, const struct box *b,
                        const char *wanted)
{
    struct finding *f = box_finding(
        c, &rule_box_height, b, "%s: its receptacle is %s up; the one that must be in %s is %s",
        address_of_box(c->model->arena, b, true), rules_feet(c, b->place.up),
        placing_room_words(c, b->room), wanted);
    f->article = code_article(&c->model->code, missing);
    diag_mend(c->model->diag, f, "move it, or set another one");
}

length placing_fixture_deep(const struct checked *c, const struct fixture *x)
{
    if (x->deep > 0)
        return x->deep;
    return code_cell_length(&c->model->code, COL_FIXED_THINGS_DEEP, x->word, 0);
}

/* Keeps of the share of a wall between `low` and `high` what lies in a band of one direction. */
static void clip(double from, double by, double least, double most, double *low, double *high)
{
    if (by == 0) {
        *high = from < least || from > most ? *low : *high;
        return;
    }
    double a = (least - from) / by, b = (most - from) / by;
    *low = fmax(*low, fmin(a, b));
    *high = fmin(*high, fmax(a, b));
}

void placing_floor_line_in_area(struct arena *arena, const struct floor_line *line,
                                const struct use_area *a, stretch_list *out)
{
    for (uint32_t i = 0; i < line->room->wall_count; i++) {
        const struct wall *w = &line->room->walls[i];
        double low = 0, high = 1;
        clip((double)w->left.x, (double)(w->right.x - w->left.x), (double)a->low.x,
             (double)a->high.x, &low, &high);
        clip((double)w->left.y, (double)(w->right.y - w->left.y), (double)a->low.y,
             (double)a->high.y, &low, &high);
        if (high > low)
            *vec_push(arena, out) = (struct stretch){
                space_floor_place(line, i, (length)llround(low * (double)w->length)),
                space_floor_place(line, i, (length)llround(high * (double)w->length))};
    }
    space_stretches_merge(out);
}

length placing_top_of_counter(const struct checked *c)
{
    return code_length(&c->model->code, SET_COUNTER_TOP_HEIGHT, 0);
}

bool placing_counter_has_rules(const struct checked *c, const struct room *r,
                               const struct fixture *x)
{
    struct code *code = &c->model->code;
    struct rectangle q = space_fixture_rectangle(r, x, 0);
    struct point middle = {(q.corner[0].x + q.corner[1].x) / 2,
                           (q.corner[0].y + q.corner[1].y) / 2};
    for (uint32_t i = 0; i < r->areas.n; i++) {
        const struct use_area *a = &r->areas.at[i];
        if (middle.x >= a->low.x && middle.x <= a->high.x && middle.y >= a->low.y &&
            middle.y <= a->high.y)
            return code_list_has_kind(code, LIST_COUNTER_PLACES, a->kind);
    }
    for (uint32_t i = 0; i < r->kind_count; i++)
        if (code_list_has_kind(code, LIST_COUNTER_PLACES, r->kinds[i]))
            return true;
    return false;
}

/* --- words -------------------------------------------------------------------------------- */

const char *placing_room_words(const struct checked *c, const struct room *r)
{
    return arena_printf(c->model->arena, "room '%s'", address_of_room(c->model->arena, r, true));
}

/* The part of a stretch that lies on one wall, from the wall's left end in the hand of the plan's
 * text: copies share it, their findings fall together, and the line that would mend them is meant.
 */
static struct stretch on_wall_as_written(const struct floor_line *line, uint32_t wall,
                                         struct stretch s)
{
    const struct wall *w = &line->room->walls[wall];
    length low = s.from - line->start[wall], high = s.to - line->start[wall];
    low = low < 0 ? 0 : low;
    high = high > w->length ? w->length : high;
    return w->mirrored ? (struct stretch){w->length - high, w->length - low}
                       : (struct stretch){low, high};
}

/* A stretch that goes all the way round comes back to the wall where it began, which is named once.
 */
const char *placing_walls_words(const struct checked *c, const struct floor_line *line,
                                struct stretch s)
{
    struct arena *arena = c->model->arena;
    const struct room *r = line->room;
    uint32_t count = r->wall_count, first = space_floor_wall(line, s.from), n = 1;
    for (length at = s.from - space_floor_from_left(line, s.from) + r->walls[first].length;
         at < s.to && n <= count; n++)
        at += r->walls[(first + n) % count].length;
    if (n == 1 && s.to - s.from < r->walls[first].length) {
        length round = s.from >= line->whole ? line->whole : 0;
        struct stretch own =
            on_wall_as_written(line, first, (struct stretch){s.from - round, s.to - round});
        return arena_printf(arena, "the %s wall from %s to %s", r->walls[first].written,
                            rules_feet(c, own.from), rules_feet(c, own.to));
    }
    const char *words = "";
    uint32_t named = n < count ? n : count;
    for (uint32_t i = 0; i < named; i++) {
        uint32_t k = r->walls[0].mirrored ? n - 1 - i : i;
        words = arena_listed(arena, words, i, named, r->walls[(first + k) % count].written);
    }
    return arena_printf(arena, "the %s wall%s", words, named > 1 ? "s" : "");
}

const char *placing_window_words(const struct checked *c, const struct floor_line *line,
                                 struct stretch window)
{
    length middle = window.from + (window.to - window.from) / 2,
           round = middle >= line->whole ? line->whole : 0;
    uint32_t i = space_floor_wall(line, middle);
    const struct wall *w = &line->room->walls[i];
    struct stretch own =
        on_wall_as_written(line, i, (struct stretch){window.from - round, window.to - round});
    if (own.from >= own.to)
        return arena_printf(c->model->arena, "at %s from the left end of the %s wall",
                            rules_feet(c, own.to), w->written);
    return arena_printf(c->model->arena, "between %s and %s from the left end of the %s wall",
                        rules_feet(c, own.from), rules_feet(c, own.to), w->written);
}

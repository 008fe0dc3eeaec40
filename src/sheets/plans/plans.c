/* The plan sheets: a level a sheet for each subject, or several that meet at match lines. */
#include "emit/words/devices.h"
#include "paper/place.h"
#include "sheets/plans/plan.h"

#include <string.h>

enum {
    SIDE = 62000,  /* the lists beside the plan */
    BELOW = 11000, /* the bar of the scale */
    MATCH = 4000,  /* between a tile and the edge of its field, for words along match lines */
    NORTH = 16000
};

static const char *const subject_words[] = {
    [PLAN_POWER] = "power",
    [PLAN_LIGHTS] = "lights and switches",
    [PLAN_ALARMS] = "alarms and low voltage",
    [PLAN_CEILING] = "ceiling",
};

static const char *const said_below[] = {
    [PLAN_POWER] = "receptacles, panels, appliances, home runs",
    [PLAN_LIGHTS] = "luminaires, fans, switches with their legs; lights overhead from the walls "
                    "west and south of them",
    [PLAN_ALARMS] = "alarms, data, television, bells",
    [PLAN_CEILING] = "joists, holes, cables over the ceiling; boxes overhead from the walls west "
                     "and south of them",
};

/* --- what stands beside the plan -------------------------------------------------------------- */

static void draw_north(const struct plan_view *v)
{
    um x = v->side.left + 6 * MM, y = v->side.top;
    struct spot point[3] = {{x, y}, {x - 3 * MM, y + 9 * MM}, {x + 3 * MM, y + 9 * MM}};
    paper_path(v->s, point, 3, true, (struct pen){BLACK, WHITE, LINE_EDGE, DASH_NONE});
    paper_text(v->s, x, y + 13 * MM,
               (struct lettering){.caps = CAPS_NAME, .bold = true, .anchor = AT_MIDDLE}, "N");
}

static void note(struct plan_view *v, const char *text)
{
    struct lettering l = {.caps = CAPS_NOTE};
    v->listed += 3200 * paper_write(v->s, v->side.left, v->listed + CAPS_NOTE,
                                    v->side.right - v->side.left, 3200, l, text);
}

static void write_notes(struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    const struct level *l = v->floor->level;
    v->listed = v->side.top + NORTH;
    if (v->subject == PLAN_POWER || v->subject == PLAN_LIGHTS)
        note(v, "Heights to the middle of boxes above the finished floor. Sizes of rooms from "
                "stud face to stud face.");
    if (v->subject == PLAN_POWER)
        note(v, "GFCI, AFCI: the device protects; in brackets: a device before it does; at a home "
                "run: the breaker. WP: weatherproof cover.");
    if (v->subject == PLAN_CEILING || v->subject == PLAN_LIGHTS)
        note(v, "W, S: to the middle of the box from the stud face west and south of it.");
    if (v->subject == PLAN_CEILING && l->joists.lumber.name)
        note(v, arena_printf(arena, "Joists %s at %s, running %s.", l->joists.lumber.name,
                             sheets_height(v->set, l->joists.spacing),
                             l->joists.running_north ? "north" : "east"));
    if (l->slab)
        note(v, "The floor is a concrete slab on the ground.");
    v->listed += MM;
}

/* --- match lines ------------------------------------------------------------------------------ */

static const struct plan_tile *neighbour(const struct plan_floor *f, const struct plan_tile *t,
                                         int east, int south)
{
    int at = (int)(t - f->tiles), x = at % (int)f->columns + east, y = at / (int)f->columns + south;
    if (x < 0 || y < 0 || x >= (int)f->columns || y >= (int)f->rows)
        return NULL;
    return &f->tiles[y * (int)f->columns + x];
}

static void draw_match(const struct plan_floor *f, const struct plan_tile *t, int east, int south)
{
    const struct plan_tile *other = neighbour(f, t, east, south);
    struct area a = t->field;
    if (!other || !other->page)
        return;
    struct sheet *s = t->page->s;
    um x = east < 0 ? a.left : a.right, y = south < 0 ? a.top : a.bottom;
    struct spot from = {east ? x : a.left, east ? a.top : y},
                to = {east ? x : a.right, east ? a.bottom : y};
    struct lettering l = {
        .caps = CAPS_WORDS, .bold = true, .anchor = AT_MIDDLE, .degrees = east ? -90 : 0};
    const char *words =
        arena_printf(t->page->set->r->arena, "match line: see %s", other->page->s->number);
    paper_begin(s, ROLE_FRAME, NULL, NULL);
    paper_line(s, from.x, from.y, to.x, to.y, (struct pen){BLACK, NO_INK, LINE_CUT, DASH_OUTDOORS});
    if (east)
        paper_text(s, east < 0 ? x - 2 * MM : x + CAPS_WORDS + 2 * MM, (a.top + a.bottom) / 2, l,
                   words);
    else
        paper_text(s, (a.left + a.right) / 2, south < 0 ? y - 2 * MM : y + CAPS_WORDS + 2 * MM, l,
                   words);
    paper_end(s);
}

/* --- what is to be done there ----------------------------------------------------------------- */

static void write_tasks(struct plan_view *v)
{
    uint32_t signs[OPEN_COUNT + 1] = {0}, old = 0, low = 0;
    static const char *const one[] = {"receptacle", "switch", "light", "alarm", "appliance"},
                             *const many[] = {"receptacles", "switches", "lights", "alarms",
                                              "appliances"};
    for (uint32_t i = 0; i < v->marks.n; i++)
        for (uint32_t k = 0; k < v->marks.at[i].count; k++) {
            const struct device *d = v->marks.at[i].devices[k];
            bool of_power = d && plan_shows_device(PLAN_POWER, v->marks.at[i].box, d);
            if (!d || v->marks.at[i].goes || (of_power && v->subject == PLAN_LIGHTS))
                continue;
            if (v->marks.at[i].signs[k].existing)
                old++;
            else if (d->def->sort == SORT_LOW_VOLTAGE)
                low++;
            else
                signs[words_opening_of(d->def)]++;
        }
    for (int i = 0; i < OPEN_COUNT; i++)
        if (signs[i])
            page_task(v->page, "%s", arena_counted(v->r->arena, signs[i], one[i], many[i]));
    if (low)
        page_task(v->page, "%s of low voltage",
                  arena_counted(v->r->arena, low, "outlet", "outlets"));
    if (old)
        page_task(v->page, "%u existing", old);
}

/* --- a sheet ---------------------------------------------------------------------------------- */

static struct area field_of(struct area inside)
{
    inside.right -= SIDE + 3 * MM;
    inside.bottom -= BELOW;
    return inside;
}

/* In the middle of its field, with room for dimensions on the left and below. */
static void lay_out(struct plan_view *v)
{
    um wide = paper_scaled(v->tile->high.x - v->tile->low.x, v->ratio),
       high = paper_scaled(v->tile->high.y - v->tile->low.y, v->ratio),
       spare_x = v->field.right - v->field.left - PLAN_BESIDE - wide,
       spare_y = v->field.bottom - v->field.top - PLAN_BESIDE - high;
    v->left = v->field.left + PLAN_BESIDE + (spare_x > 0 ? spare_x / 2 : 0);
    v->top = v->field.top + (spare_y > 0 ? spare_y / 2 : 0);
    v->tile->field = (struct area){v->left, v->top, v->left + wide, v->top + high};
}

static const char *title_of(const struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    const struct level *l = v->floor->level;
    const char *title = arena_printf(arena, "%s \xc2\xb7 %s", l->title ? l->title : l->name,
                                     subject_words[v->subject]);
    uint32_t all = v->floor->columns * v->floor->rows;
    return all > 1 ? arena_printf(arena, "%s, part %u of %u", title,
                                  (uint32_t)(v->tile - v->floor->tiles) + 1, all)
                   : title;
}

static void draw_tile(struct set *set, enum plan_subject subject, const struct plan_floor *floor,
                      struct plan_tile *tile)
{
    struct plan_view v = {.set = set,
                          .r = set->r,
                          .subject = subject,
                          .floor = floor,
                          .tile = tile,
                          .ratio = floor->ratio};
    struct plan_taken taken = {.arena = set->r->arena};
    v.taken = &taken;
    v.page = tile->page = page_begin(set, title_of(&v), said_below[subject]);
    v.s = v.page->s;
    v.page->level = floor->level;
    v.page->scale = scales_words(set, floor->ratio);
    v.field = field_of(v.page->inside);
    v.side = v.page->inside;
    v.side.left = v.side.right - SIDE;
    v.side.bottom -= BELOW;
    lay_out(&v);
    uint32_t first = v.s->marks.n;
    paper_clip(v.s, area_grown(tile->field, LINE_CUT));
    plan_draw_building(&v);
    plan_letter_legs(&v);
    plan_draw_ceiling(&v);
    plan_draw_going(&v);
    paper_unclip(v.s);
    plan_place_marks(&v);
    paper_clip(v.s, area_grown(tile->field, LINE_CUT));
    plan_draw_legs(&v);
    paper_unclip(v.s);
    plan_draw_arrows(&v);
    plan_draw_marks(&v);
    plan_draw_measures(&v);
    plan_name_rooms(&v);
    plan_write_wishes(&v);
    plan_draw_stairs(&v);
    draw_north(&v);
    write_notes(&v);
    plan_write_words(&v, first);
    page_scale_bar(v.page, v.page->inside.left, v.page->inside.bottom - 10 * MM, floor->ratio);
    write_tasks(&v);
    page_end(v.page);
}

/* A part of a level without anything of the subject is no sheet; the plan of power shows the whole
 * building. */
static bool is_empty(enum plan_subject subject, const struct plan_tile *t)
{
    return !t->rooms.n || (subject != PLAN_POWER && !t->boxes.n && !t->gone.n && !t->over.n);
}

/* Whether the level has something of the subject; power plans are drawn of every level. */
static bool has_any(enum plan_subject subject, const struct plan_floor *f)
{
    bool any = subject == PLAN_POWER;
    for (uint32_t i = 0; i < f->columns * f->rows && !any; i++) {
        const struct plan_tile *t = &f->tiles[i];
        any = t->boxes.n || t->gone.n || t->over.n;
    }
    return any;
}

static void draw_floor(struct set *set, enum plan_subject subject, struct plan_floor *f)
{
    uint32_t count = f->columns * f->rows;
    for (uint32_t i = 0; i < count; i++)
        if (!is_empty(subject, &f->tiles[i]))
            draw_tile(set, subject, f, &f->tiles[i]);
    for (uint32_t i = 0; i < count; i++) {
        if (!f->tiles[i].page)
            continue;
        for (int side = -1; side <= 1; side += 2) {
            draw_match(f, &f->tiles[i], side, 0);
            draw_match(f, &f->tiles[i], 0, side);
        }
    }
}

static void draw_subject(struct set *set, enum plan_subject subject)
{
    struct area field = field_of(page_room(set, NULL));
    struct plan_floor *floors = plan_floors(set, subject, field);
    for (uint32_t i = 0; i < set->r->model->levels.n; i++)
        if (floors[i].any && has_any(subject, &floors[i]))
            draw_floor(set, subject, &floors[i]);
}

void sheets_plan_power(struct set *set)
{
    draw_subject(set, PLAN_POWER);
}

void sheets_plan_lights(struct set *set)
{
    draw_subject(set, PLAN_LIGHTS);
}

void sheets_plan_alarms(struct set *set)
{
    draw_subject(set, PLAN_ALARMS);
}

void sheets_plan_ceiling(struct set *set)
{
    draw_subject(set, PLAN_CEILING);
}

#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "framing/mountings.h"
#include "model/address.h"
#include "paper/place.h"
#include "resolve/library.h"
#include "sheets/walls/wall.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

enum {
    PAD = 1500,    /* in a call-out */
    LINES = 12,    /* of one, at most */
    WIDE = 62000,  /* a line of one, at most */
    REACH = 90000, /* from a call-out to its box */
    NEAR = 14000,  /* from a cable's name to the cable */
    KEY = 5000,    /* a number in its circle */
    ROW = 3200     /* of the list */
};

/* What is written of a thing or a cable: a bold line where it is a box, and lines below. */
struct callout {
    const struct wall_thing *thing; /* NULL: a cable that passes, a box behind the wall, a door */
    bool either;                    /* in larger letters where there is room for them */
    const char *subject;
    const char *line[LINES];
    uint32_t count;
};

struct words {
    const struct wall_view *v;
    struct placer *placer;
    VEC(struct callout) callouts;
};

/* --- what is said ----------------------------------------------------------------------------- */

static void say(struct callout *c, const char *text)
{
    if (text && *text && c->count < LINES)
        c->line[c->count++] = text;
}

/* "3-gang, 44 in3, left of stud 5". */
static const char *box_words(const struct results *r, const struct box *b)
{
    const struct box_view *view = view_of_box(r, b);
    const struct box_type *type = view->fill->type;
    const char *stand = words_stand_by(r->arena, &r->routes->mountings->of_box[b->id]),
               *kind = b->existing    ? view->type_words
                       : !type        ? NULL
                       : !type->gangs ? "round box"
                                      : arena_printf(r->arena, "%u-gang", type->gangs);
    if (!kind)
        return stand;
    if (!b->existing && view->fill->volume > 0)
        kind = arena_printf(r->arena, "%s, %g in\xc2\xb3", kind, view->fill->volume);
    return stand ? arena_printf(r->arena, "%s, %s", kind, stand) : kind;
}

/* "12/2 P9, home run" or "14/3 to S2". */
static const char *cable_words(const struct results *r, const struct box *b, const struct run *run)
{
    const struct run_view *view = view_of_run(r, run);
    const char *cable = view->cable ? view->cable : "cable";
    bool from = run->from.box == b;
    struct end other = from ? run->to : run->from;
    if (view->home_run)
        return arena_printf(r->arena, "%s %s \xe2\x86\x91 home run", cable,
                            run->circuit ? words_mark(r, run->circuit) : view->work);
    return arena_printf(r->arena, "%s %s %s", cable, from ? "to" : "from",
                        other.box && other.box->room == b->room
                            ? other.box->name
                            : address_of_end(r->arena, other, false));
}

static void say_devices(const struct results *r, const struct box *b, struct callout *c)
{
    const struct box_view *view = view_of_box(r, b);
    for (uint32_t i = 0; i < b->device_count; i++)
        say(c, b->device_count > 1
                   ? arena_printf(r->arena, "%c %s", (char)('a' + i % 26), view->devices[i])
                   : view->devices[i]);
}

static void say_cables(const struct results *r, const struct box *b, struct callout *c)
{
    for (uint32_t i = 0; i < b->runs.n; i++)
        say(c, cable_words(r, b, b->runs.at[i]));
    for (uint32_t i = 0; i < b->low_voltage.n; i++)
        say(c, cable_words(r, b, b->low_voltage.at[i]));
}

static struct callout callout_of(const struct wall_view *v, const struct wall_thing *t)
{
    const struct results *r = v->index->r;
    struct callout c = {.thing = t, .subject = wall_thing_address(v->index, t), .either = true};
    say(&c, arena_printf(r->arena, "%s  %s", t->name, sheets_height(v->set, t->place->up)));
    if (t->goes) {
        say(&c, "existing, is taken out");
    } else if (t->panel) {
        say(&c, t->panel->title);
        say(&c, t->panel->existing ? "panel, existing" : "panel");
    } else {
        say(&c, box_words(r, t->box));
        say_devices(r, t->box, &c);
        say_cables(r, t->box, &c);
    }
    return c;
}

/* --- where it stands -------------------------------------------------------------------------- */

static struct lettering line_letters(const struct callout *c, uint32_t i, bool small)
{
    bool name = c->thing && i == 0;
    return (struct lettering){.caps = name    ? CAPS_NAME
                                      : small ? CAPS_NOTE
                                              : CAPS_WORDS,
                              .bold = name};
}

static um line_row(const struct callout *c, uint32_t i, bool small)
{
    return line_letters(c, i, small).caps * 3 / 2;
}

static struct place_shape shape_of(const struct wall_view *v, const struct callout *c, bool small)
{
    struct place_shape s = {.width = 0, .height = 2 * PAD, .cost = small ? 60 : 0};
    for (uint32_t i = 0; i < c->count; i++) {
        um wide = paper_text_width(v->s, line_letters(c, i, small), c->line[i]);
        wide = wide > WIDE ? WIDE : wide;
        s.width = wide > s.width ? wide : s.width;
        s.height += line_row(c, i, small);
    }
    s.height -= line_row(c, c->count - 1, small) / 3;
    s.width += 2 * PAD;
    return s;
}

static void ask(struct words *w, struct callout c, struct area thing, uint32_t group, um reach,
                bool keyed)
{
    struct place_label label = {.thing = thing,
                                .round = c.thing && c.thing->round,
                                .group = group,
                                .shape_count = c.either ? 2 : 1,
                                .priority = c.thing ? 10 : 0,
                                .reach = reach};
    label.shapes[0] = shape_of(w->v, &c, !c.either);
    label.shapes[1] = shape_of(w->v, &c, true);
    if (keyed)
        label.key = (struct place_shape){.width = KEY, .height = KEY};
    place_label(w->placer, &label);
    *vec_push(w->v->index->r->arena, &w->callouts) = c;
}

static void ask_things(struct words *w)
{
    const struct wall_view *v = w->v;
    for (uint32_t i = 0; i < v->things.n; i++) {
        struct area a = wall_thing_area(v, &v->things.at[i]);
        place_thing(w->placer, a, i + 1);
        ask(w, callout_of(v, &v->things.at[i]), a, i + 1, REACH, true);
    }
    for (uint32_t i = 0; i < v->behind.n; i++) {
        struct area a = wall_thing_area(v, &v->behind.at[i]);
        struct callout c = {.subject = NULL};
        say(&c, v->behind.at[i].name);
        ask(w, c, a, v->things.n + i + 1, NEAR, false);
    }
}

static bool ends_here(const struct wall_view *v, struct end end)
{
    const struct place *p = end.box ? &end.box->place : &end.panel->place;
    const struct room *room = end.box ? end.box->room : end.panel->room;
    return room == v->room && p->where == ON_WALL && p->wall == v->number;
}

static um long_is(const struct wall_stretch *s)
{
    return llabs(s->to.x - s->from.x) + llabs(s->to.y - s->from.y);
}

/* The cables that come from elsewhere and go on elsewhere, each named at its longest stretch. */
static void ask_passing(struct words *w, const wall_stretches *stretches)
{
    const struct results *r = w->v->index->r;
    struct map longest = {0}; /* (0, run) -> struct wall_stretch */
    VEC(const struct run *) passing = {0};
    for (uint32_t i = 0; i < stretches->n; i++) {
        struct wall_stretch *s = &stretches->at[i], *best;
        if (!run_is_whole(s->run) || ends_here(w->v, s->run->from) || ends_here(w->v, s->run->to))
            continue;
        void **at = map_at(r->arena, &longest, 0, (uintptr_t)s->run);
        best = *at;
        if (!best)
            *vec_push(r->arena, &passing) = s->run;
        if (!best || long_is(s) > long_is(best))
            *at = s;
    }
    for (uint32_t i = 0; i < passing.n; i++) {
        const struct wall_stretch *s = map_get(&longest, 0, (uintptr_t)passing.at[i]);
        if (long_is(s) < MM) /* it only touches the end of the wall */
            continue;
        const struct run_view *view = view_of_run(r, passing.at[i]);
        um x = (s->from.x + s->to.x) / 2, y = (s->from.y + s->to.y) / 2;
        struct callout c = {.subject = NULL};
        say(&c, arena_printf(r->arena, "%s%s%s \xe2\x86\x92 %s", view->cable ? view->cable : "",
                             view->cable ? " " : "", view->from, view->to));
        ask(w, c, (struct area){x - 1, y - 1, x + 1, y + 1},
            w->v->things.n + w->v->behind.n + i + 1, NEAR, true);
    }
}

/* Words that stay inside what they name, about its middle; left out where there is no room. */
static void ask_inside(struct words *w, struct callout c, struct area a)
{
    struct arena *arena = w->v->index->r->arena;
    struct spot *outline = arena_array(arena, struct spot, 4);
    um x = (a.left + a.right) / 2, y = (a.top + a.bottom) / 2;
    c.either = true;
    outline[0] = (struct spot){a.left, a.top};
    outline[1] = (struct spot){a.right, a.top};
    outline[2] = (struct spot){a.right, a.bottom};
    outline[3] = (struct spot){a.left, a.bottom};
    struct place_label label = {.thing = {x - 1, y - 1, x + 1, y + 1},
                                .group = w->v->things.n + w->v->behind.n + w->callouts.n + 1,
                                .shape_count = 2,
                                .region = outline,
                                .region_count = 4,
                                .reach = PLACE_UNLED};
    label.shapes[0] = shape_of(w->v, &c, false);
    label.shapes[1] = shape_of(w->v, &c, true);
    place_label(w->placer, &label);
    *vec_push(arena, &w->callouts) = c;
}

/* Says it in lines no wider than the area. */
static void say_within(const struct wall_view *v, struct callout *c, struct area a,
                       const char *text)
{
    const char *const *lines;
    uint32_t count = paper_lines(v->s, a.right - a.left - 2 * PAD,
                                 (struct lettering){.caps = CAPS_NOTE}, text, &lines);
    for (uint32_t i = 0; i < count; i++)
        say(c, lines[i]);
}

/* "door 2'-10\"", "to Landing". Where it leads is known as well where the other room has it. */
static struct callout opening_words(const struct wall_view *v, const struct fixture *x,
                                    const struct room *of, struct area a)
{
    struct arena *arena = v->index->r->arena;
    const struct room *to = of != v->room ? of : x->to;
    struct callout c = {.subject = NULL};
    say_within(v, &c, a, arena_printf(arena, "%s %s", x->word, sheets_distance(v->set, x->wide)));
    if (x->title)
        say_within(v, &c, a, x->title);
    if (to)
        say_within(v, &c, a, arena_printf(arena, "to %s", to->title ? to->title : to->name));
    else if (x->to_outside)
        say_within(v, &c, a, "to outside");
    return c;
}

static void ask_fixtures(struct words *w)
{
    const struct wall_view *v = w->v;
    struct area a;
    for (const struct rough_opening *o = NULL; v->line && (o = wall_next_opening(v, o));) {
        length lo = frame_from_left_of(v->face, o->lo), hi = frame_from_left_of(v->face, o->hi);
        struct fixture seen = *o->fixture; /* as it lies on this side */
        seen.from_left = lo < hi ? lo : hi;
        if (o->jacks && wall_fixture_area(v, &seen, &a))
            ask_inside(w, opening_words(v, o->fixture, o->room, a), a);
    }
    for (uint32_t i = 0; i < v->room->fixtures.n; i++) {
        const struct fixture *x = &v->room->fixtures.at[i];
        if (x->wall != v->number || !wall_fixture_area(v, x, &a))
            continue;
        struct callout c = {.subject = NULL};
        say_within(v, &c, a, x->title ? x->title : x->word);
        if (x->sort == FIXTURE_OTHER)
            ask_inside(w, c, a);
        else if (!v->line)
            ask_inside(w, opening_words(v, x, v->room, a), a);
    }
}

/* --- drawing ---------------------------------------------------------------------------------- */

static void draw_words(const struct wall_view *v, const struct callout *c, const struct placed *p)
{
    bool small = p->shape == 1 || !c->either;
    um y = p->box.top + PAD;
    place_draw_leader(v->s, p, c->subject);
    paper_begin(v->s, ROLE_LABEL, c->subject, NULL);
    if (c->thing)
        paper_rect(v->s, p->box, 0, (struct pen){BLACK, WHITE, LINE_THIN, DASH_NONE});
    for (uint32_t i = 0; i < c->count; i++) {
        struct lettering l = line_letters(c, i, small);
        if (!c->thing)
            l.halo = PLACE_HALO;
        paper_text(v->s, p->box.left + PAD, y + l.caps, l,
                   paper_cut(v->s, l, p->box.right - p->box.left - 2 * PAD + MM / 10, c->line[i]));
        y += line_row(c, i, small);
    }
    paper_end(v->s);
}

static void draw_key(const struct wall_view *v, const struct callout *c, const struct placed *p)
{
    um x = (p->box.left + p->box.right) / 2, y = (p->box.top + p->box.bottom) / 2;
    place_draw_leader(v->s, p, c->subject);
    paper_begin(v->s, ROLE_LABEL, c->subject, NULL);
    paper_circle(v->s, x, y, KEY / 2, (struct pen){BLACK, WHITE, LINE_THIN, DASH_NONE});
    paper_text(v->s, x, y + CAPS_NOTE / 2,
               (struct lettering){.caps = CAPS_NOTE, .bold = true, .anchor = AT_MIDDLE},
               arena_printf(v->index->r->arena, "%u", p->number));
    paper_end(v->s);
}

/* "3 S1 48\": 3-gang, left of stud 5; ...". */
static void tell(struct buf *b, const struct callout *c, const struct placed *p)
{
    if (p->how == PLACED_KEY)
        buf_printf(b, "%u ", p->number);
    for (uint32_t i = 0; i < c->count; i++)
        buf_printf(b, "%s%s", i ? i == 1 ? ": " : "; " : "", c->line[i]);
}

/* What the list tells, in the order of its numbers, and what has none behind it; how much that is.
 */
static uint32_t listed(const struct words *w, const struct placed *placed, uint32_t *order)
{
    uint32_t keys = 0, n = 0;
    for (uint32_t i = 0; i < w->callouts.n; i++)
        keys += placed[i].how == PLACED_KEY;
    for (uint32_t i = 0; i < w->callouts.n; i++) {
        if (placed[i].how == PLACED_KEY)
            order[placed[i].number - 1] = i;
        else if (placed[i].how == PLACED_NOWHERE && w->callouts.at[i].thing)
            order[keys + n++] = i;
    }
    return keys + n;
}

/* One behind the other, as many as there is room for. */
static void draw_list(const struct words *w, const struct placed *placed, struct area list)
{
    const struct lettering l = {.caps = CAPS_NOTE};
    struct sheet *s = w->v->s;
    uint32_t *order = arena_array(w->v->index->r->arena, uint32_t, w->callouts.n + 1),
             count = listed(w, placed, order), told = 0,
             rows = (uint32_t)((list.bottom - list.top - CAPS_NOTE) / ROW) + 1;
    struct buf b = {0};
    um width = list.right - list.left;
    struct paper_growing g = {.width = width};
    for (; told < count; told++) {
        size_t before = b.n;
        buf_puts(&b, told ? "  \xc2\xb7  " : "");
        tell(&b, &w->callouts.at[order[told]], &placed[order[told]]);
        buf_text(&b);
        paper_grow(s, l, &g, b.at + before);
        if (g.rows > rows - (told + 1 < count)) {
            b.n = before;
            break;
        }
    }
    if (told < count)
        buf_printf(&b, "%sand %u more: see the box cards", told ? "  \xc2\xb7  " : "",
                   count - told);
    paper_begin(s, ROLE_NOTE, NULL, NULL);
    if (b.n)
        paper_write_within(s, list.left, list.top + CAPS_NOTE, width, ROW, rows, l, buf_text(&b));
    paper_end(s);
    buf_free(&b);
}

void wall_write_words(const struct wall_view *v, uint32_t first, const wall_stretches *stretches,
                      struct area list)
{
    static const struct place_cost costs[ROLE_COUNT] = {
        [ROLE_FRAMING] = {1, 0},
        [ROLE_FIXED] = {6, 0},
        [ROLE_CABLE] = {PLACE_NEVER, 60},
        [ROLE_DIMENSION] = {PLACE_NEVER, 300},
        [ROLE_LABEL] = {PLACE_NEVER, PLACE_NEVER},
    };
    struct words w = {.v = v, .placer = place_new(v->index->r->arena, v->words)};
    place_trust_leaders(w.placer); /* a call-out has a leader */
    place_drawn(w.placer, v->s, first, costs);
    wall_block_headers(v, w.placer);
    ask_things(&w);
    ask_fixtures(&w);
    ask_passing(&w, stretches);
    const struct placed *placed = place_solve(w.placer);
    for (uint32_t i = 0; i < w.callouts.n; i++) {
        if (placed[i].how == PLACED_WORDS)
            draw_words(v, &w.callouts.at[i], &placed[i]);
        else if (placed[i].how == PLACED_KEY)
            draw_key(v, &w.callouts.at[i], &placed[i]);
    }
    draw_list(&w, placed, list);
}

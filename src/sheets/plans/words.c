/* What is written on a plan: names of rooms where they are free, call-outs of boxes, panels and
 * arrows by the placer, and beside the plan the list of legs and of what has a number. */
#include "base/sort.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/places.h"
#include "facts/devices.h"
#include "facts/existing.h"
#include "facts/facts.h"
#include "facts/places.h"
#include "framing/mountings.h"
#include "model/address.h"
#include "paper/place.h"
#include "sheets/plans/plan.h"
#include "wiring/protect.h"
#include "wiring/wiring.h"

#include <math.h>
#include <string.h>

enum {
    CLEAR = 900,   /* round words */
    LINES = 4,     /* of a call-out, at most */
    REACH = 45000, /* from it to its box */
    CABLE_REACH = 12000,
    KEY = 5000, /* a number in its circle */
    SHAPES = 4, /* stacked or in a row, in large or small letters */
    SMALL = 2,  /* the first in small ones, then those in a row */
    SMALL_ROW = 3,
    MANY_CABLES = 20 /* more on a sheet have numbers there, and their names in a list */
};

/* --- names of rooms --------------------------------------------------------------------------- */

struct room_words {
    const char *name, *size, *more;
};

const char *plan_room_name(const struct plan_view *v, const struct room *room)
{
    const char *name = room->title ? room->title : room->name;
    return room->unit && v->r->model->units.n > 1
               ? arena_printf(v->r->arena, "%s %s", room->unit->name, name)
               : name;
}

static const char *ceiling_words(const struct plan_view *v, const struct room *room)
{
    struct arena *arena = v->r->arena;
    const char *at = sheets_distance(v->set, room_overhead(room)), *words;
    if (plan_is_outdoors(v, room))
        return room->existing ? "existing" : "outdoors";
    words = arena_printf(arena, "ceiling %s%s", at, room->closed_ceiling ? ", closed" : "");
    return room->existing ? arena_printf(arena, "%s, existing", words) : words;
}

static struct room_words words_of_room(const struct plan_view *v, const struct room *room)
{
    struct room_words w = {.name = plan_room_name(v, room), .more = ceiling_words(v, room)};
    if (room->wall_count == 4)
        w.size = arena_printf(v->r->arena, "%s \xc3\x97 %s",
                              sheets_distance(v->set, room->high.x - room->low.x),
                              sheets_distance(v->set, room->high.y - room->low.y));
    return w;
}

static bool is_over(const struct plan_view *v, const struct room *room, struct spot p)
{
    bool in = false;
    for (uint32_t w = 0; w < room->wall_count; w++) {
        struct spot a = plan_spot_of(v, room->walls[w].left),
                    b = plan_spot_of(v, room->walls[w].right);
        if ((a.y > p.y) != (b.y > p.y) && (double)p.x < (double)a.x + (double)(b.x - a.x) *
                                                                          (double)(p.y - a.y) /
                                                                          (double)(b.y - a.y))
            in = !in;
    }
    return in;
}

static struct area room_area(const struct plan_view *v, const struct room *room)
{
    struct area a = {plan_x(v, room->low.x), plan_y(v, room->high.y), plan_x(v, room->high.x),
                     plan_y(v, room->low.y)};
    a.left = a.left < v->tile->field.left ? v->tile->field.left : a.left;
    a.right = a.right > v->tile->field.right ? v->tile->field.right : a.right;
    a.top = a.top < v->tile->field.top ? v->tile->field.top : a.top;
    a.bottom = a.bottom > v->tile->field.bottom ? v->tile->field.bottom : a.bottom;
    return a;
}

bool plan_find_free(const struct plan_view *v, const struct room *room, um wide, um high,
                    unsigned by, struct area *found)
{
    enum { PARTS = 32 };
    struct area in = room_area(v, room);
    um dx = (in.right - in.left - wide) / 2, dy = (in.bottom - in.top - high) / 2,
       x = (in.left + in.right) / 2, y = (in.top + in.bottom) / 2;
    double least = -1;
    if (dx < 0 || dy < 0)
        return false;
    for (um i = -PARTS; i <= PARTS; i++)
        for (um k = -PARTS; k <= PARTS; k++) {
            um cx = x + dx * i / PARTS, cy = y + dy * k / PARTS;
            double off = hypot((double)(cx - x), (double)(cy - y));
            struct area a = {cx - wide / 2, cy - high / 2, cx + wide / 2, cy + high / 2};
            if ((least >= 0 && off >= least) || plan_meets(v->taken, area_grown(a, MM / 2), by) ||
                !is_over(v, room, (struct spot){cx, cy}))
                continue;
            least = off;
            *found = a;
        }
    return least >= 0;
}

static um line_of(const struct plan_view *v, struct area a, um y, um caps, bool bold,
                  const char *text)
{
    struct lettering l = {.caps = caps, .bold = bold, .anchor = AT_MIDDLE, .halo = PLACE_HALO};
    if (!text)
        return y;
    paper_text(v->s, (a.left + a.right) / 2, y + caps, l, text);
    return y + caps * 3 / 2;
}

/* With its size and ceiling, else its name alone, in letters as large as there is room for. */
static bool name_room(struct plan_view *v, const struct room *room)
{
    static const unsigned shunned[] = {BY_WALL | BY_SIGN | BY_STEM | BY_LINE | BY_DOOR | BY_WORDS |
                                           BY_THING,
                                       BY_WALL | BY_SIGN | BY_STEM | BY_LINE | BY_WORDS};
    static const um name_caps[] = {CAPS_NAME, CAPS_NAME, CAPS_NAME, CAPS_WORDS, CAPS_NOTE},
                    more_caps[] = {CAPS_WORDS, CAPS_NOTE, 0, 0, 0};
    struct room_words w = words_of_room(v, room);
    struct area a;
    for (size_t s = 0; s < sizeof name_caps / sizeof *name_caps; s++) {
        um caps = name_caps[s], more = more_caps[s],
           wide = paper_text_width(v->s, (struct lettering){.caps = caps, .bold = true}, w.name),
           high = caps;
        const char *lines[] = {w.size, w.more};
        for (int i = 0; more && i < 2; i++) {
            um one =
                lines[i] ? paper_text_width(v->s, (struct lettering){.caps = more}, lines[i]) : 0;
            wide = one > wide ? one : wide;
            high += lines[i] ? more * 3 / 2 + (i ? 0 : caps / 2) : 0;
        }
        for (size_t k = 0; k < sizeof shunned / sizeof *shunned; k++) {
            if (!plan_find_free(v, room, wide, high + MM, shunned[k], &a))
                continue;
            paper_begin(v->s, ROLE_ROOM_NAME, address_of_room(v->r->arena, room, false), NULL);
            um y = line_of(v, a, a.top, caps, true, w.name);
            if (more)
                line_of(v, a, line_of(v, a, y, more, false, w.size), more, false, w.more);
            paper_end(v->s);
            plan_take(v->taken, a, BY_WORDS);
            return true;
        }
    }
    return false;
}

void plan_name_rooms(struct plan_view *v)
{
    for (uint32_t i = 0; i < v->tile->rooms.n; i++)
        if (!name_room(v, v->tile->rooms.at[i]))
            *vec_push(v->r->arena, &v->unnamed) = v->tile->rooms.at[i];
}

/* --- what is said of a box -------------------------------------------------------------------- */

struct callout {
    const struct plan_mark *mark; /* NULL: of an arrow, cable or room */
    const struct room *room;      /* whose name it is; else NULL */
    const struct run *run;        /* whose cable it is; else NULL */
    uint32_t first;               /* of its shapes */
    struct area thing;            /* that it stands beside */
    const char *subject;
    const char *line[LINES];
    uint32_t count;
};

struct words {
    struct plan_view *v;
    struct placer *placer;
    VEC(struct callout) callouts;
};

static void say(struct callout *c, const char *text)
{
    if (text && *text && c->count < LINES)
        c->line[c->count++] = text;
}

static const char *joined(struct arena *arena, const char *a, const char *b)
{
    return !a || !*a ? b : !b || !*b ? a : arena_printf(arena, "%s %s", a, b);
}

/* "P7", or "M7 P7"; NULL where no circuit comes. */
static const char *circuits_words(const struct plan_view *v, const struct box *b)
{
    const char *words = NULL;
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct circuit *c = b->runs.at[i]->circuit;
        bool known = !c;
        for (uint32_t k = 0; k < i && !known; k++)
            known = b->runs.at[k]->circuit == c;
        if (!known)
            words = joined(v->r->arena, words, words_mark(v->r, c));
    }
    return words;
}

/* GFCI and AFCI of the device itself; in brackets that of another device before it. What a breaker
 * does is told at the home run. */
static const char *guard_words(struct plan_view *v, const struct device *d)
{
    struct arena *arena = v->r->arena;
    bool gfci = false, afci = false;
    for (uint32_t k = 0; k < d->part_count; k++) {
        const struct protected_part *p =
            wiring_protected_part(sheets_protected(v->set), &d->parts[k]);
        if (!p->known)
            continue;
        gfci |= p->gfci.device != NULL;
        afci |= p->afci.device != NULL;
    }
    const char *own = d->def->protects == PROTECTS_BOTH  ? "GFCI AFCI"
                      : d->def->protects & PROTECTS_GFCI ? "GFCI"
                      : d->def->protects & PROTECTS_AFCI ? "AFCI"
                                                         : "",
               *from = "";
    if (gfci && !(d->def->protects & PROTECTS_GFCI))
        from = "(GFCI)";
    if (afci && !(d->def->protects & PROTECTS_AFCI))
        from = joined(arena, from, "(AFCI)");
    return joined(arena, own, from);
}

static const char *device_marks(struct plan_view *v, const struct plan_mark *m, uint32_t i)
{
    struct arena *arena = v->r->arena;
    const struct device *d = m->devices[i];
    const char *words = NULL;
    if (!d || v->subject != PLAN_POWER)
        return NULL;
    if (d->def->two_line && d->part_count)
        words = d->def->rating > 0
                    ? arena_printf(arena, "%g V %g A", d->parts[0].volts, d->def->rating)
                    : arena_printf(arena, "%g V", d->parts[0].volts);
    if (d->title)
        words = joined(arena, d->title, words);
    else if (!strcmp(m->signs[i].letters, "EQUIP"))
        words = joined(arena, device_item(v->r, d), words);
    if (!m->goes)
        words = joined(arena, words, guard_words(v, d));
    return words;
}

/* Rain comes to it: its cover is a weatherproof one. */
static bool is_weathered(const struct plan_view *v, const struct box *b)
{
    return b->device_count && facts_is_weathered(v->r->model, b) == ANSWER_YES;
}

static const char *marks_words(struct plan_view *v, const struct plan_mark *m)
{
    const char *words = NULL;
    for (uint32_t i = 0; i < m->count; i++) {
        const char *one = device_marks(v, m, i);
        if (one && (!words || !strstr(words, one)))
            words = joined(v->r->arena, words, one);
    }
    if (!m->goes && v->subject == PLAN_POWER && is_weathered(v, m->box))
        words = joined(v->r->arena, words, "WP");
    return words;
}

static const char *state_words(const struct plan_mark *m)
{
    const struct box *b = m->box;
    return m->goes              ? "goes"
           : !b->existing       ? NULL
           : facts_is_opened(b) ? "existing, opened"
                                : "existing";
}

/* The letters of the legs that work what is in the box. */
static const char *load_legs(const struct plan_view *v, const struct plan_mark *m)
{
    const char *words = NULL;
    for (uint32_t i = 0; i < m->count; i++)
        for (uint32_t k = 0; m->devices[i] && k < m->devices[i]->part_count; k++) {
            const struct part *p = &m->devices[i]->parts[k];
            const char *letter =
                p->leg && !p->control ? map_get(&v->leg_letters, 0, (uintptr_t)p->leg) : NULL;
            if (letter && (!words || !strstr(words, letter)))
                words = words ? arena_printf(v->r->arena, "%s,%s", words, letter) : letter;
        }
    return words;
}

/* How far it is to the wall of the room west or south of a point; negative where there is none. */
static length to_wall(const struct room *room, struct point p, bool west)
{
    length best = -1;
    for (uint32_t w = 0; w < room->wall_count; w++) {
        struct point a = room->walls[w].left, b = room->walls[w].right;
        length pa = west ? a.y : a.x, pb = west ? b.y : b.x, at = west ? p.y : p.x,
               qa = west ? a.x : a.y, qb = west ? b.x : b.y, here = west ? p.x : p.y;
        if (pa == pb || (pa <= at) == (pb <= at))
            continue;
        length cross = qa + llround((double)(qb - qa) * (double)(at - pa) / (double)(pb - pa));
        if (cross <= here && (best < 0 || here - cross < best))
            best = here - cross;
    }
    return best;
}

/* "W 4'-0\" S 6'-0\"": from the walls west and south of it. */
static const char *measure_words(const struct plan_view *v, const struct plan_mark *m)
{
    struct point p = {m->place->at.x, m->place->at.y};
    length west = to_wall(m->room, p, true), south = to_wall(m->room, p, false);
    if (m->place->where != OVERHEAD || west < 0 || south < 0)
        return NULL;
    return arena_printf(v->r->arena, "W %s  S %s", sheets_distance(v->set, west),
                        sheets_distance(v->set, south));
}

static const char *height_words(const struct plan_view *v, const struct plan_mark *m)
{
    return m->place->where == ON_WALL || m->place->on_island ? sheets_height(v->set, m->place->up)
                                                             : NULL;
}

static const char *home_words(const struct plan_view *v, const struct run *run)
{
    struct arena *arena = v->r->arena;
    const struct run_view *view = view_of_run(v->r, run);
    const char *words =
        joined(arena, view->cable ? view->cable : "", words_mark(v->r, run->circuit));
    for (uint32_t i = 0; i < run->also.n; i++)
        words = joined(arena, words, words_mark(v->r, run->also.at[i]));
    const struct circuit *c = run->circuit;
    const char *guard = c->dual_function     ? "GFCI AFCI"
                        : c->gfci && c->afci ? "GFCI AFCI"
                        : c->gfci            ? "GFCI"
                        : c->afci            ? "AFCI"
                                             : "";
    return joined(arena, words, guard);
}

/* Home runs whose arrow found no room are told with the box. */
static void say_homes(const struct plan_view *v, uint32_t mark, struct callout *c)
{
    for (uint32_t i = 0; i < v->arrows.n; i++) {
        const struct plan_arrow *a = &v->arrows.at[i];
        if (a->mark == mark && a->from.x == a->tip.x && a->from.y == a->tip.y)
            say(c, arena_printf(v->r->arena, "home run %s", home_words(v, a->run)));
    }
}

static struct callout callout_of(struct plan_view *v, uint32_t i)
{
    struct arena *arena = v->r->arena;
    const struct plan_mark *m = &v->marks.at[i];
    struct callout c = {.mark = m};
    if (m->panel) {
        c.subject = address_of_panel(arena, m->panel, false);
        say(&c, v->r->model->units.n > 1 ? c.subject : m->panel->name);
        say(&c, m->panel->main > 0  ? arena_printf(arena, "panel %g A", m->panel->main)
                : m->panel->bus > 0 ? arena_printf(arena, "panel %g A bus", m->panel->bus)
                                    : "panel");
        say(&c, m->panel->existing ? "existing" : NULL);
        return c;
    }
    c.subject = address_of_box(arena, m->box, false);
    say(&c, joined(arena, m->box->name, height_words(v, m)));
    const char *legs = v->subject == PLAN_LIGHTS ? load_legs(v, m) : NULL;
    if (v->subject != PLAN_CEILING)
        say(&c, joined(arena,
                       joined(arena, legs ? arena_printf(arena, "leg %s", legs) : NULL,
                              m->goes ? NULL : circuits_words(v, m->box)),
                       marks_words(v, m)));
    if (v->subject == PLAN_CEILING || v->subject == PLAN_LIGHTS)
        say(&c, measure_words(v, m));
    if (v->subject == PLAN_CEILING && !m->goes)
        say(&c, words_stand_by(arena, &v->r->routes->mountings->of_box[m->box->id]));
    say(&c, state_words(m));
    return c;
}

/* --- where it stands -------------------------------------------------------------------------- */

static bool is_small(uint32_t shape)
{
    return shape >= SMALL;
}

static bool in_a_row(uint32_t shape)
{
    return shape % 2 == 1;
}

static struct lettering letters_of(const struct callout *c, uint32_t line, uint32_t shape)
{
    return (struct lettering){.caps = is_small(shape) ? CAPS_NOTE : CAPS_WORDS,
                              .bold = (c->mark || c->run) && line == 0,
                              .halo = PLACE_HALO};
}

static um space_of(uint32_t shape)
{
    return is_small(shape) ? MM : 3 * MM / 2;
}

static um row_of(uint32_t shape)
{
    return (is_small(shape) ? CAPS_NOTE : CAPS_WORDS) * 3 / 2;
}

/* How far letters reach below their base line. */
static um below(const struct sheet *s, struct lettering l)
{
    return paper_text_area(s, 0, 0, l, "g").bottom;
}

static struct place_shape shape_of(const struct plan_view *v, const struct callout *c,
                                   uint32_t shape)
{
    struct place_shape s = {.cost = is_small(shape) ? 60 : 0};
    for (uint32_t i = 0; i < c->count; i++) {
        um wide = paper_text_width(v->s, letters_of(c, i, shape), c->line[i]);
        if (in_a_row(shape))
            s.width += wide + (i ? space_of(shape) : 0);
        else
            s.width = wide > s.width ? wide : s.width;
    }
    s.height = is_small(shape) ? CAPS_NOTE : CAPS_WORDS;
    if (!in_a_row(shape))
        s.height += (um)(c->count - 1) * row_of(shape);
    s.height += MM / 4 + below(v->s, letters_of(c, 0, shape));
    s.cost += in_a_row(shape) ? 15 : 0;
    return s;
}

static const struct spot *region_of(const struct plan_view *v, const struct room *room)
{
    struct spot *corner = arena_array(v->r->arena, struct spot, room->wall_count);
    for (uint32_t w = 0; w < room->wall_count; w++)
        corner[w] = plan_spot_of(v, room->walls[w].left);
    return corner;
}

static void ask(struct words *w, struct callout c, struct area thing, const struct room *room,
                uint32_t group)
{
    uint32_t first = c.first;
    struct place_label label = {.thing = thing,
                                .group = group,
                                .shape_count = SHAPES - first,
                                .region = room ? region_of(w->v, room) : NULL,
                                .region_count = room ? room->wall_count : 0,
                                .priority = c.mark  ? 5
                                            : c.run ? 0
                                                    : 8,
                                .reach = c.run ? CABLE_REACH : REACH,
                                .key = {.width = first == SMALL_ROW ? 0 : KEY, .height = KEY}};
    for (uint32_t s = first; s < SHAPES; s++)
        label.shapes[s - first] = shape_of(w->v, &c, s);
    place_label(w->placer, &label);
    c.thing = thing;
    *vec_push(w->v->r->arena, &w->callouts) = c;
}

/* A room whose name found no free place has a number in its middle, or near to it. */
static void ask_rooms(struct words *w)
{
    struct plan_view *v = w->v;
    for (uint32_t i = 0; i < v->unnamed.n; i++) {
        const struct room *room = v->unnamed.at[i];
        struct room_words words = words_of_room(v, room);
        struct callout c = {.room = room, .subject = address_of_room(v->r->arena, room, false)};
        struct area a;
        if (!plan_find_free(v, room, MM, MM, BY_WALL | BY_SIGN | BY_STEM | BY_LINE | BY_WORDS, &a))
            a = room_area(v, room);
        say(&c, words.name);
        say(&c, words.size);
        say(&c, words.more);
        ask(w, c, a, room, v->marks.n + i + 1);
    }
}

/* The area of a mark as words keep off it: a round one without its corners. */
static struct area thing_of(const struct plan_mark *m)
{
    static const um percent[PLAN_SHAPES] = {
        [PLAN_DUPLEX] = 9, [PLAN_SINGLE] = 9,  [PLAN_LAMP] = 16,
        [PLAN_CIRCLE] = 7, [PLAN_BLADES] = 16, [PLAN_HEXAGON] = 7};
    um less = m->count == 1 ? percent[m->signs[0].shape] : 0;
    return area_grown(m->area, -(m->area.right - m->area.left) * less / 100);
}

/* A line of a mark is as much of it as its sign. */
static void say_line(const struct words *w, uint32_t mark, struct spot from, struct spot to)
{
    um parts = llround(hypot((double)(to.x - from.x), (double)(to.y - from.y))) / (MM / 2) + 1;
    for (um k = 0; k <= parts; k++) {
        um x = from.x + (to.x - from.x) * k / parts, y = from.y + (to.y - from.y) * k / parts;
        place_thing(w->placer, area_grown((struct area){x, y, x, y}, MM / 4), mark + 1);
    }
}

/* A sign with its stem and its foot. */
static void say_thing(const struct words *w, uint32_t i)
{
    const struct plan_mark *m = &w->v->marks.at[i];
    place_thing(w->placer, thing_of(m), i + 1);
    if (m->panel || (m->stem[0].x == m->stem[1].x && m->stem[0].y == m->stem[1].y))
        return;
    say_line(w, i, m->stem[0], m->stem[1]);
    struct area foot = {m->stem[0].x, m->stem[0].y, m->stem[0].x, m->stem[0].y};
    place_thing(w->placer, area_grown(foot, PLAN_DOT), i + 1);
}

/* The place of a stretch of cable that its name leads to, clear of signs and walls. Cables that lie
 * beside each other have theirs at different places. */
static struct spot named_at(const struct plan_view *v, const struct plan_cable *c, uint32_t number)
{
    static const int tenths[] = {5, 3, 7, 2, 8, 4, 6, 1, 9};
    enum { COUNT = sizeof tenths / sizeof *tenths };
    for (um near = 4 * MM; near >= MM; near -= MM)
        for (uint32_t i = 0; i < COUNT; i++) {
            int tenth = tenths[(i + number) % COUNT];
            struct spot at = {c->from.x + (c->to.x - c->from.x) * tenth / 10,
                              c->from.y + (c->to.y - c->from.y) * tenth / 10};
            if (!plan_meets(v->taken, area_grown((struct area){at.x, at.y, at.x, at.y}, near),
                            BY_SIGN | BY_WALL | BY_STEM | BY_WORDS))
                return at;
        }
    return (struct spot){(c->from.x + c->to.x) / 2, (c->from.y + c->to.y) / 2};
}

/* "c12": its number on the sheet. */
static const char *cable_number(const struct plan_view *v, uint32_t i)
{
    return arena_printf(v->r->arena, "c%u", i + 1);
}

/* Each cable over a ceiling by the name on its labels, in small letters, as all notes. */
static void ask_cables(struct words *w)
{
    const struct plan_view *v = w->v;
    bool many = v->cables.n > MANY_CABLES;
    for (uint32_t i = 0; i < v->cables.n; i++) {
        const struct run_view *view = view_of_run(v->r, v->cables.at[i].run);
        struct spot at = named_at(v, &v->cables.at[i], i);
        struct callout c = {.run = view->run,
                            .first = many ? SMALL_ROW : SMALL,
                            .subject = arena_printf(v->r->arena, "run %s", view->address)};
        say(&c, many ? cable_number(v, i) : view->tag);
        say(&c, many ? NULL : view->cable);
        say(&c, view->run->existing && !many ? "existing" : NULL);
        ask(w, c, area_grown((struct area){at.x, at.y, at.x, at.y}, LINE_NEW / 2), NULL,
            v->marks.n + v->unnamed.n + i + 1);
    }
}

static void ask_all(struct words *w)
{
    struct plan_view *v = w->v;
    for (uint32_t i = 0; i < v->marks.n; i++)
        if (!v->marks.at[i].told)
            say_thing(w, i);
    for (uint32_t i = 0; i < v->arrows.n; i++) {
        const struct plan_arrow *a = &v->arrows.at[i];
        struct area tip = area_grown((struct area){a->tip.x, a->tip.y, a->tip.x, a->tip.y}, MM);
        struct callout c = {.subject =
                                address_of_box(v->r->arena, v->marks.at[a->mark].box, false)};
        if (a->from.x == a->tip.x && a->from.y == a->tip.y)
            continue;
        say(&c, home_words(v, a->run));
        place_thing(w->placer, tip, a->mark + 1);
        say_line(w, a->mark, a->from, a->tip);
        ask(w, c, tip, v->marks.at[a->mark].room, a->mark + 1);
    }
    ask_rooms(w);
    for (uint32_t i = 0; i < v->marks.n; i++) {
        if (v->marks.at[i].told)
            continue;
        struct callout c = callout_of(v, i);
        say_homes(v, i, &c);
        ask(w, c, thing_of(&v->marks.at[i]), v->marks.at[i].room, i + 1);
    }
    ask_cables(w);
}

/* --- drawing ---------------------------------------------------------------------------------- */

/* A stroke through the cable that a leader comes to. */
static void draw_slash(const struct plan_view *v, const struct callout *c, struct spot at)
{
    enum { HALF = 600 };
    paper_begin(v->s, ROLE_LEADER, c->subject, NULL);
    paper_line(v->s, at.x - HALF, at.y + HALF, at.x + HALF, at.y - HALF,
               (struct pen){BLACK, NO_INK, LINE_EDGE, DASH_NONE});
    paper_end(v->s);
}

/* Also a short one, where words could be taken for another's. */
static void draw_leader(const struct plan_view *v, const struct callout *c, const struct placed *p)
{
    struct placed led = *p;
    if (p->in_doubt)
        led.leader_count = 2;
    place_draw_leader(v->s, &led, c->subject);
    if (c->run && led.leader_count)
        draw_slash(v, c, led.leader[led.leader_count - 1]);
}

/* Lines over or under their thing stand about its middle, beside it they end there. */
static enum anchor anchor_of(const struct callout *c, const struct placed *p, bool row)
{
    struct area box = p->box, thing = c->thing;
    um middle = (box.left + box.right) / 2;
    if (row || box.left >= thing.right)
        return AT_START;
    if (box.right <= thing.left)
        return AT_END;
    um off = (thing.left + thing.right) / 2 - middle, third = (box.right - box.left) / 6;
    return off < -third ? AT_START : off > third ? AT_END : AT_MIDDLE;
}

static void draw_words(const struct plan_view *v, const struct callout *c, const struct placed *p)
{
    bool row = in_a_row(p->shape);
    enum anchor anchor = anchor_of(c, p, row);
    um x = anchor == AT_START ? p->box.left
           : anchor == AT_END ? p->box.right
                              : (p->box.left + p->box.right) / 2,
       y = p->box.top + MM / 8;
    draw_leader(v, c, p);
    paper_begin(v->s, c->room ? ROLE_ROOM_NAME : ROLE_LABEL, c->subject, NULL);
    for (uint32_t i = 0; i < c->count; i++) {
        struct lettering l = letters_of(c, i, p->shape);
        l.anchor = anchor;
        paper_text(v->s, x, y + l.caps, l, c->line[i]);
        if (row)
            x += paper_text_width(v->s, l, c->line[i]) + space_of(p->shape);
        else
            y += row_of(p->shape);
    }
    paper_end(v->s);
}

static void draw_key(const struct plan_view *v, const struct callout *c, const struct placed *p)
{
    um x = (p->box.left + p->box.right) / 2, y = (p->box.top + p->box.bottom) / 2;
    draw_leader(v, c, p);
    paper_begin(v->s, c->room ? ROLE_ROOM_NAME : ROLE_LABEL, c->subject, NULL);
    paper_circle(v->s, x, y, KEY / 2 - 200, (struct pen){BLACK, WHITE, LINE_THIN, DASH_NONE});
    paper_text(v->s, x, y + CAPS_NOTE / 2,
               (struct lettering){.caps = CAPS_NOTE, .bold = true, .anchor = AT_MIDDLE},
               arena_printf(v->r->arena, "%u", p->number));
    paper_end(v->s);
}

static void list_legs(struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    if (v->legs.n)
        plan_list(v, true, "Switch legs");
    for (uint32_t i = 0; i < v->legs.n; i++) {
        const struct leg *leg = v->legs.at[i];
        const char *letter = map_get(&v->leg_letters, 0, (uintptr_t)leg);
        bool titled = leg->title && strcmp(leg->title, leg->name) != 0;
        plan_list(v, false,
                  titled ? arena_printf(arena, "%s  %s: %s", letter, leg->name, leg->title)
                         : arena_printf(arena, "%s  %s", letter, leg->name));
    }
}

static const char *told(const struct plan_view *v, const struct callout *c, uint32_t number)
{
    struct buf b = {0};
    if (number)
        buf_printf(&b, "%u  ", number);
    if (c->mark)
        buf_printf(&b, "%s ", c->mark->room->name);
    for (uint32_t i = 0; i < c->count; i++)
        buf_printf(&b, "%s%s", i ? "; " : "", c->line[i]);
    const char *text = arena_printf(v->r->arena, "%s", buf_text(&b));
    buf_free(&b);
    return text;
}

/* Numbers in the order of the list, then what has not even a number. */
static void list_keys(struct words *w, const struct placed *placed)
{
    struct plan_view *v = w->v;
    uint32_t n = w->callouts.n;
    struct sorted *order = arena_array(v->r->arena, struct sorted, (size_t)n + 1);
    uint32_t count = 0;
    for (uint32_t i = 0; i < n; i++)
        if (placed[i].how != PLACED_WORDS && w->callouts.at[i].first != SMALL_ROW)
            order[count++] = (struct sorted){
                .key = {placed[i].how == PLACED_KEY ? placed[i].number : UINT64_MAX, i}, .item = i};
    sort_by_key(v->r->arena, order, count);
    if (count)
        plan_list(v, true, "Told here for want of room");
    for (uint32_t i = 0; i < count; i++)
        plan_list(v, false, told(v, &w->callouts.at[order[i].item], placed[order[i].item].number));
}

/* Many cables have numbers alone; which of them stand on the plan. */
static void list_cables(const struct words *w, const struct placed *placed)
{
    struct plan_view *v = w->v;
    struct arena *arena = v->r->arena;
    uint32_t before = w->callouts.n - v->cables.n;
    if (v->cables.n <= MANY_CABLES)
        return;
    plan_list(v, true, "Cables over the ceiling (* no room for its number there)");
    for (uint32_t i = 0; i < v->cables.n; i++) {
        const struct run_view *view = view_of_run(v->r, v->cables.at[i].run);
        plan_list(v, false,
                  arena_printf(arena, "%s%s  %s; %s%s", cable_number(v, i),
                               placed[before + i].how == PLACED_WORDS ? "" : "*", view->tag,
                               view->cable ? view->cable : "cable not known",
                               view->run->existing ? ", existing" : ""));
    }
}

static bool is_larger(const struct plan_view *v, const struct plan_mark *m)
{
    for (uint32_t i = 0; i < v->tile->crowded.n; i++)
        if (v->tile->crowded.at[i] == m->room)
            return true;
    return false;
}

/* Signs that found no place: they stand on a sheet of their room at a larger scale, else they are
 * told in words alone. */
static void list_signs(struct plan_view *v, bool larger)
{
    bool headed = false;
    for (uint32_t i = 0; i < v->marks.n; i++) {
        if (!v->marks.at[i].told || is_larger(v, &v->marks.at[i]) != larger)
            continue;
        if (!headed)
            plan_list(v, true,
                      larger ? "Without room for their signs: see the sheets that show their "
                               "rooms larger"
                             : "Without room for their signs");
        headed = true;
        struct callout c = callout_of(v, i);
        say_homes(v, i, &c);
        plan_list(v, false, told(v, &c, 0));
    }
}

/* The answers, their shapes counted from the first of all. */
static struct placed *solved(const struct words *w)
{
    const struct placed *of = place_solve(w->placer);
    struct placed *placed = arena_array(w->v->r->arena, struct placed, (size_t)w->callouts.n + 1);
    for (uint32_t i = 0; i < w->callouts.n; i++) {
        placed[i] = of[i];
        placed[i].shape += w->callouts.at[i].first;
    }
    return placed;
}

void plan_write_words(struct plan_view *v, uint32_t first)
{
    static const struct place_cost costs[ROLE_COUNT] = {
        [ROLE_FIXED] = {8, 0},
        [ROLE_FRAMING] = {1, 0},
        [ROLE_CABLE] = {PLACE_NEVER, 60},
        [ROLE_SYMBOL] = {PLACE_NEVER, 200},
        [ROLE_DIMENSION] = {PLACE_NEVER, 300},
        [ROLE_ROOM_NAME] = {PLACE_NEVER, PLACE_NEVER},
        [ROLE_NOTE] = {PLACE_NEVER, 300},
    };
    struct words w = {.v = v, .placer = place_new(v->r->arena, v->tile->field)};
    place_clear(w.placer, CLEAR);
    place_trust_leaders(w.placer);
    for (uint32_t i = 0; i < v->tile->rooms.n; i++) {
        const struct room *room = v->tile->rooms.at[i];
        for (uint32_t k = 0; k < room->wall_count; k++)
            place_wall(w.placer, plan_spot_of(v, room->walls[k].left),
                       plan_spot_of(v, room->walls[k].right), LINE_CUT);
    }
    place_drawn(w.placer, v->s, first, costs);
    ask_all(&w);
    struct placed *placed = solved(&w);
    for (uint32_t i = 0; i < w.callouts.n; i++) {
        if (placed[i].how == PLACED_WORDS)
            draw_words(v, &w.callouts.at[i], &placed[i]);
        else if (placed[i].how == PLACED_KEY)
            draw_key(v, &w.callouts.at[i], &placed[i]);
    }
    list_legs(v);
    list_signs(v, true);
    list_signs(v, false);
    list_keys(&w, placed);
    list_cables(&w, placed);
}

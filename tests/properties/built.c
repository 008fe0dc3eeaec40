/* It can be built: what is chosen or set stands in its bay and holds to what its type holds to, no
 * two things take one place, and every way and bore goes through wood that is there and through no
 * opening. Reckoned from the figures of the plan: the frame is the carpenter's (carpenter.h), sizes
 * of boxes, lengths at boxes and staples stand below. NFPA 70 (2023) 300.14, 314.17(B) and 334.30,
 * recalled; the others are common trade practice. */
#include "properties.h"

#include "carpenter.h"
#include "facts/facts.h"
#include "facts/rooms.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/power.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool property_built(const struct subject *s, struct buf *why);

static const double near = 1e-3;

struct inspector {
    struct compilation *c;
    struct carpenter wood;
    struct buf *why;
};

/* --- boxes -------------------------------------------------------------------------------- */

/* A box or panel as it is set, on its wall or under its joists. */
struct set_thing {
    const struct box *box; /* NULL: a panel */
    const char *name;
    const struct timber_side *side; /* NULL: overhead */
    const struct room *room;
    const struct box_type *type;
    double at, lo, hi; /* along the wall, or across the joists */
    double low, high;  /* above the floor; overhead: along the joists */
    double deep;
};

typedef VEC(struct set_thing) set_list;

/* Whether the plan is told that something is wrong with where things stand. */
static bool is_told(const struct compilation *c)
{
    static const char *const rules[] = {
        "box-mount",     "box-in-opening", "box-off-wall", "boxes-collide", "openings-disagree",
        "rooms-overlap", "box-buried",     "outline-open", "box-too-deep",  "box-in-header"};
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        for (size_t k = 0; k < sizeof rules / sizeof *rules; k++)
            if (!strcmp(c->diag.findings.at[i].rule->name, rules[k]))
                return true;
    return false;
}

/* A single-gang box is 2-3/8 in. wide, each further gang takes 1-13/16 in.; they are 3-3/4 in.
 * high; round ones measure 4 in. */
static void size_box(const struct box *b, const struct box_type *t, double *wide, double *high)
{
    *wide = t->gangs ? 2.375 + 1.8125 * (t->gangs - 1) : 4;
    *high = t->gangs ? 3.75 : 4;
    if (t->wide)
        *wide = length_inches(t->wide);
    if (b->compartment)
        *wide = *high = b->device_count ? length_inches(b->devices[0]->def->housing) : 0;
}

static void place_thing(const struct inspector *x, struct set_thing *t, const struct place *p,
                        double wide, double high)
{
    const struct framing *joists = &t->room->joists;
    if (p->where == ON_WALL) {
        double from = length_inches(p->from_left), up = length_inches(p->up);
        t->side = carpenter_side(&x->wood, t->room, p->wall);
        if (!t->side)
            return;
        t->at = t->side->forward ? t->side->lo + from : t->side->hi - from;
        t->low = up - high / 2;
        t->high = up + high / 2;
    } else {
        double east = length_inches(p->at.x), north = length_inches(p->at.y);
        t->at = joists->running_north ? east : north;
        t->low = (joists->running_north ? north : east) - high / 2;
        t->high = t->low + high;
    }
    t->lo = t->at - wide / 2;
    t->hi = t->at + wide / 2;
}

static bool is_in_plan(const struct room *room)
{
    return room && room->level && (!room->unit || room->unit->built);
}

static void list_boxes(struct inspector *x, set_list *list)
{
    const struct compilation *c = x->c;
    for (uint32_t i = 0; i < c->model->boxes.n; i++) {
        const struct box *b = c->model->boxes.at[i];
        const struct box_type *type = b->declared ? b->declared : c->wiring->of_box[i].type;
        const struct place *p = &c->routes->mountings->of_box[i].place;
        double wide, high;
        if (!is_in_plan(b->room) || !p->known || p->where == ON_FLOOR || b->existing || !type ||
            !facts_known(b, ITS_TEXT | ITS_PLACE))
            continue;
        struct set_thing t = {.box = b,
                              .name = address_of_box(&x->c->arena, b, true),
                              .room = b->room,
                              .type = type,
                              .deep = length_inches(type->depth)};
        size_box(b, type, &wide, &high);
        place_thing(x, &t, p, wide, high);
        if (p->where == OVERHEAD || t.side)
            *vec_push(&x->c->arena, list) = t;
    }
}

static void list_panels(struct inspector *x, set_list *list)
{
    const struct compilation *c = x->c;
    for (uint32_t i = 0; i < c->model->panels.n; i++) {
        const struct panel *p = c->model->panels.at[i];
        struct set_thing t = {.name = p->name, .room = p->room};
        if (c->routes->mountings->of_panel[i].stand == STAND_FREE)
            continue; /* no bay near by is wide enough: one has to be framed */
        if (!is_in_plan(p->room) || p->existing || facts_stays_open(p->room) || !p->place.known ||
            p->place.where != ON_WALL)
            continue;
        place_thing(x, &t, &c->routes->mountings->of_panel[i].place, 14.5, 30);
        if (t.side)
            *vec_push(&x->c->arena, list) = t;
    }
}

static bool overlap(double a0, double a1, double b0, double b1)
{
    return a0 < b1 - near && b0 < a1 - near;
}

static bool fails(struct inspector *x, const struct set_thing *t, const char *what)
{
    buf_printf(x->why, "%s %s %s", t->box ? "box" : "panel", t->name, what);
    return false;
}

/* Whether its type stands in the wall or ceiling at all. */
static bool is_in_wood(const struct set_thing *t)
{
    return t->type && t->type->fastened != FASTENED_SURFACE && !t->type->integral &&
           !t->box->compartment;
}

static bool in_its_wall(struct inspector *x, const struct set_thing *t)
{
    double size = t->side->hi - t->side->lo, from = t->at - t->side->lo;
    if (from < -near || from > size + near)
        return fails(x, t, "is set beyond its wall");
    for (uint32_t i = 0; i < x->wood.openings.n; i++) {
        const struct timber_opening *o = &x->wood.openings.at[i];
        double out = o->jacks * 1.5;
        if (o->group != t->side->group)
            continue;
        if (overlap(t->lo, t->hi, o->lo, o->hi) && overlap(t->low, t->high, o->sill, o->head))
            return fails(x, t, "is set in an opening");
        bool under = overlap(t->lo, t->hi, o->lo, o->hi) && o->sill > 0 &&
                     overlap(t->low, t->high, o->sill - 1.5, o->sill);
        if (is_in_wood(t) && (under || (overlap(t->lo, t->hi, o->lo - out, o->hi + out) &&
                                        overlap(t->low, t->high, o->head, o->top))))
            return fails(x, t, "is set in a header or sill");
    }
    return true;
}

/* Nail-on: its side within 1/2 in. of a stud. Nothing that stands in the wall stands on one. */
static bool holds_to_studs(struct inspector *x, const struct set_thing *t)
{
    double nearest = INFINITY,
           spacing = length_inches(t->room->walls[t->side->wall].framing.spacing);
    if (t->side->hi - t->side->lo > MOST_MEMBERS * spacing) /* miles long: a slip of the pen */
        return true;
    for (uint32_t i = 0; i < x->wood.wood.n; i++) {
        const struct timber *u = &x->wood.wood.at[i];
        if (u->group != t->side->group || !overlap(t->low, t->high, u->low, u->high))
            continue;
        if (overlap(t->lo, t->hi, u->at - u->half, u->at + u->half))
            return fails(x, t, "is set on a stud");
        nearest = fmin(nearest, fmin(fabs(t->lo - u->at - u->half), fabs(u->at - u->half - t->hi)));
    }
    if (t->type && t->type->fastened == FASTENED_NAILS && nearest < INFINITY &&
        nearest > 0.5 + near)
        return fails(x, t, "is nailed on, and no stud is beside it");
    return true;
}

static bool holds_to_joists(struct inspector *x, const struct set_thing *t)
{
    double spacing = length_inches(t->room->joists.spacing),
           half = length_inches(t->room->joists.lumber.thickness) / 2,
           corner = carpenter_corner(&x->wood, length_inches(t->room->level->floor),
                                     t->room->joists.running_north);
    if (spacing <= 0 || (!is_in_wood(t) && !t->box->compartment) ||
        t->room->drop > 0 ||                           /* it hangs in the ceiling below them */
        fabs(t->at - corner) > MOST_MEMBERS * spacing) /* miles away: a slip of the pen */
        return true;
    double nearest = INFINITY;
    for (double k = floor((t->lo - corner) / spacing); corner + k * spacing < t->hi + spacing;
         k++) {
        double at = corner + k * spacing;
        if (overlap(t->lo, t->hi, at - half, at + half) && t->type->fastened != FASTENED_UNSAID)
            return fails(x, t, "is set under a joist");
        nearest = fmin(nearest, fmin(fabs(t->lo - at - half), fabs(at - half - t->hi)));
    }
    if (t->type->fastened == FASTENED_NAILS && nearest > 0.5 + near)
        return fails(x, t, "is nailed on, and no joist is beside it");
    return true;
}

/* Studs before concrete leave a box their own depth, the gap and the finish. */
static bool fits_before_concrete(struct inspector *x, const struct set_thing *t)
{
    const struct wall *w = t->side ? &t->room->walls[t->side->wall] : NULL;
    if (!w || !t->type || !w->concrete || facts_stays_open(t->room))
        return true;
    if (!w->furred)
        return !is_in_wood(t) || t->type->fastened == FASTENED_UNSAID ||
               t->type->fastened == FASTENED_SCREWS || fails(x, t, "is set in concrete");
    double room = length_inches(w->framing.lumber.depth + w->gap + t->room->finish);
    return !is_in_wood(t) || t->deep <= room + near || fails(x, t, "reaches into the concrete");
}

/* On one face of a wall, or on both where it is not deep enough for both; on one ceiling. */
static bool meet(const struct set_thing *a, const struct set_thing *b)
{
    if (!a->side != !b->side || !overlap(a->lo, a->hi, b->lo, b->hi) ||
        !overlap(a->low, a->high, b->low, b->high))
        return false;
    if (!a->side)
        return a->room == b->room;
    if (a->side->group != b->side->group)
        return false;
    double deep = a->side->thick < b->side->thick ? a->side->thick : b->side->thick;
    return a->side->forward == b->side->forward ||
           (a->deep > 0 && b->deep > 0 && a->deep + b->deep > deep + near);
}

static bool boxes_stand(struct inspector *x)
{
    set_list list = {0};
    list_panels(x, &list);
    list_boxes(x, &list);
    for (uint32_t i = 0; i < list.n; i++) {
        const struct set_thing *t = &list.at[i];
        if (t->side && !in_its_wall(x, t))
            return false;
        if (t->side ? (!t->box || is_in_wood(t)) && !holds_to_studs(x, t) : !holds_to_joists(x, t))
            return false;
        if (!fits_before_concrete(x, t))
            return false;
        for (uint32_t k = 0; k < i; k++)
            if (meet(t, &list.at[k])) {
                buf_printf(x->why, "%s and ", list.at[k].name);
                return fails(x, t, "are set in one place");
            }
    }
    return true;
}

/* --- ways --------------------------------------------------------------------------------- */

static const char *run_name(struct inspector *x, const struct run *r)
{
    return address_of_run(&x->c->arena, r, true);
}

static bool bad_way(struct inspector *x, const struct run *r, const char *what)
{
    buf_printf(x->why, "run %s %s", run_name(x, r), what);
    return false;
}

/* Whether a part of a way goes through an opening or the wood over it. */
static bool goes_through(const struct inspector *x, const struct segment *s)
{
    const struct timber_side *side = s->room ? carpenter_side(&x->wood, s->room, s->wall) : NULL;
    if (!side)
        return false;
    double a = carpenter_place(side, length_inches(s->from.x), length_inches(s->from.y)),
           b = carpenter_place(side, length_inches(s->to.x), length_inches(s->to.y)),
           low = length_inches(s->from.z < s->to.z ? s->from.z : s->to.z) - side->floor,
           high = length_inches(s->from.z < s->to.z ? s->to.z : s->from.z) - side->floor;
    for (uint32_t i = 0; i < x->wood.openings.n; i++) {
        const struct timber_opening *o = &x->wood.openings.at[i];
        double sill = o->sill > 0 ? o->sill - 1.5 : 0;
        if (o->group == side->group && fmin(a, b) < o->hi - near &&
            o->lo + near < fmax(a, b) + 2 * near && low < o->top - near && sill + near < high)
            return true;
    }
    return false;
}

static double inches_between(struct place3 a, struct place3 b)
{
    return hypot(hypot(length_inches(a.x - b.x), length_inches(a.y - b.y)),
                 length_inches(a.z - b.z));
}

static double on_grid(struct place3 a, struct place3 b)
{
    return fabs(length_inches(a.x - b.x)) + fabs(length_inches(a.y - b.y)) +
           fabs(length_inches(a.z - b.z));
}

/* Trenches and what hangs between buildings keep to the grid of the plan. */
static double step_length(const struct segment *s)
{
    return s->kind == IN_GROUND || s->kind == IN_AIR ? on_grid(s->from, s->to)
                                                     : inches_between(s->from, s->to);
}

static bool is_slanted(const struct carpenter *c)
{
    for (uint32_t i = 0; i < c->sides.n; i++)
        if (fabs(c->sides.at[i].ux * c->sides.at[i].uy) > 1e-9)
            return true;
    return false;
}

/* The steps follow each other, save for the wall from face to face and the post of a corner, and
 * come to the length. */
static bool length_is_of_steps(struct inspector *x, const struct run *run, const struct route *r)
{
    double sum = 0;
    const struct place3 ends[2] = {mounting_of_end(x->c->routes->mountings, run->from)->place.at,
                                   mounting_of_end(x->c->routes->mountings, run->to)->place.at};
    for (uint32_t i = 0; i <= r->segment_count; i++) {
        struct place3 here = i ? r->segments[i - 1].to : ends[0],
                      next = i < r->segment_count ? r->segments[i].from : ends[1];
        if (fabs(length_inches(here.x - next.x)) > 9 || fabs(length_inches(here.y - next.y)) > 9 ||
            fabs(length_inches(here.z - next.z)) > near)
            return bad_way(x, run, "has a gap in its way");
        sum += i < r->segment_count ? step_length(&r->segments[i]) : 0;
    }
    double least = is_slanted(&x->wood) ? 0 : on_grid(ends[0], ends[1]);
    if (fabs(length_inches(r->path) - fmax(sum, least)) > 0.01)
        buf_printf(x->why, "%.3f in., by its steps %.3f: ", length_inches(r->path),
                   fmax(sum, least));
    return fabs(length_inches(r->path) - fmax(sum, least)) <= 0.01 ||
           bad_way(x, run, "is not as long as its steps");
}

/* What goes on uncut is one piece with the raceways behind it, and leaves nothing in between
 * (300.14, exception). Free conductor in a box 6 in. and 2-1/2 in. of its depth, 5 ft in a panel;
 * slack at each end, and what the run says; cut to the step of the plan. */
static bool cut_is_of_way(struct inspector *x, const struct run *run, const struct route *r)
{
    double slack = length_inches(x->c->model->slack), step = length_inches(x->c->model->stock_step);
    double whole = 2 * slack + (run->from.panel ? 60 : 8.5), cut = length_inches(r->cut);
    const struct passage *p = run->passage;
    if (p && run != p->runs[0])
        return !r->cut || bad_way(x, run, "is cut, and goes on from another one");
    for (uint32_t i = 0; i < (p ? p->count : 1); i++) {
        const struct run *part = p ? p->runs[i] : run;
        if (part->measured || part->existing)
            return true;
        whole += length_inches(x->c->routes->of_run[part->id].path) + length_inches(part->spare);
    }
    whole += (p ? p->runs[p->count - 1] : run)->to.panel ? 60 : 8.5;
    if (cut < whole - near || cut > whole + step + near ||
        (step > 0 && fabs(remainder(cut, step)) > near))
        return bad_way(x, run, "is cut to another length than its way asks");
    return true;
}

/* Staples that a stretch without bores wants: the first so far from its box, others 4-1/2 ft apart
 * (a raceway's supports as its type says), up to where it is held or the other box. */
static unsigned staples_in(double loose, double from, double to, double apart)
{
    unsigned n = 0;
    double at = fmin(from, loose);
    if (loose <= near)
        return 0;
    for (n = 1; at + apart < loose - to - near; n++)
        at += apart;
    return n;
}

static double from_box(const struct inspector *x, struct end e)
{
    const struct box_type *t = !e.box            ? NULL
                               : e.box->declared ? e.box->declared
                                                 : x->c->wiring->of_box[e.box->id].type;
    return t && !t->clamp_internal && !t->metal ? 8 : 12;
}

static unsigned staples_of(const struct inspector *x, const struct run *run, const struct route *r)
{
    const struct raceway_def *w = run->raceway;
    double loose = 0, a = w ? length_inches(w->from_box) : from_box(x, run->from),
           b = w ? a : from_box(x, run->to), apart = w ? length_inches(w->apart) : 54;
    unsigned n = 0;
    bool held = false;
    for (uint32_t i = 0; i < r->segment_count; i++) {
        if (!r->segments[i].held &&
            !r->segments[i].closed) { /* nothing is stapled behind a finish */
            loose += length_inches(r->segments[i].length);
            continue;
        }
        n += !held          ? staples_in(loose, a, 0, apart)
             : loose > near ? staples_in(loose, 0, 0, apart) - 1
                            : 0;
        held = true;
        loose = 0;
    }
    if (held)
        return n + staples_in(loose, b, 0, apart);
    if (loose <= a + near)
        return loose > near;
    return staples_in(loose, a, b, apart) + 1;
}

/* Nothing goes through concrete, and nothing lies on it but what is exposed and what goes up from a
 * panel on its board; no cable lies under a slab but in the ground. */
static bool leaves_concrete_alone(struct inspector *x, const struct run *run, const struct route *r)
{
    const struct level *a = facts_room_of_end(run->from)->level,
                       *b = facts_room_of_end(run->to)->level;
    for (uint32_t i = 0; i < r->segment_count; i++) {
        const struct segment *s = &r->segments[i];
        const struct wall *w = s->room ? &s->room->walls[s->wall] : NULL;
        bool bare = w && w->concrete && !w->furred,
             stands = s->from.x == s->to.x && s->from.y == s->to.y;
        if (bare && !run->exposed && !run->raceway &&
            !(stands && (run->from.panel || run->to.panel)))
            return bad_way(x, run, "goes into concrete");
        if (a == b && a->slab && (s->from.z < a->floor || s->to.z < a->floor))
            return bad_way(x, run, "goes under a slab");
    }
    for (uint32_t i = 0; i < r->members_count; i++)
        if (r->members[i].member == MEMBER_PLATE && !r->members[i].top && a == b && a->slab)
            return bad_way(x, run, "is bored through the plate on a slab");
    return true;
}

/* Behind a finish that stays on a cable goes through plates alone, or it is told; what is not
 * behind one is not taken for it. */
static bool leaves_finishes_alone(struct inspector *x, const struct run *run, const struct route *r)
{
    bool any = false;
    for (uint32_t i = 0; i < x->c->model->rooms.n; i++) {
        const struct room *room = x->c->model->rooms.at[i];
        any |= room->closed_ceiling || room->ceiling_closed_on;
        for (uint32_t w = 0; w < room->wall_count; w++)
            any |= room->walls[w].closed || room->walls[w].closed_on;
    }
    for (uint32_t i = 0; i < r->segment_count; i++) {
        const struct segment *s = &r->segments[i];
        if (s->closed && !any)
            return bad_way(x, run, "is fished where all is open");
        for (uint32_t k = 0; s->closed && s->kind == THROUGH_STUDS && !r->shut && k < s->count; k++)
            if (route_member(x->c->routes->frame, r, s->first + k).member == MEMBER_STUD)
                return bad_way(x, run, "goes through studs behind a finish");
    }
    return true;
}

/* How far a straight part of a way is within two bounds, from 0 to 1 along it. */
static void keep_within(double from, double to, double low, double high, double *begin, double *end)
{
    if (fabs(to - from) < near) {
        *end = from <= low + near || from >= high - near ? *begin : *end;
        return;
    }
    double a = (low - from) / (to - from), b = (high - from) / (to - from);
    *begin = fmax(*begin, fmin(a, b));
    *end = fmin(*end, fmax(a, b));
}

/* Whether a part goes through a beam or duct that runs east or north, by the lines of the plan. */
static bool goes_into_bulk(const struct bulk *k, const struct segment *s)
{
    double half = length_inches(k->wide) / 2, begin = 0, end = 1;
    bool along_x = k->from.y == k->to.y;
    double x0 = length_inches(k->from.x), x1 = length_inches(k->to.x),
           y0 = length_inches(k->from.y), y1 = length_inches(k->to.y);
    if (!along_x && k->from.x != k->to.x)
        return false;
    keep_within(length_inches(s->from.x), length_inches(s->to.x),
                fmin(x0, x1) - (along_x ? 0 : half), fmax(x0, x1) + (along_x ? 0 : half), &begin,
                &end);
    keep_within(length_inches(s->from.y), length_inches(s->to.y),
                fmin(y0, y1) - (along_x ? half : 0), fmax(y0, y1) + (along_x ? half : 0), &begin,
                &end);
    keep_within(length_inches(s->from.z), length_inches(s->to.z), length_inches(k->low),
                length_inches(k->high), &begin, &end);
    return (end - begin) * length_inches(s->length) > 1;
}

/* Ways keep out of what is drawn in the same world. */
static bool keeps_out_of_bulks(struct inspector *x, const struct run *run, const struct route *r)
{
    const struct room *room = facts_room_of_end(run->from);
    for (uint32_t i = 0; !r->blocked && i < r->segment_count; i++) {
        const struct segment *s = &r->segments[i];
        bool among = s->kind != IN_GROUND && s->kind != IN_AIR;
        for (uint32_t k = 0; among && k < x->c->model->bulks.n; k++) {
            const struct bulk *b = &x->c->model->bulks.at[k];
            bool there = !b->room || frame_world_of(b->room) == frame_world_of(room);
            if (there && goes_into_bulk(b, s))
                return bad_way(x, run, "goes through a beam or duct");
        }
    }
    return true;
}

/* Straps into concrete are some of the supports where some of the way lies on it, all of them where
 * all of it does, and none else. */
static bool anchors_are_in_concrete(struct inspector *x, const struct run *run,
                                    const struct route *r)
{
    uint32_t on = 0, off = 0;
    for (uint32_t i = 0; i < r->segment_count; i++) {
        const struct segment *s = &r->segments[i];
        const struct wall *w = s->room ? &s->room->walls[s->wall] : NULL;
        bool loose = !s->held && !s->closed && s->length > 0;
        on += loose && w && w->concrete && !w->furred;
        off += loose && !(w && w->concrete && !w->furred);
    }
    if (r->anchors > r->supports || (!on && r->anchors) || (!off && r->anchors != r->supports))
        return bad_way(x, run, "has its straps into concrete where there is none");
    return true;
}

static bool way_is_good(struct inspector *x, const struct run *run)
{
    const struct route *r = &x->c->routes->of_run[run->id];
    if (!r->known || !r->segment_count)
        return true;
    for (uint32_t i = 0; i < r->segment_count; i++)
        if (!r->blocked && r->segments[i].kind <= THROUGH_STUDS && goes_through(x, &r->segments[i]))
            return bad_way(x, run, "goes through an opening or its header");
    bool new_in_walls = !run->existing && !run->underground && !run->strung;
    if (new_in_walls && !r->blocked && !leaves_concrete_alone(x, run, r))
        return false;
    if (new_in_walls && !leaves_finishes_alone(x, run, r))
        return false;
    if (!length_is_of_steps(x, run, r) || !cut_is_of_way(x, run, r) ||
        !keeps_out_of_bulks(x, run, r))
        return false;
    bool stapled = !run->existing && !run->fished && !run->underground && !run->strung;
    if (!anchors_are_in_concrete(x, run, r))
        return false;
    unsigned staples = stapled ? staples_of(x, run, r) : 0;
    if (r->supports != staples) {
        buf_printf(x->why, "run %s has %u staples, wanted %u", run_name(x, run), r->supports,
                   staples);
        return false;
    }
    return true;
}

/* --- openings ----------------------------------------------------------------------------- */

static bool is_in_open_air(const struct room *r)
{
    for (uint32_t i = 0; i < r->kind_count; i++)
        if (r->kinds[i]->wet)
            return true;
    return r->covered;
}

/* Whether the wall has an opening or railing within a foot of one of its ends. */
static bool is_open_at(const struct timber_side *s, double end)
{
    for (uint32_t i = 0; i < s->room->fixtures.n; i++) {
        const struct fixture *x = &s->room->fixtures.at[i];
        double from = length_inches(x->from_left), to = from + length_inches(x->wide),
               lo = s->forward ? s->lo + from : s->hi - to, hi = lo + to - from;
        if (x->wall == s->wall && (x->sort == FIXTURE_OPENING || x->form == F_RAILING) &&
            (fabs(lo - end) < 12 || fabs(hi - end) < 12 || (lo < end && end < hi)))
            return true;
    }
    return false;
}

/* The end of a side's line where its next wall goes off, as a stretch of the line; false where
 * none does. */
static bool wall_beyond(const struct inspector *x, const struct timber_side *s, bool at_hi,
                        double *lo, double *hi)
{
    uint32_t count = s->room->wall_count,
             next = (s->wall + (at_hi == s->forward ? 1 : count - 1)) % count;
    const struct timber_side *other = carpenter_side(&x->wood, s->room, next);
    const struct wall *off = &s->room->walls[next];
    bool left = at_hi == s->forward; /* it is met at its left end */
    if (!other || other->group == s->group || off->framing.spacing <= 0 ||
        is_in_open_air(s->room) ||
        is_open_at(other, left == other->forward ? other->lo : other->hi))
        return false;
    double thick = length_inches(off->framing.lumber.depth) + 2 * length_inches(s->room->finish);
    *lo = at_hi ? s->hi : s->lo - thick;
    *hi = *lo + thick;
    return true;
}

/* No wall of the room behind ends in a door, window or opening. */
static bool openings_are_clear(struct inspector *x)
{
    for (uint32_t i = 0; i < x->wood.sides.n; i++)
        for (uint32_t k = 0; k < 2 * x->wood.sides.n; k++) {
            const struct timber_side *s = &x->wood.sides.at[i], *o = &x->wood.sides.at[k / 2];
            double lo, hi;
            if (s->group != o->group || s->forward == o->forward ||
                !wall_beyond(x, o, k % 2, &lo, &hi))
                continue;
            for (uint32_t n = 0; n < s->room->fixtures.n; n++) {
                const struct fixture *f = &s->room->fixtures.at[n];
                double from = length_inches(f->from_left), wide = length_inches(f->wide),
                       at = s->forward ? s->lo + from : s->hi - from - wide;
                if (f->wall != s->wall || f->sort == FIXTURE_OTHER || at + wide <= lo + 0.01 ||
                    at >= hi - 0.01)
                    continue;
                buf_printf(x->why, "a wall of room %s ends in the %s at %.3f of room %s",
                           o->room->name, f->word, from, s->room->name);
                return false;
            }
        }
    return true;
}

/* --- bores -------------------------------------------------------------------------------- */

static bool is_stud(const struct inspector *x, const struct timber_side *s, double at, double up)
{
    for (uint32_t i = 0; i < x->wood.wood.n; i++) {
        const struct timber *u = &x->wood.wood.at[i];
        if (u->group == s->group && fabs(u->at - at) < near && u->low < up && up < u->high)
            return true;
    }
    return false;
}

/* A plate is there where the wall is; the bottom one not in a door. */
static bool is_plate(const struct inspector *x, const struct timber_side *s, double at, bool top)
{
    for (uint32_t i = 0; i < x->wood.openings.n && !top; i++) {
        const struct timber_opening *o = &x->wood.openings.at[i];
        if (o->group == s->group && o->sill <= 0 && o->lo + near < at && at < o->hi - near)
            return false;
    }
    for (uint32_t i = 0; i < x->wood.sides.n; i++)
        if (x->wood.sides.at[i].group == s->group && x->wood.sides.at[i].lo - 9 < at &&
            at < x->wood.sides.at[i].hi + 9)
            return true;
    return false;
}

static bool is_joist(const struct inspector *x, const struct members *m, const struct passed *p)
{
    double corner = carpenter_corner(&x->wood, length_inches(p->level->floor), m->north);
    double at = length_inches(m->north ? p->at.x : p->at.y), spacing = length_inches(m->spacing);
    return fabs(at - corner - p->index * spacing) < near;
}

static bool bores_are_in_wood(struct inspector *x)
{
    const struct bores *bores = x->c->bores;
    for (uint32_t i = 0; bores && i < bores->list.n; i++) {
        const struct bore *b = &bores->list.at[i];
        struct passed p = bore_member(bores, b);
        const struct timber_side *s = p.room ? carpenter_side(&x->wood, p.room, p.wall) : NULL;
        if (p.room && !s)
            continue; /* of a pattern that nothing is built from */
        double at = s ? carpenter_place(s, length_inches(p.at.x), length_inches(p.at.y)) : 0,
               up = s ? length_inches(p.at.z) - s->floor : 0;
        bool there = p.member == MEMBER_STUD    ? is_stud(x, s, at, up)
                     : p.member == MEMBER_PLATE ? is_plate(x, s, at, p.top)
                                                : is_joist(x, b->members, &p);
        if (there)
            continue;
        buf_printf(x->why, "a bore of run %s is in no wood (%d at %.3f, %.3f, %.3f)",
                   run_name(x, b->runs[0]), p.member, length_inches(p.at.x), length_inches(p.at.y),
                   length_inches(p.at.z));
        return false;
    }
    return true;
}

/* Slips of the pen that leave walls of no wood, with a finish a foot thick, or miles long. */
static bool has_no_walls(const struct model *m)
{
    const length mile = 5280 * FOOT;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        if (length_inches(r->finish) > 12 || r->wall_framing.lumber.depth <= 0)
            return true;
        for (uint32_t k = 0; k < r->wall_count; k++)
            if ((r->walls[k].furred && r->walls[k].framing.lumber.depth <= 0) ||
                r->walls[k].length > mile)
                return true;
    }
    return false;
}

bool property_built(const struct subject *s, struct buf *why)
{
    struct inspector x = {.c = s->c, .why = why};
    if (!s->c->model || !s->c->routes || is_told(s->c) || has_no_walls(s->c->model))
        return true;
    carpenter_frame(&s->c->arena, s->c->model, &x.wood);
    if (!boxes_stand(&x) || !openings_are_clear(&x))
        return false;
    for (uint32_t i = 0; i < s->c->model->runs.n; i++) {
        const struct run *r = s->c->model->runs.at[i];
        if (run_is_whole(r) && is_in_plan(facts_room_of_end(r->from)) && !way_is_good(&x, r))
            return false;
    }
    return bores_are_in_wood(&x);
}

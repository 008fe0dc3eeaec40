#include "facts/boxes.h"

#include "facts/closed.h"
#include "facts/places.h"
#include "facts/rooms.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

#include <math.h>
#include <string.h>

uint32_t facts_yokes(const struct box *box)
{
    uint32_t yokes = 0;
    for (uint32_t i = 0; i < box->device_count; i++) {
        const struct device_def *def = box->devices[i]->def;
        yokes += def->yokes * (def->gangs > 1 ? def->gangs : 1u);
    }
    return yokes;
}

/* How near a box on a ceiling is to a wall. */
static double to_wall(const struct box *b)
{
    double least = INFINITY;
    for (uint32_t i = 0; i < b->room->wall_count; i++) {
        struct point a = b->room->walls[i].left, z = b->room->walls[i].right;
        double ex = (double)(z.x - a.x), ey = (double)(z.y - a.y),
               px = (double)(b->place.at.x - a.x), py = (double)(b->place.at.y - a.y),
               square = ex * ex + ey * ey, t = square > 0 ? (px * ex + py * ey) / square : 0;
        t = t < 0 ? 0 : t > 1 ? 1 : t;
        double d = hypot(px - t * ex, py - t * ey);
        least = d < least ? d : least;
    }
    return least;
}

/* Whether a fan could hang from a box: on a ceiling that is high enough, clear of the walls; a
 * dropped one carries none. */
static bool fan_can_hang(struct model *m, const struct box *b)
{
    return b->place.where == OVERHEAD && facts_known(b, ITS_PLACE) && !b->room->drop &&
           b->room->ceiling >= code_length(&m->code, SET_FAN_READY_CEILING, 0) &&
           to_wall(b) >= (double)code_length(&m->code, SET_FAN_READY_FROM_WALL, 0);
}

static bool is_habitable(struct use use)
{
    for (uint32_t i = 0; i < use.count; i++)
        if (use.kinds[i]->habitable)
            return true;
    return false;
}

/* A leg with a switch that ends here for later. */
static bool has_spare_leg(const struct box *b)
{
    for (uint32_t i = 0; i < b->capped.n; i++)
        if (b->capped.at[i]->controls.n)
            return true;
    return false;
}

static enum fan_ready fan_ready(struct model *m, const struct box *b, const struct box_asks *a)
{
    bool spare = has_spare_leg(b), room = a->luminaire && is_habitable(facts_use_of_box(b)) &&
                                          facts_known(b->room, ITS_KINDS);
    if (a->fan || a->wet != ANSWER_NO || (!spare && !room) ||
        !(spare || code_yes(&m->code, SET_FAN_READY_HABITABLE)) || !fan_can_hang(m, b))
        return FAN_READY_NO;
    return spare ? FAN_READY_LEG : FAN_READY_ROOM;
}

/* The side of an island is a wall to what is set into it. */
static enum mount mount_of(const struct place *p)
{
    return p->where == ON_WALL || p->on_island ? MOUNT_WALL
           : p->where == OVERHEAD              ? MOUNT_CEILING
                                               : MOUNT_FLOOR;
}

static void ask_for_device(struct model *m, struct box_asks *a, const struct box *b,
                           const struct device_def *d)
{
    bool hung = b->place.where == OVERHEAD && d->sort == SORT_LUMINAIRE && !d->integral;
    if (d->fan_box && !a->fan)
        a->fan = d;
    if (hung && !d->yokes && !a->luminaire) {
        a->luminaire = d;
        a->weight = code_weight(&m->code, SET_BOX_LOADS_LUMINAIRE, 0);
    }
    a->power |= d->sort != SORT_LOW_VOLTAGE;
    a->low_voltage |= d->sort == SORT_LOW_VOLTAGE;
}

const struct wall *facts_wall_of_box(const struct box *b)
{
    return b->place.where == ON_WALL && b->place.wall < b->room->wall_count
               ? &b->room->walls[b->place.wall]
               : NULL;
}

/* Where a wall is finished its boxes come flush with the finish; where it stays open they may stand
 * out from the studs. */
length facts_deepest_box(const struct box *b)
{
    const struct room *room = b->room;
    const struct wall *w = facts_wall_of_box(b);
    if (!w || facts_stays_open(room) || w->framing.lumber.depth <= 0)
        return 0;
    return w->framing.lumber.depth + w->gap + room->finish;
}

struct box_asks facts_box_asks(struct model *m, const struct box *b)
{
    struct box_asks a = {.mount = mount_of(&b->place),
                         .wet = facts_is_wet(m, b),
                         .yokes = facts_yokes(b),
                         .deepest = facts_deepest_box(b),
                         .bare = facts_wall_of_box(b) && wall_is_bare(facts_wall_of_box(b)),
                         .closed = facts_is_in_closed(b),
                         .power = b->runs.n > 0 || b->served_by.n > 0,
                         .low_voltage = b->low_voltage.n > 0};
    a.gangs = b->gangs ? b->gangs : (uint8_t)(a.yokes > MOST_GANGS ? MOST_GANGS : a.yokes);
    for (uint32_t i = 0; i < b->device_count; i++)
        ask_for_device(m, &a, b, b->devices[i]->def);
    a.fan_ready = fan_ready(m, b, &a);
    for (uint32_t i = 0; i < b->runs.n && !b->declared; i++)
        a.metal |= b->runs.at[i]->raceway && b->runs.at[i]->raceway->metal;
    return a;
}

static bool is_bracket(const struct box_type *t)
{
    return t->volume <= 0 && !t->integral && t->section <= 0;
}

static unsigned when(bool misfits, enum misfit why)
{
    return misfits ? why : 0;
}

/* Whether a box of this type cannot be fastened where it is to stand. */
static bool is_unheld(const struct box_type *t, enum stand stand)
{
    if (stand == STAND_BETWEEN)
        return t->fastened == FASTENED_NAILS;
    return stand == STAND_ON && (t->old_work || t->fastened == FASTENED_NAILS ||
                                 t->fastened == FASTENED_BRACKET || t->fastened == FASTENED_BRACE);
}

/* Whether a box of this type is fastened to wood that a finish covers. */
static bool wants_open_wood(const struct box_type *t)
{
    return !t->old_work && (t->fastened == FASTENED_NAILS || t->fastened == FASTENED_SCREWS ||
                            t->fastened == FASTENED_BRACKET || t->fastened == FASTENED_BRACE);
}

/* A compartment that comes with the thing itself is judged by what hangs from it and by its yokes:
 * its own marking governs. */
unsigned facts_misfits(const struct box_asks *a, const struct box_type *t)
{
    unsigned why = when(t->mount != MOUNT_ANY && t->mount != a->mount, MISFIT_MOUNT) |
                   when((a->fan || a->fan_ready) && t->fan <= 0, MISFIT_FAN);
    if (t->integral)
        return why | when(a->yokes > 0, MISFIT_OWN);
    return why | when(t->gangs < a->gangs, MISFIT_GANGS) |
           when(is_unheld(t, a->stand), MISFIT_STAND) |
           when(a->bare && is_unheld(t, STAND_ON), MISFIT_CONCRETE) |
           when(a->closed && wants_open_wood(t), MISFIT_CLOSED) |
           when(a->deepest && t->depth > a->deepest && t->fastened != FASTENED_SURFACE,
                MISFIT_DEPTH) |
           when(a->wet == ANSWER_YES && !t->wet, MISFIT_WET) |
           when(a->weight > 0 && t->holds <= 0, MISFIT_UNSAID) |
           when(t->holds > 0 && t->holds < a->weight, MISFIT_WEIGHT) |
           when(a->power && is_bracket(t), MISFIT_BRACKET) |
           when(a->metal && !t->metal, MISFIT_METAL) |
           when(a->power && a->low_voltage && !t->divided, MISFIT_DIVIDER);
}

/* On concrete a box for surfaces is chosen, of those for wet places where no other is made. */
static bool is_needless_on_concrete(const struct box_asks *a, const struct box_type *t)
{
    return t->integral || t->fastened != FASTENED_SURFACE ||
           (t->fan > 0 && !a->fan && !a->fan_ready) ||
           (t->divided && !(a->power && a->low_voltage));
}

/* A conduit body is the plan's to write: it is chosen for nothing. */
bool facts_is_needless(const struct box_asks *a, const struct box_type *t)
{
    if (t->section > 0)
        return true;
    if (a->bare)
        return is_needless_on_concrete(a, t);
    bool between = t->fastened == FASTENED_BRACKET || t->fastened == FASTENED_BRACE;
    bool surface = t->fastened == FASTENED_SURFACE && a->wet != ANSWER_YES;
    return t->integral || surface || (between && a->stand == STAND_BESIDE && !a->closed) ||
           (t->fastened == FASTENED_SCREWS && a->stand == STAND_BETWEEN) ||
           (t->fan > 0 && !a->fan && !a->fan_ready) || (t->wet && a->wet != ANSWER_YES) ||
           (t->divided && !(a->power && a->low_voltage)) ||
           is_bracket(t) != (a->low_voltage && !a->power);
}

/* A circular mil is the area of a circle of a thousandth of an inch. */
double facts_body_area(const struct box_type *type)
{
    enum { PLACES = 3 };
    double unit = pow(10, PLACES), mils = type->section * 1000;
    return round(mils * acos(-1) / 4 / 1e6 * unit) / unit;
}

const char *facts_cover(struct model *m, const struct box *box)
{
    bool plain = !box->cover || !strcmp(box->cover, "blank");
    return plain && facts_is_weathered(m, box) == ANSWER_YES ? "weatherproof" : box->cover;
}

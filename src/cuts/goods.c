/* What is cut for runs that lie in raceways: conductors off the spool of their colour, raceways off
 * sticks or coils. Each sort is made a cable of its own, so that one allotment serves all. */
#include "cuts/work.h"

#include "facts/pulls.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <string.h>

bool cuts_is_coil_of(const struct coil *coil, const struct cable_def *cable)
{
    if (cable->raceway)
        return coil->raceway == cable->raceway;
    if (!cable->of || cable->conductors != 1)
        return coil->cable == cable;
    const char *color = coil->color ? coil->color : coil->on_hand ? "black" : cable->colors[0];
    return coil->cable == cable->of && !strcmp(color, cable->colors[0]);
}

static struct cable_def *add_goods(const struct cutting *x, void **at, struct cable_def like)
{
    struct cable_def *made = *at = arena_new(x->arena, struct cable_def);
    *made = like;
    made->title = made->name;
    *vec_push(x->arena, &x->goods->list) = made;
    return made;
}

/* The spool of a conductor in one colour. */
static const struct cable_def *spool(const struct cutting *x, const struct cable_def *single,
                                     const char *color)
{
    color = names_of(x->m->names, color);
    void **at = map_at(x->arena, &x->goods->found, (uintptr_t)single, (uintptr_t)color);
    if (*at)
        return *at;
    const char **colors = arena_array(x->arena, const char *, 1);
    *colors = color;
    struct cable_def like = *single;
    like.name = names_of(x->m->names, arena_printf(x->arena, "%s-%s", single->name, color));
    like.of = single;
    like.colors = colors;
    return add_goods(x, at, like);
}

static const struct cable_def *tube(const struct cutting *x, const struct raceway_def *w)
{
    void **at = map_at(x->arena, &x->goods->found, (uintptr_t)w, 0);
    if (*at)
        return *at;
    return add_goods(x, at,
                     (struct cable_def){.name = w->name,
                                        .family = w->family,
                                        .raceway = w,
                                        .stock = w->stick > 0 ? &w->stick : w->stock,
                                        .stock_count = w->stick > 0 ? 1 : w->stock_count});
}

/* The single conductor of another size: a ground wire is one of the same sort. */
static const struct cable_def *of_size(const struct model *m, const struct cable_def *single,
                                       const char *size)
{
    for (uint32_t i = 0; i < m->lib->cable_list.n; i++) {
        const struct cable_def *d = m->lib->cable_list.at[i];
        if (d->single && d->size == size && d->metal == single->metal)
            return d;
    }
    return single;
}

static length rounded(const struct model *m, length l)
{
    return m->stock_step > 0 ? (l + m->stock_step - 1) / m->stock_step * m->stock_step : l;
}

/* Of sticks the whole ones, then the piece that is left. */
static void each_tube(const struct cutting *x, const struct run *run,
                      void (*add)(void *, const struct cable_def *, struct piece), void *context)
{
    const struct raceway_def *w = run->raceway;
    length left = rounded(x->m, route_raceway_length(run, &x->routes->of_run[run->id]));
    for (; w->stick > 0 && left > w->stick; left -= w->stick)
        add(context, tube(x, w),
            (struct piece){.run = run, .length = w->stick, .ends = {run->from, run->to}});
    if (left > 0)
        add(context, tube(x, w),
            (struct piece){.run = run, .length = left, .ends = {run->from, run->to}});
}

/* --- one conductor ------------------------------------------------------------------------ */

/* A conductor of a run: the net that it is; NULL: the ground wire. */
struct single {
    const struct cutting *x;
    const struct net *net;
};

/* The run that it goes on into, uncut, beyond an end of a run; NULL: it ends there. */
static const struct run *beyond(const struct single *s, const struct run *run, bool at_to)
{
    const struct box *b = at_to ? run->to.box : run->from.box;
    if (!b || !facts_is_passed(b))
        return NULL;
    return s->net ? wiring_passes_from(s->x->wiring, b, s->net, run)
           : wiring_ground_passes(s->x->wiring, b) ? b->runs.at[b->runs.at[0] == run]
                                                   : NULL;
}

/* All that it is long, from the end of a run where it ends on to where it ends again: there `*last`
 * is its last run, and `*at_to` at which end. */
static length follow(const struct single *s, const struct run *run, bool *at_to,
                     const struct run **last)
{
    length whole = s->x->routes->of_run[run->id].electrical;
    for (const struct run *next; (next = beyond(s, run, *at_to)); run = next) {
        const struct route *here = &s->x->routes->of_run[run->id],
                           *there = &s->x->routes->of_run[next->id];
        const struct box *b = *at_to ? run->to.box : run->from.box;
        bool enters = next->to.box == b;
        whole += there->electrical - here->tails[*at_to] - there->tails[enters];
        *at_to = !enters;
    }
    *last = run;
    return rounded(s->x->m, whole);
}

/* Of the two runs that a conductor ends in one has it in its list: that nearer the source, else the
 * one whose name comes first. */
static bool is_listed_with(struct arena *scratch, const struct run *run, bool at_to,
                           const struct run *last, bool last_to)
{
    if (at_to != last_to)
        return last_to;
    return strcmp(address_of_run(scratch, run, false), address_of_run(scratch, last, false)) < 0;
}

/* What is to be cut of a conductor for a run; false: nothing, it is cut for another one. */
static bool piece_of(const struct single *s, const struct run *run, struct piece *piece)
{
    const bool on[2] = {beyond(s, run, false) != NULL, beyond(s, run, true) != NULL};
    const struct run *last;
    if (on[0] && on[1])
        return false;
    bool at_to = on[1], outer = !on[1];
    piece->run = run;
    piece->length = follow(s, run, &at_to, &last);
    if (!on[0] && !on[1]) {
        piece->ends[0] = run->from;
        piece->ends[1] = run->to;
        return true;
    }
    piece->ends[0] = outer ? run->to : run->from;
    piece->ends[1] = at_to ? last->to : last->from;
    return is_listed_with(s->x->arena, run, outer, last, at_to);
}

/* --- all of it ---------------------------------------------------------------------------- */

static void add_single(const struct single *s, const struct run *run, length measured,
                       const struct cable_def *of,
                       void (*add)(void *, const struct cable_def *, struct piece), void *context)
{
    struct piece piece;
    if (!piece_of(s, run, &piece))
        return;
    piece.length = measured ? measured : piece.length;
    add(context, of, piece);
}

void goods_each(const struct cutting *x, const struct run *run, length measured,
                void (*add)(void *context, const struct cable_def *of, struct piece piece),
                void *context)
{
    const struct run_wiring *w = &x->wiring->of_run[run->id];
    const struct cable_def *set = wiring_cable_of_run(run, x->wiring);
    for (uint8_t i = 0; set && set->of && i < set->conductors; i++) {
        struct single s = {x, w->conductors[i].net};
        add_single(&s, run, measured, spool(x, set->of, set->colors[i]), add, context);
    }
    if (set && set->of && set->ground != GROUND_RACEWAY) {
        struct single s = {x, NULL};
        add_single(&s, run, measured,
                   spool(x, of_size(x->m, set->of, set->ground_size),
                         set->ground == GROUND_BARE ? "bare" : "green"),
                   add, context);
    }
    each_tube(x, run, add, context);
}

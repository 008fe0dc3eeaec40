/* What hangs came off its coil, what is still to cut comes off one once: the pieces and the rest of
 * each coil are the coil, and no cable is cut, pulled or left out twice. */
#include "properties.h"

#include "cuts/cuts.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <stdlib.h>

bool property_coils(const struct subject *s, struct buf *why);

static bool coil_adds_up(const struct cut_coil *coil, struct buf *why)
{
    length left = coil->stock, pulled = 0;
    for (uint32_t i = 0; i < coil->cut_count; i++) {
        left -= coil->cuts[i].length;
        pulled += coil->cuts[i].pulled ? coil->cuts[i].length : 0;
        if (coil->cuts[i].remainder != left || coil->cuts[i].pulled != (i < coil->pulled_count)) {
            buf_printf(why, "piece %u of coil %s leaves another rest than it says", i + 1,
                       coil->name);
            return false;
        }
    }
    if (left != coil->remainder || pulled != coil->pulled ||
        (left < 0 && coil->cut_count > coil->pulled_count)) {
        buf_printf(why, "the pieces and the rest of %s are not the coil", coil->name);
        return false;
    }
    return true;
}

/* Into how many pieces a run is cut: one cable; in a raceway each conductor and its ground wire,
 * and the raceway, in sticks where it comes in such. */
static uint32_t pieces_of(const struct compilation *c, const struct run *run)
{
    const struct cable_def *d = wiring_cable_of_run(run, c->wiring);
    const struct raceway_def *w = run->raceway;
    uint32_t n = d->of ? d->conductors + (d->ground != GROUND_RACEWAY) : 1;
    if (!w)
        return n;
    length way = route_raceway_length(run, &c->routes->of_run[run->id]),
           step = c->model->stock_step;
    way = step > 0 ? (way + step - 1) / step * step : way;
    return n + (way <= 0 ? 0 : w->stick > 0 ? (uint32_t)((way + w->stick - 1) / w->stick) : 1);
}

/* How often each run is cut or left out. */
static void count_cuts(const struct cable_cuts *c, uint32_t *times)
{
    for (uint32_t i = 0; i < c->coil_count; i++)
        for (uint32_t k = c->coils[i].pulled_count; k < c->coils[i].cut_count; k++)
            times[c->coils[i].cuts[k].run->id]++;
    for (uint32_t i = 0; i < c->too_long_count; i++)
        times[c->too_long[i]->id]++;
}

/* Whether something is to be cut for a run; of what goes on uncut from another one the raceway. */
static bool is_to_cut(const struct compilation *c, const struct run *run)
{
    return wiring_cable_of_run(run, c->wiring) && !run->existing &&
           c->routes->of_run[run->id].known &&
           (c->routes->of_run[run->id].cut > 0 || run->passage) && !log_hangs(c->log, run->id);
}

/* Runs that a conductor goes through uncut are counted together: the least of them has the count,
 * less a piece for each such joint. Joins them by the make-up; by run id. */
static uint32_t *join_passed(const struct compilation *c)
{
    uint32_t *set = calloc(c->model->runs.n + 1, sizeof *set);
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        set[i] = i;
    for (uint32_t j = 0; j < c->makeup->joints.n; j++) {
        const struct joint *joint = &c->makeup->joints.at[j];
        if (joint->kind != JOINT_PASS)
            continue;
        uint32_t a = joint->leads[0].run->id, b = joint->leads[1].run->id;
        while (set[a] != a)
            a = set[a];
        while (set[b] != b)
            b = set[b];
        set[a > b ? a : b] = a < b ? a : b;
    }
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        set[i] = set[set[i]]; /* those before it lead to the least already */
    return set;
}

/* A conductor that passes is a piece less where both its parts are to be cut. A sheathed cable is
 * one piece, whose conductors all pass. */
static void count_wanted(const struct compilation *c, const uint32_t *set, int64_t *wanted)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (is_to_cut(c, c->model->runs.at[i]))
            wanted[set[i]] += pieces_of(c, c->model->runs.at[i]);
    for (uint32_t j = 0; j < c->makeup->joints.n; j++) {
        const struct joint *joint = &c->makeup->joints.at[j];
        if (joint->kind != JOINT_PASS)
            continue;
        const struct run *run = joint->leads[0].run, *other = joint->leads[1].run;
        bool single = wiring_cable_of_run(run, c->wiring)->of != NULL,
             first = single || !joint->leads[0].conductor;
        if (first && is_to_cut(c, run) && is_to_cut(c, other))
            wanted[set[run->id]]--;
    }
}

/* Of what parts in a box some hangs and some does not, or of some the way is not known: nobody
 * counts that by runs. */
static bool hangs_in_part(const struct compilation *c, const uint32_t *set, uint32_t least)
{
    uint32_t hang = 0, all = 0;
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (set[i] == least) {
            hang += log_hangs(c->log, i) || !c->routes->of_run[i].known;
            all++;
        }
    return hang && hang < all;
}

bool property_coils(const struct subject *s, struct buf *why)
{
    const struct compilation *c = s->c;
    if (!c->model || !c->cuts || !c->makeup)
        return true;
    uint32_t *times = calloc(c->model->runs.n + 1, sizeof *times), *set = join_passed(c);
    int64_t *wanted = calloc(c->model->runs.n + 1, sizeof *wanted),
            *found = calloc(c->model->runs.n + 1, sizeof *found);
    bool holds = true;
    count_wanted(c, set, wanted);
    for (uint32_t i = 0; i < c->cuts->cable_count && holds; i++) {
        count_cuts(&c->cuts->cables[i], times);
        for (uint32_t k = 0; k < c->cuts->cables[i].coil_count && holds; k++)
            holds = coil_adds_up(&c->cuts->cables[i].coils[k], why);
    }
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        found[set[i]] += times[i];
    for (uint32_t i = 0; i < c->model->runs.n && holds; i++)
        if (found[i] != wanted[i] && !hangs_in_part(c, set, i)) {
            buf_printf(why, "run %u is cut %d times, not %d", i, (int)found[i], (int)wanted[i]);
            holds = false;
        }
    free(times);
    free(set);
    free(wanted);
    free(found);
    return holds;
}

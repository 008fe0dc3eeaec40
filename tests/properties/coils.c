/* What hangs came off its coil, what is still to cut comes off one once: the pieces and the rest of
 * each coil are the coil, and no cable is cut, pulled or left out twice. */
#include "properties.h"

#include "cuts/cuts.h"
#include "framing/routes.h"
#include "log/log.h"
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

static bool is_to_cut(const struct compilation *c, const struct run *run)
{
    return wiring_cable_of_run(run, c->wiring) && !run->existing &&
           c->routes->of_run[run->id].known && c->routes->of_run[run->id].cut > 0 &&
           !log_hangs(c->log, run->id);
}

bool property_coils(const struct subject *s, struct buf *why)
{
    const struct compilation *c = s->c;
    if (!c->model || !c->cuts)
        return true;
    uint32_t *times = calloc(c->model->runs.n + 1, sizeof *times);
    bool holds = true;
    for (uint32_t i = 0; i < c->cuts->cable_count && holds; i++) {
        count_cuts(&c->cuts->cables[i], times);
        for (uint32_t k = 0; k < c->cuts->cables[i].coil_count && holds; k++)
            holds = coil_adds_up(&c->cuts->cables[i].coils[k], why);
    }
    for (uint32_t i = 0; i < c->model->runs.n && holds; i++) {
        const struct run *run = c->model->runs.at[i];
        uint32_t wanted = is_to_cut(c, run) ? pieces_of(c, run) : 0;
        if (times[i] != wanted) {
            buf_printf(why, "run %u is cut %u times, not %u", i, times[i], wanted);
            holds = false;
        }
    }
    free(times);
    return holds;
}

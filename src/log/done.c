/* What of the work in the log the plan leaves standing. A cable that no longer reaches, or is not
 * the one that is asked for now, hangs there for nothing: it is pulled anew, through holes that are
 * bored anew, and the boxes at its ends are made up again. */
#include "log/entry.h"

#include "facts/pulls.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <string.h>

static bool is_other_cable(const struct log_event *pulled, const struct cable_def *cable)
{
    return pulled->cable && cable && strcmp(library_as_written(cable)->name, pulled->cable) != 0;
}

static bool was_later(const char *date, const struct log_event *pulled)
{
    return date && strcmp(date, pulled->date) > 0;
}

bool done_serves(const struct log_event *pulled, const struct model *m, const struct routes *routes,
                 const struct wiring *wiring, const struct run *run)
{
    return (!pulled->length || pulled->length >= log_least_length(m, routes, run)) &&
           !is_other_cable(pulled, wiring_cable_of_run(run, wiring));
}

static void settle_run(struct site_log *log, const struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct run *run)
{
    struct run_log *r = &log->of_run[run->id];
    r->done = r->states;
    if (!log_has(r->states, LOG_PULLED))
        return;
    if (r->unmeasured && (!r->pulled || (!done_serves(r->pulled, m, routes, wiring, run) &&
                                         was_later(r->unmeasured->date, r->pulled))))
        r->pulled = r->unmeasured;
    r->in_wall = r->pulled && r->pulled->length ? r->pulled->length : routes->of_run[run->id].cut;
    r->again = r->pulled && !run->existing && !done_serves(r->pulled, m, routes, wiring, run);
    if (r->again)
        r->done = was_later(r->bored_on, r->pulled) ? 1u << LOG_BORED : 0;
}

/* A box hangs where a cable ends that serves; it is opened again where one is pulled anew. */
static void settle_end(struct site_log *log, const struct run *run, struct end e)
{
    log_states *states = e.box     ? &log->of_box[e.box->id]
                         : e.panel ? &log->of_panel[e.panel->id]
                                   : NULL;
    if (!states)
        return;
    if (log->of_run[run->id].again)
        *states &= 1u << LOG_SET;
    else if (log_hangs(log, run->id))
        *states |= 1u << LOG_SET;
}

void done_settle(struct site_log *log, const struct model *m, const struct routes *routes,
                 const struct wiring *wiring)
{
    for (uint32_t i = 0; i < m->runs.n; i++)
        settle_run(log, m, routes, wiring, m->runs.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        settle_end(log, m->runs.at[i], m->runs.at[i]->from);
        settle_end(log, m->runs.at[i], m->runs.at[i]->to);
        settle_end(log, m->runs.at[i], facts_pull_to(m->runs.at[i]));
    }
}

const struct log_event *done_member_bored(const struct site_log *log, const struct passed *p)
{
    return p->member == MEMBER_JOIST ? map_find(&log->bored, 0, p->level)
                                     : map_find(&log->bored, 0, &p->room->walls[p->wall]);
}

bool log_is_bored(const struct site_log *log, const struct bores *bores, const struct bore *bore)
{
    if (!log)
        return false;
    const struct passed p = bore_member(bores, bore);
    const struct log_event *member = done_member_bored(log, &p);
    for (uint32_t i = 0; i < bore->run_count; i++) {
        const struct run_log *r = &log->of_run[bore->runs[i]->id];
        if (log_has(r->done, LOG_BORED) ||
            (member && (!r->again || was_later(member->date, r->pulled))))
            return true;
    }
    return false;
}

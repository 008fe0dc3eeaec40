/* What the log says of finishes, noted in the model for those who lead cables and choose boxes: the
 * day on which a wall or ceiling was closed, and by which each cable hung and each box was set. */
#include "log/entry.h"

#include "base/date.h"
#include "facts/closed.h"
#include "log/log.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/wiring.h"

/* The days by which a cable hung; 0: by none. */
struct hung {
    uint32_t piece;  /* one that was measured and serves */
    uint32_t any;    /* what else was logged that comes behind the pull */
    bool other_hung; /* a piece was pulled that does not serve: which one else is meant is not known
                      */
};

static void keep_first(uint32_t *first, uint32_t day)
{
    if (day && (!*first || day < *first))
        *first = day;
}

static bool counts(const struct log_event *e)
{
    return !e->undoes && !e->taken_back;
}

/* --- what was closed ---------------------------------------------------------------------- */

static void close_wall(const struct wall *wall, uint32_t day)
{
    keep_first(&((struct wall *)wall)->closed_on, day);
}

static void close_room(const struct log_event *e)
{
    const struct log_subject *about = &e->about;
    struct room *room = (struct room *)about->closed;
    uint32_t day = date_number(e->date);
    if (about->wall)
        close_wall(about->wall, day);
    else
        keep_first(&room->ceiling_closed_on, day);
    for (uint32_t i = 0; !about->wall && !about->ceiling && i < room->wall_count; i++)
        close_wall(&room->walls[i], day);
}

/* Gives the first day on which anything was closed; 0: nothing was. */
static uint32_t note_closings(const struct site_log *log)
{
    uint32_t first = 0;
    for (uint32_t i = 0; i < log->events.n; i++) {
        const struct log_event *e = log->events.at[i];
        if (e->state != LOG_CLOSED || !e->about.closed || !counts(e))
            continue;
        close_room(e);
        keep_first(&first, date_number(e->date));
    }
    return first;
}

/* --- what was done by then ---------------------------------------------------------------- */

static void note_pull(struct hung *hung, const struct log_event *e, bool serves)
{
    bool measured = e->state == LOG_PULLED && e->length;
    if (measured && !serves)
        hung->other_hung = true;
    else
        keep_first(measured ? &hung->piece : &hung->any, date_number(e->date));
}

static struct hung *find_hung(struct arena *arena, const struct site_log *log,
                              const struct model *m, const struct routes *routes,
                              const struct wiring *wiring)
{
    struct hung *hung = arena_array(arena, struct hung, m->runs.n + 1);
    for (uint32_t i = 0; i < log->events.n; i++) {
        const struct log_event *e = log->events.at[i];
        if (!counts(e) || !log_has(log_cable_states(e->state), LOG_PULLED))
            continue;
        for (uint32_t k = 0; k < e->about.runs.n; k++) {
            const struct run *run = e->about.runs.at[k];
            const struct log_event *its = log_share(e, k);
            note_pull(&hung[run->id], its, done_serves(its, m, routes, wiring, run));
        }
    }
    return hung;
}

static void note_runs(const struct site_log *log, struct model *m, const struct hung *hung)
{
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run_log *r = &log->of_run[i];
        uint32_t day = hung[i].piece;
        if (!hung[i].other_hung)
            keep_first(&day, hung[i].any);
        if (!day && r->pulled) /* none was measured that serves: the one that counts does */
            day = date_number(r->pulled->date);
        m->runs.at[i]->hung_on = r->again ? 0 : day;
    }
}

/* A box hangs where a cable ends that serves, and what is there already was there before. */
static void note_boxes(const struct site_log *log, struct model *m)
{
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        struct box *b = m->boxes.at[i];
        const char *set = log->box_dates[i].on[LOG_SET];
        b->set_on = b->existing ? 1 : set ? date_number(set) : 0;
        for (uint32_t k = 0; k < b->runs.n; k++)
            keep_first(&b->set_on, b->runs.at[k]->existing ? 0 : b->runs.at[k]->hung_on);
        for (uint32_t k = 0; k < b->low_voltage.n; k++)
            keep_first(&b->set_on,
                       b->low_voltage.at[k]->existing ? 0 : b->low_voltage.at[k]->hung_on);
    }
}

static bool anything_left(const struct model *m, uint32_t closed)
{
    bool left = false;
    for (uint32_t i = 0; i < m->runs.n && !left; i++)
        left = !m->runs.at[i]->existing && closed < facts_hung_by(m->runs.at[i]);
    for (uint32_t i = 0; i < m->boxes.n && !left; i++)
        left = !m->boxes.at[i]->existing && closed < facts_set_by(m->boxes.at[i]);
    return left;
}

bool log_note_closed(struct arena *arena, const struct site_log *log, struct model *m,
                     const struct routes *routes, const struct wiring *wiring)
{
    uint32_t first = note_closings(log);
    if (!first)
        return false;
    note_runs(log, m, find_hung(arena, log, m, routes, wiring));
    note_boxes(log, m);
    return anything_left(m, first);
}

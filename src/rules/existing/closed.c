/* closed-too-early: what was behind a finish when the site log says that it was put on, and was not
 * done or not inspected by then. */
#include "facts/boxes.h"
#include "facts/closed.h"
#include "facts/existing.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/site.h"
#include "rules/check.h"

#include <string.h>

RULE(closed_too_early, "closed-too-early", ERROR, WAIVABLE,
     "what lies behind a wall is done and inspected before it is closed");

struct closing {
    const struct checked *c;
    const struct log_event *event;
    const char *what, *lacks; /* the first thing that was not done, and which work it lacks */
    uint32_t more;
};

/* Runs are asked before boxes; of either sort the first by its address is named, so that the order
 * of the plan decides nothing. */
static void find_lacking(struct closing *k, const char *what, const char *lacks)
{
    bool sooner = !k->what || (*what == *k->what && strcmp(what, k->what) < 0);
    k->more += k->what != NULL;
    k->what = sooner ? what : k->what;
    k->lacks = sooner ? lacks : k->lacks;
}

/* Whether a state was reached on the day of the closing or before. */
static bool was_done(const struct closing *k, const struct log_dates *dates, enum log_state state)
{
    return dates->on[state] && strcmp(dates->on[state], k->event->date) <= 0;
}

/* --- boxes -------------------------------------------------------------------------------- */

static bool is_behind(const struct closing *k, const struct box *b)
{
    const struct log_subject *about = &k->event->about;
    const struct wall *wall = facts_wall_of_box(b);
    if (about->wall)
        return wall == about->wall;
    return b->place.where == OVERHEAD || (wall && !about->ceiling);
}

/* A box that the plan has set and wired when the finish is on: old-work, its cables fished. */
static bool comes_later(const struct box *b)
{
    return facts_is_fished_to(b) || facts_stays_closed(b) || (b->declared && b->declared->old_work);
}

static void check_box(struct closing *k, const struct box *b)
{
    const struct log_dates *dates = &k->c->log->box_dates[b->id];
    bool cable = facts_gets_cable(b, NULL);
    for (uint32_t i = 0; i < b->low_voltage.n; i++)
        cable |= !b->low_voltage.at[i]->existing;
    if (!cable || !is_behind(k, b) || comes_later(b) || was_done(k, dates, LOG_INSPECTED))
        return;
    find_lacking(
        k, arena_printf(k->c->model->arena, "box %s", address_of_box(k->c->model->arena, b, true)),
        was_done(k, dates, LOG_MADE_UP) ? "inspected" : "made up");
}

/* --- runs --------------------------------------------------------------------------------- */

static bool lies_in_wall(const struct closing *k, const struct segment *s, uint32_t wall)
{
    const struct skeleton *f = k->c->routes->frame;
    const struct face *face = frame_face_of(f, k->event->about.closed, wall),
                      *own = s->room ? frame_face_of(f, s->room, s->wall) : NULL;
    if (!own || own->line == NO_INDEX || own->line != face->line)
        return false;
    struct point middle = {(s->from.x + s->to.x) / 2, (s->from.y + s->to.y) / 2};
    length at = frame_line_place(&f->lines[own->line], middle);
    return face->lo <= at && at <= face->hi;
}

static bool lies_over(const struct room *room, const struct segment *s)
{
    length x = (s->from.x + s->to.x) / 2, y = (s->from.y + s->to.y) / 2,
           over = s->from.z - room->level->floor - room->ceiling;
    bool joists = s->kind == ALONG_JOISTS || s->kind == ACROSS_JOISTS;
    return joists && over >= 0 && over <= room->joists.lumber.depth && room->low.x < x &&
           x < room->high.x && room->low.y < y && y < room->high.y;
}

static bool passes(const struct closing *k, const struct segment *s)
{
    const struct log_subject *about = &k->event->about;
    const struct room *room = about->closed;
    bool wall = s->kind == IN_BAY || s->kind == THROUGH_STUDS;
    for (uint32_t i = 0; wall && !about->ceiling && i < room->wall_count; i++)
        if ((!about->wall || about->wall == &room->walls[i]) && lies_in_wall(k, s, i))
            return true;
    return !about->wall && lies_over(room, s);
}

static bool is_open_by_plan(const struct segment *s)
{
    return !s->closed || s->closed_later;
}

static void check_run(struct closing *k, const struct run *run)
{
    const struct checked *c = k->c;
    const struct route *route = &c->routes->of_run[run->id];
    const struct log_dates *dates = &c->log->run_dates[run->id];
    bool behind = false;
    if (run->existing || run->fished || run->exposed || !facts_is_built(facts_unit_of_run(run)) ||
        (was_done(k, dates, LOG_PULLED) && (!route->supports || was_done(k, dates, LOG_STAPLED))))
        return;
    for (uint32_t i = 0; i < route->segment_count && !behind; i++)
        behind = is_open_by_plan(&route->segments[i]) && passes(k, &route->segments[i]);
    if (behind)
        find_lacking(
            k, arena_printf(c->model->arena, "run %s", address_of_run(c->model->arena, run, true)),
            was_done(k, dates, LOG_PULLED) ? "stapled" : "pulled");
}

/* --- closings ----------------------------------------------------------------------------- */

static const char *closed_words(const struct closing *k)
{
    const struct log_subject *about = &k->event->about;
    const char *room = about->closed->name;
    struct arena *arena = k->c->model->arena;
    return about->wall ? arena_printf(arena, "the %s wall of room '%s'", about->wall->name, room)
           : about->ceiling ? arena_printf(arena, "the ceiling of room '%s'", room)
                            : arena_printf(arena, "room '%s'", room);
}

static void check_closing(const struct checked *c, const struct log_event *e)
{
    struct model *m = c->model;
    struct closing k = {.c = c, .event = e};
    const struct room *room = e->about.closed;
    for (uint32_t i = 0; i < m->runs.n; i++)
        check_run(&k, m->runs.at[i]);
    for (uint32_t i = 0; i < room->boxes.n; i++)
        check_box(&k, room->boxes.at[i]);
    if (!k.what)
        return;
    const char *more = k.more ? arena_printf(m->arena, "; the same of %u more", k.more) : "";
    struct finding *f = model_finding(m, &rule_closed_too_early, e->span, room->unit,
                                      address_of_room(m->arena, room, false),
                                      "%s was closed on %s, and %s behind it was not %s by then%s",
                                      closed_words(&k), e->date, k.what, k.lacks, more);
    diag_mend(m->diag, f,
              "open it and log the work; what was done and not logged: log it with its day; what "
              "is to come behind the finish: 'fished' on its runs");
}

static void check_closings(const struct checked *c)
{
    for (uint32_t i = 0; c->log && i < c->log->events.n; i++) {
        const struct log_event *e = c->log->events.at[i];
        if (e->state == LOG_CLOSED && e->about.closed && !e->undoes && !e->taken_back) {
            looked(c, closed_too_early);
            check_closing(c, e);
        }
    }
}
CHECK(closed_too_early, .plan = check_closings);

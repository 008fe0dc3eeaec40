#include "log/log.h"

#include "diag/diag.h"
#include "diag/near.h"
#include "facts/pulls.h"
#include "framing/routes.h"
#include "log/entry.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

#include <string.h>

/* At the end of a line: it was torn by a crash, and whatever it says does not count. */
static const char torn_mark[] = "#torn";

const char *log_path(struct arena *arena, const char *plan)
{
    size_t len = strlen(plan);
    if (!strcmp(plan, "-"))
        return NULL;
    if (len > 4 && !strcmp(plan + len - 4, ".bay"))
        len -= 4;
    return arena_printf(arena, "%.*s.log", (int)len, plan);
}

/* --- reading ------------------------------------------------------------------------------ */

struct reader {
    struct arena *arena;
    struct model *m;
    struct site_log *log;
    struct map words;      /* (0, interned date and words) -> struct log_event: each counts once */
    struct map taken_back; /* (0, interned words) -> the latest event that takes them back */
    struct map held;       /* (0, interned words) -> an event that is taken back */
    const struct routes *routes;
};

/* --- a strand ----------------------------------------------------------------------------- */

/* What each hop of a strand is cut by the plan, and what it needs at least; in all. */
struct needs {
    length *cut, *least, all_cut, all_least;
};

static struct needs needs_of(const struct reader *r, const struct log_event *e)
{
    struct needs n = {arena_array(r->arena, length, e->about.runs.n + 1),
                      arena_array(r->arena, length, e->about.runs.n + 1), 0, 0};
    bool known = true;
    for (uint32_t i = 0; i < e->about.runs.n; i++) {
        const struct run *run = e->about.runs.at[i];
        n.cut[i] = r->routes->of_run[run->id].cut;
        n.least[i] = log_least_length(r->m, r->routes, run);
        known = known && n.cut[i] > 0 && n.least[i] <= n.cut[i];
    }
    for (uint32_t i = 0; i < e->about.runs.n; i++) {
        n.cut[i] = known ? n.cut[i] : 1; /* nobody knows: all alike */
        n.least[i] = known ? n.least[i] : 0;
        n.all_cut += n.cut[i];
        n.all_least += n.least[i];
    }
    return n;
}

/* The part of `of` that `weight` of `all` is. */
static length part_of(length of, length weight, length all)
{
    return all ? (length)((__int128)of * weight / all) : 0;
}

/* A strand was measured as one: who left the loops left enough in each while it lasted. Each hop
 * has what it needs at least, and of the rest as much as the plan gives it; where it does not
 * suffice, as it needs. The shares are the length. */
static void share_length(struct reader *r, struct log_event *e)
{
    struct needs n = needs_of(r, e);
    struct log_event *shares = arena_array(r->arena, struct log_event, e->about.runs.n + 1);
    length spare = e->length - n.all_least, before = 0, weight = 0, least = 0;
    bool by_cut = spare >= 0 && n.all_cut == n.all_least, enough = spare >= 0;
    for (uint32_t i = 0; i < e->about.runs.n; i++) {
        shares[i] = *e;
        shares[i].whole = e;
        shares[i].about = (struct log_subject){0};
        *vec_push(r->arena, &shares[i].about.runs) = e->about.runs.at[i];
        least += n.least[i];
        weight += by_cut ? n.cut[i] : enough ? n.cut[i] - n.least[i] : n.least[i];
        length upto = by_cut   ? part_of(e->length, weight, n.all_cut)
                      : enough ? least + part_of(spare, weight, n.all_cut - n.all_least)
                               : part_of(e->length, weight, n.all_least);
        shares[i].length = upto - before;
        before = upto;
    }
    e->shares = shares;
}

static const char *key_of(const struct reader *r, const struct log_event *e)
{
    return names_of(r->m->names,
                    arena_printf(r->arena, "%s %s%s", e->date, e->undoes ? "not " : "", e->words));
}

RULE(log_entry_unknown, "log-entry-unknown", WARNING, WAIVABLE,
     "what the site log names is in the plan");

static void say_unknown(const struct reader *r, const struct log_event *e, const char *why)
{
    struct finding *f = diag_add(r->m->diag, &rule_log_entry_unknown, e->span,
                                 "the site log says what the plan does not know: %s", why);
    f->subject = e->subject;
    diag_mend(r->m->diag, f,
              "log it again by the plan's name, and take this back: 'not' and the same words");
}

RULE(log_line_torn, "log-line-torn", NOTE, FIRM, "every line of the site log is whole");

static bool is_torn(const char *line)
{
    size_t len = strlen(line), mark = strlen(torn_mark);
    return len >= mark && !strcmp(line + len - mark, torn_mark);
}

static void read_line(struct reader *r, struct source *source, uint32_t off, uint32_t len)
{
    struct log_event *e = arena_new(r->arena, struct log_event);
    const char *line = arena_copy(r->arena, source->bytes + off, len), *why = NULL;
    while (len && (line[len - 1] == '\r' || line[len - 1] == ' '))
        len--;
    e->span = (struct span){source, off, len};
    if (is_torn(arena_copy(r->arena, line, len))) {
        diag_mend(r->m->diag,
                  diag_add(r->m->diag, &rule_log_line_torn, e->span,
                           "this line of the site log was torn by a crash; it does not count"),
                  "log the event again");
        return;
    }
    if (!entry_read(r->arena, line, NULL, e, &why)) {
        diag_add(r->m->diag, &rule_log_entry_unknown, e->span,
                 "this line of the site log is no event: %s", why);
        return;
    }
    if (!e->words)
        return;
    void **at = map_at(r->arena, &r->words, 0, (uintptr_t)key_of(r, e));
    e->again = *at;
    *at = e;
    if (e->again) {
        struct log_event *first = e->again;
        e->again = first->again;
        first->again = e;
        *at = first;
        return;
    }
    *vec_push(r->arena, &r->log->events) = e;
    if (!e->undoes)
        return;
    void **back = map_at(r->arena, &r->taken_back, 0, (uintptr_t)names_of(r->m->names, e->words));
    const struct log_event *before = *back;
    if (!before || strcmp(before->date, e->date) < 0)
        *back = e;
}

/* Every whole line; what stands behind the last newline was torn. */
static void read_lines(struct reader *r, struct source *source)
{
    uint32_t off = 0;
    while (off < source->size) {
        const char *end = memchr(source->bytes + off, '\n', source->size - off);
        uint32_t len = end ? (uint32_t)(end - source->bytes) - off : source->size - off;
        if (end)
            read_line(r, source, off, len);
        else
            diag_mend(r->m->diag,
                      diag_add(r->m->diag, &rule_log_line_torn, (struct span){source, off, len},
                               "the site log ends in the middle of a line; the line does not count "
                               "until its end is there"),
                      "log the event again");
        off += len + 1;
    }
}

/* --- applying ----------------------------------------------------------------------------- */

/* Work on a cable goes one way: what is stapled was pulled, what was pulled was bored for. */
log_states log_cable_states(enum log_state state)
{
    log_states states = (log_states)(1u << state);
    if (state == LOG_STAPLED || state == LOG_INSPECTED)
        states |= 1u << LOG_STAPLED | 1u << LOG_PULLED | 1u << LOG_BORED;
    if (state == LOG_PULLED)
        states |= 1u << LOG_BORED;
    return states;
}

/* What is inspected or trimmed out was made up, what is made up hangs, and a circuit is tested when
 * its devices are in. */
static log_states box_states(enum log_state state)
{
    log_states states = (log_states)(1u << state | 1u << LOG_SET);
    if (state == LOG_TESTED)
        states |= 1u << LOG_TRIMMED;
    if (state != LOG_SET)
        states |= 1u << LOG_MADE_UP;
    return states;
}

/* The latest pull counts: the cable in the wall is the last one. Of two on one day it is the longer
 * one, since a short one is what is pulled again.
 */
static bool counts_more(const struct log_event *e, const struct log_event *than)
{
    if (!than)
        return true;
    int later = strcmp(e->date, than->date);
    return later > 0 ||
           (later == 0 && (e->length > than->length ||
                           (e->length == than->length && strcmp(e->words, than->words) > 0)));
}

static void note_bored(struct run_log *run, const char *date)
{
    if (!run->bored_on || strcmp(run->bored_on, date) < 0)
        run->bored_on = date;
}

static void note_dates(struct log_dates *dates, log_states states, const char *date)
{
    for (int s = 0; s < LOG_STATES; s++)
        if (log_has(states, (enum log_state)s) && (!dates->on[s] || strcmp(date, dates->on[s]) < 0))
            dates->on[s] = date;
}

static void note_states(struct site_log *log, const struct run *run, const struct log_event *e)
{
    log->of_run[run->id].states |= log_cable_states(e->state);
    note_dates(&log->run_dates[run->id], log_cable_states(e->state), e->date);
}

/* What an event says of its runs; `all` is of a strand all of it. */
static void apply_to_runs(struct site_log *log, const struct log_event *all)
{
    for (uint32_t i = 0; i < all->about.runs.n; i++) {
        const struct log_event *e = log_share(all, i);
        const struct run *about = all->about.runs.at[i];
        struct run_log *run = &log->of_run[about->id];
        note_states(log, about, e);
        for (uint32_t k = 1; e->state == LOG_PULLED && about->passage && k < about->passage->count;
             k++)
            note_states(log, about->passage->runs[k], e);
        if (e->state == LOG_BORED)
            note_bored(run, e->date);
        if (e->state == LOG_PULLED && e->length && counts_more(e, run->pulled))
            run->pulled = e;
        if (e->state == LOG_PULLED && !e->length && e->about.runs.n == 1 &&
            counts_more(e, run->unmeasured))
            run->unmeasured = e;
    }
}

static void apply(struct site_log *log, const struct log_event *e)
{
    apply_to_runs(log, e);
    for (uint32_t i = 0; i < e->about.boxes.n; i++) {
        log->of_box[e->about.boxes.at[i]->id] |= box_states(e->state);
        note_dates(&log->box_dates[e->about.boxes.at[i]->id], box_states(e->state), e->date);
    }
    for (uint32_t i = 0; i < e->about.panels.n; i++)
        log->of_panel[e->about.panels.at[i]->id] |= box_states(e->state);
}

/* A cable is bored for when every member on its way is bored. */
static void apply_members(struct reader *r)
{
    for (uint32_t i = 0; r->log->bored.n && i < r->m->runs.n; i++) {
        const struct route *route = &r->routes->of_run[i];
        const char *last = NULL;
        uint32_t bored = 0;
        for (uint32_t k = 0; k < route->passed_count; k++) {
            struct passed p = route_member(r->routes->frame, route, k);
            const struct log_event *e = done_member_bored(r->log, &p);
            bored += e != NULL;
            if (e && (!last || strcmp(e->date, last) < 0)) /* the first of them: all may be older */
                last = e->date;
        }
        if (!bored || bored != route->passed_count)
            continue;
        r->log->of_run[i].states |= 1u << LOG_BORED;
        note_bored(&r->log->of_run[i], last);
    }
}

static void keep_bored(struct reader *r, const void *thing, struct log_event *e)
{
    void **at = thing ? map_at(r->arena, &r->log->bored, 0, (uintptr_t)thing) : NULL;
    const struct log_event *before = at ? *at : NULL;
    if (at && (!before || strcmp(before->date, e->date) < 0))
        *at = e;
}

static void apply_all(struct reader *r)
{
    struct site_log *log = r->log;
    for (uint32_t i = 0; i < log->events.n; i++) {
        struct log_event *e = log->events.at[i];
        const char *words = names_of(r->m->names, e->words);
        const struct log_event *back = map_find(&r->taken_back, 0, words);
        e->taken_back = !e->undoes && back && strcmp(e->date, back->date) <= 0;
        if (e->taken_back)
            map_put(r->arena, &r->held, 0, (uintptr_t)words, e);
    }
    for (uint32_t i = 0; i < log->events.n; i++) {
        struct log_event *e = log->events.at[i];
        const char *why = NULL;
        if (e->undoes) {
            if (!map_find(&r->held, 0, names_of(r->m->names, e->words)))
                say_unknown(r, e, "it takes back an event that no line holds");
        } else if (!e->taken_back) {
            if (!index_find(log->index, e, &why)) {
                say_unknown(r, e, why);
                continue;
            }
            if (e->state == LOG_PULLED && e->length && e->about.runs.n > 1)
                share_length(r, e);
            apply(log, e);
            for (uint32_t k = 0; k < e->about.gone.n; k++)
                map_put(r->arena, &log->removed, 0, (uintptr_t)e->about.gone.at[k], e);
            if (e->state == LOG_CLOSED || e->state == LOG_PHOTO)
                continue;
            keep_bored(r, e->about.wall, e);
            keep_bored(r, e->about.joists, e);
        }
    }
    apply_members(r);
}

struct site_log *log_read(struct arena *arena, struct model *m, const struct routes *routes,
                          const struct wiring *wiring, struct source *source)
{
    struct site_log *log = arena_new(arena, struct site_log);
    *log = (struct site_log){.path = source->path, .index = index_make(arena, m, wiring)};
    log->of_run = arena_array(arena, struct run_log, m->runs.n + 1);
    log->run_dates = arena_array(arena, struct log_dates, m->runs.n + 1);
    log->box_dates = arena_array(arena, struct log_dates, m->boxes.n + 1);
    log->of_box = arena_array(arena, log_states, m->boxes.n + 1);
    log->of_panel = arena_array(arena, log_states, m->panels.n + 1);
    struct reader r = {.arena = arena, .m = m, .routes = routes, .log = log};
    read_lines(&r, source);
    apply_all(&r);
    done_settle(log, m, routes, wiring);
    photo_settle(log, m);
    return log;
}

bool log_is_removed(const struct site_log *log, const void *thing)
{
    return log && map_find(&log->removed, 0, thing);
}

const char log_undo[] = "undo";

/* --- one more event ----------------------------------------------------------------------- */

static const struct log_event *standing(const struct site_log *log, const char *words)
{
    for (uint32_t i = 0; i < log->events.n; i++)
        if (!log->events.at[i]->undoes && !log->events.at[i]->taken_back &&
            !strcmp(log->events.at[i]->words, words))
            return log->events.at[i];
    return NULL;
}

/* What is taken back must stand in the log, as it was typed or in the plan's own words. */
static bool accept_back(struct site_log *log, struct arena *arena, struct log_event *e,
                        const char **why)
{
    const char *unused = NULL;
    if (!standing(log, e->words) && index_find(log->index, e, &unused))
        index_settle(log->index, e);
    if (standing(log, e->words))
        return true;
    struct nearest near = nearest_to(e->words);
    for (uint32_t i = 0; i < log->events.n; i++)
        if (!log->events.at[i]->undoes && !log->events.at[i]->taken_back)
            nearest_try(&near, log->events.at[i]->words);
    *why = near.found ? arena_printf(arena, "the log does not hold '%s'; did you mean %s?",
                                     e->words, nearest_in_words(arena, &near, NULL))
                      : arena_printf(arena, "the log does not hold '%s'", e->words);
    return false;
}

/* Whether the log holds that line; with the note, where one is typed. */
static bool is_there(const struct site_log *log, const struct log_event *e)
{
    for (uint32_t i = 0; i < log->events.n; i++) {
        const struct log_event *other = log->events.at[i];
        if (other->undoes != e->undoes || other->taken_back || strcmp(other->date, e->date) != 0 ||
            strcmp(other->words, e->words) != 0)
            continue;
        for (; other && e->note; other = other->again)
            if (other->note && !strcmp(other->note, e->note))
                return true;
        return !e->note;
    }
    return false;
}

/* What is written in full, or what it can only be. */
static bool find_typed(struct site_log *log, struct log_event *e, const char **why)
{
    const char *several = NULL;
    if (index_find(log->index, e, why))
        return true;
    if (index_guess(log->index, e, &several))
        return index_find(log->index, e, why);
    *why = several ? several : *why;
    return false;
}

/* The latest line that stands, to be taken back; NULL: there is none. */
static const char *last_line(const struct site_log *log)
{
    for (uint32_t i = log->events.n; i-- > 0;)
        if (!log->events.at[i]->undoes && !log->events.at[i]->taken_back)
            return log->events.at[i]->words;
    return NULL;
}

const char *log_accept(struct site_log *log, struct arena *arena, const char *today,
                       const char *event, const char **why)
{
    struct log_event e = {0};
    if (!strcmp(event, log_undo)) {
        const char *last = last_line(log);
        *why = "there is nothing in the log that could be taken back";
        return last ? arena_printf(arena, "%s not %s\n", today, last) : NULL;
    }
    if (!entry_read(arena, event, today, &e, why))
        return NULL;
    if (!e.words) {
        *why = "an event is missing";
        return NULL;
    }
    if (e.note && is_torn(e.note)) {
        *why = arena_printf(arena, "a note that ends in %s would make its line count for nothing",
                            torn_mark);
        return NULL;
    }
    if (e.undoes) {
        if (!accept_back(log, arena, &e, why))
            return NULL;
    } else {
        if (!find_typed(log, &e, why) || (e.photo && !photo_find(arena, log->path, e.photo, why)))
            return NULL;
        index_settle(log->index, &e);
    }
    return is_there(log, &e) ? ""
                             : arena_printf(arena, "%s %s%s%s%s\n", e.date, e.undoes ? "not " : "",
                                            e.words, e.note ? " " : "", e.note ? e.note : "");
}

/* A hop's tails are `slack` at each end and what the code wants; the plan's own extras are what may
 * be missing. */
length log_least_length(const struct model *m, const struct routes *routes, const struct run *run)
{
    if (!routes->of_run[run->id].known || run->existing || run != facts_pulled_with(run))
        return 0;
    length least = 0;
    for (uint32_t i = 0; i < (run->passage ? run->passage->count : 1); i++) {
        const struct run *part = run->passage ? run->passage->runs[i] : run;
        const struct route *route = &routes->of_run[part->id];
        length more =
            part->spare + (route->tails[0] > 0) * m->slack + (route->tails[1] > 0) * m->slack;
        least += route->measured ? route->electrical : route->electrical - more;
    }
    return least > 0 ? least : 0;
}

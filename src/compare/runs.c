/* Runs of two plans: which are the same, how their lengths change, and whether the cable that hangs
 * there still reaches. */
#include "compare/work.h"

#include "compare/compare.h"
#include "emit/words/circuits.h"
#include "cuts/cuts.h"
#include "emit/results.h"
#include "framing/routes.h"
#include "facts/pulls.h"
#include "log/log.h"
#include "model/address.h"
#include "model/model.h"
#include <string.h>

const char compare_still_reaches[] = "still reaches";

/* --- matching ----------------------------------------------------------------------------- */

/* Runs of the old plan between the same two ends. */
struct group {
    VEC(const struct run_view *) runs;
};

/* The names that the new plan's arena knows make equal addresses of both plans equal pointers. */
static const char *ends_key(struct arena *arena, struct names *names, const struct run_view *v)
{
    const char *from = address_of_end(arena, facts_pull_from(v->run), false),
               *to = address_of_end(arena, facts_pull_to(v->run), false);
    bool turned = strcmp(from, to) > 0;
    return names_of(names, arena_printf(arena, "%s %s", turned ? to : from, turned ? from : to));
}

static bool same_text(const char *a, const char *b)
{
    return a == b || (a && b && !strcmp(a, b));
}

static unsigned likeness(const struct run_view *a, const struct run_view *b)
{
    return 4 * (a->run->label && same_text(a->run->label, b->run->label)) +
           2 * same_text(a->work, b->work) + same_text(a->cable, b->cable);
}

/* Takes the likeliest run out of a group. */
static const struct run_view *take_like(struct group *g, const struct run_view *run)
{
    uint32_t best = 0;
    unsigned most = 0;
    if (!g || !g->runs.n)
        return NULL;
    for (uint32_t i = 0; i < g->runs.n; i++) {
        unsigned alike = likeness(g->runs.at[i], run);
        if (alike > most) {
            most = alike;
            best = i;
        }
    }
    const struct run_view *found = g->runs.at[best];
    for (uint32_t i = best + 1; i < g->runs.n; i++)
        g->runs.at[i - 1] = g->runs.at[i];
    g->runs.n--;
    return found;
}

pair_list compare_match_runs(struct arena *arena, const struct results *old,
                             const struct results *now)
{
    pair_list pairs = {0};
    struct map groups = {0};
    struct names names = {.arena = arena};
    for (uint32_t i = 0; i < old->model->runs.n; i++) {
        const struct run_view *v = view_of_run(old, old->model->runs.at[i]);
        if (!v->label)
            continue;
        void **at = map_at(arena, &groups, 0, (uintptr_t)ends_key(arena, &names, v));
        if (!*at)
            *at = arena_new(arena, struct group);
        struct group *g = *at;
        *vec_push(arena, &g->runs) = v;
    }
    for (uint32_t i = 0; i < now->model->runs.n; i++) {
        const struct run_view *v = view_of_run(now, now->model->runs.at[i]);
        if (v->label)
            *vec_push(arena, &pairs) =
                (struct pair){take_like(map_find(&groups, 0, ends_key(arena, &names, v)), v), v};
    }
    for (uint32_t i = 0; i < old->model->runs.n; i++) {
        const struct run_view *v = view_of_run(old, old->model->runs.at[i]);
        struct group *g = v->label ? map_find(&groups, 0, ends_key(arena, &names, v)) : NULL;
        for (uint32_t k = 0; g && k < g->runs.n; k++)
            if (g->runs.at[k] == v)
                *vec_push(arena, &pairs) = (struct pair){v, NULL};
    }
    return pairs;
}

/* --- comparing ---------------------------------------------------------------------------- */

enum { RUN, CHANGE, LABEL, CABLE, OLD, NEW, PULLED, REACHES, SHORT, REMARK };

static const struct column columns[] = {
    [RUN] = {"run", "Run", 0, 0},
    [CHANGE] = {"change", "Change", 0, 0},
    [LABEL] = {"label", "Label", 0, 0},
    [CABLE] = {"cable", "Cable", 0, 0},
    [OLD] = {"old_cut_ft", "Was cut", 2, COLUMN_RIGHT},
    [NEW] = {"new_cut_ft", "Now cut", 2, COLUMN_RIGHT},
    [PULLED] = {"pulled_ft", "Pulled", 2, COLUMN_RIGHT},
    [REACHES] = {"reaches", "Reaches", 0, COLUMN_DATA},
    [SHORT] = {"short_ft", "Short", 2, COLUMN_DATA},
    [REMARK] = {"note", "Note", 0, 0},
};

static const char *const change_words[] = {"kept", "moved", "recabled", "added", "abandoned"};

static bool same_place(struct end a, struct end b)
{
    struct place3 p = address_end_position(a), q = address_end_position(b);
    return p.x == q.x && p.y == q.y && p.z == q.z;
}

static bool stays(const struct run *a, const struct run *b)
{
    struct end from = facts_pull_from(a), to = facts_pull_to(a), other = facts_pull_from(b),
               far = facts_pull_to(b);
    return (same_place(from, other) && same_place(to, far)) ||
           (same_place(from, far) && same_place(to, other));
}

static enum run_change change_of(const struct pair *p)
{
    if (!p->old)
        return RUN_ADDED;
    if (!p->now)
        return RUN_ABANDONED;
    if (p->old->cable && p->now->cable && strcmp(p->old->cable, p->now->cable) != 0)
        return RUN_RECABLED;
    bool as_long = p->old->route->cut == p->now->route->cut;
    return as_long && stays(p->old->run, p->now->run) ? RUN_KEPT : RUN_MOVED;
}

/* What the log says of a run, by the plan that has it. */
static const struct run_log *logged(const struct comparison *c, const struct pair *p)
{
    const struct results *r = p->now ? c->now : c->old;
    const struct run_view *v = p->now ? p->now : p->old;
    return r->log ? &r->log->of_run[v->run->id] : NULL;
}

static bool is_measured(const struct run_log *log)
{
    return log->pulled && log->pulled->length;
}

/* The length in the wall: as it was logged, else as the old plan had it cut; 0 where nothing is
 * pulled or its length is not known. */
static length length_in_wall(const struct comparison *c, const struct pair *p)
{
    const struct run_log *log = logged(c, p);
    if (!log || !log_has(log->states, LOG_PULLED))
        return 0;
    return is_measured(log) ? log->pulled->length : p->old ? p->old->route->cut : 0;
}

static const char *reach_note(const struct comparison *c, const struct pair *p, struct cell *row)
{
    const struct run_log *log = logged(c, p);
    length pulled = length_in_wall(c, p),
           least = log_least_length(c->now->model, c->now->routes, p->now->run);
    const char *is = p->now->written, *in_wall = log && log->pulled && log->pulled->cable
                                                     ? log->pulled->cable
                                                 : p->old ? p->old->written
                                                          : NULL;
    if (!pulled)
        return NULL;
    if (is && in_wall && strcmp(is, in_wall) != 0)
        return arena_printf(c->arena, "%s is in the wall", in_wall);
    if (!least)
        return NULL;
    row[REACHES] = cell_bool(pulled >= least);
    if (pulled >= least)
        return is_measured(log)
                   ? compare_still_reaches
                   : arena_printf(c->arena, "%s if cut as planned", compare_still_reaches);
    row[SHORT] = cell_length(least - pulled);
    return arena_printf(c->arena, "%s short", length_words(c->arena, least - pulled));
}

static const char *joined(struct arena *arena, const char *a, const char *b)
{
    return a && b ? arena_printf(arena, "%s; %s", a, b) : a ? a : b;
}

/* What a run carries as people read it: its circuit's handle, else what it is named. */
static const char *work_called(const struct results *r, const struct run_view *v)
{
    return v->run->circuit ? words_circuit(r, v->run->circuit) : v->work ? v->work : "nothing";
}

static const char *note_of(const struct comparison *c, const struct pair *p, enum run_change change,
                           struct cell *row)
{
    const char *note = NULL;
    if (change == RUN_ABANDONED)
        return length_in_wall(c, p) ? arena_printf(c->arena, "%s of cable in the wall",
                                                   length_words(c->arena, length_in_wall(c, p)))
                                    : NULL;
    if (change == RUN_RECABLED)
        note = arena_printf(c->arena, "was %s", p->old->cable);
    const char *was = p->old ? p->old->work : NULL, *is = p->now->work;
    if (p->old && !same_text(was, is))
        note = joined(c->arena, note,
                      arena_printf(c->arena, "was on %s, now on %s", work_called(c->old, p->old),
                                   work_called(c->now, p->now)));
    return joined(c->arena, reach_note(c, p, row), note);
}

void compare_runs(struct comparison *c, const pair_list *pairs)
{
    table_begin(&c->runs, c->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < pairs->n; i++) {
        const struct pair *p = &pairs->at[i];
        const struct run_view *v = p->now ? p->now : p->old;
        enum run_change change = change_of(p);
        struct cell *row = table_row(&c->runs);
        c->runs_by_change[change]++;
        *vec_push(c->arena, &c->run_rooms) =
            v->room ? address_of_room(c->arena, v->room, false) : "";
        row[RUN] = cell_text(v->pulled);
        row[CHANGE] = cell_text(change_words[change]);
        row[LABEL] = cell_text(v->tag);
        row[CABLE] = cell_text(v->cable);
        if (p->old && p->old->route->known)
            row[OLD] = cell_length(p->old->route->cut);
        if (p->now && p->now->route->known)
            row[NEW] = cell_length(p->now->route->cut);
        if (length_in_wall(c, p))
            row[PULLED] = cell_length(length_in_wall(c, p));
        row[REMARK] = cell_text(note_of(c, p, change, row));
    }
}

/* --- labels ------------------------------------------------------------------------------- */

enum { TAG, TAG_CHANGE, TAG_OLD, TAG_NEW, TAG_NOW };

static const struct column label_columns[] = {
    [TAG] = {"label", "Label", 0, 0},
    [TAG_CHANGE] = {"change", "Change", 0, 0},
    [TAG_OLD] = {"old_run", "Was on", 0, 0},
    [TAG_NEW] = {"new_run", "Now on", 0, 0},
    [TAG_NOW] = {"new_label", "New label", 0, 0},
};

/* A label is glued to a cable: one that changes must be replaced, one that comes to mean another
 * cable misleads. */
void compare_labels(struct comparison *c, const pair_list *pairs)
{
    struct map now = {0};
    struct names names = {.arena = c->arena};
    table_begin(&c->labels, c->arena, label_columns, sizeof label_columns / sizeof *label_columns);
    for (uint32_t i = 0; i < pairs->n; i++)
        if (pairs->at[i].now)
            *map_at(c->arena, &now, 0, (uintptr_t)names_of(&names, pairs->at[i].now->tag)) =
                &pairs->at[i];
    for (uint32_t i = 0; i < pairs->n; i++) {
        const struct pair *p = &pairs->at[i];
        const char *tag = p->old ? p->old->tag : NULL, *new_tag = p->now ? p->now->tag : NULL;
        if (!tag || same_text(tag, new_tag))
            continue;
        const struct pair *taken = map_find(&now, 0, names_of(&names, tag));
        struct cell *row = table_row(&c->labels);
        row[TAG] = cell_text(tag);
        row[TAG_CHANGE] = cell_text(taken ? "reused" : new_tag ? "renamed" : "vanished");
        row[TAG_OLD] = cell_text(p->old->pulled);
        row[TAG_NEW] = cell_text(taken ? taken->now->pulled : new_tag ? p->now->pulled : NULL);
        row[TAG_NOW] = cell_text(new_tag);
    }
}

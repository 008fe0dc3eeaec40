/* Holes and notches that the old plan makes and the new one does not, and those that it makes anew:
 * member by member, as the report of the bores names them. A hole that a cable hangs in is in use,
 * whatever way the new plan would lead it. */
#include "compare/work.h"

#include "compare/compare.h"
#include "emit/words/places.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/model.h"
#include "wiring/bores.h"

enum { MEMBER, PLACE, OLD, NEW, DIFFERENCE, BORED, CABLES, COLUMNS };

static const struct column unused_columns[COLUMNS] = {
    [MEMBER] = {"member", "Member", 0, 0},
    [PLACE] = {"place", "Place", 0, 0},
    [OLD] = {"old", "Had", 0, COLUMN_RIGHT},
    [NEW] = {"new", "Has", 0, COLUMN_RIGHT},
    [DIFFERENCE] = {"unused", "Not used", 0, COLUMN_RIGHT},
    [BORED] = {"bored", "Bored", 0, 0},
    [CABLES] = {"cables", "Was for", 0, 0},
};

static const struct column new_columns[COLUMNS] = {
    [MEMBER] = {"member", "Member", 0, 0},
    [PLACE] = {"place", "Place", 0, 0},
    [OLD] = {"old", "Had", 0, COLUMN_RIGHT},
    [NEW] = {"new", "Has", 0, COLUMN_RIGHT},
    [DIFFERENCE] = {"more", "More", 0, COLUMN_RIGHT},
    [BORED] = {"bored", "Bored", 0, 0},
    [CABLES] = {"cables", "For", 0, 0},
};

/* Holes in one place of a member, whatever their bit, or notches there, however deep. */
struct hole {
    const char *member, *place, *told; /* told: the place as it is found with a tape */
    uint32_t count;
    uint32_t hung;  /* of the old plan: a cable hangs in them that serves the new one */
    uint32_t fresh; /* of the new plan: for a cable that does not hang elsewhere */
    uint32_t bored; /* of those above, what the log says is there */
    VEC(const char *) cables;
};

typedef VEC(struct hole *) hole_list;

/* The holes of one plan. */
struct holes {
    const struct results *r;
    hole_list list;
    struct map found; /* (0, name of member and place) -> struct hole */
};

struct work {
    struct comparison *c;
    struct names names;
    bool *old_hangs,
        *now_hangs; /* by run id of each plan: its cable hangs where the old plan led it */
};

/* --- what hangs --------------------------------------------------------------------------- */

/* By run id of the new plan: a piece was pulled for it that is too short now, so that the one that
 * serves was pulled for the new way. */
static bool *pulled_anew(const struct comparison *c)
{
    const struct results *r = c->now;
    bool *anew = arena_array(c->arena, bool, r->model->runs.n + 1);
    for (uint32_t i = 0; i < r->log->events.n; i++) {
        const struct log_event *e = r->log->events.at[i];
        if (e->undoes || e->taken_back || e->state != LOG_PULLED || !e->length)
            continue;
        for (uint32_t k = 0; k < e->about.runs.n; k++) {
            const struct run *run = e->about.runs.at[k];
            anew[run->id] |= log_share(e, k)->length < log_least_length(r->model, r->routes, run);
        }
    }
    return anew;
}

static void find_hanging(struct work *w, const pair_list *pairs)
{
    const struct results *old = w->c->old, *now = w->c->now;
    w->old_hangs = arena_array(w->c->arena, bool, old->model->runs.n + 1);
    w->now_hangs = arena_array(w->c->arena, bool, now->model->runs.n + 1);
    const bool *anew = now->log ? pulled_anew(w->c) : NULL;
    for (uint32_t i = 0; now->log && i < pairs->n; i++) {
        const struct pair *p = &pairs->at[i];
        if (!p->old || !p->now || !log_hangs(now->log, p->now->run->id) || anew[p->now->run->id] ||
            now->log->of_run[p->now->run->id].in_wall <
                log_least_length(old->model, old->routes, p->old->run))
            continue;
        w->old_hangs[p->old->run->id] = w->now_hangs[p->now->run->id] = true;
    }
}

/* --- counting ----------------------------------------------------------------------------- */

static struct hole *hole_at(struct work *w, struct holes *h, const char *member, const char *place)
{
    struct arena *a = w->c->arena;
    const char *key = names_of(&w->names, arena_printf(a, "%s\n%s", member, place));
    void **at = map_at(a, &h->found, 0, (uintptr_t)key);
    if (!*at)
        *at = arena_new(a, struct hole);
    return *at;
}

static void count_hole(struct work *w, struct holes *h, const struct bore *bore, const bool *hangs)
{
    struct arena *a = w->c->arena;
    struct passed p = bore_member(h->r->bores, bore);
    const char *member = arena_printf(a, "%s%s", words_member(a, &p), bore->bit ? "" : ", notch"),
               *place = words_member_place(a, &p);
    struct hole *hole = hole_at(w, h, member, place);
    if (!hole->member) {
        hole->member = member;
        hole->place = place;
        hole->told = words_member_told(a, &p);
        *vec_push(a, &h->list) = hole;
    }
    bool hung = false, fresh = false;
    for (uint32_t i = 0; i < bore->run_count; i++) {
        hung |= hangs[bore->runs[i]->id];
        fresh |= !hangs[bore->runs[i]->id];
        if (h->r == w->c->old || !hangs[bore->runs[i]->id])
            *vec_push(a, &hole->cables) = view_of_run(h->r, bore->runs[i])->address;
    }
    hole->count++;
    hole->hung += hung;
    hole->fresh += fresh;
    hole->bored += log_is_bored(h->r->log, h->r->bores, bore);
}

static void count_holes(struct work *w, struct holes *h, const bool *hangs)
{
    for (uint32_t i = 0; i < h->r->bores->list.n; i++)
        count_hole(w, h, &h->r->bores->list.at[i], hangs);
}

/* --- listing ------------------------------------------------------------------------------ */

static void add_row(struct grid *g, const struct hole *hole, uint32_t old, uint32_t now,
                    uint32_t difference, bool bored)
{
    struct cell *row = table_row(g);
    row[MEMBER] = cell_text(hole->member);
    row[PLACE] = cell_shown(cell_text(hole->place), hole->told);
    row[OLD] = cell_integer(old);
    row[NEW] = cell_integer(now);
    row[DIFFERENCE] = cell_integer(difference);
    row[BORED] = cell_bool(bored);
    row[CABLES] = cell_list(hole->cables.at, hole->cables.n);
}

static void list_unused(struct work *w, struct holes *old, struct holes *now)
{
    for (uint32_t i = 0; i < old->list.n; i++) {
        const struct hole *had = old->list.at[i];
        uint32_t has = hole_at(w, now, had->member, had->place)->count,
                 used = has > had->hung ? has : had->hung;
        if (had->count <= used)
            continue;
        w->c->unused_bores += had->count - used;
        add_row(&w->c->bores, had, had->count, has, had->count - used, had->bored > 0);
    }
}

static void list_new(struct work *w, struct holes *old, struct holes *now)
{
    for (uint32_t i = 0; i < now->list.n; i++) {
        const struct hole *has = now->list.at[i];
        uint32_t had = hole_at(w, old, has->member, has->place)->count;
        if (has->count <= had || !has->fresh)
            continue;
        uint32_t more = has->count - had < has->fresh ? has->count - had : has->fresh;
        w->c->new_bores += more;
        add_row(&w->c->new_bore_rows, has, had, has->count, more, has->bored == has->count);
    }
}

void compare_bores(struct comparison *c, const pair_list *pairs)
{
    struct work w = {.c = c, .names = {.arena = c->arena}};
    struct holes old = {.r = c->old}, now = {.r = c->now};
    find_hanging(&w, pairs);
    count_holes(&w, &old, w.old_hangs);
    count_holes(&w, &now, w.now_hangs);
    table_begin(&c->bores, c->arena, unused_columns, COLUMNS);
    table_begin(&c->new_bore_rows, c->arena, new_columns, COLUMNS);
    list_unused(&w, &old, &now);
    list_new(&w, &old, &now);
}

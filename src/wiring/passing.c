/* What goes through a conduit body or a pull box without being cut there: a net that neither ends
 * in it nor parts, from one raceway into another. */
#include "facts/pulls.h"
#include "wiring/work.h"

/* --- what meets --------------------------------------------------------------------------- */

static struct meeting *meeting_at(struct wiring *w, struct model *m, struct box *box,
                                  struct net *net)
{
    void **at = map_at(m->arena, &w->meetings, (uintptr_t)box, (uintptr_t)net);
    if (!*at) {
        struct meeting *new = arena_new(m->arena, struct meeting);
        *new = (struct meeting){
            .box = box, .net = net, .ends = net->circuit->root == box || net->sort == N_GROUND};
        *at = new;
        *vec_push(m->arena, &w->all_meetings) = new;
    }
    return *at;
}

static void meet(struct wiring *w, struct model *m, struct box *box, struct run *run,
                 const net_list *nets)
{
    for (uint32_t i = 0; i < nets->n; i++) {
        struct meeting *at = meeting_at(w, m, box, nets->at[i]);
        if (at->conductors < 2)
            at->runs[at->conductors] = run;
        at->conductors++;
    }
}

void wiring_find_meetings(struct wiring *w, struct model *m, const struct crossing *crossing)
{
    bool any = false;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        struct box *b = m->boxes.at[i];
        for (uint32_t k = 0; k < b->runs.n && facts_is_passed(b); k++) {
            struct run *r = b->runs.at[k];
            any = true;
            meet(w, m, b, r, &crossing[r->id].nets);
            meet(w, m, b, r, &crossing[r->id].soft);
        }
    }
    for (uint32_t i = 0; i < w->terminals.n && any; i++) {
        struct box *b = w->terminals.at[i].part->device->box;
        if (facts_is_passed(b))
            meeting_at(w, m, b, w->terminals.at[i].net)->ends = true;
    }
}

/* --- what is one pull --------------------------------------------------------------------- */

/* Whether a run is the only way on that a part of its box has: several runs that feed a box are not
 * joined there. */
static bool is_apart(const struct wiring *w, const struct run *r, const struct net *net)
{
    return map_get(&w->left_part, (uintptr_t)r, (uintptr_t)net->circuit) ||
           map_get(&w->fed_part, (uintptr_t)r, (uintptr_t)net->circuit);
}

/* Whether nothing of a net is joined in a box, save that the two ends of it are. */
static bool may_pass(const struct wiring *w, const struct meeting *at)
{
    const struct run *r = at->runs[0], *s = at->runs[1];
    return at->conductors == 2 && !at->ends && r->raceway && s->raceway && !r->existing &&
           !s->existing && !is_apart(w, r, at->net) && !is_apart(w, s, at->net);
}

struct pulls {
    uint32_t *set;                   /* by run id: a run of the same set, at last the least */
    const struct cable_def **single; /* by the least: what the plan names for one of them */
};

static uint32_t least_of(const struct pulls *p, uint32_t run)
{
    while (p->set[run] != run)
        run = p->set[run] = p->set[p->set[run]];
    return run;
}

/* No conductor is what the plan writes for both where it names two. */
static void join(const struct pulls *p, const struct run *r, const struct run *s)
{
    uint32_t a = least_of(p, r->id), b = least_of(p, s->id);
    if (a == b || (p->single[a] && p->single[b] && p->single[a] != p->single[b]))
        return;
    uint32_t least = a < b ? a : b;
    p->single[least] = p->single[a] ? p->single[a] : p->single[b];
    p->set[a < b ? b : a] = least;
}

uint32_t *wiring_find_pulls(struct arena *scratch, const struct wiring *w, const struct model *m)
{
    struct pulls p = {arena_array(scratch, uint32_t, m->runs.n + 1),
                      arena_array(scratch, const struct cable_def *, m->runs.n + 1)};
    for (uint32_t i = 0; i < m->runs.n; i++) {
        p.set[i] = i;
        p.single[i] = m->runs.at[i]->single;
    }
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (m->runs.at[i]->passage)
            join(&p, m->runs.at[i], m->runs.at[i]->passage->runs[0]);
    for (uint32_t i = 0; i < w->all_meetings.n; i++) {
        const struct meeting *at = w->all_meetings.at[i];
        if (may_pass(w, at) && !at->runs[0]->declared && !at->runs[1]->declared)
            join(&p, at->runs[0], at->runs[1]);
    }
    for (uint32_t i = 0; i < m->runs.n; i++)
        p.set[i] = least_of(&p, i);
    return p.set;
}

/* --- what passes -------------------------------------------------------------------------- */

static const struct conductor *conductor_of(const struct wiring *w, const struct run *r,
                                            const struct net *net)
{
    const struct run_wiring *x = &w->of_run[r->id];
    for (uint8_t i = 0; x->conductors && i < x->count; i++)
        if (x->conductors[i].net == net)
            return &x->conductors[i];
    return NULL;
}

/* One conductor is of one sort and one colour. */
static bool is_one(const struct wiring *w, const struct meeting *at)
{
    const struct conductor *a = conductor_of(w, at->runs[0], at->net),
                           *b = conductor_of(w, at->runs[1], at->net);
    const struct cable_def *of = w->of_run[at->runs[0]->id].cable,
                           *other = w->of_run[at->runs[1]->id].cable;
    return a && b && a->color && a->color == b->color && a->reidentified == b->reidentified &&
           (of->of ? of->of == other->of : of == other);
}

void wiring_settle_passing(struct wiring *w)
{
    for (uint32_t i = 0; i < w->all_meetings.n; i++) {
        struct meeting *at = w->all_meetings.at[i];
        at->passes = may_pass(w, at) && is_one(w, at);
    }
}

bool wiring_passes(const struct wiring *w, const struct box *box, const struct net *net)
{
    const struct meeting *at = map_get(&w->meetings, (uintptr_t)box, (uintptr_t)net);
    return at && at->passes;
}

const struct run *wiring_passes_into(const struct wiring *w, const struct box *box,
                                     const struct net *net)
{
    const struct meeting *at = map_get(&w->meetings, (uintptr_t)box, (uintptr_t)net);
    return at && at->passes ? at->runs[1] : NULL;
}

const struct run *wiring_passes_from(const struct wiring *w, const struct box *box,
                                     const struct net *net, const struct run *run)
{
    const struct meeting *at = map_get(&w->meetings, (uintptr_t)box, (uintptr_t)net);
    return at && at->passes ? at->runs[at->runs[0] == run] : NULL;
}

static bool is_wire(const struct cable_def *d)
{
    return d && d->ground != GROUND_NONE && d->ground != GROUND_RACEWAY;
}

/* Whether a box of metal is grounded by a raceway that ends in it. */
static bool is_bonded(const struct box *b)
{
    for (uint32_t i = 0; i < b->runs.n; i++)
        if (b->runs.at[i]->raceway && b->runs.at[i]->raceway->metal &&
            b->runs.at[i]->raceway->grounds_amps <= 0)
            return true;
    return false;
}

bool wiring_ground_passes(const struct wiring *w, const struct box *b)
{
    const struct cable_def *same[2] = {NULL, NULL};
    const struct box_type *type = w->of_box[b->id].type;
    if (!facts_is_passed(b) || b->runs.n != 2 || b->device_count ||
        (type && type->metal && !is_bonded(b)))
        return false;
    for (uint32_t i = 0; i < 2; i++) {
        const struct run *r = b->runs.at[i];
        same[i] = w->of_run[r->id].cable;
        if (!r->raceway || r->existing || !is_wire(same[i]) ||
            (r->circuit && r->circuit->root == b))
            return false;
    }
    return same[0] == same[1] ||
           (same[0]->of && same[0]->of == same[1]->of && same[0]->ground == same[1]->ground &&
            same[0]->ground_size == same[1]->ground_size);
}

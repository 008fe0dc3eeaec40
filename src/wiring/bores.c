#include "wiring/bores.h"

#include "base/sort.h"
#include "facts/raceways.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/bundles.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

/* A cable that passes a member: no more than it is sorted by, for there are ten of them for each
 * run. `key` is route_hole_key(), `owner` the run's id with the two bits below, `item` the member's
 * place in the list of all members of all routes. */
typedef struct sorted passage;

/* Notches stay apart from holes, low voltage from power. */
#define NOTCHED     (1u << 30)
#define LOW_VOLTAGE (1u << 31)

/* A row of the table of bits. */
struct bit_row {
    length bit, each;
    uint32_t cables;
};

struct worker {
    struct arena *arena, scratch;
    struct model *m;
    struct routes *routes;
    const struct wiring *wiring;
    struct bores *out;
    passage *passages;
    uint32_t passage_count;
    VEC(struct bit_row) bits;
    length plate_edge;
    uint32_t over_notch;            /* plates over a notch */
    length *bit_of_cable;           /* by run id, for it alone */
    const struct cable_def **cable; /* by run id */
    uint32_t *of_passed;            /* as in the result */
    const struct run **ranked; /* all runs by name: the order of the statements decides nothing */
};

/* A run with what tells it from all others. */
struct named_run {
    const char *address, *label, *cable, *circuit;
    uint32_t id;
};

static bool is_bored(const struct run *run, const struct route *route)
{
    const struct unit *unit = run->circuit       ? run->circuit->unit
                              : run->low_voltage ? run->low_voltage->unit
                                                 : NULL;
    return !run->existing && route->passed_count && (!unit || unit->built);
}

static void choose_cables(struct worker *w)
{
    w->cable = arena_array(&w->scratch, const struct cable_def *, w->m->runs.n + 1);
    for (uint32_t i = 0; i < w->m->runs.n; i++)
        w->cable[i] =
            w->wiring->of_run[i].cable ? w->wiring->of_run[i].cable : w->m->runs.at[i]->declared;
}

/* --- cables that pass one place ----------------------------------------------------------- */

static int by_name(const void *va, const void *vb)
{
    const struct named_run *a = va, *b = vb;
    int order = strcmp(a->address, b->address);
    order = order ? order : strcmp(a->label, b->label);
    order = order ? order : strcmp(a->cable, b->cable);
    order = order ? order : strcmp(a->circuit, b->circuit);
    return order ? order : (a->id > b->id) - (a->id < b->id);
}

static void rank_runs(struct worker *w)
{
    uint32_t n = w->m->runs.n;
    struct named_run *named = arena_array(&w->scratch, struct named_run, n + 1);
    w->ranked = arena_array(&w->scratch, const struct run *, n + 1);
    for (uint32_t i = 0; i < n; i++) {
        const struct run *r = w->m->runs.at[i];
        const struct cable_def *cable = w->cable[i];
        named[i] = (struct named_run){
            .address = address_of_run(&w->scratch, r, true),
            .label = r->label ? r->label : "",
            .cable = cable ? cable->name : "",
            .circuit = r->circuit ? address_of_circuit(&w->scratch, r->circuit, false) : "",
            .id = i};
    }
    qsort(named, n, sizeof *named, by_name);
    for (uint32_t i = 0; i < n; i++)
        w->ranked[i] = w->m->runs.at[named[i].id];
}

/* Its holes, or its notches. */
static void add_passages(struct worker *w, const struct run *run, bool notches)
{
    const struct route *route = &w->routes->of_run[run->id];
    for (uint32_t i = 0; i < route->members_count; i++) {
        const struct members *c = &route->members[i];
        bool notched = run->notch && c->member != MEMBER_PLATE;
        for (uint32_t k = 0; notched == notches && k < c->count; k++)
            w->passages[w->passage_count++] =
                (passage){route_hole_key(c, k),
                          run->id | (notched ? NOTCHED : 0) | (run->low_voltage ? LOW_VOLTAGE : 0),
                          w->out->first_passed[run->id] + c->before + k};
    }
}

/* The places of the members in one list of all routes; gives its length. */
static uint32_t number_members(struct worker *w)
{
    uint32_t n = w->m->runs.n, total = 0;
    uint32_t *first = arena_array(w->arena, uint32_t, n + 1);
    w->bit_of_cable = arena_array(&w->scratch, length, n + 1);
    for (uint32_t i = 0; i < n; i++) {
        first[i] = total;
        total += w->routes->of_run[i].passed_count;
        w->bit_of_cable[i] = route_bit_for(w->m, facts_across(w->m->runs.at[i], w->cable[i]));
    }
    w->out->first_passed = first;
    return total;
}

/* The cables that pass each member, by place. In one place power comes before low voltage, holes
 * before notches, and then a run's name decides. */
static void list_passages(struct worker *w, uint32_t most)
{
    w->passages = arena_array(&w->scratch, passage, most + 1);
    for (int low_voltage = 0; low_voltage < 2; low_voltage++)
        for (int notches = 0; notches < 2; notches++)
            for (uint32_t i = 0; i < w->m->runs.n; i++) {
                const struct run *run = w->ranked[i];
                if ((run->low_voltage != NULL) == low_voltage &&
                    is_bored(run, &w->routes->of_run[run->id]))
                    add_passages(w, run, notches);
            }
    sort_by_key(&w->scratch, w->passages, w->passage_count);
}

static uint32_t run_of(const passage *p)
{
    return p->owner & ~(NOTCHED | LOW_VOLTAGE);
}

static bool one_place(const passage *a, const passage *b)
{
    return a->key.first == b->key.first && a->key.second == b->key.second &&
           !((a->owner ^ b->owner) & (NOTCHED | LOW_VOLTAGE));
}

/* --- sharing out -------------------------------------------------------------------------- */

static length diameter_of(const struct worker *w, const passage *p)
{
    return facts_across(w->m->runs.at[run_of(p)], w->cable[run_of(p)]);
}

/* The bit for several cables together, the smallest that takes them; 0 where none does. */
static length bit_for(const struct worker *w, const passage *first, uint32_t count)
{
    length widest = 0;
    if (count == 1)
        return w->bit_of_cable[run_of(first)];
    for (uint32_t i = 0; i < count; i++) {
        length across = diameter_of(w, &first[i]);
        widest = across > widest ? across : widest;
    }
    for (uint32_t i = 0; i < w->bits.n; i++)
        if (w->bits.at[i].cables >= count && w->bits.at[i].each >= widest)
            return w->bits.at[i].bit;
    return 0;
}

/* A raceway has its hole to itself. */
static bool has_raceway(const struct worker *w, const passage *first, uint32_t count)
{
    return w->m->runs.at[run_of(&first[0])]->raceway ||
           w->m->runs.at[run_of(&first[count - 1])]->raceway;
}

/* How many of the next cables go into one hole, `most` at the most. */
static uint32_t fit(const struct worker *w, const passage *first, uint32_t count, uint32_t most)
{
    uint32_t n = 1;
    while (n < count && n < most && !has_raceway(w, first, n + 1) && bit_for(w, first, n + 1))
        n++;
    return n;
}

static uint32_t holes_for(const struct worker *w, const passage *first, uint32_t count,
                          uint32_t most)
{
    uint32_t holes = 0;
    for (uint32_t at = 0; at < count; holes++)
        at += fit(w, first + at, count - at, most);
    return holes;
}

static const struct run **runs_of(struct worker *w, const passage *first, uint32_t count)
{
    if (count == 1) /* as most holes have: the model's own list serves */
        return (const struct run **)&w->m->runs.at[run_of(first)];
    const struct run **runs = arena_array(w->arena, const struct run *, count);
    for (uint32_t i = 0; i < count; i++)
        runs[i] = w->m->runs.at[run_of(&first[i])];
    return runs;
}

static void keep(struct worker *w, const passage *first, uint32_t count, struct bore bore)
{
    bore.runs = runs_of(w, first, count);
    bore.run_count = count;
    w->routes->of_run[run_of(first)].plates += bore.plates;
    *vec_push(w->arena, &w->out->list) = bore;
    for (uint32_t i = 0; i < count; i++)
        w->of_passed[first[i].item] = w->out->list.n;
}

/* A hole through the member that a cable passes, or a notch in it, without measures. */
static struct bore begin_bore(const struct worker *w, const passage *p,
                              const struct lumber **lumber)
{
    uint32_t run = run_of(p), at = p->item - w->out->first_passed[run];
    const struct members *members = route_members(&w->routes->of_run[run], &at);
    *lumber = members->member == MEMBER_JOIST ? members->lumber
                                              : passed_at(w->routes->frame, members, at).lumber;
    return (struct bore){.members = members, .at = at};
}

/* A raceway of sticks is its own protection (300.4(A)(1) exception 1). */
static bool is_stiff(const struct worker *w, const passage *p)
{
    const struct raceway_def *raceway = w->m->runs.at[run_of(p)]->raceway;
    return raceway && raceway->stick > 0;
}

static void add_bore(struct worker *w, const passage *first, uint32_t count)
{
    const struct lumber *lumber;
    struct bore bore = begin_bore(w, first, &lumber);
    bore.bit = bit_for(w, first, count);
    if (!is_stiff(w, first))
        bore.plates = route_plates_of_bore(lumber, bore.bit, w->plate_edge);
    keep(w, first, count, bore);
}

/* One notch for all: its cables lie in it side by side. */
static void add_notch(struct worker *w, const passage *first, uint32_t count)
{
    const struct lumber *lumber;
    struct bore notch = begin_bore(w, first, &lumber);
    for (uint32_t i = 0; i < count; i++) {
        length deep = w->m->runs.at[run_of(&first[i])]->notch;
        notch.notch = deep > notch.notch ? deep : notch.notch;
        notch.wide += diameter_of(w, &first[i]);
    }
    notch.plates = route_plates_of_notch(lumber, notch.notch, w->over_notch, w->plate_edge);
    keep(w, first, count, notch);
}

/* How many go into one hole at the most: as few holes as will do, and then filled alike, so that
 * the bits stay small. */
static uint32_t most_in_one(const struct worker *w, const passage *first, uint32_t count)
{
    if (count == 1 || first->owner & NOTCHED)
        return count;
    uint32_t holes = holes_for(w, first, count, count), even = (count + holes - 1) / holes;
    return holes_for(w, first, count, even) == holes ? even : count;
}

static void share_out(struct worker *w, const passage *first, uint32_t count)
{
    if (first->owner & NOTCHED) {
        add_notch(w, first, count);
        return;
    }
    if (count == 1) { /* as most are */
        add_bore(w, first, count);
        return;
    }
    uint32_t most = most_in_one(w, first, count);
    for (uint32_t at = 0; at < count;) {
        uint32_t n = fit(w, first + at, count - at, most);
        add_bore(w, first + at, n);
        at += n;
    }
}

static void read_bits(struct worker *w)
{
    struct code *c = &w->m->code;
    struct table *t = code_table(c, TABLE_BITS);
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        struct bit_row bit = {code_row_length(c, COL_BITS_BIT, i, 0),
                              code_row_length(c, COL_BITS_EACH_UP_TO, i, 0),
                              (uint32_t)code_row_count(c, COL_BITS_CABLES, i, 0)};
        if (bit.bit && bit.each && bit.cables)
            *vec_push(&w->scratch, &w->bits) = bit;
    }
}

/* --- routes put right --------------------------------------------------------------------- */

/* A plastic box without a clamp wants its cable held nearer. */
static length from_box(const struct worker *w, struct end e, length usual, length no_clamp)
{
    const struct box_type *type =
        e.box ? e.box->declared ? e.box->declared : w->wiring->of_box[e.box->id].type : NULL;
    return type && !type->clamp_internal && !type->metal ? no_clamp : usual;
}

static void put_staples_right(struct worker *w)
{
    struct code *c = &w->m->code;
    length usual = code_length(c, SET_SUPPORTS_FROM_BOX, 0),
           no_clamp = code_length(c, SET_SUPPORTS_FROM_BOX_NO_CLAMP, 0);
    length interval = code_length(c, SET_SUPPORTS_INTERVAL, 0);
    for (uint32_t i = 0; i < w->m->runs.n; i++) {
        const struct run *run = w->m->runs.at[i];
        struct route *route = &w->routes->of_run[i];
        length a = from_box(w, run->from, usual, no_clamp),
               b = from_box(w, run->to, usual, no_clamp);
        if (!route->supports || run->raceway)
            continue;
        route->supports = route_supports(route, a, b, interval);
        route->anchors = route_anchors(route, a, b, interval);
    }
}

static uint32_t end_of_place(const struct worker *w, uint32_t from)
{
    uint32_t to = from + 1;
    while (to < w->passage_count && one_place(&w->passages[from], &w->passages[to]))
        to++;
    return to;
}

/* Holes and notches, place by place. Counted first: their list is among the longest that there are,
 * and takes no more than it needs. */
static void share_out_all(struct worker *w)
{
    uint32_t count = 0;
    for (uint32_t from = 0, to; from < w->passage_count; from = to) {
        const passage *first = &w->passages[from];
        to = end_of_place(w, from);
        count += first->owner & NOTCHED || to - from == 1
                     ? 1
                     : holes_for(w, first, to - from, most_in_one(w, first, to - from));
    }
    vec_reserve(w->arena, &w->out->list, count);
    for (uint32_t from = 0, to; from < w->passage_count; from = to) {
        to = end_of_place(w, from);
        share_out(w, &w->passages[from], to - from);
    }
}

struct bores *bores_work_out(struct arena *arena, struct model *m, struct routes *routes,
                             const struct wiring *wiring)
{
    struct worker w = {.arena = arena,
                       .m = m,
                       .routes = routes,
                       .wiring = wiring,
                       .out = arena_new(arena, struct bores)};
    w.scratch.out_of_memory = arena->out_of_memory;
    w.plate_edge = code_length(&m->code, SET_PROTECTION_PLATES_EDGE, 0);
    w.over_notch = (uint32_t)code_count(&m->code, SET_PROTECTION_PLATES_OVER_NOTCH, 0);
    read_bits(&w);
    w.out->frame = routes->frame;
    choose_cables(&w);
    rank_runs(&w);
    uint32_t total = number_members(&w);
    w.out->of_passed = w.of_passed = arena_array(arena, uint32_t, total + 1);
    list_passages(&w, total);
    for (uint32_t i = 0; i < m->runs.n; i++)
        routes->of_run[i].plates = 0;
    share_out_all(&w);
    w.out->of_run = bundles_find(arena, m, routes, wiring, w.out, w.ranked);
    put_staples_right(&w);
    arena_free(&w.scratch);
    return w.out;
}

struct passed bore_member(const struct bores *bores, const struct bore *bore)
{
    return passed_at(bores->frame, bore->members, bore->at);
}

const struct bore *bore_of_member(const struct bores *bores, const struct run *run, uint32_t at)
{
    uint32_t hole = bores->of_passed[bores->first_passed[run->id] + at];
    return hole ? &bores->list.at[hole - 1] : NULL;
}

length wiring_bored_through(struct model *m, const struct bores *bores, const struct bore *bore)
{
    struct passed p = bore_member(bores, bore);
    bool doubled = p.member == MEMBER_PLATE && p.top;
    return p.lumber->thickness *
           (doubled ? (length)code_count(&m->code, SET_PLAN_DEFAULTS_TOP_PLATES, 1) : 1);
}

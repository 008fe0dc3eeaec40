#include "wiring/bores.h"

#include <stdlib.h>
#include <string.h>

/* A cable that passes a member. */
struct passage {
    const struct run *run;
    const struct cable_def *cable;
    struct passed *passed;
    uint32_t index;              /* in the list of all members of all routes */
    uint32_t rank;               /* of its run by name: the order of the statements decides nothing */
    bool low_voltage;
};

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
    struct passage *passages;
    uint32_t passage_count;
    VEC(struct bit_row) bits;
    length plate_edge;
    uint32_t over_notch;         /* plates over a notch */
    length *bit_of_cable;        /* by run id, for it alone */
    uint32_t *rank;              /* by run id */
};

/* A run with what tells it from all others. */
struct named_run {
    const char *address, *label, *cable;
    uint32_t id;
};

static bool is_bored(const struct run *run, const struct route *route)
{
    const struct unit *unit = run->circuit ? run->circuit->unit : run->low_voltage ? run->low_voltage->unit : NULL;
    return !run->existing && route->passed_count && (!unit || unit->built);
}

static const struct cable_def *cable_of(const struct worker *w, const struct run *run)
{
    const struct cable_def *chosen = w->wiring->of_run[run->id].cable;
    return chosen ? chosen : run->declared;
}

/* --- cables that pass one place ------------------------------------------------------------------------------------ */

static int by_name(const void *va, const void *vb)
{
    const struct named_run *a = va, *b = vb;
    int order = strcmp(a->address, b->address);
    order = order ? order : strcmp(a->label, b->label);
    order = order ? order : strcmp(a->cable, b->cable);
    return order ? order : (a->id > b->id) - (a->id < b->id);
}

static void rank_runs(struct worker *w)
{
    uint32_t n = w->m->runs.n;
    struct named_run *named = arena_array(&w->scratch, struct named_run, n + 1);
    w->rank = arena_array(&w->scratch, uint32_t, n + 1);
    for (uint32_t i = 0; i < n; i++) {
        const struct run *r = w->m->runs.at[i];
        const struct cable_def *cable = cable_of(w, r);
        named[i] = (struct named_run){run_address(&w->scratch, r, true), r->label ? r->label : "", cable ? cable->name : "", i};
    }
    qsort(named, n, sizeof *named, by_name);
    for (uint32_t i = 0; i < n; i++)
        w->rank[named[i].id] = i;
}

static void list_passages(struct worker *w)
{
    uint32_t total = 0, count = 0;
    for (uint32_t i = 0; i < w->m->runs.n; i++)
        count += is_bored(w->m->runs.at[i], &w->routes->of_run[i]) ? w->routes->of_run[i].passed_count : 0;
    w->passages = arena_array(&w->scratch, struct passage, count + 1);
    w->out->first_passed = arena_array(w->arena, uint32_t, w->m->runs.n + 1);
    w->bit_of_cable = arena_array(&w->scratch, length, w->m->runs.n + 1);
    for (uint32_t i = 0; i < w->m->runs.n; i++) {
        const struct run *run = w->m->runs.at[i];
        struct route *route = &w->routes->of_run[i];
        w->out->first_passed[i] = total;
        w->bit_of_cable[i] = bit_for_cable(w->m, cable_of(w, run));
        for (uint32_t k = 0; is_bored(run, route) && k < route->passed_count; k++)
            w->passages[w->passage_count++] =
                (struct passage){run, cable_of(w, run), (struct passed *)&route->passed[k], total + k, w->rank[i], run->low_voltage != NULL};
        total += route->passed_count;
    }
    w->out->of_passed = arena_array(w->arena, const struct bore *, total + 1);
}

static int by_hole(const void *va, const void *vb)
{
    const struct passage *a = va, *b = vb;
    for (int i = 0; i < 2; i++)
        if (a->passed->hole[i] != b->passed->hole[i])
            return a->passed->hole[i] < b->passed->hole[i] ? -1 : 1;
    if (a->low_voltage != b->low_voltage)
        return (int)a->low_voltage - (int)b->low_voltage;
    if (!a->passed->notch != !b->passed->notch)
        return a->passed->notch ? 1 : -1;
    if (a->rank != b->rank)
        return a->rank < b->rank ? -1 : 1;
    return a->index < b->index ? -1 : a->index > b->index;
}

static bool one_place(const struct passage *a, const struct passage *b)
{
    return a->passed->hole[0] == b->passed->hole[0] && a->passed->hole[1] == b->passed->hole[1] && a->low_voltage == b->low_voltage &&
           !a->passed->notch == !b->passed->notch;
}

/* --- sharing out ------------------------------------------------------------------------------------------------------ */

static length diameter_of(const struct passage *p)
{
    return p->cable ? p->cable->diameter : 0;
}

/* The bit for several cables together, the smallest that takes them; 0 where none does. */
static length bit_for(const struct worker *w, const struct passage *first, uint32_t count)
{
    length widest = 0;
    for (uint32_t i = 0; i < count; i++)
        widest = diameter_of(&first[i]) > widest ? diameter_of(&first[i]) : widest;
    if (count == 1)
        return w->bit_of_cable[first->run->id];
    for (uint32_t i = 0; i < w->bits.n; i++)
        if (w->bits.at[i].cables >= count && w->bits.at[i].each >= widest)
            return w->bits.at[i].bit;
    return 0;
}

/* How many of the next cables go into one hole, `most` at the most. */
static uint32_t fit(const struct worker *w, const struct passage *first, uint32_t count, uint32_t most)
{
    uint32_t n = 1;
    while (n < count && n < most && bit_for(w, first, n + 1))
        n++;
    return n;
}

static uint32_t holes_for(const struct worker *w, const struct passage *first, uint32_t count, uint32_t most)
{
    uint32_t holes = 0;
    for (uint32_t at = 0; at < count; holes++)
        at += fit(w, first + at, count - at, most);
    return holes;
}

static const struct run **runs_of(struct worker *w, const struct passage *first, uint32_t count)
{
    if (count == 1) /* as most holes have: the model's own list serves */
        return (const struct run **)&w->m->runs.at[first->run->id];
    const struct run **runs = arena_array(w->arena, const struct run *, count);
    for (uint32_t i = 0; i < count; i++)
        runs[i] = first[i].run;
    return runs;
}

static void keep(struct worker *w, struct bore bore)
{
    w->routes->of_run[bore.runs[0]->id].plates += bore.plates;
    w->out->list.at[w->out->list.n++] = bore;
}

static void add_bore(struct worker *w, const struct passage *first, uint32_t count)
{
    length bit = bit_for(w, first, count);
    for (uint32_t i = 0; i < count; i++)
        first[i].passed->bit = bit;
    keep(w, (struct bore){.passed = first->passed, .bit = bit, .runs = runs_of(w, first, count), .run_count = count,
                          .plates = plates_of_bore(first->passed->lumber, bit, w->plate_edge)});
}

/* One notch for all: its cables lie in it side by side. */
static void add_notch(struct worker *w, const struct passage *first, uint32_t count)
{
    length deep = 0, wide = 0;
    for (uint32_t i = 0; i < count; i++) {
        deep = first[i].passed->notch > deep ? first[i].passed->notch : deep;
        wide += diameter_of(&first[i]);
    }
    keep(w, (struct bore){.passed = first->passed, .notch = deep, .wide = wide, .runs = runs_of(w, first, count), .run_count = count,
                          .plates = plates_of_notch(first->passed->lumber, deep, w->over_notch, w->plate_edge)});
}

/* As few holes as will do, and then filled alike, so that the bits stay small. */
static void share_out(struct worker *w, const struct passage *first, uint32_t count)
{
    if (first->passed->notch) {
        add_notch(w, first, count);
        return;
    }
    uint32_t holes = holes_for(w, first, count, count), even = (count + holes - 1) / holes;
    uint32_t most = holes_for(w, first, count, even) == holes ? even : count;
    for (uint32_t at = 0; at < count;) {
        uint32_t n = fit(w, first + at, count - at, most);
        add_bore(w, first + at, n);
        at += n;
    }
}

static void read_bits(struct worker *w)
{
    struct code *c = &w->m->code;
    struct table *t = code_table(c, "bits");
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        const struct value *bit = row_cell(c, t, &t->rows.at[i], "bit"), *each = row_cell(c, t, &t->rows.at[i], "each-up-to");
        double cables = value_amount(row_cell(c, t, &t->rows.at[i], "cables"), 0);
        if (bit && each && cables > 0)
            *vec_push(&w->scratch, &w->bits) = (struct bit_row){bit->n, each->n, (uint32_t)cables};
    }
}

/* --- bundles -------------------------------------------------------------------------------------------------------------- */

static bool same_runs(const struct bore *a, const struct bore *b)
{
    if (a->run_count != b->run_count)
        return false;
    for (uint32_t i = 0; i < a->run_count; i++)
        if (a->runs[i] != b->runs[i])
            return false;
    return true;
}

static length apart(const struct passed *a, const struct passed *b)
{
    length x = a->at.x - b->at.x, y = a->at.y - b->at.y, z = a->at.z - b->at.z;
    return (x < 0 ? -x : x) + (y < 0 ? -y : y) + (z < 0 ? -z : z);
}

static void keep_larger(struct bundle *best, struct bundle b)
{
    if (!best->bore || b.bore->run_count > best->bore->run_count)
        *best = b;
}

/* The largest bundle of a run: the same cables through hole after hole for longer than the code lets be, or too many of them through a plate or through
 * insulation. */
static struct bundle bundle_of(const struct worker *w, uint32_t run, length longest, uint32_t sealed)
{
    const struct route *route = &w->routes->of_run[run];
    const struct bore *const *holes = &w->out->of_passed[w->out->first_passed[run]];
    struct bundle best = {0};
    length together = 0;
    for (uint32_t i = 0; i < route->passed_count; i++) {
        if (!holes[i] || holes[i]->run_count < 2) {
            together = 0;
            continue;
        }
        bool goes_on = i && holes[i - 1] && same_runs(holes[i - 1], holes[i]);
        together = goes_on ? together + apart(&route->passed[i - 1], &route->passed[i]) : 0;
        if (together > longest)
            keep_larger(&best, (struct bundle){holes[i], together, false});
        bool shut = route->passed[i].member == MEMBER_PLATE || (route->passed[i].member == MEMBER_STUD && route->passed[i].insulated);
        if (shut && holes[i]->run_count > sealed)
            keep_larger(&best, (struct bundle){holes[i], 0, true});
    }
    return best;
}

static void find_bundles(struct worker *w)
{
    struct code *c = &w->m->code;
    struct bundle *of_run = arena_array(w->arena, struct bundle, w->m->runs.n + 1);
    const struct value *longer = code_table(c, "adjustment") ? table_setting(c, code_table(c, "adjustment"), "longer-than") : NULL;
    length longest = longer && longer->kind == V_LENGTH ? longer->n : (length)1 << 60;
    uint32_t sealed = (uint32_t)code_setting(c, "sealed-opening", "cables", 1e9);
    for (uint32_t i = 0; i < w->m->runs.n; i++)
        of_run[i] = bundle_of(w, i, longest, sealed);
    w->out->of_run = of_run;
}

/* --- routes put right ---------------------------------------------------------------------------------------------------- */

/* A plastic box without a clamp wants its cable held nearer. */
static length from_box(const struct worker *w, struct end e, length usual, length no_clamp)
{
    const struct box_type *type = e.box ? e.box->declared ? e.box->declared : w->wiring->of_box[e.box->id].type : NULL;
    return type && !type->clamp_internal && !type->metal ? no_clamp : usual;
}

static void put_staples_right(struct worker *w)
{
    struct code *c = &w->m->code;
    length usual = code_length(c, "supports", "from-box", 0), no_clamp = code_length(c, "supports", "from-box-no-clamp", 0);
    length interval = code_length(c, "supports", "interval", 0);
    for (uint32_t i = 0; i < w->m->runs.n; i++) {
        const struct run *run = w->m->runs.at[i];
        struct route *route = &w->routes->of_run[i];
        if (route->supports)
            route->supports = route_supports(route, from_box(w, run->from, usual, no_clamp), from_box(w, run->to, usual, no_clamp), interval);
    }
}

struct bores *bores_work_out(struct arena *arena, struct model *m, struct routes *routes, const struct wiring *wiring)
{
    struct worker w = {.arena = arena, .m = m, .routes = routes, .wiring = wiring, .out = arena_new(arena, struct bores)};
    w.scratch.out_of_memory = arena->out_of_memory;
    w.plate_edge = code_length(&m->code, "protection-plates", "edge", 0);
    w.over_notch = (uint32_t)code_setting(&m->code, "protection-plates", "over-notch", 0);
    read_bits(&w);
    rank_runs(&w);
    list_passages(&w);
    for (uint32_t i = 0; i < m->runs.n; i++)
        routes->of_run[i].plates = 0;
    qsort(w.passages, w.passage_count, sizeof *w.passages, by_hole);
    w.out->list.at = arena_array(arena, struct bore, w.passage_count + 1); /* most holes have one cable */
    w.out->list.cap = w.passage_count + 1;
    for (uint32_t from = 0, to; from < w.passage_count; from = to) {
        for (to = from + 1; to < w.passage_count && one_place(&w.passages[from], &w.passages[to]); to++)
            ;
        share_out(&w, &w.passages[from], to - from);
    }
    for (uint32_t i = 0, at = 0; i < w.out->list.n; at += w.out->list.at[i++].run_count)
        for (uint32_t k = 0; k < w.out->list.at[i].run_count; k++)
            w.out->of_passed[w.passages[at + k].index] = &w.out->list.at[i];
    find_bundles(&w);
    put_staples_right(&w);
    arena_free(&w.scratch);
    return w.out;
}

length bored_through(struct model *m, const struct bore *bore)
{
    const struct passed *p = bore->passed;
    bool doubled = p->member == MEMBER_PLATE && p->top;
    return p->lumber->thickness * (doubled ? (length)code_setting(&m->code, "plan-defaults", "top-plates", 1) : 1);
}

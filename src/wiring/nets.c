/* The circuit as a tree of parts of boxes, and where each of its nets ends. In a tree a net crosses
 * a run exactly when it has ends on both sides. */
#include "facts/devices.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/finding.h"
#include "model/site.h"
#include "wiring/work.h"

#include <stdlib.h>
#include <string.h>

/* --- the tree ----------------------------------------------------------------------------- */

static int add_vertex(struct circuit_work *c, struct box *box, struct run *feed, int parent)
{
    int v = (int)c->vertex_count++;
    struct vertex *x = &c->vertices[v];
    *x = (struct vertex){.box = box, .feed = feed, .parent = parent};
    if (parent >= 0) {
        x->depth = c->vertices[parent].depth + 1;
        x->feet = c->vertices[parent].feet +
                  (feed ? length_feet(c->routes->of_run[feed->id].electrical) : 0);
    }
    const struct feeds *feeds = box ? map_get(&c->feeds, (uintptr_t)box, 1) : NULL;
    if (!feeds || feeds->runs.at[0] == feed)
        map_put(c->tree, &c->vertex_of, (uintptr_t)box, 0, (void *)(uintptr_t)(v + 1));
    if (feed)
        map_put(c->tree, &c->vertex_of, (uintptr_t)box, (uintptr_t)feed,
                (void *)(uintptr_t)(v + 1));
    return v;
}

/* What a device hands on behind it: net_bit of its load terminals. A GFCI device gives line and
 * neutral, a disconnect the lines alone. */
uint8_t wiring_hands_on(const struct device_def *def)
{
    uint8_t nets = 0;
    for (uint8_t i = 0; i < def->body.terminal_count; i++)
        if (def->body.terminals[i].role == ROLE_LOAD)
            nets |= def->body.terminals[i].nets;
    return nets;
}

struct device *wiring_handing_on(const struct box *box, const struct circuit *circuit)
{
    uint32_t count;
    struct device *const *passing = facts_passing(box, circuit, &count);
    for (uint32_t i = 0; i < count; i++)
        if (wiring_hands_on(passing[i]->def))
            return passing[i];
    return NULL;
}

/* The device of a box on this circuit that parts a load side from the line side, or NULL. */
static struct device *protector_in(const struct circuit_work *c, const struct box *box)
{
    return wiring_handing_on(box, c->circuit);
}

/* The neutral passes a device that hands on lines alone: behind it, it is still the neutral before
 * it. */
static const struct box *neutral_side(const struct circuit_work *c, const struct box *side)
{
    while (side) {
        const struct device *d = protector_in(c, side);
        if (!d || wiring_hands_on(d->def) & NET_NEUTRAL)
            return side;
        int v = (int)(uintptr_t)map_get(&c->vertex_of, (uintptr_t)side, 0) - 1;
        side = v < 0 ? NULL : c->vertices[v].side;
    }
    return NULL;
}

/* Whether what leaves the box stands behind its protecting device. */
static bool behind(const struct device *protector, bool line_side, bool load_side)
{
    return protector && (load_side || (protector->onward && !line_side));
}

static bool touches(const struct run *r, const struct box *box, const struct circuit *c)
{
    return box ? r->from.box == box : r->from.panel && r->from.panel == c->panel;
}

/* Whether a run that leaves the box leaves this part of it. */
static bool leaves(const struct circuit_work *c, const struct vertex *x, const struct run *r)
{
    const struct run *feed = x->box ? wiring_feed_of_thing(c, x->box, r) : NULL;
    return !feed || feed == x->feed;
}

bool wiring_build_vertices(struct circuit_work *c)
{
    struct circuit *k = c->circuit;
    uint32_t runs = 0;
    for (uint32_t i = 0; i < k->runs.n; i++)
        runs += k->runs.at[i]->in_tree;
    if (!k->is_tree)
        return false;
    c->vertices = arena_array(c->tree, struct vertex, runs + 1);
    struct map leaving = {0}; /* (box, 1) -> first run, chained through next */
    uint32_t *next = arena_array(c->tree, uint32_t, k->runs.n + 1);
    for (uint32_t i = k->runs.n; i-- > 0;) {
        struct run *r = k->runs.at[i];
        if (!r->in_tree)
            continue;
        void **at = map_at(c->tree, &leaving, (uintptr_t)r->from.box, 1);
        next[i + 1] = (uint32_t)(uintptr_t)*at;
        *at = (void *)(uintptr_t)(i + 1);
    }
    add_vertex(c, k->root, NULL, NO_VERTEX);
    /* Depth first, so that `enter` orders the tree. */
    int *stack = arena_array(c->tree, int, runs + 1);
    uint32_t depth = 0, order = 0;
    stack[depth++] = 0;
    while (depth) {
        int v = stack[--depth];
        struct vertex *x = &c->vertices[v];
        x->enter = order++;
        struct device *protector = protector_in(c, x->box);
        for (uint32_t i = (uint32_t)(uintptr_t)map_get(&leaving, (uintptr_t)x->box, 1); i;
             i = next[i]) {
            struct run *r = k->runs.at[i - 1];
            if (!touches(r, x->box, k) || !leaves(c, x, r) || c->vertex_count > runs)
                continue;
            int child = add_vertex(c, r->to.box, r, v);
            c->vertices[child].side =
                behind(protector, r->line_side, r->load_side) ? x->box : c->vertices[v].side;
            stack[depth++] = child;
        }
    }
    return true;
}

int wiring_vertex_of_part(struct circuit_work *c, const struct part *p)
{
    const struct box *box = p->device->box;
    const struct run *feed = wiring_feed_of_thing(c, box, p);
    return (int)(uintptr_t)map_get(&c->vertex_of, (uintptr_t)box, (uintptr_t)feed) - 1;
}

struct box *wiring_side_of_part(struct circuit_work *c, const struct part *p, int v)
{
    /* A switch that another leg feeds stands on the side of that leg's fed switch. */
    for (int depth = 0; p->control && p->from_leg && depth < MOST_LEGS_IN_SERIES; depth++) {
        const struct leg_work *from = map_get(&c->work_of, (uintptr_t)p->from_leg, 1);
        if (!from)
            break;
        p = from->switches[0];
        v = from->at[0];
    }
    const struct vertex *x = &c->vertices[v];
    struct device *protector = protector_in(c, x->box);
    bool line = p->line_side || p->device->line_side, load = p->load_side || p->device->load_side;
    if (!protector || protector == p->device || !behind(protector, line, load))
        return x->side;
    /* what the plan feeds by another run than the device is not behind it */
    const char *by = protector->parts[0].by;
    return p->by && by && p->by != by ? x->side : x->box;
}

/* --- joining ends ------------------------------------------------------------------------- */

int wiring_meet_vertices(const struct circuit_work *c, int a, int b)
{
    while (a != b) {
        if (c->vertices[a].depth >= c->vertices[b].depth)
            a = c->vertices[a].parent;
        else
            b = c->vertices[b].parent;
    }
    return a;
}

int wiring_join_vertices(struct circuit_work *c, const int *v, uint32_t count,
                         void (*mark)(struct circuit_work *, int, void *), void *context)
{
    if (count < 2)
        return count ? v[0] : NO_VERTEX;
    int first = v[0], last = v[0];
    for (uint32_t i = 1; i < count; i++) {
        first = c->vertices[v[i]].enter < c->vertices[first].enter ? v[i] : first;
        last = c->vertices[v[i]].enter > c->vertices[last].enter ? v[i] : last;
    }
    int top = wiring_meet_vertices(c, first, last);
    c->stamp++;
    /* Each way up ends where an earlier one passed, so that every run is met once. */
    for (uint32_t i = 0; i < count; i++) {
        for (int x = v[i]; x != top && c->vertices[x].stamp != c->stamp;
             x = c->vertices[x].parent) {
            c->vertices[x].stamp = c->stamp;
            mark(c, x, context);
        }
    }
    return top;
}

/* --- legs --------------------------------------------------------------------------------- */

/* Straight sides and no corner that hides a part of the floor; nothing is asked on account of a
 * room whose walls are not known. */
static bool convex(const struct room *r)
{
    for (uint32_t i = 0; i < r->wall_count; i++) {
        struct point a = r->walls[i].left, b = r->walls[i].right,
                     n = r->walls[(i + 1) % r->wall_count].right;
        __int128 turn = (__int128)(b.x - a.x) * (n.y - b.y) - (__int128)(b.y - a.y) * (n.x - b.x);
        if (turn > 0)
            return false;
    }
    return r->wall_count != 1 && r->wall_count != 2;
}

bool wiring_asks_neutral(struct model *m, const struct leg *leg, struct part *const *switches,
                         uint32_t count, bool *one_is_enough)
{
    const struct room *lit = NULL;
    bool one_room = true, asked = false;
    for (uint32_t i = 0; i < leg->loads.n; i++) {
        const struct part *p = leg->loads.at[i];
        if (!facts_is_light(p) || p->control)
            continue;
        const struct room *r = p->device->box->room;
        asked |= facts_use_in_list(m, facts_use_of_room(r), LIST_SWITCH_NEUTRAL_PLACES);
        one_room &= !lit || lit == r;
        lit = r;
    }
    *one_is_enough = count == 1;
    bool one = code_yes(&m->code, SET_SWITCH_NEUTRAL_ONE_IF_VISIBLE);
    for (uint32_t i = 0; lit && one_room && one && i < count; i++)
        *one_is_enough |= switches[i]->device->box->room == lit && convex(lit);
    return asked;
}

static int by_place(const struct circuit_work *c, const struct part *a, int va,
                    const struct part *b, int vb)
{
    const struct vertex *x = &c->vertices[va], *y = &c->vertices[vb];
    if (x->depth != y->depth)
        return x->depth < y->depth ? -1 : 1;
    int room = strcmp(a->device->box->room->name, b->device->box->room->name);
    return room ? room : strcmp(a->device->box->name, b->device->box->name);
}

/* Switches in an order that does not depend on the order of the statements: by distance from the
 * source, then by name. */
static void sort_switches(struct circuit_work *c, struct leg_work *l)
{
    for (uint32_t i = 1; i < l->count; i++) {
        struct part *p = l->switches[i];
        int v = l->at[i];
        uint32_t k = i;
        for (; k && by_place(c, p, v, l->switches[k - 1], l->at[k - 1]) < 0; k--) {
            l->switches[k] = l->switches[k - 1];
            l->at[k] = l->at[k - 1];
        }
        l->switches[k] = p;
        l->at[k] = v;
    }
}

static bool on_circuit(struct circuit_work *c, const struct part *p)
{
    return p->circuit == c->circuit && wiring_vertex_of_part(c, p) >= 0;
}

static void gather_leg(struct circuit_work *c, struct leg *leg)
{
    struct leg_work *l = &c->legs[c->leg_count];
    *l = (struct leg_work){.leg = leg, .neutral_at = -1};
    l->switches = arena_array(c->tree, struct part *, leg->controls.n + 1);
    l->at = arena_array(c->tree, int, leg->controls.n + 1);
    l->loads = arena_array(c->tree, int, leg->loads.n + leg->capped.n + 1);
    for (uint32_t i = 0; i < leg->controls.n; i++) {
        struct part *p = leg->controls.at[i];
        if (!on_circuit(c, p))
            continue;
        l->two_pole |= p->volts == c->m->line_volts && c->m->line_volts != c->m->volts;
        l->switches[l->count] = p;
        l->at[l->count++] = wiring_vertex_of_part(c, p);
    }
    for (uint32_t i = 0; i < leg->loads.n; i++)
        if (on_circuit(c, leg->loads.at[i]))
            l->loads[l->load_count++] = wiring_vertex_of_part(c, leg->loads.at[i]);
    for (uint32_t i = 0; i < leg->capped.n; i++) {
        int v = (int)(uintptr_t)map_get(&c->vertex_of, (uintptr_t)leg->capped.at[i], 0) - 1;
        if (v >= 0)
            l->loads[l->load_count++] = v;
    }
    if (!l->count)
        return;
    sort_switches(c, l);
    l->wants_neutral = wiring_asks_neutral(c->m, leg, l->switches, l->count, &l->one_is_enough);
    map_put(c->tree, &c->work_of, (uintptr_t)leg, 1, l);
    c->leg_count++;
}

static int leg_order(const void *a, const void *b)
{
    const struct leg *x = *(struct leg *const *)a, *y = *(struct leg *const *)b;
    return strcmp(x->name, y->name);
}

void wiring_gather_legs(struct circuit_work *c)
{
    struct map seen = {0};
    VEC(struct leg *) legs = {0};
    for (uint32_t i = 0; i < c->circuit->parts.n; i++) {
        struct part *p = c->circuit->parts.at[i];
        if (!p->control || !p->leg)
            continue;
        void **at = map_at(c->tree, &seen, (uintptr_t)p->leg, 1);
        if (!*at)
            *vec_push(c->tree, &legs) = p->leg;
        *at = p->leg;
    }
    if (legs.n)
        qsort(legs.at, legs.n, sizeof *legs.at, leg_order);
    c->legs = arena_array(c->tree, struct leg_work, legs.n + 1);
    for (uint32_t i = 0; i < legs.n; i++)
        gather_leg(c, legs.at[i]);
}

/* --- nets --------------------------------------------------------------------------------- */

static const char *net_name(struct circuit_work *c, const struct net *n)
{
    struct arena *a = c->arena;
    switch (n->sort) {
    case N_GROUND:
        return "ground";
    case N_INTERCONNECT:
        return "interconnect";
    case N_LEG:
        return n->pole ? arena_printf(a, "leg %s %c", n->leg->name, n->pole)
                       : arena_printf(a, "leg %s", n->leg->name);
    case N_TRAVELER:
        return arena_printf(a, "traveler %s.%u %c", n->leg->name, n->index, n->pole);
    default:
        break;
    }
    const char *base = n->sort == N_NEUTRAL ? "neutral"
                       : n->pole            ? arena_printf(a, "line %c", n->pole)
                                            : "line";
    return n->beyond ? arena_printf(a, "%s/%s", base, address_of_box(a, n->beyond, true)) : base;
}

/* The one net of that sort; `thing` is the leg, or the box beyond whose device it lies. */
struct net *net_of(struct circuit_work *c, enum net_sort sort, const void *thing, unsigned index,
                   char pole)
{
    if (sort == N_NEUTRAL)
        thing = neutral_side(c, thing);
    uintptr_t kind =
        1 + (uintptr_t)sort + 16 * (uintptr_t)(unsigned char)pole + 4096 * (uintptr_t)index;
    void **at = map_at(c->scratch, &c->nets, kind, (uintptr_t)thing);
    if (!*at) {
        struct net *n = arena_new(c->arena, struct net);
        *n = (struct net){
            .id = c->w->nets.n, .sort = sort, .circuit = c->circuit, .index = index, .pole = pole};
        if (sort == N_LEG || sort == N_TRAVELER)
            n->leg = (struct leg *)thing;
        else
            n->beyond = (struct box *)thing;
        n->name = net_name(c, n);
        *vec_push(c->arena, &c->w->nets) = n;
        *at = n;
    }
    return *at;
}

static void add_end(struct circuit_work *c, struct net *n, int vertex)
{
    *vec_push(c->scratch, &c->ends) = (struct net_end){n, vertex};
}

/* The line a part lives on: of a circuit with two lines, the one its plan names, else a. */
char wiring_pole_of(const struct circuit_work *c, const struct part *p)
{
    bool two = c->circuit->two_pole || c->circuit->multiwire;
    return !two ? 0 : p && p->pole ? p->pole : 'a';
}

static void add_line(struct circuit_work *c, const struct box *side, char pole, int vertex)
{
    add_end(c, net_of(c, N_LINE, side, 0, pole), vertex);
}

static void add_neutral(struct circuit_work *c, const struct box *side, int vertex)
{
    add_end(c, net_of(c, N_NEUTRAL, side, 0, 0), vertex);
}

const struct leg_work *wiring_work_of_leg(const struct circuit_work *c, const struct leg *leg)
{
    return map_get(&c->work_of, (uintptr_t)leg, 1);
}

/* A load's neutral is of the same side as the line that its leg's fed switch takes. */
struct box *wiring_side_of_leg(struct circuit_work *c, const struct leg_work *l)
{
    return wiring_side_of_part(c, l->switches[0], l->at[0]);
}

static void end_load(struct circuit_work *c, const struct part *p, int v)
{
    const struct body *body = p->body;
    const struct leg_work *l = p->leg ? wiring_work_of_leg(c, p->leg) : NULL;
    struct box *side = l ? wiring_side_of_leg(c, l) : wiring_side_of_part(c, p, v);
    bool two = body_has(body, false, NET_LINE_A) && body_has(body, false, NET_LINE_B);
    if (l && l == c->skipped) {
        /* its leg's nets are counted apart, while the order of its switches is chosen */
    } else if (p->leg && two) {
        add_end(c, net_of(c, N_LEG, p->leg, 0, 'a'), v);
        add_end(c, net_of(c, N_LEG, p->leg, 0, 'b'), v);
    } else if (p->leg) {
        add_end(c, net_of(c, N_LEG, p->leg, 0, 0), v);
    } else if (two) {
        add_line(c, side, 'a', v);
        add_line(c, side, 'b', v);
    } else if (body_has(body, false, NET_LINE)) {
        add_line(c, side, wiring_pole_of(c, p), v);
    }
    if (body_has(body, false, NET_NEUTRAL))
        add_neutral(c, side, v);
    if (body_has(body, false, NET_INTERCONNECT))
        add_end(c, net_of(c, N_INTERCONNECT, NULL, 0, 0), v);
}

static void end_control(struct circuit_work *c, const struct part *p, int v)
{
    if (p->device->def->wants_neutral || body_has(p->body, false, NET_NEUTRAL))
        add_neutral(c, wiring_side_of_part(c, p, v), v);
    if (wiring_hands_on(p->device->def) & NET_LINE) /* what it hands on it takes besides its leg */
        add_line(c, wiring_side_of_part(c, p, v), wiring_pole_of(c, p), v);
}

/* The source of a leg at its first switch, travelers between, the leg itself from its last switch
 * on. */
static void end_leg(struct circuit_work *c, const struct leg_work *l)
{
    const struct part *first = l->switches[0];
    struct box *side = wiring_side_of_part(c, first, l->at[0]);
    uint32_t last = l->count - 1;
    if (l->two_pole) {
        for (char pole = 'a'; pole <= 'b'; pole++) {
            add_line(c, side, pole, l->at[0]);
            add_end(c, net_of(c, N_LEG, l->leg, 0, pole), l->at[last]);
        }
        return;
    }
    if (first->from_leg)
        add_end(c, net_of(c, N_LEG, first->from_leg, 0, 0), l->at[0]);
    else
        add_line(c, side, wiring_pole_of(c, first), l->at[0]);
    for (uint32_t k = 0; k < last; k++) {
        for (char pole = 'a'; pole <= 'b'; pole++) {
            struct net *t = net_of(c, N_TRAVELER, l->leg, k + 1, pole);
            add_end(c, t, l->at[k]);
            add_end(c, t, l->at[k + 1]);
        }
    }
    add_end(c, net_of(c, N_LEG, l->leg, 0, 0), l->at[last]);
}

/* Caps: a box at the end of a run without devices gets line and neutral; one that reserves legs
 * gets these and the neutral. */
static void end_caps(struct circuit_work *c, int v, bool leaf)
{
    const struct vertex *x = &c->vertices[v];
    if (!x->box)
        return;
    bool capped = false;
    for (uint32_t i = 0; i < x->box->capped.n; i++) {
        const struct leg_work *l = wiring_work_of_leg(c, x->box->capped.at[i]);
        if (!l)
            continue;
        capped = true;
        for (int pole = 0; pole <= l->two_pole && l != c->skipped; pole++)
            add_end(c, net_of(c, N_LEG, l->leg, 0, l->two_pole ? (char)('a' + pole) : 0), v);
        if (!l->two_pole)
            add_neutral(c, wiring_side_of_leg(c, l), v);
    }
    if (leaf && !capped && !x->box->device_count && v) {
        add_line(c, x->side, wiring_pole_of(c, NULL), v);
        add_neutral(c, x->side, v);
    }
}

static void end_source(struct circuit_work *c)
{
    if (c->circuit->two_pole || c->circuit->multiwire) {
        add_line(c, NULL, 'a', 0);
        add_line(c, NULL, 'b', 0);
    } else {
        add_line(c, NULL, 0, 0);
    }
    add_neutral(c, NULL, 0);
    if (c->circuit->feeds &&
        c->vertex_count > 1) { /* a feeder carries both lines and the neutral to the other panel */
        for (uint32_t v = 1; v < c->vertex_count; v++) {
            add_line(c, NULL, 'a', (int)v);
            add_line(c, NULL, 'b', (int)v);
            add_neutral(c, NULL, (int)v);
        }
    }
}

static void end_protectors(struct circuit_work *c)
{
    for (uint32_t v = 0; v < c->vertex_count; v++) {
        struct box *box = c->vertices[v].box;
        const struct device *protector = protector_in(c, box);
        if (!protector || wiring_vertex_of_part(c, &protector->parts[0]) != (int)v)
            continue;
        bool two = c->circuit->two_pole || c->circuit->multiwire;
        for (int k = 0; k <= two; k++)
            add_line(c, box, two ? (char)('a' + k) : 0, (int)v);
        if (wiring_hands_on(protector->def) & NET_NEUTRAL)
            add_neutral(c, box, (int)v);
    }
}

void wiring_gather_ends(struct circuit_work *c)
{
    c->ends.n = 0;
    end_source(c);
    end_protectors(c);
    bool *inner = arena_array(c->passing, bool, c->vertex_count);
    for (uint32_t v = 1; v < c->vertex_count; v++)
        inner[c->vertices[v].parent] = true;
    for (uint32_t i = 0; i < c->circuit->parts.n; i++) {
        struct part *p = c->circuit->parts.at[i];
        int v = wiring_vertex_of_part(c, p);
        if (v < 0)
            continue;
        if (p->control)
            end_control(c, p, v);
        else
            end_load(c, p, v);
    }
    for (uint32_t v = 0; v < c->vertex_count; v++)
        end_caps(c, (int)v, !inner[v]);
    for (uint32_t i = 0; i < c->leg_count; i++)
        if (&c->legs[i] != c->skipped)
            end_leg(c, &c->legs[i]);
}

struct net *wiring_leg_source(struct circuit_work *c, const struct leg_work *l, uint32_t first)
{
    const struct part *p = l->switches[first];
    if (p->from_leg)
        return net_of(c, N_LEG, p->from_leg, 0, 0);
    return net_of(c, N_LINE, wiring_side_of_part(c, p, l->at[first]), 0,
                  l->two_pole ? 'a' : wiring_pole_of(c, p));
}

struct net *wiring_switch_neutral(struct circuit_work *c, const struct leg_work *l, uint32_t i)
{
    return net_of(c, N_NEUTRAL, wiring_side_of_part(c, l->switches[i], l->at[i]), 0, 0);
}

void wiring_add_soft_ends(struct circuit_work *c)
{
    for (uint32_t i = 0; i < c->leg_count; i++) {
        const struct leg_work *l = &c->legs[i];
        for (uint32_t k = 0; k < l->count && l->wants_neutral; k++)
            if (!l->one_is_enough || l->neutral_at == (int)k)
                add_end(c, wiring_switch_neutral(c, l, k), l->at[k]);
    }
}

static int by_net(const void *a, const void *b)
{
    const struct net_end *x = a, *y = b;
    if (x->net->id != y->net->id)
        return x->net->id < y->net->id ? -1 : 1;
    return x->vertex < y->vertex ? -1 : x->vertex > y->vertex;
}

static void sort_ends(struct circuit_work *c)
{
    if (c->ends.n)
        qsort(c->ends.at, c->ends.n, sizeof *c->ends.at, by_net);
}

RULE(leg_through_panel, "leg-through-panel", ERROR, FIRM,
     "what a switch works, and what alarms tell each other, need not pass a panel");

/* A panel hands on lines, neutrals and grounds; what else would have to pass it cannot. */
static void check_meeting(struct circuit_work *c, const struct net *n, int top)
{
    const struct circuit *circuit = c->circuit;
    bool handed_on = n->sort == N_LINE || n->sort == N_NEUTRAL || n->sort == N_GROUND,
         *told = &c->w->through_panel[circuit->id];
    if (handed_on || top == NO_VERTEX || c->vertices[top].box || *told)
        return;
    *told = true;
    const char *name = address_called_as_written(c->m->arena, circuit, true);
    struct finding *f = model_finding(
        c->m, &rule_leg_through_panel, node_name_span(circuit->node), circuit->unit,
        arena_printf(c->m->arena, "circuit %s", address_of_circuit(c->m->arena, circuit, false)),
        "%s of circuit %s would have to pass panel %s", n->name, name,
        address_of_panel(c->m->arena, circuit->panel, true));
    diag_mend(c->m->diag, f, "one run from the panel, and from box to box behind it");
}

void wiring_each_net(struct circuit_work *c, void (*mark)(struct circuit_work *, int, void *),
                     void *context, struct net **at)
{
    int *vertices = arena_array(c->passing, int, c->ends.n + 1);
    sort_ends(c);
    for (uint32_t i = 0, n; i < c->ends.n; i += n) {
        *at = c->ends.at[i].net;
        for (n = 0; i + n < c->ends.n && c->ends.at[i + n].net == *at; n++)
            vertices[n] = c->ends.at[i + n].vertex;
        check_meeting(c, *at, wiring_join_vertices(c, vertices, n, mark, context));
    }
}

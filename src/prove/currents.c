/* The currents in every cable add to zero, whatever the loads take and however the switches stand.
 *
 * Every knot is a point, every conductor, contact, link, load and breaker a branch between two.
 * Kirchhoff: the currents are those that go round in rings. A tree of branches is chosen; each
 * branch outside it closes one ring and is given a current of its own, taken at random from a field
 * of 2^61 - 1 numbers; what the branches of the tree carry follows. The sum over a cable is zero
 * for all currents exactly when it is a form that is zero everywhere; a form that is not, and still
 * gives zero for these numbers, has a chance of one in 2^61. The numbers are always the same, so
 * that a verdict never changes. Contacts of all positions are branches at once, so what is shown
 * holds in each of them. Ground carries no current and is left out. */
#include "prove/proof.h"

enum { NO_WIRE = UINT32_MAX };

struct branch {
    uint32_t a, b; /* knots; current counts from a to b */
    uint32_t wire; /* NO_WIRE: no conductor of a cable */
    uint64_t current;
    bool in_tree;
};

typedef VEC(struct branch) branch_list;

static const uint64_t field = ((uint64_t)1 << 61) - 1;

static uint64_t plus(uint64_t a, uint64_t b)
{
    uint64_t s = a + b;
    return s >= field ? s - field : s;
}

static uint64_t minus(uint64_t a, uint64_t b)
{
    return plus(a, field - b);
}

/* A fixed row of numbers (splitmix64: Steele, Lea and Flood, "Fast splittable pseudorandom number
 * generators", 2014). */
static uint64_t next_number(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (z ^ (z >> 31)) % field;
}

/* --- branches ----------------------------------------------------------------------------- */

static void add_branch(struct proof *p, branch_list *list, uint32_t a, uint32_t b, uint32_t wire)
{
    if (a != NO_ELEMENT && b != NO_ELEMENT)
        *vec_push(p->arena, list) =
            (struct branch){.a = p->g->knot[a], .b = p->g->knot[b], .wire = wire};
}

static void add_wires(struct proof *p, branch_list *list)
{
    for (uint32_t w = 0; w < p->g->wire_count; w++) {
        const struct circuit *c = p->g->wires[w].run->circuit;
        uint32_t from = graph_end_element(p->g, w, false);
        if (c && p->proven[c->id] && prove_potential_of(p, node_of(p, from)).sort != SUPPLY_GROUND)
            add_branch(p, list, from, graph_end_element(p->g, w, true), w);
    }
}

/* A load takes current between all its terminals that carry any; so does an electronic switch. */
static void add_part(struct proof *p, branch_list *list, const struct part *part)
{
    static const uint8_t carries = NET_LINE | NET_LINE_A | NET_LINE_B | NET_LEG | NET_NEUTRAL;
    const struct part_form *f = graph_form_of(p->g->k, part);
    uint32_t first = NO_ELEMENT;
    for (uint8_t i = 0; i < f->body->terminal_count; i++) {
        if (f->body->terminals[i].gives || !(f->body->terminals[i].nets & carries))
            continue;
        uint32_t e = graph_terminal_element(p->g, part, i);
        if (first == NO_ELEMENT)
            first = e;
        else
            add_branch(p, list, first, e, NO_WIRE);
    }
}

static void add_parts(struct proof *p, branch_list *list)
{
    for (uint32_t i = 0; i < p->m->devices.n; i++)
        for (uint32_t k = 0; k < p->m->devices.at[i]->part_count; k++)
            if (prove_part_proven(p, &p->m->devices.at[i]->parts[k]))
                add_part(p, list, &p->m->devices.at[i]->parts[k]);
    for (uint32_t i = 0; i < p->g->switches.n; i++) {
        const struct switch_part *s = &p->g->switches.at[i];
        for (uint8_t k = 0; prove_part_proven(p, s->part) && k < s->position_count; k++)
            for (int c = 0; c < 4; c += 2)
                add_branch(p, list, s->contacts[k][c], s->contacts[k][c + 1], NO_WIRE);
    }
    for (uint32_t i = 0; i < p->g->links.n; i++)
        add_branch(p, list, p->g->links.at[i].in, p->g->links.at[i].out, NO_WIRE);
}

/* What hangs on a panel is between any two of the conductors that reach it by a run. `before` is
 * the end of the last one, NO_ELEMENT where there was none. */
static uint32_t join_ends(struct proof *p, branch_list *list, const struct run *r, uint32_t before)
{
    for (uint32_t w = p->g->first_wire[r->id]; w < p->g->first_wire[r->id + 1]; w++) {
        uint32_t end = graph_end_element(p->g, w, true);
        if (prove_potential_of(p, node_of(p, end)).sort >= SUPPLY_GROUND)
            continue;
        add_branch(p, list, before, end, NO_WIRE);
        before = end;
    }
    return before;
}

/* The supply between a line and the neutral, and at the far end of a feeder whatever hangs on the
 * panel there. */
static void add_supplies(struct proof *p, branch_list *list)
{
    for (uint32_t i = 0; i < p->m->circuits.n; i++) {
        const struct circuit *c = p->m->circuits.at[i];
        for (enum supply_sort s = SUPPLY_LINE; p->proven[i] && s < SUPPLY_NEUTRAL; s++)
            add_branch(p, list, graph_supply_element(p->g, c, s),
                       graph_supply_element(p->g, c, SUPPLY_NEUTRAL), NO_WIRE);
        if (!p->proven[i] || !c->feeds)
            continue;
        uint32_t first = NO_ELEMENT;
        for (uint32_t k = 0; k < c->runs.n; k++)
            if (c->runs.at[k]->to.panel == c->feeds)
                first = join_ends(p, list, c->runs.at[k], first);
    }
}

/* --- currents ----------------------------------------------------------------------------- */

/* Branches at each knot, and the tree: an order in which every knot stands after the one it hangs
 * on. */
struct spanning {
    uint32_t *first, *incident; /* by knot: where its branches begin in `incident` */
    uint32_t *order, *up;       /* knots; the branch by which each hangs, NO_WIRE for a root */
};

static void list_incident(struct proof *p, const branch_list *list, struct spanning *t)
{
    uint32_t knots = p->g->knot_count;
    t->first = arena_array(p->arena, uint32_t, knots + 2);
    t->incident = arena_array(p->arena, uint32_t, 2 * list->n + 1);
    for (uint32_t i = 0; i < list->n; i++) {
        t->first[list->at[i].a + 2]++;
        t->first[list->at[i].b + 2]++;
    }
    for (uint32_t i = 1; i <= knots; i++)
        t->first[i + 1] += t->first[i];
    for (uint32_t i = 0; i < list->n; i++) {
        t->incident[t->first[list->at[i].a + 1]++] = i;
        t->incident[t->first[list->at[i].b + 1]++] = i;
    }
}

static void grow_tree(struct proof *p, branch_list *list, struct spanning *t)
{
    uint32_t knots = p->g->knot_count, n = 0;
    t->order = arena_array(p->arena, uint32_t, knots + 1);
    t->up = arena_array(p->arena, uint32_t, knots + 1);
    bool *seen = arena_array(p->arena, bool, knots + 1);
    for (uint32_t root = 0; root < knots; root++) {
        if (seen[root])
            continue;
        seen[root] = true;
        t->up[root] = NO_WIRE;
        uint32_t head = n;
        t->order[n++] = root;
        for (; head < n; head++) {
            uint32_t at = t->order[head];
            for (uint32_t i = t->first[at]; i < t->first[at + 1]; i++) {
                struct branch *b = &list->at[t->incident[i]];
                uint32_t other = b->a == at ? b->b : b->a;
                if (seen[other])
                    continue;
                seen[other] = b->in_tree = true;
                t->up[other] = t->incident[i];
                t->order[n++] = other;
            }
        }
    }
}

static void set_currents(struct proof *p, branch_list *list, const struct spanning *t)
{
    uint64_t state = 1;
    uint64_t *out =
        arena_array(p->arena, uint64_t,
                    p->g->knot_count + 1); /* what leaves a knot by branches already known */
    for (uint32_t i = 0; i < list->n; i++) {
        struct branch *b = &list->at[i];
        if (b->in_tree)
            continue;
        b->current = next_number(&state);
        out[b->a] = plus(out[b->a], b->current);
        out[b->b] = minus(out[b->b], b->current);
    }
    for (uint32_t i = p->g->knot_count; i-- > 0;) {
        uint32_t at = t->order[i];
        if (t->up[at] == NO_WIRE)
            continue;
        struct branch *b = &list->at[t->up[at]];
        uint32_t other = b->a == at ? b->b : b->a;
        b->current = b->b == at ? out[at] : minus(0, out[at]);
        out[other] = plus(out[other], out[at]);
    }
}

void prove_currents(struct proof *p)
{
    branch_list list = {0};
    struct spanning t;
    add_wires(p, &list);
    add_parts(p, &list);
    add_supplies(p, &list);
    list_incident(p, &list, &t);
    grow_tree(p, &list, &t);
    set_currents(p, &list, &t);
    uint64_t *sum = arena_array(p->arena, uint64_t, p->m->runs.n + 1);
    for (uint32_t i = 0; i < list.n; i++)
        if (list.at[i].wire != NO_WIRE)
            sum[p->g->wires[list.at[i].wire].run->id] =
                plus(sum[p->g->wires[list.at[i].wire].run->id], list.at[i].current);
    for (uint32_t i = 0; i < p->m->runs.n; i++) {
        const struct run *r = p->m->runs.at[i];
        if (!p->g->k->runs[i].made || !r->circuit || !p->proven[r->circuit->id])
            continue;
        prove_claim(p, r->circuit, STATES_GROUND);
        if (sum[i])
            prove_fail(
                p, STATES_GROUND, r->circuit, r->to.box, NULL,
                "the currents in run %s do not add to zero: what goes by this cable returns by "
                "another",
                address_of_run(p->arena, r, false));
    }
}

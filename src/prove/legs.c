/* Legs in every position of their switches.
 *
 * Switches that no supply parts from one another stand in one group: what one of them does may
 * matter to the others, so their positions are gone through all together. Groups meet only in
 * supplies, whose potential no position changes (two supplies that a position joins are a failure
 * of their own), so that they are independent. */
#include "prove/proof.h"

#include <string.h>

enum { NO_GROUP = UINT32_MAX };

enum fault {
    FAULT_NONE,
    FAULT_STUCK,
    FAULT_NEVER,
    FAULT_OFTEN,
    FAULT_FOREIGN,
    FAULT_LIVE,
    FAULT_UNLIKE
};

/* A node that ought to follow a leg: of its loads, or of an end kept for it. */
struct observed {
    const struct leg *leg;
    const struct leg
        *chain[MOST_LEGS_IN_SERIES]; /* the leg, then the one that feeds it, and so on */
    uint32_t depth;
    uint32_t node, group;
    uint32_t next;    /* of the same group, index + 1 */
    uint64_t on, off; /* by parity of the switches of each leg of the chain: seen on, seen off */
    uint32_t supply;  /* what it was joined to when on; NO_SUPPLY: never */
    enum fault fault;
    const struct part *idle; /* FAULT_FOREIGN: the switch that has no part in it */
    const char *position;    /* where the fault was seen */
    const uint8_t *at;
};

/* A terminal that a leg works. */
struct use {
    const struct part *part;
    uint8_t terminal;
    uint32_t observed;
};

struct group {
    uint32_t *switches; /* indices in g->switches */
    uint32_t switch_count;
    uint32_t first_observed; /* index + 1 */
    uint64_t positions;
};

struct walk {
    struct proof *p;
    struct group *groups;
    uint32_t group_count, most_together;
    uint32_t *group_of_switch; /* by switch; NO_GROUP */
    uint32_t *group_of_node;
    VEC(struct observed) observed;
    VEC(struct use) uses;
    struct map known;     /* (leg, node + 1) -> observed + 1 */
    struct map switch_of; /* (part, 1) -> switch + 1 */
    uint8_t *at;          /* by switch: its position */
    uint16_t *key;        /* by leg id: parity of its switches in the position at hand */
    uint32_t *first_key;  /* by leg id: 1 + the parities at which its loads are on; 0 not known */
    /* The nodes of the group at hand. */
    uint32_t *local, *stamp;   /* by node */
    uint32_t *parent, *supply; /* by local number */
    uint32_t *nodes;
    uint32_t local_count;
};

/* --- groups ------------------------------------------------------------------------------- */

static bool counts(const struct walk *w, const struct switch_part *s)
{
    return prove_part_proven(w->p, s->part);
}

static void join_group(struct walk *w, uint32_t *parent)
{
    struct proof *p = w->p;
    for (uint32_t i = 0; i < p->g->switches.n; i++) {
        const struct switch_part *s = &p->g->switches.at[i];
        for (uint8_t k = 0; counts(w, s) && k < s->position_count; k++)
            for (int c = 0; c < 4; c++) {
                uint32_t node =
                    s->contacts[k][c] == NO_ELEMENT ? NO_ELEMENT : node_of(p, s->contacts[k][c]);
                if (node != NO_ELEMENT && p->supply[node] == NO_SUPPLY)
                    graph_set_merge(parent, node, p->g->node_count + i);
            }
    }
}

static void form_groups(struct walk *w)
{
    struct proof *p = w->p;
    uint32_t nodes = p->g->node_count, all = nodes + p->g->switches.n;
    uint32_t *parent = arena_array(p->arena, uint32_t, all + 1),
             *group = arena_array(p->arena, uint32_t, all + 1);
    for (uint32_t i = 0; i < all; i++)
        parent[i] = i;
    join_group(w, parent);
    w->groups = arena_array(p->arena, struct group, p->g->switches.n + 1);
    w->group_of_switch = arena_array(p->arena, uint32_t, p->g->switches.n + 1);
    w->group_of_node = arena_array(p->arena, uint32_t, nodes + 1);
    for (uint32_t i = 0; i < p->g->switches.n; i++) {
        uint32_t root = graph_set_of(parent, nodes + i);
        if (!counts(w, &p->g->switches.at[i])) {
            w->group_of_switch[i] = NO_GROUP;
            continue;
        }
        if (!group[root])
            group[root] = ++w->group_count;
        w->group_of_switch[i] = group[root] - 1;
        w->groups[group[root] - 1].switch_count++;
        map_put(p->arena, &w->switch_of, (uintptr_t)p->g->switches.at[i].part, 1,
                (void *)(uintptr_t)(i + 1));
    }
    for (uint32_t i = 0; i < nodes; i++)
        w->group_of_node[i] = group[graph_set_of(parent, i)] - 1; /* NO_GROUP where there is none */
    for (uint32_t i = 0; i < w->group_count; i++) {
        w->groups[i].switches = arena_array(p->arena, uint32_t, w->groups[i].switch_count);
        w->groups[i].switch_count = 0;
    }
    for (uint32_t i = 0; i < p->g->switches.n; i++)
        if (w->group_of_switch[i] != NO_GROUP) {
            struct group *g = &w->groups[w->group_of_switch[i]];
            g->switches[g->switch_count++] = i;
        }
}

/* --- what is observed --------------------------------------------------------------------- */

const struct leg *prove_feeding_leg(const struct leg *l)
{
    for (uint32_t i = 0; i < l->controls.n; i++)
        if (l->controls.at[i]->from_leg)
            return l->controls.at[i]->from_leg;
    return NULL;
}

/* A switch of the chain that stands in another group: it cannot work what is observed. */
static const struct part *idle_switch(const struct walk *w, const struct observed *o)
{
    for (uint32_t d = 0; d < o->depth; d++)
        for (uint32_t i = 0; i < o->chain[d]->controls.n; i++) {
            const struct part *part = o->chain[d]->controls.at[i];
            uint32_t s = (uint32_t)(uintptr_t)map_get(&w->switch_of, (uintptr_t)part, 1);
            if (!s || w->group_of_switch[s - 1] != o->group)
                return part;
        }
    return NULL;
}

static uint32_t observe(struct walk *w, const struct leg *leg, uint32_t node)
{
    struct proof *p = w->p;
    void **known = map_at(p->arena, &w->known, (uintptr_t)leg, node + 1);
    if (*known)
        return (uint32_t)(uintptr_t)*known - 1;
    struct observed *o = vec_push(p->arena, &w->observed);
    uint32_t index = w->observed.n - 1;
    *known = (void *)(uintptr_t)(index + 1);
    *o = (struct observed){
        .leg = leg, .node = node, .group = w->group_of_node[node], .supply = NO_SUPPLY};
    for (const struct leg *l = leg; l && o->depth < MOST_LEGS_IN_SERIES; l = prove_feeding_leg(l))
        o->chain[o->depth++] = l;
    if (p->supply[node] != NO_SUPPLY) {
        o->fault = FAULT_LIVE;
    } else if (o->group == NO_GROUP) {
        o->fault = FAULT_NEVER;
    } else {
        struct group *g = &w->groups[o->group];
        o->idle = idle_switch(w, o);
        o->fault = o->idle ? FAULT_FOREIGN : FAULT_NONE;
        o->next = g->first_observed;
        g->first_observed = index + 1;
    }
    return index;
}

/* Whether all its switches are in the proof. */
static bool leg_proven(const struct walk *w, const struct leg *l)
{
    for (uint32_t i = 0; i < l->controls.n; i++)
        if (!prove_part_proven(w->p, l->controls.at[i]))
            return false;
    return l->controls.n > 0;
}

static void observe_loads(struct walk *w, const struct leg *l)
{
    struct proof *p = w->p;
    for (uint32_t i = 0; i < l->loads.n; i++) {
        const struct part *part = l->loads.at[i];
        if (part->control || !prove_part_proven(p, part))
            continue;
        const struct part_form *f = graph_form_of(p->g->k, part);
        for (uint8_t t = 0; t < f->body->terminal_count; t++)
            if (f->body->terminals[t].nets & NET_LEG && !f->body->terminals[t].gives) {
                uint32_t o = observe(w, l, node_of(p, graph_terminal_element(p->g, part, t)));
                *vec_push(p->arena, &w->uses) = (struct use){part, t, o};
            }
    }
}

/* --- one position ------------------------------------------------------------------------- */

static uint32_t local_node(struct walk *w, uint32_t node, uint32_t mark)
{
    if (w->stamp[node] != mark) {
        w->stamp[node] = mark;
        w->local[node] = w->local_count;
        w->nodes[w->local_count++] = node;
    }
    return w->local[node];
}

static void enter_group(struct walk *w, const struct group *g, uint32_t mark)
{
    struct proof *p = w->p;
    w->local_count = 0;
    for (uint32_t i = 0; i < g->switch_count; i++) {
        const struct switch_part *s = &p->g->switches.at[g->switches[i]];
        w->at[g->switches[i]] = 0;
        for (uint8_t k = 0; k < s->position_count; k++)
            for (int c = 0; c < 4; c++)
                if (s->contacts[k][c] != NO_ELEMENT)
                    local_node(w, node_of(p, s->contacts[k][c]), mark);
        for (int c = 0; c < 2; c++)
            if (s->gives[c] != NO_ELEMENT)
                local_node(w, node_of(p, s->gives[c]), mark);
    }
    for (uint32_t o = g->first_observed; o; o = w->observed.at[o - 1].next)
        local_node(w, w->observed.at[o - 1].node, mark);
}

static const char *position_words(const struct walk *w, const struct group *g)
{
    const struct proof *p = w->p;
    const char *words = "";
    for (uint32_t i = 0; i < g->switch_count; i++) {
        const struct switch_part *s = &p->g->switches.at[g->switches[i]];
        words = arena_printf(p->arena, "%s%s%s (leg %s) %s", words, i ? ", " : "",
                             address_of_box(p->arena, s->part->device->box, false),
                             s->part->leg ? s->part->leg->name : "none",
                             s->positions[w->at[g->switches[i]]].name);
    }
    return words;
}

static const uint8_t *copy_position(const struct walk *w)
{
    uint8_t *at = arena_array(w->p->arena, uint8_t, w->p->g->switches.n + 1);
    memcpy(at, w->at, w->p->g->switches.n);
    return at;
}

/* Joins what the contacts join. False where two supplies meet: that is recorded. */
static bool close_contacts(struct walk *w, const struct group *g)
{
    struct proof *p = w->p;
    for (uint32_t i = 0; i < w->local_count; i++) {
        w->parent[i] = i;
        w->supply[i] = p->supply[w->nodes[i]];
    }
    for (uint32_t i = 0; i < g->switch_count; i++) {
        const struct switch_part *s = &p->g->switches.at[g->switches[i]];
        const uint32_t *contact = s->contacts[w->at[g->switches[i]]];
        for (int c = 0; c < 4; c += 2) {
            if (contact[c] == NO_ELEMENT)
                continue;
            uint32_t a = graph_set_of(w->parent, w->local[node_of(p, contact[c])]),
                     b = graph_set_of(w->parent, w->local[node_of(p, contact[c + 1])]);
            if (a == b)
                continue;
            uint32_t sa = w->supply[a], sb = w->supply[b];
            if (sa != NO_SUPPLY && sb != NO_SUPPLY) {
                prove_fail_meeting(p, sa, sb, node_of(p, contact[c]), position_words(w, g), w->at);
                return false;
            }
            graph_set_merge(w->parent, a, b);
            w->supply[graph_set_of(w->parent, a)] = sa != NO_SUPPLY ? sa : sb;
        }
    }
    return true;
}

static bool is_line(const struct proof *p, uint32_t supply)
{
    return supply != NO_SUPPLY && p->potentials[supply].sort <= SUPPLY_LINE_B;
}

static void take_fault(struct walk *w, const struct group *g, struct observed *o, enum fault fault)
{
    if (o->fault)
        return;
    o->fault = fault;
    o->position = position_words(w, g);
    o->at = copy_position(w);
}

static void look(struct walk *w, const struct group *g)
{
    for (uint32_t i = 0; i < g->switch_count; i++) {
        const struct switch_part *s = &w->p->g->switches.at[g->switches[i]];
        if (s->part->leg)
            w->key[s->part->leg->id] ^= w->at[g->switches[i]] & 1;
    }
    for (uint32_t n = g->first_observed; n; n = w->observed.at[n - 1].next) {
        struct observed *o = &w->observed.at[n - 1];
        uint32_t supply = w->supply[graph_set_of(w->parent, w->local[o->node])];
        unsigned key = 0;
        for (uint32_t d = 0; d < o->depth; d++)
            key |= (unsigned)w->key[o->chain[d]->id] << d;
        bool on = is_line(w->p, supply);
        *(on ? &o->on : &o->off) |= 1ull << key;
        if (o->on & o->off)
            take_fault(w, g, o, FAULT_STUCK);
        if (on && o->supply != NO_SUPPLY && o->supply != supply)
            take_fault(w, g, o, FAULT_UNLIKE);
        if (on)
            o->supply = supply;
    }
    for (uint32_t i = 0; i < g->switch_count; i++) {
        const struct switch_part *s = &w->p->g->switches.at[g->switches[i]];
        if (s->part->leg)
            w->key[s->part->leg->id] = 0;
    }
}

/* A terminal that gives a leg is fed by its own switch alone: while the switch parts it from its
 * line, it is dead. Current that enters there means that line and load are exchanged, or that two
 * switches feed one leg side by side. */
static bool prove_giver(struct walk *w, const struct group *g, uint32_t index)
{
    struct proof *p = w->p;
    const struct switch_part *s = &p->g->switches.at[index];
    const uint32_t *contact = s->contacts[w->at[index]];
    for (int i = 0; i < 2; i++) {
        uint32_t e = s->gives[i];
        if (e == NO_ELEMENT || e == contact[0] || e == contact[1] || e == contact[2] ||
            e == contact[3])
            continue;
        if (!is_line(p, w->supply[graph_set_of(w->parent, w->local[node_of(p, e)])]))
            continue;
        struct proof_failure *f =
            prove_fail(p, STATES_COLORS, s->part->circuit, s->part->device->box,
                       path_words(p, e, NO_ELEMENT, w->at),
                       "current enters the %s of leg %s by the terminal that gives it",
                       s->part->device->def->name, s->part->leg ? s->part->leg->name : "none");
        f->leg = s->part->leg;
        f->position = position_words(w, g);
        return false;
    }
    return true;
}

static bool prove_givers(struct walk *w, const struct group *g)
{
    for (uint32_t i = 0; i < g->switch_count; i++)
        if (!prove_giver(w, g, g->switches[i]))
            return false;
    return true;
}

/* The next position of the group's switches; false after the last. */
static bool step(struct walk *w, const struct group *g)
{
    for (uint32_t i = 0; i < g->switch_count; i++) {
        uint32_t s = g->switches[i];
        if (++w->at[s] < w->p->g->switches.at[s].position_count)
            return true;
        w->at[s] = 0;
    }
    return false;
}

/* On at exactly one parity of each leg of the chain. */
static void judge(struct walk *w, const struct group *g)
{
    for (uint32_t n = g->first_observed; n; n = w->observed.at[n - 1].next) {
        struct observed *o = &w->observed.at[n - 1];
        if (!o->on)
            take_fault(w, g, o, FAULT_NEVER);
        else if (o->on & (o->on - 1))
            take_fault(w, g, o, FAULT_OFTEN);
    }
}

/* How many switches a group may have to be gone through. */
static uint32_t most_together(const struct walk *w)
{
    uint64_t positions[MOST_SWITCHES_TOGETHER + 1] = {0}, all = 0;
    for (uint32_t i = 0; i < w->group_count; i++)
        if (w->groups[i].switch_count <= MOST_SWITCHES_TOGETHER)
            positions[w->groups[i].switch_count] += 1u << w->groups[i].switch_count;
    uint32_t most = 0;
    while (most < MOST_SWITCHES_TOGETHER &&
           ((all += positions[most + 1]) <= MOST_GONE_THROUGH || most < ALWAYS_TOGETHER))
        most++;
    return most;
}

static const char *why_too_many(const struct walk *w, const struct group *g)
{
    if (g->switch_count > w->most_together)
        return arena_printf(w->p->arena, "%u switches work together, more than %u", g->switch_count,
                            w->most_together);
    for (uint32_t i = 0; i < g->switch_count; i++)
        if (w->p->g->switches.at[g->switches[i]].position_count != 2)
            return "a switch has other than two positions";
    return NULL;
}

static void leave_out(struct walk *w, const struct group *g, const char *why)
{
    struct proven_circuit *c =
        &w->p->v->circuits[w->p->g->switches.at[g->switches[0]].part->circuit->id];
    w->p->v->left_out += !c->left_out;
    c->left_out = why;
    c->beyond_limit = true;
}

static void walk_group(struct walk *w, struct group *g, uint32_t mark)
{
    struct proof *p = w->p;
    const char *why = why_too_many(w, g);
    if (why) {
        leave_out(w, g, why);
        return;
    }
    const struct circuit *c = p->g->switches.at[g->switches[0]].part->circuit;
    enter_group(w, g, mark);
    prove_claim(p, c, STATES_NO_SHORT);
    for (uint32_t i = 0; i < g->switch_count; i++)
        prove_claim(p, c, STATES_COLORS);
    bool whole;
    do {
        g->positions++;
        whole = close_contacts(w, g) && prove_givers(w, g);
        if (whole)
            look(w, g);
    } while (whole && step(w, g));
    p->v->circuits[c->id].positions += g->positions;
    p->v->positions += g->positions;
    if (whole)
        judge(w, g);
}

/* --- what the plan says ------------------------------------------------------------------- */

static const char *fault_words(const struct walk *w, const struct observed *o)
{
    switch (o->fault) {
    case FAULT_STUCK:
        return "moving one of its switches does not change it";
    case FAULT_NEVER:
        return "it is never on";
    case FAULT_OFTEN:
        return o->depth > 1 ? "it is on although its switches or those that feed it are off"
                            : "it is never off";
    case FAULT_LIVE:
        return "it is joined to a supply in every position";
    case FAULT_UNLIKE:
        return "different positions give it different supplies";
    case FAULT_FOREIGN:
        return arena_printf(w->p->arena, "the switch in %s has no part in it",
                            address_of_box(w->p->arena, o->idle->device->box, false));
    case FAULT_NONE:
        break;
    }
    return NULL;
}

static void fail_use(struct walk *w, const struct use *u, const char *what)
{
    struct proof *p = w->p;
    const struct observed *o = &w->observed.at[u->observed];
    const char *path =
        path_words(p, graph_terminal_element(p->g, u->part, u->terminal), NO_ELEMENT, o->at);
    struct proof_failure *f = prove_fail(p, STATES_LEGS, u->part->circuit, u->part->device->box,
                                         path, "the %s of leg %s: %s", u->part->device->def->name,
                                         address_of_leg(p->arena, o->leg, false), what);
    f->leg = o->leg;
    f->position = o->position;
}

/* All loads of a leg are on together, and with the leg that feeds it. */
static bool agrees(struct walk *w, const struct observed *o)
{
    uint32_t key = 0;
    while (!(o->on >> key & 1))
        key++;
    uint32_t *first = &w->first_key[o->leg->id];
    if (!*first)
        *first = key + 1;
    uint32_t feeding = o->depth > 1 ? w->first_key[o->chain[1]->id] : 0;
    return *first == key + 1 && (!feeding || feeding - 1 == key >> 1);
}

/* The line that a load gets when it is on: its circuit's, of the pole that the plan names, of the
 * side of its neutral. */
static void prove_supply(struct walk *w, const struct use *u)
{
    struct proof *p = w->p;
    const struct part_form *f = graph_form_of(p->g->k, u->part);
    struct potential at = p->potentials[w->observed.at[u->observed].supply];
    bool two = f->body->terminals[u->terminal].nets & (NET_LINE_A | NET_LINE_B);
    bool pole = two || !u->part->pole || at.sort == SUPPLY_LINE ||
                (at.sort == SUPPLY_LINE_B) == (u->part->pole == 'b');
    if (at.circuit != u->part->circuit || !pole)
        fail_use(w, u, arena_printf(p->arena, "it is fed from %s", prove_potential_words(p, at)));
    prove_claim(p, u->part->circuit, STATES_PROTECTED);
    for (uint8_t t = 0; t < f->body->terminal_count; t++) {
        struct potential n =
            prove_potential_of(p, node_of(p, graph_terminal_element(p->g, u->part, t)));
        if (f->body->terminals[t].nets & NET_NEUTRAL && !f->body->terminals[t].gives &&
            n.sort == SUPPLY_NEUTRAL && n.beyond != at.neutral_beyond)
            prove_fail(p, STATES_PROTECTED, u->part->circuit, u->part->device->box,
                       path_words(p, graph_terminal_element(p->g, u->part, t), NO_ELEMENT, NULL),
                       "the %s of leg %s has %s, but %s", u->part->device->def->name,
                       address_of_leg(p->arena, w->observed.at[u->observed].leg, false),
                       prove_potential_words(p, at), prove_potential_words(p, n));
    }
}

/* A load between two lines takes a different one with each terminal. */
static void prove_two_lines(struct walk *w, const struct use *u, const struct use *before)
{
    if (!before || before->part != u->part)
        return;
    const struct potential a = w->p->potentials[w->observed.at[before->observed].supply],
                           b = w->p->potentials[w->observed.at[u->observed].supply];
    if (a.sort == b.sort)
        fail_use(w, u, "both its terminals are on one line");
}

static void prove_uses(struct walk *w)
{
    for (uint32_t i = 0; i < w->uses.n; i++) {
        const struct use *u = &w->uses.at[i];
        struct observed *o = &w->observed.at[u->observed];
        prove_claim(w->p, u->part->circuit, STATES_LEGS);
        if (w->p->v->circuits[u->part->circuit->id].left_out)
            continue;
        if (!o->fault && o->on && !agrees(w, o))
            o->fault = FAULT_UNLIKE;
        if (o->fault)
            fail_use(w, u, fault_words(w, o));
        else if (o->on)
            prove_supply(w, u);
        if (!o->fault && o->on && i && !w->observed.at[w->uses.at[i - 1].observed].fault &&
            w->observed.at[w->uses.at[i - 1].observed].on)
            prove_two_lines(w, u, &w->uses.at[i - 1]);
    }
}

/* --- ends kept for a leg ------------------------------------------------------------------ */

typedef VEC(uint32_t) node_list;

/* The nodes of a box where an end of the leg may lie: its joints, and the terminals of a switch of
 * the leg in it, on which nothing else need lie. */
static node_list nodes_of_end(struct proof *p, const struct leg *l, const struct box *b)
{
    node_list nodes = {0};
    for (uint32_t j = p->g->k->first_of_box[b->id]; j < p->g->k->first_of_box[b->id + 1]; j++)
        *vec_push(p->arena, &nodes) = node_of(p, j);
    for (uint32_t i = 0; i < l->controls.n; i++) {
        const struct part *control = l->controls.at[i];
        const struct part_form *f = graph_form_of(p->g->k, control);
        for (uint8_t t = 0; f && control->device->box == b && t < f->body->terminal_count; t++)
            *vec_push(p->arena, &nodes) = node_of(p, graph_terminal_element(p->g, control, t));
    }
    return nodes;
}

/* Every such node that no supply lies on and that the switches of the leg can reach. */
static void observe_ends(struct walk *w, const struct leg *l, const struct box *b)
{
    struct proof *p = w->p;
    uint32_t s = (uint32_t)(uintptr_t)map_get(&w->switch_of, (uintptr_t)l->controls.at[0], 1);
    uint32_t group = s ? w->group_of_switch[s - 1] : NO_GROUP;
    node_list nodes = {0};
    if (group != NO_GROUP)
        nodes = nodes_of_end(p, l, b);
    for (uint32_t i = 0; i < nodes.n; i++)
        if (p->supply[nodes.at[i]] == NO_SUPPLY && w->group_of_node[nodes.at[i]] == group)
            observe(w, l, nodes.at[i]);
}

static void prove_end(struct walk *w, const struct leg *l, const struct box *b)
{
    struct proof *p = w->p;
    bool found = false;
    node_list nodes = nodes_of_end(p, l, b);
    for (uint32_t i = 0; i < nodes.n; i++) {
        uint32_t o = (uint32_t)(uintptr_t)map_get(&w->known, (uintptr_t)l, nodes.at[i] + 1);
        found |= o && !w->observed.at[o - 1].fault && w->observed.at[o - 1].on;
    }
    const struct circuit *c = l->controls.at[0]->circuit;
    prove_claim(p, c, STATES_LEGS);
    if (found || p->v->circuits[c->id].left_out)
        return;
    struct proof_failure *f =
        prove_fail(p, STATES_LEGS, c, b, NULL, "the end kept for leg %s does not follow it",
                   address_of_leg(p->arena, l, false));
    f->leg = l;
}

static void each_end(struct walk *w,
                     void (*call)(struct walk *, const struct leg *, const struct box *))
{
    for (uint32_t i = 0; i < w->p->m->boxes.n; i++) {
        const struct box *b = w->p->m->boxes.at[i];
        for (uint32_t k = 0; k < b->capped.n; k++)
            if (leg_proven(w, b->capped.at[k]))
                call(w, b->capped.at[k], b);
    }
}

/* --- all legs ----------------------------------------------------------------------------- */

static void count_leg(struct walk *w, const struct leg *l)
{
    struct proven_leg *out = vec_push(w->p->kept, &w->p->v->legs);
    uint32_t together = 0;
    *out = (struct proven_leg){.leg = l, .switches = l->controls.n};
    for (uint32_t i = 0; i < l->loads.n; i++)
        out->loads += !l->loads.at[i]->control && prove_part_proven(w->p, l->loads.at[i]);
    const struct leg *at = l;
    for (uint32_t d = 0; at && d < MOST_LEGS_IN_SERIES; d++, at = prove_feeding_leg(at))
        together += at->controls.n;
    out->positions = together < 64 ? (uint64_t)1 << together : 0;
    w->p->v->circuits[l->controls.at[0]->circuit->id].legs++;
}

void prove_legs(struct proof *p)
{
    struct walk w = {.p = p};
    uint32_t nodes = p->g->node_count;
    form_groups(&w);
    w.at = arena_array(p->arena, uint8_t, p->g->switches.n + 1);
    w.key = arena_array(p->arena, uint16_t, p->m->legs.n + 1);
    w.first_key = arena_array(p->arena, uint32_t, p->m->legs.n + 1);
    w.local = arena_array(p->arena, uint32_t, 5 * (nodes + 1));
    w.stamp = w.local + nodes + 1;
    w.parent = w.stamp + nodes + 1;
    w.supply = w.parent + nodes + 1;
    w.nodes = w.supply + nodes + 1;
    for (uint32_t i = 0; i < p->m->legs.n; i++)
        if (leg_proven(&w, p->m->legs.at[i])) {
            count_leg(&w, p->m->legs.at[i]);
            observe_loads(&w, p->m->legs.at[i]);
        }
    each_end(&w, observe_ends);
    w.most_together = most_together(&w);
    for (uint32_t i = 0; i < w.group_count; i++)
        walk_group(&w, &w.groups[i], i + 1);
    prove_uses(&w);
    each_end(&w, prove_end);
}

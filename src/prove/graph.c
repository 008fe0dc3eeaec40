#include "prove/graph.h"

#include "facts/devices.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"

/* --- sets --------------------------------------------------------------------------------- */

uint32_t graph_set_of(uint32_t *parent, uint32_t x)
{
    while (parent[x] != x)
        x = parent[x] = parent[parent[x]];
    return x;
}

void graph_set_merge(uint32_t *parent, uint32_t a, uint32_t b)
{
    a = graph_set_of(parent, a);
    b = graph_set_of(parent, b);
    if (a < b)
        parent[b] = a;
    else
        parent[a] = b;
}

/* Numbers the sets from 0 in the order of their first elements. */
static uint32_t *number_sets(struct arena *arena, uint32_t *parent, uint32_t count, uint32_t *sets)
{
    uint32_t *number = arena_array(arena, uint32_t, count + 1);
    *sets = 0;
    for (uint32_t i = 0; i < count; i++) {
        uint32_t root = graph_set_of(parent, i); /* the least of its set */
        number[i] = root == i ? (*sets)++ : number[root];
    }
    return number;
}

/* --- elements ----------------------------------------------------------------------------- */

const struct part_form *graph_form_of(const struct makeup *k, const struct part *p)
{
    const struct part_form *forms = k->forms[p->device->id];
    const struct part_form *f = forms ? &forms[p - p->device->parts] : NULL;
    return f && f->part ? f : NULL;
}

static uint32_t part_number(const struct graph *g, const struct part *p)
{
    return g->first_part[p->device->id] + (uint32_t)(p - p->device->parts);
}

const char *graph_wire_color(const struct graph *g, const struct wire *w)
{
    const char *const *colors = g->k->runs[w->run->id].colors;
    return w->index == CONDUCTOR_GROUND ? "ground" : colors ? colors[w->index] : "old wire";
}

uint32_t graph_terminal_element(const struct graph *g, const struct part *p, uint8_t terminal)
{
    return g->slots[g->first_slot[part_number(g, p)] + terminal];
}

uint32_t graph_end_element(const struct graph *g, uint32_t wire, bool at_to)
{
    return g->ends + 2 * wire + at_to;
}

uint32_t graph_supply_element(const struct graph *g, const struct circuit *c, enum supply_sort sort)
{
    return sort == SUPPLY_GROUND ? g->supplies + 4 * g->m->circuits.n
                                 : g->supplies + 4 * c->id + sort;
}

static uint32_t conductor_element(const struct graph *g, const struct lead *l)
{
    if (!g->k->runs[l->run->id].made)
        return NO_ELEMENT;
    uint32_t first = g->first_wire[l->run->id], behind = g->first_wire[l->run->id + 1];
    uint32_t wire = l->conductor == CONDUCTOR_GROUND ? behind - 1 : first + (uint32_t)l->conductor;
    return graph_end_element(g, wire, l->at_to);
}

uint32_t graph_lead_element(const struct graph *g, const struct joint *j, const struct lead *l)
{
    switch (l->kind) {
    case LEAD_CONDUCTOR:
        return conductor_element(g, l);
    case LEAD_TERMINAL:
        return graph_terminal_element(g, l->part, l->terminal);
    case LEAD_BOX:
        return g->boxes + j->box->id;
    case LEAD_LINE:
        return graph_supply_element(g, l->circuit,
                                    l->pole == 'a'   ? SUPPLY_LINE_A
                                    : l->pole == 'b' ? SUPPLY_LINE_B
                                                     : SUPPLY_LINE);
    case LEAD_NEUTRAL_BAR:
        return graph_supply_element(g, l->circuit, SUPPLY_NEUTRAL);
    case LEAD_GROUND_BAR:
        return graph_supply_element(g, l->circuit, SUPPLY_GROUND);
    }
    return NO_ELEMENT;
}

static void number_wires(struct graph *g)
{
    const struct model *m = g->m;
    g->first_wire = arena_array(g->arena, uint32_t, m->runs.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct made_run *r = &g->k->runs[i];
        g->first_wire[i + 1] = g->first_wire[i] + (r->made ? r->count + 1u : 0);
    }
    g->wire_count = g->first_wire[m->runs.n];
    g->wires = arena_array(g->arena, struct wire, g->wire_count + 1);
    for (uint32_t i = 0; i < m->runs.n; i++)
        for (uint32_t w = g->first_wire[i]; w < g->first_wire[i + 1]; w++)
            g->wires[w] = (struct wire){.run = m->runs.at[i],
                                        .index = w + 1 == g->first_wire[i + 1]
                                                     ? CONDUCTOR_GROUND
                                                     : (int16_t)(w - g->first_wire[i])};
}

/* The element of a terminal that serves all parts of a device, where an earlier part has it. */
static uint32_t slot_of_earlier_part(const struct graph *g, const struct part *p, uint8_t shared)
{
    for (const struct part *q = p->device->parts; shared && q < p; q++) {
        const struct part_form *f = graph_form_of(g->k, q);
        for (uint8_t i = 0; f && i < f->body->terminal_count; i++)
            if (f->body->terminals[i].shared == shared)
                return graph_terminal_element(g, q, i);
    }
    return NO_ELEMENT;
}

static void number_terminals(struct graph *g)
{
    const struct model *m = g->m;
    uint32_t parts = 0, slots = 0;
    g->first_part = arena_array(g->arena, uint32_t, m->devices.n + 1);
    for (uint32_t i = 0; i < m->devices.n; i++) {
        const struct device *d = m->devices.at[i];
        g->first_part[i] = parts;
        parts += d->part_count;
        for (uint32_t k = 0; k < d->part_count; k++)
            slots += graph_form_of(g->k, &d->parts[k])
                         ? graph_form_of(g->k, &d->parts[k])->body->terminal_count
                         : 0;
    }
    g->first_slot = arena_array(g->arena, uint32_t, parts + 1);
    g->slots = arena_array(g->arena, uint32_t, slots + 1);
    uint32_t next = 0, slot = 0;
    for (uint32_t i = 0; i < m->devices.n; i++) {
        const struct device *d = m->devices.at[i];
        for (uint32_t k = 0; k < d->part_count; k++) {
            const struct part *p = &d->parts[k];
            const struct part_form *f = graph_form_of(g->k, p);
            g->first_slot[g->first_part[i] + k] = slot;
            for (uint8_t t = 0; f && t < f->body->terminal_count; t++) {
                uint32_t earlier = slot_of_earlier_part(g, p, f->body->terminals[t].shared);
                g->slots[slot++] = earlier != NO_ELEMENT ? earlier : g->terminals + next++;
            }
        }
    }
    g->supplies = g->terminals + next;
}

/* --- what devices join -------------------------------------------------------------------- */

static void add_links(struct graph *g, struct part *p, const struct body *b)
{
    for (uint8_t i = 0; i < b->terminal_count; i++)
        if (b->terminals[i].continues)
            *vec_push(g->arena, &g->links) =
                (struct link){p, graph_terminal_element(g, p, b->terminals[i].continues - 1),
                              graph_terminal_element(g, p, i)};
}

static void add_switch(struct graph *g, struct part *p, const struct body *b)
{
    struct switch_part s = {.part = p,
                            .positions = b->positions,
                            .position_count = b->position_count,
                            .gives = {NO_ELEMENT, NO_ELEMENT}};
    bool any = false;
    for (uint8_t t = 0, n = 0; t < b->terminal_count && n < 2; t++)
        if (b->terminals[t].role == ROLE_LEG)
            s.gives[n++] = graph_terminal_element(g, p, t);
    s.contacts = arena_alloc(g->arena, b->position_count * sizeof *s.contacts);
    for (uint8_t i = 0; i < b->position_count; i++)
        for (int k = 0; k < 4; k++) {
            uint8_t t = b->positions[i].joins[k / 2][k % 2];
            s.contacts[i][k] = t == NO_TERMINAL ? NO_ELEMENT : graph_terminal_element(g, p, t);
            any |= t != NO_TERMINAL;
        }
    if (any)
        *vec_push(g->arena, &g->switches) = s;
}

static void read_devices(struct graph *g)
{
    for (uint32_t i = 0; i < g->m->devices.n; i++) {
        struct device *d = g->m->devices.at[i];
        for (uint32_t k = 0; k < d->part_count; k++) {
            const struct part_form *f = graph_form_of(g->k, &d->parts[k]);
            if (!f)
                continue;
            add_links(g, &d->parts[k], f->body);
            if (f->body->position_count)
                add_switch(g, &d->parts[k], f->body);
        }
    }
}

/* --- joining ------------------------------------------------------------------------------ */

static void note_mark(struct graph *g, const struct lead *l)
{
    if (l->kind == LEAD_CONDUCTOR && l->conductor != CONDUCTOR_GROUND &&
        g->k->runs[l->run->id].made)
        g->wires[g->first_wire[l->run->id] + (uint32_t)l->conductor].marked[l->at_to] =
            l->reidentified;
}

static void join_leads(struct graph *g, uint32_t *parent)
{
    for (uint32_t j = 0; j < g->k->joints.n; j++) {
        const struct joint *joint = &g->k->joints.at[j];
        for (uint32_t i = 0; i < joint->lead_count; i++) {
            uint32_t e = graph_lead_element(g, joint, &joint->leads[i]);
            note_mark(g, &joint->leads[i]);
            if (e != NO_ELEMENT && !joint->leads[i].over_tab)
                graph_set_merge(parent, j, e);
        }
    }
}

/* --- tabs --------------------------------------------------------------------------------- */

/* Whether the make-up says that the tab between two terminals is broken off. */
static bool is_broken(const struct graph *g, const struct part *a, uint8_t terminal,
                      const struct part *b, uint8_t to)
{
    const struct makeup *k = g->k;
    for (uint32_t i = k->first_tab[a->device->id]; i < k->first_tab[a->device->id + 1]; i++) {
        const struct made_tab *t = &k->tabs.at[i];
        bool same = t->part == a && t->terminal == terminal && t->beside == b && t->to == to,
             turned = t->part == b && t->terminal == to && t->beside == a && t->to == terminal;
        if (same || turned)
            return t->broken;
    }
    return false;
}

/* A device comes with its tabs: what they tie is joined, unless it is said that one is broken. */
static void join_tabs(struct graph *g, uint32_t *parent, const struct device *d)
{
    const struct part_form *forms = g->k->forms[d->id];
    for (uint32_t i = 0; forms && i < d->part_count; i++) {
        const struct part *a = &d->parts[i];
        for (uint32_t k = 0; a->def && k < d->part_count; k++)
            for (uint8_t t = 0; t < a->def->own_count; t++) {
                uint8_t to = facts_tied_terminal(forms, a, t, &d->parts[k]);
                if (to != NO_TERMINAL && !is_broken(g, a, t, &d->parts[k], to))
                    graph_set_merge(parent, graph_terminal_element(g, a, t),
                                    graph_terminal_element(g, &d->parts[k], to));
            }
    }
}

struct graph *graph_of(struct arena *arena, const struct model *m, const struct makeup *k)
{
    struct graph *g = arena_new(arena, struct graph);
    *g = (struct graph){.arena = arena, .m = m, .k = k};
    number_wires(g);
    g->ends = k->joints.n;
    g->terminals = g->ends + 2 * g->wire_count;
    number_terminals(g);
    g->boxes = g->supplies + 4 * m->circuits.n + 1;
    g->count = g->boxes + m->boxes.n;
    uint32_t *parent = arena_array(arena, uint32_t, g->count);
    for (uint32_t i = 0; i < g->count; i++)
        parent[i] = i;
    join_leads(g, parent);
    for (uint32_t i = 0; i < m->devices.n; i++)
        join_tabs(g, parent, m->devices.at[i]);
    g->knot = number_sets(arena, parent, g->count, &g->knot_count);
    for (uint32_t w = 0; w < g->wire_count; w++)
        graph_set_merge(parent, graph_end_element(g, w, false), graph_end_element(g, w, true));
    g->node = number_sets(arena, parent, g->count, &g->node_count);
    read_devices(g);
    return g;
}

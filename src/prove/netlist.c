#include "prove/netlist.h"

#include "model/address.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "prove/graph.h"
#include "prove/prove.h"

static const double contact_ohm = 1e-5, unknown_ohm = 1e-3, tester_ohm = 1e5;

/* The resistance of a load, ohm. */
static double load_ohm(const struct part *part)
{
    return part->load > 0 ? part->volts * part->volts / part->load : tester_ohm;
}

/* Amps of a load at its nameplate voltage. */
static double load_amps(const struct part *part)
{
    return part->load > 0 && part->volts > 0 ? part->load / part->volts : 0;
}

static bool wanted(const struct netlist_options *o, const struct circuit *c)
{
    return c && (!o->circuit || o->circuit == c) &&
           !(o->verdict && o->verdict->circuits[c->id].left_out);
}

/* --- loads -------------------------------------------------------------------------------- */

/* What the contacts and links join, node by node. */
static uint32_t *close_contacts(struct arena *arena, const struct graph *g, const uint8_t *at)
{
    uint32_t *parent = arena_array(arena, uint32_t, g->node_count + 1);
    for (uint32_t i = 0; i < g->node_count; i++)
        parent[i] = i;
    for (uint32_t i = 0; i < g->links.n; i++)
        graph_set_merge(parent, g->node[g->links.at[i].in], g->node[g->links.at[i].out]);
    for (uint32_t i = 0; i < g->switches.n; i++) {
        const uint32_t *contact = g->switches.at[i].contacts[at[i]];
        for (int k = 0; k < 4; k += 2)
            if (contact[k] != NO_ELEMENT)
                graph_set_merge(parent, g->node[contact[k]], g->node[contact[k + 1]]);
    }
    return parent;
}

/* The line of its circuit that an element of a part lies on; SUPPLY_NONE: on none. */
static enum supply_sort line_of(const struct graph *g, uint32_t *parent, const struct part *part,
                                uint32_t element)
{
    for (enum supply_sort s = SUPPLY_LINE; s <= SUPPLY_LINE_B; s++)
        if (graph_set_of(parent, g->node[graph_supply_element(g, part->circuit, s)]) ==
            graph_set_of(parent, g->node[element]))
            return s;
    return SUPPLY_NONE;
}

/* The two sides of a load: its hot and its neutral, or both its lines. False where it takes
 * nothing. */
static bool sides_of(const struct graph *g, const struct part *part, uint32_t *hot, uint32_t *other)
{
    const struct part_form *f = graph_form_of(g->k, part);
    uint32_t found[2] = {NO_ELEMENT, NO_ELEMENT}, neutral = NO_ELEMENT;
    int n = 0;
    for (uint8_t t = 0; t < f->body->terminal_count; t++) {
        uint8_t nets = f->body->terminals[t].nets;
        if (f->body->terminals[t].gives)
            continue;
        if (nets & NET_NEUTRAL)
            neutral = graph_terminal_element(g, part, t);
        else if (nets & (NET_LINE | NET_LINE_A | NET_LINE_B | NET_LEG) && n < 2)
            found[n++] = graph_terminal_element(g, part, t);
    }
    *hot = found[0];
    *other = n == 2 ? found[1] : neutral;
    return *hot != NO_ELEMENT && *other != NO_ELEMENT;
}

struct netlist_load *netlist_loads(struct arena *arena, const struct graph *g,
                                   const struct netlist_options *o, uint32_t *count)
{
    uint32_t *parent = close_contacts(arena, g, o->at);
    VEC(struct netlist_load) list = {0};
    for (uint32_t i = 0; i < g->m->devices.n; i++)
        for (uint32_t k = 0; k < g->m->devices.at[i]->part_count; k++) {
            const struct part *part = &g->m->devices.at[i]->parts[k];
            struct netlist_load l = {.part = part};
            if (part->control || !wanted(o, part->circuit) || !graph_form_of(g->k, part) ||
                !sides_of(g, part, &l.hot, &l.other))
                continue;
            enum supply_sort line = line_of(g, parent, part, l.hot);
            l.on = line != SUPPLY_NONE;
            if (line == SUPPLY_LINE_B) { /* which is below its neutral where line a is above */
                uint32_t hot = l.hot;
                l.hot = l.other;
                l.other = hot;
            }
            *vec_push(arena, &list) = l;
        }
    *count = list.n;
    return list.at;
}

/* --- the deck ----------------------------------------------------------------------------- */

struct deck {
    struct buf *out;
    struct arena *arena;
    const struct graph *g;
    const struct netlist_options *o;
    bool *zero; /* by knot: it lies on a neutral bar or on ground */
};

/* A line that a simulator passes over, whatever a plan has put into its words: a text may hold
 * newlines. */
__attribute__((format(printf, 2, 3))) static void put_comment(struct deck *d, const char *format,
                                                              ...)
{
    va_list args;
    va_start(args, format);
    const char *text = arena_vprintf(d->arena, format, args);
    va_end(args);
    buf_puts(d->out, "* ");
    for (; *text; text++)
        buf_putc(d->out, (unsigned char)*text < ' ' || *text == 0x7f ? ' ' : *text);
    buf_putc(d->out, '\n');
}

/* The name of the point of an element. */
static const char *point(const struct deck *d, uint32_t element)
{
    uint32_t knot = d->g->knot[element];
    return d->zero[knot] ? "0" : arena_printf(d->arena, "k%u", knot);
}

/* What the proof says nothing of, and why. */
static void write_left_out(struct deck *d)
{
    const struct verdict *v = d->o->verdict;
    for (uint32_t i = 0; v && i < v->circuit_count; i++) {
        const struct proven_circuit *c = &v->circuits[i];
        if (c->left_out && (!d->o->circuit || d->o->circuit == c->circuit))
            put_comment(d, "left out: circuit %s, %s",
                        address_called_as_written(d->arena, c->circuit, false), c->left_out);
    }
}

static void write_sources(struct deck *d)
{
    const struct model *m = d->g->m;
    buf_puts(d->out, "\n* Lines at the breakers; neutral bars and ground bars are node 0.\n");
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        for (enum supply_sort s = SUPPLY_LINE; wanted(d->o, c) && s < SUPPLY_NEUTRAL; s++)
            buf_printf(d->out, "V%u_%u %s 0 %s%g\n", i, s,
                       point(d, graph_supply_element(d->g, c, s)), s == SUPPLY_LINE_B ? "-" : "",
                       m->volts);
    }
}

static void write_runs(struct deck *d)
{
    const struct graph *g = d->g;
    const struct run *last = NULL;
    for (uint32_t w = 0; w < g->wire_count; w++) {
        const struct run *r = g->wires[w].run;
        if (!wanted(d->o, r->circuit))
            continue;
        double ohm = d->o->ohm[r->id] > 0 ? d->o->ohm[r->id] : unknown_ohm;
        if (r != last) {
            buf_putc(d->out, '\n');
            put_comment(d, "%s, %s, %.6g ohm a conductor", address_of_run(d->arena, r, false),
                        g->k->runs[r->id].cable ? g->k->runs[r->id].cable->name : "old cable", ohm);
        }
        last = r;
        uint32_t from = graph_end_element(g, w, false), to = graph_end_element(g, w, true);
        if (g->wires[w].index == CONDUCTOR_GROUND)
            buf_printf(d->out, "R%u_g %s %s %.9g\n", r->id, point(d, from), point(d, to), ohm);
        else
            buf_printf(d->out, "R%u_%d %s %s %.9g ; %s\n", r->id, g->wires[w].index, point(d, from),
                       point(d, to), ohm, graph_wire_color(g, &g->wires[w]));
    }
}

static void write_contacts(struct deck *d)
{
    const struct graph *g = d->g;
    buf_puts(d->out, "\n* Switches as they stand, and protecting devices.\n");
    for (uint32_t i = 0; i < g->switches.n; i++) {
        const struct switch_part *s = &g->switches.at[i];
        if (!wanted(d->o, s->part->circuit))
            continue;
        put_comment(d, "%s in %s, leg %s: %s", graph_form_of(g->k, s->part)->def->name,
                    address_of_box(d->arena, s->part->device->box, false),
                    s->part->leg ? s->part->leg->name : "none", s->positions[d->o->at[i]].name);
        const uint32_t *contact = s->contacts[d->o->at[i]];
        for (int k = 0; k < 4; k += 2)
            if (contact[k] != NO_ELEMENT)
                buf_printf(d->out, "RS%u_%d %s %s %g\n", i, k / 2, point(d, contact[k]),
                           point(d, contact[k + 1]), contact_ohm);
    }
    for (uint32_t i = 0; i < g->links.n; i++)
        if (wanted(d->o, g->links.at[i].part->circuit))
            buf_printf(d->out, "RL%u %s %s %g\n", i, point(d, g->links.at[i].in),
                       point(d, g->links.at[i].out), contact_ohm);
}

static void write_loads(struct deck *d)
{
    uint32_t count;
    struct netlist_load *loads = netlist_loads(d->arena, d->g, d->o, &count);
    buf_puts(d->out, "\n* Loads. v(m0), v(m1) ... are the voltages on them.\n");
    for (uint32_t i = 0; i < count; i++) {
        const struct netlist_load *l = &loads[i];
        const char *hot = point(d, l->hot), *other = point(d, l->other);
        put_comment(d, "m%u: %s in %s, circuit %s, %g VA at %g V", i, l->part->device->def->name,
                    address_of_box(d->arena, l->part->device->box, false),
                    address_called_as_written(d->arena, l->part->circuit, false), l->part->load,
                    l->part->volts);
        if (d->o->constant_current && l->on && l->part->load > 0)
            buf_printf(d->out, "IP%u %s %s %.9g\n", i, hot, other, load_amps(l->part));
        else
            buf_printf(d->out, "RP%u %s %s %.9g\n", i, hot, other, load_ohm(l->part));
        buf_printf(d->out, "E%u m%u 0 %s %s 1\n", i, i, hot, other);
    }
    buf_puts(d->out, "\n.options rshunt=1e12\n.control\nset numdgt=9\nop\n");
    for (uint32_t i = 0; i < count; i++)
        buf_printf(d->out, "print v(m%u)\n", i);
    buf_puts(d->out, ".endc\n.end\n");
}

void netlist_write(struct buf *out, struct arena *arena, const struct graph *g,
                   const struct netlist_options *options)
{
    struct deck d = {out, arena, g, options, arena_array(arena, bool, g->knot_count + 1)};
    for (uint32_t i = 0; i < g->m->circuits.n; i++)
        d.zero[g->knot[graph_supply_element(g, g->m->circuits.at[i], SUPPLY_NEUTRAL)]] = true;
    if (g->m->circuits.n)
        d.zero[g->knot[graph_supply_element(g, g->m->circuits.at[0], SUPPLY_GROUND)]] = true;
    put_comment(&d, "%s: the circuits as made up, for ngspice -b",
                g->m->title ? g->m->title : "Plan");
    buf_puts(out, "* DC stands for the effective values of AC; reactances are left out.\n");
    write_left_out(&d);
    write_sources(&d);
    write_runs(&d);
    write_contacts(&d);
    write_loads(&d);
}

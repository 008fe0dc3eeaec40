/* Which circuits are in the proof, what each node is joined to, and what lies on it: the statements
 * that no switch has a part in. */
#include "prove/proof.h"

#include "facts/facts.h"
#include "facts/pulls.h"

#include <string.h>

const char *prove_statement_words(enum statement s)
{
    static const char *const words[STATEMENT_COUNT] = {
        [STATES_NO_SHORT] = "no position joins two supplies without a load between",
        [STATES_NEUTRAL] = "every neutral side reaches its own circuit's neutral, unswitched",
        [STATES_LEGS] = "every leg is on in half of its positions, and any one switch changes it",
        [STATES_LIVE] = "what is not switched is always live",
        [STATES_PROTECTED] = "nothing passes a protecting device by",
        [STATES_GROUND] =
            "everything that must be grounded is; currents in every cable add to zero",
        [STATES_COLORS] = "whites, line and neutral stand only where they may",
    };
    return words[s];
}

void prove_verdict_print_failures(const struct verdict *v, struct arena *arena, struct buf *out)
{
    for (uint32_t i = 0; i < v->failures.n; i++) {
        const struct proof_failure *f = &v->failures.at[i];
        buf_printf(out, "proof failed: statement %d, %s\n", (int)f->statement,
                   prove_statement_words(f->statement));
        if (f->circuit)
            buf_printf(out, "  circuit  %s\n", address_called_as_written(arena, f->circuit, false));
        if (f->box)
            buf_printf(out, "  box      %s\n", address_of_box(arena, f->box, false));
        buf_printf(out, "  what     %s\n  position %s\n", f->what,
                   f->position ? f->position : "any");
        if (f->path)
            buf_printf(out, "  path     %s\n", f->path);
    }
}

/* --- claims and failures ------------------------------------------------------------------ */

void prove_claim(struct proof *p, const struct circuit *c, enum statement s)
{
    p->v->claims[s]++;
    if (c)
        p->v->circuits[c->id].claims[s]++;
}

struct proof_failure *prove_fail(struct proof *p, enum statement s, const struct circuit *c,
                                 const struct box *box, const char *path, const char *format, ...)
{
    p->v->holds = false;
    static const struct proof_failure none;
    struct proof_failure *f = p->v->failures.n < MOST_FAILURES
                                  ? vec_push(p->kept, &p->v->failures)
                                  : arena_new(p->arena, struct proof_failure);
    *f = none;
    va_list args;
    va_start(args, format);
    f->what = arena_vprintf(p->arena, format, args);
    va_end(args);
    f->statement = s;
    f->circuit = c;
    f->box = box;
    f->path = path;
    return f;
}

bool prove_part_proven(const struct proof *p, const struct part *part)
{
    return part->circuit && p->proven[part->circuit->id] && graph_form_of(p->g->k, part);
}

/* --- potentials --------------------------------------------------------------------------- */

struct potential prove_potential_of(const struct proof *p, uint32_t node)
{
    return p->supply[node] == NO_SUPPLY ? (struct potential){.sort = SUPPLY_NONE}
                                        : p->potentials[p->supply[node]];
}

/* The same line or neutral, whatever protects it. */
static bool same_supply(struct potential a, struct potential b)
{
    return a.sort == b.sort && (a.sort == SUPPLY_GROUND || a.circuit == b.circuit);
}

const char *prove_potential_words(const struct proof *p, struct potential at)
{
    static const char *const names[] = {"line", "line a", "line b", "neutral", "ground", "nothing"};
    if (at.sort >= SUPPLY_GROUND)
        return names[at.sort];
    const char *words = arena_printf(p->arena, "%s of circuit %s", names[at.sort],
                                     address_called_as_written(p->arena, at.circuit, false));
    if (!at.beyond)
        return words;
    return arena_printf(p->arena, "%s behind the %s in %s", words, at.beyond->def->name,
                        address_of_box(p->arena, at.beyond->box, false));
}

/* Any element that lies on a node: a supply's own where there is one. */
static uint32_t supply_home(const struct proof *p, uint32_t supply)
{
    uint32_t own = 4 * p->m->circuits.n + 1;
    return supply < own ? p->g->supplies + supply : p->g->links.at[supply - own].out;
}

void prove_fail_meeting(struct proof *p, uint32_t supply, uint32_t other, uint32_t at_node,
                        const char *position, const uint8_t *at)
{
    struct potential a = p->potentials[supply], b = p->potentials[other];
    const struct circuit *c = a.circuit && p->proven[a.circuit->id] ? a.circuit : b.circuit;
    if ((!a.circuit || !p->proven[a.circuit->id]) && (!b.circuit || !p->proven[b.circuit->id]))
        return;
    bool protection = same_supply(a, b) || a.sort == SUPPLY_NONE || b.sort == SUPPLY_NONE;
    const struct box *box = NULL;
    for (uint32_t j = 0; j < p->g->k->joints.n && !box; j++)
        if (node_of(p, j) == at_node)
            box = p->g->k->joints.at[j].box;
    const char *path = path_words(p, supply_home(p, supply), supply_home(p, other), at);
    struct proof_failure *f =
        prove_fail(p, protection ? STATES_PROTECTED : STATES_NO_SHORT, c, box, path, "%s meets %s",
                   prove_potential_words(p, a), prove_potential_words(p, b));
    f->position = position;
}

/* The load side of a device is what its line side is, passed by the device. `open` holds the links
 * on the way, so that a ring of them comes to nothing. */
static void resolve_link(struct proof *p, uint32_t link, bool *open, bool *done)
{
    uint32_t own = 4 * p->m->circuits.n + 1, at = p->supply[node_of(p, p->g->links.at[link].in)];
    if (done[link] || open[link])
        return;
    open[link] = true;
    if (at != NO_SUPPLY && at >= own)
        resolve_link(p, at - own, open, done);
    struct potential *out = &p->potentials[own + link];
    *out = at == NO_SUPPLY || (at >= own && !done[at - own])
               ? (struct potential){.sort = SUPPLY_NONE}
               : p->potentials[at];
    out->beyond = p->g->links.at[link].part->device;
    if (prove_hands_on_neutral(out->beyond->def))
        out->neutral_beyond = out->beyond;
    done[link] = true;
}

static void find_potentials(struct proof *p)
{
    uint32_t circuits = p->m->circuits.n, own = 4 * circuits + 1;
    p->supply_count = own + p->g->links.n;
    p->potentials = arena_array(p->arena, struct potential, p->supply_count);
    for (uint32_t i = 0; i < 4 * circuits; i++)
        p->potentials[i] = (struct potential){.sort = (enum supply_sort)(i % 4),
                                              .circuit = p->m->circuits.at[i / 4]};
    p->potentials[4 * circuits] = (struct potential){.sort = SUPPLY_GROUND};
    p->supply = arena_array(p->arena, uint32_t, p->g->node_count);
    memset(p->supply, 0xff, p->g->node_count * sizeof *p->supply);
    for (uint32_t s = 0; s < p->supply_count; s++) {
        uint32_t *at = &p->supply[node_of(p, supply_home(p, s))];
        if (*at == NO_SUPPLY)
            *at = s;
    }
    bool *open = arena_array(p->arena, bool, p->g->links.n + 1),
         *done = arena_array(p->arena, bool, p->g->links.n + 1);
    for (uint32_t i = 0; i < p->g->links.n; i++)
        resolve_link(p, i, open, done);
}

/* --- what lies on the nodes --------------------------------------------------------------- */

static void read_terminals(struct proof *p)
{
    p->takes = arena_array(p->arena, uint8_t, p->g->node_count);
    p->gives = arena_array(p->arena, uint8_t, p->g->node_count);
    p->contact = arena_array(p->arena, bool, p->g->node_count);
    for (uint32_t i = 0; i < p->m->devices.n; i++) {
        const struct device *d = p->m->devices.at[i];
        for (uint32_t k = 0; k < d->part_count; k++) {
            const struct part_form *f = graph_form_of(p->g->k, &d->parts[k]);
            for (uint8_t t = 0; f && t < f->body->terminal_count; t++) {
                uint32_t node = node_of(p, graph_terminal_element(p->g, &d->parts[k], t));
                *(f->body->terminals[t].gives ? &p->gives[node] : &p->takes[node]) |=
                    f->body->terminals[t].nets;
            }
        }
    }
    for (uint32_t i = 0; i < p->g->switches.n; i++) {
        const struct switch_part *s = &p->g->switches.at[i];
        for (uint8_t k = 0; k < s->position_count; k++)
            for (int c = 0; c < 4; c++)
                if (s->contacts[k][c] != NO_ELEMENT)
                    p->contact[node_of(p, s->contacts[k][c])] = true;
    }
}

/* Two supplies on one node meet in every position. */
static void prove_apart(struct proof *p)
{
    for (uint32_t s = 0; s < p->supply_count; s++) {
        uint32_t node = node_of(p, supply_home(p, s));
        const struct circuit *c = p->potentials[s].circuit;
        if (c && p->proven[c->id])
            prove_claim(p, c, s > 4 * p->m->circuits.n ? STATES_PROTECTED : STATES_NO_SHORT);
        if (p->supply[node] != s)
            prove_fail_meeting(p, p->supply[node], s, node, NULL, NULL);
    }
}

/* --- terminals ---------------------------------------------------------------------------- */

/* Whether a terminal may lie on a supply. */
static bool fits(const struct terminal *t, enum supply_sort sort)
{
    switch (sort) {
    case SUPPLY_NEUTRAL:
        return t->nets & NET_NEUTRAL;
    case SUPPLY_GROUND:
        return t->nets & NET_GROUND;
    case SUPPLY_NONE:
        return true;
    default:
        return t->nets & (NET_LINE | NET_LINE_A | NET_LINE_B);
    }
}

static void prove_landing(struct proof *p, const struct part *part)
{
    const struct part_form *f = graph_form_of(p->g->k, part);
    for (uint8_t t = 0; t < f->body->terminal_count; t++) {
        uint32_t element = graph_terminal_element(p->g, part, t);
        struct potential at = prove_potential_of(p, node_of(p, element));
        prove_claim(p, part->circuit, STATES_COLORS);
        if (!fits(&f->body->terminals[t], at.sort))
            prove_fail(p, STATES_COLORS, part->circuit, part->device->box,
                       path_words(p, supply_home(p, p->supply[node_of(p, element)]), element, NULL),
                       "%s lies on terminal %s of the %s", prove_potential_words(p, at),
                       f->body->terminals[t].name, part->device->def->name);
    }
}

/* --- colours ------------------------------------------------------------------------------ */

/* What is wrong with a conductor of a colour on its node, or NULL. A white is a neutral; marked at
 * both ends it may be a line (the supply of a switch, line b) or a traveler, never what a switch
 * returns to its loads; line b of a 240 V load may be switched with line a (200.7(C)(1) speaks of
 * single-pole, three-way and four-way switches). */
static const char *color_fault(const struct proof *p, const struct wire *w, uint32_t node)
{
    enum supply_sort sort = prove_potential_of(p, node).sort;
    uint8_t on = p->takes[node] | p->gives[node];
    if (w->index == CONDUCTOR_GROUND)
        return sort == SUPPLY_GROUND || (sort == SUPPLY_NONE && !on)
                   ? NULL
                   : "the ground conductor is used for something else";
    if (!p->g->k->runs[w->run->id].colors)
        return NULL; /* an old cable of which nothing is told */
    bool white = !strncmp(graph_wire_color(p->g, w), "white", 5),
         marked = w->marked[0] || w->marked[1];
    if (sort == SUPPLY_GROUND)
        return "an insulated conductor is used for ground";
    if (sort == SUPPLY_NEUTRAL)
        return !white   ? "a conductor that is not white is a neutral"
               : marked ? "a white that is a neutral is marked as none"
                        : NULL;
    if (!white || (sort == SUPPLY_NONE && !on))
        return NULL;
    if (sort == SUPPLY_NONE && on != NET_TRAVELER && !(p->takes[node] & NET_LINE_B))
        return "a white returns from a switch or joins what is neither line nor traveler";
    return w->marked[0] && w->marked[1] ? NULL
                                        : "a white that is no neutral is not marked at both ends";
}

static void prove_colors(struct proof *p)
{
    for (uint32_t i = 0; i < p->g->wire_count; i++) {
        const struct wire *w = &p->g->wires[i];
        const struct circuit *c = w->run->circuit;
        if (!c || !p->proven[c->id])
            continue;
        prove_claim(p, c, STATES_COLORS);
        const char *fault = color_fault(p, w, node_of(p, graph_end_element(p->g, i, false)));
        if (fault)
            prove_fail(p, STATES_COLORS, c, w->run->to.box,
                       path_words(p, graph_end_element(p->g, i, true), NO_ELEMENT, NULL),
                       "%s: %s of run %s", fault, graph_wire_color(p->g, w),
                       address_of_run(p->arena, w->run, false));
    }
}

/* Every end of a conductor that comes from a supply is joined, landed or capped: none hangs loose
 * in a box. */
static void prove_ends(struct proof *p)
{
    bool *there = arena_array(p->arena, bool, 2 * p->g->wire_count + 1);
    for (uint32_t j = 0; j < p->g->k->joints.n; j++) {
        const struct joint *x = &p->g->k->joints.at[j];
        for (uint32_t i = 0; i < x->lead_count; i++)
            if (x->leads[i].kind == LEAD_CONDUCTOR && p->g->k->runs[x->leads[i].run->id].made)
                there[graph_lead_element(p->g, x, &x->leads[i]) - p->g->ends] = true;
    }
    for (uint32_t i = 0; i < 2 * p->g->wire_count; i++) {
        const struct wire *w = &p->g->wires[i / 2];
        const struct circuit *c = w->run->circuit;
        if (there[i] || !c || !p->proven[c->id] ||
            prove_potential_of(p, node_of(p, p->g->ends + i)).sort == SUPPLY_NONE)
            continue;
        prove_fail(p, STATES_LIVE, c, i % 2 ? w->run->to.box : w->run->from.box, NULL,
                   "an end of the %s of run %s is in no splice, landing or cap",
                   graph_wire_color(p->g, w), address_of_run(p->arena, w->run, false));
    }
}

static const char *size_of(const struct proof *p, const struct lead *l)
{
    const struct cable_def *d = p->g->k->runs[l->run->id].cable;
    return !d                                                   ? NULL
           : l->conductor == CONDUCTOR_GROUND && d->ground_size ? d->ground_size
                                                                : d->size;
}

static const char *color_of(const struct proof *p, const struct lead *l)
{
    const struct made_run *r = &p->g->k->runs[l->run->id];
    return l->conductor == CONDUCTOR_GROUND ? "ground" : r->colors ? r->colors[l->conductor] : NULL;
}

/* Whether two parts are one conductor: they lie in two raceways that end in the box, in one colour
 * and of one size. */
static bool is_one_conductor(const struct proof *p, const struct joint *j)
{
    if (j->lead_count != 2 || !j->box || !facts_is_passed(j->box))
        return false;
    const struct lead *a = &j->leads[0], *b = &j->leads[1];
    for (uint32_t i = 0; i < 2; i++) {
        const struct lead *l = &j->leads[i];
        if (l->kind != LEAD_CONDUCTOR || !l->run->raceway || l->run->existing ||
            (l->at_to ? l->run->to.box : l->run->from.box) != j->box)
            return false;
    }
    const char *one = color_of(p, a), *other = color_of(p, b);
    return a->run != b->run && one && other && !strcmp(one, other) &&
           size_of(p, a) == size_of(p, b) && a->reidentified == b->reidentified;
}

/* What goes uncut through a conduit body or a pull box is one conductor. */
static void prove_passes(struct proof *p)
{
    for (uint32_t j = 0; j < p->g->k->joints.n; j++) {
        const struct joint *x = &p->g->k->joints.at[j];
        const struct circuit *c = x->kind == JOINT_PASS ? x->leads[0].run->circuit : NULL;
        if (!c || !p->proven[c->id])
            continue;
        prove_claim(p, c, STATES_COLORS);
        if (!is_one_conductor(p, x))
            prove_fail(p, STATES_COLORS, c, x->box, NULL, "what passes uncut is not one conductor");
    }
}

static void prove_nodes(struct proof *p)
{
    prove_apart(p);
    prove_ends(p);
    for (uint32_t i = 0; i < p->m->devices.n; i++)
        for (uint32_t k = 0; k < p->m->devices.at[i]->part_count; k++)
            if (prove_part_proven(p, &p->m->devices.at[i]->parts[k]))
                prove_landing(p, &p->m->devices.at[i]->parts[k]);
    prove_colors(p);
    prove_passes(p);
}

/* --- circuits ----------------------------------------------------------------------------- */

/* Why nothing is said of a circuit, or NULL. */
static const char *why_left_out(const struct proof *p, const struct circuit *c)
{
    if (!facts_known(c, ITS_TEXT))
        return "its statements are in doubt";
    if (c->unrun.n)
        return "no run leads to some of the boxes that it serves";
    if (!facts_known(c, ITS_FEED))
        return "a box or an end of a run on it is in doubt";
    if (!c->is_tree)
        return "its runs are no tree";
    if (p->g->k->through_panel[c->id])
        return "a leg of it would have to pass a panel";
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (!c->runs.at[i]->in_tree)
            return arena_printf(p->arena, "nothing feeds run %s",
                                address_of_run(p->arena, c->runs.at[i], false));
        else if (!p->g->k->runs[c->runs.at[i]->id].made)
            return arena_printf(p->arena, "run %s is not made up",
                                address_of_run(p->arena, c->runs.at[i], false));
    return NULL;
}

static void leave_out(struct proof *p, const struct circuit *c, const char *why)
{
    if (!c || !p->proven[c->id])
        return;
    p->proven[c->id] = false;
    p->v->circuits[c->id].left_out = why;
    p->v->left_out++;
}

/* Parts of a device that the plan puts on two circuits, with one neutral between them: what it asks
 * for cannot hold. */
static void leave_out_shared(struct proof *p, const struct device *d)
{
    for (uint32_t k = 1; k < d->part_count; k++) {
        const struct part *a = &d->parts[0], *b = &d->parts[k];
        const struct part_form *f = graph_form_of(p->g->k, a), *g = graph_form_of(p->g->k, b);
        for (uint8_t t = 0; f && g && a->circuit != b->circuit && t < f->body->terminal_count; t++)
            for (uint8_t u = 0; u < g->body->terminal_count; u++) {
                if (f->body->terminals[t].nets & NET_GROUND ||
                    graph_terminal_element(p->g, a, t) != graph_terminal_element(p->g, b, u))
                    continue;
                const char *why =
                    arena_printf(p->arena, "terminal %s of the %s in %s is on two circuits",
                                 f->body->terminals[t].name, d->def->name,
                                 address_of_box(p->arena, d->box, false));
                leave_out(p, a->circuit, why);
                leave_out(p, b->circuit, why);
            }
    }
}

/* A device that is to hand on what leaves its box, but whose load side is not made up: whether it
 * breaks what lies beyond cannot be shown. */
static void leave_out_open(struct proof *p, const struct device *d)
{
    bool asked = d->onward, made = false;
    const struct circuit *c = d->part_count ? d->parts[0].circuit : NULL;
    if (d->def->protects || prove_protector(d->box, c) != d)
        return;
    for (uint32_t i = 0; i < d->box->runs.n; i++)
        asked |= d->box->runs.at[i]->load_side && d->box->runs.at[i]->circuit == c;
    if (!asked)
        return;
    for (uint32_t j = p->g->k->first_of_box[d->box->id]; j < p->g->k->first_of_box[d->box->id + 1];
         j++)
        for (uint32_t i = 0; i < p->g->k->joints.at[j].lead_count; i++) {
            const struct lead *l = &p->g->k->joints.at[j].leads[i];
            made |= l->kind == LEAD_TERMINAL && l->part->device == d &&
                    graph_form_of(p->g->k, l->part)->body->terminals[l->terminal].gives;
        }
    for (uint32_t k = 0; !made && k < d->part_count; k++)
        leave_out(p, d->parts[k].circuit,
                  arena_printf(p->arena, "the load side of the %s in %s is not made up",
                               d->def->name, address_of_box(p->arena, d->box, false)));
}

static void leave_out_device(struct proof *p, const struct device *d)
{
    leave_out_shared(p, d);
    leave_out_open(p, d);
    for (uint32_t k = 0; p->g->k->torn[d->id] && k < d->part_count; k++)
        leave_out(p, d->parts[k].circuit,
                  arena_printf(p->arena, "parts of the %s in %s share a terminal and no net",
                               d->def->name, address_of_box(p->arena, d->box, false)));
}

/* Legs that feed one another in a ring, or more in a row than are followed. */
static bool too_many_in_series(const struct leg *l)
{
    int depth = 0;
    while (l && depth <= MOST_LEGS_IN_SERIES) {
        l = prove_feeding_leg(l);
        depth++;
    }
    return depth > MOST_LEGS_IN_SERIES;
}

static bool comes_to(const struct circuit *c, const struct box *b)
{
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct run *r = b->runs.at[i];
        if (r->circuit == c)
            return true;
        for (uint32_t k = 0; k < r->also.n; k++)
            if (r->also.at[k] == c)
                return true;
    }
    return false;
}

/* A leg without a switch, with what does not fit it, on two circuits or fed in a ring says nothing
 * that could be shown. */
static void leave_out_leg(struct proof *p, const struct leg *l)
{
    const struct circuit *first = l->controls.n ? l->controls.at[0]->circuit : NULL;
    bool crosses = false;
    for (uint32_t i = 0; i < l->controls.n; i++)
        crosses |= l->controls.at[i]->circuit != first;
    for (uint32_t i = 0; i < l->loads.n; i++)
        crosses |= l->loads.at[i]->circuit != first;
    for (uint32_t i = 0; i < l->capped.n; i++)
        crosses |= !comes_to(first, l->capped.at[i]);
    bool series = too_many_in_series(l), misfit = p->g->k->misfits[l->id] != NULL;
    if (!crosses && !series && !misfit)
        return;
    const char *why =
        arena_printf(p->arena,
                     misfit   ? "what leg %s works and what works it do not fit"
                     : series ? "leg %s is fed by more legs in series than are followed"
                     : first  ? "leg %s is on two circuits"
                              : "leg %s has no switch on a circuit",
                     address_of_leg(p->arena, l, false));
    for (uint32_t i = 0; i < l->controls.n; i++) {
        const struct circuit *c = l->controls.at[i]->circuit;
        leave_out(p, c, why);
        if (c && series)
            p->v->circuits[c->id].beyond_limit = true;
    }
    for (uint32_t i = 0; i < l->loads.n; i++)
        leave_out(p, l->loads.at[i]->circuit, why);
}

static bool is_fed_itself(const struct part *part)
{
    return !part->leg || (part->control && !part->from_leg);
}

/* Whether a part of a circuit of two lines wants a line that the device before it does not hand on.
 */
static bool wants_other_line(const struct proof *p, const struct part *part,
                             const struct device *before)
{
    const struct part_form *f = graph_form_of(p->g->k, part);
    bool both = f && body_has(f->body, false, NET_LINE_A | NET_LINE_B);
    char own = part->pole ? part->pole : 'a',
         passed = before->parts[0].pole ? before->parts[0].pole : 'a';
    return body_has(&before->def->body, true, NET_LINE) && (both || own != passed);
}

/* What is put on the other line behind a device that hands on one cannot be fed. */
static void leave_out_other_line(struct proof *p, struct sides *s, const struct circuit *c)
{
    sides_of_circuit(p, s, c);
    for (uint32_t i = 0; i < c->parts.n; i++) {
        const struct part *part = c->parts.at[i];
        const struct device *before = is_fed_itself(part) ? side_of(s, part) : NULL;
        if (before && wants_other_line(p, part, before))
            leave_out(p, c,
                      arena_printf(p->arena,
                                   "the %s in %s hands on one line, and the %s in %s is on the "
                                   "other",
                                   before->def->name, address_of_box(p->arena, before->box, false),
                                   part->device->def->name,
                                   address_of_box(p->arena, part->device->box, false)));
    }
}

static void choose_circuits(struct proof *p)
{
    struct sides sides = {0};
    for (uint32_t i = 0; i < p->m->circuits.n; i++) {
        const struct circuit *c = p->m->circuits.at[i];
        p->v->circuits[i].circuit = c;
        p->proven[i] = c->runs.n > 0;
        const char *why = c->runs.n || c->unrun.n ? why_left_out(p, c) : NULL;
        if (why)
            leave_out(p, c, why);
        if (circuit_poles(c) > 1 && p->proven[i])
            leave_out_other_line(p, &sides, c);
    }
    for (uint32_t i = 0; i < p->m->devices.n; i++)
        leave_out_device(p, p->m->devices.at[i]);
    for (uint32_t i = 0; i < p->m->legs.n; i++)
        leave_out_leg(p, p->m->legs.at[i]);
}

static void count_things(struct proof *p)
{
    const struct box **last = arena_array(p->arena, const struct box *, p->m->circuits.n + 1);
    for (uint32_t i = 0; i < p->m->boxes.n; i++) {
        const struct box *b = p->m->boxes.at[i];
        for (uint32_t k = 0; k < b->runs.n; k++) {
            const struct circuit *c = b->runs.at[k]->circuit;
            p->v->circuits[c->id].boxes += last[c->id] != b;
            last[c->id] = b;
        }
    }
    for (uint32_t i = 0; i < p->m->devices.n; i++)
        for (uint32_t k = 0; k < p->m->devices.at[i]->part_count; k++) {
            const struct part *part = &p->m->devices.at[i]->parts[k];
            if (prove_part_proven(p, part))
                (*(part->control ? &p->v->circuits[part->circuit->id].switches
                                 : &p->v->circuits[part->circuit->id].loads))++;
        }
}

static const char *kept(struct proof *p, const char *words)
{
    return words ? arena_copy(p->kept, words, strlen(words)) : NULL;
}

/* The first device of the failure's leg, box or circuit whose sort the plan defines. */
static const struct device *defined_device(const struct model *m, const struct proof_failure *f)
{
    for (uint32_t i = 0; f->leg && i < f->leg->controls.n; i++)
        if (f->leg->controls.at[i]->device->def->of_plan)
            return f->leg->controls.at[i]->device;
    for (uint32_t i = 0; f->box && i < f->box->device_count; i++)
        if (f->box->devices[i]->def->of_plan)
            return f->box->devices[i];
    for (uint32_t i = 0; f->circuit && i < m->devices.n; i++) {
        const struct device *d = m->devices.at[i];
        for (uint32_t k = 0; d->def->of_plan && k < d->part_count; k++)
            if (d->parts[k].circuit == f->circuit)
                return d;
    }
    return NULL;
}

static void keep_failures(struct proof *p)
{
    for (uint32_t i = 0; i < p->v->failures.n; i++) {
        struct proof_failure *f = &p->v->failures.at[i];
        f->what = kept(p, f->what);
        f->position = kept(p, f->position);
        f->path = kept(p, f->path);
        f->defined = defined_device(p->m, f);
    }
    for (uint32_t i = 0; i < p->v->circuit_count; i++)
        p->v->circuits[i].left_out = kept(p, p->v->circuits[i].left_out);
}

struct verdict *prove(struct arena *arena, const struct model *m, const struct makeup *makeup)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct verdict *v = arena_new(arena, struct verdict);
    struct proof p = {
        .arena = &scratch, .kept = arena, .m = m, .v = v, .g = graph_of(&scratch, m, makeup)};
    v->holds = true;
    v->circuits = arena_array(arena, struct proven_circuit, m->circuits.n + 1);
    v->circuit_count = m->circuits.n;
    p.proven = arena_array(&scratch, bool, m->circuits.n + 1);
    choose_circuits(&p);
    find_potentials(&p);
    read_terminals(&p);
    prove_nodes(&p);
    prove_parts(&p);
    prove_legs(&p);
    prove_currents(&p);
    count_things(&p);
    keep_failures(&p);
    arena_free(&scratch);
    return v;
}

/* What every part of a device must find on its terminals in every position: its neutral, its line
 * where it is not switched, ground, the right side of a protecting device. And metal boxes, boxes
 * kept for later, panels that are fed. */
#include "facts/pulls.h"
#include "prove/proof.h"

static bool is_line(enum supply_sort s)
{
    return s == SUPPLY_LINE || s == SUPPLY_LINE_A || s == SUPPLY_LINE_B;
}

static bool has_two_lines(const struct circuit *c)
{
    return c->two_pole || c->multiwire;
}

/* What is met while the terminals of a part are looked at. */
struct met {
    const struct part *part;
    const struct part_form *form;
    const struct terminal *terminal;
    uint32_t element;
    struct potential at;
    enum supply_sort hot;        /* the line met before on this part; SUPPLY_NONE: none yet */
    bool live, neutral;          /* a line or neutral was met, `beyond` its protecting device */
    const struct device *beyond; /* of the last of them: what its neutral has passed */
};

/* Says that a terminal does not find what it must, with the way from it as far as it goes. */
static void fail_terminal(struct proof *p, const struct met *t, enum statement s, const char *wants)
{
    const char *path = path_words(p, t->element, NO_ELEMENT, NULL);
    const char *found = t->at.sort == SUPPLY_NONE
                            ? "reaches nothing"
                            : arena_printf(p->arena, "reaches %s", prove_potential_words(p, t->at));
    prove_fail(p, s, t->part->circuit, t->part->device->box, path,
               "terminal %s of the %s must reach %s and %s", t->terminal->name,
               t->part->device->def->name, wants, found);
}

static bool own_supply(const struct met *t, enum supply_sort sort)
{
    return t->at.sort == sort && t->at.circuit == t->part->circuit;
}

static void prove_neutral(struct proof *p, struct met *t)
{
    prove_claim(p, t->part->circuit, STATES_NEUTRAL);
    if (!own_supply(t, SUPPLY_NEUTRAL))
        fail_terminal(p, t, STATES_NEUTRAL, "the neutral of its circuit, unswitched");
}

static void prove_ground(struct proof *p, struct met *t)
{
    prove_claim(p, t->part->circuit, STATES_GROUND);
    if (t->at.sort != SUPPLY_GROUND)
        fail_terminal(p, t, STATES_GROUND, "ground");
}

/* Which line the plan wants; of a load between two lines the second must be the one that the first
 * is not. */
static bool right_line(const struct met *t)
{
    const struct circuit *c = t->part->circuit;
    if (!is_line(t->at.sort) || t->at.circuit != c)
        return false;
    if (!has_two_lines(c))
        return t->at.sort == SUPPLY_LINE;
    if (t->terminal->nets & (NET_LINE_A | NET_LINE_B))
        return t->at.sort != SUPPLY_LINE && t->at.sort != t->hot;
    return t->at.sort == (t->part->pole == 'b' ? SUPPLY_LINE_B : SUPPLY_LINE_A);
}

static void prove_live(struct proof *p, struct met *t)
{
    prove_claim(p, t->part->circuit, STATES_LIVE);
    if (!right_line(t))
        fail_terminal(p, t, STATES_LIVE,
                      has_two_lines(t->part->circuit) ? "its own line of its circuit"
                                                      : "the line of its circuit");
    t->hot = t->at.sort;
}

/* The leg that is fed from a line and feeds this one, if only by others between. */
static const struct leg *root_leg(const struct leg *l)
{
    for (const struct leg *from; (from = prove_feeding_leg(l));)
        l = from;
    return l;
}

static const struct device *own_side(const struct sides *s, const struct met *t,
                                     const struct part *part)
{
    return t->at.sort == SUPPLY_NEUTRAL ? side_of_neutral(s, part) : side_of(s, part);
}

/* All lines and neutrals of a part stand behind the same device, the one that the plan says. A load
 * that a leg works stands where the switches of the leg do, or those of the leg that feeds it;
 * where there are none on its circuit the plan says nothing. */
static bool right_side(const struct sides *s, const struct met *t)
{
    const struct part *part = t->part;
    if (!part->leg || (part->control && !part->from_leg))
        return t->at.beyond == own_side(s, t, part);
    const struct leg *root = root_leg(part->leg);
    bool any = false, right = false;
    for (uint32_t i = 0; i < root->controls.n; i++) {
        const struct part *control = root->controls.at[i];
        any |= control->circuit == part->circuit;
        right |= control->circuit == part->circuit && t->at.beyond == own_side(s, t, control);
    }
    return right || !any;
}

static void prove_side(struct proof *p, const struct sides *s, struct met *t)
{
    bool before = t->live || t->neutral;
    prove_claim(p, t->part->circuit, STATES_PROTECTED);
    const char *path = NULL;
    if (before && t->beyond != t->at.neutral_beyond)
        path = "its line and its neutral are not of the same side";
    else if (!right_side(s, t))
        path = "the plan puts it on another side";
    if (path)
        prove_fail(p, STATES_PROTECTED, t->part->circuit, t->part->device->box,
                   path_words(p, t->element, NO_ELEMENT, NULL),
                   "terminal %s of the %s reaches %s: %s", t->terminal->name,
                   t->part->device->def->name, prove_potential_words(p, t->at), path);
    t->beyond = t->at.neutral_beyond;
}

static void prove_terminal(struct proof *p, const struct sides *s, struct met *t)
{
    uint8_t nets = t->terminal->nets;
    if (t->terminal->gives)
        return;
    if (nets & NET_GROUND) {
        prove_ground(p, t);
    } else if (nets & NET_NEUTRAL) {
        prove_neutral(p, t);
        if (own_supply(t, SUPPLY_NEUTRAL)) {
            prove_side(p, s, t);
            t->neutral = true;
        }
    } else if (nets & (NET_LINE | NET_LINE_A | NET_LINE_B) && !t->terminal->contact &&
               !(t->part->leg && nets & NET_LEG)) {
        prove_live(p, t);
        if (right_line(&(struct met){
                .part = t->part, .terminal = t->terminal, .at = t->at, .hot = SUPPLY_NONE})) {
            prove_side(p, s, t);
            t->live = true;
        }
    }
}

static void prove_part(struct proof *p, const struct sides *s, const struct part *part)
{
    struct met t = {.part = part, .form = graph_form_of(p->g->k, part), .hot = SUPPLY_NONE};
    for (uint8_t i = 0; i < t.form->body->terminal_count; i++) {
        t.terminal = &t.form->body->terminals[i];
        t.element = graph_terminal_element(p->g, part, i);
        t.at = prove_potential_of(p, node_of(p, t.element));
        prove_terminal(p, s, &t);
    }
}

/* --- alarms ------------------------------------------------------------------------------- */

/* Alarms of a circuit hear each other and nothing else: their interconnect terminals are one node,
 * and no other terminal or supply lies on it. */
static void prove_interconnect(struct proof *p, const struct part *part, uint8_t terminal,
                               uint32_t *first)
{
    uint32_t e = graph_terminal_element(p->g, part, terminal), node = node_of(p, e);
    const char *fault = NULL;
    prove_claim(p, part->circuit, STATES_LIVE);
    if (*first != NO_ELEMENT && node_of(p, *first) != node)
        fault = "does not reach the other alarms of its circuit";
    else if (p->supply[node] != NO_SUPPLY || (p->takes[node] | p->gives[node]) != NET_INTERCONNECT)
        fault = "meets what is no interconnect";
    if (fault)
        prove_fail(p, STATES_LIVE, part->circuit, part->device->box,
                   path_words(p, e, NO_ELEMENT, NULL), "the interconnect of the %s %s",
                   part->device->def->name, fault);
    *first = e;
}

static void prove_alarms(struct proof *p, const struct circuit *c)
{
    uint32_t first = NO_ELEMENT;
    for (uint32_t i = 0; i < c->parts.n; i++) {
        const struct part_form *f = graph_form_of(p->g->k, c->parts.at[i]);
        for (uint8_t t = 0; f && t < f->body->terminal_count; t++)
            if (f->body->terminals[t].nets & NET_INTERCONNECT)
                prove_interconnect(p, c->parts.at[i], t, &first);
    }
}

/* --- boxes and panels --------------------------------------------------------------------- */

static bool carries(const struct run *r, const struct circuit *c)
{
    bool does = r->circuit == c;
    for (uint32_t i = 0; i < r->also.n; i++)
        does |= r->also.at[i] == c;
    return does;
}

static bool touches(const struct box *b, const struct circuit *c, bool leaving)
{
    for (uint32_t i = 0; i < b->runs.n; i++)
        if (carries(b->runs.at[i], c) && b->runs.at[i]->in_tree &&
            (leaving ? b->runs.at[i]->from.box : b->runs.at[i]->to.box) == b)
            return true;
    return false;
}

static void joints_of(const struct proof *p, const struct box *b, uint32_t *from, uint32_t *to)
{
    *from = p->g->k->first_of_box[b->id];
    *to = p->g->k->first_of_box[b->id + 1];
}

/* A box without devices at the end of a run: the line and the neutral of the circuit are there for
 * later. */
static void prove_end_box(struct proof *p, const struct box *b, const struct circuit *c)
{
    bool line = false, neutral = false;
    uint32_t from, to;
    joints_of(p, b, &from, &to);
    for (uint32_t j = from; j < to; j++) {
        struct potential at = prove_potential_of(p, node_of(p, j));
        line |= is_line(at.sort) && at.circuit == c;
        neutral |= at.sort == SUPPLY_NEUTRAL && at.circuit == c;
    }
    prove_claim(p, c, STATES_LIVE);
    if (!line)
        prove_fail(p, STATES_LIVE, c, b, NULL, "the line kept for later does not reach this box");
    prove_claim(p, c, STATES_NEUTRAL);
    if (!neutral)
        prove_fail(p, STATES_NEUTRAL, c, b, NULL,
                   "the neutral kept for later does not reach this box");
}

static void prove_end_boxes(struct proof *p, const struct circuit *c)
{
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct box *b = c->runs.at[i]->to.box;
        if (b && c->runs.at[i]->in_tree && !b->device_count && !b->capped.n && !touches(b, c, true))
            prove_end_box(p, b, c);
    }
}

/* Whether a box that ground wires pass uncut is itself on a metal raceway that is a ground of any
 * circuit: its connector bonds it. */
static bool is_bonded_by_raceway(const struct box *b)
{
    for (uint32_t i = 0; i < b->runs.n && facts_is_passed(b); i++) {
        const struct raceway_def *w = b->runs.at[i]->raceway;
        if (w && w->metal && w->grounds_amps <= 0)
            return true;
    }
    return false;
}

/* Metal boxes, and what else was given a bonding pigtail. */
static void prove_metal_boxes(struct proof *p)
{
    for (uint32_t i = 0; i < p->m->boxes.n; i++) {
        const struct box *b = p->m->boxes.at[i];
        const struct circuit *c = NULL;
        for (uint32_t k = 0; k < b->runs.n && !c; k++)
            c = p->proven[b->runs.at[k]->circuit->id] ? b->runs.at[k]->circuit : NULL;
        uint32_t from, to;
        joints_of(p, b, &from, &to);
        bool pigtail = false;
        for (uint32_t j = from; j < to; j++)
            for (uint32_t l = 0; l < p->g->k->joints.at[j].lead_count; l++)
                pigtail |= p->g->k->joints.at[j].leads[l].kind == LEAD_BOX;
        if (!c || !(pigtail || p->g->k->metal[b->id]))
            continue;
        prove_claim(p, c, STATES_GROUND);
        if (!pigtail && is_bonded_by_raceway(b))
            continue;
        struct potential at = prove_potential_of(p, node_of(p, p->g->boxes + b->id));
        if (at.sort != SUPPLY_GROUND)
            prove_fail(p, STATES_GROUND, c, b, path_words(p, p->g->boxes + b->id, NO_ELEMENT, NULL),
                       "the metal box must reach ground and reaches %s",
                       prove_potential_words(p, at));
    }
}

/* What the conductors of each feeder bring to the panel that it feeds: by circuit id, a bit for
 * each sort of supply. */
static uint32_t *brought_by_feeders(struct proof *p)
{
    uint32_t *brought = arena_array(p->arena, uint32_t, p->m->circuits.n + 1);
    for (uint32_t j = p->g->k->first_of_box[p->m->boxes.n]; j < p->g->k->joints.n; j++) {
        const struct joint *joint = &p->g->k->joints.at[j];
        struct potential at = prove_potential_of(p, node_of(p, j));
        for (uint32_t l = 0; l < joint->lead_count; l++) {
            const struct circuit *c =
                joint->leads[l].kind == LEAD_CONDUCTOR ? joint->leads[l].run->circuit : NULL;
            if (c && c->feeds && joint->panel == c->feeds &&
                (at.circuit == c || at.sort == SUPPLY_GROUND))
                brought[c->id] |= 1u << at.sort;
        }
    }
    return brought;
}

/* The panel that a feeder feeds finds both lines, the neutral and ground at the far end. */
static void prove_feeder(struct proof *p, const struct circuit *c, uint32_t brought)
{
    static const enum statement by_sort[] = {
        [SUPPLY_LINE_A] = STATES_LIVE,
        [SUPPLY_LINE_B] = STATES_LIVE,
        [SUPPLY_NEUTRAL] = STATES_NEUTRAL,
        [SUPPLY_GROUND] = STATES_GROUND,
    };
    for (enum supply_sort s = SUPPLY_LINE_A; s <= SUPPLY_GROUND; s++) {
        prove_claim(p, c, by_sort[s]);
        if (!(brought & 1u << s))
            prove_fail(p, by_sort[s], c, NULL, NULL, "%s does not reach panel %s",
                       prove_potential_words(p, (struct potential){.sort = s, .circuit = c}),
                       address_of_panel(p->arena, c->feeds, false));
    }
}

void prove_parts(struct proof *p)
{
    struct sides sides = {0};
    const uint32_t *brought = brought_by_feeders(p);
    for (uint32_t i = 0; i < p->m->circuits.n; i++) {
        const struct circuit *c = p->m->circuits.at[i];
        if (!p->proven[i])
            continue;
        sides_of_circuit(p, &sides, c);
        for (uint32_t k = 0; k < c->parts.n; k++)
            if (prove_part_proven(p, c->parts.at[k]))
                prove_part(p, &sides, c->parts.at[k]);
        prove_alarms(p, c);
        prove_end_boxes(p, c);
        if (c->feeds)
            prove_feeder(p, c, brought[i]);
    }
    prove_metal_boxes(p);
}

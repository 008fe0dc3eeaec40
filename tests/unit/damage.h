/* For tests: one fault at a time put into a make-up, and what it does to it by a count of our own.
 *
 * The count knows nothing of the proof. Every piece that is joined without a device between gets
 * the sum of what lies on it: terminals, breakers, bars, metal boxes, ends kept for later. The
 * make-up as a whole has the sum over its pieces, mixed. Terminals that may be exchanged without
 * any effect (the two travelers of one side of a switch, the two hots of a 240 V load, the commons
 * of the two three-ways of a leg, which then only change their parts) count as equal. Two make-ups
 * with equal sums are joined alike. */
#ifndef STUDBAY_TESTS_DAMAGE_H
#define STUDBAY_TESTS_DAMAGE_H

#include "generate.h"

#include "model/makeup.h"

#include <string.h>

/* --- counting ----------------------------------------------------------------------------- */

static inline uint64_t mixed(uint64_t x)
{
    return random_number(&x);
}

static inline uint64_t text_mixed(const char *text, uint64_t seed)
{
    uint64_t h = seed;
    for (; *text; text++)
        h = mixed(h ^ (unsigned char)*text);
    return h;
}

struct tally {
    struct arena *arena;
    const struct model *m;
    const struct makeup *k;
    uint32_t *first_wire; /* by run id: its wires; joints come behind them all */
    uint32_t wires, points;
    uint32_t *parent;
    uint64_t *sum;     /* by point: of what lies on it, after counting by its root */
    uint8_t *holds;    /* by root: bits of what lies on it */
    uint32_t *circuit; /* by root: of its line or neutral, + 1 */
    uint8_t *
        marks; /* by wire: 1 and 2, re-identified at its ends; 4 and 8: those ends are in a joint */
    uint32_t *leg_point; /* by leg id: a point of its loads, + 1 */
    struct map homes;    /* what lies on pieces -> the first point that it was met at, + 1 */
};

enum {
    HOLDS_LINE = 1,
    HOLDS_NEUTRAL = 2,
    HOLDS_GROUND = 4,
    HOLDS_TRAVELER = 8,
    HOLDS_OTHER = 16,
    HOLDS_LOAD_B = 32
};

static inline uint32_t tally_root(struct tally *t, uint32_t x)
{
    while (t->parent[x] != x)
        x = t->parent[x] = t->parent[t->parent[x]];
    return x;
}

static inline void tally_join(struct tally *t, uint32_t a, uint32_t b)
{
    t->parent[tally_root(t, a)] = tally_root(t, b);
}

/* Terminals that may stand for one another have one name. */
static inline const char *exchangeable(const char *name)
{
    static const char *const alike[][3] = {
        {"a", "b", "a|b"},          {"a1", "b1", "a1|b1"},         {"a2", "b2", "a2|b2"},
        {"hot-a", "hot-b", "hots"}, {"line-a", "line-b", "lines"}, {"load-a", "load-b", "loads"}};
    for (size_t i = 0; i < sizeof alike / sizeof *alike; i++)
        if (!strcmp(name, alike[i][0]) || !strcmp(name, alike[i][1]))
            return alike[i][2];
    return name;
}

/* A thing lies on a piece once, however many leads say so; met again elsewhere it joins both
 * pieces, as a terminal under two wires does. */
static inline void lay(struct tally *t, uint32_t point, uint64_t what, uint64_t alike, uint8_t bit,
                       const struct circuit *circuit)
{
    void **home = map_at(t->arena, &t->homes, (uintptr_t)what, 1);
    if (*home) {
        tally_join(t, point, (uint32_t)(uintptr_t)*home - 1);
        return;
    }
    *home = (void *)(uintptr_t)(point + 1);
    t->sum[point] += mixed(alike);
    t->holds[point] |= bit;
    if (bit & (HOLDS_LINE | HOLDS_NEUTRAL) && circuit)
        t->circuit[point] = circuit->id + 1;
}

static inline const struct terminal *terminal_of(const struct tally *t, const struct lead *l)
{
    const struct part_form *f = &t->k->forms[l->part->device->id][l->part - l->part->device->parts];
    return &f->body->terminals[l->terminal];
}

static inline uint64_t own_number(const struct tally *t, const struct lead *l)
{
    return mixed(l->part->device->id * 64 +
                 (terminal_of(t, l)->shared ? 63 : (uint64_t)(l->part - l->part->device->parts)));
}

static inline void lay_terminal(struct tally *t, uint32_t point, const struct lead *l)
{
    const struct terminal *x = terminal_of(t, l);
    uint64_t own = own_number(t, l);
    uint8_t bit = x->nets == NET_TRAVELER ? HOLDS_TRAVELER
                  : !x->gives             ? HOLDS_OTHER
                  : x->nets & NET_NEUTRAL ? HOLDS_NEUTRAL
                  : x->nets & NET_LEG     ? HOLDS_OTHER
                                          : HOLDS_LINE;
    if (l->part->leg && !l->part->control && x->nets & NET_LEG)
        t->leg_point[l->part->leg->id] = point + 1;
    if (!x->gives && x->nets & NET_LINE_B)
        bit |= HOLDS_LOAD_B;
    uint64_t alike =
        !strcmp(x->name, "common") && l->part->leg ? mixed(7000003 + l->part->leg->id) : own + 1;
    lay(t, point, text_mixed(x->name, own), text_mixed(exchangeable(x->name), alike), bit,
        l->part->circuit);
}

static inline void lay_lead(struct tally *t, uint32_t point, const struct joint *j,
                            const struct lead *l)
{
    uint64_t circuit = l->circuit ? l->circuit->id : 0;
    switch (l->kind) {
    case LEAD_TERMINAL:
        if (!l->over_tab)
            lay_terminal(t, point, l);
        break;
    case LEAD_BOX:
        lay(t, point, mixed(1000003 + j->box->id), 1000003 + j->box->id, HOLDS_OTHER, l->circuit);
        break;
    case LEAD_LINE:
        lay(t, point, mixed(2000003 + 256 * circuit + (unsigned char)l->pole),
            2000003 + 256 * circuit + (unsigned char)l->pole, HOLDS_LINE, l->circuit);
        break;
    case LEAD_NEUTRAL_BAR:
        lay(t, point, mixed(3000017 + circuit), 3000017 + circuit, HOLDS_NEUTRAL, l->circuit);
        break;
    case LEAD_GROUND_BAR:
        lay(t, point, mixed(4000037), 4000037, HOLDS_GROUND, l->circuit);
        break;
    case LEAD_CONDUCTOR: {
        uint32_t first = t->first_wire[l->run->id], behind = t->first_wire[l->run->id + 1];
        if (first == behind)
            break;
        uint32_t wire =
            l->conductor == CONDUCTOR_GROUND ? behind - 1 : first + (uint32_t)l->conductor;
        t->marks[wire] |=
            (uint8_t)((l->reidentified ? 1 : 0) << l->at_to) | (uint8_t)(4 << l->at_to);
        tally_join(t, point, wire);
        /* a lug of the panel that a feeder feeds, whichever of its conductors lies on it */
        if (l->at_to && l->run->circuit && l->run->circuit->feeds &&
            l->run->to.panel == l->run->circuit->feeds)
            lay(t, point, mixed(6000011 + point), 6000011 + l->run->to.panel->id, HOLDS_OTHER,
                NULL);
        break;
    }
    }
}

/* A tab that is not broken off carries what comes to the one of its terminals to the other. */
static inline void lay_tab(struct tally *t, const struct made_tab *tab)
{
    struct lead ends[2] = {{.kind = LEAD_TERMINAL, .part = tab->part, .terminal = tab->terminal},
                           {.kind = LEAD_TERMINAL, .part = tab->beside, .terminal = tab->to}};
    for (int i = 0; i < 2 && !tab->broken; i++) {
        uint64_t what = text_mixed(terminal_of(t, &ends[i])->name, own_number(t, &ends[i]));
        void **home = map_at(t->arena, &t->homes, (uintptr_t)what, 1);
        if (*home) {
            lay_terminal(t, (uint32_t)(uintptr_t)*home - 1, &ends[!i]);
            return;
        }
    }
}

/* A box where conductors end for later use: what comes there counts, though no device takes it. */
static inline bool kept_for_later(const struct box *b)
{
    return b && !b->capped.n && !b->device_count;
}

static inline void count_makeup(struct tally *t, struct arena *arena, const struct model *m,
                                const struct makeup *k)
{
    *t = (struct tally){.arena = arena, .m = m, .k = k};
    t->first_wire = arena_array(arena, uint32_t, m->runs.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++)
        t->first_wire[i + 1] = t->first_wire[i] + (k->runs[i].made ? k->runs[i].count + 1u : 0);
    t->wires = t->first_wire[m->runs.n];
    t->points = t->wires + k->joints.n;
    t->parent = arena_array(arena, uint32_t, t->points + 1);
    t->sum = arena_array(arena, uint64_t, t->points + 1);
    t->holds = arena_array(arena, uint8_t, t->points + 1);
    t->circuit = arena_array(arena, uint32_t, t->points + 1);
    t->leg_point = arena_array(arena, uint32_t, m->legs.n + 1);
    t->marks = arena_array(arena, uint8_t, t->wires + 1);
    for (uint32_t i = 0; i < t->points; i++)
        t->parent[i] = i;
    for (uint32_t j = 0; j < k->joints.n; j++)
        for (uint32_t i = 0; i < k->joints.at[j].lead_count; i++)
            lay_lead(t, t->wires + j, &k->joints.at[j], &k->joints.at[j].leads[i]);
    for (uint32_t i = 0; i < k->tabs.n; i++)
        lay_tab(t, &k->tabs.at[i]);
    for (uint32_t i = 0; i < t->points; i++) {
        uint32_t root = tally_root(t, i);
        if (root == i)
            continue;
        t->sum[root] += t->sum[i];
        t->holds[root] |= t->holds[i];
        t->circuit[root] = t->circuit[i] ? t->circuit[i] : t->circuit[root];
    }
}

/* Whether a circuit, by its id + 1, has a run to the box, and goes no further. */
static inline bool ends_in(const struct box *b, uint32_t circuit)
{
    bool comes = false;
    for (uint32_t i = 0; i < b->runs.n; i++) {
        if (b->runs.at[i]->circuit->id + 1 != circuit)
            continue;
        comes = true;
        if (b->runs.at[i]->from.box == b)
            return false;
    }
    return comes;
}

/* Whether the leg comes to an end that a box keeps for it. */
static inline bool leg_comes(struct tally *t, const struct box *b, const struct leg *l)
{
    bool comes = false;
    for (uint32_t j = t->k->first_of_box[b->id];
         t->leg_point[l->id] && j < t->k->first_of_box[b->id + 1]; j++)
        comes |= t->k->joints.at[j].lead_count &&
                 tally_root(t, t->wires + j) == tally_root(t, t->leg_point[l->id] - 1);
    return comes;
}

static inline uint64_t sum_of(struct tally *t)
{
    uint64_t sum = 0;
    for (uint32_t i = 0; i < t->m->boxes.n; i++)
        for (uint32_t k = 0; k < t->m->boxes.at[i]->capped.n; k++)
            if (leg_comes(t, t->m->boxes.at[i], t->m->boxes.at[i]->capped.at[k]))
                sum += mixed(8000009 + 64 * (uint64_t)i + k);
    for (uint32_t i = 0; i < t->points; i++)
        if (t->parent[i] == i && t->sum[i])
            sum += mixed(t->sum[i]);
    /* ends that come from a supply and hang loose */
    for (uint32_t w = 0; w < t->wires; w++)
        if ((t->marks[w] >> 2 & 3) != 3 &&
            t->holds[tally_root(t, w)] & (HOLDS_LINE | HOLDS_NEUTRAL | HOLDS_GROUND))
            sum += mixed(9000011 + w);
    /* what is there for later: of which circuits line and neutral come to the box */
    struct map here = {0};
    for (uint32_t j = 0; j < t->k->joints.n; j++) {
        const struct joint *x = &t->k->joints.at[j];
        uint32_t root = tally_root(t, t->wires + j);
        uint64_t kind =
            4 * (uint64_t)t->circuit[root] + (t->holds[root] & (HOLDS_LINE | HOLDS_NEUTRAL));
        if (!kept_for_later(x->box) || !x->lead_count || !(kind & 3) ||
            !ends_in(x->box, t->circuit[root]))
            continue;
        void **seen = map_at(t->arena, &here, x->box->id + 1, (uintptr_t)kind);
        sum += *seen ? 0 : mixed(mixed(5000011 + x->box->id) + kind);
        *seen = t;
    }
    return sum;
}

/* Wires whose colour is wrong for what they are joined to. */
static inline unsigned wrong_colors(struct tally *t)
{
    unsigned wrong = 0;
    for (uint32_t r = 0; r < t->m->runs.n; r++)
        for (uint32_t w = t->first_wire[r]; t->k->runs[r].colors && w < t->first_wire[r + 1]; w++) {
            uint8_t on = t->holds[tally_root(t, w)];
            bool ground = w + 1 == t->first_wire[r + 1];
            bool white =
                !ground && !strncmp(t->k->runs[r].colors[w - t->first_wire[r]], "white", 5);
            unsigned marks = t->marks[w] & 3;
            if (ground)
                wrong += on && !(on & HOLDS_GROUND);
            else if (on & HOLDS_GROUND)
                wrong++;
            else if (on & HOLDS_NEUTRAL)
                wrong += !white || marks;
            else if (white && on)
                wrong +=
                    marks != 3 || (!(on & (HOLDS_LINE | HOLDS_LOAD_B)) && on != HOLDS_TRAVELER);
        }
    return wrong;
}

/* --- currents ----------------------------------------------------------------------------- */

/* The make-up as current sees it: each joint, wire, part and supply a point. Ground is left out. */
struct current {
    uint32_t *point; /* by lead, one joint's after the other: where it lies; UINT32_MAX: nowhere
                        that counts */
    uint32_t parts, circuits, points;
    struct map part_of;
    uint32_t part_count;
    uint32_t *parent; /* without one cable, whose own wires have a point at each end, behind the
                         other points */
};

static inline uint32_t root_without(struct current *x, uint32_t i)
{
    while (x->parent[i] != i)
        i = x->parent[i] = x->parent[x->parent[i]];
    return i;
}

static inline uint32_t point_of_lead(struct tally *t, struct current *x, const struct lead *l)
{
    if (l->kind == LEAD_LINE || l->kind == LEAD_NEUTRAL_BAR)
        return x->circuits + l->circuit->id;
    if (l->kind == LEAD_TERMINAL && l->over_tab)
        return UINT32_MAX;
    if (l->kind == LEAD_TERMINAL) {
        const struct body *b =
            t->k->forms[l->part->device->id][l->part - l->part->device->parts].body;
        if (b->terminals[l->terminal].nets & (NET_GROUND | NET_INTERCONNECT))
            return UINT32_MAX;
        bool together =
            false; /* the parts of a device hang together by a terminal that they share */
        for (uint8_t i = 0; i < b->terminal_count; i++)
            together |=
                b->terminals[i].shared && !(b->terminals[i].nets & (NET_GROUND | NET_INTERCONNECT));
        const void *thing = together ? (const void *)l->part->device : l->part;
        void **at = map_at(t->arena, &x->part_of, (uintptr_t)thing, 1);
        if (!*at)
            *at = (void *)(uintptr_t)++x->part_count;
        return x->parts + (uint32_t)(uintptr_t)*at - 1;
    }
    if (l->kind != LEAD_CONDUCTOR || l->conductor == CONDUCTOR_GROUND ||
        !t->k->runs[l->run->id].made)
        return UINT32_MAX;
    return t->first_wire[l->run->id] + (uint32_t)l->conductor;
}

static inline void find_points(struct tally *t, struct current *x)
{
    uint32_t parts = 0, leads = 0, most_wires = 0, n = 0;
    for (uint32_t i = 0; i < t->m->devices.n; i++)
        parts += t->m->devices.at[i]->part_count;
    for (uint32_t j = 0; j < t->k->joints.n; j++)
        leads += t->k->joints.at[j].lead_count;
    for (uint32_t i = 0; i < t->m->runs.n; i++)
        if (t->k->runs[i].made && t->k->runs[i].count > most_wires)
            most_wires = t->k->runs[i].count;
    *x = (struct current){.parts = t->wires + t->k->joints.n};
    x->circuits = x->parts + parts;
    x->points = x->circuits + t->m->circuits.n;
    x->parent = arena_array(t->arena, uint32_t, x->points + 2 * most_wires + 1);
    x->point = arena_array(t->arena, uint32_t, leads + 1);
    for (uint32_t j = 0; j < t->k->joints.n; j++)
        for (uint32_t i = 0; i < t->k->joints.at[j].lead_count; i++)
            x->point[n++] = point_of_lead(t, x, &t->k->joints.at[j].leads[i]);
}

/* Whether what leaves by a cable can come back by another way: its near and far ends hang together
 * without it. */
static inline bool uneven(struct tally *t, struct current *x, const struct run *r)
{
    uint32_t wires = t->k->runs[r->id].count, n = 0;
    bool dead[MOST_CONDUCTORS] = {false}; /* an end is joined to nothing: it carries nothing */
    for (uint32_t i = 0; i < x->points + 2 * wires; i++)
        x->parent[i] = i;
    for (uint32_t i = 0; i < t->k->tabs.n; i++) {
        const struct made_tab *tab = &t->k->tabs.at[i];
        struct lead a = {.kind = LEAD_TERMINAL, .part = tab->part, .terminal = tab->terminal},
                    b = {.kind = LEAD_TERMINAL, .part = tab->beside, .terminal = tab->to};
        if (!tab->broken)
            x->parent[root_without(x, point_of_lead(t, x, &a))] =
                root_without(x, point_of_lead(t, x, &b));
    }
    for (uint32_t j = 0; j < t->k->joints.n; j++)
        for (uint32_t i = 0; i < t->k->joints.at[j].lead_count; i++) {
            const struct lead *l = &t->k->joints.at[j].leads[i];
            uint32_t point = x->point[n++];
            if (point == UINT32_MAX)
                continue;
            if (l->kind == LEAD_CONDUCTOR && l->run == r)
                dead[l->conductor] |= t->k->joints.at[j].lead_count == 1;
            if (l->kind == LEAD_CONDUCTOR && l->run == r)
                point = x->points + 2 * (uint32_t)l->conductor + l->at_to;
            x->parent[root_without(x, point)] = root_without(x, t->wires + j);
        }
    for (uint32_t a = 0; a < wires; a++)
        for (uint32_t b = 0; b < wires; b++)
            if (!dead[a] && !dead[b] &&
                root_without(x, x->points + 2 * a) == root_without(x, x->points + 2 * b + 1))
                return true;
    return false;
}

static inline unsigned uneven_cables(struct tally *t)
{
    unsigned n = 0;
    struct current x;
    find_points(t, &x);
    for (uint32_t i = 0; i < t->m->runs.n; i++)
        n += t->k->runs[i].made && uneven(t, &x, t->m->runs.at[i]);
    return n;
}

/* --- damaging ----------------------------------------------------------------------------- */

enum damage {
    SWAP_CONDUCTORS, /* two conductor ends of a box change places */
    SWAP_LEADS,  /* any two leads of a box do: travelers with commons, terminals with conductors */
    DROP_LEAD,   /* a lead slips out of its joint */
    JOIN_JOINTS, /* two joints of a box become one: of two circuits, of both sides of a device, of
                    travelers */
    MOVE_TERMINAL, /* a terminal goes to another joint: to the other side of a protecting device
                      among them */
    MOVE_CONDUCTOR,
    BOND_BOX,  /* a pigtail of the metal box goes to another joint */
    TURN_MARK, /* a white is marked that was not, or the other way round */
    TURN_TAB,  /* a tab is left that had to be broken off, or the other way round */
    DAMAGE_COUNT,
};

static const char *const damage_words[DAMAGE_COUNT] = {
    "two conductors swapped",        "two leads swapped", "a lead dropped",
    "two joints made one",           "a terminal moved",  "a conductor moved",
    "a metal box bonded to a joint", "a mark turned",     "a tab turned",
};

struct damager {
    struct arena *arena;
    struct makeup damaged;
    const struct makeup *sound;
    uint32_t *places, place_count; /* first joints of boxes and panels with several joints; the one
                                      behind follows */
    uint64_t state;
};

static inline void begin_damage(struct damager *d, struct arena *arena, const struct model *m,
                                const struct makeup *sound, uint64_t seed)
{
    *d = (struct damager){.arena = arena, .sound = sound, .state = seed};
    d->places = arena_array(arena, uint32_t, 2 * (m->boxes.n + sound->joints.n + 1));
    for (uint32_t j = 0, n; j < sound->joints.n; j += n) {
        for (n = 1;
             j + n < sound->joints.n && sound->joints.at[j + n].box == sound->joints.at[j].box &&
             sound->joints.at[j + n].panel == sound->joints.at[j].panel;
             n++)
            ;
        if (n < 2)
            continue;
        d->places[2 * d->place_count] = j;
        d->places[2 * d->place_count++ + 1] = j + n;
    }
}

static inline struct joint *damaged_joint(struct damager *d, struct arena *scratch, uint32_t j)
{
    struct joint *x = &d->damaged.joints.at[j];
    struct lead *leads = arena_array(scratch, struct lead, x->lead_count + 1);
    memcpy(leads, x->leads, x->lead_count * sizeof *leads);
    x->leads = leads;
    return x;
}

/* Index of a lead of the kind in the joint, chosen at random, or -1. */
static inline int lead_of(struct damager *d, const struct joint *j, int kind)
{
    for (int tries = 0; j->lead_count && tries < 4; tries++) {
        int i = (int)pick(&d->state, j->lead_count);
        if (kind < 0 || j->leads[i].kind == (enum lead_kind)kind)
            return i;
    }
    return -1;
}

static inline void take_out(struct joint *j, int i)
{
    memmove(&j->leads[i], &j->leads[i + 1], (j->lead_count - (uint32_t)i - 1) * sizeof *j->leads);
    j->lead_count--;
}

static inline bool swap_leads(struct damager *d, struct joint *a, struct joint *b, int kind)
{
    int i = lead_of(d, a, kind), k = lead_of(d, b, kind);
    if (i < 0 || k < 0)
        return false;
    struct lead l = a->leads[i];
    a->leads[i] = b->leads[k];
    b->leads[k] = l;
    return true;
}

static inline bool move_lead(struct damager *d, struct joint *a, struct joint *b, int kind)
{
    int i = lead_of(d, a, kind);
    if (i < 0)
        return false;
    b->leads[b->lead_count++] = a->leads[i];
    take_out(a, i);
    return true;
}

static inline bool apply_damage(struct damager *d, enum damage what, struct joint *a,
                                struct joint *b, struct arena *scratch)
{
    int i = lead_of(d, a, what == TURN_MARK ? LEAD_CONDUCTOR : -1);
    switch (what) {
    case SWAP_CONDUCTORS:
        return swap_leads(d, a, b, LEAD_CONDUCTOR);
    case SWAP_LEADS:
        return swap_leads(d, a, b, -1);
    case MOVE_TERMINAL:
        return move_lead(d, a, b, LEAD_TERMINAL);
    case MOVE_CONDUCTOR:
        return move_lead(d, a, b, LEAD_CONDUCTOR);
    case DROP_LEAD:
        if (i >= 0)
            take_out(a, i);
        return i >= 0;
    case JOIN_JOINTS: {
        struct lead *all = arena_array(scratch, struct lead, a->lead_count + b->lead_count);
        memcpy(all, a->leads, a->lead_count * sizeof *all);
        memcpy(all + a->lead_count, b->leads, b->lead_count * sizeof *all);
        a->leads = all;
        a->lead_count += b->lead_count;
        b->lead_count = 0;
        return true;
    }
    case BOND_BOX:
        if (!a->box || !a->box->declared || !a->box->declared->metal)
            return false;
        a->leads[a->lead_count++] = (struct lead){.kind = LEAD_BOX};
        return true;
    case TURN_MARK:
        if (i < 0 || a->leads[i].conductor == CONDUCTOR_GROUND)
            return false;
        a->leads[i].reidentified = !a->leads[i].reidentified;
        return true;
    case TURN_TAB:
        return false; /* no joint has a part in it */
    default:
        return false;
    }
}

static inline bool turn_tab(struct damager *d, struct arena *scratch, const struct box **box)
{
    uint32_t n = d->sound->tabs.n;
    if (!n)
        return false;
    d->damaged.tabs.at = arena_array(scratch, struct made_tab, n);
    memcpy(d->damaged.tabs.at, d->sound->tabs.at, n * sizeof *d->damaged.tabs.at);
    struct made_tab *t = &d->damaged.tabs.at[pick(&d->state, n)];
    t->broken = !t->broken;
    *box = t->part->device->box;
    return true;
}

/* A copy of the sound make-up with one fault, in `scratch`. `what` and `box` (NULL: a panel) say
 * which. */
static inline struct makeup *damage_once(struct damager *d, struct arena *scratch,
                                         enum damage *what, const struct box **box)
{
    for (;;) {
        d->damaged = *d->sound;
        d->damaged.joints.at = arena_array(scratch, struct joint, d->sound->joints.n + 1);
        memcpy(d->damaged.joints.at, d->sound->joints.at,
               d->sound->joints.n * sizeof *d->damaged.joints.at);
        uint32_t place = pick(&d->state, d->place_count), from = d->places[2 * place],
                 n = d->places[2 * place + 1] - from;
        uint32_t a = pick(&d->state, n), b = (a + 1 + pick(&d->state, n - 1)) % n;
        *what = (enum damage)pick(&d->state, DAMAGE_COUNT);
        *box = d->sound->joints.at[from].box;
        if (*what == TURN_TAB && turn_tab(d, scratch, box))
            return &d->damaged;
        if (apply_damage(d, *what, damaged_joint(d, scratch, from + a),
                         damaged_joint(d, scratch, from + b), scratch))
            return &d->damaged;
    }
}

#endif

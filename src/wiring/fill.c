/* Box fill: what counts in a box, how much room it asks, and the smallest box that has it where the
 * plan names none. Article 314.16. */
#include "facts/boxes.h"
#include "facts/closed.h"
#include "facts/existing.h"
#include "facts/pulls.h"
#include "framing/mountings.h"
#include "model/site.h"
#include "wiring/work.h"

#include <string.h>

struct choice {
    struct box_asks asks;
    bool closed;
    bool wide; /* a face of several gangs goes over it: no plate has that and a blank */
};

/* Types that serve where the same is asked, the best first, else in the order of the library. */
struct serving {
    struct choice choice;
    const struct box_type **types;
    uint32_t count;
    bool known;
};

enum { KEPT_CHOICES = 16 };

struct last_served {
    struct serving at[KEPT_CHOICES];
    uint32_t next;
};

/* What the edition says of fill: read once, for it is asked for each box and each type that might
 * hold it. */
struct fill_rules {
    double free; /* in3 that a chosen box keeps free, where there is one that does */
    double device, together, further, clamp, fitting, terminal_block;
    struct last_served *served;
};

struct count {
    struct model *m;
    const struct wiring *w;
    const struct box *box;
    const struct fill_rules *rules;
    struct fill *out;
    double conductors; /* in3 of all conductors */
    double largest, largest_ground;
    double devices; /* in3 of yokes */
    uint32_t fittings;
};

static double allowance(const struct count *k, const char *size)
{
    return code_cell_volume(&k->m->code, COL_CONDUCTOR_ALLOWANCE_VOLUME, size, 0);
}

static void count_conductors(struct count *k, const char *size, uint32_t n)
{
    double each = allowance(k, size);
    k->out->conductors += n;
    k->conductors += each * n;
    if (n && each > k->largest)
        k->largest = each;
}

static void count_grounds(struct count *k, const char *size, uint32_t n)
{
    double each = allowance(k, size);
    k->out->grounds += n;
    if (n && each > k->largest_ground)
        k->largest_ground = each;
}

/* The largest conductor that an existing box holds: what its grounds and old devices are reckoned
 * by, for the plan does not say which is on which. */
static const char *largest_held(const struct count *k)
{
    const char *largest = NULL;
    for (uint32_t i = 0; i < k->box->held.n; i++)
        if (!largest || allowance(k, k->box->held.at[i].size) > allowance(k, largest))
            largest = k->box->held.at[i].size;
    return largest;
}

/* Conductors of a run that were counted where they came into the box, for they go through it uncut
 * (314.16(B)(1)). */
static uint32_t counted_before(const struct count *k, const struct run *run)
{
    const struct run_wiring *x = &k->w->of_run[run->id];
    uint32_t n = 0;
    for (uint8_t i = 0; x->conductors && i < x->count; i++) {
        const struct net *net = x->conductors[i].net;
        n += net && wiring_passes_into(k->w, k->box, net) == run;
    }
    return n;
}

static void count_runs(struct count *k)
{
    bool pulled = facts_is_passed(k->box), ground_before = false,
         one_ground = pulled && wiring_ground_passes(k->w, k->box);
    for (uint32_t i = 0; i < k->box->runs.n; i++) {
        const struct cable_def *d = k->w->of_run[k->box->runs.at[i]->id].cable;
        k->out->untold |= facts_cable_untold(k->box->runs.at[i]);
        if (!d || !d->size)
            continue;
        uint32_t thin = d->neutral_size ? d->whites : 0,
                 before = pulled ? counted_before(k, k->box->runs.at[i]) : 0;
        count_conductors(k, d->size, d->conductors - thin - before);
        count_conductors(k, d->neutral_size, thin);
        bool wire = d->ground != GROUND_NONE && d->ground != GROUND_RACEWAY;
        if (wire && !(one_ground && ground_before))
            count_grounds(k, d->ground_size ? d->ground_size : d->size, 1);
        ground_before |= wire;
    }
    for (uint32_t i = 0; i < k->box->held.n; i++)
        count_conductors(k, k->box->held.at[i].size, k->box->held.at[i].count);
    count_grounds(k, largest_held(k), k->box->held_grounds);
}

static double run_size(const struct count *k, const struct run *r)
{
    const struct cable_def *c = k->w->of_run[r->id].cable;
    return c ? allowance(k, c->size) : 0;
}

/* The largest conductor of a circuit in the box, found among its runs or those of the box,
 * whichever are fewer. */
static double circuit_size(const struct count *k, const struct circuit *circuit)
{
    bool few = circuit->runs.n < k->box->runs.n;
    double most = 0;
    for (uint32_t i = 0; i < (few ? circuit->runs.n : k->box->runs.n); i++) {
        const struct run *r = few ? circuit->runs.at[i] : k->box->runs.at[i];
        bool here = few ? r->from.box == k->box || r->to.box == k->box : r->circuit == circuit;
        double each = here ? run_size(k, r) : 0;
        most = each > most ? each : most;
    }
    return most;
}

/* The largest conductor connected to a device: of the runs of its circuits in the box, or of what
 * the box holds. */
static double device_size(const struct count *k, const struct device *d)
{
    double most = allowance(k, largest_held(k));
    for (uint32_t p = 0; p < d->part_count; p++) {
        double each = d->parts[p].circuit ? circuit_size(k, d->parts[p].circuit) : 0;
        most = each > most ? each : most;
    }
    return most;
}

static void count_devices(struct count *k)
{
    double each = k->rules->device;
    for (uint32_t i = 0; i < k->box->device_count; i++) {
        const struct device *d = k->box->devices[i];
        if (d->def->sort == SORT_LOW_VOLTAGE)
            continue;
        uint32_t yokes = d->def->yokes * (d->def->gangs > 1 ? d->def->gangs : 1u);
        k->out->devices += yokes;
        k->devices += each * yokes * device_size(k, d);
        k->fittings += d->def->fittings;
        count_conductors(k, d->def->fixture_wire_size, d->def->fixture_wires);
    }
}

/* One allowance for the first so many grounds together, then a share of the largest for each
 * further one. */
static double grounds_volume(struct count *k)
{
    if (!k->out->grounds)
        return 0;
    double beyond = k->out->grounds > k->rules->together ? k->out->grounds - k->rules->together : 0;
    return k->largest_ground * (1 + k->rules->further * beyond);
}

static double required_with(struct count *k, const struct box_type *type, uint32_t *clamps,
                            uint32_t *fittings)
{
    const struct fill_rules *r = k->rules;
    *clamps = type && type->clamp_internal && k->box->runs.n + k->box->held.n ? 1 : 0;
    *fittings = k->fittings + (type ? type->fittings : 0);
    return k->conductors + k->devices + grounds_volume(k) + *clamps * k->largest * r->clamp +
           *fittings * k->largest * r->fitting +
           k->out->terminal_blocks * k->largest * r->terminal_block;
}

/* The room that a box type has for power, with the ring that comes through the finish of its wall:
 * what is marked on a ring adds to the box (314.16(A)). A barrier parts a divided one between two
 * gangs and takes up room itself: what stands on the side of the low voltage is no room for power.
 */
static double volume_for_power(struct count *k, const struct box_type *t)
{
    const struct box_ring *ring = library_box_ring_for(t, k->box->room->finish);
    double volume = t->volume + (t->volume > 0 && ring ? ring->adds : 0);
    uint32_t low = 0;
    for (uint32_t i = 0; i < k->box->device_count; i++)
        low +=
            k->box->devices[i]->def->sort == SORT_LOW_VOLTAGE ? k->box->devices[i]->def->yokes : 0;
    if (!t->divided || !low || low >= t->gangs)
        return volume;
    double barrier = code_volume(
        &k->m->code, t->metal ? SET_BOX_FILL_BARRIER_METAL : SET_BOX_FILL_BARRIER_PLASTIC, 0);
    return (volume - barrier) * (t->gangs - low) / t->gangs;
}

/* --- which box ---------------------------------------------------------------------------- */

static bool has_room(struct count *k, const struct box_type *t, double beyond)
{
    uint32_t clamps, fittings;
    return t->volume <= 0 ||
           volume_for_power(k, t) >= required_with(k, t, &clamps, &fittings) + beyond - 1e-9;
}

/* Whether the finish before a box is on, or all that ends in it is fished into its wall: that is
 * closed. The side of an island is, too: a panel, with no stud behind it. */
static bool in_closed_wall(const struct box *b)
{
    if (b->place.on_island || facts_is_in_closed(b))
        return true;
    bool closed = b->runs.n > 0;
    for (uint32_t i = 0; i < b->runs.n; i++)
        closed &= b->runs.at[i]->fished;
    return closed;
}

static bool has_wide_face(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->def->gangs > 1)
            return true;
    return false;
}

/* Boxes of plastic come before those of metal, boxes for the wall as it stands before those for the
 * other, fewer gangs before more, then the smaller; junction and luminaire boxes on a ceiling are
 * round where there is the choice. */
static bool better(const struct box_type *a, const struct box_type *b, const struct choice *c)
{
    if ((a->old_work == c->closed) != (b->old_work == c->closed))
        return a->old_work == c->closed;
    if (c->wide && (a->gangs == c->asks.gangs) != (b->gangs == c->asks.gangs))
        return a->gangs == c->asks.gangs;
    if (c->asks.metal && a->clamp_internal != b->clamp_internal)
        return b->clamp_internal; /* what clamps cables is in the way of a raceway's connector */
    if (a->metal != b->metal)
        return !a->metal;
    if (!c->asks.yokes && c->asks.mount != MOUNT_WALL && (a->gangs == 0) != (b->gangs == 0))
        return a->gangs == 0;
    if (a->gangs != b->gangs)
        return a->gangs < b->gangs;
    return a->volume < b->volume;
}

static struct box_asks asks_of(struct model *m, const struct wiring *w, const struct box *b)
{
    struct box_asks asks = facts_box_asks(m, b);
    asks.stand = w->mountings->of_box[b->id].stand;
    if (b->declared && b->declared->fastened == FASTENED_SURFACE && b->place.where != ON_FLOOR)
        asks.stand = STAND_BETWEEN; /* what is named in its place holds wherever it is */
    return asks;
}

static bool is_same_choice(const struct choice *a, const struct choice *b)
{
    const struct box_asks *x = &a->asks, *y = &b->asks;
    return a->closed == b->closed && a->wide == b->wide && x->gangs == y->gangs &&
           x->yokes == y->yokes && x->mount == y->mount && x->wet == y->wet &&
           x->stand == y->stand && x->deepest == y->deepest && x->bare == y->bare &&
           x->closed == y->closed && x->power == y->power && x->low_voltage == y->low_voltage &&
           x->metal == y->metal && x->fan_ready == y->fan_ready && x->fan == y->fan &&
           x->weight == y->weight;
}

static void list_serving(struct model *m, struct serving *s)
{
    const struct choice *c = &s->choice;
    if (!s->known)
        s->types = arena_array(m->arena, const struct box_type *, m->lib->box_type_list.n);
    s->known = true;
    s->count = 0;
    for (uint32_t i = 0; i < m->lib->box_type_list.n; i++) {
        const struct box_type *t = m->lib->box_type_list.at[i];
        if (facts_misfits(&c->asks, t) || facts_is_needless(&c->asks, t))
            continue;
        uint32_t at = s->count++;
        for (; at && better(t, s->types[at - 1], c); at--)
            s->types[at] = s->types[at - 1];
        s->types[at] = t;
    }
}

/* Of those that were asked for last, else worked out in the place of the oldest: most boxes of a
 * plan ask one of few things. */
static const struct serving *types_that_serve(struct count *k, const struct choice *c)
{
    struct last_served *last = k->rules->served;
    for (uint32_t i = 0; i < KEPT_CHOICES && last->at[i].known; i++)
        if (is_same_choice(&last->at[i].choice, c))
            return &last->at[i];
    struct serving *s = &last->at[last->next++ % KEPT_CHOICES];
    s->choice = *c;
    list_serving(k->m, s);
    return s;
}

static const struct box_type *best_with(struct count *k, const struct serving *s, double beyond)
{
    for (uint32_t i = 0; i < s->count; i++)
        if (has_room(k, s->types[i], beyond))
            return s->types[i];
    return NULL;
}

/* With some room to spare, for what is marked in the box that lies on the shelf may be less. Where
 * none serves that is shallow enough for the wall, one that is not: that is told. */
static const struct box_type *best_type(struct count *k)
{
    struct choice c = {asks_of(k->m, k->w, k->box), in_closed_wall(k->box), has_wide_face(k->box)};
    for (int deep = 0; deep < 2; deep++) {
        const struct serving *s = types_that_serve(k, &c);
        const struct box_type *roomy = best_with(k, s, k->rules->free);
        const struct box_type *best = roomy ? roomy : best_with(k, s, 0);
        if (best)
            return best;
        c.asks.deepest = 0;
    }
    return NULL;
}

static uint16_t misfits_of(struct count *k, const struct box_type *t)
{
    struct box_asks asks = asks_of(k->m, k->w, k->box);
    return (uint16_t)(facts_misfits(&asks, t) | (has_room(k, t, 0) ? 0 : MISFIT_ROOM));
}

static struct count count_box(struct model *m, const struct wiring *w,
                              const struct fill_rules *rules, const struct box *b, struct fill *out)
{
    struct count k = {.m = m, .w = w, .box = b, .rules = rules, .out = out};
    count_runs(&k);
    count_devices(&k);
    out->terminal_blocks = b->terminal_blocks;
    return k;
}

static void fill_box(struct wiring *w, struct model *m, const struct fill_rules *rules,
                     const struct box *b)
{
    struct fill *out = &w->of_box[b->id];
    struct count k = count_box(m, w, rules, b, out);
    out->type = b->declared;
    if (!out->type && !b->compartment && !facts_type_untold(b)) {
        out->type = best_type(&k);
        out->inferred = out->type != NULL;
    }
    out->required = required_with(&k, out->type, &out->clamps, &out->fittings);
    out->volume = out->type ? volume_for_power(&k, out->type) : 0;
    out->misfits = b->declared ? misfits_of(&k, b->declared)
                   : out->type ? misfits_of(&k, out->type) & (MISFIT_DEPTH | MISFIT_STAND)
                               : 0;
    out->gangs = b->gangs               ? b->gangs
                 : out->type            ? out->type->gangs
                 : facts_type_untold(b) ? (uint8_t)facts_yokes(b)
                                        : 0;
}

static struct fill_rules rules_of_fill(struct model *m, struct last_served *served)
{
    struct code *c = &m->code;
    struct fill_rules rules = {.served = served};
    if (m->boxes.n) {
        rules.free = code_volume(c, SET_BOX_CHOICE_FREE, 0);
        rules.device = code_count(c, SET_BOX_FILL_DEVICE_ALLOWANCES, 0);
        rules.together = code_count(c, SET_BOX_FILL_GROUNDS_IN_ONE, 0);
        rules.further = code_share(c, SET_BOX_FILL_EACH_FURTHER, 0);
        rules.clamp = code_count(c, SET_BOX_FILL_CLAMP_ALLOWANCES, 0);
        rules.fitting = code_count(c, SET_BOX_FILL_FITTING_ALLOWANCES, 0);
        rules.terminal_block = code_count(c, SET_BOX_FILL_TERMINAL_BLOCK_ALLOWANCES, 0);
    }
    return rules;
}

void fill_boxes(struct wiring *w, struct model *m)
{
    struct last_served served = {0};
    struct fill_rules rules = rules_of_fill(m, &served);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        fill_box(w, m, &rules, m->boxes.at[i]);
}

const struct box_type *wiring_box_that_serves(struct model *m, const struct wiring *w,
                                              const struct box *b)
{
    struct last_served served = {0};
    struct fill_rules rules = rules_of_fill(m, &served);
    struct fill out = {0};
    struct count k = count_box(m, w, &rules, b, &out);
    return best_type(&k);
}

/* Of the metal of the written one, for the same walls. */
static bool is_like(const struct box_type *t, const struct box_type *written, uint32_t gangs)
{
    return t->gangs == gangs && t->old_work == written->old_work && t->metal == written->metal &&
           !t->section == !written->section;
}

const struct box_type *wiring_larger_box(struct model *m, const struct wiring *w,
                                         const struct box *b)
{
    struct last_served served = {0};
    struct fill_rules rules = rules_of_fill(m, &served);
    struct fill out = {0};
    struct count k = count_box(m, w, &rules, b, &out);
    struct box_asks asks = asks_of(m, w, b);
    const struct box_type *best = NULL, *written = b->declared;
    uint32_t most = asks.yokes > asks.gangs ? asks.yokes : asks.gangs,
             gangs = written->gangs < most ? most : written->gangs;
    for (uint32_t i = 0; i < m->lib->box_type_list.n; i++) {
        const struct box_type *t = m->lib->box_type_list.at[i];
        if (t->volume > 0 && is_like(t, written, gangs) && !facts_misfits(&asks, t) &&
            (!best || t->volume < best->volume) && has_room(&k, t, 0))
            best = t;
    }
    return best;
}

/* Whether two types take the same room on their stud. */
static bool as_wide(const struct box_type *a, const struct box_type *b)
{
    return a == b || (a && b && a->gangs == b->gangs && a->wide == b->wide);
}

bool wiring_widens_boxes(struct model *m, const struct wiring *w)
{
    bool others = false;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        struct box *b = m->boxes.at[i];
        const struct fill *fill = &w->of_box[i];
        if (b->existing || !fill->inferred)
            continue;
        uint32_t reckoned = b->gangs ? b->gangs : facts_yokes(b);
        bool plain = fill->type->gangs == reckoned && !fill->type->wide;
        const struct box_type *wanted = plain ? NULL : fill->type;
        others |= !as_wide(b->set_as, wanted);
        b->set_as = wanted;
    }
    return others;
}

/* Which pieces may be on one circuit, and what that costs. */
#include "compile.h"
#include "facts/devices.h"
#include "propose/allot.h"
#include "propose/circuits_work.h"
#include "wiring/protect.h"

#include <math.h>

enum { MOST_AT_ONCE = 64 };

/* --- feet ---------------------------------------------------------------------------------------
 */

static double apart(struct place3 a, struct place3 b)
{
    return fabs(length_feet(a.x - b.x)) + fabs(length_feet(a.y - b.y)) +
           fabs(length_feet(a.z - b.z));
}

/* The shortest tree from the panel, the next nearest box at a time; of very many boxes the way
 * along them in their order. */
double propose_feet(const struct panel *panel, struct box *const *boxes, uint32_t n)
{
    double far[MOST_AT_ONCE], sum = 0;
    bool in[MOST_AT_ONCE] = {false};
    if (n > MOST_AT_ONCE) {
        for (uint32_t i = 0; i < n; i++)
            sum += apart(i ? boxes[i - 1]->place.at : panel->place.at, boxes[i]->place.at);
        return sum;
    }
    for (uint32_t i = 0; i < n; i++)
        far[i] = apart(panel->place.at, boxes[i]->place.at);
    for (uint32_t done = 0; done < n; done++) {
        uint32_t best = UINT32_MAX;
        for (uint32_t i = 0; i < n; i++)
            if (!in[i] && (best == UINT32_MAX || far[i] < far[best]))
                best = i;
        in[best] = true;
        sum += far[best];
        for (uint32_t i = 0; i < n; i++)
            far[i] = fmin(far[i], apart(boxes[best]->place.at, boxes[i]->place.at));
    }
    return sum;
}

static double cost(const void *of, const uint32_t *at, uint32_t n)
{
    const struct circuit_work *w = of;
    struct arena scratch = {0};
    box_refs boxes = {0};
    uint32_t rooms = 0;
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = 0; k < w->pieces.at[at[i]].all.n; k++)
            *vec_push(&scratch, &boxes) = w->pieces.at[at[i]].all.at[k];
    for (uint32_t i = 0; i < boxes.n; i++) {
        bool seen = false;
        for (uint32_t k = 0; k < i && !seen; k++)
            seen = boxes.at[k]->room == boxes.at[i]->room;
        rooms += !seen;
    }
    double sum =
        propose_feet(w->pieces.at[at[0]].panel, boxes.at, boxes.n) + rooms * w->set.room_feet;
    arena_free(&scratch);
    return sum;
}

/* --- what may be together
 * ------------------------------------------------------------------------- */

/* What several pieces come to. */
struct together {
    uint8_t has, strangers;
    const struct piece *individual, *open;
    const struct room *kitchen;
    bool receptacles, lights, two_pole, one_pole, all_heat, two_kitchens, alone;
    uint32_t counters, parts;
    double fill, amps, breaker;
};

static struct together together(const struct circuit_work *w, const uint32_t *at, uint32_t n)
{
    struct together t = {.all_heat = true};
    for (uint32_t i = 0; i < n; i++) {
        const struct piece *p = &w->pieces.at[at[i]];
        t.has |= p->has;
        t.strangers |= p->strangers;
        t.alone |= p->alone || (p->individual && t.individual) || (p->circuit && t.open);
        t.individual = p->individual ? p : t.individual;
        t.open = p->circuit ? p : t.open;
        t.two_kitchens |= p->kitchen && t.kitchen && p->kitchen != t.kitchen;
        t.kitchen = p->kitchen ? p->kitchen : t.kitchen;
        t.receptacles |= p->receptacles;
        t.lights |= !p->receptacles;
        t.two_pole |= p->two_pole;
        t.one_pole |= !p->two_pole;
        t.all_heat &= p->heat;
        t.counters += p->counters;
        t.parts += p->parts.n;
        t.fill += p->fill;
        t.amps += p->amps;
        t.breaker = fmax(t.breaker, p->breaker);
    }
    if (t.all_heat)
        t.breaker = fmax(t.breaker, w->set.heat_breaker);
    if (t.open)
        t.breaker = t.open->breaker;
    return t;
}

/* Something else on the circuit of what wants one of its own. */
static bool shares_individual(const struct circuit_work *w, const struct together *t,
                              const uint32_t *at, uint32_t n)
{
    for (uint32_t i = 0; i < n && t->individual; i++) {
        const struct piece *p = &w->pieces.at[at[i]];
        for (uint32_t k = 0; k < p->parts.n && p != t->individual; k++)
            if (facts_shares_with(w->c->model, p->parts.at[k], t->individual->individual))
                return true;
    }
    return false;
}

/* A bathroom's circuit may serve the rest of that bathroom: what are strangers hangs on the whole.
 */
static bool bath_has_strangers(const struct circuit_work *w, const struct together *t,
                               const uint32_t *at, uint32_t n)
{
    if (!(t->has >> FAMILY_BATHS & 1) || !(t->strangers >> FAMILY_BATHS & 1))
        return false;
    struct arena scratch = {0};
    part_refs parts = {0};
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = 0; k < w->pieces.at[at[i]].parts.n; k++)
            *vec_push(&scratch, &parts) = w->pieces.at[at[i]].parts.at[k];
    bool strange =
        facts_has_strangers(w->c->model, w->c->protected->rooms, &facts_families[FAMILY_BATHS],
                            (struct parts_of){parts.at, parts.n});
    arena_free(&scratch);
    return strange;
}

/* Receptacles over the counters of one kitchen on one circuit, so that others are left for as many
 * circuits as are asked for. */
static uint32_t most_counters(const struct circuit_work *w, const struct room *kitchen)
{
    uint32_t all = 0;
    for (uint32_t i = 0; i < w->pieces.n; i++)
        all += w->pieces.at[i].kitchen == kitchen ? w->pieces.at[i].counters : 0;
    if (all < w->kitchens_by || w->kitchens_by < 2)
        return all;
    return w->kitchens_by == 2 ? all - 1 : (all + w->kitchens_by - 1) / w->kitchens_by;
}

static bool fits(const struct circuit_work *w, const struct together *t)
{
    double share = t->two_pole ? 1 : w->set.fill;
    return t->fill <= 1 + 1e-9 && t->amps <= share * t->breaker + 1e-9;
}

static bool may(const void *of, const uint32_t *at, uint32_t n)
{
    const struct circuit_work *w = of;
    struct together t = together(w, at, n);
    uint8_t plain = (uint8_t) ~(1 << FAMILY_BATHS);
    for (uint32_t i = 1; i < n; i++)
        if (w->pieces.at[at[i]].panel != w->pieces.at[at[0]].panel)
            return false;
    if (t.alone || !fits(w, &t) || (t.two_pole && (t.one_pole || !t.all_heat)))
        return false;
    if (w->set.apart && t.receptacles && t.lights)
        return false;
    if ((t.has & t.strangers & plain) || bath_has_strangers(w, &t, at, n))
        return false;
    if (t.has >> FAMILY_KITCHENS & 1 && ((w->one_kitchen && t.two_kitchens) ||
                                         (t.kitchen && t.counters > most_counters(w, t.kitchen))))
        return false;
    return !shares_individual(w, &t, at, n);
}

/* --- how many
 * ----------------------------------------------------------------------------------------- */

/* By what a circuit holds: receptacles and lights, and amperes of its breaker. */
static uint32_t least(const void *of, const uint32_t *at, uint32_t n)
{
    const struct circuit_work *w = of;
    double fill = 0, amps = 0, breaker = w->set.receptacle_breaker;
    uint32_t open = 0, alone = 0;
    for (uint32_t i = 0; i < n; i++) {
        const struct piece *p = &w->pieces.at[at[i]];
        breaker = fmax(breaker, fmax(p->breaker, p->heat ? w->set.heat_breaker : 0));
    }
    for (uint32_t i = 0; i < n; i++) {
        const struct piece *p = &w->pieces.at[at[i]];
        bool large = p->alone || p->fill > 1 || p->amps > breaker;
        open += p->circuit != NULL;
        alone += large;
        fill += large ? 0 : p->fill;
        amps += large ? 0 : p->amps;
    }
    double by = ceil(fmax(fill, amps / breaker) - 1e-9);
    uint32_t count = alone + (by > 0 ? (uint32_t)by : 0);
    count = count > open ? count : open;
    return count ? count : 1;
}

/* Small-appliance circuits, and those of a laundry that is more. */
static uint32_t wanted(const void *of, const uint32_t *at, uint32_t n)
{
    const struct circuit_work *w = of;
    uint32_t most = 0;
    for (uint32_t i = 0; i < n; i++) {
        const struct piece *p = &w->pieces.at[at[i]];
        if (p->has >> FAMILY_KITCHENS & 1 && p->kitchen && most < w->kitchens_at_least)
            most = w->kitchens_at_least;
        uint32_t more = p->has >> FAMILY_LAUNDRIES & 1
                            ? facts_laundry_circuits(w->c->model, p->all.at[0]->room)
                            : 0;
        most = more > most ? more : most;
    }
    return most;
}

void propose_share_out(struct circuit_work *w)
{
    struct allot_asked asked = {
        .count = w->pieces.n, .of = w, .may = may, .cost = cost, .least = least, .wanted = wanted};
    struct allotted a = allot(w->arena, &asked);
    w->group = a.group;
    w->groups = a.groups;
    w->least = a.least;
}

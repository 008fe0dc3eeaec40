/* Chosen is checked: each cable, ground and box that is chosen is reckoned again here, from the
 * tables of the book as they stand below and not from the library. NFPA 70, 2023: Table 310.16 (60
 * C column, for nonmetallic-sheathed cable by 334.80 and for terminals to 100 A by 110.14(C)),
 * 240.4(B) and (D), 240.6(A), Table 250.122 with (B) by the circular mils of Chapter 9, Table 8,
 * Table 314.16(B) with 314.16(B)(1) to (5). Recalled from the book. */
#include "properties.h"

#include "facts/conductors.h"
#include "facts/devices.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "model/address.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <math.h>
#include <string.h>

bool property_chosen(const struct subject *s, struct buf *why);

static const struct wire {
    const char *size;
    double amps60, amps90; /* copper */
    double small;          /* 240.4(D) */
    double cmil;           /* thousands */
    double in3;            /* Table 314.16(B)(1) */
} copper[] = {
    {"14", 15, 25, 15, 4.11, 2},    {"12", 20, 30, 20, 6.53, 2.25}, {"10", 30, 40, 30, 10.38, 2.5},
    {"8", 40, 55, 0, 16.51, 3},     {"6", 55, 75, 0, 26.24, 5},     {"4", 70, 95, 0, 41.74, 0},
    {"3", 85, 115, 0, 52.62, 0},    {"2", 95, 130, 0, 66.36, 0},    {"1", 110, 145, 0, 83.69, 0},
    {"1/0", 125, 170, 0, 105.6, 0}, {"2/0", 145, 195, 0, 133.1, 0}, {"3/0", 165, 225, 0, 167.8, 0},
    {"4/0", 195, 260, 0, 211.6, 0},
};

static const double standard[] = {10, 15, 20,  25,  30,  35,  40,  45,  50,  60, 70,
                                  80, 90, 100, 110, 125, 150, 175, 200, 225, 250};

static const struct wire *wire_of(const char *size)
{
    for (size_t i = 0; size && i < sizeof copper / sizeof *copper; i++)
        if (!strcmp(copper[i].size, size))
            return &copper[i];
    return NULL;
}

/* What is left of the 90 C column: Table 310.15(B)(1) by the formula that it comes of, at the upper
 * end of each 5 C. */
static double left_of(const struct lying *lying)
{
    double band = lying->where && lying->air > 30 ? 5 * ceil(lying->air / 5 - 1e-9) : 30,
           air = band < 90 ? round(100 * sqrt((90 - band) / 60)) / 100 : 0;
    return lying->beside * air;
}

/* 334.80: never more than the 60 C column. */
static double amps_of(const struct wire *w, double left)
{
    return w->amps90 * left < w->amps60 ? w->amps90 * left : w->amps60;
}

/* The breaker that a conductor allows: 240.4(B), (D). */
static double allowed(const struct wire *w, double left, bool several_receptacles)
{
    double amps = amps_of(w, left), good = amps;
    for (size_t i = 0; i < sizeof standard / sizeof *standard && !several_receptacles; i++)
        if (standard[i] >= amps) {
            good = standard[i];
            break;
        }
    return w->small && w->small < good ? w->small : good;
}

static bool is_several(const struct circuit *c)
{
    uint32_t receptacles = 0;
    for (uint32_t i = 0; i < c->parts.n; i++)
        receptacles += facts_receptacles_in(c->parts.at[i]);
    return receptacles > 1;
}

/* Table 250.122, copper. */
static const char *ground_by_table(double breaker)
{
    return breaker <= 15    ? "14"
           : breaker <= 20  ? "12"
           : breaker <= 60  ? "10"
           : breaker <= 100 ? "8"
                            : "6";
}

/* 250.122(B): the ground grows from that of the table as the conductors do from the least that
 * serve, and is never wanted thicker than they are (A). */
static bool ground_holds(const struct circuit *c, const struct cable_def *d, double load,
                         double left)
{
    const struct wire *own = wire_of(d->size), *ground = wire_of(d->ground_size),
                      *table = wire_of(ground_by_table(c->breaker)), *least = copper;
    while (least < own &&
           (allowed(least, left, is_several(c)) < c->breaker || amps_of(least, left) < load))
        least++;
    double wanted = table->cmil > own->cmil ? own->cmil : table->cmil * own->cmil / least->cmil;
    return ground && ground->cmil >= 0.999 * (wanted < own->cmil ? wanted : own->cmil);
}

/* Of a rating that no breaker has (240.6(A)) the book says nothing. */
static bool is_standard(double rating)
{
    for (size_t i = 0; i < sizeof standard / sizeof *standard; i++)
        if (standard[i] == rating)
            return true;
    return false;
}

static bool is_plain(const struct circuit *c)
{
    for (uint32_t i = 0; i < c->parts.n; i++)
        if (c->parts.at[i]->mca > 0 || c->parts.at[i]->max_breaker > 0)
            return false; /* 440: the nameplate says it */
    return is_standard(c->breaker) && c->breaker <= 100;
}

/* Screws of receptacles and switches for 15 A and 20 A take 14 to 10 AWG: marked so by their
 * makers. */
static bool lands(const struct run *r, const struct wire *w)
{
    const struct box *ends[2] = {r->from.box, r->to.box};
    for (int e = 0; e < 2; e++)
        for (uint32_t i = 0; ends[e] && i < ends[e]->device_count; i++) {
            const struct device *d = ends[e]->devices[i];
            bool screws = d->def->sort == SORT_RECEPTACLE && d->def->yokes && d->def->rating <= 20;
            if (screws && d->part_count && d->parts[0].circuit == r->circuit && w->cmil > 10.38)
                return false;
        }
    return true;
}

static bool cable_holds(const struct compilation *c, const struct run *r, struct buf *why)
{
    const struct cable_def *d = c->wiring->of_run[r->id].cable;
    const struct circuit *circuit = r->circuit;
    const struct wire *w = d ? wire_of(d->size) : NULL;
    if (r->declared || r->existing || !w || !is_plain(circuit) || strcmp(d->family, "nm") ||
        d->metal != COPPER)
        return true;
    double load = circuit->feeds ? 0 : c->loads->of_circuit[circuit->id].needed_amps;
    load = load > circuit->breaker ? 0 : load; /* an error of its own */
    double left = left_of(&c->routes->lying[r->id]);
    bool carries = allowed(w, left, is_several(circuit)) >= circuit->breaker &&
                   amps_of(w, left) >= load - 0.001,
         grounded = ground_holds(circuit, d, load, left),
         landed =
             circuit->breaker > 20 || lands(r, w); /* a larger one suits no such device at all */
    if (left < 1 && c->diag.counts[ERROR] && (!carries || !grounded || !landed))
        return true; /* no cable may serve as it lies, which is an error */
    if (!carries || !grounded || !landed)
        buf_printf(why, "run %s on %g A is given %s, whose %s",
                   address_of_run((struct arena *)&c->arena, r, true), circuit->breaker, d->name,
                   !carries    ? "conductors are too thin"
                   : !grounded ? "ground is too thin"
                               : "conductors no receptacle takes");
    return carries && grounded && landed;
}

/* Table 310.15(C)(1). */
static double adjusted(unsigned conductors)
{
    return conductors <= 3    ? 1
           : conductors <= 6  ? 0.8
           : conductors <= 9  ? 0.7
           : conductors <= 20 ? 0.5
           : conductors <= 30 ? 0.45
           : conductors <= 40 ? 0.4
                              : 0.35;
}

/* Conductors that carry current at once, of one circuit (310.15(E)): a neutral of two lines carries
 * their difference, of two travelers one is live. */
static unsigned carrying(const struct run_wiring *w, const struct circuit *c)
{
    unsigned hot = 0, white = 0, travelers = 0;
    for (uint8_t i = 0; i < w->count; i++) {
        const struct net *n = w->conductors[i].net;
        if (!n || n->circuit != c || n->sort == N_INTERCONNECT)
            continue;
        white += n->sort == N_NEUTRAL;
        travelers += n->sort == N_TRAVELER;
        hot += n->sort != N_NEUTRAL && n->sort != N_TRAVELER;
    }
    bool shared = (c->multiwire || c->two_pole || c->feeds) && white == 1 && hot > 1;
    return hot + (travelers + 1) / 2 + (shared ? 0 : white);
}

/* What is pulled into a raceway: one conductor for each net, in colours of their own, large enough
 * for its breaker beside the others (110.14(C), 310.15(C)(1)). */
static bool pulled_holds(const struct compilation *c, const struct run *r, struct buf *why)
{
    const struct run_wiring *x = &c->wiring->of_run[r->id];
    const struct wire *w = x->cable ? wire_of(x->cable->size) : NULL;
    if (!w || !x->cable->of || r->existing)
        return true;
    unsigned n = carrying(x, r->circuit);
    for (uint32_t i = 0; i < r->also.n; i++)
        n += carrying(x, r->also.at[i]);
    bool short_one = length_inches(route_raceway_length(r, &c->routes->of_run[r->id])) <= 24;
    struct lying lying = c->routes->lying[r->id];
    lying.beside = short_one ? 1 : adjusted(n);
    bool apart = x->count == x->needed;
    for (uint8_t i = 0; i < x->count; i++)
        for (uint8_t k = 0; k < i; k++)
            apart &= strcmp(x->conductors[i].color, x->conductors[k].color) != 0;
    bool large = r->single || !is_plain(r->circuit) ||
                 allowed(w, left_of(&lying), is_several(r->circuit)) >= r->circuit->breaker;
    if (!apart || !large)
        buf_printf(why, "run %s on %g A is given %s, %s",
                   address_of_run((struct arena *)&c->arena, r, true), r->circuit->breaker,
                   x->cable->name,
                   apart ? "which is too thin for so many" : "which are not one for each net");
    return apart && large;
}

/* What passes a box unbroken is one conductor and not two: how many of those, grounds or the
 * others, the make-up cuts nowhere there. */
static uint32_t passing(const struct compilation *c, const struct box *b, bool grounds)
{
    uint32_t n = 0;
    for (uint32_t i = c->makeup->first_of_box[b->id]; i < c->makeup->first_of_box[b->id + 1]; i++) {
        const struct joint *j = &c->makeup->joints.at[i];
        n += j->kind == JOINT_PASS && (j->leads[0].conductor == CONDUCTOR_GROUND) == grounds;
    }
    return n;
}

/* in3 that a box needs: 314.16(B), with a quarter of an allowance for each ground after four. What
 * passes it comes and goes in one size. */
static double needed(const struct compilation *c, const struct box *b, bool clamps)
{
    double in3 = 0, largest = 0, largest_ground = 0;
    uint32_t grounds = 0;
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct cable_def *d = c->wiring->of_run[b->runs.at[i]->id].cable;
        const struct wire *w = d ? wire_of(d->size) : NULL, *g = d ? wire_of(d->ground_size) : NULL;
        bool tube = d && d->ground == GROUND_RACEWAY; /* it is no conductor */
        if (!w || !w->in3 || (!g && !tube))
            return -1;
        const struct wire *thin = d->neutral_size ? wire_of(d->neutral_size) : NULL;
        in3 +=
            w->in3 * (d->conductors - (thin ? d->whites : 0)) + (thin ? thin->in3 * d->whites : 0);
        largest = w->in3 > largest ? w->in3 : largest;
        if (tube)
            continue;
        largest_ground = g->in3 > largest_ground ? g->in3 : largest_ground;
        grounds++;
    }
    in3 -= largest * passing(c, b, false);
    grounds -= passing(c, b, true);
    for (uint32_t i = 0; i < b->device_count; i++) {
        const struct device *d = b->devices[i];
        double on = 0;
        for (uint32_t k = 0; k < b->runs.n; k++)
            for (uint32_t p = 0; p < d->part_count; p++)
                if (d->parts[p].circuit == b->runs.at[k]->circuit) {
                    const struct wire *w =
                        wire_of(c->wiring->of_run[b->runs.at[k]->id].cable->size);
                    on = w->in3 > on ? w->in3 : on;
                }
        in3 += d->def->sort == SORT_LOW_VOLTAGE
                   ? 0
                   : 2 * on * d->def->yokes * (d->def->gangs > 1 ? d->def->gangs : 1);
        if (d->def->fixture_wires || d->def->fittings)
            return -1;
    }
    in3 += grounds ? largest_ground * (1 + 0.25 * (grounds > 4 ? grounds - 4 : 0)) : 0;
    return in3 + (clamps ? largest : 0);
}

static bool box_holds(const struct compilation *c, const struct box *b, struct buf *why)
{
    const struct fill *fill = &c->wiring->of_box[b->id];
    const struct box_type *t = fill->type;
    if (b->declared || !fill->inferred || t->volume <= 0 || t->divided || t->fittings ||
        b->held.n || b->held_grounds || b->terminal_blocks || b->existing)
        return true;
    double in3 = needed(c, b, t->clamp_internal && b->runs.n);
    const struct box_ring *ring = library_box_ring_for(t, b->room->finish);
    double volume = t->volume + (ring ? ring->adds : 0);
    if (in3 < 0 || volume >= in3 - 1e-6)
        return true;
    buf_printf(why, "box %s needs %g in3 and is given %s, which has %g",
               address_of_box((struct arena *)&c->arena, b, true), in3, t->name, volume);
    return false;
}

bool property_chosen(const struct subject *s, struct buf *why)
{
    const struct compilation *c = s->c;
    const struct model *m = c->model;
    if (!m || !m->code.electrical || strcmp(m->code.electrical->name, "nec-2023"))
        return true; /* the figures above are those of 2023 */
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *r = m->runs.at[i];
        if (r->circuit && r->in_tree && (!cable_holds(c, r, why) || !pulled_holds(c, r, why)))
            return false;
    }
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (!box_holds(c, m->boxes.at[i], why))
            return false;
    return true;
}

/* The cable of each run, declared or the least that serves, and which conductor carries which net
 * in which colour. */
#include "facts/conductors.h"
#include "facts/existing.h"
#include "facts/places.h"
#include "model/finding.h"
#include "resolve/written.h"
#include "wiring/work.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* --- the least cable ---------------------------------------------------------------------- */

static bool less_cable(const struct cable_def *a, const struct cable_def *b)
{
    if (a->conductors != b->conductors)
        return a->conductors < b->conductors;
    if (a->gauge != b->gauge)
        return a->gauge > b->gauge;
    return a->whites < b->whites;
}

/* What a cable must have, in the place of a run: conductors, whites among them, and what rules ask
 * of one that is written; where there is one it is not thinner than the gauge. */
struct need {
    struct model *m;
    const struct routes *routes;
    const struct run *run;
    const struct lying *lying;
    const struct conductor_asks *asks, *of_circuit; /* of its own circuit, and by circuit id */
    const int *gauges;                              /* by circuit id */
    int gauge;
    unsigned conductors, whites;
};

/* Whether a cable could be written in the place of the run: by its breaker and load, its ground,
 * and the terminals that it lands on. Where none could be, `strict` is not asked: the least for the
 * breaker is taken, and the rules tell what is wrong with it. */
static bool could_be_written(const struct need *n, const struct cable_def *d, bool strict)
{
    struct conductor_good good;
    return facts_cable_serves(n->m, n->asks, n->run, d, n->lying, &good) &&
           (!strict || (d->gauge >= n->asks->thickest && d->gauge <= n->asks->thinnest &&
                        facts_ground_serves(n->m, n->asks, n->run, d, n->lying) &&
                        facts_neutral_serves(n->m, n->asks, n->run, d, n->lying)));
}

/* Of two that serve, the least that is as thick as is wanted; else the thicker one. */
static bool better_cable(const struct need *n, const struct cable_def *a, const struct cable_def *b)
{
    bool thick = a->gauge <= n->gauge, other = b->gauge <= n->gauge;
    if (thick != other)
        return thick;
    if (!thick && a->conductors == b->conductors && a->gauge != b->gauge)
        return a->gauge < b->gauge;
    return less_cable(a, b);
}

/* The best cable that has it; of one family, or (`family` NULL) of any that suits the places. */
static struct cable_def *best_of(const struct need *n, const char *family,
                                 const struct places *places, bool strict)
{
    struct cable_def *best = NULL;
    for (uint32_t i = 0; i < n->m->lib->cable_list.n; i++) {
        struct cable_def *d = n->m->lib->cable_list.at[i];
        bool of_family =
            d->family && (family ? !strcmp(d->family, family) : facts_cable_suits_all(d, places));
        if (!d->power || !of_family || !strchr(d->name, '/') || d->conductors < n->conductors ||
            d->whites < n->whites || (best && !better_cable(n, d, best)))
            continue;
        if (could_be_written(n, d, strict))
            best = d;
    }
    return best;
}

/* The least cable of the usual family that has the conductors and the whites for a run and could be
 * written there; NULL where none has. */
static struct cable_def *least_cable(const struct need *like, unsigned conductors, unsigned whites)
{
    struct need n = *like;
    n.gauge = ANY_GAUGE;
    n.conductors = conductors;
    n.whites = whites;
    return n.run->circuit->breaker > 0 ? best_of(&n, "nm", NULL, true) : NULL;
}

const struct cable_def *wiring_least_cable(struct model *m, const struct conductor_asks *asks,
                                           const struct run *run, unsigned conductors)
{
    static const struct lying nothing_beside = {.beside = 1};
    return least_cable(&(struct need){.m = m, .run = run, .asks = asks, .lying = &nothing_beside},
                       conductors, 1);
}

/* Of the usual family where it suits the places, else of the first that does. */
static struct cable_def *cable_for_places(const struct need *n, const struct places *places,
                                          bool strict)
{
    struct cable_def *usual = best_of(n, "nm", NULL, strict);
    bool suits = usual && facts_cable_suits_all(usual, places);
    struct cable_def *suited = suits ? NULL : best_of(n, NULL, places, strict);
    return suited ? suited : usual;
}

/* The best for the place where a run lies. Where none is large enough beside others and in its air,
 * one that would be alone and in the air of the tables is taken: the rules tell what it lies with.
 */
static struct cable_def *cable_for_run(const struct need *n)
{
    static const struct lying nothing_beside = {.beside = 1};
    struct places places = facts_run_places(n->m, n->run);
    struct need otherwise = *n;
    otherwise.lying = &nothing_beside;
    struct cable_def *d = cable_for_places(n, &places, true);
    d = d ? d : cable_for_places(&otherwise, &places, true);
    d = d ? d : cable_for_places(n, &places, false);
    return d ? d : cable_for_places(&otherwise, &places, false);
}

/* --- order of nets ------------------------------------------------------------------------ */

static int rank(const struct net *n)
{
    static const int ranks[] = {[N_LINE] = 0,         [N_LEG] = 1,     [N_TRAVELER] = 2,
                                [N_INTERCONNECT] = 3, [N_NEUTRAL] = 4, [N_GROUND] = 5};
    return ranks[n->sort];
}

int wiring_by_rank(const void *a, const void *b)
{
    const struct net *x = *(struct net *const *)a, *y = *(struct net *const *)b;
    if (rank(x) != rank(y))
        return rank(x) - rank(y);
    int circuit = strcmp(x->circuit->name, y->circuit->name);
    return circuit ? circuit : strcmp(x->name, y->name);
}

/* --- colours ------------------------------------------------------------------------------ */

static bool is_white(const char *color)
{
    return !strncmp(color, "white", 5);
}

/* Which nets may go on a re-identified white, the best first: line b of a 240 V load, the supply of
 * a switch, line b behind a two-pole switch, last a traveler; never what a switch of one pole
 * returns. Article 200.7(C), whose loops are supplied by the white. */
enum { NEVER_WHITE = 100 };

static int white_cost(const struct net *n)
{
    switch (n->sort) {
    case N_LINE:
        return n->pole == 'b' ? 0 : n->pole == 'a' ? 2 : 1;
    case N_LEG:
        return n->pole ? (n->pole == 'b' ? 1 : 2) : NEVER_WHITE;
    case N_TRAVELER:
        return 3;
    default:
        return NEVER_WHITE;
    }
}

static int color_cost(const struct net *n, const char *color)
{
    static const struct {
        enum net_sort sort;
        const char *colors[3];
    } wishes[] = {
        {N_LINE, {"black", "red", "blue"}},
        {N_LEG, {"red", "black", "blue"}},
        {N_TRAVELER, {"black", "red", "blue"}},
        {N_INTERCONNECT, {"red", "blue", "black"}},
    };
    if (is_white(color))
        return 10 + 10 * white_cost(n);
    for (size_t i = 0; i < sizeof wishes / sizeof *wishes; i++)
        for (int k = 0; wishes[i].sort == n->sort && k < 3; k++)
            if (!strcmp(wishes[i].colors[k], color))
                return k;
    return 5;
}

/* Neutrals on whites; then the other nets on the free conductors so that all together cost least,
 * the first conductor among equals. What the nets from one on cost at least hangs on the set of
 * conductors that those before it took, not on which took which. */
struct coloring {
    const struct run_wiring *w;
    struct net *nets[MOST_CONDUCTORS];
    uint8_t net_count;
    int *least; /* by set of conductors: 1 + what the nets that are left cost; 0 not known */
};

enum { NO_WAY = 1 << 20 };

static int least_from(struct coloring *k, uint8_t net, unsigned taken);

/* What the nets from this one on cost where it goes on that conductor. */
static int cost_on(struct coloring *k, uint8_t net, uint8_t c, unsigned taken)
{
    const struct conductor *at = &k->w->conductors[c];
    return at->net || taken & 1u << c
               ? NO_WAY
               : color_cost(k->nets[net], at->color) + least_from(k, net + 1, taken | 1u << c);
}

static int least_from(struct coloring *k, uint8_t net, unsigned taken)
{
    if (net == k->net_count || k->least[taken])
        return net == k->net_count ? 0 : k->least[taken] - 1;
    int least = NO_WAY;
    for (uint8_t c = 0; c < k->w->count; c++) {
        int cost = cost_on(k, net, c, taken);
        least = cost < least ? cost : least;
    }
    k->least[taken] = least + 1;
    return least;
}

/* Puts each net on its conductor; the nets stay off where there is no way for all of them. */
static void color_nets(struct coloring *k, struct conductor *conductors)
{
    uint8_t chosen[MOST_CONDUCTORS];
    unsigned taken = 0;
    if (least_from(k, 0, 0) >= NO_WAY)
        return;
    for (uint8_t i = 0; i < k->net_count; i++) {
        uint8_t c = 0;
        while (cost_on(k, i, c, taken) != least_from(k, i, taken))
            c++;
        chosen[i] = c;
        taken |= 1u << c;
    }
    for (uint8_t i = 0; i < k->net_count; i++) {
        struct conductor *c = &conductors[chosen[i]];
        c->net = k->nets[i];
        c->reidentified = is_white(c->color);
    }
}

/* No more nets than the cable has conductors. */
static void color_run(struct arena *scratch, struct run_wiring *w, const net_list *nets)
{
    struct coloring k = {.w = w};
    for (uint32_t i = 0; i < nets->n; i++) {
        struct net *n = nets->at[i];
        uint8_t c = 0;
        while (c < w->count && (w->conductors[c].net || !is_white(w->conductors[c].color)))
            c++;
        if (n->sort == N_NEUTRAL && c < w->count)
            w->conductors[c].net = n;
        else if (n->sort != N_NEUTRAL)
            k.nets[k.net_count++] = n;
    }
    k.least = arena_array(scratch, int, (size_t)1 << w->count);
    color_nets(&k, w->conductors);
    for (uint8_t i = 0; i < w->count; i++)
        w->used += w->conductors[i].net != NULL;
}

/* The first net that had to go on a white which must not carry it, or NULL. */
static const struct net *wrongly_white(const struct run_wiring *w)
{
    for (uint8_t i = 0; i < w->count; i++)
        if (w->conductors[i].reidentified && white_cost(w->conductors[i].net) == NEVER_WHITE)
            return w->conductors[i].net;
    return NULL;
}

/* --- findings ----------------------------------------------------------------------------- */

/* The cable clause of the run, else its hop in the chain. */
static struct span run_span(const struct run *r)
{
    if (r->own_cable)
        return node_span(node_child(r->node, F_CABLE));
    struct span a = r->from_span, z = r->to_span;
    if (!a.source || a.source != z.source)
        return node_span(r->node);
    if (z.off < a.off) {
        a = r->to_span;
        z = r->from_span;
    }
    a.len = z.off + z.len - a.off;
    return a;
}

enum { MOST_TOLD = 16 }; /* of what is in a cable; no cable that is made has as many */

static const char *net_words(struct model *m, const net_list *nets)
{
    uint32_t told = nets->n > MOST_TOLD ? MOST_TOLD : nets->n;
    const char *text = "";
    for (uint32_t i = 0; i < told; i++)
        text = arena_printf(m->arena, "%s%s%s", text, i ? ", " : "", nets->at[i]->name);
    return nets->n > told ? arena_printf(m->arena, "%s and %u more", text, nets->n - told) : text;
}

static unsigned neutrals_in(const net_list *nets)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < nets->n; i++)
        n += nets->at[i]->sort == N_NEUTRAL;
    return n;
}

static const char *run_subject(struct model *m, const struct run *r)
{
    return arena_printf(m->arena, "run %s\ncircuit %s", address_of_run(m->arena, r, false),
                        address_of_circuit(m->arena, r->circuit, false));
}

/* Whether a second cable beside the first would do: each brings its own neutral and feeds a thing
 * of its own in the far box. Travelers and what joins alarms stay with the rest of their circuit in
 * one cable. */
static bool may_be_parted(const struct run *r, const net_list *nets)
{
    const struct box *far = r->to.box;
    for (uint32_t i = 0; i < nets->n; i++)
        if (nets->at[i]->sort == N_TRAVELER || nets->at[i]->sort == N_INTERCONNECT)
            return false;
    return far && far->device_count + far->runs.n > 2;
}

static bool has_net(const net_list *nets, enum net_sort sort, const struct leg *leg)
{
    for (uint32_t i = 0; i < nets->n; i++)
        if (nets->at[i]->sort == sort && nets->at[i]->leg == leg)
            return true;
    return false;
}

/* The leg whose load lies between its switches, so that the run carries travelers and the leg;
 * NULL.
 */
static const struct leg *load_between_switches(const net_list *nets)
{
    bool travelers = false;
    for (uint32_t i = 0; i < nets->n; i++)
        travelers |= nets->at[i]->sort == N_TRAVELER;
    for (uint32_t i = 0; travelers && i < nets->n; i++)
        if (nets->at[i]->sort == N_LEG && has_net(nets, N_TRAVELER, nets->at[i]->leg))
            return nets->at[i]->leg;
    return NULL;
}

/* What could each come from elsewhere: lines, and legs with their travelers. NULL where that is one
 * thing alone. */
static const char *parting_words(struct model *m, const net_list *nets)
{
    const char *words = NULL;
    unsigned things = 0;
    for (uint32_t i = 0; i < nets->n && things < MOST_TOLD; i++) {
        const struct net *net = nets->at[i];
        net_list before = {.at = nets->at, .n = i};
        bool told = net->leg &&
                    (has_net(&before, N_LEG, net->leg) || has_net(&before, N_TRAVELER, net->leg));
        if (net->sort == N_NEUTRAL || told)
            continue;
        const char *word = net->leg ? arena_printf(m->arena, "leg %s", net->leg->name) : net->name;
        words = words ? arena_printf(m->arena, "%s, %s", words, word) : word;
        things++;
    }
    return things > 1 ? words : NULL;
}

RULE(conductors_missing, "conductors-missing", ERROR, FIRM,
     "a cable has a conductor for everything that passes through it");

static void say_missing(const struct need *need, const net_list *nets,
                        const struct cable_def *cable)
{
    struct model *m = need->m;
    const struct run *r = need->run;
    if (r->circuit->feeds || !facts_known(r->circuit, ITS_FEED))
        return; /* feeder-four-wire says it; or what goes through is not known */
    unsigned whites = neutrals_in(nets);
    bool by_white = nets->n <= cable->conductors;
    struct finding *f = model_finding(
        m, &rule_conductors_missing, run_span(r), address_end_unit(r->from), run_subject(m, r),
        "run %s needs %u %s (%s); %s has %u%s", address_of_run(m->arena, r, true),
        by_white ? whites : nets->n, by_white ? "neutrals" : "insulated conductors",
        net_words(m, nets), cable->name, by_white ? cable->whites : cable->conductors,
        !by_white             ? ""
        : cable->whites == 1u ? " white conductor"
                              : " white conductors");
    const struct cable_def *larger = least_cable(need, nets->n, whites);
    const struct cable_def *two = least_cable(need, 2, 1);
    bool helps = two && may_be_parted(r, nets) && !r->of_two &&
                 cable->conductors + two->conductors >= nets->n;
    const struct leg *between = load_between_switches(nets);
    const char *parts = parting_words(m, nets),
               *ways[] = {
                   larger ? arena_printf(m->arena, "cable %s", larger->name) : NULL,
                   helps ? arena_printf(m->arena, "%scable %s + %s",
                                        larger ? "two cables side by side: " : "", cable->name,
                                        two->name)
                         : NULL,
                   between ? arena_printf(m->arena,
                                          "let the runs come to all switches of leg %s before what "
                                          "it works",
                                          between->name)
                           : NULL,
                   parts ? arena_printf(m->arena, "feed one of these from another box: %s", parts)
                         : NULL};
    const char *mend = NULL;
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        if (ways[i])
            mend = mend ? arena_printf(m->arena, "%s; or %s", mend, ways[i]) : ways[i];
    if (mend)
        diag_mend(m->diag, f, "%s", mend);
    model_mend_cable(m, f, r, larger);
}

RULE(neutral_missing_at_switch, "neutral-missing-at-switch", ERROR, FIRM,
     "a neutral is at hand where a switch works the lights of a room");

static void say_no_neutral(const struct need *need, const struct crossing *x,
                           const struct cable_def *cable)
{
    struct model *m = need->m;
    const struct run *r = need->run;
    if (!facts_known(r->circuit, ITS_FEED))
        return;
    struct finding *f = model_finding(
        m, &rule_neutral_missing_at_switch, run_span(r), address_end_unit(r->from),
        run_subject(m, r),
        "run %s has no conductor for the neutral that is wanted at the switch locations beyond it; "
        "%s has %u, all in use (%s)",
        address_of_run(m->arena, r, true), cable->name, cable->conductors, net_words(m, &x->nets));
    const struct cable_def *larger = least_cable(need, x->nets.n + x->soft.n, 1);
    if (larger)
        diag_mend(m->diag, f, "cable %s, or bring the supply to the switch first", larger->name);
    model_mend_cable(m, f, r, larger);
}

RULE(white_as_return, "white-as-return", ERROR, FIRM,
     "no white conductor comes back from a switch to what it works");

/* Too few conductors of other colours: the run is left unmade, for its colours would tell a lie. */
static void say_white(const struct need *need, struct run_wiring *w, const struct net *net,
                      const net_list *nets)
{
    struct model *m = need->m;
    const struct run *r = need->run;
    unsigned colored = w->cable->conductors - w->cable->whites;
    struct finding *f = model_finding(
        m, &rule_white_as_return, run_span(r), address_end_unit(r->from), run_subject(m, r),
        "run %s would need a white for %s, which comes back from a switch; %s has %u "
        "conductor%s of another colour for %s",
        address_of_run(m->arena, r, true), net->name, w->cable->name, colored,
        colored == 1 ? "" : "s", net_words(m, nets));
    const struct cable_def *other = least_cable(need, nets->n, neutrals_in(nets));
    if (other && other->conductors > colored + other->whites)
        diag_mend(m->diag, f, "cable %s, or a leg less in this box", other->name);
    else
        diag_mend(m->diag, f,
                  "a cable with more conductors of other colours, or a leg less in this box");
    if (other && other->conductors > colored + other->whites)
        model_mend_cable(m, f, r, other);
    for (uint8_t i = 0; i < w->count; i++)
        w->conductors[i] = (struct conductor){.color = w->cable->colors[i]};
    w->used = 0;
}

/* --- runs --------------------------------------------------------------------------------- */

static bool fits(const struct cable_def *d, unsigned nets, unsigned neutrals)
{
    return nets <= d->conductors && neutrals <= d->whites;
}

static void append(struct arena *a, net_list *to, const net_list *from)
{
    for (uint32_t i = 0; i < from->n; i++)
        *vec_push(a, to) = from->at[i];
    if (to->n)
        qsort(to->at, to->n, sizeof *to->at, wiring_by_rank);
}

/* A white conductor that is marked as hot at its ends. */
static bool has_hot_white(const struct run_wiring *w)
{
    for (uint8_t i = 0; i < w->count; i++)
        if (w->conductors[i].reidentified)
            return true;
    return false;
}

/* Gives the run its cable, with all that crosses it on its conductors; NULL, or the net that would
 * have to go on a white which must not carry it. */
static const struct net *lay_nets(struct arena *a, struct arena *scratch, struct run_wiring *out,
                                  struct cable_def *cable, const net_list *nets)
{
    out->cable = cable;
    out->count = cable->conductors;
    out->used = 0;
    out->conductors = arena_array(a, struct conductor, out->count + 1u);
    for (uint8_t i = 0; i < out->count; i++)
        out->conductors[i].color = cable->colors[i];
    if (nets)
        color_run(scratch, out, nets);
    return wrongly_white(out);
}

/* A run whose cable the plan leaves open: the least that has the conductors, and as many of other
 * colours as it needs. */
static void choose_cable(struct need *need, struct arena *scratch, struct run_wiring *out,
                         const net_list *nets)
{
    enum { FURTHER = 4 };
    bool known = need->run->circuit->breaker > 0;
    need->conductors = nets->n < 2 ? 2 : nets->n;
    need->whites = neutrals_in(nets);
    struct cable_def *cable = known ? cable_for_run(need) : NULL;
    for (unsigned more = 1;
         cable && lay_nets(need->m->arena, scratch, out, cable, nets) && more < FURTHER; more++) {
        need->conductors++;
        cable = cable_for_run(need);
    }
    const struct cable_def *widest = !cable && known ? least_cable(need, 4, 1) : NULL;
    if (widest && nets->n > 4)
        say_missing(need, nets, widest);
}

/* An old run whose cable the plan does not tell: as many conductors as it must have, and nothing is
 * known of their colours. */
static void lay_untold(struct arena *a, struct run_wiring *out, const net_list *nets)
{
    out->count = out->used = (uint8_t)(nets->n < UINT8_MAX ? nets->n : UINT8_MAX);
    out->conductors = arena_array(a, struct conductor, out->count + 1u);
    for (uint8_t i = 0; i < out->count; i++)
        out->conductors[i].net = nets->at[i];
}

/* The cable of a run with all that crosses it; of what is pulled into a raceway the conductors are
 * chosen later, with those of the raceways behind it. The neutrals of switch locations are left out
 * where only they do not fit. */
static void settle_run(struct wiring *w, struct need need, struct run *r, struct arena *scratch,
                       struct crossing *x, struct pulled *pulled)
{
    struct model *m = need.m;
    struct run_wiring *out = &w->of_run[r->id];
    net_list all = {0};
    append(m->arena, &all, &x->nets);
    unsigned hard = x->nets.n, hard_neutrals = neutrals_in(&x->nets);
    append(m->arena, &all, &x->soft);
    out->needed = all.n;
    const struct net *wrong = NULL;
    if (facts_cable_untold(r)) {
        lay_untold(m->arena, out, &all);
        return;
    }
    if (!r->declared && r->raceway && !r->low_voltage) {
        *pulled = (struct pulled){r, all};
    } else if (!r->declared) {
        choose_cable(&need, scratch, out, &all);
    } else if (fits(r->declared, all.n, neutrals_in(&all))) {
        wrong = lay_nets(m->arena, scratch, out, r->declared, &all);
    } else if (fits(r->declared, hard, hard_neutrals)) {
        say_no_neutral(&need, x, r->declared);
        qsort(x->nets.at, x->nets.n, sizeof *x->nets.at, wiring_by_rank);
        wrong = lay_nets(m->arena, scratch, out, r->declared, &x->nets);
    } else {
        lay_nets(m->arena, scratch, out, r->declared, NULL);
        say_missing(&need, &all, r->declared);
    }
    diag_looked(m->diag, &rule_conductors_missing);
    if (wrong || has_hot_white(out))
        diag_looked(m->diag, &rule_white_as_return);
    if (wrong)
        say_white(&need, out, wrong, &all);
}

/* --- low voltage -------------------------------------------------------------------------- */

/* Whether a device in a box is made for the cable of that name; any: for some cable. */
static bool takes_low_voltage(const struct box *b, const char *cable)
{
    for (uint32_t i = 0; b && i < b->device_count; i++)
        if (b->devices[i]->def->cable && (!cable || b->devices[i]->def->cable == cable))
            return true;
    return false;
}

/* The one cable that what stands at the ends of a run is made for: at both where both say one. NULL
 * where they say none, or several. */
static struct cable_def *low_voltage_cable(struct model *m, const struct run *r)
{
    const struct box *ends[2] = {r->to.box, r->from.box};
    const char *only = NULL;
    for (int at = 0; at < 2; at++)
        for (uint32_t i = 0; ends[at] && i < ends[at]->device_count; i++) {
            const char *cable = ends[at]->devices[i]->def->cable;
            const struct box *other = ends[!at];
            bool suits =
                cable && (takes_low_voltage(other, cable) || !takes_low_voltage(other, NULL));
            if (suits && only && only != cable)
                return NULL;
            only = suits ? cable : only;
        }
    return only ? library_cable(m->lib, only) : NULL;
}

/* --- raceways ----------------------------------------------------------------------------- */

/* Runs of one pull beside each other. */
struct in_pull {
    uint32_t pull, run;
};

static int by_pull(const void *a, const void *b)
{
    const struct in_pull *x = a, *y = b;
    return x->pull != y->pull ? (x->pull < y->pull ? -1 : 1)
           : x->run < y->run  ? -1
                              : x->run > y->run;
}

/* The conductors of all runs in raceways, pull by pull. */
static void pull_runs(struct wiring *w, struct model *m, const struct routes *routes,
                      const struct conductor_asks *asks, const int *gauges,
                      const struct pulled *pulled)
{
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    const uint32_t *pull = wiring_find_pulls(&scratch, w, m);
    struct in_pull *order = arena_array(&scratch, struct in_pull, m->runs.n + 1);
    struct pulled *list = arena_array(&scratch, struct pulled, m->runs.n + 1);
    uint32_t count = 0;
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (pulled[i].run)
            order[count++] = (struct in_pull){pull[i], i};
    qsort(order, count, sizeof *order, by_pull);
    for (uint32_t i = 0, n; i < count; i += n) {
        for (n = 0; i + n < count && order[i + n].pull == order[i].pull; n++)
            list[n] = pulled[order[i + n].run];
        wiring_pull_conductors(w, m, routes, asks, gauges, list, n);
    }
    arena_free(&scratch);
}

void wiring_choose_cables(struct wiring *w, struct model *m, const struct routes *routes,
                          struct crossing *crossing, const struct conductor_asks *asks,
                          const int *gauges)
{
    wiring_shade_nets(w, m);
    wiring_find_meetings(w, m, crossing);
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory},
                 between = scratch; /* until conductors are pulled */
    struct pulled *pulled = arena_array(&between, struct pulled, m->runs.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        struct run *r = m->runs.at[i];
        bool known = r->circuit && r->in_tree && r->circuit->is_tree &&
                     facts_known(r->circuit, ITS_TEXT | ITS_LINES);
        w->of_run[i].cable = known ? NULL : r->declared;
        if (r->low_voltage && !r->declared && !r->low_voltage->cable && !r->existing)
            w->of_run[i].cable = low_voltage_cable(m, r);
        if (known)
            settle_run(w,
                       (struct need){.m = m,
                                     .routes = routes,
                                     .run = r,
                                     .asks = &asks[r->circuit->id],
                                     .lying = &w->lying[i],
                                     .of_circuit = asks,
                                     .gauges = gauges,
                                     .gauge = gauges[r->circuit->id]},
                       r, &scratch, &crossing[i], &pulled[i]);
        arena_reset(&scratch);
    }
    arena_free(&scratch);
    pull_runs(w, m, routes, asks, gauges, pulled);
    arena_free(&between);
    wiring_settle_passing(w);
}

const struct cable_def *wiring_cable_of_run(const struct run *run, const struct wiring *wiring)
{
    const struct cable_def *cable = wiring->of_run[run->id].cable;
    if (!cable)
        cable = run->declared;
    return cable || !run->low_voltage ? cable : run->low_voltage->cable;
}

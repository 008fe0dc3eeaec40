/* What a circuit is made of: each wiring puts one thing that a house has at the end of a circuit.
 * A new one is a function and a line of the table at the end. */
#include "draft.h"

#include <stdio.h>
#include <string.h>

/* --- lights --------------------------------------------------------------------------------- */

static const char *a_light(struct draft *d)
{
    return d->bold ? ONE_OF(d, "luminaire", "recessed", "linear-luminaire", "recessed-open")
                   : ONE_OF(d, "luminaire", "luminaire", "recessed", "linear-luminaire");
}

static const char *load_words(struct draft *d)
{
    if (d->in_units && chance(&d->state, 30))
        return " (lamp)";
    return ONE_OF(d, "", "", " 12 W", " 60 W", " 90 VA", " 0.1 kW continuous",
                  " 35 W fuel-fired no");
}

/* Any box of the circuit, where a bold plan puts a device wherever it likes. */
static int somewhere(struct draft *d, struct draft_circuit *c, int box)
{
    return c->box_count && d->bold && chance(&d->state, 40)
               ? c->boxes[pick(&d->state, c->box_count)]
               : box;
}

/* The lights of a leg, one behind the other from a box on. */
static void lights_from(struct draft *d, struct draft_circuit *c, int from, unsigned leg)
{
    bool integral = false;
    for (unsigned i = 0, n = 1 + pick(&d->state, 3); i < n; i++) {
        const char *light = integral || !i ? a_light(d) : "luminaire";
        integral = strcmp(light, "luminaire") != 0;
        from = draft_next(d, c, from, OVERHEAD);
        /* what is no luminaire's wiring does not pass through the compartment of one */
        if (from != NO_BOX)
            d->boxes[from].closed = integral;
        draft_device(d, somewhere(d, c, from), c, "%s leg l%u%s", light, leg, load_words(d));
    }
}

/* One control and what it works, the control before or behind the first light. */
static void put_light(struct draft *d, struct draft_circuit *c)
{
    unsigned leg = ++d->legs;
    const char *control = ONE_OF(d, "switch", "switch", "single-pole", "dimmer", "timer-switch",
                                 "occupancy-switch", "dimmer-neutral", "photocell");
    if (chance(&d->state, 30)) { /* a dead end: the light is fed, a cable goes down to the switch */
        int light = draft_next(d, c, draft_tail(d, c), OVERHEAD);
        draft_device(d, light, c, "luminaire leg l%u", leg);
        int place = draft_next(d, c, light, SWITCH_HIGH);
        draft_device(d, place, c, "%s leg l%u", control, leg);
        return;
    }
    int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
    draft_device(d, place, c, "%s leg l%u", control, leg);
    lights_from(d, c, place, leg);
}

/* A light worked from two, three or four places. */
static void put_places(struct draft *d, struct draft_circuit *c)
{
    unsigned leg = ++d->legs, places = 2 + pick(&d->state, d->bold ? 4 : 2);
    int at = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH), first = at;
    draft_device(d, at, c, "%s leg l%u", chance(&d->state, 10) ? "dimmer" : "switch", leg);
    bool lights_first = chance(&d->state, 40);
    if (lights_first)
        lights_from(d, c, at, leg);
    for (unsigned i = 1; i < places; i++) {
        at = draft_next(d, c, at, SWITCH_HIGH);
        draft_device(d, at, c, "switch leg l%u", leg);
    }
    if (!lights_first)
        lights_from(d, c, chance(&d->state, 50) ? at : first, leg);
}

void draft_light_room(struct draft *d, struct draft_circuit *c, unsigned room)
{
    unsigned leg = ++d->legs, was = c->room;
    c->room = room;
    int place = draft_next_in(d, c, draft_tail(d, c), SWITCH_HIGH);
    draft_device(d, place, c, "switch leg l%u", leg);
    int light = draft_next_in(d, c, place, OVERHEAD);
    draft_device(d, light, c, "luminaire leg l%u", leg);
    c->room = was;
}

/* A fan with a light, from two switches or from both on one yoke. */
static void put_fan(struct draft *d, struct draft_circuit *c)
{
    unsigned fan = ++d->legs, light = ++d->legs;
    int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
    if (chance(&d->state, 50))
        draft_device(d, place, c, "duplex-switch { switch leg l%u; switch leg l%u }", fan, light);
    else {
        draft_device(d, place, c, "fan-control leg l%u", fan);
        draft_device(d, place, c, "switch leg l%u", light);
    }
    int at = draft_next(d, c, place, OVERHEAD);
    draft_device(d, at, c, "%s { fan leg l%u 70 W; light leg l%u 45 W }",
                 ONE_OF(d, "paddle-fan", "exhaust-fan"), fan, light);
}

/* A leg that another leg feeds: a photocell behind a switch. */
static void put_series(struct draft *d, struct draft_circuit *c)
{
    unsigned outer = ++d->legs, inner = ++d->legs;
    int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
    draft_device(d, place, c, "switch leg l%u", outer);
    int at = draft_next(d, c, place, SWITCH_HIGH);
    draft_device(d, at, c, "%s leg l%u from leg l%u",
                 ONE_OF(d, "photocell", "timer-switch", "occupancy-switch"), inner, outer);
    lights_from(d, c, at, inner);
}

/* A leg that ends in a box for later. */
static void put_capped(struct draft *d, struct draft_circuit *c)
{
    unsigned leg = ++d->legs;
    int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
    draft_device(d, place, c, "switch leg l%u", leg);
    int at = draft_next(d, c, place, OVERHEAD);
    if (at == NO_BOX)
        return;
    buf_printf(&d->boxes[at].words, "capped leg l%u\n", leg);
    if (chance(&d->state, 50))
        draft_device(d, at, c, "luminaire leg l%u", leg);
    else
        buf_puts(&d->boxes[at].words, "cover blank\n");
}

/* A box without a device, from which cables go on. */
static void put_junction(struct draft *d, struct draft_circuit *c)
{
    int at = draft_next(d, c, draft_tail(d, c), OVERHEAD);
    if (at != NO_BOX && (!d->bold || chance(&d->state, 50)))
        buf_puts(&d->boxes[at].words, "cover blank\n");
}

/* --- receptacles ---------------------------------------------------------------------------- */

static const char *a_receptacle(struct draft *d)
{
    return ONE_OF(d, "receptacle", "receptacle", "receptacle-20", "receptacle-wr-20",
                  "receptacle-wr", "receptacle \"bench\"", "receptacle terminals 75 C",
                  "receptacle co-alr", "receptacle al-cu");
}

static void put_receptacles(struct draft *d, struct draft_circuit *c)
{
    int at = draft_tail(d, c);
    for (unsigned i = 0, n = 1 + pick(&d->state, 4); i < n; i++) {
        at = draft_next(d, c, at, chance(&d->state, 70) ? LOW : COUNTER_HIGH);
        draft_device(d, at, c, "%s", a_receptacle(d));
        if (chance(&d->state, 20))
            draft_device(d, at, c, "%s", a_receptacle(d));
    }
}

static const char *a_protector(struct draft *d)
{
    return ONE_OF(d, "receptacle-gfci", "receptacle-gfci-20", "receptacle-afci", "receptacle-dual",
                  "gfci-blank", "receptacle-gfci-wr");
}

/* Devices that protect what comes behind them, one or several in a box, with and without a load
 * side. */
static void put_protected(struct draft *d, struct draft_circuit *c)
{
    int at = draft_next(d, c, draft_tail(d, c), LOW);
    bool onward = chance(&d->state, 60);
    draft_device(d, at, c, "%s%s", a_protector(d), onward ? " onward" : "");
    if (chance(&d->state, 25))
        draft_device(d, at, c, "%s%s", a_protector(d),
                     d->bold && chance(&d->state, 30) ? " onward" : "");
    if (chance(&d->state, 30))
        draft_device(d, at, c, "receptacle%s",
                     !onward ? "" : ONE_OF(d, "", " line-side", " load-side"));
    for (unsigned i = 0, n = pick(&d->state, 3); i < n; i++) {
        int next = draft_next(d, c, at, LOW);
        draft_device(d, next, c, "%s", a_receptacle(d));
        if (onward && chance(&d->state, 40) && c->run_count)
            snprintf(c->runs[c->run_count - 1].words, sizeof c->runs->words, "%s",
                     chance(&d->state, 50) ? " line-side" : " load-side");
    }
}

/* A receptacle of which one half is switched. */
static void put_half_switched(struct draft *d, struct draft_circuit *c)
{
    unsigned leg = ++d->legs;
    int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
    draft_device(d, place, c, "switch leg l%u", leg);
    int at = draft_next(d, c, place, LOW);
    switch (pick(&d->state, 4)) {
    case 0:
        draft_device(d, at, c, "receptacle half leg l%u", leg);
        break;
    case 1:
        draft_device(d, at, c, "receptacle { half leg l%u; half }", leg);
        break;
    case 2:
        draft_device(d, at, c, "receptacle { half leg l%u 300 W; half 500 VA }", leg);
        break;
    default:
        draft_device(d, at, c, "receptacle leg l%u", leg);
        break;
    }
}

/* A switch and a receptacle on one yoke. */
static void put_switch_receptacle(struct draft *d, struct draft_circuit *c)
{
    unsigned leg = ++d->legs;
    int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
    draft_device(d, place, c, "switch-receptacle { switch leg l%u; receptacle }", leg);
    lights_from(d, c, place, leg);
}

/* Two cables beside each other between two boxes. */
static void put_parallel(struct draft *d, struct draft_circuit *c)
{
    int at = draft_tail(d, c), next;
    if (at == NO_BOX)
        return;
    next = draft_next(d, c, at, LOW);
    if (next == at)
        return;
    unsigned name = ++d->names;
    struct draft_run *r = &c->runs[c->run_count - 1];
    snprintf(r->words, sizeof r->words, " as p%u%s", name,
             chance(&d->state, 30) ? " \"one of two\"" : "");
    char words[32];
    snprintf(words, sizeof words, " as q%u", name);
    draft_run(c, at, next, words);
    char by = chance(&d->state, 50) ? 'p' : 'q';
    if (chance(&d->state, 30)) { /* one of the feeds is protected, and what leaves the box */
        draft_device(d, next, c, "receptacle-gfci by %c%u onward", by, name);
        draft_device(d, next, c, "%s by %c%u", ONE_OF(d, "receptacle", "receptacle-gfci"),
                     by == 'p' ? 'q' : 'p', name);
        int behind = draft_next(d, c, next, LOW);
        draft_device(d, behind, c, "receptacle");
        return;
    }
    draft_device(d, next, c, "receptacle by %c%u", by, name);
    if (chance(&d->state, 60))
        draft_device(d, next, c, "receptacle");
}

static void put_transformer(struct draft *d, struct draft_circuit *c)
{
    int at = draft_next(d, c, draft_tail(d, c), LOW);
    draft_device(d, at, c, "transformer");
}

/* --- one appliance -------------------------------------------------------------------------- */

static void put_appliance(struct draft *d, struct draft_circuit *c)
{
    int at = draft_next(d, c, draft_tail(d, c), LOW);
    draft_device(d, at, c, "%s",
                 d->bold ? ONE_OF(d, "furnace", "whirlpool", "water-heater-gas", "disposer")
                         : ONE_OF(d, "refrigerator", "sump-pump", "garage-opener", "microwave",
                                  "receptacle-single-20 1600 VA \"compressor\"", "dishwasher"));
}

/* --- two lines ------------------------------------------------------------------------------ */

static void put_split(struct draft *d, struct draft_circuit *c)
{
    int at = draft_next(d, c, draft_tail(d, c), LOW);
    if (d->bold && chance(&d->state, 30)) /* hands on one line, whatever comes behind */
        draft_device(d, at, c, "receptacle-gfci pole %s onward", ONE_OF(d, "a", "b"));
    switch (pick(&d->state, 4)) {
    case 0:
        draft_device(d, at, c, "receptacle { half pole a; half pole b }");
        break;
    case 1:
        draft_device(d, at, c, "receptacle pole a");
        draft_device(d, at, c, "receptacle pole b");
        break;
    default:
        draft_device(d, at, c, "receptacle pole %s", ONE_OF(d, "a", "b"));
        break;
    }
}

/* A leg of one line of a multiwire circuit; the pole is said once or several times. */
static void put_light_of_line(struct draft *d, struct draft_circuit *c)
{
    unsigned leg = ++d->legs;
    const char *pole = ONE_OF(d, " pole a", " pole b"), *once = chance(&d->state, 40) ? "" : pole;
    int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
    draft_device(d, place, c, "switch leg l%u%s", leg, once);
    int at = draft_next(d, c, place, OVERHEAD);
    draft_device(d, at, c, "luminaire leg l%u%s", leg, pole);
}

static void put_heater(struct draft *d, struct draft_circuit *c)
{
    int place = draft_tail(d, c);
    if (chance(&d->state, 40)) {
        unsigned leg = ++d->legs;
        place = draft_next(d, c, place, SWITCH_HIGH);
        draft_device(d, place, c, "switch-2p leg l%u", leg);
        int at = draft_next(d, c, place, LOW);
        draft_device(d, at, c, "%s leg l%u", ONE_OF(d, "baseboard", "heater"), leg);
        return;
    }
    if (chance(&d->state, 30)) { /* the neutral of what comes behind goes past it */
        place = draft_next(d, c, place, SWITCH_HIGH);
        draft_device(d, place, c, "disconnect%s", ONE_OF(d, "", " onward"));
    }
    place = draft_next(d, c, place, LOW);
    draft_device(d, place, c, "%s",
                 d->bold ? ONE_OF(d, "heater", "water-heater 3000 W", "receptacle-240-20", "range",
                                  "mini-split mca 14 A max-breaker 20 A")
                         : ONE_OF(d, "baseboard 1200 W", "heater 1 kW continuous"));
}

/* --- alarms --------------------------------------------------------------------------------- */

static void put_alarms(struct draft *d, struct draft_circuit *c)
{
    int at = draft_tail(d, c);
    for (unsigned i = 0, n = 1 + pick(&d->state, 3); i < n; i++) {
        at = draft_next(d, c, at, OVERHEAD);
        draft_device(d, at, c, "%s",
                     ONE_OF(d, "smoke-alarm", "smoke-alarm", "smoke-co-alarm",
                            "smoke-alarm-photoelectric", "co-alarm"));
    }
}

/* --- which there are ------------------------------------------------------------------------ */

static const struct wiring_form {
    unsigned uses, weight;
    void (*put)(struct draft *, struct draft_circuit *);
} forms[] = {
    {USE_LIGHTS, 30, put_light},
    {USE_LIGHTS, 20, put_places},
    {USE_LIGHTS, 8, put_fan},
    {USE_LIGHTS, 6, put_series},
    {USE_LIGHTS, 6, put_capped},
    {USE_LIGHTS | USE_RECEPTACLES, 6, put_junction},
    {USE_RECEPTACLES, 30, put_receptacles},
    {USE_RECEPTACLES, 20, put_protected},
    {USE_RECEPTACLES, 10, put_half_switched},
    {USE_RECEPTACLES, 5, put_switch_receptacle},
    {USE_RECEPTACLES, 5, put_parallel},
    {USE_RECEPTACLES, 3, put_transformer},
    {USE_OWN, 10, put_appliance},
    {USE_MULTIWIRE, 20, put_split},
    {USE_MULTIWIRE, 10, put_light_of_line},
    {USE_TWO_POLE, 20, put_heater},
    {USE_ALARMS, 20, put_alarms},
};

void draft_wiring(struct draft *d, struct draft_circuit *c)
{
    unsigned all = 0, at;
    for (unsigned i = 0; i < sizeof forms / sizeof *forms; i++)
        all += forms[i].uses & c->use ? forms[i].weight : 0;
    at = pick(&d->state, all);
    for (unsigned i = 0; i < sizeof forms / sizeof *forms; i++) {
        unsigned weight = forms[i].uses & c->use ? forms[i].weight : 0;
        if (at < weight) {
            forms[i].put(d, c);
            return;
        }
        at -= weight;
    }
}

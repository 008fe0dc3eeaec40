/* For tests: random plans, always the same for a seed. Each is one room with boxes along its walls
 * and a circuit that runs from box to box as a tree. */
#ifndef STUDBAY_TESTS_GENERATE_H
#define STUDBAY_TESTS_GENERATE_H

#include "base/buf.h"
#include "random.h"

#include <string.h>

enum generated_sort {
    GENERATED_PLAIN,
    GENERATED_PROTECTING,
    GENERATED_MULTIWIRE,
    GENERATED_TWO_POLE,
    GENERATED_OLD_BOX,
    GENERATED_TWO_CIRCUITS,
    GENERATED_PARALLEL,
    GENERATED_COUNT
};

enum { MOST_GENERATED_BOXES = 2000 };

struct generator {
    uint64_t state;
    enum generated_sort sort;
    unsigned boxes, legs;
    unsigned parent[MOST_GENERATED_BOXES];
    struct buf devices[MOST_GENERATED_BOXES];
    struct buf capped[MOST_GENERATED_BOXES];
    bool twice[MOST_GENERATED_BOXES]; /* fed by two runs side by side, p and q */
    bool protects[MOST_GENERATED_BOXES];
};

static inline void put_device(struct generator *g, unsigned box, const char *text, unsigned leg,
                              const char *more)
{
    buf_printf(&g->devices[box], "    %s", text);
    if (leg)
        buf_printf(&g->devices[box], " leg l%u", leg);
    buf_printf(&g->devices[box], "%s%s\n", more,
               g->twice[box] && chance(&g->state, 40) ? chance(&g->state, 50) ? " by p" : " by q"
                                                      : "");
}

static inline const char *pole_words(struct generator *g)
{
    return g->sort != GENERATED_MULTIWIRE ? "" : chance(&g->state, 50) ? " pole a" : " pole b";
}

/* A pole is said once for a leg, or several times. */
static inline const char *perhaps(struct generator *g, const char *pole)
{
    return *pole && chance(&g->state, 40) ? "" : pole;
}

/* A box near another one: legs of real rooms do not run to and fro through the whole house. */
static inline unsigned near_box(struct generator *g, unsigned at)
{
    unsigned spread = g->boxes < 6 ? g->boxes : 6, from = at > 3 ? at - 3 : 0;
    unsigned box = from + pick(&g->state, spread);
    return box < g->boxes ? box : g->boxes - 1;
}

/* A leg: switches, what it works, sometimes a leg that feeds it. */
static inline void generate_leg(struct generator *g, unsigned most_switches, bool series)
{
    unsigned leg = ++g->legs, home = pick(&g->state, g->boxes),
             switches = 1 + pick(&g->state, most_switches);
    const char *pole = pole_words(g);
    static const char *const alone[] = {"switch",       "switch",      "dimmer",
                                        "timer-switch", "fan-control", "photocell"};
    for (unsigned i = 0; i < switches; i++)
        put_device(g, near_box(g, home), switches == 1 ? alone[pick(&g->state, 6)] : "switch", leg,
                   perhaps(g, pole));
    static const char *const loads[] = {"luminaire",       "recessed",   "exhaust-fan",
                                        "receptacle half", "receptacle", "transformer"};
    for (unsigned i = 0, n = 1 + pick(&g->state, 3); i < n; i++)
        put_device(g, near_box(g, home), loads[pick(&g->state, 6)], leg, perhaps(g, pole));
    if (chance(&g->state, 15)) {
        unsigned later = near_box(g, home);
        buf_printf(&g->capped[later], "    capped leg l%u\n", leg);
    }
    if (!series)
        return;
    unsigned inner = ++g->legs;
    buf_printf(&g->devices[near_box(g, home)], "    photocell leg l%u from leg l%u%s\n", inner, leg,
               perhaps(g, pole));
    put_device(g, near_box(g, home), "luminaire", inner, perhaps(g, pole));
}

static inline void generate_loads(struct generator *g)
{
    static const char *const plain[] = {"receptacle", "receptacle-20",
                                        "luminaire",  "smoke-alarm",
                                        "disposer",   "receptacle { half 300 W; half }"};
    for (unsigned b = 0; b < g->boxes; b++)
        if (chance(&g->state, 40)) {
            const char *what = plain[pick(&g->state, b ? 6 : 5)];
            put_device(g, b, what, 0, strchr(what, '{') ? "" : pole_words(g));
        }
    if (g->sort != GENERATED_PROTECTING)
        return;
    static const char *const kinds[] = {"receptacle-gfci", "receptacle-gfci", "receptacle-afci",
                                        "gfci-blank"};
    unsigned b = pick(&g->state, g->boxes);
    put_device(g, b, kinds[pick(&g->state, 4)], 0, chance(&g->state, 75) ? " onward" : "");
    g->protects[b] = true;
}

/* Two legs on one yoke or in one fan: devices of several parts. */
static inline void generate_parts(struct generator *g)
{
    unsigned a = ++g->legs, b = ++g->legs, home = pick(&g->state, g->boxes),
             fan = near_box(g, home), load = near_box(g, home);
    if (g->sort == GENERATED_TWO_CIRCUITS && (!home || !fan || !load))
        return; /* what stands in a block does not name its circuit here */
    if (chance(&g->state, 50)) {
        buf_printf(&g->devices[home], "    duplex-switch { switch leg l%u; switch leg l%u }\n", a,
                   b);
        buf_printf(&g->devices[fan], "    paddle-fan { fan leg l%u 70 W; light leg l%u 45 W }\n", a,
                   b);
    } else {
        buf_printf(&g->devices[home],
                   "    switch-receptacle { switch leg l%u; receptacle }\n    switch leg l%u\n", a,
                   b);
        buf_printf(&g->devices[fan], "    receptacle { half leg l%u; half leg l%u }\n", a, b);
    }
    put_device(g, load, "luminaire", b, "");
}

/* Water heaters and switched heaters between both lines. */
static inline void generate_two_pole(struct generator *g)
{
    for (unsigned b = 0; b < g->boxes; b++)
        if (chance(&g->state, 50))
            put_device(g, b, chance(&g->state, 50) ? "heater" : "range", 0, "");
    for (unsigned i = 0; i < 2 && chance(&g->state, 70); i++) {
        unsigned leg = ++g->legs, home = pick(&g->state, g->boxes);
        put_device(g, home, "switch-2p", leg, "");
        put_device(g, near_box(g, home), "baseboard", leg, "");
        if (chance(&g->state, 50))
            put_device(g, near_box(g, home), "heater", leg, "");
    }
}

/* A second circuit of two boxes, the first of them a box of the first circuit: the devices say
 * whose they are. */
static inline void write_second(struct buf *out)
{
    buf_puts(out, "circuit P.2 \"Second\" { breaker 15 A; run P -> hall.B0 -> C1 }\n");
}

static inline void write_boxes(struct generator *g, struct buf *out)
{
    static const char *const walls[] = {"north", "east", "south", "west"};
    unsigned side = g->boxes / 2 + 12;
    /* cables wider than any that is sold, so that what is asked at random can be wired */
    buf_puts(out, "cable 12/6 : nm { size 12; conductors black red blue yellow white white-red; "
                  "diameter 0.6\"; stock 1000' }\n"
                  "cable 12/9 : nm { size 12; conductors black red blue yellow brown orange pink "
                  "white white-red; diameter 0.7\"; stock 1000' }\n");
    buf_printf(out,
               "plan \"Generated\" { language 1; edition nec-2023 }\n\nroom hall \"Hall\" {\n  "
               "kind hall\n  size %u' by %u'\n",
               side, side);
    for (unsigned b = 0; b < g->boxes; b++) {
        bool metal = chance(&g->state, 25), old = g->sort == GENERATED_OLD_BOX && b == 0;
        buf_printf(out, "  box B%u %s at %u' up 4' {\n", b, walls[b % 4], 2 + b / 4 * 2);
        if (old)
            buf_puts(out, "    existing\n");
        if (metal)
            buf_puts(out, "    type square-large-2-1-8-deep\n");
        buf_printf(out, "%s%s  }\n", buf_text(&g->devices[b]), buf_text(&g->capped[b]));
    }
    if (g->sort == GENERATED_TWO_CIRCUITS)
        buf_puts(out, "  box C1 north at 9' up 3' { luminaire leg second 20 W }\n");
    buf_puts(out, "}\n\npanel P { in hall east at 9' up 1'; main 100 A; spaces 20 }\n\n");
}

static inline void write_circuit(struct generator *g, struct buf *out)
{
    buf_printf(out, "circuit P.1 \"First\" {\n  breaker 20 A%s\n",
               g->sort == GENERATED_TWO_POLE    ? " two-pole"
               : g->sort == GENERATED_MULTIWIRE ? " two-pole\n  multiwire"
                                                : "");
    if (g->sort == GENERATED_OLD_BOX)
        buf_puts(out, "  existing\n");
    else
        buf_puts(out, "  run P -> hall.B0\n");
    for (unsigned b = 1; b < g->boxes; b++) {
        const char *side = g->protects[g->parent[b]] ? chance(&g->state, 30)   ? " line-side"
                                                       : chance(&g->state, 30) ? " load-side"
                                                                               : ""
                                                     : "";
        buf_printf(out, "  run hall.B%u -> B%u%s%s\n", g->parent[b], b, side,
                   g->twice[b] ? " as p" : "");
        if (g->twice[b])
            buf_printf(out, "  run hall.B%u -> B%u%s as q\n", g->parent[b], b, side);
    }
    buf_puts(out, "}\n");
    if (g->sort == GENERATED_TWO_CIRCUITS)
        write_second(out);
}

/* In a box that two circuits reach every device says which is its own. */
static inline void name_circuits(struct generator *g)
{
    struct buf named = {0};
    for (size_t i = 0; i < g->devices[0].n; i++) {
        if (g->devices[0].at[i] == '\n')
            buf_puts(&named, " circuit 1");
        buf_putc(&named, g->devices[0].at[i]);
    }
    buf_puts(&named, "    switch leg second circuit 2\n");
    buf_free(&g->devices[0]);
    g->devices[0] = named;
}

/* Writes the plan of a seed: `boxes` of them, legs of at most `most_switches`. */
static inline void generate_plan(struct buf *out, struct generator *g, uint64_t seed,
                                 enum generated_sort sort, unsigned boxes, unsigned most_switches)
{
    memset(g, 0, sizeof *g);
    g->state = seed;
    g->sort = sort;
    g->boxes = boxes;
    for (unsigned b = 1; b < boxes; b++)
        g->parent[b] = chance(&g->state, 60) ? b - 1
                       : b > 8               ? b - 1 - pick(&g->state, 8)
                                             : pick(&g->state, b);
    for (unsigned b = 1; b < boxes && sort == GENERATED_PARALLEL; b++)
        g->twice[b] = chance(&g->state, 30);
    if (sort == GENERATED_TWO_POLE) {
        generate_two_pole(g);
    } else {
        generate_loads(g);
        for (unsigned i = 0, n = 1 + boxes / 8 + pick(&g->state, 2); i < n; i++)
            generate_leg(g, most_switches, chance(&g->state, 20));
    }
    if (sort != GENERATED_TWO_POLE && sort != GENERATED_MULTIWIRE && chance(&g->state, 50))
        generate_parts(g);
    if (sort == GENERATED_TWO_CIRCUITS)
        name_circuits(g);
    write_boxes(g, out);
    write_circuit(g, out);
    for (unsigned b = 0; b < boxes; b++) {
        buf_free(&g->devices[b]);
        buf_free(&g->capped[b]);
    }
}

#endif

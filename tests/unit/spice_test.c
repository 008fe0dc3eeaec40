/* The made-up circuits asked of a circuit simulator that knows nothing of plans: ngspice, run on
 * the decks of studbay prove --netlist. */
#include "compiled.h"
#include "framing/routes.h"
#include "generate.h"
#include "loads/loads.h"
#include "model/makeup.h"
#include "prove/graph.h"
#include "prove/netlist.h"

#include <math.h>

#if defined(__SANITIZE_ADDRESS__)
enum { PLANS = 8, MOST_DECKS = 8 };
#else
enum { PLANS = 60, MOST_DECKS = 32 };
#endif

enum { MOST_IN_SERIES = 4 };

struct bench {
    struct compilation *c;
    struct graph *g;
    double *ohm;
    uint8_t *at;        /* by switch: its position in the deck at hand */
    uint32_t *rank;     /* by switch: which switch of its circuit it is */
    uint32_t *switches; /* by circuit */
    struct netlist_load *loads;
    uint32_t count;
    char folder[32]; /* of the decks */
    double *volts;   /* of the decks that were run last: by deck, by load */
    uint32_t decks, readings;
};

/* --- running decks ------------------------------------------------------------------------ */

static const char *deck_path(const struct bench *b, uint32_t deck)
{
    return arena_printf(&b->c->arena, "%s/deck%u", b->folder, deck);
}

/* Writes the deck of the positions at hand. */
static void write_deck(struct bench *b, uint32_t deck, bool constant_current)
{
    struct arena scratch = {0};
    struct buf text = {0};
    struct netlist_options o = {.ohm = b->ohm, .at = b->at, .constant_current = constant_current};
    netlist_write(&text, &scratch, b->g, &o);
    FILE *f = fopen(deck_path(b, deck), "w");
    assert_non_null(f);
    assert_int_equal(fwrite(text.at, 1, text.n, f), text.n);
    assert_int_equal(fclose(f), 0);
    buf_free(&text);
    arena_free(&scratch);
}

/* Each line "deck N" is followed by what that deck gives: all of its voltages, or the test fails.
 */
static void read_volts(struct bench *b, FILE *out, uint32_t decks)
{
    char line[256];
    uint32_t deck = 0, begun = 0, found = 0, i;
    double v;
    while (fgets(line, sizeof line, out)) {
        if (sscanf(line, "deck %u", &deck) == 1) {
            assert_int_equal(deck, begun++);
            assert_int_equal(found, deck * b->count);
        } else if (sscanf(line, "v(m%u) = %lf", &i, &v) == 2) {
            assert_true(begun && i == found % b->count && found < begun * b->count);
            b->volts[found++] = v;
        }
    }
    if (found != decks * b->count)
        fprintf(stderr, "ngspice gave %u voltages of %u decks with %u each\n", found, decks,
                b->count);
    assert_int_equal(begun, decks);
    assert_int_equal(found, decks * b->count);
}

/* One ngspice for all decks that were written: to start it takes longer than a deck. */
static void run_decks(struct bench *b, uint32_t decks)
{
    char path[64], command[128];
    snprintf(path, sizeof path, "%s/all", b->folder);
    FILE *all = fopen(path, "w");
    assert_non_null(all);
    fputs("* all decks\n.control\n", all);
    for (uint32_t i = 0; i < decks; i++)
        fprintf(all, "echo deck %u\nsource %s\nremcirc\ndestroy all\n", i, deck_path(b, i));
    fputs(".endc\n.end\n", all);
    assert_int_equal(fclose(all), 0);
    b->volts = arena_array(&b->c->arena, double, (size_t)decks * b->count + 1);
    snprintf(command, sizeof command, "ngspice -b %s 2>/dev/null",
             path); /* its notes would come in the midst of a line */
    FILE *out = popen(command, "r");
    assert_non_null(out);
    read_volts(b, out, decks);
    pclose(out);
    unlink(path);
    for (uint32_t i = 0; i < decks; i++)
        unlink(deck_path(b, i));
    b->decks += decks;
    b->readings += decks * b->count;
}

static void begin_bench(struct bench *b, struct compilation *c)
{
    *b = (struct bench){.c = c, .g = graph_of(&c->arena, c->model, c->makeup)};
    b->ohm = arena_array(&c->arena, double, c->model->runs.n + 1);
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (c->makeup->runs[i].made &&
            c->makeup->runs[i].cable) /* of an old one nothing is known */
            b->ohm[i] = resistance_of_cable(c->model, c->makeup->runs[i].cable) *
                        length_feet(c->routes->of_run[i].electrical) / 1000;
    b->at = arena_array(&c->arena, uint8_t, b->g->switches.n + 1);
    b->rank = arena_array(&c->arena, uint32_t, b->g->switches.n + 1);
    b->switches = arena_array(&c->arena, uint32_t, c->model->circuits.n + 1);
    for (uint32_t i = 0; i < b->g->switches.n; i++)
        b->rank[i] = b->switches[b->g->switches.at[i].part->circuit->id]++;
    b->loads = netlist_loads(&c->arena, b->g, &(struct netlist_options){.ohm = b->ohm, .at = b->at},
                             &b->count);
    strcpy(b->folder, "/tmp/studbay-decks-XXXXXX");
    assert_non_null(mkdtemp(b->folder));
}

static void end_bench(struct bench *b)
{
    assert_int_equal(rmdir(b->folder), 0);
}

/* Positions of all circuits at once: in deck n every circuit stands in the n-th of its own
 * positions; circuits with many switches are sampled. */
static void set_position(struct bench *b, uint32_t n, uint32_t decks)
{
    for (uint32_t i = 0; i < b->g->switches.n; i++) {
        uint32_t k = b->switches[b->g->switches.at[i].part->circuit->id];
        uint64_t state = n;
        uint64_t bits = k < 32 && (1u << k) <= decks ? n : random_number(&state);
        b->at[i] = bits >> (b->rank[i] % 64) & 1;
    }
}

static uint32_t decks_of(const struct bench *b)
{
    uint32_t most = 1;
    for (uint32_t i = 0; i < b->c->model->circuits.n; i++)
        while (most < MOST_DECKS && most < (1u << (b->switches[i] < 16 ? b->switches[i] : 16)))
            most *= 2;
    return most;
}

/* --- what the voltages say ---------------------------------------------------------------- */

/* Which of a leg's two ways its switches stand in, and those of the legs that feed it: a bit each.
 */
static unsigned key_of(const struct bench *b, const struct leg *leg, unsigned *bits)
{
    unsigned key = 0;
    *bits = 0;
    while (leg && *bits < MOST_IN_SERIES) {
        const struct leg *from = NULL;
        unsigned parity = 0;
        for (uint32_t i = 0; i < b->g->switches.n; i++) {
            const struct part *p = b->g->switches.at[i].part;
            if (p->leg != leg)
                continue;
            parity ^= b->at[i];
            from = p->from_leg ? p->from_leg : from;
        }
        key |= parity << (*bits)++;
        leg = from;
    }
    return key;
}

struct seen {
    uint32_t on, off; /* by key: whether the load was seen on, off */
    unsigned bits;
};

/* Off is not quite nothing: two loads of a leg that is off join the neutrals of their boxes, which
 * other loads have parted by some volts. On a multiwire circuit the lighter line may rise a little
 * as the neutral shifts. */
static bool is_on(const struct bench *b, uint32_t deck, uint32_t i)
{
    const struct part *p = b->loads[i].part;
    double volts = b->volts[deck * b->count + i], v = fabs(volts) / p->volts;
    bool clear = v < 0.1 || (v > 0.55 && v < 1.1);
    if (!clear)
        fprintf(stderr, "%s in %s: %.3f V of %g V\n", p->device->def->name, p->device->box->name,
                volts, p->volts);
    assert_true(clear);
    return v > 0.5;
}

static void note_deck(struct bench *b, struct seen *seen, uint32_t *all_on, uint32_t deck)
{
    bool *off = arena_array(&b->c->arena, bool, b->c->model->circuits.n + 1);
    for (uint32_t i = 0; i < b->count; i++) {
        const struct part *p = b->loads[i].part;
        bool on = is_on(b, deck, i);
        if (!on)
            off[p->circuit->id] = true;
        unsigned key = p->leg ? key_of(b, p->leg, &seen[i].bits) : 0;
        *(on ? &seen[i].on : &seen[i].off) |= 1u << key;
    }
    for (uint32_t c = 0; c < b->c->model->circuits.n; c++)
        if (!off[c])
            all_on[c] = deck + 1;
}

/* Unswitched loads always on; those of a leg by its switches' parity alone, on for one parity of
 * two (of each leg that feeds it too). */
static void judge(struct bench *b, const struct seen *seen)
{
    for (uint32_t i = 0; i < b->count; i++) {
        const struct part *p = b->loads[i].part;
        unsigned keys = 1u << seen[i].bits, all = keys >= 32 ? ~0u : (1u << keys) - 1;
        bool right = p->leg ? !(seen[i].on & seen[i].off) : !seen[i].off;
        if (p->leg && (seen[i].on | seen[i].off) == all)
            right &= seen[i].on && !(seen[i].on & (seen[i].on - 1));
        if (!right)
            fprintf(stderr, "%s in %s: on %x off %x\n", p->device->def->name, p->device->box->name,
                    seen[i].on, seen[i].off);
        assert_true(right);
    }
}

static void ask_positions(struct bench *b, uint32_t *all_on)
{
    struct seen *seen = arena_array(&b->c->arena, struct seen, b->count + 1);
    uint32_t decks = decks_of(b);
    for (uint32_t n = 0; n < decks; n++) {
        set_position(b, n, decks);
        write_deck(b, n, false);
    }
    run_decks(b, decks);
    for (uint32_t n = 0; n < decks; n++) {
        set_position(b, n, decks);
        note_deck(b, seen, all_on, n);
    }
    judge(b, seen);
}

/* --- against the drop report -------------------------------------------------------------- */

static const struct drop *drop_at(const struct loads *l, const struct part *p)
{
    for (uint32_t i = 0; i < l->drops.n; i++)
        if (l->drops.at[i].circuit == p->circuit && l->drops.at[i].box == p->device->box)
            return &l->drops.at[i];
    return NULL;
}

/* With all loads of a circuit on and taking their nameplate currents, as the report reckons:
 * voltages within half a percent. The report follows the cables of the tree; a leg that goes on to
 * a switch and comes back loses a little more. */
static uint32_t compare_drops(struct bench *b, const uint32_t *all_on)
{
    uint32_t decks = decks_of(b), compared = 0;
    uint8_t *at = arena_array(&b->c->arena, uint8_t, b->g->switches.n + 1);
    for (uint32_t i = 0; i < b->g->switches.n; i++) {
        uint32_t n = all_on[b->g->switches.at[i].part->circuit->id];
        set_position(b, n ? n - 1 : 0, decks);
        at[i] = b->at[i];
    }
    memcpy(b->at, at, b->g->switches.n);
    write_deck(b, 0, true);
    run_decks(b, 1);
    for (uint32_t i = 0; i < b->count; i++) {
        const struct part *p = b->loads[i].part;
        const struct drop *d = drop_at(b->c->loads, p);
        if (!d || p->load <= 0 || p->circuit->upstream || !all_on[p->circuit->id])
            continue;
        double wanted = p->volts - d->volts, got = fabs(b->volts[i]);
        if (fabs(got - wanted) > 0.005 * p->volts)
            fprintf(stderr, "%s in %s: the simulator gives %.4f V, the report %.4f V\n",
                    p->device->def->name, p->device->box->name, got, wanted);
        assert_true(fabs(got - wanted) <= 0.005 * p->volts);
        compared++;
    }
    return compared;
}

/* --- plans -------------------------------------------------------------------------------- */

static void ask_plan(struct compilation *c, bool drops, uint32_t *decks, uint32_t *readings,
                     uint32_t *compared)
{
    struct bench b;
    assert_non_null(c->makeup);
    begin_bench(&b, c);
    uint32_t *all_on = arena_array(&c->arena, uint32_t, c->model->circuits.n + 1);
    ask_positions(&b, all_on);
    if (drops)
        *compared += compare_drops(&b, all_on);
    *decks += b.decks;
    *readings += b.readings;
    end_bench(&b);
}

static void examples_behave_in_the_simulator(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "examples/studio/studio.bay", "examples/flats/flats.bay", "examples/small/two-places.bay",
        "examples/small/protected-onward.bay", "examples/small/old-box.bay"};
    uint32_t decks = 0, readings = 0, compared = 0;
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        ask_plan(&c, true, &decks, &readings, &compared);
        compile_free(&c);
    }
    printf("examples: %u decks, %u voltages, %u of them compared with the drop report\n", decks,
           readings, compared);
    assert_true(compared > 50);
}

static void random_plans_behave_in_the_simulator(void **state)
{
    (void)state;
    uint32_t decks = 0, readings = 0, compared = 0;
    struct generator *g = malloc(sizeof *g);
    for (unsigned seed = 5000; seed < 5000 + PLANS; seed++) {
        struct buf text = {0};
        uint64_t size = seed;
        unsigned boxes = 2 + pick(&size, 9), switches = 1 + pick(&size, 5);
        generate_plan(&text, g, seed, (enum generated_sort)(seed % GENERATED_COUNT), boxes,
                      switches);
        struct compilation c;
        compile_text(&c, buf_text(&text));
        bool whole = true;
        for (uint32_t i = 0; i < c.model->runs.n; i++)
            whole &= c.makeup->runs[i].made;
        if (whole)
            ask_plan(&c, false, &decks, &readings, &compared);
        compile_free(&c);
        buf_free(&text);
    }
    free(g);
    printf("random plans: %u decks, %u voltages\n", decks, readings);
    assert_true(decks > PLANS);
}

/* Loads on both lines of a circuit and between them draw on it, whichever line they lie on: the
 * losses are those of the drop report. First principles: 12 A at 120 V on 50 ft of 12 AWG and back
 * lose about 2 V. */
static void loads_of_both_lines_draw(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "circuit P.2 { breaker 20 A two-pole; multiwire; run P -> shed.R1 -> R2 -> R3 }\n",
        "circuit P.2 { breaker 20 A two-pole; multiwire; run P -> shed.R1 -> R2; run shed.R1 -> R3 "
        "}\n"};
    uint32_t decks = 0, readings = 0, compared = 0;
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        struct buf text = {0};
        buf_printf(&text,
                   "plan \"Lines\" { edition nec-2023 }\n"
                   "room shed { kind storage; size 60' by 12'\n"
                   "  box R1 north at 10' { receptacle pole a 900 W }\n"
                   "  box R2 north at 40' { receptacle pole b 1440 W }\n"
                   "  box R3 south at 10' { receptacle pole b 600 W }\n}\n"
                   "panel P { in shed west at 4' up 5'; main 60 A; spaces 8 }\n%s",
                   plans[i]);
        compile_text(&c, buf_text(&text));
        ask_plan(&c, true, &decks, &readings, &compared);
        compile_free(&c);
        buf_free(&text);
    }
    assert_int_equal(compared, 6);
}

/* What a plan has in its texts stands in comments of the deck, and nowhere at the beginning of a
 * line: a simulator runs commands of the shell. */
static void no_line_of_the_deck_begins_with_what_the_plan_wrote(void **state)
{
    (void)state;
    static const char text[] =
        "plan \"shed\\n.control\\nshell true\\n.endc\\n+ \" { edition nec-2023; note \"n\\n.end\" "
        "}\n"
        "room shed \"r\\n.control\" { kind storage; size 14' by 10'\n"
        "  box S1 \"b\\nshell x\" west at 2' { switch leg l \"d\\nshell y\" }\n"
        "  box R1 west at 3' { receptacle leg l \"e\\n.end\" }\n}\n"
        "panel P \"p\\n.end\" { in shed east at 3' up 5'; main 60 A; spaces 8 }\n"
        "leg l \"f\\n.end\"\n"
        "circuit P.1 \"c\\n.end\" { breaker 20 A; run P -> shed.S1 -> R1; }\n";
    struct compilation c;
    struct bench b;
    struct buf deck = {0};
    compile_text(&c, text);
    begin_bench(&b, &c);
    netlist_write(&deck, &c.arena, b.g, &(struct netlist_options){.ohm = b.ohm, .at = b.at});
    unsigned lines = 0, ends = 0;
    char *save = NULL;
    for (char *line = strtok_r((char *)buf_text(&deck), "\n", &save); line;
         line = strtok_r(NULL, "\n", &save)) {
        bool known = strchr("*VREI", *line) || !strcmp(line, ".options rshunt=1e12") ||
                     !strcmp(line, ".control") || !strcmp(line, "set numdgt=9") ||
                     !strcmp(line, "op") || !strncmp(line, "print v(m", 9) ||
                     !strcmp(line, ".endc") || !strcmp(line, ".end");
        ends += !strcmp(line, ".control") || !strcmp(line, ".endc") || !strcmp(line, ".end");
        assert_true(known);
        lines++;
    }
    assert_true(lines > 20);
    assert_int_equal(ends, 3);
    end_bench(&b);
    buf_free(&deck);
    compile_free(&c);
}

/* The same plan gives the same bytes. */
static void decks_are_the_same_each_time(void **state)
{
    (void)state;
    struct buf decks[2] = {{0}, {0}};
    for (int i = 0; i < 2; i++) {
        struct compilation c;
        struct bench b;
        compile(&c, "examples/studio/studio.bay",
                (struct compile_options){.library = plan_library()});
        begin_bench(&b, &c);
        netlist_write(&decks[i], &c.arena, b.g,
                      &(struct netlist_options){.ohm = b.ohm, .at = b.at});
        end_bench(&b);
        compile_free(&c);
    }
    assert_string_equal(buf_text(&decks[0]), buf_text(&decks[1]));
    buf_free(&decks[0]);
    buf_free(&decks[1]);
}

/* A circuit of which the proof says nothing has no line in the deck but the one that says so. */
static void what_the_proof_leaves_out_is_in_no_deck(void **state)
{
    (void)state;
    struct compilation c;
    struct bench b;
    compile_text(&c, "plan \"Two\" { edition nec-2023 }\n"
                     "room shed { kind workshop; size 14' by 14'\n"
                     "  box S0 south at 3' up 16\" { receptacle-gfci pole a onward }\n"
                     "  box R1 south at 5' up 16\" { receptacle pole b }\n"
                     "  box R2 north at 5' up 16\" { receptacle }\n}\n"
                     "panel P { in shed west at 7' up 5'; main 100 A; spaces 12 }\n"
                     "circuit P.1 { breaker 20 A two-pole; multiwire; run P -> shed.S0 -> R1 }\n"
                     "circuit P.2 { breaker 20 A; run P -> shed.R2 }\n");
    begin_bench(&b, &c);
    struct buf deck = {0}, whole = {0};
    struct netlist_options o = {.ohm = b.ohm, .at = b.at};
    netlist_write(&whole, &c.arena, b.g, &o);
    o.verdict = c.verdict;
    netlist_write(&deck, &c.arena, b.g, &o);
    assert_non_null(strstr(buf_text(&whole), "shed.R1"));
    assert_non_null(strstr(buf_text(&deck), "* left out: circuit P1/3, the receptacle-gfci"));
    assert_null(strstr(buf_text(&deck), "run P -> shed.S0"));
    assert_null(strstr(buf_text(&deck), "receptacle in shed.R1,"));
    assert_null(strstr(buf_text(&deck), "V0_"));
    assert_non_null(strstr(buf_text(&deck), "receptacle in shed.R2"));
    end_bench(&b);
    buf_free(&deck);
    buf_free(&whole);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(examples_behave_in_the_simulator),
        cmocka_unit_test(random_plans_behave_in_the_simulator),
        cmocka_unit_test(loads_of_both_lines_draw),
        cmocka_unit_test(no_line_of_the_deck_begins_with_what_the_plan_wrote),
        cmocka_unit_test(decks_are_the_same_each_time),
        cmocka_unit_test(what_the_proof_leaves_out_is_in_no_deck),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

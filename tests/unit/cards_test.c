/* Printed make-up cards, read and followed: boxes that many cables reach from one place, random
 * plans, the examples; and the words for tabs. */
#include "cards.h"
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/reports/reports.h"
#include "generate.h"

/* --- plans -------------------------------------------------------------------------------- */

/* Boxes that many cables reach from the same place: circuits by number and by name, some of them
 * old, two cables side by side with and without names, split receptacles on all of them. */
static void write_crowded(struct buf *out, uint64_t seed)
{
    static const char *const names[] = {"1", "3", "kitchen-north", "kitchen-south", "7", "9"};
    static const char *const leg_words[] = {" leg l0", " leg l1", " leg l2",
                                            " leg l3", " leg l4", " leg l5"};
    uint64_t s = seed;
    unsigned circuits = 1 + pick(&s, 6);
    bool far = chance(&s, 50), same_name = chance(&s, 30);
    buf_printf(out,
               "plan \"Crowded\" { language 1; edition nec-2023 }\n"
               "room a \"A\" {\n  kind storage\n  size 20' by 12'\n  box W1 north at 3' up 48\" { "
               "gangs 6%s\n",
               chance(&s, 20) ? "; existing; type square-large-2-1-8-deep" : "");
    bool leg[6] = {false}, two[6] = {false};
    for (unsigned i = 0; i < circuits; i++) {
        const char *n = names[i], *b = names[pick(&s, circuits)];
        unsigned what = pick(&s, 5);
        leg[i] = what == 0 || what > 2;
        two[i] = what == 4;
        if (what == 0)
            buf_printf(out, "    switch leg l%u circuit %s\n", i, n);
        else if (what == 1)
            buf_printf(out, "    receptacle { half circuit %s; half circuit %s }\n", n, b);
        else if (what == 2)
            buf_printf(out, "    receptacle circuit %s\n", n);
        else if (what == 3)
            buf_printf(out, "    switch-receptacle circuit %s { switch leg l%u; receptacle%s }\n",
                       n, i, chance(&s, 50) ? leg_words[i] : "");
        else
            buf_printf(out, "    duplex-switch circuit %s { switch leg l%u; switch leg m%u }\n", n,
                       i, i);
    }
    buf_printf(out, "  }\n  box %s east at 3' up 48\" { receptacle }\n", same_name ? "P" : "W2");
    for (unsigned i = 0; i < circuits; i++) {
        buf_printf(out, "  box L%u overhead at %u', 6' { luminaire", i, 2 + 3 * i);
        if (leg[i])
            buf_printf(out, " leg l%u", i);
        buf_puts(out, " 20 W");
        if (two[i])
            buf_printf(out, "; luminaire leg m%u 20 W", i);
        buf_puts(out, " }\n");
    }
    buf_printf(out, "}\npanel P \"P\" { in a south at 3' up 5'; main 100 A; spaces 24 }\n");
    for (unsigned i = 0; i < circuits; i++) {
        buf_printf(out, "circuit P.%s \"C%u\" { breaker 20 A%s%s; run P -> a.W1%s -> L%u", names[i],
                   i, i < 2 ? " tied" : "", chance(&s, 15) ? "; existing" : "",
                   chance(&s, 2) ? " -> L9" : "", i);
        if (i == 0 && chance(&s, 50))
            buf_printf(out, "; run a.W1 -> %s cable %s%s", same_name ? "P" : "W2",
                       chance(&s, 50) ? "12/2 + 12/2" : "12/2", far ? " as spare-way" : "");
        else if (i == 0)
            buf_printf(out, "; run a.W1 -> %s%s; run a.W1 -> %s%s", same_name ? "P" : "W2",
                       far ? " as one" : "", same_name ? "P" : "W2",
                       far && chance(&s, 50) ? " as two" : "");
        buf_puts(out, " }\n");
    }
}

static void read_compiled(struct compilation *c, struct cards_read *read)
{
    struct buf why = {0};
    bool holds = cards_hold(c, read, &why);
    if (!holds)
        fprintf(stderr, "%s\n", buf_text(&why));
    assert_true(holds);
    buf_free(&why);
    compile_free(c);
}

static void read_text(struct cards_read *read, const char *plan)
{
    struct compilation c;
    compile_text(&c, plan);
    read_compiled(&c, read);
}

static void crowded_boxes_are_made_up_by_their_cards(void **state)
{
    (void)state;
    struct cards_read x = {0};
    for (uint64_t seed = 0; seed < 300; seed++) {
        struct buf text = {0};
        write_crowded(&text, seed);
        read_text(&x, buf_text(&text));
        buf_free(&text);
    }
    printf("crowded: %u boxes, %u of them not proven, %u lines, %u with a label, %u tabs\n",
           x.boxes, x.unproven, x.lines, x.labels, x.tabs);
    assert_true(x.boxes - x.unproven > 400 && x.labels > 500 && x.tabs > 150);
}

static void random_plans_are_made_up_by_their_cards(void **state)
{
    (void)state;
    struct cards_read x = {0};
    struct generator *g = malloc(sizeof *g);
    for (unsigned seed = 0; seed < 420; seed++) {
        struct buf text = {0};
        uint64_t size = seed * 7919 + 3;
        unsigned boxes = 2 + pick(&size, 11), switches = 1 + pick(&size, 6);
        generate_plan(&text, g, seed, (enum generated_sort)(seed % GENERATED_COUNT), boxes,
                      switches);
        read_text(&x, buf_text(&text));
        buf_free(&text);
    }
    free(g);
    printf("random: %u boxes, %u of them not proven, %u lines, %u with a label, %u tabs\n", x.boxes,
           x.unproven, x.lines, x.labels, x.tabs);
    assert_true(x.boxes > 2000 && x.lines > 5000 && x.tabs > 100);
}

static void examples_are_made_up_by_their_cards(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "examples/studio/studio.bay",    "examples/flats/flats.bay",
        "docs/wiring/two-circuits.bay",  "docs/wiring/parallel.bay",
        "docs/wiring/half-switched.bay", "examples/small/two-places.bay"};
    struct cards_read x = {0};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        read_compiled(&c, &x);
    }
    assert_true(x.boxes > 100 && x.labels > 3);
}

/* The words that an electrician looks for. */
static void tabs_are_told(void **state)
{
    (void)state;
    static const struct {
        const char *devices, *circuit, *words;
    } cases[] = {
        {"receptacle { half leg x; half }; switch leg x", "breaker 20 A",
         "break the tab: hot side of receptacle (neutral side stays, half 1 is the upper)"},
        {"receptacle half leg x; switch leg x", "breaker 20 A",
         "break the tab: hot side of receptacle (neutral side stays"},
        {"receptacle { half pole a; half pole b }", "breaker 20 A two-pole; multiwire",
         "break the tab: hot side of receptacle (neutral side stays"},
        {"receptacle { half; half }", "breaker 20 A", "leave the tab: both sides of receptacle"},
        {"duplex-switch { switch leg x; switch leg y }; luminaire leg x; luminaire leg y",
         "breaker 20 A", "leave the tab: line side of duplex-switch"},
        {"switch-receptacle { switch leg x; receptacle }; luminaire leg x", "breaker 20 A",
         "leave the tab: line to hot of switch-receptacle"},
        {"switch-receptacle { switch leg x; receptacle leg x }", "breaker 20 A",
         "break the tab: line to hot of switch-receptacle"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        struct results r;
        struct buf text = {0}, out = {0};
        buf_printf(
            &text,
            "plan \"Tab\" { language 1; edition nec-2023 }\nroom a \"A\" { kind storage; "
            "size 12' by 10'; box R1 north at 3' up 4' { %s } }\npanel P \"P\" { in a south "
            "at 3' up 5'; main 100 A; spaces 12 }\ncircuit P.1 \"A\" { %s; run P -> a.R1 }\n",
            cases[i].devices, cases[i].circuit);
        compile_sound(&c, buf_text(&text));
        assert_true(cmd_results(&c, &r));
        report_write(report_named("makeup"), &r, REPORT_CSV, &out);
        if (!strstr(buf_text(&out), cases[i].words))
            fprintf(stderr, "no \"%s\" in\n%s", cases[i].words, buf_text(&out));
        assert_non_null(strstr(buf_text(&out), cases[i].words));
        out.n = 0;
        for (int k = 0; k < 2; k++)
            report_write(report_named(k ? "trim" : "test"), &r, REPORT_CSV, &out);
        bool broken = !strncmp(cases[i].words, "break", 5);
        assert_int_equal(strstr(buf_text(&out), "break the tab") != NULL, broken);
        compile_free(&c);
        buf_free(&text);
        buf_free(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(crowded_boxes_are_made_up_by_their_cards),
        cmocka_unit_test(random_plans_are_made_up_by_their_cards),
        cmocka_unit_test(examples_are_made_up_by_their_cards),
        cmocka_unit_test(tabs_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Plans with more of a thing than a small count or a short list holds: all of them are there, or
 * `limit` tells it at its place. Run from the top of the tree. */
#include "compiled.h"
#include "wiring/wiring.h"

static const char head[] = "plan \"Carriage house\" { edition nec-2023 }\n"
                           "panel P { in h west at 2' up 5'; main 200 A; spaces 42 }\n";

/* A text of parts that are printed one behind the other. */
static void compile_buf(struct compilation *c, struct buf *b)
{
    compile_text(c, buf_text(b));
    buf_free(b);
}

static int by_circuit_and_name(const void *a, const void *b)
{
    const struct net *x = *(struct net *const *)a, *y = *(struct net *const *)b;
    return x->circuit != y->circuit ? (x->circuit > y->circuit) - (x->circuit < y->circuit)
                                    : strcmp(x->name, y->name);
}

/* --- wiring ------------------------------------------------------------------------------- */

static void travelers_of_a_long_leg_have_names_of_their_own(void **state)
{
    (void)state;
    enum { SWITCHES = 300 };
    struct buf b = {0};
    buf_printf(&b, "%sroom h {\n  kind storage\n  size %d' by 10'\n", head, 2 * SWITCHES + 8);
    for (int i = 1; i <= SWITCHES; i++)
        buf_printf(&b, "  box S%d south at %d' up 48\" { switch leg l }\n", i, 2 * i);
    buf_puts(&b, "  box L overhead at 4', 5' { luminaire leg l 10 W }\n}\n"
                 "circuit P.1 \"Long\" {\n  breaker 15 A\n  run P -> h.S1\n");
    for (int i = 2; i <= SWITCHES; i++)
        buf_printf(&b, "  run h.S%d -> S%d\n", i - 1, i);
    buf_printf(&b, "  run h.S%d -> L\n}\n", SWITCHES);
    struct compilation c;
    compile_buf(&c, &b);
    assert_non_null(c.wiring);
    struct net **nets = c.wiring->nets.at;
    uint32_t n = c.wiring->nets.n, travelers = 0;
    qsort(nets, n, sizeof *nets, by_circuit_and_name);
    for (uint32_t i = 0; i < n; i++) {
        travelers += nets[i]->sort == N_TRAVELER;
        if (i && !by_circuit_and_name(&nets[i - 1], &nets[i]))
            fail_msg("two nets are called %s", nets[i]->name);
    }
    assert_int_equal(travelers, 2 * (SWITCHES - 1));
    compile_free(&c);
}

/* A box that each of 300 runs feeds, and a receptacle that hangs on the last of them. */
static void a_thing_hangs_on_the_run_that_it_names(void **state)
{
    (void)state;
    enum { RUNS = 300 };
    struct buf b = {0};
    buf_printf(&b,
               "%sroom h {\n  kind storage\n  size 20' by 10'\n  box J south at 4' { receptacle "
               "by r%d }\n}\ncircuit P.1 \"Many\" {\n  breaker 15 A\n",
               head, RUNS);
    for (int i = 1; i <= RUNS; i++)
        buf_printf(&b, "  run P -> h.J as r%d\n", i);
    buf_puts(&b, "}\n");
    struct compilation c;
    compile_buf(&c, &b);
    char last[16];
    snprintf(last, sizeof last, "r%d", RUNS);
    unsigned fed = 0;
    for (uint32_t i = 0; i < c.wiring->terminals.n; i++) {
        const struct run *feed = c.wiring->terminals.at[i].feed;
        assert_non_null(feed);
        assert_string_equal(feed->label, last);
        fed++;
    }
    assert_true(fed > 0);
    compile_free(&c);
}

/* Fifteen switched lights and their neutral in one cable of sixteen: each net has a conductor, no
 * switched one is white, and it is done at once. */
static void a_full_cable_of_sixteen_is_coloured(void **state)
{
    (void)state;
    enum { LEGS = 15 };
    struct buf b = {0};
    buf_printf(&b,
               "%scable 14/15 {\n  family nm\n  conductors black red blue black-red black-blue "
               "red-black red-blue blue-black blue-red black-white red-white blue-white "
               "black-yellow red-yellow blue-yellow white\n  size 14\n  ground bare\n  diameter "
               "1\"\n}\nroom h {\n  kind storage\n  size 40' by 10'\n",
               head);
    for (int box = 0; box < 2; box++) {
        buf_puts(&b, box ? "  box L overhead at 4', 5' {\n" : "  box S south at 4' up 48\" {\n");
        for (int i = 1; i <= LEGS; i++)
            buf_printf(&b, "    %s leg l%d%s\n", box ? "luminaire" : "switch", i,
                       box ? " 5 W" : "");
        buf_puts(&b, "  }\n");
    }
    buf_puts(&b, "}\ncircuit P.1 \"Lights\" {\n  breaker 15 A\n  run P -> h.S cable 14/2\n"
                 "  run h.S -> L cable 14/15\n}\n");
    struct compilation c;
    compile_buf(&c, &b);
    const struct run_wiring *w = &c.wiring->of_run[1];
    assert_int_equal(w->count, LEGS + 1);
    assert_int_equal(w->used, LEGS + 1);
    for (uint8_t i = 0; i < w->count; i++)
        assert_int_equal(w->conductors[i].net->sort,
                         strcmp(w->conductors[i].color, "white") ? N_LEG : N_NEUTRAL);
    compile_free(&c);
}

/* --- the model ---------------------------------------------------------------------------- */

static void a_room_keeps_all_its_kinds(void **state)
{
    (void)state;
    enum { KINDS = 256 };
    struct buf b = {0};
    buf_printf(&b, "%sroom h {\n  kind", head);
    for (int i = 0; i < KINDS; i++)
        buf_puts(&b, " storage");
    buf_puts(&b, "\n  size 20' by 10'\n}\n");
    struct compilation c;
    compile_buf(&c, &b);
    assert_int_equal(c.model->rooms.at[0]->kind_count, KINDS);
    compile_free(&c);
}

static void more_circuits_than_sixteen_reach_a_box(void **state)
{
    (void)state;
    enum { CIRCUITS = 40 };
    struct buf b = {0};
    buf_printf(&b,
               "%sroom h {\n  kind storage\n  size 20' by 10'\n  box J south at 4' { receptacle "
               "circuit c%d; receptacle }\n}\n",
               head, CIRCUITS);
    for (int i = 1; i <= CIRCUITS; i++)
        buf_printf(&b, "circuit P.c%d \"Circuit\" { breaker 15 A; run P -> h.J }\n", i);
    struct compilation c;
    compile_buf(&c, &b);
    assert_int_equal(findings_of(&c, "unknown-name"), 0);
    const struct part *first = &c.model->boxes.at[0]->devices[0]->parts[0];
    assert_non_null(first->circuit);
    assert_string_equal(first->circuit->name, "c40");
    assert_int_equal(findings_of(&c, "device-needs-circuit"), 1);
    assert_non_null(strstr(finding_of(&c, "device-needs-circuit", 0)->message,
                           "P.c15, P.c16 and 24 more reach h.J"));
    compile_free(&c);
}

/* A number of things that none has is told where it is written, and counts as not written. */
static void numbers_out_of_bounds_are_told(void **state)
{
    (void)state;
    static const struct {
        const char *clause, *said; /* NULL: it is taken */
    } cases[] = {
        {"gangs 12", NULL},
        {"gangs 13", "gangs is counted from 0 to 12 here"},
        {"gangs 256", "gangs is counted from 0 to 12 here"},
        {"gangs -1", "gangs is counted from 0 to 12 here"},
        {"holds 3 of 14", NULL},
        {"holds 10001 of 14", "holds is counted from 0 to 10000 here"},
        {"holds -3 of 14", "holds is counted from 0 to 10000 here"},
        {"grounds 999999999", "grounds is counted from 0 to 10000 here"},
        {"terminal-blocks -2", "terminal-blocks is counted from 0 to 10000 here"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct buf b = {0};
        buf_printf(&b,
                   "%sroom h {\n  kind storage\n  size 20' by 10'\n  box J south at 4' existing { "
                   "%s }\n}\n",
                   head, cases[i].clause);
        struct compilation c;
        compile_buf(&c, &b);
        const struct finding *f = finding_of(&c, "limit", 0);
        assert_int_equal(findings_of(&c, "limit"), cases[i].said != NULL);
        if (f) {
            assert_string_equal(f->message, cases[i].said);
            assert_memory_equal(f->span.source->bytes + f->span.off, cases[i].clause,
                                strlen(cases[i].clause));
        }
        const struct box *box = c.model->boxes.at[0];
        assert_int_equal(box->gangs, strcmp(cases[i].clause, "gangs 12") ? 0 : 12);
        compile_free(&c);
    }
}

/* A hole at a height where the wall has a plate is in no stud. */
static void holes_are_in_studs(void **state)
{
    (void)state;
    static const struct {
        const char *level;
        bool told;
    } cases[] = {{"ceiling 8'; bore 2'", false},    {"ceiling 8'; bore 7'-8\"", false},
                 {"ceiling 8'; bore 2\"", false},   {"ceiling 8'", false},
                 {"ceiling 8'; bore 1\"", true},    {"ceiling 8'; bore 1-1/2\"", true},
                 {"ceiling 8'; bore 0\"", true},    {"ceiling 8'; bore 7'-9\"", true},
                 {"ceiling 8'; bore 12'", true},    {"ceiling 2'-6\"; bore 2'-4\"", true},
                 {"ceiling 2'-6\"; bore 1'", false}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[200];
        struct compilation c;
        snprintf(text, sizeof text, "plan \"Holes\" { edition nec-2023 }\nlevel a { %s }\n",
                 cases[i].level);
        compile_text(&c, text);
        if (findings_of(&c, "limit") != cases[i].told)
            fail_msg("%s", cases[i].level);
        assert_int_equal(c.diag.counts[ERROR], cases[i].told);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(holes_are_in_studs),
        cmocka_unit_test(travelers_of_a_long_leg_have_names_of_their_own),
        cmocka_unit_test(a_thing_hangs_on_the_run_that_it_names),
        cmocka_unit_test(a_full_cable_of_sixteen_is_coloured),
        cmocka_unit_test(a_room_keeps_all_its_kinds),
        cmocka_unit_test(more_circuits_than_sixteen_reach_a_box),
        cmocka_unit_test(numbers_out_of_bounds_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

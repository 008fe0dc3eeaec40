/* What is left of an ampacity where it is hot and where cables lie together, against published
 * answers. */
#include "compiled.h"
#include "facts/conductors.h"
#include "framing/routes.h"
#include "wiring/wiring.h"

#define HEAD "plan \"Test\" { edition nec-2023 }\n"

static void assert_amps(double amps, double wanted)
{
    assert_true(fabs(amps - wanted) < 0.05);
}

static double amps_of(struct compilation *c, const char *name, int column, struct lying lying)
{
    const struct cable_def *cable = library_cable(&c->lib, names_of(&c->names, name));
    assert_non_null(cable);
    return facts_ampacity_at(c->model, cable, column, &lying);
}

/* Engineers' forums on Table 310.15(B)(1) (2017: (B)(2)(a)): 12 AWG of 90 C at 55 C has 76 % of 30
 * A (https://engineerboards.com/threads/nec-table-310-15-b-2-a-and-b.27269), a 75 C conductor at 39
 * C has 88 % (https://engineerboards.com). Four 12-2 lie together: 30 A at 70 % is 21 A
 * (https://forums.mikeholt.com/goto/post?id=2698206); four conductors in a raceway: 24 A
 * (https://forums.mikeholt.com/threads/derating-adjusment.111900/post-1752128). */
static void published_answers(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c,
                 HEAD "cable 4/2-warm { size 4; conductors black white; rated 75 C; metal copper; "
                      "family nm; ground bare }\n"
                      "room a { kind workshop; size 10' by 10' }\n");
    assert_amps(amps_of(&c, "12/2-mc", 90, (struct lying){1, 55, "attic"}), 22.8);
    assert_amps(amps_of(&c, "4/2-warm", 75, (struct lying){1, 39, "attic"}), 0.88 * 85);
    assert_amps(amps_of(&c, "12/2", 90, (struct lying){.beside = 0.7}), 21);
    assert_amps(amps_of(&c, "12/2", 60, (struct lying){.beside = 0.7}), 20); /* 334.80 */
    assert_amps(amps_of(&c, "12/2", 90, (struct lying){.beside = 0.8}), 24);
    assert_amps(amps_of(&c, "12/2", 60, (struct lying){1, -10, "shed"}), 20);
    assert_true(amps_of(&c, "12/2-uf", 60, (struct lying){1, 60, "attic"}) < 0);
    compile_free(&c);
}

/* A run of 12/2-uf, 20 A at 60 C, through a hot room; `%s`: the air, and how far it goes in. */
static unsigned hot(const char *air, const char *far)
{
    static const char plan[] =
        HEAD "room a { kind workshop; corner 0', 0'; size 60' by 10' }\n"
             "room b { kind workshop; corner 60'-4 1/2\", 0'; size 40' by 10'\n%s\n"
             "box R south at %s { receptacle } }\n"
             "panel P { in a south at 58' up 5'; main 100 A; spaces 8 }\n"
             "circuit P.2 { breaker 20 A; run P -> b.R cable 12/2-uf via studs }\n";
    char text[1000];
    snprintf(text, sizeof text, plan, air, far);
    return errors_in(text, "conductor-undersized");
}

static void heat_is_that_of_the_hottest_room(void **state)
{
    (void)state;
    assert_int_equal(hot("", "2'"), 0);
    assert_int_equal(hot("ambient 86 F", "2'"), 0);
    assert_int_equal(hot("ambient 30 C", "2'"), 0);
    assert_int_equal(hot("ambient 60 F", "2'"), 0);
    assert_int_equal(hot("ambient 113 F", "2'"), 1); /* 71 % of 20 A, and the next size is 15 A */
    assert_int_equal(hot("ambient 45 C", "2'"), 1);
}

/* The exception of 310.14(A)(2): no longer than 10 ft, and no longer than a tenth of the circuit.
 */
static void short_parts_do_not_count(void **state)
{
    (void)state;
    static const char plan[] =
        HEAD "room a { kind workshop; corner 0', 0'; size 60' by 10' }\n"
             "room b { kind workshop; corner 60'-4 1/2\", 0'; size 40' by 10'\nambient 120 F\n"
             "box R south at %s { receptacle } }\n"
             "panel P { in a south at 58' up 5'; main 100 A; spaces 8 }\n"
             "circuit P.2 { breaker 20 A; run P -> b.R cable 12/2-uf via studs }\n";
    static const struct {
        const char *far;
        unsigned wanted;
    } cases[] = {{"38'", 0}, {"37'", 0}, {"30'", 1}, {"2'", 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text, plan, cases[i].far);
        unsigned n = errors_in(text, "conductor-undersized");
        if (n != cases[i].wanted)
            fprintf(stderr, "at %s: %u\n", cases[i].far, n);
        assert_int_equal(n, cases[i].wanted);
    }
}

/* `count` home runs up the bay over a panel, in rooms that are `high`. */
static void home_runs(struct buf *b, unsigned count, const char *high, const char *cable)
{
    buf_printf(b, HEAD "level main { ceiling %s }\nroom w { kind workshop; size 40' by 30'\n",
               high);
    for (unsigned i = 0; i < count; i++)
        buf_printf(b, "box R%u south at %u' { receptacle }\n", i + 1, 2 + 3 * i);
    buf_printf(b, "}\npanel P { in w north at 20'-8\" up 5'; main 100 A; spaces 40 }\n");
    for (unsigned i = 0; i < count; i++)
        buf_printf(b, "circuit P.%u { breaker 20 A; run P -> w.R%u%s via overhead }\n", i + 1,
                   i + 1, cable);
}

static unsigned bundled(unsigned count, const char *high, const char *cable)
{
    struct buf b = {0};
    home_runs(&b, count, high, cable);
    unsigned n = errors_in(buf_text(&b), "bundled-cables");
    buf_free(&b);
    return n;
}

/* Four on each stud have 21 A, five have 15 A; over a panel under a usual ceiling they lie together
 * for less than 24 in., under a higher one for less than a tenth of their circuits. */
static void home_runs_lie_together(void **state)
{
    (void)state;
    assert_int_equal(bundled(8, "18'", " cable 12/2"), 0);
    assert_int_equal(bundled(9, "18'", " cable 12/2"), 1);
    assert_int_equal(bundled(10, "18'", " cable 12/2"), 2);
    assert_int_equal(bundled(10, "8'", " cable 12/2"), 0);
    assert_int_equal(bundled(10, "9'", " cable 12/2"), 0);
    assert_int_equal(bundled(10, "18'", ""), 0);
    /* held apart they are no bundle (common trade practice) */
    assert_int_equal(bundled(10, "18'", " cable 12/2 spaced"), 0);
    assert_int_equal(bundled(10, "18'", " cable 12/2 spaced no"), 2);
}

static void what_is_chosen_is_large_enough(void **state)
{
    (void)state;
    struct compilation c;
    struct buf b = {0};
    home_runs(&b, 10, "18'", "");
    compile_text(&c, buf_text(&b));
    for (uint32_t i = 0; i < c.model->runs.n; i++)
        assert_string_equal(c.wiring->of_run[i].cable->name, "10/2");
    assert_int_equal(findings_of(&c, "bundled-cables"), 2); /* a note for each stud */
    compile_free(&c);
    buf_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(published_answers),
        cmocka_unit_test(heat_is_that_of_the_hottest_room),
        cmocka_unit_test(short_parts_do_not_count),
        cmocka_unit_test(home_runs_lie_together),
        cmocka_unit_test(what_is_chosen_is_large_enough),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* What lies open: NFPA 70 334.15(C) (running boards under joists) and 320.23(A), to which 334.23
 * sends (guard strips in attics), and what holds cable to concrete: straps and anchors, which
 * nobody staples (common trade practice). */
#include "compiled.h"
#include "framing/routes.h"
#include "model/power.h"

#define CELLAR                                                                                     \
    "plan \"Open\" { edition nec-2023 }\n"                                                         \
    "level low { floor -8'; ceiling 7'-6\"; below-grade; slab }\nlevel high { floor 1' }\n"        \
    "level roof { floor 10'; ceiling 6' }\n"                                                       \
    "room cellar { on low; kind basement; corner 0', 0'; size 14' by 10'; %s\n"                    \
    "box R1 north at 7' { receptacle-gfci-20 }\nbox J1 overhead at 4', 3' { cover blank }\n"       \
    "box J2 overhead at 4', 8' { cover blank } }\n"                                                \
    "room attic { on roof; kind attic; corner 0', 0'; size 14' by 10'\n"                           \
    "box J1 floor at 4', 3' { cover blank }\nbox J2 floor at 4', 8' { cover blank } }\n"           \
    "panel P { in cellar south at 3' up 5'; main 60 A; spaces 8 }\n"                               \
    "circuit P.1 { breaker 20 A; run P -> cellar.R1 %s }\n"                                        \
    "circuit P.3 { breaker 20 A; run P -> cellar.J1; run cellar.J1 -> J2 %s }\n"                   \
    "circuit P.5 { breaker 20 A; run P -> attic.J1; run attic.J1 -> J2 %s }\n"

static void compile_cellar(struct compilation *c, const char *room, const char *first,
                           const char *under, const char *attic)
{
    char text[3000];
    assert_true(snprintf(text, sizeof text, CELLAR, room, first, under, attic) < (int)sizeof text);
    compile_text(c, text);
    if (findings_of(c, "syntax"))
        show_compiled(c);
    assert_int_equal(findings_of(c, "syntax"), 0);
}

/* The joists run east, and both runs go north. */
static void boards_and_strips(void **state)
{
    (void)state;
    static const struct {
        const char *under, *attic;
        unsigned found;
    } cases[] = {
        {"", "", 0},
        {"exposed", "", 1},
        {"exposed running-board", "", 0},
        {"running-board", "", 0},
        {"running-board no exposed", "", 1},
        {"exposed guard-strips", "", 1},
        {"", "exposed", 1},
        {"", "guard-strips", 0},
        {"", "exposed guard-strips", 0},
        {"", "exposed running-board", 1},
        {"exposed", "exposed", 2},
        {"running-board", "guard-strips", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        compile_cellar(&c, "", "", cases[i].under, cases[i].attic);
        if (findings_of(&c, "exposed-cable") != cases[i].found) {
            show_compiled(&c);
            fail_msg("'%s', '%s'", cases[i].under, cases[i].attic);
        }
        compile_free(&c);
    }
}

static const struct route *route_to_receptacle(const struct compilation *c)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (!strcmp(c->model->runs.at[i]->to.box->name, "R1"))
            return &c->routes->of_run[i];
    return NULL;
}

/* From the panel up in its bay, across the joists and down the concrete to the box: 22'-8", of
 * which the last 6'-2" are on the wall. Supports at 12 in., every 54 in. from there, and 12 in.
 * before the box: those at 228 and at 260 in. are on the wall. On studs there is none; nor is there
 * one where the finish of all is wood. */
static void anchors_into_concrete(void **state)
{
    (void)state;
    static const struct {
        const char *room, *run;
        unsigned anchors;
    } cases[] = {
        {"wall north concrete", "running-board", 2},
        {"wall north concrete furred 2x4 at 16\"", "running-board", 0},
        {"", "running-board", 0},
        {"wall north concrete", "in emt-1/2", 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        compile_cellar(&c, cases[i].room, cases[i].run, "", "");
        const struct route *r = route_to_receptacle(&c);
        if (r->anchors != cases[i].anchors)
            fail_msg("%s, %s: %u of %u anchors, %u are wanted", cases[i].room, cases[i].run,
                     r->anchors, r->supports, cases[i].anchors);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(boards_and_strips),
        cmocka_unit_test(anchors_into_concrete),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* What floors are made of: a floor in the ground that nobody called concrete or wood is asked about
 * where something would be bored in it (common trade practice: the floor of a cellar is a slab more
 * often than not), and joists under a floor are those that are said. */
#include "compiled.h"
#include "framing/routes.h"

static const char plan[] = "plan \"Floors\" { edition nec-2023 }\n"
                           "level low { %s }\nlevel high { floor 1' }\n%s\n"
                           "room den { on low; kind storage; size 16' by 12'; corner 0', 0'; %s\n"
                           "box R1 west at 4' { receptacle }\nbox R2 east at 4' { receptacle }\n"
                           "box F1 floor at 8', 6' { receptacle } }\n"
                           "panel P { in den south at 4' up 5'; main 100 A; spaces 20 }\n"
                           "circuit P.1 { breaker 20 A; run P -> den.R1 %s; run den.R1 -> R2 %s }\n"
                           "circuit P.3 { breaker 20 A; %s }\n";

static unsigned asked(const struct compilation *c)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        n += strstr(c->diag.findings.at[i].message, "does not say whether its floor is") != NULL;
    return n;
}

static void what_a_floor_in_the_ground_is(void **state)
{
    (void)state;
#define CELLAR "floor -8'; ceiling 7'-6\"; "
#define FED    "run P -> den.F1"
    static const struct {
        const char *low, *more, *den, *first, *second, *fed;
        unsigned found;
    } cases[] = {
        {CELLAR "below-grade", "", "", "", "", FED, 1},
        {CELLAR "below-grade no", "", "", "", "", FED, 1},
        {"below-grade", "", "", "", "", FED, 1},
        {"floor -4'; ceiling 8'; below-grade no", "", "", "", "", FED, 0},
        {"", "", "", "", "", FED, 0},
        {CELLAR "below-grade; slab no", "", "", "", "", FED, 0},
        {CELLAR "below-grade; floor-joists 2x8 at 16\"", "", "", "", "", FED, 0},
        {CELLAR "below-grade", "", "floor-joists 2x8 at 16\"", "", "", FED, 0},
        {CELLAR "below-grade", "", "", "", "", "run P -> den.F1 underground 12\" cable uf-12/2", 0},
        {CELLAR "below-grade", "", "", "", "", "run P -> den.F1 existing", 0},
        {CELLAR "below-grade", "", "", "", "via under", "", 1},
        {CELLAR "below-grade", "", "", "via under", "via under", FED, 1},
        {CELLAR "below-grade", "", "", "", "", "", 0},
        {CELLAR "below-grade",
         "level deep { floor -17'; ceiling 8'; below-grade }\nroom pit { on deep; kind storage; "
         "corner 0', 0'; size 16' by 12' }",
         "", "", "", FED, 0},
        {CELLAR "below-grade; slabb", "", "", "", "", FED, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[2000];
        struct compilation c;
        snprintf(text, sizeof text, plan, cases[i].low, cases[i].more, cases[i].den, cases[i].first,
                 cases[i].second, cases[i].fed);
        compile_text(&c, text);
        if (asked(&c) != cases[i].found) {
            show_compiled(&c);
            fail_msg("%u times asked, %u are wanted in\n%s", asked(&c), cases[i].found, text);
        }
        compile_free(&c);
    }
}

/* The same in a slab: what would be bored is told by itself, and nothing is asked. */
static void a_slab_is_not_asked_about(void **state)
{
    (void)state;
    char text[2000];
    struct compilation c;
    snprintf(text, sizeof text, plan, CELLAR "below-grade; slab", "", "", "", "", FED);
    compile_text(&c, text);
    assert_int_equal(asked(&c), 0);
    assert_int_equal(findings_of(&c, "run-blocked"), 1);
    compile_free(&c);
}

/* A room's own joists lie under its floor: 8 ft of them at 24 in. and at 12 in., crossed. */
static void joists_under_a_room(void **state)
{
    (void)state;
    static const char *const said[] = {"floor-joists 2x8 at 24\" running east",
                                       "floor-joists 2x12 at 12\" running east"};
    static const char *const lumber[] = {"2x8", "2x12"};
    for (int i = 0; i < 2; i++) {
        char text[2000];
        struct compilation c;
        snprintf(text, sizeof text, plan, "", "", said[i], "", "", "run P -> den.F1 via under");
        compile_text(&c, text);
        const struct route *r = &c.routes->of_run[c.model->runs.n - 1];
        uint32_t joists = 0;
        for (uint32_t k = 0; k < r->passed_count; k++) {
            struct passed p = route_member(c.routes->frame, r, k);
            joists += p.member == MEMBER_JOIST;
            assert_true(p.member != MEMBER_JOIST || !strcmp(p.lumber->name, lumber[i]));
        }
        assert_int_equal(joists, i ? 5 : 2); /* from the south side to 6' north of it */
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_a_floor_in_the_ground_is),
        cmocka_unit_test(a_slab_is_not_asked_about),
        cmocka_unit_test(joists_under_a_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

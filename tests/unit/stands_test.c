/* What a plan stands in: wall cabinets and what they hide (314.29(A); 210.52(3): receptacles in
 * cabinets are none of the wall), boxes on the sides of islands, ceilings that hang below the
 * joists. Lengths by hand. */
#include "compiled.h"
#include "framing/mountings.h"
#include "framing/routes.h"

/* A room with a panel; its words, boxes and circuits are those of a case. */
static const char room_plan[] = "plan \"Stands\" { edition nec-2023 }\n"
                                "room den { kind storage; size 16' by 12'; ceiling 9'\n%s\n}\n"
                                "panel P { in den east at 6' up 5'; main 100 A; spaces 20 }\n%s\n";

struct variant {
    const char *room, *circuits, *rule;
    unsigned found;
};

static void compile_room(struct compilation *c, const char *room, const char *circuits)
{
    char text[4000];
    assert_true(snprintf(text, sizeof text, room_plan, room, circuits) < (int)sizeof text);
    compile_text(c, text);
}

static void try_variants(const struct variant *v, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct compilation c;
        compile_room(&c, v[i].room, v[i].circuits);
        unsigned found = findings_of(&c, v[i].rule);
        if (found != v[i].found) {
            show_compiled(&c);
            fail_msg("%s: %u findings, %u are wanted in\n%s", v[i].rule, found, v[i].found,
                     v[i].room);
        }
        compile_free(&c);
    }
}

#define CABINET "cabinet north at 2' wide 4' from 54\" to 84\"\n"
#define ONE     "circuit P.1 { breaker 20 A; run P -> den.R1 }"
#define TWO     "circuit P.1 { breaker 20 A; run P -> den.R1 -> R2 }"
#define SECOND  "box R2 west at 6' { receptacle }\n"

static void what_is_behind_a_cabinet(void **state)
{
    (void)state;
    static const struct variant variants[] = {
        {CABINET SECOND "box R1 north at 4' up 60\" { receptacle }", TWO, "box-buried", 1},
        {CABINET "box R1 north at 4' up 60\" { receptacle }", ONE, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 60\" { receptacle \"for the hood\" }", TWO,
         "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 60\" { microwave }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 44\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 1' up 60\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 east at 4' up 60\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 88\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 54\" { linear-luminaire leg a }\n"
                        "box S1 south at 3' { switch leg a }",
         "circuit P.1 { breaker 20 A; run P -> den.S1 -> R1; run den.S1 -> R2 }", "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 60\" { cover blank }", TWO, "box-buried", 1},
        {CABINET SECOND "box R1 north at 4' up 60\" { existing; receptacle }", TWO, "box-buried",
         0},
    };
    try_variants(variants, sizeof variants / sizeof *variants);
}

/* The same in a kitchen: a receptacle over the counter and under the cabinet serves the counter,
 * one in the cabinet does not. */
static void counters_under_cabinets(void **state)
{
    (void)state;
    static const char plan[] =
        "plan \"Stands\" { edition nec-2023 }\n"
        "room den { kind kitchen; size 16' by 12'\n"
        "counter north at 0' wide 3'\ncabinet north at 0' wide 3' from 52\" to 84\"\n"
        "box R1 north at 1' up %s { receptacle \"toaster\" }\n}\n"
        "panel P { in den east at 6' up 5'; main 100 A; spaces 20 }\n"
        "circuit P.1 { breaker 20 A; run P -> den.R1 }";
    for (int hidden = 0; hidden < 2; hidden++) {
        char text[1000];
        struct compilation c;
        snprintf(text, sizeof text, plan, hidden ? "54\"" : "44\"");
        compile_text(&c, text);
        assert_int_equal(findings_of(&c, "counter-spacing"), hidden);
        compile_free(&c);
    }
}

static const struct box *box_named(const struct compilation *c, const char *name)
{
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        if (!strcmp(c->model->boxes.at[i]->name, name))
            return c->model->boxes.at[i];
    fail_msg("there is no box %s", name);
    return NULL;
}

#define LIT "circuit P.1 { breaker 15 A; run P -> den.S1 -> L1 -> L2 }"

/* Two luminaires 4' apart in one joist bay: each cable goes from the dropped ceiling up to the
 * joists at 9', into the middle of a 2x10, along, and down again. */
static void cables_over_a_dropped_ceiling(void **state)
{
    (void)state;
    for (int dropped = 0; dropped < 2; dropped++) {
        char words[400];
        struct compilation c;
        snprintf(words, sizeof words,
                 "%s\nbox S1 south at 3' { switch leg a }\n"
                 "box L1 overhead at 4', 4'-8\" { luminaire leg a }\n"
                 "box L2 overhead at 8', 4'-8\" { luminaire leg a }",
                 dropped ? "drop-ceiling 7'-6\"" : "");
        compile_room(&c, words, LIT);
        assert_int_equal(c.diag.counts[ERROR], 0);
        double drop = dropped ? 18 : 0;
        assert_true(fabs(length_inches(c.routes->of_run[2].path) - (48 + 2 * (drop + 4.625))) <
                    1e-6);
        const struct mounting *m = &c.routes->mountings->of_box[box_named(&c, "L1")->id];
        assert_int_equal(length_inches(m->place.up), dropped ? 90 : 108);
        assert_false(dropped && m->moved);
        compile_free(&c);
    }
}

static void what_hangs_from_a_dropped_ceiling(void **state)
{
    (void)state;
#define DROP "drop-ceiling 8'\n"
#define SWITCH                                                                                     \
    "box S1 south at 3' { switch leg a }\nbox L2 overhead at 8', 8' { luminaire leg a }\n"
    static const struct variant variants[] = {
        {DROP SWITCH "box L1 overhead at 4', 4' type round-nail-on-14 { luminaire leg a }", LIT,
         "box-mount", 1},
        {DROP SWITCH "box L1 overhead at 4', 4' type round-hanger-22 { luminaire leg a }", LIT,
         "box-mount", 0},
        {DROP SWITCH "box L1 overhead at 4', 4' { recessed leg a }", LIT, "box-mount", 0},
        {SWITCH "box L1 overhead at 4', 4' { recessed leg a }", LIT, "box-mount", 1},
        {"drop-ceiling 9'-1\"\n" SWITCH "box L1 overhead at 4', 4' { luminaire leg a }", LIT,
         "syntax", 1},
        {"drop-ceiling 9'\n" SWITCH "box L1 overhead at 4', 4' { luminaire leg a }", LIT, "syntax",
         0},
    };
    try_variants(variants, sizeof variants / sizeof *variants);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_behind_a_cabinet),
        cmocka_unit_test(counters_under_cabinets),
        cmocka_unit_test(cables_over_a_dropped_ceiling),
        cmocka_unit_test(what_hangs_from_a_dropped_ceiling),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Boxes on the sides of islands: where they are, which island is meant, what is nailed up there and
 * how long the cable is. The left end of a side is that of one who stands before it and faces it,
 * as with walls. */
#include "compiled.h"

#include "framing/routes.h"
#include "wiring/wiring.h"

/* A kitchen of 20 ft by 16 ft with its corner at 10 ft, 5 ft; one island 4 ft by 2 ft at 6 ft, 7
 * ft, so that its sides are at 16 ft and 20 ft, 12 ft and 14 ft. */
static const char kitchen[] = "plan \"T\" { edition nec-2023 }\n"
                              "room k { kind kitchen; corner 10', 5'; size 20' by 16'; island %sat "
                              "6', 7' size 4' by 2'\n%s }\n"
                              "%s";

static void compile_kitchen(struct compilation *c, const char *name, const char *words,
                            const char *rest)
{
    char text[2000];
    snprintf(text, sizeof text, kitchen, name, words, rest);
    compile_text(c, text);
}

static const struct box *box_called(const struct compilation *c, const char *room, const char *name)
{
    for (uint32_t i = 0; i < c->model->boxes.n; i++) {
        const struct box *b = c->model->boxes.at[i];
        if (!strcmp(b->name, name) && !strcmp(b->room->name, room))
            return b;
    }
    fail_msg("there is no box %s.%s", room, name);
    return NULL;
}

static void assert_at(const struct box *b, double east, double north, double up)
{
    assert_true(b->place.known && b->place.on_island);
    assert_near(length_feet(b->place.at.x), east, 1e-6);
    assert_near(length_feet(b->place.at.y), north, 1e-6);
    assert_near(length_feet(b->place.up), up, 1e-6);
}

static void sides_are_faced(void **state)
{
    (void)state;
    struct compilation c;
    compile_kitchen(&c, "",
                    "box S island south at 1' up 20\"\nbox N island north at 1' up 20\"\n"
                    "box E island east at 6\" up 20\"\nbox W island west at 6\" up 20\"\n",
                    "room m : k { corner 50', 5'; opposite-hand }\n"
                    "room t : k { corner 90', 5'; turn around }\n");
    assert_at(box_called(&c, "k", "S"), 17, 12, 20.0 / 12);
    assert_at(box_called(&c, "k", "N"), 19, 14, 20.0 / 12);
    assert_at(box_called(&c, "k", "E"), 20, 12.5, 20.0 / 12);
    assert_at(box_called(&c, "k", "W"), 16, 13.5, 20.0 / 12);
    /* mirrored east to west: 20 ft wide, so that the island is from 10 ft to 14 ft */
    assert_at(box_called(&c, "m", "S"), 50 + 20 - 7, 12, 20.0 / 12);
    assert_at(box_called(&c, "m", "W"), 50 + 20 - 6, 13.5, 20.0 / 12);
    /* turned around: what was 7 ft east and 7 ft north is 13 ft and 9 ft */
    assert_at(box_called(&c, "t", "S"), 90 + 20 - 7, 5 + 16 - 7, 20.0 / 12);
    compile_free(&c);
}

static void an_island_is_named_where_there_are_several(void **state)
{
    (void)state;
    static const struct {
        const char *name, *words, *rule, *part;
    } cases[] = {
        {"", "box A island south at 1'\n", NULL, NULL},
        {"work ", "box A island south at 1'\n", NULL, NULL},
        {"work ", "box A island work south at 1'\n", NULL, NULL},
        {"work ", "island bar at 12', 7' size 2' by 2'\nbox A island bar south at 1'\n", NULL,
         NULL},
        {"work ", "island bar at 12', 7' size 2' by 2'\nbox A island south at 1'\n", "syntax",
         "several islands"},
        {"work ", "box A island wrok south at 1'\n", "unknown-name", "wrok"},
        {"", "box A island south-west at 1'\n", "syntax", "four sides"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        compile_kitchen(&c, cases[i].name, cases[i].words, "");
        const struct finding *f = cases[i].rule ? finding_of(&c, cases[i].rule, 0) : NULL;
        if (cases[i].rule && (!f || !strstr(f->message, cases[i].part)))
            show_compiled(&c);
        assert_true(!cases[i].rule || (f && strstr(f->message, cases[i].part)));
        assert_int_equal(findings_of(&c, "syntax") + findings_of(&c, "unknown-name"),
                         cases[i].rule ? 1 : 0);
        assert_int_equal(box_called(&c, "k", "A")->place.known, !cases[i].rule);
        compile_free(&c);
    }
    struct compilation c;
    compile_text(&c,
                 "plan \"T\" { edition nec-2023 }\nroom k { kind kitchen; size 20' by 16'\nbox A "
                 "island south at 1' }\n");
    assert_non_null(strstr(finding_of(&c, "syntax", 0)->message, "no island"));
    compile_free(&c);
}

/* A box that clamps to the panel it is set into; the cable comes from below and goes up to it, so
 * that 12 in. higher is 12 in. more. */
static void what_is_set_into_a_side(void **state)
{
    (void)state;
    length route[2];
    for (int i = 0; i < 2; i++) {
        struct compilation c;
        compile_kitchen(&c, "",
                        i ? "box A island south at 1' up 20\" { receptacle-gfci-20 }\n"
                          : "box A island south at 1' up 8\" { receptacle-gfci-20 }\n",
                        "panel P { in k north at 2' up 5'; main 60 A; spaces 8 }\n"
                        "circuit P.1 \"Island\" { breaker 20 A afci; run P -> k.A }\n");
        const struct box *b = box_called(&c, "k", "A");
        assert_true(c.wiring->of_box[b->id].type && c.wiring->of_box[b->id].type->old_work);
        assert_int_equal(findings_of(&c, "box-mount"), 0);
        route[i] = c.routes->of_run[0].path;
        compile_free(&c);
    }
    assert_int_equal(route[1] - route[0], 12 * INCH);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sides_are_faced),
        cmocka_unit_test(an_island_is_named_where_there_are_several),
        cmocka_unit_test(what_is_set_into_a_side),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

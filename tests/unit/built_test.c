/* Where things are set: beside their wood, not in one another, and drawn and told there. Widths of
 * boxes and panels, and what a nail reaches: common trade practice (table box-space). */
#include "cmd/cmd.h"
#include "compiled.h"
#include "drawn.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "wiring/wiring.h"

#include <stdarg.h>

/* A shed with studs 16 in. apart, the first 16 in. from the south end of its west wall. */
static void compile_shed(struct compilation *c, const char *form, ...)
{
    char room[600], text[1200];
    va_list args;
    va_start(args, form);
    vsnprintf(room, sizeof room, form, args);
    va_end(args);
    snprintf(
        text, sizeof text,
        "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n%s }\n",
        room);
    compile_text(c, text);
}

static double box_left(const struct compilation *c, uint32_t i)
{
    return length_inches(c->routes->mountings->of_box[i].place.from_left);
}

static double panel_left(const struct compilation *c)
{
    return length_inches(c->routes->mountings->of_panel[0].place.from_left);
}

/* The only bay beside the door is that from 64 to 80 in.: a box that was written in it goes to the
 * other side of its stud, to 64 - 3/4 - 1-3/16 in. */
static void a_box_gives_way_to_a_panel(void **unused)
{
    (void)unused;
    struct compilation c;
    compile_shed(&c, "door west at 95\" wide 20\"\nbox S1 west at 66\" up 4' { data } }\n"
                     "panel P { in shed west at 84\" up 5'; main 60 A; spaces 8");
    assert_near(panel_left(&c), 72, 1e-6);
    assert_near(box_left(&c, 0), 64 - 0.75 - 2.375 / 2, 1e-6);
    assert_int_equal(findings_of(&c, "boxes-collide"), 0);
    compile_free(&c);
}

/* Written over the stud at 48 in. and right of it: the first goes to the left. Where one stands
 * there too, the three have no room. */
static void boxes_share_a_stud(void **unused)
{
    (void)unused;
    struct compilation c;
    compile_shed(&c, "box A west at 48.1\" up 4' { data }\nbox B west at 50.6\" up 4' { data }");
    assert_near(box_left(&c, 0), 48 - 0.75 - 2.375 / 2, 1e-6);
    assert_int_equal(findings_of(&c, "boxes-collide"), 0);
    compile_free(&c);
    compile_shed(&c, "box A west at 48.1\" up 4' { data }\nbox B west at 50.6\" up 4' { data }\n"
                     "box C west at 45.5\" up 4' { data }");
    assert_int_equal(findings_of(&c, "boxes-collide"), 1);
    assert_non_null(strstr(finding_of(&c, "boxes-collide", 0)->message, "as they are set"));
    compile_free(&c);
    compile_shed(&c, "box A west at 48.1\" up 4' { data }\nbox B west at 50.6\" up 1' { data }");
    assert_near(box_left(&c, 0), 48 + 0.75 + 2.375 / 2, 1e-6);
    compile_free(&c);
}

/* Over a door from 48 to 84 in. in a bearing wall the header ends at 80 + 5-1/2 in. (IRC Table
 * R602.7(1), recalled), and a cripple stands at 64 in.: a box in front of that goes beside it. */
static void boxes_over_doors_hold_to_cripples(void **unused)
{
    (void)unused;
    struct compilation c;
    compile_shed(&c,
                 "door north at 4' wide 3'\nbox L1 north at 65\" up 90\" { data }\nbox L2 north "
                 "at 72\" up 90\" { data }");
    const struct mounting *m = c.routes->mountings->of_box;
    assert_near(box_left(&c, 0), 64 + 0.75 + 2.375 / 2, 1e-6);
    assert_int_equal(m[0].stud->kind, STUD_CRIPPLE);
    assert_true(m[0].stand == STAND_BESIDE && m[0].after);
    assert_near(box_left(&c, 1), 72, 1e-6);
    assert_int_equal(m[1].stand, STAND_BETWEEN);
    compile_free(&c);
}

static void draw(const char *at, const char *name, struct buf *out)
{
    struct compilation c;
    struct results r;
    compile_shed(&c,
                 "box R1 west at %s { receptacle }\nbox J1 overhead at 32\", 6' { existing; "
                 "receptacle } }\npanel P { in shed east at 4' up 5'; main 60 A; spaces 8 }\n"
                 "circuit P.1 { breaker 20 A gfci; cable 12/2; existing; run P -> shed.J1 { "
                 "existing }; run shed.J1 -> R1",
                 at);
    assert_true(cmd_results(&c, &r));
    assert_non_null(sheets_named(name));
    draw_kind(&r, sheets_named(name), out);
    buf_text(out);
    compile_free(&c);
}

/* What is written in front of a stud is drawn as what is written where that is set. */
static void drawings_show_what_is_set(void **unused)
{
    (void)unused;
    static const char *const names[] = {"plan-power", "elevation"};
    for (unsigned i = 0; i < 2; i++) {
        struct buf front = {0}, beside = {0}, elsewhere = {0};
        draw("48.1\"", names[i], &front);
        draw("49-15/16\"", names[i], &beside);
        draw("60\"", names[i], &elsewhere);
        assert_string_equal(front.at, beside.at);
        if (!strcmp(front.at, elsewhere.at))
            fail_msg("%s: %zu bytes, wherever it stands", names[i], front.n);
        buf_free(&front);
        buf_free(&beside);
        buf_free(&elsewhere);
    }
}

/* An old box that new cable joins is opened, and its words say so. */
static void old_boxes_that_are_joined_are_marked(void **unused)
{
    (void)unused;
    struct buf out = {0};
    draw("60\"", "plan-power", &out);
    assert_non_null(strstr(out.at, "existing, opened"));
    buf_free(&out);
}

/* 12 AWG would fit into one gang; in air of 58 C and stapled together two cables must be of 10 AWG,
 * which want two, and that box stands further from its stud: 1-3/4 in. and 2-3/32 in. right of the
 * one at 112 in. */
static void larger_cables_set_a_larger_box(void **unused)
{
    (void)unused;
    struct compilation c;
    compile_sound(
        &c,
        "plan \"Hot\" { edition nec-2023 }\n"
        "room shed { kind workshop; size 14' by 16'; ambient 58 C\n"
        "box R1 west at 9'-6\" up 4' { receptacle-gfci onward }\n"
        "box R2 west at 3'-6\" { receptacle }\n"
        "box R3 west at 4'-10\" { receptacle } }\n"
        "panel P { in shed east at 8' up 5'; main 100 A; spaces 8 }\n"
        "circuit P.1 { breaker 20 A dual-function; run P -> shed.R1 -> R2; run shed.R1 -> R3 }\n");
    const struct box_type *type = c.wiring->of_box[0].type;
    assert_int_equal(type->gangs, 2);
    assert_near(box_left(&c, 0), 112 + 0.75 + (2.375 + 1.8125) / 2, 1e-6);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_box_gives_way_to_a_panel),
        cmocka_unit_test(boxes_share_a_stud),
        cmocka_unit_test(boxes_over_doors_hold_to_cripples),
        cmocka_unit_test(larger_cables_set_a_larger_box),
        cmocka_unit_test(drawings_show_what_is_set),
        cmocka_unit_test(old_boxes_that_are_joined_are_marked),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

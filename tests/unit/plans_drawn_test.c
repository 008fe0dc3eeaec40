/* What a floor plan says: the marks that a department asks to see, and switch legs from thing to
 * thing. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "sheets/sheets.h"

static const struct paper *sheets_by(struct compilation *c, const char *name)
{
    struct results r;
    const struct sheet_kind **kinds =
        arena_array(&c->arena, const struct sheet_kind *, sheet_kind_count);
    uint32_t count = sheets_by_name(name, kinds);
    assert_true(count > 0 && cmd_results(c, &r));
    return sheets_make(&r, PAPER_BY_USE, false, kinds, count);
}

static bool has_text(const struct paper *p, const char *text)
{
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            if (m->kind == MARK_TEXT && strstr(m->text, text))
                return true;
        }
    return false;
}

/* A county's checklist of electrical plans (table plan-sheets): 240 V and GFCI outlets marked,
 * circuits beside the boxes, what is there already told, who drew it, a number on each sheet. */
static void a_plan_bears_the_marks_of_a_submission(void **state)
{
    (void)state;
    static const char *const marks[] = {
        "240 V 20 A",      "P7 (GFCI)",          "P4 GFCI",      "(GFCI) WP",
        "existing",        "Drawn by:",          "sheet 1 of 8", "sheet 8 of 8",
        "Permit: pending", "NEC 2023, IRC 2024", "home run",     "panel 100 A bus"};
    struct compilation c;
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
    const struct paper *p = sheets_by(&c, "plan");
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
        if (!has_text(p, marks[i]))
            fail_msg("the plan does not bear %s", marks[i]);
    compile_free(&c);
}

/* A leg is drawn from its switch to the first of what it works, and on from thing to thing: one
 * curve for each box, each from where the one before ends; a box with two things has one. Common
 * practice of electrical plans. */
static void legs_are_drawn_from_thing_to_thing(void **state)
{
    (void)state;
    static const struct {
        const char *boxes, *run;
        unsigned bows;
    } cases[] = {
        {"", "", 0},
        {"box L1 overhead at 3', 3' { luminaire leg a }", "-> L1", 1},
        {"box L1 overhead at 3', 3' { luminaire leg a; luminaire leg a }", "-> L1", 1},
        {"box L1 overhead at 3', 3' { luminaire leg a }\nbox L2 overhead at 7', 5' { luminaire leg "
         "a }\nbox L3 overhead at 9', 2' { luminaire leg a }",
         "-> L1 -> L2 -> L3", 3},
    };
    const um sign = 9 * MM; /* a bow ends at the edge of a sign, and the next begins at another */
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct buf text = {0};
        struct compilation c;
        buf_printf(&text,
                   "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by "
                   "10'\nbox S1 south at 2' { switch leg a }\n%s }\n"
                   "panel P { in shed north at 7' up 5'; main 60 A; spaces 8 }\n"
                   "circuit P.1 { breaker 15 A; run P -> shed.S1 %s }\n",
                   cases[i].boxes, cases[i].run);
        compile_text(&c, buf_text(&text));
        const struct paper *p = sheets_by(&c, "plan-lights");
        assert_int_equal(p->sheets.n, 1);
        const struct sheet *s = p->sheets.at[0];
        const struct mark *before = NULL;
        unsigned bows = 0;
        for (uint32_t k = 0; k < s->marks.n; k++) {
            const struct mark *m = &s->marks.at[k];
            if (m->pen.dash != DASH_LEG || m->count < 3 || !m->group ||
                m->group->role == ROLE_FRAME)
                continue;
            assert_true(!before ||
                        hypot((double)(m->points[0].x - before->points[before->count - 1].x),
                              (double)(m->points[0].y - before->points[before->count - 1].y)) <
                            (double)sign);
            before = m;
            bows++;
        }
        assert_int_equal(bows, cases[i].bows);
        buf_free(&text);
        compile_free(&c);
    }
}

/* What draw calls by one name is all its kinds, each with its own numbers. */
static void a_name_may_be_several_kinds(void **state)
{
    (void)state;
    struct compilation c;
    uint32_t sum = 0;
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
    static const char *const kinds[] = {"plan-power", "plan-lights", "plan-alarms", "plan-ceiling"};
    for (int i = 0; i < 4; i++)
        sum += sheets_by(&c, kinds[i])->sheets.n;
    const struct paper *p = sheets_by(&c, "plan");
    assert_int_equal(p->sheets.n, sum);
    for (uint32_t i = 1; i < p->sheets.n; i++)
        assert_true(strcmp(p->sheets.at[i - 1]->number, p->sheets.at[i]->number) < 0);
    assert_int_equal(sheets_by(&c, "circuits")->sheets.n,
                     sheets_by(&c, "branch-circuits")->sheets.n);
    assert_int_equal(sheets_by(&c, "wiring")->sheets.n, sheets_by(&c, "cards")->sheets.n);
    for (uint32_t i = 0; i < sheet_drawing_count; i++)
        assert_null(sheets_named(sheet_drawings[i].name));
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_plan_bears_the_marks_of_a_submission),
        cmocka_unit_test(legs_are_drawn_from_thing_to_thing),
        cmocka_unit_test(a_name_may_be_several_kinds),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

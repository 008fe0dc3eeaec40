/* Tags from a run's own names, labels of both ends, and label sheets on which nothing leaves its
 * label. */
#include "compiled.h"
#include "cuts/labels.h"
#include "facts/facts.h"
#include "facts/meant.h"
#include "facts/tags.h"
#include "emit/canvas.h"
#include "emit/drawings/label_sheet.h"
#include "emit/results.h"

static const char boxes[] =
    "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
    "box A west at 2' { receptacle }\nbox B west at 8' { receptacle }\nbox C east at 5' { "
    "receptacle }\n"
    "box counter-left12 east at 8' { receptacle }\n}\n"
    "room bath2 { kind bath; corner 20', 0'; size 8' by 10'; box R1 west at 3' { receptacle-gfci } "
    "}\n"
    "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n";

static void compile_runs(struct compilation *c, const char *runs)
{
    struct buf b = {0};
    buf_printf(&b, "%scircuit P.2 { breaker 15 A; cable 14/2\n%s\n}\n", boxes, runs);
    compile_text(c, buf_text(&b));
    assert_non_null(c->model);
    buf_free(&b);
}

/* The tag of the run with that address, in the arena of `c`; NULL where there is none. */
static const char *tag_of(struct compilation *c, const char *address)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (!strcmp(address_of_run(&c->arena, c->model->runs.at[i], false), address))
            return facts_run_tag(&c->arena, c->model->runs.at[i]);
    return NULL;
}

static void tags_are_made_from_names(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A -> B\nrun shed.B -> bath2.R1\nrun shed.B -> C as "
                     "north-end\nrun shed.C -> counter-left12");
    assert_string_equal(tag_of(&c, "P -> shed.A"), "P2 P-she A");
    assert_string_equal(tag_of(&c, "shed.A -> B"), "P2 she A-B");
    assert_string_equal(tag_of(&c, "shed.B -> bath2.R1"), "P2 she B-bat2 R1");
    assert_string_equal(tag_of(&c, "shed.B -> C"), "north-end");
    assert_string_equal(tag_of(&c, "shed.C -> counter-left12"), "P2 she C-cou12");
    compile_free(&c);
}

/* The feed turns a run round; its label stays as the plan writes it. */
static void direction_changes_no_tag(void **state)
{
    (void)state;
    struct compilation one, other;
    compile_runs(&one, "run shed.A -> B\nrun P -> shed.A");
    compile_runs(&other, "run shed.A -> B\nrun P -> shed.B");
    assert_string_equal(tag_of(&one, "shed.A -> B"), "P2 she A-B");
    assert_string_equal(tag_of(&other, "shed.B -> A"), "P2 she A-B");
    compile_free(&one);
    compile_free(&other);
}

static uint32_t next_random(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 16;
}

/* Whatever runs a plan has besides, and in whatever order, a run keeps its tag. */
static void other_runs_rename_none(void **state)
{
    (void)state;
    static const char *const runs[] = {"run P -> shed.A", "run shed.A -> B", "run shed.B -> C",
                                       "run shed.C -> counter-left12", "run shed.B -> bath2.R1"};
    static const char *const address[] = {"P -> shed.A", "shed.A -> B", "shed.B -> C",
                                          "shed.C -> counter-left12", "shed.B -> bath2.R1"};
    static const char *const tags[] = {"P2 P-she A", "P2 she A-B", "P2 she B-C", "P2 she C-cou12",
                                       "P2 she B-bat2 R1"};
    enum { RUNS = sizeof runs / sizeof *runs };
    uint32_t seed = 7, found = 0;
    for (int round = 0; round < 60; round++) {
        struct buf b = {0};
        unsigned from = next_random(&seed) % RUNS, kept = next_random(&seed);
        for (unsigned i = 0; i < RUNS; i++)
            if (kept >> ((from + i) % RUNS) & 1)
                buf_printf(&b, "%s\n", runs[(from + i) % RUNS]);
        struct compilation c;
        compile_runs(&c, buf_text(&b));
        for (unsigned i = 0; i < RUNS; i++) {
            const char *tag = tag_of(&c, address[i]);
            found += tag != NULL;
            if (tag)
                assert_string_equal(tag, tags[i]);
        }
        compile_free(&c);
        buf_free(&b);
    }
    assert_true(found > 60);
}

static void look_alikes_are_told(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A\nrun shed.A -> B as lOO1\nrun shed.B -> C as I00l");
    const struct finding *f = finding_of(&c, "labels-alike", 0);
    assert_int_equal(findings_of(&c, "labels-alike"), 1);
    assert_non_null(strstr(f->message, "easily taken for"));
    compile_free(&c);
    compile_runs(&c, "run P -> shed.A\nrun shed.A -> B\nrun shed.A -> B");
    assert_int_equal(findings_of(&c, "labels-alike"), 1);
    compile_free(&c);
}

/* The two cables of one hop are told apart by the statement that lays both, whatever else there is.
 */
static void two_cables_of_a_hop(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A\nrun shed.A -> B cable 14/2 + 14/2\nrun shed.B -> C cable "
                     "14/3 + 14/2 as far");
    assert_int_equal(findings_of(&c, "labels-alike"), 0);
    static const char *const tags[] = {"P2 P-she A", "P2 she A-B a", "P2 she A-B b", "far a",
                                       "far b"};
    assert_int_equal(c.model->runs.n, 5);
    for (uint32_t i = 0; i < c.model->runs.n; i++)
        assert_string_equal(facts_run_tag(&c.arena, c.model->runs.at[i]), tags[i]);
    compile_free(&c);
}

static bool is_among(const struct run_group *group, const struct run *run)
{
    for (uint32_t i = 0; group && i < group->runs.n; i++)
        if (group->runs.at[i] == run)
            return true;
    return false;
}

static bool means(struct run_names *names, const char *chain, const struct run *run)
{
    struct meant_runs meant = facts_runs_of_chain(names, chain);
    return !meant.missing && meant.hops.n == 1 && is_among(meant.hops.at[0], run);
}

/* A run is found by all that is printed of it, in whatever order its ends are said. */
static void check_names_of_runs(const char *plan)
{
    struct compilation c;
    compile(&c, plan, (struct compile_options){.library = plan_library()});
    struct run_names *names = facts_name_runs(&c.arena, c.model);
    for (uint32_t i = 0; i < c.model->runs.n; i++) {
        const struct run *run = c.model->runs.at[i];
        const struct unit *unit = facts_unit_of_run(run);
        if (unit && !unit->built)
            continue;
        assert_true(is_among(facts_runs_called(names, facts_run_tag(&c.arena, run)), run));
        assert_true(means(names, address_of_run(&c.arena, run, false), run));
        assert_true(
            means(names,
                  arena_printf(&c.arena, "%s -> %s", address_of_end(&c.arena, run->to, false),
                               address_of_end(&c.arena, run->from, false)),
                  run));
        if (run->label)
            assert_true(is_among(facts_runs_called(names, facts_own_name(&c.arena, run)), run));
        if (unit)
            assert_true(
                is_among(facts_runs_called(names, address_of_run(&c.arena, run, true)), run));
    }
    assert_null(facts_runs_called(names, "no such run"));
    assert_string_equal(facts_runs_of_chain(names, "nowhere.S1 -> L1").missing, "box or panel");
    compile_free(&c);
}

static void runs_are_found_by_each_of_their_names(void **state)
{
    (void)state;
    check_names_of_runs("examples/studio/studio.bay");
    check_names_of_runs("examples/flats/flats.bay");
    check_names_of_runs("examples/small/two-places.bay");
}

/* A feeder is read in the panel that it feeds, and runs from the other one: so does its tag. */
static void feeders_run_from_their_source(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(
        &c,
        "plan \"Shed\" { edition nec-2023 }\nroom shed { kind storage; size 12' by 10' }\npanel P "
        "{ in shed north at 6' up 5'; bus 60 A; spaces 8; feeder from M breaker 60 A }\n"
        "panel M { in shed north at 9' up 5'; main 100 A; spaces 12 }\n");
    assert_string_equal(tag_of(&c, "M -> P"), "feed M-P");
    compile_free(&c);
}

/* A name that a pattern gives is another label in each unit; tags that are alike in each of them
 * are one finding. */
static void copies_have_labels_of_their_own(void **state)
{
    (void)state;
    static const char flats[] =
        "plan \"Flats\" { edition nec-2023 }\n"
        "pattern flat {\nroom bath { kind bath; size 8' by 10'; box east-side west at 3' { "
        "receptacle-gfci onward }\n"
        "box north-a north at 2' { receptacle }\nbox north-b north at 5' { receptacle } }\n"
        "panel P { in bath east at 3' up 5'; main 60 A; spaces 8 }\n"
        "circuit 1 { breaker 20 A; cable 12/2\nrun P -> bath.east-side as bench\n"
        "run bath.east-side -> north-a\nrun bath.east-side -> north-b }\n}\n"
        "unit u1 : flat { corner 0', 0' }\nunit u2 : flat { corner 20', 0' }\n";
    struct compilation c;
    compile_text(&c, flats);
    assert_string_equal(tag_of(&c, "u1.P -> u1.bath.east-side"), "u1 bench");
    assert_string_equal(tag_of(&c, "u2.bath.east-side -> north-a"), "P1 u2 bat eas-nor");
    assert_int_equal(findings_of(&c, "labels-alike"), 1);
    const struct finding *f = finding_of(&c, "labels-alike", 0);
    assert_null(strstr(f->message, "u2"));
    assert_int_equal(f->related_count, 3); /* both units, and the other run */
    compile_free(&c);
}

static void both_ends_are_labelled(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A\nrun shed.A -> B\nrun shed.B -> C existing");
    label_list labels = labels_make(&c.arena, c.model, c.routes, c.wiring, NULL, c.panels);
    assert_int_equal(labels.n, 4);
    assert_string_equal(labels.at[0].lines[0], "at P");
    assert_string_equal(labels.at[0].lines[1], "to shed.A");
    assert_string_equal(labels.at[1].lines[0], "at shed.A");
    assert_true(labels.at[1].home_run);
    assert_false(labels.at[2].home_run);
    assert_non_null(strstr(labels.at[2].lines[2], "circuit P2"));
    compile_free(&c);
}

/* --- sheets ------------------------------------------------------------------------------- */

static void presets_are_sound(void **state)
{
    (void)state;
    struct arena arena = {0};
    for (uint32_t i = 0; i < label_sheet_count; i++) {
        const char *fault = label_sheet_fault(&arena, &label_sheet_grids[i]);
        if (fault)
            print_error("%s: %s\n", label_sheet_grids[i].name, fault);
        assert_null(fault);
        assert_ptr_equal(label_sheet_named(label_sheet_grids[i].name), &label_sheet_grids[i]);
    }
    struct label_sheet wide = label_sheet_grids[0];
    wide.columns++;
    assert_non_null(label_sheet_fault(&arena, &wide));
    wide = label_sheet_grids[0];
    wide.start = wide.rows * wide.columns + 1;
    assert_non_null(label_sheet_fault(&arena, &wide));
    arena_free(&arena);
}

static double number_after(const char *at, const char *name)
{
    const char *found = strstr(at, name);
    return found ? strtod(found + strlen(name), NULL) : 0;
}

/* Every text within its half of the label: it begins at its place in a group that stands inside,
 * and is written with its width. */
static unsigned texts_outside(const char *svg, double width, double height)
{
    unsigned outside = 0;
    for (const char *t = strstr(svg, "<text"); t; t = strstr(t + 1, "<text")) {
        double x = number_after(t, " x=\""), y = number_after(t, " y=\""),
               size = number_after(t, "font-size=\""), long_ = number_after(t, "textLength=\"");
        const char *anchor = strstr(t, "text-anchor=\"end\"");
        bool at_end = anchor && anchor < strchr(t, '>');
        double from = at_end ? x - long_ : x, to = at_end ? x : x + long_;
        outside +=
            from < -0.001 || to > width + 0.001 || y > height + 0.001 || y - size * 0.75 < -0.001;
    }
    return outside;
}

static void nothing_leaves_its_label(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A as "
                     "a-name-that-is-much-too-long-for-any-label-of-a-cable\nrun shed.A -> B as "
                     "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW\n"
                     "run shed.B -> C\nrun shed.B -> counter-left12\nrun shed.C -> bath2.R1");
    struct results r = {.arena = &c.arena,
                        .diag = &c.diag,
                        .model = c.model,
                        .routes = c.routes,
                        .wiring = c.wiring,
                        .loads = c.loads,
                        .panels = c.panels,
                        .cuts = c.cuts};
    for (uint32_t i = 0; i < label_sheet_count; i++) {
        const struct label_sheet *s = &label_sheet_grids[i];
        struct buf svg = {0};
        assert_int_equal(label_sheet_draw(&r, s, &svg), 1);
        const char *text = buf_text(&svg);
        unsigned tags = 0;
        for (const char *t = strstr(text, ">P2 she C-bat2 R1<"); t;
             t = strstr(t + 1, ">P2 she C-bat2 R1<"))
            tags++;
        assert_int_equal(tags, 4); /* both ends, twice each */
        double clear = 2 * 72 / 25.4;
        assert_int_equal(texts_outside(text, length_inches(s->label_width) * 72 - 2 * clear,
                                       length_inches(s->label_height) * 36 - clear),
                         0);
        assert_non_null(strstr(text, "<polygon"));
        assert_non_null(strstr(text, ">HOME"));
        buf_free(&svg);
    }
    compile_free(&c);
}

static void sheets_begin_where_they_are_told(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A -> B -> C");
    struct results r = {.arena = &c.arena,
                        .diag = &c.diag,
                        .model = c.model,
                        .routes = c.routes,
                        .wiring = c.wiring,
                        .loads = c.loads,
                        .panels = c.panels,
                        .cuts = c.cuts};
    struct label_sheet s = *label_sheet_named("letter-10");
    s.start = 8;
    struct buf svg = {0};
    assert_int_equal(label_sheet_draw(&r, &s, &svg), 2); /* six labels, three on each sheet */
    assert_non_null(strstr(buf_text(&svg), "Sheet 2 of 2"));
    svg.n = 0;
    s.only = 1;
    label_sheet_draw(&r, &s, &svg);
    assert_null(strstr(buf_text(&svg), "Sheet 2 of 2"));
    assert_non_null(strstr(buf_text(&svg), "height=\"792pt\""));
    buf_free(&svg);
    compile_free(&c);
}

static void widths_come_from_the_table(void **state)
{
    (void)state;
    /* Helvetica: H 722, i 222; Helvetica-Bold: H 722, i 278 */
    assert_int_equal(text_width("Hi", 10 * POINT, false), 9440);
    assert_int_equal(text_width("Hi", 10 * POINT, true), 10000);
    assert_int_equal(text_width("", 10 * POINT, true), 0);
    assert_int_equal(text_fitting("Hiii", 10 * POINT, false, 9440), 2);
    assert_int_equal(text_fitting("\xc3\xa9\xc3\xa9", 10 * POINT, false, 10000), 2);
    assert_int_equal(canvas_length(INCH), 72 * POINT);
    assert_int_equal(canvas_length(254 * MILLIMETRE / 10), 72 * POINT);
}

static void canvas_writes_plain_numbers(void **state)
{
    (void)state;
    struct buf b = {0};
    struct canvas c;
    canvas_begin(&c, &b, 100 * POINT, 50 * POINT, "A <b>", "doc");
    canvas_open(&c, 1500, -250, 90, NULL);
    canvas_line(&c, 0, 1, -1, 1000, (struct pen){.stroke = "black", .width = 500});
    canvas_arc(&c, 0, 0, 10 * POINT, 0, 90, (struct pen){.stroke = "black", .width = 1000});
    canvas_text(&c, 0, 0, (struct lettering){.size = 10 * POINT, .widest = 5 * POINT}, "Hi & <");
    canvas_end(&c);
    const char *svg = buf_text(&b);
    assert_non_null(strstr(svg, "viewBox=\"0 0 100 50\""));
    assert_non_null(strstr(svg, "<title>A &lt;b&gt;</title>"));
    assert_non_null(strstr(svg, "translate(1.5 -0.25) rotate(90)"));
    assert_non_null(strstr(svg, "y1=\"0.001\" x2=\"-0.001\" y2=\"1\""));
    assert_non_null(strstr(svg, "M10 0A10 10 0 0 1 0 10"));
    assert_non_null(strstr(svg, "textLength=\"5\""));
    assert_non_null(strstr(svg, ">Hi &amp; &lt;</text>\n</g>\n</svg>\n"));
    buf_free(&b);
}

/* Exit status of `studbay draw labels` with these options, on the binary that STUDBAY names. */
static int draw_with(const char *options)
{
    const char *binary = getenv("STUDBAY");
    char command[512];
    snprintf(command, sizeof command,
             "'%s' draw labels tests/rules/labels-alike.good.bay %s >/dev/null 2>&1",
             binary ? binary : "build/studbay", options);
    int status = system(command);
    return status / 256;
}

static void grids_come_from_options(void **state)
{
    (void)state;
    static const struct {
        const char *options;
        int status;
    } grids[] = {
        {"", 0},
        {"--sheet a4-65 --start 65 --outline", 0},
        {"--page 210mmx297mm --label '70mm x 37mm' --margin-left 0 --margin-top 0.5mm", 0},
        {"--label 3inx1in", 0},
        {"--sheet letter-80 --pitch-x 1.8in --margin-left 12.5mm --format svg", 0},
        {"--sheet a4-66", 2},
        {"--start 31", 2},
        {"--columns 4", 2},
        {"--rows none", 2},
        {"--page 8.5in", 2},
        {"--label 0.5inx0.25in", 2},
        {"--pitch-y 0.5in", 2},
        {"--margin-left 3 --rows 2", 2},
        {"--format png", 2},
    };
    for (size_t i = 0; i < sizeof grids / sizeof *grids; i++) {
        int status = draw_with(grids[i].options);
        if (status != grids[i].status)
            print_error("%s: exit status %d\n", grids[i].options, status);
        assert_int_equal(status, grids[i].status);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(tags_are_made_from_names),
        cmocka_unit_test(direction_changes_no_tag),
        cmocka_unit_test(other_runs_rename_none),
        cmocka_unit_test(look_alikes_are_told),
        cmocka_unit_test(two_cables_of_a_hop),
        cmocka_unit_test(runs_are_found_by_each_of_their_names),
        cmocka_unit_test(feeders_run_from_their_source),
        cmocka_unit_test(both_ends_are_labelled),
        cmocka_unit_test(presets_are_sound),
        cmocka_unit_test(copies_have_labels_of_their_own),
        cmocka_unit_test(nothing_leaves_its_label),
        cmocka_unit_test(sheets_begin_where_they_are_told),
        cmocka_unit_test(widths_come_from_the_table),
        cmocka_unit_test(canvas_writes_plain_numbers),
        cmocka_unit_test(grids_come_from_options),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

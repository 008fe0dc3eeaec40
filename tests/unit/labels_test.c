/* Tags from a run's own names, labels of both ends, and label sheets on which nothing leaves its
 * label. */
#include "compiled.h"
#include "cuts/labels.h"
#include "facts/facts.h"
#include "facts/meant.h"
#include "facts/tags.h"
#include "sheets/labels.h"
#include "sheets/sheets.h"
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
    for (uint32_t i = 0; i < labels_grid_count; i++) {
        const char *fault = labels_grid_fault(&arena, &labels_grids[i]);
        if (fault)
            print_error("%s: %s\n", labels_grids[i].name, fault);
        assert_null(fault);
        assert_ptr_equal(labels_grid_named(labels_grids[i].name), &labels_grids[i]);
    }
    struct label_sheet wide = labels_grids[0];
    wide.columns++;
    assert_non_null(labels_grid_fault(&arena, &wide));
    wide = labels_grids[0];
    wide.start = wide.rows * wide.columns + 1;
    assert_non_null(labels_grid_fault(&arena, &wide));
    arena_free(&arena);
}

/* The label sheets of a plan by a grid. */
static struct paper *draw_labels(struct compilation *c, const struct label_sheet *grid)
{
    const struct sheet_kind *kind = sheets_named("labels");
    struct results r = {.arena = &c->arena,
                        .diag = &c->diag,
                        .model = c->model,
                        .routes = c->routes,
                        .wiring = c->wiring,
                        .loads = c->loads,
                        .panels = c->panels,
                        .cuts = c->cuts,
                        .sheet = grid};
    return sheets_make(&r, PAPER_BY_USE, false, &kind, 1);
}

/* The place on the grid, from 0, in which the mark lies 2 mm from the label's edges and on the one
 * side of its fold, and 4.5 mm from those of the page, which printers do not reach; -1: none. */
static int place_of_mark(const struct label_sheet *g, const struct mark *m)
{
    struct area a = paper_mark_area(m);
    um clear = 2 * MM, page = 4500, width = paper_scaled(g->page_width, 1),
       height = paper_scaled(g->page_height, 1);
    if (a.left < page || a.top < page || a.right > width - page || a.bottom > height - page)
        return -1;
    for (uint32_t i = 0; i < g->columns * g->rows; i++) {
        um left = paper_scaled(g->left + (length)(i % g->columns) * g->pitch_x, 1),
           top = paper_scaled(g->top + (length)(i / g->columns) * g->pitch_y, 1),
           right = left + paper_scaled(g->label_width, 1),
           bottom = top + paper_scaled(g->label_height, 1), fold = (left + right) / 2;
        /* what hangs below the base line belongs to the row below, as far as half a row */
        if (a.left >= left + clear - 1 && a.right <= right - clear + 1 &&
            a.top >= top + clear - 1 && a.bottom <= bottom - clear / 2 &&
            (a.right <= fold || a.left >= fold))
            return (int)i;
    }
    return -1;
}

static void nothing_leaves_its_label(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A as "
                     "a-name-that-is-much-too-long-for-any-label-of-a-cable\nrun shed.A -> B as "
                     "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW\n"
                     "run shed.B -> C\nrun shed.B -> counter-left12\nrun shed.C -> bath2.R1");
    for (uint32_t i = 0; i < 2 * labels_grid_count; i++) {
        struct label_sheet grid = labels_grids[i / 2];
        grid.qr = i % 2;
        if (labels_grid_fault(&c.arena, &grid))
            continue;
        struct paper *p = draw_labels(&c, &grid);
        unsigned texts = 0, marks = 0;
        bool home = false;
        assert_int_equal(p->sheets.n, 1);
        for (uint32_t k = 0; k < p->sheets.at[0]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[0]->marks.at[k];
            if (m->group->role != ROLE_LABEL)
                continue;
            int place = place_of_mark(&grid, m);
            if (place < 0 || place > 10)
                print_error("%s: %s at %d\n", grid.name, m->text ? m->text : "a sign", place);
            assert_true(place >= 0 && place <= 10); /* one may be taken by the errors */
            texts += m->kind == MARK_TEXT;
            marks++;
            home |= m->kind == MARK_TEXT && strstr(m->text, "HOME");
            assert_true(m->kind != MARK_TEXT || m->lettering.caps >= CAPS_NOTE);
        }
        assert_true(texts >= 20 && marks > texts && home);
    }
    compile_free(&c);
}

/* "Tag 4.2 mm bold, one line 2.0 mm", upright on both halves. */
static void both_halves_bear_the_tag(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A as LIGHT");
    struct paper *p = draw_labels(&c, NULL);
    unsigned tags = 0, ends = 0, triangles = 0;
    for (uint32_t k = 0; k < p->sheets.at[0]->marks.n; k++) {
        const struct mark *m = &p->sheets.at[0]->marks.at[k];
        if (m->kind == MARK_TEXT && !strcmp(m->text, "LIGHT")) {
            tags++;
            assert_int_equal(m->lettering.caps, 4200);
            assert_true(m->lettering.bold);
            assert_int_equal(m->lettering.degrees, 0);
        }
        if (m->kind == MARK_TEXT && !strcmp(m->text, "at P, HOME RUN")) {
            ends++;
            assert_int_equal(m->lettering.caps, 2000);
        }
        triangles += m->kind == MARK_SHAPE;
    }
    assert_int_equal(tags, 4); /* both ends, both halves */
    assert_int_equal(ends, 2);
    assert_int_equal(triangles, 4);
    compile_free(&c);
}

static void sheets_begin_where_they_are_told(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A -> B -> C");
    struct label_sheet grid = *labels_grid_named("letter-10");
    grid.start = 8;
    struct paper *p = draw_labels(&c, &grid);
    assert_int_equal(p->sheets.n, 2); /* six labels, three on each sheet */
    for (uint32_t i = 0; i < 2; i++) {
        bool said = false;
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            said |= m->kind == MARK_TEXT && strstr(m->text, i ? "sheet 2 of 2" : "sheet 1 of 2");
            int place = m->group->role == ROLE_LABEL ? place_of_mark(&grid, m) : -1;
            assert_true(m->group->role != ROLE_LABEL || (i ? place >= 0 && place < 3 : place >= 7));
        }
        assert_true(said);
    }
    compile_free(&c);
}

/* --- prints ------------------------------------------------------------------------------- */

struct print {
    unsigned wide, high;
    unsigned char *gray;
};

enum { PRINT_DPI = 300 };

static struct print read_print(const char *path)
{
    struct print p = {0};
    FILE *in = fopen(path, "rb");
    assert_non_null(in);
    assert_int_equal(fscanf(in, "P5 %u %u 255", &p.wide, &p.high), 2);
    fgetc(in);
    p.gray = malloc((size_t)p.wide * p.high);
    assert_int_equal(fread(p.gray, 1, (size_t)p.wide * p.high, in), (size_t)p.wide * p.high);
    fclose(in);
    return p;
}

/* Whether there is ink within 0.2 mm of the line across at x, at that height. */
static bool ink_at(const struct print *p, um x, um y)
{
    um from = (x - 200) * PRINT_DPI / PAPER_INCH, to = (x + 200) * PRINT_DPI / PAPER_INCH,
       row = y * PRINT_DPI / PAPER_INCH;
    for (um i = from < 0 ? 0 : from; i <= to && i < (um)p->wide; i++)
        if (p->gray[(size_t)row * p->wide + (size_t)i] < 160)
            return true;
    return false;
}

static const char *binary(void)
{
    const char *named = getenv("STUDBAY");
    return named ? named : "build/studbay";
}

/* Edges stand where the grid has them, to 0.2 mm: as poppler prints the PDF. */
static void sheets_measure_right_on_paper(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-labels-XXXXXX", command[512], path[64];
    assert_non_null(mkdtemp(folder));
    for (uint32_t i = 0; i < labels_grid_count; i++) {
        const struct label_sheet *g = &labels_grids[i];
        snprintf(
            command, sizeof command,
            "'%s' draw labels examples/small/two-places.bay --sheet %s --outline --number 1 -o "
            "%s/x.pdf 2>/dev/null && pdftoppm -r %d -gray -singlefile %s/x.pdf %s/x",
            binary(), g->name, folder, PRINT_DPI, folder, folder);
        assert_int_equal(system(command), 0);
        snprintf(path, sizeof path, "%s/x.pgm", folder);
        struct print p = read_print(path);
        unsigned seen = 0;
        for (uint32_t k = 0; k < g->columns * g->rows; k++) {
            um left = paper_scaled(g->left + (length)(k % g->columns) * g->pitch_x, 1),
               right = left + paper_scaled(g->label_width, 1),
               page = paper_scaled(g->page_width, 1),
               y = paper_scaled(g->top + (length)(k / g->columns) * g->pitch_y, 1) +
                   paper_scaled(g->label_height, 1) - 6 * MM / 5;
            if (y > (um)p.high * PAPER_INCH / PRINT_DPI - 4500 || y < 4500)
                continue;
            assert_true(left < 4500 || ink_at(&p, left, y));
            assert_true(right > page - 4500 || ink_at(&p, right, y));
            assert_false(ink_at(&p, left + 700, y));
            seen++;
        }
        if (seen + 1 < g->rows)
            print_error("%s: %u places\n", g->name, seen);
        assert_true(seen + 1 >= g->rows);
        free(p.gray);
        snprintf(command, sizeof command, "rm -f %s/x.pdf %s/x.pgm", folder, folder);
        assert_int_equal(system(command), 0);
    }
    assert_int_equal(rmdir(folder), 0);
}

/* What a reader of codes makes of a print: both tags of a plan of few cables, or the addresses of
 * its book. */
static void codes_are_read(void **state)
{
    (void)state;
    static const struct {
        const char *head, *said;
    } plans[] = {{"", "P2 P-hal R1"},
                 {"book \"https://example.org/job/book.html\"",
                  "https://example.org/job/book.html#hall.R1"}};
    for (size_t i = 0; i < 2; i++) {
        char folder[] = "/tmp/studbay-codes-XXXXXX", command[512], path[64], line[512] = "";
        assert_non_null(mkdtemp(folder));
        snprintf(path, sizeof path, "%s/x.bay", folder);
        FILE *out = fopen(path, "w");
        fprintf(out,
                "plan \"codes\" {\n  edition nec-2023\n  %s\n}\n"
                "panel P main 100 A spaces 12 {\n  at hall south from 2'\n}\n"
                "room hall { size 10' by 8'\n  box R1 north from 3' up 16\" { receptacle }\n}\n"
                "circuit P.2 20 A {\n  run P -> hall.R1\n}\n",
                plans[i].head);
        fclose(out);
        snprintf(command, sizeof command,
                 "'%s' draw labels %s --qr --dpi 300 -o %s/x.png >/dev/null 2>&1; zbarimg -q --raw "
                 "%s/x.png 2>/dev/null",
                 binary(), path, folder, folder);
        FILE *in = popen(command, "r");
        bool read = false;
        while (fgets(line, sizeof line, in)) {
            line[strcspn(line, "\n")] = 0;
            read |= !strcmp(line, plans[i].said);
        }
        pclose(in);
        if (!read)
            print_error("not read: %s, but: %s\n", plans[i].said, line);
        assert_true(read);
        snprintf(command, sizeof command, "rm -r %s", folder);
        assert_int_equal(system(command), 0);
    }
}

/* The plan's errors stand on every label sheet: across a margin, in its words, or on a label. */
static void errors_are_told_on_every_sheet(void **state)
{
    (void)state;
    struct compilation c;
    compile_runs(&c, "run P -> shed.A\nrun shed.A -> nowhere.B");
    assert_true(c.diag.counts[ERROR] > 0);
    for (uint32_t i = 0; i <= labels_grid_count; i++) {
        struct label_sheet one = {"one", 4 * INCH, 2 * INCH, 4 * INCH, 2 * INCH, 1,
                                  1,     0,        0,        4 * INCH, 2 * INCH, .start = 1};
        const struct label_sheet *g = i < labels_grid_count ? &labels_grids[i] : &one;
        struct paper *p = draw_labels(&c, g);
        bool said = false;
        for (uint32_t k = 0; k < p->sheets.at[0]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[0]->marks.at[k];
            said |= m->kind == MARK_TEXT && strstr(m->text, "NOT TO BE BUILT FROM");
        }
        assert_true(said);
    }
    compile_free(&c);
}

/* Exit status of `studbay draw labels` with these options. */
static int draw_with(const char *options)
{
    char command[512];
    snprintf(command, sizeof command,
             "'%s' draw labels tests/rules/labels-alike.good.bay %s >/dev/null 2>&1", binary(),
             options);
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
        {"--sheet a4-65 --start 65 --outline --number 1", 0},
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
        {"--qr --number 1", 0},
        {"--qr --sheet letter-80", 2},
        {"--label 1.2inx1in", 2},
        {"--number 9", 2},
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
        cmocka_unit_test(both_halves_bear_the_tag),
        cmocka_unit_test(sheets_begin_where_they_are_told),
        cmocka_unit_test(sheets_measure_right_on_paper),
        cmocka_unit_test(codes_are_read),
        cmocka_unit_test(errors_are_told_on_every_sheet),
        cmocka_unit_test(grids_come_from_options),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

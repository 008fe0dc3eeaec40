/* Tables in their four formats, breaker spaces, and what reports and drawings make of a small plan
 * built by hand. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/file.h"
#include "base/json.h"
#include "base/utf8.h"
#include "cuts/cuts.h"
#include "emit/dot/dot.h"
#include "base/program.h"
#include "emit/reports/reports.h"
#include "model/makeup.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "model/site.h"
#include "prove/prove.h"
#include "rule_of.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* --- tables ------------------------------------------------------------------------------- */

static const struct column columns[] = {
    {"box", "Box", 0, 0},
    {"unit", "Unit", 0, COLUMN_IF_USED},
    {"feet", "Feet", 2, COLUMN_RIGHT},
    {"up_in", "Up", 2, COLUMN_RIGHT | COLUMN_INCHES},
    {"va", "VA", 1, COLUMN_RIGHT},
    {"old", "Old", 0, 0},
    {"words", "Words", 0, 0},
    {"nets", "Nets", 0, 0},
    {"hidden", "Hidden", 0, COLUMN_DATA},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

struct bench {
    struct arena arena;
    struct grid grid;
    struct buf out;
};

static void begin(struct bench *b)
{
    memset(b, 0, sizeof *b);
    table_begin(&b->grid, &b->arena, columns, COLUMNS);
}

static void end(struct bench *b)
{
    buf_free(&b->out);
    arena_free(&b->arena);
}

static void add_row(struct bench *b, const char *box, double va)
{
    static const char *const words[] = {"one", "two, three"};
    static const char *const nets[] = {"line", "black", "neutral", "white"};
    struct cell *row = table_row(&b->grid);
    row[0] = cell_text(box);
    row[2] = cell_length(12 * FOOT + 6 * INCH + INCH / 2);
    row[3] = cell_length(16 * INCH);
    row[4] = cell_number(va);
    row[5] = cell_bool(va > 100);
    row[6] = cell_list(words, 2);
    row[7] = cell_records("net", "colour", nets, 2);
    row[8] = cell_integer(-7);
}

static void csv_is_as_the_standard_asks(void **state)
{
    (void)state;
    struct bench b;
    begin(&b);
    add_row(&b, "a \"b\"\nc", 1500.25);
    table_csv(&b.grid, &b.out);
    assert_string_equal(buf_text(&b.out), "box,feet,up_in,va,old,words,nets,hidden\r\n"
                                          "\"a \"\"b\"\"\nc\",12.54,16.00,1500.3,true,\"one; two, "
                                          "three\",line black; neutral white,-7\r\n");
    end(&b);
}

static void write_json(struct bench *b)
{
    struct json json = json_begin(&b->out);
    table_json(&b->grid, &json);
}

static void json_keeps_types_and_leaves_out_what_is_not_used(void **state)
{
    (void)state;
    struct bench b;
    begin(&b);
    add_row(&b, "a\"\\\n\x01", NAN);
    write_json(&b);
    assert_string_equal(buf_text(&b.out),
                        "[\n  {\"box\": \"a\\\"\\\\\\n\\u0001\", \"feet\": 12.54, \"up_in\": "
                        "16.00, \"va\": null, \"old\": false, "
                        "\"words\": [\"one\", \"two, three\"], \"nets\": [{\"net\": \"line\", "
                        "\"colour\": \"black\"}, "
                        "{\"net\": \"neutral\", \"colour\": \"white\"}], \"hidden\": -7}\n]");
    end(&b);
}

static void a_column_that_some_rows_use_is_null_in_no_row(void **state)
{
    (void)state;
    struct bench b;
    begin(&b);
    add_row(&b, "a", 1);
    add_row(&b, "b", 1);
    b.grid.cells.at[COLUMNS + 1] = cell_text("u1");
    write_json(&b);
    assert_null(strstr(buf_text(&b.out), "\"unit\": null"));
    assert_non_null(strstr(buf_text(&b.out), "\"unit\": \"u1\""));
    b.out.n = 0;
    table_csv(&b.grid, &b.out);
    assert_non_null(strstr(buf_text(&b.out), "box,unit,feet"));
    assert_non_null(strstr(buf_text(&b.out), "\r\na,,12.54"));
    end(&b);
}

static void markdown_escapes_its_marks(void **state)
{
    (void)state;
    struct bench b;
    begin(&b);
    add_row(&b, "a|b *c* <d>\nE", 101);
    table_markdown(&b.grid, &b.out);
    assert_non_null(strstr(buf_text(&b.out),
                           "| a\\|b \\*c\\* \\<d\\><br>E | 12'-6 1/2\" | 16\" | 101.0 | yes |"));
    assert_null(strstr(buf_text(&b.out), "Hidden"));
    end(&b);
}

static void text_stands_in_columns(void **state)
{
    (void)state;
    struct bench b;
    begin(&b);
    add_row(&b, "kueche.\xc3\xbc", 9);
    add_row(&b, "x", 1200);
    table_text(&b.grid, &b.out, 100);
    assert_string_equal(
        buf_text(&b.out),
        "Box             Feet   Up      VA  Old  Words            Nets\n"
        "--------  ----------  ---  ------  ---  ---------------  -------------\n"
        "kueche.\xc3\xbc  12'-6 1/2\"  16\"     9.0       one, two, three  line black\n"
        "                                                         neutral white\n"
        "x         12'-6 1/2\"  16\"  1200.0  yes  one, two, three  line black\n"
        "                                                         neutral white\n");
    end(&b);
}

/* The letters of a text in order, without blanks and rules. */
static size_t letters(const char *text, const char *skip)
{
    size_t n = 0;
    for (; *text; text++)
        n += !strchr(skip, *text);
    return n;
}

static void narrow_text_wraps_and_loses_nothing(void **state)
{
    (void)state;
    struct bench b;
    begin(&b);
    add_row(&b, "a-rather-long-name.with-a-long-end and several words behind it", 1200);
    add_row(&b, "short", 5);
    for (unsigned width = 60; width <= 140; width += 10) {
        struct buf wide = {0};
        b.out.n = 0;
        table_text(&b.grid, &wide, 1000);
        table_text(&b.grid, &b.out, width);
        assert_int_equal(letters(buf_text(&b.out), " \n-"), letters(buf_text(&wide), " \n-"));
        for (const char *line = buf_text(&b.out); *line;) {
            size_t n = strcspn(line, "\n");
            assert_true(utf8_cells(line, n, 0) <= width);
            line += n + 1;
        }
        buf_free(&wide);
    }
    end(&b);
}

static void numbers_are_rounded_and_plain(void **state)
{
    (void)state;
    static const struct {
        double n;
        unsigned decimals;
        const char *text;
    } cases[] = {
        {0, 2, "0.00"},
        {2.675, 2, "2.68"},
        {-0.5, 0, "-1"},
        {-0.001, 2, "0.00"},
        {1234567.891, 1, "1234567.9"},
        {0.049, 1, "0.0"},
        {0.05, 1, "0.1"},
        {99.995, 2, "100.00"},
        {-12.25, 1, "-12.3"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct buf b = {0};
        table_print_number(&b, cases[i].n, cases[i].decimals);
        assert_string_equal(buf_text(&b), cases[i].text);
        buf_free(&b);
    }
}

static void paragraphs_keep_to_their_width(void **state)
{
    (void)state;
    struct buf b = {0};
    table_print_paragraph(&b, "one two three four five", 10, 2);
    assert_string_equal(buf_text(&b), "one two\n  three\n  four\n  five\n");
    buf_free(&b);
}

/* --- spaces ------------------------------------------------------------------------------- */

enum { MOST = 12 };

struct house {
    struct arena arena;
    struct names names;
    struct diag diag;
    struct model model;
    struct panel panel;
    struct circuit circuit[MOST];
    struct circuit_load load[MOST];
    struct loads loads;
};

static void begin_house(struct house *h, uint32_t spaces)
{
    memset(h, 0, sizeof *h);
    h->names.arena = h->diag.arena = &h->arena;
    h->model.names = &h->names;
    h->model.arena = &h->arena;
    h->panel = (struct panel){.name = "P", .spaces = spaces};
    h->loads.of_circuit = h->load;
    *vec_push(&h->arena, &h->model.panels) = &h->panel;
}

static struct circuit *add_circuit(struct house *h, double va)
{
    static const char *const names[MOST] = {"1", "2", "3", "4",  "5",  "6",
                                            "7", "8", "9", "10", "11", "12"};
    uint32_t id = h->model.circuits.n;
    struct circuit *c = &h->circuit[id];
    *c = (struct circuit){.id = id, .name = names[id], .panel = &h->panel, .breaker = 20};
    h->load[id] = (struct circuit_load){.va = va};
    *vec_push(&h->arena, &h->model.circuits) = c;
    *vec_push(&h->arena, &h->panel.circuits) = c;
    return c;
}

static void written_spaces_stay_and_taken_ones_are_left_alone(void **state)
{
    (void)state;
    struct house h;
    begin_house(&h, 12);
    *vec_push(&h.arena, &h.panel.taken) = (struct space_range){1, 4};
    add_circuit(&h, 100)->space = 7;
    add_circuit(&h, 200)->two_pole = true;
    add_circuit(&h, 300)->existing = true;
    add_circuit(&h, 400);
    struct panels *p = panels_lay_out(&h.arena, &h.model, &h.loads);
    assert_int_equal(p->of_circuit[0].space, 7);
    assert_int_equal(p->of_circuit[1].space, 6); /* 5 would want 7 too */
    assert_int_equal(p->of_circuit[1].poles, 2);
    assert_int_equal(p->of_circuit[2].space, 0);
    /* 6 and 8 are gone; line A carries 100, line B (7 is in row 4) 200: the largest goes to line A
     */
    assert_int_equal(p->of_circuit[3].space, 5);
    arena_free(&h.arena);
}

static void the_lines_are_balanced(void **state)
{
    (void)state;
    struct house h;
    begin_house(&h, 20);
    static const double loads[] = {900, 300, 1200, 600, 500, 100};
    for (int i = 0; i < 6; i++)
        add_circuit(&h, loads[i]);
    struct panels *p = panels_lay_out(&h.arena, &h.model, &h.loads);
    assert_true(fabs(p->of_panel[0].va[0] + p->of_panel[0].va[1] - 3600) < 1e-9);
    assert_true(fabs(p->of_panel[0].va[0] - p->of_panel[0].va[1]) <= 200);
    bool used[24] = {false};
    for (int i = 0; i < 6; i++) {
        uint32_t space = p->of_circuit[i].space;
        assert_true(space >= 1 && space <= 20 && !used[space]);
        used[space] = true;
        assert_true(p->of_circuit[i].line_va[space_line(space)] == loads[i]);
    }
    arena_free(&h.arena);
}

static void a_full_panel_gives_no_space_and_never_two(void **state)
{
    (void)state;
    struct house h;
    begin_house(&h, 4);
    for (int i = 0; i < 6; i++)
        add_circuit(&h, 100);
    struct panels *p = panels_lay_out(&h.arena, &h.model, &h.loads);
    unsigned placed = 0, sum = 0;
    for (int i = 0; i < 6; i++) {
        placed += p->of_circuit[i].space > 0;
        sum += p->of_circuit[i].space;
    }
    assert_int_equal(placed, 4);
    assert_int_equal(sum, 1 + 2 + 3 + 4);
    arena_free(&h.arena);
}

static void a_multiwire_circuit_puts_each_half_on_its_line(void **state)
{
    (void)state;
    struct house h;
    begin_house(&h, 8);
    struct circuit *c = add_circuit(&h, 1000);
    static struct part parts[2] = {{.pole = 'a', .load = 700}, {.pole = 'b', .load = 200}};
    c->multiwire = true;
    c->space = 3; /* line B first */
    *vec_push(&h.arena, &c->parts) = &parts[0];
    *vec_push(&h.arena, &c->parts) = &parts[1];
    struct panels *p = panels_lay_out(&h.arena, &h.model, &h.loads);
    assert_int_equal(p->of_circuit[0].poles, 2);
    assert_true(p->of_panel[0].va[1] == 750);
    assert_true(p->of_panel[0].va[0] == 250);
    arena_free(&h.arena);
}

/* --- reports and drawings of a house of one box ------------------------------------------- */

struct cottage {
    struct house house;
    struct names *names;
    struct library lib;
    struct level level;
    struct wall wall;
    struct room room;
    struct box box;
    struct box_type type;
    struct device_def def;
    struct device device, *devices[1];
    struct body body;
    struct part part;
    struct run run;
    struct route route;
    struct cable_def cable;
    struct net line;
    struct conductor conductors[2];
    struct run_wiring run_wiring;
    struct fill fill;
    struct routes routes;
    struct upright stud;
    struct mounting mounting;
    struct mountings mountings;
    struct wiring wiring;
    struct cuts cuts;
    struct makeup makeup; /* nothing is joined in it */
    struct made_run made_run;
    uint32_t first_of_box[2];
    uint32_t first_tab[2];
    struct proven_circuit proven[4];
    struct verdict verdict;
    struct bores bores;
    struct results results;
};

static void begin_cottage(struct cottage *c)
{
    memset(c, 0, sizeof *c);
    begin_house(&c->house, 8);
    struct arena *arena = &c->house.arena;
    struct model *m = &c->house.model;
    struct circuit *circuit = add_circuit(&c->house, 180);
    circuit->title = "Hall \"north\"";
    circuit->number = circuit->space = 1;
    circuit->afci = true;
    c->lib = (struct library){.diag = &c->house.diag, .names = &c->house.names};
    m->code.lib = &c->lib;
    m->title = "Cottage";
    c->wall = (struct wall){.name = "south", .length = 10 * FOOT};
    c->room = (struct room){.name = "hall", .level = &c->level, .walls = &c->wall, .wall_count = 1};
    c->room.wall_framing.spacing = 16 * INCH;
    c->type = (struct box_type){.name = "nail-on-1g-20", .gangs = 1, .volume = 20};
    c->def = (struct device_def){.name = "receptacle", .title = "Receptacle, 15 A", .yokes = 1};
    c->part = (struct part){.device = &c->device, .circuit = circuit, .body = &c->body};
    c->device = (struct device){.def = &c->def, .box = &c->box, .parts = &c->part, .part_count = 1};
    c->devices[0] = &c->device;
    c->box = (struct box){.name = "R1", .room = &c->room, .devices = c->devices, .device_count = 1};
    c->box.place = (struct place){.where = ON_WALL, .from_left = 31 * INCH, .up = 16 * INCH};
    c->cable = (struct cable_def){.name = "12/2"};
    c->run = (struct run){.circuit = circuit,
                          .from = {.panel = &c->house.panel},
                          .to = {.box = &c->box},
                          .in_tree = true};
    c->route = (struct route){
        .known = true, .path = 20 * FOOT, .cut = 24 * FOOT, .supports = 5, .plates = 1};
    c->line = (struct net){.name = "line", .circuit = circuit};
    c->conductors[0] = (struct conductor){.net = &c->line, .color = "black"};
    c->conductors[1] = (struct conductor){.color = "white"};
    c->run_wiring =
        (struct run_wiring){.cable = &c->cable, .conductors = c->conductors, .count = 2, .used = 1};
    c->fill = (struct fill){.type = &c->type,
                            .gangs = 1,
                            .volume = 20,
                            .conductors = 4,
                            .grounds = 1,
                            .devices = 2,
                            .required = 15.75};
    *vec_push(arena, &m->boxes) = &c->box;
    *vec_push(arena, &m->rooms) = &c->room;
    *vec_push(arena, &m->devices) = &c->device;
    *vec_push(arena, &m->runs) = &c->run;
    *vec_push(arena, &circuit->runs) = &c->run;
    *vec_push(arena, &c->box.runs) = &c->run;
    c->routes.of_run = &c->route;
    c->stud = (struct upright){.at = 32 * INCH, .index = 2};
    c->mounting = (struct mounting){
        .place = c->box.place, .stand = STAND_BETWEEN, .stud = &c->stud, .apart = INCH};
    c->mountings.of_box = &c->mounting;
    c->routes.mountings = &c->mountings;
    c->made_run = (struct made_run){.cable = &c->cable, .made = true};
    c->makeup = (struct makeup){
        .runs = &c->made_run, .first_of_box = c->first_of_box, .first_tab = c->first_tab};
    c->verdict = (struct verdict){.holds = true, .circuits = c->proven};
    c->wiring = (struct wiring){.of_run = &c->run_wiring, .of_box = &c->fill};
    c->results = (struct results){.arena = arena,
                                  .diag = &c->house.diag,
                                  .model = m,
                                  .routes = &c->routes,
                                  .wiring = &c->wiring,
                                  .makeup = &c->makeup,
                                  .verdict = &c->verdict,
                                  .loads = &c->house.loads,
                                  .panels = panels_lay_out(arena, m, &c->house.loads),
                                  .cuts = &c->cuts,
                                  .bores = &c->bores};
    results_prepare(&c->results);
}

static const char *written(struct cottage *c, const char *report, enum report_format format)
{
    struct buf out = {0};
    report_write(report_named(report), &c->results, format, &out);
    const char *text = arena_copy(&c->house.arena, buf_text(&out), out.n);
    buf_free(&out);
    return text;
}

static void boxes_are_placed_from_both_ends(void **state)
{
    (void)state;
    struct cottage c;
    begin_cottage(&c);
    const char *json = written(&c, "boxes", REPORT_JSON);
    assert_non_null(strstr(json,
                           "{\"box\": \"hall.R1\", \"room\": \"hall\", \"wall\": \"south\", "
                           "\"from_left_ft\": 2.58, \"from_right_ft\": 7.42, \"up_in\": 16.00, "));
    assert_non_null(strstr(json, "\"type\": \"nail-on-1g-20\", \"gangs\": 1, \"stud\": "
                                 "\"stud 2\", \"stud_side\": \"left\", \"stud_in\": 1.00, "
                                 "\"devices\": [\"receptacle\"]}"));
    assert_non_null(strstr(written(&c, "boxes", REPORT_TEXT), "1\" left of 2"));
    arena_free(&c.house.arena);
}

static void the_other_reports_have_their_columns(void **state)
{
    (void)state;
    struct cottage c;
    begin_cottage(&c);
    assert_non_null(strstr(
        written(&c, "fill", REPORT_JSON),
        "\"volume_in3\": 20.0, \"conductors\": 4, \"grounds\": 1, \"clamps\": 0, \"fittings\": 0, "
        "\"devices\": 2, \"required_in3\": 15.75, \"free_in3\": 4.25, \"percent\": 78.8}"));
    assert_non_null(strstr(written(&c, "runs", REPORT_JSON),
                           "\"from\": \"P\", \"to\": \"hall.R1\", \"cable\": \"12/2\", \"nets\": "
                           "[{\"net\": \"line\", \"colour\": \"black\"}], "
                           "\"spares\": 1, \"route_ft\": 20.00, \"cut_ft\": 24.00, \"measured\": "
                           "false, \"bores\": 0, \"supports\": 5, \"plates\": 1}"));
    const char *panel = written(&c, "panel", REPORT_JSON);
    assert_non_null(strstr(panel,
                           "{\"panel\": \"P\", \"space\": 1, \"circuit\": \"1\", \"handle\": "
                           "\"P1\", \"found\": false, \"title\": \"Hall "
                           "\\\"north\\\"\", \"poles\": 1, \"breaker_a\": 20, "
                           "\"protection\": \"afci\", \"phase\": \"A\", \"cable\": \"12/2\", "
                           "\"rooms\": [\"hall\"], \"existing\": false, \"va\": 180, "
                           "\"continuous_va\": 0}"));
    assert_non_null(
        strstr(panel, "{\"panel\": \"P\", \"phase\": \"B\", \"va\": 0, \"continuous_va\": 0}"));
    const char *materials = written(&c, "materials", REPORT_CSV);
    assert_non_null(strstr(materials, "\r\nbreaker 20 A afci,1,each,,\r\n"));
    assert_non_null(strstr(materials, "\r\nnail-on-1g-20,1,each,,\r\n"));
    assert_non_null(strstr(materials, "\r\nreceptacle,1,each,,\r\n"));
    arena_free(&c.house.arena);
}

static void every_report_carries_its_caution_and_the_waivers(void **state)
{
    (void)state;
    struct cottage c;
    begin_cottage(&c);
    struct finding *f =
        diag_add(&c.house.diag, rule_of("voltage-drop"), (struct span){0}, "too long");
    f->waived = "measured on site";
    f->subject = "circuit P.1";
    diag_finish(&c.house.diag);
    for (uint32_t i = 0; i < report_count; i++) {
        const char *text = written(&c, report_table[i].name, REPORT_TEXT);
        assert_non_null(
            strstr(text, "waived: voltage-drop, P1: too long; because measured on site"));
        assert_true(strlen(report_table[i].caution) > 20);
        /* the caution is wrapped: its last word ends the text */
        const char *last = strrchr(report_table[i].caution, ' ');
        assert_string_equal(text + strlen(text) - strlen(last),
                            arena_printf(&c.house.arena, "%s\n", last + 1));
        assert_non_null(strstr(written(&c, report_table[i].name, REPORT_JSON),
                               "{\"rule\": \"voltage-drop\", \"subject\": \"circuit P.1\""));
        assert_null(strstr(text, "meets"));
    }
    arena_free(&c.house.arena);
}

static void errors_of_the_plan_are_said(void **state)
{
    (void)state;
    struct cottage c;
    begin_cottage(&c);
    assert_null(strstr(written(&c, "fill", REPORT_TEXT), "The plan has"));
    diag_add(&c.house.diag, rule_of("unknown-name"), (struct span){0}, "no such box");
    diag_finish(&c.house.diag);
    assert_non_null(strstr(written(&c, "fill", REPORT_TEXT), "The plan has 1 error:"));
    assert_non_null(strstr(written(&c, "fill", REPORT_JSON), "\"errors\": 1,"));
    arena_free(&c.house.arena);
}

static void circuits_are_drawn_from_the_breaker(void **state)
{
    (void)state;
    struct cottage c;
    begin_cottage(&c);
    struct buf dot = {0};
    dot_circuits(&c.results, &dot);
    const char *text = buf_text(&dot);
    assert_non_null(strstr(text, "label=\"circuit P1  Hall \\\"north\\\"\";"));
    assert_non_null(strstr(
        text,
        "c0_panel0 [label=\"panel P\\nspace 1\\nbreaker 20 A afci\", shape=box, peripheries=2];"));
    assert_non_null(strstr(text, "c0_panel0 -> c0_box0 [label=\"HOME RUN\\l12/2  24'\\lblack: "
                                 "line\\lwhite: spare, capped\\l \\l\", dir=back, penwidth=2.2];"));
    buf_free(&dot);
    arena_free(&c.house.arena);
}

static const struct program_limits usual = {.seconds = 60, .bytes = 1 << 20};

static const char *dot_picture(struct arena *arena, const struct buf *dot,
                               struct program_limits limits, struct buf *out)
{
    char name[] = "dot", svg[] = "-Tsvg";
    char *words[] = {name, svg, NULL};
    struct program program = {.words = words,
                              .needs = "svg needs Graphviz's program dot",
                              .instead = "--format dot works without it",
                              .limits = limits};
    return program_run(arena, &program, dot, out);
}

static void programs_are_given_bytes_and_give_bytes(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct buf dot = {0}, picture = {0};
    /* larger than what a pipe holds, so that both ways are in use at once */
    buf_puts(&dot, "digraph g {\n");
    buf_fill(&dot, '\n', 1 << 20);
    buf_puts(&dot, "a -> b;\n}\n");
    const char *failed = dot_picture(&arena, &dot, usual, &picture);
    assert_null(failed);
    assert_non_null(strstr(buf_text(&picture), "<svg"));
    picture.n = dot.n = 0;
    buf_puts(&dot, "digraph {{{ no dot");
    assert_non_null(dot_picture(&arena, &dot, usual, &picture));
    char *path = strdup(getenv("PATH"));
    setenv("PATH", "/nonexistent", 1);
    failed = dot_picture(&arena, &dot, usual, &picture);
    setenv("PATH", path, 1);
    free(path);
    assert_non_null(failed);
    assert_non_null(strstr(failed, "--format dot"));
    buf_free(&dot);
    buf_free(&picture);
    arena_free(&arena);
}

/* What the program that is found as dot does, and what is said of it. */
static void a_dot_without_end_is_ended(void **state)
{
    (void)state;
    static const struct {
        const char *does, *said;
    } dots[] = {{"exec sleep 60", "longer than 1 second"},
                {"exec yes", "more than 4096 bytes"},
                {"echo '<svg/>'; exec >&-; exec sleep 60", "longer than 1 second"}};
    char folder[] = "/tmp/studbay-dot-XXXXXX", file[64], *path = strdup(getenv("PATH"));
    assert_non_null(mkdtemp(folder));
    snprintf(file, sizeof file, "%s/dot", folder);
    for (size_t i = 0; i < sizeof dots / sizeof *dots; i++) {
        struct arena arena = {0};
        struct buf script = {0}, dot = {0}, picture = {0}, paths = {0};
        buf_printf(&script, "#!/bin/sh\n%s\n", dots[i].does);
        assert_true(file_write(&script, file));
        assert_int_equal(chmod(file, 0700), 0);
        buf_printf(&paths, "%s:%s", folder, path);
        setenv("PATH", buf_text(&paths), 1);
        buf_puts(&dot, "digraph g { a }");
        const char *failed = dot_picture(&arena, &dot, (struct program_limits){1, 4096}, &picture);
        setenv("PATH", path, 1);
        assert_non_null(failed);
        assert_non_null(strstr(failed, dots[i].said));
        buf_free(&script);
        buf_free(&dot);
        buf_free(&picture);
        buf_free(&paths);
        arena_free(&arena);
    }
    unlink(file);
    rmdir(folder);
    free(path);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(csv_is_as_the_standard_asks),
        cmocka_unit_test(json_keeps_types_and_leaves_out_what_is_not_used),
        cmocka_unit_test(a_column_that_some_rows_use_is_null_in_no_row),
        cmocka_unit_test(markdown_escapes_its_marks),
        cmocka_unit_test(text_stands_in_columns),
        cmocka_unit_test(narrow_text_wraps_and_loses_nothing),
        cmocka_unit_test(numbers_are_rounded_and_plain),
        cmocka_unit_test(paragraphs_keep_to_their_width),
        cmocka_unit_test(written_spaces_stay_and_taken_ones_are_left_alone),
        cmocka_unit_test(the_lines_are_balanced),
        cmocka_unit_test(a_full_panel_gives_no_space_and_never_two),
        cmocka_unit_test(a_multiwire_circuit_puts_each_half_on_its_line),
        cmocka_unit_test(boxes_are_placed_from_both_ends),
        cmocka_unit_test(the_other_reports_have_their_columns),
        cmocka_unit_test(every_report_carries_its_caution_and_the_waivers),
        cmocka_unit_test(errors_of_the_plan_are_said),
        cmocka_unit_test(circuits_are_drawn_from_the_breaker),
        cmocka_unit_test(programs_are_given_bytes_and_give_bytes),
        cmocka_unit_test(a_dot_without_end_is_ended),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

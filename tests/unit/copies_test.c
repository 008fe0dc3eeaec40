/* Copies of rooms and units: what is mirrored or turned is drawn as the mirror image of what it was
 * copied from, and a given value is read wherever the value itself could stand. Random rooms,
 * always the same for a seed. */
#include "compiled.h"
#include "generate.h"

#include "cmd/cmd.h"
#include "emit/drawings/drawings.h"
#include "emit/reports/reports.h"

#include <limits.h>

enum { SEEDS = 40, MOST_ITEMS = 4000 };

/* --- random rooms ------------------------------------------------------------------------- */

/* A text in which <VALUE> marks what a given value may stand for. */
struct template
{
    uint64_t state;
    struct buf out;
};

static const char *const walls[] = {"north", "east", "south", "west"};

static void write_door(struct template *t)
{
    static const char *const hinges[] = {"", " hinge left", " hinge right"}, *const ways[] = {
                                                                                 "", " swings in",
                                                                                 " swings out",
                                                                                 " sliding"};
    buf_printf(&t->out, "%s%s", hinges[pick(&t->state, 3)], ways[pick(&t->state, 4)]);
}

/* Boxes are there already: new ones are set beside the wood, and the studs of a copy are its own.
 */

/* A wall with one thing that parts it, and one that stands before it: steps of 6", so that each
 * place on paper is a whole one. */
static void write_wall(struct template *t, const char *wall)
{
    static const char *const parts[] = {"door", "window", "opening"}, *const fixed[] = {
                                                                          "counter",   "fixed",
                                                                          "sink",      "basin",
                                                                          "tub",       "shower",
                                                                          "peninsula", "range",
                                                                          "railing"};
    unsigned form = pick(&t->state, 3);
    buf_printf(&t->out, "    %s %s at <%u'> wide <%u\">", parts[form], wall, 1 + pick(&t->state, 2),
               24 + 6 * pick(&t->state, 3));
    if (form == 0)
        write_door(t);
    if (form == 1)
        buf_printf(&t->out, " sill <%u\">", 6 * pick(&t->state, 7));
    buf_printf(&t->out, "\n    %s %s at <%u'> wide <%u'>", fixed[pick(&t->state, 9)], wall,
               5 + pick(&t->state, 2), 1 + pick(&t->state, 3));
    if (chance(&t->state, 50))
        buf_printf(&t->out, " deep <%u\">", 6 * (1 + pick(&t->state, 6)));
    buf_puts(&t->out, "\n");
}

/* Boxes are there already: new ones are set beside the wood, and the studs of a copy are its own.
 */
static void write_body(struct template *t, unsigned side)
{
    buf_printf(&t->out, "    kind <hall>\n    ceiling <%u'>\n    walls <2x6> at <16\">\n",
               8 + pick(&t->state, 2));
    buf_printf(&t->out, "    size <%u'> by <%u'>\n", side, side + pick(&t->state, 4));
    for (unsigned i = 0; i < 4; i++)
        if (chance(&t->state, 70))
            write_wall(t, walls[i]);
    buf_printf(&t->out, "    bearing <%s>\n", walls[pick(&t->state, 4)]);
    for (unsigned i = 0; i < 3; i++)
        buf_printf(&t->out, "    box R%u %s at <%u'> up <%u\"> { existing; receptacle }\n", i + 1,
                   walls[pick(&t->state, 4)], 1 + 2 * i, 12 + 6 * pick(&t->state, 3));
    buf_printf(&t->out,
               "    boxes X1 to X3 %s from <3'> every <1'> up <6'> { existing }\n"
               "    boxes C1 to C4 overhead 2 by 2 from <1'>, <2'> every <5'>, <3'> { existing; "
               "luminaire }\n",
               walls[pick(&t->state, 4)]);
    buf_printf(
        &t->out,
        "    box L1 overhead at <%u'>, <4'> { existing; luminaire leg <light> <%u W>; capped leg "
        "<later> }\n    box S1 %s at <7'> { existing; switch leg <light>; type <nail-on-1g-20> }\n",
        2 + pick(&t->state, 4), 20 + pick(&t->state, 5), walls[pick(&t->state, 4)]);
}

/* The rooms of a unit with their circuits. */
static void write_rooms(struct template *t)
{
    unsigned side = 10 + pick(&t->state, 4);
    buf_puts(&t->out, "  room a \"Room A\" {\n    corner <0'>, <0'>\n");
    write_body(t, side);
    buf_printf(&t->out, "  }\n  room b \"Room B\" {\n    corner <%u'>, <%u'>\n", side + 1,
               pick(&t->state, 3));
    buf_puts(&t->out, "    door west at <5'> wide <3'> hinge right to <a>\n");
    write_body(t, side);
    buf_puts(&t->out, "  }\n  panel P { in a north at <3'> up <5'>; main <100 A>; spaces <12> }\n"
                      "  circuit P.1 \"Lights\" {\n    breaker <15 A> afci\n    drop <4 %>\n"
                      "    run <P> -> <a.S1> -> <L1> cable <14/3>\n"
                      "    run a.S1 -> <b.S1> (spare <1'>) -> L1 (exposed)\n  }\n"
                      "  circuit P.2 \"Receptacles\" {\n    breaker <20 A> afci\n"
                      "    run P -> a.R1 -> R2 -> <R3>\n    run a.R1 -> b.R1 -> <R2>\n"
                      "    run b.R1 -> R3 spare <2'>\n  }\n");
}

/* The template as a text: marks taken away, or given values put in their place, all of them on the
 * line `head` so that both texts have as many lines. */
static void write_text(struct buf *out, const char *head, const char *template, bool given)
{
    struct buf values = {0}, body = {0};
    unsigned n = 0;
    for (const char *at = template; *at; at++) {
        const char *end = *at == '<' ? strchr(at, '>') : NULL;
        if (!end) {
            buf_putc(&body, *at);
            continue;
        }
        int len = (int)(end - at - 1);
        if (given)
            buf_printf(&values, "; given g%u %.*s", ++n, len, at + 1);
        if (given)
            buf_printf(&body, "(g%u)", n);
        else
            buf_add(&body, at + 1, (size_t)len);
        at = end;
    }
    buf_printf(out, "%s%s\n%s}\n", head, buf_text(&values), buf_text(&body));
    buf_free(&values);
    buf_free(&body);
}

/* --- what is drawn of a room -------------------------------------------------------------- */

/* What a copy is turned by, as a matrix on the site: x to the east, y to the north. */
struct way_round {
    const char *words;
    int a, b, c, d;
};

static const struct way_round turns[] = {
    {"", 1, 0, 0, 1},
    {"opposite-hand", -1, 0, 0, 1},
    {"turn left", 0, -1, 1, 0},
    {"turn right", 0, 1, -1, 0},
    {"turn around", -1, 0, 0, -1},
    {"opposite-hand; turn left", 0, -1, -1, 0},
    {"opposite-hand; turn right", 0, 1, 1, 0},
    {"opposite-hand; turn around", 1, 0, 0, -1},
};
enum { TURNS = sizeof turns / sizeof *turns };

/* A line, an arc by its ends, or where a box stands; in thousandths of a point, y up. */
struct item {
    char kind;
    long x1, y1, x2, y2;
    char pen[40];
};

struct items {
    struct item at[MOST_ITEMS];
    unsigned n;
    long low_x, low_y, high_x, high_y;
};

static long thousandths(double n)
{
    return lround(n * 1000);
}

static void add_item(struct items *all, char kind, double x1, double y1, double x2, double y2,
                     const char *line)
{
    struct item i = {kind, thousandths(x1), thousandths(-y1), thousandths(x2), thousandths(-y2),
                     ""};
    const char *pen = strstr(line, "stroke-width");
    snprintf(i.pen, sizeof i.pen, "%.30s", pen && kind != 'b' ? pen : "");
    assert_true(all->n < MOST_ITEMS);
    all->at[all->n++] = i;
}

static void bound(struct items *all)
{
    all->low_x = all->low_y = LONG_MAX;
    all->high_x = all->high_y = LONG_MIN;
    for (unsigned i = 0; i < all->n; i++) {
        const struct item *at = &all->at[i];
        if (at->kind != 'w')
            continue;
        all->low_x = at->x1 < all->low_x ? at->x1 : all->low_x;
        all->low_y = at->y1 < all->low_y ? at->y1 : all->low_y;
        all->high_x = at->x1 > all->high_x ? at->x1 : all->high_x;
        all->high_y = at->y1 > all->high_y ? at->y1 : all->high_y;
    }
}

/* Reads the line of a drawing that stands in the group of a room or box. */
static void read_line(struct items *all, const char *line)
{
    double x1, y1, x2, y2, r, s;
    if (sscanf(line, "<line x1=\"%lf\" y1=\"%lf\" x2=\"%lf\" y2=\"%lf\"", &x1, &y1, &x2, &y2) == 4)
        add_item(all, strstr(line, "\"1.8\"") ? 'w' : 'l', x1, y1, x2, y2, line);
    else if (sscanf(line, "<path d=\"M%lf %lfA%lf %lf 0 0 1 %lf %lf", &x1, &y1, &r, &s, &x2, &y2) ==
             6)
        add_item(all, 'a', x1, y1, x2, y2, line);
}

/* What is drawn of the rooms and boxes whose addresses begin with `prefix`. */
static void read_items(struct items *all, const char *svg, const char *prefix)
{
    char room[40], *text = strdup(svg), *save = NULL;
    const char *before = "";
    bool inside = false;
    snprintf(room, sizeof room, "room %s", prefix);
    all->n = 0;
    for (char *line = strtok_r(text, "\n", &save); line; line = strtok_r(NULL, "\n", &save)) {
        double x, y;
        const char *title = strncmp(line, "<title>", 7) ? NULL : line + 7;
        if (title && !strncmp(title, room, strlen(room)))
            inside = true;
        else if (title && !strncmp(title, prefix, strlen(prefix)) &&
                 sscanf(before, "<g transform=\"translate(%lf %lf)", &x, &y) == 2)
            add_item(all, 'b', x, y, x, y, line);
        else if (!strncmp(line, "</g>", 4))
            inside = false;
        else if (inside)
            read_line(all, line);
        before = line;
    }
    free(text);
    bound(all);
}

static int compare_items(const void *a, const void *b)
{
    const struct item *p = a, *q = b;
    long by[] = {p->kind - q->kind, p->x1 - q->x1, p->y1 - q->y1,
                 p->x2 - q->x2,     p->y2 - q->y2, strcmp(p->pen, q->pen)};
    for (unsigned i = 0; i < sizeof by / sizeof *by; i++)
        if (by[i])
            return by[i] < 0 ? -1 : 1;
    return 0;
}

/* Turned about the middle of what is drawn, twice as large so that the middle is whole; each line
 * begins with its lower end. */
static void turn_items(struct items *all, struct way_round t)
{
    long mx = all->low_x + all->high_x, my = all->low_y + all->high_y;
    for (unsigned i = 0; i < all->n; i++) {
        struct item *at = &all->at[i], was = *at;
        long x1 = 2 * was.x1 - mx, y1 = 2 * was.y1 - my, x2 = 2 * was.x2 - mx, y2 = 2 * was.y2 - my;
        long p[] = {t.a * x1 + t.b * y1, t.c * x1 + t.d * y1, t.a * x2 + t.b * y2,
                    t.c * x2 + t.d * y2};
        bool swap = p[0] > p[2] || (p[0] == p[2] && p[1] > p[3]);
        at->x1 = p[swap ? 2 : 0];
        at->y1 = p[swap ? 3 : 1];
        at->x2 = p[swap ? 0 : 2];
        at->y2 = p[swap ? 1 : 3];
    }
    qsort(all->at, all->n, sizeof *all->at, compare_items);
}

/* How many lines of the copy are not those of the original, turned. */
static unsigned not_turned(const char *svg, const char *original, const char *copy,
                           struct way_round t)
{
    static struct items a, b;
    unsigned wrong = 0;
    read_items(&a, svg, original);
    read_items(&b, svg, copy);
    assert_true(a.n > 4);
    turn_items(&a, t);
    turn_items(&b, turns[0]);
    for (unsigned i = 0; i < a.n && i < b.n; i++)
        wrong += compare_items(&a.at[i], &b.at[i]) != 0;
    return wrong + (a.n > b.n ? a.n - b.n : b.n - a.n);
}

static char *drawn_plan(const char *text)
{
    struct compilation c;
    struct buf svg = {0};
    compile_text(&c, text);
    assert_null(finding_of(&c, "syntax", 0));
    assert_null(finding_of(&c, "unknown-name", 0));
    struct results r;
    assert_true(cmd_results(&c, &r));
    drawing_named("plan")->draw(&r, &svg);
    char *copy = strdup(buf_text(&svg));
    buf_free(&svg);
    compile_free(&c);
    return copy;
}

/* The rooms of a seed and copies of them, turned in each way: `unit` copies the unit they stand in,
 * else room a is copied alone. */
static unsigned wrong_copies(unsigned seed, bool unit)
{
    struct template t = {.state = seed};
    struct buf text = {0};
    unsigned wrong = 0;
    buf_puts(&text, "plan \"Copies\" { language 1; edition nec-2023 }\n");
    write_rooms(&t);
    write_text(&text, "unit u \"Unit\" { corner 0', 0'", buf_text(&t.out), false);
    if (!unit)
        text.at[--text.n - 1] = '\n'; /* the copies stand in the same unit */
    for (unsigned i = 0; i < TURNS; i++)
        buf_printf(&text, "%s t%u : %s { corner %u', %u'; %s }\n", unit ? "unit" : "room", i,
                   unit ? "u" : "a", 40 * (i % 4), 40 * (i / 4 + 1), turns[i].words);
    buf_puts(&text, unit ? "" : "}\n");
    char *svg = drawn_plan(buf_text(&text));
    for (unsigned i = 0; i < TURNS; i++) {
        char copy[20];
        snprintf(copy, sizeof copy, unit ? "t%u." : "u.t%u", i);
        unsigned n = not_turned(svg, unit ? "u." : "u.a", copy, turns[i]);
        if (n)
            print_error("seed %u, %s, %s: %u differ\n", seed, unit ? "unit" : "room",
                        turns[i].words, n);
        wrong += n;
    }
    free(svg);
    buf_free(&t.out);
    buf_free(&text);
    return wrong;
}

static void copies_are_mirror_images(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (unsigned seed = 1; seed <= SEEDS; seed++)
        wrong += wrong_copies(seed, false) + wrong_copies(seed, true);
    assert_int_equal(wrong, 0);
}

/* The hinge of a door at the left of a wall: seen from inside, facing south, the left is east. */
static void hinges_are_where_the_plan_says(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        double leaf; /* x of its leaf, of a gap from 252 to 306 (18 points to the foot) */
    } cases[] = {
        {"hinge left", 306}, {"hinge right", 252}, {"", 306}, {"hinge left swings out", 306}};
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400], leaf[80];
        snprintf(text, sizeof text,
                 "plan \"P\" { edition nec-2023 }\nroom a { kind hall; corner 0', 0'; size 14' by "
                 "8'; door south "
                 "at 2' wide 3' %s }\nroom b : a { corner 20', 0' }\n",
                 cases[i].words);
        char *svg = drawn_plan(text);
        snprintf(leaf, sizeof leaf, "<line x1=\"%g\" y1=\"218\" x2=\"%g\"", cases[i].leaf,
                 cases[i].leaf);
        assert_non_null(strstr(svg, leaf));
        free(svg);
    }
}

/* A door that both rooms write is drawn once, as the one that says how it swings. */
static void a_door_between_rooms_is_drawn_once(void **state)
{
    (void)state;
    static const char plan[] =
        "plan \"P\" { edition nec-2023 }\nroom a { kind hall; corner 0', 0'; size 10' by 10'; door "
        "east at 3' wide 3' to b }\nroom b { kind hall; corner 10'-4 1/2\", 0'; size 10' by 10'; "
        "door west at 4' wide 3' %s to a }\n";
    char told[400], untold[400];
    snprintf(told, sizeof told, plan, "hinge left swings out");
    snprintf(untold, sizeof untold, plan, "");
    char *a = drawn_plan(told), *b = drawn_plan(untold);
    const char *arc_a = strstr(a, "<path d=\"M"), *arc_b = strstr(b, "<path d=\"M");
    assert_non_null(arc_a);
    assert_non_null(arc_b);
    assert_null(strstr(arc_a + 1, "<path d=\"M"));
    assert_null(strstr(arc_b + 1, "<path d=\"M"));
    assert_true(strstr(a, "room b") < arc_a);
    assert_true(strstr(b, "room b") > arc_b);
    free(a);
    free(b);
}

static unsigned gaps_of(const char *svg)
{
    unsigned n = 0;
    for (const char *s = svg; (s = strstr(s, "stroke=\"white\"")); s++)
        n++;
    return n;
}

/* A door that one of two rooms writes is a hole in the lines of both, and in its own once more; an
 * island is drawn and named. */
static void a_hole_is_one_from_both_sides(void **state)
{
    (void)state;
    static const char plan[] =
        "plan \"P\" { edition nec-2023 }\nroom a { kind hall; corner 0', 0'; size 10' by 10'; %s "
        "}\nroom b { kind hall; corner 10'-4 1/2\", 0'; size 10' by 10' }\n";
    static const struct {
        const char *inside;
        unsigned gaps;
    } cases[] = {{"", 0},
                 {"door east at 3' wide 3'", 3},
                 {"opening east at 3' wide 3'", 3},
                 {"window east at 3' wide 3'", 3},
                 {"door west at 3' wide 3'", 2}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        snprintf(text, sizeof text, plan, cases[i].inside);
        char *svg = drawn_plan(text);
        assert_int_equal(gaps_of(svg), cases[i].gaps);
        assert_null(strstr(svg, ">island<"));
        free(svg);
    }
    char text[400];
    snprintf(text, sizeof text, plan, "island at 3', 4' size 3' by 2'");
    char *svg = drawn_plan(text);
    assert_non_null(strstr(svg, ">island<"));
    free(svg);
}

/* --- given values ------------------------------------------------------------------------- */

/* All reports as JSON and all drawings of a plan. */
static char *all_outputs(const char *text)
{
    struct compilation c;
    struct buf out = {0};
    compile_text(&c, text);
    if (finding_of(&c, "syntax", 0) || finding_of(&c, "unknown-name", 0))
        show_compiled(&c);
    assert_null(finding_of(&c, "syntax", 0));
    assert_null(finding_of(&c, "unknown-name", 0));
    assert_null(finding_of(&c, "wrong-unit", 0));
    struct results r;
    assert_true(cmd_results(&c, &r));
    for (uint32_t i = 0; i < report_count; i++)
        report_write(&report_table[i], &r, REPORT_JSON, &out);
    for (uint32_t i = 0; i < drawing_count; i++)
        drawing_table[i].draw(&r, &out);
    char *copy = strdup(buf_text(&out));
    buf_free(&out);
    compile_free(&c);
    return copy;
}

static void given_values_are_read_wherever_a_value_stands(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (unsigned seed = 1; seed <= SEEDS; seed++) {
        struct template t = {.state = seed};
        char *outputs[2];
        write_rooms(&t);
        for (unsigned given = 0; given < 2; given++) {
            struct buf text = {0};
            buf_puts(&text, "plan \"Given\" { language 1; edition nec-2023 }\n");
            write_text(&text, "unit u \"Unit\" { corner 0', 0'", buf_text(&t.out), given);
            buf_puts(&text, "unit v : u \"Copy\" { corner 0', 40'; opposite-hand }\n");
            outputs[given] = all_outputs(buf_text(&text));
            buf_free(&text);
        }
        size_t at = 0;
        while (outputs[0][at] && outputs[0][at] == outputs[1][at])
            at++;
        if (outputs[0][at] != outputs[1][at])
            print_error("seed %u:\n%.200s\nbecame\n%.200s\n", seed,
                        outputs[0] + (at > 60 ? at - 60 : 0), outputs[1] + (at > 60 ? at - 60 : 0));
        wrong += outputs[0][at] != outputs[1][at];
        free(outputs[0]);
        free(outputs[1]);
        buf_free(&t.out);
    }
    assert_int_equal(wrong, 0);
}

/* Of forty boxes of a room a copy leaves out as many as it names. */
static void a_copy_leaves_out_any_number_of_boxes(void **state)
{
    (void)state;
    enum { ALL = 40, AWAY = 37 };
    struct buf text = {0};
    struct compilation c;
    buf_puts(&text, "plan \"Row\" { edition nec-2023 }\n"
                    "pattern u { room a \"Store\" { kind storage; corner 0', 0'; size 90' by 8'\n");
    for (int i = 1; i <= ALL; i++)
        buf_printf(&text, "  box J%d north at %d' { cover blank }\n", i, 2 * i);
    buf_puts(&text, "} }\nunit v : u \"Copy\" {\n  corner 0', 0'\n");
    for (int i = 1; i <= AWAY; i++)
        buf_printf(&text, "  without a.J%d\n", i);
    buf_puts(&text, "}\n");
    compile_text(&c, buf_text(&text));
    assert_int_equal(c.model->boxes.n, ALL - AWAY);
    compile_free(&c);
    buf_free(&text);
}

/* A given value is held to what the same value would be held to in its place. */
static void a_given_value_is_judged_as_one_that_is_written(void **state)
{
    (void)state;
    static const struct {
        const char *value, *before, *after;
    } cases[] = {
        {"0", "corner ", ", 0'"},    {"3'", "corner ", ", 0'"},     {"3", "corner ", ", 0'"},
        {"20 A", "corner ", ", 0'"}, {"2x4", "walls ", " at 16\""}, {"3'", "walls ", " at 16\""},
        {"2x6", "ceiling ", ""},     {"8'", "ceiling ", ""},        {"storage", "kind ", ""},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        unsigned errors[2];
        for (int given = 0; given < 2; given++) {
            struct buf b = {0};
            struct compilation c;
            buf_printf(&b,
                       "plan \"T\" { edition nec-2023 }\nunit u \"U\" {\ngiven x %s\n"
                       "room a \"A\" { size 12' by 10'; %s%s%s }\n}\n",
                       cases[i].value, cases[i].before, given ? "(x)" : cases[i].value,
                       cases[i].after);
            compile_text(&c, buf_text(&b));
            errors[given] = findings_of(&c, "wrong-unit") + findings_of(&c, "syntax");
            compile_free(&c);
            buf_free(&b);
        }
        if (errors[0] != errors[1])
            print_error("%s%s%s: %u written, %u given\n", cases[i].before, cases[i].value,
                        cases[i].after, errors[0], errors[1]);
        assert_int_equal(errors[0], errors[1]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_given_value_is_judged_as_one_that_is_written),
        cmocka_unit_test(copies_are_mirror_images),
        cmocka_unit_test(hinges_are_where_the_plan_says),
        cmocka_unit_test(a_door_between_rooms_is_drawn_once),
        cmocka_unit_test(a_hole_is_one_from_both_sides),
        cmocka_unit_test(given_values_are_read_wherever_a_value_stands),
        cmocka_unit_test(a_copy_leaves_out_any_number_of_boxes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

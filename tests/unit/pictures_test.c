/* Drawings to scale: what is written is XML, everything stands where the plan says, nothing leaves
 * the picture. */
#include "compiled.h"
#include "cmd/cmd.h"

#include "emit/drawings/drawings.h"
#include "emit/drawings/sheet.h"

static const char shed[] =
    "plan \"Shed <&> \\\"yard\\\"\" { edition nec-2023 }\n"
    "room shed { kind workshop; size 14' by 10'\n"
    "door north at 5' wide 3' to outside\nwindow west at 6' wide 3'\n"
    "box A west at 2' { receptacle }\nbox B west at 8'-6\" up 48\" { receptacle }\n"
    "box C west at 8'-6\" up 20\" { receptacle }\nbox S north at 9' up 48\" { switch leg lamp }\n"
    "box L overhead at 5', 5' { luminaire leg lamp } }\n"
    "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.2 { breaker 20 A; cable 12/2\nrun P -> shed.A -> B -> C\nrun shed.B -> S -> L }\n";

static struct results results_for(struct compilation *c)
{
    struct results r;
    assert_true(cmd_results(c, &r));
    return r;
}

static void draw(struct compilation *c, struct buf *out, const char *drawing, const char *wall)
{
    struct results r = results_for(c);
    r.only_wall = wall;
    drawing_named(drawing)->draw(&r, out);
}

/* Every element that is begun ends, in its order, and no text has a bare < or &. */
static void assert_well_formed(const char *xml)
{
    const char *open[64];
    size_t depth = 0;
    for (const char *at = xml; *at; at++) {
        if (*at == '&')
            assert_true(!strncmp(at, "&amp;", 5) || !strncmp(at, "&lt;", 4) ||
                        !strncmp(at, "&gt;", 4) || !strncmp(at, "&quot;", 6) ||
                        !strncmp(at, "&#", 2));
        if (*at != '<')
            continue;
        const char *end = strchr(at, '>');
        assert_non_null(end);
        if (at[1] == '/') {
            assert_true(depth > 0);
            size_t n = (size_t)(end - at - 2);
            assert_true(!strncmp(open[--depth], at + 2, n));
        } else if (end[-1] != '/') {
            assert_true(depth < 64);
            open[depth++] = at + 1;
        }
        at = end;
    }
    assert_int_equal(depth, 0);
}

/* The place of the group with that title: its own translation, in points. */
static bool group_place(const char *svg, const char *title, double *x, double *y)
{
    char wanted[80];
    snprintf(wanted, sizeof wanted, "\">\n<title>%s</title>", title);
    const char *at = strstr(svg, wanted);
    while (at && at > svg && strncmp(at, "translate(", 10))
        at--;
    return at && sscanf(at, "translate(%lf %lf)", x, y) == 2;
}

/* Places and ends of what is drawn lie in the picture, through the groups that stand in one
 * another. Turned groups are short: their middle is looked at. */
static void assert_within(const char *svg)
{
    double width, height, x[64] = {0}, y[64] = {0};
    int depth = 0;
    unsigned seen = 0;
    const char *box = strstr(svg, "viewBox=\"0 0 ");
    assert_non_null(box);
    assert_int_equal(sscanf(box, "viewBox=\"0 0 %lf %lf", &width, &height), 2);
    for (const char *at = strstr(svg, "<desc>"); (at = strchr(at, '<')); at++) {
        double a, b, c, d, dx, dy;
        char text[32] = "";
        if (sscanf(at, "<g transform=\"translate(%lf %lf", &dx, &dy) == 2) {
            depth++;
            x[depth] = x[depth - 1] + dx;
            y[depth] = y[depth - 1] + dy;
        } else if (!strncmp(at, "</g>", 4)) {
            depth--;
        } else if (sscanf(at, "<line x1=\"%lf\" y1=\"%lf\" x2=\"%lf\" y2=\"%lf", &a, &b, &c, &d) ==
                   4) {
            assert_true(x[depth] + fmin(a, c) >= 0 && x[depth] + fmax(a, c) <= width);
            assert_true(y[depth] + fmin(b, d) >= 0 && y[depth] + fmax(b, d) <= height);
            seen++;
        } else if (sscanf(at, "<rect x=\"%lf\" y=\"%lf\" width=\"%lf\" height=\"%lf", &a, &b, &c,
                          &d) == 4) {
            assert_true(x[depth] + a >= 0 && x[depth] + a + c <= width);
            assert_true(y[depth] + b >= 0 && y[depth] + b + d <= height);
            seen++;
        } else if (sscanf(at, "<text x=\"%lf\" y=\"%lf\" font-size=\"%lf\" %31[^=]", &a, &b, &c,
                          text) == 4) {
            const char *wide = strstr(at, "textLength=\""), *end = strchr(at, '>');
            assert_true(wide && wide < end && sscanf(wide, "textLength=\"%lf", &d) == 1);
            const char *anchor = strstr(at, "text-anchor=\"");
            double before = !anchor || anchor > end ? 0 : anchor[13] == 'm' ? d / 2 : d;
            assert_true(x[depth] + a - before >= 0 && x[depth] + a - before + d <= width);
            assert_true(y[depth] + b - c >= 0 && y[depth] + b <= height);
            seen++;
        }
    }
    assert_true(seen > 20);
}

struct words {
    double left, top, right, bottom;
    char text[40];
};

/* Every text of a picture with its place, through the groups that stand in one another; turned
 * groups have none. */
static unsigned words_of(const char *svg, struct words *out, unsigned most)
{
    double x[64] = {0}, y[64] = {0}, a, b, size, wide;
    int depth = 0;
    unsigned n = 0;
    for (const char *at = strstr(svg, "<desc>"); (at = strchr(at, '<')); at++) {
        if (sscanf(at, "<g transform=\"translate(%lf %lf", &a, &b) == 2) {
            depth++;
            x[depth] = x[depth - 1] + a;
            y[depth] = y[depth - 1] + b;
        } else if (!strncmp(at, "</g>", 4)) {
            depth--;
        } else if (sscanf(at, "<text x=\"%lf\" y=\"%lf\" font-size=\"%lf\"", &a, &b, &size) == 3) {
            const char *length = strstr(at, "textLength=\""), *end = strchr(at, '>');
            assert_true(length && length < end && sscanf(length, "textLength=\"%lf", &wide) == 1 &&
                        n < most);
            bool middle =
                strstr(at, "text-anchor=\"middle") && strstr(at, "text-anchor=\"middle") < end;
            double left = x[depth] + a - (middle ? wide / 2 : 0), base = y[depth] + b;
            out[n] = (struct words){
                .left = left, .top = base - size * 0.7, .right = left + wide, .bottom = base};
            snprintf(out[n++].text, sizeof out->text, "%.*s", (int)strcspn(end + 1, "<"), end + 1);
        }
    }
    return n;
}

/* Names are put where there is room: on no other name, nor on the letters of a symbol. */
static void names_of_a_plan_are_readable(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                        "examples/studio/downstairs.bay"};
    static struct words words[4000];
    for (size_t p = 0; p < sizeof plans / sizeof *plans; p++) {
        struct compilation c;
        struct buf out = {0};
        unsigned over = 0;
        compile(&c, plans[p], (struct compile_options){.library = plan_library()});
        draw(&c, &out, "plan", NULL);
        unsigned n = words_of(buf_text(&out), words, sizeof words / sizeof *words);
        assert_true(n > 30);
        for (unsigned i = 0; i < n; i++)
            for (unsigned k = 0; k < i; k++)
                if (words[i].left < words[k].right - 0.5 && words[k].left < words[i].right - 0.5 &&
                    words[i].top < words[k].bottom - 0.5 && words[k].top < words[i].bottom - 0.5) {
                    fprintf(stderr, "%s: '%s' lies on '%s'\n", plans[p], words[i].text,
                            words[k].text);
                    over++;
                }
        assert_int_equal(over, 0);
        buf_free(&out);
        compile_free(&c);
    }
}

/* What a department asks to see on the sheet: 240 V and GFCI outlets marked, circuits beside the
 * boxes, who drew it and when, a number; all of it on the paper. */
static void a_plan_bears_the_marks_of_a_submission(void **state)
{
    (void)state;
    static const char *const marks[] = {">240 V</text>",
                                        ">(GFCI)</text>",
                                        ">GFCI</text>",
                                        ">WP (GFCI)</text>",
                                        ">240 V 20 A (GFCI)</text>",
                                        ">R2 (P15)</text>",
                                        ">L1 (M7) E</text>",
                                        ">Plan, sheet 1</text>",
                                        ">Plan, sheet 2</text>",
                                        "Permit: pending. Edition: NEC 2023, IRC 2024</text>"};
    static struct words words[4000];
    struct compilation c;
    struct buf out = {0};
    double width = 0;
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
    draw(&c, &out, "plan", NULL);
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
        if (!strstr(buf_text(&out), marks[i]))
            fail_msg("the plan does not bear %s", marks[i]);
    const char *box = strstr(buf_text(&out), "viewBox=\"0 0 ");
    assert_non_null(box);
    assert_int_equal(sscanf(box, "viewBox=\"0 0 %lf", &width), 1);
    unsigned n = words_of(buf_text(&out), words, sizeof words / sizeof *words);
    for (unsigned i = 0; i < n; i++)
        assert_true(words[i].left >= 0 && words[i].right <= width);
    buf_free(&out);
    compile_free(&c);
}

/* A building of nineteen miles is a slip, and no reason for lengths that turn negative. */
static void lengths_of_a_slip_are_drawn(void **state)
{
    (void)state;
    assert_true(canvas_length(99999 * FOOT) == 99999 * 12 * CANVAS_INCH);
    assert_true(canvas_length(-99999 * FOOT) == -99999 * 12 * CANVAS_INCH);
}

static void pictures_are_whole(const char *drawing)
{
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                        "examples/small/two-places.bay",
                                        "examples/small/old-box.bay"};
    for (size_t i = 0; i <= sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        struct buf out = {0}, again = {0};
        if (i)
            compile(&c, plans[i - 1], (struct compile_options){.library = plan_library()});
        else
            compile_text(&c, shed);
        assert_non_null(c.model);
        draw(&c, &out, drawing, NULL);
        draw(&c, &again, drawing, NULL);
        assert_string_equal(buf_text(&out), buf_text(&again));
        assert_well_formed(buf_text(&out));
        assert_within(buf_text(&out));
        if (!i)
            assert_non_null(strstr(buf_text(&out), "Shed &lt;&amp;&gt;"));
        buf_free(&out);
        buf_free(&again);
        compile_free(&c);
    }
}

static void plans_are_whole(void **state)
{
    (void)state;
    pictures_are_whole("plan");
}

/* At 1/4" to the foot a foot is 18 points; every box of the studio is on the sheet of its level,
 * and what is drawn stands in the legend. */
static void boxes_of_a_plan_stand_to_scale(void **state)
{
    (void)state;
    struct compilation c;
    struct buf out = {0};
    double xa, ya, xb, yb, xl, yl;
    compile_text(&c, shed);
    draw(&c, &out, "plan", NULL);
    assert_true(group_place(buf_text(&out), "shed.A", &xa, &ya) &&
                group_place(buf_text(&out), "shed.B", &xb, &yb) &&
                group_place(buf_text(&out), "shed.L", &xl, &yl));
    assert_non_null(strstr(buf_text(&out), ">1/4&quot; ="));
    assert_true(fabs(xa - xb) < 0.01 && fabs(ya - yb - 6.5 * 18) < 0.01);
    assert_true(fabs(xl - xa - 5 * 18) < 0.01 && fabs(yl - ya + 3 * 18) < 0.01);
    static const char *const legend[] = {">duplex receptacle<", ">switch<", ">luminaire<"},
                             *const absent[] = {">smoke alarm<", ">paddle fan<", ">junction box<"};
    for (int i = 0; i < 3; i++) {
        assert_non_null(strstr(buf_text(&out), legend[i]));
        assert_null(strstr(buf_text(&out), absent[i]));
    }
    buf_free(&out);
    compile_free(&c);
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
    out = (struct buf){0};
    draw(&c, &out, "plan", NULL);
    for (uint32_t i = 0; i < c.model->boxes.n; i++)
        assert_true(group_place(buf_text(&out),
                                address_of_box(&c.arena, c.model->boxes.at[i], false), &xa, &ya));
    buf_free(&out);
    compile_free(&c);
}

/* The next dashed curve of a drawing: where it begins and ends; NULL where there is none. */
static const char *next_bow(const char *svg, double from[2], double to[2])
{
    const char *dashes = strstr(svg, "stroke=\"#555555\" stroke-width=\"0.6\" stroke-dasharray");
    if (!dashes)
        return NULL;
    const char *line = dashes;
    while (strncmp(line, "points=\"", 8))
        line--;
    assert_int_equal(sscanf(line + 8, "%lf,%lf", &from[0], &from[1]), 2);
    const char *last = strchr(line + 8, '"');
    while (*last != ' ')
        last--;
    assert_int_equal(sscanf(last + 1, "%lf,%lf", &to[0], &to[1]), 2);
    return dashes + 1;
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
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct buf text = {0}, svg = {0};
        struct compilation c;
        buf_printf(&text,
                   "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by "
                   "10'\nbox S1 south at 2' { switch leg a }\n%s }\n"
                   "panel P { in shed north at 7' up 5'; main 60 A; spaces 8 }\n"
                   "circuit P.1 { breaker 15 A; run P -> shed.S1 %s }\n",
                   cases[i].boxes, cases[i].run);
        compile_text(&c, buf_text(&text));
        draw(&c, &svg, "plan", NULL);
        unsigned bows = 0;
        double from[2], to[2], before[2];
        for (const char *at = buf_text(&svg); (at = next_bow(at, from, to)); bows++) {
            assert_true(!bows || (from[0] == before[0] && from[1] == before[1]));
            assert_true(from[0] != to[0] || from[1] != to[1]);
            memcpy(before, to, sizeof before);
        }
        assert_int_equal(bows, cases[i].bows);
        buf_free(&text);
        buf_free(&svg);
        compile_free(&c);
    }
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(widths_come_from_the_table),
        cmocka_unit_test(canvas_writes_plain_numbers),
        cmocka_unit_test(lengths_of_a_slip_are_drawn),
        cmocka_unit_test(plans_are_whole),
        cmocka_unit_test(boxes_of_a_plan_stand_to_scale),
        cmocka_unit_test(names_of_a_plan_are_readable),
        cmocka_unit_test(a_plan_bears_the_marks_of_a_submission),
        cmocka_unit_test(legs_are_drawn_from_thing_to_thing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

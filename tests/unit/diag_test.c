/* Findings: order, doubles, the GNU form, JSON, the nearest name. The form is that of language.md,
 * section 9. */
#include "base/buf.h"
#include "base/json.h"
#include "base/utf8.h"
#include "diag/diag.h"
#include "diag/render.h"
#include "reading.h"

struct desk {
    struct arena arena;
    struct diag diag;
    struct source source;
};

static void open_desk(struct desk *d, const char *text)
{
    memset(d, 0, sizeof *d);
    d->diag.arena = &d->arena;
    d->source =
        (struct source){.path = "garage.bay", .bytes = text, .size = (uint32_t)strlen(text)};
}

/* The span of the first place where `word` stands. */
static struct span span_of(struct desk *d, const char *word)
{
    const char *p = strstr(d->source.bytes, word);
    assert_non_null(p);
    return (struct span){&d->source, (uint32_t)(p - d->source.bytes), (uint32_t)strlen(word)};
}

static void assert_text(struct desk *d, const char *wanted)
{
    struct buf out = {0};
    diag_finish(&d->diag);
    diag_text(&d->diag, &out, (struct diag_style){0});
    assert_string_equal(buf_text(&out), wanted);
    buf_free(&out);
    arena_free(&d->arena);
}

/* The example of section 9, its article and its note. */
static void gnu_form(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "  breaker 20 A\n  run studio.S1 -> S2 cable 14/3\n");
    struct finding *f = diag_add(&d.diag, rule_of("conductor-undersized"),
                                 span_of(&d, "cable 14/3"), "circuit %d breaker is 20 A", 2);
    f->article = "NEC 2023 240.4(D)";
    diag_note(&d.diag, f, span_of(&d, "breaker 20 A"), "breaker given here");
    assert_text(
        &d, "garage.bay:2:23: error: circuit 2 breaker is 20 A\n"
            "    2 |   run studio.S1 -> S2 cable 14/3\n"
            "      |                       ^~~~~~~~~~ [conductor-undersized] NEC 2023 240.4(D)\n"
            "garage.bay:1:3: note: breaker given here\n");
}

static void mends_and_waivers(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "flor 9'\n");
    struct finding *f =
        diag_syntax(&d.diag, rule_of("syntax"), span_of(&d, "flor"), "'flor' begins no statement");
    diag_mend(&d.diag, f, "write '%s'", "floor");
    f->waived = "known";
    assert_text(
        &d, "garage.bay:1:1: waived: 'flor' begins no statement\n"
            "    1 | flor 9'\n"
            "      | ^~~~ [syntax]\n"
            "garage.bay:1:1: note: to mend it: write 'floor'\n"
            "garage.bay:1:1: note: waived because known (needs the authority's written consent)\n");
}

static void without_source(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "");
    diag_add(&d.diag, rule_of("unreadable-file"), (struct span){0}, "cannot read 'x.bay'");
    assert_text(&d, "studbay: error: cannot read 'x.bay' [unreadable-file]\n");
}

/* The underline stands below the span whatever is before it and in it: tabs, wide characters, those
 * beyond the basic plane, marks that join. */
static void underlines(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "\tleg x\ty z\n");
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "y"), "m");
    assert_text(&d, "garage.bay:1:17: error: m\n    1 |         leg x   y z\n      |               "
                    "  ^ [syntax]\n");

    open_desk(&d, "a\tb c\n");
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "a\tb"), "m");
    assert_text(&d, "garage.bay:1:1: error: m\n    1 | a       b c\n      | ^~~~~~~~~ [syntax]\n");

    open_desk(&d, "\"\xe5\xb7\xa5\xe5\xa0\xb4\" x\n"); /* two wide characters */
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "x"), "m");
    assert_text(&d, "garage.bay:1:8: error: m\n    1 | \"\xe5\xb7\xa5\xe5\xa0\xb4\" x\n      |     "
                    "   ^ [syntax]\n");

    open_desk(&d, "\"\xf0\x9f\x94\xa8\" x\n"); /* a hammer, beyond the basic plane, two cells */
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "\"\xf0\x9f\x94\xa8\""), "m");
    assert_text(
        &d, "garage.bay:1:1: error: m\n    1 | \"\xf0\x9f\x94\xa8\" x\n      | ^~~~ [syntax]\n");

    open_desk(&d, "\"e\xcc\x81\" x\n"); /* a mark that joins the letter before it */
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "x"), "m");
    assert_text(&d, "garage.bay:1:5: error: m\n    1 | \"e\xcc\x81\" x\n      |     ^ [syntax]\n");

    open_desk(&d, "a \xff x\n"); /* no UTF-8 */
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "x"), "m");
    assert_text(&d, "garage.bay:1:5: error: m\n    1 | a \xef\xbf\xbd x\n      |     ^ [syntax]\n");
}

/* Every span has an underline of at least one cell, and none beyond its line. */
static void edges(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "ab\r\ncd");
    diag_add(&d.diag, rule_of("syntax"), (struct span){&d.source, 2, 0}, "m");
    diag_add(&d.diag, rule_of("syntax"), (struct span){&d.source, 1, 4}, "n");
    diag_add(&d.diag, rule_of("syntax"), (struct span){&d.source, 6, 0}, "o");
    assert_text(&d, "garage.bay:1:2: error: n\n    1 | ab\n      |  ^ [syntax]\n"
                    "garage.bay:1:3: error: m\n    1 | ab\n      |   ^ [syntax]\n"
                    "garage.bay:2:3: error: o\n    2 | cd\n      |   ^ [syntax]\n");
}

static void order_and_doubles(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "a b c\n");
    struct source second = {.path = "second.bay", .bytes = "x", .size = 1, .order = 1};
    diag_add(&d.diag, rule_of("syntax"), (struct span){&second, 0, 1}, "in the second file");
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "c"), "third");
    diag_add(&d.diag, rule_of("default-kind"), span_of(&d, "a"), "first");
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "c"), "third");
    diag_add(&d.diag, rule_of("no-effect-yet"), span_of(&d, "b"), "second");
    diag_add(&d.diag, rule_of("syntax"), (struct span){0}, "the plan as a whole");
    diag_finish(&d.diag);
    static const char *const wanted[] = {"the plan as a whole", "first", "second", "third",
                                         "in the second file"};
    assert_int_equal(d.diag.findings.n, 5);
    for (int i = 0; i < 5; i++)
        assert_string_equal(d.diag.findings.at[i].message, wanted[i]);
    assert_int_equal(d.diag.counts[ERROR], 3);
    assert_int_equal(d.diag.counts[WARNING], 1);
    assert_int_equal(d.diag.counts[NOTE], 1);
    struct buf out = {0};
    diag_summary(&d.diag, &out);
    assert_string_equal(buf_text(&out), "3 errors, 1 warning, 1 note\n");
    buf_free(&out);
    arena_free(&d.arena);
}

/* settled.md 39: "One syntax finding a line, the first; rule findings are not limited." */
static void one_a_line(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "a b c\nd\n");
    assert_non_null(diag_syntax(&d.diag, rule_of("syntax"), span_of(&d, "b"), "kept"));
    assert_null(diag_syntax(&d.diag, rule_of("syntax"), span_of(&d, "a"), "dropped"));
    assert_non_null(diag_add(&d.diag, rule_of("duplicate-clause"), span_of(&d, "c"), "kept"));
    assert_non_null(diag_syntax(&d.diag, rule_of("syntax"), span_of(&d, "d"), "kept"));
    diag_mend(&d.diag, NULL, "nothing");
    diag_note(&d.diag, NULL, span_of(&d, "d"), "nothing");
    diag_finish(&d.diag);
    assert_int_equal(d.diag.findings.n, 3);
    arena_free(&d.arena);
}

static void more_members(struct json *j, const void *name)
{
    json_integer_member(j, name, 1);
}

/* Columns in JSON are characters: a tab is one, an astral character is one. */
static void json(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "\t\"\xf0\x9f\x94\xa8\" x\ny\n");
    struct finding *f =
        diag_add(&d.diag, rule_of("duplicate-name"), span_of(&d, "x"), "'x' \"twice\"\n");
    diag_note(&d.diag, f, span_of(&d, "y"), "first");
    diag_mend(&d.diag, f, "rename it");
    diag_finish(&d.diag);
    struct buf out = {0};
    diag_json(&d.diag, &out, (struct diag_style){0}, more_members, "more");
    assert_string_equal(
        buf_text(&out),
        "{\n  \"findings\": [\n"
        "    {\"rule\": \"duplicate-name\", \"severity\": \"error\", \"message\": \"'x' "
        "\\\"twice\\\"\\n\", \"file\": \"garage.bay\", \"line\": 1, \"column\": 6, "
        "\"end_line\": 1, \"end_column\": 7, \"article\": null, \"mend\": \"rename it\", "
        "\"waived\": false, \"related\": "
        "[{\"file\": \"garage.bay\", \"line\": 2, \"column\": 1, \"message\": \"first\"}]}\n"
        "  ],\n  \"counts\": {\"error\": 1, \"warning\": 0, \"note\": 0, \"waived\": 0},\n  "
        "\"more\": 1\n}\n");
    buf_free(&out);
    arena_free(&d.arena);
}

/* `only` keeps one rule. */
static void one_rule(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "a b\n");
    diag_add(&d.diag, rule_of("duplicate-name"), span_of(&d, "a"), "m");
    diag_add(&d.diag, rule_of("unknown-name"), span_of(&d, "b"), "n");
    diag_finish(&d.diag);
    struct buf out = {0};
    diag_text(&d.diag, &out, (struct diag_style){.only = "unknown-name"});
    assert_string_equal(buf_text(&out),
                        "garage.bay:1:3: error: n\n    1 | a b\n      |   ^ [unknown-name]\n");
    buf_free(&out);
    arena_free(&d.arena);
}

/* --- more findings than are told ---------------------------------------------------------- */

/* So many findings that differ, numbered from `from`; gives the last. */
static struct finding *flood(struct desk *d, const char *rule, uint32_t from, uint32_t count)
{
    struct finding *f = NULL;
    for (uint32_t i = from; i < from + count; i++)
        f = diag_add(&d->diag, rule_of(rule), (struct span){&d->source, 0, 1}, "number %06u", i);
    return f;
}

static void assert_limit(struct desk *d, const char *message, enum severity severity)
{
    diag_finish(&d->diag);
    diag_finish(&d->diag); /* a second time changes nothing */
    uint32_t told = 0;
    for (uint32_t i = 0; i < d->diag.findings.n; i++)
        told += finding_is(&d->diag.findings.at[i], "limit");
    assert_int_equal(told, message ? 1 : 0);
    const struct finding *last = &d->diag.findings.at[d->diag.findings.n - 1];
    assert_int_equal(finding_tells_limit(last), message != NULL);
    if (message) {
        assert_string_equal(last->message, message);
        assert_int_equal(last->severity, severity);
    }
}

/* All that a plan may have; one more, and the first are told, with an error at the end that says
 * so. */
static void the_first_are_told(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "a b\n");
    flood(&d, "unknown-name", 0, MOST_FINDINGS);
    assert_false(diag_is_full(&d.diag, rule_of("unknown-name")));
    assert_limit(&d, NULL, ERROR);
    assert_int_equal(d.diag.counts[ERROR], MOST_FINDINGS);
    arena_free(&d.arena);

    open_desk(&d, "a b\n");
    struct finding *f = flood(&d, "unknown-name", 0, MOST_FINDINGS + 1);
    diag_note(&d.diag, f, span_of(&d, "b"), "is written to, and forgotten");
    diag_mend(&d.diag, f, "so is this");
    assert_true(diag_is_full(&d.diag, rule_of("duplicate-name")));
    assert_false(diag_is_full(&d.diag, rule_of("stale-waiver")));
    assert_null(diag_syntax(&d.diag, rule_of("syntax"), span_of(&d, "a"), "m"));
    assert_limit(&d, "there are more than 10000 errors; those after them are not told", ERROR);
    assert_int_equal(d.diag.counts[ERROR], MOST_FINDINGS + 1);
    assert_string_equal(d.diag.findings.at[MOST_FINDINGS - 1].message, "number 009999");
    struct buf out = {0};
    diag_json(&d.diag, &out, (struct diag_style){.only = "limit"}, NULL, NULL);
    assert_string_equal(
        buf_text(&out),
        "{\n  \"findings\": [\n    {\"rule\": \"limit\", \"severity\": \"error\", "
        "\"message\": \"there are more than 10000 errors; those after them are not told\", "
        "\"file\": null, \"line\": null, \"column\": null, \"end_line\": null, \"end_column\": "
        "null, \"article\": null, "
        "\"mend\": \"mend some of these and check again\", \"waived\": false, \"related\": []}\n  "
        "],\n"
        "  \"counts\": {\"error\": 10001, \"warning\": 0, \"note\": 0, \"waived\": 0}\n}\n");
    buf_free(&out);
    arena_free(&d.arena);
}

/* What is said of every copy of a unit is one finding, and all copies are its places; their number
 * has a limit too. */
static void copies_count_once(void **state)
{
    (void)state;
    struct desk d;
    open_desk(&d, "a b\n");
    for (int copy = 0; copy < 3; copy++)
        flood(&d, "unknown-name", 0, MOST_FINDINGS);
    assert_limit(&d, NULL, ERROR);
    assert_int_equal(d.diag.findings.n, MOST_FINDINGS);
    arena_free(&d.arena);

    open_desk(&d, "a b\n");
    for (int copy = 0; copy <= MOST_RECORDED; copy++)
        diag_add(&d.diag, rule_of("unknown-name"), span_of(&d, "a"), "always the same");
    assert_int_equal(d.diag.findings.n, MOST_RECORDED);
    assert_limit(&d, "there are more than 10000 errors; those after them are not told", ERROR);
    arena_free(&d.arena);
}

/* Warnings hide no error; where none but warnings are left out, that is a warning, unless one of
 * them was made an error. */
static void warnings_hide_no_error(void **state)
{
    (void)state;
    static const char told[] =
        "there are more than 10000 warnings and notes; those after them are not told";
    struct desk d;
    assert_int_equal(rule_of("stale-waiver")->severity, WARNING);
    open_desk(&d, "a b\n");
    flood(&d, "stale-waiver", 0, 2 * MOST_FINDINGS);
    flood(&d, "unknown-name", 0, 1);
    assert_limit(&d, told, WARNING);
    assert_int_equal(d.diag.counts[ERROR], 1);
    assert_int_equal(d.diag.counts[WARNING], MOST_FINDINGS + 1);
    arena_free(&d.arena);

    for (unsigned behind = 0; behind < 2; behind++) {
        open_desk(&d, "a b\n");
        flood(&d, "stale-waiver", 0, MOST_FINDINGS + 1)->severity = ERROR;
        flood(&d, "stale-waiver", 0, behind);
        assert_limit(&d, told, ERROR);
        assert_int_equal(d.diag.counts[ERROR], 1);
        arena_free(&d.arena);
    }

    open_desk(&d, "a b\n");
    flood(&d, "stale-waiver", 0, 2 * MOST_FINDINGS);
    flood(&d, "unknown-name", 0, 2 * MOST_FINDINGS);
    assert_limit(&d,
                 "there are more than 10000 errors and more than 10000 warnings and notes; those "
                 "after them are not told",
                 ERROR);
    arena_free(&d.arena);
}

/* The one rule that is asked for has room of its own; what others leave out is told where `limit`
 * itself is asked for. */
static void the_rule_that_is_asked_for_has_its_own_room(void **state)
{
    (void)state;
    static const struct {
        const char *only, *message;
        uint32_t asked;
    } cases[] = {
        {"unknown-name", NULL, MOST_FINDINGS},
        {"unknown-name",
         "there are more than 10000 findings of rule unknown-name; those after them are not told",
         MOST_FINDINGS + 1},
        {"limit", "there are more than 10000 errors; those after them are not told", 1},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct desk d;
        open_desk(&d, "a b\n");
        d.diag.only = cases[i].only;
        flood(&d, "duplicate-name", 0, MOST_FINDINGS + 1);
        flood(&d, "unknown-name", 0, cases[i].asked);
        assert_limit(&d, cases[i].message, ERROR);
        uint32_t found = 0;
        for (uint32_t k = 0; k < d.diag.findings.n; k++)
            found += finding_is(&d.diag.findings.at[k], "unknown-name");
        assert_int_equal(found, i < 2 ? MOST_FINDINGS : 0);
        arena_free(&d.arena);
    }
}

static void nearest(void **state)
{
    (void)state;
    static const char *const names[] = {"receptacle", "recessed", "switch", "S1", "S2", "kitchen"};
    enum { COUNT = sizeof names / sizeof *names };
    assert_string_equal(diag_nearest("recptacle", names, COUNT), "receptacle");
    assert_string_equal(diag_nearest("swicth", names, COUNT),
                        "switch"); /* two letters that changed places count once */
    assert_string_equal(diag_nearest("kithcen", names, COUNT), "kitchen");
    assert_string_equal(diag_nearest("S3", names, COUNT), "S1");
    assert_string_equal(diag_nearest("RECEPTACLE", names, COUNT), "receptacle");
    assert_string_equal(diag_nearest("s2", names, COUNT), "S2");
    assert_null(diag_nearest("dishwasher", names, COUNT));
    assert_null(diag_nearest("X9", names, COUNT));
    assert_null(diag_nearest("", names, COUNT));
    assert_null(diag_nearest("a", names, 0));
}

/* A line that is very long is cut, and the cut keeps characters whole. */
static void long_lines(void **state)
{
    (void)state;
    struct desk d;
    char text[2000];
    memset(text, 'a', sizeof text);
    for (int i = 0; i < 1998; i += 2)
        memcpy(text + i, "\xc3\xa9", 2);
    memcpy(text + 1990, "x\n", 3);
    open_desk(&d, text);
    diag_add(&d.diag, rule_of("syntax"), (struct span){&d.source, 10, 2}, "m");
    diag_add(&d.diag, rule_of("syntax"), span_of(&d, "x"), "n");
    diag_finish(&d.diag);
    struct buf out = {0};
    diag_text(&d.diag, &out, (struct diag_style){0});
    assert_non_null(strstr(buf_text(&out), "      |      ^ [syntax]\n"));
    assert_non_null(strstr(buf_text(&out), "garage.bay:1:996: error: n\n"));
    assert_null(strstr(buf_text(&out), "\xef\xbf\xbd"));
    assert_true(out.n < 2000);
    /* What is shown is the part round the place: 100 of these letters, and the three points. */
    const char *last = strstr(buf_text(&out), "error: n\n    1 | ...\xc3\xa9");
    assert_non_null(last);
    assert_int_equal(strcspn(strstr(last, "      | "), "^"), strlen("      | ") + 3 + 100);
    buf_free(&out);
    arena_free(&d.arena);
}

/* Places in long lines are counted from marks; they are the same as counted from the start of the
 * line. */
static void places_in_long_lines(void **state)
{
    (void)state;
    static const char *const parts[] = {
        "a", "\t", "\xc3\xa9", "\xe5\xb7\xa5", "\xf0\x9f\x94\xa8", "e\xcc\x81", "\xff"};
    struct buf text = {0};
    buf_puts(&text, "\xef\xbb\xbf");
    for (unsigned i = 0, seed = 7; text.n < 12000; i++, seed = seed * 1103515245 + 12345)
        buf_puts(&text, i % 4000 == 3999 ? "\n" : parts[(seed >> 16) % 7]);
    struct desk d;
    open_desk(&d, buf_text(&text));
    uint32_t start = 3, line = 1;
    for (uint32_t at = 3; at < d.source.size; at++) {
        if (((unsigned char)text.at[at] & 0xc0) == 0x80)
            continue;
        struct position p = source_position(&d.arena, &d.source, at);
        assert_int_equal(p.line, line);
        assert_int_equal(p.column, utf8_count(text.at + start, at - start) + 1);
        assert_int_equal(p.cell, utf8_cells(text.at + start, at - start, 0) + 1);
        if (text.at[at] == '\n') {
            start = at + 1;
            line++;
        }
    }
    assert_int_equal(line, 2);
    arena_free(&d.arena);
    buf_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(gnu_form),
        cmocka_unit_test(mends_and_waivers),
        cmocka_unit_test(without_source),
        cmocka_unit_test(underlines),
        cmocka_unit_test(edges),
        cmocka_unit_test(order_and_doubles),
        cmocka_unit_test(one_a_line),
        cmocka_unit_test(json),
        cmocka_unit_test(one_rule),
        cmocka_unit_test(nearest),
        cmocka_unit_test(long_lines),
        cmocka_unit_test(places_in_long_lines),
        cmocka_unit_test(the_first_are_told),
        cmocka_unit_test(copies_count_once),
        cmocka_unit_test(warnings_hide_no_error),
        cmocka_unit_test(the_rule_that_is_asked_for_has_its_own_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Reading is linear in the size of the plan, whatever is in it, and takes little memory. Each text is read at two sizes, one ten times the other. */
#include "reading.h"

#include <time.h>

enum { SMALL = 20000, LARGE = 10 * SMALL };

/* A text of about `size` bytes: a head, a part many times, a tail. */
static void fill(struct buf *text, const char *head, const char *part, const char *tail, size_t size)
{
    text->n = 0;
    buf_puts(text, head);
    while (text->n < size)
        buf_puts(text, part);
    buf_puts(text, tail);
}

/* Processor seconds for reading the text and rendering what was found. */
static double seconds_for(struct buf *text)
{
    struct reading r;
    struct buf out = {0};
    clock_t start = clock();
    read_bytes(&r, buf_text(text), text->n);
    diag_text(&r.diag, &out, (struct diag_style){0});
    diag_json(&r.diag, &out, (struct diag_style){0}, NULL);
    double seconds = (double)(clock() - start) / CLOCKS_PER_SEC;
    done(&r);
    buf_free(&out);
    return seconds;
}

/* Ten times the text may take thirty times as long, for caches and the clock; something square takes a hundred times as long. */
static void time_is_linear(void **state)
{
    (void)state;
    static const struct {
        const char *head, *part, *tail;
    } texts[] = {
        {"", "{", ""}, {"", "}\n", ""}, {"", "\"", ""}, {"", "(", ""}, {"", "->", ""}, {"", ",", ""}, {"", "a.", ""}, {"", ";", ""}, {"", "\x01", ""}, {"1", " ", ""},
        {"", "1 ", ""}, {"", "1' ", ""}, {"", "a-", ""}, {"", "foo\n", ""}, {"", "foo bar { baz }\n", ""}, {"", "a {\n{\n}\n", ""}, {"", "x\n\t\t\t\t", ""},
        {"", "room a {\n  size 1' by 2'\n", ""}, {"", "room a\n  size 1' by 2'\n}\n", ""}, {"", "level a {\n  floor 9'\nx\n", ""}, {"", "levle a { floor 9' }\n", ""},
        {"plan \"T\" {", "language 1;", "}"}, {"circuit 1 {", "run a->b;", "breaker 20 A; breaker 20 A }"}, {"circuit 1 { run a -> b ", "fished ", "}"},
        {"circuit 1 { run ", "a -> ", "b }"}, {"circuit 1 {", "run a ->\nbreaker 20 A,\n", "}"}, {"room a {", "corner 0',\n", "}"}, {"room a { kind ", "x ", "}"},
        {"edition e { table t { ", "1,", "1 } }"}, {"price ", "a ", "3"}, {"leg a \"", "\\\\", "\""}, {"room a {\n box R1 north at 1' {\n", "receptacle 5 W 6 W\n", "}\n}\n"},
    };
    struct buf text = {0};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        fill(&text, texts[i].head, texts[i].part, texts[i].tail, SMALL);
        double small = seconds_for(&text);
        fill(&text, texts[i].head, texts[i].part, texts[i].tail, LARGE);
        double large = seconds_for(&text);
        if (large > 30 * small + 0.1)
            fprintf(stderr, "%s%s... takes %.3f s, and %.3f s ten times as long\n", texts[i].head, texts[i].part, small, large);
        assert_true(large <= 30 * small + 0.1);
    }
    buf_free(&text);
}

/* Limits are told once, and clearly. */
static void limits_once(void **state)
{
    (void)state;
    struct buf text = {0};
    struct reading r;
    fill(&text, "", "{", "", LARGE);
    read_bytes(&r, buf_text(&text), text.n);
    assert_only(&r, R_LIMIT, "nested deeper");
    done(&r);
    fill(&text, "circuit 1 { run ", "a -> ", "b }", LARGE);
    read_bytes(&r, buf_text(&text), text.n);
    assert_only(&r, R_LIMIT, "at most 512 values");
    done(&r);
    fill(&text, "price ", "a ", "3", LARGE);
    read_bytes(&r, buf_text(&text), text.n);
    assert_only(&r, R_LIMIT, "more than 255 letters");
    done(&r);
    fill(&text, "level a { floor ", "1", "' }", LARGE);
    read_bytes(&r, buf_text(&text), text.n);
    assert_int_equal(r.diag.findings.at[0].rule, R_LIMIT);
    done(&r);
    buf_free(&text);
}

/* Tokens, statements and nodes of a plan as people write it take less than 25 bytes for a byte of it, the language itself apart. */
static void memory(void **state)
{
    (void)state;
    struct buf plan = {0}, text = {0};
    struct reading r;
    assert_true(buf_read_file(&plan, "examples/studio/studio.bay", 1 << 24));
    read_plan(&r, "");
    size_t language = r.arena.total;
    done(&r);
    fill(&text, "", buf_text(&plan), "", 4000000);
    read_bytes(&r, buf_text(&text), text.n);
    printf("%.1f bytes for a byte of the plan\n", (double)(r.arena.total - language) / (double)text.n);
    assert_true(r.arena.total - language < 25 * text.n);
    done(&r);
    buf_free(&plan);
    buf_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(time_is_linear), cmocka_unit_test(limits_once), cmocka_unit_test(memory)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

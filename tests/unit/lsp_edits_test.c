/* A session in which much is typed: no more is compiled than the last text, what is wrong with the
 * text of a large plan is told before the plan is checked, and memory stays as it is. That texts
 * and findings are those of the file is asked of plans made at random (tests/properties/edited.c).
 */
#include "lsp_client.h"

#include "lsp/plans.h"
#include "random.h"

static const char uri[] = "file:///plans/plan.bay";

/* A plan of so many rooms, each with a box that nothing feeds; no finding is like another. */
static char *rooms(unsigned count)
{
    struct buf b = {0};
    buf_puts(&b, "plan \"Rooms\" { language 1; edition nec-2023 }\n"
                 "panel P \"Panel\" { in r0 north at 2' up 5'; main 100 A; spaces 12 }\n"
                 "circuit P.1 \"One\" { breaker 20 A; run P -> r0.R2 }\n");
    for (unsigned i = 0; i < count; i++)
        buf_printf(&b,
                   "room r%u \"Room %u\" {\n  kind storage\n  corner %u', 0'\n  size 18' by 14'\n"
                   "  box R1 north at 8' { receptacle }\n  box R2 south at 4' { receptacle }\n}\n",
                   i, i, i * 20);
    char *text = strdup(buf_text(&b));
    buf_free(&b);
    return text;
}

/* Types `text` over `gone` characters of a line. */
static void type(struct server *s, unsigned line, unsigned at, unsigned gone, const char *text)
{
    struct buf b = {0};
    static int version = 1;
    buf_printf(
        &b,
        "{\"method\": \"textDocument/didChange\", \"params\": {\"textDocument\": {\"uri\": "
        "\"%s\", \"version\": %d}, \"contentChanges\": [{\"range\": {\"start\": {\"line\": %u, "
        "\"character\": %u}, \"end\": {\"line\": %u, \"character\": %u}}, \"text\": ",
        uri, ++version, line, at, line, at + gone);
    client_quote(&b, text);
    buf_puts(&b, "}]}}");
    client_message(s, buf_text(&b));
    buf_free(&b);
}

/* How often a text stands in another. */
static unsigned count(const char *in, const char *what)
{
    unsigned n = 0;
    for (; (in = strstr(in, what)); in += strlen(what))
        n++;
    return n;
}

static void begin(struct server *s, unsigned room_count)
{
    char *text = rooms(room_count);
    client_begin(s, "{}");
    client_open(s, uri, text);
    client_wait(s);
    s->out.n = 0;
    free(text);
}

static void many_changes_are_one_compilation(void **state)
{
    (void)state;
    struct server s;
    begin(&s, 4);
    uint32_t before = s.compiles;
    for (int i = 0; i < 100; i++)
        type(&s, 3, 8, i ? 1 : 0, i % 2 ? "x" : "y");
    client_wait(&s);
    assert_int_equal(s.compiles, before + 1);
    char *said = client_said(&s);
    assert_int_equal(count(said, "publishDiagnostics"), 1);
    free(said);
    server_end(&s);
}

static void what_is_wrong_with_the_text_is_told_first(void **state)
{
    (void)state;
    enum { ROOMS = 200 };
    struct server s;
    begin(&s, ROOMS);
    assert_int_equal(s.plans->c->diag.counts[ERROR], 2 * ROOMS - 1);
    uint32_t before = s.compiles;
    type(&s, 4, 2, 4, "kidn"); /* of r0 */
    assert_true(server_step(&s, true));
    assert_true(server_step(&s, true));
    assert_int_equal(s.compiles, before); /* it was read alone */
    char *said = client_said(&s);
    assert_int_equal(count(said, "'kidn' begins no statement"), 1);
    assert_int_equal(count(said, "unfed-box"), 2 * ROOMS - 1); /* the others are not forgotten */
    free(said);
    client_wait(&s);
    assert_int_equal(s.compiles, before + 1);
    said = client_said(&s);
    assert_int_equal(count(said, "'kidn' begins no statement"), 1);
    free(said);

    /* A line above: what was found stands a line lower at once, with what is wrong in the new one.
     */
    type(&s, 4, 2, 4, "kind");
    client_wait(&s);
    free(client_said(&s));
    type(&s, 3, 0, 0, "room {\n");
    assert_true(server_step(&s, true));
    assert_true(server_step(&s, true));
    said = client_said(&s);
    unsigned last_line = 3 + 7 * (ROOMS - 1) + 5 + 1;
    char place[64];
    snprintf(place, sizeof place, "{\"line\": %u, \"character\": 6}", last_line);
    assert_int_equal(count(said, place), 1);
    free(said);
    server_end(&s);
}

/* That nothing is wrong is told when it was checked, not before. */
static void clean_is_told_when_it_was_checked(void **state)
{
    (void)state;
    struct server s;
    struct buf b = {0};
    buf_puts(&b, "plan \"Large\" { language 1; edition nec-2023 }\n");
    while (b.n < 40000)
        buf_puts(&b, "# a long comment\n");
    buf_puts(&b, "rooom a \"A\" { kind storage; size 4' by 4' }\n");
    client_begin(&s, "{}");
    client_open(&s, uri, buf_text(&b));
    client_wait(&s);
    char *said = client_said(&s);
    assert_int_equal(count(said, "rooom"), 1);
    free(said);
    unsigned line = count(buf_text(&b), "\n") - 1;
    type(&s, line, 0, 1, "");
    type(&s, line, 0, 0, "r");
    type(&s, line, 1, 1, "");
    while (s.first)
        server_step(&s, false);
    assert_true(server_step(&s, true)); /* reads */
    said = client_said(&s);
    assert_string_equal(said, "");
    free(said);
    client_wait(&s);
    said = client_said(&s);
    assert_int_equal(count(said, "\"diagnostics\": []"), 1);
    free(said);
    buf_free(&b);
    server_end(&s);
}

/* Pages of memory that are in use. */
static long pages(void)
{
    long all = 0, used = 0;
    FILE *f = fopen("/proc/self/statm", "r");
    assert_non_null(f);
    assert_int_equal(fscanf(f, "%ld %ld", &all, &used), 2);
    fclose(f);
    return used;
}

static void type_and_ask(struct server *s, int rounds)
{
    for (int i = 0; i < rounds; i++) {
        type(s, 3 + (unsigned)i % 20, 0, (unsigned)i & 1, i & 1 ? "" : "x");
        client_message(s, "{\"id\": 1, \"method\": \"textDocument/completion\", \"params\": "
                          "{\"textDocument\": {\"uri\": \"file:///plans/plan.bay\"}, \"position\": "
                          "{\"line\": 7, \"character\": 30}}}");
        client_message(s,
                       "{\"id\": 2, \"method\": \"textDocument/semanticTokens/full\", \"params\": "
                       "{\"textDocument\": {\"uri\": \"file:///plans/plan.bay\"}}}");
        client_wait(s);
        s->out.n = 0;
    }
}

static void memory_stays_as_it_is(void **state)
{
    (void)state;
#ifdef __SANITIZE_ADDRESS__
    skip(); /* it keeps what is given back */
#endif
    struct server s;
    begin(&s, 8);
    type_and_ask(&s, 40);
    long before = pages();
    type_and_ask(&s, 200);
    assert_true(pages() - before < 1024); /* of 4 kB: a fiftieth of what 200 compilations take */
    server_end(&s);
}

/* --- as long as one likes ----------------------------------------------------------------- */

enum { LOOKED_AT = 1000, LONGEST = 4000, FLAT_PAGES = 2048 };

/* One edit of a text of plain lines, in the editor and at the server. */
static void type_anything(struct server *s, struct buf *text, uint64_t *random)
{
    static const char *const typed[] = {"a",  " ",    "\n", "{",       "}",
                                        "\"", "box ", "4'", "leg x\n", "-> "};
    size_t from = pick(random, (unsigned)text->n + 1), line_start = from;
    unsigned line = 0, gone = pick(random, 8);
    const char *word = typed[pick(random, sizeof typed / sizeof *typed)];
    while (line_start > 0 && text->at[line_start - 1] != '\n')
        line_start--;
    for (size_t i = 0; i < line_start; i++)
        line += text->at[i] == '\n';
    while (gone && (from + gone > text->n || memchr(text->at + from, '\n', gone)))
        gone--;
    type(s, line, (unsigned)(from - line_start), gone, word);
    struct buf is = {0};
    buf_add(&is, text->at, from);
    buf_puts(&is, word);
    buf_add(&is, text->at + from + gone, text->n - from - gone);
    buf_free(text);
    *text = is;
}

/* The whole text at once, as an editor sends it that reads it again. */
static void begin_anew(struct server *s, struct buf *text, const char *whole)
{
    struct buf b = {0};
    buf_printf(&b,
               "{\"method\": \"textDocument/didChange\", \"params\": {\"textDocument\": {\"uri\": "
               "\"%s\"}, \"contentChanges\": [{\"text\": ",
               uri);
    client_quote(&b, whole);
    buf_puts(&b, "}]}}");
    client_message(s, buf_text(&b));
    buf_free(&b);
    text->n = 0;
    buf_puts(text, whole);
}

/* Types so many edits; every so often the texts must be the same, one compilation must have come of
 * all of them, and no more memory be in use than at first. */
static int type_edits(unsigned edits, uint64_t random)
{
    struct server s;
    struct buf text = {0};
    char *first = rooms(4);
    long before = 0;
    bool holds = true;
    begin(&s, 4);
    buf_puts(&text, first);
    for (unsigned i = 1; holds && i <= edits; i++) {
        type_anything(&s, &text, &random);
        if (text.n > LONGEST)
            begin_anew(&s, &text, first);
        if (i % LOOKED_AT)
            continue;
        uint32_t compiled = s.compiles;
        client_wait(&s);
        s.out.n = 0;
        before = i <= 20 * LOOKED_AT ? pages() : before;
        holds = s.compiles == compiled + 1 && s.documents->text.n == text.n &&
                !memcmp(s.documents->text.at, text.at, text.n) && pages() - before < FLAT_PAGES;
        if (!holds)
            print_error("after %u edits: %u compilations, %ld pages more\n", i,
                        s.compiles - compiled, pages() - before);
    }
    print_message("%u edits typed: %s\n", edits, holds ? "the server has them all" : "FAILED");
    server_end(&s);
    buf_free(&text);
    free(first);
    return holds ? 0 : 1;
}

static void what_is_typed_is_there(void **state)
{
    (void)state;
    assert_int_equal(type_edits(5000, 1), 0);
}

/* lsp_edits_test --edits COUNT SEED */
int main(int argc, char **argv)
{
    if (argc == 4 && !strcmp(argv[1], "--edits"))
        return type_edits((unsigned)atoi(argv[2]), strtoull(argv[3], NULL, 10));
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(many_changes_are_one_compilation),
        cmocka_unit_test(what_is_wrong_with_the_text_is_told_first),
        cmocka_unit_test(clean_is_told_when_it_was_checked),
        cmocka_unit_test(memory_stays_as_it_is),
        cmocka_unit_test(what_is_typed_is_there),
    };
    return cmocka_run_group_tests_name("lsp_edits", tests, NULL, NULL);
}

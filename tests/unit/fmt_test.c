/* The canonical layout: a pair of texts for each rule, and what has to hold for every text, over
 * the library, the examples and random layouts of them. Run from the top of the tree. */
#define _GNU_SOURCE /* nftw */

#include "base/file.h"
#include "base/json.h"
#include "fmt_check.h"

#include <ftw.h>

static void assert_layout(const char *text, const char *wanted)
{
    struct reading r;
    struct buf out = {0};
    read_plan(&r, text);
    lay_out(&r, &out);
    assert_string_equal(buf_text(&out), wanted);
    buf_free(&out);
    done(&r);
    check_layout(text, strlen(text), true);
}

/* --- a pair of texts for each rule -------------------------------------------------------- */

static void measures_are_respelt(void **state)
{
    (void)state;
    assert_layout("a 20A 3% 120/240V 12W", "a 20 A 3 % 120/240 V 12 W\n");
    assert_layout("a 4'6\" 4' 6\" 4'  6 1/2\" 4'-6-1/2\"",
                  "a 4'-6\" 4'-6\" 4'-6 1/2\" 4'-6 1/2\"\n");
    assert_layout("a -8' 10\" 16 1/2\" 16-1/2\" 3/4\" 2.5'",
                  "a -8'-10\" 16-1/2\" 16-1/2\" 3/4\" 2.5'\n");
    assert_layout("a 4\xe2\x80\xb2 6\xe2\x80\xb3 5\xe2\x80\x99 7\xe2\x80\x9d", "a 4'-6\" 5'-7\"\n");
    assert_layout("a 2.4 m 450  mm 4 ft 16\tin", "a 2.4m 450mm 4ft 16in\n");
}

static void names_that_look_like_units_stay_apart(void **state)
{
    (void)state;
    assert_layout("a 2 m.R1; circuit P . 1 in; b 5 metal", "a 2 m.R1\ncircuit P.1 in\nb 5 metal\n");
    assert_layout("a P.1 .5", "a P.1 .5\n");
}

static void signs_have_their_blanks(void **state)
{
    (void)state;
    assert_layout("room b:a\"T\"{corner 0' ,5';size 4'by 5'}",
                  "room b : a \"T\" { corner 0', 5'; size 4' by 5' }\n");
    assert_layout("run a.R1->b . R2 cable 14/2+14/3", "run a.R1 -> b.R2 cable 14/2 + 14/3\n");
    assert_layout("leg x limit( lamp )12 W", "leg x limit (lamp) 12 W\n");
    assert_layout("row, \"a  b\" ,  3", "row, \"a  b\", 3\n");
}

static void a_statement_has_its_line(void **state)
{
    (void)state;
    assert_layout("room a {\nwet; unfinished\n   on up }",
                  "room a {\n  wet\n  unfinished\n  on up\n}\n");
    assert_layout("leg a; leg b;; ;leg c;\n;\nleg d", "leg a\nleg b\nleg c\nleg d\n");
    assert_layout("room a\n{\nchase at 0',\n0'\nsize 1'\n}",
                  "room a {\n  chase at 0', 0'\n  size 1'\n}\n");
    assert_layout("circuit 1 {\nrun a ->\n\n b\n -> c\n}", "circuit 1 {\n  run a -> b -> c\n}\n");
}

static void a_block_on_one_line_stays(void **state)
{
    (void)state;
    assert_layout("kind a{wet;counts-area;}", "kind a { wet; counts-area }\n");
    assert_layout("room a { box R1 north at 2' { x } box R2 north at 3' {y;z} }",
                  "room a { box R1 north at 2' { x }; box R2 north at 3' { y; z } }\n");
    assert_layout("kind a { wet # so\n}", "kind a {\n  wet  # so\n}\n");
    assert_layout("kind a { wet\n}", "kind a {\n  wet\n}\n");
    assert_layout("kind a { }  # none", "kind a { }  # none\n");
    assert_layout("kind a {\n\n;;\n}\nkind b {}", "kind a { }\nkind b { }\n");
    assert_layout("kind a {\n# none\n}", "kind a {\n  # none\n}\n");
}

/* A kind of `extra` letters more than one that is 100 columns wide. */
static void kind_of_width(char *text, size_t size, int extra, const char *separator,
                          const char *open, const char *close)
{
    snprintf(text, size, "kind %.*s {%swet%scounts-area%s}\n", 74 + extra,
             "abcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyzabcdefghijklmnopqrstuvwxyz", open,
             separator, close);
}

static void a_block_beyond_100_columns_is_broken(void **state)
{
    (void)state;
    char text[200], wanted[200];
    kind_of_width(text, sizeof text, 0, "; ", " ", " ");
    assert_int_equal(strlen(text), 101);
    assert_layout(text, text);
    kind_of_width(text, sizeof text, 1, ";", "", "");
    kind_of_width(wanted, sizeof wanted, 1, "\n  ", "\n  ", "\n");
    assert_layout(text, wanted);
}

static void an_inner_block_stays_where_the_outer_is_broken(void **state)
{
    (void)state;
    assert_layout("panel P \"A panel with a long name\" { in shop east at 6' up 5'; bus 100 A; "
                  "spaces 20; feeder { breaker 60 A; space 1 } }",
                  "panel P \"A panel with a long name\" {\n  in shop east at 6' up 5'\n  bus 100 "
                  "A\n  spaces 20\n  feeder { breaker 60 A; space 1 }\n}\n");
}

static void box_lines_have_columns(void **state)
{
    (void)state;
    assert_layout("room a {\nbox R1 north at 2' {x}\nbox R10 west at 2' up 4' {x}\nbox Long-1 "
                  "overhead at 2', 3'\nbox L overhead 2' from west, 3' "
                  "from north\n}",
                  "room a {\n  box R1  north at 2' { x }\n  box R10 west  at 2' up 4' { x }\n  box "
                  "Long-1 overhead at 2', 3'\n"
                  "  box L   overhead 2' from west, 3' from north\n}\n");
    assert_layout(
        "room a {\nbox R1 floor at 2', 3' \"T\"\nbox R2   { x }\nbox R3   type deep\n}",
        "room a {\n  box R1  floor at 2', 3' \"T\"\n  box R2 { x }\n  box R3 type deep\n}\n");
    assert_layout("table a {\nbox,   2\nsome box north  at 2'\n}\nbox R1  west  at 2'",
                  "table a {\n  box, 2\n  some box north at 2'\n}\n\nbox R1 west at 2'\n");
}

static void rows_are_not_aligned(void **state)
{
    (void)state;
    assert_layout("table a source \"x\" {\n  columns size,  a\n  14,     15 A\n  12,     20 A\n}",
                  "table a source \"x\" {\n  columns size, a\n  14, 15 A\n  12, 20 A\n}\n");
}

static void a_long_run_wraps_before_an_arrow(void **state)
{
    (void)state;
    assert_layout("circuit 1 {\nrun panel-in-the-hall -> kitchen.R1 -> kitchen.R2 -> kitchen.R3 -> "
                  "kitchen.R4 -> kitchen.R5 -> kitchen.R6 cable 12/2 "
                  "via studs\n}",
                  "circuit 1 {\n  run panel-in-the-hall -> kitchen.R1 -> kitchen.R2 -> kitchen.R3 "
                  "-> kitchen.R4 -> kitchen.R5\n"
                  "      -> kitchen.R6 cable 12/2 via studs\n}\n");
    assert_layout(
        "circuit 1 {\nrun a -> b cable 12/2 as one-very-long-name-for-so-short-a-run-as-this-one "
        "\"and a text that makes it longer\"\n}",
        "circuit 1 {\n  run a\n      -> b cable 12/2 as "
        "one-very-long-name-for-so-short-a-run-as-this-one \"and a text that makes it "
        "longer\"\n}\n");
}

static void comments_keep_their_side(void **state)
{
    (void)state;
    assert_layout("#a\nleg x #b  \n   # c\nleg y;# d\n", "#a\nleg x  #b\n# c\nleg y  # d\n");
    assert_layout("room a{# one\n#two\nwet#three\n#four\n}#five",
                  "room a {  # one\n  #two\n  wet  #three\n  #four\n}  #five\n");
    assert_layout("circuit 1 {\nrun a # one\n# two\n-> b -> # three\nc\n}",
                  "circuit 1 {\n  run a  # one\n      # two\n      -> b ->  # three\n      c\n}\n");
    assert_layout("room a # one\n{wet}", "room a  # one\n{ wet }\n");
    assert_layout("room a # one\n\n# two\n{\nwet\n}", "room a  # one\n    # two\n{\n  wet\n}\n");
    assert_layout("corner 0', # east\n5' # north", "corner 0',  # east\n    5'  # north\n");
    assert_layout("corner 0' # east\n,5'", "corner 0'  # east\n    , 5'\n");
    assert_layout("leg a\n; # alone", "leg a\n# alone\n");
    assert_layout("# only", "# only\n");
}

static void one_empty_line_is_kept(void **state)
{
    (void)state;
    assert_layout("\n\nleg a\n\n\n\nleg b\nleg c\n\n\n", "leg a\n\nleg b\nleg c\n");
    assert_layout("kind a {\n\n  wet\n\n\n  no-such\n\n}", "kind a {\n  wet\n\n  no-such\n}\n");
    assert_layout("kind a { # one\n\n  # two\n\n  wet\n  # three\n\n}",
                  "kind a {  # one\n  # two\n\n  wet\n  # three\n}\n");
    assert_layout("# one\n\n\n# two\n\nleg a", "# one\n\n# two\n\nleg a\n");
}

static void tall_statements_stand_apart(void **state)
{
    (void)state;
    assert_layout("leg a\n# one\n# two\nroom b {\nwet\n} # three\n# four\nleg c\nleg d",
                  "leg a\n\n# one\n# two\nroom b {\n  wet\n}  # three\n\n# four\nleg c\nleg d\n");
    assert_layout("room a {\nwet\n}\nroom b {\nwet\n}\n# end",
                  "room a {\n  wet\n}\n\nroom b {\n  wet\n}\n\n# end\n");
    assert_layout("# far\n\n# near\nroom a {\nwet\n}", "# far\n\n# near\nroom a {\n  wet\n}\n");
    assert_layout("leg x\n# of x\n\n# near\nroom a {\nwet\n}",
                  "leg x\n# of x\n\n# near\nroom a {\n  wet\n}\n");
    assert_layout("room a { wet }\nroom b { wet }", "room a { wet }\nroom b { wet }\n");
}

static void bytes_are_plain(void **state)
{
    (void)state;
    assert_layout("\xef\xbb\xbfroom a {\r\n\twet\t# so\t\r\n}\r\n", "room a {\n  wet  # so\n}\n");
    assert_layout("", "");
    assert_layout(" \n\t\n;\n", "");
    assert_layout("leg x \"\xc3\xa4  #\\\"\"", "leg x \"\xc3\xa4  #\\\"\"\n");
}

static void a_needed_semicolon_stays(void **state)
{
    (void)state;
    assert_layout("a,; # one\nb; -> c", "a,;  # one\nb;\n-> c\n");
}

/* Indented like a stair, a file of many blocks in blocks would be written as large as the square of
 * it: what is refused is not laid out, and told once. */
static void blocks_that_lie_too_deep(void **state)
{
    (void)state;
    for (unsigned depth = DEEPEST_BLOCK; depth <= DEEPEST_BLOCK + 1; depth++) {
        struct reading r;
        struct buf text = {0}, out = {0};
        for (unsigned i = 0; i < depth; i++)
            buf_puts(&text, "leg a {\n");
        for (unsigned i = 0; i < depth; i++)
            buf_puts(&text, "}\n");
        read_plan(&r, buf_text(&text));
        bool refused = depth > DEEPEST_BLOCK;
        assert_int_equal(fmt_source(&r.diag, &r.arena, &r.source, &out), !refused);
        if (refused)
            assert_only(&r, "limit", "nested deeper than 32");
        buf_free(&text);
        buf_free(&out);
        done(&r);
    }
}

static void a_fault_leaves_the_file_alone(void **state)
{
    (void)state;
    static const char *const texts[] = {"room a {\n  wet\n", "room a { wet }\n}\n",
                                        "leg x \"open\nleg y"};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct reading r;
        struct buf out = {0};
        read_plan(&r, texts[i]);
        assert_false(fmt_source(&r.diag, &r.arena, &r.source, &out));
        assert_int_equal(out.n, 0);
        assert_true(r.diag.findings.n > 0);
        done(&r);
    }
}

/* --- the library and the examples --------------------------------------------------------- */

enum { MOST_FILES = 1000, LAYOUTS_OF_A_FILE = 25, SOUPS = 400 };

static struct {
    char *path[MOST_FILES];
    size_t count;
} plans;

static int add_plan(const char *path, const struct stat *info, int type, struct FTW *where)
{
    (void)info;
    (void)where;
    size_t len = strlen(path);
    if (type == FTW_F && len > 4 && !strcmp(path + len - 4, ".bay") && plans.count < MOST_FILES)
        plans.path[plans.count++] = strdup(path);
    return 0;
}

static int find_plans(void **state)
{
    (void)state;
    return nftw("stdlib", add_plan, 16, FTW_PHYS) || nftw("examples", add_plan, 16, FTW_PHYS) ||
           plans.count < 10;
}

static int forget_plans(void **state)
{
    (void)state;
    while (plans.count)
        free(plans.path[--plans.count]);
    return 0;
}

static void read_file(const char *path, struct buf *text)
{
    *text = (struct buf){0};
    if (!file_read(text, path, 1 << 24))
        fail_msg("%s cannot be read", path);
}

static void all_files_keep_what_they_say(void **state)
{
    (void)state;
    for (size_t i = 0; i < plans.count; i++) {
        struct buf text;
        read_file(plans.path[i], &text);
        check_layout(text.at, text.n, true);
        buf_free(&text);
    }
}

static size_t sound_files;

/* Files that are not ours to lay out, the fuzzer's seeds among them, keep what they say where they
 * can be read without a fault. */
static int keep_what_it_says(const char *path, const struct stat *info, int type, struct FTW *where)
{
    (void)info;
    (void)where;
    struct buf text;
    struct reading r;
    if (type != FTW_F)
        return 0;
    read_file(path, &text);
    read_bytes(&r, text.at ? text.at : "", text.n);
    bool sound = !r.diag.findings.n;
    done(&r);
    if (sound && text.n)
        check_layout(text.at, text.n, true);
    sound_files += sound;
    buf_free(&text);
    return 0;
}

static void seeds_and_test_plans_keep_what_they_say(void **state)
{
    (void)state;
    assert_int_equal(nftw("tests/fuzz/seeds", keep_what_it_says, 16, FTW_PHYS), 0);
    assert_int_equal(nftw("tests/rules", keep_what_it_says, 16, FTW_PHYS), 0);
    assert_int_equal(nftw("docs/wiring", keep_what_it_says, 16, FTW_PHYS), 0);
    assert_true(sound_files > 50);
}

static void all_files_are_in_canonical_layout(void **state)
{
    (void)state;
    size_t strays = 0;
    for (size_t i = 0; i < plans.count; i++) {
        struct buf text, out = {0};
        struct reading r;
        read_file(plans.path[i], &text);
        read_bytes(&r, text.at, text.n);
        lay_out(&r, &out);
        if (out.n != text.n || memcmp(out.at, text.at, out.n)) {
            print_error("%s is not in canonical layout\n", plans.path[i]);
            strays++;
        }
        buf_free(&text);
        buf_free(&out);
        done(&r);
    }
    assert_int_equal(strays, 0);
}

/* --- random layouts ----------------------------------------------------------------------- */

struct dice {
    uint64_t state;
};

static unsigned roll(struct dice *d, unsigned sides)
{
    d->state ^= d->state << 13;
    d->state ^= d->state >> 7;
    d->state ^= d->state << 17;
    return (unsigned)(d->state >> 33) % sides;
}

static void add_blanks(struct dice *d, struct buf *b, unsigned least)
{
    for (unsigned n = least + (roll(d, 3) ? 0 : roll(d, 4)); n; n--)
        buf_putc(b, roll(d, 5) ? ' ' : '\t');
}

/* One newline or more, a comment before some of them. */
static void add_newlines(struct dice *d, struct buf *b)
{
    for (unsigned n = 1 + (roll(d, 3) ? 0 : roll(d, 4)); n; n--) {
        add_blanks(d, b, 0);
        if (!roll(d, 5))
            buf_printf(b, "#%s %u; -> { } \"%s", roll(d, 2) ? " " : "", roll(d, 1000),
                       roll(d, 4) ? "" : " \t");
        buf_puts(b, roll(d, 6) ? "\n" : "\r\n");
    }
    add_blanks(d, b, 0);
}

/* A length in one of its spellings. */
static void add_length(struct dice *d, struct buf *b, const char *p, const char *end)
{
    static const char *const feet[] = {"'", "'", "\xe2\x80\xb2", "\xe2\x80\x99"},
                             *const inch[] = {"\"", "\"", "\xe2\x80\xb3", "\xe2\x80\x9d"};
    static const char *const after_feet[] = {"-", "", " ", " \t "}, *const before_fraction[] = {
                                                                        "-", " ", "  "};
    for (const char *start = p; p < end; p++) {
        if (*p == '\'')
            buf_puts(b, feet[roll(d, 4)]);
        else if (*p == '"')
            buf_puts(b, inch[roll(d, 4)]);
        else if (p > start && *p == '-' && p[-1] == '\'')
            buf_puts(b, after_feet[roll(d, 4)]);
        else if (p > start && (*p == '-' || *p == ' '))
            buf_puts(b, before_fraction[roll(d, 3)]);
        else
            buf_putc(b, *p);
    }
}

/* Whether the two tokens may touch without becoming others. */
static bool may_touch(const struct source *s, uint32_t i)
{
    uint8_t a = s->tokens[i - 1].kind, b = s->tokens[i].kind;
    bool sign = a == T_COMMA || b == T_COMMA || a == T_OPEN || b == T_OPEN || a == T_CLOSE ||
                b == T_CLOSE || a == T_ARROW || b == T_ARROW || a == T_COLON || b == T_COLON ||
                a == T_DOT || b == T_DOT || a == T_LPAREN || b == T_RPAREN;
    return sign || (a == T_NUMBER && b == T_WORD) || (a == T_WORD && b == T_TEXT);
}

static void add_gap(struct dice *d, struct buf *b, const struct source *s, uint32_t i)
{
    uint8_t before = s->tokens[i - 1].kind, after = s->tokens[i].kind;
    bool open_end = before == T_OPEN || before == T_CLOSE || after == T_CLOSE || after == T_EOF;
    bool goes_on = before == T_COMMA || before == T_ARROW || before == T_PLUS ||
                   before == T_COLON || after == T_ARROW || after == T_OPEN || after == T_COMMA;
    if (begins(s, i) || open_end) {
        bool semi = !open_end || !roll(d, 4);
        for (unsigned n = semi && (goes_on || !roll(d, 2)) ? 1 + roll(d, 2) : 0; n;
             n--, semi = false) {
            add_blanks(d, b, 0);
            buf_putc(b, ';');
        }
        if (semi || roll(d, 2))
            add_newlines(d, b);
        add_blanks(d, b, 0);
    } else if (goes_on && !roll(d, 4)) {
        add_newlines(d, b);
    } else {
        add_blanks(d, b, !may_touch(s, i));
    }
}

/* The same statements laid out at random. */
static void add_layout(struct dice *d, struct buf *b, const struct source *s)
{
    if (!roll(d, 4))
        buf_puts(b, "\xef\xbb\xbf");
    if (!roll(d, 2))
        add_newlines(d, b);
    for (uint32_t i = 0; i < s->token_count; i++) {
        const struct source_token *t = &s->tokens[i];
        if (i)
            add_gap(d, b, s, i);
        if (t->kind == T_LENGTH)
            add_length(d, b, s->bytes + t->off, s->bytes + t->off + t->len);
        else
            buf_add(b, s->bytes + t->off, t->len);
    }
}

static void random_layouts_keep_what_they_say(void **state)
{
    (void)state;
    for (size_t i = 0; i < plans.count; i++) {
        struct buf text;
        struct reading r;
        read_file(plans.path[i], &text);
        read_bytes(&r, text.at, text.n);
        for (unsigned n = 0; n < LAYOUTS_OF_A_FILE; n++) {
            struct dice dice = {0x9e3779b97f4a7c15u + i * 1000 + n};
            struct buf layout = {0}, tokens[2] = {0}, comments = {0};
            add_layout(&dice, &layout, &r.source);
            struct reading again;
            read_bytes(&again, layout.at, layout.n);
            list_source(&r.source, &tokens[0], &comments);
            list_source(&again.source, &tokens[1], &comments);
            assert_same(plans.path[i], &tokens[0], &tokens[1]);
            buf_free(&comments);
            done(&again);
            check_layout(layout.at, layout.n, true);
            buf_free(&layout);
        }
        buf_free(&text);
        done(&r);
    }
}

/* Tokens in any order, whatever they mean: even there no token, no comment and no end of a
 * statement may change. */
static void random_tokens_are_kept(void **state)
{
    (void)state;
    static const char *const words[] = {
        "a", "run",     "box",   "north", "at",     "overhead", "in",    "m",    "A",
        "1", "-2",      "3.5",   "4'",    "4' 6\"", "-5\"",     "1/2\"", "12/2", "2x4",
        "%", "ohm/kft", "\"x\"", ",",     "->",     "+",        ":",     ".",    "(",
        ")", ";",       ";",     "\n",    "\n",     "# c\n",    "\n\n\n"};
    for (unsigned n = 0; n < SOUPS; n++) {
        struct dice dice = {0x2545f4914f6cdd1du + n};
        struct buf soup = {0};
        unsigned depth = 0;
        for (unsigned count = roll(&dice, 300); count; count--) {
            unsigned brace = roll(&dice, 14);
            if (brace == 0 && depth < 30) {
                buf_puts(&soup, "{ ");
                depth++;
            } else if (brace == 1 && depth) {
                buf_puts(&soup, "} ");
                depth--;
            } else {
                buf_printf(&soup, "%s ", words[roll(&dice, sizeof words / sizeof *words)]);
            }
        }
        while (depth--)
            buf_puts(&soup, "} ");
        check_layout(buf_text(&soup), soup.n, false);
        buf_free(&soup);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(measures_are_respelt),
        cmocka_unit_test(blocks_that_lie_too_deep),
        cmocka_unit_test(names_that_look_like_units_stay_apart),
        cmocka_unit_test(signs_have_their_blanks),
        cmocka_unit_test(a_statement_has_its_line),
        cmocka_unit_test(a_block_on_one_line_stays),
        cmocka_unit_test(a_block_beyond_100_columns_is_broken),
        cmocka_unit_test(an_inner_block_stays_where_the_outer_is_broken),
        cmocka_unit_test(box_lines_have_columns),
        cmocka_unit_test(rows_are_not_aligned),
        cmocka_unit_test(a_long_run_wraps_before_an_arrow),
        cmocka_unit_test(comments_keep_their_side),
        cmocka_unit_test(one_empty_line_is_kept),
        cmocka_unit_test(tall_statements_stand_apart),
        cmocka_unit_test(bytes_are_plain),
        cmocka_unit_test(a_needed_semicolon_stays),
        cmocka_unit_test(a_fault_leaves_the_file_alone),
        cmocka_unit_test(all_files_keep_what_they_say),
        cmocka_unit_test(seeds_and_test_plans_keep_what_they_say),
        cmocka_unit_test(all_files_are_in_canonical_layout),
        cmocka_unit_test(random_layouts_keep_what_they_say),
        cmocka_unit_test(random_tokens_are_kept),
    };
    return cmocka_run_group_tests(tests, find_plans, forget_plans);
}

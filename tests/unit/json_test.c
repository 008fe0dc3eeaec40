/* All JSON that is written is JSON as RFC 8259 has it (each grammar rule beside what reads it), and
 * text of it UTF-8, whatever stands in a plan: quotes, control characters, bytes that are no UTF-8.
 * Run with STUDBAY naming the binary. */
#include "base/file.h"
#include "compiled.h"

#include "base/json.h"
#include "base/utf8.h"
#include "emit/reports/reports.h"

/* --- a strict reader ---------------------------------------------------------------------- */

/* Each of these moves on behind what it reads; false where it is not there. */
struct reader {
    const char *at, *end;
    unsigned depth;
};

/* ws = *( %x20 / %x09 / %x0A / %x0D ) */
static void skip_blanks(struct reader *r)
{
    while (r->at < r->end && strchr(" \t\n\r", *r->at))
        r->at++;
}

static bool take(struct reader *r, char c)
{
    skip_blanks(r);
    bool there = r->at < r->end && *r->at == c;
    r->at += there;
    return there;
}

static bool read_word(struct reader *r, const char *word)
{
    size_t len = strlen(word);
    bool there = (size_t)(r->end - r->at) >= len && !memcmp(r->at, word, len);
    r->at += there ? len : 0;
    return there;
}

/* char = unescaped / escape ( %x22 / %x5C / %x2F / b / f / n / r / t / u 4HEXDIG ), unescaped =
 * %x20-21 / %x23-5B / %x5D-10FFFF */
static bool read_char(struct reader *r)
{
    size_t len;
    uint32_t c = utf8_next(r->at, r->end, &len);
    if (c != '\\') {
        r->at += len;
        return c >= 0x20 && c != UTF8_BAD;
    }
    r->at++;
    if (r->at == r->end || !strchr("\"\\/bfnrtu", *r->at))
        return false;
    unsigned digits = *r->at++ == 'u' ? 4 : 0;
    for (unsigned i = 0; i < digits; i++, r->at++)
        if (r->at == r->end || !strchr("0123456789abcdefABCDEF", *r->at))
            return false;
    return true;
}

static bool read_text(struct reader *r)
{
    if (!take(r, '"'))
        return false;
    while (r->at < r->end && *r->at != '"')
        if (!read_char(r))
            return false;
    return take(r, '"');
}

static bool read_digits(struct reader *r)
{
    const char *from = r->at;
    while (r->at < r->end && *r->at >= '0' && *r->at <= '9')
        r->at++;
    return r->at > from;
}

/* number = [ "-" ] int [ frac ] [ exp ], int = "0" / ( %x31-39 *DIGIT ) */
static bool read_number(struct reader *r)
{
    r->at += r->at < r->end && *r->at == '-';
    bool zero = r->at < r->end && *r->at == '0';
    r->at += zero;
    if (!zero && !read_digits(r))
        return false;
    if (r->at < r->end && *r->at == '.') {
        r->at++;
        if (!read_digits(r))
            return false;
    }
    return r->at == r->end || (*r->at != 'e' && *r->at != 'E' && (*r->at < '0' || *r->at > '9'));
}

static bool read_value(struct reader *r);

/* The members of an object or array, up to its end. */
static bool read_members(struct reader *r, char end, bool keys)
{
    if (take(r, end))
        return true;
    do {
        if (keys && (!read_text(r) || !take(r, ':')))
            return false;
        if (!read_value(r))
            return false;
    } while (take(r, ','));
    return take(r, end);
}

static bool read_value(struct reader *r)
{
    skip_blanks(r);
    if (r->at == r->end || r->depth > JSON_DEPTH)
        return false;
    bool read;
    r->depth++;
    if (*r->at == '{' || *r->at == '[') {
        bool object = *r->at++ == '{';
        read = read_members(r, object ? '}' : ']', object);
    } else if (*r->at == '"') {
        read = read_text(r);
    } else {
        read =
            read_word(r, "true") || read_word(r, "false") || read_word(r, "null") || read_number(r);
    }
    r->depth--;
    return read;
}

/* Whether the text is one value; shows where it is not. */
static bool is_json(const char *text, size_t len, bool quiet)
{
    struct reader r = {text, text + len, 0};
    bool good = read_value(&r);
    skip_blanks(&r);
    good = good && r.at == r.end;
    if (!good && !quiet)
        print_error("no JSON at byte %zu: %.60s\n", (size_t)(r.at - text), r.at);
    return good;
}

static void the_reader_is_strict(void **state)
{
    (void)state;
    static const char *const good[] = {"{}",
                                       "[]",
                                       "[1, -0.5, 0, 10.25]",
                                       "{\"a\": [true, false, null]}",
                                       "\"\\u00ff\\n\\\"\"",
                                       " {\n \"a\" : {} } \n"};
    static const char *const bad[] = {
        "",       "{",        "[1,]",    "{\"a\"}",     "{\"a\": 1,}", "{a: 1}",
        "[1 2]",  "01",       "1.",      "+1",          ".5",          "nul",
        "\"\n\"", "\"\x01\"", "\"\\x\"", "\"\\u12g4\"", "\"\xff\"",    "\"\xc3\"",
        "[] []",  "'a'",      "\"a",     "[1,,2]",      "{\"a\":}",    "nan"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        assert_true(is_json(good[i], strlen(good[i]), false));
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        assert_false(is_json(bad[i], strlen(bad[i]), true));
}

/* --- the writer --------------------------------------------------------------------------- */

static void commas_and_nesting_are_the_writers(void **state)
{
    (void)state;
    struct buf out = {0};
    struct json j = json_begin(&out);
    json_begin_object(&j, JSON_LINES);
    json_string_member(&j, "text", "a\"\\\n\t\x01\x7f\xff\xc3\xbc");
    json_key(&j, "none");
    json_begin_array(&j, JSON_LINES);
    json_end(&j);
    json_key(&j, "rows");
    json_begin_array(&j, JSON_LINES);
    json_begin_object(&j, JSON_ROW);
    json_integer_member(&j, "n", -7);
    json_break(&j);
    json_bool_member(&j, "yes", true);
    json_end(&j);
    json_begin_object(&j, JSON_ROW);
    json_end(&j);
    json_end(&j);
    json_string_member(&j, "nothing", NULL);
    json_end(&j);
    assert_string_equal(buf_text(&out),
                        "{\n  \"text\": \"a\\\"\\\\\\n\\t\\u0001\\u007f\xef\xbf\xbd\xc3\xbc\",\n"
                        "  \"none\": [],\n  \"rows\": [\n    {\"n\": -7,\n     \"yes\": true},\n"
                        "    {}\n  ],\n  \"nothing\": null\n}");
    assert_true(is_json(out.at, out.n, false));
    buf_free(&out);
}

/* --- the commands ------------------------------------------------------------------------- */

/* What may stand between the quotes of a text, or in a comment, and make trouble. */
static const char *const hostile[] = {
    "plain",
    "a \\\"quoted\\\" word",
    "back\\\\slash at the end\\\\",
    "control \x01\x02\x1b[31m \x7f",
    "no UTF-8 \xff\xfe\xc3 \xed\xa0\x80 \xf4\x90\x80\x80",
    "half a letter at the end \xe2\x82",
    "<&'> \xe2\x80\xa8 \xf0\x9f\x94\xa8",
    "{\\\"a\\\": [1, 2]}, ],",
};
enum { HOSTILE = sizeof hostile / sizeof *hostile };

/* A plan that has a text at each place where one may stand: its findings, waivers, amendments and
 * names of things go into what is printed. */
static void write_plan(struct buf *out, const char *text)
{
    buf_printf(out,
               "plan \"%s\" {\n  language 1\n  edition nec-2023\n  site \"%s\"\n  owner \"%s\"\n"
               "  note \"%s\"\n  existing 5 kVA \"%s\"\n}\n"
               "amend nec-2023 because \"%s\" { table receptacle-spacing { reach 5' } }\n",
               text, text, text, text, text, text);
    buf_printf(out,
               "room hall \"%s\" {\n  kind hall\n  size 12' by 12'\n"
               "  door south at 2' wide 3' \"%s\"\n"
               "  box R1 north at 4' \"%s\" { receptacle \"%s\" }\n"
               "  box S1 east at 2' { switch leg lights }\n"
               "  box L1 overhead at 6', 6' { luminaire leg lights }\n}\n"
               "leg lights \"%s\"\npanel P \"%s\" { in hall north at 9' up 5'; main 100 A }\n",
               text, text, text, text, text, text);
    buf_printf(out,
               "circuit P.1 \"%s\" { breaker 20 A; run P -> hall.R1 -> S1 -> L1 }\n"
               "coil 12/2 250' \"%s\" { on-hand }\n"
               "waive afci-missing because \"%s\" by \"%s\" on \"%s\"\n"
               "waive lighting-outlet in hall because \"%s\"\n",
               text, text, text, text, text, text);
}

static void run_json(const char *folder, const char *command)
{
    char line[600], path[200];
    struct buf out = {0};
    snprintf(path, sizeof path, "%s/out", folder);
    snprintf(line, sizeof line, "cd %s && $STUDBAY %s >%s 2>/dev/null", folder, command, path);
    int status = system(line);
    assert_true(WIFEXITED(status));
    assert_true(file_read(&out, path, 1 << 24));
    bool good = out.n > 0 && is_json(out.at, out.n, false);
    if (!good)
        print_error("%s: %.200s\n", command, buf_text(&out));
    assert_true(good);
    buf_free(&out);
    unlink(path);
}

static void all_json_can_be_read(void **state)
{
    (void)state;
    static const char *const commands[] = {
        "check --format json plan.bay",         "check --format sarif plan.bay",
        "check --format json plan.bay old.bay", "check --format json no-such-plan.bay",
        "prove --format json plan.bay",         "compare --format json old.bay plan.bay"};
    char folder[] = "/tmp/studbay-json-XXXXXX", plan[100], old[100], command[100];
    assert_non_null(mkdtemp(folder));
    snprintf(plan, sizeof plan, "%s/plan.bay", folder);
    snprintf(old, sizeof old, "%s/old.bay", folder);
    for (unsigned i = 0; i < HOSTILE; i++) {
        struct buf text = {0};
        write_plan(&text, hostile[i]);
        assert_true(file_write(&text, plan));
        if (!i)
            assert_true(file_write(&text, old));
        buf_free(&text);
        for (size_t k = 0; k < sizeof commands / sizeof *commands; k++)
            run_json(folder, commands[k]);
        for (uint32_t k = 0; k < report_count; k++) {
            snprintf(command, sizeof command, "report %s --format json plan.bay",
                     report_table[k].name);
            run_json(folder, command);
        }
    }
    unlink(plan);
    unlink(old);
    rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_reader_is_strict),
        cmocka_unit_test(commas_and_nesting_are_the_writers),
        cmocka_unit_test(all_json_can_be_read),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

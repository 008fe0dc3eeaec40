/* SARIF output: valid by the schema of the standard (OASIS SARIF 2.1.0, tests/data/sarif),
 * fingerprints that survive moved lines, waivers as suppressions. */
#include "base/file.h"
#include "compiled.h"
#include "diag/render.h"
#include "emit/sarif.h"
#include "resolve/node.h"

#include <sys/wait.h>

static const char schema[] = "tests/data/sarif/sarif-2.1.0-rtm.5.json";

static void write_of(struct compilation *c, struct buf *out)
{
    sarif_write(&c->diag, "0", out);
}

static void of_file(const char *path, struct buf *out)
{
    struct compilation c;
    compile(&c, path, (struct compile_options){.library = plan_library(), .only_findings = true});
    write_of(&c, out);
    compile_free(&c);
}

/* Validated by the jsonschema module of Debian's Python. */
static void must_be_valid(const struct buf *sarif)
{
    char path[] = "/tmp/studbay-sarif-XXXXXX", command[512];
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, sarif->at, sarif->n), (ssize_t)sarif->n);
    close(fd);
    snprintf(
        command, sizeof command,
        "/usr/bin/python3 -c 'import json, sys, jsonschema; "
        "jsonschema.validate(json.load(open(sys.argv[1])), json.load(open(sys.argv[2])))' %s %s",
        path, schema);
    int status = system(command);
    unlink(path);
    assert_int_equal(WIFEXITED(status) ? WEXITSTATUS(status) : -1, 0);
}

/* A text as RFC 8259 writes it, without its quotes. */
static void json_escaped(struct buf *out, const char *text)
{
    for (; *text; text++)
        buf_printf(out, *text == '"' || *text == '\\' ? "\\%c" : "%c", *text);
}

static void plans_are_valid(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "examples/studio/studio.bay",          "examples/studio/first-draft.bay",
        "examples/small/two-places.bay",       "examples/flats/flats.bay",
        "tests/rules/unreadable-file.bad.bay", "no-such-plan.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct buf out = {0};
        of_file(plans[i], &out);
        must_be_valid(&out);
        buf_free(&out);
    }
}

/* What is typed in a plan comes back in the messages as it was, and in nothing else. */
static void texts_are_texts(void **state)
{
    (void)state;
    static const char *const typed[] = {"}] , { \"ruleId\": \"x\" } \\ .", "\\u0000 \\n \\\\",
                                        "\xd7\xa9\xd7\x9c <b>&amp;",
                                        "{0} %s [x](http://x.example)"};
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        struct compilation c;
        struct buf plan = {0}, sarif = {0}, message = {0};
        buf_printf(&plan,
                   "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 9' by "
                   "9'\ntub north at 0' wide 5'\nbox A north at 6' { receptacle } }\n"
                   "waive wet-zone in shed.A because \"");
        for (const char *p = typed[i]; *p; p++)
            buf_printf(&plan, *p == '"' || *p == '\\' ? "\\%c" : "%c", *p);
        buf_puts(&plan, "\"\n");
        compile_text(&c, buf_text(&plan));
        write_of(&c, &sarif);
        must_be_valid(&sarif);
        json_escaped(&message, typed[i]);
        if (!strstr(buf_text(&sarif), buf_text(&message)))
            fail_msg("%s is not in the findings", typed[i]);
        buf_free(&plan);
        buf_free(&sarif);
        buf_free(&message);
        compile_free(&c);
    }
}

/* The schema must be able to refuse: without this the test above could not fail. */
static void the_schema_refuses(void **state)
{
    (void)state;
    struct buf wrong = {0};
    buf_puts(&wrong, "{\"version\": \"2.1.0\", \"runs\": [{\"results\": []}]}");
    char path[] = "/tmp/studbay-sarif-XXXXXX", command[512];
    int fd = mkstemp(path);
    assert_int_equal(write(fd, wrong.at, wrong.n), (ssize_t)wrong.n);
    close(fd);
    buf_free(&wrong);
    snprintf(command, sizeof command,
             "/usr/bin/python3 -c 'import json, sys, jsonschema; "
             "jsonschema.validate(json.load(open(sys.argv[1])), json.load(open(sys.argv[2])))' %s "
             "%s 2>/dev/null",
             path, schema);
    int status = system(command);
    unlink(path);
    assert_int_not_equal(status, 0);
}

static const char body[] =
    "room a \"A\" {\n  kind storage\n  size 12' by 10'\n  box R1  north at 2' { receptacle }\n}\n"
    "panel P { in a east at 2' up 5'; main 100 A; spaces 12 }\ncircuit P.1 \"Bench\" {\n  breaker "
    "24 A\n  run P -> a.R1\n}\n";

/* The fingerprint of the first result. */
static void fingerprint(const char *text, char *out, size_t size)
{
    struct compilation c;
    struct buf sarif = {0};
    compile_text(&c, text);
    write_of(&c, &sarif);
    const char *at = strstr(buf_text(&sarif), "primaryLocationLineHash\": \"");
    assert_non_null(at);
    at = strchr(at, ':') + 3;
    snprintf(out, size, "%.*s", (int)strcspn(at, "\""), at);
    buf_free(&sarif);
    compile_free(&c);
}

static void fingerprints_survive_moved_lines(void **state)
{
    (void)state;
    char before[64], after[64], other[64], text[2048];
    snprintf(text, sizeof text, "plan \"T\" { edition nec-2023 }\n%s", body);
    fingerprint(text, before, sizeof before);
    snprintf(text, sizeof text,
             "# a line more\n\nplan \"T\" { edition nec-2023 }\n\n# and more\n%s", body);
    fingerprint(text, after, sizeof after);
    assert_string_equal(before, after);
    snprintf(text, sizeof text, "plan \"T\" { edition nec-2023 }\n%s", body);
    memcpy(strstr(text, "24 A"), "26 A", 4);
    fingerprint(text, other, sizeof other);
    assert_string_not_equal(before, other);
}

enum { MOST = 64, LONG = 40 };

static int by_words(const void *a, const void *b)
{
    return strcmp(a, b);
}

/* All fingerprints of a plan in order; no two are alike. */
static int fingerprints(const char *path, char list[MOST][LONG])
{
    static const char mark[] = "primaryLocationLineHash\": \"";
    struct buf sarif = {0};
    int n = 0;
    of_file(path, &sarif);
    for (const char *at = buf_text(&sarif); n < MOST && (at = strstr(at, mark)); n++) {
        at += strlen(mark);
        snprintf(list[n], LONG, "%.*s", (int)strcspn(at, "\""), at);
    }
    buf_free(&sarif);
    qsort(list, (size_t)n, LONG, by_words);
    for (int i = 1; i < n; i++)
        assert_string_not_equal(list[i - 1], list[i]);
    return n;
}

static void write_file(const char *path, const char *text, size_t len)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    assert_int_equal(fwrite(text, 1, len, f), len);
    assert_int_equal(fclose(f), 0);
}

/* The draft under another name, its cable bought before its circuits are named: the same findings.
 */
static void fingerprints_survive_another_name_and_order(void **state)
{
    (void)state;
    char before[MOST][LONG], after[MOST][LONG], folder[] = "/tmp/studbay-sarif-XXXXXX", path[64];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/other name.bay", folder);
    struct buf draft = {0}, moved = {0};
    assert_true(file_read(&draft, "examples/studio/first-draft.bay", 1 << 20));
    int n = fingerprints("examples/studio/first-draft.bay", before);
    assert_in_range(n, 16, MOST - 1);
    const char *text = buf_text(&draft), *half = strstr(text, "\nlow-voltage network");
    assert_non_null(half);
    buf_printf(&moved, "# moved\n\n%s\n\n%.*s\n", half, (int)(half - text), text);
    write_file(path, moved.at, moved.n);
    int count = fingerprints(path, after);
    unlink(path);
    rmdir(folder);
    buf_free(&draft);
    buf_free(&moved);
    assert_int_equal(count, n);
    for (int i = 0; i < n; i++)
        assert_string_equal(before[i], after[i]);
}

/* Paths lead from where the check was begun; what lies elsewhere is named by the scheme. Help is
 * whole, not broken off in a plan. */
static void hosts_find_the_files_and_the_help(void **state)
{
    (void)state;
    static const char *const paths[] = {"examples/small/two-places.bay",
                                        "./examples/small/two-places.bay",
                                        "examples/studio/../small/./two-places.bay"};
    char absolute[4096], top[2048];
    assert_non_null(getcwd(top, sizeof top));
    snprintf(absolute, sizeof absolute, "%s/examples/small/two-places.bay", top);
    for (size_t i = 0; i <= sizeof paths / sizeof *paths; i++) {
        struct compilation c;
        struct buf out = {0};
        compile(&c, i < sizeof paths / sizeof *paths ? paths[i] : absolute,
                (struct compile_options){.library = plan_library(), .only_findings = true});
        diag_add(&c.diag, rule_of("unfed-box"),
                 (struct span){node_span(c.model->plan).source, 0, 1}, "said by the test");
        write_of(&c, &out);
        assert_non_null(strstr(buf_text(&out), "\"uri\": \"examples/small/two-places.bay\""));
        assert_null(strstr(buf_text(&out), "```"));
        assert_non_null(
            strstr(buf_text(&out),
                   "Add the box to a run of the circuit that is to feed it, or take the box out."));
        buf_free(&out);
        compile_free(&c);
    }
    char path[] = "/tmp/studbay-sarif-XXXXXX";
    int fd = mkstemp(path);
    struct buf out = {0};
    assert_true(fd >= 0);
    close(fd);
    write_file(path, body, strlen(body));
    of_file(path, &out);
    assert_non_null(strstr(buf_text(&out), "\"uri\": \"file:///tmp/"));
    unlink(path);
    buf_free(&out);
}

static void waivers_are_suppressions(void **state)
{
    (void)state;
    struct buf out = {0};
    of_file("examples/studio/studio.bay", &out);
    const char *found = strstr(buf_text(&out), "\"suppressions\"");
    assert_non_null(found);
    assert_non_null(strstr(found, "\"justification\": \"measured 80 ft round the barn doors; kept "
                                  "on 12 AWG\""));
    buf_free(&out);
}

/* How a finding is vouched for comes with it in both forms: what was written from memory, and what
 * of the edition no published page told; by an edition that is known through and through there is
 * no such member. */
static void findings_say_what_they_rest_on(void **state)
{
    (void)state;
    static const char plan[] =
        "plan \"T\" { edition %s }\n"
        "room shed \"Shed\" {\n  kind storage\n  corner 0', 0'\n  size 20' by 12'\n}\n"
        "room yard \"Yard\" {\n  kind outdoors\n  corner 0', -30'\n  size 20' by 10'\n"
        "  box R1 north at 10' up 24\" { cover in-use; receptacle-gfci-wr }\n}\n"
        "panel P { in shed north at 4' up 5'; main 60 A; spaces 8 }\n"
        "circuit P.5 \"Yard\" {\n  breaker 20 A\n  run P -> yard.R1 underground 6\" in "
        "pvc-3/4\n}\n";
    static const char unknown[] = "\"unknown\": [\"burial-depth (the number of its table";
    static const char *const editions[] = {"nec-2023", "nec-2026"};
    for (int of_2026 = 0; of_2026 < 2; of_2026++) {
        char text[1024];
        struct compilation c;
        struct buf json = {0}, sarif = {0};
        snprintf(text, sizeof text, plan, editions[of_2026]);
        compile_text(&c, text);
        assert_int_equal(findings_of(&c, "burial-depth"), 1);
        diag_json(&c.diag, &json, (struct diag_style){0}, NULL, NULL);
        write_of(&c, &sarif);
        must_be_valid(&sarif);
        assert_int_equal(strstr(buf_text(&json), unknown) != NULL, of_2026);
        assert_int_equal(strstr(buf_text(&sarif), unknown) != NULL, of_2026);
        assert_non_null(strstr(buf_text(&json), "\"recalled\": ["));
        assert_non_null(strstr(buf_text(&sarif), "\"recalled\": ["));
        buf_free(&json);
        buf_free(&sarif);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plans_are_valid),
        cmocka_unit_test(the_schema_refuses),
        cmocka_unit_test(texts_are_texts),
        cmocka_unit_test(fingerprints_survive_moved_lines),
        cmocka_unit_test(fingerprints_survive_another_name_and_order),
        cmocka_unit_test(hosts_find_the_files_and_the_help),
        cmocka_unit_test(waivers_are_suppressions),
        cmocka_unit_test(findings_say_what_they_rest_on),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

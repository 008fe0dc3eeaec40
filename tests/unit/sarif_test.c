/* SARIF output: valid by the schema of the standard (OASIS SARIF 2.1.0, tests/data/sarif), fingerprints that survive moved lines, waivers as suppressions. */
#include "compiled.h"

#include "emit/sarif.h"

#include <sys/wait.h>

static const char schema[] = "tests/data/sarif/sarif-2.1.0-rtm.5.json";

static void write_of(struct compilation *c, struct buf *out)
{
    sarif_write(&c->diag, "0", out);
}

static void of_file(const char *path, struct buf *out)
{
    struct compilation c;
    compile(&c, path, (struct compile_options){.only_findings = true});
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
    snprintf(command, sizeof command,
             "/usr/bin/python3 -c 'import json, sys, jsonschema; jsonschema.validate(json.load(open(sys.argv[1])), json.load(open(sys.argv[2])))' %s %s", path, schema);
    int status = system(command);
    unlink(path);
    assert_int_equal(WIFEXITED(status) ? WEXITSTATUS(status) : -1, 0);
}

static void plans_are_valid(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/studio/first-draft.bay", "examples/small/two-places.bay", "examples/flats/flats.bay",
                                        "tests/rules/unreadable-file.bad.bay", "no-such-plan.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct buf out = {0};
        of_file(plans[i], &out);
        must_be_valid(&out);
        buf_free(&out);
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
             "/usr/bin/python3 -c 'import json, sys, jsonschema; jsonschema.validate(json.load(open(sys.argv[1])), json.load(open(sys.argv[2])))' %s %s 2>/dev/null", path, schema);
    int status = system(command);
    unlink(path);
    assert_int_not_equal(status, 0);
}

static const char body[] = "room a \"A\" {\n  kind storage\n  size 12' by 10'\n  box R1  north at 2' { receptacle }\n}\n"
                           "panel P { in a east at 2' up 5'; main 100 A; spaces 12 }\ncircuit P.1 \"Bench\" {\n  breaker 24 A\n  run P -> a.R1\n}\n";

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
    snprintf(text, sizeof text, "# a line more\n\nplan \"T\" { edition nec-2023 }\n\n# and more\n%s", body);
    fingerprint(text, after, sizeof after);
    assert_string_equal(before, after);
    snprintf(text, sizeof text, "plan \"T\" { edition nec-2023 }\n%s", body);
    memcpy(strstr(text, "24 A"), "26 A", 4);
    fingerprint(text, other, sizeof other);
    assert_string_not_equal(before, other);
}

static void waivers_are_suppressions(void **state)
{
    (void)state;
    struct buf out = {0};
    of_file("examples/studio/studio.bay", &out);
    const char *found = strstr(buf_text(&out), "\"suppressions\"");
    assert_non_null(found);
    assert_non_null(strstr(found, "\"justification\": \"measured 80 ft round the barn doors; kept on 12 AWG (needs the authority's written consent)\""));
    buf_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plans_are_valid),
        cmocka_unit_test(the_schema_refuses),
        cmocka_unit_test(fingerprints_survive_moved_lines),
        cmocka_unit_test(waivers_are_suppressions),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

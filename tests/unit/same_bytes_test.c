/* The same plan gives the same bytes: every report in every format, every drawing, findings and proof, by two runs of the binary. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/buf.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void run(const char *arguments, struct buf *out)
{
    char command[1024], part[4096];
    snprintf(command, sizeof command, "'%s' %s 2>&1", getenv("STUDBAY"), arguments);
    FILE *f = popen(command, "r");
    assert_non_null(f);
    for (size_t n; (n = fread(part, 1, sizeof part, f)) > 0;)
        buf_add(out, part, n);
    pclose(f);
}

static void same(const char *arguments)
{
    struct buf first = {0}, second = {0};
    run(arguments, &first);
    run(arguments, &second);
    if (!first.n || first.n != second.n || memcmp(first.at, second.at, first.n))
        fail_msg("studbay %s: two runs differ, or say nothing", arguments);
    buf_free(&first);
    buf_free(&second);
}

/* Names at the beginning of the lines that a command lists. */
static void each_listed(const char *command, const char *const *formats, const char *plan)
{
    struct buf list = {0};
    run(command, &list);
    unsigned count = 0;
    for (const char *p = buf_text(&list); *p; count++) {
        size_t name = strcspn(p, " \n");
        for (int i = 0; formats[i] && strncmp(p, "all ", 4); i++) {
            char arguments[512];
            snprintf(arguments, sizeof arguments, "%s %.*s --format %s %s", command, (int)name, p, formats[i], plan);
            same(arguments);
        }
        p += strcspn(p, "\n");
        p += *p == '\n';
    }
    assert_true(count > 2);
    buf_free(&list);
}

static void reports_are_the_same(void **state)
{
    (void)state;
    static const char *const formats[] = {"text", "csv", "json", "md", NULL};
    each_listed("report", formats, "examples/studio/studio.bay");
    each_listed("report", formats, "examples/flats/flats.bay");
}

static void drawings_are_the_same(void **state)
{
    (void)state;
    static const char *const formats[] = {"dot", "svg", NULL};
    each_listed("draw", formats, "examples/small/two-places.bay");
}

static void findings_are_the_same(void **state)
{
    (void)state;
    same("check examples/studio/first-draft.bay");
    same("check --format json examples/studio/first-draft.bay");
    same("check --format sarif examples/studio/first-draft.bay");
    same("prove --format json examples/studio/studio.bay");
    same("prove --netlist examples/small/two-places.bay");
    same("compare --format json examples/studio/first-draft.bay examples/studio/studio.bay");
}

int main(void)
{
    assert_non_null(getenv("STUDBAY"));
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reports_are_the_same),
        cmocka_unit_test(drawings_are_the_same),
        cmocka_unit_test(findings_are_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

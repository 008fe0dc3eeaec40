/* The same plan gives the same bytes: every drawing, findings and proof, by two runs of the binary;
 * every report in every format, by two runs of this program, which writes them all from one
 * compilation. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "cmd/cmd.h"
#include "emit/dot/dot.h"
#include "emit/reports/reports.h"
#include "plans.h"
#include "sheets/sheets.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *program; /* this one */

/* What the command prints. */
static void run(const char *command, struct buf *out)
{
    char line[1024], part[4096];
    snprintf(line, sizeof line, "%s 2>&1", command);
    FILE *f = popen(line, "r");
    assert_non_null(f);
    for (size_t n; (n = fread(part, 1, sizeof part, f)) > 0;)
        buf_add(out, part, n);
    pclose(f);
}

/* Gives what both runs printed. */
static void same_by(const char *binary, const char *arguments, struct buf *out)
{
    char command[1024];
    struct buf again = {0};
    snprintf(command, sizeof command, "'%s' %s", binary, arguments);
    run(command, out);
    run(command, &again);
    if (!out->n || out->n != again.n || memcmp(out->at, again.at, out->n))
        fail_msg("%s: two runs differ, or say nothing", command);
    buf_free(&again);
}

static void same(const char *arguments)
{
    struct buf out = {0};
    same_by(getenv("STUDBAY"), arguments, &out);
    buf_free(&out);
}

/* --- reports ------------------------------------------------------------------------------ */

static const char end_of_reports[] = "\nend of reports\n";

/* Findings, and all reports. */
static int write_reports(const char *plan)
{
    struct compilation c;
    compile(&c, plan, (struct compile_options){.library = plan_library()});
    struct buf out = {0};
    diag_text(&c.diag, &out, (struct diag_style){0});
    struct results r;
    assert_true(cmd_results(&c, &r));
    for (uint32_t i = 0; i < report_count; i++)
        for (enum report_format format = REPORT_TEXT; format <= REPORT_MARKDOWN; format++) {
            size_t before = out.n;
            report_write(&report_table[i], &r, format, &out);
            if (out.n == before)
                return 1;
        }
    buf_puts(&out, end_of_reports);
    fwrite(out.at, 1, out.n, stdout);
    buf_free(&out);
    compile_free(&c);
    return 0;
}

static void reports_are_the_same(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        char arguments[128];
        struct buf out = {0};
        snprintf(arguments, sizeof arguments, "--reports %s", plans[i]);
        same_by(program, arguments, &out);
        assert_non_null(strstr(buf_text(&out), end_of_reports));
        buf_free(&out);
    }
    same("report panel examples/studio/studio.bay");
    same("report makeup --format json examples/flats/flats.bay");
}

/* --- drawings and findings ---------------------------------------------------------------- */

static void drawings_are_the_same(void **state)
{
    (void)state;
    char arguments[128];
    for (uint32_t i = 0; i < dot_count; i++) {
        snprintf(arguments, sizeof arguments, "draw %s --format dot examples/small/two-places.bay",
                 dot_table[i].name);
        same(arguments);
    }
    for (uint32_t i = 0; i < sheet_drawing_count; i++) {
        snprintf(arguments, sizeof arguments, "draw %s --format svg examples/small/two-places.bay",
                 sheet_drawings[i].name);
        same(arguments);
    }
}

static void sheets_are_the_same(void **state)
{
    (void)state;
    for (uint32_t i = 0; i < sheet_kind_count; i++) {
        char arguments[128];
        snprintf(arguments, sizeof arguments, "draw %s --format pdf examples/small/two-places.bay",
                 sheet_kinds[i].name);
        same(arguments);
    }
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

int main(int argc, char **argv)
{
    if (argc == 3 && !strcmp(argv[1], "--reports"))
        return write_reports(argv[2]);
    program = argv[0];
    assert_non_null(getenv("STUDBAY"));
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reports_are_the_same),
        cmocka_unit_test(drawings_are_the_same),
        cmocka_unit_test(sheets_are_the_same),
        cmocka_unit_test(findings_are_the_same),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

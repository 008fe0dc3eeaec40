/* Nothing is printed of what was not proven: no report, drawing, comparison or event, by the tables
 * of reports, drawings and commands. STUDBAY names the binary; run from the top of the tree. */
#include "compiled.h"
#include "damage.h"

#include "base/file.h"
#include "cmd/cmd.h"
#include "sheets/sheets.h"
#include "emit/reports/reports.h"
#include "emit/results.h"
#include "prove/prove.h"

#include <sys/wait.h>

static char folder[] = "/tmp/studbay-gate-XXXXXX";

/* Runs `$STUDBAY ARGUMENTS` with $D for the folder; gives its status. */
static int run(const char *arguments)
{
    struct buf line = {0};
    buf_printf(&line, "D=%s; rm -rf $D/o $D/o.html; \"$STUDBAY\" %s >$D/out 2>$D/err", folder,
               arguments);
    int status = system(buf_text(&line));
    buf_free(&line);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static bool shell(const char *command)
{
    struct buf line = {0};
    buf_printf(&line, "D=%s; %s", folder, command);
    int status = system(buf_text(&line));
    buf_free(&line);
    return status == 0;
}

/* --- commands ----------------------------------------------------------------------------- */

/* Two three-ways on one leg. Edits of it are scripts of sed. */
static const char sound[] =
    "plan \"Shed\" { edition nec-2023 }\n"
    "room shed { kind workshop; size 14' by 10'\n"
    "  box S1 south at 2' up 48\" { switch leg light }\n"
    "  box S2 north at 12' up 48\" { switch leg light }\n"
    "  box L1 overhead at 7', 5' { luminaire leg light 40 W }\n}\n"
    "panel P \"Panel\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.1 \"Shed light\" { breaker 15 A; run P -> shed.S1 -> L1; run shed.S1 -> S2 }\n";

/* Runs a command of one plan, by which nothing may be written. */
static void must_not_write(int status, const char *arguments)
{
    int got = run(arguments);
    if (got != status ||
        !shell(
            "test ! -s $D/out && test ! -e $D/o && test ! -e $D/o.html && test ! -e $D/plan.log"))
        fprintf(stderr, "%s: status %d\n", arguments, got);
    assert_int_equal(got, status);
    assert_true(shell(
        "test ! -s $D/out && test ! -e $D/o && test ! -e $D/o.html && test ! -e $D/plan.log"));
    assert_true(shell("grep -q '^proof failed: statement' $D/err"));
}

/* Every command that takes a plan and writes of the work, by the tables. */
static void nothing_is_written(int status, const char *library)
{
    char line[400];
    for (uint32_t i = 0; i < report_count; i++) {
        snprintf(line, sizeof line, "report %s $D/plan.bay -o $D/o%s", report_table[i].name,
                 library);
        must_not_write(status, line);
    }
    for (uint32_t i = 0; i < sheet_drawing_count + sheet_kind_count; i++) {
        const char *name = i < sheet_drawing_count ? sheet_drawings[i].name
                                                   : sheet_kinds[i - sheet_drawing_count].name;
        snprintf(line, sizeof line, "draw %s $D/plan.bay -o $D/o%s", name, library);
        must_not_write(status, line);
    }
    static const char *const others[] = {
        "report all $D/plan.bay -o $D/o",   "book $D/plan.bay -o $D/o.html",
        "book $D/plan.bay -o $D/o",         "compare $D/sound.bay $D/plan.bay",
        "compare $D/plan.bay $D/sound.bay", "log $D/plan.bay mounted shed.S1"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        snprintf(line, sizeof line, "%s%s", others[i], library);
        must_not_write(status, line);
    }
}

static void write_plan(const char *edit)
{
    struct buf b = {0};
    buf_puts(&b, sound);
    char path[100], command[400];
    snprintf(path, sizeof path, "%s/sound.bay", folder);
    assert_true(file_write(&b, path));
    snprintf(command, sizeof command, "sed \"%s\" $D/sound.bay >$D/plan.bay", edit);
    assert_true(shell(command));
    buf_free(&b);
}

/* A switch that hands its line on and a load in one: what no rule of definitions forbids, and no
 * make-up can do. */
#define OWN "device own : switch { terminal common gives line; terminal load takes line leg }"
static const char with_own[] =
    "s/S1 south at 2' up 48. { switch leg light/S1 south at 2' up 48\\\" { own leg light onward/; "
    "s/S2 north at 12' up 48. { switch/S2 north at 12' up 48\\\" { three-way/";

static void a_definition_of_the_plan_is_an_error_of_the_plan(void **state)
{
    (void)state;
    write_plan(with_own);
    assert_true(shell("sed -i '1a" OWN "' $D/plan.bay"));
    nothing_is_written(EXIT_PLAN, "");
    assert_int_equal(run("check $D/plan.bay"), EXIT_PLAN);
    assert_true(shell("grep -q definition-faulty $D/err && grep -q '^1 error$' $D/out"));
    assert_int_equal(run("prove $D/plan.bay"), EXIT_PLAN);
    assert_true(shell("grep -q 'The proof FAILED' $D/out"));
}

/* The library is ours: the same definition there stands for any defect of studbay. */
static void a_defect_of_ours_has_a_status_of_its_own(void **state)
{
    (void)state;
    write_plan(with_own);
    assert_true(shell("cp -r stdlib $D/lib && echo '" OWN "' >>$D/lib/devices.bay"));
    assert_int_equal(run("check $D/plan.bay --stdlib $D/lib"), EXIT_PROOF);
    assert_true(shell("! grep -q 'no findings' $D/out && grep -q 'a defect of studbay' $D/err"));
    assert_int_equal(run("prove $D/plan.bay --stdlib $D/lib"), EXIT_PROOF);
    assert_true(shell("! grep -q 'no findings' $D/err"));
    nothing_is_written(EXIT_PROOF, " --stdlib $D/lib");
}

/* What errors of the plan leave undecided is left out of the proof, and told. */
static void what_an_error_leaves_undecided_is_not_proven(void **state)
{
    (void)state;
    write_plan("s/{ switch leg light }/{ switch-gfci leg light }/");
    assert_int_equal(run("prove $D/plan.bay --format json"), EXIT_PLAN);
    assert_true(shell("grep -q 'what leg light works and what works it do not fit' $D/out"));
    assert_int_equal(run("report boxes $D/plan.bay -o $D/o"), EXIT_PLAN);
    assert_true(shell("test -s $D/o"));
}

/* --- damaged make-ups --------------------------------------------------------------------- */

/* Of a make-up with any fault that the proof finds there is nothing to print from. */
static void a_damaged_make_up_gives_no_results(void **state)
{
    (void)state;
    enum { MUTANTS = 300 };
    struct compilation c;
    struct results r;
    struct damager d;
    struct arena scratch = {0};
    enum damage what;
    const struct box *box;
    unsigned failed = 0;
    compile_text(&c, sound);
    assert_true(cmd_results(&c, &r));
    begin_damage(&d, &c.arena, c.model, c.makeup, 1);
    for (int i = 0; i < MUTANTS; i++) {
        arena_reset(&scratch);
        c.verdict = prove(&c.arena, c.model, damage_once(&d, &scratch, &what, &box));
        assert_int_equal(cmd_results(&c, &r), c.verdict->holds);
        assert_int_equal(handle_has_defect(&c), !c.verdict->holds);
        failed += !c.verdict->holds;
    }
    assert_true(failed > MUTANTS / 2);
    arena_free(&scratch);
    compile_free(&c);
}

/* --- what the system does not give -------------------------------------------------------- */

/* Where the memory ends, whatever the command: one message and status 2, never a signal. With less
 * than the first of these the program itself has no room to be started in. */
static void memory_that_ends_is_told(void **state)
{
    (void)state;
#if defined(__SANITIZE_ADDRESS__)
    skip(); /* the sanitizer takes more than any limit */
#endif
    static const char *const commands[] = {"check", "fmt", "prove", "report boxes", "draw plan"};
    unsigned ended = 0;
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++)
        for (unsigned kilobytes = 4200; kilobytes < 15000; kilobytes += 300) {
            char line[300];
            snprintf(
                line, sizeof line,
                "(ulimit -v %u; \"$STUDBAY\" %s examples/studio/studio.bay >$D/out 2>$D/err); "
                "s=$?; test $s -lt 2 || { test $s = 2 && grep -q 'not enough memory' $D/err; } "
                "|| test $s = 127",
                kilobytes, commands[i]);
            if (!shell(line))
                fprintf(stderr, "%s with %u kB\n", commands[i], kilobytes);
            assert_true(shell(line));
            ended += shell("grep -q 'not enough memory' $D/err");
        }
    assert_true(ended > 10);
}

static void a_library_that_cannot_be_read_says_why(void **state)
{
    (void)state;
    write_plan("");
    assert_int_equal(run("check --stdlib $D/none $D/plan.bay"), EXIT_USAGE);
    assert_true(shell("grep -q 'none: No such file or directory' $D/err"));
    assert_true(shell("mkdir -p $D/empty"));
    assert_int_equal(run("check --stdlib $D/empty $D/plan.bay"), EXIT_USAGE);
    assert_true(shell("grep -q 'empty: there is no standard library in this folder' $D/err"));
}

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    return shell("rm -rf $D") ? 0 : -1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_definition_of_the_plan_is_an_error_of_the_plan),
        cmocka_unit_test(a_defect_of_ours_has_a_status_of_its_own),
        cmocka_unit_test(what_an_error_leaves_undecided_is_not_proven),
        cmocka_unit_test(a_damaged_make_up_gives_no_results),
        cmocka_unit_test(memory_that_ends_is_told),
        cmocka_unit_test(a_library_that_cannot_be_read_says_why),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}

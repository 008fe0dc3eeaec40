/* What `studbay new` lays into a folder: plans that are clean, and what git does with it there. */
#define _GNU_SOURCE
#include "shell.h"

/* Each is laid out, proven and without error or warning: a note on the drop of a long way may
 * stand. */
static void plans_to_begin_with_are_clean(void **state)
{
    (void)state;
    static const char *const jobs[] = {"", "--cellar", "--kitchen", "--garage", "--shed"};
    char line[256];
    for (size_t i = 0; i < sizeof jobs / sizeof *jobs; i++) {
        snprintf(line, sizeof line, "rm -rf job && studbay new %s job", jobs[i]);
        assert_non_null(strstr(sh(line), "studbay check job/plan.bay"));
        assert_int_equal(shell_status, 0);
        const char *said =
            sh("studbay check --strict job/plan.bay && studbay fmt --check job/plan.bay "
               "&& studbay prove job/plan.bay >/dev/null && studbay report cuts job/plan.bay");
        if (shell_status || strstr(said, ": warning:") || strstr(said, ": error:"))
            fail_msg("new %s: %d, %s", jobs[i], shell_status, said);
    }
}

/* The first one shows what the manual promises: each of these words. */
static void the_first_plan_shows_what_one_needs(void **state)
{
    (void)state;
    static const char *const words[] = {
        "\nplan ",     "\nlevel ", "\nroom ",    "door ",     "window ", "boxes ",  "switch leg",
        "smoke-alarm", "\npanel ", "\ncircuit ", "run P -> ", "\ncoil ", "\nwaive "};
    const char *plan = sh("rm -rf job && studbay new job >/dev/null && cat job/plan.bay");
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (!strstr(plan, words[i]))
            fail_msg("the plan has no '%s'", words[i]);
}

static void nothing_is_written_over(void **state)
{
    (void)state;
    sh("rm -rf job && mkdir job && echo mine >job/.gitattributes");
    assert_non_null(strstr(sh("studbay new job"), "job/.gitattributes is there already"));
    assert_int_equal(shell_status, 2);
    assert_string_equal(sh("cat job/.gitattributes; ls -A job"), "mine\n.gitattributes\n");
    assert_non_null(strstr(sh("studbay new --shed --kitchen other"), "one job at a time"));
    assert_int_equal(shell_status, 2);
    assert_non_null(strstr(sh("echo x >file && studbay new file"), "file"));
    assert_int_equal(shell_status, 2);
}

/* The hook looks at what is committed, not at what lies there. */
static void git_refuses_what_is_wrong(void **state)
{
    (void)state;
    sh("rm -rf job && studbay new job >/dev/null && cd job && git init -q . && git config "
       "user.name a && "
       "git config user.email a@b && git config core.hooksPath .githooks && git add -A && git "
       "commit -qm first");
    assert_int_equal(shell_status, 0);
    assert_non_null(strstr(sh("cd job && cp plan.bay kept && sed -i 's/ceiling 8/ ceiling 8/' "
                              "plan.bay && git add plan.bay && "
                              "cp kept plan.bay && git commit -qm second"),
                           "studbay fmt --write plan.bay"));
    assert_int_equal(shell_status, 1);
    assert_non_null(strstr(sh("cd job && sed -i 's/^  run P -> hobby.S2/  run P -> hobby.S9/' "
                              "plan.bay && git add plan.bay && "
                              "cp kept plan.bay && git commit -qm second"),
                           "error"));
    assert_int_equal(shell_status, 1);
    sh("cd job && git add plan.bay && sed -i 's/hobby.R6/hobby.R9/' plan.bay && git commit "
       "--allow-empty -qm second");
    assert_int_equal(shell_status, 0);
}

/* A hunk of a diff names the room that it stands in (gitattributes(5), "Defining a custom
 * hunk-header"); two people's lines of the log both stay (merge=union). */
static void git_shows_the_room_and_keeps_both_logs(void **state)
{
    (void)state;
    sh("rm -rf job && studbay new job >/dev/null && cd job && git init -q -b main . && git config "
       "user.name a && "
       "git config user.email a@b && eval \"$(sed -n 's/^#  *\\(git config\\)/\\1/p' "
       ".gitattributes)\" && git add -A && "
       "git commit -qm first");
    assert_int_equal(shell_status, 0);
    assert_non_null(
        strstr(sh("cd job && sed -i 's/bench 15 W/bench 18 W/' plan.bay && git diff -U0"),
               "@@ room hobby \"Hobby room\" {"));
    sh("cd job && git checkout -q plan.bay && git checkout -qb one && echo '2026-03-14 set "
       "hobby.R6' >plan.log && git add -A && "
       "git commit -qm one && git checkout -q main && git checkout -qb two && echo '2026-03-14 set "
       "hobby.R1' >plan.log && "
       "git add -A && git commit -qm two && git merge -q one");
    assert_int_equal(shell_status, 0);
    const char *log = sh("sort job/plan.log");
    assert_string_equal(log, "2026-03-14 set hobby.R1\n2026-03-14 set hobby.R6\n");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(plans_to_begin_with_are_clean),
        cmocka_unit_test(the_first_plan_shows_what_one_needs),
        cmocka_unit_test(nothing_is_written_over),
        cmocka_unit_test(git_refuses_what_is_wrong),
        cmocka_unit_test(git_shows_the_room_and_keeps_both_logs),
    };
    return cmocka_run_group_tests(tests, shell_begin, shell_end);
}

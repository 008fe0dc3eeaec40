/* Plans of git's: what compare says of a revision is what it says of the same files laid beside. */
#define _GNU_SOURCE
#include "shell.h"

#include <stdbool.h>
#include <unistd.h>

static int set_up(void **state)
{
    assert_int_equal(shell_begin(state), 0);
    sh("mkdir job && cp \"$(dirname \"$S\")\"/../examples/studio/*.bay job && git init -q . && git "
       "add -A && "
       "git -c user.name=a -c user.email=a@b commit -qm first && cp -r job before && "
       "sed -i '/box R3 /d' job/studio.bay && sed -i '0,/up 48/s//up 50/' job/downstairs.bay && cp "
       "-r job after");
    return shell_status;
}

/* Both the plan and what it includes are those of the revision, from whatever folder it is asked.
 */
static void a_revision_is_as_its_files(void **state)
{
    (void)state;
    char wanted[1 << 16];
    snprintf(wanted, sizeof wanted, "%s", sh("$S compare before/studio.bay after/studio.bay"));
    assert_true(shell_status <= 1); /* 1: the plan lacks a receptacle now */
    assert_non_null(strstr(wanted, "studio.R3"));
    assert_string_equal(sh("$S compare HEAD job/studio.bay"), wanted);
    assert_string_equal(sh("cd job && $S compare HEAD studio.bay"), wanted);
    assert_string_equal(sh("cd job && $S compare HEAD:studio.bay studio.bay"), wanted);
    sh("git -c user.name=a -c user.email=a@b commit -qam second");
    assert_string_equal(sh("$S compare HEAD~1 HEAD job/studio.bay"), wanted);
    assert_string_equal(sh("$S compare HEAD~1:job/studio.bay after/studio.bay"), wanted);
    assert_non_null(strstr(sh("$S compare HEAD job/studio.bay"), "0 added, 0 abandoned"));
    assert_string_equal(sh("git status --porcelain -uno"), "");
}

/* The plan may be gone from the disk, the log stands for what is in the wall today. */
static void the_log_is_that_of_today(void **state)
{
    (void)state;
    sh("echo '2026-03-14 pulled P -> studio.R3 30ft' >job/studio.log");
    assert_non_null(strstr(sh("$S compare HEAD~1 HEAD job/studio.bay"), "30'"));
    sh("mv job/studio.bay kept && rm job/studio.log");
    assert_non_null(strstr(sh("$S compare HEAD~1 HEAD job/studio.bay"), "studio.R3"));
    assert_true(shell_status <= 1);
    sh("mv kept job/studio.bay");
}

static void what_git_does_not_have_is_told(void **state)
{
    (void)state;
    static const char *const refused[][2] = {
        {"$S compare HEAD~9 job/studio.bay", "'HEAD~9' is no file, and no revision"},
        {"$S compare HEAD job/attic.bay", "there is no job/attic.bay in HEAD"},
        {"$S compare HEAD:job/attic.bay job/studio.bay", "there is no job/attic.bay in HEAD"},
        {"$S compare -- --output=x job/studio.bay", "'--output=x' is no file, and no revision"},
        {"$S compare HEAD none/studio.bay", "there is no folder"},
        {"$S compare HEAD HEAD HEAD job/studio.bay", "compare wants two plans"},
        {"GIT_DIR=/none $S compare HEAD job/studio.bay",
         "'HEAD' is no file; as a revision: git failed"},
        {"PATH=/none \"$S\" compare HEAD job/studio.bay", "needs git, which is not installed here"},
    };
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        const char *said = sh(refused[i][0]);
        if (shell_status != 2 || !strstr(said, refused[i][1]))
            fail_msg("%s: %d, %s", refused[i][0], shell_status, said);
    }
    assert_int_not_equal(access("x", F_OK), 0);
}

/* A line that is a whole statement of its own: what two people take out or put in. */
static bool is_statement(const char *line)
{
    size_t n = strlen(line);
    return n > 3 &&
           (!strncmp(line, "  box", 5) || !strncmp(line, "  run", 5) ||
            !strncmp(line, "  door", 6)) &&
           strcmp(line + n - 2, "{\n") != 0;
}

static void write_lines(const char *name, char *const *lines, size_t count, size_t without,
                        size_t twice)
{
    char path[128];
    snprintf(path, sizeof path, "%s/%s", shell_folder, name);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    for (size_t i = 0; i < count; i++)
        for (int k = i == without ? 0 : i == twice ? 2 : 1; k > 0; k--)
            fputs(lines[i], f);
    fclose(f);
}

/* How a line is laid out hangs on nothing but that line and its block: two changes that do not
 * touch merge by themselves, and what git makes of them is laid out as it must be. */
static void merged_plans_keep_their_layout(void **state)
{
    (void)state;
    enum { MOST = 2000 };
    static char *lines[MOST];
    size_t n = 0, merged = 0, room = 0;
    FILE *f = fopen("examples/studio/studio.bay", "r");
    assert_non_null(f);
    while (n < MOST && getline(&lines[n], &room, f) > 0) {
        n++;
        room = 0;
    }
    fclose(f);
    write_lines("base.bay", lines, n, n, n);
    for (size_t i = 0; i < n; i += 3)
        for (size_t j = i + 3; j < n && j < i + 60; j += 8) {
            if (!is_statement(lines[i]) || !is_statement(lines[j]))
                continue;
            write_lines("ours.bay", lines, n, i, n);
            write_lines("theirs.bay", lines, n, n, j);
            write_lines("both.bay", lines, n, i, j);
            const char *said =
                sh("git merge-file ours.bay base.bay theirs.bay && cmp ours.bay both.bay && "
                   "\"$S\" fmt --check ours.bay");
            if (shell_status)
                fail_msg("lines %zu and %zu: %s", i + 1, j + 1, said);
            merged++;
        }
    assert_true(merged > 10);
    for (size_t i = 0; i < n; i++)
        free(lines[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_revision_is_as_its_files),
        cmocka_unit_test(the_log_is_that_of_today),
        cmocka_unit_test(what_git_does_not_have_is_told),
        cmocka_unit_test(merged_plans_keep_their_layout),
    };
    return cmocka_run_group_tests(tests, set_up, shell_end);
}

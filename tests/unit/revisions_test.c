/* Plans of git's: what compare says of a revision is what it says of the same files laid beside. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static char folder[64];

/* Runs a line of the shell in the folder, where $S is the binary; its output, and its exit status
 * in `status`. */
static int status;
static const char *sh(const char *line)
{
    static char text[1 << 16], command[2048];
    snprintf(command, sizeof command,
             "cd %s && export S=\"$STUDBAY\" GIT_CONFIG_GLOBAL=/dev/null "
             "GIT_CONFIG_SYSTEM=/dev/null && { %s; } 2>&1",
             folder, line);
    FILE *p = popen(command, "r");
    assert_non_null(p);
    size_t n = fread(text, 1, sizeof text - 1, p);
    text[n] = 0;
    status = pclose(p) >> 8;
    return text;
}

static int set_up(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/studbay-revisions-XXXXXX");
    assert_non_null(mkdtemp(folder));
    sh("mkdir job && cp \"$(dirname $S)\"/../examples/studio/*.bay job && git init -q . && git add "
       "-A && "
       "git -c user.name=a -c user.email=a@b commit -qm first && cp -r job before && "
       "sed -i '/box R3 /d' job/studio.bay && sed -i '0,/up 48/s//up 50/' job/downstairs.bay && cp "
       "-r job after");
    assert_int_equal(status, 0);
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    sh("rm -rf -- * .git; rmdir \"$PWD\"");
    return 0;
}

/* Both the plan and what it includes are those of the revision, from whatever folder it is asked.
 */
static void a_revision_is_as_its_files(void **state)
{
    (void)state;
    char wanted[1 << 16];
    snprintf(wanted, sizeof wanted, "%s", sh("$S compare before/studio.bay after/studio.bay"));
    assert_true(status <= 1); /* 1: the plan lacks a receptacle now */
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
    assert_true(status <= 1);
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
        if (status != 2 || !strstr(said, refused[i][1]))
            fail_msg("%s: %d, %s", refused[i][0], status, said);
    }
    assert_int_not_equal(access("x", F_OK), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_revision_is_as_its_files),
        cmocka_unit_test(the_log_is_that_of_today),
        cmocka_unit_test(what_git_does_not_have_is_told),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}

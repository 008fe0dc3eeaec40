/* For tests of the command from outside, in a folder of their own: lines of the shell, with the
 * binary as $S and first on the PATH, the folder as $D, and git as it is without anybody's
 * settings. */
#ifndef STUDBAY_TESTS_SHELL_H
#define STUDBAY_TESTS_SHELL_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static char shell_folder[64];
static int shell_status; /* of the last line */

/* Runs the line in that folder; what it says. */
static inline const char *shell_run_in(const char *where, const char *line)
{
    static char text[1 << 18], command[4096];
    snprintf(command, sizeof command,
             "export S=\"$STUDBAY\" D=%s PATH=\"$(dirname \"$STUDBAY\"):$PATH\" "
             "GIT_CONFIG_GLOBAL=/dev/null "
             "GIT_CONFIG_SYSTEM=/dev/null && cd %s && { %s; } 2>&1",
             shell_folder, where, line);
    FILE *p = popen(command, "r");
    assert_non_null(p);
    size_t n = fread(text, 1, sizeof text - 1, p);
    text[n] = 0;
    shell_status = pclose(p) >> 8;
    return text;
}

/* In the folder of the test. */
static inline const char *sh(const char *line)
{
    return shell_run_in(shell_folder, line);
}

static int shell_begin(void **state)
{
    (void)state;
    strcpy(shell_folder, "/tmp/studbay-test-XXXXXX");
    return mkdtemp(shell_folder) ? 0 : 1;
}

static int shell_end(void **state)
{
    (void)state;
    shell_run_in(".", "rm -rf \"$D\"");
    return shell_status;
}

#endif

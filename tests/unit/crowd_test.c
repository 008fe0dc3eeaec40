/* Many at once at one site log: no line is lost or torn, whoever writes, reads or is interrupted
 * meanwhile. `crowd_test --all` lets each write fifty lines. */
#include "shell.h"

#include <stdbool.h>

enum { WRITERS = 32 };
static int lines_each = 2;

/* A room with a box for each line that will be written, and no log. */
static void begin(void)
{
    char path[128];
    sh("rm -f plan.log acks said wrong");
    snprintf(path, sizeof path, "%s/plan.bay", shell_folder);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fprintf(f, "plan \"Hall\" { edition nec-2023 }\n"
               "room hall { kind storage; size 3500' by 90'\n");
    for (int i = 0; i < WRITERS * lines_each; i++)
        fprintf(f, "  box B%d north at %d' up 48\" { receptacle-gfci }\n", i, 2 * i + 2);
    fprintf(f, "}\n");
    fclose(f);
}

/* Lets all write, each line by a run of its own that `how` stands before; `$n` is the number of its
 * box. What was told as written goes to acks, what a reader finds wrong meanwhile to wrong. */
static void write_all(const char *how)
{
    char line[1024];
    snprintf(line, sizeof line,
             "for w in $(seq 0 %d); do (for i in $(seq 0 %d); do n=$((w * %d + i)); "
             "%s $S log plan.bay 2026-03-02 set hall.B$n >ack.$w 2>>said && cat ack.$w >>acks; "
             "done; rm -f ack.$w) & done; "
             "for r in 1 2 3; do $S check --only log-entry-unknown plan.bay 2>&1 | grep plan.log "
             ">>wrong; "
             "done; wait",
             WRITERS - 1, lines_each - 1, lines_each, how);
    sh(line);
    assert_string_equal(sh("cat wrong"), "");
    assert_string_equal(sh("touch plan.log; grep -v '^2026-03-02 set hall.B[0-9]*$' plan.log"), "");
    assert_string_equal(sh("sort plan.log | uniq -d"), "");
}

static void no_line_is_lost(void **state)
{
    (void)state;
    char wanted[64];
    begin();
    write_all("");
    assert_string_equal(sh("grep -v ^next: said"), "");
    snprintf(wanted, sizeof wanted, "%d\n%d\n", WRITERS * lines_each, WRITERS * lines_each);
    assert_string_equal(sh("grep -c '' acks; grep -c '' plan.log"), wanted);
}

/* What was told as written is there, whatever came of the others. */
static void who_is_interrupted_tears_nothing(void **state)
{
    (void)state;
    begin();
    write_all(
        "timeout -s $(set -- INT TERM HUP KILL; shift $((n % 4)); echo $1) 0.0$((n % 7 + 1))");
    assert_string_equal(sh("touch acks; sort acks >a; sort plan.log >l; comm -23 a l"), "");
}

int main(int argc, char **argv)
{
    if (argc > 1 && !strcmp(argv[1], "--all"))
        lines_each = 50;
    const struct CMUnitTest tests[] = {cmocka_unit_test(no_line_is_lost),
                                       cmocka_unit_test(who_is_interrupted_tears_nothing)};
    return cmocka_run_group_tests(tests, shell_begin, shell_end);
}

/* check --fix and --diff: what they write, and what they leave alone. Run with STUDBAY naming the
 * binary. */
#include "compiled.h"
#include "base/diff.h"
#include "base/file.h"

#include <sys/stat.h>
#include <sys/wait.h>

static char folder[] = "/tmp/studbay-fix-XXXXXX";
static struct buf out, err;

static const char *in_folder(const char *name)
{
    static char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

static void write_in(const char *name, const char *text)
{
    struct buf b = {0};
    buf_puts(&b, text);
    assert_true(file_write(&b, in_folder(name)));
    buf_free(&b);
}

static void assert_file(const char *name, const char *text)
{
    struct buf b = {0};
    assert_true(file_read(&b, in_folder(name), 1 << 20));
    assert_string_equal(buf_text(&b), text);
    buf_free(&b);
}

/* Runs studbay in the folder; gives its status. */
static int run(const char *arguments)
{
    char line[512];
    snprintf(line, sizeof line, "cd %s && \"$STUDBAY\" %s >out 2>err", folder, arguments);
    int wait = system(line);
    out.n = err.n = 0;
    file_read(&out, in_folder("out"), 1 << 20);
    file_read(&err, in_folder("err"), 1 << 20);
    return WIFEXITED(wait) ? WEXITSTATUS(wait) : -1;
}

#define HEAD "plan \"Shed\" { edition nec-2023 }\n\n"
#define ROOM                                                                                       \
    "room shed \"Shed\" {\n  kind storage\n  size 10' by 8'\n"                                     \
    "  box S1  south at 3' up 48\" { switch leg light }\n"                                         \
    "  box L1  overhead at 5', 4' { luminaire leg light 20 W }\n}\n\n"                             \
    "panel P \"Panel\" { in shed west at 2' up 5'; main 60 A; spaces 8 }\n\n"
#define CIRCUIT(breaker) "circuit P.1 \"Shed light\" {\n" breaker "  run P -> shed.S1 -> L1\n}\n"

static void a_safe_mend_is_written(void **state)
{
    (void)state;
    write_in("plan.bay", HEAD ROOM CIRCUIT("  braeker 15 A afci  # as it is sold\n"));
    assert_int_equal(run("check --fix --diff plan.bay"), 1);
    assert_non_null(strstr(buf_text(&out), "--- plan.bay\n+++ plan.bay\n@@ "));
    assert_non_null(strstr(buf_text(&out), "\n-  braeker 15 A afci  # as it is sold\n"
                                           "+  breaker 15 A afci  # as it is sold\n"));
    assert_file("plan.bay", HEAD ROOM CIRCUIT("  braeker 15 A afci  # as it is sold\n"));
    assert_int_equal(run("check --fix plan.bay"), 0);
    assert_non_null(strstr(buf_text(&err), "plan.bay: mended 1 syntax\n"));
    assert_file("plan.bay", HEAD ROOM CIRCUIT("  breaker 15 A afci  # as it is sold\n"));
    assert_int_equal(run("check --fix --diff plan.bay"), 0);
    assert_int_equal(out.n, 0);
}

/* One slip hides another: they are mended one after the other. */
static void it_goes_on_until_nothing_is_left(void **state)
{
    (void)state;
    write_in("plan.bay", HEAD ROOM CIRCUIT("  braeker 15 afci\n"));
    assert_int_equal(run("check --fix plan.bay"), 0);
    assert_file("plan.bay", HEAD ROOM CIRCUIT("  breaker 15 A afci\n"));
}

/* Another breaker has to be bought: that is nobody's slip. */
static void what_takes_a_decision_is_asked_for(void **state)
{
    (void)state;
    static const char lacks[] =
        HEAD "room bed \"Bedroom\" {\n  kind bedroom\n  size 8' by 8'\n"
             "  box R1  south at 3' { receptacle }\n}\n\n"
             "panel P \"Panel\" { in bed west at 2' up 5'; main 60 A; spaces 8 }\n\n"
             "circuit P.1 \"Bedroom receptacle\" {\n  breaker 15 A  # to be bought\n  run P -> "
             "bed.R1\n}\n";
    write_in("plan.bay", lacks);
    assert_int_equal(run("check --fix plan.bay"), 1);
    assert_file("plan.bay", lacks);
    run("check --fix=afci-missing plan.bay");
    struct buf b = {0};
    assert_true(file_read(&b, in_folder("plan.bay"), 1 << 20));
    assert_non_null(strstr(buf_text(&b), "  breaker 15 A afci  # to be bought\n"));
    buf_free(&b);
}

static void lines_end_as_they_did_and_included_files_are_written(void **state)
{
    (void)state;
    write_in("plan.bay", HEAD "include \"light.bay\"\n\n" ROOM);
    write_in("light.bay", "# Light.\r\ncircuit P.1 \"Shed light\" {\r\n  breaker 15 afci  # new\r\n"
                          "  run P -> shed.S1 -> L1\r\n}\r\n");
    assert_int_equal(run("check --fix plan.bay"), 0);
    assert_file("plan.bay", HEAD "include \"light.bay\"\n\n" ROOM);
    assert_file("light.bay",
                "# Light.\r\ncircuit P.1 \"Shed light\" {\r\n  breaker 15 A afci  # new\r\n"
                "  run P -> shed.S1 -> L1\r\n}\r\n");
}

/* "R3" is near to both, and in a run neither is a slip of a letter. */
static void what_might_be_another_is_left(void **state)
{
    (void)state;
    write_in("plan.bay", HEAD ROOM "circuit P.1 \"Shed light\" {\n  breaker 15 A afci\n"
                                   "  run P -> shed.S2 -> L1\n}\n");
    assert_int_equal(run("check --fix plan.bay"), 1);
    assert_non_null(strstr(buf_text(&err), "plan.bay: mended nothing"));
    assert_int_equal(run("check --fix=unknown-name plan.bay"), 0);
    assert_file("plan.bay", HEAD ROOM CIRCUIT("  breaker 15 A afci\n"));
}

static void what_cannot_be_done_is_refused(void **state)
{
    (void)state;
    assert_int_equal(run("check --fix - <plan.bay"), 2);
    assert_int_equal(run("check --diff plan.bay"), 2);
    assert_int_equal(run("check --fix=afci-mising plan.bay"), 2);
    assert_non_null(strstr(buf_text(&err), "did you mean 'afci-missing'?"));
    write_in("plan.bay", HEAD ROOM CIRCUIT("  braeker 15 A afci\n"));
    assert_int_equal(run("check --fix --diff - <plan.bay"), 1);
    assert_non_null(strstr(buf_text(&out), "+  breaker 15 A afci\n"));
}

/* --- differences -------------------------------------------------------------------------- */

/* Makes the new text of the old one and of what is told of the difference. */
static void assert_difference(const char *old, const char *new)
{
    struct buf told = {0}, made = {0};
    diff_unified(&told, "x", old, strlen(old), new, strlen(new));
    const char *at = old, *end = buf_text(&told) + told.n;
    unsigned line = 1;
    for (const char *p = buf_text(&told); p < end; p += strcspn(p, "\n") + 1) {
        unsigned from;
        if (!strncmp(p, "---", 3) || !strncmp(p, "+++", 3))
            continue;
        size_t len = strcspn(p, "\n");
        bool ends = p[len + 1] != '\\';
        if (sscanf(p, "@@ -%u", &from) == 1) {
            unsigned count = strchr(p, ',') && strchr(p, ',') < strchr(p, '+')
                                 ? (unsigned)atoi(strchr(p, ',') + 1)
                                 : 1;
            for (from += !count; line < from; line++) {
                size_t whole = strcspn(at, "\n") + 1;
                buf_add(&made, at, whole);
                at += whole;
            }
        } else if (*p == '+') {
            buf_add(&made, p + 1, len - 1);
            buf_puts(&made, ends ? "\n" : "");
        } else if (*p == ' ' || *p == '-') {
            assert_memory_equal(at, p + 1, len - 1);
            if (*p == ' ')
                buf_add(&made, at, len - 1 + (at[len - 1] == '\n'));
            at += len - 1 + (at[len - 1] == '\n');
            line++;
        }
    }
    buf_puts(&made, at);
    assert_string_equal(buf_text(&made), new);
    buf_free(&told);
    buf_free(&made);
}

static void differences_lead_from_one_text_to_the_other(void **state)
{
    (void)state;
    assert_difference("a\n", "b\n");
    assert_difference("", "a\nb\n");
    assert_difference("a\nb\n", "");
    assert_difference("a\nb", "a\nb\n");
    assert_difference("a\nb\nc\nd\ne\nf\ng\nh\ni\nj\nk\n", "a\nB\nc\nd\ne\nf\ng\nh\ni\nJ\nk\nl\n");
    uint64_t seed = 7;
    for (int i = 0; i < 300; i++) {
        char old[200], new[200];
        size_t m = 0, n = 0;
        for (int k = 0; k < 30; k++) {
            seed = seed * 6364136223846793005u + 1442695040888963407u;
            char c = (char)('a' + (seed >> 40) % 4);
            if (seed >> 50 & 7)
                m += (size_t)sprintf(old + m, "%c\n", c);
            if (seed >> 55 & 7)
                n += (size_t)sprintf(new + n, "%c\n", c);
        }
        old[m] = new[n] = 0;
        assert_difference(old, new);
    }
}

/* --- slips -------------------------------------------------------------------------------- */

static void figures_are_no_slips(void **state)
{
    (void)state;
    assert_true(near_is_slip("braeker", "breaker"));
    assert_true(near_is_slip("receptacl", "receptacle"));
    assert_false(near_is_slip("R3", "R1"));
    assert_false(near_is_slip("bench1", "bench2"));
    assert_false(near_is_slip("wall", "hall12"));
    assert_false(near_is_slip("garage", "garden"));
}

static int set_up(void **state)
{
    (void)state;
    return getenv("STUDBAY") && mkdtemp(folder) ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    char line[128];
    snprintf(line, sizeof line, "rm -rf %s", folder);
    buf_free(&out);
    buf_free(&err);
    return system(line);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_safe_mend_is_written),
        cmocka_unit_test(it_goes_on_until_nothing_is_left),
        cmocka_unit_test(what_takes_a_decision_is_asked_for),
        cmocka_unit_test(lines_end_as_they_did_and_included_files_are_written),
        cmocka_unit_test(what_might_be_another_is_left),
        cmocka_unit_test(what_cannot_be_done_is_refused),
        cmocka_unit_test(differences_lead_from_one_text_to_the_other),
        cmocka_unit_test(figures_are_no_slips),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}

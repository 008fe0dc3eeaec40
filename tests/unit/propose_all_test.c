/* studbay propose PLAN: from a sketch to a plan that checks clean, once and for all; what a person
 * writes otherwise afterwards stays. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/buf.h"
#include "base/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static char folder[] = "/tmp/studbay-propose-XXXXXX";

/* Runs studbay in the folder; gives its exit status, and in `out` both of its outputs. */
static int run(const char *arguments, struct buf *out)
{
    char line[1024], part[4096];
    snprintf(line, sizeof line, "cd %s && '%s' %s 2>&1", folder, getenv("STUDBAY"), arguments);
    out->n = 0;
    FILE *f = popen(line, "r");
    assert_non_null(f);
    for (size_t n; (n = fread(part, 1, sizeof part, f)) > 0;)
        buf_add(out, part, n);
    int status = pclose(f);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void put_plan(const char *text)
{
    char path[64];
    snprintf(path, sizeof path, "%s/plan.bay", folder);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    assert_int_equal(fclose(f), 0);
}

static void read_plan(struct buf *text)
{
    char path[64];
    snprintf(path, sizeof path, "%s/plan.bay", folder);
    text->n = 0;
    assert_true(file_read(text, path, 1 << 20));
}

static int begin(void **unused)
{
    (void)unused;
    struct buf text = {0};
    bool read = file_read(&text, "examples/sketch/cart-shed.bay", 1 << 20);
    if (!mkdtemp(folder) || !read)
        return 1;
    put_plan(buf_text(&text));
    buf_free(&text);
    return 0;
}

static int end(void **unused)
{
    (void)unused;
    char line[64];
    snprintf(line, sizeof line, "rm -r %s", folder);
    return system(line);
}

static void a_sketch_becomes_a_clean_plan(void **unused)
{
    (void)unused;
    struct buf out = {0}, before = {0}, after = {0};
    read_plan(&before);
    assert_int_equal(run("propose plan.bay", &out), 1); /* a difference, and nothing written */
    assert_non_null(strstr(buf_text(&out), "with all of it check finds nothing worse than a note"));
    read_plan(&after);
    assert_string_equal(buf_text(&before), buf_text(&after));
    assert_int_equal(run("propose --write plan.bay", &out), 0);
    assert_int_equal(run("check plan.bay", &out), 0);
    assert_null(strstr(buf_text(&out), "error"));
    assert_null(strstr(buf_text(&out), "warning"));
    assert_int_equal(run("prove plan.bay", &out), 0);
    assert_int_equal(run("fmt --check plan.bay", &out), 0);
    buf_free(&out);
    buf_free(&before);
    buf_free(&after);
}

static void proposing_again_proposes_nothing(void **unused)
{
    (void)unused;
    struct buf out = {0};
    assert_int_equal(run("propose --write plan.bay", &out), 0);
    assert_int_equal(run("propose plan.bay", &out), 0);
    assert_null(strstr(buf_text(&out), "+++"));
    buf_free(&out);
}

/* Another title, another breaker's word order, a box moved along its wall: nothing is undone. */
static void what_a_person_changes_stays(void **unused)
{
    (void)unused;
    static const char *const changes[][2] = {
        {"\"Wash room receptacle\"", "\"Shaver by the basin\""},
        {"up 42\" { receptacle }", "up 40\" { receptacle }"}};
    struct buf out = {0}, text = {0};
    assert_int_equal(run("propose --write plan.bay", &out), 0);
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        read_plan(&text);
        char *at = strstr(buf_text(&text), changes[i][0]);
        assert_non_null(at);
        struct buf changed = {0};
        buf_add(&changed, buf_text(&text), (size_t)(at - buf_text(&text)));
        buf_puts(&changed, changes[i][1]);
        buf_puts(&changed, at + strlen(changes[i][0]));
        put_plan(buf_text(&changed));
        assert_int_equal(run("propose plan.bay", &out), 0);
        buf_free(&changed);
    }
    buf_free(&out);
    buf_free(&text);
}

/* What a person takes away is proposed anew, and the rest is left as it is. */
static void one_circuit_taken_away_comes_back_alone(void **unused)
{
    (void)unused;
    struct buf out = {0}, text = {0};
    read_plan(&text);
    char *at = strstr(buf_text(&text), "circuit P.2 ");
    assert_non_null(at);
    char *close = strstr(at, "\n}\n");
    assert_non_null(close);
    memset(at, ' ', (size_t)(close + 2 - at));
    put_plan(buf_text(&text));
    assert_int_equal(run("propose plan.bay", &out), 1);
    for (const char *line = buf_text(&out); line; line = strchr(line, '\n')) {
        line += *line == '\n';
        assert_false(*line == '-' && strncmp(line, "---", 3) != 0 && line[1] != ' ');
    }
    buf_free(&out);
    buf_free(&text);
}

static void names_and_plans_are_told_apart(void **unused)
{
    (void)unused;
    struct buf out = {0};
    assert_int_equal(run("propose", &out), 0);
    assert_non_null(strstr(buf_text(&out), "circuits"));
    assert_int_equal(run("propose circuits", &out), 2);
    assert_int_equal(run("propose nothing.bay", &out), 2);
    assert_int_equal(run("propose circuitz plan.bay", &out), 2);
    assert_int_equal(run("propose --room parlour plan.bay", &out), 2);
    assert_int_equal(run("propose circuits --lights dim plan.bay", &out), 2);
    buf_free(&out);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_sketch_becomes_a_clean_plan),
        cmocka_unit_test(proposing_again_proposes_nothing),
        cmocka_unit_test(what_a_person_changes_stays),
        cmocka_unit_test(one_circuit_taken_away_comes_back_alone),
        cmocka_unit_test(names_and_plans_are_told_apart),
    };
    return cmocka_run_group_tests(tests, begin, end);
}

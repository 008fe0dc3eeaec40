/* studbay watch from outside: it sees each way in which files are saved, and leaves the last good
 * book. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/file.h"

#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static const char plan_text[] =
    "plan \"Shed\" { edition nec-2023 }\ninclude \"room.bay\"\n"
    "panel P { in shed west at 2' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.1 \"Shed light\" { breaker 15 A afci; run P -> shed.S1 -> L1 }\n";
static const char room_text[] = "room shed { kind storage; corner 0', 0'; size 10' by 8'\n"
                                "  box S1 south at 3' up 48\" { switch leg light }\n"
                                "  box L1 overhead at 5', 4' { luminaire leg light 20 W }\n}\n";

static char folder[64];
static pid_t watching;

static const char *at(const char *name)
{
    static char path[4][128];
    static unsigned which;
    which = (which + 1) % 4;
    snprintf(path[which], sizeof path[which], "%s/%s", folder, name);
    return path[which];
}

static void save(const char *name, const char *text)
{
    struct buf b = {0};
    buf_puts(&b, text);
    assert_true(file_write(&b, at(name)));
    buf_free(&b);
}

/* How often the words stand in what it has said so far. */
static unsigned said(const char *words)
{
    struct buf b = {0};
    unsigned n = 0;
    if (file_read(&b, at("out"), 1 << 24))
        for (const char *p = buf_text(&b); (p = strstr(p, words)); p += strlen(words))
            n++;
    buf_free(&b);
    return n;
}

/* Until they have been said so often; a test that never sees it fails. */
static void wait_until_said(const char *words, unsigned times)
{
    enum { STEPS = 1200, STEP_MS = 25 };
    for (int i = 0; said(words) < times; i++) {
        if (i == STEPS) {
            struct buf b = {0};
            file_read(&b, at("out"), 1 << 24);
            fail_msg("'%s' was not said %u times: %s", words, times, buf_text(&b));
        }
        poll(NULL, 0, STEP_MS);
    }
}

static void watch(const char *const *words)
{
    const char *argv[12] = {getenv("STUDBAY"), "watch"};
    int n = 2;
    while (*words)
        argv[n++] = *words++;
    watching = fork();
    if (!watching) {
        int fd = open(at("out"), O_WRONLY | O_CREAT | O_TRUNC, 0666);
        dup2(fd, 1);
        dup2(fd, 2);
        execv(argv[0], (char **)argv);
        _exit(127);
    }
    assert_true(watching > 0);
}

static int set_up(void **state)
{
    (void)state;
    strcpy(folder, "/tmp/studbay-watch-XXXXXX");
    return mkdtemp(folder) ? 0 : 1;
}

static int tear_down(void **state)
{
    (void)state;
    if (watching > 0) {
        kill(watching, SIGTERM);
        waitpid(watching, NULL, 0);
    }
    watching = 0;
    char line[128];
    snprintf(line, sizeof line, "rm -rf %s", folder);
    return system(line);
}

/* The plan, what it includes and a log that comes later, written in place, put in their places or
 * taken away. */
static void sees_every_file_of_the_plan(void **state)
{
    (void)state;
    save("plan.bay", plan_text);
    save("room.bay", room_text);
    watch((const char *[]){at("plan.bay"), NULL});
    wait_until_said("no findings", 1);
    save("room.bay",
         "room shed { kind storage; corner 0', 0'; size 10' by 8' }\n"); /* by a rename */
    wait_until_said("there is no box in room 'shed' called 'S1'", 1);
    int fd = open(at("room.bay"), O_WRONLY | O_TRUNC); /* in place */
    assert_int_equal(write(fd, room_text, strlen(room_text)), strlen(room_text));
    close(fd);
    wait_until_said("no findings", 2);
    save("plan.log", "2026-03-14 pulled shed.S9 -> L1\n");
    wait_until_said("plan.log:1", 1);
    unlink(at("plan.log"));
    wait_until_said("no findings", 3);
    unlink(at("room.bay"));
    wait_until_said("room.bay: No such file", 1);
    save("room.bay", room_text);
    wait_until_said("no findings", 4);
}

/* Whoever opens the book while plans are saved, good ones and bad ones, finds all of it. */
static void the_last_good_book_is_there(void **state)
{
    (void)state;
    save("plan.bay", plan_text);
    save("room.bay", room_text);
    watch((const char *[]){at("plan.bay"), "book", "-o", at("book.html"), NULL});
    wait_until_said("no findings", 2); /* of the check and of the book, which is written next */
    for (int i = 0; i < 400 && access(at("book.html"), F_OK) != 0; i++)
        poll(NULL, 0, 25);
    for (unsigned i = 0; i < 6; i++) {
        save("room.bay", i % 2 ? room_text : "room shed {");
        for (unsigned k = 0; k < 20; k++) {
            struct buf b = {0};
            assert_true(file_read(&b, at("book.html"), 1 << 24));
            assert_true(b.n > 1000 && strstr(buf_text(&b), "</html>") &&
                        strstr(buf_text(&b), "shed"));
            buf_free(&b);
            poll(NULL, 0, 10);
        }
    }
}

/* Where no folder can be watched the files are looked at. */
static void looks_where_nothing_tells(void **state)
{
    (void)state;
    watch((const char *[]){at("later/plan.bay"), NULL});
    wait_until_said("No such file", 1);
    char line[128];
    snprintf(line, sizeof line, "mkdir %s", at("later"));
    assert_int_equal(system(line), 0);
    save("later/room.bay", room_text);
    save("later/plan.bay", plan_text);
    wait_until_said("no findings", 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(sees_every_file_of_the_plan, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_last_good_book_is_there, set_up, tear_down),
        cmocka_unit_test_setup_teardown(looks_where_nothing_tells, set_up, tear_down),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

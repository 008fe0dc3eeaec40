/* One slip of the pen is one finding, of the rule that the table of slips has for it
 * (tests/properties/slips.c): in the examples, and in plans made at random.
 *
 *   slips_test                          some seconds, as a part of make check
 *   slips_test --plans N [--seed S]     all slips in N plans, with what came of each
 *   slips_test --plans N --files GLOB   N times in each of these plans
 *   slips_test --slip TEXT ...          only slips that have this in their name */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "plans.h"
#include "slips.h"

#include "base/file.h"

#include <glob.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static const char *const came_words[] = {"no place", "one",        "none",
                                         "many",     "other rule", "other mend"};

struct tally {
    unsigned came[SLIP_CAME_COUNT], shown;
};

struct trial {
    const char *only; /* a part of the names of the slips that are tried, or NULL */
    struct tally *by; /* slip */
    unsigned failed;
    char folder[64];
};

static void begin(struct trial *t, const char *only)
{
    *t = (struct trial){.only = only, .by = calloc(slip_count, sizeof *t->by)};
    snprintf(t->folder, sizeof t->folder, "%s/studbay-slips-XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    assert_non_null(mkdtemp(t->folder));
}

static void end(struct trial *t)
{
    char path[100];
    static const char *const files[] = {"plan.bay", "more.bay"};
    for (size_t i = 0; i < 2; i++) {
        snprintf(path, sizeof path, "%s/%s", t->folder, files[i]);
        unlink(path);
    }
    rmdir(t->folder);
    free(t->by);
}

static void try_all(struct trial *t, const char *name, const struct plan_text *plan,
                    const struct compilation *c, uint64_t seed)
{
    struct slip_text text;
    slip_read(&text, &plan->plan, c);
    for (unsigned i = 0; i < slip_count; i++) {
        if (t->only && !strstr(slips[i].says, t->only))
            continue;
        struct buf why = {0};
        enum slip_came came = slip_try(&text, &plan->include, &slips[i], seed, t->folder, &why);
        t->by[i].came[came]++;
        if (!slip_is_well(&slips[i], came) && ++t->by[i].shown <= 3)
            fprintf(stderr, "%s %llu: %s\n", name, (unsigned long long)seed, buf_text(&why));
        t->failed += !slip_is_well(&slips[i], came);
        buf_free(&why);
    }
    slip_end(&text);
}

static void try_made(struct trial *t, uint64_t seed)
{
    struct plan_text plan = {0};
    struct compilation c;
    char path[100];
    plan_make(&plan, PLAN_CLEAN, seed, 0);
    buf_free(&plan.log);
    plan_write(&plan, t->folder);
    snprintf(path, sizeof path, "%s/plan.bay", t->folder);
    compile(&c, path, (struct compile_options){.library = plan_library(), .only_findings = true});
    if (c.model && !c.diag.counts[ERROR])
        try_all(t, "clean", &plan, &c, seed);
    compile_free(&c);
    plan_free(&plan);
}

/* A plan with what it includes in the place where it does. */
static void read_whole(struct buf *out, const char *path)
{
    static const char word[] = "include \"";
    struct buf text = {0};
    assert_true(file_read(&text, path, 1 << 20));
    for (const char *line = buf_text(&text), *next; *line; line = next) {
        size_t n = strcspn(line, "\n") + 1;
        next = line + n;
        if (strncmp(line, word, strlen(word)) != 0) {
            buf_add(out, line, n);
            continue;
        }
        struct buf of = {0};
        const char *name = line + strlen(word);
        buf_printf(&of, "%.*s%.*s", (int)(strrchr(path, '/') + 1 - path), path,
                   (int)strcspn(name, "\""), name);
        read_whole(out, buf_text(&of));
        buf_free(&of);
    }
    buf_free(&text);
}

static void try_file(struct trial *t, const char *path, unsigned times)
{
    struct plan_text plan = {0};
    struct compilation c;
    read_whole(&plan.plan, path);
    compile(&c, path, (struct compile_options){.library = plan_library(), .only_findings = true});
    for (unsigned i = 0; c.model && !c.diag.counts[ERROR] && i < times; i++)
        try_all(t, path, &plan, &c, i);
    compile_free(&c);
    plan_free(&plan);
}

static int run(unsigned plans, uint64_t seed, const char *files, const char *only)
{
    struct trial t;
    begin(&t, only);
    glob_t found = {0};
    if (files && glob(files, 0, NULL, &found) == 0)
        for (size_t i = 0; i < found.gl_pathc; i++)
            try_file(&t, found.gl_pathv[i], plans);
    globfree(&found);
    for (unsigned i = 0; !files && i < plans; i++)
        try_made(&t, seed + i);
    for (unsigned k = 0; k < slip_count; k++) { /* what came of each */
        printf("%-50s", slips[k].says);
        for (unsigned i = 0; i < SLIP_CAME_COUNT; i++)
            printf(" %s %u,", came_words[i], t.by[k].came[i]);
        printf("\n");
    }
    unsigned failed = t.failed;
    printf("%u failed\n", failed);
    end(&t);
    return failed != 0;
}

static void slips_of_made_plans(void **state)
{
    (void)state;
    assert_int_equal(run(4, 1, NULL, NULL), 0);
}

static void slips_of_examples(void **state)
{
    (void)state;
    assert_int_equal(run(1, 1, "examples/*/*.bay", NULL), 0);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(slips_of_made_plans),
                                       cmocka_unit_test(slips_of_examples)};
    unsigned plans = 0;
    uint64_t seed = 1;
    const char *files = NULL, *only = NULL;
    for (int i = 1; i + 1 < argc; i += 2)
        if (!strcmp(argv[i], "--plans"))
            plans = (unsigned)atoi(argv[i + 1]);
        else if (!strcmp(argv[i], "--seed"))
            seed = strtoull(argv[i + 1], NULL, 10);
        else if (!strcmp(argv[i], "--files"))
            files = argv[i + 1];
        else if (!strcmp(argv[i], "--slip"))
            only = argv[i + 1];
    return plans ? run(plans, seed, files, only) : cmocka_run_group_tests(tests, NULL, NULL);
}

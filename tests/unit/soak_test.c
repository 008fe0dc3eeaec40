/* What is promised of every plan, asked of plans made at random (tests/plans, tests/properties).
 *
 *   soak_test                                     some seconds, as a part of make check
 *   soak_test --seconds N [--seed S] [--step N] [--only PROPERTY] [--sort SORT] [--keep FOLDER]
 *   soak_test --plans 1 --from FOLDER [--seed S] [--only PROPERTY]        asks a plan that was kept
 *   soak_test --print SORT SEED FOLDER            writes the plan of a seed
 *
 * `make soak SOAK_SECONDS=N [SOAK_SEED=S]` runs two of it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "properties.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#if defined(__SANITIZE_ADDRESS__)
enum { PLANS = 30 };
#else
enum { PLANS = 180 };
#endif

static int sort_named(const char *word)
{
    for (int i = 0; i < PLAN_SORT_COUNT; i++)
        if (!strcmp(word, plan_sort_word((enum plan_sort)i)))
            return i;
    fprintf(stderr, "there is no sort of plan called %s\n", word);
    exit(2);
}

static struct asked ask(const struct asking *asking)
{
    struct asked asked = {.asked = calloc(property_count, sizeof(unsigned)),
                          .failed = calloc(property_count, sizeof(unsigned))};
    ask_properties(asking, &asked);
    printf("%u plans from seed %llu: %u of %u that were meant to be without an error are (%u %%), "
           "%u of all\n",
           asked.plans, (unsigned long long)asking->seed, asked.clean_without_error, asked.clean,
           asked.clean ? 100 * asked.clean_without_error / asked.clean : 0, asked.without_error);
    for (unsigned i = 0; i < property_count; i++)
        if (asked.asked[i])
            printf("  %-12s asked %6u, failed %u: %s\n", properties[i].name, asked.asked[i],
                   asked.failed[i], properties[i].says);
    return asked;
}

static void what_is_promised_holds(void **state)
{
    (void)state;
    struct asked asked = ask(&(struct asking){.seed = 1, .step = 1, .plans = PLANS, .sort = -1});
    for (unsigned i = 0; i < property_count; i++)
        assert_int_equal(asked.failed[i], 0);
    /* rules fall silent where there are errors: most of what is asked wants plans without any */
    assert_true(4 * asked.clean_without_error > 3 * asked.clean);
    free(asked.asked);
    free(asked.failed);
}

static int print_plan(enum plan_sort sort, uint64_t seed, const char *folder)
{
    struct plan_text text = {0};
    plan_make(&text, sort, seed, 0);
    mkdir(folder, 0777);
    bool written = plan_write(&text, folder);
    plan_free(&text);
    if (!written)
        perror(folder);
    return written ? 0 : 2;
}

static int soak(int argc, char **argv)
{
    struct asking a = {.seed = 1, .step = 1, .sort = -1};
    for (int i = 1; i + 1 < argc; i += 2) {
        const char *option = argv[i], *value = argv[i + 1];
        if (!strcmp(option, "--seconds"))
            a.seconds = (unsigned)atoi(value);
        else if (!strcmp(option, "--plans"))
            a.plans = (unsigned)atoi(value);
        else if (!strcmp(option, "--seed"))
            a.seed = strtoull(value, NULL, 10);
        else if (!strcmp(option, "--step"))
            a.step = (unsigned)atoi(value);
        else if (!strcmp(option, "--only"))
            a.only = value;
        else if (!strcmp(option, "--sort"))
            a.sort = sort_named(value);
        else if (!strcmp(option, "--boxes"))
            a.boxes = (unsigned)atoi(value);
        else if (!strcmp(option, "--keep"))
            a.keep = value;
        else if (!strcmp(option, "--from"))
            a.from = value;
        else if (!strcmp(option, "--print") && i + 3 < argc)
            return print_plan((enum plan_sort)sort_named(value), strtoull(argv[i + 2], NULL, 10),
                              argv[i + 3]);
    }
    struct asked asked = ask(&a);
    unsigned failed = 0;
    for (unsigned i = 0; i < property_count; i++)
        failed += asked.failed[i];
    free(asked.asked);
    free(asked.failed);
    return failed ? 1 : 0;
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(what_is_promised_holds)};
    return argc > 1 ? soak(argc, argv) : cmocka_run_group_tests(tests, NULL, NULL);
}

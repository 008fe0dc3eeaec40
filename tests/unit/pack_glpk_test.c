/* The cost of plans against GLPK's integer solver (glpsol of the Debian package glpk-utils), which
 * is given every filling of every coil. Without glpsol there is nothing to compare with, and the
 * test says so and is skipped. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "cuts/pack.h"

enum { PLANS = 40, STOCKS = 5, CUTS = 24, SIZES = 8 };

struct input {
    struct pack_stock stock[STOCKS];
    uint32_t stocks;
    struct pack_piece piece[CUTS];
    uint32_t size_count;
    length size[SIZES];
    uint32_t demand[SIZES];
};

/* A fixed sequence (multiplier of D. Knuth's MMIX). */
static uint32_t draw(uint64_t *state, uint32_t below)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(*state >> 33) % below;
}

/* Two or three coils to buy at prices a shop might ask, leftovers, and cuts of a few lengths; the
 * longest coil holds them all. */
static struct input draw_input(uint64_t *state)
{
    static const length to_buy[] = {100, 50, 25};
    struct input in = {.stocks = 2 + draw(state, 2), .size_count = 3 + draw(state, SIZES - 3)};
    for (uint32_t k = 0; k < in.stocks; k++)
        in.stock[k] = (struct pack_stock){
            .length = to_buy[k], .price = to_buy[k] * (80 + draw(state, 60)), .buy = true};
    for (uint32_t n = draw(state, 3); n; n--)
        in.stock[in.stocks++] = (struct pack_stock){
            .length = 15 + draw(state, 60), .price = -1, .on_hand = 1 + draw(state, 2)};
    for (uint32_t i = 0; i < in.size_count; i++)
        in.size[i] = 8 + draw(state, 50);
    for (uint32_t i = 0; i < CUTS; i++) {
        uint32_t size = draw(state, in.size_count);
        in.piece[i] = (struct pack_piece){.length = in.size[size], .id = i};
        in.demand[size]++;
    }
    return in;
}

/* All fillings that leave no room for a cut more, each a variable of the linear program in GLPK's
 * copy of the CPLEX format. The rows ask for as many cuts or more, so that a filling that is part
 * of another one is not needed. */
struct program {
    const struct input *in;
    FILE *file;
    uint32_t count[SIZES], fillings;
    struct {
        uint32_t stock, count[SIZES];
    } filling[20000];
};

static bool takes_more(const struct program *p, length room)
{
    for (uint32_t i = 0; i < p->in->size_count; i++)
        if (p->count[i] < p->in->demand[i] && p->in->size[i] <= room)
            return true;
    return false;
}

static void add_fillings(struct program *p, uint32_t stock, uint32_t size, length room)
{
    if (size == p->in->size_count) {
        if (takes_more(p, room))
            return;
        assert_true(p->fillings < sizeof p->filling / sizeof *p->filling);
        p->filling[p->fillings].stock = stock;
        memcpy(p->filling[p->fillings++].count, p->count, sizeof p->count);
        return;
    }
    for (p->count[size] = 0; p->count[size] <= p->in->demand[size]; p->count[size]++) {
        if (room < p->count[size] * p->in->size[size])
            break;
        add_fillings(p, stock, size + 1, room - p->count[size] * p->in->size[size]);
    }
    p->count[size] = 0;
}

static void write_rows(const struct program *p)
{
    for (uint32_t i = 0; i < p->in->size_count; i++) {
        if (!p->in->demand[i])
            continue;
        fprintf(p->file, " size%u:", i);
        for (uint32_t f = 0; f < p->fillings; f++)
            if (p->filling[f].count[i])
                fprintf(p->file, " + %u x%u\n", p->filling[f].count[i], f);
        fprintf(p->file, " >= %u\n", p->in->demand[i]);
    }
    for (uint32_t k = 0; k < p->in->stocks; k++) {
        if (!p->in->stock[k].on_hand)
            continue;
        fprintf(p->file, " stock%u:", k);
        for (uint32_t f = 0; f < p->fillings; f++)
            if (p->filling[f].stock == k)
                fprintf(p->file, " + x%u\n", f);
        fprintf(p->file, " <= %u\n", p->in->stock[k].on_hand);
    }
}

static void write_program(struct program *p)
{
    for (uint32_t k = 0; k < p->in->stocks; k++)
        add_fillings(p, k, 0, p->in->stock[k].length);
    fprintf(p->file, "Minimize\n cost:");
    for (uint32_t f = 0; f < p->fillings; f++) {
        const struct pack_stock *stock = &p->in->stock[p->filling[f].stock];
        fprintf(p->file, " + %lld x%u\n", stock->buy ? (long long)stock->price : 0, f);
    }
    fprintf(p->file, "Subject To\n");
    write_rows(p);
    fprintf(p->file, "General\n");
    for (uint32_t f = 0; f < p->fillings; f++)
        fprintf(p->file, " x%u\n", f);
    fprintf(p->file, "End\n");
}

/* What glpsol says of the program in `folder`: its cost, -1 where it did not finish. It is asked to
 * branch on the first variable, with which it is through soonest. */
static int64_t solve(const char *folder)
{
    char command[512], line[256];
    snprintf(command, sizeof command,
             "cd '%s' && glpsol --first --tmlim 3 --lp plan.lp -o answer >log 2>&1 && cat answer",
             folder);
    FILE *answer = popen(command, "r");
    assert_non_null(answer);
    double cost = -1;
    int optimal = 0;
    while (fgets(line, sizeof line, answer)) {
        optimal = optimal || strstr(line, "INTEGER OPTIMAL");
        sscanf(line, "Objective: cost = %lf", &cost);
    }
    pclose(answer);
    return optimal ? (int64_t)(cost + 0.5) : -1;
}

static int64_t glpk_cost(const struct input *in, const char *folder)
{
    char path[256];
    snprintf(path, sizeof path, "%s/plan.lp", folder);
    struct program *p = calloc(1, sizeof *p);
    assert_non_null(p);
    p->in = in;
    p->file = fopen(path, "w");
    assert_non_null(p->file);
    write_program(p);
    assert_int_equal(fclose(p->file), 0);
    free(p);
    return solve(folder);
}

static void remove_folder(const char *folder)
{
    static const char *const names[] = {"plan.lp", "answer", "log"};
    char path[256];
    for (size_t i = 0; i < 3; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, names[i]);
        unlink(path);
    }
    assert_int_equal(rmdir(folder), 0);
}

static void test_against_glpk(void **state)
{
    (void)state;
    if (system("glpsol --version >/dev/null 2>&1") != 0) {
        print_message("glpsol is not installed (Debian package glpk-utils): plans are not compared "
                      "with GLPK\n");
        skip();
    }
    const char *where = getenv("TMPDIR") ? getenv("TMPDIR") : "/tmp";
    char folder[200];
    snprintf(folder, sizeof folder, "%s/packXXXXXX", where);
    assert_non_null(mkdtemp(folder));
    uint64_t seed = 23;
    int compared = 0;
    for (int n = 0; n < PLANS; n++) {
        struct arena arena = {0};
        struct input in = draw_input(&seed);
        struct pack_result r;
        assert_true(pack_plan(&arena, in.stock, in.stocks, in.piece, CUTS, PACK_STEPS, &r));
        int64_t cost = glpk_cost(&in, folder);
        assert_true(r.proven);
        assert_int_equal(r.too_long_count + r.missing_count, 0);
        if (cost >= 0)
            assert_int_equal(r.cost, cost);
        compared += cost >= 0;
        arena_free(&arena);
    }
    remove_folder(folder);
    /* it may run into its time limit on a slow machine, but not as a rule */
    print_message("%d of %d plans compared with GLPK\n", compared, PLANS);
    assert_true(compared >= PLANS / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_against_glpk)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

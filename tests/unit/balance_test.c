/* The balance of a panel's lines against trying everything, and the spaces that come of it. */
#include "compiled.h"

#include "cmd/cmd.h"
#include "emit/reports/reports.h"
#include "loads/balance.h"
#include "loads/panel.h"

#include <unistd.h>

/* A small generator with a fixed start, so that every run tries the same. */
static uint32_t next_random(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u;
    return *state >> 8;
}

static unsigned bits(uint32_t n)
{
    return (unsigned)__builtin_popcount(n);
}

/* The smallest difference over every choice that is allowed. */
static int64_t best_by_trying(const struct balance *b)
{
    int64_t best = INT64_MAX;
    uint32_t items = b->singles + b->pairs;
    for (uint32_t choice = 0; choice < 1u << items; choice++) {
        uint32_t singles = choice & ((1u << b->singles) - 1), pairs = choice >> b->singles;
        if (bits(singles) > b->room[0] || b->singles - bits(singles) > b->room[1] ||
            !b->may[bits(pairs)])
            continue;
        int64_t difference = b->start;
        for (uint32_t i = 0; i < b->singles; i++)
            difference += singles >> i & 1 ? b->single[i] : -b->single[i];
        for (uint32_t i = 0; i < b->pairs; i++)
            difference += pairs >> i & 1 ? b->pair[i] : -b->pair[i];
        best = llabs(difference) < best ? llabs(difference) : best;
    }
    return best;
}

static int64_t difference_of(const struct balance *b, const struct balanced *best)
{
    int64_t difference = b->start;
    for (uint32_t i = 0; i < b->singles; i++)
        difference += best->single_on_a[i] ? b->single[i] : -b->single[i];
    for (uint32_t i = 0; i < b->pairs; i++)
        difference += best->pair_on_a[i] ? b->pair[i] : -b->pair[i];
    return difference;
}

static void no_choice_is_better(void **state)
{
    (void)state;
    struct arena arena = {0};
    uint32_t random = 1;
    for (int round = 0; round < 400; round++) {
        int64_t single[8], pair[4];
        bool may[5];
        struct balance b = {.single = single,
                            .pair = pair,
                            .may = may,
                            .singles = next_random(&random) % 9,
                            .pairs = next_random(&random) % 5};
        b.start = (int64_t)(next_random(&random) % 4000) - 2000;
        for (uint32_t i = 0; i < b.singles; i++)
            single[i] = next_random(&random) % (round % 2 ? 2400 : 12) * (round % 3 ? 1 : 10);
        for (uint32_t i = 0; i < b.pairs; i++)
            pair[i] = (int64_t)(next_random(&random) % 3000) - 1500;
        for (uint32_t i = 0; i <= b.pairs; i++)
            may[i] = next_random(&random) % 3;
        may[next_random(&random) % (b.pairs + 1)] = true;
        b.room[0] = next_random(&random) % (b.singles + 1);
        b.room[1] = b.singles - b.room[0] + next_random(&random) % 3;
        struct balanced best = balance_lines(&arena, &b);
        assert_true(best.proven);
        assert_int_equal(difference_of(&b, &best), best.difference);
        assert_int_equal(llabs(best.difference), best_by_trying(&b));
        arena_reset(&arena);
    }
    arena_free(&arena);
}

/* --- larger ones against GLPK ------------------------------------------------------------- */

/* How many singles have the load of the i-th; 0 where one before it has that load. */
static uint32_t alike(const struct balance *b, uint32_t i)
{
    uint32_t count = 0;
    for (uint32_t k = 0; k < b->singles; k++) {
        if (k < i && b->single[k] == b->single[i])
            return 0;
        count += b->single[k] == b->single[i];
    }
    return count;
}

static void write_sum(FILE *f, const struct balance *b)
{
    for (uint32_t i = 0; i < b->singles; i++)
        if (alike(b, i))
            fprintf(f, " + x%u\n", i);
}

/* Singles of one load are one variable, how many of them are on line A: asked which of them are,
 * glpsol goes through all ways to exchange them. */
static void write_program(FILE *f, const struct balance *b)
{
    int64_t total = b->start;
    for (uint32_t i = 0; i < b->singles; i++)
        total -= b->single[i];
    for (uint32_t i = 0; i < b->pairs; i++)
        total -= b->pair[i];
    fputs("Minimize\n cost: t\nSubject To\n", f);
    for (int side = 1; side >= -1; side -= 2) {
        fprintf(f, " side%d: t", side + 1);
        for (uint32_t i = 0; i < b->singles; i++)
            if (alike(b, i))
                fprintf(f, " %+lld x%u\n", (long long)(2 * side * b->single[i]), i);
        for (uint32_t i = 0; i < b->pairs; i++)
            fprintf(f, " %+lld y%u\n", (long long)(2 * side * b->pair[i]), i);
        fprintf(f, " >= %lld\n", (long long)(-side * total));
    }
    fputs(" most:", f);
    write_sum(f, b);
    fprintf(f, " <= %u\n least:", b->room[0]);
    write_sum(f, b);
    fprintf(f, " >= %u\nBounds\n", b->singles - b->room[1]);
    for (uint32_t i = 0; i < b->singles; i++)
        if (alike(b, i))
            fprintf(f, " 0 <= x%u <= %u\n", i, alike(b, i));
    fputs("General\n", f);
    for (uint32_t i = 0; i < b->singles; i++)
        if (alike(b, i))
            fprintf(f, " x%u\n", i);
    if (b->pairs)
        fputs("Binary\n", f);
    for (uint32_t i = 0; i < b->pairs; i++)
        fprintf(f, " y%u\n", i);
    fputs("End\n", f);
}

/* The smallest difference that glpsol proves; -1 where it did not finish. */
static int64_t best_by_glpk(const struct balance *b, const char *folder)
{
    char path[256], command[600], line[256];
    snprintf(path, sizeof path, "%s/lines.lp", folder);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    write_program(f, b);
    assert_int_equal(fclose(f), 0);
    snprintf(command, sizeof command,
             "cd '%s' && glpsol --tmlim 1 --lp lines.lp -o answer >log 2>&1 && cat answer; rm -f "
             "answer log lines.lp",
             folder);
    FILE *answer = popen(command, "r");
    assert_non_null(answer);
    double difference = -1;
    bool optimal = false;
    while (fgets(line, sizeof line, answer)) {
        optimal = optimal || strstr(line, "INTEGER OPTIMAL");
        sscanf(line, "Objective: cost = %lf", &difference);
    }
    pclose(answer);
    return optimal ? (int64_t)(difference + 0.5) : -1;
}

/* Panels of 42 spaces whose few large loads and full columns leave a difference, so that the proof
 * is worth something. glpsol is of the Debian package glpk-utils. */
static void large_panels_agree_with_glpk(void **state)
{
    (void)state;
    if (system("glpsol --version >/dev/null 2>&1") != 0) {
        print_message("glpsol is not installed (Debian package glpk-utils): balances are not "
                      "compared with GLPK\n");
        skip();
    }
    const char *where = getenv("TMPDIR") ? getenv("TMPDIR") : "/tmp";
    char folder[200];
    snprintf(folder, sizeof folder, "%s/balanceXXXXXX", where);
    assert_non_null(mkdtemp(folder));
    uint32_t random = 11, compared = 0, uneven = 0;
    for (int round = 0; round < 16; round++) {
        struct arena arena = {0};
        int64_t single[42], pair[10];
        bool may[11];
        memset(may, true, sizeof may);
        struct balance b = {
            .single = single, .pair = pair, .may = may, .pairs = next_random(&random) % 5};
        b.singles = 42 - 2 * b.pairs;
        b.room[0] = b.room[1] = 21 - b.pairs;
        b.start = (int64_t)(next_random(&random) % 2000);
        uint32_t large = 1 + next_random(&random) % 4;
        for (uint32_t i = 0; i < b.singles; i++)
            single[i] = i < large ? 2400 - 7 * (int64_t)(next_random(&random) % 100)
                                  : 30 * (int64_t)(next_random(&random) % 2);
        for (uint32_t i = 0; i < b.pairs; i++)
            pair[i] = (int64_t)(next_random(&random) % 900) - 450;
        struct balanced best = balance_lines(&arena, &b);
        assert_true(best.proven);
        int64_t want = best_by_glpk(&b, folder);
        if (want >= 0)
            assert_int_equal(llabs(best.difference), want);
        compared += want >= 0;
        uneven += want > 1;
        arena_free(&arena);
    }
    assert_int_equal(rmdir(folder), 0);
    print_message("%u of 16 balances compared with GLPK, %u of them not even\n", compared, uneven);
    assert_true(compared >= 12 && uneven >= 8);
}

/* --- panels ------------------------------------------------------------------------------- */

/* A panel of `spaces` with single circuits of these loads; `more` stands in the panel, `rest` at
 * the top. */
static void compile_panel(struct compilation *c, unsigned spaces, const char *more,
                          const double *loads, uint32_t count, const char *rest)
{
    struct buf b = {0};
    buf_puts(&b, "plan \"Hall\" { edition nec-2017 }\nroom k { kind workshop; size 200' by 20'\n");
    for (uint32_t i = 0; i < count; i++)
        buf_printf(&b, "box B%u south at %u' { receptacle %.0f VA }\n", i, 2 * i + 1, loads[i]);
    buf_puts(&b, "box X south at 150' { receptacle pole a 900 VA }\nbox Y south at 152' { "
                 "receptacle pole b 300 VA }\n}\n");
    buf_printf(&b, "panel P { in k north at 9' up 5'; main 200 A; spaces %u; %s }\n", spaces, more);
    for (uint32_t i = 0; i < count; i++)
        buf_printf(&b, "circuit P.c%u \"Bench %u\" { breaker 20 A; run P -> k.B%u cable 10/2 }\n",
                   i, i, i);
    buf_printf(&b,
               "circuit P.mw \"Wall\" { multiwire; breaker 20 A two-pole; run P -> k.X -> Y }\n%s",
               rest);
    compile_text(c, buf_text(&b));
    buf_free(&b);
}

/* Every space is given once, a pair has its two, and the sums of the lines are those of the spaces.
 */
static void assert_sound(struct compilation *c, const struct panels *p)
{
    bool used[64] = {false};
    double va[2] = {0};
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit_space *s = &p->of_circuit[i];
        for (uint32_t k = 0; s->space && k < s->poles; k++) {
            assert_true(s->space + 2 * k < 64 && !used[s->space + 2 * k]);
            used[s->space + 2 * k] = true;
        }
        va[0] += s->line_va[0];
        va[1] += s->line_va[1];
    }
    assert_near(p->of_panel[0].va[0], va[0], 1e-6);
    assert_near(p->of_panel[0].va[1], va[1], 1e-6);
}

/* --- whole panels against trying every space ---------------------------------------------- */

enum { ITEMS = 7, SPACES = 12 };

struct wanted {
    uint32_t space; /* written, or 0 */
    int a, b; /* VA on the first line of a pair, and on the second; a single one has `a` alone */
    bool pair;
};

struct puzzle {
    struct wanted item[ITEMS];
    uint32_t items, spaces;
    bool taken[SPACES + 3], half_size;
};

/* What trying finds: the fewest spaces with two breakers, then the smallest difference. */
struct best {
    uint32_t shared;
    int difference;
    bool found;
};

struct trial {
    const struct puzzle *puzzle;
    uint8_t held[SPACES + 3]; /* 2: full */
    struct best best;
};

static void try_items(struct trial *t, uint32_t i, int difference, uint32_t shared)
{
    const struct puzzle *z = t->puzzle;
    if (i == z->items) {
        bool better = !t->best.found || shared < t->best.shared ||
                      (shared == t->best.shared && abs(difference) < t->best.difference);
        if (better)
            t->best = (struct best){shared, abs(difference), true};
        return;
    }
    const struct wanted *item = &z->item[i];
    for (uint32_t n = 1; n + (item->pair ? 2 : 0) <= z->spaces; n++) {
        if (item->space && item->space != n)
            continue;
        int first = (n - 1) / 2 % 2 ? -item->a : item->a;
        if (item->pair && !t->held[n] && !t->held[n + 2]) {
            t->held[n] = t->held[n + 2] = 2;
            try_items(t, i + 1, difference + first + ((n - 1) / 2 % 2 ? item->b : -item->b),
                      shared);
            t->held[n] = t->held[n + 2] = 0;
        } else if (!item->pair && t->held[n] < (z->half_size && !item->space ? 2 : 1)) {
            uint8_t size = z->half_size && !item->space ? 1 : 2; /* a written one is whole */
            t->held[n] += size;
            try_items(t, i + 1, difference + first, shared + (size == 1 && t->held[n] == 2));
            t->held[n] -= size;
        }
    }
}

static struct best best_spaces(const struct puzzle *z)
{
    struct trial t = {.puzzle = z};
    for (uint32_t n = 1; n <= z->spaces; n++)
        t.held[n] = z->taken[n] ? 2 : 0;
    try_items(&t, 0, 0, 0);
    return t.best;
}

static struct puzzle draw_puzzle(uint32_t *random, int round)
{
    struct puzzle z = {.items = 2 + next_random(random) % (ITEMS - 1), .half_size = round % 3 == 0};
    z.spaces = 4 + next_random(random) % (z.half_size ? 4 : SPACES - 3);
    for (uint32_t n = 1; n <= z.spaces; n++)
        z.taken[n] = next_random(random) % 5 == 0;
    bool held[SPACES + 3] = {false};
    for (uint32_t i = 0; i < z.items; i++) {
        struct wanted *item = &z.item[i];
        item->pair = next_random(random) % 5 < (z.half_size ? 1 : 2);
        item->a = 10 * (int)(next_random(random) % 150);
        item->b = item->pair ? 10 * (int)(next_random(random) % 150) : 0;
        uint32_t n = 1 + next_random(random) % z.spaces, second = n + (item->pair ? 2 : 0);
        if (next_random(random) % 4 || second > z.spaces || z.taken[n] || z.taken[second] ||
            held[n] || held[second])
            continue;
        item->space = n;
        held[n] = held[second] = true;
    }
    return z;
}

static void compile_puzzle(struct compilation *c, const struct puzzle *z)
{
    struct buf b = {0};
    buf_puts(&b, "plan \"Hall\" { edition nec-2017 }\nroom k { kind workshop; size 200' by 20'\n");
    for (uint32_t i = 0; i < z->items; i++) {
        buf_printf(&b, "box A%u south at %u' { receptacle %s%d VA }\n", i, 8 * i + 1,
                   z->item[i].pair ? "pole a " : "", z->item[i].a);
        if (z->item[i].pair)
            buf_printf(&b, "box B%u south at %u' { receptacle pole b %d VA }\n", i, 8 * i + 4,
                       z->item[i].b);
    }
    buf_printf(&b, "}\npanel P { in k north at 9' up 5'; main 200 A; spaces %u%s", z->spaces,
               z->half_size ? "; half-size" : "");
    for (uint32_t n = 1; n <= z->spaces; n++)
        if (z->taken[n])
            buf_printf(&b, "; taken %u", n);
    buf_puts(&b, " }\n");
    for (uint32_t i = 0; i < z->items; i++) {
        buf_printf(&b, "circuit P.c%u \"Bench %u\" { breaker 20 A%s", i, i,
                   z->item[i].pair ? " two-pole; multiwire" : "");
        if (z->item[i].space)
            buf_printf(&b, "; space %u", z->item[i].space);
        if (z->item[i].pair)
            buf_printf(&b, "; run P -> k.A%u -> B%u }\n", i, i);
        else
            buf_printf(&b, "; run P -> k.A%u }\n", i);
    }
    compile_text(c, buf_text(&b));
    buf_free(&b);
    assert_non_null(c->model);
}

/* How many spaces have two breakers in them; -1 where some circuit has no space. */
static int count_shared(const struct compilation *c, const struct panels *p)
{
    uint8_t held[SPACES + 3] = {0};
    int shared = 0;
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        uint32_t n = p->of_circuit[i].space;
        if (!n)
            return -1;
        if (p->of_circuit[i].poles == 1 && ++held[n] == 2)
            shared++;
    }
    return shared;
}

/* Spaces taken, written and free, pairs that need two of a column, half-size breakers: nothing fits
 * better than what is found, and what is found fits. */
static void no_choice_of_spaces_is_better(void **state)
{
    (void)state;
    uint32_t random = 3, solved = 0, full = 0, shared = 0;
    for (int round = 0; round < 600; round++) {
        struct puzzle z = draw_puzzle(&random, round);
        struct best want = best_spaces(&z);
        struct compilation c;
        compile_puzzle(&c, &z);
        struct panels *p = panels_lay_out(&c.arena, c.model, c.loads);
        int got = count_shared(&c, p);
        assert_int_equal(got >= 0, want.found);
        assert_int_equal(findings_of(&c, "panel-full"), !want.found);
        if (want.found) {
            assert_true(p->of_panel[0].proven);
            assert_int_equal(got, want.shared);
            assert_near(fabs(p->of_panel[0].va[0] - p->of_panel[0].va[1]), want.difference, 1e-6);
        }
        solved += want.found;
        full += !want.found;
        shared += want.found && want.shared;
        compile_free(&c);
    }
    if (solved <= 100 || full <= 20 || shared <= 20)
        fprintf(stderr, "%u solved, %u full, %u shared\n", solved, full, shared);
    assert_true(solved > 100 && full > 20 && shared > 20);
}

/* 40 single circuits and one of two poles fill 42 spaces. With loads in whole VA no difference can
 * be below the parity of their sum. */
static void a_panel_of_42_spaces_is_proven(void **state)
{
    (void)state;
    double loads[40], sum = 1200;
    uint32_t random = 7;
    for (int i = 0; i < 40; i++)
        sum += loads[i] = 100 + next_random(&random) % 2300;
    struct compilation c;
    compile_panel(&c, 42, "", loads, 40, "");
    struct panels *p = panels_lay_out(&c.arena, c.model, c.loads);
    assert_sound(&c, p);
    assert_true(p->of_panel[0].proven);
    assert_near(p->of_panel[0].va[0] + p->of_panel[0].va[1], sum, 1e-6);
    assert_true(fabs(p->of_panel[0].va[0] - p->of_panel[0].va[1]) <= 1);
    for (uint32_t i = 0; i < c.model->circuits.n; i++)
        assert_true(p->of_circuit[i].space > 0);
    compile_free(&c);
}

/* Where the multiwire circuit begins is part of the choice: its heavier side goes to line B beside
 * the one bench. */
static void a_pair_begins_where_it_balances(void **state)
{
    (void)state;
    struct compilation c;
    compile_panel(&c, 12, "", (const double[]){600}, 1, "");
    struct panels *p = panels_lay_out(&c.arena, c.model, c.loads);
    assert_sound(&c, p);
    assert_near(p->of_panel[0].va[0], p->of_panel[0].va[1], 1e-6);
    compile_free(&c);
    /* only 1 and 3 are left for it: it begins on line A, and the bench goes to B */
    compile_panel(&c, 6, "taken 5; taken 2", (const double[]){600}, 1, "");
    p = panels_lay_out(&c.arena, c.model, c.loads);
    assert_sound(&c, p);
    assert_true(p->of_panel[0].va[0] > 0 && p->of_panel[0].va[1] > 0);
    compile_free(&c);
}

static void the_same_plan_gives_the_same_spaces(void **state)
{
    (void)state;
    static const double loads[] = {500, 500, 700, 700, 900, 100, 0, 0};
    struct compilation a, b;
    compile_panel(&a, 20, "", loads, 8, "");
    compile_panel(&b, 20, "", loads, 8, "");
    struct panels *p = panels_lay_out(&a.arena, a.model, a.loads),
                  *q = panels_lay_out(&b.arena, b.model, b.loads);
    for (uint32_t i = 0; i < a.model->circuits.n; i++)
        assert_int_equal(p->of_circuit[i].space, q->of_circuit[i].space);
    compile_free(&a);
    compile_free(&b);
}

/* Loads beyond any panel's, too many sums to try: the spaces are still sound, and the report says
 * that they are not proven. */
static void what_is_not_proven_is_said(void **state)
{
    (void)state;
    double loads[30];
    uint32_t random = 9;
    for (int i = 0; i < 30; i++)
        loads[i] = 500001 + next_random(&random) % 400000;
    for (int count = 4; count <= 30; count += 26) {
        struct compilation c;
        compile_panel(&c, 42, "", loads, (uint32_t)count, "");
        struct panels *p = panels_lay_out(&c.arena, c.model, c.loads);
        assert_sound(&c, p);
        assert_int_equal(p->of_panel[0].proven, count == 4);
        struct results r;
        assert_true(cmd_results(&c, &r));
        struct buf out = {0};
        report_write(report_named("panel"), &r, REPORT_TEXT, &out);
        assert_int_equal(
            strstr(buf_text(&out), "Panel P: its loads are too many to try every choice") != NULL,
            count == 30);
        buf_free(&out);
        compile_free(&c);
    }
}

/* Three benches beside a pair in four spaces: two of them share one, and are bought half-size. */
static void half_size_breakers_are_bought(void **state)
{
    (void)state;
    struct compilation c;
    compile_panel(&c, 4, "half-size", (const double[]){500, 400, 300}, 3, "");
    struct results r;
    assert_true(cmd_results(&c, &r));
    struct buf out = {0};
    report_write(report_named("materials"), &r, REPORT_CSV, &out);
    assert_non_null(strstr(buf_text(&out), "breaker 20 A half-size,2,"));
    assert_non_null(strstr(buf_text(&out), "breaker 20 A,1,"));
    report_write(report_named("panel"), &r, REPORT_TEXT, &out);
    assert_non_null(strstr(buf_text(&out), " upper (c"));
    assert_non_null(strstr(buf_text(&out), " lower (c"));
    assert_non_null(strstr(buf_text(&out), "Panel P has no whole space free.\n"));
    buf_free(&out);
    compile_free(&c);
}

/* The pair takes two spaces, a bench another, 2 and 9 to 10 are taken. */
static void free_spaces_are_named(void **state)
{
    (void)state;
    struct compilation c;
    compile_panel(&c, 12, "taken 2; taken 9 to 10", (const double[]){500}, 1, "");
    bool used[13] = {[2] = true, [9] = true, [10] = true};
    struct panels *p = panels_lay_out(&c.arena, c.model, c.loads);
    for (uint32_t i = 0; i < c.model->circuits.n; i++)
        for (uint32_t k = 0; k < p->of_circuit[i].poles; k++)
            used[p->of_circuit[i].space + 2 * k] = true;
    struct results r;
    assert_true(cmd_results(&c, &r));
    struct buf out = {0};
    report_write(report_named("panel"), &r, REPORT_TEXT, &out);
    const char *at = strstr(buf_text(&out), "Panel P has these spaces free: ");
    assert_non_null(at);
    for (at = strchr(at, ':') + 1; *at != '.';) {
        unsigned from = (unsigned)strtoul(at, (char **)&at, 10), to = from;
        if (!strncmp(at, " to ", 4))
            to = (unsigned)strtoul(at + 4, (char **)&at, 10);
        for (; from <= to; from++) {
            assert_false(used[from]);
            used[from] = true;
        }
        at += *at == ',';
    }
    for (unsigned n = 1; n <= 12; n++)
        assert_true(used[n]);
    buf_free(&out);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_choice_is_better),
        cmocka_unit_test(large_panels_agree_with_glpk),
        cmocka_unit_test(no_choice_of_spaces_is_better),
        cmocka_unit_test(a_panel_of_42_spaces_is_proven),
        cmocka_unit_test(a_pair_begins_where_it_balances),
        cmocka_unit_test(what_is_not_proven_is_said),
        cmocka_unit_test(half_size_breakers_are_bought),
        cmocka_unit_test(free_spaces_are_named),
        cmocka_unit_test(the_same_plan_gives_the_same_spaces),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* The balance of a panel's lines against trying everything, and the spaces that come of it. */
#include "compiled.h"

#include "loads/balance.h"
#include "loads/panel.h"

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
        if (bits(singles) > b->room[0] || b->singles - bits(singles) > b->room[1] || !b->may[bits(pairs)])
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
        struct balance b = {.single = single, .pair = pair, .may = may, .singles = next_random(&random) % 9, .pairs = next_random(&random) % 5};
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

/* --- panels ------------------------------------------------------------------------------------------------------------ */

/* A panel of `spaces` with single circuits of these loads; `more` stands in the panel, `rest` at the top. */
static void compile_panel(struct compilation *c, unsigned spaces, const char *more, const double *loads, uint32_t count, const char *rest)
{
    struct buf b = {0};
    buf_puts(&b, "plan \"Hall\" { edition nec-2017 }\nroom k { kind workshop; size 200' by 20'\n");
    for (uint32_t i = 0; i < count; i++)
        buf_printf(&b, "box B%u south at %u' { receptacle %.0f VA }\n", i, 2 * i + 1, loads[i]);
    buf_puts(&b, "box X south at 150' { receptacle pole a 900 VA }\nbox Y south at 152' { receptacle pole b 300 VA }\n}\n");
    buf_printf(&b, "panel P { in k north at 9' up 5'; main 200 A; spaces %u; %s }\n", spaces, more);
    for (uint32_t i = 0; i < count; i++)
        buf_printf(&b, "circuit P.c%u \"Bench %u\" { breaker 20 A; run P -> k.B%u cable 10/2 }\n", i, i, i);
    buf_printf(&b, "circuit P.mw \"Wall\" { multiwire; breaker 20 A two-pole; run P -> k.X -> Y }\n%s", rest);
    compile_text(c, buf_text(&b));
    buf_free(&b);
}

/* Every space is given once, a pair has its two, and the sums of the lines are those of the spaces. */
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

/* 40 single circuits and one of two poles fill 42 spaces. With loads in whole VA no difference can be below the parity of their sum. */
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

/* Where the multiwire circuit begins is part of the choice: its heavier side goes to line B beside the one bench. */
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
    struct panels *p = panels_lay_out(&a.arena, a.model, a.loads), *q = panels_lay_out(&b.arena, b.model, b.loads);
    for (uint32_t i = 0; i < a.model->circuits.n; i++)
        assert_int_equal(p->of_circuit[i].space, q->of_circuit[i].space);
    compile_free(&a);
    compile_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_choice_is_better),
        cmocka_unit_test(a_panel_of_42_spaces_is_proven),
        cmocka_unit_test(a_pair_begins_where_it_balances),
        cmocka_unit_test(the_same_plan_gives_the_same_spaces),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

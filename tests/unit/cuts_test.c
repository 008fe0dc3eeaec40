/* Cuts on coils: every new run once, on a coil of its cable that is long enough, and the running
 * remainders. */
#include "compiled.h"
#include "cuts/cuts.h"
#include "framing/routes.h"

static void compile_shed(struct compilation *c, const char *runs, const char *coils)
{
    struct buf b = {0};
    buf_printf(&b,
               "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
               "box A west at 2' { receptacle }\nbox B west at 8' { receptacle }\nbox C east at 5' "
               "{ receptacle }\n}\n"
               "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n"
               "circuit P.1 { breaker 15 A; cable 14/2\n%s }\n%s",
               runs, coils);
    compile_text(c, buf_text(&b));
    if (c->diag.counts[ERROR])
        show_compiled(c);
    assert_non_null(c->cuts);
    buf_free(&b);
}

static const struct cable_cuts *cable(const struct compilation *c, const char *name)
{
    for (uint32_t i = 0; i < c->cuts->cable_count; i++)
        if (!strcmp(c->cuts->cables[i].cable->name, name))
            return &c->cuts->cables[i];
    fail();
    return NULL;
}

static const char three_runs[] =
    "run P -> shed.A length 30'\nrun shed.A -> B length 20'\nrun shed.B -> C length 24'";

static void coils_on_hand_come_first(void **state)
{
    (void)state;
    struct compilation c;
    compile_shed(&c, three_runs,
                 "coil 14/2 55' on-hand as tail-end\ncoil 14/2 50' price 40.00\ncoil 14/2 250' "
                 "price 96.00\n");
    const struct cable_cuts *k = cable(&c, "14/2");
    assert_int_equal(k->too_long_count, 0);
    assert_int_equal(k->coil_count, 2);
    assert_true(k->coils[0].on_hand);
    assert_string_equal(k->coils[0].name, "tail-end");
    /* 30 and 24 ft leave a foot on the tail end; what is left fits the small coil */
    assert_int_equal(k->coils[0].remainder, 1 * FOOT);
    assert_string_equal(k->coils[1].name, "14/2-1");
    assert_int_equal(k->coils[1].stock, 50 * FOOT);
    assert_int_equal(k->coils[1].remainder, 30 * FOOT);
    assert_near(k->coils[1].price, 40, 1e-9);
    assert_true(k->pack.proven);
    compile_free(&c);
}

static void remainders_run_down(void **state)
{
    (void)state;
    struct compilation c;
    compile_shed(&c, three_runs, "coil 14/2 250' price 96.00\n");
    const struct cable_cuts *k = cable(&c, "14/2");
    assert_int_equal(k->coil_count, 1);
    assert_int_equal(k->coils[0].cut_count, 3);
    static const int want[] = {220, 196, 176};
    for (unsigned i = 0; i < 3; i++)
        assert_int_equal(k->coils[0].cuts[i].remainder, want[i] * FOOT);
    assert_true(k->coils[0].cuts[0].home_run);
    assert_false(k->coils[0].cuts[1].home_run);
    compile_free(&c);
}

/* Without coils in the plan the lengths of the trade are bought: 25, 50, 100, 250 and 1000 ft. */
static void stock_lengths_serve_where_no_coil_is_named(void **state)
{
    (void)state;
    struct compilation c;
    compile_shed(&c, three_runs, "");
    const struct cable_cuts *k = cable(&c, "14/2");
    length bought = 0;
    for (uint32_t i = 0; i < k->coil_count; i++)
        bought += k->coils[i].stock;
    assert_int_equal(bought, 75 * FOOT); /* 50 and 25 ft hold 30 + 20 and 24 */
    compile_free(&c);
}

static void too_long_runs_are_listed(void **state)
{
    (void)state;
    struct compilation c;
    compile_shed(&c, three_runs, "coil 14/2 25' price 20.00\n");
    const struct cable_cuts *k = cable(&c, "14/2");
    assert_int_equal(k->too_long_count, 1);
    assert_int_equal(k->too_long[0]->length, 30 * FOOT);
    compile_free(&c);
}

static void old_cable_is_not_cut(void **state)
{
    (void)state;
    struct compilation c;
    compile_shed(&c,
                 "run P -> shed.A length 30' existing\nrun shed.A -> B length 20'\nrun shed.B -> C "
                 "length 24'",
                 "");
    const struct cable_cuts *k = cable(&c, "14/2");
    unsigned cuts = 0;
    for (uint32_t i = 0; i < k->coil_count; i++)
        cuts += k->coils[i].cut_count;
    assert_int_equal(cuts, 2);
    compile_free(&c);
}

static void every_run_is_cut_once(void **state)
{
    (void)state;
    struct compilation c;
    compile(&c, "examples/studio/studio.bay",
            (struct compile_options){.library = plan_library(), .cut_steps = CUTS_EXACT});
    assert_non_null(c.cuts);
    unsigned char *seen = calloc(c.model->runs.n, 1);
    for (uint32_t i = 0; i < c.cuts->cable_count; i++) {
        const struct cable_cuts *k = &c.cuts->cables[i];
        for (uint32_t n = 0; n < k->coil_count; n++) {
            length left = k->coils[n].stock;
            for (uint32_t p = 0; p < k->coils[n].cut_count; p++) {
                const struct cut *cut = &k->coils[n].cuts[p];
                left -= cut->length;
                assert_int_equal(cut->remainder, left);
                assert_int_equal(cut->length, c.routes->of_run[cut->run->id].cut);
                seen[cut->run->id]++;
            }
            assert_true(left >= 0);
            assert_int_equal(left, k->coils[n].remainder);
        }
        for (uint32_t n = 0; n < k->too_long_count; n++)
            seen[k->too_long[n]->id]++;
    }
    for (uint32_t i = 0; i < c.model->runs.n; i++)
        assert_int_equal(seen[i], c.model->runs.at[i]->existing ? 0 : 1);
    free(seen);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(coils_on_hand_come_first),
        cmocka_unit_test(remainders_run_down),
        cmocka_unit_test(stock_lengths_serve_where_no_coil_is_named),
        cmocka_unit_test(too_long_runs_are_listed),
        cmocka_unit_test(old_cable_is_not_cut),
        cmocka_unit_test(every_run_is_cut_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

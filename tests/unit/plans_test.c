/* The generator of plans: the same seed gives the same plan, and plans have every form of the
 * language, so that what is asked of them is asked of all of it. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "forms.h"
#include "plans.h"

#include "base/map.h"
#include "compile.h"
#include "resolve/language.h"
#include "resolve/match.h"
#include "resolve/node.h"
#include "syntax/lexer.h"

#include <stdio.h>
#include <string.h>

enum { PLANS = 400 };

/* Forms that no undamaged plan has: what stands in a library is read by library_test. */
static const char *const of_libraries[] = {"EDITION_DEF", "ED_WITHOUT", "SOURCE", "RECALLED"};

static void the_same_seed_gives_the_same_plan(void **state)
{
    (void)state;
    unsigned others = 0;
    for (int sort = 0; sort < PLAN_SORT_COUNT; sort++)
        for (uint64_t seed = 1; seed <= 20; seed++) {
            struct plan_text a = {0}, b = {0}, c = {0};
            plan_make(&a, (enum plan_sort)sort, seed, 0);
            plan_make(&b, (enum plan_sort)sort, seed, 0);
            plan_make(&c, (enum plan_sort)sort, seed + 1, 0);
            assert_string_equal(buf_text(&a.plan), buf_text(&b.plan));
            assert_string_equal(buf_text(&a.log), buf_text(&b.log));
            others += strcmp(buf_text(&a.plan), buf_text(&c.plan)) != 0;
            plan_free(&a);
            plan_free(&b);
            plan_free(&c);
        }
    assert_int_equal(others, 20 * PLAN_SORT_COUNT);
}

static void count_forms(const struct node *n, unsigned *seen)
{
    for (; n; n = n->next) {
        seen[node_in_row(n) ? F_BOXES : n->form] += !n->broken;
        count_forms(n->child, seen);
    }
}

static void count_text(struct names *names, const struct language *l, struct buf *text,
                       unsigned *seen)
{
    struct arena arena = {0}, scratch = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {.path = "plan.bay", .bytes = buf_text(text), .size = (uint32_t)text->n};
    lex(&diag, &source);
    count_forms(match_source(&diag, names, &scratch, l, &source, true)->child, seen);
    arena_free(&scratch);
    arena_free(&arena);
}

static bool is_of_libraries(const char *id)
{
    for (size_t i = 0; i < sizeof of_libraries / sizeof *of_libraries; i++)
        if (!strcmp(of_libraries[i], id))
            return true;
    return false;
}

static void plans_have_every_form(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct names names = {.arena = &arena};
    const struct language *l = language_new(&arena, &names);
    unsigned seen[FORM_COUNT] = {0}, missing = 0;
    for (unsigned i = 0; i < PLANS; i++) {
        struct plan_text t = {0};
        plan_make(&t, i % 2 ? PLAN_BOLD : PLAN_CLEAN, i, 0);
        count_text(&names, l, &t.plan, seen);
        count_text(&names, l, &t.include, seen);
        plan_free(&t);
    }
    for (unsigned i = 0; i < plan_form_count; i++)
        if (!seen[i + 1] && /* the file itself is form 0 */ !is_of_libraries(plan_forms[i].id)) {
            print_error("no plan has '%s' of statements.def (%s): let tests/plans/features.c "
                        "write it\n",
                        plan_forms[i].word, plan_forms[i].id);
            missing++;
        }
    arena_free(&arena);
    assert_int_equal(missing, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_same_seed_gives_the_same_plan),
        cmocka_unit_test(plans_have_every_form),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* What is missed is told where the plan takes it away. */
#include "compiled.h"

static void a_table_is_missed_where_it_is_taken_away(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"Shed\" { edition nec-2023 }\n"
                     "amend nec-2023 because \"our own\" { without connectors }\n"
                     "room shed { kind workshop; size 12' by 10'\n"
                     "  box R1 east at 6' { receptacle-gfci } }\n"
                     "panel M { in shed north at 4' up 5'; main 100 A; spaces 20 }\n"
                     "circuit M.3 \"Bench\" { breaker 20 A; run M -> shed.R1 }\n");
    const struct finding *f = finding_of(&c, "library-incomplete", 0);
    assert_non_null(f);
    assert_ptr_equal(f->span.source, c.sources[0]);
    assert_memory_equal(f->span.source->bytes + f->span.off, "without connectors", f->span.len);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_table_is_missed_where_it_is_taken_away)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

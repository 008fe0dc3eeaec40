/* studbay propose: what is proposed holds, is the same for the same plan, and is shown or written
 * as a whole. */
#include "compiled.h"

#include "diag/edits.h"
#include "propose/propose.h"

static const char shed[] = "plan \"Shed\" { edition nec-2023 }\n"
                           "room shed { kind workshop; size 14' by 10'\n"
                           "  box R1 west at 7' up 48\" { receptacle }\n"
                           "  box R2 north at 3' up 48\" { receptacle }\n"
                           "  box R3 north at 9' up 48\" { receptacle }\n"
                           "}\n"
                           "panel P { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                           "circuit P.1 \"Shed bench\" {\n"
                           "  breaker 20 A\n"
                           "  serves shed.R3 R1 R2  # in whatever order\n"
                           "}\n";

/* The text of the one source of a plan with what is proposed done; the file lies there meanwhile,
 * for what is tried is read in its place. */
static const char *proposed(const char *name, const char *text, const char *circuit,
                            struct proposal *p, struct arena *a)
{
    char path[] = "/tmp/studbay-propose-XXXXXX";
    struct compilation c;
    struct propose_asked asked = {.library = plan_library(), .circuit = circuit};
    struct buf out = {0};
    *p = (struct proposal){.arena = a};
    write_temporary(path, text);
    compile(&c, path, (struct compile_options){.library = plan_library()});
    assert_true(propose_named(name)->run(&c, &asked, p));
    assert_true(edits_sort(&p->edits));
    edits_apply(&p->edits, c.sources[0], &out);
    const char *kept = arena_copy(a, buf_text(&out), out.n);
    buf_free(&out);
    compile_free(&c);
    unlink(path);
    return kept;
}

static void boxes_are_strung(void **state)
{
    (void)state;
    struct arena a = {0};
    struct proposal p;
    const char *text = proposed("runs", shed, NULL, &p, &a);
    assert_non_null(strstr(text, "run P -> shed.R1 -> R2 -> R3"));
    assert_null(strstr(text, "serves"));
    assert_non_null(strstr(text, "# in whatever order")); /* what a person wrote stays */
    struct compilation c;
    compile_text(&c, text);
    assert_int_equal(c.diag.counts[ERROR] + c.diag.counts[WARNING], 0);
    compile_free(&c);
    text = proposed("runs", text, NULL, &p, &a);
    assert_int_equal(p.edits.n, 0);
    assert_int_equal(p.told.n, 1);
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(boxes_are_strung)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

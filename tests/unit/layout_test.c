/* Brace mending by the layout: language.md, section 9, "braces that do not balance are mended by
 * the layout before parsing and reported once, at the open brace". */
#include "base/buf.h"
#include "diag/render.h"
#include "reading.h"
#include "resolve/node.h"

/* The tree of matched statements: word, name and block. */
static void outline(struct reading *r, const struct node *owner, char *out)
{
    for (const struct node *n = owner->child; n; n = n->next) {
        if (!r->language->forms[n->form].in_block)
            continue;
        const char *name = r->language->forms[n->form].names ? node_name(n, 0) : NULL;
        sprintf(out + strlen(out), "%s%s%s%s", *out && out[strlen(out) - 1] != '{' ? " " : "",
                n->word ? n->word : "", name ? "." : "", name ? name : "");
        if (r->language->forms[n->form].may_block && n->child) {
            strcat(out, "{");
            outline(r, n, out);
            strcat(out, "}");
        }
    }
}

/* One finding, at that line and column, and this tree. */
static void assert_mended(const char *text, uint32_t line, uint32_t cell, const char *part,
                          const char *wanted)
{
    struct reading r;
    char got[4096] = "";
    read_plan(&r, text);
    assert_only(&r, "syntax", part);
    struct position p = source_position(&r.arena, &r.source, r.diag.findings.at[0].span.off);
    assert_int_equal(p.line, line);
    assert_int_equal(p.cell, cell);
    outline(&r, r.file, got);
    assert_string_equal(got, wanted);
    done(&r);
}

#define NO_CLOSE       "this '{' has no '}' of its own"
#define NO_OPEN        "a '{' is missing behind this"
#define CLOSES_NOTHING "this '}' closes nothing"

static void close_missing(void **state)
{
    (void)state;
    assert_mended("level a {\n  floor 9'\n\nlevel b {\n  floor 9'\n}\n", 1, 9, NO_CLOSE,
                  "level.a{floor} level.b{floor}");
    assert_mended("level a {\n  floor 9'\n}\nlevel b {\n  floor 9'\n", 4, 9, NO_CLOSE,
                  "level.a{floor} level.b{floor}");
    assert_mended("room a {\n  box R1 north at 1' {\n    receptacle\n  box R2 north at 2' {\n    "
                  "receptacle\n  }\n}\nlevel b {\n  floor 9'\n}\n",
                  2, 22, NO_CLOSE, "room.a{box.R1{receptacle} box.R2{receptacle}} level.b{floor}");
    assert_mended(
        "room a {\n  box R1 north at 1' { receptacle\n  box R2 north at 2' { receptacle }\n}\n", 2,
        22, NO_CLOSE, "room.a{box.R1{receptacle} box.R2{receptacle}}");
    /* Of two blocks the inner one lacks its brace: the brace of the outer one's column is the outer
     * one's. */
    assert_mended("room a {\n  box R1 north at 1' {\n    receptacle\n}\nlevel b {\n  floor 9'\n}\n",
                  2, 22, NO_CLOSE, "room.a{box.R1{receptacle}} level.b{floor}");
}

static void open_missing(void **state)
{
    (void)state;
    assert_mended("level a\n  floor 9'\n  bore 24\"\n}\nlevel b {\n  floor 9'\n}\n", 1, 7, NO_OPEN,
                  "level.a{floor bore} level.b{floor}");
    assert_mended("room a {\n  box R1 north at 1'\n    receptacle\n  }\n  finish 1/2\"\n}\n", 2, 19,
                  NO_OPEN, "room.a{box.R1{receptacle} finish}");
    assert_mended(
        "room a {\n  box R1 north at 1' receptacle }\n  box R2 north at 2' { receptacle }\n}\n", 2,
        33, CLOSES_NOTHING, "room.a{box.R1 box.R2{receptacle}}");
}

static void close_too_many(void **state)
{
    (void)state;
    assert_mended("level a {\n  floor 9'\n}\n}\nlevel b {\n  floor 9'\n}\n", 4, 1, CLOSES_NOTHING,
                  "level.a{floor} level.b{floor}");
    assert_mended("level a {\n  floor 9' }\n  bore 24\"\n}\nlevel b {\n  floor 9'\n}\n", 2, 12,
                  CLOSES_NOTHING, "level.a{floor bore} level.b{floor}");
    assert_mended("room a {\n  box R1 north at 1' { receptacle } }\n  finish 1/2\"\n}\n", 2, 37,
                  CLOSES_NOTHING, "room.a{box.R1{receptacle} finish}");
    assert_mended("}\nlevel a {\n  floor 9'\n}\n", 1, 1, CLOSES_NOTHING, "level.a{floor}");
}

static void open_too_many(void **state)
{
    (void)state;
    assert_mended("level a { {\n  floor 9'\n}\nlevel b {\n  floor 9'\n}\n", 1, 11, NO_CLOSE,
                  "level.a{floor} level.b{floor}");
    assert_mended("level a {\n  floor 9'\n  bore { 24\"\n}\nlevel b {\n  floor 9'\n}\n", 3, 8,
                  NO_CLOSE, "level.a{floor bore} level.b{floor}");
}

/* Something else stands where a brace should. */
static void brace_replaced(void **state)
{
    (void)state;
    assert_mended("level a {\n  floor 9'\nx\nlevel b {\n  floor 9'\n}\n", 1, 9, NO_CLOSE,
                  "level.a{floor} level.b{floor}");
    assert_mended("level a {\n  floor 9'\n->\nlevel b {\n  floor 9'\n}\n", 1, 9, NO_CLOSE,
                  "level.a{floor} level.b{floor}");
    assert_mended("level a {\n  floor 9'\n{\nlevel b {\n  floor 9'\n}\n", 1, 9, NO_CLOSE,
                  "level.a{floor} level.b{floor}");
    assert_mended("level a ;\n  floor 9'\n  bore 24\"\n}\nlevel b {\n  floor 9'\n}\n", 1, 9,
                  NO_OPEN, "level.a{floor bore} level.b{floor}");
}

/* Braces that balance are left alone, however they are laid out. */
static void odd_layouts(void **state)
{
    (void)state;
    static const char *const texts[] = {
        "level a {\nfloor 9'\n    bore 24\"\n  }\nlevel b { floor 9'; bore 24\" }",
        "   level a\n{\nfloor 9'\nbore 24\" }\n      level b {\n   floor 9'\nbore 24\"\n}",
        "level a { floor 9'\n bore 24\" } level b { floor 9'\n\n bore 24\" }",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct reading r;
        char got[4096] = "";
        read_plan(&r, texts[i]);
        assert_clean(&r);
        outline(&r, r.file, got);
        assert_string_equal(got, "level.a{floor bore} level.b{floor bore}");
        done(&r);
    }
}

/* Tabs count to the next multiple of eight, as they are shown. */
static void tabs(void **state)
{
    (void)state;
    assert_mended("room a {\n\tbox R1 north at 1' {\n\t\treceptacle\n        box R2 north at 2' "
                  "{\n\t\treceptacle\n\t}\n}\n",
                  2, 28, NO_CLOSE, "room.a{box.R1{receptacle} box.R2{receptacle}}");
}

static void two_faults(void **state)
{
    (void)state;
    struct reading r;
    read_plan(&r, "level a {\n  floor 9'\nlevel b {\n  floor 9'\n}\nlevel c {\n  floor 9'\nlevel d "
                  "{\n  floor 9'\n}\n");
    assert_int_equal(r.diag.findings.n, 2);
    assert_int_equal(source_position(&r.arena, &r.source, r.diag.findings.at[0].span.off).line, 1);
    assert_int_equal(source_position(&r.arena, &r.source, r.diag.findings.at[1].span.off).line, 6);
    done(&r);
}

static void too_deep(void **state)
{
    (void)state;
    struct reading r;
    char text[400] = "";
    for (int i = 0; i < 40; i++)
        strcat(text, "a {\n");
    read_plan(&r, text);
    assert_only(&r, "limit", "nested deeper than 32");
    assert_null(r.file->child);
    done(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(close_missing),  cmocka_unit_test(open_missing),
        cmocka_unit_test(close_too_many), cmocka_unit_test(open_too_many),
        cmocka_unit_test(brace_replaced), cmocka_unit_test(odd_layouts),
        cmocka_unit_test(tabs),           cmocka_unit_test(two_faults),
        cmocka_unit_test(too_deep),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

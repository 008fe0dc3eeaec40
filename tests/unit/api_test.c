/* The library's interface: plans from the disk and from memory, memory of the caller's that ends,
 * writers that stop, every report and drawing, and that what is told is what the command tells. Run
 * from the top of the tree. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "libstudbay/studbay.h"

#include "base/buf.h"
#include "base/file.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char two_places[] = "examples/small/two-places.bay";

/* --- what is lent ------------------------------------------------------------------------- */

/* Memory that counts what is out, and ends after so many blocks. */
struct purse {
    size_t out, taken, left; /* left: 0 for no end */
};

static void *take(void *of, size_t size)
{
    struct purse *p = of;
    if (p->left && p->taken + 1 >= p->left)
        return NULL;
    p->taken++;
    p->out++;
    void *block = malloc(size);
    memset(block, 0xa5, size); /* nobody may count on what is in it */
    return block;
}

static void give(void *of, void *block)
{
    ((struct purse *)of)->out--;
    free(block);
}

static int to_buf(void *to, const char *bytes, size_t size)
{
    buf_add(to, bytes, size);
    return 0;
}

static int to_nowhere(void *to, const char *bytes, size_t size)
{
    (void)bytes;
    *(size_t *)to = size;
    return 0;
}

static int wants_no_more(void *to, const char *bytes, size_t size)
{
    (void)to;
    (void)bytes;
    (void)size;
    return 1;
}

static struct studbay_writer into(struct buf *b)
{
    b->n = 0;
    return (struct studbay_writer){to_buf, b};
}

static struct studbay_plan *opened(const char *path, const struct studbay_opening *how)
{
    struct studbay_plan *plan;
    assert_int_equal(studbay_open(path, how, &plan), STUDBAY_DONE);
    return plan;
}

/* --- plans in memory ---------------------------------------------------------------------- */

static const char attic[] = "room attic 12' x 10' {\n  kind storage\n}\n";
static const struct studbay_text texts[] = {
    {"plan.bay", "include \"rooms/attic.bay\"\nlevel main ceiling 8'\n", 53 - 6},
    {"rooms/attic.bay", attic, sizeof attic - 1},
};

static struct studbay_opening of_texts(const struct studbay_text *list, size_t count)
{
    return (struct studbay_opening){
        .size = sizeof(struct studbay_opening), .texts = list, .text_count = count};
}

static const struct studbay_finding *found(struct studbay_plan *plan, const char *rule)
{
    size_t count;
    const struct studbay_finding *const *list = studbay_findings(plan, &count);
    for (size_t i = 0; i < count; i++)
        if (!strcmp(list[i]->rule, rule))
            return list[i];
    return NULL;
}

static void texts_stand_for_files(void **state)
{
    (void)state;
    struct studbay_text list[] = {texts[0], texts[1]};
    list[0].size = strlen(list[0].bytes);
    struct studbay_opening how = of_texts(list, 2);
    struct studbay_plan *plan = opened("plan.bay", &how);
    size_t count;
    const struct studbay_source *const *sources = studbay_sources(plan, &count);
    assert_int_equal(count, 2);
    assert_string_equal(sources[1]->path, "rooms/attic.bay");
    assert_string_equal(sources[1]->bytes, attic);
    const struct studbay_room *const *rooms = studbay_rooms(plan, &count);
    assert_int_equal(count, 1);
    assert_string_equal(rooms[0]->name, "attic");
    assert_true(rooms[0]->ceiling == 96 * STUDBAY_INCH);
    assert_null(rooms[1]);
    studbay_close(plan);
}

/* Where texts are given nothing of the disk is looked at, by whatever name. */
static void no_file_is_read_beside_texts(void **state)
{
    (void)state;
    static const char *const names[] = {"examples/small/two-places.bay", "/etc/passwd",
                                        "../plan.bay", "Makefile", "x/../../plan.bay"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char plan_text[200];
        snprintf(plan_text, sizeof plan_text, "include \"%s\"\n", names[i]);
        struct studbay_text one = {"plan.bay", plan_text, strlen(plan_text)};
        struct studbay_opening how = of_texts(&one, 1);
        struct studbay_plan *plan = opened("plan.bay", &how);
        assert_non_null(found(plan, "unreadable-file"));
        size_t count;
        studbay_sources(plan, &count);
        assert_int_equal(count, 1);
        studbay_close(plan);
    }
    struct studbay_text one = {"plan.bay", "", 0};
    struct studbay_opening how = of_texts(&one, 1);
    struct studbay_plan *plan;
    assert_int_equal(studbay_open(two_places, &how, &plan), STUDBAY_UNREADABLE);
    assert_non_null(found(plan, "unreadable-file"));
    studbay_close(plan);
    plan = opened("./x/../plan.bay", &how);
    studbay_close(plan);
}

/* A log is a text beside the plan, or the one that is named; a photograph cannot be looked for. */
static void a_log_may_be_a_text(void **state)
{
    (void)state;
    struct buf plan_text = {0}, log_text = {0}, a = {0};
    assert_true(file_read(&plan_text, two_places, 1 << 20));
    buf_puts(&log_text, "2026-03-01 pulled P -> passage.S1 20ft\n"
                        "2026-03-02 photo north.jpg of passage north\n");
    struct studbay_text list[] = {{"two.bay", plan_text.at, plan_text.n},
                                  {"two.log", log_text.at, log_text.n}};
    struct studbay_opening how = of_texts(list, 2);
    struct studbay_plan *plan = opened("two.bay", &how);
    assert_null(found(plan, "photo-missing"));
    assert_int_equal(studbay_write_report(plan, "todo", NULL, into(&a)), STUDBAY_DONE);
    assert_non_null(strstr(buf_text(&a), "20'"));
    studbay_close(plan);
    buf_free(&plan_text);
    buf_free(&log_text);
    buf_free(&a);
}

/* --- findings ----------------------------------------------------------------------------- */

static void mends_come_with_their_edits(void **state)
{
    (void)state;
    struct studbay_plan *plan = opened("tests/rules/unknown-name.bad.bay", NULL);
    size_t count, mends = 0;
    const struct studbay_finding *const *list = studbay_findings(plan, &count);
    assert_true(count > 0);
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < list[i]->mend_count; k++, mends++) {
            assert_true(list[i]->mends[k]->edit_count > 0);
            const struct studbay_edit *e = list[i]->mends[k]->edits[0];
            assert_string_equal(e->place.file, "tests/rules/unknown-name.bad.bay");
            assert_true(e->place.line > 0 && e->place.end_line >= e->place.line);
        }
    assert_true(mends > 0);
    assert_int_equal(studbay_counts(plan)->errors, 1);
    assert_ptr_equal(studbay_findings(plan, NULL), list);
    studbay_close(plan);
}

static void findings_are_written_of_several_plans(void **state)
{
    (void)state;
    struct studbay_library *library;
    assert_int_equal(studbay_library_open(NULL, NULL, &library), STUDBAY_DONE);
    struct studbay_opening how = {
        .size = sizeof how, .library = library, .depth = STUDBAY_FINDINGS};
    struct studbay_plan *plans[] = {opened("tests/rules/box-gangs.bad.bay", &how),
                                    opened("tests/rules/unknown-name.bad.bay", &how)};
    struct buf b = {0};
    static const char *const formats[] = {"text", "json", "sarif"};
    for (int i = 0; i < 3; i++) {
        struct studbay_wants wants = {.size = sizeof wants, .format = formats[i]};
        assert_int_equal(studbay_write_findings(plans, 2, &wants, into(&b)), STUDBAY_DONE);
        assert_non_null(strstr(buf_text(&b), "box-gangs.bad.bay"));
        assert_non_null(strstr(buf_text(&b), "unknown-name.bad.bay"));
    }
    struct studbay_wants wants = {.size = sizeof wants, .format = "jsn"};
    assert_int_equal(studbay_write_findings(plans, 2, &wants, into(&b)), STUDBAY_NO_SUCH);
    assert_non_null(strstr(studbay_error_words(plans[0]), "did you mean 'json'?"));
    studbay_close(plans[0]); /* the other stands by itself */
    assert_int_equal(studbay_write_findings(&plans[1], 1, NULL, into(&b)), STUDBAY_DONE);
    studbay_close(plans[1]);
    studbay_library_close(library);
    buf_free(&b);
}

/* --- what is written ---------------------------------------------------------------------- */

/* The same from a plan that was opened for its findings alone, and behind a shared library. */
static void every_report_is_written_in_every_format(void **state)
{
    (void)state;
    static const char *const formats[] = {"text", "csv", "json", "md"};
    struct studbay_library *library;
    assert_int_equal(studbay_library_open(NULL, NULL, &library), STUDBAY_DONE);
    struct studbay_opening lean = {
        .size = sizeof lean, .library = library, .depth = STUDBAY_FINDINGS};
    struct studbay_plan *plan = opened(two_places, NULL), *other = opened(two_places, &lean);
    struct buf a = {0}, b = {0};
    for (size_t i = 0; studbay_report(i); i++)
        for (int f = 0; f < 4; f++) {
            struct studbay_wants wants = {.size = sizeof wants, .format = formats[f]};
            const char *name = studbay_report(i)->name;
            assert_int_equal(studbay_write_report(plan, name, &wants, into(&a)), STUDBAY_DONE);
            assert_int_equal(studbay_write_report(other, name, &wants, into(&b)), STUDBAY_DONE);
            assert_true(a.n > 0);
            assert_string_equal(buf_text(&a), buf_text(&b));
        }
    assert_int_equal(studbay_write_report(plan, "cut", NULL, into(&a)), STUDBAY_NO_SUCH);
    assert_string_equal(studbay_error_words(plan),
                        "there is no report 'cut'; did you mean 'cuts'?");
    assert_int_equal(studbay_write_book(plan, into(&a)), STUDBAY_DONE);
    assert_non_null(strstr(buf_text(&a), "<!DOCTYPE html>"));
    studbay_close(plan);
    studbay_close(other);
    studbay_library_close(library);
    buf_free(&a);
    buf_free(&b);
}

static void every_drawing_is_drawn(void **state)
{
    (void)state;
    struct studbay_plan *plan = opened(two_places, NULL);
    struct buf b = {0};
    size_t drawn = 0;
    for (size_t i = 0; studbay_drawing(i); i++) {
        struct studbay_sheets *sheets;
        enum studbay_status status = studbay_draw(plan, studbay_drawing(i)->name, NULL, &sheets);
        assert_true(status == STUDBAY_DONE || status == STUDBAY_NOTHING);
        size_t count;
        studbay_sheet_list(sheets, &count);
        assert_true((count > 0) == (status == STUDBAY_DONE));
        drawn += count;
        if (!count)
            continue;
        struct studbay_wants pdf = {.size = sizeof pdf, .format = "pdf"};
        assert_int_equal(studbay_write_sheet(sheets, 0, NULL, into(&b)), STUDBAY_DONE);
        assert_non_null(strstr(buf_text(&b), "<svg "));
        assert_int_equal(studbay_write_sheet(sheets, STUDBAY_EVERY_SHEET, &pdf, into(&b)),
                         STUDBAY_DONE);
        assert_memory_equal(b.at, "%PDF-", 5);
        assert_int_equal(studbay_write_sheet(sheets, count, NULL, into(&b)), STUDBAY_NO_SUCH);
    }
    assert_true(drawn > 10);
    for (size_t i = 0; studbay_graph(i); i++)
        assert_int_equal(studbay_write_graph(plan, studbay_graph(i)->name, NULL, into(&b)),
                         STUDBAY_DONE);
    struct studbay_wants wants = {.size = sizeof wants, .room = "passge"};
    struct studbay_sheets *none;
    assert_int_equal(studbay_draw(plan, "plan", &wants, &none), STUDBAY_NO_SUCH);
    assert_null(none);
    assert_non_null(strstr(studbay_error_words(plan), "did you mean 'passage'?"));
    studbay_close(plan);
    buf_free(&b);
}

static void texts_are_laid_out_and_settled(void **state)
{
    (void)state;
    struct studbay_text one = {"a.bay", "room   a 4' x 5'  {}", 20}, bad = {"a.bay", "room a {", 8};
    struct studbay_opening how = of_texts(&one, 1);
    struct buf b = {0};
    how.depth = STUDBAY_FORM;
    struct studbay_plan *plan = opened("a.bay", &how);
    assert_int_equal(studbay_write_formatted(plan, into(&b)), STUDBAY_DONE);
    assert_string_equal(buf_text(&b), "room a 4' x 5' { }\n");
    studbay_close(plan);
    how.texts = &bad;
    plan = opened("a.bay", &how);
    assert_int_equal(studbay_write_formatted(plan, into(&b)), STUDBAY_NOT_LAID_OUT);
    assert_true(studbay_counts(plan)->errors > 0);
    studbay_close(plan);
    plan = opened(two_places, NULL);
    assert_int_equal(studbay_write_formatted(plan, into(&b)), STUDBAY_NOTHING);
    assert_int_equal(studbay_write_settled(plan, "lengths", 0, into(&b)), STUDBAY_DONE);
    assert_non_null(strstr(buf_text(&b), "length 15'-0 3/16\""));
    assert_int_equal(studbay_write_settled(plan, "length", 0, into(&b)), STUDBAY_NO_SUCH);
    studbay_close(plan);
    buf_free(&b);
}

/* By the README, whose figures docs_test holds. */
static void things_are_told(void **state)
{
    (void)state;
    struct studbay_plan *plan = opened(two_places, NULL);
    size_t n;
    const struct studbay_cable *const *cables = studbay_cables(plan, &n);
    assert_int_equal(n, 3);
    assert_string_equal(cables[0]->name, "14/2");
    assert_int_equal(cables[0]->pieces, 2);
    assert_true(cables[0]->cut == 474 * STUDBAY_INCH); /* 39'-6" */
    const struct studbay_run *const *runs = studbay_runs(plan, &n);
    assert_int_equal(n, 4);
    assert_string_equal(runs[0]->name, "P -> passage.S1");
    assert_true(runs[0]->known && runs[0]->cut == 288 * STUDBAY_INCH); /* 24' */
    const struct studbay_box *const *boxes = studbay_boxes(plan, &n);
    assert_int_equal(n, 4);
    assert_string_equal(boxes[0]->room, "passage");
    assert_non_null(boxes[0]->devices[0]);
    assert_true(boxes[0]->required > 0 && boxes[0]->required <= boxes[0]->volume);
    const struct studbay_circuit *const *circuits = studbay_circuits(plan, &n);
    assert_int_equal(n, 2);
    assert_string_equal(circuits[0]->name, "P.1");
    assert_int_equal(circuits[0]->poles, 1);
    assert_int_equal(studbay_proof(plan), STUDBAY_PROOF_HOLDS);
    assert_true(studbay_has_read(plan, "examples/small/../small/two-places.bay"));
    assert_false(studbay_has_read(plan, "Makefile"));
    studbay_close(plan);
}

/* --- memory that ends --------------------------------------------------------------------- */

/* All that a caller does; the worst that came of it. */
static enum studbay_status use(struct purse *p, size_t *written)
{
    struct studbay_memory memory = {take, give, p};
    struct studbay_library *library = NULL;
    struct studbay_plan *plan = NULL;
    struct studbay_sheets *sheets = NULL;
    struct studbay_writer writer = {to_nowhere, written};
    enum studbay_status status = studbay_library_open(NULL, &memory, &library);
    struct studbay_opening how = {.size = sizeof how, .library = library, .memory = &memory};
    struct studbay_wants pdf = {.size = sizeof pdf, .format = "pdf"};
    if (status == STUDBAY_DONE)
        status = studbay_open(two_places, &how, &plan);
    if (status == STUDBAY_DONE)
        status = studbay_write_report(plan, "cuts", NULL, writer);
    if (status == STUDBAY_DONE)
        status = studbay_draw(plan, "cards", NULL, &sheets);
    if (status == STUDBAY_DONE)
        status = studbay_write_sheet(sheets, STUDBAY_EVERY_SHEET, &pdf, writer);
    if (status == STUDBAY_DONE)
        status = studbay_write_book(plan, writer);
    if (status == STUDBAY_NO_MEMORY && plan) { /* it can be asked on, and closed */
        assert_int_equal(studbay_write_counts(plan, writer), STUDBAY_NO_MEMORY);
        assert_null(studbay_findings(plan, NULL));
        assert_null(studbay_sheet_list(sheets, NULL));
        assert_string_equal(studbay_error_words(plan), "");
    }
    studbay_close(plan);
    studbay_library_close(library);
    return status;
}

static void memory_may_end_anywhere(void **state)
{
    (void)state;
    struct purse whole = {0};
    size_t bytes = 0, ended = 0;
    assert_int_equal(use(&whole, &bytes), STUDBAY_DONE);
    assert_int_equal(whole.out, 0);
    assert_true(whole.taken > 50 && bytes > 10000);
    size_t step = 1 + whole.taken / 150; /* the first ones each, those of the PDF in steps */
    for (size_t left = 1; left <= whole.taken; left += left < 60 ? 1 : step, ended++) {
        struct purse p = {.left = left};
        assert_int_equal(use(&p, &bytes), STUDBAY_NO_MEMORY);
        assert_int_equal(p.out, 0);
    }
    assert_true(ended > 60);
}

static void wrong_calls_do_nothing(void **state)
{
    (void)state;
    struct studbay_plan *plan = NULL;
    struct studbay_opening how = {.size = 0};
    struct studbay_writer none = {NULL, NULL}, stops = {wants_no_more, NULL};
    assert_int_equal(studbay_open(NULL, NULL, &plan), STUDBAY_MISUSE);
    assert_int_equal(studbay_open(two_places, &how, &plan), STUDBAY_MISUSE);
    assert_int_equal(studbay_open("no-such.bay", NULL, &plan), STUDBAY_UNREADABLE);
    assert_int_equal(studbay_write_report(plan, "cuts", NULL, stops), STUDBAY_NOTHING);
    size_t n = 9;
    assert_non_null(studbay_boxes(plan, &n));
    assert_int_equal(n, 0);
    studbay_close(plan);
    plan = opened(two_places, NULL);
    assert_int_equal(studbay_write_report(plan, "cuts", NULL, none), STUDBAY_MISUSE);
    assert_int_equal(studbay_write_report(plan, "cuts", NULL, stops), STUDBAY_STOPPED);
    assert_int_equal(studbay_write_findings(NULL, 0, NULL, stops), STUDBAY_MISUSE);
    studbay_close(plan);
    studbay_close(NULL);
    studbay_library_close(NULL);
    assert_null(studbay_runs(NULL, &n));
    for (int i = 0; i <= STUDBAY_MISUSE; i++)
        assert_true(strlen(studbay_status_words((enum studbay_status)i)) > 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(texts_stand_for_files),
        cmocka_unit_test(no_file_is_read_beside_texts),
        cmocka_unit_test(a_log_may_be_a_text),
        cmocka_unit_test(mends_come_with_their_edits),
        cmocka_unit_test(findings_are_written_of_several_plans),
        cmocka_unit_test(every_report_is_written_in_every_format),
        cmocka_unit_test(every_drawing_is_drawn),
        cmocka_unit_test(texts_are_laid_out_and_settled),
        cmocka_unit_test(things_are_told),
        cmocka_unit_test(memory_may_end_anywhere),
        cmocka_unit_test(wrong_calls_do_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

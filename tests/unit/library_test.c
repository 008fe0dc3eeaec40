/* What the library lacks is an error that names it, never a default: each of its tables and lists is taken away from every edition, one at a time, and plans
 * that ask for it are compiled. Either the plan is told of the table by name, or it never needed it: then its findings, reports and drawings are the same to
 * the byte as with the whole library. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/drawings/drawings.h"
#include "emit/reports/reports.h"
#include "resolve/embedded.h"

#include <glob.h>
#include <sys/stat.h>

/* Tables that are kept for those who read the library, and for the pages made from it; no plan asks for them. */
static const char *const for_readers[] = {"ambient",          "appliance-receptacle", "bend",    "box-setback",  "staples",
                                          "low-voltage-apart"};

enum { TRIED = 3 };              /* plans that a table is taken away from */

/* --- the tables, and the plans that ask for them -------------------------------------------------------------------------------- */

struct known {
    char name[80];
    uint32_t plans[TRIED], count;
};

static struct known tables[400];
static uint32_t table_count;
static glob_t plans;

static struct known *find_table(const char *name)
{
    for (uint32_t i = 0; i < table_count; i++)
        if (!strcmp(tables[i].name, name))
            return &tables[i];
    return NULL;
}

/* Each "  table NAME " and "  list NAME " at the beginning of a line. */
static void list_tables(const char *text)
{
    static const char *const words[] = {"\n  table ", "\n  list "};
    for (int w = 0; w < 2; w++)
        for (const char *at = text; (at = strstr(at, words[w]));) {
            char name[80];
            at += strlen(words[w]);
            snprintf(name, sizeof name, "%.*s", (int)strcspn(at, " \n"), at);
            if (find_table(name))
                continue;
            assert_true(table_count < sizeof tables / sizeof *tables);
            snprintf(tables[table_count++].name, sizeof name, "%s", name);
        }
}

static void note_asked(const struct edition *e, uint32_t plan)
{
    for (uint32_t i = 0; e && i < e->tables.cap; i++) {
        struct known *t = e->tables.slot[i].value ? find_table((const char *)e->tables.slot[i].b) : NULL;
        bool new = t && (!t->count || t->plans[t->count - 1] != plan);
        if (new && t->count < TRIED)
            t->plans[t->count++] = plan;
    }
}

/* All findings, and what is printed of the work. */
static char *outcome(const char *plan, const char *folder, struct compilation *c)
{
    struct buf out = {0};
    compile(c, plan, (struct compile_options){.stdlib = folder});
    diag_text(&c->diag, &out, (struct diag_style){0});
    if (c->model && c->makeup) {
        struct results r = results_of(c);
        for (uint32_t i = 0; i < report_count; i++)
            report_write(&report_table[i], &r, REPORT_JSON, &out);
        r.method = METHOD_OPTIONAL;
        r.method_told = true;
        report_write(report_named("load"), &r, REPORT_JSON, &out);
        for (uint32_t i = 0; i < drawing_count; i++)
            drawing_table[i].draw(&r, &out);
    }
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

/* --- a library without one of them ---------------------------------------------------------------------------------------------- */

/* The text with each 'table NAME' or 'list NAME' called by another name of the same length. */
static void rename_table(struct buf *text, const char *name)
{
    static const char *const words[] = {"table", "list"};
    for (int w = 0; w < 2; w++) {
        char head[100];
        snprintf(head, sizeof head, "\n  %s %s ", words[w], name);
        for (char *at = text->at; (at = strstr(at, head)); at++)
            at[strlen(head) - strlen(name) - 1] = 'z';
    }
}

static void write_library(const char *folder, const char *without)
{
    char path[512];
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        struct buf text = {0};
        buf_printf(&text, "%.*s", (int)embedded_stdlib[i].size, (const char *)embedded_stdlib[i].bytes);
        buf_text(&text);
        rename_table(&text, without);
        snprintf(path, sizeof path, "%s/%s", folder, embedded_stdlib[i].path);
        char *slash = strchr(path + strlen(folder) + 1, '/');
        if (slash) {
            *slash = 0;
            mkdir(path, 0700);
            *slash = '/';
        }
        FILE *f = fopen(path, "w");
        assert_non_null(f);
        assert_int_equal(fwrite(text.at, 1, text.n, f), text.n);
        assert_int_equal(fclose(f), 0);
        buf_free(&text);
    }
}

static void remove_library(const char *folder)
{
    char path[512];
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, embedded_stdlib[i].path);
        unlink(path);
        char *slash = strchr(path + strlen(folder) + 1, '/');
        if (slash) {
            *slash = 0;
            rmdir(path);
        }
    }
    rmdir(folder);
}

/* Whether a finding of the library names the table: "... has no table 'bits'". */
static bool is_told(const struct compilation *c, const char *name)
{
    char quoted[100];
    snprintf(quoted, sizeof quoted, "'%s'", name);
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (c->diag.findings.at[i].rule == R_LIBRARY && strstr(c->diag.findings.at[i].message, quoted))
            return true;
    return false;
}

/* --- the tests -------------------------------------------------------------------------------------------------------------------- */

static int find_plans(void **state)
{
    (void)state;
    static const char *const folders[] = {"tests/data/library/*.bay", "tests/rules/*.bay", "tests/editions/*.bay", "examples/*/*.bay"};
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        if (glob(folders[i], i ? GLOB_APPEND : 0, NULL, &plans))
            return 1;
    for (unsigned i = 0; i < embedded_stdlib_count; i++)
        if (!strncmp(embedded_stdlib[i].path, "editions/", 9)) {
            char *text = strndup((const char *)embedded_stdlib[i].bytes, embedded_stdlib[i].size);
            list_tables(text);
            free(text);
        }
    for (uint32_t i = 0; i < plans.gl_pathc; i++) {
        struct compilation c;
        free(outcome(plans.gl_pathv[i], NULL, &c));
        if (c.model) {
            note_asked(c.model->code.electrical, i);
            note_asked(c.model->code.residential, i);
        }
        compile_free(&c);
    }
    return table_count > 100 && plans.gl_pathc > 200 ? 0 : 1;
}

static bool is_for_readers(const char *name)
{
    for (size_t i = 0; i < sizeof for_readers / sizeof *for_readers; i++)
        if (!strcmp(for_readers[i], name))
            return true;
    return false;
}

static void every_table_is_asked_for(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (uint32_t i = 0; i < table_count; i++)
        if (!tables[i].count != is_for_readers(tables[i].name)) {
            print_error("%s: %s\n", tables[i].name, tables[i].count ? "a plan asks for it" : "no plan asks for it");
            wrong++;
        }
    assert_int_equal(wrong, 0);
}

/* Told of the table, or none the worse for it: 1 where neither holds. */
static unsigned without(const struct known *t, const char *folder, uint32_t plan, unsigned *told)
{
    struct compilation whole, lacking;
    char *want = outcome(plans.gl_pathv[plan], NULL, &whole), *got = outcome(plans.gl_pathv[plan], folder, &lacking);
    bool is = is_told(&lacking, t->name), same = !strcmp(want, got);
    *told += is;
    if (!is && !same)
        print_error("%s: %s goes on without it and comes to something else\n", t->name, plans.gl_pathv[plan]);
    free(want);
    free(got);
    compile_free(&whole);
    compile_free(&lacking);
    return !is && !same;
}

static void missing_tables_are_told(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    unsigned wrong = 0, told = 0;
    assert_non_null(mkdtemp(folder));
    for (uint32_t i = 0; i < table_count; i++) {
        write_library(folder, tables[i].name);
        for (uint32_t k = 0; k < tables[i].count; k++)
            wrong += without(&tables[i], folder, tables[i].plans[k], &told);
    }
    remove_library(folder);
    assert_int_equal(wrong, 0);
    assert_true(told > table_count);
}

/* The same way of writing it, with nothing taken away: no finding, so that the test above sees the table that is gone. */
static void a_whole_library_lacks_nothing(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    struct compilation c;
    assert_non_null(mkdtemp(folder));
    write_library(folder, "no-such-table");
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.stdlib = folder});
    assert_null(finding_of(&c, R_LIBRARY, 0));
    assert_int_equal(c.diag.counts[ERROR], 0);
    compile_free(&c);
    remove_library(folder);
}

static int forget_plans(void **state)
{
    (void)state;
    globfree(&plans);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_table_is_asked_for),
        cmocka_unit_test(missing_tables_are_told),
        cmocka_unit_test(a_whole_library_lacks_nothing),
    };
    return cmocka_run_group_tests(tests, find_plans, forget_plans);
}

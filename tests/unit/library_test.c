/* What the library lacks is an error that names it, never a default: each of its tables and lists,
 * and each setting of the schema (src/resolve/book.def), is taken away from every edition, one at
 * a time, and plans that ask for it are compiled. Either the plan is told of it by name, or it
 * never needed it: then its findings, reports and drawings are the same to the byte as with the
 * whole library. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/drawings/drawings.h"
#include "emit/reports/reports.h"
#include "resolve/embedded.h"

#include <glob.h>
#include <sys/stat.h>

/* Tables that are kept for those who read the library, and for the pages made from it; no plan asks
 * for them. */
static const char *const for_readers[] = {"ambient", "appliance-receptacle", "bend", "box-setback",
                                          "staples", "low-voltage-apart"};

/* Settings of cases so rare that none of the plans is one. */
static const enum book_item_id rare[] = {
    ITEM_SET_GROUND_SIZE_NEVER_ABOVE_CIRCUIT,
    ITEM_SET_TERMINALS_LARGE_AT,
    ITEM_SET_SMALL_APPLIANCE_CIRCUITS_INDIVIDUAL,
    ITEM_SET_SMALL_APPLIANCE_CIRCUITS_ALONE,
    ITEM_SET_LAUNDRY_CIRCUIT_ALONE,
    ITEM_SET_GARAGE_CIRCUIT_ALONE,
    ITEM_SET_BOX_FILL_BARRIER_METAL,
    ITEM_SET_BURIAL_DEPTH_LOW_VOLTAGE,
    ITEM_SET_GFCI_ACCESSORY_FLOOR_UP_TO,
    ITEM_SET_ISLANDS_LONG,
    ITEM_SET_ISLANDS_SHORT,
    ITEM_SET_ISLANDS_END_WITHIN,
    ITEM_SET_ISLANDS_PROVISION,
    ITEM_SET_FIXED_APPLIANCE_DEMAND_FACTOR,
    ITEM_SET_RANGE_DEMAND_BEYOND_ROWS,
    ITEM_SET_RANGE_DEMAND_BEYOND_ROWS_EACH,
    ITEM_SET_NEUTRAL_DEMAND_REST,
    ITEM_SET_OPTIONAL_METHOD_MANY_HEATERS,
    ITEM_SET_CARBON_MONOXIDE_ALARMS_ATTACHED_GARAGE,
};

enum { TRIED = 3 }; /* plans that a table or a setting is taken away from */

/* --- the tables, and the plans that ask for them ------------------------------------------ */

struct known {
    char name[80];
    uint32_t plans[TRIED], count;
};

static struct known tables[400], settings[BOOK_ITEMS];
static uint32_t table_count;
static glob_t plans;
static char **whole; /* what comes of each plan by the whole library */

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

static void note_plan(struct known *k, uint32_t plan)
{
    bool new = !k->count || k->plans[k->count - 1] != plan;
    if (new && k->count < TRIED)
        k->plans[k->count++] = plan;
}

static void note_asked(const struct edition *e, uint32_t plan)
{
    for (uint32_t i = 0; e && i < e->tables.cap; i++) {
        struct known *t =
            e->tables.slot[i].value ? find_table((const char *)e->tables.slot[i].b) : NULL;
        if (t)
            note_plan(t, plan);
    }
}

/* home-run-14 is asked for by the size that a plan has. */
static bool is_setting(int item)
{
    return book_items[item]->part == PART_SETTING && !book_items[item]->by;
}

static void note_settings(const struct code *c, uint32_t plan)
{
    for (int i = 0; i < BOOK_ITEMS; i++)
        if (is_setting(i) && c->items[i].sought && !c->items[i].missing)
            note_plan(&settings[i], plan);
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

/* --- a library without one of them -------------------------------------------------------- */

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

/* The end of a block whose opening brace is before `at`. */
static char *end_of_block(char *at)
{
    for (int depth = 1; depth; at++)
        depth += (*at == '{') - (*at == '}');
    return at;
}

/* The text with the setting called by another name in each block of the table; a statement begins a
 * line, or stands behind a brace or a semicolon. */
static void rename_setting(struct buf *text, const char *table, const char *setting)
{
    char head[100], word[100];
    snprintf(head, sizeof head, "\n  table %s ", table);
    snprintf(word, sizeof word, " %s ", setting);
    for (char *at = text->at; (at = strstr(at, head));) {
        char *end = end_of_block(strchr(at, '{') + 1);
        for (char *w = strchr(at, '{'); (w = strstr(w, word)) && w < end; w++) {
            const char *before = w;
            while (*before == ' ')
                before--;
            if (strchr("{;\n", *before))
                w[strlen(setting)] = 'z';
        }
        at = end;
    }
}

static void take_away(struct buf *text, const char *table, const char *setting)
{
    if (setting)
        rename_setting(text, table, setting);
    else
        rename_table(text, table);
}

/* The library without a table, or (`setting` not NULL) without a setting of it. */
static void write_library(const char *folder, const char *table, const char *setting)
{
    char path[512];
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        struct buf text = {0};
        buf_printf(&text, "%.*s", (int)embedded_stdlib[i].size,
                   (const char *)embedded_stdlib[i].bytes);
        buf_text(&text);
        take_away(&text, table, setting);
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

/* Whether a finding of the library names what is gone: "... has no table 'bits'", "... has no
 * setting 'box-fill each-further'". */
static bool is_told(const struct compilation *c, const char *name)
{
    char quoted[200];
    snprintf(quoted, sizeof quoted, "'%s'", name);
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (finding_is(&c->diag.findings.at[i], "library-incomplete") &&
            strstr(c->diag.findings.at[i].message, quoted))
            return true;
    return false;
}

/* --- the tests ---------------------------------------------------------------------------- */

static int find_plans(void **state)
{
    (void)state;
    static const char *const folders[] = {"tests/data/library/*.bay", "tests/rules/*.bay",
                                          "tests/editions/*.bay", "examples/*/*.bay"};
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        if (glob(folders[i], i ? GLOB_APPEND : 0, NULL, &plans))
            return 1;
    for (unsigned i = 0; i < embedded_stdlib_count; i++)
        if (!strncmp(embedded_stdlib[i].path, "editions/", 9)) {
            char *text = strndup((const char *)embedded_stdlib[i].bytes, embedded_stdlib[i].size);
            list_tables(text);
            free(text);
        }
    for (int i = 0; i < BOOK_ITEMS; i++)
        snprintf(settings[i].name, sizeof settings[i].name, "%s %s",
                 book_tables[book_items[i]->table].name, book_items[i]->name);
    whole = calloc(plans.gl_pathc, sizeof *whole);
    for (uint32_t i = 0; i < plans.gl_pathc; i++) {
        struct compilation c;
        whole[i] = outcome(plans.gl_pathv[i], NULL, &c);
        if (c.model) {
            note_asked(c.model->code.electrical, i);
            note_asked(c.model->code.residential, i);
            note_settings(&c.model->code, i);
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
            print_error("%s: %s\n", tables[i].name,
                        tables[i].count ? "a plan asks for it" : "no plan asks for it");
            wrong++;
        }
    assert_int_equal(wrong, 0);
}

static bool is_rare(int setting)
{
    for (size_t i = 0; i < sizeof rare / sizeof *rare; i++)
        if ((int)rare[i] == setting)
            return true;
    return false;
}

static void every_setting_is_asked_for(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (int i = 0; i < BOOK_ITEMS; i++)
        if (is_setting(i) && !settings[i].count != is_rare(i)) {
            print_error("%s: %s\n", settings[i].name,
                        settings[i].count ? "a plan asks for it"
                                          : "no plan asks for it and finds it");
            wrong++;
        }
    assert_int_equal(wrong, 0);
}

/* What comes of plans that ask for what is gone. */
struct without {
    unsigned told, same, silent; /* told of it; none the worse for it; neither */
    uint32_t plan;               /* one of the last sort */
};

static struct without try_without(const struct known *k, const char *folder)
{
    struct without w = {0};
    for (uint32_t i = 0; i < k->count; i++) {
        struct compilation lacking;
        char *got = outcome(plans.gl_pathv[k->plans[i]], folder, &lacking);
        bool is = is_told(&lacking, k->name), same = !strcmp(whole[k->plans[i]], got);
        w.told += is;
        w.same += !is && same;
        w.plan = !is && !same ? k->plans[i] : w.plan;
        w.silent += !is && !same;
        free(got);
        compile_free(&lacking);
    }
    return w;
}

static void tell_silent(const struct known *k, const struct without *w)
{
    print_error("%s: %s goes on without it and comes to something else\n", k->name,
                plans.gl_pathv[w->plan]);
}

static void missing_tables_are_told(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    unsigned wrong = 0, told = 0;
    assert_non_null(mkdtemp(folder));
    for (uint32_t i = 0; i < table_count; i++) {
        write_library(folder, tables[i].name, NULL);
        struct without w = try_without(&tables[i], folder);
        if (w.silent)
            tell_silent(&tables[i], &w);
        wrong += w.silent;
        told += w.told;
    }
    remove_library(folder);
    assert_int_equal(wrong, 0);
    assert_true(told > table_count);
}

static void missing_settings_are_told(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    unsigned wrong = 0, told = 0;
    assert_non_null(mkdtemp(folder));
    for (int i = 0; i < BOOK_ITEMS; i++) {
        if (!is_setting(i))
            continue;
        write_library(folder, book_tables[book_items[i]->table].name, book_items[i]->name);
        struct without w = try_without(&settings[i], folder);
        bool may = book_items[i]->may_lack, asked = settings[i].count > 0,
             good = may ? !w.told : w.told && !w.silent;
        if (asked && !good)
            print_error(
                "%s: without it %u plans are told, %u are the same, %u come to something else\n",
                settings[i].name, w.told, w.same, w.silent);
        wrong += asked && !good;
        told += w.told;
    }
    remove_library(folder);
    assert_int_equal(wrong, 0);
    assert_true(told > 400);
}

static bool has_column(const struct table *t, const struct book_item *item)
{
    size_t size = strlen(item->name);
    for (uint16_t i = 0; i < t->column_count; i++)
        if (item->by ? !strncmp(t->columns[i], item->name, size)
                     : !strcmp(t->columns[i], item->name))
            return true;
    return false;
}

static bool has_setting(const struct table *t, const struct book_item *item)
{
    size_t size = strlen(item->name);
    for (uint32_t i = 0; i < t->settings.cap; i++) {
        const char *name = t->settings.slot[i].value ? (const char *)t->settings.slot[i].b : "";
        if (item->by ? !strncmp(name, item->name, size) : !strcmp(name, item->name))
            return true;
    }
    return false;
}

/* Each line of the schema is in some edition. */
static void the_schema_is_in_the_library(void **state)
{
    (void)state;
    struct compilation c;
    compile(&c, "examples/studio/studio.bay", (struct compile_options){0});
    bool table[BOOK_TABLES] = {true}, item[BOOK_ITEMS] = {false};
    for (uint32_t i = 0; i < c.lib.edition_list.n; i++) {
        const struct table *of[BOOK_TABLES] = {NULL};
        for (int k = NO_TABLE + 1; k < BOOK_TABLES; k++) {
            of[k] = edition_table(&c.lib, c.lib.edition_list.at[i],
                                  names_of(&c.names, book_tables[k].name));
            table[k] |= of[k] != NULL;
        }
        for (int k = 0; k < BOOK_ITEMS; k++) {
            const struct table *t = of[book_items[k]->table];
            bool setting = book_items[k]->part == PART_SETTING;
            item[k] |= t && (setting ? has_setting : has_column)(t, book_items[k]);
            item[k] |= t && book_tables[book_items[k]->table].is_list;
        }
    }
    for (int k = 0; k < BOOK_TABLES; k++)
        if (!table[k])
            fail_msg("%s: no edition has it", book_tables[k].name);
    for (int k = 0; k < BOOK_ITEMS; k++)
        if (!item[k])
            fail_msg("%s: no edition has it", settings[k].name);
    compile_free(&c);
}

/* The same way of writing it, with nothing taken away: no finding, so that the test above sees the
 * table that is gone. */
static void a_whole_library_lacks_nothing(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    struct compilation c;
    assert_non_null(mkdtemp(folder));
    write_library(folder, "no-such-table", NULL);
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.stdlib = folder});
    assert_null(finding_of(&c, "library-incomplete", 0));
    assert_int_equal(c.diag.counts[ERROR], 0);
    compile_free(&c);
    remove_library(folder);
}

static int forget_plans(void **state)
{
    (void)state;
    for (uint32_t i = 0; i < plans.gl_pathc; i++)
        free(whole[i]);
    free(whole);
    globfree(&plans);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_table_is_asked_for),
        cmocka_unit_test(every_setting_is_asked_for),
        cmocka_unit_test(missing_tables_are_told),
        cmocka_unit_test(missing_settings_are_told),
        cmocka_unit_test(the_schema_is_in_the_library),
        cmocka_unit_test(a_whole_library_lacks_nothing),
    };
    return cmocka_run_group_tests(tests, find_plans, forget_plans);
}

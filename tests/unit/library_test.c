/* What the library lacks is an error that names it, never a default: each of its tables and lists,
 * and each setting of the schema (src/resolve/book.def), is taken away from every edition, one at
 * a time, and plans that ask for it are compiled. Either the plan is told of it by name, or it
 * never needed it: then its findings, reports and drawings are the same to the byte as with the
 * whole library. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "sheets/sheets.h"
#include "emit/dot/dot.h"
#include "emit/reports/reports.h"
#include "propose/propose.h"
#include "resolve/embedded.h"
#include "sheets/plans/plan.h"

#include <glob.h>
#include <sys/stat.h>

/* Settings of cases so rare that none of the plans is one. */
static const enum book_item_id rare[] = {
    ITEM_SET_SMALL_APPLIANCE_CIRCUITS_INDIVIDUAL,
    ITEM_SET_SMALL_APPLIANCE_CIRCUITS_ALONE,
    ITEM_SET_LAUNDRY_CIRCUIT_ALONE,
    ITEM_SET_GARAGE_CIRCUIT_ALONE,
    ITEM_SET_BURIAL_DEPTH_LOW_VOLTAGE,
    ITEM_SET_ISLANDS_LONG,
    ITEM_SET_ISLANDS_SHORT,
    ITEM_SET_ISLANDS_END_WITHIN,
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

static VEC(char *) readers[BOOK_TABLES];

static bool has_reader(int table, const char *name)
{
    for (uint32_t i = 0; i < readers[table].n; i++)
        if (!strcmp(readers[table].at[i], name))
            return true;
    return false;
}

static void note_readers(const struct code *c)
{
    static struct arena arena;
    for (uint32_t i = 0; i < c->readers.cap; i++) {
        const char *name = c->readers.slot[i].value;
        int table = (int)c->readers.slot[i].a;
        if (name && !has_reader(table, name))
            *vec_push(&arena, &readers[table]) = strdup(name);
    }
}

static void note_settings(const struct code *c, uint32_t plan)
{
    for (int i = 0; i < BOOK_ITEMS; i++)
        if (is_setting(i) && c->items[i].sought && !c->items[i].missing)
            note_plan(&settings[i], plan);
}

static bool is_floor_plan(const struct sheet_kind *kind)
{
    return !strncmp(kind->name, "plan-", 5);
}

/* What floor plans read is noted; a place for every word takes too long to be found for each table
 * that is taken away. */
static void draw_plans(const struct results *r)
{
    for (uint32_t i = 0; i < sheet_kind_count; i++) {
        const struct sheet_kind *kind = &sheet_kinds[i];
        if (is_floor_plan(kind))
            sheets_make(r, PAPER_BY_USE, false, &kind, 1);
    }
}

/* What stands on the floor plans for each device. */
static void write_signs(const struct results *r, struct buf *out)
{
    for (uint32_t i = 0; i < r->model->devices.n; i++) {
        struct plan_sign sign = plan_sign_of(r, r->model->devices.at[i]);
        buf_printf(out, "%d %s %s\n", (int)sign.shape, sign.letters, sign.words);
    }
}

/* What lies where on the sheets, each kind by itself. */
static void draw_sheets(struct results *r, struct buf *out)
{
    for (uint32_t i = 0; i < sheet_kind_count; i++) {
        const struct sheet_kind *kind = &sheet_kinds[i];
        if (is_floor_plan(kind))
            continue; /* draw_plans and write_signs */
        struct paper *p = sheets_make(r, PAPER_BY_USE, false, &kind, 1);
        for (uint32_t s = 0; s < p->sheets.n; s++)
            for (uint32_t k = 0; k < p->sheets.at[s]->marks.n; k++) {
                const struct mark *m = &p->sheets.at[s]->marks.at[k];
                struct area a = paper_mark_area(m);
                buf_printf(out, "%lld %lld %s\n", (long long)(a.left + a.right),
                           (long long)(a.top + a.bottom), m->text ? m->text : "");
            }
    }
}

/* All proposals for a plan that leaves much open. */
static void make_proposals(struct compilation *c, struct buf *out)
{
    struct propose_asked asked = {.library = NULL};
    struct arena arena = {0};
    for (uint32_t i = 0; i < propose_count; i++) {
        struct proposal p = {.arena = &arena};
        propose_table[i].run(c, &asked, &p);
        for (uint32_t k = 0; k < p.edits.n; k++)
            buf_puts(out, p.edits.at[k].text);
    }
    arena_free(&arena);
}

/* All findings, and what is printed of the work; `library`: another than the whole one. */
static char *outcome(const char *plan, const struct compilation *library, struct compilation *c)
{
    struct buf out = {0};
    compile(c, plan, (struct compile_options){.library = library});
    diag_text(&c->diag, &out, (struct diag_style){0});
    struct results r;
    if (c->model && strstr(plan, "/proposals.bay"))
        make_proposals(c, &out);
    if (c->model && cmd_results(c, &r)) {
        for (uint32_t i = 0; i < report_count; i++)
            report_write(&report_table[i], &r, REPORT_JSON, &out);
        r.day = 1;
        report_write(report_named("todo"), &r, REPORT_JSON, &out);
        r.day = 0;
        r.method = METHOD_OPTIONAL;
        r.method_told = true;
        report_write(report_named("load"), &r, REPORT_JSON, &out);
        for (uint32_t i = 0; i < dot_count; i++) {
            c->model->code.reader = dot_table[i].name;
            dot_table[i].write(&r, &out);
        }
        draw_sheets(&r, &out);
        r.model->code.reader = "plan-power";
        write_signs(&r, &out);
        if (!library)
            draw_plans(&r);
    }
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

/* --- a library without one of them -------------------------------------------------------- */

/* The end of a block whose opening brace is before `at`. */
static char *end_of_block(char *at)
{
    for (int depth = 1; depth; at++)
        depth += (*at == '{') - (*at == '}');
    return at;
}

/* The text with each 'table NAME' or 'list NAME' blotted out. */
static void blot_table(struct buf *text, const char *name)
{
    static const char *const words[] = {"table", "list"};
    for (int w = 0; w < 2; w++) {
        char head[100];
        snprintf(head, sizeof head, "\n  %s %s ", words[w], name);
        for (char *at = text->at; (at = strstr(at, head));) {
            char *end = end_of_block(strchr(at, '{') + 1);
            memset(at + 1, ' ', (size_t)(end - at) - 1);
            at = end;
        }
    }
}

/* The text with the setting blotted out in each block of the table; a statement begins a line, or
 * stands behind a brace or a semicolon. */
static void blot_setting(struct buf *text, const char *table, const char *setting)
{
    char head[100], word[100];
    snprintf(head, sizeof head, "\n  table %s ", table);
    snprintf(word, sizeof word, " %s ", setting);
    for (char *at = text->at; (at = strstr(at, head));) {
        char *end = end_of_block(strchr(at, '{') + 1);
        for (char *w = strchr(at, '{'); (w = strstr(w, word)) && w < end; w++) {
            char *before = w;
            while (*before == ' ')
                before--;
            if (strchr("{;\n", *before))
                memset(w, ' ', strcspn(w, ";}\n") + (w[strcspn(w, ";}\n")] == ';'));
        }
        at = end;
    }
}

static void take_away(struct buf *text, const char *table, const char *setting)
{
    if (setting)
        blot_setting(text, table, setting);
    else
        blot_table(text, table);
}

static void write_file(const char *folder, unsigned file, const struct buf *text)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, embedded_stdlib[file].path);
    char *slash = strchr(path + strlen(folder) + 1, '/');
    if (slash) {
        *slash = 0;
        mkdir(path, 0700);
        *slash = '/';
    }
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    assert_int_equal(fwrite(text->at, 1, text->n, f), text->n);
    assert_int_equal(fclose(f), 0);
}

/* The library without a table, or (`setting` not NULL) without a setting of it. */
static void write_library(const char *folder, const char *table, const char *setting)
{
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        struct buf text = {0};
        buf_printf(&text, "%.*s", (int)embedded_stdlib[i].size,
                   (const char *)embedded_stdlib[i].bytes);
        buf_text(&text);
        take_away(&text, table, setting);
        write_file(folder, i, &text);
        buf_free(&text);
    }
}

/* The library with one text in place of another, where it stands first. */
static void write_changed(const char *folder, const char *from, const char *to)
{
    bool found = false;
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        char *whole_text = strndup((const char *)embedded_stdlib[i].bytes, embedded_stdlib[i].size);
        const char *at = found ? NULL : strstr(whole_text, from);
        size_t before = at ? (size_t)(at - whole_text) : strlen(whole_text);
        struct buf text = {0};
        buf_printf(&text, "%.*s", (int)before, whole_text);
        if (at)
            buf_printf(&text, "%s%s", to, at + strlen(from));
        found = found || at;
        write_file(folder, i, &text);
        buf_free(&text);
        free(whole_text);
    }
    assert_true(found);
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
        whole[i] =
            outcome(plans.gl_pathv[i], NULL, &c); /* its editions keep what they are asked for */
        if (c.model) {
            note_readers(&c.model->code);
            note_asked(c.model->code.electrical, i);
            note_asked(c.model->code.residential, i);
            note_settings(&c.model->code, i);
        }
        compile_free(&c);
    }
    return table_count > 100 && plans.gl_pathc > 200 ? 0 : 1;
}

static void every_table_is_asked_for(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (uint32_t i = 0; i < table_count; i++)
        if (!tables[i].count) {
            print_error("%s: no plan asks for it\n", tables[i].name);
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
    struct compilation library = {0};
    if (k->count)
        assert_true(compile_library(&library, folder));
    for (uint32_t i = 0; i < k->count; i++) {
        struct compilation lacking;
        char *got = outcome(plans.gl_pathv[k->plans[i]], &library, &lacking);
        bool is = is_told(&lacking, k->name), same = !strcmp(whole[k->plans[i]], got);
        w.told += is;
        w.same += !is && same;
        w.plan = !is && !same ? k->plans[i] : w.plan;
        w.silent += !is && !same;
        free(got);
        compile_free(&lacking);
    }
    compile_free(&library);
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
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
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

/* Slips in a library: each is told at its place. */
static const struct slip {
    const char *from, *to, *told;
} slips[] = {
    {"table box-fill", "table box-fil", "knows no table 'box-fil'"},
    {"list dimmers", "table dimmers", "knows no table 'dimmers'"},
    {"    device-allowances 2", "    device-allowance 2", "knows no setting 'device-allowance'"},
    {"columns size, volume", "columns size, volum", "knows no column 'volum'"},
    {"at-60, at-75", "at-sixty, at-75", "knows no column 'at-sixty'"},
    {"    branch 3 %", "    branch 3", "this is a plain number; the table has a share here"},
    {"14, 15 A, 20 A, 25 A", "14, 15 V, 20 A, 25 A", "this is a voltage; the table has a current"},
    {"14, 15 A, 20 A, 25 A", "fourteen, 15 A, 20 A, 25 A", "a size of conductors"},
    {"12, 20 A, 25 A, 30 A", "14, 20 A, 25 A, 30 A", "this line stands twice in the table"},
    {"several-receptacles no", "several-receptacles never", "yes or no"},
    {"covers all", "covers some", "one of: all required"},
    {"dimmers source \"404.14(E)\" recalled { dimmer;",
     "dimmers source \"404.14(E)\" recalled { dimer;", "'dimer' cannot stand here: a device"},
    {"list wet-locations source \"Article 100\" recalled {",
     "list wet-locations source \"Article 100\" recalled { outdors;",
     "'outdors' cannot stand here: a kind of room"},
    {"afci-armoured source \"210.12(A)(5)\" { mc }",
     "afci-armoured source \"210.12(A)(5)\" { mcx }", "a family of cables"},
    {"    breaker-nonstandard, ", "    breaker-nonstandrd, ",
     "'breaker-nonstandrd' cannot stand here"},
    {"nm, \"334.12\"", "nm, \"there\"", "an article in quotes"},
    {"share 83 %", "share none", "this is no measure; the table has a share here"},
};

static void slips_in_a_library_are_told(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    unsigned wrong = 0;
    assert_non_null(mkdtemp(folder));
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        struct compilation c;
        bool told = false;
        write_changed(folder, slips[i].from, slips[i].to);
        compile(&c, "examples/small/old-box.bay", (struct compile_options){.stdlib = folder});
        for (uint32_t k = 0; k < c.diag.findings.n; k++)
            told |= strstr(c.diag.findings.at[k].message, slips[i].told) &&
                    strstr(c.diag.findings.at[k].span.source->path, "/editions/");
        if (!told)
            print_error("'%s' in place of '%s': nothing says '%s'\n", slips[i].to, slips[i].from,
                        slips[i].told);
        wrong += !told;
        compile_free(&c);
    }
    remove_library(folder);
    assert_int_equal(wrong, 0);
}

static bool is_stage(const char *name)
{
    static const char *const stages[] = {"model", "facts",      "framing", "wiring",
                                         "loads", "protection", "propose"};
    for (size_t i = 0; i < sizeof stages / sizeof *stages; i++)
        if (!strcmp(stages[i], name))
            return true;
    return false;
}

static bool is_shown(const char *name)
{
    return dot_named(name) || rule_named(name) || report_named(name) || sheets_named(name);
}

/* Whether the schema names it among those who look into the table: before any ">". */
static bool is_named(int table, const char *name)
{
    const char *all = book_tables[table].readers;
    char head[4000];
    snprintf(head, sizeof head, " %.*s", (int)strcspn(all, ">"), all);
    size_t size = strlen(head);
    snprintf(head + size, sizeof head - size, " ");
    char word[100];
    snprintf(word, sizeof word, " %s ", name);
    return strstr(head, word) || (strstr(head, " * ") && rule_named(name));
}

/* Each reader that the schema names: it looks into the table in some plan, or rests on what a stage
 * has made of it. */
static unsigned wrong_readers(int table)
{
    char all[4000];
    bool behind = false, stage = false;
    unsigned wrong = 0, count = 0;
    snprintf(all, sizeof all, "%s", book_tables[table].readers);
    for (char *name = strtok(all, " "); name; name = strtok(NULL, " "), count++) {
        if (!strcmp(name, ">") || !strcmp(name, "*")) {
            behind |= *name == '>';
            continue;
        }
        stage |= is_stage(name);
        bool good = behind ? stage && is_shown(name) && !has_reader(table, name)
                           : (is_stage(name) || is_shown(name)) && has_reader(table, name);
        if (!good)
            print_error("%s: the schema names the reader %s, and it is none\n",
                        book_tables[table].name, name);
        wrong += !good;
    }
    if (!count)
        print_error("%s: the schema names nobody who reads it\n", book_tables[table].name);
    return wrong + !count;
}

/* The schema names who reads a table: each of these does in some plan, and nobody else. */
static void readers_are_those_of_the_schema(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (int i = NO_TABLE + 1; i < BOOK_TABLES; i++) {
        wrong += wrong_readers(i);
        for (uint32_t k = 0; k < readers[i].n; k++)
            if (!is_named(i, readers[i].at[k])) {
                print_error("%s: %s reads it, and the schema does not say so\n",
                            book_tables[i].name, readers[i].at[k]);
                wrong++;
            }
    }
    assert_int_equal(wrong, 0);
}

/* What an edition does not know is of a table that there is. */
static void what_is_unknown_is_a_table(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"T\" { edition nec-2026 }\n");
    const struct table *unknown = edition_table(
        &c.lib, c.model->code.electrical, names_of(&c.names, book_tables[TABLE_UNKNOWN].name));
    assert_true(unknown && unknown->rows.n > 0);
    for (uint32_t i = 0; i < unknown->rows.n; i++) {
        const char *name = unknown->rows.at[i].key;
        if (!edition_table(&c.lib, c.model->code.electrical, name))
            fail_msg("unknown: there is no table %s", name);
    }
    compile_free(&c);
}

/* --- what is recalled, and what is not known, row by row ---------------------------------- */

static bool is_among(const char *const *list, uint32_t count, const char *name)
{
    bool found = false;
    for (uint32_t i = 0; i < count; i++)
        found |= !strncmp(list[i], name, strlen(name)) && strchr(" ", list[i][strlen(name)]);
    return found;
}

/* What is said of a table of which some rows are marked. Of 14/2 behind 20 A the rows to 12 are
 * read, where 12/2 is found to serve; of 12/2 behind 35 A those to 8: all in the column of copper.
 */
static void marks_go_by_what_was_read(void **state)
{
    (void)state;
    static const char plan[] =
        "edition town : nec-2023 \"Town\" {\n  %s\n}\n"
        "edition here : town \"Here\" {\n  %s\n}\n"
        "plan \"T\" { edition here }\n%s\n"
        "room shed \"Shed\" {\n  kind storage\n  corner 0', 0'\n  size 20' by 12'\n"
        "  box R1 north at 10' up 24\" { receptacle }\n}\n"
        "panel P { in shed north at 4' up 5'; main 60 A; spaces 8 }\n"
        "circuit P.5 \"Shed\" {\n  breaker %d A\n  cable %s\n  run P -> shed.R1\n}\n";
#define SMALL "table small-conductors source \"240.4(D)\" "
    static const struct {
        const char *town, *here, *amend;
        bool of_14, of_12; /* what is asked of the two cables: recalled */
        bool unsure_14, unsure_12;
    } cases[] = {
        {"", "", "", false, false, false, false},
        {SMALL "recalled { 10, 31 A, 25 A, 25 A }", "", "", false, true, false, false},
        {SMALL "recalled { 10, 30 A, 25 A, 25 A }", "", "", false, true, false, false},
        {SMALL "recalled { 10, 30 A, 25 A, 24 A }", "", "", false, false, false, false},
        {SMALL "recalled { }", "", "", true, true, false, false},
        {"table small-conductors source \"240.5\" recalled { 10, 30 A, 25 A, 24 A }", "", "", true,
         true, false, false},
        {SMALL "recalled { }", SMALL "{ 12, 20 A, 15 A, 15 A }", "", true, true, false, false},
        {SMALL "recalled { }", SMALL "{ }", "", false, false, false, false},
        {SMALL "recalled { 10, 31 A, 25 A, 25 A }", SMALL "{ 10, 30 A, 25 A, 25 A }", "", false,
         false, false, false},
        {SMALL "recalled { 10, 31 A, 25 A, 25 A }", SMALL "recalled { 10, 31 A, 25 A, 24 A }", "",
         false, true, false, false},
        {SMALL "recalled { 10, 31 A, 25 A, 25 A }", "",
         "amend here because \"read in the book\" { table small-conductors { 10, 30 A, 25 A, 25 A "
         "} }",
         false, false, false, false},
        {"table unknown source \"no page\" { small-conductors, \"some\" }", "", "", false, false,
         true, true},
        {"table unknown source \"no page\" { small-conductors, \"some\", 10 }", "", "", false,
         false, false, true},
        {"table unknown source \"no page\" { small-conductors, \"some\", copper-clad }", "", "",
         false, false, false, false},
        {"table unknown source \"no page\" { small-conductors, \"some\", copper }", "", "", false,
         false, true, true},
    };
#undef SMALL
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        for (int of_12 = 0; of_12 < 2; of_12++) {
            char text[2048];
            struct compilation c;
            snprintf(text, sizeof text, plan, cases[i].town, cases[i].here, cases[i].amend,
                     of_12 ? 35 : 20, of_12 ? "12/2" : "14/2");
            compile_text(&c, text);
            const struct finding *f = finding_of(&c, "conductor-undersized", 0);
            if (!f)
                show_compiled(&c);
            assert_non_null(f);
            bool recalled = is_among(f->recalled, f->recalled_count, "small-conductors"),
                 unsure = is_among(f->unknown, f->unknown_count, "small-conductors");
            if (recalled != (of_12 ? cases[i].of_12 : cases[i].of_14) ||
                unsure != (of_12 ? cases[i].unsure_12 : cases[i].unsure_14))
                fail_msg("case %zu, %s AWG: recalled %d, not known %d", i, of_12 ? "12" : "14",
                         recalled, unsure);
            compile_free(&c);
        }
}

/* An article that is recalled marks the findings that name it, not those beside them. */
static void articles_go_by_finding(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c,
                 "edition town : nec-2023 \"Town\" {\n"
                 "  table articles source \"as in the rows\" { }\n}\n"
                 "edition here : town \"Here\" {\n"
                 "  table articles source \"as in the rows\" recalled { mixed-sizes, \"1.2\" }\n}\n"
                 "plan \"T\" { edition here }\n"
                 "room shed \"Shed\" {\n  kind kitchen\n  corner 0', 0'\n  size 20' by 12'\n"
                 "  box R1 north at 10' up 24\" { receptacle }\n"
                 "  box R2 north at 14' up 24\" { receptacle }\n}\n"
                 "panel P { in shed north at 4' up 5'; main 60 A; spaces 8 }\n"
                 "circuit P.5 \"Shed\" {\n  breaker 15 A\n  run P -> shed.R1 cable 12/2\n"
                 "  run shed.R1 -> shed.R2 cable 14/2\n}\n");
    const struct finding *f = finding_of(&c, "mixed-sizes", 0);
    if (!f)
        show_compiled(&c);
    assert_non_null(f);
    assert_true(is_among(f->recalled, f->recalled_count, "articles"));
    bool others = false;
    for (uint32_t i = 0; i < c.diag.findings.n; i++) {
        const struct finding *other = &c.diag.findings.at[i];
        if (other->rule == f->rule || !other->article)
            continue;
        others = true;
        assert_false(is_among(other->recalled, other->recalled_count, "articles"));
    }
    assert_true(others);
    compile_free(&c);
}

/* A plan that names no edition is looked at by the one that it is told to name, not by the newest.
 */
static void the_usual_edition_serves(void **state)
{
    (void)state;
    struct compilation c;
    compile(&c, "tests/data/library/no-edition.bay",
            (struct compile_options){.library = plan_library()});
    assert_string_equal(c.model->code.electrical->name, "nec-2023");
    const struct finding *f = finding_of(&c, "missing-clause", 0);
    assert_non_null(f);
    assert_non_null(strstr(f->mend, "edition nec-2023"));
    compile_free(&c);
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
        cmocka_unit_test(slips_in_a_library_are_told),
        cmocka_unit_test(readers_are_those_of_the_schema),
        cmocka_unit_test(what_is_unknown_is_a_table),
        cmocka_unit_test(marks_go_by_what_was_read),
        cmocka_unit_test(articles_go_by_finding),
        cmocka_unit_test(the_usual_edition_serves),
    };
    return cmocka_run_group_tests(tests, find_plans, forget_plans);
}

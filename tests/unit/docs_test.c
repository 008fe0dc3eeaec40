/* The documentation says what studbay does: its commands are run again, its plans are compiled, its
 * tables are made from the tables of the sources. Run from the top of the tree; see doc_page.h for
 * BLESS. */
#include "base/file.h"
#include "compiled.h"
#include "doc_page.h"

#include "cmd/cmd.h"
#include "sheets/sheets.h"
#include "emit/reports/reports.h"
#include "lsp/methods.h"
#include "sheets/sheets.h"

#include <ctype.h>
#include <glob.h>

/* --- statements of the language ----------------------------------------------------------- */

static const struct language_form {
    const char *id, *owners, *place, *word, *pattern, *flags, *doc;
} forms[] = {
#define FORM(id, owners, place, word, pattern, flags, doc)                                         \
    {#id, owners, #place, word, pattern, flags, doc},
#include "statements.def"
#undef FORM
};
enum { FORMS = sizeof forms / sizeof *forms };

static bool is_owner(const struct language_form *f, const char *owner)
{
    size_t n = strlen(owner);
    for (const char *at = f->owners; (at = strstr(at, owner)); at += n)
        if ((at == f->owners || at[-1] == ' ') && (at[n] == ' ' || !at[n]))
            return true;
    return false;
}

/* A cell of a table: a bar would end it. */
static void put_cell(struct buf *out, const char *text)
{
    for (; *text; text++) {
        if (*text == '|')
            buf_putc(out, '\\');
        buf_putc(out, *text);
    }
}

static const char *word_of(const struct language_form *f)
{
    if (!strcmp(f->word, "*"))
        return !strcmp(f->id, "DEVICE") ? "TYPE" : !strcmp(f->id, "PART") ? "PART" : "NAME";
    return !strcmp(f->word, "(") ? "(WORDS)" : f->word;
}

static void put_form(struct buf *out, const struct language_form *f)
{
    buf_printf(out, "| `%s%s", word_of(f), *word_of(f) && *f->pattern ? " " : "");
    put_cell(out, f->pattern);
    buf_puts(out, strchr(f->flags, 'T') ? " [<text>]" : "");
    buf_puts(out, strchr(f->flags, 'M') ? " { }" : strchr(f->flags, 'K') ? " [{ }]" : "");
    buf_printf(out, "` | %s | ", strchr(f->flags, 'R') ? "often" : "once");
    put_cell(out, f->doc);
    buf_puts(out, " |\n");
}

/* The forms whose owner is `id`, in its block or on its line. */
static void put_owner(struct buf *out, const char *id, const char *title)
{
    bool begun = false;
    for (size_t i = 0; i < FORMS; i++) {
        if (!is_owner(&forms[i], id))
            continue;
        if (!begun)
            buf_printf(out, "%s## %s\n\n| form | stands | what it says |\n| --- | --- | --- |\n",
                       strcmp(id, "FILE") ? "\n" : "", title);
        begun = true;
        put_form(out, &forms[i]);
    }
}

static void make_statements(struct buf *out)
{
    put_owner(out, "FILE", "At the top of a file");
    for (size_t i = 0; i < FORMS; i++) {
        char title[128];
        bool other = !strcmp(forms[i].word, "*");
        if (!strcmp(forms[i].id, "WAIVE_HERE"))
            continue; /* as WAIVE */
        snprintf(title, sizeof title, "%s %s `%s`",
                 strpbrk(forms[i].flags, "KM") ? "In or on" : "On",
                 strchr("aeio", *forms[i].word) ? "an" : "a", word_of(&forms[i]));
        if (!strcmp(forms[i].id, "DEVICE"))
            snprintf(title, sizeof title, "On a device in a box");
        else if (!strcmp(forms[i].id, "PART"))
            snprintf(title, sizeof title, "On a part of a device");
        else if (other)
            snprintf(title, sizeof title, "In an outline");
        else if (strstr(forms[i].id, "_DEF"))
            snprintf(title, sizeof title, "In a definition: `%s`", word_of(&forms[i]));
        put_owner(out, forms[i].id, title);
    }
}

/* --- commands, reports, drawings ---------------------------------------------------------- */

static void make_commands(struct buf *out)
{
    buf_puts(out, "| command | does |\n| --- | --- |\n");
    for (uint32_t i = 0; i < command_count; i++) {
        buf_printf(out, "| `studbay %s%s", command_table[i].name,
                   *command_table[i].usage ? " " : "");
        put_cell(out, command_table[i].usage);
        buf_printf(out, "` | %s |\n", command_table[i].doc);
    }
}

static void make_options(struct buf *out)
{
    static const struct {
        const char *name, *value, *doc;
    } options[] = {
#define OPTION(name, letter, value, field, doc) {name, value, doc},
#include "cmd/options.def"
#undef OPTION
    };
    buf_puts(out, "| option | of | does |\n| --- | --- | --- |\n");
    for (size_t i = 0; i < sizeof options / sizeof *options; i++) {
        buf_printf(out, "| `--%s%s%s` |", options[i].name,
                   options[i].value && *options[i].value != '[' ? " " : "",
                   options[i].value ? options[i].value : "");
        for (uint32_t k = 0; k < command_count; k++) {
            struct language_form f = {.owners = command_table[k].options};
            if (is_owner(&f, options[i].name))
                buf_printf(out, " `%s`", command_table[k].name);
        }
        buf_printf(out, " | %s |\n", options[i].doc);
    }
}

static void put_columns(struct buf *out, const char *what, const struct grid *g)
{
    for (uint32_t i = 0; i < g->column_count; i++)
        buf_printf(out, "%s`%s`", i ? ", " : what, g->columns[i].name);
    if (g->column_count)
        buf_puts(out, "\n");
}

static void each_report(struct buf *out, void (*put)(struct buf *out, const struct report *r))
{
    struct compilation c;
    compile(&c, "examples/small/two-places.bay",
            (struct compile_options){.library = plan_library()});
    struct results results;
    assert_true(cmd_results(&c, &results));
    for (uint32_t i = 0; i < report_count; i++) {
        struct report r = {.def = &report_table[i]};
        report_table[i].fill(&results, &r);
        put(out, &r);
    }
    compile_free(&c);
}

static void put_report(struct buf *out, const struct report *r)
{
    buf_printf(out, "%s### %s\n\n%c%s.\n\n", r->def == report_table ? "" : "\n", r->def->name,
               toupper((unsigned char)*r->def->doc), r->def->doc + 1);
    put_columns(out, "- rows: ", &r->rows);
    put_columns(out, "- totals: ", &r->totals);
}

static void make_drawings(struct buf *out)
{
    buf_puts(out, "| drawing | its sheets | shows |\n| --- | --- | --- |\n");
    for (uint32_t i = 0; i < sheet_drawing_count; i++) {
        const struct sheet_kind **kinds = calloc(sheet_kind_count, sizeof *kinds);
        uint32_t count = sheets_by_name(sheet_drawings[i].name, kinds);
        buf_printf(out, "| `%s` | ", sheet_drawings[i].name);
        for (uint32_t k = 0; k < count; k++)
            buf_printf(out, "%s`%s`", k ? ", " : "", kinds[k]->name);
        buf_printf(out, " | %s |\n", sheet_drawings[i].doc);
        free(kinds);
    }
}

/* With the number of the first sheet of each kind. */
static void make_sheets(struct buf *out)
{
    buf_puts(out, "| sheets | numbered | drawn on | in the set for | show |\n"
                  "| --- | --- | --- | --- | --- |\n");
    for (uint32_t i = 0; i < sheet_kind_count; i++) {
        const struct sheet_kind *k = &sheet_kinds[i];
        const char *counted = strstr(k->number, "%02u") ? "%02u" : strstr(k->number, "%u");
        size_t letters = counted ? (size_t)(strchr(k->number, '%') - k->number) : 0;
        buf_printf(out, "| `%s` | ", k->name);
        if (counted)
            buf_printf(out, "%.*s%s1", (int)letters, k->number, counted[1] == '0' ? "0" : "");
        else
            buf_puts(out, k->number);
        buf_printf(out, " | %s | %s%s%s | %s |\n", k->use == FOR_TABLE ? "tabloid" : "letter",
                   k->in & IN_PERMIT ? "the permit" : "",
                   (k->in & IN_PERMIT) && (k->in & IN_JOB) ? ", " : "",
                   k->in & IN_JOB ? "the job" : "", k->doc);
    }
}

/* --- editions ----------------------------------------------------------------------------- */

static const char *const books[] = {"trade",    "nec-2017", "nec-2020", "nec-2023",
                                    "nec-2026", "irc-2018", "irc-2021", "irc-2024"};
enum { BOOKS = sizeof books / sizeof *books };

static char *book_text(const char *book)
{
    char path[128];
    struct buf b = {0};
    snprintf(path, sizeof path, "stdlib/editions/%s.bay", book);
    assert_true(file_read(&b, path, LARGEST_PAGE));
    char *text = strdup(buf_text(&b));
    buf_free(&b);
    return text;
}

/* Reads "  table NAME source "WHERE" [recalled] {"; false where the line is none. */
static bool read_table_line(const char *line, char *name, char *source, bool *recalled)
{
    if (sscanf(line, "  table %63s source \"%127[^\"]\"", name, source) != 2 &&
        sscanf(line, "  list %63s source \"%127[^\"]\"", name, source) != 2)
        return false;
    const char *behind = strchr(strchr(line, '"') + 1, '"') + 1;
    *recalled = !strncmp(behind, " recalled", 9);
    return true;
}

/* The source that a book gives for a table or list; empty where the book does not name it. */
static void put_source(struct buf *out, const char *text, const char *wanted)
{
    char name[64], source[128];
    bool recalled;
    for (const char *next; *text; text = next) {
        char *line = doc_line(text, &next);
        if (read_table_line(line, name, source, &recalled) && !strcmp(name, wanted))
            buf_printf(out, "%s%s", source, recalled ? " *" : "");
        free(line);
    }
}

/* The tables of books[first] to books[last], each with its source in every one; those of an older
 * one come first. */
static void make_tables(struct buf *out, unsigned first, unsigned last)
{
    char *texts[BOOKS], name[64], source[128];
    bool recalled;
    struct buf seen = {0};
    buf_puts(out, "| table or list |");
    for (unsigned i = first; i <= last; i++) {
        texts[i] = book_text(books[i]);
        buf_printf(out, " %s |", books[i]);
    }
    buf_puts(out, "\n| --- |");
    for (unsigned i = first; i <= last; i++)
        buf_puts(out, " --- |");
    buf_puts(out, "\n");
    for (unsigned i = first; i <= last; i++)
        for (const char *at = texts[i], *next; *at; at = next) {
            char *line = doc_line(at, &next), mark[80];
            if (read_table_line(line, name, source, &recalled)) {
                snprintf(mark, sizeof mark, " %s ", name);
                if (!strstr(buf_text(&seen), mark)) {
                    buf_puts(&seen, mark);
                    buf_printf(out, "| `%s` |", name);
                    for (unsigned k = first; k <= last; k++) {
                        buf_puts(out, " ");
                        put_source(out, texts[k], name);
                        buf_puts(out, " |");
                    }
                    buf_puts(out, "\n");
                }
            }
            free(line);
        }
    for (unsigned i = first; i <= last; i++)
        free(texts[i]);
    buf_free(&seen);
}

/* Every table that the page names first in a row is one of the library. */
static void named_tables_are_there(void **state)
{
    (void)state;
    struct buf page = {0}, all = {0};
    unsigned rows = 0, strangers = 0;
    assert_true(file_read(&page, "docs/editions.md", LARGEST_PAGE));
    for (unsigned i = 0; i < BOOKS; i++) {
        char *text = book_text(books[i]);
        buf_puts(&all, text);
        free(text);
    }
    for (const char *at = buf_text(&page), *next; *at; at = next) {
        char *line = doc_line(at, &next), name[64], table[80], list[80];
        if (sscanf(line, "| `%63[^`]`", name) == 1) {
            snprintf(table, sizeof table, "\n  table %s ", name);
            snprintf(list, sizeof list, "\n  list %s ", name);
            rows++;
            if (!strstr(buf_text(&all), table) && !strstr(buf_text(&all), list)) {
                print_error("docs/editions.md: the library has no table or list %s\n", name);
                strangers++;
            }
        }
        free(line);
    }
    buf_free(&page);
    buf_free(&all);
    assert_true(rows > 0);
    assert_int_equal(strangers, 0);
}

/* What a later book holds differs from the one before it: the page tells of each such table what
 * changed, or that its article's number did. */
static void changes_of_editions_are_told(void **state)
{
    (void)state;
    static const char *const later[] = {
        "stdlib/editions/nec-2020.bay", "stdlib/editions/nec-2023.bay",
        "stdlib/editions/nec-2026.bay", "stdlib/editions/irc-2021.bay",
        "stdlib/editions/irc-2024.bay"};
    struct buf page = {0};
    unsigned tables = 0, untold = 0;
    assert_true(file_read(&page, "docs/editions.md", LARGEST_PAGE));
    char *told = strstr(page.at, "## What changes between editions"),
         *rest = strstr(page.at, "## Every table of the electrical code");
    assert_true(told && rest && told < rest);
    *rest = '\0';
    for (size_t i = 0; i < sizeof later / sizeof *later; i++) {
        struct buf text = {0};
        assert_true(file_read(&text, later[i], LARGEST_PAGE));
        for (const char *at = buf_text(&text), *next; *at; at = next) {
            char *line = doc_line(at, &next), name[64], quoted[80];
            if ((sscanf(line, "  table %63[a-z0-9-]", name) == 1 ||
                 sscanf(line, "  list %63[a-z0-9-]", name) == 1) &&
                strcmp(name, "articles") && strcmp(name, "partner")) {
                snprintf(quoted, sizeof quoted, "`%s`", name);
                tables++;
                if (!strstr(told, quoted)) {
                    print_error("docs/editions.md does not tell what %s changes in %s\n", later[i],
                                name);
                    untold++;
                }
            }
            free(line);
        }
        buf_free(&text);
    }
    buf_free(&page);
    assert_true(tables > 0);
    assert_int_equal(untold, 0);
}

/* --- the library -------------------------------------------------------------------------- */

/* The definitions of a file of the library that begin with `word`: their names, with their titles
 * where they stand on the same line. */
static void put_definitions(struct buf *out, const char *heading, const char *file,
                            const char *word)
{
    struct buf text = {0};
    char name[64], title[128], form[64];
    assert_true(file_read(&text, file, LARGEST_PAGE));
    snprintf(form, sizeof form, "%s %%63s", word);
    buf_printf(out, "%s## %s\n\n| name | is |\n| --- | --- |\n", strcmp(word, "kind") ? "\n" : "",
               heading);
    for (const char *at = buf_text(&text), *next; *at; at = next) {
        char *line = doc_line(at, &next);
        if (sscanf(line, form, name) == 1 && !strncmp(line, word, strlen(word))) {
            const char *quote = strstr(line, " \"");
            bool titled = quote && sscanf(quote, " \"%127[^\"]", title) == 1 &&
                          quote < line + strcspn(line, "{");
            buf_printf(out, "| `%s` | %s |\n", name, titled ? title : "");
        }
        free(line);
    }
    buf_free(&text);
}

static void make_library(struct buf *out)
{
    put_definitions(out, "Kinds of rooms", "stdlib/kinds.bay", "kind");
    put_definitions(out, "Devices", "stdlib/devices.bay", "device");
    put_definitions(out, "Box types", "stdlib/boxes.bay", "box-type");
    put_definitions(out, "Cables", "stdlib/cables.bay", "cable");
}

/* Trade words by the headings of their file: `trade "can" means recessed luminaire`. */
static void make_words(struct buf *out)
{
    struct buf text = {0};
    char heading[64], word[64];
    assert_true(file_read(&text, "stdlib/words.bay", LARGEST_PAGE));
    for (const char *at = buf_text(&text), *next; *at; at = next) {
        char *line = doc_line(at, &next), *means = strstr(line, " means ");
        if (sscanf(line, "# --- %63[^-]", heading) == 1) {
            heading[strlen(heading) - 1] = '\0';
            buf_printf(out, "%s## %c%s\n\n| on site | in a plan |\n| --- | --- |\n",
                       out->n ? "\n" : "", toupper((unsigned char)*heading), heading + 1);
        } else if (means && sscanf(line, "trade \"%63[^\"]", word) == 1) {
            buf_printf(out, "| %s |", word);
            for (char *name = strtok(means + strlen(" means "), " "); name;
                 name = strtok(NULL, " "))
                buf_printf(out, " `%s`", name);
            buf_puts(out, " |\n");
        }
        free(line);
    }
    buf_free(&text);
}

static void make_methods(struct buf *out)
{
    buf_puts(out, "| asked for | does |\n| --- | --- |\n");
    for (uint32_t i = 0; i < method_count; i++)
        if (method_table[i].doc)
            buf_printf(out, "| `%s` | %s |\n", method_table[i].name, method_table[i].doc);
}

/* --- the pages ---------------------------------------------------------------------------- */

static bool make_part(const char *name, struct buf *out)
{
    if (!strcmp(name, "statements"))
        make_statements(out);
    else if (!strcmp(name, "library"))
        make_library(out);
    else if (!strcmp(name, "words"))
        make_words(out);
    else if (!strcmp(name, "commands"))
        make_commands(out);
    else if (!strcmp(name, "methods"))
        make_methods(out);
    else if (!strcmp(name, "options"))
        make_options(out);
    else if (!strcmp(name, "reports"))
        each_report(out, put_report);
    else if (!strcmp(name, "drawings"))
        make_drawings(out);
    else if (!strcmp(name, "sheets"))
        make_sheets(out);
    else if (!strcmp(name, "tables-nec"))
        make_tables(out, 1, 4);
    else if (!strcmp(name, "tables-irc"))
        make_tables(out, 5, 7);
    else if (!strcmp(name, "tables-trade"))
        make_tables(out, 0, 0);
    else
        return false;
    return true;
}

static void pages_are_true(void **state)
{
    (void)state;
    unsigned wrong = !doc_check("README.md", make_part) + !doc_check("DEVELOPERS.md", make_part);
    glob_t found;
    assert_int_equal(glob("docs/*.md", 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++)
        wrong += !doc_check(found.gl_pathv[i], make_part);
    globfree(&found);
    assert_int_equal(wrong, 0);
}

/* The reference shows every word in code: `word`, or at the beginning of
 * one, `word L`. */
static void every_word_is_described(void **state)
{
    (void)state;
    struct buf page = {0};
    unsigned missing = 0;
    assert_true(file_read(&page, "docs/language.md", LARGEST_PAGE));
    char *text = strdup(buf_text(&page));
    for (size_t i = 0; i < FORMS; i++) {
        char alone[64], first[64];
        snprintf(alone, sizeof alone, "`%s`", forms[i].word);
        snprintf(first, sizeof first, "`%s ", forms[i].word);
        if (isalpha((unsigned char)*forms[i].word) && !strstr(text, alone) &&
            !strstr(text, first)) {
            print_error("docs/language.md: nothing is said of %s\n", alone);
            missing++;
        }
    }
    free(text);
    buf_free(&page);
    assert_int_equal(missing, 0);
}

static unsigned undescribed;
static const char *column_words;

static void look_for_columns(const struct grid *g)
{
    for (uint32_t i = 0; i < g->column_count; i++) {
        char word[80];
        snprintf(word, sizeof word, "`%s`", g->columns[i].name);
        if (!strstr(column_words, word)) {
            print_error("docs/outputs.md: the column %s is not described\n", g->columns[i].name);
            undescribed++;
        }
    }
}

static void look_for_report(struct buf *out, const struct report *r)
{
    (void)out;
    look_for_columns(&r->rows);
    look_for_columns(&r->totals);
}

static void every_column_is_described(void **state)
{
    (void)state;
    struct buf page = {0};
    assert_true(file_read(&page, "docs/outputs.md", LARGEST_PAGE));
    column_words = doc_find_line(buf_text(&page), "### What the columns hold");
    assert_non_null(column_words);
    undescribed = 0;
    each_report(NULL, look_for_report);
    buf_free(&page);
    assert_int_equal(undescribed, 0);
}

/* The links of a page, each to a file that is there. Links to the web and within the page are
 * passed over. */
static unsigned dead_links(const char *path)
{
    struct buf page = {0};
    unsigned dead = 0;
    assert_true(file_read(&page, path, LARGEST_PAGE));
    for (const char *at = buf_text(&page); (at = strstr(at, "](")); at++) {
        char target[256], file[512];
        if (sscanf(at, "](%255[^)#]", target) != 1 || strstr(target, "://"))
            continue;
        const char *slash = strrchr(path, '/');
        snprintf(file, sizeof file, "%.*s%s", slash ? (int)(slash + 1 - path) : 0, path, target);
        if (access(file, R_OK) != 0) {
            print_error("%s: it links to %s, which is not there\n", path, target);
            dead++;
        }
    }
    buf_free(&page);
    return dead;
}

static void links_lead_somewhere(void **state)
{
    (void)state;
    unsigned dead = dead_links("README.md") + dead_links("DEVELOPERS.md");
    static const char *const folders[] = {"docs/*.md", "docs/rules/*.md"};
    for (int i = 0; i < 2; i++) {
        glob_t found;
        assert_int_equal(glob(folders[i], 0, NULL, &found), 0);
        for (size_t k = 0; k < found.gl_pathc; k++)
            dead += dead_links(found.gl_pathv[k]);
        globfree(&found);
    }
    assert_int_equal(dead, 0);
}

/* The map names every folder of src. */
static void every_room_is_on_the_map(void **state)
{
    (void)state;
    struct buf page = {0};
    glob_t found;
    unsigned missing = 0;
    assert_true(file_read(&page, "DEVELOPERS.md", LARGEST_PAGE));
    assert_int_equal(glob("src/*/", 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        char entry[128];
        snprintf(entry, sizeof entry, "**`%s`**", found.gl_pathv[i]);
        if (!strstr(buf_text(&page), entry)) {
            print_error("DEVELOPERS.md: %s is not on the map\n", found.gl_pathv[i]);
            missing++;
        }
    }
    globfree(&found);
    buf_free(&page);
    assert_int_equal(missing, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pages_are_true),
        cmocka_unit_test(every_word_is_described),
        cmocka_unit_test(every_column_is_described),
        cmocka_unit_test(named_tables_are_there),
        cmocka_unit_test(changes_of_editions_are_told),
        cmocka_unit_test(every_room_is_on_the_map),
        cmocka_unit_test(links_lead_somewhere),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Each rule has a page, docs/rules/NAME.md, of one form: what it asks, why, its source with the
 * articles of the library, how to mend it, and the two plans of tests/rules. docs/rules/index.md is
 * the table of rules. See doc_page.h for BLESS. */
#include "base/file.h"
#include "compiled.h"
#include "doc_page.h"

#include <ctype.h>

#include <glob.h>

static const char *const editions[] = {"nec-2017", "nec-2020", "nec-2023", "nec-2026"};
enum {
    EDITIONS = sizeof editions / sizeof *editions,
    INDEXED = 2
}; /* the one that most plans name */
static struct compilation books[EDITIONS];

static const char *page_of(const struct rule *rule)
{
    static char path[256];
    snprintf(path, sizeof path, "docs/rules/%s.md", rule->name);
    return path;
}

/* One line for each edition that has an article for the rule. */
static unsigned put_articles(const struct rule *rule, struct buf *out)
{
    unsigned n = 0;
    for (int i = 0; i < EDITIONS; i++) {
        const char *article = code_article(&books[i].model->code, rule);
        if (article)
            buf_printf(out, "- %s\n", article);
        n += article != NULL;
    }
    return n;
}

/* The page with the list that follows "## Source" made anew from the library; the page's own words
 * follow the list. */
static void remake_source(const struct rule *rule, const char *text, struct buf *out)
{
    const char *source = doc_find_line(text, "## Source"), *rest = source;
    if (!source) {
        buf_puts(out, text);
        return;
    }
    rest += strlen("## Source\n");
    while (*rest == '\n' || !strncmp(rest, "- NEC ", 6) || !strncmp(rest, "- IRC ", 6))
        free(doc_line(rest, &rest));
    buf_add(out, text, (size_t)(source - text));
    buf_puts(out, "## Source\n\n");
    if (put_articles(rule, out))
        buf_puts(out, "\n");
    buf_puts(out, rest);
}

static unsigned count(const char *text, const char *part)
{
    unsigned n = 0;
    for (; (text = strstr(text, part)); text++)
        n++;
    return n;
}

/* Whether a line of a page tells of the blind spot: "- the weight of what hangs from a box: ...".
 */
static bool tells_of(const struct blind_spot *spot, const char *line)
{
    size_t n = strlen(spot->before);
    return !strncmp(line, "- ", 2) && !strncmp(line + 2, spot->before, n) &&
           !isalpha((unsigned char)line[2 + n]) && strstr(line, spot->after);
}

/* What a page admits under "## Not judged" is what the rule's blind spots hold, so that `check` and
 * the inspection name it; nowhere else does it admit anything. */
static unsigned faults_of_blind_spots(const struct rule *rule, const char *text)
{
    static const char *const admissions[] = {"not judged",   "not checked", "not looked at",
                                             "eyes on site", "n't judged",  "cannot be checked"};
    const char *begin = doc_find_line(text, "## Not judged"),
               *end = doc_find_line(text, "## How to mend it");
    unsigned faults = 0, spots = 0, lines = 0;
    for (const char *at = begin; at && at < end; at = strchr(at, '\n') + 1)
        lines += !strncmp(at, "- ", 2);
    for (uint32_t i = 0; i < blind_spot_count; i++) {
        if (blind_spot_list[i]->rule != rule)
            continue;
        bool told = false;
        for (const char *at = begin; at && at < end; at = strchr(at, '\n') + 1)
            told |= tells_of(blind_spot_list[i], at);
        if (!told)
            print_error("%s: '## Not judged' lacks '- %s ...'\n", page_of(rule),
                        blind_spot_list[i]->before);
        faults += !told;
        spots++;
    }
    if (lines != spots)
        print_error("%s: %u things not judged, and %u blind spots\n", page_of(rule), lines, spots);
    for (size_t i = 0; i < sizeof admissions / sizeof *admissions; i++)
        if (strstr(text, admissions[i])) {
            print_error("%s admits '%s' outside of '## Not judged'\n", page_of(rule),
                        admissions[i]);
            faults++;
        }
    return faults + (lines != spots);
}

/* The headings, in their order, each with words below it; the rule's own two plans. */
static unsigned faults_of_form(const struct rule *rule, const char *text)
{
    static const char *const headings[] = {"## What it asks",
                                           "## Why",
                                           "## Source",
                                           "## How to mend it",
                                           "## A plan that breaks it",
                                           "## A plan that keeps it"};
    unsigned faults = 0;
    char line[256];
    snprintf(line, sizeof line, "# %s\n", rule->name);
    if (strncmp(text, line, strlen(line)) != 0) {
        print_error("%s: the page begins with the rule's name\n", page_of(rule));
        faults++;
    }
    const char *at = text;
    faults += faults_of_blind_spots(rule, text);
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++) {
        const char *found = doc_find_line(at, headings[i]);
        if (!found || found[strlen(headings[i]) + 1] != '\n' ||
            strchr("#\n", found[strlen(headings[i]) + 2])) {
            print_error("%s: there is no section '%s', or it is empty\n", page_of(rule),
                        headings[i]);
            faults++;
        }
        at = found ? found : at;
    }
    for (int good = 0; good < 2; good++) {
        snprintf(line, sizeof line, "```bay tests/rules/%s.%s.bay\n", rule->name,
                 good ? "good" : "bad");
        if (count(text, line) != 1) {
            print_error("%s: it shows once its plan %s", page_of(rule), line);
            faults++;
        }
    }
    return faults;
}

static bool page_is_right(const struct rule *rule)
{
    struct buf is = {0}, wanted = {0};
    if (!file_read(&is, page_of(rule), LARGEST_PAGE)) {
        print_error("there is no %s\n", page_of(rule));
        return false;
    }
    unsigned faults = faults_of_form(rule, buf_text(&is));
    remake_source(rule, buf_text(&is), &wanted);
    bool fits = doc_settle(page_of(rule), buf_text(&is), buf_text(&wanted));
    buf_free(&is);
    buf_free(&wanted);
    return doc_check(page_of(rule), NULL) && fits && faults == 0;
}

static void every_rule_has_its_page(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (uint32_t i = 0; i < rule_count; i++)
        wrong += !page_is_right(rule_list[i]);
    assert_int_equal(wrong, 0);
}

static void every_page_has_its_rule(void **state)
{
    (void)state;
    unsigned strangers = 0;
    glob_t found;
    assert_int_equal(glob("docs/rules/*.md", 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        char name[256];
        snprintf(name, sizeof name, "%s", found.gl_pathv[i] + strlen("docs/rules/"));
        *strrchr(name, '.') = '\0';
        if (strcmp(name, "index") != 0 && !rule_named(name)) {
            print_error("%s: there is no such rule\n", found.gl_pathv[i]);
            strangers++;
        }
    }
    globfree(&found);
    assert_int_equal(strangers, 0);
}

static bool make_index(const char *name, struct buf *out)
{
    if (strcmp(name, "rules") != 0)
        return false;
    buf_puts(out, "| rule | severity | may be waived | asks that | article, NEC 2023 or IRC 2024 "
                  "|\n| --- | --- | --- | --- | --- |\n");
    for (uint32_t i = 0; i < rule_count; i++) {
        const struct rule *r = rule_list[i];
        const char *article = code_article(&books[INDEXED].model->code, r);
        if (!article)
            article = code_article(&books[EDITIONS - 1].model->code, r);
        buf_printf(out, "| [%s](%s.md) | %s | %s | %s | %s |\n", r->name, r->name,
                   diag_severity_word(r->severity), r->waivable ? "yes" : "no", r->asks,
                   article ? article : "");
    }
    return true;
}

static void the_index_is_the_table_of_rules(void **state)
{
    (void)state;
    assert_true(doc_check("docs/rules/index.md", make_index));
}

static int open_books(void **state)
{
    (void)state;
    for (int i = 0; i < EDITIONS; i++) {
        char plan[128];
        snprintf(plan, sizeof plan, "plan \"Articles\" { edition %s }\n", editions[i]);
        compile_sound(&books[i], plan);
    }
    return 0;
}

static int close_books(void **state)
{
    (void)state;
    for (int i = 0; i < EDITIONS; i++)
        compile_free(&books[i]);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_rule_has_its_page),
        cmocka_unit_test(every_page_has_its_rule),
        cmocka_unit_test(the_index_is_the_table_of_rules),
    };
    return cmocka_run_group_tests(tests, open_books, close_books);
}

/* What changed between the editions of a code: each difference is a plan in tests/editions,
 * compiled by each edition. Run from the top of the tree.
 *
 * The plan says `edition EDITION`, and its head says what is wanted of it:
 *
 *   # source: where the difference was published, or "recalled"
 *   # changes: box-fill supports             the tables and lists of stdlib/editions that this plan
 * tells apart, if any # judges: box-overfilled                 the rules whose findings are
 * compared; what others say does not count # nec-2017: box-overfilled 314.16 "needs 26.5 in3" a
 * finding: its rule, its article ("-" for none), and a part of its message or its mend where that
 * matters # nec-2020: none                                      no finding of the judged rules #
 * nec-2023: report fill "R1,nail-on"                  a part of the report, as CSV; `lacks` in
 * place of `report` for what must not be there # nec-2023: prints panel "beside it" a part of the
 * report as text, its notes among it, on one line; `omits` for what must not be there
 *   # nec-2023: optional load "10000,1.0000"              as `report`, by the optional method
 *
 * Every finding of a judged rule is to be named, one line each, and an edition that is not named is
 * not compiled. */
#include "compiled.h"

#include "cmd/cmd.h"
#include "emit/reports/reports.h"

#include <glob.h>

enum { LINE = 400, EXPECTED = 64 };

struct expected {
    char edition[64], word[64], article[64], part[LINE];
    bool met;
};

struct difference {
    char path[256];
    char *text; /* the plan, as it stands in the file */
    char changes[LINE], judges[LINE];
    bool sourced;
    struct expected expected[EXPECTED];
    unsigned count;
};

static char *whole_file(const char *path)
{
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    struct buf text = {0};
    char line[4000];
    while (fgets(line, sizeof line, f))
        buf_puts(&text, line);
    fclose(f);
    char *copy = strdup(buf_text(&text));
    buf_free(&text);
    return copy;
}

/* Whether `word` is one of the words of `list`, parted by blanks. */
static bool lists(const char *list, const char *word)
{
    size_t len = strlen(word);
    for (const char *at = list; (at = strstr(at, word)); at += len)
        if ((at == list || at[-1] == ' ') && (at[len] == ' ' || at[len] == '\0'))
            return true;
    return false;
}

/* The text between the first quote and the last, "" where there is none. */
static void quoted_part(const char *from, char part[LINE])
{
    const char *first = strchr(from, '"'), *last = strrchr(from, '"');
    snprintf(part, LINE, "%.*s", first && last > first ? (int)(last - first - 1) : 0,
             first && last > first ? first + 1 : "");
}

static void read_expected(struct difference *d, const char *edition, const char *rest)
{
    assert_true(d->count < EXPECTED);
    struct expected *e = &d->expected[d->count++];
    snprintf(e->edition, sizeof e->edition, "%s", edition);
    quoted_part(rest, e->part);
    sscanf(rest, "%63s %63[^\" ]", e->word, e->article);
}

static void read_head_line(struct difference *d, const char *line)
{
    char key[64];
    int at = 0;
    if (sscanf(line, "# %63[a-z0-9-]: %n", key, &at) < 1 || !at)
        return;
    const char *rest = line + at;
    if (!strcmp(key, "source"))
        d->sourced = true;
    else if (!strcmp(key, "changes"))
        snprintf(d->changes, sizeof d->changes, "%s", rest);
    else if (!strcmp(key, "judges"))
        snprintf(d->judges, sizeof d->judges, "%s", rest);
    else if (!strncmp(key, "nec-", 4) || !strncmp(key, "irc-", 4))
        read_expected(d, key, rest);
}

/* Head lines are the comments before the first statement. */
static void read_difference(struct difference *d, const char *path)
{
    memset(d, 0, sizeof *d);
    snprintf(d->path, sizeof d->path, "%s", path);
    d->text = whole_file(path);
    for (const char *at = d->text; *at == '#';) {
        char line[LINE];
        size_t len = strcspn(at, "\n");
        snprintf(line, sizeof line, "%.*s", (int)len, at);
        read_head_line(d, line);
        at += len + (at[len] == '\n');
    }
}

/* The plan with the edition's name in place of EDITION. */
static void compile_by(struct compilation *c, const struct difference *d, const char *edition)
{
    static const char clause[] = "edition EDITION";
    const char *place = strstr(d->text, clause);
    if (!place)
        fail_msg("%s: there is no '%s' in it", d->path, clause);
    struct buf text = {0};
    buf_printf(&text, "%.*sedition %s%s", (int)(place - d->text), d->text, edition,
               place + strlen(clause));
    compile_text(c, buf_text(&text));
    buf_free(&text);
}

/* Whether the article is that one, not a part of it: "210.63" is not in "NEC 2020 210.63(A)". */
static bool names_article(const char *article, const char *wanted)
{
    const char *at = article ? strstr(article, wanted) : NULL;
    return at && strchr(" ,", at[strlen(wanted)]); /* the end of the text is found too */
}

static bool finding_fits(const struct finding *f, const struct expected *e)
{
    bool said = strstr(f->message, e->part) || (f->mend && strstr(f->mend, e->part));
    if (strcmp(f->rule->name, e->word) || !said)
        return false;
    return !strcmp(e->article, "-") ? !f->article : names_article(f->article, e->article);
}

static struct expected *expectation_of(struct difference *d, const char *edition,
                                       const struct finding *f)
{
    for (unsigned i = 0; i < d->count; i++) {
        struct expected *e = &d->expected[i];
        if (!e->met && !strcmp(e->edition, edition) && finding_fits(f, e))
            return e;
    }
    return NULL;
}

/* Text without its line breaks: each with the blanks after it is one blank. */
static void put_on_one_line(struct buf *out, const char *text)
{
    while (*text) {
        size_t len = strcspn(text, "\n");
        buf_printf(out, "%.*s ", (int)len, text);
        text += len;
        text += strspn(text, "\n ");
    }
}

/* Whether a line `report NAME "part"` is true of the plan, or one of its kin. */
static bool report_fits(struct compilation *c, const struct expected *e)
{
    const struct report_def *def = report_named(e->article);
    bool lacks = !strcmp(e->word, "lacks"), omits = !strcmp(e->word, "omits"),
         prints = omits || !strcmp(e->word, "prints"), optional = !strcmp(e->word, "optional");
    if (!def || !c->makeup || !(lacks || prints || optional || !strcmp(e->word, "report")))
        return false;
    struct results r;
    assert_true(cmd_results(c, &r));
    r.method_told = optional;
    r.method = optional ? METHOD_OPTIONAL : r.method;
    struct buf out = {0}, line = {0};
    report_write(def, &r, prints ? REPORT_TEXT : REPORT_CSV, &out);
    put_on_one_line(&line, buf_text(&out));
    const char *where = prints ? buf_text(&line) : buf_text(&out);
    bool fits = (strstr(where, e->part) != NULL) != (lacks || omits);
    if (!fits)
        fputs(buf_text(&out), stderr);
    buf_free(&line);
    buf_free(&out);
    return fits;
}

/* How many findings are not wanted, by this edition. */
static unsigned unwanted(struct difference *d, const char *edition, const struct compilation *c)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        bool judged = lists(d->judges, f->rule->name);
        struct expected *e = judged ? expectation_of(d, edition, f) : NULL;
        if (e)
            e->met = true;
        else if (judged || is_misspelt(f)) {
            fprintf(stderr, "%s by %s: not wanted: [%s] %s: %s\n", d->path, edition, f->rule->name,
                    f->article ? f->article : "no article", f->message);
            n++;
        }
    }
    return n;
}

static unsigned unmet(struct difference *d, const char *edition, struct compilation *c)
{
    unsigned n = 0;
    for (unsigned i = 0; i < d->count; i++) {
        struct expected *e = &d->expected[i];
        if (strcmp(e->edition, edition) || !strcmp(e->word, "none") || e->met || report_fits(c, e))
            continue;
        fprintf(stderr, "%s by %s: wanted: %s %s \"%s\"\n", d->path, edition, e->word, e->article,
                e->part);
        n++;
    }
    return n;
}

static bool named_before(const struct difference *d, unsigned i)
{
    for (unsigned k = 0; k < i; k++)
        if (!strcmp(d->expected[k].edition, d->expected[i].edition))
            return true;
    return false;
}

static unsigned faults_of(struct difference *d)
{
    unsigned n = 0;
    for (unsigned i = 0; i < d->count; i++) {
        const char *edition = d->expected[i].edition;
        if (named_before(d, i))
            continue;
        struct compilation c;
        compile_by(&c, d, edition);
        n += unwanted(d, edition, &c) + unmet(d, edition, &c);
        compile_free(&c);
    }
    if (!d->sourced || d->count < 2) {
        fprintf(stderr, "%s: its head names no source, or fewer than two editions\n", d->path);
        n++;
    }
    return n;
}

struct difference_list {
    struct difference *at;
    size_t count;
};

static struct difference_list read_differences(void)
{
    glob_t found;
    assert_int_equal(glob("tests/editions/*.bay", 0, NULL, &found), 0);
    struct difference_list list = {calloc(found.gl_pathc, sizeof *list.at), found.gl_pathc};
    for (size_t i = 0; i < list.count; i++)
        read_difference(&list.at[i], found.gl_pathv[i]);
    globfree(&found);
    return list;
}

static void free_differences(struct difference_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        free(list->at[i].text);
    free(list->at);
}

static void each_edition_judges_as_published(void **state)
{
    (void)state;
    struct difference_list list = read_differences();
    unsigned faults = 0;
    for (size_t i = 0; i < list.count; i++)
        faults += faults_of(&list.at[i]);
    free_differences(&list);
    assert_int_equal(faults, 0);
}

static bool expects(const struct difference *d, const char *edition, const struct expected *wanted)
{
    for (unsigned i = 0; i < d->count; i++) {
        const struct expected *e = &d->expected[i];
        if (!strcmp(e->edition, edition) && !strcmp(e->word, wanted->word) &&
            !strcmp(e->article, wanted->article) && !strcmp(e->part, wanted->part))
            return true;
    }
    return false;
}

/* Whether the plan wants something of one of the two editions that it does not want of the other.
 */
static bool tells_apart(const struct difference *d, const char *one, const char *other)
{
    bool named = false, differs = false;
    for (unsigned i = 0; i < d->count; i++) {
        const struct expected *e = &d->expected[i];
        bool of_one = !strcmp(e->edition, one), of_other = !strcmp(e->edition, other);
        named |= of_one;
        differs |= (of_one && !expects(d, other, e)) || (of_other && !expects(d, one, e));
    }
    return named && differs;
}

static bool shown(const struct difference_list *list, const char *table, const char *edition,
                  const char *base)
{
    for (size_t i = 0; i < list->count; i++)
        if (lists(list->at[i].changes, table) && tells_apart(&list->at[i], edition, base))
            return true;
    return false;
}

/* How many tables and lists of the edition no plan tells from those of the edition before. One with
 * an empty block has another article alone. */
static unsigned untold_of(const struct difference_list *list, const char *edition, const char *base)
{
    char path[256], name[64];
    unsigned untold = 0;
    snprintf(path, sizeof path, "stdlib/editions/%s.bay", edition);
    char *text = whole_file(path);
    for (char *line = strtok(text, "\n"); line; line = strtok(NULL, "\n"))
        if ((sscanf(line, "  table %63s", name) == 1 || sscanf(line, "  list %63s", name) == 1) &&
            !strstr(line, "{ }") && !shown(list, name, edition, base)) {
            fprintf(stderr, "%s: no plan in tests/editions tells its '%s' from that of %s\n", path,
                    name, base);
            untold++;
        }
    free(text);
    return untold;
}

static void each_change_of_an_edition_is_told(void **state)
{
    (void)state;
    static const char *const steps[][2] = {{"nec-2020", "nec-2017"},
                                           {"nec-2023", "nec-2020"},
                                           {"nec-2026", "nec-2023"},
                                           {"irc-2021", "irc-2018"},
                                           {"irc-2024", "irc-2021"}};
    struct difference_list list = read_differences();
    unsigned untold = 0;
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++)
        untold += untold_of(&list, steps[i][0], steps[i][1]);
    free_differences(&list);
    assert_int_equal(untold, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_edition_judges_as_published),
        cmocka_unit_test(each_change_of_an_edition_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

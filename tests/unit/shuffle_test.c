/* The order of statements decides nothing: plans whose statements are shuffled (those at the top
 * and in units, boxes in rooms, runs in circuits; devices keep their order in the box) give the
 * same legs, cables, colours and fill. Run from the top of the tree. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/reports/reports.h"
#include "generate.h"
#include "syntax/lexer.h"
#include "syntax/token.h"
#include "syntax/tree.h"

#include <glob.h>
#include <libgen.h>

enum { SEEDS = 6, MOST_STATEMENTS = 1000 };

/* --- shuffling a text --------------------------------------------------------------------- */

struct shuffler {
    struct source *source;
    uint64_t state;
    struct buf out;
};

static bool begins_with(const struct shuffler *s, const struct stmt *st, const char *word)
{
    const struct source_token *t = &s->source->tokens[st->first];
    return t->len == strlen(word) && !memcmp(s->source->bytes + t->off, word, t->len);
}

static void put_tokens(struct shuffler *s, uint32_t first, uint32_t last)
{
    const struct source_token *a = &s->source->tokens[first], *z = &s->source->tokens[last];
    buf_add(&s->out, s->source->bytes + a->off, z->off + z->len - a->off);
}

static void put_statement(struct shuffler *s, const struct stmt *st);

static bool may_name_rooms(const struct shuffler *s, const struct stmt *st)
{
    return begins_with(s, st, "room") || begins_with(s, st, "include");
}

/* Rooms go to other places, but stay in their order: studs of a shared wall are counted from the
 * room that is named first, which the language says. What is moved is put from the last to the
 * first. */
static void keep_rooms(const struct shuffler *s, const struct stmt *first,
                       const struct stmt **moved, unsigned moving)
{
    for (unsigned i = moving; i-- > 0;) {
        if (!may_name_rooms(s, moved[i]))
            continue;
        while (!may_name_rooms(s, first))
            first = first->next;
        moved[i] = first;
        first = first->next;
    }
}

/* The statements of a block: all change places, or only those that begin with `word`. */
static void put_shuffled(struct shuffler *s, const struct stmt *first, const char *word)
{
    const struct stmt *list[MOST_STATEMENTS], *moved[MOST_STATEMENTS];
    unsigned count = 0, moving = 0;
    for (const struct stmt *st = first; st; st = st->next) {
        assert_true(count < MOST_STATEMENTS);
        list[count++] = st;
        if (!word || begins_with(s, st, word))
            moved[moving++] = st;
    }
    for (unsigned i = moving; i > 1; i--) {
        unsigned k = pick(&s->state, i);
        const struct stmt *held = moved[k];
        moved[k] = moved[i - 1];
        moved[i - 1] = held;
    }
    keep_rooms(s, first, moved, moving);
    for (unsigned i = 0; i < count; i++)
        put_statement(s, !word || begins_with(s, list[i], word) ? moved[--moving] : list[i]);
}

static void put_statement(struct shuffler *s, const struct stmt *st)
{
    bool unit = begins_with(s, st, "unit") || begins_with(s, st, "pattern");
    const char *word = begins_with(s, st, "room")                                           ? "box"
                       : begins_with(s, st, "circuit") || begins_with(s, st, "low-voltage") ? "run"
                                                                                            : NULL;
    if (!st->has_block || (!unit && !word)) {
        put_tokens(s, st->first, st->has_block ? st->close : st->last);
    } else {
        put_tokens(s, st->first, st->open);
        buf_puts(&s->out, "\n");
        put_shuffled(s, st->child, word);
        buf_puts(&s->out, "}");
    }
    buf_puts(&s->out, "\n");
}

/* Writes a file of a plan into the folder under its own name, its statements shuffled. */
static void shuffle_file(const struct source *file, const char *folder, uint64_t seed)
{
    struct arena arena = {0};
    struct diag diag = {.arena = &arena};
    struct source copy = {.path = file->path, .bytes = file->bytes, .size = file->size};
    lex(&diag, &copy);
    struct tree tree = parse(&diag, &arena, &copy);
    struct shuffler s = {.source = &copy, .state = seed};
    put_shuffled(&s, tree.first, NULL);
    char path[512], name[256];
    snprintf(name, sizeof name, "%s", file->path);
    snprintf(path, sizeof path, "%s/%s", folder, basename(name));
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fwrite(s.out.at, 1, s.out.n, f);
    assert_int_equal(fclose(f), 0);
    buf_free(&s.out);
    arena_free(&arena);
}

static void remove_folder(const struct compilation *c, const char *folder)
{
    for (uint32_t i = 0; i < c->source_count; i++) {
        char path[512], name[256];
        snprintf(name, sizeof name, "%s", c->sources[i]->path);
        snprintf(path, sizeof path, "%s/%s", folder, basename(name));
        unlink(path);
    }
    rmdir(folder);
}

/* --- comparing ---------------------------------------------------------------------------- */

enum { ALL = 100 };

/* Reports and how many of their columns are compared. Bores and plates, the last columns of the
 * runs, hang on which of several cables finds a hole already there: the framing decides that, not
 * the wiring. */
static const struct compared {
    const char *report;
    unsigned columns;
} reports[] = {{"legs", ALL},  {"runs", 13},   {"fill", ALL},   {"drop", ALL},
               {"boxes", ALL}, {"panel", ALL}, {"labels", ALL}, {"cuts", ALL}};
enum { REPORTS = sizeof reports / sizeof *reports };

static int by_text(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* A cell that lists addresses ("shop.L1; shop.L2") is put in order: reports list them as the plan
 * names them. Other lists have an order of their own. */
static void put_cell(struct buf *out, char *cell)
{
    char *items[256], *save = NULL;
    unsigned n = 0, blanks = 0;
    for (const char *at = cell; *at; at++)
        blanks += *at == ' ' && (at == cell || at[-1] != ';');
    if (blanks) {
        buf_puts(out, cell);
        return;
    }
    for (char *item = strtok_r(cell, "; ", &save); item && n < 256;
         item = strtok_r(NULL, "; ", &save))
        items[n++] = item;
    qsort(items, n, sizeof *items, by_text);
    for (unsigned i = 0; i < n; i++)
        buf_printf(out, "%s%s", i ? "; " : "", items[i]);
}

/* The first cells of a line, at most so many. */
static void put_line(struct buf *out, char *line, unsigned most)
{
    unsigned n = 0;
    for (char *cell = line, *comma; cell && n < most; cell = comma ? comma + 1 : NULL, n++) {
        comma = strchr(cell, ',');
        if (comma)
            *comma = '\0';
        put_cell(out, cell);
        buf_puts(out, ",");
    }
    buf_puts(out, "\n");
}

/* The rows of a report in the order of their text; the caller frees it. */
static char *sorted_report(struct compilation *c, const struct compared *which)
{
    struct results results;
    assert_true(cmd_results(c, &results));
    struct buf csv = {0}, even = {0}, out = {0};
    report_write(report_named(which->report), &results, REPORT_CSV, &csv);
    char *text = strdup(buf_text(&csv)), *save = NULL, **lines = calloc(csv.n + 1, sizeof *lines);
    unsigned n = 0;
    for (char *line = strtok_r(text, "\r\n", &save); line; line = strtok_r(NULL, "\r\n", &save))
        put_line(&even, line, which->columns);
    char *evened = strdup(buf_text(&even));
    for (char *line = strtok_r(evened, "\n", &save); line; line = strtok_r(NULL, "\n", &save))
        lines[n++] = line;
    qsort(lines, n, sizeof *lines, by_text);
    for (unsigned i = 0; i < n; i++)
        buf_printf(&out, "%s\n", lines[i]);
    char *sorted = strdup(buf_text(&out));
    free(lines);
    free(text);
    free(evened);
    buf_free(&csv);
    buf_free(&even);
    buf_free(&out);
    return sorted;
}

/* Shows the first line in which they differ. */
static bool same_report(const char *plan, unsigned seed, const char *report, const char *was,
                        const char *is)
{
    if (!strcmp(was, is))
        return true;
    size_t i = 0, start = 0;
    for (; was[i] && was[i] == is[i]; i++)
        start = was[i] == '\n' ? i + 1 : start;
    print_error("%s, seed %u, report %s:\n  %.*s\nbecame\n  %.*s\n", plan, seed, report,
                (int)strcspn(was + start, "\n"), was + start, (int)strcspn(is + start, "\n"),
                is + start);
    return false;
}

/* Rules that judge the wiring: as many findings in whatever order. */
static const char *const wiring_rules[] = {"conductors-missing", "neutral-missing-at-switch",
                                           "white-as-return",    "switch-kind",
                                           "box-overfilled",     "breaker-overloaded",
                                           "control-overloaded", "luminaire-through-wiring",
                                           "voltage-drop",       "unfed-box"};

/* How many reports of a plan change when it is shuffled in so many ways. */
static unsigned differences(const char *plan, unsigned seeds)
{
    struct compilation c;
    compile(&c, plan, (struct compile_options){0});
    char *was[REPORTS];
    unsigned wrong = 0;
    for (unsigned r = 0; r < REPORTS; r++)
        was[r] = sorted_report(&c, &reports[r]);
    for (unsigned seed = 1; seed <= seeds; seed++) {
        char folder[] = "/tmp/studbay-shuffled-XXXXXX", path[512], name[256];
        assert_non_null(mkdtemp(folder));
        for (uint32_t i = 0; i < c.source_count; i++)
            shuffle_file(c.sources[i], folder, seed * 1000 + i);
        snprintf(name, sizeof name, "%s", plan);
        snprintf(path, sizeof path, "%s/%s", folder, basename(name));
        struct compilation d;
        compile(&d, path, (struct compile_options){0});
        for (unsigned r = 0; r < sizeof wiring_rules / sizeof *wiring_rules; r++)
            assert_int_equal(findings_of(&d, wiring_rules[r]), findings_of(&c, wiring_rules[r]));
        for (unsigned r = 0; r < REPORTS; r++) {
            char *is = sorted_report(&d, &reports[r]);
            wrong += !same_report(plan, seed, reports[r].report, was[r], is);
            free(is);
        }
        compile_free(&d);
        remove_folder(&c, folder);
    }
    for (unsigned r = 0; r < REPORTS; r++)
        free(was[r]);
    compile_free(&c);
    return wrong;
}

static unsigned differences_in(const char *pattern)
{
    glob_t found;
    unsigned wrong = 0;
    assert_int_equal(glob(pattern, 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++)
        wrong += differences(found.gl_pathv[i], SEEDS);
    globfree(&found);
    return wrong;
}

static void examples_do_not_depend_on_order(void **state)
{
    (void)state;
    assert_int_equal(differences_in("examples/small/*.bay") +
                         differences("examples/studio/studio.bay", SEEDS) +
                         differences("examples/flats/flats.bay", SEEDS),
                     0);
}

static void classic_wirings_do_not_depend_on_order(void **state)
{
    (void)state;
    assert_int_equal(differences_in("docs/wiring/*.bay"), 0);
}

/* Random plans have more ties than real ones: equal ways to wire a leg, from which the same one
 * must be taken. */
static void random_plans_do_not_depend_on_order(void **state)
{
    (void)state;
    enum { EACH = 25, WAYS = 2, MOST_SWITCHES = 4 };
    unsigned wrong = 0;
    char folder[] = "/tmp/studbay-random-XXXXXX", path[512];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/plan.bay", folder);
    struct generator *g = calloc(1, sizeof *g);
    for (unsigned sort = 0; sort < GENERATED_COUNT; sort++)
        for (unsigned seed = 1; seed <= EACH; seed++) {
            struct buf text = {0};
            generate_plan(&text, g, 100 * sort + seed, sort, 4 + seed % 9, MOST_SWITCHES);
            FILE *f = fopen(path, "w");
            assert_non_null(f);
            fwrite(text.at, 1, text.n, f);
            assert_int_equal(fclose(f), 0);
            buf_free(&text);
            unsigned changed = differences(path, WAYS);
            if (changed)
                print_error("that was the random plan of sort %u, seed %u\n", sort, seed);
            wrong += changed;
        }
    free(g);
    unlink(path);
    rmdir(folder);
    assert_int_equal(wrong, 0);
}

/* A shuffled text is another text with the same statements. */
static void shuffling_moves_statements(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct diag diag = {.arena = &arena};
    static const char text[] =
        "plan \"P\" { edition nec-2023 }\nroom a { size 9' by 9'\nbox A north at 1' { }\nbox B "
        "north at 2' { }\nbox C north at 3' { } }\nlevel l { floor 0' }\n";
    struct source source = {.path = "plan.bay", .bytes = text, .size = sizeof text - 1};
    lex(&diag, &source);
    struct tree tree = parse(&diag, &arena, &source);
    unsigned others = 0, kept = 0;
    for (unsigned seed = 1; seed <= SEEDS; seed++) {
        struct shuffler s = {.source = &source, .state = seed};
        put_shuffled(&s, tree.first, NULL);
        const char *out = buf_text(&s.out), *a = strstr(out, "box A"), *b = strstr(out, "box B"),
                   *c = strstr(out, "box C");
        kept += a && b && c && strstr(out, "level l { floor 0' }") &&
                strstr(out, "plan \"P\" { edition nec-2023 }");
        others += !(a < b && b < c) || strncmp(out, "plan", 4);
        buf_free(&s.out);
    }
    arena_free(&arena);
    assert_int_equal(kept, SEEDS);
    assert_true(others > SEEDS / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shuffling_moves_statements),
        cmocka_unit_test(examples_do_not_depend_on_order),
        cmocka_unit_test(classic_wirings_do_not_depend_on_order),
        cmocka_unit_test(random_plans_do_not_depend_on_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

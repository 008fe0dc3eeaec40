/* Nothing is said of what is in doubt: where a word cannot be read, the one finding tells of the
 * word, and no rule reckons without what it may stand for. Held against the plans that keep to each
 * rule (tests/rules): a device, the end of a run, a cable, a breaker, a kind, a door or a window of
 * theirs is spoilt, one at a time. The plan was good, so whatever else is found rests on the spoilt
 * word. */
#include "compiled.h"

#include <glob.h>

static const char spoilt[] = "zzqx";

/* What these say rests on the spoilt word none the less. Each is a fault of its rule. */
static const struct {
    const char *rule, *by;
} speak[] = {
    {"unfed-box", "run"},
};

struct whole {
    const char *path;
    char *text;
    struct compilation c;
};

static unsigned tried, told, spoke[sizeof speak / sizeof *speak];

static bool is_new(const struct whole *w, const struct finding *f)
{
    for (uint32_t i = 0; i < w->c.diag.findings.n; i++)
        if (w->c.diag.findings.at[i].rule == f->rule &&
            !strcmp(w->c.diag.findings.at[i].message, f->message))
            return false;
    return true;
}

/* Whether the rule is one of those that speak; it is noted that it did. */
static bool may_speak(const char *rule, const char *by)
{
    for (size_t i = 0; i < sizeof speak / sizeof *speak; i++)
        if (!strcmp(speak[i].rule, rule) && !strcmp(speak[i].by, by))
            return ++spoke[i];
    return false;
}

/* Compiles the plan with the word in [from, to) spoilt. */
static void spoil(const struct whole *w, size_t from, size_t to, const char *what)
{
    struct buf text = {0};
    struct compilation c;
    buf_printf(&text, "%.*s%s%s%s", (int)from, w->text, from == to ? " " : "", spoilt,
               w->text + to);
    compile_text(&c, buf_text(&text));
    unsigned of_word = 0;
    for (uint32_t i = 0; i < c.diag.findings.n; i++) {
        const struct finding *f = &c.diag.findings.at[i];
        if (strstr(f->message, spoilt)) {
            of_word++;
        } else if (is_new(w, f) && !may_speak(f->rule->name, what)) {
            fprintf(stderr, "%s: %.*s spoilt: %s: %s\n", w->path, (int)(to - from), w->text + from,
                    f->rule->name, f->message);
            told++;
        }
    }
    if (of_word != 1)
        fprintf(stderr, "%s: %.*s spoilt is told %u times\n", w->path, (int)(to - from),
                w->text + from, of_word);
    told += of_word != 1;
    tried++;
    buf_free(&text);
    compile_free(&c);
}

/* Of what stands in every plan the last is spoilt; of all else each. */
static bool is_commonplace(const struct model *m, uint32_t at)
{
    static const char *const words[] = {"receptacle", "luminaire", "switch", "data"};
    for (size_t k = 0; k < sizeof words / sizeof *words; k++)
        for (uint32_t i = at + 1; i < m->devices.n; i++)
            if (!strncmp(m->devices.at[at]->def->name, words[k], strlen(words[k])) &&
                m->devices.at[i]->def == m->devices.at[at]->def)
                return true;
    return false;
}

static void spoil_devices(const struct whole *w)
{
    const struct model *m = w->c.model;
    for (uint32_t i = 0; i < m->devices.n; i++) {
        struct span s = node_span(m->devices.at[i]->node);
        size_t len = strlen(m->devices.at[i]->def->name);
        if (!is_commonplace(m, i) && !strncmp(w->text + s.off, m->devices.at[i]->def->name, len))
            spoil(w, s.off, s.off + len, "device");
    }
}

static size_t word_end(const char *text, size_t at)
{
    return at + strcspn(text + at, " \n;{}");
}

/* The last end of each run, cables, breakers, kinds and the walls of doors and windows: as the
 * plans write them, each on a line. */
static void spoil_lines(const struct whole *w)
{
    static const char *const words[] = {"cable", "kind", "door", "window"};
    for (const char *line = w->text, *next; *line; line = next) {
        size_t len = strcspn(line, "\n"), indent = strspn(line, " ");
        next = line + len + (line[len] != 0);
        size_t from = (size_t)(line - w->text) + indent;
        const char *end = NULL;
        for (const char *p = line; (p = strstr(p, "-> ")) && p < line + len; p += 3)
            end = p + 3;
        if (!strncmp(line + indent, "run ", 4) && end)
            spoil(w, (size_t)(end - w->text), word_end(w->text, (size_t)(end - w->text)), "run");
        else if (!strncmp(line + indent, "breaker ", 8))
            spoil(w, from - indent + len, from - indent + len, "breaker");
        for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
            size_t at = from + strlen(words[i]) + 1;
            if (indent && !strncmp(line + indent, words[i], strlen(words[i])) &&
                w->text[at - 1] == ' ')
                spoil(w, at, word_end(w->text, at), words[i]);
        }
    }
}

static char *read_file(const char *path)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    struct buf b = {0};
    for (int c; (c = fgetc(f)) != EOF;)
        buf_putc(&b, (char)c);
    fclose(f);
    buf_text(&b);
    return b.at;
}

static void nothing_is_said_of_what_is_in_doubt(void **state)
{
    (void)state;
    glob_t plans;
    assert_int_equal(glob("tests/rules/*.good.bay", 0, NULL, &plans), 0);
    for (size_t i = 0; i < plans.gl_pathc; i++) {
        struct whole w = {.path = plans.gl_pathv[i], .text = read_file(plans.gl_pathv[i])};
        compile_text(&w.c, w.text);
        assert_non_null(w.c.model);
        if (!findings_of(&w.c, "unreadable-file")) { /* what it includes stands elsewhere */
            spoil_devices(&w);
            spoil_lines(&w);
        }
        compile_free(&w.c);
        memory_give(w.text);
    }
    globfree(&plans);
    assert_true(tried > 300);
    assert_int_equal(told, 0);
    for (size_t i = 0; i < sizeof speak / sizeof *speak; i++)
        if (!spoke[i])
            fail_msg("%s keeps silent: strike it from the list", speak[i].rule);
}

/* A run whose end is misspelt may be the one that a device names: that name is not missed as well.
 */
static void a_run_that_lost_its_end_is_not_missed(void **state)
{
    (void)state;
    static const char plan[] = "plan \"Names of runs\" { edition nec-2023 }\n"
                               "room a { corner 0', 0'; size 12' by 10'\n"
                               "  box R1 north at 3' { receptacle }\n"
                               "  box R2 north at 6' { receptacle by p1 }\n}\n"
                               "room b { corner 12'-4\", 0'; size 12' by 10'\n"
                               "  box R3 north at 6' { receptacle by p2 }\n}\n"
                               "panel P { in a east at 5' up 5'; main 100 A }\n"
                               "circuit P.1 { breaker 20 A dual-function\n"
                               "  run P -> a.R1\n"
                               "  run a.R1 -> a.R2 as p1\n"
                               "  run a.R2 -> b.R3 as p2\n}\n";
    static const char *const words[][2] = {
        {"a.R2 as", "aq.R2 as"}, {"a.R2 as", "a.R2q as"}, {"a.R2 ->", "a.R2q ->"},
        {"b.R3 as", "bq.R3 as"}, {"as p2", "az p2"},      {"by p2", "by p3"},
    };
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        const char *at = strstr(plan, words[i][0]);
        struct buf text = {0};
        struct compilation c;
        buf_printf(&text, "%.*s%s%s", (int)(at - plan), plan, words[i][1],
                   at + strlen(words[i][0]));
        compile_text(&c, buf_text(&text));
        if (c.diag.counts[ERROR] != 1)
            show_compiled(&c);
        assert_int_equal(c.diag.counts[ERROR], 1);
        compile_free(&c);
        buf_free(&text);
    }
}

/* One slip, and what follows from it is not told, nor told twice. */
static void what_follows_is_not_told(void **state)
{
    (void)state;
    static const char *const plans[] = {
        /* a line that should name a run */
        "plan \"A\" { edition nec-2023 }\nroom a { size 12' by 10'\n"
        "  box R1 north at 3' { receptacle circuit 1; receptacle circuit 2 }\n}\n"
        "panel P { in a east at 5' up 5'; main 100 A }\n"
        "circuit P.1 { breaker 20 A dual-function; run P -> a.R1 }\n"
        "circuit P.2 { breaker 20 A dual-function\n  ruq P -> a.R1\n}\n",
        /* a text without an end, in which a circuit was named */
        "plan \"B\" { edition nec-2023 }\nroom a { size 12' by 10'\n"
        "  box R1 north at 3' { receptacle circuit 1\nreceptacle \"bench circuit 2\n }\n}\n"
        "panel P { in a east at 5' up 5'; main 100 A }\n"
        "circuit P.1 { breaker 20 A dual-function; run P -> a.R1 }\n"
        "circuit P.2 { breaker 20 A dual-function; run P -> a.R1 }\n",
        /* a wall in another name than its boxes and doors say */
        "plan \"C\" { edition nec-2023 }\nroom a { outline from 0', 0' { west north 10'\n"
        "  north east 12'\n  east south 10'\n  souths west 12' }\n"
        "  door south at 2' wide 3'\n  window south at 8' wide 2'\n}\n",
        /* a given value that the base does not have, and a name that nothing has */
        "plan \"D\" { edition nec-2023 }\npattern flat { corner 0', 0'\n"
        "  room a { size 12' by 10' }\n}\n"
        "unit u1 : flat { corner 0', 0'; given lamp 9 W }\n",
        /* a box far from its wall is anywhere */
        "plan \"E\" { edition nec-2023 }\nroom a { kind workshop; size 12' by 10'\n"
        "  box R1 north at 290' { receptacle }\n}\n"
        "panel P { in a east at 5' up 5'; main 100 A }\n"
        "circuit P.1 \"Bench\" { breaker 20 A dual-function; drop 3 %; run P -> a.R1 }\n"
        "waive voltage-drop because \"measured\"\n",
        /* a new run to a box that goes ends nowhere */
        "plan \"G\" { edition nec-2023 }\nroom a { kind workshop; size 16' by 12'\n"
        "  box R1 north at 6'-6\" { existing; holds 2 of 12; grounds 1; type nail-on-1g-22\n"
        "    receptacle }\n  box R2 north at 1'-6\" { remove; receptacle }\n"
        "  box R3 south at 1'-6\" { remove; receptacle }\n}\n"
        "panel P { in a west at 5' up 5'; main 100 A; spaces 8 }\n"
        "circuit P.2 \"Bench\" { breaker 20 A dual-function; run a.R1 -> a.R3 }\n",
        /* an edition: that of 2017 asks no light in a laundry (210.70(A)), that of 2023 does */
        "plan \"F\" { edition nec-2o17 }\nroom a { kind laundry; size 12' by 10'\n"
        "  box R1 west at 5' { receptacle }\n}\n"
        "panel P { in a east at 5' up 5'; main 100 A }\n"
        "circuit P.1 \"Laundry\" { breaker 20 A dual-function; run P -> a.R1 }\n",
    };
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        compile_text(&c, plans[i]);
        unsigned said = c.diag.counts[ERROR] + findings_of(&c, "voltage-drop") +
                        findings_of(&c, "stale-waiver");
        if (said != 1)
            show_compiled(&c);
        assert_int_equal(said, 1);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(nothing_is_said_of_what_is_in_doubt),
        cmocka_unit_test(a_run_that_lost_its_end_is_not_missed),
        cmocka_unit_test(what_follows_is_not_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

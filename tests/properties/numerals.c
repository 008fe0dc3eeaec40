/* A number has its noun in the right number: "1 staple", never "1 staples" nor "3 staple". Asked of
 * every finding, of every report and of the way of every run, as a person reads them. */
#include "properties.h"

#include "cmd/cmd.h"
#include "diag/render.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "model/model.h"

#include <ctype.h>
#include <string.h>

property_function property_numerals;

/* What is counted in what is said to people. */
static const char *const nouns[][2] = {
    {"hole", "holes"},
    {"notch", "notches"},
    {"staple", "staples"},
    {"strap", "straps"},
    {"plate", "plates"},
    {"cable", "cables"},
    {"box", "boxes"},
    {"circuit", "circuits"},
    {"breaker", "breakers"},
    {"switch", "switches"},
    {"outlet", "outlets"},
    {"receptacle", "receptacles"},
    {"luminaire", "luminaires"},
    {"device", "devices"},
    {"run", "runs"},
    {"coil", "coils"},
    {"piece", "pieces"},
    {"space", "spaces"},
    {"pole", "poles"},
    {"label", "labels"},
    {"conductor", "conductors"},
    {"ground", "grounds"},
    {"yoke", "yokes"},
    {"gang", "gangs"},
    {"error", "errors"},
    {"warning", "warnings"},
    {"riser", "risers"},
    {"unit", "units"},
    {"control", "controls"},
    {"bend", "bends"},
    {"opening", "openings"},
};

/* Whether the word at `at` is `word`, whole. */
static bool is_word(const char *at, const char *word)
{
    size_t n = strlen(word);
    return !strncmp(at, word, n) && !isalnum((unsigned char)at[n]) && at[n] != '-';
}

/* The noun behind a number, where its number is wrong; NULL. `one`: the number is 1. A singular
 * behind a number is wrong where the sentence goes on without a further noun: "2 switch legs" are
 * right. */
static const char *wrong_noun(const char *at, bool one)
{
    for (size_t i = 0; i < sizeof nouns / sizeof *nouns; i++) {
        if (one && is_word(at, nouns[i][1]))
            return nouns[i][1];
        const char *end = at + strlen(nouns[i][0]);
        if (!one && is_word(at, nouns[i][0]) && (!*end || strchr(",.;:)", *end)))
            return nouns[i][0];
    }
    return NULL;
}

/* Whether a number begins here that counts: no part of a name, length, fraction or figure. */
static bool counts(const char *text, const char *at)
{
    return isdigit((unsigned char)*at) &&
           (at == text || at[-1] == ' ' || at[-1] == '\n' || at[-1] == '(');
}

static bool reads_well(const char *text, struct buf *why)
{
    for (const char *at = text; *at; at++) {
        size_t digits = counts(text, at) ? strspn(at, "0123456789") : 0;
        if (!digits || at[digits] != ' ')
            continue;
        const char *noun = wrong_noun(at + digits + 1, digits == 1 && *at == '1');
        if (noun) {
            const char *from = at - text > 30 ? at - 30 : text;
            buf_printf(why, "'%.*s %s' in '%.70s'", (int)digits, at, noun, from);
            return false;
        }
    }
    return true;
}

static bool findings_read_well(const struct diag *d, struct buf *why)
{
    bool held = true;
    for (uint32_t i = 0; held && i < d->findings.n; i++) {
        const struct finding *f = &d->findings.at[i];
        held = reads_well(f->message, why) && (!f->mend || reads_well(f->mend, why));
        for (uint32_t k = 0; held && k < f->related_count; k++)
            held = reads_well(f->related[k].message, why);
    }
    return held;
}

static bool reports_read_well(const struct results *r, struct buf *why)
{
    bool held = true;
    for (uint32_t i = 0; held && i < report_count; i++) {
        struct buf out = {0};
        report_write(&report_table[i], r, REPORT_TEXT, &out);
        held = reads_well(buf_text(&out), why);
        buf_free(&out);
    }
    return held;
}

bool property_numerals(const struct subject *s, struct buf *why)
{
    struct results results;
    if (!findings_read_well(&s->c->diag, why))
        return false;
    if (!s->c->model || !s->c->cuts || !cmd_results(s->c, &results) ||
        !reports_read_well(&results, why))
        return !why->n;
    bool held = true;
    for (uint32_t i = 0; held && i < s->c->model->runs.n; i++) {
        struct report way = {0};
        way_explain(&results, &way, s->c->model->runs.at[i]);
        for (uint32_t k = 0; held && k < way.notes.n; k++)
            held = reads_well(way.notes.at[k], why);
    }
    return held;
}

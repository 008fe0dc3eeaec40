/* The walk-round of the inspection: what the plan shows, with its evidence, and what only eyes on
 * site can see, as a list made from this plan. Nothing is called good that was not looked at: "no
 * fault found" is said of the rules that were checked, and of no more. */
#include "emit/reports/inspection.h"

#include "diag/diag.h"
#include "emit/reports/inspection_lines.h"
#include "emit/reports/reports.h"
#include "resolve/value.h"

#include <string.h>

static const struct column columns[] = {
    [INSPECTION_STAGE] = {"stage", "Stage", 0, 0},
    [INSPECTION_ITEM] = {"item", "Item", 0, 0},
    [INSPECTION_STATE] = {"state", "State", 0, 0},
    [INSPECTION_EVIDENCE] = {"evidence", "Evidence", 0, 0},
    [INSPECTION_SOURCE] = {"source", "Source", 0, 0},
};

/* What a rule, or the rules of a line, found. */
struct outcome {
    uint32_t faults, waived;
    bool untold; /* there were more findings than are told: it is not known that they found nothing
                  */
};

/* While the report is written. */
struct writing {
    const struct results *r;
    struct report *report;
    struct tally tally;
    struct outcome *of_rule; /* by place in the list of rules */
    name_list *subjects;     /* of its faults, likewise */
};

static void count_findings(struct writing *w)
{
    const struct results *r = w->r;
    for (uint32_t i = 0; i < r->diag->findings.n; i++) {
        const struct finding *f = &r->diag->findings.at[i];
        if (f->severity == NOTE)
            continue;
        uint32_t place = *f->rule->place;
        if (f->waived) {
            w->of_rule[place].waived++;
            continue;
        }
        w->of_rule[place].faults++;
        if (f->subject)
            *vec_push(r->arena, &w->subjects[place]) =
                arena_copy(r->arena, f->subject, strcspn(f->subject, "\n"));
    }
}

static void say(struct writing *w, name_list *list, const char *words)
{
    *vec_push(w->r->arena, list) = words;
}

static void add_row(struct writing *w, const struct inspection_line *line, const char *state,
                    const name_list *evidence, const char *source)
{
    struct cell *row = table_row(&w->report->rows);
    row[INSPECTION_STAGE] = cell_text(line->stage);
    row[INSPECTION_ITEM] = cell_text(line->item);
    row[INSPECTION_STATE] = cell_text(state);
    row[INSPECTION_EVIDENCE] = evidence->n ? cell_list(evidence->at, evidence->n) : cell_text(NULL);
    row[INSPECTION_SOURCE] = cell_text(source);
}

static const name_list *list_of(const struct writing *w, size_t field)
{
    static const name_list none;
    return field ? (const name_list *)(const void *)((const char *)&w->tally + field - 1) : &none;
}

static uint32_t count_of(const struct writing *w, size_t field)
{
    return field ? *(const uint32_t *)(const void *)((const char *)&w->tally + field - 1) : 0;
}

/* The article of the first rule that has one, else the library's for the line. */
static const char *source_of(struct writing *w, const struct inspection_line *line)
{
    struct code *code = &w->r->model->code;
    for (int i = 0; i < LINE_RULES && line->rules[i]; i++) {
        const char *article = code_article(code, rule_named(line->rules[i]));
        if (article)
            return article;
    }
    const char *article = code_row_article(code, COL_INSPECTION_LINES_ARTICLE, line->key);
    return article && code->electrical
               ? arena_printf(w->r->arena, "%s %s", code->electrical->label, article)
               : article;
}

static struct outcome outcome_of(const struct writing *w, const struct inspection_line *line)
{
    struct outcome o = {0};
    for (int i = 0; i < LINE_RULES && line->rules[i]; i++) {
        const struct rule *rule = rule_named(line->rules[i]);
        o.faults += w->of_rule[*rule->place].faults;
        o.waived += w->of_rule[*rule->place].waived;
        o.untold |= diag_is_full(w->r->diag, rule);
    }
    return o;
}

/* "rules hall-receptacle, foyer-receptacle". */
static const char *rule_words(struct writing *w, const struct inspection_line *line)
{
    const char *words =
        arena_printf(w->r->arena, "rule%s %s", line->rules[1] ? "s" : "", line->rules[0]);
    for (int i = 1; i < LINE_RULES && line->rules[i]; i++)
        words = arena_printf(w->r->arena, "%s, %s", words, line->rules[i]);
    return words;
}

/* "gfci-missing (2): bath.R1", "bath.R2". */
static void say_fault(struct writing *w, const struct rule *rule, name_list *evidence)
{
    const name_list *at = &w->subjects[*rule->place];
    uint32_t faults = w->of_rule[*rule->place].faults;
    if (faults)
        say(w, evidence,
            arena_printf(w->r->arena, "%s (%u)%s%s", rule->name, faults, at->n ? ": " : "",
                         at->n ? at->at[0] : ""));
    for (uint32_t k = 1; k < at->n; k++)
        say(w, evidence, at->at[k]);
}

/* What the rules of a line found, or that they found nothing, and in how much. */
static void add_rules(struct writing *w, const struct inspection_line *line, struct outcome o,
                      const char *source)
{
    name_list evidence = {0};
    for (int i = 0; i < LINE_RULES && line->rules[i]; i++)
        say_fault(w, rule_named(line->rules[i]), &evidence);
    if (o.untold)
        say(w, &evidence, "not every finding is told: see limit");
    if (o.waived)
        say(w, &evidence,
            arena_printf(w->r->arena, "%u waived: the authority's written consent is wanted",
                         o.waived));
    if (!o.faults && !o.untold && line->count)
        say(w, &evidence,
            arena_printf(w->r->arena, "%s: %u", line->counted, count_of(w, line->count)));
    if (!o.faults)
        say(w, &evidence, rule_words(w, line));
    add_row(w, line,
            o.faults || o.untold ? STATE_FAULT
            : o.waived           ? STATE_WAIVED
                                 : STATE_FINE,
            &evidence, source);
}

/* What to look at, with the lengths that the library gives for it; one that the edition does not
 * ask is left out, the last one's words end the line. */
static const char *look_words(struct writing *w, const struct inspection_line *line)
{
    struct code *code = &w->r->model->code;
    const char *words = line->look;
    enum { FIGURES = sizeof line->figures / sizeof *line->figures };
    for (size_t i = 0; i < FIGURES && line->figures[i].setting; i++) {
        bool last = i + 1 == FIGURES || !line->figures[i + 1].setting;
        length figure = code_length(code, line->figures[i].setting, -1);
        struct buf b = {0};
        if (figure >= 0)
            length_print(&b, figure);
        if (b.n || last)
            words = arena_printf(w->r->arena, "%s, %s%s%s", words, buf_text(&b), b.n ? " " : "",
                                 line->figures[i].words);
        buf_free(&b);
    }
    return words;
}

/* What to look at on site, with the places. */
static void say_look(struct writing *w, const struct inspection_line *line, name_list *evidence)
{
    const name_list *places = list_of(w, line->list);
    if (!line->look || (!places->n && line->only_listed))
        return;
    const char *look = look_words(w, line);
    if (line->number)
        say(w, evidence, arena_printf(w->r->arena, "%s: %u", look, count_of(w, line->number)));
    else
        say(w, evidence,
            places->n ? arena_printf(w->r->arena, "%s: %s", look, places->at[0]) : look);
    for (uint32_t i = line->number ? 0 : 1; i < places->n; i++)
        say(w, evidence, places->at[i]);
}

static void add_said(struct writing *w, const struct inspection_line *line, const char *state,
                     const name_list *evidence, const char *source)
{
    if (evidence->n)
        add_row(w, line, state, evidence, source);
}

/* The rows of a line; one row, where the plan has nothing of the kind. */
static void add_line(struct writing *w, const struct inspection_line *line)
{
    const char *source = source_of(w, line);
    struct outcome o = outcome_of(w, line);
    struct told told = {0};
    bool any = !line->count || count_of(w, line->count) || o.faults || o.waived ||
               list_of(w, line->list)->n;
    uint32_t before = table_rows(&w->report->rows);
    if (any && line->rules[0])
        add_rules(w, line, o, source);
    if (any && line->tell)
        line->tell(w->r, &w->tally, &told);
    if (any && line->missing)
        say(w, &told.missing, line->missing);
    if (any)
        say_look(w, line, &told.look);
    add_said(w, line, STATE_SHOWN, &told.shown, source);
    add_said(w, line, STATE_MISSING, &told.missing, source);
    add_said(w, line, STATE_LOOK, &told.look, source);
    if (table_rows(&w->report->rows) == before)
        add_row(w, line, STATE_NONE, &(name_list){0}, source);
}

/* Faults that no line speaks of are not passed over. */
static void add_others(struct writing *w)
{
    static const struct inspection_line line = {.stage = BEFORE_BORING,
                                                .item = "Faults of other rules: see check"};
    bool *spoken = arena_array(w->r->arena, bool, rule_count);
    name_list evidence = {0};
    for (uint32_t i = 0; i < inspection_line_count; i++)
        for (int k = 0; k < LINE_RULES && inspection_lines[i].rules[k]; k++)
            spoken[*rule_named(inspection_lines[i].rules[k])->place] = true;
    for (uint32_t i = 0; i < rule_count; i++)
        if (!spoken[i])
            say_fault(w, rule_list[i], &evidence);
    add_said(w, &line, STATE_FAULT, &evidence, NULL);
}

void report_inspection(const struct results *r, struct report *report)
{
    struct writing *w = arena_new(r->arena, struct writing);
    w->r = r;
    w->report = report;
    w->of_rule = arena_array(r->arena, struct outcome, rule_count);
    w->subjects = arena_array(r->arena, name_list, rule_count);
    report->people = inspection_text;
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    tally_plan(r, &w->tally);
    count_findings(w);
    for (uint32_t i = 0; i < inspection_line_count; i++) {
        if (i && !strcmp(inspection_lines[i].stage, BEFORE_COVER) &&
            strcmp(inspection_lines[i - 1].stage, BEFORE_COVER))
            add_others(w);
        add_line(w, &inspection_lines[i]);
    }
    *vec_push(r->arena, &report->notes) =
        "[ ]: something is left to look at or to bring. [!]: a rule found a fault, or the plan "
        "waives one. shown: the plan has it, in the report or drawing that is named. no fault "
        "found: the rules that are named were checked on the plan and found nothing; they see what "
        "is drawn, not what is built. look on site: nobody has looked yet. not in the "
        "plan: another paper says it, or the plan does not say it yet.";
    *vec_push(r->arena, &report->notes) = "The items are those that inspectors' lists name most "
                                          "often. The authority's own list goes before this one.";
}

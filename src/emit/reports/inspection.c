/* The walk-round of the inspection: what the plan shows, with its evidence, and what only eyes on
 * site can see, as a list made from this plan. Nothing is called good that was not looked at: "no
 * fault found" is said of the rules that were checked, and of no more. */
#include "emit/reports/inspection.h"

#include "diag/diag.h"
#include "emit/reports/inspection_lines.h"
#include "emit/reports/reports.h"
#include "emit/unchecked.h"
#include "emit/words/circuits.h"
#include "resolve/value.h"

#include <string.h>

static const struct column columns[] = {
    [INSPECTION_STAGE] = {"stage", "Stage", 0, 0},
    [INSPECTION_ITEM] = {"item", "Item", 0, 0},
    [INSPECTION_STATE] = {"state", "State", 0, 0},
    [INSPECTION_EVIDENCE] = {"evidence", "Evidence", 0, 0},
    [INSPECTION_SOURCE] = {"source", "Source", 0, 0},
};

/* What a rule, or the rules of a line, judged and found. */
struct outcome {
    uint32_t judged, faults, waived;
    uint32_t let; /* advice that is waived: nobody has to consent */
    bool untold;  /* there were more findings than are told: it is not known that they found nothing
                   */
};

/* While the report is written. */
struct writing {
    const struct results *r;
    struct report *report;
    struct tally tally;
    struct outcome *of_rule;                /* by place in the list of rules */
    name_list *subjects;                    /* of its faults, likewise */
    const struct inspection_line **line_of; /* the last that speaks of it, likewise */
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
            (*(f->severity == ERROR ? &w->of_rule[place].waived : &w->of_rule[place].let))++;
            continue;
        }
        w->of_rule[place].faults++;
        if (f->subject)
            *vec_push(r->arena, &w->subjects[place]) = words_subject(r, f);
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
    row[INSPECTION_ITEM] = cell_shown(cell_text(line->item), line->told);
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
        o.let += w->of_rule[*rule->place].let;
        o.judged += diag_judged(w->r->diag, rule);
        o.untold |= diag_is_full(w->r->diag, rule);
    }
    return o;
}

/* "hall-receptacle: 2", how many things each rule judged; then those that had nothing to judge. */
static void say_rules(struct writing *w, const struct inspection_line *line, name_list *evidence)
{
    const char *idle = NULL;
    for (int i = 0; i < LINE_RULES && line->rules[i]; i++) {
        uint32_t judged = diag_judged(w->r->diag, rule_named(line->rules[i]));
        if (judged)
            say(w, evidence, arena_printf(w->r->arena, "%s: %u", line->rules[i], judged));
        else
            idle = idle ? arena_printf(w->r->arena, "%s, %s", idle, line->rules[i])
                        : arena_printf(w->r->arena, "nothing to judge: %s", line->rules[i]);
    }
    if (idle)
        say(w, evidence, idle);
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

/* What the rules of a line found, or that they found nothing, and in how much: nothing is said
 * where they had nothing to judge. */
static void add_rules(struct writing *w, const struct inspection_line *line, struct outcome o,
                      const char *source)
{
    name_list evidence = {0};
    if (!o.judged && !o.faults && !o.untold && !o.waived && !o.let)
        return;
    for (int i = 0; i < LINE_RULES && line->rules[i]; i++)
        say_fault(w, rule_named(line->rules[i]), &evidence);
    if (o.untold)
        say(w, &evidence, "not every finding is told: see limit");
    if (o.waived)
        say(w, &evidence,
            arena_printf(w->r->arena, "%u waived: the authority's written consent is wanted",
                         o.waived));
    if (o.let)
        say(w, &evidence, arena_printf(w->r->arena, "%u waived, of advice", o.let));
    if (!o.faults)
        say_rules(w, line, &evidence);
    add_row(w, line,
            o.faults || o.untold ? STATE_FAULT
            : o.waived           ? STATE_WAIVED
            : o.let              ? STATE_LET
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

/* What the rules of a line could not see, each spot on the last line that speaks of its rule. */
static void say_spots(struct writing *w, const struct inspection_line *line, name_list *evidence)
{
    for (uint32_t i = 0; i < blind_spot_count; i++) {
        const struct blind_spot *spot = blind_spot_list[i];
        if (w->line_of[*spot->rule->place] != line)
            continue;
        blind_things things = diag_blind_things(w->r->diag, spot);
        for (uint32_t k = 0; k < things.n; k++)
            say(w, evidence,
                k && !*spot->after ? things.at[k]
                : *spot->after     ? unchecked_spot_words(w->r->arena, spot, things.at[k])
                               : arena_printf(w->r->arena, "%s: %s", spot->before, things.at[k]));
    }
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
    bool counted = !line->count || count_of(w, line->count) || list_of(w, line->list)->n,
         judged = o.judged || o.faults || o.waived || o.let || o.untold;
    uint32_t before = table_rows(&w->report->rows);
    if (line->rules[0])
        add_rules(w, line, o, source);
    if (counted && line->tell)
        line->tell(w->r, &w->tally, &told);
    if (counted && line->missing)
        say(w, &told.missing, line->missing);
    if (line->rules[0] ? judged || list_of(w, line->list)->n : counted)
        say_look(w, line, &told.look);
    say_spots(w, line, &told.look);
    add_said(w, line, STATE_SHOWN, &told.shown, source);
    add_said(w, line, STATE_MISSING, &told.missing, source);
    add_said(w, line, STATE_LOOK, &told.look, source);
    if (table_rows(&w->report->rows) == before)
        add_row(w, line, STATE_NONE, &(name_list){0}, source);
}

static const struct inspection_line others = {.stage = BEFORE_BORING,
                                              .item = "Other rules: see check"};

/* The last line that speaks of each rule, or that of the others. */
static void find_lines(struct writing *w)
{
    w->line_of = arena_array(w->r->arena, const struct inspection_line *, rule_count);
    for (uint32_t i = 0; i < rule_count; i++)
        w->line_of[i] = &others;
    for (uint32_t i = 0; i < inspection_line_count; i++)
        for (int k = 0; k < LINE_RULES && inspection_lines[i].rules[k]; k++)
            w->line_of[*rule_named(inspection_lines[i].rules[k])->place] = &inspection_lines[i];
}

/* Faults that no line speaks of are not passed over, nor what their rules could not see. */
static void add_others(struct writing *w)
{
    name_list faults = {0}, look = {0};
    for (uint32_t i = 0; i < rule_count; i++)
        if (w->line_of[i] == &others)
            say_fault(w, rule_list[i], &faults);
    say_spots(w, &others, &look);
    add_said(w, &others, STATE_FAULT, &faults, NULL);
    add_said(w, &others, STATE_LOOK, &look, NULL);
}

/* "0 faults, 31 things to look at on site": above all else. */
static void sum_up(struct writing *w)
{
    uint32_t faults = 0, waived = 0, look = 0, missing = 0;
    const struct grid *rows = &w->report->rows;
    for (uint32_t i = 0; i < rule_count; i++) {
        faults += w->of_rule[i].faults;
        waived += w->of_rule[i].waived + w->of_rule[i].let;
    }
    for (uint32_t i = 0; i < table_rows(rows); i++) {
        const char *state = rows->cells.at[i * rows->column_count + INSPECTION_STATE].text;
        look += !strcmp(state, STATE_LOOK);
        missing += !strcmp(state, STATE_MISSING);
    }
    struct arena *a = w->r->arena;
    w->report->says = arena_printf(a, "%s%s, %s to look at on site, %u not in the plan.",
                                   arena_counted(a, faults, "fault", "faults"),
                                   waived ? arena_printf(a, ", %u waived", waived) : "",
                                   arena_counted(a, look, "thing", "things"), missing);
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
    find_lines(w);
    for (uint32_t i = 0; i < inspection_line_count; i++) {
        if (i && !strcmp(inspection_lines[i].stage, BEFORE_COVER) &&
            strcmp(inspection_lines[i - 1].stage, BEFORE_COVER))
            add_others(w);
        add_line(w, &inspection_lines[i]);
    }
    sum_up(w);
    inspection_rooms(r, report);
    *vec_push(r->arena, &report->notes) =
        "[ ]: something is left to look at or to bring. [!]: a rule found a fault, or the plan "
        "waives one. shown: the plan has it, in the report or drawing that is named. no fault "
        "found: each rule that is named judged so many things of the plan and found nothing; "
        "rules see what is drawn, not what is built. look on site: nobody has looked yet. not in "
        "the "
        "plan: another paper says it, or the plan does not say it yet.";
    *vec_push(r->arena, &report->notes) = "The items are those that inspectors' lists name most "
                                          "often. The authority's own list goes before this one.";
}

/* The walk-round of the inspection: what the plan shows, with its evidence, and what only eyes on site can see, as a list made from this plan. Nothing is called
 * good that was not looked at: "no fault found" is said of the rules that were checked, and of no more. */
#include "emit/reports/inspection.h"

#include "emit/reports/inspection_lines.h"
#include "emit/reports/reports.h"
#include "emit/reports/words.h"

#include <string.h>

enum { STAGE, ITEM, STATE, EVIDENCE, SOURCE };

static const struct column columns[] = {
    [STAGE] = {"stage", "Stage", 0, 0},
    [ITEM] = {"item", "Item", 0, 0},
    [STATE] = {"state", "State", 0, 0},
    [EVIDENCE] = {"evidence", "Evidence", 0, 0},
    [SOURCE] = {"source", "Source", 0, 0},
};

/* While the report is written. */
struct writing {
    const struct results *r;
    struct report *report;
    struct tally tally;
    uint32_t faults[RULE_COUNT], waived[RULE_COUNT];
    name_list subjects[RULE_COUNT]; /* of the faults */
};

static void count_findings(struct writing *w)
{
    const struct results *r = w->r;
    for (uint32_t i = 0; i < r->diag->findings.n; i++) {
        const struct finding *f = &r->diag->findings.at[i];
        if (f->severity == NOTE)
            continue;
        if (f->waived) {
            w->waived[f->rule]++;
            continue;
        }
        w->faults[f->rule]++;
        if (f->subject)
            *vec_push(r->arena, &w->subjects[f->rule]) = arena_copy(r->arena, f->subject, strcspn(f->subject, "\n"));
    }
}

static void add_row(struct writing *w, const struct inspection_line *line, const char *state, const name_list *evidence, const char *source)
{
    struct cell *row = table_row(&w->report->rows);
    row[STAGE] = cell_text(line->stage);
    row[ITEM] = cell_text(line->item);
    row[STATE] = cell_text(state);
    row[EVIDENCE] = evidence->n ? cell_list(evidence->at, evidence->n) : cell_text(NULL);
    row[SOURCE] = cell_text(source);
}

static const name_list *list_of(const struct writing *w, size_t field)
{
    return field ? (const name_list *)(const void *)((const char *)&w->tally + field - 1) : NULL;
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
        const char *article = code_article(code, rule_table[line->rules[i]].name);
        if (article)
            return article;
    }
    const struct table *t = line->key ? code_find_table(code, "inspection-lines") : NULL;
    const struct value *v = t ? table_cell(code, t, line->key, "article") : NULL;
    if (!v || v->kind != V_TEXT)
        return NULL;
    return code->electrical ? arena_printf(w->r->arena, "%s %s", code->electrical->label, v->name) : v->name;
}

/* What the rules of a line found, or that they found nothing, and in how much. */
static void add_rules(struct writing *w, const struct inspection_line *line, const char *source)
{
    struct arena *arena = w->r->arena;
    name_list evidence = {0};
    uint32_t faults = 0, waived = 0;
    for (int i = 0; i < LINE_RULES && line->rules[i]; i++) {
        enum rule_id rule = line->rules[i];
        faults += w->faults[rule];
        waived += w->waived[rule];
        if (w->faults[rule])
            *vec_push(arena, &evidence) = arena_printf(arena, "%s: %u", rule_table[rule].name, w->faults[rule]);
        for (uint32_t k = 0; k < w->subjects[rule].n; k++)
            *vec_push(arena, &evidence) = w->subjects[rule].at[k];
    }
    bool none = line->count && !count_of(w, line->count) && !faults;
    if (waived)
        *vec_push(arena, &evidence) = arena_printf(arena, "%u waived: the authority's written consent is wanted", waived);
    if (!faults && line->count)
        *vec_push(arena, &evidence) = arena_printf(arena, "%u %s", count_of(w, line->count), line->counted);
    if (!faults)
        for (int i = 0; i < LINE_RULES && line->rules[i]; i++)
            *vec_push(arena, &evidence) = arena_printf(arena, "rule %s", rule_table[line->rules[i]].name);
    add_row(w, line, faults ? "fault" : none ? "nothing of the kind" : waived ? "waived" : "no fault found", &evidence, source);
}

/* What to look at, with the lengths that the library gives for it. */
static const char *look_words(struct writing *w, const struct inspection_line *line)
{
    struct code *code = &w->r->model->code;
    const char *words = line->look;
    for (size_t i = 0; i < sizeof line->figures / sizeof *line->figures && line->figures[i].table; i++) {
        const struct table *t = code_find_table(code, line->figures[i].table);
        const struct value *v = t ? table_setting(code, t, line->figures[i].setting) : NULL;
        struct buf b = {0};
        if (v && v->kind == V_LENGTH)
            length_print(&b, v->n);
        words = arena_printf(w->r->arena, "%s, %s%s%s", words, buf_text(&b), b.n ? " " : "", line->figures[i].words);
        buf_free(&b);
    }
    return words;
}

/* What to look at on site, with the places. */
static void add_look(struct writing *w, const struct inspection_line *line, const char *source)
{
    struct arena *arena = w->r->arena;
    const name_list *places = list_of(w, line->list);
    const char *look = look_words(w, line);
    name_list evidence = {0};
    if (places && !places->n && line->only_listed) {
        add_row(w, line, "nothing of the kind", &evidence, source);
        return;
    }
    uint32_t first = 0;
    if (line->number)
        *vec_push(arena, &evidence) = arena_printf(arena, "%s: %u", look, count_of(w, line->number));
    else if (places && places->n)
        *vec_push(arena, &evidence) = arena_printf(arena, "%s %s", look, places->at[first++]);
    else
        *vec_push(arena, &evidence) = look;
    for (uint32_t i = first; places && i < places->n; i++)
        *vec_push(arena, &evidence) = places->at[i];
    add_row(w, line, "look on site", &evidence, source);
}

static void add_line(struct writing *w, const struct inspection_line *line)
{
    const char *source = source_of(w, line);
    name_list evidence = {0};
    if (line->rules[0])
        add_rules(w, line, source);
    if (line->shown) {
        *vec_push(w->r->arena, &evidence) = line->shown;
        add_row(w, line, "shown", &evidence, source);
    }
    if (line->missing) {
        name_list not_shown = {0};
        *vec_push(w->r->arena, &not_shown) = line->missing;
        add_row(w, line, "not in the plan", &not_shown, source);
    }
    if (line->look)
        add_look(w, line, source);
}

/* The head of every sheet: what the plan gives, what it does not. */
static void add_heading(struct writing *w)
{
    const struct model *m = w->r->model;
    static const struct inspection_line line = {.stage = "for the permit", .item = "Address, owner, who drew it, date, edition on every sheet"};
    const struct {
        const char *name, *value;
    } fields[] = {{"site", m->site}, {"owner", m->owner}, {"by", m->by}, {"date", m->date}, {"permit", m->permit}};
    name_list given = {0}, missing = {0};
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        *vec_push(w->r->arena, fields[i].value ? &given : &missing) = fields[i].name;
    if (given.n)
        add_row(w, &line, "shown", &given, NULL);
    if (missing.n)
        add_row(w, &line, "not in the plan", &missing, NULL);
}

void report_inspection(const struct results *r, struct report *report)
{
    struct writing *w = arena_new(r->arena, struct writing);
    w->r = r;
    w->report = report;
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    tally_plan(r, &w->tally);
    count_findings(w);
    add_heading(w);
    for (uint32_t i = 0; i < inspection_line_count; i++)
        add_line(w, &inspection_lines[i]);
    *vec_push(r->arena, &report->notes) =
        "shown: the plan has it, in the report or drawing that is named. no fault found: the rules that are named were checked on the plan and found nothing; they see what is "
        "drawn, not what is built. look on site: nobody has looked yet. not in the plan: another paper says it.";
    *vec_push(r->arena, &report->notes) = "The items are those that inspectors' lists name most often. The authority's own list goes before this one.";
}

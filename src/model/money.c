/* What a plan says of money, and of how long work takes. */
#include "model/build.h"
#include "model/orders.h"
#include "resolve/edit.h"

#include <string.h>

const struct work_words model_works[WORKS] = {
#define WORK(id, word, one, many, of) [WORK_##id] = {word, one, many, of},
#include "model/works.def"
#undef WORK
};

/* What is said again of what was said before, and otherwise; the first counts. */
static void say_twice(struct builder *b, const struct node *n, struct span first, const char *what)
{
    struct finding *f = diag_add(b->diag, &rule_duplicate_clause, node_span(n),
                                 "%s is given twice; the first counts", what);
    diag_note(b->diag, f, first, "first given here");
    diag_mend(b->diag, f, "leave out the one that is wrong");
    edit_remove(edit_way(b->diag, f, false, "take this one away"), n);
}

/* --- prices ------------------------------------------------------------------------------- */

void build_price(struct builder *b, const struct node *n)
{
    const char *what = names_of(b->m->names, node_name(n, 0));
    double amount = val_amount(b, n, 1, C_NUMBER, 0);
    void **at = map_at(b->arena, &b->m->prices, 0, (uintptr_t)what);
    if (*at) {
        const struct price *first = *at;
        if (first->amount != amount)
            say_twice(b, n, first->at, arena_printf(b->arena, "the price of %s", what));
        return;
    }
    struct price *p = *at = arena_new(b->arena, struct price);
    *p = (struct price){.what = what, .amount = amount, .at = node_span(n)};
}

double model_price(const struct model *m, const char *what)
{
    const struct price *p = map_find(&m->prices, 0, names_of(m->names, what));
    return p ? p->amount : -1;
}

/* --- time and what is added --------------------------------------------------------------- */

static enum work_kind work_of(const char *word)
{
    enum work_kind w = 0;
    while (w < WORKS && strcmp(model_works[w].word, word) != 0)
        w++;
    return w;
}

static void read_rate(struct builder *b, struct terms *t, const struct node *n)
{
    const char *word = val_name(b, n, 0);
    enum work_kind w = word ? work_of(word) : WORKS;
    if (w == WORKS)
        return;
    double minutes = val_amount(b, n, 1, C_TIME, -1);
    if (t->rate_node[w]) {
        if (t->rate[w] != minutes)
            say_twice(b, n, node_span(t->rate_node[w]), arena_printf(b->arena, "rate %s", word));
        return;
    }
    t->rate[w] = minutes;
    t->rate_node[w] = n;
}

static void read_wage(struct builder *b, struct terms *t, const struct node *n)
{
    double wage = val_amount(b, n, 0, C_NUMBER, -1);
    if (t->wage_node) {
        if (t->wage != wage)
            say_twice(b, n, node_span(t->wage_node), "wage");
        return;
    }
    t->wage = wage;
    t->wage_node = n;
}

static enum money_part part_of(const char *word)
{
    static const char *const words[MONEY_PARTS] = {"materials", "work", "rentals", "allowances"};
    enum money_part p = 0;
    while (p < MONEY_PARTS && (!word || strcmp(words[p], word) != 0))
        p++;
    return p;
}

static void read_surcharge(struct builder *b, struct terms *t, const struct node *n)
{
    struct surcharge s = {.percent = 100 * val_amount(b, n, 0, C_PERCENT, 0),
                          .tax = n->form == F_TAX,
                          .on = part_of(val_name(b, n, 1)),
                          .node = n};
    for (uint32_t i = 0; i < t->surcharges.n; i++) {
        const struct surcharge *first = &t->surcharges.at[i];
        if (first->tax != s.tax || first->on != s.on)
            continue;
        if (first->percent != s.percent)
            say_twice(b, n, node_span(first->node),
                      arena_printf(b->arena, "this %s", s.tax ? "tax" : "markup"));
        return;
    }
    *vec_push(b->arena, &t->surcharges) = s;
}

/* Before anything is read. */
static void begin_terms(struct terms *t)
{
    t->wage = -1;
    for (int w = 0; w < WORKS; w++)
        t->rate[w] = -1;
}

const struct terms *model_terms(const struct model *m)
{
    if (m->terms)
        return m->terms;
    struct terms *none = arena_new(m->arena, struct terms);
    begin_terms(none);
    return none;
}

static const char *text_of(struct builder *b, const struct node *n)
{
    const struct value *v = val(b, n, 0, C_TEXT);
    return v && v->kind == V_TEXT ? v->name : "";
}

void build_terms(struct builder *b)
{
    struct terms *t = b->m->terms = arena_new(b->arena, struct terms);
    begin_terms(t);
    for (const struct node *n = b->file->child; n; n = n->next) {
        if (n->broken)
            continue;
        if (n->form == F_RATE)
            read_rate(b, t, n);
        else if (n->form == F_WAGE)
            read_wage(b, t, n);
        else if (n->form == F_MARKUP || n->form == F_TAX)
            read_surcharge(b, t, n);
        else if (n->form == F_RENTAL)
            *vec_push(b->arena, &t->rentals) =
                (struct rental){text_of(b, n), val_amount(b, n, 1, C_NUMBER, 0),
                                clause_count(b, n, F_RENTAL_DAYS, MOST_COUNTED, 0)};
        else if (n->form == F_ALLOWANCE)
            *vec_push(b->arena, &t->allowances) =
                (struct allowance){text_of(b, n), val_amount(b, n, 1, C_NUMBER, 0)};
    }
}

/* What a job costs: materials at their prices, work by its counts, times and wage, what is rented
 * and set aside, markup and tax. What has no price is listed as such. */
#include "emit/money.h"
#include "emit/reports/materials.h"
#include "emit/reports/reports.h"
#include "emit/reports/times.h"
#include "emit/words/devices.h"

#include <stdlib.h>
#include <string.h>

enum {
    PART,
    ITEM,
    QUANTITY,
    UNIT,
    DONE,
    EACH_MINUTES,
    MINUTES,
    HOURS,
    INVENTED,
    BASE,
    PERCENT,
    UNIT_PRICE,
    PRICE,
    COLUMNS
};

static const struct column columns[COLUMNS] = {
    [PART] = {"part", "Part", 0, 0},
    [ITEM] = {"item", "Item", 0, 0},
    [QUANTITY] = {"quantity", "Number", 2, COLUMN_RIGHT},
    [UNIT] = {"unit", "Unit", 0, 0},
    [DONE] = {"done", "Done", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [EACH_MINUTES] = {"each_min", "Minutes each", 4, COLUMN_RIGHT | COLUMN_IF_USED},
    [MINUTES] = {"minutes", "Minutes", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [HOURS] = {"hours", "Hours", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [INVENTED] = {"invented", "Invented", 0, COLUMN_IF_USED},
    [BASE] = {"of", "Of", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [PERCENT] = {"percent", "%", 4, COLUMN_RIGHT | COLUMN_IF_USED},
    [UNIT_PRICE] = {"unit_price", "Each", 4, COLUMN_RIGHT},
    [PRICE] = {"price", "Price", 2, COLUMN_RIGHT},
};

enum {
    SUM_MATERIALS,
    SUM_UNPRICED,
    SUM_HOURS,
    SUM_WORK,
    SUM_RENTALS,
    SUM_ALLOWANCES,
    SUM_MARKUP,
    SUM_TAX,
    SUM_TOTAL,
    SUM_CURRENCY,
    SUMS
};

static const struct column sum_columns[SUMS] = {
    [SUM_MATERIALS] = {"materials", "Materials", 2, COLUMN_RIGHT},
    [SUM_UNPRICED] = {"unpriced", "Items without a price", 0, COLUMN_RIGHT},
    [SUM_HOURS] = {"hours", "Hours", 2, COLUMN_RIGHT},
    [SUM_WORK] = {"work", "Work", 2, COLUMN_RIGHT},
    [SUM_RENTALS] = {"rentals", "Rentals", 2, COLUMN_RIGHT},
    [SUM_ALLOWANCES] = {"allowances", "Allowances", 2, COLUMN_RIGHT},
    [SUM_MARKUP] = {"markup", "Markup", 2, COLUMN_RIGHT},
    [SUM_TAX] = {"tax", "Tax", 2, COLUMN_RIGHT},
    [SUM_TOTAL] = {"total", "Total", 2, COLUMN_RIGHT},
    [SUM_CURRENCY] = {"currency", "Currency", 0, COLUMN_IF_USED},
};

/* For people: what it comes to, then what of. */
enum { SHARE_WHAT, SHARE_HOW, SHARE_PRICE };

static const struct column share_columns[] = {
    [SHARE_WHAT] = {"item", "What", 0, COLUMN_TOP},
    [SHARE_HOW] = {"of", "How", 0, COLUMN_IF_USED},
    [SHARE_PRICE] = {"price", "Price", 2, COLUMN_RIGHT | COLUMN_TOP},
};

enum { BUY_NUMBER, BUY_UNIT, BUY_ITEM, BUY_DONE, BUY_EACH, BUY_PRICE, BUY_NAME };

static const struct column buy_columns[] = {
    [BUY_NUMBER] = {"quantity", "Number", 0, COLUMN_RIGHT | COLUMN_TOP},
    [BUY_UNIT] = {"unit", "Unit", 0, COLUMN_IF_USED | COLUMN_TOP},
    [BUY_ITEM] = {"item", "Item", 0, COLUMN_TOP},
    [BUY_DONE] = {"done", "Bought", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [BUY_EACH] = {"unit_price", "Each", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [BUY_PRICE] = {"price", "Price", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [BUY_NAME] = {"name", "To price it", 0, COLUMN_IF_USED},
};

enum { WORK_NUMBER, WORK_WHAT, WORK_DONE, WORK_EACH, WORK_HOURS, WORK_PRICE, WORK_INVENTED };

static const struct column work_columns[] = {
    [WORK_NUMBER] = {"quantity", "Number", 0, COLUMN_RIGHT | COLUMN_TOP},
    [WORK_WHAT] = {"item", "Work", 0, COLUMN_TOP},
    [WORK_DONE] = {"done", "Done", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [WORK_EACH] = {"each_min", "Minutes each", 2, COLUMN_RIGHT},
    [WORK_HOURS] = {"hours", "Hours", 2, COLUMN_RIGHT},
    [WORK_PRICE] = {"price", "Price", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [WORK_INVENTED] = {"invented", "Time", 0, COLUMN_IF_USED},
};

/* What is counted of one kind of work. */
struct amount {
    struct effort left, done;
    work_time time; /* of what is left */
};

struct estimate {
    const struct results *r;
    const struct terms *terms;
    struct report *report;
    purchase_list bought; /* left to buy */
    struct map whole;     /* (0, name) -> struct purchase: of the whole job, where a log is kept */
    struct times times;
    struct amount work[WORKS];
    money part[MONEY_PARTS], markup_on[MONEY_PARTS], markup, tax, total;
    int64_t hours; /* hundredths */
    uint32_t unpriced, invented;
};

static const char *const part_names[MONEY_PARTS] = {
    [PART_OF_MATERIALS] = "materials",
    [PART_OF_WORK] = "work",
    [PART_OF_RENTALS] = "rentals",
    [PART_OF_ALLOWANCES] = "allowances",
};

static struct cell money_cell(money m)
{
    return cell_number(money_amount(m));
}

/* --- words -------------------------------------------------------------------------------- */

/* "1204.50", as everywhere. */
static const char *amount_words(const struct estimate *e, double amount)
{
    struct buf b = {0};
    table_print_number(&b, amount, 2);
    const char *words = arena_copy(e->r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

static const char *money_words(const struct estimate *e, money m)
{
    return amount_words(e, money_amount(m));
}

/* All figures that are written behind the point, `least` of them at least. */
static const char *exact_words(const struct estimate *e, double n, size_t least)
{
    enum { FIGURES = 4 };
    struct buf b = {0};
    table_print_number(&b, n, FIGURES);
    for (size_t behind = FIGURES; behind > least && b.at[b.n - 1] == '0'; behind--)
        b.n--;
    b.n -= b.at[b.n - 1] == '.';
    const char *words = arena_copy(e->r->arena, b.at, b.n);
    buf_free(&b);
    return words;
}

/* What one costs, as it is written. */
static struct cell each_cell(const struct estimate *e, double price)
{
    return cell_shown(cell_number(price), exact_words(e, price, 2));
}

/* --- counting ----------------------------------------------------------------------------- */

/* Whether what is done is told beside what is left. */
static bool tells_done(const struct estimate *e)
{
    return e->r->log && !e->r->whole;
}

static void count_work(struct estimate *e)
{
    struct results whole = *e->r;
    whole.whole = true;
    const struct tasks left = tasks_find(e->r, false);
    for (uint32_t i = 0; i < left.list.n; i++)
        for (int k = 0; k < MOST_EFFORTS; k++) {
            const struct effort *x = &left.list.at[i].efforts[k];
            struct amount *a = &e->work[x->work];
            a->left.count += x->count;
            a->left.feet += x->feet;
            a->time += times_of_effort(&e->times, x);
        }
    const struct tasks all = tells_done(e) ? tasks_find(&whole, false) : (struct tasks){0};
    for (uint32_t i = 0; i < all.list.n; i++)
        for (int k = 0; k < MOST_EFFORTS; k++) {
            const struct effort *x = &all.list.at[i].efforts[k];
            e->work[x->work].done.count += x->count;
            e->work[x->work].done.feet += x->feet;
        }
    for (int w = 0; w < WORKS && tells_done(e); w++) {
        e->work[w].done.count -= e->work[w].left.count;
        e->work[w].done.feet -= e->work[w].left.feet;
    }
}

static void count_materials(struct estimate *e)
{
    struct results whole = *e->r;
    whole.whole = true;
    e->bought = materials_find(e->r);
    const purchase_list all = tells_done(e) ? materials_find(&whole) : (purchase_list){0};
    for (uint32_t i = 0; i < all.n; i++)
        map_file(e->r->arena, &e->whole, 0, all.at[i]->name, all.at[i]);
}

/* How many of a thing are bought by the log. */
static uint64_t done_of(const struct estimate *e, const struct purchase *p)
{
    const struct purchase *all = map_find(&e->whole, 0, p->name);
    return all && all->quantity > p->quantity ? all->quantity - p->quantity : 0;
}

/* --- rows --------------------------------------------------------------------------------- */

static struct cell *add_row(struct estimate *e, const char *part, const char *item)
{
    struct cell *row = table_row(&e->report->rows);
    row[PART] = cell_text(part);
    row[ITEM] = cell_text(item);
    return row;
}

static void add_materials(struct estimate *e)
{
    for (uint32_t i = 0; i < e->bought.n; i++) {
        const struct purchase *p = e->bought.at[i];
        struct cell *row = add_row(e, part_names[PART_OF_MATERIALS], p->name);
        row[QUANTITY] = cell_integer((int64_t)p->quantity);
        row[UNIT] = cell_text(p->unit);
        if (tells_done(e))
            row[DONE] = cell_integer((int64_t)done_of(e, p));
        if (p->price < 0) {
            e->unpriced++;
            continue;
        }
        row[UNIT_PRICE] = each_cell(e, p->price);
        row[PRICE] = money_cell(materials_money(p));
        e->part[PART_OF_MATERIALS] = money_add(e->part[PART_OF_MATERIALS], materials_money(p));
    }
}

static bool has_some(const struct effort *e)
{
    return e->count || e->feet;
}

static struct cell amount_cell(enum work_kind w, const struct effort *e)
{
    return work_is_of_feet(w) ? cell_length(e->feet) : cell_integer(e->count);
}

static money price_of_work(const struct estimate *e, const struct amount *a)
{
    double wage = e->terms->wage;
    return wage < 0 ? 0 : money_of_hours(wage, times_hours(a->time));
}

static void add_work(struct estimate *e)
{
    for (enum work_kind w = 0; w < WORKS; w++) {
        const struct amount *a = &e->work[w];
        if (!has_some(&a->left) && !has_some(&a->done))
            continue;
        struct cell *row = add_row(e, part_names[PART_OF_WORK], model_works[w].word);
        row[QUANTITY] = amount_cell(w, &a->left);
        row[UNIT] = cell_text(model_works[w].one);
        if (tells_done(e))
            row[DONE] = amount_cell(w, &a->done);
        row[EACH_MINUTES] = cell_number(times_minutes_each(&e->times, w));
        row[MINUTES] = cell_number(times_minutes(a->time));
        row[HOURS] = money_cell(times_hours(a->time));
        row[INVENTED] = cell_bool(e->times.invented[w]);
        if (e->terms->wage >= 0) {
            row[UNIT_PRICE] = each_cell(e, e->terms->wage);
            row[PRICE] = money_cell(price_of_work(e, a));
        }
        e->invented += e->times.invented[w];
        e->hours += times_hours(a->time);
        e->part[PART_OF_WORK] = money_add(e->part[PART_OF_WORK], price_of_work(e, a));
    }
}

static int by_words(const void *a, const void *b)
{
    const struct rental *x = a, *y = b;
    int order = strcmp(x->what, y->what);
    if (order)
        return order;
    return x->price != y->price ? (x->price < y->price ? -1 : 1)
                                : (x->days > y->days) - (x->days < y->days);
}

/* Rentals, or allowances, which are for no days, by their words: the order of the text decides
 * nothing. */
static void add_sums(struct estimate *e, enum money_part part, const struct rental *list,
                     uint32_t count)
{
    struct rental *sorted = arena_array(e->r->arena, struct rental, count + 1);
    for (uint32_t i = 0; i < count; i++)
        sorted[i] = list[i];
    qsort(sorted, count, sizeof *sorted, by_words);
    for (uint32_t i = 0; i < count; i++) {
        uint32_t times = sorted[i].days ? sorted[i].days : 1;
        money price = money_of(sorted[i].price, times);
        struct cell *row = add_row(e, part_names[part], sorted[i].what);
        row[QUANTITY] = cell_integer(times);
        row[UNIT] = cell_text(sorted[i].days ? "day" : "each");
        row[UNIT_PRICE] = each_cell(e, sorted[i].price);
        row[PRICE] = money_cell(price);
        e->part[part] = money_add(e->part[part], price);
    }
}

static void add_rentals(struct estimate *e)
{
    const struct terms *t = e->terms;
    struct rental *list = arena_array(e->r->arena, struct rental, t->allowances.n + 1);
    for (uint32_t i = 0; i < t->allowances.n; i++)
        list[i] =
            (struct rental){.what = t->allowances.at[i].what, .price = t->allowances.at[i].price};
    add_sums(e, PART_OF_RENTALS, t->rentals.at, t->rentals.n);
    add_sums(e, PART_OF_ALLOWANCES, list, t->allowances.n);
}

/* What a share is on: a part, or all of them; of a tax with its markup. */
static money base_of(const struct estimate *e, const struct surcharge *s)
{
    money base = 0;
    for (enum money_part p = 0; p < MONEY_PARTS; p++)
        if (s->on == MONEY_PARTS || s->on == p) {
            base = money_add(base, e->part[p]);
            base = s->tax && s->on != MONEY_PARTS ? money_add(base, e->markup_on[p]) : base;
        }
    return s->tax && s->on == MONEY_PARTS ? money_add(base, e->markup) : base;
}

static void add_surcharge(struct estimate *e, const struct surcharge *s)
{
    money base = base_of(e, s), share = money_share(base, s->percent);
    struct cell *row =
        add_row(e, s->tax ? "tax" : "markup", s->on < MONEY_PARTS ? part_names[s->on] : "all");
    row[BASE] = money_cell(base);
    row[PERCENT] = cell_number(s->percent);
    row[PRICE] = money_cell(share);
    if (s->tax)
        e->tax = money_add(e->tax, share);
    else
        e->markup = money_add(e->markup, share);
    for (enum money_part p = 0; p < MONEY_PARTS && !s->tax; p++)
        if (s->on == MONEY_PARTS || s->on == p)
            e->markup_on[p] = money_add(e->markup_on[p], money_share(e->part[p], s->percent));
}

/* Markups first, those of one part before that of all. */
static const struct surcharge *surcharge_of(const struct terms *t, bool tax, enum money_part on)
{
    for (uint32_t i = 0; i < t->surcharges.n; i++)
        if (t->surcharges.at[i].tax == tax && t->surcharges.at[i].on == on)
            return &t->surcharges.at[i];
    return NULL;
}

static void add_surcharges(struct estimate *e)
{
    for (int tax = 0; tax < 2; tax++)
        for (enum money_part p = 0; p <= MONEY_PARTS; p++) {
            const struct surcharge *s = surcharge_of(e->terms, tax, p);
            if (s)
                add_surcharge(e, s);
        }
}

static void add_totals(struct estimate *e)
{
    for (enum money_part p = 0; p < MONEY_PARTS; p++)
        e->total = money_add(e->total, e->part[p]);
    e->total = money_add(e->total, money_add(e->markup, e->tax));
    table_begin(&e->report->totals, e->r->arena, sum_columns, SUMS);
    e->report->one_total = true;
    struct cell *row = table_row(&e->report->totals);
    row[SUM_MATERIALS] = money_cell(e->part[PART_OF_MATERIALS]);
    row[SUM_UNPRICED] = cell_integer(e->unpriced);
    row[SUM_HOURS] = money_cell(e->hours);
    row[SUM_WORK] = e->terms->wage < 0 ? (struct cell){0} : money_cell(e->part[PART_OF_WORK]);
    row[SUM_RENTALS] = money_cell(e->part[PART_OF_RENTALS]);
    row[SUM_ALLOWANCES] = money_cell(e->part[PART_OF_ALLOWANCES]);
    row[SUM_MARKUP] = money_cell(e->markup);
    row[SUM_TAX] = money_cell(e->tax);
    row[SUM_TOTAL] = money_cell(e->total);
    row[SUM_CURRENCY] = cell_text(e->r->model->currency);
}

/* --- for people --------------------------------------------------------------------------- */

static void show_share(struct grid *list, const char *what, const char *how, money price)
{
    struct cell *row = table_row(list);
    row[SHARE_WHAT] = cell_text(what);
    row[SHARE_HOW] = cell_text(how);
    row[SHARE_PRICE] = money_cell(price);
}

/* "86.45 hours at 52.00". */
static const char *hours_words(const struct estimate *e)
{
    double wage = e->terms->wage;
    const char *hours = money_words(e, e->hours);
    if (wage < 0)
        return arena_printf(e->r->arena, "%s hours, for which the plan names no wage", hours);
    return arena_printf(e->r->arena, "%s hours at %s", hours, exact_words(e, wage, 2));
}

static void show_surcharges(const struct estimate *e, struct grid *list)
{
    const struct grid *rows = &e->report->rows;
    for (uint32_t i = 0; i < table_rows(rows); i++) {
        const struct cell *row = &rows->cells.at[i * COLUMNS];
        if (row[PERCENT].kind == CELL_NONE)
            continue;
        struct cell *shown = table_row(list);
        shown[SHARE_WHAT] = cell_text(strcmp(row[PART].text, "tax") ? "Markup" : "Tax");
        shown[SHARE_HOW] = cell_text(arena_printf(
            e->r->arena, "%s %% of %s%s", exact_words(e, row[PERCENT].number, 0),
            strcmp(row[ITEM].text, "all") ? arena_printf(e->r->arena, "%s, ", row[ITEM].text) : "",
            amount_words(e, row[BASE].number)));
        shown[SHARE_PRICE] = row[PRICE];
    }
}

static void show_sums(const struct estimate *e)
{
    struct arena *a = e->r->arena;
    struct grid *list = report_part(e->r, e->report, NULL, share_columns,
                                    sizeof share_columns / sizeof *share_columns);
    if (e->bought.n)
        show_share(list, "Materials",
                   e->unpriced ? arena_printf(a, "%u of %u items have no price yet", e->unpriced,
                                              e->bought.n)
                               : NULL,
                   e->part[PART_OF_MATERIALS]);
    show_share(list, "Work", hours_words(e), e->part[PART_OF_WORK]);
    if (e->terms->rentals.n)
        show_share(list, "Rentals", NULL, e->part[PART_OF_RENTALS]);
    if (e->terms->allowances.n)
        show_share(list, "Allowances", NULL, e->part[PART_OF_ALLOWANCES]);
    show_surcharges(e, list);
    show_share(list, "In all", e->r->model->currency, e->total);
}

static void show_materials(const struct estimate *e, bool priced)
{
    struct grid *list = NULL;
    for (uint32_t i = 0; i < e->bought.n; i++) {
        const struct purchase *p = e->bought.at[i];
        if ((p->price >= 0) != priced)
            continue;
        if (!list)
            list =
                report_part(e->r, e->report, priced ? "Materials" : "Materials without a price yet",
                            buy_columns, sizeof buy_columns / sizeof *buy_columns);
        struct cell *row = table_row(list);
        row[BUY_NUMBER] = cell_integer((int64_t)p->quantity);
        row[BUY_UNIT] = cell_text(strcmp(p->unit, "each") ? p->unit : NULL);
        row[BUY_ITEM] = cell_text(materials_told(e->r, p));
        if (tells_done(e))
            row[BUY_DONE] = cell_integer((int64_t)done_of(e, p));
        if (priced) {
            row[BUY_EACH] = each_cell(e, p->price);
            row[BUY_PRICE] = money_cell(materials_money(p));
        } else {
            row[BUY_NAME] = cell_text(p->name);
        }
    }
}

/* "holes bored", "cable pulled". */
static const char *told_of(struct arena *a, enum work_kind w, uint32_t count)
{
    const struct work_words *words = &model_works[w];
    return work_is_of_feet(w)
               ? words->of
               : arena_printf(a, "%s %s", count == 1 ? words->one : words->many, words->of);
}

static void show_work(const struct estimate *e)
{
    struct arena *a = e->r->arena;
    struct grid *list = NULL;
    for (enum work_kind w = 0; w < WORKS; w++) {
        const struct amount *x = &e->work[w];
        if (!has_some(&x->left) && !has_some(&x->done))
            continue;
        if (!list)
            list = report_part(e->r, e->report, "Work", work_columns,
                               sizeof work_columns / sizeof *work_columns);
        struct cell *row = table_row(list);
        row[WORK_NUMBER] = amount_cell(w, &x->left);
        row[WORK_WHAT] = cell_text(words_upper_first(a, told_of(a, w, x->left.count)));
        if (tells_done(e))
            row[WORK_DONE] = amount_cell(w, &x->done);
        row[WORK_EACH] = each_cell(e, times_minutes_each(&e->times, w));
        row[WORK_HOURS] = money_cell(times_hours(x->time));
        if (e->terms->wage >= 0)
            row[WORK_PRICE] = money_cell(price_of_work(e, x));
        if (e->times.invented[w])
            row[WORK_INVENTED] = cell_text("invented");
    }
}

/* Rentals and allowances, as their rows have them. */
static void show_others(const struct estimate *e, enum money_part part, const char *head)
{
    const struct grid *rows = &e->report->rows;
    struct grid *list = NULL;
    for (uint32_t i = 0; i < table_rows(rows); i++) {
        const struct cell *row = &rows->cells.at[i * COLUMNS];
        if (strcmp(row[PART].text, part_names[part]) != 0)
            continue;
        if (!list)
            list = report_part(e->r, e->report, head, buy_columns,
                               sizeof buy_columns / sizeof *buy_columns);
        struct cell *shown = table_row(list);
        bool days = !strcmp(row[UNIT].text, "day");
        shown[BUY_NUMBER] = row[QUANTITY];
        if (days)
            shown[BUY_UNIT] = cell_text(row[QUANTITY].integer == 1 ? "day" : "days");
        shown[BUY_ITEM] = row[ITEM];
        if (days)
            shown[BUY_EACH] = row[UNIT_PRICE];
        shown[BUY_PRICE] = row[PRICE];
    }
}

/* --- what must be known beside ------------------------------------------------------------ */

/* "Invented: the times for bore, pull; ...". */
static void note_invented(const struct estimate *e)
{
    struct buf b = {0};
    if (!e->invented)
        return;
    for (enum work_kind w = 0; w < WORKS; w++)
        if (e->times.invented[w] && (has_some(&e->work[w].left) || has_some(&e->work[w].done)))
            buf_printf(&b, "%s%s", b.n ? ", " : "Invented: how long it takes to ",
                       model_works[w].word);
    buf_puts(&b, ". No job was timed for these figures of the library: write your own, as in "
                 "'rate bore 1.5 min'.");
    *vec_push(e->r->arena, &e->report->notes) = arena_copy(e->r->arena, buf_text(&b), b.n);
    buf_free(&b);
}

static void note_missing(const struct estimate *e)
{
    struct arena *a = e->r->arena;
    if (e->unpriced)
        *vec_push(a, &e->report->notes) =
            "What has no price yet is in no sum. A price is written into the plan, with price, or "
            "into prices.csv beside it, under part and price.";
    if (e->terms->wage < 0)
        *vec_push(a, &e->report->notes) =
            "The plan names no wage, so work is told in hours and is in no sum: 'wage' is "
            "what an hour costs.";
    if (tells_done(e))
        *vec_push(a, &e->report->notes) =
            "By the site log: what is left, and beside it what is done. --all tells the whole job.";
}

static void say(const struct estimate *e)
{
    struct arena *a = e->r->arena;
    const char *currency = e->r->model->currency;
    bool wage = e->terms->wage >= 0;
    const char *lacks =
        e->unpriced ? arena_printf(a, " %s no price yet.",
                                   e->unpriced == 1
                                       ? "1 item of material has"
                                       : arena_printf(a, "%u items of material have", e->unpriced))
                    : "";
    e->report->says = arena_printf(
        a, "%s%s%s in all, %s hours of work%s.%s%s", money_words(e, e->total), currency ? " " : "",
        currency ? currency : "", money_words(e, e->hours), wage ? "" : " not among it", lacks,
        e->invented ? " Times of work are invented, where it says so." : "");
}

void report_estimate(const struct results *r, struct report *report)
{
    struct estimate e = {
        .r = r, .terms = model_terms(r->model), .report = report, .times = times_find(r)};
    table_begin(&report->rows, r->arena, columns, COLUMNS);
    count_materials(&e);
    count_work(&e);
    add_materials(&e);
    add_work(&e);
    add_rentals(&e);
    add_surcharges(&e);
    add_totals(&e);
    show_sums(&e);
    show_materials(&e, true);
    show_work(&e);
    show_others(&e, PART_OF_RENTALS, "Rentals");
    show_others(&e, PART_OF_ALLOWANCES, "Allowances");
    show_materials(&e, false);
    say(&e);
    note_invented(&e);
    note_missing(&e);
}

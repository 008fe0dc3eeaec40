/* What is there is not invented: something of a plan is said to be there already, and what it is is
 * dropped. No report then says what it is, none of it is bought, what new work hangs on is asked
 * for, and writing the truth answers the question. The same plan with the truth written is what
 * the outcome is held against. */
#include "properties.h"

#include "cmd/cmd.h"
#include "emit/reports/reports.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "prove/prove.h"
#include "resolve/node.h"
#include "syntax/token.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

property_function property_untold;

enum sort { RUN_CABLE, BOX_TYPE, CIRCUIT_BREAKER, SORTS };

static const enum form_id clauses[SORTS] = {F_CABLE, F_BOX_TYPE, F_BREAKER};
static const char *const words[SORTS] = {"cable", "type", "breaker"};

/* The thing that is tried. */
struct tried {
    enum sort sort;
    const struct node *node;
    const char *address, *truth; /* "cable 14/2" */
    const char *item;            /* materials that begin so are of its kind */
    bool touched;                /* new work hangs on it */
    struct {
        const struct node *node; /* of a run that stays new, with the cable that it has */
        const char *text;
    } fresh;
};

/* --- what can be tried -------------------------------------------------------------------- */

/* Its statement stands in the plan itself, for this one thing, and says nothing of what is there.
 */
static bool in_plan(const struct compilation *c, const struct node *n)
{
    for (const struct node *up = n; up; up = up->parent)
        if (up->form == F_UNIT || up->form == F_PATTERN || up->base)
            return false;
    return n->source == c->sources[0] && !node_child(n, F_EXISTING);
}

/* Another run of the circuit that ends there. */
static bool other_run(const struct end e, const struct run *r)
{
    for (uint32_t i = 0; e.box && i < e.box->runs.n; i++) {
        const struct run *other = e.box->runs.at[i];
        if (other->node != r->node && other->circuit == r->circuit && !other->existing)
            return true;
    }
    return false;
}

/* Reports name a run by its ends, so that of two between the same ones neither can be told. */
static bool is_alone(const struct compilation *c, const struct run *r)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct run *other = c->model->runs.at[i];
        bool along = other->from.box == r->from.box && other->from.panel == r->from.panel &&
                     other->to.box == r->to.box && other->to.panel == r->to.panel,
             back = other->from.box == r->to.box && other->from.panel == r->to.panel &&
                    other->to.box == r->from.box && other->to.panel == r->from.panel;
        if (other != r && (along || back))
            return false;
    }
    return true;
}

static bool try_run(struct compilation *c, const struct run *r, struct tried *t)
{
    const struct cable_def *d = c->wiring->of_run[r->id].cable;
    const struct circuit *circuit = r->circuit;
    if (!circuit || circuit->feeds || circuit->cable || circuit->drop_target > 0 || r->of_two ||
        r->label || r->node->value_count != 2 || r->also.n || !d || !in_plan(c, r->node) ||
        !c->wiring->of_run[r->id].used || !is_alone(c, r))
        return false;
    *t = (struct tried){.sort = RUN_CABLE,
                        .node = r->node,
                        .address = address_of_run(&c->arena, r, false),
                        .truth = arena_printf(&c->arena, "cable %s", d->name),
                        .item = "cable ",
                        .touched = other_run(r->from, r) || other_run(r->to, r)};
    return true;
}

static bool try_box(struct compilation *c, const struct box *b, struct tried *t)
{
    const struct box_type *type = c->wiring->of_box[b->id].type;
    if (!type || type->integral || b->compartment || !b->runs.n || !in_plan(c, b->node))
        return false;
    *t = (struct tried){.sort = BOX_TYPE,
                        .node = b->node,
                        .address = address_of_box(&c->arena, b, false),
                        .truth = arena_printf(&c->arena, "type %s", type->name),
                        .item = type->name};
    for (uint32_t i = 0; i < b->runs.n; i++)
        t->touched |= !b->runs.at[i]->existing;
    return true;
}

/* Its last run stays new. */
static bool try_circuit(struct compilation *c, const struct circuit *circuit, struct tried *t)
{
    const struct node *breaker = circuit->node ? node_child(circuit->node, F_BREAKER) : NULL;
    if (circuit->feeds || circuit->root || !breaker || circuit->runs.n < 2 ||
        !in_plan(c, circuit->node) || circuit->drop_target > 0 || circuit->cable)
        return false;
    const struct run *last = circuit->runs.at[circuit->runs.n - 1];
    const struct cable_def *d = c->wiring->of_run[last->id].cable;
    const char *handle =
        address_handle(&c->arena, circuit, (struct seat){circuit->space, circuit->half}, false);
    if (!handle || last->node == circuit->runs.at[0]->node || last->node->value_count != 2 || !d ||
        last->of_two || !in_plan(c, last->node) || last->node->parent != circuit->node)
        return false;
    const struct source_token *at = breaker->source->tokens;
    uint32_t from = at[breaker->first].off, to = at[breaker->last].off + at[breaker->last].len;
    *t = (struct tried){.sort = CIRCUIT_BREAKER,
                        .node = circuit->node,
                        .address = handle,
                        .truth = arena_copy(&c->arena, breaker->source->bytes + from, to - from),
                        .item = "breaker ",
                        .touched = true};
    t->fresh.node = last->node;
    t->fresh.text = node_child(last->node, F_CABLE)
                        ? " existing no"
                        : arena_printf(&c->arena, " existing no cable %s", d->name);
    return true;
}

/* The first that can be tried, from a place by the seed on. */
static bool choose(struct compilation *c, enum sort sort, uint64_t seed, struct tried *t)
{
    const struct model *m = c->model;
    const uint32_t counts[SORTS] = {m->runs.n, m->boxes.n, m->circuits.n};
    for (uint32_t k = 0; k < counts[sort]; k++) {
        uint32_t i = (uint32_t)((seed / SORTS + k) % counts[sort]);
        if (sort == RUN_CABLE         ? try_run(c, m->runs.at[i], t)
            : sort == BOX_TYPE        ? try_box(c, m->boxes.at[i], t)
            : sort == CIRCUIT_BREAKER ? try_circuit(c, m->circuits.at[i], t)
                                      : false)
            return true;
    }
    return false;
}

/* --- the plan with it --------------------------------------------------------------------- */

/* The plan with the thing there already, and the truth of it or nothing. */
static void write_plan(const struct tried *t, bool told, struct buf *out)
{
    const struct source *s = t->node->source;
    const struct node *clause = node_child(t->node, clauses[t->sort]);
    bool own = clause && clause->source == s, in_block = own && clause->first > t->node->last;
    uint32_t last = own ? clause->last : t->node->last,
             end = s->tokens[last].off + s->tokens[last].len,
             from = own ? s->tokens[clause->first].off : end,
             fresh = t->fresh.node
                         ? s->tokens[t->fresh.node->last].off + s->tokens[t->fresh.node->last].len
                         : end;
    buf_add(out, s->bytes, from);
    buf_puts(out, own ? "existing" : " existing");
    if (told)
        buf_printf(out, "%s %s", in_block ? ";" : "", t->truth);
    buf_add(out, s->bytes + end, fresh - end);
    if (t->fresh.text)
        buf_puts(out, t->fresh.text);
    buf_add(out, s->bytes + fresh, s->size - fresh);
}

static void compile_with(const struct subject *s, const struct tried *t, bool told,
                         struct compilation *c)
{
    struct plan_text text = *s->text;
    text.plan = (struct buf){0};
    write_plan(t, told, &text.plan);
    if (!plan_write(&text, s->scratch))
        abort();
    buf_free(&text.plan);
    struct buf path = {0};
    buf_printf(&path, "%s/plan.bay", s->scratch);
    compile(c, buf_text(&path),
            (struct compile_options){.library = plan_library(), .cut_steps = SOME_CUT_STEPS});
    buf_free(&path);
}

/* --- what comes of it --------------------------------------------------------------------- */

/* Whether its question stands at its statement, which begins where it did. */
static bool is_asked(const struct compilation *c, const struct tried *t)
{
    const struct source_token *at = t->node->source->tokens;
    uint32_t from = at[t->node->first].off, to = at[t->node->last].off + at[t->node->last].len;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        if (!strcmp(f->rule->name, "existing-unknown") && f->span.source == c->sources[0] &&
            f->span.off >= from && f->span.off <= to && strstr(f->message, words[t->sort]))
            return true;
    }
    return false;
}

/* The n-th cell of a line of CSV, without its quotes. */
static const char *csv_cell(struct arena *a, const char *line, unsigned n)
{
    for (;; line++, n--) {
        bool quoted = *line == '"';
        size_t len = quoted ? strcspn(line + 1, "\"") + 1 : strcspn(line, ",\r\n");
        while (quoted && line[len + 1] == '"')
            len += 2 + strcspn(line + len + 2, "\"");
        if (!n)
            return arena_copy(a, line + quoted, len - quoted);
        line += len + quoted;
        if (*line != ',')
            return NULL;
    }
}

static unsigned column_of(struct arena *a, const char *head, const char *name)
{
    for (unsigned i = 0;; i++) {
        const char *cell = csv_cell(a, head, i);
        if (!cell || !strcmp(cell, name))
            return cell ? i : (unsigned)-1;
    }
}

static const char *next_line(const char *at)
{
    at += strcspn(at, "\n");
    return *at ? at + 1 : at;
}

/* Where reports say what such a thing is. */
static const struct {
    enum sort sort;
    const char *report, *key, *column;
} says[] = {
    {RUN_CABLE, "runs", "run", "cable"},
    {RUN_CABLE, "cuts", "run", "cable"},
    {BOX_TYPE, "boxes", "box", "type"},
    {BOX_TYPE, "boxes", "box", "ring"},
    {BOX_TYPE, "fill", "box", "type"},
    {BOX_TYPE, "fill", "box", "volume_in3"},
    {CIRCUIT_BREAKER, "panel", "handle", "breaker_a"},
    {CIRCUIT_BREAKER, "panel", "handle", "protection"},
    {CIRCUIT_BREAKER, "panel", "handle", "new_breaker"},
    {CIRCUIT_BREAKER, "test", "handle", "breaker"},
};

static void tell(struct compilation *c, const char *report, struct buf *out)
{
    struct results r;
    if (cmd_results(c, &r))
        report_write(report_named(report), &r, REPORT_CSV, out);
}

static bool nothing_is_said(struct compilation *c, const struct tried *t, struct buf *why)
{
    bool held = true;
    for (size_t i = 0; held && i < sizeof says / sizeof *says; i++) {
        if (says[i].sort != t->sort)
            continue;
        struct buf out = {0};
        tell(c, says[i].report, &out);
        const char *head = buf_text(&out);
        unsigned key = column_of(&c->arena, head, says[i].key),
                 column = column_of(&c->arena, head, says[i].column);
        for (const char *line = next_line(head); held && *line && column != (unsigned)-1;
             line = next_line(line)) {
            const char *name = csv_cell(&c->arena, line, key),
                       *cell = csv_cell(&c->arena, line, column);
            held = !name || !cell || strcmp(name, t->address) != 0 || !*cell;
            if (!held)
                buf_printf(why, "%s is there and not told, and the report '%s' says %s '%s'", name,
                           says[i].report, says[i].column, cell);
        }
        buf_free(&out);
    }
    return held;
}

/* The lines of a report that begin with a text. How many connectors there are hangs on the type of
 * a new box, and that on what is told of the cables in it. */
static char *lines_with(struct compilation *c, const char *report, const char *first)
{
    struct buf out = {0}, some = {0};
    tell(c, report, &out);
    for (const char *line = buf_text(&out); *line; line = next_line(line))
        if (!strncmp(line, first, strlen(first)) && strncmp(line, "cable connector", 15) != 0)
            buf_add(&some, line, (size_t)(next_line(line) - line));
    char *text = arena_copy(&c->arena, some.n ? some.at : "", some.n);
    buf_free(&out);
    buf_free(&some);
    return text;
}

static bool nothing_is_bought(struct compilation *untold, struct compilation *told,
                              const struct tried *t, struct buf *why)
{
    const char *a = lines_with(untold, "materials", t->item),
               *b = lines_with(told, "materials", t->item);
    if (strcmp(a, b) != 0)
        buf_printf(why, "%s is there: untold, '%.*s' is bought, told '%.*s'", t->address,
                   (int)strcspn(a, "\n"), a, (int)strcspn(b, "\n"), b);
    return !strcmp(a, b);
}

static bool is_whole(const struct compilation *c)
{
    return c->model && !c->diag.counts[ERROR] && c->verdict && c->verdict->holds;
}

static bool holds_both(struct compilation *untold, struct compilation *told, const struct tried *t,
                       struct buf *why)
{
    if (t->touched && !is_asked(untold, t)) {
        buf_printf(why,
                   "%s is there and not told, new work hangs on it, and nothing asks for its %s",
                   t->address, words[t->sort]);
        return false;
    }
    if (told->model && is_asked(told, t)) {
        buf_printf(why, "%s is asked for its %s though it says '%s'", t->address, words[t->sort],
                   t->truth);
        return false;
    }
    return nothing_is_said(untold, t, why) &&
           (!is_whole(told) || nothing_is_bought(untold, told, t, why));
}

bool property_untold(const struct subject *s, struct buf *why)
{
    struct tried t;
    if (!s->c->model || s->c->diag.counts[ERROR] || s->text->log.n ||
        !choose(s->c, (enum sort)(s->seed / PLAN_SORT_COUNT % SORTS), s->seed / PLAN_SORT_COUNT,
                &t))
        return true;
    struct compilation untold, told;
    compile_with(s, &t, false, &untold);
    compile_with(s, &t, true, &told);
    bool held = !is_whole(&untold) || holds_both(&untold, &told, &t, why);
    compile_free(&untold);
    compile_free(&told);
    return held;
}

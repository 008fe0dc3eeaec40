/* The walk of a circuit from its panel to its last box, which editors show as a call hierarchy. */
#include "lsp/documents.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "lsp/symbols.h"
#include "model/power.h"
#include "resolve/node.h"
#include "where/walk.h"

#include <string.h>

struct walking {
    struct server *s;
    struct plan *plan;
    struct where_step at; /* thing NULL: nothing that one could walk from */
};

static void put_item(const struct walking *w, struct where_step step)
{
    struct server *s = w->s;
    const struct node *n = where_step_statement(step);
    struct plan_file *file = plan_file_source(w->plan, n->source);
    struct line_table *lines = plan_file_lines(s, w->plan, file);
    struct span line = node_span(n), name = node_name_span(n);
    if (name.off < line.off || name.off + name.len > line.off + line.len)
        name = line;
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "name", where_step_address(&s->scratch, step));
    json_integer_member(&s->json, "kind", symbol_kind(n->form));
    json_string_member(&s->json, "detail", where_step_words(&s->scratch, step));
    json_string_member(&s->json, "uri", file->uri);
    message_range(s, "range", lines, line.off, line.off + line.len);
    message_range(s, "selectionRange", lines, name.off, name.off + name.len);
    json_key(&s->json, "data");
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "sort", where_sort_words(step.sort));
    json_integer_member(&s->json, "number", where_step_id(step));
    json_end(&s->json);
    json_end(&s->json);
}

/* What is in no file of the plan is shown nowhere. */
static bool is_shown(const struct walking *w, struct where_step step)
{
    const struct node *n = step.thing ? where_step_statement(step) : NULL;
    return n && plan_file_source(w->plan, n->source);
}

void calls_prepare(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct walking w = {.s = s, .plan = plan_of(s, d)};
    struct plan_file *file = w.plan ? plan_file_of(w.plan, d) : NULL;
    const struct where_name *name =
        file ? where_name_at(plan_names(w.plan), file->source,
                             (uint32_t)document_offset(s, d, read_member(params, "position")), NULL)
             : NULL;
    if (name)
        w.at = where_step_of(name);
    if (!is_shown(&w, w.at)) {
        message_null(s, id);
        return;
    }
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    put_item(&w, w.at);
    message_send(s);
}

/* --- from an item to its neighbours ------------------------------------------------------- */

/* The thing that an item stood for, by its number and its name: the plan may have changed. */
static bool find_item(struct server *s, json_in params, struct walking *w)
{
    static const enum mention_sort sorts[] = {MENTION_PANEL, MENTION_CIRCUIT, MENTION_BOX};
    const char *uri = read_text(read_path(params, "item.uri")),
               *name = read_text(read_path(params, "item.name")),
               *sort = read_text(read_path(params, "item.data.sort"));
    int64_t number = read_number(read_path(params, "item.data.number"), -1);
    for (struct plan *p = s->plans; p && uri && name && sort; p = p->next) {
        *w = (struct walking){.s = s, .plan = p};
        for (size_t i = 0; p->c->model && i < sizeof sorts / sizeof *sorts; i++) {
            if (strcmp(where_sort_words(sorts[i]), sort) != 0)
                continue;
            w->at = where_step_number(p->c->model, sorts[i], number);
            if (is_shown(w, w->at) && !strcmp(where_step_address(&s->scratch, w->at), name))
                return true;
        }
    }
    return false;
}

/* Where the run stands, in the file of the one who leads; else his own name. */
static void put_ranges(const struct walking *w, struct where_step from, const struct run *by)
{
    struct server *s = w->s;
    const struct node *n = where_step_statement(from);
    struct plan_file *file = plan_file_source(w->plan, n->source);
    struct span at = by && by->to_span.source == n->source ? by->to_span : node_name_span(n);
    json_key(&s->json, "fromRanges");
    json_begin_array(&s->json, JSON_ROW);
    message_range_value(s, plan_file_lines(s, w->plan, file), at.off, at.off + at.len);
    json_end(&s->json);
}

static void put_steps(struct server *s, json_in id, json_in params, const char *member,
                      struct where_steps (*find)(struct arena *, struct where_step), bool onward)
{
    struct walking w;
    while (plan_compile_first(s))
        continue;
    if (!find_item(s, params, &w)) {
        message_null(s, id);
        return;
    }
    struct where_steps list = find(&s->scratch, w.at);
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    for (uint32_t i = 0; i < list.steps.n; i++) {
        if (!is_shown(&w, list.steps.at[i]))
            continue;
        json_begin_object(&s->json, JSON_ROW);
        json_key(&s->json, member);
        put_item(&w, list.steps.at[i]);
        put_ranges(&w, onward ? w.at : list.steps.at[i], list.steps.at[i].by);
        json_end(&s->json);
    }
    message_send(s);
}

void calls_incoming(struct server *s, json_in id, json_in params)
{
    put_steps(s, id, params, "from", where_back, false);
}

void calls_outgoing(struct server *s, json_in id, json_in params)
{
    put_steps(s, id, params, "to", where_onward, true);
}

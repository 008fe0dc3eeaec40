/* What was worked out, beside what is written: in the text as hints, above a circuit as a line. */
#include "emit/results.h"
#include "emit/words/devices.h"
#include "lsp/documents.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "resolve/node.h"
#include "settle/settle.h"
#include "where/tell.h"

#include <string.h>

struct hinting {
    struct server *s;
    struct plan *plan;
    struct plan_file *file;
    struct line_table *lines;
    size_t from, to;
};

/* The plan of a text with the file that it is; false where nothing of it is known. */
static bool begin(struct server *s, struct document *d, struct hinting *h)
{
    struct plan *p = plan_of(s, d);
    struct plan_file *file = p ? plan_file_of(p, d) : NULL;
    if (!file || !plan_results(p))
        return false;
    *h = (struct hinting){s, p, file, plan_file_lines(s, p, file), 0, file->source->size};
    return true;
}

/* --- hints -------------------------------------------------------------------------------- */

static void begin_hint(struct hinting *h, size_t off, const char *label)
{
    json_begin_object(&h->s->json, JSON_ROW);
    message_place(h->s, "position", h->lines, off);
    json_string_member(&h->s->json, "label", label);
    json_bool_member(&h->s->json, "paddingLeft", true);
}

/* What settle would write, up to where it breaks the line: a chain is parted so. */
static const char *hint_label(struct hinting *h, const char *text)
{
    text += strspn(text, " \n;");
    size_t n = strcspn(text, "\n");
    while (n && (text[n - 1] == ' ' || text[n - 1] == ';'))
        n--;
    return arena_copy(&h->s->scratch, text, n);
}

static void put_settled(struct hinting *h)
{
    const struct settled *settled = plan_settled(h->plan, true);
    for (uint32_t i = 0; settled && i < settled->edits.n; i++) {
        const struct edit *e = &settled->edits.at[i];
        if (e->source != h->file->source || e->gone || e->off < h->from || e->off > h->to)
            continue;
        begin_hint(h, e->off, hint_label(h, e->text));
        json_string_member(&h->s->json, "tooltip", "worked out, not written");
        json_key(&h->s->json, "textEdits");
        json_begin_array(&h->s->json, JSON_ROW);
        message_edit(h->s, h->lines, e->off, e->off, e->text);
        json_end(&h->s->json);
        json_end(&h->s->json);
    }
}

/* One statement may stand for several switches: what all of them are; "" where they differ. */
static void note_kind(struct hinting *h, struct map *kinds, const struct part *part)
{
    const char *kind = words_switch_kind(plan_results(h->plan), part);
    const struct node *n = part->node ? part->node : part->device->node;
    if (!kind || !n || n->source != h->file->source)
        return;
    void **at = map_at(&h->s->scratch, kinds, (uintptr_t)n->source, n->first);
    *at = (void *)(!*at || !strcmp(*at, kind) ? kind : "");
}

static void put_kinds(struct hinting *h)
{
    const struct model *m = h->plan->c->model;
    struct map kinds = {0};
    for (uint32_t i = 0; i < m->devices.n; i++)
        for (uint32_t k = 0; k < m->devices.at[i]->part_count; k++)
            note_kind(h, &kinds, &m->devices.at[i]->parts[k]);
    for (uint32_t i = 0; i < m->devices.n; i++)
        for (uint32_t k = 0; k < m->devices.at[i]->part_count; k++) {
            const struct part *part = &m->devices.at[i]->parts[k];
            const struct node *n = part->node ? part->node : part->device->node;
            if (!n || n->source != h->file->source)
                continue;
            void **at = map_at(&h->s->scratch, &kinds, (uintptr_t)n->source, n->first);
            struct span word = node_word_span(n);
            size_t end = word.off + word.len;
            if (*at && *(const char *)*at && strcmp(*at, "single-pole") && end >= h->from &&
                end <= h->to) {
                begin_hint(h, end, *at);
                json_string_member(&h->s->json, "tooltip", "by the wiring of its leg");
                json_end(&h->s->json);
            }
            *at = (void *)"";
        }
}

void hints_all(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    struct hinting h;
    if (!d)
        return;
    bool known = begin(s, d, &h);
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    if (known) {
        h.from = document_offset(s, d, read_path(params, "range.start"));
        h.to = document_offset(s, d, read_path(params, "range.end"));
        put_settled(&h);
        put_kinds(&h);
    }
    message_send(s);
}

/* --- lenses ------------------------------------------------------------------------------- */

static void put_lens(struct hinting *h, const struct circuit *c)
{
    const char *title = where_circuit_line(plan_teller(h->plan), c);
    if (!title)
        return;
    struct span line = node_span(c->node);
    json_begin_object(&h->s->json, JSON_ROW);
    message_range(h->s, "range", h->lines, line.off, line.off + line.len);
    json_key(&h->s->json, "command");
    json_begin_object(&h->s->json, JSON_ROW);
    json_string_member(&h->s->json, "title", title);
    json_string_member(&h->s->json, "command", "");
    json_end(&h->s->json);
    json_end(&h->s->json);
}

void hints_lenses(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    struct hinting h;
    struct map seen = {0}; /* what stands for several is told of the first */
    if (!d)
        return;
    bool known = begin(s, d, &h);
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    for (uint32_t i = 0; known && i < h.plan->c->model->circuits.n; i++) {
        const struct circuit *c = h.plan->c->model->circuits.at[i];
        if (!c->node || c->feeds || c->node->source != h.file->source ||
            map_get(&seen, 0, c->node->first + 1))
            continue;
        map_put(&s->scratch, &seen, 0, c->node->first + 1, (void *)c);
        put_lens(&h, c);
    }
    message_send(s);
}

void announce_lenses(struct server *s)
{
    json_begin_object(&s->json, JSON_ROW);
    json_bool_member(&s->json, "resolveProvider", false);
    json_end(&s->json);
}

/* Where names are defined and used, in all files of the plan and its log, and another name for one.
 */
#include "lsp/documents.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "where/where.h"

#include <string.h>

/* The name at a place that was asked for. */
struct asked_name {
    struct server *s;
    struct plan *plan;
    const struct where_name *name; /* NULL: none that means anything */
    const struct where_place *place;
};

/* False where the request was answered already. */
static bool ask(struct server *s, json_in id, json_in params, struct asked_name *a)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return false;
    *a = (struct asked_name){.s = s, .plan = plan_of(s, d)};
    struct plan_file *file = a->plan ? plan_file_of(a->plan, d) : NULL;
    if (file)
        a->name = where_name_at(plan_names(a->plan), file->source,
                                (uint32_t)document_offset(s, d, read_member(params, "position")),
                                &a->place);
    return true;
}

/* An element of a list; what lies in no file of the plan, in the library that is built in, is left
 * out. */
static void put_location(const struct asked_name *a, struct span at)
{
    struct plan_file *file = plan_file_source(a->plan, at.source);
    if (!file)
        return;
    json_object(&a->s->json, JSON_ROW);
    json_string_member(&a->s->json, "uri", file->uri);
    message_range(a->s, "range", plan_file_lines(a->s, a->plan, file), at.off, at.off + at.len);
    json_end(&a->s->json);
}

void names_definition(struct server *s, json_in id, json_in params)
{
    struct asked_name a;
    if (!ask(s, id, params, &a))
        return;
    message_begin_answer(s, id);
    json_array(&s->json, JSON_ROW);
    struct where_spans found =
        a.name ? where_definitions(&s->scratch, a.name) : (struct where_spans){0};
    for (uint32_t i = 0; i < found.spans.n; i++)
        put_location(&a, found.spans.at[i]);
    message_send(s);
}

void names_references(struct server *s, json_in id, json_in params)
{
    struct asked_name a;
    if (!ask(s, id, params, &a))
        return;
    bool all = read_is_true(read_path(params, "context.includeDeclaration"));
    message_begin_answer(s, id);
    json_array(&s->json, JSON_ROW);
    for (uint32_t i = 0; a.name && i < a.name->places.n; i++)
        if (all || !a.name->places.at[i].defines)
            put_location(&a, a.name->places.at[i].span);
    message_send(s);
}

/* LSP 3.17, "DocumentHighlightKind". */
enum { HIGHLIGHT_READ = 2, HIGHLIGHT_WRITE };

void names_highlight(struct server *s, json_in id, json_in params)
{
    struct asked_name a;
    if (!ask(s, id, params, &a))
        return;
    message_begin_answer(s, id);
    json_array(&s->json, JSON_ROW);
    for (uint32_t i = 0; a.name && i < a.name->places.n; i++) {
        const struct where_place *p = &a.name->places.at[i];
        if (p->span.source != a.place->span.source)
            continue;
        struct plan_file *file = plan_file_source(a.plan, p->span.source);
        json_object(&s->json, JSON_ROW);
        message_range(s, "range", plan_file_lines(s, a.plan, file), p->span.off,
                      p->span.off + p->span.len);
        json_integer_member(&s->json, "kind", p->defines ? HIGHLIGHT_WRITE : HIGHLIGHT_READ);
        json_end(&s->json);
    }
    message_send(s);
}

/* --- another name ------------------------------------------------------------------------- */

void names_prepare(struct server *s, json_in id, json_in params)
{
    struct asked_name a;
    if (!ask(s, id, params, &a))
        return;
    const char *fixed = a.name ? where_fixed(plan_names(a.plan), a.name) : NULL;
    if (fixed) {
        message_error(s, id, RPC_FAILED, "%s", fixed);
    } else if (!a.name) {
        message_null(s, id);
    } else {
        struct span at = a.place->span;
        struct plan_file *file = plan_file_source(a.plan, at.source);
        message_begin_answer(s, id);
        json_object(&s->json, JSON_ROW);
        message_range(s, "range", plan_file_lines(s, a.plan, file), at.off, at.off + at.len);
        json_string_member(&s->json, "placeholder", a.name->text);
        message_send(s);
    }
}

/* The texts of a plan as they would be. */
struct renamed_texts {
    const struct asked_name *asked;
    const struct where_edits *edits;
};

static const char *text_renamed(const void *of, const char *real, size_t *size)
{
    const struct renamed_texts *t = of;
    struct plan *p = t->asked->plan;
    for (uint32_t i = 0; i < p->lines->files.n; i++)
        if (!strcmp(p->lines->files.at[i].real, real))
            return where_edited(&t->asked->s->scratch, p->lines->files.at[i].source, t->edits,
                                size);
    return document_unsaved(t->asked->s, real, size);
}

/* Why the plan would not say the same with the edits; NULL: it would. */
static const char *why_not(const struct asked_name *a, const struct where_edits *edits)
{
    struct compilation c;
    const struct renamed_texts texts = {a, edits};
    const char *why = NULL;
    compile(&c, a->plan->path,
            (struct compile_options){
                .library = &a->s->library, .mentions = true, .unsaved = {text_renamed, &texts}});
    if (!c.model)
        why = "the plan could not be read";
    else if (where_renamed_well(plan_names(a->plan), where_make(&c.arena, &c), edits, &why))
        why = NULL;
    if (why)
        why = arena_copy(&a->s->scratch, why, strlen(why));
    compile_free(&c);
    return why;
}

static void put_edits(const struct asked_name *a, const struct where_edits *edits)
{
    struct json *j = &a->s->json;
    json_key(j, "changes");
    json_object(j, JSON_ROW);
    const struct source *last = NULL;
    for (uint32_t i = 0; i < edits->edits.n; i++) {
        const struct where_edit *e = &edits->edits.at[i];
        struct plan_file *file = plan_file_source(a->plan, e->span.source);
        if (e->span.source != last) {
            if (last)
                json_end(j);
            json_key(j, file->uri);
            json_array(j, JSON_ROW);
        }
        last = e->span.source;
        message_edit(a->s, plan_file_lines(a->s, a->plan, file), e->span.off,
                     e->span.off + e->span.len, e->text);
    }
    if (last)
        json_end(j);
    json_end(j);
}

void names_rename(struct server *s, json_in id, json_in params)
{
    struct asked_name a;
    const char *to = read_text(read_member(params, "newName"));
    if (!ask(s, id, params, &a))
        return;
    if (!a.name || !to) {
        message_error(s, id, RPC_FAILED, to ? "there is no name here" : "a newName is missing");
        return;
    }
    struct where_edits edits = where_rename(plan_names(a.plan), a.name, to);
    const char *why = edits.refused ? edits.refused : why_not(&a, &edits);
    if (why) {
        message_error(s, id, RPC_FAILED, "%s", why);
        return;
    }
    message_begin_answer(s, id);
    json_object(&s->json, JSON_ROW);
    put_edits(&a, &edits);
    message_send(s);
}

void announce_rename(struct server *s)
{
    json_object(&s->json, JSON_ROW);
    json_bool_member(&s->json, "prepareProvider", true);
    json_end(&s->json);
}

/* Where names are defined and used, in all files of the plan and its log, and another name for one.
 */
#include "lsp/documents.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "where/where.h"

#include <string.h>

/* A name as one plan has it. A file may be of several, and a name of it has places in all of them.
 */
struct asked_name {
    struct plan *plan;
    const struct where_name *name;
    const struct where_place *place; /* where it was found */
};

struct asked {
    struct server *s;
    VEC(struct asked_name) names; /* none: there is no name that means anything */
    struct map seen;              /* (hash of the path, 1 + byte) -> what was put in an answer */
};

/* The name at a byte of a file of the plan, if that is one and the plan is not asked already. */
static void ask_plan(struct asked *a, struct plan *p, const char *real, uint32_t off)
{
    for (uint32_t i = 0; i < a->names.n; i++)
        if (a->names.at[i].plan == p)
            return;
    struct plan_file *file = p->c->model ? plan_file_lying(p, real) : NULL;
    struct asked_name found = {.plan = p};
    if (file)
        found.name = where_name_at(plan_names(p), file->source, off, &found.place);
    if (found.name)
        *vec_push(&a->s->scratch, &a->names) = found;
}

/* The other plans that read a place of the name, and those that read places of theirs. */
static void ask_others(struct asked *a)
{
    for (uint32_t i = 0; i < a->names.n; i++) {
        const struct asked_name one = a->names.at[i];
        for (uint32_t k = 0; k < one.name->places.n; k++) {
            struct span at = one.name->places.at[k].span;
            const char *real = plan_file_source(one.plan, at.source)->real;
            for (struct plan *p = a->s->plans; p; p = p->next)
                if (p != one.plan && plan_file_lying(p, real))
                    ask_plan(a, p, real, at.off);
        }
    }
}

/* False where the request was answered already. */
static bool ask(struct server *s, json_in id, json_in params, struct asked *a)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return false;
    *a = (struct asked){.s = s};
    while (plan_compile_first(s))
        continue;
    size_t off = document_offset(s, d, read_member(params, "position"));
    struct plan *p = plan_of(s, d);
    if (p)
        ask_plan(a, p, d->real, (uint32_t)off);
    ask_others(a);
    return true;
}

/* Whether a place is new to the answer. */
static bool is_new(struct asked *a, const char *real, uint32_t off)
{
    void **seen =
        map_at(&a->s->scratch, &a->seen, (uintptr_t)map_hash_bytes(real, strlen(real)), off + 1u);
    bool new = !*seen;
    *seen = a;
    return new;
}

/* An element of a list; what lies in no file of the plan, in the library that is built in, is left
 * out. */
static void put_location(struct asked *a, struct plan *p, struct span at)
{
    struct plan_file *file = plan_file_source(p, at.source);
    if (!file || !is_new(a, file->real, at.off))
        return;
    json_begin_object(&a->s->json, JSON_ROW);
    json_string_member(&a->s->json, "uri", file->uri);
    message_range(a->s, "range", plan_file_lines(a->s, p, file), at.off, at.off + at.len);
    json_end(&a->s->json);
}

void names_definition(struct server *s, json_in id, json_in params)
{
    struct asked a;
    if (!ask(s, id, params, &a))
        return;
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    for (uint32_t k = 0; k < a.names.n; k++) {
        struct where_spans found = where_definitions(&s->scratch, a.names.at[k].name);
        for (uint32_t i = 0; i < found.spans.n; i++)
            put_location(&a, a.names.at[k].plan, found.spans.at[i]);
    }
    message_send(s);
}

void names_references(struct server *s, json_in id, json_in params)
{
    struct asked a;
    if (!ask(s, id, params, &a))
        return;
    bool all = read_is_true(read_path(params, "context.includeDeclaration"));
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    for (uint32_t k = 0; k < a.names.n; k++) {
        const struct where_name *name = a.names.at[k].name;
        for (uint32_t i = 0; i < name->places.n; i++)
            if (all || !name->places.at[i].defines)
                put_location(&a, a.names.at[k].plan, name->places.at[i].span);
    }
    message_send(s);
}

/* LSP 3.17, "DocumentHighlightKind". */
enum { HIGHLIGHT_READ = 2, HIGHLIGHT_WRITE };

void names_highlight(struct server *s, json_in id, json_in params)
{
    struct asked a;
    if (!ask(s, id, params, &a))
        return;
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    const struct asked_name *one = a.names.n ? &a.names.at[0] : NULL;
    for (uint32_t i = 0; one && i < one->name->places.n; i++) {
        const struct where_place *p = &one->name->places.at[i];
        if (p->span.source != one->place->span.source)
            continue;
        struct plan_file *file = plan_file_source(one->plan, p->span.source);
        json_begin_object(&s->json, JSON_ROW);
        message_range(s, "range", plan_file_lines(s, one->plan, file), p->span.off,
                      p->span.off + p->span.len);
        json_integer_member(&s->json, "kind", p->defines ? HIGHLIGHT_WRITE : HIGHLIGHT_READ);
        json_end(&s->json);
    }
    message_send(s);
}

/* --- another name ------------------------------------------------------------------------- */

/* Why the name cannot be changed; NULL: it can. */
static const char *why_fixed(const struct asked *a)
{
    const char *why = NULL;
    for (uint32_t i = 0; i < a->names.n && !why; i++)
        why = where_fixed(plan_names(a->names.at[i].plan), a->names.at[i].name);
    return why;
}

void names_prepare(struct server *s, json_in id, json_in params)
{
    struct asked a;
    if (!ask(s, id, params, &a))
        return;
    const char *fixed = why_fixed(&a);
    if (fixed) {
        message_error(s, id, RPC_FAILED, "%s", fixed);
    } else if (!a.names.n) {
        message_null(s, id);
    } else {
        const struct asked_name *one = &a.names.at[0];
        struct span at = one->place->span;
        struct plan_file *file = plan_file_source(one->plan, at.source);
        message_begin_answer(s, id);
        json_begin_object(&s->json, JSON_ROW);
        message_range(s, "range", plan_file_lines(s, one->plan, file), at.off, at.off + at.len);
        json_string_member(&s->json, "placeholder", one->name->text);
        message_send(s);
    }
}

/* The edits of each plan. */
struct renaming {
    struct asked *asked;
    struct where_edits *edits; /* as many as names were asked */
    const char *why;           /* it may not be; NULL: it may */
};

static uint32_t edits_in(const struct where_edits *e, const struct source *source)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < e->edits.n; i++)
        n += e->edits.at[i].span.source == source;
    return n;
}

/* The texts of the plans as they would be. */
static const char *text_renamed(const void *of, const char *real, size_t *size)
{
    const struct renaming *r = of;
    for (uint32_t i = 0; i < r->asked->names.n; i++) {
        struct plan_file *file = plan_file_lying(r->asked->names.at[i].plan, real);
        if (file)
            return where_edited(&r->asked->s->scratch, file->source, &r->edits[i], size);
    }
    return document_unsaved(r->asked->s, real, size);
}

/* A file of two plans becomes one text for both. */
static void check_shared(struct renaming *r, uint32_t i)
{
    const struct asked_name *one = &r->asked->names.at[i];
    for (uint32_t k = 0; k < i && !r->why; k++)
        for (uint32_t f = 0; f < one->plan->lines->files.n; f++) {
            struct plan_file *file = &one->plan->lines->files.at[f],
                             *other = plan_file_lying(r->asked->names.at[k].plan, file->real);
            if (other &&
                edits_in(&r->edits[i], file->source) != edits_in(&r->edits[k], other->source))
                r->why = arena_printf(&r->asked->s->scratch,
                                      "%s is read by two plans, and '%s' does not mean the same "
                                      "there in both",
                                      file->source->path, one->name->text);
        }
}

/* Whether the plan says the same with the edits. */
static void check_plan(struct renaming *r, uint32_t i)
{
    struct server *s = r->asked->s;
    struct plan *p = r->asked->names.at[i].plan;
    struct compilation c;
    const char *why = NULL;
    compile(&c, p->path,
            (struct compile_options){
                .library = &s->library, .mentions = true, .unsaved = {text_renamed, r}});
    if (!c.model)
        why = "the plan could not be read";
    else if (where_renamed_well(plan_names(p), where_make(&c.arena, &c), &r->edits[i], &why))
        why = NULL;
    r->why = why ? arena_copy(&s->scratch, why, strlen(why)) : NULL;
    compile_free(&c);
}

static void work_out(struct renaming *r, const char *to)
{
    uint32_t n = r->asked->names.n;
    r->edits = arena_array(&r->asked->s->scratch, struct where_edits, n + 1);
    for (uint32_t i = 0; i < n && !r->why; i++) {
        const struct asked_name *one = &r->asked->names.at[i];
        r->edits[i] = where_rename(plan_names(one->plan), one->name, to);
        r->why = r->edits[i].refused;
    }
    for (uint32_t i = 0; i < n && !r->why; i++)
        check_shared(r, i);
    for (uint32_t i = 0; i < n && !r->why; i++)
        check_plan(r, i);
}

static void put_file(const struct renaming *r, uint32_t i, struct plan_file *file)
{
    struct server *s = r->asked->s;
    struct plan *p = r->asked->names.at[i].plan;
    if (!edits_in(&r->edits[i], file->source) || !is_new(r->asked, file->real, UINT32_MAX - 1))
        return;
    json_key(&s->json, file->uri);
    json_begin_array(&s->json, JSON_ROW);
    for (uint32_t k = 0; k < r->edits[i].edits.n; k++) {
        const struct where_edit *e = &r->edits[i].edits.at[k];
        if (e->span.source == file->source)
            message_edit(s, plan_file_lines(s, p, file), e->span.off, e->span.off + e->span.len,
                         e->text);
    }
    json_end(&s->json);
}

void names_rename(struct server *s, json_in id, json_in params)
{
    struct asked a;
    const char *to = read_text(read_member(params, "newName"));
    if (!ask(s, id, params, &a))
        return;
    struct renaming r = {.asked = &a};
    if (!a.names.n || !to)
        r.why = to ? "there is no name here" : "a newName is missing";
    else
        work_out(&r, to);
    if (r.why) {
        message_error(s, id, RPC_FAILED, "%s", r.why);
        return;
    }
    message_begin_answer(s, id);
    json_begin_object(&s->json, JSON_ROW);
    json_key(&s->json, "changes");
    json_begin_object(&s->json, JSON_ROW);
    for (uint32_t i = 0; i < a.names.n; i++)
        for (uint32_t f = 0; f < a.names.at[i].plan->lines->files.n; f++)
            put_file(&r, i, &a.names.at[i].plan->lines->files.at[f]);
    message_send(s);
}

void announce_rename(struct server *s)
{
    if (!s->client.prepare_rename) {
        announce_true(s);
        return;
    }
    json_begin_object(&s->json, JSON_ROW);
    json_bool_member(&s->json, "prepareProvider", true);
    json_end(&s->json);
}

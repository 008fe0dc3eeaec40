#include "lsp/diagnostics.h"

#include "diag/render.h"
#include "lsp/documents.h"
#include "lsp/message.h"
#include "lsp/uri.h"
#include "model/build.h"
#include "model/finding.h"

#include <string.h>

enum { SEVERITY_HINT = 4, TAG_UNNECESSARY = 1 };

/* --- one finding -------------------------------------------------------------------------- */

/* The words, the article, and what would mend it; places that the editor does not show beside it.
 */
static void write_words(struct server *s, const struct finding *f)
{
    struct buf b = {0};
    buf_puts(&b, f->message);
    if (f->article)
        buf_printf(&b, " (%s)", f->article);
    if (f->waived) {
        buf_puts(&b, "\nwaived because ");
        finding_waiver(f, &b);
    }
    for (uint32_t i = 0; i < f->related_count && !s->client.diagnostic_related; i++)
        buf_printf(&b, "\n%s", f->related[i].message);
    if (f->mend && !f->waived)
        buf_printf(&b, "\nto mend it: %s", f->mend);
    json_string_member(&s->json, "message", buf_text(&b));
    buf_free(&b);
}

static void write_related(struct server *s, struct plan *p, const struct finding *f)
{
    struct json *j = &s->json;
    if (!f->related_count || !s->client.diagnostic_related)
        return;
    json_key(j, "relatedInformation");
    json_begin_array(j, JSON_ROW);
    for (uint32_t i = 0; i < f->related_count; i++) {
        const struct related *r = &f->related[i];
        struct plan_file *file = plan_file_source(p, r->span.source);
        if (!file)
            continue;
        json_begin_object(j, JSON_ROW);
        json_key(j, "location");
        json_begin_object(j, JSON_ROW);
        json_string_member(j, "uri", file->uri);
        message_range(s, "range", plan_file_lines(s, p, file), r->span.off,
                      r->span.off + r->span.len);
        json_end(j);
        json_string_member(j, "message", r->message);
        json_end(j);
    }
    json_end(j);
}

static void write_page(struct server *s, const struct finding *f)
{
    if (!s->pages || !s->client.diagnostic_href)
        return;
    json_key(&s->json, "codeDescription");
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(
        &s->json, "href",
        uri_of_path(&s->scratch, arena_printf(&s->scratch, "%s%s.md", s->pages, f->rule->name)));
    json_end(&s->json);
}

static void write_tags(struct server *s, const struct finding *f)
{
    if (!s->client.diagnostic_tags ||
        (f->rule != &rule_unused_definition && f->rule != &rule_stale_waiver))
        return;
    json_key(&s->json, "tags");
    json_begin_array(&s->json, JSON_ROW);
    message_integer(s, TAG_UNNECESSARY);
    json_end(&s->json);
}

/* What a code action wants to know of it. */
static void write_data(struct server *s, const struct finding *f)
{
    const char *waive = finding_waive_line(&s->scratch, f);
    if (!s->client.diagnostic_data || !waive)
        return;
    json_key(&s->json, "data");
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "waive", waive);
    json_end(&s->json);
}

/* A finding of the plan as a whole, or of what is no file of it, stands at its beginning. */
void diagnostics_write(struct server *s, struct plan *p, struct plan_file *file,
                       const struct finding *f)
{
    struct json *j = &s->json;
    bool here = f->span.source == file->source;
    json_begin_object(j, JSON_ROW);
    message_range(s, "range", plan_file_lines(s, p, file), here ? f->span.off : 0,
                  here ? f->span.off + f->span.len : 0);
    json_integer_member(j, "severity", f->waived ? SEVERITY_HINT : f->severity + 1);
    json_string_member(j, "code", f->rule->name);
    write_page(s, f);
    json_string_member(j, "source", "studbay");
    write_words(s, f);
    write_tags(s, f);
    write_related(s, p, f);
    write_data(s, f);
    json_end(j);
}

/* --- one file ----------------------------------------------------------------------------- */

static bool stands_in(struct plan *p, const struct finding *f, const struct plan_file *file)
{
    if (f->span.source == file->source)
        return true;
    return file == &p->lines->files.at[0] && !plan_file_source(p, f->span.source);
}

/* What several plans find in a file that all of them include is told once. */
static bool is_new(struct server *s, struct map *told, const struct finding *f)
{
    uint64_t words = map_hash_bytes(f->message, strlen(f->message));
    void **at = map_at(&s->scratch, told, (uintptr_t)words ^ (uintptr_t)f->rule, f->span.off);
    bool is_new = !*at;
    *at = s;
    return is_new;
}

static void write_findings_of(struct server *s, struct plan *p, const char *uri, struct map *told)
{
    for (uint32_t i = 0; p->compiled && i < p->lines->files.n; i++) {
        struct plan_file *file = &p->lines->files.at[i];
        if (strcmp(file->uri, uri))
            continue;
        for (uint32_t k = 0; k < p->c->diag.findings.n; k++) {
            const struct finding *f = &p->c->diag.findings.at[k];
            if (stands_in(p, f, file) && (!s->plans->next || is_new(s, told, f)))
                diagnostics_write(s, p, file, f);
        }
    }
}

/* The message for a file, of all plans but `without`, is written and not sent. */
static void write_file(struct server *s, const char *uri, const struct document *d,
                       const struct plan *without)
{
    struct map told = {0};
    message_begin_notice(s, "textDocument/publishDiagnostics");
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "uri", uri);
    if (d && s->client.versions)
        json_integer_member(&s->json, "version", d->version);
    json_key(&s->json, "diagnostics");
    json_begin_array(&s->json, JSON_ROW);
    for (struct plan *p = s->plans; p; p = p->next)
        if (p != without)
            write_findings_of(s, p, uri, &told);
}

static void tell_file(struct server *s, const char *uri, const struct plan *without)
{
    write_file(s, uri, document_named(s, uri), without);
    message_send(s);
}

static struct told *told_of(const told_list *list, const char *uri)
{
    for (uint32_t i = 0; i < list->n; i++)
        if (!strcmp(list->at[i].uri, uri))
            return &list->at[i];
    return NULL;
}

/* Tells what is found in a file, unless its text is the one it was told of before, and that the
 * same: an editor waits for what comes of a text that it has changed. */
static void tell_news(struct server *s, struct plan *p, const char *uri, const told_list *was)
{
    struct document *d = document_named(s, uri);
    const struct told *before = told_of(was, uri);
    write_file(s, uri, d, NULL);
    struct told now = {arena_copy(&p->told_arena, uri, strlen(uri)),
                       map_hash_bytes(s->body.at, s->body.n), d ? d->changes : 0};
    *vec_push(&p->told_arena, &p->told) = now;
    if (!before || before->words != now.words || before->changes != now.changes)
        message_send(s);
}

void diagnostics_tell(struct server *s, struct plan *p)
{
    struct arena before = p->told_arena;
    told_list was = p->told;
    p->told_arena = (struct arena){0};
    p->told = (told_list){0};
    for (uint32_t i = 0; i < p->lines->files.n; i++)
        tell_news(s, p, p->lines->files.at[i].uri, &was);
    for (uint32_t i = 0; i < was.n; i++)
        if (!told_of(&p->told, was.at[i].uri))
            tell_file(s, was.at[i].uri, NULL);
    arena_free(&before);
}

void diagnostics_tell_read(struct server *s, struct plan *p, struct plan *as)
{
    struct plan **link = &s->plans;
    while (*link != p)
        link = &(*link)->next;
    as->next = p->next;
    *link = as;
    for (uint32_t i = 0; i < as->lines->files.n; i++) {
        const char *uri = as->lines->files.at[i].uri;
        struct told *before = told_of(&p->told, uri);
        struct document *d = document_named(s, uri);
        write_file(s, uri, d, NULL);
        uint64_t words = map_hash_bytes(s->body.at, s->body.n);
        if (!before || before->words == words)
            continue; /* a file that is new, or has no news, is told when the plan is compiled */
        before->words = words;
        message_send(s);
    }
    *link = p;
}

void diagnostics_withdraw(struct server *s, struct plan *p)
{
    for (uint32_t i = 0; i < p->told.n; i++)
        tell_file(s, p->told.at[i].uri, p);
}

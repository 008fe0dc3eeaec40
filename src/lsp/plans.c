#include "lsp/plans.h"

#include "base/file.h"
#include "log/log.h"
#include "lsp/diagnostics.h"
#include "lsp/documents.h"
#include "lsp/message.h"
#include "lsp/reading.h"
#include "lsp/roots.h"
#include "lsp/uri.h"
#include "cmd/cmd.h"
#include "emit/results.h"
#include "settle/settle.h"
#include "where/tell.h"

#include <string.h>

/* --- files of a plan ---------------------------------------------------------------------- */

static void note_file(struct server *s, struct plan *p, struct source *source)
{
    struct arena *a = &p->c->arena;
    const char *real = uri_real_path(a, source->path);
    struct document *d = document_lying(s, real);
    *vec_push(a, &p->lines->files) = (struct plan_file){
        .source = source,
        .real = real,
        .uri = d ? arena_copy(a, d->uri, strlen(d->uri)) : uri_of_path(a, source->path)};
}

void plan_note_files(struct server *s, struct plan *p)
{
    p->lines = arena_new(&p->c->arena, struct plan_lines);
    for (uint32_t i = 0; i < p->c->source_count; i++)
        note_file(s, p, p->c->sources[i]);
    if (p->c->log_source)
        note_file(s, p, p->c->log_source);
    if (p->c->price_source)
        note_file(s, p, p->c->price_source);
}

struct plan_file *plan_file_lying(struct plan *p, const char *real)
{
    for (uint32_t i = 0; p->compiled && i < p->lines->files.n; i++)
        if (!strcmp(p->lines->files.at[i].real, real))
            return &p->lines->files.at[i];
    return NULL;
}

struct plan_file *plan_file_of(struct plan *p, const struct document *d)
{
    return plan_file_lying(p, d->real);
}

struct plan_file *plan_file_source(struct plan *p, const struct source *source)
{
    for (uint32_t i = 0; p->compiled && i < p->lines->files.n; i++)
        if (p->lines->files.at[i].source == source)
            return &p->lines->files.at[i];
    return NULL;
}

struct line_table *plan_file_lines(struct server *s, struct plan *p, struct plan_file *f)
{
    if (!f->lines_known)
        line_table_make(&f->lines, &p->c->arena, f->source->bytes, f->source->size, s->encoding);
    f->lines_known = true;
    return &f->lines;
}

const struct results *plan_results(struct plan *p)
{
    struct compilation *c = p->c;
    if (p->lines->results || !c->model || !c->verdict || !c->cuts || !c->loads)
        return p->lines->results;
    struct results *r = arena_new(&c->arena, struct results);
    return p->lines->results = cmd_results(c, r) ? r : NULL;
}

const struct settled *plan_settled(struct plan *p, bool lengths)
{
    struct compilation *c = p->c;
    unsigned sorts = SETTLE_USUAL | (lengths ? 1 << SETTLE_LENGTHS : 0);
    if (!p->lines->settled[lengths] && plan_results(p))
        p->lines->settled[lengths] =
            settle(&c->arena, c->model, c->routes, c->wiring, c->panels, c->log, sorts);
    return p->lines->settled[lengths];
}

struct whereabouts *plan_names(struct plan *p)
{
    if (!p->lines->names)
        p->lines->names = where_make(&p->c->arena, p->c);
    return p->lines->names;
}

struct where_teller *plan_teller(struct plan *p)
{
    if (!p->lines->teller)
        p->lines->teller = where_tell_begin(&p->c->arena, plan_names(p), plan_results(p));
    return p->lines->teller;
}

/* --- which plans there are ---------------------------------------------------------------- */

static struct plan *plan_lying(struct server *s, const char *real)
{
    for (struct plan *p = s->plans; p; p = p->next)
        if (!strcmp(p->real, real))
            return p;
    return NULL;
}

/* Behind those that are there, so that the first one stays the first. */
static void add_plan(struct server *s, const char *path, const char *real)
{
    struct plan *known = plan_lying(s, real);
    if (known) {
        known->dirty = true;
        return;
    }
    struct arena arena = {0};
    struct plan *p = arena_new(&arena, struct plan), **link = &s->plans;
    p->path = arena_copy(&arena, path, strlen(path));
    p->real = arena_copy(&arena, real, strlen(real));
    p->dirty = true;
    p->c = &p->rooms[0];
    p->arena = arena;
    while (*link)
        link = &(*link)->next;
    *link = p;
}

static struct compilation *other_room(struct plan *p)
{
    return p->c == &p->rooms[0] ? &p->rooms[1] : &p->rooms[0];
}

/* What was read of a text that has changed since is of no use. */
static void forget_read(struct plan *p)
{
    if (p->is_read)
        compile_free(other_room(p));
    p->is_read = false;
}

void plan_forget(struct plan *p)
{
    forget_read(p);
    if (p->compiled)
        compile_free(p->c);
    compile_resident_free(&p->resident);
    arena_free(&p->told_arena);
    struct arena arena = p->arena; /* it lies in there itself */
    arena_free(&arena);
}

static void drop_plan(struct server *s, struct plan *p)
{
    struct plan **link = &s->plans;
    while (*link != p)
        link = &(*link)->next;
    *link = p->next;
    diagnostics_withdraw(s, p);
    plan_forget(p);
}

/* A log is read with the plan beside it. */
static const char *plan_of_log(struct arena *a, const char *real)
{
    size_t n = strlen(real);
    return n > 4 && !strcmp(real + n - 4, ".log") ? arena_printf(a, "%.*s.bay", (int)n - 4, real)
                                                  : real;
}

void plan_opened(struct server *s, const struct document *d)
{
    struct root_list roots = roots_of(s, plan_of_log(&s->scratch, d->real));
    for (uint32_t i = 0; i < roots.paths.n; i++)
        add_plan(s, roots.paths.at[i], roots.paths.at[i]);
    plan_changed(s, d);
}

/* Whether the text is one of those that a plan was made of, or would be. */
static bool belongs(struct server *s, struct plan *p, const struct document *d)
{
    return !strcmp(p->real, plan_of_log(&s->scratch, d->real)) || plan_file_lying(p, d->real);
}

static void mark_changed(struct plan *p)
{
    forget_read(p);
    p->dirty = true;
}

void plan_changed(struct server *s, const struct document *d)
{
    for (struct plan *p = s->plans; p; p = p->next) {
        forget_read(p); /* it may have read what the compilation before did not */
        if (belongs(s, p, d))
            mark_changed(p);
    }
}

void plan_all_changed(struct server *s)
{
    for (struct plan *p = s->plans; p; p = p->next)
        mark_changed(p);
}

static bool is_open(struct server *s, struct plan *p)
{
    for (struct document *d = s->documents; d; d = d->next)
        if (belongs(s, p, d))
            return true;
    return false;
}

void plan_closed(struct server *s)
{
    for (struct plan *p = s->plans, *next; p; p = next) {
        next = p->next;
        forget_read(p);
        if (is_open(s, p))
            p->dirty = true; /* the text of the disk counts again */
        else
            drop_plan(s, p);
    }
}

/* A plan that another one includes is checked there. */
static void drop_included(struct server *s, struct plan *by)
{
    for (struct plan *p = s->plans, *next; p; p = next) {
        next = p->next;
        if (p != by && plan_file_lying(by, p->real))
            drop_plan(s, p);
    }
}

/* Or may have: what was not compiled yet is not known. */
static bool has_plan(struct server *s, const struct document *d)
{
    for (struct plan *p = s->plans; p; p = p->next)
        if (!p->compiled || belongs(s, p, d))
            return true;
    return false;
}

/* A text that no plan includes any more is one by itself. */
static void add_left(struct server *s)
{
    for (struct document *d = s->documents; d; d = d->next) {
        if (has_plan(s, d))
            continue;
        plan_opened(s, d);
        if (!has_plan(s, d)) /* what names it as an include does not read it */
            add_plan(s, d->real, d->real);
    }
}

/* --- compiling ---------------------------------------------------------------------------- */

/* LSP 3.17, "LogTrace". */
static void tell_trace(struct server *s, const struct plan *p)
{
    if (!s->tracing)
        return;
    message_begin_notice(s, "$/logTrace");
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(
        &s->json, "message",
        arena_printf(&s->scratch, "%s was compiled: %s in %s", p->path,
                     arena_counted(&s->scratch, p->c->diag.findings.n, "finding", "findings"),
                     arena_counted(&s->scratch, p->lines->files.n, "file", "files")));
    message_send(s);
}

static struct compile_options options_of(struct server *s, struct plan *p)
{
    return (struct compile_options){.library = &s->library,
                                    .mentions = true,
                                    .unsaved = {document_unsaved, s},
                                    .resident = &p->resident};
}

struct compilation *plan_begin_reading(struct server *s, struct plan *p)
{
    forget_read(p);
    compile_read(other_room(p), p->path, options_of(s, p));
    p->is_read = true;
    return other_room(p);
}

void plan_compile(struct server *s, struct plan *p)
{
    if (p->compiled)
        compile_free(p->c);
    if (p->is_read) {
        p->c = other_room(p);
        compile_judge(p->c, p->path, options_of(s, p));
    } else {
        compile(p->c, p->path, options_of(s, p));
    }
    p->is_read = false;
    p->compiled = true;
    p->dirty = false;
    p->compiles++;
    s->compiles++;
    plan_note_files(s, p);
    drop_included(s, p);
    add_left(s);
    diagnostics_tell(s, p);
    tell_trace(s, p);
}

bool plan_compile_first(struct server *s)
{
    struct plan *p = s->plans;
    while (p && !p->dirty)
        p = p->next;
    if (p && !p->is_read && reading_is_worth(p))
        reading_tell(s, p);
    else if (p)
        plan_compile(s, p);
    return p != NULL;
}

struct plan *plan_of(struct server *s, const struct document *d)
{
    for (struct plan *p = s->plans; p; p = p->next) {
        if (p->dirty && (belongs(s, p, d) || !p->compiled)) {
            plan_compile(s, p);
            return plan_of(s, d); /* others may have come or gone */
        }
        if (belongs(s, p, d) && p->c->model)
            return p;
    }
    return NULL;
}

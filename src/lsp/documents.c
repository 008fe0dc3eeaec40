#include "lsp/documents.h"

#include "lsp/forms.h"
#include "lsp/uri.h"

#include <string.h>

struct document *document_named(struct server *s, const char *uri)
{
    for (struct document *d = s->documents; d && uri; d = d->next)
        if (!strcmp(d->uri, uri))
            return d;
    return uri ? document_lying(s, uri_real(&s->scratch, uri)) : NULL;
}

struct document *document_lying(const struct server *s, const char *real)
{
    for (struct document *d = s->documents; d; d = d->next)
        if (!strcmp(d->real, real))
            return d;
    return NULL;
}

const char *document_unsaved(const void *of, const char *real, size_t *size)
{
    struct document *d = document_lying(of, real);
    if (!d)
        return NULL;
    *size = d->text.n;
    return buf_text(&d->text);
}

/* What was known of the text is of another one. */
static void text_changed(struct server *s, struct document *d)
{
    d->lines_known = false;
    arena_reset(&d->lines_arena);
    form_forget(d);
    d->changes = ++s->changes;
}

static struct document *new_document(struct server *s, const char *uri)
{
    struct arena arena = {0};
    struct document *d = arena_new(&arena, struct document);
    d->uri = arena_copy(&arena, uri, strlen(uri));
    d->real = uri_real(&arena, uri);
    d->arena = arena;
    d->next = s->documents;
    return s->documents = d;
}

static void set_text(struct document *d, const char *text, size_t size)
{
    d->text.n = 0;
    buf_add(&d->text, text, size);
}

struct document *document_open(struct server *s, const char *uri, const char *text, size_t size,
                               int64_t version)
{
    struct document *d = document_named(s, uri);
    if (!d)
        d = new_document(s, uri);
    set_text(d, text, size);
    d->version = version;
    text_changed(s, d);
    return d;
}

void document_close(struct server *s, struct document *d)
{
    struct document **link = &s->documents;
    while (*link != d)
        link = &(*link)->next;
    *link = d->next;
    form_forget(d);
    buf_free(&d->text);
    arena_free(&d->lines_arena);
    struct arena arena = d->arena; /* it lies in there itself */
    arena_free(&arena);
}

struct line_table *document_lines(struct server *s, struct document *d)
{
    if (!d->lines_known)
        line_table_make(&d->lines, &d->lines_arena, buf_text(&d->text), d->text.n, s->encoding);
    d->lines_known = true;
    return &d->lines;
}

/* A number of a place as the table takes it: what is less than nothing is nothing. */
static uint32_t place_number(json_in n)
{
    int64_t value = read_number(n, 0);
    return value < 0 ? 0 : value > UINT32_MAX ? UINT32_MAX : (uint32_t)value;
}

size_t document_offset(struct server *s, struct document *d, json_in position)
{
    struct place_in_text place = {place_number(read_member(position, "line")),
                                  place_number(read_member(position, "character"))};
    return line_table_offset(document_lines(s, d), place);
}

/* Puts `size` bytes in the place of those from `from` to `to`. */
static void splice(struct buf *text, size_t from, size_t to, const char *bytes, size_t size)
{
    size_t rest = text->n - to;
    buf_reserve(text, size + 1);
    memmove(text->at + from + size, text->at + to, rest);
    memcpy(text->at + from, bytes, size);
    text->n = from + size + rest;
}

static bool change_once(struct server *s, struct document *d, json_in change)
{
    json_in text = read_member(change, "text"), range = read_member(change, "range");
    if (!read_text(text))
        return false;
    if (!read_is_object(range)) {
        set_text(d, read_text(text), read_size(text));
    } else {
        size_t from = document_offset(s, d, read_member(range, "start")),
               to = document_offset(s, d, read_member(range, "end"));
        splice(&d->text, from < to ? from : to, from < to ? to : from, read_text(text),
               read_size(text));
    }
    text_changed(s, d);
    return true;
}

bool document_change(struct server *s, struct document *d, json_in changes, int64_t version)
{
    d->version = version;
    for (uint32_t i = 0; i < read_count(changes); i++)
        if (!change_once(s, d, read_at(changes, i)))
            return false;
    return true;
}

/* The texts as the editor has them (LSP 3.17, "Text Document Synchronization"). */
#include "lsp/documents.h"
#include "lsp/methods.h"
#include "lsp/plans.h"

void sync_open(struct server *s, json_in id, json_in params)
{
    (void)id;
    json_in text = read_path(params, "textDocument.text");
    const char *uri = read_text(read_path(params, "textDocument.uri"));
    if (!uri || !read_text(text))
        return;
    plan_opened(s, document_open(s, uri, read_text(text), read_size(text),
                                 read_number(read_path(params, "textDocument.version"), 0)));
}

static struct document *document_of(struct server *s, json_in params)
{
    return document_named(s, read_text(read_path(params, "textDocument.uri")));
}

void sync_change(struct server *s, json_in id, json_in params)
{
    (void)id;
    struct document *d = document_of(s, params);
    if (!d)
        return;
    document_change(s, d, read_member(params, "contentChanges"),
                    read_number(read_path(params, "textDocument.version"), d->version));
    plan_changed(s, d);
}

/* A plan may read what the editor had not opened: photographs of its log, a file that an include
 * names. */
void sync_save(struct server *s, json_in id, json_in params)
{
    (void)id;
    if (document_of(s, params))
        plan_all_changed(s);
}

void sync_close(struct server *s, json_in id, json_in params)
{
    (void)id;
    struct document *d = document_of(s, params);
    if (!d)
        return;
    document_close(s, d);
    plan_closed(s);
}

/* A new file may include what is open. */
void sync_watched(struct server *s, json_in id, json_in params)
{
    (void)id, (void)params;
    for (struct document *d = s->documents; d; d = d->next)
        plan_opened(s, d);
    plan_all_changed(s);
}

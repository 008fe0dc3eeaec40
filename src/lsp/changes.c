#include "lsp/changes.h"

#include "lsp/documents.h"
#include "lsp/message.h"

/* The edits of one file, an array. */
static void write_edits(struct server *s, struct plan *p, struct plan_file *file,
                        const edit_list *edits)
{
    struct line_table *lines = plan_file_lines(s, p, file);
    json_begin_array(&s->json, JSON_ROW);
    for (uint32_t i = 0; i < edits->n; i++) {
        const struct edit *e = &edits->at[i];
        if (e->source == file->source)
            message_edit(s, lines, e->off, e->off + e->gone, e->text);
    }
    json_end(&s->json);
}

static bool has_edits(const struct plan_file *file, const edit_list *edits)
{
    for (uint32_t i = 0; i < edits->n; i++)
        if (edits->at[i].source == file->source)
            return true;
    return false;
}

/* One file with the version of its text; null where it is not open. */
static void write_versioned(struct server *s, struct plan *p, struct plan_file *file,
                            const edit_list *edits)
{
    const struct document *d = document_lying(s, file->real);
    json_begin_object(&s->json, JSON_ROW);
    json_key(&s->json, "textDocument");
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "uri", file->uri);
    if (d)
        json_integer_member(&s->json, "version", d->version);
    else
        message_null_member(s, "version");
    json_end(&s->json);
    json_key(&s->json, "edits");
    write_edits(s, p, file, edits);
    json_end(&s->json);
}

void changes_write(struct server *s, struct plan *p, const edit_list *edits)
{
    bool versioned = s->client.document_changes;
    json_begin_object(&s->json, JSON_ROW);
    json_key(&s->json, versioned ? "documentChanges" : "changes");
    if (versioned)
        json_begin_array(&s->json, JSON_ROW);
    else
        json_begin_object(&s->json, JSON_ROW);
    for (uint32_t i = 0; i < p->lines->files.n; i++) {
        struct plan_file *file = &p->lines->files.at[i];
        if (!has_edits(file, edits))
            continue;
        if (versioned) {
            write_versioned(s, p, file, edits);
            continue;
        }
        json_key(&s->json, file->uri);
        write_edits(s, p, file, edits);
    }
    json_end(&s->json);
    json_end(&s->json);
}

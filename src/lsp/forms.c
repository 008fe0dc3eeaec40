#include "lsp/forms.h"

#include "lsp/documents.h"

#include <string.h>

/* A site log has lines, not statements. */
static bool is_log(const struct document *d)
{
    size_t n = strlen(d->real);
    return n > 4 && !strcmp(d->real + n - 4, ".log");
}

struct form_of *form_get(struct server *s, struct document *d)
{
    if (d->form)
        return d->form;
    struct arena home = {0};
    struct form_of *form = arena_new(&home, struct form_of);
    form->home = home;
    if (!is_log(d))
        form->file = compile_file(
            &form->c, d->real,
            (struct compile_options){.library = &s->library, .unsaved = {document_unsaved, s}});
    form->source = form->c.source_count ? form->c.sources[0] : NULL;
    return d->form = form;
}

void form_forget(struct document *d)
{
    if (!d->form)
        return;
    struct arena home = d->form->home;
    compile_free(&d->form->c);
    arena_free(&home);
    d->form = NULL;
}

uint32_t form_token_at(const struct source *source, size_t off)
{
    uint32_t low = 0, high = source->token_count;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (source->tokens[middle].off + source->tokens[middle].len <= off)
            low = middle + 1;
        else
            high = middle;
    }
    return low < source->token_count ? low : source->token_count - 1;
}

size_t form_start(const struct source *source, uint32_t token)
{
    return source->tokens[token].off;
}

size_t form_end(const struct source *source, uint32_t token)
{
    return source->tokens[token].off + source->tokens[token].len;
}

uint32_t form_close(const struct source *source, uint32_t open)
{
    unsigned depth = 0;
    for (uint32_t i = open; i + 1 < source->token_count; i++) {
        depth += source->tokens[i].kind == T_OPEN;
        depth -= source->tokens[i].kind == T_CLOSE;
        if (!depth)
            return i;
    }
    return source->token_count - 1;
}

uint32_t form_last(const struct source *source, const struct node *n, uint32_t *open)
{
    bool block = n->last + 1 < source->token_count && source->tokens[n->last + 1].kind == T_OPEN;
    *open = block ? n->last + 1 : 0;
    return block ? form_close(source, *open) : n->last;
}

const struct node *form_node_at(const struct form_of *form, uint32_t token)
{
    const struct node *at = form->file;
    for (const struct node *n = at->child; n;) {
        uint32_t open;
        if (n->first <= token && token <= form_last(form->source, n, &open)) {
            at = n;
            n = n->child;
        } else {
            n = n->next;
        }
    }
    return at;
}

const char *form_text(struct arena *arena, const struct source *source, uint32_t token)
{
    return arena_copy(arena, source->bytes + source->tokens[token].off, source->tokens[token].len);
}

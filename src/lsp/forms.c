#include "lsp/forms.h"

#include "lsp/documents.h"

struct form_of *form_get(struct server *s, struct document *d)
{
    if (d->form)
        return d->form;
    struct arena home = {0};
    struct form_of *form = arena_new(&home, struct form_of);
    form->home = home;
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

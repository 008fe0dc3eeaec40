#include "lsp/across.h"

#include "model/site.h"
#include "resolve/edit.h"
#include "rules/geometry/openings.h"
#include "rules/rules.h"

#include <string.h>

static bool touches(const struct node *n, const struct source *source, size_t from, size_t to)
{
    struct span line = node_span(n);
    return line.source == source && line.off <= to && line.off + line.len >= from;
}

/* Whether the room itself writes it. */
static bool writes(const struct room *r, const struct node *n)
{
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        if (r->fixtures.at[i].node == n)
            return true;
    return false;
}

/* The opening as the room would write it, from the left end of its wall as its text has that. */
static const char *words_of(struct arena *arena, const struct room *r, const struct fixture *x)
{
    const struct wall *w = &r->walls[x->wall];
    length at = w->mirrored ? w->length - x->from_left - x->wide : x->from_left;
    const char *text = arena_printf(arena, "%s %s at %s wide %s", x->word, w->written,
                                    length_words(arena, at), length_words(arena, x->wide));
    if (x->sill >= 0 && x->to)
        text = arena_printf(arena, "%s sill %s", text, length_words(arena, x->sill));
    return text;
}

const struct mend *across_write(struct compilation *c, const struct source *source, size_t from,
                                size_t to, const char **room)
{
    struct checked checked = compile_checked(c);
    for (uint32_t i = 0; i < c->model->rooms.n; i++) {
        const struct room *r = c->model->rooms.at[i];
        const opening_list *list = &checked.openings->of_room[r->id];
        for (uint32_t k = 0; k < list->n && !r->unit && !r->existing; k++) {
            const struct fixture *x = &list->at[k].here;
            if (!list->at[k].beyond_known || !x->to || !touches(x->node, source, from, to) ||
                writes(r, x->node) || x->to->unit || x->to->level != r->level)
                continue;
            struct mend *way = arena_new(&c->arena, struct mend);
            edit_in_room(edit_of_way(&c->diag, way), r->node, words_of(&c->arena, r, x));
            *room = r->name;
            return way;
        }
    }
    return NULL;
}

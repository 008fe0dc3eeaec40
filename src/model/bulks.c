/* Beams, ducts, pipes and soffits. */
#include "model/build.h"

bool build_is_bulk(enum form_id form)
{
    return form == F_BEAM || form == F_DUCT || form == F_PIPE || form == F_SOFFIT;
}

/* The height of its underside is written, or it hangs under the joists, which are at `ceiling`
 * above the floor. */
static void read_bulk(struct builder *b, const struct node *n, struct bulk bulk, length ceiling)
{
    length high = val_length(b, n, 5, 0);
    bulk.node = n;
    bulk.word = n->word;
    bulk.title = n->text;
    bulk.bears = n->form == F_BEAM;
    bulk.wide = val_length(b, n, 4, 0);
    bulk.low = bulk.level->floor + val_length(b, n, 6, ceiling - high);
    bulk.high = bulk.low + high;
    if (bulk.from.x == bulk.to.x && bulk.from.y == bulk.to.y) {
        diag_add(b->diag, &rule_syntax, node_span(n), "a %s has some length", n->word);
        return;
    }
    if (bulk.wide > 0 && high > 0)
        *vec_push(b->arena, &b->m->bulks) = bulk;
}

static struct point point_of(struct builder *b, const struct node *n, unsigned first)
{
    return (struct point){val_length(b, n, first, 0), val_length(b, n, first + 1, 0)};
}

void build_level_bulks(struct builder *b)
{
    for (uint32_t i = 0; i < b->m->levels.n; i++) {
        const struct level *level = b->m->levels.at[i];
        for (const struct node *n = level->node ? level->node->child : NULL; n; n = n->next)
            if (build_is_bulk(n->form) && !n->broken)
                read_bulk(b, n,
                          (struct bulk){
                              .level = level, .from = point_of(b, n, 0), .to = point_of(b, n, 2)},
                          level->ceiling);
    }
}

/* A place of the room's own hand, as it lies on site. */
static struct point laid(struct builder *b, const struct room_text *t, const struct node *n,
                         unsigned first)
{
    struct point p = point_of(b, n, first);
    return build_through(&t->frame, (struct point){t->low.x + p.x, t->low.y + p.y});
}

void build_room_bulks(struct builder *b, struct scope *s)
{
    for (uint32_t i = 0; i < s->rooms.n; i++) {
        const struct room_text *t = s->rooms.at[i];
        for (const struct node *n = t->count ? t->node->child : NULL; n; n = n->next)
            if (build_is_bulk(n->form) && !n->broken)
                read_bulk(b, n,
                          (struct bulk){.room = t->room,
                                        .level = t->room->level,
                                        .from = laid(b, t, n, 0),
                                        .to = laid(b, t, n, 2)},
                          t->room->ceiling);
    }
}

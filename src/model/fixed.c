/* What stands fixed in a room: the far side of its doors, islands, stairs, parts with uses of their
 * own, and what a garage is. */
#include "model/build.h"

#include <string.h>

struct room *build_room_named(struct builder *b, struct scope *s, const struct node *n,
                              const struct value *v)
{
    v = build_put_in(b, n, v, C_REF);
    if (!v || (v->kind != V_NAME && v->kind != V_REF))
        return NULL;
    bool in_unit = v->kind == V_REF && v->ref->count == 2;
    const struct named *named =
        build_find_named(b, s, v->kind == V_REF ? v->ref->part[0] : v->name);
    build_mention_named(b, n, v, 0, named);
    if (in_unit && named && named->unit)
        named = map_get(&b->m->scope, (uintptr_t)named->unit, (uintptr_t)v->ref->part[1]);
    if (in_unit)
        build_mention_named(b, n, v, 1, named);
    if (named && named->room)
        return named->room;
    if (!(s->in_doubt & ITS_NAMES) && !(named && named->in_doubt))
        build_unknown_thing(b, b->m, value_span(n, v), "room", node_ref_text(b->arena, v),
                            build_map_names(b, &b->m->scope, (uintptr_t)s->unit));
    return NULL;
}

/* The hinges are on the left where none are written; in a mirrored room left and right change
 * places. */
static void read_swing(struct builder *b, struct fixture *x, bool mirrored)
{
    const char *hinge = val_name(b, clause(x->node, F_HINGE), 0),
               *swings = val_name(b, clause(x->node, F_SWINGS), 0);
    x->hinge_right = (hinge && !strcmp(hinge, "right")) != mirrored;
    x->swings_out = swings && !strcmp(swings, "out");
    x->swing_told = hinge || swings;
}

static void read_opening(struct builder *b, struct scope *s, struct fixture *x, bool mirrored)
{
    const struct node *to = clause(x->node, F_TO);
    const struct value *v = val(b, to, 0, C_REF);
    const char *stays = val_name(b, clause(x->node, F_FIXED_PANEL), 0);
    x->sliding = node_flag(x->node, F_SLIDING);
    x->fixed_right = (stays && !strcmp(stays, "right")) != mirrored;
    read_swing(b, x, mirrored);
    x->out = clause_length(b, x->node, F_OUT, 0);
    x->to_outside = v && v->kind == V_NAME && !strcmp(v->name, "outside");
    if (v && !x->to_outside)
        x->to = build_room_named(b, s, to, v);
}

/* A rectangle of the room's own hand, by the values of its south-west corner and its size, as it
 * lies on site. */
static void lay(struct builder *b, const struct room_text *t, const struct node *n, unsigned first,
                struct point *low, struct point *high)
{
    struct point at = {t->low.x + val_length(b, n, first, 0),
                       t->low.y + val_length(b, n, first + 1, 0)};
    struct point far = {at.x + val_length(b, n, first + 2, 0),
                        at.y + val_length(b, n, first + 3, 0)};
    struct point p = build_through(&t->frame, at), q = build_through(&t->frame, far);
    *low = (struct point){p.x < q.x ? p.x : q.x, p.y < q.y ? p.y : q.y};
    *high = (struct point){p.x < q.x ? q.x : p.x, p.y < q.y ? q.y : p.y};
}

static void read_island(struct builder *b, const struct room_text *t, const struct node *n)
{
    struct island i = {
        .node = n, .title = n->text, .name = n->alt == ISLAND_NAMED ? node_name(n, 0) : NULL};
    if (i.name)
        mention_name(b->m->lib->mentions, n, MENTION_ISLAND, NULL);
    lay(b, t, n, i.name ? 1 : 0, &i.low, &i.high);
    *vec_push(b->arena, &t->room->islands) = i;
}

static void read_stairs(struct builder *b, struct scope *s, const struct room_text *t,
                        const struct node *n)
{
    struct stairs st = {.node = n, .risers = val_count(b, n, 0, MOST_COUNTED, 0)};
    st.from = build_room_named(b, s, n, node_value(n, 1));
    st.to = build_room_named(b, s, n, node_value(n, 2));
    if (st.from)
        st.from->by_stairs = true;
    if (st.to)
        st.to->by_stairs = true;
    t->room->by_stairs |= !st.from && !st.to;
    *vec_push(b->arena, &t->room->stairs) = st;
}

static void read_area(struct builder *b, const struct room_text *t, const struct node *n)
{
    const char *name = val_name(b, n, 1);
    struct kind_def *kind = name ? library_kind(b->m->lib, name) : NULL;
    struct use_area a = {.node = n, .kind = kind};
    if (!kind) {
        if (name)
            build_unknown(b, value_span(n, node_value(n, 1)), "kind of room", name,
                          build_map_names(b, &b->m->lib->kinds, 0));
        t->room->in_doubt |= ITS_KINDS;
        return;
    }
    library_use(kind);
    build_mention_definition(b, n, 1, MENTION_KIND, kind);
    lay(b, t, n, 2, &a.low, &a.high);
    *vec_push(b->arena, &t->room->areas) = a;
}

static bool is_fixed(const struct builder *b, enum form_id form)
{
    return b->language->forms[form].along_wall || form == F_ISLAND || form == F_STAIRS ||
           build_is_bulk(form) || form == F_ROOM_AREA;
}

void build_fixed(struct builder *b, struct scope *s, const struct room_text *t)
{
    struct room *r = t->room;
    const struct node *kind = clause(t->node, F_KIND);
    uint32_t on_walls = 0;
    r->in_doubt |= kind && kind->value_count == r->kind_count ? 0 : ITS_KINDS;
    for (const struct node *n = t->node->child; n; n = n->next) {
        bool on_wall = b->language->forms[n->form].along_wall;
        r->in_doubt |= n->broken && is_fixed(b, n->form) ? ITS_FIXED : 0;
        on_walls += on_wall && !n->broken;
        if (n->broken || on_wall)
            continue;
        if (n->form == F_ISLAND)
            read_island(b, t, n);
        else if (n->form == F_STAIRS)
            read_stairs(b, s, t, n);
        else if (n->form == F_ROOM_AREA)
            read_area(b, t, n);
    }
    r->in_doubt |= on_walls != r->fixtures.n ? ITS_FIXED : 0;
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        read_opening(b, s, &r->fixtures.at[i], r->walls[r->fixtures.at[i].wall].mirrored);
    r->bays = clause_count(b, t->node, F_BAYS, MOST_COUNTED, 0);
    r->attached = node_flag(t->node, F_ATTACHED);
    r->detached = node_flag(t->node, F_DETACHED);
}

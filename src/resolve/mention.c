#include "resolve/mention.h"

#include "resolve/node.h"
#include "resolve/value.h"
#include "syntax/token.h"

#include <string.h>

static bool stands_there(struct span at, const char *name)
{
    return at.source && name && strlen(name) == at.len &&
           !memcmp(at.source->bytes + at.off, name, at.len);
}

static void add(struct mentions *m, struct mention mention)
{
    mention.key = mention.thing ? mention.thing : mention.where;
    if (m->patterns)
        mention.thing = NULL;
    void **met =
        map_at(m->arena, &m->met, (uintptr_t)(mention.span.source->bytes + mention.span.off),
               (uintptr_t)mention.key);
    if (*met)
        return;
    *met = m;
    *vec_push(m->arena, &m->all) = mention;
}

struct mentions *mention_begin(struct arena *arena)
{
    struct mentions *m = arena_new(arena, struct mentions);
    m->arena = arena;
    return m;
}

void mention_file(struct mentions *m, const struct node *n, const struct value *v,
                  const struct source *file)
{
    if (m)
        add(m, (struct mention){.span = value_span(n, v), .sort = MENTION_FILE, .thing = file});
}

void mention_figure(struct mentions *m, const struct node *n, const struct value *key,
                    const struct node *where)
{
    if (m)
        add(m,
            (struct mention){.span = value_span(n, key), .sort = MENTION_FIGURE, .where = where});
}

void mention_note(struct mentions *m, struct span at, const char *name, enum mention_sort sort,
                  const void *thing, const struct node *where)
{
    if (m && (thing || where) && stands_there(at, name))
        add(m, (struct mention){.span = at, .sort = sort, .thing = thing, .where = where});
}

/* The parts of an address are words with a dot between each two. */
struct span mention_span(const struct node *n, const struct value *v, unsigned part)
{
    uint32_t token = v->first + 2 * part;
    return token < n->source->token_count ? token_span(n->source, token, token) : (struct span){0};
}

static const char *part_of(const struct value *v, unsigned part)
{
    if (v->kind == V_REF)
        return part < v->ref->count ? v->ref->part[part] : NULL;
    bool named = v->kind == V_NAME || v->kind == V_SLASHED || v->kind == V_LUMBER;
    return named && !part ? v->name : NULL;
}

static unsigned last_part(const struct value *v)
{
    return v->kind == V_REF ? v->ref->count - 1u : 0;
}

void mention_value(struct mentions *m, const struct node *n, const struct value *v, unsigned part,
                   enum mention_sort sort, const void *thing, const struct node *where)
{
    if (m && v && v->kind == V_INTEGER && (thing || where)) /* a circuit's number is its name */
        add(m, (struct mention){
                   .span = value_span(n, v), .sort = sort, .thing = thing, .where = where});
    else if (m && v)
        mention_note(m, mention_span(n, v, part), part_of(v, part), sort, thing, where);
}

void mention_word(struct mentions *m, const struct node *n, enum mention_sort sort,
                  const void *thing, const struct node *where)
{
    if (m)
        mention_note(m, token_span(n->source, n->first, n->first), n->word, sort, thing, where);
}

void mention_name(struct mentions *m, const struct node *n, enum mention_sort sort,
                  const void *thing)
{
    const struct value *v = m && n ? node_value(n, 0) : NULL;
    if (!v)
        return;
    if (n->form == F_BOX && node_in_row(n))
        add(m, (struct mention){.span = value_span(n, v),
                                .sort = sort,
                                .in_row = true,
                                .thing = thing,
                                .where = n});
    else
        mention_value(m, n, v, last_part(v), sort, thing, n);
}

void mention_alike(struct mentions *m, const struct node *a, const struct value *x, unsigned part,
                   const struct node *b, const struct value *y)
{
    if (!m || !x || !y)
        return;
    part = part == MENTION_LAST ? last_part(x) : part;
    const char *name = part_of(x, part);
    struct span at = mention_span(a, x, part), to = mention_span(b, y, last_part(y));
    if (stands_there(at, name) && stands_there(to, name))
        *vec_push(m->arena, &m->alike) = (struct mention_pair){at, to};
}

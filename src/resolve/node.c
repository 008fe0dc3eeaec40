#include "resolve/node.h"

#include "base/source.h"
#include "resolve/value.h"
#include "syntax/token.h"

struct node *node_child(const struct node *n, enum form_id form)
{
    struct node *c = n ? n->child : NULL;
    while (c && c->form != form)
        c = c->next;
    return c;
}

bool node_in_row(const struct node *n)
{
    return n->form == F_BOX && ((n->alt == PLACE_ON_WALL && n->value_count == ROW_VALUES_WALL) ||
                                (n->alt == PLACE_AT_POINT && n->value_count == ROW_VALUES_GRID));
}

bool node_flag(const struct node *n, enum form_id form)
{
    const struct node *c = node_child(n, form);
    return c && !c->no;
}

bool node_lacks(const struct node *n, enum form_id form)
{
    return n && !n->broken && !n->lost && !node_child(n, form);
}

const struct value *node_value(const struct node *n, unsigned i)
{
    return n && i < n->value_count && n->values[i].kind != V_NONE ? &n->values[i] : NULL;
}

const char *node_name(const struct node *n, unsigned i)
{
    const struct value *v = node_value(n, i);
    return v && (v->kind == V_NAME || v->kind == V_SLASHED || v->kind == V_LUMBER) ? v->name : NULL;
}

struct span node_span(const struct node *n)
{
    return token_span(n->source, n->first, n->last);
}

bool node_broken(const struct node *n)
{
    return n && (n->broken || n->lost);
}

struct span value_span(const struct node *n, const struct value *v)
{
    return token_span(n->source, v->first, v->last);
}

struct span node_name_span(const struct node *n)
{
    return n->value_count && n->values[0].kind != V_NONE ? value_span(n, &n->values[0])
                                                         : node_span(n);
}

struct span node_word_span(const struct node *n)
{
    return token_span(n->source, n->first, n->first);
}

struct span node_title_span(const struct node *n)
{
    return n->text ? token_span(n->source, n->text_token, n->text_token) : node_name_span(n);
}

const char *node_ref_text(struct arena *arena, const struct value *v)
{
    if (v->kind != V_REF)
        return v->kind == V_INTEGER ? arena_printf(arena, "%lld", (long long)v->n) : v->name;
    const char *text = v->ref->part[0];
    for (uint8_t i = 1; i < v->ref->count; i++)
        text = arena_printf(arena, "%s.%s", text, v->ref->part[i]);
    return text;
}

#include "model/build.h"
#include "resolve/value_reader.h"

#include <string.h>

const struct value *build_put_in(struct builder *b, const struct node *n, const struct value *v,
                                 enum capture wanted)
{
    if (!v || v->kind != V_GIVEN)
        return v;
    const struct node *given = b->scope ? map_find(&b->given, b->scope, v->name) : NULL;
    if (!given) {
        build_unknown_thing(b, b->scope, value_span(n, v), "given value", v->name,
                            build_map_names(b, &b->given, (uintptr_t)b->scope));
        return NULL;
    }
    struct value *put = arena_new(b->arena, struct value);
    if (node_value(given, 1))
        *put = *node_value(given, 1);
    if (b->m->lib->mentions) {
        mention_note(b->m->lib->mentions, token_span(n->source, v->first + 1, v->first + 1),
                     v->name, MENTION_GIVEN, NULL, given);
        map_put(b->arena, &b->put_in, (uintptr_t)put, 0, (void *)given);
    }
    bool serves = put->kind && value_serves(wanted, put);
    const char *beyond = serves ? value_out_of_bounds(wanted, put) : NULL;
    if (serves && !beyond)
        return put;
    struct finding *f =
        beyond ? diag_add(b->diag, &rule_syntax, value_span(n, v), "%s", beyond)
               : diag_add(b->diag, &rule_wrong_unit, value_span(n, v), "'%s' does not hold %s",
                          v->name, resolve_capture_words(wanted));
    diag_note(b->diag, f, node_span(given), "given here");
    return NULL;
}

void build_mention(struct builder *b, const struct node *n, const struct value *v, unsigned part,
                   enum mention_sort sort, const void *thing, const struct node *where)
{
    struct mentions *m = b->m->lib->mentions;
    const struct node *given = NULL;
    if (!m || !v)
        return;
    if (v->kind == V_GIVEN) {
        given = b->scope ? map_find(&b->given, b->scope, v->name) : NULL;
        v = node_value(given, 1);
    } else {
        given = map_get(&b->put_in, (uintptr_t)v, 0);
    }
    mention_value(m, given ? given : n, v, part, sort, thing, where);
}

void build_mention_declared(struct builder *b, const struct map *m, uintptr_t scope,
                            const char *name, const struct node *n, enum mention_sort sort)
{
    if (b->m->lib->mentions)
        mention_name(b->m->lib->mentions, n, sort, map_get(m, scope, (uintptr_t)name));
}

void build_mention_circuit(struct builder *b, const struct node *n, const struct value *v,
                           const struct circuit *c)
{
    unsigned last = v->kind == V_REF ? v->ref->count - 1u : 0;
    const struct unit *unit = c->panel ? c->panel->unit : NULL;
    build_mention(b, n, v, last, MENTION_CIRCUIT, c, c->node);
    if (last && c->panel)
        build_mention(b, n, v, last - 1, MENTION_PANEL, c->panel, c->panel->node);
    if (last > 1 && unit)
        build_mention(b, n, v, 0, MENTION_UNIT, unit, unit->node);
}

void build_mention_named(struct builder *b, const struct node *n, const struct value *v,
                         unsigned part, const struct named *named)
{
    if (named && named->room)
        build_mention(b, n, v, part, MENTION_ROOM, named->room, named->node);
    else if (named && named->unit)
        build_mention(b, n, v, part, MENTION_UNIT, named->unit, named->node);
    else if (named && named->panel)
        build_mention(b, n, v, part, MENTION_PANEL, named->panel, named->node);
}

const struct value *val(struct builder *b, const struct node *n, unsigned i, enum capture wanted)
{
    return build_put_in(b, n, node_value(n, i), wanted);
}

length val_length(struct builder *b, const struct node *n, unsigned i, length missing)
{
    enum capture wanted = n ? language_capture(b->language, n->form, n->alt, i) : C_LEN;
    const struct value *v = val(b, n, i, wanted);
    return v && v->kind == V_LENGTH ? v->n : missing;
}

double val_amount(struct builder *b, const struct node *n, unsigned i, enum capture wanted,
                  double missing)
{
    return value_amount(val(b, n, i, wanted), missing);
}

uint32_t val_count(struct builder *b, const struct node *n, unsigned i, uint32_t most,
                   uint32_t missing)
{
    double count = val_amount(b, n, i, C_NUM, missing);
    if (count >= 0 && count <= most)
        return (uint32_t)count;
    struct finding *f = diag_add(b->diag, &rule_limit, node_span(n),
                                 "%s is counted from 0 to %u here", n->word, most);
    diag_mend(b->diag, f, "a number from 0 to %u", most);
    return missing;
}

const char *val_name(struct builder *b, const struct node *n, unsigned i)
{
    const struct value *v = val(b, n, i, C_NAME);
    return v && (v->kind == V_NAME || v->kind == V_SLASHED || v->kind == V_LUMBER) ? v->name : NULL;
}

const struct node *clause(const struct node *n, enum form_id form)
{
    const struct node *c = n ? n->child : NULL;
    while (c && (c->form != form || c->broken))
        c = c->next;
    return c;
}

length clause_length(struct builder *b, const struct node *n, enum form_id form, length missing)
{
    return val_length(b, clause(n, form), 0, missing);
}

double clause_amount(struct builder *b, const struct node *n, enum form_id form,
                     enum capture wanted, double missing)
{
    return val_amount(b, clause(n, form), 0, wanted, missing);
}

uint32_t clause_count(struct builder *b, const struct node *n, enum form_id form, uint32_t most,
                      uint32_t missing)
{
    return val_count(b, clause(n, form), 0, most, missing);
}

const char *val_size(struct builder *b, const struct node *n, unsigned i)
{
    const struct value *v = val(b, n, i, C_SIZE);
    return v ? names_of(b->m->names, node_ref_text(b->arena, v)) : NULL;
}

const char *clause_text(struct builder *b, const struct node *n, enum form_id form)
{
    const struct value *v = val(b, clause(n, form), 0, C_TEXT);
    return v && (v->kind == V_TEXT || v->kind == V_NAME) ? v->name : NULL;
}

void build_mend_name(struct builder *b, struct finding *f, const struct nearest *n)
{
    diag_mend_nearest(b->diag, f, n);
}

/* The mends of a name write it in this place as well. */
static void mend_here_too(struct builder *b, struct finding *f, struct span span, const char *name)
{
    struct span at = diag_name_in(span, name);
    for (uint32_t i = 0; at.source && i < f->mends.n; i++)
        diag_edit(b->diag, &f->mends.at[i], at, f->mends.at[i].edits.at[0].text);
}

/* What was said of it already: further places are told with that. */
static bool said_before(struct builder *b, void *const *at, struct span span, const char *name)
{
    struct finding *f = *at ? &b->diag->findings.at[(uintptr_t)*at - 1] : NULL;
    if (f && (f->span.source != span.source ||
              f->span.off != span.off)) { /* a copy says the same of the same place */
        diag_note(b->diag, f, span, "and here");
        mend_here_too(b, f, span, name);
    }
    return f;
}

struct finding *build_unknown(struct builder *b, struct span span, const char *what,
                              const char *name, struct among among)
{
    if (b->file->broken) /* a file of the plan was not read: the name may be declared there */
        return NULL;
    struct finding *f =
        diag_add(b->diag, &rule_unknown_name, span, "there is no %s '%s'", what, name);
    if (diag_is_full(b->diag, &rule_unknown_name))
        return NULL;
    struct nearest n = nearest_meant(&b->diag->words, name);
    for (unsigned i = 0; i < sizeof among.lists / sizeof *among.lists; i++)
        if (among.lists[i])
            nearest_among(&n, among.lists[i]);
    build_mend_name(b, f, &n);
    return f;
}

struct finding *build_unknown_once(struct builder *b, const void *where, struct span span,
                                   const char *what, const char *name, struct among among)
{
    uintptr_t by = (uintptr_t)names_of(b->m->names, name);
    if (said_before(b, map_at(b->arena, &b->said, (uintptr_t)where, by), span, name))
        return NULL;
    struct finding *f = build_unknown(b, span, what, name, among);
    if (f)
        *map_at(b->arena, &b->said, (uintptr_t)where, by) = (void *)(uintptr_t)b->diag->findings.n;
    return f;
}

void build_unknown_thing(struct builder *b, const void *where, struct span span, const char *what,
                         const char *name, struct among among)
{
    if (build_unknown_once(b, where, span, what, name, among))
        *vec_push(b->arena, &b->unknown) =
            (struct unknown_thing){b->diag->findings.n - 1, where, name, among};
}

void build_note_named(struct builder *b, const void *where, const char *name)
{
    map_put(b->arena, &b->met, (uintptr_t)where, (uintptr_t)names_of(b->m->names, name), b);
}

/* Of the names that nothing names the nearest, if none is nearer. */
static const char *nearest_unnamed(struct builder *b, const struct unknown_thing *u)
{
    struct nearest all = nearest_to(u->name), n = nearest_to(u->name);
    for (unsigned i = 0; i < sizeof u->among.lists / sizeof *u->among.lists; i++) {
        near_list *list = u->among.lists[i];
        if (list)
            nearest_among(&all, list);
        for (uint32_t k = 0; list && k < list->names.n; k++) {
            uintptr_t name = (uintptr_t)list->names.at[k].text;
            if (!map_get(&b->met, (uintptr_t)u->where, name) && !map_get(&b->met, 0, name))
                nearest_try(&n, list->names.at[k].text);
        }
    }
    return n.by_edit && n.best <= all.best ? n.by_edit : NULL;
}

void build_mend_unknown(struct builder *b)
{
    enum { MOST_MENDED = 8 }; /* where there are more, it is no slip of the pen */
    for (uint32_t i = 0; i < b->unknown.n && i < MOST_MENDED; i++) {
        const struct unknown_thing *u = &b->unknown.at[i];
        const char *meant = nearest_unnamed(b, u);
        struct finding *f = &b->diag->findings.at[u->finding];
        if (!meant)
            continue;
        diag_mend_name(b->diag, f, u->name, meant);
        for (uint32_t k = 0; k < f->related_count; k++)
            mend_here_too(b, f, f->related[k].span, u->name);
        diag_mend_more(b->diag, f, "or call it '%s' where it is declared", u->name);
    }
}

struct among build_map_names(struct builder *b, const struct map *m, uintptr_t scope)
{
    return (struct among){{near_of_map(b->arena, &b->near, m, scope)}};
}

static const char *folded(struct builder *b, const char *name)
{
    char *low = arena_copy(b->arena, name, strlen(name));
    for (char *p = low; *p; p++)
        *p = *p >= 'A' && *p <= 'Z' ? (char)(*p + 32) : *p;
    return names_of(b->m->names, low);
}

/* What is filed under the folded name: whether another spelling of it is taken already. */
struct spelling {
    const char *name;
    const struct node *node;
};

bool build_declare_name(struct builder *b, struct map *m, uintptr_t scope, const char *name,
                        struct span span, const char *what, const struct node *node, void *thing)
{
    /* Spellings share the map under the scope's complement, so that a look-up by name never meets
     * them. */
    void **at = map_at(b->arena, m, ~scope, (uintptr_t)folded(b, name));
    const struct spelling *before = *at;
    bool doubtful =
        before &&
        ((before->node && before->node->broken) ||
         (node && node->broken)); /* a name in a line at fault may be half of one: "circuit 1a" */
    if (doubtful) {
        if (!before->node->broken)
            return false;
    } else if (before) {
        bool same = before->name == name;
        struct finding *f = diag_add(b->diag, &rule_duplicate_name, span,
                                     same ? "%s '%s' is there already"
                                          : "%s '%s' differs only in case from another one",
                                     what, name);
        diag_note(b->diag, f, node_name_span(before->node), "first given here");
        diag_mend(b->diag, f,
                  "a name of its own for one of the two; where they are one thing, leave one out");
        return false;
    }
    struct spelling *s = arena_new(b->arena, struct spelling);
    *s = (struct spelling){name, node};
    *at = s;
    map_put(b->arena, m, scope, (uintptr_t)name, thing);
    return true;
}

bool build_declare_thing(struct builder *b, const struct unit *in, const char *name,
                         const char *what, const struct node *node, struct named thing)
{
    struct named *named = arena_new(b->arena, struct named);
    *named = thing;
    named->node = node;
    if (build_declare_name(b, &b->m->scope, (uintptr_t)in, name, node_name_span(node), what, node,
                           named)) {
        build_mention_named(b, node, node_value(node, 0), 0, named);
        return true;
    }
    /* Who names it names one of the two: the first, or what another spelling of it was given to. */
    struct named *first = map_get(&b->m->scope, (uintptr_t)in, (uintptr_t)name);
    if (!first) {
        first = arena_new(b->arena, struct named);
        first->node = node;
        map_put(b->arena, &b->m->scope, (uintptr_t)in, (uintptr_t)name, first);
    }
    build_mention_named(b, node, node_value(node, 0), 0, first);
    first->in_doubt = ITS_NAMES;
    return false;
}

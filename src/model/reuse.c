/* "As Y, except": a statement with its base merged in. Only what changes is copied; all else is
 * shared with the base. */
#include "model/build.h"

static const struct node being_expanded;

static bool named_form(const struct builder *b, const struct node *n)
{
    return b->language->forms[n->form].names && n->value_count;
}

static bool same_name(const struct node *a, const struct node *b)
{
    const struct value *x = node_value(a, 0), *y = node_value(b, 0);
    if (!x || !y || x->kind != y->kind)
        return false;
    if (x->kind == V_REF) {
        bool same = x->ref->count == y->ref->count;
        for (uint8_t i = 0; same && i < x->ref->count; i++)
            same = x->ref->part[i] == y->ref->part[i];
        return same;
    }
    return x->kind == V_INTEGER ? x->n == y->n : x->name == y->name;
}

struct node *build_append(struct builder *b, struct node *to, const struct node *n)
{
    struct node *copy = arena_new(b->arena, struct node);
    *copy = *n;
    copy->next = NULL;
    copy->parent = to;
    if (to->last_child)
        to->last_child->next = copy;
    else
        to->child = copy;
    to->last_child = copy;
    return copy;
}

/* The statement of `own` that changes `n` of the base: the same clause, or the same name. */
static const struct node *change_of(struct builder *b, const struct node *own, const struct node *n)
{
    if (n->form == F_SIZE && node_child(own, F_OUTLINE)) /* the copy has a shape of its own */
        return node_child(own, F_OUTLINE);
    if (n->form == F_OUTLINE && node_child(own, F_SIZE))
        return node_child(own, F_SIZE);
    const struct form *f = &b->language->forms[n->form];
    for (const struct node *c = own->child; c; c = c->next) {
        if (c->form != n->form)
            continue;
        if (named_form(b, n) ? same_name(c, n) : !f->repeats)
            return c;
    }
    return NULL;
}

typedef VEC(const char *) name_list;

/* Notes what a `without` names, where that is `n` or a box in it. */
static void mention_taken(const struct builder *b, const struct node *without,
                          const struct value *v, const struct node *n)
{
    struct mentions *m = b->m->lib->mentions;
    const struct value *name = node_value(n, 0);
    if (!m || !name)
        return;
    bool inside = v->kind == V_REF && name->kind == V_NAME && v->ref->part[0] == name->name;
    mention_alike(m, without, v, inside ? 0 : MENTION_LAST, n, name);
    for (const struct node *c = inside ? n->child : NULL; c; c = c->next)
        if (c->form == F_BOX && !node_in_row(c) && v->ref->count == 2)
            mention_alike(m, without, v, 1, c, node_value(c, 0));
}

/* Whether `own` takes away the base's thing `name`, or, with a dot, something inside it: then the
 * rest of the name is filed in `inside`. */
static bool taken_away(const struct builder *b, const struct node *own, const struct node *n,
                       name_list *inside)
{
    const struct value *name = named_form(b, n) ? node_value(n, 0) : NULL;
    for (const struct node *c = own->child; c; c = c->next) {
        const struct value *v = c->form == F_WITHOUT ? node_value(c, 0) : NULL;
        if (!v || !name)
            continue;
        mention_taken(b, c, v, n);
        if (v->kind == V_NAME && name->kind == V_NAME && v->name == name->name)
            return true;
        if (v->kind == V_INTEGER && name->kind == V_INTEGER && v->n == name->n)
            return true;
        if (v->kind != V_REF)
            continue;
        if (same_name(c, n))
            return true;
        if (name->kind == V_NAME && v->ref->part[0] == name->name && v->ref->count == 2)
            *vec_push(b->arena, inside) = v->ref->part[1];
    }
    return false;
}

static const struct node *merge(struct builder *b, const struct node *base, const struct node *own);

static void mention_changed(struct builder *b, const struct node *own, const struct node *base)
{
    if (named_form(b, base) && !node_in_row(base) && !node_in_row(own))
        mention_alike(b->m->lib->mentions, own, node_value(own, 0), MENTION_LAST, base,
                      node_value(base, 0));
}

/* A copy of a room without some of its boxes. */
static const struct node *without_inside(struct builder *b, const struct node *n,
                                         const name_list *names)
{
    struct node *copy = arena_new(b->arena, struct node);
    *copy = *n;
    copy->child = copy->last_child = NULL;
    for (const struct node *c = n->child; c; c = c->next) {
        bool away = false;
        const char *name = c->form == F_BOX ? node_name(c, 0) : NULL;
        for (uint32_t i = 0; i < names->n; i++)
            away |= name && names->at[i] == name;
        if (!away)
            build_append(b, copy, c);
    }
    return copy;
}

/* Tokens are those of one file: what a base in another one says is told of the name in the copy. */
static void take_place(struct builder *b, struct node *n, const struct node *base)
{
    const struct value *name = node_value(n, 0);
    n->alt = base->alt;
    n->value_count = base->value_count;
    n->values = base->values;
    if (n->source == base->source || !name)
        return;
    n->values = arena_array(b->arena, struct value, base->value_count);
    for (unsigned i = 0; i < base->value_count; i++) {
        n->values[i] = base->values[i];
        n->values[i].first = name->first;
        n->values[i].last = name->last;
    }
}

static const struct node *merge(struct builder *b, const struct node *base, const struct node *own)
{
    struct node *n = arena_new(b->arena, struct node);
    *n = *own;
    n->child = n->last_child = NULL;
    n->base = base;
    n->text = own->text ? own->text : base->text;
    if (!own->text)
        n->text_token = own->source == base->source ? base->text_token : own->first;
    n->lost = own->lost || base->lost;
    n->broken =
        own->broken ||
        base->broken; /* what is said of a broken base once is not said again of its copies */
    if (n->form == F_BOX && own->alt == PLACE_UNSAID) /* it need not say again where it is */
        take_place(b, n, base);
    for (const struct node *c = base->child; c; c = c->next) {
        name_list inside = {0};
        if (taken_away(b, own, c, &inside))
            continue;
        const struct node *change = change_of(b, own, c);
        if (!change)
            build_append(b, n, inside.n ? without_inside(b, c, &inside) : c);
        else if (named_form(b, c) && c->form != F_GIVEN)
            build_append(b, n, merge(b, inside.n ? without_inside(b, c, &inside) : c, change));
        else
            build_append(b, n, change);
        if (change)
            mention_changed(b, change, c);
    }
    bool own_devices = false;
    for (const struct node *c = own->child; c; c = c->next) {
        name_list inside = {0};
        const struct node *changed = c->form == F_WITHOUT ? c : change_of(b, base, c);
        if (changed &&
            (c->form == F_WITHOUT ||
             !taken_away(b, own, changed, &inside))) /* what was taken away may be written anew */
            continue;
        own_devices |= c->form == F_DEVICE;
        build_append(b, n, c);
    }
    if (own_devices && n->form == F_BOX) { /* devices that are written anew replace the base's */
        struct node *kept = n->child;
        n->child = n->last_child = NULL;
        for (const struct node *c = kept; c; c = c->next) {
            bool of_base = c->form == F_DEVICE;
            for (const struct node *o = own->child; o && of_base; o = o->next)
                of_base = o->first != c->first || o->source != c->source;
            if (!of_base)
                build_append(b, n, c);
        }
    }
    return n;
}

static bool names_thing(const struct node *n, const struct value *v)
{
    const struct value *name = node_value(n, 0);
    if (!name)
        return false;
    if (v->kind == V_REF && name->kind == V_NAME)
        return v->ref->part[0] == name->name;
    if (v->kind == V_REF && name->kind == V_REF)
        return v->ref->count == name->ref->count && v->ref->part[0] == name->ref->part[0] &&
               v->ref->part[1] == name->ref->part[1];
    return v->kind == name->kind &&
           (v->kind == V_INTEGER ? v->n == name->n : v->name == name->name);
}

/* A name with a dot takes away a box inside a room; a room that is a copy itself is not looked
 * into. */
static bool has_inside(const struct node *n, const struct value *v)
{
    if (v->kind != V_REF || n->form != F_ROOM || v->ref->count != 2 || node_name(n, 1))
        return true;
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_BOX && node_name(c, 0) == v->ref->part[1])
            return true;
    return false;
}

static bool puts_in(const struct node *n, const char *name)
{
    for (unsigned i = 0; i < n->value_count; i++)
        if (n->values[i].kind == V_GIVEN && n->values[i].name == name)
            return true;
    for (const struct node *c = n->child; c; c = c->next)
        if (puts_in(c, name))
            return true;
    return false;
}

/* A given value that neither the base has nor the copy's own text uses changes nothing: its name is
 * a slip. */
static void check_given(struct builder *b, const struct node *base, const struct node *own)
{
    near_list *names = arena_new(b->arena, near_list); /* a slip is mended at the end */
    for (const struct node *n = base->child; n; n = n->next)
        if (n->form == F_GIVEN && node_name(n, 0))
            near_add(b->arena, names, node_name(n, 0));
    for (const struct node *c = own->child; c; c = c->next) {
        const char *name = c->form == F_GIVEN && !c->broken ? node_name(c, 0) : NULL;
        bool found = !name || puts_in(own, name);
        for (uint32_t i = 0; i < names->names.n && !found; i++)
            found = names->names.at[i].text == name;
        if (!found)
            build_unknown_thing(b, base, node_name_span(c), "given value in the base called", name,
                                (struct among){{names}});
    }
}

const struct node *build_in_doubt(struct builder *b, const struct node *n)
{
    struct node *copy = arena_new(b->arena, struct node);
    *copy = *n;
    copy->broken = true;
    return copy;
}

static void say_not_there(struct builder *b, const struct node *base, const struct node *c,
                          const struct value *v)
{
    struct finding *f =
        diag_add(b->diag, &rule_unknown_name, value_span(c, v),
                 "there is no '%s' in the base to take away", node_ref_text(b->arena, v));
    struct nearest near = nearest_to(v->kind == V_NAME ? v->name : "");
    for (const struct node *n = base->child; n; n = n->next)
        if (named_form(b, n) && node_name(n, 0))
            nearest_try(&near, node_name(n, 0));
    build_mend_name(b, f, &near);
}

static void check_without(struct builder *b, const struct node *base, const struct node *own)
{
    for (const struct node *c = own->child; c; c = c->next) {
        const struct value *v = c->form == F_WITHOUT && !c->broken ? node_value(c, 0) : NULL;
        bool found = !v;
        for (const struct node *n = base->child; n && !found; n = n->next)
            found = (b->language->forms[n->form].names && !node_value(n, 0)) ||
                    (named_form(b, n) && names_thing(n, v) &&
                     has_inside(n, v)); /* one may have lost its name */
        if (!found)
            say_not_there(b, base, c, v);
    }
}

/* Whether a `without` of `n`, a unit, takes away the room or panel `name`, or its box `box`; in a
 * room that `n` changes, the box alone is named. */
static const struct node *without_of(const struct node *n, const char *name, const char *box)
{
    for (const struct node *c = n->child; c; c = c->next) {
        const struct value *v = c->form == F_WITHOUT && !c->broken ? node_value(c, 0) : NULL;
        if (v && v->kind == V_NAME && v->name == name)
            return c;
        if (v && v->kind == V_REF && v->ref->count == 2 && v->ref->part[0] == name &&
            v->ref->part[1] == box)
            return c;
        const struct node *inside =
            box && c->form == F_ROOM && node_name(c, 0) == name ? without_of(c, box, NULL) : NULL;
        if (inside)
            return inside;
    }
    return NULL;
}

/* The statement a base names: among the siblings, else at the top of the plan. A unit stands on a
 * unit or a pattern. */
static const struct node *base_of(struct builder *b, const struct node *n,
                                  const struct node *siblings, const char *name)
{
    bool unit = n->form == F_UNIT || n->form == F_PATTERN;
    if (siblings == b->file->child) {
        const struct node *found =
            map_get(&b->statements, unit ? F_UNIT : n->form, (uintptr_t)name);
        return found || !unit ? found : map_get(&b->statements, F_PATTERN, (uintptr_t)name);
    }
    for (const struct node *s = siblings; s; s = s->next)
        if ((unit ? s->form == F_UNIT || s->form == F_PATTERN : s->form == n->form) &&
            node_name(s, 0) == name)
            return s;
    return base_of(b, n, b->file->child, name);
}

/* What a statement of that form could be based on, for suggestions. */
static near_list *sibling_names(struct builder *b, const struct node *siblings, enum form_id form)
{
    void **at = map_at(b->arena, &b->near_siblings, (uintptr_t)siblings, (uintptr_t)form);
    if (*at)
        return *at;
    near_list *list = arena_new(b->arena, near_list);
    for (const struct node *s = siblings; s; s = s->next)
        if ((s->form == form || s->form == F_PATTERN) && node_name(s, 0))
            near_add(b->arena, list, node_name(s, 0));
    *at = list;
    return list;
}

const struct node *build_copies(struct builder *b, const struct node *n,
                                const struct node *siblings)
{
    const char *name = n->broken ? NULL : node_name(n, 1);
    if (!name)
        return n;
    const struct node *done = map_get(&b->expanded, (uintptr_t)n, 0);
    if (done == &being_expanded) {
        diag_mend(b->diag,
                  diag_add(b->diag, &rule_definition_cycle, value_span(n, node_value(n, 1)),
                           "%s '%s' is based on itself", n->word, node_name(n, 0)),
                  "base it on another one, or on none");
        return NULL;
    }
    if (done)
        return done;
    const struct node *base = base_of(b, n, siblings, name);
    if (!base) {
        build_unknown_thing(b, siblings, value_span(n, node_value(n, 1)),
                            n->form == F_ROOM ? "room" : "pattern", name,
                            (struct among){{sibling_names(b, siblings, n->form)}});
        return build_in_doubt(b, n);
    }
    enum mention_sort sort = n->form == F_ROOM ? MENTION_ROOM : MENTION_UNIT;
    mention_name(b->m->lib->mentions, base, sort, NULL);
    mention_value(b->m->lib->mentions, n, node_value(n, 1), 0, sort, NULL, base);
    map_put(b->arena, &b->expanded, (uintptr_t)n, 0, (void *)&being_expanded);
    const struct node *whole = build_copies(b, base, siblings);
    const struct node *merged = NULL;
    if (whole) {
        check_without(b, whole, n);
        check_given(b, whole, n);
        merged = merge(b, whole, n);
        if (base->form == F_PATTERN)
            map_put(b->arena, &b->drawn_upon, (uintptr_t)base, 0, (void *)base);
    } else {
        merged = build_in_doubt(b, n);
    }
    map_put(b->arena, &b->expanded, (uintptr_t)n, 0, (void *)merged);
    return merged;
}

const struct node *build_taken_by_copy(struct builder *b, const struct scope *s, const char *name,
                                       const char *box)
{
    const struct node *n = s->unit && !node_broken(s->node) ? s->unit->node : NULL;
    while (n) {
        const struct node *found = without_of(n, name, box);
        if (found)
            return found;
        n = node_name(n, 1) ? base_of(b, n, b->file->child, node_name(n, 1)) : NULL;
    }
    return NULL;
}

/* Coils, prices and waivers. */
#include "model/build.h"
#include "resolve/edit.h"

#include <string.h>

static void read_coil(struct builder *b, const struct node *n)
{
    const char *of = node_name(n, 0);
    struct raceway_def *raceway =
        of && library_raceway(b->m->lib, of) ? build_find_raceway(b, n) : NULL;
    struct cable_def *cable = raceway ? NULL : build_find_cable(b, n, 0);
    if (!cable && !raceway)
        return;
    struct coil *c = arena_new(b->arena, struct coil);
    *c = (struct coil){.id = b->m->coils.n,
                       .cable = cable,
                       .raceway = raceway,
                       .color = val_name(b, clause(n, F_COIL_COLOR), 0),
                       .node = n,
                       .title = n->text,
                       .length = val_length(b, n, 1, 0)};
    c->price = clause_amount(b, n, F_COIL_PRICE, C_NUMBER, -1);
    c->count = clause_count(b, n, F_COUNT, MOST_COUNTED, 1);
    c->counted = clause(n, F_COUNT) != NULL;
    c->on_hand = node_flag(n, F_ON_HAND);
    c->name = val_name(b, clause(n, F_AS), 0);
    if (c->name) {
        build_declare_name(b, &b->coil_names, 1, c->name, node_span(clause(n, F_AS)), "coil",
                           clause(n, F_AS), c);
        build_mention_declared(b, &b->coil_names, 1, c->name, clause(n, F_AS), MENTION_COIL);
    }
    *vec_push(b->arena, &b->m->coils) = c;
}

/* Of the words of a price those that name a definition; each is a word of its own in the lists, and
 * may be one of several. */
static void mention_priced(struct builder *b, const struct node *n)
{
    struct library *lib = b->m->lib;
    const struct value *what = node_value(n, 0);
    for (uint32_t t = what->first; lib->mentions && t <= what->last; t++) {
        struct span at = token_span(n->source, t, t);
        const char *name = names_intern(b->m->names, at.source->bytes + at.off, at.len);
        const struct cable_def *cable = library_cable(lib, name);
        const struct raceway_def *raceway = library_raceway(lib, name);
        const struct box_type *type = library_box_type(lib, name);
        const struct device_def *device = library_device(lib, name);
        if (cable)
            mention_note(lib->mentions, at, name, MENTION_CABLE, cable, cable->node);
        else if (raceway)
            mention_note(lib->mentions, at, name, MENTION_RACEWAY, raceway, raceway->node);
        else if (type)
            mention_note(lib->mentions, at, name, MENTION_BOX_TYPE, type, type->node);
        else if (device)
            mention_note(lib->mentions, at, name, MENTION_DEVICE, device, device->node);
    }
}

void build_orders(struct builder *b)
{
    for (const struct node *n = b->file->child; n; n = n->next) {
        if (n->broken)
            continue;
        if (n->form == F_COIL)
            read_coil(b, n);
        if (n->form != F_PRICE || !node_name(n, 0))
            continue;
        build_price(b, n);
        mention_priced(b, n);
    }
}

/* --- waivers ------------------------------------------------------------------------------ */

RULE(stale_waiver, "stale-waiver", WARNING, FIRM, "a waiver lets some finding stand");

static bool read_rule(struct builder *b, const struct node *n, struct waiver *w)
{
    const char *name = node_name(n, 0);
    w->rule = name ? rule_named(name) : NULL;
    build_mention(b, n, node_value(n, 0), 0, MENTION_RULE, w->rule, NULL);
    if (!name)
        return false;
    if (!w->rule) {
        struct finding *f = build_unknown(b, node_name_span(n), "rule", name, (struct among){0});
        struct nearest near = nearest_to(name);
        for (uint32_t i = 0; i < rule_count && f; i++)
            nearest_try(&near, rule_names[i]);
        build_mend_name(b, f, &near);
        return false;
    }
    if (!w->rule->waivable) {
        struct finding *f = diag_add(b->diag, &rule_stale_waiver, node_name_span(n),
                                     "rule '%s' may not be waived", name);
        f->severity = ERROR;
        diag_mend(b->diag, f, "mend what the rule finds, or take the waiver away");
        edit_remove(edit_way(b->diag, f, false, "take the waiver away"), n);
        return false;
    }
    return true;
}

static void file_circuit(struct builder *b, const void *scope, const char *name, struct circuit *c)
{
    void **at = map_at(b->arena, &b->circuits_by_name, (uintptr_t)scope,
                       (uintptr_t)names_of(b->m->names, name));
    *at = *at ? *at : c;
}

/* The circuit of that address, or NULL. By address (m) and by (unit, name) they are filed when the
 * first is asked for. */
static const struct circuit *circuit_at(struct builder *b, const char *address)
{
    bool filed = b->circuits_by_name.n > 0;
    for (uint32_t i = 0; !filed && i < b->m->circuits.n; i++) {
        struct circuit *c = b->m->circuits.at[i];
        file_circuit(b, b->m, address_of_circuit(b->arena, c, false), c);
        file_circuit(b, c->unit, c->name, c);
    }
    return map_find(&b->circuits_by_name, b->m, names_of(b->m->names, address));
}

/* A room, panel or unit, and of an address what is in it. */
static void mention_address(struct builder *b, struct scope *s, const struct node *n,
                            const struct value *v, const struct named *named)
{
    build_mention_named(b, n, v, 0, named);
    const struct unit *in = named && named->unit ? named->unit : s->unit;
    for (uint8_t i = 1; named && named->unit && v->kind == V_REF && i < v->ref->count; i++) {
        named = map_get(&b->m->scope, (uintptr_t)in, (uintptr_t)v->ref->part[i]);
        build_mention_named(b, n, v, i, named);
        const struct box *x =
            named && named->room && i + 1 < v->ref->count
                ? map_get(&named->room->box_names, 1, (uintptr_t)v->ref->part[i + 1])
                : NULL;
        if (x)
            build_mention(b, n, v, i + 1u, MENTION_BOX, x, x->node);
    }
}

/* The address that a waiver covers, as findings name their subjects; NULL where it names nothing
 * that exists. */
static const char *read_where(struct builder *b, struct scope *s, const struct node *n,
                              struct waiver *w)
{
    struct arena *a = b->arena;
    const char *sort = node_name(n, 1);
    const struct value *what = val(b, n, 2, C_REF), *to = val(b, n, 3, C_REF);
    if (!what)
        return NULL;
    const char *text = node_ref_text(a, what);
    const char *unit = s->unit ? arena_printf(a, "%s.", s->unit->name) : "";
    if (to) {
        struct room *last = NULL;
        struct end from = build_resolve_end(b, s, n, what, &last),
                   end = build_resolve_end(b, s, n, to, &last);
        if ((!from.box && !from.panel) || (!end.box && !end.panel))
            return NULL;
        struct run r = {.from = from, .to = end};
        return arena_printf(a, "run %s", address_of_run(a, &r, false));
    }
    if (sort && !strcmp(sort, "circuit")) {
        const struct circuit *c = circuit_at(b, text);
        if (!c)
            c = circuit_at(b, arena_printf(a, "%s%s", unit, text));
        if (!c && what->kind != V_REF)
            c = map_find(&b->circuits_by_name, s->unit, names_of(b->m->names, text));
        w->circuit = c;
        if (c)
            build_mention_circuit(b, n, what, c);
        if (c)
            return arena_printf(a, "circuit %s", address_of_circuit(a, c, false));
    } else if (sort && !strcmp(sort, "leg")) {
        const struct leg *l =
            map_get(&b->m->leg_names, (uintptr_t)s->unit, (uintptr_t)names_of(b->m->names, text));
        if (l)
            build_mention(b, n, what, 0, MENTION_LEG, l, l->node);
        if (l)
            return arena_printf(a, "leg %s%s", unit, text);
    } else if (sort && !strcmp(sort, "level")) {
        const struct level *l = map_get(&b->level_names, 1, (uintptr_t)names_of(b->m->names, text));
        if (l)
            build_mention(b, n, what, 0, MENTION_LEVEL, l, l->node);
        if (l)
            return arena_printf(a, "level %s", text);
    } else if (sort && !strcmp(sort, "building")) {
        const struct building *x =
            map_get(&b->building_names, 1, (uintptr_t)names_of(b->m->names, text));
        if (x)
            build_mention(b, n, what, 0, MENTION_BUILDING, x, x->node);
        if (x)
            return arena_printf(a, "building %s", text);
    } else {
        struct room *last = NULL;
        struct named *named =
            build_find_named(b, s, what->kind == V_REF ? what->ref->part[0] : text);
        mention_address(b, s, n, what, named);
        if (named && (named->panel ? what->kind != V_REF
                                   : what->kind != V_REF || named->unit ||
                                         build_resolve_end(b, s, n, what, &last).box))
            return arena_printf(a, "%s%s", named->unit ? "" : unit, text);
        if (named && named->room) /* build_resolve_end has said it */
            return NULL;
    }
    if (s->in_doubt & ITS_NAMES || b->unknown.n) /* a name that is missing may be a part of it */
        return NULL;
    struct finding *f = diag_add(b->diag, &rule_unknown_name, value_span(n, what),
                                 "there is nothing at the address '%s' to waive a rule for", text);
    if (!sort && circuit_at(b, text)) {
        diag_mend(b->diag, f, "write 'circuit %s'", text);
        diag_replace(b->diag, f, true, value_span(n, what), arena_printf(a, "circuit %s", text));
    }
    return NULL;
}

static void read_waiver(struct builder *b, struct scope *s, const struct node *n,
                        const char *subject)
{
    struct waiver w = {.node = n, .unit = s->unit, .subject = subject};
    if (n->broken || !read_rule(b, n, &w))
        return;
    bool whole = n->form == F_WAIVE_HERE || n->alt == 1;
    if (!whole && !(w.subject = read_where(b, s, n, &w)))
        return;
    const struct value *because = val(b, n, n->form == F_WAIVE_HERE || n->alt == 1 ? 1 : 4, C_TEXT);
    w.because = because && because->kind == V_TEXT ? because->name : "";
    w.by = clause_text(b, n, F_WAIVE_BY);
    w.on = clause_text(b, n, F_WAIVE_ON);
    struct waiver *kept = arena_new(b->arena, struct waiver);
    *kept = w;
    *vec_push(b->arena, &b->m->waivers) = kept;
}

static void waivers_inside(struct builder *b, struct scope *s, const struct node *n,
                           const char *subject)
{
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_WAIVE_HERE)
            read_waiver(b, s, c, subject);
}

void build_waivers(struct builder *b, struct scope *s)
{
    b->scope = s;
    const char *unit = s->unit ? arena_printf(b->arena, "%s.", s->unit->name) : "";
    for (const struct node *n = s->first; n; n = n->next) {
        if (n->form == F_WAIVE)
            read_waiver(b, s, n, s->unit ? s->unit->name : NULL);
        else if (n->form == F_PLAN)
            waivers_inside(b, s, n, NULL);
        else if (n->form == F_PANEL && node_name(n, 0))
            waivers_inside(b, s, n, arena_printf(b->arena, "%s%s", unit, node_name(n, 0)));
        else if (n->form == F_BUILDING && node_name(n, 0))
            waivers_inside(b, s, n, arena_printf(b->arena, "building %s", node_name(n, 0)));
        else if (n->form == F_LEVEL && node_name(n, 0))
            waivers_inside(b, s, n, arena_printf(b->arena, "level %s", node_name(n, 0)));
    }
    for (uint32_t i = 0; i < s->rooms.n; i++) {
        waivers_inside(b, s, s->rooms.at[i]->node,
                       address_of_room(b->arena, s->rooms.at[i]->room, false));
        const struct room *r = s->rooms.at[i]->room;
        for (uint32_t k = 0; k < r->boxes.n; k++)
            waivers_inside(b, s, r->boxes.at[k]->node,
                           address_of_box(b->arena, r->boxes.at[k], false));
    }
}

void build_circuit_waivers(struct builder *b)
{
    for (uint32_t i = 0; i < b->m->circuits.n; i++) {
        const struct circuit *c = b->m->circuits.at[i];
        uint32_t first = b->m->waivers.n;
        b->scope = map_get(&b->scope_of, (uintptr_t)c->unit, 1);
        if (node_child(c->node, F_WAIVE_HERE))
            waivers_inside(
                b, b->scope, c->node,
                arena_printf(b->arena, "circuit %s", address_of_circuit(b->arena, c, false)));
        for (uint32_t k = first; k < b->m->waivers.n; k++)
            b->m->waivers.at[k]->circuit = c;
    }
}

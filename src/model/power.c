/* Panels, circuits and feeders, and what the names of their ends stand for. */
#include "model/build.h"
#include "resolve/edit.h"

#include <stdlib.h>
#include <string.h>

/* --- names -------------------------------------------------------------------------------- */

/* Rooms, units and panels of the unit at hand, then those of the plan. */
struct named *build_find_named(struct builder *b, struct scope *s, const char *name)
{
    struct named *found = map_get(&b->m->scope, (uintptr_t)s->unit, (uintptr_t)name);
    if (!found && s->unit)
        found = map_get(&b->m->scope, 0, (uintptr_t)name);
    if (found)
        build_note_named(b, NULL, name);
    return found;
}

/* A statement of the base names what the copy takes away: the `without` would mend that, not the
 * base. */
static bool say_taken(struct builder *b, struct scope *s, const struct node *n,
                      const struct value *v, const char *name, const char *box)
{
    const struct node *without = build_taken_by_copy(b, s, name, box);
    if (!without)
        return false;
    const char *what = box ? arena_printf(b->arena, "%s.%s", name, box) : name;
    struct finding *f =
        model_finding(b->m, &rule_unknown_name, value_span(without, node_value(without, 0)),
                      s->unit, NULL, "%s is taken away, but what stays of the base names it", what);
    diag_note(b->diag, f, value_span(n, v), "named here");
    diag_mend(b->diag, f,
              n->form == F_RUN ? "take its circuit away too and write it anew, or leave %s"
                               : "take away what names it too, or leave %s",
              what);
    return true;
}

static void unknown_in_scope(struct builder *b, struct scope *s, const struct node *n,
                             const struct value *v, const char *what, const char *name,
                             const struct room *room)
{
    if (s->in_doubt & ITS_NAMES ||
        say_taken(b, s, n, v, room ? room->name : name, room ? name : NULL))
        return;
    struct among among = build_map_names(b, &b->m->scope, 0);
    if (s->unit)
        among.lists[1] = near_of_map(b->arena, &b->near, &b->m->scope, (uintptr_t)s->unit);
    if (room)
        among.lists[2] = near_of_map(b->arena, &b->near, &room->box_names, 1);
    build_unknown_thing(b, room ? (const void *)room : b->m, value_span(n, v), what, name, among);
}

static struct end box_in(struct builder *b, struct scope *s, const struct node *n,
                         const struct value *v, const struct named *named, const char *name)
{
    const struct room *r = named->room;
    struct end e = {.box = map_get(&r->box_names, 1, (uintptr_t)name)};
    if (e.box) {
        build_note_named(b, r, name);
        build_mention(b, n, v, v->ref->count - 1u, MENTION_BOX, e.box, e.box->node);
    }
    if (!e.box && !(r->in_doubt & ITS_BOXES) && !named->in_doubt &&
        (r->unit != s->unit || !say_taken(b, s, n, v, r->name, name)))
        build_unknown_thing(b, r, value_span(n, v),
                            arena_printf(b->arena, "box in room '%s' called", r->name), name,
                            build_map_names(b, &r->box_names, 1));
    return e;
}

static struct end bare_end(struct builder *b, struct scope *s, const struct node *n,
                           const struct value *v, struct room **last)
{
    const char *name = v->kind == V_NAME ? v->name : node_ref_text(b->arena, v);
    struct end e = {0};
    if (*last && (e.box = map_get(&(*last)->box_names, 1, (uintptr_t)name))) {
        build_note_named(b, *last, name);
        build_mention(b, n, v, 0, MENTION_BOX, e.box, e.box->node);
        return e;
    }
    struct named *named = build_find_named(b, s, name);
    build_mention_named(b, n, v, 0, named);
    if (named && named->panel) {
        e.panel = named->panel;
        return e;
    }
    if (named && named->in_doubt)
        return e;
    if (named && named->room) {
        struct finding *f = diag_add(b->diag, &rule_unknown_name, value_span(n, v),
                                     "'%s' is a room; a cable ends in a box", name);
        if (named->room->boxes.n)
            diag_mend(b->diag, f, "name a box in it: %s.%s", name, named->room->boxes.at[0]->name);
        for (uint32_t i = 0; i < named->room->boxes.n && i < MOST_OFFERED; i++)
            diag_replace(b->diag, f, false, value_span(n, v),
                         arena_printf(b->arena, "%s.%s", name, named->room->boxes.at[i]->name));
    } else if (*last && !((*last)->in_doubt & ITS_BOXES)) {
        unknown_in_scope(
            b, s, n, v,
            arena_printf(b->arena, "box in room '%s' and no panel called", (*last)->name), name,
            *last);
    } else if (!*last) {
        unknown_in_scope(b, s, n, v, "panel or room before it that has a box called", name, NULL);
    }
    return e;
}

struct end build_resolve_end(struct builder *b, struct scope *s, const struct node *n,
                             const struct value *v, struct room **last)
{
    struct end e = {0};
    v = build_put_in(b, n, v, C_REF);
    if (!v)
        return e;
    if (v->kind != V_REF)
        return bare_end(b, s, n, v, last);
    struct scope *in = s;
    uint8_t i = 0;
    struct named *named = build_find_named(b, s, v->ref->part[0]);
    build_mention_named(b, n, v, 0, named);
    if (named && named->unit) {
        in = map_get(&b->scope_of, (uintptr_t)named->unit, 1);
        named = in ? map_get(&b->m->scope, (uintptr_t)in->unit, (uintptr_t)v->ref->part[1]) : NULL;
        i = 1;
        build_mention_named(b, n, v, i, named);
    }
    if (named && named->panel && v->ref->count == i + 1) {
        e.panel = named->panel;
    } else if (named && named->room && v->ref->count == i + 2) {
        *last = named->room;
        return box_in(b, s, n, v, named, v->ref->part[i + 1]);
    } else if (!named || !named->in_doubt) {
        unknown_in_scope(b, in ? in : s, n, v, "room or unit",
                         v->ref->part[named ? v->ref->count - 1 : i], NULL);
    }
    return e;
}

static struct panel *find_panel(struct builder *b, struct scope *s, const struct node *n,
                                const struct value *v)
{
    struct room *none = NULL;
    v = build_put_in(b, n, v, C_REF);
    if (!v)
        return NULL;
    const char *name = v->kind == V_NAME ? v->name : NULL;
    struct named *named = name ? build_find_named(b, s, name) : NULL;
    build_mention_named(b, n, v, 0, named);
    if (named && named->panel)
        return named->panel;
    if (!name)
        return build_resolve_end(b, s, n, v, &none).panel;
    while (b->near_panels.names.n < b->m->panels.n)
        near_add(b->arena, &b->near_panels, b->m->panels.at[b->near_panels.names.n]->name);
    if (!(s->in_doubt & ITS_NAMES) && (!named || !named->in_doubt) &&
        !say_taken(b, s, n, v, name, NULL))
        build_unknown_thing(b, b->m, value_span(n, v), "panel", name,
                            (struct among){{&b->near_panels}});
    return NULL;
}

/* --- panels ------------------------------------------------------------------------------- */

static void read_panel_place(struct builder *b, struct scope *s, struct panel *p,
                             const struct node *n)
{
    const struct node *in = clause(n, F_PANEL_IN);
    if (!in) {
        if (node_lacks(n, F_PANEL_IN)) {
            struct finding *f = diag_add(b->diag, &rule_missing_clause, node_name_span(n),
                                         "panel '%s' does not say where it hangs", p->name);
            diag_mend(b->diag, f, "add 'in ROOM WALL at 2' up 5''");
        }
        return;
    }
    const struct value *v = val(b, in, 0, C_REF);
    if (!v)
        return;
    struct named *named = v->kind == V_NAME ? build_find_named(b, s, v->name) : NULL;
    build_mention_named(b, in, v, 0, named);
    if (!named || !named->room) {
        if (!named || !named->in_doubt)
            unknown_in_scope(b, s, in, v, "room", node_ref_text(b->arena, v), NULL);
        return;
    }
    p->room = named->room;
    const struct room_text *t = build_room_text_of(b, p->room);
    if (t && !build_read_place(b, t, in, 1, true,
                               code_length(&b->m->code, SET_DEFAULT_HEIGHTS_PANEL, 0), &p->place))
        p->room = NULL;
}

/* More than any panel has: a figure beyond it is a slip. */
enum { MOST_SPACES = 10000 };

/* `space N`, `spaces N`: counted from 1. 0 where it is not written, or wrong. */
static uint32_t read_spaces(struct builder *b, const struct node *n, enum form_id form,
                            const char *mend)
{
    const struct node *k = clause(n, form);
    double spaces = val_amount(b, k, 0, C_NUM, 0);
    if (!k || k->broken || (spaces >= 1 && spaces <= MOST_SPACES))
        return (uint32_t)spaces;
    struct finding *f =
        diag_add(b->diag, &rule_syntax, node_span(k),
                 spaces < 1 ? "spaces are counted from 1" : "no panel has so many spaces");
    diag_mend(b->diag, f, "%s", mend);
    return 0;
}

static void read_taken(struct builder *b, struct panel *p, const struct node *n)
{
    for (const struct node *c = n->child; c; c = c->next) {
        if (c->form != F_TAKEN || c->broken)
            continue;
        double first = val_amount(b, c, 0, C_NUM, 0), last = val_amount(b, c, 1, C_NUM, first);
        uint32_t most = p->spaces ? p->spaces : MOST_SPACES;
        if (first < 1 || last < first || last > most)
            diag_add(b->diag, &rule_syntax, node_span(c), "spaces are counted from 1 to %u", most);
        else
            *vec_push(b->arena, &p->taken) = (struct space_range){(uint32_t)first, (uint32_t)last};
    }
}

static void read_panel(struct builder *b, struct scope *s, const struct node *n)
{
    const char *name = node_name(n, 0);
    if (!name)
        return;
    struct panel *p = arena_new(b->arena, struct panel);
    *p = (struct panel){.id = b->m->panels.n,
                        .name = name,
                        .title = n->text ? n->text : name,
                        .unit = s->unit,
                        .node = n};
    if (!build_declare_thing(b, s->unit, name, "panel", n, (struct named){.panel = p}))
        return;
    p->main = clause_amount(b, n, F_MAIN, C_AMP, 0);
    p->bus = clause_amount(b, n, F_BUS, C_AMP, 0);
    p->terminals = (int)clause_amount(b, n, F_TERMINALS, C_TEMP, 0);
    p->al_cu = node_flag(n, F_AL_CU);
    p->spaces = read_spaces(b, n, F_SPACES, "as many as are marked in the panel");
    p->goes = node_flag(n, F_REMOVE);
    p->existing = p->goes || node_flag(n, F_EXISTING);
    p->half_size = node_flag(n, F_HALF_SIZE);
    p->fed = node_child(n, F_FEEDER) != NULL;
    read_taken(b, p, n);
    *vec_push(b->arena, &b->m->panels) = p;
    if (node_lacks(n, F_MAIN) && node_lacks(n, F_BUS)) {
        struct finding *f =
            diag_add(b->diag, &rule_missing_clause, node_name_span(n),
                     "panel '%s' has neither a main breaker nor the rating of its bus", name);
        diag_mend(b->diag, f, "add 'main 100 A', or 'bus 100 A' where it has lugs only");
    }
}

void build_panels(struct builder *b, struct scope *s)
{
    b->scope = s;
    uint32_t from = b->m->panels.n;
    for (const struct node *n = s->first; n; n = n->next)
        if (n->form == F_PANEL)
            read_panel(b, s, n);
    for (; from < b->m->panels.n; from++)
        read_panel_place(b, s, b->m->panels.at[from], b->m->panels.at[from]->node);
}

/* --- circuits ----------------------------------------------------------------------------- */

static const struct value *chain_start(const struct node *n)
{
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_RUN && !c->broken && c->value_count)
            return &c->values[0];
    return NULL;
}

static struct panel *sole_panel(struct builder *b, struct scope *s)
{
    struct panel *found = NULL;
    for (uint32_t i = 0; i < b->m->panels.n; i++) {
        struct panel *p = b->m->panels.at[i];
        if (p->unit != s->unit)
            continue;
        if (found)
            return NULL;
        found = p;
    }
    return found || !s->unit ? found : (b->m->panels.n == 1 ? b->m->panels.at[0] : NULL);
}

/* The panel of a circuit: named in its address, by `from`, by where its runs begin, or the only one
 * there is. */
static struct panel *panel_of(struct builder *b, struct scope *s, const struct node *n)
{
    const struct value *name = node_value(n, 0), *from = node_value(clause(n, F_FEED_FROM), 0);
    if (n->broken && name && name->kind == V_REF) { /* what is before the dot may be anything */
        struct named *named = build_find_named(b, s, name->ref->part[0]);
        build_mention_named(b, n, name, 0, named);
        return named ? named->panel : NULL;
    }
    if (name && name->kind == V_REF) {
        struct value first = *name;
        if (name->ref->count == 2) {
            first.kind = V_NAME;
            first.name = name->ref->part[0];
        } else {
            struct ref *front = arena_new(b->arena, struct ref);
            *front = *name->ref;
            front->count--;
            first.ref = front;
        }
        return find_panel(b, s, n, &first);
    }
    if (from)
        return find_panel(b, s, clause(n, F_FEED_FROM), from);
    for (const struct node *c = n->child; c; c = c->next) {
        for (unsigned i = 0;
             c->form == F_RUN && !c->broken && i<c->value_count; i += c->value_count> 1
                 ? c->value_count - 1u
                 : 1) {
            const struct value *v = build_put_in(b, c, &c->values[i], C_REF);
            struct named *named = v && v->kind == V_NAME ? build_find_named(b, s, v->name) : NULL;
            if (named && named->panel)
                return named->panel;
        }
    }
    struct panel *only = s->in_doubt & ITS_NAMES ? NULL : sole_panel(b, s);
    if (!only && !node_broken(n) && !(s->in_doubt & (ITS_NAMES | ITS_FEED)) && !chain_start(n)) {
        struct finding *f = diag_add(b->diag, &rule_missing_clause, node_name_span(n),
                                     "circuit '%s' does not say which panel it begins at",
                                     node_ref_text(b->arena, name));
        diag_mend(b->diag, f, "write its panel before it, as in circuit P.%s",
                  node_ref_text(b->arena, name));
        for (uint32_t i = 0; i < b->m->panels.n && i < MOST_OFFERED && name->kind != V_REF; i++)
            diag_replace(b->diag, f, false, node_name_span(n),
                         arena_printf(b->arena, "%s.%s", b->m->panels.at[i]->name,
                                      node_ref_text(b->arena, name)));
    }
    return only;
}

static const char *circuit_name(struct builder *b, const struct value *v)
{
    if (v->kind == V_REF)
        return v->ref->part[v->ref->count - 1];
    return names_of(b->m->names, node_ref_text(b->arena, v));
}

static void read_breaker(struct builder *b, struct circuit *c, const struct node *n)
{
    const struct node *k = clause(n, F_BREAKER);
    c->breaker_node = k;
    c->breaker = val_amount(b, k, 0, C_AMP, 0);
    c->two_pole = node_flag(k, F_TWO_POLE);
    c->afci = node_flag(k, F_AFCI);
    c->gfci = node_flag(k, F_GFCI);
    c->dual_function = node_flag(k, F_DUAL_FUNCTION);
    c->tied = node_flag(k, F_TIED);
    c->breaker_unsaid = k && !k->value_count;
    c->breaker_new = clause(k, F_NEW) || (clause(k, F_EXISTING) && !node_flag(k, F_EXISTING));
    c->space_written = read_spaces(b, n, F_SPACE, "leave it out: then a space is found");
    c->space = c->number ? c->number : c->space_written;
    const char *half = val_name(b, clause(n, F_CIRCUIT_HALF), 0);
    c->half = !half ? HALF_NONE : !strcmp(half, "upper") ? HALF_UPPER : HALF_LOWER;
    c->terminals = (int)clause_amount(b, k, F_TERMINALS, C_TEMP, 0);
    c->al_cu = node_flag(k, F_AL_CU);
}

static void read_existing(struct builder *b, struct circuit *c, const struct node *n)
{
    const struct node *existing = clause(n, F_EXISTING), *load = clause(n, F_CIRCUIT_LOAD),
                      *up = clause(n, F_UPSTREAM);
    c->goes = node_flag(n, F_REMOVE);
    c->existing = c->goes || node_flag(n, F_EXISTING);
    load = load ? load : clause(existing, F_CIRCUIT_LOAD);
    c->existing_load = val_amount(b, load, 0, C_LOAD, 0);
    c->upstream = val_length(b, up, 0, 0);
    c->upstream_size = val_size(b, up, 1);
}

static bool name_circuit(struct builder *b, struct circuit *c, const struct node *n)
{
    if (!c->panel && b->scope->in_doubt & ITS_NAMES) /* of which panel it is, nobody knows */
        return true;
    uintptr_t scope = c->panel ? (uintptr_t)c->panel : (uintptr_t)b->scope;
    struct map *names = c->panel ? &c->panel->circuit_names : &b->statements;
    bool declared =
        build_declare_name(b, names, scope, c->name, node_name_span(n), "circuit", n, c);
    build_mention_declared(b, names, scope, c->name, n, MENTION_CIRCUIT);
    if (c->panel && declared)
        *vec_push(b->arena, &c->panel->circuits) = c;
    return declared;
}

/* The space that a circuit's name is, where it is a number; 0 for a word. */
static uint32_t space_of_name(const char *name)
{
    char *end;
    unsigned long number = *name >= '1' && *name <= '9' ? strtoul(name, &end, 10) : 0;
    return number && !*end && number <= MOST_SPACES ? (uint32_t)number : 0;
}

static bool is_number(const char *name)
{
    while (*name >= '0' && *name <= '9')
        name++;
    return !*name;
}

/* `1` and `01` would be two names that read alike; and no panel has so many spaces. */
static void check_number(struct builder *b, const struct node *n, const struct circuit *c)
{
    struct span s = node_name_span(n);
    const char *text = s.source->bytes + s.off;
    uint32_t at = 0;
    for (uint32_t i = 0; i < s.len; i++)
        at = text[i] == '.' ? i + 1 : at;
    if (s.len > at && text[at] == '0')
        diag_syntax(b->diag, &rule_syntax, s,
                    "a circuit's number has no leading zero and counts from 1");
    else if (is_number(c->name) && !c->number)
        diag_syntax(b->diag, &rule_syntax, s,
                    "a circuit's number is its space, and no panel has so many spaces");
}

static void serve(struct builder *b, struct circuit *c, struct box *x)
{
    for (uint32_t i = 0; i < x->served_by.n; i++)
        if (x->served_by.at[i] == c)
            return;
    *vec_push(b->arena, &x->served_by) = c;
    *vec_push(b->arena, &c->serves) = x;
}

/* `serves studio.R1 R2`: its names stand for what they would in a run. A name that is not known may
 * have meant any box. */
static void read_serves(struct builder *b, struct scope *s, const struct node *n, struct circuit *c)
{
    struct room *last = NULL;
    if (n->broken)
        s->in_doubt |= ITS_FEED;
    for (unsigned i = 0; i < n->value_count && !n->broken; i++) {
        struct end e = build_resolve_end(b, s, n, &n->values[i], &last);
        if (e.box)
            serve(b, c, e.box);
        else if (e.panel)
            diag_syntax(b->diag, &rule_syntax, value_span(n, &n->values[i]),
                        "'%s' is a panel: 'serves' names boxes alone, the home run goes to its "
                        "panel by itself",
                        e.panel->name);
        else
            build_doubt_end(b, s, &n->values[i], last, ITS_FEED);
        c->serves_clause = c->serves_clause ? c->serves_clause : n;
    }
}

static void say_no_breaker(struct builder *b, const struct circuit *c, const struct node *n)
{
    struct finding *f = diag_add(
        b->diag, &rule_missing_clause, node_name_span(n), "circuit %s %s but no breaker",
        address_called_as_written(b->arena, c, true), chain_start(n) ? "has runs" : "serves boxes");
    diag_mend(b->diag, f, "add 'breaker 15 A' or 'breaker 20 A'");
    edit_first(edit_way(b->diag, f, false, "breaker 15 A"), n, "breaker 15 A");
    edit_first(edit_way(b->diag, f, false, "breaker 20 A"), n, "breaker 20 A");
}

static void read_circuit(struct builder *b, struct scope *s, const struct node *n)
{
    const struct value *name = node_value(n, 0);
    s->in_doubt |= node_broken(n) ? ITS_FEED : 0;
    if (!name)
        return;
    struct circuit *c = arena_new(b->arena, struct circuit);
    *c = (struct circuit){.id = b->m->circuits.n,
                          .name = circuit_name(b, name),
                          .unit = s->unit,
                          .text = n->text,
                          .node = n};
    c->number = space_of_name(c->name);
    c->in_doubt = node_broken(n) || node_broken(s->node) ? ITS_TEXT : 0;
    c->title = n->text ? n->text : c->name;
    *vec_push(b->arena, &b->m->circuits) = c;
    c->panel = panel_of(b, s, n);
    bool named = name_circuit(b, c, n);
    if (!c->panel || !named)
        c->in_doubt |= ITS_TEXT;
    check_number(b, n, c);
    read_breaker(b, c, n);
    read_existing(b, c, n);
    c->multiwire = node_flag(n, F_MULTIWIRE);
    c->drop_target = clause_amount(b, n, F_DROP, C_PERCENT, 0);
    const struct node *cable = clause(n, F_CABLE);
    c->cable = cable ? build_find_cable(b, cable, 0) : NULL;
    c->cable_unsaid = build_says_unknown(cable);
    c->cable_clause = cable;
    c->raceway_clause = clause(n, F_IN);
    c->raceway = build_find_raceway(b, c->raceway_clause);
    c->ground_wire = build_ground_wire(b, n);
    c->in_doubt |= cable && !c->cable_unsaid && !c->cable ? ITS_CABLE : 0;
    for (const struct node *r = n->child; r; r = r->next) {
        if (r->form == F_RUN)
            build_chain(b, s, r, c, NULL);
        if (r->form == F_SERVES)
            read_serves(b, s, r, c);
        if (r->broken)
            c->in_doubt |= ITS_TEXT;
    }
    if (node_lacks(n, F_BREAKER) && (chain_start(n) || c->serves_clause) && !c->existing &&
        !(c->in_doubt & ~ITS_CABLE))
        say_no_breaker(b, c, n);
}

/* --- feeders ------------------------------------------------------------------------------ */

static struct panel *feeding_panel(struct builder *b, struct scope *s, struct panel *p,
                                   const struct node *feeder)
{
    const struct node *from = clause(feeder, F_FEED_FROM);
    if (from)
        return find_panel(b, s, from, node_value(from, 0));
    struct panel *other = NULL;
    for (uint32_t i = 0; i < b->m->panels.n; i++) {
        struct panel *q = b->m->panels.at[i];
        if (q == p || (q->unit && q->unit != p->unit))
            continue;
        if (other)
            return NULL;
        other = q;
    }
    return other;
}

static void read_feeder(struct builder *b, struct scope *s, struct panel *p)
{
    const struct node *n = clause(p->node, F_FEEDER);
    if (!n)
        return;
    struct panel *from = feeding_panel(b, s, p, n);
    if (!from || from == p) {
        if (from == p || !clause(n, F_FEED_FROM))
            diag_add(b->diag, &rule_missing_clause, node_span(n),
                     "the feeder of panel '%s' does not say from which other panel it comes",
                     p->name);
        return;
    }
    struct circuit *c = arena_new(b->arena, struct circuit);
    *c = (struct circuit){.id = b->m->circuits.n,
                          .name = p->name,
                          .unit = s->unit,
                          .node = n,
                          .panel = from,
                          .feeds = p};
    c->title = names_of(b->m->names, arena_printf(b->arena, "Feeder of %s", p->title));
    *vec_push(b->arena, &b->m->circuits) = c;
    *vec_push(b->arena, &from->circuits) = c;
    read_breaker(b, c, n);
    /* what the plan leaves out protects the panel: as much as its main, else as its bus carries */
    if (!c->breaker_node && !p->existing)
        c->breaker = p->main > 0 ? p->main : p->bus;
    c->two_pole = true;
    c->existing = p->existing;
    c->goes = p->goes;
    p->feeder = c;
    build_feeder_run(b, c);
}

void build_circuits(struct builder *b, struct scope *s)
{
    b->scope = s;
    for (const struct node *n = s->first; n; n = n->next) {
        if (n->form == F_CIRCUIT)
            read_circuit(b, s, n);
        else if (n->form == F_PANEL && node_name(n, 0)) {
            struct named *named =
                map_get(&b->m->scope, (uintptr_t)s->unit, (uintptr_t)node_name(n, 0));
            if (named && named->panel && named->panel->node == n)
                read_feeder(b, s, named->panel);
        }
    }
}

/* The last in the text of the panels that feed each other in a ring is at fault. */
static void say_ring(struct builder *b, const struct panel *p)
{
    const struct panel *last = p;
    for (const struct panel *next = p->feeder->panel; next != p; next = next->feeder->panel)
        last = next->id > last->id ? next : last;
    struct finding *f = model_finding(b->m, &rule_loop_in_circuit, node_span(last->feeder->node),
                                      last->unit, address_of_panel(b->arena, last, false),
                                      "panel %s is fed from panel %s, which it feeds itself",
                                      address_of_panel(b->arena, last, true),
                                      address_of_panel(b->arena, last->feeder->panel, true));
    diag_mend(b->diag, f,
              "a 'feeder' from the panel that is nearer the service, and none in that one");
}

/* Walks from each panel towards the service until it meets a panel that was walked before: in the
 * same walk, and the two are in a ring. */
void build_check_feeder_rings(struct builder *b)
{
    uint32_t *walk = arena_array(b->arena, uint32_t, b->m->panels.n + 1);
    for (uint32_t i = 0; i < b->m->panels.n; i++) {
        const struct panel *p = b->m->panels.at[i];
        while (p && !walk[p->id]) {
            walk[p->id] = i + 1;
            p = p->feeder ? p->feeder->panel : NULL;
        }
        if (p && walk[p->id] == i + 1)
            say_ring(b, p);
    }
}

/* Whether a circuit so called has a panel that is not known: it may be the one that is missed. */
static bool may_be_there(const struct builder *b, const char *name)
{
    for (uint32_t i = 0; i < b->m->circuits.n; i++)
        if (b->m->circuits.at[i]->name == name && !b->m->circuits.at[i]->panel)
            return true;
    return false;
}

/* `for circuits 4, 6`: the circuits of the same panel that the cable carries as well. */
static void share_run(struct builder *b, struct run *r)
{
    b->scope = map_get(&b->scope_of, (uintptr_t)r->circuit->unit, 1);
    const struct node *n = clause(r->node, F_FOR_CIRCUITS);
    for (unsigned i = 0; n && i < n->value_count; i++) {
        const struct value *v = build_put_in(b, n, &n->values[i], C_REF);
        const char *name = v ? circuit_name(b, v) : NULL;
        struct circuit *c = name && r->circuit->panel
                                ? map_get(&r->circuit->panel->circuit_names,
                                          (uintptr_t)r->circuit->panel, (uintptr_t)name)
                                : NULL;
        if (c)
            build_mention_circuit(b, n, v, c);
        if (c && c != r->circuit) {
            *vec_push(b->arena, &r->also) = c;
            *vec_push(b->arena, &c->runs) = r;
        } else if (name && !c && r->circuit->panel && !may_be_there(b, name)) {
            build_unknown(b, value_span(n, &n->values[i]), "circuit", name,
                          build_map_names(b, &r->circuit->panel->circuit_names,
                                          (uintptr_t)r->circuit->panel));
        }
    }
}

void build_finish_circuits(struct builder *b)
{
    for (uint32_t i = 0; i < b->m->runs.n; i++)
        if (b->m->runs.at[i]->circuit)
            share_run(b, b->m->runs.at[i]);
}

void build_low_voltage(struct builder *b, struct scope *s)
{
    b->scope = s;
    for (const struct node *n = s->first; n; n = n->next) {
        const char *name = n->form == F_LOW_VOLTAGE ? node_name(n, 0) : NULL;
        if (!name)
            continue;
        struct low_voltage *lv = arena_new(b->arena, struct low_voltage);
        *lv = (struct low_voltage){.id = b->m->low_voltages.n,
                                   .name = name,
                                   .title = n->text ? n->text : name,
                                   .unit = s->unit,
                                   .node = n};
        build_declare_name(b, &b->coil_names, (uintptr_t)s, name, node_name_span(n), "low-voltage",
                           n, lv);
        build_mention_declared(b, &b->coil_names, (uintptr_t)s, name, n, MENTION_LOW_VOLTAGE);
        *vec_push(b->arena, &b->m->low_voltages) = lv;
        const struct node *cable = clause(n, F_CABLE);
        lv->cable = cable ? build_find_cable(b, cable, 0) : NULL;
        for (const struct node *r = n->child; r; r = r->next)
            if (r->form == F_RUN)
                build_chain(b, s, r, NULL, lv);
    }
}

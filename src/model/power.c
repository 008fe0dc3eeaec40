/* Panels, circuits and the runs they are made of: names of chains to boxes, each hop and cable a
 * run. */
#include "model/build.h"

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
    if (e.box)
        build_note_named(b, r, name);
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
        return e;
    }
    struct named *named = build_find_named(b, s, name);
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
    if (named && named->unit) {
        in = map_get(&b->scope_of, (uintptr_t)named->unit, 1);
        named = in ? map_get(&b->m->scope, (uintptr_t)in->unit, (uintptr_t)v->ref->part[1]) : NULL;
        i = 1;
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

/* --- runs --------------------------------------------------------------------------------- */

/* Whether a cable is named by figures which begin as `name` does in its first `same` letters. */
static bool begins_like(const char *known, const char *name, size_t same)
{
    return known[0] >= '0' && known[0] <= '9' && !strncmp(known, name, same);
}

/* Of a cable with those figures and a suffix, the sheath: the suffix that is nearest to the one
 * that is written. */
static const char *nearest_sheath(struct builder *b, const char *name, size_t base)
{
    const struct library *lib = b->m->lib;
    struct nearest near = nearest_to(name + base + 1);
    for (uint32_t i = 0; i < lib->cable_list.n; i++)
        if (begins_like(lib->cable_list.at[i]->name, name, base) &&
            lib->cable_list.at[i]->name[base] == '-')
            nearest_try(&near, lib->cable_list.at[i]->name + base + 1);
    return near.found;
}

/* "12/2, 12/3 and 12/4": the cables without a suffix that begin so, in the library's order; ""
 * where there is none. Of very many the first are told. */
static const char *plain_cables(struct builder *b, const char *name, size_t same)
{
    enum { MOST_TOLD = 64 };
    const struct library *lib = b->m->lib;
    const char *told[MOST_TOLD], *list = "";
    uint32_t count = 0, n = 0;
    for (uint32_t i = 0; i < lib->cable_list.n; i++) {
        const char *known = lib->cable_list.at[i]->name;
        if (!begins_like(known, name, same) || strchr(known, '-'))
            continue;
        if (n < MOST_TOLD)
            told[n++] = known;
        count++;
    }
    for (uint32_t i = 0; i < n; i++)
        list = arena_printf(b->arena, "%s%s%s", list,
                            !i               ? ""
                            : i + 1 == count ? " and "
                                             : ", ",
                            told[i]);
    return count > n ? arena_printf(b->arena, "%s and %u more", list, count - n) : list;
}

/* Edits lead from one cable to quite another one. What counts of `12/2-nm` is the figures; its
 * sheath is the plain one unless a suffix is near to what is written. Figures that no cable has get
 * the cables of that size, else all sizes. */
static void say_no_cable(struct builder *b, struct span span, const char *name)
{
    size_t base = strcspn(name, "-"), size = strcspn(name, "/");
    if (name[0] < '0' || name[0] > '9') {
        build_unknown(b, span, "cable", name, build_map_names(b, &b->m->lib->cables, 0));
        return;
    }
    struct finding *f = build_unknown(b, span, "cable", name, (struct among){0});
    if (!f)
        return;
    const char *near = name[base] ? nearest_sheath(b, name, base) : NULL;
    if (near || library_cable(b->m->lib, names_intern(b->m->names, name, base))) {
        diag_mend(b->diag, f, "write '%.*s%s%s'", (int)base, name, near ? "-" : "",
                  near ? near : "");
        return;
    }
    const char *known = plain_cables(b, name, name[size] ? size + 1 : size);
    diag_mend(b->diag, f, "the library has %s; another is defined by 'cable NAME : nm { ... }'",
              *known ? known : plain_cables(b, name, 0));
}

struct cable_def *build_find_cable(struct builder *b, const struct node *n, unsigned i)
{
    const struct value *v = val(b, n, i, C_CABLE);
    if (!v)
        return NULL;
    struct cable_def *c = library_cable(b->m->lib, v->name);
    if (c) {
        c->used = true;
        return c->faulty ? NULL : c;
    }
    say_no_cable(b, value_span(n, node_value(n, i)), v->name);
    return NULL;
}

struct raceway_def *build_find_raceway(struct builder *b, const struct node *n)
{
    const struct value *v = n ? val(b, n, 0, C_CABLE) : NULL;
    struct raceway_def *w = v ? library_raceway(b->m->lib, v->name) : NULL;
    if (w && w->inside > 0) {
        w->used = true;
        return w->faulty ? NULL : w;
    }
    if (v && w)
        diag_mend(b->diag,
                  diag_add(b->diag, &rule_missing_clause, node_span(n),
                           "'%s' is no raceway of one size: its trade size is missing", v->name),
                  "the size behind it, as in '%s-3/4'", w->family ? w->family : v->name);
    else if (v)
        build_unknown(b, value_span(n, node_value(n, 0)), "raceway", v->name,
                      build_map_names(b, &b->m->lib->raceways, 0));
    return NULL;
}

static enum via read_via(struct builder *b, const struct node *n)
{
    const char *way = val_name(b, clause(n, F_VIA), 0);
    return !way                       ? VIA_ANY
           : !strcmp(way, "overhead") ? VIA_OVERHEAD
           : !strcmp(way, "studs")    ? VIA_STUDS
                                      : VIA_UNDER;
}

RULE(no_effect_yet, "no-effect-yet", NOTE, FIRM, "what is written means something");

/* What lies in a closed wall, on the surface or in the ground passes no wood that could be notched,
 * and what is there already is not worked on. */
static length read_notch(struct builder *b, const struct node *n, const struct run *r)
{
    const struct node *notched = clause(n, F_NOTCHED);
    length depth = val_length(b, notched, 0, 0);
    if (!notched)
        return 0;
    if (r->existing || r->fished || r->exposed || r->underground || r->strung) {
        struct finding *f =
            diag_add(b->diag, &rule_no_effect_yet, node_span(notched),
                     "'notched' means nothing here: a run that is %s passes no open wood",
                     r->existing      ? "existing"
                     : r->fished      ? "fished"
                     : r->exposed     ? "exposed"
                     : r->underground ? "underground"
                                      : "overhead");
        diag_mend(b->diag, f, "leave 'notched' out");
        return 0;
    }
    if (depth <= 0 && node_value(notched, 0))
        diag_add(b->diag, &rule_syntax, node_span(notched),
                 "a notch has some depth, such as 3/4\"");
    return depth > 0 ? depth : 0;
}

/* Green where the plan does not say bare. */
static uint8_t read_ground_wire(struct builder *b, const struct node *n)
{
    const char *kind = val_name(b, clause(n, F_GROUND_WIRE), 0);
    return !clause(n, F_GROUND_WIRE)       ? GROUND_NONE
           : kind && !strcmp(kind, "bare") ? GROUND_BARE
                                           : GROUND_GREEN;
}

/* Negative: not said. */
static int16_t read_bends(struct builder *b, const struct node *n)
{
    const struct node *bends = clause(n, F_BENDS);
    double count = val_amount(b, bends, 0, C_NUM, -1);
    return (int16_t)(count > INT16_MAX ? INT16_MAX : count);
}

/* Which alternative of its pattern `remove` of a run is. */
enum { STAYS_IN_WALL, IS_PULLED_OUT };

/* Options that hold for every hop of the chain, and those that only a single hop has. */
static struct run read_options(struct builder *b, const struct node *n)
{
    const struct node *remove = clause(n, F_REMOVE_RUN);
    struct run r = {.node = n,
                    .via = read_via(b, n),
                    .goes = remove && !remove->no,
                    .abandoned = remove && !remove->no && remove->alt == STAYS_IN_WALL,
                    .existing = node_flag(n, F_EXISTING) || (remove && !remove->no),
                    .line_side = node_flag(n, F_LINE_SIDE),
                    .load_side = node_flag(n, F_LOAD_SIDE),
                    .fished = node_flag(n, F_FISHED),
                    .spaced = node_flag(n, F_SPACED),
                    .exposed = node_flag(n, F_EXPOSED),
                    .title = n->text};
    const struct node *underground = clause(n, F_UNDERGROUND), *measured = clause(n, F_LENGTH);
    r.underground = underground != NULL;
    r.strung = node_flag(n, F_STRUNG);
    r.burial = val_length(b, underground, 0, 0);
    r.measured = measured != NULL;
    r.length = val_length(b, measured, 0, 0);
    r.spare = clause_length(b, n, F_SPARE, 0);
    r.notch = read_notch(b, n, &r);
    r.label = val_name(b, clause(n, F_AS), 0);
    r.raceway = build_find_raceway(b, clause(n, F_IN));
    r.ground_wire = read_ground_wire(b, n);
    r.bends = read_bends(b, n);
    return r;
}

/* The words of the next hop that has some, from a clause of its chain on. */
static const struct node *next_group(const struct node *clause)
{
    while (clause && clause->form != F_HOP)
        clause = clause->next;
    return clause;
}

/* The statement of one hop as if it were a run of its own: what stands in parentheses behind its
 * box, and of the chain what that does not say. */
static const struct node *hop_said(struct builder *b, const struct node *run,
                                   const struct node *own)
{
    if (!own)
        return run;
    struct node *n = arena_new(b->arena, struct node);
    *n = *run;
    n->child = n->last_child = NULL;
    n->text = NULL;
    for (const struct node *c = own->child; c; c = c->next)
        build_append(b, n, c);
    for (const struct node *c = run->child; c; c = c->next)
        if (c->form != F_HOP && !node_child(own, c->form))
            build_append(b, n, c);
    return n;
}

static void check_single(struct builder *b, const struct node *n, unsigned hops)
{
    static const enum form_id single[] = {F_LENGTH, F_SPARE, F_AS};
    if (hops < 2)
        return;
    for (unsigned i = 0; i < sizeof single / sizeof *single; i++) {
        const struct node *c = clause(n, single[i]);
        if (c)
            diag_syntax(b->diag, &rule_syntax, node_span(c),
                        "'%s' is for a run of one hop; this chain has %u. Write it in parentheses "
                        "behind the box that its hop leads to",
                        c->word, hops);
    }
    if (n->text)
        diag_syntax(b->diag, &rule_syntax, token_span(n->source, n->text_token, n->text_token),
                    "a text is for a run of one hop; this chain has %u", hops);
}

static void attach_run(struct builder *b, struct run *r)
{
    struct end ends[2] = {r->from, r->to};
    for (int i = 0; i < 2; i++)
        if (ends[i].box && (!i || ends[1].box != ends[0].box)) {
            if (r->circuit)
                *vec_push(b->arena, &ends[i].box->runs) = r;
            else
                *vec_push(b->arena, &ends[i].box->low_voltage) = r;
        }
}

static struct run *add_run(struct builder *b, const struct run *like, struct end from,
                           struct end to, struct span from_span, struct span to_span)
{
    struct run *r = arena_new(b->arena, struct run);
    *r = *like;
    r->id = b->m->runs.n;
    r->from = from;
    r->to = to;
    r->from_span = from_span;
    r->to_span = to_span;
    *vec_push(b->arena, &b->m->runs) = r;
    attach_run(b, r);
    return r;
}

/* A name that is not known may have meant any box of its room, or of the scope where no room is
 * known: nothing is said of boxes there that no run reaches. */
static void doubt(struct builder *b, struct scope *s, const struct value *v, struct end e,
                  struct room *last, enum matter of)
{
    if (e.box || e.panel)
        return;
    if (last && (v->kind != V_REF || build_find_named(b, s, v->ref->part[0])))
        last->in_doubt |= of;
    else
        s->in_doubt |= of;
}

/* A run that is called so may end at any box. */
static void note_lost_label(struct builder *b, const struct run *r, struct end from, struct end to)
{
    if (r->label && ((!from.box && !from.panel) || (!to.box && !to.panel)))
        map_put(b->arena, &b->lost_labels, (uintptr_t)r->label, 0, (void *)r->label);
}

/* `cable unknown`. */
static bool says_unknown(const struct node *cable)
{
    return cable && !cable->value_count;
}

/* What the runs of a hop have in common, and the cables of them: one, or two beside each other. */
struct hop {
    struct run like;
    struct cable_def *cables[2];
};

/* Single conductors make no cable: in their raceway a set of them is worked out. */
static void lay_in_raceway(struct hop *hop, const struct node *n, const struct circuit *c)
{
    if (c && !clause(n, F_IN))
        hop->like.raceway = c->raceway;
    if (c && !clause(n, F_GROUND_WIRE))
        hop->like.ground_wire = c->ground_wire;
    if (!hop->cables[0] || !hop->cables[0]->single)
        return;
    hop->like.single = hop->like.raceway ? hop->cables[0] : NULL;
    hop->cables[0] = NULL;
}

/* The clause on the hop, else on its circuit. */
static const struct node *clause_of(const struct node *n, const struct circuit *c,
                                    enum form_id form)
{
    const struct node *own = clause(n, form);
    return own || !c ? own : form == F_IN ? c->raceway_clause : c->cable_clause;
}

/* What speaks of a raceway means nothing where there is none. */
static void check_raceway_words(struct builder *b, const struct node *n, const struct node *told)
{
    static const enum form_id forms[] = {F_BENDS, F_GROUND_WIRE};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        const struct node *c = clause(n, forms[i]);
        if (c && (!told || clause(told, forms[i]) != c))
            diag_mend(b->diag,
                      diag_add(b->diag, &rule_no_effect_yet, node_span(c),
                               "'%s' means nothing here: the run lies in no raceway", c->word),
                      "leave '%s' out, or say in which raceway: in emt-1/2", c->word);
    }
}

/* Single conductors lie in a raceway (300.3(A)), and as many as are needed: nobody names two.
 * `told`: a statement whose clauses have been looked at, or NULL. */
static void check_raceway(struct builder *b, const struct node *n, struct circuit *c,
                          struct hop *hop, const struct node *told)
{
    const struct node *cable = clause_of(n, c, F_CABLE), *in = clause_of(n, c, F_IN);
    const struct value *v = cable ? node_value(cable, 0) : NULL;
    const struct cable_def *single = v ? library_cable(b->m->lib, v->name) : NULL;
    bool lost = in && !hop->like.raceway, seen = told && clause_of(told, c, F_CABLE) == cable;
    if (!hop->like.raceway && !in)
        check_raceway_words(b, n, told);
    if (c && lost)
        c->in_doubt |= ITS_CABLE;
    if (!single || !single->single || seen)
        return;
    if (hop->cables[1]) {
        diag_mend(b->diag,
                  diag_syntax(b->diag, &rule_syntax, node_span(cable),
                              "'%s' is a conductor, of which as many as are needed are pulled",
                              single->name),
                  "cable %s", single->name);
        hop->cables[1] = NULL;
    }
    if (hop->like.raceway || lost)
        return;
    if (c)
        c->in_doubt |= ITS_CABLE;
    struct finding *f = diag_add(
        b->diag, &rule_missing_clause, node_span(cable),
        "%s is a single conductor: it lies in a raceway, and the run does not say in which",
        single->name);
    diag_mend(b->diag, f, "add 'in emt-1/2', or another raceway");
}

static void read_hop(struct builder *b, const struct node *n, struct circuit *c,
                     struct low_voltage *lv, struct hop *hop)
{
    const struct node *cable = clause(n, F_CABLE);
    hop->like = read_options(b, n);
    hop->like.circuit = c;
    hop->like.low_voltage = lv;
    hop->like.own_cable = cable && cable->value_count;
    hop->like.cable_unsaid = cable ? says_unknown(cable) : c && c->cable_unsaid;
    hop->cables[0] = cable ? build_find_cable(b, cable, 0) : c ? c->cable : lv->cable;
    hop->cables[1] = cable ? build_find_cable(b, cable, 1) : NULL;
    if (c && hop->like.own_cable && !hop->cables[0])
        c->in_doubt |= ITS_CABLE;
    lay_in_raceway(hop, n, c);
}

static void add_hop(struct builder *b, struct hop *hop, struct end from, struct end to,
                    const struct node *n, unsigned i)
{
    struct circuit *c = hop->like.circuit;
    for (int k = 0; k < 2; k++) {
        if (k && !hop->cables[1])
            continue;
        hop->like.declared = hop->cables[k];
        hop->like.of_two = !hop->cables[1] ? 0 : k ? 'b' : 'a';
        hop->like.chain = n;
        struct run *r = add_run(b, &hop->like, from, to, value_span(n, &n->values[i - 1]),
                                value_span(n, &n->values[i]));
        if (c)
            *vec_push(b->arena, &c->runs) = r;
        else
            *vec_push(b->arena, &hop->like.low_voltage->runs) = r;
    }
}

/* The runs of one statement: a hop for each arrow, a run for each cable of a hop. */
static void read_chain(struct builder *b, struct scope *s, const struct node *n, struct circuit *c,
                       struct low_voltage *lv)
{
    enum matter of = c ? ITS_FEED : ITS_SIGNALS;
    if (n->broken) {
        s->in_doubt |= of;
        return;
    }
    unsigned hops = n->value_count ? n->value_count - 1u : 0;
    check_single(b, n, hops);
    const struct node *group = next_group(n->child);
    const struct node *told = NULL;
    struct hop chain, own;
    read_hop(b, n, c, lv, &chain);
    if (hops > 1) { /* said above; they hold for no hop */
        chain.like.measured = false;
        chain.like.length = chain.like.spare = 0;
        chain.like.label = chain.like.title = NULL;
    }
    struct room *last = NULL;
    struct end before = build_resolve_end(b, s, n, &n->values[0], &last);
    doubt(b, s, &n->values[0], before, last, of);
    for (unsigned i = 1; i <= hops; i++) {
        const struct value *v = &n->values[i];
        bool here = v->kind != V_NAME || build_find_named(b, s, v->name) ||
                    (last && map_get(&last->box_names, 1, (uintptr_t)v->name));
        bool lost =
            !before.box && !before.panel &&
            !here; /* a box of the room that the name before, which is not known, may have meant */
        struct end next = lost ? (struct end){0} : build_resolve_end(b, s, n, v, &last);
        if (next.panel && i < hops)
            diag_syntax(b->diag, &rule_syntax, value_span(n, &n->values[i]),
                        "a panel stands at an end of a chain, not inside it");
        const struct node *said = hop_said(b, n, group && group->values[0].n == i ? group : NULL);
        if (said != n) {
            read_hop(b, said, c, lv, &own);
            group = next_group(group->next);
        }
        struct hop *hop = said != n ? &own : &chain;
        if (said != told)
            check_raceway(b, said, c, hop, told);
        told = said;
        add_hop(b, hop, before, next, n, i);
        doubt(b, s, v, next, last, of);
        note_lost_label(b, &hop->like, before, next);
        before = next;
    }
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
    c->cable_unsaid = says_unknown(cable);
    c->cable_clause = cable;
    c->raceway_clause = clause(n, F_IN);
    c->raceway = build_find_raceway(b, c->raceway_clause);
    c->ground_wire = read_ground_wire(b, n);
    c->in_doubt |= cable && !c->cable_unsaid && !c->cable ? ITS_CABLE : 0;
    for (const struct node *r = n->child; r; r = r->next) {
        if (r->form == F_RUN)
            read_chain(b, s, r, c, NULL);
        if (r->broken)
            c->in_doubt |= ITS_TEXT;
    }
    if (node_lacks(n, F_BREAKER) && chain_start(n) && !c->existing && !(c->in_doubt & ~ITS_CABLE)) {
        struct finding *f = diag_add(b->diag, &rule_missing_clause, node_name_span(n),
                                     "circuit %s has runs but no breaker",
                                     address_called_as_written(b->arena, c, true));
        diag_mend(b->diag, f, "add 'breaker 15 A' or 'breaker 20 A'");
    }
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
    const struct node *cable = clause(n, F_CABLE);
    struct run like = read_options(b, n);
    like.circuit = c;
    like.existing = p->existing;
    like.goes = p->goes;
    struct hop hop = {.like = like, .cables = {cable ? build_find_cable(b, cable, 0) : NULL, NULL}};
    lay_in_raceway(&hop, n, NULL);
    check_raceway(b, n, NULL, &hop, NULL);
    like = hop.like;
    like.declared = hop.cables[0];
    like.own_cable = cable && cable->value_count;
    like.cable_unsaid = says_unknown(cable);
    if ((like.own_cable && !like.declared && !like.single) || (clause(n, F_IN) && !like.raceway))
        c->in_doubt |= ITS_CABLE;
    struct end a = {.panel = from}, z = {.panel = p};
    *vec_push(b->arena, &c->runs) = add_run(b, &like, a, z, node_span(n), node_name_span(p->node));
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
        if (c && c != r->circuit) {
            *vec_push(b->arena, &r->also) = c;
            *vec_push(b->arena, &c->runs) = r;
        } else if (name && !c && r->circuit->panel) {
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
        *vec_push(b->arena, &b->m->low_voltages) = lv;
        const struct node *cable = clause(n, F_CABLE);
        lv->cable = cable ? build_find_cable(b, cable, 0) : NULL;
        for (const struct node *r = n->child; r; r = r->next)
            if (r->form == F_RUN)
                read_chain(b, s, r, NULL, lv);
    }
}

/* Each circuit as a tree: its root, which run closes a loop, what nothing feeds; and the circuit of
 * every device. */
#include "model/build.h"
#include "resolve/edit.h"

#include <string.h>

/* What is known of cables that several circuits share, from one circuit to the next. */
struct shared_runs {
    struct map ways;   /* (run, 1) -> struct through of the first */
    struct map told;   /* (run, 1): that it closes a loop */
    struct map beside; /* (statement, unit): that a circuit has a second cable beside it */
};

/* A circuit while its tree is found. Vertices are boxes and its panel; runs between the same two
 * boxes are parallel, not a loop. */
struct tree_builder {
    struct builder *b;
    struct arena *scratch;
    struct shared_runs *shared; /* of all circuits */
    struct circuit *circuit;
    struct map vertex_of;     /* (box or panel) -> index + 1 */
    struct map joined;        /* (vertex, vertex) -> the first run between them */
    VEC(uint32_t) parent;     /* union-find */
    VEC(struct box *) boxes;  /* by vertex; NULL: the panel */
    VEC(uint32_t) first_edge; /* by vertex: edge + 1 */
    VEC(struct tree_edge) edges;
    uint32_t root;   /* vertex; UINT32_MAX none */
    uint32_t *depth; /* by vertex: 1 for the root, 0 where it does not lead */
    bool loop, doubtful;
};

struct tree_edge {
    struct run *run;
    uint32_t to;
    uint32_t next; /* edge + 1 */
};

static uint32_t vertex(struct tree_builder *t, struct end e)
{
    void **at = map_at(t->scratch, &t->vertex_of, e.box ? (uintptr_t)e.box : (uintptr_t)e.panel, 1);
    if (!*at) {
        *vec_push(t->scratch, &t->parent) = t->boxes.n;
        *vec_push(t->scratch, &t->first_edge) = 0;
        *vec_push(t->scratch, &t->boxes) = e.box;
        *at = (void *)(uintptr_t)t->boxes.n;
    }
    return (uint32_t)(uintptr_t)*at - 1;
}

static uint32_t find_set(struct tree_builder *t, uint32_t v)
{
    while (t->parent.at[v] != v)
        v = t->parent.at[v] = t->parent.at[t->parent.at[v]];
    return v;
}

static void add_edge(struct tree_builder *t, struct run *r, uint32_t from, uint32_t to)
{
    *vec_push(t->scratch, &t->edges) = (struct tree_edge){r, to, t->first_edge.at[from]};
    t->first_edge.at[from] = t->edges.n;
}

RULE(loop_in_circuit, "loop-in-circuit", ERROR, FIRM, "the runs of a circuit form a tree");

/* Of a cable that several circuits share it is said once. */
static void say_loop(struct tree_builder *t, struct run *r)
{
    t->loop = true;
    struct builder *b = t->b;
    struct finding *f;
    if (map_get(&t->shared->told, (uintptr_t)r, 1))
        return;
    map_put(b->arena, &t->shared->told, (uintptr_t)r, 1, r);
    if (r->from.box == r->to.box)
        f = model_finding(b->m, &rule_loop_in_circuit,
                          r->to_span.source ? r->to_span : node_span(r->node), t->circuit->unit,
                          address_of_circuit(b->arena, t->circuit, false),
                          "this run leads from a box to itself");
    else
        f = model_finding(b->m, &rule_loop_in_circuit,
                          token_span(r->node->source, r->node->first, r->node->last),
                          t->circuit->unit, address_of_circuit(b->arena, t->circuit, false),
                          "run %s closes a loop: other runs of circuit %s join the two already",
                          address_of_run(b->arena, r, true),
                          address_called_as_written(b->arena, t->circuit, true));
    diag_mend(
        b->diag, f,
        "leave it out, or give the box a feed of its own by two runs between the same two boxes");
    if (r->chain)
        edit_remove_hop(edit_way(b->diag, f, false, "leave it out"), r->chain,
                        r->to_span.off > r->from_span.off ? r->to_span : r->from_span);
}

static bool is_told_beside(const struct tree_builder *t, const struct run *r)
{
    return map_get(&t->shared->beside, (uintptr_t)r->node, (uintptr_t)t->circuit->unit);
}

/* A circuit in a cable together with others has no second cable between the same two boxes: who
 * pulls them would not know which of the two its conductors are for. */
static void say_twice(struct tree_builder *t, struct run *r, struct run *before)
{
    struct builder *b = t->b;
    struct run *shared = r->also.n ? r : before, *other = r->also.n ? before : r;
    t->loop = true;
    if (is_told_beside(t, shared) || is_told_beside(t, other))
        return;
    map_put(b->arena, &t->shared->beside, (uintptr_t)shared->node, (uintptr_t)t->circuit->unit, r);
    const char *called = address_called_as_written(b->arena, t->circuit, true);
    struct finding *f = model_finding(
        b->m, &rule_loop_in_circuit,
        token_span(shared->node->source, shared->node->first, shared->node->last), t->circuit->unit,
        address_of_circuit(b->arena, t->circuit, false),
        "run %s carries circuit %s beside others, and another run of circuit %s joins the two "
        "already",
        address_of_run(b->arena, shared, true), called, called);
    diag_note(b->diag, f, token_span(other->node->source, other->node->first, other->node->last),
              "the other run");
    if (shared->circuit == t->circuit)
        diag_mend(b->diag, f, "leave one of the two runs out");
    else
        diag_mend(b->diag, f, "leave circuit %s out of 'for circuits' here, or its other run out",
                  t->circuit->name);
}

static bool foreign_panel(struct tree_builder *t, struct run *r, struct end e, struct span span)
{
    struct circuit *c = t->circuit;
    if (!e.panel || e.panel == c->panel || (c->feeds && e.panel == c->feeds))
        return false;
    if (!c->panel)
        return true;
    diag_add(t->b->diag, &rule_unknown_name, span.source ? span : node_span(r->node),
             "'%s' is not the panel of circuit %s, which begins at '%s'", e.panel->name,
             address_called_as_written(t->b->arena, c, true), c->panel->name);
    return true;
}

static void add_run_edge(struct tree_builder *t, struct run *r)
{
    if ((!r->from.box && !r->from.panel) || (!r->to.box && !r->to.panel) ||
        foreign_panel(t, r, r->from, r->from_span) || foreign_panel(t, r, r->to, r->to_span)) {
        t->doubtful = true;
        return;
    }
    uint32_t from = vertex(t, r->from), to = vertex(t, r->to);
    void **between = map_at(t->scratch, &t->joined, from < to ? from + 1 : to + 1,
                            from < to ? to + 1 : from + 1);
    if (from == to || (!*between && find_set(t, from) == find_set(t, to))) {
        say_loop(t, r);
        return;
    }
    if (*between && (r->also.n || ((struct run *)*between)->also.n)) {
        say_twice(t, r, *between);
        return;
    }
    *between = r;
    t->parent.at[find_set(t, from)] = find_set(t, to);
    add_edge(t, r, from, to);
    add_edge(t, r, to, from);
}

/* Boxes where a run of the circuit ends as it is written. */
static bool *ends_written(struct tree_builder *t)
{
    bool *ends = arena_array(t->scratch, bool, t->boxes.n + 1);
    for (uint32_t i = 0; i < t->circuit->runs.n; i++) {
        const struct run *r = t->circuit->runs.at[i];
        uint32_t v =
            r->to.box ? (uint32_t)(uintptr_t)map_get(&t->vertex_of, (uintptr_t)r->to.box, 1) : 0;
        if (v)
            ends[v - 1] = true;
    }
    return ends;
}

/* Which of two existing boxes an old circuit comes to first: one that holds its conductors, one
 * that no run is written to, the first by name. */
static bool nearer_source(struct tree_builder *t, const bool *ends, uint32_t a, uint32_t b)
{
    const struct box *x = t->boxes.at[a], *y = t->boxes.at[b];
    if ((x->held.n > 0) != (y->held.n > 0))
        return x->held.n > 0;
    if (ends[a] != ends[b])
        return ends[b];
    int room = strcmp(x->room->name, y->room->name);
    return room ? room < 0 : strcmp(x->name, y->name) < 0;
}

/* The panel where runs touch it; else the existing box that carries the circuit already. */
static void find_root(struct tree_builder *t)
{
    struct circuit *c = t->circuit;
    uint32_t panel =
        c->panel ? (uint32_t)(uintptr_t)map_get(&t->vertex_of, (uintptr_t)c->panel, 1) : 0;
    t->root = panel ? panel - 1 : UINT32_MAX;
    const bool *ends = panel ? NULL : ends_written(t);
    for (uint32_t v = 0; v < t->boxes.n && !panel; v++)
        if (t->boxes.at[v] && t->boxes.at[v]->existing &&
            (t->root == UINT32_MAX || nearer_source(t, ends, v, t->root)))
            t->root = v;
    c->root = t->root != UINT32_MAX ? t->boxes.at[t->root] : NULL;
}

/* Walks from the root and turns every run so that `from` is the end nearer the source. */
static void orient(struct tree_builder *t)
{
    bool *seen = arena_array(t->scratch, bool, t->boxes.n);
    uint32_t *queue = arena_array(t->scratch, uint32_t, t->boxes.n), head = 0, tail = 0;
    t->depth = arena_array(t->scratch, uint32_t, t->boxes.n);
    queue[tail++] = t->root;
    seen[t->root] = true;
    t->depth[t->root] = 1;
    while (head < tail) {
        uint32_t v = queue[head++];
        for (uint32_t i = t->first_edge.at[v]; i; i = t->edges.at[i - 1].next) {
            struct tree_edge *e = &t->edges.at[i - 1];
            struct run *r = e->run;
            if (r->in_tree && r->circuit == t->circuit && seen[e->to] &&
                r->to.box == t->boxes.at[v])
                continue; /* the run by which we came */
            if (seen[e->to] &&
                !(r->from.box == t->boxes.at[v] && r->to.box == t->boxes.at[e->to]) && r->in_tree)
                continue;
            r->in_tree = true;
            if (t->boxes.at[v] ? r->from.box != t->boxes.at[v]
                               : r->from.panel != t->circuit->panel) {
                struct end other = r->from;
                struct span span = r->from_span;
                r->from = r->to;
                r->to = other;
                r->from_span = r->to_span;
                r->to_span = span;
            }
            if (!seen[e->to]) {
                seen[e->to] = true;
                t->depth[e->to] = t->depth[v] + 1;
                queue[tail++] = e->to;
            }
        }
    }
}

RULE(unfed_box, "unfed-box", ERROR, FIRM, "a path of runs leads from a panel to every box");

static void say_unfed(struct tree_builder *t, struct box *first, uint32_t count)
{
    struct builder *b = t->b;
    const char *more = count > 1 ? arena_printf(b->arena, " and %u more", count - 1) : "";
    const char *source = t->circuit->panel
                             ? arena_printf(b->arena, "panel '%s'", t->circuit->panel->name)
                             : "a panel";
    struct finding *f =
        model_finding(b->m, &rule_unfed_box, node_name_span(first->node), first->room->unit,
                      address_of_box(b->arena, first, false),
                      "nothing feeds %s%s: no run of circuit %s joins it to %s",
                      address_of_box(b->arena, first, true), more,
                      address_called_as_written(b->arena, t->circuit, true), source);
    if (t->circuit->panel)
        diag_mend(b->diag, f, "add the home run: run %s -> %s", t->circuit->panel->name,
                  address_of_box(b->arena, first, true));
    if (t->circuit->panel) {
        const char *text = arena_printf(b->arena, "run %s -> %s", t->circuit->panel->name,
                                        address_of_box(b->arena, first, true));
        edit_in_block(edit_way(b->diag, f, false, "%s", text), t->circuit->node, text);
    }
}

/* Whether a run that could not be read in full may lead to it. */
static bool may_be_fed(struct builder *b, const struct box *x, enum matter by)
{
    const struct scope *s = map_get(&b->scope_of, (uintptr_t)x->room->unit, 1);
    return x->room->in_doubt & by || (s && s->in_doubt & by);
}

/* Boxes that the circuit serves, and whose runs, if they have any, do not lead to its root: the
 * order in which they are fed is left open. Each set of vertices with such a box is marked in
 * `open`. */
static void find_unrun(struct tree_builder *t, bool *open)
{
    struct circuit *c = t->circuit;
    for (uint32_t i = 0; i < c->serves.n; i++) {
        struct box *x = c->serves.at[i];
        uint32_t v = (uint32_t)(uintptr_t)map_get(&t->vertex_of, (uintptr_t)x, 1);
        bool fed = v && t->root != UINT32_MAX && find_set(t, v - 1) == find_set(t, t->root);
        if (fed || (c->existing && x->existing))
            continue;
        c->in_doubt |= ITS_FEED;
        if (t->doubtful || x->in_doubt || may_be_fed(t->b, x, ITS_FEED))
            continue;
        if (v)
            open[find_set(t, v - 1)] = true;
        *vec_push(t->b->arena, &c->unrun) = x;
    }
}

/* One finding for each group of boxes that the root does not reach. */
static void check_fed(struct tree_builder *t, const bool *open)
{
    bool rootless = t->root == UINT32_MAX &&
                    t->circuit->in_doubt &
                        ITS_FEED; /* what could not be read may say that a box is there already */
    if (t->doubtful || rootless || t->circuit->in_doubt & ITS_TEXT || t->loop)
        return;
    uint32_t *size = arena_array(t->scratch, uint32_t, t->boxes.n);
    for (uint32_t v = 0; v < t->boxes.n; v++)
        size[find_set(t, v)]++;
    for (uint32_t v = 0; v < t->boxes.n; v++) {
        uint32_t set = find_set(t, v);
        if (!size[set] || open[set] || (t->root != UINT32_MAX && set == find_set(t, t->root)) ||
            !t->boxes.at[v])
            continue;
        say_unfed(t, t->boxes.at[v], size[set]);
        size[set] = 0;
    }
}

/* Whether it has a cable together with another circuit that nothing of its own joins to its root:
 * the cable is in the other's tree, and not in this one. */
static bool shares_unfed(struct tree_builder *t)
{
    for (uint32_t i = 0; i < t->circuit->runs.n; i++) {
        const struct run *r = t->circuit->runs.at[i];
        void *at = r->also.n && r->to.box ? map_get(&t->vertex_of, (uintptr_t)r->to.box, 1) : NULL;
        if (at && find_set(t, (uint32_t)(uintptr_t)at - 1) != find_set(t, t->root))
            return true;
    }
    return false;
}

/* Which way a circuit goes through a cable that several share. */
struct through {
    struct circuit *circuit;
    const void *from; /* the box or panel that it comes from */
};

static const void *thing_of(struct end e)
{
    return e.box ? (const void *)e.box : e.panel;
}

/* How far an end is from the root; 0: the circuit does not lead there. */
static uint32_t depth_of(const struct tree_builder *t, struct end e)
{
    uintptr_t v = (uintptr_t)map_get(&t->vertex_of, (uintptr_t)thing_of(e), 1);
    return v ? t->depth[v - 1] : 0;
}

static void say_against(struct builder *b, struct run *r, struct circuit *one,
                        struct circuit *other)
{
    one->is_tree = other->is_tree = false;
    struct finding *f = model_finding(
        b->m, &rule_loop_in_circuit, token_span(r->node->source, r->node->first, r->node->last),
        other->unit, address_of_circuit(b->arena, other, false),
        "run %s carries circuits %s and %s against each other: each comes to it from another end",
        address_of_run(b->arena, r, true), address_called_as_written(b->arena, one, true),
        address_called_as_written(b->arena, other, true));
    diag_mend(b->diag, f, "a run of its own for one of them, or lead both to the same end");
}

/* A cable that several circuits share is one way for all of them: whatever box they meet in, all
 * come from the same end of it. */
static void check_shared(struct tree_builder *t)
{
    for (uint32_t i = 0; i < t->circuit->runs.n; i++) {
        struct run *r = t->circuit->runs.at[i];
        if (!r->also.n || !r->in_tree || !run_is_whole(r))
            continue;
        uint32_t from = depth_of(t, r->from), to = depth_of(t, r->to);
        const void *at = thing_of(from < to ? r->from : r->to);
        void **way = map_at(t->b->arena, &t->shared->ways, (uintptr_t)r, 1);
        struct through *first = *way;
        if (!from || !to || from == to)
            continue;
        if (!first) {
            *way = first = arena_new(t->b->arena, struct through);
            *first = (struct through){t->circuit, at};
        } else if (first->from != at) {
            say_against(t->b, r, first->circuit, t->circuit);
        }
    }
}

static void build_tree(struct builder *b, struct arena *scratch, struct shared_runs *shared,
                       struct circuit *c)
{
    struct tree_builder t = {
        .b = b, .scratch = scratch, .shared = shared, .circuit = c, .root = UINT32_MAX};
    for (uint32_t i = 0; i < c->runs.n; i++)
        add_run_edge(&t, c->runs.at[i]);
    if (t.boxes.n)
        find_root(&t);
    bool *open = arena_array(scratch, bool, t.boxes.n + 1);
    c->in_doubt |= t.doubtful ? ITS_FEED : 0;
    find_unrun(&t, open);
    if (!t.boxes.n)
        return;
    for (uint32_t v = 0; v < t.boxes.n; v++)
        c->in_doubt |= t.boxes.at[v] && t.boxes.at[v]->in_doubt ? ITS_FEED : 0;
    check_fed(&t, open);
    if (t.root == UINT32_MAX)
        return;
    orient(&t);
    c->is_tree = !t.loop && !shares_unfed(&t);
    if (c->is_tree)
        check_shared(&t);
}

/* --- boxes that no run reaches ------------------------------------------------------------ */

static bool only_low_voltage(const struct box *x)
{
    for (uint32_t i = 0; i < x->device_count; i++)
        if (x->devices[i]->def->sort != SORT_LOW_VOLTAGE)
            return false;
    return x->device_count > 0 || x->low_voltage.n > 0;
}

/* Devices of low voltage that a cable of theirs reaches, somewhere: of such the plan draws the
 * cables. */
static void note_low_voltage(struct map *drawn, struct arena *arena, const struct box *x)
{
    for (uint32_t i = 0; x->low_voltage.n && i < x->device_count; i++)
        if (x->devices[i]->def->sort == SORT_LOW_VOLTAGE)
            map_put(arena, drawn, (uintptr_t)x->devices[i]->def, 1, x->devices[i]->def);
}

/* A device of low voltage that no cable of its own reaches: where others of its sort have one, or
 * where it stands alone in a box of a power circuit and lands nowhere. */
static void check_low_voltage(struct builder *b, const struct map *drawn, const struct box *x)
{
    if (x->low_voltage.n || x->existing || x->in_doubt || may_be_fed(b, x, ITS_SIGNALS))
        return;
    for (uint32_t i = 0; i < x->device_count; i++) {
        const struct device *d = x->devices[i];
        bool lost = x->runs.n && only_low_voltage(x);
        if (d->def->sort != SORT_LOW_VOLTAGE || d->existing ||
            (!lost && !map_get(drawn, (uintptr_t)d->def, 1)))
            continue;
        struct finding *f = model_finding(
            b->m, &rule_unfed_box, node_span(d->node), x->room->unit,
            address_of_box(b->arena, x, false),
            lost ? "the %s in %s is of low voltage and lands on no wire of the power cables there: "
                   "what it is to work is always on"
                 : "no low-voltage cable leads to the %s in %s",
            d->def->name, address_of_box(b->arena, x, true));
        if (f && !lost)
            f->severity = WARNING;
        diag_mend(b->diag, f,
                  lost ? "a control of line voltage, or its cable in a 'low-voltage' and the power "
                         "past this box"
                       : "name it in a run of a 'low-voltage'");
        return;
    }
}

static void check_reached(struct builder *b, const struct box *x)
{
    if (x->runs.n || x->served_by.n || x->existing || x->in_doubt || only_low_voltage(x) ||
        may_be_fed(b, x, ITS_FEED))
        return;
    struct finding *f =
        model_finding(b->m, &rule_unfed_box, node_name_span(x->node), x->room->unit,
                      address_of_box(b->arena, x, false), "nothing feeds %s: no run leads to it",
                      address_of_box(b->arena, x, true));
    diag_mend(b->diag, f, "name it in a run of a circuit");
}

/* --- circuits of devices ------------------------------------------------------------------ */

/* The circuits that reach a box or serve it, each once. */
struct reach {
    VEC(struct circuit *) circuits;
    struct map met;    /* (circuit, 0) -> the circuit */
    struct map called; /* (name, 0) and (name, name of its panel) -> circuit, the last of a name */
    bool doubtful;
};

static void add_reach(struct arena *scratch, struct reach *r, struct circuit *c)
{
    void **met = map_at(scratch, &r->met, (uintptr_t)c, 0);
    r->doubtful |= c->in_doubt & ITS_TEXT;
    if (*met)
        return;
    *met = c;
    *vec_push(scratch, &r->circuits) = c;
    map_put(scratch, &r->called, (uintptr_t)c->name, 0, c);
    if (c->panel)
        map_put(scratch, &r->called, (uintptr_t)c->name, (uintptr_t)c->panel->name, c);
}

static struct reach reach_of(struct arena *scratch, const struct box *x)
{
    struct reach r = {0};
    for (uint32_t i = 0; i < x->runs.n; i++) {
        add_reach(scratch, &r, x->runs.at[i]->circuit);
        for (uint32_t k = 0; k < x->runs.at[i]->also.n; k++)
            add_reach(scratch, &r, x->runs.at[i]->also.at[k]);
    }
    for (uint32_t i = 0; i < x->served_by.n; i++)
        add_reach(scratch, &r, x->served_by.at[i]);
    return r;
}

static struct circuit *circuit_called(struct builder *b, const struct reach *r,
                                      const struct value *v)
{
    if (v->kind != V_REF)
        return map_get(&r->called, (uintptr_t)names_of(b->m->names, node_ref_text(b->arena, v)), 0);
    uint8_t n = v->ref->count;
    return map_get(&r->called, (uintptr_t)v->ref->part[n - 1], (uintptr_t)v->ref->part[n - 2]);
}

/* Whether a run of a circuit so called has an end that is not known, or could not be read, or the
 * panel of that circuit is not: it may be the one that is missed, and its slip is told. Asked only
 * where a name is at fault. */
static bool may_lead_here(struct builder *b, const struct value *v)
{
    const char *name = v->kind == V_REF ? v->ref->part[v->ref->count - 1]
                                        : names_of(b->m->names, node_ref_text(b->arena, v));
    for (uint32_t i = 0; i < b->m->circuits.n; i++) {
        const struct circuit *c = b->m->circuits.at[i];
        if (c->name != name)
            continue;
        for (const struct node *n = c->node->child; n; n = n->next)
            if (n->form == F_RUN && n->broken)
                return true;
        if (node_broken(c->node) || !c->panel)
            return true;
        for (uint32_t k = 0; k < c->runs.n; k++) {
            const struct run *r = c->runs.at[k];
            if ((!r->from.box && !r->from.panel) || (!r->to.box && !r->to.panel))
                return true;
        }
    }
    return false;
}

static struct circuit *named_circuit(struct builder *b, const struct part *p, const struct node *n,
                                     const struct reach *r)
{
    const struct value *v = val(b, n, 0, C_REF);
    struct circuit *found = v ? circuit_called(b, r, v) : NULL;
    if (found)
        build_mention_circuit(b, n, v, found);
    if (!found && v && r->circuits.n && !r->doubtful && !may_lead_here(b, v)) {
        const char *text = node_ref_text(b->arena, v);
        struct finding *f =
            build_unknown_once(b, p->device->box, value_span(n, node_value(n, 0)),
                               arena_printf(b->arena, "run to %s of a circuit called",
                                            address_of_box(b->arena, p->device->box, true)),
                               text, (struct among){0});
        struct nearest near = nearest_to(text);
        for (uint32_t i = 0; i < r->circuits.n && f; i++)
            nearest_try(&near, r->circuits.at[i]->name);
        build_mend_name(b, f, &near);
    }
    return found;
}

RULE(served_not_run, "served-not-run", WARNING, FIRM,
     "runs lead to every box that a circuit serves");

/* Whether it is told of a box that one of several circuits is to be chosen for a device in it. */
static bool wants_choice(const struct box *x)
{
    bool several = x->served_by.n > 1;
    for (uint32_t i = 0; i < x->runs.n && x->served_by.n; i++)
        several |= x->runs.at[i]->circuit != x->served_by.at[0];
    for (uint32_t i = 0; i < x->device_count && several; i++)
        for (uint32_t k = 0; k < x->devices[i]->part_count; k++)
            if (!x->devices[i]->existing && x->devices[i]->def->sort != SORT_LOW_VOLTAGE &&
                !x->devices[i]->parts[k].circuit)
                return true;
    return false;
}

typedef VEC(struct box *) box_list;

/* Of which nothing else is told yet. */
static void leave_out_told(struct circuit *c, box_list *left, struct arena *arena)
{
    for (uint32_t i = 0; i < c->unrun.n; i++)
        if (!wants_choice(c->unrun.at[i]))
            *vec_push(arena, left) = c->unrun.at[i];
}

/* The first of the boxes, and how many more. */
static const char *unrun_words(struct builder *b, const box_list *unrun)
{
    enum { MOST_TOLD = 8 };
    const char *list = "";
    for (uint32_t i = 0; i < unrun->n && i < MOST_TOLD; i++)
        list =
            arena_listed(b->arena, list, i, unrun->n, address_of_box(b->arena, unrun->at[i], true));
    return unrun->n > MOST_TOLD
               ? arena_printf(b->arena, "%s and %u more", list, unrun->n - MOST_TOLD)
               : list;
}

/* One finding for a circuit: what its boxes want is the same for all of them. */
static void check_run(struct builder *b, struct circuit *c)
{
    if (!c->serves.n || c->in_doubt & ITS_TEXT)
        return;
    diag_looked(b->diag, &rule_served_not_run);
    box_list unrun = {0};
    leave_out_told(c, &unrun, b->arena);
    if (!unrun.n)
        return;
    const char *called = address_called_as_written(b->arena, c, true);
    struct finding *f = model_finding(
        b->m, &rule_served_not_run, node_span(c->serves_clause), c->unit,
        address_of_circuit(b->arena, c, false), "circuit %s serves %u %s; no run of it reaches %s",
        called, c->serves.n, c->serves.n == 1 ? "box" : "boxes", unrun_words(b, &unrun));
    diag_mend(
        b->diag, f,
        "'studbay propose runs' finds those that cost least; or write them, as in run %s -> %s",
        c->panel ? c->panel->name : "P", address_of_box(b->arena, unrun.at[0], true));
}

RULE(device_needs_circuit, "device-needs-circuit", ERROR, FIRM,
     "a device in a box with several circuits says which is its own");

/* "a, b and c"; of very many the first are told: "a, b and 7 more". */
static const char *reach_words(struct builder *b, const struct reach *r)
{
    enum { MOST_TOLD = 16 };
    uint32_t n = r->circuits.n, told = n > MOST_TOLD ? MOST_TOLD : n;
    const char *list = "";
    for (uint32_t i = 0; i < told; i++)
        list = arena_listed(b->arena, list, i, n,
                            address_called_as_written(b->arena, r->circuits.at[i], true));
    return n > told ? arena_printf(b->arena, "%s and %u more", list, n - told) : list;
}

static void say_needs_circuit(struct builder *b, const struct part *p, const struct reach *r)
{
    const struct box *x = p->device->box;
    struct finding *f =
        model_finding(b->m, &rule_device_needs_circuit, node_span(p->node), x->room->unit,
                      address_of_box(b->arena, x, false),
                      "circuits %s %s %s; this %s does not say which is its own", reach_words(b, r),
                      !x->served_by.n ? "reach"
                      : x->runs.n     ? "reach or serve"
                                      : "serve",
                      address_of_box(b->arena, x, true), p->device->def->name);
    for (uint32_t i = 0; i < x->served_by.n; i++)
        diag_note(b->diag, f, node_span(x->served_by.at[i]->serves_clause), "circuit %s serves it",
                  address_called_as_written(b->arena, x->served_by.at[i], true));
    diag_mend(b->diag, f, "write 'circuit %s' or 'circuit %s' on it", r->circuits.at[0]->name,
              r->circuits.at[1]->name);
    for (uint32_t i = 0; i < r->circuits.n && i < MOST_OFFERED; i++) {
        const char *text = arena_printf(b->arena, "circuit %s", r->circuits.at[i]->name);
        edit_clause(edit_way(b->diag, f, false, "%s", text), p->node, F_DEV_CIRCUIT, text);
    }
}

static void set_circuit(struct builder *b, struct part *p, const struct reach *r)
{
    struct device *d = p->device;
    const struct node *n = build_part_clause(p, F_DEV_CIRCUIT);
    if (d->def->sort == SORT_LOW_VOLTAGE)
        return;
    if (n)
        p->circuit = named_circuit(b, p, n, r);
    else if (r->circuits.n == 1)
        p->circuit = r->circuits.at[0];
    else if (r->circuits.n > 1 && !d->existing && !r->doubtful && !p->node->broken &&
             !d->node->broken)
        say_needs_circuit(b, p, r);
    if (!p->circuit)
        return;
    *vec_push(b->arena, &p->circuit->parts) = p;
    if (p->volts > b->m->volts && !p->circuit->two_pole && !p->circuit->multiwire &&
        !(p->circuit->in_doubt & ITS_TEXT))
        p->circuit->in_doubt |= ITS_LINES;
}

static void set_circuits(struct builder *b, struct arena *scratch, struct box *x)
{
    struct reach r = reach_of(scratch, x);
    const struct node *last = NULL;
    b->scope = map_get(&b->scope_of, (uintptr_t)x->room->unit, 1);
    for (uint32_t i = 0; i < x->device_count; i++) {
        for (uint32_t k = 0; k < x->devices[i]->part_count; k++) {
            struct part *p = &x->devices[i]->parts[k];
            struct reach said = r;
            said.doubtful |= p->node == last; /* both halves of one line: say it once */
            set_circuit(b, p, &said);
            last = p->node;
        }
    }
}

/* --- legs on circuits --------------------------------------------------------------------- */

static struct span leg_span(const struct part *p)
{
    const struct node *n = build_part_clause(p, F_DEV_LEG);
    return node_span(n ? n : p->node);
}

RULE(leg_crosses_circuits, "leg-crosses-circuits", ERROR, FIRM,
     "the switches and loads of a leg are on one circuit, and on one line of it");

static struct finding *say_two_circuits(struct builder *b, const struct leg *l,
                                        const struct part *first, const struct part *other)
{
    struct finding *f =
        model_finding(b->m, &rule_leg_crosses_circuits, leg_span(other), l->unit,
                      address_of_leg(b->arena, l, false),
                      "leg '%s' is on circuit %s in %s, but on circuit %s in %s", l->name,
                      address_called_as_written(b->arena, first->circuit, true),
                      address_of_box(b->arena, first->device->box, true),
                      address_called_as_written(b->arena, other->circuit, true),
                      address_of_box(b->arena, other->device->box, true));
    diag_note(b->diag, f, leg_span(first), "first named here");
    return f;
}

/* One finding for a leg: each further circuit is a note of it, so that all are mended at once. */
static void check_leg_circuit(struct builder *b, struct leg *l)
{
    const struct part *first = NULL;
    struct finding *f = NULL;
    bool several = false;
    struct map told = {0};
    for (uint32_t i = 0; i < l->controls.n + l->loads.n; i++) {
        const struct part *p =
            i < l->controls.n ? l->controls.at[i] : l->loads.at[i - l->controls.n];
        if (!p->circuit || p->circuit->in_doubt & ITS_TEXT)
            continue;
        if (!first) {
            first = p;
            l->circuit = p->circuit;
        } else if (p->circuit != first->circuit && !map_get(&told, 0, (uintptr_t)p->circuit)) {
            map_put(b->arena, &told, 0, (uintptr_t)p->circuit, p->circuit);
            several = f;
            if (f)
                diag_note(b->diag, f, leg_span(p), "and on circuit %s in %s",
                          address_called_as_written(b->arena, p->circuit, true),
                          address_of_box(b->arena, p->device->box, true));
            else
                f = say_two_circuits(b, l, first, p);
        }
    }
    if (f)
        diag_mend(b->diag, f,
                  several ? "bring all of it onto one circuit, or give the leg a name on each"
                          : "bring both onto one circuit, or give the leg two names");
}

/* An end that is kept for a leg lies where the leg's circuit comes. */
static void check_kept_end(struct builder *b, struct arena *scratch, const struct leg *l,
                           const struct box *x)
{
    struct reach r = reach_of(scratch, x);
    bool unfed = !r.circuits.n && !x->existing; /* that is told already */
    if (unfed || r.doubtful || x->in_doubt || map_get(&r.met, (uintptr_t)l->circuit, 0))
        return;
    struct node *kept = NULL;
    for (struct node *c = node_child(x->node, F_CAPPED); c && !kept; c = c->next)
        kept = c->form == F_CAPPED && node_name(c, 0) == l->name ? c : NULL;
    struct finding *f =
        model_finding(b->m, &rule_leg_crosses_circuits, node_span(kept ? kept : x->node),
                      x->room->unit, address_of_leg(b->arena, l, false),
                      "leg '%s' is on circuit %s, which does not come to %s, where an end of it is "
                      "kept",
                      l->name, address_called_as_written(b->arena, l->circuit, true),
                      address_of_box(b->arena, x, true));
    diag_mend(b->diag, f, "a run of circuit %s to %s, or no 'capped leg %s' in it",
              address_called_as_written(b->arena, l->circuit, true),
              address_of_box(b->arena, x, true), l->name);
    if (kept)
        edit_remove(edit_way(b->diag, f, false, "no 'capped leg %s' in it", l->name), kept);
}

static void check_kept_ends(struct builder *b, struct arena *scratch, const struct leg *l)
{
    const struct box *last = NULL;
    for (uint32_t i = 0; i < l->capped.n && l->circuit; i++) {
        if (l->capped.at[i] != last)
            check_kept_end(b, scratch, l, l->capped.at[i]);
        last = l->capped.at[i];
        arena_reset(scratch);
    }
}

static struct part *part_of_leg(const struct leg *l, uint32_t i)
{
    return i < l->loads.n ? l->loads.at[i] : l->controls.at[i - l->loads.n];
}

/* What tells the pole of a leg: the first of its loads, else of its switches, that names one. */
static const struct part *teller(const struct leg *l)
{
    for (uint32_t i = 0; i < l->loads.n + l->controls.n; i++)
        if (part_of_leg(l, i)->pole)
            return part_of_leg(l, i);
    return NULL;
}

static struct leg *feeding_leg(const struct leg *l)
{
    return l->controls.n ? l->controls.at[0]->from_leg : NULL;
}

static void say_two_poles(struct builder *b, const struct leg *l, const struct part *one,
                          const struct part *other)
{
    struct finding *f = model_finding(
        b->m, &rule_leg_crosses_circuits, leg_span(other), l->unit,
        address_of_leg(b->arena, l, false), "leg '%s' is on pole %c in %s, but on pole %c in %s",
        l->name, one->pole, address_of_box(b->arena, one->device->box, true), other->pole,
        address_of_box(b->arena, other->device->box, true));
    diag_note(b->diag, f, leg_span(one), "first named here");
    diag_mend(b->diag, f, "pole %c in both, or a leg of its own", one->pole);
    const char *text = arena_printf(b->arena, "pole %c", one->pole);
    edit_clause(edit_way(b->diag, f, false, "%s", text), other->node, F_DEV_POLE, text);
}

/* A leg lives on one line of its circuit: what one of it says holds for all. */
static void settle_pole(struct builder *b, struct leg *l)
{
    const struct part *tells = teller(l);
    for (uint32_t i = 0; tells && i < l->loads.n + l->controls.n; i++)
        if (part_of_leg(l, i)->pole && part_of_leg(l, i)->pole != tells->pole) {
            say_two_poles(b, l, tells, part_of_leg(l, i));
            break;
        }
    for (uint32_t i = 0; tells && i < l->loads.n + l->controls.n; i++)
        part_of_leg(l, i)->pole = tells->pole;
}

/* Legs that feed one another are on one line too. What feeds a leg takes its pole; what is fed by
 * one that has a pole takes that. */
static void settle_series(struct builder *b, struct leg *l)
{
    struct leg *up = feeding_leg(l);
    for (int depth = 0; up && !teller(up) && depth < MOST_LEGS_IN_SERIES; depth++)
        up = feeding_leg(up);
    const struct part *above = up ? teller(up) : NULL, *own = teller(l);
    if (above && own && above->pole != own->pole)
        say_two_poles(b, l, above, own);
    else if (above && !own)
        for (uint32_t i = 0; i < l->loads.n + l->controls.n; i++)
            part_of_leg(l, i)->pole = above->pole;
    up = feeding_leg(l);
    for (int depth = 0; own && up && !teller(up) && depth < MOST_LEGS_IN_SERIES; depth++) {
        for (uint32_t i = 0; i < up->loads.n + up->controls.n; i++)
            part_of_leg(up, i)->pole = own->pole;
        up = feeding_leg(up);
    }
}

/* `by NAME`: a run of that name ends at the box. */
static void check_by(struct builder *b, const struct part *p, const struct box *x)
{
    const struct node *by = build_part_clause(p, F_DEV_BY);
    bool found = false;
    for (uint32_t i = 0; p->by && i < x->runs.n; i++) {
        const struct run *r = x->runs.at[i];
        if (r->label != p->by)
            continue;
        found = true;
        build_mention(b, by, node_value(by, 0), 0, MENTION_RUN, r, node_child(r->node, F_AS));
    }
    if (found || !p->by || x->in_doubt || may_be_fed(b, x, ITS_FEED) ||
        map_get(&b->lost_labels, (uintptr_t)p->by, 0))
        return;
    struct finding *f =
        build_unknown_once(b, x, by ? value_span(by, node_value(by, 0)) : node_span(p->node),
                           "run that ends here and is called", p->by, (struct among){0});
    struct nearest near = nearest_to(p->by);
    for (uint32_t i = 0; i < x->runs.n && f; i++)
        if (x->runs.at[i]->label)
            nearest_try(&near, x->runs.at[i]->label);
    build_mend_name(b, f, &near);
}

void build_trees(struct builder *b)
{
    struct arena scratch = {.out_of_memory = b->arena->out_of_memory};
    struct shared_runs shared = {0};
    for (uint32_t i = 0; i < b->m->circuits.n; i++) {
        build_tree(b, &scratch, &shared, b->m->circuits.at[i]);
        arena_reset(&scratch);
    }
    struct map drawn = {0};
    for (uint32_t i = 0; i < b->m->boxes.n; i++)
        note_low_voltage(&drawn, b->arena, b->m->boxes.at[i]);
    for (uint32_t i = 0; i < b->m->boxes.n; i++) {
        check_low_voltage(b, &drawn, b->m->boxes.at[i]);
        check_reached(b, b->m->boxes.at[i]);
        set_circuits(b, &scratch, b->m->boxes.at[i]);
        arena_reset(&scratch);
        for (uint32_t d = 0; d < b->m->boxes.at[i]->device_count; d++)
            for (uint32_t p = 0; p < b->m->boxes.at[i]->devices[d]->part_count; p++)
                check_by(b, &b->m->boxes.at[i]->devices[d]->parts[p], b->m->boxes.at[i]);
    }
    for (uint32_t i = 0; i < b->m->circuits.n; i++)
        check_run(b, b->m->circuits.at[i]);
    for (uint32_t i = 0; i < b->m->legs.n; i++) {
        check_leg_circuit(b, b->m->legs.at[i]);
        check_kept_ends(b, &scratch, b->m->legs.at[i]);
        settle_pole(b, b->m->legs.at[i]);
    }
    for (uint32_t i = 0; i < b->m->legs.n; i++)
        settle_series(b, b->m->legs.at[i]);
    arena_free(&scratch);
}

/* What stands in the tree of a circuit. */
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "framing/routes.h"
#include "model/address.h"
#include "sheets/circuits/tree.h"
#include "wiring/wiring.h"

static void say(struct arena *arena, line_list *lines, const char *text)
{
    if (text && *text)
        *vec_push(arena, lines) = text;
}

static uint32_t node_of(struct tree *t, struct end e)
{
    const struct results *r = t->set->r;
    void **at = map_at(r->arena, &t->seen, 0, e.box ? (uintptr_t)e.box : (uintptr_t)e.panel);
    if (*at)
        return (uint32_t)(uintptr_t)*at - 1;
    struct node n = {.end = e, .joined = t->nodes.n};
    n.name = e.box ? arena_printf(r->arena, "%s%s", view_of_box(r, e.box)->address,
                                  e.box->existing ? ", existing" : "")
                   : arena_printf(r->arena, "panel %s", address_of_panel(r->arena, e.panel, false));
    for (uint32_t i = 0; e.box && i < e.box->device_count; i++)
        say(r->arena, &n.lines, view_of_box(r, e.box)->told[i]);
    if (e.box && !e.box->device_count)
        say(r->arena, &n.lines, "junction, blank cover");
    *vec_push(r->arena, &t->nodes) = n;
    *at = (void *)(uintptr_t)t->nodes.n;
    return t->nodes.n - 1;
}

static uint32_t first_of(struct tree *t, uint32_t node)
{
    while (t->nodes.at[node].joined != node)
        node = t->nodes.at[node].joined = t->nodes.at[t->nodes.at[node].joined].joined;
    return node;
}

/* What is drawn is a tree: a cable that closes a ring ends at its box drawn once more. Cables
 * beside each other all go the way of the first. */
static void add_edge(struct tree *t, struct edge e)
{
    struct arena *arena = t->set->r->arena;
    if (map_get(&t->pairs, e.to, e.from)) {
        uint32_t from = e.from;
        e.from = e.to;
        e.to = from;
    }
    void **pair = map_at(arena, &t->pairs, e.from, e.to);
    uint32_t a = first_of(t, e.from), b = first_of(t, e.to);
    if (a == b && !*pair) {
        struct node n = {.end = t->nodes.at[e.to].end,
                         .name = t->nodes.at[e.to].name,
                         .joined = t->nodes.n,
                         .again = true};
        say(arena, &n.lines, "the same box once more: a ring");
        e.to = t->nodes.n;
        *vec_push(arena, &t->nodes) = n;
    } else {
        *pair = t->set;
        t->nodes.at[b].joined = a;
    }
    *vec_push(arena, &t->edges) = e;
}

static void add_breaker(struct tree *t)
{
    const struct results *r = t->set->r;
    const struct circuit *c = t->circuit;
    uint32_t at = node_of(t, (struct end){.panel = c->panel});
    struct node *n = &t->nodes.at[at];
    n->breaker = c;
    n->name = words_handle(r, c) ? arena_printf(r->arena, "handle %s", words_handle(r, c))
                                 : words_circuit(r, c);
    say(r->arena, &n->lines, words_breaker(r->arena, c));
    say(r->arena, &n->lines,
        arena_printf(r->arena, "panel %s", address_of_panel(r->arena, c->panel, false)));
    say(r->arena, &n->lines, c->existing ? "existing" : NULL);
}

static void say_conductors(struct arena *arena, const struct run_wiring *w, struct edge *e)
{
    for (uint32_t i = 0; w->conductors && i < w->count; i++) {
        const struct conductor *c = &w->conductors[i];
        say(arena, &e->lines,
            arena_printf(arena, "%s%s%s%s", c->color ? c->color : "old wire", ": ",
                         c->net ? c->net->name : "spare, capped",
                         c->reidentified ? ", re-identified" : ""));
    }
}

static void add_run(struct tree *t, const struct run *run)
{
    const struct results *r = t->set->r;
    const struct run_view *v = view_of_run(r, run);
    struct edge e = {.run = run, .existing = run->existing, .home_run = v->home_run};
    if (!run_is_whole(run))
        return;
    e.from = node_of(t, run->from);
    e.to = node_of(t, run->to);
    e.title = arena_printf(r->arena, "%s%s", v->cable ? v->cable : "cable not known",
                           run->existing ? ", existing" : "");
    if (!run->existing && v->route->known)
        e.length = v->cut ? v->cut : "same piece";
    say_conductors(r->arena, v->wiring, &e);
    add_edge(t, e);
}

static void add_upstream(struct tree *t)
{
    const struct circuit *c = t->circuit;
    struct edge e = {.existing = true, .title = "existing"};
    e.from = node_of(t, (struct end){.panel = c->panel});
    e.to = node_of(t, (struct end){.box = c->root});
    if (c->upstream > 0)
        say(t->set->r->arena, &e.lines, sheets_distance(t->set, c->upstream));
    add_edge(t, e);
}

um tree_words_above(void)
{
    return TREE_TICK + CAPS_WORDS * 3 / 2 + MM;
}

um tree_words_below(const struct edge *e)
{
    return TREE_TICK + (um)e->lines.n * TREE_ROW + MM;
}

/* Cables that come to one box come one below the other, each with its words; the box is as high as
 * they need. */
static void spread_edges(struct tree *t)
{
    struct arena *arena = t->set->r->arena;
    um *high = arena_array(arena, um, (size_t)t->nodes.n + 1),
       *used = arena_array(arena, um, (size_t)t->nodes.n + 1),
       *below = arena_array(arena, um, (size_t)t->nodes.n + 1);
    uint32_t *count = arena_array(arena, uint32_t, (size_t)t->nodes.n + 1);
    for (uint32_t i = 0; i < t->edges.n; i++) {
        high[t->edges.at[i].to] += tree_words_above() + tree_words_below(&t->edges.at[i]);
        below[t->edges.at[i].to] = tree_words_below(&t->edges.at[i]);
        count[t->edges.at[i].to]++;
    }
    for (uint32_t i = 0; i < t->edges.n; i++) {
        struct edge *e = &t->edges.at[i];
        if (count[e->to] < 2)
            continue;
        e->off = used[e->to] + tree_words_above() - high[e->to] / 2;
        used[e->to] += tree_words_above() + tree_words_below(e);
    }
    for (uint32_t i = 0; i < t->nodes.n; i++) {
        struct node *n = &t->nodes.at[i];
        n->high = count[i] > 1 && high[i] > n->high ? high[i] : n->high;
        n->room = n->high;
        if (count[i] == 1 && n->room < 2 * below[i])
            n->room = 2 * below[i];
        if (count[i] == 1 && n->room < 2 * tree_words_above())
            n->room = 2 * tree_words_above();
    }
}

/* --- which way it goes ------------------------------------------------------------------------ */

/* The edges at each node, whichever way they lead: of node i those from first[i] to first[i + 1].
 */
struct ends {
    uint32_t *first, *edge;
};

static struct ends ends_of(struct arena *arena, const struct tree *t)
{
    struct ends e = {arena_array(arena, uint32_t, (size_t)t->nodes.n + 1),
                     arena_array(arena, uint32_t, 2 * (size_t)t->edges.n + 1)};
    uint32_t *next = arena_array(arena, uint32_t, (size_t)t->nodes.n + 1);
    for (uint32_t i = 0; i < t->edges.n; i++) {
        e.first[t->edges.at[i].from + 1]++;
        e.first[t->edges.at[i].to + 1]++;
    }
    for (uint32_t i = 0; i < t->nodes.n; i++)
        e.first[i + 1] += next[i] = e.first[i];
    for (uint32_t i = 0; i < t->edges.n; i++) {
        e.edge[next[t->edges.at[i].from]++] = i;
        e.edge[next[t->edges.at[i].to]++] = i;
    }
    return e;
}

struct walk {
    struct tree *t;
    struct ends ends;
    uint32_t *queue; /* nodes in the order in which they are reached */
    uint32_t queued, filed;
};

/* Files what is behind a node; edges to it are turned where they were written towards the breaker.
 */
static void file_behind(struct walk *w, uint32_t node)
{
    struct tree *t = w->t;
    struct node *n = &t->nodes.at[node];
    n->first = w->filed;
    for (uint32_t i = w->ends.first[node]; i < w->ends.first[node + 1]; i++) {
        struct edge *e = &t->edges.at[w->ends.edge[i]];
        if (e->filed)
            continue;
        uint32_t to = e->from == node ? e->to : e->from;
        struct node *other = &t->nodes.at[to];
        e->filed = true;
        e->from = node;
        e->to = to;
        e->next = other->way;
        other->way = w->ends.edge[i] + 1;
        if (other->reached)
            continue;
        other->reached = true;
        t->behind[w->filed++] = to;
        w->queue[w->queued++] = to;
    }
    n->count = w->filed - n->first;
}

/* From the breaker to the last box, and so each piece that does not hang together with it: it
 * begins a strip. */
static void follow(struct tree *t)
{
    struct arena *arena = t->set->r->arena;
    struct walk w = {t, ends_of(arena, t), arena_array(arena, uint32_t, (size_t)t->nodes.n + 1), 0,
                     0};
    t->behind = arena_array(arena, uint32_t, (size_t)t->nodes.n + 1);
    for (uint32_t i = 0, at = 0; i < t->nodes.n; i++) {
        if (t->nodes.at[i].reached)
            continue;
        t->nodes.at[i].reached = true;
        w.queue[w.queued++] = i;
        *vec_push(arena, &t->strips) = (struct strip){.root = i};
        while (at < w.queued)
            file_behind(&w, w.queue[at++]);
    }
}

struct tree tree_of(struct set *set, const struct circuit *c)
{
    struct tree t = {.set = set, .circuit = c};
    if (c->panel)
        add_breaker(&t);
    if (c->panel && c->root)
        add_upstream(&t);
    for (uint32_t i = 0; i < c->runs.n; i++)
        add_run(&t, c->runs.at[i]);
    follow(&t);
    for (uint32_t i = 0; i < t.nodes.n; i++)
        t.nodes.at[i].high = 2 * TREE_PAD + CAPS_WORDS + MM + (um)t.nodes.at[i].lines.n * TREE_ROW;
    spread_edges(&t);
    return t;
}

/* The circuits, one a page: from its breaker to its last box, each cable with its kind, its length
 * and what its conductors are. Graphviz places the tree; what is drawn is ours. */
#include "emit/drawings/drawings.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "model/address.h"
#include "sheets/sheets.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

enum {
    WIDE = 48000, /* of a box */
    PAD = 1500,
    ROW = 2700,
    BETWEEN = 46000, /* two boxes along a cable: room for its words */
    APART = 5000,
    TICK = 1500,  /* a tick reaches so far over its cable: words begin beyond it */
    PLACES = 1000 /* parts of an inch that are read of what dot says */
};

typedef VEC(const char *) line_list;

/* A breaker, box or panel of a tree. */
struct node {
    struct end end;
    const struct circuit *breaker; /* the root: its breaker */
    const char *name;
    line_list lines;
    um x, y, high;   /* its middle */
    um room;         /* what is kept free for it and the words of what comes to it */
    uint32_t joined; /* towards the first node of those that it hangs together with */
    bool again;      /* it stands elsewhere: here a cable closes a ring */
    bool placed;
};

/* A cable, or what is there between the panel and the box where new work begins. */
struct edge {
    uint32_t from, to; /* nodes */
    const struct run *run;
    const char *title;
    line_list lines;
    um off; /* below the middle of the box that it comes to */
    bool existing, home_run;
};

struct tree {
    struct set *set;
    const struct circuit *circuit;
    VEC(struct node) nodes;
    VEC(struct edge) edges;
    struct map seen;  /* (0, box or panel) -> its place among the nodes + 1 */
    struct map pairs; /* (from, to) -> not NULL: an edge is drawn that way */
    um wide, high;
};

/* --- what stands in it ------------------------------------------------------------------------ */

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
        say(r->arena, &n.lines, view_of_box(r, e.box)->devices[i]);
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
    e.title = arena_printf(r->arena, "%s%s%s", v->cable ? v->cable : "cable not known",
                           run->existing     ? ", existing"
                           : v->route->known ? "  "
                                             : "",
                           !run->existing && v->route->known && v->cut ? v->cut : "");
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

/* What a cable's words take above it and below it. */
static um words_above(void)
{
    return TICK + CAPS_WORDS * 3 / 2 + MM;
}

static um words_below(const struct edge *e)
{
    return TICK + (um)e->lines.n * ROW + MM;
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
        high[t->edges.at[i].to] += words_above() + words_below(&t->edges.at[i]);
        below[t->edges.at[i].to] = words_below(&t->edges.at[i]);
        count[t->edges.at[i].to]++;
    }
    for (uint32_t i = 0; i < t->edges.n; i++) {
        struct edge *e = &t->edges.at[i];
        if (count[e->to] < 2)
            continue;
        e->off = used[e->to] + words_above() - high[e->to] / 2;
        used[e->to] += words_above() + words_below(e);
    }
    for (uint32_t i = 0; i < t->nodes.n; i++) {
        struct node *n = &t->nodes.at[i];
        n->high = count[i] > 1 && high[i] > n->high ? high[i] : n->high;
        n->room = count[i] == 1 && 2 * below[i] > n->high ? 2 * below[i] : n->high;
    }
}

static struct tree tree_of(struct set *set, const struct circuit *c)
{
    struct tree t = {.set = set, .circuit = c};
    if (c->panel)
        add_breaker(&t);
    if (c->panel && c->root)
        add_upstream(&t);
    for (uint32_t i = 0; i < c->runs.n; i++)
        add_run(&t, c->runs.at[i]);
    for (uint32_t i = 0; i < t.nodes.n; i++)
        t.nodes.at[i].high = 2 * PAD + CAPS_WORDS + MM + (um)t.nodes.at[i].lines.n * ROW;
    spread_edges(&t);
    return t;
}

/* --- where it stands -------------------------------------------------------------------------- */

static void put_inches(struct buf *out, um length)
{
    buf_printf(out, "%lld.%03lld", (long long)(length / PAPER_INCH),
               (long long)(length % PAPER_INCH * PLACES / PAPER_INCH));
}

static void write_dot(const struct tree *t, struct buf *dot)
{
    buf_puts(dot, "digraph g { rankdir=LR; nodesep=");
    put_inches(dot, APART);
    buf_puts(dot, "; ranksep=");
    put_inches(dot, BETWEEN);
    buf_puts(dot, "; node [shape=box, fixedsize=true];\n");
    for (uint32_t i = 0; i < t->nodes.n; i++) {
        buf_printf(dot, "n%u [width=", i);
        put_inches(dot, WIDE);
        buf_puts(dot, ", height=");
        put_inches(dot, t->nodes.at[i].room);
        buf_puts(dot, "];\n");
    }
    for (uint32_t i = 0; i < t->edges.n; i++)
        buf_printf(dot, "n%u -> n%u;\n", t->edges.at[i].from, t->edges.at[i].to);
    buf_puts(dot, "}\n");
}

/* A decimal of inches, read without the locale. */
static um read_inches(const char **at)
{
    um sign = 1, whole = 0, part = 0, scale = 1;
    while (**at == ' ')
        ++*at;
    if (**at == '-') {
        sign = -1;
        ++*at;
    }
    for (; **at >= '0' && **at <= '9'; ++*at)
        whole = whole * 10 + (**at - '0');
    if (**at == '.')
        for (++*at; **at >= '0' && **at <= '9'; ++*at)
            if (scale < PLACES * PLACES) {
                part = part * 10 + (**at - '0');
                scale *= 10;
            }
    return sign * (whole * PAPER_INCH + part * PAPER_INCH / scale);
}

/* "graph SCALE WIDTH HEIGHT", then a line a node, "node NAME X Y ...", y from below. */
static void read_places(struct tree *t, const char *plain)
{
    for (const char *line = plain; line && *line; line = strchr(line, '\n')) {
        line += *line == '\n';
        const char *at = line + 6;
        if (!strncmp(line, "graph ", 6)) {
            read_inches(&at);
            t->wide = read_inches(&at);
            t->high = read_inches(&at);
        } else if (!strncmp(line, "node n", 6)) {
            char *end;
            unsigned long i = strtoul(at, &end, 10);
            at = end;
            if (i >= t->nodes.n)
                continue;
            t->nodes.at[i].x = read_inches(&at);
            t->nodes.at[i].y = t->high - read_inches(&at);
            t->nodes.at[i].placed = true;
        }
    }
}

/* Where Graphviz is not there, boxes stand one below the other. */
static void place_below(struct tree *t)
{
    um y = 0;
    for (uint32_t i = 0; i < t->nodes.n; i++) {
        struct node *n = &t->nodes.at[i];
        n->x = i ? WIDE + BETWEEN + WIDE / 2 : WIDE / 2;
        n->y = i ? y + n->high / 2 : n->high / 2;
        y += i ? n->high + APART + 4 * ROW : 0;
        t->high = n->y + n->high / 2;
    }
    t->wide = 2 * WIDE + BETWEEN;
}

/* All by one process: what dot says of a graph ends with a line "stop". */
static void place(struct arena *arena, struct tree *trees, uint32_t count)
{
    static const struct program_limits limits = {.seconds = 300, .bytes = (size_t)256 << 20};
    static const char stop[] = "\nstop\n";
    struct buf dot = {0}, plain = {0};
    for (uint32_t i = 0; i < count; i++)
        write_dot(&trees[i], &dot);
    bool done = count && !dot_picture(arena, &dot, "plain", limits, &plain);
    char *from = done ? arena_copy(arena, buf_text(&plain), plain.n) : NULL;
    for (uint32_t i = 0; i < count; i++) {
        char *end = from ? strstr(from, stop) : NULL;
        if (end)
            *end = 0;
        if (from)
            read_places(&trees[i], from);
        else
            place_below(&trees[i]);
        from = end ? end + strlen(stop) : NULL;
    }
    buf_free(&dot);
    buf_free(&plain);
}

/* --- what is drawn ---------------------------------------------------------------------------- */

static void draw_node(struct page *p, const struct node *n, um left, um top)
{
    struct sheet *s = p->s;
    um x = left + n->x, y = top + n->y;
    struct area a = {x - WIDE / 2, y - n->high / 2, x + WIDE / 2, y + n->high - n->high / 2};
    struct lettering bold = {.caps = CAPS_WORDS, .bold = true}, note = {.caps = CAPS_NOTE};
    bool old = n->breaker ? n->breaker->existing : n->end.box && n->end.box->existing,
         overhead = n->end.box && n->end.box->place.where == OVERHEAD;
    const char *subject = n->end.box ? view_of_box(p->set->r, n->end.box)->address : NULL;
    paper_begin(s, ROLE_BOX, subject, n->name);
    paper_rect(s, a, overhead ? 2 * MM : 0,
               (struct pen){BLACK, WHITE, old || n->again ? LINE_THIN : LINE_NEW,
                            old        ? DASH_EXISTING
                            : n->again ? DASH_BEHIND
                                       : DASH_NONE});
    if (n->breaker)
        paper_rect(s, area_grown(a, -MM * 3 / 4), 0,
                   (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
    paper_text(s, a.left + PAD, a.top + PAD + CAPS_WORDS, bold,
               paper_cut(s, bold, WIDE - 2 * PAD, n->name));
    for (uint32_t i = 0; i < n->lines.n; i++)
        paper_text(s, a.left + PAD, a.top + PAD + CAPS_WORDS + MM + (um)(i + 1) * ROW - ROW / 3,
                   note, paper_cut(s, note, WIDE - 2 * PAD, n->lines.at[i]));
    if (subject)
        paper_link(s, a, arena_printf(p->set->r->arena, "#%s", subject));
    paper_end(s);
}

/* A tick for each insulated conductor, as home runs have them. */
static void draw_ticks(struct sheet *s, um x, um y, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++, x += 3 * MM / 2)
        paper_line(s, x - MM / 2, y + TICK, x + MM / 2, y - TICK,
                   (struct pen){BLACK, NO_INK, LINE_EDGE, DASH_NONE});
}

static void draw_arrow(struct sheet *s, um x, um y)
{
    struct spot head[] = {{x, y}, {x + 4 * MM, y - 3 * MM / 2}, {x + 4 * MM, y + 3 * MM / 2}};
    paper_path(s, head, 3, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
}

/* From the right side of a box to the left side of the next, its words above and below the last
 * part of the way. */
static void draw_edge(struct page *p, const struct tree *t, const struct edge *e, um left, um top)
{
    const struct node *from = &t->nodes.at[e->from], *to = &t->nodes.at[e->to];
    struct sheet *s = p->s;
    um right = left + from->x + WIDE / 2, x = left + to->x - WIDE / 2, turn = x - BETWEEN + 6 * MM,
       y = top + to->y + e->off, start = top + from->y;
    struct spot way[] = {{right, start}, {turn, start}, {turn, y}, {x, y}};
    struct lettering bold = {.caps = CAPS_WORDS, .bold = true, .halo = 600},
                     note = {.caps = CAPS_NOTE, .halo = 600};
    paper_begin(s, ROLE_CABLE, NULL, e->run ? view_of_run(p->set->r, e->run)->address : NULL);
    paper_path(s, way, 4, false,
               (struct pen){BLACK, NO_INK, LINE_NEW, e->existing ? DASH_EXISTING : DASH_NONE});
    if (e->home_run)
        draw_arrow(s, right, start);
    draw_ticks(s, x - 5 * MM, y, e->lines.n && e->run ? e->lines.n : 0);
    paper_end(s);
    paper_begin(s, ROLE_LABEL, NULL, NULL);
    paper_text(s, turn + 2 * MM, y - TICK - CAPS_WORDS / 2, bold,
               paper_cut(s, bold, BETWEEN - 8 * MM, e->title));
    for (uint32_t i = 0; i < e->lines.n; i++)
        paper_text(s, turn + 2 * MM, y + TICK / 2 + (um)(i + 1) * ROW, note,
                   paper_cut(s, note, BETWEEN - 8 * MM, e->lines.at[i]));
    paper_end(s);
    page_key_line(p, e->existing ? DASH_EXISTING : DASH_NONE, LINE_NEW,
                  e->existing ? "cable, existing" : "cable; a tick a conductor");
}

/* On the sheet of its kind where it fits, else on one that is as much larger as it must be. */
static struct page *page_for(const struct tree *t, const char *title, const char *under)
{
    struct area size, room = page_room(t->set, &size);
    um wide = t->wide - (room.right - room.left), high = t->high - (room.bottom - room.top);
    if (wide <= 0 && high <= 0)
        return page_begin(t->set, title, under);
    return page_begin_on(t->set, size.right + (wide > 0 ? wide : 0),
                         size.bottom + (high > 0 ? high : 0), title, under);
}

static void draw_circuit(struct set *set, const struct tree *t)
{
    struct arena *arena = set->r->arena;
    const struct circuit *c = t->circuit;
    const char *title = c->title ? c->title : c->feeds ? c->feeds->title : NULL;
    struct page *p =
        page_for(t,
                 arena_printf(arena, "%s%s%s", words_circuit(set->r, c), title ? " \xc2\xb7 " : "",
                              title ? title : ""),
                 "from the breaker to the last box: cable, length to cut, what each conductor is; "
                 "grounds are not drawn");
    um left = p->inside.left + (p->inside.right - p->inside.left - t->wide) / 2,
       top = p->inside.top + (p->inside.bottom - p->inside.top - t->high) / 2;
    paper_anchor(p->s, p->inside.left, p->inside.top,
                 arena_printf(arena, "circuit %s", address_of_circuit(arena, c, false)));
    for (uint32_t i = 0; i < t->edges.n; i++)
        draw_edge(p, t, &t->edges.at[i], left, top);
    for (uint32_t i = 0; i < t->nodes.n; i++)
        draw_node(p, &t->nodes.at[i], left, top);
    page_task(p, "Handle %s off before work",
              words_handle(set->r, c) ? words_handle(set->r, c) : "________");
    page_end(p);
}

void sheets_circuits(struct set *set)
{
    const struct model *m = set->r->model;
    struct tree *trees = arena_array(set->r->arena, struct tree, m->circuits.n + 1);
    uint32_t count = 0;
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        if (!facts_is_built(c->unit) || (set->r->only_circuit && set->r->only_circuit != c))
            continue;
        trees[count] = tree_of(set, c);
        count += trees[count].nodes.n > 0;
    }
    place(set->r->arena, trees, count);
    for (uint32_t i = 0; i < count; i++)
        draw_circuit(set, &trees[i]);
}

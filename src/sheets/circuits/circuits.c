/* The circuits, each on sheets of its own: from its breaker to its last box, each cable with its
 * kind, its length and what its conductors are. */
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "facts/facts.h"
#include "model/address.h"
#include "sheets/circuits/tree.h"

/* The two circles of a figure: where a strip is cut, and where it goes on. */
struct circles {
    struct page *pages[2];
    struct spot at[2]; /* where the words beside them begin */
};

struct drawing {
    const struct tree *t;
    struct page *page;
    um left;                 /* of the first column */
    struct circles *circles; /* by figure */
};

static um column_x(const struct drawing *d, uint32_t column)
{
    return d->left + (um)column * (TREE_WIDE + TREE_BETWEEN);
}

/* --- boxes ------------------------------------------------------------------------------------ */

static struct area area_of(const struct drawing *d, const struct node *n, uint32_t column, um high)
{
    um x = column_x(d, column);
    return (struct area){x, n->y - high / 2, x + TREE_WIDE, n->y + high - high / 2};
}

static struct pen pen_of(const struct node *n, bool again)
{
    bool old = n->breaker ? n->breaker->existing : n->end.box && n->end.box->existing;
    return (struct pen){BLACK, WHITE, old || again ? LINE_THIN : LINE_NEW,
                        again ? DASH_BEHIND
                        : old ? DASH_EXISTING
                              : DASH_NONE};
}

/* `again`: it stands at the end of another strip with all its lines. */
static void draw_node(const struct drawing *d, const struct node *n, struct area a, bool again)
{
    const struct results *r = d->t->set->r;
    struct sheet *s = d->page->s;
    struct lettering bold = {.caps = CAPS_WORDS, .bold = true}, note = {.caps = CAPS_NOTE};
    bool overhead = n->end.box && n->end.box->place.where == OVERHEAD;
    const char *subject = n->end.box ? view_of_box(r, n->end.box)->address : NULL;
    paper_begin(s, ROLE_BOX, subject, n->name);
    paper_rect(s, a, overhead ? 2 * MM : 0, pen_of(n, again || n->again));
    if (n->breaker && !again)
        paper_rect(s, area_grown(a, -MM * 3 / 4), 0,
                   (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
    paper_text(s, a.left + TREE_PAD, a.top + TREE_PAD + CAPS_WORDS, bold,
               paper_cut(s, bold, TREE_WIDE - 2 * TREE_PAD, n->name));
    for (uint32_t i = 0; i < n->lines.n && !again; i++)
        paper_text(s, a.left + TREE_PAD,
                   a.top + TREE_PAD + CAPS_WORDS + MM + (um)(i + 1) * TREE_ROW - TREE_ROW / 3, note,
                   paper_cut(s, note, TREE_WIDE - 2 * TREE_PAD, n->lines.at[i]));
    if (subject)
        paper_link(s, a, arena_printf(r->arena, "#%s", subject));
    paper_end(s);
}

/* --- cables ----------------------------------------------------------------------------------- */

/* A tick for each insulated conductor, as home runs have them. */
static void draw_ticks(struct sheet *s, um x, um y, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++, x += 3 * MM / 2)
        paper_line(s, x - MM / 2, y + TREE_TICK, x + MM / 2, y - TREE_TICK,
                   (struct pen){BLACK, NO_INK, LINE_EDGE, DASH_NONE});
}

static void draw_arrow(struct sheet *s, um x, um y)
{
    struct spot head[] = {{x, y}, {x + 4 * MM, y - 3 * MM / 2}, {x + 4 * MM, y + 3 * MM / 2}};
    paper_path(s, head, 3, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
}

/* The cable and its length above its line; a long name stands in small letters over its length,
 * which is never cut. */
static void write_cable(struct sheet *s, const struct edge *e, um x, um y)
{
    struct lettering bold = {.caps = CAPS_WORDS, .bold = true, .halo = 600};
    const char *words =
        e->length ? arena_printf(s->paper->arena, "%s  %s", e->title, e->length) : e->title;
    um room = TREE_BETWEEN - 8 * MM;
    if (e->length && paper_text_width(s, bold, words) > room) {
        bold.caps = CAPS_NOTE;
        paper_text(s, x, y - TREE_ROW, bold, paper_cut(s, bold, room, e->title));
        words = e->length;
    }
    paper_text(s, x, y, bold, paper_cut(s, bold, room, words));
}

static void write_edge(struct sheet *s, const struct edge *e, um x, um y)
{
    struct lettering note = {.caps = CAPS_NOTE, .halo = 600};
    paper_begin(s, ROLE_LABEL, NULL, NULL);
    write_cable(s, e, x, y - TREE_TICK - CAPS_WORDS / 2);
    for (uint32_t i = 0; i < e->lines.n; i++)
        paper_text(s, x, y + TREE_TICK - MM / 2 + (um)(i + 1) * TREE_ROW, note,
                   paper_cut(s, note, TREE_BETWEEN - 8 * MM, e->lines.at[i]));
    paper_end(s);
}

/* From the right side of a box to the left side of the next, its words above and below the last
 * part of the way. */
static void draw_edge(const struct drawing *d, const struct edge *e, uint32_t column)
{
    um x = column_x(d, column), turn = x - TREE_BETWEEN + 6 * MM, right = x - TREE_BETWEEN,
       start = d->t->nodes.at[e->from].y, y = d->t->nodes.at[e->to].y + e->off;
    struct sheet *s = d->page->s;
    struct spot way[] = {{right, start}, {turn, start}, {turn, y}, {x, y}};
    paper_begin(s, ROLE_CABLE, NULL, e->run ? view_of_run(d->t->set->r, e->run)->address : NULL);
    paper_path(s, way, 4, false,
               (struct pen){BLACK, NO_INK, LINE_NEW, e->existing ? DASH_EXISTING : DASH_NONE});
    if (e->home_run)
        draw_arrow(s, right, start);
    draw_ticks(s, x - 5 * MM, y, e->run ? e->lines.n : 0);
    paper_end(s);
    write_edge(s, e, turn + 2 * MM, y);
    page_key_line(d->page, e->existing ? DASH_EXISTING : DASH_NONE, LINE_NEW,
                  e->existing ? "cable, existing" : "cable; a tick a conductor");
}

/* --- where a strip is cut --------------------------------------------------------------------- */

/* A circle with its figure, joined by a line to its box. */
static void draw_circle(const struct drawing *d, struct spot from, struct spot at, uint32_t figure,
                        bool goes_on)
{
    struct sheet *s = d->page->s;
    struct lettering l = {.caps = CAPS_NOTE, .bold = true, .anchor = AT_MIDDLE};
    struct circles *c = &d->circles[figure - 1];
    um dx = at.x > from.x ? -TREE_ROUND : 0, dy = at.y > from.y   ? -TREE_ROUND
                                                  : at.y < from.y ? TREE_ROUND
                                                                  : 0;
    paper_begin(s, ROLE_BOX, NULL, NULL);
    paper_line(s, from.x, from.y, at.x + dx, at.y + dy,
               (struct pen){BLACK, NO_INK, LINE_NEW, DASH_NONE});
    paper_circle(s, at.x, at.y, TREE_ROUND, (struct pen){BLACK, WHITE, LINE_THIN, DASH_NONE});
    paper_text(s, at.x, at.y + CAPS_NOTE / 2, l, arena_printf(d->t->set->r->arena, "%u", figure));
    paper_end(s);
    c->pages[goes_on] = d->page;
    c->at[goes_on] = dx ? (struct spot){from.x + MM, at.y + TREE_ROUND + CAPS_NOTE + MM}
                        : (struct spot){at.x + TREE_ROUND + MM, at.y + CAPS_NOTE / 2};
    page_key(d->page, (struct key){.pen = {BLACK, NO_INK, LINE_THIN, DASH_BEHIND},
                                   .words = "the same box once more"});
}

/* On another sheet: on which. */
static void write_sheets(const struct drawing *d)
{
    struct arena *arena = d->t->set->r->arena;
    for (uint32_t i = 0; i < d->t->cuts; i++)
        for (int k = 0; k < 2 && d->circles[i].pages[0] != d->circles[i].pages[1]; k++) {
            struct sheet *s = d->circles[i].pages[k]->s;
            paper_begin(s, ROLE_NOTE, NULL, NULL);
            paper_text(s, d->circles[i].at[k].x, d->circles[i].at[k].y,
                       (struct lettering){.caps = CAPS_NOTE},
                       arena_printf(arena, "sheet %s", d->circles[i].pages[!k]->s->number));
            paper_end(s);
        }
}

/* --- strips ----------------------------------------------------------------------------------- */

static void draw_nodes(const struct drawing *d, uint32_t first, uint32_t count, uint32_t column,
                       um top, um high);

/* A node and what is behind it, in the middle of that height. */
static void draw_behind(const struct drawing *d, uint32_t node, uint32_t column, um top, um high)
{
    const struct tree *t = d->t;
    struct node *n = &t->nodes.at[node];
    n->y = top + high / 2;
    if (n->count && tree_goes_on(t, n, column))
        draw_nodes(d, n->first, n->count, column + 1, top, high);
    for (uint32_t e = n->way; e; e = t->edges.at[e - 1].next)
        draw_edge(d, &t->edges.at[e - 1], column);
    struct area a = area_of(d, n, column, n->high);
    draw_node(d, n, a, false);
    if (n->cut)
        draw_circle(d, (struct spot){a.right, n->y},
                    (struct spot){a.right + TREE_CUT + TREE_ROUND, n->y}, n->cut, false);
}

/* Nodes of a column, one below the other. */
static void draw_nodes(const struct drawing *d, uint32_t first, uint32_t count, uint32_t column,
                       um top, um high)
{
    const struct tree *t = d->t;
    um all = ((um)count - 1) * TREE_APART;
    for (uint32_t i = 0; i < count; i++)
        all += tree_reach(t, t->behind[first + i], column);
    top += (high - all) / 2;
    for (uint32_t i = 0; i < count; i++) {
        um more = tree_reach(t, t->behind[first + i], column);
        draw_behind(d, t->behind[first + i], column, top, more);
        top += more + TREE_APART;
    }
}

static void draw_strip(const struct drawing *d, const struct strip *s, um top)
{
    struct node *root = &d->t->nodes.at[s->root];
    root->y = top + s->high / 2;
    struct area a = area_of(d, root, 0, s->from ? 2 * TREE_PAD + CAPS_WORDS : root->high);
    um x = a.left + TREE_ROUND;
    if (s->count)
        draw_nodes(d, root->first + s->first, s->count, 1, top, s->high);
    draw_node(d, root, a, s->from != 0);
    if (s->from)
        draw_circle(d, (struct spot){x, a.top}, (struct spot){x, a.top - MM - TREE_ROUND}, s->from,
                    true);
    if (s->on)
        draw_circle(d, (struct spot){x, a.bottom}, (struct spot){x, a.bottom + MM + TREE_ROUND},
                    s->on, false);
}

/* --- sheets ----------------------------------------------------------------------------------- */

/* The strips from `first` on that stand on one sheet, and what height they take. */
static uint32_t strips_on_sheet(const struct tree *t, uint32_t first, um *high)
{
    uint32_t i = first;
    for (*high = 0; i < t->strips.n; i++) {
        um more = t->strips.at[i].high + (i > first ? TREE_STRIPS : 0);
        if (i > first && *high + more > t->high)
            break;
        *high += more;
    }
    return i - first;
}

static uint32_t count_sheets(const struct tree *t)
{
    uint32_t sheets = 0;
    um high;
    for (uint32_t i = 0; i < t->strips.n; i += strips_on_sheet(t, i, &high))
        sheets++;
    return sheets;
}

static const char *title_of(const struct tree *t, uint32_t sheet, uint32_t of)
{
    struct arena *arena = t->set->r->arena;
    const struct circuit *c = t->circuit;
    const char *own = c->title   ? c->title
                      : c->feeds ? c->feeds->title
                                 : NULL,
               *title = arena_printf(arena, "%s%s%s", words_circuit(t->set->r, c),
                                     own ? " \xc2\xb7 " : "", own ? own : "");
    return of > 1 ? arena_printf(arena, "%s, part %u of %u", title, sheet, of) : title;
}

/* On the paper of its kind; higher where one box alone is. */
static struct page *begin_page(const struct tree *t, const char *title, um high)
{
    static const char under[] = "from the breaker to the last box: cable, length to cut, what each "
                                "conductor is; grounds are not drawn";
    struct area size;
    page_room(t->set, &size);
    return high <= t->high
               ? page_begin(t->set, title, under)
               : page_begin_on(t->set, size.right, size.bottom + high - t->high, title, under);
}

/* How many columns the strips take. */
static uint32_t columns_of(const struct tree *t, uint32_t node, uint32_t column)
{
    const struct node *n = &t->nodes.at[node];
    uint32_t most = column + 1;
    for (uint32_t i = 0; i < n->count && tree_goes_on(t, n, column); i++) {
        uint32_t more = columns_of(t, t->behind[n->first + i], column + 1);
        most = more > most ? more : most;
    }
    return most;
}

/* What does not hang together with the breaker may be wider than what does. */
static um width_of(const struct tree *t)
{
    uint32_t columns = t->cuts ? t->columns : 0;
    for (uint32_t i = 0; i < t->strips.n && !t->cuts; i++) {
        uint32_t of_strip = columns_of(t, t->strips.at[i].root, 0);
        columns = of_strip > columns ? of_strip : columns;
    }
    return (um)columns * TREE_WIDE + (um)(columns - 1) * TREE_BETWEEN +
           (t->cuts ? TREE_CUT + 2 * TREE_ROUND : 0);
}

static void draw_circuit(const struct tree *t)
{
    const struct results *r = t->set->r;
    const struct circuit *c = t->circuit;
    struct drawing d = {.t = t, .circles = arena_array(r->arena, struct circles, t->cuts + 1)};
    uint32_t sheets = count_sheets(t), count;
    um high;
    for (uint32_t i = 0, sheet = 1; i < t->strips.n; i += count, sheet++) {
        count = strips_on_sheet(t, i, &high);
        struct page *p = d.page = begin_page(t, title_of(t, sheet, sheets), high);
        um top = p->inside.top + (sheets == 1 ? (p->inside.bottom - p->inside.top - high) / 2 : 0);
        d.left = p->inside.left + (p->inside.right - p->inside.left - width_of(t)) / 2;
        if (sheet == 1)
            paper_anchor(
                p->s, p->inside.left, p->inside.top,
                arena_printf(r->arena, "circuit %s", address_of_circuit(r->arena, c, false)));
        for (uint32_t k = i; k < i + count; k++) {
            draw_strip(&d, &t->strips.at[k], top);
            top += t->strips.at[k].high + TREE_STRIPS;
        }
        page_task(p, "Handle %s off before work",
                  words_handle(r, c) ? words_handle(r, c) : "________");
        page_end(p);
    }
    write_sheets(&d);
}

void sheets_circuits(struct set *set)
{
    const struct model *m = set->r->model;
    struct area room = page_room(set, NULL);
    um wide = room.right - room.left - TREE_CUT - 2 * TREE_ROUND - 4 * MM + TREE_BETWEEN;
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        if (!facts_is_built(c->unit) || (set->r->only_circuit && set->r->only_circuit != c))
            continue;
        struct tree t = tree_of(set, c);
        tree_part(&t, (uint32_t)(wide / (TREE_WIDE + TREE_BETWEEN)), room.bottom - room.top);
        if (t.nodes.n)
            draw_circuit(&t);
    }
}

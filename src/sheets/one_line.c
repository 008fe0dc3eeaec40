/* The one-line diagram: the service, the panels and the feeders between them. What others build, or
 * the plan does not say, is left to be filled in. */
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "model/address.h"
#include "sheets/sheets.h"

#include <stdlib.h>
#include <string.h>

enum {
    WIDE = 74000, /* a panel with the air beside it */
    BOX = 66000,
    HIGH = 31000,
    FEEDER = 24000, /* between two rows of panels: room for what is said of the feeder */
    SERVICE = 21000,
    GOES_ON = 8000, /* below the last row: what is fed from there and drawn on other sheets */
    ROW = 3800,
    PAD = 2000
};

static const struct pen new_pen = {BLACK, WHITE, LINE_NEW, DASH_NONE},
                        old_pen = {BLACK, WHITE, LINE_THIN, DASH_EXISTING};

/* A panel in the tree of feeders. */
struct node {
    const struct panel *panel;
    struct node *first, *next; /* what it feeds, and its neighbour */
    uint32_t leaves;           /* columns that it and what it feeds take */
    struct page *above; /* the sheet of what feeds it, where it is drawn on another; or NULL */
};

struct one_line {
    struct set *set;
    struct page *page;
    struct node *of_panel;    /* by panel id */
    uint32_t columns, rows;   /* of a page */
    VEC(struct node *) later; /* what is drawn on a sheet of its own, after what feeds it */
};

static bool is_drawn(const struct panel *p)
{
    return facts_is_built(p->unit);
}

/* Depth first, without the stack: every panel is fed once, by one that is met before it or after;
 * a ring of feeders is a finding and none of its panels is a root. */
static void join(struct one_line *o)
{
    const struct model *m = o->set->r->model;
    o->of_panel = arena_array(o->set->r->arena, struct node, (size_t)m->panels.n + 1);
    for (uint32_t i = m->panels.n; i-- > 0;) {
        const struct panel *p = m->panels.at[i];
        struct node *n = &o->of_panel[p->id];
        n->panel = p;
        if (!is_drawn(p) || !p->feeder || !p->feeder->panel)
            continue;
        struct node *above = &o->of_panel[p->feeder->panel->id];
        n->next = above->first;
        above->first = n;
    }
}

/* Columns of a tree down to the last row of a page. */
static void measure(struct node *n, uint32_t rows)
{
    n->leaves = 0;
    for (struct node *c = n->first; c && rows > 1; c = c->next) {
        measure(c, rows - 1);
        n->leaves += c->leaves;
    }
    n->leaves = n->leaves ? n->leaves : 1;
}

static void lines(struct page *p, um x, um y, const char *const *text, uint32_t count)
{
    struct lettering l = {.caps = CAPS_WORDS};
    for (uint32_t i = 0; i < count; i++) {
        if (!text[i])
            continue;
        paper_text(p->s, x, y, l, paper_cut(p->s, l, BOX - 2 * PAD, text[i]));
        y += ROW;
    }
}

static void draw_panel(struct one_line *o, const struct panel *panel, um x, um y)
{
    struct page *p = o->page;
    struct arena *arena = o->set->r->arena;
    const char *address = address_of_panel(arena, panel, false);
    struct area a = {x - BOX / 2, y, x + BOX / 2, y + HIGH};
    struct lettering name = {.caps = CAPS_NAME, .bold = true};
    uint32_t circuits = 0;
    for (uint32_t i = 0; i < panel->circuits.n; i++)
        circuits += !panel->circuits.at[i]->feeds;
    const char *text[] = {
        arena_printf(arena, "%s%s", panel->main > 0 ? "main " : "main lugs",
                     panel->main > 0 ? arena_printf(arena, "%g A", panel->main) : ""),
        panel->bus > 0 ? arena_printf(arena, "bus %g A", panel->bus) : NULL,
        arena_printf(arena, "%u spaces, %u circuit%s", panel->spaces, circuits,
                     circuits == 1 ? "" : "s"),
        "fault current _______ A",
        "interrupting rating _______ A",
    };
    paper_begin(p->s, ROLE_BOX, arena_printf(arena, "panel %s", address), address);
    paper_rect(p->s, a, 0, panel->existing ? old_pen : new_pen);
    paper_end(p->s);
    paper_text(p->s, a.left + PAD, a.top + PAD + CAPS_NAME, name,
               paper_cut(p->s, name, BOX - 2 * PAD,
                         arena_printf(arena, "%s%s%s%s", address, panel->title ? "  " : "",
                                      panel->title ? panel->title : "",
                                      panel->existing ? ", existing" : "")));
    lines(p, a.left + PAD, a.top + PAD + CAPS_NAME + ROW + MM / 2, text, 5);
}

static const struct run *run_of_feeder(const struct circuit *c)
{
    return c->runs.n ? c->runs.at[0] : NULL;
}

/* What is said of the feeder of a panel, in three lines at most. */
static void say_feeder(struct one_line *o, const struct panel *panel, um x, um y)
{
    const struct results *r = o->set->r;
    const struct circuit *c = panel->feeder;
    const struct run *run = run_of_feeder(c);
    const struct run_view *view = run ? view_of_run(r, run) : NULL;
    const char *breaker = words_breaker(r->arena, c), *handle = words_handle(r, c);
    const char *text[] = {
        arena_printf(r->arena, "%s%s%s", handle ? handle : "", handle && breaker ? "  " : "",
                     breaker ? breaker : ""),
        view && view->cable ? arena_printf(r->arena, "%s%s%s", view->cable,
                                           view->route && view->route->known ? ", " : "",
                                           view->route && view->route->known
                                               ? sheets_distance(o->set, view->route->electrical)
                                               : "")
                            : "cable not said",
        r->loads->of_circuit[c->id].amps > 0
            ? arena_printf(r->arena, "connected %.1f A", r->loads->of_circuit[c->id].amps)
            : NULL};
    lines(o->page, x, y, text, 3);
}

static void draw_feeder_way(struct one_line *o, const struct panel *panel, const struct spot *way,
                            uint32_t count)
{
    struct page *p = o->page;
    bool existing = panel->feeder->existing;
    paper_begin(p->s, ROLE_CABLE, NULL, NULL);
    paper_path(p->s, way, count, false,
               (struct pen){BLACK, NO_INK, LINE_NEW, existing ? DASH_EXISTING : DASH_NONE});
    paper_end(p->s);
    page_key_line(p, existing ? DASH_EXISTING : DASH_NONE, LINE_NEW,
                  existing ? "feeder, existing" : "feeder, new");
}

/* From the foot of the panel that feeds to the head of what is fed. */
static void draw_feeder(struct one_line *o, const struct panel *panel, struct spot from,
                        struct spot to)
{
    um turn = to.y - FEEDER / 2 - 2 * MM;
    struct spot way[] = {from, {from.x, turn}, {to.x, turn}, to};
    draw_feeder_way(o, panel, way, 4);
    say_feeder(o, panel, to.x + 2 * MM, turn + CAPS_WORDS + 2 * MM);
}

/* What a panel feeds that has no room on its sheet: named below it, and drawn later. */
static void leave_for_later(struct one_line *o, const struct node *n, um x, um y)
{
    struct page *p = o->page;
    struct arena *arena = o->set->r->arena;
    struct buf names = {0};
    uint32_t count = 0;
    for (struct node *c = n->first; c; c = c->next, count++) {
        buf_printf(&names, "%s%s", c == n->first ? "" : ", ",
                   address_of_panel(arena, c->panel, false));
        c->above = p;
        *vec_push(arena, &o->later) = c;
    }
    struct spot way[] = {{x, y + HIGH}, {x, y + HIGH + GOES_ON}};
    draw_feeder_way(o, n->first->panel, way, 2);
    const struct lettering l = {.caps = CAPS_NOTE};
    const char *words = arena_printf(arena, "feeds %s: drawn further on", buf_text(&names));
    if (paper_rows(p->s, BOX / 2 - 2 * MM, l, words) >
        2) /* each names this one where it is drawn */
        words = arena_printf(arena, "feeds %u panels: drawn further on", count);
    paper_write_within(p->s, x + 2 * MM, y + HIGH + CAPS_NOTE + MM, BOX / 2 - 2 * MM, 5 * MM / 2, 2,
                       l, words);
    buf_free(&names);
}

static void draw_tree(struct one_line *o, const struct node *n, um left, um y, uint32_t rows)
{
    um x = left + (um)n->leaves * WIDE / 2, at = left;
    draw_panel(o, n->panel, x, y);
    if (rows <= 1 && n->first)
        leave_for_later(o, n, x, y);
    for (const struct node *c = n->first; c && rows > 1; c = c->next) {
        um below = y + HIGH + FEEDER;
        draw_feeder(o, c->panel, (struct spot){x, y + HIGH},
                    (struct spot){at + (um)c->leaves * WIDE / 2, below});
        draw_tree(o, c, at, below, rows - 1);
        at += (um)c->leaves * WIDE;
    }
}

/* The service above a panel that nothing in the plan feeds: work of others. */
static void draw_service(struct one_line *o, const struct node *n, um left, um top)
{
    struct page *p = o->page;
    struct arena *arena = o->set->r->arena;
    const struct model *m = o->set->r->model;
    um x = left + (um)n->leaves * WIDE / 2 - BOX / 2 + 5 * MM, y = top + SERVICE;
    struct lettering l = {.caps = CAPS_WORDS};
    paper_begin(p->s, ROLE_CABLE, NULL, NULL);
    paper_line(p->s, x, top, x, y, (struct pen){BLACK, NO_INK, LINE_NEW, DASH_EXISTING});
    paper_circle(p->s, x, top + 5 * MM, 3 * MM, (struct pen){BLACK, WHITE, LINE_EDGE, DASH_NONE});
    paper_end(p->s);
    paper_text(p->s, x, top + 5 * MM + CAPS_WORDS / 2,
               (struct lettering){.caps = CAPS_WORDS, .anchor = AT_MIDDLE}, "M");
    paper_text(p->s, x + 5 * MM, top + CAPS_WORDS + 2 * MM, l,
               m->service > 0 ? arena_printf(arena, "service %g A, by others", m->service)
                              : "service, by others");
    paper_text(p->s, x + 5 * MM, top + CAPS_WORDS + 2 * MM + ROW, l,
               arena_printf(arena, "%g/%g V, conductors ________", m->volts, m->line_volts));
    paper_text(p->s, x + 5 * MM, top + CAPS_WORDS + 2 * MM + 2 * ROW, l,
               "grounding electrodes, by others: ________");
}

/* Above a panel whose feeder comes from another sheet. */
static void draw_from_above(struct one_line *o, const struct node *n, um left, um top)
{
    um x = left + (um)n->leaves * WIDE / 2, y = top + CAPS_WORDS + MM;
    struct arena *arena = o->set->r->arena;
    const char *panel = address_of_panel(arena, n->panel->feeder->panel, false),
               *from =
                   n->above == o->page
                       ? arena_printf(arena, "from panel %s, on this sheet", panel)
                       : arena_printf(arena, "from panel %s, see %s", panel, n->above->s->number);
    draw_feeder_way(o, n->panel, (struct spot[]){{x, top}, {x, top + SERVICE}}, 2);
    lines(o->page, x + 2 * MM, y, &from, 1);
    say_feeder(o, n->panel, x + 2 * MM, y + ROW);
}

static void begin(struct one_line *o)
{
    o->page = page_begin(o->set, "One-line diagram",
                         "services and grounding by others; what is not filled in is asked of the "
                         "utility and the maker");
    page_task(o->page, "Fault current and interrupting ratings filled in");
    page_task(o->page, "Neutral and ground apart in every panel that is fed");
}

/* Trees side by side while there is room; a tree wider than a page is drawn without what its first
 * panel feeds, which follows with all else that had no room. */
static void draw_from(struct one_line *o, struct node *n, um *at)
{
    bool parted = n->leaves > o->columns;
    uint32_t used = o->page ? (uint32_t)((*at - o->page->inside.left) / WIDE) : o->columns;
    n->leaves = parted ? 1 : n->leaves;
    if (used + n->leaves > o->columns) {
        if (o->page)
            page_end(o->page);
        begin(o);
        *at = o->page->inside.left;
    }
    um top = o->page->inside.top + MM;
    if (n->above)
        draw_from_above(o, n, *at, top);
    else
        draw_service(o, n, *at, top);
    draw_tree(o, n, *at, top + SERVICE, parted ? 1 : o->rows);
    *at += (um)n->leaves * WIDE;
}

void sheets_one_line(struct set *set)
{
    const struct model *m = set->r->model;
    struct one_line o = {.set = set};
    struct area room = page_room(set, NULL);
    um at = 0;
    o.columns = (uint32_t)((room.right - room.left) / WIDE);
    o.rows =
        1 + (uint32_t)((room.bottom - room.top - SERVICE - HIGH - GOES_ON - MM) / (HIGH + FEEDER));
    join(&o);
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        if (is_drawn(p) && !(p->feeder && p->feeder->panel))
            *vec_push(set->r->arena, &o.later) = &o.of_panel[p->id];
    }
    for (uint32_t i = 0; i < o.later.n; i++) {
        measure(o.later.at[i], o.rows);
        draw_from(&o, o.later.at[i], &at);
    }
    if (o.page)
        page_end(o.page);
}

/* Where signs stand: at their boxes where there is room, else pulled off on a stem whose foot stays
 * at the box. Signs of several gangs hang on one bracket. */
#include "base/sort.h"
#include "emit/views.h"
#include "model/address.h"
#include "paper/place.h"
#include "sheets/plans/plan.h"

#include <math.h>
#include <stdlib.h>

enum {
    GAP = 700,      /* between gangs */
    BRACKET = 1300, /* from a bracket to its signs */
    CLEAR = 350,    /* about signs */
    OFF = 1200,     /* from a wall to its signs */
    STEP = 1500,
    FARTHEST = 14, /* steps off a wall; along it both ways */
    CROWDED = 3,   /* so many times as far where it is crowded */
    STEM = 500,    /* what a stem takes */
    PANEL_DEEP = 1800
};

/* How the signs of a mark lie about its middle. */
struct block {
    um wide, high;
    struct plan_heading heading; /* along the gangs, and away from the wall */
    bool on_wall;
};

/* --- what is shown ---------------------------------------------------------------------------- */

static void add_sign(struct plan_view *v, struct plan_mark *m, const struct device *d)
{
    struct plan_sign sign = plan_sign_of(v->r, d);
    const struct box *b = m->box;
    sign.goes = m->goes || (d && d->goes);
    sign.existing = d ? d->existing : b->existing;
    for (uint32_t i = 0; d && d->def->sort == SORT_CONTROL && i < d->part_count; i++) {
        const char *letter =
            d->parts[i].leg ? map_get(&v->leg_letters, 0, (uintptr_t)d->parts[i].leg) : NULL;
        if (letter)
            sign.legs = sign.legs ? arena_printf(v->r->arena, "%s,%s", sign.legs, letter) : letter;
    }
    m->devices[m->count] = d;
    m->signs[m->count++] = sign;
}

static struct plan_mark mark_of_box(struct plan_view *v, const struct box *b, bool goes)
{
    struct arena *arena = v->r->arena;
    size_t most = (size_t)b->device_count + 1;
    struct plan_mark m = {.box = b,
                          .goes = goes,
                          .room = b->room,
                          .place = goes ? &b->place : view_place_of_box(v->r, b),
                          .devices = arena_array(arena, const struct device *, most),
                          .signs = arena_array(arena, struct plan_sign, most),
                          .spots = arena_array(arena, struct spot, most)};
    for (uint32_t i = 0; i < b->device_count; i++)
        if (plan_shows_device(v->subject, b, b->devices[i]))
            add_sign(v, &m, b->devices[i]);
    if (!b->device_count)
        add_sign(v, &m, NULL);
    m.at = (struct spot){plan_x(v, m.place->at.x), plan_y(v, m.place->at.y)};
    return m;
}

static struct plan_heading heading_of(const struct plan_mark *m)
{
    if (m->place->where == ON_WALL && m->place->wall < m->room->wall_count)
        return plan_heading_of(&m->room->walls[m->place->wall]);
    return (struct plan_heading){1, 0, 0, 1};
}

static bool lies_level(struct plan_heading h)
{
    return fabs(h.ux) >= fabs(h.uy);
}

static struct block block_of(const struct plan_view *v, const struct plan_mark *m)
{
    struct block k = {.heading = heading_of(m), .on_wall = m->place->where == ON_WALL};
    bool level = lies_level(k.heading);
    for (uint32_t i = 0; i < m->count; i++) {
        um wide, high;
        plan_sign_size(v->s, &m->signs[i], &wide, &high);
        k.wide = level ? k.wide + wide + (i ? GAP : 0) : wide > k.wide ? wide : k.wide;
        k.high = level ? (high > k.high ? high : k.high) : k.high + high + (i ? GAP : 0);
    }
    if (m->count > 1 && level)
        k.high += BRACKET;
    else if (m->count > 1)
        k.wide += BRACKET;
    return k;
}

/* How far a block reaches along the wall, or off it, from its middle. */
static double reach(const struct block *k, bool along)
{
    double x = along ? k->heading.ux : k->heading.nx, y = along ? k->heading.uy : k->heading.ny;
    return fabs(x) * (double)k->wide / 2 + fabs(y) * (double)k->high / 2;
}

static struct area block_area(const struct block *k, struct spot middle)
{
    return (struct area){middle.x - k->wide / 2, middle.y - k->high / 2, middle.x + k->wide / 2,
                         middle.y + k->high / 2};
}

/* --- looking for a place ---------------------------------------------------------------------- */

/* Where a block may stand, seen from where it would stand best: so many steps along and off. */
struct offer {
    int along, off;
};

typedef VEC(struct offer) offer_list;

static int by_cost(const void *va, const void *vb)
{
    const struct offer *a = va, *b = vb;
    int x = a->along * a->along * 2 + a->off * a->off,
        y = b->along * b->along * 2 + b->off * b->off;
    return x != y ? x - y : a->along != b->along ? a->along - b->along : a->off - b->off;
}

/* The nearest first; those of a ceiling may go either way. */
static offer_list offers(struct arena *arena, bool on_wall, int farthest)
{
    offer_list list = {0};
    for (int along = -farthest; along <= farthest; along++)
        for (int off = on_wall ? 0 : -farthest; off <= farthest; off++)
            *vec_push(arena, &list) = (struct offer){along, off};
    qsort(list.at, list.n, sizeof *list.at, by_cost);
    return list;
}

static bool is_inside(struct area a, struct area of)
{
    return a.left >= of.left && a.right <= of.right && a.top >= of.top && a.bottom <= of.bottom;
}

/* The end of a stem at its block: its middle, or the edge towards the wall. */
static struct spot stem_end(const struct block *k, struct spot middle)
{
    double off = k->on_wall ? reach(k, false) : 0;
    return (struct spot){middle.x - llround(k->heading.nx * off),
                         middle.y - llround(k->heading.ny * off)};
}

/* A little off the wall, so that the wall itself is not met. */
static struct spot stem_start(const struct block *k, struct spot at)
{
    if (!k->on_wall)
        return at;
    return (struct spot){at.x + llround(k->heading.nx * 900), at.y + llround(k->heading.ny * 900)};
}

/* Where a stem leaves its box. */
static struct spot foot_of(const struct block *k, struct spot at)
{
    um off = k->on_wall ? 3 * MM / 2 : 0;
    return (struct spot){at.x + llround(k->heading.nx * (double)off),
                         at.y + llround(k->heading.ny * (double)off)};
}

static bool serves(const struct plan_view *v, const struct plan_mark *m, const struct block *k,
                   struct spot middle, unsigned by, struct area field)
{
    struct area a = area_grown(block_area(k, middle), CLEAR);
    struct spot from = stem_start(k, m->at), to = stem_end(k, middle);
    return is_inside(a, field) && !plan_meets(v->taken, a, by & ~(unsigned)BY_FOOT) &&
           !plan_meets_elsewhere(v->taken, a, by & BY_FOOT, foot_of(k, m->at)) &&
           !plan_line_meets(v->taken, from, to, STEM, by & ~(unsigned)(BY_DOOR | BY_FOOT)) &&
           !plan_line_meets(v->taken, from, middle, STEM, by & BY_WALL);
}

static void put(struct plan_view *v, struct plan_mark *m, const struct block *k, struct spot middle)
{
    bool level = lies_level(k->heading), bracket = m->count > 1;
    double along = level ? (k->heading.ux < 0 ? -1 : 1) : (k->heading.uy < 0 ? -1 : 1),
           at = -(double)(level ? k->wide : k->high) / 2;
    um off = bracket ? BRACKET / 2 : 0;
    m->area = block_area(k, middle);
    for (uint32_t i = 0; i < m->count; i++) {
        um wide, high;
        plan_sign_size(v->s, &m->signs[i], &wide, &high);
        double size = (double)(level ? wide : high), here = (at + size / 2) * along;
        m->spots[i] = level ? (struct spot){middle.x + llround(here),
                                            middle.y + (k->heading.ny < 0 ? -off : off)}
                            : (struct spot){middle.x + (k->heading.nx < 0 ? -off : off),
                                            middle.y + llround(here)};
        at += size + GAP;
    }
    plan_take(v->taken, area_grown(m->area, CLEAR), BY_SIGN);
    plan_take_line(v->taken, stem_start(k, m->at), stem_end(k, middle), STEM, BY_LINE);
}

/* Offers near and far, on walls and on ceilings. */
struct offers {
    offer_list near[2], far[2];
};

/* The first offer that meets nothing; where there is none, first doors are stood in, then stems
 * crossed, then what is farther is tried. */
static void find_place(struct plan_view *v, struct plan_mark *m, const struct offers *offers,
                       um along)
{
    const unsigned all = BY_WALL | BY_SIGN | BY_LINE | BY_FOOT;
    bool on_wall = m->place->where == ON_WALL;
    const struct {
        unsigned shunned;
        const offer_list *list;
        struct area field;
    } tries[] = {{all | BY_DOOR, &offers->near[on_wall], v->tile->field},
                 {all, &offers->near[on_wall], v->tile->field},
                 {all, &offers->far[on_wall], v->tile->field},
                 {all, &offers->far[on_wall], v->field}, /* beyond a match line */
                 {BY_WALL | BY_SIGN, &offers->far[on_wall], v->field},
                 {BY_SIGN, &offers->far[on_wall], v->field}};
    struct block k = block_of(v, m);
    double off = k.on_wall ? OFF + reach(&k, false) : 0;
    struct spot best = {m->at.x + llround(k.heading.ux * (double)along + k.heading.nx * off),
                        m->at.y + llround(k.heading.uy * (double)along + k.heading.ny * off)};
    for (size_t s = 0; s < sizeof tries / sizeof *tries; s++)
        for (uint32_t i = 0; i < tries[s].list->n; i++) {
            double x = tries[s].list->at[i].along * STEP, y = tries[s].list->at[i].off * STEP;
            struct spot at = {best.x + llround(k.heading.ux * x + k.heading.nx * y),
                              best.y + llround(k.heading.uy * x + k.heading.ny * y)};
            if (serves(v, m, &k, at, tries[s].shunned, tries[s].field)) {
                put(v, m, &k, at);
                return;
            }
        }
    put(v, m, &k, best);
}

/* --- all of them ------------------------------------------------------------------------------ */

static void stand_panel(struct plan_view *v, const struct panel *p)
{
    struct plan_mark m = {.panel = p, .place = view_place_of_panel(v->r, p), .room = p->room};
    length wide = code_length(&v->r->model->code, SET_BOX_SPACE_PANEL_WIDTH, FOOT);
    um half = paper_scaled(wide, v->ratio) / 2;
    struct plan_heading h = heading_of(&m);
    m.at = (struct spot){plan_x(v, m.place->at.x), plan_y(v, m.place->at.y)};
    double ex = fabs(h.ux) * (double)half + fabs(h.nx) * PANEL_DEEP / 2,
           ey = fabs(h.uy) * (double)half + fabs(h.ny) * PANEL_DEEP / 2;
    struct spot c = {m.at.x + llround(h.nx * PANEL_DEEP / 2),
                     m.at.y + llround(h.ny * PANEL_DEEP / 2)};
    m.area =
        (struct area){c.x - llround(ex), c.y - llround(ey), c.x + llround(ex), c.y + llround(ey)};
    plan_take(v->taken, area_grown(m.area, CLEAR), BY_SIGN);
    *vec_push(v->r->arena, &v->marks) = m;
}

/* By room and wall, so that signs of one wall are moved along it together. */
static void sort_marks(struct plan_view *v, uint32_t first)
{
    uint32_t n = v->marks.n - first;
    struct sorted *order = arena_array(v->r->arena, struct sorted, (size_t)n + 1);
    struct plan_mark *old = arena_array(v->r->arena, struct plan_mark, (size_t)n + 1);
    for (uint32_t i = 0; i < n; i++) {
        const struct plan_mark *m = &v->marks.at[first + i];
        bool wall = m->place->where == ON_WALL;
        old[i] = *m;
        order[i] = (struct sorted){
            .key = {((uint64_t)m->room->id + 1) * wall, wall ? m->place->wall : 0}, .item = i};
    }
    sort_by_key(v->r->arena, order, n);
    for (uint32_t i = 0; i < n; i++)
        v->marks.at[first + i] = old[order[i].item];
}

/* Those of one wall: how far each is moved along it. */
static void stand_on_wall(struct plan_view *v, const struct offers *offers, uint32_t from,
                          uint32_t to)
{
    const struct plan_mark *first = &v->marks.at[from];
    const struct wall *w = &first->room->walls[first->place->wall];
    struct place_stem *stems = arena_array(v->r->arena, struct place_stem, to - from);
    for (uint32_t i = from; i < to; i++) {
        struct block k = block_of(v, &v->marks.at[i]);
        stems[i - from] =
            (struct place_stem){.at = paper_scaled(v->marks.at[i].place->from_left, v->ratio),
                                .width = llround(2 * reach(&k, true)) + 2 * CLEAR + 100};
    }
    if (!place_stems(v->r->arena, stems, to - from, MM, paper_scaled(w->length, v->ratio) - MM))
        for (uint32_t i = 0; i < to - from; i++)
            stems[i].placed = stems[i].at;
    for (uint32_t i = from; i < to; i++)
        find_place(v, &v->marks.at[i], offers, stems[i - from].placed - stems[i - from].at);
}

void plan_place_marks(struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    struct offers all;
    for (int w = 0; w < 2; w++) {
        all.near[w] = offers(arena, w, FARTHEST);
        all.far[w] = offers(arena, w, CROWDED * FARTHEST);
    }
    for (uint32_t i = 0; i < v->tile->panels.n; i++)
        stand_panel(v, v->tile->panels.at[i]);
    uint32_t first = v->marks.n;
    for (uint32_t i = 0; i < v->tile->boxes.n; i++)
        *vec_push(arena, &v->marks) = mark_of_box(v, v->tile->boxes.at[i], false);
    for (uint32_t i = 0; i < v->tile->gone.n; i++)
        *vec_push(arena, &v->marks) = mark_of_box(v, v->tile->gone.at[i], true);
    sort_marks(v, first);
    for (uint32_t i = first; i < v->marks.n; i++) {
        struct block k = block_of(v, &v->marks.at[i]);
        struct spot foot = foot_of(&k, v->marks.at[i].at);
        plan_take(v->taken, area_grown((struct area){foot.x, foot.y, foot.x, foot.y}, MM / 4),
                  BY_FOOT);
    }
    for (uint32_t i = first, end; i < v->marks.n; i = end) {
        struct plan_mark *m = &v->marks.at[i];
        end = i + 1;
        if (m->place->where != ON_WALL) {
            find_place(v, m, &all, 0);
            continue;
        }
        while (end < v->marks.n && v->marks.at[end].room == m->room &&
               v->marks.at[end].place->wall == m->place->wall)
            end++;
        stand_on_wall(v, &all, i, end);
    }
    for (uint32_t i = first; i < v->marks.n; i++)
        if (!v->marks.at[i].goes)
            map_put(arena, &v->mark_of, 0, (uintptr_t)v->marks.at[i].box,
                    (void *)(uintptr_t)(i + 1));
}

/* --- drawing ---------------------------------------------------------------------------------- */

static const char *address_of(const struct plan_view *v, const struct plan_mark *m)
{
    return m->panel ? address_of_panel(v->r->arena, m->panel, false)
                    : address_of_box(v->r->arena, m->box, false);
}

static void draw_bracket(const struct plan_view *v, const struct plan_mark *m,
                         const struct block *k, struct pen pen)
{
    bool level = lies_level(k->heading);
    struct area a = m->area;
    um tick = BRACKET / 2;
    if (level) {
        um y = k->heading.ny < 0 ? a.bottom : a.top, in = k->heading.ny < 0 ? -tick : tick;
        struct spot line[4] = {{a.left, y + in}, {a.left, y}, {a.right, y}, {a.right, y + in}};
        paper_path(v->s, line, 4, false, pen);
    } else {
        um x = k->heading.nx < 0 ? a.right : a.left, in = k->heading.nx < 0 ? -tick : tick;
        struct spot line[4] = {{x + in, a.top}, {x, a.top}, {x, a.bottom}, {x + in, a.bottom}};
        paper_path(v->s, line, 4, false, pen);
    }
}

static void draw_stem(const struct plan_view *v, const struct plan_mark *m)
{
    struct block k = block_of(v, m);
    struct pen pen = {BLACK, NO_INK, m->goes || m->signs[0].existing ? LINE_THIN : LINE_EDGE,
                      DASH_NONE};
    struct spot middle = {(m->area.left + m->area.right) / 2, (m->area.top + m->area.bottom) / 2},
                end = stem_end(&k, middle);
    bool open = m->count == 1 && m->signs[0].shape != PLAN_SWITCH;
    if (open) /* what is filled covers the end */
        end = m->spots[0];
    if (m->at.x != end.x || m->at.y != end.y)
        paper_line(v->s, m->at.x, m->at.y, end.x, end.y, pen);
    if (!k.on_wall && (m->at.x != middle.x || m->at.y != middle.y))
        paper_circle(v->s, m->at.x, m->at.y, 400, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    if (m->count > 1)
        draw_bracket(v, m, &k, pen);
}

static void draw_panel(const struct plan_view *v, const struct plan_mark *m)
{
    paper_rect(v->s, m->area, 0,
               (struct pen){BLACK, m->panel->existing ? WHITE : BLACK, LINE_EDGE, DASH_NONE});
}

static void key_panel(struct sheet *s, um x, um y, const void *what)
{
    paper_rect(s, (struct area){x - 3500, y - PANEL_DEEP / 2, x + 3500, y + PANEL_DEEP / 2}, 0,
               (struct pen){BLACK, what ? WHITE : BLACK, LINE_EDGE, DASH_NONE});
}

static void add_keys(const struct plan_view *v, const struct plan_mark *m)
{
    if (m->panel)
        page_key(v->page, (struct key){.draw = key_panel,
                                       .what = m->panel->existing ? m->panel : NULL,
                                       .words = m->panel->existing ? "panel, existing" : "panel",
                                       .tall = true});
    for (uint32_t i = 0; i < m->count; i++)
        plan_sign_key(v->page, &m->signs[i]);
}

void plan_draw_marks(struct plan_view *v)
{
    for (uint32_t i = 0; i < v->marks.n; i++) {
        const struct plan_mark *m = &v->marks.at[i];
        const char *address = address_of(v, m);
        paper_begin(v->s, ROLE_SYMBOL, address, address);
        if (m->panel)
            draw_panel(v, m);
        else
            draw_stem(v, m);
        for (uint32_t k = 0; k < m->count; k++)
            plan_sign_draw(v->s, &m->signs[k], m->spots[k].x, m->spots[k].y);
        if (!m->goes)
            paper_link(v->s, area_grown(m->area, MM / 2),
                       arena_printf(v->r->arena, "#%s", address));
        paper_end(v->s);
        add_keys(v, m);
    }
}

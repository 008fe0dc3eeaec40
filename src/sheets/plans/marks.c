/* Where signs stand: at their boxes where there is room, else pulled off on a stem whose foot stays
 * at the box. Signs of several gangs hang on one bracket; of boxes that stand at one place, one
 * over the other, each hangs on the one before it. */
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
    CROWDED = 2,   /* so many times as far where it is crowded */
    GIVEN_UP = 4,  /* signs without a place: then their room is not searched that far again */
    STEM = 500,    /* what a stem takes */
    AT_WALL = 900, /* of a stem: what meets its own wall */
    FOOT_LONG = 3 * 1000 / 2,
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

/* What is known while signs are placed. */
struct placing {
    struct plan_view *v;
    offer_list near[2], far[2]; /* on a ceiling, on a wall */
    struct map stood;           /* (column, row) of a square millimetre -> the mark that stands
                                   there last + 1 */
    uint32_t *given_up;         /* by room: signs without a place */
};

static bool is_inside(struct area a, struct area of)
{
    return a.left >= of.left && a.right <= of.right && a.top >= of.top && a.bottom <= of.bottom;
}

static um cell_of(um at)
{
    return at / MM - (at % MM < 0);
}

/* The mark that stands at a place already, and has a sign: another box there, or a panel. */
static const struct plan_mark *host_at(const struct placing *p, struct spot at)
{
    for (um x = cell_of(at.x) - 1; x <= cell_of(at.x) + 1; x++)
        for (um y = cell_of(at.y) - 1; y <= cell_of(at.y) + 1; y++) {
            uintptr_t i = (uintptr_t)map_get(&p->stood, (uintptr_t)x, (uintptr_t)y);
            if (i)
                return &p->v->marks.at[i - 1];
        }
    return NULL;
}

static void stand_at(struct placing *p, struct area a, uint32_t mark)
{
    for (um x = cell_of(a.left); x <= cell_of(a.right); x++)
        for (um y = cell_of(a.top); y <= cell_of(a.bottom); y++)
            map_put(p->v->r->arena, &p->stood, (uintptr_t)x, (uintptr_t)y,
                    (void *)((uintptr_t)mark + 1));
}

static um clamped(um at, um low, um high)
{
    return at < low ? low : at > high ? high : at;
}

/* A stem from a box, or from the sign that it hangs on, to a sign: `clear` of that sign, `inside`
 * its own wall. */
struct stem {
    struct spot from, clear, inside, to;
};

/* The place on the way from a to b that is so far from a, b at most. */
static struct spot on_way(struct spot a, struct spot b, double far)
{
    double x = (double)(b.x - a.x), y = (double)(b.y - a.y), all = hypot(x, y);
    if (all <= far)
        return b;
    return (struct spot){a.x + llround(x * far / all), a.y + llround(y * far / all)};
}

static struct stem stem_of(const struct plan_mark *m, const struct plan_mark *host,
                           const struct block *k, struct spot middle)
{
    double off = k->on_wall ? reach(k, false) : 0;
    struct stem s = {
        .from = m->at,
        .to = {middle.x - llround(k->heading.nx * off), middle.y - llround(k->heading.ny * off)}};
    if (host) {
        struct area a = host->area;
        s.from = (struct spot){clamped(s.to.x, a.left, a.right), clamped(s.to.y, a.top, a.bottom)};
        s.clear = s.inside = on_way(s.from, s.to, CLEAR + STEM);
        s.from = on_way(s.from, s.to, STEM); /* it does not touch it */
        return s;
    }
    double in = k->heading.nx * (double)(s.to.x - s.from.x) +
                k->heading.ny * (double)(s.to.y - s.from.y),
           all = hypot((double)(s.to.x - s.from.x), (double)(s.to.y - s.from.y));
    s.clear = s.from;
    s.inside = k->on_wall && in > 0 ? on_way(s.from, s.to, AT_WALL * all / in) : s.from;
    return s;
}

/* Where a stem leaves its box. */
static struct spot foot_of(const struct block *k, struct spot at)
{
    um off = k->on_wall ? FOOT_LONG : 0;
    return (struct spot){at.x + llround(k->heading.nx * (double)off),
                         at.y + llround(k->heading.ny * (double)off)};
}

/* Whether a sign may stand there at all: on no other, across no wall, and its stem over nothing. */
static bool may_stand(const struct plan_view *v, const struct plan_mark *m,
                      const struct plan_mark *host, const struct block *k, struct spot middle)
{
    struct area a = area_grown(block_area(k, middle), CLEAR);
    if (!is_inside(a, v->tile->field) || plan_meets(v->taken, a, BY_WALL | BY_SIGN | BY_STEM))
        return false;
    struct stem s = stem_of(m, host, k, middle);
    return !plan_meets_elsewhere(v->taken, a, BY_FOOT, m->at) &&
           !plan_line_meets(v->taken, s.clear, s.to, STEM, BY_SIGN | BY_STEM) &&
           !plan_line_meets(v->taken, s.inside, middle, STEM, BY_WALL) &&
           !plan_line_meets_elsewhere(v->taken, s.clear, s.to, STEM, BY_FOOT, m->at);
}

/* What it would stand on that it had better not: doors count less than lines. Cables over a ceiling
 * lead to the boxes there. */
static unsigned stands_on(const struct plan_view *v, const struct plan_mark *m,
                          const struct plan_mark *host, const struct block *k, struct spot middle)
{
    struct area a = area_grown(block_area(k, middle), CLEAR);
    struct stem s = stem_of(m, host, k, middle);
    unsigned on = plan_meets(v->taken, a, BY_DOOR) ? 1 : 0;
    if (v->subject != PLAN_CEILING && (plan_meets(v->taken, a, BY_LINE) ||
                                       plan_line_meets(v->taken, s.clear, s.to, STEM, BY_LINE)))
        on += 2;
    return on;
}

static void put(struct placing *p, struct plan_mark *m, const struct plan_mark *host,
                const struct block *k, struct spot middle)
{
    struct plan_view *v = p->v;
    bool level = lies_level(k->heading), bracket = m->count > 1;
    double along = level ? (k->heading.ux < 0 ? -1 : 1) : (k->heading.uy < 0 ? -1 : 1),
           at = -(double)(level ? k->wide : k->high) / 2;
    um off = bracket ? BRACKET / 2 : 0;
    struct stem s = stem_of(m, host, k, middle);
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
    m->stem[0] = s.from;
    m->stem[1] = s.to;
    m->hangs = host != NULL;
    plan_take(v->taken, area_grown(m->area, CLEAR), BY_SIGN);
    plan_take_line(v->taken, s.clear, s.to, STEM, BY_STEM);
    stand_at(p, (struct area){m->at.x, m->at.y, m->at.x, m->at.y}, (uint32_t)(m - v->marks.at));
}

/* The best of the offers, that on the least: the first of them, which is the nearest. */
static bool find_place(struct placing *p, struct plan_mark *m, const offer_list *list,
                       const struct block *k, struct spot best)
{
    const struct plan_view *v = p->v;
    const struct plan_mark *host = host_at(p, m->at);
    struct spot found = best;
    unsigned least = UINT32_MAX;
    for (uint32_t i = 0; i < list->n && least; i++) {
        double x = list->at[i].along * STEP, y = list->at[i].off * STEP;
        struct spot at = {best.x + llround(k->heading.ux * x + k->heading.nx * y),
                          best.y + llround(k->heading.uy * x + k->heading.ny * y)};
        if (!may_stand(v, m, host, k, at))
            continue;
        unsigned on = stands_on(v, m, host, k, at);
        if (on < least) {
            least = on;
            found = at;
        }
    }
    if (least == UINT32_MAX)
        return false;
    put(p, m, host, k, found);
    return true;
}

/* Stands a mark, moved along its wall by so much where that serves; one that finds no place has no
 * sign and is told in words. */
static void stand(struct placing *p, struct plan_mark *m, um along)
{
    struct block k = block_of(p->v, m);
    double off = k.on_wall ? OFF + reach(&k, false) : 0;
    struct spot best = {m->at.x + llround(k.heading.ux * (double)along + k.heading.nx * off),
                        m->at.y + llround(k.heading.uy * (double)along + k.heading.ny * off)};
    uint32_t *given_up = &p->given_up[m->room->id];
    if (find_place(p, m, &p->near[k.on_wall], &k, best) ||
        (*given_up < GIVEN_UP && find_place(p, m, &p->far[k.on_wall], &k, best)))
        return;
    ++*given_up;
    m->told = true;
    m->area = (struct area){m->at.x, m->at.y, m->at.x, m->at.y};
}

/* --- all of them ------------------------------------------------------------------------------ */

static void stand_panel(struct placing *all, const struct panel *p)
{
    struct plan_view *v = all->v;
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
    m.told = plan_meets(v->taken, area_grown(m.area, CLEAR), BY_SIGN); /* a panel is there */
    if (!m.told) {
        plan_take(v->taken, area_grown(m.area, CLEAR), BY_SIGN);
        stand_at(all, m.area, v->marks.n);
    }
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
static void stand_on_wall(struct placing *p, uint32_t from, uint32_t to)
{
    const struct plan_view *v = p->v;
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
        stand(p, &v->marks.at[i], stems[i - from].placed - stems[i - from].at);
}

/* Nobody stands where another's stem begins. */
static void take_foot(struct plan_view *v, const struct plan_mark *m)
{
    struct block k = block_of(v, m);
    struct spot ends[2] = {m->at, foot_of(&k, m->at)};
    plan_take(v->taken, area_grown(area_round(ends, 2), MM / 4), BY_FOOT);
}

static void stand_all(struct placing *p, uint32_t first)
{
    struct plan_view *v = p->v;
    for (uint32_t i = first; i < v->marks.n; i++)
        take_foot(v, &v->marks.at[i]);
    for (uint32_t i = first, end; i < v->marks.n; i = end) {
        struct plan_mark *m = &v->marks.at[i];
        end = i + 1;
        if (m->place->where != ON_WALL) {
            stand(p, m, 0);
            continue;
        }
        while (end < v->marks.n && v->marks.at[end].room == m->room &&
               v->marks.at[end].place->wall == m->place->wall)
            end++;
        stand_on_wall(p, i, end);
    }
}

void plan_place_marks(struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    struct placing p = {.v = v,
                        .given_up = arena_array(arena, uint32_t, (size_t)v->r->model->rooms.n + 1)};
    for (int w = 0; w < 2; w++) {
        p.near[w] = offers(arena, w, FARTHEST);
        p.far[w] = offers(arena, w, CROWDED * FARTHEST);
    }
    for (uint32_t i = 0; i < v->tile->panels.n; i++)
        stand_panel(&p, v->tile->panels.at[i]);
    uint32_t first = v->marks.n;
    for (uint32_t i = 0; i < v->tile->boxes.n; i++)
        *vec_push(arena, &v->marks) = mark_of_box(v, v->tile->boxes.at[i], false);
    for (uint32_t i = 0; i < v->tile->gone.n; i++)
        *vec_push(arena, &v->marks) = mark_of_box(v, v->tile->gone.at[i], true);
    sort_marks(v, first);
    stand_all(&p, first);
    for (uint32_t i = first; i < v->marks.n; i++)
        if (!v->marks.at[i].goes && !v->marks.at[i].told)
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
    struct spot from = m->stem[0], to = m->stem[1];
    struct pen pen = {BLACK, NO_INK, m->goes || m->signs[0].existing ? LINE_THIN : LINE_EDGE,
                      DASH_NONE};
    if (from.x != to.x || from.y != to.y)
        paper_line(v->s, from.x, from.y, to.x, to.y, pen);
    if (!k.on_wall && !m->hangs && (from.x != to.x || from.y != to.y))
        paper_circle(v->s, from.x, from.y, PLAN_DOT, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
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
        if (m->told)
            continue;
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

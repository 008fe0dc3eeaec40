/* What joins boxes on a plan: switch legs, arrows of home runs, cables that go, and what lies over
 * a ceiling. */
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "facts/facts.h"
#include "model/address.h"
#include "paper/place_geometry.h"
#include "sheets/plans/plan.h"
#include "wiring/wiring.h"

#include <math.h>

enum {
    ARROW = 11000, /* from a sign to the tip */
    ARROW_LEAST = 7000,
    HEAD = 2000,
    HEAD_HALF = 800,
    TICKS = 900, /* between two ticks */
    LANE = 700,  /* between cables that lie in one place */
    LANES = 5,
    WOOD = 0xebebeb
};

static const double degree = 3.14159265358979323846 / 180;

static const struct pen leg_pen = {BLACK, NO_INK, LINE_THIN, DASH_LEG},
                        arrow_pen = {BLACK, NO_INK, LINE_EDGE, DASH_NONE};

static const struct plan_mark *mark_of(const struct plan_view *v, const struct box *b)
{
    uintptr_t at = (uintptr_t)map_get(&v->mark_of, 0, (uintptr_t)b);
    return at ? &v->marks.at[at - 1] : NULL;
}

static struct spot middle_of(struct area a)
{
    return (struct spot){(a.left + a.right) / 2, (a.top + a.bottom) / 2};
}

/* --- legs ------------------------------------------------------------------------------------- */

/* "a" to "z", then "aa". */
static const char *letters_of(struct arena *arena, uint32_t i)
{
    return i < 26
               ? arena_printf(arena, "%c", 'a' + (char)i)
               : arena_printf(arena, "%c%c", 'a' + (char)(i / 26 - 1) % 26, 'a' + (char)(i % 26));
}

static void letter_of(struct plan_view *v, const struct leg *leg)
{
    void **at = map_at(v->r->arena, &v->leg_letters, 0, (uintptr_t)leg);
    if (*at)
        return;
    *at = (void *)letters_of(v->r->arena, v->legs.n);
    *vec_push(v->r->arena, &v->legs) = leg;
}

/* In the order of the boxes, so that letters run through the sheet's rooms. */
void plan_letter_legs(struct plan_view *v)
{
    for (uint32_t i = 0; i < v->tile->boxes.n && v->subject == PLAN_LIGHTS; i++) {
        const struct box *b = v->tile->boxes.at[i];
        for (uint32_t d = 0; d < b->device_count; d++)
            for (uint32_t k = 0; k < b->devices[d]->part_count; k++)
                if (b->devices[d]->parts[k].leg && plan_shows_device(v->subject, b, b->devices[d]))
                    letter_of(v, b->devices[d]->parts[k].leg);
    }
}

/* Where a leg comes to a box: at the sign of the device that is on it, else at its true place on
 * another sheet. */
static void end_of(const struct plan_view *v, const struct box *b, const struct leg *leg,
                   struct spot *at, um *round)
{
    const struct plan_mark *m = mark_of(v, b);
    if (!m) {
        const struct place *p = view_place_of_box(v->r, b);
        *at = (struct spot){plan_x(v, p->at.x), plan_y(v, p->at.y)};
        *round = 0;
        return;
    }
    uint32_t best = 0;
    for (uint32_t i = 0; i < m->count; i++)
        for (uint32_t k = 0; m->devices[i] && k < m->devices[i]->part_count; k++)
            if (m->devices[i]->parts[k].leg == leg)
                best = i;
    um wide, high;
    plan_sign_size(v->s, &m->signs[best], &wide, &high);
    *at = m->spots[best];
    *round = (wide > high ? wide : high) / 2 + 300;
}

enum { BOW = 16 };

/* Points of a bow between two places that leans aside by a share of its length. */
static void bow_points(struct spot a, struct spot b, double lean, struct spot p[BOW + 1])
{
    double dx = (double)(b.x - a.x), dy = (double)(b.y - a.y),
           mx = (double)(a.x + b.x) / 2 - dy * lean, my = (double)(a.y + b.y) / 2 + dx * lean;
    for (int i = 0; i <= BOW; i++) {
        double t = (double)i / BOW, s = 1 - t;
        p[i] = (struct spot){llround(s * s * (double)a.x + 2 * s * t * mx + t * t * (double)b.x),
                             llround(s * s * (double)a.y + 2 * s * t * my + t * t * (double)b.y)};
    }
}

static double apart(struct spot a, struct spot b)
{
    return hypot((double)(a.x - b.x), (double)(a.y - b.y));
}

/* The part of the bow outside of both signs. */
static uint32_t trimmed(const struct spot p[BOW + 1], um from, um to, struct spot out[BOW + 1])
{
    uint32_t n = 0;
    for (int i = 0; i <= BOW; i++)
        if (apart(p[i], p[0]) >= (double)from && apart(p[i], p[BOW]) >= (double)to)
            out[n++] = p[i];
    return n;
}

static uint32_t bow_meets(const struct plan_view *v, const struct spot *p, uint32_t n)
{
    uint32_t met = 0;
    for (uint32_t i = 0; i + 1 < n; i++)
        met += plan_line_meets(v->taken, p[i], p[i + 1], LINE_NEW, BY_SIGN) * 8 +
               plan_line_meets(v->taken, p[i], p[i + 1], LINE_NEW, BY_WORDS | BY_LINE | BY_STEM);
    return met;
}

static void draw_link(struct plan_view *v, const struct plan_link *link)
{
    static const double leans[] = {0.12, -0.12, 0.25, -0.25, 0.03, 0.4, -0.4};
    struct spot a, b, p[BOW + 1], now[BOW + 1], best[BOW + 1];
    um ra, rb;
    uint32_t least = UINT32_MAX, count = 0;
    end_of(v, link->from, link->leg, &a, &ra);
    end_of(v, link->to, link->leg, &b, &rb);
    for (size_t i = 0; i < sizeof leans / sizeof *leans && least; i++) {
        bow_points(a, b, leans[i], p);
        uint32_t n = trimmed(p, ra, rb, now), met = bow_meets(v, now, n);
        if (met < least) {
            least = met;
            count = n;
            for (uint32_t k = 0; k < n; k++)
                best[k] = now[k];
        }
    }
    if (count < 2)
        return;
    paper_path(v->s, best, count, false, leg_pen);
    for (uint32_t i = 0; i + 1 < count; i++)
        plan_take_line(v->taken, best[i], best[i + 1], LINE_NEW, BY_LINE);
}

void plan_draw_legs(struct plan_view *v)
{
    for (uint32_t i = 0; i < v->tile->links.n; i++) {
        paper_begin(v->s, ROLE_CABLE, NULL, NULL);
        draw_link(v, &v->tile->links.at[i]);
        paper_end(v->s);
    }
    if (v->tile->links.n)
        page_key_line(v->page, DASH_LEG, LINE_THIN, "switch leg");
}

/* --- home runs -------------------------------------------------------------------------------- */

static uint32_t tick_count(const struct plan_view *v, const struct run *run)
{
    const struct cable_def *cable = v->r->wiring->of_run[run->id].cable;
    return cable ? cable->conductors : 0;
}

/* The arrow's way from the sign, at an angle to where the panel is: free of signs, walls and other
 * arrows; shorter where there is little room. */
static bool find_arrow(const struct plan_view *v, struct spot middle, double dx, double dy,
                       um start, struct spot *from, struct spot *tip)
{
    static const int turns[] = {0,   15, -15, 30,  -30,  45,  -45,  60,  -60,  75,
                                -75, 90, -90, 110, -110, 130, -130, 150, -150, 180};
    for (um long_ = ARROW; long_ >= ARROW_LEAST; long_ -= 2 * MM)
        for (size_t i = 0; i < sizeof turns / sizeof *turns; i++) {
            double t = turns[i] * degree, x = dx * cos(t) - dy * sin(t),
                   y = dx * sin(t) + dy * cos(t);
            *from = (struct spot){middle.x + llround(x * (double)start),
                                  middle.y + llround(y * (double)start)};
            *tip = (struct spot){middle.x + llround(x * (double)(start + long_)),
                                 middle.y + llround(y * (double)(start + long_))};
            struct spot beyond = {tip->x + llround(x * MM), tip->y + llround(y * MM)},
                        clear = {from->x + llround(x * 3 * TICKS / 2),
                                 from->y + llround(y * 3 * TICKS / 2)};
            struct area in = area_grown(v->tile->field, -2 * MM);
            if (tip->x < in.left || tip->x > in.right || tip->y < in.top || tip->y > in.bottom)
                continue;
            if (!plan_line_meets(v->taken, clear, beyond, 2 * TICKS,
                                 BY_WALL | BY_SIGN | BY_LINE | BY_STEM) &&
                !plan_line_meets(v->taken, *from, clear, LINE_NEW, BY_WALL | BY_SIGN | BY_STEM))
                return true;
        }
    return false;
}

static void draw_arrow(const struct plan_view *v, const struct plan_arrow *a)
{
    double l = apart(a->from, a->tip), x = (double)(a->tip.x - a->from.x) / l,
           y = (double)(a->tip.y - a->from.y) / l;
    struct pen pen = arrow_pen;
    if (a->run->existing)
        pen = (struct pen){BLACK, NO_INK, LINE_THIN, DASH_EXISTING};
    paper_begin(v->s, ROLE_SYMBOL, address_of_box(v->r->arena, v->marks.at[a->mark].box, false),
                view_of_run(v->r, a->run)->address);
    paper_line(v->s, a->from.x, a->from.y, a->tip.x - llround(x * HEAD / 2),
               a->tip.y - llround(y * HEAD / 2), pen);
    struct spot head[3] = {a->tip,
                           {a->tip.x - llround(x * HEAD + y * HEAD_HALF),
                            a->tip.y - llround(y * HEAD - x * HEAD_HALF)},
                           {a->tip.x - llround(x * HEAD - y * HEAD_HALF),
                            a->tip.y - llround(y * HEAD + x * HEAD_HALF)}};
    paper_path(v->s, head, 3, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    for (uint32_t i = 0; i < tick_count(v, a->run); i++) {
        double at = l * 0.3 + (double)i * TICKS;
        struct spot c = {a->from.x + llround(x * at), a->from.y + llround(y * at)};
        paper_line(v->s, c.x - llround((x * 0.5 - y) * TICKS), c.y - llround((y * 0.5 + x) * TICKS),
                   c.x + llround((x * 0.5 - y) * TICKS), c.y + llround((y * 0.5 + x) * TICKS),
                   (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
    }
    paper_end(v->s);
}

static void add_arrow(struct plan_view *v, uint32_t mark, const struct run *run)
{
    const struct plan_mark *m = &v->marks.at[mark];
    struct spot middle = middle_of(m->area);
    const struct place *p = view_place_of_panel(v->r, run->from.panel);
    double dx = (double)(plan_x(v, p->at.x) - middle.x),
           dy = (double)(plan_y(v, p->at.y) - middle.y), l = hypot(dx, dy);
    um wide = m->area.right - m->area.left, high = m->area.bottom - m->area.top,
       start = (wide > high ? wide : high) / 2 + 900;
    struct plan_arrow a = {.run = run, .mark = mark};
    if (l < 1) {
        dx = 1;
        dy = 0;
        l = 1;
    }
    if (m->told || !find_arrow(v, middle, dx / l, dy / l, start, &a.from, &a.tip))
        a.from = a.tip = middle; /* it is told beside its box */
    else
        plan_take_line(v->taken, a.from, a.tip, 3 * TICKS, BY_SIGN);
    *vec_push(v->r->arena, &v->arrows) = a;
}

static void key_arrow(struct sheet *s, um x, um y, const void *what)
{
    (void)what;
    struct spot head[3] = {
        {x + 4 * MM, y}, {x + 2 * MM, y - HEAD_HALF}, {x + 2 * MM, y + HEAD_HALF}};
    paper_line(s, x - 4 * MM, y, x + 2 * MM, y, arrow_pen);
    paper_path(s, head, 3, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    for (int i = 0; i < 2; i++)
        paper_line(s, x - 2 * MM + i * TICKS - TICKS / 2, y + TICKS,
                   x - 2 * MM + i * TICKS + TICKS / 2, y - TICKS,
                   (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
}

/* A home run is drawn once: of a box that stands on two sheets, with the power. */
static bool is_its_sheet(const struct plan_view *v, const struct box *b)
{
    return v->subject == PLAN_POWER || !plan_shows_box(PLAN_POWER, b);
}

void plan_draw_arrows(struct plan_view *v)
{
    if (v->subject == PLAN_CEILING)
        return;
    for (uint32_t i = 0; i < v->marks.n; i++) {
        const struct box *b = v->marks.at[i].goes ? NULL : v->marks.at[i].box;
        for (uint32_t k = 0; b && k < b->runs.n; k++) {
            const struct run *run = b->runs.at[k];
            if (run->from.panel && run->to.box == b && run->circuit && is_its_sheet(v, b) &&
                (!v->r->only_circuit || run->circuit == v->r->only_circuit))
                add_arrow(v, i, run);
        }
    }
    bool any = false;
    for (uint32_t i = 0; i < v->arrows.n; i++)
        if (v->arrows.at[i].from.x != v->arrows.at[i].tip.x ||
            v->arrows.at[i].from.y != v->arrows.at[i].tip.y) {
            draw_arrow(v, &v->arrows.at[i]);
            any = true;
        }
    if (any)
        page_key(v->page, (struct key){.draw = key_arrow,
                                       .words = "home run, a tick for each conductor",
                                       .tall = true});
}

/* --- what goes -------------------------------------------------------------------------------- */

void plan_draw_going(struct plan_view *v)
{
    for (uint32_t i = 0; i < v->tile->going.n && v->subject == PLAN_POWER; i++) {
        const struct plan_piece *p = &v->tile->going.at[i];
        struct spot a = plan_spot_of(v, p->from), b = plan_spot_of(v, p->to);
        paper_begin(v->s, ROLE_CABLE, NULL, NULL);
        paper_line(v->s, a.x, a.y, b.x, b.y, (struct pen){BLACK, NO_INK, LINE_EDGE, DASH_GOES});
        paper_end(v->s);
        plan_take_line(v->taken, a, b, LINE_EDGE, BY_LINE);
        page_key_line(v->page, DASH_GOES, LINE_EDGE, "cable that goes or stays dead");
    }
}

/* --- over the ceiling ------------------------------------------------------------------------- */

static void draw_joist(const struct plan_view *v, const struct room *room, length at, length from,
                       length to)
{
    const struct framing *j = &room->joists;
    length half = j->lumber.thickness / 2;
    struct point low = {j->running_north ? at - half : from, j->running_north ? from : at - half},
                 high = {j->running_north ? at + half : to, j->running_north ? to : at + half};
    paper_rect(
        v->s,
        (struct area){plan_x(v, low.x), plan_y(v, high.y), plan_x(v, high.x), plan_y(v, low.y)}, 0,
        (struct pen){0x777777, WOOD, LINE_FRAMING, DASH_NONE});
}

/* Where a line across the room comes in and goes out, in order. */
static uint32_t crossings(const struct room *room, bool north, length at, length *out)
{
    uint32_t n = 0;
    for (uint32_t w = 0; w < room->wall_count; w++) {
        struct point a = room->walls[w].left, b = room->walls[w].right;
        length pa = north ? a.x : a.y, pb = north ? b.x : b.y, qa = north ? a.y : a.x,
               qb = north ? b.y : b.x;
        if ((pa <= at) == (pb <= at))
            continue;
        length cross = qa + llround((double)(qb - qa) * (double)(at - pa) / (double)(pb - pa));
        uint32_t k = n++;
        for (; k && out[k - 1] > cross; k--)
            out[k] = out[k - 1];
        out[k] = cross;
    }
    return n;
}

/* As framing lays them out: from the corner of the storey. */
static void draw_joists(const struct plan_view *v, const struct room *room)
{
    const struct skeleton *f = v->r->routes->frame;
    const struct storey *storey = &f->storeys[f->storey_of[room->level->id]];
    const struct framing *j = &room->joists;
    length *cross = arena_array(v->r->arena, length, room->wall_count);
    if (j->spacing <= 0 || !storey->known || (plan_is_outdoors(v, room) && !room->covered))
        return;
    length low = j->running_north ? room->low.x : room->low.y,
           high = j->running_north ? room->high.x : room->high.y,
           corner = j->running_north ? storey->corner.x : storey->corner.y;
    int64_t first;
    uint32_t n = frame_multiples_between(low - corner, high - corner, j->spacing, &first);
    for (uint32_t i = 0; i < n && i < MOST_MEMBERS; i++) {
        length at = corner + (first + i) * j->spacing;
        uint32_t count = crossings(room, j->running_north, at, cross);
        for (uint32_t k = 0; k + 1 < count; k += 2)
            draw_joist(v, room, at, cross[k], cross[k + 1]);
    }
}

/* Cables that share their way would lie on one line: each is drawn beside those before it. */
static um lane_of(const struct plan_view *v, struct map *lanes, const struct plan_piece *p)
{
    bool north = p->from.x == p->to.x;
    length key = north ? p->from.x : p->from.y, a = north ? p->from.y : p->from.x,
           b = north ? p->to.y : p->to.x, step = 2 * FOOT, low = a < b ? a : b,
           high = a < b ? b : a;
    uint32_t most = 0;
    for (length cell = low / step; cell <= high / step; cell++) {
        uint32_t **n = (uint32_t **)map_at(
            v->r->arena, lanes, (uintptr_t)(key / (3 * INCH) * 2 + north), (uintptr_t)cell);
        if (!*n)
            *n = arena_new(v->r->arena, uint32_t);
        most = **n > most ? **n : most;
        ++**n;
    }
    most %= LANES;
    return (um)(most + 1) / 2 * (most % 2 ? 1 : -1) * LANE;
}

/* Keeps the longest stretch of each cable on the sheet, for its name. */
static void keep_cable(struct plan_view *v, struct map *known, const struct run *run,
                       struct place_line l)
{
    if (!place_line_cut(&l, v->tile->field))
        return;
    uintptr_t at = (uintptr_t)map_get(known, 0, (uintptr_t)run);
    struct plan_cable *c = at ? &v->cables.at[at - 1] : vec_push(v->r->arena, &v->cables);
    if (at && apart(l.a, l.b) <= apart(c->from, c->to))
        return;
    *c = (struct plan_cable){run, l.a, l.b};
    if (!at)
        map_put(v->r->arena, known, 0, (uintptr_t)run, (void *)(uintptr_t)v->cables.n);
}

static void draw_over(struct plan_view *v)
{
    struct map lanes = {0}, known = {0};
    for (uint32_t i = 0; i < v->tile->over.n; i++) {
        const struct plan_piece *p = &v->tile->over.at[i];
        bool north = p->from.x == p->to.x;
        um lane = lane_of(v, &lanes, p);
        struct spot a = plan_spot_of(v, p->from), b = plan_spot_of(v, p->to);
        a.x += north ? lane : 0;
        b.x += north ? lane : 0;
        a.y += north ? 0 : lane;
        b.y += north ? 0 : lane;
        paper_begin(v->s, ROLE_CABLE, NULL, view_of_run(v->r, p->run)->address);
        paper_line(
            v->s, a.x, a.y, b.x, b.y,
            (struct pen){BLACK, NO_INK, LINE_NEW, p->run->existing ? DASH_EXISTING : DASH_NONE});
        paper_end(v->s);
        plan_take_line(v->taken, a, b, LINE_NEW, BY_LINE);
        keep_cable(v, &known, p->run, (struct place_line){a, b});
        page_key_line(v->page, p->run->existing ? DASH_EXISTING : DASH_NONE, LINE_NEW,
                      p->run->existing ? "cable over the ceiling, existing"
                                       : "cable over the ceiling, to scale");
    }
}

/* Holes of one bit look alike: the smallest is open, the next filled, and so on. */
static const struct pen hole_pens[] = {{BLACK, WHITE, LINE_THIN, DASH_NONE},
                                       {BLACK, BLACK, LINE_THIN, DASH_NONE},
                                       {BLACK, 0x999999, LINE_THIN, DASH_NONE}};
enum { HOLE_SORTS = sizeof hole_pens / sizeof *hole_pens, HOLE = 700 };

struct hole_sort {
    length bit;
    struct pen pen;
    um radius;
};

static void key_hole(struct sheet *s, um x, um y, const void *what)
{
    const struct hole_sort *h = what;
    paper_circle(s, x, y, h->radius, h->pen);
}

static const struct hole_sort *sort_of(const struct plan_view *v, struct map *sorts,
                                       const struct bore *b, uint32_t *count)
{
    struct hole_sort **h = (struct hole_sort **)map_at(v->r->arena, sorts, (uintptr_t)b->bit, 0);
    if (*h)
        return *h;
    *h = arena_new(v->r->arena, struct hole_sort);
    **h = (struct hole_sort){b->bit, hole_pens[*count % HOLE_SORTS],
                             HOLE + (um)(*count / HOLE_SORTS) * 300};
    ++*count;
    page_key(v->page, (struct key){.draw = key_hole,
                                   .what = *h,
                                   .words = b->bit ? arena_printf(v->r->arena,
                                                                  "hole through a joist, %s bit",
                                                                  sheets_height(v->set, b->bit))
                                                   : "notch in a joist"});
    return *h;
}

static void draw_joist_holes(struct plan_view *v)
{
    struct map sorts = {0};
    uint32_t count = 0;
    paper_begin(v->s, ROLE_FRAMING, NULL, NULL);
    for (uint32_t i = 0; i < v->tile->holes.n; i++) {
        const struct bore *b = v->tile->holes.at[i];
        const struct hole_sort *h = sort_of(v, &sorts, b, &count);
        struct place3 at = bore_member(v->r->bores, b).at;
        paper_circle(v->s, plan_x(v, at.x), plan_y(v, at.y), h->radius, h->pen);
    }
    paper_end(v->s);
    if (v->tile->holes.n)
        page_task(v->page, "Bore %s in joists",
                  arena_counted(v->r->arena, v->tile->holes.n, "hole", "holes"));
}

void plan_draw_ceiling(struct plan_view *v)
{
    bool any = false;
    if (v->subject != PLAN_CEILING)
        return;
    paper_begin(v->s, ROLE_FRAMING, NULL, NULL);
    for (uint32_t i = 0; i < v->tile->rooms.n; i++) {
        draw_joists(v, v->tile->rooms.at[i]);
        any |= v->tile->rooms.at[i]->joists.spacing > 0;
    }
    paper_end(v->s);
    if (any)
        page_key_line(v->page, DASH_NONE, LINE_FRAMING, "joists, to scale");
    draw_over(v);
    draw_joist_holes(v);
}

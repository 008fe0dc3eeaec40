/* panel-clearance: room to stand before a panel.
 *
 * The working space is a rectangle on the floor, as wide and as deep as the edition asks, with the
 * panel before it; the panel need not be at its middle (NFPA 70 110.26(A)(1), (2)). All is looked
 * at from the panel's wall: `along` it from its left end, and `out` from it into the room, in feet.
 */
#include "facts/rooms.h"
#include "model/site.h"
#include "rules/placing.h"

#include <math.h>

struct spot {
    double along, out;
};

/* The space while it is looked for: how far the wall about the panel's middle is free on both
 * sides, and how deep it is before the middle. */
struct clear {
    const struct panel *panel;
    double centre, half, deep; /* half: of the panel's own width; deep: what is wanted */
    double from, to, depth;
    const struct node *by,
        *before; /* what bounds it at a side, and before the middle; NULL: walls */
};

static const double HAIR = 1e-6;

static struct spot seen_from(const struct wall *w, struct point p)
{
    double east = length_feet(w->right.x - w->left.x), north = length_feet(w->right.y - w->left.y),
           long_ = hypot(east, north);
    double x = length_feet(p.x - w->left.x), y = length_feet(p.y - w->left.y);
    /* walls are walked clockwise: the room lies to the right */
    return (struct spot){(x * east + y * north) / long_, (x * north - y * east) / long_};
}

/* Something takes the wall from `low` to `high`, `out` from it where it is nearest to the panel. A
 * side wall takes no width: it only bounds. */
static void take(struct clear *s, double low, double high, double out, const struct node *by)
{
    double half = high - low > HAIR ? s->half : 0;
    if (high <= s->centre - half + HAIR && low < s->centre) {
        s->by = high > s->from ? by : s->by;
        s->from = fmax(s->from, high);
    } else if (low >= s->centre + half - HAIR) {
        s->by = low < s->to ? by : s->by;
        s->to = fmin(s->to, low);
    } else if (out < s->depth) {
        s->depth = out;
        s->before = by;
    }
}

/* Where the line from a to b crosses a distance from the wall. */
static double crossing(struct spot a, struct spot b, double out)
{
    return a.along + (b.along - a.along) * (out - a.out) / (b.out - a.out);
}

/* A closed outline that is bulged nowhere inward, or one side of the room: the part of it that lies
 * less than `deep` from the wall. `corners` go round it. */
static void take_outline(struct clear *s, const struct spot *corner, unsigned count,
                         const struct node *by)
{
    double low = INFINITY, high = -INFINITY, nearest = INFINITY, first = HAIR,
           last = s->deep - HAIR;
    for (unsigned i = 0; i < count; i++) {
        struct spot a = corner[i], b = corner[(i + 1) % count];
        double ends[4] = {a.along, b.along, a.along, b.along};
        if (fmax(a.out, b.out) <= first || fmin(a.out, b.out) >= last)
            continue;
        for (int k = 0; k < 2; k++) {
            double edge = k ? last : first;
            bool crosses = (a.out < edge) != (b.out < edge);
            ends[2 + k] = crosses ? crossing(a, b, edge) : NAN;
        }
        ends[0] = a.out >= first && a.out <= last ? a.along : NAN;
        ends[1] = b.out >= first && b.out <= last ? b.along : NAN;
        for (int k = 0; k < 4; k++) {
            low = fmin(low, ends[k]);
            high = fmax(high, ends[k]);
        }
        if (fabs(a.along - s->centre) < s->half)
            nearest = fmin(nearest, fmax(a.out, 0));
        if (fabs(b.along - s->centre) < s->half)
            nearest = fmin(nearest, fmax(b.out, 0));
        for (int k = -1; k <= 1; k++) {
            double at = s->centre + k * s->half;
            bool before = fmin(a.along, b.along) < at && at < fmax(a.along, b.along);
            double out =
                before ? a.out + (at - a.along) / (b.along - a.along) * (b.out - a.out) : INFINITY;
            nearest = fmin(nearest, fmax(out, 0));
        }
    }
    if (low <= high)
        take(s, low, high, isinf(nearest) ? 0 : nearest, by);
}

static void take_rectangle(struct clear *s, const struct wall *w, const struct rectangle *q,
                           const struct node *by)
{
    struct spot corner[4];
    for (int i = 0; i < 4; i++)
        corner[i] = seen_from(w, q->corner[i]);
    take_outline(s, corner, 4, by);
}

static void take_upright(struct clear *s, const struct wall *w, struct point low, struct point high,
                         const struct node *by)
{
    struct rectangle q = {{low, {low.x, high.y}, high, {high.x, low.y}}};
    take_rectangle(s, w, &q, by);
}

static bool stands_before_wall(const struct fixture *f)
{
    static const enum form_id forms[] = {F_COUNTER, F_SINK,  F_BASIN,     F_TUB,    F_SHOWER,
                                         F_RANGE,   F_FIXED, F_PENINSULA, F_CABINET};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        if (f->form == forms[i])
            return true;
    return false;
}

/* On the panel's own wall a thing is in the way however deep it is; on another one as far as it
 * stands out. */
static void take_fixture(const struct checked *c, struct clear *s, const struct wall *w,
                         const struct fixture *x)
{
    length deep = x->out > 0 ? x->out : placing_fixture_deep(c, x);
    if (!stands_before_wall(x))
        return;
    struct rectangle q = space_fixture_rectangle(s->panel->room, x, deep);
    if (x->wall == s->panel->place.wall)
        take(s, length_feet(x->from_left), length_feet(x->from_left + x->wide), 0, x->node);
    else if (deep > 0)
        take_rectangle(s, w, &q, x->node);
}

static void look_around(const struct checked *c, struct clear *s)
{
    const struct room *r = s->panel->room;
    const struct wall *w = &r->walls[s->panel->place.wall];
    bool bounded = !room_used_as(
        c->model, r, LIST_WEATHER_PLACES); /* outdoors the edge of what is drawn is no wall */
    for (uint32_t i = 0; bounded && i < r->wall_count; i++) {
        struct spot ends[2] = {seen_from(w, r->walls[i].left), seen_from(w, r->walls[i].right)};
        take_outline(s, ends, 2, NULL);
    }
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        take_fixture(c, s, w, &r->fixtures.at[i]);
    for (uint32_t i = 0; i < r->islands.n; i++)
        take_upright(s, w, r->islands.at[i].low, r->islands.at[i].high, r->islands.at[i].node);
    for (uint32_t i = 0; i < r->chases.n; i++)
        take_upright(s, w, r->chases.at[i].low, r->chases.at[i].high, r->chases.at[i].node);
}

RULE(panel_clearance, "panel-clearance", ERROR, WAIVABLE, "there is room to stand before a panel");

static void lacks_clearance(const struct checked *c, const struct panel *p, const struct node *by,
                            const char *message)
{
    const struct node *clause = node_child(p->node, F_PANEL_IN);
    struct finding *f =
        panel_finding(c, &rule_panel_clearance, p,
                      clause ? node_span(clause) : node_name_span(p->node), "%s", message);
    if (by)
        diag_note(c->model->diag, f, node_span(by), "what stands there");
    diag_mend(c->model->diag, f, "another place, with clear floor before it");
}

static void check_clearance(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    struct code *code = &m->code;
    double deep = length_feet(code_length(code, SET_PANEL_CLEARANCE_DEEP, 0)),
           wide = length_feet(code_length(code, SET_PANEL_CLEARANCE_WIDE, 0));
    double high = length_feet(code_length(code, SET_PANEL_CLEARANCE_HIGH, 0)),
           height = length_feet(room_overhead(p->room));
    double half = length_feet(code_length(code, SET_BOX_SPACE_PANEL_WIDTH, 0)) / 2;
    struct clear s = {.panel = p,
                      .centre = length_feet(p->place.from_left),
                      .half = half,
                      .deep = deep,
                      .from = -INFINITY,
                      .to = INFINITY,
                      .depth = deep};
    look_around(c, &s);
    const char *panel = arena_printf(m->arena, "panel %s", address_of_panel(m->arena, p, true));
    if (s.depth + HAIR < deep)
        lacks_clearance(
            c, p, s.before,
            s.depth <= 0 ? arena_printf(m->arena,
                                        "something stands at the wall of %s, and a space %s ft "
                                        "deep is wanted before it",
                                        panel, rules_amount_words(c, deep, 2))
            : s.before
                ? arena_printf(m->arena, "%s ft are free before %s, and %s ft is wanted",
                               rules_amount_words(c, s.depth, 2), panel,
                               rules_amount_words(c, deep, 2))
                : arena_printf(m->arena, "room '%s' is %s ft deep before %s, and %s ft is wanted",
                               p->room->name, rules_amount_words(c, s.depth, 2), panel,
                               rules_amount_words(c, deep, 2)));
    else if (s.to - s.from + HAIR < wide)
        lacks_clearance(
            c, p, s.by,
            arena_printf(m->arena,
                         "%s has %s in. of free wall, and a space %s in. wide is wanted before it",
                         panel, rules_amount_words(c, 12 * (s.to - s.from), 1),
                         rules_amount_words(c, 12 * wide, 1)));
    else if (height + HAIR < high)
        lacks_clearance(
            c, p, NULL,
            arena_printf(m->arena, "the ceiling over %s is %s ft high, and %s ft is wanted", panel,
                         rules_amount_words(c, height, 2), rules_amount_words(c, high, 2)));
}

BLIND_SPOT(stored_before, panel_clearance, "what will be stored before panel", "");

static void check_panel(const struct checked *c, const struct panel *p)
{
    if (p->room && p->place.where == ON_WALL && p->room->wall_count &&
        p->room->walls[p->place.wall].length > 0) {
        looked(c, panel_clearance);
        panel_passed(c, stored_before, p);
        check_clearance(c, p);
    }
}
CHECK(panel_clearance, .panel = {check_panel, ITS_TEXT, NEW_WORK});

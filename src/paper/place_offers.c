/* The places that a label could take, each with its leader and its cost; what breaks a promise of
 * place.h, whatever other labels do, is none. */
#include "paper/place_work.h"

#include <string.h>

/* Offers of four sorts, of each the cheapest that many: words and keys, without a leader and with
 * one. */
enum { BESIDE, LED, KEY_BESIDE, KEY_LED, SORTS };
static const uint32_t enough[SORTS] = {48, 24, 16, 12};

enum {
    MOST_OFFERS = 512, /* rings are looked through whole, for each shape */
    LEAST_SLIDE = 300, /* micrometres that make another place */
    OFF_MIDDLE = 4,    /* what it costs to stand neither level nor flush with the thing */
    BEND = 30,         /* what a bend of a leader costs */
    TRUSTED = 100,     /* what it costs to be told from a foreign thing by a leader alone */
    NEAR_FOREIGN = 30, /* a millimetre nearer to a foreign thing than is clear at a glance */
};

/* How far from the thing words may stand: rings without a leader, then with one, and on in steps of
 * a fifth up to the label's reach. */
static const um rings[] = {800,     1600,    2600,    4000,    5900,    7500,    9500,   12 * MM,
                           15 * MM, 19 * MM, 24 * MM, 30 * MM, 37 * MM, 45 * MM, 55 * MM};
/* A key may stand as far off as this, with a leader, where its words may not. */
#define KEY_REACH (20 * MM)
enum { RINGS = sizeof rings / sizeof *rings, RINGS_BESIDE = 5 };

static const int32_t usual_sides[PLACE_SIDES] = {0, 10, 20, 25, 30, 35, 40, 45};

/* What is being made for one label. */
struct making {
    struct placer *p;
    const struct place_label *l;
    struct place_offer *offers;
    uint32_t count;
};

static um least(um a, um b)
{
    return a < b ? a : b;
}

static um most(um a, um b)
{
    return a > b ? a : b;
}

static um middle(um a, um b)
{
    return a + (b - a) / 2;
}

static um clamped(um at, um low, um high)
{
    return low > high ? middle(low, high) : most(low, least(at, high));
}

static enum place_side side_of(struct area box, struct area thing)
{
    bool right = box.left >= thing.right, left = box.right <= thing.left;
    bool above = box.bottom <= thing.top;
    if (box.top >= thing.bottom || above)
        return right   ? above ? PLACE_ABOVE_RIGHT : PLACE_BELOW_RIGHT
               : left  ? above ? PLACE_ABOVE_LEFT : PLACE_BELOW_LEFT
               : above ? PLACE_ABOVE
                       : PLACE_BELOW;
    return right ? PLACE_RIGHT : PLACE_LEFT;
}

/* --- what lies there ---------------------------------------------------------------------------
 */

static bool shape_in(const struct place_block *b, struct area a)
{
    for (uint32_t i = 0; i < b->count; i++)
        if (place_line_in(
                (struct place_line){b->points[i], b->points[i + 1 < b->count ? i + 1 : 0]}, a))
            return true;
    struct spot at = {middle(a.left, a.right), middle(a.top, a.bottom)};
    return place_spot_within(at, b->points, b->count);
}

/* The longer of width and height of what two areas have in common. */
static um common(struct area a, struct area b)
{
    return most(0, most(least(a.right, b.right) - most(a.left, b.left),
                        least(a.bottom, b.bottom) - most(a.top, b.top)));
}

/* How much of a block lies in an area, in micrometres; 0: nothing. */
static um lies_in(const struct place_block *b, struct area a)
{
    switch (b->kind) {
    case BLOCK_LINE:
        return place_line_inside(b->line, area_grown(a, b->radius));
    case BLOCK_DISC:
        if (!place_disc_in(b->line.a, b->radius, a))
            return 0;
        break;
    case BLOCK_SHAPE:
        if (!shape_in(b, a))
            return 0;
        break;
    case BLOCK_AREA:
        if (!area_meets(b->area, a))
            return 0;
    }
    return most(1, common(b->area, a));
}

static bool is_crossed(const struct place_block *b, struct place_line l)
{
    switch (b->kind) {
    case BLOCK_LINE:
        return place_lines_meet(b->line, l);
    case BLOCK_DISC: /* by the square in it */
        return place_line_in(
            l, area_grown((struct area){b->line.a.x, b->line.a.y, b->line.a.x, b->line.a.y},
                          b->radius * 7 / 10));
    case BLOCK_SHAPE:
        for (uint32_t i = 0; i < b->count; i++)
            if (place_lines_meet(
                    (struct place_line){b->points[i], b->points[i + 1 < b->count ? i + 1 : 0]}, l))
                return true;
        return place_spot_within(l.a, b->points, b->count);
    default:
        return place_line_in(l, b->area);
    }
}

/* Adds what it costs that words lie there; false where they cannot. */
static bool words_cost(struct placer *p, struct area box, int64_t *cost)
{
    uint32_t i;
    struct area clear = area_grown(box, p->clear);
    struct place_look look = place_look_at(&p->block_grid, clear);
    while (place_look_next(&look, &i)) {
        const struct place_block *b = &p->blocks.at[i];
        if (!b->cost.words)
            continue;
        um much = lies_in(b, clear);
        if (much && b->cost.words == PLACE_NEVER)
            return false;
        *cost += (much + MM / 2) / MM * b->cost.words;
    }
    look = place_look_at(&p->wall_grid, clear);
    while (place_look_next(&look, &i))
        if (lies_in(&p->walls.at[i], clear))
            return false;
    return true;
}

/* Whether a leader is enough to tell whose words they are. */
static bool is_trusted(const struct placer *p, const struct place_offer *o, int64_t own)
{
    return own > PLACE_UNLED * PLACE_UNLED && (p->trust_leaders || o->how == PLACED_KEY);
}

/* Whether words cover a thing or stand no farther from a foreign one than from theirs, which is as
 * far as `own`, squared; clear space makes the difference. Where a leader is enough that costs
 * something instead. */
static bool is_astray(struct making *m, struct place_offer *o, int64_t own)
{
    struct placer *p = m->p;
    struct area clear = area_grown(o->box, p->clear);
    bool trusted = is_trusted(p, o, own), nearer = false;
    if (area_meets(clear, m->l->thing))
        return true;
    uint32_t i;
    um reach = trusted ? p->clear : place_root(own) + p->clear + 1;
    int64_t least = trusted ? own : (place_root(own) + p->clear) * (place_root(own) + p->clear);
    struct place_look look = place_look_at(&p->thing_grid, area_grown(o->box, reach));
    while (place_look_next(&look, &i)) {
        const struct place_thing *t = &p->things.at[i];
        bool near = t->group != m->l->group && place_gap(o->box, t->area) < least;
        if (area_meets(clear, t->area) || (near && !trusted))
            return true;
        nearer |= near;
    }
    if (nearer)
        o->cost += p->trust_leaders ? TRUSTED : PLACE_KEY;
    return false;
}

/* What it costs to be nearly as near to a foreign thing. */
static int64_t foreign_cost(struct making *m, struct area box, int64_t own)
{
    struct placer *p = m->p;
    um clear_at = place_root(own) * 3 / 2 + MM;
    int64_t cost = 0;
    if (p->trust_leaders && own > PLACE_UNLED * PLACE_UNLED)
        return 0;
    uint32_t i;
    struct place_look look = place_look_at(&p->thing_grid, area_grown(box, clear_at));
    while (place_look_next(&look, &i)) {
        const struct place_thing *t = &p->things.at[i];
        int64_t gap = place_gap(box, t->area);
        if (t->group != m->l->group && gap < clear_at * clear_at)
            cost += (clear_at - place_root(gap)) * NEAR_FOREIGN / MM;
    }
    return cost;
}

/* --- from words to their thing -----------------------------------------------------------------
 */

/* Whether a line from words, `l.b` at the thing, crosses a wall or leaves the room. A wall or edge
 * that the thing itself lies on is crossed only beyond it. */
static bool leaves(struct making *m, struct place_line l, bool drawn)
{
    struct placer *p = m->p;
    struct area thing = m->l->thing;
    struct place_line before = l;
    um x = l.a.x - l.b.x, y = l.a.y - l.b.y, far = most(place_root(x * x + y * y), 1);
    before.b.x += x * least(MM / 4, far / 2) / far;
    before.b.y += y * least(MM / 4, far / 2) / far;
    uint32_t i;
    struct place_look look = place_look_at(&p->wall_grid, place_line_area(l));
    while (place_look_next(&look, &i)) {
        const struct place_block *w = &p->walls.at[i];
        bool at_it = place_line_inside(w->line, area_grown(thing, w->radius + 1)) > 0;
        if (place_lines_meet(w->line, at_it ? before : l))
            return true;
        if (drawn && !at_it && place_line_in(l, area_grown(w->area, w->radius)) &&
            (w->line.a.x == w->line.b.x || w->line.a.y == w->line.b.y))
            return true;
    }
    for (i = 0; i < m->l->region_count; i++) {
        struct place_line edge = {m->l->region[i],
                                  m->l->region[i + 1 < m->l->region_count ? i + 1 : 0]};
        bool at_it = place_line_in(edge, area_grown(thing, 1));
        if (place_lines_meet(edge, at_it ? before : l))
            return true;
    }
    return false;
}

/* Adds what it costs to cross what lies on the page; false where that cannot be crossed. */
static bool crossing_cost(struct placer *p, struct place_line l, int64_t *cost)
{
    uint32_t i;
    struct place_look look = place_look_at(&p->block_grid, place_line_area(l));
    while (place_look_next(&look, &i)) {
        const struct place_block *b = &p->blocks.at[i];
        if (!b->cost.leader || !is_crossed(b, l))
            continue;
        if (b->cost.leader == PLACE_NEVER)
            return false;
        *cost += b->cost.leader;
    }
    return true;
}

/* Adds what a stretch of a leader costs; false where it cannot be. */
static bool stretch_cost(struct making *m, struct place_line l, bool last, int64_t *cost)
{
    struct placer *p = m->p;
    struct area thing = m->l->thing;
    uint32_t i;
    if (leaves(m, l, true) || (!last && place_line_in(l, area_grown(thing, p->clear))))
        return false;
    struct place_look look = place_look_at(&p->thing_grid, place_line_area(l));
    while (place_look_next(&look, &i)) {
        const struct place_thing *t = &p->things.at[i];
        bool own = t->group == m->l->group && area_meets(t->area, thing);
        if (!own && place_line_in(l, area_grown(t->area, p->clear / 2)))
            return false;
    }
    return crossing_cost(p, l, cost);
}

/* Where a leader that comes from there ends at the thing. */
static struct spot end_at(const struct place_label *l, struct spot from)
{
    struct area t = l->thing;
    struct spot to = {middle(t.left, t.right), middle(t.top, t.bottom)};
    um x = from.x - to.x, y = from.y - to.y, wide = (t.right - t.left) / 2,
       high = (t.bottom - t.top) / 2;
    if (l->round) {
        um far = most(place_root(x * x + y * y), 1), radius = least(wide, high);
        return (struct spot){to.x + x * radius / far, to.y + y * radius / far};
    }
    um ax = x < 0 ? -x : x, ay = y < 0 ? -y : y;
    if (ax * high >= ay * wide) /* it comes in at the left or right */
        return (struct spot){x < 0 ? t.left : t.right, ax ? to.y + y * wide / ax : to.y};
    return (struct spot){to.x + x * high / ay, y < 0 ? t.top : t.bottom};
}

/* Where a leader leaves words: at the middle of their left or right, or above or below. */
static struct spot start_at(struct placer *p, struct area box, struct area thing, bool level)
{
    um x = middle(thing.left, thing.right), y = middle(thing.top, thing.bottom);
    if (level)
        return (struct spot){middle(box.left, box.right) < x ? box.right + p->clear
                                                             : box.left - p->clear,
                             middle(box.top, box.bottom)};
    return (struct spot){clamped(x, box.left + MM, box.right - MM), middle(box.top, box.bottom) < y
                                                                        ? box.bottom + p->clear
                                                                        : box.top - p->clear};
}

/* The words' point and the thing's that are nearest to each other. */
static void connect(struct making *m, struct place_offer *o)
{
    struct area b = o->box, t = m->l->thing;
    um left = most(b.left, t.left), right = least(b.right, t.right), top = most(b.top, t.top),
       bottom = least(b.bottom, t.bottom);
    bool over = left <= right, beside = top <= bottom;
    o->leader[0].x = over ? middle(left, right) : b.left > t.left ? b.left : b.right;
    o->leader[1].x = over ? middle(left, right) : b.left > t.left ? t.right : t.left;
    o->leader[0].y = beside ? middle(top, bottom) : b.top > t.top ? b.top : b.bottom;
    o->leader[1].y = beside ? middle(top, bottom) : b.top > t.top ? t.bottom : t.top;
}

static um length_of(struct place_line l)
{
    um x = l.b.x - l.a.x, y = l.b.y - l.a.y;
    return place_root(x * x + y * y);
}

/* A leader through `count` points, if it can be drawn; `*cost` is what it costs. */
static bool try_leader(struct making *m, struct place_offer *o, uint32_t count, int64_t *cost)
{
    um length = 0;
    *cost = PLACE_LEADER + (count > 2 ? BEND : 0);
    for (uint32_t i = 0; i + 1 < count; i++) {
        struct place_line l = {o->leader[i], o->leader[i + 1]};
        length += length_of(l);
        if (place_line_in(l, o->box) || !stretch_cost(m, l, i + 2 == count, cost))
            return false;
    }
    um direct = place_root(place_gap(o->box, m->l->thing));
    *cost += most(0, length - direct) * PLACE_MM / MM;
    o->leader_count = (uint8_t)count;
    return true;
}

/* A leader: straight, or with one bend where it cannot be straight. */
static bool lead(struct making *m, struct place_offer *o)
{
    struct area t = m->l->thing;
    int64_t cost;
    um x = most(o->box.left - t.right, t.left - o->box.right),
       y = most(o->box.top - t.bottom, t.top - o->box.bottom);
    bool level = x >= y;
    for (uint32_t count = 2; count <= PLACE_BENDS; count++)
        for (int turn = 0; turn < 2; turn++, level = !level) {
            if ((level ? x : y) < 2 * m->p->clear)
                continue;
            o->leader[0] = start_at(m->p, o->box, t, level);
            um cx = middle(t.left, t.right), cy = middle(t.top, t.bottom);
            o->leader[1] =
                level ? (struct spot){cx, o->leader[0].y} : (struct spot){o->leader[0].x, cy};
            o->leader[count - 1] = end_at(m->l, o->leader[count - 2]);
            if (try_leader(m, o, count, &cost)) {
                o->cost += cost;
                return true;
            }
        }
    return false;
}

/* --- rings -------------------------------------------------------------------------------------
 */

static struct area extent_of(const struct placer *p, const struct place_offer *o)
{
    struct area a = area_grown(o->box, p->clear);
    for (uint32_t i = 0; i < (o->leader_count ? o->leader_count : 2u); i++) {
        a.left = least(a.left, o->leader[i].x);
        a.right = most(a.right, o->leader[i].x);
        a.top = least(a.top, o->leader[i].y);
        a.bottom = most(a.bottom, o->leader[i].y);
    }
    return a;
}

static bool is_inside(struct area a, struct area page)
{
    return a.left >= page.left && a.right <= page.right && a.top >= page.top &&
           a.bottom <= page.bottom;
}

/* Keeps offers by cost; of those that cost the same, the first one first. */
static void keep(struct making *m, const struct place_offer *o)
{
    uint32_t at = m->count;
    if (at == MOST_OFFERS)
        return;
    for (; at && m->offers[at - 1].cost > o->cost; at--)
        m->offers[at] = m->offers[at - 1];
    m->offers[at] = *o;
    m->count++;
}

static um reach_of_key(const struct place_label *l)
{
    return most(l->reach, KEY_REACH);
}

static void try_box(struct making *m, struct place_offer o)
{
    const struct place_label *l = m->l;
    struct placer *p = m->p;
    if (!is_inside(o.box, p->page))
        return;
    int64_t gap = place_gap(o.box, l->thing);
    bool led = gap > PLACE_UNLED * PLACE_UNLED;
    um reach = o.how == PLACED_KEY ? reach_of_key(l) : l->reach;
    if (led && gap > reach * reach)
        return;
    if (is_astray(m, &o, gap) || !words_cost(p, o.box, &o.cost) ||
        (l->region_count && !place_area_within(o.box, l->region, l->region_count)))
        return;
    o.cost += place_root(gap) * PLACE_MM / MM + foreign_cost(m, o.box, gap);
    o.cost += (l->sides ? l->sides : usual_sides)[side_of(o.box, l->thing)];
    connect(m, &o);
    struct place_line way = {o.leader[0], o.leader[1]};
    if (leaves(m, way, false) || !(led ? lead(m, &o) : crossing_cost(p, way, &o.cost)))
        return;
    o.extent = extent_of(p, &o);
    keep(m, &o);
}

/* The places along one side: in the middle, flush with one end or the other, between, half beyond
 * an end; further off, beyond it by more and more; at the corner. `across`: above and below, else
 * right and left; the corners come with those above and below. */
static void try_side(struct making *m, struct place_offer o, struct place_shape s, um far,
                     bool across)
{
    struct area t = m->l->thing;
    um wide = t.right - t.left, high = t.bottom - t.top, x = middle(t.left, t.right),
       y = middle(t.top, t.bottom);
    um flush = across ? s.width - wide : s.height - high,
       beyond = across ? s.width + wide : s.height + high,
       off = (across ? s.height + high : s.width + wide) / 2 + far;
    um slides[] = {
        0, flush / 2, flush / 4, beyond / 4, beyond / 2, beyond / 2 + far / 2, beyond / 2 + far};
    int64_t cost = o.cost;
    for (int i = 0; i < (across ? 7 : 6); i++) {
        if (i && ((slides[i] < LEAST_SLIDE && slides[i] > -LEAST_SLIDE) ||
                  ((i == 4 || i == 5) && far < PLACE_UNLED)))
            continue;
        o.cost = cost + (i > 1 ? OFF_MIDDLE : 0);
        for (int way = 0; way < (i ? 4 : 2); way++) {
            um along = way & 2 ? -slides[i] : slides[i], over = way & 1 ? -off : off;
            um left = x + (across ? along : over) - s.width / 2,
               top = y + (across ? over : along) - s.height / 2;
            o.box = (struct area){left, top, left + s.width, top + s.height};
            try_box(m, o);
        }
    }
}

static void try_ring(struct making *m, struct place_offer o, struct place_shape s, um far)
{
    try_side(m, o, s, far, false);
    try_side(m, o, s, far, true);
}

static um ring_after(um ring, int number)
{
    return number < RINGS ? rings[number] : ring + ring / 5;
}

/* Rings up to where enough was found. */
static void try_rings(struct making *m, struct place_offer o, const struct place_shape *shapes,
                      uint32_t count, int sort)
{
    bool led = sort == LED || sort == KEY_LED;
    uint32_t before = m->count;
    um reach = !led ? PLACE_UNLED : sort == KEY_LED ? reach_of_key(m->l) : m->l->reach, ring = 0;
    for (int i = led ? RINGS_BESIDE : 0;
         (led || i < RINGS_BESIDE) && m->count - before < enough[sort]; i++) {
        ring = ring_after(ring, i);
        if (ring > reach)
            break;
        for (uint32_t k = 0; k < count; k++) {
            struct place_offer of = o;
            of.shape = (uint8_t)k;
            of.cost += shapes[k].cost;
            try_ring(m, of, shapes[k], ring);
        }
    }
}

/* Keeps the cheapest of each sort, and the one to place it nowhere, the last: what costs more than
 * that is no offer. */
static void keep_cheapest(struct making *m, struct place_choice *c, int64_t nowhere)
{
    uint32_t of[SORTS] = {0}, count = 0;
    for (uint32_t i = 0; i < m->count && m->offers[i].cost < nowhere; i++) {
        const struct place_offer *o = &m->offers[i];
        int sort = (o->how == PLACED_KEY ? KEY_BESIDE : BESIDE) + (o->leader_count > 0);
        if (of[sort]++ < enough[sort])
            m->offers[count++] = *o;
    }
    c->offers = arena_array(m->p->arena, struct place_offer, count + 1);
    memcpy(c->offers, m->offers, count * sizeof *m->offers);
    c->offers[count] = (struct place_offer){.how = PLACED_NOWHERE, .cost = nowhere};
    c->count = count + 1;
}

void place_make_offers(struct placer *p, struct place_choice *c)
{
    struct place_offer room[MOST_OFFERS];
    const struct place_label *l = c->label;
    struct making m = {.p = p, .l = l, .offers = room};
    int64_t worth = 1 + l->priority;
    struct place_offer words = {.how = PLACED_WORDS},
                       key = {.how = PLACED_KEY, .cost = PLACE_KEY * worth};
    try_rings(&m, words, l->shapes, l->shape_count, BESIDE);
    try_rings(&m, words, l->shapes, l->shape_count, LED);
    if (l->key.width) {
        try_rings(&m, key, &l->key, 1, KEY_BESIDE);
        try_rings(&m, key, &l->key, 1, KEY_LED);
    }
    keep_cheapest(&m, c, PLACE_NOTHING * worth);
}

/* --- two labels --------------------------------------------------------------------------------
 */

static uint32_t points_of(const struct place_offer *o)
{
    return o->leader_count ? o->leader_count : 2;
}

/* Whether the words of one lie on the way from the other's to its thing. */
static bool stands_between(const struct placer *p, const struct place_offer *words,
                           const struct place_offer *way)
{
    struct area a = way->leader_count ? area_grown(words->box, p->clear) : words->box;
    for (uint32_t i = 0; i + 1 < points_of(way); i++)
        if (place_line_in((struct place_line){way->leader[i], way->leader[i + 1]}, a))
            return true;
    return false;
}

static bool ways_cross(const struct place_offer *x, const struct place_offer *y)
{
    for (uint32_t i = 0; i + 1 < points_of(x); i++)
        for (uint32_t k = 0; k + 1 < points_of(y); k++)
            if (place_lines_meet((struct place_line){x->leader[i], x->leader[i + 1]},
                                 (struct place_line){y->leader[k], y->leader[k + 1]}))
                return true;
    return false;
}

/* Areas without a point in common, their edges included. */
static bool are_apart(struct area a, struct area b)
{
    return a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top;
}

bool place_conflict(const struct placer *p, const struct place_choice *a,
                    const struct place_offer *x, const struct place_choice *b,
                    const struct place_offer *y)
{
    if (x->how == PLACED_NOWHERE || y->how == PLACED_NOWHERE || are_apart(x->extent, y->extent))
        return false;
    if (area_meets(area_grown(x->box, p->clear), y->box) || stands_between(p, x, y) ||
        stands_between(p, y, x))
        return true;
    bool same = a->label->group == b->label->group && !(x->leader_count && y->leader_count);
    return !same && ways_cross(x, y);
}

/* The framing against a search of its own: small random buildings, whose cheapest ways are found
 * here by trying every way on a graph that is made from the numbers of the building, not from the
 * frame. Figures: IRC R602.6 and R502.8.1 as published
 * (https://hinarratives.com/notching-boring-framing/,
 * https://notasdeldiaoficial.es/stud-drilling-rules), NFPA 70 300.4(A)(1) and 334.30. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/reports/reports.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "wiring/bores.h"

/* --- a random building -------------------------------------------------------------------- */

enum { COLUMNS = 3, ROWS = 2, MOST_ROOMS = 6, MOST_CORNERS = 7, MOST_DOORS = 6, ENDS = 5 };
enum { MOST_SIDES = MOST_ROOMS * MOST_CORNERS, MOST_NODES = 3000, NO_SIDE = MOST_SIDES };
enum { MOST_WOOD = 1000, MOST_DUCTS = 5 };

static const double gap = 3.5, tolerance = 4.5; /* a 2x4 wall, and with its finish */
static const double door_wide = 30.125;
static const double thick = 1.5, joist_deep = 9.25; /* dressed sizes */
static const double clear = 1;                      /* what a way keeps from a duct */

/* A box: in a side, or overhead: NO_SIDE. */
struct spot {
    unsigned room, side;
    double x, y, z; /* inches */
    double from;    /* the left end of its side */
};

/* One wall of a room: from its left end, as one faces it from inside, to its right. */
struct side {
    unsigned room;
    double x, y, ux, uy, size;
};

/* A door, or a window with its sill so high. */
struct door {
    unsigned side;
    double from; /* the left end of the side */
    double sill;
};

/* A duct that is drawn on its level, as a box; below the joists. */
struct duct {
    double x0, y0, x1, y1, low, high;
    bool north; /* it runs so */
};

struct built_plan {
    const char *level; /* its rooms are named after it */
    struct side sides[MOST_SIDES];
    unsigned first[MOST_ROOMS + 1]; /* of a room's sides; they go round clockwise */
    double x0[MOST_ROOMS], y0[MOST_ROOMS], x1[MOST_ROOMS], y1[MOST_ROOMS];
    double own[MOST_ROOMS]; /* a room's own ceiling, 0: the level's */
    unsigned rooms;
    double studs, joists, bore, ceiling;
    bool north, slanted;
    struct door doors[MOST_DOORS];
    unsigned door_count;
    struct duct ducts[MOST_DUCTS];
    unsigned duct_count;
    struct spot ends[ENDS];
};

static uint64_t state;

static uint32_t draw(uint32_t below)
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(state >> 33) % below;
}

/* The direction in which places on a side are counted: to the east, or to the north. */
static double heading(const struct side *s)
{
    return s->ux > 0 || (s->ux == 0 && s->uy > 0) ? 1 : -1;
}

/* The place of a point on the side's line, and how far the line lies to the left. */
static double place(const struct side *s, double x, double y)
{
    return heading(s) * (s->ux * x + s->uy * y);
}

static double off(const struct side *s)
{
    return heading(s) * (s->ux * s->y - s->uy * s->x);
}

static double side_lo(const struct side *s)
{
    double left = place(s, s->x, s->y);
    return heading(s) > 0 ? left : left - s->size;
}

static void add_doors(struct built_plan *b)
{
    b->door_count = draw(MOST_DOORS + 1);
    for (unsigned i = 0; i < b->door_count; i++) {
        struct door *d = &b->doors[i];
        do
            d->side = draw(b->first[b->rooms]);
        while (b->sides[d->side].size < 41);
        d->from = draw((uint32_t)(b->sides[d->side].size - 40)) + 5.0625;
        if (draw(3) == 0)
            d->from = 4.625; /* as near to the corner as its frame lets it be */
        static const double sills[] = {0, 0, 6, 20.5, 36};
        d->sill = sills[draw(5)];
    }
}

/* Whether a point lies within a room by a foot. */
static bool inside(const struct built_plan *b, unsigned room, double x, double y)
{
    for (unsigned i = b->first[room]; i < b->first[room + 1]; i++) {
        const struct side *s = &b->sides[i];
        if ((x - s->x) * s->uy - (y - s->y) * s->ux < 12)
            return false;
    }
    return true;
}

static void add_overhead(struct built_plan *b, struct spot *s)
{
    do {
        s->x = b->x0[s->room] + draw((uint32_t)(b->x1[s->room] - b->x0[s->room])) + 0.1875;
        s->y = b->y0[s->room] + draw((uint32_t)(b->y1[s->room] - b->y0[s->room])) + 0.1875;
    } while (!inside(b, s->room, s->x, s->y));
    s->side = NO_SIDE;
    s->z = b->ceiling;
}

static void add_ends(struct built_plan *b)
{
    for (unsigned i = 0; i < ENDS; i++) {
        struct spot *s = &b->ends[i];
        s->room = draw(b->rooms);
        if (draw(5) == 0) {
            add_overhead(b, s);
            continue;
        }
        s->side = b->first[s->room] + draw(b->first[s->room + 1] - b->first[s->room]);
        const struct side *w = &b->sides[s->side];
        s->from = draw((uint32_t)w->size) + 0.1875;
        for (unsigned d = 0; d < b->door_count; d++)
            if (b->doors[d].side == s->side && draw(4) == 0)
                s->from = b->doors[d].from + (draw(2) ? door_wide : 0); /* just at its edge */
        s->x = w->x + w->ux * s->from;
        s->y = w->y + w->uy * s->from;
        s->z = draw(2) ? 16 : 48;
    }
}

static void add_corner(struct built_plan *b, double x, double y)
{
    b->sides[b->first[b->rooms]++] = (struct side){.room = b->rooms, .x = x, .y = y};
}

/* A corner of the room, or the two ends of a wall across it: (wx, wy) of the one wall that meets
 * there is left out, (ox, oy) of the other. */
static void cut_corner(struct built_plan *b, double x, double y, double wx, double wy, double ox,
                       double oy)
{
    double in = 20 + draw(20) + 0.25, out = 20 + draw(20) + 0.25;
    if (!b->slanted || draw(3)) {
        add_corner(b, x, y);
        return;
    }
    add_corner(b, x + wx * in, y + wy * in);
    add_corner(b, x + ox * out, y + oy * out);
}

static void add_room(struct built_plan *b, double x0, double y0, double x1, double y1)
{
    unsigned r = b->rooms, from = b->first[r];
    b->x0[r] = x0, b->y0[r] = y0, b->x1[r] = x1, b->y1[r] = y1;
    add_corner(b, x0, y0);
    cut_corner(b, x0, y1, 0, -1, 1, 0);
    cut_corner(b, x1, y1, -1, 0, 0, -1);
    cut_corner(b, x1, y0, 0, 1, -1, 0);
    unsigned behind = b->first[r];
    for (unsigned i = from; i < behind; i++) {
        struct side *s = &b->sides[i];
        const struct side *next = &b->sides[i + 1 < behind ? i + 1 : from];
        s->size = hypot(next->x - s->x, next->y - s->y);
        s->ux = (next->x - s->x) / s->size;
        s->uy = (next->y - s->y) / s->size;
    }
    b->first[r] = from;
    b->first[++b->rooms] = behind;
}

/* Rows of rooms, each row with walls of its own between them; the rooms are named in any order. */
static void draw_building(struct built_plan *b, const char *level, bool slanted)
{
    static const double spacings[] = {12, 16, 24};
    memset(b, 0, sizeof *b);
    b->level = level;
    b->slanted = slanted;
    b->studs = spacings[1 + draw(2)];
    b->joists = spacings[draw(3)];
    b->north = draw(2);
    b->bore = 24;
    b->ceiling = 96;
    double room[MOST_ROOMS][4];
    unsigned count = 0;
    for (double y = 0, r = 0, high; r < ROWS; r++, y += high + gap) {
        unsigned columns = 1 + draw(COLUMNS);
        high = 84 + draw(96) + 0.5;
        for (double x = draw(3) ? 0 : 24.25, c = 0, wide; c < columns; c++, x += wide + gap) {
            wide = 84 + draw(120) + 0.25;
            if (!count || draw(4))
                memcpy(room[count++], (double[]){x, y, x + wide, y + high}, sizeof *room);
        }
    }
    while (count) {
        unsigned i = draw(count--);
        add_room(b, room[i][0], room[i][1], room[i][2], room[i][3]);
        memcpy(room[i], room[count], sizeof *room);
    }
    add_doors(b);
    add_ends(b);
}

/* Ducts that lie in a wall, stand before it, or go across it at any height. */
static void add_ducts(struct built_plan *b)
{
    static const double lows[] = {0, 18, 22, 26, 40, 60, 84}, thicks[] = {2, 5.5, 12};
    b->duct_count = 1 + draw(MOST_DUCTS);
    for (unsigned i = 0; i < b->duct_count; i++) {
        const struct side *s = &b->sides[draw(b->first[b->rooms])];
        double at = draw((uint32_t)s->size) + 0.4375, wide = 4 + draw(12), size = 12 + draw(60),
               off = draw(3) ? 0.3125 - draw(6) : 0.3125 - (double)draw(60);
        bool north = draw(2);
        double x = s->x + s->ux * at + s->uy * off, y = s->y + s->uy * at - s->ux * off;
        struct duct *d = &b->ducts[i];
        d->north = north;
        d->x0 = x - (north ? wide / 2 : size / 2);
        d->x1 = x + (north ? wide / 2 : size / 2);
        d->y0 = y - (north ? size / 2 : wide / 2);
        d->y1 = y + (north ? size / 2 : wide / 2);
        d->low = lows[draw(7)];
        d->high = d->low + thicks[draw(3)];
    }
}

static double ceiling_of(const struct built_plan *b, unsigned room)
{
    return b->own[room] > 0 ? b->own[room] : b->ceiling;
}

/* Some rooms go up higher than their level. */
static void raise_rooms(struct built_plan *b)
{
    static const double high[] = {0, 0, 108.5, 216};
    for (unsigned r = 0; r < b->rooms; r++)
        b->own[r] = high[draw(4)];
    for (unsigned i = 0; i < ENDS; i++)
        if (b->ends[i].side == NO_SIDE)
            b->ends[i].z = ceiling_of(b, b->ends[i].room);
}

static void write_way(struct buf *out, double by, const char *plus, const char *minus)
{
    if (by != 0)
        buf_printf(out, " %s %.4f\"", by > 0 ? plus : minus, fabs(by));
}

static void write_room(const struct built_plan *b, unsigned r, struct buf *out)
{
    buf_printf(out, "room %s%u { on %s; kind workshop; outline from %.4f\", %.4f\" {\n", b->level,
               r, b->level, b->x0[r], b->y0[r]);
    for (unsigned i = b->first[r]; i < b->first[r + 1]; i++) {
        buf_printf(out, "w%u", i);
        write_way(out, b->sides[i].ux * b->sides[i].size, "east", "west");
        write_way(out, b->sides[i].uy * b->sides[i].size, "north", "south");
        buf_puts(out, "\n");
    }
    buf_puts(out, "}\n");
    if (b->own[r] > 0)
        buf_printf(out, "ceiling %g\"\n", b->own[r]);
    if (r % 2) { /* what is said wall by wall is what the level says of all */
        buf_puts(out, "wall");
        for (unsigned i = b->first[r]; i < b->first[r + 1]; i++)
            buf_printf(out, " w%u", i);
        buf_printf(out, " 2x4 at %g\"\n", b->studs);
    }
    for (unsigned d = 0; d < b->door_count; d++)
        if (b->sides[b->doors[d].side].room == r)
            buf_printf(out,
                       b->doors[d].sill > 0 ? "window w%u at %.4f\" wide 30.125\" sill %g\"\n"
                                            : "door w%u at %.4f\" wide 30.125\"\n",
                       b->doors[d].side, b->doors[d].from, b->doors[d].sill);
    for (unsigned i = 0; i < ENDS; i++) {
        const struct spot *s = &b->ends[i];
        if (s->room == r && s->side == NO_SIDE)
            buf_printf(out, "box E%u overhead at %.4f\", %.4f\" { existing; data }\n", i,
                       s->x - b->x0[r], s->y - b->y0[r]);
        else if (s->room == r)
            buf_printf(out, "box E%u w%u at %.4f\" up %g\" { existing; data }\n", i, s->side,
                       s->from, s->z);
    }
    buf_puts(out, "}\n");
}

static void write_ducts(const struct built_plan *b, struct buf *out)
{
    for (unsigned i = 0; i < b->duct_count; i++) {
        const struct duct *d = &b->ducts[i];
        double x = (d->x0 + d->x1) / 2, y = (d->y0 + d->y1) / 2;
        buf_printf(out, "duct from %.5f\", %.5f\" to %.5f\", %.5f\" size %g\" by %g\" up %g\"\n",
                   d->north ? x : d->x0, d->north ? d->y0 : y, d->north ? x : d->x1,
                   d->north ? d->y1 : y, d->north ? d->x1 - d->x0 : d->y1 - d->y0, d->high - d->low,
                   d->low);
    }
}

/* A storey, its floor so high, with its rooms. */
static void write_level(const struct built_plan *b, double floor, struct buf *out)
{
    buf_printf(
        out,
        "level %s { floor %g\"; ceiling 96\"; walls 2x4 at %g\"; joists 2x10 at %g\" running "
        "%s%s\n",
        b->level, floor, b->studs, b->joists, b->north ? "north" : "east",
        floor > 0 || b->north ? "" : "; slab"); /* no way of these goes under the lowest floor */
    write_ducts(b, out);
    buf_puts(out, "}\n");
    for (unsigned r = 0; r < b->rooms; r++)
        write_room(b, r, out);
}

static void write_run(const struct built_plan *a, unsigned i, const struct built_plan *b,
                      unsigned k, const char *way, struct buf *out)
{
    buf_printf(out, "run %s%u.E%u -> %s%u.E%u %s\n", a->level, a->ends[i].room, i, b->level,
               b->ends[k].room, k, way);
}

static void write_plan(const struct built_plan *b, struct buf *out, const char *way)
{
    buf_puts(out, "plan \"Random\" { edition nec-2023 }\n");
    write_level(b, 0, out);
    buf_puts(out, "low-voltage net { cable cat6\n");
    for (unsigned i = 0; i < ENDS; i++)
        for (unsigned k = 0; k < ENDS; k++)
            if (i != k)
                write_run(b, i, b, k, way, out);
    buf_puts(out, "}\n");
}

/* --- the cheapest way, by trying all ------------------------------------------------------ */

/* A place in a wall: walls that lie together have one number. */
struct stop {
    unsigned group;
    double t, x, y;
    double z;   /* how high the studs are bored there */
    bool joint; /* beside a corner or an opening */
    bool turns; /* where a side of a room ends */
    bool bay;   /* a cable can stand there and go up */
};

/* A stud of a group. */
struct wood {
    unsigned group, rank; /* of two in one place the lower rank stays */
    double at;
};

/* The outer edges of an opening's frame, and how far under the others its studs are bored; negative
 * where nothing goes through. */
struct dip {
    unsigned group;
    double lo, hi, deep;
};

struct trial {
    const struct built_plan *b;
    unsigned group[MOST_SIDES]; /* by side: the first of those that lie together */
    double lo[MOST_SIDES], hi[MOST_SIDES];
    double middle[MOST_SIDES]; /* by group: where its studs are, as off() */
    struct dip dips[MOST_DOORS];
    struct dip
        fills[MOST_DUCTS * MOST_SIDES]; /* where a duct lies in the studs; negative: at the bores */
    unsigned fill_count;
    struct wood wood[MOST_WOOD];
    unsigned wood_count;
    struct stop nodes[MOST_NODES];
    unsigned count;
    bool crowded; /* two openings are so near that their frames are one, or one is in a corner */
    bool awkward; /* a stud stands just where a way may turn: what is one hole is a matter of taste
                   */
};

static bool together(const struct side *a, const struct side *b)
{
    return fabs(a->ux * b->uy - a->uy * b->ux) < 1e-9 && fabs(off(a) - off(b)) <= tolerance &&
           side_lo(b) <= side_lo(a) + a->size + tolerance &&
           side_lo(a) <= side_lo(b) + b->size + tolerance;
}

static void group_walls(struct trial *t)
{
    const struct side *sides = t->b->sides;
    unsigned n = t->b->first[t->b->rooms];
    for (unsigned i = 0; i < n; i++)
        t->group[i] = i;
    for (bool changed = true; changed;) {
        changed = false;
        for (unsigned i = 0; i < n; i++)
            for (unsigned k = 0; k < n; k++)
                if (t->group[k] > t->group[i] && together(&sides[i], &sides[k])) {
                    t->group[k] = t->group[i];
                    changed = true;
                }
    }
    for (unsigned i = 0; i < n; i++) {
        unsigned g = t->group[i];
        double lo = side_lo(&sides[i]), hi = lo + sides[i].size;
        t->lo[g] = g == i || lo < t->lo[g] ? lo : t->lo[g];
        t->hi[g] = g == i || hi > t->hi[g] ? hi : t->hi[g];
    }
}

/* Where a door begins on its wall. */
static double door_lo(const struct built_plan *b, const struct door *d)
{
    const struct side *s = &b->sides[d->side];
    return place(s, s->x, s->y) + (heading(s) > 0 ? d->from : -d->from - door_wide);
}

/* How high the studs under an opening are bored: between its rough sill and the plate, 2 in. of
 * wood kept to both; negative where there is no room. */
static double height_under(const struct built_plan *b, const struct door *d)
{
    double high = d->sill - thick - 2;
    return high < thick + 2 ? -1 : fmin(high, b->bore);
}

/* The opening that a place is in, its edges left out. */
static const struct door *door_at(const struct trial *t, unsigned g, double at)
{
    for (unsigned i = 0; i < t->b->door_count; i++) {
        double lo = door_lo(t->b, &t->b->doors[i]);
        if (t->group[t->b->doors[i].side] == g && lo < at - 1e-6 && at < lo + door_wide - 1e-6)
            return &t->b->doors[i];
    }
    return NULL;
}

/* --- studs, as a carpenter sets them ------------------------------------------------------- */

static void set_stud(struct trial *t, unsigned g, unsigned rank, double at)
{
    const struct door *d = door_at(t, g, at);
    if (at <= t->lo[g] || at >= t->hi[g])
        return;
    if (d && (rank < 4 || height_under(t->b, d) < 0))
        return;
    assert_true(t->wood_count < MOST_WOOD);
    t->wood[t->wood_count++] = (struct wood){g, d ? 3 : rank, at};
}

static int by_rank(const void *va, const void *vb)
{
    const struct wood *a = va, *b = vb;
    if (a->rank != b->rank)
        return a->rank < b->rank ? -1 : 1;
    return a->at < b->at ? -1 : a->at > b->at;
}

/* One jack and one king on each side of an opening of 30 in., a stud at each end of a wall, and the
 * others by the spacing from the left end of the wall of the room named first. */
static void set_studs(struct trial *t)
{
    const struct built_plan *b = t->b;
    t->wood_count = 0;
    for (unsigned i = 0; i < b->door_count; i++)
        for (unsigned k = 0; k < 2; k++) {
            double lo = door_lo(b, &b->doors[i]), out = thick * (k + 0.5);
            set_stud(t, t->group[b->doors[i].side], k, lo - out);
            set_stud(t, t->group[b->doors[i].side], k, lo + door_wide + out);
        }
    for (unsigned i = 0; i < b->first[b->rooms]; i++) {
        const struct side *s = &b->sides[i];
        set_stud(t, t->group[i], 2, side_lo(s) + thick / 2);
        set_stud(t, t->group[i], 2, side_lo(s) + s->size - thick / 2);
        for (double from = b->studs; from < s->size; from += b->studs) {
            double at = place(s, s->x, s->y) + heading(s) * from;
            bool taken = false;
            for (unsigned k = 0; k < b->first[s->room]; k++)
                taken |= t->group[k] == t->group[i] && side_lo(&b->sides[k]) <= at &&
                         at <= side_lo(&b->sides[k]) + b->sides[k].size;
            if (!taken)
                set_stud(t, t->group[i], 4, at);
        }
    }
    qsort(t->wood, t->wood_count, sizeof *t->wood, by_rank);
    unsigned kept = 0;
    for (unsigned i = 0; i < t->wood_count; i++) {
        bool stands = true;
        for (unsigned k = 0; k < kept; k++)
            stands &= t->wood[k].group != t->wood[i].group ||
                      fabs(t->wood[k].at - t->wood[i].at) >= thick - 1e-6;
        if (stands)
            t->wood[kept++] = t->wood[i];
    }
    t->wood_count = kept;
}

static void find_crowds(struct trial *t)
{
    const struct built_plan *b = t->b;
    t->crowded = false;
    for (unsigned i = 0; i < b->door_count; i++)
        for (unsigned k = 0; k < i; k++)
            t->crowded |= t->group[b->doors[i].side] == t->group[b->doors[k].side] &&
                          fabs(door_lo(b, &b->doors[i]) - door_lo(b, &b->doors[k])) < door_wide + 8;
    for (unsigned i = 0; i < b->door_count; i++)
        for (unsigned k = 0; k < 2 * b->first[b->rooms]; k++) {
            const struct side *s = &b->sides[k / 2];
            double from = side_lo(s) + (k % 2 ? s->size : 0) - door_lo(b, &b->doors[i]);
            t->crowded |= t->group[k / 2] == t->group[b->doors[i].side] && from > -4.6 &&
                          from < door_wide + 4.6;
        }
}

static unsigned studs_in(const struct trial *t, unsigned g, double lo, double hi)
{
    unsigned n = 0;
    for (unsigned i = 0; i < t->wood_count; i++)
        n += t->wood[i].group == g && lo < t->wood[i].at && t->wood[i].at < hi;
    return n;
}

static bool in_wood(const struct trial *t, unsigned g, double at)
{
    for (unsigned i = 0; i < t->wood_count; i++)
        if (t->wood[i].group == g && fabs(t->wood[i].at - at) < thick / 2 - 1e-6)
            return true;
    return false;
}

/* Whether the bay on one side of a place is an inch wide. */
static bool has_bay(const struct trial *t, unsigned g, double at)
{
    double before = -INFINITY, behind = INFINITY;
    for (unsigned i = 0; i < t->wood_count; i++) {
        double from = t->wood[i].at - thick / 2, to = t->wood[i].at + thick / 2;
        if (t->wood[i].group != g)
            continue;
        if (to <= at + 1e-6)
            before = fmax(before, to);
        if (from >= at - 1e-6)
            behind = fmin(behind, from);
    }
    return behind - before >= 1 - 1e-6;
}

/* Whether a cable that goes up there would meet an opening: at its edge it stands between its
 * jacks.
 */
static bool under_opening(const struct trial *t, unsigned g, double at)
{
    return door_at(t, g, at - 0.01) || door_at(t, g, at + 0.01);
}

/* Out of wood, out of bays that are too narrow and out of openings. */
static double clear_place(const struct trial *t, unsigned g, double at, double step)
{
    double best = at;
    for (bool moved = true; moved;) {
        moved = false;
        for (unsigned i = 0; i < t->wood_count; i++) {
            double near = (t->wood[i].at - best) * step - thick / 2;
            if (t->wood[i].group == g && near < 1 - 1e-6 && near > -thick - 1e-6) {
                double to = t->wood[i].at + step * thick / 2;
                moved |= fabs(to - best) > 1e-6;
                best = to;
            }
        }
        const struct door *d = door_at(t, g, best + step * 0.01);
        if (d) {
            best = door_lo(t->b, d) + (step > 0 ? door_wide : 0);
            moved = true;
        }
    }
    return best;
}

static void find_dips(struct trial *t)
{
    for (unsigned i = 0; i < t->b->door_count; i++) {
        const struct door *d = &t->b->doors[i];
        unsigned g = t->group[d->side];
        double under = height_under(t->b, d);
        t->dips[i] = (struct dip){g, clear_place(t, g, door_lo(t->b, d), -1),
                                  clear_place(t, g, door_lo(t->b, d) + door_wide, 1),
                                  under < 0 ? -1 : t->b->bore - under};
    }
}

/* --- ducts --------------------------------------------------------------------------------- */

/* Between the faces of two rooms, or 2-1/4 in. behind the face of one: half an inch of finish and
 * half a 2x4. */
static void find_middles(struct trial *t)
{
    const struct built_plan *b = t->b;
    for (unsigned g = 0; g < b->first[b->rooms]; g++) {
        const struct side *sides[2] = {NULL, NULL};
        for (unsigned i = b->first[b->rooms]; i-- > 0;)
            if (t->group[i] == g)
                sides[heading(&b->sides[i]) > 0] = &b->sides[i];
        t->middle[g] = sides[0] && sides[1] ? (off(sides[0]) + off(sides[1])) / 2
                       : sides[1]           ? off(sides[1]) + 2.25
                       : sides[0]           ? off(sides[0]) - 2.25
                                            : 0;
    }
}

/* The stretch of a wall that runs east or north in which a duct lies in its studs; false: none. */
static bool stretch_in(const struct trial *t, unsigned g, const struct duct *d, double *lo,
                       double *hi)
{
    bool east = fabs(t->b->sides[g].uy) < 1e-9;
    double across = east ? t->middle[g] : -t->middle[g];
    *lo = east ? d->x0 : d->y0;
    *hi = east ? d->x1 : d->y1;
    return (east ? d->y0 : d->x0) < across - 1e-5 && across + 1e-5 < (east ? d->y1 : d->x1);
}

static void find_fills(struct trial *t)
{
    const struct built_plan *b = t->b;
    t->fill_count = 0;
    for (unsigned g = 0; g < b->first[b->rooms]; g++)
        for (unsigned i = 0; i < b->duct_count && t->group[g] == g; i++) {
            double lo, hi;
            const struct duct *d = &b->ducts[i];
            if (!stretch_in(t, g, d, &lo, &hi) || d->low >= b->ceiling || hi <= t->lo[g] ||
                t->hi[g] <= lo)
                continue;
            bool bars = d->low < b->bore && b->bore < d->high;
            lo = fmax(lo, t->lo[g]);
            hi = fmin(hi, t->hi[g]);
            t->fills[t->fill_count++] =
                (struct dip){g, clear_place(t, g, lo - clear, -1), clear_place(t, g, hi + clear, 1),
                             bars ? -1 : 0};
        }
}

/* Whether no duct is in a bay between two heights above the floor. */
static bool bay_is_free(const struct trial *t, unsigned g, double at, double from, double to)
{
    double lo, hi;
    for (unsigned i = 0; i < t->b->duct_count; i++) {
        const struct duct *d = &t->b->ducts[i];
        if (stretch_in(t, g, d, &lo, &hi) && lo < at && at < hi && d->low < fmax(from, to) &&
            fmin(from, to) < d->high)
            return false;
    }
    return true;
}

/* The same straight up from a place of the plan. */
static bool is_free(const struct built_plan *b, const struct spot *s, double to)
{
    for (unsigned i = 0; i < b->duct_count; i++) {
        const struct duct *d = &b->ducts[i];
        if (d->x0 < s->x && s->x < d->x1 && d->y0 < s->y && s->y < d->y1 &&
            d->low < fmax(s->z, to) && fmin(s->z, to) < d->high)
            return false;
    }
    return true;
}

/* Its walls, studs, openings and ducts. */
static void frame(struct trial *t, const struct built_plan *b)
{
    t->b = b;
    group_walls(t);
    find_crowds(t);
    set_studs(t);
    find_dips(t);
    find_middles(t);
    find_fills(t);
}

/* How high the studs are bored at a place. */
static double bored_at(const struct trial *t, unsigned g, double at)
{
    for (const struct dip *d = t->dips; d < t->dips + t->b->door_count; d++)
        if (d->group == g && d->deep > 0 && d->lo + 1e-6 < at && at < d->hi - 1e-6)
            return t->b->bore - d->deep;
    return t->b->bore;
}

static void add_node(struct trial *t, unsigned g, double at, bool joint, bool corner)
{
    for (unsigned i = 0; i < t->count; i++)
        if (t->nodes[i].group == g && fabs(t->nodes[i].t - at) < 1e-6) {
            t->nodes[i].joint |= joint;
            return;
        }
    for (unsigned i = 0; i < t->wood_count; i++)
        t->awkward |= t->wood[i].group == g && fabs(t->wood[i].at - at) < 1e-4;
    assert_true(t->count < MOST_NODES);
    const struct side *s = &t->b->sides[g];
    double cx = heading(s) * s->ux, cy = heading(s) * s->uy;
    bool bay = !corner && !in_wood(t, g, at) && !under_opening(t, g, at) && has_bay(t, g, at) &&
               t->lo[g] <= at && at <= t->hi[g];
    t->nodes[t->count++] = (struct stop){
        g,      at, cx * at - cy * off(s), cy * at + cx * off(s), bored_at(t, g, at), joint,
        corner, bay};
}

/* Where a line of wall has the easting, or the northing, of an end: on both sides of a stud. */
static void add_facing(struct trial *t, unsigned g, const struct spot *end)
{
    const struct side *s = &t->b->sides[g];
    double cx = heading(s) * s->ux, cy = heading(s) * s->uy;
    double at[] = {(end->x + cy * off(s)) / cx, (end->y - cx * off(s)) / cy};
    for (int i = 0; i < 2; i++)
        if (fabs(i ? cy : cx) > 1e-9 && t->lo[g] <= at[i] && at[i] <= t->hi[g] &&
            !in_wood(t, g, at[i]))
            add_node(t, g, at[i], false, false);
}

/* Where its joists are counted from. */
static double lowest_corner(const struct built_plan *b)
{
    double corner = INFINITY;
    for (unsigned r = 0; r < b->rooms; r++)
        corner = fmin(corner, b->north ? b->x0[r] : b->y0[r]);
    return corner;
}

/* Both faces of each stud, and behind each joist that is crossed: wherever a way may be better than
 * before. */
static void add_bays(struct trial *t)
{
    const struct built_plan *b = t->b;
    for (unsigned i = 0; i < t->wood_count; i++)
        for (double step = -1; step < 2; step += 2) {
            double at = t->wood[i].at + step * thick / 2;
            if (!in_wood(t, t->wood[i].group, at) && has_bay(t, t->wood[i].group, at))
                add_node(t, t->wood[i].group, at, t->wood[i].rank < 3, false);
        }
    for (unsigned i = 0; i < b->first[b->rooms]; i++) {
        const struct side *s = &b->sides[i];
        if (t->group[i] != i || fabs(b->north ? s->uy : s->ux) > 1e-9)
            continue;
        double corner = lowest_corner(b);
        for (double at = corner; at < t->hi[i]; at += b->joists)
            for (double step = -1; step < 2; step += 2)
                if (at + step * thick / 2 > t->lo[i] && !in_wood(t, i, at + step * thick / 2))
                    add_node(t, i, at + step * thick / 2, false, false);
    }
}

static void add_nodes(struct trial *t, const struct spot *const ends[2])
{
    const struct built_plan *b = t->b;
    t->count = 0;
    for (unsigned i = 0; i < b->first[b->rooms]; i++) {
        add_node(t, t->group[i], side_lo(&b->sides[i]), false, true);
        add_node(t, t->group[i], side_lo(&b->sides[i]) + b->sides[i].size, false, true);
    }
    for (int e = 0; e < 2; e++)
        if (ends[e]->side != NO_SIDE)
            add_node(t, t->group[ends[e]->side],
                     place(&b->sides[ends[e]->side], ends[e]->x, ends[e]->y), false, false);
    for (unsigned i = 0; i < b->first[b->rooms]; i++)
        for (int e = 0; e < 2 && t->group[i] == i; e++)
            add_facing(t, i, ends[e]);
    add_bays(t);
    for (const struct dip *f = t->fills; f < t->fills + t->fill_count; f++) {
        if (t->lo[f->group] <= f->lo)
            add_node(t, f->group, f->lo, true, false);
        if (f->hi <= t->hi[f->group])
            add_node(t, f->group, f->hi, true, false);
    }
}

/* Whether some room has a corner where the two walls meet in these two places. */
static bool corner(const struct trial *t, const struct stop *p, const struct stop *q)
{
    const struct built_plan *b = t->b;
    for (unsigned r = 0; r < b->rooms; r++)
        for (unsigned i = b->first[r]; i < b->first[r + 1]; i++) {
            unsigned k = i + 1 < b->first[r + 1] ? i + 1 : b->first[r];
            const struct side *in = &b->sides[i], *out = &b->sides[k];
            double t_in = place(in, out->x, out->y), t_out = place(out, out->x, out->y);
            if ((t->group[i] == p->group && t->group[k] == q->group && fabs(t_in - p->t) < 1e-6 &&
                 fabs(t_out - q->t) < 1e-6) ||
                (t->group[i] == q->group && t->group[k] == p->group && fabs(t_in - q->t) < 1e-6 &&
                 fabs(t_out - p->t) < 1e-6))
                return true;
        }
    return false;
}

static unsigned joists_between(const struct built_plan *b, double x0, double y0, double x1,
                               double y1)
{
    double corner = lowest_corner(b);
    double lo = fmin(b->north ? x0 : y0, b->north ? x1 : y1) - corner,
           hi = fmax(b->north ? x0 : y0, b->north ? x1 : y1) - corner;
    unsigned n = 0;
    for (double at = floor(lo / b->joists) * b->joists; at < hi - 1e-6; at += b->joists)
        n += at > lo + 1e-6;
    return n;
}

static bool is_under_joist(const struct built_plan *b, double x, double y)
{
    return fabs(remainder((b->north ? x : y) - lowest_corner(b), b->joists)) < thick / 2 - 1e-4;
}

static double over(const struct built_plan *b, double x0, double y0, double x1, double y1)
{
    return fabs(x0 - x1) + fabs(y0 - y1) + 6.0 * joists_between(b, x0, y0, x1, y1);
}

/* One step between two places of a wall; negative where there is none. */
static double wall_step(const struct trial *t, const struct stop *p, const struct stop *q)
{
    double a = fmin(p->t, q->t), z = fmax(p->t, q->t), down = fabs(p->z - q->z);
    for (const struct dip *d = t->dips; d < t->dips + t->b->door_count; d++) {
        if (d->group != p->group || d->hi <= a + 1e-6 || d->lo >= z - 1e-6)
            continue;
        if (d->deep < 0)
            return -1;
        if (a <= d->lo + 1e-6 && d->hi <= z + 1e-6)
            down += 2 * d->deep;
    }
    for (const struct dip *f = t->fills; f < t->fills + t->fill_count; f++)
        if (f->deep < 0 && f->group == p->group && f->lo + 1e-6 < z && a < f->hi - 1e-6)
            return -1;
    return z - a + down + 6.0 * studs_in(t, p->group, a, z);
}

/* Whether a node is the place of an end in its own wall. */
static bool is_place_of(const struct trial *t, const struct spot *end, unsigned node)
{
    return node < t->count && end->side != NO_SIDE && t->nodes[node].group == t->group[end->side] &&
           fabs(t->nodes[node].t - place(&t->b->sides[end->side], end->x, end->y)) < 1e-6;
}

/* Where an end in front of a stud has its cable: beside it. Gives how far that is; negative where
 * the end is in an opening. */
static double step_aside(struct trial *t, struct spot *end)
{
    if (end->side == NO_SIDE)
        return 0;
    const struct side *s = &t->b->sides[end->side];
    unsigned g = t->group[end->side];
    double at = place(s, end->x, end->y), to = at;
    const struct door *d = door_at(t, g, at);
    if (d && end->z > d->sill)
        return -1;
    if (in_wood(t, g, at) || (!d && under_opening(t, g, at))) {
        double left = clear_place(t, g, at, -1), right = clear_place(t, g, at, 1);
        bool to_left = right > t->hi[g] || (left >= t->lo[g] && at - left <= right - at);
        t->awkward |= fabs(at - left - (right - at)) < 1e-3;
        to = to_left ? left : right;
    }
    end->x += heading(s) * s->ux * (to - at);
    end->y += heading(s) * s->uy * (to - at);
    return fabs(to - at);
}

/* A place where a way leaves a storey, or goes up through one, and what it costs up to the joists.
 */
struct exit {
    double x, y, cost;
    bool taste; /* under a joist: whether that one is passed is a matter of taste */
};

struct exits {
    struct exit at[MOST_NODES];
    unsigned n;
};

/* What each node costs to reach from an end through the walls. Along a wall from one node to the
 * next. */
static void through_walls(const struct trial *t, const struct spot *from, double *cost)
{
    static bool done[MOST_NODES];
    memset(done, 0, sizeof done);
    for (unsigned i = 0; i < t->count; i++)
        cost[i] = is_place_of(t, from, i) &&
                          bay_is_free(t, t->nodes[i].group, t->nodes[i].t, from->z, t->nodes[i].z)
                      ? fabs(from->z - t->nodes[i].z)
                      : INFINITY;
    for (;;) {
        unsigned at = t->count;
        for (unsigned i = 0; i < t->count; i++)
            if (!done[i] && cost[i] < INFINITY && (at == t->count || cost[i] < cost[at]))
                at = i;
        if (at == t->count)
            return;
        done[at] = true;
        const struct stop *p = &t->nodes[at], *next[2] = {NULL, NULL};
        for (unsigned to = 0; to < t->count; to++) {
            const struct stop *q = &t->nodes[to];
            if (q->group == p->group && q != p) {
                const struct stop **side = &next[q->t > p->t];
                if (!*side || fabs(q->t - p->t) < fabs((*side)->t - p->t))
                    *side = q;
            } else if (p->turns && q->turns && corner(t, p, q)) {
                cost[to] = fmin(cost[to], cost[at]);
            }
        }
        for (int side = 0; side < 2; side++) {
            double step = next[side] ? wall_step(t, p, next[side]) : -1;
            if (step >= 0)
                cost[next[side] - t->nodes] = fmin(cost[next[side] - t->nodes], cost[at] + step);
        }
    }
}

/* Where a way may leave the storey of an end for the joists at a height over its floor: straight
 * from it, or from its walls. */
static void find_exits(struct trial *t, const struct spot *end, const struct spot *far,
                       double height, struct exits *out)
{
    struct spot seen = *far;
    static double cost[MOST_NODES];
    seen.side = NO_SIDE;
    const struct spot *ends[] = {end, &seen};
    add_nodes(t, ends);
    through_walls(t, end, cost);
    const struct door *d =
        end->side == NO_SIDE
            ? NULL
            : door_at(t, t->group[end->side], place(&t->b->sides[end->side], end->x, end->y));
    out->n = 0;
    if (end->side == NO_SIDE && is_free(t->b, end, height))
        out->at[out->n++] = (struct exit){end->x, end->y, fabs(height - end->z), false};
    for (unsigned i = 0; i < t->count && (!d || height < end->z); i++)
        if (is_place_of(t, end, i) &&
            bay_is_free(t, t->nodes[i].group, t->nodes[i].t, end->z, height))
            out->at[out->n++] =
                (struct exit){t->nodes[i].x, t->nodes[i].y, fabs(height - end->z) + 12, false};
    for (unsigned i = 0; i < t->count; i++)
        if (t->nodes[i].bay && cost[i] < INFINITY &&
            bay_is_free(t, t->nodes[i].group, t->nodes[i].t, t->nodes[i].z, height))
            out->at[out->n++] = (struct exit){t->nodes[i].x, t->nodes[i].y,
                                              cost[i] + fabs(height - t->nodes[i].z) + 12,
                                              is_under_joist(t->b, t->nodes[i].x, t->nodes[i].y)};
}

/* The ceiling that a way between two ends goes over: of what hangs from one, that one; from wall to
 * wall that of both rooms, and the lower of two, but never one below the level's. */
static double ceiling_between(const struct built_plan *b, const struct spot *a,
                              const struct spot *z)
{
    double at_a = ceiling_of(b, a->room), at_z = ceiling_of(b, z->room);
    if (a->side == NO_SIDE && z->side == NO_SIDE)
        return fmax(at_a, at_z);
    if (a->side == NO_SIDE || z->side == NO_SIDE)
        return a->side == NO_SIDE ? at_a : at_z;
    return fmin(at_a, at_z);
}

/* The cheapest way between two ends, prices of holes included; infinite where there is none. */
static double cheapest(struct trial *t, const struct spot *a, const struct spot *z, bool ceiling)
{
    static struct exits from, to;
    static double cost[MOST_NODES];
    double height = ceiling_between(t->b, a, z) + joist_deep / 2, best = INFINITY;
    bool taste = false;
    const struct spot *ends[2] = {a, z};
    add_nodes(t, ends);
    through_walls(t, a, cost);
    for (unsigned i = 0; i < t->count; i++)
        if (is_place_of(t, z, i) &&
            bay_is_free(t, t->nodes[i].group, t->nodes[i].t, z->z, t->nodes[i].z))
            best = fmin(best, cost[i] + fabs(z->z - t->nodes[i].z));
    if (!ceiling)
        return best;
    find_exits(t, a, z, height, &from);
    find_exits(t, z, a, height, &to);
    double least = INFINITY;
    for (unsigned k = 0; k < to.n; k++)
        least = fmin(least, to.at[k].cost);
    for (unsigned i = 0; i < from.n; i++)
        for (unsigned k = 0; k < to.n && from.at[i].cost + least < best; k++) {
            const struct exit *p = &from.at[i], *q = &to.at[k];
            if (p->cost + q->cost + fabs(p->x - q->x) + fabs(p->y - q->y) >= best)
                continue;
            double whole = p->cost + q->cost + over(t->b, p->x, p->y, q->x, q->y);
            if (whole < best)
                taste = p->taste || q->taste;
            best = fmin(best, whole);
        }
    t->awkward |= taste;
    return best;
}

/* --- the two against each other ----------------------------------------------------------- */

static double cost_of(const struct route *r)
{
    double sum = 0;
    for (uint32_t i = 0; i < r->segment_count; i++)
        sum += length_inches(r->segments[i].length);
    for (uint32_t i = 0; i < r->members_count; i++)
        sum += r->members[i].count * (r->members[i].member == MEMBER_PLATE ? 12 : 6);
    return sum;
}

static unsigned compared, through_studs, barred, elsewhere;

static bool as_cheap(const struct route *r, double want)
{
    return fabs(cost_of(r) - want) <= 1e-3;
}

static void compare_building(uint64_t seed, bool studs_only, bool slanted, bool ducts)
{
    struct built_plan b;
    state = seed * 7919 + 17;
    draw_building(&b, "r", slanted);
    if (seed % 2)
        raise_rooms(&b);
    if (ducts)
        add_ducts(&b);
    struct buf text = {0};
    write_plan(&b, &text, studs_only ? "via studs" : "");
    struct compilation c;
    compile_text(&c, buf_text(&text));
    static struct trial t;
    frame(&t, &b);
    unsigned at = 0;
    for (unsigned i = 0; i < ENDS; i++)
        for (unsigned k = 0; k < ENDS; k++) {
            if (i == k)
                continue;
            struct spot ends[2] = {b.ends[i], b.ends[k]};
            const struct spot *a = &ends[0], *z = &ends[1];
            const struct route *r = &c.routes->of_run[at++];
            bool walls_only = studs_only && a->side != NO_SIDE && z->side != NO_SIDE;
            t.awkward = t.crowded;
            double aside[2] = {step_aside(&t, &ends[0]), step_aside(&t, &ends[1])};
            if (t.awkward || aside[0] < 0 || aside[1] < 0)
                continue;
            double want = cheapest(&t, a, z, !walls_only) + aside[0] + aside[1];
            if (t.awkward)
                continue;
            compared++;
            if (ducts) {
                static struct trial plain;
                struct built_plan without = b;
                without.duct_count = 0;
                frame(&plain, &without);
                elsewhere += cheapest(&plain, a, z, !walls_only) + aside[0] + aside[1] < want - 1;
            }
            through_studs +=
                r->segment_count > 1 && r->segments[r->segment_count / 2].kind == THROUGH_STUDS;
            if (r->blocked != isinf(want))
                fprintf(stderr, "seed %llu, E%u to E%u: %s, wanted %.4f\n%s",
                        (unsigned long long)seed, i, k, r->blocked ? "blocked" : "not blocked",
                        want, buf_text(&text));
            assert_int_equal(r->blocked, isinf(want));
            if (r->blocked) {
                barred++;
                continue;
            }
            if (!as_cheap(r, want))
                fprintf(stderr, "seed %llu, E%u to E%u: %.4f, wanted %.4f\n%s",
                        (unsigned long long)seed, i, k, cost_of(r), want, buf_text(&text));
            assert_true(as_cheap(r, want));
            /* the parts make up the length, but for the thickness of the walls that it goes through
             */
            length sum = 0;
            for (uint32_t n = 0; n < r->segment_count; n++)
                sum += r->segments[n].length;
            assert_true(sum <= r->path && r->path - sum <= 3 * 5 * INCH);
            /* from the other end it is the same */
            unsigned back = k * (ENDS - 1) + (i > k ? i - 1 : i);
            const struct route *s = &c.routes->of_run[back];
            assert_int_equal(r->path, s->path);
            assert_int_equal(r->bores, s->bores);
            assert_int_equal(r->supports, s->supports);
            assert_int_equal(r->cut, s->cut);
        }
    compile_free(&c);
    buf_free(&text);
}

static void cheapest_way_is_found(void **unused)
{
    (void)unused;
    compared = through_studs = barred = 0;
    for (uint64_t seed = 1; seed <= 24; seed++)
        compare_building(seed, false, seed % 3 == 0, false);
    assert_true(compared > 100 && through_studs > 40 && barred == 0);
}

static void studs_alone_are_searched_to_the_end(void **unused)
{
    (void)unused;
    compared = through_studs = barred = 0;
    for (uint64_t seed = 1001; seed <= 1014; seed++)
        compare_building(seed, true, seed % 3 == 0, false);
    assert_true(compared > 50 && barred > 0 && barred < compared / 2);
}

/* Ducts in the studs are not bored through, those before a wall are in nobody's way. */
static void ways_keep_out_of_ducts(void **unused)
{
    (void)unused;
    compared = barred = elsewhere = 0;
    for (uint64_t seed = 2001; seed <= 2040; seed++)
        compare_building(seed, seed % 2 == 0, false, true);
    assert_true(compared > 100 && elsewhere > 10 && barred < compared / 4);
}

/* --- towers ------------------------------------------------------------------------------- */

/* Where a way may go up inside the walls of a storey: beside their corners and openings, and where
 * they face an end. */
static void find_ways_up(struct trial *t, const struct spot *a, const struct spot *z,
                         struct exits *out)
{
    struct spot both[] = {*a, *z};
    both[0].side = both[1].side = NO_SIDE;
    const struct spot *ends[] = {&both[0], &both[1]};
    add_nodes(t, ends);
    out->n = 0;
    for (unsigned i = 0; i < t->count; i++)
        if (t->nodes[i].bay)
            out->at[out->n++] = (struct exit){t->nodes[i].x, t->nodes[i].y, 0, false};
}

static double cheapest_over(const struct built_plan *b, const struct exits *from,
                            const struct exit *to)
{
    double best = INFINITY;
    for (unsigned i = 0; i < from->n; i++)
        best = fmin(best, from->at[i].cost + to->cost +
                              over(b, from->at[i].x, from->at[i].y, to->x, to->y));
    return best;
}

/* Each joist of a way stands where its number says: so many spacings from the corner of the storey
 * below, east or north of it, or before it. */
static void check_joists(const struct compilation *c, const struct route *r,
                         const struct built_plan *storeys)
{
    for (uint32_t i = 0; i < r->passed_count; i++) {
        struct passed p = route_member(c->routes->frame, r, i);
        if (p.member != MEMBER_JOIST)
            continue;
        const struct built_plan *b = &storeys[length_inches(p.at.z) > 108]; /* the floor of mid */
        double corner = lowest_corner(b);
        assert_near(length_inches(b->north ? p.at.x : p.at.y), corner + p.index * b->joists, 1e-6);
    }
}

/* The cheapest way from an end on one storey to one in a wall on the next, or on the one over that:
 * through both plates of the walls between. */
static double cheapest_up(struct trial *storey, unsigned passed, const struct spot *a,
                          const struct spot *z)
{
    static struct exits from, to, up;
    double rise = 108, best = INFINITY, height = storey[0].b->ceiling + joist_deep / 2;
    find_exits(&storey[0], a, z, height, &from);
    find_exits(&storey[passed + 1], z, a, height - rise, &to);
    bool awkward = storey[0].awkward | storey[1].awkward | storey[passed + 1].awkward;
    if (passed) {
        find_ways_up(&storey[1], a, z, &up);
        for (unsigned i = 0; i < up.n; i++)
            up.at[i].cost = cheapest_over(storey[0].b, &from, &up.at[i]) + rise + 24;
    }
    for (unsigned i = 0; i < to.n; i++)
        best = fmin(best, cheapest_over(storey[passed].b, passed ? &up : &from, &to.at[i]));
    return awkward ? -1 : best;
}

static unsigned compare_tower(uint64_t seed)
{
    static const char *const names[] = {"low", "mid", "top"};
    static struct built_plan b[3];
    static struct trial t[3];
    struct buf text = {0};
    struct compilation c;
    unsigned at = 0, held = 0;
    state = seed * 6151 + 5;
    buf_puts(&text, "plan \"Tower\" { edition nec-2023 }\n");
    for (unsigned i = 0; i < 3; i++) {
        do
            draw_building(&b[i], names[i], seed % 2);
        while (i == 1 && b[i].first[b[i].rooms] > 9); /* what is far out of the way is not tried */
        frame(&t[i], &b[i]);
        write_level(&b[i], 108.0 * i, &text);
    }
    buf_puts(&text, "low-voltage net { cable cat6\n");
    for (unsigned n = 0; n < 2 * ENDS; n++)
        write_run(&b[0], n % ENDS, &b[1 + n / ENDS], (n + 1) % ENDS, "", &text);
    buf_puts(&text, "}\n");
    compile_text(&c, buf_text(&text));
    for (unsigned n = 0; n < 2 * ENDS; n++) {
        struct spot a = b[0].ends[n % ENDS], z = b[1 + n / ENDS].ends[(n + 1) % ENDS];
        const struct route *r = &c.routes->of_run[at++];
        if (z.side == NO_SIDE)
            continue;
        for (unsigned i = 0; i < 3; i++)
            t[i].awkward = t[i].crowded;
        double aside[2] = {step_aside(&t[0], &a), step_aside(&t[1 + n / ENDS], &z)};
        if (aside[0] < 0 || aside[1] < 0)
            continue;
        check_joists(&c, r, b);
        double want = cheapest_up(t, n / ENDS, &a, &z);
        if (want < 0)
            continue;
        want += aside[0] + aside[1];
        held++;
        bool near = fabs(cost_of(r) - want) <= 2 * 6;
        if (!near)
            fprintf(stderr, "seed %llu, run %u: %.4f, wanted %.4f\n%s", (unsigned long long)seed, n,
                    cost_of(r), want, buf_text(&text));
        assert_true(near);
    }
    compile_free(&c);
    buf_free(&text);
    return held;
}

static void cheapest_way_up_a_tower(void **unused)
{
    (void)unused;
    unsigned held = 0;
    for (uint64_t seed = 1; seed <= 8; seed++)
        held += compare_tower(seed);
    assert_true(held > 15);
}

/* --- members, bits, plates and staples ---------------------------------------------------- */

static double share(struct compilation *c, const struct share_column *column, const char *row)
{
    return code_cell_share(&c->model->code, column, code_key(&c->model->code, row), -1);
}

static double depth_of(struct compilation *c, const char *lumber)
{
    return length_inches(code_cell_length(&c->model->code, COL_LUMBER_DEPTH,
                                          code_key(&c->model->code, lumber), -INCH));
}

/* R602.6: a 2x4 (3-1/2 in.) may be bored 1.4 in. where it bears, 2.1 in. where it does not;
 * R502.8.1: a 2x10 (9-1/4 in.) 3.083 in. */
static void published_limits(void **unused)
{
    (void)unused;
    static const struct {
        const char *lumber;
        double bearing, partition, joist;
    } members[] = {{"2x4", 1.40, 2.10, 0},
                   {"2x6", 2.20, 3.30, 1.833},
                   {"2x8", 2.90, 4.35, 2.417},
                   {"2x10", 0, 0, 3.083},
                   {"2x12", 0, 0, 3.750}};
    struct compilation c;
    compile_sound(&c, "plan \"Empty\" { edition nec-2023; edition irc-2024 }\nroom a { kind "
                      "workshop; size 10' by 10' }\n");
    for (unsigned i = 0; i < sizeof members / sizeof *members; i++) {
        double depth = depth_of(&c, members[i].lumber);
        if (members[i].bearing > 0) {
            assert_near(depth * share(&c, COL_STUD_LIMITS_BORE, "bearing"), members[i].bearing,
                        0.001);
            assert_near(depth * share(&c, COL_STUD_LIMITS_BORE, "partition"), members[i].partition,
                        0.001);
        }
        if (members[i].joist > 0)
            assert_near(depth * code_share(&c.model->code, SET_JOIST_LIMITS_BORE, 0),
                        members[i].joist, 0.001);
    }
    compile_free(&c);
}

/* 300.4(A)(1): a bore in the middle keeps 1-1/4 in. on both sides up to 1 in. in 3-1/2 in. of wood,
 * never in 2-1/2 in., up to 3 in. in 5-1/2 in. */
static void plates_where_the_wood_is_thin(void **unused)
{
    (void)unused;
    length edge = INCH + INCH / 4;
    struct lumber two_by_four = {.depth = 3 * INCH + INCH / 2},
                  two_by_three = {.depth = 2 * INCH + INCH / 2},
                  two_by_six = {.depth = 5 * INCH + INCH / 2};
    assert_int_equal(route_plates_of_bore(&two_by_four, INCH, edge), 0);
    assert_int_equal(route_plates_of_bore(&two_by_four, INCH + INCH / 16, edge), 1);
    assert_int_equal(route_plates_of_bore(&two_by_four, 2 * INCH + INCH / 2, edge), 2);
    assert_int_equal(route_plates_of_bore(&two_by_three, INCH / 2, edge), 1);
    assert_int_equal(route_plates_of_bore(&two_by_three, INCH + INCH / 2, edge), 2);
    assert_int_equal(route_plates_of_bore(&two_by_six, 3 * INCH, edge), 0);
    assert_int_equal(route_plates_of_bore(&two_by_six, 3 * INCH + INCH / 64, edge), 1);
}

/* F1, F2 of R602.6 (https://hinarratives.com/notching-boring-framing/) and R502.8.1
 * (https://app.leg.wa.gov/WAC/default.aspx?cite=296-150C-1000,
 * http://www.jlconline.com/how-to/framing/q-a-notches-holes-in-joists_o), as inches worked out by
 * hand there. */
static void published_notches(void **unused)
{
    (void)unused;
    static const struct {
        const char *lumber;
        double bearing, partition;
    } studs[] = {
        {"2x3", 0.625, 1.000}, {"2x4", 0.875, 1.400}, {"2x6", 1.375, 2.200}, {"2x8", 1.812, 2.900}};
    static const struct {
        const char *lumber;
        double deep, wide, end;
    } joists[] = {{"2x6", 0.917, 1.833, 1.375},
                  {"2x8", 1.208, 2.417, 1.812},
                  {"2x10", 1.542, 3.083, 2.312},
                  {"2x12", 1.875, 3.750, 2.812}};
    struct compilation c;
    compile_sound(&c, "plan \"Empty\" { edition nec-2023; edition irc-2018 }\nroom a { kind "
                      "workshop; size 10' by 10' }\n");
    for (unsigned i = 0; i < 4; i++) {
        double depth = depth_of(&c, studs[i].lumber);
        assert_near(depth * share(&c, COL_STUD_LIMITS_NOTCH, "bearing"), studs[i].bearing, 0.001);
        assert_near(depth * share(&c, COL_STUD_LIMITS_NOTCH, "partition"), studs[i].partition,
                    0.001);
        depth = depth_of(&c, joists[i].lumber);
        assert_near(depth * code_share(&c.model->code, SET_JOIST_LIMITS_NOTCH, 0), joists[i].deep,
                    0.001);
        assert_near(depth * code_share(&c.model->code, SET_JOIST_LIMITS_NOTCH_LONG, 0),
                    joists[i].wide, 0.001);
        assert_near(depth * code_share(&c.model->code, SET_JOIST_LIMITS_END_NOTCH, 0),
                    joists[i].end, 0.001);
    }
    compile_free(&c);
}

/* 300.4(A)(2): a plate over every notch; 300.4(A)(1) asks another where the far face is nearer than
 * 1-1/4 in. */
static void notches_are_always_plated(void **unused)
{
    (void)unused;
    length edge = INCH + INCH / 4;
    struct lumber two_by_two = {.depth = INCH + INCH / 2},
                  two_by_six = {.depth = 5 * INCH + INCH / 2};
    assert_int_equal(route_plates_of_notch(&two_by_six, INCH / 2, 1, edge), 1);
    assert_int_equal(route_plates_of_notch(&two_by_six, 4 * INCH + INCH / 4, 1, edge), 1);
    assert_int_equal(route_plates_of_notch(&two_by_six, 4 * INCH + INCH / 2, 1, edge), 2);
    assert_int_equal(route_plates_of_notch(&two_by_two, INCH / 4, 1, edge), 1);
    assert_int_equal(route_plates_of_notch(&two_by_two, INCH / 2, 1, edge), 2);
}

/* A shed of one room, 15 ft by 10 ft, its joists running east; a partition's wall inside where
 * `more` says so. Whether the notch rule speaks of its one run. */
static const struct finding *notch_finding(struct compilation *c, const char *level,
                                           const char *room, const char *circuit)
{
    char text[2000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition nec-2023; edition irc-2018 }\nlevel g { %s }\nroom shed { "
             "kind workshop; size 15' by 10'\n%s }\n"
             "panel P { in shed west at 3' up 5'; main 60 A; spaces 8 }\ncircuit P.1 { breaker 15 "
             "A; cable 14/2\n%s }\n",
             level, room, circuit);
    compile_text(c, text);
    return finding_of(c, "notch-too-deep", 0);
}

/* R602.6: 7/8 in. and no more into the 2x4 studs of an outside wall, 1-3/8 in. into those of a 2x6.
 */
static void stud_notches_keep_their_depth(void **unused)
{
    (void)unused;
    static const struct {
        const char *walls, *depth;
        bool found;
    } cases[] = {{"2x4", "7/8\"", false},    {"2x4", "57/64\"", true}, {"2x6", "1-3/8\"", false},
                 {"2x6", "1-25/64\"", true}, {"2x3", "5/8\"", false},  {"2x3", "41/64\"", true}};
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char level[80], run[120];
        struct compilation c;
        snprintf(level, sizeof level, "walls %s at 16\"", cases[i].walls);
        snprintf(run, sizeof run, "run P -> shed.R1 via studs notched %s", cases[i].depth);
        const struct finding *f = notch_finding(&c, level, "box R1 west at 7' { receptacle }", run);
        assert_int_equal(f != NULL, cases[i].found);
        if (f)
            assert_string_equal(f->article, "IRC 2018 R602.6");
        assert_int_equal(findings_of(&c, "notch-too-deep"), cases[i].found);
        assert_int_equal(c.routes->of_run[0].bores, 0);
        assert_int_equal(c.routes->of_run[0].notches,
                         3); /* studs at 48, 64 and 80 in. lie between 36 and 84 in. */
        assert_true(c.routes->of_run[0].plates >= 3);
        assert_int_equal(c.routes->of_run[0].supports,
                         2); /* 334.30(A): the notches hold it between */
        compile_free(&c);
    }
}

/* R502.8.1 on a 2x8 (7-1/4 in.) that spans 15 ft: a sixth, 1.208 in., in the outer thirds, 0 to 5
 * and 10 to 15 ft; nothing between; a quarter, 1.812 in., over the wall. 4 in. lumber at its ends
 * only. A third of the depth, 2.417 in., for the length: six cables of 0.39 in. are 2.34 in. */
static void joist_notches_keep_their_place(void **unused)
{
    (void)unused;
    static const struct {
        const char *joists, *east, *depth, *says;
    } cases[] = {
        {"2x8", "4'-11\"", "1-3/16\"", NULL},
        {"2x8", "4'-11\"", "1-15/64\"", "1 3/16\" is the most"},
        {"2x8", "5'", "1/2\"", NULL},
        {"2x8", "5'-1\"", "1/2\"", "middle third of its span of 15'"},
        {"2x8", "9'-11\"", "1/2\"", "middle third"},
        {"2x8", "10'", "1/2\"", NULL},
        {"4x8", "2'", "1/2\"", "away from its ends"},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char level[80], room[200], run[120];
        struct compilation c;
        snprintf(level, sizeof level, "joists %s at 16\" running east", cases[i].joists);
        snprintf(room, sizeof room,
                 "box A overhead at %s, 1' { }\nbox B overhead at %s, 9' { receptacle }",
                 cases[i].east, cases[i].east);
        snprintf(run, sizeof run, "run P -> shed.A\nrun shed.A -> B notched %s", cases[i].depth);
        const struct finding *f = notch_finding(&c, level, room, run);
        assert_int_equal(f != NULL, cases[i].says != NULL);
        if (f) {
            assert_non_null(strstr(f->message, cases[i].says));
            assert_string_equal(f->article, "IRC 2018 R502.8.1");
        }
        compile_free(&c);
    }
}

/* Over the wall that carries it a joist takes a quarter, and 4 in. lumber too; a partition that the
 * plan does not call bearing carries nothing. */
static void joist_ends_take_more(void **unused)
{
    (void)unused;
    static const char room[] = "box R1 west at 8' { receptacle }";
    struct compilation c;
    assert_null(notch_finding(&c, "joists 2x8 at 16\" running east", room,
                              "run P -> shed.R1 via overhead notched 1-13/16\""));
    assert_true(c.routes->of_run[0].notches > 0);
    compile_free(&c);
    assert_non_null(strstr(notch_finding(&c, "joists 2x8 at 16\" running east", room,
                                         "run P -> shed.R1 via overhead notched 1-7/8\"")
                               ->message,
                           "1 13/16\" is the most at its end"));
    compile_free(&c);
    assert_null(notch_finding(&c, "joists 4x8 at 16\" running east", room,
                              "run P -> shed.R1 via overhead notched 1\""));
    compile_free(&c);
    for (int bearing = 0; bearing < 2; bearing++) {
        char text[2000];
        snprintf(
            text, sizeof text,
            "plan \"Two\" { edition nec-2023 }\nroom a { kind workshop; corner 0', 0'; size 10' by "
            "10'%s\nbox A overhead at 8', 1' { }\nbox B overhead at 8', 9' { receptacle } }\n"
            "room b { kind workshop; corner 10'-3 1/2\", 0'; size 10' by 10' }\npanel P { in a "
            "west at 3'; main 60 A; spaces 8 }\n"
            "circuit P.1 { breaker 15 A; run P -> a.A\nrun a.A -> B notched 1/2\" }\n",
            bearing ? "; bearing east" : "");
        compile_text(&c, text); /* 8 ft is in the middle third of 20'-3 1/2", but not of 10 ft */
        assert_int_equal(findings_of(&c, "notch-too-deep"), !bearing);
        compile_free(&c);
    }
}

static void notches_hold_several_cables(void **unused)
{
    (void)unused;
    for (unsigned cables = 1; cables <= 7; cables++) {
        struct buf b = {0};
        struct compilation c;
        buf_puts(&b, "plan \"Shed\" { edition nec-2023 }\nlevel g { joists 2x8 at 16\" running "
                     "east }\nroom shed { kind workshop; size 15' by 10'\n"
                     "box A overhead at 2', 1' { }\nbox B overhead at 2', 9' { } }\nlow-voltage "
                     "net { cable cat6\n");
        for (unsigned i = 0; i < cables; i++)
            buf_printf(&b, "run shed.A -> B notched 1/2\" as n%u\n", i);
        buf_puts(&b, "}\n");
        compile_text(&c, buf_text(&b));
        for (uint32_t i = 0; i < c.bores->list.n; i++) {
            assert_int_equal(c.bores->list.at[i].notch, INCH / 2);
            assert_int_equal(c.bores->list.at[i].bit, 0);
            assert_int_equal(c.bores->list.at[i].run_count, cables);
            assert_int_equal(c.bores->list.at[i].wide,
                             cables * c.model->runs.at[0]->declared->diameter);
            assert_int_equal(c.bores->list.at[i].plates, 1);
        }
        assert_true(c.bores->list.n > 0);
        compile_free(&c);
        buf_free(&b);
    }
}

static void assert_said(const struct buf *out, const char *words)
{
    if (!strstr(out->at, words))
        fprintf(stderr, "wanted %s in\n%s", words, out->at);
    assert_non_null(strstr(out->at, words));
}

/* Holes by bit leave notches out; every report that tells of holes tells of notches by their name.
 */
static void reports_tell_notches_from_holes(void **unused)
{
    (void)unused;
    static const struct {
        const char *report, *words[3];
    } cases[] = {
        {"bores",
         {"\"notch_in\": 0.7500, \"count\": 1",
          "\"holes\": 2, \"wood_in\": 6.0, \"plates\": 0, \"in_studs\": 0, \"in_plates\": 2, "
          "\"in_joists\": 0",
          "\"notches\": 3, \"wood_in\": null, \"plates\": 3, \"in_studs\": 3,"}},
        {"runs", {"\"bores\": 0, \"notches\": 3,", "\"bores\": 2, \"supports\"", "\"plates\": 3"}},
        {"todo", {"3 notches", "2 holes", "\"stage\": \"bore\""}},
        {"inspection", {"notch-too-deep: 3", "bore-too-large: 2", "depth of the notches in"}},
        {"materials",
         {"\"item\": \"plate\", \"quantity\": 4", "\"item\": \"staple ",
          "\"item\": \"breaker"}}, /* 3 plates, and a tenth to spare */
    };
    struct compilation c;
    assert_null(
        notch_finding(&c, "joists truss at 24\" running east",
                      "box R1 west at 7' { receptacle }\nbox R2 west at 1' { receptacle }",
                      "run P -> shed.R1 via studs notched 3/4\"\nrun P -> shed.R2 via overhead"));
    struct results r;
    assert_true(cmd_results(&c, &r));
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct buf out = {0};
        report_write(report_named(cases[i].report), &r, REPORT_JSON, &out);
        buf_text(&out);
        for (int k = 0; k < 3; k++)
            assert_said(&out, cases[i].words[k]);
        buf_free(&out);
    }
    compile_free(&c);
}

/* R602.6: a hole and a notch not in one section; the cable that is too thick for its notch has no
 * way there. */
static void notches_that_cannot_be(void **unused)
{
    (void)unused;
    static const char room[] =
        "box R1 west at 7' { receptacle }\nbox R2 west at 8'-6\" { receptacle }";
    struct compilation c;
    const struct finding *f =
        notch_finding(&c, "walls 2x4 at 16\"", room,
                      "run P -> shed.R1 via studs notched 3/4\"\nrun P -> shed.R2 via studs");
    assert_non_null(f);
    assert_non_null(strstr(f->message, "a hole and a notch may not meet"));
    assert_int_equal(findings_of(&c, "notch-too-deep"), 1);
    compile_free(&c);
    assert_null(notch_finding(
        &c, "walls 2x4 at 16\"", room,
        "run P -> shed.R1 via studs notched 3/4\"\nrun P -> shed.R2 via studs notched 3/4\""));
    assert_int_equal(findings_of(&c, "run-blocked"), 0);
    compile_free(&c);
    assert_null(notch_finding(&c, "walls 2x4 at 16\"", room,
                              "run P -> shed.R1 -> R2 via studs notched 1/4\""));
    assert_int_equal(findings_of(&c, "run-blocked"), 2);
    compile_free(&c);
    assert_null(
        notch_finding(&c, "joists lvl at 16\" running east", room,
                      "run P -> shed.R1 via overhead notched 1/2\"\nrun P -> shed.R2 via studs"));
    f = finding_of(&c, "engineered-member-bored", 0);
    assert_non_null(f);
    assert_non_null(strstr(f->message, "notches a joist of lvl"));
    assert_string_equal(f->article, "IRC 2018 R502.8.2");
    compile_free(&c);
    assert_null(notch_finding(
        &c, "walls 2x4 at 16\"", room,
        "run P -> shed.R1 fished notched 2\"\nrun shed.R1 -> R2 exposed notched 2\""));
    assert_int_equal(findings_of(&c, "no-effect-yet"), 2);
    compile_free(&c);
    notch_finding(&c, "walls 2x4 at 16\"", room,
                  "run P -> shed.R1 notched 0\"\nrun shed.R1 -> R2 notched 2 A");
    assert_int_equal(c.diag.counts[ERROR] >= 2, true);
    assert_int_equal(findings_of(&c, "wrong-unit"), 1);
    compile_free(&c);
}

static uint32_t staples(length before, length held, length after, length from_a, length from_b)
{
    struct segment parts[] = {
        {.length = before}, {.length = held, .held = true}, {.length = after}};
    struct segment loose[] = {{.length = before}, {.length = after}};
    struct route r = held ? (struct route){.segments = parts, .segment_count = 3}
                          : (struct route){.segments = loose, .segment_count = 2};
    return route_supports(&r, from_a, from_b, 54 * INCH);
}

/* 334.30: within 12 in. of each box (8 in. where it has no clamp), then at most 4-1/2 ft apart;
 * bores that near hold the cable. */
static void staples_follow_their_distances(void **unused)
{
    (void)unused;
    length foot = FOOT, eight = 8 * INCH;
    assert_int_equal(staples(0, 0, 0, foot, foot), 0);
    assert_int_equal(staples(6 * INCH, 0, 6 * INCH, foot, foot), 1);
    assert_int_equal(staples(foot, 0, foot, foot, foot), 2);
    assert_int_equal(staples(3 * FOOT, 0, 3 * FOOT + 6 * INCH, foot, foot),
                     2); /* 4-1/2 ft between the two */
    assert_int_equal(staples(3 * FOOT, 0, 3 * FOOT + 6 * INCH, eight, foot), 3); /* 4 ft 10 in. */
    assert_int_equal(staples(eight, 6 * FOOT, eight, foot, foot), 2);
    assert_int_equal(staples(5 * FOOT + 6 * INCH, 6 * FOOT, eight, foot, foot),
                     2); /* 4-1/2 ft from the staple to the bore */
    assert_int_equal(staples(5 * FOOT + 6 * INCH, 6 * FOOT, eight, eight, foot), 3);
}

/* A shed whose west wall takes so many cables from one bay to another. */
static void shed_of_cables(struct compilation *c, unsigned cables, const char *cable)
{
    struct buf b = {0};
    buf_puts(&b,
             "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 20' by 14'\n");
    for (unsigned i = 0; i < cables; i++)
        buf_printf(&b, "box R%u west at 9' up %u\" { receptacle }\n", i, 14 + 5 * i);
    buf_puts(&b, "}\npanel P { in shed west at 4' up 5'; main 100 A; spaces 20 }\n");
    for (unsigned i = 0; i < cables; i++)
        buf_printf(&b, "circuit P.%u { breaker 15 A; cable %s; run P -> shed.R%u via studs }\n",
                   i + 1, cable, i);
    compile_sound(c, buf_text(&b));
    buf_free(&b);
}

/* Common trade practice: 3/4 in. for two cables of 14 AWG, 1 in. for three; more of them get a
 * second hole, filled alike. */
static void cables_share_bores(void **unused)
{
    (void)unused;
    static const struct {
        unsigned cables, holes;
        double bits[2];
    } wanted[] = {{1, 1, {0.75, 0}},
                  {2, 1, {0.75, 0}},
                  {3, 1, {1, 0}},
                  {4, 2, {0.75, 0.75}},
                  {5, 2, {1, 0.75}}};
    for (unsigned i = 0; i < 5; i++) {
        struct compilation c;
        shed_of_cables(&c, wanted[i].cables, "14/2");
        unsigned holes = 0, cables = 0;
        for (uint32_t k = 0; k < c.bores->list.n; k++) {
            const struct bore *bore = &c.bores->list.at[k];
            if (bore_member(c.bores, bore).member != MEMBER_STUD ||
                bore_member(c.bores, bore).stud->index != 5)
                continue;
            assert_true(holes < 2);
            assert_near(length_inches(bore->bit), wanted[i].bits[holes++], 1e-9);
            assert_near(length_inches(wiring_bored_through(c.model, c.bores, bore)), 1.5, 1e-9);
            cables += bore->run_count;
        }
        assert_int_equal(holes, wanted[i].holes);
        assert_int_equal(cables, wanted[i].cables);
        /* the panel is set between the studs at 32 and 48 in., and the boxes stand between 96
         * and 112 in.: studs at 48, 64, 80 and 96 in. */
        assert_int_equal(c.routes->of_run[0].bores, 4);
        compile_free(&c);
    }
}

/* A wall that a room stands on one side of is an outside wall; between two rooms it bears where the
 * plan says so. */
static void walls_that_bear(void **unused)
{
    (void)unused;
    struct compilation c;
    compile_sound(
        &c, "plan \"Two\" { edition nec-2023 }\n"
            "room a { kind workshop; corner 0', 0'; size 10' by 10' }\n"
            "room b { kind workshop; corner 10'-3 1/2\", 0'; size 10' by 10'; bearing east }\n"
            "room d { kind workshop; corner 20'-7\", 0'; size 10' by 10' }\n");
    const struct skeleton *f = c.routes->frame;
    const struct face *left = frame_face_of(f, c.model->rooms.at[0], 0),
                      *ab = frame_face_of(f, c.model->rooms.at[0], 2),
                      *bd = frame_face_of(f, c.model->rooms.at[2], 0);
    assert_int_equal(ab->line, frame_face_of(f, c.model->rooms.at[1], 0)->line);
    assert_true(frame_bears(f, &f->lines[left->line], 5 * FOOT));
    assert_false(frame_bears(f, &f->lines[ab->line], 5 * FOOT));
    assert_true(frame_bears(f, &f->lines[bd->line], 5 * FOOT));
    compile_free(&c);
}

/* Three floors: the cable goes up inside the walls of the one between, or in its chase, which costs
 * no hole. */
static void floors_between_are_passed(void **unused)
{
    (void)unused;
    static const char plan[] =
        "plan \"Tower\" { edition nec-2023 }\n"
        "level one { floor 0'; ceiling 8' }\nlevel two { floor 9'; ceiling 8' }\nlevel three { "
        "floor 18'; ceiling 8' }\n"
        "room a { on one; kind workshop; corner 0', 0'; size 14' by 10'\nbox A south at 7' { data "
        "} }\n"
        "room b { on two; kind workshop; corner 0', 0'; size 14' by 10'%s }\n"
        "room d { on three; kind workshop; corner 0', 0'; size 14' by 10'\nbox D south at 7' { "
        "data } }\n"
        "low-voltage net { cable cat6; run a.A -> d.D }\n";
    char text[2000];
    struct compilation c;
    snprintf(text, sizeof text, plan, "");
    compile_sound(&c, text);
    const struct route *r = &c.routes->of_run[0];
    assert_int_equal(r->path, 18 * FOOT);
    assert_int_equal(r->bores,
                     4); /* out of the first floor, in and out of the second, into the third */
    compile_free(&c);
    snprintf(text, sizeof text, plan, "\nchase at 6'-6\", 0' size 1' by 8\"");
    compile_sound(&c, text);
    r = &c.routes->of_run[0];
    assert_int_equal(r->bores, 2);
    assert_int_equal(r->path,
                     18 * FOOT + 8 * INCH); /* 4 in. to the middle of the chase, and back */
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cheapest_way_is_found),
        cmocka_unit_test(studs_alone_are_searched_to_the_end),
        cmocka_unit_test(ways_keep_out_of_ducts),
        cmocka_unit_test(cheapest_way_up_a_tower),
        cmocka_unit_test(published_limits),
        cmocka_unit_test(plates_where_the_wood_is_thin),
        cmocka_unit_test(published_notches),
        cmocka_unit_test(notches_are_always_plated),
        cmocka_unit_test(stud_notches_keep_their_depth),
        cmocka_unit_test(joist_notches_keep_their_place),
        cmocka_unit_test(joist_ends_take_more),
        cmocka_unit_test(notches_hold_several_cables),
        cmocka_unit_test(notches_that_cannot_be),
        cmocka_unit_test(reports_tell_notches_from_holes),
        cmocka_unit_test(staples_follow_their_distances),
        cmocka_unit_test(cables_share_bores),
        cmocka_unit_test(walls_that_bear),
        cmocka_unit_test(floors_between_are_passed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

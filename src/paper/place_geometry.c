/* Lines, areas and outlines in whole numbers. */
#include "paper/place_geometry.h"

static um least(um a, um b)
{
    return a < b ? a : b;
}

static um most(um a, um b)
{
    return a > b ? a : b;
}

/* Twice the area of the triangle; above 0 where c lies to the right of the way from a to b (y is
 * down). */
static int64_t turn(struct spot a, struct spot b, struct spot c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static int sign(int64_t n)
{
    return n > 0 ? 1 : n < 0 ? -1 : 0;
}

struct area place_line_area(struct place_line l)
{
    return (struct area){least(l.a.x, l.b.x), least(l.a.y, l.b.y), most(l.a.x, l.b.x),
                         most(l.a.y, l.b.y)};
}

/* Whether a point of the whole line is one of the line between its ends. */
static bool between(struct place_line l, struct spot at)
{
    struct area a = place_line_area(l);
    return at.x >= a.left && at.x <= a.right && at.y >= a.top && at.y <= a.bottom;
}

bool place_lines_meet(struct place_line k, struct place_line l)
{
    int a = sign(turn(k.a, k.b, l.a)), b = sign(turn(k.a, k.b, l.b)), c = sign(turn(l.a, l.b, k.a)),
        d = sign(turn(l.a, l.b, k.b));
    if (a * b < 0 && c * d < 0)
        return true;
    return (!a && between(k, l.a)) || (!b && between(k, l.b)) || (!c && between(l, k.a)) ||
           (!d && between(l, k.b));
}

/* They have no point in common where an axis of the area or the line itself parts them. */
bool place_line_in(struct place_line l, struct area a)
{
    struct area of = place_line_area(l);
    if (of.right <= a.left || of.left >= a.right || of.bottom <= a.top || of.top >= a.bottom)
        return false;
    if (l.a.x == l.b.x || l.a.y == l.b.y)
        return true;
    struct spot corners[] = {
        {a.left, a.top}, {a.right, a.top}, {a.right, a.bottom}, {a.left, a.bottom}};
    bool right = false, left = false;
    for (int i = 0; i < 4; i++) {
        int64_t t = turn(l.a, l.b, corners[i]);
        right |= t > 0;
        left |= t < 0;
    }
    return right && left;
}

/* Brings the end `*at` of a line up to a border: x, or with `down` y, no less than it (or no more,
 * with `above`). */
static void cut_to(struct spot *at, struct spot other, um border, bool down, bool above)
{
    um here = down ? at->y : at->x, there = down ? other.y : other.x;
    if (above ? here <= border : here >= border)
        return;
    um across = (down ? other.x - at->x : other.y - at->y) * (border - here) / (there - here);
    at->x = down ? at->x + across : border;
    at->y = down ? border : at->y + across;
}

bool place_line_cut(struct place_line *l, struct area a)
{
    if (!place_line_in(*l, a))
        return false;
    for (int end = 0; end < 2; end++) {
        struct spot *at = end ? &l->b : &l->a, other = end ? l->a : l->b;
        cut_to(at, other, a.left, false, false);
        cut_to(at, other, a.right, false, true);
        cut_to(at, other, a.top, true, false);
        cut_to(at, other, a.bottom, true, true);
    }
    return true;
}

um place_line_inside(struct place_line l, struct area a)
{
    if (!place_line_cut(&l, a))
        return 0;
    struct area of = place_line_area(l);
    return most(of.right - of.left, of.bottom - of.top);
}

int64_t place_gap(struct area a, struct area b)
{
    um x = most(0, most(b.left - a.right, a.left - b.right)),
       y = most(0, most(b.top - a.bottom, a.top - b.bottom));
    return x * x + y * y;
}

int64_t place_root(int64_t square)
{
    int64_t root = 0, bit = 1;
    for (int64_t left = square >> 2; left; left >>= 2)
        bit <<= 1;
    for (; bit; bit >>= 1)
        if ((root + bit) * (root + bit) <= square)
            root += bit;
    return root;
}

bool place_spot_within(struct spot at, const struct spot *outline, uint32_t count)
{
    bool within = false;
    for (uint32_t i = 0; i < count; i++) {
        struct spot a = outline[i], b = outline[i + 1 < count ? i + 1 : 0];
        if ((a.y <= at.y) == (b.y <= at.y))
            continue;
        int64_t t = turn(a, b, at);
        within ^= b.y > a.y ? t < 0 : t > 0;
    }
    return within;
}

/* Where no edge of the outline has a point inside, all of the area lies on the side of its
 * middle. */
bool place_area_within(struct area a, const struct spot *outline, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++)
        if (place_line_in((struct place_line){outline[i], outline[i + 1 < count ? i + 1 : 0]}, a))
            return false;
    struct spot middle = {a.left + (a.right - a.left) / 2, a.top + (a.bottom - a.top) / 2};
    return place_spot_within(middle, outline, count);
}

bool place_disc_in(struct spot at, um radius, struct area a)
{
    um x = most(0, most(a.left - at.x, at.x - a.right)),
       y = most(0, most(a.top - at.y, at.y - a.bottom));
    return x * x + y * y < radius * radius;
}

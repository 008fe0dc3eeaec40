#include "sheet_counts.h"

#include <math.h>
#include <string.h>

const char *const sheet_fault_words[SHEET_FAULTS] = {
    [TEXT_ON_TEXT] = "text on text",           [SYMBOL_ON_SYMBOL] = "symbol on symbol",
    [LABEL_ON_SYMBOL] = "words on a symbol",   [FOREIGN_NEARER] = "label nearer to a foreign thing",
    [IN_OTHER_ROOM] = "label in another room", [NAME_ON_CABLE] = "words on a cable",
    [THROUGH_WALL] = "words on a wall",        [TOO_SMALL] = "letters too small",
    [OUTSIDE] = "beyond the border",
};

/* What may touch by roundings, in micrometres. */
static const double slack = 60;

struct point {
    double x, y;
};

typedef VEC(struct point) point_list;

/* A mark as it lies on paper: a stroke of `radius` to both sides along its points, and if it is
 * solid what they enclose. */
struct figure {
    const struct mark *mark;
    const struct group *within[ROLE_COUNT]; /* the outermost group of that role about it, or NULL */
    point_list line;
    bool solid;
    double radius;
    struct area area;
};

typedef VEC(struct figure) figure_list;

struct counting {
    struct arena arena;
    const struct sheet *s;
    struct sheet_counts found;
    struct buf *why;
    figure_list all;
    struct area border;
};

/* --- geometry ----------------------------------------------------------------------------------
 */

static double from_line(struct point p, struct point a, struct point b)
{
    double x = b.x - a.x, y = b.y - a.y, square = x * x + y * y;
    double t = square > 0 ? ((p.x - a.x) * x + (p.y - a.y) * y) / square : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return hypot(p.x - a.x - t * x, p.y - a.y - t * y);
}

/* Which side of a line a point lies on. */
static double side(struct point a, struct point b, struct point c)
{
    return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

static double between_lines(struct point a, struct point b, struct point c, struct point d)
{
    if (side(a, b, c) * side(a, b, d) < 0 && side(c, d, a) * side(c, d, b) < 0)
        return 0;
    return fmin(fmin(from_line(a, c, d), from_line(b, c, d)),
                fmin(from_line(c, a, b), from_line(d, a, b)));
}

static bool encloses(const struct figure *f, struct point p)
{
    bool in = false;
    for (uint32_t i = 0; f->solid && i < f->line.n; i++) {
        struct point a = f->line.at[i], b = f->line.at[(i + 1) % f->line.n];
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (b.x - a.x) * (p.y - a.y) / (b.y - a.y))
            in = !in;
    }
    return in;
}

/* How many lines its points make; one point is a line of no length. */
static uint32_t lines_of(const struct figure *f)
{
    return f->line.n < 2 ? 1 : f->solid ? f->line.n : f->line.n - 1;
}

/* How far a figure's border is from a point. */
static double from_border(const struct figure *f, struct point p)
{
    double least = INFINITY;
    for (uint32_t i = 0; i < lines_of(f); i++)
        least = fmin(least, from_line(p, f->line.at[i], f->line.at[(i + 1) % f->line.n]));
    return least;
}

/* How deep the points of one lie in the other. */
static double depth_in(const struct figure *f, const struct figure *g)
{
    double deepest = 0;
    for (uint32_t i = 0; g->solid && i < f->line.n; i++)
        if (encloses(g, f->line.at[i]))
            deepest = fmax(deepest, from_border(g, f->line.at[i]));
    return deepest;
}

/* How far two figures are apart; below 0 where they meet. */
static double apart(const struct figure *f, const struct figure *g)
{
    double least = INFINITY, depth = fmax(depth_in(f, g), depth_in(g, f));
    for (uint32_t i = 0; i < lines_of(f); i++)
        for (uint32_t k = 0; k < lines_of(g); k++)
            least = fmin(least, between_lines(f->line.at[i], f->line.at[(i + 1) % f->line.n],
                                              g->line.at[k], g->line.at[(k + 1) % g->line.n]));
    return (depth > 0 ? -depth : least) - f->radius - g->radius;
}

/* No more than figures in these areas are apart. */
static double gap(struct area a, struct area b)
{
    double x = fmax(0, (double)(a.left > b.left ? a.left - b.right : b.left - a.right));
    double y = fmax(0, (double)(a.top > b.top ? a.top - b.bottom : b.top - a.bottom));
    return hypot(x, y);
}

/* Whether one lies on the other by more than roundings. */
static bool meet(const struct figure *f, const struct figure *g)
{
    return area_meets(f->area, g->area) && apart(f, g) <= -slack;
}

/* --- figures -----------------------------------------------------------------------------------
 */

static void add_point(struct counting *c, struct figure *f, double x, double y)
{
    *vec_push(&c->arena, &f->line) = (struct point){x, y};
}

/* How far letters hang below the base line, of the height of capitals: as Liberation Sans draws
 * them (435 of 1409 units of its design). */
static double hangs(const char *text)
{
    return strpbrk(text, "gjpqyQ,;()[]{}_@|$") ? 0.31 : 0.02;
}

/* The corners of a text, turned about its place. A little is taken off at each side and given back
 * as a radius, so that letters that only touch do not meet. */
static void text_points(struct counting *c, struct figure *f)
{
    const struct mark *m = f->mark;
    double turn = m->lettering.degrees * M_PI / 180, caps = (double)m->lettering.caps;
    double wide = (double)m->width, in = fmin(fmin(wide, caps) / 4, 2 * slack);
    double left = m->lettering.anchor == AT_MIDDLE ? -wide / 2
                  : m->lettering.anchor == AT_END  ? -wide
                                                   : 0;
    double x[] = {left + in, left + wide - in}, y[] = {-caps + in, caps * hangs(m->text) - in};
    for (int i = 0; i < 4; i++) {
        double px = x[i == 1 || i == 2], py = y[i > 1];
        add_point(c, f, (double)m->at.x + px * cos(turn) - py * sin(turn),
                  (double)m->at.y + px * sin(turn) + py * cos(turn));
    }
    f->solid = true;
    f->radius = in;
}

static void arc_points(struct counting *c, struct figure *f)
{
    const struct mark *m = f->mark;
    for (int i = 0, parts = 24; i <= parts; i++) {
        double at = (m->from + (double)(m->to - m->from) * i / parts) * M_PI / 180;
        add_point(c, f, (double)m->at.x + (double)m->radius * cos(at),
                  (double)m->at.y + (double)m->radius * sin(at));
    }
}

static void curve_points(struct counting *c, struct figure *f)
{
    const struct spot *q = f->mark->points;
    for (uint32_t i = 0; i + 3 < f->mark->count; i += 3, q += 3)
        for (int k = 0; k <= 16; k++) {
            double t = k / 16.0, u = 1 - t, a = u * u * u, b = 3 * u * u * t, d = 3 * u * t * t,
                   e = t * t * t;
            add_point(
                c, f,
                a * (double)q[0].x + b * (double)q[1].x + d * (double)q[2].x + e * (double)q[3].x,
                a * (double)q[0].y + b * (double)q[1].y + d * (double)q[2].y + e * (double)q[3].y);
        }
}

static void points_of(struct counting *c, struct figure *f)
{
    const struct mark *m = f->mark;
    struct area b = m->box;
    f->radius = m->pen.stroke == NO_INK ? 0 : (double)m->pen.width / 2;
    switch (m->kind) {
    case MARK_LINE:
    case MARK_SHAPE:
        for (uint32_t i = 0; i < m->count; i++)
            add_point(c, f, (double)m->points[i].x, (double)m->points[i].y);
        f->solid = m->kind == MARK_SHAPE;
        break;
    case MARK_RECT:
        add_point(c, f, (double)b.left, (double)b.top);
        add_point(c, f, (double)b.right, (double)b.top);
        add_point(c, f, (double)b.right, (double)b.bottom);
        add_point(c, f, (double)b.left, (double)b.bottom);
        f->solid = true;
        break;
    case MARK_CIRCLE:
        add_point(c, f, (double)m->at.x, (double)m->at.y);
        f->radius += (double)m->radius;
        break;
    case MARK_ARC:
        arc_points(c, f);
        break;
    case MARK_CURVE:
        curve_points(c, f);
        break;
    default:
        text_points(c, f);
    }
}

static bool is_drawn(const struct mark *m)
{
    switch (m->kind) {
    case MARK_CLIP:
    case MARK_UNCLIP:
    case MARK_LINK:
    case MARK_ANCHOR:
        return false;
    case MARK_TEXT:
        return m->width > 0;
    default:
        return m->pen.stroke != NO_INK || m->pen.fill != NO_INK;
    }
}

static struct area common(struct area a, struct area b)
{
    return (struct area){a.left > b.left ? a.left : b.left, a.top > b.top ? a.top : b.top,
                         a.right < b.right ? a.right : b.right,
                         a.bottom < b.bottom ? a.bottom : b.bottom};
}

/* All that shows of the sheet. */
static void collect(struct counting *c)
{
    VEC(struct area) clips = {0};
    struct area whole = {INT64_MIN / 4, INT64_MIN / 4, INT64_MAX / 4, INT64_MAX / 4};
    for (uint32_t i = 0; i < c->s->marks.n; i++) {
        const struct mark *m = &c->s->marks.at[i];
        struct area clip = clips.n ? clips.at[clips.n - 1] : whole;
        if (m->kind == MARK_CLIP)
            *vec_push(&c->arena, &clips) = common(clip, m->box);
        else if (m->kind == MARK_UNCLIP)
            clips.n--;
        if (!is_drawn(m) || !area_meets(area_grown(paper_mark_area(m), 1), clip))
            continue;
        struct figure *f = vec_push(&c->arena, &c->all);
        *f = (struct figure){.mark = m, .area = common(area_grown(paper_mark_area(m), 1), clip)};
        for (const struct group *g = m->group; g; g = g->outer)
            f->within[g->role] = g;
        points_of(c, f);
    }
}

/* --- who is what -------------------------------------------------------------------------------
 */

static const struct group *within(const struct figure *f, enum role role)
{
    return f->within[role];
}

static const struct group *thing_of(const struct figure *f)
{
    const struct group *symbol = within(f, ROLE_SYMBOL);
    return symbol ? symbol : within(f, ROLE_BOX);
}

static bool is_text(const struct figure *f)
{
    return f->mark->kind == MARK_TEXT;
}

static bool is_open(const struct figure *f)
{
    return f->mark->kind == MARK_LINE || f->mark->kind == MARK_ARC || f->mark->kind == MARK_CURVE;
}

static bool same_subject(const struct group *a, const struct group *b)
{
    return a->subject && b->subject && !strcmp(a->subject, b->subject);
}

/* Whether an address is that of a thing in the other: "studio.S1" in "studio". */
static bool lies_in(const char *address, const char *outer)
{
    size_t len = strlen(outer);
    return !strncmp(address, outer, len) && (address[len] == '.' || !address[len]);
}

/* Whether two groups tell of one box: the parts of a box are it too. */
static bool is_own(const struct group *a, const struct group *b)
{
    return a->subject && b->subject &&
           (lies_in(a->subject, b->subject) || lies_in(b->subject, a->subject));
}

static bool is_wall(const struct figure *f)
{
    const struct pen *pen = &f->mark->pen;
    return within(f, ROLE_ROOM) && !is_text(f) &&
           ((pen->fill != NO_INK && pen->fill != WHITE) ||
            (pen->stroke != NO_INK && pen->width >= LINE_CUT));
}

static bool is_room_edge(const struct figure *f)
{
    const struct group *room = within(f, ROLE_ROOM);
    return room && room->subject && f->solid && !is_text(f) &&
           (f->mark->pen.fill == NO_INK || f->mark->pen.fill == WHITE);
}

/* --- telling -----------------------------------------------------------------------------------
 */

static void put_figure(struct buf *b, const struct figure *f)
{
    const struct group *g = f->mark->group;
    if (is_text(f))
        buf_printf(b, "'%s'", f->mark->text);
    else
        buf_puts(b, "a mark");
    if (g && g->subject)
        buf_printf(b, " of %s", g->subject);
    buf_printf(b, " at %.1f, %.1f mm", (double)(f->area.left + f->area.right) / 2000,
               (double)(f->area.top + f->area.bottom) / 2000);
}

static void fault(struct counting *c, enum sheet_fault what, const struct figure *f,
                  const struct figure *g)
{
    c->found.all++;
    if (c->found.of[what]++ || !c->why)
        return;
    buf_printf(c->why, "%s: %s: ", c->s->number, sheet_fault_words[what]);
    put_figure(c->why, f);
    if (g) {
        buf_puts(c->why, " and ");
        put_figure(c->why, g);
    }
    buf_putc(c->why, '\n');
}

/* --- the counts --------------------------------------------------------------------------------
 */

/* Words against words: each two once. */
static void count_texts(struct counting *c)
{
    for (uint32_t i = 0; i < c->all.n; i++)
        for (uint32_t k = i + 1; is_text(&c->all.at[i]) && k < c->all.n; k++)
            if (is_text(&c->all.at[k]) && meet(&c->all.at[i], &c->all.at[k]))
                fault(c, TEXT_ON_TEXT, &c->all.at[i], &c->all.at[k]);
}

/* Symbols of one box may share a stem. */
static bool clash(const struct figure *f, const struct figure *g)
{
    const struct group *a = within(f, ROLE_SYMBOL), *b = within(g, ROLE_SYMBOL);
    if (!a || !b || a == b || (same_subject(a, b) && (is_open(f) || is_open(g))))
        return false;
    return !(is_text(f) && is_text(g)) && meet(f, g);
}

/* Two symbols that meet are one fault, however many of their marks do. */
static void count_symbols(struct counting *c)
{
    for (uint32_t i = 0; i < c->all.n; i++) {
        const struct group *last = NULL;
        for (uint32_t k = i + 1; within(&c->all.at[i], ROLE_SYMBOL) && k < c->all.n; k++)
            if (within(&c->all.at[k], ROLE_SYMBOL) != last && clash(&c->all.at[i], &c->all.at[k])) {
                fault(c, SYMBOL_ON_SYMBOL, &c->all.at[i], &c->all.at[k]);
                last = within(&c->all.at[k], ROLE_SYMBOL);
            }
    }
}

/* Words of the drawing, not of the frame, of symbols themselves or of what stands on a cable. */
static bool is_word(const struct figure *f)
{
    return is_text(f) && !within(f, ROLE_FRAME) && !within(f, ROLE_SYMBOL) &&
           !within(f, ROLE_CABLE);
}

/* Words against what is drawn. */
static void count_words(struct counting *c)
{
    for (uint32_t i = 0; i < c->all.n; i++) {
        const struct figure *f = &c->all.at[i];
        bool name = within(f, ROLE_LABEL) || within(f, ROLE_ROOM_NAME) || within(f, ROLE_DIMENSION);
        for (uint32_t k = 0; is_word(f) && k < c->all.n; k++) {
            const struct figure *g = &c->all.at[k];
            if (is_text(g) && !within(g, ROLE_SYMBOL))
                continue;
            if (is_wall(g) && meet(f, g))
                fault(c, THROUGH_WALL, f, g);
            if (name && within(g, ROLE_CABLE) && meet(f, g))
                fault(c, NAME_ON_CABLE, f, g);
            if (name && within(g, ROLE_SYMBOL) && !is_text(g) && meet(f, g))
                fault(c, LABEL_ON_SYMBOL, f, g);
        }
    }
}

static bool has_leader(const struct counting *c, const struct group *label)
{
    for (uint32_t i = 0; i < c->all.n; i++) {
        const struct group *g = within(&c->all.at[i], ROLE_LEADER);
        if (g && (g == label || is_own(g, label)))
            return true;
    }
    return false;
}

/* How near the marks of a label are to its own thing and to the nearest foreign one. */
struct nearness {
    const struct figure *words, *foreign;
    double own, other;
};

static void add_nearness(const struct counting *c, const struct figure *f, struct nearness *n)
{
    const struct group *label = within(f, ROLE_LABEL);
    n->words = n->words && is_text(n->words) ? n->words : f;
    for (uint32_t k = 0; k < c->all.n; k++) {
        const struct figure *g = &c->all.at[k];
        const struct group *thing = thing_of(g);
        if (!thing || !thing->subject || within(g, ROLE_LABEL))
            continue;
        bool own = is_own(thing, label);
        if (gap(f->area, g->area) > (own ? n->own : n->other))
            continue;
        double far = apart(f, g);
        if (own) {
            n->own = fmin(n->own, far);
        } else if (far < n->other) {
            n->other = far;
            n->foreign = g;
        }
    }
}

/* The marks of a label follow each other. A label whose thing is not on the sheet is a cable's. */
static void count_foreign(struct counting *c)
{
    for (uint32_t i = 0, end; i < c->all.n; i = end) {
        const struct group *label = within(&c->all.at[i], ROLE_LABEL);
        struct nearness n = {.own = INFINITY, .other = INFINITY};
        for (end = i; end < c->all.n && (end == i || within(&c->all.at[end], ROLE_LABEL) == label);
             end++)
            if (label && label->subject)
                add_nearness(c, &c->all.at[end], &n);
        if (isfinite(n.own) && n.other < n.own - slack && !has_leader(c, label))
            fault(c, FOREIGN_NEARER, n.words, n.foreign);
    }
}

/* Whether a room of the sheet is the one that the address begins with: that of a panel of a unit
 * names no room. */
static bool tells_room(const struct counting *c, const char *subject)
{
    for (uint32_t k = 0; k < c->all.n; k++)
        if (is_room_edge(&c->all.at[k]) &&
            lies_in(subject, within(&c->all.at[k], ROLE_ROOM)->subject))
            return true;
    return false;
}

/* A thing's room is the one that its address begins with; an address of one word tells none. */
static void count_rooms(struct counting *c)
{
    for (uint32_t i = 0; i < c->all.n; i++) {
        const struct figure *f = &c->all.at[i];
        const struct group *label = within(f, ROLE_LABEL);
        bool told =
            label && label->subject && strchr(label->subject, '.') && tells_room(c, label->subject);
        label = told ? label : within(f, ROLE_ROOM_NAME);
        for (uint32_t k = 0; is_text(f) && label && label->subject && k < c->all.n; k++) {
            const struct figure *g = &c->all.at[k];
            if (is_room_edge(g) && !lies_in(label->subject, within(g, ROLE_ROOM)->subject) &&
                meet(f, g))
                fault(c, IN_OTHER_ROOM, f, g);
        }
    }
}

static struct area border_of(const struct counting *c)
{
    struct area border = {0, 0, c->s->width, c->s->height};
    um widest = 0;
    for (uint32_t i = 0; i < c->all.n; i++) {
        const struct mark *m = c->all.at[i].mark;
        if (m->kind == MARK_RECT && within(&c->all.at[i], ROLE_FRAME) &&
            m->box.right - m->box.left > widest && m->pen.fill == NO_INK) {
            border = m->box;
            widest = m->box.right - m->box.left;
        }
    }
    return area_grown(border, LINE_CUT / 2 + 2);
}

static void count_sizes(struct counting *c)
{
    struct area border = border_of(c);
    for (uint32_t i = 0; i < c->all.n; i++) {
        const struct figure *f = &c->all.at[i];
        struct area a = f->area;
        if (is_text(f) && f->mark->lettering.caps < CAPS_NOTE)
            fault(c, TOO_SMALL, f, NULL);
        if (a.left < border.left || a.top < border.top || a.right > border.right ||
            a.bottom > border.bottom)
            fault(c, OUTSIDE, f, NULL);
    }
}

struct sheet_counts sheet_count(const struct sheet *s, struct buf *why)
{
    struct counting c = {.s = s, .why = why};
    collect(&c);
    count_texts(&c);
    count_symbols(&c);
    count_words(&c);
    count_foreign(&c);
    count_rooms(&c);
    count_sizes(&c);
    arena_free(&c.arena);
    return c.found;
}

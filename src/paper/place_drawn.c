/* What was drawn on a sheet, as what words keep clear of. */
#include "paper/place_work.h"

enum { PARTS = 8, /* of a curve */ STEP = 15 /* degrees of an arc */ };

static void line(struct placer *p, struct spot a, struct spot b, um width, struct place_cost cost)
{
    place_block_line(p, a, b, width, cost);
}

static void lines(struct placer *p, const struct mark *m, bool closed, struct place_cost cost)
{
    for (uint32_t i = 0; i + 1 < m->count; i++)
        line(p, m->points[i], m->points[i + 1], m->pen.width, cost);
    if (closed)
        line(p, m->points[m->count - 1], m->points[0], m->pen.width, cost);
}

static void edges(struct placer *p, struct area a, um width, struct place_cost cost)
{
    struct spot corners[] = {
        {a.left, a.top}, {a.right, a.top}, {a.right, a.bottom}, {a.left, a.bottom}};
    for (int i = 0; i < 4; i++)
        line(p, corners[i], corners[(i + 1) % 4], width, cost);
}

/* The sine by steps, in millionths. */
static int64_t sine(int steps)
{
    static const int64_t quarter[] = {0, 258819, 500000, 707107, 866025, 965926, 1000000};
    int at = (steps % 24 + 24) % 24, half = at % 12;
    int64_t s = quarter[half > 6 ? 12 - half : half];
    return at >= 12 ? -s : s;
}

static struct spot on_circle(const struct mark *m, int steps)
{
    return (struct spot){m->at.x + m->radius * sine(steps + 6) / 1000000,
                         m->at.y + m->radius * sine(steps) / 1000000};
}

static int steps_down(int degrees)
{
    return degrees / STEP - (degrees % STEP < 0);
}

/* From the step before an arc to the one after it. */
static void arc(struct placer *p, const struct mark *m, int from, int to, struct place_cost cost)
{
    for (int k = steps_down(from); k < -steps_down(-to); k++)
        line(p, on_circle(m, k), on_circle(m, k + 1), m->pen.width, cost);
}

static um on_curve(um a, um b, um c, um d, um k)
{
    um l = PARTS - k;
    return (a * l * l * l + 3 * b * l * l * k + 3 * c * l * k * k + d * k * k * k) /
           (PARTS * PARTS * PARTS);
}

static void curve(struct placer *p, const struct mark *m, struct place_cost cost)
{
    for (uint32_t i = 0; i + 3 < m->count; i += 3) {
        const struct spot *q = &m->points[i];
        struct spot before = q[0];
        for (um k = 1; k <= PARTS; k++) {
            struct spot at = {on_curve(q[0].x, q[1].x, q[2].x, q[3].x, k),
                              on_curve(q[0].y, q[1].y, q[2].y, q[3].y, k)};
            line(p, before, at, m->pen.width, cost);
            before = at;
        }
    }
}

static void one_mark(struct placer *p, const struct mark *m, struct place_cost cost)
{
    bool filled = m->pen.fill != NO_INK;
    um half = m->pen.stroke == NO_INK ? 0 : m->pen.width / 2;
    switch (m->kind) {
    case MARK_LINE:
        lines(p, m, false, cost);
        break;
    case MARK_SHAPE:
        if (filled)
            place_block_shape(p, m->points, m->count, cost);
        lines(p, m, true, cost);
        break;
    case MARK_RECT:
        if (filled)
            place_block(p, area_grown(m->box, half), cost);
        else
            edges(p, m->box, m->pen.width, cost);
        break;
    case MARK_CIRCLE:
        if (filled)
            place_block_disc(p, m->at, m->radius + half, cost);
        else
            arc(p, m, 0, 360, cost);
        break;
    case MARK_ARC:
        arc(p, m, m->from, m->to, cost);
        break;
    case MARK_CURVE:
        curve(p, m, cost);
        break;
    case MARK_TEXT:
        place_block(p, paper_mark_area(m), cost);
        break;
    default: /* not seen */
        break;
    }
}

void place_drawn(struct placer *p, const struct sheet *s, uint32_t first,
                 const struct place_cost costs[ROLE_COUNT])
{
    for (uint32_t i = first; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        struct place_cost cost = costs[m->group ? m->group->role : ROLE_PLAIN];
        if (cost.words || cost.leader)
            one_mark(p, m, cost);
    }
}

void place_draw_leader(struct sheet *s, const struct placed *p, const char *subject)
{
    if (p->leader_count < 2)
        return;
    paper_begin(s, ROLE_LEADER, subject, NULL);
    paper_path(s, p->leader, p->leader_count, false,
               (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
    paper_end(s);
}

#include "framing/bulks.h"
#include "paper/place.h"
#include "resolve/library.h"
#include "sheets/walls/wall.h"

#include <math.h>

enum { WOOD = 0xebebeb, HEADER = 0xdddddd, CONCRETE = 0xd0d0d0 };
enum { OVER_HEADER = 40 }; /* what words there cost, for each millimetre */

static const struct pen wood = {0x777777, WOOD, LINE_FRAMING, DASH_NONE},
                        header = {0x777777, HEADER, LINE_FRAMING, DASH_NONE},
                        opening = {BLACK, WHITE, LINE_EDGE, DASH_NONE},
                        glass = {BLACK, NO_INK, LINE_FRAMING, DASH_NONE},
                        fixed = {BLACK, NO_INK, LINE_EDGE, DASH_OVERHEAD},
                        heavy = {BLACK, NO_INK, LINE_CUT, DASH_NONE},
                        match = {BLACK, NO_INK, LINE_CUT, DASH_OVERHEAD},
                        thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE};

/* What of it is on this wall; false: nothing. */
static bool area_of(const struct wall_view *v, length left, length low, length right, length high,
                    struct area *a)
{
    left = left < v->lo ? v->lo : left;
    right = right > v->hi ? v->hi : right;
    *a = (struct area){wall_x(v, left), wall_y(v, high), wall_x(v, right), wall_y(v, low)};
    return right > left && high > low;
}

static void rect(const struct wall_view *v, length left, length low, length right, length high,
                 struct pen pen)
{
    struct area a;
    if (area_of(v, left, low, right, high, &a))
        paper_rect(v->s, a, 0, pen);
}

/* Between two places of the line. */
static void rect_on_line(const struct wall_view *v, length lo, length hi, length low, length high,
                         struct pen pen)
{
    length a = frame_from_left_of(v->face, lo), b = frame_from_left_of(v->face, hi);
    rect(v, a < b ? a : b, low, a < b ? b : a, high, pen);
}

/* --- framing ---------------------------------------------------------------------------------- */

static void draw_plates(const struct wall_view *v)
{
    length thick = v->wall->framing.lumber.thickness, ceiling = v->room->ceiling;
    rect(v, 0, 0, v->wall->length, thick, wood);
    for (int64_t i = 0; i < v->index->top_plates; i++)
        rect(v, 0, ceiling - (i + 1) * thick, v->wall->length, ceiling - i * thick, wood);
}

static void draw_upright(const struct wall_view *v, const struct upright *u)
{
    length half = frame_half_stud(u);
    rect_on_line(v, u->at - half, u->at + half, u->low, u->high, wood);
}

static void draw_studs(const struct wall_view *v)
{
    const struct skeleton *f = v->index->r->routes->frame;
    const struct line *l = v->line;
    uint32_t first = 0,
             count = frame_studs_between(f, l, v->face->lo - INCH, v->face->hi + INCH, &first);
    for (uint32_t i = first; i < first + count; i++)
        draw_upright(v, &f->studs[i]);
    for (uint32_t i = frame_first_cripple(f, l, v->face->lo);
         i < l->first_cripple + l->cripple_count && f->cripples[i].at <= v->face->hi; i++)
        draw_upright(v, &f->cripples[i]);
}

const struct rough_opening *wall_next_opening(const struct wall_view *v,
                                              const struct rough_opening *o)
{
    const struct skeleton *f = v->index->r->routes->frame;
    const struct line *l = v->line;
    o = o ? o + 1 : frame_opening_from(f, l, v->face->lo);
    return o && o < &f->openings[l->first_opening + l->opening_count] && o->lo < v->face->hi ? o
                                                                                             : NULL;
}

/* Headers on their jacks, rough sills, and the hole between, written in whichever room. */
static void draw_rough_openings(const struct wall_view *v)
{
    length thick = v->wall->framing.lumber.thickness;
    for (const struct rough_opening *o = NULL; (o = wall_next_opening(v, o));) {
        length jacks = o->jacks * thick;
        rect_on_line(v, o->lo - jacks, o->hi + jacks, o->head, o->top, header);
        if (o->sill > thick)
            rect_on_line(v, o->lo, o->hi, o->sill - thick, o->sill, wood);
        rect_on_line(v, o->lo, o->hi, o->sill, o->head, opening);
    }
}

static void block_on_line(const struct wall_view *v, struct placer *p, length lo, length hi,
                          length low, length high)
{
    length a = frame_from_left_of(v->face, lo), b = frame_from_left_of(v->face, hi);
    struct area area;
    if (area_of(v, a < b ? a : b, low, a < b ? b : a, high, &area))
        place_block(p, area, (struct place_cost){OVER_HEADER, 0});
}

void wall_block_headers(const struct wall_view *v, struct placer *p)
{
    length thick = v->wall->framing.lumber.thickness, edge = thick / 4;
    for (const struct rough_opening *o = NULL; v->line && (o = wall_next_opening(v, o));) {
        length jacks = o->jacks * thick;
        block_on_line(v, p, o->lo - jacks, o->hi + jacks, o->head, o->top);
        block_on_line(v, p, o->lo - edge, o->lo, o->sill, o->head);
        block_on_line(v, p, o->hi, o->hi + edge, o->sill, o->head);
        if (o->sill > thick)
            block_on_line(v, p, o->lo, o->hi, o->sill - thick, o->sill);
    }
}

static void draw_concrete(const struct wall_view *v)
{
    struct area a = {wall_x(v, v->lo), wall_y(v, v->room->ceiling), wall_x(v, v->hi), v->floor};
    struct spot corners[] = {
        {a.left, a.top}, {a.right, a.top}, {a.right, a.bottom}, {a.left, a.bottom}};
    paper_hatch(v->s, corners, 4, 3 * MM, 45,
                (struct pen){CONCRETE, NO_INK, LINE_FRAMING, DASH_NONE});
}

/* --- openings and fixed things ---------------------------------------------------------------- */

/* As the plan says, else as such things mostly are; up to the ceiling where nobody knows. */
static void fixed_heights(const struct wall_view *v, const struct fixture *x, length *low,
                          length *high)
{
    struct code *code = &v->index->r->model->code;
    const char *what = x->form == F_PENINSULA ? code_key(code, "counter") : x->word;
    *low = x->sill > 0 ? x->sill : 0;
    *high = x->top ? x->top : code_cell_length(code, COL_FIXED_THINGS_HIGH, what, 0);
    if (*high <= *low || *high > v->room->ceiling)
        *high = v->room->ceiling;
}

bool wall_fixture_area(const struct wall_view *v, const struct fixture *x, struct area *a)
{
    length low, high;
    if (x->sort == FIXTURE_OTHER)
        fixed_heights(v, x, &low, &high);
    else
        frame_opening_heights(v->index->r->routes->frame, v->room, x, &low, &high);
    return area_of(v, x->from_left, low, x->from_left + x->wide, high, a);
}

static void draw_fixture(const struct wall_view *v, const struct fixture *x)
{
    length low, high, right = x->from_left + x->wide;
    struct area a;
    if (wall_fixture_area(v, x, &a))
        paper_rect(v->s, a, 0, x->sort == FIXTURE_OTHER ? fixed : opening);
    frame_opening_heights(v->index->r->routes->frame, v->room, x, &low, &high);
    if (x->sort == FIXTURE_WINDOW)
        rect(v, x->from_left + INCH, low + INCH, right - INCH, high - INCH, glass);
}

static void draw_fixtures(const struct wall_view *v, struct page *page)
{
    for (uint32_t i = 0; i < v->room->fixtures.n; i++) {
        const struct fixture *x = &v->room->fixtures.at[i];
        if (x->wall != v->number)
            continue;
        paper_begin(v->s, ROLE_FIXED, NULL, x->title ? x->title : x->word);
        draw_fixture(v, x);
        paper_end(v->s);
        if (x->sort == FIXTURE_OTHER && page)
            page_key_line(page, fixed.dash, fixed.width, "fixed to or before the wall");
    }
}

/* Where a beam or duct meets the wall or runs along it. */
static void draw_bulk(const struct wall_view *v, const struct bulk_piece *p)
{
    const struct wall *w = v->wall;
    double dx = (double)(w->right.x - w->left.x), dy = (double)(w->right.y - w->left.y),
           size = hypot(dx, dy);
    length floor = v->room->level->floor, left = w->length, right = 0, ceiling = v->room->ceiling,
           high = p->high.z - floor < ceiling ? p->high.z - floor : ceiling;
    for (int i = 0; i < 4 && size > 0; i++) {
        length x = (i % 2 ? p->high.x : p->low.x) - w->left.x,
               y = (i / 2 ? p->high.y : p->low.y) - w->left.y,
               at = (length)llround(((double)x * dx + (double)y * dy) / size);
        left = at < left ? at : left;
        right = at > right ? at : right;
    }
    rect(v, left, p->low.z - floor, right, high, fixed);
}

static void draw_bulks(const struct wall_view *v, struct page *page)
{
    const struct skeleton *f = v->index->r->routes->frame;
    const struct wall *w = v->wall;
    length floor = v->room->level->floor;
    struct place3 low = {(w->left.x < w->right.x ? w->left.x : w->right.x) - 1,
                         (w->left.y < w->right.y ? w->left.y : w->right.y) - 1, floor},
                  high = {(w->left.x < w->right.x ? w->right.x : w->left.x) + 1,
                          (w->left.y < w->right.y ? w->right.y : w->left.y) + 1,
                          floor + v->room->ceiling};
    uint32_t at = 0;
    for (const struct bulk_piece *p;
         f->bulks && (p = bulks_next(f->bulks, low, high, frame_world_of(v->room), &at));) {
        paper_begin(v->s, ROLE_FIXED, NULL, p->bulk->title ? p->bulk->title : p->bulk->word);
        draw_bulk(v, p);
        paper_end(v->s);
        if (page)
            page_key_line(page, fixed.dash, fixed.width, "fixed to or before the wall");
    }
}

void wall_draw_frame(const struct wall_view *v, struct page *page)
{
    um start = wall_x(v, v->lo), end = wall_x(v, v->hi), ceiling = wall_y(v, v->room->ceiling),
       out = 4 * MM;
    paper_begin(v->s, ROLE_FRAMING, NULL, NULL);
    if (v->wall->concrete)
        draw_concrete(v);
    if (!wall_is_bare(v->wall)) {
        draw_plates(v);
        if (v->line) {
            draw_studs(v);
            draw_rough_openings(v);
        }
    }
    paper_line(v->s, start, v->floor, start, ceiling, v->lo ? match : thin);
    paper_line(v->s, end, v->floor, end, ceiling, v->hi < v->wall->length ? match : thin);
    paper_line(v->s, start - out, v->floor, end + out, v->floor, heavy);
    paper_line(v->s, start - out, ceiling, end + out, ceiling, heavy);
    if (v->room->drop)
        paper_line(v->s, start, wall_y(v, v->room->drop), end, wall_y(v, v->room->drop), fixed);
    paper_end(v->s);
    draw_fixtures(v, page);
    draw_bulks(v, page);
    if (page && !wall_is_bare(v->wall))
        page_key_line(page, DASH_NONE, LINE_FRAMING, "stud, plate, header");
    if (page && v->room->drop)
        page_key_line(page, fixed.dash, fixed.width, "hung ceiling");
}

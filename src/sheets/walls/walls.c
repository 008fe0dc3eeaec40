/* The wall sheets: walls as one stands before them, one or several of a room on a sheet. */
#include "emit/words/places.h"
#include "facts/facts.h"
#include "model/address.h"
#include "sheets/walls/wall.h"

#include <string.h>

enum {
    GAP = 10000,  /* between two walls of a sheet */
    ABOVE = 6000, /* what of a way is seen beyond the ceiling */
    BAR = 140000, /* the field of the bar of the scale */
    MOST_PARTS = 40,
    MATCH_OFF = 2800,  /* from a match line to the far side of the words beside it */
    LIST_MORE = 24000, /* of the list, where there is room for it */
    BELOW = 12000      /* of a sheet: the bar of the scale, and the list of what has a number */
};

/* The walls of a room that stand on one sheet. */
struct row {
    const struct wall_index *index;
    struct set *set;
    const struct room *room;
    uint32_t wall[8];
    uint32_t count;
    int ratio;
    um wide;         /* of all walls with what stands beside them */
    length from, to; /* of one that is parted: what is drawn; else 0 */
};

/* A wall that is longer than a sheet at the least scale: its parts follow each other. */
struct parting {
    length at, most;     /* where the next part begins; what fits on a sheet */
    struct page *before; /* the sheet of the part to the left, or NULL */
    struct spot line;    /* on it: its match line's upper end */
};

static um wall_wide(const struct room *room, uint32_t wall, int ratio)
{
    return paper_scaled(room->walls[wall].length, ratio) + WALL_BESIDE + GAP;
}

static um high_for(struct area inside)
{
    return inside.bottom - inside.top - WALL_BELOW - ABOVE - BELOW;
}

/* The largest scale at which the wall fits alone, not below the least one for its length: then it
 * is parted. The smallest of all where it is too high for any. */
static int ratio_for(const struct set *set, const struct room *room, uint32_t wall,
                     struct area inside)
{
    um wide = inside.right - inside.left - 2 * WALL_BESIDE;
    int ratio =
            scales_fitting(set, room->walls[wall].length, wide, room->ceiling, high_for(inside)),
        least = scales_least(set);
    if (ratio && ratio <= least)
        return ratio;
    ratio = scales_fitting(set, 0, wide, room->ceiling, high_for(inside));
    const int *last = scales_of(set);
    while (last[1])
        last++;
    return !ratio ? *last : ratio > least ? ratio : least;
}

/* How much of a wall fits on a sheet. */
static length fitting(int ratio, struct area inside)
{
    um wide = inside.right - inside.left - 2 * WALL_BESIDE;
    length one = 100 * FOOT;
    return one * wide / paper_scaled(one, ratio);
}

/* --- what is to be done there ----------------------------------------------------------------- */

struct tally {
    uint32_t boxes, gangs[13], round, holes, plates, cables, passing;
};

static bool ends_here(const struct wall_view *v, struct end end)
{
    const struct place *p = end.box ? &end.box->place : end.panel ? &end.panel->place : NULL;
    const struct room *room = end.box ? end.box->room : end.panel ? end.panel->room : NULL;
    return p && room == v->room && p->where == ON_WALL && p->wall == v->number;
}

static void count_things(const struct wall_view *v, struct tally *t)
{
    for (uint32_t i = 0; i < v->things.n; i++) {
        const struct wall_thing *x = &v->things.at[i];
        if (!x->box || x->existing || x->goes)
            continue;
        length gang = v->index->gang; /* 0: the library has none */
        unsigned gangs =
            x->round || !gang ? 0 : (unsigned)((x->wide - v->index->first_gang) / gang) + 1;
        t->boxes++;
        if (x->round)
            t->round++;
        else
            t->gangs[gangs < 12 ? gangs : 12]++;
    }
}

static void count_ways(const struct wall_view *v, struct tally *t)
{
    const struct skeleton *f = v->index->r->routes->frame;
    struct map seen = {0};
    if (!v->line)
        return;
    const wall_pieces *pieces = &v->index->pieces[v->face - f->faces];
    const wall_bores *bores = &v->index->bores[v->face - f->faces];
    for (uint32_t i = 0; i < pieces->n; i++) {
        const struct run *run = pieces->at[i].run;
        length a, b;
        if (!wall_way_ends(v, pieces->at[i].segment, &a, &b))
            continue;
        bool here = ends_here(v, run->from) || ends_here(v, run->to);
        if (!here && a == b && pieces->at[i].segment->from.z == pieces->at[i].segment->to.z)
            continue; /* it only touches the end of the wall */
        void **at = map_at(v->index->r->arena, &seen, 0, (uintptr_t)run);
        if (*at || run->existing)
            continue;
        *at = t;
        if (here)
            t->cables++;
        else
            t->passing++;
    }
    for (uint32_t i = 0; i < bores->n; i++) {
        length at = wall_bore_at(v, bores->at[i]);
        if (v->hi - v->lo < v->wall->length && !wall_sees(v, at))
            continue;
        t->holes++;
        t->plates += bores->at[i]->plates;
    }
}

static const char *plural(uint32_t n)
{
    return n == 1 ? "" : "s";
}

static void write_tasks(struct page *p, const struct tally *t)
{
    struct buf b = {0};
    const char *between = "";
    for (unsigned g = 1; g <= 12; g++)
        if (t->gangs[g]) {
            buf_printf(&b, "%s%u \xc3\x97 %u-gang", between, t->gangs[g], g);
            between = ", ";
        }
    if (t->round)
        buf_printf(&b, "%s%u round", between, t->round);
    if (t->boxes)
        page_task(p, "Set %u box%s: %s", t->boxes, t->boxes == 1 ? "" : "es", buf_text(&b));
    buf_free(&b);
    if (t->holes)
        page_task(p, "Bore %u hole%s, %u nail plate%s", t->holes, plural(t->holes), t->plates,
                  plural(t->plates));
    if (t->cables && t->passing)
        page_task(p, "Pull %u cable%s; %u more pass%s by", t->cables, plural(t->cables), t->passing,
                  t->passing == 1 ? "es" : "");
    else if (t->cables)
        page_task(p, "Pull %u cable%s", t->cables, plural(t->cables));
    else if (t->passing)
        page_task(p, "%u cable%s pass%s by", t->passing, plural(t->passing),
                  t->passing == 1 ? "es" : "");
}

/* --- a sheet ---------------------------------------------------------------------------------- */

static const char *titled(const struct row *row)
{
    struct arena *arena = row->set->r->arena;
    const char *walls = "";
    for (uint32_t i = 0; i < row->count; i++)
        walls = arena_listed(arena, walls, i, row->count, row->room->walls[row->wall[i]].name);
    if (row->to)
        walls =
            arena_printf(arena, "%s wall from %s to %s", walls,
                         sheets_distance(row->set, row->from), sheets_distance(row->set, row->to));
    else
        walls = arena_printf(arena, "%s wall%s", walls, row->count > 1 ? "s" : "");
    return arena_printf(arena, "%s \xc2\xb7 %s", words_room(arena, row->room), walls);
}

static const char *said_below(const struct row *row)
{
    struct arena *arena = row->set->r->arena;
    const struct wall *w = &row->room->walls[row->wall[0]];
    const char *size = row->count > 1 ? arena_printf(arena, "%s high",
                                                     sheets_distance(row->set, row->room->ceiling))
                                      : arena_printf(arena, "%s \xc3\x97 %s",
                                                     sheets_distance(row->set, w->length),
                                                     sheets_distance(row->set, row->room->ceiling)),
               *studs = wall_is_bare(w) ? "concrete"
                        : w->framing.lumber.name
                            ? arena_printf(arena, "%s at %s%s", w->framing.lumber.name,
                                           sheets_height(row->set, w->framing.spacing),
                                           w->furred ? " before concrete" : "")
                            : "no studs";
    return arena_printf(arena,
                        "%s \xc2\xb7 %s \xc2\xb7 seen from inside \xc2\xb7 distances from the left "
                        "corner, heights above finished floor",
                        size, studs);
}

/* Draws what is in view, its left end at `left` and what is written beside it. */
static void draw_view(struct wall_view *v, struct page *p, um left, struct area field,
                      struct area list, struct tally *tally)
{
    uint32_t first = p->s->marks.n;
    wall_stretches stretches = {0};
    v->s = p->s;
    v->left = left + WALL_BESIDE - paper_scaled(v->lo, v->ratio);
    v->floor = field.bottom - WALL_BELOW;
    v->words = (struct area){v->lo > 0 ? wall_x(v, v->lo) : field.left, field.top,
                             v->hi < v->wall->length ? wall_x(v, v->hi) : field.right, v->floor};
    wall_draw_frame(v, p);
    wall_draw_cables(v, p, &stretches);
    wall_draw_things(v, p);
    wall_draw_measures(v);
    wall_write_words(v, first, &stretches, list);
    count_things(v, tally);
    count_ways(v, tally);
}

static struct page *begin_sheet(const struct row *row)
{
    struct page *p = page_begin(row->set, titled(row), said_below(row));
    p->level = row->room->level;
    p->room = row->room;
    p->wall = row->wall[0];
    p->scale = scales_words(row->set, row->ratio);
    paper_anchor(p->s, p->inside.left, p->inside.top,
                 address_of_room(row->set->r->arena, row->room, false));
    return p;
}

static void end_sheet(struct page *p, const struct row *row, const struct tally *tally)
{
    page_scale_bar(p, p->inside.left, p->inside.bottom - 10 * MM, row->ratio);
    write_tasks(p, tally);
    page_end(p);
}

/* Two thirds of what is free above the walls is for the list below them. */
static um list_high(const struct row *row, struct area in)
{
    um left = high_for(in) - paper_scaled(row->room->ceiling, row->ratio), more = left * 2 / 3;
    return BELOW + (more < 0 ? 0 : more > LIST_MORE ? LIST_MORE : more);
}

static void draw_row(struct row *row)
{
    struct page *p = begin_sheet(row);
    struct area in = p->inside;
    struct tally tally = {0};
    um spare = in.right - in.left - row->wide, x = in.left + (spare > 0 ? spare / 2 : 0),
       bottom = in.bottom - list_high(row, in), column = (in.right - in.left - BAR) / row->count;
    for (uint32_t i = 0; i < row->count; i++) {
        struct wall_view v = wall_view_of(row->index, row->set, row->room, row->wall[i]);
        um wide = wall_wide(row->room, row->wall[i], row->ratio), at = in.left + BAR + i * column;
        struct area field = {row->count > 1 ? x : in.left, in.top,
                             row->count > 1 ? x + wide : in.right, bottom},
                    list = {at, bottom + MM, at + column - 2 * MM, in.bottom};
        v.ratio = row->ratio;
        draw_view(&v, p, x, field, list, &tally);
        x += wide;
    }
    end_sheet(p, row, &tally);
}

/* --- a wall over several sheets --------------------------------------------------------------- */

/* Where a part ends: what fits on a sheet, or before a box that stands there. */
static length part_end(const struct wall_view *v, const struct parting *parting)
{
    length end = parting->at + parting->most, off = v->index->panel_wide;
    if (end >= v->wall->length)
        return v->wall->length;
    for (uint32_t i = v->things.n; i-- > 0;) {
        length at = v->things.at[i].place->from_left;
        if (at - off < end && at + off > end && at - off > parting->at + parting->most / 2)
            end = at - off;
    }
    return end;
}

/* Said at both sides of a match line, upright beside it. */
static void say_match(struct sheet *s, um x, um y, const char *other)
{
    struct lettering l = {.caps = CAPS_NOTE, .degrees = 90};
    paper_begin(s, ROLE_NOTE, NULL, NULL);
    paper_text(s, x, y, l, arena_printf(s->paper->arena, "match line, see %s", other));
    paper_end(s);
}

static void draw_part(struct row *row, struct wall_view *v, struct parting *parting)
{
    row->from = v->lo;
    row->to = v->hi;
    struct page *p = begin_sheet(row);
    struct area in = p->inside;
    struct tally tally = {0};
    um wide = paper_scaled(v->hi - v->lo, v->ratio) + 2 * WALL_BESIDE,
       bottom = in.bottom - list_high(row, in), x = in.left + (in.right - in.left - wide) / 2;
    struct area field = {in.left, in.top, in.right, bottom},
                list = {in.left + BAR, bottom + MM, in.right - 2 * MM, in.bottom};
    draw_view(v, p, x, field, list, &tally);
    um top = wall_y(v, v->room->ceiling) + 2 * MM;
    if (parting->before) {
        say_match(p->s, wall_x(v, v->lo) - MATCH_OFF, top, parting->before->s->number);
        say_match(parting->before->s, parting->line.x, parting->line.y, p->s->number);
    }
    end_sheet(p, row, &tally);
    parting->before = p;
    parting->line = (struct spot){wall_x(v, v->hi) + MATCH_OFF - CAPS_NOTE, top};
}

/* Of a wall that no dwelling has, only the parts on which something is set. */
static void draw_parts(struct row *row, struct area inside)
{
    struct parting parting = {.most = fitting(row->ratio, inside)};
    struct wall_view whole = wall_view_of(row->index, row->set, row->room, row->wall[0]);
    bool all = whole.wall->length / parting.most < MOST_PARTS;
    whole.ratio = row->ratio;
    while (parting.at < whole.wall->length) {
        length end = part_end(&whole, &parting);
        struct wall_view v = wall_view_part(&whole, parting.at, end);
        if (all || v.things.n)
            draw_part(row, &v, &parting);
        else
            parting.before = NULL;
        parting.at = end;
    }
}

/* A wall joins the row where it is drawn to the same scale and there is room for it. */
static bool joins(const struct row *row, uint32_t wall, int ratio, struct area inside)
{
    return row->count && row->count < 4 && row->ratio == ratio &&
           row->wide + wall_wide(row->room, wall, ratio) <= inside.right - inside.left;
}

static void draw_room(struct set *set, const struct wall_index *index, const struct room *room,
                      struct area inside)
{
    const struct results *r = set->r;
    struct row row = {.index = index, .set = set, .room = room};
    for (uint32_t w = 0; w < room->wall_count; w++) {
        if (r->only_wall ? strcmp(r->only_wall, room->walls[w].name) != 0
                         : !wall_has_things(index, room, w))
            continue;
        int ratio = ratio_for(set, room, w, inside);
        if (row.count && !joins(&row, w, ratio, inside)) {
            draw_row(&row);
            row.count = 0;
            row.wide = 0;
        }
        row.ratio = ratio;
        row.wall[row.count++] = w;
        row.wide += wall_wide(room, w, ratio);
        if (room->walls[w].length > fitting(ratio, inside)) {
            draw_parts(&row, inside);
            row = (struct row){.index = index, .set = set, .room = room};
        }
    }
    if (row.count)
        draw_row(&row);
}

void sheets_walls(struct set *set)
{
    const struct results *r = set->r;
    const struct wall_index *index = wall_index_make(r);
    struct area inside = page_room(set, NULL);
    for (uint32_t i = 0; i < r->model->rooms.n; i++) {
        const struct room *room = r->model->rooms.at[i];
        if ((r->only_room && r->only_room != room) ||
            (r->only_level && r->only_level != room->level) || !facts_is_built(room->unit) ||
            !room->level || !facts_known(room, ITS_TEXT))
            continue;
        draw_room(set, index, room, inside);
    }
}

/* Pages made at random for the placing of words (place.h): rooms side by side, things at their
 * walls, cables between them. */
#ifndef STUDBAY_TESTS_PLACE_PAGES_H
#define STUDBAY_TESTS_PLACE_PAGES_H

#include "paper/place.h"
#include "paper/place_work.h"
#include "random.h"

enum { ROOM_EDGE = 60 * 1000, HALF_WALL = 1200 };

struct line {
    struct spot a, b;
    um width;
};

struct page {
    struct arena *arena;
    struct area all;
    VEC(struct area) rooms;
    VEC(struct line) walls, cables, studs;
    VEC(struct place_thing) things;
    VEC(struct place_label) labels;
};

static inline int64_t below(uint64_t *r, int64_t n)
{
    return pick(r, (unsigned)n);
}

/* A symbol inside a room, beside one of its walls. */
static inline struct area symbol_at(uint64_t *r, struct area room)
{
    um in = HALF_WALL + 200, size = 3500, wide = room.right - room.left - 2 * in - size,
       high = room.bottom - room.top - 2 * in - size, x, y;
    switch (below(r, 5)) {
    case 0:
        x = 0, y = below(r, high);
        break;
    case 1:
        x = wide, y = below(r, high);
        break;
    case 2:
        x = below(r, wide), y = 0;
        break;
    case 3:
        x = below(r, wide), y = high;
        break;
    default:
        x = below(r, wide), y = below(r, high);
    }
    x += room.left + in, y += room.top + in;
    return (struct area){x, y, x + size, y + size};
}

static inline bool is_taken(const struct page *p, struct area a)
{
    for (uint32_t i = 0; i < p->things.n; i++)
        if (area_meets(area_grown(a, 1000), p->things.at[i].area))
            return true;
    return false;
}

static inline const struct spot *outline_of(struct arena *arena, struct area a)
{
    struct spot *o = arena_array(arena, struct spot, 4);
    o[0] = (struct spot){a.left, a.top}, o[1] = (struct spot){a.right, a.top};
    o[2] = (struct spot){a.right, a.bottom}, o[3] = (struct spot){a.left, a.bottom};
    return o;
}

static inline struct place_label label_for(struct page *p, uint64_t *r, struct area thing,
                                           uint32_t group, struct area room)
{
    um wide = 4000 + below(r, 20000);
    struct place_label l = {.thing = thing,
                            .round = below(r, 2),
                            .group = group,
                            .shape_count = 2,
                            .shapes = {{wide, 3300, 0}, {wide / 2 + 1000, 7000, 15}},
                            .region_count = 4,
                            .priority = (int32_t)below(r, 2),
                            .reach = below(r, 4) ? 40 * MM : PLACE_UNLED,
                            .key = {4000, 4000, 0},
                            .list = p->rooms.n};
    l.region = outline_of(p->arena, area_grown(room, -HALF_WALL));
    return l;
}

static inline void add_room(struct page *p, uint64_t *r, struct area room, uint32_t labels)
{
    const struct spot *o = outline_of(p->arena, room);
    for (int i = 0; i < 4; i++)
        *vec_push(p->arena, &p->walls) = (struct line){o[i], o[(i + 1) % 4], 2 * HALF_WALL};
    struct area before = {0};
    for (uint32_t i = 0; i < labels; i++) {
        struct area thing = symbol_at(r, room);
        for (int k = 0; is_taken(p, thing) && k < 20; k++)
            thing = symbol_at(r, room);
        if (is_taken(p, thing))
            continue;
        uint32_t group = p->things.n;
        *vec_push(p->arena, &p->things) = (struct place_thing){thing, group};
        *vec_push(p->arena, &p->labels) = label_for(p, r, thing, group, room);
        struct spot at = {thing.left, thing.bottom}, from = {before.right, before.top};
        if (before.right && below(r, 3)) {
            struct spot bend = {at.x, from.y};
            *vec_push(p->arena, &p->cables) = (struct line){from, bend, LINE_NEW};
            *vec_push(p->arena, &p->cables) = (struct line){bend, at, LINE_NEW};
        }
        before = thing;
    }
    for (um x = room.left + 10 * MM; x < room.right; x += 10 * MM)
        *vec_push(p->arena, &p->studs) =
            (struct line){{x, room.top}, {x, room.bottom}, LINE_FRAMING};
    *vec_push(p->arena, &p->rooms) = room;
}

/* `across` times `down` rooms with so many labels each. */
static inline struct page make_page(struct arena *arena, uint64_t seed, int across, int down,
                                    uint32_t labels)
{
    struct page p = {
        .arena = arena,
        .all = {-5 * MM, -5 * MM, across * ROOM_EDGE + 5 * MM, down * ROOM_EDGE + 5 * MM}};
    for (int y = 0; y < down; y++)
        for (int x = 0; x < across; x++)
            add_room(&p, &seed,
                     (struct area){x * ROOM_EDGE, y * ROOM_EDGE, (x + 1) * ROOM_EDGE,
                                   (y + 1) * ROOM_EDGE},
                     labels);
    return p;
}

static const struct place_cost over_cable = {PLACE_NEVER, 40}, over_stud = {2, 1};

/* Says all of it, or all of it from its end. */
static inline struct placer *say(const struct page *page, bool backwards)
{
    struct placer *p = place_new(page->arena, page->all);
#define EACH(list, i)                                                                              \
    for (uint32_t i##_ = 0, i;                                                                     \
         i##_ < page->list.n && (i = backwards ? page->list.n - 1 - i##_ : i##_, true); i##_++)
    EACH(walls, i) place_wall(p, page->walls.at[i].a, page->walls.at[i].b, page->walls.at[i].width);
    EACH(cables, i)
    place_block_line(p, page->cables.at[i].a, page->cables.at[i].b, page->cables.at[i].width,
                     over_cable);
    EACH(studs, i)
    place_block_line(p, page->studs.at[i].a, page->studs.at[i].b, page->studs.at[i].width,
                     over_stud);
    EACH(things, i) place_thing(p, page->things.at[i].area, page->things.at[i].group);
    EACH(labels, i) place_label(p, &page->labels.at[i]);
    return p;
}

#endif

/* Outside dimensions: along the south and the west side of what is on the sheet, from inside face
 * to inside face of the rooms that one sees there, and the whole. */
#include "base/sort.h"
#include "paper/place.h"
#include "sheets/plans/plan.h"

enum { FIRST = 5000, SECOND = 12500, SLASH = 900 };

static const struct pen thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE};

/* From one face to another of a room; NULL: of several. */
struct stretch {
    length from, to;
    const struct room *room;
};

typedef VEC(struct stretch) stretch_list;

static length low_of(const struct room *r, bool across)
{
    return across ? r->low.x : r->low.y;
}

static length high_of(const struct room *r, bool across)
{
    return across ? r->high.x : r->high.y;
}

/* The place among sorted ones at or behind which it lies. */
static uint32_t index_of(const length *at, uint32_t n, length l)
{
    uint32_t low = 0, high = n;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (at[middle] < l)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static const struct room **outermost_first(const struct plan_view *v, bool across, uint32_t *count)
{
    struct arena *arena = v->r->arena;
    uint32_t n = v->tile->rooms.n;
    struct sorted *order = arena_array(arena, struct sorted, (size_t)n + 1);
    const struct room **rooms = arena_array(arena, const struct room *, (size_t)n + 1);
    *count = 0;
    for (uint32_t i = 0; i < n; i++)
        if (!plan_is_outdoors(v, v->tile->rooms.at[i]))
            order[(*count)++] = (struct sorted){
                .key = {(uint64_t)low_of(v->tile->rooms.at[i], !across) ^ (uint64_t)1 << 63, 0},
                .item = i};
    sort_by_key(arena, order, *count);
    for (uint32_t i = 0; i < *count; i++)
        rooms[i] = v->tile->rooms.at[order[i].item];
    return rooms;
}

static length *places_of(const struct plan_view *v, const struct room *const *rooms, uint32_t count,
                         bool across, uint32_t *n)
{
    struct arena *arena = v->r->arena;
    struct sorted *order = arena_array(arena, struct sorted, (size_t)count * 2 + 1);
    length *at = arena_array(arena, length, (size_t)count * 2 + 1);
    for (uint32_t i = 0; i < 2 * count; i++) {
        length l = i % 2 ? high_of(rooms[i / 2], across) : low_of(rooms[i / 2], across);
        order[i] = (struct sorted){.key = {(uint64_t)l ^ (uint64_t)1 << 63, 0}, .item = i};
    }
    sort_by_key(arena, order, 2 * count);
    *n = 0;
    for (uint32_t i = 0; i < 2 * count; i++) {
        uint32_t k = order[i].item;
        length l = k % 2 ? high_of(rooms[k / 2], across) : low_of(rooms[k / 2], across);
        if (!*n || at[*n - 1] != l)
            at[(*n)++] = l;
    }
    return at;
}

/* What one sees from outside: each part of the side belongs to the outermost room there. `next`
 * leads over what belongs to a room already. */
static stretch_list seen_from(const struct plan_view *v, bool across)
{
    struct arena *arena = v->r->arena;
    uint32_t count, n;
    const struct room **rooms = outermost_first(v, across, &count);
    const length *at = places_of(v, rooms, count, across, &n);
    uint32_t *next = arena_array(arena, uint32_t, (size_t)n + 1),
             *owner = arena_array(arena, uint32_t, (size_t)n + 1);
    stretch_list list = {0};
    for (uint32_t i = 0; i <= n; i++)
        next[i] = i;
    for (uint32_t i = 0; i < count; i++) {
        uint32_t k = index_of(at, n, low_of(rooms[i], across)),
                 end = index_of(at, n, high_of(rooms[i], across));
        while (k < end) {
            uint32_t to = k;
            while (next[to] != to)
                to = next[to] = next[next[to]];
            if (to < end) {
                owner[to] = i + 1;
                next[to] = to + 1;
            }
            k = to + 1;
        }
    }
    for (uint32_t i = 0; i + 1 < n; i++) {
        if (!owner[i])
            continue;
        if (i && owner[i - 1] == owner[i])
            list.at[list.n - 1].to = at[i + 1];
        else
            *vec_push(arena, &list) = (struct stretch){at[i], at[i + 1], rooms[owner[i] - 1]};
    }
    return list;
}

static um on_axis(const struct plan_view *v, bool across, length at)
{
    return across ? plan_x(v, at) : plan_y(v, at);
}

static struct spot spot_at(bool across, um along, um axis)
{
    return across ? (struct spot){along, axis} : (struct spot){axis, along};
}

static void draw_end(const struct plan_view *v, bool across, um along, um axis, um from)
{
    struct spot p = spot_at(across, along, axis), q = spot_at(across, along, from);
    paper_line(v->s, q.x, q.y, p.x, p.y, (struct pen){BLACK, NO_INK, LINE_FRAMING, DASH_NONE});
    paper_line(v->s, p.x - SLASH, p.y + SLASH, p.x + SLASH, p.y - SLASH, thin);
}

/* Words over the line, in letters that fit between its ends, else small ones under it, where no
 * others are; false: none fit. */
static bool write_size(const struct plan_view *v, bool across, struct stretch x, um axis)
{
    um a = on_axis(v, across, x.from), b = on_axis(v, across, x.to), room = b > a ? b - a : a - b;
    const char *words = sheets_distance(v->set, x.to - x.from);
    static const struct {
        um caps, spare;
        bool under;
    } tries[] = {{CAPS_WORDS, MM, false}, {CAPS_NOTE, MM / 2, false}, {CAPS_NOTE, -20 * MM, true}};
    for (size_t i = 0; i < sizeof tries / sizeof *tries; i++) {
        struct lettering l = {.caps = tries[i].caps,
                              .anchor = AT_MIDDLE,
                              .degrees = across ? 0 : -90,
                              .halo = PLACE_HALO};
        um wide = paper_text_width(v->s, l, words),
           off = tries[i].under ? SLASH + MM / 4 + l.caps : -MM;
        struct spot at = spot_at(across, (a + b) / 2, axis + off);
        struct area taken = paper_text_area(v->s, at.x, at.y, l, words);
        if (wide + tries[i].spare > room ||
            (tries[i].under && plan_meets(v->taken, taken, BY_WORDS)))
            continue;
        plan_take(v->taken, area_grown(taken, MM / 4), BY_WORDS);
        paper_text(v->s, at.x, at.y, l, words);
        return true;
    }
    return false;
}

static void draw_stretch(struct plan_view *v, bool across, struct stretch x, um axis)
{
    um a = on_axis(v, across, x.from), b = on_axis(v, across, x.to);
    struct spot p = spot_at(across, a, axis), q = spot_at(across, b, axis);
    um beyond = across ? axis - 3 * MM : axis + 3 * MM;
    paper_line(v->s, p.x, p.y, q.x, q.y, thin);
    draw_end(v, across, a, axis, beyond);
    draw_end(v, across, b, axis, beyond);
    if (!write_size(v, across, x, axis))
        *vec_push(v->r->arena, &v->unsized) =
            (struct plan_line){across, arena_printf(v->r->arena, "%s: %s",
                                                    x.room ? plan_room_name(v, x.room) : "in all",
                                                    sheets_distance(v->set, x.to - x.from))};
}

static void clip_to(length *at, length low, length high)
{
    *at = *at < low ? low : *at > high ? high : *at;
}

static void draw_side(struct plan_view *v, bool across)
{
    stretch_list list = seen_from(v, across);
    um edge = across ? plan_y(v, v->tile->low.y) : plan_x(v, v->tile->low.x);
    um sign = across ? 1 : -1;
    struct stretch whole = {0, 0, NULL};
    edge += sign * plan_match_at(v, across ? 0 : -1, across ? 1 : 0);
    length low = across ? v->tile->low.x : v->tile->low.y,
           high = across ? v->tile->high.x : v->tile->high.y;
    uint32_t drawn = 0;
    for (uint32_t i = 0; i < list.n; i++) {
        struct stretch x = list.at[i];
        if (x.from < low || x.to > high) { /* it goes on over the match line */
            clip_to(&x.from, low, high);
            clip_to(&x.to, low, high);
            continue;
        }
        draw_stretch(v, across, x, edge + sign * FIRST);
        whole.from = drawn && whole.from < x.from ? whole.from : x.from;
        whole.to = drawn && whole.to > x.to ? whole.to : x.to;
        drawn++;
    }
    if (drawn > 1)
        draw_stretch(v, across, whole, edge + sign * SECOND);
}

void plan_draw_measures(struct plan_view *v)
{
    paper_begin(v->s, ROLE_DIMENSION, NULL, NULL);
    draw_side(v, true);
    draw_side(v, false);
    paper_end(v->s);
    if (v->unsized.n)
        plan_list(v, true, "Sizes without room on the plan");
    for (uint32_t i = 0; i < v->unsized.n; i++)
        plan_list(v, false,
                  arena_printf(v->r->arena, "%s side, %s", v->unsized.at[i].head ? "south" : "west",
                               v->unsized.at[i].words));
}

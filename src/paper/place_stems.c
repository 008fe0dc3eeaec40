/* Symbols side by side along a line.
 *
 * Without the widths this is isotonic regression: of each symbol the widths before it are taken
 * off, so that symbols that touch stand at one point, and the points must not decrease. Neighbours
 * that would are joined and stand at the middle of what they are to be at (pool adjacent violators;
 * Barlow, Bartholomew, Bremner, Brunk, Statistical Inference under Order Restrictions, 1972). The
 * ends bound the points: what lies beyond one is put on it, which stays the least sum. */
#include "base/sort.h"
#include "paper/place_work.h"

/* Symbols that touch: `sum` of the points that they are to be at. */
struct pool {
    int64_t sum;
    uint32_t count;
};

/* Rounded to the nearest. */
static int64_t mean(struct pool p)
{
    int64_t n = p.count, down = p.sum / n - (p.sum % n < 0);
    return (p.sum - down * n) * 2 >= n ? down + 1 : down;
}

/* Whether the mean of one is above that of the next. */
static bool above(struct pool p, struct pool next)
{
    return p.sum * (int64_t)next.count > next.sum * (int64_t)p.count;
}

/* The stems as they stand along the line. */
static uint32_t *in_order(struct arena *scratch, const struct place_stem *stems, uint32_t count)
{
    struct sorted *list = arena_array(scratch, struct sorted, count);
    for (uint32_t i = 0; i < count; i++)
        list[i] = (struct sorted){.key = {(uint64_t)stems[i].at ^ (uint64_t)1 << 63, 0}, .item = i};
    sort_by_key(scratch, list, count);
    uint32_t *order = arena_array(scratch, uint32_t, count);
    for (uint32_t i = 0; i < count; i++)
        order[i] = list[i].item;
    return order;
}

/* Side by side from end to end, though they overlap. */
static void crowd(struct place_stem *stems, const uint32_t *order, uint32_t count, um low, um high)
{
    um first = low + stems[order[0]].width / 2, last = high - stems[order[count - 1]].width / 2;
    if (last < first)
        first = last = low + (high - low) / 2;
    for (uint32_t i = 0; i < count; i++) {
        stems[order[i]].placed =
            count > 1 ? first + (last - first) * (um)i / (um)(count - 1) : first;
        stems[order[i]].pulled = true;
    }
}

/* What touches something that was moved is pulled off with it. */
static void mark_pulled(struct place_stem *stems, const uint32_t *order, const um *offset,
                        uint32_t count)
{
    for (uint32_t i = 0, end; i < count; i = end) {
        bool moved = false;
        um point = stems[order[i]].placed - offset[i];
        for (end = i; end < count && stems[order[end]].placed - offset[end] == point; end++)
            moved |= stems[order[end]].placed != stems[order[end]].at;
        for (uint32_t k = i; k < end; k++)
            stems[order[k]].pulled = moved;
    }
}

bool place_stems(struct arena *scratch, struct place_stem *stems, uint32_t count, um low, um high)
{
    if (!count)
        return true;
    const uint32_t *order = in_order(scratch, stems, count);
    um *offset = arena_array(scratch, um, count); /* of the middle, from that of the first */
    struct pool *pools = arena_array(scratch, struct pool, count);
    uint32_t n = 0;
    for (uint32_t i = 0; i < count; i++) {
        const struct place_stem *s = &stems[order[i]];
        offset[i] = i ? offset[i - 1] + (stems[order[i - 1]].width + s->width + 1) / 2 : 0;
        pools[n++] = (struct pool){s->at - offset[i], 1};
        for (; n > 1 && above(pools[n - 2], pools[n - 1]); n--) {
            pools[n - 2].sum += pools[n - 1].sum;
            pools[n - 2].count += pools[n - 1].count;
        }
    }
    um least = low + (stems[order[0]].width + 1) / 2,
       most = high - (stems[order[count - 1]].width + 1) / 2 - offset[count - 1];
    if (least > most) {
        crowd(stems, order, count, low, high);
        return false;
    }
    for (uint32_t i = 0, k = 0; k < n; k++) {
        um at = mean(pools[k]);
        at = at < least ? least : at > most ? most : at;
        for (uint32_t of = 0; of < pools[k].count; of++, i++)
            stems[order[i]].placed = at + offset[i];
    }
    mark_pulled(stems, order, offset, count);
    return true;
}

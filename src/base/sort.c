#include "base/sort.h"

#include <string.h>

enum { VALUES = 256 };

/* One pass: by the byte of one of the two numbers that `shift` brings down. */
static void spread(const struct sorted *from, struct sorted *to, uint32_t n, bool second,
                   unsigned shift)
{
    uint32_t at[VALUES + 1] = {0};
    for (uint32_t i = 0; i < n; i++)
        at[((second ? from[i].key.second : from[i].key.first) >> shift & (VALUES - 1)) + 1]++;
    for (unsigned v = 1; v < VALUES; v++)
        at[v] += at[v - 1];
    for (uint32_t i = 0; i < n; i++)
        to[at[(second ? from[i].key.second : from[i].key.first) >> shift & (VALUES - 1)]++] =
            from[i];
}

/* Bits in which the keys are not all alike. */
static struct sort_key differences(const struct sorted *list, uint32_t n)
{
    struct sort_key differ = {0};
    for (uint32_t i = 1; i < n; i++) {
        differ.first |= list[i].key.first ^ list[0].key.first;
        differ.second |= list[i].key.second ^ list[0].key.second;
    }
    return differ;
}

void sort_by_key(struct arena *scratch, struct sorted *list, uint32_t n)
{
    struct sort_key differ = differences(list, n);
    struct sorted *from = list, *to = arena_array(scratch, struct sorted, n);
    for (int second = 1; second >= 0; second--)
        for (unsigned shift = 0; shift < 64; shift += 8) {
            if (!((second ? differ.second : differ.first) >> shift & (VALUES - 1)))
                continue;
            spread(from, to, n, second, shift);
            struct sorted *other = from;
            from = to;
            to = other;
        }
    if (from != list)
        memcpy(list, from, n * sizeof *list);
}

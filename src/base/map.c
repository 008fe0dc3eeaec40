#include "base/map.h"

#include <stdbool.h>
#include <string.h>

/* Eight bytes at a time; the last ones, fewer than eight, are one more word. */
uint64_t map_hash_bytes(const void *bytes, size_t len)
{
    static const uint64_t factor = 0x9e3779b97f4a7c15u;
    const unsigned char *p = bytes;
    uint64_t h = 0xcbf29ce484222325u ^ len, word;
    for (; len >= sizeof word; p += sizeof word, len -= sizeof word) {
        memcpy(&word, p, sizeof word);
        h = (h ^ word) * factor;
        h ^= h >> 32;
    }
    word = 0;
    for (size_t i = 0; i < len; i++)
        word = word << 8 | p[i];
    h = (h ^ word) * factor;
    return h ^ h >> 29;
}

static uint64_t mix(uintptr_t a, uintptr_t b)
{
    uint64_t h =
        (uint64_t)a * 0x9e3779b97f4a7c15u ^ ((uint64_t)b + 0x7f4a7c15u) * 0xc2b2ae3d27d4eb4fu;
    h = (h ^ h >> 32) * 0x9e3779b97f4a7c15u; /* keys at even distances would lie in heaps */
    return h ^ h >> 32;
}

/* A slot is taken when its value is set, or when map_at handed it out (value NULL, key set). */
static bool taken(const struct map_slot *s)
{
    return s->a || s->b || s->value;
}

static struct map_slot *seek(struct map_slot *slot, uint32_t cap, uintptr_t a, uintptr_t b)
{
    uint32_t i = (uint32_t)mix(a, b) & (cap - 1);
    while (taken(&slot[i]) && (slot[i].a != a || slot[i].b != b))
        i = (i + 1) & (cap - 1);
    return &slot[i];
}

void *map_get(const struct map *m, uintptr_t a, uintptr_t b)
{
    return m->cap ? seek(m->slot, m->cap, a, b)->value : NULL;
}

/* Five eighths of the slots are the most that is filled: what is not there is looked for to the end
 * of its run, and runs are twice as long at three quarters. */
static bool is_full(uint32_t n, uint32_t cap)
{
    return (uint64_t)n * 8 > (uint64_t)cap * 5;
}

static void grow_to(struct arena *arena, struct map *m, uint32_t cap)
{
    struct map_slot *slot = arena_array(arena, struct map_slot, cap);
    for (uint32_t i = 0; i < m->cap; i++)
        if (taken(&m->slot[i]))
            *seek(slot, cap, m->slot[i].a, m->slot[i].b) = m->slot[i];
    m->slot = slot;
    m->cap = cap;
}

void **map_at(struct arena *arena, struct map *m, uintptr_t a, uintptr_t b)
{
    if (is_full(m->n + 1, m->cap))
        grow_to(arena, m, m->cap ? m->cap * 2 : 8);
    struct map_slot *s = seek(m->slot, m->cap, a, b);
    if (!taken(s)) {
        s->a = a;
        s->b = b;
        m->n++;
    }
    return &s->value;
}

void map_reserve(struct arena *arena, struct map *m, uint32_t n)
{
    uint32_t cap = 8;
    while (is_full(n, cap))
        cap *= 2;
    if (cap > m->cap)
        grow_to(arena, m, cap);
}

void map_put(struct arena *arena, struct map *m, uintptr_t a, uintptr_t b, void *value)
{
    *map_at(arena, m, a, b) = value;
}

struct map map_copy(struct arena *arena, const struct map *m)
{
    struct map copy = {.n = m->n, .cap = m->cap};
    if (m->cap) {
        copy.slot = arena_array(arena, struct map_slot, m->cap);
        memcpy(copy.slot, m->slot, m->cap * sizeof *m->slot);
    }
    return copy;
}

/* A hash map from a pair of words (a scope and an interned name, say) to a pointer. No deletion:
 * maps die with their arena. */
#ifndef STUDBAY_BASE_MAP_H
#define STUDBAY_BASE_MAP_H

#include "base/arena.h"

struct map_slot {
    uintptr_t a, b;
    void *value;
};

struct map {
    struct map_slot *slot;
    uint32_t n, cap;
};

uint64_t map_hash_bytes(const void *bytes, size_t len);

/* What is filed under (a, b), or NULL. */
void *map_get(const struct map *m, uintptr_t a, uintptr_t b);

/* Files `value` (not NULL) under (a, b), in place of what was there. */
void map_put(struct arena *arena, struct map *m, uintptr_t a, uintptr_t b, void *value);

/* The place of the value under (a, b), made NULL if it is new. */
void **map_at(struct arena *arena, struct map *m, uintptr_t a, uintptr_t b);

/* Room for `n` in all, where their number is known beforehand. */
void map_reserve(struct arena *arena, struct map *m, uint32_t n);

/* The same keys and values, to be added to by itself. */
struct map map_copy(struct arena *arena, const struct map *m);

#define map_find(m, scope, name) map_get((m), (uintptr_t)(scope), (uintptr_t)(name))
#define map_file(arena, m, scope, name, value)                                                     \
    map_put((arena), (m), (uintptr_t)(scope), (uintptr_t)(name), (value))

#endif

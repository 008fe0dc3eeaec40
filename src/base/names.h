/* Interned strings: equal names are equal pointers.
 *
 * Names may stand on others that live longer, which are looked in first and never added to: so
 * those of the library serve every plan. */
#ifndef STUDBAY_BASE_NAMES_H
#define STUDBAY_BASE_NAMES_H

#include "base/arena.h"

struct name_slot {
    const char *text; /* NULL where the slot is free */
    uint32_t hash, len;
};

struct names {
    struct arena *arena;
    const struct names *parent; /* NULL: it stands on none */
    struct name_slot *slot;
    uint32_t n, cap;
};

/* The one copy of these bytes, NUL-terminated; lives as long as the arena, or that of the parent
 * that has it. */
const char *names_intern(struct names *names, const char *text, size_t len);

/* The same for a C string. */
const char *names_of(struct names *names, const char *text);

#endif

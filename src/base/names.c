#include "base/names.h"

#include "base/map.h"

#include <string.h>

static void put(const char **slot, uint32_t cap, const char *name)
{
    uint32_t i = (uint32_t)hash_bytes(name, strlen(name)) & (cap - 1);
    while (slot[i])
        i = (i + 1) & (cap - 1);
    slot[i] = name;
}

static void grow(struct names *names)
{
    uint32_t cap = names->cap ? names->cap * 2 : 256;
    const char **slot = arena_array(names->arena, const char *, cap);
    for (uint32_t i = 0; i < names->cap; i++)
        if (names->slot[i])
            put(slot, cap, names->slot[i]);
    names->slot = slot;
    names->cap = cap;
}

const char *names_intern(struct names *names, const char *text, size_t len)
{
    if (names->n * 2 >= names->cap)
        grow(names);
    uint32_t i = (uint32_t)hash_bytes(text, len) & (names->cap - 1);
    for (; names->slot[i]; i = (i + 1) & (names->cap - 1))
        if (!strncmp(names->slot[i], text, len) && !names->slot[i][len])
            return names->slot[i];
    names->n++;
    return names->slot[i] = arena_copy(names->arena, text, len);
}

const char *names_of(struct names *names, const char *text)
{
    return names_intern(names, text, strlen(text));
}

#include "base/names.h"

#include "base/map.h"

#include <string.h>

static struct name_slot *free_slot(struct name_slot *slot, uint32_t cap, uint32_t hash)
{
    uint32_t i = hash & (cap - 1);
    while (slot[i].text)
        i = (i + 1) & (cap - 1);
    return &slot[i];
}

/* The slot that has the name, or the free one where it belongs; there is always one free. */
static struct name_slot *seek(const struct names *names, uint32_t hash, const char *text,
                              size_t len)
{
    uint32_t i = hash & (names->cap - 1);
    for (struct name_slot *s; (s = &names->slot[i])->text; i = (i + 1) & (names->cap - 1))
        if (s->hash == hash && s->len == len && !memcmp(s->text, text, len))
            break;
    return &names->slot[i];
}

static void grow(struct names *names)
{
    uint32_t cap = names->cap ? names->cap * 2 : 256;
    struct name_slot *slot = arena_array(names->arena, struct name_slot, cap);
    for (uint32_t i = 0; i < names->cap; i++)
        if (names->slot[i].text)
            *free_slot(slot, cap, names->slot[i].hash) = names->slot[i];
    names->slot = slot;
    names->cap = cap;
}

const char *names_intern(struct names *names, const char *text, size_t len)
{
    uint32_t hash = (uint32_t)map_hash_bytes(text, len);
    for (const struct names *p = names->parent; p; p = p->parent) {
        const char *known = p->cap ? seek(p, hash, text, len)->text : NULL;
        if (known)
            return known;
    }
    if (names->n * 2 >= names->cap)
        grow(names);
    struct name_slot *s = seek(names, hash, text, len);
    if (!s->text) {
        names->n++;
        *s = (struct name_slot){arena_copy(names->arena, text, len), hash, (uint32_t)len};
    }
    return s->text;
}

const char *names_of(struct names *names, const char *text)
{
    return names_intern(names, text, strlen(text));
}

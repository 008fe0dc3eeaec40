#include "paper/targets.h"

#include "base/map.h"
#include "base/names.h"

#include <string.h>
#include <strings.h>

struct targets {
    struct names names;
    struct map by_name; /* (0, name) -> struct target */
};

static void add(struct targets *t, const char *name, const struct sheet *s, uint32_t page,
                struct spot at)
{
    struct arena *arena = t->names.arena;
    void **place = map_at(arena, &t->by_name, 0, (uintptr_t)names_of(&t->names, name));
    if (*place)
        return;
    struct target *target = arena_new(arena, struct target);
    *target = (struct target){s, page, at};
    *place = target;
}

static void add_anchors(struct targets *t, const struct sheet *s, uint32_t page)
{
    for (uint32_t i = 0; i < s->marks.n; i++)
        if (s->marks.at[i].kind == MARK_ANCHOR)
            add(t, s->marks.at[i].text, s, page, s->marks.at[i].at);
}

/* A group lies where its first mark does. */
static void add_subjects(struct targets *t, const struct sheet *s, uint32_t page)
{
    const struct group *last = NULL;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->group == last || m->kind == MARK_UNCLIP)
            continue;
        last = m->group;
        struct area a = paper_mark_area(m);
        for (const struct group *g = last; g; g = g->outer)
            if (g->subject)
                add(t, g->subject, s, page, (struct spot){a.left, a.top});
    }
}

struct targets *targets_of(struct arena *arena, const struct paper *paper)
{
    struct targets *t = arena_new(arena, struct targets);
    t->names.arena = arena;
    for (uint32_t i = 0; i < paper->sheets.n; i++)
        add_anchors(t, paper->sheets.at[i], i);
    for (uint32_t i = 0; i < paper->sheets.n; i++)
        add_subjects(t, paper->sheets.at[i], i);
    for (uint32_t i = 0; i < paper->sheets.n; i++)
        add(t, paper->sheets.at[i]->number, paper->sheets.at[i], i, (struct spot){0, 0});
    return t;
}

const struct target *targets_find(struct targets *t, const char *name)
{
    return map_get(&t->by_name, 0, (uintptr_t)names_of(&t->names, name));
}

bool target_is_page(const char *address)
{
    static const char *const schemes[] = {"http://", "https://", "mailto:"};
    for (const char *p = address; *p; p++)
        if ((unsigned char)*p < ' ' || *p == 0x7f)
            return false; /* a browser passes over what breaks lines, also inside a scheme */
    for (size_t i = 0; i < sizeof schemes / sizeof *schemes; i++)
        if (!strncasecmp(address, schemes[i], strlen(schemes[i])))
            return true;
    return *address && address[strcspn(address, ":/?#")] != ':' && strncmp(address, "//", 2) != 0;
}

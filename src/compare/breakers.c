/* Breakers that come, go or stand elsewhere: what is written in the door of the panel is then
 * wrong, and what is marked beside the handle.
 *
 * A circuit is the same where it bears the same text, one of that text in each plan; else where it
 * has the same name. */
#include "compare/work.h"

#include "compare/compare.h"
#include "emit/words/circuits.h"
#include "facts/facts.h"
#include "model/address.h"
#include "model/model.h"

#include <string.h>

enum { CIRCUIT, SERVES, CHANGE, OLD, NEW };

static const struct column columns[] = {
    [CIRCUIT] = {"circuit", "Circuit", 0, COLUMN_DATA},
    [SERVES] = {"title", "Serves", 0, 0},
    [CHANGE] = {"change", "Change", 0, 0},
    [OLD] = {"old", "Was", 0, 0},
    [NEW] = {"new", "Now", 0, 0},
};

/* The circuits of one text in a panel: the last of them, and how many. */
struct titled {
    const struct circuit *circuit;
    uint32_t count;
};

static bool is_breaker(const struct circuit *c)
{
    return c->panel && facts_is_built(c->unit);
}

/* What is written in the panel, "P\nBath lights"; NULL where the plan has no text for it. */
static const char *text_key(struct arena *arena, const struct circuit *c)
{
    return c->text
               ? arena_printf(arena, "%s\n%s", address_of_panel(arena, c->panel, false), c->text)
               : NULL;
}

static struct titled *titled_at(struct arena *arena, struct names *names, struct map *titles,
                                const struct circuit *c)
{
    const char *key = text_key(arena, c);
    void **at = key ? map_at(arena, titles, 0, (uintptr_t)names_of(names, key)) : NULL;
    if (at && !*at)
        *at = arena_new(arena, struct titled);
    return at ? *at : NULL;
}

static void file_titles(struct arena *arena, struct names *names, struct map *titles,
                        const struct model *m)
{
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        struct titled *t = is_breaker(m->circuits.at[i])
                               ? titled_at(arena, names, titles, m->circuits.at[i])
                               : NULL;
        if (t) {
            t->circuit = m->circuits.at[i];
            t->count++;
        }
    }
}

/* For each circuit of the new plan, by id, the one of the old plan that it is, or NULL. */
static const struct circuit **match(struct comparison *c, bool *gone)
{
    struct names names = {.arena = c->arena};
    struct map old_titles = {0}, new_titles = {0}, addresses = {0};
    const struct model *old = c->old->model, *now = c->now->model;
    const struct circuit **same =
        arena_array(c->arena, const struct circuit *, now->circuits.n + 1);
    file_titles(c->arena, &names, &old_titles, old);
    file_titles(c->arena, &names, &new_titles, now);
    for (uint32_t i = 0; i < now->circuits.n; i++) {
        const struct circuit *circuit = now->circuits.at[i];
        struct titled *is = is_breaker(circuit) ? titled_at(c->arena, &names, &new_titles, circuit)
                                                : NULL,
                      *was = is ? titled_at(c->arena, &names, &old_titles, circuit) : NULL;
        if (!was || is->count != 1 || was->count != 1)
            continue;
        same[i] = was->circuit;
        gone[was->circuit->id] = false;
    }
    for (uint32_t i = 0; i < old->circuits.n; i++)
        if (gone[i])
            map_put(c->arena, &addresses, 0,
                    (uintptr_t)names_of(&names,
                                        address_of_circuit(c->arena, old->circuits.at[i], false)),
                    old->circuits.at[i]);
    for (uint32_t i = 0; i < now->circuits.n; i++) {
        const struct circuit *circuit = now->circuits.at[i];
        if (same[i] || !is_breaker(circuit))
            continue;
        same[i] =
            map_get(&addresses, 0,
                    (uintptr_t)names_of(&names, address_of_circuit(c->arena, circuit, false)));
        if (same[i])
            gone[same[i]->id] = false;
    }
    return same;
}

static const char *seat(const struct results *r, const struct circuit *c)
{
    const char *handle = c ? words_handle(r, c) : NULL;
    return handle ? handle : c ? "unknown" : NULL;
}

static void add(struct comparison *c, const char *change, const struct circuit *old,
                const struct circuit *now)
{
    const struct circuit *circuit = now ? now : old;
    struct cell *row = table_row(&c->breakers);
    row[CIRCUIT] = cell_text(address_of_circuit(c->arena, circuit, false));
    row[SERVES] = cell_text(circuit->title);
    row[CHANGE] = cell_text(change);
    row[OLD] = cell_text(seat(c->old, old));
    row[NEW] = cell_text(seat(c->now, now));
}

void compare_breakers(struct comparison *c)
{
    const struct model *old = c->old->model, *now = c->now->model;
    bool *gone = arena_array(c->arena, bool, old->circuits.n + 1);
    for (uint32_t i = 0; i < old->circuits.n; i++)
        gone[i] = is_breaker(old->circuits.at[i]);
    const struct circuit **same = match(c, gone);
    table_begin(&c->breakers, c->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < now->circuits.n; i++) {
        const struct circuit *circuit = now->circuits.at[i];
        if (!is_breaker(circuit))
            continue;
        if (!same[i])
            add(c, "added", NULL, circuit);
        else if (strcmp(seat(c->old, same[i]), seat(c->now, circuit)))
            add(c, "moved", same[i], circuit);
    }
    for (uint32_t i = 0; i < old->circuits.n; i++)
        if (gone[i])
            add(c, "gone", old->circuits.at[i], NULL);
}

/* What is there and is taken out by the one plan alone: cables, devices, breakers, panels. Boxes
 * are told with the boxes. */
#include "compare/work.h"

#include "compare/compare.h"
#include "emit/removals.h"
#include "model/model.h"

#include <string.h>

enum { THING, CHANGE, WHAT };

static const struct column columns[] = {
    [THING] = {"thing", "What", 0, 0},
    [CHANGE] = {"change", "Change", 0, 0},
    [WHAT] = {"detail", "Detail", 0, 0},
};

/* How often a thing is taken out by a plan: devices of one sort in one box are alike. */
struct tally {
    uint32_t n;
};

static struct tally *tally_of(struct comparison *c, struct map *tallies, struct names *names,
                              const struct removal *x)
{
    const char *key = names_of(names, arena_printf(c->arena, "%s\n%s", x->thing, x->detail));
    void **at = map_at(c->arena, tallies, 0, (uintptr_t)key);
    if (!*at)
        *at = arena_new(c->arena, struct tally);
    return *at;
}

static bool is_told(const struct removal *x)
{
    return !x->dead && !x->box;
}

static void count(struct comparison *c, struct map *tallies, struct names *names,
                  const removal_list *list)
{
    for (uint32_t i = 0; i < list->n; i++)
        tally_of(c, tallies, names, &list->at[i])->n += is_told(&list->at[i]);
}

/* Those that the other plan takes out less often. */
static void tell(struct comparison *c, const removal_list *list, struct map *others,
                 struct names *names, const char *change)
{
    for (uint32_t i = 0; i < list->n; i++) {
        const struct removal *x = &list->at[i];
        struct tally *other = tally_of(c, others, names, x);
        if (!is_told(x))
            continue;
        if (other->n) {
            other->n--;
            continue;
        }
        struct cell *row = table_row(&c->goes);
        row[THING] = cell_text(x->thing);
        row[CHANGE] = cell_text(change);
        row[WHAT] = cell_text(x->detail);
    }
}

void compare_removals(struct comparison *c)
{
    struct names names = {.arena = c->arena};
    struct map was = {0}, is = {0};
    const removal_list old = removals_of(c->old), now = removals_of(c->now);
    count(c, &was, &names, &old);
    count(c, &is, &names, &now);
    table_begin(&c->goes, c->arena, columns, sizeof columns / sizeof *columns);
    tell(c, &now, &was, &names, "goes");
    tell(c, &old, &is, &names, "goes no more");
}

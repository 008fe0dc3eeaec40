/* Holes and notches that the old plan makes and the new one does not: member by member, as the
 * report of the bores names them. */
#include "compare/work.h"

#include "compare/compare.h"
#include "emit/reports/reports.h"
#include "log/log.h"

enum { MEMBER, PLACE, OLD, NEW, UNUSED, BORED, CABLES };

static const struct column columns[] = {
    [MEMBER] = {"member", "Member", 0, 0},
    [PLACE] = {"place", "Place", 0, 0},
    [OLD] = {"old", "Had", 0, COLUMN_RIGHT},
    [NEW] = {"new", "Has", 0, COLUMN_RIGHT},
    [UNUSED] = {"unused", "Not used", 0, COLUMN_RIGHT},
    [BORED] = {"bored", "Bored", 0, 0},
    [CABLES] = {"cables", "Was for", 0, 0},
};

/* Holes in one place of a member, whatever their bit, or a notch there, however deep. */
struct hole {
    struct cell member;
    const struct cell *place, *cables;
    int64_t count;
};

typedef VEC(struct hole *) hole_list;

static const struct cell *cell_of(const struct grid *g, uint32_t row, const char *name)
{
    return &g->cells.at[row * g->column_count + compare_column_named(g, name)];
}

static struct hole *hole_at(struct comparison *c, struct names *names, struct map *found,
                            const char *member, const struct cell *place)
{
    const char *key = names_of(names, arena_printf(c->arena, "%s\n%s", member, place->text));
    void **at = map_at(c->arena, found, 0, (uintptr_t)key);
    if (!*at)
        *at = arena_new(c->arena, struct hole);
    return *at;
}

static hole_list count_holes(struct comparison *c, struct names *names, struct map *found,
                             const struct results *r)
{
    struct report bores = {.def = report_named("bores")};
    hole_list list = {0};
    bores.def->fill(r, &bores);
    for (uint32_t i = 0; i < table_rows(&bores.rows); i++) {
        const struct cell *place = cell_of(&bores.rows, i, "place");
        bool notch = cell_of(&bores.rows, i, "notch_in")->kind != CELL_NONE;
        const char *member = arena_printf(c->arena, "%s%s", cell_of(&bores.rows, i, "member")->text,
                                          notch ? ", notch" : "");
        struct hole *hole = hole_at(c, names, found, member, place);
        if (!hole->place) {
            *hole = (struct hole){.member = cell_text(member),
                                  .place = place,
                                  .cables = cell_of(&bores.rows, i, "cables")};
            *vec_push(c->arena, &list) = hole;
        }
        hole->count += cell_of(&bores.rows, i, "count")->integer;
    }
    return list;
}

/* Addresses of the old plan's runs that the log calls bored. */
static struct map bored_runs(struct comparison *c, struct names *names)
{
    struct map bored = {0};
    for (uint32_t i = 0; c->old->log && i < c->old->model->runs.n; i++)
        if (log_has(c->old->log->of_run[i].states, LOG_BORED)) {
            const char *address =
                names_of(names, view_of_run(c->old, c->old->model->runs.at[i])->address);
            map_put(c->arena, &bored, 0, (uintptr_t)address, (void *)address);
        }
    return bored;
}

static bool is_bored(const struct map *bored, struct names *names, const struct cell *cables)
{
    for (uint32_t i = 0; i < cables->list.count; i++)
        if (map_find(bored, 0, names_of(names, cables->list.item[i])))
            return true;
    return false;
}

void compare_bores(struct comparison *c)
{
    struct names names = {.arena = c->arena};
    struct map old = {0}, now = {0}, bored = bored_runs(c, &names);
    hole_list holes = count_holes(c, &names, &old, c->old);
    count_holes(c, &names, &now, c->now);
    table_begin(&c->bores, c->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < holes.n; i++) {
        const struct hole *had = holes.at[i];
        int64_t has = hole_at(c, &names, &now, had->member.text, had->place)->count;
        if (had->count <= has)
            continue;
        struct cell *row = table_row(&c->bores);
        c->unused_bores += (uint32_t)(had->count - has);
        row[MEMBER] = had->member;
        row[PLACE] = *had->place;
        row[OLD] = cell_integer(had->count);
        row[NEW] = cell_integer(has);
        row[UNUSED] = cell_integer(had->count - has);
        row[BORED] = cell_bool(is_bored(&bored, &names, had->cables));
        row[CABLES] = *had->cables;
    }
}

/* The change sheet: what a change of the plan leaves to do, room by room, to be ticked. */
#include "compare/sheet.h"

#include "compare/work.h"
#include "model/address.h"
#include "model/site.h"
#include "sheets/grid.h"

#include <string.h>

/* What there is to do in a room. */
struct place_work {
    const char *title;
    struct grid boxes, runs;
};

struct change_sheet {
    const struct comparison *c;
    struct names names;
    struct map by_room; /* (0, its address) -> its work */
    VEC(struct place_work *) rooms;
};

/* The table of a room: no column without a word in it. */
static void begin_like(struct arena *arena, struct grid *g, const struct grid *like)
{
    struct column *columns = arena_array(arena, struct column, like->column_count);
    memcpy(columns, like->columns, like->column_count * sizeof *columns);
    for (uint32_t i = 0; i < like->column_count; i++)
        columns[i].flags |= COLUMN_IF_USED;
    table_begin(g, arena, columns, like->column_count);
}

static struct place_work *work_in(struct change_sheet *t, const char *address, const char *title)
{
    struct arena *arena = t->c->arena;
    void **at = map_at(arena, &t->by_room, 0, (uintptr_t)names_of(&t->names, address));
    if (!*at) {
        struct place_work *w = *at = arena_new(arena, struct place_work);
        w->title = title && *title ? title : *address ? address : "Between panels";
        begin_like(arena, &w->boxes, &t->c->boxes);
        begin_like(arena, &w->runs, &t->c->runs);
        *vec_push(arena, &t->rooms) = w;
    }
    return *at;
}

/* In the order of the new plan, then what only the old one has. */
static void list_rooms(struct change_sheet *t)
{
    const struct results *plans[] = {t->c->now, t->c->old};
    for (int i = 0; i < 2; i++)
        for (uint32_t k = 0; k < plans[i]->model->rooms.n; k++) {
            const struct room *room = plans[i]->model->rooms.at[k];
            work_in(t, address_of_room(t->c->arena, room, false), room->title);
        }
}

static void copy_row(struct grid *to, const struct grid *from, uint32_t row)
{
    memcpy(table_row(to), &from->cells.at[(size_t)row * from->column_count],
           from->column_count * sizeof(struct cell));
}

static void sort_by_room(struct change_sheet *t)
{
    const struct comparison *c = t->c;
    list_rooms(t);
    for (uint32_t i = 0; i < table_rows(&c->boxes); i++)
        copy_row(&work_in(t, c->box_rooms.at[i], NULL)->boxes, &c->boxes, i);
    for (uint32_t i = 0; i < table_rows(&c->runs); i++)
        if (compare_is_listed(c, i))
            copy_row(&work_in(t, c->run_rooms.at[i], NULL)->runs, &c->runs, i);
}

static const char *plan_words(struct arena *arena, const struct results *r)
{
    const struct model *m = r->model;
    const char *title = m->title && *m->title ? m->title : "the plan";
    return m->date ? arena_printf(arena, "%s of %s", title, m->date) : title;
}

static void draw_changes(struct set *set)
{
    const struct comparison *c = set->told;
    struct arena *arena = c->arena;
    struct change_sheet t = {.c = c, .names = {.arena = arena}};
    const char *was = plan_words(arena, c->old), *is = plan_words(arena, c->now);
    struct grid_pages g = {.set = set,
                           .title = "Changes",
                           .under = strcmp(was, is) ? arena_printf(arena, "from %s to %s", was, is)
                                                    : "from the old plan to the new one"};
    sort_by_room(&t);
    grid_say(&g, compare_counts(c), true);
    g.y += 2 * MM;
    for (uint32_t i = 0; i < t.rooms.n; i++) {
        const struct place_work *w = t.rooms.at[i];
        grid_draw(&g, arena_printf(arena, "%s: boxes", w->title), &w->boxes, true);
        grid_draw(&g, arena_printf(arena, "%s: cables", w->title), &w->runs, true);
    }
    grid_draw(&g, "New holes", &c->new_bore_rows, true);
    grid_draw(&g, "Holes no longer used", &c->bores, true);
    grid_draw(&g, "What is there and goes", &c->goes, true);
    grid_draw(&g, "Breakers: the card of the panel is written anew", &c->breakers, true);
    grid_draw(&g, "Labels on cables", &c->labels, true);
    grid_draw(&g, "To be bought, more or less", &c->buy, true);
    grid_draw(&g, "Findings", &c->findings, false);
    if (!c->now->log)
        grid_say(&g, compare_without_log, false);
    grid_say(&g, compare_caution, true);
    grid_end(&g);
}

struct paper *compare_sheets(const struct comparison *c, enum paper_size size)
{
    static const struct sheet_kind kind = {
        .name = "changes",
        .number = "X-%u",
        .series = "Change sheet",
        .draw = draw_changes,
        .use = FOR_HAND,
        .doc =
            "what a change of the plan leaves to do: boxes and cables by room, holes, what goes"};
    const struct sheet_kind *const kinds[] = {&kind};
    return sheets_make_told(c->now, size, false, kinds, 1, c);
}

/* What is left to do in each room, counted from the report `todo`, so that the two tell one story.
 */
#include "book/work.h"

#include "model/site.h"

#include <string.h>

/* The stages of `todo`, in what a person says of one and of several. `by_count`: its rows say how
 * many there are of them; else each row is one. */
static const struct stage {
    const char *name, *one, *many;
    bool by_count;
} stages[] = {
    {"make dead", "thing to make dead", "things to make dead", false},
    {"take out", "thing to take out", "things to take out", false},
    {"set", "box to set", "boxes to set", true},
    {"bore", "hole to bore", "holes to bore", true},
    {"lay", "raceway to lay", "raceways to lay", false},
    {"pull", "cable to pull", "cables to pull", false},
    {"staple", "cable to staple", "cables to staple", false},
    {"make up", "box to make up", "boxes to make up", false},
    {"inspect", "inspection", "inspections", false},
    {"cover", "room to close", "rooms to close", false},
    {"trim", "box to trim out", "boxes to trim out", false},
    {"test", "circuit to test", "circuits to test", false},
};
enum { STAGES = sizeof stages / sizeof *stages };

struct left {
    uint32_t all, of[STAGES];
};

static void count_row(struct left *left, const char *stage, uint32_t count)
{
    for (uint32_t s = 0; s < STAGES; s++)
        if (!strcmp(stage, stages[s].name)) {
            uint32_t n = stages[s].by_count ? count : 1;
            left->of[s] += n;
            left->all += n;
        }
}

void left_count(struct book *b)
{
    const struct model *m = b->r->model;
    const struct grid *t = &b->todo.rows;
    uint32_t stage = table_column(t, "stage"), in = table_column(t, "room"),
             count = table_column(t, "count");
    struct map rooms = {0}; /* (0, interned address) -> its counts */
    b->left = arena_array(b->arena, struct left, m->rooms.n + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        map_file(b->arena, &rooms, 0,
                 names_of(m->names, address_of_room(b->arena, m->rooms.at[i], false)), &b->left[i]);
    for (uint32_t i = 0; i < table_rows(t); i++) {
        const struct cell *row = &t->cells.at[i * t->column_count];
        struct left *left = row[in].kind == CELL_TEXT
                                ? map_find(&rooms, 0, names_of(m->names, row[in].text))
                                : NULL;
        count_row(left ? left : &b->left[m->rooms.n], row[stage].text,
                  (uint32_t)row[count].integer);
    }
}

/* "31 left in this room", and below it "4 boxes to set · 9 holes to bore". */
static void put_left(struct book *b, const struct left *left, const char *where)
{
    struct buf words = {0};
    const char *between = "";
    if (!left->all)
        html_put(b->out, "<p class=\"says\">Nothing left %t</p>\n", where);
    if (!left->all)
        return;
    for (uint32_t s = 0; s < STAGES; s++) {
        if (!left->of[s])
            continue;
        buf_printf(&words, "%s%u\u00a0%s", between, left->of[s],
                   left->of[s] == 1 ? stages[s].one : stages[s].many);
        between = " \u00b7 ";
    }
    html_put(b->out, "<p class=\"says\">%u left %t</p>\n<p class=\"where\">%t</p>\n", left->all,
             where, buf_text(&words));
    buf_free(&words);
}

void left_put_in_room(struct book *b, const struct room *room)
{
    put_left(b, &b->left[room->id], "in this room");
}

const char *left_in_room_short(const struct book *b, const struct room *room)
{
    uint32_t all = b->left[room->id].all;
    return all ? arena_printf(b->arena, "%u left", all) : "nothing left";
}

void left_put_in_all(struct book *b)
{
    uint32_t rooms = b->r->model->rooms.n;
    struct left sum = {0};
    for (uint32_t i = 0; i <= rooms; i++) {
        sum.all += b->left[i].all;
        for (uint32_t s = 0; s < STAGES; s++)
            sum.of[s] += b->left[i].of[s];
    }
    put_left(b, &sum, "on this job");
    if (b->left[rooms].all)
        html_put(b->out,
                 "<p class=\"where\">%u of them in no one room, as holes through joists</p>\n",
                 b->left[rooms].all);
}

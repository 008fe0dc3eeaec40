/* The walk-round room by room: what of the items is to be looked at in each, or has a fault there.
 */
#include "emit/reports/inspection.h"

#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "model/site.h"

#include <ctype.h>
#include <string.h>

/* One item in one room. */
struct look {
    const char *item;
    bool fault;
    VEC(const char *) where;
};

typedef VEC(struct look *) look_list;

struct rooms {
    const struct results *r;
    struct report *report;
    struct map named;   /* (0, address of a room or panel) -> the room */
    struct map said;    /* (item in a room, place) */
    look_list *of_room; /* by room id */
};

enum { SUM_ROOM, SUM_BOXES, SUM_LOOK, SUM_FAULTS };

static const struct column sum_columns[] = {
    [SUM_ROOM] = {"room", "Room", 0, 0},
    [SUM_BOXES] = {"boxes", "Boxes", 0, COLUMN_RIGHT},
    [SUM_LOOK] = {"look", "To look at", 0, COLUMN_RIGHT},
    [SUM_FAULTS] = {"faults", "Faults", 0, COLUMN_RIGHT},
};

enum { TICK, ITEM, WHERE };

static const struct column look_columns[] = {
    [TICK] = {"done", "Done", 0, COLUMN_TOP},
    [ITEM] = {"item", "Look at", 0, COLUMN_TOP},
    [WHERE] = {"where", "Where", 0, 0},
};

static void name_room(struct rooms *x, const char *address, const struct room *room)
{
    if (room)
        map_file(x->r->arena, &x->named, 0, names_of(x->r->model->names, address), (void *)room);
}

static void name_rooms(struct rooms *x)
{
    const struct model *m = x->r->model;
    for (uint32_t i = 0; i < m->panels.n; i++)
        name_room(x, address_of_panel(x->r->arena, m->panels.at[i], false), m->panels.at[i]->room);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        name_room(x, address_of_room(x->r->arena, m->rooms.at[i], false), m->rooms.at[i]);
}

/* The item in a room: that of the row before, or a new one. */
static struct look *look_in(struct rooms *x, const struct room *room, const char *item, bool fault)
{
    look_list *list = &x->of_room[room->id];
    struct look *last = list->n ? list->at[list->n - 1] : NULL;
    if (last && last->item == item && last->fault == fault)
        return last;
    last = arena_new(x->r->arena, struct look);
    *last = (struct look){.item = item, .fault = fault};
    *vec_push(x->r->arena, list) = last;
    return last;
}

static void add_where(struct rooms *x, struct look *look, const char *where)
{
    void **at = map_at(x->r->arena, &x->said, (uintptr_t)look,
                       (uintptr_t)names_of(x->r->model->names, where));
    if (*at)
        return;
    *at = look;
    *vec_push(x->r->arena, &look->where) = where;
}

static size_t token_length(const char *at)
{
    size_t n = 0;
    while (isalnum((unsigned char)at[n]) || (at[n] && strchr("-_.", at[n]) && at[n + 1] != '>'))
        n++;
    while (n && at[n - 1] == '.')
        n--;
    return n;
}

/* "shop.R1": what is before its last point is a room's address. */
static bool add_box_named(struct rooms *x, const char *token, size_t n, const char *item,
                          bool fault)
{
    size_t home = n;
    while (home && token[home - 1] != '.')
        home--;
    if (!home)
        return false;
    const char *address = arena_copy(x->r->arena, token, home - 1);
    const struct room *room = map_find(&x->named, 0, names_of(x->r->model->names, address));
    if (room)
        add_where(x, look_in(x, room, item, fault),
                  arena_copy(x->r->arena, token + home, n - home));
    return room != NULL;
}

/* The rooms that one line of the evidence tells of: by their boxes anywhere in it, by their own
 * names or those of their panels where its places begin. */
static void read_evidence(struct rooms *x, const char *words, const char *item, bool fault)
{
    bool boxes = false;
    for (const char *at = words; *at;) {
        size_t n = token_length(at);
        boxes |= n && add_box_named(x, at, n, item, fault);
        at += n ? n : 1;
    }
    const char *places = strrchr(words, ':');
    places = places ? places + 1 + strspn(places + 1, " ") : words;
    size_t n = token_length(places);
    const char *address = arena_copy(x->r->arena, places, n);
    const struct room *room = map_find(&x->named, 0, names_of(x->r->model->names, address));
    if (!boxes && room && !strstr(places, "->"))
        add_where(x, look_in(x, room, item, fault),
                  strcmp(places, address_of_room(x->r->arena, room, false)) ? places : "the room");
}

static void read_rows(struct rooms *x)
{
    const struct grid *rows = &x->report->rows;
    for (uint32_t i = 0; i < table_rows(rows); i++) {
        const struct cell *row = &rows->cells.at[i * rows->column_count];
        const char *state = row[INSPECTION_STATE].text;
        bool fault = !strcmp(state, STATE_FAULT);
        const struct cell *evidence = &row[INSPECTION_EVIDENCE];
        if ((!fault && strcmp(state, STATE_LOOK)) || evidence->kind != CELL_LIST)
            continue;
        const char *item =
            row[INSPECTION_ITEM].shown ? row[INSPECTION_ITEM].shown : row[INSPECTION_ITEM].text;
        for (uint32_t k = 0; k < evidence->list.count; k++)
            read_evidence(x, evidence->list.item[k], item, fault);
    }
}

static void show_sums(struct rooms *x)
{
    const struct model *m = x->r->model;
    struct grid *list = report_part(x->r, x->report, "By room", sum_columns,
                                    sizeof sum_columns / sizeof *sum_columns);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        uint32_t faults = 0;
        for (uint32_t k = 0; k < x->of_room[i].n; k++)
            faults += x->of_room[i].at[k]->fault;
        if (!x->of_room[i].n)
            continue;
        struct cell *row = table_row(list);
        row[SUM_ROOM] = cell_text(address_of_room(x->r->arena, m->rooms.at[i], false));
        row[SUM_BOXES] = cell_integer(m->rooms.at[i]->boxes.n);
        row[SUM_LOOK] = cell_integer(x->of_room[i].n - faults);
        row[SUM_FAULTS] = cell_integer(faults);
    }
}

static void show_room(struct rooms *x, const struct room *room)
{
    const look_list *looks = &x->of_room[room->id];
    struct grid *list = report_part(x->r, x->report, address_of_room(x->r->arena, room, false),
                                    look_columns, sizeof look_columns / sizeof *look_columns);
    for (uint32_t i = 0; i < looks->n; i++) {
        const struct look *look = looks->at[i];
        struct cell *row = table_row(list);
        row[TICK] = cell_text(look->fault ? "[!]" : "[ ]");
        row[ITEM] = cell_text(look->item);
        row[WHERE] = cell_list(look->where.at, look->where.n);
    }
}

void inspection_rooms(const struct results *r, struct report *report)
{
    struct rooms x = {.r = r,
                      .report = report,
                      .of_room = arena_array(r->arena, look_list, r->model->rooms.n + 1)};
    name_rooms(&x);
    read_rows(&x);
    show_sums(&x);
    for (uint32_t i = 0; i < r->model->rooms.n; i++)
        if (x.of_room[i].n)
            show_room(&x, r->model->rooms.at[i]);
}

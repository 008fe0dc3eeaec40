/* The second shopping list: devices by room, plates by the devices they go over, breakers by kind,
 * luminaires; and the tabs to break before a device goes in. */
#include "emit/left.h"
#include "emit/removals.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "facts/boxes.h"
#include "facts/existing.h"
#include "facts/pulls.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <string.h>

enum { GROUP, ROOM, UNIT, ITEM, QUANTITY, BOXES };

static const struct column columns[] = {
    [GROUP] = {"group", "What", 0, 0},
    [ROOM] = {"room", "Room", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [ITEM] = {"item", "Item", 0, 0},
    [QUANTITY] = {"quantity", "Number", 0, COLUMN_RIGHT},
    [BOXES] = {"boxes", "Where", 0, 0},
};

enum { SUM_GROUP, SUM_ITEM, SUM_QUANTITY };

static const struct column total_columns[] = {
    [SUM_GROUP] = {"group", "In all", 0, 0},
    [SUM_ITEM] = {"item", "Item", 0, 0},
    [SUM_QUANTITY] = {"quantity", "Number", 0, COLUMN_RIGHT},
};

/* For people: what is asked for at the counter, then what goes where. */
enum { ASK_NUMBER, ASK_ITEM, ASK_WHERE };

static const struct column ask_columns[] = {
    [ASK_NUMBER] = {"quantity", "Number", 0, COLUMN_RIGHT | COLUMN_TOP},
    [ASK_ITEM] = {"item", "Item", 0, COLUMN_TOP},
    [ASK_WHERE] = {"boxes", "Where", 0, COLUMN_IF_USED},
};

enum { AT_ROOM, AT_NUMBER, AT_ITEM, AT_WHERE };

static const struct column room_columns[] = {
    [AT_ROOM] = {"room", "Room", 0, COLUMN_TOP},
    [AT_NUMBER] = {"quantity", "Number", 0, COLUMN_RIGHT | COLUMN_TOP},
    [AT_ITEM] = {"item", "Item", 0, COLUMN_TOP},
    [AT_WHERE] = {"boxes", "Where", 0, 0},
};

enum group { DEVICES, LUMINAIRES, TABS, PLATES, BREAKERS, FILLERS, GROUPS };

/* Each as data have it, and at the head of what people read. */
static const struct {
    const char *name, *head;
} groups[GROUPS] = {{"devices", "Devices"},
                    {"luminaires", "Luminaires"},
                    {"tabs", "Tabs to break before the receptacle goes in"},
                    {"plates", "Plates and covers"},
                    {"breakers", "Breakers"},
                    {"fillers", "Filler plates for open spaces"}};

/* Equal things of one group and room. */
struct entry {
    enum group group;
    const char *item;
    const char *told; /* as it is told to a clerk; NULL: the item itself */
    const struct room *room;
    uint32_t count;
    VEC(const char *) where;
};

struct list {
    const struct results *r;
    struct map index; /* (room, interned group and item) -> struct entry */
    VEC(struct entry *) entries;
};

static struct entry *add(struct list *l, enum group group, const struct room *room,
                         const char *item, const char *where, uint32_t count)
{
    struct arena *arena = l->r->arena;
    const char *key = names_of(l->r->model->names, arena_printf(arena, "%u\n%s", group, item));
    struct entry *e = map_find(&l->index, room, key);
    if (!e) {
        e = arena_new(arena, struct entry);
        *e = (struct entry){.group = group, .item = item, .room = room};
        map_file(arena, &l->index, room, key, e);
        *vec_push(arena, &l->entries) = e;
    }
    e->count += count;
    if (where &&
        !(e->where.n && e->where.at[e->where.n - 1] == where)) /* two of a kind in one box: once */
        *vec_push(arena, &e->where) = where;
    return e;
}

/* What stands in an opening of the plate, as it is written in lists or, `told`, to a clerk: of an
 * appliance with a plug the receptacle that it is plugged into. */
static const char *opening_words(const struct results *r, const struct device *d, bool told)
{
    const char *outlet = device_outlet_item(r, d);
    if (!told || outlet)
        return outlet ? outlet : d->def->name;
    return device_title_words(r, d->def);
}

/* "2-gang: switch, blank": what the openings of the plate are, in the order of the box; a gang
 * without a device is blank. */
static const char *plate_words(const struct results *r, const struct box *b, bool told)
{
    const char *cover = facts_cover(r->model, b);
    struct buf words = {0};
    uint32_t yokes = 0;
    for (uint32_t i = 0; i < b->device_count; i++)
        for (uint8_t k = 0; k < b->devices[i]->def->yokes; k++) {
            buf_printf(&words, "%s%s", yokes ? ", " : "", opening_words(r, b->devices[i], told));
            yokes += b->devices[i]->def->gangs > 1 ? b->devices[i]->def->gangs : 1u;
        }
    const char *result = NULL;
    uint32_t gangs = r->wiring->of_box[b->id].gangs;
    for (; yokes && yokes < gangs; yokes++)
        buf_puts(&words, ", blank");
    if (yokes)
        result = arena_printf(r->arena, "%u-gang: %s%s", yokes, buf_text(&words),
                              cover ? arena_printf(r->arena, ", %s cover", cover) : "");
    else if (!b->device_count && facts_is_body(b))
        result = words_body_cover(r, b);
    else if (!b->device_count)
        result =
            cover && strcmp(cover, "blank") ? arena_printf(r->arena, "blank, %s", cover) : "blank";
    buf_free(&words);
    return result;
}

static bool is_new(const struct results *r, const struct box *b)
{
    bool any = facts_gets_blank(b);
    for (uint32_t i = 0; i < b->device_count; i++)
        any = any || wiring_buys_device(r->wiring, b->devices[i]);
    return any;
}

static void add_box(struct list *l, const struct box *b, bool plates)
{
    const struct results *r = l->r;
    const char *where = view_of_box(r, b)->address;
    const char *plate = plates && is_new(r, b) ? plate_words(r, b, false) : NULL;
    if (plate)
        add(l, PLATES, NULL, plate, where, 1)->told = plate_words(r, b, true);
    for (uint32_t i = 0; i < b->device_count && !plates; i++) {
        const struct device *d = b->devices[i];
        if (!wiring_buys_device(r->wiring, d))
            continue;
        bool lamp = !d->def->outlets && d->def->sort == SORT_LUMINAIRE;
        add(l, lamp ? LUMINAIRES : DEVICES, b->room, lamp ? d->def->name : device_item(r, d), where,
            1)
            ->told = device_counter_words(r, d);
        const char *outlet = device_outlet_item(r, d);
        if (outlet)
            add(l, DEVICES, b->room, outlet, where, 1);
        if (!d->existing && words_tab_broken(r, d))
            add(l, TABS, b->room, words_tabs(r, d), where, 1);
    }
}

/* Over all rooms, as a shop is asked for them. */
static void add_totals(const struct results *r, const struct list *l, enum group group,
                       struct report *report)
{
    struct map index = {0}; /* item -> its number + 1 among those of the group */
    VEC(struct entry) sums = {0};
    for (uint32_t i = 0; i < l->entries.n; i++) {
        const struct entry *e = l->entries.at[i];
        if (e->group != group)
            continue;
        void **at = map_at(r->arena, &index, 0, (uintptr_t)names_of(r->model->names, e->item));
        if (!*at) {
            *vec_push(r->arena, &sums) = (struct entry){.item = e->item, .told = e->told};
            *at = (void *)(uintptr_t)sums.n;
        }
        sums.at[(uintptr_t)*at - 1].count += e->count;
    }
    for (uint32_t i = 0; i < sums.n; i++) {
        struct cell *row = table_row(&report->totals);
        row[SUM_GROUP] = cell_text(groups[group].name);
        row[SUM_ITEM] = cell_shown(cell_text(sums.at[i].item), sums.at[i].told);
        row[SUM_QUANTITY] = cell_integer(sums.at[i].count);
    }
}

static void add_rows(const struct list *l, enum group group, struct report *report)
{
    const struct results *r = l->r;
    for (uint32_t i = 0; i < l->entries.n; i++) {
        const struct entry *e = l->entries.at[i];
        if (e->group != group)
            continue;
        struct cell *row = table_row(&report->rows);
        row[GROUP] = cell_text(groups[group].name);
        row[ROOM] = cell_text(e->room ? address_of_room(r->arena, e->room, false) : NULL);
        row[UNIT] = words_unit_cell(e->room ? e->room->unit : NULL);
        row[ITEM] = cell_shown(cell_text(e->item), e->told);
        row[QUANTITY] = cell_integer(e->count);
        row[BOXES] = places_cell(r, e->where.at, e->where.n);
    }
}

/* --- for people --------------------------------------------------------------------------- */

/* What a clerk is told of it. */
static const char *told_of(const struct results *r, const struct entry *e)
{
    return e->told ? e->told : words_upper_first(r->arena, e->item);
}

/* Things of a group that are asked for in the same words, over all rooms; where, of what is in
 * none. */
static uint32_t ask_for(const struct list *l, enum group group, struct report *report)
{
    const struct results *r = l->r;
    struct map index = {0};
    VEC(struct entry *) asked = {0};
    uint32_t all = 0;
    for (uint32_t i = 0; i < l->entries.n; i++) {
        const struct entry *e = l->entries.at[i];
        if (e->group != group)
            continue;
        const char *words = names_of(r->model->names, told_of(r, e));
        struct entry *sum = map_find(&index, 0, words);
        if (!sum) {
            sum = arena_new(r->arena, struct entry);
            sum->item = words;
            map_file(r->arena, &index, 0, words, sum);
            *vec_push(r->arena, &asked) = sum;
        }
        sum->count += e->count;
        all += e->count;
        for (uint32_t k = 0; !e->room && k < e->where.n; k++)
            *vec_push(r->arena, &sum->where) = e->where.at[k];
    }
    struct grid *list =
        report_part(r, report, arena_printf(r->arena, "%s: %u", groups[group].head, all),
                    ask_columns, sizeof ask_columns / sizeof *ask_columns);
    for (uint32_t i = 0; i < asked.n; i++) {
        struct cell *row = table_row(list);
        row[ASK_NUMBER] = cell_integer(asked.at[i]->count);
        row[ASK_ITEM] = cell_text(asked.at[i]->item);
        row[ASK_WHERE] = places_cell(r, asked.at[i]->where.at, asked.at[i]->where.n);
    }
    return all;
}

/* Room by room, for the hands that put it in. */
static void show_rooms(const struct list *l, enum group first, enum group last, const char *head,
                       struct report *report)
{
    const struct results *r = l->r;
    struct grid *list =
        report_part(r, report, head, room_columns, sizeof room_columns / sizeof *room_columns);
    for (uint32_t i = 0; i < l->entries.n; i++) { /* as the boxes stand in the plan, so by room */
        const struct entry *e = l->entries.at[i];
        if (e->group < first || e->group > last)
            continue;
        struct cell *row = table_row(list);
        row[AT_ROOM] = cell_text(e->room ? address_of_room(r->arena, e->room, false) : NULL);
        row[AT_NUMBER] = cell_integer(e->count);
        row[AT_ITEM] = cell_text(told_of(r, e));
        row[AT_WHERE] = places_cell(r, e->where.at, e->where.n);
    }
}

static void show(const struct list *l, struct report *report)
{
    static const enum group asked[] = {DEVICES, LUMINAIRES, PLATES, BREAKERS, FILLERS};
    uint32_t count[sizeof asked / sizeof *asked];
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++)
        count[i] = ask_for(l, asked[i], report);
    show_rooms(l, DEVICES, LUMINAIRES, "Devices and luminaires by room", report);
    show_rooms(l, TABS, TABS, groups[TABS].head, report);
    struct arena *a = l->r->arena;
    report->says =
        arena_printf(a,
                     "To buy: %s, %s, %s, %s. The plan names no colour: say one for devices "
                     "and plates.",
                     arena_counted(a, count[0], "device", "devices"),
                     arena_counted(a, count[1], "luminaire", "luminaires"),
                     arena_counted(a, count[2], "plate or cover", "plates and covers"),
                     arena_counted(a, count[3], "breaker", "breakers"));
}

void report_trim(const struct results *r, struct report *report)
{
    struct list l = {.r = r};
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, total_columns,
                sizeof total_columns / sizeof *total_columns);
    for (int plates = 0; plates < 2; plates++)
        for (uint32_t i = 0; i < r->model->boxes.n; i++)
            if (facts_is_built(r->model->boxes.at[i]->room->unit) &&
                left_in_box(r, r->model->boxes.at[i], LOG_TRIMMED))
                add_box(&l, r->model->boxes.at[i], plates);
    for (uint32_t i = 0; i < r->model->circuits.n; i++) {
        const struct circuit *c = r->model->circuits.at[i];
        const char *words = words_bought_breaker(r, c);
        if (words && facts_buys_breaker(c) && facts_is_built(c->unit) && left_breaker(r, c))
            add(&l, BREAKERS, NULL, words, words_circuit(r, c), words_breaker_count(c))->told =
                words_breaker_told(r, c);
    }
    for (uint32_t i = 0; i < r->model->panels.n; i++) {
        const struct panel *p = r->model->panels.at[i];
        uint32_t fillers = removals_fillers(r, p);
        if (fillers)
            add(&l, FILLERS, NULL, "filler plate", address_of_panel(r->arena, p, false), fillers);
    }
    for (enum group g = 0; g < GROUPS; g++) {
        add_rows(&l, g, report);
        if (g == DEVICES || g == LUMINAIRES)
            add_totals(r, &l, g, report);
    }
    show(&l, report);
    *vec_push(r->arena, &report->notes) =
        "What is there already and stays is not listed. A breaker is of the make that its panel is "
        "listed for.";
}

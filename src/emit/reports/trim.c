/* The second shopping list: devices by room, plates by the devices they go over, breakers by kind,
 * luminaires; and the tabs to break before a device goes in. */
#include "emit/left.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "facts/boxes.h"
#include "facts/existing.h"
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

/* Equal things of one group and room. */
struct entry {
    const char *group, *item;
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

static struct entry *add(struct list *l, const char *group, const struct room *room,
                         const char *item, const char *where, uint32_t count)
{
    struct arena *arena = l->r->arena;
    const char *key = names_of(l->r->model->names, arena_printf(arena, "%s\n%s", group, item));
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
    char *first = arena_copy(r->arena, d->def->title, strcspn(d->def->title, ","));
    bool word = first[0] >= 'A' && first[0] <= 'Z' && first[1] >= 'a' && first[1] <= 'z';
    first[0] = word ? (char)(first[0] - 'A' + 'a') : first[0]; /* "GFCI receptacle" stays */
    return first;
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
        add(l, "plates", NULL, plate, where, 1)->told = plate_words(r, b, true);
    for (uint32_t i = 0; i < b->device_count && !plates; i++) {
        const struct device *d = b->devices[i];
        if (!wiring_buys_device(r->wiring, d))
            continue;
        bool lamp = !d->def->outlets && d->def->sort == SORT_LUMINAIRE;
        add(l, lamp ? "luminaires" : "devices", b->room, lamp ? d->def->name : device_item(r, d),
            where, 1)
            ->told = device_counter_words(r, d);
        const char *outlet = device_outlet_item(r, d);
        if (outlet)
            add(l, "devices", b->room, outlet, where, 1);
        if (!d->existing && words_tab_broken(r, d))
            add(l, "tabs", b->room, words_tabs(r, d), where, 1);
    }
}

/* Over all rooms, as a shop is asked for them. */
static void add_totals(const struct results *r, const struct list *l, const char *group,
                       struct report *report)
{
    struct map index = {0}; /* item -> its number + 1 among those of the group */
    VEC(struct entry) sums = {0};
    for (uint32_t i = 0; i < l->entries.n; i++) {
        const struct entry *e = l->entries.at[i];
        if (strcmp(e->group, group))
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
        row[SUM_GROUP] = cell_text(group);
        row[SUM_ITEM] = cell_shown(cell_text(sums.at[i].item), sums.at[i].told);
        row[SUM_QUANTITY] = cell_integer(sums.at[i].count);
    }
}

static void add_rows(const struct list *l, const char *group, struct report *report)
{
    const struct results *r = l->r;
    for (uint32_t i = 0; i < l->entries.n; i++) {
        const struct entry *e = l->entries.at[i];
        if (strcmp(e->group, group))
            continue;
        struct cell *row = table_row(&report->rows);
        row[GROUP] = cell_text(e->group);
        row[ROOM] = cell_text(e->room ? address_of_room(r->arena, e->room, false) : NULL);
        row[UNIT] = words_unit_cell(e->room ? e->room->unit : NULL);
        row[ITEM] = cell_shown(cell_text(e->item), e->told);
        row[QUANTITY] = cell_integer(e->count);
        row[BOXES] = places_cell(r, e->where.at, e->where.n);
    }
}

void report_trim(const struct results *r, struct report *report)
{
    static const char *const groups[] = {"devices", "luminaires", "tabs", "plates", "breakers"};
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
            add(&l, "breakers", NULL, words, words_circuit(r, c), words_breaker_count(c));
    }
    for (size_t g = 0; g < sizeof groups / sizeof *groups; g++) {
        add_rows(&l, groups[g], report);
        if (g < 2)
            add_totals(r, &l, groups[g], report);
    }
    *vec_push(r->arena, &report->notes) =
        "What is there already and stays is not listed. A breaker is of the make that its panel is "
        "listed for. Say one colour for devices and plates.";
}

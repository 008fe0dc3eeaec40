/* What is to be bought: cable by the coil, boxes, devices, covers, breakers, and what the routes
 * ask for. What is there already is not bought. */
#include "emit/reports/materials.h"

#include "cuts/cuts.h"
#include "emit/left.h"
#include "emit/removals.h"
#include "emit/reports/reports.h"
#include "emit/reports/sundries.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/places.h"
#include "facts/boxes.h"
#include "facts/existing.h"
#include "facts/pulls.h"
#include "framing/routes.h"
#include "model/makeup.h"
#include "model/orders.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { ITEM, QUANTITY, PIECES, UNIT_PRICE, PRICE };

static const struct column columns[] = {
    [ITEM] = {"item", "Item", 0, 0},
    [QUANTITY] = {"quantity", "Quantity", 0, COLUMN_RIGHT},
    [PIECES] = {"unit", "Unit", 0, 0},
    [UNIT_PRICE] = {"unit_price", "Each", 2, COLUMN_RIGHT},
    [PRICE] = {"price", "Price", 2, COLUMN_RIGHT},
};

enum { SUM_PRICE, SUM_CURRENCY, SUM_UNPRICED };

static const struct column total_columns[] = {
    [SUM_PRICE] = {"price", "Total of what has a price", 2, COLUMN_RIGHT},
    [SUM_CURRENCY] = {"currency", "Currency", 0, COLUMN_IF_USED},
    [SUM_UNPRICED] = {"unpriced", "Items without a price", 0, COLUMN_RIGHT},
};

/* The same for people, a list for each group. */
enum { BUY_NUMBER, BUY_UNIT, BUY_ITEM, BUY_EACH, BUY_PRICE, BUY_NAME };

static const struct column buy_columns[] = {
    [BUY_NUMBER] = {"quantity", "Number", 0, COLUMN_RIGHT | COLUMN_TOP},
    [BUY_UNIT] = {"unit", "Unit", 0, COLUMN_IF_USED | COLUMN_TOP},
    [BUY_ITEM] = {"item", "Item", 0, COLUMN_TOP},
    [BUY_EACH] = {"unit_price", "Each", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [BUY_PRICE] = {"price", "Price", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [BUY_NAME] = {"name", "No price yet for", 0, COLUMN_IF_USED},
};

static const char *const group_heads[] = {
    [CABLES] = "Cable and raceway",
    [PANELS] = "Panels",
    [BREAKERS] = "Breakers",
    [BOX_TYPES] = "Boxes",
    [RINGS] = "Rings",
    [DEVICES] = "Devices, luminaires and appliances",
    [COVERS] = "Plates and covers",
    [SUNDRIES] = "Small parts",
    [SUPPORTS] = "Staples, nail plates, connectors",
};

struct list {
    const struct results *r;
    struct map found; /* (group, interned name) -> struct purchase */
    purchase_list items;
};

/* Counts `quantity` of a thing. `other` is what else a price may be filed under; both are words as
 * a price statement writes them. */
static struct purchase *add(struct list *l, enum purchase_group group, const char *name,
                            const char *other, uint64_t quantity)
{
    const char *key = names_of(l->r->model->names, name);
    void **at = map_at(l->r->arena, &l->found, group + 1, (uintptr_t)key);
    struct purchase *item = *at;
    if (!item) {
        *at = item = arena_new(l->r->arena, struct purchase);
        *item = (struct purchase){
            .group = group, .name = key, .unit = "each", .price = model_price(l->r->model, key)};
        if (item->price < 0 && other)
            item->price = model_price(l->r->model, other);
        *vec_push(l->r->arena, &l->items) = item;
    }
    item->quantity += quantity;
    return item;
}

/* "12/2, nonmetallic-sheathed cable, 250'". */
static const char *cable_told(const struct list *l, const struct cut_coil *coil)
{
    const struct cable_def *cable = coil->cable, *of = cable;
    const char *name = cable->name, *title = cable->title;
    while (of && (!of->title || !strcmp(of->title, of->name)))
        of = of->base;
    if (of)
        title = of->title;
    if (cable->raceway)
        title = cable->raceway->title;
    return arena_printf(l->r->arena, "%s%s%s, %s", name, title && strcmp(title, name) ? ", " : "",
                        title && strcmp(title, name) ? words_lower_first(l->r->arena, title) : "",
                        length_words(l->r->arena, coil->stock));
}

static void add_cables(struct list *l)
{
    const struct cuts *cuts = l->r->cuts;
    for (uint32_t i = 0; i < cuts->cable_count; i++)
        for (uint32_t k = 0; k < cuts->cables[i].coil_count; k++) {
            const struct cut_coil *coil = &cuts->cables[i].coils[k];
            if (coil->on_hand || (coil->opened && !l->r->whole))
                continue;
            const struct raceway_def *raceway = coil->cable->raceway;
            struct purchase *item =
                add(l, CABLES,
                    arena_printf(l->r->arena, "%s %s %s", raceway ? "raceway" : "cable",
                                 coil->cable->name, length_words(l->r->arena, coil->stock)),
                    NULL, 1);
            item->told = cable_told(l, coil);
            item->unit = raceway && raceway->stick > 0 ? "stick" : "coil";
            if (coil->price >= 0)
                item->price = coil->price;
        }
}

static void add_panel(struct list *l, const struct panel *p)
{
    if (p->existing || !facts_is_built(p->unit) || !left_in_panel(l->r, p, LOG_SET))
        return;
    struct buf b = {0};
    buf_puts(&b, "panel");
    if (p->main > 0 || p->bus > 0) {
        buf_putc(&b, ' ');
        table_print_number(&b, p->main > 0 ? p->main : p->bus, 0);
        buf_puts(&b, p->main > 0 ? " A main" : " A bus");
    }
    if (p->spaces)
        buf_printf(&b, " %s", arena_counted(l->r->arena, p->spaces, "space", "spaces"));
    struct purchase *item = add(l, PANELS, buf_text(&b), "panel", 1);
    if (b.n > sizeof "panel")
        item->told = item->name + sizeof "panel";
    buf_free(&b);
}

static void add_breaker(struct list *l, const struct circuit *c)
{
    const char *words = words_bought_breaker(l->r, c);
    if (!words || !facts_buys_breaker(c) || !facts_is_built(c->unit) || !left_breaker(l->r, c))
        return;
    add(l, BREAKERS, arena_printf(l->r->arena, "breaker %s", words), NULL, words_breaker_count(c))
        ->told = words_breaker_told(l->r, c);
}

static void add_device(struct list *l, const struct device *d)
{
    if (!wiring_buys_device(l->r->wiring, d))
        return;
    add(l, DEVICES, device_item(l->r, d), d->def->name, 1)->told = device_counter_words(l->r, d);
    const char *outlet = device_outlet_item(l->r, d);
    if (outlet)
        add(l, DEVICES, outlet, code_device(&l->r->model->code, SET_MATERIALS_PLUGGED_INTO), 1);
}

/* The plate over devices on yokes, the blank of a box without devices. */
static void add_cover(struct list *l, const struct box *b, uint8_t gangs)
{
    gangs = !gangs && b->bared ? b->bared_gangs : gangs;
    bool yoke = false, new_device = facts_gets_blank(b);
    for (uint32_t i = 0; i < b->device_count; i++) {
        yoke = yoke || b->devices[i]->def->yokes;
        new_device = new_device || wiring_buys_device(l->r->wiring, b->devices[i]);
    }
    if (!new_device)
        return;
    const char *cover = facts_cover(l->r->model, b);
    bool bare = !cover || !strcmp(cover, "blank");
    const char *kind = bare ? "" : arena_printf(l->r->arena, "%s ", cover),
               *wide = gangs ? arena_printf(l->r->arena, "%u-gang", gangs) : "round";
    if (!b->device_count && facts_is_body(b))
        add(l, COVERS,
            arena_printf(l->r->arena, "cover conduit-body %s%s", bare ? "" : "gasket ",
                         b->declared->name),
            "cover", 1)
            ->told =
            arena_printf(l->r->arena, "%s, %scover", b->declared->title, bare ? "" : "gasketed ");
    else if (!b->device_count)
        add(l, COVERS, arena_printf(l->r->arena, "cover blank %s%s", kind, wide), "cover blank", 1)
            ->told = arena_printf(l->r->arena, "%s blank %scover", gangs ? wide : "Round", kind);
    else if (yoke && gangs)
        add(l, COVERS, arena_printf(l->r->arena, "cover %s%s", kind, wide), "cover", 1)->told =
            arena_printf(l->r->arena, "%s %s", wide,
                         bare ? "cover plate" : arena_printf(l->r->arena, "%scover", kind));
}

static void add_box(struct list *l, const struct box *b)
{
    if (!facts_is_built(b->room->unit))
        return;
    bool trim = left_in_box(l->r, b, LOG_TRIMMED);
    for (uint32_t i = 0; trim && i < b->device_count; i++)
        add_device(l, b->devices[i]);
    const struct fill *fill = &l->r->wiring->of_box[b->id];
    if (facts_type_untold(b) && trim)
        add_cover(l, b, fill->gangs);
    if (!fill->type || fill->type->integral)
        return;
    if (!b->existing && left_in_box(l->r, b, LOG_SET)) {
        add(l, BOX_TYPES, fill->type->name, NULL, 1)->told = fill->type->title;
        const char *ring = words_ring(l->r->arena, fill->type, b->room->finish);
        if (ring)
            add(l, RINGS, arena_printf(l->r->arena, "ring %s %u-gang", ring, fill->gangs), "ring",
                1)
                ->told = arena_printf(l->r->arena, "Raised ring, %s, %u-gang", ring, fill->gangs);
    }
    if (trim)
        add_cover(l, b, fill->gangs);
}

static void add_pieces(struct list *l, const char *name, const char *told, uint64_t count,
                       const struct share_setting *spare)
{
    if (count)
        add(l, SUPPORTS, name, NULL,
            (uint64_t)ceil((double)count * (1 + code_share(&l->r->model->code, spare, 0)) - 1e-9))
            ->told = told;
}

/* A connector for each splice of new boxes and of old ones that are opened, with the spare share;
 * those that no connector of the library holds are for the builder to choose. */
static void add_splices(struct list *l)
{
    const struct makeup *m = l->r->makeup;
    struct map sizes = {0}; /* (0, connector) -> how many */
    VEC(const char *) names = {0};
    for (uint32_t i = 0; i < m->joints.n; i++) {
        const struct joint *j = &m->joints.at[i];
        if (j->kind != JOINT_SPLICE || j->by_box || !j->box ||
            !facts_is_built(j->box->room->unit) || (j->box->existing && !facts_is_opened(j->box)) ||
            !left_in_box(l->r, j->box, LOG_MADE_UP))
            continue;
        const char *name =
            names_of(l->r->model->names,
                     arena_printf(l->r->arena, "splicing connector %s",
                                  j->connector  ? j->connector
                                  : j->old_wire ? "for the size of the old wires"
                                                : "for more or thicker wires than the library's"));
        void **count = map_at(l->r->arena, &sizes, 0, (uintptr_t)name);
        if (!*count)
            *vec_push(l->r->arena, &names) = name;
        *count = (void *)((uintptr_t)*count + 1);
    }
    for (uint32_t i = 0; i < names.n; i++)
        add_pieces(l, names.at[i], NULL,
                   (uint64_t)(uintptr_t)map_get(&sizes, 0, (uintptr_t)names.at[i]),
                   SET_MATERIALS_SPARE_CONNECTORS);
}

static void add_sundries(struct list *l)
{
    const sundry_list list = sundries_count(l->r);
    double share = 1 + code_share(&l->r->model->code, SET_MATERIALS_SPARE_STAPLES, 0);
    for (uint32_t i = 0; i < list.n; i++) {
        const struct sundry *s = &list.at[i];
        double count = (double)s->count * (s->spare ? share : 1);
        struct purchase *item =
            add(l, s->spare ? SUPPORTS : SUNDRIES, s->name, s->other, (uint64_t)ceil(count - 1e-9));
        item->unit = s->unit;
        item->told = s->told;
    }
}

static void add_plates(struct list *l)
{
    uint64_t plates = 0;
    for (uint32_t i = 0; i < l->r->model->runs.n; i++) {
        const struct run *run = l->r->model->runs.at[i];
        if (!run->existing && view_of_run(l->r, run)->built && left_of_run(l->r, run, LOG_STAPLED))
            plates += l->r->routes->of_run[i].plates;
    }
    add_pieces(l, "plate", "Nail plate", plates, SET_MATERIALS_SPARE_PLATES);
}

/* What must stay out of a panel that is bought. */
static void note_bonds(const struct results *r, struct report *report)
{
    for (uint32_t i = 0; i < r->model->circuits.n; i++) {
        const struct panel *p = r->model->circuits.at[i]->feeds;
        if (p && !p->existing && facts_is_built(p->unit) && left_in_panel(r, p, LOG_MADE_UP))
            *vec_push(r->arena, &report->notes) = arena_printf(
                r->arena,
                "The bonding screw or strap of %s stays out: its grounds go to a bar of their own, "
                "its neutrals do not meet them.",
                address_of_panel(r->arena, p, true));
    }
}

static void note_untold_caps(const struct results *r, struct report *report)
{
    uint32_t untold;
    removals_caps(r, &untold);
    if (untold)
        *vec_push(r->arena, &report->notes) =
            arena_printf(r->arena,
                         "Caps for the ends of %u abandoned cable%s are not counted: the plan does "
                         "not tell what cable.",
                         untold, untold == 1 ? "" : "s");
}

/* No plan draws the way of the conductor to an electrode. */
static void note_electrodes(const struct results *r, struct report *report)
{
    for (uint32_t i = 0; i < r->model->buildings.n; i++)
        if (sundries_has_electrode(r, r->model->buildings.at[i]))
            *vec_push(r->arena, &report->notes) = arena_printf(
                r->arena,
                "The conductor from the panel of %s to its ground rods is not listed: its way is "
                "measured on site.",
                r->model->buildings.at[i]->title);
}

static int compare_items(const void *a, const void *b)
{
    const struct purchase *x = *(struct purchase *const *)a, *y = *(struct purchase *const *)b;
    return x->group != y->group ? (x->group < y->group ? -1 : 1) : strcmp(x->name, y->name);
}

purchase_list materials_find(const struct results *r)
{
    const struct model *m = r->model;
    struct list l = {.r = r};
    add_cables(&l);
    for (uint32_t i = 0; i < m->panels.n; i++)
        add_panel(&l, m->panels.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        add_breaker(&l, m->circuits.at[i]);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        add_box(&l, m->boxes.at[i]);
    add_splices(&l);
    add_sundries(&l);
    add_plates(&l);
    if (l.items.n)
        qsort(l.items.at, l.items.n, sizeof *l.items.at, compare_items);
    return l.items;
}

const char *materials_told(const struct results *r, const struct purchase *p)
{
    return p->told ? p->told : words_upper_first(r->arena, p->name);
}

money materials_money(const struct purchase *p)
{
    return p->price < 0 ? 0 : money_of(p->price, p->quantity);
}

static void list_items(const struct list *l, struct report *report)
{
    money total = 0;
    uint32_t unpriced = 0;
    for (uint32_t i = 0; i < l->items.n; i++) {
        const struct purchase *item = l->items.at[i];
        struct cell *row = table_row(&report->rows);
        row[ITEM] = cell_text(item->name);
        row[QUANTITY] = cell_integer((int64_t)item->quantity);
        row[PIECES] = cell_text(item->unit);
        if (item->price < 0) {
            unpriced++;
            continue;
        }
        row[UNIT_PRICE] = cell_number(item->price);
        row[PRICE] = cell_number(money_amount(materials_money(item)));
        total = money_add(total, materials_money(item));
    }
    struct cell *sum = table_row(&report->totals);
    sum[SUM_PRICE] = cell_number(money_amount(total));
    sum[SUM_CURRENCY] = cell_text(l->r->model->currency);
    sum[SUM_UNPRICED] = cell_integer(unpriced);
}

/* --- for people --------------------------------------------------------------------------- */

static bool has_prices(const struct list *l)
{
    for (uint32_t i = 0; i < l->items.n; i++)
        if (l->items.at[i]->price >= 0)
            return true;
    return false;
}

/* How many pieces there are of one group. */
static uint64_t count_of(const struct list *l, enum purchase_group group)
{
    uint64_t all = 0;
    for (uint32_t i = 0; i < l->items.n; i++)
        all += l->items.at[i]->group == group ? l->items.at[i]->quantity : 0;
    return all;
}

static void show_item(const struct list *l, struct grid *list, const struct purchase *item,
                      bool prices)
{
    struct cell *row = table_row(list);
    row[BUY_NUMBER] = cell_integer((int64_t)item->quantity);
    row[BUY_UNIT] = cell_text(strcmp(item->unit, "each") ? item->unit : NULL);
    row[BUY_ITEM] = cell_text(materials_told(l->r, item));
    if (item->price >= 0) {
        row[BUY_EACH] = cell_number(item->price);
        row[BUY_PRICE] = cell_number(money_amount(materials_money(item)));
    } else if (prices) {
        row[BUY_NAME] = cell_text(item->name);
    }
}

static bool has_sticks(const struct list *l)
{
    for (uint32_t i = 0; i < l->items.n; i++)
        if (!strcmp(l->items.at[i]->unit, "stick"))
            return true;
    return false;
}

/* "To buy: 10 coils, 1 panel, ...": what comes to most. */
static const char *sum_words(const struct list *l)
{
    static const struct {
        enum purchase_group group;
        const char *one, *many;
    } said[] = {{CABLES, "coil", "coils"},
                {PANELS, "panel", "panels"},
                {BREAKERS, "breaker", "breakers"},
                {BOX_TYPES, "box", "boxes"},
                {DEVICES, "device, luminaire or appliance", "devices, luminaires and appliances"},
                {COVERS, "plate or cover", "plates and covers"}};
    struct buf b = {0};
    for (size_t i = 0; i < sizeof said / sizeof *said; i++) {
        unsigned long long n = count_of(l, said[i].group);
        bool sticks = said[i].group == CABLES && has_sticks(l);
        if (n)
            buf_printf(&b, "%s%llu %s", b.n ? ", " : "To buy: ", n,
                       sticks   ? (n == 1 ? "coil or stick" : "coils and sticks")
                       : n == 1 ? said[i].one
                                : said[i].many);
    }
    if (l->items.n)
        buf_puts(&b, b.n ? ", and small parts." : "To buy: small parts.");
    const char *words =
        b.n ? arena_copy(l->r->arena, buf_text(&b), b.n) : "Nothing is to be bought.";
    buf_free(&b);
    return words;
}

static void show(const struct results *r, const struct list *l, struct report *report)
{
    bool prices = has_prices(l);
    report->says = sum_words(l);
    if (prices)
        *report_part(r, report, NULL, total_columns, sizeof total_columns / sizeof *total_columns) =
            report->totals;
    for (uint32_t i = 0; i < l->items.n;) {
        enum purchase_group group = l->items.at[i]->group;
        const char *head = group_heads[group];
        if (group < SUNDRIES)
            head = arena_printf(r->arena, "%s: %llu", head, (unsigned long long)count_of(l, group));
        struct grid *list =
            report_part(r, report, head, buy_columns, sizeof buy_columns / sizeof *buy_columns);
        for (; i < l->items.n && l->items.at[i]->group == group; i++)
            show_item(l, list, l->items.at[i], prices);
    }
}

void report_materials(const struct results *r, struct report *report)
{
    struct list l = {.r = r, .items = materials_find(r)};
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, total_columns,
                sizeof total_columns / sizeof *total_columns);
    report->one_total = true;
    list_items(&l, report);
    show(r, &l, report);
    note_bonds(r, report);
    note_electrodes(r, report);
    note_untold_caps(r, report);
    *vec_push(r->arena, &report->notes) =
        "Staples, nail plates and splicing connectors are with the spare share of common trade "
        "practice. Coils on hand are not bought.";
}

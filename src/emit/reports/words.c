#include "emit/reports/words.h"

#include "emit/results.h"
#include "emit/table.h"
#include "framing/routes.h"
#include "loads/panel.h"
#include "model/address.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

const char *bored_words(struct arena *arena, const struct route *route)
{
    const char *holes =
        arena_printf(arena, "%u hole%s", route->bores, route->bores == 1 ? "" : "s");
    const char *notches =
        arena_printf(arena, "%u notch%s", route->notches, route->notches == 1 ? "" : "es");
    return !route->notches ? holes
           : !route->bores ? notches
                           : arena_printf(arena, "%s, %s", holes, notches);
}

enum opening opening_of(const struct device_def *def)
{
    switch (def->sort) {
    case SORT_RECEPTACLE:
        return OPEN_RECEPTACLES;
    case SORT_CONTROL:
        return OPEN_SWITCHES;
    case SORT_LUMINAIRE:
        return OPEN_LIGHTS;
    case SORT_ALARM:
        return OPEN_ALARMS;
    case SORT_APPLIANCE:
    case SORT_EQUIPMENT:
        return OPEN_APPLIANCES;
    default:
        return OPEN_COUNT;
    }
}

struct by_space {
    const struct circuit *circuit;
    uint32_t space;
};

static int compare_spaces(const void *a, const void *b)
{
    const struct by_space *x = a, *y = b;
    uint32_t first = x->space ? x->space : UINT32_MAX, second = y->space ? y->space : UINT32_MAX;
    if (first != second)
        return first < second ? -1 : 1;
    return x->circuit->id < y->circuit->id ? -1 : x->circuit->id > y->circuit->id;
}

const struct circuit **circuits_by_space(const struct results *r, const struct panel *p)
{
    struct by_space *order = arena_array(r->arena, struct by_space, p->circuits.n);
    const struct circuit **sorted = arena_array(r->arena, const struct circuit *, p->circuits.n);
    for (uint32_t i = 0; i < p->circuits.n; i++)
        order[i] = (struct by_space){p->circuits.at[i],
                                     r->panels->of_circuit[p->circuits.at[i]->id].space};
    if (p->circuits.n)
        qsort(order, p->circuits.n, sizeof *order, compare_spaces);
    for (uint32_t i = 0; i < p->circuits.n; i++)
        sorted[i] = order[i].circuit;
    return sorted;
}

/* The address that words end in: "shop.R1" of "a ground on the box: shop.R1". */
static const char *address_in(const char *words)
{
    const char *colon = strstr(words, ": ");
    return colon ? colon + 2 : words;
}

/* How long the part of an address is that names its room or panel, "u101.bath." of "u101.bath.R1";
 * 0 for what is no address. */
static size_t home_length(const char *words)
{
    size_t home = 0, n = 0;
    for (; words[n]; n++) {
        if (!isalnum((unsigned char)words[n]) && !strchr("-_.", words[n]))
            return 0;
        if (words[n] == '.')
            home = n + 1;
    }
    return words[home] ? home : 0;
}

void print_places(const char *const *item, uint32_t count, struct buf *out)
{
    const char *last = "";
    size_t last_home = 0;
    for (uint32_t i = 0; i < count; i++) {
        const char *address = address_in(item[i]);
        size_t home = home_length(address);
        bool same =
            i && home && home == last_home && item[i] == address && !memcmp(address, last, home);
        buf_puts(out, !i ? "" : same ? ", " : "; ");
        buf_puts(out, same ? address + home : item[i]);
        last = address;
        last_home = home;
    }
}

struct cell places_cell(const struct results *r, const char *const *item, uint32_t count)
{
    if (!count)
        return cell_text(NULL);
    struct buf b = {0};
    print_places(item, count, &b);
    struct cell c = cell_shown(cell_list(item, count), arena_copy(r->arena, buf_text(&b), b.n));
    buf_free(&b);
    return c;
}

struct cell unit_cell(const struct unit *unit)
{
    return cell_text(unit ? unit->name : NULL);
}

const char *panel_range_words(const struct results *r, const char *one, const char *many,
                              const struct panel *first, const struct panel *last, uint32_t count)
{
    const char *from = panel_address(r->arena, first, false),
               *to = panel_address(r->arena, last, false);
    if (count == 1)
        return arena_printf(r->arena, "%s %s", one, from);
    return count == 2 ? arena_printf(r->arena, "%ss %s and %s", one, from, to)
                      : arena_printf(r->arena, "The %u %s %s to %s", count, many, from, to);
}

struct cell panel_cell(const struct results *r, const struct panel *panel)
{
    return cell_text(panel ? panel_address(r->arena, panel, false) : NULL);
}

const char *circuit_word(struct arena *arena, const struct circuit *c)
{
    if (!c)
        return NULL;
    return c->feeds ? arena_printf(arena, "feeder %s", panel_address(arena, c->feeds, false))
                    : c->name;
}

const char *protection_words(struct arena *arena, const struct circuit *c)
{
    const char *word[4];
    uint32_t n = 0;
    if (c->afci)
        word[n++] = "afci";
    if (c->gfci)
        word[n++] = "gfci";
    if (c->dual_function)
        word[n++] = "dual-function";
    if (c->tied)
        word[n++] = "tied";
    struct buf b = {0};
    for (uint32_t i = 0; i < n; i++)
        buf_printf(&b, "%s%s", i ? " " : "", word[i]);
    const char *words = n ? arena_copy(arena, buf_text(&b), b.n) : NULL;
    buf_free(&b);
    return words;
}

const char *breaker_words(struct arena *arena, const struct circuit *c)
{
    if (c->breaker <= 0)
        return NULL;
    const char *protection = protection_words(arena, c);
    struct buf b = {0};
    print_number(&b, c->breaker, 0);
    buf_printf(&b, " A%s%s%s", c->two_pole ? " two-pole" : "", protection ? " " : "",
               protection ? protection : "");
    const char *words = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

uint32_t breaker_count(const struct circuit *c)
{
    return c->multiwire && !c->two_pole ? 2 : 1;
}

const char *bought_breaker_words(const struct results *r, const struct circuit *c)
{
    const char *words = breaker_words(r->arena, c);
    return words && r->panels->of_circuit[c->id].half
               ? arena_printf(r->arena, "%s half-size", words)
               : words;
}

const char *part_switch_kind(const struct results *r, const struct part *p)
{
    return p->control ? map_find(&r->switch_kinds, 0, p) : NULL;
}

bool is_between(const struct results *r, const struct part *p)
{
    const char *kind = part_switch_kind(r, p);
    return kind && (!strcmp(kind, switch_kind_word(THREE_WAY)) ||
                    !strcmp(kind, switch_kind_word(FOUR_WAY)));
}

static void add_leg(struct buf *b, const struct part *p)
{
    if (p->from_leg)
        buf_printf(b, " from leg %s", p->from_leg->name);
    if (p->leg)
        buf_printf(b, " leg %s", p->leg->name);
}

/* What the legs make of a device that is made in several kinds: "three-way", of its parts
 * "single-pole and three-way". NULL where its type says it, or it is single-pole alone. */
static const char *made_as(const struct results *r, const struct device *d)
{
    const char *words = NULL, *last = NULL;
    bool between = false;
    for (uint32_t i = 0; i < d->part_count; i++) {
        const char *kind = part_switch_kind(r, &d->parts[i]);
        const struct body *form = kind ? r->makeup->forms[d->id][i].body : NULL;
        if (!kind)
            continue;
        between |= form != d->parts[i].body && is_between(r, &d->parts[i]);
        if (!last || strcmp(kind, last))
            words = words ? arena_printf(r->arena, "%s and %s", words, kind) : kind;
        last = kind;
    }
    return between ? words : NULL;
}

/* "three-way switch", "three-way dimmer", "dimmer": what the library calls it, and what the leg
 * makes of it. */
static void add_type(struct buf *b, const struct results *r, const struct device *d)
{
    const char *kind = d->part_count ? part_switch_kind(r, &d->parts[0]) : NULL,
               *name = d->def->name, *made = made_as(r, d);
    if (kind && (!strcmp(name, "switch") || !strcmp(name, kind)))
        buf_printf(b, "%s switch", kind);
    else
        buf_printf(b, "%s%s%s", made ? made : "", made ? " " : "", name);
}

const char *device_words(const struct results *r, const struct device *d)
{
    struct buf b = {0};
    if (d->existing)
        buf_puts(&b, "existing ");
    add_type(&b, r, d);
    if (d->part_count == 1) {
        add_leg(&b, &d->parts[0]);
    } else {
        for (uint32_t i = 0; i < d->part_count; i++) {
            const struct part *p = &d->parts[i];
            buf_printf(&b, "%s%s", i ? ", " : " (", p->def ? p->def->name : "rest");
            add_leg(&b, p);
        }
        buf_puts(&b, d->part_count ? ")" : "");
    }
    if (d->title)
        buf_printf(&b, " (%s)", d->title);
    const char *words = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

struct cell device_cell(const struct results *r, const struct box *b)
{
    const char **word = arena_array(r->arena, const char *, b->device_count);
    for (uint32_t i = 0; i < b->device_count; i++)
        word[i] = device_words(r, b->devices[i]);
    return cell_list(word, b->device_count);
}

struct cell rooms_cell(const struct results *r, const struct circuit *c)
{
    struct map seen = {0};
    VEC(const char *) rooms = {0};
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct end ends[2] = {c->runs.at[i]->from, c->runs.at[i]->to};
        for (unsigned k = 0; k < 2; k++) {
            struct room *room = ends[k].box ? ends[k].box->room : NULL;
            if (!room || map_find(&seen, 0, room))
                continue;
            map_put(r->arena, &seen, 0, (uintptr_t)room, room);
            *vec_push(r->arena, &rooms) = room_address(r->arena, room, false);
        }
    }
    return cell_list(rooms.at, rooms.n);
}

struct cell nets_cell(const struct results *r, const struct run *run)
{
    const struct run_wiring *w = &r->wiring->of_run[run->id];
    VEC(const char *) value = {0};
    struct buf shown = {0};
    for (uint32_t i = 0; w->conductors && i < w->count; i++) {
        const struct conductor *c = &w->conductors[i];
        if (!c->net)
            continue;
        *vec_push(r->arena, &value) = c->net->name;
        *vec_push(r->arena, &value) = c->color;
        buf_printf(&shown, "%s%s%s: %s", shown.n ? "\n" : "", c->color,
                   c->reidentified ? ", marked" : "", c->net->name);
    }
    struct cell cell = cell_records("net", "colour", value.at, value.n / RECORD_FIELDS);
    cell = cell_shown(cell, arena_copy(r->arena, buf_text(&shown), shown.n));
    buf_free(&shown);
    return cell;
}

bool is_home_run(const struct run *run)
{
    return run->from.panel || run->to.panel;
}

const char *device_item(const struct results *r, const struct device *d)
{
    const char *kind = d->part_count ? part_switch_kind(r, &d->parts[0]) : NULL,
               *name = d->def->name, *made = made_as(r, d);
    if (kind && (!strcmp(name, "switch") || !strcmp(name, kind)))
        return kind;
    return made ? arena_printf(r->arena, "%s %s", made, name) : name;
}

const char *ring_words(struct arena *arena, const struct box_type *type, length finish)
{
    const struct box_ring *best = box_ring_for(type, finish);
    if (!best)
        return NULL;
    return length_words(arena, best->depth);
}

const char *member_words(struct arena *arena, const struct passed *p)
{
    if (p->member == MEMBER_JOIST)
        return arena_printf(arena, "joist %d %s %s", p->index,
                            p->at.z > p->level->floor ? "over" : "under", p->level->name);
    const char *wall = arena_printf(arena, "%s %s wall", room_address(arena, p->room, false),
                                    p->room->walls[p->wall].name);
    if (p->member == MEMBER_PLATE)
        return arena_printf(arena, "%s, %s plate", wall, p->top ? "top" : "bottom");
    return p->index ? arena_printf(arena, "%s, stud %d", wall, p->index)
                    : arena_printf(arena, "%s, corner post", wall);
}

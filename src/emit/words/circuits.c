#include "emit/words/circuits.h"

#include "diag/diag.h"
#include "emit/results.h"
#include "emit/table.h"
#include "loads/panel.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"

#include <stdlib.h>
#include <string.h>

struct by_space {
    const struct circuit *circuit;
    uint32_t space;
    enum half half;
};

static int compare_spaces(const void *a, const void *b)
{
    const struct by_space *x = a, *y = b;
    uint32_t first = x->space ? x->space : UINT32_MAX, second = y->space ? y->space : UINT32_MAX;
    if (first != second)
        return first < second ? -1 : 1;
    if (x->half != y->half)
        return x->half < y->half ? -1 : 1;
    return strcmp(x->circuit->name, y->circuit->name);
}

const struct circuit **circuits_by_space(const struct results *r, const struct panel *p)
{
    struct by_space *order = arena_array(r->arena, struct by_space, p->circuits.n);
    const struct circuit **sorted = arena_array(r->arena, const struct circuit *, p->circuits.n);
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit_space *s = &r->panels->of_circuit[p->circuits.at[i]->id];
        order[i] = (struct by_space){p->circuits.at[i], s->space, s->half};
    }
    if (p->circuits.n)
        qsort(order, p->circuits.n, sizeof *order, compare_spaces);
    for (uint32_t i = 0; i < p->circuits.n; i++)
        sorted[i] = order[i].circuit;
    return sorted;
}

const char *words_panel_range(const struct results *r, const char *one, const char *many,
                              const struct panel *first, const struct panel *last, uint32_t count)
{
    const char *from = address_of_panel(r->arena, first, false),
               *to = address_of_panel(r->arena, last, false);
    if (count == 1)
        return arena_printf(r->arena, "%s %s", one, from);
    return count == 2 ? arena_printf(r->arena, "%ss %s and %s", one, from, to)
                      : arena_printf(r->arena, "The %u %s %s to %s", count, many, from, to);
}

struct cell words_panel_cell(const struct results *r, const struct panel *panel)
{
    return cell_text(panel ? address_of_panel(r->arena, panel, false) : NULL);
}

const char *circuit_word(struct arena *arena, const struct circuit *c)
{
    if (!c)
        return NULL;
    return c->feeds ? arena_printf(arena, "feeder %s", address_of_panel(arena, c->feeds, false))
                    : c->name;
}

const char *words_handle(const struct results *r, const struct circuit *c)
{
    const struct circuit_space *s = c ? &r->panels->of_circuit[c->id] : NULL;
    return s ? address_handle(r->arena, c, (struct seat){s->space, s->half}, false) : NULL;
}

const char *words_circuit(const struct results *r, const struct circuit *c)
{
    const char *handle = words_handle(r, c);
    if (handle && c->feeds) /* whoever looks for a breaker looks for its handle first */
        return arena_printf(r->arena, "%s (%s)", handle, circuit_word(r->arena, c));
    return c ? panel_circuit_called(r->arena, r->panels, c, false) : NULL;
}

const char *words_mark(const struct results *r, const struct circuit *c)
{
    const struct circuit_space *s = &r->panels->of_circuit[c->id];
    const char *handle = address_handle(r->arena, c, (struct seat){s->space, s->half}, true);
    return handle ? handle : address_of_circuit(r->arena, c, true);
}

const char *words_subject(const struct results *r, const struct finding *f)
{
    static const char sort[] = "circuit ";
    if (!f->subject)
        return NULL;
    const char *one = arena_copy(r->arena, f->subject, strcspn(f->subject, "\n"));
    const char *name = strncmp(one, sort, strlen(sort)) ? one : one + strlen(sort);
    const struct circuit *c = map_get(&r->circuits, 0, (uintptr_t)names_of(r->model->names, name));
    return c ? words_circuit(r, c) : one;
}

struct cell words_circuit_cell(const struct results *r, const struct circuit *c)
{
    return cell_shown(cell_text(circuit_word(r->arena, c)), words_circuit(r, c));
}

const char *words_protection(struct arena *arena, const struct circuit *c)
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

const char *words_breaker(struct arena *arena, const struct circuit *c)
{
    if (c->breaker <= 0)
        return NULL;
    const char *protection = words_protection(arena, c);
    struct buf b = {0};
    table_print_number(&b, c->breaker, 0);
    buf_printf(&b, " A%s%s%s", c->two_pole ? " two-pole" : "", protection ? " " : "",
               protection ? protection : "");
    const char *words = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

const char *words_protection_told(struct arena *arena, const struct circuit *c)
{
    static const char *const words[] = {"AFCI", "GFCI", "dual-function AFCI/GFCI", "handle tie"};
    const bool has[] = {c->afci, c->gfci, c->dual_function, c->tied};
    const char *told = NULL;
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (has[i])
            told = told ? arena_printf(arena, "%s, %s", told, words[i]) : words[i];
    return told;
}

const char *words_breaker_told(const struct results *r, const struct circuit *c)
{
    if (c->breaker <= 0)
        return NULL;
    const char *protection = words_protection_told(r->arena, c),
               *half = r->panels->of_circuit[c->id].half ? ", half-size" : "";
    struct buf b = {0};
    table_print_number(&b, c->breaker, 0);
    buf_printf(&b, " A, %s%s%s%s", c->two_pole ? "two-pole" : "single-pole", half,
               protection ? ", " : "", protection ? protection : "");
    const char *words = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

uint32_t words_breaker_count(const struct circuit *c)
{
    return c->multiwire && !c->two_pole ? 2 : 1;
}

const char *words_bought_breaker(const struct results *r, const struct circuit *c)
{
    const char *words = words_breaker(r->arena, c);
    return words && r->panels->of_circuit[c->id].half
               ? arena_printf(r->arena, "%s half-size", words)
               : words;
}

struct cell words_rooms_cell(const struct results *r, const struct circuit *c)
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
            *vec_push(r->arena, &rooms) = address_of_room(r->arena, room, false);
        }
    }
    return cell_list(rooms.at, rooms.n);
}

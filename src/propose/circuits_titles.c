/* Texts for the directory of a panel: what a circuit serves, and where. */
#include "compile.h"
#include "facts/devices.h"
#include "propose/circuits_work.h"
#include "rules/panels/directory.h"

#include <string.h>

enum { MOST_ROOMS = 3, MOST_TRIED = 100 };

typedef VEC(const struct room *) rooms_list;

static rooms_list rooms_of(struct circuit_work *w, const struct proposed_circuit *p)
{
    rooms_list rooms = {0};
    for (uint32_t i = 0; i < p->boxes.n; i++) {
        bool seen = false;
        for (uint32_t k = 0; k < rooms.n && !seen; k++)
            seen = rooms.at[k] == p->boxes.at[i]->room;
        if (!seen)
            *vec_push(w->arena, &rooms) = p->boxes.at[i]->room;
    }
    return rooms;
}

static const char *with_capital(struct arena *a, const char *words)
{
    char *out = arena_copy(a, words, strlen(words));
    if (*out >= 'a' && *out <= 'z')
        *out = (char)(*out - 'a' + 'A');
    return out;
}

/* A room as its title calls it, by its kind where that names somebody or says nothing. */
static const char *room_words(struct circuit_work *w, const struct checked *checked,
                              const struct room *room)
{
    bool told = room->title && strcmp(room->title, room->name) != 0;
    char *name = arena_copy(w->arena, told ? room->title : room->name,
                            strlen(told ? room->title : room->name));
    for (char *at = name; *at && !told; at++)
        *at = *at == '-' || *at == '_' ? ' ' : *at;
    if (*name && !rules_title_is_vague(checked, name))
        return name;
    char *kind = arena_copy(w->arena, room->kinds[0]->name, strlen(room->kinds[0]->name));
    for (char *at = kind; *at; at++)
        *at = *at == '-' ? ' ' : *at;
    return kind;
}

static const char *rooms_words(struct circuit_work *w, const struct checked *checked,
                               const rooms_list *rooms)
{
    const char *list = "";
    uint32_t told = rooms->n > MOST_ROOMS ? MOST_ROOMS - 1 : rooms->n;
    for (uint32_t i = 0; i < told; i++)
        list = arena_listed(w->arena, list, i, rooms->n, room_words(w, checked, rooms->at[i]));
    if (told < rooms->n)
        list = arena_printf(w->arena, "%s and %u more rooms", list, rooms->n - told);
    return with_capital(w->arena, list);
}

/* What the plan calls a box beside its name; NULL: nothing. */
static const char *box_text(const struct box *b)
{
    return b->title && strcmp(b->title, b->name) != 0 ? b->title : NULL;
}

/* "water heater" of "Water heater, fuel-fired": as people say it in a row. */
static const char *device_words(struct circuit_work *w, const struct device *d)
{
    const char *box = box_text(d->box), *words = d->title ? d->title : box ? box : d->def->title;
    words = words ? words : d->def->name;
    char *out = arena_copy(w->arena, words, strcspn(words, ","));
    if (*out >= 'A' && *out <= 'Z' && !(out[1] >= 'A' && out[1] <= 'Z'))
        *out = (char)(*out - 'A' + 'a');
    return out;
}

/* The one thing on it that takes current; NULL: there are several sorts. */
static const struct device *only_device(const struct circuit_work *w,
                                        const struct proposed_circuit *p)
{
    const struct device *only = NULL;
    for (uint32_t i = 0; i < p->count; i++) {
        const struct piece *piece = &w->pieces.at[p->pieces[i]];
        for (uint32_t k = 0; k < piece->parts.n; k++) {
            const struct device *d = piece->parts.at[k]->device;
            if (!facts_is_outlet(piece->parts.at[k]) || d == only)
                continue;
            if (only && (only->def != d->def || only->title != d->title))
                return NULL;
            only = only ? only : d;
        }
    }
    return only;
}

struct sorts {
    bool receptacles, lights, alarms;
};

static struct sorts sorts_on(const struct circuit_work *w, const struct proposed_circuit *p)
{
    struct sorts s = {0};
    for (uint32_t i = 0; i < p->count; i++) {
        const struct piece *piece = &w->pieces.at[p->pieces[i]];
        for (uint32_t k = 0; k < piece->parts.n; k++) {
            const struct part *part = piece->parts.at[k];
            s.receptacles |= facts_is_receptacle(part);
            s.lights |= facts_is_light(part);
            s.alarms |= part->device->def->sort == SORT_ALARM;
        }
    }
    return s;
}

static const char *sorts_words(struct circuit_work *w, struct sorts s)
{
    const char *words[3], *list = "";
    uint32_t n = 0;
    if (s.lights)
        words[n++] = "lights";
    if (s.receptacles)
        words[n++] = "receptacles";
    if (s.alarms)
        words[n++] = "alarms";
    if (!n)
        words[n++] = "outlets";
    for (uint32_t i = 0; i < n; i++)
        list = arena_listed(w->arena, list, i, n, words[i]);
    return list;
}

/* "north and west walls"; NULL where it stands not on walls alone, or in several rooms. */
static const char *walls_words(struct circuit_work *w, const struct proposed_circuit *p)
{
    const char *list = NULL, *last = NULL;
    uint32_t n = 0;
    for (uint32_t i = 0; i < p->boxes.n; i++) {
        const struct box *b = p->boxes.at[i];
        if (b->room != p->boxes.at[0]->room || b->place.where != ON_WALL)
            return NULL;
        const char *wall = b->room->walls[b->place.wall].name;
        if (last && !strcmp(last, wall))
            continue;
        list = last ? arena_printf(w->arena, "%s and %s", list, wall) : wall;
        last = wall;
        n++;
    }
    return list ? arena_printf(w->arena, "%s %s", list, n > 1 ? "walls" : "wall") : NULL;
}

static const char *title_of(struct circuit_work *w, const struct checked *checked,
                            const struct proposed_circuit *p)
{
    rooms_list rooms = rooms_of(w, p);
    const char *where = rooms_words(w, checked, &rooms);
    const struct device *only = only_device(w, p);
    bool plain = only && only->def->sort == SORT_RECEPTACLE && !only->title && !box_text(only->box);
    if (only &&
        (p->boxes.n == 1 || only->def->sort == SORT_APPLIANCE || only->def->sort == SORT_EQUIPMENT))
        return arena_printf(w->arena, "%s %s", where,
                            plain && !p->two_pole ? "receptacle" : device_words(w, only));
    const char *sorts = sorts_words(w, sorts_on(w, p));
    return rooms.n == 1 ? arena_printf(w->arena, "%s %s", where, sorts)
                        : arena_printf(w->arena, "%s in %s", with_capital(w->arena, sorts), where);
}

/* Whether nobody has it in the door of the panel. */
static bool is_free(struct circuit_work *w, const struct checked *checked, uint32_t nth,
                    const char *title)
{
    const char *folded = rules_title_folded(checked, title);
    const struct panel *panel = w->pieces.at[w->circuits.at[nth].pieces[0]].panel;
    for (uint32_t i = 0; i < panel->circuits.n; i++)
        if (panel->circuits.at[i]->text &&
            rules_title_folded(checked, panel->circuits.at[i]->text) == folded)
            return false;
    for (uint32_t i = 0; i < nth; i++)
        if (w->pieces.at[w->circuits.at[i].pieces[0]].panel == panel &&
            rules_title_folded(checked, w->circuits.at[i].title) == folded)
            return false;
    return true;
}

void propose_titles(struct circuit_work *w)
{
    struct checked checked = compile_checked(w->c);
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        struct proposed_circuit *p = &w->circuits.at[i];
        const char *base = title_of(w, &checked, p), *walls = walls_words(w, p);
        p->title = base;
        if (!is_free(w, &checked, i, p->title) && walls)
            p->title = arena_printf(w->arena, "%s, %s", base, walls);
        for (uint32_t k = 2; k < MOST_TRIED && !is_free(w, &checked, i, p->title); k++)
            p->title = arena_printf(w->arena, "%s %u", base, k);
    }
}

#include "emit/words/places.h"

#include "cuts/cuts.h"

#include "base/length.h"
#include "emit/results.h"
#include "facts/boxes.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "resolve/library.h"

#include <ctype.h>
#include <string.h>

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

void words_print_places(const char *const *item, uint32_t count, struct buf *out)
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
    words_print_places(item, count, &b);
    struct cell c = cell_shown(cell_list(item, count), arena_copy(r->arena, buf_text(&b), b.n));
    buf_free(&b);
    return c;
}

const char *words_room(struct arena *arena, const struct room *room)
{
    const struct unit *unit = room->unit;
    if (!room->title)
        return address_of_room(arena, room, false);
    return unit ? arena_printf(arena, "%s, %s", unit->title ? unit->title : unit->name, room->title)
                : room->title;
}

const char *words_strand(struct arena *arena, const struct strand *strand)
{
    struct buf b = {0};
    for (uint32_t i = 0; i <= strand->count; i++) {
        struct end end = cuts_stop(strand, i),
                   before = i ? cuts_stop(strand, i - 1) : (struct end){0};
        bool same = end.box && before.box && end.box->room == before.box->room;
        buf_printf(&b, "%s%s", i ? " -> " : "",
                   same ? end.box->name : address_of_end(arena, end, false));
    }
    const char *words = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

struct cell words_unit_cell(const struct unit *unit)
{
    return cell_text(unit ? unit->name : NULL);
}

static const char *over_or_under(const struct passed *p)
{
    return p->at.z > p->level->floor ? "over" : "under";
}

const char *words_members_line(struct arena *arena, const struct passed *p)
{
    if (p->member == MEMBER_JOIST)
        return arena_printf(arena, "joists %s %s", over_or_under(p), p->level->name);
    return arena_printf(arena, "%s %s wall", address_of_room(arena, p->room, false),
                        p->room->walls[p->wall].name);
}

const char *words_stud(struct arena *arena, const struct upright *stud)
{
    switch (stud->kind) {
    case STUD_END:
        return "end stud";
    case STUD_KING:
        return "king stud";
    case STUD_JACK:
        return "jack stud";
    case STUD_CRIPPLE:
        return arena_printf(arena, "cripple stud %u", stud->index);
    default:
        return arena_printf(arena, "stud %u", stud->index);
    }
}

const char *words_member(struct arena *arena, const struct passed *p)
{
    if (p->member == MEMBER_JOIST)
        return arena_printf(arena, "joist %d %s %s", p->index, over_or_under(p), p->level->name);
    const char *wall = words_members_line(arena, p);
    if (p->member == MEMBER_PLATE)
        return arena_printf(arena, "%s, %s plate", wall, p->top ? "top" : "bottom");
    return arena_printf(arena, "%s, %s", wall, words_stud(arena, p->stud));
}

const char *words_bored(struct arena *arena, const struct route *route)
{
    const char *holes = arena_counted(arena, route->bores, "hole", "holes"),
               *notches = arena_counted(arena, route->notches, "notch", "notches");
    return !route->notches ? holes
           : !route->bores ? notches
                           : arena_printf(arena, "%s, %s", holes, notches);
}

const char *words_supports(struct arena *arena, const struct run *run, const struct route *route)
{
    uint32_t others = route->supports - route->anchors;
    const char *rest = run->raceway ? arena_counted(arena, others, "strap", "straps")
                                    : arena_counted(arena, others, "staple", "staples");
    if (!route->anchors)
        return rest;
    const char *straps = arena_printf(arena, "%s into concrete",
                                      arena_counted(arena, route->anchors, "strap", "straps"));
    return others ? arena_printf(arena, "%s and %s", straps, rest) : straps;
}

static bool joists_run_north(const struct passed *p)
{
    const struct level *l = p->level;
    return p->at.z > l->floor ? l->joists.running_north : l->floor_joists.running_north;
}

static const char *member_place(struct arena *arena, const struct passed *p, length place)
{
    const char *from = p->member != MEMBER_JOIST ? "from the left"
                       : joists_run_north(p)     ? "from the south"
                                                 : "from the west";
    return arena_printf(arena, "%s %s", length_words(arena, place), from);
}

const char *words_member_place(struct arena *arena, const struct passed *p)
{
    return member_place(arena, p, p->place);
}

const char *words_member_told(struct arena *arena, const struct passed *p)
{
    return member_place(arena, p, length_eighths(p->place));
}

const char *words_ring(struct arena *arena, const struct box_type *type, length finish)
{
    const struct box_ring *best = library_box_ring_for(type, finish);
    return best ? length_words(arena, best->depth) : NULL;
}

const char *words_mounted_on(struct arena *arena, const struct mounting *mounting)
{
    return mounting->joisted ? arena_printf(arena, "joist %lld", (long long)mounting->joist)
           : mounting->stud->kind == STUD_COMMON ? arena_printf(arena, "%u", mounting->stud->index)
                                                 : words_stud(arena, mounting->stud);
}

const char *words_mounted_side(const struct mounting *mounting)
{
    return !mounting->joisted ? mounting->after ? "right" : "left"
           : mounting->north  ? mounting->after ? "east" : "west"
           : mounting->after  ? "north"
                              : "south";
}

static const char *stand_words(struct arena *arena, const struct mounting *mounting,
                               const char *wood)
{
    const char *side = words_mounted_side(mounting);
    if (mounting->stand == STAND_ON)
        return arena_printf(arena, "on %s", wood);
    if (mounting->stand == STAND_BESIDE)
        return arena_printf(arena, "%s of %s", side, wood);
    return arena_printf(arena, "%s %s of %s", length_words(arena, length_eighths(mounting->apart)),
                        side, wood);
}

static bool stands_by(const struct mounting *mounting)
{
    return mounting->stand != STAND_FREE && (mounting->stud || mounting->joisted);
}

const char *words_stand(struct arena *arena, const struct mounting *mounting)
{
    return stands_by(mounting) ? stand_words(arena, mounting, words_mounted_on(arena, mounting))
                               : NULL;
}

const char *words_stand_by(struct arena *arena, const struct mounting *mounting)
{
    if (!stands_by(mounting))
        return NULL;
    return stand_words(arena, mounting,
                       mounting->stud ? words_stud(arena, mounting->stud)
                                      : words_mounted_on(arena, mounting));
}

const char *words_body_cover(const struct results *r, const struct box *b)
{
    const char *cover = facts_cover(r->model, b);
    return cover && strcmp(cover, "blank") ? "body cover with gasket" : "body cover";
}

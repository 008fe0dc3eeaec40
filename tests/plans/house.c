/* Rooms in a row on each level, places on their walls and ceilings, panels and their spaces. */
#include "draft.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { EIGHTHS = 8 * 12, WALL_EIGHTHS = 28, CEILING_STEP = 3 };

const char *draft_side_word(enum draft_side side)
{
    static const char *const words[SIDES] = {"north", "east", "south", "west"};
    return words[side];
}

static unsigned feet_of(const struct draft_room *r, enum draft_side side)
{
    return (unsigned)(side == NORTH || side == SOUTH ? r->wide : r->deep);
}

/* Takes feet of a wall, and those of the room behind it: two boxes do not meet back to back. */
static void take(struct draft *d, unsigned room, enum draft_side side, unsigned foot, unsigned n)
{
    struct draft_room *r = &d->rooms[room];
    memset(&r->used[side][foot], 1, n);
    if (r->beside[side] >= 0)
        memset(&d->rooms[r->beside[side]].used[(side + 2) % SIDES][foot], 1, n);
}

static bool is_free(const struct draft_room *r, enum draft_side side, unsigned foot, unsigned n)
{
    if (foot < 1 || foot + n + 1 > feet_of(r, side)) /* corners stay free */
        return false;
    for (unsigned i = 0; i < n; i++)
        if (r->used[side][foot + i])
            return false;
    return true;
}

bool draft_wall(struct draft *d, unsigned room, enum draft_side side, unsigned feet, unsigned *at)
{
    struct draft_room *r = &d->rooms[room];
    unsigned length = feet_of(r, side), start = pick(&d->state, length);
    for (unsigned i = 0; i < length; i++) {
        unsigned foot = (start + i) % length;
        if (!is_free(r, side, foot, feet))
            continue;
        take(d, room, side, foot, feet);
        *at = 12 * (side == NORTH || side == WEST ? foot : length - foot - feet);
        return true;
    }
    return false;
}

static bool place_on_wall(struct draft *d, unsigned room, struct draft_box *b,
                          enum draft_where where)
{
    static const char *const heights[] = {
        [LOW] = "", [SWITCH_HIGH] = " up 4'", [COUNTER_HIGH] = " up 42\""};
    enum draft_side first = (enum draft_side)pick(&d->state, SIDES);
    for (unsigned i = 0; i < SIDES; i++) {
        enum draft_side side = (first + i) % SIDES;
        unsigned at;
        if (!draft_wall(d, room, side, 1, &at))
            continue;
        snprintf(b->place, sizeof b->place, "%s at %u'-6\"%s", draft_side_word(side), at / 12,
                 heights[where]);
        return true;
    }
    return false;
}

static bool place_flat(struct draft *d, unsigned room, struct draft_box *b, enum draft_where where)
{
    struct draft_room *r = &d->rooms[room];
    unsigned across = (unsigned)(r->wide - 2) / CEILING_STEP,
             along = (unsigned)(r->deep - 2) / CEILING_STEP;
    if (r->overhead >= across * along)
        return false;
    unsigned east = 2 + CEILING_STEP * (r->overhead % across),
             north = 2 + CEILING_STEP * (r->overhead / across);
    r->overhead++;
    if (where == OVERHEAD && chance(&d->state, 10))
        snprintf(b->place, sizeof b->place, "overhead %u' from west, %u' from south", east, north);
    else
        snprintf(b->place, sizeof b->place, "%s at %u', %u'",
                 where == OVERHEAD ? "overhead" : "floor", east, north);
    return true;
}

static bool place_box(struct draft *d, unsigned room, struct draft_box *b, enum draft_where where)
{
    b->room = room;
    bool flat = where == OVERHEAD || where == AT_FLOOR;
    return flat ? place_flat(d, room, b, where) : place_on_wall(d, room, b, where);
}

int draft_box(struct draft *d, unsigned room, enum draft_where where)
{
    if (d->box_count == sizeof d->boxes / sizeof *d->boxes)
        return NO_BOX;
    struct draft_box *b = &d->boxes[d->box_count];
    for (unsigned i = 0; i < d->room_count; i++)
        if (place_box(d, (room + i) % d->room_count, b, where)) {
            static const char letters[] = {[LOW] = 'R',
                                           [SWITCH_HIGH] = 'S',
                                           [COUNTER_HIGH] = 'R',
                                           [OVERHEAD] = 'L',
                                           [AT_FLOOR] = 'F'};
            snprintf(b->name, sizeof b->name, "%c%u", letters[where], d->box_count + 1);
            b->circuit = -1;
            if (d->budget)
                d->budget--;
            return (int)d->box_count++;
        }
    return NO_BOX;
}

const char *draft_address(const struct draft *d, int box, char *out, size_t room)
{
    snprintf(out, room, "%s.%s", d->rooms[d->boxes[box].room].name, d->boxes[box].name);
    return out;
}

/* --- panels --------------------------------------------------------------------------------- */

unsigned draft_number(struct draft_panel *p, unsigned poles)
{
    for (unsigned n = 1; n + 2 * (poles - 1) <= p->spaces; n++) {
        if (p->taken[n] || (poles == 2 && p->taken[n + 2]))
            continue;
        p->taken[n] = true;
        if (poles == 2)
            p->taken[n + 2] = true;
        return n;
    }
    return 0;
}

/* --- circuits ------------------------------------------------------------------------------- */

struct draft_run *draft_run(struct draft_circuit *c, int from, int to, const char *words)
{
    struct draft_run *r = &c->runs[c->run_count];
    if (c->run_count + 1 < sizeof c->runs / sizeof *c->runs)
        c->run_count++;
    *r = (struct draft_run){.from = from, .to = to};
    snprintf(r->words, sizeof r->words, "%s", words);
    return r;
}

int draft_tail(struct draft *d, const struct draft_circuit *c)
{
    if (!c->box_count)
        return NO_BOX;
    unsigned most = d->bold ? c->box_count : c->box_count < 3 ? c->box_count : 3;
    unsigned back = chance(&d->state, 60) ? 0 : pick(&d->state, most);
    for (unsigned i = back; i < c->box_count; i++)
        if (!d->boxes[c->boxes[c->box_count - 1 - i]].closed)
            return c->boxes[c->box_count - 1 - i];
    return c->boxes[0];
}

static unsigned room_near(struct draft *d, unsigned room)
{
    if (!chance(&d->state, 15))
        return room;
    unsigned other = room + 1 < d->room_count ? room + 1 : room;
    return d->rooms[other].level == d->rooms[room].level ? other : room;
}

static int next_in(struct draft *d, struct draft_circuit *c, unsigned room, int from,
                   enum draft_where where)
{
    int box = c->box_count < MOST_OF_CIRCUIT ? draft_box(d, room, where) : NO_BOX;
    if (box == NO_BOX)
        return c->box_count ? c->boxes[c->box_count - 1] : NO_BOX;
    c->boxes[c->box_count++] = box;
    d->boxes[box].circuit = (int)(c - d->circuits);
    draft_run(c, from, box, "");
    return box;
}

int draft_next(struct draft *d, struct draft_circuit *c, int from, enum draft_where where)
{
    return next_in(d, c, room_near(d, c->room), from, where);
}

int draft_next_in(struct draft *d, struct draft_circuit *c, int from, enum draft_where where)
{
    return next_in(d, c, c->room, from, where);
}

void draft_device(struct draft *d, int box, const struct draft_circuit *c, const char *form, ...)
{
    if (box == NO_BOX)
        return;
    struct draft_box *b = &d->boxes[box];
    va_list args;
    va_start(args, form);
    char text[400];
    vsnprintf(text, sizeof text, form, args);
    va_end(args);
    /* the words of a device with parts stand before its block */
    char *block = strchr(text, '{');
    if (block && b->shared)
        buf_printf(&b->devices, "%.*scircuit %s %s\n", (int)(block - text), text, c->name, block);
    else
        buf_printf(&b->devices, b->shared ? "%s circuit %s\n" : "%s\n", text, c->name);
}

/* --- rooms ---------------------------------------------------------------------------------- */

static void add_room(struct draft *d, unsigned level, int east, int deep)
{
    struct draft_room *r = &d->rooms[d->room_count];
    static const char *const plain[] = {"workshop", "storage", "utility", "closet", "pantry"};
    snprintf(r->name, sizeof r->name, "room%u", d->room_count + 1);
    r->kind = plain[pick(&d->state, d->room_count > 1 ? 5 : 3)]; /* the first two have panels */
    r->level = level;
    r->east = east;
    r->wide = 8 + (int)pick(&d->state, 13);
    r->deep = deep;
    memset(r->beside, -1, sizeof r->beside);
    if (d->room_count && d->rooms[d->room_count - 1].level == level) {
        r->beside[WEST] = (int)d->room_count - 1;
        d->rooms[d->room_count - 1].beside[EAST] = (int)d->room_count;
    }
    d->room_count++;
}

/* A door between each room and the next, and one to the open air. */
static void add_doors(struct draft *d)
{
    for (unsigned i = 0; i < d->room_count; i++) {
        struct draft_room *r = &d->rooms[i];
        unsigned at;
        if (r->beside[EAST] >= 0 && draft_wall(d, i, EAST, 3, &at))
            buf_printf(&r->words, "%s east at %u' wide 3' to %s\n",
                       chance(&d->state, 80) ? "door" : "opening", at / 12,
                       d->rooms[r->beside[EAST]].name);
    }
}

void draft_house(struct draft *d, unsigned boxes)
{
    unsigned rooms = 1 + boxes / 12 + pick(&d->state, 2);
    if (rooms > MOST_ROOMS)
        rooms = MOST_ROOMS;
    d->levels = rooms < 3 ? 1 : 1 + pick(&d->state, 3);
    for (unsigned level = 0; level < d->levels; level++) {
        int east = 0, deep = 8 + (int)pick(&d->state, 9);
        unsigned last = level + 1 == d->levels ? rooms : rooms * (level + 1) / d->levels;
        while (d->room_count < last) {
            add_room(d, level, east, deep);
            east += d->rooms[d->room_count - 1].wide * EIGHTHS + WALL_EIGHTHS;
        }
    }
    add_doors(d);
}

/* What stands in rooms besides boxes, and rooms of other forms: features of features.c. */
#include "draft.h"

#include <stdio.h>
#include <string.h>

void feature_room_words(struct draft *d, unsigned room)
{
    struct draft_room *r = &d->rooms[room];
    buf_printf(&r->words, "%s\n",
               ONE_OF(d, "ceiling 8'", "walls 2x4 at 16\"", "joists 2x10 at 16\" running east",
                      "finish 5/8\"", "insulated north south", "bearing north", "outside south",
                      "unfinished", "floor-joists 2x10 at 16\" running north", "ambient 95 F",
                      "ambient 40 C"));
}

/* What walls are made of. In a clean plan nothing stands on bare concrete: runs in walls do not
 * reach it. */
void feature_walls(struct draft *d, unsigned room)
{
    buf_printf(&d->rooms[room].words, "wall %s\n",
               d->bold ? ONE_OF(d, "north west 2x6 at 16\"", "south concrete", "east west concrete",
                                "north concrete furred 2x3 at 16\" gap 1/2\"",
                                "west concrete furred 2x4 at 16\" gap 1\"")
                       : ONE_OF(d, "north south 2x6 at 16\"",
                                "north concrete furred 2x4 at 16\" gap 1\"",
                                "south north concrete furred 2x4 at 24\"", "south 2x6 at 24\""));
}

/* Words that ask for more than a clean plan has. */
void feature_bold_room_words(struct draft *d, unsigned room)
{
    buf_printf(
        &d->rooms[room].words, "%s\n",
        ONE_OF(
            d, "insulated ceiling", "closed", "closed north ceiling", "closed\nclosed no south",
            "first", "first north ceiling \"the plumber\"", "bays 1\nattached", "bays 2\ndetached",
            "waive lighting-outlet because \"a lamp\"", "unfinished no", "covered",
            "stairs 14 risers from room1 to room2", "stairs 3 risers", "drop-ceiling 7'-6\"",
            "cabinet north at 0' wide 3' from 54\" to 7' deep 13\" \"dishes\"", "ambient 150 F",
            "ambient 58 C", "ambient -10 C", "area nook kind kitchen from 1', 1' size 3' by 3'"));
}

void feature_window(struct draft *d, unsigned room)
{
    unsigned at;
    enum draft_side side = chance(&d->state, 50) ? NORTH : SOUTH;
    if (!draft_wall(d, room, side, 3, &at))
        return;
    buf_printf(&d->rooms[room].words, "window %s at %u' wide 3'%s\n", draft_side_word(side),
               at / 12,
               ONE_OF(d, "", " sill 3'", " header 7-1/4\"", " header 0", " sliding",
                      " sliding fixed right", " sill 2'-6\" deep 6\""));
    if (d->bold && chance(&d->state, 30)) /* over it, in its header, in its sill, under it */
        buf_printf(&d->rooms[room].words, "box W%u %s at %u' up %s { cover blank }\n", room + 1,
                   draft_side_word(side), at / 12 + pick(&d->state, 4),
                   ONE_OF(d, "7'-9\"", "7'", "6'-9\"", "34\"", "27\"", "16\""));
}

void feature_outside_door(struct draft *d, unsigned room)
{
    unsigned at;
    enum draft_side side = chance(&d->state, 50) ? NORTH : SOUTH;
    if (draft_wall(d, room, side, 3, &at))
        buf_printf(&d->rooms[room].words, "door %s at %u' wide 3'%s\n", draft_side_word(side),
                   at / 12,
                   d->bold && chance(&d->state, 30)
                       ? " to outside" /* which asks for a light there */
                       : ONE_OF(d, "", " hinge left swings in", " hinge right swings out",
                                " sliding", " sill 4\" \"step over\""));
}

/* A pipe below the joists, clear of boxes overhead, as far as a clean plan may tell. */
void feature_pipe(struct draft *d, unsigned room)
{
    buf_printf(&d->rooms[room].words, "pipe%s from 0', 6\" to 6', 6\" size 2\" by 2\"%s\n",
               ONE_OF(d, "", " \"drain\""), ONE_OF(d, "", " up 7'-6\""));
}

/* What goes through the south wall of a room, or lies in it. */
static void bulk_in_wall(struct draft *d, unsigned room)
{
    unsigned at = pick(&d->state, 9);
    if (chance(&d->state, 50))
        buf_printf(&d->rooms[room].words, "pipe from %u'-4\", -1' to %u'-4\", %u' size %s%s\n", at,
                   at, 1 + pick(&d->state, 4), ONE_OF(d, "4\" by 4\"", "10\" by 8\""),
                   ONE_OF(d, " up 1'-9\"", " up 2'-2\"", " up 4'", ""));
    else
        buf_printf(&d->rooms[room].words, "pipe from %u', -2\" to %u', -2\" size 2\" by %s%s\n", at,
                   at + 2 + pick(&d->state, 5), ONE_OF(d, "2\"", "8\""),
                   ONE_OF(d, " up 1'-9\"", " up 1'", " up 3'", " up 7'"));
}

void feature_bulk(struct draft *d, unsigned room)
{
    if (chance(&d->state, 50)) {
        bulk_in_wall(d, room);
        return;
    }
    buf_printf(&d->rooms[room].words, "%s%s from %u', 1' to %u', %u' size %s%s\n",
               ONE_OF(d, "beam", "duct", "pipe", "soffit"), ONE_OF(d, "", " \"return\""),
               pick(&d->state, 9), pick(&d->state, 9), 3 + pick(&d->state, 8),
               ONE_OF(d, "14\" by 8\"", "4\" by 4\"", "6\" by 12\""),
               ONE_OF(d, "", " up 7'", " up 7'-11\"", " up 0'"));
}

/* A wall cabinet over all that is on the wall. */
void feature_cabinet(struct draft *d, unsigned room)
{
    buf_printf(&d->rooms[room].words, "cabinet %s at 1' wide 2' from 76\" to 7'%s\n",
               draft_side_word((enum draft_side)pick(&d->state, SIDES)),
               ONE_OF(d, "", " deep 12\"", " { deep 15\" }"));
}

/* Things along a wall that ask for nothing in the rooms of a clean plan. */
void feature_furniture(struct draft *d, unsigned room)
{
    unsigned at;
    enum draft_side side = (enum draft_side)pick(&d->state, SIDES);
    if (draft_wall(d, room, side, 3, &at))
        buf_printf(&d->rooms[room].words, "%s %s at %u' wide %s%s\n",
                   ONE_OF(d, "fixed", "wet-wall", "fixed"), draft_side_word(side), at / 12,
                   ONE_OF(d, "3'", "2'-6\"", "30\""),
                   ONE_OF(d, "", " deep 2'", " sill 1'", " \"shelves\""));
}

void feature_fixture(struct draft *d, unsigned room)
{
    unsigned at;
    enum draft_side side = (enum draft_side)pick(&d->state, SIDES);
    if (draft_wall(d, room, side, 3, &at))
        buf_printf(
            &d->rooms[room].words, "%s %s at %u' wide 3'%s\n",
            ONE_OF(d, "counter", "sink", "basin", "tub", "shower", "range", "railing", "peninsula"),
            draft_side_word(side), at / 12, ONE_OF(d, "", " deep 25\"", " sill 36\""));
}

void feature_on_floor(struct draft *d, unsigned room)
{
    buf_printf(
        &d->rooms[room].words, "%s\n",
        ONE_OF(
            d, "island at 3', 3' size 3' by 2'",
            "island at 3', 3' size 3' by 2'\nbox XI island south at 1' up 20\" { existing; cover "
            "blank }",
            "island work at 3', 3' size 3' by 2'\nisland bar at 7', 3' size 2' by 2'\nbox XI "
            "island "
            "bar west at 1' { existing; cover blank }",
            "chase at 2', 2' size 1' by 1'", "scuttle at 2', 2' size 2' by 2'",
            "peninsula north at 1' wide 2' out 4'", "wet-wall west"));
}

/* A room wall by wall, its walls where those of the same size would be. */
void feature_outline(struct draft *d, unsigned room)
{
    d->rooms[room].outlined = true;
}

void feature_kind(struct draft *d, unsigned room)
{
    if (room)
        d->rooms[room].kind = ONE_OF(d, "living", "bedroom", "bath", "kitchen", "garage", "hall",
                                     "office", "laundry", "dining", "outdoors", "stair");
}

/* An empty room far away, and others after it, turned and mirrored. */
void feature_copies(struct draft *d, unsigned unused)
{
    (void)unused;
    const char *on = d->levels > 1 ? "  on level1\n" : "";
    buf_printf(&d->more_rooms,
               "room cell1 {\n%s  kind closet\n  corner 0', 100'\n  size 5' by 4'\n"
               "  window north at 1' wide 2'\n  fixed east at 1' wide 1'\n"
               "  box X1 west at 2' { existing; cover blank }\n}\n\n"
               "room cell2 : cell1 {\n%s  corner 20', 100'\n  %s\n}\n\n"
               "room cell3 : cell1 {\n%s  corner 40', 100'\n  opposite-hand\n  without X1\n}\n\n",
               on, on, ONE_OF(d, "opposite-hand", "turn left", "turn around", "size 6' by 4'"), on);
}

/* The way of one run, part by part, as one pulls it. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "framing/routes.h"
#include "model/site.h"
#include "wiring/bores.h"

enum { STEP, WAY, FEET, SUM, MEMBERS, HELD, EAST, NORTH, UP, TO_EAST, TO_NORTH, TO_UP, COLUMNS };

static const struct column columns[COLUMNS] = {
    [STEP] = {"step", "Step", 0, COLUMN_RIGHT},
    [WAY] = {"way", "Way", 0, 0},
    [FEET] = {"length_ft", "Length", 2, COLUMN_RIGHT},
    [SUM] = {"so_far_ft", "So far", 2, COLUMN_RIGHT},
    [MEMBERS] = {"members", "Passes", 0, 0},
    [HELD] = {"held", "Held by", 0, 0},
    [EAST] = {"from_east_ft", "From east", 2, COLUMN_DATA | COLUMN_RIGHT},
    [NORTH] = {"from_north_ft", "From north", 2, COLUMN_DATA | COLUMN_RIGHT},
    [UP] = {"from_up_ft", "From up", 2, COLUMN_DATA | COLUMN_RIGHT},
    [TO_EAST] = {"to_east_ft", "To east", 2, COLUMN_DATA | COLUMN_RIGHT},
    [TO_NORTH] = {"to_north_ft", "To north", 2, COLUMN_DATA | COLUMN_RIGHT},
    [TO_UP] = {"to_up_ft", "To up", 2, COLUMN_DATA | COLUMN_RIGHT},
};

static const char *wall_words(const struct results *r, const struct segment *s)
{
    return s->room ? arena_printf(r->arena, "%s %s wall", address_of_room(r->arena, s->room, false),
                                  s->room->walls[s->wall].name)
                   : "the ceiling";
}

static const char *compass(const struct segment *s)
{
    length x = s->to.x - s->from.x, y = s->to.y - s->from.y;
    return x > 0   ? (y > 0   ? "north-east"
                      : y < 0 ? "south-east"
                              : "east")
           : x < 0 ? (y > 0   ? "north-west"
                      : y < 0 ? "south-west"
                              : "west")
           : y > 0 ? "north"
                   : "south";
}

static const char *way_words(const struct results *r, const struct segment *s)
{
    const char *up = s->to.z > s->from.z ? "up" : "down";
    bool bare = s->room && wall_is_bare(&s->room->walls[s->wall]);
    switch (s->kind) {
    case IN_BAY:
        return !s->room && s->from.z == s->to.z
                   ? arena_printf(r->arena, "over the dropped ceiling, %s", compass(s))
               : !s->room ? up
               : bare     ? arena_printf(r->arena, "%s the concrete, %s", up, wall_words(r, s))
               : s->from.z == s->to.z
                   ? arena_printf(r->arena, "beside the stud, %s, %s", wall_words(r, s), compass(s))
                   : arena_printf(r->arena, "%s the stud bay, %s", up, wall_words(r, s));
    case THROUGH_STUDS:
        return arena_printf(r->arena,
                            bare ? "on the concrete, %s, %s" : "through the studs, %s, %s",
                            wall_words(r, s), compass(s));
    case ALONG_JOISTS:
        return arena_printf(r->arena, "along a joist bay, %s", compass(s));
    case ACROSS_JOISTS:
        return arena_printf(r->arena, "across the joists, %s", compass(s));
    case ON_SLAB:
        return arena_printf(r->arena, "on the slab, under the flooring, %s", compass(s));
    case IN_CHASE:
        return arena_printf(r->arena, "%s the chase", up);
    case IN_GROUND:
        return arena_printf(r->arena, "in the ground, %s", compass(s));
    case IN_AIR:
        return arena_printf(r->arena, "through the air, %s", compass(s));
    }
    return NULL;
}

static struct cell member_cell(const struct results *r, const struct run *run,
                               const struct segment *s)
{
    const struct route *route = &r->routes->of_run[run->id];
    const char **names = arena_array(r->arena, const char *, s->count + 1);
    for (uint32_t i = 0; i < s->count; i++) {
        struct passed p = route_member(r->routes->frame, route, s->first + i);
        const struct bore *bore = bore_of_member(r->bores, run, s->first + i);
        length notch = run->existing || p.member == MEMBER_PLATE ? 0 : run->notch,
               bit = bore ? bore->bit : route->bit;
        names[i] =
            arena_printf(r->arena,
                         notch ? "%s (notch %s)"
                         : bit ? "%s (%s)"
                               : "%s",
                         words_member(r->arena, &p), length_words(r->arena, notch ? notch : bit));
    }
    return cell_list(names, s->count);
}

/* East and north of the plan's origin, and above its datum. */
static void fill_place(struct cell *row, struct place3 p)
{
    row[0] = cell_length(p.x);
    row[1] = cell_length(p.y);
    row[2] = cell_length(p.z);
}

static const char *held_by(const struct run *run, const struct segment *s)
{
    if (run->existing || run->fished || s->kind == IN_GROUND || s->kind == IN_AIR ||
        s->kind == IN_CHASE)
        return NULL;
    if (s->closed)
        return "fished behind the finish";
    if (s->kind == ON_SLAB)
        return "the flooring";
    if (s->held)
        return run->notch ? "its notches" : "its bores";
    return run->raceway || (s->room && wall_is_bare(&s->room->walls[s->wall])) ? "straps"
                                                                               : "staples";
}

void way_explain(const struct results *r, struct report *report, const struct run *run)
{
    const struct route *route = &r->routes->of_run[run->id];
    length sum = 0;
    table_begin(&report->rows, r->arena, columns, COLUMNS);
    for (uint32_t i = 0; i < route->segment_count; i++) {
        const struct segment *s = &route->segments[i];
        struct cell *row = table_row(&report->rows);
        sum += s->length;
        row[STEP] = cell_integer(i + 1);
        row[WAY] = cell_text(way_words(r, s));
        row[FEET] = cell_length(s->length);
        row[SUM] = cell_length(sum);
        row[MEMBERS] = member_cell(r, run, s);
        fill_place(&row[EAST], s->from);
        fill_place(&row[TO_EAST], s->to);
        row[HELD] = cell_text(held_by(run, s));
    }
    *vec_push(r->arena, &report->notes) = arena_printf(
        r->arena, "run %s: %s along the framing, %s, %s, %s; cut %s%s.",
        view_of_run(r, run)->address, length_words(r->arena, length_eighths(route->path)),
        words_bored(r->arena, route), words_supports(r->arena, run, route),
        arena_counted(r->arena, route->plates, "nail plate", "nail plates"),
        run->existing ? "nothing, it is there" : length_words(r->arena, route->cut),
        route->measured ? ", as measured on site" : "");
    if (route->path > sum)
        *vec_push(r->arena, &report->notes) =
            "The rest of the length is the way through the thickness of a wall.";
}

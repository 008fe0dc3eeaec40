/* receptacle-spacing, foyer-receptacle: receptacles along the walls of a room.
 *
 * A wall space runs along the floor line, round corners too, until a doorway, a fireplace or a cabinet without a counter breaks it (NFPA 70 210.52(A)(2)). Counters
 * that have rules of their own (210.52(C)) break it as well: their receptacles do not serve the wall (210.52(A)(4)). */
#include "rules/placing.h"

/* What the edition says of wall spaces. */
struct wall_code {
    length reach, smallest, floor_within, up_to;
    bool counters_count, railings_count, sliding_counts;
};

static struct wall_code read_code(const struct checked *c)
{
    struct code *code = &c->model->code;
    return (struct wall_code){.reach = code_length(code, "receptacle-spacing", "reach", 0),
                              .smallest = code_length(code, "receptacle-spacing", "smallest-space", 0),
                              .floor_within = code_length(code, "receptacle-spacing", "floor-within", 0),
                              .up_to = code_length(code, "receptacle-spacing", "up-to", 0),
                              .counters_count = code_yes(c, "receptacle-spacing", "cabinets-with-counter"),
                              .railings_count = code_yes(c, "receptacle-spacing", "railings-count"),
                              .sliding_counts = code_yes(c, "receptacle-spacing", "sliding-glass-counts")};
}

/* --- wall spaces -------------------------------------------------------------------------------------------------------------- */

/* Whether a fixed thing ends the wall space where it stands. `ruled`: the room's counters have rules of their own. */
static bool breaks_space(const struct fixture *x, const struct wall_code *w, bool ruled)
{
    switch (x->form) {
    case F_DOOR: case F_OPENING: case F_FIXED: case F_TUB: case F_SHOWER: return true;
    case F_WINDOW: return x->sliding && x->sill == 0 && !w->sliding_counts;
    case F_RAILING: return !w->railings_count;
    case F_COUNTER: case F_SINK: case F_RANGE: case F_PENINSULA: return ruled;
    default: return false;
    }
}

/* Whether a fixed thing keeps the space whole although something that breaks it stands there: a rail before an opening, a counter over a cabinet. */
static bool keeps_space(const struct fixture *x, const struct wall_code *w, bool ruled)
{
    return (x->form == F_RAILING && w->railings_count) || (x->form == F_COUNTER && w->counters_count && !ruled);
}

/* What stands in a corner with its end to the next wall hides as much of that one as it is deep. */
static void add_its_ends(struct arena *arena, const struct floor_line *line, const struct fixture *x, length deep, stretch_list *list)
{
    uint32_t count = line->room->wall_count, before = (x->wall + count - 1) % count, after = (x->wall + 1) % count;
    if (x->from_left <= 0 && floor_square_corner(line->room, before))
        *vec_push(arena, list) = (struct stretch){floor_place(line, before, line->room->walls[before].length - deep), line->start[before + 1]};
    if (x->from_left + x->wide >= line->room->walls[x->wall].length && floor_square_corner(line->room, x->wall))
        *vec_push(arena, list) = (struct stretch){line->start[after], floor_place(line, after, deep)};
}

/* A rail stands for the wall at an opening, a counter makes a cabinet count: neither mends a doorway. */
static void add_fixture(const struct checked *c, const struct floor_line *line, const struct fixture *x, const struct wall_code *w, bool ruled, stretch_list *doors,
                        stretch_list *breaks, stretch_list *kept)
{
    struct arena *arena = c->model->arena;
    bool breaking = breaks_space(x, w, ruled);
    stretch_list *list = x->form == F_DOOR ? doors : breaking ? breaks : keeps_space(x, w, ruled) ? kept : NULL;
    struct stretch s = floor_fixture(line, x);
    if (!list || s.to <= s.from)
        return;
    *vec_push(arena, list) = s;
    if (breaking && x->form > F_OPENING && fixture_deep(c, x) > 0)
        add_its_ends(arena, line, x, fixture_deep(c, x), breaks);
}

static void wall_spaces(const struct checked *c, const struct floor_line *line, const struct wall_code *w, bool ruled, stretch_list *out)
{
    struct arena *arena = c->model->arena;
    stretch_list doors = {0}, breaks = {0}, kept = {0};
    for (uint32_t i = 0; i < line->room->fixtures.n; i++)
        add_fixture(c, line, &line->room->fixtures.at[i], w, ruled, &doors, &breaks, &kept);
    stretches_merge(&breaks);
    stretches_merge(&kept);
    stretches_without(arena, &breaks, &kept, &doors);
    stretches_merge(&doors);
    ring_without(arena, line->whole, &doors, out);
}

/* --- the receptacles of a wall -------------------------------------------------------------------------------------------------- */

/* The wall that a place in the floor is nearest to, where that is near enough; else none. */
static bool floor_place_counts(const struct floor_line *line, struct point p, length within, length *at)
{
    double best = (double)within;
    bool found = false;
    for (uint32_t i = 0; i < line->room->wall_count; i++) {
        const struct wall *w = &line->room->walls[i];
        double d = distance_to_wall(w, p);
        if (d > best)
            continue;
        double along = ((double)(p.x - w->left.x) * (double)(w->right.x - w->left.x) + (double)(p.y - w->left.y) * (double)(w->right.y - w->left.y)) /
                       (double)w->length;
        *at = floor_place(line, i, (length)along);
        best = d;
        found = true;
    }
    return found;
}

/* The places on the line of the receptacles that count: not too high, not too far from the wall, not worked wholly by a switch. */
static void wall_receptacles(struct arena *arena, const struct floor_line *line, const struct wall_code *w, point_list *out)
{
    for (uint32_t i = 0; i < line->room->boxes.n; i++) {
        const struct box *b = line->room->boxes.at[i];
        length at = 0;
        if (!box_always_live(b))
            continue;
        if (b->place.where == ON_WALL && b->place.up <= w->up_to)
            at = floor_place(line, b->place.wall, b->place.from_left);
        else if (b->place.where != ON_FLOOR || !floor_place_counts(line, (struct point){b->place.at.x, b->place.at.y}, w->floor_within, &at))
            continue;
        *vec_push(arena, out) = at;
    }
}

/* --- receptacle-spacing ------------------------------------------------------------------------------------------------------------- */

static void report_space(const struct checked *c, const struct floor_line *line, struct stretch space, const point_list *points, const stretch_list *gaps,
                         length reach)
{
    struct model *m = c->model;
    const struct room *r = line->room;
    const char *where = walls_words(c, line, space), *long_ = feet(c, space.to - space.from);
    length bare = 0;
    uint32_t wanted = 0;
    for (uint32_t i = 0; i < gaps->n; i++) {
        bare += gaps->at[i].to - gaps->at[i].from;
        wanted += points_wanted(gaps->at[i].to - gaps->at[i].from, reach);
    }
    struct finding *f;
    if (!points->n)
        f = room_finding(c, R_RECEPTACLE_SPACING, r, "%s: the wall space of %s along %s has no receptacle that counts for it; no point of it may be more than %s from one",
                         room_words(c, r), long_, where, feet(c, reach));
    else
        f = room_finding(c, R_RECEPTACLE_SPACING, r, "%s: %s of the wall space of %s along %s is more than %s from a receptacle", room_words(c, r), feet(c, bare), long_,
                         where, feet(c, reach));
    const char *first = window_words(c, line, first_point_window(space, gaps->at[0], reach));
    if (wanted == 1)
        diag_mend(m->diag, f, "a receptacle %s reaches it", first);
    else
        diag_mend(m->diag, f, "%u receptacles at least, one of them %s", wanted, first);
}

/* Counters have rules of their own in kitchens and the like; a part of the room that is a kitchen is enough. */
static void check_walls(const struct checked *c, const struct wall_code *w, const struct room *r)
{
    struct arena *arena = c->model->arena;
    struct floor_line line = floor_line_of(arena, r);
    stretch_list spaces = {0};
    point_list places = {0};
    wall_spaces(c, &line, w, room_in_list(c, r, "counter-places"), &spaces);
    wall_receptacles(arena, &line, w, &places);
    for (uint32_t i = 0; i < spaces.n; i++) {
        struct stretch space = spaces.at[i];
        point_list points = {0};
        stretch_list gaps = {0};
        if (space.to - space.from < w->smallest)
            continue;
        points_in(arena, line.whole, space, &places, &points);
        stretch_gaps(arena, space, space.to - space.from == line.whole, &points, w->reach, &gaps);
        if (gaps.n)
            report_space(c, &line, space, &points, &gaps, w->reach);
    }
}

void check_receptacle_spacing(const struct checked *c)
{
    struct wall_code w = read_code(c);
    for (uint32_t i = 0; i < c->model->rooms.n && w.reach > 0; i++) {
        const struct room *r = c->model->rooms.at[i];
        if (room_is_certain(r) && room_in_list(c, r, "receptacle-spacing-places"))
            check_walls(c, &w, r);
    }
}

/* --- foyer-receptacle ----------------------------------------------------------------------------------------------------------------- */

/* Doorways, windows down to the floor and the like: what is no wall of a foyer. */
static bool opens_foyer(const struct fixture *x)
{
    return x->form == F_DOOR || x->form == F_OPENING || (x->form == F_WINDOW && x->sill == 0);
}

static void check_foyer_wall(const struct checked *c, const struct floor_line *line, struct stretch wall, const point_list *places)
{
    point_list points = {0};
    points_in(c->model->arena, line->whole, wall, places, &points);
    if (points.n)
        return;
    struct finding *f = room_finding(c, R_FOYER_RECEPTACLE, line->room, "%s: %s of %s has no receptacle; a foyer of more than %g ft2 has one in each wall of %s or more",
                                     room_words(c, line->room), walls_words(c, line, wall), feet(c, wall.to - wall.from),
                                     code_setting(&c->model->code, "foyer-receptacle", "over", 0), feet(c, code_length(&c->model->code, "foyer-receptacle", "wall", 0)));
    diag_mend(c->model->diag, f, "a receptacle %s", window_words(c, line, wall));
}

static void check_foyer(const struct checked *c, const struct room *r, length widest)
{
    struct arena *arena = c->model->arena;
    struct floor_line line = floor_line_of(arena, r);
    struct wall_code w = read_code(c);
    stretch_list walls = {0}, doors = {0}, spaces = {0};
    point_list places = {0};
    for (uint32_t i = 0; i < r->wall_count; i++)
        *vec_push(arena, &walls) = (struct stretch){line.start[i], line.start[i + 1]};
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        if (opens_foyer(&r->fixtures.at[i]))
            *vec_push(arena, &doors) = floor_fixture(&line, &r->fixtures.at[i]);
    stretches_merge(&doors);
    stretches_without(arena, &walls, &doors, &spaces);
    wall_receptacles(arena, &line, &w, &places);
    for (uint32_t i = 0; i < spaces.n; i++)
        if (spaces.at[i].to - spaces.at[i].from >= widest)
            check_foyer_wall(c, &line, spaces.at[i], &places);
}

void check_foyers(const struct checked *c)
{
    struct code *code = &c->model->code;
    double over = code_setting(code, "foyer-receptacle", "over", 0);
    length widest = code_length(code, "foyer-receptacle", "wall", 0);
    for (uint32_t i = 0; i < c->model->rooms.n && widest > 0; i++) {
        const struct room *r = c->model->rooms.at[i];
        if (room_for_rule(c, r, R_FOYER_RECEPTACLE) && room_is_certain(r) && room_square_feet(r) > over)
            check_foyer(c, r, widest);
    }
}

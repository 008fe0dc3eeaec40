/* receptacle-spacing, foyer-receptacle: receptacles along the walls of a room. */
#include "rules/geometry/openings.h"
#include "rules/placing.h"
#include "rules/receptacles/wall_spaces.h"

/* --- receptacle-spacing ------------------------------------------------------------------- */

/* The i-th space of the chain in the hand of the plan's text: a mirrored copy is walked the other
 * way about, and is to be told in the same words. */
static const struct laid_space *laid_as_written(const struct wall_chain *chain, uint32_t i)
{
    uint32_t n = chain->laid.n;
    bool mirrored = chain->laid.at[0].space->room->walls[0].mirrored;
    return &chain->laid.at[!mirrored ? i : chain->closed ? (n - i) % n : n - 1 - i];
}

/* The space of the chain that a place on it lies in. */
static const struct laid_space *laid_at(const struct wall_chain *chain, length at)
{
    uint32_t i = chain->laid.n - 1;
    while (i && chain->laid.at[i].begins > at)
        i--;
    return &chain->laid.at[i];
}

/* Whether a space of the chain has a part in a gap; the gaps of a ring may lie past its start. */
static bool reaches_into(const struct wall_chain *chain, const struct laid_space *l,
                         struct stretch gap)
{
    length from = l->begins, to = l->begins + l->space->at.to - l->space->at.from;
    bool here = gap.from < to && from < gap.to;
    return here || (chain->closed && gap.from < to + chain->long_ && from + chain->long_ < gap.to);
}

/* The room that is told: the first of the chain with a part out of reach. */
static const struct room *room_out_of_reach(const struct wall_chain *chain,
                                            const stretch_list *gaps)
{
    for (uint32_t i = 0; i < chain->laid.n; i++) {
        const struct laid_space *l = laid_as_written(chain, i);
        for (uint32_t k = 0; k < gaps->n; k++)
            if (reaches_into(chain, l, gaps->at[k]))
                return l->space->room;
    }
    return chain->laid.at[0].space->room;
}

/* Rooms of a chain that a message names. */
enum { NAMED = 4 };

/* "along the north wall", "along the north wall and on along the north wall of room 'kitchen'";
 * walls of another room than the one that is told are named with it. */
static const char *chain_words(const struct wall_spaces *all, const struct wall_chain *chain,
                               const struct room *told)
{
    struct arena *arena = all->c->model->arena;
    const char *words = "";
    for (uint32_t i = 0; i < chain->laid.n && i < NAMED; i++) {
        const struct wall_space *s = laid_as_written(chain, i)->space;
        const char *walls = placing_walls_words(all->c, &all->of_room[s->room->id].line, s->at);
        const char *of = s->room == told
                             ? ""
                             : arena_printf(arena, " of %s", placing_room_words(all->c, s->room));
        words = arena_printf(arena, "%s%salong %s%s", words, i ? " and on " : "", walls, of);
    }
    if (chain->laid.n > NAMED)
        words =
            arena_printf(arena, "%s and on along walls of %u more", words, chain->laid.n - NAMED);
    return words;
}

/* Where the first of the receptacles that are missing may stand; in another room than the one that
 * is told, that one is named. */
static const char *place_words(const struct wall_spaces *all, const struct wall_chain *chain,
                               struct stretch gap, const struct room *told)
{
    struct stretch window = space_first_point_window(
        (struct stretch){0, chain->closed ? 2 * chain->long_ : chain->long_}, gap, all->code.reach);
    length middle = window.from + (window.to - window.from) / 2,
           round = middle >= chain->long_ && chain->closed ? chain->long_ : 0;
    const struct laid_space *l = laid_at(chain, middle - round);
    const struct wall_space *s = l->space;
    length shift = s->at.from - l->begins - round;
    struct stretch own = {window.from + shift, window.to + shift};
    own.from = own.from < s->at.from ? s->at.from : own.from > s->at.to ? s->at.to : own.from;
    own.to = own.to > s->at.to ? s->at.to : own.to;
    const char *words = placing_window_words(all->c, &all->of_room[s->room->id].line, own);
    return s->room == told ? words
                           : arena_printf(all->c->model->arena, "%s of %s", words,
                                          placing_room_words(all->c, s->room));
}

RULE(receptacle_spacing, "receptacle-spacing", ERROR, WAIVABLE,
     "no point along a wall is too far from a receptacle");

static void report_chain(const struct wall_spaces *all, const struct wall_chain *chain,
                         const stretch_list *gaps)
{
    const struct checked *c = all->c;
    length reach = all->code.reach, bare = 0;
    uint32_t wanted = 0;
    for (uint32_t i = 0; i < gaps->n; i++) {
        bare += gaps->at[i].to - gaps->at[i].from;
        wanted += space_points_wanted(gaps->at[i].to - gaps->at[i].from, reach);
    }
    const struct room *r = room_out_of_reach(chain, gaps);
    const char *where = chain_words(all, chain, r), *long_ = rules_feet(c, chain->long_);
    struct finding *f;
    if (!chain->points.n)
        f = room_finding(c, &rule_receptacle_spacing, r,
                         "%s: the wall space of %s %s has no receptacle that counts for it; no "
                         "point of it may be more than %s from one",
                         placing_room_words(c, r), long_, where, rules_feet(c, reach));
    else
        f = room_finding(c, &rule_receptacle_spacing, r,
                         "%s: %s of the wall space of %s %s is more than %s from a receptacle",
                         placing_room_words(c, r), rules_feet(c, bare), long_, where,
                         rules_feet(c, reach));
    const char *first = place_words(all, chain, gaps->at[0], r);
    if (wanted == 1)
        diag_mend(c->model->diag, f, "a receptacle %s reaches it", first);
    else
        diag_mend(c->model->diag, f, "%u receptacles at least, one of them %s", wanted, first);
}

static void check_chain(const struct wall_spaces *all, const struct wall_chain *chain, void *data)
{
    stretch_list gaps = {0};
    (void)data;
    looked(all->c, receptacle_spacing);
    wall_spaces_gaps(all, chain, &gaps);
    if (gaps.n)
        report_chain(all, chain, &gaps);
}

static void check_receptacle_spacing(const struct checked *c)
{
    struct wall_spaces all;
    if (wall_spaces_find(c, &all))
        wall_spaces_each_chain(&all, check_chain, NULL);
}
CHECK(receptacle_spacing, .plan = check_receptacle_spacing);

/* --- foyer-receptacle --------------------------------------------------------------------- */

/* Doorways, windows down to the floor and the like: what is no wall of a foyer. */
static bool opens_foyer(const struct fixture *x)
{
    return x->form == F_DOOR || x->form == F_OPENING || (x->form == F_WINDOW && x->sill == 0);
}

RULE(foyer_receptacle, "foyer-receptacle", ERROR, WAIVABLE,
     "a large foyer has a receptacle in each wall");

static void check_foyer_wall(const struct checked *c, const struct floor_line *line,
                             struct stretch wall, const point_list *places)
{
    point_list points = {0};
    looked(c, foyer_receptacle);
    space_points_in(c->model->arena, line->whole, wall, places, &points);
    if (points.n)
        return;
    struct finding *f =
        room_finding(c, &rule_foyer_receptacle, line->room,
                     "%s has no receptacle on %s; a foyer of more than %g ft2 has one on each wall "
                     "of %s or more",
                     placing_room_words(c, line->room), placing_walls_words(c, line, wall),
                     code_area(&c->model->code, SET_FOYER_RECEPTACLE_OVER, 0),
                     rules_feet(c, code_length(&c->model->code, SET_FOYER_RECEPTACLE_WALL, 0)));
    diag_mend(c->model->diag, f, "a receptacle %s", placing_window_words(c, line, wall));
}

/* The walls of a foyer, one by one; `area`: the part of the room that it is, or NULL for the room.
 */
static void check_foyer(const struct checked *c, const struct room *r, const struct use_area *area,
                        length widest)
{
    struct arena *arena = c->model->arena;
    struct floor_line line = space_floor_line_of(arena, r);
    struct wall_code w = wall_spaces_code(c);
    const opening_list *openings = &c->openings->of_room[r->id];
    stretch_list walls = {0}, within = {0}, holes = {0}, spaces = {0};
    point_list places = {0};
    for (uint32_t i = 0; i < r->wall_count; i++)
        *vec_push(arena, &walls) = (struct stretch){line.start[i], line.start[i + 1]};
    if (area) {
        placing_floor_line_in_area(arena, &line, area, &within);
        space_stretches_without(arena,
                                &(stretch_list){.at = &(struct stretch){0, line.whole}, .n = 1},
                                &within, &holes);
    }
    for (uint32_t i = 0; i < openings->n; i++)
        if (opens_foyer(&openings->at[i].here))
            *vec_push(arena, &holes) = space_floor_fixture(&line, &openings->at[i].here);
    space_stretches_merge(&holes);
    space_stretches_without(arena, &walls, &holes, &spaces);
    wall_spaces_receptacles(c, &line, &w, &places);
    for (uint32_t i = 0; i < spaces.n; i++)
        if (spaces.at[i].to - spaces.at[i].from >= widest)
            check_foyer_wall(c, &line, spaces.at[i], &places);
}

static void check_foyers(const struct checked *c, const struct room *r)
{
    struct code *code = &c->model->code;
    double over = code_area(code, SET_FOYER_RECEPTACLE_OVER, 0);
    length widest = code_length(code, SET_FOYER_RECEPTACLE_WALL, 0);
    const char *kind = placing_kind_for_rule(c, &rule_foyer_receptacle);
    if (widest <= 0 || c->openings->in_doubt[r->id])
        return;
    if (placing_kind_of_room(c, r, &rule_foyer_receptacle) && space_room_square_feet(r) > over)
        check_foyer(c, r, NULL, widest);
    for (uint32_t k = 0; kind && k < r->areas.n; k++) {
        const struct use_area *a = &r->areas.at[k];
        double wide = length_feet(a->high.x - a->low.x), deep = length_feet(a->high.y - a->low.y);
        if (wide * deep > over && library_kind_is(a->kind, kind))
            check_foyer(c, r, a, widest);
    }
}
CHECK(foyer_receptacle, .room = {check_foyers, WHOLE_ROOM, NEW_WORK});

/* exposed-cable: what lies open where hands and loads come to it: under the joists of basements and
 * crawl spaces, and in attics. */
#include "rules/conductors/conductors.h"
#include "rules/mends.h"

#include "facts/rooms.h"
#include "framing/routes.h"
#include "model/site.h"

#include <math.h>

RULE(exposed_cable, "exposed-cable", ERROR, WAIVABLE,
     "thin cable does not lie open under joists, nor unguarded in attics");

/* Of a run that is exposed: where it lies so that it wants to be guarded. */
struct open_way {
    const struct run *run;
    const struct cable_def *cable;
    const struct room *room;
};

static bool ranges_meet(length a, length b, length lo, length hi)
{
    return (a < b ? a : b) < hi && (a < b ? b : a) > lo;
}

/* Whether a part of a way lies over the floor plan of a room. */
static bool lies_over(const struct segment *s, const struct room *r)
{
    bool along = s->from.x == s->to.x ? r->low.x <= s->from.x && s->from.x <= r->high.x
                                      : ranges_meet(s->from.x, s->to.x, r->low.x, r->high.x),
         across = s->from.y == s->to.y ? r->low.y <= s->from.y && s->from.y <= r->high.y
                                       : ranges_meet(s->from.y, s->to.y, r->low.y, r->high.y);
    return along && across;
}

/* How far a part of a way stays from a scuttle, on the floor plan. */
static double to_scuttle(const struct segment *s, const struct chase *hole)
{
    length west = s->from.x < s->to.x ? s->from.x : s->to.x,
           east = s->from.x < s->to.x ? s->to.x : s->from.x,
           south = s->from.y < s->to.y ? s->from.y : s->to.y,
           north = s->from.y < s->to.y ? s->to.y : s->from.y;
    length x = hole->low.x > east    ? hole->low.x - east
               : west > hole->high.x ? west - hole->high.x
                                     : 0,
           y = hole->low.y > north    ? hole->low.y - north
               : south > hole->high.y ? south - hole->high.y
                                      : 0;
    return hypot((double)x, (double)y);
}

/* --- under joists --------------------------------------------------------------------------- */

/* Whether the joists over a room are open, in a basement or crawl space. */
static bool has_open_joists(const struct checked *c, const struct room *r)
{
    return facts_stays_open(r) &&
           (r->level->below_grade || room_used_as(c->model, r, LIST_EXPOSED_JOISTS));
}

/* A cable so thick that it may be fastened to the edges of joists. */
static bool is_sturdy(const struct checked *c, const struct cable_def *cable)
{
    struct code *code = &c->model->code;
    int two = library_gauge_of(code_size(code, SET_EXPOSED_CABLES_TWO_CONDUCTORS)),
        three = library_gauge_of(code_size(code, SET_EXPOSED_CABLES_THREE_CONDUCTORS));
    return cable->gauge <= two || (cable->conductors > 2 && cable->gauge <= three);
}

static bool goes_under_joists(const struct segment *s, const struct room *r)
{
    return s->kind == ACROSS_JOISTS && s->from.z == r->level->floor + r->level->ceiling &&
           lies_over(s, r);
}

/* The word that says that it lies open. */
static struct span open_span(const struct run *run)
{
    static const enum form_id words[] = {F_EXPOSED, F_RUNNING_BOARD, F_GUARD_STRIPS};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (node_child(run->node, words[i]))
            return node_span(node_child(run->node, words[i]));
    return run->from_span;
}

static void say_under_joists(const struct checked *c, const struct open_way *w)
{
    struct finding *f = run_finding(
        c, &rule_exposed_cable, w->run, open_span(w->run),
        "run %s lies under the open joists of room '%s', across them; %s is too thin for that",
        address_of_run(c->model->arena, w->run, true), w->room->name, w->cable->name);
    diag_mend(
        c->model->diag, f,
        "leave 'exposed' out: bored through the joists; or 'running-board' where it lies on one");
    mends_leave_out(c, f, false, w->run->node, F_EXPOSED);
    model_mend_run(c->model, f, w->run, F_RUNNING_BOARD, "running-board");
}

/* --- in attics ------------------------------------------------------------------------------ */

/* Whether a part of a way lies across the top of the floor's joists, or across studs or rafters
 * within reach, and near the way in. Where stairs lead there all of it is near; where the plan
 * shows neither stairs nor scuttle it may be. */
static bool lies_in_attic(const struct checked *c, const struct segment *s, const struct room *r,
                          bool stairs)
{
    struct code *code = &c->model->code;
    length up = s->from.z - r->level->floor, reach = code_length(code, SET_EXPOSED_CABLES_REACH, 0),
           near = code_length(code, SET_EXPOSED_CABLES_SCUTTLE, 0);
    bool across = s->kind == ACROSS_JOISTS || (s->kind == THROUGH_STUDS && s->room == r);
    if (!across || up < 0 || up >= reach || !lies_over(s, r))
        return false;
    bool close = stairs || !r->scuttles.n;
    for (uint32_t i = 0; i < r->scuttles.n; i++)
        close |= to_scuttle(s, &r->scuttles.at[i]) < (double)near;
    return close;
}

static void say_in_attic(const struct checked *c, const struct open_way *w, bool stairs)
{
    struct code *code = &c->model->code;
    const char *address = address_of_run(c->model->arena, w->run, true),
               *near = rules_feet(c, code_length(code, SET_EXPOSED_CABLES_SCUTTLE, 0));
    struct span span = open_span(w->run);
    struct finding *f =
        stairs ? run_finding(c, &rule_exposed_cable, w->run, span,
                             "run %s lies open across the framing of room '%s', to which stairs "
                             "lead; there it wants guard strips as high as the cable",
                             address, w->room->name)
        : w->room->scuttles.n
            ? run_finding(c, &rule_exposed_cable, w->run, span,
                          "run %s lies open across the framing of room '%s' within %s of its "
                          "scuttle; there it wants guard strips as high as the cable",
                          address, w->room->name, near)
            : run_finding(c, &rule_exposed_cable, w->run, span,
                          "run %s lies open across the framing of room '%s', whose scuttle is not "
                          "drawn; within %s of it guard strips are wanted, as high as the cable",
                          address, w->room->name, near);
    if (f)
        f->article = code_case_article(code, "exposed-in-attic");
    diag_mend(c->model->diag, f,
              stairs || w->room->scuttles.n
                  ? "leave 'exposed' out: bored through; or 'guard-strips' where they lie beside it"
                  : "leave 'exposed' out: bored through; or draw the way in, 'scuttle at EAST, "
                    "NORTH size EAST by NORTH'; or 'guard-strips' where they lie beside it");
    mends_leave_out(c, f, false, w->run->node, F_EXPOSED);
    model_mend_run(c->model, f, w->run, F_GUARD_STRIPS, "guard-strips");
}

BLIND_SPOT(metal_clad_in_attic, exposed_cable, "guard strips in the attic for", "");

/* --- both ----------------------------------------------------------------------------------- */

/* What a run does in one of the rooms where it ends; true where it was said. */
static bool look_in_room(const struct checked *c, const struct run *run, const struct room *room,
                         const struct cable_def *cable)
{
    const struct route *route = &c->routes->of_run[run->id];
    struct open_way w = {run, cable, room};
    bool joists = has_open_joists(c, room),
         attic = room_used_as(c->model, room, LIST_EXPOSED_ATTICS) && facts_known(room, ITS_KINDS),
         guarded = code_list_has(&c->model->code, LIST_EXPOSED_FAMILIES, cable->family),
         stairs = attic && room->by_stairs;
    if (joists || attic)
        looked(c, exposed_cable);
    for (uint32_t i = 0; i < route->segment_count; i++) {
        const struct segment *s = &route->segments[i];
        if (guarded && joists && !run->boarded && goes_under_joists(s, room) &&
            !is_sturdy(c, cable)) {
            say_under_joists(c, &w);
            return true;
        }
        if (!attic || run->guarded || !lies_in_attic(c, s, room, stairs))
            continue;
        if (guarded)
            say_in_attic(c, &w, stairs);
        else
            diag_passed(c->model->diag, &blind_metal_clad_in_attic,
                        address_of_run(c->model->arena, run, true));
        return guarded;
    }
    return false;
}

static void check_exposed(const struct checked *c, const struct run *run)
{
    const struct cable_def *cable =
        run->exposed && !run->raceway && run->circuit ? rules_cable_of(c, run) : NULL;
    const struct route *route = &c->routes->of_run[run->id];
    const struct room *from = facts_room_of_end(run->from), *to = facts_room_of_end(run->to);
    if (!cable || !from || !to || route->blocked)
        return;
    if (!look_in_room(c, run, from, cable) && to != from)
        look_in_room(c, run, to, cable);
}
CHECK(exposed_cable, .run = {check_exposed, ITS_TEXT | ITS_WAY, NEW_WORK});

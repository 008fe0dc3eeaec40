/* box-off-wall, box-in-opening, boxes-collide: whether every box and panel can be where the plan
 * puts it. */
#include "rules/mends.h"

#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "wiring/wiring.h"

#include <stdlib.h>

/* How much room things take, from the library. */
struct sizes {
    length gang, first_gang, box_height, round;
    length panel_width, panel_height, panel_depth;
    length door, window_sill;
};

/* A box or a panel, as large as it is. */
struct thing {
    const struct box *box; /* one of the two */
    const struct panel *panel;
    const struct room *room;
    const struct place *place;
    const struct face *face; /* ON_WALL */
    length t;                /* ON_WALL: its middle on the line */
    struct place set;        /* as it is set, beside its stud or joist */
    length width, height;
    length depth;  /* from the face of the finish into the wall; 0 where it is not known */
    bool off;      /* box-off-wall speaks of it: nothing more is said of where it stands */
    bool collides; /* said already: with one other */
};

typedef VEC(struct thing) thing_list;

static struct sizes look_up(const struct checked *c)
{
    struct code *code = &c->model->code;
    return (struct sizes){
        .gang = code_length(code, SET_BOX_SPACE_GANG_WIDTH, 0),
        .first_gang = code_length(code, SET_BOX_SPACE_FIRST_GANG_WIDTH, 0),
        .box_height = code_length(code, SET_BOX_SPACE_BOX_HEIGHT, 0),
        .round = code_length(code, SET_BOX_SPACE_ROUND_WIDTH, 0),
        .panel_width = code_length(code, SET_BOX_SPACE_PANEL_WIDTH, 0),
        .panel_height = code_length(code, SET_BOX_SPACE_PANEL_HEIGHT, 0),
        .panel_depth = code_length(code, SET_BOX_SPACE_PANEL_DEPTH, 0),
        .door = code_length(code, SET_PLAN_DEFAULTS_DOOR_HEIGHT, 0),
        .window_sill = code_length(code, SET_PLAN_DEFAULTS_WINDOW_SILL, 0),
    };
}

static struct span thing_span(const struct thing *t)
{
    const struct node *n = t->box ? t->box->node : t->panel->node;
    return node_name_span(n);
}

static const char *thing_words(const struct checked *c, const struct thing *t)
{
    struct arena *a = c->model->arena;
    return t->box ? arena_printf(a, "box %s", address_of_box(a, t->box, true))
                  : arena_printf(a, "panel %s", address_of_panel(a, t->panel, true));
}

static struct finding *thing_finding(const struct checked *c, const struct rule *rule,
                                     const struct thing *t, const char *message)
{
    struct model *m = c->model;
    const char *subject = t->box ? address_of_box(m->arena, t->box, false)
                                 : address_of_panel(m->arena, t->panel, false);
    const struct unit *unit = t->box ? t->box->room->unit : t->panel->unit;
    return model_finding(m, rule, thing_span(t), unit, subject, "%s %s", thing_words(c, t),
                         message);
}

/* --- what there is ------------------------------------------------------------------------ */

static void measure_box(const struct checked *c, const struct sizes *z, struct thing *t)
{
    const struct fill *fill = &c->wiring->of_box[t->box->id];
    const struct box_type *type = t->box->declared ? t->box->declared : fill->type;
    unsigned gangs = type ? type->gangs : fill->gangs ? fill->gangs : t->box->gangs;
    t->width = gangs ? z->first_gang + (length)(gangs - 1) * z->gang : z->round;
    t->height = gangs ? z->box_height : z->round;
    t->depth = type ? type->depth : 0;
}

static void set_face(const struct checked *c, struct thing *t)
{
    if (t->place->where != ON_WALL || t->place->wall >= t->room->wall_count)
        return;
    const struct face *face = frame_face_of(c->routes->frame, t->room, t->place->wall);
    if (face->line == NO_INDEX)
        return;
    t->face = face;
    t->t = face->forward ? face->lo + t->place->from_left : face->hi - t->place->from_left;
}

static void list_things(const struct checked *c, struct arena *scratch, const struct sizes *z,
                        thing_list *list)
{
    const struct model *m = c->model;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        if (!facts_known(b, ITS_TEXT) ||
            (!facts_known(b, ITS_PLACE) && facts_known(b, ITS_OUTSIDE)))
            continue;
        struct thing *t = vec_push(scratch, list);
        *t = (struct thing){.box = b,
                            .room = b->room,
                            .place = &b->place,
                            .set = c->routes->mountings->of_box[i].place};
        measure_box(c, z, t);
        set_face(c, t);
    }
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        if (!facts_known(p, ITS_TEXT | ITS_PLACE))
            continue;
        struct thing *t = vec_push(scratch, list);
        *t = (struct thing){.panel = p,
                            .room = p->room,
                            .place = &p->place,
                            .set = c->routes->mountings->of_panel[i].place,
                            .width = z->panel_width,
                            .height = z->panel_height,
                            .depth = z->panel_depth};
        set_face(c, t);
    }
}

/* --- off the wall ------------------------------------------------------------------------- */

static bool is_old(const struct thing *t)
{
    return t->box ? t->box->existing : t->panel->existing;
}

/* Whether the room's next wall that way is a part of the same straight wall. */
static bool goes_on(const struct checked *c, const struct thing *t, uint32_t step)
{
    const struct face *next =
        frame_face_of(c->routes->frame, t->room, (t->place->wall + step) % t->room->wall_count);
    return t->face && next->line == t->face->line;
}

/* An end of its wall that the thing reaches past: 'l', 'r' or 0. Where an old one is, there was
 * room for it. */
static char end_passed(const struct checked *c, const struct thing *t)
{
    length left = t->place->from_left - t->width / 2, right = t->place->from_left + t->width / 2;
    if (is_old(t))
        return 0;
    if (left < 0 && !goes_on(c, t, t->room->wall_count - 1))
        return 'l';
    return right > t->room->walls[t->place->wall].length && !goes_on(c, t, 1) ? 'r' : 0;
}

RULE(box_off_wall, "box-off-wall", ERROR, WAIVABLE,
     "a box is on its wall, or over or on the floor of its room");

static void check_in_corner(const struct checked *c, struct thing *t)
{
    struct model *m = c->model;
    const struct wall *w = &t->room->walls[t->place->wall];
    char end = end_passed(c, t);
    if (!end)
        return;
    struct buf half = {0};
    length_print(&half, t->width / 2);
    struct finding *f =
        thing_finding(c, &rule_box_off_wall, t,
                      arena_printf(m->arena, "stands partly past the %s end of the %s wall",
                                   end == 'l' ? "left" : "right", w->name));
    diag_mend(m->diag, f, "`at` is to its middle: %s from the end at least", buf_text(&half));
    if (t->box)
        mends_at(c, f, t->box, end == 'l' ? t->width / 2 : w->length - t->width / 2);
    buf_free(&half);
    t->off = true;
}

static void check_off_wall(const struct checked *c, struct thing *t)
{
    struct model *m = c->model;
    const struct place *p = t->place;
    if (p->where != ON_WALL) {
        t->off = !facts_is_over(t->room, p->at);
        if (t->off)
            diag_mend(m->diag,
                      thing_finding(c, &rule_box_off_wall, t,
                                    p->where == OVERHEAD ? "is not over its room"
                                                         : "is not on the floor of its room"),
                      "the two lengths go east and north from the south-west corner of the room");
        return;
    }
    const struct wall *w = &t->room->walls[p->wall];
    struct buf size = {0};
    if (p->from_left < 0 || p->from_left > w->length) {
        length_print(&size, w->length);
        struct finding *f = thing_finding(
            c, &rule_box_off_wall, t,
            arena_printf(m->arena, "is past the %s end of the %s wall, which is %s long",
                         p->from_left < 0 ? "left" : "right", w->name, buf_text(&size)));
        diag_mend(m->diag, f,
                  "lengths go from the wall's left end, as one stands inside and faces it");
        t->off = true;
    } else if (p->up < 0 || p->up > t->room->ceiling) {
        length_print(&size, t->room->ceiling);
        struct finding *f = thing_finding(
            c, &rule_box_off_wall, t,
            p->up < 0 ? "is below the floor"
                      : arena_printf(m->arena, "is above the ceiling, at %s", buf_text(&size)));
        diag_mend(m->diag, f, "`up` is the height of its middle above the floor");
        t->off = true;
    } else {
        check_in_corner(c, t);
    }
    buf_free(&size);
}

/* --- in an opening ------------------------------------------------------------------------ */

static const char *opening_word(const struct fixture *f)
{
    return f->sort == FIXTURE_DOOR     ? "a door"
           : f->sort == FIXTURE_WINDOW ? "a window"
                                       : "an opening";
}

/* The heights between which an opening is open. */
static void heights_of(const struct sizes *z, const struct fixture *f, length *low, length *high)
{
    *low = f->sill >= 0 ? f->sill : f->sort == FIXTURE_WINDOW ? z->window_sill : 0;
    *high = z->door > *low ? z->door : *low;
}

/* It reaches past its own wall, which openings-disagree says: where it is, nobody knows. */
static bool is_past_end(const struct obstacle *o)
{
    const struct fixture *x = o->fixture;
    return x->wall < o->room->wall_count &&
           (x->from_left < 0 || x->from_left + x->wide > o->room->walls[x->wall].length);
}

static bool stands_in(const struct sizes *z, const struct thing *t, const struct obstacle *o)
{
    length low, high, z0 = t->place->up - t->height / 2, z1 = t->place->up + t->height / 2;
    if (!o->fixture || o->fixture->sort == FIXTURE_OTHER || is_past_end(o))
        return false;
    heights_of(z, o->fixture, &low, &high);
    /* floors of one storey may differ by what its levels say */
    length shift = o->room->level->floor - t->room->level->floor;
    return o->lo < t->t + t->width / 2 && t->t - t->width / 2 < o->hi && low + shift < z1 &&
           z0 < high + shift;
}

/* By obstacle: how far those of its line up to here go, so that what lies before a place needs no
 * look. */
static length *obstacle_reach(struct arena *scratch, const struct skeleton *frame)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < frame->line_count; i++)
        count += frame->lines[i].obstacle_count;
    length *reach = arena_array(scratch, length, count + 1);
    for (uint32_t i = 0; i < frame->line_count; i++) {
        const struct line *l = &frame->lines[i];
        for (uint32_t k = l->first_obstacle; k < l->first_obstacle + l->obstacle_count; k++)
            reach[k] = k > l->first_obstacle && reach[k - 1] > frame->obstacles[k].hi
                           ? reach[k - 1]
                           : frame->obstacles[k].hi;
    }
    return reach;
}

/* The first obstacle of the line that may go beyond a place. */
static uint32_t first_beyond(const struct line *l, const length *reach, length at)
{
    uint32_t low = 0, high = l->obstacle_count;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (reach[l->first_obstacle + middle] > at)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

RULE(box_in_opening, "box-in-opening", ERROR, WAIVABLE,
     "no box stands in a door, window or opening");

static void check_opening(const struct checked *c, const struct sizes *z, const length *reach,
                          const struct thing *t)
{
    const struct skeleton *frame = c->routes->frame;
    if (!t->face || t->off)
        return;
    const struct line *l = &frame->lines[t->face->line];
    for (uint32_t i = first_beyond(l, reach, t->t - t->width / 2); i < l->obstacle_count; i++) {
        const struct obstacle *o = &frame->obstacles[l->first_obstacle + i];
        if (o->lo >= t->t + t->width)
            break;
        if (!stands_in(z, t, o))
            continue;
        bool middle = o->lo < t->t && t->t < o->hi;
        struct finding *f =
            thing_finding(c, &rule_box_in_opening, t,
                          arena_printf(c->model->arena, "stands %s %s", middle ? "in" : "partly in",
                                       opening_word(o->fixture)));
        diag_note(c->model->diag, f, node_span(o->fixture->node), "%s of room '%s'",
                  opening_word(o->fixture), o->room->name);
        diag_mend(c->model->diag, f,
                  "move it beside the opening; its frame takes a stud or two there");
        return;
    }
}

/* --- two in one place --------------------------------------------------------------------- */

RULE(boxes_collide, "boxes-collide", ERROR, WAIVABLE, "no two boxes take one place in a wall");

static void say_collide(const struct checked *c, struct thing *a, struct thing *b, bool behind)
{
    bool a_first = a->box && b->box       ? a->box->id < b->box->id
                   : a->panel && b->panel ? a->panel->id < b->panel->id
                                          : a->panel != NULL;
    struct thing *first = a_first ? a : b, *second = a_first ? b : a;
    if (second->collides)
        return;
    second->collides = true;
    const char *other = thing_words(c, first);
    struct arena *arena = c->model->arena;
    struct finding *f = thing_finding(
        c, &rule_boxes_collide, second,
        behind
            ? arena_printf(arena, "meets %s behind it: the wall is not deep enough for both", other)
            : arena_printf(arena, "and %s are in one place%s", other,
                           first->place == &first->set ? " as they are set, beside their wood"
                                                       : ""));
    diag_note(c->model->diag, f, thing_span(first), "%s", other);
    diag_mend(c->model->diag, f,
              behind ? "move one of them into the next stud bay, or take a shallower box"
              : a->box && b->box ? "move one of them, or put both devices in one box"
                                 : "move one of them");
}

static void check_pair_on_wall(const struct checked *c, struct thing *a, struct thing *b)
{
    length beside = length_abs(a->t - b->t) * 2,
           above = length_abs(a->place->at.z - b->place->at.z) * 2;
    if (beside >= a->width + b->width || above >= a->height + b->height)
        return;
    bool behind = a->face->forward != b->face->forward;
    if (!behind) {
        say_collide(c, a, b, false);
        return;
    }
    if (a->panel && b->panel)
        return; /* how deep a panel is, its maker says; party walls that hold two are built for it
                 */
    const struct room *first = a->room->id < b->room->id ? a->room : b->room;
    length studs = frame_wall_of(first == a->room ? a->face : b->face)->framing.lumber.depth,
           deep = studs + a->room->finish + b->room->finish;
    if (a->depth > 0 && b->depth > 0 && studs > 0 && a->depth + b->depth > deep)
        say_collide(c, a, b, true);
}

/* As the lists are sorted where two stand alike: what was there first, then panels, then by id. */
static int by_age(const struct thing *a, const struct thing *b)
{
    if (is_old(a) != is_old(b))
        return is_old(a) ? -1 : 1;
    if (!a->box != !b->box)
        return a->box ? 1 : -1;
    return a->box ? (a->box->id < b->box->id ? -1 : 1) : (a->panel->id < b->panel->id ? -1 : 1);
}

static int by_size(const struct thing *a, const struct thing *b)
{
    return a->width != b->width     ? (a->width < b->width ? -1 : 1)
           : a->height != b->height ? (a->height < b->height ? -1 : 1)
           : a->depth != b->depth   ? (a->depth < b->depth ? -1 : 1)
                                    : 0;
}

static int by_spot_on_wall(const struct thing *a, const struct thing *b)
{
    if (a->face->line != b->face->line)
        return a->face->line < b->face->line ? -1 : 1;
    if (a->t != b->t)
        return a->t < b->t ? -1 : 1;
    if (a->face->forward != b->face->forward)
        return a->face->forward ? 1 : -1;
    if (a->place->at.z != b->place->at.z)
        return a->place->at.z < b->place->at.z ? -1 : 1;
    return by_size(a, b);
}

static int by_place(const void *va, const void *vb)
{
    const struct thing *a = *(const struct thing *const *)va, *b = *(const struct thing *const *)vb;
    int order = by_spot_on_wall(a, b);
    return order ? order : by_age(a, b);
}

static int by_spot_overhead(const struct thing *a, const struct thing *b)
{
    if (a->room->id != b->room->id)
        return a->room->id < b->room->id ? -1 : 1;
    if (a->place->where != b->place->where)
        return a->place->where < b->place->where ? -1 : 1;
    if (a->place->at.x != b->place->at.x)
        return a->place->at.x < b->place->at.x ? -1 : 1;
    if (a->place->at.y != b->place->at.y)
        return a->place->at.y < b->place->at.y ? -1 : 1;
    if (a->place->at.z != b->place->at.z)
        return a->place->at.z < b->place->at.z ? -1 : 1;
    return by_size(a, b);
}

static int by_ceiling(const void *va, const void *vb)
{
    const struct thing *a = *(const struct thing *const *)va, *b = *(const struct thing *const *)vb;
    int order = by_spot_overhead(a, b);
    return order ? order : by_age(a, b);
}

/* Of those that stand in the very same place, one stands for all: the others are told with it, and
 * left out of the list, which is sorted. How many are left. */
static uint32_t leave_out_copies(const struct checked *c, struct thing **list, uint32_t n,
                                 int (*by_spot)(const struct thing *, const struct thing *))
{
    uint32_t left = 0;
    for (uint32_t i = 0; i < n; i++) {
        struct thing *before = left ? list[left - 1] : NULL;
        if (!before || is_old(before) != is_old(list[i]) || by_spot(before, list[i]))
            list[left++] = list[i];
        else if (!is_old(before))
            say_collide(c, before, list[i], false);
    }
    return left;
}

/* Whether no more of them can be told: in one place there may be very many. */
static bool all_told(const struct checked *c)
{
    return diag_is_full(c->model->diag, &rule_boxes_collide);
}

static bool near_on_wall(const struct thing *a, const struct thing *b, length widest)
{
    return a->face->line == b->face->line && length_abs(b->t - a->t) < widest;
}

/* Of two that were there nothing is said: each that is new is held against those beside it. */
static void check_walls(const struct checked *c, struct thing **list, uint32_t n)
{
    length widest = 0;
    for (uint32_t i = 0; i < n; i++)
        widest = list[i]->width > widest ? list[i]->width : widest;
    if (n)
        qsort(list, n, sizeof *list, by_place);
    n = leave_out_copies(c, list, n, by_spot_on_wall);
    for (uint32_t i = 0; i < n && !all_told(c); i++) {
        if (is_old(list[i]))
            continue;
        for (uint32_t k = i; k-- > 0 && near_on_wall(list[k], list[i], widest);)
            if (is_old(list[k]))
                check_pair_on_wall(c, list[k], list[i]);
        for (uint32_t k = i + 1; k < n && near_on_wall(list[i], list[k], widest); k++)
            check_pair_on_wall(c, list[i], list[k]);
    }
}

static bool near_overhead(const struct thing *a, const struct thing *b, length widest)
{
    return a->room == b->room && a->place->where == b->place->where &&
           length_abs(b->place->at.x - a->place->at.x) < widest;
}

static void check_pair_overhead(const struct checked *c, struct thing *a, struct thing *b)
{
    length x = length_abs(b->place->at.x - a->place->at.x),
           y = length_abs(b->place->at.y - a->place->at.y),
           z = length_abs(b->place->at.z - a->place->at.z);
    if (x * 2 < a->width + b->width && y * 2 < a->width + b->width && z * 2 < a->height + b->height)
        say_collide(c, a, b, false);
}

static void check_ceilings(const struct checked *c, struct thing **list, uint32_t n)
{
    length widest = 0;
    for (uint32_t i = 0; i < n; i++)
        widest = list[i]->width > widest ? list[i]->width : widest;
    if (n)
        qsort(list, n, sizeof *list, by_ceiling);
    n = leave_out_copies(c, list, n, by_spot_overhead);
    for (uint32_t i = 0; i < n && !all_told(c); i++) {
        if (is_old(list[i]))
            continue;
        for (uint32_t k = i; k-- > 0 && near_overhead(list[k], list[i], widest);)
            if (is_old(list[k]))
                check_pair_overhead(c, list[k], list[i]);
        for (uint32_t k = i + 1; k < n && near_overhead(list[i], list[k], widest); k++)
            check_pair_overhead(c, list[i], list[k]);
    }
}

/* `walls` and `others` have room for all things. */
static void check_against_others(const struct checked *c, const thing_list *things,
                                 struct thing **walls, struct thing **others)
{
    uint32_t on_walls = 0, off_walls = 0;
    for (uint32_t i = 0; i < things->n; i++) {
        struct thing *t = &things->at[i];
        if (t->off)
            continue;
        if (t->face)
            walls[on_walls++] = t;
        else if (t->place->where != ON_WALL)
            others[off_walls++] = t;
    }
    check_walls(c, walls, on_walls);
    check_ceilings(c, others, off_walls);
}

static void check_places(const struct checked *c)
{
    struct arena scratch = {.out_of_memory = c->model->arena->out_of_memory};
    struct sizes z = look_up(c);
    thing_list things = {0};
    list_things(c, &scratch, &z, &things);
    struct thing **walls = arena_array(&scratch, struct thing *, things.n + 1),
                 **others = arena_array(&scratch, struct thing *, things.n + 1);
    length *reach = obstacle_reach(&scratch, c->routes->frame);
    for (uint32_t i = 0; i < things.n; i++) {
        check_off_wall(c, &things.at[i]);
        check_opening(c, &z, reach, &things.at[i]);
    }
    check_against_others(c, &things, walls, others);
    for (uint32_t i = 0; i < things.n; i++) {
        things.at[i].place = &things.at[i].set;
        set_face(c, &things.at[i]);
    }
    check_against_others(c, &things, walls, others);
    arena_free(&scratch);
}
CHECK(box_in_opening, .with = {&rule_box_off_wall, &rule_boxes_collide}, .plan = check_places);

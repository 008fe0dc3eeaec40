#include "emit/reports/tasks.h"

#include "cuts/cuts.h"
#include "cuts/labels.h"
#include "emit/left.h"
#include "emit/removals.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/places.h"
#include "facts/boxes.h"
#include "facts/closed.h"
#include "facts/existing.h"
#include "facts/pulls.h"
#include "facts/rooms.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/model.h"
#include "model/site.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <string.h>

/* Each by its name, at the head of its list, and what is counted of it. */
const struct stage_words tasks_stages[STAGES] = {
    [MAKE_DEAD] = {"make dead", "Make dead", "thing", "things"},
    [TAKE_OUT] = {"take out", "Take out", "thing", "things"},
    [SET] = {"set", "Mark and set", "box", "boxes"},
    [BORE] = {"bore", "Bore", "hole", "holes"},
    [LAY] = {"lay", "Lay and strap", "raceway", "raceways"},
    [PULL] = {"pull", "Pull", "cable", "cables"},
    [STAPLE] = {"staple", "Staple", "cable", "cables"},
    [MAKE_UP] = {"make up", "Make up", "box", "boxes"},
    [INSPECT] = {"inspect", "Have inspected", "room", "rooms"},
    [COVER] = {"cover", "Cover, once it is inspected", "room", "rooms"},
    [TRIM] = {"trim", "Trim out", "box", "boxes"},
    [TEST] = {"test", "Test", "circuit", "circuits"},
};

typedef VEC(struct task) task_list;

struct todo {
    const struct results *r;
    bool apart;
    length reach; /* above this one works from a ladder; 0: not known */
    task_list
        *of_room; /* by room id, one more for what is in no room: those of the stage at hand */
    struct tasks found;
};

static void add_task(struct todo *t, const struct room *room, struct task task)
{
    task.room = room;
    task.at = task.at ? task.at : room;
    *vec_push(t->r->arena, &t->of_room[room ? room->id : t->r->model->rooms.n]) = task;
}

/* Files the tasks of a stage, in the order of the rooms, and empties the lists. */
static void write_stage(struct todo *t, enum stage stage)
{
    for (uint32_t i = 0; i <= t->r->model->rooms.n; i++) {
        for (uint32_t k = 0; k < t->of_room[i].n; k++) {
            struct task *task = vec_push(t->r->arena, &t->found.list);
            *task = t->of_room[i].at[k];
            task->stage = stage;
        }
        t->of_room[i].n = 0;
    }
}

const char *tasks_room(const struct results *r, const struct room *room)
{
    return room ? address_of_room(r->arena, room, false) : NULL;
}

/* So many of one kind of work, or so many feet of it. */
static struct effort pieces(enum work_kind work, uint32_t count)
{
    return (struct effort){.work = work, .count = count};
}

static struct effort feet_of(enum work_kind work, length feet)
{
    return (struct effort){.work = work, .feet = feet};
}

/* Whether one stands on a ladder for a place so high above the floor, or for a ceiling. */
static bool wants_ladder(const struct todo *t, const struct place *p)
{
    return p->where == OVERHEAD || (p->known && t->reach > 0 && p->up > t->reach);
}

/* --- boxes -------------------------------------------------------------------------------- */

/* Boxes of one wall, ceiling or floor. */
struct box_group {
    const struct room *room;
    const char *where;
    bool ladder;
    VEC(const struct box *) boxes;
    struct buf names;
};

typedef VEC(struct box_group *) box_group_list;

static struct box_group *group_of(struct todo *t, struct map *found, box_group_list *list,
                                  const struct box *b)
{
    const struct box_view *v = view_of_box(t->r, b);
    const char *side = v->wall ? v->wall : "",
               *where = names_of(t->r->model->names,
                                 v->on_wall ? arena_printf(t->r->arena, "%s wall", side) : side);
    bool ladder = wants_ladder(t, view_place_of_box(t->r, b));
    const char *key = t->apart && ladder
                          ? names_of(t->r->model->names, arena_printf(t->r->arena, "%s\n", where))
                          : where;
    void **at = map_at(t->r->arena, found, (uintptr_t)b->room, (uintptr_t)key);
    if (!*at) {
        struct box_group *g = arena_new(t->r->arena, struct box_group);
        *g = (struct box_group){.room = b->room, .where = where, .ladder = ladder};
        *vec_push(t->r->arena, list) = g;
        *at = g;
    }
    return *at;
}

/* Marked and nailed up wall by wall. */
static void add_boxes(struct todo *t)
{
    const struct model *m = t->r->model;
    struct map found = {0};
    box_group_list list = {0};
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        if (b->existing || !facts_is_built(b->room->unit))
            continue;
        t->found.all[SET]++;
        if (!left_in_box(t->r, b, LOG_SET))
            continue;
        struct box_group *g = group_of(t, &found, &list, b);
        buf_printf(&g->names, "%s%s", g->boxes.n ? ", " : "", b->name);
        *vec_push(t->r->arena, &g->boxes) = b;
        t->found.left[SET]++;
    }
    for (uint32_t i = 0; i < list.n; i++) {
        struct box_group *g = list.at[i];
        const char *room = address_of_room(t->r->arena, g->room, false);
        struct task task = {
            .thing = arena_printf(t->r->arena, "%s %s", room, g->where),
            .count = g->boxes.n,
            .detail = arena_printf(t->r->arena, "%s: %s",
                                   arena_counted(t->r->arena, g->boxes.n, "box", "boxes"),
                                   buf_text(&g->names)),
            .efforts = {pieces(WORK_SET, g->boxes.n)},
            .ladder = g->ladder,
        };
        vec_share(&task.boxes, &g->boxes);
        add_task(t, g->room, task);
        buf_free(&g->names);
    }
}

static void add_panels(struct todo *t)
{
    for (uint32_t i = 0; i < t->r->model->panels.n; i++) {
        const struct panel *p = t->r->model->panels.at[i];
        if (p->existing || !facts_is_built(p->unit))
            continue;
        t->found.all[SET]++;
        if (!left_in_panel(t->r, p, LOG_SET))
            continue;
        t->found.left[SET]++;
        add_task(t, p->room,
                 (struct task){.thing = address_of_panel(t->r->arena, p, false),
                               .count = 1,
                               .detail = "the panel",
                               .efforts = {pieces(WORK_HANG, 1)},
                               .panel = p});
    }
}

static void add_sets(struct todo *t)
{
    add_boxes(t);
    add_panels(t);
    write_stage(t, SET);
}

/* --- holes -------------------------------------------------------------------------------- */

/* Holes of one bit, or notches (bit 0). */
struct bit_count {
    length bit;
    uint32_t count;
};

/* What is bored in one go: the studs and plates of a wall, or joists along one line. */
struct hole_line {
    const struct room *room;
    const char *thing, *called; /* as people read it; NULL: as it is */
    VEC(struct bit_count) bits; /* smallest first */
    VEC(const struct bore *) bores;
    bool ladder;
};

typedef VEC(struct hole_line *) hole_line_list;

/* Joists and top plates, and what else is above one's reach. */
static bool is_high(const struct todo *t, const struct passed *p)
{
    const struct level *level = p->room ? p->room->level : NULL;
    return p->member == MEMBER_JOIST || (p->member == MEMBER_PLATE && p->top) ||
           (level && t->reach > 0 && p->at.z - level->floor > t->reach);
}

static struct hole_line *line_of(struct todo *t, struct map *found, hole_line_list *list,
                                 const struct passed *p)
{
    struct arena *a = t->r->arena;
    const char *thing = words_members_line(a, p);
    if (p->member == MEMBER_JOIST)
        thing = arena_printf(a, "%s, %s", words_members_line(a, p), words_member_place(a, p));
    bool ladder = is_high(t, p);
    const char *key = t->apart && ladder ? arena_printf(a, "%s\n", thing) : thing;
    void **at = map_at(a, found, 0, (uintptr_t)names_of(t->r->model->names, key));
    if (!*at) {
        struct hole_line *line = arena_new(a, struct hole_line);
        *line = (struct hole_line){
            .room = p->member == MEMBER_JOIST ? NULL : p->room, .thing = thing, .ladder = ladder};
        if (p->member == MEMBER_JOIST)
            line->called =
                arena_printf(a, "%s, %s", words_members_line(a, p), words_member_told(a, p));
        *vec_push(a, list) = line;
        *at = line;
    }
    return *at;
}

static void count_hole(struct todo *t, struct hole_line *line, length bit)
{
    uint32_t i = 0;
    while (i < line->bits.n && line->bits.at[i].bit < bit)
        i++;
    if (i == line->bits.n || line->bits.at[i].bit != bit) {
        vec_push(t->r->arena, &line->bits);
        memmove(&line->bits.at[i + 1], &line->bits.at[i],
                (line->bits.n - 1 - i) * sizeof *line->bits.at);
        line->bits.at[i] = (struct bit_count){.bit = bit};
    }
    line->bits.at[i].count++;
}

/* "12 holes of 3/4\", 2 of 1\", 1 notch". */
static const char *hole_words(const struct todo *t, const struct hole_line *line)
{
    struct buf b = {0};
    const char *of = NULL;
    for (uint32_t i = 0; i < line->bits.n; i++) {
        const struct bit_count *n = &line->bits.at[i];
        if (!n->bit)
            continue;
        buf_printf(&b, of ? ", %s of %s" : "%s of %s",
                   of ? arena_printf(t->r->arena, "%u", n->count)
                      : arena_counted(t->r->arena, n->count, "hole", "holes"),
                   length_words(t->r->arena, n->bit));
        of = "";
    }
    if (line->bits.n && !line->bits.at[0].bit)
        buf_printf(&b, "%s%s", of ? ", " : "",
                   arena_counted(t->r->arena, line->bits.at[0].count, "notch", "notches"));
    const char *words = arena_copy(t->r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

/* A hole counts once, whatever the number of its cables, and one that hangs full of a cable that
 * serves is there. */
static void add_bores(struct todo *t)
{
    const struct bores *bores = t->r->bores;
    struct map found = {0};
    hole_line_list list = {0};
    for (uint32_t i = 0; i < bores->list.n; i++) {
        const struct bore *bore = &bores->list.at[i];
        t->found.all[BORE]++;
        if (!t->r->whole && log_is_bored(t->r->log, bores, bore))
            continue;
        t->found.left[BORE]++;
        struct passed p = bore_member(bores, bore);
        struct hole_line *line = line_of(t, &found, &list, &p);
        count_hole(t, line, bore->bit);
        *vec_push(t->r->arena, &line->bores) = bore;
    }
    for (uint32_t i = 0; i < list.n; i++) {
        const struct hole_line *line = list.at[i];
        uint32_t notches = line->bits.at[0].bit ? 0 : line->bits.at[0].count;
        struct task task = {
            .thing = line->thing,
            .called = line->called,
            .count = line->bores.n,
            .detail = hole_words(t, line),
            .efforts = {pieces(WORK_BORE, line->bores.n - notches), pieces(WORK_NOTCH, notches)},
            .ladder = line->ladder,
        };
        vec_share(&task.bores, &line->bores);
        add_task(t, line->room, task);
    }
    write_stage(t, BORE);
}

/* --- cables ------------------------------------------------------------------------------- */

/* ", 18\" deep under the drive": how deep the trench of a run is; else nothing. */
static const char *depth_words(const struct todo *t, const struct run *run)
{
    if (!run->underground || run->burial <= 0)
        return "";
    return arena_printf(t->r->arena, ", %s deep%s%s", length_inch_words(t->r->arena, run->burial),
                        run->under ? " under the " : "", run->under ? run->under : "");
}

/* "14/2, 24'-6\"", how deep a cable in the ground lies, and why once more. */
static const char *cut_words(const struct todo *t, const struct run_view *v)
{
    const char *words = arena_printf(t->r->arena, "%s%s%s%s", v->cable ? v->cable : "",
                                     v->cable && v->cut ? ", " : "", v->cut ? v->cut : "",
                                     v->run->raceway ? "" : depth_words(t, v->run));
    const struct run_log *log = t->r->log ? &t->r->log->of_run[v->run->id] : NULL;
    if (!log || !log->again)
        return words;
    return arena_printf(t->r->arena, "%s; again: %s %s hangs there", words,
                        length_words(t->r->arena, log->in_wall),
                        log->pulled->cable ? log->pulled->cable : "of cable");
}

/* "emt-1/2, 11'-1 1/2\", 3 straps". */
static const char *laid_words(const struct todo *t, const struct run_view *v)
{
    struct arena *a = t->r->arena;
    const struct run *run = v->run;
    length way = route_raceway_length(run, v->route);
    const char *words =
        arena_printf(a, "%s, %s%s", run->raceway->name, length_words(a, way), depth_words(t, run));
    return v->route->supports ? arena_printf(a, "%s, %s", words, words_supports(a, run, v->route))
                              : words;
}

/* Along the joists or across them. */
static bool goes_high(const struct route *route)
{
    for (uint32_t i = 0; i < route->segment_count; i++)
        if (route->segments[i].kind == ALONG_JOISTS || route->segments[i].kind == ACROSS_JOISTS)
            return true;
    return false;
}

/* Nail plates go over a cable when it is stapled, and where no staple holds it when it is pulled.
 */
static uint32_t plates_of_pull(const struct run_view *v)
{
    return v->run->raceway || v->route->supports ? 0 : v->route->plates;
}

/* Raceways; one that conductors are in already is laid, whatever the log says of its straps. */
static void add_raceways(struct todo *t)
{
    for (uint32_t i = 0; i < t->r->model->runs.n; i++) {
        const struct run_view *v = view_of_run(t->r, t->r->model->runs.at[i]);
        if (!label_is_new(v->run) || !v->run->raceway)
            continue;
        t->found.all[LAY]++;
        if (!left_of_run(t->r, v->run, LOG_STAPLED) || !left_of_run(t->r, v->run, LOG_PULLED))
            continue;
        t->found.left[LAY]++;
        add_task(
            t, v->room,
            (struct task){.thing = v->address,
                          .label = v->label,
                          .detail = laid_words(t, v),
                          .count = 1,
                          .efforts = {feet_of(WORK_LAY, route_raceway_length(v->run, v->route)),
                                      pieces(WORK_STRAP, v->route->supports),
                                      pieces(WORK_PLATE, v->route->plates)},
                          .run = v->run,
                          .ladder = goes_high(v->route)});
    }
    write_stage(t, LAY);
}

/* By run the number of the strand that it is pulled in; 0: it is in none, or its conductors come
 * off several coils. */
static uint32_t *strands_of_runs(const struct todo *t)
{
    const struct cuts *cuts = t->r->cuts;
    uint32_t *strands = arena_array(t->r->arena, uint32_t, t->r->model->runs.n + 1);
    for (uint32_t i = 0; i < cuts->strand_count; i++)
        for (uint32_t k = 0; k < cuts->strands[i].count; k++)
            if (!cuts->strands[i].cuts[k].run->raceway)
                strands[cuts->strands[i].cuts[k].run->id] = i + 1;
    return strands;
}

static void add_pulls(struct todo *t)
{
    const uint32_t *strands = strands_of_runs(t);
    for (uint32_t i = 0; i < t->r->model->runs.n; i++) {
        const struct run_view *v = view_of_run(t->r, t->r->model->runs.at[i]);
        if (!v->label)
            continue;
        t->found.all[PULL]++;
        if (!left_of_run(t->r, v->run, LOG_PULLED))
            continue;
        t->found.left[PULL]++;
        add_task(t, v->room,
                 (struct task){.thing = v->pulled,
                               .label = v->label,
                               .detail = cut_words(t, v),
                               .count = 1,
                               .efforts = {feet_of(WORK_PULL, v->route->cut), pieces(WORK_LABEL, 1),
                                           pieces(WORK_PLATE, plates_of_pull(v))},
                               .strand = strands[v->run->id],
                               .run = v->run,
                               .ladder = goes_high(v->route)});
    }
    write_stage(t, PULL);
}

static void add_staples(struct todo *t)
{
    for (uint32_t i = 0; i < t->r->model->runs.n; i++) {
        const struct run_view *v = view_of_run(t->r, t->r->model->runs.at[i]);
        uint32_t staples = v->route->supports;
        if (!v->label || !staples || v->run->raceway)
            continue;
        t->found.all[STAPLE]++;
        if (!left_of_run(t->r, v->run, LOG_STAPLED))
            continue;
        t->found.left[STAPLE]++;
        add_task(t, v->room,
                 (struct task){.thing = v->address,
                               .label = v->label,
                               .detail = words_supports(t->r->arena, v->run, v->route),
                               .count = staples,
                               .efforts = {pieces(WORK_STAPLE, staples),
                                           pieces(WORK_PLATE, v->route->plates)},
                               .run = v->run,
                               .ladder = goes_high(v->route)});
    }
    write_stage(t, STAPLE);
}

/* --- make-up ------------------------------------------------------------------------------ */

/* New cables in a box or panel are what makes work in it, save those that pass it uncut. */
static uint32_t new_cables(const struct box *b, struct run *const *runs, uint32_t count)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < count; i++)
        n += label_is_new(runs[i]) && !facts_goes_on(runs[i], runs[i]->to.box == b);
    return n;
}

static uint32_t cables_in_box(const struct box *b)
{
    return new_cables(b, b->runs.at, b->runs.n) +
           new_cables(b, b->low_voltage.at, b->low_voltage.n);
}

static uint32_t *cables_in_panels(const struct todo *t)
{
    const struct model *m = t->r->model;
    uint32_t *cables = arena_array(t->r->arena, uint32_t, m->panels.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        const struct panel *ends[2] = {run->from.panel, run->to.panel};
        for (int k = 0; k < 2; k++)
            if (ends[k])
                cables[ends[k]->id] += label_is_new(run);
    }
    return cables;
}

/* A box or panel in which `count` of something is to be done, if it is not done yet. */
static void add_place(struct todo *t, enum stage stage, uint32_t count, bool left,
                      const struct room *room, struct task task)
{
    if (!count)
        return;
    t->found.all[stage]++;
    if (!left)
        return;
    t->found.left[stage]++;
    task.count = count;
    add_task(t, room, task);
}

/* A task at one box. */
static struct task of_box(const struct todo *t, const struct box *b, struct task task)
{
    task.thing = view_of_box(t->r, b)->address;
    task.ladder = wants_ladder(t, view_place_of_box(t->r, b));
    *vec_push(t->r->arena, &task.boxes) = b;
    return task;
}

static void add_made_up(struct todo *t)
{
    const struct model *m = t->r->model;
    uint32_t *panel_cables = cables_in_panels(t);
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        uint32_t cables = cables_in_box(b);
        add_place(
            t, MAKE_UP, cables, left_in_box(t->r, b, LOG_MADE_UP), b->room,
            of_box(t, b,
                   (struct task){.detail = arena_counted(t->r->arena, cables, "cable", "cables"),
                                 .efforts = {pieces(WORK_MAKE_UP, 1)}}));
    }
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        add_place(
            t, MAKE_UP, panel_cables[i], left_in_panel(t->r, p, LOG_MADE_UP), p->room,
            (struct task){.thing = address_of_panel(t->r->arena, p, false),
                          .detail = arena_counted(t->r->arena, panel_cables[i], "cable", "cables"),
                          .efforts = {pieces(WORK_LAND, panel_cables[i])}});
    }
    write_stage(t, MAKE_UP);
}

/* --- inspection --------------------------------------------------------------------------- */

static void add_inspections(struct todo *t)
{
    const struct model *m = t->r->model;
    uint32_t *open = arena_array(t->r->arena, uint32_t, m->rooms.n + 1),
             *all = arena_array(t->r->arena, uint32_t, m->rooms.n + 1);
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        if (!cables_in_box(b))
            continue;
        all[b->room->id]++;
        open[b->room->id] += left_in_box(t->r, b, LOG_INSPECTED);
    }
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        t->found.all[INSPECT] += all[i] > 0;
        if (!open[i])
            continue;
        t->found.left[INSPECT]++;
        add_task(t, m->rooms.at[i],
                 (struct task){.thing = address_of_room(t->r->arena, m->rooms.at[i], false),
                               .count = open[i],
                               .detail = arena_counted(t->r->arena, open[i], "box", "boxes")});
    }
    write_stage(t, INSPECT);
}

/* --- cover -------------------------------------------------------------------------------- */

/* What the site log says is closed: (room, wall, or the room itself for its ceiling). All of a room
 * is each of its walls and its ceiling. */
static struct map closed_places(const struct todo *t)
{
    struct map closed = {0};
    const struct site_log *log = t->r->log;
    for (uint32_t i = 0; log && i < log->events.n; i++) {
        const struct log_event *e = log->events.at[i];
        const struct room *room = e->about.closed;
        if (e->state != LOG_CLOSED || !room || e->undoes || e->taken_back)
            continue;
        if (!e->about.wall)
            map_file(t->r->arena, &closed, room, room, (void *)e);
        for (uint32_t k = 0; !e->about.ceiling && k < room->wall_count; k++)
            if (!e->about.wall || e->about.wall == &room->walls[k])
                map_file(t->r->arena, &closed, room, &room->walls[k], (void *)e);
    }
    return closed;
}

/* Whether a finish goes over the rough work in a room. */
static bool is_covered(const struct room *room)
{
    bool open = facts_stays_open(room);
    for (uint32_t i = 0; i < room->kind_count; i++) /* outdoors: the wall is closed from inside */
        open |= room->kinds[i]->wet && !room->kinds[i]->counts_area;
    return !open;
}

/* The walls, and the ceiling, in which new cable comes to boxes that the finish leaves accessible.
 */
struct covering {
    uint32_t all, left;
    struct buf words; /* of those that are left */
};

static void add_surface(struct covering *c, const char *name, bool is_closed)
{
    c->all++;
    if (is_closed)
        return;
    buf_printf(&c->words, "%s%s", c->left++ ? ", " : "", name);
}

static struct covering covering_of(const struct todo *t, const struct map *closed,
                                   const struct room *room)
{
    struct covering c = {0};
    bool *behind = arena_array(t->r->arena, bool, room->wall_count + 1), over = false;
    for (uint32_t i = 0; i < room->boxes.n; i++) {
        const struct box *b = room->boxes.at[i];
        const struct wall *wall = facts_wall_of_box(b);
        if (!cables_in_box(b) || facts_stays_closed(b))
            continue;
        over |= b->place.where == OVERHEAD;
        if (wall && wall >= room->walls && wall < room->walls + room->wall_count)
            behind[wall - room->walls] = true;
    }
    for (uint32_t i = 0; i < room->wall_count; i++)
        if (behind[i])
            add_surface(&c, arena_printf(t->r->arena, "%s wall", room->walls[i].name),
                        map_find(closed, room, &room->walls[i]));
    if (over)
        add_surface(&c, "ceiling", map_find(closed, room, room));
    return c;
}

static void add_covers(struct todo *t)
{
    const struct model *m = t->r->model;
    struct map closed = closed_places(t);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        if (!facts_is_built(m->rooms.at[i]->unit) || !is_covered(m->rooms.at[i]))
            continue;
        struct covering c = covering_of(t, &closed, m->rooms.at[i]);
        t->found.all[COVER] += c.all > 0;
        t->found.left[COVER] += c.left > 0;
        if (c.left)
            add_task(
                t, m->rooms.at[i],
                (struct task){.thing = address_of_room(t->r->arena, m->rooms.at[i], false),
                              .count = c.left,
                              .detail = arena_copy(t->r->arena, buf_text(&c.words), c.words.n)});
        buf_free(&c.words);
    }
    write_stage(t, COVER);
}

/* --- trim, test ----------------------------------------------------------------------------- */

/* New devices of a box; a box without devices gets a blank cover. */
static uint32_t to_trim(const struct todo *t, const struct box *b)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < b->device_count; i++)
        n += wiring_buys_device(t->r->wiring, b->devices[i]);
    return b->device_count ? n : facts_gets_blank(b);
}

/* As lists have them, or `told`, as they are called on site. */
static const char *trim_words(const struct todo *t, const struct box *b, bool told)
{
    struct buf names = {0};
    for (uint32_t i = 0; i < b->device_count; i++)
        if (wiring_buys_device(t->r->wiring, b->devices[i]))
            buf_printf(&names, "%s%s", names.n ? ", " : "",
                       told ? device_trade_words(t->r, b->devices[i])
                            : device_item(t->r, b->devices[i]));
    const char *words = names.n            ? arena_copy(t->r->arena, buf_text(&names), names.n)
                        : facts_is_body(b) ? "body cover"
                                           : "blank cover";
    buf_free(&names);
    return words;
}

/* Its breakers, and what closes the spaces of those that went. */
static void add_trimmed_panel(struct todo *t, const struct panel *p, uint32_t breakers)
{
    uint32_t fillers = removals_open_spaces(t->r, p).n;
    const char *plates = fillers
                             ? arena_counted(t->r->arena, fillers, "filler plate", "filler plates")
                             : "",
               *detail =
                   breakers ? arena_counted(t->r->arena, breakers, "breaker", "breakers") : "";
    add_place(
        t, TRIM, breakers + fillers, left_in_panel(t->r, p, LOG_TRIMMED), p->room,
        (struct task){.thing = address_of_panel(t->r->arena, p, false),
                      .detail = arena_printf(t->r->arena, "%s%s%s", detail,
                                             breakers && fillers ? ", " : "", plates),
                      .efforts = {pieces(WORK_BREAKER, breakers), pieces(WORK_FILLER, fillers)}});
}

static void add_trims(struct todo *t)
{
    const struct model *m = t->r->model;
    uint32_t *breakers = arena_array(t->r->arena, uint32_t, m->panels.n + 1);
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        if (facts_is_built(b->room->unit))
            add_place(
                t, TRIM, to_trim(t, b), left_in_box(t->r, b, LOG_TRIMMED), b->room,
                of_box(t, b,
                       (struct task){.detail = trim_words(t, b, false),
                                     .told = trim_words(t, b, true),
                                     .efforts = {pieces(b->device_count ? WORK_TRIM : WORK_BLANK,
                                                        to_trim(t, b))}}));
    }
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        if (c->panel && facts_buys_breaker(c) && facts_is_built(c->unit) &&
            words_bought_breaker(t->r, c))
            breakers[c->panel->id] += words_breaker_count(c);
    }
    for (uint32_t i = 0; i < m->panels.n; i++)
        add_trimmed_panel(t, m->panels.at[i], breakers[i]);
    write_stage(t, TRIM);
}

/* A circuit is tested when every box that its new cables reach is; filed under the room that
 * the plan names first of those where one is not. */
static void add_tests(struct todo *t)
{
    const struct model *m = t->r->model;
    struct map seen = {0};
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        const struct room *room = NULL;
        uint32_t boxes = 0, untested = 0;
        for (uint32_t k = 0; k < c->runs.n; k++) {
            const struct run *run = c->runs.at[k];
            const struct box *b = run->to.box;
            if (!b || !label_is_new(run) || facts_goes_on(run, true) || map_find(&seen, c, b))
                continue;
            map_put(t->r->arena, &seen, (uintptr_t)c, (uintptr_t)b, (void *)b);
            boxes++;
            if (!left_in_box(t->r, b, LOG_TESTED))
                continue;
            room = room && room->id < b->room->id ? room : b->room;
            untested++;
        }
        t->found.all[TEST] += boxes > 0;
        if (!untested)
            continue;
        t->found.left[TEST]++;
        add_task(
            t, room,
            (struct task){.thing = arena_printf(t->r->arena, "circuit %s", words_circuit(t->r, c)),
                          .count = untested,
                          .detail = arena_counted(t->r->arena, untested, "box", "boxes"),
                          .efforts = {pieces(WORK_TEST, untested)}});
    }
    write_stage(t, TEST);
}

/* --- what goes ---------------------------------------------------------------------------- */

/* What goes, before anything else. */
static void add_removals(struct todo *t)
{
    const removal_list list = removals_of(t->r);
    for (int dead = 1; dead >= 0; dead--) {
        enum stage stage = dead ? MAKE_DEAD : TAKE_OUT;
        for (uint32_t i = 0; i < list.n; i++) {
            const struct removal *x = &list.at[i];
            if (x->dead == dead)
                add_place(t, stage, 1, t->r->whole || !x->done, x->room,
                          (struct task){.thing = x->thing,
                                        .detail = x->detail,
                                        .efforts = {pieces(dead ? WORK_DEAD : WORK_REMOVE, 1)}});
        }
        write_stage(t, stage);
    }
}

/* "studio.R1", "studio north wall" name the room themselves. */
static bool names_room(const char *thing, const char *room)
{
    size_t n = strlen(room);
    for (const char *at = thing; (at = strstr(at, room)); at += n)
        if ((at == thing || at[-1] == ' ') && (!at[n] || at[n] == ' ' || at[n] == '.'))
            return true;
    return false;
}

const char *tasks_called(const struct results *r, const struct task *task)
{
    const char *room = tasks_room(r, task->room);
    bool named = !room || task->label || task->stage == TEST || names_room(task->thing, room);
    return named ? task->called ? task->called : task->thing
                 : arena_printf(r->arena, "%s, %s", task->thing, room);
}

struct tasks tasks_find(const struct results *r, bool apart)
{
    struct todo t = {.r = r,
                     .apart = apart,
                     .reach = code_length(&r->model->code, SET_WORK_FROM_LADDER_ABOVE, 0),
                     .of_room = arena_array(r->arena, task_list, r->model->rooms.n + 1)};
    add_removals(&t);
    add_sets(&t);
    add_bores(&t);
    add_raceways(&t);
    add_pulls(&t);
    add_staples(&t);
    add_made_up(&t);
    add_inspections(&t);
    add_covers(&t);
    add_trims(&t);
    add_tests(&t);
    return t.found;
}

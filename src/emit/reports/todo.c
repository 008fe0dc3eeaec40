/* What is left to do by the site log, stage by stage and room by room, and what is left on each
 * coil. Without a log all is left. */
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "cuts/labels.h"
#include "emit/reports/reports.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/orders.h"
#include "model/site.h"

#include <string.h>

enum stage { BORE, PULL, STAPLE, MAKE_UP, TEST, INSPECT, STAGES };

static const char *const stage_names[] = {"bore", "pull", "staple", "make up", "test", "inspect"};

enum { STAGE, ROOM, THING, LABEL, DETAIL };

static const struct column columns[] = {
    [STAGE] = {"stage", "Stage", 0, 0},    [ROOM] = {"room", "Room", 0, 0},
    [THING] = {"thing", "What", 0, 0},     [LABEL] = {"label", "Label", 0, 0},
    [DETAIL] = {"detail", "Detail", 0, 0},
};

enum { COIL, CABLE, STOCK, PIECES, PULLED, LEFT };

static const struct column coil_columns[] = {
    [COIL] = {"coil", "Coil", 0, 0},
    [CABLE] = {"cable", "Cable", 0, 0},
    [STOCK] = {"stock_ft", "Length", 2, COLUMN_RIGHT},
    [PIECES] = {"pieces", "Pieces pulled", 0, COLUMN_RIGHT},
    [PULLED] = {"pulled_ft", "Pulled", 2, COLUMN_RIGHT},
    [LEFT] = {"left_ft", "Left", 2, COLUMN_RIGHT},
};

/* One thing that is left to do. */
struct task {
    const char *thing, *label, *detail;
};

typedef VEC(struct task) task_list;

struct todo {
    const struct results *r;
    struct report *report;
    task_list *of_room; /* by room id, one more for what is in no room */
    uint32_t all[STAGES], left[STAGES];
};

static void add_task(struct todo *t, enum stage stage, const struct room *room, struct task task)
{
    t->left[stage]++;
    *vec_push(t->r->arena, &t->of_room[room ? room->id : t->r->model->rooms.n]) = task;
}

/* Writes the tasks of a stage, in the order of the rooms, and empties the lists. */
static void write_stage(struct todo *t, enum stage stage)
{
    const struct model *m = t->r->model;
    for (uint32_t i = 0; i <= m->rooms.n; i++) {
        for (uint32_t k = 0; k < t->of_room[i].n; k++) {
            const struct task *task = &t->of_room[i].at[k];
            struct cell *row = table_row(&t->report->rows);
            row[STAGE] = cell_text(stage_names[stage]);
            row[ROOM] = cell_text(
                i < m->rooms.n ? address_of_room(t->r->arena, m->rooms.at[i], false) : NULL);
            row[THING] = cell_text(task->thing);
            row[LABEL] = cell_text(task->label);
            row[DETAIL] = cell_text(task->detail);
        }
        t->of_room[i].n = 0;
    }
}

static const char *counted(const struct todo *t, uint32_t n, const char *one, const char *many)
{
    return arena_printf(t->r->arena, "%u %s", n, n == 1 ? one : many);
}

/* "14/2, 24'-6\"". */
static const char *cut_words(const struct todo *t, const struct run_view *v)
{
    return arena_printf(t->r->arena, "%s%s%s", v->cable ? v->cable : "",
                        v->cable && v->cut ? ", " : "", v->cut ? v->cut : "");
}

static const char *run_detail(const struct todo *t, enum stage stage, const struct run_view *v)
{
    if (stage == BORE)
        return words_bored(t->r->arena, v->route);
    return stage == STAPLE ? counted(t, v->route->supports, "staple", "staples") : cut_words(t, v);
}

static bool has_stage(enum stage stage, const struct route *route)
{
    return stage == PULL || (stage == BORE ? route->bores + route->notches : route->supports) > 0;
}

static void add_runs(struct todo *t, enum stage stage, enum log_state state)
{
    for (uint32_t i = 0; i < t->r->model->runs.n; i++) {
        const struct run_view *v = view_of_run(t->r, t->r->model->runs.at[i]);
        if (!v->label || !has_stage(stage, v->route))
            continue;
        t->all[stage]++;
        if (t->r->log && log_has(t->r->log->of_run[i].states, state))
            continue;
        add_task(t, stage, v->room, (struct task){v->address, v->label, run_detail(t, stage, v)});
    }
    write_stage(t, stage);
}

/* New cables in a box or panel are what makes work in it. */
static uint32_t new_cables(struct run *const *runs, uint32_t count)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < count; i++)
        n += label_on_run(runs[i]);
    return n;
}

static uint32_t cables_in_box(const struct box *b)
{
    return new_cables(b->runs.at, b->runs.n) + new_cables(b->low_voltage.at, b->low_voltage.n);
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
                cables[ends[k]->id] += label_on_run(run);
    }
    return cables;
}

static void add_made_up(struct todo *t)
{
    const struct model *m = t->r->model;
    uint32_t *panel_cables = cables_in_panels(t);
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        uint32_t cables = cables_in_box(b);
        t->all[MAKE_UP] += cables > 0;
        if (cables && !(t->r->log && log_has(t->r->log->of_box[i], LOG_MADE_UP)))
            add_task(t, MAKE_UP, b->room,
                     (struct task){.thing = view_of_box(t->r, b)->address,
                                   .detail = counted(t, cables, "cable", "cables")});
    }
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        t->all[MAKE_UP] += panel_cables[i] > 0;
        if (panel_cables[i] && !(t->r->log && log_has(t->r->log->of_panel[i], LOG_MADE_UP)))
            add_task(t, MAKE_UP, p->room,
                     (struct task){.thing = address_of_panel(t->r->arena, p, false),
                                   .detail = counted(t, panel_cables[i], "cable", "cables")});
    }
    write_stage(t, MAKE_UP);
}

/* A circuit is tested when every box that its new cables reach is; filed under the room of the
 * first that is not. */
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
            if (!b || !label_on_run(run) || map_find(&seen, c, b))
                continue;
            map_put(t->r->arena, &seen, (uintptr_t)c, (uintptr_t)b, (void *)b);
            boxes++;
            if (t->r->log && log_has(t->r->log->of_box[b->id], LOG_TESTED))
                continue;
            room = room ? room : b->room;
            untested++;
        }
        t->all[TEST] += boxes > 0;
        if (untested)
            add_task(t, TEST, room,
                     (struct task){
                         .thing = arena_printf(t->r->arena, "circuit %s", words_circuit(t->r, c)),
                         .detail = counted(t, untested, "box", "boxes")});
    }
    write_stage(t, TEST);
}

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
        open[b->room->id] += !(t->r->log && log_has(t->r->log->of_box[i], LOG_INSPECTED));
    }
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        t->all[INSPECT] += all[i] > 0;
        if (open[i])
            add_task(t, INSPECT, m->rooms.at[i],
                     (struct task){.thing = address_of_room(t->r->arena, m->rooms.at[i], false),
                                   .detail = counted(t, open[i], "box", "boxes")});
    }
    write_stage(t, INSPECT);
}

/* --- coils -------------------------------------------------------------------------------- */

struct coil_use {
    const char *name, *cable;
    length stock, pulled; /* stock 0: not known */
    uint32_t pieces;
};

typedef VEC(struct coil_use *) use_list;

static struct coil_use *use_of(const struct results *r, struct map *found, use_list *list,
                               const char *name, const char *cable)
{
    const char *key = names_of(
        r->model->names, arena_printf(r->arena, "%s %s", name ? name : "", cable ? cable : ""));
    void **at = map_at(r->arena, found, 0, (uintptr_t)key);
    struct coil_use *use = *at;
    if (!use) {
        *at = use = arena_new(r->arena, struct coil_use);
        *use = (struct coil_use){.name = name, .cable = cable};
        *vec_push(r->arena, list) = use;
    }
    return use;
}

static void count_pulls(const struct results *r, struct map *found, use_list *list)
{
    for (uint32_t i = 0; r->log && i < r->log->events.n; i++) {
        const struct log_event *e = r->log->events.at[i];
        if (e->undoes || e->taken_back || !e->length)
            continue;
        struct coil_use *use = use_of(r, found, list, e->coil, e->cable);
        use->pulled += e->length;
        use->pieces++;
    }
}

/* Coils of the cut list first, then those that the log alone names; every pull counts, also of a
 * cable that was pulled anew. */
static void add_coils(const struct results *r, struct report *report)
{
    struct map found = {0};
    use_list list = {0};
    for (uint32_t i = 0; i < r->cuts->cable_count; i++)
        for (uint32_t k = 0; k < r->cuts->cables[i].coil_count; k++) {
            const struct cut_coil *coil = &r->cuts->cables[i].coils[k];
            use_of(r, &found, &list, coil->name, coil->cable->name)->stock = coil->stock;
        }
    for (uint32_t i = 0; i < r->model->coils.n; i++) {
        const struct coil *coil = r->model->coils.at[i];
        if (coil->name && coil->cable)
            use_of(r, &found, &list, coil->name, coil->cable->name)->stock = coil->length;
    }
    count_pulls(r, &found, &list);
    for (uint32_t i = 0; i < list.n; i++) {
        const struct coil_use *use = list.at[i];
        struct cell *row = table_row(&report->totals);
        row[COIL] = cell_shown(cell_text(use->name), use->name ? NULL : "not said");
        row[CABLE] = cell_text(use->cable);
        row[PIECES] = cell_integer(use->pieces);
        row[PULLED] = cell_length(use->pulled);
        if (use->stock) {
            row[STOCK] = cell_length(use->stock);
            row[LEFT] = cell_length(use->stock - use->pulled);
        }
    }
}

static void add_summary(const struct todo *t)
{
    struct buf b = {0};
    buf_puts(&b, "Left: ");
    for (int s = 0; s < STAGES; s++)
        buf_printf(&b, "%s%s %u of %u", s ? ", " : "", stage_names[s], t->left[s], t->all[s]);
    buf_putc(&b, '.');
    *vec_push(t->r->arena, &t->report->notes) = arena_copy(t->r->arena, buf_text(&b), b.n);
    buf_free(&b);
}

void report_todo(const struct results *r, struct report *report)
{
    struct todo t = {.r = r,
                     .report = report,
                     .of_room = arena_array(r->arena, task_list, r->model->rooms.n + 1)};
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, coil_columns,
                sizeof coil_columns / sizeof *coil_columns);
    add_runs(&t, BORE, LOG_BORED);
    add_runs(&t, PULL, LOG_PULLED);
    add_runs(&t, STAPLE, LOG_STAPLED);
    add_made_up(&t);
    add_tests(&t);
    add_inspections(&t);
    add_coils(r, report);
    add_summary(&t);
    if (!r->log)
        *vec_push(r->arena, &report->notes) =
            "There is no site log beside the plan yet: `studbay log` makes one.";
}

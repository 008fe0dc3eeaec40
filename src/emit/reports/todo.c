/* What is left to do by the site log, stage by stage and room by room, and what is left on each
 * coil. Without a log all is left. */
#include "emit/reports/days.h"
#include "emit/reports/reports.h"
#include "emit/reports/tasks.h"
#include "emit/reports/todo_coils.h"

#include <string.h>

enum { DONE, STAGE, ROOM, THING, LABEL, COUNT, DETAIL, STRAND };

static const struct column columns[] = {
    [DONE] = {"done", "Done", 0, 0},
    [STAGE] = {"stage", "Stage", 0, 0},
    [ROOM] = {"room", "Room", 0, 0},
    [THING] = {"thing", "What", 0, 0},
    [LABEL] = {"label", "Label", 0, 0},
    [COUNT] = {"count", "Count", 0, COLUMN_DATA},
    [DETAIL] = {"detail", "Detail", 0, 0},
    [STRAND] = {"strand", "Strand", 0, COLUMN_RIGHT | COLUMN_IF_USED},
};

/* The same for people, a list for each stage. */
enum { TICK, TASK_ROOM, TASK, TASK_LABEL, HOW, TASK_STRAND };

static const struct column task_columns[] = {
    [TICK] = {"done", "Done", 0, COLUMN_TOP},
    [TASK_ROOM] = {"room", "Room", 0, COLUMN_IF_USED},
    [TASK] = {"thing", "What", 0, COLUMN_TOP},
    [TASK_LABEL] = {"label", "Label", 0, COLUMN_IF_USED},
    [HOW] = {"detail", "Detail", 0, COLUMN_IF_USED},
    [TASK_STRAND] = {"strand", "Strand", 0, COLUMN_RIGHT | COLUMN_IF_USED},
};

static void add_data(struct report *report, const char *room, const struct task *task)
{
    struct cell *row = table_row(&report->rows);
    row[DONE] = cell_shown(cell_bool(false), "[ ]");
    row[STAGE] = cell_text(tasks_stages[task->stage].name);
    row[ROOM] = cell_text(room);
    row[THING] = cell_text(task->thing);
    row[LABEL] = cell_text(task->label);
    row[COUNT] = cell_integer(task->count);
    row[DETAIL] = cell_text(task->detail);
    if (task->strand)
        row[STRAND] = cell_integer(task->strand);
}

/* Circuits have a column for the room. */
static void add_line(const struct results *r, struct grid *list, const char *room,
                     const struct task *task)
{
    struct cell *row = table_row(list);
    row[TICK] = cell_text("[ ]");
    row[TASK_ROOM] = cell_text(task->stage == TEST ? room : NULL);
    row[TASK] = cell_text(tasks_called(r, task));
    row[TASK_LABEL] = cell_text(task->label);
    row[HOW] = cell_text(task->told ? task->told : task->detail);
    if (task->strand)
        row[TASK_STRAND] = cell_integer(task->strand);
}

/* "Bore: 12 of 67 holes left". */
static const char *head_words(const struct results *r, const struct tasks *t, enum stage stage)
{
    return arena_printf(r->arena, "%s: %u of %u %s left", tasks_stages[stage].head, t->left[stage],
                        t->all[stage],
                        t->all[stage] == 1 ? tasks_stages[stage].one : tasks_stages[stage].many);
}

/* A list for each stage. */
static void write_tasks(const struct results *r, const struct tasks *t, struct report *report)
{
    struct grid *list = NULL;
    for (uint32_t i = 0; i < t->list.n; i++) {
        const struct task *task = &t->list.at[i];
        const char *room = tasks_room(r, task->room);
        if (!i || task[-1].stage != task->stage)
            list = report_part(r, report, head_words(r, t, task->stage), task_columns,
                               sizeof task_columns / sizeof *task_columns);
        add_data(report, room, task);
        add_line(r, list, room, task);
    }
}

/* --- all together ------------------------------------------------------------------------- */

static void add_summary(const struct results *r, const struct tasks *t, struct report *report)
{
    struct buf b = {0};
    buf_puts(&b, "Left: ");
    for (int s = t->all[MAKE_DEAD] || t->all[TAKE_OUT] ? MAKE_DEAD : SET; s < STAGES; s++)
        if (t->all[s] || !(s == LAY || (s == STAPLE && t->all[LAY])))
            buf_printf(&b, "%s%s %u of %u %s", b.n > sizeof "Left: " ? ", " : "",
                       tasks_stages[s].name, t->left[s], t->all[s],
                       t->all[s] == 1 ? tasks_stages[s].one : tasks_stages[s].many);
    buf_putc(&b, '.');
    report->says = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
}

void report_todo(const struct results *r, struct report *report)
{
    if (r->day) {
        days_fill(r, report);
        return;
    }
    const struct tasks t = tasks_find(r, false);
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    write_tasks(r, &t, report);
    todo_add_coils(r, report);
    add_summary(r, &t, report);
    if (t.left[PULL])
        *vec_push(r->arena, &report->notes) =
            "Strand: cables of one number are pulled in one, and cut at the boxes later: report "
            "pulls has them in the order of the work.";
    if (!r->log)
        *vec_push(r->arena, &report->notes) =
            "There is no site log beside the plan yet: `studbay log` makes one.";
}

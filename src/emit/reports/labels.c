/* What is written on the ends of every cable. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "cuts/labels.h"
#include "emit/reports/reports.h"

enum { LABEL, RUN, UNIT, END, LINES, HOME_RUN };

static const struct column columns[] = {
    [LABEL] = {"label", "Label", 0, 0},
    [RUN] = {"run", "Run", 0, COLUMN_DATA},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [END] = {"end", "At", 0, 0},
    [LINES] = {"lines", "Lines", 0, 0},
    [HOME_RUN] = {"home_run", "Home run", 0, 0},
};

/* The tag stands in the lines too, for those who print from this report alone. */
static struct cell lines_cell(const struct results *r, const struct label *label)
{
    VEC(const char *) lines = {0};
    *vec_push(r->arena, &lines) = label->tag;
    if (label->home_run)
        *vec_push(r->arena, &lines) = "HOME RUN";
    for (int i = 0; i < LABEL_LINES; i++)
        *vec_push(r->arena, &lines) = label->lines[i];
    struct cell cell = cell_list(lines.at, lines.n);
    return cell_shown(cell, arena_printf(r->arena, "%s; %s", label->lines[1], label->lines[2]));
}

void report_labels(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    label_list labels = labels_make(r->arena, r->model, r->routes, r->wiring, r->log, r->panels);
    for (uint32_t i = 0; i < labels.n; i++) {
        const struct label *label = &labels.at[i];
        struct cell *row = table_row(&report->rows);
        const struct run_view *v = view_of_run(r, label->run);
        row[LABEL] = cell_text(v->tag);
        row[RUN] = cell_text(v->address);
        row[UNIT] = words_unit_cell(v->unit);
        row[END] = cell_text(address_of_end(r->arena, label->end, false));
        row[LINES] = lines_cell(r, label);
        row[HOME_RUN] = cell_bool(label->home_run);
    }
    uint32_t home_runs = 0;
    for (uint32_t i = 0; i < labels.n; i++)
        home_runs += labels.at[i].home_run;
    report->says = arena_printf(r->arena, "%s for %s, %s among them.",
                                arena_counted(r->arena, labels.n, "label", "labels"),
                                arena_counted(r->arena, labels.n / 2, "cable", "cables"),
                                arena_counted(r->arena, home_runs / 2, "home run", "home runs"));
    *vec_push(r->arena, &report->notes) = "A tag is made from the names of its run alone; no other "
                                          "run changes it. `draw labels` prints them as sheets.";
    *vec_push(r->arena, &report->notes) =
        "What is pulled in one is labelled on both sides of each loop, and a home run at both "
        "ends, "
        "before a loop is cut: report pulls has them stop by stop.";
}

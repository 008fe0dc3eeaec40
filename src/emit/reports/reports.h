/* The reports: each fills a table from the results of the stages. */
#ifndef STUDBAY_EMIT_REPORTS_REPORTS_H
#define STUDBAY_EMIT_REPORTS_REPORTS_H

#include "emit/pages.h"
#include "emit/results.h"
#include "emit/table.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"

struct report_def;

/* A table for people, below its title; NULL: it has none. */
struct report_part {
    const char *title;
    struct grid grid;
};

/* A report that is filled. */
struct report {
    const struct report_def *def;
    struct grid rows;
    struct grid totals; /* no columns: none */
    bool one_total;     /* totals are one JSON object, not a list */
    const char *says;   /* what it comes to, above all else */
    void (*people)(const struct grid *rows, bool markdown,
                   struct page_text *out); /* writes the rows for people in another form than a
                                              table; NULL: as a table */
    VEC(struct report_part) parts; /* what people read in place of the totals and the rows */
    VEC(const char *) notes;       /* what the reader must know beside the rows */
    VEC(const char *)
    exceptions;                  /* amendments, waivers and what is recalled, as reports say them */
    const char *const *recalled; /* tables that it rests on and that are written from memory */
    uint32_t recalled_count;
    const char *const
        *unknown; /* tables that stand as in the edition before, with what is not known */
    uint32_t unknown_count;
};

typedef void report_fn(const struct results *results, struct report *report);

struct report_def {
    const char *name, *doc, *caution;
    report_fn *fill;
    bool wants_cuts; /* allotted to the coils as well as it goes */
};

extern const struct report_def report_table[];
extern const uint32_t report_count;

/* The report of that name, or NULL. */
const struct report_def *report_named(const char *name);

/* Whether a report leaves out what the site log says is done, and can tell of all. */
bool report_tells_of_whole(const struct report_def *def);

/* Begins a table for people; its cells live in the arena of the results. What it gives stays where
 * it is until the next is begun. */
struct grid *report_part(const struct results *r, struct report *report, const char *title,
                         const struct column *columns, uint32_t column_count);

/* Of a text report, in cells, where nothing else is asked for; the most of a line of prose. */
enum { REPORT_WIDTH = 100 };

enum report_format { REPORT_TEXT, REPORT_CSV, REPORT_JSON, REPORT_MARKDOWN };

/* The way of one run in place of the list of runs: part by part, with the members that it goes
 * through. */
void way_explain(const struct results *r, struct report *report, const struct run *run);

/* Fills the report `report->def`, with what is said under it. */
void report_make(const struct results *results, struct report *report);

/* "NEC 2023, IRC 2024": the books that the plan is checked by; NULL: it names none. */
const char *report_edition_words(const struct results *r);

/* Fills the report and appends it to `out` in the format. */
void report_write(const struct report_def *def, const struct results *results,
                  enum report_format format, struct buf *out);

#define REPORT(name, function, wants_cuts, doc, caution) report_fn function;
#include "emit/reports/reports.def"
#undef REPORT

#endif

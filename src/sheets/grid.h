/* Tables on sheets: the grids of the reports in columns as wide as their words, over as many pages
 * as they take, heads repeated. */
#ifndef STUDBAY_SHEETS_GRID_H
#define STUDBAY_SHEETS_GRID_H

#include "emit/table.h"
#include "sheets/sheets.h"

/* What goes from page to page of one kind. */
struct grid_pages {
    struct set *set;
    const char *title, *under;
    void (*begun)(struct page *p); /* puts its tasks into each new strip; or NULL */
    struct page *page;             /* the open one; NULL: none */
    um y;                          /* where its next line stands */
    uint32_t ticks;                /* how many rows of it are to be ticked */
};

/* A line of text, in as many rows as it takes. */
void grid_say(struct grid_pages *g, const char *text, bool bold);

/* A table below what stands there, with its title (or NULL). Empty ones are left out. With `ticks`
 * each row begins with a box to tick. */
void grid_draw(struct grid_pages *g, const char *title, const struct grid *table, bool ticks);

/* As many rows of a table as the open page has room for, in its `inside`; what is left out is said.
 */
void grid_draw_in(struct grid_pages *g, const struct grid *table);

/* Ends the last page. */
void grid_end(struct grid_pages *g);

#endif

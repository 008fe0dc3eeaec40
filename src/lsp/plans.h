/* The plans that are open: which they are, and what they come to. */
#ifndef STUDBAY_LSP_PLANS_H
#define STUDBAY_LSP_PLANS_H

#include "lsp/server.h"

/* A file that a plan was made of. */
struct plan_file {
    struct source *source;
    const char *real, *uri;
    struct line_table lines;
    bool lines_known;
};

struct results;
struct settled;
struct whereabouts;
struct where_teller;

/* What was made of a compilation, and goes with it. */
struct plan_lines {
    VEC(struct plan_file) files;
    struct results *results; /* made when asked for */
    struct settled *settled[2];
    struct whereabouts *names;
    struct where_teller *teller;
};

/* A text was opened: the plans that it belongs to are open now. */
void plan_opened(struct server *s, const struct document *d);

/* A text has changed, or a file of the disk: the plans that are made of it are to be compiled. */
void plan_changed(struct server *s, const struct document *d);
void plan_all_changed(struct server *s);

/* A text was closed: a plan of which nothing is open is forgotten, and its findings with it. */
void plan_closed(struct server *s);

/* The plan that a text belongs to, compiled as it is now; NULL where there is none. The first,
 * where there are several. */
struct plan *plan_of(struct server *s, const struct document *d);

/* Begins to compile a plan: its text is read, and what comes of it judged by plan_compile, unless
 * some text changes before. The last compilation stays as it is. */
struct compilation *plan_begin_reading(struct server *s, struct plan *p);

/* Compiles the plan, or judges what was read of it, and tells what was found. */
void plan_compile(struct server *s, struct plan *p);

/* Compiles one plan that has changed; false where there is none. */
bool plan_compile_first(struct server *s);

/* Gathers the files of a compilation that was just made. */
void plan_note_files(struct server *s, struct plan *p);

/* The file of a plan that is the text, lies there, or is the source; NULL: it is none of them. */
struct plan_file *plan_file_of(struct plan *p, const struct document *d);
struct plan_file *plan_file_lying(struct plan *p, const char *real);
struct plan_file *plan_file_source(struct plan *p, const struct source *source);

/* Where the lines of a file of the plan begin, as it was compiled. */
struct line_table *plan_file_lines(struct server *s, struct plan *p, struct plan_file *f);

/* What reports read; NULL where the make-up is not proven. */
const struct results *plan_results(struct plan *p);

/* What of it could be written into the texts; `lengths`: those of cables too. NULL as above. */
const struct settled *plan_settled(struct plan *p, bool lengths);

/* Its names with their places, and what is told of them. */
struct whereabouts *plan_names(struct plan *p);
struct where_teller *plan_teller(struct plan *p);

void plan_forget(struct plan *p);

#endif

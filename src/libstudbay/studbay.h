/* libstudbay: the compiler for electrical rough-in plans as a library.
 *
 *     struct studbay_plan *plan;
 *     if (studbay_open("loft.bay", NULL, &plan) == STUDBAY_DONE)
 *         studbay_write_report(plan, "cuts", NULL, to_stdout);
 *     studbay_close(plan);
 *
 * A plan is opened, looked at and written from, and closed. Whatever is given out of it (findings,
 * rooms, texts) lives until then and is not changed. Texts are UTF-8 and end with a NUL.
 *
 * Nothing is printed, the program is never ended, and nothing is kept between calls but in what is
 * opened. A plan and a library belong to one thread at a time; several threads may open plans
 * behind one library at once, and each use its own.
 *
 * Structs that the library gives out may grow at their ends in later versions: they come one by
 * one, by pointers. Structs that are given to it begin with their own size, all else being 0 where
 * nothing is wanted: `struct studbay_wants w = {.size = sizeof w, .format = "csv"};`.
 *
 * studbay helps to plan; it does not replace a permit, an inspection, a licensed electrician or the
 * local authority, which decides. */
#ifndef STUDBAY_H
#define STUDBAY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

#define STUDBAY_API __attribute__((visibility("default")))

/* The version of the library that runs, "0.1.0". */
STUDBAY_API const char *studbay_version(void);

/* What came of a call. */
enum studbay_status {
    STUDBAY_DONE,
    STUDBAY_NO_MEMORY,  /* there is not enough: the plan is empty, and what it gave out is gone */
    STUDBAY_UNREADABLE, /* a file or text cannot be read: the findings say which */
    STUDBAY_NO_SUCH,    /* there is nothing of that name or form: studbay_error_words() says what */
    STUDBAY_NOT_PROVEN, /* the make-up was not proven, so nothing of the work is written */
    STUDBAY_NOTHING,    /* the plan has nothing that this shows, or could not be read that far */
    STUDBAY_NOT_LAID_OUT, /* a token is at fault or braces do not match: the text stays as it is */
    STUDBAY_NOT_MADE,     /* the file cannot be made: studbay_error_words() says why */
    STUDBAY_STOPPED,      /* the writer wanted no more */
    STUDBAY_MISUSE        /* what was given makes no sense: a NULL, or a struct without its size */
};

/* It in words: "there is not enough memory". Never NULL. */
STUDBAY_API const char *studbay_status_words(enum studbay_status status);

/* --- memory and writers ------------------------------------------------------------------- */

/* Where memory comes from. `take` gives `size` bytes for any type, or NULL; `give` takes a block
 * back. Both are called by the thread that calls the library, and by no other. */
struct studbay_memory {
    void *(*take)(void *of, size_t size);
    void (*give)(void *of, void *block);
    void *of;
};

/* Where what is written goes: all of it at once, when it is whole. 0: it was taken. */
struct studbay_writer {
    int (*write)(void *to, const char *bytes, size_t size);
    void *to;
};

/* --- the library of types and code books -------------------------------------------------- */

struct studbay_library;
struct studbay_plan;

/* Reads the library of devices, boxes, cables and tables once, for many plans: the one that is
 * built in, or that of a folder. `memory`: NULL is the system's. It is finished then, nobody
 * changes it, and it must outlive the plans behind it. Where something is wrong with it each plan
 * reads it again, and its findings say so. */
STUDBAY_API enum studbay_status studbay_library_open(const char *folder,
                                                     const struct studbay_memory *memory,
                                                     struct studbay_library **library);
STUDBAY_API void studbay_library_close(struct studbay_library *library); /* NULL: nothing */

/* --- opening a plan ----------------------------------------------------------------------- */

/* A file that is no file: the plan, what it includes, its log. */
struct studbay_text {
    const char *name; /* its path from the plan's folder: "loft.bay", "rooms/attic.bay" */
    const char *bytes;
    size_t size;
};

/* How far a plan is read. */
enum studbay_depth {
    STUDBAY_ALL,      /* compiled, and everything can be written */
    STUDBAY_FINDINGS, /* the same, but what only reports need is dropped again: for who checks */
    STUDBAY_FORM      /* one file, its tokens alone: for laying it out */
};

struct studbay_opening {
    size_t size;
    const struct studbay_library *library; /* NULL: the plan reads its own */
    const char *folder;                    /* of that, where it is not the one built in */
    const struct studbay_memory *memory;   /* NULL: the system's */
    const struct studbay_text *texts; /* where there are some, no file of the disk is looked at;
                                         they are copied */
    size_t text_count;
    const char *log;  /* the site log; NULL: the one beside the plan, where there is one */
    const char *only; /* the rule whose findings alone will be shown; NULL: all */
    enum studbay_depth depth;
    bool
        cut_list; /* it will be written how cables are cut from coils: that is worked out at once */
};

/* Reads a plan: of that path, or the text of that name; `opening` NULL: as a file and with nothing
 * special. A plan with errors is a plan: `DONE` says that it was read. `UNREADABLE`: there is a
 * plan all the same, whose findings say why. Else `*plan` is NULL. */
STUDBAY_API enum studbay_status
studbay_open(const char *path, const struct studbay_opening *opening, struct studbay_plan **plan);
STUDBAY_API void studbay_close(struct studbay_plan *plan); /* NULL: nothing */

/* Why the last call failed with NO_SUCH or NOT_MADE: "there is no report 'cut'; did you mean
 * 'cuts'?". "" where it did not; until the next call. */
STUDBAY_API const char *studbay_error_words(const struct studbay_plan *plan);

/* The files of the plan in the order in which they were read, as they were; the first is the one
 * that was named. */
struct studbay_source {
    const char *path, *bytes;
    size_t size;
};
STUDBAY_API const struct studbay_source *const *studbay_sources(struct studbay_plan *plan,
                                                                size_t *count);

/* Whether a path leads to a file that was read for the plan, so that nothing is to be written over
 * it. */
STUDBAY_API bool studbay_has_read(const struct studbay_plan *plan, const char *path);

/* --- findings ----------------------------------------------------------------------------- */

enum studbay_severity { STUDBAY_ERROR, STUDBAY_WARNING, STUDBAY_NOTE };

/* A stretch of a text. Lines and columns count from 1, columns in characters. */
struct studbay_place {
    const char *file; /* NULL: the plan as a whole */
    size_t offset, length;
    unsigned line, column, end_line, end_column;
};

struct studbay_note {
    struct studbay_place place;
    const char *message;
};

/* What is written in place of a stretch. */
struct studbay_edit {
    struct studbay_place place;
    const char *text;
};

/* One way to mend a finding. */
struct studbay_mend {
    const char *words; /* "write 'R1'" */
    bool safe;         /* it does what the author must have meant, and may be done unasked */
    const struct studbay_edit *const *edits;
    size_t edit_count;
};

struct studbay_finding {
    const char *rule; /* "box-fill" */
    enum studbay_severity severity;
    struct studbay_place place;
    const char *message;
    const char *article; /* "NEC 2023 314.16", or NULL */
    const char *mend;    /* what would mend it, in words; or NULL */
    const char *subject; /* "studio.R1": what it is about; or NULL */
    const char *waived;  /* why the plan lets it stand; NULL: it does not */
    const struct studbay_note *const *notes;
    size_t note_count;
    const struct studbay_mend *const *mends;
    size_t mend_count;
};

/* All of them by their places; NULL where there is no memory for them. */
STUDBAY_API const struct studbay_finding *const *studbay_findings(struct studbay_plan *plan,
                                                                  size_t *count);

/* How many of each severity stand, those that are waived apart; where the plan was opened for one
 * rule, `only`, of that. */
struct studbay_counts {
    unsigned errors, warnings, notes, waived;
    unsigned other_errors; /* of other rules than the one */
    bool more_errors;      /* there were too many to keep all */
};
STUDBAY_API const struct studbay_counts *studbay_counts(const struct studbay_plan *plan);

/* What the proof of the make-up came to. */
enum studbay_proof {
    STUDBAY_PROOF_HOLDS,
    STUDBAY_PROOF_NONE,  /* the plan could not be read that far */
    STUDBAY_PROOF_PLAN,  /* it fails, and errors of the plan may be why */
    STUDBAY_PROOF_DEFECT /* it fails, and that is a defect of studbay */
};
STUDBAY_API enum studbay_proof studbay_proof(const struct studbay_plan *plan);

/* --- what is written: how ----------------------------------------------------------------- */

/* A grid of labels, as the options of `studbay draw labels` are written: "0.5in", "3". NULL: as it
 * is in the grid of that name. */
struct studbay_labels {
    size_t size;
    const char *like; /* the name of a grid; NULL: the usual one */
    const char *page, *label, *columns, *rows, *margin_left, *margin_top, *pitch_x, *pitch_y,
        *start;
    bool outline, qr;
};

/* Each function says which of these it looks at. NULL for the struct: nothing special. */
struct studbay_wants {
    size_t size;
    const char *format;  /* "text", "csv", "json", "md", "svg", "pdf", "png", "sarif" */
    unsigned width;      /* of text, in cells; 0: as it is usual */
    unsigned page_lines; /* text for paper: of a page; 0: it is not parted into pages */
    bool color;          /* with the codes of a terminal */
    bool errors;         /* errors alone that are not waived */
    const char *only;    /* findings of this rule alone */
    bool whole;          /* the whole job, also what the log says is done */
    const char *method;  /* of the load calculation: "standard", "optional", ... */
    const char *run;     /* the report of the runs tells the way of this one */
    const char *circuit, *box, *room, *wall, *level; /* a drawing of these alone */
    const char *paper;                               /* "letter", "a4", ...; NULL: by use */
    unsigned dpi;                                    /* of png; 0: as it is usual */
    bool dated; /* a PDF says that it was made at `date`, in seconds since 1970 */
    int64_t date;
    bool beside; /* sheets lie beside each other as files by their names: they are linked */
    const struct studbay_labels *labels; /* the grid of label sheets; NULL: the usual one */
    int64_t day; /* the report todo by days of so many hundredths of a minute; 0: by stages */
};

/* --- what is found, as it is read --------------------------------------------------------- */

/* The findings of plans together: "text" in the GNU form with the lines (`color`, `errors`,
 * `only`), "json", "sarif". */
STUDBAY_API enum studbay_status studbay_write_findings(struct studbay_plan *const *plans,
                                                       size_t count,
                                                       const struct studbay_wants *wants,
                                                       struct studbay_writer writer);

/* Under them: how many there are, what no plan shows and so was not looked at, which tables were
 * not compared with a book (`only`). With a `width` findings are told by rule, with their places.
 */
STUDBAY_API enum studbay_status studbay_write_summary(struct studbay_plan *const *plans,
                                                      size_t count,
                                                      const struct studbay_wants *wants,
                                                      struct studbay_writer writer);

/* How many findings there are, in a line: "2 errors, 1 warning". */
STUDBAY_API enum studbay_status studbay_write_counts(struct studbay_plan *plan,
                                                     struct studbay_writer writer);

/* What of the make-up is not proven. */
STUDBAY_API enum studbay_status studbay_write_unproven(struct studbay_plan *plan,
                                                       struct studbay_writer writer);

/* --- what stands in the plan -------------------------------------------------------------- */

/* Lengths are whole numbers: so many are an inch, and 40 a micrometre. */
#define STUDBAY_INCH ((int64_t)1016000)

/* Names are as findings and reports say them: "studio", "studio.R1", "P.8". */
struct studbay_room {
    const char *name, *title, *level; /* title: as the plan gives it, or NULL */
    int64_t ceiling;                  /* above the floor */
    unsigned walls, boxes;
};

struct studbay_box {
    const char *name, *room;
    const char *type; /* of the box that is nailed up; NULL: none, or not known */
    bool type_chosen; /* the plan leaves it open */
    bool existing;
    const char *const *devices; /* as people call them; NULL ends them */
    double volume, required;    /* in3 */
};

struct studbay_circuit {
    const char *name;   /* "P.8" */
    const char *handle; /* "P8": what is written on the panel; NULL: it has no space */
    const char *title, *panel;
    double breaker; /* A; 0: not given */
    unsigned poles;
    bool existing;
};

/* A cable from one box to another. */
struct studbay_run {
    const char *name, *from, *to; /* from, to: NULL where that is not known */
    const char *circuit;          /* or the name of its low voltage; or NULL */
    const char *cable;            /* NULL: not known */
    bool existing, known;         /* known: it has a way and so a length */
    int64_t path;                 /* from box to box along the framing */
    int64_t cut; /* with its ends, slack and what is spare: as it is cut; 0: it is not */
};

/* A sort of cable, with all that is cut of it. */
struct studbay_cable {
    const char *name;
    unsigned pieces;
    int64_t cut;
};

/* All of them, in the order of the plan; NULL, and 0, where there is no memory. */
STUDBAY_API const struct studbay_room *const *studbay_rooms(struct studbay_plan *plan,
                                                            size_t *count);
STUDBAY_API const struct studbay_box *const *studbay_boxes(struct studbay_plan *plan,
                                                           size_t *count);
STUDBAY_API const struct studbay_circuit *const *studbay_circuits(struct studbay_plan *plan,
                                                                  size_t *count);
STUDBAY_API const struct studbay_run *const *studbay_runs(struct studbay_plan *plan, size_t *count);
STUDBAY_API const struct studbay_cable *const *studbay_cables(struct studbay_plan *plan,
                                                              size_t *count);

/* --- reports and drawings ----------------------------------------------------------------- */

struct studbay_listed {
    const char *name, *doc;
};

/* The i-th report, drawing and graph that there is, NULL behind the last: in every plan the same.
 */
STUDBAY_API const struct studbay_listed *studbay_report(size_t i);
STUDBAY_API const struct studbay_listed *studbay_drawing(size_t i);
STUDBAY_API const struct studbay_listed *studbay_graph(size_t i);

/* A report in a `format` ("text", "csv", "json", "md"; NULL: text); `width`, `page_lines`, `whole`,
 * `method`, `run`. */
STUDBAY_API enum studbay_status studbay_write_report(struct studbay_plan *plan, const char *name,
                                                     const struct studbay_wants *wants,
                                                     struct studbay_writer writer);

/* A graph as text in the language DOT; `circuit`, `box`, `room`, `wall`, `level`. */
STUDBAY_API enum studbay_status studbay_write_graph(struct studbay_plan *plan, const char *name,
                                                    const struct studbay_wants *wants,
                                                    struct studbay_writer writer);

/* The job book, a page of HTML that needs nothing beside it. */
STUDBAY_API enum studbay_status studbay_write_book(struct studbay_plan *plan,
                                                   struct studbay_writer writer);

/* The sheets of a drawing. They live until the plan is closed. */
struct studbay_sheets;

struct studbay_sheet {
    const char *number, *title; /* "W-17" */
    const char *file;           /* the number, without what no file may be called */
};

/* Draws; `circuit`, `box`, `room`, `wall`, `level`, `paper`, `labels`. NOTHING: the plan has
 * nothing that it shows. */
STUDBAY_API enum studbay_status studbay_draw(struct studbay_plan *plan, const char *name,
                                             const struct studbay_wants *wants,
                                             struct studbay_sheets **sheets);

STUDBAY_API const struct studbay_sheet *const *
studbay_sheet_list(const struct studbay_sheets *sheets, size_t *count);

/* One sheet, or all where `which` is STUDBAY_EVERY_SHEET: as "svg", those of several below each
 * other (`beside`), as "pdf" (`dated`, `date`), or one as "png" (`dpi`), for which poppler's
 * program pdftoppm is run. */
#define STUDBAY_EVERY_SHEET ((size_t)-1)
STUDBAY_API enum studbay_status studbay_write_sheet(struct studbay_sheets *sheets, size_t which,
                                                    const struct studbay_wants *wants,
                                                    struct studbay_writer writer);

/* --- the text itself ---------------------------------------------------------------------- */

/* The first text of the plan in the canonical layout. */
STUDBAY_API enum studbay_status studbay_write_formatted(struct studbay_plan *plan,
                                                        struct studbay_writer writer);

/* The text of a source, with what was worked out written into it: the `sorts`, parted by commas
 * ("types,cables,lengths"), NULL: the usual ones. A plan with errors is not settled: NOTHING. */
STUDBAY_API enum studbay_status studbay_write_settled(struct studbay_plan *plan, const char *sorts,
                                                      size_t source, struct studbay_writer writer);

#ifdef __cplusplus
}
#endif

#endif

/* The set: every sheet of paper that is made of a plan, in the order of the table sheets.def.
 *
 * A kind of sheet is a function that draws as many pages as it needs: page_begin gives one with its
 * border, title and what stands on every sheet, and says where it may be drawn on; page_end draws
 * the title strip. Measures of paper are micrometres (paper/paper.h). */
#ifndef STUDBAY_SHEETS_SHEETS_H
#define STUDBAY_SHEETS_SHEETS_H

#include "emit/results.h"
#include "model/model.h"
#include "model/site.h"
#include "paper/paper.h"

struct key_level;
struct protected;
struct set;

typedef void sheets_fn(struct set *set);

/* What a kind is drawn on where nobody chooses: letter and A4, or tabloid and A3, on their long
 * side; the permit set on 24 x 36 in and A1. */
enum sheet_use { FOR_HAND, FOR_TABLE };

/* WITH_CUTS: what it shows hangs on how cuts are allotted to coils, which is found as well as it
 * goes for it. BY_NAME: it is in no set but where it is named. */
enum { IN_PERMIT = 1, IN_JOB = 2, WITH_CUTS = 4, BY_NAME = 8 };

struct sheet_kind {
    const char *name;   /* "elevation": as `draw` calls it */
    const char *number; /* "W-%u": how its sheets are numbered; without %u: "E201", "E201-2" */
    const char *series; /* "Wall sheets" */
    sheets_fn *draw;
    enum sheet_use use;
    unsigned in;     /* IN_PERMIT, IN_JOB, WITH_CUTS, BY_NAME */
    const char *doc; /* what it shows, in a line */
};

extern const struct sheet_kind sheet_kinds[];
extern const uint32_t sheet_kind_count;

/* The kind of that name, or NULL. */
const struct sheet_kind *sheets_named(const char *name);

/* A name of its own for what some kinds show together, or a graph shows too (emit/dot/dot.h). */
struct sheet_drawing {
    const char *name;
    const char *kinds; /* their names, parted by blanks */
    const char *doc;   /* what they show, in a line */
};

extern const struct sheet_drawing sheet_drawings[];
extern const uint32_t sheet_drawing_count;

/* The kinds that go by a name, that of a drawing or their own, in the order of the set; at most
 * sheet_kind_count. Their number, 0 where there is no such name. */
uint32_t sheets_by_name(const char *name, const struct sheet_kind **kinds);

enum paper_size {
    PAPER_BY_USE, /* letter and tabloid */
    PAPER_LETTER,
    PAPER_TABLOID,
    PAPER_ARCH_D,
    PAPER_A4,
    PAPER_A3,
    PAPER_A1,
    PAPER_SIZES
};

/* "letter", "a4": as `--paper` has them; "" for PAPER_BY_USE. */
extern const char *const sheets_paper_names[PAPER_SIZES];

struct set {
    const struct results *r;
    struct paper *paper;
    enum paper_size size;
    bool permit;                       /* plans lie on the large sheets of the permit set */
    bool metric;                       /* scales are those of A sizes */
    const void *told;                  /* what a kind of another room is drawn from; or NULL */
    const struct protected *protected; /* who protects whom; NULL until asked for */
    struct key_level *levels;          /* for the small plan in the strip; NULL until drawn */
    const struct sheet_kind *kind;     /* that is being drawn */
    struct map numbers;                /* (0, form of the number) -> how many have it */
    VEC(struct page *) pages;          /* in order */
    const char *const *notes;          /* of every sheet: waivers and the plan's own */
    uint32_t note_count;
};

/* The document of these kinds, in this order, with n of N on each sheet. */
struct paper *sheets_make(const struct results *r, enum paper_size size, bool permit,
                          const struct sheet_kind *const *kinds, uint32_t count);

/* The same; the kinds find `told` in the set. */
struct paper *sheets_make_told(const struct results *r, enum paper_size size, bool permit,
                               const struct sheet_kind *const *kinds, uint32_t count,
                               const void *told);

const struct protected *sheets_protected(struct set *set);

/* --- a page ----------------------------------------------------------------------------------- */

enum { NO_WALL = 0x7fffffff };

/* A line of the legend: a pen's line, or what `draw` draws in a field 8 mm wide and 4 mm high
 * (`tall`: 11 mm and 6 mm) about (x, y). */
struct key {
    struct pen pen;
    void (*draw)(struct sheet *s, um x, um y, const void *what);
    const void *what;
    const char *words;
    bool tall;
};

struct page {
    struct set *set;
    struct sheet *s;
    const struct sheet_kind *kind;
    struct area inside; /* where it may be drawn on */
    struct area strip;
    /* what stands in the title strip; set before page_end */
    VEC(const char *) tasks; /* "Set 3 boxes": to be ticked */
    VEC(struct key) keys;    /* each once: page_key */
    const struct level *level;
    const struct room *room;      /* where one stands, or NULL */
    uint32_t wall;                /* that one faces, or NO_WALL */
    struct point low, high;       /* the part of the level that it shows; the same: all of it */
    const char *scale;            /* NULL: none */
    um number_x, number_y;        /* where "n of N" will stand; 0: on a plain page it does not */
    void (*late)(struct page *p); /* draws what is known when all sheets are there; or NULL */
    const void *what;             /* it is told, by who draws the kind */
    uint32_t nth, of;             /* sheets: known to it */
};

/* A new page with that title and what stands under it (or NULL); page_begin_on: of that size. */
struct page *page_begin(struct set *set, const char *title, const char *under);
struct page *page_begin_on(struct set *set, um width, um height, const char *title,
                           const char *under);
/* One without border, title and strip: nothing but what is drawn on it; it is not ended. */
struct page *page_begin_plain(struct set *set, um width, um height, const char *title);
void page_end(struct page *p);

/* What of the pages of the kind may be drawn on, for choosing a scale before one begins; and how
 * large they are, where `size` is not NULL. */
struct area page_room(const struct set *set, struct area *size);

/* Something to do here, with its box to tick; printf. */
void page_task(struct page *p, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* A line of the legend, where no line of these words is there yet. */
void page_key(struct page *p, struct key key);
void page_key_line(struct page *p, enum dash dash, um width, const char *words);

/* --- scales ----------------------------------------------------------------------------------- */

/* The scales of drawings, the largest first: 1 to so much; 0 ends them. Those below
 * SCALE_LEAST are for what is only looked at. */
const int *scales_of(const struct set *set);
int scales_least(const struct set *set);

/* The largest scale at which both lengths fit; 0: none of them. */
int scales_fitting(const struct set *set, length wide, um width, length high, um height);

/* "1/4\" = 1'-0\"", "1:50". */
const char *scales_words(const struct set *set, int ratio);

/* The bar of the scale with the words to hold a print against, in a field 140 mm wide and 10 mm
 * high whose upper left corner is (x, y). */
void page_scale_bar(struct page *p, um x, um y, int ratio);

/* --- words -------------------------------------------------------------------------------------
 */

/* A distance as sheets have it: feet and inches to the nearest 1/8"; a height: inches alone. */
const char *sheets_distance(const struct set *set, length l);
const char *sheets_height(const struct set *set, length l);

#define SHEETS(name, number, series, function, use, in, doc) sheets_fn function;
#include "sheets/sheets.def"
#undef SHEETS

#endif

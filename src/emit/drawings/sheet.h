/* What the drawings to scale share: the scale and its bars, and texts that lie on no other. */
#ifndef STUDBAY_EMIT_DRAWINGS_SHEET_H
#define STUDBAY_EMIT_DRAWINGS_SHEET_H

#include "emit/canvas.h"
#include "emit/results.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"

/* Inches of paper for a foot: num / den. */
struct scale {
    int num, den;
};

struct area {
    coord left, top, right, bottom;
};

typedef VEC(struct area) area_list;

/* One sheet; what lies on it is filed by cells so that a text looks only at what is near. */
struct sheet {
    struct canvas *c;
    struct arena *arena; /* of this sheet alone */
    coord width, height;
    coord cell; /* how wide and high a cell is */
    coord columns, rows;
    area_list **taken; /* row by row: the areas that reach into each cell; NULL: none */
};

/* What lies one below the other in one picture. */
struct stack {
    struct arena *arena;
    struct arena passing; /* of the sheet that is open */
    struct buf body;
    struct canvas c;
    coord width;
    int64_t height;
    uint32_t sheets;
    bool cut; /* there were more than a picture holds; --room, --wall or --level chooses */
};

/* A length on the paper. */
coord sheet_scaled(struct scale s, length l);

/* "1/4" = 1'-0"". */
const char *sheet_scale_words(struct arena *arena, struct scale s);

void sheet_stack_begin(struct stack *k, struct arena *arena);
/* A sheet below the others, `title` for those who cannot see it; false where the picture holds no
 * more. Ended by sheet_stack_close. */
bool sheet_stack_open(struct stack *k, struct sheet *s, coord width, coord height,
                      const char *title);
void sheet_stack_close(struct stack *k);
void sheet_stack_end(struct stack *k, struct buf *out, const char *title, const char *doc);

/* Nothing else is written there; whether something is. */
void sheet_take(struct sheet *s, struct area a);
bool sheet_is_free(const struct sheet *s, struct area a);

/* Where a text lies that is written at (x, y). */
struct area sheet_text_area(coord x, coord y, struct lettering l, const char *text);

/* Writes a text on a white ground and takes its place. */
void sheet_write(struct sheet *s, coord x, coord y, struct lettering l, const char *text);

/* Writes it at the nearest free place round an area, beside it first; false where there is none
 * within `reach`. */
bool sheet_write_near(struct sheet *s, struct area round, coord reach, struct lettering l,
                      const char *text);

/* A text on one line of that width: pressed together a little, or cut where that does not do. */
void sheet_line(struct sheet *s, coord x, coord y, coord width, struct lettering l,
                const char *text);

/* The bar of the scale in feet, and under it the line to measure a print by; 300 pt wide and 40 pt
 * high from (x, y). */
void sheet_scale(struct sheet *s, coord x, coord y, struct scale scale);

/* What a fixture is called: its title, else its word. */
const char *sheet_fixture_words(const struct fixture *f);

#endif

#include "emit/drawings/label_sheet.h"

#include "cuts/labels.h"
#include "emit/canvas.h"
#include "emit/results.h"
#include "model/model.h"

#include <string.h>

#define MM(hundredths)  ((hundredths)*MILLIMETRE / 100)
#define IN(thousandths) ((thousandths)*INCH / 1000)

/* Grids by their count of labels. a4-21: published in an overview of label templates
 * (printreadykit.pages.dev/label-templates/address-labels); the others are recalled. A sheet is
 * printed once on plain paper with its outlines and held against the labels. */
const struct label_sheet label_sheet_grids[] = {
    {"letter-30", IN(8500), IN(11000), IN(2625), IN(1000), 3, 10, IN(500), IN(188), IN(2750),
     IN(1000), false, false, 1, 0},
    {"letter-80", IN(8500), IN(11000), IN(1750), IN(500), 4, 20, IN(500), IN(300), IN(2050),
     IN(500), false, false, 1, 0},
    {"letter-10", IN(8500), IN(11000), IN(4000), IN(2000), 2, 5, IN(500), IN(160), IN(4190),
     IN(2000), false, false, 1, 0},
    {"a4-21", MM(21000), MM(29700), MM(6350), MM(3810), 3, 7, MM(1515), MM(720), MM(6600), MM(3810),
     false, false, 1, 0},
    {"a4-24", MM(21000), MM(29700), MM(7000), MM(3700), 3, 8, MM(50), 0, MM(7000), MM(3700), false,
     false, 1, 0},
    {"a4-65", MM(21000), MM(29700), MM(3810), MM(2120), 5, 13, MM(1070), MM(470), MM(4060),
     MM(2120), false, false, 1, 0},
    {"plain-cut", IN(8500), IN(11000), IN(2500), IN(1000), 3, 10, IN(500), IN(500), IN(2500),
     IN(1000), true, false, 1, 0},
};
const uint32_t label_sheet_count = sizeof label_sheet_grids / sizeof *label_sheet_grids;

/* Nothing is printed nearer than this to a label's edge. */
#define CLEAR MM(200)

enum {
    TAG_LEAST = 10 * POINT, /* bold */
    TAG_MOST = 18 * POINT,
    DETAIL = 15 * POINT / 2, /* the size of the lines below */
    DETAIL_LINE = 17 * POINT / 2,
    WORD_SIZE = 7 * POINT,
    GAP = 3 * POINT,
    LEAST_PRESSED = 85, /* per cent to which a line is pressed together before it is cut */
};

static const struct pen black = {.fill = "black"};
static const struct pen edge = {.stroke = "#888888", .width = POINT / 2};
static const struct pen cut_edge = {.stroke = "#444444", .width = POINT / 2, .dash = "4 3"};

const struct label_sheet *label_sheet_named(const char *name)
{
    for (uint32_t i = 0; i < label_sheet_count; i++)
        if (!strcmp(label_sheet_grids[i].name, name))
            return &label_sheet_grids[i];
    return NULL;
}

static bool leaves(length first, length pitch, uint32_t count, length size, length page)
{
    return first < 0 || first + (length)(count - 1) * pitch + size > page;
}

const char *label_sheet_fault(struct arena *arena, const struct label_sheet *s)
{
    static const length most = 100 * INCH;
    enum { MOST = 1000 };
    if (s->page_width <= 0 || s->page_height <= 0 || s->page_width > most || s->page_height > most)
        return "a page is between nothing and 100\" wide and high";
    if (!s->columns || !s->rows || s->columns > MOST || s->rows > MOST)
        return "a sheet has between 1 and 1000 rows and columns";
    if (s->label_width < INCH || s->label_height < INCH / 2 - INCH / 100)
        return "a label with its tag twice is 1\" wide and 1/2\" high at least";
    if (s->pitch_x < s->label_width || s->pitch_y < s->label_height)
        return "labels overlap: the pitch is smaller than the label";
    if (leaves(s->left, s->pitch_x, s->columns, s->label_width, s->page_width))
        return arena_printf(arena, "%u columns of labels are wider than the page", s->columns);
    if (leaves(s->top, s->pitch_y, s->rows, s->label_height, s->page_height))
        return arena_printf(arena, "%u rows of labels are higher than the page", s->rows);
    if (s->start < 1 || s->start > s->columns * s->rows)
        return arena_printf(arena, "a sheet begins at label 1 to %u", s->columns * s->rows);
    return NULL;
}

/* --- one label ---------------------------------------------------------------------------- */

/* How one half of a label is laid out. */
struct layout {
    coord width, height;
    coord tag_size;
    const char *first, *second; /* the tag, over two lines where it must be */
    const char
        *word; /* "HOME RUN" beside the tag; NULL: there is no room for it there, or it is none */
    const char *lines[LABEL_LINES + 1];
    uint32_t line_count;
};

static coord mark_width(const struct label *label, coord size)
{
    return label->home_run ? size * 3 / 4 + GAP : 0;
}

/* The tag over two lines, parted at a blank, so that its longer half is as short as can be; `first`
 * NULL where it has no blank. */
static void part_tag(struct arena *arena, const char *tag, struct layout *l)
{
    coord best = 0;
    l->first = NULL;
    for (const char *p = strchr(tag, ' '); p; p = strchr(p + 1, ' ')) {
        const char *first = arena_copy(arena, tag, (size_t)(p - tag));
        coord a = text_width(first, TAG_LEAST, true), b = text_width(p + 1, TAG_LEAST, true),
              longer = a > b ? a : b;
        if (l->first && longer >= best)
            continue;
        best = longer;
        l->first = first;
        l->second = p + 1;
    }
}

static void take_lines(struct arena *arena, const struct label *label, struct layout *l, coord used)
{
    uint32_t room = l->height > used ? (uint32_t)((l->height - used) / DETAIL_LINE) : 0;
    l->line_count = 0;
    if (label->home_run && !l->word && !room) {
        l->word = "HOME"; /* beside the tag after all, which is pressed together for it */
    } else if (label->home_run && !l->word) {
        l->lines[l->line_count++] = "HOME RUN";
        room--;
    }
    if (room >= LABEL_LINES) {
        for (int i = 0; i < LABEL_LINES; i++)
            l->lines[l->line_count++] = label->lines[i];
        return;
    }
    if (room >= 1)
        l->lines[l->line_count++] = arena_printf(arena, "%s %s", label->lines[0], label->lines[1]);
    if (room >= 2)
        l->lines[l->line_count++] = label->lines[2];
}

/* The largest tag that leaves room for all lines; the smallest leaves room for some. */
static void lay_out(struct arena *arena, const struct label *label, struct layout *l)
{
    static const char *const words[] = {"HOME RUN", "HOME"};
    coord size = TAG_MOST, wide = text_width(label->tag, TAG_MOST, true);
    coord lines = LABEL_LINES * DETAIL_LINE;
    while (size > TAG_LEAST &&
           (size * 6 / 5 + lines > l->height || mark_width(label, size) + wide > l->width)) {
        size -= POINT;
        wide = text_width(label->tag, size, true);
    }
    l->tag_size = size;
    l->first = label->tag;
    for (int i = 0; i < 2 && label->home_run && !l->word; i++)
        if (mark_width(label, size) + wide + GAP + text_width(words[i], WORD_SIZE, true) <=
            l->width)
            l->word = words[i];
    if (mark_width(label, size) + wide > l->width && 2 * size * 6 / 5 <= l->height)
        part_tag(arena, label->tag, l);
    if (!l->first)
        l->first = label->tag;
    take_lines(arena, label, l, (l->second ? 2 : 1) * size * 6 / 5);
}

/* A line that is pressed together a little, or cut where that does not do. */
static void draw_line(struct canvas *c, struct arena *arena, coord y, coord width, const char *text,
                      bool bold)
{
    coord most = (coord)((int64_t)width * 100 / LEAST_PRESSED);
    if (text_width(text, DETAIL, bold) > most) {
        size_t fits = text_fitting(text, DETAIL, bold, most - DETAIL);
        text = arena_printf(arena, "%.*s\xe2\x80\xa6", (int)fits, text);
    }
    canvas_text(c, 0, y, (struct lettering){.size = DETAIL, .bold = bold, .widest = width}, text);
}

/* Along the outer edge, away from the fold, where the cable takes up what is near it. A capital is
 * about three quarters of its size high. */
static void draw_half(struct canvas *c, struct arena *arena, const struct label *label,
                      const struct layout *l)
{
    coord line = l->tag_size * 6 / 5, y = l->tag_size * 3 / 4, x = mark_width(label, l->tag_size);
    coord word = l->word ? GAP + text_width(l->word, WORD_SIZE, true) : 0;
    if (label->home_run) {
        coord side = l->tag_size * 3 / 4;
        coord triangle[] = {0, y - side, side, y - side / 2, 0, y};
        canvas_polygon(c, triangle, 3, true, black);
    }
    canvas_text(
        c, x, y,
        (struct lettering){.size = l->tag_size, .bold = true, .widest = l->width - x - word},
        l->first);
    if (l->word)
        canvas_text(c, l->width, y,
                    (struct lettering){.size = WORD_SIZE, .bold = true, .anchor = AT_END}, l->word);
    if (l->second) {
        y += line;
        canvas_text(c, x, y,
                    (struct lettering){.size = l->tag_size, .bold = true, .widest = l->width - x},
                    l->second);
    }
    y += l->tag_size * 3 / 10 - DETAIL / 5;
    for (uint32_t i = 0; i < l->line_count; i++) {
        y += DETAIL_LINE;
        draw_line(c, arena, y, l->width, l->lines[i], !strcmp(l->lines[i], "HOME RUN"));
    }
}

static void draw_label(struct canvas *c, struct arena *arena, const struct label_sheet *s,
                       const struct label *label)
{
    coord clear = canvas_length(CLEAR), width = canvas_length(s->label_width),
          height = canvas_length(s->label_height);
    struct layout l = {.width = width - 2 * clear, .height = height / 2 - clear};
    lay_out(arena, label, &l);
    canvas_open(c, clear, clear, 0, NULL);
    draw_half(c, arena, label, &l);
    canvas_close(c);
    canvas_open(c, width - clear, height - clear, 180, NULL);
    draw_half(c, arena, label, &l);
    canvas_close(c);
}

/* --- sheets ------------------------------------------------------------------------------- */

static void draw_place(struct canvas *c, struct arena *arena, const struct label_sheet *s,
                       uint32_t at, const struct label *label)
{
    coord width = canvas_length(s->label_width), height = canvas_length(s->label_height),
          tick = canvas_length(CLEAR) * 3 / 4;
    canvas_open(c, canvas_length(s->left + (at % s->columns) * s->pitch_x),
                canvas_length(s->top + (at / s->columns) * s->pitch_y), 0, NULL);
    if (s->cut || s->outline)
        canvas_rect(c, 0, 0, width, height, 0, s->cut ? cut_edge : edge);
    if (label) {
        canvas_line(c, 0, height / 2, tick, height / 2, edge);
        canvas_line(c, width - tick, height / 2, width, height / 2, edge);
        draw_label(c, arena, s, label);
    }
    canvas_close(c);
}

uint32_t label_sheet_draw(const struct results *r, const struct label_sheet *s, struct buf *svg)
{
    label_list labels = labels_make(r->arena, r->model, r->routes, r->wiring, r->log, r->panels);
    uint32_t places = s->columns * s->rows, first = s->start - 1,
             sheets = (first + labels.n + places - 1) / places;
    uint32_t from = s->only ? s->only - 1 : 0, to = s->only ? s->only : sheets;
    coord height = canvas_length(s->page_height);
    struct canvas c;
    if (!sheets)
        sheets = to = 1;
    canvas_begin(
        &c, svg, canvas_length(s->page_width), (coord)(to - from) * height,
        arena_printf(r->arena, "Cable labels: %s", r->model->title ? r->model->title : "plan"),
        "Two labels for each cable, one for each end; each bears its tag twice, once upside down, "
        "to be folded round the cable. `report "
        "labels` has the same as a table.");
    for (uint32_t sheet = from; sheet < to; sheet++) {
        canvas_open(&c, 0, (coord)(sheet - from) * height, 0,
                    arena_printf(r->arena, "Sheet %u of %u", sheet + 1, sheets));
        for (uint32_t i = 0; i < places; i++) {
            uint32_t place = sheet * places + i;
            bool used = place >= first && place - first < labels.n;
            if (used || s->outline)
                draw_place(&c, r->arena, s, i, used ? &labels.at[place - first] : NULL);
        }
        canvas_close(&c);
    }
    canvas_end(&c);
    return sheets;
}

void draw_labels(const struct results *r, struct buf *out)
{
    label_sheet_draw(r, r->sheet ? r->sheet : &label_sheet_grids[0], out);
}

/* The labels of the cables, one for each end, on the sheets that stationers sell.
 *
 * A label is glued round its cable like a flag: the cable lies along the fold across its middle,
 * and the halves close on each other. Both say the same, the right way up, so that the flag is read
 * from both sides; what is written stands along the outer edges, away from the cable. */
#include "sheets/labels.h"

#include "cuts/labels.h"
#include "diag/diag.h"
#include "model/address.h"
#include "sheets/qr.h"
#include "sheets/sheets.h"

#include <string.h>

#define HUNDREDTHS(mm)  ((mm)*MILLIMETRE / 100)
#define THOUSANDTHS(in) ((in)*INCH / 1000)

/* Grids by their count of labels. a4-21: published in an overview of label templates
 * (printreadykit.pages.dev/label-templates/address-labels); the others are recalled. A sheet is
 * printed once on plain paper with its outlines and held against the labels. */
#define LETTER THOUSANDTHS(8500), THOUSANDTHS(11000)
#define A4     HUNDREDTHS(21000), HUNDREDTHS(29700)
const struct label_sheet labels_grids[] = {
    {"letter-30", LETTER, THOUSANDTHS(2625), THOUSANDTHS(1000), 3, 10, THOUSANDTHS(500),
     THOUSANDTHS(188), THOUSANDTHS(2750), THOUSANDTHS(1000), .start = 1},
    {"letter-80", LETTER, THOUSANDTHS(1750), THOUSANDTHS(500), 4, 20, THOUSANDTHS(500),
     THOUSANDTHS(300), THOUSANDTHS(2050), THOUSANDTHS(500), .start = 1},
    {"letter-10", LETTER, THOUSANDTHS(4000), THOUSANDTHS(2000), 2, 5, THOUSANDTHS(500),
     THOUSANDTHS(160), THOUSANDTHS(4190), THOUSANDTHS(2000), .start = 1},
    {"a4-21", A4, HUNDREDTHS(6350), HUNDREDTHS(3810), 3, 7, HUNDREDTHS(1515), HUNDREDTHS(720),
     HUNDREDTHS(6600), HUNDREDTHS(3810), .start = 1},
    {"a4-24", A4, HUNDREDTHS(7000), HUNDREDTHS(3700), 3, 8, HUNDREDTHS(50), 0, HUNDREDTHS(7000),
     HUNDREDTHS(3700), .start = 1},
    {"a4-65", A4, HUNDREDTHS(3810), HUNDREDTHS(2120), 5, 13, HUNDREDTHS(1070), HUNDREDTHS(470),
     HUNDREDTHS(4060), HUNDREDTHS(2120), .start = 1},
    {"plain-cut", LETTER, THOUSANDTHS(2500), THOUSANDTHS(1000), 3, 10, THOUSANDTHS(500),
     THOUSANDTHS(500), THOUSANDTHS(2500), THOUSANDTHS(1000), .cut = true, .start = 1},
};
const uint32_t labels_grid_count = sizeof labels_grids / sizeof *labels_grids;

enum {
    CLEAR = 2000,      /* from a label's edge to its ink */
    PAGE_CLEAR = 4500, /* from the page's edge: printers reach no farther */
    TAG_MOST = 4200,   /* capitals of a tag */
    TAG_LEAST = 1800,
    TAG_STEP = 100,
    TAG_LEADING = 135, /* per cent of the capitals, from row to row */
    TAG_ROWS = 3,
    LINE = 2000, /* capitals of the lines below it */
    LINE_ROW = 2900,
    LEAST_PRESSED = 80, /* per cent to which a line is pressed before it is cut */
    GAP = 1000,
    BELOW_TAG = 1600,
    MODULE_MOST = 600, /* of a code */
    MODULE_LEAST = 330,
    FOLD_TICK = 1500,
    MARGIN_ROOM = 5000, /* what the words in the margin take */
    BAND = 5500,
};

static const struct pen edge = {BLACK, NO_INK, LINE_FRAMING, DASH_NONE},
                        cut_edge = {BLACK, NO_INK, LINE_FRAMING, DASH_BEHIND};

/* --- grids ------------------------------------------------------------------------------------ */

const struct label_sheet *labels_grid_named(const char *name)
{
    for (uint32_t i = 0; i < labels_grid_count; i++)
        if (!strcmp(labels_grids[i].name, name))
            return &labels_grids[i];
    return NULL;
}

static bool leaves(length first, length pitch, uint32_t count, length size, length page)
{
    return first < 0 || first + (length)(count - 1) * pitch + size > page;
}

/* Half the outline of a cable 14/2 is 0.55" (0.39" x 0.17", recalled): less than a half of the
 * label, or the halves do not meet. */
#define HALF_CLOSES THOUSANDTHS(700)
#define CODE_HIGH   HUNDREDTHS(1500)

const char *labels_grid_fault(struct arena *arena, const struct label_sheet *s)
{
    static const length most = 100 * INCH;
    enum { MOST = 1000 };
    if (s->page_width <= 0 || s->page_height <= 0 || s->page_width > most || s->page_height > most)
        return "a page is between nothing and 100\" wide and high";
    if (!s->columns || !s->rows || s->columns > MOST || s->rows > MOST)
        return "a sheet has between 1 and 1000 rows and columns";
    if (s->label_width < 2 * HALF_CLOSES || s->label_height < INCH / 2 - INCH / 100)
        return "a label that closes round a cable is 1.4\" wide and 1/2\" high at least";
    if (s->qr && s->label_height < CODE_HIGH)
        return "a label with a code to scan is 15 mm high at least";
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

/* --- one half of a label ---------------------------------------------------------------------- */

/* How it is laid out. */
struct half_label {
    um width, height; /* of what may be written on */
    um caps;          /* of the tag */
    const char *rows[TAG_ROWS];
    uint32_t row_count;
    VEC(const char *) lines;
    um mark; /* what the sign of a home run takes before the first row */
};

static struct lettering tag_letters(um caps)
{
    return (struct lettering){.caps = caps, .bold = true};
}

static const struct lettering line_letters = {.caps = LINE};

static um tag_row(um caps)
{
    return caps * TAG_LEADING / 100;
}

static um mark_width(const struct label *label, um caps)
{
    return label->home_run ? caps + GAP : 0;
}

/* The bytes of `text` that fit into the width: to its end, up to the last blank that does, or
 * behind the last dash; 0: not even its first part does. */
static size_t row_fitting(const struct sheet *s, um caps, um width, const char *text)
{
    size_t blank = 0, dash = 0, len = strlen(text);
    for (size_t i = 1; i <= len; i++) {
        if (i < len && text[i] != ' ' && text[i - 1] != '-')
            continue;
        if (paper_text_width(s, tag_letters(caps), arena_copy(s->paper->arena, text, i)) > width)
            break;
        if (i == len)
            return len;
        *(text[i] == ' ' ? &blank : &dash) = i;
    }
    return blank ? blank : dash;
}

/* Whether the tag goes into the rows that there are at this size, one line below them. */
static bool tag_fits(const struct sheet *s, const struct label *label, struct half_label *h,
                     um caps)
{
    const char *rest = label->tag;
    um room = h->height - BELOW_TAG - LINE;
    h->mark = mark_width(label, caps);
    for (h->row_count = 0; *rest && h->row_count < TAG_ROWS; h->row_count++) {
        size_t len = row_fitting(s, caps, h->width - (h->row_count ? 0 : h->mark), rest);
        if (!len)
            return false;
        h->rows[h->row_count] = arena_copy(s->paper->arena, rest, len);
        rest += len + (rest[len] == ' ');
    }
    h->caps = caps;
    return !*rest && h->row_count && caps + (um)(h->row_count - 1) * tag_row(caps) <= room;
}

/* As large as it goes; what no size holds is pressed into one row. */
static void lay_tag(const struct sheet *s, const struct label *label, struct half_label *h)
{
    for (um caps = TAG_MOST; caps >= TAG_LEAST; caps -= TAG_STEP)
        if (tag_fits(s, label, h, caps))
            return;
    h->caps = TAG_LEAST;
    h->mark = mark_width(label, TAG_LEAST);
    h->rows[0] = label->tag;
    h->row_count = 1;
}

/* A text in as many lines as there is room for; what the last one has no room for is pressed a
 * little, or cut. */
static void take_line(const struct sheet *s, struct half_label *h, uint32_t most, const char *text)
{
    struct arena *arena = s->paper->arena;
    const char *const *lines;
    um pressed = h->width * 100 / LEAST_PRESSED;
    if (h->lines.n >= most)
        return;
    if (h->lines.n + 1 == most) {
        *vec_push(arena, &h->lines) = paper_cut(s, line_letters, pressed, text);
        return;
    }
    uint32_t count = paper_lines(s, h->width, line_letters, text, &lines);
    if (h->lines.n + count > most) { /* on one line rather than half of it */
        *vec_push(arena, &h->lines) = paper_cut(s, line_letters, pressed, text);
        return;
    }
    for (uint32_t i = 0; i < count; i++)
        *vec_push(arena, &h->lines) = lines[i];
}

/* Where it is glued or where the cable goes; with the panel stands that it is a home run. */
static const char *end_words(const struct sheet *s, const struct label *label, um width, bool other)
{
    static const char *const home[] = {", HOME RUN", ", HOME"};
    struct end e = other ? label->other : label->end;
    const char *words = label->lines[other];
    for (int i = 0; i < 2 && label->home_run && e.panel; i++) {
        words = arena_printf(s->paper->arena, "%s%s", label->lines[other], home[i]);
        if (paper_text_width(s, line_letters, words) <= width)
            break;
    }
    return words;
}

/* What stands below the tag: where it is glued, where the cable goes, what it is; where there is
 * one line for it, both ends, or the one where it is glued. */
static void lay_lines(const struct sheet *s, const struct label *label, struct half_label *h)
{
    um used = h->caps + (um)(h->row_count - 1) * tag_row(h->caps) + BELOW_TAG;
    if (h->height < used + LINE)
        return;
    uint32_t most = (uint32_t)((h->height - used - LINE) / LINE_ROW) + 1;
    const char *here = end_words(s, label, h->width, false),
               *there = end_words(s, label, h->width, true),
               *both = arena_printf(s->paper->arena, "%s %s", here, there);
    if (most == 1 && paper_text_width(s, line_letters, both) <= h->width)
        here = both;
    take_line(s, h, most, here);
    take_line(s, h, most, there);
    take_line(s, h, most, label->lines[LABEL_LINES - 1]);
}

static um half_width(const struct sheet *s, const struct half_label *h)
{
    um widest = 0;
    for (uint32_t i = 0; i < h->row_count; i++) {
        um wide = (i ? 0 : h->mark) + paper_text_width(s, tag_letters(h->caps), h->rows[i]);
        widest = wide > widest ? wide : widest;
    }
    for (uint32_t i = 0; i < h->lines.n; i++) {
        um wide = paper_text_width(s, line_letters, h->lines.at[i]);
        widest = wide > widest ? wide : widest;
    }
    return widest < h->width ? widest : h->width;
}

static void draw_half(struct sheet *s, const struct half_label *h, um x, um top)
{
    um y = top + h->caps;
    struct spot triangle[] = {{x, y - h->caps}, {x + h->caps, y - h->caps / 2}, {x, y}};
    if (h->mark)
        paper_path(s, triangle, 3, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    for (uint32_t i = 0; i < h->row_count; i++) {
        struct lettering l = tag_letters(h->caps);
        um mark = i ? 0 : h->mark;
        l.widest = h->width - mark;
        paper_text(s, x + mark, y + (um)i * tag_row(h->caps), l, h->rows[i]);
    }
    y += (um)(h->row_count - 1) * tag_row(h->caps) + BELOW_TAG + LINE;
    for (uint32_t i = 0; i < h->lines.n; i++, y += LINE_ROW) {
        struct lettering l = line_letters;
        l.widest = h->width;
        paper_text(s, x, y, l, h->lines.at[i]);
    }
}

/* --- a label ---------------------------------------------------------------------------------- */

/* What the code says: the tag, or where the book of the plan has the box or panel. */
static const char *code_words(const struct set *set, const struct label *label)
{
    struct arena *arena = set->r->arena;
    return set->r->model->book ? arena_printf(arena, "%s#%s", set->r->model->book,
                                              address_of_end(arena, label->end, false))
                               : label->tag;
}

static struct area meet(struct area a, struct area b)
{
    return (struct area){a.left > b.left ? a.left : b.left, a.top > b.top ? a.top : b.top,
                         a.right < b.right ? a.right : b.right,
                         a.bottom < b.bottom ? a.bottom : b.bottom};
}

static struct area printable(const struct sheet *s)
{
    return (struct area){PAGE_CLEAR, PAGE_CLEAR, s->width - PAGE_CLEAR, s->height - PAGE_CLEAR};
}

/* The code at the outer edge, the tag beside it where there is room; false where its modules would
 * be too small to be read. */
static bool draw_code(const struct set *set, struct sheet *s, const struct label *label,
                      struct area a)
{
    struct qr code = qr_of(set->r->arena, code_words(set, label));
    um wide = a.right - a.left, high = a.bottom - a.top, side = wide < high ? wide : high,
       module = code.side ? side / (um)code.side : 0;
    if (module < MODULE_LEAST)
        return false;
    module = module > MODULE_MOST ? MODULE_MOST : module;
    side = module * (um)code.side;
    qr_draw(s, a.right - side, a.top, module, code);
    struct half_label h = {.width = wide - side - QR_QUIET * module, .height = high};
    um caps = TAG_MOST;
    while (caps >= LINE && !tag_fits(s, label, &h, caps))
        caps -= TAG_STEP;
    if (caps >= LINE)
        draw_half(s, &h, a.left, a.top);
    return true;
}

static void draw_label(const struct set *set, struct sheet *s, const struct label_sheet *grid,
                       const struct label *label, struct area place)
{
    um middle = (place.left + place.right) / 2;
    struct area ink = meet(area_grown(place, -CLEAR), printable(s)), left = ink, right = ink;
    left.right = middle - CLEAR / 2;
    right.left = middle + CLEAR / 2;
    um width = left.right - left.left, other = right.right - right.left;
    struct half_label h = {.width = width < other ? width : other, .height = ink.bottom - ink.top};
    paper_begin(s, ROLE_LABEL, NULL, label->tag);
    lay_tag(s, label, &h);
    lay_lines(s, label, &h);
    draw_half(s, &h, left.left, left.top);
    if (!grid->qr || !draw_code(set, s, label, right))
        draw_half(s, &h, right.right - half_width(s, &h), right.top);
    paper_end(s);
}

/* A line as far as a printer reaches. */
static void draw_edge(struct sheet *s, um x1, um y1, um x2, um y2, struct pen pen)
{
    struct area a = meet((struct area){x1, y1, x2, y2}, printable(s));
    if (a.left <= a.right && a.top <= a.bottom)
        paper_line(s, a.left, a.top, a.right, a.bottom, pen);
}

static struct area place_of(const struct label_sheet *g, uint32_t at)
{
    um left = paper_scaled(g->left + (length)(at % g->columns) * g->pitch_x, 1),
       top = paper_scaled(g->top + (length)(at / g->columns) * g->pitch_y, 1);
    return (struct area){left, top, left + paper_scaled(g->label_width, 1),
                         top + paper_scaled(g->label_height, 1)};
}

/* Its edges where they are asked for, and where it is folded. */
static void draw_edges(struct sheet *s, const struct label_sheet *g, struct area a, bool used)
{
    um middle = (a.left + a.right) / 2;
    struct pen pen = g->cut ? cut_edge : edge;
    paper_begin(s, ROLE_FRAME, NULL, NULL);
    if (g->cut || g->outline) {
        draw_edge(s, a.left, a.top, a.right, a.top, pen);
        draw_edge(s, a.left, a.bottom, a.right, a.bottom, pen);
        draw_edge(s, a.left, a.top, a.left, a.bottom, pen);
        draw_edge(s, a.right, a.top, a.right, a.bottom, pen);
    }
    if (used) {
        draw_edge(s, middle, a.top, middle, a.top + FOLD_TICK, edge);
        draw_edge(s, middle, a.bottom - FOLD_TICK, middle, a.bottom, edge);
    }
    paper_end(s);
}

/* --- what stands beside the labels ------------------------------------------------------------ */

static const char *errors_words(const struct set *set)
{
    uint32_t errors = set->r->diag->counts[ERROR];
    return arena_printf(set->r->arena, "NOT TO BE BUILT FROM: %u error%s", errors,
                        errors == 1 ? "" : "s");
}

static void draw_band(const struct set *set, struct sheet *s, struct area a)
{
    struct lettering l = {.caps = CAPS_WORDS,
                          .bold = true,
                          .anchor = AT_MIDDLE,
                          .fill = WHITE,
                          .widest = a.right - a.left - 2 * GAP};
    paper_rect(s, a, 0, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    paper_text(s, (a.left + a.right) / 2, (a.top + a.bottom + CAPS_WORDS) / 2, l,
               errors_words(set));
}

/* A ruler to hold a print against: as long as it may be, of whole inches or tens of millimetres;
 * how much of the margin it takes from the right. */
static um draw_ruler(struct sheet *s, const struct label_sheet *g, um y)
{
    bool inches = g->page_width % (INCH / 2) == 0;
    um unit = inches ? PAPER_INCH : 10 * MM;
    static const int inch_steps[] = {4, 2, 1, 0}, metric_steps[] = {10, 5, 2, 0};
    const int *steps = inches ? inch_steps : metric_steps;
    while (*steps && *steps * unit > s->width / 2)
        steps++;
    if (!*steps)
        return 0;
    struct lettering note = {.caps = CAPS_NOTE, .anchor = AT_END};
    const char *said = inches ? arena_printf(s->paper->arena, "%d in", *steps)
                              : arena_printf(s->paper->arena, "%d mm", *steps * 10);
    um right = s->width - PAGE_CLEAR - LINE_FRAMING, words = paper_text_width(s, note, said) + GAP,
       left = right - words - *steps * unit;
    paper_line(s, left, y, left + *steps * unit, y, edge);
    for (int i = 0; i <= *steps; i++)
        paper_line(s, left + i * unit, y - CAPS_NOTE, left + i * unit, y, edge);
    paper_text(s, right, y, note, said);
    return right - left + 2 * GAP;
}

/* The sheet's number and the plan in the margin above, a band across the one below where the plan
 * has errors; where that margin has no room the words above say it. */
static void draw_margins(struct page *p)
{
    const struct set *set = p->set;
    const struct model *m = set->r->model;
    const struct label_sheet *g = p->what;
    struct sheet *s = p->s;
    struct lettering note = {.caps = CAPS_NOTE};
    um above = paper_scaled(g->top, 1) - PAGE_CLEAR,
       end = place_of(g, g->columns * g->rows - 1).bottom, below = s->height - PAGE_CLEAR - end;
    bool errors = set->r->diag->counts[ERROR] > 0, band = errors && below >= BAND + GAP;
    paper_begin(s, ROLE_FRAME, NULL, NULL);
    if (band)
        draw_band(set, s,
                  (struct area){PAGE_CLEAR, s->height - PAGE_CLEAR - BAND, s->width - PAGE_CLEAR,
                                s->height - PAGE_CLEAR});
    if (above >= MARGIN_ROOM) {
        um y = PAGE_CLEAR + CAPS_NOTE + GAP, wide = s->width - 2 * PAGE_CLEAR - draw_ruler(s, g, y);
        const char *said = arena_printf(
            set->r->arena, "%s%s%s, sheet %u of %u \xc2\xb7 cable labels%s%s%s%s",
            errors && !band ? errors_words(set) : "", errors && !band ? " \xc2\xb7 " : "",
            s->number, p->nth, p->of, m->date ? " \xc2\xb7 " : "", m->date ? m->date : "",
            m->title && *m->title ? " \xc2\xb7 " : "", m->title ? m->title : "");
        paper_text(s, PAGE_CLEAR, y, note, paper_cut(s, note, wide, said));
    }
    paper_end(s);
}

/* Whether neither margin can say that the plan has errors: then the first label of each sheet does,
 * or the first sheet, where a sheet is one label. */
static bool label_is_band(const struct set *set, const struct label_sheet *g, bool first)
{
    um above = paper_scaled(g->top, 1) - PAGE_CLEAR,
       below = paper_scaled(g->page_height, 1) - PAGE_CLEAR -
               place_of(g, g->columns * g->rows - 1).bottom;
    return set->r->diag->counts[ERROR] && above < MARGIN_ROOM && below < BAND + GAP &&
           (first || g->columns * g->rows > 1);
}

/* --- sheets ----------------------------------------------------------------------------------- */

static void draw_warning(const struct set *set, struct sheet *s, struct area place)
{
    struct area a = meet(area_grown(place, -CLEAR), printable(s));
    paper_begin(s, ROLE_FRAME, NULL, NULL);
    a.bottom = a.top + BAND;
    draw_band(set, s, a);
    paper_end(s);
}

/* One sheet, from its place `at` on, with the labels from `*done` on; whether it is the first. */
static void draw_sheet(struct set *set, const struct label_sheet *g, uint32_t at,
                       const label_list *labels, uint32_t *done, bool first)
{
    struct page *p = page_begin_plain(set, paper_scaled(g->page_width, 1),
                                      paper_scaled(g->page_height, 1), "Cable labels");
    uint32_t places = g->columns * g->rows;
    bool warned = !label_is_band(set, g, first);
    p->what = g;
    p->late = draw_margins;
    for (uint32_t i = 0; i < places; i++) {
        bool warning = i >= at && !warned, used = i >= at && !warning && *done < labels->n;
        struct area place = place_of(g, i);
        if (used || g->outline)
            draw_edges(p->s, g, place, used);
        if (warning)
            draw_warning(set, p->s, place);
        else if (used)
            draw_label(set, p->s, g, &labels->at[(*done)++], place);
        warned |= warning;
    }
}

void sheets_labels(struct set *set)
{
    const struct results *r = set->r;
    const struct label_sheet *g = r->sheet      ? r->sheet
                                  : set->metric ? labels_grid_named("a4-21")
                                                : &labels_grids[0];
    label_list labels = labels_make(r->arena, r->model, r->routes, r->wiring, r->log, r->panels);
    uint32_t done = 0;
    for (bool first = true; done < labels.n; first = false)
        draw_sheet(set, g, first ? g->start - 1 : 0, &labels, &done, first);
}

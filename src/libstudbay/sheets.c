/* Drawings: which sheets they are, and each of them as a file. */
#include "libstudbay/handle.h"

#include "libstudbay/choose.h"
#include "paper/paper.h"
#include "paper/pdf.h"
#include "paper/png.h"
#include "paper/svg.h"
#include "paper/targets.h"
#include "sheets/labels.h"
#include "sheets/sheets.h"

#include <string.h>

enum format { AS_SVG, AS_PDF, AS_PNG, FORMATS };

static const char *const formats[FORMATS] = {"svg", "pdf", "png"};

/* Those that go by a name of their own first. */
static const struct studbay_listed drawing_list[] = {
#define DRAWING(name, kinds, doc) {name, doc},
#include "sheets/drawings.def"
#undef DRAWING
#define SHEETS(name, number, series, function, use, in, doc) {name, doc},
#include "sheets/sheets.def"
#undef SHEETS
};
enum { DRAWING_COUNT = sizeof drawing_list / sizeof *drawing_list };

const struct studbay_listed *studbay_drawing(size_t i)
{
    return i < DRAWING_COUNT ? &drawing_list[i] : NULL;
}

/* --- drawing ------------------------------------------------------------------------------ */

/* Numbers of sheets are ours; all the same nothing but these letters comes into a name. */
static const char *file_name(struct arena *arena, const struct sheet *s)
{
    char *name = arena_printf(arena, "%s", s->number);
    static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
    for (char *p = name; *p; p++)
        if (!strchr(plain, *p))
            *p = '_';
    return name;
}

void handle_fill_sheets(struct studbay_sheets *s, struct arena *arena, struct paper *paper)
{
    const struct studbay_sheet **list =
        arena_array(arena, const struct studbay_sheet *, paper->sheets.n + 1);
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        struct studbay_sheet *one = arena_new(arena, struct studbay_sheet);
        const struct sheet *of = paper->sheets.at[i];
        *one = (struct studbay_sheet){of->number, of->title, file_name(arena, of)};
        list[i] = one;
    }
    s->arena = arena;
    s->paper = paper;
    s->targets = targets_of(arena, paper);
    s->list = list;
    s->count = paper->sheets.n;
}

/* What its caller holds must be there as long as the plan, whatever becomes of that. */
static struct studbay_sheets *new_sheets(struct studbay_plan *plan)
{
    struct studbay_sheets *s = memory_take(sizeof *s);
    if (!s)
        memory_missing();
    memory_keep(s);
    s->plan = plan;
    s->before = plan->drawn;
    return plan->drawn = s;
}

struct drawing_asked {
    const char *name;
    struct studbay_wants wants;
    struct studbay_sheets *made;
};

static enum studbay_status refuse_drawing(struct studbay_plan *plan, const char *name)
{
    const char *names[DRAWING_COUNT];
    for (uint32_t i = 0; i < DRAWING_COUNT; i++)
        names[i] = drawing_list[i].name;
    return handle_refuse_unknown(plan, "drawing", name, names, DRAWING_COUNT);
}

/* The paper that is wanted; PAPER_SIZES, with the reason, where there is none of that name. */
static enum paper_size read_paper(struct studbay_plan *plan, const char *name)
{
    if (!name)
        return PAPER_BY_USE;
    for (int i = PAPER_BY_USE + 1; i < PAPER_SIZES; i++)
        if (!strcmp(sheets_paper_names[i], name))
            return (enum paper_size)i;
    handle_refuse_unknown(plan, "paper", name, sheets_paper_names + PAPER_BY_USE + 1,
                          PAPER_SIZES - PAPER_BY_USE - 1);
    return PAPER_SIZES;
}

static enum studbay_status draw(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)out;
    struct drawing_asked *asked = *(struct drawing_asked *const *)with;
    const struct sheet_kind *kinds[DRAWING_COUNT];
    uint32_t count = sheets_by_name(asked->name, kinds);
    bool cuts = false;
    for (uint32_t i = 0; i < count; i++)
        cuts |= (kinds[i]->in & WITH_CUTS) != 0;
    if (!count)
        return refuse_drawing(plan, asked->name);
    struct results *all;
    enum studbay_status status;
    if (!handle_proven(plan, cuts, &all, &status))
        return status;
    struct results *r = arena_new(all->arena, struct results);
    struct label_sheet *grid = arena_new(all->arena, struct label_sheet);
    *r = *all;
    enum paper_size size = read_paper(plan, asked->wants.paper);
    if (size == PAPER_SIZES || !choose_things(plan, &asked->wants, r))
        return STUDBAY_NO_SUCH;
    if (kinds[0]->draw == sheets_labels) {
        status = handle_read_labels(plan, asked->wants.labels, grid);
        r->sheet = grid;
    }
    if (status != STUDBAY_DONE)
        return status;
    struct paper *paper = sheets_make(r, size, false, kinds, count);
    if (!paper->sheets.n)
        return STUDBAY_NOTHING;
    asked->made = new_sheets(plan);
    handle_fill_sheets(asked->made, r->arena, paper);
    return STUDBAY_DONE;
}

enum studbay_status studbay_draw(struct studbay_plan *plan, const char *name,
                                 const struct studbay_wants *wants, struct studbay_sheets **sheets)
{
    struct drawing_asked asked = {.name = name}, *to = &asked;
    if (!name || !sheets || !handle_read_wants(wants, &asked.wants))
        return STUDBAY_MISUSE;
    enum studbay_status status = handle_call(plan, draw, &to, NULL);
    *sheets = status == STUDBAY_DONE ? asked.made : NULL;
    return status;
}

const struct studbay_sheet *const *studbay_sheet_list(const struct studbay_sheets *sheets,
                                                      size_t *count)
{
    bool there = sheets && !(sheets->plan && sheets->plan->ended);
    if (count)
        *count = there ? sheets->count : 0;
    return there ? sheets->list : NULL;
}

/* --- files -------------------------------------------------------------------------------- */

struct links {
    const struct studbay_sheets *all;
    const struct sheet *from; /* NULL: all are in one picture */
    bool beside;              /* the other sheets lie beside this one */
};

/* A place on this sheet, in a file beside it, or on one above or below it. */
static const char *link_to(void *context, const char *name)
{
    struct links *l = context;
    struct arena *arena = l->all->arena;
    const struct target *t = targets_find(l->all->targets, name);
    const char *id = svg_id(arena, name);
    if (t && !l->from)
        return arena_printf(arena, "#%s%s", svg_prefix(arena, t->page, t->sheet), id);
    if (!t || (t->sheet != l->from && !l->beside))
        return NULL;
    if (t->sheet == l->from)
        return arena_printf(arena, "#%s", id);
    return arena_printf(arena, "%s.svg#%s", file_name(arena, t->sheet), id);
}

static void write_svg(const struct studbay_sheets *s, size_t which, bool beside, struct buf *out)
{
    bool all = which == STUDBAY_EVERY_SHEET && s->count > 1;
    const struct sheet *one = all ? NULL : s->paper->sheets.at[which < s->count ? which : 0];
    struct links links = {s, one, beside};
    struct svg_use use = {.alone = !all, .target = link_to, .context = &links};
    if (all)
        svg_write_column(s->paper, use, out);
    else
        svg_write(one, use, out);
}

static const char *write_pdf(const struct studbay_sheets *s, size_t which,
                             const struct studbay_wants *wants, struct buf *out)
{
    struct pdf_use use = {.producer = "studbay " STUDBAY_VERSION,
                          .date = wants->dated ? wants->date : PDF_NO_DATE};
    struct paper one = *s->paper;
    if (which != STUDBAY_EVERY_SHEET) {
        one.sheets = (sheet_list){0};
        *vec_push(s->arena, &one.sheets) = s->paper->sheets.at[which];
    }
    return pdf_write(&one, use, out);
}

static const char *write_png(const struct studbay_sheets *s, size_t which, unsigned dpi,
                             struct buf *out)
{
    if (which == STUDBAY_EVERY_SHEET && s->count > 1)
        return "these are several sheets and png holds one";
    if (dpi && (dpi < PNG_LEAST_DPI || dpi > PNG_MOST_DPI))
        return arena_printf(s->arena, "png has from %d to %d points to the inch", PNG_LEAST_DPI,
                            PNG_MOST_DPI);
    return png_write(s->paper->sheets.at[which < s->count ? which : 0], dpi ? dpi : PNG_DPI, out);
}

static enum format format_called(const char *name)
{
    int i = name ? 0 : AS_SVG;
    while (name && i < FORMATS && strcmp(formats[i], name) != 0)
        i++;
    return (enum format)i;
}

const char *handle_make_sheet(const struct studbay_sheets *s, size_t which,
                              const struct studbay_wants *wants, struct buf *out)
{
    switch (format_called(wants->format)) {
    case AS_PDF:
        return write_pdf(s, which, wants, out);
    case AS_PNG:
        return write_png(s, which, wants->dpi, out);
    default:
        write_svg(s, which, wants->beside, out);
        return NULL;
    }
}

struct sheet_asked {
    const struct studbay_sheets *sheets;
    size_t which;
    struct studbay_wants wants;
};

static enum studbay_status write_sheet(struct studbay_plan *plan, const void *with, struct buf *out)
{
    const struct sheet_asked *asked = with;
    if (format_called(asked->wants.format) == FORMATS)
        return handle_refuse_unknown(plan, "format", asked->wants.format, formats, FORMATS);
    if (asked->which != STUDBAY_EVERY_SHEET && asked->which >= asked->sheets->count)
        return handle_refuse(plan, "there are %zu sheets", asked->sheets->count);
    const char *fault = handle_make_sheet(asked->sheets, asked->which, &asked->wants, out);
    return fault ? handle_not_made(plan, fault) : STUDBAY_DONE;
}

enum studbay_status studbay_write_sheet(struct studbay_sheets *sheets, size_t which,
                                        const struct studbay_wants *wants,
                                        struct studbay_writer writer)
{
    struct sheet_asked asked = {.sheets = sheets, .which = which};
    if (!sheets || !sheets->plan || !handle_read_wants(wants, &asked.wants))
        return STUDBAY_MISUSE;
    return handle_call(sheets->plan, write_sheet, &asked, &writer);
}

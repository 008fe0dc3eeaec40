#include "paper/png.h"

#include "base/program.h"
#include "paper/pdf.h"

/* What a large sheet takes at most, with room to spare. */
static const struct program_limits limits = {.seconds = 120, .bytes = (size_t)512 << 20};

enum { MOST_POINTS = 400000000 };

/* Why a picture would be too large, or NULL. */
static const char *too_large(const struct sheet *s, unsigned dpi)
{
    double points = (double)s->width / PAPER_INCH * dpi * ((double)s->height / PAPER_INCH) * dpi;
    if (points <= MOST_POINTS)
        return NULL;
    return arena_printf(s->paper->arena,
                        "sheet %s at %u points to the inch is a picture of %.0f million points, "
                        "and %d million are the most",
                        s->number, dpi, points / 1e6, MOST_POINTS / 1000000);
}

const char *png_write(const struct sheet *s, unsigned dpi, struct buf *out)
{
    struct arena *arena = s->paper->arena;
    char name[] = "pdftoppm", quiet[] = "-q", png[] = "-png", resolution[] = "-r",
         single[] = "-singlefile", input[] = "-";
    char *words[] = {name,  quiet, png, single, resolution, arena_printf(arena, "%u", dpi),
                     input, NULL};
    struct program program = {.words = words,
                              .needs = "png needs poppler's program pdftoppm",
                              .instead = "svg and pdf work without it",
                              .limits = limits};
    struct paper one = *s->paper;
    struct buf pdf = {0};
    one.sheets = (sheet_list){0};
    *vec_push(arena, &one.sheets) = (struct sheet *)s;
    const char *fault = too_large(s, dpi);
    if (!fault)
        fault = pdf_write(&one, (struct pdf_use){"", PDF_NO_DATE}, &pdf);
    if (!fault)
        fault = program_run(arena, &program, &pdf, out);
    buf_free(&pdf);
    return fault;
}

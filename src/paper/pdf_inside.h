/* What the parts of the PDF writer share: how numbers are written, the faces' codes, and libharu.
 *
 * A mark's place on a page is written in thousandths of a point (1/72 inch, ISO 32000-1, 8.3.2.3),
 * reckoned in whole numbers, so that nothing depends on the machine. */
#ifndef STUDBAY_PAPER_PDF_INSIDE_H
#define STUDBAY_PAPER_PDF_INSIDE_H

#include "base/buf.h"
#include "base/map.h"
#include "paper/paper.h"

#include <hpdf.h>
#include <setjmp.h>

/* Thousandths of a point. */
typedef int64_t mpt;

/* The nearest to that many micrometres. */
mpt pdf_points(um length);

/* Thousandths as a decimal without needless zeros, and a blank. */
void pdf_number(struct buf *out, int64_t thousandths);

/* --- faces ----------------------------------------------------------------------------------- */

enum { PDF_FACES = 2, PDF_ASCII = 0x80, PDF_MOST_CODES = 0xffff };

/* The codes of a face's letters in texts, in the order in which they are first used, from 1. */
struct pdf_face {
    uint16_t ascii[PDF_ASCII];
    struct map codes; /* (0, letter) -> its place in `letters` */
    VEC(uint32_t) letters;
    HPDF_Dict font;
};

struct pdf_faces {
    struct arena *arena;
    const struct fonts *fonts;
    struct pdf_face face[PDF_FACES];
};

/* The code of a letter. */
unsigned pdf_code(struct pdf_faces *faces, bool bold, uint32_t letter);

/* --- pages ----------------------------------------------------------------------------------- */

/* What is drawn on a sheet, as the operators of a page (ISO 32000-1, annex A); its fonts are F0,
 * the regular one, and F1. */
void pdf_draw(const struct sheet *s, struct pdf_faces *faces, struct buf *out);

/* --- libharu --------------------------------------------------------------------------------- */

struct pdf {
    HPDF_Doc doc;
    jmp_buf stop;
    HPDF_STATUS error;  /* why it stopped */
    struct arena arena; /* of what is wanted while it is written */
    struct buf bytes;
};

/* Ends the writing where a call failed: an object that it did not make, a status that is not
 * HPDF_OK. */
void *pdf_made(struct pdf *pdf, void *object);
void pdf_done(struct pdf *pdf, HPDF_STATUS status);

/* A new object that others refer to. */
HPDF_Dict pdf_object(struct pdf *pdf);

/* Room for the bytes of the next stream, empty. */
struct buf *pdf_bytes(struct pdf *pdf);

/* A new object with these bytes behind it, which are written compressed. */
HPDF_Dict pdf_stream(struct pdf *pdf);

/* A text as it stands outside of pages: UTF-16 with its mark (ISO 32000-1, 7.9.2.2). */
HPDF_Binary pdf_text(struct pdf *pdf, const char *text);

/* A face as a composite font with the codes that were given (ISO 32000-1, 9.7). */
void pdf_embed(struct pdf *pdf, const struct pdf_faces *faces, bool bold);

#endif

/* A document as PDF (ISO 32000-1), by libharu: it writes objects and streams and keeps pages,
 * outlines and links; what is drawn is in pdf_page.c, the faces in pdf_font.c.
 *
 * Its calls tell a fault and go on; here the first one ends the writing, and the document is given
 * back with all that hangs on it. Its own pool of memory is not used, since blocks lie askew in it,
 * and it is never told that memory has ended, since it goes on then. */
#include "paper/pdf.h"

#include "base/memory.h"
#include "base/utf8.h"
#include "paper/pdf_inside.h"
#include "paper/targets.h"

#include <hpdf_catalog.h>
#include <string.h>
#include <time.h>

struct writing {
    struct pdf pdf;
    const struct paper *paper;
    struct pdf_use use;
    struct pdf_faces faces;
    struct targets *targets;
    struct map places; /* (0, target) -> where a link leads */
    VEC(HPDF_Page) pages;
};

void *pdf_made(struct pdf *pdf, void *object)
{
    if (!object) {
        pdf->error = pdf->doc->error.error_no;
        longjmp(pdf->stop, 1);
    }
    return object;
}

void pdf_done(struct pdf *pdf, HPDF_STATUS status)
{
    if (status == HPDF_OK)
        return;
    pdf->error = status;
    longjmp(pdf->stop, 1);
}

HPDF_Dict pdf_object(struct pdf *pdf)
{
    HPDF_Dict object = pdf_made(pdf, HPDF_Dict_New(pdf->doc->mmgr));
    pdf_done(pdf, HPDF_Xref_Add(pdf->doc->xref, object));
    return object;
}

struct buf *pdf_bytes(struct pdf *pdf)
{
    pdf->bytes.n = 0;
    return &pdf->bytes;
}

static void put_bytes(struct pdf *pdf, HPDF_Stream stream)
{
    if (pdf->bytes.n)
        pdf_done(pdf, HPDF_Stream_Write(stream, (const HPDF_BYTE *)pdf->bytes.at,
                                        (HPDF_UINT)pdf->bytes.n));
}

HPDF_Dict pdf_stream(struct pdf *pdf)
{
    HPDF_Dict object = pdf_made(pdf, HPDF_DictStream_New(pdf->doc->mmgr, pdf->doc->xref));
    object->filter = HPDF_STREAM_FILTER_FLATE_DECODE;
    put_bytes(pdf, object->stream);
    return object;
}

/* --- texts outside of pages ------------------------------------------------------------------ */

static void put_unit(struct buf *out, unsigned unit)
{
    buf_putc(out, (char)(unit >> 8));
    buf_putc(out, (char)(unit & 0xff));
}

/* A title is read, not kept: what is longer than libharu's texts may be ends there. */
HPDF_Binary pdf_text(struct pdf *pdf, const char *text)
{
    enum { MOST = 60000 };
    struct buf *b = pdf_bytes(pdf);
    const char *end = text + strlen(text);
    put_unit(b, 0xfeff);
    for (size_t len; text < end && b->n < MOST; text += len) {
        uint32_t c = utf8_next(text, end, &len);
        if (c == UTF8_BAD || utf8_is_hidden(c))
            c = 0xfffd;
        if (c == '\n' || c == '\t')
            c = ' ';
        if (c > 0xffff) {
            put_unit(b, 0xd800 + (unsigned)((c - 0x10000) >> 10));
            c = 0xdc00 + ((c - 0x10000) & 0x3ff);
        }
        put_unit(b, c);
    }
    return pdf_made(pdf, HPDF_Binary_New(pdf->doc->mmgr, (HPDF_BYTE *)b->at, (HPDF_UINT)b->n));
}

static void add_text(struct writing *w, HPDF_Dict dict, const char *key, const char *text)
{
    pdf_done(&w->pdf, HPDF_Dict_Add(dict, key, pdf_text(&w->pdf, text)));
}

static void add_dates(struct writing *w)
{
    struct tm t;
    time_t date = (time_t)w->use.date;
    if (w->use.date < 0 || !gmtime_r(&date, &t))
        return;
    HPDF_Date d = {.year = t.tm_year + 1900,
                   .month = t.tm_mon + 1,
                   .day = t.tm_mday,
                   .hour = t.tm_hour,
                   .minutes = t.tm_min,
                   .seconds = t.tm_sec,
                   .ind = 'Z'};
    pdf_done(&w->pdf, HPDF_SetInfoDateAttr(w->pdf.doc, HPDF_INFO_CREATION_DATE, d));
    pdf_done(&w->pdf, HPDF_SetInfoDateAttr(w->pdf.doc, HPDF_INFO_MOD_DATE, d));
}

/* The producer that libharu names itself by goes: bytes do not depend on its version. */
static void add_info(struct writing *w)
{
    HPDF_Doc doc = w->pdf.doc;
    pdf_done(&w->pdf, HPDF_SetInfoAttr(doc, HPDF_INFO_PRODUCER, ""));
    add_text(w, doc->info, "Producer", w->use.producer);
    add_text(w, doc->info, "Title", w->paper->title);
    if (w->paper->author)
        add_text(w, doc->info, "Author", w->paper->author);
    add_dates(w);
}

/* Printed as large as it is, on paper of its size; the language is that of our words. */
static void add_catalog(struct writing *w)
{
    struct pdf *pdf = &w->pdf;
    HPDF_Catalog catalog = pdf->doc->catalog;
    pdf_done(pdf, HPDF_SetViewerPreference(pdf->doc, HPDF_PRINT_SCALING_NONE));
    HPDF_Dict preferences =
        pdf_made(pdf, HPDF_Dict_GetItem(catalog, "ViewerPreferences", HPDF_OCLASS_DICT));
    pdf_done(pdf, HPDF_Dict_AddBoolean(preferences, "DisplayDocTitle", HPDF_TRUE));
    pdf_done(pdf, HPDF_Dict_AddBoolean(preferences, "PickTrayByPDFSize", HPDF_TRUE));
    pdf_done(pdf, HPDF_Dict_Add(catalog, "Lang",
                                pdf_made(pdf, HPDF_String_New(pdf->doc->mmgr, "en-US", NULL))));
    pdf->doc->pdf_version = HPDF_VER_17; /* texts for a span are of 1.5, the scaling of 1.6 */
}

/* --- pages ----------------------------------------------------------------------------------- */

static float points(um length)
{
    return (float)((double)length * 72 / (double)PAPER_INCH);
}

static void add_page(struct writing *w, const struct sheet *s, uint32_t number)
{
    struct pdf *pdf = &w->pdf;
    HPDF_Page page = pdf_made(pdf, HPDF_AddPage(pdf->doc));
    pdf_done(pdf, HPDF_Page_SetWidth(page, points(s->width)));
    pdf_done(pdf, HPDF_Page_SetHeight(page, points(s->height)));
    HPDF_Dict label = pdf_made(pdf, HPDF_Dict_New(pdf->doc->mmgr));
    add_text(w, label, "P", s->number);
    pdf_done(pdf, HPDF_Catalog_AddPageLabel(pdf->doc->catalog, number, label));
    pdf_draw(s, &w->faces, pdf_bytes(pdf));
    HPDF_Dict contents = pdf_made(pdf, HPDF_Dict_GetItem(page, "Contents", HPDF_OCLASS_DICT));
    contents->filter = HPDF_STREAM_FILTER_FLATE_DECODE;
    put_bytes(pdf, contents->stream);
    *vec_push(&pdf->arena, &w->pages) = page;
}

/* The faces that the document uses, for each page. */
static void add_faces(struct writing *w)
{
    static const char *const names[PDF_FACES] = {"F0", "F1"};
    struct pdf *pdf = &w->pdf;
    HPDF_Dict fonts = pdf_object(pdf);
    for (int i = 0; i < PDF_FACES; i++) {
        if (!w->faces.face[i].letters.n)
            continue;
        w->faces.face[i].font = pdf_object(pdf);
        pdf_done(pdf, HPDF_Dict_Add(fonts, names[i], w->faces.face[i].font));
        pdf_embed(pdf, &w->faces, i);
    }
    for (uint32_t i = 0; i < w->pages.n; i++) {
        HPDF_Dict resources = HPDF_Dict_GetItem(w->pages.at[i], "Resources", HPDF_OCLASS_DICT);
        pdf_done(pdf, HPDF_Dict_Add(pdf_made(pdf, resources), "Font", fonts));
    }
}

/* --- links ----------------------------------------------------------------------------------- */

static um within(um value, um most)
{
    return value < 0 ? 0 : value > most ? most : value;
}

/* A little above and before what is looked for. */
static HPDF_Destination place_of(struct writing *w, const struct target *t)
{
    enum { AROUND = 5000 };
    struct pdf *pdf = &w->pdf;
    void **known = map_at(&pdf->arena, &w->places, 0, (uintptr_t)t);
    if (*known)
        return *known;
    const struct sheet *s = t->sheet;
    um x = within(t->at.x - AROUND, s->width), y = within(t->at.y - AROUND, s->height);
    HPDF_Destination place = pdf_made(pdf, HPDF_Page_CreateDestination(w->pages.at[t->page]));
    pdf_done(pdf, HPDF_Destination_SetXYZ(place, points(x), points(s->height - y), 1));
    HPDF_Real zoom = pdf_made(pdf, HPDF_Array_GetItem(place, 4, HPDF_OCLASS_REAL));
    pdf_done(pdf, HPDF_Real_SetValue(zoom, 0)); /* as large as one has it */
    *known = place;
    return place;
}

/* An address in the letters that it may have (RFC 3986): all others as their bytes. */
static const char *address(struct arena *arena, const char *text)
{
    static const char plain[] = "-._~:/?#[]@!$&'*+,;=%()";
    char *out = arena_alloc(arena, 3 * strlen(text) + 1), *to = out;
    for (; *text; text++) {
        unsigned char c = (unsigned char)*text;
        bool word = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
        if (word || strchr(plain, c)) {
            *to++ = (char)c;
        } else {
            *to++ = '%';
            *to++ = "0123456789ABCDEF"[c >> 4];
            *to++ = "0123456789ABCDEF"[c & 15];
        }
    }
    return out;
}

/* Nothing for a link that leads nowhere, or of which nothing lies on the page. */
static void add_link(struct writing *w, const struct sheet *s, HPDF_Page page, const struct mark *m)
{
    enum { LONGEST = 2000 };
    struct pdf *pdf = &w->pdf;
    struct area a = {within(m->box.left, s->width), within(m->box.top, s->height),
                     within(m->box.right, s->width), within(m->box.bottom, s->height)};
    HPDF_Rect box = {points(a.left), points(s->height - a.bottom), points(a.right),
                     points(s->height - a.top)};
    if (a.left >= a.right || a.top >= a.bottom)
        return;
    HPDF_Annotation link;
    if (m->text[0] == '#') {
        const struct target *t = targets_find(w->targets, m->text + 1);
        if (!t)
            return;
        link = HPDF_Page_CreateLinkAnnot(page, box, place_of(w, t));
    } else {
        if (!target_is_page(m->text) || strlen(m->text) > LONGEST)
            return;
        link = HPDF_Page_CreateURILinkAnnot(page, box, address(&pdf->arena, m->text));
    }
    pdf_done(pdf, HPDF_LinkAnnot_SetBorderStyle(pdf_made(pdf, link), 0, 0, 0));
}

static void add_links(struct writing *w)
{
    for (uint32_t i = 0; i < w->paper->sheets.n; i++) {
        const struct sheet *s = w->paper->sheets.at[i];
        for (uint32_t k = 0; k < s->marks.n; k++)
            if (s->marks.at[k].kind == MARK_LINK)
                add_link(w, s, w->pages.at[i], &s->marks.at[k]);
    }
}

/* --- outline --------------------------------------------------------------------------------- */

static HPDF_Outline add_entry(struct writing *w, HPDF_Outline above, const char *title,
                              HPDF_Page page)
{
    struct pdf *pdf = &w->pdf;
    HPDF_Outline entry = pdf_made(pdf, HPDF_CreateOutline(pdf->doc, above, "-", NULL));
    HPDF_Destination place = pdf_made(pdf, HPDF_Page_CreateDestination(page));
    add_text(w, entry, "Title", title);
    pdf_done(pdf, HPDF_Destination_SetFit(place));
    pdf_done(pdf, HPDF_Outline_SetDestination(entry, place));
    return entry;
}

/* Sheets one behind the other that are of one series stand below it. */
static void add_outline(struct writing *w)
{
    HPDF_Outline series = NULL;
    const char *name = NULL;
    for (uint32_t i = 0; i < w->paper->sheets.n; i++) {
        const struct sheet *s = w->paper->sheets.at[i];
        if (!s->series)
            series = NULL;
        else if (!name || strcmp(name, s->series) != 0)
            series = add_entry(w, NULL, s->series, w->pages.at[i]);
        name = s->series;
        add_entry(w, series, arena_printf(&w->pdf.arena, "%s  %s", s->number, s->title),
                  w->pages.at[i]);
    }
    if (w->paper->sheets.n > 1)
        pdf_done(&w->pdf, HPDF_SetPageMode(w->pdf.doc, HPDF_PAGE_MODE_USE_OUTLINE));
}

/* --- documents ------------------------------------------------------------------------------- */

static void write_document(struct writing *w)
{
    w->faces = (struct pdf_faces){.arena = &w->pdf.arena, .fonts = w->paper->fonts};
    w->targets = targets_of(&w->pdf.arena, w->paper);
    add_info(w);
    add_catalog(w);
    for (uint32_t i = 0; i < w->paper->sheets.n; i++)
        add_page(w, w->paper->sheets.at[i], i);
    add_links(w);
    add_outline(w);
    add_faces(w);
    pdf_done(&w->pdf, HPDF_SaveToStream(w->pdf.doc));
    pdf_done(&w->pdf, HPDF_GetError(w->pdf.doc));
}

static void read_back(struct pdf *pdf, struct buf *out)
{
    HPDF_UINT32 size = HPDF_GetStreamSize(pdf->doc);
    size_t before = out->n;
    buf_reserve(out, size);
    HPDF_STATUS status = HPDF_ReadFromStream(pdf->doc, (HPDF_BYTE *)out->at + before, &size);
    if (status != HPDF_STREAM_EOF)
        pdf_done(pdf, status);
    out->n = before + size;
}

/* What a sheet cannot be as a page (ISO 32000-1, annex C), or NULL. */
static const char *fault_of(const struct paper *paper)
{
    enum { LEAST = 3, MOST = 14400 }; /* points */
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        const struct sheet *s = paper->sheets.at[i];
        um least = s->width < s->height ? s->width : s->height,
           most = s->width < s->height ? s->height : s->width;
        if (points(least) < LEAST || points(most) > MOST)
            return arena_printf(paper->arena, "sheet %s is larger or smaller than a page can be",
                                s->number);
    }
    return paper->sheets.n ? NULL : "there is no sheet to write";
}

/* libharu keeps the error, and who called asks for it. */
static void keep_quiet(HPDF_STATUS error, HPDF_STATUS detail, void *context)
{
    (void)error;
    (void)detail;
    (void)context;
}

/* Where there is none libharu is told so, and returns: a jump out of it would leave what it packs
 * with, which is zlib's own. */
static void *take(HPDF_UINT size)
{
    return memory_take_noted(size);
}

static const char *write_all(struct writing *w, struct buf *out)
{
    enum { NO_POOL = 0 };
    w->pdf.doc = HPDF_NewEx(keep_quiet, take, memory_give, NO_POOL, NULL);
    if (!w->pdf.doc)
        memory_missing();
    if (setjmp(w->pdf.stop)) {
        memory_check();
        return arena_printf(w->paper->arena, "the PDF cannot be written: error %04lx of libharu",
                            w->pdf.error);
    }
    write_document(w);
    read_back(&w->pdf, out);
    memory_check();
    return NULL;
}

const char *pdf_write(const struct paper *paper, struct pdf_use use, struct buf *out)
{
    const char *fault = fault_of(paper);
    if (fault)
        return fault;
    struct writing *w = arena_new(paper->arena, struct writing);
    *w = (struct writing){.paper = paper, .use = use};
    fault = write_all(w, out);
    if (w->pdf.doc)
        HPDF_Free(w->pdf.doc);
    arena_free(&w->pdf.arena);
    buf_free(&w->pdf.bytes);
    return fault;
}

/* A face in a PDF: a composite font whose codes are the letters of the document in the order in
 * which they came, so that each is itself for who copies a text, drawn or not. */
#include "paper/pdf_inside.h"

#include "paper/font.h"

#include <string.h>

static void put_utf16(struct buf *out, uint32_t letter)
{
    if (letter > 0xffff)
        buf_printf(out, "%04x%04x", (unsigned)(0xd800 + ((letter - 0x10000) >> 10)),
                   (unsigned)(0xdc00 + ((letter - 0x10000) & 0x3ff)));
    else
        buf_printf(out, "%04x", (unsigned)letter);
}

/* What each code means, as a CMap (ISO 32000-1, 9.10.3), a hundred in a block at most. */
static void add_meanings(struct pdf *pdf, const struct pdf_face *f)
{
    enum { BLOCK = 100 };
    struct buf *b = pdf_bytes(pdf);
    buf_puts(b, "/CIDInit /ProcSet findresource begin 12 dict begin begincmap\n"
                "/CIDSystemInfo <</Registry (Adobe) /Ordering (UCS) /Supplement 0>> def\n"
                "/CMapName /Adobe-Identity-UCS def /CMapType 2 def\n"
                "1 begincodespacerange <0000> <ffff> endcodespacerange\n");
    for (uint32_t i = 0; i < f->letters.n; i++) {
        uint32_t left = f->letters.n - i;
        if (i % BLOCK == 0)
            buf_printf(b, "%u beginbfchar\n", left < BLOCK ? left : BLOCK);
        buf_printf(b, "<%04x> <", i + 1);
        put_utf16(b, f->letters.at[i]);
        buf_puts(b, ">\n");
        if (i % BLOCK == BLOCK - 1 || left == 1)
            buf_puts(b, "endbfchar\n");
    }
    buf_puts(b, "endcmap CMapName currentdict /CMap defineresource pop end end\n");
    HPDF_Dict meanings = pdf_stream(pdf);
    pdf_done(pdf, HPDF_Dict_Add(f->font, "ToUnicode", meanings));
}

/* The width of a letter in thousandths of the font's size. */
static HPDF_REAL width_of(const struct pdf_faces *faces, bool bold, uint32_t letter)
{
    enum { MILLION = 1000000 };
    return (HPDF_REAL)((double)fonts_letter_width(faces->fonts, bold, MILLION, letter) / 1000);
}

/* The widths of the codes in order, in lists as long as libharu's may be. */
static void add_widths(struct pdf *pdf, const struct pdf_faces *faces, bool bold, HPDF_Dict cid)
{
    enum { LONGEST = 1000 };
    const struct pdf_face *f = &faces->face[bold];
    HPDF_Array all = pdf_made(pdf, HPDF_Array_New(pdf->doc->mmgr)), run = NULL;
    pdf_done(pdf, HPDF_Dict_Add(cid, "W", all));
    for (uint32_t i = 0; i < f->letters.n; i++) {
        if (i % LONGEST == 0) {
            run = pdf_made(pdf, HPDF_Array_New(pdf->doc->mmgr));
            pdf_done(pdf, HPDF_Array_AddNumber(all, (HPDF_INT32)i + 1));
            pdf_done(pdf, HPDF_Array_Add(all, run));
        }
        pdf_done(pdf, HPDF_Array_AddReal(run, width_of(faces, bold, f->letters.at[i])));
    }
}

/* The glyph of each code, 0 for the empty box, two bytes each; they are marked as used. */
static void add_glyphs(struct pdf *pdf, const struct pdf_face *f, HPDF_FontDef def, HPDF_Dict cid)
{
    struct buf *b = pdf_bytes(pdf);
    buf_fill(b, 0, 2);
    for (uint32_t i = 0; i < f->letters.n; i++) {
        uint32_t letter = f->letters.at[i];
        unsigned glyph = 0;
        if (letter <= 0xffff) {
            HPDF_TTFontDef_GetCharWidth(def, (HPDF_UINT16)letter);
            glyph = HPDF_TTFontDef_GetGlyphid(def, (HPDF_UINT16)letter);
        }
        buf_putc(b, (char)(glyph >> 8));
        buf_putc(b, (char)(glyph & 0xff));
    }
    HPDF_Dict map = pdf_stream(pdf);
    pdf_done(pdf, HPDF_Dict_Add(cid, "CIDToGIDMap", map));
}

/* Six capitals before its name tell one choice of letters from another (ISO 32000-1, 9.6.4). */
static const char *name_choice(struct pdf *pdf, const struct pdf_face *f, bool bold)
{
    char tag[HPDF_TTF_FONT_TAG_LEN + 1] = "";
    uint64_t hash = map_hash_bytes(f->letters.at, f->letters.n * sizeof *f->letters.at);
    for (int i = 0; i < HPDF_TTF_FONT_TAG_LEN; i++, hash /= 26)
        tag[i] = (char)('A' + hash % 26);
    return arena_printf(&pdf->arena, "%s+LiberationSans%s", tag, bold ? "-Bold" : "");
}

static HPDF_FontDef read_face(struct pdf *pdf, bool bold)
{
    struct font_file file = fonts_file(bold);
    HPDF_Stream stream = pdf_made(pdf, HPDF_MemStream_New(pdf->doc->mmgr, (HPDF_UINT)file.size));
    pdf_done(pdf, HPDF_Stream_Write(stream, file.at, (HPDF_UINT)file.size));
    HPDF_FontDef def = pdf_made(pdf, HPDF_TTFontDef_Load(pdf->doc->mmgr, stream, HPDF_TRUE));
    pdf_done(pdf, HPDF_Doc_RegisterFontDef(pdf->doc, def));
    return def;
}

static HPDF_Dict descriptor_of(struct pdf *pdf, HPDF_FontDef def, const char *name)
{
    enum { NOT_SYMBOLIC = 32 };
    const HPDF_TTFontDefAttr_Rec *inside = def->attr;
    HPDF_MMgr mmgr = pdf->doc->mmgr;
    pdf_bytes(pdf);
    HPDF_Dict d = pdf_object(pdf), data = pdf_stream(pdf);
    pdf_done(pdf, HPDF_TTFontDef_SaveFontData(def, data->stream));
    pdf_done(pdf, HPDF_Dict_AddNumber(data, "Length1", (HPDF_INT32)inside->length1));
    pdf_done(pdf, HPDF_Dict_AddName(d, "Type", "FontDescriptor"));
    pdf_done(pdf, HPDF_Dict_AddName(d, "FontName", name));
    pdf_done(pdf, HPDF_Dict_AddNumber(d, "Flags", NOT_SYMBOLIC));
    pdf_done(pdf,
             HPDF_Dict_Add(d, "FontBBox", pdf_made(pdf, HPDF_Box_Array_New(mmgr, def->font_bbox))));
    pdf_done(pdf, HPDF_Dict_AddNumber(d, "ItalicAngle", 0));
    pdf_done(pdf, HPDF_Dict_AddNumber(d, "Ascent", def->ascent));
    pdf_done(pdf, HPDF_Dict_AddNumber(d, "Descent", def->descent));
    pdf_done(pdf, HPDF_Dict_AddNumber(d, "CapHeight", def->cap_height));
    pdf_done(pdf, HPDF_Dict_AddNumber(d, "StemV", def->stemv));
    pdf_done(pdf, HPDF_Dict_Add(d, "FontFile2", data));
    return d;
}

/* "Adobe-Identity": codes are CIDs, and what they are is in CIDToGIDMap alone. */
static HPDF_Dict system_info(struct pdf *pdf)
{
    HPDF_MMgr mmgr = pdf->doc->mmgr;
    HPDF_Dict info = pdf_made(pdf, HPDF_Dict_New(mmgr));
    pdf_done(pdf,
             HPDF_Dict_Add(info, "Registry", pdf_made(pdf, HPDF_String_New(mmgr, "Adobe", NULL))));
    pdf_done(pdf, HPDF_Dict_Add(info, "Ordering",
                                pdf_made(pdf, HPDF_String_New(mmgr, "Identity", NULL))));
    pdf_done(pdf, HPDF_Dict_AddNumber(info, "Supplement", 0));
    return info;
}

void pdf_embed(struct pdf *pdf, const struct pdf_faces *faces, bool bold)
{
    const struct pdf_face *f = &faces->face[bold];
    HPDF_FontDef def = read_face(pdf, bold);
    HPDF_Dict cid = pdf_object(pdf);
    const char *name = name_choice(pdf, f, bold);
    add_glyphs(pdf, f, def, cid);
    pdf_done(pdf, HPDF_Dict_AddName(cid, "Type", "Font"));
    pdf_done(pdf, HPDF_Dict_AddName(cid, "Subtype", "CIDFontType2"));
    pdf_done(pdf, HPDF_Dict_AddName(cid, "BaseFont", name));
    pdf_done(pdf, HPDF_Dict_Add(cid, "CIDSystemInfo", system_info(pdf)));
    pdf_done(pdf, HPDF_Dict_Add(cid, "FontDescriptor", descriptor_of(pdf, def, name)));
    add_widths(pdf, faces, bold, cid);
    HPDF_Array below = pdf_made(pdf, HPDF_Array_New(pdf->doc->mmgr));
    pdf_done(pdf, HPDF_Array_Add(below, cid));
    pdf_done(pdf, HPDF_Dict_AddName(f->font, "Type", "Font"));
    pdf_done(pdf, HPDF_Dict_AddName(f->font, "Subtype", "Type0"));
    pdf_done(pdf, HPDF_Dict_AddName(f->font, "BaseFont", name));
    pdf_done(pdf, HPDF_Dict_AddName(f->font, "Encoding", "Identity-H"));
    pdf_done(pdf, HPDF_Dict_Add(f->font, "DescendantFonts", below));
    add_meanings(pdf, f);
}

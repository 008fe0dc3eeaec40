/* Nothing on any sheet lies where it must not: words on words or walls, symbols on symbols, labels
 * beside foreign things (sheet_counts.h); every word lies on its sheet, and every kind of sheet can
 * be written. */
#include "properties.h"

#include "cmd/cmd.h"
#include "emit/results.h"
#include "paper/pdf.h"
#include "paper/svg.h"
#include "sheet_counts.h"
#include "sheets/sheets.h"

/* A word that leaves the sheet, or NULL. */
static const struct mark *word_beside(const struct sheet *s)
{
    for (uint32_t i = 0; i < s->marks.n; i++) {
        struct area a = paper_mark_area(&s->marks.at[i]);
        if (s->marks.at[i].kind == MARK_TEXT &&
            (a.left < 0 || a.top < 0 || a.right > s->width || a.bottom > s->height))
            return &s->marks.at[i];
    }
    return NULL;
}

/* A plan with errors may put a box a mile from its wall, and a room on another: they are drawn
 * where they are said to be. */
static bool has_fault(const struct sheet *s, bool errors, struct buf *why)
{
    struct buf told = {0};
    struct sheet_counts n = sheet_count(s, &told);
    bool fault = n.all > (errors ? n.of[OUTSIDE] + n.of[IN_OTHER_ROOM] : 0);
    if (fault)
        buf_puts(why, buf_text(&told));
    buf_free(&told);
    return fault;
}

static bool kind_holds(const struct sheet_kind *kind, const struct results *r, struct buf *why)
{
    struct buf out = {0};
    struct paper *p = sheets_make(r, PAPER_BY_USE, false, &kind, 1);
    for (uint32_t i = 0; i < p->sheets.n; i++) {
        const struct mark *beside = word_beside(p->sheets.at[i]);
        if (beside)
            buf_printf(why, "%s: '%s' lies beside the sheet", p->sheets.at[i]->number,
                       beside->text);
        if (beside || has_fault(p->sheets.at[i], r->diag->counts[ERROR] > 0, why))
            return false;
        svg_write(p->sheets.at[i], (struct svg_use){.alone = true}, &out);
    }
    out.n = 0;
    const char *fault = p->sheets.n ? pdf_write(p, (struct pdf_use){"", PDF_NO_DATE}, &out) : NULL;
    buf_free(&out);
    if (fault)
        buf_printf(why, "%s: %s", kind->name, fault);
    return !fault;
}

property_function property_sheets;

bool property_sheets(const struct subject *s, struct buf *why)
{
    struct results r;
    if (!s->c->model || !cmd_results(s->c, &r))
        return true;
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        if (!kind_holds(&sheet_kinds[i], &r, why))
            return false;
    return true;
}

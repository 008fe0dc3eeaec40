#include "sheets/sheets.h"

#include "base/names.h"
#include "diag/diag.h"
#include "diag/render.h"
#include "emit/words/circuits.h"
#include "wiring/protect.h"

#include <string.h>

const struct sheet_kind sheet_kinds[] = {
#define SHEETS(name, number, series, function, use, in, doc)                                       \
    {name, number, series, function, use, in, doc},
#include "sheets/sheets.def"
#undef SHEETS
};
const uint32_t sheet_kind_count = sizeof sheet_kinds / sizeof *sheet_kinds;

const struct sheet_drawing sheet_drawings[] = {
#define DRAWING(name, kinds, doc) {name, kinds, doc},
#include "sheets/drawings.def"
#undef DRAWING
};
const uint32_t sheet_drawing_count = sizeof sheet_drawings / sizeof *sheet_drawings;

const char *const sheets_paper_names[PAPER_SIZES] = {
    [PAPER_BY_USE] = "",       [PAPER_LETTER] = "letter", [PAPER_TABLOID] = "tabloid",
    [PAPER_ARCH_D] = "arch-d", [PAPER_A4] = "a4",         [PAPER_A3] = "a3",
    [PAPER_A1] = "a1",
};

const struct sheet_kind *sheets_named(const char *name)
{
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        if (!strcmp(sheet_kinds[i].name, name))
            return &sheet_kinds[i];
    return NULL;
}

/* Whether a list of words has that one. */
static bool has_word(const char *list, const char *word)
{
    size_t len = strlen(word);
    for (const char *at = list; (at = strstr(at, word)); at += len)
        if ((at == list || at[-1] == ' ') && (!at[len] || at[len] == ' '))
            return true;
    return false;
}

uint32_t sheets_by_name(const char *name, const struct sheet_kind **kinds)
{
    const struct sheet_kind *kind = sheets_named(name);
    const char *list = "";
    uint32_t count = 0;
    if (kind)
        kinds[count++] = kind;
    for (uint32_t i = 0; i < sheet_drawing_count; i++)
        if (!strcmp(sheet_drawings[i].name, name))
            list = sheet_drawings[i].kinds;
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        if (has_word(list, sheet_kinds[i].name))
            kinds[count++] = &sheet_kinds[i];
    return count;
}

const struct protected *sheets_protected(struct set *set)
{
    if (!set->protected)
        set->protected = protect(set->r->arena, set->r->model, set->r->routes, set->r->wiring);
    return set->protected;
}

/* --- notes ------------------------------------------------------------------------------------ */

static const char *waiver_note(const struct results *r, const struct finding *f)
{
    struct buf why = {0};
    const char *subject = words_subject(r, f);
    finding_waiver(f, &why);
    const char *note = arena_printf(r->arena, "Waived: %s%s%s, because %s", f->rule->name,
                                    subject ? ", " : "", subject ? subject : "", buf_text(&why));
    buf_free(&why);
    return note;
}

/* The plan's own notes and what it lets stand: said on every sheet. */
static void collect_notes(struct set *set)
{
    const struct results *r = set->r;
    uint32_t most = r->model->notes.n + r->diag->findings.n;
    const char **note = arena_array(r->arena, const char *, (size_t)most + 1);
    for (uint32_t i = 0; i < r->model->notes.n; i++)
        note[set->note_count++] = r->model->notes.at[i];
    for (uint32_t i = 0; i < r->diag->findings.n; i++)
        if (r->diag->findings.at[i].waived)
            note[set->note_count++] = waiver_note(r, &r->diag->findings.at[i]);
    set->notes = note;
}

/* --- the document ----------------------------------------------------------------------------- */

/* "of 30", which is known when all are drawn. */
static void write_totals(struct set *set)
{
    for (uint32_t i = 0; i < set->pages.n; i++) {
        struct page *p = set->pages.at[i];
        p->nth = i + 1;
        p->of = set->pages.n;
        paper_begin(p->s, ROLE_FRAME, NULL, NULL);
        if (p->number_y)
            paper_text(p->s, p->number_x, p->number_y, (struct lettering){.caps = CAPS_WORDS},
                       arena_printf(set->r->arena, "sheet %u of %u", p->nth, p->of));
        paper_end(p->s);
        if (p->late)
            p->late(p);
    }
}

struct paper *sheets_make(const struct results *r, enum paper_size size, bool permit,
                          const struct sheet_kind *const *kinds, uint32_t count)
{
    return sheets_make_told(r, size, permit, kinds, count, NULL);
}

struct paper *sheets_make_told(const struct results *r, enum paper_size size, bool permit,
                               const struct sheet_kind *const *kinds, uint32_t count,
                               const void *told)
{
    const struct model *m = r->model;
    struct set set = {.r = r,
                      .paper = paper_new(r->arena, *m->title ? m->title : "Plan", m->by),
                      .size = size,
                      .permit = permit,
                      .told = told,
                      .metric = size >= PAPER_A4};
    collect_notes(&set);
    for (uint32_t i = 0; i < count; i++) {
        set.kind = kinds[i];
        r->model->code.reader = kinds[i]->name;
        kinds[i]->draw(&set);
    }
    write_totals(&set);
    return set.paper;
}

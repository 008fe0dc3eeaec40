/* What stands on every sheet: border, title, the band of errors, notes and the title strip. */
#include "base/names.h"
#include "diag/diag.h"
#include "emit/words/circuits.h"
#include "sheets/key_plan.h"
#include "sheets/sheets.h"

#include <stdarg.h>
#include <string.h>

enum {
    MARGIN = 10000,
    PAD = 3000,
    STRIP = 35000,
    BAND = 9000,    /* of errors */
    BAND_LINES = 3, /* errors that are listed in it */
    NOTE_ROW = 3200,
    NOTE_LINES = 4, /* lines of notes on a sheet; the first sheet has all */
    WORDS_ROW = 4200,
    PROJECT = 66000, /* columns of the strip */
    LINES = 62000,
    WHERE = 36000,
    NUMBER = 40000,
    TASKS_LEAST = 55000
};

static const struct lettering words = {.caps = CAPS_WORDS}, note = {.caps = CAPS_NOTE},
                              heading = {.caps = CAPS_WORDS, .bold = true};
static const struct pen border = {BLACK, NO_INK, LINE_CUT, DASH_NONE},
                        rule = {BLACK, NO_INK, LINE_EDGE, DASH_NONE};

/* --- paper ------------------------------------------------------------------------------------ */

/* On their long side. */
static const um sizes[PAPER_SIZES][2] = {
    [PAPER_LETTER] = {11 * PAPER_INCH, 17 * PAPER_INCH / 2},
    [PAPER_TABLOID] = {17 * PAPER_INCH, 11 * PAPER_INCH},
    [PAPER_ARCH_D] = {36 * PAPER_INCH, 24 * PAPER_INCH},
    [PAPER_A4] = {297 * MM, 210 * MM},
    [PAPER_A3] = {420 * MM, 297 * MM},
    [PAPER_A1] = {841 * MM, 594 * MM},
};

static enum paper_size size_of(const struct set *set)
{
    if (set->permit && set->kind->use == FOR_TABLE)
        return set->metric ? PAPER_A1 : PAPER_ARCH_D;
    if (set->size != PAPER_BY_USE)
        return set->size;
    return set->kind->use == FOR_TABLE ? PAPER_TABLOID : PAPER_LETTER;
}

/* --- numbers ---------------------------------------------------------------------------------- */

/* Whether a panel is named by these letters: a sheet then is not, since circuits are called by
 * their panels. */
static bool is_panel(const struct set *set, const char *letters, size_t len)
{
    for (uint32_t i = 0; i < set->r->model->panels.n; i++) {
        const char *name = set->r->model->panels.at[i]->name;
        if (name && strlen(name) == len && !memcmp(name, letters, len))
            return true;
    }
    return false;
}

/* The next number of the kind: "W-2", "E103", "E201-2"; letters that a panel has are doubled. */
static const char *next_number(struct set *set)
{
    struct arena *arena = set->r->arena;
    const char *form = set->kind->number, *counted = strchr(form, '%');
    size_t letters = strspn(form, "ABCDEFGHIJKLMNOPQRSTUVWXYZ");
    const char *again = is_panel(set, form, letters) ? arena_copy(arena, form, letters) : "";
    void **at = map_at(arena, &set->numbers, 0, (uintptr_t)names_of(set->r->model->names, form));
    uint32_t *count = *at ? *at : (*at = arena_new(arena, uint32_t));
    ++*count;
    if (!counted)
        return *count == 1 ? arena_printf(arena, "%s%s", again, form)
                           : arena_printf(arena, "%s%s-%u", again, form, *count);
    bool two = !strncmp(counted, "%02u", 4);
    return arena_printf(arena, two ? "%s%.*s%02u" : "%s%.*s%u", again, (int)(counted - form), form,
                        *count);
}

/* --- head ------------------------------------------------------------------------------------- */

/* "NOT TO BE BUILT FROM: 3 errors" and the first of them; what height it takes. */
static um draw_band(struct page *p, um top)
{
    const struct diag *d = p->set->r->diag;
    uint32_t errors = d->counts[ERROR], listed = 0;
    struct arena *arena = p->set->r->arena;
    um left = MARGIN, right = p->s->width - MARGIN, y = top + BAND;
    if (!errors)
        return 0;
    paper_rect(p->s, (struct area){left, top, right, top + BAND}, 0,
               (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    paper_text(
        p->s, (left + right) / 2, top + BAND - (BAND - CAPS_NAME) / 2,
        (struct lettering){.caps = CAPS_NAME, .bold = true, .anchor = AT_MIDDLE, .fill = WHITE},
        arena_printf(arena, "NOT TO BE BUILT FROM: %u error%s", errors, errors == 1 ? "" : "s"));
    for (uint32_t i = 0; i < d->findings.n && listed < BAND_LINES; i++) {
        const struct finding *f = &d->findings.at[i];
        if (f->severity != ERROR || f->waived)
            continue;
        y += NOTE_ROW;
        listed++;
        paper_text(p->s, left + PAD, y, note,
                   paper_cut(p->s, note, right - left - 2 * PAD,
                             arena_printf(arena, "%s: %s", f->rule->name, f->message)));
    }
    if (errors > listed) {
        y += NOTE_ROW;
        paper_text(
            p->s, left + PAD, y, note,
            arena_printf(arena, "and %u more: `studbay check` lists them all", errors - listed));
    }
    return y + PAD / 2 - top;
}

static um draw_title(struct page *p, const char *title, const char *under, um top)
{
    struct lettering large = {.caps = CAPS_TITLE, .bold = true};
    um left = MARGIN + PAD, width = p->s->width - 2 * left, y = top + PAD + CAPS_TITLE;
    paper_text(p->s, left, y, large, paper_cut(p->s, large, width, title));
    if (under) {
        y += WORDS_ROW;
        paper_text(p->s, left, y, words, paper_cut(p->s, words, width, under));
    }
    return y + PAD - top;
}

/* The notes above the strip, as many lines as there is room for; where they begin. */
static um draw_notes(struct page *p)
{
    const struct set *set = p->set;
    um left = MARGIN + PAD, width = p->s->width - 2 * left;
    uint32_t rows = 0, shown = 0, count = set->note_count;
    while (shown < count) {
        uint32_t more = paper_rows(p->s, width, note, set->notes[shown]);
        if (rows + more > NOTE_LINES - (shown + 1 < count))
            break;
        rows += more;
        shown++;
    }
    um top = p->strip.top - (um)(rows + (shown < count)) * NOTE_ROW, y = top + CAPS_NOTE;
    for (uint32_t i = 0; i < shown; i++)
        y += NOTE_ROW * paper_write(p->s, left, y, width, NOTE_ROW, note, set->notes[i]);
    if (shown < count)
        paper_text(p->s, left, y, note,
                   arena_printf(set->r->arena, "%u more note%s: sheet G1 and `studbay check`",
                                count - shown, count - shown == 1 ? "" : "s"));
    return (count ? top : p->strip.top) - PAD;
}

struct page *page_begin_plain(struct set *set, um width, um height, const char *title)
{
    struct page *p = arena_new(set->r->arena, struct page);
    *p = (struct page){
        .set = set,
        .kind = set->kind,
        .s = paper_sheet(set->paper, next_number(set), set->kind->series, title, width, height),
        .wall = NO_WALL};
    p->s->doc = set->kind->doc;
    p->inside = (struct area){0, 0, width, height};
    *vec_push(set->r->arena, &set->pages) = p;
    return p;
}

struct page *page_begin_on(struct set *set, um width, um height, const char *title,
                           const char *under)
{
    struct page *p = page_begin_plain(set, width, height, title);
    p->strip = (struct area){MARGIN, height - MARGIN - STRIP, width - MARGIN, height - MARGIN};
    paper_begin(p->s, ROLE_FRAME, NULL, NULL);
    paper_rect(p->s, (struct area){MARGIN, MARGIN, width - MARGIN, height - MARGIN}, 0, border);
    um top = MARGIN;
    top += draw_band(p, top);
    top += draw_title(p, title, under, top);
    p->inside = (struct area){MARGIN + PAD, top, width - MARGIN - PAD, draw_notes(p)};
    paper_end(p->s);
    return p;
}

struct page *page_begin(struct set *set, const char *title, const char *under)
{
    const um *size = sizes[size_of(set)];
    return page_begin_on(set, size[0], size[1], title, under);
}

/* A page of a document that nobody sees is asked. */
struct area page_room(const struct set *set, struct area *size)
{
    struct set aside = *set;
    aside.numbers = (struct map){0};
    aside.pages.at = NULL;
    aside.pages.n = aside.pages.cap = 0;
    aside.paper = paper_new(set->r->arena, "", NULL);
    const struct page *p = page_begin(&aside, "", "");
    if (size)
        *size = (struct area){0, 0, p->s->width, p->s->height};
    return p->inside;
}

/* --- the strip -------------------------------------------------------------------------------- */

void page_task(struct page *p, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    *vec_push(p->set->r->arena, &p->tasks) = arena_vprintf(p->set->r->arena, format, args);
    va_end(args);
}

void page_key(struct page *p, struct key key)
{
    for (uint32_t i = 0; i < p->keys.n; i++)
        if (!strcmp(p->keys.at[i].words, key.words))
            return;
    *vec_push(p->set->r->arena, &p->keys) = key;
}

void page_key_line(struct page *p, enum dash dash, um width, const char *key_words)
{
    page_key(p, (struct key){.pen = {BLACK, NO_INK, width, dash}, .words = key_words});
}

/* A line of a column, cut to its width; where the next one stands. */
static um strip_line(struct page *p, struct area a, um y, struct lettering l, const char *text)
{
    if (!text)
        return y;
    paper_text(p->s, a.left, y, l, paper_cut(p->s, l, a.right - a.left, text));
    return y + WORDS_ROW;
}

static const char *labelled(struct arena *arena, const char *before, const char *value,
                            const char *blank)
{
    return arena_printf(arena, "%s%s", before, value ? value : blank);
}

static const char *editions(const struct set *set)
{
    const struct edition *e = set->r->model->code.electrical,
                         *home = set->r->model->code.residential;
    return e && home ? arena_printf(set->r->arena, "%s, %s", e->label, home->label)
           : e       ? e->label
           : home    ? home->label
                     : "edition not said";
}

static void strip_project(struct page *p, struct area a)
{
    const struct model *m = p->set->r->model;
    struct arena *arena = p->set->r->arena;
    um y = a.top + CAPS_WORDS;
    y = strip_line(p, a, y, heading, *m->title ? m->title : "Plan");
    if (m->site && paper_rows(p->s, a.right - a.left, note, m->site) == 2)
        y += MM / 2 + NOTE_ROW * paper_write(p->s, a.left, y - MM, a.right - a.left, NOTE_ROW, note,
                                             m->site);
    else
        y = strip_line(p, a, y, words, m->site ? m->site : "Site: ____________________");
    y = strip_line(p, a, y, words, labelled(arena, "Permit: ", m->permit, "____________"));
    y = strip_line(p, a, y, words, labelled(arena, "Drawn by: ", m->by, "____________"));
    y = strip_line(p, a, y, words, editions(p->set));
    strip_line(p, a, y, heading, "Dead, locked, tested before work.");
    paper_text(p->s, a.left, a.bottom, note,
               paper_cut(p->s, note, a.right - a.left, "Local codes and the inspector decide."));
}

static uint32_t rows_of_tasks(const struct page *p, um wide, struct lettering l)
{
    uint32_t rows = 0;
    for (uint32_t i = 0; i < p->tasks.n; i++)
        rows += paper_rows(p->s, wide, l, p->tasks.at[i]);
    return rows;
}

/* In small letters where there are many; what then is too much is cut, each its own row at least
 * while there are rows. */
static void strip_tasks(struct page *p, struct area a)
{
    um left = a.left + CAPS_WORDS + PAD / 2, wide = a.right - left, row = WORDS_ROW,
       y = strip_line(p, a, a.top + CAPS_WORDS, heading, "On this sheet"),
       high = a.bottom - CAPS_WORDS - MM - y;
    struct lettering l = words;
    if ((um)rows_of_tasks(p, wide, l) - 1 > high / row) {
        l = note;
        row = NOTE_ROW;
    }
    uint32_t rows = (uint32_t)(high / row) + 1;
    for (uint32_t i = 0; i < p->tasks.n && rows; i++) {
        uint32_t after = p->tasks.n - i - 1, most = rows > after ? rows - after : 1;
        paper_rect(p->s, (struct area){a.left, y - l.caps, a.left + l.caps, y}, 0,
                   (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
        uint32_t used = paper_write_within(p->s, left, y, wide, row, most, l, p->tasks.at[i]);
        y += row * used;
        rows -= used;
    }
    paper_text(p->s, a.left, a.bottom, words, "Looked at: ______ Date: _____");
}

/* On two lines where there is room for them. */
static void key_words(struct page *p, um x, um y, um width, bool tall, const char *text)
{
    enum { ROW = 2700 };
    bool two = tall && paper_rows(p->s, width, note, text) == 2;
    if (two)
        paper_write(p->s, x, y - ROW / 2 + CAPS_NOTE / 2, width, ROW, note, text);
    else
        paper_text(p->s, x, y + CAPS_NOTE / 2, note, paper_cut(p->s, note, width, text));
}

static void strip_keys(struct page *p, struct area a)
{
    enum { ROW = 4200, TALL = 6000 };
    bool tall = false;
    for (uint32_t i = 0; i < p->keys.n; i++)
        tall |= p->keys.at[i].tall;
    um row = tall ? TALL : ROW, field = tall ? 12000 : 9000,
       y0 = a.top + WORDS_ROW + (CAPS_WORDS + row) / 2, rows = (a.bottom - a.top - WORDS_ROW) / row;
    um columns = rows ? ((um)p->keys.n + rows - 1) / rows : 0;
    um wide = columns ? (a.right - a.left) / columns : 0;
    strip_line(p, a, a.top + CAPS_WORDS, heading, p->keys.n ? "Lines and signs" : "");
    for (uint32_t i = 0; i < p->keys.n && rows; i++) {
        const struct key *k = &p->keys.at[i];
        um x = a.left + (um)i / rows * wide, y = y0 + (um)i % rows * row;
        if (k->draw)
            k->draw(p->s, x + field / 2 - MM / 2, y, k->what);
        else
            paper_line(p->s, x, y, x + field - MM, y, k->pen);
        key_words(p, x + field, y, wide - field - MM, tall, k->words);
    }
}

static void strip_where(struct page *p, struct area a)
{
    um y = strip_line(p, a, a.top + CAPS_WORDS, heading, "Where");
    const char *facing =
        p->room && p->wall < p->room->wall_count
            ? arena_printf(p->set->r->arena, "you face %s", p->room->walls[p->wall].name)
        : p->level ? (p->level->title ? p->level->title : p->level->name)
                   : "";
    key_plan_draw(p, (struct area){a.left, y - CAPS_WORDS, a.right, a.bottom - CAPS_NOTE - MM});
    paper_text(p->s, a.left, a.bottom, note, paper_cut(p->s, note, a.right - a.left, facing));
}

static void strip_number(struct page *p, struct area a)
{
    struct arena *arena = p->set->r->arena;
    const char *date = p->set->r->model->date;
    struct lettering large = {.caps = CAPS_NUMBER, .bold = true, .widest = a.right - a.left};
    um y = strip_line(p, a, a.top + CAPS_WORDS, words, p->kind->series) + CAPS_NUMBER - MM;
    paper_text(p->s, a.left, y, large, p->s->number);
    y += WORDS_ROW + MM;
    p->number_x = a.left;
    p->number_y = y;
    y = strip_line(p, a, y + WORDS_ROW, words, p->scale ? p->scale : "not to scale");
    strip_line(p, a, y, words, arena_printf(arena, "Rev __ %s", date ? date : "Date ______"));
}

/* Below the border, where the face has no letter for what somebody typed. */
static void say_unknown_letters(struct page *p)
{
    enum { MOST = 12 };
    const char *letters = paper_unknown_letters(p->s, MOST);
    if (letters)
        paper_text(
            p->s, p->strip.left, p->strip.bottom + CAPS_NOTE + MM, note,
            arena_printf(p->set->r->arena,
                         "The face has no letter for %s: empty boxes stand for what it lacks",
                         letters));
}

void page_end(struct page *p)
{
    static void (*const draw[])(struct page *, struct area) = {
        strip_project, strip_tasks, strip_keys, strip_where, strip_number};
    struct area s = p->strip;
    um widths[] = {PROJECT, 0, p->keys.n ? LINES : 0, p->level ? WHERE : 0, NUMBER}, x = s.left;
    um rest = s.right - s.left - PROJECT - widths[2] - widths[3] - NUMBER;
    um more = p->keys.n && rest > 2 * TASKS_LEAST ? rest - 2 * TASKS_LEAST : 0;
    widths[1] = rest - more;
    widths[2] += more; /* on wide paper the legend takes what is left over */
    paper_begin(p->s, ROLE_FRAME, NULL, NULL);
    paper_line(p->s, s.left, s.top, s.right, s.top, border);
    for (int i = 0; i < 5; i++) {
        if (!widths[i])
            continue;
        draw[i](p, (struct area){x + PAD, s.top + PAD, x + widths[i] - PAD, s.bottom - PAD});
        x += widths[i];
        if (x < s.right)
            paper_line(p->s, x, s.top, x, s.bottom, rule);
    }
    say_unknown_letters(p);
    paper_end(p->s);
}

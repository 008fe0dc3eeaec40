/* The first sheet: what the set holds, its notes and editions, the figures of the application, and
 * room for the stamp of the office. The second is an empty frame for the plot plan. */
#include "emit/reports/reports.h"
#include "sheets/grid.h"

#include <string.h>

enum {
    GAP = 8000,
    ROW = 4200,
    STAMP = 70000,
    TABLE_ROW = 4700,
    LEAST_ROWS = 4,
    FURTHER = ROW + MM
};

static const struct lettering words = {.caps = CAPS_WORDS},
                              heading = {.caps = CAPS_WORDS, .bold = true};

/* A column of the sheet that is written from above. */
struct column_of {
    struct page *p;
    struct area at;
    um y;
};

static void say(struct column_of *c, const char *text, struct lettering l)
{
    um width = c->at.right - c->at.left;
    uint32_t rows = paper_rows(c->p->s, width, l, text);
    if (c->y + (um)rows * ROW > c->at.bottom)
        return;
    c->y += ROW * paper_write(c->p->s, c->at.left, c->y + l.caps, width, ROW, l, text);
}

static struct column_of column_of(struct page *p, uint32_t i)
{
    um wide = (p->inside.right - p->inside.left - 2 * GAP) / 3,
       left = p->inside.left + i * (wide + GAP), top = p->inside.top + 3 * MM;
    return (struct column_of){.p = p, .at = {left, top, left + wide, p->inside.bottom}, .y = top};
}

/* The index is written when all sheets are drawn. */
static void write_index(struct page *p)
{
    const struct set *set = p->set;
    struct column_of c = column_of(p, 0);
    say(&c, "Sheets", heading);
    uint32_t room = (uint32_t)((c.at.bottom - c.y) / ROW), shown = 0;
    for (uint32_t i = 0; i < set->pages.n && shown + 1 < room; i++, shown++) {
        const struct page *q = set->pages.at[i];
        um y = c.y + CAPS_WORDS;
        paper_text(p->s, c.at.left, y, heading, q->s->number);
        paper_text(p->s, c.at.left + 20 * MM, y, words,
                   paper_cut(p->s, words, c.at.right - c.at.left - 20 * MM, q->s->title));
        c.y += ROW;
    }
    if (shown < set->pages.n)
        say(&c,
            arena_printf(set->r->arena, "and %u more, each with its number", set->pages.n - shown),
            words);
}

/* Gives what is left below them. */
static struct column_of write_notes(struct page *p)
{
    const struct set *set = p->set;
    struct column_of c = column_of(p, 1);
    say(&c, "Notes", heading);
    for (uint32_t i = 0; i < set->note_count; i++)
        say(&c, set->notes[i], words);
    say(&c,
        "Heights are to the middle of boxes, above the finished floor; distances are from the "
        "left corner of a wall as one faces it, between the faces of its studs.",
        words);
    say(&c,
        "Circuits are called by their handles: P8 is the handle 8 of panel P, P1/3 one handle "
        "of two poles. A cable is called by its circuit and its two ends.",
        words);
    say(&c,
        "Lengths and holes follow the framing as the plan draws it: measured on site before "
        "anything is cut or bored.",
        words);
    say(&c,
        "Service, grounding and the utility's part are work of others. Local codes and the "
        "inspector decide; nothing is covered before its inspection.",
        heading);
    c.y += GAP / 2;
    return c;
}

/* The least that a part takes below each other: its title, its head and its first rows. */
static um least_of(const struct page *p, const struct report_part *part)
{
    um width = p->inside.right - p->inside.left,
       title = part->title ? (um)paper_rows(p->s, width, heading, part->title) * ROW + MM : 0;
    uint32_t rows = table_rows(&part->grid) + 2;
    return title + (um)(rows < LEAST_ROWS ? rows : LEAST_ROWS) * TABLE_ROW;
}

/* The last line of a column is kept for what has no room in either of them. */
static void write_further(struct grid_pages *g, struct column_of last, struct column_of first)
{
    bool room = g->y + FURTHER <= last.at.bottom;
    g->page->inside = room ? last.at : first.at;
    g->y = room ? g->y : first.y;
    grid_say(g, "further figures: report permit", false);
}

/* What has no room above the stamp goes on below the notes. */
static void write_parts(struct page *p, const struct report *report, struct column_of notes)
{
    struct column_of c = column_of(p, 2);
    struct grid_pages g = {.set = p->set, .page = p, .y = c.y};
    bool moved = false;
    c.at.bottom -= STAMP;
    p->inside = c.at;
    p->inside.bottom -= FURTHER;
    for (uint32_t i = 0; i < report->parts.n; i++) {
        const struct grid *grid = &report->parts.at[i].grid;
        if (!moved && g.y + (um)(table_rows(grid) + 2) * TABLE_ROW > p->inside.bottom) {
            c.y = g.y;
            p->inside = notes.at;
            p->inside.bottom -= FURTHER;
            g.y = notes.y;
            moved = true;
        }
        if (moved && g.y + least_of(p, &report->parts.at[i]) > p->inside.bottom) {
            write_further(&g, notes, c);
            return;
        }
        if (report->parts.at[i].title)
            grid_say(&g, report->parts.at[i].title, true);
        grid_draw_in(&g, grid);
        g.y += 2 * MM;
    }
}

static void write_figures(struct page *p, struct column_of notes)
{
    const struct report_def *def = report_named("permit");
    struct report report = {.def = def};
    struct column_of c = column_of(p, 2);
    struct area whole = p->inside;
    p->set->r->model->code.reader = def->name;
    def->fill(p->set->r, &report);
    p->set->r->model->code.reader = p->kind->name;
    write_parts(p, &report, notes);
    p->inside = whole;
    struct area stamp = {c.at.left, c.at.bottom - STAMP + GAP, c.at.right, c.at.bottom - 2 * MM};
    paper_rect(p->s, stamp, 0, (struct pen){BLACK, NO_INK, LINE_EDGE, DASH_OUTDOORS});
    paper_text(p->s, stamp.left + 2 * MM, stamp.top + 2 * MM + CAPS_NOTE,
               (struct lettering){.caps = CAPS_NOTE}, "for the stamp of the office");
}

void sheets_cover(struct set *set)
{
    const struct model *m = set->r->model;
    struct page *p =
        page_begin(set, *m->title ? m->title : "Plan", m->site ? m->site : "Site: not said");
    paper_begin(p->s, ROLE_NOTE, NULL, NULL);
    write_figures(p, write_notes(p));
    paper_end(p->s);
    p->late = write_index;
    page_task(p, "All sheets are there");
    page_end(p);
}

void sheets_plot(struct set *set)
{
    struct page *p = page_begin(set, "Plot plan",
                                "to be drawn in: lot lines, house, service drop or lateral, meter, "
                                "disconnect, what is in the ground");
    struct area a = area_grown(p->inside, -4 * MM);
    paper_rect(p->s, a, 0, (struct pen){BLACK, NO_INK, LINE_THIN, DASH_OUTDOORS});
    for (um x = a.left + 10 * MM; x < a.right; x += 10 * MM)
        paper_line(p->s, x, a.top, x, a.bottom, (struct pen){0xdddddd, NO_INK, LINE_FRAMING, 0});
    for (um y = a.top + 10 * MM; y < a.bottom; y += 10 * MM)
        paper_line(p->s, a.left, y, a.right, y, (struct pen){0xdddddd, NO_INK, LINE_FRAMING, 0});
    p->scale = "scale: ________";
    page_task(p, "Service and meter drawn in");
    page_task(p, "Where one may dig asked, before digging");
    page_end(p);
}

/* The card for the door of each panel: its spaces as they lie, odd ones down the left, even ones
 * down the right, with what each handle serves and room to write what comes later. */
#include "emit/words/circuits.h"
#include "facts/existing.h"
#include "facts/facts.h"
#include "loads/panel.h"
#include "model/address.h"
#include "sheets/sheets.h"

#include <ctype.h>

enum { ROW_LEAST = 6000, ROW_MOST = 9500, GAP = 6000, HANDLE_WIDE = 13000 };

static const struct pen rule = {BLACK, NO_INK, LINE_THIN, DASH_NONE},
                        frame = {BLACK, NO_INK, LINE_EDGE, DASH_NONE};

/* What stands in a space: a circuit with each half, or one in both. */
struct space {
    const struct circuit *circuit[2]; /* upper, lower */
    uint8_t used;                     /* its halves that a breaker is in, named or not */
    bool goes_on;                     /* the other pole of the breaker above */
};

static struct space *fill_spaces(const struct set *set, const struct panel *panel, uint32_t count)
{
    const struct results *r = set->r;
    struct space *spaces = arena_array(r->arena, struct space, (size_t)count + 1);
    const uint8_t *used = panel_used_spaces(r->arena, r->panels, panel);
    for (uint32_t i = 1; i <= count; i++)
        spaces[i].used = used[i];
    for (uint32_t i = 0; i < r->model->circuits.n; i++) {
        const struct circuit *c = r->model->circuits.at[i];
        const struct circuit_space *s = &r->panels->of_circuit[c->id];
        for (uint32_t pole = 0; c->panel == panel && s->space && pole < s->poles; pole++) {
            uint32_t at = s->space + 2 * pole;
            uint8_t half = panel_half(s->half, pole);
            if (at > count)
                break;
            for (int h = 0; h < 2; h++)
                if (half & (h ? LOWER_HALF : UPPER_HALF))
                    spaces[at].circuit[h] = c;
            spaces[at].goes_on = pole > 0;
        }
    }
    return spaces;
}

static const char *serves_words(const struct set *set, const struct circuit *c)
{
    const char *title = c->title                      ? c->title
                        : c->feeds && c->feeds->title ? c->feeds->title
                        : c->feeds ? arena_printf(set->r->arena, "Feeder %s", c->feeds->name)
                                   : "";
    return c->existing ? arena_printf(set->r->arena, "%s%s(existing)", title, *title ? " " : "")
                       : title;
}

static const char *breaker_words(const struct set *set, const struct circuit *c)
{
    const char *how = words_protection(set->r->arena, c);
    if (c->breaker <= 0)
        return "? A";
    char *words =
        arena_printf(set->r->arena, "%g A%s%s", c->breaker, how ? " " : "", how ? how : "");
    for (char *p = words; how && *p; p++)
        *p = (char)toupper((unsigned char)*p);
    return words;
}

/* What a circuit serves on the left and its breaker on the right, in smaller letters where both
 * have no room beside each other: the breaker is cut last. */
static void draw_circuit(struct page *p, const struct circuit *c, struct area a, um y,
                         struct lettering l)
{
    struct sheet *s = p->s;
    const char *serves = serves_words(p->set, c), *breaker = breaker_words(p->set, c);
    um room = a.right - a.left - 2 * MM;
    if (paper_text_width(s, l, serves) + paper_text_width(s, l, breaker) > room)
        l.caps = CAPS_NOTE;
    um amps = paper_text_width(s, l, breaker), most = room * 2 / 3;
    amps = amps < most ? amps : most;
    paper_text(s, a.left, y, l, paper_cut(s, l, room - amps, serves));
    l.anchor = AT_END;
    paper_text(s, a.right, y, l, paper_cut(s, l, amps, breaker));
}

static void draw_space(struct page *p, const struct space *space, uint32_t number, struct area a)
{
    struct sheet *s = p->s;
    struct arena *arena = p->set->r->arena;
    um middle = (a.top + a.bottom + CAPS_WORDS) / 2, words = a.left + HANDLE_WIDE + 2 * MM;
    paper_rect(s, a, 0, rule);
    paper_line(s, a.left + HANDLE_WIDE, a.top, a.left + HANDLE_WIDE, a.bottom, rule);
    paper_text(s, a.left + HANDLE_WIDE / 2, (a.top + a.bottom + CAPS_NAME) / 2,
               (struct lettering){.caps = CAPS_NAME, .bold = true, .anchor = AT_MIDDLE},
               arena_printf(arena, "%u", number));
    bool halves = space->circuit[0] != space->circuit[1] ||
                  (!space->circuit[0] && space->used && space->used != WHOLE_SPACE);
    for (int h = 0; h < (halves ? 2 : 1); h++) {
        const struct circuit *c = space->circuit[h];
        um y = !halves ? middle : h ? a.bottom - 800 : a.top + 600 + CAPS_NOTE;
        struct lettering l = {.caps = halves ? CAPS_NOTE : CAPS_WORDS};
        if (!c) { /* a breaker is there, and nobody has told what it serves */
            if (space->used & (h ? LOWER_HALF : UPPER_HALF))
                paper_text(s, words, y, l, "in use");
            continue;
        }
        if (space->goes_on) {
            paper_text(s, words, y, l,
                       arena_printf(arena, "with %u, one handle",
                                    p->set->r->panels->of_circuit[c->id].space));
            continue;
        }
        paper_link(s, a, arena_printf(arena, "#%s", address_of_circuit(arena, c, false)));
        draw_circuit(p, c, (struct area){words, a.top, a.right - MM, a.bottom}, y, l);
    }
}

/* Spaces from `first` on, so many rows of two. */
static void draw_spaces(struct page *p, const struct space *spaces, uint32_t first, uint32_t rows,
                        uint32_t count, um row)
{
    um wide = (p->inside.right - p->inside.left - GAP) / 2;
    for (uint32_t i = 0; i < 2 * rows && first + i <= count; i++) {
        um x = p->inside.left + (i % 2) * (wide + GAP), y = p->inside.top + (um)(i / 2) * row;
        draw_space(p, &spaces[first + i], first + i, (struct area){x, y, x + wide, y + row});
    }
    paper_rect(p->s,
               (struct area){p->inside.left, p->inside.top, p->inside.right,
                             p->inside.top + (um)rows * row},
               0, frame);
}

static void draw_panel(struct set *set, const struct panel *panel)
{
    struct arena *arena = set->r->arena;
    uint32_t count = panel->spaces;
    const struct space *spaces = fill_spaces(set, panel, count);
    const char *title =
                   arena_printf(arena, "Panel %s%s%s", address_of_panel(arena, panel, true),
                                panel->title ? " \xc2\xb7 " : "", panel->title ? panel->title : ""),
               *under = arena_printf(
                   arena,
                   "%s%u spaces \xc2\xb7 handles as they "
                   "lie: odd on the left, even on the right",
                   panel->main > 0 ? arena_printf(arena, "main %g A \xc2\xb7 ", panel->main) : "",
                   count);
    struct area room = page_room(set, NULL);
    uint32_t most = (uint32_t)((room.bottom - room.top) / ROW_LEAST), all = (count + 1) / 2;
    for (uint32_t done = 0; done < all; done += most) {
        uint32_t rows = all - done < most ? all - done : most;
        um row = (room.bottom - room.top) / rows;
        struct page *p = page_begin(set, title, under);
        p->room = panel->room;
        p->level = panel->room ? panel->room->level : NULL;
        p->wall = panel->place.where == ON_WALL ? panel->place.wall : NO_WALL;
        paper_anchor(p->s, p->inside.left, p->inside.top,
                     arena_printf(arena, "panel %s", address_of_panel(arena, panel, false)));
        draw_spaces(p, spaces, 2 * done + 1, rows, count, row < ROW_MOST ? row : ROW_MOST);
        page_task(p, "Each handle tried, and what it serves found dead");
        page_task(p, "This card on the door");
        page_end(p);
    }
}

void sheets_directory(struct set *set)
{
    const struct model *m = set->r->model;
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (m->panels.at[i]->spaces && facts_is_built(m->panels.at[i]->unit))
            draw_panel(set, m->panels.at[i]);
}

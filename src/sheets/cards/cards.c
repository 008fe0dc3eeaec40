/* The box cards: what is off, where the box stands, and how it is made up; as many to a sheet as
 * there is room for. */
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "facts/facts.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "model/address.h"
#include "resolve/library.h"
#include "sheets/cards/card.h"
#include "wiring/wiring.h"

#include <string.h>

enum {
    HEAD = 46000,    /* wide, left in a card: its name, what is off, its four figures */
    FIGURE = 11000,  /* from figure to figure */
    NOTE_ROW = 2600, /* what is said of one, in two rows at most */
    OFF_ROW = 3800,
    PAD = 3000,
    GAP = 3000,
    GRID = 2 /* cards across and down */
};

static const struct pen frame = {BLACK, NO_INK, LINE_EDGE, DASH_NONE},
                        heavy = {BLACK, NO_INK, LINE_CUT, DASH_NONE};

/* --- the head --------------------------------------------------------------------------------- */

/* The handles that are off before the box is opened. */
static const char *off_words(const struct results *r, const struct box *b)
{
    struct map seen = {0};
    const char *words = NULL;
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct run *run = b->runs.at[i];
        for (uint32_t k = 0; k <= run->also.n; k++) {
            const struct circuit *c = k ? run->also.at[k - 1] : run->circuit;
            void **at = map_at(r->arena, &seen, 0, (uintptr_t)c);
            if (!*at && c)
                words = words ? arena_printf(r->arena, "%s and %s", words, words_mark(r, c))
                              : words_mark(r, c);
            *at = (void *)b;
        }
    }
    return words ? arena_printf(r->arena, "OFF: %s", words) : "no circuit";
}

static void figure(struct page *p, um x, um y, um wide, const char *value, const char *words)
{
    struct lettering large = {.caps = CAPS_NAME, .bold = true, .widest = wide - 5 * MM / 2},
                     note = {.caps = CAPS_NOTE};
    paper_text(p->s, x, y + CAPS_NAME, large, value);
    y += CAPS_NAME + CAPS_NOTE + 4 * MM / 3;
    if (paper_rows(p->s, wide - MM, note, words) <= 2)
        paper_write(p->s, x, y, wide - MM, NOTE_ROW, note, words);
    else
        paper_text(p->s, x, y, note, paper_cut(p->s, note, wide - MM, words));
}

/* The side of its stud, or how far it is from it. */
static void draw_stand(struct page *p, const struct box *b, um x, um y, um wide)
{
    const struct results *r = p->set->r;
    const struct mounting *m = &r->routes->mountings->of_box[b->id];
    const char *stand = words_stand_by(r->arena, m);
    if (!stand)
        return;
    const char *side = words_mounted_side(m),
               *wood = m->stud ? words_stud(r->arena, m->stud) : words_mounted_on(r->arena, m);
    if (m->stand == STAND_ON)
        figure(p, x, y, wide, "on", wood);
    else if (m->stand == STAND_BESIDE)
        figure(p, x, y, wide, side, arena_printf(r->arena, "of %s", wood));
    else
        figure(p, x, y, wide, sheets_height(p->set, m->apart),
               arena_printf(r->arena, "%s of %s", side, wood));
}

static void draw_figures(struct page *p, const struct box *b, um x, um y)
{
    const struct results *r = p->set->r;
    const struct box_view *v = view_of_box(r, b);
    const struct place *at = view_place_of_box(r, b);
    um wide = (HEAD - 2 * PAD) * 3 / 5, other = (HEAD - 2 * PAD) - wide;
    if (v->on_wall) {
        figure(p, x, y, wide, sheets_distance(p->set, at->from_left), "from the left");
        figure(p, x + wide, y, other, sheets_height(p->set, at->up), "to middle");
    } else if (v->wall) {
        figure(p, x, y, wide, sheets_distance(p->set, at->at.x - b->room->low.x), "from the west");
        figure(p, x + wide, y, other, sheets_distance(p->set, at->at.y - b->room->low.y),
               "from south");
    }
    figure(p, x, y + FIGURE, wide,
           b->compartment   ? "none"
           : v->fill->gangs ? arena_printf(r->arena, "%u-gang", v->fill->gangs)
                            : "round",
           v->type ? v->type : "box");
    draw_stand(p, b, x + wide, y + FIGURE, other);
}

static void draw_head(struct page *p, const struct box *b, struct area a)
{
    struct arena *arena = p->set->r->arena;
    const struct box_view *v = view_of_box(p->set->r, b);
    struct lettering name = {.caps = CAPS_TITLE, .bold = true}, note = {.caps = CAPS_NOTE},
                     off = {.caps = CAPS_WORDS, .bold = true};
    const char *room = b->room->title ? b->room->title : b->room->name;
    um x = a.left + PAD, wide = HEAD - 2 * PAD, y = a.top + PAD + CAPS_TITLE;
    paper_text(p->s, x, y, name, paper_cut(p->s, name, wide, b->name));
    y += MM + (um)paper_write_within(p->s, x, y + CAPS_NOTE + MM, wide, 2800, 2, note,
                                     arena_printf(arena, "%s \xc2\xb7 %s%s", room,
                                                  v->wall ? v->wall : "place not known",
                                                  v->on_wall ? " wall" : "")) *
                  2800;
    const char *words = off_words(p->set->r, b);
    y += 2 * MM;
    uint32_t rows = paper_write_within(p->s, x + 2 * MM, y + 2 * MM + CAPS_WORDS, wide - 4 * MM,
                                       OFF_ROW, 3, off, words);
    um high = (um)rows * OFF_ROW + 3 * MM;
    paper_rect(p->s, (struct area){x, y, x + wide, y + high}, 0, heavy);
    draw_figures(p, b, x, y + high + 3 * MM);
}

static void draw_card(struct page *p, const struct card *card, struct area a)
{
    const char *address = view_of_box(p->set->r, card->box)->address,
               *unproven = view_of_box(p->set->r, card->box)->unproven;
    paper_begin(p->s, ROLE_BOX, address, address);
    paper_anchor(p->s, a.left, a.top, address);
    paper_rect(p->s, a, 0, frame);
    draw_head(p, card->box, a);
    if (unproven)
        paper_write_within(
            p->s, a.left + HEAD, a.top + 2 * PAD, a.right - a.left - HEAD - PAD, 3 * MM, 12,
            (struct lettering){.caps = CAPS_NOTE},
            arena_printf(p->set->r->arena, "not proven, so not drawn: %s", unproven));
    else
        card_draw(card, p, a.left + HEAD, a.top + PAD);
    paper_end(p->s);
}

/* --- sheets ----------------------------------------------------------------------------------- */

struct cards {
    struct set *set;
    struct page *page;
    struct area room;
    bool taken[GRID][GRID]; /* down, across */
};

/* How many fields of the grid a card takes across or down. */
static unsigned fields(um need, um whole)
{
    um one = (whole - (GRID - 1) * GAP) / GRID;
    return need <= one ? 1 : GRID;
}

static bool is_free(const struct cards *c, unsigned down, unsigned across, unsigned high,
                    unsigned wide)
{
    for (unsigned y = down; y < down + high; y++)
        for (unsigned x = across; x < across + wide; x++)
            if (y >= GRID || x >= GRID || c->taken[y][x])
                return false;
    return true;
}

static bool find_field(const struct cards *c, unsigned high, unsigned wide, unsigned *down,
                       unsigned *across)
{
    for (*down = 0; *down < GRID; ++*down)
        for (*across = 0; *across < GRID; ++*across)
            if (is_free(c, *down, *across, high, wide))
                return true;
    return false;
}

static void begin(struct cards *c)
{
    if (c->page)
        page_end(c->page);
    c->page = page_begin(c->set, "Box cards",
                         "cables from above, devices as they look from the front, splices under "
                         "their caps; dead, locked and tested before a box is opened");
    memset(c->taken, 0, sizeof c->taken);
    page_task(c->page, "Each box made up as its card");
}

static void put_card(struct cards *c, const struct box *b)
{
    um whole_wide = c->room.right - c->room.left, whole_high = c->room.bottom - c->room.top;
    if (!c->page)
        begin(c);
    struct card *card = card_of_box(c->set, c->page->s, b);
    card_press(card, whole_wide - HEAD - 2 * PAD, whole_high - 2 * PAD);
    unsigned wide = fields(card->wide + HEAD + 2 * PAD, whole_wide),
             high = fields(card->high + 2 * PAD, whole_high), down, across;
    if (!find_field(c, high, wide, &down, &across)) {
        begin(c);
        find_field(c, high, wide, &down, &across);
    }
    um one_wide = (whole_wide - GAP) / GRID, one_high = (whole_high - GAP) / GRID,
       x = c->room.left + across * (one_wide + GAP), y = c->room.top + down * (one_high + GAP);
    for (unsigned i = 0; i < high; i++)
        for (unsigned k = 0; k < wide; k++)
            c->taken[down + i][across + k] = true;
    draw_card(c->page, card,
              (struct area){x, y, x + wide * one_wide + (wide - 1) * GAP,
                            y + high * one_high + (high - 1) * GAP});
}

static bool is_wanted(const struct results *r, const struct box *b)
{
    bool wanted = !r->only_circuit;
    if (!facts_is_built(b->room->unit) ||
        r->makeup->first_of_box[b->id] == r->makeup->first_of_box[b->id + 1] ||
        (r->only_box && r->only_box != b) || (r->only_room && r->only_room != b->room))
        return false;
    for (uint32_t i = 0; i < b->runs.n; i++)
        wanted |= b->runs.at[i]->circuit == r->only_circuit;
    return wanted;
}

void sheets_cards(struct set *set)
{
    const struct model *m = set->r->model;
    struct cards c = {.set = set, .room = page_room(set, NULL)};
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (is_wanted(set->r, m->boxes.at[i]))
            put_card(&c, m->boxes.at[i]);
    if (c.page)
        page_end(c.page);
}

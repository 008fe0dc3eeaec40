/* The box cards: what is off, where the box stands, and how it is made up; as many to a sheet as
 * there is room for. */
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "facts/facts.h"
#include "facts/pulls.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "model/address.h"
#include "resolve/library.h"
#include "sheets/cards/card.h"
#include "wiring/wiring.h"

#include <string.h>

enum {
    UNPROVEN = 50000, /* wide, why a box is not drawn */
    HEAD = 46000,     /* wide, left in a card: its name, what is off, its four figures */
    FIGURE = 11000,   /* from figure to figure */
    NOTE_ROW = 2600,  /* what is said of one, in two rows at most */
    OFF_ROW = 3800,
    OFF_ROWS = 3, /* at most */
    WHERE_ROW = 2800,
    WHERE_ROWS = 2,
    PAD = 3000,
    GAP = 3000
};

static const struct pen frame = {BLACK, NO_INK, LINE_EDGE, DASH_NONE},
                        heavy = {BLACK, NO_INK, LINE_CUT, DASH_NONE};
static const struct lettering note_letters = {.caps = CAPS_NOTE},
                              off_letters = {.caps = CAPS_WORDS, .bold = true};

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
                words = words ? arena_printf(r->arena, "%s, %s", words, words_mark(r, c))
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
           b->compartment     ? "no box"
           : v->fill->gangs   ? arena_printf(r->arena, "%u-gang", v->fill->gangs)
           : facts_is_body(b) ? "body"
                              : "round",
           b->compartment ? "its own compartment"
           : v->type      ? v->type
                          : "box");
    draw_stand(p, b, x + wide, y + FIGURE, other);
}

/* "Kitchen · north wall" below the name, then what is off, in a frame. */
struct head {
    const char *where, *off;
    um where_high, off_high; /* with what lies between it and the next */
};

static struct head head_of(const struct page *p, const struct box *b)
{
    const struct results *r = p->set->r;
    const struct box_view *v = view_of_box(r, b);
    um wide = HEAD - 2 * PAD;
    struct head h = {
        .where = arena_printf(r->arena, "%s \xc2\xb7 %s%s", words_room(r->arena, b->room),
                              v->wall ? v->wall : "place not known", v->on_wall ? " wall" : ""),
        .off = off_words(r, b)};
    uint32_t where = paper_rows(p->s, wide, note_letters, h.where),
             off = paper_rows(p->s, wide - 4 * MM, off_letters, h.off);
    h.where_high = (um)(where < WHERE_ROWS ? where : WHERE_ROWS) * WHERE_ROW + 3 * MM;
    h.off_high = (um)(off < OFF_ROWS ? off : OFF_ROWS) * OFF_ROW + 6 * MM;
    return h;
}

/* What it takes of a card, from its upper edge to the last of its figures. */
static um head_high(const struct page *p, const struct box *b)
{
    struct head h = head_of(p, b);
    return PAD + CAPS_TITLE + h.where_high + h.off_high + 2 * FIGURE;
}

static void draw_head(struct page *p, const struct box *b, struct area a)
{
    struct head h = head_of(p, b);
    struct lettering name = {.caps = CAPS_TITLE, .bold = true};
    um x = a.left + PAD, wide = HEAD - 2 * PAD, y = a.top + PAD + CAPS_TITLE;
    paper_text(p->s, x, y, name, paper_cut(p->s, name, wide, b->name));
    paper_write_within(p->s, x, y + CAPS_NOTE + MM, wide, WHERE_ROW, WHERE_ROWS, note_letters,
                       h.where);
    y += h.where_high;
    paper_write_within(p->s, x + 2 * MM, y + 2 * MM + CAPS_WORDS, wide - 4 * MM, OFF_ROW, OFF_ROWS,
                       off_letters, h.off);
    paper_rect(p->s, (struct area){x, y, x + wide, y + h.off_high - 3 * MM}, 0, heavy);
    draw_figures(p, b, x, y + h.off_high);
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

struct laid {
    struct card *card;
    um wide, high;
};

/* Cards side by side, as high as the highest of them. */
struct shelf {
    uint32_t first, count;
    um wide, high;
};

/* Cards in their order, in rows; a sheet is drawn when the next row has no room on it. */
struct cards {
    struct set *set;
    struct page *page;
    struct area room;
    VEC(struct laid) cards; /* of the open sheet */
    VEC(struct shelf) shelves;
    um high; /* of all rows */
};

static void begin(struct cards *c)
{
    c->page = page_begin(c->set, "Box cards",
                         "cables from above, devices as they look from the front, splices under "
                         "their caps; dead, locked and tested before a box is opened");
    page_task(c->page, "Each box made up as its card");
    c->cards.n = c->shelves.n = 0;
    c->high = 0;
}

/* Cards of a full row share what is left of it, the rows of a full sheet what is left below. */
static void draw_shelf(const struct cards *c, const struct shelf *s, um y, um high, bool stretch)
{
    um x = c->room.left, left = c->room.right - x - s->wide, count = s->count;
    for (uint32_t i = 0; i < s->count; i++) {
        const struct laid *l = &c->cards.at[s->first + i];
        um wide = l->wide + (stretch ? left / count : 0);
        draw_card(c->page, l->card, (struct area){x, y, x + wide, y + high});
        x += wide + GAP;
    }
}

static void finish(struct cards *c, bool full)
{
    um y = c->room.top, left = full ? c->room.bottom - y - c->high : 0;
    for (uint32_t i = 0; i < c->shelves.n; i++) {
        const struct shelf *s = &c->shelves.at[i];
        um high = s->high + left / c->shelves.n;
        draw_shelf(c, s, y, high, full || i + 1 < c->shelves.n);
        y += high + GAP;
    }
    page_end(c->page);
    c->page = NULL;
}

/* Puts a card into the last row; false: there is no room for it. */
static bool joins(struct cards *c, const struct laid *l)
{
    struct shelf *s = c->shelves.n ? &c->shelves.at[c->shelves.n - 1] : NULL;
    if (!s || s->wide + GAP + l->wide > c->room.right - c->room.left)
        return false;
    um more = l->high > s->high ? l->high - s->high : 0;
    if (c->high + more > c->room.bottom - c->room.top)
        return false;
    c->high += more;
    s->high += more;
    s->wide += GAP + l->wide;
    s->count++;
    return true;
}

static void put_card(struct cards *c, const struct box *b)
{
    um whole_wide = c->room.right - c->room.left, whole_high = c->room.bottom - c->room.top;
    if (!c->page)
        begin(c);
    struct card *card = card_of_box(c->set, c->page->s, b);
    card_press(card, c->page->s, whole_wide - HEAD - 2 * PAD, whole_high - 2 * PAD);
    um head = head_high(c->page, b), high = card->high > head ? card->high : head;
    um words = view_of_box(c->set->r, b)->unproven ? UNPROVEN : 0,
       wide = card->wide > words ? card->wide : words;
    struct laid l = {card, wide + HEAD + 2 * PAD, high + 2 * PAD};
    l.high = l.high < whole_high ? l.high : whole_high;
    if (!joins(c, &l)) {
        um below = c->shelves.n ? c->high + GAP : 0;
        if (below + l.high > whole_high) {
            finish(c, true);
            begin(c);
            below = 0;
        }
        c->high = below + l.high;
        *vec_push(c->set->r->arena, &c->shelves) =
            (struct shelf){.first = c->cards.n, .count = 1, .wide = l.wide, .high = l.high};
    }
    *vec_push(c->set->r->arena, &c->cards) = l;
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
        finish(&c, false);
}

#include "emit/words/leads.h"
#include "resolve/library.h"
#include "sheets/cards/card.h"

#include <string.h>

enum {
    SHEATH_TOP = 5800, /* below the words of a cable */
    SHEATH_LOW = 8500,
    OPENED = 12000, /* where its conductors are apart */
    CAP = 1600,
    SCREW = 1100,
    BAND = 700 /* of a white that is re-identified */
};

static const struct pen thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE},
                        edge = {BLACK, WHITE, LINE_EDGE, DASH_NONE};
static const struct lettering small = {.caps = CAPS_NOTE, .halo = 400};

/* --- conductors ------------------------------------------------------------------------------- */

/* Each colour has a second sign: black is solid, white hollow, red has one tick, blue two, a ground
 * is dashed; others are told by their letters. */
static const struct insulation insulations[] = {
    {"black", "B", BLACK, 0},     {"white", "W", WHITE, 0},       {"red", "R", 0xb00000, 1},
    {"blue", "L", 0x0030a0, 2},   {"white-red", "W/R", WHITE, 1}, {"bare", "G", 0x006030, 0},
    {"green", "G", 0x006030, 0},  {"yellow", "Y", 0x806000, 0},   {"orange", "O", 0xa04800, 0},
    {"brown", "BR", 0x5a3210, 0}, {"pink", "PK", 0xa03060, 0},    {"purple", "PU", 0x5a1a80, 0},
};

struct insulation card_insulation(const char *color)
{
    for (size_t i = 0; color && i < sizeof insulations / sizeof *insulations; i++)
        if (!strcmp(insulations[i].color, color))
            return insulations[i];
    return (struct insulation){color, color ? color : "?", 0x555555, 0};
}

const char *card_letter(const struct card_end *end)
{
    return end->raceway ? "tube" : card_insulation(end->color).letter;
}

/* A straight stretch of a wire, upright or level. */
static void draw_wire(struct sheet *s, const struct card_end *end, struct spot a, struct spot b)
{
    struct insulation in = card_insulation(end->color);
    if (end->ground) {
        paper_line(s, a.x, a.y, b.x, b.y, (struct pen){in.ink, NO_INK, LINE_NEW, DASH_GROUND});
        return;
    }
    if (in.ink != WHITE) {
        paper_line(s, a.x, a.y, b.x, b.y, (struct pen){in.ink, NO_INK, LINE_CUT, DASH_NONE});
        return;
    }
    paper_line(s, a.x, a.y, b.x, b.y, (struct pen){BLACK, NO_INK, LINE_CUT + 300, DASH_NONE});
    paper_line(s, a.x, a.y, b.x, b.y, (struct pen){WHITE, NO_INK, LINE_CUT - 200, DASH_NONE});
}

/* The second signs, across an upright wire from y down. */
static void draw_signs(struct sheet *s, const struct card_end *end, um y)
{
    struct insulation in = card_insulation(end->color);
    um x = end->x;
    for (int i = 0; i < in.ticks; i++)
        paper_line(s, x - MM, y + i * MM + MM / 2, x + MM, y + i * MM - MM / 2,
                   (struct pen){in.ink == WHITE ? 0xb00000 : in.ink, NO_INK, LINE_EDGE, 0});
    if (end->reidentified)
        paper_rect(s, (struct area){x - BAND, y - BAND, x + BAND, y + BAND}, 0,
                   (struct pen){NO_INK, BLACK, 0, DASH_NONE});
}

/* --- joints ----------------------------------------------------------------------------------- */

static void draw_cap(struct sheet *s, um x, um y)
{
    struct spot cap[] = {{x - CAP, y - CAP * 3 / 4},
                         {x + CAP, y - CAP / 3},
                         {x + CAP, y + CAP / 3},
                         {x - CAP, y + CAP * 3 / 4}};
    paper_path(s, cap, 4, true, (struct pen){BLACK, 0xcccccc, LINE_EDGE, DASH_NONE});
}

static void key_cap(struct sheet *s, um x, um y, const void *what)
{
    (void)what;
    draw_cap(s, x, y);
}

static void key_white(struct sheet *s, um x, um y, const void *what)
{
    (void)what;
    struct card_end end = {.color = "white", .reidentified = true, .x = x};
    draw_wire(s, &end, (struct spot){x - 4 * MM, y}, (struct spot){x + 4 * MM, y});
    draw_signs(s, &end, y);
}

static uint32_t ends_of(const struct card *card, uint32_t row)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < card->ends.n; i++)
        n += card->ends.at[i].joint == row;
    return n;
}

struct joint_words card_joint_words(const struct card *card, uint32_t row)
{
    const struct joint *j = card->rows.at[row].joint;
    if (j->kind == JOINT_PASS)
        return (struct joint_words){j->net, ", not cut"};
    if (j->by_box) /* its raceways meet on the metal: there is no splice */
        return (struct joint_words){j->net, ", by the box"};
    return (struct joint_words){j->net,
                                arena_printf(card->set->r->arena, ", %u, %s", ends_of(card, row),
                                             j->connector ? j->connector : "as it fits")};
}

/* "neutral, 3, small" left of the cap; where there is no room the net's name is cut. */
static void say_joint(const struct card *card, struct sheet *s, uint32_t i, um x, um y)
{
    struct joint_words words = card_joint_words(card, i);
    struct lettering l = {.caps = CAPS_NOTE, .anchor = AT_END};
    um room = card->rows.at[i].left - 3 * CAP - paper_text_width(s, l, words.size);
    paper_text(
        s, x, y + CAPS_NOTE / 2, l,
        arena_printf(card->set->r->arena, "%s%s", paper_cut(s, l, room, words.net), words.size));
}

/* "neutral, not cut" left of a conductor that goes through the box. */
static void say_pass(const struct card *card, struct sheet *s, uint32_t i, um x, um y)
{
    struct joint_words words = card_joint_words(card, i);
    struct lettering l = {.caps = CAPS_NOTE, .anchor = AT_END};
    um room = card->rows.at[i].words - paper_text_width(s, l, words.size);
    paper_text(
        s, x, y + CAPS_NOTE / 2, l,
        arena_printf(card->set->r->arena, "%s%s", paper_cut(s, l, room, words.net), words.size));
}

static void draw_row(const struct card *card, struct sheet *s, uint32_t i, um x0, um y0)
{
    const struct card_row *row = &card->rows.at[i];
    um y = y0 + row->y;
    const struct card_end *first = NULL;
    for (uint32_t k = 0; k < card->ends.n && !first; k++)
        if (card->ends.at[k].joint == i)
            first = &card->ends.at[k];
    if (!first)
        return;
    paper_begin(s, ROLE_CABLE, NULL, row->joint->net);
    if (row->left != row->right)
        draw_wire(s, first, (struct spot){x0 + row->left, y}, (struct spot){x0 + row->right, y});
    paper_end(s);
    if (row->joint->kind == JOINT_PASS)
        say_pass(card, s, i, x0 + row->words, y);
    if (row->joint->kind == JOINT_SPLICE) {
        if (!row->joint->by_box)
            draw_cap(s, x0 + row->left - CAP, y);
        say_joint(card, s, i, x0 + row->left - 3 * CAP + MM / 2, y);
    }
}

/* --- cables ----------------------------------------------------------------------------------- */

/* The letters beside an end, pressed where those of a crowded card would lie on the next end. */
static struct lettering letters_before(const struct card_end *end, const struct card_end *next)
{
    struct lettering l = small;
    um room = next ? next->x - end->x - LETTER_OFF - MM / 3 : 0;
    l.widest = !next ? 0 : room > MM / 3 ? room : MM / 3;
    return l;
}

/* From a cable down to its joint: fanned out of the sheath, then upright. */
static void draw_conductor(const struct card *card, struct sheet *s, const struct card_end *end,
                           const struct card_end *next, um mouth, um x0, um y0)
{
    struct insulation in = card_insulation(end->color);
    um x = x0 + end->x, top = y0 + OPENED,
       low = end->joint == NO_ROW ? top + 2 * MM : y0 + card->rows.at[end->joint].y;
    struct card_end shifted = *end;
    shifted.x = x;
    draw_wire(s, &shifted, (struct spot){x0 + mouth, y0 + SHEATH_LOW}, (struct spot){x, top});
    draw_wire(s, &shifted, (struct spot){x, top}, (struct spot){x, low});
    draw_signs(s, &shifted, top + 3 * MM);
    paper_text(s, x + LETTER_OFF, top + MM, letters_before(end, next), card_letter(end));
    if (end->joint != NO_ROW && card->rows.at[end->joint].joint->kind == JOINT_CAP) {
        draw_cap(s, x, low);
        paper_text(s, x + CAP + MM / 2, low + CAPS_NOTE / 2, small, "capped");
    } else if (end->joint != NO_ROW && card->rows.at[end->joint].joint->kind != JOINT_PASS) {
        paper_circle(s, x, low, MM / 2,
                     (struct pen){NO_INK, in.ink == WHITE ? BLACK : in.ink, 0, 0});
    }
}

static void draw_cable(const struct card *card, struct sheet *s, const struct card_cable *c, um x0,
                       um y0)
{
    um middle = (c->left + c->right) / 2, half = c->count * 450 + 600;
    struct lettering l = {.caps = CAPS_NOTE, .anchor = AT_MIDDLE}, bold = l;
    bold.bold = true;
    um wide = c->right - c->left;
    bold.widest = wide; /* a circuit is never cut off */
    paper_text(
        s, x0 + middle, y0 + CAPS_NOTE, bold,
        paper_cut(s, (struct lettering){.caps = CAPS_NOTE, .bold = true}, 2 * wide, c->words));
    paper_text(s, x0 + middle, y0 + 2 * CAPS_NOTE + MM, l, paper_cut(s, l, wide, c->place));
    for (uint32_t i = 0; i < c->count; i++) {
        um mouth = middle + ((um)(2 * i) - (um)(c->count - 1)) * 450;
        const struct card_end *end = &card->ends.at[c->first + i];
        bool last = i + 1 == c->count && c == &card->cables.at[card->cables.n - 1];
        draw_conductor(card, s, end, last ? NULL : end + 1, mouth, x0, y0);
    }
    paper_rect(
        s, (struct area){x0 + middle - half, y0 + SHEATH_TOP, x0 + middle + half, y0 + SHEATH_LOW},
        MM / 2, (struct pen){BLACK, 0xeeeeee, LINE_EDGE, DASH_NONE});
}

/* --- devices ---------------------------------------------------------------------------------- */

/* What one sees of it from the front, about (x, y). */
static void draw_face(struct sheet *s, const struct card_device *d, um x, um y)
{
    enum device_sort sort = d->device ? d->device->def->sort : SORT_EQUIPMENT;
    if (sort == SORT_RECEPTACLE) {
        paper_rect(s, (struct area){x - 2 * MM, y - 3 * MM, x + 2 * MM, y + 3 * MM}, MM, thin);
        paper_line(s, x - 700, y - 2 * MM, x - 700, y - 600, thin);
        paper_line(s, x + 700, y - 2 * MM, x + 700, y - 600, thin);
        paper_line(s, x - 700, y + 600, x - 700, y + 2 * MM, thin);
        paper_line(s, x + 700, y + 600, x + 700, y + 2 * MM, thin);
    } else if (sort == SORT_CONTROL) {
        paper_rect(s, (struct area){x - 2 * MM, y - 3 * MM, x + 2 * MM, y + 3 * MM}, 0, thin);
        paper_rect(s, (struct area){x - 600, y - 2 * MM, x + 600, y + MM}, 0, edge);
    } else if (sort == SORT_LUMINAIRE) {
        paper_circle(s, x, y, 2 * MM, thin);
        paper_line(s, x - 2800, y, x + 2800, y, thin);
        paper_line(s, x, y - 2800, x, y + 2800, thin);
    } else {
        paper_rect(s, (struct area){x - 2 * MM, y - 2 * MM, x + 2 * MM, y + 2 * MM}, 0, thin);
    }
}

const char *card_screw_words(const struct card *card, const struct card_end *end)
{
    return end->lead->kind == LEAD_TERMINAL ? words_terminal_alone(card->set->r, end->lead)
                                            : "screw";
}

static void draw_screw(const struct card *card, struct sheet *s, const struct card_end *end,
                       const struct card_end *next, um x0, um top, um y0)
{
    um x = x0 + end->x;
    struct lettering l = {.caps = CAPS_NOTE, .degrees = 90};
    if (end->joint != NO_ROW) {
        struct card_end shifted = *end;
        um y = y0 + card->rows.at[end->joint].y;
        shifted.x = x;
        draw_wire(s, &shifted, (struct spot){x, y}, (struct spot){x, top});
        draw_signs(s, &shifted, top - 2 * MM);
        paper_circle(s, x, y, MM / 2, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
        paper_text(s, x + LETTER_OFF, top - SCREW - MM / 3, letters_before(end, next),
                   card_insulation(end->color).letter);
    }
    paper_circle(s, x, top + SCREW + 300, SCREW, edge);
    paper_line(s, x - 700, top + SCREW + 300, x + 700, top + SCREW + 300, thin);
    paper_text(s, x - CAPS_NOTE / 2, top + 3 * SCREW + MM / 2, l,
               paper_cut(s, l, card->face - 3 * SCREW - MM, card_screw_words(card, end)));
}

um card_words_wide(const struct card *card, uint32_t device)
{
    const struct card_device *d = &card->devices.at[device];
    um beside = 4 * MM;
    if (device + 1 < card->devices.n && d[1].left - d->right - MM < beside)
        beside = d[1].left - d->right - MM > 0 ? d[1].left - d->right - MM : 0;
    return d->right - d->left + beside;
}

static void draw_device(const struct card *card, struct sheet *s, uint32_t device, um x0, um y0)
{
    const struct card_device *d = &card->devices.at[device];
    um top = y0 + card->high - card->fronts;
    struct area a = {x0 + d->left, top, x0 + d->right, top + card->face};
    struct lettering l = {.caps = CAPS_NOTE, .anchor = AT_MIDDLE};
    paper_rect(s, a, MM, edge);
    draw_face(s, d, a.right - 3 * MM - 300, top + card->face / 2);
    for (uint32_t i = 0; i < d->count; i++)
        draw_screw(card, s, &card->ends.at[d->first + i],
                   i + 1 < d->count ? &card->ends.at[d->first + i + 1] : NULL, x0, top, y0);
    paper_write_within(s, (a.left + a.right) / 2, a.bottom + CARD_BELOW,
                       card_words_wide(card, device), CARD_LINE, CARD_LINES, l, d->words);
}

void card_draw(const struct card *card, struct page *p, um x, um y)
{
    struct sheet *s = p->s;
    for (uint32_t i = 0; i < card->rows.n; i++)
        draw_row(card, s, i, x, y);
    for (uint32_t i = 0; i < card->cables.n; i++)
        draw_cable(card, s, &card->cables.at[i], x, y);
    for (uint32_t i = 0; i < card->devices.n; i++)
        draw_device(card, s, i, x, y);
    page_key(p, (struct key){.draw = key_cap, .words = "cap over a splice"});
    page_key_line(p, DASH_GROUND, LINE_NEW, "ground (G)");
    page_key_line(p, DASH_NONE, LINE_CUT, "B black, R red (a tick), L blue (two)");
    page_key(p, (struct key){.draw = key_white, .words = "W white; a band: re-identified"});
}

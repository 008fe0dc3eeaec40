/* Box cards: every box on one card, cards side by side and inside their sheet, wires that meet what
 * they lead to in the colour that they have, and signs for those who do not see colours. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/views.h"
#include "resolve/library.h"
#include "sheets/cards/card.h"
#include "sheets/sheets.h"

#include <math.h>

/* Six gangs on six circuits: wider than a sheet before it is pressed together. */
static const char crowded[] =
    "plan \"Crowded\" { edition nec-2023 }\n"
    "room a \"A\" { kind storage; size 20' by 12'\n"
    "box W1 north at 3' up 48\" { gangs 6\nswitch leg l0 circuit 1\n"
    "receptacle { half circuit 3; half circuit 5 }\n"
    "switch-receptacle circuit 5 { switch leg l2; receptacle }\n"
    "duplex-switch circuit 7 { switch leg l3; switch leg m3 }\n"
    "duplex-switch circuit 9 { switch leg l4; switch leg m4 }\nswitch leg l5 circuit 11 }\n"
    "box W2 east at 3' up 48\" { receptacle }\n"
    "box L0 overhead at 2', 6' { luminaire leg l0 20 W }\n"
    "box L2 overhead at 8', 6' { luminaire leg l2 20 W }\n"
    "box L3 overhead at 11', 6' { luminaire leg l3 20 W; luminaire leg m3 20 W }\n"
    "box L4 overhead at 14', 6' { luminaire leg l4 20 W; luminaire leg m4 20 W }\n"
    "box L5 overhead at 17', 6' { luminaire leg l5 20 W } }\n"
    "panel P \"P\" { in a south at 3' up 5'; main 100 A; spaces 24 }\n"
    "circuit P.1 \"C0\" { breaker 20 A; run P -> a.W1 -> L0; run a.W1 -> W2 }\n"
    "circuit P.3 \"C1\" { breaker 20 A; run P -> a.W1 }\n"
    "circuit P.5 \"C2\" { breaker 20 A; run P -> a.W1 -> L2 }\n"
    "circuit P.7 \"C3\" { breaker 20 A; run P -> a.W1 -> L3 }\n"
    "circuit P.9 \"C4\" { breaker 20 A; run P -> a.W1 -> L4 }\n"
    "circuit P.11 \"C5\" { breaker 20 A; run P -> a.W1 -> L5 }\n";

static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                    "examples/cellar/pottery.bay", "examples/shed/boat-shed.bay"};

static struct paper *draw(struct compilation *c, struct results *r, enum paper_size size)
{
    const struct sheet_kind *kind = sheets_named("cards");
    assert_true(cmd_results(c, r));
    return sheets_make(r, size, false, &kind, 1);
}

/* --- packing ---------------------------------------------------------------------------------- */

/* The frames of a sheet's cards: the first rectangle of each box. */
static uint32_t frames_of(const struct sheet *s, struct area *frames, const char **of,
                          uint32_t most)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->kind != MARK_RECT || !m->group || m->group->role != ROLE_BOX || !m->group->subject ||
            (n && of[n - 1] == m->group->subject))
            continue;
        assert_true(n < most);
        frames[n] = m->box;
        of[n++] = m->group->subject;
    }
    return n;
}

static uint32_t check_sheet(const struct sheet *s)
{
    struct area frames[64];
    const char *of[64];
    uint32_t n = frames_of(s, frames, of, 64);
    for (uint32_t i = 0; i < n; i++) {
        assert_true(frames[i].left >= 10 * MM && frames[i].right <= s->width - 10 * MM &&
                    frames[i].bottom <= s->height - 45 * MM);
        for (uint32_t k = 0; k < i; k++)
            assert_false(area_meets(frames[i], frames[k]));
        for (uint32_t k = 0; k < s->marks.n; k++) { /* what belongs to it stays in it */
            const struct mark *m = &s->marks.at[k];
            const struct group *g = m->group;
            while (g && g->subject != of[i])
                g = g->outer;
            struct area a = paper_mark_area(m);
            if (g && (a.left < frames[i].left - MM || a.right > frames[i].right + MM ||
                      a.top < frames[i].top - MM || a.bottom > frames[i].bottom + MM))
                fail_msg("%s leaves its card on %s", of[i], s->number);
        }
    }
    return n;
}

/* Four cards of common boxes and more on a sheet of letter or A4. */
static void cards_fill_their_sheets(void **state)
{
    (void)state;
    static const enum paper_size sizes[] = {PAPER_LETTER, PAPER_A4, PAPER_TABLOID};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++)
        for (size_t z = 0; z < sizeof sizes / sizeof *sizes; z++) {
            struct compilation c;
            struct results r;
            compile(&c, plans[i], (struct compile_options){.library = plan_library()});
            struct paper *p = draw(&c, &r, sizes[z]);
            uint32_t cards = 0;
            for (uint32_t k = 0; k < p->sheets.n; k++)
                cards += check_sheet(p->sheets.at[k]);
            if (cards * 10 < p->sheets.n * (sizes[z] == PAPER_TABLOID ? 60 : 32))
                fail_msg("%s: %u cards on %u sheets of %s", plans[i], cards, p->sheets.n,
                         sheets_paper_names[sizes[z]]);
            compile_free(&c);
        }
}

/* A box that is a little wider than half a sheet leaves room beside it. */
static void a_wide_box_shares_its_sheet(void **state)
{
    (void)state;
    struct compilation c;
    struct results r;
    struct area frames[64];
    const char *of[64];
    compile(&c, "examples/cellar/pottery.bay", (struct compile_options){.library = plan_library()});
    const struct sheet *s = draw(&c, &r, PAPER_LETTER)->sheets.at[0];
    assert_int_equal(frames_of(s, frames, of, 64), 4);
    assert_string_equal(of[0], "pottery.S1");
    assert_true(frames[1].top == frames[0].top && frames[2].top > frames[0].bottom);
    compile_free(&c);
}

/* --- wires ------------------------------------------------------------------------------------ */

static bool is_drawn(const struct results *r, const struct box *b)
{
    return r->makeup->first_of_box[b->id] < r->makeup->first_of_box[b->id + 1] &&
           !view_of_box(r, b)->unproven;
}

/* A joint's line reaches from its first end to its last; two upright wires of different joints
 * keep apart where both are. Gives how many uprights lie on each other. */
static uint32_t check_rows(const struct card *card)
{
    uint32_t on_each_other = 0;
    for (uint32_t i = 0; i < card->ends.n; i++) {
        const struct card_end *end = &card->ends.at[i];
        if (end->joint == NO_ROW)
            continue;
        const struct card_row *row = &card->rows.at[end->joint];
        assert_true(end->x >= row->left && end->x <= row->right);
        for (uint32_t k = card->devices.n ? card->devices.at[0].first : card->ends.n;
             i < k && k < card->ends.n && i < card->devices.at[0].first; k++) {
            const struct card_end *screw = &card->ends.at[k];
            on_each_other += screw->joint != NO_ROW && end->joint > screw->joint &&
                             llabs(end->x - screw->x) < 700;
        }
    }
    return on_each_other;
}

static const struct card_end *conductor_at(const struct card *card, uint32_t joint)
{
    for (uint32_t i = 0; i < card->devices.at[0].first; i++)
        if (card->ends.at[i].joint == joint)
            return &card->ends.at[i];
    return NULL;
}

/* A wire that lands on a screw itself has one colour from its cable to the screw. */
static uint32_t check_landings(const struct card *card)
{
    uint32_t landed = 0;
    for (uint32_t i = card->devices.n ? card->devices.at[0].first : card->ends.n; i < card->ends.n;
         i++) {
        const struct card_end *screw = &card->ends.at[i], *wire;
        if (screw->joint == NO_ROW || card->rows.at[screw->joint].joint->kind != JOINT_LANDING)
            continue;
        wire = conductor_at(card, screw->joint);
        assert_non_null(wire);
        assert_string_equal(card_letter(wire), card_letter(screw));
        assert_int_equal(wire->reidentified, screw->reidentified);
        landed++;
    }
    return landed;
}

static void wires_meet_and_keep_their_colour(void **state)
{
    (void)state;
    uint32_t landed = 0, boxes = 0, on_each_other = 0;
    for (size_t i = 0; i <= sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        struct results r;
        if (i)
            compile(&c, plans[i - 1], (struct compile_options){.library = plan_library()});
        else
            compile_text(&c, crowded);
        struct paper *p = draw(&c, &r, PAPER_LETTER);
        struct set set = {.r = &r, .paper = p};
        for (uint32_t b = 0; b < c.model->boxes.n; b++) {
            if (!is_drawn(&r, c.model->boxes.at[b]))
                continue;
            struct card *card = card_of_box(&set, p->sheets.at[0], c.model->boxes.at[b]);
            on_each_other += check_rows(card);
            landed += check_landings(card);
            card_press(card, p->sheets.at[0], 180 * MM, 120 * MM);
            assert_true(card->wide <= 180 * MM && card->high <= 120 * MM);
            on_each_other += check_rows(card);
            boxes++;
        }
        compile_free(&c);
    }
    assert_true(boxes > 150 && landed > 100);
    if (on_each_other)
        fail_msg("%u wires lie on others", on_each_other);
}

/* What decides is never cut off: circuits of cables, and which tabs are broken. */
static void crowded_cards_say_all(void **state)
{
    (void)state;
    static const char *const said[] = {"12/2 P11", "switch 1 line", "half 2 neutral"};
    struct compilation c;
    struct results r;
    bool found[3] = {false}, tab = false;
    compile_text(&c, crowded);
    const struct sheet *s = draw(&c, &r, PAPER_LETTER)->sheets.at[0];
    for (uint32_t i = 0; i < s->marks.n; i++) {
        if (s->marks.at[i].kind != MARK_TEXT)
            continue;
        for (size_t k = 0; k < 3; k++)
            found[k] |= !strcmp(s->marks.at[i].text, said[k]);
        tab |= strstr(s->marks.at[i].text, "break the tab") != NULL;
    }
    assert_true(found[0] && found[1] && found[2] && tab);
    compile_free(&c);
}

/* --- colours ---------------------------------------------------------------------------------- */

static double linear(int v)
{
    double x = v / 255.0;
    return x <= 0.04045 ? x / 12.92 : pow((x + 0.055) / 1.055, 2.4);
}

enum eyes { ALL_COLOURS, NO_RED, NO_GREEN, EYES };

/* Relative luminance (WCAG 2.2, definition of relative luminance), of what eyes without cones for
 * red or green make of it: Machado, Oliveira and Fernandes 2009, severity 1.0 (recalled). */
static double luminance(ink color, enum eyes eyes)
{
    static const double seen[EYES][3][3] = {{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
                                            {{0.152286, 1.052583, -0.204868},
                                             {0.114503, 0.786281, 0.099216},
                                             {-0.003882, -0.048116, 1.051998}},
                                            {{0.367322, 0.860646, -0.227968},
                                             {0.280085, 0.672501, 0.047413},
                                             {-0.011820, 0.042940, 0.968881}}};
    double rgb[3] = {linear(color >> 16 & 255), linear(color >> 8 & 255), linear(color & 255)},
           l[3];
    for (int i = 0; i < 3; i++)
        l[i] = fmax(0, seen[eyes][i][0] * rgb[0] + seen[eyes][i][1] * rgb[1] +
                           seen[eyes][i][2] * rgb[2]);
    return 0.2126 * l[0] + 0.7152 * l[1] + 0.0722 * l[2];
}

static double contrast(ink a, ink b, enum eyes eyes)
{
    double x = luminance(a, eyes), y = luminance(b, eyes);
    return (fmax(x, y) + 0.05) / (fmin(x, y) + 0.05);
}

/* Lines stand out from the paper by 4.5:1, in grey and to those who do not see red or green; white
 * is hollow between two black lines. Colours of the library that lie in one cable have each letters
 * of their own, and those of power cables a second sign that needs no colour. */
static void colours_have_a_second_sign(void **state)
{
    (void)state;
    unsigned pairs = 0;
    static const char *const all[] = {"black",  "white",  "red",   "blue", "white-red", "bare",
                                      "yellow", "orange", "brown", "pink", "purple",    "green"};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        for (int eyes = 0; eyes < EYES; eyes++)
            if (card_insulation(all[i]).ink != WHITE &&
                contrast(card_insulation(all[i]).ink, WHITE, (enum eyes)eyes) < 4.5)
                fail_msg("%s stands out by %.1f", all[i],
                         contrast(card_insulation(all[i]).ink, WHITE, (enum eyes)eyes));
    const struct library *library = &plan_library()->lib;
    for (uint32_t i = 0; i < library->cable_list.n; i++) {
        const struct cable_def *d = library->cable_list.at[i];
        for (uint32_t a = 0; d->colors && a < d->conductors; a++)
            for (uint32_t b = 0; b < a; b++) {
                struct insulation x = card_insulation(d->colors[a]),
                                  y = card_insulation(d->colors[b]);
                if (!strcmp(d->colors[a], d->colors[b]))
                    continue;
                assert_string_not_equal(x.letter, y.letter);
                if (d->power && (x.ink == WHITE) == (y.ink == WHITE) && x.ticks == y.ticks)
                    fail_msg("%s and %s look alike without their colours", x.color, y.color);
                pairs++;
            }
    }
    assert_true(pairs > 20);
}

/* Every conductor bears its letters, once where it leaves its sheath and once at its screw. */
static void every_conductor_has_its_letters(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        struct results r;
        unsigned ends = 0, letters = 0;
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        struct paper *p = draw(&c, &r, PAPER_LETTER);
        struct set set = {.r = &r, .paper = p};
        for (uint32_t k = 0; k < p->sheets.n; k++)
            for (uint32_t n = 0; n < p->sheets.at[k]->marks.n; n++) {
                const struct mark *m = &p->sheets.at[k]->marks.at[n];
                letters += m->kind == MARK_TEXT && m->group && m->group->role == ROLE_BOX &&
                           strlen(m->text) <= 4 && m->lettering.halo == 400;
            }
        struct area frames[64];
        const char *of[64];
        uint32_t cards = 0;
        for (uint32_t k = 0; k < p->sheets.n; k++)
            cards += frames_of(p->sheets.at[k], frames, of, 64);
        for (uint32_t b = 0; b < c.model->boxes.n; b++) {
            if (!is_drawn(&r, c.model->boxes.at[b]))
                continue;
            const struct card *card = card_of_box(&set, p->sheets.at[0], c.model->boxes.at[b]);
            uint32_t screws = card->devices.n ? card->devices.at[0].first : card->ends.n;
            for (uint32_t e = 0; e < card->ends.n; e++)
                ends += e < screws || card->ends.at[e].joint != NO_ROW;
        }
        assert_true(cards > 10);
        assert_int_equal(letters, ends);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cards_fill_their_sheets),
        cmocka_unit_test(a_wide_box_shares_its_sheet),
        cmocka_unit_test(wires_meet_and_keep_their_colour),
        cmocka_unit_test(crowded_cards_say_all),
        cmocka_unit_test(colours_have_a_second_sign),
        cmocka_unit_test(every_conductor_has_its_letters),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

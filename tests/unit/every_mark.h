/* A document with every kind of mark, for the tests of its writers. */
#ifndef STUDBAY_TESTS_EVERY_MARK_H
#define STUDBAY_TESTS_EVERY_MARK_H

#include "paper/paper.h"

static const struct lettering every_words = {.caps = CAPS_WORDS};

static void draw_dashes(struct sheet *s)
{
    for (int i = 0; i < DASH_COUNT; i++)
        paper_line(s, 15 * MM, (20 + 5 * i) * MM, 75 * MM, (20 + 5 * i) * MM,
                   (struct pen){0x204080, NO_INK, LINE_NEW, (enum dash)i});
}

static void draw_shapes(struct sheet *s)
{
    static const struct spot star[] = {
        {90 * MM, 20 * MM}, {110 * MM, 35 * MM}, {85 * MM, 38 * MM}, {112 * MM, 22 * MM}};
    static const struct spot room[] = {{120 * MM, 20 * MM}, {150 * MM, 20 * MM},
                                       {150 * MM, 45 * MM}, {135 * MM, 45 * MM},
                                       {135 * MM, 35 * MM}, {120 * MM, 35 * MM}};
    static const struct spot wave[] = {
        {90 * MM, 60 * MM},  {95 * MM, 45 * MM},  {105 * MM, 75 * MM}, {110 * MM, 60 * MM},
        {115 * MM, 45 * MM}, {125 * MM, 75 * MM}, {130 * MM, 60 * MM}};
    struct pen black = {BLACK, NO_INK, LINE_CUT, DASH_NONE}, grey = {BLACK, 0xcccccc, LINE_EDGE, 0},
               thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE};
    paper_path(s, star, 4, true, grey);
    paper_path(s, room, 6, true, black);
    paper_hatch(s, room, 6, 2 * MM, 45, thin);
    paper_curve(s, wave, 7, black);
    paper_circle(s, 165 * MM, 30 * MM, 8 * MM, grey);
    paper_circle(s, 165 * MM, 30 * MM, 1750, (struct pen){NO_INK, 0xc00000, 0, 0});
    paper_arc(s, 190 * MM, 30 * MM, 10 * MM, 0, 90, black);
    paper_arc(s, 190 * MM, 30 * MM, 8 * MM, 300, 30, black);
    paper_arc(s, 190 * MM, 30 * MM, 6 * MM, -200, 45, black);
    paper_rect(s, (struct area){140 * MM, 50 * MM, 160 * MM, 62 * MM}, 3 * MM, grey);
    paper_rect(s, (struct area){165 * MM, 50 * MM, 180 * MM, 60 * MM}, 50 * MM, black);
    paper_turn(s, 200 * MM, 50 * MM, 20);
    paper_rect(s, (struct area){0, 0, 20 * MM, 8 * MM}, 0, thin);
    paper_unturn(s);
}

static void draw_texts(struct sheet *s)
{
    struct lettering l = every_words;
    paper_text(s, 15 * MM, 80 * MM, l, "from here");
    l.anchor = AT_MIDDLE;
    paper_text(s, 75 * MM, 80 * MM, l, "about here");
    l.anchor = AT_END;
    paper_text(s, 130 * MM, 80 * MM, l, "up to here");
    l = (struct lettering){.caps = CAPS_NUMBER, .bold = true};
    paper_text(s, 140 * MM, 85 * MM, l, "W-17");
    l = (struct lettering){.caps = CAPS_NAME, .degrees = 90};
    paper_text(s, 20 * MM, 90 * MM, l, "downwards");
    l.degrees = -90;
    paper_text(s, 40 * MM, 130 * MM, l, "upwards");
    l.degrees = 30;
    paper_text(s, 50 * MM, 95 * MM, l, "askew");
    paper_line(s, 90 * MM, 100 * MM, 130 * MM, 108 * MM,
               (struct pen){BLACK, NO_INK, LINE_CUT, DASH_NONE});
    l = (struct lettering){.caps = CAPS_NAME, .halo = 600};
    paper_text(s, 95 * MM, 106 * MM, l, "over a line");
    paper_rect(s, (struct area){90 * MM, 112 * MM, 130 * MM, 122 * MM}, 0,
               (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    l = (struct lettering){.caps = CAPS_WORDS, .fill = WHITE};
    paper_text(s, 92 * MM, 118 * MM, l, "white on black");
    paper_text(s, 140 * MM, 100 * MM, every_words, "12\xe2\x80\x99-6\xc2\xbd\xe2\x80\xb3 \xc3\x84");
}

static void draw_clipped(struct sheet *s)
{
    struct pen pen = {BLACK, NO_INK, LINE_NEW, DASH_LEG};
    paper_clip(s, (struct area){150 * MM, 110 * MM, 200 * MM, 130 * MM});
    paper_circle(s, 150 * MM, 110 * MM, 15 * MM, pen);
    paper_clip(s, (struct area){180 * MM, 100 * MM, 190 * MM, 140 * MM});
    paper_line(s, 140 * MM, 120 * MM, 210 * MM, 120 * MM, pen);
    paper_unclip(s);
    paper_circle(s, 200 * MM, 130 * MM, 15 * MM, pen);
    paper_unclip(s);
    paper_line(s, 150 * MM, 135 * MM, 200 * MM, 135 * MM, pen);
}

/* Three sheets: Letter lying with every kind of mark, 11 x 17 and 24 x 36 with places that links of
 * the first lead to. */
static struct paper *every_mark(struct arena *arena)
{
    struct paper *p = paper_new(arena, "A \"plan\" (\\) <of> \xc3\x84 & \xe2\x86\x91", "O'Neil");
    struct sheet *s =
        paper_sheet(p, "W-1", "Walls", "Studio, north wall", 11 * PAPER_INCH, 17 * PAPER_INCH / 2);
    s->doc = "Every kind of mark";
    draw_dashes(s);
    paper_begin(s, ROLE_SYMBOL, "studio.S1", "Studio S1");
    draw_shapes(s);
    paper_end(s);
    draw_texts(s);
    draw_clipped(s);
    paper_link(s, (struct area){15 * MM, 75 * MM, 35 * MM, 82 * MM}, "#hall.R2");
    paper_link(s, (struct area){60 * MM, 75 * MM, 90 * MM, 82 * MM}, "https://example.org/a?b=(1)");
    paper_link(s, (struct area){100 * MM, 75 * MM, 130 * MM, 82 * MM}, "javascript:alert(1)");
    paper_link(s, (struct area){140 * MM, 75 * MM, 160 * MM, 82 * MM}, "#nowhere");
    s = paper_sheet(p, "W-2", "Walls", "Hall, \xc3\x84st", 11 * PAPER_INCH, 17 * PAPER_INCH);
    paper_anchor(s, 100 * MM, 200 * MM, "hall.R2");
    paper_text(s, 100 * MM, 200 * MM, every_words, "hall R2");
    paper_link(s, (struct area){100 * MM, 190 * MM, 130 * MM, 200 * MM}, "#studio.S1");
    s = paper_sheet(p, "E101", "Power", "Ground floor", 36 * PAPER_INCH, 24 * PAPER_INCH);
    paper_text(s, 600 * MM, 500 * MM, every_words, "far off");
    return p;
}

#endif

/* Signs of devices: the table plan-signs of the library says which one a device has. */
#include "emit/words/devices.h"
#include "facts/devices.h"
#include "resolve/library.h"
#include "sheets/plans/plan.h"

#include <string.h>

enum {
    ROUND = 1750,    /* radius of a circle */
    LETTERED = 2500, /* of one with letters in it */
    PAD = 700,       /* about the letters in a square */
    SQUARE = 3500,   /* its least side */
    TUBE = 9000,
    TICK = 1200, /* what stands out of a lamp */
    LEGS = 3300  /* over a switch: the letters of its legs */
};

static const struct lettering inner = {.caps = CAPS_NOTE, .anchor = AT_MIDDLE},
                              tall = {.caps = CAPS_NAME, .bold = true},
                              sub = {.caps = CAPS_NOTE, .bold = true},
                              above = {.caps = CAPS_WORDS, .anchor = AT_MIDDLE};

/* --- which one -------------------------------------------------------------------------------- */

/* In the order of enum plan_shape, as the table has them. */
static const char *const shape_names[PLAN_SHAPES] = {"duplex", "single", "three-bars", "lamp",
                                                     "tube",   "circle", "hexagon",    "blades",
                                                     "switch", "square", "triangle"};

static enum plan_shape shape_named(const char *name)
{
    for (int i = 0; i < PLAN_SHAPES; i++)
        if (name && !strcmp(name, shape_names[i]))
            return (enum plan_shape)i;
    return PLAN_SQUARE;
}

static const char *figure_of(const char *kind)
{
    return !kind                        ? ""
           : !strcmp(kind, "three-way") ? "3"
           : !strcmp(kind, "four-way")  ? "4"
           : !strcmp(kind, "two-pole")  ? "2"
                                        : "";
}

/* "S3", "SDM", and two on one yoke with both figures. */
static void switch_sign(const struct results *r, const struct device *d, struct plan_sign *sign)
{
    const char *kind = d->part_count ? words_switch_kind(r, &d->parts[0]) : NULL,
               *figure = figure_of(kind);
    for (uint32_t i = 1; i < d->part_count; i++) {
        const char *other = words_switch_kind(r, &d->parts[i]);
        if (!other)
            continue;
        sign->letters = arena_printf(r->arena, "%s,%s", *figure ? figure : "1",
                                     *figure_of(other) ? figure_of(other) : "1");
        sign->words = "two switches on one yoke, each with its ways";
        return;
    }
    if (!*figure)
        return;
    sign->words = arena_printf(r->arena, "%s %s", kind, sign->words);
    sign->letters = arena_printf(r->arena, "%s%s", figure, sign->letters);
}

struct plan_sign plan_sign_of(const struct results *r, const struct device *d)
{
    struct code *code = &r->model->code;
    if (!d)
        return (struct plan_sign){.shape = PLAN_CIRCLE, .letters = "J", .words = "junction box"};
    const char *row = facts_device_key(r->model, d->def, TABLE_PLAN_SIGNS), *letters = NULL,
               *words = NULL;
    struct plan_sign sign = {.shape = PLAN_SQUARE, .letters = "", .words = device_item(r, d)};
    if (row) {
        sign.shape = shape_named(code_cell_word(code, COL_PLAN_SIGNS_SHAPE, row));
        letters = code_cell_text(code, COL_PLAN_SIGNS_LETTERS, row);
        words = code_cell_text(code, COL_PLAN_SIGNS_WORDS, row);
    }
    sign.letters = letters ? letters : "";
    sign.words = words ? words : sign.words;
    if (sign.shape == PLAN_SWITCH)
        switch_sign(r, d, &sign);
    for (uint32_t i = 0; i < d->part_count && sign.shape == PLAN_DUPLEX; i++)
        sign.half |= d->part_count > 1 && d->parts[i].leg;
    if (sign.half)
        sign.words = "duplex receptacle, half on a switch";
    return sign;
}

/* --- how large -------------------------------------------------------------------------------- */

static bool is_lettered(const struct plan_sign *sign)
{
    return *sign->letters != 0;
}

static um letters_wide(const struct sheet *s, const struct plan_sign *sign)
{
    return paper_text_width(s, inner, sign->letters);
}

static um round_of(const struct sheet *s, const struct plan_sign *sign)
{
    um half = letters_wide(s, sign) / 2 + PAD;
    if (!is_lettered(sign) && sign->shape != PLAN_HEXAGON)
        return ROUND;
    return half > LETTERED ? half : LETTERED;
}

void plan_sign_size(const struct sheet *s, const struct plan_sign *sign, um *wide, um *high)
{
    um r = round_of(s, sign), letters = letters_wide(s, sign);
    *wide = *high = 2 * r;
    switch (sign->shape) {
    case PLAN_DUPLEX:
    case PLAN_SINGLE:
    case PLAN_THREE_BARS:
        *wide = *high = 2 * ROUND + 1000;
        break;
    case PLAN_LAMP:
        *wide = *high = 2 * ROUND + 2 * TICK;
        break;
    case PLAN_BLADES:
        *wide = *high = 2 * ROUND + 2 * TICK;
        break;
    case PLAN_TUBE:
        *wide = TUBE;
        *high = 2200;
        break;
    case PLAN_SQUARE:
        *wide = letters + 2 * PAD > SQUARE ? letters + 2 * PAD : SQUARE;
        *high = SQUARE;
        break;
    case PLAN_TRIANGLE:
        *wide = 4200 + (is_lettered(sign) ? letters + 500 : 0);
        *high = SQUARE;
        break;
    case PLAN_SWITCH:
        *wide = paper_text_width(s, tall, "S") +
                (is_lettered(sign) ? paper_text_width(s, sub, sign->letters) + 300 : 0);
        *high = CAPS_NAME + 900;
        break;
    default:
        break;
    }
    if (sign->legs) {
        um over = paper_text_width(s, above, sign->legs);
        *wide = over > *wide ? over : *wide;
        *high += LEGS;
    }
}

/* --- drawing ---------------------------------------------------------------------------------- */

static struct pen pen_of(const struct plan_sign *sign)
{
    if (sign->existing || sign->goes)
        return (struct pen){BLACK, WHITE, LINE_THIN, DASH_EXISTING};
    return (struct pen){BLACK, WHITE, LINE_EDGE, DASH_NONE};
}

static void write_inner(struct sheet *s, const struct plan_sign *sign, um x, um y)
{
    paper_text(s, x, y + CAPS_NOTE / 2, inner, sign->letters);
}

/* Bars stand out of their circle at both ends, so that copies tell them. */
static void draw_bars(struct sheet *s, um x, um y, int count, struct pen pen)
{
    for (int i = 0; i < count; i++) {
        um at = x + (2 * i - (count - 1)) * 550;
        paper_line(s, at, y - ROUND - 500, at, y + ROUND + 500, pen);
    }
}

static void draw_receptacle(struct sheet *s, const struct plan_sign *sign, um x, um y,
                            struct pen pen)
{
    static const int bars[] = {[PLAN_DUPLEX] = 2, [PLAN_SINGLE] = 1, [PLAN_THREE_BARS] = 3};
    paper_circle(s, x, y, ROUND, pen);
    if (sign->half) {
        struct spot bow[14];
        static const int sines[] = {0, 259, 500, 707, 866, 966, 1000}; /* by 15 degrees */
        for (int i = 0; i <= 12; i++) {
            int sine = sines[i > 6 ? 12 - i : i], cosine = i > 6 ? sines[i - 6] : -sines[6 - i];
            bow[i] = (struct spot){x - ROUND * sine / 1000, y + ROUND * cosine / 1000};
        }
        paper_path(s, bow, 13, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
    }
    draw_bars(s, x, y, bars[sign->shape], pen);
}

static void draw_lamp(struct sheet *s, um x, um y, struct pen pen)
{
    static const int ways[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
    paper_circle(s, x, y, ROUND, pen);
    for (int i = 0; i < 4; i++)
        paper_line(s, x + ways[i][0] * ROUND, y + ways[i][1] * ROUND,
                   x + ways[i][0] * (ROUND + TICK), y + ways[i][1] * (ROUND + TICK), pen);
}

static void draw_blades(struct sheet *s, um x, um y, struct pen pen)
{
    um d = ROUND + TICK, in = 600;
    struct spot blade[2][4] = {{{x - d, y}, {x, y - in}, {x + d, y}, {x, y + in}},
                               {{x, y - d}, {x + in, y}, {x, y + d}, {x - in, y}}};
    for (int i = 0; i < 2; i++)
        paper_path(s, blade[i], 4, true, pen);
    paper_circle(s, x, y, in, pen);
}

static void draw_hexagon(struct sheet *s, um x, um y, um r, struct pen pen)
{
    um half = r * 866 / 1000;
    struct spot corner[6] = {{x - r, y}, {x - r / 2, y - half}, {x + r / 2, y - half},
                             {x + r, y}, {x + r / 2, y + half}, {x - r / 2, y + half}};
    paper_path(s, corner, 6, true, pen);
}

static void draw_switch(struct sheet *s, const struct plan_sign *sign, um x, um y, um wide)
{
    struct lettering l = tall;
    um left = x - wide / 2, base = y + CAPS_NAME / 2;
    l.bold = !sign->existing && !sign->goes;
    paper_text(s, left, base, l, "S");
    paper_text(s, left + paper_text_width(s, tall, "S") + 300, base + 400, sub, sign->letters);
}

static void draw_triangle(struct sheet *s, const struct plan_sign *sign, um left, um y,
                          struct pen pen)
{
    struct lettering l = {.caps = CAPS_NOTE};
    struct spot corner[3] = {
        {left, y + SQUARE / 2}, {left + 4200, y + SQUARE / 2}, {left + 2100, y - SQUARE / 2}};
    paper_path(s, corner, 3, true, pen);
    paper_text(s, left + 4700, y + CAPS_NOTE / 2, l, sign->letters);
}

static void draw_shape(struct sheet *s, const struct plan_sign *sign, um x, um y, um wide, um high)
{
    struct pen pen = pen_of(sign);
    struct area a = {x - wide / 2, y - high / 2, x + wide / 2, y + high / 2};
    switch (sign->shape) {
    case PLAN_DUPLEX:
    case PLAN_SINGLE:
    case PLAN_THREE_BARS:
        draw_receptacle(s, sign, x, y, pen);
        break;
    case PLAN_LAMP:
        draw_lamp(s, x, y, pen);
        break;
    case PLAN_TUBE:
    case PLAN_SQUARE:
        paper_rect(s, a, 0, pen);
        break;
    case PLAN_BLADES:
        draw_blades(s, x, y, pen);
        break;
    case PLAN_SWITCH:
        draw_switch(s, sign, x, y, wide);
        break;
    case PLAN_TRIANGLE:
        draw_triangle(s, sign, a.left, y, pen);
        break;
    case PLAN_HEXAGON:
        draw_hexagon(s, x, y, wide / 2, pen);
        break;
    default:
        paper_circle(s, x, y, wide / 2, pen);
        break;
    }
    if (is_lettered(sign) && sign->shape != PLAN_SWITCH && sign->shape != PLAN_TRIANGLE)
        write_inner(s, sign, x, y);
    if (sign->goes) { /* crossed out */
        struct pen cross = {BLACK, NO_INK, LINE_EDGE, DASH_NONE};
        paper_line(s, a.left, a.top, a.right, a.bottom, cross);
        paper_line(s, a.right, a.top, a.left, a.bottom, cross);
    }
}

void plan_sign_draw(struct sheet *s, const struct plan_sign *sign, um x, um y)
{
    struct plan_sign bare = *sign;
    um wide, high;
    bare.legs = NULL;
    plan_sign_size(s, &bare, &wide, &high);
    if (sign->legs) {
        paper_text(s, x, y - high / 2 + LEGS / 2 - (LEGS - CAPS_WORDS), above, sign->legs);
        y += LEGS / 2;
    }
    draw_shape(s, &bare, x, y, wide, high);
}

static void draw_key(struct sheet *s, um x, um y, const void *what)
{
    struct plan_sign bare = *(const struct plan_sign *)what;
    bare.legs = NULL;
    plan_sign_draw(s, &bare, x, y);
}

void plan_sign_key(struct page *page, const struct plan_sign *sign)
{
    struct arena *arena = page->set->r->arena;
    struct plan_sign *kept = arena_new(arena, struct plan_sign);
    *kept = *sign;
    page_key(page, (struct key){.draw = draw_key,
                                .what = kept,
                                .words = sign->goes ? arena_printf(arena, "%s, goes", sign->words)
                                         : sign->existing
                                             ? arena_printf(arena, "%s, existing", sign->words)
                                             : sign->words,
                                .tall = true});
}

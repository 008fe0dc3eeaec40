#include "emit/views.h"
#include "sheets/sheets.h"

/* 1" to 1/8" to the foot, and those of metric paper. */
static const int by_foot[] = {12, 16, 24, 32, 48, 64, 96, 0};
static const int by_metre[] = {10, 20, 25, 50, 100, 0};

static const um bar_parts = 4;

const int *scales_of(const struct set *set)
{
    return set->metric ? by_metre : by_foot;
}

int scales_least(const struct set *set)
{
    return set->metric ? 50 : VIEW_LEAST_SCALE;
}

int scales_fitting(const struct set *set, length wide, um width, length high, um height)
{
    for (const int *s = scales_of(set); *s; s++)
        if (paper_scaled(wide, *s) <= width && paper_scaled(high, *s) <= height)
            return *s;
    return 0;
}

static const char *inch_words(struct arena *arena, int ratio)
{
    int sixteenths = 16 * 12 / ratio, under = 16;
    while (sixteenths % 2 == 0 && under > 1) {
        sixteenths /= 2;
        under /= 2;
    }
    return under == 1 ? arena_printf(arena, "%d\" = 1'-0\"", sixteenths)
                      : arena_printf(arena, "%d/%d\" = 1'-0\"", sixteenths, under);
}

const char *scales_words(const struct set *set, int ratio)
{
    return set->metric || 16 * 12 % ratio ? arena_printf(set->r->arena, "1:%d", ratio)
                                          : inch_words(set->r->arena, ratio);
}

/* Two inches, or 50 mm, are so much in nature: whole feet or metres at each scale of the tables. */
void page_scale_bar(struct page *p, um x, um y, int ratio)
{
    struct arena *arena = p->set->r->arena;
    struct lettering l = {.caps = CAPS_NOTE};
    um part = (p->set->metric ? 50 * MM : 2 * PAPER_INCH) / bar_parts;
    struct pen solid = {BLACK, BLACK, LINE_THIN, DASH_NONE},
               open = {BLACK, NO_INK, LINE_THIN, DASH_NONE};
    paper_begin(p->s, ROLE_FRAME, NULL, NULL);
    for (um i = 0; i < bar_parts; i++)
        paper_rect(p->s, (struct area){x + i * part, y + 5 * MM, x + (i + 1) * part, y + 7 * MM}, 0,
                   i % 2 ? open : solid);
    paper_text(p->s, x, y + 3 * MM, l,
               p->set->metric
                   ? arena_printf(arena, "0 to %g m", (double)ratio * 50 / 1000)
                   : arena_printf(arena, "0 to %s", length_words(arena, 2 * ratio * INCH)));
    paper_text(
        p->s, x + bar_parts * part + 4 * MM, y + 7 * MM, l,
        p->set->metric
            ? "This bar is 50 mm long on paper. If it is not, do not scale from this sheet."
            : "This bar is 2 in. long on paper. If it is not, do not scale from this sheet.");
    paper_end(p->s);
}

static length eighths(length l)
{
    length part = INCH / 8;
    return (l + (l < 0 ? -part : part) / 2) / part * part;
}

const char *sheets_distance(const struct set *set, length l)
{
    return length_words(set->r->arena, eighths(l));
}

const char *sheets_height(const struct set *set, length l)
{
    return length_inch_words(set->r->arena, eighths(l));
}

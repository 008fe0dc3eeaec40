#include "emit/drawings/plan_symbols.h"

#include "emit/results.h"
#include "emit/words/devices.h"
#include "model/power.h"
#include "resolve/library.h"

#include <ctype.h>
#include <string.h>

static bool named(const struct device *d, const char *word)
{
    return strstr(d->def->name, word) != NULL;
}

static struct symbol receptacle(const struct results *r, const struct device *d)
{
    const char *letters = d->def->protects & PROTECTS_GFCI ? "GFCI" : named(d, "-wr") ? "WP" : "";
    if (d->def->two_line)
        return (struct symbol){SHAPE_240, arena_printf(r->arena, "240 V %g A", d->def->rating),
                               "receptacle of both lines"};
    for (uint32_t i = 0; i < d->part_count && d->part_count > 1; i++)
        if (d->parts[i].leg)
            return (struct symbol){SHAPE_SPLIT, letters, "receptacle, one half on a switch"};
    if (d->def->outlets == 1)
        return (struct symbol){SHAPE_SINGLE, letters, "single receptacle"};
    return (struct symbol){SHAPE_DUPLEX, letters,
                           *letters == 'G' ? "duplex receptacle, GFCI"
                           : *letters      ? "duplex receptacle, weatherproof"
                                           : "duplex receptacle"};
}

static const char *figure_of(const char *kind)
{
    return !kind                        ? ""
           : !strcmp(kind, "three-way") ? "3"
           : !strcmp(kind, "four-way")  ? "4"
           : !strcmp(kind, "two-pole")  ? "2"
                                        : "";
}

static struct symbol control(const struct results *r, const struct device *d)
{
    static const struct {
        const char *name, *letters, *words;
    } sorts[] = {
        {"dimmer", "DM", "dimmer"},
        {"timer", "T", "timer switch"},
        {"occupancy", "OS", "occupancy switch"},
        {"fan-control", "F", "fan speed control"},
        {"photocell", "PC", "photocell"},
    };
    const char *kind = d->part_count ? words_switch_kind(r, &d->parts[0]) : NULL,
               *figure = figure_of(kind);
    const char *words = kind && *figure ? arena_printf(r->arena, "%s switch", kind) : "switch";
    for (uint32_t i = 1; i < d->part_count; i++) {
        const char *other = words_switch_kind(r, &d->parts[i]);
        if (other && kind && strcmp(kind, other))
            return (struct symbol){SHAPE_SWITCH,
                                   arena_printf(r->arena, "S%sS%s", figure, figure_of(other)),
                                   "two kinds of switch on one yoke"};
    }
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++)
        if (named(d, sorts[i].name))
            return (struct symbol){
                SHAPE_SWITCH, arena_printf(r->arena, "S%s%s", figure, sorts[i].letters),
                arena_printf(r->arena, "%s%s", *figure ? "three- or four-way " : "",
                             sorts[i].words)};
    return (struct symbol){SHAPE_SWITCH, arena_printf(r->arena, "S%s", figure), words};
}

/* "water-heater" is WH, "range" is RA: the letters that a legend explains. */
static const char *initials(struct arena *a, const char *name)
{
    char text[4] = {0};
    size_t n = 0;
    for (const char *p = name; *p && n < 3; p++)
        if (p == name || p[-1] == '-')
            text[n++] = (char)toupper((unsigned char)*p);
    if (n == 1 && name[1])
        text[n++] = (char)toupper((unsigned char)name[1]);
    return arena_printf(a, "%s", text);
}

static struct symbol other(const struct results *r, const struct device *d)
{
    if (named(d, "paddle-fan"))
        return (struct symbol){SHAPE_FAN, "", "paddle fan"};
    if (named(d, "exhaust-fan"))
        return (struct symbol){SHAPE_ROUND, "EF", "exhaust fan"};
    return (struct symbol){SHAPE_SQUARE, initials(r->arena, d->def->name),
                           d->def->title ? d->def->title : d->def->name};
}

struct symbol symbol_of(const struct results *r, const struct device *d)
{
    if (!d)
        return (struct symbol){SHAPE_ROUND, "J", "junction box"};
    switch (d->def->sort) {
    case SORT_RECEPTACLE:
        return receptacle(r, d);
    case SORT_CONTROL:
        return control(r, d);
    case SORT_ALARM: {
        bool smoke = named(d, "smoke"), gas = named(d, "co-");
        return (struct symbol){SHAPE_ROUND,
                               smoke && gas ? "SC"
                               : gas        ? "CO"
                                            : "SD",
                               smoke && gas ? "smoke and carbon monoxide alarm"
                               : gas        ? "carbon monoxide alarm"
                                            : "smoke alarm"};
    }
    case SORT_LUMINAIRE:
        if (named(d, "recessed"))
            return (struct symbol){SHAPE_ROUND, "R", "recessed luminaire"};
        if (named(d, "linear"))
            return (struct symbol){SHAPE_LINEAR, "", "linear luminaire"};
        return (struct symbol){SHAPE_LUMINAIRE, "", "luminaire"};
    default:
        return other(r, d);
    }
}

/* --- shapes ------------------------------------------------------------------------------- */

static const struct pen ink = {"black", "white", 9 * POINT / 10, NULL};

static void bars(struct canvas *c, coord y, int count)
{
    for (int i = 0; i < count; i++) {
        coord x = (2 * i - (count - 1)) * POINT * 3 / 2;
        canvas_line(c, x, y + 7 * POINT, x, y - 7 * POINT, ink);
    }
}

static void ticks(struct canvas *c, coord y)
{
    static const int ways[4][2] = {{1, 0}, {-1, 0}, {0, 1}, {0, -1}};
    for (int i = 0; i < 4; i++)
        canvas_line(c, ways[i][0] * SYMBOL_RADIUS, y + ways[i][1] * SYMBOL_RADIUS,
                    ways[i][0] * 8 * POINT, y + ways[i][1] * 8 * POINT, ink);
}

static void blades(struct canvas *c, coord y)
{
    canvas_line(c, -8 * POINT, y - 8 * POINT, 8 * POINT, y + 8 * POINT, ink);
    canvas_line(c, -8 * POINT, y + 8 * POINT, 8 * POINT, y - 8 * POINT, ink);
}

const struct pen symbol_going_cable = {"black", NULL, POINT, "1 2.5"};

void symbol_draw(struct canvas *c, struct symbol s, bool loose)
{
    coord y = loose ? 0 : -SYMBOL_OFF;
    struct pen full = {"black", "black", ink.width, NULL};
    if (s.shape == SHAPE_JOINED) {
        canvas_circle(c, 0, y, JOINED_RADIUS, (struct pen){"black", NULL, POINT, "1.5 1.5"});
        return;
    }
    if (s.shape == SHAPE_GOES) {
        coord r = SYMBOL_RADIUS;
        canvas_line(c, -r, y - r, r, y + r, ink);
        canvas_line(c, -r, y + r, r, y - r, ink);
        return;
    }
    if (s.shape == SHAPE_GOING_CABLE) {
        canvas_line(c, -8 * POINT, y, 8 * POINT, y, symbol_going_cable);
        return;
    }
    if (!loose && s.shape != SHAPE_SWITCH)
        canvas_line(c, 0, 0, 0, y, ink);
    switch (s.shape) {
    case SHAPE_SWITCH:
        canvas_line(c, 0, 0, 0, loose ? 0 : -4 * POINT, ink);
        return;
    case SHAPE_LINEAR:
        canvas_rect(c, -12 * POINT, y - 3 * POINT, 24 * POINT, 6 * POINT, 0, ink);
        return;
    case SHAPE_SQUARE:
        canvas_rect(c, -SYMBOL_RADIUS - POINT, y - SYMBOL_RADIUS - POINT,
                    2 * SYMBOL_RADIUS + 2 * POINT, 2 * SYMBOL_RADIUS + 2 * POINT, 0, ink);
        return;
    case SHAPE_FAN:
        blades(c, y);
        break;
    case SHAPE_LUMINAIRE:
        ticks(c, y);
        break;
    default:
        break;
    }
    canvas_circle(c, 0, y, SYMBOL_RADIUS, ink);
    switch (s.shape) {
    case SHAPE_SINGLE:
        bars(c, y, 1);
        break;
    case SHAPE_DUPLEX:
        bars(c, y, 2);
        break;
    case SHAPE_SPLIT:
        canvas_circle(c, -2 * POINT, y, 2 * POINT, full);
        bars(c, y, 2);
        break;
    case SHAPE_240:
        bars(c, y, 3);
        break;
    default:
        break;
    }
}

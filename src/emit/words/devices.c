#include "emit/words/devices.h"

#include "emit/results.h"
#include "model/model.h"
#include "model/makeup.h"
#include "model/power.h"
#include "resolve/library.h"
#include "wiring/wiring.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

enum opening words_opening_of(const struct device_def *def)
{
    switch (def->sort) {
    case SORT_RECEPTACLE:
        return OPEN_RECEPTACLES;
    case SORT_CONTROL:
        return OPEN_SWITCHES;
    case SORT_LUMINAIRE:
        return OPEN_LIGHTS;
    case SORT_ALARM:
        return OPEN_ALARMS;
    case SORT_APPLIANCE:
    case SORT_EQUIPMENT:
        return OPEN_APPLIANCES;
    default:
        return OPEN_COUNT;
    }
}

const char *words_switch_kind(const struct results *r, const struct part *p)
{
    return p->control && !wiring_kind_untold(r->wiring, p) ? map_find(&r->switch_kinds, 0, p)
                                                           : NULL;
}

/* Whether a switch of a leg stands among others of it: a three-way or four-way one. */
static bool is_between(const struct results *r, const struct part *p)
{
    const char *kind = words_switch_kind(r, p);
    return kind && (!strcmp(kind, wiring_switch_kind_word(THREE_WAY)) ||
                    !strcmp(kind, wiring_switch_kind_word(FOUR_WAY)));
}

static void add_leg(struct buf *b, const struct part *p, const char *before)
{
    if (p->from_leg)
        buf_printf(b, "%s from leg %s", before, p->from_leg->name);
    if (p->leg)
        buf_printf(b, "%s leg %s", before, p->leg->name);
}

/* What the legs make of a device that is made in several kinds: "three-way", of its parts
 * "single-pole and three-way". NULL where its type says it, or it is single-pole alone. */
static const char *made_as(const struct results *r, const struct device *d)
{
    const char *words = NULL, *last = NULL;
    bool between = false;
    for (uint32_t i = 0; i < d->part_count; i++) {
        const char *kind = words_switch_kind(r, &d->parts[i]);
        const struct body *form = kind ? r->makeup->forms[d->id][i].body : NULL;
        if (!kind)
            continue;
        between |= form != d->parts[i].body && is_between(r, &d->parts[i]);
        if (!last || strcmp(kind, last))
            words = words ? arena_printf(r->arena, "%s and %s", words, kind) : kind;
        last = kind;
    }
    return between ? words : NULL;
}

/* "three-way switch", "three-way dimmer", "dimmer": what the library calls it, and what the leg
 * makes of it. */
static void add_type(struct buf *b, const struct results *r, const struct device *d)
{
    const char *kind = d->part_count ? words_switch_kind(r, &d->parts[0]) : NULL,
               *name = d->def->name, *made = made_as(r, d);
    if (kind && (!strcmp(name, "switch") || !strcmp(name, kind)))
        buf_printf(b, "%s switch", kind);
    else
        buf_printf(b, "%s%s%s", made ? made : "", made ? " " : "", name);
}

/* With its rating: "duplex receptacle, 20 A", "three-way switch". */
static void add_told(struct buf *b, const struct results *r, const struct device *d)
{
    const char *name = d->def->name, *made = made_as(r, d),
               *kind = d->part_count ? words_switch_kind(r, &d->parts[0]) : NULL,
               *title = d->def->title ? d->def->title : name;
    if (kind && (!strcmp(name, "switch") || !strcmp(name, kind)))
        buf_printf(b, "%s switch", kind);
    else
        buf_printf(b, "%s%s%s", made ? made : "", made ? " " : "",
                   words_lower_first(r->arena, title));
}

/* `told`: as people call it, not by the names of the library. */
static const char *words_of(const struct results *r, const struct device *d, bool told)
{
    struct buf b = {0};
    if (!wiring_buys_device(r->wiring, d))
        buf_puts(&b, "existing ");
    else if (d->box->existing)
        buf_puts(&b, "new ");
    (told ? add_told : add_type)(&b, r, d);
    if (d->part_count == 1) {
        add_leg(&b, &d->parts[0], told ? "," : "");
    } else {
        for (uint32_t i = 0; i < d->part_count; i++) {
            const struct part *p = &d->parts[i];
            buf_printf(&b, "%s%s", i ? ", " : " (", p->def ? p->def->name : "rest");
            add_leg(&b, p, "");
        }
        buf_puts(&b, d->part_count ? ")" : "");
    }
    if (d->title)
        buf_printf(&b, " (%s)", d->title);
    const char *words = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

const char *device_words(const struct results *r, const struct device *d)
{
    return words_of(r, d, false);
}

const char *device_told_words(const struct results *r, const struct device *d)
{
    return words_of(r, d, true);
}

const char *device_item(const struct results *r, const struct device *d)
{
    const char *kind = d->part_count ? words_switch_kind(r, &d->parts[0]) : NULL,
               *name = d->def->name, *made = made_as(r, d);
    if (kind && (!strcmp(name, "switch") || !strcmp(name, kind)))
        return kind;
    return made ? arena_printf(r->arena, "%s %s", made, name) : name;
}

const char *words_upper_first(struct arena *arena, const char *text)
{
    char *words = arena_copy(arena, text, strlen(text));
    *words = (char)toupper((unsigned char)*words);
    return words;
}

const char *device_counter_words(const struct results *r, const struct device *d)
{
    const char *item = device_item(r, d), *title = d->def->title ? d->def->title : d->def->name;
    const char *kind = d->part_count ? words_switch_kind(r, &d->parts[0]) : NULL;
    struct buf b = {0};
    if (item == kind)
        buf_printf(&b, "%s switch", kind);
    else if (item != d->def->name)
        buf_puts(&b, item);
    else
        buf_puts(&b, title);
    if (d->def->rating > 0 && !strstr(buf_text(&b), " A")) {
        buf_puts(&b, ", ");
        table_print_number(&b, d->def->rating, fmod(d->def->rating, 1) != 0);
        buf_puts(&b, " A");
    }
    if (d->def->tamper_resistant)
        buf_puts(&b, ", tamper-resistant (TR)");
    const char *text = words_upper_first(r->arena, buf_text(&b));
    buf_free(&b);
    return text;
}

const char *words_lower_first(struct arena *arena, const char *text)
{
    char *words = arena_copy(arena, text, strlen(text));
    if (isupper((unsigned char)words[0]) && islower((unsigned char)words[1]))
        *words = (char)tolower((unsigned char)*words); /* "GFCI receptacle" stays */
    return words;
}

const char *device_title_words(const struct results *r, const struct device_def *def)
{
    const char *title = def->title ? def->title : def->name;
    return words_lower_first(r->arena, arena_copy(r->arena, title, strcspn(title, ",")));
}

const char *device_trade_words(const struct results *r, const struct device *d)
{
    const char *kind = d->part_count ? words_switch_kind(r, &d->parts[0]) : NULL,
               *name = d->def->name, *made = made_as(r, d);
    if (kind && (!strcmp(name, "switch") || !strcmp(name, kind)))
        return arena_printf(r->arena, "%s switch", kind);
    return made ? arena_printf(r->arena, "%s %s", made, device_title_words(r, d->def))
                : device_title_words(r, d->def);
}

const char *device_outlet_item(const struct results *r, const struct device *d)
{
    const char *outlet = code_device(&r->model->code, SET_MATERIALS_PLUGGED_INTO);
    bool plugged =
        d->def->outlets && (d->def->sort == SORT_APPLIANCE || d->def->sort == SORT_EQUIPMENT);
    return plugged && outlet ? arena_printf(r->arena, "%s for a plug", outlet) : NULL;
}

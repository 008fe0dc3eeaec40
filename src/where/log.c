/* Names in the site log. What an event is about the log itself has found; here each word of it is
 * looked up by the address that it is. */
#include "log/log.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "model/site.h"
#include "where/work.h"

#include <string.h>

struct reading {
    struct whereabouts *w;
    where_log_place *each;
    void *data;
    struct map coils;  /* (0, name) -> struct coil */
    struct map labels; /* (unit, name) -> struct run */
    struct map low_voltages;
    const struct source *source;
    uint32_t at, end;        /* what is left of the line at hand */
    const struct room *last; /* of the end before, in a chain */
    bool all;                /* every name was made out */
};

static const char *interned(const struct reading *r, const char *from, size_t len)
{
    return names_intern(r->w->c->model->names, from, len);
}

static void file_names(struct reading *r)
{
    struct model *m = r->w->c->model;
    struct arena *a = r->w->arena;
    for (uint32_t i = 0; i < m->coils.n; i++)
        if (m->coils.at[i]->name)
            map_put(a, &r->coils, 0, (uintptr_t)m->coils.at[i]->name, m->coils.at[i]);
    for (uint32_t i = 0; i < m->low_voltages.n; i++)
        map_put(a, &r->low_voltages, (uintptr_t)m->low_voltages.at[i]->unit,
                (uintptr_t)m->low_voltages.at[i]->name, m->low_voltages.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        struct run *run = m->runs.at[i];
        const struct unit *unit = run->circuit ? run->circuit->unit : run->low_voltage->unit;
        if (run->label)
            map_put(a, &r->labels, (uintptr_t)unit, (uintptr_t)run->label, run);
    }
}

static void note(struct reading *r, struct span at, const void *thing)
{
    r->each(r->data, at, thing, false);
}

/* --- words -------------------------------------------------------------------------------- */

/* A word of the line, and its parts between dots. */
enum { MOST_PARTS = 4 };
struct word {
    struct span span;
    const char *text; /* interned */
    struct span parts[MOST_PARTS];
    const char *part[MOST_PARTS];
    unsigned count;
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static void split(const struct reading *r, struct word *word)
{
    uint32_t from = word->span.off, end = from + word->span.len;
    const char *bytes = r->source->bytes;
    for (uint32_t i = from; i <= end && word->count < MOST_PARTS; i++) {
        if (i < end && bytes[i] != '.')
            continue;
        word->parts[word->count] = (struct span){word->span.source, from, i - from};
        word->part[word->count++] = interned(r, bytes + from, i - from);
        from = i + 1;
    }
}

/* The next word; false at the end of the line or at its note. */
static bool next_word(struct reading *r, struct word *word)
{
    const char *bytes = r->source->bytes;
    while (r->at < r->end && is_blank(bytes[r->at]))
        r->at++;
    if (r->at == r->end || bytes[r->at] == '#')
        return false;
    uint32_t from = r->at;
    bool quoted = bytes[r->at++] == '"';
    while (r->at < r->end &&
           (quoted ? bytes[r->at - 1] != '"' || r->at == from + 1
                   : !is_blank(bytes[r->at]) && strncmp(bytes + r->at, "->", 2) != 0))
        r->at++;
    if (!strncmp(bytes + from, "->", 2))
        r->at = from + 2;
    *word = (struct word){.span = {(struct source *)(uintptr_t)r->source, from, r->at - from}};
    word->text = interned(r, bytes + from, r->at - from);
    split(r, word);
    return true;
}

static bool is(const struct word *word, const char *text)
{
    return !strcmp(word->text, text);
}

/* --- what a word means -------------------------------------------------------------------- */

/* A room, unit or panel by the name that a scope has for it. */
struct found {
    const struct room *room;
    const struct panel *panel;
    const struct unit *unit;
};

static struct found look_up(const struct reading *r, const struct unit *in, const char *name)
{
    const struct model *m = r->w->c->model;
    struct found f = {0};
    f.room = model_room_called(m, in, name);
    f.panel = f.room ? NULL : model_panel_called(m, in, name);
    f.unit = f.room || f.panel || in ? NULL : model_unit_called(m, name);
    return f;
}

/* A part of a word that is a room's, or that of a box in it or a wall of it behind. */
static bool read_in_room(struct reading *r, const struct word *word, unsigned i,
                         const struct room *room)
{
    const struct box *box =
        i < word->count ? map_get(&room->box_names, 1, (uintptr_t)word->part[i]) : NULL;
    r->last = room;
    if (i == word->count)
        return true;
    if (box)
        note(r, word->parts[i], box);
    for (uint32_t k = 0; !box && k < room->wall_count; k++)
        if (room->walls[k].outline && room->walls[k].written == word->part[i])
            note(r, word->parts[i], &room->walls[k]);
    return i + 1 == word->count;
}

/* Of a unit with its name before. */
static bool read_low_voltage(struct reading *r, const struct word *word)
{
    const struct unit *in = word->count > 1 ? look_up(r, NULL, word->part[0]).unit : NULL;
    unsigned i = in ? 1 : 0;
    const struct low_voltage *v =
        i + 1 == word->count ? map_get(&r->low_voltages, (uintptr_t)in, (uintptr_t)word->part[i])
                             : NULL;
    if (v && in)
        note(r, word->parts[0], in);
    if (v)
        note(r, word->parts[i], v);
    return v;
}

/* A run by its own name. */
static bool read_label(struct reading *r, const struct unit *in, const struct word *word,
                       unsigned i)
{
    const struct run *run =
        i + 1 == word->count ? map_get(&r->labels, (uintptr_t)in, (uintptr_t)word->part[i]) : NULL;
    if (run)
        note(r, word->parts[i], run);
    return run;
}

/* The circuit of a panel, "P.2"; or of any panel, where the part is the only one. */
static bool read_circuit(struct reading *r, const struct panel *panel, const struct word *word,
                         unsigned i)
{
    const struct model *m = r->w->c->model;
    const struct circuit *c = NULL;
    if (i + 1 != word->count)
        return false;
    if (panel)
        c = map_get(&panel->circuit_names, (uintptr_t)panel, (uintptr_t)word->part[i]);
    for (uint32_t k = 0; !panel && !c && k < m->circuits.n; k++)
        if (m->circuits.at[k]->name == word->part[i] && !m->circuits.at[k]->unit)
            c = m->circuits.at[k];
    if (c && !c->feeds)
        note(r, word->parts[i], c);
    return c;
}

/* "P14", "P14/16", "Q1-14": the panel's name before the figures. */
static bool read_handle(struct reading *r, const struct unit *in, const struct word *word,
                        unsigned i)
{
    const char *text = word->part[i];
    size_t len = strlen(text), figures = len;
    while (figures && strchr("0123456789/", text[figures - 1]))
        figures--;
    size_t name = figures && text[figures - 1] == '-' ? figures - 1 : figures;
    if (i + 1 != word->count || figures == len || !name)
        return false;
    struct found f = look_up(r, in, interned(r, text, name));
    if (f.panel)
        r->each(r->data,
                (struct span){word->parts[i].source, word->parts[i].off, (uint32_t)figures},
                f.panel, true);
    return f.panel;
}

/* An address from its part `i` on, in a unit or in the plan. */
static bool read_address(struct reading *r, const struct unit *in, const struct word *word,
                         unsigned i)
{
    struct found f = look_up(r, in, word->part[i]);
    if (f.room) {
        note(r, word->parts[i], f.room);
        return read_in_room(r, word, i + 1, f.room);
    }
    if (f.panel) {
        note(r, word->parts[i], f.panel);
        r->last = i + 1 == word->count ? r->last : NULL;
        return i + 1 == word->count || read_circuit(r, f.panel, word, i + 1);
    }
    if (f.unit && i + 1 < word->count) {
        note(r, word->parts[i], f.unit);
        return read_address(r, f.unit, word, i + 1);
    }
    return read_label(r, in, word, i) || read_handle(r, in, word, i);
}

/* A word of a subject: behind an end in a room it may be a box of that room. */
static bool read_subject(struct reading *r, const struct word *word, bool in_chain)
{
    const struct box *box = in_chain && r->last && word->count == 1
                                ? map_get(&r->last->box_names, 1, (uintptr_t)word->part[0])
                                : NULL;
    if (box)
        note(r, word->span, box);
    return box || read_address(r, NULL, word, 0);
}

/* A coil that the plan names; of several "NAME-2"; a bought one is called by its cable, "14/2-1".
 */
static bool read_coil(struct reading *r, const struct word *word)
{
    const char *dash = strrchr(word->text, '-');
    const struct coil *coil = map_get(&r->coils, 0, (uintptr_t)word->text);
    struct span at = word->span;
    if (!coil && dash) {
        at.len = (uint32_t)(dash - word->text);
        const char *name = interned(r, word->text, at.len);
        const struct cable_def *cable = library_cable(&r->w->c->lib, name);
        coil = map_get(&r->coils, 0, (uintptr_t)name);
        if (!coil && cable)
            note(r, at, cable);
    }
    if (coil)
        note(r, at, coil);
    return true;
}

static bool read_cable(struct reading *r, const struct word *word)
{
    const struct cable_def *cable = library_cable(&r->w->c->lib, word->text);
    if (cable)
        note(r, word->span, cable);
    return true;
}

/* --- lines -------------------------------------------------------------------------------- */

/* What the word before says of this one. */
static bool read_word(struct reading *r, const struct word *word, const struct word *before,
                      bool in_chain)
{
    static const char *const plain[] = {"->",      "to",     "circuit", "low-voltage",
                                        "joists",  "feeder", "from",    "cable",
                                        "ceiling", "upper",  "lower"};
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++)
        if (is(word, plain[i]))
            return true;
    if (is(before, "cable"))
        return read_cable(r, word);
    if (is(before, "from"))
        return read_coil(r, word);
    if (is(before, "low-voltage"))
        return read_low_voltage(r, word);
    if (is(before, "joists")) {
        const struct level *level = model_level_called(r->w->c->model, word->text);
        if (level)
            note(r, word->span, level);
        return level;
    }
    if (is(before, "circuit") && word->count == 1)
        return read_circuit(r, NULL, word, 0) || read_handle(r, NULL, word, 0);
    if (*word->text >= '0' && *word->text <= '9') /* a length */
        return true;
    if (in_chain || !r->last)
        return read_subject(r, word, in_chain);
    return read_in_room(
        r,
        &(struct word){.span = word->span, .parts = {word->span}, .part = {word->text}, .count = 1},
        0, r->last); /* "studio north" */
}

static void read_event(struct reading *r, const struct log_event *e)
{
    struct word word, before = {.text = ""};
    r->source = e->span.source;
    r->at = e->span.off;
    r->end = e->span.off + e->span.len;
    r->last = NULL;
    r->all = true;
    bool subject = false;
    while (next_word(r, &word)) {
        bool state = log_is_state_word(word.text);
        if (subject)
            r->all &= read_word(r, &word, &before, is(&before, "->") || is(&before, "to"));
        subject |= e->state == LOG_PHOTO ? is(&word, "of") : state;
        before = word;
    }
}

static bool is_known(const struct log_event *e)
{
    const struct log_subject *s = &e->about;
    return s->runs.n || s->boxes.n || s->panels.n || s->gone.n || s->wall || s->joists || s->closed;
}

void where_read_log(struct whereabouts *w, where_log_place *each, void *data)
{
    struct reading r = {.w = w, .each = each, .data = data};
    const struct site_log *log = w->c->log;
    file_names(&r);
    for (uint32_t i = 0; i < log->events.n; i++)
        for (const struct log_event *e = log->events.at[i]; e; e = e->again) {
            read_event(&r, e);
            if (!r.all && is_known(log->events.at[i]))
                *vec_push(w->arena, &w->unread) = log->events.at[i];
        }
}

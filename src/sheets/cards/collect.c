/* What a card shows, and where: ends side by side, joints one below the other. */
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "model/address.h"
#include "resolve/library.h"
#include "sheets/cards/card.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

enum {
    PITCH = 4200,      /* between conductors */
    SCREWS = 5000,     /* between screws */
    APART = 5000,      /* between cables, between devices */
    CAPS_WIDE = 36000, /* what is said of the joints, left of them, at most */
    CAPS_OFF = 9000,   /* the cap itself and what keeps it from the first conductor */
    SHEATHS = 13500,   /* height of the sheaths and of what stands on them */
    ROWS = 3800,
    FACE = 10500,       /* of a device, beside its screws */
    WORDS = 38000,      /* of a cable or device in a line */
    FACE_LEAST = 15000, /* height of a device */
    FACE_MOST = 26000,
    CLEAR = 1300, /* between upright wires of two joints */
    STEP = 200,
    SCREWS_LEAST = 2500, /* between those that were moved */
    NAME_OFF = 4600      /* of a screw: from the upper edge of its device, and to the lower one */
};

/* --- ends ------------------------------------------------------------------------------------- */

struct filing {
    struct card *card;
    const struct results *r;
    struct map rows;  /* (run, end) -> row + 1 of a conductor */
    struct map ports; /* (device, part and terminal) -> row + 1 of a screw */
};

static uintptr_t wire_key(int16_t conductor, bool at_to)
{
    return (uintptr_t)(conductor + 2) * 2 + at_to;
}

/* A terminal that several parts share is at the first of them. */
static uintptr_t port_key(const struct results *r, const struct part *part, uint8_t terminal)
{
    const struct device *d = part->device;
    const struct part_form *forms = r->makeup->forms[d->id];
    uint32_t at = (uint32_t)(part - d->parts);
    uint8_t shared = forms[at].body->terminals[terminal].shared;
    for (uint32_t p = 0; shared && p < at; p++)
        for (uint8_t t = 0; forms[p].part && t < forms[p].body->terminal_count; t++)
            if (forms[p].body->terminals[t].shared == shared)
                return (uintptr_t)p << 8 | t;
    return (uintptr_t)at << 8 | terminal;
}

static void file_lead(struct filing *f, const struct lead *l, uint32_t row)
{
    struct arena *arena = f->r->arena;
    void *at = (void *)(uintptr_t)(row + 1);
    if (l->kind == LEAD_CONDUCTOR)
        map_put(arena, &f->rows, (uintptr_t)l->run, wire_key(l->conductor, l->at_to), at);
    else if (l->kind == LEAD_TERMINAL && !l->over_tab)
        map_put(arena, &f->ports, (uintptr_t)l->part->device, port_key(f->r, l->part, l->terminal),
                at);
}

static void file_joints(struct filing *f)
{
    const struct makeup *k = f->r->makeup;
    const struct box *b = f->card->box;
    for (uint32_t i = k->first_of_box[b->id]; i < k->first_of_box[b->id + 1]; i++) {
        const struct joint *j = &k->joints.at[i];
        for (uint32_t n = 0; n < j->lead_count; n++)
            file_lead(f, &j->leads[n], f->card->rows.n);
        *vec_push(f->r->arena, &f->card->rows) = (struct card_row){.joint = j};
    }
}

static uint32_t row_filed(const struct map *map, uintptr_t a, uintptr_t b)
{
    uint32_t row = (uint32_t)(uintptr_t)map_get(map, a, b);
    return row ? row - 1 : NO_ROW;
}

static void add_end(struct filing *f, struct card_end end)
{
    *vec_push(f->r->arena, &f->card->ends) = end;
}

/* --- cables ----------------------------------------------------------------------------------- */

static const char *cable_words(const struct results *r, const struct run *run)
{
    const struct run_view *v = view_of_run(r, run);
    const char *mark = run->circuit ? words_mark(r, run->circuit) : NULL;
    return arena_printf(r->arena, "%s%s%s", v->cable ? v->cable : "old cable", mark ? " " : "",
                        mark ? mark : "");
}

static const char *place_words(const struct results *r, const struct box *b, const struct run *run)
{
    struct end other = run->from.box == b ? run->to : run->from;
    return arena_printf(r->arena, "%s %s", run->from.box == b ? "to" : "from",
                        other.box && other.box->room == b->room
                            ? other.box->name
                            : address_of_end(r->arena, other, false));
}

static void add_cable(struct filing *f, const struct run *run, bool at_to)
{
    const struct results *r = f->r;
    const struct made_run *made = &r->makeup->runs[run->id];
    struct card_cable cable = {.run = run,
                               .words = cable_words(r, run),
                               .place = place_words(r, f->card->box, run),
                               .first = f->card->ends.n};
    if (!made->made)
        return;
    for (int16_t c = 0; c < (int16_t)made->count; c++)
        add_end(f, (struct card_end){
                       .joint = row_filed(&f->rows, (uintptr_t)run, wire_key(c, at_to)),
                       .color = made->colors ? made->colors[c] : NULL,
                       .reidentified = r->wiring->of_run[run->id].conductors &&
                                       r->wiring->of_run[run->id].conductors[c].reidentified});
    if (made->ground)
        add_end(f,
                (struct card_end){
                    .joint = row_filed(&f->rows, (uintptr_t)run, wire_key(CONDUCTOR_GROUND, at_to)),
                    .color = "bare",
                    .ground = true,
                    .raceway = made->cable && made->cable->ground == GROUND_RACEWAY});
    cable.count = f->card->ends.n - cable.first;
    *vec_push(r->arena, &f->card->cables) = cable;
}

/* What an existing circuit brings to the box: its line, neutral and ground as they come. */
static void add_existing(struct filing *f)
{
    struct card_cable cable = {
        .words = "existing", .place = "as it comes", .first = f->card->ends.n};
    for (uint32_t row = 0; row < f->card->rows.n; row++) {
        const struct joint *j = f->card->rows.at[row].joint;
        for (uint32_t n = 0; n < j->lead_count; n++) {
            const struct lead *l = &j->leads[n];
            if (l->kind != LEAD_LINE && l->kind != LEAD_NEUTRAL_BAR && l->kind != LEAD_GROUND_BAR)
                continue;
            if (l->circuit)
                cable.words =
                    arena_printf(f->r->arena, "existing %s", words_mark(f->r, l->circuit));
            add_end(f, (struct card_end){.joint = row,
                                         .lead = l,
                                         .color = l->kind == LEAD_LINE          ? "black"
                                                  : l->kind == LEAD_NEUTRAL_BAR ? "white"
                                                                                : "bare",
                                         .ground = l->kind == LEAD_GROUND_BAR});
        }
    }
    cable.count = f->card->ends.n - cable.first;
    if (cable.count)
        *vec_push(f->r->arena, &f->card->cables) = cable;
}

static void add_cables(struct filing *f)
{
    const struct box *b = f->card->box;
    add_existing(f);
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct run *run = b->runs.at[i];
        if (run->from.box == b)
            add_cable(f, run, false);
        if (run->to.box == b)
            add_cable(f, run, true);
    }
}

/* --- devices ---------------------------------------------------------------------------------- */

/* The colour of a tail is that of what it carries. */
static const char *tail_color(const struct joint *j)
{
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (j->leads[i].kind == LEAD_CONDUCTOR && j->leads[i].conductor == CONDUCTOR_GROUND)
            return "bare";
    return !strncmp(j->net, "neutral", strlen("neutral")) ? "white" : "black";
}

/* The conductor that ends on a screw itself; NULL: a tail does. */
static const struct lead *landed(const struct joint *j)
{
    for (uint32_t i = 0; j->kind == JOINT_LANDING && i < j->lead_count; i++)
        if (j->leads[i].kind == LEAD_CONDUCTOR && j->leads[i].conductor != CONDUCTOR_GROUND)
            return &j->leads[i];
    return NULL;
}

static void add_screw(struct filing *f, const struct part *part, uint8_t terminal)
{
    struct lead *l = arena_new(f->r->arena, struct lead);
    *l = (struct lead){.kind = LEAD_TERMINAL, .part = (struct part *)part, .terminal = terminal};
    uint32_t row = row_filed(&f->ports, (uintptr_t)part->device, port_key(f->r, part, terminal));
    struct card_end end = {.joint = row, .lead = l};
    const struct joint *j = row == NO_ROW ? NULL : f->card->rows.at[row].joint;
    const struct lead *wire = j ? landed(j) : NULL;
    if (wire) {
        const struct made_run *made = &f->r->makeup->runs[wire->run->id];
        end.color = made->colors ? made->colors[wire->conductor] : NULL;
        end.reidentified = wire->reidentified;
    } else if (j) {
        end.color = tail_color(j);
        end.ground = !strcmp(end.color, "bare");
    }
    add_end(f, end);
}

static void add_device(struct filing *f, const struct device *d, const char *words)
{
    const struct part_form *forms = f->r->makeup->forms[d->id];
    const char *tabs = words_tabs(f->r, d);
    struct card_device device = {.device = d,
                                 .words = tabs ? arena_printf(f->r->arena, "%s; %s", words, tabs)
                                               : words,
                                 .first = f->card->ends.n};
    for (uint32_t p = 0; forms && p < d->part_count; p++)
        for (uint8_t t = 0; forms[p].part && t < forms[p].body->terminal_count; t++)
            if (port_key(f->r, &d->parts[p], t) == ((uintptr_t)p << 8 | t))
                add_screw(f, &d->parts[p], t);
    device.count = f->card->ends.n - device.first;
    *vec_push(f->r->arena, &f->card->devices) = device;
}

/* The screw of a metal box. */
static void add_metal(struct filing *f)
{
    for (uint32_t row = 0; row < f->card->rows.n; row++) {
        const struct joint *j = f->card->rows.at[row].joint;
        const struct lead *l = lead_of_joint(j, LEAD_BOX);
        if (!l || j->by_box)
            continue;
        *vec_push(f->r->arena, &f->card->devices) =
            (struct card_device){.words = "metal box", .first = f->card->ends.n, .count = 1};
        add_end(f, (struct card_end){.joint = row, .lead = l, .color = "bare", .ground = true});
        return;
    }
}

/* --- places ----------------------------------------------------------------------------------- */

/* From a conductor to the next: room for the letters of its colour between them. */
static um pitch_after(struct sheet *s, const struct card_end *end)
{
    um letters = paper_text_width(s, (struct lettering){.caps = CAPS_NOTE}, card_letter(end));
    return letters + LETTER_OFF + MM / 2 > PITCH ? letters + LETTER_OFF + MM / 2 : PITCH;
}

/* What the conductors of a cable take, and where they then lie. */
static um cable_wide(const struct card *card, struct sheet *s, const struct card_cable *c)
{
    um wide = 0;
    for (uint32_t i = 0; i + 1 < c->count; i++)
        wide += pitch_after(s, &card->ends.at[c->first + i]);
    return wide;
}

static void place_conductors(struct card *card, struct sheet *s, const struct card_cable *c, um x)
{
    for (uint32_t i = 0; i < c->count; i++) {
        card->ends.at[c->first + i].x = x;
        x += pitch_after(s, &card->ends.at[c->first + i]);
    }
}

static void place_screws(struct card *card, const struct card_device *d, um x)
{
    for (uint32_t i = 0; i < d->count; i++)
        card->ends.at[d->first + i].x = x + (um)i * SCREWS;
}

static um least(um a, um b)
{
    return a < b ? a : b;
}

static um place_cables(struct card *card, struct sheet *s, um x)
{
    struct lettering l = {.caps = CAPS_NOTE};
    for (uint32_t i = 0; i < card->cables.n; i++) {
        struct card_cable *c = &card->cables.at[i];
        um words = paper_text_width(s, l, c->words), place = paper_text_width(s, l, c->place);
        um wide = least(words > place ? words : place, WORDS) + MM, own = cable_wide(card, s, c);
        um inset = wide > own ? (wide - own) / 2 : 0;
        c->left = x;
        c->right = x + own + 2 * inset;
        place_conductors(card, s, c, x + inset);
        x = c->right + APART;
    }
    return x - APART;
}

static um place_devices(struct card *card, struct sheet *s, um x)
{
    struct lettering l = {.caps = CAPS_NOTE};
    for (uint32_t i = 0; i < card->devices.n; i++) {
        struct card_device *d = &card->devices.at[i];
        um words = least(paper_text_width(s, l, d->words) / 3, WORDS) + 4 * MM,
           own = (um)(d->count ? d->count - 1 : 0) * SCREWS,
           wide = own + FACE > words ? own + FACE : words;
        d->left = x;
        d->right = x + wide;
        place_screws(card, d, x + 3 * MM);
        x = d->right + APART;
    }
    return x - APART;
}

/* From the first of its ends, or its cap, to the last. */
static void stretch_rows(struct card *card)
{
    for (uint32_t i = 0; i < card->rows.n; i++) {
        struct card_row *row = &card->rows.at[i];
        bool any = false;
        for (uint32_t k = 0; k < card->ends.n; k++) {
            um x = card->ends.at[k].x;
            if (card->ends.at[k].joint != i)
                continue;
            row->left = !any || x < row->left ? x : row->left;
            row->right = !any || x > row->right ? x : row->right;
            any = true;
        }
        row->words = card->caps - 4 * MM;
        if (row->joint->kind == JOINT_SPLICE)
            row->left = row->words;
    }
}

/* Whether what comes up from a screw there would lie on what comes down to another joint. */
static bool lies_on(const struct card *card, const struct card_end *screw, um x)
{
    uint32_t above = card->devices.at[0].first; /* ends before it are those of cables */
    for (uint32_t i = 0; i < above; i++) {
        const struct card_end *end = &card->ends.at[i];
        if (end->joint != NO_ROW && end->joint > screw->joint && llabs(end->x - x) < CLEAR)
            return true;
    }
    return false;
}

/* Moves screws a little aside where their wires would lie on foreign ones, as far as there is room
 * between their neighbours. */
static void part_screws(struct card *card)
{
    for (uint32_t i = 0; i < card->devices.n; i++) {
        const struct card_device *d = &card->devices.at[i];
        for (uint32_t k = 0; k < d->count; k++) {
            struct card_end *end = &card->ends.at[d->first + k];
            um low = k ? end[-1].x + SCREWS_LEAST : d->left + 2 * MM,
               high = k + 1 < d->count ? end[1].x - SCREWS_LEAST : d->right - 2 * MM, x = end->x;
            if (end->joint == NO_ROW || !lies_on(card, end, x))
                continue;
            for (um off = STEP; off <= CLEAR * 2; off += STEP) {
                if (x + off <= high && !lies_on(card, end, x + off))
                    end->x = x + off;
                else if (x - off >= low && !lies_on(card, end, x - off))
                    end->x = x - off;
                if (end->x != x)
                    break;
            }
        }
    }
}

/* As high as the names of screws and the words of the devices want. */
static void size_fronts(struct card *card, struct sheet *s)
{
    struct lettering l = {.caps = CAPS_NOTE};
    uint32_t lines = 1;
    card->face = FACE_LEAST;
    for (uint32_t i = 0; i < card->devices.n; i++) {
        const struct card_device *d = &card->devices.at[i];
        uint32_t rows = paper_rows(s, card_words_wide(card, i), l, d->words);
        lines = rows > lines ? rows : lines;
        for (uint32_t k = 0; k < d->count; k++) {
            const char *name = card_screw_words(card, &card->ends.at[d->first + k]);
            um high = paper_text_width(s, l, name) + NAME_OFF;
            card->face = high > card->face ? high : card->face;
        }
    }
    card->face = least(card->face, FACE_MOST);
    card->fronts =
        card->face + CARD_BELOW + (um)(lines < CARD_LINES ? lines : CARD_LINES) * CARD_LINE;
}

static void place_rows(struct card *card)
{
    um y = SHEATHS + ROWS;
    for (uint32_t i = 0; i < card->rows.n; i++, y += ROWS)
        card->rows.at[i].y = y;
    if (card->rows.n && card->rows.at[card->rows.n - 1].joint->kind == JOINT_CAP)
        y += ROWS / 2; /* what is said of it stands clear of the letters at the screws */
    card->high = y + card->fronts;
}

static um pressed(um at, um from, um wide, um needs)
{
    return at < from || needs <= from ? at : from + (at - from) * (wide - from) / (needs - from);
}

static void press_across(struct card *card, um wide)
{
    for (uint32_t i = 0; i < card->ends.n; i++)
        card->ends.at[i].x = pressed(card->ends.at[i].x, card->caps, wide, card->wide);
    for (uint32_t i = 0; i < card->cables.n; i++) {
        struct card_cable *c = &card->cables.at[i];
        c->left = pressed(c->left, card->caps, wide, card->wide);
        c->right = pressed(c->right, card->caps, wide, card->wide);
    }
    for (uint32_t i = 0; i < card->devices.n; i++) {
        struct card_device *d = &card->devices.at[i];
        d->left = pressed(d->left, card->caps, wide, card->wide);
        d->right = pressed(d->right, card->caps, wide, card->wide);
    }
    card->wide = wide;
}

void card_press(struct card *card, struct sheet *s, um wide, um high)
{
    if (card->wide > wide) {
        press_across(card, wide);
        part_screws(card);
        stretch_rows(card);
        size_fronts(card, s);
        place_rows(card);
    }
    if (card->high > high) {
        um rows = card->high - card->fronts - SHEATHS, room = high - card->fronts - SHEATHS;
        for (uint32_t i = 0; i < card->rows.n && rows > 0; i++)
            card->rows.at[i].y = SHEATHS + (card->rows.at[i].y - SHEATHS) * room / rows;
        card->high = high;
    }
}

/* As much as the longest words of a splice take. */
static um caps_wide(const struct card *card, struct sheet *s)
{
    um widest = 0;
    for (uint32_t i = 0; i < card->rows.n; i++) {
        enum joint_kind kind = card->rows.at[i].joint->kind;
        if (kind != JOINT_SPLICE && kind != JOINT_PASS)
            continue;
        struct lettering l = {.caps = CAPS_NOTE};
        struct joint_words words = card_joint_words(card, i);
        um wide = CAPS_OFF + paper_text_width(s, l, words.net) + paper_text_width(s, l, words.size);
        widest = wide > widest ? wide : widest;
    }
    return least(widest, CAPS_WIDE);
}

struct card *card_of_box(struct set *set, struct sheet *s, const struct box *b)
{
    struct card *card = arena_new(set->r->arena, struct card);
    struct filing f = {.card = card, .r = set->r};
    const struct box_view *view = view_of_box(set->r, b);
    *card = (struct card){.set = set, .box = b};
    if (view->unproven)
        return card;
    file_joints(&f);
    add_cables(&f);
    for (uint32_t i = 0; i < b->device_count; i++)
        add_device(&f, b->devices[i],
                   b->device_count > 1
                       ? arena_printf(set->r->arena, "%c %s", (char)('a' + i % 26), view->told[i])
                       : view->told[i]);
    add_metal(&f);
    card->caps = caps_wide(card, s);
    um above = place_cables(card, s, card->caps), below = place_devices(card, s, card->caps);
    card->wide = above > below ? above : below;
    part_screws(card);
    stretch_rows(card);
    size_fronts(card, s);
    place_rows(card);
    return card;
}

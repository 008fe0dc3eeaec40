/* What is printed is what is proven. A reader that has the printed card of a box, and the cables as
 * they hang in it (where each comes from, what is glued on it, the colours of its conductors) makes
 * the box up from the words alone. Each line must lead it to exactly one conductor, and what it has
 * joined must be what the proof looked at. It does not know which way a cable runs: "from" and "to"
 * look alike in a wall. */
#include "cards.h"

#include "cmd/cmd.h"
#include "cuts/labels.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "facts/devices.h"
#include "facts/tags.h"
#include "model/makeup.h"
#include "prove/prove.h"

#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

bool property_cards(const struct subject *s, struct buf *why);

/* --- the box as it hangs there ------------------------------------------------------------ */

/* Something with a wire: an end of a conductor, or a terminal. */
struct piece {
    const struct run *run; /* NULL: a terminal, or what is there already */
    int16_t conductor;
    const char *words; /* of a terminal as the card calls it */
    struct lead old;   /* of what is there already: its circuit, and what of it */
    uint32_t set;      /* by the card, or by the make-up */
};

struct reader {
    struct compilation *c;
    struct results r;
    const struct box *box;
    VEC(struct piece) pieces;
    struct cards_read *read;
    struct buf *why; /* what is wrong, where anything is */
};

static uint32_t piece_root(const struct piece *p, uint32_t i)
{
    while (p[i].set != i)
        i = p[i].set;
    return i;
}

static void join(struct piece *p, uint32_t a, uint32_t b)
{
    p[piece_root(p, a)].set = piece_root(p, b);
}

static struct piece *add_piece(struct reader *x)
{
    struct piece *p = vec_push(&x->c->arena, &x->pieces);
    *p = (struct piece){.set = x->pieces.n - 1};
    return p;
}

static bool is_old(const struct lead *l)
{
    return l->kind == LEAD_LINE || l->kind == LEAD_NEUTRAL_BAR || l->kind == LEAD_GROUND_BAR;
}

static bool is_piece(const struct piece *p, const struct lead *l, const char *words)
{
    if (is_old(l))
        return p->old.circuit == l->circuit && p->old.kind == l->kind && p->old.pole == l->pole;
    return words ? p->words && !strcmp(p->words, words)
                 : p->run == l->run && p->conductor == l->conductor;
}

static uint32_t find_lead(struct reader *x, const struct lead *l)
{
    const char *words = l->kind == LEAD_TERMINAL ? words_terminal_words(&x->r, l)
                        : l->kind == LEAD_BOX    ? "the metal box"
                                                 : NULL;
    for (uint32_t i = 0; i < x->pieces.n; i++)
        if (is_piece(&x->pieces.at[i], l, words))
            return i;
    struct piece *p = add_piece(x);
    p->run = l->kind == LEAD_CONDUCTOR ? l->run : NULL;
    p->conductor = l->conductor;
    p->words = words;
    if (is_old(l))
        p->old = *l;
    return x->pieces.n - 1;
}

/* All that lies in the joints of the box, and the terminals that tabs lead to; joined as the
 * make-up, which is proven, says. */
static void read_makeup(struct reader *x)
{
    const struct makeup *k = x->c->makeup;
    x->pieces.n = 0;
    for (uint32_t j = k->first_of_box[x->box->id]; j < k->first_of_box[x->box->id + 1]; j++) {
        uint32_t first = UINT32_MAX;
        for (uint32_t i = 0; i < k->joints.at[j].lead_count; i++) {
            uint32_t at = find_lead(x, &k->joints.at[j].leads[i]);
            if (k->joints.at[j].leads[i].over_tab)
                continue;
            if (first != UINT32_MAX)
                join(x->pieces.at, first, at);
            first = at;
        }
    }
    for (uint32_t i = 0; i < x->box->device_count; i++)
        for (uint32_t t = k->first_tab[x->box->devices[i]->id];
             t < k->first_tab[x->box->devices[i]->id + 1]; t++) {
            const struct made_tab *tab = &k->tabs.at[t];
            const struct lead a = {.kind = LEAD_TERMINAL,
                                   .part = tab->part,
                                   .terminal = tab->terminal},
                              b = {.kind = LEAD_TERMINAL, .part = tab->beside, .terminal = tab->to};
            uint32_t one = find_lead(x, &a), other = find_lead(x, &b);
            if (!tab->broken)
                join(x->pieces.at, one, other);
        }
}

/* --- reading a card ----------------------------------------------------------------------- */

__attribute__((format(printf, 2, 3))) static bool complain(struct reader *x, const char *format,
                                                           ...)
{
    va_list args;
    va_start(args, format);
    const char *text = arena_vprintf(&x->c->arena, format, args);
    va_end(args);
    buf_printf(x->why, "%s: %s; ", address_of_box(&x->c->arena, x->box, false), text);
    return false;
}

/* Whether what is seen of a cable fits the words behind "from" or "to". */
static bool fits(struct reader *x, const struct run *run, const char *words)
{
    struct end far = run->to.box == x->box ? run->from : run->to;
    const char *names[2] = {address_of_end(&x->c->arena, far, false),
                            far.box && far.box->room == x->box->room ? far.box->name : NULL};
    const char *tag = facts_run_tag(&x->c->arena, run);
    for (int i = 0; i < 2; i++) {
        size_t len = names[i] ? strlen(names[i]) : 0;
        if (!len || strncmp(words, names[i], len) || (words[len] && words[len] != ' '))
            continue;
        const char *mark = words + len + (words[len] == ' ');
        if (!*mark)
            return true;
        const char *circuit = run->circuit ? arena_printf(&x->c->arena, ", circuit %s",
                                                          words_circuit(&x->r, run->circuit))
                                           : "";
        const char *seen = run->label || label_is_new(run) ? tag : "existing";
        if (!strcmp(mark, seen) || !strcmp(mark, arena_printf(&x->c->arena, "[%s]", seen)) ||
            !strcmp(mark, arena_printf(&x->c->arena, "[%s%s]", seen, circuit)))
            return true;
        const char *number = strstr(mark, ", no. "); /* among those that are marked alike */
        const char *plain =
            number ? arena_printf(&x->c->arena, "%.*s]", (int)(number - words), words) : NULL;
        if (!number || !fits(x, run, plain))
            continue;
        unsigned n = 0;
        for (uint32_t k = 0; k < x->box->runs.n; k++) {
            n += fits(x, x->box->runs.at[k], plain);
            if (x->box->runs.at[k] == run)
                break;
        }
        if ((unsigned)atoi(number + 6) == n)
            return true;
    }
    return false;
}

static const char *color_of(struct reader *x, const struct piece *p)
{
    const struct cable_def *d = x->c->makeup->runs[p->run->id].cable;
    if (!d) /* an old cable that the plan does not tell: its wires have numbers */
        return p->conductor == CONDUCTOR_GROUND
                   ? "old ground"
                   : arena_printf(&x->c->arena, "old wire %d", p->conductor + 1);
    return p->conductor != CONDUCTOR_GROUND ? d->colors[p->conductor]
           : d->ground == GROUND_RACEWAY    ? p->run->raceway->name
           : d->ground == GROUND_GREEN      ? "green"
                                            : "bare";
}

/* "the circuit that is there": of the one that comes to the box, else of that which is named, what
 * the joint is. */
static bool names_old(struct reader *x, const struct piece *p, const char *words, const char *net)
{
    const char *plain = "the circuit that is there",
               *named = arena_printf(&x->c->arena, "circuit %s that is there",
                                     words_circuit(&x->r, p->old.circuit)),
               *is = p->old.kind == LEAD_NEUTRAL_BAR  ? "neutral"
                     : p->old.kind == LEAD_GROUND_BAR ? "ground"
                     : p->old.pole == 'a'             ? "line a"
                     : p->old.pole == 'b'             ? "line b"
                                                      : "line";
    return !strcmp(net, is) && (!strcmp(words, plain) || !strcmp(words, named));
}

/* The one piece that the words of a lead name; UINT32_MAX, and a complaint, where there is none or
 * another too. */
static uint32_t read_lead(struct reader *x, const char *words, const char *net)
{
    uint32_t found = UINT32_MAX, n = 0;
    for (uint32_t i = 0; i < x->pieces.n; i++) {
        const struct piece *p = &x->pieces.at[i];
        bool same = false;
        if (p->run) {
            size_t color = strlen(color_of(x, p));
            const char *at = words + color;
            if (strncmp(words, color_of(x, p), color))
                continue;
            at += !strncmp(at, ", re-identified", 15) ? 15 : 0;
            same = (!strncmp(at, " from ", 6) && fits(x, p->run, at + 6)) ||
                   (!strncmp(at, " to ", 4) && fits(x, p->run, at + 4));
        } else if (p->old.circuit) {
            same = names_old(x, p, words, net);
        } else {
            same = !strcmp(p->words, words);
        }
        n += same;
        found = same ? i : found;
    }
    if (n != 1)
        complain(x, "'%s' names %u of what is there", words, n);
    return n == 1 ? found : UINT32_MAX;
}

/* "line: black from P + single-pole line (small)": joins what is named. */
static bool read_joint(struct reader *x, char *line, bool splice)
{
    char *colon = strstr(line, ": "), *behind = colon ? colon + 2 : NULL;
    uint32_t first = UINT32_MAX;
    if (!colon)
        return false;
    *colon = 0;
    char *net = line;
    char *connector = splice ? strrchr(behind, '(') : NULL;
    if (connector)
        connector[-1] = 0;
    for (char *next; behind; behind = next) {
        next = strstr(behind, " + ");
        if (next) {
            *next = 0;
            next += 3;
        }
        uint32_t at = read_lead(x, behind, net);
        if (at == UINT32_MAX)
            return false;
        if (first != UINT32_MAX)
            join(x->pieces.at, first, at);
        first = at;
    }
    return true;
}

/* The second " from " or " to " in words that name two ways; NULL. */
static char *second_way(char *words)
{
    char *at = NULL;
    for (unsigned n = 0; n < 2; n++) {
        char *behind = at ? at + 1 : words, *from = strstr(behind, " from "),
             *to = strstr(behind, " to ");
        at = !from ? to : !to ? from : from < to ? from : to;
        if (!at)
            return NULL;
    }
    return at;
}

/* "line: black from P to R1": one conductor, which is not cut here. */
static bool read_pass(struct reader *x, char *line)
{
    char *colon = strstr(line, ": "), *words = colon ? colon + 2 : NULL,
         *second = words ? second_way(words) : NULL;
    if (!second)
        return false;
    *colon = 0;
    char *first = strstr(words, " from "), *to = strstr(words, " to ");
    first = !first || (to && to < first) ? to : first;
    const char *other = arena_printf(&x->c->arena, "%.*s%s", (int)(first - words), words, second);
    *second = 0;
    uint32_t a = read_lead(x, words, line), b = read_lead(x, other, line);
    if (a == UINT32_MAX || b == UINT32_MAX || a == b)
        return false;
    join(x->pieces.at, a, b);
    return true;
}

/* A landing names its terminal before the colon. */
static bool read_landing(struct reader *x, char *line)
{
    char *colon = strstr(line, ": ");
    if (!colon)
        return false;
    *colon = 0;
    uint32_t terminal = read_lead(x, line, ""), end = read_lead(x, colon + 2, "");
    if (terminal == UINT32_MAX || end == UINT32_MAX)
        return false;
    join(x->pieces.at, terminal, end);
    return true;
}

/* "break the tab: hot side of receptacle (...)": the tabs of a device, of which those stay that no
 * line breaks. */
static bool read_tabs(struct reader *x, const struct device *d, const char *const *line,
                      uint32_t lines)
{
    const struct part_form *forms = x->c->makeup->forms[d->id];
    for (uint32_t a = 0; forms && a < d->part_count; a++)
        for (uint32_t b = a + 1; b < d->part_count; b++)
            for (uint8_t t = 0; d->parts[a].def && t < d->parts[a].def->own_count; t++) {
                uint8_t to = facts_tied_terminal(forms, &d->parts[a], t, &d->parts[b]);
                if (to == NO_TERMINAL)
                    continue;
                const char *from = forms[a].body->terminals[t].name,
                           *other = forms[b].body->terminals[to].name;
                const struct lead one = {.kind = LEAD_TERMINAL,
                                         .part = &d->parts[a],
                                         .terminal = t},
                                  two = {
                                      .kind = LEAD_TERMINAL, .part = &d->parts[b], .terminal = to};
                const char *side = from == other
                                       ? arena_printf(&x->c->arena, "%s side", from)
                                       : arena_printf(&x->c->arena, "%s to %s", from, other);
                const char *of =
                    arena_printf(&x->c->arena, " of %s", words_device_in_box(&x->r, d));
                bool broken = false, told = false;
                for (uint32_t i = 0; i < lines; i++) {
                    const char *rest = strstr(line[i], " the tab: "), *end = strstr(line[i], of);
                    size_t len = strlen(of);
                    if (!rest || !end || (end[len] && strcmp(end + len, "") && end[len] != ' '))
                        continue;
                    told = true;
                    const char *here = strstr(rest, side);
                    broken |= !strncmp(line[i], "break", 5) &&
                              (!strncmp(rest + 10, "both sides", 10) || (here && here < end));
                }
                if (!told)
                    return complain(x, "nothing is said of the tabs of the %s", d->def->name);
                x->read->tabs++;
                if (!broken)
                    join(x->pieces.at, find_lead(x, &one), find_lead(x, &two));
            }
    return true;
}

/* The lines of the card, each in one piece again. */
static uint32_t split_card(struct reader *x, const char *card, const char **line)
{
    uint32_t n = 0;
    for (const char *p = card; *p; p += strcspn(p, "\n"), p += *p == '\n')
        line[n++] = arena_copy(&x->c->arena, p, strcspn(p, "\n"));
    return n;
}

enum { MOST_LINES = 4000 };

/* Makes the box up by the card, and holds the result against the make-up. */
static bool read_card(struct reader *x, const char *card)
{
    static const char *line[MOST_LINES];
    uint32_t lines = split_card(x, card, line);
    read_makeup(x);
    uint32_t *proven = arena_array(&x->c->arena, uint32_t, x->pieces.n + 1);
    for (uint32_t i = 0; i < x->pieces.n; i++)
        proven[i] = piece_root(x->pieces.at, i);
    for (uint32_t i = 0; i < x->pieces.n; i++)
        x->pieces.at[i].set = i;
    uint32_t count = x->pieces.n;
    for (uint32_t i = 0; i < lines; i++) {
        char *text = arena_copy(&x->c->arena, line[i], strlen(line[i]));
        bool read = !strncmp(text, "splice  ", 8) ? read_joint(x, text + 8, true)
                    : !strncmp(text, "cap  ", 5)  ? read_joint(x, text + 5, false)
                    : !strncmp(text, "land  ", 6) ? read_landing(x, text + 6)
                    : !strncmp(text, "pass  ", 6) ? read_pass(x, text + 6)
                                                  : strstr(text, " the tab: ") != NULL;
        if (!read)
            return complain(x, "this line cannot be followed: %s", line[i]);
        x->read->lines++;
        x->read->labels += strchr(line[i], '[') != NULL;
    }
    for (uint32_t i = 0; i < x->box->device_count; i++)
        if (!read_tabs(x, x->box->devices[i], line, lines))
            return false;
    for (uint32_t a = 0; a < count; a++)
        for (uint32_t b = 0; b < a; b++)
            if ((proven[a] == proven[b]) !=
                (piece_root(x->pieces.at, a) == piece_root(x->pieces.at, b)))
                return complain(x, "the card joins otherwise than the make-up:\n%s", card);
    return x->pieces.n == count;
}

/* --- the report --------------------------------------------------------------------------- */

static const struct box *box_called(const struct reader *x, const char *name)
{
    for (uint32_t i = 0; i < x->c->model->boxes.n; i++)
        if (!strcmp(address_of_box(x->r.arena, x->c->model->boxes.at[i], false), name))
            return x->c->model->boxes.at[i];
    return NULL;
}

/* The box whose card begins in this line of the table, or NULL: its first cell names it alone. */
static const struct box *box_in_line(struct reader *x, const char *line, size_t from)
{
    size_t len = strcspn(line, "\n");
    len = len < from ? len : from;
    while (len && line[len - 1] == ' ')
        len--;
    return box_called(x, arena_copy(&x->c->arena, line, len));
}

/* The card of the box at hand, from its first line on: the lines of the table joined again to those
 * of the card. */
static const char *next_card(struct reader *x, const char **at, size_t from)
{
    static const char *const begins[] = {"splice  ",      "land  ",        "cap  ",     "pass  ",
                                         "break the tab", "leave the tab", "not proven"};
    struct buf card = {0};
    for (bool first = true; **at && **at != '\n' && (first || !box_in_line(x, *at, from));
         first = false) {
        size_t len = strcspn(*at, "\n");
        const char *right = *at + (len > from ? from : len);
        bool joint = false;
        for (size_t i = 0; i < sizeof begins / sizeof *begins; i++)
            joint |= !strncmp(right, begins[i], strlen(begins[i]));
        if (len > from && card.n)
            buf_putc(&card, joint ? '\n' : ' ');
        buf_add(&card, right, len > from ? len - from : 0);
        *at += len + ((*at)[len] == '\n');
    }
    const char *text = arena_copy(&x->c->arena, buf_text(&card), card.n);
    buf_free(&card);
    return text;
}

/* A circuit that is not proven is not printed, nor is any box that it reaches. */
static bool is_proven(const struct reader *x, const struct box *b)
{
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct run *r = b->runs.at[i];
        for (uint32_t k = 0; k <= r->also.n; k++)
            if (x->c->verdict->circuits[(k ? r->also.at[k - 1] : r->circuit)->id].left_out)
                return false;
    }
    return true;
}

/* Two boxes have one address, which is an error: whose card it is does not show. */
static bool is_double(const struct reader *x, const struct box *b)
{
    for (uint32_t i = 0; i < x->c->model->boxes.n; i++) {
        const struct box *other = x->c->model->boxes.at[i];
        if (other != b && other->room == b->room && other->name == b->name)
            return true;
    }
    return false;
}

static bool read_report(struct reader *x, const char *text)
{
    const char *at = strstr(text, "\nBox ");
    if (!at)
        return true;
    size_t from = (size_t)(strstr(at, "Make-up") - at - 1);
    at = strstr(at, "---");
    at += strcspn(at, "\n") + 1;
    while (*at && *at != '\n') {
        x->box = box_in_line(x, at, from);
        if (!x->box)
            return false;
        const char *card = next_card(x, &at, from);
        bool proven = is_proven(x, x->box);
        if (is_double(x, x->box))
            continue;
        if (strstr(card, "old wire"))
            continue; /* what is there and has no colour: only eyes on site tell which it is */
        x->read->boxes++;
        x->read->unproven += !proven;
        if (proven ? !read_card(x, card) : strncmp(card, "not proven", 10) || strchr(card, '\n'))
            return complain(x, "its card: %s", card);
    }
    return true;
}

/* In JSON each conductor has its run, its label, its mark and its colour, and no two of a box are
 * the same. */
static bool read_json(struct reader *x, const char *json)
{
    for (const char *row = strstr(json, "{\"box\": "); row; row = strstr(row + 1, "{\"box\": ")) {
        const char *end = strchr(row, '\n');
        struct map seen = {0};
        for (const char *p = strstr(row, "{\"run\": "); p && (!end || p < end);
             p = strstr(p + 1, "{\"run\": ")) {
            const char *key = names_of(&x->c->names, arena_copy(&x->c->arena, p, strcspn(p, "}")));
            if (strstr(key, "\"colour\": null"))
                continue; /* an old wire */
            void **at = map_at(&x->c->arena, &seen, 1, (uintptr_t)key);
            if (*at || !strstr(key, "\"label\": ")) {
                buf_printf(x->why, "twice in a box, or without a label: %s", key);
                return false;
            }
            *at = x;
        }
    }
    return true;
}

bool cards_hold(struct compilation *c, struct cards_read *read, struct buf *why)
{
    struct reader x = {.c = c, .read = read, .why = why};
    struct buf text = {0}, json = {0};
    bool holds = true;
    if (c->model && c->makeup && c->verdict && c->verdict->holds && cmd_results(c, &x.r)) {
        report_write(report_named("makeup"), &x.r, REPORT_TEXT, &text);
        report_write(report_named("makeup"), &x.r, REPORT_JSON, &json);
        holds = read_report(&x, buf_text(&text)) && read_json(&x, buf_text(&json));
    }
    buf_free(&text);
    buf_free(&json);
    return holds;
}

bool property_cards(const struct subject *s, struct buf *why)
{
    struct cards_read read = {0};
    return cards_hold(s->c, &read, why);
}

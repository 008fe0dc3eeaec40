/* The card of a box: what must be off, where it is marked, its cables, and how it is made up. */
#include "book/work.h"

#include "cuts/labels.h"
#include "emit/left.h"
#include "emit/views.h"
#include "emit/words/cables.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/leads.h"
#include "facts/boxes.h"
#include "facts/existing.h"
#include "framing/routes.h"
#include "log/log.h"
#include "loads/panel.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <string.h>

struct card {
    struct book *b;
    const struct box_view *v;
    const struct box *box;
    const struct cell *row; /* of the report `boxes` */
    const char *id;
    struct cables cables;
    struct buf *screws; /* by place in the box: what comes to each of its devices */
    bool several;       /* more than one circuit that is there begins in it */
};

/* A cell of the report as people read it; NULL: it is empty. */
static const char *figure(const struct card *c, const char *name)
{
    const struct grid *t = &c->b->places.rows;
    uint32_t i = table_column(t, name);
    struct buf words = {0};
    cell_print(&t->columns[i], &c->row[i], &words);
    const char *text = words.n ? arena_copy(c->b->arena, words.at, words.n) : NULL;
    buf_free(&words);
    return text;
}

/* --- what must be off --------------------------------------------------------------------- */

typedef VEC(const struct circuit *) circuit_list;

/* The circuits that come into the box. */
static circuit_list circuits_of(const struct card *c)
{
    struct arena *a = c->b->arena;
    struct map seen = {0};
    circuit_list list = {0};
    for (uint32_t i = 0; i < c->box->runs.n; i++) {
        const struct run *run = c->box->runs.at[i];
        for (uint32_t k = 0; k <= run->also.n; k++) {
            const struct circuit *x = k ? run->also.at[k - 1] : run->circuit;
            if (!x || map_find(&seen, 0, x))
                continue;
            map_file(a, &seen, 0, x, (void *)x);
            *vec_push(a, &list) = x;
        }
    }
    return list;
}

/* "panel P, handle 8"; the plan's own word where nobody knows where its breaker sits. */
static const char *off_words(const struct book *b, const struct circuit *c)
{
    const char *handle = words_handle(b->r, c);
    const char *panel = c->panel ? address_of_panel(b->arena, c->panel, false) : NULL;
    if (!panel)
        return arena_printf(b->arena, "circuit %s", words_circuit(b->r, c));
    if (!handle)
        return arena_printf(b->arena, "panel %s, circuit %s, handle not known", panel, c->name);
    const char *space = handle + strlen(panel);
    return arena_printf(b->arena, "panel %s, handle %s", panel, space + (*space == '-'));
}

static void put_off(const struct card *c)
{
    struct buf *out = c->b->out;
    circuit_list list = circuits_of(c);
    if (!list.n) {
        html_put(out, "<div class=\"off\"><p class=\"dead\">%t</p></div>\n",
                 c->box->low_voltage.n ? "Low voltage: no breaker" : "No cable comes here");
        return;
    }
    html_put(out, "<div class=\"off\">");
    for (uint32_t i = 0; i < list.n; i++) {
        const struct circuit *x = list.at[i];
        const char *breaker = words_breaker(c->b->arena, x), *id = c->b->ids.circuits[x->id],
                   *title = book_typed(x->title, x->name);
        html_put(out, "<p class=\"dead\">%t<a href=\"%h\">%t</a></p>\n<p>%t%t%a%t</p>\n",
                 i ? "and OFF: " : "OFF: ", id, off_words(c->b, x), breaker,
                 !title    ? ""
                 : breaker ? " \u201c"
                           : "\u201c",
                 title, title ? "\u201d" : "");
    }
    html_put(out, "<p>Lock it, and test dead here before you touch a wire.</p></div>\n");
}

/* --- where it is -------------------------------------------------------------------------- */

static void put_figure(const struct card *c, const char *big, const char *small)
{
    html_put(c->b->out, "<div><dd>%t</dd><dt>%t</dt></div>\n", big, small);
}

/* From the left and up on a wall, from two sides on a ceiling or floor. */
static void put_distances(const struct card *c)
{
    const char *left = figure(c, "from_left_ft"), *right = figure(c, "from_right_ft"),
               *up = figure(c, "up_in");
    if (c->v->on_wall) {
        put_figure(c, left, "from the left corner");
        put_figure(c, up, "to the middle");
        return;
    }
    if (!left || !right) {
        put_figure(c, "?", "the plan does not say where");
        return;
    }
    put_figure(c, left + strcspn(left, " ") + 1, "from the west wall");
    put_figure(c, right + strcspn(right, " ") + 1, "from the south wall");
    if (up)
        put_figure(c, up, "up, to the middle");
}

/* "nail-on, 44 in3, ring 5/8\"": what stands beside the gangs on the shelf. */
static const char *type_words(const struct card *c)
{
    const struct box_type *type = c->v->fill->type;
    if (!type || !type->title)
        return c->v->type_words ? c->v->type_words : "no box of the library holds what is in it";
    const char *comma = strstr(type->title, "-gang, ");
    bool said =
        comma && strcspn(type->title, " ,") == (size_t)(comma - type->title) + strlen("-gang");
    const char *words = said ? comma + strlen("-gang, ") : type->title,
               *cubic = strstr(words, "in3");
    return arena_printf(
        c->b->arena, "%.*s%s%s%s%s%s", cubic ? (int)(cubic - words) : (int)strlen(words), words,
        cubic ? "in\u00b3" : "", cubic ? cubic + strlen("in3") : "", c->v->ring ? ", ring " : "",
        c->v->ring ? c->v->ring : "", c->box->existing ? ", existing" : "");
}

static void put_type(const struct card *c)
{
    const struct box_type *type = c->v->fill->type;
    uint8_t gangs = c->v->fill->gangs;
    const char *big = c->box->compartment         ? "none"
                      : type && type->section > 0 ? "body"
                      : type && !type->gangs      ? "round"
                      : !type && c->box->existing ? "there"
                      : !type                     ? "?"
                                                  : arena_printf(c->b->arena, "%u-gang", gangs);
    put_figure(c, big, type_words(c));
}

/* "left" "of stud 9"; "1 1/4\"" "left of stud 4". */
static void put_stud(const struct card *c)
{
    const struct grid *t = &c->b->places.rows;
    const struct cell *apart = &c->row[table_column(t, "stud_in")],
                      *stud = &c->row[table_column(t, "stud")];
    const char *side = figure(c, "stud_side");
    if (!side) {
        put_figure(c, "free", "held by no stud or joist");
        return;
    }
    bool on = !strcmp(side, "on"), close = !apart->length;
    const char *of = arena_printf(c->b->arena, on ? "%s%s" : "%sof %s", "", stud->text);
    if (on || close)
        put_figure(c, side, of);
    else
        put_figure(c, length_words(c->b->arena, apart->length),
                   arena_printf(c->b->arena, "%s %s", side, of));
}

static void put_place(const struct card *c)
{
    html_put(c->b->out, "<dl class=\"figures\">\n");
    put_distances(c);
    put_type(c);
    put_stud(c);
    html_put(c->b->out, "</dl>\n");
}

/* --- its cables --------------------------------------------------------------------------- */

/* The day on which a state was reached; "" where it follows from another event. */
static const char *day_of(const struct log_dates *dates, enum log_state state)
{
    return dates->on[state] ? dates->on[state] : "";
}

static const char *box_done(const struct card *c, enum log_state state)
{
    const struct results *r = c->b->r;
    return left_in_box(r, c->box, state) ? NULL : day_of(&r->log->box_dates[c->box->id], state);
}

static const char *run_done(const struct book *b, const struct run *run)
{
    return left_of_run(b->r, run, LOG_PULLED) ? NULL
                                              : day_of(&b->r->log->run_dates[run->id], LOG_PULLED);
}

static const char *cable_detail(const struct card *c, const struct run_view *v)
{
    struct arena *a = c->b->arena;
    const char *mark = cables_mark(&c->cables, v->run);
    if (v->run->existing)
        return mark && strcmp(mark, "existing") ? arena_printf(a, "existing, %s", mark)
                                                : "existing";
    return arena_printf(a, "%s%s%s%s%s", v->home_run ? "home run \u00b7 " : "",
                        v->hangs ? "hangs there, "
                        : v->cut ? "cut "
                                 : "length not known",
                        v->hangs ? v->hangs
                        : v->cut ? v->cut
                                 : "",
                        v->label ? " \u00b7 tag " : "", v->label ? v->label : "");
}

static void put_cable(const struct card *c, const struct run *run)
{
    struct arena *a = c->b->arena;
    const struct run_view *v = view_of_run(c->b->r, run);
    const char *words =
        arena_printf(a, "%s %s %s", v->cable ? v->cable : "Cable",
                     run->to.box == c->box ? "from" : "to", cables_far_end(&c->cables, run));
    const char *id = c->b->ids.runs[run->id];
    struct tick tick = {.name = arena_printf(a, "pull:%s", id),
                        .words = words,
                        .detail = cable_detail(c, v),
                        .link = id,
                        .link_words = arena_printf(a, "run %s", v->address)};
    if (run->existing) {
        book_put_there(c->b, &tick);
        return;
    }
    tick.done = run_done(c->b, run);
    book_put_tick(c->b, &tick);
}

static void put_cables(const struct card *c)
{
    struct arena *a = c->b->arena;
    struct buf *out = c->b->out;
    html_put(out, "<h4>Set it, pull its cables</h4>\n<ul class=\"rows\">\n");
    if (c->box->existing)
        book_put_there(c->b, &(struct tick){.words = "The box is there"});
    else
        book_put_tick(c->b,
                      &(struct tick){.name = arena_printf(a, "set:%s", c->id),
                                     .words = c->box->compartment ? "It is set" : "The box is set",
                                     .detail = c->v->type_words,
                                     .done = box_done(c, LOG_SET)});
    for (uint32_t i = 0; i < c->box->runs.n; i++)
        put_cable(c, c->box->runs.at[i]);
    for (uint32_t i = 0; i < c->box->low_voltage.n; i++)
        put_cable(c, c->box->low_voltage.at[i]);
    html_put(out, "</ul>\n");
}

/* --- how it is made up -------------------------------------------------------------------- */

static const char *finished(const struct card *c, struct buf *words)
{
    const char *text = words->n ? arena_copy(c->b->arena, words->at, words->n) : NULL;
    buf_free(words);
    return text;
}

static void add_part(struct buf *words, const char *part)
{
    buf_printf(words, "%s%s", words->n ? " \u00b7 " : "", part);
}

/* "Line, 2 + 1 tail": how many wires go under the connector. */
static const char *splice_words(const struct card *c, const struct joint *j)
{
    uint32_t wires = 0, tails = 0;
    for (uint32_t i = 0; i < j->lead_count; i++) {
        wires += j->leads[i].kind == LEAD_CONDUCTOR;
        tails += lead_is_pigtail(&j->leads[i]);
    }
    const char *more =
        !tails ? "" : arena_printf(c->b->arena, " + %u tail%s", tails, tails == 1 ? "" : "s");
    char *words = (char *)arena_printf(c->b->arena, "%s, %u%s", j->net, wires, more);
    if (words[0] >= 'a' && words[0] <= 'z')
        words[0] = (char)(words[0] - 'a' + 'A');
    return words;
}

static void put_splice(const struct card *c, const struct joint *j, uint32_t n)
{
    struct buf words = {0};
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (j->leads[i].kind == LEAD_CONDUCTOR)
            add_part(&words, cables_conductor_words(&c->cables, &j->leads[i]));
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (lead_is_pigtail(&j->leads[i]))
            add_part(&words, arena_printf(c->b->arena, "tail to %s",
                                          words_pigtail(c->b->r, &j->leads[i], c->several)));
    add_part(&words, j->by_box      ? words_connector(j)
                     : j->connector ? arena_printf(c->b->arena, "%s connector", words_connector(j))
                                    : words_connector(j));
    book_put_tick(c->b, &(struct tick){.name = arena_printf(c->b->arena, "join:%s:%u", c->id, n),
                                       .words = splice_words(c, j),
                                       .detail = finished(c, &words),
                                       .done = box_done(c, LOG_MADE_UP)});
}

static void put_cap(const struct card *c, const struct joint *j, uint32_t n)
{
    book_put_tick(c->b, &(struct tick){.name = arena_printf(c->b->arena, "join:%s:%u", c->id, n),
                                       .words = arena_printf(c->b->arena, "Cap: %s", j->net),
                                       .detail = cables_conductor_words(&c->cables, &j->leads[0]),
                                       .done = box_done(c, LOG_MADE_UP)});
}

static void put_pass(const struct card *c, const struct joint *j, uint32_t n)
{
    book_put_tick(c->b, &(struct tick){.name = arena_printf(c->b->arena, "join:%s:%u", c->id, n),
                                       .words = arena_printf(c->b->arena, "Not cut: %s", j->net),
                                       .detail = cables_pass_words(&c->cables, j),
                                       .done = box_done(c, LOG_MADE_UP)});
}

/* Notes of a joint what it brings to the screws of devices. */
static void note_screws(const struct card *c, const struct map *places, const struct joint *j)
{
    const struct lead *wire = lead_of_joint(j, LEAD_CONDUCTOR);
    for (uint32_t i = 0; i < j->lead_count; i++) {
        const struct lead *l = &j->leads[i];
        if (l->kind != LEAD_TERMINAL || l->over_tab)
            continue;
        uint32_t place = (uint32_t)(uintptr_t)map_find(places, 0, l->part->device) - 1;
        const char *terminal = words_terminal_alone(c->b->r, l);
        add_part(&c->screws[place],
                 j->kind == JOINT_SPLICE
                     ? arena_printf(c->b->arena, "%s: tail of %s", terminal, j->net)
                     : arena_printf(c->b->arena, "%s: %s", terminal,
                                    cables_conductor_words(&c->cables, wire)));
        if (j->kind == JOINT_LANDING)
            return; /* a terminal that two parts share is named twice */
    }
}

/* What comes to the screws of all devices of the box, in one walk through its joints. */
static void find_screws(struct card *c)
{
    const struct makeup *k = c->b->r->makeup;
    struct map places = {0};
    c->screws = arena_array(c->b->arena, struct buf, c->box->device_count + 1);
    for (uint32_t i = 0; i < c->box->device_count; i++) {
        const char *tabs = c->v->unproven ? NULL : words_tabs(c->b->r, c->box->devices[i]);
        map_file(c->b->arena, &places, 0, c->box->devices[i], (void *)(uintptr_t)(i + 1));
        if (tabs)
            add_part(&c->screws[i], tabs);
    }
    for (uint32_t i = k->first_of_box[c->box->id];
         !c->v->unproven && i < k->first_of_box[c->box->id + 1]; i++)
        note_screws(c, &places, &k->joints.at[i]);
}

/* "a", "a to b": the gangs that a device takes, from the left; NULL where there is one alone. */
static const char *gang_words(const struct card *c, const struct device *d, uint32_t *gang)
{
    uint32_t wide = d->def->yokes * (d->def->gangs > 1 ? d->def->gangs : 1u), first = *gang;
    *gang += wide;
    if (!wide || c->v->fill->gangs < 2)
        return NULL;
    return wide == 1 ? arena_printf(c->b->arena, "%c", (char)('a' + first % 26))
                     : arena_printf(c->b->arena, "%c to %c", (char)('a' + first % 26),
                                    (char)('a' + (*gang - 1) % 26));
}

static void put_device(const struct card *c, uint32_t place, uint32_t *gang)
{
    const char *letter = gang_words(c, c->box->devices[place], gang);
    book_put_tick(c->b,
                  &(struct tick){.name = arena_printf(c->b->arena, "trim:%s:%u", c->id, place),
                                 .words = arena_printf(c->b->arena, "%s%s%s", letter ? letter : "",
                                                       letter ? " \u00b7 " : "", c->v->told[place]),
                                 .detail = finished(c, &c->screws[place]),
                                 .done = box_done(c, LOG_TRIMMED)});
}

static void put_joints(const struct card *c)
{
    const struct makeup *k = c->b->r->makeup;
    uint32_t first = k->first_of_box[c->box->id], end = k->first_of_box[c->box->id + 1];
    for (uint32_t i = first; i < end; i++)
        if (k->joints.at[i].kind == JOINT_SPLICE)
            put_splice(c, &k->joints.at[i], i - first);
    for (uint32_t i = first; i < end; i++)
        if (k->joints.at[i].kind == JOINT_CAP)
            put_cap(c, &k->joints.at[i], i - first);
    for (uint32_t i = first; i < end; i++)
        if (k->joints.at[i].kind == JOINT_PASS)
            put_pass(c, &k->joints.at[i], i - first);
}

/* Splices and caps, then the devices with what comes to their screws. */
static void put_makeup(const struct card *c)
{
    struct buf *out = c->b->out;
    uint32_t gang = 0;
    html_put(out, "<h4 id=\"%i~splices\">Splices and devices</h4>\n", c->id);
    if (c->v->unproven)
        html_put(out, "<p class=\"unproven\">Not proven, so not printed: %a</p>\n", c->v->unproven);
    html_put(out, "<ul class=\"rows\">\n");
    if (!c->v->unproven)
        put_joints(c);
    for (uint32_t i = 0; i < c->box->device_count; i++)
        put_device(c, i, &gang);
    html_put(out, "</ul>\n");
}

/* --- the card ----------------------------------------------------------------------------- */

static bool has_makeup(const struct card *c)
{
    const uint32_t *first = c->b->r->makeup->first_of_box + c->box->id;
    return c->box->device_count || first[0] != first[1] || c->v->unproven;
}

static void put_links(const struct card *c, const struct box *next)
{
    struct book *b = c->b;
    struct buf *out = b->out;
    const char *wall = c->v->on_wall ? anchors_wall(b, &c->box->room->walls[c->box->place.wall])
                                     : b->ids.rooms[c->box->room->id];
    html_put(out, "<nav class=\"steps\" aria-label=\"from %t\"><a href=\"%h\">%t</a>",
             c->v->address, wall, c->v->on_wall ? "Wall" : "Room");
    if (has_makeup(c))
        html_put(out, "<a href=\"%i~splices\">Splices</a>", arena_printf(b->arena, "#%s", c->id));
    if (next)
        html_put(out, "<a href=\"%h\" aria-label=\"next box, %t\">Next box</a>",
                 b->ids.boxes[next->id], view_of_box(b->r, next)->address);
    else
        html_put(out, "<a href=\"#~index\">Index</a>");
    html_put(out, "</nav>\n");
}

void card_put(struct book *b, const struct box *box, const struct box *next)
{
    struct card c = {.b = b,
                     .v = view_of_box(b->r, box),
                     .box = box,
                     .row = b->rows[box->id],
                     .id = b->ids.boxes[box->id]};
    cables_of_box(b->r, box, &c.cables);
    c.several = words_old_circuits(box) > 1;
    find_screws(&c);
    html_put(b->out, "<article class=\"card\" id=\"%i\">\n%m", c.id, b->band);
    const char *title = book_typed(box->title, box->name);
    html_put(b->out, "<h3>%t</h3>\n<p class=\"where\">%a \u00b7 %t%t%a</p>\n", box->name,
             book_room_words(b, box->room), book_side_words(b, c.v), title ? " \u00b7 " : "",
             title);
    put_off(&c);
    put_place(&c);
    put_cables(&c);
    if (has_makeup(&c))
        put_makeup(&c);
    put_links(&c, next);
    html_put(b->out, "</article>\n");
}

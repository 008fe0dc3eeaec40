/* Panels with their cards, circuits with all that is on them, and the cables of low voltage. */
#include "book/work.h"

#include "emit/left.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "facts/existing.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "log/log.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <string.h>

/* Parts of a line, a dot between. */
static void add(struct buf *words, const char *part)
{
    if (part)
        buf_printf(words, "%s%s", words->n ? " \u00b7 " : "", part);
}

static void put_line(struct book *b, const char *class_name, struct buf *words)
{
    if (words->n)
        html_put(b->out, "<p class=\"%t\">%a</p>\n", class_name, buf_text(words));
    buf_free(words);
}

/* --- runs --------------------------------------------------------------------------------- */

/* "black: line · white: neutral". */
static void put_conductors(struct book *b, const struct run *run)
{
    const struct run_wiring *w = &b->r->wiring->of_run[run->id];
    struct buf words = {0};
    for (uint32_t i = 0; w->conductors && i < w->count; i++) {
        const struct conductor *c = &w->conductors[i];
        if (c->net)
            add(&words, arena_printf(b->arena, "%s%s: %s", c->color ? c->color : "a wire",
                                     c->reidentified ? ", re-identified" : "", c->net->name));
    }
    put_line(b, "nets", &words);
}

static const char *counted(const struct book *b, uint32_t n, const char *one, const char *many)
{
    return n ? arena_printf(b->arena, "%u %s", n, n == 1 ? one : many) : NULL;
}

static void put_way(struct book *b, const struct run_view *v)
{
    const struct route *route = v->route;
    bool raceway = v->run->raceway != NULL;
    struct buf words = {0};
    add(&words, v->cable ? v->cable : v->run->existing ? "cable unknown" : NULL);
    if (v->run->existing)
        add(&words, "existing");
    else if (v->hangs)
        add(&words, arena_printf(b->arena, "hangs there, %s", v->hangs));
    else if (v->cut)
        add(&words, arena_printf(b->arena, "cut %s", v->cut));
    if (v->label)
        add(&words, arena_printf(b->arena, "tag %s", v->label));
    if (route->known && !v->run->existing) {
        if (route->bores || route->notches)
            add(&words, words_bored(b->arena, route));
        add(&words, counted(b, route->supports, raceway ? "strap" : "staple",
                            raceway ? "straps" : "staples"));
        add(&words, counted(b, route->plates, "nail plate", "nail plates"));
    }
    put_line(b, "way", &words);
}

/* An end of a run as a link to it. */
static void put_end(struct book *b, struct end e)
{
    const char *words = e.box || e.panel ? address_of_end(b->arena, e, false) : "?";
    const char *id = e.box ? b->ids.boxes[e.box->id] : e.panel ? b->ids.panels[e.panel->id] : NULL;
    if (id)
        html_put(b->out, "<a href=\"%h\">%t</a>", id, words);
    else
        html_put(b->out, "%t", words);
}

/* Its anchor stands where it is first: a cable may carry several circuits. */
static void put_run(struct book *b, const struct run *run)
{
    const struct run_view *v = view_of_run(b->r, run);
    const char *id = b->ids.runs[run->id];
    if (!id)
        return;
    if (b->run_put[run->id])
        html_put(b->out, "<li class=\"run\"><p class=\"ends\">");
    else
        html_put(b->out, "<li class=\"run\" id=\"%i\"><p class=\"ends\">", id);
    b->run_put[run->id] = true;
    put_end(b, run->from);
    html_put(b->out, " to ");
    put_end(b, run->to);
    html_put(b->out, "</p>\n");
    put_way(b, v);
    put_conductors(b, run);
    html_put(b->out, "</li>\n");
}

static void put_runs(struct book *b, struct run *const *runs, uint32_t n)
{
    html_put(b->out, "<ul class=\"runs\">\n");
    for (uint32_t i = 0; i < n; i++)
        put_run(b, runs[i]);
    html_put(b->out, "</ul>\n");
}

/* --- circuits ----------------------------------------------------------------------------- */

/* "15 A afci · 163 VA · studio, alcove". */
static void put_circuit_line(struct book *b, const struct circuit *c)
{
    struct buf words = {0};
    const char *breaker = words_breaker(b->arena, c);
    struct cell rooms = words_rooms_cell(b->r, c);
    struct buf list = {0};
    double va = b->r->loads->of_circuit[c->id].va;
    add(&words, breaker ? breaker : facts_breaker_untold(c) ? "breaker unknown" : NULL);
    add(&words, c->existing ? "existing" : NULL);
    if (va > 0)
        add(&words, arena_printf(b->arena, "%.0f VA", va));
    for (uint32_t i = 0; i < rooms.list.count; i++)
        buf_printf(&list, "%s%s", i ? ", " : "", rooms.list.item[i]);
    add(&words, list.n ? buf_text(&list) : NULL);
    buf_free(&list);
    put_line(b, "says", &words);
}

/* What its breaker kills, to be tested box by box. */
static void put_tests(struct book *b, const struct circuit *c)
{
    struct map seen = {0};
    bool any = false;
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct box *box = c->runs.at[i]->to.box;
        if (!box || !b->ids.boxes[box->id] || map_find(&seen, 0, box))
            continue;
        map_file(b->arena, &seen, 0, box, (void *)box);
        if (!any)
            html_put(b->out, "<h4>Dead when it is off, tested when it is done</h4>\n"
                             "<ul class=\"rows\">\n");
        any = true;
        const struct box_view *v = view_of_box(b->r, box);
        bool done = !left_in_box(b->r, box, LOG_TESTED);
        const char *day = done ? b->r->log->box_dates[box->id].on[LOG_TESTED] : NULL;
        book_put_tick(
            b, &(struct tick){.name = arena_printf(b->arena, "test:%s:%s", b->ids.circuits[c->id],
                                                   b->ids.boxes[box->id]),
                              .words = v->address,
                              .detail = box->device_count ? v->told[0] : "splices",
                              .link = b->ids.boxes[box->id],
                              .link_words = arena_printf(b->arena, "box %s", v->address),
                              .done = done ? day ? day : "" : NULL});
    }
    html_put(b->out, any ? "</ul>\n" : "");
}

static const char *title_of(const struct circuit *c)
{
    return book_typed(c->title, c->name);
}

static void put_circuit(struct book *b, const struct circuit *c)
{
    const char *id = b->ids.circuits[c->id], *unproven = view_unproven(b->r, c);
    if (!id)
        return;
    html_put(b->out,
             "<article class=\"circuit\" id=\"%i\">\n%m"
             "<h3>%t <small>%a</small></h3>\n",
             id, b->band, words_circuit(b->r, c), title_of(c));
    put_circuit_line(b, c);
    if (unproven)
        html_put(b->out,
                 "<p class=\"unproven\">Not proven, so its make-up is not printed: %a</p>\n",
                 unproven);
    put_runs(b, c->runs.at, c->runs.n);
    put_tests(b, c);
    html_put(b->out, "</article>\n");
}

/* --- panels ------------------------------------------------------------------------------- */

/* "Studio · south wall, 7' from the left, 60" up · main 100 A · these spaces free: 7, 9 to 12". */
static void put_panel_line(struct book *b, const struct panel *p)
{
    struct buf words = {0};
    const struct place *at = view_place_of_panel(b->r, p);
    const char *free = panel_free_words(b->arena, b->r->panels, p, 1, HALF_NONE);
    if (p->room)
        add(&words, book_room_words(b, p->room));
    if (p->room && at->where == ON_WALL && at->known && at->wall < p->room->wall_count)
        add(&words,
            arena_printf(b->arena, "%s wall, %s from the left, %s up",
                         p->room->walls[at->wall].name, length_words(b->arena, at->from_left),
                         length_inch_words(b->arena, at->up)));
    if (p->main > 0)
        add(&words, arena_printf(b->arena, "main %.0f A", p->main));
    add(&words, free        ? arena_printf(b->arena, "free: %s", free)
                : p->spaces ? "no whole space free"
                            : NULL);
    put_line(b, "says", &words);
}

/* The card for the door: every breaker by its space. */
static void put_directory(struct book *b, const struct panel *p, const struct circuit **order)
{
    html_put(b->out,
             "<section class=\"wide\" tabindex=\"0\" aria-label=\"breakers of panel %t\">"
             "<table><thead><tr><th scope=\"col\">Handle</th><th scope=\"col\">Serves</th>"
             "<th scope=\"col\">Breaker</th></tr></thead><tbody>\n",
             address_of_panel(b->arena, p, false));
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *c = order[i];
        const char *breaker = words_breaker(b->arena, c), *id = b->ids.circuits[c->id];
        if (id)
            html_put(b->out,
                     "<tr><th scope=\"row\"><a href=\"%h\">%t</a></th><td>%a</td><td>%t</td>"
                     "</tr>\n",
                     id, words_circuit(b->r, c), title_of(c), breaker ? breaker : "unknown");
    }
    html_put(b->out, "</tbody></table></section>\n");
}

static void put_panel(struct book *b, const struct panel *p)
{
    const struct circuit **order = circuits_by_space(b->r, p);
    const char *id = b->ids.panels[p->id];
    html_put(b->out,
             "<section class=\"panel\" id=\"%i\">\n"
             "<h2>Panel %t <small>%a</small></h2>\n",
             id, address_of_panel(b->arena, p, false), book_typed(p->title, p->name));
    put_panel_line(b, p);
    html_put(b->out, "%m", b->band);
    if (p->circuits.n)
        put_directory(b, p, order);
    html_put(b->out, "<div class=\"cards\">\n");
    for (uint32_t i = 0; i < p->circuits.n; i++)
        put_circuit(b, order[i]);
    html_put(b->out, "</div>\n</section>\n");
}

/* Circuits of which the plan does not say where they begin. */
static void put_loose_circuits(struct book *b)
{
    const struct model *m = b->r->model;
    bool any = false;
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        if (m->circuits.at[i]->panel || !b->ids.circuits[i])
            continue;
        if (!any)
            html_put(b->out, "<section class=\"panel\">\n"
                             "<h2>Circuits whose panel the plan does not tell</h2>\n"
                             "<div class=\"cards\">\n");
        any = true;
        put_circuit(b, m->circuits.at[i]);
    }
    html_put(b->out, any ? "</div>\n</section>\n" : "");
}

static void put_low_voltage(struct book *b, const struct low_voltage *v)
{
    const char *id = b->ids.cables[v->id];
    if (!id)
        return;
    html_put(b->out,
             "<section class=\"panel\" id=\"%i\">\n"
             "<h2>Low voltage: %t <small>%a</small></h2>\n"
             "<p class=\"says\">%u cable%t.</p>\n%m",
             id, v->name, book_typed(v->title, v->name), v->runs.n, v->runs.n == 1 ? "" : "s",
             b->band);
    put_runs(b, v->runs.at, v->runs.n);
    html_put(b->out, "</section>\n");
}

/* Runs that no circuit has: a name of theirs is at fault. */
static void put_loose_runs(struct book *b)
{
    const struct model *m = b->r->model;
    bool any = false;
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        if (!b->ids.runs[i] || b->run_put[i])
            continue;
        if (!any)
            html_put(b->out, "<section class=\"panel\">\n"
                             "<h2>Runs of no circuit</h2>\n<ul class=\"runs\">\n");
        any = true;
        put_run(b, run);
    }
    html_put(b->out, any ? "</ul>\n</section>\n" : "");
}

void book_put_panels(struct book *b)
{
    const struct model *m = b->r->model;
    b->run_put = arena_array(b->arena, bool, m->runs.n + 1);
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (b->ids.panels[i])
            put_panel(b, m->panels.at[i]);
    put_loose_circuits(b);
    for (uint32_t i = 0; i < m->low_voltages.n; i++)
        put_low_voltage(b, m->low_voltages.at[i]);
    put_loose_runs(b);
}

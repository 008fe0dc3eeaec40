/* The circuits as trees, one frame each, from the breaker on the left to the last box on the right.
 *
 * What the line tells is told by words or shapes too, so that a black-and-white print keeps it: a
 * home run has the words and an arrow at the panel, what is there already is dashed and says so;
 * boxes overhead have round corners. */
#include "emit/dot/dot.h"
#include "emit/results.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "framing/routes.h"
#include "loads/panel.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <string.h>

struct drawing {
    const struct results *r;
    struct buf *out;
    struct map seen; /* (circuit id + 1, box or panel) -> it: nodes that are written */
};

/* Words that follow one another, on lines of about `width` characters, each line to the left. */
static void lines(struct buf *out, const char *text, size_t width)
{
    size_t used = 0;
    while (*text) {
        size_t word = strcspn(text, " ");
        if (used && used + word + 1 > width) {
            buf_puts(out, "\\l  ");
            used = 2;
        } else if (used) {
            buf_putc(out, ' ');
            used++;
        }
        struct buf piece = {0};
        buf_add(&piece, text, word);
        dot_text(out, buf_text(&piece));
        buf_free(&piece);
        used += word;
        text += word;
        while (*text == ' ')
            text++;
    }
    buf_puts(out, "\\l");
}

/* --- nodes -------------------------------------------------------------------------------- */

static void write_name(struct drawing *d, uint32_t circuit, struct end e)
{
    if (e.box)
        buf_printf(d->out, "c%u_box%u", circuit, e.box->id);
    else
        buf_printf(d->out, "c%u_panel%u", circuit, e.panel->id);
}

static void box_label(struct drawing *d, const struct box *b)
{
    const struct fill *fill = &d->r->wiring->of_box[b->id];
    dot_text(d->out, view_of_box(d->r, b)->address);
    buf_puts(d->out, b->existing ? " (existing)\\l" : "\\l");
    for (uint32_t i = 0; i < b->device_count; i++)
        lines(d->out, device_words(d->r, b->devices[i]), 30);
    if (!b->device_count)
        buf_puts(d->out, "junction, blank cover\\l");
    if (fill->type && !fill->type->integral) {
        buf_puts(d->out, "box ");
        dot_text(d->out, fill->type->name);
        buf_puts(d->out, "\\l");
    }
}

static void box_style(struct drawing *d, const struct box *b)
{
    bool round = b->place.where == OVERHEAD;
    if (!b->device_count)
        buf_puts(d->out, "\", shape=octagon");
    else
        buf_puts(d->out, "\", shape=box");
    if (round && b->existing)
        buf_puts(d->out, ", style=\"rounded,dashed\"");
    else if (round || b->existing)
        buf_printf(d->out, ", style=%s", round ? "rounded" : "dashed");
    buf_puts(d->out, "];\n");
}

static void write_node(struct drawing *d, uint32_t circuit, struct end e)
{
    void *thing = e.box ? (void *)e.box : (void *)e.panel;
    void **seen = map_at(d->r->arena, &d->seen, circuit + 1, (uintptr_t)thing);
    if (*seen)
        return;
    *seen = thing;
    buf_puts(d->out, "    ");
    write_name(d, circuit, e);
    buf_puts(d->out, " [label=\"");
    if (e.box) {
        box_label(d, e.box);
        box_style(d, e.box);
        return;
    }
    buf_puts(d->out, "panel ");
    dot_text(d->out, address_of_panel(d->r->arena, e.panel, false));
    buf_puts(d->out, "\", shape=box, peripheries=2];\n");
}

/* The breaker stands for the panel at the root of the tree. */
static void write_breaker(struct drawing *d, const struct circuit *c)
{
    const struct circuit_space *s = &d->r->panels->of_circuit[c->id];
    const char *breaker = words_breaker(d->r->arena, c);
    struct end e = {.panel = c->panel};
    map_put(d->r->arena, &d->seen, c->id + 1, (uintptr_t)c->panel, c->panel);
    buf_puts(d->out, "    ");
    write_name(d, c->id, e);
    buf_puts(d->out, " [label=\"panel ");
    dot_text(d->out, address_of_panel(d->r->arena, c->panel, false));
    if (s->space && s->poles == 2)
        buf_printf(d->out, "\\nspaces %u and %u", s->space, s->space + 2);
    else if (s->space)
        buf_printf(d->out, "\\nspace %u", s->space);
    buf_puts(d->out, "\\nbreaker ");
    dot_text(d->out, breaker ? breaker : "not given");
    if (c->existing)
        buf_puts(d->out, "\\nexisting");
    buf_puts(d->out, "\", shape=box, peripheries=2];\n");
}

/* --- edges -------------------------------------------------------------------------------- */

static void write_conductors(struct drawing *d, const struct run *run)
{
    const struct run_wiring *w = &d->r->wiring->of_run[run->id];
    for (uint32_t i = 0; w->conductors && i < w->count; i++) {
        const struct conductor *c = &w->conductors[i];
        if (c->color) {
            dot_text(d->out, c->color);
            buf_puts(d->out, ": ");
        } else if (!i) {
            buf_printf(d->out, "needs %u:\\l", w->used);
        }
        dot_text(d->out, c->net ? c->net->name : "spare, capped");
        buf_puts(d->out, c->reidentified ? ", re-identified\\l" : "\\l");
    }
}

static void write_edge(struct drawing *d, const struct run *run)
{
    const struct run_view *v = view_of_run(d->r, run);
    const struct route *route = v->route;
    bool home = v->home_run;
    buf_puts(d->out, "    ");
    write_name(d, run->circuit->id, run->from);
    buf_puts(d->out, " -> ");
    write_name(d, run->circuit->id, run->to);
    buf_printf(d->out, " [label=\"%s", home ? "HOME RUN\\l" : "");
    dot_text(d->out, v->cable ? v->cable : run->existing ? "cable unknown" : "cable not known");
    if (run->existing) {
        buf_puts(d->out, ", existing");
    } else if (route->known) {
        buf_puts(d->out, "  ");
        dot_text(d->out, v->cut ? v->cut : "same piece");
        buf_puts(d->out, route->measured ? " measured" : "");
    }
    buf_puts(d->out, "\\l");
    write_conductors(d, run);
    /* an empty line keeps the words off the line below them */
    buf_printf(d->out, " \\l\"%s%s];\n", home ? ", dir=back, penwidth=2.2" : "",
               run->existing ? ", style=dashed" : "");
}

/* The cable that is there between the panel and the box where new work begins. */
static void write_upstream(struct drawing *d, const struct circuit *c)
{
    struct end panel = {.panel = c->panel}, root = {.box = c->root};
    write_node(d, c->id, root);
    buf_puts(d->out, "    ");
    write_name(d, c->id, panel);
    buf_puts(d->out, " -> ");
    write_name(d, c->id, root);
    buf_puts(d->out, " [label=\"existing\\l");
    if (c->upstream > 0) {
        struct buf b = {0};
        length_print(&b, c->upstream);
        if (c->upstream_size)
            buf_printf(&b, " of %s", c->upstream_size);
        dot_text(d->out, buf_text(&b));
        buf_puts(d->out, "\\l");
        buf_free(&b);
    }
    buf_puts(d->out, "\", style=dashed];\n");
}

/* --- circuits ----------------------------------------------------------------------------- */

static void write_circuit(struct drawing *d, const struct circuit *c)
{
    buf_printf(d->out, "  subgraph cluster_%u {\n    label=\"%s", c->id,
               c->feeds ? "" : "circuit ");
    dot_text(d->out, words_circuit(d->r, c));
    const char *title = c->title ? c->title : c->feeds ? c->feeds->title : NULL;
    if (title) {
        buf_puts(d->out, "  ");
        dot_text(d->out, title);
    }
    buf_puts(d->out, "\";\n");
    if (c->panel)
        write_breaker(d, c);
    if (c->panel && c->root)
        write_upstream(d, c);
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *run = c->runs.at[i];
        bool known = (run->from.box || run->from.panel) && (run->to.box || run->to.panel);
        if (!known)
            continue;
        write_node(d, c->id, run->from);
        write_node(d, c->id, run->to);
        write_edge(d, run);
    }
    buf_puts(d->out, "  }\n");
}

static const char head[] =
    "  graph [rankdir=LR, labelloc=t, labeljust=l, fontname=\"Helvetica\", fontsize=14, "
    "nodesep=0.3, ranksep=0.6];\n"
    "  node [fontname=\"Helvetica\", fontsize=10, margin=\"0.1,0.06\", height=0.3];\n"
    "  edge [fontname=\"Helvetica\", fontsize=9, arrowtail=normal, dir=none];\n";

static const char key[] = "\\lHOME RUN and an arrow: to the panel.  Dashed: there already.  Round "
                          "corners: overhead.  Eight corners: no device.  Grounds are not drawn.\\l"
                          "Circuits dead, locked and tested before work; the local authority and "
                          "its amendments decide.\\l";

void dot_circuits(const struct results *r, struct buf *dot)
{
    struct drawing d = {.r = r, .out = dot};
    buf_puts(dot, "digraph circuits {\n");
    buf_puts(dot, head);
    buf_puts(dot, "  label=\"");
    dot_text(dot, r->model->title ? r->model->title : "Circuits");
    buf_puts(dot, ": circuits");
    buf_puts(dot, key);
    buf_puts(dot, "\";\n");
    /* from left to right, dot puts the first frame at the bottom */
    for (uint32_t i = r->model->circuits.n; i-- > 0;)
        if (facts_is_built(r->model->circuits.at[i]->unit) &&
            (!r->only_circuit || r->model->circuits.at[i] == r->only_circuit))
            write_circuit(&d, r->model->circuits.at[i]);
    buf_puts(dot, "}\n");
}

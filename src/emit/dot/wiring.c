/* The boxes conductor by conductor: a frame for each box, in it splices as points and devices with
 * their terminals; between the boxes a line for each conductor in its colour. A letter stands
 * beside each colour, so that a black-and-white print stays readable. */
#include "emit/dot/dot.h"
#include "emit/results.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <string.h>

struct drawing {
    const struct results *r;
    struct buf *out;
};

struct ink {
    const char *color, *letter, *ink;
};

/* Colours of insulation as lines on white paper: white itself is drawn grey, bare and green as a
 * dashed green line. */
static const struct ink inks[] = {
    {"black", "B", "black"},
    {"white", "W", "gray60"},
    {"red", "R", "red3"},
    {"blue", "L", "blue3"},
    {"white-red", "W/R", "indianred1"},
    {"bare", "G", "green4"},
    {"green", "G", "green4"},
    {"yellow", "yellow", "gold3"},
    {"orange", "orange", "darkorange2"},
    {"brown", "brown", "saddlebrown"},
    {"pink", "pink", "hotpink2"},
    {"purple", "purple", "purple3"},
};

static struct ink ink_of(const char *color)
{
    for (size_t i = 0; i < sizeof inks / sizeof *inks; i++)
        if (!strcmp(inks[i].color, color))
            return inks[i];
    return (struct ink){color, color, "black"};
}

/* --- what is drawn ------------------------------------------------------------------------ */

static bool is_in_room(struct end e, const struct room *room)
{
    return e.box && e.box->room == room;
}

static bool run_wanted(const struct drawing *d, const struct run *run)
{
    const struct results *r = d->r;
    if (!r->makeup->runs[run->id].made || !view_of_run(d->r, run)->built ||
        view_unproven(r, run->circuit))
        return false;
    if (r->only_box && run->from.box != r->only_box && run->to.box != r->only_box)
        return false;
    if (r->only_room && !is_in_room(run->from, r->only_room) && !is_in_room(run->to, r->only_room))
        return false;
    return r->only_box || !r->only_circuit || run->circuit == r->only_circuit;
}

static bool box_wanted(const struct drawing *d, const struct box *b)
{
    if (view_of_box(d->r, b)->unproven)
        return false;
    if (d->r->only_box)
        return b == d->r->only_box;
    if (d->r->only_room && b->room != d->r->only_room)
        return false;
    for (uint32_t i = 0; i < b->runs.n; i++)
        if (run_wanted(d, b->runs.at[i]))
            return true;
    return false;
}

static bool joint_wanted(const struct drawing *d, const struct joint *j)
{
    if (!d->r->only_circuit)
        return true;
    for (uint32_t i = 0; i < j->lead_count; i++) {
        const struct lead *l = &j->leads[i];
        if ((l->kind == LEAD_CONDUCTOR && run_wanted(d, l->run)) ||
            (l->kind == LEAD_TERMINAL && l->part->circuit == d->r->only_circuit))
            return true;
    }
    return false;
}

/* --- boxes -------------------------------------------------------------------------------- */

/* Where a terminal is drawn: one that several parts share, at the first of them. */
struct port {
    uint32_t part;
    uint8_t terminal;
};

static struct port port_of(const struct drawing *d, const struct lead *l)
{
    const struct device *v = l->part->device;
    const struct part_form *forms = d->r->makeup->forms[v->id];
    struct port port = {(uint32_t)(l->part - v->parts), l->terminal};
    uint8_t shared = forms[port.part].body->terminals[l->terminal].shared;
    for (uint32_t p = 0; shared && p < port.part; p++)
        for (uint8_t t = 0; forms[p].part && t < forms[p].body->terminal_count; t++)
            if (forms[p].body->terminals[t].shared == shared)
                return (struct port){p, t};
    return port;
}

static void write_device(struct drawing *d, const struct device *v)
{
    buf_printf(d->out, "    d%u [shape=record, label=\"", v->id);
    dot_field(d->out, words_device_in_box(d->r, v));
    if (v->parts[0].leg && v->part_count == 1) {
        buf_puts(d->out, "\\nleg\\ ");
        dot_field(d->out, v->parts[0].leg->name);
    }
    for (uint32_t p = 0; p < v->part_count; p++) {
        const struct part_form *f =
            d->r->makeup->forms[v->id] ? &d->r->makeup->forms[v->id][p] : NULL;
        for (uint8_t t = 0; f && f->part && t < f->body->terminal_count; t++) {
            struct lead l = {.kind = LEAD_TERMINAL, .part = &v->parts[p], .terminal = t};
            struct port port = port_of(d, &l);
            if (port.part != p)
                continue; /* shared with an earlier part */
            const char *name = words_terminal_words(d->r, &l),
                       *device = words_device_in_box(d->r, v);
            buf_printf(d->out, "|<p%u_%u>", p, t);
            dot_field(d->out, name + strlen(device) + 1);
        }
    }
    buf_puts(d->out, "\"];\n");
}

static void write_joint_node(struct drawing *d, uint32_t id, const struct joint *j)
{
    if (j->kind == JOINT_LANDING)
        return;
    if (j->kind == JOINT_CAP) {
        buf_printf(d->out,
                   "    j%u [shape=invtriangle, label=\"\", width=0.12, height=0.12, xlabel=\"",
                   id);
        dot_text(d->out, j->net);
        buf_puts(d->out, "\"];\n");
        return;
    }
    buf_printf(d->out, "    j%u [shape=point, width=%s, xlabel=\"", id,
               j->kind == JOINT_PASS ? "0.01" : "0.11");
    dot_text(d->out, j->net);
    buf_puts(d->out, "\"];\n");
}

static void write_box(struct drawing *d, const struct box *b)
{
    const struct makeup *m = d->r->makeup;
    buf_printf(d->out, "  subgraph cluster_box%u {\n    label=\"", b->id);
    dot_text(d->out, view_of_box(d->r, b)->address);
    buf_puts(d->out, "\"; labeljust=l; style=rounded; color=gray30;\n");
    for (uint32_t i = 0; i < b->device_count; i++)
        if (!d->r->only_circuit || b->devices[i]->parts[0].circuit == d->r->only_circuit)
            write_device(d, b->devices[i]);
    for (uint32_t i = m->first_of_box[b->id]; i < m->first_of_box[b->id + 1]; i++)
        if (joint_wanted(d, &m->joints.at[i]))
            write_joint_node(d, i, &m->joints.at[i]);
    buf_puts(d->out, "  }\n");
}

/* --- conductors --------------------------------------------------------------------------- */

/* Where each end of each conductor is joined: the joint, by (run, conductor, end). */
static uintptr_t end_key(int16_t conductor, bool at_to)
{
    return (uintptr_t)(conductor + 2) * 2 + at_to;
}

static void index_ends(struct drawing *d, struct map *ends)
{
    const struct makeup *m = d->r->makeup;
    for (uint32_t i = 0; i < m->joints.n; i++) {
        const struct joint *j = &m->joints.at[i];
        for (uint32_t k = 0; k < j->lead_count; k++)
            if (j->leads[k].kind == LEAD_CONDUCTOR)
                map_put(d->r->arena, ends, (uintptr_t)j->leads[k].run,
                        end_key(j->leads[k].conductor, j->leads[k].at_to),
                        (void *)(uintptr_t)(i + 1));
    }
}

static void write_terminal(struct drawing *d, const struct lead *l)
{
    struct port port = port_of(d, l);
    buf_printf(d->out, "d%u:p%u_%u", l->part->device->id, port.part, port.terminal);
}

/* The node at one end of a conductor: its splice, its cap, the terminal it lands on, the panel, or
 * a box beyond what is drawn. */
static void write_end(struct drawing *d, const struct run *run, uint32_t joint, bool at_to)
{
    struct end e = at_to ? run->to : run->from;
    if (!joint || e.panel) {
        buf_printf(d->out, "panel%u", e.panel ? e.panel->id : 0);
        return;
    }
    if (!box_wanted(d, e.box)) {
        buf_printf(d->out, "far%u", e.box->id);
        return;
    }
    const struct joint *j = &d->r->makeup->joints.at[joint - 1];
    if (j->kind == JOINT_LANDING)
        write_terminal(d, lead_of_joint(j, LEAD_TERMINAL));
    else
        buf_printf(d->out, "j%u", joint - 1);
}

/* Of a cable that is there and of which nobody says what it is. */
static const struct ink unknown = {"unknown", "old", "gray30"};

/* The ground that is no wire. */
static const struct ink raceway = {"raceway", "tube", "gray30"};

static bool is_raceway(const struct made_run *made)
{
    return made->cable && made->cable->ground == GROUND_RACEWAY;
}

static void write_conductor(struct drawing *d, const struct run *run, int16_t conductor,
                            const struct map *ends)
{
    const struct made_run *made = &d->r->makeup->runs[run->id];
    struct ink ink = conductor == CONDUCTOR_GROUND && is_raceway(made) ? raceway
                     : conductor == CONDUCTOR_GROUND                   ? ink_of("bare")
                     : made->colors ? ink_of(made->colors[conductor])
                                    : unknown;
    bool marked =
        conductor >= 0 && d->r->wiring->of_run[run->id].conductors[conductor].reidentified;
    uint32_t from = (uint32_t)(uintptr_t)map_get(ends, (uintptr_t)run, end_key(conductor, false)),
             to = (uint32_t)(uintptr_t)map_get(ends, (uintptr_t)run, end_key(conductor, true));
    buf_puts(d->out, "  ");
    write_end(d, run, from, false);
    buf_puts(d->out, " -- ");
    write_end(d, run, to, true);
    buf_printf(d->out, " [color=%s, label=\"%s%s\"%s];\n", ink.ink, ink.letter,
               marked ? " marked" : "", conductor == CONDUCTOR_GROUND ? ", style=dashed" : "");
}

static void write_pigtails(struct drawing *d, uint32_t id, const struct joint *j)
{
    if (j->kind != JOINT_SPLICE)
        return;
    for (uint32_t i = 0; i < j->lead_count; i++) {
        const struct lead *l = &j->leads[i];
        if (l->kind == LEAD_TERMINAL && !l->over_tab) {
            buf_printf(d->out, "  j%u -- ", id);
            write_terminal(d, l);
            buf_printf(d->out, " [%s];\n",
                       !strcmp(j->net, "ground")        ? "style=dashed, color=green4"
                       : !strncmp(j->net, "neutral", 7) ? "color=gray60"
                                                        : "color=black");
        }
    }
}

/* Tabs that are left between the parts of a device, as short thick lines. */
static void write_tabs(struct drawing *d, const struct device *v)
{
    const struct makeup *m = d->r->makeup;
    for (uint32_t i = m->first_tab[v->id]; i < m->first_tab[v->id + 1]; i++) {
        const struct made_tab *t = &m->tabs.at[i];
        const struct lead a = {.kind = LEAD_TERMINAL, .part = t->part, .terminal = t->terminal},
                          b = {.kind = LEAD_TERMINAL, .part = t->beside, .terminal = t->to};
        if (t->broken)
            continue;
        buf_puts(d->out, "  ");
        write_terminal(d, &a);
        buf_puts(d->out, " -- ");
        write_terminal(d, &b);
        buf_puts(d->out, " [color=gray40, penwidth=3, label=\"tab\"];\n");
    }
}

/* Panels and boxes beyond what is drawn, each a plain node. */
static void write_outside(struct drawing *d)
{
    struct map seen = {0};
    for (uint32_t i = 0; i < d->r->model->runs.n; i++) {
        const struct run *run = d->r->model->runs.at[i];
        if (!run->circuit || !run_wanted(d, run))
            continue;
        struct end ends[2] = {run->from, run->to};
        for (int k = 0; k < 2; k++) {
            void *thing = ends[k].panel                 ? (void *)ends[k].panel
                          : !box_wanted(d, ends[k].box) ? (void *)ends[k].box
                                                        : NULL;
            void **at = thing ? map_at(d->r->arena, &seen, (uintptr_t)thing, 1) : NULL;
            if (!thing || *at)
                continue;
            *at = thing;
            buf_printf(d->out, "  %s%u [shape=box%s, label=\"%s", ends[k].panel ? "panel" : "far",
                       ends[k].panel ? ends[k].panel->id : ends[k].box->id,
                       ends[k].panel ? ", peripheries=2" : ", style=dotted",
                       ends[k].panel ? "panel " : "to ");
            dot_text(d->out, address_of_end(d->r->arena, ends[k], false));
            buf_puts(d->out, "\"];\n");
        }
    }
}

/* Circuits and boxes that are not drawn, as nothing is proven of their make-up. */
static void quote_unproven(struct drawing *d)
{
    const struct results *r = d->r;
    for (uint32_t i = 0; i < r->model->circuits.n; i++) {
        const struct circuit *c = r->model->circuits.at[i];
        const char *why = facts_is_built(c->unit) ? view_unproven(r, c) : NULL;
        if (!why)
            continue;
        buf_puts(d->out, "\\nnot proven, so not drawn: ");
        dot_text(d->out, why);
    }
}

void dot_wiring(const struct results *r, struct buf *dot)
{
    struct drawing drawing = {r, dot}, *d = &drawing;
    struct map ends = {0};
    index_ends(d, &ends);
    buf_puts(dot, "graph wiring {\n  graph [rankdir=LR, fontname=\"Helvetica\", fontsize=11, "
                  "labelloc=b, ranksep=0.9, nodesep=0.3, splines=true, label=\"");
    dot_text(dot, r->model->title);
    if (r->only_circuit)
        dot_text(dot, arena_printf(r->arena, ", circuit %s", words_circuit(r, r->only_circuit)));
    quote_unproven(d);
    buf_puts(
        dot,
        "\\nB black  W white  R red  L blue  W/R white with red  G ground, dashed; marked: a white "
        "that is re-identified.\\n"
        "Circuits dead and tested before work. The local authority and its amendments decide.\"];\n"
        "  node [fontname=\"Helvetica\", fontsize=10];\n  edge [fontname=\"Helvetica\", "
        "fontsize=9, penwidth=1.6];\n");
    for (uint32_t i = 0; i < r->model->boxes.n; i++)
        if (facts_is_built(r->model->boxes.at[i]->room->unit) &&
            box_wanted(d, r->model->boxes.at[i]))
            write_box(d, r->model->boxes.at[i]);
    write_outside(d);
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        const struct run *run = r->model->runs.at[i];
        if (!run->circuit || !run_wanted(d, run))
            continue;
        for (int16_t c = 0; c < (int16_t)r->makeup->runs[i].count; c++)
            write_conductor(d, run, c, &ends);
        if (r->makeup->runs[i].ground)
            write_conductor(d, run, CONDUCTOR_GROUND, &ends);
    }
    for (uint32_t i = 0; i < r->makeup->joints.n; i++) {
        const struct joint *j = &r->makeup->joints.at[i];
        if (j->box && box_wanted(d, j->box) && joint_wanted(d, j) &&
            facts_is_built(j->box->room->unit))
            write_pigtails(d, i, j);
    }
    for (uint32_t i = 0; i < r->model->devices.n; i++) {
        const struct device *v = r->model->devices.at[i];
        if (facts_is_built(v->box->room->unit) && box_wanted(d, v->box) &&
            (!r->only_circuit || v->parts[0].circuit == r->only_circuit))
            write_tabs(d, v);
    }
    buf_puts(dot, "}\n");
}

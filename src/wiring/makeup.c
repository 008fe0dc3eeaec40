#include "wiring/makeup.h"

#include "facts/devices.h"
#include "facts/pulls.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

/* Leads of one box while they are gathered: sorted by net (and part of the box), they fall into
 * joints. */
struct gathered {
    const struct net *net;  /* NULL: a spare, a joint of its own */
    const struct run *feed; /* part of the box; NULL: the box has one */
    uint32_t order;
    struct lead lead;
    uint32_t before; /* of a terminal, in its joint: 1 + the last of its device before it; 0 none */
};

typedef VEC(struct gathered) gathering;

enum { MOST_SIZES = 16 };

/* What a connector takes: so many wires where the largest is of a size, and so much of several. */
struct connector {
    double most[MOST_SIZES], section;
};

struct maker {
    struct arena *arena;
    struct model *m;
    const struct wiring *w;
    struct makeup *out;
    gathering *of_box; /* by box id, terminals; emptied box by box */
    gathering of_panel;
    uint32_t *latest; /* by device id, while a joint is looked through: as `before`; else 0 */
    struct table *connectors;
    const char *sizes[MOST_SIZES]; /* that connectors hold, as their table has columns for them, the
                                      thinnest first; interned */
    int size_count;
    double sections[MOST_SIZES]; /* of these, once they were asked for */
    bool sections_known[MOST_SIZES];
    struct connector *taking; /* by row of their table; NULL until they are asked for */
};

/* --- gathering ---------------------------------------------------------------------------- */

static void gather(struct maker *k, gathering *g, const struct net *net, const struct run *feed,
                   struct lead lead)
{
    *vec_push(k->arena, g) = (struct gathered){net, feed, g->n, lead, 0};
}

static bool is_ground(const struct gathered *g)
{
    return g->lead.kind == LEAD_CONDUCTOR ? g->lead.conductor == CONDUCTOR_GROUND
                                          : g->net && g->net->sort == N_GROUND;
}

static void gather_run(struct maker *k, gathering *g, struct run *r, bool at_to)
{
    const struct run_wiring *w = &k->w->of_run[r->id];
    if (!k->out->runs[r->id].made)
        return;
    const struct map *parts = at_to ? &k->w->fed_part : &k->w->left_part;
    for (uint8_t i = 0; i < w->count; i++) {
        const struct net *net = w->conductors[i].net;
        const struct circuit *c = net ? net->circuit : r->circuit;
        gather(k, g, net, map_get(parts, (uintptr_t)r, (uintptr_t)c),
               (struct lead){.kind = LEAD_CONDUCTOR,
                             .run = r,
                             .conductor = i,
                             .at_to = at_to,
                             .reidentified = w->conductors[i].reidentified});
    }
    if (k->out->runs[r->id].ground)
        gather(
            k, g, NULL, NULL,
            (struct lead){
                .kind = LEAD_CONDUCTOR, .run = r, .conductor = CONDUCTOR_GROUND, .at_to = at_to});
}

/* The existing circuit as it comes in a box that carries it already. */
static void gather_supply(struct maker *k, gathering *g, const struct box *b)
{
    struct map seen = {0};
    for (uint32_t i = 0; i < g->n; i++) {
        const struct net *n = g->at[i].net;
        if (!n || n->circuit->root != b || n->beyond || (n->sort != N_LINE && n->sort != N_NEUTRAL))
            continue;
        void **at = map_at(k->arena, &seen, (uintptr_t)n, 1);
        if (*at)
            continue;
        *at = k;
        gather(k, g, n, g->at[i].feed,
               (struct lead){.kind = n->sort == N_LINE ? LEAD_LINE : LEAD_NEUTRAL_BAR,
                             .circuit = n->circuit,
                             .pole = n->pole});
        void **ground = map_at(k->arena, &seen, (uintptr_t)n->circuit, 2);
        if (!*ground)
            gather(k, g, NULL, NULL, (struct lead){.kind = LEAD_GROUND_BAR, .circuit = n->circuit});
        *ground = k;
    }
}

/* --- joints ------------------------------------------------------------------------------- */

static bool ground_lead(const struct gathered *g)
{
    return is_ground(g) || g->lead.kind == LEAD_BOX || g->lead.kind == LEAD_GROUND_BAR;
}

static int by_joint(const void *a, const void *b)
{
    const struct gathered *x = a, *y = b;
    bool gx = ground_lead(x), gy = ground_lead(y);
    if (gx != gy)
        return gx ? 1 : -1;
    if (!gx) {
        uint32_t nx = x->net ? x->net->id : UINT32_MAX, ny = y->net ? y->net->id : UINT32_MAX;
        if (nx != ny)
            return nx < ny ? -1 : 1;
        uint32_t fx = x->feed ? x->feed->id + 1 : 0, fy = y->feed ? y->feed->id + 1 : 0;
        if (fx != fy)
            return fx < fy ? -1 : 1;
    }
    return x->order < y->order ? -1 : 1;
}

static bool together(const struct gathered *a, const struct gathered *b)
{
    if (ground_lead(a) || ground_lead(b))
        return ground_lead(a) && ground_lead(b);
    return a->net && a->net == b->net && a->feed == b->feed;
}

static bool on_yoke(const struct lead *l)
{
    return l->kind == LEAD_TERMINAL && l->part->device->def->yokes > 0;
}

/* Wires under a connector: ends and pigtails, a tab for one. */
struct wires {
    uint32_t ends, terminals, yokes, bonds;
    uint32_t raceways; /* that are the ground: no wires */
    uint32_t by_size[MOST_SIZES];
    int largest; /* index of the size */
    double area; /* kcmil */
    bool beyond; /* a wire of a size that no connector is listed for */
    bool untold; /* a wire of an old cable that the plan does not tell */
};

static int size_index(const struct maker *k, const char *size)
{
    for (int i = 0; size && i < k->size_count; i++)
        if (!strcmp(k->sizes[i], size))
            return i;
    return -1;
}

/* Whether a tab ties the terminals of two parts of one device that stand beside each other. */
static bool is_tied(const struct maker *k, const struct lead *a, const struct lead *b)
{
    return b->kind == LEAD_TERMINAL && b->part->device == a->part->device &&
           facts_tied_terminal(k->out->forms[a->part->device->id], a->part, a->terminal, b->part) ==
               b->terminal;
}

/* The halves of a receptacle, or the line sides of two switches, on one net: one wire serves both.
 */
static bool is_over_tab(const struct maker *k, const struct gathered *g, uint32_t i)
{
    for (uint32_t n = g[i].before; n; n = g[n - 1].before)
        if (is_tied(k, &g[i].lead, &g[n - 1].lead))
            return true;
    return false;
}

/* Chains the terminals of each device in a joint. */
static void chain_terminals(struct maker *k, struct gathered *g, uint32_t n)
{
    for (uint32_t i = 0; i < n; i++)
        if (g[i].lead.kind == LEAD_TERMINAL) {
            uint32_t *latest = &k->latest[g[i].lead.part->device->id];
            g[i].before = *latest;
            *latest = i + 1;
        }
    for (uint32_t i = 0; i < n; i++)
        if (g[i].lead.kind == LEAD_TERMINAL)
            k->latest[g[i].lead.part->device->id] = 0;
}

static void count_wire(struct maker *k, struct wires *w, const char *size, uint32_t n)
{
    int i = size_index(k, size);
    if (i < 0) {
        w->beyond |= n > 0;
        return;
    }
    w->by_size[i] += n;
    w->largest = i > w->largest ? i : w->largest;
    if (!k->sections_known[i])
        k->sections[i] =
            code_cell_section(&k->m->code, COL_RESISTANCE_COPPER_CIRCULAR_MILS, size, 0);
    k->sections_known[i] = true;
    w->area += n * k->sections[i];
}

static struct wires count_wires(struct maker *k, struct gathered *g, uint32_t n)
{
    struct wires w = {0};
    chain_terminals(k, g, n);
    for (uint32_t i = 0; i < n; i++) {
        const struct lead *l = &g[i].lead;
        if (l->kind == LEAD_CONDUCTOR) {
            const struct cable_def *d = k->w->of_run[l->run->id].cable;
            if (l->conductor == CONDUCTOR_GROUND && d && d->ground == GROUND_RACEWAY) {
                w.raceways++;
                continue;
            }
            w.ends++;
            if (d)
                count_wire(k, &w,
                           l->conductor == CONDUCTOR_GROUND && d->ground_size ? d->ground_size
                                                                              : d->size,
                           1);
            else
                w.untold = true;
        } else if (l->kind == LEAD_TERMINAL && is_over_tab(k, g, i)) {
            g[i].lead.over_tab = true;
        } else if (l->kind == LEAD_TERMINAL) {
            w.terminals++;
            w.yokes += on_yoke(l);
        } else {
            w.terminals++;
            w.bonds += l->kind == LEAD_BOX;
        }
    }
    count_wire(k, &w, k->sizes[w.largest],
               w.terminals); /* a pigtail is as thick as the thickest wire it meets */
    return w;
}

/* What the connectors of the library take, asked once. */
static const struct connector *connectors_of(struct maker *k)
{
    if (k->taking)
        return k->taking;
    k->taking = arena_array(k->arena, struct connector, k->connectors->rows.n + 1);
    for (uint32_t r = 0; r < k->connectors->rows.n; r++) {
        for (int i = 0; i < k->size_count; i++)
            k->taking[r].most[i] =
                code_row_count_by(&k->m->code, COL_CONNECTORS_OF, r, k->sizes[i], 0);
        k->taking[r].section = code_row_section(&k->m->code, COL_CONNECTORS_TOTAL, r, 0);
    }
    return k->taking;
}

/* The smallest connector of the library that takes the wires: of one size by their number, of
 * several by their area too. */
static const char *choose_connector(struct maker *k, const struct wires *w)
{
    uint32_t total = 0, kinds = 0;
    for (int i = 0; i < k->size_count; i++) {
        total += w->by_size[i];
        kinds += w->by_size[i] > 0;
    }
    if (!k->connectors || w->beyond || w->largest >= k->size_count)
        return NULL;
    const struct connector *takes = connectors_of(k);
    for (uint32_t r = 0; r < k->connectors->rows.n; r++) {
        double most = takes[r].most[w->largest];
        if (kinds < 2 ? total <= most : most > 0 && w->area <= takes[r].section)
            return k->connectors->rows.at[r].key;
    }
    return NULL;
}

/* Whether what comes together in a box is one conductor that goes through it. */
static bool passes(const struct maker *k, const struct box *box, const struct gathered *g,
                   uint32_t n)
{
    if (n != 2 || g[0].lead.kind != LEAD_CONDUCTOR || g[1].lead.kind != LEAD_CONDUCTOR ||
        !facts_is_passed(box))
        return false;
    return is_ground(g) ? wiring_ground_passes(k->w, box) : wiring_passes(k->w, box, g->net);
}

static void add_joint(struct maker *k, struct box *box, struct panel *panel, struct gathered *g,
                      uint32_t n)
{
    struct wires w = count_wires(k, g, n);
    if (!w.ends && w.terminals < 2 && !w.raceways && box)
        return; /* a terminal that nothing reaches: the load side of a device that protects nothing
                   else */
    struct joint *j = vec_push(k->arena, &k->out->joints);
    *j = (struct joint){.box = box, .panel = panel, .lead_count = n};
    j->net = ground_lead(g) ? "ground" : g->net ? g->net->name : "spare";
    j->leads = arena_array(k->arena, struct lead, n);
    for (uint32_t i = 0; i < n; i++)
        j->leads[i] = g[i].lead;
    if (panel)
        j->kind = JOINT_PANEL;
    else if (passes(k, box, g, n))
        j->kind = JOINT_PASS;
    else if (!w.terminals && w.ends == 1 && !w.raceways)
        j->kind = JOINT_CAP;
    else if (w.ends == 1 && w.terminals == 1 && w.yokes == 1 && !w.raceways)
        j->kind = JOINT_LANDING;
    else
        j->kind = JOINT_SPLICE;
    if (j->kind != JOINT_SPLICE)
        return;
    j->by_box = w.raceways && w.ends + w.terminals - w.bonds == 0;
    if (j->by_box)
        return;
    j->old_wire = w.untold;
    j->connector = w.untold ? NULL : choose_connector(k, &w);
    k->out->pigtail_feet += length_feet(code_length(&k->m->code, SET_CABLE_ALLOWANCES_PIGTAIL, 0)) *
                            (w.yokes + w.bonds);
}

static void add_joints(struct maker *k, struct box *box, struct panel *panel, gathering *g)
{
    if (g->n > 1)
        qsort(g->at, g->n, sizeof *g->at, by_joint);
    for (uint32_t i = 0, n; i < g->n; i += n) {
        for (n = 1; i + n < g->n && together(&g->at[i], &g->at[i + n]); n++)
            ;
        add_joint(k, box, panel, &g->at[i], n);
    }
}

static void make_box(struct maker *k, struct box *b)
{
    gathering *g = &k->of_box[b->id];
    for (uint32_t i = 0; i < b->runs.n; i++) {
        struct run *r = b->runs.at[i];
        gather_run(k, g, r, r->to.box == b);
    }
    gather_supply(k, g, b);
    const struct box_type *type = k->w->of_box[b->id].type;
    k->out->metal[b->id] = type && type->metal;
    bool bonded = facts_is_passed(b) && wiring_ground_passes(k->w, b);
    if (type && type->metal && g->n && !bonded)
        gather(k, g, NULL, NULL, (struct lead){.kind = LEAD_BOX});
    add_joints(k, b, NULL, g);
}

/* --- panels ------------------------------------------------------------------------------- */

static struct lead bus_lead(const struct gathered *g, const struct run *r)
{
    struct circuit *c = g->net ? g->net->circuit : r->circuit;
    bool ground = is_ground(g);
    return (struct lead){.kind = ground                      ? LEAD_GROUND_BAR
                                 : g->net->sort == N_NEUTRAL ? LEAD_NEUTRAL_BAR
                                                             : LEAD_LINE,
                         .circuit = c,
                         .pole = g->net ? g->net->pole : 0};
}

/* Every conductor on its breaker or bar; a feeder's far end lies on the lugs of the panel it feeds.
 */
static void make_panel_end(struct maker *k, struct panel *p, struct run *r, bool at_to)
{
    gathering g = {0};
    gather_run(k, &g, r, at_to);
    for (uint32_t i = 0; i < g.n; i++) {
        struct gathered pair[2] = {g.at[i], g.at[i]};
        bool live =
            is_ground(&g.at[i]) ||
            (g.at[i].net && (g.at[i].net->sort == N_LINE || g.at[i].net->sort == N_NEUTRAL));
        bool fed = r->circuit->feeds == p;
        if (live && !fed)
            pair[1].lead = bus_lead(&g.at[i], r);
        add_joint(k, NULL, p, pair, live && !fed ? 2 : 1);
    }
}

static void make_panels(struct maker *k)
{
    for (uint32_t i = 0; i < k->m->runs.n; i++) {
        struct run *r = k->m->runs.at[i];
        if (r->from.panel)
            make_panel_end(k, r->from.panel, r, false);
        if (r->to.panel)
            make_panel_end(k, r->to.panel, r, true);
    }
}

/* --- tabs --------------------------------------------------------------------------------- */

/* The joint that each terminal lies in, 1 + its place, by (part, terminal). */
static void index_terminals(struct maker *k, struct map *joint_of)
{
    for (uint32_t j = 0; j < k->out->joints.n; j++)
        for (uint32_t i = 0; i < k->out->joints.at[j].lead_count; i++) {
            const struct lead *l = &k->out->joints.at[j].leads[i];
            if (l->kind == LEAD_TERMINAL)
                map_put(k->arena, joint_of, (uintptr_t)l->part, l->terminal,
                        (void *)(uintptr_t)(j + 1));
        }
}

/* A tab between two terminals stays where they lie in one joint, and where one of them is free. */
static void make_tab(struct maker *k, const struct map *joint_of, struct part *a, uint8_t terminal,
                     struct part *b)
{
    uint8_t to = facts_tied_terminal(k->out->forms[a->device->id], a, terminal, b);
    if (to == NO_TERMINAL)
        return;
    const void *one = map_get(joint_of, (uintptr_t)a, terminal),
               *other = map_get(joint_of, (uintptr_t)b, to);
    *vec_push(k->arena, &k->out->tabs) =
        (struct made_tab){a, b, terminal, to, one && other && one != other};
}

static void make_tabs(struct maker *k)
{
    struct map joint_of = {0};
    index_terminals(k, &joint_of);
    k->out->first_tab = arena_array(k->arena, uint32_t, k->m->devices.n + 1);
    for (uint32_t i = 0; i < k->m->devices.n; i++) {
        struct device *d = k->m->devices.at[i];
        k->out->first_tab[i] = k->out->tabs.n;
        for (uint32_t a = 0; k->out->forms[i] && a < d->part_count; a++)
            for (uint32_t b = a + 1; b < d->part_count; b++)
                for (uint8_t t = 0; d->parts[a].def && t < d->parts[a].def->own_count; t++)
                    make_tab(k, &joint_of, &d->parts[a], t, &d->parts[b]);
    }
    k->out->first_tab[k->m->devices.n] = k->out->tabs.n;
}

/* --- all of it ---------------------------------------------------------------------------- */

/* Whether a terminal that several parts of a device share has been gathered on this net; that it
 * lies on two is noted. */
static bool is_gathered(struct maker *k, struct map *seen, const struct terminal_net *t)
{
    const struct device *d = t->part->device;
    uint8_t shared = k->w->forms[d->id][t->part - d->parts].body->terminals[t->terminal].shared;
    if (!shared)
        return false;
    bool ground = t->net->sort == N_GROUND;
    uintptr_t terminal = ((uintptr_t)d->id << 8) + shared;
    void **first = map_at(k->arena, seen, 1, terminal);
    k->out->torn[d->id] |= *first && !ground && *first != t->net;
    *first = *first ? *first : (void *)t->net;
    void **at = map_at(k->arena, seen, ground ? 2 : (uintptr_t)t->net, terminal);
    bool before = *at;
    *at = k;
    return before;
}

static void gather_terminals(struct maker *k)
{
    struct map seen = {0};
    for (uint32_t i = 0; i < k->w->terminals.n; i++) {
        const struct terminal_net *t = &k->w->terminals.at[i];
        if (!is_gathered(k, &seen, t))
            gather(k, &k->of_box[t->part->device->box->id], t->net,
                   t->net->sort == N_GROUND ? NULL : t->feed,
                   (struct lead){.kind = LEAD_TERMINAL, .part = t->part, .terminal = t->terminal});
    }
}

static struct made_run made_of(const struct run_wiring *w, const struct run *r)
{
    bool untold = !w->cable && w->conductors,
         ground = untold || (w->cable && w->cable->ground != GROUND_NONE);
    return (struct made_run){.cable = w->cable,
                             .colors = w->cable ? w->cable->colors : NULL,
                             .count = w->conductors ? w->count : 0,
                             .ground = ground,
                             .made =
                                 r->circuit && ground && w->conductors && (w->used || !w->needed)};
}

struct makeup *wiring_make_up(struct arena *arena, struct model *m, const struct wiring *w)
{
    struct makeup *out = arena_new(arena, struct makeup);
    struct maker k = {.arena = arena, .m = m, .w = w, .out = out};
    k.connectors = code_table(&m->code, TABLE_CONNECTORS);
    k.size_count = (int)code_sizes(&m->code, COL_CONNECTORS_OF, k.sizes, MOST_SIZES);
    k.of_box = arena_array(arena, gathering, m->boxes.n);
    k.latest = arena_array(arena, uint32_t, m->devices.n + 1);
    out->runs = arena_array(arena, struct made_run, m->runs.n);
    out->forms = w->forms;
    out->through_panel = w->through_panel;
    out->torn = arena_array(arena, bool, m->devices.n);
    out->misfits = arena_array(arena, const struct part *, m->legs.n);
    for (uint32_t i = 0; i < m->legs.n; i++)
        out->misfits[i] = w->of_leg[i].misfit;
    for (uint32_t i = 0; i < m->runs.n; i++) {
        out->runs[i] = made_of(&w->of_run[i], m->runs.at[i]);
    }
    gather_terminals(&k);
    out->first_of_box = arena_array(arena, uint32_t, m->boxes.n + 1);
    out->metal = arena_array(arena, bool, m->boxes.n + 1);
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        out->first_of_box[i] = out->joints.n;
        make_box(&k, m->boxes.at[i]);
    }
    out->first_of_box[m->boxes.n] = out->joints.n;
    make_panels(&k);
    make_tabs(&k);
    return out;
}

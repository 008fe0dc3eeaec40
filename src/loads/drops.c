/* Voltage drop along the cables of a circuit.
 *
 * A circuit is walked from its source box by box. Parallel runs between the same two boxes count as
 * one, the first by its label: each carries less than all of it, so that the drop is never
 * understated. */
#include "loads/drops.h"

#include "facts/existing.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "model/address.h"
#include "wiring/wiring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A box or panel of the circuit that is walked. */
struct spot {
    uint32_t stamp;        /* of the walk it belongs to */
    uint32_t links;        /* its first link, index + 1 */
    uint32_t parent;       /* vertex */
    const struct run *run; /* that feeds it; NULL at the source */
    bool reached, known;   /* known: lengths and cables from the source to here are */
    bool outlet;           /* a receptacle that anything may be plugged into */
    double own[2];         /* A of its parts, line a and line b */
    double beyond[2];      /* with all that is fed through it */
    double feet, ohm;      /* one way; there and back */
    double lost[2];        /* V on each line with its share of the neutral; between the lines: both
                              together */
};

struct link {
    const struct run *run;
    uint32_t to, next;
};

struct walker {
    struct arena *arena;
    struct model *m;
    const struct routes *routes;
    const struct wiring *wiring;
    const struct panels *panels; /* NULL before the wiring */
    const struct circuit_load *load;
    struct spot *spots; /* boxes by id, then panels by id */
    VEC(struct link) links;
    VEC(uint32_t) order; /* vertices reached, the source first */
    uint32_t stamp;
    const char
        *assumed; /* without wiring: the size of the copper cables that the plan leaves open */
    double (*lines)[2];  /* by panel id: A on its line A and line B */
    double (*feeder)[2]; /* by panel id: what each line of it has lost on the way to it, as a
                            fraction, with its share of the neutral */
    double design_share;
};

double drop_circuit_volts(const struct model *m, const struct circuit *c)
{
    return c->feeds || (c->two_pole && !c->multiwire) ? m->line_volts : m->volts;
}

/* A feeder's lines are reckoned each for itself, as those of a multiwire circuit. */
static bool between_lines(const struct model *m, const struct circuit *c)
{
    return !c->feeds && drop_circuit_volts(m, c) > m->volts;
}

static struct spot *touch(struct walker *w, uint32_t vertex)
{
    struct spot *s = &w->spots[vertex];
    if (s->stamp != w->stamp)
        *s = (struct spot){.stamp = w->stamp};
    return s;
}

static uint32_t panel_vertex(const struct walker *w, const struct panel *p)
{
    return w->m->boxes.n + p->id;
}

static uint32_t end_vertex(const struct walker *w, struct end e)
{
    return e.box ? e.box->id : panel_vertex(w, e.panel);
}

static void join(struct walker *w, uint32_t from, uint32_t to, const struct run *run)
{
    struct spot *s = touch(w, from);
    *vec_push(w->arena, &w->links) = (struct link){run, to, s->links};
    s->links = w->links.n;
}

/* Links in reverse, so that each box has its runs in source order. */
static void join_runs(struct walker *w, const struct circuit *c)
{
    w->links.n = 0;
    for (uint32_t i = c->runs.n; i-- > 0;) {
        const struct run *run = c->runs.at[i];
        if ((!run->from.box && !run->from.panel) || (!run->to.box && !run->to.panel))
            continue;
        uint32_t from = end_vertex(w, run->from), to = end_vertex(w, run->to);
        join(w, from, to, run);
        join(w, to, from, run);
    }
}

/* A receptacle for whatever is plugged in: what the plan writes on a duplex one is in half of it.
 */
static bool is_open_receptacle(const struct part *part)
{
    const struct device_def *def = part->device->def;
    return def && def->sort == SORT_RECEPTACLE && !def->two_line &&
           (def->outlets > 1 || (def->outlets && !part->load_written && part->load <= 0));
}

static void place_loads(struct walker *w, const struct circuit *c, uint32_t source)
{
    for (uint32_t i = 0; i < c->parts.n; i++) {
        const struct part *part = c->parts.at[i];
        struct spot *s = touch(w, part->device->box->id);
        s->outlet = s->outlet || is_open_receptacle(part);
        if (part->load <= 0 || part->volts <= 0)
            continue;
        bool both = part_on_both_lines(w->m, part);
        for (int line = 0; line < 2; line++)
            if (both || line == (part->pole == 'b'))
                s->own[line] += part->load / part->volts;
    }
    if (c->feeds) {
        struct spot *s = touch(w, panel_vertex(w, c->feeds));
        memcpy(s->own, w->lines[c->feeds->id], sizeof s->own);
    }
    /* what the circuit carries already hangs where the new work begins */
    if (c->existing_load > 0)
        for (int line = 0; line < (drop_circuit_volts(w->m, c) > w->m->volts ? 2 : 1); line++)
            touch(w, source)->own[line] += c->existing_load / drop_circuit_volts(w->m, c);
}

/* Of parallel runs the one that counts: by its label, then its cable, so that it does not hang on
 * the order of the statements. */
static bool counts_before(const struct run *a, const struct run *b)
{
    const char *x = a->label ? a->label : "", *y = b->label ? b->label : "";
    int order = strcmp(x, y);
    if (!order && a->declared && b->declared)
        order = strcmp(a->declared->name, b->declared->name);
    return order < 0;
}

/* Visits what hangs together with the source, then adds up what flows through each box. */
static void spread(struct walker *w, uint32_t source)
{
    w->order.n = 0;
    *vec_push(w->arena, &w->order) = source;
    touch(w, source)->reached = true;
    for (uint32_t i = 0; i < w->order.n; i++) {
        uint32_t at = w->order.at[i];
        for (uint32_t l = w->spots[at].links; l; l = w->links.at[l - 1].next) {
            struct spot *s = touch(w, w->links.at[l - 1].to);
            const struct run *run = w->links.at[l - 1].run;
            if (s->reached && s->parent == at && s->run && counts_before(run, s->run))
                s->run = run;
            if (s->reached)
                continue;
            s->reached = true;
            s->parent = at;
            s->run = run;
            *vec_push(w->arena, &w->order) = w->links.at[l - 1].to;
        }
    }
    for (uint32_t i = w->order.n; i-- > 0;) {
        struct spot *s = &w->spots[w->order.at[i]];
        for (int line = 0; line < 2; line++) {
            s->beyond[line] += s->own[line];
            if (s->run)
                w->spots[s->parent].beyond[line] += s->beyond[line];
        }
    }
}

/* Adds what is lost in a conductor's resistance by the currents of both lines. Between lines it is
 * what line a and line b lose; from a line to the neutral it is what the line loses and the
 * neutral, which carries the difference. */
static void lose(struct spot *s, double ohm, const double amps[2], bool lines)
{
    if (lines) {
        s->lost[0] += ohm * (amps[0] + amps[1]);
        s->lost[1] = s->lost[0];
    } else {
        s->lost[0] += ohm * (2 * amps[0] - amps[1]);
        s->lost[1] += ohm * (2 * amps[1] - amps[0]);
    }
    s->ohm += 2 * ohm;
}

/* The cable between the panel and the old box where new work begins. Old wires are taken for
 * copper. */
static void start(struct walker *w, const struct circuit *c, uint32_t source)
{
    struct spot *s = &w->spots[source];
    s->known = true;
    if (c->upstream <= 0 || !c->upstream_size)
        return;
    double per_1000 = resistance_of_size(w->m, COPPER, c->upstream_size);
    s->known = per_1000 > 0;
    s->feet = length_feet(c->upstream);
    lose(s, per_1000 * s->feet / 1000, s->beyond, between_lines(w->m, c));
}

/* Ohm of one conductor of a run; negative where its length or its cable is not known. */
static double run_ohm(const struct walker *w, const struct run *run)
{
    const struct route *route = &w->routes->of_run[run->id];
    const struct cable_def *cable = w->wiring       ? w->wiring->of_run[run->id].cable
                                    : run->declared ? run->declared
                                                    : run->single;
    if (facts_cable_untold(run))
        return -1;
    double per_1000 =
        cable ? resistance_of_cable(w->m, cable) : resistance_of_size(w->m, COPPER, w->assumed);
    return route->known && per_1000 > 0 ? per_1000 * length_feet(route->electrical) / 1000 : -1;
}

/* Walks a circuit; the spots of w->order hold what is lost on the way to each box. False where it
 * has no source or is no tree. */
static bool walk(struct walker *w, const struct circuit *c)
{
    w->order.n = 0;
    if (!c->is_tree || (!c->root && !c->panel))
        return false;
    w->stamp++;
    uint32_t source = c->root ? c->root->id : panel_vertex(w, c->panel);
    join_runs(w, c);
    place_loads(w, c, source);
    spread(w, source);
    start(w, c, source);
    for (uint32_t i = 1; i < w->order.n; i++) {
        struct spot *s = &w->spots[w->order.at[i]];
        const struct spot *parent = &w->spots[s->parent];
        double ohm = run_ohm(w, s->run);
        s->known = parent->known && ohm >= 0;
        s->feet = parent->feet + length_feet(w->routes->of_run[s->run->id].electrical);
        s->ohm = parent->ohm;
        memcpy(s->lost, parent->lost, sizeof s->lost);
        lose(s, ohm, s->beyond, between_lines(w->m, c));
    }
    return true;
}

/* What is lost at a box: on the line that its own loads use, else on the worse one. */
static double lost_at(const struct spot *s)
{
    if (s->own[0] > 0 && s->own[1] <= 0)
        return s->lost[0];
    if (s->own[1] > 0 && s->own[0] <= 0)
        return s->lost[1];
    return s->lost[0] > s->lost[1] ? s->lost[0] : s->lost[1];
}

/* What the feeder has lost on the lines that a circuit stands on: on both where it stands between
 * them, on the worse one where the plan does not say its space or it has both. */
static double lost_in_feeder(const struct walker *w, const struct circuit *c)
{
    const double *lost = w->feeder[c->panel->id];
    if (between_lines(w->m, c))
        return (lost[0] + lost[1]) / 2;
    if (c->space && !c->multiwire)
        return lost[space_line(c->space)];
    return lost[0] > lost[1] ? lost[0] : lost[1];
}

static struct drop drop_at(const struct walker *w, struct circuit *c, const struct spot *s,
                           struct box *box)
{
    double volts = between_lines(w->m, c) ? w->m->line_volts : w->m->volts;
    struct drop d = {
        .circuit = c,
        .box = box,
        .feet = s->feet,
        .amps = s->beyond[0] > s->beyond[1] ? s->beyond[0] : s->beyond[1],
        .volts = lost_at(s),
        .feeder_percent = c->panel ? 100 * lost_in_feeder(w, c) : 0,
    };
    d.percent = 100 * d.volts / volts;
    d.design_percent = s->outlet && c->breaker > 0
                           ? 100 * s->ohm * w->design_share * c->breaker / volts
                           : d.percent;
    d.total_percent = d.feeder_percent + d.percent;
    return d;
}

static double severity_of(const struct drop *d)
{
    return d->percent > d->design_percent ? d->percent : d->design_percent;
}

/* The drop at the i-th vertex of a circuit that was walked; false where it is no box, or what leads
 * to it is not known. */
static bool drop_of(const struct walker *w, struct circuit *c, uint32_t i, struct drop *d)
{
    uint32_t vertex = w->order.at[i];
    const struct spot *s = &w->spots[vertex];
    if (vertex >= w->m->boxes.n || !s->known)
        return false;
    *d = drop_at(w, c, s, w->m->boxes.at[vertex]);
    return true;
}

/* Of two that lose as much the first by name, whatever the order of the text. */
static bool is_worse(struct arena *arena, const struct drop *a, const struct drop *b)
{
    double more = severity_of(a) - severity_of(b);
    return fabs(more) > 1e-9 ? more > 0
                             : strcmp(address_of_box(arena, a->box, false),
                                      address_of_box(arena, b->box, false)) < 0;
}

/* Records a circuit that was walked; the index of its worst drop + 1, or 0. */
static uint32_t record(struct walker *w, struct circuit *c, struct arena *arena,
                       struct loads *loads)
{
    uint32_t worst = 0;
    for (uint32_t i = 0; i < w->order.n; i++) {
        struct drop d;
        if (!drop_of(w, c, i, &d))
            continue;
        *vec_push(arena, &loads->drops) = d;
        if (!worst || is_worse(arena, &d, &loads->drops.at[worst - 1]))
            worst = loads->drops.n;
    }
    return worst;
}

/* Whether line A of a panel that is fed hangs on line B of the one before it. */
static bool is_crossed(const struct circuit *feeder)
{
    return feeder->space && space_line(feeder->space);
}

/* A on each line of the panels, from the last one up. What has no space counts half on each. */
static void find_lines(struct walker *w, const panel_list *order)
{
    for (uint32_t i = order->n; i-- > 0;) {
        const struct panel *p = order->at[i];
        double *lines = w->lines[p->id];
        for (uint32_t k = 0; k < p->circuits.n; k++) {
            const struct circuit *c = p->circuits.at[k];
            const struct circuit_space *s = &w->panels->of_circuit[c->id];
            double half = s->space ? 0 : w->load[c->id].va / 2;
            for (unsigned line = 0; line < 2; line++)
                lines[line] += c->feeds ? w->lines[c->feeds->id][line ^ is_crossed(c)]
                                        : (half + s->line_va[line]) / w->m->volts;
        }
    }
}

/* What feeders lose on the way to each panel, from the service on. */
static void find_feeders(struct walker *w, const panel_list *order)
{
    for (uint32_t i = 0; i < order->n; i++) {
        const struct panel *p = order->at[i];
        if (!p->feeder || !p->feeder->panel || !walk(w, p->feeder))
            continue;
        const struct spot *s = &w->spots[panel_vertex(w, p)];
        const double *before = w->feeder[p->feeder->panel->id];
        for (unsigned line = 0; line < 2 && s->stamp == w->stamp && s->reached && s->known; line++)
            w->feeder[p->id][line] =
                s->lost[line] / w->m->volts + before[line ^ is_crossed(p->feeder)];
    }
}

/* --- enlarged for a target ---------------------------------------------------------------- */

/* The worst box of a circuit, in per cent; 0 where nothing is known. */
static double worst_percent(struct walker *w, struct circuit *c)
{
    double worst = 0;
    if (!walk(w, c))
        return 0;
    for (uint32_t i = 0; i < w->order.n; i++) {
        struct drop d;
        if (drop_of(w, c, i, &d) && severity_of(&d) > worst)
            worst = severity_of(&d);
    }
    return worst;
}

static bool leaves_a_cable_open(const struct circuit *c)
{
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (!c->runs.at[i]->declared && !c->runs.at[i]->single && !c->runs.at[i]->existing)
            return true;
    return false;
}

static int thinnest_first(const void *a, const void *b)
{
    int x = library_gauge_of(*(const char *const *)a),
        y = library_gauge_of(*(const char *const *)b);
    return (x < y) - (x > y);
}

/* The sizes that have a resistance, in an array that ends with NULL. */
static const char **copper_sizes(struct arena *arena, struct model *m)
{
    const struct table *t = code_table(&m->code, TABLE_RESISTANCE_COPPER);
    uint32_t n = 0, most = t ? t->rows.n : 0;
    const char **sizes = arena_array(arena, const char *, most + 1);
    for (uint32_t i = 0; i < most; i++)
        if (resistance_of_size(m, COPPER, t->rows.at[i].key) > 0)
            sizes[n++] = t->rows.at[i].key;
    qsort(sizes, n, sizeof *sizes, thinnest_first);
    return sizes;
}

static void make_room(struct walker *w)
{
    struct model *m = w->m;
    w->spots = arena_array(w->arena, struct spot, m->boxes.n + m->panels.n + 1);
    w->lines = (double(*)[2])arena_array(w->arena, double, 2 * (m->panels.n + 1));
    w->feeder = (double(*)[2])arena_array(w->arena, double, 2 * (m->panels.n + 1));
    w->design_share = code_share(&m->code, SET_VOLTAGE_DROP_DESIGN_LOAD, 0);
}

int *drop_gauges(struct arena *arena, struct model *m, const struct routes *routes)
{
    struct walker w = {.arena = arena, .m = m, .routes = routes};
    int *gauges = arena_array(arena, int, m->circuits.n + 1);
    const char **sizes = NULL;
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        struct circuit *c = m->circuits.at[i];
        gauges[i] = ANY_GAUGE;
        if (c->drop_target <= 0 || !facts_known(c, ITS_TEXT) || !leaves_a_cable_open(c))
            continue;
        if (!sizes) {
            sizes = copper_sizes(arena, m);
            make_room(&w);
        }
        double worst = INFINITY;
        for (uint32_t k = 0; sizes[k] && worst > 100 * c->drop_target; k++) {
            w.assumed = sizes[k];
            worst = worst_percent(&w, c);
            gauges[i] = library_gauge_of(sizes[k]);
        }
    }
    return gauges;
}

void loads_find_drops(struct arena *arena, struct model *m, const struct routes *routes,
                      const struct wiring *wiring, const struct panels *panels, struct loads *loads)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct walker w = {.arena = &scratch,
                       .m = m,
                       .routes = routes,
                       .wiring = wiring,
                       .panels = panels,
                       .load = loads->of_circuit};
    vec_reserve(arena, &loads->drops, m->runs.n); /* each cable ends in one box */
    make_room(&w);
    panel_list order = loads_panels_from_service(&scratch, m);
    find_lines(&w, &order);
    find_feeders(&w, &order);
    uint32_t *worst = arena_array(&scratch, uint32_t, m->circuits.n + 1);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (walk(&w, m->circuits.at[i]))
            worst[i] = record(&w, m->circuits.at[i], arena, loads);
    loads->worst = arena_array(arena, struct drop *, m->circuits.n + 1);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        loads->worst[i] = worst[i] ? &loads->drops.at[worst[i] - 1] : NULL;
    arena_free(&scratch);
}

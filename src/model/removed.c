/* What goes: the word on a panel carries to its circuits, from circuits to their runs, and from
 * runs to the boxes that they alone reach. All of it leaves the model's lists, so that nothing
 * later counts, cuts, feeds or judges it; what is done with it is told from the list of what is
 * gone. */
#include "model/build.h"

#include <string.h>

RULE(removed_but_used, "removed-but-used", ERROR, WAIVABLE,
     "nothing that is new or stays hangs on a thing that goes");

/* --- what goes with what ------------------------------------------------------------------ */

static bool says_no(const struct node *n, enum form_id form)
{
    const struct node *c = clause(n, form);
    return c && c->no;
}

static void say_used(struct builder *b, struct span span, const struct unit *unit,
                     const char *subject, const char *what, const char *on, const char *mend)
{
    struct finding *f = model_finding(b->m, &rule_removed_but_used, span, unit, subject,
                                      "%s hangs on %s, which goes", what, on);
    diag_mend(b->diag, f, "%s", mend);
}

static const char *circuit_words(struct builder *b, const struct circuit *c)
{
    return arena_printf(b->arena, "circuit %s", address_called_as_written(b->arena, c, true));
}

/* The old circuits of a panel go with it. */
static void spread_to_circuit(struct builder *b, struct circuit *c)
{
    if (!c->panel || !c->panel->goes || c->goes)
        return;
    if (c->existing && !c->feeds && !says_no(c->node, F_REMOVE)) {
        c->goes = true;
        return;
    }
    const char *what =
        c->feeds ? arena_printf(b->arena, "panel %s", address_of_panel(b->arena, c->feeds, true))
                 : circuit_words(b, c);
    say_used(b, node_name_span(c->feeds ? c->feeds->node : c->node), c->unit,
             address_of_circuit(b->arena, c, false), what,
             arena_printf(b->arena, "panel %s", address_of_panel(b->arena, c->panel, true)),
             "begin it at a panel that stays");
    c->in_doubt |= ITS_TEXT;
}

/* Whether what could not be read in a unit may be what would mend it. */
static bool is_doubtful(struct builder *b, const struct unit *unit, unsigned matter)
{
    const struct scope *s = map_get(&b->scope_of, (uintptr_t)unit, 1);
    return s && s->in_doubt & matter;
}

static bool is_well_read(const struct run *r)
{
    return run_is_whole(r) && !(r->from.box && r->from.box->in_doubt) &&
           !(r->to.box && r->to.box->in_doubt);
}

static void say_run_used(struct builder *b, struct run *r, const char *on)
{
    if (!is_well_read(r) || (r->circuit && r->circuit->in_doubt & ITS_TEXT))
        return;
    say_used(b, node_span(r->node), r->circuit ? r->circuit->unit : NULL,
             address_of_run(b->arena, r, false),
             arena_printf(b->arena, "the new run %s", address_of_run(b->arena, r, true)), on,
             "lead it from what stays, or leave out 'remove'");
}

static bool is_new(const struct run *r)
{
    return !r->existing && !r->goes;
}

/* The runs of a circuit that goes, save those that say otherwise; a cable that carries another
 * circuit too is that one's now. */
static void spread_to_runs(struct builder *b, struct circuit *c)
{
    for (uint32_t i = 0; c->goes && i < c->runs.n; i++) {
        struct run *r = c->runs.at[i];
        const struct node *word = clause(r->node, F_EXISTING);
        bool new_work = word && word->no;
        if (r->circuit != c || r->goes || says_no(r->node, F_REMOVE_RUN))
            continue;
        for (uint32_t k = 0; k < r->also.n && r->circuit == c; k++)
            if (!r->also.at[k]->goes)
                r->circuit = r->also.at[k];
        if (r->circuit != c)
            continue;
        if (new_work)
            say_run_used(b, r, circuit_words(b, c));
        r->existing |= !new_work;
        r->goes = true;
    }
}

/* --- boxes -------------------------------------------------------------------------------- */

/* How the cables of a box fare. */
struct ends {
    uint32_t stay, go, abandoned;
    struct run *staying, *left; /* one that stays, a new one if there is one; an abandoned one */
    bool said;                  /* one of those that go is new work, and that was said */
};

static void count_ends(struct ends *e, struct run *const *runs, uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        struct run *r = runs[i];
        e->stay += !r->goes;
        e->go += r->goes;
        e->abandoned += r->abandoned;
        if (!r->goes && (!e->staying || is_new(r)))
            e->staying = r;
        e->said |= r->goes && !r->existing;
        e->left = e->left || !r->abandoned ? e->left : r;
    }
}

static struct ends ends_of(const struct box *x)
{
    struct ends e = {0};
    count_ends(&e, x->runs.at, x->runs.n);
    count_ends(&e, x->low_voltage.at, x->low_voltage.n);
    return e;
}

static const struct device *new_device_in(const struct box *x)
{
    for (uint32_t i = 0; i < x->device_count; i++)
        if (!x->devices[i]->existing)
            return x->devices[i];
    return NULL;
}

static void say_device_used(struct builder *b, const struct device *d, const char *on)
{
    if (d->box->in_doubt)
        return;
    say_used(b, node_span(d->node), d->box->room->unit, address_of_box(b->arena, d->box, false),
             arena_printf(b->arena, "the new %s in %s", d->def->name,
                          address_of_box(b->arena, d->box, true)),
             on, "hang it on what stays, or leave out 'remove'");
    d->box->in_doubt |= ITS_TEXT;
}

static const char *runs_words(struct builder *b, const struct box *x)
{
    const struct run *r = x->runs.n ? x->runs.at[0] : x->low_voltage.at[0];
    return arena_printf(b->arena, "run %s", address_of_run(b->arena, r, true));
}

/* A box that goes, and what of the plan would stay without it. */
static void check_going(struct builder *b, struct box *x, const struct ends *e)
{
    const struct device *fresh = new_device_in(x);
    const char *box = arena_printf(b->arena, "box %s", address_of_box(b->arena, x, true));
    if (fresh)
        say_device_used(b, fresh, box);
    else if (e->staying && is_new(e->staying))
        say_run_used(b, e->staying, box);
    else
        x->buried = e->staying ? e->staying : e->left;
    for (uint32_t i = 0; i < x->runs.n && e->stay; i++)
        if (x->runs.at[i]->circuit && !x->runs.at[i]->goes)
            x->runs.at[i]->circuit->in_doubt |= ITS_TEXT;
}

/* Whether a box that only cables reach which go, goes too; one that holds cables of which the plan
 * knows the number alone stays, and so does one in which an abandoned cable ends. */
static bool goes_with_runs(const struct box *x, const struct ends *e)
{
    return !e->abandoned && !x->held.n && !x->cover;
}

static void settle_devices(struct box *x, bool all)
{
    uint32_t stay = 0;
    for (uint32_t i = 0; i < x->device_count; i++) {
        x->devices[i]->goes |= all && x->devices[i]->existing;
        stay += !x->devices[i]->goes;
        x->loses |= x->devices[i]->goes;
        x->bared_gangs +=
            x->devices[i]->goes && x->devices[i]->def->yokes ? x->devices[i]->def->gangs : 0;
    }
    x->bared = x->device_count && !stay;
    if (x->bared && !x->cover)
        x->cover = "blank";
}

static void settle_box(struct builder *b, struct box *x)
{
    struct ends e = ends_of(x);
    bool written = x->goes, dead = e.go && !e.stay && !says_no(x->node, F_REMOVE);
    const struct device *fresh = new_device_in(x);
    if (dead && !written && (fresh || !x->existing)) {
        bool doubtful = x->in_doubt || is_doubtful(b, x->room->unit, ITS_FEED);
        if (fresh && !e.said && !doubtful)
            say_device_used(b, fresh, runs_words(b, x));
        else if (!e.said && !doubtful)
            say_used(b, node_name_span(x->node), x->room->unit, address_of_box(b->arena, x, false),
                     arena_printf(b->arena, "box %s", address_of_box(b->arena, x, true)),
                     runs_words(b, x), "lead a cable to it that stays, or leave out 'remove'");
        x->in_doubt |= ITS_TEXT;
        dead = false;
    }
    x->goes = written ? !x->cover : dead && goes_with_runs(x, &e);
    x->loses = e.go > 0;
    if (x->goes)
        check_going(b, x, &e);
    settle_devices(x, x->goes || written || dead);
}

/* A device that says that a circuit feeds it which goes. */
static void settle_fed_devices(struct builder *b, struct circuit *c)
{
    for (uint32_t i = 0; c->goes && i < c->runs.n; i++) {
        const struct box *ends[2] = {c->runs.at[i]->from.box, c->runs.at[i]->to.box};
        for (int k = 0; k < 2; k++)
            for (uint32_t n = 0; ends[k] && n < ends[k]->device_count; n++) {
                struct device *d = ends[k]->devices[n];
                const struct value *v = node_value(clause(d->node, F_DEV_CIRCUIT), 0);
                const char *name = v && v->kind == V_REF ? v->ref->part[v->ref->count - 1]
                                   : v                   ? node_ref_text(b->arena, v)
                                                         : NULL;
                if (!name || strcmp(name, c->name) || d->goes || ends[k]->in_doubt)
                    continue;
                if (d->existing)
                    d->goes = true;
                else
                    say_device_used(b, d, circuit_words(b, c));
            }
    }
}

/* --- what is left without a feed ---------------------------------------------------------- */

struct reached {
    struct map boxes; /* (box, 1) -> itself */
    VEC(const struct box *) queue;
};

static void reach(struct builder *b, struct reached *s, const struct box *x)
{
    void **at = x ? map_at(b->arena, &s->boxes, (uintptr_t)x, 1) : NULL;
    if (!at || *at)
        return;
    *at = (void *)x;
    *vec_push(b->arena, &s->queue) = x;
}

static bool carries(const struct run *r, const struct circuit *c)
{
    if (r->circuit == c)
        return true;
    for (uint32_t i = 0; i < r->also.n; i++)
        if (r->also.at[i] == c)
            return true;
    return false;
}

/* Where the circuit comes from as it is now: its panel, else an old box that no run is written to,
 * as the tree has it. */
static void reach_roots(struct builder *b, struct reached *s, const struct circuit *c)
{
    bool panel = false;
    for (uint32_t i = 0; i < c->runs.n; i++)
        panel |= c->runs.at[i]->from.panel || c->runs.at[i]->to.panel;
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *r = c->runs.at[i];
        if (panel && !r->goes && (r->from.panel || r->to.panel))
            reach(b, s, r->from.panel ? r->to.box : r->from.box);
    }
    struct map ends = {0};
    for (uint32_t i = 0; i < c->runs.n && !panel; i++)
        map_put(b->arena, &ends, (uintptr_t)c->runs.at[i]->to.box, 1, c->runs.at[i]);
    for (uint32_t i = 0; i < c->runs.n && !panel; i++) {
        const struct box *x = c->runs.at[i]->from.box;
        if (x && x->existing && !x->goes && (x->held.n || !map_get(&ends, (uintptr_t)x, 1)))
            reach(b, s, x);
    }
}

static struct reached reach_all(struct builder *b, const struct circuit *c)
{
    struct reached s = {0};
    reach_roots(b, &s, c);
    for (uint32_t i = 0; i < s.queue.n; i++) {
        const struct box *x = s.queue.at[i];
        for (uint32_t k = 0; k < x->runs.n; k++) {
            const struct run *r = x->runs.at[k];
            if (!r->goes && carries(r, c))
                reach(b, &s, r->from.box == x ? r->to.box : r->from.box);
        }
    }
    return s;
}

/* Whether nothing but this circuit comes into the box. */
static bool is_its_alone(const struct box *x, const struct circuit *c)
{
    for (uint32_t i = 0; i < x->runs.n; i++)
        if (!x->runs.at[i]->goes && !carries(x->runs.at[i], c))
            return false;
    return true;
}

/* What is worst of what is left without a feed: a new run, else a new device, else a box that is
 * there and stays. */
struct left {
    struct run *run;
    const struct device *device;
    struct box *box;
};

static void look_at_unfed(struct left *l, struct run *r, const struct circuit *c)
{
    struct box *ends[2] = {r->from.box, r->to.box};
    for (int k = 0; k < 2; k++) {
        struct box *x = ends[k];
        if (!x || x->goes || !is_its_alone(x, c))
            continue;
        l->device = l->device ? l->device : new_device_in(x);
        for (uint32_t i = 0; i < x->device_count && !l->box; i++)
            l->box = x->devices[i]->goes ? NULL : x;
    }
    if (is_new(r) && !l->run)
        l->run = r;
}

static void say_unfed(struct builder *b, struct circuit *c, const struct left *l,
                      const struct run *gone)
{
    const char *on = arena_printf(b->arena, "run %s", address_of_run(b->arena, gone, true));
    if (l->run)
        say_run_used(b, l->run, on);
    else if (l->device)
        say_device_used(b, l->device, on);
    else if (l->box)
        say_used(b, node_name_span(l->box->node), l->box->room->unit,
                 address_of_box(b->arena, l->box, false),
                 arena_printf(b->arena, "box %s stays and", address_of_box(b->arena, l->box, true)),
                 on, "write its runs in a circuit that feeds it, or 'remove' on it too");
    if (l->run || l->device || l->box)
        c->in_doubt |= ITS_TEXT;
}

/* Whether an end of a run, or what stands in the text of one, could not be read: what feeds what is
 * not known then. */
static bool is_unsure(const struct circuit *c)
{
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *r = c->runs.at[i];
        if (!run_is_whole(r) || (r->from.box && r->from.box->in_doubt & ITS_TEXT) ||
            (r->to.box && r->to.box->in_doubt & ITS_TEXT))
            return true;
    }
    return false;
}

static void check_feed(struct builder *b, struct circuit *c)
{
    const struct run *gone = NULL;
    for (uint32_t i = 0; i < c->runs.n && !gone; i++)
        gone = c->runs.at[i]->goes ? c->runs.at[i] : NULL;
    if (!gone || c->goes || c->in_doubt || is_unsure(c) || is_doubtful(b, c->unit, ITS_FEED))
        return;
    struct reached s = reach_all(b, c);
    struct left l = {0};
    for (uint32_t i = 0; i < c->runs.n; i++) {
        struct run *r = c->runs.at[i];
        const struct box *x = r->from.box ? r->from.box : r->to.box;
        if (!r->goes && run_is_whole(r) && x && !map_get(&s.boxes, (uintptr_t)x, 1))
            look_at_unfed(&l, r, c);
    }
    say_unfed(b, c, &l, gone);
}

/* Whether a cable whose end could not be read may be the one that reaches a box: it may go too. */
static bool may_be_reached(struct builder *b, const struct box *x)
{
    return !x->runs.n && (x->room->in_doubt & ITS_FEED || is_doubtful(b, x->room->unit, ITS_FEED));
}

/* What a leg of the unit lacks may be what goes with such a box. */
static void doubt_legs(struct builder *b, const struct unit *unit)
{
    struct scope *s = map_get(&b->scope_of, (uintptr_t)unit, 1);
    if (s)
        s->in_doubt |= ITS_DEVICES;
}

/* A new light whose switches all go. */
static void check_leg(struct builder *b, const struct leg *l)
{
    for (uint32_t i = 0; i < l->controls.n; i++)
        if (!l->controls.at[i]->device->goes || is_doubtful(b, l->unit, ITS_DEVICES))
            return;
    for (uint32_t i = 0; i < l->loads.n && l->controls.n; i++) {
        const struct device *d = l->loads.at[i]->device;
        if (d->existing || d->goes)
            continue;
        if (may_be_reached(b, d->box)) {
            doubt_legs(b, l->unit);
            return;
        }
        say_device_used(
            b, d,
            arena_printf(b->arena, "the switch in %s",
                         address_of_box(b->arena, l->controls.at[0]->device->box, true)));
        return;
    }
}

/* --- taking out --------------------------------------------------------------------------- */

/* Parts a list of things in those that stay, with ids anew, and those that go. */
#define TAKE_OUT(list, gone_list)                                                                  \
    do {                                                                                           \
        uint32_t kept = 0;                                                                         \
        for (uint32_t at = 0; at < (list).n; at++) {                                               \
            if ((list).at[at]->goes) {                                                             \
                (list).at[at]->id = (gone_list).n;                                                 \
                *vec_push(b->arena, &(gone_list)) = (list).at[at];                                 \
            } else {                                                                               \
                (list).at[at]->id = kept;                                                          \
                (list).at[kept++] = (list).at[at];                                                 \
            }                                                                                      \
        }                                                                                          \
        (list).n = kept;                                                                           \
    } while (0)

/* Leaves those things in a list that stay. */
#define LEAVE(list, going)                                                                         \
    do {                                                                                           \
        uint32_t kept = 0;                                                                         \
        for (uint32_t at = 0; at < (list).n; at++)                                                 \
            if (!(list).at[at]->going)                                                             \
                (list).at[kept++] = (list).at[at];                                                 \
        (list).n = kept;                                                                           \
    } while (0)

static void leave_in_box(struct box *x)
{
    uint32_t kept = 0;
    LEAVE(x->runs, goes);
    LEAVE(x->low_voltage, goes);
    LEAVE(x->served_by, goes);
    for (uint32_t i = 0; i < x->device_count; i++)
        if (!x->devices[i]->goes)
            x->devices[kept++] = x->devices[i];
    x->device_count = kept;
}

/* A leg of which all goes, goes. */
static void leave_legs(struct builder *b)
{
    uint32_t kept = 0;
    for (uint32_t i = 0; i < b->m->legs.n; i++) {
        struct leg *l = b->m->legs.at[i];
        uint32_t before = l->controls.n + l->loads.n;
        LEAVE(l->controls, device->goes);
        LEAVE(l->loads, device->goes);
        LEAVE(l->capped, goes);
        if (before && !l->controls.n && !l->loads.n && !l->capped.n)
            continue;
        l->id = kept;
        b->m->legs.at[kept++] = l;
    }
    b->m->legs.n = kept;
}

/* The space of a breaker that goes is free, also where the panel says that it is taken. */
static void free_space(struct builder *b, struct panel *p, uint32_t space)
{
    for (uint32_t i = 0; i < p->taken.n; i++) {
        struct space_range *t = &p->taken.at[i], all = *t;
        if (space < all.first || space > all.last)
            continue;
        t->last = space - 1;
        if (space < all.last)
            *vec_push(b->arena, &p->taken) = (struct space_range){space + 1, all.last};
        if (space == all.first)
            p->taken.at[i] = p->taken.at[--p->taken.n];
        return;
    }
}

static void free_spaces(struct builder *b, const struct circuit *c)
{
    for (uint32_t i = 0; c->panel && c->space && c->half == HALF_NONE && i < circuit_poles(c); i++)
        free_space(b, c->panel, c->space + 2 * i);
}

/* Whether something of the circuit goes, or something in a box that it comes to. */
static bool is_made_dead(const struct circuit *c)
{
    bool dead = c->goes;
    for (uint32_t i = 0; i < c->runs.n && !dead; i++) {
        const struct run *r = c->runs.at[i];
        const struct box *ends[2] = {r->from.box, r->to.box};
        dead = r->goes;
        for (int k = 0; k < 2; k++)
            dead |= ends[k] && (ends[k]->goes || ends[k]->loses);
    }
    return dead;
}

static void part_from_gone(struct end *e)
{
    if (e->box && e->box->goes)
        e->box = NULL;
    if (e->panel && e->panel->goes)
        e->panel = NULL;
}

static void take_out(struct builder *b)
{
    struct model *m = b->m;
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (is_made_dead(m->circuits.at[i]))
            *vec_push(b->arena, &m->gone.dead) = m->circuits.at[i];
    for (uint32_t i = 0; i < m->boxes.n; i++)
        for (uint32_t k = 0; k < m->boxes.at[i]->device_count; k++)
            m->boxes.at[i]->devices[k]->goes |= m->boxes.at[i]->goes;
    leave_legs(b);
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        struct circuit *c = m->circuits.at[i];
        if (c->goes)
            free_spaces(b, c);
        else
            LEAVE(c->runs, goes);
        LEAVE(c->serves, goes);
    }
    for (uint32_t i = 0; i < m->panels.n; i++) {
        struct panel *p = m->panels.at[i];
        LEAVE(p->circuits, goes);
        p->feeder = p->feeder && p->feeder->goes ? NULL : p->feeder;
    }
    for (uint32_t i = 0; i < m->low_voltages.n; i++)
        LEAVE(m->low_voltages.at[i]->runs, goes);
    for (uint32_t i = 0; i < m->runs.n; i++)
        LEAVE(m->runs.at[i]->also, goes);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        LEAVE(m->rooms.at[i]->boxes, goes);
    for (uint32_t i = 0; i < m->buildings.n; i++)
        if (m->buildings.at[i]->disconnect && m->buildings.at[i]->disconnect->goes)
            m->buildings.at[i]->disconnect = NULL;
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (!m->runs.at[i]->goes) { /* where it is to end then, nobody knows: that is told */
            part_from_gone(&m->runs.at[i]->from);
            part_from_gone(&m->runs.at[i]->to);
        }
    TAKE_OUT(m->devices, m->gone.devices);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (!m->boxes.at[i]->goes)
            leave_in_box(m->boxes.at[i]);
    TAKE_OUT(m->boxes, m->gone.boxes);
    TAKE_OUT(m->runs, m->gone.runs);
    TAKE_OUT(m->circuits, m->gone.circuits);
    TAKE_OUT(m->panels, m->gone.panels);
}

static bool any_goes(const struct model *m)
{
    bool any = false;
    for (uint32_t i = 0; i < m->boxes.n; i++)
        any |= m->boxes.at[i]->goes;
    for (uint32_t i = 0; i < m->devices.n; i++)
        any |= m->devices.at[i]->goes;
    for (uint32_t i = 0; i < m->runs.n; i++)
        any |= m->runs.at[i]->goes;
    for (uint32_t i = 0; i < m->circuits.n; i++)
        any |= m->circuits.at[i]->goes;
    for (uint32_t i = 0; i < m->panels.n; i++)
        any |= m->panels.at[i]->goes;
    return any;
}

/* Of each thing that goes it was asked what hangs on it. */
static void note_judged(struct builder *b)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < b->m->circuits.n; i++)
        n += b->m->circuits.at[i]->goes;
    for (uint32_t i = 0; i < b->m->runs.n; i++)
        n += b->m->runs.at[i]->goes;
    for (uint32_t i = 0; i < b->m->boxes.n; i++)
        n += b->m->boxes.at[i]->goes;
    while (n--)
        diag_looked(b->diag, &rule_removed_but_used);
}

void build_take_out(struct builder *b)
{
    struct model *m = b->m;
    if (!any_goes(m))
        return;
    for (uint32_t i = 0; i < m->circuits.n; i++)
        spread_to_circuit(b, m->circuits.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        spread_to_runs(b, m->circuits.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        settle_fed_devices(b, m->circuits.at[i]);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        settle_box(b, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        check_feed(b, m->circuits.at[i]);
    for (uint32_t i = 0; i < m->legs.n; i++)
        check_leg(b, m->legs.at[i]);
    note_judged(b);
    take_out(b);
}

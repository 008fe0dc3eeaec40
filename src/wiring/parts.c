/* Two or more runs of one circuit between the same two boxes each feed a part of the far box: hots
 * and neutrals of different parts are never joined there. The plan says by `by LABEL` what hangs on
 * which; what it leaves open is settled so that the circuit costs least. */
#include "model/site.h"
#include "wiring/work.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_WAYS = 1024, MOST_ROUNDS = 4 };

struct run *wiring_feed_of_thing(const struct circuit_work *c, const struct box *box,
                                 const void *thing)
{
    const struct feeds *f = map_get(&c->feeds, (uintptr_t)box, 1);
    uint32_t i = f ? (uint32_t)(uintptr_t)map_get(&f->index, (uintptr_t)thing, 1) : 0;
    return !f ? NULL : f->runs.at[i ? f->chosen[i - 1] : 0];
}

static void add_thing(struct circuit_work *c, struct feeds *f, const void *thing)
{
    *vec_push(c->scratch, &f->things) = thing;
    map_put(c->scratch, &f->index, (uintptr_t)thing, 1, (void *)(uintptr_t)f->things.n);
}

bool parts_share_terminal(const struct part *a, const struct part *b, uint8_t nets)
{
    for (uint8_t i = 0; i < a->body->terminal_count && a->device == b->device; i++) {
        const struct terminal *t = &a->body->terminals[i];
        for (uint8_t k = 0; t->shared && t->nets & nets && k < b->body->terminal_count; k++)
            if (b->body->terminals[k].shared == t->shared)
                return true;
    }
    return false;
}

/* Parts of a device that share a terminal hang on one feed: what the first of them takes, the
 * others take. */
static void gather_device(struct circuit_work *c, struct feeds *f, const struct device *d)
{
    for (uint32_t k = 0; k < d->part_count; k++) {
        const struct part *p = &d->parts[k];
        void *with = NULL;
        for (uint32_t i = 0; i < k && !with && p->circuit == c->circuit; i++)
            if (parts_share_terminal(&d->parts[i], p, (uint8_t)~NET_GROUND))
                with = map_get(&f->index, (uintptr_t)&d->parts[i], 1);
        if (with)
            map_put(c->scratch, &f->index, (uintptr_t)p, 1, with);
        else if (p->circuit == c->circuit)
            add_thing(c, f, p);
    }
}

static const char *label_of(const struct run *r)
{
    return r->label ? r->label : r->declared ? r->declared->name : "";
}

/* Runs by their far end, their label and their cable, so that what is chosen does not hang on the
 * order of the statements. */
static int by_name(const void *a, const void *b)
{
    const struct run *x = *(const struct run *const *)a, *y = *(const struct run *const *)b;
    int order = strcmp(x->to.box->room->name, y->to.box->room->name);
    order = order ? order : strcmp(x->to.box->name, y->to.box->name);
    return order ? order : strcmp(label_of(x), label_of(y));
}

static bool carries(const struct run *r, const struct circuit *c)
{
    bool does = r->circuit == c;
    for (uint32_t i = 0; i < r->also.n; i++)
        does |= r->also.at[i] == c;
    return does;
}

static void gather_things(struct circuit_work *c, struct feeds *f)
{
    struct box *box = f->box;
    for (uint32_t i = 0; i < box->device_count; i++)
        gather_device(c, f, box->devices[i]);
    uint32_t parts = f->things.n;
    const struct run **leaving = arena_array(c->scratch, const struct run *, box->runs.n + 1);
    uint32_t count = 0;
    for (uint32_t i = 0; i < box->runs.n; i++)
        if (carries(box->runs.at[i], c->circuit) && box->runs.at[i]->in_tree &&
            box->runs.at[i]->from.box == box)
            leaving[count++] = box->runs.at[i];
    qsort(leaving, count, sizeof *leaving, by_name);
    for (uint32_t i = 0; i < count; i++)
        add_thing(c, f, leaving[i]);
    f->chosen = arena_array(c->scratch, uint32_t, f->things.n + 1);
    f->fixed = arena_array(c->scratch, bool, f->things.n + 1);
    for (uint32_t i = 0; i < parts; i++) {
        const struct part *p = f->things.at[i];
        for (uint32_t k = 0; p->by && k < f->runs.n; k++) {
            if (f->runs.at[k]->label == p->by) {
                f->chosen[i] = k;
                f->fixed[i] = true;
            }
        }
    }
}

static int by_box(const void *a, const void *b)
{
    const struct box *x = (*(const struct feeds *const *)a)->box,
                     *y = (*(const struct feeds *const *)b)->box;
    int room = strcmp(x->room->name, y->room->name);
    return room ? room : strcmp(x->name, y->name);
}

void wiring_find_feeds(struct circuit_work *c)
{
    struct map first = {0}; /* (box, 1) -> the first run that feeds it */
    VEC(struct feeds *) found = {0};
    for (uint32_t i = 0; i < c->circuit->runs.n; i++) {
        struct run *r = c->circuit->runs.at[i];
        if (!r->in_tree || !r->to.box)
            continue;
        void **at = map_at(c->scratch, &first, (uintptr_t)r->to.box, 1);
        if (!*at) {
            *at = r;
            continue;
        }
        struct feeds *f = map_get(&c->feeds, (uintptr_t)r->to.box, 1);
        if (!f) {
            f = arena_new(c->scratch, struct feeds);
            f->box = r->to.box;
            *vec_push(c->scratch, &f->runs) = *at;
            map_put(c->scratch, &c->feeds, (uintptr_t)f->box, 1, f);
            *vec_push(c->scratch, &found) = f;
        }
        *vec_push(c->scratch, &f->runs) = r;
    }
    for (uint32_t i = 0; i < found.n; i++) {
        qsort(found.at[i]->runs.at, found.at[i]->runs.n, sizeof *found.at[i]->runs.at, by_name);
        gather_things(c, found.at[i]);
    }
    if (found.n)
        qsort(found.at, found.n, sizeof *found.at, by_box);
    c->fed_twice = found.at;
    c->fed_twice_count = found.n;
}

static bool build(struct circuit_work *c)
{
    arena_reset(c->tree);
    memset(&c->vertex_of, 0, sizeof c->vertex_of);
    memset(&c->work_of, 0, sizeof c->work_of);
    c->vertex_count = c->leg_count = 0;
    if (!wiring_build_vertices(c))
        return false;
    wiring_gather_legs(c);
    wiring_choose_orders(c);
    return true;
}

/* The next way to hang the things that the plan leaves open; false after the last. */
static bool next_way(struct feeds *f)
{
    for (uint32_t i = 0; i < f->things.n; i++) {
        if (f->fixed[i])
            continue;
        if (++f->chosen[i] < f->runs.n)
            return true;
        f->chosen[i] = 0;
    }
    return false;
}

/* Gives whether anything hangs elsewhere than before. */
static bool settle(struct circuit_work *c, struct feeds *f)
{
    uint32_t *best = arena_array(c->scratch, uint32_t, f->things.n + 1),
             *before = arena_array(c->scratch, uint32_t, f->things.n + 1);
    struct cost least = {0};
    memcpy(before, f->chosen, f->things.n * sizeof *before);
    for (uint32_t i = 0; i < f->things.n; i++)
        f->chosen[i] = f->fixed[i] ? f->chosen[i] : 0;
    unsigned tried = 0;
    do {
        if (!build(c))
            return false;
        struct cost cost = wiring_circuit_cost(c);
        if (!tried || wiring_cost_less(&cost, &least)) {
            least = cost;
            memcpy(best, f->chosen, f->things.n * sizeof *best);
        }
    } while (++tried < MOST_WAYS && next_way(f));
    memcpy(f->chosen, best, f->things.n * sizeof *best);
    return memcmp(before, best, f->things.n * sizeof *best) != 0;
}

/* What hangs on which feed of one box says what the feeds of the box before it have to carry, so
 * that all are settled anew until nothing changes. */
bool wiring_choose_parts(struct circuit_work *c)
{
    bool changed = true;
    for (int round = 0; round < MOST_ROUNDS && changed; round++) {
        changed = false;
        for (uint32_t i = 0; i < c->fed_twice_count; i++)
            changed |= c->fed_twice[i]->things.n && settle(c, c->fed_twice[i]);
        changed &= c->fed_twice_count > 1;
    }
    return build(c);
}

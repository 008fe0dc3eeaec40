#include "wiring/bundles.h"

#include "base/sort.h"
#include "facts/conductors.h"
#include "facts/existing.h"
#include "facts/raceways.h"
#include "framing/airs.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <stdlib.h>

/* A run that is stapled on the wood of a bay from one place to another: heights, or places along
 * the joists. */
struct stapled {
    const struct run *run;
    length low, high;
};

struct bundler {
    struct arena *arena, scratch;
    struct model *m;
    const struct routes *routes;
    const struct wiring *wiring;
    const struct bores *bores;
    struct bundle *of_run;
    length *of_circuit; /* by id: how long its runs are together */
    length longest;     /* what lies together no longer than this is no bundle */
    uint32_t sealed;    /* more cables than these are one at any length */
    uint32_t faces;     /* of wood that a bay has to staple to */
    length panel;       /* half the height of a panel */
    VEC(struct stapled) stapled;
    VEC(struct sorted) bays; /* of each of them its bay */
};

static uint32_t current_carrying(const struct wiring *wiring, const struct run *run)
{
    const struct run_wiring *w = &wiring->of_run[run->id];
    struct net *nets[UINT8_MAX];
    for (uint8_t i = 0; w->conductors && i < w->count; i++)
        nets[i] = w->conductors[i].net;
    return w->conductors ? wiring_current_carrying(nets, w->count) : 0;
}

static uint32_t conductors_of(const struct bundler *b, const struct run *const *runs, uint32_t n)
{
    uint32_t conductors = 0;
    for (uint32_t i = 0; i < n; i++)
        conductors += current_carrying(b->wiring, runs[i]);
    return conductors;
}

static void keep_larger(struct bundle *best, struct bundle b)
{
    if (b.run_count > best->run_count)
        *best = b;
}

/* --- in holes ----------------------------------------------------------------------------- */

static bool same_runs(const struct bore *a, const struct bore *b)
{
    if (a->run_count != b->run_count)
        return false;
    for (uint32_t i = 0; i < a->run_count; i++)
        if (a->runs[i] != b->runs[i])
            return false;
    return true;
}

static length apart(struct place3 a, struct place3 b)
{
    return length_abs(a.x - b.x) + length_abs(a.y - b.y) + length_abs(a.z - b.z);
}

static struct bundle in_hole(const struct bundler *b, const struct bore *hole,
                             enum bundle_sort sort, length length)
{
    return (struct bundle){hole->runs, hole->run_count, sort, length,
                           conductors_of(b, hole->runs, hole->run_count)};
}

/* The same cables through hole after hole for longer than the code lets be, or too many of them
 * through a plate or through insulation. */
static void find_in_holes(struct bundler *b, const struct run *r)
{
    const struct route *route = &b->routes->of_run[r->id];
    const struct skeleton *frame = b->routes->frame;
    struct bundle *best = &b->of_run[r->id];
    length together = 0;
    const struct bore *before = NULL;
    struct place3 last = {0}; /* of the hole before, where several go through it */
    for (uint32_t i = 0; i < route->passed_count; i++) {
        const struct bore *hole = bore_of_member(b->bores, r, i);
        bool goes_on = hole && before && same_runs(before, hole);
        before = hole;
        if (!hole || hole->run_count < 2) {
            together = 0;
            continue;
        }
        struct passed here = route_member(frame, route, i);
        together = goes_on ? together + apart(last, here.at) : 0;
        last = here.at;
        if (hole->run_count <= best->run_count)
            continue;
        if (together > b->longest)
            keep_larger(best, in_hole(b, hole, BUNDLE_HELD, together));
        if (hole->run_count <= b->sealed)
            continue;
        if (here.member == MEMBER_PLATE)
            keep_larger(best, in_hole(b, hole, BUNDLE_PLATE, 0));
        else if (here.member == MEMBER_STUD && passed_insulated(frame, &here))
            keep_larger(best, in_hole(b, hole, BUNDLE_INSULATION, 0));
    }
}

/* --- on studs and joists ------------------------------------------------------------------ */

/* As a key: a length that may lie below the datum. */
static uint64_t key_of(length l)
{
    return (uint64_t)l + (UINT64_C(1) << 62);
}

static void add_stapled(struct bundler *b, struct sort_key bay, const struct run *r, length from,
                        length to)
{
    length low = from < to ? from : to, high = from < to ? to : from;
    if (high - low <= b->longest)
        return;
    *vec_push(&b->scratch, &b->bays) = (struct sorted){bay, 0, b->stapled.n};
    *vec_push(&b->scratch, &b->stapled) = (struct stapled){r, low, high};
}

/* A height at the end of a way, but not inside of the panel that stands there. */
static length out_of_panel(const struct bundler *b, struct end e, length at, length other)
{
    if (!e.panel)
        return at;
    length out = at < other ? at + b->panel : at - b->panel;
    return length_abs(other - at) > b->panel ? out : other;
}

/* A height in a wall no higher than its ceiling and no lower than its floor: beyond its plates the
 * cables part. */
static length between_plates(const struct room *room, length at)
{
    const struct level *level = room->level;
    length low = level->floor,
           high = low + (room->ceiling > level->ceiling ? room->ceiling : level->ceiling);
    return at < low ? low : at > high ? high : at;
}

/* Up or down in a stud bay. */
static void staple_in_bay(struct bundler *b, const struct run *r, const struct segment *s,
                          bool first, bool last)
{
    const struct skeleton *f = b->routes->frame;
    length lo, hi;
    if (!s->room || s->from.x != s->to.x || s->from.y != s->to.y)
        return;
    uint32_t number = frame_face_of(f, s->room, s->wall)->line;
    const struct line *l = &f->lines[number];
    if (!frame_bay_at(f, l, frame_line_place(l, (struct point){s->from.x, s->from.y}), &lo, &hi))
        return;
    length from = first ? out_of_panel(b, r->from, s->from.z, s->to.z) : s->from.z,
           to = last ? out_of_panel(b, r->to, s->to.z, s->from.z) : s->to.z;
    add_stapled(b, (struct sort_key){number, key_of(lo)}, r, between_plates(s->room, from),
                between_plates(s->room, to));
}

/* Along a joist: what is drawn on one line lies on the two joists beside it. */
static void staple_along_joists(struct bundler *b, const struct run *r, const struct segment *s)
{
    enum { TO_NORTH = 63, TO_EAST = 62 }; /* bits that no line of wall and no height has */
    bool north = s->from.x == s->to.x;
    struct sort_key bay = {(uint64_t)(uint32_t)(s->from.z / INCH) |
                               UINT64_C(1) << (north ? TO_NORTH : TO_EAST),
                           key_of(north ? s->from.x : s->from.y)};
    if (north)
        add_stapled(b, bay, r, s->from.y, s->to.y);
    else if (s->from.y == s->to.y)
        add_stapled(b, bay, r, s->from.x, s->to.x);
}

static void gather_stapled(struct bundler *b, const struct run *r)
{
    const struct route *route = &b->routes->of_run[r->id];
    const struct unit *unit = r->circuit ? r->circuit->unit : NULL;
    if (!r->circuit || r->existing || r->fished || facts_on_surface(r) || r->spaced ||
        (unit && !unit->built))
        return;
    for (uint32_t i = 0; i < route->segment_count; i++) {
        const struct segment *s = &route->segments[i];
        if (s->held)
            continue;
        if (s->kind == IN_BAY)
            staple_in_bay(b, r, s, i == 0, i + 1 == route->segment_count);
        else if (s->kind == ALONG_JOISTS)
            staple_along_joists(b, r, s);
    }
}

static int by_length(const void *va, const void *vb)
{
    length a = *(const length *)va, b = *(const length *)vb;
    return (a > b) - (a < b);
}

/* Where in a bay most lie side by side for longer than is free; each of them is longer than that.
 */
static length fullest(struct bundler *b, const struct sorted *bay, uint32_t n, uint32_t *most)
{
    length *lows = arena_array(&b->scratch, length, n),
           *highs = arena_array(&b->scratch, length, n);
    for (uint32_t i = 0; i < n; i++) {
        lows[i] = b->stapled.at[bay[i].item].low;
        highs[i] = b->stapled.at[bay[i].item].high;
    }
    qsort(lows, n, sizeof *lows, by_length);
    qsort(highs, n, sizeof *highs, by_length);
    length best = 0;
    for (uint32_t i = 0, over = 0; i < n; i++) {
        while (over < n && highs[over] <= lows[i] + b->longest)
            over++;
        if (i + 1 - over > *most) {
            *most = i + 1 - over;
            best = lows[i];
        }
    }
    return best;
}

/* As many of them on one face of wood as on the other. */
static void lay_on_faces(struct bundler *b, const struct run **runs, uint32_t n, uint32_t each,
                         length length)
{
    for (uint32_t at = 0; at < n; at += each) {
        uint32_t count = n - at < each ? n - at : each;
        struct bundle bundle = {runs + at, count, BUNDLE_STAPLED, length,
                                conductors_of(b, runs + at, count)};
        for (uint32_t i = 0; count > 1 && i < count; i++)
            keep_larger(&b->of_run[runs[at + i]->id], bundle);
    }
}

/* Whether a bundle of that length is too short to count on the circuit of a run. */
static bool is_free(const struct bundler *b, const struct run *r, length length)
{
    return (double)length <= airs_exempt(b->m, b->of_circuit[r->circuit->id]);
}

/* Those of a bay that lie side by side at a place, and how long all of them do. */
static uint32_t side_by_side(const struct bundler *b, const struct sorted *bay, uint32_t n,
                             length at, const struct run **runs, length *long_for)
{
    length high = 0;
    uint32_t count = 0;
    for (uint32_t i = 0; i < n; i++) {
        const struct stapled *s = &b->stapled.at[bay[i].item];
        if (s->low > at || s->high <= at + b->longest)
            continue;
        high = !count || s->high < high ? s->high : high;
        runs[count++] = s->run;
    }
    *long_for = high - at;
    return count;
}

/* Where those that count are no more than one face takes they lie on it by themselves, and the
 * others on the other; else all are laid on both. */
static void bundle_bay(struct bundler *b, const struct sorted *bay, uint32_t n)
{
    uint32_t most = 0, counting = 0;
    length at = fullest(b, bay, n, &most), length;
    if (most <= b->faces)
        return;
    const struct run **all = arena_array(&b->scratch, const struct run *, n),
                     **runs = arena_array(b->arena, const struct run *, n);
    uint32_t count = side_by_side(b, bay, n, at, all, &length), each;
    for (uint32_t i = 0; i < count; i++)
        if (!is_free(b, all[i], length))
            runs[counting++] = all[i];
    each = (count + b->faces - 1) / b->faces;
    if (counting <= each) {
        lay_on_faces(b, runs, counting, each, length);
        return;
    }
    for (uint32_t i = 0, to = counting; i < count; i++)
        if (is_free(b, all[i], length))
            runs[to++] = all[i];
    lay_on_faces(b, runs, count, each, length);
}

static bool same_bay(const struct sorted *a, const struct sorted *b)
{
    return a->key.first == b->key.first && a->key.second == b->key.second;
}

static void find_stapled(struct bundler *b, const struct run *const *ranked)
{
    b->of_circuit = arena_array(&b->scratch, length, b->m->circuits.n + 1);
    for (uint32_t i = 0; i < b->m->circuits.n; i++)
        b->of_circuit[i] = airs_circuit_length(b->routes, b->m->circuits.at[i]);
    for (uint32_t i = 0; i < b->m->runs.n; i++)
        gather_stapled(b, ranked[i]);
    if (b->bays.n)
        sort_by_key(&b->scratch, b->bays.at, b->bays.n);
    for (uint32_t from = 0, to; from < b->bays.n; from = to) {
        to = from + 1;
        while (to < b->bays.n && same_bay(&b->bays.at[from], &b->bays.at[to]))
            to++;
        if (to - from > b->faces)
            bundle_bay(b, &b->bays.at[from], to - from);
    }
}

const struct bundle *bundles_find(struct arena *arena, struct model *m, const struct routes *routes,
                                  const struct wiring *wiring, const struct bores *bores,
                                  const struct run *const *ranked)
{
    struct code *c = &m->code;
    struct bundler b = {.arena = arena,
                        .m = m,
                        .routes = routes,
                        .wiring = wiring,
                        .bores = bores,
                        .of_run = arena_array(arena, struct bundle, m->runs.n + 1)};
    b.scratch.out_of_memory = arena->out_of_memory;
    code_table(c, TABLE_ADJUSTMENT);
    b.longest = code_length(c, SET_ADJUSTMENT_LONGER_THAN, (length)1 << 60);
    b.sealed = (uint32_t)code_count(c, SET_SEALED_OPENING_CABLES, 1e9);
    b.faces = (uint32_t)code_count(c, SET_STAPLING_FACES, 1);
    b.panel = code_length(c, SET_BOX_SPACE_PANEL_HEIGHT, 0) / 2;
    for (uint32_t i = 0; i < m->runs.n; i++)
        find_in_holes(&b, m->runs.at[i]);
    if (b.faces)
        find_stapled(&b, ranked);
    arena_free(&b.scratch);
    return b.of_run;
}

/* --- what they leave ---------------------------------------------------------------------- */

/* Whether all bundles of a circuit are together too short to count. */
static bool too_short(struct model *m, const struct routes *routes, const struct bores *bores,
                      const struct circuit *c)
{
    length together = 0;
    for (uint32_t i = 0; i < c->runs.n; i++)
        together += bores->of_run[c->runs.at[i]->id].length;
    return together && (double)together <= airs_exempt(m, airs_circuit_length(routes, c));
}

/* Whether a run's cable was chosen, serves where nothing lies beside it, and as it lies does not.
 */
static bool chosen_too_thin(struct model *m, const struct wiring *wiring, const struct run *r,
                            const struct conductor_asks *asks, const struct lying *lying)
{
    const struct cable_def *cable = wiring->of_run[r->id].cable;
    struct lying alone = facts_lying_alone(lying);
    struct conductor_good good;
    return cable && cable->size && !r->declared && !r->single && !facts_cable_untold(r) &&
           facts_cable_serves(m, asks, r, cable, &alone, &good) &&
           !facts_cable_serves(m, asks, r, cable, lying, &good);
}

bool bundles_lay(struct model *m, struct routes *routes, const struct wiring *wiring,
                 const struct bores *bores, const struct conductor_asks *asks)
{
    bool thin = false;
    for (uint32_t k = 0; k < m->circuits.n; k++) {
        const struct circuit *c = m->circuits.at[k];
        bool free = too_short(m, routes, bores, c);
        for (uint32_t i = 0; i < c->runs.n; i++) {
            const struct run *r = c->runs.at[i];
            const struct bundle *bundle = &bores->of_run[r->id];
            struct lying *lying = &routes->lying[r->id];
            bool counts = bundle->run_count && (!bundle->length || !free);
            lying->beside = r->raceway ? wiring_raceway_factor(m, routes, wiring, r)
                            : counts   ? wiring_adjustment(m, bundle->conductors)
                                       : 1;
            thin |= c->breaker > 0 && chosen_too_thin(m, wiring, r, &asks[c->id], lying);
        }
    }
    return thin;
}

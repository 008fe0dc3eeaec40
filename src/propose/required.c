#include "propose/required.h"

#include "facts/rooms.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "propose/sites.h"
#include "resolve/written.h"
#include "rules/placing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* How many places are tried for one finding. */
enum { MOST_TRIED = 16 };

/* The rules that ask for a receptacle in a place; those of stretches are answered before, and what
 * these leave is told with the rest. */
static const char *const rules[] = {
    "receptacle-spacing",  "counter-spacing",    "basin-receptacle",  "island-receptacle",
    "foyer-receptacle",    "laundry-receptacle", "garage-receptacle", "basement-receptacle",
    "hall-receptacle",     "outdoor-receptacle", "deck-receptacle",   "hvac-receptacle",
    "building-receptacle", "box-height",
};

enum { STRETCHES = 2 }; /* of these */

const char required_leaves[] =
    "unfed-box served-not-run receptacle-spacing counter-spacing basin-receptacle "
    "island-receptacle foyer-receptacle garage-receptacle hvac-receptacle box-height";

static size_t rule_of(const struct finding *f)
{
    size_t i = 0;
    while (i < sizeof rules / sizeof *rules && strcmp(rules[i], f->rule->name) != 0)
        i++;
    return i;
}

bool required_is_missing(const struct finding *f)
{
    return rule_of(f) < sizeof rules / sizeof *rules && !f->waived;
}

/* --- where it is -------------------------------------------------------------------------- */

static bool same_span(struct span a, struct span b)
{
    return a.source == b.source && a.off == b.off;
}

/* The thing in a room that a finding is about. */
struct about {
    const struct room *room;
    const struct fixture *fixture; /* NULL: none */
    const struct island *island;
    const struct use_area *area;
    const struct box *box;
};

static void find_thing(const struct finding *f, struct about *a)
{
    const struct room *r = a->room;
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        if (same_span(node_span(r->fixtures.at[i].node), f->span))
            a->fixture = &r->fixtures.at[i];
    for (uint32_t i = 0; i < r->islands.n; i++)
        if (same_span(node_span(r->islands.at[i].node), f->span))
            a->island = &r->islands.at[i];
    for (uint32_t i = 0; i < r->areas.n; i++)
        if (same_span(node_span(r->areas.at[i].node), f->span))
            a->area = &r->areas.at[i];
}

/* By the subject of a finding: a room, or the room of a box, or the first of a building. */
static struct about about_of(const struct siting *p, const struct finding *f)
{
    const struct model *m = p->now->model;
    struct arena *arena = &p->now->arena;
    struct about a = {0};
    for (uint32_t i = 0; i < m->rooms.n && !a.room && f->subject; i++)
        if (!strcmp(address_of_room(arena, m->rooms.at[i], false), f->subject))
            a.room = m->rooms.at[i];
    for (uint32_t i = 0; i < m->boxes.n && !a.room && f->subject; i++)
        if (!strcmp(address_of_box(arena, m->boxes.at[i], false), f->subject)) {
            a.box = m->boxes.at[i];
            a.room = a.box->room;
        }
    for (uint32_t i = 0; i < m->buildings.n && !a.room; i++)
        if (m->buildings.at[i]->node && m->buildings.at[i]->rooms.n &&
            same_span(node_name_span(m->buildings.at[i]->node), f->span))
            a.room = m->buildings.at[i]->rooms.at[0];
    if (a.room && !a.box)
        find_thing(f, &a);
    return a;
}

const struct room *required_room(const struct siting *p, const struct finding *f)
{
    return about_of(p, f).room;
}

/* --- which places are tried, the best first ----------------------------------------------- */

struct choice {
    struct place place;
    double cost[3]; /* the first counts most */
};

typedef VEC(struct choice) choice_list;

static int by_cost(const void *a, const void *b)
{
    const struct choice *p = a, *q = b;
    for (size_t i = 0; i < sizeof p->cost / sizeof *p->cost; i++)
        if (p->cost[i] != q->cost[i])
            return (p->cost[i] > q->cost[i]) - (p->cost[i] < q->cost[i]);
    return 0;
}

static struct plan_spot spot_of(const struct place *p)
{
    return (struct plan_spot){length_feet(p->at.x), length_feet(p->at.y)};
}

/* Where nothing else is asked: a wall with few receptacles, a long one, its middle. */
static void rate_anywhere(const struct about *a, struct choice *x)
{
    const struct wall *w = &a->room->walls[x->place.wall];
    for (uint32_t i = 0; i < a->room->boxes.n; i++) {
        const struct box *b = a->room->boxes.at[i];
        x->cost[0] += b->place.where == ON_WALL && b->place.wall == x->place.wall &&
                      placing_box_has_receptacle(b);
    }
    x->cost[1] = -length_feet(w->length);
    x->cost[2] = fabs(length_feet(x->place.from_left - w->length / 2));
}

/* Beside the basin, not over it, and near. */
static void rate_by_basin(const struct siting *p, const struct about *a, struct choice *x)
{
    const struct fixture *f = a->fixture;
    struct rectangle basin =
        space_fixture_rectangle(a->room, f, placing_fixture_deep(&p->checked, f));
    struct point at = {x->place.at.x, x->place.at.y};
    x->cost[0] = x->place.wall == f->wall && x->place.from_left > f->from_left &&
                 x->place.from_left < f->from_left + f->wide;
    x->cost[1] = space_distance_to_rectangle(&basin, at);
}

static void rate_near_box(const struct about *a, struct choice *x)
{
    x->cost[0] = facts_spots_apart(spot_of(&x->place), facts_spot_of(a->box));
}

static bool lies_in(const struct use_area *area, const struct place *p)
{
    return p->at.x >= area->low.x && p->at.x <= area->high.x && p->at.y >= area->low.y &&
           p->at.y <= area->high.y;
}

static void choose_on_walls(const struct siting *p, const struct about *a, choice_list *out)
{
    bool basin = a->fixture && a->fixture->form == F_BASIN;
    place_list places = {0};
    sites_of_room(p, a->room, basin ? sites_counter_height(p) : sites_usual_height(p), &places);
    for (uint32_t i = 0; i < places.n; i++) {
        struct choice x = {.place = places.at[i]};
        if (a->area && !lies_in(a->area, &x.place))
            continue;
        if (basin)
            rate_by_basin(p, a, &x);
        else if (a->box)
            rate_near_box(a, &x);
        else
            rate_anywhere(a, &x);
        *vec_push(&p->now->arena, out) = x;
    }
}

/* In an island or peninsula: at its place on the floor plan, across it in the middle, along it in
 * parts that are equal; a peninsula's first by its outer end. */
static void choose_in_stand(const struct siting *p, struct rectangle top, choice_list *out)
{
    enum { PARTS = 8 };
    for (int i = PARTS - 1; i > 0; i--) {
        double share = (double)i / PARTS;
        double x = 0, y = 0;
        for (int k = 0; k < 4; k++) {
            double weight = (k < 2 ? 1 - share : share) / 2;
            x += weight * (double)top.corner[k].x;
            y += weight * (double)top.corner[k].y;
        }
        struct place place = {.known = true,
                              .where = ON_FLOOR,
                              .at = {length_eighths((length)x), length_eighths((length)y), 0}};
        *vec_push(&p->now->arena, out) = (struct choice){.place = place, .cost = {PARTS - i}};
    }
}

static struct rectangle island_top(const struct island *x)
{
    struct point low = x->low, high = x->high;
    return (struct rectangle){{low, {low.x, high.y}, high, {high.x, low.y}}};
}

/* The best of each wall first, then the second of each: a rule may ask for one wall. */
static void take_turns(choice_list *list)
{
    for (uint32_t i = 0; i < list->n; i++) {
        uint32_t before = 0;
        for (uint32_t k = 0; k < i; k++)
            before += list->at[k].place.wall == list->at[i].place.wall;
        list->at[i].cost[0] = before;
        list->at[i].cost[1] = i;
    }
    qsort(list->at, list->n, sizeof *list->at, by_cost);
}

static void choose(const struct siting *p, const struct about *a, choice_list *out)
{
    if (a->island)
        choose_in_stand(p, island_top(a->island), out);
    else if (a->fixture && a->fixture->form == F_PENINSULA)
        choose_in_stand(p, space_fixture_rectangle(a->room, a->fixture, a->fixture->out), out);
    else
        choose_on_walls(p, a, out);
    if (out->n > 1)
        qsort(out->at, out->n, sizeof *out->at, by_cost);
    if (out->n > 1 && !a->fixture && !a->island && !a->box)
        take_turns(out);
}

/* --- trying them -------------------------------------------------------------------------- */

/* A finding, told again from one compilation to the next. */
struct kept {
    const struct rule *rule;
    const char *message, *subject;
};

typedef VEC(struct kept) kept_list;

static bool is_known(const kept_list *list, const struct finding *f)
{
    for (uint32_t i = 0; i < list->n; i++)
        if (list->at[i].rule == f->rule && !strcmp(list->at[i].message, f->message))
            return true;
    return false;
}

static bool is_there(const struct siting *p, const struct kept *k)
{
    return trial_has_finding(
        p->now, &(struct finding){.rule = k->rule, .message = k->message, .subject = k->subject});
}

/* Whether the box that was added last does any harm. */
static bool does_harm(struct siting *p)
{
    bool harm = siting_refuse_faulty(p, p->added.n - 1);
    for (uint32_t i = 0; i < p->now->diag.findings.n && !harm; i++)
        harm = siting_is_new_fault(p, &p->now->diag.findings.at[i]) &&
               !required_is_missing(&p->now->diag.findings.at[i]);
    return harm;
}

/* Tries places for it until one answers it; false where none does: then nothing is added. */
static bool answer(struct siting *p, const struct about *a, const struct kept *k)
{
    choice_list choices = {0}, own = {0};
    uint32_t room = a->room->id;
    choose(p, a, &choices);
    for (uint32_t i = 0; i < choices.n && i < MOST_TRIED; i++)
        *vec_push(p->arena, &own) = choices.at[i];
    for (uint32_t i = 0; i < own.n; i++) {
        sites_add(p, p->now->model->rooms.at[room], &own.at[i].place);
        if (siting_compile(p) && !is_there(p, k) && !does_harm(p))
            return true;
        p->added.n--;
    }
    siting_compile(p);
    return false;
}

/* The next finding that is not known to be without an answer; of two the one whose rule comes first
 * in the list, then the one whose room does. */
static bool next_missing(const struct siting *p, const kept_list *without, struct about *about,
                         struct kept *k)
{
    size_t best = SIZE_MAX;
    for (uint32_t i = 0; i < p->now->diag.findings.n; i++) {
        const struct finding *f = &p->now->diag.findings.at[i];
        size_t rule = rule_of(f);
        struct about a;
        if (!required_is_missing(f) || rule < STRETCHES || rule >= best)
            continue;
        a = about_of(p, f);
        if (!a.room || !siting_asks_room(p, a.room) || is_known(without, f))
            continue;
        best = rule;
        *about = a;
        *k = (struct kept){f->rule, f->message, f->subject};
    }
    return best < SIZE_MAX;
}

void required_add(struct siting *p)
{
    kept_list without = {0};
    struct about a = {0};
    struct kept k = {0};
    while (next_missing(p, &without, &a, &k)) {
        k.message = arena_copy(p->arena, k.message, strlen(k.message));
        k.subject = k.subject ? arena_copy(p->arena, k.subject, strlen(k.subject)) : NULL;
        if (!answer(p, &a, &k))
            *vec_push(p->arena, &without) = k;
    }
}

/* Ways up through storeys that are only passed: inside a wall, through both of its plates, or in a
 * chase. */
#include "framing/frame.h"
#include "framing/search.h"
#include "framing/search_work.h"

enum { MOST_RISERS = 64 };

/* Keeps the risers that lie least out of the way, in the order of their finding among equals. */
static void add_riser(struct search *s, riser_list *list, struct riser r)
{
    r.near =
        search_at_least(s, flat(s->q->a.at), r.at) + search_at_least(s, r.at, flat(s->q->b.at));
    if (list->n == MOST_RISERS && list->at[list->n - 1].near <= r.near)
        return;
    if (list->n < MOST_RISERS)
        vec_push(s->arena, list);
    uint32_t i = list->n - 1;
    for (; i && list->at[i - 1].near > r.near; i--)
        list->at[i] = list->at[i - 1];
    list->at[i] = r;
}

/* Inside a wall at a place: beside the wood that may stand there, never in an opening. */
static void add_in_wall(struct search *s, riser_list *list, uint32_t line, length t)
{
    const struct line *l = &s->f->lines[line];
    uint32_t storey = l->storey;
    if (t < l->lo || t > l->hi || l->bare || frame_opening_at(s->f, l, t) ||
        frame_on_slab(s->f, l, t))
        return;
    bool wood = frame_in_wood(s->f, l, t) || frame_at_edge(s->f, l, t);
    for (int side = 0; side <= wood; side++) {
        length clear = wood ? frame_clear_place(s->f, l, t, side, true) : t;
        if (l->lo <= clear && clear <= l->hi &&
            round_bay_free(s, l, clear, s->q->spaces[storey].z, s->q->spaces[storey + 1].z))
            add_riser(s, list,
                      (struct riser){.at = frame_line_point(l, clear), .line = line, .t = clear});
    }
}

static void list_risers(struct search *s, uint32_t storey)
{
    riser_list *list = &s->risers[storey];
    const struct skeleton *f = s->f;
    const struct spot *ends[] = {&s->q->a, &s->q->b};
    list->n = 0;
    for (uint32_t i = 0; i < f->storeys[storey].lines.n; i++) {
        uint32_t line = f->storeys[storey].lines.at[i];
        const struct line *l = &f->lines[line];
        for (uint32_t k = 0; k < l->joint_count; k++) {
            const struct turn *j = &f->joints[l->first_joint + k];
            if (j->bay)
                add_in_wall(s, list, line, j->at);
        }
        for (int e = 0; e < 2; e++) {
            length t[2];
            unsigned n = search_straight_across(l, ends[e], t);
            for (unsigned k = 0; k < n; k++)
                add_in_wall(s, list, line, t[k]);
        }
    }
    for (uint32_t i = 0; i < f->m->rooms.n; i++) {
        const struct room *room = f->m->rooms.at[i];
        for (uint32_t k = 0; f->storey_of[room->level->id] == storey && k < room->chases.n; k++) {
            const struct chase *c = &room->chases.at[k];
            struct point middle = {(c->low.x + c->high.x) / 2, (c->low.y + c->high.y) / 2};
            add_riser(s, list, (struct riser){.at = middle, .line = NO_INDEX});
        }
    }
}

/* The cheapest way into each riser of a storey from the places below it. */
static void climb(struct search *s, uint32_t storey)
{
    const struct question *q = s->q;
    const struct space *space = &q->spaces[storey];
    riser_list *list = &s->risers[storey];
    bool lowest = storey == q->first_space;
    uint32_t below = lowest ? s->leaves_a.n : s->risers[storey - 1].n;
    for (uint32_t i = 0; i < list->n; i++) {
        struct riser *r = &list->at[i];
        r->cost = LARGEST;
        for (uint32_t k = 0; k < below; k++) {
            struct point at = lowest ? s->leaves_a.at[k].at : s->risers[storey - 1].at[k].at;
            length cost = (lowest ? s->leaves_a.at[k].cost : s->risers[storey - 1].at[k].cost) +
                          round_across(s, space, at, r->at, r->cost);
            if (cost < r->cost) {
                r->cost = cost;
                r->before = k;
            }
        }
        r->cost += length_abs(q->spaces[storey + 1].z - space->z) +
                   (r->line == NO_INDEX ? 0 : 2 * q->prices.plate);
    }
}

void route_take_risers(struct search *s)
{
    const struct question *q = s->q;
    for (uint32_t storey = q->first_space; storey < q->last_space; storey++) {
        list_risers(s, storey);
        climb(s, storey);
    }
    const riser_list *top = &s->risers[q->last_space - 1];
    for (uint32_t i = 0; i < top->n; i++)
        for (uint32_t b = 0; b < s->leaves_b.n; b++) {
            const struct leave *to = &s->leaves_b.at[b];
            length cost =
                top->at[i].cost +
                round_across(s, &q->spaces[q->last_space], top->at[i].at, to->at, s->best) +
                to->cost;
            if (cost < s->best) {
                s->best = cost;
                s->choice.sort = BY_RISERS;
                s->choice.riser = i;
                s->choice.leave_b = b;
            }
        }
}

#include "propose/spacing.h"

#include "model/model.h"
#include "model/site.h"
#include "propose/cover.h"
#include "propose/sites.h"
#include "rules/placing.h"
#include "rules/receptacles/counter_spaces.h"
#include "rules/receptacles/wall_spaces.h"

#include <stdlib.h>

/* A place on the line of a stretch. */
struct spot {
    length at;
    const struct room *room;
    struct place place;
};

typedef VEC(struct spot) spot_list;

static int by_place(const void *a, const void *b)
{
    const struct spot *p = a, *q = b;
    return (p->at > q->at) - (p->at < q->at);
}

/* In a corner, where a cord is in the way of what stands there. */
static bool is_tight(const struct spot *s)
{
    length l = s->room->walls[s->place.wall].length;
    return s->place.from_left < FOOT / 2 || s->place.from_left > l - FOOT / 2;
}

/* The fewest of the spots that reach what is bare, in corners too or not; false where some of it is
 * out of their reach. */
static bool choose(struct arena *arena, struct cover c, const spot_list *spots, bool tight,
                   chosen_list *chosen)
{
    point_list places = {0};
    stretch_list left = {0};
    VEC(uint32_t) which = {0};
    for (uint32_t i = 0; i < spots->n; i++)
        if (tight || !is_tight(&spots->at[i])) {
            *vec_push(arena, &places) = spots->at[i].at;
            *vec_push(arena, &which) = i;
        }
    c.places = &places;
    cover_left(arena, &c, &left);
    cover_fewest(arena, &c, chosen);
    for (uint32_t i = 0; i < chosen->n; i++)
        chosen->at[i] = which.at[chosen->at[i]];
    return !left.n;
}

/* Takes the fewest of the spots that reach what is bare; those in corners only where fewer do with
 * them. */
static void take_fewest(struct siting *p, const struct cover *c, spot_list *spots)
{
    struct arena *arena = &p->now->arena;
    chosen_list all = {0}, roomy = {0};
    if (spots->n)
        qsort(spots->at, spots->n, sizeof *spots->at, by_place);
    choose(arena, *c, spots, true, &all);
    if (choose(arena, *c, spots, false, &roomy) && roomy.n <= all.n)
        all = roomy;
    for (uint32_t i = 0; i < all.n; i++)
        sites_add(p, spots->at[all.at[i]].room, &spots->at[all.at[i]].place);
}

/* --- walls -------------------------------------------------------------------------------- */

struct adding {
    struct siting *p;
    uint32_t first;
};

/* The spots of a space of the chain, where a receptacle would count for it. */
static void spots_of_space(const struct siting *p, const struct wall_spaces *all,
                           const struct wall_chain *chain, const struct laid_space *l,
                           spot_list *out)
{
    const struct room *r = l->space->room;
    const struct floor_line *line = &all->of_room[r->id].line;
    place_list places = {0};
    sites_of_room(p, r, sites_usual_height(p), &places);
    for (uint32_t i = 0; i < places.n; i++) {
        const struct place *place = &places.at[i];
        struct box b = {.room = (struct room *)r, .place = *place};
        length at = space_floor_place(line, place->wall, place->from_left);
        at += at < l->space->at.from ? line->whole : 0;
        length on = l->begins + at - l->space->at.from;
        if (at <= l->space->at.to && !(chain->closed && on >= chain->long_) &&
            wall_spaces_box_counts(&p->checked, &all->code, &b))
            *vec_push(&p->now->arena, out) = (struct spot){on, r, *place};
    }
}

/* The parts of gaps that lie in the rooms that may get boxes; of a ring once more a round on. */
static void keep_asked(const struct adding *a, const struct wall_chain *chain, stretch_list *gaps)
{
    struct arena *arena = &a->p->now->arena;
    stretch_list others = {0}, kept = {0};
    for (uint32_t i = 0; i < chain->laid.n; i++) {
        const struct laid_space *l = &chain->laid.at[i];
        length to = i + 1 < chain->laid.n ? chain->laid.at[i + 1].begins : chain->long_;
        for (int round = 0; round < 2 && !siting_takes_boxes(a->p, l->space->room, a->first);
             round++)
            *vec_push(arena, &others) =
                (struct stretch){l->begins + round * chain->long_, to + round * chain->long_};
    }
    space_stretches_merge(&others);
    space_stretches_without(arena, gaps, &others, &kept);
    *gaps = kept;
}

static void add_to_chain(const struct wall_spaces *all, const struct wall_chain *chain, void *data)
{
    struct adding *a = data;
    stretch_list gaps = {0};
    spot_list spots = {0};
    wall_spaces_gaps(all, chain, &gaps);
    if (gaps.n)
        keep_asked(a, chain, &gaps);
    for (uint32_t i = 0; i < chain->laid.n && gaps.n; i++)
        if (siting_takes_boxes(a->p, chain->laid.at[i].space->room, a->first))
            spots_of_space(a->p, all, chain, &chain->laid.at[i], &spots);
    if (gaps.n)
        take_fewest(a->p,
                    &(struct cover){.long_ = chain->long_,
                                    .reach = all->code.reach,
                                    .closed = chain->closed,
                                    .gaps = &gaps},
                    &spots);
}

/* --- counters ----------------------------------------------------------------------------- */

static void add_to_counter(struct siting *p, const struct room *r, const struct counter_space *s)
{
    struct arena *arena = &p->now->arena;
    stretch_list gaps = {0};
    spot_list spots = {0};
    place_list places = {0};
    sites_of_room(p, r, sites_counter_height(p), &places);
    for (uint32_t i = 0; i < places.n; i++) {
        struct box b = {.room = (struct room *)r, .place = places.at[i]};
        length at = space_floor_place(&s->line, places.at[i].wall, places.at[i].from_left);
        at += at < s->with_ends.from ? s->line.whole : 0;
        if (at <= s->with_ends.to && counter_spaces_box_counts(&s->code, &b))
            *vec_push(arena, &spots) = (struct spot){at - s->with_ends.from, r, places.at[i]};
    }
    for (uint32_t i = 0; i < s->gaps.n; i++)
        *vec_push(arena, &gaps) = (struct stretch){s->gaps.at[i].from - s->with_ends.from,
                                                   s->gaps.at[i].to - s->with_ends.from};
    take_fewest(p,
                &(struct cover){.long_ = s->with_ends.to - s->with_ends.from,
                                .reach = s->code.reach,
                                .gaps = &gaps},
                &spots);
}

static void add_to_counters(struct siting *p, uint32_t first)
{
    for (uint32_t i = 0; i < p->now->model->rooms.n; i++) {
        const struct room *r = p->now->model->rooms.at[i];
        counter_space_list spaces = {0};
        if (!siting_takes_boxes(p, r, first))
            continue;
        counter_spaces_find(&p->checked, r, &spaces);
        for (uint32_t k = 0; k < spaces.n; k++)
            if (spaces.at[k].gaps.n)
                add_to_counter(p, r, &spaces.at[k]);
    }
}

bool spacing_add(struct siting *p, uint32_t first)
{
    struct wall_spaces all;
    struct adding a = {p, first};
    if (wall_spaces_find(&p->checked, &all))
        wall_spaces_each_chain(&all, add_to_chain, &a);
    add_to_counters(p, first);
    return p->added.n > first;
}

static length long_of(const stretch_list *gaps)
{
    length sum = 0;
    for (uint32_t i = 0; i < gaps->n; i++)
        sum += gaps->at[i].to - gaps->at[i].from;
    return sum;
}

static void add_bare(const struct wall_spaces *all, const struct wall_chain *chain, void *data)
{
    length *sum = data;
    stretch_list gaps = {0};
    wall_spaces_gaps(all, chain, &gaps);
    *sum += long_of(&gaps);
}

length spacing_bare(struct siting *p)
{
    struct wall_spaces all;
    length sum = 0;
    if (wall_spaces_find(&p->checked, &all))
        wall_spaces_each_chain(&all, add_bare, &sum);
    for (uint32_t i = 0; i < p->now->model->rooms.n; i++) {
        const struct room *r = p->now->model->rooms.at[i];
        counter_space_list spaces = {0};
        if (placing_room_is_certain(r))
            counter_spaces_find(&p->checked, r, &spaces);
        for (uint32_t k = 0; k < spaces.n; k++)
            sum += long_of(&spaces.at[k].gaps);
    }
    return sum;
}

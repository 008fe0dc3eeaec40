#include "paper/place.h"

#include "paper/place_work.h"

#include <stdlib.h>

struct placer *place_new(struct arena *arena, struct area page)
{
    struct placer *p = arena_new(arena, struct placer);
    *p = (struct placer){.arena = arena, .page = page, .clear = PLACE_HALO};
    return p;
}

void place_clear(struct placer *p, um clear)
{
    p->clear = clear;
}

void place_trust_leaders(struct placer *p)
{
    p->trust_leaders = true;
}

/* --- what lies on the page ---------------------------------------------------------------------
 */

static void block(struct placer *p, struct place_block b)
{
    if (b.cost.words || b.cost.leader)
        *vec_push(p->arena, &p->blocks) = b;
}

void place_block(struct placer *p, struct area a, struct place_cost cost)
{
    block(p, (struct place_block){.kind = BLOCK_AREA, .area = a, .cost = cost});
}

static struct place_block line_block(struct spot a, struct spot b, um width, struct place_cost cost)
{
    struct place_line l = {a, b};
    return (struct place_block){.kind = BLOCK_LINE,
                                .area = place_line_area(l),
                                .line = l,
                                .radius = width / 2,
                                .cost = cost};
}

void place_block_line(struct placer *p, struct spot a, struct spot b, um width,
                      struct place_cost cost)
{
    block(p, line_block(a, b, width, cost));
}

void place_block_disc(struct placer *p, struct spot at, um radius, struct place_cost cost)
{
    struct area a = {at.x, at.y, at.x, at.y};
    block(p, (struct place_block){.kind = BLOCK_DISC,
                                  .area = area_grown(a, radius),
                                  .line = {at, at},
                                  .radius = radius,
                                  .cost = cost});
}

void place_block_shape(struct placer *p, const struct spot *points, uint32_t count,
                       struct place_cost cost)
{
    struct area a = {points[0].x, points[0].y, points[0].x, points[0].y};
    for (uint32_t i = 1; i < count; i++) {
        struct area of = place_line_area((struct place_line){points[i - 1], points[i]});
        a = (struct area){of.left < a.left ? of.left : a.left, of.top < a.top ? of.top : a.top,
                          of.right > a.right ? of.right : a.right,
                          of.bottom > a.bottom ? of.bottom : a.bottom};
    }
    block(p, (struct place_block){
                 .kind = BLOCK_SHAPE, .area = a, .points = points, .count = count, .cost = cost});
}

void place_wall(struct placer *p, struct spot a, struct spot b, um width)
{
    *vec_push(p->arena, &p->walls) =
        line_block(a, b, width, (struct place_cost){PLACE_NEVER, PLACE_NEVER});
}

void place_thing(struct placer *p, struct area a, uint32_t group)
{
    *vec_push(p->arena, &p->things) = (struct place_thing){a, group};
}

uint32_t place_label(struct placer *p, const struct place_label *label)
{
    *vec_push(p->arena, &p->labels) = *label;
    return p->labels.n - 1;
}

/* --- in an order that depends on the labels alone ----------------------------------------------
 */

static int by_number(int64_t a, int64_t b)
{
    return a < b ? -1 : a > b;
}

/* From the top and left; labels that are alike in all stand as they were said. */
static int compare_labels(const void *va, const void *vb)
{
    const struct place_choice *ca = va, *cb = vb;
    const struct place_label *a = ca->label, *b = cb->label;
    int64_t pairs[][2] = {{a->thing.top, b->thing.top},
                          {a->thing.left, b->thing.left},
                          {a->thing.bottom, b->thing.bottom},
                          {a->thing.right, b->thing.right},
                          {a->priority, b->priority},
                          {a->list, b->list},
                          {a->shape_count, b->shape_count},
                          {a->shapes[0].width, b->shapes[0].width},
                          {a->shapes[0].height, b->shapes[0].height},
                          {a->shapes[1].width, b->shapes[1].width},
                          {a->reach, b->reach},
                          {a->key.width, b->key.width},
                          {a->group, b->group},
                          {ca->number, cb->number}};
    int order = 0;
    for (size_t i = 0; !order && i < sizeof pairs / sizeof *pairs; i++)
        order = by_number(pairs[i][0], pairs[i][1]);
    return order;
}

/* What lies on the page in cells. */
static void file_all(struct placer *p)
{
    place_grid_begin(p->arena, &p->block_grid, p->page, p->blocks.n);
    place_grid_begin(p->arena, &p->wall_grid, p->page, p->walls.n);
    place_grid_begin(p->arena, &p->thing_grid, p->page, p->things.n);
    for (uint32_t i = 0; i < p->blocks.n; i++) {
        const struct place_block *b = &p->blocks.at[i];
        if (b->kind == BLOCK_LINE)
            place_grid_add_line(p->arena, &p->block_grid, b->line, b->radius + MM, i);
        else
            place_grid_add(p->arena, &p->block_grid, b->area, i);
    }
    for (uint32_t i = 0; i < p->walls.n; i++)
        place_grid_add_line(p->arena, &p->wall_grid, p->walls.at[i].line,
                            p->walls.at[i].radius + MM, i);
    for (uint32_t i = 0; i < p->things.n; i++)
        place_grid_add(p->arena, &p->thing_grid, area_grown(p->things.at[i].area, p->clear), i);
}

void place_prepare(struct placer *p)
{
    file_all(p);
    p->choices = arena_array(p->arena, struct place_choice, p->labels.n);
    for (uint32_t i = 0; i < p->labels.n; i++)
        p->choices[i] = (struct place_choice){.label = &p->labels.at[i], .number = i};
    qsort(p->choices, p->labels.n, sizeof *p->choices, compare_labels);
    for (uint32_t i = 0; i < p->labels.n; i++)
        place_make_offers(p, &p->choices[i]);
}

/* --- what was chosen ---------------------------------------------------------------------------
 */

static int compare_lists(const void *va, const void *vb)
{
    const struct place_choice *const *a = va, *const *b = vb;
    int order = by_number((*a)->label->list, (*b)->label->list);
    return order ? order : by_number(*a - *b, 0);
}

/* Keys are numbered in each list, from the top and left. */
static void number_keys(struct placer *p, struct placed *out)
{
    uint32_t n = 0, next = 1;
    const struct place_choice **keys =
        arena_array(p->arena, const struct place_choice *, p->labels.n);
    for (uint32_t i = 0; i < p->labels.n; i++)
        if (p->choices[i].offers[p->choices[i].chosen].how == PLACED_KEY)
            keys[n++] = &p->choices[i];
    qsort(keys, n, sizeof *keys, compare_lists);
    for (uint32_t i = 0; i < n; i++) {
        if (i && keys[i]->label->list != keys[i - 1]->label->list)
            next = 1;
        out[keys[i]->number].number = next++;
    }
}

/* Whether words without a leader could be taken for those of a foreign thing. */
static bool is_in_doubt(struct placer *p, const struct place_choice *c, const struct place_offer *o)
{
    if (o->how == PLACED_NOWHERE || o->leader_count)
        return false;
    uint32_t i;
    um far = place_root(place_gap(o->box, c->label->thing)) + p->clear + PLACE_IN_DOUBT;
    struct place_look look = place_look_at(&p->thing_grid, area_grown(o->box, far));
    while (place_look_next(&look, &i))
        if (p->things.at[i].group != c->label->group &&
            place_gap(o->box, p->things.at[i].area) < far * far)
            return true;
    return false;
}

const struct placed *place_solve(struct placer *p)
{
    place_prepare(p);
    place_search(p);
    struct placed *out = arena_array(p->arena, struct placed, p->labels.n);
    for (uint32_t i = 0; i < p->labels.n; i++) {
        const struct place_choice *c = &p->choices[i];
        const struct place_offer *o = &c->offers[c->chosen];
        struct placed *to = &out[c->number];
        *to = (struct placed){.how = o->how,
                              .shape = o->shape,
                              .box = o->box,
                              .leader_count = o->leader_count,
                              .in_doubt = is_in_doubt(p, c, o)};
        for (uint32_t k = 0; k < (o->leader_count ? o->leader_count : 2u); k++)
            to->leader[k] = o->leader[k];
    }
    number_keys(p, out);
    return out;
}

int64_t place_sum(const struct placer *p)
{
    int64_t sum = 0;
    for (uint32_t i = 0; i < p->labels.n; i++)
        sum += p->choices[i].offers[p->choices[i].chosen].cost;
    return sum;
}

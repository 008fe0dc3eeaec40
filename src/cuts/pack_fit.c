#include "cuts/pack_model.h"

#include <string.h>

struct pack_packing pack_packing_new(struct arena *arena, const struct pack_model *model)
{
    return (struct pack_packing){
        .kind = arena_array(arena, uint32_t, model->cuts),
        .first = arena_array(arena, uint32_t, model->cuts + 1),
        .item = arena_array(arena, uint32_t, model->cuts),
    };
}

void pack_packing_copy(const struct pack_model *model, struct pack_packing *to,
                       const struct pack_packing *from)
{
    to->coils = from->coils;
    memcpy(to->kind, from->kind, model->cuts * sizeof *to->kind);
    memcpy(to->first, from->first, (model->cuts + 1) * sizeof *to->first);
    memcpy(to->item, from->item, model->cuts * sizeof *to->item);
}

int64_t pack_packing_cost(const struct pack_model *model, const struct pack_packing *packing)
{
    int64_t cost = 0;
    for (uint32_t b = 0; b < packing->coils; b++)
        cost += model->kind[packing->kind[b]].cost;
    return cost;
}

/* Coils in a row, each with a kind, a room and its cuts as a chain, and over them a tree that finds
 * the first coil with room enough. */
struct row {
    uint32_t coils, leaves;
    uint32_t *kind, *head, *tail, *next; /* cuts are numbered from 1 in the chains */
    length *most; /* most[leaves + coil] is its room, most[i] the larger of most[2 i] and most[2 i +
                     1] */
};

static struct row row_new(struct arena *arena, uint32_t coils, uint32_t cuts)
{
    struct row row = {.leaves = 1};
    while (row.leaves < coils)
        row.leaves *= 2;
    row.kind = arena_array(arena, uint32_t, coils);
    row.head = arena_array(arena, uint32_t, coils);
    row.tail = arena_array(arena, uint32_t, coils);
    row.next = arena_array(arena, uint32_t, cuts + 1);
    row.most = arena_array(arena, length, 2 * (size_t)row.leaves);
    for (uint32_t i = 0; i < 2 * row.leaves; i++)
        row.most[i] = -1;
    return row;
}

static void row_set_room(struct row *row, uint32_t coil, length room)
{
    uint32_t i = row->leaves + coil;
    row->most[i] = room;
    while (i /= 2)
        row->most[i] =
            row->most[2 * i] > row->most[2 * i + 1] ? row->most[2 * i] : row->most[2 * i + 1];
}

static void row_open(const struct pack_model *model, struct row *row, uint32_t kind)
{
    row->kind[row->coils] = kind;
    row_set_room(row, row->coils++, model->kind[kind].cap);
}

/* The first coil with so much room; UINT32_MAX if none has. */
static uint32_t row_find(const struct row *row, length size)
{
    if (row->most[1] < size)
        return UINT32_MAX;
    uint32_t i = 1;
    while (i < row->leaves)
        i = row->most[2 * i] >= size ? 2 * i : 2 * i + 1;
    return i - row->leaves;
}

static void row_add(struct row *row, uint32_t coil, uint32_t cut, length size)
{
    if (row->tail[coil])
        row->next[row->tail[coil]] = cut;
    else
        row->head[coil] = cut;
    row->tail[coil] = cut;
    row_set_room(row, coil, row->most[row->leaves + coil] - size);
}

/* Opens all free coils, shortest first: kinds are sorted by length, longest first. */
static void open_free_coils(const struct pack_model *model, struct row *row, uint32_t *left)
{
    for (uint32_t k = model->kinds; k-- > 0;) {
        if (model->kind[k].cost)
            continue;
        for (; left[k]; left[k]--)
            row_open(model, row, k);
    }
}

static bool is_cheaper_by_length(const struct pack_kind *a, const struct pack_kind *b)
{
    return (__int128)a->cost * b->cap < (__int128)b->cost * a->cap;
}

/* The kind of the next coil to buy for a cut; UINT32_MAX if there is none. */
static uint32_t kind_to_buy(const struct pack_model *model, const uint32_t *left, uint32_t prefer,
                            length size)
{
    uint32_t best = UINT32_MAX;
    for (uint32_t k = 0; k < model->kinds; k++) {
        const struct pack_kind *kind = &model->kind[k];
        if (!left[k] || kind->cap < size)
            continue;
        if (k == prefer)
            return k;
        if (best == UINT32_MAX || is_cheaper_by_length(kind, &model->kind[best]))
            best = k;
    }
    return best;
}

/* Each coil that costs becomes the cheapest that still holds its cuts. */
static void shrink_coils(const struct pack_model *model, struct row *row, uint32_t *left)
{
    for (uint32_t b = 0; b < row->coils; b++) {
        uint32_t now = row->kind[b], best = now;
        if (!row->head[b] || !model->kind[now].cost)
            continue;
        length load = model->kind[now].cap - row->most[row->leaves + b];
        for (uint32_t k = 0; k < model->kinds; k++)
            if (left[k] && model->kind[k].cap >= load &&
                model->kind[k].cost < model->kind[best].cost)
                best = k;
        if (best == now)
            continue;
        left[now]++;
        left[best]--;
        row->kind[b] = best;
    }
}

/* Puts the coils that hold something behind those of the packing. */
static void append_row(const struct row *row, const uint32_t *size_of_cut,
                       struct pack_packing *packing)
{
    uint32_t item = packing->first[packing->coils];
    for (uint32_t b = 0; b < row->coils; b++) {
        if (!row->head[b])
            continue;
        packing->kind[packing->coils++] = row->kind[b];
        for (uint32_t cut = row->head[b]; cut; cut = row->next[cut])
            packing->item[item++] = size_of_cut[cut];
        packing->first[packing->coils] = item;
    }
}

static bool fill_row(const struct pack_model *model, struct row *row, uint32_t *rem, uint32_t *left,
                     uint32_t prefer, uint32_t *size_of_cut)
{
    uint32_t cut = 0;
    open_free_coils(model, row, left);
    for (uint32_t i = 0; i < model->sizes; i++) {
        for (; rem[i]; rem[i]--) {
            uint32_t coil = row_find(row, model->size[i]);
            if (coil == UINT32_MAX) {
                uint32_t kind = kind_to_buy(model, left, prefer, model->size[i]);
                if (kind == UINT32_MAX)
                    return false;
                left[kind]--;
                coil = row->coils;
                row_open(model, row, kind);
            }
            size_of_cut[++cut] = i;
            row_add(row, coil, cut, model->size[i]);
        }
    }
    return true;
}

bool pack_first_fit(struct arena *arena, const struct pack_model *model,
                    struct pack_packing *packing, uint32_t *rem, const uint32_t *limit,
                    uint32_t prefer)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    uint32_t cuts = 0, coils = 0;
    for (uint32_t i = 0; i < model->sizes; i++)
        cuts += rem[i];
    for (uint32_t k = 0; k < model->kinds; k++)
        coils += model->kind[k].cost ? 0 : limit[k];
    uint32_t *left = arena_array(&scratch, uint32_t, model->kinds);
    uint32_t *size_of_cut = arena_array(&scratch, uint32_t, cuts + 1);
    memcpy(left, limit, model->kinds * sizeof *left);
    struct row row = row_new(&scratch, coils + cuts + 1, cuts);
    bool fits = fill_row(model, &row, rem, left, prefer, size_of_cut);
    if (fits) {
        shrink_coils(model, &row, left);
        append_row(&row, size_of_cut, packing);
    }
    arena_free(&scratch);
    return fits;
}

/* A better order of the breakers in a panel: advice, and nobody follows it but the plan's author.
 *
 * A single breaker weighs its load on its line. To move one from the heavier line to a free space
 * of the lighter one takes twice its load from the difference; to let two change places takes twice
 * what one is heavier. So the best step is the pair whose weights differ by nearly half of the
 * difference, found in two sorted lists that are walked together. */
#include "loads/panel.h"
#include "model/model.h"
#include "resolve/library.h"

#include <math.h>
#include <stdlib.h>

/* A breaker that may go elsewhere, or a free space (circuit NULL). */
struct seated {
    const struct circuit *circuit;
    uint32_t space;
    double va;
};

typedef VEC(struct seated) seated_list;

struct ordering {
    struct arena *arena;
    const struct panels *panels;
    const struct panel *panel;
    seated_list line[2];
};

static int by_va(const void *a, const void *b)
{
    const struct seated *x = a, *y = b;
    if (x->va != y->va)
        return x->va < y->va ? -1 : 1;
    return x->space < y->space ? -1 : x->space > y->space;
}

static bool may_move(const struct circuit *c, const struct circuit_space *s)
{
    return !c->existing && s->space && s->poles == 1 && !s->half;
}

static void list_seated(struct ordering *o)
{
    const struct panel *p = o->panel;
    const uint8_t *used = panel_used_spaces(o->arena, o->panels, p);
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *c = p->circuits.at[i];
        const struct circuit_space *s = &o->panels->of_circuit[c->id];
        unsigned line = s->space ? space_line(s->space) : 0;
        if (may_move(c, s))
            *vec_push(o->arena, &o->line[line]) = (struct seated){c, s->space, s->line_va[line]};
    }
    uint32_t free[2] = {0, 0}; /* no more of a line than may be wanted */
    for (uint32_t n = 1; n <= p->spaces; n++)
        if (!used[n] && free[space_line(n)]++ < MOST_MOVES)
            *vec_push(o->arena, &o->line[space_line(n)]) = (struct seated){.space = n};
    for (unsigned line = 0; line < 2; line++)
        if (o->line[line].n)
            qsort(o->line[line].at, o->line[line].n, sizeof *o->line[line].at, by_va);
}

/* The breaker of the heavier line and what it changes with, so that the difference left is least.
 */
static bool best_pair(struct ordering *o, unsigned heavy, double difference, struct seated **from,
                      struct seated **to)
{
    seated_list *a = &o->line[heavy], *b = &o->line[!heavy];
    double least = difference;
    uint32_t k = 0;
    *from = NULL;
    for (uint32_t i = 0; i < a->n; i++) {
        if (!a->at[i].circuit)
            continue;
        while (k + 1 < b->n && a->at[i].va - b->at[k].va > difference / 2)
            k++;
        for (uint32_t j = k ? k - 1 : 0; j <= k && j < b->n; j++) {
            double left = fabs(difference - 2 * (a->at[i].va - b->at[j].va));
            if (left + 1 >= least) /* less than 1 VA is nothing */
                continue;
            least = left;
            *from = &a->at[i];
            *to = &b->at[j];
        }
    }
    return *from != NULL;
}

static void change_places(struct ordering *o, struct seated *from, struct seated *to)
{
    struct seated moved = {from->circuit, to->space, from->va};
    *from = (struct seated){to->circuit, from->space, to->va};
    *to = moved;
    for (unsigned line = 0; line < 2; line++)
        qsort(o->line[line].at, o->line[line].n, sizeof *o->line[line].at, by_va);
}

struct better_order panel_better_order(struct arena *arena, const struct panels *panels,
                                       const struct panel *p)
{
    const struct panel_lines *lines = &panels->of_panel[p->id];
    struct better_order better = {.va = {lines->va[0], lines->va[1]}};
    struct ordering o = {.arena = arena, .panels = panels, .panel = p};
    list_seated(&o);
    while (better.moves < MOST_MOVES) {
        unsigned heavy = better.va[1] > better.va[0];
        struct seated *from, *to;
        if (!best_pair(&o, heavy, better.va[heavy] - better.va[!heavy], &from, &to))
            break;
        better.move[better.moves++] = (struct panel_move){from->circuit, to->circuit, to->space};
        better.va[heavy] -= from->va - to->va;
        better.va[!heavy] += from->va - to->va;
        change_places(&o, from, to);
    }
    return better;
}

bool panel_is_uneven(struct model *m, const struct panel_lines *lines, double than)
{
    double most = fmax(than, fmax(lines->va[0], lines->va[1]));
    return fabs(lines->va[0] - lines->va[1]) >
           most * code_share(&m->code, SET_PANEL_BALANCE_NOTE_ABOVE, 1);
}

uint32_t panel_loads_unsaid(const struct panels *panels, const struct panel *p)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *c = p->circuits.at[i];
        const struct circuit_space *s = &panels->of_circuit[c->id];
        count += !c->existing && c->parts.n && s->line_va[0] + s->line_va[1] <= 0;
    }
    return count;
}

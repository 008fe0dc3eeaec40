#include "loads/panel.h"

#include <stdlib.h>

/* A panel while its spaces are given out. */
struct layout {
    const struct loads *loads;
    const struct panel *panel;
    struct circuit_space *of_circuit;
    struct panel_lines *lines;
    bool *used;                  /* by space, from 1 */
    uint32_t spaces;
    double amps[2];              /* of the breakers on each line */
    uint32_t next[2];            /* the first space of each line that may be free */
    uint32_t next_pair;          /* the first that may be free together with the one below it */
};

static uint8_t poles_of(const struct circuit *c)
{
    return c->two_pole || c->multiwire || c->feeds ? 2 : 1;
}

/* Parts of a two-pole circuit that say on which pole they are; the rest of the load is on both alike. */
static void split_poles(const struct layout *l, const struct circuit *c, struct circuit_space *s)
{
    const struct circuit_load *load = &l->loads->of_circuit[c->id];
    double rest = load->va, rest_continuous = load->continuous_va;
    for (uint32_t i = 0; i < c->parts.n; i++) {
        const struct part *p = c->parts.at[i];
        if (!p->pole || p->control)
            continue;
        unsigned line = p->pole == 'b';
        s->line_va[line] += p->load;
        rest -= p->load;
        if (p->continuous) {
            s->line_continuous[line] += p->load;
            rest_continuous -= p->load;
        }
    }
    for (unsigned line = 0; line < 2; line++) {
        s->line_va[line] += rest / 2;
        s->line_continuous[line] += rest_continuous / 2;
    }
}

/* Line b of a breaker whose first space is on line B is line A. */
static void swap_lines(struct circuit_space *s)
{
    double va = s->line_va[0], continuous = s->line_continuous[0];
    s->line_va[0] = s->line_va[1];
    s->line_va[1] = va;
    s->line_continuous[0] = s->line_continuous[1];
    s->line_continuous[1] = continuous;
}

static void place(struct layout *l, const struct circuit *c, uint32_t space)
{
    struct circuit_space *s = &l->of_circuit[c->id];
    const struct circuit_load *load = &l->loads->of_circuit[c->id];
    unsigned line = space_line(space);
    s->space = space;
    if (s->poles == 2) {
        split_poles(l, c, s);
        if (line)
            swap_lines(s);
    } else {
        s->line_va[line] = load->va;
        s->line_continuous[line] = load->continuous_va;
    }
    for (unsigned i = 0; i < 2; i++) {
        l->amps[i] += s->poles == 2 || i == line ? c->breaker : 0;
        l->lines->va[i] += s->line_va[i];
        l->lines->continuous_va[i] += s->line_continuous[i];
    }
    if (space <= l->spaces)
        l->used[space] = true;
    if (s->poles == 2 && space + 2 <= l->spaces)
        l->used[space + 2] = true;
}

/* The first free space of a line, or 0. */
static uint32_t free_space(struct layout *l, unsigned line)
{
    uint32_t *n = &l->next[line];
    while (*n <= l->spaces && l->used[*n])
        *n += *n % 2 ? 1 : 3;
    return *n <= l->spaces ? *n : 0;
}

static uint32_t free_pair(struct layout *l)
{
    while (l->next_pair + 2 <= l->spaces && (l->used[l->next_pair] || l->used[l->next_pair + 2]))
        l->next_pair++;
    return l->next_pair + 2 <= l->spaces ? l->next_pair : 0;
}

static void place_automatically(struct layout *l, const struct circuit *c)
{
    uint32_t space;
    if (poles_of(c) == 2) {
        space = free_pair(l);
    } else {
        const double *measure = l->loads->of_circuit[c->id].va > 0 ? l->lines->va : l->amps;
        unsigned lighter = measure[1] < measure[0];
        space = free_space(l, lighter);
        if (!space)
            space = free_space(l, !lighter);
    }
    if (space)
        place(l, c, space);
}

struct waiting {
    const struct circuit *circuit;
    double va;
    uint8_t poles;
};

static int by_weight(const void *a, const void *b)
{
    const struct waiting *x = a, *y = b;
    if (x->poles != y->poles)
        return x->poles > y->poles ? -1 : 1;
    if (x->va != y->va)
        return x->va > y->va ? -1 : 1;
    return x->circuit->id < y->circuit->id ? -1 : x->circuit->id > y->circuit->id;
}

/* More spaces than any panel has: a figure beyond it is a slip, and not worth the memory. */
enum { MOST_SPACES = 10000 };

/* A panel that does not say how many spaces it has is as large as its circuits want. */
static uint32_t spaces_of(const struct panel *p)
{
    if (p->spaces)
        return p->spaces < MOST_SPACES ? p->spaces : MOST_SPACES;
    uint32_t most = 0;
    for (uint32_t i = 0; i < p->circuits.n; i++)
        if (p->circuits.at[i]->space > most)
            most = p->circuits.at[i]->space;
    for (uint32_t i = 0; i < p->taken.n; i++)
        if (p->taken.at[i].last > most)
            most = p->taken.at[i].last;
    return (most < MOST_SPACES ? most : MOST_SPACES) + 4 * p->circuits.n + 4;
}

static void lay_out(struct arena *arena, struct layout *l)
{
    const struct panel *p = l->panel;
    l->spaces = spaces_of(p);
    l->used = arena_array(arena, bool, (size_t)l->spaces + 1);
    l->next[0] = l->next_pair = 1;
    l->next[1] = 3;
    for (uint32_t i = 0; i < p->taken.n; i++)
        for (uint64_t n = p->taken.at[i].first; n <= p->taken.at[i].last && n <= l->spaces; n++)
            l->used[n] = true;
    struct waiting *waiting = arena_array(arena, struct waiting, p->circuits.n);
    uint32_t count = 0;
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *c = p->circuits.at[i];
        l->of_circuit[c->id].poles = poles_of(c);
        if (c->space)
            place(l, c, c->space);
        else if (!c->existing)
            waiting[count++] = (struct waiting){c, l->loads->of_circuit[c->id].va, poles_of(c)};
    }
    qsort(waiting, count, sizeof *waiting, by_weight);
    for (uint32_t i = 0; i < count; i++)
        place_automatically(l, waiting[i].circuit);
}

struct panels *panels_lay_out(struct arena *arena, const struct model *m, const struct loads *loads)
{
    struct panels *panels = arena_new(arena, struct panels);
    panels->of_circuit = arena_array(arena, struct circuit_space, m->circuits.n);
    panels->of_panel = arena_array(arena, struct panel_lines, m->panels.n);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        panels->of_circuit[i].poles = poles_of(m->circuits.at[i]);
    for (uint32_t i = 0; i < m->panels.n; i++) {
        struct layout l = {.loads = loads, .panel = m->panels.at[i], .of_circuit = panels->of_circuit, .lines = &panels->of_panel[i]};
        lay_out(arena, &l);
    }
    return panels;
}

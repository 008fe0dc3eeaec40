#include "rules/dwelling.h"

void each_dwelling(const struct checked *c, void (*check)(const struct dwelling *d))
{
    const struct model *m = c->model;
    struct dwelling *all = arena_array(m->arena, struct dwelling, m->units.n + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        struct dwelling *d = &all[m->rooms.at[i]->unit ? m->rooms.at[i]->unit->id + 1 : 0];
        *vec_push(m->arena, &d->rooms) = m->rooms.at[i];
    }
    for (uint32_t i = 0; i <= m->units.n; i++) {
        all[i].c = c;
        check(&all[i]);
    }
}

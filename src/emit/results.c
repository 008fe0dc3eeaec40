#include "emit/results.h"

#include "loads/panel.h"
#include "model/address.h"
#include "model/model.h"
#include "wiring/wiring.h"

void results_prepare(struct results *r)
{
    r->views = arena_new(r->arena, struct views);
    r->views->runs = arena_array(r->arena, const struct run_view *, r->model->runs.n + 1);
    r->views->boxes = arena_array(r->arena, const struct box_view *, r->model->boxes.n + 1);
    for (uint32_t i = 0; i < r->model->circuits.n; i++) {
        const char *address = address_of_circuit(r->arena, r->model->circuits.at[i], false);
        map_put(r->arena, &r->circuits, 0, (uintptr_t)names_of(r->model->names, address),
                r->model->circuits.at[i]);
    }
    for (uint32_t i = 0; i < r->model->legs.n; i++) {
        const struct leg_wiring *w = &r->wiring->of_leg[i];
        for (uint32_t k = 0; k < w->count; k++)
            map_put(r->arena, &r->switch_kinds, 0, (uintptr_t)w->switches[k],
                    (char *)wiring_switch_kind_word(w->kinds[k]));
    }
}

/* What is cut for runs that lie in raceways: conductors off the spool of their colour, raceways off
 * sticks or coils. Each sort is made a cable of its own, so that one allotment serves all. */
#include "cuts/work.h"

#include "framing/routes.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <string.h>

bool cuts_is_coil_of(const struct coil *coil, const struct cable_def *cable)
{
    if (cable->raceway)
        return coil->raceway == cable->raceway;
    if (!cable->of || cable->conductors != 1)
        return coil->cable == cable;
    const char *color = coil->color ? coil->color : coil->on_hand ? "black" : cable->colors[0];
    return coil->cable == cable->of && !strcmp(color, cable->colors[0]);
}

static struct cable_def *add_goods(const struct cutting *x, void **at, struct cable_def like)
{
    struct cable_def *made = *at = arena_new(x->arena, struct cable_def);
    *made = like;
    made->title = made->name;
    *vec_push(x->arena, &x->goods->list) = made;
    return made;
}

/* The spool of a conductor in one colour. */
static const struct cable_def *spool(const struct cutting *x, const struct cable_def *single,
                                     const char *color)
{
    color = names_of(x->m->names, color);
    void **at = map_at(x->arena, &x->goods->found, (uintptr_t)single, (uintptr_t)color);
    if (*at)
        return *at;
    const char **colors = arena_array(x->arena, const char *, 1);
    *colors = color;
    struct cable_def like = *single;
    like.name = names_of(x->m->names, arena_printf(x->arena, "%s-%s", single->name, color));
    like.of = single;
    like.colors = colors;
    return add_goods(x, at, like);
}

static const struct cable_def *tube(const struct cutting *x, const struct raceway_def *w)
{
    void **at = map_at(x->arena, &x->goods->found, (uintptr_t)w, 0);
    if (*at)
        return *at;
    return add_goods(x, at,
                     (struct cable_def){.name = w->name,
                                        .family = w->family,
                                        .raceway = w,
                                        .stock = w->stick > 0 ? &w->stick : w->stock,
                                        .stock_count = w->stick > 0 ? 1 : w->stock_count});
}

/* The single conductor of another size: a ground wire is one of the same sort. */
static const struct cable_def *of_size(const struct model *m, const struct cable_def *single,
                                       const char *size)
{
    for (uint32_t i = 0; i < m->lib->cable_list.n; i++) {
        const struct cable_def *d = m->lib->cable_list.at[i];
        if (d->single && d->size == size && d->metal == single->metal)
            return d;
    }
    return single;
}

static length rounded(const struct model *m, length l)
{
    return m->stock_step > 0 ? (l + m->stock_step - 1) / m->stock_step * m->stock_step : l;
}

/* Of sticks the whole ones, then the piece that is left. */
static void each_tube(const struct cutting *x, const struct run *run,
                      void (*add)(void *, const struct cable_def *, struct piece), void *context)
{
    const struct raceway_def *w = run->raceway;
    length left = rounded(x->m, route_raceway_length(run, &x->routes->of_run[run->id]));
    for (; w->stick > 0 && left > w->stick; left -= w->stick)
        add(context, tube(x, w), (struct piece){run, w->stick});
    if (left > 0)
        add(context, tube(x, w), (struct piece){run, left});
}

void goods_each(const struct cutting *x, const struct run *run, length length,
                void (*add)(void *context, const struct cable_def *of, struct piece piece),
                void *context)
{
    const struct cable_def *set = wiring_cable_of_run(run, x->wiring);
    for (uint8_t i = 0; set && set->of && i < set->conductors; i++)
        add(context, spool(x, set->of, set->colors[i]), (struct piece){run, length});
    bool wire = set && set->of && set->ground != GROUND_RACEWAY;
    if (wire)
        add(context,
            spool(x, of_size(x->m, set->of, set->ground_size),
                  set->ground == GROUND_BARE ? "bare" : "green"),
            (struct piece){run, length});
    each_tube(x, run, add, context);
}

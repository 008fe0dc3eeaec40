#include "emit/views.h"

#include "base/length.h"
#include "cuts/cuts.h"
#include "cuts/labels.h"
#include "facts/pulls.h"
#include "facts/tags.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/places.h"
#include "facts/existing.h"
#include "facts/facts.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "model/power.h"
#include "prove/prove.h"
#include "wiring/wiring.h"

/* --- runs --------------------------------------------------------------------------------- */

static const char *end_words(struct arena *arena, struct end e)
{
    return e.box || e.panel ? address_of_end(arena, e, false) : NULL;
}

static const char *work_words(struct arena *arena, const struct run *run)
{
    return run->circuit       ? address_of_circuit(arena, run->circuit, false)
           : run->low_voltage ? run->low_voltage->name
                              : NULL;
}

static struct run_view *view_run(const struct results *r, const struct run *run)
{
    struct arena *a = r->arena;
    struct run_view *v = arena_new(a, struct run_view);
    const struct cable_def *cable = wiring_cable_of_run(run, r->wiring);
    v->run = run;
    v->unit = facts_unit_of_run(run);
    v->address = address_of_run(a, run, false);
    v->tag = facts_run_tag(a, run);
    v->label = label_on_run(run) ? v->tag : NULL;
    v->from = end_words(a, run->from);
    v->to = end_words(a, run->to);
    v->work = work_words(a, run);
    v->cable = !cable         ? NULL
               : run->raceway ? arena_printf(a, "%s in %s", cable->name, run->raceway->name)
                              : cable->name;
    v->written = cable ? library_as_written(cable)->name : NULL;
    v->route = &r->routes->of_run[run->id];
    v->wiring = &r->wiring->of_run[run->id];
    v->pulled = address_between(a, facts_pull_from(run), facts_pull_to(run), false);
    v->cut =
        v->route->known && run == facts_pulled_with(run) ? length_words(a, v->route->cut) : NULL;
    if (log_hangs(r->log, run->id) && r->log->of_run[run->id].in_wall)
        v->hangs = length_words(a, r->log->of_run[run->id].in_wall);
    v->room =
        facts_room_of_end(run->to) ? facts_room_of_end(run->to) : facts_room_of_end(run->from);
    v->built = facts_is_built(v->unit);
    v->home_run = run->from.panel || run->to.panel;
    return v;
}

const struct run_view *view_of_run(const struct results *r, const struct run *run)
{
    const struct run_view **at = &r->views->runs[run->id];
    return *at ? *at : (*at = view_run(r, run));
}

const struct run_view *view_built_run(const struct results *r, uint32_t i)
{
    const struct run_view *v = view_of_run(r, r->model->runs.at[i]);
    return v->built ? v : NULL;
}

/* --- what is proven ----------------------------------------------------------------------- */

const char *view_unproven(const struct results *r, const struct circuit *c)
{
    const char *why = c ? r->verdict->circuits[c->id].left_out : NULL;
    return why ? arena_printf(r->arena, "circuit %s: %s", words_circuit(r, c), why) : NULL;
}

static const char *why_unproven(const struct results *r, const struct box *b)
{
    const char *why = NULL;
    for (uint32_t i = 0; i < b->runs.n && !why; i++) {
        why = view_unproven(r, b->runs.at[i]->circuit);
        for (uint32_t k = 0; k < b->runs.at[i]->also.n && !why; k++)
            why = view_unproven(r, b->runs.at[i]->also.at[k]);
    }
    return why;
}

/* --- boxes -------------------------------------------------------------------------------- */

static const char *wall_words(const struct box *b)
{
    const struct place *p = &b->place;
    if (p->where == ON_WALL)
        return p->wall < b->room->wall_count ? b->room->walls[p->wall].name : NULL;
    return p->where == OVERHEAD ? "overhead" : p->on_island ? "island" : "floor";
}

static void view_type(const struct results *r, struct box_view *v)
{
    const struct box *b = v->box;
    const struct box_type *type = v->fill->type;
    if (!type) {
        v->type_words = facts_type_untold(b) ? "unknown, existing"
                        : b->existing        ? "existing"
                        : b->compartment     ? "its own compartment"
                                             : NULL;
        return;
    }
    v->type = type->name;
    v->ring = words_ring(r->arena, type, b->room->finish);
    v->type_words = arena_printf(r->arena, "%s%s%s%s", v->type, v->ring ? ", ring " : "",
                                 v->ring ? v->ring : "", b->existing ? ", existing" : "");
}

static struct box_view *view_box(const struct results *r, const struct box *b)
{
    struct box_view *v = arena_new(r->arena, struct box_view);
    const char **words = arena_array(r->arena, const char *, b->device_count),
               **told = arena_array(r->arena, const char *, b->device_count);
    for (uint32_t i = 0; i < b->device_count; i++) {
        words[i] = device_words(r, b->devices[i]);
        told[i] = device_told_words(r, b->devices[i]);
    }
    v->box = b;
    v->unit = b->room->unit;
    v->address = address_of_box(r->arena, b, false);
    v->room = address_of_room(r->arena, b->room, false);
    v->wall = wall_words(b);
    v->devices = words;
    v->told = told;
    v->fill = &r->wiring->of_box[b->id];
    v->unproven = why_unproven(r, b);
    v->built = facts_is_built(v->unit);
    v->on_wall = b->place.where == ON_WALL && v->wall;
    v->on_plan = b->room->level && b->room->wall_count && v->built && b->place.known &&
                 facts_known(b, ITS_TEXT);
    view_type(r, v);
    return v;
}

const struct box_view *view_of_box(const struct results *r, const struct box *b)
{
    const struct box_view **at = &r->views->boxes[b->id];
    return *at ? *at : (*at = view_box(r, b));
}

const struct box_view *view_built_box(const struct results *r, uint32_t i)
{
    const struct box_view *v = view_of_box(r, r->model->boxes.at[i]);
    return v->built ? v : NULL;
}

const struct place *view_place_of_box(const struct results *r, const struct box *b)
{
    return &r->routes->mountings->of_box[b->id].place;
}

const struct place *view_place_of_panel(const struct results *r, const struct panel *p)
{
    return &r->routes->mountings->of_panel[p->id].place;
}

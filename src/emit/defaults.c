/* What a plan left out: for tools that show it beside the text. */
#include "emit/defaults.h"

#include "base/json.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/wiring.h"

struct writer {
    struct model *m;
    struct json *json;
    struct map seen; /* (node, what): copies share their statement */
};

static void write(struct writer *w, const struct node *n, const char *what, const char *value)
{
    void **at = map_at(w->m->arena, &w->seen, (uintptr_t)n, (uintptr_t)what);
    if (*at || !n || node_broken(n) || !value)
        return;
    *at = w;
    struct span s = node_span(n);
    struct position p = source_position(w->m->arena, s.source, s.off);
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "what", what);
    json_string_member(w->json, "value", value);
    json_string_member(w->json, "file", s.source->path);
    json_integer_member(w->json, "line", p.line);
    json_integer_member(w->json, "column", p.column);
    json_end(w->json);
}

/* Floors and ceilings are named in feet; heights on a wall, spacings and what is left over, in
 * inches. */
static void write_plan(struct writer *w)
{
    const struct model *m = w->m;
    const struct node *plan = m->plan;
    if (!plan)
        return;
    if (!m->written.supply)
        write(w, plan, "supply", arena_printf(m->arena, "%g/%g V", m->volts, m->line_volts));
    if (!m->written.slack)
        write(w, plan, "slack", length_inch_words(w->m->arena, m->slack));
    if (!m->written.stock_step)
        write(w, plan, "stock-step", length_inch_words(w->m->arena, m->stock_step));
    if (m->code.residential)
        write(w, plan, "edition", m->code.residential->name);
}

static void write_level(struct writer *w, const struct level *l)
{
    const struct node *n = l->node ? l->node : w->m->plan; /* a plan without a level has one */
    struct arena *a = w->m->arena;
    const struct framing *f = &l->joists;
    if (!n)
        return;
    if (!l->written.floor)
        write(w, n, "floor", length_words(w->m->arena, l->floor));
    if (!l->written.ceiling)
        write(w, n, "ceiling", length_words(w->m->arena, l->ceiling));
    if (!l->written.walls)
        write(w, n, "walls",
              arena_printf(a, "%s at %s", l->walls.lumber.name,
                           length_inch_words(w->m->arena, l->walls.spacing)));
    if (!l->written.joists)
        write(w, n, "joists",
              arena_printf(a, "%s at %s running %s", f->lumber.name,
                           length_inch_words(w->m->arena, f->spacing),
                           f->running_north ? "north" : "east"));
    if (!l->written.bore)
        write(w, n, "bore", length_inch_words(w->m->arena, l->bore));
}

static void write_box(struct writer *w, const struct wiring *wiring, const struct box *b)
{
    const struct fill *fill = &wiring->of_box[b->id];
    if (b->place.known && (b->place.where == ON_WALL || b->place.on_island) && !b->place.up_written)
        write(w, b->node, "up", length_inch_words(w->m->arena, b->place.up));
    if (fill->inferred && fill->type)
        write(w, b->node, "type", fill->type->name);
    for (uint32_t i = 0; i < b->device_count; i++)
        for (uint32_t k = 0; k < b->devices[i]->part_count; k++)
            if (!b->devices[i]->parts[k].load_written && b->devices[i]->parts[k].load > 0)
                write(w, b->devices[i]->parts[k].node, "load",
                      arena_printf(w->m->arena, "%g VA", b->devices[i]->parts[k].load));
}

static void write_run(struct writer *w, const struct wiring *wiring, const struct run *r)
{
    const struct cable_def *cable = wiring->of_run[r->id].cable;
    if (!r->declared && !r->single && cable)
        write(w, r->node, "cable", (cable->of ? cable->of : cable)->name);
}

static void write_feeder(struct writer *w, const struct panel *p)
{
    if (p->feeder && !p->feeder->breaker_node && p->feeder->breaker > 0)
        write(w, p->feeder->node, "breaker", arena_printf(w->m->arena, "%g A", p->feeder->breaker));
}

void defaults_json(struct model *m, const struct wiring *wiring, struct json *j)
{
    struct writer writer = {.m = m, .json = j}, *w = &writer;
    json_key(j, "defaults");
    json_begin_array(j, JSON_LINES);
    write_plan(w);
    for (uint32_t i = 0; i < m->levels.n; i++)
        write_level(w, m->levels.at[i]);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (m->rooms.at[i]->kind_guessed && m->rooms.at[i]->kind_count)
            write(w, m->rooms.at[i]->node, "kind", m->rooms.at[i]->kinds[0]->name);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        write_box(w, wiring, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->panels.n; i++)
        write_feeder(w, m->panels.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++)
        write_run(w, wiring, m->runs.at[i]);
    json_end(j);
}

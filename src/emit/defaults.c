/* What a plan left out: for tools that show it beside the text. */
#include "emit/defaults.h"

struct writer {
    struct model *m;
    struct buf *out;
    struct map seen; /* (node, what): copies share their statement */
    bool any;
};

static void write(struct writer *w, const struct node *n, const char *what, const char *value)
{
    void **at = map_at(w->m->arena, &w->seen, (uintptr_t)n, (uintptr_t)what);
    if (*at || !n || n->broken || !value)
        return;
    *at = w;
    struct position p = source_position(w->m->arena, n->source, node_span(n).off);
    buf_printf(w->out, "%s\n    {\"what\": \"%s\", \"value\": ", w->any ? "," : "", what);
    buf_json(w->out, value);
    buf_puts(w->out, ", \"file\": ");
    buf_json(w->out, n->source->path);
    buf_printf(w->out, ", \"line\": %u, \"column\": %u}", p.line, p.column);
    w->any = true;
}

static const char *length_words(struct writer *w, length l, void (*print)(struct buf *, length))
{
    struct buf b = {0};
    print(&b, l);
    const char *text = arena_copy(w->m->arena, b.at, b.n);
    buf_free(&b);
    return text;
}

/* Floors and ceilings are named in feet; heights on a wall, spacings and what is left over, in
 * inches. */
static const char *feet(struct writer *w, length l)
{
    return length_words(w, l, length_print);
}

static const char *inches(struct writer *w, length l)
{
    return length_words(w, l, length_print_inches);
}

static void write_plan(struct writer *w)
{
    const struct model *m = w->m;
    const struct node *plan = m->plan;
    if (!plan)
        return;
    if (!node_child(plan, F_SUPPLY))
        write(w, plan, "supply", arena_printf(m->arena, "%g/%g V", m->volts, m->line_volts));
    if (!node_child(plan, F_SLACK))
        write(w, plan, "slack", inches(w, m->slack));
    if (!node_child(plan, F_STOCK_STEP))
        write(w, plan, "stock-step", inches(w, m->stock_step));
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
    if (!node_child(l->node, F_FLOOR))
        write(w, n, "floor", feet(w, l->floor));
    if (!node_child(l->node, F_CEILING))
        write(w, n, "ceiling", feet(w, l->ceiling));
    if (!node_child(l->node, F_WALLS))
        write(w, n, "walls",
              arena_printf(a, "%s at %s", l->walls.lumber.name, inches(w, l->walls.spacing)));
    if (!node_child(l->node, F_JOISTS))
        write(w, n, "joists",
              arena_printf(a, "%s at %s running %s", f->lumber.name, inches(w, f->spacing),
                           f->running_north ? "north" : "east"));
    if (!node_child(l->node, F_BORE))
        write(w, n, "bore", inches(w, l->bore));
}

static void write_box(struct writer *w, const struct wiring *wiring, const struct box *b)
{
    const struct fill *fill = &wiring->of_box[b->id];
    if (b->place.where == ON_WALL && !node_value(b->node, 3))
        write(w, b->node, "up", inches(w, b->place.up));
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
    if (!r->declared && cable)
        write(w, r->node, "cable", cable->name);
}

static void write_feeder(struct writer *w, const struct panel *p)
{
    if (p->feeder && !p->feeder->breaker_node && p->feeder->breaker > 0)
        write(w, p->feeder->node, "breaker", arena_printf(w->m->arena, "%g A", p->feeder->breaker));
}

void defaults_json(struct model *m, const struct wiring *wiring, struct buf *out)
{
    struct writer writer = {.m = m, .out = out}, *w = &writer;
    buf_puts(out, "\"defaults\": [");
    write_plan(w);
    for (uint32_t i = 0; i < m->levels.n; i++)
        write_level(w, m->levels.at[i]);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (!node_child(m->rooms.at[i]->node, F_KIND) && !node_name(m->rooms.at[i]->node, 1) &&
            m->rooms.at[i]->kind_count)
            write(w, m->rooms.at[i]->node, "kind", m->rooms.at[i]->kinds[0]->name);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        write_box(w, wiring, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->panels.n; i++)
        write_feeder(w, m->panels.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++)
        write_run(w, wiring, m->runs.at[i]);
    buf_puts(out, w->any ? "\n  ]" : "]");
}

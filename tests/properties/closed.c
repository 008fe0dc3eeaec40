/* Finishes that the site log closes. Before anything is done there it is as if the plan had said
 * `closed`: the same ways, cuts, holes and boxes. Where all was done before, it is as if nothing
 * had been closed. */
#include "properties.h"

#include "framing/routes.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/node.h"
#include "wiring/wiring.h"

#include "random.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

property_function property_closed;

/* What is closed of a room: "" all of it. */
static const char *const parts[] = {"", " north", " west", " ceiling"};
enum { PARTS = sizeof parts / sizeof *parts };

static const char *plan_of(const struct subject *s)
{
    return buf_text((struct buf *)&s->text->plan);
}

/* Where the block of a room begins in the plan itself, behind its brace; NULL where it stands
 * elsewhere, is a copy or has some, or says itself what is closed. */
static const char *block_of(const struct subject *s, const struct room *room)
{
    const struct model *m = s->c->model;
    if (room->unit || room->node->source != s->c->sources[0] || room->node->base ||
        node_child(room->node, F_CLOSED))
        return NULL;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        for (const struct node *n = m->rooms.at[i]->node; n; n = n->base)
            if (n == room->node && m->rooms.at[i] != room)
                return NULL;
    const char *text = plan_of(s) + node_span(room->node).off, *brace = strchr(text, '{'),
               *line = strchr(text, '\n');
    return brace && line && brace < line ? brace + 1 : NULL;
}

/* The plan with what is closed put behind the brace of each room that is chosen, or with the events
 * of the log that say so. */
static void close_some(const struct subject *s, uint64_t state, bool in_plan, struct plan_text *out)
{
    const char *text = plan_of(s), *at = text;
    const struct model *m = s->c->model;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const char *block = block_of(s, m->rooms.at[i]), *part = parts[pick(&state, PARTS)];
        bool chosen = chance(&state, 60);
        if (!block || !chosen || block < at)
            continue;
        buf_add(&out->plan, at, (size_t)(block - at));
        at = block;
        if (in_plan)
            buf_printf(&out->plan, "\nclosed%s\n", part);
        else
            buf_printf(&out->log, "2026-03-10 closed %s%s\n",
                       address_of_room(&s->c->arena, m->rooms.at[i], false), part);
    }
    buf_puts(&out->plan, at);
    buf_puts(&out->plan, "\nwaive closed-too-early because \"opened again\"\n");
    buf_add(&out->include, s->text->include.at, s->text->include.n);
}

/* All that is new hangs before. */
static void do_all(const struct subject *s, struct plan_text *out)
{
    const struct model *m = s->c->model;
    for (uint32_t i = 0; i < m->runs.n; i++)
        buf_printf(&out->log, "2026-03-0%u stapled %s\n", 1 + i % 9,
                   address_of_run(&s->c->arena, m->runs.at[i], false));
    for (uint32_t i = 0; i < m->boxes.n; i++)
        buf_printf(&out->log, "2026-03-02 set %s\n",
                   address_of_box(&s->c->arena, m->boxes.at[i], false));
}

static void compile_text(const struct subject *s, struct plan_text *text, struct compilation *c)
{
    char path[512];
    snprintf(path, sizeof path, "%s/plan.bay", s->scratch);
    if (!plan_write(text, s->scratch))
        abort();
    compile(c, path, (struct compile_options){.library = plan_library(), .only_findings = true});
    plan_free(text);
}

/* --- holding against each other ----------------------------------------------------------- */

static const char *type_of(const struct compilation *c, uint32_t box)
{
    const struct box_type *t = c->wiring->of_box[box].type;
    return t ? t->name : "none";
}

static bool same_route(const struct route *a, const struct route *b)
{
    return a->known == b->known && a->path == b->path && a->cut == b->cut && a->bores == b->bores &&
           a->notches == b->notches && a->supports == b->supports && a->plates == b->plates &&
           a->segment_count == b->segment_count && !a->shut == !b->shut;
}

static bool same_work(const struct compilation *a, const struct compilation *b, const char *what,
                      struct buf *why)
{
    if (!a->model || !b->model || a->model->runs.n != b->model->runs.n ||
        a->model->boxes.n != b->model->boxes.n) {
        buf_printf(why, "%s: it is another plan", what);
        return false;
    }
    for (uint32_t i = 0; i < a->model->boxes.n; i++)
        if (strcmp(type_of(a, i), type_of(b, i))) {
            buf_printf(why, "%s: box %s is %s, and %s", what,
                       address_of_box(a->model->arena, a->model->boxes.at[i], false), type_of(a, i),
                       type_of(b, i));
            return false;
        }
    for (uint32_t i = 0; i < a->model->runs.n; i++)
        if (!same_route(&a->routes->of_run[i], &b->routes->of_run[i])) {
            buf_printf(why, "%s: run %s has another way", what,
                       address_of_run(a->model->arena, a->model->runs.at[i], false));
            return false;
        }
    return true;
}

/* Says whether two plans come to the same work. */
static bool agree(const struct subject *s, struct plan_text *a, struct plan_text *b,
                  const char *what, struct buf *why)
{
    struct compilation one, other;
    compile_text(s, a, &one);
    compile_text(s, b, &other);
    bool same = same_work(&one, &other, what, why);
    compile_free(&one);
    compile_free(&other);
    return same;
}

bool property_closed(const struct subject *s, struct buf *why)
{
    struct plan_text plan = {0}, log = {0}, done = {0}, open = {0};
    uint64_t state = s->seed;
    if (!s->c->model || s->c->diag.counts[ERROR] || s->c->model->units.n)
        return true;
    close_some(s, state, true, &plan);
    close_some(s, state, false, &log);
    close_some(s, state, false, &done);
    do_all(s, &done);
    buf_add(&open.plan, done.plan.at, done.plan.n);
    buf_add(&open.include, done.include.at, done.include.n);
    if (log.log.n) {
        bool held = agree(s, &plan, &log, "closed by the plan and by the log", why);
        return agree(s, &done, &open, "closed behind work that was done", why) && held;
    }
    plan_free(&plan);
    plan_free(&log);
    plan_free(&done);
    plan_free(&open);
    return true;
}

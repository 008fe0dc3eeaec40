#include "propose/siting.h"

#include "framing/routes.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "rules/placing.h"

#include <string.h>

static void look_at(struct siting *p, struct compilation *c)
{
    p->now = c;
    p->checked = compile_checked(c);
    p->free = mountings_free(&c->arena, c->model, c->routes->frame, c->routes->mountings);
}

void siting_begin(struct siting *p, struct compilation *of, const struct propose_asked *asked,
                  struct arena *arena, alike_fn *alike)
{
    *p = (struct siting){.of = of, .arena = arena, .room = asked->room, .alike = alike};
    trial_begin(&p->trial, of, asked->library);
    look_at(p, of);
}

static void forget_tried(struct siting *p)
{
    if (p->has_tried)
        compile_free(&p->tried);
    p->has_tried = false;
}

void siting_end(struct siting *p)
{
    forget_tried(p);
    trial_free(&p->trial);
}

bool siting_compile(struct siting *p)
{
    edit_list edits = {0};
    forget_tried(p);
    added_write((struct editing){p->arena, &edits}, p->of, &p->added, p->alike);
    p->has_tried = trial_compile(&p->trial, &edits, &p->tried);
    if (!p->has_tried || !p->tried.routes || p->tried.model->rooms.n != p->of->model->rooms.n) {
        forget_tried(p);
        look_at(p, (struct compilation *)p->of);
        return false;
    }
    look_at(p, &p->tried);
    return true;
}

void siting_add(struct siting *p, const struct room *r, struct added a)
{
    a.room = r->id;
    *vec_push(p->arena, &p->added) = a;
}

bool siting_asks_room(const struct siting *p, const struct room *r)
{
    return !p->room || !strcmp(address_of_room(&p->now->arena, r, true), p->room) ||
           !strcmp(address_of_room(&p->now->arena, r, false), p->room);
}

bool siting_takes_boxes(const struct siting *p, const struct room *r, uint32_t first)
{
    for (uint32_t i = first; i < p->added.n; i++)
        if (p->added.at[i].room != r->id &&
            added_shares_text(p->now->model->rooms.at[p->added.at[i].room], r))
            return false;
    return (p->copies_too || p->room || added_is_first(p->now->model, r)) &&
           placing_room_is_certain(r) && siting_asks_room(p, r);
}

bool siting_is_refused(const struct siting *p, const struct room *r, const struct place *place)
{
    for (uint32_t i = 0; i < p->refused.n; i++) {
        const struct place *q = &p->refused.at[i].place;
        if (p->refused.at[i].room == r->id && q->where == place->where && q->wall == place->wall &&
            q->from_left == place->from_left && q->up == place->up && q->at.x == place->at.x &&
            q->at.y == place->at.y)
            return true;
    }
    return false;
}

/* What only says that nothing feeds a box yet is for who gives circuits and runs. */
bool siting_is_new_fault(const struct siting *p, const struct finding *f)
{
    return f->severity != NOTE && !f->waived && !propose_is_unfed(f) &&
           !trial_has_finding(p->of, f);
}

/* Whether a finding is about a box that was added, in one of the rooms of its text. */
static bool is_about(const struct siting *p, const struct finding *f, const struct added *a)
{
    const struct model *m = p->now->model;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        if (!strcmp(b->name, a->name) && added_shares_text(b->room, m->rooms.at[a->room]) &&
            !strcmp(address_of_box(&p->now->arena, b, false), f->subject))
            return true;
    }
    return false;
}

bool siting_refuse_faulty(struct siting *p, uint32_t first)
{
    bool any = false;
    for (uint32_t i = 0; i < p->now->diag.findings.n; i++) {
        const struct finding *f = &p->now->diag.findings.at[i];
        if (!f->subject || !siting_is_new_fault(p, f))
            continue;
        for (uint32_t k = first; k < p->added.n; k++)
            if (is_about(p, f, &p->added.at[k])) {
                *vec_push(p->arena, &p->refused) =
                    (struct refused){p->added.at[k].room, p->added.at[k].place};
                any = true;
            }
    }
    return any;
}

/* walls-disagree: what two rooms say of the wall between them. */
#include "rules/mends.h"

#include "model/site.h"

RULE(walls_disagree, "walls-disagree", ERROR, WAIVABLE,
     "a wall is made of the same in both rooms that describe it");

/* Whether two walls can be the two sides of one. Studs before concrete are each room's own. */
static bool agree(const struct wall *a, const struct wall *b)
{
    if (a->concrete || b->concrete)
        return a->concrete == b->concrete;
    return a->framing.lumber.name == b->framing.lumber.name &&
           a->framing.spacing == b->framing.spacing;
}

static const char *made_of(const struct checked *c, const struct wall *w)
{
    return w->concrete ? "concrete"
                       : arena_printf(c->model->arena, "%s at %s\"", w->framing.lumber.name,
                                      rules_amount_words(c, length_inches(w->framing.spacing), 2));
}

static void check_walls(const struct checked *c, const struct room *r)
{
    for (uint32_t i = 0; i < r->wall_count; i++) {
        const struct wall *w = &r->walls[i],
                          *other = w->behind ? &w->behind->walls[w->behind_wall] : NULL;
        if (!w->words || !other || !other->words)
            continue;
        looked(c, walls_disagree);
        if (agree(w, other) || r->id < w->behind->id)
            continue;
        struct finding *f = fixed_finding(
            c, &rule_walls_disagree, r, node_span(w->words),
            "the %s wall is %s here, and %s in room '%s', which is behind it", w->name,
            made_of(c, w), made_of(c, other), address_of_room(c->model->arena, w->behind, false));
        diag_note(c->model->diag, f, node_span(other->words), "there");
        diag_mend(c->model->diag, f,
                  w->concrete || other->concrete
                      ? "the same in both; studs before concrete are 'concrete furred LUMBER at "
                        "SPACING'"
                      : "write it in one of the two rooms only");
        if (w->concrete || other->concrete)
            continue;
        edit_remove(rules_way(c, f, false, "leave it out here"), w->words);
        edit_remove(rules_way(c, f, false, "leave it out in room '%s'", w->behind->name),
                    other->words);
    }
}
CHECK(walls_disagree, .room = {check_walls, ITS_TEXT, false});

/* box-overfilled: the fill is worked out with the wiring; here it is held against the box. */
#include "facts/boxes.h"
#include "model/site.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

/* Whether the wiring of all that ends in a box is known, so that its fill can be believed. */
static bool is_certain(const struct checked *c, const struct box *box)
{
    if (box->compartment)
        return false;
    for (uint32_t i = 0; i < box->runs.n; i++) {
        const struct run *run = box->runs.at[i];
        if (!run->circuit || !run->circuit->is_tree || !c->wiring->of_run[run->id].cable)
            return false;
    }
    return true;
}

static const char *contents(const struct checked *c, const struct fill *fill)
{
    const struct model *m = c->model;
    const char *text = arena_printf(m->arena, "%u conductor%s", fill->conductors,
                                    fill->conductors == 1 ? "" : "s");
    if (fill->grounds)
        text = arena_printf(m->arena, "%s, %u ground%s", text, fill->grounds,
                            fill->grounds == 1 ? "" : "s");
    if (fill->devices)
        text = arena_printf(m->arena, "%s, %u device%s", text, fill->devices,
                            fill->devices == 1 ? "" : "s");
    if (fill->clamps)
        text = arena_printf(m->arena, "%s, clamps", text);
    if (fill->fittings)
        text = arena_printf(m->arena, "%s, fittings", text);
    return fill->terminal_blocks
               ? arena_printf(m->arena, "%s, %u terminal block%s", text, fill->terminal_blocks,
                              fill->terminal_blocks == 1 ? "" : "s")
               : text;
}

RULE(box_overfilled, "box-overfilled", ERROR, FIRM, "a box has room for what is in it");

static void check_box(const struct checked *c, const struct box *box)
{
    struct model *m = c->model;
    const struct fill *fill = &c->wiring->of_box[box->id];
    const struct box_type *type = box->declared;
    bool too_small = type ? fill->misfits & MISFIT_ROOM : !fill->type && fill->required > 0;
    if (!is_certain(c, box) || fill->required <= 0)
        return;
    looked(c, box_overfilled);
    if (!too_small)
        return;
    const struct node *clause = type ? node_child(box->node, F_BOX_TYPE) : NULL;
    struct span span = clause ? node_span(clause) : node_name_span(box->node);
    const char *address = address_of_box(m->arena, box, true),
               *subject = address_of_box(m->arena, box, false);
    const char *required = rules_amount_words(c, fill->required, 2), *what = contents(c, fill);
    struct finding *f;
    if (type)
        f = model_finding(m, &rule_box_overfilled, span, box->room->unit, subject,
                          "box %s needs %s in3 (%s); %s has %s in3", address, required, what,
                          type->name, rules_amount_words(c, fill->volume, 2));
    else
        f = model_finding(m, &rule_box_overfilled, span, box->room->unit, subject,
                          "box %s needs %s in3 (%s), which no box of the library has in that place",
                          address, required, what);
    const struct box_type *serves = type ? wiring_larger_box(m, c->wiring, box) : NULL;
    if (serves)
        diag_mend(m->diag, f, "type %s, %s in3", serves->name,
                  rules_amount_words(c, serves->volume, 2));
    else
        diag_mend(m->diag, f, "fewer cables in this box, or a second box beside it");
    if (serves && !box->existing)
        mends_type(c, f, box, serves);
}
CHECK(box_overfilled, .box = {check_box, ITS_TEXT | ITS_TYPE});

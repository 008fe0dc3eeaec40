/* Boxes that nothing feeds and no circuit serves: whose circuit they are, where that can be told.
 */
#include "propose/runs.h"

#include "facts/facts.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "resolve/language.h"
#include "resolve/node.h"
#include "resolve/value.h"

#include <string.h>

/* Whether nothing feeds a new box that wants it. */
static bool is_unfed(const struct box *b)
{
    bool power = !b->device_count && !b->low_voltage.n;
    for (uint32_t i = 0; i < b->device_count; i++)
        power |= b->devices[i]->def->sort != SORT_LOW_VOLTAGE;
    return power && !b->runs.n && !b->served_by.n && !b->existing &&
           facts_known(b, ITS_TEXT | ITS_PLACE);
}

/* The one circuit that a device's own clause can mean. */
static struct circuit *named_by(struct compilation *c, const struct device *d)
{
    const struct node *n = node_child(d->node, F_DEV_CIRCUIT);
    const char *said = n && n->value_count ? node_ref_text(&c->arena, &n->values[0]) : NULL;
    struct circuit *found = NULL;
    for (uint32_t i = 0; said && i < c->model->circuits.n; i++) {
        struct circuit *k = c->model->circuits.at[i];
        if (k->feeds || (strcmp(said, k->name) != 0 &&
                         strcmp(said, address_of_circuit(&c->arena, k, true)) != 0))
            continue;
        if (found)
            return NULL;
        found = k;
    }
    return found;
}

/* The circuit that all else of a leg is on. */
static struct circuit *circuit_of_leg(const struct leg *l)
{
    struct circuit *found = NULL;
    for (uint32_t i = 0; l && i < l->controls.n + l->loads.n; i++) {
        const struct part *p =
            i < l->controls.n ? l->controls.at[i] : l->loads.at[i - l->controls.n];
        if (found && p->circuit && p->circuit != found)
            return NULL;
        found = p->circuit ? p->circuit : found;
    }
    return found;
}

/* The circuit of a box, and why. */
static struct circuit *circuit_for(struct compilation *c, const struct box *b, const char **why)
{
    for (uint32_t i = 0; i < b->device_count; i++) {
        struct circuit *k = named_by(c, b->devices[i]);
        *why = arena_printf(&c->arena, "its %s names it", b->devices[i]->def->name);
        if (k)
            return k;
    }
    for (uint32_t i = 0; i < b->device_count; i++)
        for (uint32_t p = 0; p < b->devices[i]->part_count; p++) {
            const struct leg *l = b->devices[i]->parts[p].leg;
            struct circuit *k = circuit_of_leg(l);
            *why = l ? arena_printf(&c->arena, "leg %s is on it", l->name) : NULL;
            if (k)
                return k;
        }
    struct circuit *only = NULL;
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        struct circuit *k = c->model->circuits.at[i];
        if (only && !k->feeds)
            return NULL;
        only = k->feeds ? only : k;
    }
    *why = "it is the only one";
    return only;
}

static void adopt(struct compilation *c, struct box *b, struct circuit *k)
{
    struct arena *a = &c->arena;
    *vec_push(a, &k->unrun) = b;
    for (uint32_t i = 0; i < b->device_count; i++)
        for (uint32_t p = 0; p < b->devices[i]->part_count; p++) {
            struct part *part = &b->devices[i]->parts[p];
            if (part->circuit || b->devices[i]->def->sort == SORT_LOW_VOLTAGE)
                continue;
            part->circuit = k;
            *vec_push(a, &k->parts) = part;
        }
}

void string_adopt(struct compilation *c, const struct circuit *only, struct proposal *out)
{
    struct model *m = c->model;
    for (bool any = true; any;) { /* a leg may lead from one such box to the next */
        any = false;
        for (uint32_t i = 0; i < m->boxes.n; i++) {
            struct box *b = m->boxes.at[i];
            const char *why = NULL;
            struct circuit *k =
                is_unfed(b) && !string_is_unrun(c, b) ? circuit_for(c, b, &why) : NULL;
            if (!k || (only && k != only))
                continue;
            adopt(c, b, k);
            propose_assume(out, "circuit %s feeds %s: %s",
                           address_called_as_written(out->arena, k, true),
                           address_of_box(out->arena, b, true), why);
            any = true;
        }
    }
    for (uint32_t i = 0; !only && i < m->boxes.n; i++)
        if (is_unfed(m->boxes.at[i]) && !string_is_unrun(c, m->boxes.at[i]))
            propose_tell(out, "nothing says which circuit feeds %s: name it in a 'serves'",
                         address_of_box(out->arena, m->boxes.at[i], true));
}

bool string_is_unrun(const struct compilation *c, const struct box *b)
{
    for (uint32_t i = 0; i < c->model->circuits.n; i++)
        for (uint32_t k = 0; k < c->model->circuits.at[i]->unrun.n; k++)
            if (c->model->circuits.at[i]->unrun.at[k] == b)
                return true;
    return false;
}

void string_release(struct compilation *c)
{
    struct model *m = c->model;
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        struct circuit *k = m->circuits.at[i];
        uint32_t kept = 0;
        for (uint32_t b = 0; b < k->unrun.n; b++)
            if (k->unrun.at[b]->served_by.n)
                k->unrun.at[kept++] = k->unrun.at[b];
        k->unrun.n = kept;
        kept = 0;
        for (uint32_t p = 0; p < k->parts.n; p++) {
            struct part *part = k->parts.at[p];
            if (is_unfed(part->device->box))
                part->circuit = NULL;
            else
                k->parts.at[kept++] = part;
        }
        k->parts.n = kept;
    }
}

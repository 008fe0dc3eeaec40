/* The number is the handle: a circuit whose name is a number sits there, and where nothing is said
 * of it no two breakers of a panel have the same half of a space, nor one that is taken. */
#include "properties.h"

#include "loads/panel.h"
#include "model/address.h"
#include "model/model.h"

#include <stdlib.h>
#include <string.h>

bool property_seats(const struct subject *s, struct buf *why);

static unsigned told(const struct compilation *c)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        n += !strcmp(c->diag.findings.at[i].rule->name, "space-conflict");
    return n;
}

static bool is_number(const char *name)
{
    return *name && !name[strspn(name, "0123456789")];
}

/* The halves of space n that a breaker has: crosswise of two poles. */
static unsigned has(const struct circuit_space *s, unsigned n)
{
    bool first = n == s->space, other = s->poles == 2 && n == s->space + 2;
    if (!s->space || (!first && !other))
        return 0;
    return s->half == HALF_NONE ? 3 : (s->half == HALF_UPPER) == first ? 1 : 2;
}

static const char *fault_of(const struct compilation *c, const struct panel *p, unsigned i)
{
    const struct circuit *circuit = p->circuits.at[i];
    const struct circuit_space *s = &c->panels->of_circuit[circuit->id];
    for (unsigned n = s->space; s->space && n <= s->space + 2; n += 2) {
        for (unsigned k = 0; k < i; k++)
            if (has(s, n) & has(&c->panels->of_circuit[p->circuits.at[k]->id], n))
                return "sits where another one does";
        for (uint32_t k = 0; k < p->taken.n && !circuit->existing; k++)
            if (has(s, n) && n >= p->taken.at[k].first && n <= p->taken.at[k].last)
                return "sits in a space that is taken";
        if (p->spaces && has(s, n) && n > p->spaces)
            return "sits beyond the panel";
    }
    return NULL;
}

bool property_seats(const struct subject *s, struct buf *why)
{
    struct compilation *c = s->c;
    for (uint32_t i = 0; c->model && i < c->model->circuits.n; i++) {
        const struct circuit *circuit = c->model->circuits.at[i];
        unsigned long number =
            is_number(circuit->name) && !circuit->feeds ? strtoul(circuit->name, NULL, 10) : 0;
        if (number && number < 10000 && circuit->panel && !circuit->in_doubt &&
            c->panels->of_circuit[i].space != number) {
            buf_printf(why, "circuit %s sits in space %u",
                       address_of_circuit(&c->arena, circuit, false),
                       c->panels->of_circuit[i].space);
            return false;
        }
    }
    for (uint32_t i = 0; c->model && !c->diag.counts[ERROR] && !told(c) && i < c->model->panels.n;
         i++)
        for (uint32_t k = 0; k < c->model->panels.at[i]->circuits.n; k++) {
            const char *fault = fault_of(c, c->model->panels.at[i], k);
            if (!fault)
                continue;
            buf_printf(why, "circuit %s %s",
                       address_of_circuit(&c->arena, c->model->panels.at[i]->circuits.at[k], false),
                       fault);
            return false;
        }
    return true;
}

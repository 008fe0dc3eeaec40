/* Clean is proven: where the check finds no error, the proof passes, and it is about all of the
 * plan: a circuit that it leaves out is too large for it, nothing else. */
#include "properties.h"

#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "facts/existing.h"
#include "prove/prove.h"

#include <string.h>

bool property_proven(const struct subject *s, struct buf *why);

/* Of an old circuit whose breaker nobody told no cable can be chosen: that is asked, as a warning.
 */
static bool is_asked(const struct compilation *c, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < c->diag.findings.n && facts_breaker_untold(circuit); i++)
        if (!strcmp(c->diag.findings.at[i].rule->name, "existing-unknown") &&
            strstr(c->diag.findings.at[i].message, "its breaker is not told"))
            return true;
    return false;
}

bool property_proven(const struct subject *s, struct buf *why)
{
    struct compilation *c = s->c;
    const struct verdict *v = c->verdict;
    if (!v)
        return true;
    if (!v->holds) {
        buf_printf(why, "the proof fails: %s", v->failures.at[0].what);
        return false;
    }
    for (uint32_t i = 0; i < v->circuit_count && !c->diag.counts[ERROR]; i++)
        if (v->circuits[i].left_out && !v->circuits[i].beyond_limit &&
            !is_asked(c, v->circuits[i].circuit)) {
            buf_printf(why, "circuit %s is left out and no error says why: %s",
                       address_of_circuit(&c->arena, v->circuits[i].circuit, false),
                       v->circuits[i].left_out);
            return false;
        }
    return true;
}

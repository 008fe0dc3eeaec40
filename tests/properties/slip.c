/* One slip of the pen is one finding: what follows from it is not said. A plan without an error
 * gets a slip of the table, and is compiled again, without the site log that names its runs. */
#include "properties.h"

#include "random.h"
#include "slips.h"

property_function property_slip;

bool property_slip(const struct subject *s, struct buf *why)
{
    if (!s->c->model || s->c->diag.counts[ERROR])
        return true;
    uint64_t state = s->seed;
    struct slip_text t;
    slip_read(&t, &s->text->plan, s->c);
    const struct slip *slip = &slips[pick(&state, slip_count)];
    enum slip_came came = slip_try(&t, &s->text->include, slip, state, s->scratch, why);
    slip_end(&t);
    return slip_is_well(slip, came);
}

#include "emit/left.h"

#include "model/power.h"
#include "model/site.h"

static const struct site_log *log_of(const struct results *r)
{
    return r->whole ? NULL : r->log;
}

bool left_in_box(const struct results *r, const struct box *b, enum log_state state)
{
    return !log_of(r) || !log_has(r->log->of_box[b->id], state);
}

bool left_in_panel(const struct results *r, const struct panel *p, enum log_state state)
{
    return !log_of(r) || !log_has(r->log->of_panel[p->id], state);
}

bool left_of_run(const struct results *r, const struct run *run, enum log_state state)
{
    return !log_of(r) || !log_has(r->log->of_run[run->id].done, state);
}

bool left_breaker(const struct results *r, const struct circuit *c)
{
    return !c->panel || left_in_panel(r, c->panel, LOG_TRIMMED);
}

#include "facts/work.h"

void facts_work_out(struct model *m)
{
    facts_carry_doubts(m);
    facts_find_passing(m);
    facts_find_pulls(m);
}

const struct unit *facts_unit_of_run(const struct run *run)
{
    return run->circuit ? run->circuit->unit : run->low_voltage ? run->low_voltage->unit : NULL;
}

bool facts_is_built(const struct unit *unit)
{
    return !unit || unit->built;
}

struct room *facts_room_of_end(struct end e)
{
    return e.box ? e.box->room : e.panel ? e.panel->room : NULL;
}

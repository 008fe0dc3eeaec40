#include "facts/work.h"

void facts_work_out(struct model *m)
{
    carry_doubts(m);
}

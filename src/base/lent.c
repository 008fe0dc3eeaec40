#include "base/lent.h"

#include <stdlib.h>

void *lent_take(unsigned size)
{
    return calloc(1, size ? size : 1);
}

void lent_give(void *block)
{
    free(block);
}

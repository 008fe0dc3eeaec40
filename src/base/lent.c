#include "base/lent.h"

#include "base/arena.h"

#include <stdlib.h>

void *lent_take(unsigned size)
{
    void *block = calloc(1, size ? size : 1);
    if (!block)
        memory_ended();
    return block;
}

void lent_give(void *block)
{
    free(block);
}

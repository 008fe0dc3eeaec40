#include "base/lent.h"

#include "base/memory.h"

void *lent_take(unsigned size)
{
    void *block = memory_take(size);
    if (!block)
        memory_missing();
    return block;
}

void lent_give(void *block)
{
    memory_give(block);
}

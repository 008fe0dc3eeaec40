#include "plans.h"

#include "compile.h"

const struct compilation *plan_library(void)
{
    static struct compilation library;
    if (!library.lib.names)
        compile_library(&library, NULL);
    return &library;
}

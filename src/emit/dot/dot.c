#include "emit/dot/dot.h"

#include <string.h>

const struct dot_def dot_table[] = {
#define DOT(name, function, doc) {name, doc, function},
#include "emit/dot/dot.def"
#undef DOT
};
const uint32_t dot_count = sizeof dot_table / sizeof *dot_table;

const struct dot_def *dot_named(const char *name)
{
    for (uint32_t i = 0; i < dot_count; i++)
        if (!strcmp(dot_table[i].name, name))
            return &dot_table[i];
    return NULL;
}

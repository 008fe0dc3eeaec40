#include "emit/drawings/drawings.h"

#include <string.h>

const struct drawing_def drawing_table[] = {
#define DRAWING(name, function, doc) {name, doc, function, false},
#define PICTURE(name, function, doc) {name, doc, function, true},
#include "emit/drawings/drawings.def"
#undef DRAWING
#undef PICTURE
};
const uint32_t drawing_count = sizeof drawing_table / sizeof *drawing_table;

const struct drawing_def *drawing_named(const char *name)
{
    for (uint32_t i = 0; i < drawing_count; i++)
        if (!strcmp(drawing_table[i].name, name))
            return &drawing_table[i];
    return NULL;
}

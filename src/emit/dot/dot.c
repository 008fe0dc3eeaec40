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

/* The signs of `marked` behind a backslash. An ampersand begins an entity, which Graphviz reads. */
static void put(struct buf *out, const char *text, const char *marked)
{
    for (; *text; text++) {
        if (*text == '\n') {
            buf_puts(out, "\\n");
            continue;
        }
        if (strchr(marked, *text))
            buf_putc(out, '\\');
        buf_putc(out, *text);
        if (*text == '&')
            buf_puts(out, "amp;");
    }
}

void dot_text(struct buf *out, const char *text)
{
    put(out, text, "\"\\");
}

void dot_field(struct buf *out, const char *text)
{
    put(out, text, "\"\\{}|<> ");
}

/* Graphviz's dot lays out what the drawings write. */
#include "emit/drawings/drawings.h"

const char *dot_picture(struct arena *arena, const struct buf *dot, const char *format,
                        struct program_limits limits, struct buf *out)
{
    char name[] = "dot";
    char *words[] = {name, arena_printf(arena, "-T%s", format), NULL};
    struct program program = {.words = words,
                              .needs =
                                  arena_printf(arena, "%s needs Graphviz's program dot", format),
                              .instead = "--format dot works without it",
                              .limits = limits};
    return program_run(arena, &program, dot, out);
}

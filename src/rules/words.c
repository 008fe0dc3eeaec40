/* Places, subjects and words of findings. */
#include "rules/check.h"

#include <string.h>

struct span breaker_span(const struct circuit *circuit)
{
    return circuit->breaker_node ? node_span(circuit->breaker_node) : circuit_span(circuit);
}

struct span circuit_span(const struct circuit *circuit)
{
    return node_name_span(circuit->node);
}

const char *circuit_words(const struct checked *c, const struct circuit *circuit)
{
    const char *address = circuit_address(c->model->arena, circuit, true);
    return circuit->feeds ? address : arena_printf(c->model->arena, "circuit %s", address);
}

const char *run_subject(const struct checked *c, const struct run *run)
{
    struct arena *arena = c->model->arena;
    const char *address = run_address(arena, run, false);
    if (!run->circuit)
        return arena_printf(arena, "run %s", address);
    return arena_printf(arena, "run %s\n%s%s", address, run->circuit->feeds ? "" : "circuit ",
                        circuit_address(arena, run->circuit, false));
}

const char *amount_words(const struct checked *c, double amount, int places)
{
    char *text = arena_printf(c->model->arena, "%.*f", places, amount);
    if (!strchr(text, '.'))
        return text;
    char *end = text + strlen(text);
    while (end[-1] == '0')
        *--end = '\0';
    if (end[-1] == '.')
        end[-1] = '\0';
    return text;
}

void set_article(const struct checked *c, struct finding *f, const char *article)
{
    if (article && c->model->code.electrical)
        f->article =
            arena_printf(c->model->arena, "%s %s", c->model->code.electrical->label, article);
}

const char *feet(const struct checked *c, length l)
{
    return length_words(c->model->arena, l);
}

/* Places, subjects and words of findings. */
#include "loads/panel.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/check.h"

#include <string.h>

struct span rules_breaker_span(const struct circuit *circuit)
{
    return circuit->breaker_node ? node_span(circuit->breaker_node) : rules_circuit_span(circuit);
}

struct span rules_circuit_span(const struct circuit *circuit)
{
    return node_name_span(circuit->node);
}

const char *rules_circuit_words(const struct checked *c, const struct circuit *circuit)
{
    const char *called = panel_circuit_called(c->model->arena, c->panels, circuit, true);
    return circuit->feeds ? called : arena_printf(c->model->arena, "circuit %s", called);
}

const char *rules_circuit_subject(const struct checked *c, const struct circuit *circuit)
{
    struct arena *arena = c->model->arena;
    return arena_printf(arena, "%s%s", circuit->feeds ? "" : "circuit ",
                        address_of_circuit(arena, circuit, false));
}

const char *rules_run_subject(const struct checked *c, const struct run *run)
{
    struct arena *arena = c->model->arena;
    const char *address = address_of_run(arena, run, false);
    if (!run->circuit)
        return arena_printf(arena, "run %s", address);
    return arena_printf(arena, "run %s\n%s%s", address, run->circuit->feeds ? "" : "circuit ",
                        address_of_circuit(arena, run->circuit, false));
}

const char *rules_degrees_words(const struct checked *c, double celsius)
{
    return arena_printf(c->model->arena, "%s C (%s F)", rules_amount_words(c, celsius, 0),
                        rules_amount_words(c, value_fahrenheit(celsius), 0));
}

const char *rules_amount_words(const struct checked *c, double amount, int places)
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

void rules_set_article(const struct checked *c, struct finding *f, const char *article)
{
    if (article && c->model->code.electrical)
        f->article =
            arena_printf(c->model->arena, "%s %s", c->model->code.electrical->label, article);
}

const char *rules_feet(const struct checked *c, length l)
{
    return length_words(c->model->arena, l);
}

const char *rules_opening(const struct checked *c, const struct wall *wall, bool logged)
{
    if (logged)
        return "'not' and its closing in the site log";
    return arena_printf(c->model->arena, "'closed no %s'", wall ? wall->written : "ceiling");
}

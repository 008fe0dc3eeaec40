#include "rules/mends.h"

#include "resolve/library.h"

#include <string.h>

void mends_type(const struct checked *c, struct finding *f, const struct box *box,
                const struct box_type *type)
{
    if (!type)
        mends_leave_out(c, f, false, box->node, F_BOX_TYPE);
    else if (edit_is_written(box->node, F_BOX_TYPE))
        edit_clause(rules_way(c, f, false, "type %s", type->name), box->node, F_BOX_TYPE,
                    arena_printf(c->model->arena, "type %s", type->name));
}

void mends_leave_out(const struct checked *c, struct finding *f, bool safe, const struct node *n,
                     enum form_id form)
{
    const struct node *clause = node_child(n, form);
    if (!clause || !edit_is_written(n, form))
        return;
    struct span word = node_word_span(clause);
    edit_remove(
        rules_way(c, f, safe, "leave '%.*s' out", (int)word.len, word.source->bytes + word.off),
        clause);
}

static bool leaves_cables_open(const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *r = circuit->runs.at[i];
        if (r->declared || r->single || r->existing)
            return false;
    }
    return !circuit->existing;
}

void mends_breaker(const struct checked *c, struct finding *f, const struct circuit *circuit,
                   double amps)
{
    if (!circuit->breaker_node || (amps > circuit->breaker && !leaves_cables_open(circuit)))
        return;
    const char *text = arena_printf(c->model->arena, "%g A", amps);
    edit_value(rules_way(c, f, false, "a %s breaker", text), circuit->breaker_node, 0, text);
}

void mends_protection(const struct checked *c, struct finding *f, const struct circuit *circuit,
                      enum form_id form)
{
    const struct node *breaker = circuit->breaker_node;
    enum form_id other = form == F_GFCI ? F_AFCI : F_GFCI;
    const char *word = form == F_GFCI ? "gfci" : "afci";
    if (!breaker || circuit->dual_function)
        return;
    if (edit_is_written(breaker, other))
        edit_clause(rules_way(c, f, false, "'dual-function' on the breaker"), breaker, other,
                    "dual-function");
    else
        edit_clause(rules_way(c, f, false, "'%s' on the breaker", word), breaker, form, word);
}

void mends_two_pole(const struct checked *c, struct finding *f, const struct circuit *circuit)
{
    const struct node *breaker = circuit->breaker_node;
    if (breaker)
        edit_clause(rules_way(c, f, false, "'two-pole'"), breaker,
                    edit_is_written(breaker, F_TIED) ? F_TIED : F_TWO_POLE, "two-pole");
}

void mends_device(const struct checked *c, struct finding *f, const struct device *d,
                  const char *type)
{
    edit_word(rules_way(c, f, false, "'%s' in its place", type), d->node, type);
}

void mends_up(const struct checked *c, struct finding *f, const struct box *box, length up)
{
    if (!box->place.known || box->place.where != ON_WALL)
        return;
    const char *text = length_words(c->model->arena, up);
    edit_up(rules_way(c, f, false, "'up %s'", text), box->node, text);
}

void mends_receptacle(const struct checked *c, struct finding *f, const struct device *d,
                      const char *middle, const char *end)
{
    static const char stem[] = "receptacle";
    const size_t len = sizeof stem - 1;
    if (strncmp(d->def->name, stem, len) != 0)
        return;
    const char *rest = d->def->name + len, *name;
    if (strstr(rest, end))
        end = "";
    name = arena_printf(c->model->arena, "%s%s%s%s", stem, middle, rest, end);
    if (library_device(c->model->lib, names_of(c->model->names, name)))
        mends_device(c, f, d, name);
}

void mends_rating(const struct checked *c, struct finding *f, const struct device *d, double amps)
{
    static const char twenty[] = "-20";
    const char *name = d->def->name, *at = strstr(name, twenty);
    struct arena *a = c->model->arena;
    const char *others[] = {
        at ? arena_printf(a, "%.*s%s", (int)(at - name), name, at + strlen(twenty)) : NULL,
        at ? NULL : arena_printf(a, "%s%s", name, twenty),
    };
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        const struct device_def *other =
            others[i] ? library_device(c->model->lib, names_of(c->model->names, others[i])) : NULL;
        if (other && other->rating == amps)
            mends_device(c, f, d, other->name);
    }
}

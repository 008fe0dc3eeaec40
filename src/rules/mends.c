#include "rules/mends.h"

#include "model/site.h"
#include "resolve/library.h"

#include <string.h>

static const char RATED[] = "-20"; /* at the end of the names of receptacles that are so rated */

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

static bool may_choose_cables(const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *r = circuit->runs.at[i];
        if (r->single || r->existing || r->raceway || r->of_two)
            return false;
    }
    return !circuit->existing;
}

/* Takes away every cable that is written, so that all are chosen. */
static void leave_cables_out(const struct checked *c, struct editing e,
                             const struct circuit *circuit)
{
    struct map gone = {0};
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *r = circuit->runs.at[i];
        const struct node *clause =
            r->own_cable ? node_child(r->node, F_CABLE) : circuit->cable_clause;
        void **at = clause ? map_at(c->model->arena, &gone, node_span(clause).off + 1u, 1) : NULL;
        if (at && !*at)
            edit_remove(e, clause);
        if (at)
            *at = (void *)clause;
    }
}

void mends_cables_left_out(const struct checked *c, struct finding *f,
                           const struct circuit *circuit)
{
    if (may_choose_cables(circuit))
        leave_cables_out(c, rules_way(c, f, false, "leave its cables out, and they are chosen"),
                         circuit);
}

void mends_breaker(const struct checked *c, struct finding *f, const struct circuit *circuit,
                   double amps)
{
    bool larger = amps > circuit->breaker;
    if (!circuit->breaker_node || (larger && !may_choose_cables(circuit)))
        return;
    const char *text = arena_printf(c->model->arena, "%g A", amps);
    struct editing e = rules_way(c, f, false, "a %s breaker", text);
    edit_value(e, circuit->breaker_node, 0, text);
    if (larger)
        leave_cables_out(c, e, circuit);
}

void mends_protection(const struct checked *c, struct finding *f, const struct circuit *circuit,
                      enum form_id form)
{
    const struct node *breaker = circuit->breaker_node;
    enum form_id other = form == F_GFCI ? F_AFCI : F_GFCI;
    const char *word = form == F_GFCI ? "gfci" : "afci";
    bool parted = circuit->multiwire && !circuit->two_pole; /* each would see the other's current */
    if (!breaker || circuit->dual_function || parted)
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

const struct device_def *mends_receptacle_type(const struct checked *c, const struct device *d,
                                               const char *middle, const char *end)
{
    static const char stem[] = "receptacle";
    const size_t len = sizeof stem - 1;
    if (strncmp(d->def->name, stem, len) != 0)
        return NULL;
    const char *rest = d->def->name + len;
    size_t before = strlen(rest) - (strstr(rest, RATED) ? strlen(RATED) : 0);
    const char *name = arena_printf(c->model->arena, "%s%s%.*s%s%s", stem, middle, (int)before,
                                    rest, strstr(rest, end) ? "" : end, rest + before);
    return library_device(c->model->lib, names_of(c->model->names, name));
}

void mends_receptacle(const struct checked *c, struct finding *f, const struct device *d,
                      const char *middle, const char *end)
{
    const struct device_def *def = mends_receptacle_type(c, d, middle, end);
    if (def)
        mends_device(c, f, d, def->name);
}

void mends_rating(const struct checked *c, struct finding *f, const struct device *d, double amps)
{
    const char *name = d->def->name, *at = strstr(name, RATED);
    struct arena *a = c->model->arena;
    const char *others[] = {
        at ? arena_printf(a, "%.*s%s", (int)(at - name), name, at + strlen(RATED)) : NULL,
        at ? NULL : arena_printf(a, "%s%s", name, RATED),
    };
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        const struct device_def *other =
            others[i] ? library_device(c->model->lib, names_of(c->model->names, others[i])) : NULL;
        if (other && other->rating == amps)
            mends_device(c, f, d, other->name);
    }
}

void mends_at(const struct checked *c, struct finding *f, const struct box *box, length from_left)
{
    const struct wall *w = &box->room->walls[box->place.wall];
    if (!box->place.known || box->place.where != ON_WALL || from_left <= 0 ||
        from_left >= w->length)
        return;
    const char *text =
        length_words(c->model->arena, w->mirrored ? w->length - from_left : from_left);
    edit_at(rules_way(c, f, false, "at %s", text), box->node, text);
}

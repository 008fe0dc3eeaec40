#include "wiring/protect.h"

#include <math.h>
#include <string.h>

/* --- through the wiring -------------------------------------------------------------------------------------------- */

/* While guards are found. */
struct finding_guards {
    struct protected *p;
    struct model *m;
    const struct wiring *w;
    struct arena *arena;
    const struct box **beyond[2]; /* by part: the box behind whose protecting device its line, and its neutral, lie */
    uint32_t *first;             /* by device id: index of its first part in these */
    bool *met;                   /* by part: followed already */
};

static struct protected_part *slot(const struct finding_guards *f, const struct part *part)
{
    return &f->p->of_device[part->device->id][part - part->device->parts];
}

static uint32_t index_of(const struct finding_guards *f, const struct part *part)
{
    return f->first[part->device->id] + (uint32_t)(part - part->device->parts);
}

const struct device *protector_in_box(const struct box *box, const struct circuit *circuit)
{
    for (uint32_t i = 0; box && i < box->device_count; i++) {
        const struct device *d = box->devices[i];
        if (d->def->protects && d->part_count && d->parts[0].circuit == circuit)
            return d;
    }
    return NULL;
}

/* Notes behind which box each part lies: what its hot terminals take, and its neutral, which alone shows it where a switch feeds the hot. */
static void note_nets(struct finding_guards *f)
{
    for (uint32_t i = 0; i < f->w->terminals.n; i++) {
        const struct terminal_net *t = &f->w->terminals.at[i];
        const struct part_form *forms = f->w->forms[t->part->device->id];
        const struct part_form *form = forms ? &forms[t->part - t->part->device->parts] : NULL;
        if (!form || t->terminal >= form->terminal_count || form->terminals[t->terminal].gives)
            continue;
        uint32_t k = index_of(f, t->part);
        f->p->of_device[t->part->device->id][t->part - t->part->device->parts].known = true;
        if (t->net->beyond && (t->net->sort == N_LINE || t->net->sort == N_NEUTRAL))
            f->beyond[t->net->sort == N_NEUTRAL][k] = t->net->beyond;
    }
}

/* The part that this one hangs on in what protects it: the fed switch of its leg, or the device that protects onward before it. NULL: its breaker alone. */
static const struct part *part_before(const struct finding_guards *f, const struct part *part)
{
    uint32_t k = index_of(f, part);
    const struct leg *fed_by = part->control ? part->from_leg : part->leg;
    if (part->control && part->leg && f->w->of_leg[part->leg->id].count && f->w->of_leg[part->leg->id].switches[0] != part)
        return f->w->of_leg[part->leg->id].switches[0];
    if (fed_by && f->w->of_leg[fed_by->id].count && f->w->of_leg[fed_by->id].switches[0] != part)
        return f->w->of_leg[fed_by->id].switches[0];
    const struct box *beyond = f->beyond[0][k] ? f->beyond[0][k] : f->beyond[1][k];
    const struct device *d = protector_in_box(beyond, part->circuit);
    return d && d != part->device ? &d->parts[0] : NULL;
}

/* The breaker of a circuit, or of a feeder before it, that protects against one sort of fault. */
static const struct circuit *protecting_breaker(const struct finding_guards *f, const struct circuit *circuit, bool arc)
{
    const struct circuit *c = circuit;
    for (uint32_t n = 0; c && n <= f->m->circuits.n; n++, c = c->panel ? c->panel->feeder : NULL)
        if (c->dual_function || (arc ? c->afci : c->gfci))
            return c;
    return NULL;
}

static void set_guards(const struct finding_guards *f, const struct part *part, const struct part *before)
{
    struct protected_part *s = slot(f, part);
    enum protection own = part->device->def->protects;
    if (before) {
        const struct protected_part *b = slot(f, before);
        s->gfci = b->gfci;
        s->afci = b->afci;
    } else {
        s->gfci.breaker = protecting_breaker(f, part->circuit, false);
        s->afci.breaker = protecting_breaker(f, part->circuit, true);
    }
    if (own & PROTECTS_GFCI)
        s->gfci.device = part->device;
    if (own & PROTECTS_AFCI)
        s->afci.device = part->device;
}

/* Sets the guards of a part and of all that stand before it, nearest the source first. */
static void follow(struct finding_guards *f, const struct part *part, const struct part **stack)
{
    uint32_t depth = 0;
    const struct part *at = part;
    while (at && !f->met[index_of(f, at)]) {
        f->met[index_of(f, at)] = true;
        stack[depth++] = at;
        at = part_before(f, at);
    }
    for (const struct part *before = at; depth; before = stack[depth])
        set_guards(f, stack[--depth], before);
}

static void find_guards(struct finding_guards *f)
{
    const struct model *m = f->m;
    uint32_t parts = 0;
    f->first = arena_array(f->arena, uint32_t, m->devices.n + 1);
    for (uint32_t i = 0; i < m->devices.n; i++) {
        f->first[i] = parts;
        parts += m->devices.at[i]->part_count;
        f->p->of_device[i] = arena_array(f->arena, struct protected_part, m->devices.at[i]->part_count + 1);
    }
    f->beyond[0] = arena_array(f->arena, const struct box *, parts + 1);
    f->beyond[1] = arena_array(f->arena, const struct box *, parts + 1);
    f->met = arena_array(f->arena, bool, parts + 1);
    note_nets(f);
    const struct part **stack = arena_array(f->arena, const struct part *, parts + 1);
    for (uint32_t i = 0; i < m->devices.n; i++)
        for (uint32_t k = 0; k < m->devices.at[i]->part_count; k++)
            follow(f, &m->devices.at[i]->parts[k], stack);
}

/* --- what the edition asks -------------------------------------------------------------------------------------------- */

bool is_outlet(const struct part *part)
{
    const struct device_def *def = part->device->def;
    if (part->control || def->sort == SORT_CONTROL || def->sort == SORT_LOW_VOLTAGE)
        return is_receptacle(part) && def->sort == SORT_CONTROL;
    for (uint8_t i = 0; i < part->terminal_count && !def->protects; i++)
        if (part->terminals[i].gives)
            return false;
    return true;
}

const char *device_in_table(struct model *m, const struct table *t, const struct device_def *def)
{
    for (; t && def; def = def->base)
        if (map_get(&t->row_of, 0, (uintptr_t)names_of(m->names, def->name)))
            return def->name;
    return NULL;
}

bool within_setting(struct model *m, const struct table *t, const char *setting, double amount)
{
    return amount <= value_amount(table_setting(&m->code, t, setting), INFINITY);
}

static const char *article_cell(struct model *m, const struct table *t, const char *key)
{
    const struct value *v = table_cell(&m->code, t, key, "article");
    return v && (v->kind == V_TEXT || v->kind == V_NAME) ? v->name : t->source;
}

static bool setting_says(struct model *m, const struct table *t, const char *setting, const char *word)
{
    const struct value *v = t ? table_setting(&m->code, t, setting) : NULL;
    return v && v->kind == V_NAME && !strcmp(v->name, word);
}

static void ask(struct protected_part *s, const char *article, const char *why)
{
    if (s->gfci_article)
        return;
    s->gfci_article = article;
    s->gfci_why = why;
}

/* Receptacles of a kind of place, all or those at counters. */
static void ask_by_kind(struct finding_guards *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    const struct box *box = part->device->box;
    struct use use = use_of_box(box);
    struct table *scope = code_table(&m->code, "gfci-scope");
    for (uint8_t i = 0; scope && i < use.count; i++) {
        const char *kind = use.kinds[i]->name;
        const struct value *which = table_cell(&m->code, scope, kind, "which");
        if (!which || which->kind != V_NAME || !code_list_has(&m->code, "gfci-places", kind))
            continue;
        if (!strcmp(which->name, "all"))
            ask(s, article_cell(m, scope, kind), arena_printf(f->arena, "stands in a place of kind %s", kind));
        else if (serves_counter(m, box))
            ask(s, article_cell(m, scope, kind), arena_printf(f->arena, "serves a counter in a place of kind %s", kind));
    }
}

/* Receptacles near water: each row of the table is named as the thing on the wall. */
static void ask_by_distance(struct finding_guards *f, const struct part *part, struct protected_part *s)
{
    static const struct {
        const char *key;
        enum form_id form;
    } things[] = {{"sink", F_SINK}, {"basin", F_BASIN}, {"tub", F_TUB}, {"shower", F_SHOWER}};
    struct model *m = f->m;
    const struct table *near = code_table(&m->code, "gfci-near"), *gfci = code_find_table(&m->code, "gfci");
    bool doors = setting_says(m, gfci, "sink-through-doors", "yes");
    for (size_t i = 0; near && i < sizeof things / sizeof *things && !s->gfci_article; i++) {
        const struct value *v = table_cell(&m->code, near, things[i].key, "distance");
        double way = way_to_fixture(f->p->rooms, part->device->box, things[i].form, doors);
        if (v && v->kind == V_LENGTH && way >= 0 && way <= length_feet(v->n))
            ask(s, article_cell(m, near, things[i].key), arena_printf(f->arena, "stands %s from a %s", feet_words(f->arena, way), things[i].key));
    }
}

/* All receptacles of a storey below the ground, and of damp places, where the edition says so. */
static void ask_by_storey(struct finding_guards *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    const struct table *gfci = code_find_table(&m->code, "gfci"), *scope = code_table(&m->code, "gfci-scope");
    const struct level *level = part->device->box->room->level;
    if (scope && setting_says(m, gfci, "below-grade-rooms", "yes") && level->node && node_flag(level->node, F_BELOW_GRADE))
        ask(s, article_cell(m, scope, "basement"), "stands on a storey below the ground");
    if (setting_says(m, gfci, "damp-places", "yes") && use_in_list(m, use_of_box(part->device->box), "damp-locations"))
        ask(s, gfci->source, "stands in a damp place");
}

static void ask_receptacle(struct finding_guards *f, const struct part *part, struct protected_part *s)
{
    const struct table *gfci = code_table(&f->m->code, "gfci");
    double amps = part->device->def->rating > 0 ? part->device->def->rating : part->circuit->breaker;
    if (!gfci || !within_setting(f->m, gfci, "volts", part->volts) || !within_setting(f->m, gfci, "amps", amps))
        return;
    if (!within_setting(f->m, gfci, "volts-to-ground", f->m->volts))
        return;
    ask_by_kind(f, part, s);
    ask_by_distance(f, part, s);
    ask_by_storey(f, part, s);
}

/* Appliances by their name, cord or wired in. */
static void ask_appliance(struct finding_guards *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    const struct table *t = code_table(&m->code, "gfci-appliances");
    const char *name = device_in_table(m, t, part->device->def);
    if (name && within_setting(m, t, "amps", part->circuit->breaker))
        ask(s, article_cell(m, t, name), arena_printf(f->arena, "feeds a %s", name));
}

/* Wired-in outlets outdoors, and lights of the spaces that the edition lists. */
static void ask_wired_in(struct finding_guards *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    struct use use = use_of_box(part->device->box);
    const struct table *outdoor = code_find_table(&m->code, "gfci-outdoor"), *exempt = code_find_table(&m->code, "gfci-outdoor-exempt");
    const struct table *lights = code_find_table(&m->code, "gfci-lighting");
    bool fits = outdoor && within_setting(m, outdoor, "amps", part->circuit->breaker) && within_setting(m, outdoor, "volts-to-ground", m->volts);
    if (fits && use_in_list(m, use, "weather-places") && !device_in_table(m, exempt, part->device->def))
        ask(s, outdoor->source, "is an outlet outdoors");
    for (uint8_t i = 0; lights && part->device->def->sort == SORT_LUMINAIRE && i < use.count; i++)
        if (map_get(&lights->row_of, 0, (uintptr_t)names_of(m->names, use.kinds[i]->name)) && part->volts == m->volts)
            ask(s, article_cell(m, lights, use.kinds[i]->name), arena_printf(f->arena, "lights a place of kind %s", use.kinds[i]->name));
}

/* Outlets and, where the edition says so, switches, on a circuit of a listed rating. */
static bool asks_arc(struct finding_guards *f, const struct part *part)
{
    struct model *m = f->m;
    const struct table *afci = code_table(&m->code, "afci");
    if (!afci || part->volts != m->volts || !within_setting(m, afci, "volts", part->volts) || part->circuit->breaker <= 0)
        return false;
    if (!is_outlet(part) && !setting_says(m, afci, "devices-too", "yes"))
        return false;
    const char *rating = arena_printf(f->arena, "%g A", part->circuit->breaker);
    return code_list_has(&m->code, "afci-ratings", rating) && use_in_list(m, use_of_box(part->device->box), "afci-places");
}

static void find_asks(struct finding_guards *f, const struct device *d)
{
    for (uint32_t k = 0; k < d->part_count; k++) {
        const struct part *part = &d->parts[k];
        struct protected_part *s = slot(f, part);
        if (!part->circuit || d->def->sort == SORT_LOW_VOLTAGE)
            continue;
        s->afci_asked = asks_arc(f, part);
        if (!is_outlet(part))
            continue;
        if (is_receptacle(part))
            ask_receptacle(f, part, s);
        else
            ask_wired_in(f, part, s);
        ask_appliance(f, part, s);
    }
}

static void note_ways_up(struct finding_guards *f)
{
    for (uint32_t i = 0; i < f->m->runs.n; i++) {
        const struct run *run = f->m->runs.at[i];
        if (run->circuit && run->in_tree && run->to.box && run->from.box)
            map_file(f->arena, &f->p->up, run->circuit, run->to.box, run->from.box);
    }
}

struct protected *protect(struct arena *arena, struct model *m, const struct wiring *wiring)
{
    struct protected *p = arena_new(arena, struct protected);
    p->rooms = rooms_find(arena, m);
    p->of_device = arena_array(arena, struct protected_part *, m->devices.n + 1);
    struct finding_guards f = {.p = p, .m = m, .w = wiring, .arena = arena};
    find_guards(&f);
    note_ways_up(&f);
    for (uint32_t i = 0; i < m->devices.n; i++)
        find_asks(&f, m->devices.at[i]);
    return p;
}

const struct protected_part *protected_part(const struct protected *p, const struct part *part)
{
    return &p->of_device[part->device->id][part - part->device->parts];
}

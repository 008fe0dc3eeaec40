#include "resolve/library.h"

#include "diag/near.h"

#include <string.h>

/* Definitions are declared first, then read when they are needed, bases before those that stand on
 * them: they may stand in any order. */
enum state { UNREAD, READING, READ };

struct declared {
    enum form_id form;
    const struct node *node;
    void *definition;
    enum state state;
    bool of_plan;
};

struct reading {
    struct library *lib;
    struct arena *arena;
    struct map *declared; /* (form, name) -> struct declared */
    struct map near;      /* names of definitions, for suggestions */
    VEC(struct declared *) order;
    bool of_plan;
};

static const char *def_name(const struct library *lib, const struct node *n)
{
    const struct value *v = node_value(n, 0);
    return v && (v->kind == V_NAME || v->kind == V_SLASHED || v->kind == V_LUMBER)
               ? v->name
               : names_of(lib->names, "");
}

static const char *title_of(const struct node *n, const char *name)
{
    return n->text ? n->text : name;
}

double value_amount(const struct value *v, double missing)
{
    if (!v)
        return missing;
    switch (v->kind) {
    case V_INTEGER:
        return (double)v->n;
    case V_LENGTH:
        return length_inches(v->n);
    case V_NUMBER:
        return (double)v->n / MILLION;
    case V_QUANTITY:
        return (double)v->n / MILLION / (v->dimension == D_PERCENT ? 100 : 1);
    default:
        return missing;
    }
}

static double amount_of(const struct node *n, enum form_id form, double inherited)
{
    return value_amount(node_value(node_child(n, form), 0), inherited);
}

static uint8_t count_of(const struct node *n, enum form_id form, uint8_t inherited)
{
    double d = amount_of(n, form, inherited);
    return d < 0 ? 0 : d > 255 ? 255 : (uint8_t)d;
}

static length length_of(const struct node *n, enum form_id form, length inherited)
{
    const struct value *v = node_value(node_child(n, form), 0);
    return v && v->kind == V_LENGTH ? v->n : inherited;
}

static bool flag_of(const struct node *n, enum form_id form, bool inherited)
{
    const struct node *c = node_child(n, form);
    return c ? !c->no : inherited;
}

static const char *word_of(const struct node *n, enum form_id form, const char *inherited)
{
    const char *name = node_name(node_child(n, form), 0);
    return name ? name : inherited;
}

/* Which of the words (NULL-ended) the clause says; `inherited` where it says nothing. */
static int choice_of(const struct node *n, enum form_id form, const char *const *words,
                     int inherited)
{
    const char *word = word_of(n, form, NULL);
    for (int i = 0; word && words[i]; i++)
        if (!strcmp(words[i], word))
            return i;
    return inherited;
}

static const char *size_text(struct library *lib, const struct value *v)
{
    if (!v)
        return NULL;
    if (v->kind == V_INTEGER)
        return names_of(lib->names, arena_printf(lib->diag->arena, "%lld", (long long)v->n));
    return v->kind == V_SLASHED ? v->name : NULL;
}

int gauge_of(const char *size)
{
    if (!size || !*size)
        return ANY_GAUGE;
    int n = 0;
    const char *p = size;
    for (; *p >= '0' && *p <= '9' && n < ANY_GAUGE; p++)
        n = n * 10 + (*p - '0');
    return !*p ? n : !strcmp(p, "/0") ? 1 - n : ANY_GAUGE;
}

/* --- kinds, cables, box types ------------------------------------------------------------- */

static void read_kind(struct reading *r, struct declared *d, const struct declared *base)
{
    struct kind_def *k = d->definition, inherited = {0};
    if (base)
        inherited = *(struct kind_def *)base->definition;
    const struct node *n = d->node;
    *k = (struct kind_def){.name = def_name(r->lib, n),
                           .node = n,
                           .of_plan = d->of_plan,
                           .base = base ? base->definition : NULL,
                           .habitable = flag_of(n, F_HABITABLE, inherited.habitable),
                           .sleeping = flag_of(n, F_SLEEPING, inherited.sleeping),
                           .wet = flag_of(n, F_DEF_WET, inherited.wet),
                           .unfinished = flag_of(n, F_KIND_UNFINISHED, inherited.unfinished),
                           .counts_area = flag_of(n, F_COUNTS_AREA, inherited.counts_area)};
    k->title = title_of(n, k->name);
    *vec_push(r->arena, &r->lib->kind_list) = k;
}

static const char *const *names_in(struct arena *a, const struct node *c, uint8_t *count)
{
    const char **list = arena_array(a, const char *, c->value_count);
    *count = 0;
    for (unsigned i = 0; i < c->value_count && *count < 255; i++)
        if (c->values[i].kind == V_NAME)
            list[(*count)++] = c->values[i].name;
    return list;
}

static void read_conductors(struct reading *r, struct cable_def *c)
{
    const struct node *colors = node_child(c->node, F_CONDUCTORS);
    if (colors)
        c->colors = names_in(r->arena, colors, &c->conductors);
    c->whites = 0;
    for (uint8_t i = 0; i < c->conductors; i++)
        c->whites += !strncmp(c->colors[i], "white", 5);
}

static void read_stock(struct reading *r, struct cable_def *c)
{
    const struct node *stock = node_child(c->node, F_STOCK);
    if (!stock)
        return;
    length *list = arena_array(r->arena, length, stock->value_count);
    c->stock_count = 0;
    for (unsigned i = 0; i < stock->value_count && c->stock_count < 255; i++)
        if (stock->values[i].kind == V_LENGTH)
            list[c->stock_count++] = stock->values[i].n;
    c->stock = list;
}

static void read_cable(struct reading *r, struct declared *d, const struct declared *base)
{
    static const char *const grounds[] = {"none", "bare", "green", NULL}, *const metals[] = {
                                                                              "copper", "aluminium",
                                                                              NULL};
    struct cable_def *c = d->definition;
    const struct node *n = d->node;
    if (base)
        *c = *(struct cable_def *)base->definition;
    c->base = base ? base->definition : NULL;
    c->node = n;
    c->name = def_name(r->lib, n);
    c->title = title_of(n, c->name);
    c->of_plan = d->of_plan;
    c->used = false;
    const char *size = size_text(r->lib, node_value(node_child(n, F_SIZE_DEF), 0));
    c->size = size ? size : c->size;
    c->gauge = gauge_of(c->size);
    const char *ground_size = size_text(r->lib, node_value(node_child(n, F_GROUND_SIZE), 0));
    c->ground_size = ground_size ? ground_size : size ? c->size : c->ground_size;
    read_conductors(r, c);
    read_stock(r, c);
    c->ground = (enum ground_kind)choice_of(n, F_GROUND, grounds, c->ground);
    c->metal = (enum metal)choice_of(n, F_METAL, metals, c->metal);
    c->diameter = length_of(n, F_DIAMETER, c->diameter);
    c->rated = (int)amount_of(n, F_RATED, c->rated);
    if (node_child(n,
                   F_RATED)) /* without a word of its own, adjustment starts from the same column */
        c->adjusted_from = (int)value_amount(node_value(node_child(n, F_RATED), 1), c->rated);
    c->family = word_of(n, F_FAMILY, c->family);
    if (node_child(n, F_SUITS))
        c->suits = names_in(r->arena, node_child(n, F_SUITS), &c->suits_count);
    c->power = c->size && c->conductors >= 2 && c->ground != GROUND_NONE;
    *vec_push(r->arena, &r->lib->cable_list) = c;
}

static void read_rings(struct reading *r, struct box_type *b)
{
    struct box_ring *rings = arena_array(r->arena, struct box_ring, 16);
    uint8_t count = 0;
    for (const struct node *c = b->node->child; c && count < 16; c = c->next)
        if (c->form == F_RING && c->value_count == 2 && c->values[0].kind == V_LENGTH)
            rings[count++] = (struct box_ring){c->values[0].n, value_amount(&c->values[1], 0)};
    if (count) {
        b->rings = rings;
        b->ring_count = count;
    }
}

static const char *const mounts[] = {"any", "wall", "ceiling", "floor", NULL};

static void read_box_type(struct reading *r, struct declared *d, const struct declared *base)
{
    static const char *const clamps[] = {"none", "internal", NULL};
    struct box_type *b = d->definition;
    const struct node *n = d->node;
    if (base)
        *b = *(struct box_type *)base->definition;
    b->node = n;
    b->name = def_name(r->lib, n);
    b->title = title_of(n, b->name);
    b->of_plan = d->of_plan;
    b->used = false;
    b->gangs = count_of(n, F_GANGS, base ? b->gangs : 1);
    b->volume = amount_of(n, F_VOLUME, b->volume);
    b->depth = length_of(n, F_DEPTH, b->depth);
    b->mount = (enum mount)choice_of(n, F_MOUNT, mounts, b->mount);
    b->clamp_internal = choice_of(n, F_CLAMP, clamps, b->clamp_internal);
    b->metal = flag_of(n, F_DEF_METAL, b->metal);
    b->divided = flag_of(n, F_DIVIDED, b->divided);
    b->wet = flag_of(n, F_DEF_WET, b->wet);
    b->old_work = flag_of(n, F_OLD_WORK, b->old_work);
    b->integral = flag_of(n, F_DEF_INTEGRAL, b->integral);
    b->fan = amount_of(n, F_FAN, b->fan);
    b->holds = amount_of(n, F_BOX_HOLDS, b->holds);
    b->fittings = count_of(n, F_FITTINGS, b->fittings);
    read_rings(r, b);
    *vec_push(r->arena, &r->lib->box_type_list) = b;
}

/* --- devices ------------------------------------------------------------------------------ */

static uint8_t net_named(const char *word)
{
    static const char *const words[] = {"line",     "neutral", "ground", "leg",
                                        "traveler", "line-a",  "line-b", "interconnect"};
    for (unsigned i = 0; i < sizeof words / sizeof *words; i++)
        if (!strcmp(words[i], word))
            return (uint8_t)(1u << i);
    return 0;
}

RULE(unknown_name, "unknown-name", ERROR, FIRM, "every name that is used is declared");

static struct terminal read_terminal(struct reading *r, const struct node *n)
{
    struct terminal t = {.name = node_name(n, 0)};
    const char *way = node_name(n, 1);
    t.gives = way && !strcmp(way, "gives");
    for (unsigned i = 2; i < n->value_count; i++) {
        uint8_t bit = n->values[i].kind == V_NAME ? net_named(n->values[i].name) : 0;
        if (!bit && n->values[i].kind == V_NAME)
            diag_add(r->lib->diag, &rule_unknown_name, value_span(n, &n->values[i]),
                     "'%s' is no net; a terminal takes line, line-a, line-b, neutral, ground, leg, "
                     "traveler or interconnect",
                     n->values[i].name);
        t.nets |= bit;
    }
    return t;
}

/* Terminals of a device or part; they replace inherited ones of the same name and are added to the
 * others. */
static const struct terminal *read_terminals(struct reading *r, const struct node *n,
                                             const struct terminal *inherited, uint8_t *count)
{
    enum { MOST = 32 };
    struct terminal *list = arena_array(r->arena, struct terminal, MOST);
    uint8_t total = *count;
    if (total)
        memcpy(list, inherited, total * sizeof *list);
    for (const struct node *c = n->child; c; c = c->next) {
        if (c->form != F_TERMINAL || c->broken)
            continue;
        struct terminal t = read_terminal(r, c);
        uint8_t i = 0;
        while (i < total && list[i].name != t.name)
            i++;
        if (i < MOST)
            list[i] = t;
        total = i == total && total < MOST ? total + 1 : total;
    }
    *count = total;
    return list;
}

static void read_positions(struct reading *r, struct device_def *d)
{
    enum { MOST = 8 };
    struct switch_position *list = arena_array(r->arena, struct switch_position, MOST);
    uint8_t count = 0;
    for (const struct node *c = d->node->child; c && count < MOST; c = c->next) {
        if (c->form != F_POSITION || c->broken)
            continue;
        struct switch_position *p = &list[count++];
        p->name = node_name(c, 0);
        for (unsigned i = 0; i < 4; i++)
            p->joins[i / 2][i % 2] = node_name(c, i + 1);
    }
    if (count) {
        d->positions = list;
        d->position_count = count;
    }
}

static const char *const demands[] = {"general",   "specific", "fixed", "equipment",    "range",
                                      "cooking",   "dryer",    "heat",  "storage-heat", "cooling",
                                      "heat-pump", "vehicle",  NULL};

static void read_parts(struct reading *r, struct device_def *d)
{
    enum { MOST = 8 };
    struct part_def *list = arena_array(r->arena, struct part_def, MOST);
    uint8_t count = 0;
    for (const struct node *c = d->node->child; c && count < MOST; c = c->next) {
        if (c->form != F_PART_DEF || c->broken)
            continue;
        struct part_def *p = &list[count++];
        *p = (struct part_def){.name = node_name(c, 0), .count = 1};
        const struct value *n = node_value(c, 1);
        p->count = n && n->n > 0 && n->n < 16 ? (uint8_t)n->n : 1;
        p->load = amount_of(c, F_DEF_LOAD, -1);
        p->volts = amount_of(c, F_VOLTS, 0);
        p->continuous = flag_of(c, F_CONTINUOUS, false);
        p->motor = flag_of(c, F_MOTOR, false);
        p->has_demand = node_child(c, F_DEF_DEMAND) != NULL;
        p->demand = (enum demand_class)choice_of(c, F_DEF_DEMAND, demands, DEMAND_GENERAL);
        p->terminals = read_terminals(r, c, NULL, &p->terminal_count);
    }
    if (count) {
        d->parts = list;
        d->part_count = count;
    }
}

static void read_nets(struct device_def *d)
{
    uint8_t nets = 0;
    for (uint8_t i = 0; i < d->terminal_count; i++)
        nets |= d->terminals[i].nets;
    d->two_line = (nets & (NET_LINE_A | NET_LINE_B)) == (NET_LINE_A | NET_LINE_B);
    d->has_neutral = nets & NET_NEUTRAL;
    d->has_ground = nets & NET_GROUND;
}

static void read_device(struct reading *r, struct declared *decl, const struct declared *base)
{
    static const char *const sorts[] = {"receptacle", "luminaire", "control",     "appliance",
                                        "alarm",      "equipment", "low-voltage", NULL};
    static const char *const multis[] = {"yes", "companion", "no", NULL}, *const places[] = {
                                                                              "any", "first", NULL};
    static const char *const protections[] = {"", "gfci", "afci", "dual-function", NULL};
    struct device_def *d = decl->definition;
    const struct node *n = decl->node;
    if (base)
        *d = *(struct device_def *)base->definition;
    d->base = base ? base->definition : NULL;
    d->node = n;
    d->name = def_name(r->lib, n);
    d->title = title_of(n, d->name);
    d->of_plan = decl->of_plan;
    d->used = false;
    d->sort = (enum device_sort)choice_of(n, F_SORT, sorts, d->sort);
    d->yokes = count_of(n, F_YOKES, d->yokes);
    d->outlets = count_of(n, F_OUTLETS, d->outlets);
    d->gangs = count_of(n, F_GANGS, d->gangs);
    d->fittings = count_of(n, F_FITTINGS, d->fittings);
    d->rating = amount_of(n, F_RATING, d->rating);
    d->volts = amount_of(n, F_VOLTS, d->volts);
    d->load = amount_of(n, F_DEF_LOAD, d->load);
    d->continuous = flag_of(n, F_CONTINUOUS, d->continuous);
    d->wants_neutral = flag_of(n, F_WANTS_NEUTRAL, d->wants_neutral);
    d->first_only = choice_of(n, F_DEF_PLACE, places, d->first_only);
    d->multi = (enum multi)choice_of(n, F_MULTI, multis, d->multi);
    d->integral = flag_of(n, F_DEF_INTEGRAL, d->integral);
    d->protects = (enum protection)choice_of(n, F_DEF_ONWARD, protections, d->protects);
    d->fixed = flag_of(n, F_DEF_FIXED, d->fixed);
    d->fan_box = flag_of(n, F_DEF_FAN, d->fan_box);
    d->tamper_resistant = flag_of(n, F_DEF_TAMPER, d->tamper_resistant);
    d->clear_of_insulation = flag_of(n, F_DEF_CLEAR, d->clear_of_insulation);
    d->motor = flag_of(n, F_MOTOR, d->motor);
    d->fuel_fired = flag_of(n, F_FUEL_FIRED, d->fuel_fired);
    d->demand = (enum demand_class)choice_of(n, F_DEF_DEMAND, demands, d->demand);
    d->has_height |= node_child(n, F_HEIGHT) != NULL;
    d->height = length_of(n, F_HEIGHT, d->height);
    d->mount = (enum mount)choice_of(n, F_MOUNT, mounts, d->mount);
    d->fixture_wires = count_of(n, F_FIXTURE_WIRES, d->fixture_wires);
    const char *wire = size_text(r->lib, node_value(node_child(n, F_FIXTURE_WIRES), 1));
    d->fixture_wire_size = wire ? wire : d->fixture_wire_size;
    d->terminals = read_terminals(r, n, d->terminals, &d->terminal_count);
    read_positions(r, d);
    read_parts(r, d);
    read_nets(d);
    *vec_push(r->arena, &r->lib->device_list) = d;
}

/* --- editions ----------------------------------------------------------------------------- */

/* "nec-2023" is called "NEC 2023" in messages. */
static const char *label_of(struct library *lib, const char *name)
{
    char *label = arena_copy(lib->diag->arena, name, strlen(name));
    for (char *p = label; *p; p++)
        *p = *p == '-' ? ' ' : *p >= 'a' && *p <= 'z' ? (char)(*p - 32) : *p;
    return label;
}

static void read_edition(struct reading *r, struct declared *d, const struct declared *base)
{
    struct edition *e = d->definition;
    e->name = def_name(r->lib, d->node);
    e->title = title_of(d->node, e->name);
    e->label = label_of(r->lib, e->name);
    e->node = d->node;
    e->base = base ? base->definition : NULL;
    e->of_plan = d->of_plan;
    *vec_push(r->arena, &r->lib->edition_list) = e;
}

/* --- declaring and reading ---------------------------------------------------------------- */

static struct map *map_of(struct library *lib, enum form_id form)
{
    switch (form) {
    case F_KIND_DEF:
        return &lib->kinds;
    case F_CABLE_DEF:
        return &lib->cables;
    case F_BOX_DEF:
        return &lib->box_types;
    case F_DEVICE_DEF:
        return &lib->devices;
    case F_EDITION_DEF:
        return &lib->editions;
    default:
        return NULL;
    }
}

static size_t size_of(enum form_id form)
{
    switch (form) {
    case F_KIND_DEF:
        return sizeof(struct kind_def);
    case F_CABLE_DEF:
        return sizeof(struct cable_def);
    case F_BOX_DEF:
        return sizeof(struct box_type);
    case F_DEVICE_DEF:
        return sizeof(struct device_def);
    default:
        return sizeof(struct edition);
    }
}

RULE(duplicate_name, "duplicate-name", ERROR, FIRM, "no two things of one scope share a name");

static void declare(struct reading *r, const struct node *n)
{
    struct map *all = map_of(r->lib, n->form);
    const char *name = def_name(r->lib, n);
    if (!all || !*name)
        return;
    struct declared *before = map_find(all, 0, name);
    if (before) {
        struct finding *f =
            diag_add(r->lib->diag, &rule_duplicate_name, node_name_span(n),
                     before->of_plan ? "%s '%s' is defined twice"
                                     : "the library has %s '%s' already; it cannot be redefined",
                     n->word, name);
        if (before->of_plan)
            diag_note(r->lib->diag, f, node_name_span(before->node), "first defined here");
        else
            diag_mend(r->lib->diag, f,
                      *name <= '9' ? "give it a name of its own: %s %s-own : %s"
                                   : "give it a name of its own: %s my-%s : %s",
                      n->word, name, name);
        return;
    }
    struct declared *d = arena_new(r->arena, struct declared);
    *d = (struct declared){n->form, n, arena_alloc(r->arena, size_of(n->form)), UNREAD, r->of_plan};
    map_file(r->arena, all, 0, name, d);
    *vec_push(r->arena, &r->order) = d;
}

static void mend_name(struct reading *r, struct finding *f, const char *name, const struct map *all)
{
    struct nearest near = nearest_to(name);
    nearest_among(&near, near_of_map(r->arena, &r->near, all, 0));
    if (near.found)
        diag_mend(r->lib->diag, f, "write '%s'", near.found);
}

RULE(definition_cycle, "definition-cycle", ERROR, FIRM, "no definition is based on itself");

static void read_declared(struct reading *r, struct declared *d)
{
    static void (*const readers[])(struct reading *, struct declared *, const struct declared *) = {
        [F_KIND_DEF] = read_kind,     [F_CABLE_DEF] = read_cable,     [F_BOX_DEF] = read_box_type,
        [F_DEVICE_DEF] = read_device, [F_EDITION_DEF] = read_edition,
    };
    if (d->state == READ)
        return;
    d->state = READING;
    struct declared *base = NULL;
    const struct value *v = node_value(d->node, 1);
    struct map *all = map_of(r->lib, d->form);
    if (v) {
        base = map_find(all, 0, v->name);
        if (!base) {
            struct finding *f =
                diag_add(r->lib->diag, &rule_unknown_name, value_span(d->node, v),
                         "there is no %s '%s' to base it upon", d->node->word, v->name);
            mend_name(r, f, v->name, all);
        } else if (base->state == READING) {
            diag_mend(r->lib->diag,
                      diag_add(r->lib->diag, &rule_definition_cycle, value_span(d->node, v),
                               "%s '%s' is based on itself", d->node->word,
                               def_name(r->lib, d->node)),
                      "base it on another one, or on none");
            base = NULL;
        } else {
            read_declared(r, base);
            if (d->of_plan && d->form == F_KIND_DEF)
                ((struct kind_def *)base->definition)->used = true;
            if (d->of_plan && d->form == F_EDITION_DEF)
                ((struct edition *)base->definition)->used = true;
            if (d->of_plan && d->form == F_CABLE_DEF)
                ((struct cable_def *)base->definition)->used = true;
            if (d->of_plan && d->form == F_DEVICE_DEF)
                ((struct device_def *)base->definition)->used = true;
            if (d->of_plan && d->form == F_BOX_DEF)
                ((struct box_type *)base->definition)->used = true;
        }
    }
    readers[d->form](r, d, base);
    d->state = READ;
}

static void say_no_edition(struct reading *r, const struct node *n, const char *name)
{
    struct finding *f = diag_add(r->lib->diag, &rule_unknown_name, node_name_span(n),
                                 "there is no edition '%s' to amend", name);
    mend_name(r, f, name, &r->lib->editions);
}

static void add_amendment(struct reading *r, const struct node *n)
{
    const char *name = node_name(n, 0);
    struct edition *e = name ? library_edition(r->lib, name) : NULL;
    if (e)
        *vec_push(r->arena, &e->amendments) = n;
    else if (name)
        say_no_edition(r, n, name);
}

void library_add(struct library *lib, struct node *const *files, uint32_t count, bool of_plan)
{
    struct reading r = {.lib = lib, .arena = lib->diag->arena, .of_plan = of_plan};
    for (uint32_t i = 0; i < count; i++)
        for (const struct node *n = files[i]->child; n; n = n->next)
            declare(&r, n);
    for (uint32_t i = 0; i < r.order.n; i++)
        read_declared(&r, r.order.at[i]);
    for (uint32_t i = 0; i < count; i++)
        for (const struct node *n = files[i]->child; n; n = n->next)
            if (n->form == F_AMEND && !n->broken)
                add_amendment(&r, n);
}

static void *definition(const struct map *all, const char *name)
{
    struct declared *d = name ? map_find(all, 0, name) : NULL;
    return d ? d->definition : NULL;
}

bool kind_is(const struct kind_def *kind, const char *name)
{
    while (kind && strcmp(kind->name, name))
        kind = kind->base;
    return kind;
}

struct kind_def *library_kind(const struct library *lib, const char *name)
{
    return definition(&lib->kinds, name);
}

struct cable_def *library_cable(const struct library *lib, const char *name)
{
    return definition(&lib->cables, name);
}

struct box_type *library_box_type(const struct library *lib, const char *name)
{
    return definition(&lib->box_types, name);
}

struct device_def *library_device(const struct library *lib, const char *name)
{
    return definition(&lib->devices, name);
}

struct edition *library_edition(const struct library *lib, const char *name)
{
    return definition(&lib->editions, name);
}

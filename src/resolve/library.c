#include "resolve/library.h"

#include "base/names.h"
#include "diag/diag.h"
#include "diag/near.h"
#include "resolve/mention.h"
#include "resolve/node.h"
#include "resolve/reading.h"
#include "resolve/value.h"

#include <string.h>

const char *def_name(const struct library *lib, const struct node *n)
{
    const struct value *v = node_value(n, 0);
    return v && (v->kind == V_NAME || v->kind == V_SLASHED || v->kind == V_LUMBER)
               ? v->name
               : names_of(lib->names, "");
}

const char *def_title(const struct node *n, const char *name)
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

double def_amount(const struct node *n, enum form_id form, double inherited)
{
    return value_amount(node_value(node_child(n, form), 0), inherited);
}

uint8_t def_count(const struct node *n, enum form_id form, uint8_t inherited)
{
    double d = def_amount(n, form, inherited);
    return d < 0 ? 0 : d > 255 ? 255 : (uint8_t)d;
}

length def_length(const struct node *n, enum form_id form, length inherited)
{
    const struct value *v = node_value(node_child(n, form), 0);
    return v && v->kind == V_LENGTH ? v->n : inherited;
}

bool def_flag(const struct node *n, enum form_id form, bool inherited)
{
    const struct node *c = node_child(n, form);
    return c ? !c->no : inherited;
}

static const char *def_word(const struct node *n, enum form_id form, const char *inherited)
{
    const char *name = node_name(node_child(n, form), 0);
    return name ? name : inherited;
}

int def_choice(const struct node *n, enum form_id form, const char *const *words, int inherited)
{
    const char *word = def_word(n, form, NULL);
    for (int i = 0; word && words[i]; i++)
        if (!strcmp(words[i], word))
            return i;
    return inherited;
}

const char *def_size(struct library *lib, const struct value *v)
{
    if (!v)
        return NULL;
    if (v->kind == V_INTEGER)
        return names_of(lib->names, arena_printf(lib->diag->arena, "%lld", (long long)v->n));
    return v->kind == V_SLASHED ? v->name : NULL;
}

int library_gauge_of(const char *size)
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
                           .habitable = def_flag(n, F_HABITABLE, inherited.habitable),
                           .sleeping = def_flag(n, F_SLEEPING, inherited.sleeping),
                           .wet = def_flag(n, F_DEF_WET, inherited.wet),
                           .unfinished = def_flag(n, F_KIND_UNFINISHED, inherited.unfinished),
                           .counts_area = def_flag(n, F_COUNTS_AREA, inherited.counts_area)};
    k->title = def_title(n, k->name);
    *vec_push(r->arena, &r->lib->kind_list) = k;
}

static const char *const *names_in(struct arena *a, const struct node *c, uint8_t most,
                                   uint8_t *count)
{
    const char **list = arena_array(a, const char *, c->value_count);
    *count = 0;
    for (unsigned i = 0; i < c->value_count && *count < most; i++)
        if (c->values[i].kind == V_NAME)
            list[(*count)++] = c->values[i].name;
    return list;
}

static void read_conductors(struct reading *r, struct cable_def *c)
{
    const struct node *colors = node_child(c->node, F_CONDUCTORS);
    if (colors)
        c->colors = names_in(r->arena, colors, MOST_CONDUCTORS, &c->conductors);
    c->whites = 0;
    for (uint8_t i = 0; i < c->conductors; i++)
        c->whites += !strncmp(c->colors[i], "white", 5);
}

static void read_stock(struct reading *r, const struct node *n, const length **lengths,
                       uint8_t *count)
{
    const struct node *stock = node_child(n, F_STOCK);
    if (!stock)
        return;
    length *list = arena_array(r->arena, length, stock->value_count);
    *count = 0;
    for (unsigned i = 0; i < stock->value_count && *count < MOST_STOCK_LENGTHS; i++)
        if (stock->values[i].kind == V_LENGTH)
            list[(*count)++] = stock->values[i].n;
    *lengths = list;
}

static void read_cable(struct reading *r, struct declared *d, const struct declared *base)
{
    static const char *const grounds[] = {"none", "bare", "green", NULL}, *const metals[] = {
                                                                              "copper", "aluminium",
                                                                              "copper-clad", NULL};
    struct cable_def *c = d->definition;
    const struct node *n = d->node;
    if (base)
        *c = *(struct cable_def *)base->definition;
    c->base = base ? base->definition : NULL;
    c->node = n;
    c->name = def_name(r->lib, n);
    c->title = def_title(n, c->name);
    c->of_plan = d->of_plan;
    c->used = false;
    const char *size = def_size(r->lib, node_value(node_child(n, F_SIZE_DEF), 0));
    c->size = size ? size : c->size;
    c->gauge = library_gauge_of(c->size);
    const char *ground_size = def_size(r->lib, node_value(node_child(n, F_GROUND_SIZE), 0));
    c->ground_size = ground_size ? ground_size : size ? c->size : c->ground_size;
    const char *neutral_size = def_size(r->lib, node_value(node_child(n, F_NEUTRAL_SIZE), 0));
    c->neutral_size = neutral_size ? neutral_size : size ? NULL : c->neutral_size;
    read_conductors(r, c);
    read_stock(r, n, &c->stock, &c->stock_count);
    c->ground = (enum ground_kind)def_choice(n, F_GROUND, grounds, c->ground);
    c->metal = (enum metal)def_choice(n, F_METAL, metals, c->metal);
    c->diameter = def_length(n, F_DIAMETER, c->diameter);
    c->rated = (int)def_amount(n, F_RATED, c->rated);
    if (node_child(n,
                   F_RATED)) /* without a word of its own, adjustment starts from the same column */
        c->adjusted_from = (int)value_amount(node_value(node_child(n, F_RATED), 1), c->rated);
    c->terminals = (int)def_amount(n, F_TERMINALS, c->terminals);
    c->family = def_word(n, F_FAMILY, c->family);
    if (node_child(n, F_SUITS))
        c->suits = names_in(r->arena, node_child(n, F_SUITS), UINT8_MAX, &c->suits_count);
    c->single = def_flag(n, F_SINGLE, c->single);
    c->power = c->size && c->conductors >= 2 && c->ground != GROUND_NONE;
    *vec_push(r->arena, &r->lib->cable_list) = c;
}

static length length_at(const struct node *n, enum form_id form, unsigned i, length inherited)
{
    const struct value *v = node_value(node_child(n, form), i);
    return v && v->kind == V_LENGTH ? v->n : inherited;
}

static void read_raceway(struct reading *r, struct declared *d, const struct declared *base)
{
    struct raceway_def *w = d->definition;
    const struct node *n = d->node;
    if (base)
        *w = *(struct raceway_def *)base->definition;
    w->base = base ? base->definition : NULL;
    w->node = n;
    w->name = def_name(r->lib, n);
    w->title = def_title(n, w->name);
    w->of_plan = d->of_plan;
    w->used = false;
    w->family = def_word(n, F_FAMILY, w->family);
    w->inside = def_length(n, F_INSIDE, w->inside);
    w->outside = def_length(n, F_OUTSIDE_DIAMETER, w->outside);
    w->apart = length_at(n, F_SUPPORT, 0, w->apart);
    w->from_box = length_at(n, F_SUPPORT, 1, w->from_box);
    w->stick = def_length(n, F_STICK, w->stick);
    w->metal = def_flag(n, F_DEF_METAL, w->metal);
    w->may_fish = def_flag(n, F_MAY_FISH, w->may_fish);
    w->grounds_amps = def_amount(n, F_GROUNDS_UP_TO, w->grounds_amps);
    w->grounds_long = length_at(n, F_GROUNDS_UP_TO, 1, w->grounds_long);
    read_stock(r, n, &w->stock, &w->stock_count);
    if (node_child(n, F_SUITS))
        w->suits = names_in(r->arena, node_child(n, F_SUITS), UINT8_MAX, &w->suits_count);
    *vec_push(r->arena, &r->lib->raceway_list) = w;
}

static void read_rings(struct reading *r, struct box_type *b)
{
    struct box_ring *rings = arena_array(r->arena, struct box_ring, MOST_RINGS);
    uint8_t count = 0;
    for (const struct node *c = b->node->child; c && count < MOST_RINGS; c = c->next)
        if (c->form == F_RING && c->value_count == 2 && c->values[0].kind == V_LENGTH)
            rings[count++] = (struct box_ring){c->values[0].n, value_amount(&c->values[1], 0)};
    if (count) {
        b->rings = rings;
        b->ring_count = count;
    }
}

const struct box_ring *library_box_ring_for(const struct box_type *type, length finish)
{
    const struct box_ring *best = NULL;
    for (uint8_t i = 0; i < type->ring_count; i++)
        if (type->rings[i].depth >= finish && (!best || type->rings[i].depth < best->depth))
            best = &type->rings[i];
    return best;
}

const char *const def_mounts[] = {"any", "wall", "ceiling", "floor", NULL};

static void read_box_type(struct reading *r, struct declared *d, const struct declared *base)
{
    static const char *const clamps[] = {"none", "internal", NULL}, *const fastenings[] = {
                                                                        "",       "nails",
                                                                        "screws", "bracket",
                                                                        "brace",  "surface",
                                                                        NULL};
    struct box_type *b = d->definition;
    const struct node *n = d->node;
    if (base)
        *b = *(struct box_type *)base->definition;
    b->node = n;
    b->name = def_name(r->lib, n);
    b->title = def_title(n, b->name);
    b->of_plan = d->of_plan;
    b->used = false;
    b->gangs = def_count(n, F_GANGS, base ? b->gangs : 1);
    b->volume = def_amount(n, F_VOLUME, b->volume);
    b->depth = def_length(n, F_DEPTH, b->depth);
    b->mount = (enum mount)def_choice(n, F_MOUNT, def_mounts, b->mount);
    b->wide = def_length(n, F_DEF_WIDE, b->wide);
    b->fastened = (enum fastened)def_choice(n, F_FASTENED, fastenings, b->fastened);
    b->clamp_internal = def_choice(n, F_CLAMP, clamps, b->clamp_internal);
    b->metal = def_flag(n, F_DEF_METAL, b->metal);
    b->divided = def_flag(n, F_DIVIDED, b->divided);
    b->wet = def_flag(n, F_DEF_WET, b->wet);
    b->old_work = def_flag(n, F_OLD_WORK, b->old_work);
    b->integral = def_flag(n, F_DEF_INTEGRAL, b->integral);
    b->section = def_amount(n, F_CONDUIT_BODY, b->section);
    b->fan = def_amount(n, F_FAN, b->fan);
    b->holds = def_amount(n, F_BOX_HOLDS, b->holds);
    b->fittings = def_count(n, F_FITTINGS, b->fittings);
    read_rings(r, b);
    *vec_push(r->arena, &r->lib->box_type_list) = b;
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
    e->title = def_title(d->node, e->name);
    e->label = label_of(r->lib, e->name);
    e->node = d->node;
    e->base = base ? base->definition : NULL;
    e->of_plan = d->of_plan;
    *vec_push(r->arena, &r->lib->edition_list) = e;
}

/* --- declaring and reading ---------------------------------------------------------------- */

/* What the name of a definition of that form means. */
static enum mention_sort sort_of(enum form_id form)
{
    switch (form) {
    case F_KIND_DEF:
        return MENTION_KIND;
    case F_CABLE_DEF:
        return MENTION_CABLE;
    case F_RACEWAY_DEF:
        return MENTION_RACEWAY;
    case F_BOX_DEF:
        return MENTION_BOX_TYPE;
    case F_DEVICE_DEF:
        return MENTION_DEVICE;
    default:
        return MENTION_EDITION;
    }
}

void resolve_mention(struct library *lib, const struct node *n, const struct value *v,
                     const struct declared *d)
{
    mention_value(lib->mentions, n, v, 0, sort_of(d->form), d->definition, d->node);
}

static struct map *map_of(struct library *lib, enum form_id form)
{
    switch (form) {
    case F_KIND_DEF:
        return &lib->kinds;
    case F_CABLE_DEF:
        return &lib->cables;
    case F_RACEWAY_DEF:
        return &lib->raceways;
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
    case F_RACEWAY_DEF:
        return sizeof(struct raceway_def);
    case F_BOX_DEF:
        return sizeof(struct box_type);
    case F_DEVICE_DEF:
        return sizeof(struct device_def);
    default:
        return sizeof(struct edition);
    }
}

RULE(unknown_name, "unknown-name", ERROR, FIRM, "every name that is used is declared");
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
    resolve_mention(r->lib, n, node_value(n, 0), d);
    *vec_push(r->arena, &r->order) = d;
}

static void mend_name(struct reading *r, struct finding *f, const char *name, const struct map *all)
{
    struct nearest near = nearest_meant(&r->lib->diag->words, name);
    nearest_among(&near, near_of_map(r->arena, &r->near, all, 0));
    diag_mend_nearest(r->lib->diag, f, &near);
}

RULE(definition_cycle, "definition-cycle", ERROR, FIRM, "no definition is based on itself");

static void use_base(struct declared *base)
{
    switch (base->form) {
    case F_KIND_DEF:
        library_use((struct kind_def *)base->definition);
        break;
    case F_CABLE_DEF:
        library_use((struct cable_def *)base->definition);
        break;
    case F_RACEWAY_DEF:
        library_use((struct raceway_def *)base->definition);
        break;
    case F_BOX_DEF:
        library_use((struct box_type *)base->definition);
        break;
    case F_DEVICE_DEF:
        library_use((struct device_def *)base->definition);
        break;
    default:
        library_use((struct edition *)base->definition);
    }
}

static void read_declared(struct reading *r, struct declared *d)
{
    static void (*const readers[])(struct reading *, struct declared *, const struct declared *) = {
        [F_KIND_DEF] = read_kind,       [F_CABLE_DEF] = read_cable,
        [F_BOX_DEF] = read_box_type,    [F_DEVICE_DEF] = device_read,
        [F_EDITION_DEF] = read_edition, [F_RACEWAY_DEF] = read_raceway,
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
            resolve_mention(r->lib, d->node, v, base);
            read_declared(r, base);
            use_base(base);
        }
    }
    readers[d->form](r, d, base);
    resolve_check_definition(r, d);
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
    if (e) {
        *vec_push(r->arena, &e->amendments) = n;
        mention_value(r->lib->mentions, n, node_value(n, 0), 0, MENTION_EDITION, e, e->node);
    } else if (name)
        say_no_edition(r, n, name);
}

/* What is meant may be a definition, or a word of the language. */
static void mention_meant(struct library *lib, const struct node *n)
{
    const struct map *const all[] = {&lib->kinds,  &lib->devices,  &lib->box_types,
                                     &lib->cables, &lib->raceways, &lib->editions};
    for (uint32_t i = 1; lib->mentions && i < n->value_count; i++)
        for (size_t k = 0; k < sizeof all / sizeof *all; k++) {
            const struct value *v = &n->values[i];
            const struct declared *d = v->kind == V_NAME ? map_find(all[k], 0, v->name) : NULL;
            if (d)
                resolve_mention(lib, n, v, d);
        }
}

/* `trade "bathroom" means bath`: told as a suggestion, never taken for what was written. */
static void add_word(struct reading *r, const struct node *n)
{
    const struct value *word = node_value(n, 0);
    mention_meant(r->lib, n);
    const char **means = arena_array(r->arena, const char *, n->value_count);
    uint32_t count = 0;
    for (uint32_t i = 1; i < n->value_count; i++)
        if (n->values[i].kind == V_NAME)
            means[count++] = n->values[i].name;
    if (word && word->kind == V_TEXT)
        *vec_push(r->arena, &r->lib->diag->words) = (struct near_word){word->name, means, count};
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
            else if (n->form == F_TRADE && !n->broken)
                add_word(&r, n);
}

/* A plan may amend an edition: each has its own of every one. Bases come first. */
static void share_editions(struct library *lib, const struct library *shared)
{
    struct arena *a = lib->diag->arena;
    for (uint32_t i = 0; i < shared->edition_list.n; i++) {
        const struct edition *from = shared->edition_list.at[i];
        struct edition *e = arena_new(a, struct edition);
        *e = (struct edition){.name = from->name,
                              .title = from->title,
                              .label = from->label,
                              .node = from->node,
                              .shared = from,
                              .base = from->base ? library_edition(lib, from->base->name) : NULL};
        struct declared *d = arena_new(a, struct declared);
        *d = *(struct declared *)map_find(&shared->editions, 0, e->name);
        d->definition = e;
        map_file(a, &lib->editions, 0, e->name, d);
        *vec_push(a, &lib->edition_list) = e;
    }
}

void library_share(struct library *lib, const struct library *shared)
{
    struct arena *a = lib->diag->arena;
    lib->kinds = map_copy(a, &shared->kinds);
    lib->cables = map_copy(a, &shared->cables);
    lib->raceways = map_copy(a, &shared->raceways);
    lib->box_types = map_copy(a, &shared->box_types);
    lib->devices = map_copy(a, &shared->devices);
    vec_share(&lib->kind_list, &shared->kind_list);
    vec_share(&lib->cable_list, &shared->cable_list);
    vec_share(&lib->raceway_list, &shared->raceway_list);
    vec_share(&lib->box_type_list, &shared->box_type_list);
    vec_share(&lib->device_list, &shared->device_list);
    share_editions(lib, shared);
}

static void *definition(const struct map *all, const char *name)
{
    struct declared *d = name ? map_find(all, 0, name) : NULL;
    return d ? d->definition : NULL;
}

bool library_kind_is(const struct kind_def *kind, const char *name)
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

struct raceway_def *library_raceway(const struct library *lib, const char *name)
{
    return definition(&lib->raceways, name);
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

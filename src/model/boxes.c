/* Boxes, the devices in them with their parts, and the legs they name. */
#include "model/build.h"
#include "resolve/edit.h"

#include <string.h>

/* --- devices ------------------------------------------------------------------------------ */

static struct leg *leg_named(struct builder *b, const char *name)
{
    void **at = map_at(b->arena, &b->m->leg_names, (uintptr_t)b->scope->unit, (uintptr_t)name);
    if (!*at) {
        struct leg *l = arena_new(b->arena, struct leg);
        *l = (struct leg){.id = b->m->legs.n, .name = name, .title = name, .unit = b->scope->unit};
        *vec_push(b->arena, &b->m->legs) = l;
        *at = l;
    }
    return *at;
}

/* What else may begin a line in a box. */
static near_list *words_of_boxes(struct builder *b)
{
    const struct language *l = b->language;
    bool made = b->near_box_words.names.n;
    for (uint32_t i = 0; !made && i < l->words_in[F_BOX].n; i++)
        if (l->words_in[F_BOX].at[i] != l->any && l->words_in[F_BOX].at[i] != l->bare)
            near_add(b->arena, &b->near_box_words, l->words_in[F_BOX].at[i]);
    return &b->near_box_words;
}

static struct device_def *find_device(struct builder *b, const struct node *n)
{
    struct device_def *d = library_device(b->m->lib, n->word);
    if (d) {
        library_use(d);
        mention_word(b->m->lib->mentions, n, MENTION_DEVICE, d, d->node);
        return d->faulty ? NULL : d;
    }
    struct among among = build_map_names(b, &b->m->lib->devices, 0);
    among.lists[1] = words_of_boxes(b);
    build_unknown(b, token_span(n->source, n->first, n->first), "device type", n->word, among);
    return NULL;
}

/* Where the words of a part stand: in its own statement, else in that of its device. */
struct words {
    const struct node *own, *whole; /* NULL: nothing is said there */
};

static const struct node *word(struct words w, enum form_id form)
{
    const struct node *own = clause(w.own, form);
    return own ? own : clause(w.whole, form);
}

const struct node *build_part_clause(const struct part *p, enum form_id form)
{
    return word((struct words){p->node, p->device->node}, form);
}

static bool word_flag(struct words w, enum form_id form)
{
    return node_flag(clause(w.own, form) ? w.own : w.whole, form);
}

/* The load of its type: of the part, else of the whole. */
static double type_load(const struct part *p)
{
    const struct device_def *def = p->device->def;
    return p->control                    ? 0
           : p->def && p->def->load >= 0 ? p->def->load
           : def->part_count && p->def   ? 0
                                         : def->load;
}

/* What of a load the part says for itself. */
static void read_part_load(struct builder *b, struct part *p, struct words w)
{
    const struct node *load = clause(w.own, F_DEV_LOAD);
    const struct device_def *def = p->device->def;
    p->load = p->control ? 0 : val_amount(b, load, 0, C_LOAD, type_load(p));
    p->load_written = load != NULL;
    p->mca = clause_amount(b, w.own, F_MCA, C_AMP, 0);
    p->max_breaker = val_amount(b, word(w, F_MAX_BREAKER), 0, C_AMP, 0);
    p->continuous = word(w, F_CONTINUOUS) ? word_flag(w, F_CONTINUOUS)
                                          : def->continuous || (p->def && p->def->continuous);
    p->continuous &= !p->control;
    bool two = body_has(p->body, false, NET_LINE_A) && body_has(p->body, false, NET_LINE_B);
    p->volts = two ? b->m->line_volts : b->m->volts;
}

static void say_two_legs(struct builder *b, const struct part *p, const struct node *at,
                         const char *leg, const char *from)
{
    struct finding *f =
        diag_add(b->diag, &rule_duplicate_clause, node_span(at),
                 "a %s has no contacts that leg '%s' could feed: it is on one leg, '%s' or '%s'",
                 p->device->def->name, from, leg, from);
    diag_mend(b->diag, f, "leave 'from leg %s' out, or write it on the switch of leg '%s'", from,
              leg);
    edit_remove(edit_way(b->diag, f, false, "leave 'from leg %s' out", from), at);
}

static void mention_leg(struct builder *b, const struct node *n, const struct leg *l)
{
    if (l && n)
        build_mention(b, n, node_value(n, 0), 0, MENTION_LEG, l, l->node);
}

static void read_part(struct builder *b, struct part *p, struct device *d,
                      const struct part_def *def, const struct node *n, struct words w)
{
    *p = (struct part){.device = d, .def = def, .node = n};
    p->body = def ? &def->body : &d->def->body;
    p->control = p->body->control;
    const char *leg = val_name(b, word(w, F_DEV_LEG), 0),
               *from = val_name(b, word(w, F_DEV_FROM), 0),
               *pole = val_name(b, word(w, F_DEV_POLE), 0);
    bool same = from && !p->control; /* what feeds a load works it */
    p->leg = leg ? leg_named(b, leg) : same ? leg_named(b, from) : NULL;
    p->from_leg = from && !same ? leg_named(b, from) : NULL;
    mention_leg(b, word(w, F_DEV_LEG), p->leg);
    mention_leg(b, word(w, F_DEV_FROM), same && !leg ? p->leg : p->from_leg);
    if (same && leg && leg != from)
        say_two_legs(b, p, word(w, F_DEV_FROM), leg, from);
    p->by = val_name(b, word(w, F_DEV_BY), 0);
    p->pole = pole ? *pole : 0;
    p->line_side = word_flag(w, F_LINE_SIDE);
    p->load_side = word_flag(w, F_LOAD_SIDE);
    read_part_load(b, p, w);
    if (p->leg && p->control)
        *vec_push(b->arena, &p->leg->controls) = p;
    else if (p->leg)
        *vec_push(b->arena, &p->leg->loads) = p;
    if (p->from_leg)
        *vec_push(b->arena, &p->from_leg->loads) = p;
}

static const struct part_def *part_named(const struct device_def *def, const char *name)
{
    for (uint8_t i = 0; i < def->part_count; i++)
        if (def->parts[i].name == name)
            return &def->parts[i];
    return NULL;
}

static void say_no_part(struct builder *b, struct span span, const struct device_def *def,
                        const char *name)
{
    struct finding *f =
        build_unknown(b, span, arena_printf(b->arena, "part of a '%s' called", def->name), name,
                      (struct among){0});
    struct nearest near = nearest_meant(&b->diag->words, name);
    for (uint8_t i = 0; i < def->part_count && f; i++)
        nearest_try(&near, def->parts[i].name);
    build_mend_name(b, f, &near);
}

/* Of the load that is written on the whole each part that does not say its own has a share, in the
 * proportion of the loads of their types; where these say none, the first part has it. */
static void share_load(struct builder *b, struct device *d)
{
    const struct node *load = clause(d->node, F_DEV_LOAD), *mca = clause(d->node, F_MCA);
    double rest = val_amount(b, load, 0, C_LOAD, 0), weight = 0;
    struct part *first = NULL;
    for (uint32_t k = 0; k < d->part_count; k++) {
        struct part *p = &d->parts[k];
        if (p->load_written)
            rest -= p->load;
        else
            weight += type_load(p);
        if (!first && !p->control && !p->load_written && p->mca <= 0)
            first = p;
    }
    if (first && mca)
        first->mca = val_amount(b, mca, 0, C_AMP, 0);
    for (uint32_t k = 0; load && k < d->part_count; k++) {
        struct part *p = &d->parts[k];
        if (p->load_written || p->control)
            continue;
        double share = weight > 0 ? type_load(p) / weight : p == first;
        p->load = rest > 0 ? rest * share : 0;
        p->load_written = true;
    }
}

/* Parts that the block leaves out and that are there nevertheless: the other half of a receptacle,
 * and where the whole says words of its own, the part that they can only mean. */
static void add_other_parts(struct builder *b, struct device *d, const uint8_t *used)
{
    const struct device_def *def = d->def;
    const struct node *n = d->node;
    bool says = clause(n, F_DEV_LEG) || clause(n, F_DEV_FROM) || clause(n, F_DEV_POLE) ||
                clause(n, F_DEV_CIRCUIT) || clause(n, F_DEV_BY) || clause(n, F_DEV_LOAD);
    for (uint8_t i = 0; i < def->part_count; i++) {
        bool other = used[i] && !def->parts[i].body.control, main = !i && !used[i] && says;
        for (uint8_t k = used[i]; (other || main) && k < def->parts[i].count; k++)
            read_part(b, &d->parts[d->part_count++], d, &def->parts[i], n, (struct words){NULL, n});
    }
}

/* Parts written in a block: `paddle-fan { fan leg f 70 W; light leg l 45 W }`. What the whole says
 * holds for each part that does not say its own. */
static void read_parts(struct builder *b, struct device *d, const struct node *n)
{
    uint32_t most = 0;
    uint8_t *used = arena_array(b->arena, uint8_t, d->def->part_count + 1);
    for (uint8_t i = 0; i < d->def->part_count; i++)
        most += d->def->parts[i].count;
    d->parts = arena_array(b->arena, struct part, most + 1);
    for (const struct node *c = n->child; c; c = c->next) {
        b->scope->in_doubt |= c->form == F_PART && c->broken ? ITS_DEVICES : 0;
        if (c->form != F_PART || c->broken)
            continue;
        const struct part_def *def = part_named(d->def, c->word);
        struct span span = token_span(c->source, c->first, c->first);
        b->scope->in_doubt |= def ? 0 : ITS_DEVICES;
        if (def)
            mention_word(b->m->lib->mentions, c, MENTION_PART, NULL, def->node);
        if (!def) {
            say_no_part(b, span, d->def, c->word);
        } else if (++used[def - d->def->parts] > def->count) {
            diag_add(b->diag, &rule_duplicate_name, span, "a '%s' has %u part%s '%s' only",
                     d->def->name, def->count, def->count == 1 ? "" : "s", def->name);
        } else {
            read_part(b, &d->parts[d->part_count++], d, def, c, (struct words){c, n});
        }
    }
    add_other_parts(b, d, used);
    share_load(b, d);
}

/* Which of the two would hold, the words behind 'half' or the block, is not for us to say. */
static void say_half_and_parts(struct builder *b, const struct device *d, const struct node *n)
{
    const struct node *half = clause(n, F_HALF);
    struct finding *f =
        half ? diag_add(b->diag, &rule_duplicate_clause, node_span(half),
                        "this %s says its halves twice: after 'half' and in a block", d->def->name)
             : NULL;
    diag_mend(b->diag, f, "write both in the block: %s { half leg NAME; half }", d->def->name);
}

/* `receptacle half leg x`: one half as written, the other stays on the line. */
static bool read_halves(struct builder *b, struct device *d, const struct node *n)
{
    const struct node *half = clause(n, F_HALF);
    const struct part_def *def = half ? part_named(d->def, names_of(b->m->names, "half")) : NULL;
    if (!half)
        return false;
    if (!def || def->count < 2) {
        diag_add(b->diag, &rule_unknown_name, node_span(half), "a '%s' has no halves",
                 d->def->name);
        return false;
    }
    d->part_count = 2;
    d->parts = arena_array(b->arena, struct part, 2);
    read_part(b, &d->parts[0], d, def, n, (struct words){n, NULL});
    read_part(b, &d->parts[1], d, def, n, (struct words){0});
    return true;
}

/* Table `receptacle-outlets`: those for one line up to a rating. */
static bool is_general(struct builder *b, const struct device_def *def)
{
    return def->outlets && !def->two_line && def->sort != SORT_LUMINAIRE &&
           def->rating <= code_current(&b->m->code, SET_RECEPTACLE_OUTLETS_UP_TO, 0);
}

static void read_device(struct builder *b, struct box *x, const struct node *n)
{
    struct device_def *def = n->broken ? NULL : find_device(b, n);
    if (!def)
        return;
    struct device *d = arena_new(b->arena, struct device);
    *d = (struct device){.id = b->m->devices.n, .def = def, .box = x, .node = n, .title = n->text};
    d->onward = node_flag(n, F_ONWARD);
    d->terminals = (int)clause_amount(b, n, F_TERMINALS, C_TEMP, def->terminals);
    d->fuel_fired = clause(n, F_FUEL_FIRED) ? node_flag(n, F_FUEL_FIRED) : def->fuel_fired;
    d->co_alr = clause(n, F_CO_ALR) ? node_flag(n, F_CO_ALR) : def->co_alr;
    d->al_cu = clause(n, F_AL_CU) ? node_flag(n, F_AL_CU) : def->al_cu;
    d->general = is_general(b, def);
    d->goes = node_flag(n, F_REMOVE);
    d->existing = d->goes ? true
                  : clause(n, F_EXISTING)
                      ? node_flag(n, F_EXISTING)
                      : x->existing; /* "existing no" in an existing box replaces what was there */
    d->line_side = node_flag(n, F_LINE_SIDE);
    d->load_side = node_flag(n, F_LOAD_SIDE);
    bool parts = false;
    for (const struct node *c = n->child; c; c = c->next)
        parts |= c->form == F_PART;
    if (parts) {
        say_half_and_parts(b, d, n);
        read_parts(b, d, n);
    } else if (!read_halves(b, d, n)) {
        d->part_count = 1;
        d->parts = arena_array(b->arena, struct part, 1);
        read_part(b, &d->parts[0], d, NULL, n, (struct words){n, NULL});
    }
    *vec_push(b->arena, &b->m->devices) = d;
    x->devices[x->device_count++] = d;
}

/* --- boxes -------------------------------------------------------------------------------- */

static length default_height(struct builder *b, const struct node *n)
{
    const struct node *first = clause(n, F_DEVICE);
    const struct device_def *def = first ? library_device(b->m->lib, first->word) : NULL;
    const struct length_setting *sort = !def                        ? SET_DEFAULT_HEIGHTS_JUNCTION
                                        : def->sort == SORT_CONTROL ? SET_DEFAULT_HEIGHTS_SWITCH
                                        : def->sort == SORT_LUMINAIRE
                                            ? SET_DEFAULT_HEIGHTS_LUMINAIRE
                                            : SET_DEFAULT_HEIGHTS_RECEPTACLE;
    return def && def->has_height ? def->height : code_length(&b->m->code, sort, 0);
}

static void read_held(struct builder *b, struct box *x, const struct node *n)
{
    for (const struct node *c = n->child; c; c = c->next) {
        if (c->form == F_HOLDS && !c->broken && c->value_count >= 2) {
            const char *size = val_size(b, c, 1);
            if (size)
                *vec_push(b->arena, &x->held) =
                    (struct held){size, val_count(b, c, 0, MOST_COUNTED, 0)};
        }
        const char *leg = c->form == F_CAPPED && !c->broken ? val_name(b, c, 0) : NULL;
        if (leg) {
            struct leg *l = leg_named(b, leg);
            *vec_push(b->arena, &l->capped) = x;
            *vec_push(b->arena, &x->capped) = l;
            mention_leg(b, c, l);
        }
    }
    x->held_grounds = clause_count(b, n, F_HOLDS_GROUNDS, MOST_COUNTED, 0);
    x->terminal_blocks = clause_count(b, n, F_TERMINAL_BLOCKS, MOST_COUNTED, 0);
}

static void read_box_type(struct builder *b, struct box *x, const struct node *n)
{
    const struct node *type = clause(n, F_BOX_TYPE);
    const char *name = val_name(b, type, 0);
    x->type_told = name != NULL;
    x->type_unsaid = type && !type->value_count;
    if (!name)
        return;
    x->declared = library_box_type(b->m->lib, name);
    if (x->declared) {
        library_use(x->declared);
        build_mention_definition(b, type, 0, MENTION_BOX_TYPE, x->declared);
        x->declared = x->declared->faulty ? NULL : x->declared;
        return;
    }
    build_unknown(b, value_span(type, node_value(type, 0)), "box type", name,
                  build_map_names(b, &b->m->lib->box_types, 0));
}

static bool all_compartments(const struct box *x)
{
    for (uint32_t i = 0; i < x->device_count; i++)
        if (!x->devices[i]->def->integral)
            return false;
    return x->device_count > 0;
}

/* A device that goes is in a box that is there. */
static bool has_going_device(const struct node *n)
{
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_DEVICE && node_flag(c, F_REMOVE))
            return true;
    return false;
}

static void read_box(struct builder *b, struct room_text *t, const struct node *n)
{
    struct model *m = b->m;
    const char *name = node_name(n, 0);
    if (n->broken) {
        t->room->in_doubt |= ITS_BOXES;
        b->scope->in_doubt |= ITS_DEVICES;
    }
    if (!name)
        return;
    if (m->boxes.n >= MOST_BOXES) {
        if (!m->too_large)
            diag_add(b->diag, &rule_limit, node_name_span(n),
                     "the plan builds more than %d boxes; the rest is left out", (int)MOST_BOXES);
        m->too_large = true;
        return;
    }
    struct box *x = arena_new(b->arena, struct box);
    *x = (struct box){.id = m->boxes.n, .name = name, .room = t->room, .node = n};
    x->in_doubt = node_broken(n) ? ITS_TEXT : 0;
    bool declared =
        build_declare_name(b, &t->room->box_names, 1, name, node_name_span(n), "box", n, x);
    build_mention_declared(b, &t->room->box_names, 1, name, n, MENTION_BOX);
    if (!declared) {
        /* runs may name the double, and the name that it should have had */
        t->room->in_doubt |= ITS_BOXES;
        return;
    }
    x->title = n->text ? n->text : name;
    x->goes = node_flag(n, F_REMOVE);
    x->existing =
        x->goes || node_flag(n, F_EXISTING) || (!clause(n, F_EXISTING) && has_going_device(n));
    *vec_push(b->arena, &m->boxes) = x;
    *vec_push(b->arena, &t->room->boxes) = x;
    if (!n->broken && n->alt == PLACE_UNSAID)
        diag_add(b->diag, &rule_missing_clause, node_name_span(n),
                 "box '%s' does not say where it is", name);
    if (!n->broken && !build_read_place(b, t, n, 1, false, default_height(b, n), &x->place))
        x->in_doubt |= ITS_TEXT;
    uint32_t devices = 0;
    for (const struct node *c = n->child; c; c = c->next)
        devices += c->form == F_DEVICE;
    x->devices = arena_array(b->arena, struct device *, devices);
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_DEVICE)
            read_device(b, x, c);
    x->in_doubt |= devices != x->device_count ? ITS_TEXT : 0;
    for (const struct node *c = n->child; c; c = c->next)
        x->in_doubt |= c->broken ? ITS_TEXT : 0;
    b->scope->in_doubt |= x->in_doubt ? ITS_DEVICES : 0;
    read_box_type(b, x, n);
    read_held(b, x, n);
    x->gangs = (uint8_t)clause_count(b, n, F_GANGS, MOST_GANGS, 0);
    x->cover = val_name(b, clause(n, F_COVER), 0);
    x->pulled_through = node_flag(n, F_PULLED_THROUGH);
    x->compartment = all_compartments(x);
}

static void declare_legs(struct builder *b, struct scope *s)
{
    for (const struct node *n = s->first; n; n = n->next) {
        const char *name = n->form == F_LEG ? node_name(n, 0) : NULL;
        if (!name)
            continue;
        struct leg *l = leg_named(b, name);
        mention_name(b->m->lib->mentions, n, MENTION_LEG, l);
        if (l->node && node_broken(n))
            continue;
        if (l->node) {
            struct finding *f = diag_add(b->diag, &rule_duplicate_name, node_name_span(n),
                                         "leg '%s' is declared already", name);
            diag_note(b->diag, f, node_name_span(l->node), "first declared here");
            diag_mend(b->diag, f,
                      "leave this one out, or give it a name of its own where it is another leg");
            edit_remove(edit_way(b->diag, f, false, "leave this one out"), n);
            continue;
        }
        l->node = n;
        l->title = n->text ? n->text : name;
        l->limit = clause_amount(b, n, F_LIMIT, C_LOAD, 0);
    }
}

void build_boxes(struct builder *b, struct scope *s)
{
    b->scope = s;
    declare_legs(b, s);
    for (uint32_t i = 0; i < s->rooms.n; i++) {
        const struct node *first = s->rooms.at[i]->node->child;
        uint32_t count = 0;
        for (const struct node *n = first; n; n = n->next)
            count += n->form == F_BOX;
        map_reserve(b->arena, &s->rooms.at[i]->room->box_names,
                    2 * count); /* each name as it is written, and folded */
        vec_reserve(b->arena, &s->rooms.at[i]->room->boxes, count);
        for (const struct node *n = first; n; n = n->next)
            if (n->form == F_BOX)
                read_box(b, s->rooms.at[i], n);
    }
}

/* --- legs --------------------------------------------------------------------------------- */

static struct span part_leg_span(const struct part *p)
{
    const struct node *leg = build_part_clause(p, F_DEV_LEG);
    return leg ? node_span(leg) : node_span(p->node);
}

/* The first place in source order that names the leg. */
static const struct part *first_part(const struct leg *l)
{
    const struct part *c = l->controls.n ? l->controls.at[0] : NULL,
                      *d = l->loads.n ? l->loads.at[0] : NULL;
    return !c ? d : !d ? c : c->device->id <= d->device->id ? c : d;
}

static struct room *room_of(const struct part *p)
{
    return p->device->box->room;
}

static const struct part *part_of_leg(const struct leg *l, uint32_t i)
{
    return i < l->controls.n ? l->controls.at[i] : l->loads.at[i - l->controls.n];
}

/* The third room and those after it: all clashes of a name are told at once. */
static void note_further_rooms(struct builder *b, struct finding *f, const struct leg *l,
                               const struct part *second)
{
    struct map told = {0};
    map_put(b->arena, &told, 0, (uintptr_t)room_of(first_part(l)), room_of(first_part(l)));
    map_put(b->arena, &told, 0, (uintptr_t)room_of(second), room_of(second));
    for (uint32_t i = 0; i < l->controls.n + l->loads.n; i++) {
        struct room *r = room_of(part_of_leg(l, i));
        if (map_get(&told, 0, (uintptr_t)r))
            continue;
        map_put(b->arena, &told, 0, (uintptr_t)r, r);
        diag_note(b->diag, f, part_leg_span(part_of_leg(l, i)), "and in room '%s' here", r->name);
    }
}

RULE(leg_spans_rooms, "leg-spans-rooms", WARNING, WAIVABLE,
     "a leg that stands in more than one room is declared");

enum { MOST_COMPARED = 64 };

/* Of the legs that serve the names nearest to that of another, and the leg that has the first of
 * these, or NULL. */
typedef bool leg_serves(const struct leg *l, const struct leg *other);

static struct nearest names_near_leg(struct builder *b, const struct leg *l, leg_serves *serves)
{
    struct nearest near = nearest_to(l->name);
    uint32_t n = 0;
    for (uint32_t i = 0; i < b->m->legs.n && n < MOST_COMPARED; i++) {
        const struct leg *other = b->m->legs.at[i];
        if (l == other || l->unit != other->unit || !serves(l, other))
            continue;
        nearest_try(&near, other->name);
        n++;
    }
    return near;
}

static const struct leg *nearest_leg(struct builder *b, const struct leg *l, leg_serves *serves)
{
    struct nearest near = names_near_leg(b, l, serves);
    for (uint32_t i = 0; near.found && i < b->m->legs.n; i++)
        if (b->m->legs.at[i]->name == near.found && b->m->legs.at[i]->unit == l->unit)
            return b->m->legs.at[i];
    return NULL;
}

static bool is_declared_alone(const struct leg *l)
{
    return l->node && !node_broken(l->node) && !first_part(l) && !l->capped.n;
}

static bool lacks_declaration(const struct leg *l, const struct leg *other)
{
    (void)l;
    return !other->node && first_part(other);
}

static bool lacks_parts(const struct leg *l, const struct leg *other)
{
    (void)l;
    return is_declared_alone(other);
}

/* One that is kept for later is whole with a switch or without. */
static bool is_whole(const struct leg *l, const struct leg *other)
{
    return (other->controls.n && other->loads.n) || (l->controls.n && other->capped.n);
}

/* A leg is declared that no part names, and its name is this one but for a slip. */
static bool is_declared_otherwise(struct builder *b, const struct leg *l)
{
    const struct leg *alone = nearest_leg(b, l, lacks_parts);
    return alone && nearest_leg(b, alone, lacks_declaration) == l;
}

static void check_rooms(struct builder *b, const struct leg *l)
{
    const struct part *first = first_part(l), *other = NULL;
    for (uint32_t i = 0; i < l->controls.n + l->loads.n && !other; i++)
        if (room_of(part_of_leg(l, i)) != room_of(first))
            other = part_of_leg(l, i);
    if (!other || l->node || is_declared_otherwise(b, l))
        return;
    struct finding *f = model_finding(
        b->m, &rule_leg_spans_rooms, part_leg_span(other), l->unit,
        arena_printf(b->arena, "leg %s", address_of_leg(b->arena, l, false)),
        "leg '%s' stands in room '%s' and in room '%s' and is not declared; %u switch%s will work "
        "%u thing%s together",
        l->name, room_of(first)->name, room_of(other)->name, l->controls.n,
        l->controls.n == 1 ? "" : "es", l->loads.n, l->loads.n == 1 ? "" : "s");
    diag_note(b->diag, f, part_leg_span(first), "first named here");
    note_further_rooms(b, f, l, other);
    diag_mend(b->diag, f, "declare it with 'leg %s', or give one of them another name", l->name);
    const char *text = arena_printf(b->arena, "leg %s", l->name);
    edit_behind(edit_way(b->diag, f, false, "declare it: %s", text), room_of(other)->node, text);
}

/* Another leg in all places that name this one; NULL: none there. */
static void write_leg(struct builder *b, struct finding *f, const struct leg *l, const char *name)
{
    struct editing e =
        edit_way(b->diag, f, false, name ? "write '%s' in both places" : "leave 'leg %s' out",
                 name ? name : l->name);
    for (uint32_t i = 0; i < l->controls.n + l->loads.n; i++) {
        const struct part *p =
            i < l->controls.n ? l->controls.at[i] : l->loads.at[i - l->controls.n];
        const struct node *clause = build_part_clause(p, p->leg == l ? F_DEV_LEG : F_DEV_FROM);
        if (clause && name)
            edit_value(e, clause, 0, name);
        else if (clause)
            edit_remove(e, clause);
    }
}

/* Whether the one leg lacks switches and the other what they work. */
static bool are_halves(const struct leg *l, const struct leg *other)
{
    bool works_nothing = l->controls.n && !l->loads.n && !other->controls.n && other->loads.n;
    bool has_no_switch = !l->controls.n && l->loads.n && other->controls.n && !other->loads.n;
    return l->unit == other->unit && !l->capped.n && !other->capped.n &&
           (works_nothing || has_no_switch);
}

/* The leg that this one would make whole if its name were the same but for a slip, or NULL. */
static const struct leg *nearest_half(struct builder *b, const struct leg *l)
{
    if (!l->controls.n == !l->loads.n)
        return NULL;
    return nearest_leg(b, l, are_halves);
}

RULE(leg_without_switch, "leg-without-switch", ERROR, FIRM, "every leg has a switch");
RULE(leg_without_load, "leg-without-load", ERROR, FIRM, "every leg works something");

/* One name in two spellings: said of the one that is not declared, else of the later in the text.
 */
static void say_spelling(struct builder *b, const struct leg *l, const struct leg *other)
{
    const struct part *here = first_part(l), *there = first_part(other);
    bool wrong = !l->node == !other->node ? here->device->id > there->device->id : !l->node;
    if (!wrong)
        return;
    struct finding *f =
        model_finding(b->m, l->controls.n ? &rule_leg_without_load : &rule_leg_without_switch,
                      part_leg_span(here), l->unit, address_of_leg(b->arena, l, false),
                      l->controls.n ? "leg '%s' works nothing, and leg '%s' has no switch"
                                    : "leg '%s' has no switch, and leg '%s' works nothing",
                      l->name, other->name);
    diag_note(b->diag, f, part_leg_span(there), "leg '%s'", other->name);
    diag_mend(b->diag, f, "write '%s' in both places", other->name);
    write_leg(b, f, l, other->name);
}

/* A whole leg whose name is near to that of one which lacks something may be meant. */
static const char *or_another(struct builder *b, const struct leg *l)
{
    bool one;
    struct nearest near = names_near_leg(b, l, is_whole);
    const char *meant = nearest_in_words(b->arena, &near, &one);
    return meant
               ? arena_printf(b->arena, "; or write %s, which %s there", meant, one ? "is" : "are")
               : "";
}

static void check_leg(struct builder *b, const struct leg *l)
{
    const struct part *first = first_part(l);
    struct span span = l->node       ? node_name_span(l->node)
                       : first       ? part_leg_span(first)
                       : l->capped.n ? node_name_span(l->capped.at[0]->node)
                                     : (struct span){0};
    const char *subject = address_of_leg(b->arena, l, false);
    if (node_broken(l->node))
        return;
    const struct leg *other = nearest_half(b, l);
    if (other && nearest_half(b, other) == l) {
        say_spelling(b, l, other);
    } else if (l->node && !first && !l->capped.n) {
        const struct leg *meant = nearest_leg(b, l, lacks_declaration);
        struct finding *f =
            model_finding(b->m, &rule_leg_without_load, span, l->unit, subject,
                          "leg '%s' is declared, but no switch and no load names it", l->name);
        diag_mend(b->diag, f, meant ? "write '%s'" : "name it on what it works, or leave it out",
                  meant ? meant->name : "");
        if (meant)
            diag_mend_name(b->diag, f, l->name, meant->name);
        else
            edit_remove(edit_way(b->diag, f, false, "leave it out"), l->node);
    } else if (!l->controls.n && !l->capped.n) {
        struct finding *f =
            model_finding(b->m, &rule_leg_without_switch, first ? part_leg_span(first) : span,
                          l->unit, subject, "leg '%s' has no switch", l->name);
        diag_mend(b->diag, f,
                  "put 'switch leg %s' in a box, or leave 'leg %s' out and it is always live%s",
                  l->name, l->name, or_another(b, l));
        write_leg(b, f, l, NULL);
    } else if (l->controls.n && !l->loads.n && !l->capped.n) {
        struct finding *f = model_finding(
            b->m, &rule_leg_without_load, part_leg_span(first), l->unit, subject,
            "leg '%s' works nothing: no luminaire, fan or receptacle names it", l->name);
        diag_mend(b->diag, f, "write 'leg %s' on what it works%s", l->name, or_another(b, l));
    }
    check_rooms(b, l);
}

/* Names that broken statements may have given or used make every absence doubtful. */
static bool unit_doubtful(const struct builder *b, const struct leg *l)
{
    const struct scope *s = map_get(&b->scope_of, (uintptr_t)l->unit, 1);
    return s && (s->in_doubt & ITS_DEVICES);
}

RULE(switch_without_leg, "switch-without-leg", ERROR, FIRM, "every switch says what it works");

static void check_switches(struct builder *b)
{
    for (uint32_t i = 0; i < b->m->devices.n; i++) {
        const struct device *d = b->m->devices.at[i];
        for (uint32_t k = 0; k < d->part_count; k++) {
            const struct part *p = &d->parts[k];
            if (!p->control || p->leg || node_child(p->node, F_DEV_LEG) ||
                node_child(d->node, F_DEV_LEG))
                continue;
            struct finding *f =
                model_finding(b->m, &rule_switch_without_leg, node_span(p->node),
                              d->box->room->unit, address_of_box(b->arena, d->box, false),
                              "this %s does not say what it works", d->def->name);
            diag_mend(b->diag, f, "write 'leg' and a name here, and on what it works");
        }
    }
}

/* `backup of BOX`: a bare name is a box of the same room. */
static void find_backups(struct builder *b)
{
    for (uint32_t i = 0; i < b->m->devices.n; i++) {
        const struct device *d = b->m->devices.at[i];
        struct scope *s = map_get(&b->scope_of, (uintptr_t)d->box->room->unit, 1);
        for (uint32_t k = 0; k < d->part_count && s; k++) {
            const struct node *c = build_part_clause(&d->parts[k], F_BACKUP);
            struct room *room = d->box->room;
            b->scope = s;
            if (c && node_value(c, 0))
                d->parts[k].backup_of = build_resolve_end(b, s, c, node_value(c, 0), &room).box;
        }
    }
}

void build_check_legs(struct builder *b)
{
    find_backups(b);
    for (uint32_t i = 0; i < b->m->legs.n; i++)
        if (!unit_doubtful(b, b->m->legs.at[i]))
            check_leg(b, b->m->legs.at[i]);
    check_switches(b);
}

/* Definitions of devices: their terminals with their roles, what their positions join, what their
 * contacts can be on a leg. All of it is worked out here, from the nets of the terminals and from
 * what the positions join; the letters of a name say nothing. */
#include "resolve/library.h"
#include "resolve/mention.h"
#include "resolve/node.h"
#include "resolve/reading.h"
#include "resolve/value.h"

#include <string.h>

enum { SUITED = 1 << SINGLE_POLE | 1 << THREE_WAY | 1 << FOUR_WAY };

bool body_has(const struct body *b, bool gives, uint8_t nets)
{
    for (uint8_t i = 0; i < b->terminal_count; i++)
        if (b->terminals[i].gives == gives && b->terminals[i].nets & nets)
            return true;
    return false;
}

/* --- terminals ---------------------------------------------------------------------------- */

const char *const def_nets[] = {"line",   "neutral", "ground",       "leg", "traveler",
                                "line-a", "line-b",  "interconnect", NULL};

static enum terminal_role role_of(const struct terminal *t)
{
    return t->nets & NET_GROUND         ? ROLE_GROUND
           : t->gives                   ? t->nets & NET_LEG ? ROLE_LEG : ROLE_LOAD
           : t->nets & NET_NEUTRAL      ? ROLE_NEUTRAL
           : t->nets & NET_INTERCONNECT ? ROLE_INTERCONNECT
           : t->nets & NET_TRAVELER     ? ROLE_TRAVELER
                                        : ROLE_LINE;
}

static char pole_of(const struct terminal *t)
{
    return t->nets & NET_LINE_A ? 'a' : t->nets & NET_LINE_B ? 'b' : 0;
}

static struct terminal read_terminal(const struct node *n)
{
    struct terminal t = {.name = node_name(n, 0), .node = n};
    const char *way = node_name(n, 1);
    t.gives = way && !strcmp(way, "gives");
    for (unsigned i = 2; i < n->value_count; i++)
        for (int k = 0; n->values[i].kind == V_NAME && def_nets[k]; k++)
            if (!strcmp(n->values[i].name, def_nets[k]))
                t.nets |= (uint8_t)(1u << k);
    t.role = role_of(&t);
    return t;
}

static uint8_t place_of(const struct terminal *list, uint8_t count, const char *name)
{
    for (uint8_t i = 0; i < count; i++)
        if (list[i].name == name)
            return i;
    return NO_TERMINAL;
}

/* Terminals of a device or part; they replace inherited ones of the same name and are added to the
 * others. */
static struct terminal *read_terminals(struct reading *r, const struct node *n,
                                       const struct terminal *inherited, uint8_t *count)
{
    struct terminal *list = arena_array(r->arena, struct terminal, MOST_TERMINALS);
    uint8_t total = *count;
    if (total)
        memcpy(list, inherited, total * sizeof *list);
    for (const struct node *c = n->child; c; c = c->next) {
        if (c->form != F_TERMINAL || c->broken)
            continue;
        struct terminal t = read_terminal(c);
        uint8_t i = place_of(list, total, t.name);
        mention_name(r->lib->mentions, c, MENTION_TERMINAL, NULL);
        if (i != NO_TERMINAL)
            mention_alike(r->lib->mentions, c, node_value(c, 0), 0, list[i].node,
                          node_value(list[i].node, 0));
        if (i == NO_TERMINAL && total < MOST_TERMINALS)
            i = total++;
        if (i != NO_TERMINAL)
            list[i] = t;
    }
    *count = total;
    return list;
}

/* --- positions ---------------------------------------------------------------------------- */

static void mention_terminal(struct reading *r, const struct node *n, unsigned i,
                             const struct terminal *t)
{
    mention_value(r->lib->mentions, n, node_value(n, i), 0, MENTION_TERMINAL, NULL, t->node);
}

/* The pairs of a position whose terminals the body has both. */
static struct switch_position read_position(struct reading *r, const struct node *n,
                                            const struct body *b)
{
    struct switch_position p = {
        node_name(n, 0), n, {{NO_TERMINAL, NO_TERMINAL}, {NO_TERMINAL, NO_TERMINAL}}};
    for (unsigned k = 0; k < 2; k++) {
        uint8_t pair[2];
        for (unsigned i = 0; i < 2; i++) {
            const char *name = node_name(n, 2 * k + i + 1);
            pair[i] = name ? place_of(b->terminals, b->terminal_count, name) : NO_TERMINAL;
            if (pair[i] != NO_TERMINAL)
                mention_terminal(r, n, 2 * k + i + 1, &b->terminals[pair[i]]);
        }
        if (pair[0] != NO_TERMINAL && pair[1] != NO_TERMINAL)
            memcpy(p.joins[k], pair, sizeof pair);
    }
    return p;
}

static void read_positions(struct reading *r, struct body *b, const struct node *handle)
{
    struct switch_position *list = arena_array(r->arena, struct switch_position, MOST_POSITIONS);
    b->positions = list;
    b->position_count = 0;
    for (const struct node *c = handle ? handle->child : NULL;
         c && b->position_count < MOST_POSITIONS; c = c->next)
        if (c->form == F_POSITION && !c->broken)
            list[b->position_count++] = read_position(r, c, b);
}

/* The terminal that a position joins with this one. */
static uint8_t joined(const struct switch_position *p, uint8_t terminal)
{
    for (int k = 0; k < 2; k++)
        for (int i = 0; i < 2; i++)
            if (p->joins[k][i] == terminal)
                return p->joins[k][!i];
    return NO_TERMINAL;
}

/* --- what the contacts can be ------------------------------------------------------------- */

/* The terminals of a role that a position joins; how many. */
static uint8_t contacts_of(const struct body *b, enum terminal_role role, uint8_t *found)
{
    uint8_t n = 0;
    for (uint8_t i = 0; i < b->terminal_count; i++)
        if (b->terminals[i].contact && b->terminals[i].role == role)
            found[n++] = i;
    return n;
}

/* Whether one position joins the terminal with a line, and another leaves it alone. */
static bool turns(const struct body *b, uint8_t leg, char pole)
{
    bool on = false, off = false;
    for (uint8_t i = 0; i < b->position_count; i++) {
        uint8_t to = joined(&b->positions[i], leg);
        on |= to != NO_TERMINAL && b->terminals[to].role == ROLE_LINE &&
              b->terminals[to].pole == pole;
        off |= to == NO_TERMINAL;
    }
    return on && off;
}

/* Whether one terminal is joined now with the one, now with the other of the two. */
static bool throws_over(const struct body *b, const uint8_t *pair)
{
    for (uint8_t i = 0; i < b->position_count; i++)
        for (uint8_t k = 0; k < b->position_count; k++) {
            uint8_t common = joined(&b->positions[i], pair[0]);
            if (common != NO_TERMINAL && b->terminals[common].role == ROLE_LINE &&
                common == joined(&b->positions[k], pair[1]) &&
                joined(&b->positions[i], pair[1]) == NO_TERMINAL &&
                joined(&b->positions[k], pair[0]) == NO_TERMINAL)
                return true;
        }
    return false;
}

/* Whether four travelers are joined in two pairs now so, now otherwise. `ends`: the first of them
 * and the one that it is never joined with, then the two of the other end, each with its fellow of
 * the first position. */
static bool crosses(const struct body *b, const uint8_t *four, uint8_t *ends)
{
    uint8_t first = four[0], fellow = joined(&b->positions[0], first);
    for (uint8_t i = 1; i < b->position_count && fellow != NO_TERMINAL; i++) {
        uint8_t across = joined(&b->positions[i], first);
        uint8_t other = across == NO_TERMINAL ? NO_TERMINAL : joined(&b->positions[0], across);
        if (across == fellow || other == NO_TERMINAL || joined(&b->positions[i], fellow) != other)
            continue;
        memcpy(ends, (uint8_t[4]){first, other, fellow, across}, 4);
        return true;
    }
    return false;
}

static uint8_t contact_kinds(const struct body *b)
{
    uint8_t travelers[MOST_TERMINALS], legs[MOST_TERMINALS], ends[4];
    uint8_t t = contacts_of(b, ROLE_TRAVELER, travelers), l = contacts_of(b, ROLE_LEG, legs);
    if (t == 4 && !l)
        return crosses(b, travelers, ends) ? 1 << FOUR_WAY : 0;
    if (t == 2 && !l)
        return throws_over(b, travelers) ? 1 << THREE_WAY : 0;
    if (l == 1 && !t)
        return turns(b, legs[0], 0) ? 1 << SINGLE_POLE : 0;
    bool both = l == 2 && !t &&
                ((turns(b, legs[0], 'a') && turns(b, legs[1], 'b')) ||
                 (turns(b, legs[0], 'b') && turns(b, legs[1], 'a')));
    return both ? 1 << TWO_POLE : 0;
}

/* --- bodies ------------------------------------------------------------------------------- */

/* Travelers of one end are a and b; a leg is of the line that it is joined with. */
static void set_poles(const struct body *b, struct terminal *list)
{
    uint8_t found[MOST_TERMINALS], ends[4];
    uint8_t n = contacts_of(b, ROLE_TRAVELER, found);
    bool four = n == 4 && crosses(b, found, ends);
    for (uint8_t i = 0; i < n; i++) {
        uint8_t at = four ? ends[i] : found[i];
        list[at].pole = i % 2 ? 'b' : 'a';
        list[at].onward = four && i >= 2;
    }
    n = contacts_of(b, ROLE_LEG, found);
    for (uint8_t i = 0; i < n; i++)
        for (uint8_t k = 0; k < b->position_count && !list[found[i]].pole; k++) {
            uint8_t line = joined(&b->positions[k], found[i]);
            list[found[i]].pole = line == NO_TERMINAL ? 0 : list[line].pole;
        }
}

/* A load side continues what takes the same net and is no contact of the handle. */
static void set_continued(const struct body *b, struct terminal *list)
{
    for (uint8_t i = 0; i < b->terminal_count; i++)
        for (uint8_t k = 0;
             list[i].role == ROLE_LOAD && !list[i].continues && k < b->terminal_count; k++)
            if (!list[k].gives && !list[k].contact && list[k].nets & list[i].nets)
                list[i].continues = (uint8_t)(k + 1);
}

static void settle_body(struct reading *r, struct body *b, struct terminal *list,
                        const struct node *handle)
{
    b->terminals = list;
    for (uint8_t i = 0; i < b->terminal_count; i++) {
        list[i].contact = list[i].onward = false;
        list[i].continues = 0;
        list[i].pole = pole_of(&list[i]);
    }
    read_positions(r, b, handle);
    for (uint8_t i = 0; i < b->position_count; i++)
        for (int k = 0; k < 4; k++)
            if (b->positions[i].joins[k / 2][k % 2] != NO_TERMINAL)
                list[b->positions[i].joins[k / 2][k % 2]].contact = true;
    set_poles(b, list);
    set_continued(b, list);
    b->contacts = contact_kinds(b);
}

static bool has_positions(const struct node *n)
{
    return node_child(n, F_POSITION) != NULL;
}

/* What the device as a whole is: with no contacts of its own a control becomes what its place asks
 * for, by contacts of the library. */
static void settle_device(struct reading *r, struct device_def *d, struct terminal *list)
{
    const struct node *n = d->node;
    bool parts = false;
    for (const struct node *c = n->child; c; c = c->next)
        parts |= c->form == F_PART_DEF && has_positions(c);
    if (has_positions(n))
        d->handle = n;
    if (has_positions(n) || parts)
        d->made_to_suit = false;
    if (node_child(n, F_MULTI))
        d->made_to_suit = d->multi != MULTI_NO;
    struct body *b = &d->body;
    settle_body(r, b, list, d->handle);
    bool plain = d->sort == SORT_CONTROL && !d->protects && !body_has(b, true, NET_LEG) &&
                 !body_has(b, false, NET_TRAVELER);
    b->control = plain || body_has(b, true, NET_LEG) || body_has(b, false, NET_TRAVELER);
    b->serves = b->contacts;
    if (d->made_to_suit && (plain || b->contacts & SUITED))
        b->serves |= SUITED;
    else if (plain && !d->part_count)
        b->serves |= 1 << SINGLE_POLE;
}

/* --- parts -------------------------------------------------------------------------------- */

/* The terminals of a part are its own and those of the device that they do not replace. */
static void settle_part(struct reading *r, const struct device_def *d, struct part_def *p)
{
    struct terminal *list =
        arena_array(r->arena, struct terminal, p->own_count + d->body.terminal_count);
    memcpy(list, p->own, p->own_count * sizeof *list);
    uint8_t count = p->own_count;
    for (uint8_t i = 0; i < d->body.terminal_count; i++) {
        uint8_t own = place_of(p->own, p->own_count, d->body.terminals[i].name);
        if (own != NO_TERMINAL) {
            mention_alike(r->lib->mentions, p->own[own].node, node_value(p->own[own].node, 0), 0,
                          d->body.terminals[i].node, node_value(d->body.terminals[i].node, 0));
            continue;
        }
        list[count] = d->body.terminals[i];
        list[count++].shared = (uint8_t)(i + 1);
    }
    struct body *b = &p->body;
    b->terminal_count = count;
    settle_body(r, b, list, has_positions(p->node) ? p->node : d->handle);
    b->control = body_has(b, true, NET_LEG) || body_has(b, false, NET_TRAVELER);
    b->serves = b->contacts | (d->made_to_suit && b->contacts & SUITED ? SUITED : 0);
}

/* --- tabs --------------------------------------------------------------------------------- */

static uint8_t own_place(const struct part_def *p, const char *name)
{
    return place_of(p->own, p->own_count, name);
}

uint8_t device_tied(const struct part_def *a, uint8_t terminal, const struct part_def *b)
{
    const char *name = terminal < a->own_count ? a->own[terminal].name : NULL;
    for (uint8_t i = 0; name && i < a->tab_count; i++) {
        const struct tab_def *t = &a->tabs[i];
        if (t->terminal == name && (t->to ? a != b : a == b))
            return own_place(b, t->to ? t->to : name);
    }
    for (uint8_t i = 0; name && a != b && i < b->tab_count; i++)
        if (b->tabs[i].to == name)
            return own_place(b, b->tabs[i].terminal);
    return NO_TERMINAL;
}

static void read_tabs(struct part_def *p, const struct node *n)
{
    for (const struct node *c = n->child; c && p->tab_count < MOST_TABS; c = c->next)
        if (c->form == F_TAB && !c->broken)
            p->tabs[p->tab_count++] = (struct tab_def){node_name(c, 0), node_name(c, 1), c};
}

static const char *const demands[] = {"general",   "specific", "fixed", "equipment",    "range",
                                      "cooking",   "dryer",    "heat",  "storage-heat", "cooling",
                                      "heat-pump", "vehicle",  NULL};

static struct part_def read_part(struct reading *r, const struct node *c)
{
    struct part_def p = {.name = node_name(c, 0), .node = c, .count = 1};
    mention_name(r->lib->mentions, c, MENTION_PART, NULL);
    const struct value *n = node_value(c, 1);
    p.count = n && n->n > 0 && n->n <= MOST_OF_A_PART ? (uint8_t)n->n : 1;
    p.load = def_amount(c, F_DEF_LOAD, -1);
    p.volts = def_amount(c, F_VOLTS, 0);
    p.continuous = def_flag(c, F_CONTINUOUS, false);
    p.motor = def_flag(c, F_MOTOR, false);
    p.light = def_flag(c, F_DEF_LIGHT, false);
    p.has_demand = node_child(c, F_DEF_DEMAND) != NULL;
    p.demand = (enum demand_class)def_choice(c, F_DEF_DEMAND, demands, DEMAND_GENERAL);
    p.own = read_terminals(r, c, NULL, &p.own_count);
    read_tabs(&p, c);
    return p;
}

/* Parts that a device writes stand in place of all that it inherits. */
static struct part_def *read_parts(struct reading *r, struct device_def *d)
{
    struct part_def *list = arena_array(r->arena, struct part_def, MOST_PARTS);
    uint8_t count = 0;
    for (const struct node *c = d->node->child; c && count < MOST_PARTS; c = c->next)
        if (c->form == F_PART_DEF && !c->broken)
            list[count++] = read_part(r, c);
    if (!count && d->part_count)
        memcpy(list, d->parts, (count = d->part_count) * sizeof *list);
    d->parts = list;
    d->part_count = count;
    return list;
}

/* --- devices ------------------------------------------------------------------------------ */

static void read_nature(struct device_def *d, const struct node *n)
{
    static const char *const sorts[] = {"receptacle", "luminaire", "control",     "appliance",
                                        "alarm",      "equipment", "low-voltage", NULL};
    static const char *const multis[] = {"yes", "companion", "no", NULL};
    static const char *const places[] = {"any", "first", NULL};
    static const char *const protections[] = {"", "gfci", "afci", "dual-function", NULL};
    d->sort = (enum device_sort)def_choice(n, F_SORT, sorts, d->sort);
    d->first_only = def_choice(n, F_DEF_PLACE, places, d->first_only);
    d->multi = (enum multi)def_choice(n, F_MULTI, multis, d->multi);
    d->protects = (enum protection)def_choice(n, F_DEF_ONWARD, protections, d->protects);
    d->demand = (enum demand_class)def_choice(n, F_DEF_DEMAND, demands, d->demand);
    d->mount = (enum mount)def_choice(n, F_MOUNT, def_mounts, d->mount);
}

static void read_flags(struct device_def *d, const struct node *n)
{
    d->continuous = def_flag(n, F_CONTINUOUS, d->continuous);
    d->wants_neutral = def_flag(n, F_WANTS_NEUTRAL, d->wants_neutral);
    d->integral = def_flag(n, F_DEF_INTEGRAL, d->integral);
    d->fixed = def_flag(n, F_DEF_FIXED, d->fixed);
    d->fan_box = def_flag(n, F_DEF_FAN, d->fan_box);
    d->tamper_resistant = def_flag(n, F_DEF_TAMPER, d->tamper_resistant);
    d->housing = def_length(n, F_HOUSING, d->housing);
    d->clear_of_insulation = def_flag(n, F_DEF_CLEAR, d->clear_of_insulation);
    d->motor = def_flag(n, F_MOTOR, d->motor);
    d->fuel_fired = def_flag(n, F_FUEL_FIRED, d->fuel_fired);
    d->co_alr = def_flag(n, F_CO_ALR, d->co_alr);
    d->al_cu = def_flag(n, F_AL_CU, d->al_cu);
}

/* The sizes that its terminals accept; wires of its own accept any. */
static void read_takes(struct reading *r, struct device_def *d, const struct node *n)
{
    const struct node *takes = node_child(n, F_TAKES);
    const char *from = def_size(r->lib, node_value(takes, 0)),
               *to = def_size(r->lib, node_value(takes, 1));
    if (!takes || takes->broken)
        return;
    d->takes_from = from && to ? from : NULL;
    d->takes_to = from && to ? to : NULL;
}

static void read_figures(struct reading *r, struct device_def *d, const struct node *n)
{
    d->yokes = def_count(n, F_YOKES, d->yokes);
    d->outlets = def_count(n, F_OUTLETS, d->outlets);
    d->gangs = def_count(n, F_GANGS, d->gangs);
    d->fittings = def_count(n, F_FITTINGS, d->fittings);
    d->rating = def_amount(n, F_RATING, d->rating);
    d->terminals = (int)def_amount(n, F_TERMINALS, d->terminals);
    read_takes(r, d, n);
    const struct node *cable = node_child(n, F_DEF_CABLE);
    d->cable = cable && !cable->broken ? def_name(r->lib, cable) : d->cable;
    const struct declared *known = cable ? map_find(&r->lib->cables, 0, d->cable) : NULL;
    if (known)
        resolve_mention(r->lib, cable, node_value(cable, 0), known);
    d->volts = def_amount(n, F_VOLTS, d->volts);
    d->load = def_amount(n, F_DEF_LOAD, d->load);
    d->has_height |= node_child(n, F_HEIGHT) != NULL;
    d->height = def_length(n, F_HEIGHT, d->height);
    d->fixture_wires = def_count(n, F_FIXTURE_WIRES, d->fixture_wires);
    const char *wire = def_size(r->lib, node_value(node_child(n, F_FIXTURE_WIRES), 1));
    d->fixture_wire_size = wire ? wire : d->fixture_wire_size;
}

void device_read(struct reading *r, struct declared *decl, const struct declared *base)
{
    struct device_def *d = decl->definition;
    const struct node *n = decl->node;
    if (base)
        *d = *(struct device_def *)base->definition;
    d->base = base ? base->definition : NULL;
    d->node = n;
    d->name = def_name(r->lib, n);
    d->title = def_title(n, d->name);
    d->of_plan = decl->of_plan;
    d->used = false;
    read_nature(d, n);
    read_flags(d, n);
    read_figures(r, d, n);
    struct terminal *terminals = read_terminals(r, n, d->body.terminals, &d->body.terminal_count);
    struct part_def *parts = read_parts(r, d);
    settle_device(r, d, terminals);
    for (uint8_t i = 0; i < d->part_count; i++)
        settle_part(r, d, &parts[i]);
    const struct body *b = &d->body;
    d->two_line = body_has(b, false, NET_LINE_A) && body_has(b, false, NET_LINE_B);
    d->has_neutral = body_has(b, false, NET_NEUTRAL);
    *vec_push(r->arena, &r->lib->device_list) = d;
}

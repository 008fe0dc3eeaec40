/* What every part of a device is once the order of the switches is known, and the net of each of
 * its terminals. */
#include "model/makeup.h"
#include "wiring/work.h"

/* --- forms -------------------------------------------------------------------------------- */

/* Contacts of the library in the place of a body's own, among what else it has: neutral, ground, a
 * load side. */
static struct body *borrow_contacts(struct arena *arena, const struct body *own,
                                    const struct body *form)
{
    struct body *b = arena_new(arena, struct body);
    struct terminal *list =
        arena_array(arena, struct terminal, own->terminal_count + form->terminal_count);
    uint8_t own_at[UINT8_MAX] = {0}, form_at[UINT8_MAX] = {0}, first = 0, n = 0;
    while (first < own->terminal_count && !own->terminals[first].contact)
        first++;
    for (uint8_t i = 0; i <= own->terminal_count; i++) {
        for (uint8_t k = 0; i == first && k < form->terminal_count; k++)
            if (form->terminals[k].contact)
                list[form_at[k] = n++] = form->terminals[k];
        if (i < own->terminal_count && !own->terminals[i].contact)
            list[own_at[i] = n++] = own->terminals[i];
    }
    for (uint8_t i = 0; i < n; i++)
        if (list[i].continues)
            list[i].continues = (uint8_t)(own_at[list[i].continues - 1] + 1);
    struct switch_position *at = arena_array(arena, struct switch_position, form->position_count);
    for (uint8_t i = 0; i < form->position_count; i++) {
        at[i] = form->positions[i];
        for (int k = 0; k < 4; k++)
            if (at[i].joins[k / 2][k % 2] != NO_TERMINAL)
                at[i].joins[k / 2][k % 2] = form_at[at[i].joins[k / 2][k % 2]];
    }
    *b = *form;
    b->terminals = list;
    b->terminal_count = n;
    b->positions = at;
    return b;
}

/* The form of a control: its own where it has the contacts for its place, else the library's. */
static void set_form(struct circuit_work *c, struct part_form *f, const struct part *p,
                     enum switch_kind kind)
{
    *f = (struct part_form){p, p->device->def, p->body};
    const struct device_def *form =
        !p->control || kind == TWO_POLE || p->body->contacts & 1u << kind
            ? NULL
            : library_device(c->m->lib, names_of(c->m->names, wiring_switch_kind_word(kind)));
    if (!form)
        return;
    f->def = form;
    f->body = borrow_contacts(c->arena, p->body, &form->body);
}

static struct part_form *form_slot(struct circuit_work *c, const struct part *p)
{
    struct device *d = p->device;
    struct part_form **forms = &c->w->forms[d->id];
    if (!*forms)
        *forms = arena_array(c->arena, struct part_form, d->part_count);
    return &(*forms)[p - d->parts];
}

/* --- nets of terminals -------------------------------------------------------------------- */

struct placing {
    struct circuit_work *c;
    struct part *part;
    int vertex;
    const struct leg_work *leg; /* of a control or load that names one */
    uint32_t place;             /* of a control: in the order of its leg */
};

static struct net *line_of(struct placing *p, char pole)
{
    return net_of(p->c, N_LINE, wiring_side_of_part(p->c, p->part, p->vertex), 0,
                  pole ? pole : wiring_pole_of(p->c, p->part));
}

static struct net *leg_net(struct placing *p, char pole)
{
    return net_of(p->c, N_LEG, p->leg->leg, 0, pole);
}

static struct net *traveler(struct placing *p, uint32_t index, char pole)
{
    return net_of(p->c, N_TRAVELER, p->leg->leg, index, pole);
}

static struct net *control_net(struct placing *p, const struct terminal *t)
{
    uint32_t last = p->leg->count - 1;
    if (p->leg->two_pole)
        return t->role == ROLE_LEG ? leg_net(p, t->pole ? t->pole : 'a')
                                   : line_of(p, t->pole ? t->pole : 'b');
    if (t->role == ROLE_TRAVELER)
        return traveler(p, t->onward || p->place == 0 ? p->place + 1 : p->place, t->pole);
    if (t->role == ROLE_LEG || (p->place == last && last))
        return leg_net(p, 0);
    return wiring_leg_source(p->c, p->leg, 0);
}

/* The load side of a protecting device: what its box hands on behind it; NULL where another device
 * of the box does that. */
static struct net *load_side_net(struct placing *p, const struct terminal *t)
{
    struct box *box = p->part->device->box;
    if (wiring_handing_on(box, p->c->circuit) != p->part->device)
        return NULL;
    char pole = t->pole ? t->pole : wiring_pole_of(p->c, p->part);
    return t->nets & NET_NEUTRAL ? net_of(p->c, N_NEUTRAL, box, 0, 0)
                                 : net_of(p->c, N_LINE, box, 0, pole);
}

static struct net *neutral_of(struct placing *p)
{
    bool load = p->leg && !p->part->control;
    return net_of(p->c, N_NEUTRAL,
                  load ? wiring_side_of_leg(p->c, p->leg)
                       : wiring_side_of_part(p->c, p->part, p->vertex),
                  0, 0);
}

static struct net *load_net(struct placing *p, const struct terminal *t)
{
    return p->leg && t->nets & NET_LEG ? leg_net(p, t->pole) : line_of(p, t->pole);
}

/* The line of a control that is no contact feeds what else the device does, where it hands on. */
static bool works_leg(const struct placing *p, const struct terminal *t)
{
    return t->contact || t->role != ROLE_LINE || t->nets & NET_LEG ||
           !wiring_hands_on(p->part->device->def);
}

static struct net *terminal_net(struct placing *p, const struct terminal *t)
{
    switch (t->role) {
    case ROLE_GROUND:
        return net_of(p->c, N_GROUND, NULL, 0, 0);
    case ROLE_LOAD:
        return load_side_net(p, t);
    case ROLE_NEUTRAL:
        return neutral_of(p);
    case ROLE_INTERCONNECT:
        return net_of(p->c, N_INTERCONNECT, NULL, 0, 0);
    default:
        break;
    }
    if (!p->part->control)
        return load_net(p, t);
    if (!works_leg(p, t))
        return line_of(p, 0);
    return p->leg ? control_net(p, t) : NULL;
}

static void record_part(struct circuit_work *c, struct part *part, const struct leg_work *leg,
                        uint32_t place, enum switch_kind kind)
{
    struct placing p = {
        .c = c, .part = part, .vertex = wiring_vertex_of_part(c, part), .leg = leg, .place = place};
    struct part_form *f = form_slot(c, part);
    set_form(c, f, part, kind);
    for (uint8_t i = 0; i < f->body->terminal_count && p.vertex >= 0; i++) {
        struct net *n = terminal_net(&p, &f->body->terminals[i]);
        if (n)
            *vec_push(c->arena, &c->w->terminals) =
                (struct terminal_net){part, i, n, wiring_feed_of_thing(c, part->device->box, part)};
    }
}

void wiring_record_terminals(struct circuit_work *c)
{
    for (uint32_t i = 0; i < c->leg_count; i++) {
        const struct leg_work *l = &c->legs[i];
        for (uint32_t k = 0; k < l->count; k++)
            record_part(c, l->switches[k], l, k, c->w->of_leg[l->leg->id].kinds[k]);
    }
    for (uint32_t i = 0; i < c->circuit->parts.n; i++) {
        struct part *p = c->circuit->parts.at[i];
        if (!p->control || !p->leg)
            record_part(c, p, p->leg ? wiring_work_of_leg(c, p->leg) : NULL, 0, SINGLE_POLE);
    }
}

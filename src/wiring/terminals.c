/* What every part of a device is once the order of the switches is known, and the net of each of
 * its terminals. */
#include "wiring/work.h"

#include <string.h>

/* --- forms -------------------------------------------------------------------------------- */

static const char *form_word(enum switch_kind k)
{
    return k == THREE_WAY ? "three-way" : k == FOUR_WAY ? "four-way" : "single-pole";
}

static bool gives_leg(const struct part *p)
{
    for (uint8_t i = 0; i < p->terminal_count; i++)
        if (p->terminals[i].gives && p->terminals[i].nets & NET_LEG)
            return true;
    return false;
}

/* Terminals by which a control works its leg; in another form those of the form stand in their
 * place. */
static bool working(const struct part *p, const struct terminal *t)
{
    const struct switch_position *at = p->device->def->positions;
    for (uint8_t i = 0; i < p->device->def->position_count; i++)
        for (int k = 0; k < 4; k++)
            if (at[i].joins[k / 2][k % 2] == t->name)
                return true;
    return false;
}

/* The form of a control: its own where it has the contacts for its place, else the library's, with
 * what else the device has: neutral, ground, a load side. */
static void set_form(struct circuit_work *c, struct part_form *f, const struct part *p,
                     enum switch_kind kind)
{
    const struct device_def *own = p->device->def;
    *f = (struct part_form){
        p, own, p->terminals, p->terminal_count, own->positions, own->position_count};
    if (!p->control || kind == TWO_POLE || (kind == SINGLE_POLE && gives_leg(p)))
        return;
    const struct device_def *form =
        library_device(c->m->lib, names_of(c->m->names, form_word(kind)));
    if (!form)
        return;
    struct terminal *list =
        arena_array(c->arena, struct terminal, p->terminal_count + form->terminal_count);
    uint8_t count = 0;
    for (uint8_t i = 0; i < form->terminal_count; i++)
        list[count++] = form->terminals[i];
    for (uint8_t i = 0; i < p->terminal_count; i++) {
        uint8_t k = 0;
        while (k < form->terminal_count && form->terminals[k].name != p->terminals[i].name)
            k++;
        if (k == form->terminal_count && !working(p, &p->terminals[i]))
            list[count++] = p->terminals[i];
    }
    f->def = form;
    f->terminals = list;
    f->terminal_count = count;
    f->positions = form->positions;
    f->position_count = form->position_count;
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
    uint8_t taken, given;       /* poles of a two-pole device met so far */
};

static struct net *line_of(struct placing *p, char pole)
{
    return net_of(p->c, N_LINE, side_of_part(p->c, p->part, p->vertex), 0,
                  pole ? pole : pole_of(p->c, p->part));
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
    if (p->leg->two_pole) {
        if (t->gives)
            return leg_net(p, (char)('a' + p->given++));
        return line_of(p, t->nets & NET_LINE_A ? 'a' : 'b');
    }
    if (t->nets & NET_TRAVELER) { /* a, b of a three-way; a1 b1, a2 b2 of a four-way */
        char pole = t->name[0] == 'b' ? 'b' : 'a';
        bool onward = t->name[1] == '2' || (!t->name[1] && p->place == 0);
        return traveler(p, onward ? p->place + 1 : p->place, pole);
    }
    if (t->gives || (p->place == last && last))
        return leg_net(p, 0);
    return leg_source(p->c, p->leg, 0);
}

/* The load side of a protecting device: what its box hands on behind it. */
static struct net *load_side_net(struct placing *p, const struct terminal *t)
{
    struct box *box = p->part->device->box;
    char pole = t->nets & NET_LINE_A ? 'a' : t->nets & NET_LINE_B ? 'b' : pole_of(p->c, p->part);
    return t->nets & NET_NEUTRAL ? net_of(p->c, N_NEUTRAL, box, 0, 0)
                                 : net_of(p->c, N_LINE, box, 0, pole);
}

static struct net *neutral_of(struct placing *p)
{
    bool load = p->leg && !p->part->control;
    return net_of(p->c, N_NEUTRAL,
                  load ? side_of_leg(p->c, p->leg) : side_of_part(p->c, p->part, p->vertex), 0, 0);
}

static struct net *load_net(struct placing *p, const struct terminal *t)
{
    bool two = t->nets & (NET_LINE_A | NET_LINE_B);
    char pole = !two ? 0 : t->nets & NET_LINE_A ? 'a' : 'b';
    if (p->leg && t->nets & NET_LEG)
        return leg_net(p, pole);
    return line_of(p, pole);
}

static struct net *terminal_net(struct placing *p, const struct terminal *t)
{
    if (t->nets & NET_GROUND)
        return net_of(p->c, N_GROUND, NULL, 0, 0);
    if (t->gives && t->nets & (NET_LINE | NET_NEUTRAL | NET_LINE_A | NET_LINE_B))
        return load_side_net(p, t);
    if (t->nets & NET_NEUTRAL)
        return neutral_of(p);
    if (t->nets & NET_INTERCONNECT)
        return net_of(p->c, N_INTERCONNECT, NULL, 0, 0);
    if (p->part->control)
        return !p->leg ? NULL
               : working(p->part, t) || t->nets & (NET_TRAVELER | NET_LEG) ||
                       !hands_on(p->part->device->def)
                   ? control_net(p, t)
                   : line_of(p, 0);
    return load_net(p, t);
}

static void record_part(struct circuit_work *c, struct part *part, const struct leg_work *leg,
                        uint32_t place, enum switch_kind kind)
{
    struct placing p = {
        .c = c, .part = part, .vertex = vertex_of_part(c, part), .leg = leg, .place = place};
    struct part_form *f = form_slot(c, part);
    set_form(c, f, part, kind);
    for (uint8_t i = 0; i < f->terminal_count && p.vertex >= 0; i++) {
        struct net *n = terminal_net(&p, &f->terminals[i]);
        if (n)
            *vec_push(c->arena, &c->w->terminals) =
                (struct terminal_net){part, i, n, feed_of_thing(c, part->device->box, part)};
    }
}

void record_terminals(struct circuit_work *c)
{
    for (uint32_t i = 0; i < c->leg_count; i++) {
        const struct leg_work *l = &c->legs[i];
        for (uint32_t k = 0; k < l->count; k++)
            record_part(c, l->switches[k], l, k, c->w->of_leg[l->leg->id].kinds[k]);
    }
    for (uint32_t i = 0; i < c->circuit->parts.n; i++) {
        struct part *p = c->circuit->parts.at[i];
        if (!p->control || !p->leg)
            record_part(c, p, p->leg ? work_of_leg(c, p->leg) : NULL, 0, SINGLE_POLE);
    }
}

/* appliance-share: what one appliance, and all fastened ones together, may take of a circuit that
 * serves other things too. */
#include "facts/devices.h"
#include "loads/loads.h"
#include "model/site.h"
#include "rules/check.h"

/* What is on a circuit. */
struct outlets {
    uint32_t count;  /* outlets, a device of several parts once */
    uint32_t on[2];  /* the same by line, what takes both on both */
    bool others[2];  /* lights, or receptacles for what is not fastened in place, by line */
    double fixed[2]; /* A of what is fastened in place, by line */
    const struct part *first_fixed;
};

static bool is_appliance(const struct device_def *def)
{
    return def->sort == SORT_APPLIANCE || def->sort == SORT_EQUIPMENT;
}

/* An appliance with a cord, or what the plan says is plugged into a receptacle. */
static bool is_cord(const struct part *part)
{
    const struct device_def *def = part->device->def;
    return def->outlets > 0 &&
           (is_appliance(def) || (def->sort == SORT_RECEPTACLE && part->load_written));
}

static bool is_on_line(const struct model *m, const struct part *part, int line)
{
    return part->volts > m->volts || line == (part->pole == 'b');
}

static void add_fixed(struct outlets *o, const struct model *m, const struct part *part)
{
    double amps = part->volts > 0 ? part->load / part->volts : 0;
    for (int line = 0; line < 2; line++)
        if (is_on_line(m, part, line))
            o->fixed[line] += amps;
    if (amps > 0 && !o->first_fixed)
        o->first_fixed = part;
}

static struct outlets outlets_of(const struct checked *c, const struct circuit *circuit)
{
    struct outlets o = {0};
    const struct device *last = NULL, *last_on[2] = {NULL, NULL};
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        const struct device_def *def = part->device->def;
        if (part->control)
            continue;
        o.count += part->device != last;
        last = part->device;
        for (int line = 0; line < 2; line++)
            if (is_on_line(c->model, part, line)) {
                o.on[line] += part->device != last_on[line];
                o.others[line] |= def->sort == SORT_LUMINAIRE || def->outlets > 0;
                last_on[line] = part->device;
            }
        if (is_appliance(def) && def->fixed)
            add_fixed(&o, c->model, part);
    }
    return o;
}

RULE(appliance_share, "appliance-share", ERROR, FIRM,
     "an appliance leaves room for what else its circuit serves");

static struct finding *report(const struct checked *c, const struct circuit *circuit,
                              const struct part *part, const char *message)
{
    const struct box *box = part->device->box;
    struct finding *f =
        box_finding_at(c, &rule_appliance_share, box, node_span(part->node), "%s", message);
    diag_note(c->model->diag, f, rules_breaker_span(circuit), "breaker given here");
    diag_mend(c->model->diag, f, "a circuit of its own");
    return f;
}

/* Whether an appliance has its line to itself: each line of a multiwire circuit is a circuit of its
 * own, and a receptacle written beside the appliance is the one that it plugs into. */
static bool is_alone(const struct checked *c, const struct outlets *o, const struct part *part)
{
    const struct box *box = part->device->box;
    uint32_t own = 1, line = part->pole == 'b';
    for (uint32_t i = 0; i < box->device_count; i++) {
        const struct device *d = box->devices[i];
        bool on = false;
        for (uint32_t k = 0; k < d->part_count; k++)
            on |= d->parts[k].circuit == part->circuit &&
                  is_on_line(c->model, &d->parts[k], (int)line) &&
                  facts_is_receptacle_of(&d->parts[k], part->device);
        own += on;
    }
    return part->volts <= c->model->volts && o->on[line] <= own;
}

static void check_cords(const struct checked *c, const struct circuit *circuit,
                        const struct outlets *o, double share)
{
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        double amps = part->volts > 0 ? part->load / part->volts : 0,
               rating = part->device->def->rating;
        bool smaller = rating > 0 && rating < circuit->breaker;
        double most = share * (smaller ? rating : circuit->breaker);
        if (!is_cord(part) || amps <= most + 1e-9 || !facts_known(part, ITS_TEXT) ||
            is_alone(c, o, part))
            continue;
        const char *receptacle =
            smaller ? arena_printf(c->model->arena, " of its %g A receptacle", rating) : "";
        struct finding *f =
            report(c, circuit, part,
                   arena_printf(c->model->arena,
                                "the %s in %s takes %s A; one appliance on %s, which serves other "
                                "outlets too, may take %s A%s",
                                part->device->def->name,
                                address_of_box(c->model->arena, part->device->box, true),
                                rules_amount_words(c, amps, 1), rules_circuit_words(c, circuit),
                                rules_amount_words(c, most, 1), receptacle));
        if (smaller)
            f->article = code_case_article(&c->model->code, "cord-on-receptacle");
    }
}

static void check_fixed(const struct checked *c, const struct circuit *circuit,
                        const struct outlets *o, double share)
{
    double most = share * circuit->breaker, amps = 0;
    for (int line = 0; line < 2; line++)
        amps = o->others[line] && o->fixed[line] > amps ? o->fixed[line] : amps;
    if (amps <= most + 1e-9 || !facts_known(o->first_fixed, ITS_TEXT))
        return;
    report(c, circuit, o->first_fixed,
           arena_printf(c->model->arena,
                        "what is fastened in place on %s takes %s A together; beside lights or "
                        "receptacles it may take %s A",
                        rules_circuit_words(c, circuit), rules_amount_words(c, amps, 1),
                        rules_amount_words(c, most, 1)));
}

/* A circuit of several outlets that is so small that the book keeps it for lights and a few things
 * more: one finding, at the first that is none of them. */
static void check_small(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        const struct device_def *def = part->device->def;
        if (part->control || !is_appliance(def) || def->outlets || part->load <= 0 ||
            facts_device_in_list(c->model, def, LIST_SMALL_CIRCUIT_DEVICES) ||
            !facts_known(part, ITS_TEXT))
            continue;
        struct finding *f =
            report(c, circuit, part,
                   arena_printf(m->arena,
                                "the %s in %s is on %s, whose breaker is %g A: with other outlets "
                                "such a circuit feeds lights and exhaust fans",
                                def->name, address_of_box(m->arena, part->device->box, true),
                                rules_circuit_words(c, circuit), circuit->breaker));
        rules_set_article(c, f, code_row_article(&m->code, COL_SMALL_CIRCUIT_ARTICLE, "others"));
        return;
    }
}

static void check_shares(const struct checked *c, const struct circuit *circuit)
{
    struct code *code = &c->model->code;
    double cord = code_share(code, SET_APPLIANCE_SHARE_CORD, 1),
           fixed = code_share(code, SET_APPLIANCE_SHARE_FIXED, 1);
    bool overloaded = c->loads->of_circuit[circuit->id].needed_amps >
                      circuit->breaker; /* breaker-overloaded says it */
    if (circuit->feeds || circuit->breaker <= 0 || overloaded ||
        circuit->breaker > code_current(code, SET_APPLIANCE_SHARE_UP_TO, 0))
        return;
    struct outlets o = outlets_of(c, circuit);
    if (o.count < 2)
        return;
    looked(c, appliance_share);
    if (circuit->breaker <= code_current(code, SET_NO_RECEPTACLES_UP_TO, 0) + 1e-9) {
        check_small(c, circuit);
        return;
    }
    check_cords(c, circuit, &o, cord);
    check_fixed(c, circuit, &o, fixed);
}
CHECK(appliance_share, .circuit = {check_shares, ITS_TEXT | ITS_BREAKER});

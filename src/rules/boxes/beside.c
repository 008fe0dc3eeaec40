/* appliance-beside-receptacle: an appliance is written as the thing that is plugged in, and beside
 * it in the same box the receptacle that it already stands for. */
#include "model/site.h"
#include "rules/mends.h"

#include <ctype.h>
#include <string.h>

RULE(appliance_beside_receptacle, "appliance-beside-receptacle", WARNING, WAIVABLE,
     "an appliance with a cord is written once: it stands for its receptacle");

/* What plugs in, or may: it stands for the receptacle behind it. */
static bool is_plugged(const struct device_def *def)
{
    return def->sort == SORT_APPLIANCE && !def->two_line;
}

static bool is_receptacle(const struct device *d)
{
    return d->def->sort == SORT_RECEPTACLE && !d->def->two_line;
}

static void check_box(const struct checked *c, const struct box *b)
{
    const struct device *receptacle = NULL, *appliance = NULL;
    for (uint32_t i = 0; i < b->device_count; i++) {
        const struct device *d = b->devices[i];
        receptacle = !receptacle && is_receptacle(d) ? d : receptacle;
        appliance = !appliance && is_plugged(d->def) ? d : appliance;
    }
    if (!appliance)
        return;
    looked(c, appliance_beside_receptacle);
    if (!receptacle)
        return;
    const char *address = address_of_box(c->model->arena, b, true);
    struct finding *f = device_finding(
        c, &rule_appliance_beside_receptacle, appliance,
        "the %s in %s stands beside a %s: the %s is its own outlet, so two are wired",
        appliance->def->name, address, receptacle->def->name, appliance->def->name);
    diag_note(c->model->diag, f, node_span(receptacle->node), "the receptacle");
    diag_mend(c->model->diag, f, "leave the %s out, or the %s, with what it is for as a text",
              receptacle->def->name, appliance->def->name);
    edit_remove(rules_way(c, f, false, "leave the %s out", receptacle->def->name),
                receptacle->node);
}

/* The device that the text of a receptacle is the name of: "sump pump". */
static const struct device_def *named_by_text(const struct checked *c, const char *text)
{
    const struct library *lib = c->model->lib;
    for (uint32_t i = 0; i < lib->device_list.n; i++) {
        const struct device_def *def = lib->device_list.at[i];
        const char *name = def->name, *t = text;
        while (*name && *t &&
               (*name == tolower((unsigned char)*t) || (*name == '-' && *t == ' '))) {
            name++;
            t++;
        }
        if (!*name && !*t && is_plugged(def) && def->outlets)
            return def;
    }
    return NULL;
}

/* Rules look at devices, not at texts: what stands in a text alone is not judged as that. */
static void check_text(const struct checked *c, const struct device *d)
{
    const struct device_def *def = d->title && is_receptacle(d) ? named_by_text(c, d->title) : NULL;
    if (!def)
        return;
    struct finding *f = device_finding(
        c, &rule_appliance_beside_receptacle, d,
        "the text of this %s is the name of a device: as a text it is judged like any receptacle",
        d->def->name);
    f->severity = NOTE;
    diag_mend(c->model->diag, f, "'%s' in its place, which is the receptacle and what plugs in",
              def->name);
    mends_device(c, f, d, def->name);
}
CHECK(appliance_beside_receptacle, .box = {check_box, ITS_TEXT, NEW_WORK},
      .device = {check_text, ITS_TEXT, NEW_WORK});

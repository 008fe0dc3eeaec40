#include "emit/unchecked.h"

#include "diag/rule.h"
#include "facts/rooms.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "wiring/protect.h"
#include "prove/prove.h"

/* What there is in a plan that a rule would have to know more of. */
struct gaps {
    uint32_t gfci_devices, luminaires, closets, alarms, kitchens, feeders, recessed, shared,
        islands, stairs, unproven;
    const char *closet, *panel, *kitchen, *open_plan, *island, *stair, *circuit;
};

static void count_devices(struct gaps *g, const struct model *m)
{
    for (uint32_t i = 0; i < m->devices.n; i++) {
        const struct device *d = m->devices.at[i];
        bool hangs = d->def->sort == SORT_LUMINAIRE || d->def->fan_box;
        g->gfci_devices += !d->existing && d->def->protects & PROTECTS_GFCI;
        g->luminaires += !d->existing && hangs && !d->def->integral;
        g->recessed += !d->existing && d->def->sort == SORT_LUMINAIRE && d->def->integral;
        g->alarms += !d->existing && d->def->sort == SORT_ALARM;
    }
}

static bool has_luminaire(const struct room *r)
{
    for (uint32_t i = 0; i < r->boxes.n; i++)
        for (uint32_t k = 0; k < r->boxes.at[i]->device_count; k++)
            if (r->boxes.at[i]->devices[k]->def->sort == SORT_LUMINAIRE)
                return true;
    return false;
}

/* A kitchen and something else, not parted by areas: which receptacles are the kitchen's is not
 * said. */
static bool is_shared_kitchen(struct model *m, const struct room *r)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < r->kind_count; i++)
        n += code_list_has_kind(&m->code, LIST_SMALL_APPLIANCE_PLACES, r->kinds[i]);
    return n && n < r->kind_count && !r->areas.n && r->boxes.n;
}

/* An island or peninsula in a kitchen or dining room, where the edition asks no receptacle of it
 * but provision for one. */
static bool wants_provision(struct model *m, const struct room *r)
{
    bool provision = code_yes(&m->code, SET_ISLANDS_PROVISION);
    bool any = r->islands.n > 0;
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        any |= r->fixtures.at[i].form == F_PENINSULA;
    return any && provision && room_used_as(m, r, LIST_COUNTER_PLACES);
}

/* A stair so high that it is worked at both ends, which does not say what they are. */
static bool has_open_stair(struct model *m, const struct room *r)
{
    double risers = code_count(&m->code, SET_STAIR_SWITCHING_RISERS, 0);
    for (uint32_t i = 0; i < r->stairs.n; i++)
        if (r->stairs.at[i].risers >= risers && (!r->stairs.at[i].from || !r->stairs.at[i].to))
            return true;
    return false;
}

static void count_rooms(struct arena *arena, struct gaps *g, struct model *m)
{
    const struct rule *closets = rule_named("closet-luminaire");
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        if (room_is_for(m, r, closets) && has_luminaire(r) && !g->closets++)
            g->closet = address_of_room(arena, r, true);
        if (room_used_as(m, r, LIST_SMALL_APPLIANCE_KITCHENS) && !facts_has_counter(r) &&
            !r->islands.n && !g->kitchens++)
            g->kitchen = address_of_room(arena, r, true);
        if (is_shared_kitchen(m, r) && !g->shared++)
            g->open_plan = address_of_room(arena, r, true);
        if (wants_provision(m, r) && !g->islands++)
            g->island = address_of_room(arena, r, true);
        if (has_open_stair(m, r) && !g->stairs++)
            g->stair = address_of_room(arena, r, true);
    }
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (m->panels.at[i]->existing && !m->panels.at[i]->feeder && !g->feeders++)
            g->panel = address_of_panel(arena, m->panels.at[i], true);
}

static void count_unproven(struct arena *arena, struct gaps *g, const struct verdict *v)
{
    for (uint32_t i = 0; i < v->circuit_count; i++)
        if (v->circuits[i].beyond_limit && !g->unproven++)
            g->circuit = arena_printf(arena, "circuit %s: %s",
                                      address_of_circuit(arena, v->circuits[i].circuit, true),
                                      v->circuits[i].left_out);
}

static void part(struct buf *b, bool *any, const char *words)
{
    buf_printf(b, "%s%s", *any ? "; " : "", words);
    *any = true;
}

static void counted(struct arena *arena, struct buf *b, bool *any, uint32_t n, const char *before,
                    const char *one, const char *many)
{
    if (n)
        part(b, any, arena_printf(arena, "%s %u %s", before, n, n == 1 ? one : many));
}

/* "the shelves of closet", "the shelves of closet and 2 more". */
static void named(struct arena *arena, struct buf *b, bool *any, uint32_t n, const char *before,
                  const char *name)
{
    if (n)
        part(b, any,
             n == 1 ? arena_printf(arena, "%s %s", before, name)
                    : arena_printf(arena, "%s %s and %u more", before, name, n - 1));
}

static void apart(struct arena *arena, struct buf *b, bool *any, const struct room *const *rooms,
                  uint32_t n)
{
    const char *first = address_of_room(arena, rooms[0], true);
    part(b, any,
         n == 1
             ? arena_printf(arena, "whether %s stands apart from a dwelling, on the ground", first)
             : arena_printf(arena,
                            "whether %s and %u more stand apart from a dwelling, on the ground",
                            first, n - 1));
}

const char *unchecked_words(struct arena *arena, struct model *m, const struct protected *protected,
                            const struct verdict *verdict)
{
    struct gaps g = {0};
    struct buf b = {0};
    bool any = false;
    count_devices(&g, m);
    count_rooms(arena, &g, m);
    count_unproven(arena, &g, verdict);
    buf_puts(&b, "Not checked, as the plan does not show it: ");
    counted(arena, &b, &any, g.gfci_devices, "what will stand before", "GFCI device",
            "GFCI devices");
    counted(arena, &b, &any, g.luminaires, "the weight of", "luminaire or fan",
            "luminaires and fans");
    counted(arena, &b, &any, g.recessed, "the listing of", "recessed luminaire for insulation",
            "recessed luminaires for insulation");
    counted(arena, &b, &any, g.alarms, "the type and battery of", "alarm", "alarms");
    named(arena, &b, &any, g.closets, "the shelves of", g.closet);
    named(arena, &b, &any, g.kitchens, "the counters of", g.kitchen);
    named(arena, &b, &any, g.islands,
          "the provision for a receptacle at the island or peninsula of", g.island);
    named(arena, &b, &any, g.stairs, "what the stairs join in", g.stair);
    named(arena, &b, &any, g.shared, "what belongs to the kitchen in", g.open_plan);
    if (protected && protected->undecided.n)
        apart(arena, &b, &any, &protected->undecided.at[0], protected->undecided.n);
    named(arena, &b, &any, g.unproven, "the make-up of", g.circuit);
    named(arena, &b, &any, g.feeders, "what feeds the old panel", g.panel);
    if (!any)
        part(&b, &any, "what is fixed or stored in the rooms later");
    buf_puts(&b, ".\nOn site only: how cables and boxes are fastened, splices and grounds, damage, "
                 "labels of the makers. The local authority decides.\n");
    const char *words = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

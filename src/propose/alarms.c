/* propose alarms: the fewest alarms that the rules accept, where steam and cooking do not reach
 * them. */
#include "facts/devices.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "propose/propose.h"
#include "propose/siting.h"
#include "rules/alarms/alarms.h"
#include "rules/dwelling.h"
#include "rules/placing.h"
#include "wiring/protect.h"

#include <math.h>
#include <string.h>

/* How often places are chosen anew because some did not do; after how many steps the search for
 * fewer ends. */
enum { MOST_ROUNDS = 64, MOST_STEPS = 100000 };

/* Names of the library: what tells of smoke, of both, and what keeps less away from cooking. */
struct alarm_types {
    const struct device_def *smoke, *both, *quiet, *monoxide;
};

/* A place on a ceiling, and which of the alarms that are missing one there would be. */
struct hung {
    const struct room *room;
    struct place place;
    const struct device_def *def; /* the one that tells of most there */
    bool *serves;                 /* by alarm that is missing */
    double cost;                  /* feet from the middle of its room, and what it costs to be
                                     behind another room than the one before a bed */
};

typedef VEC(struct hung) hung_list;

struct hanging {
    struct siting *p;
    struct alarm_types types;
    alarm_asked_list asked; /* of one dwelling */
    hung_list spots;
    uint32_t *chosen, *best, count, fewest, steps;
    uint32_t *met; /* by alarm that is missing: how many of the chosen are one */
    bool proven;
};

static bool is_alarm(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->def->sort == SORT_ALARM)
            return true;
    return false;
}

/* --- where one may hang ------------------------------------------------------------------- */

/* Inside the walls, and not so near to one that the air stands still there. */
static bool is_well_inside(const struct room *r, struct point at)
{
    bool inside = false;
    for (uint32_t i = 0; i < r->wall_count; i++) {
        const struct wall *w = &r->walls[i];
        if (space_distance_to_wall(w, at) < (double)(FOOT / 2))
            return false;
        if ((w->left.y > at.y) != (w->right.y > at.y)) {
            double x = (double)w->left.x + (double)(at.y - w->left.y) *
                                               (double)(w->right.x - w->left.x) /
                                               (double)(w->right.y - w->left.y);
            inside ^= x > (double)at.x;
        }
    }
    return inside;
}

/* Whether something hangs there already. */
static bool is_taken(const struct room *r, struct point at)
{
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct place *p = &r->boxes.at[i]->place;
        if (p->known && p->where == OVERHEAD &&
            hypot((double)(p->at.x - at.x), (double)(p->at.y - at.y)) < (double)FOOT)
            return true;
    }
    return false;
}

static struct place overhead(const struct room *r, struct point at)
{
    return (struct place){.known = true,
                          .where = OVERHEAD,
                          .at = {at.x, at.y, (r->level ? r->level->floor : 0) + room_overhead(r)}};
}

/* The one of a type that may hang in a box: of both, of smoke where cooking is near, of carbon
 * monoxide where no other may. */
static const struct device_def *type_for(const struct hanging *h, const struct box *b)
{
    const struct device_def *types[] = {h->types.both, h->types.quiet, h->types.monoxide};
    for (size_t i = 0; i < sizeof types / sizeof *types; i++)
        if (types[i] && alarms_keeps_away(&h->p->checked, b, types[i]))
            return types[i];
    return NULL;
}

static bool tells(const struct hanging *h, const struct device_def *def, bool smoke)
{
    return facts_device_in_list(h->p->now->model, def,
                                smoke ? LIST_SMOKE_ALARM_DEVICES : LIST_CARBON_MONOXIDE_DEVICES);
}

static bool same_use(const struct hanging *h, const struct hung *a, const struct hung *b)
{
    return a->room == b->room && !memcmp(a->serves, b->serves, h->asked.n * sizeof *a->serves);
}

/* Keeps of two places of a room that are as good the one nearer to its middle. */
static void keep_spot(struct hanging *h, struct hung spot)
{
    for (uint32_t i = h->spots.n; i-- > 0 && h->spots.at[i].room == spot.room;)
        if (same_use(h, &h->spots.at[i], &spot)) {
            if (spot.cost < h->spots.at[i].cost)
                h->spots.at[i] = spot;
            return;
        }
    *vec_push(&h->p->now->arena, &h->spots) = spot;
}

/* In feet; more than a room is long. */
static const double BEHIND = 1000;

/* Whether a door of a bedroom leads into the room. */
static bool is_before(const struct hanging *h, const struct room *r, const struct room *bedroom)
{
    const doorway_list *doors = &h->p->checked.protected->rooms->of_room[bedroom->id];
    for (uint32_t i = 0; i < doors->n; i++)
        if (doors->at[i].other == r)
            return true;
    return r == bedroom;
}

/* A spot of a room: near its middle, and in the room before the beds that it is to wake at. */
static double spot_cost(const struct hanging *h, const struct hung *spot, struct point at)
{
    const struct room *r = spot->room;
    double x = (double)(at.x - (r->low.x + r->high.x) / 2),
           y = (double)(at.y - (r->low.y + r->high.y) / 2), cost = hypot(x, y) / (double)FOOT;
    for (uint32_t i = 0; i < h->asked.n; i++)
        if (spot->serves[i] && h->asked.at[i].where == ALARM_NEAR &&
            !is_before(h, r, h->asked.at[i].room))
            cost += BEHIND;
    return cost;
}

static void look_at_spot(struct hanging *h, const struct room *r, struct point at)
{
    struct box b = {.room = (struct room *)r, .place = overhead(r, at)};
    struct hung spot = {.room = r, .place = b.place};
    if (!is_well_inside(r, at) || is_taken(r, at) || siting_is_refused(h->p, r, &b.place))
        return;
    spot.def = type_for(h, &b);
    spot.serves = arena_array(&h->p->now->arena, bool, h->asked.n);
    bool any = false;
    for (uint32_t i = 0; i < h->asked.n && spot.def; i++) {
        spot.serves[i] =
            tells(h, spot.def, h->asked.at[i].smoke) && alarms_serves(&h->asked.at[i], &b);
        any |= spot.serves[i];
    }
    spot.cost = spot_cost(h, &spot, at);
    if (any)
        keep_spot(h, spot);
}

/* A foot apart, over the whole room. */
static void look_at_room(struct hanging *h, const struct room *r, uint32_t first)
{
    if (!r->wall_count || !siting_takes_boxes(h->p, r, first) ||
        room_used_as(h->p->now->model, r, LIST_WEATHER_PLACES))
        return;
    for (length x = FOOT; r->low.x + x < r->high.x; x += FOOT)
        for (length y = FOOT; r->low.y + y < r->high.y; y += FOOT)
            look_at_spot(h, r, (struct point){r->low.x + x, r->low.y + y});
}

/* --- the fewest --------------------------------------------------------------------------- */

static double cost_of(const struct hanging *h, const uint32_t *chosen, uint32_t n)
{
    double cost = 0;
    for (uint32_t i = 0; i < n; i++)
        cost += h->spots.at[chosen[i]].cost;
    return cost;
}

static void keep_best(struct hanging *h)
{
    if (h->count > h->fewest || (h->count == h->fewest &&
                                 cost_of(h, h->chosen, h->count) >= cost_of(h, h->best, h->fewest)))
        return;
    memcpy(h->best, h->chosen, h->count * sizeof *h->best);
    h->fewest = h->count;
}

static void take(struct hanging *h, uint32_t spot, int by)
{
    for (uint32_t i = 0; i < h->asked.n; i++)
        h->met[i] += h->spots.at[spot].serves[i] ? (uint32_t)by : 0;
    if (by > 0)
        h->chosen[h->count++] = spot;
    else
        h->count--;
}

/* The alarm that is missing, not met and may hang in the fewest places; `n` where all are met. */
static uint32_t hardest(const struct hanging *h)
{
    uint32_t best = h->asked.n, least = UINT32_MAX;
    for (uint32_t i = 0; i < h->asked.n; i++) {
        uint32_t places = 0;
        for (uint32_t k = 0; k < h->spots.n && !h->met[i]; k++)
            places += h->spots.at[k].serves[i];
        if (places && places < least) { /* what may hang nowhere is told */
            least = places;
            best = i;
        }
    }
    return best;
}

/* Tries all places for what is hardest to meet: the fewest are among them. */
static void search(struct hanging *h)
{
    uint32_t next = hardest(h);
    if (next == h->asked.n) {
        keep_best(h);
        return;
    }
    if (h->count + 1 > h->fewest)
        return;
    for (uint32_t k = 0; k < h->spots.n; k++) {
        if (!h->spots.at[k].serves[next])
            continue;
        if (h->steps++ >= MOST_STEPS && h->fewest < UINT32_MAX) {
            h->proven = false;
            return;
        }
        take(h, k, 1);
        search(h);
        take(h, k, -1);
    }
}

/* --- which of them tell of what ----------------------------------------------------------- */

/* Whether all that is met stays met if this one told only of smoke, or only of the other. */
static bool may_tell_only(const struct hanging *h, const struct hung *spot, bool smoke)
{
    for (uint32_t i = 0; i < h->asked.n; i++)
        if (spot->serves[i] && h->asked.at[i].smoke != smoke && h->met[i] < 2)
            return false;
    return true;
}

static const struct device_def *plainest(struct hanging *h, struct hung *spot)
{
    bool smoke = may_tell_only(h, spot, true);
    if (spot->def != h->types.both || (!smoke && !may_tell_only(h, spot, false)))
        return spot->def;
    for (uint32_t i = 0; i < h->asked.n; i++)
        if (spot->serves[i] && h->asked.at[i].smoke != smoke) {
            h->met[i]--;
            spot->serves[i] = false;
        }
    return smoke ? h->types.smoke : h->types.monoxide ? h->types.monoxide : spot->def;
}

static void add_chosen(struct hanging *h)
{
    struct siting *p = h->p;
    memset(h->met, 0, h->asked.n * sizeof *h->met);
    h->count = 0;
    for (uint32_t i = 0; i < h->fewest; i++)
        take(h, h->best[i], 1);
    for (uint32_t i = 0; i < h->fewest; i++) {
        struct hung *spot = &h->spots.at[h->best[i]];
        const char *name = plainest(h, spot)->name;
        siting_add(p, spot->room,
                   (struct added){.place = spot->place,
                                  .name = added_name(p->arena, p->of,
                                                     p->of->model->rooms.at[spot->room->id],
                                                     &p->added, is_alarm, "A"),
                                  .where = added_where(p->arena, spot->room, &spot->place, true),
                                  .holds = arena_copy(p->arena, name, strlen(name))});
    }
}
/* --- all of them -------------------------------------------------------------------------- */

/* Where old alarms are joined by radio the new ones are too: nothing else joins them. */
static bool joined_by_radio(const struct siting *p)
{
    struct model *m = p->now->model;
    for (uint32_t i = 0; i < m->devices.n; i++)
        if (m->devices.at[i]->def->sort == SORT_ALARM &&
            facts_device_in_list(m, m->devices.at[i]->def, LIST_ALARMS_BY_RADIO))
            return true;
    return false;
}

static const struct device_def *type_named(const struct siting *p, const char *name)
{
    return library_device(p->now->model->lib, names_of(p->now->model->names, name));
}

static struct alarm_types types_of(const struct siting *p)
{
    if (joined_by_radio(p))
        return (struct alarm_types){.smoke = type_named(p, "smoke-alarm-radio"),
                                    .both = type_named(p, "smoke-co-alarm-radio")};
    return (struct alarm_types){.smoke = type_named(p, "smoke-alarm"),
                                .both = type_named(p, "smoke-co-alarm"),
                                .quiet = type_named(p, "smoke-alarm-photoelectric"),
                                .monoxide = type_named(p, "co-alarm")};
}

/* Adds what one dwelling misses. False where the search for fewer was ended early. */
static bool add_to_dwelling(struct siting *p, const struct dwelling *d, uint32_t first)
{
    struct arena *arena = &p->now->arena;
    struct hanging h = {.p = p, .types = types_of(p), .fewest = UINT32_MAX, .proven = true};
    if (!alarms_missing(d, &h.asked) || !h.types.smoke || !h.types.both)
        return true;
    for (uint32_t i = 0; i < d->rooms.n; i++)
        look_at_room(&h, d->rooms.at[i], first);
    h.chosen = arena_array(arena, uint32_t, h.asked.n + 1);
    h.best = arena_array(arena, uint32_t, h.asked.n + 1);
    h.met = arena_array(arena, uint32_t, h.asked.n + 1);
    search(&h);
    add_chosen(&h);
    return h.proven;
}

/* Chosen anew until no box is found fault with; whether any was added. */
static bool add_alarms(struct siting *p, bool *proven)
{
    uint32_t first = p->added.n;
    for (int round = 0; round < MOST_ROUNDS; round++) {
        p->added.n = first;
        if (round && !siting_compile(p))
            return false;
        bool sure = true;
        for (uint32_t i = 0; i <= p->now->model->units.n; i++)
            sure &=
                add_to_dwelling(p, &(struct dwelling){&p->checked, p->checked.dwellings[i]}, first);
        if (p->added.n == first)
            return false;
        if (!siting_compile(p))
            break;
        if (!siting_refuse_faulty(p, first)) {
            *proven &= sure;
            return true;
        }
    }
    p->added.n = first;
    siting_compile(p);
    return false;
}

/* --- what feeds them ---------------------------------------------------------------------- */

/* The circuit of the alarms that are there, in the unit of a room; NULL: none is known. */
static const struct circuit *circuit_of_alarms(const struct model *m, const struct room *r)
{
    for (uint32_t i = 0; i < m->devices.n; i++) {
        const struct device *d = m->devices.at[i];
        const struct circuit *c =
            d->def->sort == SORT_ALARM && d->part_count ? d->parts[0].circuit : NULL;
        if (c && c->node && c->unit == r->unit && !c->goes && !c->existing)
            return c;
    }
    return NULL;
}

/* Names the new ones on the circuit of those that are there, by which they are joined. */
static void feed(const struct siting *p, const struct compilation *c, struct proposal *out)
{
    const struct circuit *fed = NULL;
    for (uint32_t i = 0; i < p->added.n; i++) {
        const struct room *r = c->model->rooms.at[p->added.at[i].room];
        const struct circuit *own = circuit_of_alarms(c->model, r);
        if (!own)
            continue;
        edit_in_block(propose_edits(out), own->node,
                      arena_printf(out->arena, "serves %s.%s", address_of_room(out->arena, r, true),
                                   p->added.at[i].name));
        fed = own;
    }
    if (fed)
        propose_assume(out, "the new alarms hang on %s, whose conductors join them to those there",
                       address_called_as_written(out->arena, fed, true));
    else if (p->added.n)
        propose_assume(out, "one circuit feeds all alarms, and a conductor of its cables joins "
                            "them: 'propose circuits' says which");
}

static void tell(const struct siting *p, const struct compilation *c, bool proven,
                 struct proposal *out)
{
    for (uint32_t i = 0; i < p->added.n; i++) {
        const struct added *a = &p->added.at[i];
        propose_tell(out, "%s: %s %s",
                     address_of_room(out->arena, c->model->rooms.at[a->room], true), a->name,
                     a->holds);
    }
    if (p->added.n)
        propose_tell(out, "%s: %s", arena_counted(out->arena, p->added.n, "alarm", "alarms"),
                     proven ? "fewer do not do" : "whether fewer would do was not proven");
    for (uint32_t i = 0; i < p->now->diag.findings.n; i++) {
        const struct finding *f = &p->now->diag.findings.at[i];
        if (!f->waived && (!strcmp(f->rule->name, "smoke-alarm") ||
                           !strcmp(f->rule->name, "carbon-monoxide-alarm")))
            propose_tell(out, "no place was found for what is missing: %s [%s]", f->message,
                         f->rule->name);
    }
    if (!out->told.n)
        propose_tell(out, "no alarm is missing");
}

bool propose_alarms(struct compilation *c, const struct propose_asked *asked, struct proposal *out)
{
    struct siting p;
    bool proven = true;
    if (asked->word_count)
        return propose_refuse(out, "nothing stands behind the plan: '%s'", asked->words[0]);
    siting_begin(&p, c, asked, out->arena, is_alarm);
    add_alarms(&p, &proven);
    p.copies_too = true;
    while (add_alarms(&p, &proven))
        ;
    added_write(propose_edits(out), c, &p.added, p.alike);
    out->leaves = "unfed-box served-not-run smoke-alarm carbon-monoxide-alarm afci-missing "
                  "gfci-missing";
    feed(&p, c, out);
    tell(&p, c, proven, out);
    siting_end(&p);
    return true;
}

/* Rules about raceways: raceway-overfilled, raceway-bends, raceway-support. */
#include "facts/raceways.h"

#include "framing/routes.h"
#include "model/site.h"
#include "rules/conductors/conductors.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

#include <math.h>

/* The clause that names the raceway of a run: its own, else its circuit's. */
static struct span place_of(const struct run *r)
{
    const struct node *own = node_child(r->node, F_IN),
                      *clause = own || !r->circuit ? own : node_child(r->circuit->node, F_IN);
    return clause ? node_span(clause) : node_span(r->node);
}

static void set_article(const struct checked *c, struct finding *f,
                        const struct cite_column *column, const struct raceway_def *raceway)
{
    const char *article = facts_raceway_article(c->model, column, raceway);
    if (article)
        rules_set_article(c, f, article);
}

/* --- raceway-overfilled ------------------------------------------------------------------- */

RULE(raceway_overfilled, "raceway-overfilled", ERROR, FIRM,
     "what lies in a raceway leaves room in it");

/* What lies in a raceway: conductors, or one cable, which counts as one (note 9). */
struct filling {
    uint32_t count;
    double area;  /* of all of it */
    double alike; /* of each where all are alike; else 0 */
    bool conductors;
};

/* The diameter of the single conductor of a size: a ground wire is one of the same sort. */
static length diameter_of_size(struct model *m, const struct cable_def *like, const char *size)
{
    for (uint32_t i = 0; i < m->lib->cable_list.n; i++) {
        const struct cable_def *d = m->lib->cable_list.at[i];
        if (d->single && d->size == size && d->metal == like->metal)
            return d->diameter;
    }
    return like->diameter;
}

static struct filling filling_of(struct model *m, const struct cable_def *cable)
{
    if (!cable->of)
        return (struct filling){1, facts_conductor_area(cable->diameter), 0, false};
    double each = facts_conductor_area(cable->of->diameter), ground = 0;
    bool wire = cable->ground != GROUND_RACEWAY;
    if (wire)
        ground = facts_conductor_area(diameter_of_size(m, cable->of, cable->ground_size));
    bool alike = !wire || cable->ground_size == cable->size;
    return (struct filling){cable->conductors + wire, cable->conductors * each + ground,
                            alike ? each : 0, true};
}

static bool is_overfilled(struct model *m, const struct raceway_def *w, const struct filling *f,
                          bool nipple)
{
    if (f->alike > 0)
        return f->count > facts_most_alike(m, w, f->alike, nipple);
    return f->area > facts_fill_share(m, f->count, nipple) * facts_raceway_area(w->inside) + 1e-9;
}

/* The smallest of the same family that holds it; NULL. */
static const struct raceway_def *larger_raceway(struct model *m, const struct raceway_def *like,
                                                const struct filling *f, bool nipple)
{
    const struct raceway_def *best = NULL;
    for (uint32_t i = 0; i < m->lib->raceway_list.n; i++) {
        const struct raceway_def *w = m->lib->raceway_list.at[i];
        if (w->family == like->family && w->inside > like->inside && !w->faulty &&
            (!best || w->inside < best->inside) && !is_overfilled(m, w, f, nipple))
            best = w;
    }
    return best;
}

static void check_fill(const struct checked *c, const struct run *r)
{
    struct model *m = c->model;
    const struct cable_def *cable = wiring_cable_of_run(r, c->wiring);
    if (!r->raceway || !cable || cable->diameter <= 0 || (r->circuit && !cable->of && !r->declared))
        return;
    looked(c, raceway_overfilled);
    bool nipple = facts_is_nipple(m, route_raceway_length(r, &c->routes->of_run[r->id]));
    struct filling f = filling_of(m, cable);
    if (!is_overfilled(m, r->raceway, &f, nipple))
        return;
    double inside = facts_raceway_area(r->raceway->inside);
    struct finding *said = run_finding(
        c, &rule_raceway_overfilled, r, place_of(r),
        "run %s fills %s to %s %% with %s; %u %s may fill %g %%", address_of_run(m->arena, r, true),
        r->raceway->name, rules_amount_words(c, 100 * f.area / inside, 1), cable->name, f.count,
        f.conductors ? f.count == 1 ? "conductor" : "conductors" : "cable",
        100 * facts_fill_share(m, f.count, nipple));
    const struct raceway_def *larger = larger_raceway(m, r->raceway, &f, nipple);
    diag_mend(m->diag, said, larger ? "in %s" : "two raceways, or fewer circuits in one",
              larger ? larger->name : "");
    if (larger)
        model_mend_run(m, said, r, F_IN, arena_printf(m->arena, "in %s", larger->name));
}
CHECK(raceway_overfilled, .run = {check_fill, ITS_TEXT | ITS_CABLE, NEW_WORK});

/* --- raceway-bends ------------------------------------------------------------------------ */

RULE(raceway_bends, "raceway-bends", ERROR, FIRM,
     "a raceway has no more bends between two boxes than can be pulled through");

BLIND_SPOT(bends_unknown, raceway_bends, "the bends of run", "");

static void check_bends(const struct checked *c, const struct run *r)
{
    struct model *m = c->model;
    struct code *code = &m->code;
    uint32_t drawn = 0;
    if (!r->raceway)
        return;
    if (r->bends < 0 && !route_bends(&c->routes->of_run[r->id],
                                     code_length(code, SET_RACEWAY_BENDS_OFFSET, 0), &drawn)) {
        diag_passed(m->diag, &blind_bends_unknown, address_of_run(m->arena, r, true));
        return;
    }
    looked(c, raceway_bends);
    uint32_t bends = r->bends < 0 ? drawn : (uint32_t)r->bends;
    double each = code_count(code, SET_RACEWAY_BENDS_EACH, 0),
           most = code_count(code, SET_RACEWAY_BENDS_MOST, INFINITY);
    if (bends * each <= most)
        return;
    const struct node *clause = node_child(r->node, F_BENDS);
    struct finding *f = run_finding(
        c, &rule_raceway_bends, r, clause ? node_span(clause) : place_of(r),
        "run %s has %u quarter bends%s, %g degrees; between two boxes there are no more than %g",
        address_of_run(m->arena, r, true), bends, r->bends < 0 ? " at least on its way" : "",
        bends * each, most);
    set_article(c, f, COL_RACEWAY_ARTICLES_BENDS, r->raceway);
    diag_mend(m->diag, f, "a box on the way, to pull from");
}
CHECK(raceway_bends, .run = {check_bends, ITS_TEXT | ITS_WAY, NEW_WORK});

/* --- raceway-support ---------------------------------------------------------------------- */

RULE(raceway_support, "raceway-support", ERROR, FIRM,
     "a raceway can be fastened as often as it must be");

/* How far a way goes from one member to the next where nothing else is there to fasten to: along
 * the face of a wall or a joist it is anywhere. 0: nowhere. */
static length widest_gap(const struct checked *c, const struct run *r)
{
    const struct route *route = &c->routes->of_run[r->id];
    const struct room *room = r->to.box ? r->to.box->room : r->from.box ? r->from.box->room : NULL;
    length gap = 0;
    for (uint32_t i = 0; i < route->segment_count && room; i++) {
        const struct segment *s = &route->segments[i];
        length apart = s->kind == ACROSS_JOISTS ? room->joists.spacing : 0;
        if (apart > gap && s->length > apart)
            gap = apart;
    }
    return gap;
}

/* Why it cannot be fastened as it must be; NULL: it can. */
static const char *why_loose(const struct checked *c, const struct run *r)
{
    struct arena *a = c->model->arena;
    const struct raceway_def *w = r->raceway;
    length way = route_raceway_length(r, &c->routes->of_run[r->id]);
    if (r->strung)
        return "is strung through the air, where nothing holds it";
    if (r->fished && !w->may_fish)
        return arena_printf(a, "is fished, and %s is fastened every %s", w->name,
                            length_words(a, w->apart));
    if (r->fished && w->stick > 0 && way > w->stick)
        return arena_printf(a,
                            "is fished over %s, and a stick of %s, which has no joint there, is %s",
                            length_words(a, way), w->name, length_words(a, w->stick));
    length gap = r->fished || r->underground ? 0 : widest_gap(c, r);
    if (w->apart > 0 && gap > w->apart)
        return arena_printf(a, "crosses joists %s apart, and %s is fastened every %s",
                            length_words(a, gap), w->name, length_words(a, w->apart));
    return NULL;
}

static void check_support(const struct checked *c, const struct run *r)
{
    struct model *m = c->model;
    if (!r->raceway)
        return;
    looked(c, raceway_support);
    const char *why = why_loose(c, r);
    if (!why)
        return;
    struct finding *f = run_finding(c, &rule_raceway_support, r, place_of(r), "run %s %s",
                                    address_of_run(m->arena, r, true), why);
    set_article(c, f, COL_RACEWAY_ARTICLES_SUPPORT, r->raceway);
    diag_mend(m->diag, f,
              r->strung   ? "'underground' and how deep, or a cable that may be strung"
              : r->fished ? "a way that can be fastened, a flexible raceway, or a cable"
                          : "blocks between the joists and a way along them, or another raceway");
}
CHECK(raceway_support, .run = {check_support, ITS_TEXT | ITS_WAY, NEW_WORK});

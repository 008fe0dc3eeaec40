#include "facts/raceways.h"

#include "facts/existing.h"
#include "model/model.h"
#include "model/power.h"

#include <math.h>
#include <string.h>

bool facts_on_surface(const struct run *r)
{
    return r->exposed || (r->raceway && !r->fished);
}

length facts_across(const struct run *r, const struct cable_def *cable)
{
    if (r->raceway)
        return r->raceway->outside > 0 ? r->raceway->outside : r->raceway->inside;
    return cable ? cable->diameter : 0;
}

/* --- fill --------------------------------------------------------------------------------- */

static double circle(length diameter, double places)
{
    double d = length_inches(diameter), unit = pow(10, places);
    return round(acos(-1) * d * d / 4 * unit) / unit;
}

double facts_conductor_area(length diameter)
{
    enum { PLACES = 4 };
    return circle(diameter, PLACES);
}

double facts_raceway_area(length diameter)
{
    enum { PLACES = 3 };
    return circle(diameter, PLACES);
}

bool facts_is_nipple(struct model *m, length length)
{
    return length > 0 && length <= code_length(&m->code, SET_RACEWAY_FILL_NIPPLE_UP_TO, 0);
}

double facts_fill_share(struct model *m, uint32_t count, bool nipple)
{
    struct code *code = &m->code;
    return nipple       ? code_share(code, SET_RACEWAY_FILL_NIPPLE, 0)
           : count == 1 ? code_share(code, SET_RACEWAY_FILL_ONE, 0)
           : count == 2 ? code_share(code, SET_RACEWAY_FILL_TWO, 0)
                        : code_share(code, SET_RACEWAY_FILL_MORE, 0);
}

uint32_t facts_most_alike(struct model *m, const struct raceway_def *raceway, double area,
                          bool nipple)
{
    if (area <= 0)
        return 0;
    double inside = facts_raceway_area(raceway->inside),
           from = code_share(&m->code, SET_RACEWAY_FILL_WHOLE_FROM, 1);
    double most =
        floor(facts_fill_share(m, UINT32_MAX, nipple) * inside / area + (1 - from) + 1e-9);
    if (most > 2)
        return (uint32_t)most;
    for (uint32_t few = 2; few; few--)
        if (floor(facts_fill_share(m, few, nipple) * inside / area + (1 - from) + 1e-9) >= few)
            return few;
    return 0;
}

/* --- what it is good for ------------------------------------------------------------------ */

/* Whether what is at an end of a run passes the ground of a metal raceway on: not where its box is
 * written as one of plastic, nor where it is an old one and nobody says what it is. */
static bool end_passes_ground(struct end e)
{
    const struct box *b = e.box;
    return !b || b->compartment ||
           (b->declared ? b->declared->metal || b->declared->integral : !facts_type_untold(b));
}

bool facts_raceway_grounds(const struct run *r, double breaker, length length)
{
    const struct raceway_def *w = r->raceway;
    if (!w || !w->metal || r->ground_wire || !end_passes_ground(r->from) ||
        !end_passes_ground(r->to))
        return false;
    return w->grounds_amps <= 0 || (breaker <= w->grounds_amps && length <= w->grounds_long);
}

const char *facts_raceway_article(struct model *m, const struct cite_column *column,
                                  const struct raceway_def *raceway)
{
    return raceway->family ? code_row_article(&m->code, column, code_key(&m->code, raceway->family))
                           : NULL;
}

bool facts_raceway_suits(const struct raceway_def *raceway, const char *word)
{
    for (uint8_t i = 0; i < raceway->suits_count; i++)
        if (!strcmp(raceway->suits[i], word))
            return true;
    return false;
}

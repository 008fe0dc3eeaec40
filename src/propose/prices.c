/* What cables cost against each other: by the coils of the plan where these have prices, else by
 * their conductors and the section of these. */
#include "propose/runs.h"

#include "facts/conductors.h"
#include "loads/loads.h"
#include "model/orders.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <math.h>

/* The least price for its length among the coils of a cable; 0: none has one. */
static double coil_price(const struct model *m, const struct cable_def *cable)
{
    double least = 0;
    for (uint32_t i = 0; i < m->coils.n; i++) {
        const struct coil *coil = m->coils.at[i];
        double price =
            coil->price > 0 && coil->length > 0 ? coil->price / length_feet(coil->length) : 0;
        if (coil->cable == cable && price > 0 && (!least || price < least))
            least = price;
    }
    return least;
}

/* Conductors by their section; by their number where the tables have no section of the size. */
static double metal_of(const struct string_job *job, const struct cable_def *cable)
{
    struct code *code = &job->c->model->code;
    const char *reader = code->reader;
    code->reader = "wiring";
    double section =
        cable->size ? code_cell_section(code, COL_RESISTANCE_COPPER_CIRCULAR_MILS, cable->size, 1)
                    : 1;
    code->reader = reader;
    return cable->conductors * section;
}

double string_price_of(const struct string_job *job, const struct cable_def *cable)
{
    if (job->circuit->raceway)
        return cable->conductors;
    double price = job->money ? coil_price(job->c->model, cable) : 0;
    return price > 0 ? price : metal_of(job, cable) * job->metal;
}

static const struct cable_def *cable_with(const struct string_job *job, unsigned conductors)
{
    const struct circuit *c = job->circuit;
    struct run like = {.circuit = job->circuit, .from = job->places[0], .node = c->node};
    like.to = job->places[job->count > 1];
    if (c->cable)
        return c->cable->conductors >= conductors ? c->cable : NULL;
    return wiring_least_cable(job->c->model, &job->c->loads->asks[c->id], &like, conductors);
}

/* Of what lies in a raceway each conductor is bought by itself. */
static void price_conductors(struct string_job *job)
{
    job->base = 2;
    for (unsigned k = 1; k <= STRING_MOST_CONDUCTORS; k++)
        job->ratio[k] = k / 2.0;
}

void string_find_prices(struct string_job *job)
{
    struct code *code = &job->c->model->code;
    const char *reader = code->reader;
    job->base = job->metal = 1;
    if (job->circuit->raceway) {
        price_conductors(job);
        return;
    }
    code->reader = "wiring";
    const struct cable_def *two = cable_with(job, 2);
    double money = two ? coil_price(job->c->model, two) : 0;
    if (money > 0) { /* cables without a price cost for their metal what that of two does */
        job->metal = money / metal_of(job, two);
        job->money = true;
    }
    double least = two ? string_price_of(job, two) : 1;
    for (unsigned k = 1; k <= STRING_MOST_CONDUCTORS; k++) {
        const struct cable_def *d = two ? cable_with(job, k) : NULL;
        job->ratio[k] = d ? string_price_of(job, d) / least : 0;
    }
    job->base = least;
    code->reader = reader;
}

string_cost string_weight(const struct string_job *job, uint32_t from, uint32_t to,
                          unsigned conductors)
{
    const struct string_way *w = &job->ways[from * job->count + to];
    unsigned k = conductors < 2 ? 2 : conductors;
    double ratio = k > STRING_MOST_CONDUCTORS ? 0 : job->ratio[k];
    return w->open && ratio > 0 ? llround((double)w->length * ratio) + w->price : STRING_NO_WAY;
}

bool string_may_pass(const struct string_job *job, uint32_t at, place_set behind)
{
    return !(job->nets.lights >> at & 1 && job->nets.other & behind);
}

string_cost string_bound_of(const struct string_job *job, const uint32_t *parent, place_set *behind)
{
    string_cost sum = 0;
    for (uint32_t i = 0; i < job->count; i++)
        behind[i] = (place_set)1 << i;
    for (uint32_t i = 1; i < job->count; i++)
        for (uint32_t at = parent[i];; at = parent[at]) {
            behind[at] |= (place_set)1 << i;
            if (!at)
                break;
        }
    for (uint32_t i = 1; i < job->count; i++) {
        string_cost w =
            string_may_pass(job, parent[i], behind[i])
                ? string_weight(job, parent[i], i, string_conductors(&job->nets, behind[i]))
                : STRING_NO_WAY;
        if (w >= STRING_NO_WAY)
            return STRING_NO_WAY;
        sum += w;
    }
    return sum;
}

/* Household cooking appliances: Table 220.55 and its notes.
 *
 * Column C gives the demand for a number of appliances not over 12 kW; larger ones raise it by the
 * average (notes 1 and 2). Small ones may be taken by columns A and B instead (note 3). The least
 * of what is allowed counts. */
#include "loads/demand.h"
#include "loads/demand_parts.h"
#include "model/model.h"
#include "model/power.h"

#include <math.h>
#include <stdio.h>

struct ranges {
    struct model *m;
    struct table *table;
    double small_below, small_up_to, over, step, each_further, largest;
};

static struct ranges read_table(struct model *m)
{
    struct code *code = &m->code;
    return (struct ranges){
        .m = m,
        .table = code_table(code, TABLE_RANGE_DEMAND),
        .small_below = code_load(code, SET_RANGE_DEMAND_SMALL_BELOW, 0),
        .small_up_to = code_load(code, SET_RANGE_DEMAND_SMALL_UP_TO, 0),
        .over = code_load(code, SET_RANGE_DEMAND_OVER, 0),
        .step = code_load(code, SET_RANGE_DEMAND_STEP, 0),
        .each_further = code_share(code, SET_RANGE_DEMAND_EACH_FURTHER, 0),
        .largest = code_load(code, SET_RANGE_DEMAND_LARGEST, 0),
    };
}

/* The key of the row for so many appliances. */
static const char *row_for(const struct ranges *r, uint32_t count)
{
    char key[16];
    snprintf(key, sizeof key, "%u", count);
    return code_key(&r->m->code, key);
}

/* Column C for more appliances than it has rows: a load for all, and one for each. */
static double column_c(const struct ranges *r, uint32_t count)
{
    double demand = code_cell_load(&r->m->code, COL_RANGE_DEMAND_C, row_for(r, count), -1);
    if (demand >= 0 || !r->table)
        return demand;
    double base = code_load(&r->m->code, SET_RANGE_DEMAND_BEYOND_ROWS, -1),
           each = code_load(&r->m->code, SET_RANGE_DEMAND_BEYOND_ROWS_EACH, 0);
    return base < 0 ? -1 : base + each * count;
}

/* Notes 1 and 2: `sum` is of the ratings, with the limit for any below it; more for each further
 * step, or major part of one, of their average. */
static double raised(const struct ranges *r, double demand, double sum, uint32_t count)
{
    double above = count ? sum / count - r->over : 0;
    double steps = r->step > 0 ? floor(above / r->step + 0.5) : 0;
    return steps > 0 ? demand * (1 + r->each_further * steps) : demand;
}

/* What the table says of a set of appliances. */
struct sums {
    uint32_t a, b, all,
        large; /* appliances: column A, column B, all, those that no small column takes */
    double a_va, b_va, sum, large_sum;
    double beyond; /* VA of those above the table's largest: no reduction */
};

static struct sums add_up(const struct ranges *r, const double *ratings, uint32_t count)
{
    struct sums s = {0};
    for (uint32_t i = 0; i < count; i++) {
        double va = ratings[i], least = va < r->over ? r->over : va;
        if (va > r->largest) {
            s.beyond += va;
            continue;
        }
        s.all++;
        s.sum += least;
        if (va < r->small_below) {
            s.a++;
            s.a_va += va;
        } else if (va <= r->small_up_to) {
            s.b++;
            s.b_va += va;
        } else {
            s.large++;
            s.large_sum += least;
        }
    }
    return s;
}

/* Note 3: the small ones by their columns, the others by column C; negative where the table has no
 * row for so many. */
static double by_columns(const struct ranges *r, const struct sums *s)
{
    struct code *code = &r->m->code;
    double a = s->a ? code_cell_share(code, COL_RANGE_DEMAND_A, row_for(r, s->a), -1) : 0,
           b = s->b ? code_cell_share(code, COL_RANGE_DEMAND_B, row_for(r, s->b), -1) : 0,
           c = s->large ? column_c(r, s->large) : 0;
    if (a < 0 || b < 0 || c < 0)
        return -1;
    return s->a_va * a + s->b_va * b + raised(r, c, s->large_sum, s->large);
}

double demand_of_ranges(struct model *m, const double *ratings, uint32_t count, const char **how)
{
    struct ranges r = read_table(m);
    struct sums s = add_up(&r, ratings, count);
    double all = s.all ? column_c(&r, s.all) : 0, split = s.a + s.b ? by_columns(&r, &s) : -1;
    bool raises = all >= 0 && raised(&r, all, s.sum, s.all) > all;
    all = all >= 0 ? raised(&r, all, s.sum, s.all) : -1;
    *how = raises ? "column C, notes 1 and 2" : "column C";
    if (split >= 0 && (all < 0 || split < all)) {
        *how = s.large      ? "columns A to C, note 3"
               : s.a && s.b ? "columns A and B, note 3"
               : s.a        ? "column A, note 3"
                            : "column B, note 3";
        all = split;
    }
    if (all < 0) {
        *how = "no row for so many";
        all = s.a_va + s.b_va + s.large_sum;
    }
    return all + s.beyond;
}

/* --- one branch circuit: note 4 ----------------------------------------------------------- */

/* A cooktop and at most so many ovens with it in one room are one range; one oven or cooktop alone
 * counts at its nameplate. */
static bool are_one_range(struct model *m, uint32_t cooking, uint32_t ranges, bool one_room)
{
    double ovens = code_count(&m->code, SET_RANGE_DEMAND_OVENS_WITH_COOKTOP, 0);
    return ranges + (cooking ? 1 : 0) == 1 && cooking != 1 && cooking <= 1 + ovens && one_room;
}

double demand_of_cooking_circuit(struct model *m, const struct circuit *c)
{
    uint32_t cooking = 0, ranges = 0;
    double va = 0;
    const struct room *room = NULL;
    bool one_room = true;
    for (uint32_t i = 0; i < c->parts.n; i++) {
        const struct part *p = c->parts.at[i];
        if (p->control || p->load <= 0)
            continue;
        enum demand_class class = demand_class_of(p);
        if (class != DEMAND_RANGE && class != DEMAND_COOKING)
            return -1;
        ranges += class == DEMAND_RANGE;
        cooking += class == DEMAND_COOKING;
        one_room = one_room && (!room || room == p->device->box->room);
        room = p->device->box->room;
        va += p->load;
    }
    if (!room || !are_one_range(m, cooking, ranges, one_room) ||
        va <= code_load(&m->code, SET_RANGE_DEMAND_FROM, 0))
        return room ? va : -1;
    const char *how;
    double demand = demand_of_ranges(m, &va, 1, &how);
    return demand < va ? demand : va;
}

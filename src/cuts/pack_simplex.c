#include "cuts/pack_lp.h"
#include "cuts/pack_model.h"

#include <math.h>
#include <string.h>

/* Columns are numbered: of each row the one it starts with (a cut missing, a coil unused), of each
 * size a cut too many, of each size but the last a cut of the next size in its place, the fillings.
 * The columns that put a shorter cut in a longer one's place keep prices rising with length,
 * without which they take long to settle (Valerio de Carvalho 2005). */
static uint32_t surplus_number(const struct pack_lp *lp, uint32_t size)
{
    return lp->rows + size;
}

static uint32_t exchange_number(const struct pack_lp *lp, uint32_t size)
{
    return lp->rows + lp->model->sizes + size;
}

uint32_t pack_filling_number(const struct pack_lp *lp, uint32_t column)
{
    return lp->rows + 2 * lp->model->sizes + column;
}

static double column_cost(const struct pack_lp *lp, uint32_t number)
{
    if (number < lp->rows)
        return number < lp->model->sizes ? PACK_MISSING_COST : 0;
    if (number < pack_filling_number(lp, 0))
        return 0;
    return (double)lp->model->kind[lp->column[number - pack_filling_number(lp, 0)].kind].cost /
           lp->cost_scale;
}

double pack_reduced_cost(const struct pack_lp *lp, const struct pack_column *c)
{
    double cost = (double)lp->model->kind[c->kind].cost / lp->cost_scale -
                  lp->price[lp->model->sizes + c->kind];
    for (uint32_t e = 0; e < c->entries; e++)
        cost -= c->count[e] * lp->price[c->size[e]];
    return cost;
}

/* The newest half is kept when the columns fill their room. */
static void drop_old_columns(struct pack_lp *lp)
{
    uint32_t keep = lp->column_max / 2;
    if (lp->columns <= keep)
        return;
    for (uint32_t j = 0; j < keep; j++) {
        struct pack_column old = lp->column[j];
        lp->column[j] = lp->column[lp->columns - keep + j];
        lp->column[lp->columns - keep + j] = old;
    }
    lp->columns = keep;
}

void pack_simplex_start(struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit)
{
    uint32_t sizes = lp->model->sizes;
    drop_old_columns(lp);
    memset(lp->inverse, 0, (size_t)lp->rows * lp->rows * sizeof *lp->inverse);
    memset(lp->in_basis, 0, (pack_filling_number(lp, 0) + lp->columns) * sizeof *lp->in_basis);
    for (uint32_t i = 0; i < lp->rows; i++) {
        lp->inverse[(size_t)i * lp->rows + i] = 1;
        lp->basic[i] = i;
        lp->in_basis[i] = true;
        /* a hair more than is wanted, different for each size, so that ties are rare and the method
         * does not go in circles */
        double hair = 1e-7 * (0.5 + (double)(i * 37 % 101) / 202);
        lp->x[i] = i >= sizes ? limit[i - sizes] : rem[i] ? rem[i] + hair : 0;
    }
    for (uint32_t j = 0; j < lp->columns; j++) {
        struct pack_column *c = &lp->column[j];
        c->used = 0;
        c->active = limit[c->kind] > 0;
        for (uint32_t e = 0; e < c->entries && c->active; e++)
            c->active = c->count[e] <= rem[c->size[e]];
    }
}

static void find_prices(struct pack_lp *lp, uint64_t *work)
{
    memset(lp->price, 0, lp->rows * sizeof *lp->price);
    for (uint32_t i = 0; i < lp->rows; i++) {
        double cost = column_cost(lp, lp->basic[i]);
        if (cost == 0)
            continue;
        const double *row = &lp->inverse[(size_t)i * lp->rows];
        for (uint32_t r = 0; r < lp->rows; r++)
            lp->price[r] += cost * row[r];
        *work += lp->rows;
    }
}

/* The column that lowers the cost most, each for one more of it; UINT32_MAX at the optimum. */
static uint32_t find_entering(const struct pack_lp *lp, double *reduced, uint64_t *work)
{
    uint32_t best = UINT32_MAX, sizes = lp->model->sizes;
    *reduced = -PACK_TOLERANCE / 10;
    for (uint32_t r = 0; r < lp->rows; r++) {
        uint32_t number = r < sizes ? surplus_number(lp, r) : r;
        double cost = r < sizes ? lp->price[r] : -lp->price[r];
        if (cost < *reduced && !lp->in_basis[number]) {
            *reduced = cost;
            best = number;
        }
    }
    for (uint32_t i = 0; i + 1 < sizes; i++) {
        double cost = lp->price[i] - lp->price[i + 1];
        if (cost < *reduced && !lp->in_basis[exchange_number(lp, i)]) {
            *reduced = cost;
            best = exchange_number(lp, i);
        }
    }
    for (uint32_t j = 0; j < lp->columns; j++) {
        if (!lp->column[j].active || lp->in_basis[pack_filling_number(lp, j)])
            continue;
        double cost = pack_reduced_cost(lp, &lp->column[j]);
        *work += lp->column[j].entries;
        if (cost < *reduced) {
            *reduced = cost;
            best = pack_filling_number(lp, j);
        }
    }
    return best;
}

/* How the basic columns shrink for one more of the column. */
static void find_step(struct pack_lp *lp, uint32_t number)
{
    uint32_t sizes = lp->model->sizes;
    const struct pack_column *c = number >= pack_filling_number(lp, 0)
                                      ? &lp->column[number - pack_filling_number(lp, 0)]
                                      : NULL;
    for (uint32_t i = 0; i < lp->rows; i++) {
        const double *row = &lp->inverse[(size_t)i * lp->rows];
        double sum = 0;
        if (number < lp->rows) {
            sum = row[number];
        } else if (number < exchange_number(lp, 0)) {
            sum = -row[number - surplus_number(lp, 0)];
        } else if (!c) {
            sum = row[number - exchange_number(lp, 0) + 1] - row[number - exchange_number(lp, 0)];
        } else {
            sum = row[sizes + c->kind];
            for (uint32_t e = 0; e < c->entries; e++)
                sum += c->count[e] * row[c->size[e]];
        }
        lp->step[i] = sum;
    }
}

/* The row whose column leaves the basis; UINT32_MAX if none would. */
static uint32_t find_leaving(const struct pack_lp *lp)
{
    uint32_t best = UINT32_MAX;
    double least = INFINITY;
    for (uint32_t i = 0; i < lp->rows; i++) {
        if (lp->step[i] < 1e-9)
            continue;
        double ratio = lp->x[i] / lp->step[i];
        if (ratio < least - 1e-12 || (ratio <= least + 1e-12 && lp->step[i] > lp->step[best])) {
            least = ratio;
            best = i;
        }
    }
    return best;
}

static void pivot(struct pack_lp *lp, uint32_t leaving, uint32_t number, double reduced,
                  uint64_t *work)
{
    double *out = &lp->inverse[(size_t)leaving * lp->rows];
    double by = lp->step[leaving];
    for (uint32_t r = 0; r < lp->rows; r++)
        out[r] /= by;
    lp->x[leaving] /= by;
    for (uint32_t i = 0; i < lp->rows; i++) {
        double times = lp->step[i];
        if (i == leaving || times == 0)
            continue;
        double *row = &lp->inverse[(size_t)i * lp->rows];
        for (uint32_t r = 0; r < lp->rows; r++)
            row[r] -= times * out[r];
        *work += lp->rows;
        lp->x[i] -= times * lp->x[leaving];
        if (lp->x[i] < 0)
            lp->x[i] = 0;
    }
    for (uint32_t r = 0; r < lp->rows; r++)
        lp->price[r] += reduced * out[r];
    lp->in_basis[lp->basic[leaving]] = false;
    lp->in_basis[number] = true;
    lp->basic[leaving] = number;
}

void pack_simplex(struct pack_lp *lp, uint64_t *steps)
{
    uint64_t work = 0;
    find_prices(lp, &work);
    /* the count of pivots is limited in case rounding leads in circles */
    for (uint32_t turn = 0; turn < 50 * lp->rows && work < *steps; turn++) {
        double reduced;
        uint32_t number = find_entering(lp, &reduced, &work);
        if (number == UINT32_MAX)
            break;
        find_step(lp, number);
        uint32_t leaving = find_leaving(lp);
        if (leaving == UINT32_MAX)
            break;
        pivot(lp, leaving, number, reduced, &work);
    }
    find_prices(lp, &work);
    *steps -= work < *steps ? work : *steps;
}

double pack_solution_cost(const struct pack_lp *lp)
{
    double sum = 0;
    for (uint32_t i = 0; i < lp->rows; i++)
        sum += lp->x[i] * column_cost(lp, lp->basic[i]);
    return sum * lp->cost_scale;
}

#include "emit/reports/times.h"

#include "model/model.h"

#include <math.h>

enum { MILLIONTHS = 1000000, HUNDREDTHS = 100, PER_HUNDREDTH = MILLIONTHS / HUNDREDTHS };

struct times times_find(const struct results *r)
{
    struct code *code = &r->model->code;
    const struct terms *terms = model_terms(r->model);
    struct times t;
    for (int w = 0; w < WORKS; w++) {
        double minutes = terms->rate[w];
        t.invented[w] = minutes < 0;
        if (minutes < 0)
            minutes = code_cell_time(code, COL_WORK_TAKES, code_key(code, model_works[w].word), 0);
        t.rate[w] = llround(minutes * MILLIONTHS);
    }
    return t;
}

work_time times_of_effort(const struct times *t, const struct effort *e)
{
    const __int128 rate = t->rate[e->work], part = PER_HUNDREDTH * (__int128)FOOT;
    __int128 n = work_is_of_feet(e->work) ? (rate * e->feet + part / 2) / part
                                          : (rate * e->count + PER_HUNDREDTH / 2) / PER_HUNDREDTH;
    return n > INT32_MAX * (__int128)MILLIONTHS ? INT32_MAX * (int64_t)MILLIONTHS : (work_time)n;
}

work_time times_of_task(const struct times *t, const struct task *task)
{
    work_time sum = 0;
    for (int i = 0; i < MOST_EFFORTS; i++)
        sum += times_of_effort(t, &task->efforts[i]);
    return sum;
}

double times_minutes_each(const struct times *t, enum work_kind w)
{
    return (double)t->rate[w] / MILLIONTHS;
}

double times_minutes(work_time t)
{
    return (double)t / HUNDREDTHS;
}

int64_t times_whole_minutes(work_time t)
{
    return (t + HUNDREDTHS / 2) / HUNDREDTHS;
}

int64_t times_hours(work_time t)
{
    return (t + TIMES_HOUR / 2) / TIMES_HOUR;
}

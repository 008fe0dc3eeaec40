/* How long work takes: as the plan says (`rate`), else as the library does, whose times are
 * invented. */
#ifndef STUDBAY_EMIT_REPORTS_TIMES_H
#define STUDBAY_EMIT_REPORTS_TIMES_H

#include "emit/reports/tasks.h"

typedef int64_t work_time; /* hundredths of a minute */

struct times {
    int64_t rate[WORKS];  /* millionths of a minute for one, or for a foot */
    bool invented[WORKS]; /* by the library */
};

struct times times_find(const struct results *r);

/* Rounded to a hundredth of a minute, so that sums are those of what is printed. */
work_time times_of_effort(const struct times *t, const struct effort *e);
work_time times_of_task(const struct times *t, const struct task *task);

/* Minutes for one of a kind of work, or for a foot. */
double times_minutes_each(const struct times *t, enum work_kind w);

/* Minutes, for a cell with two figures behind the point. */
double times_minutes(work_time t);

/* So many minutes, rounded to a whole one. */
int64_t times_whole_minutes(work_time t);
enum { TIMES_HOUR = 60 }; /* minutes */

/* Hundredths of an hour, as they are charged. */
int64_t times_hours(work_time t);

#endif

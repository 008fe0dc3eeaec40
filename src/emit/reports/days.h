/* The work that is left, shared out to days. */
#ifndef STUDBAY_EMIT_REPORTS_DAYS_H
#define STUDBAY_EMIT_REPORTS_DAYS_H

struct report;
struct results;

/* Fills the report todo with the tasks by days of `results->day`: what fits a day, in the order of
 * the work, by one way through the house in each part of it; what the next trade wants first. */
void days_fill(const struct results *r, struct report *report);

#endif

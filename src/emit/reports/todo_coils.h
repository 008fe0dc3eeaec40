/* The part of the report todo that tells of coils. */
#ifndef STUDBAY_EMIT_REPORTS_TODO_COILS_H
#define STUDBAY_EMIT_REPORTS_TODO_COILS_H

struct report;
struct results;

/* What is left on each coil, by the site log: the totals of the report, and the same for people
 * behind its parts. */
void todo_add_coils(const struct results *r, struct report *report);

#endif

/* What `studbay log` answers with. */
#ifndef STUDBAY_CMD_LOG_NEXT_H
#define STUDBAY_CMD_LOG_NEXT_H

struct invocation;

/* Says on standard error what is next, now that these lines are in the log: the first that is left
 * of a cable that they are about, else the first that is left at all, in the order of the report
 * todo. Nothing where nothing is left, or the plan has no results. */
void cmd_tell_next(const struct invocation *inv, const char *lines);

#endif

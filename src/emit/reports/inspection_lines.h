/* The lines of the inspection report, in the order of the work. */
#ifndef STUDBAY_EMIT_REPORTS_INSPECTION_LINES_H
#define STUDBAY_EMIT_REPORTS_INSPECTION_LINES_H

#include "diag/diag.h"

enum { LINE_RULES = 12 };

/* A length that the library gives: "6\" where the cable comes in". */
struct line_figure {
    const char *table, *setting, *words;
};

struct inspection_line {
    const char *stage, *item;
    const char *key;             /* in the library's table inspection-lines, for the article; NULL: that of its rules, or none */
    enum rule_id rules[LINE_RULES]; /* that are checked for it; the first 0: none */
    size_t count;                /* field of the tally that the rules looked at, + 1; 0: none */
    const char *counted;
    const char *shown;           /* where the plan shows it */
    const char *missing;         /* what of it no plan holds */
    const char *look;            /* what to look at on site */
    struct line_figure figures[2]; /* how much of it; the first table NULL: none */
    size_t number, list;         /* fields of the tally: how many, and where, + 1 */
    bool only_listed;            /* nothing to look at where the list is empty */
};

extern const struct inspection_line inspection_lines[];
extern const uint32_t inspection_line_count;

#endif

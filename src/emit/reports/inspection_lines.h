/* The lines of the inspection report, in the order of the work. */
#ifndef STUDBAY_EMIT_REPORTS_INSPECTION_LINES_H
#define STUDBAY_EMIT_REPORTS_INSPECTION_LINES_H

#include "resolve/book.h"

#include <stddef.h>
#include <stdint.h>

struct results;
struct tally;
struct told;

enum { LINE_RULES = 12 };

#define BEFORE_BORING "before boring"
#define BEFORE_COVER  "before cover"

/* Adds what this plan shows of a line and what it lacks. */
typedef void tell_fn(const struct results *r, const struct tally *t, struct told *told);

/* A length that the library gives: "6\" from where the cable comes in". */
struct line_figure {
    const struct length_setting *setting;
    const char *words;
};

struct inspection_line {
    const char *stage, *item;
    const char *told; /* the item as people call it; NULL: as it is */
    const char *key;  /* in the library's table inspection-lines, for the article; NULL: that of its
                         rules, or none */
    const char *rules[LINE_RULES]; /* that are checked for it; the first NULL: none */
    size_t count;  /* of a line without rules: field of the tally that it is about, + 1: where it
                      counts nothing there is nothing of the kind; 0: none */
    tell_fn *tell; /* what the plan shows of it; NULL: nothing */
    const char *missing;           /* what of it no plan holds */
    const char *look;              /* what to look at on site */
    struct line_figure figures[3]; /* how much of it; the first 0: none */
    size_t number, list;           /* fields of the tally: how many, and where, + 1 */
    bool only_listed;              /* nothing to look at where the list is empty */
};

extern const struct inspection_line inspection_lines[];
extern const uint32_t inspection_line_count;

/* What a submission must contain. */
tell_fn tell_heading, tell_scale, tell_floor_plan, tell_marks, tell_alarms, tell_panels,
    tell_schedule, tell_numbers, tell_sizes, tell_load, tell_one_line, tell_spacing,
    tell_low_voltage, tell_value;

/* What is shown of the work itself. */
tell_fn tell_service, tell_ready, tell_plates, tell_free_conductor, tell_rings, tell_directory;

#endif

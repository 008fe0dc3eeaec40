/* Conductors and leads of the make-up in a builder's words. */
#ifndef STUDBAY_EMIT_WORDS_LEADS_H
#define STUDBAY_EMIT_WORDS_LEADS_H

#include "emit/table.h"
#include "model/makeup.h"

struct device;
struct results;
struct run;

/* The conductors in use in a run, as records of net and colour; what an old cable needs, where the
 * plan does not tell it. */
struct cell words_nets_cell(const struct results *r, const struct run *run);

/* A device in its box by name: "three-way", "receptacle 2" where the box has several of its sort.
 */
const char *words_device_in_box(const struct results *r, const struct device *d);

/* The terminal of a lead: "three-way common", "receptacle 2 hot". */
const char *words_terminal_words(const struct results *r, const struct lead *l);

/* The same without its device: "common", "fan hot". */
const char *words_terminal_alone(const struct results *r, const struct lead *l);

/* Whether a lead of a splice is a pigtail: a terminal that a tab feeds has none. */
bool lead_is_pigtail(const struct lead *l);

/* What a pigtail leads to: "receptacle 2 hot", "the metal box", "the circuit that is there"; of
 * several such circuits of the box, which. */
const char *words_pigtail(const struct results *r, const struct lead *l, bool several);

/* What holds a splice: "medium", "by the box". */
const char *words_connector(const struct joint *j);

/* The side of a device that a tab is on: "hot", or "hot to line" where it ties two sorts of
 * terminals. */
const char *words_tab_side(const struct results *r, const struct made_tab *t);

/* What is to be done with the tabs of a device: "break the tab: hot side of receptacle (neutral
 * side stays, half 1 is the upper)", "break the tab: both sides of receptacle", "leave the tab:
 * line to hot of switch-receptacle". NULL where it has none between parts that the plan tells
 * apart. */
const char *words_tabs(const struct results *r, const struct device *d);
bool words_tab_broken(const struct results *r, const struct device *d);

/* How many circuits that are there already begin, for the plan, in the box. */
uint32_t words_old_circuits(const struct box *b);

/* The first lead of that kind in a joint, or NULL. A landing may name a terminal twice, where two
 * parts of a device share it. */
const struct lead *lead_of_joint(const struct joint *j, enum lead_kind kind);

/* The colour of the conductor of a lead: "black", "white, re-identified", "bare"; NULL: of an old
 * cable that the plan does not tell. In words that is "old wire 2", by
 * the same number at both ends. */
const char *lead_color(const struct results *r, const struct lead *l);
const char *words_lead_color(const struct results *r, const struct lead *l);

/* The conductor size of a lead, "14"; NULL as its colour. */
const char *lead_size(const struct results *r, const struct lead *l);

#endif

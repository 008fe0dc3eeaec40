/* What lies in a raceway and what it is good for: how full it may be, whether it is the ground,
 * what holds it. Lengths are exact, areas in square inches. */
#ifndef STUDBAY_FACTS_RACEWAYS_H
#define STUDBAY_FACTS_RACEWAYS_H

#include "facts/facts.h"
#include "resolve/library.h"

/* Whether a run lies on what it passes, and no hole is bored but through plates: what is exposed,
 * and a raceway. No stick goes through a row of studs. */
bool facts_on_surface(const struct run *r);

/* What a hole for a run must take: its raceway, else its cable (NULL: not known, then 0). */
length facts_across(const struct run *r, const struct cable_def *cable);

/* Area of a circle, rounded as the tables of the book print it: to so many places (Chapter 9 Tables
 * 4 and 5). */
double facts_conductor_area(length diameter);
double facts_raceway_area(length diameter);

/* Whether a raceway is so short that it may be fuller and nothing is adjusted (Chapter 9 note 4,
 * 310.15(C)(1)(b)). `length` is that of the raceway; 0: not known, then it is none. */
bool facts_is_nipple(struct model *m, length length);

/* The share of a raceway that so many conductors or cables may fill, Chapter 9 Table 1. */
double facts_fill_share(struct model *m, uint32_t count, bool nipple);

/* How many conductors of one area go into a raceway: Table 1, and note 7 of the tables, by which
 * the next whole number counts from eight tenths on. 0: none. */
uint32_t facts_most_alike(struct model *m, const struct raceway_def *raceway, double area,
                          bool nipple);

/* Whether the raceway alone is the ground of what lies in it: it is of metal, no ground wire is
 * written, both its boxes may be of metal, and it is not beyond the circuit and the length for
 * which it counts (250.118). */
bool facts_raceway_grounds(const struct run *r, double breaker, length length);

/* The article in the row of a raceway's family; NULL where there is none. */
const char *facts_raceway_article(struct model *m, const struct cite_column *column,
                                  const struct raceway_def *raceway);

bool facts_raceway_suits(const struct raceway_def *raceway, const char *word);

#endif

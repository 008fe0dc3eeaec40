/* Days of the calendar as text, year first: 2026-03-14. Such texts sort by strcmp. */
#ifndef STUDBAY_BASE_DATE_H
#define STUDBAY_BASE_DATE_H

#include <stdbool.h>
#include <stdint.h>

/* Whether a text has the form of a date, four figures, two and two, be there such a day or not. */
bool date_has_form(const char *text);

/* Whether it is a day of the calendar (ISO 8601, Gregorian). */
bool date_is(const char *text);

/* A day as a number that sorts likewise: 20260314. */
uint32_t date_number(const char *day);

#endif

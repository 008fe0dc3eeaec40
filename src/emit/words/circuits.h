/* Circuits, their breakers and panels in words and cells. */
#ifndef STUDBAY_EMIT_WORDS_CIRCUITS_H
#define STUDBAY_EMIT_WORDS_CIRCUITS_H

#include "emit/table.h"

struct circuit;
struct finding;
struct panel;
struct results;

/* The circuits of a panel by their spaces; those without one last, by name. */
const struct circuit **circuits_by_space(const struct results *r, const struct panel *p);

/* Panels that follow each other and are alike: "Feeder P", "Feeders P and Q", "The 8 feeders u101.P
 * to u204.P", for `one` "Feeder" and `many` "feeders". */
const char *words_panel_range(const struct results *r, const char *one, const char *many,
                              const struct panel *first, const struct panel *last, uint32_t count);

/* The address of a panel, or an empty cell. */
struct cell words_panel_cell(const struct results *r, const struct panel *panel);

/* What a person reads of a circuit: "P14", "P7 (bath)", "P2/4 (feeder Q)", and as it is typed where
 * it has no space; NULL for NULL. */
const char *words_circuit(const struct results *r, const struct circuit *c);

/* The handle alone, "P14/16"; NULL where it has no space. */
const char *words_handle(const struct results *r, const struct circuit *c);

/* The handle without its unit, where there is little room: "P14"; as it is typed where it has no
 * space. */
const char *words_mark(const struct results *r, const struct circuit *c);

/* The circuit as it is typed for data, and as a person reads it. */
struct cell words_circuit_cell(const struct results *r, const struct circuit *c);

/* The first thing that a finding is about, a circuit by its handle; NULL for none. */
const char *words_subject(const struct results *r, const struct finding *f);

/* As it is typed within its panel: "2", or "feeder P" or "feeder u101.P" for what feeds another
 * panel; NULL for NULL. */
const char *circuit_word(struct arena *arena, const struct circuit *c);

/* "afci", "gfci", "dual-function", several parted by a blank; NULL for none. */
const char *words_protection(struct arena *arena, const struct circuit *c);

/* "20 A two-pole afci", as a plan writes a breaker; NULL where none is written. */
const char *words_breaker(struct arena *arena, const struct circuit *c);

/* The same as it is told to a clerk: "20 A, two-pole, GFCI"; half-size where two share a space;
 * NULL where none is written. */
const char *words_breaker_told(const struct results *r, const struct circuit *c);

/* "AFCI", "GFCI", as a panel's card or a sheet tells it; NULL for none. */
const char *words_protection_told(struct arena *arena, const struct circuit *c);

/* How many of them: a multiwire circuit on single-pole breakers takes two. */
uint32_t words_breaker_count(const struct circuit *c);

/* The same, as it is bought: "20 A half-size" where two share a space. */
const char *words_bought_breaker(const struct results *r, const struct circuit *c);

/* The rooms that a circuit serves, in the order in which its runs reach them; addresses. */
struct cell words_rooms_cell(const struct results *r, const struct circuit *c);

#endif

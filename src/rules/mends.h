/* Mends that several rules write. Each adds one way to mend a finding, where it can be written. */
#ifndef STUDBAY_RULES_MENDS_H
#define STUDBAY_RULES_MENDS_H

#include "resolve/edit.h"
#include "rules/check.h"

struct box_type;

/* A way to mend a finding, for the edits that make it. */
#define rules_way(c, f, safe, ...) edit_way((c)->model->diag, (f), (safe), __VA_ARGS__)

/* Another type of a box; NULL: the clause is left out, and the smallest that serves is chosen. */
void mends_type(const struct checked *c, struct finding *f, const struct box *box,
                const struct box_type *type);

/* A clause of a statement left out, or a flag. Nothing where its own text does not have it. */
void mends_leave_out(const struct checked *c, struct finding *f, bool safe, const struct node *n,
                     enum form_id form);

/* Another rating of a breaker; behind a larger one no cable is left written, so that they are
 * chosen.
 */
void mends_breaker(const struct checked *c, struct finding *f, const struct circuit *circuit,
                   double amps);

/* No cable of a circuit written: all are chosen. Nothing where old ones or raceways are among them.
 */
void mends_cables_left_out(const struct checked *c, struct finding *f,
                           const struct circuit *circuit);

/* Protection at the breaker, beside what it has. */
void mends_protection(const struct checked *c, struct finding *f, const struct circuit *circuit,
                      enum form_id form);

/* A word on a breaker: "two-pole", in place of `tied` where it stands. */
void mends_two_pole(const struct checked *c, struct finding *f, const struct circuit *circuit);

/* Another type of a device; its name, words and leg stay. */
void mends_device(const struct checked *c, struct finding *f, const struct device *d,
                  const char *type);

/* A receptacle of the same sort with more in it: "-gfci" behind its first word, "-wr" at the end;
 * NULL where the library has none of that name. As a mend. */
const struct device_def *mends_receptacle_type(const struct checked *c, const struct device *d,
                                               const char *middle, const char *end);
void mends_receptacle(const struct checked *c, struct finding *f, const struct device *d,
                      const char *middle, const char *end);

/* The same sort of receptacle with another rating. */
void mends_rating(const struct checked *c, struct finding *f, const struct device *d, double amps);

/* Another place of a box along its wall, so far from the wall's left end. */
void mends_at(const struct checked *c, struct finding *f, const struct box *box, length from_left);

/* Another height of a box on a wall. */
void mends_up(const struct checked *c, struct finding *f, const struct box *box, length up);

#endif

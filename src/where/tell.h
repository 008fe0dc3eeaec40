/* What is told of the things of a plan, as Markdown: the words of the reports, so that an editor
 * and a sheet on site say the same. */
#ifndef STUDBAY_WHERE_TELL_H
#define STUDBAY_WHERE_TELL_H

#include "emit/results.h"
#include "where/where.h"

struct language;
struct rule;
struct where_teller;

/* `r` NULL: nothing is proven, and what is worked out is not told, only what is written. It lives
 * in the arena; reports are filled as they are asked for and kept. */
struct where_teller *where_tell_begin(struct arena *arena, const struct whereabouts *w,
                                      const struct results *r);

/* Of a name: what it is and, of a thing of the plan, what became of it. Never NULL. */
const char *where_tell_name(struct where_teller *t, const struct where_name *name);

/* Of one thing. */
const char *where_tell_box(struct where_teller *t, const struct box *b);
const char *where_tell_run(struct where_teller *t, const struct run *run);
const char *where_tell_circuit(struct where_teller *t, const struct circuit *c);
const char *where_tell_leg(struct where_teller *t, const struct leg *l);
const char *where_tell_rule(struct arena *arena, const struct rule *rule);

/* In a line, for what stands above a statement: "4 boxes, 93'-6" of cable, 1200 VA"; NULL where
 * nothing is proven. */
const char *where_circuit_line(struct where_teller *t, const struct circuit *c);

/* Of a form of the language: its pattern and what it is for. */
const char *where_form_words(struct arena *arena, const struct language *l, enum form_id form);

#endif

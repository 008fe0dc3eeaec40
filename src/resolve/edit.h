/* Edits of the text of a plan, told by statement and clause: "on this box write that clause". Who
 * tells them sees no tree; here they become bytes, made from the tokens. Comments stay, and so does
 * all else that is not named. What is put in stands where the layout would have it, but lines may
 * come out too long: fmt/fit.h sets that right.
 *
 * Statements may have what they say of a base (room B : A); what is written of one is put into its
 * own text. */
#ifndef STUDBAY_RESOLVE_EDIT_H
#define STUDBAY_RESOLVE_EDIT_H

#include "diag/diag.h"
#include "resolve/written.h"

/* How many ways are offered where any of many would do. */
enum { MOST_OFFERED = 8 };

/* Where edits go. `to` NULL: nowhere. */
struct editing {
    struct arena *arena;
    edit_list *to;
};

/* Those of a way to mend a finding; of NULL nothing becomes. */
struct editing edit_of_way(struct diag *d, struct mend *way);

/* A way to mend a finding, for the edits that make it. */
#define edit_way(d, f, safe, ...) edit_of_way((d), diag_way((d), (f), (safe), __VA_ARGS__))

/* One text in place of another. */
void edit_put(struct editing e, struct source *source, uint32_t off, uint32_t gone,
              const char *text);
void edit_replace(struct editing e, struct span span, const char *text);

/* The clause of a statement, in place of the one of its form that it has, else where it belongs: on
 * the line, in the block, behind the breaker of a circuit. */
void edit_clause(struct editing e, const struct node *n, enum form_id form, const char *text);

/* The same of the hop of a chain that leads to the box whose name stands at `to`: in its
 * parentheses, where the chain has more hops than that. */
void edit_hop_clause(struct editing e, const struct node *chain, struct span to, enum form_id form,
                     const char *text);

/* Behind the line of a statement, before its block. */
void edit_on_line(struct editing e, const struct node *n, const char *text);

/* The n-th value of a statement, where its own text has it; the word that it begins with. */
void edit_value(struct editing e, const struct node *n, unsigned value, const char *text);
void edit_word(struct editing e, const struct node *n, const char *text);

/* How high a box stands that is on a wall by its own text, and how far along it. */
void edit_up(struct editing e, const struct node *box, const char *text);
void edit_at(struct editing e, const struct node *box, const char *text);

/* A statement at the end of the block of another, which gets one where it has none; behind or
 * before another one of its block or file. */
void edit_in_block(struct editing e, const struct node *n, const char *text);
void edit_behind(struct editing e, const struct node *n, const char *text);
void edit_before(struct editing e, const struct node *n, const char *text);

/* A statement at the start of the block of another; of a file before all that is in it. */
void edit_first(struct editing e, const struct node *n, const char *text);
void edit_at_top(struct editing e, struct source *source, const char *text);

/* Of a chain takes the hop away that leads to the box whose name stands at `to`, where it is the
 * only one or the last; else nothing. */
void edit_remove_hop(struct editing e, const struct node *chain, struct span to);

/* Takes a statement away with its block, or a clause from its line, with the signs that part it
 * from others. Comments on its line and behind it stay; where some lie in it nothing is done. */
void edit_remove(struct editing e, const struct node *n);

/* Of `run A -> B -> C` makes runs of one hop each, with what the chain says of all, and of each
 * alone. False where it has one hop. */
bool edit_split_chain(struct editing e, const struct node *chain);

/* Parts the chain behind the box at value `i`: the words go behind that, and a run begins there. */
void edit_part_chain(struct editing e, const struct node *chain, unsigned i, const char *words);

/* What a chain says of all its hops: the words behind its boxes, each behind a blank. */
const char *edit_chain_words(struct arena *arena, const struct node *chain);

/* The first line of the block of a box where that has lines of its own, else behind what stands on
 * its line; behind the breaker of a circuit, its clauses parted by "; ". */
void edit_in_box(struct editing e, const struct node *n, const char *text);
void edit_in_circuit(struct editing e, const struct node *n, const char *text);

/* In the block of a room behind what says what it is and how large, before what is in it. */
void edit_in_room(struct editing e, const struct node *n, const char *text);

/* Whether the text of the statement itself has a clause of that form, not that of its base. */
bool edit_is_written(const struct node *n, enum form_id form);

#endif

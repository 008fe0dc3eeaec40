/* How one token is written, and what stands between two tokens of one line. */
#ifndef STUDBAY_FMT_SPELL_H
#define STUDBAY_FMT_SPELL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buf;
struct source;

/* Appends the token as it is written in canonical form: lengths are respelt (4' 6" becomes 4'-6"),
 * all else stays. */
void spell_token(struct buf *out, const struct source *source, uint32_t token);

/* Display cells of the token as spell_token writes it. */
size_t spell_width(const struct source *source, uint32_t token);

/* What is written between two tokens of one line, and how many cells it takes: nothing, " " or,
 * between two statements, "; ". */
enum gap { GAP_NONE, GAP_BLANK, GAP_STATEMENT };

/* Only `;` may stand between the two in the source. */
enum gap spell_between(const struct source *source, uint32_t before, uint32_t after);
void spell_gap(struct buf *out, enum gap gap);

/* Whether the token is this word. */
bool spell_is(const struct source *source, uint32_t token, const char *word);

#endif

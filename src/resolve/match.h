/* The tree of statements against statements.def: every line gets its form, its values and its
 * clauses, or a finding in a builder's words. */
#ifndef STUDBAY_RESOLVE_MATCH_H
#define STUDBAY_RESOLVE_MATCH_H

#include <stdbool.h>

struct arena;
struct diag;
struct language;
struct names;
struct source;
struct tree;

/* Matches a file. The result is an F_FILE node whose children are the statements of the file in
 * order; broken ones are there too, with the name they declare where it can be read. Linear in the
 * number of tokens. */
struct node *match_file(struct diag *diag, struct names *names, const struct language *language,
                        const struct tree *tree);

/* Parses a source and matches it, statement by statement, so that little is held between the two;
 * `scratch` is emptied. Without `keep` it is read for its findings alone, and the result has no
 * children. */
struct node *match_source(struct diag *diag, struct names *names, struct arena *scratch,
                          const struct language *language, struct source *source, bool keep);

#endif

/* What the grammar's actions call; parse() in tree.h drives it. */
#ifndef STUDBAY_SYNTAX_PARSE_H
#define STUDBAY_SYNTAX_PARSE_H

#include "syntax/token.h"
#include "syntax/tree.h"

/* A range of tokens, both included: the grammar's locations. */
struct range {
    uint32_t first, last;
};

struct parser {
    struct diag *diag;
    struct arena *scratch; /* statements and their items */
    struct source *source;
    uint32_t at;           /* token to be read next */
    uint32_t closes;       /* of its closing braces that the layout adds, those already given */
    bool opened, ended;    /* its added opening brace and the end of line before it are given */
    bool inside;           /* a line has begun and is not at its end */
    bool by_tokens;        /* no line is taken at once: what tests hold the short way against */
    struct stmt *all;      /* the last statement of the file so far that is kept */
    take_statements *take; /* what is done with them line by line; NULL: all are kept */
    void *data;
};

/* What the grammar waits for where it meets something else: the name after a dot, the rest of
 * (NAME), or a statement. */
enum parse_wants { WANTS_NAME, WANTS_GIVEN, WANTS_STATEMENT };

enum token_kind parse_next(struct parser *pp, struct range *where);

/* The line that begins here, made without the grammar; NULL where none begins or one of its items
 * is at fault. */
struct stmt *parse_whole_line(struct parser *pp, struct range *where);

void parse_fault(struct parser *pp, struct range where, const char *message);
void parse_unexpected(struct parser *pp, struct range where, enum parse_wants wants);
struct stmt *parse_head(struct parser *pp, uint64_t kind, struct range where);
struct stmt *parse_more(struct parser *pp, struct stmt *head, uint64_t kind, struct range where);
struct stmt *parse_line(struct parser *pp, struct stmt *head);

/* A list that is being made is its last statement, whose `next` is the first; NULL is the empty
 * list. */
struct stmt *parse_add(struct stmt *list, struct stmt *more);
struct stmt *parse_block(struct stmt *head, struct stmt *list, struct range braces);
/* A statement of the file is whole; NULL is none. `emptied`: the grammar holds no token behind it,
 * so that nothing of the scratch is wanted any more. */
void parse_top(struct parser *pp, struct stmt *s, bool emptied);

#endif

/* What the grammar's actions call; parse() in tree.h drives it. */
#ifndef STUDBAY_SYNTAX_PARSE_H
#define STUDBAY_SYNTAX_PARSE_H

#include "syntax/tree.h"

/* A range of tokens, both included: the grammar's locations. */
struct range {
    uint32_t first, last;
};

struct stmt_list {
    struct stmt *first, *last;
};

struct parser {
    struct diag *diag;
    struct source *source;
    uint32_t at;             /* token to be read next */
    uint32_t closes;         /* of its closing braces that the layout adds, those already given */
    bool opened, ended;      /* its added opening brace and the end of line before it are given */
    struct stmt_list all;
};

/* What the grammar waits for where it meets something else: the name after a dot, the rest of (NAME), or a statement. */
enum parse_wants { WANTS_NAME, WANTS_GIVEN, WANTS_STATEMENT };

enum token_kind parse_next(struct parser *pp, struct range *where);
void parse_fault(struct parser *pp, struct range where, const char *message);
void parse_unexpected(struct parser *pp, struct range where, enum parse_wants wants);
struct stmt *parse_head(struct parser *pp, struct item item);
struct stmt *parse_more(struct parser *pp, struct stmt *head, struct item item);
struct stmt *parse_block(struct stmt *head, struct stmt_list list, struct range braces);
struct stmt_list parse_add(struct stmt_list list, struct stmt *more);
void parse_done(struct parser *pp, struct stmt_list list);

#endif

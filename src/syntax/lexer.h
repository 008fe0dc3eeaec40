#ifndef STUDBAY_SYNTAX_LEXER_H
#define STUDBAY_SYNTAX_LEXER_H

#include "diag/diag.h"
#include "syntax/token.h"

/* Fills source->tokens, the last one T_EOF. What belongs nowhere is reported and stays in the gaps.
 * False where the file has too many tokens, or is no UTF-8 at all. */
bool lex(struct diag *diag, struct source *source);

#endif

/* The tokens of a source.
 *
 * They live in the arena of the compilation. Every byte is in one token or in the gap before one;
 * gaps hold blanks, newlines, comments and bytes that were reported as not belonging there. */
#ifndef STUDBAY_SYNTAX_TOKEN_H
#define STUDBAY_SYNTAX_TOKEN_H

#include <stdint.h>

struct source;

enum token_kind {
    T_EOF,
#define TOKEN(id, words) T_##id,
#include "tokens.def"
#undef TOKEN
    TOKEN_KINDS
};

enum token_flag {
    TOKEN_NEWLINE = 1, /* a newline stands in the gap before it */
    TOKEN_ENDS = 2,    /* a statement ends in the gap before it */
    TOKEN_BAD = 4,     /* reported by the lexer; a usable token all the same */
    TOKEN_DROPPED = 8, /* a brace that the layout says is not meant */
    TOKEN_DOUBT = 16, /* its line has a '}' whose '{' is missing, and may stand in another block; or
                         a text that does not end, and may hold more of it */
    TOKEN_OPENS = 32, /* the layout opens a block before it */
    TOKEN_STRAY = 128, /* bytes that belong nowhere stand in the gap before it */
    TOKEN_SPACED = 64, /* a blank or comment stands in the gap before it */
};

struct source_token {
    uint32_t off, len;
    uint8_t kind, flags;
    uint16_t closes; /* how many blocks the layout closes before it */
};

/* The span of tokens first..last, both included. */
struct span token_span(struct source *source, uint32_t first, uint32_t last);

/* The builder's words for a kind of token. */
const char *token_words(enum token_kind kind);

#endif

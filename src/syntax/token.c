#include "syntax/token.h"

#include "base/source.h"

struct span token_span(struct source *s, uint32_t first, uint32_t last)
{
    const struct source_token *a = &s->tokens[first], *b = &s->tokens[last];
    return (struct span){s, a->off, b->off + b->len - a->off};
}

const char *token_words(enum token_kind kind)
{
    static const char *const words[] = {
        "the end of the file",
#define TOKEN(id, words) words,
#include "tokens.def"
#undef TOKEN
    };
    return words[kind];
}

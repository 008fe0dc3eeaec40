/* statements.def made ready for matching: which form a word begins in which block, and the steps of
 * each pattern. */
#ifndef STUDBAY_RESOLVE_LANGUAGE_H
#define STUDBAY_RESOLVE_LANGUAGE_H

#include "base/map.h"
#include "base/names.h"
#include "resolve/written.h"
#include "syntax/token.h"

enum capture {
    C_NONE,
#define CAPTURE(id, name, words) C_##id,
#include "resolve/captures.def"
#undef CAPTURE
    CAPTURE_COUNT
};

enum step_kind { STEP_WORD, STEP_SIGN, STEP_CAPTURE, STEP_OPTION, STEP_END };

struct step {
    enum step_kind kind;
    enum capture capture; /* STEP_CAPTURE */
    enum token_kind sign; /* STEP_SIGN */
    bool repeats;         /* STEP_CAPTURE: one or more */
    uint8_t slot;         /* STEP_CAPTURE, STEP_WORD with choices: which value it fills */
    uint16_t skip;        /* STEP_OPTION: steps to its end */
    const char **choices; /* STEP_WORD: the words that may stand here; one word fills no slot */
    uint8_t choice_count;
};

struct pattern {
    struct step *steps;
    uint8_t slots;
};

struct form {
    const char *word; /* interned; "*" and "" as in the table */
    const char *doc;
    const char *source; /* pattern as it is written in the table */
    bool on_line, in_block;
    bool text, names, repeats, may_block, must_block, flag;
    bool along_wall; /* of what stands in a room */
    struct pattern *patterns;
    uint8_t pattern_count;
};

struct language {
    struct form forms[FORM_COUNT];
    struct map in_block; /* (owner, word) -> form */
    struct map on_line;  /* (owner, word) -> form */
    VEC(const char *)
    words_in[FORM_COUNT]; /* words that may begin a statement in its block, for suggestions */
    VEC(const char *) words_on[FORM_COUNT]; /* words of its line */
    VEC(uint16_t)
    named_in[FORM_COUNT];   /* forms with a name in its block, for guesses behind a fault */
    const char *any, *bare; /* the interned words "*" and "" */
};

/* Builds the language from the table; everything lives in the arena. It does not change any more:
 * its words are in `names`, or in those that stand on them. */
const struct language *language_new(struct arena *arena, struct names *names);

/* The form that `word` begins in the block (or on the line) of `owner`, or FORM_COUNT. */
enum form_id language_in_block(const struct language *l, enum form_id owner, const char *word);
enum form_id language_on_line(const struct language *l, enum form_id owner, const char *word);

/* The builder's words for what a capture wants: "a length such as 4'-6"". */
const char *resolve_capture_words(enum capture c);

/* What the alternative of a form's pattern captures in a slot; C_NONE where it captures nothing. */
enum capture language_capture(const struct language *l, enum form_id form, unsigned alternative,
                              unsigned slot);

#endif

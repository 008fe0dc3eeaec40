/* For tests: the slips that people make when they write a plan, each with what is to be said of it.
 * How a new one joins is told at the top of slips.c. */
#ifndef STUDBAY_TESTS_SLIPS_H
#define STUDBAY_TESTS_SLIPS_H

#include "base/buf.h"
#include "compile.h"

#include <stdbool.h>
#include <stdint.h>

enum { NO_WORD = UINT32_MAX };

/* A word, number, text or sign of a plan. */
struct slip_word {
    size_t at, n;
    uint32_t head;  /* the first word of its statement */
    uint32_t owner; /* the first word of the statement in whose block it stands, or NO_WORD */
};

/* A plan without an error, as its words stand. */
struct slip_text {
    const struct buf *text;
    const struct compilation *c;
    struct slip_word *words;
    uint32_t count;
};

/* Bytes of the text that others are put for. */
struct change {
    size_t at, n;
    struct buf put;
};

/* Whether the slip can be made at a word. */
typedef bool slip_place(const struct slip_text *t, uint32_t at);

/* Makes it there; false where it cannot be, or would say something that is right too. */
typedef bool slip_make(const struct slip_text *t, uint32_t at, const char *put, uint64_t *seed,
                       struct change *out);

struct slip {
    const char *says;
    slip_place *place;
    slip_make *make;
    const char *put;   /* for `make` */
    const char *found; /* the rules of which one may find it, with blanks between */
    bool sure;         /* false: silence may be right, as `why` says */
    const char *mend;  /* what its mend holds: "=" what was there before; NULL: anything */
    const char *why;
};

extern const struct slip slips[];
extern const unsigned slip_count;

void slip_read(struct slip_text *t, const struct buf *text, const struct compilation *c);
void slip_end(struct slip_text *t);

enum slip_came { SLIP_NO_PLACE, SLIP_ONE, SLIP_NONE, SLIP_MANY, SLIP_OTHER_RULE, SLIP_OTHER_MEND };
enum { SLIP_CAME_COUNT = SLIP_OTHER_MEND + 1 };

/* Makes a slip at one of its places and compiles what comes of it in `folder`, where what the plan
 * includes is written too. In `why` what was done and what was found, where it is not as the table
 * has it. */
enum slip_came slip_try(const struct slip_text *t, const struct buf *include,
                        const struct slip *slip, uint64_t seed, const char *folder,
                        struct buf *why);

/* Whether that is as the table has it. */
bool slip_is_well(const struct slip *slip, enum slip_came came);

#endif

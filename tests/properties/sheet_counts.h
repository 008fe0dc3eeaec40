/* For tests: what must not be on a finished sheet, counted from its marks and their roles, by
 * geometry of its own. What a sheet says of itself is believed: words of a box stand in a group
 * ROLE_LABEL with the box's address as subject, its symbol in one of ROLE_SYMBOL or ROLE_BOX with
 * the same, the leader between them in one of ROLE_LEADER.
 *
 * In a group ROLE_ROOM, whose subject is the room, what is filled (but for white) or as thick as
 * LINE_CUT is wall; a closed outline that is not filled is the room's edge as well.
 *
 * The counts are common drafting practice: nothing over words, each word beside its own thing. */
#ifndef STUDBAY_TESTS_SHEET_COUNTS_H
#define STUDBAY_TESTS_SHEET_COUNTS_H

#include "base/buf.h"
#include "paper/paper.h"

enum sheet_fault {
    TEXT_ON_TEXT,
    SYMBOL_ON_SYMBOL,
    LABEL_ON_SYMBOL, /* words of a room or box over a symbol that is not theirs */
    FOREIGN_NEARER,  /* a label nearer to another's symbol than to its own, and no leader */
    IN_OTHER_ROOM,   /* a label that reaches into a room that is not its own's */
    NAME_ON_CABLE,   /* a label, name of a room or dimension on a cable */
    THROUGH_WALL,    /* words on a cut wall */
    TOO_SMALL,       /* capitals below CAPS_NOTE */
    OUTSIDE,         /* beyond the border, or the paper where there is none */
    SHEET_FAULTS
};

extern const char *const sheet_fault_words[SHEET_FAULTS];

struct sheet_counts {
    unsigned of[SHEET_FAULTS], all;
};

/* Counts; the first of each sort is told in a line of `why`, if that is not NULL. */
struct sheet_counts sheet_count(const struct sheet *s, struct buf *why);

#endif

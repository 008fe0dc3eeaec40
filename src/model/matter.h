/* What of a thing may be in doubt where the text could not be read in full. Which of it a thing has
 * tells facts/facts.h, which alone reads what is noted here and says what rests on it. */
#ifndef STUDBAY_MODEL_MATTER_H
#define STUDBAY_MODEL_MATTER_H

enum matter {
    ITS_TEXT = 1 << 0,     /* what its statement and its block say */
    ITS_PLACE = 1 << 1,    /* where it stands */
    ITS_LEVEL = 1 << 2,    /* the level it is on */
    ITS_KINDS = 1 << 3,    /* of a room: every kind that it has */
    ITS_FIXED = 1 << 4,    /* of a room: what is fixed in it, and so what its walls leave free */
    ITS_BOXES = 1 << 5,    /* the boxes it has, or ends in */
    ITS_DEVICES = 1 << 6,  /* what is in these boxes */
    ITS_FEED = 1 << 7,     /* which runs feed it */
    ITS_NAMES = 1 << 8,    /* which names there are in it */
    ITS_BREAKER = 1 << 9,  /* of a circuit: its breaker */
    ITS_LINES = 1 << 10,   /* of a circuit: a device on it takes both lines, its breaker gives one;
                              breaker-poles says it */
    ITS_CLAUSES = 1 << 11, /* of a circuit: a line of its block may have been any clause */
    ITS_CABLE = 1 << 12,   /* of a circuit: the cables of its runs; of a run: its cable */
    ITS_TYPE = 1 << 13,    /* of a box: which type it is */
    ITS_OUTSIDE = 1 << 14, /* of a box: its place, which is none of its room; of a room: an opening
                              past the end of its wall. box-off-wall and openings-disagree say it */
    ITS_SIGNALS = 1 << 15, /* which low-voltage runs lead to its boxes */
    ITS_WOOD = 1 << 16, /* of a box or panel: where studs and joists are around it, which are laid
                           out over all rooms of its level */
    ITS_WAY = 1 << 17   /* of a run: the way it takes, which rests on its two ends and on what its
                           levels are known to be */
};

#endif

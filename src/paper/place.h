/* Where words go on a sheet: beside what they name, on nothing, across no wall.
 *
 * Who draws says what lies on the page (blocks), what words and leaders never cross (walls), what
 * is named (things) and what is to be written (labels); place_solve chooses a place for each label.
 * It knows nothing of what is drawn. What holds of every answer, whatever was asked:
 *
 *   - words lie on the page, in their region, and as far as `clear` from all that is PLACE_NEVER,
 *     from things, from other words and from leaders;
 *   - between words and their thing is no wall, and foreign things are farther from them than
 *     theirs, by `clear` at least (a key with a leader may be where there is no other place for it,
 * and words with a leader after place_trust_leaders);
 *   - a leader crosses no wall, thing, words or other leader, and leads from words to their thing;
 *   - words that find no such place are replaced by a key, a number that keeps the same rules, and
 *     where no key finds one either by nothing: the list beside the drawing tells them then.
 *
 * Within that the sum of costs is made small: an exchange of places with a fixed seed, in whole
 * numbers, so that the result is the same everywhere and does not depend on the order of what was
 * said. The work is linear in what lies on a page of the same density.
 *
 * Places are micrometres of paper and no further from 0 than PLACE_FARTHEST. Costs are points; a
 * millimetre between words and their thing costs PLACE_MM. */
#ifndef STUDBAY_PAPER_PLACE_H
#define STUDBAY_PAPER_PLACE_H

#include "paper/paper.h"

enum {
    PLACE_NEVER = INT32_MAX, /* no cost is high enough */
    PLACE_MM = 20,           /* what a millimetre costs between words and their thing */
    PLACE_LEADER = 150,      /* what a leader costs, whatever its length */
    PLACE_KEY = 3000,        /* what a key costs in place of words of priority 0 */
    PLACE_NOTHING = 100000,  /* what no place at all costs */
    PLACE_SHAPES = 4,
    PLACE_BENDS = 3 /* points of a leader at most */
};

#define PLACE_FARTHEST (100000 * MM)

/* A leader is drawn where words stand further than this from their thing. */
#define PLACE_UNLED (6 * MM)

/* Words are in doubt where a foreign thing is no further beyond theirs than this and the clear
 * space: letters do not fill their box, nor symbols their area. */
#define PLACE_IN_DOUBT (4 * MM)

/* The clear space round words unless it is said otherwise. */
#define PLACE_HALO (600)

/* What something on the page costs: words, for each millimetre of their box that it crosses; a
 * leader, or the way from words without one to their thing, for crossing it. PLACE_NEVER: neither
 * happens. */
struct place_cost {
    int32_t words, leader;
};

/* Where words stand, seen from what they name. */
enum place_side {
    PLACE_RIGHT,
    PLACE_LEFT,
    PLACE_ABOVE,
    PLACE_BELOW,
    PLACE_ABOVE_RIGHT,
    PLACE_BELOW_RIGHT,
    PLACE_ABOVE_LEFT,
    PLACE_BELOW_LEFT,
    PLACE_SIDES
};

struct place_shape {
    um width, height;
    int32_t cost; /* of this shape against the others */
};

struct place_label {
    struct area thing;    /* what is named: where its symbol lies */
    bool round;           /* leaders end on the circle in that area */
    uint32_t group;       /* things of the same group are not foreign to it */
    uint32_t shape_count; /* 1 to PLACE_SHAPES */
    struct place_shape shapes[PLACE_SHAPES];
    const int32_t *sides;      /* PLACE_SIDES costs; NULL: right, left, above, below, corners */
    const struct spot *region; /* the outline that it stays in: `region_count` corners; or NULL */
    uint32_t region_count;
    int32_t priority;       /* 0 to 20: how much more it is worth than others */
    um reach;               /* farthest from its thing, with a leader; up to PLACE_UNLED: without
                               one; a key may always have one of 20 mm */
    struct place_shape key; /* what a key takes; width 0: it has none */
    uint32_t list;          /* keys are numbered within the list that tells them */
};

enum place_how { PLACED_WORDS, PLACED_KEY, PLACED_NOWHERE };

struct placed {
    enum place_how how;
    uint32_t shape;                  /* of the words */
    uint32_t number;                 /* of the key, from 1 in each list; else 0 */
    struct area box;                 /* of words or key */
    struct spot leader[PLACE_BENDS]; /* from the words to the thing */
    uint32_t leader_count;           /* 0, 2 or 3 */
    bool in_doubt; /* without a leader, and a foreign thing is hardly farther than theirs:
                      `leader` has the shortest way there, for who draws one all the same */
};

struct placer;

/* Nothing lies on the page yet. All is kept in the arena. */
struct placer *place_new(struct arena *arena, struct area page);

/* The clear space round words. */
void place_clear(struct placer *p, um clear);

/* Words and keys with a leader may be nearer to a foreign thing than to theirs, at a small cost:
 * for crowded pages, where a leader tells enough. */
void place_trust_leaders(struct placer *p);

/* What lies on the page: an area, a line as wide as that, a disc. */
void place_block(struct placer *p, struct area a, struct place_cost cost);
void place_block_line(struct placer *p, struct spot a, struct spot b, um width,
                      struct place_cost cost);
void place_block_disc(struct placer *p, struct spot at, um radius, struct place_cost cost);
/* What lies inside an outline; `points` are kept. */
void place_block_shape(struct placer *p, const struct spot *points, uint32_t count,
                       struct place_cost cost);

/* What words, keys and leaders never cross, nor stand behind as seen from their thing. */
void place_wall(struct placer *p, struct spot a, struct spot b, um width);

/* Something that has words or could have: no words lie on it, no leader crosses it unless it ends
 * there, no foreign words are nearer to it than to their own. A label's own area is not one until
 * it is said. */
void place_thing(struct placer *p, struct area a, uint32_t group);

/* What was drawn on a sheet from the mark `first` on lies on the page, at the cost of its role: an
 * outline by its lines, what is filled by its area, texts by theirs. Roles of cost 0 are left out;
 * links and anchors are nothing. */
void place_drawn(struct placer *p, const struct sheet *s, uint32_t first,
                 const struct place_cost costs[ROLE_COUNT]);

/* Words that want a place; gives their number, from 0. What `label` points to is kept as it is. */
uint32_t place_label(struct placer *p, const struct place_label *label);

/* Chooses; gives as many answers as there are labels. Called once. */
const struct placed *place_solve(struct placer *p);

/* What the chosen places cost together. */
int64_t place_sum(const struct placer *p);

/* Draws the leader of what was placed, as what belongs to `subject` (or NULL); nothing where it has
 * none. */
void place_draw_leader(struct sheet *s, const struct placed *p, const char *subject);

/* --- along a line ----------------------------------------------------------------------------- */

/* A symbol that stands on a line at `at` and takes `width` of it. */
struct place_stem {
    um at, width;
    um placed;   /* its middle */
    bool pulled; /* it, or one that it touches, does not stand at its place: it wants a stem */
};

/* Moves symbols along the line from `low` to `high` until none overlap, in the order in which they
 * stand, with the least sum of squares of what they are moved. Where they do not all fit between
 * the ends, false: they stand side by side, `placed` spread from end to end as far as possible and
 * overlapping evenly. */
bool place_stems(struct arena *scratch, struct place_stem *stems, uint32_t count, um low, um high);

#endif

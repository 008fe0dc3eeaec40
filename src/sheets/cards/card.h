/* A box as it is made up: its cables from above, each a sheath that opens into its conductors; its
 * devices below, from the front, with their screws; and between them a row for each joint, in which
 * conductors, tails and screws meet under a cap. What the box cards and the wiring drawing share.
 */
#ifndef STUDBAY_SHEETS_CARDS_CARD_H
#define STUDBAY_SHEETS_CARDS_CARD_H

#include "model/makeup.h"
#include "sheets/sheets.h"

/* An end that leads to a joint: a conductor from above, or a screw from below. */
struct card_end {
    uint32_t joint; /* row of the card, or NO_ROW: nothing is joined there */
    const struct lead *lead;
    const char *color; /* "black"; NULL: not known */
    bool ground, reidentified, raceway;
    um x;
};

enum { NO_ROW = 0xffffffff };

/* A cable, or the existing circuit that comes to the box. */
struct card_cable {
    const struct run *run;     /* NULL: an existing circuit */
    const char *words, *place; /* "14/2 P8", "from P" */
    uint32_t first, count;     /* of its ends */
    um left, right;
};

struct card_device {
    const struct device *device; /* NULL: the metal box itself */
    const char *words;           /* what it is, and which tabs are broken off or left */
    uint32_t first, count;
    um left, right;
};

/* A joint that is drawn. */
struct card_row {
    const struct joint *joint;
    um y, left, right; /* left: its cap, or its first end */
    um words;          /* what is said of a conductor that passes ends here */
};

struct card {
    struct set *set;
    const struct box *box;
    VEC(struct card_end) ends;
    VEC(struct card_cable) cables;
    VEC(struct card_device) devices;
    VEC(struct card_row) rows;
    um caps;       /* how wide what is said of the joints is, left of their caps */
    um face;       /* how high the devices are drawn, for the names of their screws */
    um fronts;     /* the devices with what is said of them below */
    um wide, high; /* what the picture takes at least */
};

/* What is in the box; its picture is laid out from (0, 0). Nothing where its make-up is not proven.
 */
struct card *card_of_box(struct set *set, struct sheet *s, const struct box *b);

/* Presses a picture that is wider or higher than that until it fits. */
void card_press(struct card *card, struct sheet *s, um wide, um high);

/* What stands beside a conductor for its colour: "W/R", "tube" for a raceway that is the ground;
 * and how far to the right of it. */
const char *card_letter(const struct card_end *end);
enum { LETTER_OFF = 700 };

/* How a conductor of that colour is drawn: its line, and the second sign that tells it where
 * colours are not seen. White is hollow; a colour that is not known is grey. */
struct insulation {
    const char *color, *letter;
    ink ink;
    int ticks;
};
struct insulation card_insulation(const char *color);

/* What is said of a joint: "neutral", ", 3, small". */
struct joint_words {
    const char *net, *size;
};
struct joint_words card_joint_words(const struct card *card, uint32_t row);

/* What stands at an end of a device. */
const char *card_screw_words(const struct card *card, const struct card_end *end);
/* What is said below a device has so much room, in lines CARD_LINE apart. */
um card_words_wide(const struct card *card, uint32_t device);
enum { CARD_LINE = 2600, CARD_LINES = 6, CARD_BELOW = CAPS_NOTE + 500 };

/* Draws it, its upper left corner at (x, y). */
void card_draw(const struct card *card, struct page *p, um x, um y);

#endif

/* Words and cells that several reports and drawings share. */
#ifndef STUDBAY_EMIT_REPORTS_WORDS_H
#define STUDBAY_EMIT_REPORTS_WORDS_H

#include "base/length.h"
#include "model/makeup.h"

struct box_type;
struct device;
struct passed;
struct results;
struct route;
struct unit;

/* "3 holes", "3 holes, 2 notches": what a run goes through. */
const char *bored_words(struct arena *arena, const struct route *route);

/* What an application counts as openings, by sort; OPEN_COUNT for what is none. */
enum opening {
    OPEN_RECEPTACLES,
    OPEN_SWITCHES,
    OPEN_LIGHTS,
    OPEN_ALARMS,
    OPEN_APPLIANCES,
    OPEN_COUNT
};
enum opening opening_of(const struct device_def *def);

/* The circuits of a panel by their spaces; those without one last, in source order. */
const struct circuit **circuits_by_space(const struct results *r, const struct panel *p);

/* Words and addresses as people read them, those of one room as a plan writes a chain: "shop.R1,
 * R2; store.S1". An address may follow what is said of it: "a ground on: shop.R1". */
void print_places(const char *const *item, uint32_t count, struct buf *out);
struct cell places_cell(const struct results *r, const char *const *item, uint32_t count);

/* The unit's name, or an empty cell. */
struct cell unit_cell(const struct unit *unit);

/* Panels that follow each other and are alike: "Feeder P", "Feeders P and Q", "The 8 feeders u101.P
 * to u204.P", for `one` "Feeder" and `many` "feeders". */
const char *panel_range_words(const struct results *r, const char *one, const char *many,
                              const struct panel *first, const struct panel *last, uint32_t count);

/* The address of a panel, or an empty cell. */
struct cell panel_cell(const struct results *r, const struct panel *panel);

/* A circuit within its panel: "2", or "feeder P" or "feeder u101.P" for what feeds another panel;
 * NULL for NULL. */
const char *circuit_word(struct arena *arena, const struct circuit *c);

/* "20 A two-pole afci", as a plan writes a breaker; NULL where none is written. */
const char *breaker_words(struct arena *arena, const struct circuit *c);

/* How many of them: a multiwire circuit on single-pole breakers takes two. */
uint32_t breaker_count(const struct circuit *c);

/* The same, as it is bought: "20 A half-size" where two share a space. */
const char *bought_breaker_words(const struct results *r, const struct circuit *c);

/* "afci", "gfci", "dual-function", several parted by a blank; NULL for none. */
const char *protection_words(struct arena *arena, const struct circuit *c);

/* A device in a builder's words: "receptacle", "three-way switch leg cans". */
const char *device_words(const struct results *r, const struct device *d);

/* A device in its box by name: "three-way", "receptacle 2" where the box has several of its sort.
 */
const char *device_in_box(const struct results *r, const struct device *d);

/* The terminal of a lead: "three-way common", "receptacle 2 hot". */
const char *terminal_words(const struct results *r, const struct lead *l);

/* The first lead of that kind in a joint, or NULL. A landing may name a terminal twice, where two
 * parts of a device share it. */
const struct lead *joint_lead(const struct joint *j, enum lead_kind kind);

/* The colour of the conductor of a lead: "black", "white, re-identified", "bare". */
const char *lead_color(const struct results *r, const struct lead *l);

/* The conductor size of a lead, "14". */
const char *lead_size(const struct results *r, const struct lead *l);

/* The devices of a box, each in its words. */
struct cell device_cell(const struct results *r, const struct box *b);

/* What kind of switch a part is by the wiring of its leg: "three-way", "single-pole"; NULL for what
 * is no switch of a leg. */
const char *part_switch_kind(const struct results *r, const struct part *p);

/* Whether a switch of a leg stands among others of it: a three-way or four-way one. */
bool is_between(const struct results *r, const struct part *p);

/* What is asked for at the counter: "three-way", "three-way dimmer", or the device's own name, that
 * very pointer, where the wiring adds nothing to it. */
const char *device_item(const struct results *r, const struct device *d);

/* The rooms that a circuit serves, in the order in which its runs reach them; addresses. */
struct cell rooms_cell(const struct results *r, const struct circuit *c);

/* The conductors in use in a run, as records of net and colour. */
struct cell nets_cell(const struct results *r, const struct run *run);

/* A member in a builder's words: "studio north wall, stud 3", "joist 5 over upper". */
const char *member_words(struct arena *arena, const struct passed *p);

/* A run with a panel at an end is a home run. */
bool is_home_run(const struct run *run);

/* The ring of a box type for a wall finish, "5/8\"": the shallowest that reaches its face; NULL
 * where the type has none. */
const char *ring_words(struct arena *arena, const struct box_type *type, length finish);

#endif

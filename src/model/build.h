/* What the files that build the model share. */
#ifndef STUDBAY_MODEL_BUILD_H
#define STUDBAY_MODEL_BUILD_H

#include "diag/near.h"
#include "model/address.h"
#include "model/finding.h"
#include "model/matter.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/language.h"
#include "resolve/mention.h"
#include "resolve/node.h"
#include "resolve/value.h"

extern const struct rule rule_loop_in_circuit, rule_stale_waiver;

enum { MOST_BOXES = 200000 };

/* A mirror, quarter turns and a shift: x' = a x + b y + dx. */
struct frame {
    int a, b, c, d;
    length dx, dy;
};

/* A name of a scope: a room, a unit or a panel. */
struct named {
    struct room *room;
    struct unit *unit;
    struct panel *panel;
    const struct node *node;
    uint16_t in_doubt; /* ITS_NAMES: another thing has this name too, and was refused: either may be
                          meant */
};

/* A room of the text before it is set on the site. */
struct room_text {
    struct room *room;
    const struct node *node; /* bases merged in */
    struct point *corners;   /* where each wall begins, in the room's own hand */
    const char **walls;
    const struct node **outline; /* the statement of each wall; NULL: the four sides of a size */
    uint32_t count;
    struct point low;   /* south-west corner of the bounding box, in its own hand */
    struct frame frame; /* own hand to the plane of its unit */
};

/* Lists of names to look for a near one in. */
struct among {
    near_list *lists[3];
};

/* A name of a thing that is missing, and was said. */
struct unknown_thing {
    uint32_t finding; /* its index */
    const void *where;
    const char *name;
    struct among among;
};

/* The scope being built: the plan itself (unit NULL), a unit, or a pattern that nothing is built
 * from. */
struct scope {
    struct unit *unit;
    const struct node *node;  /* the unit's statement, bases merged in; NULL for the plan itself */
    const struct node *first; /* its statements */
    struct frame frame;       /* plane of the unit to the site */
    struct level *level;      /* of the unit, for rooms that name none */
    VEC(struct room_text *) rooms;
    uint16_t in_doubt; /* ITS_PLACE: the unit's corner could not be read; ITS_LEVEL: it names one
                          that is not known; ITS_FEED: a broken run or circuit may feed boxes;
                          ITS_NAMES: a broken room, panel or unit has lost its name, and any name
                          that is not known may be its; ITS_DEVICES: a broken box or device may name
                          legs */
};

struct builder {
    struct model *m;
    const struct language *language;
    struct arena *arena;
    struct diag *diag;
    const struct node *file;     /* all statements of the plan */
    struct map circuits_by_name; /* (model, address) and (unit, name) -> struct circuit */
    struct map level_names, coil_names, building_names,
        statements; /* statements: (form, name) of the top */
    struct map
        expanded; /* (node) -> node with its bases merged in, or the mark of one being expanded */
    struct map drawn_upon; /* patterns that some unit is built from */
    VEC(struct scope *) scopes;
    struct scope *scope;    /* the one at hand */
    struct map scope_of;    /* (unit, 1) -> struct scope */
    struct map lost_labels; /* (name of a run, 0) of which an end is not known */
    uint16_t in_doubt;  /* ITS_LEVEL: a broken one has lost its name: any that is not known may be
                           its */
    struct map text_of; /* (room) -> struct room_text */
    struct map given;   /* (scope, name) -> const struct node of the given statement */
    struct map said;    /* (room, box or scope, name) -> 1 + number of the finding that says
                           it is not known */
    struct map near;    /* the names of maps, for suggestions */
    struct map near_siblings; /* (first of the siblings, form) -> near_list of what a base may be */
    near_list near_panels;
    struct map met; /* (where, name) -> itself: names of things that were looked up and found */
    VEC(struct unknown_thing) unknown; /* said, and may be a slip where the thing is declared */
    near_list near_box_words;          /* what begins a line in the block of a box */
    struct map put_in;  /* (value that a given one was replaced by, 0) -> the `given` statement */
    bool every_pattern; /* also those that units are built from: for what their names mean */
};

/* Appends a copy of a statement to the block of another. */
struct node *build_append(struct builder *b, struct node *to, const struct node *n);

/* reuse.c: a room, unit or pattern statement with its bases merged in. Siblings are where the base
 * is looked for. NULL where it stands on itself. */
const struct node *build_copies(struct builder *b, const struct node *n,
                                const struct node *siblings);

/* The `without` by which a unit, or what it is based on, took away the room or panel `name`, or the
 * box of that room; NULL where none did. */
const struct node *build_taken_by_copy(struct builder *b, const struct scope *s, const char *name,
                                       const char *box);

/* The statement marked broken: a copy whose base is not known may have whatever the base has, so
 * nothing is said of what it lacks. */
const struct node *build_in_doubt(struct builder *b, const struct node *n);

/* values.c: values of a statement, given values put in: `build_put_in` of one value at hand. NULL
 * where it is left out, or of the wrong sort (reported). */
const struct value *build_put_in(struct builder *b, const struct node *n, const struct value *v,
                                 enum capture wanted);
const struct value *val(struct builder *b, const struct node *n, unsigned i, enum capture wanted);
length val_length(struct builder *b, const struct node *n, unsigned i, length missing);
double val_amount(struct builder *b, const struct node *n, unsigned i, enum capture wanted,
                  double missing);
const char *val_name(struct builder *b, const struct node *n, unsigned i);

/* Notes what a part of a value of `n` means, as it is written or as build_put_in gives it; and what
 * a room, unit or panel is called by it. For nobody but who asks for mentions. */
void build_mention(struct builder *b, const struct node *n, const struct value *v, unsigned part,
                   enum mention_sort sort, const void *thing, const struct node *where);
void build_mention_named(struct builder *b, const struct node *n, const struct value *v,
                         unsigned part, const struct named *named);

/* The same for a circuit, by its name with the panel's before it or without. */
void build_mention_circuit(struct builder *b, const struct node *n, const struct value *v,
                           const struct circuit *c);

/* Notes the name that a statement declares: what is filed under it, which is another thing where
 * the name was taken already. */
void build_mention_declared(struct builder *b, const struct map *m, uintptr_t scope,
                            const char *name, const struct node *n, enum mention_sort sort);

/* Notes a definition of the library by its node. */
#define build_mention_definition(b, n, i, sort, definition)                                        \
    build_mention((b), (n), node_value((n), (i)), 0, (sort), (definition), (definition)->node)

/* The size of a conductor, interned: "12", "1/0". */
const char *val_size(struct builder *b, const struct node *n, unsigned i);

/* The clause's first value; clauses that are broken count as left out. */
const struct node *clause(const struct node *n, enum form_id form);
length clause_length(struct builder *b, const struct node *n, enum form_id form, length missing);
double clause_amount(struct builder *b, const struct node *n, enum form_id form,
                     enum capture wanted, double missing);
/* Whole numbers of things; one below 0 or above `most` is told, and taken as missing. */
enum { MOST_COUNTED = 10000 };
uint32_t val_count(struct builder *b, const struct node *n, unsigned i, uint32_t most,
                   uint32_t missing);
uint32_t clause_count(struct builder *b, const struct node *n, enum form_id form, uint32_t most,
                      uint32_t missing);
const char *clause_text(struct builder *b, const struct node *n, enum form_id form);

/* Lists among which the nearest name is looked for; those that are NULL are left out. */

/* Reports a name that is not declared, with the nearest of those that are. NULL where nothing was
 * said: a file of the plan was not read, or there are more findings than are told. */
struct finding *build_unknown(struct builder *b, struct span span, const char *what,
                              const char *name, struct among among);

/* The same of a name that is declared in the plan, in a room, box or scope: it is one fault however
 * often it is named there; NULL too where it is told with what was said of it. */
struct finding *build_unknown_once(struct builder *b, const void *where, struct span span,
                                   const char *what, const char *name, struct among among);

/* Says in a finding, if it is not NULL, what the search found, if it found anything. */
void build_mend_name(struct builder *b, struct finding *f, const struct nearest *n);

/* The same for the name of a thing of the plan, looked for in `where` (a room or a scope): said at
 * its first use, the others are related places, for the slip is most likely in the one place where
 * the thing is declared. */
void build_unknown_thing(struct builder *b, const void *where, struct span span, const char *what,
                         const char *name, struct among among);

/* Notes that something names a thing; `where` as for build_unknown_thing, NULL for rooms, units,
 * panels and levels. */
void build_note_named(struct builder *b, const void *where, const char *name);

/* Where nothing names one of those that a missing name is near to, that one is meant, and the slip
 * may be where it is declared. */
void build_mend_unknown(struct builder *b);

/* The keys of a map of (scope, name), for suggestions. */
struct among build_map_names(struct builder *b, const struct map *m, uintptr_t scope);

/* Files `thing` under a name; reports duplicate-name (also where only the case differs) and returns
 * false. `kept` is what a later look-up finds. */
bool build_declare_name(struct builder *b, struct map *m, uintptr_t scope, const char *name,
                        struct span span, const char *what, const struct node *node, void *thing);

/* Files a room, unit or panel under its name in a scope; reports a double and returns false. */
bool build_declare_thing(struct builder *b, const struct unit *in, const char *name,
                         const char *what, const struct node *node, struct named thing);

/* site.c: levels and rooms. */
void build_levels(struct builder *b);
void build_rooms(struct builder *b, struct scope *s);
void build_place_rooms(struct builder *b, struct scope *s);
bool build_read_place(struct builder *b, const struct room_text *t, const struct node *n,
                      unsigned first_value, bool panel, length up_missing, struct place *out);

/* walls.c: once all rooms are placed. */
void build_share_walls(struct builder *b);

struct point build_through(const struct frame *f, struct point p);
const struct room_text *build_room_text_of(struct builder *b, const struct room *r);

/* bulks.c: beams, ducts, pipes and soffits of the levels, and of the rooms of a scope. */
bool build_is_bulk(enum form_id form);
void build_level_bulks(struct builder *b);
void build_room_bulks(struct builder *b, struct scope *s);

/* fixed.c: what fixed things of a placed room say beside their place; islands, stairs, parts with
 * uses of their own. */
void build_fixed(struct builder *b, struct scope *s, const struct room_text *t);

/* The room that a name or `unit.room` stands for; NULL with a finding where there is none.
 * "outside" is no room. */
struct room *build_room_named(struct builder *b, struct scope *s, const struct node *n,
                              const struct value *v);

/* buildings.c: after the boxes, which a building may name. */
void build_buildings(struct builder *b);

/* boxes.c: boxes and devices of the placed rooms, legs. */
void build_boxes(struct builder *b, struct scope *s);
void build_check_legs(struct builder *b);

/* The clause that says a word of a part: its own, else that of its device, whose words hold for
 * each part that does not say its own. NULL where neither does. */
const struct node *build_part_clause(const struct part *p, enum form_id form);

/* power.c: panels, circuits and runs. */
void build_panels(struct builder *b, struct scope *s);
void build_circuits(struct builder *b, struct scope *s);
void build_check_feeder_rings(struct builder *b);
void build_finish_circuits(struct builder *b);

/* existing.c: what the word `existing` on circuits and runs means for what they reach. */
void build_spread_existing(struct builder *b);

/* removed.c: what goes, and what goes with it, leaves the model's lists for its list of what is
 * gone. What is new and hangs on it, and what it would leave buried, is reported. */
void build_take_out(struct builder *b);

/* tree.c: the tree of each circuit, and the circuit of each part. */
void build_trees(struct builder *b);

/* orders.c: coils, prices, waivers, low voltage. */
void build_orders(struct builder *b);
/* money.c: a price, and what else the plan says of money and of how long work takes. */
void build_price(struct builder *b, const struct node *n);
void build_terms(struct builder *b);
void build_amendments(struct builder *b);
void build_waivers(struct builder *b, struct scope *s);
void build_circuit_waivers(struct builder *b);
void build_low_voltage(struct builder *b, struct scope *s);

/* resolve a run's chain: names of a scope */
struct end build_resolve_end(struct builder *b, struct scope *s, const struct node *n,
                             const struct value *v, struct room **last_room);
struct named *build_find_named(struct builder *b, struct scope *s, const char *name);

/* The cable that value i names, marked used; NULL where it is left out or the library has none
 * (reported, with what it has). */
struct cable_def *build_find_cable(struct builder *b, const struct node *n, unsigned i);
/* The raceway of one size that a clause names; NULL, with a finding, where there is none. */
struct raceway_def *build_find_raceway(struct builder *b, const struct node *n);

/* runs.c: the runs of one statement, filed with the circuit, or with the low-voltage use where that
 * is NULL. */
void build_chain(struct builder *b, struct scope *s, const struct node *n, struct circuit *c,
                 struct low_voltage *lv);

/* A name that is not known may have meant any box of its room, or of the scope where no room is
 * known: nothing is said of boxes there that no run reaches. */
void build_doubt_end(struct builder *b, struct scope *s, const struct value *v, struct room *last,
                     enum matter of);

/* The one run of a feeder, from its panel to the one it feeds. */
void build_feeder_run(struct builder *b, struct circuit *c);

/* The ground wire that a statement asks for in a raceway, as struct run keeps it. */
uint8_t build_ground_wire(struct builder *b, const struct node *n);

/* Whether a clause is `cable unknown`. */
bool build_says_unknown(const struct node *cable);

#endif

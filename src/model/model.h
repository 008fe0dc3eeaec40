/* The plan as plain structs: what is built, where it stands and how it is joined. No tree is needed
 * any more; nodes are kept for the places of findings, and nothing else can be read from them here
 * (resolve/written.h).
 *
 * Things have ids, their index in the model's array of their sort. Coordinates: those on
 * site, also in copies (units, rooms made after rooms), which are built out. Later stages put their
 * results in arrays of their own, indexed by id. The sorts of things: site.h, power.h, orders.h. */
#ifndef STUDBAY_MODEL_MODEL_H
#define STUDBAY_MODEL_MODEL_H

#include "base/names.h"
#include "resolve/library.h"

enum calculation { CALCULATE_NOT_SAID, CALCULATE_DWELLING, CALCULATE_ADDITION, CALCULATE_FEEDER };

struct model {
    struct diag *diag;
    struct arena *arena;
    struct names *names;
    struct library *lib;
    struct code code;
    const struct node *plan; /* the plan statement, or NULL */
    const char *title, *site, *owner, *permit, *by, *date, *currency;
    const char *book;  /* address of the job book, by http or https; NULL: none */
    const char *dated; /* the date, where it has the form of base/date.h, so that rules may hang on
                          it; else NULL */
    VEC(const char *) notes;
    double volts, line_volts; /* 120 and 240 */
    length slack, stock_step;
    struct {
        bool supply, slack, stock_step;
    } written;   /* what the plan says; the rest is the edition's */
    double area; /* ft2, for the load calculation; 0: by the rooms */
    enum calculation calculate;
    VEC(struct existing_load) existing_loads;
    double measured, service; /* A; 0 not given */
    VEC(struct level *) levels;
    VEC(struct unit *) units;
    VEC(struct building *) buildings; /* those that stand apart */
    VEC(struct room *) rooms;
    VEC(struct bulk) bulks; /* beams, ducts, pipes and soffits */
    VEC(struct box *) boxes;
    VEC(struct device *) devices;
    VEC(struct panel *) panels;
    VEC(struct circuit *) circuits;
    VEC(struct low_voltage *) low_voltages;
    VEC(struct run *) runs;
    VEC(struct leg *) legs;
    struct {
        VEC(struct box *) boxes;
        VEC(struct device *) devices; /* those of boxes that go among them */
        VEC(struct panel *) panels;
        VEC(struct circuit *) circuits;
        VEC(struct run *) runs;
        VEC(struct circuit *) dead; /* those that stay among them: made dead before work begins */
    } gone; /* what is there and goes: in none of the lists above, and no rule asks anything of it.
               Ids count in these lists */
    VEC(struct coil *) coils;
    struct map prices; /* (0, interned words) -> struct price: of the plan, then of its list */
    struct terms *terms;
    VEC(struct waiver *) waivers;
    VEC(struct amendment) amendments; /* in the order of the library's editions */
    struct map scope;                 /* (unit, name) -> struct named: rooms, units, panels */
    struct map leg_names;             /* (unit, name) -> struct leg */
    bool read_in_full;                /* no line was at fault, no file was left unread */
    bool too_large;                   /* more boxes than are built; the rest is left out */
};

/* Builds the model from the statements of the plan in source order (an F_FILE node; what includes
 * bring stands in their place); every fault is a finding. Linear in what is built. `lib` holds the
 * library and the plan's own definitions. */
struct language;
struct model *model_build(struct arena *arena, struct diag *diag, struct names *names,
                          const struct language *language, struct library *lib,
                          const struct node *file);

/* The room, panel or unit of that name (interned) in a unit, or in the plan itself where that is
 * NULL; NULL: there is none. */
struct room *model_room_called(const struct model *m, const struct unit *in, const char *name);
struct panel *model_panel_called(const struct model *m, const struct unit *in, const char *name);
struct unit *model_unit_called(const struct model *m, const char *name);
struct level *model_level_called(const struct model *m, const char *name);

/* Notes for who asks for mentions what names mean in patterns that units are built from: what a
 * unit changes there or takes away is read by none. Nothing is said of it. */
void model_mention_patterns(const struct model *m, const struct language *language,
                            const struct node *file);

#endif

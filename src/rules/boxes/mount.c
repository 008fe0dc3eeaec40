/* box-mount, box-too-deep: whether a box can be fastened where it stands, and fits into its wall.
 */
#include "facts/boxes.h"
#include "facts/closed.h"
#include "framing/bulks.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "framing/mountings.h"
#include "model/site.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

static struct span type_span(const struct box *box)
{
    const struct node *clause = node_child(box->node, F_BOX_TYPE);
    return clause ? node_span(clause) : node_name_span(box->node);
}

static const char *box_words(const struct checked *c, const struct box *box)
{
    return address_of_box(c->model->arena, box, true);
}

static const char *mount_words(enum mount mount)
{
    return mount == MOUNT_WALL ? "a wall" : mount == MOUNT_CEILING ? "a ceiling" : "a floor";
}

RULE(box_mount, "box-mount", ERROR, WAIVABLE, "a box is made for the place where it is fastened");

/* "stud 9 of the north wall", "the joist 4'-8\" from the west side". */
static const char *wood_words(const struct checked *c, const struct box *box,
                              const struct mounting *mounting)
{
    struct arena *arena = c->model->arena;
    if (mounting->stud && mounting->stud->kind == STUD_COMMON)
        return arena_printf(arena, "stud %u of the %s wall", mounting->stud->index,
                            box->room->walls[box->place.wall].name);
    if (mounting->stud)
        return arena_printf(arena, "a stud of the %s wall", box->room->walls[box->place.wall].name);
    return arena_printf(arena, "joist %lld from the %s", (long long)mounting->joist,
                        mounting->north ? "west" : "south");
}

/* Where its middle would be if it stood against the nearest wood: from the wall's left end, or from
 * the room's west or south side. */
static void mend_beside(const struct checked *c, struct finding *f, const struct box *box,
                        const struct mounting *mounting)
{
    length by = mounting->after ? -mounting->apart : mounting->apart;
    const struct place *p = &mounting->place;
    const char *at = mounting->stud    ? rules_feet(c, p->from_left + by)
                     : mounting->north ? rules_feet(c, p->at.x + by - box->room->low.x)
                                       : rules_feet(c, p->at.y + by - box->room->low.y),
               *end = mounting->stud    ? "the wall's left end"
                      : mounting->north ? "the west side of the room"
                                        : "the south side of the room";
    diag_mend(c->model->diag, f, "its middle at %s from %s, or leave 'type' out", at, end);
    if (mounting->stud && mounting->stand == STAND_BETWEEN)
        mends_at(c, f, box, p->from_left + by);
    mends_type(c, f, box, NULL);
}

/* A type that is nailed to a joist, in a ceiling that hangs below them. */
static void say_out_of_reach(const struct checked *c, const struct box *box)
{
    const struct room *room = box->room;
    struct finding *f = box_finding_at(
        c, &rule_box_mount, box, type_span(box),
        "box %s is in the dropped ceiling, %s below the joists; %s is nailed to the side of one",
        box_words(c, box), rules_feet(c, room->ceiling - room->drop), box->declared->name);
    diag_mend(c->model->diag, f, "a box on a bar, or leave 'type' out");
    mends_type(c, f, box, NULL);
}

/* A type that holds to a stud or joist, and none is beside it, or one is behind it. */
static void say_unheld(const struct checked *c, const struct box *box,
                       const struct mounting *mounting)
{
    const struct box_type *type = box->declared;
    struct finding *f;
    if (type && mounting->joisted && box->room->drop) {
        say_out_of_reach(c, box);
        return;
    }
    const char *wood = wood_words(c, box, mounting);
    if (mounting->stand == STAND_BETWEEN)
        f = box_finding_at(c, &rule_box_mount, box, type_span(box),
                           "box %s is %s from %s, the nearest; %s is nailed to the side of one",
                           box_words(c, box), rules_feet(c, mounting->apart), wood, type->name);
    else if (type)
        f = box_finding_at(c, &rule_box_mount, box, type_span(box),
                           "box %s stands %s %s; %s goes %s", box_words(c, box),
                           mounting->joisted ? "under" : "in front of", wood, type->name,
                           type->fastened == FASTENED_NAILS ? "beside one" : "between two");
    else
        f = box_finding(c, &rule_box_mount, box,
                        "box %s stands in front of %s, and beside that there is no room for it",
                        box_words(c, box), wood);
    if (type)
        mend_beside(c, f, box, mounting);
    else
        diag_mend(c->model->diag, f, "move it to a bay that is %s wide",
                  rules_feet(c, mounting->width));
}

/* A type that a stud or a finish holds, on concrete. */
static void say_concrete(const struct checked *c, const struct box *box)
{
    const struct wall *wall = facts_wall_of_box(box);
    struct finding *f =
        box_finding_at(c, &rule_box_mount, box, type_span(box),
                       "box %s stands on the %s wall of room '%s', which is concrete; %s %s",
                       box_words(c, box), wall->name, box->room->name, box->declared->name,
                       box->declared->old_work ? "clamps to a finish with a hollow behind it"
                                               : "is fastened to studs");
    if (wall->words)
        diag_note(c->model->diag, f, node_span(wall->words), "this wall");
    diag_mend(c->model->diag, f,
              "a box for surfaces, or leave 'type' out; or studs before the "
              "concrete: 'furred LUMBER at SPACING'");
    mends_type(c, f, box, NULL);
}

/* A type that is fastened to wood, where a finish covers that. */
static void say_closed(const struct checked *c, const struct box *box)
{
    const struct wall *wall = facts_wall_of_box(box);
    const char *where = wall ? arena_printf(c->model->arena, "%s wall", wall->name) : "ceiling";
    struct finding *f =
        box_finding_at(c, &rule_box_mount, box, type_span(box),
                       "box %s: %s is fastened to wood, and the finish of the %s of room '%s' %s",
                       box_words(c, box), box->declared->name, where, box->room->name,
                       facts_stays_closed(box) ? "stays on" : "is on, by the site log");
    diag_mend(c->model->diag, f, "an old-work type, or leave 'type' out; where it is opened: %s",
              rules_opening(c, wall, !facts_stays_closed(box)));
    mends_type(c, f, box, NULL);
}

/* Whether the plan has a box set behind a finish; what the site log closed before it was set is
 * told there (closed-too-early). */
static bool is_for_later(const struct box *box)
{
    return facts_stays_closed(box) || facts_is_fished_to(box);
}

/* A thing that stands in the ceiling itself. */
static void check_housing(const struct checked *c, const struct box *box,
                          const struct mounting *mounting)
{
    if (!box->compartment || mounting->stand != STAND_ON || !mounting->joisted ||
        !facts_known(box, ITS_WOOD))
        return;
    const struct device *d = box->devices[0];
    struct finding *f =
        box_finding(c, &rule_box_mount, box, "the %s in box %s is under %s; its housing is %s wide",
                    d->def->name, box_words(c, box), wood_words(c, box, mounting),
                    rules_feet(c, d->def->housing));
    diag_mend(c->model->diag, f, "move it %s or more to the %s, clear of the joist",
              rules_feet(c, -mounting->apart),
              mounting->north   ? mounting->after ? "east" : "west"
              : mounting->after ? "north"
                                : "south");
}

/* A beam or duct where it stands. */
static bool check_bulk(const struct checked *c, const struct box *box,
                       const struct mounting *mounting)
{
    const struct box_type *type = c->wiring->of_box[box->id].type;
    length deep = box->compartment ? mounting->width : type ? type->depth : 0;
    const struct bulk *k =
        bulks_around(c->routes->frame, box->room, &mounting->place, mounting->width, deep);
    if (!k)
        return false;
    struct finding *f =
        box_finding(c, &rule_box_mount, box, "box %s is inside a %s%s", box_words(c, box), k->word,
                    k->title ? arena_printf(c->model->arena, ", %s", k->title) : "");
    diag_note(c->model->diag, f, node_span(k->node), "it runs here");
    diag_mend(c->model->diag, f, "move the box clear of it");
    return true;
}

/* A panel in or behind one, at its middle. */
static void check_panel(const struct checked *c, const struct panel *panel)
{
    const struct mounting *mounting = &c->routes->mountings->of_panel[panel->id];
    const struct bulk *k = panel->room && panel->room->level
                               ? bulks_around(c->routes->frame, panel->room, &mounting->place, 0, 0)
                               : NULL;
    if (!k)
        return;
    struct finding *f =
        panel_finding(c, &rule_box_mount, panel, node_name_span(panel->node),
                      "panel %s is inside a %s%s", address_of_panel(c->model->arena, panel, true),
                      k->word, k->title ? arena_printf(c->model->arena, ", %s", k->title) : "");
    diag_note(c->model->diag, f, node_span(k->node), "it runs here");
    diag_mend(c->model->diag, f, "move the panel clear of it");
}

static void check_mount(const struct checked *c, const struct box *box)
{
    struct model *m = c->model;
    const struct box_type *type = box->declared;
    const struct fill *fill = &c->wiring->of_box[box->id];
    const struct mounting *mounting = &c->routes->mountings->of_box[box->id];
    struct finding *f;
    if (check_bulk(c, box, mounting))
        return;
    if (fill->type || mounting->stand != STAND_FREE)
        looked(c, box_mount);
    if (type && fill->misfits & MISFIT_CONCRETE) {
        say_concrete(c, box);
    } else if (type && fill->misfits & MISFIT_CLOSED && is_for_later(box)) {
        say_closed(c, box);
    } else if (type && fill->misfits & MISFIT_MOUNT) {
        f = box_finding_at(c, &rule_box_mount, box, type_span(box),
                           "box %s stands on %s; %s is made for %s", box_words(c, box),
                           mount_words(facts_box_asks(m, box).mount), type->name,
                           mount_words(type->mount));
        diag_mend(m->diag, f, "a type that is fastened there, or leave 'type' out");
        mends_type(c, f, box, NULL);
    } else if (fill->misfits & MISFIT_STAND ||
               (!type && !box->compartment && mounting->stand == STAND_ON)) {
        if (facts_known(box, ITS_WOOD))
            say_unheld(c, box, mounting);
    } else {
        check_housing(c, box, mounting);
    }
}
CHECK(box_mount, .box = {check_mount, ITS_TEXT | ITS_PLACE, NEW_WORK},
      .panel = {check_panel, ITS_TEXT | ITS_PLACE, NEW_WORK});

RULE(box_too_deep, "box-too-deep", ERROR, WAIVABLE, "a box is no deeper than its wall");

static void check_depth(const struct checked *c, const struct box *box)
{
    const struct fill *fill = &c->wiring->of_box[box->id];
    if (fill->type && fill->type->depth && facts_deepest_box(box))
        looked(c, box_too_deep);
    if (!(fill->misfits & MISFIT_DEPTH))
        return;
    struct finding *f = box_finding_at(
        c, &rule_box_too_deep, box, type_span(box),
        "box %s: %s is %s deep; flush with the finish its wall has room for %s", box_words(c, box),
        fill->type->name, rules_feet(c, fill->type->depth), rules_feet(c, facts_deepest_box(box)));
    diag_mend(c->model->diag, f,
              box->declared ? "a shallower box, or leave 'type' out; deeper studs or furring"
                            : "deeper studs or furring: no shallower box of the library serves");
    mends_type(c, f, box, NULL);
}
CHECK(box_too_deep, .box = {check_depth, ITS_TEXT | ITS_PLACE, NEW_WORK});

/* box-in-header: the wood over a door, window or opening, and under its sill. */
#include "rules/mends.h"

#include "facts/boxes.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "model/site.h"
#include "wiring/wiring.h"

RULE(box_in_header, "box-in-header", WARNING, WAIVABLE,
     "no box is set into the header over an opening, nor into its sill");

/* A box as large as it is, on a line of wall. */
struct set_box {
    const struct box *box;
    const struct face *face;
    length lo, hi, low, high; /* along the line; above the floor */
};

/* What is fastened to the finish, or is a luminaire of its own, is not set into the wall. */
static bool is_set_in(const struct checked *c, const struct box *box)
{
    const struct box_type *type = c->wiring->of_box[box->id].type;
    return !box->compartment && type && type->fastened != FASTENED_SURFACE;
}

static bool measure(const struct checked *c, const struct box *box, struct set_box *s)
{
    struct code *code = &c->model->code;
    const struct place *p = &box->place;
    const struct wall *wall = facts_wall_of_box(box);
    length width = c->routes->mountings->of_box[box->id].width,
           height = code_length(code, SET_BOX_SPACE_BOX_HEIGHT, 0),
           round = code_length(code, SET_BOX_SPACE_ROUND_WIDTH, 0);
    if (!wall || wall_is_bare(wall) || !is_set_in(c, box))
        return false;
    s->box = box;
    s->face = frame_face_of(c->routes->frame, box->room, p->wall);
    if (s->face->line == NO_INDEX)
        return false;
    height = width == round ? round : height;
    length t = s->face->forward ? s->face->lo + p->from_left : s->face->hi - p->from_left;
    s->lo = t - width / 2;
    s->hi = t + width / 2;
    s->low = p->up - height / 2;
    s->high = p->up + height / 2;
    return true;
}

static bool overlap(length a, length b, length lo, length hi)
{
    return a < hi && lo < b;
}

/* In the wood over the opening; what stands in the opening too is told by that. */
static bool stands_in_header(const struct set_box *s, const struct rough_opening *r, length shift)
{
    bool within = overlap(s->lo, s->hi, r->lo, r->hi) &&
                  overlap(s->low, s->high, r->sill + shift, r->head + shift);
    return r->jacks && !within &&
           overlap(s->lo, s->hi, r->lo - frame_jacks_of(r), r->hi + frame_jacks_of(r)) &&
           overlap(s->low, s->high, r->head + shift, r->top + shift);
}

/* In the piece that lies under a window, as thick as the studs. */
static bool stands_in_sill(const struct set_box *s, const struct rough_opening *r, length shift)
{
    length thick = r->room->walls[r->fixture->wall].framing.lumber.thickness,
           sill = r->sill + shift;
    return r->sill > 0 && overlap(s->lo, s->hi, r->lo, r->hi) && s->high <= sill &&
           s->high > sill - thick;
}

/* "a door", "an opening". */
static const char *with_article(const struct checked *c, const struct rough_opening *r)
{
    return arena_printf(c->model->arena, "%s %s", r->fixture->sort == FIXTURE_OPENING ? "an" : "a",
                        r->fixture->word);
}

static void say_header(const struct checked *c, const struct set_box *s,
                       const struct rough_opening *r, length shift)
{
    struct model *m = c->model;
    bool told = r->header >= 0;
    length least = r->top + shift + (s->high - s->low) / 2;
    struct finding *f = box_finding(c, &rule_box_in_header, s->box,
                                    "box %s stands in the header over %s, which %s from %s to %s",
                                    address_of_box(m->arena, s->box, true), with_article(c, r),
                                    told ? "reaches" : "is taken to reach",
                                    rules_feet(c, r->head + shift), rules_feet(c, r->top + shift));
    diag_note(m->diag, f, node_span(r->fixture->node), "%s of room '%s'", r->fixture->word,
              r->room->name);
    diag_mend(m->diag, f, "'up' of %s at least, or beside the opening%s", rules_feet(c, least),
              told ? ""
                   : arena_printf(m->arena,
                                  "; where its header is another, say 'header LENGTH' with the %s, "
                                  "0 for none",
                                  r->fixture->word));
    mends_up(c, f, s->box, least);
}

static void say_sill(const struct checked *c, const struct set_box *s,
                     const struct rough_opening *r, length shift)
{
    struct model *m = c->model;
    length most = r->sill + shift - r->room->walls[r->fixture->wall].framing.lumber.thickness -
                  (s->high - s->low) / 2;
    struct finding *f = box_finding(
        c, &rule_box_in_header, s->box,
        "box %s stands in the wood under the sill of %s, which is at %s",
        address_of_box(m->arena, s->box, true), with_article(c, r), rules_feet(c, r->sill + shift));
    diag_note(m->diag, f, node_span(r->fixture->node), "%s of room '%s'", r->fixture->word,
              r->room->name);
    diag_mend(m->diag, f, "'up' of %s at most, or beside the opening", rules_feet(c, most));
    if (most > 0)
        mends_up(c, f, s->box, most);
}

/* Whether it was said of this opening. */
static bool look_at(const struct checked *c, const struct set_box *s, const struct rough_opening *r)
{
    /* floors of one storey may differ by what its levels say */
    length shift = r->room->level->floor - s->box->room->level->floor;
    if (stands_in_header(s, r, shift))
        say_header(c, s, r, shift);
    else if (stands_in_sill(s, r, shift))
        say_sill(c, s, r, shift);
    else
        return false;
    return true;
}

static void check_header(const struct checked *c, const struct box *box)
{
    struct set_box s;
    if (!measure(c, box, &s))
        return;
    const struct skeleton *f = c->routes->frame;
    const struct line *l = &f->lines[s.face->line];
    const struct rough_opening *end = &f->openings[l->first_opening + l->opening_count];
    /* jacks and kings keep openings apart: no more than one before it reaches so far */
    const struct rough_opening *r = frame_opening_from(f, l, s.lo);
    if (l->opening_count)
        looked(c, box_in_header);
    if (r ? r > &f->openings[l->first_opening] : l->opening_count > 0)
        r = r ? r - 1 : end - 1;
    for (; r && r < end && r->lo - frame_jacks_of(r) < s.hi; r++)
        if (look_at(c, &s, r))
            return;
}
CHECK(box_in_header, .box = {check_header, ITS_TEXT | ITS_PLACE, NEW_WORK});

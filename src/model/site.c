/* Levels, rooms, walls and places: from the text, in a room's own hand, to coordinates on the site.
 */
#include "model/build.h"
#include "resolve/edit.h"

#include <math.h>
#include <string.h>

/* --- frames ------------------------------------------------------------------------------- */

struct point build_through(const struct frame *f, struct point p)
{
    return (struct point){f->a * p.x + f->b * p.y + f->dx, f->c * p.x + f->d * p.y + f->dy};
}

static struct frame after(const struct frame *outer, const struct frame *inner)
{
    struct point shift = build_through(outer, (struct point){inner->dx, inner->dy});
    return (struct frame){outer->a * inner->a + outer->b * inner->c,
                          outer->a * inner->b + outer->b * inner->d,
                          outer->c * inner->a + outer->d * inner->c,
                          outer->c * inner->b + outer->d * inner->d,
                          shift.x,
                          shift.y};
}

static bool mirrors(const struct frame *f)
{
    return f->a * f->d - f->b * f->c < 0;
}

/* opposite-hand, then turn: the matrix without a shift. */
static struct frame turned(const struct node *n)
{
    struct frame f = {1, 0, 0, 1, 0, 0};
    if (node_flag(n, F_OPPOSITE_HAND))
        f.a = -1;
    const struct node *turn = clause(n, F_TURN);
    const char *way = turn ? node_name(turn, 0) : NULL;
    if (!way)
        return f;
    struct frame quarter = !strcmp(way, "left")    ? (struct frame){0, -1, 1, 0, 0, 0}
                           : !strcmp(way, "right") ? (struct frame){0, 1, -1, 0, 0, 0}
                                                   : (struct frame){-1, 0, 0, -1, 0, 0};
    return after(&quarter, &f);
}

struct bounds {
    struct point low, high;
    bool any;
};

static void stretch(struct bounds *b, struct point p)
{
    if (!b->any) {
        *b = (struct bounds){p, p, true};
        return;
    }
    b->low.x = p.x < b->low.x ? p.x : b->low.x;
    b->low.y = p.y < b->low.y ? p.y : b->low.y;
    b->high.x = p.x > b->high.x ? p.x : b->high.x;
    b->high.y = p.y > b->high.y ? p.y : b->high.y;
}

/* --- levels ------------------------------------------------------------------------------- */

static struct lumber lumber_named(struct builder *b, const char *name, struct span span)
{
    struct lumber l = {.name = name};
    struct code *code = &b->m->code;
    struct table *t = code_table(code, TABLE_LUMBER);
    if (!t || !name)
        return l;
    if (!map_get(&t->row_of, 0, (uintptr_t)name)) {
        if (span.source)
            build_unknown(b, span, "lumber", name, build_map_names(b, &t->row_of, 0));
        return l;
    }
    if (span.source)
        mention_note(b->m->lib->mentions, span, name, MENTION_LUMBER, NULL,
                     row_named(t, name)->node);
    const char *crossed = code_cell_word(code, COL_LUMBER_CROSSED, name);
    l.thickness = code_cell_length(code, COL_LUMBER_THICKNESS, name, 0);
    l.depth = code_cell_length(code, COL_LUMBER_DEPTH, name, 0);
    l.engineered = code_cell_yes(code, COL_LUMBER_ENGINEERED, name);
    l.open = l.engineered && crossed && strcmp(crossed, "bored");
    return l;
}

/* Lumber and its spacing, which are values `i` and the next of a statement. */
static struct framing studs_of(struct builder *b, const struct node *n, unsigned i,
                               struct framing missing)
{
    struct framing f = missing;
    const struct value *lumber = val(b, n, i, C_LUMBER);
    if (lumber && lumber->name)
        f.lumber = lumber_named(b, lumber->name,
                                node_value(n, i) ? value_span(n, node_value(n, i)) : node_span(n));
    f.spacing = val_length(b, n, i + 1, missing.spacing);
    if (f.spacing <= 0) {
        diag_add(b->diag, &rule_syntax, node_span(n),
                 "studs and joists stand some distance apart, such as 16\"");
        f.spacing = missing.spacing;
    }
    return f;
}

static struct framing framing_of(struct builder *b, const struct node *n, struct framing missing)
{
    if (!n)
        return missing;
    struct framing f = studs_of(b, n, 0, missing);
    const char *way = val_name(b, n, 2);
    if (way)
        f.running_north = !strcmp(way, "north");
    return f;
}

static struct framing default_framing(struct builder *b, const struct lumber_setting *lumber,
                                      const struct length_setting *spacing)
{
    struct code *c = &b->m->code;
    const char *way = code_word(c, SET_PLAN_DEFAULTS_JOISTS_RUNNING);
    struct span none = {0};
    return (struct framing){lumber_named(b, code_lumber(c, lumber), none),
                            code_length(c, spacing, FOOT), way && !strcmp(way, "north")};
}

/* More than half of its height lies under the datum: a cellar, or the lower storey on a slope. */
static void ask_for_ground(struct builder *b, const struct level *l)
{
    if (2 * l->floor + l->ceiling >= 0)
        return;
    struct finding *f = diag_add(b->diag, &rule_missing_clause, node_name_span(l->node),
                                 "the floor of level '%s' lies %s under the datum, and it does not "
                                 "say whether the level lies "
                                 "below the ground; receptacles there hang on it",
                                 l->name, length_words(b->arena, -l->floor));
    if (f)
        f->severity = WARNING;
    diag_mend(b->diag, f, "'below-grade', or 'below-grade no' where the ground is as low");
    edit_clause(edit_way(b->diag, f, false, "'below-grade'"), l->node, F_BELOW_GRADE,
                "below-grade");
    edit_clause(edit_way(b->diag, f, false, "'below-grade no'"), l->node, F_BELOW_GRADE,
                "below-grade no");
}

/* What a statement says of its air, else what holds there without it. */
static struct air air_of(struct builder *b, const struct node *n, struct air otherwise)
{
    const struct node *said = n ? clause(n, F_AMBIENT) : NULL;
    return said ? (struct air){true, val_amount(b, said, 0, C_TEMP, 0)} : otherwise;
}

/* Studs are bored between their plates: a height that lies in one of these is a slip of the pen,
 * and the usual one serves until it is mended. */
static void check_bore(struct builder *b, struct level *l, const struct node *bore)
{
    struct code *c = &b->m->code;
    length plate = l->walls.lumber.thickness, usual = code_length(c, SET_PLAN_DEFAULTS_BORE, 0),
           top = l->ceiling - code_count(c, SET_PLAN_DEFAULTS_TOP_PLATES, 0) * plate;
    if (!node_value(bore, 0) || (l->bore > plate && l->bore < top))
        return;
    struct finding *f =
        diag_add(b->diag, &rule_limit, node_span(bore),
                 "holes %s above the floor are in no stud: the plates of a wall of level '%s' "
                 "reach up to %s and down to %s",
                 length_words(b->arena, l->bore), l->name, length_words(b->arena, plate),
                 length_words(b->arena, top));
    diag_mend(b->diag, f, "write a height between these, as 'bore %s'",
              length_words(b->arena, usual));
    const char *text = arena_printf(b->arena, "bore %s", length_words(b->arena, usual));
    edit_replace(edit_way(b->diag, f, false, "%s", text), node_span(bore), text);
    l->bore = usual;
}

static void say_joists_of_slab(struct builder *b, const struct level *l, const struct node *n)
{
    struct finding *f =
        diag_add(b->diag, &rule_no_effect_yet, node_span(clause(n, F_FLOOR_JOISTS)),
                 "'floor-joists' means nothing here: the floor of level '%s' is a slab", l->name);
    diag_mend(b->diag, f, "leave 'floor-joists' out, or 'slab'");
    edit_remove(edit_way(b->diag, f, false, "leave 'floor-joists' out"), clause(n, F_FLOOR_JOISTS));
    edit_remove(edit_way(b->diag, f, false, "leave 'slab' out"), clause(n, F_SLAB));
}

static struct level *build_level(struct builder *b, const struct node *n)
{
    struct code *c = &b->m->code;
    struct level *l = arena_new(b->arena, struct level);
    l->id = b->m->levels.n;
    l->node = n;
    l->name = n ? node_name(n, 0) : names_of(b->m->names, "main");
    l->title = n && n->text ? n->text : l->name;
    l->floor = clause_length(b, n, F_FLOOR, code_length(c, SET_PLAN_DEFAULTS_FLOOR, 0));
    l->ceiling = clause_length(b, n, F_CEILING, code_length(c, SET_PLAN_DEFAULTS_CEILING, 0));
    l->walls =
        framing_of(b, clause(n, F_WALLS),
                   default_framing(b, SET_PLAN_DEFAULTS_WALLS, SET_PLAN_DEFAULTS_STUD_SPACING));
    l->joists =
        framing_of(b, clause(n, F_JOISTS),
                   default_framing(b, SET_PLAN_DEFAULTS_JOISTS, SET_PLAN_DEFAULTS_JOIST_SPACING));
    l->floor_joists =
        framing_of(b, clause(n, F_FLOOR_JOISTS),
                   default_framing(b, SET_PLAN_DEFAULTS_JOISTS, SET_PLAN_DEFAULTS_JOIST_SPACING));
    l->bore = clause_length(b, n, F_BORE, code_length(c, SET_PLAN_DEFAULTS_BORE, 0));
    check_bore(b, l, clause(n, F_BORE));
    l->below_grade = node_flag(n, F_BELOW_GRADE);
    l->slab = node_flag(n, F_SLAB);
    if (l->slab && clause(n, F_FLOOR_JOISTS))
        say_joists_of_slab(b, l, n);
    if (n && !node_child(n, F_BELOW_GRADE) && node_lacks(n, F_BELOW_GRADE))
        ask_for_ground(b, l);
    l->air = air_of(b, n, (struct air){0});
    l->written.floor = node_child(n, F_FLOOR);
    l->written.ceiling = node_child(n, F_CEILING);
    l->written.walls = node_child(n, F_WALLS);
    l->written.joists = node_child(n, F_JOISTS);
    l->written.bore = node_child(n, F_BORE);
    l->written.under = !node_lacks(n, F_SLAB) || !node_lacks(n, F_FLOOR_JOISTS);
    l->in_doubt = node_broken(n) || node_broken(node_child(n, F_FLOOR)) ? ITS_TEXT : 0;
    *vec_push(b->arena, &b->m->levels) = l;
    return l;
}

void build_levels(struct builder *b)
{
    for (const struct node *n = b->file->child; n; n = n->next) {
        if (n->form != F_LEVEL)
            continue;
        b->in_doubt |= node_name(n, 0) ? 0 : ITS_LEVEL;
        if (!node_name(n, 0))
            continue;
        struct level *l = build_level(b, n);
        build_declare_name(b, &b->level_names, 1, l->name, node_name_span(n), "level", n, l);
        build_mention_declared(b, &b->level_names, 1, l->name, n, MENTION_LEVEL);
    }
    if (!b->m->levels.n)
        build_level(b, NULL);
}

/* The level it stands on; `sure` turns false where that is not known, and the first stands for it.
 */
static struct level *level_of(struct builder *b, const struct node *n, struct level *missing,
                              const char *what, bool *sure)
{
    const struct node *on = clause(n, F_ON);
    const char *name = on ? val_name(b, on, 0) : NULL;
    if (name) {
        struct level *l = map_get(&b->level_names, 1, (uintptr_t)name);
        if (l) {
            build_note_named(b, NULL, name);
            build_mention(b, on, node_value(on, 0), 0, MENTION_LEVEL, l, l->node);
            return l;
        }
        if (!(b->in_doubt & ITS_LEVEL))
            build_unknown_thing(b, &b->level_names, value_span(on, node_value(on, 0)), "level",
                                name, build_map_names(b, &b->level_names, 1));
        *sure = false;
        return b->m->levels.at[0];
    }
    if (missing)
        return missing;
    bool told = !*sure;
    *sure &= b->m->levels.n < 2;
    if (b->m->levels.n > 1 && what && !told && node_lacks(n, F_ON)) {
        struct finding *f = diag_add(b->diag, &rule_missing_clause, node_name_span(n),
                                     "the plan has %u levels, but %s does not say on which it is",
                                     b->m->levels.n, what);
        diag_mend(b->diag, f, "add 'on %s', or another level", b->m->levels.at[0]->name);
        for (uint32_t i = 0; i < b->m->levels.n && i < MOST_OFFERED; i++) {
            const char *text = arena_printf(b->arena, "on %s", b->m->levels.at[i]->name);
            edit_clause(edit_way(b->diag, f, false, "%s", text), n, F_ON, text);
        }
    }
    return b->m->levels.at[0];
}

/* --- outlines ----------------------------------------------------------------------------- */

static const char *const compass[] = {"north", "east", "south", "west"};

static struct point step_of(const char *direction, length l)
{
    return !strcmp(direction, "north")   ? (struct point){0, l}
           : !strcmp(direction, "east")  ? (struct point){l, 0}
           : !strcmp(direction, "south") ? (struct point){0, -l}
                                         : (struct point){-l, 0};
}

/* Corners and names of the walls of `size A by B`: clockwise from the south-west corner, the west
 * wall first. */
static bool read_size(struct builder *b, struct room_text *t, const struct node *size)
{
    length w = val_length(b, size, 0, 0), h = val_length(b, size, 1, 0);
    if (w <= 0 || h <= 0) {
        if (node_value(size, 0) && node_value(size, 1))
            diag_add(b->diag, &rule_syntax, node_span(size), "a room has some size each way");
        return false;
    }
    static const char *const order[] = {"west", "north", "east", "south"};
    t->count = 4;
    t->corners = arena_array(b->arena, struct point, 4);
    t->walls = arena_array(b->arena, const char *, 4);
    t->corners[1].y = t->corners[2].y = h;
    t->corners[2].x = t->corners[3].x = w;
    for (int i = 0; i < 4; i++)
        t->walls[i] = names_of(b->m->names, order[i]);
    return true;
}

/* Which side of the way from a to b a point lies on: 1 left, -1 right, 0 in line. */
static int side_of_way(struct point a, struct point b, struct point p)
{
    __int128 turn = (__int128)(b.x - a.x) * (p.y - a.y) - (__int128)(b.y - a.y) * (p.x - a.x);
    return turn > 0 ? 1 : turn < 0 ? -1 : 0;
}

/* Whether a point in line with a and b lies between them, or on one. */
static bool within(struct point a, struct point b, struct point p)
{
    return (a.x < b.x ? a.x <= p.x && p.x <= b.x : b.x <= p.x && p.x <= a.x) &&
           (a.y < b.y ? a.y <= p.y && p.y <= b.y : b.y <= p.y && p.y <= a.y);
}

static bool walls_meet(struct point a, struct point b, struct point c, struct point d)
{
    int ac = side_of_way(a, b, c), ad = side_of_way(a, b, d), ca = side_of_way(c, d, a),
        cb = side_of_way(c, d, b);
    return (ac * ad < 0 && ca * cb < 0) || (!ac && within(a, b, c)) || (!ad && within(a, b, d)) ||
           (!ca && within(c, d, a)) || (!cb && within(c, d, b));
}

/* The first two walls of a closed outline that cross or touch beside the corner that they share;
 * false where there are none. */
static bool find_crossing(const struct room_text *t, uint32_t *first, uint32_t *second)
{
    for (uint32_t i = 0; i < t->count; i++)
        for (uint32_t k = i + 1; k < t->count; k++) {
            struct point a = t->corners[i], b = t->corners[i + 1], c = t->corners[k],
                         d = t->corners[(k + 1) % t->count];
            bool next = k == i + 1,
                 last =
                     !i &&
                     k + 1 == t->count; /* neighbours share a corner, and may only go on from it */
            bool meet = next   ? !side_of_way(a, b, d) && within(a, b, d)
                        : last ? !side_of_way(c, d, b) && within(c, d, b)
                               : walls_meet(a, b, c, d);
            meet |= next && !side_of_way(a, b, d) && within(c, d, a);
            if (meet) {
                *first = i;
                *second = k;
                return true;
            }
        }
    return false;
}

/* Twice the area that the walls go round; negative where they go clockwise. In square inches: the
 * sign is all that counts. */
static double area_round(const struct room_text *t)
{
    double sum = 0;
    for (uint32_t i = 0; i < t->count; i++) {
        struct point a = t->corners[i], b = t->corners[(i + 1) % t->count], o = t->corners[0];
        sum += length_inches(a.x - o.x) * length_inches(b.y - o.y) -
               length_inches(b.x - o.x) * length_inches(a.y - o.y);
    }
    return sum;
}

RULE(outline_open, "outline-open", ERROR, FIRM, "the walls of an outline close");

/* A closed outline goes round its room once, clockwise, and never meets itself. */
static void check_outline(struct builder *b, const struct room_text *t, const struct node *outline)
{
    uint32_t first, second;
    if (find_crossing(t, &first, &second)) {
        struct finding *f = diag_add(
            b->diag, &rule_outline_open, node_span(outline),
            "the walls '%s' and '%s' of this outline meet where they have no corner in common",
            t->walls[first], t->walls[second]);
        diag_mend(b->diag, f, "walls that go round the room once");
    } else if (area_round(t) > 0) {
        struct finding *f = diag_add(b->diag, &rule_outline_open, node_span(outline),
                                     "the walls of this outline go round against the clock");
        diag_mend(b->diag, f, "write them clockwise, as one sees the plan from above");
    }
}

enum { MOST_OUTLINE_WALLS = 1000 };

/* How many walls can be read, 0 where they make no room; `whole`: none is broken. */
static uint32_t count_walls(struct builder *b, const struct node *outline, bool *whole)
{
    uint32_t n = 0;
    *whole = !node_broken(outline);
    for (const struct node *w = outline->child; w; w = w->next) {
        *whole &= !w->broken;
        n += w->form == F_OUTLINE_WALL && !w->broken;
        for (unsigned i = 0; w->form == F_OUTLINE_WALL && !w->broken && i < 4 && node_name(w, i);
             i += 2)
            if (val_length(b, w, i + 1, 1) <= 0) {
                diag_mend(b->diag,
                          diag_add(b->diag, &rule_syntax, node_span(w),
                                   "wall '%s' has some length in each of its directions", w->word),
                          "leave the direction out, or measure it");
                *whole = false;
            }
    }
    if (n > MOST_OUTLINE_WALLS)
        diag_add(b->diag, &rule_limit, node_span(outline), "an outline has %d walls at most",
                 MOST_OUTLINE_WALLS);
    else if (n < 3 && *whole)
        diag_mend(b->diag,
                  diag_add(b->diag, &rule_outline_open, node_span(outline),
                           "an outline has three walls at least"),
                  "write the walls one by one, clockwise, or 'size'");
    return n >= 3 && n <= MOST_OUTLINE_WALLS ? n : 0;
}

static bool read_outline(struct builder *b, struct room_text *t, const struct node *outline)
{
    bool whole;
    uint32_t n = count_walls(b, outline, &whole);
    if (!n)
        return false;
    t->corners = arena_array(b->arena, struct point, n);
    t->walls = arena_array(b->arena, const char *, n);
    t->outline = arena_array(b->arena, const struct node *, n);
    struct point at = {val_length(b, outline, 0, 0), val_length(b, outline, 1, 0)}, start = at;
    struct map seen = {0};
    for (const struct node *w = outline->child; w; w = w->next) {
        if (w->form != F_OUTLINE_WALL || w->broken)
            continue;
        if (map_get(&seen, 0, (uintptr_t)w->word))
            diag_add(b->diag, &rule_duplicate_name, token_span(w->source, w->first, w->first),
                     "wall '%s' is there already", w->word);
        map_put(b->arena, &seen, 0, (uintptr_t)w->word, (void *)w);
        t->corners[t->count] = at;
        t->outline[t->count] = w;
        t->walls[t->count++] = w->word;
        for (unsigned i = 0; i < 4 && node_name(w, i); i += 2) {
            struct point s = step_of(node_name(w, i), val_length(b, w, i + 1, 0));
            at.x += s.x;
            at.y += s.y;
        }
    }
    if (at.x != start.x || at.y != start.y) {
        struct buf gap = {0};
        length_print(&gap,
                     (length)llround(hypot((double)(at.x - start.x), (double)(at.y - start.y))));
        if (whole)
            diag_mend(b->diag,
                      diag_add(b->diag, &rule_outline_open, node_span(outline),
                               "the walls do not close: the last one ends %s from the first",
                               buf_text(&gap)),
                      "measure again: walls of opposite directions add up to the same");
        buf_free(&gap);
    } else if (whole) {
        check_outline(b, t, outline);
    }
    return true;
}

static bool read_shape(struct builder *b, struct room_text *t)
{
    const struct node *n = t->node, *size = clause(n, F_SIZE), *outline = clause(n, F_OUTLINE);
    if (size && outline) {
        const struct node *later = size->first > outline->first ? size : outline,
                          *first = later == size ? outline : size;
        struct finding *f = diag_add(b->diag, &rule_duplicate_clause,
                                     token_span(later->source, later->first, later->first),
                                     "a room has a size or an outline, not both; the first counts");
        diag_note(b->diag, f, token_span(first->source, first->first, first->first),
                  "first given here");
        size = first == size ? size : NULL;
    }
    bool known = size ? read_size(b, t, size) : outline ? read_outline(b, t, outline) : false;
    if (node_lacks(n, F_SIZE) && node_lacks(n, F_OUTLINE)) {
        struct finding *f = diag_add(b->diag, &rule_missing_clause, node_name_span(n),
                                     "room '%s' has no size", t->room->name);
        diag_mend(b->diag, f, "add 'size 12' by 10'', east-west by north-south");
    }
    return known;
}

/* --- rooms -------------------------------------------------------------------------------- */

RULE(default_kind, "default-kind", WARNING, WAIVABLE, "a room says what it is used for");

/* The kind that the room's name is near to: "bath" may be a bathroom. */
static void offer_kind(struct builder *b, struct finding *f, const struct node *n, const char *name)
{
    struct nearest near = nearest_meant(&b->diag->words, name);
    nearest_among(&near, near_of_map(b->arena, &b->near, &b->m->lib->kinds, 0));
    if (!near.found)
        return;
    const char *text = arena_printf(b->arena, "kind %s", near.found);
    edit_clause(edit_way(b->diag, f, false, "%s", text), n, F_KIND, text);
}

static void read_kinds(struct builder *b, struct room *r, const struct node *n)
{
    const struct node *kind = clause(n, F_KIND);
    const struct kind_def **list =
        arena_array(b->arena, const struct kind_def *, kind ? kind->value_count : 1);
    for (unsigned i = 0; kind && i < kind->value_count; i++) {
        const char *name = val_name(b, kind, i);
        struct kind_def *k = library_kind(b->m->lib, name);
        if (k) {
            library_use(k);
            build_mention_definition(b, kind, i, MENTION_KIND, k);
            list[r->kind_count++] = k;
        } else if (name) {
            build_unknown(b, value_span(kind, &kind->values[i]), "kind of room", name,
                          build_map_names(b, &b->m->lib->kinds, 0));
        }
    }
    if (node_lacks(n, F_KIND)) {
        const char *missing = code_kind(&b->m->code, SET_PLAN_DEFAULTS_KIND);
        if (missing && library_kind(b->m->lib, missing))
            list[r->kind_count++] = library_kind(b->m->lib, missing);
        r->kinds = list;
        if (node_flag(n,
                      F_EXISTING)) /* what it is used for is asked of no room that is left alone */
            return;
        struct finding *f = model_finding(b->m, &rule_default_kind, node_name_span(n), r->unit,
                                          address_of_room(b->arena, r, false),
                                          "room '%s' does not say its kind; it is taken for '%s'",
                                          r->name, missing ? missing : "living");
        diag_mend(b->diag, f, "add 'kind' and what the room is used for");
        offer_kind(b, f, n, r->name);
    }
    r->kinds = list;
}

static void read_drop(struct builder *b, struct room *r, const struct node *n)
{
    const struct node *drop = clause(n, F_DROP_CEILING);
    length at = val_length(b, drop, 0, 0);
    if (at > 0 && at < r->ceiling)
        r->drop = at;
    else if (at > r->ceiling)
        diag_mend(b->diag,
                  diag_add(b->diag, &rule_syntax, node_span(drop),
                           "the dropped ceiling of room '%s' is at %s, above the joists at %s",
                           r->name, length_words(b->arena, at), length_words(b->arena, r->ceiling)),
                  "its height above the floor, less than 'ceiling'");
}

static void read_room(struct builder *b, struct scope *s, const struct node *written)
{
    const struct node *n = build_copies(b, written, s->first);
    if (!n || !node_name(written, 0))
        return;
    if (node_broken(s->node))
        n = build_in_doubt(b, n);
    struct room *r = arena_new(b->arena, struct room);
    *r = (struct room){
        .id = b->m->rooms.n, .name = node_name(written, 0), .unit = s->unit, .node = written};
    r->title = n->text ? n->text : r->name;
    if (!build_declare_thing(b, s->unit, r->name, "room", written, (struct named){.room = r}))
        return;
    bool sure = !(s->in_doubt & ITS_LEVEL);
    r->level = level_of(b, n, s->level, arena_printf(b->arena, "room '%s'", r->name), &sure);
    r->in_doubt |= sure && !r->level->in_doubt && !(s->in_doubt & ITS_PLACE) ? 0 : ITS_LEVEL;
    r->ceiling = clause_length(b, n, F_CEILING, r->level->ceiling);
    read_drop(b, r, n);
    r->finish =
        clause_length(b, n, F_FINISH, code_length(&b->m->code, SET_PLAN_DEFAULTS_FINISH, 0));
    r->wall_framing = framing_of(b, clause(n, F_WALLS), r->level->walls);
    r->joists = framing_of(b, clause(n, F_JOISTS), r->level->joists);
    r->floor_joists = framing_of(b, clause(n, F_FLOOR_JOISTS), r->level->floor_joists);
    r->floor_told = r->level->written.under || !node_lacks(n, F_FLOOR_JOISTS);
    read_kinds(b, r, n);
    r->kind_guessed = !node_child(written, F_KIND) && !node_name(written, 1);
    r->in_doubt |= node_broken(n) ? ITS_BOXES : 0;
    r->unfinished = node_flag(n, F_UNFINISHED);
    r->covered = node_flag(n, F_COVERED);
    r->air = air_of(b, n, r->level->air);
    r->existing = node_flag(n, F_EXISTING);
    for (uint32_t i = 0; i < r->kind_count; i++)
        r->unfinished |= r->kinds[i]->unfinished;
    *vec_push(b->arena, &b->m->rooms) = r;
    struct room_text *t = arena_new(b->arena, struct room_text);
    *t = (struct room_text){.room = r, .node = n};
    *vec_push(b->arena, &s->rooms) = t;
    map_put(b->arena, &b->text_of, (uintptr_t)r, 0, t);
    if (!read_shape(b, t))
        t->count = 0;
}

/* Whether it is certain what a statement says by such a clause, or that it says nothing: what a
 * copy writes in a form that could not be read would have replaced what its base says. */
static bool said(const struct node *own, const struct node *whole, enum form_id form)
{
    return clause(own, form) ||
           (node_lacks(own, form) && (clause(whole, form) || node_lacks(whole, form)));
}

/* A room alone lies at the datum, one alone in its unit at the unit's corner; of several each says
 * where it lies, by its corner or its outline. One that does not, in a form that could be read, has
 * no walls: where they are is not known, so that nothing is said of what they meet. */
static void check_corner(struct builder *b, const struct scope *s, struct room_text *t)
{
    bool alone = s->unit ? s->rooms.n < 2 : b->m->rooms.n < 2;
    bool written = clause(t->node, F_CORNER) || clause(t->node, F_OUTLINE);
    bool placed = alone || (written && said(t->room->node, t->node, F_CORNER));
    if (!placed || t->room->in_doubt & ITS_LEVEL)
        t->count = 0;
    if (placed || !node_lacks(t->node, F_CORNER) || !node_lacks(t->node, F_OUTLINE))
        return;
    struct finding *f = diag_add(b->diag, &rule_missing_clause, node_name_span(t->room->node),
                                 "room '%s' does not say where it is", t->room->name);
    diag_mend(b->diag, f, "add 'corner EAST, NORTH': where its south-west corner lies");
}

/* The frame of a room in the plane of its unit: turned about itself, its south-west corner laid
 * where the text says. */
static void frame_room(struct builder *b, struct room_text *t)
{
    struct bounds own = {0}, laid = {0};
    t->frame = turned(t->node);
    for (uint32_t i = 0; i < t->count; i++) {
        stretch(&own, t->corners[i]);
        stretch(&laid, build_through(&t->frame, t->corners[i]));
    }
    t->low = own.low;
    const struct node *corner = clause(t->node, F_CORNER);
    bool stays = !corner && clause(t->node, F_OUTLINE);
    struct point to =
        stays ? own.low : (struct point){val_length(b, corner, 0, 0), val_length(b, corner, 1, 0)};
    t->frame.dx = to.x - laid.low.x;
    t->frame.dy = to.y - laid.low.y;
}

/* The frame of a unit: the bounding box of its rooms, turned, laid at its corner. The plan itself
 * lies as it is written. */
static void frame_unit(struct builder *b, struct scope *s)
{
    s->frame = (struct frame){1, 0, 0, 1, 0, 0};
    if (!s->node)
        return;
    s->frame = turned(s->node);
    struct bounds laid = {0};
    for (uint32_t i = 0; i < s->rooms.n; i++)
        for (uint32_t c = 0; c < s->rooms.at[i]->count; c++)
            stretch(&laid, build_through(&s->frame, build_through(&s->rooms.at[i]->frame,
                                                                  s->rooms.at[i]->corners[c])));
    const struct node *corner = clause(s->node, F_CORNER);
    s->frame.dx = val_length(b, corner, 0, 0) - laid.low.x;
    s->frame.dy = val_length(b, corner, 1, 0) - laid.low.y;
}

static length distance(struct point p, struct point q)
{
    length dx = q.x - p.x, dy = q.y - p.y;
    if (!dx || !dy)
        return dx + dy < 0 ? -(dx + dy) : dx + dy;
    return (length)llround(hypot((double)dx, (double)dy));
}

/* A compass wall of a copy is called by the side on which it stands now. */
static const char *site_name(struct builder *b, const struct wall *w)
{
    bool by_compass = false;
    for (int i = 0; i < 4; i++)
        by_compass |= !strcmp(w->written, compass[i]);
    length dx = w->right.x - w->left.x, dy = w->right.y - w->left.y;
    if (!by_compass || (dx && dy))
        return w->written;
    return names_of(b->m->names, dx > 0 ? "north" : dx < 0 ? "south" : dy < 0 ? "east" : "west");
}

static void set_wall_uses(struct builder *b, struct room_text *t, struct wall *walls);
static void set_wall_words(struct builder *b, struct room_text *t, struct wall *walls);
static void set_closed(struct builder *b, struct room_text *t, struct wall *walls);
static void set_first(struct builder *b, struct room_text *t, struct wall *walls);

static void set_walls(struct builder *b, struct room_text *t)
{
    struct room *r = t->room;
    bool mirrored = mirrors(&t->frame);
    struct wall *walls = arena_array(b->arena, struct wall, t->count);
    struct bounds all = {0};
    for (uint32_t i = 0; i < t->count; i++) {
        struct point from = build_through(&t->frame, t->corners[i]),
                     to = build_through(&t->frame, t->corners[(i + 1) % t->count]);
        struct wall *w = &walls[mirrored ? t->count - 1 - i : i];
        *w = (struct wall){.written = t->walls[i],
                           .left = mirrored ? to : from,
                           .right = mirrored ? from : to,
                           .length = distance(from, to),
                           .mirrored = mirrored,
                           .framing = r->wall_framing};
        w->name = site_name(b, w);
        w->outline = t->outline ? t->outline[i] : NULL;
        if (w->outline)
            mention_word(b->m->lib->mentions, w->outline, MENTION_WALL, w, w->outline);
        stretch(&all, from);
    }
    r->walls = walls;
    r->wall_count = t->count;
    set_wall_uses(b, t, walls);
    set_wall_words(b, t, walls);
    set_closed(b, t, walls);
    set_first(b, t, walls);
    r->low = all.low;
    r->high = all.high;
}

static int wall_named(const struct room *r, const char *written)
{
    int i = (int)r->wall_count - 1;
    while (i >= 0 && r->walls[i].written != written)
        i--;
    return i;
}

/* The names of the walls, where this one was not looked for among them before. */
static struct among walls_to_name(struct builder *b, const struct room *r, const char *missing)
{
    if (map_get(&b->said, (uintptr_t)r->walls, (uintptr_t)names_of(b->m->names, missing)))
        return (struct among){0};
    near_list *names = arena_new(b->arena, near_list);
    for (uint32_t i = 0; i < r->wall_count; i++)
        if (r->walls[i].written)
            near_add(b->arena, names, r->walls[i].written);
    return (struct among){{names}};
}

static int find_wall(struct builder *b, const struct room *r, const struct node *n,
                     const struct value *v)
{
    if (!v || v->kind != V_NAME || !r->wall_count)
        return -1;
    int i = wall_named(r, v->name);
    if (i < 0)
        build_unknown_thing(b, r->walls, value_span(n, v),
                            arena_printf(b->arena, "wall in room '%s' called", r->name), v->name,
                            walls_to_name(b, r, v->name));
    else
        build_note_named(b, r->walls, v->name);
    if (i >= 0 && r->walls[i].outline)
        build_mention(b, n, v, 0, MENTION_WALL, &r->walls[i], r->walls[i].outline);
    return i;
}

static void set_fixtures(struct builder *b, struct room_text *t)
{
    for (const struct node *n = t->node->child; n; n = n->next) {
        if (!b->language->forms[n->form].along_wall || n->broken)
            continue;
        int i = find_wall(b, t->room, n, val(b, n, 0, C_NAME));
        if (i < 0)
            continue;
        const struct wall *w = &t->room->walls[i];
        length at = val_length(b, n, 1, 0), wide = val_length(b, n, 2, w->length);
        if (wide <= 0) {
            if (node_value(n, 2))
                diag_add(b->diag, &rule_syntax, node_span(n), "'%s' wants some width", n->word);
            continue;
        }
        enum fixture_sort sort = n->form == F_DOOR      ? FIXTURE_DOOR
                                 : n->form == F_WINDOW  ? FIXTURE_WINDOW
                                 : n->form == F_OPENING ? FIXTURE_OPENING
                                                        : FIXTURE_OTHER;
        *vec_push(b->arena, &t->room->fixtures) = (struct fixture){
            .sort = sort,
            .form = n->form,
            .word = n->word,
            .title = n->text,
            .node = n,
            .wall = (uint32_t)i,
            .from_left = w->mirrored ? w->length - at - wide : at,
            .wide = wide,
            .sill = n->form == F_CABINET ? val_length(b, n, 3, 0) : clause_length(b, n, F_SILL, -1),
            .top = n->form == F_CABINET ? val_length(b, n, 4, 0) : 0,
            .header = clause_length(b, n, F_HEADER, -1),
            .deep = clause_length(b, n, F_DEEP, 0)};
    }
}

/* `bearing WALL...` and the like: what the plan says of walls of the room. */
static void set_wall_uses(struct builder *b, struct room_text *t, struct wall *walls)
{
    for (const struct node *n = t->node->child; n; n = n->next) {
        bool use = n->form == F_BEARING || n->form == F_OUTSIDE || n->form == F_INSULATED;
        for (unsigned v = 0; use && !n->broken && v < n->value_count; v++) {
            const char *name = val_name(b, n, v);
            if (n->form == F_INSULATED && name && !strcmp(name, "ceiling")) {
                t->room->insulated_ceiling = true;
                continue;
            }
            int i = find_wall(b, t->room, n, val(b, n, v, C_NAME));
            if (i < 0)
                continue;
            walls[i].bearing |= n->form == F_BEARING;
            walls[i].outside |= n->form == F_OUTSIDE;
            walls[i].insulated |= n->form == F_INSULATED;
        }
    }
}

static void close_wall(struct builder *b, struct room_text *t, struct wall *walls,
                       const struct node *n, unsigned v)
{
    const char *name = val_name(b, n, v);
    if (name && !strcmp(name, "ceiling")) {
        t->room->closed_ceiling = !n->no;
        return;
    }
    int i = find_wall(b, t->room, n, val(b, n, v, C_NAME));
    if (i >= 0)
        walls[i].closed = !n->no;
}

/* `closed`, and `closed no north` behind it for a wall that is opened. */
static void set_closed(struct builder *b, struct room_text *t, struct wall *walls)
{
    for (const struct node *n = t->node->child; n; n = n->next) {
        if (n->form != F_CLOSED || n->broken)
            continue;
        for (unsigned v = 0; v < n->value_count; v++)
            close_wall(b, t, walls, n, v);
        for (uint32_t i = 0; !n->value_count && i < t->count; i++)
            walls[i].closed = !n->no;
        t->room->closed_ceiling = n->value_count ? t->room->closed_ceiling : !n->no;
    }
}

static void want_wall(struct builder *b, struct room_text *t, struct wall *walls,
                      const struct node *n, unsigned v)
{
    const char *name = val_name(b, n, v);
    if (name && !strcmp(name, "ceiling")) {
        t->room->first_ceiling = !n->no;
        return;
    }
    int i = find_wall(b, t->room, n, val(b, n, v, C_NAME));
    if (i >= 0)
        walls[i].first = !n->no;
}

/* `first`, and who wants it: read like `closed`. */
static void set_first(struct builder *b, struct room_text *t, struct wall *walls)
{
    for (const struct node *n = t->node->child; n; n = n->next) {
        if (n->form != F_FIRST || n->broken)
            continue;
        t->room->first_for = n->text ? n->text : t->room->first_for;
        for (unsigned v = 0; v < n->value_count; v++)
            want_wall(b, t, walls, n, v);
        for (uint32_t i = 0; !n->value_count && i < t->count; i++)
            walls[i].first = !n->no;
        t->room->first_ceiling = n->value_count ? t->room->first_ceiling : !n->no;
    }
}

/* Whether a value stands behind that word: lumber may be a word as walls are, "furred truss". */
static bool is_behind(const struct node *n, const struct value *v, const char *word)
{
    struct span before = token_span(n->source, v->first - 1, v->first - 1);
    return before.len == strlen(word) &&
           !memcmp(before.source->bytes + before.off, word, before.len);
}

/* `wall WALL... 2x6 at 16"`, `wall WALL... concrete furred 2x4 at 16" gap 1"`: the words stand
 * behind the names. A wall that is named twice is as the last says, as where a copy changes it. */
static void set_words_of(struct builder *b, struct room_text *t, struct wall *walls,
                         const struct node *n)
{
    unsigned names = 0;
    while (names < n->value_count && n->values[names].kind == V_NAME &&
           !is_behind(n, &n->values[names], "furred"))
        names++;
    bool concrete = n->alt == WALL_CONCRETE, furred = concrete && node_value(n, names);
    struct framing studs =
        concrete && !furred ? (struct framing){0} : studs_of(b, n, names, t->room->wall_framing);
    for (unsigned v = 0; v < names; v++) {
        int i = find_wall(b, t->room, n, val(b, n, v, C_NAME));
        if (i < 0)
            continue;
        walls[i].words = n;
        walls[i].framing = studs;
        walls[i].concrete = concrete;
        walls[i].furred = furred;
        walls[i].gap = furred ? val_length(b, n, names + 2, 0) : 0;
    }
}

static void set_wall_words(struct builder *b, struct room_text *t, struct wall *walls)
{
    for (const struct node *n = t->node->child; n; n = n->next)
        if (n->form == F_WALL && !n->broken)
            set_words_of(b, t, walls, n);
}

static void set_chases(struct builder *b, struct room_text *t)
{
    for (const struct node *n = t->node->child; n; n = n->next) {
        if ((n->form != F_CHASE && n->form != F_SCUTTLE) || n->broken || !t->count)
            continue;
        struct point at = {t->low.x + val_length(b, n, 0, 0), t->low.y + val_length(b, n, 1, 0)};
        struct bounds laid = {0};
        stretch(&laid, build_through(&t->frame, at));
        stretch(&laid, build_through(&t->frame, (struct point){at.x + val_length(b, n, 2, 0),
                                                               at.y + val_length(b, n, 3, 0)}));
        struct chase laid_out = {n, laid.low, laid.high};
        if (n->form == F_CHASE)
            *vec_push(b->arena, &t->room->chases) = laid_out;
        else
            *vec_push(b->arena, &t->room->scuttles) = laid_out;
    }
}

void build_rooms(struct builder *b, struct scope *s)
{
    bool sure = !s->unit || said(s->unit->node, s->node, F_ON);
    if (s->unit)
        s->level = clause(s->node, F_ON) ? level_of(b, s->node, NULL, NULL, &sure) : NULL;
    s->in_doubt |= sure ? 0 : ITS_LEVEL;
    s->in_doubt |= !s->unit || said(s->unit->node, s->node, F_CORNER) ? 0 : ITS_PLACE;
    for (const struct node *n = s->first; n; n = n->next)
        if (n->form == F_ROOM)
            read_room(b, s, n);
    for (uint32_t i = 0; i < s->rooms.n; i++)
        frame_room(b, s->rooms.at[i]);
    frame_unit(b, s);
}

void build_place_rooms(struct builder *b, struct scope *s)
{
    for (uint32_t i = 0; i < s->rooms.n; i++) {
        struct room_text *t = s->rooms.at[i];
        check_corner(b, s, t);
        t->frame = after(&s->frame, &t->frame);
        set_walls(b, t);
        set_fixtures(b, t);
        set_chases(b, t);
        build_fixed(b, s, t);
    }
}

const struct room_text *build_room_text_of(struct builder *b, const struct room *r)
{
    return map_get(&b->text_of, (uintptr_t)r, 0);
}

/* --- places ------------------------------------------------------------------------------- */

static struct point along(const struct wall *w, length from_left)
{
    length dx = w->right.x - w->left.x, dy = w->right.y - w->left.y;
    if (!dx || !dy)
        return (struct point){w->left.x + (dx > 0   ? from_left
                                           : dx < 0 ? -from_left
                                                    : 0),
                              w->left.y + (dy > 0   ? from_left
                                           : dy < 0 ? -from_left
                                                    : 0)};
    double share = (double)from_left / (double)w->length;
    return (struct point){w->left.x + (length)llround(share * (double)dx),
                          w->left.y + (length)llround(share * (double)dy)};
}

/* The point so far inside of two walls: where the two lines cross. False where they run side by
 * side. */
static bool inside_of(const struct wall *p, length from_p, const struct wall *q, length from_q,
                      struct point *out)
{
    double ux = (double)(p->right.x - p->left.x), uy = (double)(p->right.y - p->left.y),
           vx = (double)(q->right.x - q->left.x), vy = (double)(q->right.y - q->left.y);
    double cross = ux * vy - uy * vx, lu = hypot(ux, uy), lv = hypot(vx, vy);
    if (fabs(cross) < 1e-9 * lu * lv)
        return false;
    /* Inside is to the right of a wall that is walked clockwise. */
    double px = (double)p->left.x + uy / lu * (double)from_p,
           py = (double)p->left.y - ux / lu * (double)from_p;
    double qx = (double)q->left.x + vy / lv * (double)from_q,
           qy = (double)q->left.y - vx / lv * (double)from_q;
    double s = ((qx - px) * vy - (qy - py) * vx) / cross;
    *out = (struct point){(length)llround(px + s * ux), (length)llround(py + s * uy)};
    return true;
}

/* How far a box of a row lies from the first: the value at `step`, as often as the one at `number`
 * says. */
static length in_row(struct builder *b, const struct node *n, unsigned step, unsigned number)
{
    return node_in_row(n) ? val_length(b, n, step, 0) * n->values[number].n : 0;
}

static bool place_on_wall(struct builder *b, const struct room_text *t, const struct node *n,
                          unsigned first, length up_missing, struct place *out)
{
    const struct room *r = t->room;
    int i = find_wall(b, r, n, val(b, n, first, C_NAME));
    if (i < 0)
        return false;
    const struct wall *w = &r->walls[i];
    length at = val_length(b, n, first + 1, 0) + in_row(b, n, ROW_STEP, ROW_NUMBER_WALL),
           up = val_length(b, n, first + 2, up_missing);
    out->where = ON_WALL;
    out->wall = (uint32_t)i;
    out->from_left = w->mirrored ? w->length - at : at;
    out->up = up;
    out->up_written = node_value(n, first + 2);
    struct point p = along(w, out->from_left);
    out->known = true;
    out->at = (struct place3){p.x, p.y, r->level->floor + up};
    return true;
}

static bool place_between_walls(struct builder *b, const struct room_text *t, const struct node *n,
                                struct point *p)
{
    int i = find_wall(b, t->room, n, val(b, n, 2, C_NAME)),
        k = find_wall(b, t->room, n, val(b, n, 4, C_NAME));
    if (i < 0 || k < 0 || !t->room->walls[i].length || !t->room->walls[k].length)
        return false; /* an outline with a wall of no length was told */
    if (inside_of(&t->room->walls[i], val_length(b, n, 1, 0), &t->room->walls[k],
                  val_length(b, n, 3, 0), p))
        return true;
    diag_add(b->diag, &rule_syntax, node_span(n),
             "two walls that run side by side do not say where the box is; name two that meet");
    return false;
}

/* Which island of the room a box names; where it names none the only one there is. */
static const struct island *find_island(struct builder *b, const struct room *r,
                                        const struct node *n)
{
    bool named = n->alt == PLACE_ON_NAMED_ISLAND;
    const char *name = named ? val_name(b, n, 1) : NULL;
    const struct value *where = node_value(n, 1);
    struct nearest near = nearest_to(name ? name : "");
    if (!named && r->islands.n == 1)
        return &r->islands.at[0];
    for (uint32_t i = 0; name && i < r->islands.n; i++) {
        const struct island *x = &r->islands.at[i];
        if (x->name && !strcmp(x->name, name)) {
            build_mention(b, n, where, 0, MENTION_ISLAND, NULL, x->node);
            return x;
        }
        if (x->name)
            nearest_try(&near, x->name);
    }
    if (name) {
        struct finding *f = build_unknown_once(
            b, r, value_span(n, where),
            arena_printf(b->arena, "island in room '%s' called", r->name), name, (struct among){0});
        build_mend_name(b, f, &near);
    } else if (!named && !(r->in_doubt & ITS_FIXED)) {
        struct finding *f = diag_add(
            b->diag, &rule_syntax, node_span(n),
            r->islands.n ? "room '%s' has several islands, and the box does not say on which it is"
                         : "room '%s' has no island for a box to be on",
            r->name);
        diag_mend(b->diag, f,
                  r->islands.n ? "name them, 'island work at ...', and write the name behind "
                                 "'island' here too"
                               : "draw one: 'island at EAST, NORTH size LENGTH by LENGTH'");
    }
    return NULL;
}

/* The place on a side of an island, from its left end as one stands before it and faces it; in the
 * room's own hand. False where the side is no side. */
static bool along_island(const struct island *x, const char *side, length at, struct builder *b,
                         struct point *p)
{
    unsigned first = x->name ? 1 : 0;
    length west = val_length(b, x->node, first, 0), south = val_length(b, x->node, first + 1, 0),
           wide = val_length(b, x->node, first + 2, 0), deep = val_length(b, x->node, first + 3, 0);
    if (!strcmp(side, "south"))
        *p = (struct point){west + at, south};
    else if (!strcmp(side, "north"))
        *p = (struct point){west + wide - at, south + deep};
    else if (!strcmp(side, "east"))
        *p = (struct point){west + wide, south + at};
    else if (!strcmp(side, "west"))
        *p = (struct point){west, south + deep - at};
    else
        return false;
    return true;
}

static bool place_on_island(struct builder *b, const struct room_text *t, const struct node *n,
                            length up_missing, struct place *out)
{
    const struct room *r = t->room;
    unsigned first = n->alt == PLACE_ON_NAMED_ISLAND ? 2 : 1;
    const struct island *x = find_island(b, r, n);
    const char *side = val_name(b, n, first);
    struct point p;
    if (!x || !side || !t->count)
        return false;
    if (!along_island(x, side, val_length(b, n, first + 1, 0), b, &p)) {
        diag_mend(b->diag,
                  diag_add(b->diag, &rule_syntax, value_span(n, node_value(n, first)),
                           "an island has four sides, and '%s' is none of them", side),
                  "write north, east, south or west");
        return false;
    }
    p = build_through(&t->frame, (struct point){t->low.x + p.x, t->low.y + p.y});
    out->up_written = node_value(n, first + 2);
    out->up = val_length(b, n, first + 2, up_missing);
    out->known = true;
    out->where = ON_FLOOR;
    out->on_island = true;
    out->at = (struct place3){p.x, p.y, r->level->floor + out->up};
    return true;
}

/* Reads a place; alternatives as in statements.def. For a box: 0 overhead|floor at x, y; 1 overhead
 * from two walls; 2 on a wall; 4 and 5 on a side of an island. For a panel, 0 and 1 for the first
 * and the third of these. `first_value` is the value behind the name. */
bool build_read_place(struct builder *b, const struct room_text *t, const struct node *n,
                      unsigned first, bool panel, length up_missing, struct place *out)
{
    const struct room *r = t->room;
    if (n->alt == (panel ? 1 : PLACE_ON_WALL))
        return place_on_wall(b, t, n, first, up_missing, out);
    if (!panel && (n->alt == PLACE_ON_ISLAND || n->alt == PLACE_ON_NAMED_ISLAND))
        return place_on_island(b, t, n, up_missing, out);
    if (n->alt == PLACE_UNSAID || !t->count)
        return false;
    struct point p;
    const char *where = n->alt == PLACE_AT_POINT ? val_name(b, n, first) : "overhead";
    if (n->alt == PLACE_BETWEEN_WALLS) {
        if (!place_between_walls(b, t, n, &p))
            return false;
    } else {
        length east = val_length(b, n, first + 1, 0) + in_row(b, n, ROW_STEP, ROW_NUMBER_GRID),
               north =
                   val_length(b, n, first + 2, 0) + in_row(b, n, ROW_STEP + 1, ROW_NUMBER_GRID + 1);
        p = build_through(&t->frame, (struct point){t->low.x + east, t->low.y + north});
    }
    bool floor = where && !strcmp(where, "floor");
    out->known = true;
    out->where = floor ? ON_FLOOR : OVERHEAD;
    out->up = floor ? 0 : room_overhead(r);
    out->at = (struct place3){p.x, p.y, r->level->floor + out->up};
    return true;
}

/* receptacle-spacing against a second opinion: rooms are drawn at random, and the floor line of
 * each is walked in steps of half an inch. A step is wall or it is not; steps of wall that follow
 * each other are a space; from each step the nearest receptacle is looked for along the wall, one
 * step after another. Nothing of src/rules/space.c is used. NFPA 70 210.52(A)(1) to (4): spaces of
 * 2 ft, corners included, 6 ft to a receptacle, 5-1/2 ft up, 18 in. from the wall in a floor.
 *
 * All measures are whole inches, so that what is out of reach is an inch long at least, and the
 * steps lie between the marks. */
#include "compiled.h"

enum { ROOMS = 25, PLANS = 80, WALLS = 8, STEPS = 8000, THINGS = 12, OUTLETS = 64 };

/* The same rooms every time. */
static uint32_t state_of_chance = 20231125;

static int chance(int below)
{
    state_of_chance ^= state_of_chance << 13;
    state_of_chance ^= state_of_chance >> 17;
    state_of_chance ^= state_of_chance << 5;
    return (int)(state_of_chance % (uint32_t)below);
}

struct side {
    double x, y, ux, uy; /* its left end and direction, inches */
    int length;
};

/* Something on a wall, as it is written. deep: 0 where it is not. */
enum sort { DOOR, OPENING, CABINET, DESK, GLASS, RAIL, WINDOW, SLIDER, SORTS };

struct thing {
    enum sort sort;
    int wall, at, wide, deep;
};

struct outlet {
    int wall, at;
    bool counts;
};

struct drawn {
    struct side side[WALLS];
    int walls;
    struct thing thing[THINGS];
    int things;
    struct outlet outlet[OUTLETS];
    int outlets;
    double west, south; /* of its bounding box */
};

/* --- a room at random --------------------------------------------------------------------- */

static void add_side(struct drawn *d, int east, int north)
{
    double long_ = hypot(east, north), x = 0, y = 0;
    if (d->walls) {
        const struct side *last = &d->side[d->walls - 1];
        x = last->x + last->ux * last->length;
        y = last->y + last->uy * last->length;
    }
    d->side[d->walls++] = (struct side){x, y, east / long_, north / long_, (int)lround(long_)};
}

/* A rectangle, an L, or one with a corner cut off; walked clockwise from the south-west. Slanted
 * walls are 3 to 4 to 5. */
static void draw_walls(struct drawn *d)
{
    int wide = 96 + chance(200), high = 96 + chance(200), cut = 12 * (1 + chance(4));
    switch (chance(3)) {
    case 0:
        add_side(d, 0, high);
        add_side(d, wide, 0);
        add_side(d, 0, -high);
        add_side(d, -wide, 0);
        break;
    case 1:
        add_side(d, 0, high);
        add_side(d, wide - 40, 0);
        add_side(d, 0, -(high - 50));
        add_side(d, 40, 0);
        add_side(d, 0, -50);
        add_side(d, -wide, 0);
        break;
    default:
        add_side(d, 0, high);
        add_side(d, wide, 0);
        add_side(d, 0, -(high - cut));
        add_side(d, -4 * cut / 3, -cut);
        add_side(d, -(wide - 4 * cut / 3), 0);
    }
}

static bool overlaps(const struct drawn *d, int wall, int at, int wide)
{
    for (int i = 0; i < d->things; i++)
        if (d->thing[i].wall == wall && d->thing[i].at < at + wide &&
            at < d->thing[i].at + d->thing[i].wide)
            return true;
    return false;
}

/* A thing stands out into a room whose corners are square only, so that what it hides is a stretch
 * of wall. */
static void draw_things(struct drawn *d)
{
    for (int tries = chance(7); tries > 0; tries--) {
        int wall = chance(d->walls), long_ = d->side[wall].length, wide = 6 + chance(60),
            at = chance(long_);
        at = chance(4) ? at : 0;
        if (at + wide > long_) {
            wide = chance(2) ? long_ - at : wide;
            at = long_ - wide < 0 ? 0 : long_ - wide;
        }
        wide = wide > long_ ? long_ : wide;
        if (overlaps(d, wall, at, wide) || wide < 2)
            continue;
        enum sort sort = (enum sort)chance(SORTS);
        d->thing[d->things++] =
            (struct thing){sort, wall, at, wide,
                           sort == CABINET && d->walls != 5 && chance(2) ? 10 + chance(20) : 0};
    }
}

/* --- what is wall ------------------------------------------------------------------------- */

static bool breaks(enum sort sort)
{
    return sort == DOOR || sort == OPENING || sort == CABINET || sort == GLASS || sort == SLIDER;
}

/* Whether a spot lies in the rectangle that a thing takes on the floor. Of what slides in an outer
 * wall the half that stays is wall (NFPA 70 210.52(A)(2)(2)): the left one, here of a window; of a
 * door it is written to be the right one. */
static bool covers(const struct drawn *d, const struct thing *t, double x, double y)
{
    const struct side *s = &d->side[t->wall];
    double dx = x - s->x, dy = y - s->y, along = dx * s->ux + dy * s->uy,
           out = dx * s->uy - dy * s->ux;
    double from = t->at + (t->sort == GLASS ? t->wide / 2.0 : 0),
           to = t->at + (t->sort == SLIDER ? t->wide / 2.0 : t->wide);
    return along > from - 0.01 && along < to + 0.01 && out > -0.01 &&
           out < (t->deep ? t->deep : 0.01);
}

static bool is_wall(const struct drawn *d, double x, double y)
{
    for (int i = 0; i < d->things; i++)
        if (breaks(d->thing[i].sort) && covers(d, &d->thing[i], x, y))
            return false;
    return true;
}

/* --- the text of it ----------------------------------------------------------------------- */

static void write_room(struct buf *b, struct drawn *d, int number)
{
    static const char *const words[SORTS] = {"door",   "opening", "fixed",  "fixed",
                                             "window", "opening", "window", "door"};
    double east = 0, low_x = 0, low_y = 0;
    for (int i = 0; i < d->walls; i++) {
        low_x = fmin(low_x, d->side[i].x);
        low_y = fmin(low_y, d->side[i].y);
    }
    d->west = low_x;
    d->south = low_y;
    east = number * 600;
    buf_printf(b, "room r%d { kind living; outline from %.0f\", 0\" { ", number, east);
    for (int i = 0; i < d->walls; i++) {
        const struct side *s = &d->side[i];
        int dx = (int)lround(s->ux * s->length), dy = (int)lround(s->uy * s->length);
        buf_printf(b, "w%d", i);
        if (dy)
            buf_printf(b, " %s %d\"", dy > 0 ? "north" : "south", abs(dy));
        if (dx)
            buf_printf(b, " %s %d\"", dx > 0 ? "east" : "west", abs(dx));
        buf_puts(b, "; ");
    }
    buf_puts(b, "}\n");
    for (int i = 0; i < d->things; i++) {
        const struct thing *t = &d->thing[i];
        buf_printf(b, "  %s w%d at %d\" wide %d\"", words[t->sort], t->wall, t->at, t->wide);
        if (t->deep)
            buf_printf(b, " deep %d\"", t->deep);
        buf_puts(b, t->sort == GLASS    ? " sill 0\" sliding\n"
                    : t->sort == SLIDER ? " sliding fixed right\n"
                    : t->sort == WINDOW ? " sill 0\"\n"
                                        : "\n");
        if (t->sort == DESK)
            buf_printf(b, "  counter w%d at %d\" wide %d\"\n", t->wall, t->at, t->wide);
        if (t->sort == RAIL)
            buf_printf(b, "  railing w%d at %d\" wide %d\"\n", t->wall, t->at, t->wide);
    }
}

/* Whether a place is in a cabinet of either kind: a receptacle there, below a counter, does not
 * count. */
static bool inside_cabinet(const struct drawn *d, int wall, int at)
{
    for (int i = 0; i < d->things; i++)
        if ((d->thing[i].sort == CABINET || d->thing[i].sort == DESK) && d->thing[i].wall == wall &&
            d->thing[i].at < at && at < d->thing[i].at + d->thing[i].wide)
            return true;
    return false;
}

static void write_outlets(struct buf *b, struct drawn *d)
{
    for (int n = chance(2) ? chance(12) : chance(OUTLETS); n > 0; n--) {
        int wall = chance(d->walls), at = chance(d->side[wall].length + 1), how = chance(7);
        const struct side *s = &d->side[wall];
        struct outlet o = {wall, at, how < 4 && !inside_cabinet(d, wall, at)};
        if (how < 5)
            buf_printf(b, "  box B%d w%d at %d\" up %d\" { receptacle }\n", n, wall, at,
                       how < 3    ? 16
                       : how == 3 ? 30
                                  : 67);
        if (how == 5)
            buf_printf(b, "  box B%d w%d at %d\" { receptacle leg l }\n", n, wall, at);
        if (how == 6) {
            /* In the floor, away from the corners, before a wall that runs with the compass. */
            int out = 15 + chance(6);
            if (at < 24 || at > s->length - 24 || s->length < 60 || fabs(s->ux * s->uy) > 0.01)
                continue;
            double x = s->x + s->ux * at + s->uy * out, y = s->y + s->uy * at - s->ux * out;
            o.counts = out <= 18;
            buf_printf(b, "  box B%d floor at %.0f\", %.0f\" { receptacle }\n", n, x - d->west,
                       y - d->south);
        }
        d->outlet[d->outlets++] = o;
    }
    buf_puts(b, "}\n");
}

/* --- the walk ----------------------------------------------------------------------------- */

struct walk {
    bool wall[STEPS], outlet[STEPS + 1]; /* the outlet stands on the mark before the step */
    int steps;
};

static void take_walk(const struct drawn *d, struct walk *w)
{
    int begins[WALLS];
    *w = (struct walk){0};
    for (int i = 0; i < d->walls; i++) {
        const struct side *s = &d->side[i];
        begins[i] = w->steps;
        for (int k = 0; k < 2 * s->length; k++) {
            double at = (k + 0.5) / 2;
            w->wall[w->steps++] = is_wall(d, s->x + s->ux * at, s->y + s->uy * at);
        }
    }
    for (int i = 0; i < d->outlets; i++)
        if (d->outlet[i].counts)
            w->outlet[(begins[d->outlet[i].wall] + 2 * d->outlet[i].at) % w->steps] = true;
}

/* The step or mark beside one, round the room; with no remainder taken, which would be most of the
 * work. */
static int beside(const struct walk *w, int at, int way)
{
    at += way;
    return at < 0 ? w->steps - 1 : at == w->steps ? 0 : at;
}

/* Whether a step has a receptacle within 6 ft, going one way along wall without a break; the step
 * is a quarter inch from its marks. */
static bool reached(const struct walk *w, int step, int way)
{
    int at = step;
    for (int gone = 0; gone < 144; gone++) {
        if (w->outlet[way > 0 ? beside(w, at, 1) : at])
            return true;
        at = beside(w, at, way);
        if (!w->wall[at] || at == step)
            return false;
    }
    return false;
}

/* How many spaces have a step out of reach. */
static int spaces_out_of_reach(const struct walk *w)
{
    int start = 0, faults = 0;
    while (start < w->steps && w->wall[start])
        start++;
    bool ring = start == w->steps;
    start = ring ? 0 : start;
    for (int k = 0; k < w->steps;) {
        int long_ = 0;
        bool out = false;
        for (; k < w->steps && w->wall[(start + k) % w->steps]; k++, long_++)
            out |=
                !reached(w, (start + k) % w->steps, 1) && !reached(w, (start + k) % w->steps, -1);
        faults += out && long_ >= 48;
        while (k < w->steps && !w->wall[(start + k) % w->steps])
            k++;
    }
    return faults;
}

static int told_of(const struct compilation *c, int number)
{
    char room[32];
    int n = 0;
    snprintf(room, sizeof room, "room 'r%d':", number);
    for (unsigned i = 0; finding_of(c, "receptacle-spacing", i); i++)
        n += !strncmp(finding_of(c, "receptacle-spacing", i)->message, room, strlen(room));
    return n;
}

static void spaces_are_what_a_walk_finds(void **state)
{
    (void)state;
    int faults = 0, sound = 0;
    for (int plan = 0; plan < PLANS; plan++) {
        static struct drawn rooms[ROOMS];
        static struct walk walk;
        struct buf text = {0};
        struct compilation c;
        buf_puts(&text, "plan \"Random\" { edition nec-2023 }\nleg l\n");
        for (int i = 0; i < ROOMS; i++) {
            rooms[i] = (struct drawn){0};
            draw_walls(&rooms[i]);
            draw_things(&rooms[i]);
            write_room(&text, &rooms[i], i);
            write_outlets(&text, &rooms[i]);
        }
        compile_text(&c, buf_text(&text));
        assert_int_equal(findings_of(&c, "syntax") + findings_of(&c, "outline-open"), 0);
        for (int i = 0; i < ROOMS; i++) {
            take_walk(&rooms[i], &walk);
            int want = spaces_out_of_reach(&walk), told = told_of(&c, i);
            if (want != told) {
                fprintf(stderr, "plan %d, room r%d: the walk finds %d, the rule %d\n%s", plan, i,
                        want, told, buf_text(&text));
                show_compiled(&c);
            }
            assert_int_equal(told, want);
            faults += want;
            sound += !want;
        }
        compile_free(&c);
        buf_free(&text);
    }
    /* Both sorts were drawn often. */
    assert_true(faults > 500);
    assert_true(sound > 300);
}

/* --- one room, cut into several ----------------------------------------------------------- */

/* Rooms in a row, open to each other over their whole depth, have the wall spaces of the one room
 * that they would be without the lines between them. */
enum { MOST_IN_ROW = 4, ROWS = 150 };

struct row {
    int rooms, wide[MOST_IN_ROW], deep, whole;
};

/* A wall of a room of the row that the whole has too, by its name; false for those between rooms.
 */
static bool draw_wall(const struct row *r, int room, const char **wall, int *long_, int *before)
{
    int left = 0;
    for (int i = 0; i < room; i++)
        left += r->wide[i];
    switch (chance(4)) {
    case 0:
        *wall = "north";
        *before = left;
        *long_ = r->wide[room];
        return true;
    case 1:
        *wall = "south";
        *before = r->whole - left - r->wide[room];
        *long_ = r->wide[room];
        return true;
    case 2:
        *wall = "west";
        *before = 0;
        *long_ = r->deep;
        return room == 0;
    default:
        *wall = "east";
        *before = 0;
        *long_ = r->deep;
        return room == r->rooms - 1;
    }
}

static void write_row(struct row *r, struct buf *row, struct buf *one)
{
    *r = (struct row){.rooms = 2 + chance(MOST_IN_ROW - 1), .deep = 60 + chance(200)};
    for (int i = 0; i < r->rooms; i++)
        r->whole += r->wide[i] = 48 + chance(150);
    buf_printf(one, "plan \"One\" { edition nec-2023 }\nroom r { kind living; size %d\" by %d\"\n",
               r->whole, r->deep);
    buf_puts(row, "plan \"Row\" { edition nec-2023 }\n");
    for (int i = 0, west = 0; i < r->rooms; west += r->wide[i++]) {
        buf_printf(row, "room r%d { kind living; corner %d\", 0\"; size %d\" by %d\"\n", i, west,
                   r->wide[i], r->deep);
        if (i + 1 < r->rooms)
            buf_printf(row, "  opening east at 0\" wide %d\"\n", r->deep);
        for (int n = 0, things = chance(2) ? chance(12) : 20 + chance(40); n < things; n++) {
            const char *wall;
            int long_, before;
            if (!draw_wall(r, i, &wall, &long_, &before))
                continue;
            int at = chance(long_), wide = 1 + chance(40);
            wide = at + wide > long_ ? long_ - at : wide;
            bool door = chance(12) == 0;
            for (int k = 0; k < 2; k++) {
                struct buf *b = k ? one : row;
                if (door)
                    buf_printf(b, "  door %s at %d\" wide %d\"\n", wall, at + (k ? before : 0),
                               wide);
                else
                    buf_printf(b, "  box B%dx%d %s at %d\" { receptacle }\n", n, i, wall,
                               at + (k ? before : 0));
            }
        }
        buf_puts(row, "}\n");
    }
    buf_puts(one, "}\n");
}

static void a_row_of_open_rooms_is_one_room(void **state)
{
    (void)state;
    unsigned faults = 0, sound = 0;
    for (int i = 0; i < ROWS; i++) {
        struct row r;
        struct buf row = {0}, one = {0};
        struct compilation a, b;
        write_row(&r, &row, &one);
        compile_text(&a, buf_text(&row));
        compile_text(&b, buf_text(&one));
        unsigned in_row = findings_of(&a, "receptacle-spacing"),
                 in_one = findings_of(&b, "receptacle-spacing");
        if (in_row != in_one)
            fprintf(stderr, "row %d: %u, as one room %u\n%s%s", i, in_row, in_one, buf_text(&row),
                    buf_text(&one));
        assert_int_equal(in_row, in_one);
        faults += in_one;
        sound += !in_one;
        compile_free(&a);
        compile_free(&b);
        buf_free(&row);
        buf_free(&one);
    }
    assert_true(faults > 50);
    assert_true(sound > 20);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spaces_are_what_a_walk_finds),
        cmocka_unit_test(a_row_of_open_rooms_is_one_room),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Copies of rooms and units: what is mirrored or turned is drawn as the mirror image of what it was
 * copied from, and a given value is read wherever the value itself could stand. Random rooms,
 * always the same for a seed. */
#include "compiled.h"
#include "generate.h"

#include "cmd/cmd.h"
#include "drawn.h"
#include "emit/dot/dot.h"
#include "emit/reports/reports.h"
#include "emit/views.h"

enum { SEEDS = 40, DRAWN_SEEDS = 4, MOST_ITEMS = 4000 }; /* DRAWN: whose sheets are looked at */

/* --- random rooms ------------------------------------------------------------------------- */

/* A text in which <VALUE> marks what a given value may stand for. */
struct template
{
    uint64_t state;
    struct buf out;
};

static const char *const walls[] = {"north", "east", "south", "west"};

static void write_door(struct template *t)
{
    static const char *const hinges[] = {"", " hinge left", " hinge right"}, *const ways[] = {
                                                                                 "", " swings in",
                                                                                 " swings out",
                                                                                 " sliding"};
    buf_printf(&t->out, "%s%s", hinges[pick(&t->state, 3)], ways[pick(&t->state, 4)]);
}

/* Boxes are there already: new ones are set beside the wood, and the studs of a copy are its own.
 */

/* A wall with one thing that parts it, and one that stands before it: steps of 6", so that each
 * place on paper is a whole one. */
static void write_wall(struct template *t, const char *wall)
{
    static const char *const parts[] = {"door", "window", "opening"}, *const fixed[] = {
                                                                          "counter",   "fixed",
                                                                          "sink",      "basin",
                                                                          "tub",       "shower",
                                                                          "peninsula", "range",
                                                                          "railing"};
    unsigned form = pick(&t->state, 3);
    buf_printf(&t->out, "    %s %s at <%u'> wide <%u\">", parts[form], wall, 1 + pick(&t->state, 2),
               24 + 6 * pick(&t->state, 3));
    if (form == 0)
        write_door(t);
    if (form == 1)
        buf_printf(&t->out, " sill <%u\">", 6 * pick(&t->state, 7));
    buf_printf(&t->out, "\n    %s %s at <%u'> wide <%u'>", fixed[pick(&t->state, 9)], wall,
               5 + pick(&t->state, 2), 1 + pick(&t->state, 3));
    if (chance(&t->state, 50))
        buf_printf(&t->out, " deep <%u\">", 6 * (1 + pick(&t->state, 6)));
    buf_puts(&t->out, "\n");
}

/* Boxes are there already: new ones are set beside the wood, and the studs of a copy are its own.
 */
static void write_body(struct template *t, unsigned side)
{
    buf_printf(&t->out, "    kind <hall>\n    ceiling <%u'>\n    walls <2x6> at <16\">\n",
               8 + pick(&t->state, 2));
    buf_printf(&t->out, "    size <%u'> by <%u'>\n", side, side + pick(&t->state, 4));
    for (unsigned i = 0; i < 4; i++)
        if (chance(&t->state, 70))
            write_wall(t, walls[i]);
    buf_printf(&t->out, "    bearing <%s>\n", walls[pick(&t->state, 4)]);
    for (unsigned i = 0; i < 3; i++)
        buf_printf(&t->out, "    box R%u %s at <%u'> up <%u\"> { existing; receptacle }\n", i + 1,
                   walls[pick(&t->state, 4)], 1 + 2 * i, 12 + 6 * pick(&t->state, 3));
    buf_printf(&t->out,
               "    boxes X1 to X3 %s from <3'> every <1'> up <6'> { existing }\n"
               "    boxes C1 to C4 overhead 2 by 2 from <1'>, <2'> every <5'>, <3'> { existing; "
               "luminaire }\n",
               walls[pick(&t->state, 4)]);
    buf_printf(
        &t->out,
        "    box L1 overhead at <%u'>, <4'> { existing; luminaire leg <light> <%u W>; capped leg "
        "<later> }\n    box S1 %s at <7'> { existing; switch leg <light>; type <nail-on-1g-20> }\n",
        2 + pick(&t->state, 4), 20 + pick(&t->state, 5), walls[pick(&t->state, 4)]);
}

/* The rooms of a unit with their circuits. */
static void write_rooms(struct template *t)
{
    unsigned side = 10 + pick(&t->state, 4);
    buf_puts(&t->out, "  room a \"Room A\" {\n    corner <0'>, <0'>\n");
    write_body(t, side);
    buf_printf(&t->out, "  }\n  room b \"Room B\" {\n    corner <%u'>, <%u'>\n", side + 1,
               pick(&t->state, 3));
    buf_puts(&t->out, "    door west at <5'> wide <3'> hinge right to <a>\n");
    write_body(t, side);
    buf_puts(&t->out, "  }\n  panel P { in a north at <3'> up <5'>; main <100 A>; spaces <12> }\n"
                      "  circuit P.1 \"Lights\" {\n    breaker <15 A> afci\n    drop <4 %>\n"
                      "    run <P> -> <a.S1> -> <L1> cable <14/3>\n"
                      "    run a.S1 -> <b.S1> (spare <1'>) -> L1 (exposed)\n  }\n"
                      "  circuit P.2 \"Receptacles\" {\n    breaker <20 A> afci\n"
                      "    run P -> a.R1 -> R2 -> <R3>\n    run a.R1 -> b.R1 -> <R2>\n"
                      "    run b.R1 -> R3 spare <2'>\n  }\n");
}

/* The template as a text: marks taken away, or given values put in their place, all of them on the
 * line `head` so that both texts have as many lines. */
static void write_text(struct buf *out, const char *head, const char *template, bool given)
{
    struct buf values = {0}, body = {0};
    unsigned n = 0;
    for (const char *at = template; *at; at++) {
        const char *end = *at == '<' ? strchr(at, '>') : NULL;
        if (!end) {
            buf_putc(&body, *at);
            continue;
        }
        int len = (int)(end - at - 1);
        if (given)
            buf_printf(&values, "; given g%u %.*s", ++n, len, at + 1);
        if (given)
            buf_printf(&body, "(g%u)", n);
        else
            buf_add(&body, at + 1, (size_t)len);
        at = end;
    }
    buf_printf(out, "%s%s\n%s}\n", head, buf_text(&values), buf_text(&body));
    buf_free(&values);
    buf_free(&body);
}

/* --- what is drawn of a room -------------------------------------------------------------- */

/* What a copy is turned by, as a matrix on the site: x to the east, y to the north. */
struct way_round {
    const char *words;
    int a, b, c, d;
};

static const struct way_round turns[] = {
    {"", 1, 0, 0, 1},
    {"opposite-hand", -1, 0, 0, 1},
    {"turn left", 0, -1, 1, 0},
    {"turn right", 0, 1, -1, 0},
    {"turn around", -1, 0, 0, -1},
    {"opposite-hand; turn left", 0, -1, -1, 0},
    {"opposite-hand; turn right", 0, 1, 1, 0},
    {"opposite-hand; turn around", 1, 0, 0, -1},
};
enum { TURNS = sizeof turns / sizeof *turns };

/* A line, or an arc by its ends and middle; twice as large, from the middle of its room, y up. */
struct item {
    struct pen pen;
    long x[3], y[3];
    unsigned count;
    bool found;
};

struct items {
    struct item at[MOST_ITEMS];
    unsigned n;
};

static void add_item(struct items *all, struct pen pen, const struct spot *points, unsigned count)
{
    struct item *i = &all->at[all->n++];
    assert_true(all->n < MOST_ITEMS && count <= 3);
    *i = (struct item){.pen = pen, .count = count};
    for (unsigned k = 0; k < count; k++) {
        i->x[k] = points[k].x;
        i->y[k] = points[k].y;
    }
}

static struct spot on_circle(const struct mark *m, int degrees)
{
    double turn = degrees * acos(-1) / 180;
    return (struct spot){m->at.x + lround(cos(turn) * (double)m->radius),
                         m->at.y + lround(sin(turn) * (double)m->radius)};
}

/* Outlines are taken line by line: a mirror image goes round the other way. */
static void read_mark(struct items *all, const struct mark *m)
{
    if (m->kind == MARK_ARC) {
        struct spot points[3] = {on_circle(m, m->from), on_circle(m, m->to), m->at};
        add_item(all, m->pen, points, 3);
    }
    for (uint32_t i = 0; i < m->count && (m->kind == MARK_LINE || m->kind == MARK_SHAPE); i++) {
        struct spot line[2] = {m->points[i], m->points[(i + 1) % m->count]};
        if (i + 1 < m->count || m->kind == MARK_SHAPE)
            add_item(all, m->pen, line, 2);
    }
}

static struct paper *sheets_of_kind(const struct results *r, const char *name, enum paper_size size)
{
    const struct sheet_kind *kind = sheets_named(name);
    assert_non_null(kind);
    return sheets_make(r, size, false, &kind, 1);
}

/* The outline of a room on a sheet. */
static struct area outline_of(const struct sheet *s, const char *room)
{
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->group && m->group->role == ROLE_ROOM && m->kind == MARK_SHAPE &&
            !strcmp(m->group->subject, room))
            return area_round(m->points, m->count);
    }
    fail_msg("%s is not drawn", room);
    return (struct area){0};
}

/* What is drawn of a room alone, on paper so large that each way round has the same scale. */
static void read_items(struct items *all, struct results *r, const struct room *room)
{
    const char *name = address_of_room(r->arena, room, false);
    r->only_room = room;
    const struct paper *p = sheets_of_kind(r, "plan-power", PAPER_ARCH_D);
    assert_int_equal(p->sheets.n, 1);
    const struct sheet *s = p->sheets.at[0];
    struct area a = outline_of(s, name);
    all->n = 0;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->group && (m->group->role == ROLE_ROOM || m->group->role == ROLE_FIXED ||
                         m->group->role == ROLE_PLAIN))
            read_mark(all, m);
    }
    for (unsigned i = 0; i < all->n; i++)
        for (unsigned k = 0; k < all->at[i].count; k++) {
            all->at[i].x[k] = 2 * all->at[i].x[k] - a.left - a.right;
            all->at[i].y[k] = a.top + a.bottom - 2 * all->at[i].y[k];
        }
    r->only_room = NULL;
}

static void turn_items(struct items *all, struct way_round t)
{
    for (unsigned i = 0; i < all->n; i++)
        for (unsigned k = 0; k < all->at[i].count; k++) {
            long x = all->at[i].x[k], y = all->at[i].y[k];
            all->at[i].x[k] = t.a * x + t.b * y;
            all->at[i].y[k] = t.c * x + t.d * y;
        }
}

/* Places are whole micrometres, each rounded by itself; these are halves. */
enum { ROUNDED = 12 };

static bool is_same(const struct item *p, const struct item *q)
{
    if (p->count != q->count || p->pen.stroke != q->pen.stroke || p->pen.fill != q->pen.fill ||
        p->pen.width != q->pen.width || p->pen.dash != q->pen.dash)
        return false;
    for (int swap = 0; swap < 2; swap++) {
        bool same = true;
        for (unsigned k = 0; k < p->count; k++) {
            unsigned o = k < 2 && swap ? 1 - k : k;
            same &= labs(p->x[k] - q->x[o]) <= ROUNDED && labs(p->y[k] - q->y[o]) <= ROUNDED;
        }
        if (same)
            return true;
    }
    return false;
}

/* How many lines of the copy are not those of the original, turned. */
static unsigned not_turned(struct results *r, const struct room *original, const struct room *copy,
                           struct way_round t)
{
    static struct items a, b;
    unsigned wrong = 0;
    read_items(&a, r, original);
    read_items(&b, r, copy);
    assert_true(a.n > 12);
    turn_items(&a, t);
    for (unsigned i = 0; i < a.n; i++) {
        bool found = false;
        for (unsigned k = 0; k < b.n && !found; k++)
            if (!b.at[k].found && is_same(&a.at[i], &b.at[k]))
                found = b.at[k].found = true;
        wrong += !found;
    }
    return wrong + (b.n > a.n ? b.n - a.n : 0);
}

static const struct room *room_called(struct compilation *c, const char *address)
{
    for (uint32_t i = 0; i < c->model->rooms.n; i++)
        if (!strcmp(address_of_room(&c->arena, c->model->rooms.at[i], false), address))
            return c->model->rooms.at[i];
    fail_msg("there is no room %s", address);
    return NULL;
}

static void compile_readable(struct compilation *c, struct results *r, const char *text)
{
    compile_text(c, text);
    assert_null(finding_of(c, "syntax", 0));
    assert_null(finding_of(c, "unknown-name", 0));
    assert_true(cmd_results(c, r));
}

/* Boxes that hold their places on a copy: its place in its room is that in the original, turned. */
static unsigned boxes_not_turned(const struct compilation *c, const struct room *original,
                                 const struct room *copy, struct way_round t)
{
    unsigned wrong = 0, seen = 0;
    length mx = original->low.x + original->high.x, my = original->low.y + original->high.y,
           nx = copy->low.x + copy->high.x, ny = copy->low.y + copy->high.y;
    for (uint32_t i = 0; i < c->model->boxes.n; i++) {
        const struct box *b = c->model->boxes.at[i];
        if (b->room != original)
            continue;
        length x = 2 * b->place.at.x - mx, y = 2 * b->place.at.y - my;
        bool found = false;
        for (uint32_t k = 0; k < c->model->boxes.n && !found; k++) {
            const struct box *o = c->model->boxes.at[k];
            found = o->room == copy && !strcmp(o->name, b->name) &&
                    2 * o->place.at.x - nx == t.a * x + t.b * y &&
                    2 * o->place.at.y - ny == t.c * x + t.d * y;
        }
        wrong += !found;
        seen++;
    }
    assert_true(seen > 3);
    return wrong;
}

/* The rooms of a seed and copies of them, turned in each way: `unit` copies the unit they stand in,
 * else room a is copied alone. */
static unsigned wrong_copies(unsigned seed, bool unit)
{
    struct template t = {.state = seed};
    struct buf text = {0};
    unsigned wrong = 0;
    buf_puts(&text, "plan \"Copies\" { language 1; edition nec-2023 }\n");
    write_rooms(&t);
    write_text(&text, "unit u \"Unit\" { corner 0', 0'", buf_text(&t.out), false);
    if (!unit)
        text.at[--text.n - 1] = '\n'; /* the copies stand in the same unit */
    for (unsigned i = 0; i < TURNS; i++)
        buf_printf(&text, "%s t%u : %s { corner %u', %u'; %s }\n", unit ? "unit" : "room", i,
                   unit ? "u" : "a", 40 * (i % 4), 40 * (i / 4 + 1), turns[i].words);
    buf_puts(&text, unit ? "" : "}\n");
    struct compilation c;
    struct results r;
    compile_readable(&c, &r, buf_text(&text));
    for (unsigned i = 0; i < TURNS; i++)
        for (unsigned k = 0; k < (unit ? 2 : 1); k++) {
            char name[20];
            const struct room *original = room_called(&c, k ? "u.b" : "u.a"), *copy;
            snprintf(name, sizeof name, unit ? "t%u.%c" : "u.t%u", i, 'a' + (char)k);
            copy = room_called(&c, name);
            unsigned n = not_turned(&r, original, copy, turns[i]) +
                         boxes_not_turned(&c, original, copy, turns[i]);
            if (n)
                print_error("seed %u, %s, %s: %u differ\n", seed, name, turns[i].words, n);
            wrong += n;
        }
    compile_free(&c);
    buf_free(&t.out);
    buf_free(&text);
    return wrong;
}

static void copies_are_mirror_images(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (unsigned seed = 1; seed <= DRAWN_SEEDS; seed++)
        wrong += wrong_copies(seed, false) + wrong_copies(seed, true);
    assert_int_equal(wrong, 0);
}

/* The power plan of a plan's text: its one sheet. */
static const struct sheet *drawn_plan(struct compilation *c, const char *text)
{
    struct results r;
    compile_readable(c, &r, text);
    const struct paper *p = sheets_of_kind(&r, "plan-power", PAPER_BY_USE);
    assert_int_equal(p->sheets.n, 1);
    return p->sheets.at[0];
}

/* The leaves of doors, or the ways of their edges. */
static unsigned marks_of_doors(const struct sheet *s, enum mark_kind kind, const struct mark **last)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->group && m->group->role == ROLE_FIXED && m->kind == kind) {
            *last = m;
            n++;
        }
    }
    return n;
}

/* The hinge of a door at the left of a wall: seen from inside, facing south, the left is east. */
static void hinges_are_where_the_plan_says(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        unsigned feet; /* its leaf, from the west end of a room 14 ft wide */
        bool out;
    } cases[] = {{"hinge left", 12, false},
                 {"hinge right", 9, false},
                 {"", 12, false},
                 {"hinge left swings out", 12, true}};
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct compilation c;
        const struct mark *leaf = NULL;
        snprintf(text, sizeof text,
                 "plan \"P\" { edition nec-2023 }\nroom a { kind hall; corner 0', 0'; size 14' by "
                 "8'; door south at 2' wide 3' %s }\n",
                 cases[i].words);
        const struct sheet *s = drawn_plan(&c, text);
        struct area a = outline_of(s, "a");
        um foot = (a.right - a.left) / 14;
        assert_int_equal(marks_of_doors(s, MARK_LINE, &leaf), 1);
        for (int k = 0; k < 2; k++)
            assert_true(llabs(leaf->points[k].x - a.left - cases[i].feet * foot) < 20);
        struct area lies = area_round(leaf->points, 2);
        assert_true(llabs(lies.bottom - lies.top - 3 * foot) < 20);
        assert_true(cases[i].out ? lies.top >= a.bottom : lies.bottom <= a.bottom + 1);
        compile_free(&c);
    }
}

/* A door that both rooms write is drawn once, as the one that says how it swings. */
static void a_door_between_rooms_is_drawn_once(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        bool south;
    } cases[] = {{"hinge left swings out", true}, {"", false}};
    for (int i = 0; i < 2; i++) {
        char text[400];
        struct compilation c;
        const struct mark *arc = NULL;
        snprintf(text, sizeof text,
                 "plan \"P\" { edition nec-2023 }\nroom a { kind hall; corner 0', 0'; size 10' by "
                 "10'; door east at 3' wide 3' to b }\nroom b { kind hall; corner 10'-4 1/2\", 0'; "
                 "size 10' by 10'; door west at 4' wide 3' %s to a }\n",
                 cases[i].words);
        const struct sheet *s = drawn_plan(&c, text);
        assert_int_equal(marks_of_doors(s, MARK_ARC, &arc), 1);
        struct area a = outline_of(s, "a");
        um foot = (a.bottom - a.top) / 10; /* of the hinge: 4 ft or 7 ft from the north */
        assert_true(llabs(arc->at.y - a.top - (cases[i].south ? 6 : 3) * foot) < 20);
        compile_free(&c);
    }
}

/* White over the walls; rooms are cut out of them in white too. */
static unsigned gaps_of(const struct sheet *s)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        n += m->group && m->group->role == ROLE_PLAIN && m->kind == MARK_SHAPE &&
             m->pen.fill == WHITE && m->pen.stroke == NO_INK;
    }
    return n;
}

static bool has_text(const struct sheet *s, const char *text)
{
    bool found = false;
    for (uint32_t i = 0; i < s->marks.n; i++)
        found |= s->marks.at[i].kind == MARK_TEXT && !strcmp(s->marks.at[i].text, text);
    return found;
}

/* A hole that one of two rooms writes is one in the walls of both; an island is drawn and named. */
static void a_hole_is_one_from_both_sides(void **state)
{
    (void)state;
    static const struct {
        const char *inside;
        unsigned gaps;
    } cases[] = {{"", 0},
                 {"door east at 3' wide 3'", 2},
                 {"opening east at 3' wide 3'", 2},
                 {"window east at 3' wide 3'", 2},
                 {"door west at 3' wide 3'", 1},
                 {"island at 3', 4' size 3' by 2'", 0}};
    enum { ROOMS = 2 };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        struct compilation c;
        snprintf(text, sizeof text,
                 "plan \"P\" { edition nec-2023 }\nroom a { kind hall; corner 0', 0'; size 10' by "
                 "10'; %s }\nroom b { kind hall; corner 10'-4 1/2\", 0'; size 10' by 10' }\n",
                 cases[i].inside);
        const struct sheet *s = drawn_plan(&c, text);
        assert_int_equal(gaps_of(s) - ROOMS, cases[i].gaps);
        assert_int_equal(has_text(s, "island"), !strncmp(cases[i].inside, "island", 6));
        compile_free(&c);
    }
}

/* --- given values ------------------------------------------------------------------------- */

/* All reports as JSON and all graphs of a plan, and its sheets where they are wanted. */
static char *all_outputs(const char *text, bool sheets)
{
    struct compilation c;
    struct buf out = {0};
    compile_text(&c, text);
    if (finding_of(&c, "syntax", 0) || finding_of(&c, "unknown-name", 0))
        show_compiled(&c);
    assert_null(finding_of(&c, "syntax", 0));
    assert_null(finding_of(&c, "unknown-name", 0));
    assert_null(finding_of(&c, "wrong-unit", 0));
    struct results r;
    assert_true(cmd_results(&c, &r));
    for (uint32_t i = 0; i < report_count; i++)
        report_write(&report_table[i], &r, REPORT_JSON, &out);
    for (uint32_t i = 0; i < dot_count; i++)
        dot_table[i].write(&r, &out);
    for (uint32_t i = 0; sheets && i < sheet_kind_count; i++)
        draw_kind(&r, &sheet_kinds[i], &out);
    char *copy = strdup(buf_text(&out));
    buf_free(&out);
    compile_free(&c);
    return copy;
}

static void given_values_are_read_wherever_a_value_stands(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (unsigned seed = 1; seed <= SEEDS; seed++) {
        struct template t = {.state = seed};
        char *outputs[2];
        write_rooms(&t);
        for (unsigned given = 0; given < 2; given++) {
            struct buf text = {0};
            buf_puts(&text, "plan \"Given\" { language 1; edition nec-2023 }\n");
            write_text(&text, "unit u \"Unit\" { corner 0', 0'", buf_text(&t.out), given);
            buf_puts(&text, "unit v : u \"Copy\" { corner 0', 40'; opposite-hand }\n");
            outputs[given] = all_outputs(buf_text(&text), seed <= DRAWN_SEEDS);
            buf_free(&text);
        }
        size_t at = 0;
        while (outputs[0][at] && outputs[0][at] == outputs[1][at])
            at++;
        if (outputs[0][at] != outputs[1][at])
            print_error("seed %u:\n%.200s\nbecame\n%.200s\n", seed,
                        outputs[0] + (at > 60 ? at - 60 : 0), outputs[1] + (at > 60 ? at - 60 : 0));
        wrong += outputs[0][at] != outputs[1][at];
        free(outputs[0]);
        free(outputs[1]);
        buf_free(&t.out);
    }
    assert_int_equal(wrong, 0);
}

/* Of forty boxes of a room a copy leaves out as many as it names. */
static void a_copy_leaves_out_any_number_of_boxes(void **state)
{
    (void)state;
    enum { ALL = 40, AWAY = 37 };
    struct buf text = {0};
    struct compilation c;
    buf_puts(&text, "plan \"Row\" { edition nec-2023 }\n"
                    "pattern u { room a \"Store\" { kind storage; corner 0', 0'; size 90' by 8'\n");
    for (int i = 1; i <= ALL; i++)
        buf_printf(&text, "  box J%d north at %d' { cover blank }\n", i, 2 * i);
    buf_puts(&text, "} }\nunit v : u \"Copy\" {\n  corner 0', 0'\n");
    for (int i = 1; i <= AWAY; i++)
        buf_printf(&text, "  without a.J%d\n", i);
    buf_puts(&text, "}\n");
    compile_text(&c, buf_text(&text));
    assert_int_equal(c.model->boxes.n, ALL - AWAY);
    compile_free(&c);
    buf_free(&text);
}

/* A given value is held to what the same value would be held to in its place. */
static void a_given_value_is_judged_as_one_that_is_written(void **state)
{
    (void)state;
    static const struct {
        const char *value, *before, *after;
    } cases[] = {
        {"0", "corner ", ", 0'"},    {"3'", "corner ", ", 0'"},     {"3", "corner ", ", 0'"},
        {"20 A", "corner ", ", 0'"}, {"2x4", "walls ", " at 16\""}, {"3'", "walls ", " at 16\""},
        {"2x6", "ceiling ", ""},     {"8'", "ceiling ", ""},        {"storage", "kind ", ""},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        unsigned errors[2];
        for (int given = 0; given < 2; given++) {
            struct buf b = {0};
            struct compilation c;
            buf_printf(&b,
                       "plan \"T\" { edition nec-2023 }\nunit u \"U\" {\ngiven x %s\n"
                       "room a \"A\" { size 12' by 10'; %s%s%s }\n}\n",
                       cases[i].value, cases[i].before, given ? "(x)" : cases[i].value,
                       cases[i].after);
            compile_text(&c, buf_text(&b));
            errors[given] = findings_of(&c, "wrong-unit") + findings_of(&c, "syntax");
            compile_free(&c);
            buf_free(&b);
        }
        if (errors[0] != errors[1])
            print_error("%s%s%s: %u written, %u given\n", cases[i].before, cases[i].value,
                        cases[i].after, errors[0], errors[1]);
        assert_int_equal(errors[0], errors[1]);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_given_value_is_judged_as_one_that_is_written),
        cmocka_unit_test(copies_are_mirror_images),
        cmocka_unit_test(hinges_are_where_the_plan_says),
        cmocka_unit_test(a_door_between_rooms_is_drawn_once),
        cmocka_unit_test(a_hole_is_one_from_both_sides),
        cmocka_unit_test(given_values_are_read_wherever_a_value_stands),
        cmocka_unit_test(a_copy_leaves_out_any_number_of_boxes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

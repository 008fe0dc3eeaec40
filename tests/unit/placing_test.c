/* Rules of placement beyond what their plans in tests/rules show: what a wall space is, what counts
 * as a receptacle, and what changed between editions. Articles of NFPA 70 stand beside each check;
 * answers that were published and are wrong are named, and the right one is asked for. */
#include "compiled.h"
#include "emit/unchecked.h"
#include "rules/space.h"

/* --- how many, how far -------------------------------------------------------------------- */

/* 210.52(A)(1): the least number is the length over twice the reach, rounded up. */
static void least_number_of_receptacles(void **state)
{
    (void)state;
    assert_int_equal(space_points_wanted(6 * FOOT, 6 * FOOT), 1);
    assert_int_equal(space_points_wanted(12 * FOOT, 6 * FOOT),
                     1); /* the formula "length / 12 + 1", seen on the web, gives 2: wrong */
    assert_int_equal(space_points_wanted(12 * FOOT + INCH / 64, 6 * FOOT), 2);
    assert_int_equal(space_points_wanted(54 * FOOT, 6 * FOOT), 5);
    assert_int_equal(space_points_wanted(65 * FOOT, 6 * FOOT), 6);
    assert_int_equal(space_points_wanted(0, 6 * FOOT), 0);
}

static void push_point(struct arena *a, point_list *list, length at)
{
    *vec_push(a, list) = at;
}

/* One wall of 15 ft with a receptacle at its middle: 1-1/2 ft at each end are out of reach.
 * http://www.diychatroom.com/f18/outlet-placement-90641/index2/ */
static void ends_of_a_long_wall_are_out_of_reach(void **state)
{
    (void)state;
    struct arena a = {0};
    point_list points = {0};
    stretch_list gaps = {0};
    push_point(&a, &points, 15 * FOOT / 2);
    space_stretch_gaps(&a, (struct stretch){0, 15 * FOOT}, false, &points, 6 * FOOT, &gaps);
    assert_int_equal(gaps.n, 2);
    assert_int_equal(gaps.at[0].to - gaps.at[0].from, 18 * INCH);
    assert_int_equal(gaps.at[1].from, 13 * FOOT + 6 * INCH);
    assert_int_equal(gaps.at[1].to, 15 * FOOT);
    arena_free(&a);
}

/* A closed ring has no ends: one receptacle reaches both ways over its start. */
static void a_ring_has_no_ends(void **state)
{
    (void)state;
    struct arena a = {0};
    point_list points = {0};
    stretch_list gaps = {0};
    push_point(&a, &points, 2 * FOOT);
    push_point(&a, &points, 14 * FOOT);
    space_stretch_gaps(&a, (struct stretch){0, 24 * FOOT}, true, &points, 6 * FOOT, &gaps);
    assert_int_equal(gaps.n, 0);
    space_stretch_gaps(&a, (struct stretch){0, 25 * FOOT}, true, &points, 6 * FOOT, &gaps);
    assert_int_equal(gaps.n, 1);
    assert_int_equal(gaps.at[0].from, 20 * FOOT);
    assert_int_equal(gaps.at[0].to, 21 * FOOT);
    arena_free(&a);
}

static void breaks_part_the_ring(void **state)
{
    (void)state;
    struct arena a = {0};
    stretch_list breaks = {0}, spaces = {0};
    *vec_push(&a, &breaks) = (struct stretch){30 * FOOT, 33 * FOOT};
    *vec_push(&a, &breaks) = (struct stretch){5 * FOOT, 8 * FOOT};
    *vec_push(&a, &breaks) = (struct stretch){7 * FOOT, 9 * FOOT};
    space_stretches_merge(&breaks);
    assert_int_equal(breaks.n, 2);
    space_ring_without(&a, 40 * FOOT, &breaks, &spaces);
    assert_int_equal(spaces.n, 2);
    assert_int_equal(spaces.at[0].from, 9 * FOOT);
    assert_int_equal(spaces.at[0].to, 30 * FOOT);
    assert_int_equal(spaces.at[1].from, 33 * FOOT);
    assert_int_equal(spaces.at[1].to, 45 * FOOT);
    arena_free(&a);
}

/* Where one more receptacle may stand: within 6 ft of both ends of the gap. */
static void window_reaches_both_ends(void **state)
{
    (void)state;
    struct stretch w = space_first_point_window((struct stretch){0, 40 * FOOT},
                                                (struct stretch){10 * FOOT, 18 * FOOT}, 6 * FOOT);
    assert_int_equal(w.from, 12 * FOOT);
    assert_int_equal(w.to, 16 * FOOT);
    w = space_first_point_window((struct stretch){0, 40 * FOOT}, (struct stretch){0, 20 * FOOT},
                                 6 * FOOT);
    assert_int_equal(w.from, 2 * FOOT);
    assert_int_equal(w.to, 6 * FOOT);
}

/* --- plans of one room -------------------------------------------------------------------- */

/* The plan is compiled for one rule's findings alone; that nothing feeds its boxes is no matter
 * here. */
static unsigned findings_in(const char *edition, const char *rooms, const char *rule,
                            const char *part, const char *mend)
{
    static char text[4000];
    struct compilation c;
    snprintf(text, sizeof text, "plan \"Rooms\" { edition %s }\n%s\n", edition, rooms);
    compile_text(&c, text);
    unsigned n = findings_of(&c, rule);
    const struct finding *f = finding_of(&c, rule, 0);
    bool says = !f || ((!part || strstr(f->message, part)) &&
                       (!mend || (f->mend && strstr(f->mend, mend))));
    if (!says) {
        fprintf(stderr, "wanted \"%s\" and \"%s\"\n", part ? part : "", mend ? mend : "");
        show_compiled(&c);
    }
    assert_true(says);
    compile_free(&c);
    return n;
}

static unsigned spaces_short(const char *room, const char *part, const char *mend)
{
    return findings_in("nec-2023", room, "receptacle-spacing", part, mend);
}

/* http://forums.mikeholt.com/showthread.php?t=182956: an alcove of three 24 in. walls is one space
 * of 6 ft, one receptacle anywhere in it. */
static void corners_do_not_break_an_alcove(void **state)
{
    (void)state;
    static const char alcove[] =
        "room a { kind living; size 2' by 2'; opening south at 0' wide 2'\n%s }";
    char room[200];
    snprintf(room, sizeof room, alcove, "");
    assert_int_equal(spaces_short(room, "the wall space of 6' along the west, north and east walls",
                                  "a receptacle between 0' and 2'"),
                     1);
    static const char *const places[] = {"west at 0'", "north at 1'", "east at 2'"};
    for (int i = 0; i < 3; i++) {
        char box[100];
        snprintf(box, sizeof box, "box R1 %s { receptacle }", places[i]);
        snprintf(room, sizeof room, alcove, box);
        assert_int_equal(spaces_short(room, NULL, NULL), 0);
    }
}

/* 17 ft square with one doorway of 3 ft: published as 7 (5 + 1 + 1, wall by wall), which is wrong
 * by its own premise: one space of 65 ft wants 6. 15 ft by 12 ft without any opening: a ring of 54
 * ft, 5. */
static void rooms_are_counted_round_their_corners(void **state)
{
    (void)state;
    assert_int_equal(
        spaces_short("room a { kind living; size 17' by 17'; door south at 7' wide 3' }",
                     "wall space of 65'", "6 receptacles at least"),
        1);
    assert_int_equal(spaces_short("room a { kind living; size 15' by 12' }", "wall space of 54'",
                                  "5 receptacles at least"),
                     1);
    assert_int_equal(
        spaces_short("room a { kind living; size 17' by 17'; door south at 7' wide 3'\n"
                     "box R1 south at 16' { receptacle }\nbox R2 west at 11' { receptacle }\nbox "
                     "R3 north at 6' { receptacle }\n"
                     "box R4 east at 1' { receptacle }\nbox R5 east at 12' { receptacle }\nbox R6 "
                     "south at 5' { receptacle } }",
                     NULL, NULL),
        0);
}

/* 210.52(A)(2): a space of less than 2 ft is none. */
static void narrow_walls_are_no_space(void **state)
{
    (void)state;
    static const char narrow[] =
        "room a { kind bedroom; size 10' by 4'; opening west at 0' wide 4'; opening east at 0' "
        "wide 4'; opening north at 0' wide 10'\n"
        "door south at %s wide 3'; fixed south at 0' wide %s; opening south at %s wide %s }";
    char room[400];
    snprintf(room, sizeof room, narrow, "4'-11\"", "3'", "7'-11\"", "2'-1\"");
    assert_int_equal(spaces_short(room, NULL, NULL), 0);
    snprintf(room, sizeof room, narrow, "5'", "3'", "8'", "2'");
    assert_int_equal(spaces_short(room, "the wall space of 2' along the south wall", NULL), 1);
}

/* One wall of 10 ft between openings, with things on it. */
static unsigned wall_with(const char *things)
{
    char room[700];
    snprintf(room, sizeof room,
             "room a { kind living; size 10' by 8'; opening west at 0' wide 8'; opening east at 0' "
             "wide 8'; opening south at 0' wide 10'\n%s }",
             things);
    return spaces_short(room, NULL, NULL);
}

/* 210.52(A)(3), 210.52(1) to (4). */
static void what_counts_as_a_receptacle(void **state)
{
    (void)state;
    assert_int_equal(wall_with(""), 1);
    assert_int_equal(wall_with("box R1 north at 5' { receptacle }"), 0);
    assert_int_equal(wall_with("box R1 north at 5' up 66\" { receptacle }"), 0);
    assert_int_equal(wall_with("box R1 north at 5' up 67\" { receptacle }"), 1);
    assert_int_equal(wall_with("box R1 floor at 5', 6'-6\" { receptacle }"), 0);
    assert_int_equal(wall_with("box R1 floor at 5', 6'-5\" { receptacle }"), 1);
    assert_int_equal(
        wall_with(
            "box R1 north at 5' { receptacle leg lamp }\nbox S1 north at 9' { switch leg lamp }"),
        1);
    assert_int_equal(wall_with("box R1 north at 5' { receptacle half leg lamp }\nbox S1 north at "
                               "9' { switch leg lamp }"),
                     0);
    assert_int_equal(wall_with("box R1 north at 5' { receptacle-240-20 }"), 1);
    assert_int_equal(wall_with("box L1 north at 5' { wall-luminaire }"), 1);
}

/* 210.52(A)(2): what breaks a space and what does not. The receptacle at one end reaches 6 ft. */
static void what_breaks_a_space(void **state)
{
    (void)state;
    static const char end[] = "box R1 north at 2' { receptacle }\n";
    static const struct {
        const char *thing;
        unsigned spaces;
    } cases[] = {
        {"", 1},                          /* 8 ft to 10 ft are out of reach */
        {"fixed north at 6' wide 4'", 0}, /* a cabinet to the end */
        {"fixed north at 6' wide 4'\ncounter north at 6' wide 4'",
         1},                              /* with a counter it is wall space, 2017 on */
        {"fixed north at 4' wide 1'", 1}, /* a cabinet between: 5 ft to 10 ft have none */
        {"window north at 6' wide 4' sill 0' sliding", 0}, /* sliding glass */
        {"window north at 6' wide 4' sill 0'", 1},         /* fixed glass counts */
        {"window north at 6' wide 4'", 1},                 /* so does the wall below a window */
        {"opening north at 6' wide 4'", 0},
        {"opening north at 6' wide 4'\nrailing north at 6' wide 4'", 1}, /* a guard rail counts */
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char things[300];
        snprintf(things, sizeof things, "%s%s", end, cases[i].thing);
        if (wall_with(things) != cases[i].spaces)
            fprintf(stderr, "case %zu: %s\n", i, cases[i].thing);
        assert_int_equal(wall_with(things), cases[i].spaces);
    }
}

/* 210.52(A)(4): receptacles above kitchen counters do not serve the wall, and the counter's end
 * hides some of the next one. */
static void kitchen_counters_are_apart(void **state)
{
    (void)state;
    static const char kitchen[] = "room a { kind kitchen; size 10' by 6'; opening east at 0' wide "
                                  "6'; opening south at 0' wide 10'\n"
                                  "counter north at 0' wide 10' deep 25\"\n%s }";
    char room[400];
    snprintf(room, sizeof room, kitchen, "box R1 north at 2' up 42\" { receptacle }");
    assert_int_equal(spaces_short(room, "the wall space of 3'-11\" along the west wall", NULL), 1);
    snprintf(room, sizeof room, kitchen, "box R1 west at 1' { receptacle }");
    assert_int_equal(spaces_short(room, NULL, NULL), 0);
}

/* A room in doubt, one without a kind and one that the work does not reach are left alone. */
static void rooms_in_doubt_are_left_alone(void **state)
{
    (void)state;
    assert_int_equal(spaces_short("room a { size 12' by 12' }", NULL, NULL), 0);
    assert_int_equal(
        spaces_short("room a { kind living; size 12' by 12'; door south at wide 3' }", NULL, NULL),
        0);
    assert_int_equal(
        spaces_short("room a { kind living; size 12' by 12'; box R1 south at { receptacle } }",
                     NULL, NULL),
        0);
    assert_int_equal(
        spaces_short(
            "room a { kind living; size 12' by 12'; box R1 south at 3' { existing; receptacle } }",
            NULL, NULL),
        0);
    assert_int_equal(spaces_short("room a { kind storage; size 12' by 12' }", NULL, NULL), 0);
    assert_int_equal(spaces_short("room a { kind storage; size 12' by 12'; area bed kind bedroom "
                                  "from 0', 0' size 6' by 6' }",
                                  NULL, NULL),
                     1);
}

/* 210.52(A)(2): a doorway breaks the wall of both rooms, whichever of them writes it. */
static void doors_of_the_next_room_break_the_wall(void **state)
{
    (void)state;
    static const char rooms[] =
        "room a { kind living; corner 0', 0'; size 10' by 8'; opening west at 0' wide 8'; opening "
        "east at 0' wide 8'; opening south at 0' wide 10'\n"
        "box R1 north at 3' { receptacle }\n%s }\nroom b { kind storage; corner 0', 8'-4 1/2\"; "
        "size 10' by 4'\n%s }";
    char text[600];
    snprintf(text, sizeof text, rooms, "", "");
    assert_int_equal(spaces_short(text, "1' of the wall space of 10'", NULL), 1);
    snprintf(text, sizeof text, rooms, "",
             "door south at 2' wide 5'"); /* 3 ft to 8 ft of the north wall: 2 ft beyond it are a
                                             space of their own */
    assert_int_equal(
        spaces_short(text, "the wall space of 2' along the north wall from 8' to 10'", NULL), 1);
    snprintf(text, sizeof text, rooms, "", "door south at 0' wide 3'");
    assert_int_equal(spaces_short(text, NULL, NULL), 0);
    snprintf(text, sizeof text, rooms, "door north at 7' wide 3'", "door south at 0' wide 3'");
    assert_int_equal(spaces_short(text, NULL, NULL), 0);
    snprintf(text, sizeof text, rooms, "",
             "door south at 0' wide"); /* broken: it may be anywhere in that wall */
    assert_int_equal(spaces_short(text, NULL, NULL), 0);
}

/* 210.52(A)(2): the floor line is unbroken where a wall runs on from room to room beside an opening
 * that reaches into the corner. */
static void spaces_run_on_into_an_open_room(void **state)
{
    (void)state;
    static const char rooms[] =
        "room a { kind living; corner 0', 0'; size 10' by 8'; opening west at 0' wide 8'; opening "
        "south at 0' wide 10'; opening east at %s wide %s to b\n%s }\n"
        "room b { kind %s; corner 10'-4 1/2\", 0'; size 10' by 8'; opening east at 0' wide 8'; "
        "opening south at 0' wide 10'\n%s }";
    static const struct {
        const char *at, *wide, *in_a, *kind, *in_b, *says;
        unsigned spaces;
    } cases[] = {
        /* one space of 10 ft, 4-1/2 in. and 10 ft */
        {"0'", "8'", "", "dining", "",
         "the wall space of 20'-4 1/2\" along the north wall and on along the north wall of room "
         "'b' has no receptacle",
         1},
        {"0'", "8'", "box R1 north at 4' { receptacle }", "dining",
         "box R1 north at 6' { receptacle }", NULL, 1},
        {"0'", "8'", "box R1 north at 6' { receptacle }", "dining",
         "box R1 north at 5' { receptacle }", NULL, 0},
        {"0'", "8'", "box R1 north at 5' { receptacle }", "dining",
         "box R1 north at 6' { receptacle }", NULL, 0},
        /* a stub of wall in the corner parts them; it is a space of its own with the wall round the
           corner */
        {"1'", "7'", "box R1 north at 5' { receptacle }", "dining",
         "box R1 north at 5' { receptacle }", NULL, 0},
        {"1'", "7'", "box R1 north at 4' { receptacle }", "dining",
         "box R1 north at 2' { receptacle }",
         "1' of the wall space of 11' along the north and east walls", 2},
        /* nothing is asked of a hall's wall, but what stands there serves */
        {"0'", "8'", "box R1 north at 4' { receptacle }", "hall",
         "box R1 north at 5' { receptacle }", NULL, 0},
        {"0'", "8'", "box R1 north at 3'-11\" { receptacle }", "hall",
         "box R1 north at 5'-9\" { receptacle }", "is more than 6'", 1},
        /* of a room in doubt nothing is known */
        {"0'", "8'", "box R1 north at 4' { receptacle }", "dining",
         "box R1 north at { receptacle }", NULL, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[800];
        snprintf(text, sizeof text, rooms, cases[i].at, cases[i].wide, cases[i].in_a, cases[i].kind,
                 cases[i].in_b);
        unsigned n = spaces_short(text, cases[i].says, NULL);
        if (n != cases[i].spaces)
            fprintf(stderr, "case %zu: %u\n", i, n);
        assert_int_equal(n, cases[i].spaces);
    }
}

/* A part of a room with a use of its own is asked alone, and asked for nothing where its use is not
 * of those kinds. */
static void parts_of_rooms_are_asked_alone(void **state)
{
    (void)state;
    assert_int_equal(
        spaces_short(
            "room a { kind garage; size 30' by 20'; area desk kind office from 0', 0' size 6' by "
            "6'\nbox R1 west at 3' { receptacle }\nbox R2 south at 29' { receptacle } }",
            NULL, NULL),
        0);
    assert_int_equal(spaces_short("room a { kind garage; size 30' by 20'; area desk kind office "
                                  "from 0', 0' size 6' by 6'\nbox R1 west at 3' { receptacle } }",
                                  "3' of the wall space", NULL),
                     1);
    assert_int_equal(spaces_short("room a { kind living; size 10' by 8'; area wash kind laundry "
                                  "from 0', 1' size 10' by 7'\nbox R1 south at 5' { receptacle } }",
                                  NULL, NULL),
                     0);
    assert_int_equal(spaces_short("room a { kind living; size 10' by 8'; area wash kind laundry "
                                  "from 0', 5' size 10' by 3'\nbox R1 south at 5' { receptacle } }",
                                  "8' of the wall space", NULL),
                     1);
}

/* Two rooms that are open to each other over all their depth: the outer walls are one ring without
 * an end. */
static void a_ring_runs_through_two_rooms(void **state)
{
    (void)state;
    static const char rooms[] = "room a { kind living; corner 0', 0'; size 8' by 8'; opening east "
                                "at 0' wide 8' to b\n%s }\n"
                                "room b { kind dining; corner 8'-4 1/2\", 0'; size 8' by 8'\n%s }";
    char text[600];
    snprintf(text, sizeof text, rooms, "", ""); /* 48 ft and twice 4-1/2 in. */
    assert_int_equal(spaces_short(text, "the wall space of 48'-9\"", "5 receptacles at least"), 1);
    snprintf(text, sizeof text, rooms,
             "box R1 south at 2' { receptacle }\nbox R2 north at 5' { receptacle }\nbox R3 west at "
             "3' { receptacle }",
             "box R1 north at 8' { receptacle }\nbox R2 south at 4' { receptacle }");
    assert_int_equal(spaces_short(text, NULL, NULL), 0);
}

/* Two spaces of one length on one wall are two faults. */
static void like_spaces_are_told_apart(void **state)
{
    (void)state;
    assert_int_equal(
        spaces_short("room a { kind living; size 10' by 8'; opening west at 0' wide 8'; opening "
                     "east at 0' wide 8'; opening south at 0' wide 10'; door north at 3' wide 4' }",
                     "from 0' to 3'", NULL),
        2);
    assert_int_equal(
        findings_in("nec-2023",
                    "room a { kind foyer; size 10' by 8'; opening west at 0' wide 8'; opening east "
                    "at 0' wide 8'; opening south at 0' wide 10'; door north at 3' wide 4' }",
                    "foyer-receptacle", "the north wall from 0' to 3'", NULL),
        2);
    assert_int_equal(findings_in("nec-2023",
                                 "room a { kind kitchen; size 10' by 8'; counter north at 0' wide "
                                 "10'; sink north at 4' wide 2' }",
                                 "counter-spacing", "from 0' to 4'", NULL),
                     2);
}

/* 210.52(3): a receptacle within a cabinet does not count; one on the wall above its counter does.
 * A cabinet in a part of the room that is no kitchen is no counter of the kitchen. */
static void receptacles_in_cabinets_do_not_count(void **state)
{
    (void)state;
    assert_int_equal(wall_with("fixed north at 3' wide 4'\ncounter north at 3' wide 4'\nbox R1 "
                               "north at 5' up 20\" { receptacle }"),
                     1);
    assert_int_equal(wall_with("fixed north at 3' wide 4'\ncounter north at 3' wide 4'\nbox R1 "
                               "north at 5' up 42\" { receptacle }"),
                     0);
    assert_int_equal(
        wall_with("counter north at 3' wide 4'\nbox R1 north at 5' up 20\" { receptacle }"),
        0); /* below a desk */
    assert_int_equal(
        wall_with("area cooking kind kitchen from 0', 0' size 10' by 4'\nfixed north at 3' wide "
                  "4'\ncounter north at 3' wide 4'\nbox R1 north at 5' up 42\" { receptacle }"),
        0);
}

/* Copies of one room, also mirrored ones, give one finding each space, in the hand of the text. */
static void copies_are_one_finding(void **state)
{
    (void)state;
    static const char flats[] = "pattern p { room a { kind living; corner 0', 0'; size 20' by 12'; "
                                "door south at 2' wide 3'; door north at 4' wide 3' } }\n"
                                "unit u1 : p { corner 0', 0' }\nunit u2 : p { corner 30', 0'; "
                                "opposite-hand }\nunit u3 : p { corner 60', 0' }";
    assert_int_equal(spaces_short(flats, NULL, NULL), 2);
    /* a space that comes back to its own wall, and one through two rooms, also turned */
    static const char round[] = "pattern p { room a { kind living; corner 0', 0'; size 20' by 12'; "
                                "door south at 2' wide 3' } }\n"
                                "unit u1 : p { corner 0', 0' }\nunit u2 : p { corner 30', 0'; "
                                "opposite-hand }\nunit u3 : p { corner 60', 0'; turn left }";
    assert_int_equal(spaces_short(round, "along the south, west, north and east walls", NULL), 1);
    static const char open[] =
        "pattern p { room a { kind living; corner 0', 0'; size 10' by 8'; opening north at 0' wide "
        "10'; door west at 1' wide 3'; box R1 south at 2' { receptacle } }\n"
        "room b { kind dining; corner 0', 8'-4 1/2\"; size 10' by 12'; door north at 1' wide 3' } "
        "}\n"
        "unit u1 : p { corner 0', 0' }\nunit u2 : p { corner 30', 0'; opposite-hand }\nunit u3 : p "
        "{ corner 60', 0'; turn around; opposite-hand }";
    assert_int_equal(spaces_short(open, NULL, NULL), 2);
}

/* --- counters, islands -------------------------------------------------------------------- */

static unsigned counters_short(const char *things, const char *part)
{
    char room[600];
    snprintf(room, sizeof room,
             "room a { kind kitchen; size 14' by 10'; counter north at 0' wide 10'%s }", things);
    return findings_in("nec-2023", room, "counter-spacing", part, NULL);
}

/* 210.52(C)(1), (C)(3). */
static void counters_want_one_every_four_feet(void **state)
{
    (void)state;
    assert_int_equal(counters_short("", "has no receptacle above it"), 1);
    assert_int_equal(
        counters_short("\nbox A north at 2' up 42\" { receptacle }\nbox B north at 6' up 42\" { "
                       "receptacle }\nbox C north at 8' up 42\" { receptacle }",
                       NULL),
        0);
    assert_int_equal(
        counters_short("\nbox A north at 2' up 42\" { receptacle }\nbox B north at 6'-1\" up 42\" "
                       "{ receptacle }\nbox C north at 8' up 42\" { receptacle }",
                       "1\" of the counter"),
        1);
    /* more than 20 in. above the top, or below it, it does not serve */
    assert_int_equal(
        counters_short("\nbox A north at 2' up 57\" { receptacle }\nbox B north at 6' up 42\" { "
                       "receptacle }\nbox C north at 8' up 42\" { receptacle }",
                       "4' of the counter"),
        1);
    /* a sink parts the counter, unless 12 in. are left behind it; then the space behind it counts
     */
    assert_int_equal(
        counters_short(" deep 36\"\nsink north at 4' wide 2' deep 26\"\nbox A north at 2' up 42\" "
                       "{ receptacle }\nbox B north at 8' up 42\" { receptacle }",
                       NULL),
        0);
    assert_int_equal(
        counters_short(" deep 36\"\nsink north at 4' wide 2' deep 24\"\nbox A north at 2' up 42\" "
                       "{ receptacle }\nbox B north at 8' up 42\" { receptacle }",
                       "2' of the counter"),
        1);
    /* less than 12 in. of counter beside a range is no space */
    assert_int_equal(counters_short("\nrange north at 11\" wide 9'-1\"", NULL), 0);
    assert_int_equal(counters_short("\nrange north at 12\" wide 9'", "the counter space of 1'"), 1);
}

/* 210.52(C)(1): along the wall line, round the corner too. The second leg may be written from the
 * corner or from where the first one's depth ends. */
static void counters_turn_corners(void **state)
{
    (void)state;
    static const char *const legs[] = {"0'", "25\""};
    static const char room[] = "room a { kind kitchen; size 10' by 10'; counter north at 4' wide "
                               "6' deep 25\"; counter east at %s wide %s\n%s }";
    static const struct {
        const char *boxes;
        unsigned faults;
    } cases[] = {
        {"", 1}, /* one counter, not two */
        {"box A north at 6' up 42\" { receptacle }\nbox B north at 10' up 42\" { receptacle }\nbox "
         "C east at 4' up 42\" { receptacle }",
         0},
        {"box A north at 6' up 42\" { receptacle }\nbox B north at 9' up 42\" { receptacle }\nbox "
         "C east at 3'-1\" up 42\" { receptacle }",
         1},
        {"box A north at 6' up 42\" { receptacle }\nbox B east at 1\" up 42\" { receptacle }\nbox "
         "C east at 4' up 42\" { receptacle }",
         1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        for (int k = 0; k < 2; k++) {
            char text[600];
            snprintf(text, sizeof text, room, legs[k], k ? "35\"" : "5'", cases[i].boxes);
            unsigned n = findings_in("nec-2023", text, "counter-spacing", NULL, NULL);
            if (n != cases[i].faults)
                fprintf(stderr, "case %zu, leg %d: %u\n", i, k, n);
            assert_int_equal(n, cases[i].faults);
        }
    /* the end of a counter against the next wall: a receptacle above it there serves it, along the
     * wall line */
    static const char end[] = "room a { kind kitchen; size 10' by 10'; counter north at 0' wide 3' "
                              "deep 25\"; box A west at %s up 42\" { receptacle } }";
    char text[300];
    snprintf(text, sizeof text, end, "9'-6\"");
    assert_int_equal(
        findings_in("nec-2023", text, "counter-spacing", "1'-6\" of the counter space", NULL), 1);
    snprintf(text, sizeof text, end, "7'");
    assert_int_equal(
        findings_in("nec-2023", text, "counter-spacing", "has no receptacle above it", NULL), 1);
}

/* Figure 210.52(C)(1): 12 in. behind a sink, 18 in. in a corner keep the counter in one; the depth
 * is that of its own counter. */
static void sinks_part_their_own_counter(void **state)
{
    (void)state;
    static const char room[] =
        "room a { kind kitchen; size 12' by 10'; counter north at 0' wide 6' deep %s; counter "
        "south at 0' wide 1' deep 40\"; box Z south at 6\" up 42\" { receptacle }\n"
        "sink north at %s wide 2' deep 22\"; box A north at %s up 42\" { receptacle }\nbox B north "
        "at %s up 42\" { receptacle } }";
    static const struct {
        const char *deep, *sink, *a, *b;
        unsigned faults;
    } cases[] = {
        {"25\"", "2'", "1'", "5'", 0},      /* 3 in. behind: two spaces of 2 ft, each has one */
        {"34\"", "2'", "1'", "5'", 0},      /* 12 in. behind: one space, all reached */
        {"34\"", "2'", "6\"", "5'-6\"", 1}, /* one space: 2'-6" to 3'-6" are not reached */
        {"33\"", "2'", "6\"", "5'-6\"", 0}, /* two spaces again */
        {"39\"", "0'", "4'", "5'", 0}, /* in the corner 17 in. part: what is left begins at 2 ft */
        {"40\"", "0'", "4'-1\"", "5'", 1}, /* 18 in. do not: the corner is out of reach */
        {"39\"", "0'", "4'-1\"", "5'", 1}, /* 2' to 2'-1" of the rest */
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[600];
        snprintf(text, sizeof text, room, cases[i].deep, cases[i].sink, cases[i].a, cases[i].b);
        unsigned n = findings_in("nec-2023", text, "counter-spacing", NULL, NULL);
        if (n != cases[i].faults)
            fprintf(stderr, "case %zu: %u\n", i, n);
        assert_int_equal(n, cases[i].faults);
    }
}

static unsigned island_faults(const char *edition, const char *things, const char *part)
{
    char room[600];
    snprintf(room, sizeof room, "room a { kind kitchen; size 20' by 20'\n%s }", things);
    return findings_in(edition, room, "island-receptacle", part, NULL);
}

/* 54 in. by 20 in. is 7.5 ft2: one by 2017 and 2020, none by 2023.
 * https://forums.mikeholt.com/threads/island-receptacles.2579635/page-2 */
static void islands_by_edition(void **state)
{
    (void)state;
    static const char
        small[] = "island at 6', 6' size 4'-6\" by 20\"",
        one[] = "island at 6', 6' size 9' by 2'-1\"\nbox R floor at 7', 7' { receptacle }";
    assert_int_equal(island_faults("nec-2017", small, "has 0 receptacles; it wants 1"), 1);
    assert_int_equal(island_faults("nec-2020", small, "has 0 receptacles; it wants 1"), 1);
    assert_int_equal(island_faults("nec-2023", small, NULL), 0);
    /* 18.75 ft2: 2017 one, 2020 one for 9 ft2 and one more */
    assert_int_equal(island_faults("nec-2017", one, NULL), 0);
    assert_int_equal(island_faults("nec-2020", one, "has 1 receptacle; it wants 2"), 1);
    /* 27 ft2 want two, a little more three */
    assert_int_equal(island_faults("nec-2020", "island at 6', 6' size 9' by 3'", "wants 2"), 1);
    assert_int_equal(island_faults("nec-2020", "island at 6', 6' size 9' by 3'-1\"", "wants 3"), 1);
    /* 2017: below 24 in. by 12 in. none */
    assert_int_equal(island_faults("nec-2017", "island at 6', 6' size 23\" by 20\"", NULL), 0);
    assert_int_equal(island_faults("nec-2017", "island at 6', 6' size 5' by 11\"", NULL), 0);
}

/* 2020 210.52(C)(2)(b): within 2 ft of a peninsula's outer end. 2017 does not ask it. */
static void peninsulas_have_one_at_their_end(void **state)
{
    (void)state;
    static const char near_wall[] =
        "peninsula north at 8' wide 2' out 4'\nbox R floor at 9', 18'-6\" { receptacle }";
    static const char near_end[] =
        "peninsula north at 8' wide 2' out 4'\nbox R floor at 9', 17' { receptacle }";
    assert_int_equal(island_faults("nec-2017", near_wall, NULL), 0);
    assert_int_equal(island_faults("nec-2020", near_wall, "within 2' of its outer end"), 1);
    assert_int_equal(island_faults("nec-2020", near_end, NULL), 0);
    assert_int_equal(island_faults("nec-2023", near_wall, NULL), 0);
}

/* --- zones -------------------------------------------------------------------------------- */

static unsigned zone_faults(const char *edition, const char *rooms)
{
    return findings_in(edition, rooms, "wet-zone", NULL, NULL);
}

/* 406.9(C): 2017 only the space itself; 2020 3 ft beside it, through walls; 2023 the zone ends at
 * walls. https://forums.mikeholt.com/threads/406-9-c-2023-question.2571256 */
static void tub_zones_by_edition(void **state)
{
    (void)state;
    static const char beside[] = "room a { kind bath; size 10' by 10'; tub west at 0' wide 5' deep "
                                 "30\"; box R1 south at 5' up 42\" { receptacle-gfci } }";
    static const char above[] = "room a { kind bath; size 10' by 10'; tub west at 0' wide 5' deep "
                                "30\"; box R1 west at 2' up 72\" { receptacle-gfci } }";
    static const char next_door[] =
        "room a { kind bath; corner 0', 0'; size 10' by 10'; tub west at 0' wide 5' deep 30\" }\n"
        "room b { kind storage; corner -8'-4 1/2\", 0'; size 8' by 10'; box R1 east at 8' { "
        "receptacle } }";
    assert_int_equal(zone_faults("nec-2017", beside), 0);
    assert_int_equal(zone_faults("nec-2020", beside), 1);
    assert_int_equal(zone_faults("nec-2023", beside), 1);
    assert_int_equal(zone_faults("nec-2017", above), 1);
    assert_int_equal(zone_faults("nec-2020", above), 1);
    assert_int_equal(zone_faults("nec-2017", next_door), 0);
    assert_int_equal(zone_faults("nec-2020", next_door), 1);
    assert_int_equal(zone_faults("nec-2023", next_door), 0);
}

/* 406.9(C): receptacles of every voltage; since 2023 the zone ends at walls, the room's own among
 * them; the tub's own space never leaves its room. */
static void zones_end_at_walls(void **state)
{
    (void)state;
    /* an L: the tub lies in the west leg, the receptacle round the corner of a wall that stands
     * between, 2 ft off */
    static const char bent[] =
        "room a { kind bath; outline from 0', 0' { w north 8'; n east 12'; e south 8'; s1 west 6'; "
        "j north 6'; k west 1'; l south 6'; s2 west 5' }\n"
        "tub w at 1' wide 5' deep 48\"; box R1 s1 at 5'-9\" { receptacle-gfci } }";
    static const char dryer[] = "room a { kind bath; size 10' by 10'; tub west at 0' wide 5' deep "
                                "30\"; box R1 south at 5' up 42\" { dryer-receptacle } }";
    static const char touching[] =
        "room a { kind bath; corner 0', 0'; size 10' by 10'; tub west at 0' wide 5' deep 30\" }\n"
        "room b { kind storage; corner -8', 0'; size 8' by 10'; box R1 east at 8' { receptacle } }";
    assert_int_equal(zone_faults("nec-2020", bent), 1);
    assert_int_equal(zone_faults("nec-2023", bent), 0);
    assert_int_equal(zone_faults("nec-2017", dryer), 0);
    assert_int_equal(zone_faults("nec-2023", dryer), 1);
    assert_int_equal(zone_faults("nec-2017", touching), 0);
    assert_int_equal(zone_faults("nec-2020", touching), 1);
}

/* A bath that lies wholly in the zone may have its receptacle on the wall farthest from the tub:
 * the exception came with the zone, in 2020. https://electriciantalk.com (2020 406.9(C)),
 * https://forums.mikeholt.com/threads/406-9-c-2023-question.2571256 */
static void a_small_bath_uses_its_farthest_wall(void **state)
{
    (void)state;
    static const char small[] = "room a { kind bath; size 5' by 5'; tub west at 0' wide 5' deep "
                                "30\"; box R1 %s at 2' up 42\" { receptacle-gfci } }";
    char room[300];
    snprintf(room, sizeof room, small, "east");
    assert_int_equal(zone_faults("nec-2020", room), 0);
    assert_int_equal(zone_faults("nec-2023", room), 0);
    snprintf(room, sizeof room, small, "north");
    assert_int_equal(zone_faults("nec-2020", room), 1);
    assert_int_equal(zone_faults("nec-2023", room), 1);
}

/* 410.10(D). */
static void paddle_fans_keep_clear_of_tubs(void **state)
{
    (void)state;
    static const char fan[] = "room a { kind bath; size 10' by 10'; tub west at 0' wide 5' deep "
                              "30\"; box F1 overhead at %s, 3' { paddle-fan } }";
    char room[300];
    snprintf(room, sizeof room, fan, "5'");
    assert_int_equal(zone_faults("nec-2023", room), 1);
    snprintf(room, sizeof room, fan, "5'-6\"");
    assert_int_equal(zone_faults("nec-2023", room), 0);
}

/* 210.52(D): 3 ft from the edge of each basin, on a wall beside it, not more than 12 in. below its
 * top (36 in. up by the trade); 210.52(4): nor over 5-1/2 ft. */
static void basins_have_one_beside_them(void **state)
{
    (void)state;
    static const struct {
        const char *box;
        unsigned missing, height;
    } cases[] = {
        {"north at 1' up 42\"", 0, 0},
        {"north at 7'-8\" up 42\"", 0, 0}, /* 3 ft from the edge at 4'-8" */
        {"north at 7'-9\" up 42\"", 1, 0},
        {"west at 4' up 42\"", 0, 0},      /* round the corner */
        {"south at 6'-6\" up 42\"", 1, 0}, /* across the room, 28 in. from its front */
        {"north at 1' up 24\"", 0, 0},
        {"north at 1' up 23-1/2\"", 0, 1},
        {"north at 1' up 66\"", 0, 0},
        {"north at 1' up 67\"", 0, 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[300];
        snprintf(text, sizeof text,
                 "room a { kind bath; size 9' by 4'-6\"; basin north at 3' wide 20\" deep 22\"; "
                 "box R1 %s { receptacle-gfci } }",
                 cases[i].box);
        unsigned missing = findings_in("nec-2023", text, "basin-receptacle", NULL, NULL),
                 height = findings_in("nec-2023", text, "box-height", NULL, NULL);
        if (missing != cases[i].missing || height != cases[i].height)
            fprintf(stderr, "case %zu: %u, %u\n", i, missing, height);
        assert_int_equal(missing, cases[i].missing);
        assert_int_equal(height, cases[i].height);
    }
}

/* 110.26(A)(1), (2), (3): 30 in. by 3 ft, 6-1/2 ft high; the panel need not stand at its middle. */
static void panels_have_room_to_stand(void **state)
{
    (void)state;
    static const struct {
        const char *room;      /* the panel hangs at the north wall */
        const char *at, *says; /* NULL: nothing is said */
    } cases[] = {
        {"size 30\" by 36\"", "8\"", NULL},
        {"size 29\" by 36\"", "8\"", "29 in. of free wall"},
        {"size 30\" by 35\"", "8\"", "2.92 ft deep"},
        {"size 6' by 6'; ceiling 6'-5\"", "3'", "6.42 ft high"},
        {"size 6' by 6'; fixed north at 3'-8\" wide 2'", "3'", NULL},
        {"size 6' by 6'; fixed north at 3'-8\" wide 2'; fixed north at 0' wide 1'-3\"", "3'",
         "29 in. of free wall"},
        {"size 6' by 6'; fixed north at 2' wide 2'", "3'", "stands at the wall"},
        {"size 6' by 6'; counter south at 0' wide 6' deep 3'", "3'", NULL},
        {"size 6' by 6'; counter south at 0' wide 6' deep 37\"", "3'",
         "2.92 ft are free before panel P"},
        {"size 6' by 6'; counter west at 0' wide 6' deep 24\"", "3'", NULL},
        {"size 4' by 6'; counter west at 0' wide 6' deep 19\"", "3'", "29 in. of free wall"},
        {"size 4' by 6'; counter west at 0' wide 3' deep 19\"", "3'",
         NULL}, /* the counter ends 3 ft from the panel's wall */
        {"size 6' by 8'; island at 2', 4' size 2' by 2'", "3'", "2 ft are free before panel P"},
        {"size 6' by 8'; island at 2', 3' size 2' by 2'", "3'", NULL},
        {"size 6' by 8'; chase at 2', 4'-11\" size 2' by 1'", "3'", "2.08 ft are free"},
        /* an L: beside the panel the room is deep, before it is not */
        {"outline from 0', 0' { west north 8'; north east 8'; east south 2'; south west 4'; inner "
         "south 6'; s2 west 4' }",
         "6'", "2 ft deep"},
        {"outline from 0', 0' { west north 8'; north east 8'; east south 2'; south west 4'; inner "
         "south 6'; s2 west 4' }",
         "3'", NULL},
        /* a slanted corner */
        {"outline from 0', 0' { west north 8'; north east 8'; east south 1'; slant south 4' west "
         "3'; s2 south 3'; s3 west 5' }",
         "6'-6\"", "is 2.19 ft deep before panel P"},
        {"outline from 0', 0' { west north 8'; north east 8'; east south 1'; slant south 4' west "
         "3'; s2 south 3'; s3 west 5' }",
         "3'", NULL},
        {"kind outdoors; size 6' by 2'", "3'", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[500];
        snprintf(text, sizeof text,
                 "room a { %s%s }\npanel P { in a north at %s up 5'; main 60 A; spaces 8 }",
                 strstr(cases[i].room, "kind") ? "" : "kind storage; ", cases[i].room, cases[i].at);
        unsigned n = findings_in("nec-2023", text, "panel-clearance", cases[i].says, NULL);
        if (n != (cases[i].says != NULL))
            fprintf(stderr, "case %zu: %u\n", i, n);
        assert_int_equal(n, cases[i].says != NULL);
    }
}

/* 240.24(D), (E), (F): not in a bath, a closet or over steps, nor in a part of a room that is one.
 */
static void panels_keep_out_of_parts_of_rooms(void **state)
{
    (void)state;
    static const char room[] =
        "room a { kind storage; size 20' by 10'; area b kind %s from 0', 0' size 6' by 10' "
        "}\npanel P { in a %s at 3' up 5'; main 60 A; spaces 8 }";
    char text[300];
    snprintf(text, sizeof text, room, "bath", "west");
    assert_int_equal(findings_in("nec-2023", text, "panel-place", "none may hang in a bath", NULL),
                     1);
    snprintf(text, sizeof text, room, "bath", "east");
    assert_int_equal(findings_in("nec-2023", text, "panel-place", NULL, NULL), 0);
    snprintf(text, sizeof text, room, "laundry", "west");
    assert_int_equal(findings_in("nec-2023", text, "panel-place", NULL, NULL), 0);
}

/* --- the rest, by edition ----------------------------------------------------------------- */

/* 210.70(A): the laundry is a place of its own since 2023. */
static void laundry_lights_since_2023(void **state)
{
    (void)state;
    static const char laundry[] = "room a { kind laundry; size 8' by 8' }";
    assert_int_equal(findings_in("nec-2017", laundry, "lighting-outlet", NULL, NULL), 0);
    assert_int_equal(findings_in("nec-2020", laundry, "lighting-outlet", NULL, NULL), 0);
    assert_int_equal(
        findings_in("nec-2023", laundry, "lighting-outlet", "has no lighting outlet", NULL), 1);
}

/* 210.70(A)(1), exception 1: a switched receptacle stands for the light, but not in a kitchen or
 * bath. */
static void switched_receptacles_stand_for_lights(void **state)
{
    (void)state;
    static const char room[] = "room a { kind %s; size 8' by 8'; box R1 north at 2' { receptacle "
                               "half leg lamp }\nbox S1 south at 2' { switch leg lamp } }";
    char text[300];
    snprintf(text, sizeof text, room, "living");
    assert_int_equal(findings_in("nec-2023", text, "lighting-outlet", NULL, NULL), 0);
    snprintf(text, sizeof text, room, "kitchen");
    assert_int_equal(findings_in("nec-2023", text, "lighting-outlet", NULL, NULL), 1);
    assert_int_equal(
        findings_in(
            "nec-2023",
            "room a { kind living; size 8' by 8'; box L1 overhead at 4', 4' { luminaire } }",
            "lighting-outlet", "no switch works it", NULL),
        1);
}

/* 210.70(A)(2): a light outside a door that people use; a door for vehicles wants none. */
static void outside_doors_have_a_light(void **state)
{
    (void)state;
    static const char rooms[] =
        "room a { kind storage; corner 0', 0'; size 12' by 8'; door south at 1' wide %s to yard }\n"
        "room yard { kind outdoors; corner 0', -8'-4 1/2\"; size 12' by 8' }";
    char text[400];
    snprintf(text, sizeof text, rooms, "3'");
    assert_int_equal(findings_in("nec-2023", text, "lighting-outlet",
                                 "a door of the dwelling leads there", NULL),
                     1);
    snprintf(text, sizeof text, rooms, "9'");
    assert_int_equal(findings_in("nec-2023", text, "lighting-outlet", NULL, NULL), 0);
    /* Where no place is drawn outside, none there has a light; `to outside` is no other door. */
    static const char bare[] = "room a { kind storage; size 12' by 8'; door south at 1' wide %s }";
    static const struct {
        const char *door;
        unsigned found;
    } doors[] = {{"3' to outside", 1}, {"3'", 0}, {"9' to outside", 0}};
    for (size_t i = 0; i < sizeof doors / sizeof *doors; i++) {
        snprintf(text, sizeof text, bare, doors[i].door);
        assert_int_equal(
            findings_in("nec-2023", text, "lighting-outlet", "a door leads outside", NULL),
            doors[i].found);
    }
}

/* A cable cannot come to a box before glass that reaches almost to the floor; that is told of the
 * opening, not of levels. */
static void no_way_leads_to_a_box_before_glass(void **state)
{
    (void)state;
    static const char den[] =
        "room den { kind storage; size 14' by 10'; window north at 4' wide 6' sill %s\n"
        "box R1 north at 7' up 1\" { receptacle }; box R2 north at 1' { receptacle } }\n"
        "panel P { in den south at 5' up 5'; main 100 A; spaces 12 }\n"
        "circuit P.1 { breaker 20 A; run P -> den.R2 -> R1 }";
    char text[500];
    snprintf(text, sizeof text, den, "2\"");
    assert_int_equal(
        findings_in("nec-2023", text, "run-blocked", "leaves openings", "beside the opening"), 1);
    snprintf(text, sizeof text, den, "30\"");
    assert_int_equal(findings_in("nec-2023", text, "run-blocked", NULL, NULL), 0);
}

/* 210.52(E)(3): 2017 what is attached, 2020 what is within 4 in. of the dwelling; the wall between
 * is 4 in. here. */
static void decks_by_edition(void **state)
{
    (void)state;
    static const char rooms[] = "room a { kind storage; corner 0', 0'; size 12' by 8' }\nroom d { "
                                "kind deck; corner 0', %s; size 12' by 8' }";
    static const struct {
        const char *north;
        unsigned in_2017, in_2020;
    } cases[] = {{"8'-4\"", 1, 1}, {"8'-8\"", 0, 1}, {"8'-8 1/2\"", 0, 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[300];
        snprintf(text, sizeof text, rooms, cases[i].north);
        assert_int_equal(findings_in("nec-2017", text, "deck-receptacle", NULL, NULL),
                         cases[i].in_2017);
        assert_int_equal(findings_in("nec-2020", text, "deck-receptacle", NULL, NULL),
                         cases[i].in_2020);
        assert_int_equal(findings_in("nec-2023", text, "deck-receptacle", NULL, NULL),
                         cases[i].in_2020);
    }
}

/* 210.52(C)(2) of 2023 asks for provision, which a plan does not show; a stair that says no ends is
 * not judged: both are named. */
static void what_is_not_shown_is_named(void **state)
{
    (void)state;
    static const char *const editions[] = {"nec-2020", "nec-2023"};
    for (int i = 0; i < 2; i++) {
        struct compilation c;
        char text[300];
        snprintf(text, sizeof text,
                 "plan \"Test\" { edition %s }\nroom a { kind kitchen; size 20' by 16'; island at "
                 "8', 6' size 4' by 3'; stairs 14 risers }",
                 editions[i]);
        compile_text(&c, text);
        const char *words = unchecked_words(&c.arena, &c.diag, c.verdict);
        assert_int_equal(
            strstr(words, "the provision for a receptacle at the island or peninsula of a;") !=
                NULL,
            i == 1);
        assert_non_null(strstr(words, "what the stairs join in a"));
        compile_free(&c);
    }
}

/* 210.52(H): along the middle. A bend of two legs of 7 ft, 4 ft wide: 10 ft. */
static void halls_are_measured_along_their_middle(void **state)
{
    (void)state;
    assert_int_equal(findings_in("nec-2023", "room a { kind hall; size 10' by 4' }",
                                 "hall-receptacle", "10' long", NULL),
                     1);
    assert_int_equal(findings_in("nec-2023", "room a { kind hall; size 9'-11\" by 4' }",
                                 "hall-receptacle", NULL, NULL),
                     0);
    static const char bend[] = "room a { kind hall; outline from 0', 0' { w north %s; n east 7'; e "
                               "south 4'; i west 3'; j south %s; s west 4' } }";
    char text[300];
    snprintf(text, sizeof text, bend, "7'", "3'");
    assert_int_equal(findings_in("nec-2023", text, "hall-receptacle", "10' long", NULL), 1);
    snprintf(text, sizeof text, bend, "6'-11\"", "2'-11\"");
    assert_int_equal(findings_in("nec-2023", text, "hall-receptacle", NULL, NULL), 0);
}

/* 210.52(4): more than 5-1/2 ft up it does not count; a part of a room is served by what stands in
 * it. */
static void required_receptacles_stand_where_they_serve(void **state)
{
    (void)state;
    static const struct {
        const char *room;
        const char *rule;
        unsigned faults;
    } cases[] = {
        {"room a { kind hall; size 12' by 4'; box R1 north at 2' up 67\" { receptacle } }",
         "box-height", 1},
        {"room a { kind hall; size 12' by 4'; box R1 north at 2' up 67\" { receptacle } }",
         "hall-receptacle", 0},
        {"room a { kind hall; size 12' by 4'; box R1 north at 2' up 66\" { receptacle } }",
         "box-height", 0},
        {"room a { kind laundry; size 8' by 8'; box R1 overhead at 2', 2' { receptacle } }",
         "box-height", 1},
        {"room a { kind basement; size 8' by 8'; box R1 overhead at 2', 2' { receptacle } }",
         "box-height", 1},
        {"room a { kind bath; size 12' by 8'; area w kind laundry from 8', 0' size 4' by 8'; box "
         "R1 west at 2' { receptacle } }",
         "laundry-receptacle", 1},
        {"room a { kind bath; size 12' by 8'; area w kind laundry from 8', 0' size 4' by 8'; box "
         "R1 east at 2' { receptacle } }",
         "laundry-receptacle", 0},
        {"room a { kind basement; size 20' by 8'; area w kind laundry from 0', 0' size 4' by 8'; "
         "box R1 west at 2' { receptacle } }",
         "basement-receptacle", 1},
        {"room a { kind family; size 20' by 8'; area b kind basement from 0', 0' size 4' by 8'; "
         "box R1 east at 2' { receptacle } }",
         "basement-receptacle", 1},
        {"room a { kind family; size 20' by 8'; area b kind basement from 0', 0' size 4' by 8'; "
         "box R1 west at 2' { receptacle } }",
         "basement-receptacle", 0},
        {"level low { floor -8'; below-grade }\nroom a { on low; kind workshop; unfinished; size "
         "8' by 8' }",
         "basement-receptacle", 1},
        {"level low { floor -8'; below-grade }\nroom a { on low; kind workshop; size 8' by 8' }",
         "basement-receptacle", 0},
        {"level low { floor -8'; below-grade }\nroom a { on low; kind crawl-space; size 8' by 8' }",
         "basement-receptacle", 0},
        {"level low { floor 0' }\nroom a { on low; kind workshop; unfinished; size 8' by 8' }",
         "basement-receptacle", 0},
        {"room a { kind living; size 20' by 20'; area h kind hall from 0', 0' size 4' by 10' }",
         "hall-receptacle", 1},
        {"room a { kind living; size 20' by 20'; area h kind hall from 0', 0' size 4' by 9'-11\" }",
         "hall-receptacle", 0},
        {"room a { kind garage; size 20' by 20'; bays 2; box R1 west at 2' up 48\" { receptacle "
         "}\nbox R2 overhead at 2', 2' { receptacle } }",
         "box-height", 1},
        {"room a { kind garage; size 20' by 20'; bays 2; box R1 west at 2' up 48\" { receptacle } "
         "}",
         "garage-receptacle", 1},
        {"room a { kind garage; detached; size 20' by 20' }", "garage-receptacle", 0},
        {"room a { kind garage; detached; size 20' by 20' }", "lighting-outlet", 0},
        {"room a { kind garage; size 20' by 20' }", "lighting-outlet", 1},
        {"room a { kind basement; size 8' by 8'; box R1 north at 2' up 48\" { sump-pump } }",
         "basement-receptacle", 1}, /* specific equipment: 210.52(G) */
        {"room a { kind kitchen; size 8' by 8'; counter north at 0' wide 3'; box R1 north at 18\" "
         "up 48\" { refrigerator } }",
         "counter-spacing", 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        unsigned n = findings_in("nec-2023", cases[i].room, cases[i].rule, NULL, NULL);
        if (n != cases[i].faults)
            fprintf(stderr, "case %zu: %u\n", i, n);
        assert_int_equal(n, cases[i].faults);
    }
}

/* 210.52(I): over 60 ft2, each wall of 3 ft or more. */
static void small_foyers_need_none(void **state)
{
    (void)state;
    assert_int_equal(findings_in("nec-2023", "room a { kind foyer; size 10' by 6' }",
                                 "foyer-receptacle", NULL, NULL),
                     0);
    assert_int_equal(findings_in("nec-2023", "room a { kind foyer; size 10' by 6'-1\" }",
                                 "foyer-receptacle", NULL, NULL),
                     4);
    assert_int_equal(findings_in("nec-2023",
                                 "room a { kind foyer; size 10' by 6'-1\"; door west at 2' wide "
                                 "2'; window north at 1' wide 8' sill 0' }",
                                 "foyer-receptacle", NULL, NULL),
                     2);
}

/* A foyer that is a part of a larger room is judged by its own size and walls. */
static void foyers_may_be_a_part_of_a_room(void **state)
{
    (void)state;
    static const char room[] =
        "room a { kind living; size 20' by 20'; area f kind foyer from 0', 0' size %s by 8' }";
    char text[200];
    snprintf(text, sizeof text, room, "8'"); /* 64 ft2: 8 ft each of the west and the south wall */
    assert_int_equal(
        findings_in("nec-2023", text, "foyer-receptacle", "the south wall from 12' to 20'", NULL),
        2);
    snprintf(text, sizeof text, room, "7'-6\"");
    assert_int_equal(findings_in("nec-2023", text, "foyer-receptacle", NULL, NULL), 0);
}

/* 210.63: 25 ft on the same level. */
static void service_receptacles_are_near(void **state)
{
    (void)state;
    static const char rooms[] = "room a { kind storage; size 40' by 8'; box F1 north at 1' { "
                                "furnace }\nbox R1 north at %s { receptacle } }";
    char text[300];
    snprintf(text, sizeof text, rooms, "26'");
    assert_int_equal(findings_in("nec-2023", text, "hvac-receptacle", NULL, NULL), 0);
    snprintf(text, sizeof text, rooms, "26'-1\"");
    assert_int_equal(findings_in("nec-2023", text, "hvac-receptacle", "within 25'", NULL), 1);
}

/* 410.16: 24 in. of storage and 12 in. for a luminaire on the surface, 6 in. for a recessed one; at
 * the ceiling the storage is 24 in. below. */
static void closets_by_luminaire(void **state)
{
    (void)state;
    static const char closet[] =
        "room a { kind closet; ceiling %s; size 8' by 8'; door south at 3' wide 3'; box L1 "
        "overhead at 4', %s { %s leg l }\nbox S1 south at 1' { switch leg l } }";
    static const struct {
        const char *ceiling, *north, *luminaire;
        unsigned faults;
    } cases[] = {
        {"8'", "6'", "luminaire", 0},
        {"8'", "7'", "luminaire", 1},
        {"8'", "6'-6\"", "recessed", 0},
        {"8'", "6'-7\"", "recessed", 1},
        {"6'", "5'", "luminaire", 0},
        {"6'", "5'-1\"", "luminaire", 1},
        {"6'", "5'-6\"", "linear-luminaire", 0},
        {"6'", "5'-7\"", "linear-luminaire", 1},
        {"8'", "6'-1\"", "luminaire", 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[400];
        snprintf(text, sizeof text, closet, cases[i].ceiling, cases[i].north, cases[i].luminaire);
        unsigned n = findings_in("nec-2023", text, "closet-luminaire", NULL, NULL);
        if (n != cases[i].faults)
            fprintf(stderr, "case %zu\n", i);
        assert_int_equal(n, cases[i].faults);
    }
}

/* A closet less than 18 in. deep: 12 in. of storage and 6 in. leave no place. The door is written
 * by the room before it. */
static void shallow_closets_take_no_light(void **state)
{
    (void)state;
    static const char closet[] =
        "room c { kind closet; corner 0', 0'; size 6' by %s; box L1 overhead at 3', 1\" { recessed "
        "leg l }\nbox S1 east at 6\" { switch leg l } }\n"
        "room b { kind bedroom; corner 0', -10'-4 1/2\"; size 6' by 10'; opening north at 1' wide "
        "4' to c }";
    char text[400];
    snprintf(text, sizeof text, closet, "17\"");
    assert_int_equal(findings_in("nec-2023", text, "closet-luminaire",
                                 "4\" from the storage space along the north wall; it wants 6\"",
                                 "none fits"),
                     1);
    snprintf(text, sizeof text, closet, "19\"");
    assert_int_equal(findings_in("nec-2023", text, "closet-luminaire", NULL, NULL), 0);
}

/* 404.8(A), 240.24(A): 6 ft 7 in. */
static void handles_are_within_reach(void **state)
{
    (void)state;
    static const char room[] = "room a { kind storage; size 8' by 8'; box S1 north at 2' up %s { "
                               "switch leg l }\nbox L1 overhead at 4', 4' { luminaire leg l } }\n"
                               "panel P { in a south at 4' up %s; main 60 A; spaces 8 }";
    char text[300];
    snprintf(text, sizeof text, room, "6'-7\"", "5'-10\"");
    assert_int_equal(findings_in("nec-2023", text, "handle-too-high", NULL, NULL), 0);
    snprintf(text, sizeof text, room, "6'-8\"", "5'-11\"");
    assert_int_equal(findings_in("nec-2023", text, "handle-too-high", NULL, NULL), 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(least_number_of_receptacles),
        cmocka_unit_test(ends_of_a_long_wall_are_out_of_reach),
        cmocka_unit_test(a_ring_has_no_ends),
        cmocka_unit_test(breaks_part_the_ring),
        cmocka_unit_test(window_reaches_both_ends),
        cmocka_unit_test(corners_do_not_break_an_alcove),
        cmocka_unit_test(rooms_are_counted_round_their_corners),
        cmocka_unit_test(narrow_walls_are_no_space),
        cmocka_unit_test(what_counts_as_a_receptacle),
        cmocka_unit_test(what_breaks_a_space),
        cmocka_unit_test(kitchen_counters_are_apart),
        cmocka_unit_test(rooms_in_doubt_are_left_alone),
        cmocka_unit_test(doors_of_the_next_room_break_the_wall),
        cmocka_unit_test(spaces_run_on_into_an_open_room),
        cmocka_unit_test(a_ring_runs_through_two_rooms),
        cmocka_unit_test(parts_of_rooms_are_asked_alone),
        cmocka_unit_test(like_spaces_are_told_apart),
        cmocka_unit_test(receptacles_in_cabinets_do_not_count),
        cmocka_unit_test(copies_are_one_finding),
        cmocka_unit_test(counters_want_one_every_four_feet),
        cmocka_unit_test(counters_turn_corners),
        cmocka_unit_test(sinks_part_their_own_counter),
        cmocka_unit_test(islands_by_edition),
        cmocka_unit_test(peninsulas_have_one_at_their_end),
        cmocka_unit_test(tub_zones_by_edition),
        cmocka_unit_test(zones_end_at_walls),
        cmocka_unit_test(a_small_bath_uses_its_farthest_wall),
        cmocka_unit_test(paddle_fans_keep_clear_of_tubs),
        cmocka_unit_test(basins_have_one_beside_them),
        cmocka_unit_test(panels_have_room_to_stand),
        cmocka_unit_test(panels_keep_out_of_parts_of_rooms),
        cmocka_unit_test(laundry_lights_since_2023),
        cmocka_unit_test(switched_receptacles_stand_for_lights),
        cmocka_unit_test(outside_doors_have_a_light),
        cmocka_unit_test(no_way_leads_to_a_box_before_glass),
        cmocka_unit_test(decks_by_edition),
        cmocka_unit_test(what_is_not_shown_is_named),
        cmocka_unit_test(halls_are_measured_along_their_middle),
        cmocka_unit_test(required_receptacles_stand_where_they_serve),
        cmocka_unit_test(small_foyers_need_none),
        cmocka_unit_test(foyers_may_be_a_part_of_a_room),
        cmocka_unit_test(service_receptacles_are_near),
        cmocka_unit_test(closets_by_luminaire),
        cmocka_unit_test(shallow_closets_take_no_light),
        cmocka_unit_test(handles_are_within_reach),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

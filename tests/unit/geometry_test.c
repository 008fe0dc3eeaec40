/* Rooms, boxes and openings that cannot be as the plan says, beyond the plans of the rules: slanted
 * walls, levels, both sides of a wall, heights. */
#include "compiled.h"
#include "framing/routes.h"

static unsigned count(const char *text, const char *rule)
{
    struct compilation c;
    compile_text(&c, text);
    unsigned n = findings_of(&c, rule);
    if (finding_of(&c, "syntax", 0))
        show_compiled(&c);
    assert_null(finding_of(&c, "syntax", 0));
    assert_null(finding_of(&c, "outline-open", 0));
    compile_free(&c);
    return n;
}

#define HEAD "plan \"Test\" { edition nec-2023 }\n"

static void rooms_meet_without_overlapping(void **state)
{
    (void)state;
    static const char two[] = HEAD "room a { kind workshop; corner 0', 0'; size 10' by 10' }\nroom "
                                   "b { kind workshop; corner %s; size %s }\n";
    static const struct {
        const char *corner, *size;
        unsigned overlaps;
    } cases[] = {
        {"10', 0'", "5' by 10'", 0},         /* on each other's edge */
        {"10'-3 1/2\", 0'", "5' by 10'", 0}, /* a wall between */
        {"9'-11 1/2\", 0'", "5' by 10'", 1}, /* half an inch */
        {"0', 0'", "10' by 10'", 1},         /* the same room twice */
        {"0', 4'", "10' by 10'", 1}, /* edges in one line, no corner of the one inside the other */
        {"4', 4'", "2' by 2'", 1},   /* within */
        {"-2', 4'", "14' by 2'", 1}, /* right across */
        {"10', 10'", "4' by 4'", 0}, /* a corner alone */
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text, two, cases[i].corner, cases[i].size);
        if (count(text, "rooms-overlap") != cases[i].overlaps)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(count(text, "rooms-overlap"), cases[i].overlaps);
    }
}

static void outlines_and_levels(void **state)
{
    (void)state;
    /* an L and the room in its corner */
    static const char ell[] = HEAD "room a { kind workshop\noutline from 0', 0' {\nw north 10'\nn "
                                   "east 4'\ni south 6'\nj east 6'\ne south 4'\ns west 10'\n} }\n"
                                   "room b { kind workshop; corner %s; size 6' by 6' }\n";
    char text[1000];
    snprintf(text, sizeof text, ell, "4', 4'");
    assert_int_equal(count(text, "rooms-overlap"), 0);
    snprintf(text, sizeof text, ell, "3'-11\", 4'");
    assert_int_equal(count(text, "rooms-overlap"), 1);
    /* two rooms along a slanted wall */
    static const char slant[] = HEAD "room a { kind workshop\noutline from 0', 0' {\nw north "
                                     "10'\ns1 east 10' south 10'\ns west 10'\n} }\n"
                                     "room b { kind workshop\noutline from %s {\ns2 west 10' north "
                                     "10'\nn east 10'\ne south 10'\n} }\n";
    snprintf(text, sizeof text, slant, "10', 0'");
    assert_int_equal(count(text, "rooms-overlap"), 0);
    snprintf(text, sizeof text, slant, "9'-11\", 0'");
    assert_int_equal(count(text, "rooms-overlap"), 1);
    /* one over the other */
    assert_int_equal(count(HEAD
                           "level low { floor 0' }\nlevel high { floor 9' }\nroom a { on low; kind "
                           "workshop; corner 0', 0'; size 10' by 10' }\n"
                           "room b { on high; kind workshop; corner 0', 0'; size 10' by 10' }\n",
                           "rooms-overlap"),
                     0);
}

/* Runs along a slanted wall are as long as the wall between the boxes. */
static void slanted_walls_are_measured_along(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(
        &c,
        HEAD "room a { kind workshop\noutline from 0', 0' {\nw north 12'\nslant east 16' "
             "south 12'\ns west 16'\n}\n"
             "box A slant at 3'-4\" up 24\" { data }\nbox B slant at 12'-8\" up 24\" { data } }\n"
             "low-voltage net { cable cat6; run a.A -> a.B via studs }\n");
    const struct route *r = &c.routes->of_run[0];
    assert_false(r->blocked);
    assert_int_equal(r->path, 9 * FOOT + 4 * INCH);
    assert_int_equal(r->bores, 7); /* 48, 64 ... 144 in. */
    compile_free(&c);
}

static void boxes_back_to_back(void **state)
{
    (void)state;
    static const char wall[] = HEAD
        "level main { walls %s at 16\" }\nroom a { kind workshop; corner 0', 0'; size 10' by 10'\n"
        "box A east at %s { type %s; data } }\nroom b { kind workshop; corner %s, 0'; size 10' by "
        "10'\nbox B west at 5' { type %s; data } }\n";
    static const struct {
        const char *lumber, *at, *type, *corner;
        unsigned collide;
    } cases[] = {
        {"2x4", "5'", "nail-on-1g-18", "10'-3 1/2\"",
         1}, /* 2-3/4 in. twice in 3-1/2 in. and two half inches of board */
        {"2x6", "5'", "nail-on-1g-18", "10'-5 1/2\"", 0},
        {"2x4", "5'-2\"", "nail-on-1g-18", "10'-3 1/2\"", 1},
        {"2x4", "5'-3\"", "nail-on-1g-18", "10'-3 1/2\"", 0}, /* beside each other */
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text, wall, cases[i].lumber, cases[i].at, cases[i].type,
                 cases[i].corner, cases[i].type);
        if (count(text, "boxes-collide") != cases[i].collide)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(count(text, "boxes-collide"), cases[i].collide);
    }
}

static void boxes_beside_each_other(void **state)
{
    (void)state;
    static const char room[] = HEAD "room a { kind workshop; size 10' by 10'\n%s\n}\n";
    static const struct {
        const char *boxes;
        unsigned collide;
    } cases[] = {
        {"box A east at 5' { data }\nbox B east at 5'-2\" { data }", 1},
        {"box A east at 5' { data }\nbox B east at 5'-3\" { data }", 0},
        {"box A east at 5' up 16\" { data }\nbox B east at 5' up 24\" { data }", 0},
        {"box A overhead at 5', 5' { luminaire }\nbox B overhead at 5'-2\", 5'-2\" { luminaire }",
         1},
        {"box A overhead at 5', 5' { luminaire }\nbox B overhead at 5', 6' { luminaire }", 0},
        {"box A floor at 5', 5' { data }\nbox B overhead at 5', 5' { luminaire }", 0},
        {"box A east at 5' { existing; data }\nbox B east at 5' { existing; data }", 0},
        {"box A east at 5' { existing; data }\nbox B east at 5' { data }", 1},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text, room, cases[i].boxes);
        if (count(text, "boxes-collide") != cases[i].collide)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(count(text, "boxes-collide"), cases[i].collide);
    }
}

static void boxes_and_openings(void **state)
{
    (void)state;
    static const char rooms[] =
        HEAD "room a { kind workshop; corner 0', 0'; size 10' by 10'\ndoor east at 2' wide "
             "3'\nwindow west at 2' wide 4'%s\n%s }\n"
             "room b { kind workshop; corner 10'-3 1/2\", 0'; size 10' by 10'\n%s }\n";
    static const struct {
        const char *sill, *a, *b;
        unsigned in;
    } cases[] = {
        {"", "box A east at 3' { data }", "", 1},
        {"", "box A east at 3' up 7'-2\" { data }", "", 0}, /* over the door */
        {"", "box A east at 5'-1\" { data }", "", 1},       /* its edge stands in the opening */
        {"", "box A east at 5'-4\" { data }", "", 0},
        {"", "", "box B west at 6'-6\" { data }",
         1}, /* the door is seen from this side too: 8' to 5' from the north */
        {"", "", "box B west at 4' { data }", 0},
        {"", "box A west at 4' up 16\" { data }", "", 0}, /* under the window */
        {"", "box A west at 4' up 48\" { data }", "", 1},
        {" sill 5'", "box A west at 4' up 48\" { data }", "", 0},
        {" sill 1'", "box A west at 4' up 16\" { data }", "", 1},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text, rooms, cases[i].sill, cases[i].a, cases[i].b);
        if (count(text, "box-in-opening") != cases[i].in)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(count(text, "box-in-opening"), cases[i].in);
    }
}

static void boxes_off_their_walls(void **state)
{
    (void)state;
    static const char room[] =
        HEAD "room a { kind workshop\noutline from 0', 0' {\nw north 10'\nn east 4'\ni south 6'\nj "
             "east 6'\ne south 4'\ns west 10'\n}\n%s }\n";
    static const struct {
        const char *box;
        unsigned off;
    } cases[] = {
        {"box A w at 9'-10\" { data }", 0},
        {"box A w at 9'-11\" { data }", 1},
        {"box A i at 1\" { data }", 1},
        {"box A w at 10' { existing; data }", 0},
        {"box A w at 10'-1/2\" { data }", 1},
        {"box A w at 5' up 8'-1\" { data }", 1},
        {"box A overhead at 2', 8' { luminaire }", 0},
        {"box A overhead at 6', 8' { luminaire }", 1},
        {"box A floor at 8', 2' { data }", 0},
    };
    /* one fault, one finding: a box that is off its wall meets nothing and stands in nothing; the
     * next part of a straight wall is no end */
    assert_int_equal(count(HEAD "room a { kind workshop; size 10' by 10'\nbox A west at 10'-1\" { "
                                "data }\nbox B west at 9'-10\" { data } }\n",
                           "boxes-collide"),
                     0);
    assert_int_equal(count(HEAD
                           "room a { kind workshop\noutline from 0', 0' { v north 4'; w north 6'; "
                           "n east 9'; e south 10'; s west 9' }\nbox A v at 4' { data } }\n",
                           "box-off-wall"),
                     0);
    assert_int_equal(count(HEAD "room a { kind workshop; size 10' by 10' }\npanel P { in a west at "
                                "6\"; main 60 A }\npanel Q { in a east at 7-1/4\"; main 60 A }\n",
                           "box-off-wall"),
                     1);
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text, room, cases[i].box);
        if (count(text, "box-off-wall") != cases[i].off)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(count(text, "box-off-wall"), cases[i].off);
    }
}

/* What stands on the line of an opening may stand in its block. The language's own rule. */
static void openings_have_blocks(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c,
                 "plan \"T\" { edition nec-2023 }\nroom s { kind workshop; size 12' by 10'\n"
                 "window south at 2' wide 3' { sill 40\" }\nwindow east at 2' wide 3' { sliding; "
                 "fixed right }\ndoor west at 2' wide 3' { hinge left; swings out; to outside }\n"
                 "counter north at 0' wide 4' { deep 20\" }\n}\n");
    assert_int_equal(findings_of(&c, "syntax"), 0);
    const struct room *r = c.model->rooms.at[0];
    unsigned seen = 0;
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        if (x->form == F_COUNTER)
            seen += length_inches(x->deep) == 20;
        else if (x->sort == FIXTURE_WINDOW)
            seen += x->sliding || length_inches(x->sill) == 40;
        else
            seen += x->sort == FIXTURE_DOOR && x->to_outside;
    }
    assert_int_equal(seen, 4);
    compile_free(&c);
}

/* What is on a wall fits on it, and two openings do not share a place, save one over the other. */
static void openings_fit_their_wall(void **state)
{
    (void)state;
    static const struct {
        const char *walls;
        unsigned found;
    } cases[] = {
        {"door east at 1' wide 3'; door east at 4' wide 3'", 0},
        {"door east at 1' wide 3'; door east at 3'-11 63/64\" wide 3'", 1},
        {"door east at 1' wide 3'; window east at 1' wide 3' sill 7'", 0},
        {"door east at 1' wide 3'; window east at 1' wide 3' sill 6'", 1},
        {"door east at 7' wide 3'", 0},
        {"door east at 7'-1/64\" wide 3'", 1},
        {"window north at -1\" wide 3'", 1},
        {"counter north at 0' wide 10'; sink north at 3' wide 2'", 0},
        {"counter north at 0' wide 11'", 1},
        {"wet-wall south", 0},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text, HEAD "room a { kind workshop; size 10' by 10'\n%s }\n",
                 cases[i].walls);
        if (count(text, "openings-disagree") != cases[i].found)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(count(text, "openings-disagree"), cases[i].found);
    }
    static const char two[] = HEAD
        "room a { kind workshop; corner 0', 0'; size 10' by 10'; window east at 2' wide 3'%s }\n"
        "room b { kind workshop; corner 10'-3 1/2\", 0'; size 10' by 10'; window west at 5' wide "
        "3'%s }\n";
    static const char *const sills[][2] = {
        {"", ""}, {" sill 3'", ""}, {" sill 3'", " sill 3'"}, {" sill 3'", " sill 3'-1\""}};
    for (unsigned i = 0; i < 4; i++) {
        char text[1000];
        snprintf(text, sizeof text, two, sills[i][0], sills[i][1]);
        assert_int_equal(count(text, "openings-disagree"), i == 3);
    }
}

/* A partition of 2x4 with its finishes is 4-1/2" thick; the hall's stands from 6' on. */
static void no_wall_ends_in_an_opening(void **state)
{
    (void)state;
    static const struct {
        const char *hall, *opening;
        unsigned found;
    } cases[] = {
        {"kind hall", "door west at 6' wide 3'", 1},
        {"kind hall", "door west at 3' wide 3'", 0},
        {"kind hall", "door west at 3'-1\" wide 3'", 1},
        {"kind hall", "door west at 6'-4\" wide 3'", 1},
        {"kind hall", "door west at 6'-4 1/2\" wide 3'", 0},
        {"kind hall", "window west at 2' wide 6'", 1},
        {"kind hall", "opening west at 5' wide 3'", 1},
        {"kind hall", "counter west at 5' wide 3'", 0},
        {"kind outdoors", "window west at 2' wide 6'", 0},
        {"kind hall; opening north at 10' wide 4'", "opening west at 5' wide 3'", 0},
        {"kind hall; opening north at 1' wide 4'", "opening west at 5' wide 3'", 1},
        {"kind hall; walls 2x6 at 16\"", "door west at 6'-4 1/2\" wide 3'", 1},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        snprintf(text, sizeof text,
                 HEAD
                 "room a { %s; corner 0', 0'; size 14' by 6' }\nroom b { kind workshop; corner "
                 "14'-3 1/2\", 0'; size 12' by 10'; %s }\n",
                 cases[i].hall, cases[i].opening);
        if (count(text, "openings-disagree") != cases[i].found)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(count(text, "openings-disagree"), cases[i].found);
    }
}

/* Each box is told once, however many stand in its place. */
static void three_in_one_place(void **state)
{
    (void)state;
    static const char *const places[] = {"west at 5'", "overhead at 5', 5'"};
    for (unsigned i = 0; i < 2; i++) {
        char text[1000];
        snprintf(text, sizeof text,
                 HEAD "room a { kind workshop; size 10' by 10'\nbox A %s { data }\nbox B %s { data "
                      "}\nbox C %s { data } }\n",
                 places[i], places[i], places[i]);
        assert_int_equal(count(text, "boxes-collide"), 2);
    }
}

/* An outline goes round once, clockwise, never meets itself, and has three walls or more. */
static void outlines_go_round(void **state)
{
    (void)state;
    static const struct {
        const char *walls, *says;
    } cases[] = {
        {"a north 10'; b east 10'; c south 10'; d west 10'", NULL},
        {"a north 5'; b north 5'; c east 10' south 2'; d south 3'; e west 4'; f south 5'; g west "
         "6'",
         NULL},
        {"a north 10'; b east 10'; c south 10'; d west 9'-63/64\"", "do not close"},
        {"a east 10'; b north 10'; c west 10'; d south 10'", "against the clock"},
        {"a north 10'; b east 10'; c south 5'; d west 15'; e south 5'; f east 5'", "'a' and 'd'"},
        {"a north 5'; b east 5'; c north 5'; d east 5'; e south 5'; f west 5'; g south 5'; h west "
         "5'",
         "'b' and 'f'"},
        {"a north 10'; b north 5'; c south 5'; d east 10'; e south 10'; f west 10'",
         "no corner in common"},
        {"a north 10'; b south 10'", "three walls"},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1000];
        struct compilation c;
        snprintf(text, sizeof text, HEAD "room a { kind workshop\noutline from 0', 0' { %s } }\n",
                 cases[i].walls);
        compile_text(&c, text);
        const struct finding *f = finding_of(&c, "outline-open", 0);
        if (!f != !cases[i].says || (f && !strstr(f->message, cases[i].says)))
            show_compiled(&c);
        assert_int_equal(findings_of(&c, "outline-open"), cases[i].says != NULL);
        assert_int_equal(c.diag.counts[ERROR], cases[i].says != NULL);
        assert_true(!f || strstr(f->message, cases[i].says));
        compile_free(&c);
    }
}

/* Copies of a pattern say a fault once; mirrored ones have theirs on the other side. */
static void copies_are_checked_where_they_stand(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(
        &c, HEAD
        "pattern flat { room a { kind workshop; corner 0', 0'; size 10' by 10'\nbox A east at 5' { "
        "data }\nbox B east at 5'-1\" { data } } }\n"
        "unit u1 : flat { corner 0', 0' }\nunit u2 : flat { corner 20', 0'; opposite-hand }\n");
    assert_int_equal(findings_of(&c, "boxes-collide"), 1);
    const struct finding *f = finding_of(&c, "boxes-collide", 0);
    assert_true(f->related_count >= 3); /* the other box, and both units */
    compile_free(&c);
    /* a pattern that nothing is built from lies over nothing */
    compile_text(&c, HEAD "pattern flat { room a { kind workshop; corner 0', 0'; size 10' by 10' } "
                          "}\nroom b { kind workshop; corner 0', 0'; size 10' by 10' }\n");
    assert_int_equal(findings_of(&c, "rooms-overlap"), 0);
    compile_free(&c);
}

/* 334.80: more than two cables in contact with insulation count at any length. */
static void insulation_makes_a_bundle(void **state)
{
    (void)state;
    static const char shed[] =
        HEAD "room shed { kind workshop; size 20' by 14'\n%s\nbox A west at 5'-6\" up 14\" { "
             "receptacle; receptacle }\n"
             "box B west at 5'-6\" up 24\" { receptacle; receptacle }\nbox C west at 5'-6\" up "
             "34\" { receptacle; receptacle } }\n"
             "panel P { in shed west at 4' up 5'; main 100 A; spaces 20 }\n"
             "circuit P.1 { breaker 20 A; cable 12/2-uf; run P -> shed.A via studs }\n"
             "circuit P.2 { breaker 20 A; cable 12/2-uf; run P -> shed.B via studs }\n"
             "circuit P.3 { breaker 20 A; cable 12/2-uf; run P -> shed.C via studs }\n";
    char text[2000];
    snprintf(text, sizeof text, shed, "");
    assert_int_equal(count(text, "bundled-cables"), 0);
    snprintf(text, sizeof text, shed, "insulated west");
    assert_int_equal(count(text, "bundled-cables"), 3);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(rooms_meet_without_overlapping),
        cmocka_unit_test(outlines_and_levels),
        cmocka_unit_test(slanted_walls_are_measured_along),
        cmocka_unit_test(boxes_back_to_back),
        cmocka_unit_test(boxes_beside_each_other),
        cmocka_unit_test(boxes_and_openings),
        cmocka_unit_test(boxes_off_their_walls),
        cmocka_unit_test(openings_have_blocks),
        cmocka_unit_test(openings_fit_their_wall),
        cmocka_unit_test(no_wall_ends_in_an_opening),
        cmocka_unit_test(three_in_one_place),
        cmocka_unit_test(outlines_go_round),
        cmocka_unit_test(copies_are_checked_where_they_stand),
        cmocka_unit_test(insulation_makes_a_bundle),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

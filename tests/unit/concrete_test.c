/* Floors on the ground, concrete walls, and studs before them: what is shared, what boxes and ways
 * make of it. That nothing is bored or stapled into concrete is common trade practice; sizes of
 * lumber are those of softwood as sold. */
#include "compiled.h"
#include "facts/boxes.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "wiring/wiring.h"

/* A cellar of 14 by 10 ft with a room of the same depth to the east, 8 in. apart. */
static void cellar(struct compilation *c, const char *level, const char *room, const char *beside,
                   const char *runs)
{
    struct buf b = {0};
    buf_printf(&b,
               "plan \"Cellar\" { edition nec-2023 }\n"
               "level low { floor -8'; ceiling 7'-6\"; below-grade; %s }\n"
               "room a { kind workshop; corner 0', 0'; size 14' by 10'\n%s\n"
               "box A west at 2' up 16\" { receptacle-gfci }\n"
               "box B north at 7'-4\" up 16\" { receptacle }\n"
               "box C east at 5' up 4' { receptacle } }\n"
               "room b { kind utility; corner 14'-8\", 0'; size 8' by 10'\n%s }\n"
               "panel P { in a south at 7'-4\" up 5'; main 60 A; spaces 8 }\n"
               "circuit P.1 \"Cellar bench\" { breaker 15 A gfci\n%s }\n",
               level, room, beside, runs);
    compile_text(c, buf_text(&b));
    buf_free(&b);
}

static const struct wall *wall_of(const struct compilation *c, unsigned room, const char *name)
{
    const struct room *r = c->model->rooms.at[room];
    for (uint32_t i = 0; i < r->wall_count; i++)
        if (!strcmp(r->walls[i].name, name))
            return &r->walls[i];
    return NULL;
}

/* Who says nothing of a shared wall has it from the other room; studs before concrete stand on the
 * side of who wrote them. */
static void one_room_tells_of_both_sides(void **state)
{
    (void)state;
    struct compilation c;
    const char *runs = "run P -> a.B";
    cellar(&c, "", "wall east concrete furred 2x4 at 16\" gap 1\"", "", runs);
    assert_true(wall_of(&c, 0, "east")->furred);
    assert_int_equal(wall_of(&c, 0, "east")->gap, INCH);
    assert_true(wall_is_bare(wall_of(&c, 1, "west")));
    assert_ptr_equal(wall_of(&c, 1, "west")->behind, c.model->rooms.at[0]);
    assert_false(wall_of(&c, 1, "east")->concrete);
    const struct face *east = frame_face_of(c.routes->frame, c.model->rooms.at[0], 2),
                      *west = frame_face_of(c.routes->frame, c.model->rooms.at[1], 0);
    assert_int_not_equal(east->line, west->line);
    assert_true(c.routes->frame->lines[west->line].bare);
    compile_free(&c);
    cellar(&c, "", "", "wall west 2x8 at 12\"", runs); /* 7-1/4 in. and the finish: one wall */
    assert_string_equal(wall_of(&c, 0, "east")->framing.lumber.name, "2x8");
    assert_int_equal(wall_of(&c, 0, "east")->framing.spacing, 12 * INCH);
    assert_string_equal(wall_of(&c, 0, "west")->framing.lumber.name, "2x4");
    compile_free(&c);
    cellar(&c, "", "", "wall east concrete", runs); /* the far side is another wall */
    assert_false(wall_of(&c, 0, "east")->concrete);
    compile_free(&c);
}

static void both_rooms_say_the_same(void **state)
{
    (void)state;
    static const struct {
        const char *a, *b;
        unsigned found;
    } walls[] = {
        {"wall east concrete", "wall west concrete", 0},
        {"wall east concrete furred 2x4 at 16\"", "wall west concrete", 0},
        {"wall east concrete furred 2x4 at 16\"", "wall west concrete furred 2x3 at 24\"", 0},
        {"wall east concrete", "wall west 2x4 at 16\"", 1},
        {"wall east 2x8 at 16\"", "wall west 2x8 at 16\"", 0},
        {"wall east 2x8 at 16\"", "wall west 2x8 at 24\"", 1},
        {"wall east west 2x8 at 16\"", "", 0},
        {"wall west 2x8 at 16\"", "wall east 2x6 at 16\"", 0},
    };
    for (size_t i = 0; i < sizeof walls / sizeof *walls; i++) {
        struct compilation c;
        cellar(&c, "", walls[i].a, walls[i].b, "run P -> a.B");
        assert_int_equal(findings_of(&c, "walls-disagree"), walls[i].found);
        compile_free(&c);
    }
}

/* Many names before the words, options behind them, and what is left out. */
static void walls_are_read(void **state)
{
    (void)state;
    struct compilation c;
    cellar(&c, "", "wall north west south 2x6 at 24\"\nwall east concrete furred 2x3 at 12\"", "",
           "run P -> a.B");
    assert_int_equal(findings_of(&c, "syntax"), 0);
    static const char *const same[] = {"north", "west", "south"};
    for (unsigned i = 0; i < 3; i++) {
        assert_string_equal(wall_of(&c, 0, same[i])->framing.lumber.name, "2x6");
        assert_int_equal(wall_of(&c, 0, same[i])->framing.spacing, 24 * INCH);
    }
    assert_int_equal(wall_of(&c, 0, "east")->framing.spacing, 12 * INCH);
    assert_int_equal(wall_of(&c, 0, "east")->gap, 0);
    compile_free(&c);
    cellar(&c, "", "wall east concrete furred i-joist at 12\" gap 2\"", "", "run P -> a.B");
    assert_int_equal(findings_of(&c, "unknown-name"), 0); /* lumber may be a word as walls are */
    assert_string_equal(wall_of(&c, 0, "east")->framing.lumber.name, "i-joist");
    assert_int_equal(wall_of(&c, 0, "east")->gap, 2 * INCH);
    compile_free(&c);
    cellar(&c, "", "wall nroth concrete", "", "run P -> a.B");
    assert_int_equal(findings_of(&c, "unknown-name"), 1);
    compile_free(&c);
}

/* The box's own depth against studs, gap and finish: 1-1/2, 1/2 and 1/2 in. take 2-1/2 in. and no
 * more. */
static void boxes_go_as_deep_as_studs_and_gap(void **state)
{
    (void)state;
    static const struct {
        const char *wall, *type;
        unsigned deep, mount;
    } boxes[] = {
        {"concrete furred 2x2 at 16\" gap 1/2\"", "square-1-1-2-deep", 0, 0},
        {"concrete furred 2x2 at 16\"", "nail-on-1g-18", 1, 0},
        {"concrete furred 2x2 at 16\" gap 1-1/2\"", "nail-on-1g-18", 0, 0},
        {"concrete furred 2x4 at 16\"", "nail-on-1g-18", 0, 0},
        {"concrete", "nail-on-1g-18", 0, 1},
        {"concrete", "old-work-1g-14", 0, 1},
        {"concrete", "handy-2-1-8-deep", 0, 0},
        {"concrete", "square-1-1-2-deep", 0, 0},
    };
    for (size_t i = 0; i < sizeof boxes / sizeof *boxes; i++) {
        char room[200];
        struct compilation c;
        snprintf(room, sizeof room,
                 "wall south %s\nbox D south at 2'-6 1/16\" up 16\" type %s { cover blank }",
                 boxes[i].wall, boxes[i].type);
        cellar(&c, "", room, "", "run P -> a.B");
        if (findings_of(&c, "box-too-deep") != boxes[i].deep || findings_of(&c, "unknown-name") ||
            findings_of(&c, "box-mount") != boxes[i].mount) {
            fprintf(stderr, "%s on %s\n", boxes[i].type, boxes[i].wall);
            show_compiled(&c);
        }
        assert_int_equal(findings_of(&c, "unknown-name"), 0);
        assert_int_equal(findings_of(&c, "box-too-deep"), boxes[i].deep);
        assert_int_equal(findings_of(&c, "box-mount"), boxes[i].mount);
        compile_free(&c);
    }
}

/* A box without a type on concrete is one for surfaces. */
static void boxes_for_surfaces_are_chosen(void **state)
{
    (void)state;
    struct compilation c;
    cellar(&c, "", "wall west concrete", "", "run P -> a.A (exposed) -> B (exposed) -> C");
    const struct box_type *type = c.wiring->of_box[c.model->rooms.at[0]->boxes.at[0]->id].type;
    assert_non_null(type);
    assert_int_equal(type->fastened, FASTENED_SURFACE);
    assert_int_equal(c.diag.counts[ERROR], 0);
    compile_free(&c);
}

/* What is told of ways. One end on concrete: told once for each run that is not exposed; a panel
 * there hangs on its board. A box that is not held there is told by itself. */
static void ways_leave_concrete_alone(void **state)
{
    (void)state;
    static const struct {
        const char *level, *room, *runs;
        unsigned found;
    } ways[] = {
        {"", "wall west concrete", "run P -> a.A -> B", 2},
        {"", "wall west concrete", "run P -> a.A (exposed) -> B (exposed)", 0},
        {"", "wall west concrete", "run P -> a.A in emt-1/2\nrun a.A -> B in emt-1/2", 0},
        {"", "wall west concrete", "run P -> a.A via studs", 1},
        {"", "wall west concrete", "run P -> a.A fished", 1},
        {"", "wall south concrete", "run P -> a.A -> B -> C", 0},
        {"", "wall south concrete", "run P -> a.A underground 6\"", 0},
        {"", "wall south north west concrete furred 2x4 at 16\"", "run P -> a.A -> B -> C", 0},
        {"", "wall west concrete\nbox D west at 5' up 16\" type nail-on-1g-18 { receptacle }",
         "run P -> a.D", 0},
        {"slab", "", "run P -> a.A -> B -> C", 0},
        {"slab", "", "run P -> a.A -> B via under", 1},
        {"slab", "", "run P -> a.A (via under) -> B (via overhead)", 1},
        {"slab", "box D floor at 5', 5' { cover blank }", "run P -> a.D", 1},
        {"slab", "box D floor at 5', 5' { cover blank }", "run P -> a.D underground 6\"", 0},
        {"slab", "box D overhead at 5', 5' { luminaire }", "run P -> a.D", 0},
        {"", "box D floor at 5', 5' { cover blank }", "run P -> a.D", 0},
        {"", "", "run P -> a.A -> B via under", 0},
        {"", "wall south concrete", "run P -> a.A via under", 1},
        {"", "wall south concrete", "run P -> a.A via studs", 1},
    };
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        struct compilation c;
        cellar(&c, ways[i].level, ways[i].room, "", ways[i].runs);
        if (findings_of(&c, "run-blocked") != ways[i].found || findings_of(&c, "syntax")) {
            fprintf(stderr, "%s; %s; %s\n", ways[i].level, ways[i].room, ways[i].runs);
            show_compiled(&c);
        }
        assert_int_equal(findings_of(&c, "syntax"), 0);
        assert_int_equal(findings_of(&c, "run-blocked"), ways[i].found);
        compile_free(&c);
    }
}

/* A mat that heats the floor is reached down its wall, without a hole below. */
static void heat_lies_on_the_slab(void **state)
{
    (void)state;
    struct compilation c;
    cellar(&c, "slab", "box D floor at 5', 5' { heater circuit P.2 }", "",
           "run P -> a.A }\ncircuit P.2 \"Floor heat\" { breaker 20 A two-pole gfci\nrun P -> a.D");
    assert_int_equal(findings_of(&c, "run-blocked"), 0);
    const struct route *r = &c.routes->of_run[c.model->runs.n - 1];
    assert_false(r->blocked);
    assert_int_equal(r->bores, 0);
    const struct segment *last = &r->segments[r->segment_count - 1];
    assert_int_equal(last->kind, ON_SLAB);
    assert_int_equal(last->to.z, -8 * FOOT);
    compile_free(&c);
}

/* Studs before concrete are the frame that the same wall of wood has; only what bears differs. */
static void furring_is_bored_like_a_wall(void **state)
{
    (void)state;
    static const char *const runs[] = {"run P -> a.A -> B -> C", "run P -> a.A -> B via studs",
                                       "run P -> a.C -> B via overhead"};
    static const char *const walls[] = {
        "wall north west south 2x4 at 16\"",
        "wall north west south concrete furred 2x4 at 16\" gap 1\""};
    for (size_t i = 0; i < sizeof runs / sizeof *runs; i++) {
        struct compilation c[2];
        for (int k = 0; k < 2; k++)
            cellar(&c[k], "slab", walls[k], "", runs[i]);
        assert_int_equal(c[0].model->runs.n, c[1].model->runs.n);
        for (uint32_t r = 0; r < c[0].model->runs.n; r++) {
            assert_int_equal(c[0].routes->of_run[r].path, c[1].routes->of_run[r].path);
            assert_int_equal(c[0].routes->of_run[r].bores, c[1].routes->of_run[r].bores);
            assert_int_equal(c[0].routes->of_run[r].supports, c[1].routes->of_run[r].supports);
        }
        compile_free(&c[0]);
        compile_free(&c[1]);
    }
}

/* Furring carries nothing: its bores keep to 60 percent of its depth, not 40 (IRC R602.6). */
static void furring_carries_nothing(void **state)
{
    (void)state;
    struct compilation c;
    cellar(&c, "", "wall west north concrete furred 2x2 at 16\" gap 2\"", "",
           "run a.A -> B via studs\nrun P -> a.A");
    assert_int_equal(findings_of(&c, "bore-too-large"), 0);
    compile_free(&c);
    cellar(&c, "", "wall west north 2x2 at 16\"", "", "run a.A -> B via studs\nrun P -> a.A");
    assert_true(findings_of(&c, "bore-too-large"));
    compile_free(&c);
}

/* Doors go through concrete: no box of either side stands in one, and no way goes through it. */
static void doors_go_through_concrete(void **state)
{
    (void)state;
    struct compilation c;
    cellar(&c, "", "wall east concrete furred 2x4 at 16\"\ndoor east at 1' wide 3' to b",
           "box D west at 7'-6\" up 16\" { cover blank }", "run P -> a.B");
    assert_int_equal(findings_of(&c, "box-in-opening"), 1);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_room_tells_of_both_sides),
        cmocka_unit_test(both_rooms_say_the_same),
        cmocka_unit_test(walls_are_read),
        cmocka_unit_test(boxes_go_as_deep_as_studs_and_gap),
        cmocka_unit_test(boxes_for_surfaces_are_chosen),
        cmocka_unit_test(ways_leave_concrete_alone),
        cmocka_unit_test(heat_lies_on_the_slab),
        cmocka_unit_test(furring_is_bored_like_a_wall),
        cmocka_unit_test(furring_carries_nothing),
        cmocka_unit_test(doors_go_through_concrete),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Routes, bores, supports and cut lengths. Free conductor: NFPA 70 300.14; supports: 334.30;
 * protection plates: 300.4(A)(1). Box depth, panel tail, slack and the stock step are common trade
 * practice, from the library. */
#include "compiled.h"
#include "framing/mountings.h"
#include "framing/routes.h"

/* Overhead ways lie in the middle of 2x10 joists, dressed 9-1/4 in. */
static const length over = INCH * 37 / 8;

/* A shed of 14 by 10 ft, ceiling 8 ft, studs at 16 in., joists running east, bores at 24 in., with
 * more in the room and one circuit of the given runs. */
static void shed(struct compilation *c, const char *room, const char *runs)
{
    struct buf b = {0};
    buf_printf(&b,
               "plan \"Shed\" { edition nec-2023 }\n"
               "room shed { kind workshop; size 14' by 10'\n%s\n"
               "box A west at 2' up 16\" { receptacle }\n"
               "box B west at 7'-4\" up 16\" { receptacle }\n"
               "box C east at 5' up 4' { receptacle }\n"
               "box D overhead at 10', 2' { luminaire } }\n"
               "panel P { in shed south at 7'-4\" up 5'; main 60 A; spaces 8 }\n"
               "circuit P.1 { breaker 15 A\n%s }\n",
               room, runs);
    compile_sound(c, buf_text(&b));
    buf_free(&b);
}

/* The route of the n-th run. */
static const struct route *route_of(const struct compilation *c, unsigned n)
{
    assert_true(n < c->model->runs.n);
    return &c->routes->of_run[n];
}

static void one_wall_is_bored_through(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "", "run shed.A -> B\nrun P -> shed.A\nrun P -> shed.C\nrun P -> shed.D\n");
    const struct route *r = route_of(&c, 0);
    assert_true(r->known);
    /* up 8 in. to the bores, 64 in. along, down 8 in.; studs at 32, 48, 64 and 80 in. */
    assert_int_equal(r->path, 64 * INCH + 16 * INCH);
    assert_int_equal(r->bores, 4);
    /* a 3/4 in. bore in the middle of a 2x4 keeps 1-3/8 in. */
    assert_int_equal(r->plates, 0);
    assert_int_equal(r->supports, 2);
    /* each end 6 in. free, 2-1/2 in. of box, 6 in. slack: 109 in., cut as 114 */
    assert_int_equal(r->electrical, 109 * INCH);
    assert_int_equal(r->cut, 114 * INCH);
    compile_free(&c);
}

static void other_walls_are_reached_overhead(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "", "run shed.A -> C\nrun shed.A -> B\nrun P -> shed.A\nrun shed.C -> D\n");
    const struct model *m = c.model;
    const struct route *r = route_of(&c, 0);
    struct place3 a = address_end_position(m->runs.at[0]->from),
                  b = address_end_position(m->runs.at[0]->to);
    length across = llabs(a.x - b.x) + llabs(a.y - b.y);
    assert_int_equal(r->path, 80 * INCH + 48 * INCH + 2 * over + across);
    /* two top plates, and the joists that run east crossed on the way north */
    assert_true(r->bores >= 2);
    /* the light hangs at the ceiling: one way up, no plate of its own */
    const struct route *light = route_of(&c, 3);
    a = address_end_position(m->runs.at[3]->from), b = address_end_position(m->runs.at[3]->to);
    assert_int_equal(light->path, 48 * INCH + 2 * over + llabs(a.x - b.x) + llabs(a.y - b.y));
    /* a panel's end takes the tail: 5 ft instead of free conductor and box */
    const struct route *home = route_of(&c, 2);
    assert_int_equal(home->electrical - home->path,
                     60 * INCH + (length)(8.5 * (double)INCH) + 2 * 6 * INCH);
    compile_free(&c);
}

static void doors_stand_in_the_way(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "door west at 4' wide 3'",
         "run shed.A -> B\nrun P -> shed.A\nrun P -> shed.C\nrun P -> shed.D\n");
    /* the king of the door ends at 87 in.; B is set against it, its middle 1-3/16 in. from there */
    assert_int_equal(route_of(&c, 0)->path, 64 * INCH + 3 * INCH / 16 + 2 * (80 * INCH + over));
    compile_free(&c);
}

static void via_picks_the_way(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "",
         "run shed.A -> B via overhead\nrun P -> shed.A via under\nrun P -> shed.C\nrun P -> "
         "shed.D\n");
    const struct model *m = c.model;
    assert_int_equal(route_of(&c, 0)->path, 64 * INCH + 2 * (80 * INCH + over));
    struct place3 a = address_end_position(m->runs.at[1]->from),
                  b = address_end_position(m->runs.at[1]->to);
    assert_int_equal(route_of(&c, 1)->path,
                     60 * INCH + 16 * INCH + 2 * over + llabs(a.x - b.x) + llabs(a.y - b.y));
    compile_free(&c);
}

static void corner_is_turned_through_the_studs(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "box N north at 3' up 16\" { receptacle }",
         "run shed.B -> N via studs\nrun P -> shed.A -> B\nrun P -> shed.C\nrun P -> shed.D\n");
    /* 32 in. to the corner, 3 ft beyond it; studs at 96 and 112 in., those at the ends of the two
     * walls, then 16 and 32 in. */
    const struct route *r = route_of(&c, 0);
    assert_int_equal(r->path, 32 * INCH + 3 * FOOT + 16 * INCH);
    assert_int_equal(r->bores, 2 + 2 + 2);
    compile_free(&c);
}

static void measured_length_replaces_the_cut(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "",
         "run shed.A -> B length 30'-1\"\nrun P -> shed.A existing\nrun P -> shed.C spare 4'\nrun "
         "P -> shed.D\n");
    const struct route *r = route_of(&c, 0);
    assert_true(r->measured);
    assert_int_equal(r->electrical, 30 * FOOT + INCH);
    assert_int_equal(r->cut, 30 * FOOT + 6 * INCH);
    const struct route *old = route_of(&c, 1);
    assert_int_equal(old->cut, 0);
    assert_int_equal(old->bores + old->supports + old->plates, 0);
    assert_true(old->electrical > 0);
    const struct route *spare = route_of(&c, 2);
    assert_true(spare->cut >= spare->path + 4 * FOOT);
    compile_free(&c);
}

static void fished_runs_are_neither_bored_nor_stapled(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "",
         "run shed.A -> B fished\nrun P -> shed.A fished via overhead\nrun P -> shed.C\nrun P -> "
         "shed.D\n");
    assert_int_equal(route_of(&c, 0)->bores, 0);
    assert_int_equal(route_of(&c, 0)->supports, 0);
    assert_int_equal(route_of(&c, 1)->bores, 2);
    compile_free(&c);
}

/* The parts of a way pass all that the run passes, one after the other, each member once: of a new
 * run each is a hole or a notch. A fished or an exposed run passes plates alone (its cable lies in
 * closed walls, or on them), and its bores hold it nowhere. */
static unsigned check_passes(const struct compilation *c)
{
    unsigned plates = 0;
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct run *run = c->model->runs.at[i];
        const struct route *r = &c->routes->of_run[i];
        bool open = !run->fished && !run->exposed;
        uint32_t passed = 0;
        for (uint32_t k = 0; k < r->segment_count; k++) {
            assert_int_equal(r->segments[k].first, passed);
            passed += r->segments[k].count;
            assert_true(open || run->existing || !r->segments[k].held);
        }
        assert_int_equal(passed, r->passed_count);
        assert_true(run->existing || r->bores + r->notches == passed);
        for (uint32_t at = 0; at < passed && !open && !run->existing; at++, plates++) {
            uint32_t in = at;
            assert_int_equal(route_members(r, &in)->member, MEMBER_PLATE);
        }
    }
    return plates;
}

static void each_part_passes_its_members(void **state)
{
    (void)state;
    struct compilation c;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        check_passes(&c);
        compile_free(&c);
    }
    shed(&c, "",
         "run shed.A -> B fished\nrun P -> shed.A fished via overhead\nrun P -> shed.C exposed\n"
         "run shed.C -> D fished\n");
    /* P to A: up through one plate, down through another; C to D: up through one */
    assert_int_equal(check_passes(&c), 3);
    compile_free(&c);
}

static void assert_same(const struct route *a, const struct route *b)
{
    assert_int_equal(a->path, b->path);
    assert_int_equal(a->cut, b->cut);
    assert_int_equal(a->electrical, b->electrical);
    assert_int_equal(a->bores, b->bores);
    assert_int_equal(a->supports, b->supports);
    assert_int_equal(a->plates, b->plates);
}

/* The same chain written from the other end measures the same. */
static void ends_may_be_swapped(void **state)
{
    (void)state;
    static const char *const names[] = {"A", "B", "C", "D"};
    static const char *const ways[] = {"", "via overhead", "via studs", "via under"};
    for (unsigned i = 0; i < 4; i++)
        for (unsigned k = 0; k < i; k++)
            for (unsigned w = 0; w < 4; w++) {
                struct compilation there, back;
                struct buf one = {0}, two = {0};
                buf_printf(&one, "run shed.%s -> shed.%s %s\n", names[k], names[i], ways[w]);
                buf_printf(&two, "run shed.%s -> shed.%s %s\n", names[i], names[k], ways[w]);
                for (unsigned n = 0; n < 4; n++)
                    if (n != i) {
                        buf_printf(&one, "run P -> shed.%s\n", names[n]);
                        buf_printf(&two, "run P -> shed.%s\n", names[n]);
                    }
                shed(&there, "", buf_text(&one));
                shed(&back, "", buf_text(&two));
                assert_same(route_of(&there, 0), route_of(&back, 0));
                compile_free(&there);
                compile_free(&back);
                buf_free(&one);
                buf_free(&two);
            }
}

static void floors_are_joined_by_the_height_between(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, "plan \"Two floors\" { edition nec-2023 }\n"
                      "level low { floor 0'; ceiling 8' }\nlevel high { floor 9'; ceiling 8' }\n"
                      "room shop { on low; kind workshop; corner 0', 0'; size 14' by 10' }\n"
                      "room loft { on high; kind storage; corner 0', 0'; size 14' by 10'\nbox A "
                      "north at 3' up 16\" { receptacle } }\n"
                      "panel P { in shop south at 7'-4\" up 5'; main 60 A; spaces 8 }\n"
                      "circuit P.1 { breaker 15 A; run P -> loft.A }\n");
    struct place3 a = address_end_position(c.model->runs.at[0]->from),
                  b = address_end_position(c.model->runs.at[0]->to);
    const struct route *r = route_of(&c, 0);
    assert_int_equal(r->path, 36 * INCH + (12 + 16) * INCH + llabs(a.x - b.x) + llabs(a.y - b.y));
    assert_true(r->bores >= 2); /* the top plate below, the bottom plate above */
    compile_free(&c);
}

static void no_route_is_shorter_than_straight(void **state)
{
    (void)state;
    struct compilation c;
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
    assert_non_null(c.model);
    assert_true(c.model->runs.n > 20);
    for (uint32_t i = 0; i < c.model->runs.n; i++) {
        const struct run *run = c.model->runs.at[i];
        const struct route *r = &c.routes->of_run[i];
        assert_true(r->known);
        struct place3 a = mounting_of_end(c.routes->mountings, run->from)->place.at,
                      b = mounting_of_end(c.routes->mountings, run->to)->place.at;
        assert_true(r->path >= llabs(a.x - b.x) + llabs(a.y - b.y) + llabs(a.z - b.z));
        if (!run->existing)
            assert_true(r->cut > 0 && r->cut % c.model->stock_step == 0);
    }
    compile_free(&c);
}

/* From a cellar to a loft: the joists over the storey between are that storey's, counted from its
 * own corner, 2 ft east of the loft's and made of its own lumber. */
static void joists_of_a_storey_that_is_passed(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"Tower\" { edition nec-2023 }\n"
                     "level low { floor 0' }\n"
                     "level middle { floor 10'; joists 2x12 at 16\" running north }\n"
                     "level high { floor 20' }\n"
                     "room a { on low; corner 0', 0'; size 12' by 10'; kind storage }\n"
                     "room b { on middle; corner 2', 0'; size 10' by 10'; kind storage }\n"
                     "room c { on high; corner 0', 0'; size 30' by 10'; kind storage\n"
                     "box R1 north at 24' { receptacle } }\n"
                     "panel P { in a south at 6' up 5'; main 60 A; spaces 8 }\n"
                     "circuit P.1 { breaker 15 A; run P -> c.R1 }\n");
    const struct route *r = route_of(&c, 0);
    uint32_t joists = 0;
    for (uint32_t i = 0; i < r->passed_count; i++) {
        struct passed p = route_member(c.routes->frame, r, i);
        if (p.member != MEMBER_JOIST || p.at.z < 12 * FOOT)
            continue;
        assert_string_equal(p.level->name, "middle");
        assert_string_equal(p.lumber->name, "2x12");
        assert_int_equal(p.at.x, 2 * FOOT + p.index * 16 * INCH);
        joists++;
    }
    assert_true(joists > 5);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_wall_is_bored_through),
        cmocka_unit_test(other_walls_are_reached_overhead),
        cmocka_unit_test(doors_stand_in_the_way),
        cmocka_unit_test(via_picks_the_way),
        cmocka_unit_test(corner_is_turned_through_the_studs),
        cmocka_unit_test(measured_length_replaces_the_cut),
        cmocka_unit_test(fished_runs_are_neither_bored_nor_stapled),
        cmocka_unit_test(each_part_passes_its_members),
        cmocka_unit_test(ends_may_be_swapped),
        cmocka_unit_test(floors_are_joined_by_the_height_between),
        cmocka_unit_test(joists_of_a_storey_that_is_passed),
        cmocka_unit_test(no_route_is_shorter_than_straight),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

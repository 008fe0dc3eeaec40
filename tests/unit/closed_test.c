/* Walls and ceilings whose finish stays on: old-work boxes, fished cables, and what is told where
 * they cannot be; and what the site log says was covered too early. Common trade practice. */
#include "compiled.h"

#include "framing/routes.h"
#include "wiring/wiring.h"

static const char *house(const char *den, const char *cellar, const char *circuit)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Den\" { edition nec-2023 }\n"
             "level cellar { floor 0'; ceiling 7'; below-grade }\n"
             "level main { floor 8'; ceiling 8'; joists 2x8 at 16\" running north; floor-joists "
             "2x8 at 16\" running north }\n"
             "room den { existing; on main; kind family; corner 0', 0'; size 14' by 12'\n"
             "box R1 south at 3' { existing; type nail-on-1g-22; holds 2 of 14; grounds 1; "
             "receptacle }\n%s }\n"
             "room base { existing; on cellar; kind utility; corner 0', 0'; size 14' by 12'; %s }\n"
             "panel M { existing; in base north at 4' up 5'; main 100 A; spaces 20 }\n"
             "circuit M.7 \"Den\" { existing; breaker 15 A afci; %s }\n",
             den, cellar, circuit);
    return text;
}

static void count(const char *rule, unsigned n, const char *den, const char *cellar,
                  const char *circuit)
{
    struct compilation c;
    compile_text(&c, house(den, cellar, circuit));
    bool right = findings_of(&c, rule) == n && (n || !c.diag.counts[ERROR]);
    if (!right) {
        print_error("%u times %s is wanted: %s; %s; %s\n", n, rule, den, cellar, circuit);
        show_compiled(&c);
    }
    assert_true(right);
    compile_free(&c);
}

#define R2    "box R2 south at 9' { receptacle }\n"
#define ALONG "run den.R1 -> R2"

static void cable_is_fished_or_told(void **state)
{
    (void)state;
    static const struct {
        unsigned n;
        const char *den, *cellar, *circuit;
    } cases[] = {
        {0, "closed\n" R2, "", ALONG},              /* under the floor */
        {0, R2, "", ALONG " via studs"},            /* nothing is closed */
        {1, "closed\n" R2, "", ALONG " via studs"}, /* through studs */
        {0, "closed; closed no south\n" R2, "", ALONG " via studs"},
        {0, "closed north ceiling\n" R2, "", ALONG " via studs"},
        {1, "closed\n" R2, "closed", ALONG}, /* no side is open */
        {0, "closed\n" R2, "closed north", ALONG},
        {1, "closed\n" R2, "", ALONG " via overhead"},
        {0, "closed; closed no ceiling\n" R2, "", ALONG " via overhead"},
        {0, "closed\n" R2, "", ALONG " via overhead length 30'"}, /* measured on site */
        {0, "closed\n" R2, "", ALONG " via studs existing"},
        {0, "closed\n" R2, "", "run M -> den.R2 existing no"}, /* up from the cellar */
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        count("run-blocked", cases[i].n, cases[i].den, cases[i].cellar, cases[i].circuit);
}

static void box_is_for_old_work(void **state)
{
    (void)state;
    count("box-mount", 1, "closed\nbox R2 south at 9'-2\" { type nail-on-1g-22; receptacle }\n", "",
          ALONG);
    count("box-mount", 0, "closed\nbox R2 south at 9' { type old-work-1g-20; receptacle }\n", "",
          ALONG);
    count("box-mount", 0,
          "closed; closed no south\nbox R2 south at 9'-2\" { type nail-on-1g-22; receptacle }\n",
          "", ALONG);
    count("box-mount", 0,
          "closed north\nbox R2 south at 9'-2\" { type nail-on-1g-22; receptacle }\n", "", ALONG);
    struct compilation c;
    for (int closed = 0; closed < 2; closed++) {
        compile_sound(&c, house(closed ? "closed\n" R2 : R2, "", ALONG));
        const struct fill *fill = NULL;
        for (uint32_t i = 0; i < c.model->boxes.n; i++)
            if (!c.model->boxes.at[i]->existing)
                fill = &c.wiring->of_box[i];
        assert_non_null(fill);
        assert_non_null(fill->type);
        assert_int_equal(fill->type->old_work, closed);
        compile_free(&c);
    }
}

/* Only what goes through plates is bored, and nothing is stapled behind the finish. */
static void nothing_is_bored_behind_it(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, house("closed\n" R2, "", ALONG));
    bool any = false;
    for (uint32_t i = 0; i < c.model->runs.n; i++) {
        const struct route *route = &c.routes->of_run[i];
        for (uint32_t k = 0; k < route->segment_count; k++) {
            const struct segment *s = &route->segments[k];
            any |= s->closed;
            for (uint32_t m = 0; s->closed && m < s->count; m++)
                assert_int_equal(route_member(c.routes->frame, route, s->first + m).member,
                                 MEMBER_PLATE);
        }
    }
    assert_true(any);
    compile_free(&c);
}

/* A wall that the room on its other side has open is bored from there; one that is left alone opens
 * nothing. */
static void wall_is_reached_from_the_other_side(void **state)
{
    (void)state;
    static const char text[] =
        "plan \"Two\" { edition nec-2023 }\n"
        "room a { kind workshop; closed; corner 0', 0'; size 12' by 10'\n"
        "box R1 north at 2' { receptacle }\nbox R2 north at 10' { receptacle } }\n"
        "room b { %s kind workshop; corner 0', 10'-4 1/2\"; size 12' by 10' }\n"
        "panel P { existing; in b north at 4' up 5'; main 100 A; spaces 20 }\n"
        "circuit P.1 \"Bench\" { breaker 20 A dual-function; run P -> a.R1; run a.R1 -> R2 via "
        "studs }\n";
    for (int alone = 0; alone < 2; alone++) {
        char plan[1000];
        struct compilation c;
        snprintf(plan, sizeof plan, text, alone ? "existing;" : "");
        compile_text(&c, plan);
        if (findings_of(&c, "run-blocked") != (unsigned)alone)
            show_compiled(&c);
        assert_int_equal(findings_of(&c, "run-blocked"), alone);
        compile_free(&c);
    }
}

/* --- what the site log closes ------------------------------------------------------------- */

#define LINEN                                                                                      \
    "plan \"Linen\" { edition nec-2023 }\n"                                                        \
    "room linen { kind workshop; corner 0', 0'; size 10' by 8'\n"                                  \
    "box R1 north at 6' { receptacle%s }\nbox R2 east at 4' { receptacle } }\n"                    \
    "panel P { existing; in linen west at 4' up 5'; main 100 A; spaces 20 }\n"                     \
    "circuit P.1 \"Linen\" { breaker 20 A dual-function; run P -> linen.R1%s; run linen.R1 -> "    \
    "R2 }\n"

/* Of run P -> linen.R1: whether some of it is fished, and how long it is cut; of box R1: whether it
 * is for old work. */
struct built {
    bool fished, old_work;
    length cut;
    unsigned bores, too_early, errors;
};

static struct built build(const char *box, const char *run, const char *log)
{
    char text[1000];
    struct compilation c;
    struct built b = {0};
    snprintf(text, sizeof text, LINEN, box, run);
    compile_with_log(&c, text, log);
    const struct route *route = &c.routes->of_run[0];
    for (uint32_t i = 0; i < route->segment_count; i++)
        b.fished |= route->segments[i].closed;
    b.cut = route->cut;
    b.bores = route->bores;
    const struct box_type *type = c.wiring->of_box[c.model->runs.at[0]->to.box->id].type;
    b.old_work = type && type->old_work;
    b.too_early = findings_of(&c, "closed-too-early");
    b.errors = c.diag.counts[ERROR];
    compile_free(&c);
    return b;
}

/* What hangs and is set by the day of the closing stays as it was built; the rest is as if the plan
 * had said `closed`. */
static void log_closes_what_is_not_done(void **state)
{
    (void)state;
    struct built open = build("", "", ""), shut = build("", "", "2026-03-12 closed linen north\n");
    assert_false(open.fished || open.old_work || open.too_early);
    assert_true(shut.fished && shut.old_work && shut.too_early == 1);
    assert_true(shut.bores < open.bores && shut.cut > open.cut);
    static const struct {
        bool cable, box; /* done before */
        const char *log;
    } cases[] = {
        {true, true, "2026-03-10 pulled P to linen.R1 30ft\n2026-03-12 closed linen north\n"},
        {true, true, "2026-03-12 pulled P to linen.R1 30ft\n2026-03-12 closed linen north\n"},
        {false, false, "2026-03-14 pulled P to linen.R1 30ft\n2026-03-12 closed linen\n"},
        {false, true, "2026-03-11 set linen.R1\n2026-03-12 closed linen.north\n"},
        {false, false, "2026-03-11 set linen.R2\n2026-03-12 closed linen north\n"},
        {true, true, "2026-03-11 stapled circuit P.1\n2026-03-12 closed linen\n"},
        {true, true,
         "2026-03-11 inspected linen\n2026-03-11 pulled P to linen.R1\n"
         "2026-03-12 closed linen\n"},
        /* a piece that does not reach hangs there for nothing */
        {false, false, "2026-03-10 pulled P to linen.R1 5ft\n2026-03-12 closed linen north\n"},
        {false, false,
         "2026-03-10 pulled P to linen.R1 5ft\n2026-03-12 closed linen north\n"
         "2026-03-15 pulled P to linen.R1 30ft\n"},
        /* another wall; one that is opened again; a closing that is repeated */
        {true, true, "2026-03-12 closed linen south\n"},
        {true, true, "2026-03-12 closed linen north\n2026-03-13 not closed linen north\n"},
        {true, true,
         "2026-03-10 pulled P to linen.R1 30ft\n2026-03-12 closed linen north\n"
         "2026-03-20 closed linen north\n"},
        {false, false,
         "2026-03-20 closed linen north\n2026-03-16 pulled P to linen.R1 30ft\n"
         "2026-03-12 closed linen north\n"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct built b = build("", "", cases[i].log);
        if (b.fished == cases[i].cable || b.old_work == cases[i].box)
            print_error("%s", cases[i].log);
        assert_int_equal(b.fished, !cases[i].cable);
        assert_int_equal(b.old_work, !cases[i].box);
        if (cases[i].cable)
            assert_int_equal(b.cut, open.cut);
    }
}

/* One fault is one finding: what was left behind the finish is that; the type that is written and
 * the studs in the way are told of what the plan has set and fished there. */
static void log_tells_one_fault_once(void **state)
{
    (void)state;
    static const char closed[] = "2026-03-12 closed linen\n", type[] = "; type square-2-1-8-deep";
    assert_int_equal(build(type, "", closed).errors, build(type, "", "").errors + 1);
    struct built b = build("", " via studs", closed);
    assert_int_equal(b.errors, 1);
    assert_int_equal(b.bores, 0);
    assert_int_equal(build("", " via studs fished", closed).errors, 2); /* that of run R1 -> R2 */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(cable_is_fished_or_told),
        cmocka_unit_test(box_is_for_old_work),
        cmocka_unit_test(nothing_is_bored_behind_it),
        cmocka_unit_test(wall_is_reached_from_the_other_side),
        cmocka_unit_test(log_closes_what_is_not_done),
        cmocka_unit_test(log_tells_one_fault_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

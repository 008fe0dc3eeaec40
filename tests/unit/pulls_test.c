/* Conduit bodies and pull boxes: what goes through them uncut, what that is cut from, and how it is
 * labelled, logged, filled and proven. */
#include "compiled.h"

#include "cuts/cuts.h"
#include "cuts/labels.h"
#include "facts/boxes.h"
#include "facts/pulls.h"
#include "facts/raceways.h"
#include "framing/routes.h"
#include "loads/panel.h"
#include "log/log.h"
#include "model/makeup.h"
#include "prove/prove.h"
#include "wiring/makeup.h"
#include "wiring/wiring.h"

#define SHOP(boxes, types, circuits)                                                               \
    "plan \"T\" { edition nec-2023 }\n"                                                            \
    "room shop \"Shop\" {\n  kind workshop\n  corner 0', 0'\n  size 20' by 14'\n  unfinished\n"    \
    "  box R1 south at 4' up 48\" { receptacle-gfci }\n"                                           \
    "  box R2 west at 4' up 48\" { receptacle-gfci }\n" boxes "}\n" types                          \
    "panel P \"Panel\" { in shop north at 9'; main 100 A; spaces 20; existing }\n" circuits

/* Through an LB and a pull box to one receptacle. */
#define CHAIN(in)                                                                                  \
    SHOP("  box LB1 north at 18' up 7' { type body-lb-3-4 }\n"                                     \
         "  box J1 east at 6' up 7' { pulled-through }\n",                                         \
         "",                                                                                       \
         "circuit P.1 \"West of the bench\" { breaker 20 A; " in                                   \
         "; run P -> shop.LB1 -> J1 -> R1 }\n"                                                     \
         "circuit P.3 \"West wall\" { breaker 20 A; run P -> shop.R2 }\n")

static const struct box *box_called(const struct compilation *c, const char *name)
{
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        if (!strcmp(c->model->boxes.at[i]->name, name))
            return c->model->boxes.at[i];
    fail_msg("no box %s", name);
    return NULL;
}

static struct run *run_to(const struct compilation *c, const char *box)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (c->model->runs.at[i]->to.box == box_called(c, box))
            return c->model->runs.at[i];
    fail_msg("no run to %s", box);
    return NULL;
}

static unsigned joints_in(const struct compilation *c, const char *name, enum joint_kind kind)
{
    const struct box *b = box_called(c, name);
    unsigned n = 0;
    for (uint32_t i = c->makeup->first_of_box[b->id]; i < c->makeup->first_of_box[b->id + 1]; i++)
        n += c->makeup->joints.at[i].kind == kind && !c->makeup->joints.at[i].by_box;
    return n;
}

/* Pieces of conductors, by the ends of their first and last. */
static unsigned pieces_between(const struct compilation *c, const char *from, const char *to,
                               length *longest)
{
    unsigned n = 0;
    *longest = 0;
    for (uint32_t i = 0; i < c->cuts->cable_count; i++)
        for (uint32_t k = 0; k < c->cuts->cables[i].coil_count; k++)
            for (uint32_t p = 0; p < c->cuts->cables[i].coils[k].cut_count; p++) {
                const struct cut *cut = &c->cuts->cables[i].coils[k].cuts[p];
                struct arena a = {0};
                if (!c->cuts->cables[i].cable->raceway &&
                    !strcmp(address_of_end(&a, cut->ends[0], true), from) &&
                    !strcmp(address_of_end(&a, cut->ends[1], true), to)) {
                    n++;
                    *longest = cut->length > *longest ? cut->length : *longest;
                }
                arena_free(&a);
            }
    return n;
}

/* 314.16(C)(1), with the worked example that https://forums.mikeholt.com/threads/35883 gives: 1 in.
 * EMT has 0.864 in2, its conduit body 1.728 in2. */
static void a_body_is_twice_as_wide_as_its_raceway(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, CHAIN("in emt-3/4"));
    const struct raceway_def *emt = library_raceway(&c.lib, names_of(&c.names, "emt-1"));
    double asked = 2 * facts_raceway_area(emt->inside);
    assert_true(fabs(asked - 1.728) < 1e-9);
    unsigned bodies = 0;
    for (uint32_t i = 0; i < c.lib.box_type_list.n; i++) {
        const struct box_type *t = c.lib.box_type_list.at[i];
        struct box_asks asks = {.mount = MOUNT_WALL};
        bodies += t->section > 0;
        if (t->section <= 0)
            continue;
        assert_true(facts_is_needless(&asks, t));
        size_t end = strlen(t->name);
        if (!strcmp(t->name + end - 2, "-1"))
            assert_true(facts_body_area(t) >= asked);
        if (!strcmp(t->name + end - 4, "-3-4"))
            assert_true(facts_body_area(t) < asked);
    }
    assert_int_equal(bodies, 62);
    compile_free(&c);
}

static void a_chain_is_one_pull(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, CHAIN("in emt-3/4"));
    const struct run *first = run_to(&c, "LB1"), *last = run_to(&c, "R1");
    length whole = 0, longest;
    for (const char *const *box = (const char *const[]){"LB1", "J1", "R1", NULL}; *box; box++) {
        const struct run *r = run_to(&c, *box);
        assert_ptr_equal(facts_pulled_with(r), first);
        whole += c.routes->of_run[r->id].path;
        assert_ptr_equal(c.wiring->of_run[r->id].cable->of, c.wiring->of_run[first->id].cable->of);
    }
    assert_ptr_equal(facts_pull_to(first).box, last->to.box);
    /* tails are at the panel and the receptacle alone (300.14, exception); a step of 6 in. at most
     */
    length tails = c.routes->of_run[first->id].tails[0] + c.routes->of_run[last->id].tails[1];
    assert_int_equal(c.routes->of_run[first->id].tails[1], 0);
    assert_int_equal(pieces_between(&c, "P", "shop.R1", &longest), 2);
    assert_true(longest >= whole + tails && longest < whole + tails + FOOT / 2);
    assert_int_equal(c.routes->of_run[last->id].cut, 0);
    assert_int_equal(joints_in(&c, "LB1", JOINT_PASS), 2);
    assert_int_equal(joints_in(&c, "J1", JOINT_PASS), 2);
    assert_int_equal(joints_in(&c, "J1", JOINT_SPLICE), 0);
    assert_true(c.verdict->holds);
    /* 314.16(B)(1): what passes unbroken counts once */
    assert_int_equal(c.wiring->of_box[box_called(&c, "J1")->id].conductors, 2);
    compile_free(&c);
}

/* In plastic the ground wire passes too; where one raceway of the pull wants a wire it lies in all
 * of them, and the metal of the others bonds what it passes. */
static void the_ground_wire_passes(void **state)
{
    (void)state;
    struct compilation c;
    static const char *const plans[] = {CHAIN("in emt-3/4; ground"), CHAIN("in pvc-3/4")};
    compile_sound(&c, plans[0]);
    assert_int_equal(joints_in(&c, "LB1", JOINT_PASS), 3);
    assert_int_equal(joints_in(&c, "J1", JOINT_PASS), 3);
    assert_true(c.verdict->holds);
    compile_free(&c);
    compile_text(&c, plans[1]); /* a body of metal that nothing bonds but the wire */
    assert_int_equal(findings_of(&c, "conduit-body"), 1);
    assert_true(c.verdict->holds);
    compile_free(&c);
}

/* Two circuits come in by one raceway and part: each conductor is one piece to where it ends. */
static void what_parts_passes_conductor_by_conductor(void **state)
{
    (void)state;
    struct compilation c;
    length first, second;
    compile_sound(&c, SHOP("  box T1 north at 4' up 7' { type body-t-1-2 }\n", "",
                           "circuit P.1 \"West of the bench\" { breaker 20 A; in emt-1/2\n"
                           "  run P -> shop.T1 for circuits 3\n  run shop.T1 -> R1 }\n"
                           "circuit P.3 \"West wall\" { breaker 15 A; in emt-1/2\n"
                           "  run shop.T1 -> R2 }\n"));
    assert_int_equal(joints_in(&c, "T1", JOINT_PASS), 4);
    assert_int_equal(pieces_between(&c, "P", "shop.R1", &first), 2);
    assert_int_equal(pieces_between(&c, "P", "shop.R2", &second), 2);
    assert_true(first != second);
    assert_null(run_to(&c, "T1")->passage);
    assert_true(c.verdict->holds);
    compile_free(&c);
}

#define TAPPED(type)                                                                               \
    SHOP("  box T1 north at 4' up 7' { type " type " }\n",                                         \
         "box-type marked-t : body-t-1-2 { volume 12 in3 }\n"                                      \
         "box-type tight-t : body-t-1-2 { volume 11 in3 }\n",                                      \
         "circuit P.1 \"Bench\" { breaker 20 A; in emt-1/2; run P -> shop.T1 -> R1\n"              \
         "  run shop.T1 -> R2 }\n")

/* 314.16(C)(2): splices where the volume is marked, counted by 314.16(B): two conductors in each of
 * three raceways, of 12 AWG, are 6 times 2.25 in3. */
static void a_marked_body_holds_splices(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, TAPPED("body-t-1-2"));
    assert_int_equal(findings_of(&c, "conduit-body"), 1);
    compile_free(&c);
    compile_text(&c, TAPPED("tight-t"));
    assert_int_equal(findings_of(&c, "conduit-body"), 0);
    assert_int_equal(findings_of(&c, "box-overfilled"), 1);
    assert_true(fabs(c.wiring->of_box[box_called(&c, "T1")->id].required - 13.5) < 1e-9);
    compile_free(&c);
}

/* Two sizes that the plan names are two conductors: they do not pass. */
static void what_is_named_otherwise_does_not_pass(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, SHOP("  box LB1 north at 18' up 7' { type body-lb-3-4 }\n", "",
                          "circuit P.1 \"West of the bench\" { breaker 20 A; in emt-3/4\n"
                          "  run P -> shop.LB1 (cable thhn-10) -> R1 (cable thhn-12) }\n"
                          "circuit P.3 \"West wall\" { breaker 20 A; run P -> shop.R2 }\n"));
    assert_int_equal(joints_in(&c, "LB1", JOINT_PASS), 0);
    assert_int_equal(findings_of(&c, "conduit-body"), 1);
    assert_true(c.verdict->holds);
    compile_free(&c);
}

/* The log calls it by its two ends, and whichever raceway is named the whole was pulled. */
static void the_log_knows_a_pull(void **state)
{
    (void)state;
    static const char *const logs[] = {
        "2026-03-14 pulled P -> shop.R1 90'\n", "2026-03-14 pulled P -> shop.LB1 90'\n",
        "2026-03-14 pulled shop.J1 -> R1 90'\n", "2026-03-14 pulled \"P1 P-sho R1\" 90'\n"};
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++) {
        struct compilation c;
        compile_with_log(&c, CHAIN("in emt-3/4"), logs[i]);
        assert_int_equal(c.diag.findings.n, 0);
        for (const char *const *box = (const char *const[]){"LB1", "J1", "R1", NULL}; *box; box++)
            assert_true(log_hangs(c.log, run_to(&c, *box)->id));
        const struct run_log *pulled = &c.log->of_run[run_to(&c, "LB1")->id];
        assert_int_equal(pulled->in_wall, 90 * (length)FOOT);
        assert_false(pulled->again);
        compile_free(&c);
    }
    struct compilation c;
    compile_with_log(&c, CHAIN("in emt-3/4"), "2026-03-14 pulled P -> shop.R1 9'\n");
    assert_int_equal(findings_of(&c, "cut-too-short"), 1);
    compile_free(&c);
}

/* A conductor that is said to pass and is another one, or is none, is no conductor. */
static void the_proof_reads_what_passes(void **state)
{
    (void)state;
    for (int how = 0; how < 3; how++) {
        struct compilation c;
        compile_sound(&c, CHAIN("in emt-3/4"));
        const struct box *b = box_called(&c, "J1");
        struct joint *pass[2];
        unsigned n = 0;
        for (uint32_t i = c.makeup->first_of_box[b->id]; n < 2; i++)
            if (c.makeup->joints.at[i].kind == JOINT_PASS)
                pass[n++] = &c.makeup->joints.at[i];
        if (how == 1) { /* black goes on as white, white as black */
            struct lead other = pass[0]->leads[1];
            pass[0]->leads[1] = pass[1]->leads[1];
            pass[1]->leads[1] = other;
        } else if (how == 2) {
            pass[0]->box = (struct box *)box_called(&c, "R1");
        }
        struct verdict *v = prove(&c.arena, c.model, c.makeup);
        assert_int_equal(v->holds, how == 0);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_body_is_twice_as_wide_as_its_raceway),
        cmocka_unit_test(a_chain_is_one_pull),
        cmocka_unit_test(the_ground_wire_passes),
        cmocka_unit_test(what_parts_passes_conductor_by_conductor),
        cmocka_unit_test(a_marked_body_holds_splices),
        cmocka_unit_test(what_is_named_otherwise_does_not_pass),
        cmocka_unit_test(the_log_knows_a_pull),
        cmocka_unit_test(the_proof_reads_what_passes),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* The proof: what it shows of sound plans, what it says of faults, what it leaves out. */
#include "base/file.h"
#include "cmd/cmd.h"
#include "compiled.h"
#include "generate.h"
#include "model/makeup.h"
#include "prove/prove.h"

#include <glob.h>
#include <time.h>

#if defined(__SANITIZE_ADDRESS__)
enum { PLANS = 60, WIDE = 12 };
#else
enum { PLANS = 600, WIDE = 16 };
#endif

static struct verdict *verdict_of(struct compilation *c, const char *text)
{
    compile_text(c, text);
    assert_non_null(c->makeup);
    return prove(&c->arena, c->model, c->makeup);
}

static void assert_holds(struct compilation *c, const struct verdict *v)
{
    struct buf out = {0};
    prove_verdict_print_failures(v, &c->arena, &out);
    if (!v->holds)
        fputs(buf_text(&out), stderr);
    buf_free(&out);
    assert_true(v->holds);
}

/* --- sound plans -------------------------------------------------------------------------- */

static unsigned prove_files(const char *pattern)
{
    glob_t files;
    unsigned n = 0;
    assert_int_equal(glob(pattern, 0, NULL, &files), 0);
    for (size_t i = 0; i < files.gl_pathc; i++) {
        struct compilation c;
        compile(&c, files.gl_pathv[i], (struct compile_options){.library = plan_library()});
        if (c.makeup && !finding_of(&c, "definition-faulty", 0)) {
            assert_holds(&c, prove(&c.arena, c.model, c.makeup));
            n++;
        }
        compile_free(&c);
    }
    globfree(&files);
    return n;
}

static void examples_are_proven(void **state)
{
    (void)state;
    assert_true(prove_files("examples/*/*.bay") >= 5);
    assert_true(prove_files("tests/rules/*.bay") >= 50);
}

static void random_plans_are_proven(void **state)
{
    (void)state;
    unsigned circuits = 0, left_out = 0;
    unsigned long long positions = 0;
    struct generator *g = malloc(sizeof *g);
    for (unsigned seed = 0; seed < PLANS; seed++) {
        struct buf text = {0};
        uint64_t size = seed * 7919 + 3;
        unsigned boxes = 2 + pick(&size, 20), switches = 1 + pick(&size, 6);
        generate_plan(&text, g, 100000 + seed, (enum generated_sort)(seed % GENERATED_COUNT), boxes,
                      switches);
        struct compilation c;
        const struct verdict *v = verdict_of(&c, buf_text(&text));
        if (!v->holds)
            fprintf(stderr, "seed %u:\n%s", 100000 + seed, buf_text(&text));
        assert_holds(&c, v);
        circuits += v->circuit_count;
        left_out += v->left_out;
        positions += v->positions;
        compile_free(&c);
        buf_free(&text);
    }
    free(g);
    printf("random plans: %u circuits proven over %llu positions, %u left out: no cable is wide "
           "enough for a run, or nothing uses it\n",
           circuits - left_out, positions, left_out);
    assert_true(left_out * 6 < circuits);
}

/* --- faults and their witnesses ----------------------------------------------------------- */

static const char two_places[] =
    "plan \"Two places\" { edition nec-2023 }\n"
    "room hall { kind workshop; size 14' by 8'\n"
    "  box S1 south at 2' up 4' { switch leg light }\n"
    "  box S2 north at 2' up 4' { switch leg light }\n"
    "  box L1 overhead at 7', 4' { luminaire leg light 60 W }\n"
    "}\n"
    "panel P { in hall west at 4' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.1 { breaker 15 A; run P -> hall.S1 -> L1; run hall.S1 -> S2 }\n";

/* The joint of a box in which a terminal of that name lies, and the lead. */
static struct joint *joint_with(struct makeup *k, const struct box *b, const char *terminal,
                                uint32_t *lead)
{
    for (uint32_t j = k->first_of_box[b->id]; j < k->first_of_box[b->id + 1]; j++)
        for (uint32_t i = 0; i < k->joints.at[j].lead_count; i++) {
            const struct lead *l = &k->joints.at[j].leads[i];
            if (l->kind != LEAD_TERMINAL)
                continue;
            const struct part_form *f =
                &k->forms[l->part->device->id][l->part - l->part->device->parts];
            if (strcmp(f->body->terminals[l->terminal].name, terminal))
                continue;
            *lead = i;
            return &k->joints.at[j];
        }
    return NULL;
}

static const struct box *box_called(const struct model *m, const char *name)
{
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (!strcmp(m->boxes.at[i]->name, name))
            return m->boxes.at[i];
    return NULL;
}

/* Two terminals of the devices in a box change places. */
static void exchange(struct compilation *c, const char *box, const char *a, const char *b)
{
    uint32_t i, k;
    struct joint *x = joint_with(c->makeup, box_called(c->model, box), a, &i),
                 *y = joint_with(c->makeup, box_called(c->model, box), b, &k);
    assert_non_null(x);
    assert_non_null(y);
    struct lead l = x->leads[i];
    x->leads[i] = y->leads[k];
    y->leads[k] = l;
}

static const struct proof_failure *failure_of(const struct verdict *v, enum statement s)
{
    for (uint32_t i = 0; i < v->failures.n; i++)
        if (v->failures.at[i].statement == s)
            return &v->failures.at[i];
    return NULL;
}

static void a_traveler_on_the_common_is_found(void **state)
{
    (void)state;
    struct compilation c;
    assert_holds(&c, verdict_of(&c, two_places));
    exchange(&c, "S2", "common", "a");
    const struct verdict *v = prove(&c.arena, c.model, c.makeup);
    const struct proof_failure *f = failure_of(v, STATES_LEGS);
    assert_false(v->holds);
    assert_non_null(f);
    assert_string_equal(f->box->name, "L1");
    assert_string_equal(f->leg->name, "light");
    assert_non_null(f->position);
    assert_non_null(strstr(f->position, "hall.S1 (leg light) "));
    assert_non_null(strstr(f->position, "hall.S2 (leg light) "));
    assert_non_null(f->path);
    assert_non_null(strstr(f->path, "run hall.S1 -> L1"));
    compile_free(&c);
}

static void exchanged_travelers_change_nothing(void **state)
{
    (void)state;
    struct compilation c;
    verdict_of(&c, two_places);
    exchange(&c, "S2", "a", "b");
    assert_holds(&c, prove(&c.arena, c.model, c.makeup));
    compile_free(&c);
}

static void a_switched_neutral_is_found(void **state)
{
    (void)state;
    struct compilation c;
    verdict_of(&c, two_places);
    exchange(&c, "L1", "hot", "neutral");
    const struct verdict *v = prove(&c.arena, c.model, c.makeup);
    assert_false(v->holds);
    assert_non_null(failure_of(v, STATES_NEUTRAL));
    assert_string_equal(failure_of(v, STATES_NEUTRAL)->box->name, "L1");
    compile_free(&c);
}

static void a_load_before_its_protection_is_found(void **state)
{
    (void)state;
    struct compilation c;
    const struct verdict *v = verdict_of(
        &c,
        "plan \"Onward\" { edition nec-2023 }\n"
        "room shed { kind storage; size 14' by 10'\n"
        "  box R1 west at 3' { receptacle-gfci onward }\n  box R2 west at 7' { receptacle }\n}\n"
        "panel P { in shed east at 3' up 5'; main 60 A; spaces 8 }\n"
        "circuit P.1 { breaker 20 A; run P -> shed.R1 -> R2 }\n");
    assert_holds(&c, v);
    exchange(&c, "R1", "hot", "load-hot");
    v = prove(&c.arena, c.model, c.makeup);
    assert_false(v->holds);
    exchange(&c, "R1", "neutral", "load-neutral");
    v = prove(&c.arena, c.model, c.makeup); /* both exchanged: nothing is dead by a contact, but the
                                               device is fed from behind */
    assert_false(v->holds);
    assert_non_null(failure_of(v, STATES_PROTECTED));
    compile_free(&c);
}

static struct joint *joint_of_net(struct makeup *k, const struct box *b, const char *net)
{
    for (uint32_t j = k->first_of_box[b->id]; j < k->first_of_box[b->id + 1]; j++)
        if (!strcmp(k->joints.at[j].net, net))
            return &k->joints.at[j];
    return NULL;
}

/* Of several devices with a load side in a box one hands on, and the others are protected by it
 * where it works onward: each of the others has nothing on its load side. Common trade practice. */
static void one_of_several_devices_hands_on(void **state)
{
    (void)state;
    static const struct {
        const char *devices;
        unsigned handing_on; /* which of them, from 1; 0: none */
    } boxes[] = {{"receptacle-gfci; receptacle-gfci", 0},
                 {"receptacle-gfci onward; receptacle-gfci", 1},
                 {"receptacle-gfci; receptacle-afci onward", 2},
                 {"receptacle-gfci onward; receptacle-gfci line-side; receptacle", 1}};
    for (size_t i = 0; i < sizeof boxes / sizeof *boxes; i++) {
        struct buf text = {0};
        struct compilation c;
        buf_printf(&text,
                   "plan \"Two\" { edition nec-2023 }\nroom shed { kind storage; size 14' by 10'\n"
                   "  box R1 west at 3' { %s }\n  box R2 west at 7' { receptacle }\n}\n"
                   "panel P { in shed east at 3' up 5'; main 60 A; spaces 8 }\n"
                   "circuit P.1 { breaker 20 A dual-function; run P -> shed.R1 -> R2 }\n",
                   boxes[i].devices);
        assert_holds(&c, verdict_of(&c, buf_text(&text)));
        const struct box *b = box_called(c.model, "R1");
        unsigned found = 0;
        for (uint32_t j = c.makeup->first_of_box[b->id]; j < c.makeup->first_of_box[b->id + 1]; j++)
            for (uint32_t k = 0; k < c.makeup->joints.at[j].lead_count; k++) {
                const struct lead *l = &c.makeup->joints.at[j].leads[k];
                if (l->kind != LEAD_TERMINAL ||
                    strcmp(l->part->body->terminals[l->terminal].name, "load-hot"))
                    continue;
                assert_int_equal(found, 0);
                for (unsigned d = 0; d < b->device_count; d++)
                    found = b->devices[d] == l->part->device ? d + 1 : found;
            }
        assert_int_equal(found, boxes[i].handing_on);
        compile_free(&c);
        buf_free(&text);
    }
}

/* Two cables feed a box: what the plan feeds by the one is not behind the device on the other. */
static void a_device_hands_on_what_its_own_cable_brings(void **state)
{
    (void)state;
    static const char *const devices[] = {
        "receptacle-gfci by p onward; receptacle-gfci by q",
        "receptacle-gfci by q onward; receptacle by p", "receptacle-gfci onward; receptacle by q",
        "receptacle-gfci by p onward; receptacle by q load-side; receptacle by p"};
    for (size_t i = 0; i < sizeof devices / sizeof *devices; i++) {
        struct buf text = {0};
        struct compilation c;
        buf_printf(&text,
                   "plan \"Cables\" { edition nec-2023 }\nroom shed { kind storage; size 14' by "
                   "10'\n  box R1 west at 3' { %s }\n  box R2 west at 7' { receptacle }\n}\n"
                   "panel P { in shed east at 3' up 5'; main 60 A; spaces 8 }\n"
                   "circuit P.1 { breaker 20 A; run P -> shed.R1 as p; run P -> shed.R1 as q; "
                   "run shed.R1 -> R2 }\n",
                   devices[i]);
        const struct verdict *v = verdict_of(&c, buf_text(&text));
        assert_holds(&c, v);
        assert_int_equal(v->left_out, 0);
        compile_free(&c);
        buf_free(&text);
    }
}

/* The shed of one circuit: its breaker, a definition, what stands in each box. */
static const struct verdict *shed(struct compilation *c, const char *breaker, const char *more,
                                  const char *first, const char *second, const char *third)
{
    struct buf text = {0};
    buf_printf(&text,
               "plan \"Shed\" { edition nec-2023 }\n%s\n"
               "room shed { kind workshop; size 14' by 14'\n"
               "  box S0 south at 3' up 48\" { %s }\n  box R1 south at 5' up 16\" { %s }\n"
               "  box R2 south at 9' up 16\" { %s }\n}\n"
               "panel P { in shed west at 7' up 5'; main 100 A; spaces 12 }\n"
               "circuit P.1 { breaker %s; run P -> shed.S0 -> R1 -> R2 }\n",
               more, first, second, third, breaker);
    const struct verdict *v = verdict_of(c, buf_text(&text));
    buf_free(&text);
    return v;
}

/* A disconnect, and whatever hands on hots and protects nothing, leaves the neutral as it is:
 * common trade practice, where a load of both lines and the neutral stands behind one. */
static void a_neutral_goes_past_what_disconnects_hots(void **state)
{
    (void)state;
    static const char snap[] = "device snap : fixed-120 { load 100 W; terminal hot takes line; "
                               "terminal load gives line }";
    static const struct {
        const char *breaker, *more, *first, *second, *third;
        bool holds;
    } cases[] = {
        {"50 A two-pole gfci", "", "disconnect onward", "range", "range", true},
        {"50 A two-pole gfci", "", "disconnect onward", "disconnect onward", "range", true},
        {"20 A", snap, "snap onward", "receptacle-gfci onward", "receptacle", true},
        {"20 A", snap, "receptacle-gfci onward", "snap onward", "receptacle", true},
        {"20 A", snap, "snap onward", "switch leg a", "luminaire leg a", true},
        {"20 A", snap, "receptacle-gfci onward", "snap onward", "receptacle-gfci", true},
        {"50 A two-pole",
         "device cut : fixed-240 { protects gfci; terminal load-a gives line-a; "
         "terminal load-b gives line-b }",
         "cut onward", "range", "range", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        const struct verdict *v = shed(&c, cases[i].breaker, cases[i].more, cases[i].first,
                                       cases[i].second, cases[i].third);
        if (cases[i].holds) {
            assert_holds(&c, v);
            assert_int_equal(v->left_out, 0);
        }
        assert_int_equal(v->holds, cases[i].holds);
        compile_free(&c);
    }
}

static void the_other_line_behind_one_is_left_out(void **state)
{
    (void)state;
    static const char *const second[] = {"receptacle pole a", "receptacle { half pole a; half }",
                                         "switch leg a pole a"},
                             *const third[] = {"receptacle pole b", "receptacle pole a",
                                               "luminaire leg a"};
    for (size_t i = 0; i < 3; i++)
        for (char pole = 'a'; pole <= 'b'; pole++) {
            struct compilation c;
            char first[100];
            snprintf(first, sizeof first, "receptacle-gfci pole %c onward", pole);
            const struct verdict *v =
                shed(&c, "20 A two-pole; multiwire", "", first, second[i], third[i]);
            bool other = i == 0 || pole == 'b';
            assert_holds(&c, v);
            assert_int_equal(v->left_out, other);
            assert_true(!other || strstr(v->circuits[0].left_out, "hands on one line"));
            assert_true(!other || c.diag.counts[ERROR]);
            compile_free(&c);
        }
}

/* A load of both lines behind what hands on one is found and left out; behind a disconnect of both
 * it is neither. */
static void both_lines_behind_one_are_left_out(void **state)
{
    (void)state;
    static const struct {
        const char *breaker, *first, *second;
        bool found;
    } cases[] = {
        {"20 A two-pole", "gfci-blank onward", "heater", true},
        {"20 A two-pole", "gfci-blank onward; heater", "receptacle", true},
        {"20 A two-pole; multiwire", "receptacle-gfci onward", "heater", true},
        {"20 A two-pole", "disconnect onward", "heater", false},
        {"20 A two-pole; multiwire", "disconnect onward", "receptacle pole b", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        const struct verdict *v =
            shed(&c, cases[i].breaker, "", cases[i].first, cases[i].second, "");
        unsigned found = 0;
        for (uint32_t k = 0; k < c.diag.findings.n; k++)
            found += !strcmp(c.diag.findings.at[k].rule->name, "shared-neutral-protection");
        assert_holds(&c, v);
        assert_int_equal(v->left_out, cases[i].found);
        assert_int_equal(found, cases[i].found);
        compile_free(&c);
    }
}

static void a_short_is_told_with_its_path(void **state)
{
    (void)state;
    struct compilation c;
    verdict_of(&c, two_places);
    uint32_t k;
    struct joint *hot = joint_of_net(c.makeup, box_called(c.model, "S1"), "line"),
                 *neutral = joint_with(c.makeup, box_called(c.model, "L1"), "neutral", &k);
    assert_non_null(hot);
    struct lead *leads = arena_array(&c.arena, struct lead, hot->lead_count + 1);
    memcpy(leads, hot->leads, hot->lead_count * sizeof *leads);
    for (uint32_t n = 0; n < neutral->lead_count; n++)
        if (neutral->leads[n].kind == LEAD_CONDUCTOR) { /* the other end of the same white, in S1 */
            leads[hot->lead_count] = neutral->leads[n];
            leads[hot->lead_count].at_to = false;
        }
    hot->leads = leads;
    hot->lead_count++;
    const struct verdict *v = prove(&c.arena, c.model, c.makeup);
    const struct proof_failure *f = failure_of(v, STATES_NO_SHORT);
    assert_non_null(f);
    assert_null(f->position); /* in every position */
    assert_non_null(strstr(f->what, "line of circuit P1 meets neutral of circuit P1"));
    assert_non_null(f->path);
    compile_free(&c);
}

/* --- positions, and what is left out ------------------------------------------------------ */

static void legs_that_share_nothing_are_gone_through_apart(void **state)
{
    (void)state;
    struct compilation c;
    const struct verdict *v = verdict_of(
        &c,
        "plan \"Apart\" { edition nec-2023 }\n"
        "room hall { kind storage; size 14' by 10'\n"
        "  box S1 west at 3' up 4' { switch leg a; switch leg b }\n  box S2 west at 7' up 4' { "
        "switch leg a; switch leg b; switch leg b }\n"
        "  box R1 north at 3' { receptacle leg a }\n  box R2 north at 7' { receptacle leg b }\n}\n"
        "cable 14/8 : nm { size 14; conductors black red blue yellow brown orange pink white; "
        "diameter 0.7\"; stock 1000' }\n"
        "panel P { in hall east at 3' up 5'; main 60 A; spaces 8 }\n"
        "circuit P.1 { breaker 15 A; run P -> hall.S1 -> S2 -> R1; run hall.S1 -> R2 }\n");
    assert_holds(&c, v);
    assert_int_equal(v->left_out, 0);
    assert_int_equal(v->positions, 4 + 8);
    assert_int_equal(v->legs.n, 2);
    compile_free(&c);
}

static void series_switches_are_on_together_only(void **state)
{
    (void)state;
    struct compilation c;
    const struct verdict *v =
        verdict_of(&c, "plan \"Series\" { edition nec-2023 }\n"
                       "room yard { kind storage; size 14' by 10'\n"
                       "  box S1 west at 3' up 4' { switch leg wall }\n  box S2 west at 7' up 4' { "
                       "photocell leg lamp from leg wall }\n"
                       "  box L1 north at 3' up 7' { wall-luminaire leg lamp }\n}\n"
                       "panel P { in yard east at 3' up 5'; main 60 A; spaces 8 }\n"
                       "circuit P.1 { breaker 15 A; run P -> yard.S1 -> S2 -> L1 }\n");
    assert_holds(&c, v);
    assert_int_equal(v->positions, 4);
    exchange(&c, "S2", "line", "load");
    v = prove(&c.arena, c.model, c.makeup);
    assert_false(v->holds);
    compile_free(&c);
}

/* One leg of `count` switches in a row of boxes, and a receptacle behind the last. */
static void write_row(struct buf *b, unsigned count)
{
    buf_printf(b, "plan \"Row\" { edition nec-2023 }\nroom hall { kind storage; size %u' by 10'\n",
               2 * count + 8);
    for (unsigned i = 0; i < count; i++)
        buf_printf(b, "  box S%u north at %u' up 4' { switch leg row }\n", i, 2 * i + 2);
    buf_printf(b, "  box R1 south at 3' { receptacle leg row }\n}\npanel P { in hall east at 3' up "
                  "5'; main 60 A; spaces 8 }\ncircuit P.1 { breaker 15 A; run P -> hall.S0");
    for (unsigned i = 1; i < count; i++)
        buf_printf(b, " -> S%u", i);
    buf_puts(b, " -> R1 }\n");
}

static double seconds(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void long_legs_are_gone_through_whole(void **state)
{
    (void)state;
    for (unsigned count = WIDE; count <= MOST_SWITCHES_TOGETHER + 1;
         count += MOST_SWITCHES_TOGETHER + 1 - WIDE) {
        struct buf text = {0};
        struct compilation c;
        write_row(&text, count);
        compile_text(&c, buf_text(&text));
        double before = seconds();
        const struct verdict *v = prove(&c.arena, c.model, c.makeup);
        assert_holds(&c, v);
        if (count <= MOST_SWITCHES_TOGETHER) {
            printf("a leg of %u switches: %llu positions in %.3f s\n", count,
                   (unsigned long long)v->positions, seconds() - before);
            assert_int_equal(v->positions, 1ull << count);
            assert_int_equal(v->left_out, 0);
        } else { /* too many: said, not skipped */
            assert_int_equal(v->left_out, 1);
            assert_non_null(strstr(v->circuits[0].left_out, "17 switches work together"));
        }
        compile_free(&c);
        buf_free(&text);
    }
}

static void what_is_not_made_up_is_named(void **state)
{
    (void)state;
    struct compilation c;
    const struct verdict *v = verdict_of(
        &c, "plan \"Short\" { edition nec-2023 }\n"
            "room hall { kind workshop; size 14' by 8'\n"
            "  box S1 south at 2' up 4' { switch leg light }\n  box S2 north at 2' up 4' { switch "
            "leg light }\n"
            "  box L1 overhead at 7', 4' { luminaire leg light 60 W }\n  box R1 south at 9' { "
            "receptacle }\n}\n"
            "panel P { in hall west at 4' up 5'; main 60 A; spaces 8 }\n"
            "circuit P.1 { breaker 15 A; run P -> hall.S1 -> L1; run hall.S1 -> S2 cable 14/2 }\n"
            "circuit P.2 { breaker 15 A; run P -> hall.R1 }\n");
    assert_true(v->holds);
    assert_int_equal(v->left_out, 1);
    assert_string_equal(v->circuits[0].left_out, "run hall.S1 -> S2 is not made up");
    assert_null(v->circuits[1].left_out);
    assert_int_equal(v->circuits[1].claims[STATES_LIVE], 1);
    compile_free(&c);
    v = verdict_of(&c, "plan \"Draft\" { edition nec-2023 }\n"
                       "room hall { kind workshop; size 14' by 8'\n"
                       "  box R1 south at 2' { receptacle }\n  box R2 north at 2' { receptacle }\n"
                       "  box R3 north at 6' { receptacle }\n}\n"
                       "panel P { in hall west at 4' up 5'; main 60 A; spaces 8 }\n"
                       "circuit P.1 { breaker 15 A; run P -> hall.R1; run hall.R2 -> R3 }\n");
    assert_true(v->holds);
    assert_string_equal(v->circuits[0].left_out, "nothing feeds run hall.R2 -> R3");
    compile_free(&c);
    v = verdict_of(&c, "plan \"Borrowed\" { edition nec-2023 }\n"
                       "room hall { kind workshop; size 14' by 8'\n"
                       "  box S1 south at 2' up 4' { switch leg fan }\n  box S2 north at 2' up 4' "
                       "{ switch leg light }\n"
                       "  box F1 overhead at 7', 4' { exhaust-fan { fan leg fan circuit 1; light "
                       "leg light circuit 2 } }\n}\n"
                       "panel P { in hall west at 4' up 5'; main 60 A; spaces 8 }\n"
                       "circuit P.1 { breaker 15 A; run P -> hall.S1 -> F1 }\ncircuit P.2 { "
                       "breaker 15 A; run P -> hall.S2 -> F1 }\n");
    assert_true(v->holds);
    assert_string_equal(v->circuits[0].left_out,
                        "terminal neutral of the exhaust-fan in hall.F1 is on two circuits");
    assert_string_equal(v->circuits[1].left_out, v->circuits[0].left_out);
    compile_free(&c);
    v = verdict_of(&c, "plan \"Ring\" { edition nec-2023 }\n"
                       "room hall { kind storage; size 14' by 8'\n"
                       "  box S1 south at 2' up 4' { switch leg x from leg y; switch leg y from "
                       "leg x }\n  box R1 north at 2' { receptacle leg x }\n}\n"
                       "panel P { in hall west at 4' up 5'; main 60 A; spaces 8 }\n"
                       "circuit P.1 { breaker 15 A; run P -> hall.S1 -> R1 }\n");
    assert_true(v->holds);
    assert_non_null(strstr(v->circuits[0].left_out, "fed by more legs in series"));
    compile_free(&c);
}

/* A row of boxes, a switch and what it works in turn. */
static void write_pairs(struct buf *b, unsigned boxes)
{
    buf_printf(b,
               "plan \"Pairs\" { edition nec-2023 }\nroom hall { kind storage; size %u' by 10'\n",
               boxes + 8);
    for (unsigned i = 0; i < boxes; i++)
        buf_printf(b, "  box B%u north at %u' up 4' { %s leg l%u }\n", i, i + 2,
                   i % 2 ? "receptacle" : "switch", i / 2);
    buf_puts(b, "}\npanel P { in hall east at 3' up 5'; main 60 A; spaces 8 }\ncircuit P.1 { "
                "breaker 15 A; run P -> hall.B0");
    for (unsigned i = 1; i < boxes; i++)
        buf_printf(b, "\n  run hall.B%u -> B%u", i - 1, i);
    buf_puts(b, "\n}\n");
}

static void large_circuits_take_milliseconds(void **state)
{
    (void)state;
    double first = 0;
    for (unsigned boxes = 1000; boxes <= 2000; boxes += 1000) {
        struct buf text = {0};
        struct compilation c;
        write_pairs(&text, boxes);
        compile_text(&c, buf_text(&text));
        double before = seconds();
        const struct verdict *v = prove(&c.arena, c.model, c.makeup);
        double took = seconds() - before;
        assert_holds(&c, v);
        assert_int_equal(v->left_out, 0);
        assert_int_equal(v->positions, boxes);
        printf("a circuit of %u boxes: %.2f ms\n", boxes, 1000 * took);
        if (first > 0)
            printf("  %.1f times as long as the half\n", took / first);
        first = took;
        compile_free(&c);
        buf_free(&text);
    }
}

/* --- the command -------------------------------------------------------------------------- */

static int run_prove(const char *plan_text, const char *option, struct buf *out)
{
    char plan[] = "/tmp/studbay-plan-XXXXXX", result[] = "/tmp/studbay-out-XXXXXX";
    int fd = mkstemp(plan), other = mkstemp(result);
    assert_true(fd >= 0 && other >= 0);
    assert_int_equal(write(fd, plan_text, strlen(plan_text)), (ssize_t)strlen(plan_text));
    close(fd);
    close(other);
    char *argv[] = {"studbay", "prove", plan, "-o", result, (char *)option, NULL};
    int status = command_main(option ? 6 : 5, argv);
    out->n = 0;
    assert_true(file_read(out, result, 1 << 20));
    unlink(plan);
    unlink(result);
    return status;
}

static void the_command_says_what_is_proven(void **state)
{
    (void)state;
    struct buf out = {0};
    assert_int_equal(run_prove(two_places, NULL, &out), EXIT_FINE);
    assert_non_null(strstr(buf_text(&out), "Positions gone through: 4. Circuits left out: 0."));
    assert_int_equal(run_prove(two_places, "--format=json", &out), EXIT_FINE);
    assert_non_null(strstr(buf_text(&out), "\"holds\": true"));
    assert_non_null(strstr(buf_text(&out), "\"positions\": 4"));
    assert_int_equal(run_prove(two_places, "--netlist", &out), EXIT_FINE);
    assert_non_null(strstr(buf_text(&out), "print v(m0)"));
    assert_int_equal(run_prove(two_places, "--format=yaml", &out), EXIT_USAGE);
    buf_free(&out);
}

/* A switch whose contacts never part is an error of the plan; what is built on it is left out. */
static void a_faulty_definition_is_no_defect_of_ours(void **state)
{
    (void)state;
    static const char welded[] =
        "plan \"Welded\" { edition nec-2023 }\n"
        "device welded : switch { multi no; terminal line takes line; terminal load gives leg\n"
        "  position up joins line load; position down joins line load }\n"
        "room hall { kind storage; size 14' by 8'\n"
        "  box S1 south at 2' up 4' { welded leg light }\n  box R1 south at 8' { receptacle leg "
        "light }\n}\n"
        "panel P { in hall west at 4' up 5'; main 60 A; spaces 8 }\n"
        "circuit P.1 { breaker 15 A; run P -> hall.S1 -> R1 }\n";
    struct buf out = {0};
    assert_int_equal(run_prove(welded, "--format=json", &out), EXIT_PLAN);
    assert_non_null(strstr(buf_text(&out), "\"holds\": true"));
    assert_non_null(strstr(buf_text(&out), "\"left_out\": \"a box or an end of a run"));
    buf_free(&out);
}

/* A cable of two circuits, one of which nothing joins to its panel: what is on that one is told by
 * check and left out here, whatever the other feeds. */
static void half_of_a_shared_cable_is_unfed(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"T\" { edition nec-2023 }\n"
                     "room a { kind workshop; size 16' by 12'\n"
                     "  box R1 north at 8' { cover blank }\n  box R2 east at 4' { cover blank }\n"
                     "  box R3 east at 8' { receptacle-20 { half circuit 1; half circuit 2 } }\n"
                     "  box R4 east at 10' { receptacle-20 }\n}\n"
                     "panel P { in a west at 5' up 5'; main 100 A; spaces 8 }\n"
                     "circuit P.1 \"One\" { breaker 20 A dual-function; run P -> a.R4 }\n"
                     "circuit P.2 \"Two\" { breaker 20 A dual-function; run P -> a.R1 -> R2\n"
                     "  run a.R2 -> R3 for circuits 1, 2 }\n");
    assert_int_equal(findings_of(&c, "unfed-box"), 1);
    assert_true(c.verdict->holds);
    assert_non_null(c.verdict->circuits[0].left_out);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(half_of_a_shared_cable_is_unfed),
        cmocka_unit_test(examples_are_proven),
        cmocka_unit_test(random_plans_are_proven),
        cmocka_unit_test(a_traveler_on_the_common_is_found),
        cmocka_unit_test(exchanged_travelers_change_nothing),
        cmocka_unit_test(a_switched_neutral_is_found),
        cmocka_unit_test(a_load_before_its_protection_is_found),
        cmocka_unit_test(one_of_several_devices_hands_on),
        cmocka_unit_test(a_device_hands_on_what_its_own_cable_brings),
        cmocka_unit_test(a_neutral_goes_past_what_disconnects_hots),
        cmocka_unit_test(the_other_line_behind_one_is_left_out),
        cmocka_unit_test(both_lines_behind_one_are_left_out),
        cmocka_unit_test(a_short_is_told_with_its_path),
        cmocka_unit_test(legs_that_share_nothing_are_gone_through_apart),
        cmocka_unit_test(series_switches_are_on_together_only),
        cmocka_unit_test(long_legs_are_gone_through_whole),
        cmocka_unit_test(what_is_not_made_up_is_named),
        cmocka_unit_test(large_circuits_take_milliseconds),
        cmocka_unit_test(the_command_says_what_is_proven),
        cmocka_unit_test(a_faulty_definition_is_no_defect_of_ours),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

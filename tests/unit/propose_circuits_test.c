/* studbay propose circuits: on generated houses and on the examples without their circuits no rule
 * about circuits finds anything, every box is served once, and the same house gives the same
 * circuits whatever it is called and however it is ordered. */
#include "compiled.h"

#include "base/file.h"
#include "diag/edits.h"
#include "facts/facts.h"
#include "fmt/fit.h"
#include "propose/propose.h"
#include "shuffle.h"
#include "stripped.h"

/* What a choice of circuits can avoid. */
static const char *const circuit_rules[] = {"small-appliance-circuits",
                                            "laundry-circuit",
                                            "bath-circuit",
                                            "garage-circuit",
                                            "no-other-outlets",
                                            "common-area-circuit",
                                            "individual-circuit",
                                            "appliance-share",
                                            "breaker-overloaded",
                                            "breaker-nonstandard",
                                            "breaker-poles",
                                            "receptacle-rating",
                                            "leg-crosses-circuits",
                                            "alarm-interconnect",
                                            "device-needs-circuit",
                                            "panel-full",
                                            "space-conflict",
                                            "directory-vague",
                                            "directory-duplicate",
                                            "unfed-box",
                                            "building-supply",
                                            "phase-imbalance",
                                            "syntax",
                                            "unknown-name"};

static uint32_t count_circuit_findings(const struct compilation *c, bool told)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        for (size_t k = 0; k < sizeof circuit_rules / sizeof *circuit_rules; k++)
            if (!strcmp(c->diag.findings.at[i].rule->name, circuit_rules[k])) {
                n++;
                if (told)
                    print_error("%s: %s\n", circuit_rules[k], c->diag.findings.at[i].message);
            }
    return n;
}

/* The first source of a plan with what is proposed done, laid out; NULL: nothing was. */
static const char *propose_for(struct compilation *c, const char *lights, struct arena *a)
{
    struct propose_asked asked = {.library = plan_library(), .lights = lights};
    struct proposal p = {.arena = a};
    struct buf out = {0};
    assert_true(propose_circuits(c, &asked, &p));
    assert_true(p.told.n > 0);
    if (!p.edits.n)
        return NULL;
    struct fit fit = {.arena = a};
    struct mend way = {.edits = p.edits};
    fit_mend(&fit, &way);
    edits_apply(&way.edits, c->sources[0], &out);
    const char *text = arena_copy(a, buf_text(&out), out.n);
    buf_free(&out);
    return text;
}

static const char *proposed(const char *text, const char *lights, struct arena *a)
{
    struct compilation c;
    compile_text(&c, text);
    const char *with = propose_for(&c, lights, a);
    compile_free(&c);
    return with;
}

static bool takes_power(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->def->sort != SORT_LOW_VOLTAGE)
            return true;
    return false;
}

static void each_box_is_served_once(const struct compilation *c)
{
    for (uint32_t i = 0; i < c->model->boxes.n; i++) {
        const struct box *b = c->model->boxes.at[i];
        if (!b->existing && takes_power(b) && facts_is_built(b->room->unit))
            assert_int_equal(b->served_by.n + (b->runs.n > 0), 1);
    }
}

static uint32_t new_circuits(const struct compilation *c)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->model->circuits.n; i++)
        n += !c->model->circuits.at[i]->existing && !c->model->circuits.at[i]->feeds;
    return n;
}

/* Its circuits proposed anew: not more than it had, and nothing is left to propose. */
static void holds_without_its_circuits(const char *text)
{
    struct arena a = {0};
    struct buf bare = {0};
    struct compilation c;
    compile_text(&c, text);
    uint32_t had = new_circuits(&c);
    compile_free(&c);
    strip_circuits(text, &bare);
    const char *with = proposed(buf_text(&bare), NULL, &a);
    assert_non_null(with);
    compile_text(&c, with);
    assert_int_equal(count_circuit_findings(&c, true), 0);
    each_box_is_served_once(&c);
    assert_true(new_circuits(&c) <= had);
    assert_null(propose_for(&c, NULL, &a));
    compile_free(&c);
    buf_free(&bare);
    arena_free(&a);
}

static void generated_houses(void **unused)
{
    (void)unused;
    unsigned houses = 0;
    for (uint64_t seed = 1; houses < 8 && seed < 400; seed++) {
        struct plan_text t = {0};
        plan_make(&t, PLAN_CLEAN, seed, 0);
        if (strstr(buf_text(&t.plan), "A house drawn up at random")) {
            holds_without_its_circuits(buf_text(&t.plan));
            houses++;
        }
        plan_free(&t);
    }
    assert_int_equal(houses, 8);
}

static void examples(void **unused)
{
    (void)unused;
    static const char *const paths[] = {"examples/flats/flats.bay", "examples/cellar/pottery.bay"};
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        struct buf text = {0};
        assert_true(file_read(&text, paths[i], 1 << 20));
        holds_without_its_circuits(buf_text(&text));
        buf_free(&text);
    }
}

/* --- the same house ------------------------------------------------------------------------- */

/* Rooms, boxes and legs by the names in the list, a panel and no circuit. */
static const char *house_called(struct arena *a, const char *hall, const char *den,
                                const char *bath, const char *leg, const char *panel)
{
    return arena_printf(a,
                        "plan \"House\" { edition nec-2023 }\n"
                        "room %s \"Hall\" { kind hall; corner 0', 0'; size 6' by 12'\n"
                        "  box %sS north at 2' up 48\" { switch leg %s }\n"
                        "  box %sR west at 5' { receptacle }\n"
                        "  box %sL overhead at 3', 6' { luminaire leg %s 20 W }\n"
                        "}\n"
                        "room %s \"Den\" { kind living; corner 6'-4 1/2\", 0'; size 14' by 12'\n"
                        "  box %sR1 south at 3' { receptacle }\n"
                        "  box %sR2 south at 11' { receptacle }\n"
                        "  box %sR3 north at 4' { receptacle }\n"
                        "  box %sH east at 6' up 6\" { baseboard 1500 W }\n"
                        "}\n"
                        "room %s \"Bath\" { kind bath; corner 21', 0'; size 8' by 6'\n"
                        "  basin north at 2' wide 2'\n"
                        "  box %sR north at 1' up 42\" { receptacle-gfci-20 }\n"
                        "}\n"
                        "panel %s { in %s east at 10' up 5'; main 100 A; spaces 12 }\n",
                        hall, hall, leg, hall, hall, leg, den, den, den, den, den, bath, bath,
                        panel, hall);
}

/* The part of a text from its first circuit on. */
static const char *circuits_of(const char *text)
{
    assert_non_null(text);
    const char *at = strstr(text, "circuit ");
    assert_non_null(at);
    return at;
}

static void names_change_nothing_but_names(void **unused)
{
    (void)unused;
    struct arena a = {0};
    const char *first =
        circuits_of(proposed(house_called(&a, "aa", "bb", "cc", "dd", "P"), NULL, &a));
    const char *second =
        circuits_of(proposed(house_called(&a, "zz", "yy", "xx", "ww", "P"), NULL, &a));
    static const char *const names[][2] = {{"zz", "aa"}, {"yy", "bb"}, {"xx", "cc"}};
    char *back = arena_copy(&a, second, strlen(second));
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        for (char *at = back; (at = strstr(at, names[i][0])); at += 2)
            memcpy(at, names[i][1], 2);
    assert_string_equal(first, back);
    arena_free(&a);
}

static void the_order_of_statements_changes_nothing(void **unused)
{
    (void)unused;
    for (uint64_t seed = 1; seed < 6; seed++) {
        struct arena a = {0};
        struct buf other = {0};
        const char *text = house_called(&a, "aa", "bb", "cc", "dd", "P");
        shuffle_text(text, strlen(text), seed, &other);
        const char *first = circuits_of(proposed(text, NULL, &a)),
                   *second = circuits_of(proposed(buf_text(&other), NULL, &a));
        for (const char *at = first; (at = strstr(at, "circuit P.")); at++) {
            const char *end = strstr(at, "}");
            assert_non_null(strstr(second, arena_copy(&a, at, (size_t)(end - at))));
        }
        buf_free(&other);
        arena_free(&a);
    }
}

/* --- every partition ------------------------------------------------------------------------- */

enum { MOST_BOXES = 6 };

/* Boxes by name, whether they are receptacles, and the house that they stand in. */
struct small_house {
    const char *text, *box[MOST_BOXES];
    bool receptacle[MOST_BOXES];
    uint32_t count;
};

/* The house with a circuit for each group, on 20 A where it has receptacles; NULL where lights and
 * receptacles are on one. */
static const char *with_groups(const struct small_house *h, const uint32_t *group, uint32_t groups,
                               struct arena *a)
{
    const char *text = h->text;
    for (uint32_t g = 0; g < groups; g++) {
        bool lights = false, receptacles = false;
        const char *serves = "serves";
        for (uint32_t i = 0; i < h->count; i++)
            if (group[i] == g) {
                serves = arena_printf(a, "%s %s", serves, h->box[i]);
                lights |= !h->receptacle[i];
                receptacles |= h->receptacle[i];
            }
        if (lights && receptacles)
            return NULL;
        text = arena_printf(a, "%scircuit P.%u \"Tried number %u\" { breaker %s A; %s }\n", text,
                            g + 1, g + 1, receptacles ? "20" : "15", serves);
    }
    return text;
}

static void try_partitions(const struct small_house *h, uint32_t *group, uint32_t i,
                           uint32_t groups, uint32_t *best)
{
    if (groups >= *best)
        return;
    if (i < h->count) {
        for (group[i] = 0; group[i] <= groups; group[i]++)
            try_partitions(h, group, i + 1, groups + (group[i] == groups), best);
        return;
    }
    struct arena a = {0};
    const char *text = with_groups(h, group, groups, &a);
    if (text) {
        struct compilation c;
        compile_text(&c, text);
        *best = count_circuit_findings(&c, false) ? *best : groups;
        compile_free(&c);
    }
    arena_free(&a);
}

static const struct small_house small_houses[] = {
    {"plan \"Bath and den\" { edition nec-2023 }\n"
     "room bath { kind bath; corner 0', 0'; size 8' by 6'; basin north at 2' wide 2'\n"
     "  box R1 north at 1' up 42\" { receptacle-gfci-20 }\n"
     "  box S1 south at 1' up 48\" { switch leg b }\n"
     "  box L1 overhead at 4', 3' { luminaire leg b 20 W }\n"
     "}\n"
     "room den { kind living; corner 9', 0'; size 12' by 12'\n"
     "  box R1 south at 3' { receptacle }\n"
     "  box R2 north at 3' { receptacle }\n"
     "  box A1 overhead at 4', 3' { smoke-alarm }\n"
     "}\n"
     "panel P { in den east at 6' up 5'; main 100 A; spaces 12 }\n",
     {"bath.R1", "bath.S1", "bath.L1", "den.R1", "den.R2", "den.A1"},
     {true, false, false, true, true, false},
     6},
    {"plan \"Kitchen\" { edition nec-2020 }\n"
     "room kitchen { kind kitchen; corner 0', 0'; size 12' by 10'\n"
     "  counter north at 0' wide 8' deep 25\"; sink north at 3' wide 2'\n"
     "  box R1 north at 1' up 42\" { receptacle }\n"
     "  box R2 north at 6' up 42\" { receptacle }\n"
     "  box R3 south at 3' { receptacle }\n"
     "  box D1 north at 5' up 16\" { disposer }\n"
     "}\n"
     "room shop { kind workshop; corner 13', 0'; size 12' by 10'\n"
     "  box R1 north at 3' up 48\" { receptacle-single-20 1900 W \"saw\" }\n"
     "  box R2 south at 3' up 48\" { receptacle }\n"
     "}\n"
     "panel P { in shop east at 6' up 5'; main 100 A; spaces 12 }\n",
     {"kitchen.R1", "kitchen.R2", "kitchen.R3", "kitchen.D1", "shop.R1", "shop.R2"},
     {true, true, true, false, true, true},
     6},
};

/* No partition of few boxes that the rules let stand has fewer circuits. */
static void as_few_circuits_as_any_partition(void **unused)
{
    (void)unused;
    for (size_t i = 0; i < sizeof small_houses / sizeof *small_houses; i++) {
        struct arena a = {0};
        struct compilation c;
        uint32_t group[MOST_BOXES] = {0}, best = MOST_BOXES + 1;
        try_partitions(&small_houses[i], group, 0, 0, &best);
        compile_text(&c, proposed(small_houses[i].text, NULL, &a));
        assert_int_equal(count_circuit_findings(&c, true), 0);
        assert_int_equal(new_circuits(&c), best);
        compile_free(&c);
        arena_free(&a);
    }
}

/* --- what may be said --------------------------------------------------------------------------
 */

static void lights_may_be_with_receptacles(void **unused)
{
    (void)unused;
    struct arena a = {0};
    struct compilation apart, with;
    compile_text(&apart, proposed(small_houses[0].text, "apart", &a));
    compile_text(&with, proposed(small_houses[0].text, "with", &a));
    assert_true(new_circuits(&with) < new_circuits(&apart));
    assert_int_equal(count_circuit_findings(&with, true), 0);
    compile_free(&apart);
    compile_free(&with);
    arena_free(&a);
}

static void a_title_in_quotes_stays_one_text(void **unused)
{
    (void)unused;
    struct arena a = {0};
    struct compilation c;
    compile_text(&c,
                 proposed("plan \"H\" { edition nec-2023 }\n"
                          "room den \"The \\\"blue\\\" \\\\ den\" { kind living; size 12' by 12'\n"
                          "  box R1 south at 3' { receptacle }\n"
                          "}\n"
                          "panel P { in den east at 6' up 5'; main 100 A; spaces 12 }\n",
                          NULL, &a));
    assert_int_equal(count_circuit_findings(&c, true), 0);
    assert_int_equal(c.model->circuits.n, 1);
    assert_non_null(strstr(c.model->circuits.at[0]->title, "The \"blue\" \\ den"));
    compile_free(&c);
    arena_free(&a);
}

/* A circuit that is there takes what else it may feed, and what a person wrote stays. */
static void a_circuit_that_is_there_takes_more(void **unused)
{
    (void)unused;
    struct arena a = {0};
    const char *text =
        arena_printf(&a, "%scircuit P.7 \"Den\" { breaker 20 A; run P -> den.R1 }  # mine\n",
                     small_houses[0].text);
    const char *with = proposed(text, NULL, &a);
    struct compilation c;
    assert_non_null(strstr(with, "run P -> den.R1"));
    assert_non_null(strstr(with, "# mine"));
    compile_text(&c, with);
    assert_int_equal(count_circuit_findings(&c, true), 0);
    assert_int_equal(new_circuits(&c), 3);
    compile_free(&c);
    arena_free(&a);
}

/* Behind a full panel nothing is invented: the boxes are left, and that is told. */
static void a_full_panel_is_told(void **unused)
{
    (void)unused;
    struct arena a = {0};
    struct compilation c;
    compile_text(&c,
                 "plan \"H\" { edition nec-2023 }\n"
                 "room den { kind living; size 12' by 12'\n"
                 "  box R1 south at 3' { receptacle }\n"
                 "}\n"
                 "panel P { in den east at 6' up 5'; existing; main 100 A; spaces 12; taken 1 to "
                 "12 }\n");
    struct propose_asked asked = {.library = plan_library()};
    struct proposal p = {.arena = &a};
    assert_true(propose_circuits(&c, &asked, &p));
    assert_int_equal(p.edits.n, 0);
    assert_non_null(strstr(p.told.at[0], "no space left for 1 circuit"));
    compile_free(&c);
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(generated_houses),
        cmocka_unit_test(examples),
        cmocka_unit_test(names_change_nothing_but_names),
        cmocka_unit_test(the_order_of_statements_changes_nothing),
        cmocka_unit_test(as_few_circuits_as_any_partition),
        cmocka_unit_test(lights_may_be_with_receptacles),
        cmocka_unit_test(a_title_in_quotes_stays_one_text),
        cmocka_unit_test(a_circuit_that_is_there_takes_more),
        cmocka_unit_test(a_full_panel_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

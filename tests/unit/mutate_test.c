/* The proof against make-ups with a fault put in: every fault that changes what is joined is found,
 * and none that changes nothing is held against the make-up. */
#include "compiled.h"
#include "damage.h"

#include "prove/prove.h"

#include <dirent.h>

#if defined(__SANITIZE_ADDRESS__)
enum { PLANS = 60, MUTANTS_OF_PLAN = 200, MUTANTS_OF_EXAMPLE = 500, LEAST = 10000 };
#else
enum { PLANS = 360, MUTANTS_OF_PLAN = 300, MUTANTS_OF_EXAMPLE = 3000, LEAST = 100000 };
#endif

struct counts {
    unsigned plans, mutants, changed, same, recolored, uneven, found_by[STATEMENT_COUNT],
        of_damage[DAMAGE_COUNT];
    unsigned missed, false_alarms, shown;
};

static void show(struct counts *n, struct arena *arena, const char *plan, const char *complaint,
                 enum damage what, const struct box *box, const struct verdict *v)
{
    struct buf out = {0};
    if (n->shown++ < 10) {
        prove_verdict_print_failures(v, arena, &out);
        fprintf(stderr, "%s: %s: %s in %s\n%s", plan, complaint, damage_words[what],
                box ? address_of_box(arena, box, false) : "a panel", buf_text(&out));
    }
    buf_free(&out);
}

/* Whether each failure is one that a colour alone makes. */
static bool only_colors(const struct verdict *v)
{
    for (uint32_t i = 0; i < v->failures.n; i++)
        if (v->failures.at[i].statement != STATES_COLORS)
            return false;
    return true;
}

static void try_mutant(struct counts *n, struct damager *d, const struct model *m, uint64_t sound,
                       struct arena *scratch, const char *plan)
{
    enum damage what;
    const struct box *box;
    struct tally t;
    struct makeup *k = damage_once(d, scratch, &what, &box);
    count_makeup(&t, scratch, m, k);
    bool changed = sum_of(&t) != sound, colors = wrong_colors(&t) > 0;
    struct verdict *v = prove(scratch, m, k);
    /* slow, so asked only where it decides: whether a joint that joins nothing new still lets
     * current return by another cable */
    bool parted = !changed && (v->holds || !only_colors(v)) && uneven_cables(&t) > 0;
    n->mutants++;
    n->of_damage[what]++;
    n->changed += changed;
    n->uneven += parted;
    n->recolored += !changed && !parted && colors;
    n->same += !changed && !parted && !colors;
    if (!v->holds)
        n->found_by[v->failures.at[0].statement]++;
    if ((changed || colors || parted) && v->holds) {
        n->missed++;
        show(n, scratch, plan, "not found", what, box, v);
    } else if (!changed && !parted && !v->holds && (!colors || !only_colors(v))) {
        n->false_alarms++;
        show(n, scratch, plan, "changes nothing", what, box, v);
    }
}

static void try_plan(struct counts *n, struct compilation *c, const char *plan, uint64_t seed,
                     unsigned mutants)
{
    struct arena scratch = {0};
    struct verdict *v = prove(&c->arena, c->model, c->makeup);
    if (!v->holds)
        show(n, &c->arena, plan, "the sound make-up", 0, NULL, v);
    assert_true(v->holds);
    if (v->left_out || !c->makeup->joints.n)
        return; /* what is left out cannot be found at fault */
    struct tally t;
    count_makeup(&t, &scratch, c->model, c->makeup);
    uint64_t sound = sum_of(&t);
    assert_int_equal(wrong_colors(&t), 0);
    assert_int_equal(uneven_cables(&t), 0);
    struct damager d;
    begin_damage(&d, &c->arena, c->model, c->makeup, seed);
    n->plans++;
    for (unsigned i = 0; i < mutants && d.place_count; i++) {
        arena_reset(&scratch);
        try_mutant(n, &d, c->model, sound, &scratch, plan);
    }
    arena_free(&scratch);
}

static void report(const char *title, const struct counts *n)
{
    printf("%s: %u plans, %u mutants: %u change what is joined, %u the cable by which current "
           "returns, %u colours alone, %u nothing; %u missed, %u false alarms\n",
           title, n->plans, n->mutants, n->changed, n->uneven, n->recolored, n->same, n->missed,
           n->false_alarms);
    printf("  first found by statement");
    for (int s = 1; s < STATEMENT_COUNT; s++)
        printf(" %d: %u", s, n->found_by[s]);
    printf("\n");
    for (int i = 0; i < DAMAGE_COUNT; i++)
        printf("  %-30s %u\n", damage_words[i], n->of_damage[i]);
}

static void check_counts(const char *title, const struct counts *n)
{
    report(title, n);
    assert_int_equal(n->missed, 0);
    assert_int_equal(n->false_alarms, 0);
    assert_true(n->same > n->mutants / 100);
    for (int i = 0; i < DAMAGE_COUNT; i++)
        assert_true(n->of_damage[i] > 0);
}

static unsigned mutants_so_far;

static void faults_in_examples_are_found(void **state)
{
    (void)state;
    struct counts n = {0};
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        assert_non_null(c.makeup);
        try_plan(&n, &c, plans[i], i + 1, MUTANTS_OF_EXAMPLE);
        compile_free(&c);
    }
    DIR *folder = opendir("examples/small");
    assert_non_null(folder);
    for (struct dirent *e; (e = readdir(folder));) {
        size_t len = strlen(e->d_name);
        char path[512];
        if (len < 4 || strcmp(e->d_name + len - 4, ".bay"))
            continue;
        snprintf(path, sizeof path, "examples/small/%s", e->d_name);
        struct compilation c;
        compile(&c, path, (struct compile_options){.library = plan_library()});
        assert_non_null(c.makeup);
        try_plan(&n, &c, path, len, MUTANTS_OF_EXAMPLE);
        compile_free(&c);
    }
    closedir(folder);
    check_counts("examples", &n);
    mutants_so_far += n.mutants;
}

static void faults_in_random_plans_are_found(void **state)
{
    (void)state;
    struct counts n = {0};
    struct generator *g = malloc(sizeof *g);
    for (unsigned seed = 0; seed < PLANS; seed++) {
        struct buf text = {0};
        uint64_t size = seed * 7919 + 3;
        unsigned boxes = 2 + pick(&size, 11), switches = 1 + pick(&size, 6);
        generate_plan(&text, g, seed, (enum generated_sort)(seed % GENERATED_COUNT), boxes,
                      switches);
        struct compilation c;
        compile_text(&c, buf_text(&text));
        char name[32];
        snprintf(name, sizeof name, "random plan %u", seed);
        assert_non_null(c.makeup);
        try_plan(&n, &c, name, seed + 1, MUTANTS_OF_PLAN);
        compile_free(&c);
        buf_free(&text);
    }
    free(g);
    check_counts("random plans", &n);
    mutants_so_far += n.mutants;
    assert_true(mutants_so_far >= LEAST);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(faults_in_examples_are_found),
        cmocka_unit_test(faults_in_random_plans_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

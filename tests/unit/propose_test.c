/* studbay propose: what is proposed holds, is the same for the same plan, and is shown or written
 * as a whole. */
#include "compiled.h"

#include "diag/edits.h"
#include "framing/routes.h"
#include "propose/propose.h"
#include "prove/prove.h"
#include "random.h"
#include "resolve/edit.h"
#include "resolve/node.h"
#include "wiring/wiring.h"

static const char shed[] = "plan \"Shed\" { edition nec-2023 }\n"
                           "room shed { kind workshop; size 14' by 10'\n"
                           "  box R1 west at 7' up 48\" { receptacle }\n"
                           "  box R2 north at 3' up 48\" { receptacle }\n"
                           "  box R3 north at 9' up 48\" { receptacle }\n"
                           "}\n"
                           "panel P { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                           "circuit P.1 \"Shed bench\" {\n"
                           "  breaker 20 A\n"
                           "  serves shed.R3 R1 R2  # in whatever order\n"
                           "}\n";

/* The text of the one source of a plan with what is proposed done; the file lies there meanwhile,
 * for what is tried is read in its place. */
static const char *proposed(const char *name, const char *text, const char *circuit,
                            struct proposal *p, struct arena *a)
{
    char path[] = "/tmp/studbay-propose-XXXXXX";
    struct compilation c;
    struct propose_asked asked = {.library = plan_library(), .circuit = circuit};
    struct buf out = {0};
    *p = (struct proposal){.arena = a};
    write_temporary(path, text);
    compile(&c, path, (struct compile_options){.library = plan_library()});
    assert_true(propose_named(name)->run(&c, &asked, p));
    assert_true(edits_sort(&p->edits));
    edits_apply(&p->edits, c.sources[0], &out);
    const char *kept = arena_copy(a, buf_text(&out), out.n);
    buf_free(&out);
    compile_free(&c);
    unlink(path);
    return kept;
}

static void boxes_are_strung(void **state)
{
    (void)state;
    struct arena a = {0};
    struct proposal p;
    const char *text = proposed("runs", shed, NULL, &p, &a);
    assert_non_null(strstr(text, "run P -> shed.R1 -> R2 -> R3"));
    assert_null(strstr(text, "serves"));
    assert_non_null(strstr(text, "# in whatever order")); /* what a person wrote stays */
    struct compilation c;
    compile_text(&c, text);
    assert_int_equal(c.diag.counts[ERROR] + c.diag.counts[WARNING], 0);
    compile_free(&c);
    text = proposed("runs", text, NULL, &p, &a);
    assert_int_equal(p.edits.n, 0);
    assert_int_equal(p.told.n, 1);
    arena_free(&a);
}

/* --- all trees ---------------------------------------------------------------------------- */

enum { FEW = 4, MOST_TRIED_TREES = 125 }; /* 5 places have 5^3 trees, by Cayley's formula */

/* A room with a few boxes drawn at random; `order` and `letter` tell in what order they stand, and
 * how they are called. */
static void draw_room(struct buf *out, uint64_t seed, bool turned, char letter, const char *runs)
{
    static const char *const devices[] = {"receptacle",         "switch leg a", "luminaire leg a",
                                          "receptacle-gfci",    "smoke-alarm",  "switch leg a",
                                          "recessed leg a 12 W"};
    char boxes[FEW][128];
    uint64_t state = seed;
    bool legs = chance(&state, 60);
    for (unsigned i = 0; i < FEW; i++) {
        const char *device = legs ? devices[i == 0   ? 1
                                            : i == 1 ? 2
                                                     : pick(&state, 7)]
                                  : devices[3 * pick(&state, 2)];
        bool over = strstr(device, "lumin") || strstr(device, "recess") || strstr(device, "alarm");
        if (over)
            snprintf(boxes[i], sizeof boxes[i], "  box %c%u overhead at %u', %u' { %s }\n", letter,
                     i, 2 + pick(&state, 14), 2 + pick(&state, 10), device);
        else
            snprintf(boxes[i], sizeof boxes[i], "  box %c%u %s at %u' up 48\" { %s }\n", letter, i,
                     i % 2 ? "north" : "east", 1 + 3 * i + pick(&state, 2), device);
    }
    buf_printf(out,
               "plan \"Drawn\" { edition nec-2023 }\n"
               "room %cen { kind workshop; size 18' by 14'\n",
               letter);
    for (unsigned i = 0; i < FEW; i++)
        buf_puts(out, boxes[turned ? FEW - 1 - i : i]);
    buf_printf(out,
               "}\npanel P { in %cen west at 5' up 5'; main 60 A; spaces 8 }\n"
               "circuit P.1 \"Drawn bench\" {\n  breaker 20 A dual-function\n",
               letter);
    if (runs) {
        buf_puts(out, runs);
    } else {
        buf_puts(out, "  serves");
        for (unsigned i = 0; i < FEW; i++)
            buf_printf(out, " %cen.%c%u", letter, letter, turned ? i : FEW - 1 - i);
        buf_puts(out, "\n");
    }
    buf_puts(out, "}\n");
}

struct outcome {
    uint32_t errors, warnings;
    double cost; /* feet of cable of two conductors: of the same size, with the price of holes */
};

static struct outcome outcome_of(const char *text)
{
    struct compilation c;
    struct outcome o = {0};
    compile_text(&c, text);
    for (uint32_t i = 0; i < c.diag.findings.n; i++) {
        o.errors += c.diag.findings.at[i].severity == ERROR;
        o.warnings += c.diag.findings.at[i].severity == WARNING;
    }
    for (uint32_t i = 0; i < c.model->runs.n; i++) {
        const struct cable_def *cable = c.wiring->of_run[i].cable;
        const struct route *route = &c.routes->of_run[i];
        o.cost += length_feet(route->cut) * (cable ? cable->conductors / 2.0 : 1) +
                  length_feet(route->price);
    }
    compile_free(&c);
    return o;
}

static bool better(const struct outcome *a, const struct outcome *b)
{
    if (a->errors != b->errors)
        return a->errors < b->errors;
    return a->warnings != b->warnings ? a->warnings < b->warnings : a->cost < b->cost - 1e-6;
}

/* The runs of the tree with this code of Pruefer's; place 0 is the panel. */
static void write_tree(struct buf *out, unsigned code)
{
    unsigned digits[FEW - 1], degree[FEW + 1];
    for (unsigned i = 0; i <= FEW; i++)
        degree[i] = 1;
    for (unsigned i = 0; i < FEW - 1; i++, code /= FEW + 1)
        degree[digits[i] = code % (FEW + 1)]++;
    for (unsigned i = 0; i < FEW; i++) {
        unsigned leaf = 0, other = 0;
        while (degree[leaf] != 1)
            leaf++;
        if (i < FEW - 1)
            other = digits[i];
        else
            for (other = leaf + 1; degree[other] != 1;)
                other++;
        degree[leaf]--;
        degree[other]--;
        unsigned a = leaf < other ? leaf : other, b = leaf < other ? other : leaf;
        if (a)
            buf_printf(out, "  run den.d%u -> d%u\n", a - 1, b - 1);
        else
            buf_printf(out, "  run P -> den.d%u\n", b - 1);
    }
}

static struct outcome best_of_all(uint64_t seed)
{
    struct outcome best = {.errors = UINT32_MAX};
    for (unsigned code = 0; code < MOST_TRIED_TREES; code++) {
        struct buf runs = {0}, text = {0};
        write_tree(&runs, code);
        draw_room(&text, seed, false, 'd', buf_text(&runs));
        struct outcome o = outcome_of(buf_text(&text));
        if (better(&o, &best))
            best = o;
        buf_free(&runs);
        buf_free(&text);
    }
    return best;
}

/* Whatever tree there is, none checks as clean and costs less: all of them are compiled. */
static void no_tree_is_better(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 30; seed++) {
        struct arena a = {0};
        struct proposal p;
        struct buf text = {0};
        draw_room(&text, seed, false, 'd', NULL);
        const char *with = proposed("runs", buf_text(&text), NULL, &p, &a);
        struct outcome best = best_of_all(seed), own = outcome_of(with);
        if (better(&best, &own) || better(&own, &best)) {
            print_error(
                "seed %llu: %u errors, %u warnings, %.2f ft; the best tree has %u, %u, %.2f\n%s",
                (unsigned long long)seed, own.errors, own.warnings, own.cost, best.errors,
                best.warnings, best.cost, with);
            fail();
        }
        buf_free(&text);
        arena_free(&a);
    }
}

/* The runs of a text with its names as in the first: letter by letter. */
static const char *runs_of(struct arena *a, const char *text, char letter)
{
    struct buf out = {0};
    for (const char *at = strstr(text, "run "); at; at = strstr(at + 1, "run ")) {
        size_t n = strcspn(at, "\n");
        for (size_t i = 0; i < n; i++)
            buf_putc(&out, at[i] == letter ? 'd' : at[i]);
        buf_putc(&out, '\n');
    }
    const char *kept = arena_copy(a, buf_text(&out), out.n);
    buf_free(&out);
    return kept;
}

/* The same boxes in another order, under other names: the same runs. */
static void names_and_order_decide_nothing(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 30; seed++) {
        struct arena a = {0};
        struct proposal p;
        struct buf text = {0}, other = {0};
        draw_room(&text, seed, false, 'd', NULL);
        draw_room(&other, seed, true, 'z', NULL);
        const char *one = runs_of(&a, proposed("runs", buf_text(&text), NULL, &p, &a), 'd'),
                   *two = runs_of(&a, proposed("runs", buf_text(&other), NULL, &p, &a), 'z');
        assert_string_equal(one, two);
        buf_free(&text);
        buf_free(&other);
        arena_free(&a);
    }
}

/* --- examples without their runs ---------------------------------------------------------- */

/* Runs that lie otherwise than a cable does that nothing is said of: such are not proposed. */
static bool is_plain(const struct circuit *c)
{
    bool plain = !c->existing && !c->feeds && c->runs.n;
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *r = c->runs.at[i];
        plain &= !r->existing && !r->exposed && !r->fished && !r->underground && !r->strung &&
                 !r->raceway && !r->also.n && r->in_tree && !r->of_two && !r->label && !r->goes;
    }
    return plain;
}

/* Takes the runs of plain circuits out, and says what they serve. */
static void strip(struct compilation *c, edit_list *edits)
{
    struct map done = {0};
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit *k = c->model->circuits.at[i];
        struct editing e = {&c->arena, edits};
        struct buf serves = {0};
        const struct node *last = NULL;
        if (!is_plain(k) || map_get(&done, (uintptr_t)k->node->source, k->node->first))
            continue;
        map_put(&c->arena, &done, (uintptr_t)k->node->source, k->node->first, c);
        buf_puts(&serves, "serves");
        for (uint32_t r = 0; r < k->runs.n; r++) {
            const struct run *run = k->runs.at[r];
            if (run->chain != last)
                edit_remove(e, run->chain);
            last = run->chain;
            buf_printf(&serves, " %s", address_of_box(&c->arena, run->to.box, true));
        }
        edit_in_block(e, k->node, arena_copy(&c->arena, buf_text(&serves), serves.n));
        buf_free(&serves);
    }
}

/* What the cables of a circuit cost: conductors by their section, and holes. */
static double cable_cost(struct compilation *c, const struct circuit *k)
{
    double cost = 0;
    for (uint32_t i = 0; i < k->runs.n; i++) {
        const struct run *r = k->runs.at[i];
        const struct cable_def *d = c->wiring->of_run[r->id].cable;
        if (!d) /* none is wide enough, which is told */
            return INFINITY;
        double section = 1; /* NFPA 70 Chapter 9, Table 8: 14 has 4110, 12 has 6530, 10 has 10380 */
        section = d->gauge == 12 ? 6530 / 4110.0 : d->gauge == 10 ? 10380 / 4110.0 : section;
        cost += length_feet(c->routes->of_run[r->id].cut) * d->conductors / 2.0 * section +
                length_feet(c->routes->of_run[r->id].price);
    }
    return cost;
}

/* A folder's plan with edits of its sources done, in another folder of the same names. */
static void write_edited(const struct compilation *c, const edit_list *edits, const char *folder)
{
    for (uint32_t i = 0; i < c->source_count; i++) {
        struct buf text = {0};
        char path[512];
        snprintf(path, sizeof path, "%s/%s", folder, strrchr(c->sources[i]->path, '/') + 1);
        edits_apply(edits, c->sources[i], &text);
        FILE *f = fopen(path, "w");
        assert_non_null(f);
        assert_int_equal(fwrite(text.at, 1, text.n, f), text.n);
        fclose(f);
        buf_free(&text);
    }
}

static uint32_t worse_findings(const struct compilation *c)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        n += !f->waived && f->severity != NOTE && strcmp(f->rule->name, "stale-waiver") != 0;
    }
    return n;
}

/* What came of a plan without its runs. */
struct strung {
    uint32_t circuits, dearer; /* that were plain; that cost more than by hand */
    uint32_t worse;            /* findings that the plan by hand has not */
    uint32_t failures;         /* of the proof */
    uint32_t left;             /* circuits for which there is no tree that checks clean */
    double cost, by_hand;
};

static uint32_t told_of(const struct proposal *p, const char *words)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < p->told.n; i++)
        n += strstr(p->told.at[i], words) != NULL;
    return n;
}

static void compare_costs(struct compilation *hand, struct compilation *with, const char *name,
                          struct strung *s)
{
    for (uint32_t k = 0; k < hand->model->circuits.n; k++) {
        const struct circuit *circuit = hand->model->circuits.at[k];
        if (!is_plain(circuit) || with->model->circuits.at[k]->unrun.n)
            continue;
        double before = cable_cost(hand, circuit),
               now = cable_cost(with, with->model->circuits.at[k]);
        if (isinf(before))
            continue;
        s->circuits++;
        s->cost += now;
        s->by_hand += before;
        if (now > before + 1e-6) {
            s->dearer++;
            print_error("%s: circuit %s costs %.2f, by hand %.2f\n", name, circuit->name, now,
                        before);
        }
    }
}

static void print_new_findings(const struct compilation *before, const struct compilation *after)
{
    for (uint32_t i = 0; i < after->diag.findings.n; i++) {
        const struct finding *f = &after->diag.findings.at[i];
        bool met = false;
        for (uint32_t k = 0; k < before->diag.findings.n; k++)
            met |= !strcmp(before->diag.findings.at[k].message, f->message);
        if (!met)
            print_error("%s [%s]\n", f->message, f->rule->name);
    }
}

/* Takes the runs out of a plan, in a copy of it in a folder, and strings its boxes together. */
static struct strung string_anew(const char *plan)
{
    char folder[] = "/tmp/studbay-stripped-XXXXXX", path[512], command[64];
    struct compilation hand, bare, with;
    struct arena a = {0};
    struct proposal p = {.arena = &a};
    edit_list edits = {0};
    struct strung s = {0};
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/%s", folder, strrchr(plan, '/') + 1);
    compile(&hand, plan, (struct compile_options){.library = plan_library()});
    strip(&hand, &edits);
    edits_join(&edits);
    assert_true(edits_sort(&edits));
    write_edited(&hand, &edits, folder);
    compile(&bare, path, (struct compile_options){.library = plan_library()});
    assert_true(propose_runs(&bare, &(struct propose_asked){.library = plan_library()}, &p));
    assert_true(edits_sort(&p.edits));
    write_edited(&bare, &p.edits, folder);
    compile(&with, path, (struct compile_options){.library = plan_library()});
    s.left = told_of(&p, "no tree of runs") + told_of(&p, "checks clean");
    uint32_t before = worse_findings(&hand), now = worse_findings(&with);
    s.worse = now > before ? now - before : 0;
    s.failures = with.verdict->failures.n;
    compare_costs(&hand, &with, plan, &s);
    if (s.worse > s.left)
        print_new_findings(&hand, &with);
    compile_free(&with);
    compile_free(&bare);
    compile_free(&hand);
    arena_free(&a);
    snprintf(command, sizeof command, "rm -r %s", folder);
    assert_int_equal(system(command), 0);
    return s;
}

/* What is proposed checks as clean as the plan by hand, is proven, and costs no more in any
 * circuit. */
static void examples_cost_no_more(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "examples/studio/studio.bay",  "examples/cellar/pottery.bay",
        "examples/shed/boat-shed.bay", "examples/small/two-places.bay",
        "examples/flats/flats.bay",    "examples/small/protected-onward.bay",
        "examples/small/cellar.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct strung s = string_anew(plans[i]);
        if (s.dearer + s.worse + s.failures + s.left)
            print_error("%s: %u dearer, %u worse, %u failures, %u left\n", plans[i], s.dearer,
                        s.worse, s.failures, s.left);
        assert_true(s.circuits > 0);
        assert_int_equal(s.dearer + s.worse + s.failures + s.left, 0);
    }
}

/* The same of houses drawn up at random: what is told not to check clean is so. */
static void houses_check_clean(uint64_t first, uint64_t last)
{
    struct strung all = {0};
    for (uint64_t seed = first; seed <= last; seed++) {
        char folder[] = "/tmp/studbay-house-XXXXXX", path[64], command[64];
        struct plan_text text = {0};
        assert_non_null(mkdtemp(folder));
        plan_make(&text, PLAN_CLEAN, seed, 0);
        text.log.n = 0;
        assert_true(plan_write(&text, folder));
        snprintf(path, sizeof path, "%s/plan.bay", folder);
        struct strung s = string_anew(path);
        if (s.worse > s.left || s.failures || s.dearer)
            print_error("seed %llu: %u worse, %u failures, %u dearer, %u left\n",
                        (unsigned long long)seed, s.worse, s.failures, s.dearer, s.left);
        all.circuits += s.circuits;
        all.dearer += s.dearer;
        all.worse += s.worse > s.left ? s.worse - s.left : 0;
        all.failures += s.failures;
        all.left += s.left;
        all.cost += s.cost;
        all.by_hand += s.by_hand;
        plan_free(&text);
        snprintf(command, sizeof command, "rm -r %s", folder);
        assert_int_equal(system(command), 0);
    }
    print_message("%u circuits, %u dearer than by hand, %u left open; cost %.0f, by hand %.0f\n",
                  all.circuits, all.dearer, all.left, all.cost, all.by_hand);
    assert_int_equal(all.worse + all.failures, 0);
}

static void houses(void **state)
{
    (void)state;
    houses_check_clean(1, 20);
}

/* --- what stays --------------------------------------------------------------------------- */

static const char hand[] = "plan \"Shed\" { edition nec-2023 }\n"
                           "room shed { kind workshop; size 14' by 10'\n"
                           "  box R1 west at 7' up 48\" { receptacle }\n"
                           "  box R2 north at 3' up 48\" { receptacle }\n"
                           "  box R3 north at 9' up 48\" { receptacle }\n"
                           "  box S1 south at 9' up 48\" { switch leg a }\n"
                           "  box L1 overhead at 5', 5' { luminaire leg a }\n"
                           "}\n"
                           "panel P { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                           "circuit P.1 \"Shed bench\" {\n"
                           "  breaker 20 A\n"
                           "  run P -> shed.R3 %s  # by the door\n"
                           "  run P -> shed.R2 -> R1  # the long way\n"
                           "}\n"
                           "circuit P.3 \"Shed light\" {\n"
                           "  breaker 15 A\n"
                           "  serves shed.S1\n"
                           "}\n";

/* Asked for a circuit its runs are written anew where that costs less; what says more than its ends
 * stays, and so do comments. */
static void circuits_are_strung_anew(void **state)
{
    (void)state;
    struct arena a = {0};
    struct proposal p;
    const char *text = proposed("runs", arena_printf(&a, hand, ""), "P.1", &p, &a);
    assert_non_null(strstr(text, "run P -> shed.R1 -> R2 -> R3"));
    assert_null(strstr(text, "run P -> shed.R3"));
    assert_non_null(strstr(text, "# by the door"));
    assert_non_null(strstr(text, "# the long way"));
    assert_non_null(strstr(text, "serves shed.S1")); /* of another circuit */
    const char *again = proposed("runs", text, "P.1", &p, &a);
    assert_string_equal(again, text);
    text = proposed("runs", arena_printf(&a, hand, "via overhead"), "P.1", &p, &a);
    assert_non_null(strstr(text, "run P -> shed.R3 via overhead"));
    arena_free(&a);
}

/* Without a circuit nothing is touched that is run; a light goes with its switch. */
static void what_is_run_stays(void **state)
{
    (void)state;
    struct arena a = {0};
    struct proposal p;
    const char *text = proposed("runs", arena_printf(&a, hand, ""), NULL, &p, &a);
    assert_non_null(strstr(text, "run P -> shed.R3   # by the door"));
    assert_non_null(strstr(text, "run P -> shed.S1 -> L1"));
    assert_int_equal(p.assumed.n, 1);
    assert_non_null(strstr(p.assumed.at[0], "leg a is on it"));
    arena_free(&a);
}

/* A cable that hangs by the site log is not moved. */
static void what_hangs_stays(void **state)
{
    (void)state;
    char path[] = "/tmp/studbay-propose-XXXXXX", log[] = "/tmp/studbay-log-XXXXXX";
    struct arena a = {0};
    struct compilation c;
    struct proposal p = {.arena = &a};
    struct buf out = {0};
    write_temporary(path, arena_printf(&a, hand, ""));
    write_temporary(log, "2026-03-14 pulled P -> shed.R3 30'\n");
    compile(&c, path, (struct compile_options){.library = plan_library(), .log = log});
    assert_non_null(c.log);
    assert_true(
        propose_runs(&c, &(struct propose_asked){.library = plan_library(), .circuit = "P.1"}, &p));
    assert_true(edits_sort(&p.edits));
    edits_apply(&p.edits, c.sources[0], &out);
    assert_non_null(strstr(buf_text(&out), "run P -> shed.R3 "));
    buf_free(&out);
    compile_free(&c);
    unlink(path);
    unlink(log);
    arena_free(&a);
}

/* A circuit of more boxes than all trees are searched of, on both sides of its panel, leaves it in
 * one cable: the shortest tree would leave it in two. */
static void many_boxes_leave_the_panel_in_one_cable(void **state)
{
    (void)state;
    struct arena a = {0};
    struct proposal p;
    struct buf text = {0};
    buf_puts(&text, "plan \"Barn\" { edition nec-2023 }\n"
                    "room barn \"Barn\" {\n  kind storage\n  size 70' by 10'\n");
    for (unsigned i = 0; i < 16; i++)
        buf_printf(&text, "  box R%u north at %u' { receptacle }\n", i + 1,
                   i < 8 ? 2 * i + 2 : 2 * i + 36);
    buf_puts(&text, "}\npanel P \"Panel\" { in barn north at 34' up 5'; main 60 A; spaces 8 }\n"
                    "circuit P.1 \"Barn walls\" { breaker 20 A; serves barn.");
    for (unsigned i = 0; i < 16; i++)
        buf_printf(&text, "R%u ", i + 1);
    buf_puts(&text, "}\n");
    const char *with = proposed("runs", buf_text(&text), NULL, &p, &a),
               *home = strstr(with, "run P -> ");
    assert_non_null(home);
    assert_null(strstr(home + 1, "run P -> "));
    buf_free(&text);
    arena_free(&a);
}

static void circuits_that_are_not_there_are_refused(void **state)
{
    (void)state;
    struct arena a = {0};
    struct proposal p = {.arena = &a};
    struct compilation c;
    compile_text(&c, shed);
    assert_false(propose_runs(&c, &(struct propose_asked){.circuit = "P.7"}, &p));
    assert_string_equal(p.refused, "there is no circuit 'P.7' in the plan");
    compile_free(&c);
    arena_free(&a);
}

static void more_houses(void **state)
{
    char **argv = *state;
    houses_check_clean(strtoull(argv[2], NULL, 10), strtoull(argv[3], NULL, 10));
}

/* `propose_test --houses FIRST LAST` tries more of them. */
int main(int argc, char **argv)
{
    if (argc == 4 && !strcmp(argv[1], "--houses")) {
        const struct CMUnitTest more[] = {cmocka_unit_test_prestate(more_houses, argv)};
        return cmocka_run_group_tests(more, NULL, NULL);
    }
    const struct CMUnitTest tests[] = {cmocka_unit_test(boxes_are_strung),
                                       cmocka_unit_test(no_tree_is_better),
                                       cmocka_unit_test(names_and_order_decide_nothing),
                                       cmocka_unit_test(examples_cost_no_more),
                                       cmocka_unit_test(houses),
                                       cmocka_unit_test(circuits_are_strung_anew),
                                       cmocka_unit_test(what_is_run_stays),
                                       cmocka_unit_test(what_hangs_stays),
                                       cmocka_unit_test(many_boxes_leave_the_panel_in_one_cable),
                                       cmocka_unit_test(circuits_that_are_not_there_are_refused)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

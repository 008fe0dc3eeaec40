/* Reports agree: with a site log `cuts`, `materials`, `todo`, `labels`, `runs` and `bores` tell one
 * story. Logs are made at random for the plans of the tree and for plans made at random, and every
 * figure that stands in two reports is held against itself by tests/tools/recount.py. AGREE_PLANS=N
 * asks of more plans, AGREE_SEED=S of others. */
#include "base/file.h"
#include "compiled.h"

#include "cmd/cmd.h"
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "framing/routes.h"
#include "log/log.h"
#include "prove/prove.h"
#include "plans.h"
#include "random.h"

#include <glob.h>
#include <sys/wait.h>

enum { MADE_AT_RANDOM = 24, LOGS_OF_EACH = 2 };

/* --- logs made at random ------------------------------------------------------------------ */

static const char *coil_of(const struct compilation *c, const struct run *run)
{
    for (uint32_t i = 0; i < c->cuts->cable_count; i++)
        for (uint32_t k = 0; k < c->cuts->cables[i].coil_count; k++)
            for (uint32_t n = 0; n < c->cuts->cables[i].coils[k].cut_count; n++)
                if (c->cuts->cables[i].coils[k].cuts[n].run == run)
                    return c->cuts->cables[i].coils[k].name;
    return NULL;
}

/* A pull: with its length or without, from its coil or from none that is said, now and then too
 * short, by another cable, or twice. */
static void put_pull(struct compilation *c, struct buf *log, const struct run *run, uint64_t *state)
{
    const char *address = address_of_run(&c->arena, run, false), *coil = coil_of(c, run);
    length cut = c->routes->of_run[run->id].cut / FOOT;
    for (unsigned times = 1 + chance(state, 15); times--;) {
        buf_printf(log, "2026-05-%02u pulled %s", 1 + pick(state, 28), address);
        if (chance(state, 5))
            buf_puts(log, " cable 12/2");
        if (chance(state, 70))
            buf_printf(log, " %d'",
                       chance(state, 15) ? 1 + (int)cut / 2 : (int)cut + (int)pick(state, 6) + 1);
        if (coil && chance(state, 60))
            buf_printf(log, " from %s", coil);
        buf_puts(log, chance(state, 20) ? " # as it came\n" : "\n");
    }
}

static void put_boxes(struct compilation *c, struct buf *log, uint64_t *state)
{
    static const char *const events[] = {"set", "made-up", "inspected", "trimmed", "tested"};
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        if (chance(state, 40))
            buf_printf(log, "2026-06-%02u %s %s\n", 1 + pick(state, 28), events[pick(state, 5)],
                       address_of_box(&c->arena, c->model->boxes.at[i], false));
    for (uint32_t i = 0; i < c->model->panels.n; i++)
        if (chance(state, 40))
            buf_printf(log, "2026-06-%02u %s %s\n", 1 + pick(state, 28), events[pick(state, 5)],
                       address_of_panel(&c->arena, c->model->panels.at[i], false));
}

static void make_log(struct compilation *c, struct buf *log, uint64_t seed)
{
    uint64_t state = seed;
    unsigned share = 20 + 20 * pick(&state, 4);
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct run *run = c->model->runs.at[i];
        const char *address = address_of_run(&c->arena, run, false);
        if (chance(&state, share))
            put_pull(c, log, run, &state);
        if (chance(&state, share / 2))
            buf_printf(log, "2026-05-%02u %s %s\n", 1 + pick(&state, 28),
                       chance(&state, 50) ? "stapled" : "bored", address);
    }
    for (uint32_t i = 0; i < c->model->rooms.n; i++)
        if (chance(&state, 20))
            buf_printf(log, "2026-05-%02u bored %s.north\n", 1 + pick(&state, 28),
                       address_of_room(&c->arena, c->model->rooms.at[i], false));
    put_boxes(c, log, &state);
    buf_puts(log, "2026-05-05 pulled nowhere.A -> B cable 14/2 9'\n");
}

/* --- reports ------------------------------------------------------------------------------ */

static void put_reports(FILE *f, struct compilation *c, const char *plan, bool first)
{
    static const char *const names[] = {"runs", "bores", "cuts",   "materials", "labels",  "todo",
                                        "trim", "boxes", "permit", "makeup",    "estimate"};
    struct results r;
    if (!c->makeup || !cmd_results(c, &r))
        return;
    fprintf(f, "%s{\"plan\": \"%s\", \"log\": %s", first ? "[" : ",\n", plan,
            c->log ? "true" : "false");
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        for (int whole = 0; whole < 2; whole++) {
            struct buf out = {0};
            if (whole && !report_tells_of_whole(report_named(names[i])))
                continue;
            r.whole = whole;
            report_write(report_named(names[i]), &r, REPORT_JSON, &out);
            fprintf(f, ",\n\"%s%s\": %s", names[i], whole ? " --all" : "", buf_text(&out));
            buf_free(&out);
        }
    fputs("}", f);
}

struct story {
    FILE *f;
    char folder[64], plan[96], log[96];
    bool any;
};

/* One plan without a log and with some. */
static void tell(struct story *s, const char *name, uint64_t seed)
{
    for (int k = 0; k <= LOGS_OF_EACH; k++) {
        struct buf log = {0};
        struct compilation c;
        unlink(s->log);
        compile(&c, s->plan,
                (struct compile_options){.library = plan_library(), .cut_steps = CUTS_EXACT});
        if (k && c.model && c.cuts) {
            make_log(&c, &log, seed * 7 + (uint64_t)k);
            assert_true(file_write(&log, s->log));
            buf_free(&log);
            compile_free(&c);
            compile(&c, s->plan,
                    (struct compile_options){.library = plan_library(), .cut_steps = CUTS_EXACT});
        }
        char title[160];
        snprintf(title, sizeof title, "%s, log %d", name, k);
        put_reports(s->f, &c, title, !s->any);
        s->any = s->any || (c.makeup && c.verdict->holds);
        compile_free(&c);
    }
}

static void begin(struct story *s, const char *filter)
{
    char command[400];
    snprintf(command, sizeof command, "%s /usr/bin/python3 tests/tools/recount.py >&2", filter);
    *s = (struct story){.folder = "/tmp/studbay-agree-XXXXXX", .f = popen(command, "w")};
    assert_non_null(s->f);
    assert_non_null(mkdtemp(s->folder));
    snprintf(s->plan, sizeof s->plan, "%s/plan.bay", s->folder);
    snprintf(s->log, sizeof s->log, "%s/plan.log", s->folder);
}

static int end(struct story *s)
{
    char command[160];
    snprintf(command, sizeof command, "rm -rf %s", s->folder);
    assert_int_equal(system(command), 0);
    fputs("]\n", s->f);
    int status = pclose(s->f);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static void tell_of_file(struct story *s, const char *path)
{
    struct buf text = {0};
    assert_true(file_read(&text, path, 1 << 22));
    assert_true(file_write(&text, s->plan));
    tell(s, path, text.n);
    buf_free(&text);
}

static void reports_agree_on_plans_of_the_tree(void **state)
{
    (void)state;
    struct story s;
    glob_t plans = {0};
    begin(&s, "");
    assert_int_equal(glob("examples/small/*.bay", 0, NULL, &plans), 0);
    for (size_t i = 0; i < plans.gl_pathc; i++)
        tell_of_file(&s, plans.gl_pathv[i]);
    globfree(&plans);
    assert_int_equal(end(&s), 0);
}

static void reports_agree_on_plans_made_at_random(void **state)
{
    (void)state;
    const char *asked = getenv("AGREE_PLANS"), *from = getenv("AGREE_SEED");
    unsigned plans = asked ? (unsigned)atoi(asked) : MADE_AT_RANDOM;
    uint64_t seed = from ? (uint64_t)atoll(from) : 1;
    struct story s;
    begin(&s, "");
    for (unsigned i = 0; i < plans; i++, seed++) {
        struct plan_text text = {0};
        char name[40];
        snprintf(name, sizeof name, "seed %llu", (unsigned long long)seed);
        plan_make(&text, i % 4 ? PLAN_CLEAN : PLAN_BOLD, seed, 0);
        assert_true(plan_write(&text, s.folder));
        tell(&s, name, seed);
        plan_free(&text);
    }
    assert_int_equal(end(&s), 0);
}

/* The other count must be able to disagree. */
static void a_report_that_lies_is_found(void **state)
{
    (void)state;
    static const char *const spoils[] = {
        "/\"remainder_ft\"/s/\"cut_ft\": 1/\"cut_ft\": 2/",
        "/\"stage\": \"pull\"/d",
        "/\"pulled_ft\"/s/\"left_ft\": 2/\"left_ft\": 3/",
        "/\"stage\": \"bore\"/s/\"count\": /\"count\": 1/",
        "/\"item\": \"cable /s/\"quantity\": 1/\"quantity\": 2/",
        "/\"item\": \"nail-on/s/\"quantity\": /\"quantity\": 1/",
        "/\"lines\"/s/, [0-9]*'/, 77'/",
    };
    for (size_t i = 0; i < sizeof spoils / sizeof *spoils; i++) {
        struct story s;
        char filter[200];
        snprintf(filter, sizeof filter, "sed -e '%s' 2>/dev/null |", spoils[i]);
        if (strchr(spoils[i], '\''))
            snprintf(filter, sizeof filter, "sed -e \"/\\\"lines\\\"/s/, [0-9]*'/, 77'/\" |");
        begin(&s, filter);
        tell_of_file(&s, "examples/small/two-places.bay");
        int status = end(&s);
        if (status != 2)
            print_error("%s is not found out\n", spoils[i]);
        assert_int_equal(status, 2);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reports_agree_on_plans_of_the_tree),
        cmocka_unit_test(reports_agree_on_plans_made_at_random),
        cmocka_unit_test(a_report_that_lies_is_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

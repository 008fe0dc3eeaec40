/* The site log: what it says of a plan, what it refuses, and that nothing that is in it is ever
 * lost. */
#include "base/file.h"
#include "compiled.h"
#include "cmd/cmd.h"
#include "emit/reports/reports.h"
#include "framing/routes.h"
#include "log/entry.h"
#include "log/log.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <sys/wait.h>

static const char shed[] =
    "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
    "box A west at 2' { receptacle }\nbox B west at 8' { receptacle }\nbox C east at 5' { "
    "receptacle }\n}\n"
    "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.A\nrun shed.A -> B\nrun shed.B -> C as "
    "north-end }\n"
    "low-voltage net { cable cat6\nrun shed.A -> B }\n"
    "coil 14/2 50' on-hand as tail-end\ncoil 12/2 50' on-hand as other\ncoil 14/2 250' price "
    "96.00\n";

/* A scratch folder with a plan and its log. */
struct site {
    char folder[32], plan[64], log[64];
};

static void site_open(struct site *s)
{
    snprintf(s->folder, sizeof s->folder, "/tmp/studbay-log-XXXXXX");
    assert_non_null(mkdtemp(s->folder));
    snprintf(s->plan, sizeof s->plan, "%s/shed.bay", s->folder);
    snprintf(s->log, sizeof s->log, "%s/shed.log", s->folder);
    struct buf b = {0};
    buf_puts(&b, shed);
    assert_true(file_write(&b, s->plan));
    buf_free(&b);
}

static void site_close(struct site *s)
{
    unlink(s->plan);
    unlink(s->log);
    rmdir(s->folder);
}

static void write_log(const struct site *s, const char *text, size_t len)
{
    struct buf b = {0};
    buf_add(&b, text, len);
    assert_true(file_write(&b, s->log));
    buf_free(&b);
}

/* Compiles the plan with that log beside it. */
static void compile_log(struct compilation *c, const struct site *s, const char *log)
{
    write_log(s, log, strlen(log));
    compile(c, s->plan, (struct compile_options){.library = plan_library()});
    assert_non_null(c->log);
}

static const struct run_log *log_of(struct compilation *c, const char *address, bool low_voltage)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (!strcmp(address_of_run(&c->arena, c->model->runs.at[i], false), address) &&
            !c->model->runs.at[i]->circuit == low_voltage)
            return &c->log->of_run[i];
    fail();
    return NULL;
}

static const struct run_log *power(struct compilation *c, const char *address)
{
    return log_of(c, address, false);
}

static log_states box_states(struct compilation *c, const char *address)
{
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        if (!strcmp(address_of_box(&c->arena, c->model->boxes.at[i], false), address))
            return c->log->of_box[i];
    fail();
    return 0;
}

static void events_set_states(void **state)
{
    (void)state;
    struct site s;
    struct compilation c;
    site_open(&s);
    compile_log(&c, &s,
                "2026-03-14 bored P -> shed.A\n2026-03-14 pulled shed.A -> B cable 14/2 24'-6\" "
                "from tail-end # tight\r\n"
                "2026-03-15 stapled north-end\n2026-03-15 made-up shed.A\n2026-03-16 tested "
                "circuit P.1\n\n# a note\n");
    assert_int_equal(findings_of(&c, "log-entry-unknown"), 0);
    assert_int_equal(power(&c, "P -> shed.A")->states, 1 << LOG_BORED | 1 << LOG_TESTED);
    assert_true(log_has(power(&c, "shed.A -> B")->states, LOG_BORED));
    assert_int_equal(power(&c, "shed.A -> B")->pulled->length, 24 * FOOT + 6 * INCH);
    assert_string_equal(power(&c, "shed.A -> B")->pulled->coil, "tail-end");
    assert_int_equal(log_of(&c, "shed.A -> B", true)->states, 0);
    assert_true(log_has(power(&c, "shed.B -> C")->states, LOG_PULLED));
    assert_null(power(&c, "shed.B -> C")->pulled);
    assert_true(log_has(box_states(&c, "shed.A"), LOG_MADE_UP));
    assert_true(log_has(box_states(&c, "shed.C"), LOG_TESTED));
    assert_false(log_has(box_states(&c, "shed.C"), LOG_INSPECTED));
    compile_free(&c);
    site_close(&s);
}

/* One of these lines each is a finding, and the good one beside it counts all the same. */
static void what_names_nothing_is_found(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "2026-03-14 bored P -> shed.D",
        "2026-03-14 bored shed.A -> C",
        "2026-03-14 made-up shed.A -> B",
        "2026-03-14 bored shed.A",
        "2026-13-14 bored P -> shed.A",
        "bored P -> shed.A",
        "2026-03-14 drilled P -> shed.A",
        "2026-03-14 bored",
        "2026-03-14 pulled P -> shed.A 5",
        "2026-03-14 pulled P -> shed.A from no-such",
        "2026-03-14 pulled P -> shed.A from other",
        "2026-03-14 not bored P -> shed.A",
        "2026-03-14 pulled shed.A -> B 24'",
        "<<<<<<< ours",
        "2026-03-14 tested circuit P.7",
        "2026-03-14 pulled P -> shed.A cable 77/2",
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct site s;
        struct compilation c;
        struct buf log = {0};
        site_open(&s);
        buf_printf(&log, "%s\n2026-03-14 bored shed.B -> C\n", bad[i]);
        compile_log(&c, &s, buf_text(&log));
        if (findings_of(&c, "log-entry-unknown") != 1)
            print_error("%s: %u findings\n", bad[i], findings_of(&c, "log-entry-unknown"));
        assert_int_equal(findings_of(&c, "log-entry-unknown"), 1);
        assert_true(log_has(power(&c, "shed.B -> C")->states, LOG_BORED));
        compile_free(&c);
        buf_free(&log);
        site_close(&s);
    }
}

/* A run is bored for when every wall and all joists on its way are. */
static void walls_and_joists_are_bored(void **state)
{
    (void)state;
    struct site s;
    struct compilation c;
    site_open(&s);
    compile_log(&c, &s, "2026-03-14 bored shed.west\n");
    assert_int_equal(findings_of(&c, "log-entry-unknown"), 0);
    assert_true(
        log_has(power(&c, "shed.A -> B")->states, LOG_BORED)); /* through the studs of that wall */
    assert_int_equal(power(&c, "shed.B -> C")->states, 0);
    const char *why = NULL, *level = c.model->levels.at[0]->name;
    struct buf all = {0};
    buf_printf(&all,
               "2026-03-14 bored shed.west\n2026-03-14 bored shed.north\n2026-03-14 bored "
               "shed.east\n2026-03-14 bored shed.south\n2026-03-14 bored "
               "joists %s\n",
               level);
    assert_null(log_accept(c.log, &c.arena, "2026-03-20", "stapled shed.west", &why));
    assert_null(log_accept(c.log, &c.arena, "2026-03-20", "bored shed.wst", &why));
    assert_null(log_accept(c.log, &c.arena, "2026-03-20", "bored joists nowhere", &why));
    compile_free(&c);
    compile_log(&c, &s, buf_text(&all));
    assert_int_equal(findings_of(&c, "log-entry-unknown"), 0);
    for (uint32_t i = 0; i < c.model->runs.n; i++)
        assert_int_equal(log_has(c.log->of_run[i].states, LOG_BORED),
                         c.routes->of_run[i].passed_count > 0);
    compile_free(&c);
    buf_free(&all);
    site_close(&s);
}

static void not_takes_back(void **state)
{
    (void)state;
    struct site s;
    struct compilation c;
    site_open(&s);
    compile_log(&c, &s,
                "2026-03-16 not bored P -> shed.A\n2026-03-14 bored P -> shed.A\n2026-03-14 bored "
                "shed.A -> B -> C\n");
    assert_int_equal(findings_of(&c, "log-entry-unknown"), 0);
    assert_int_equal(power(&c, "P -> shed.A")->states, 0);
    assert_true(log_has(power(&c, "shed.B -> C")->states, LOG_BORED));
    compile_free(&c);
    compile_log(&c, &s,
                "2026-03-16 not bored P -> shed.A\n2026-03-14 bored P -> shed.A\n2026-03-17 bored "
                "P -> shed.A\n");
    assert_true(log_has(power(&c, "P -> shed.A")->states, LOG_BORED));
    compile_free(&c);
    site_close(&s);
}

/* --- merging ------------------------------------------------------------------------------ */

static const char *const merged[] = {
    "2026-03-14 bored P -> shed.A",
    "2026-03-14 pulled P -> shed.A cable 14/2 20'",
    "2026-03-15 pulled P -> shed.A cable 14/2 22' from tail-end",
    "2026-03-15 pulled P -> shed.A 21'",
    "2026-03-14 pulled shed.A -> B cable cat6 9'",
    "2026-03-16 made-up shed.B",
    "2026-03-17 not made-up shed.B",
    "2026-03-14 pulled shed.A -> B cable 14/2 24'-6\"",
};
enum { MERGED = sizeof merged / sizeof *merged };

static uint32_t next_random(uint32_t *seed)
{
    *seed = *seed * 1664525u + 1013904223u;
    return *seed >> 16;
}

static void order_and_doubles_mean_nothing(void **state)
{
    (void)state;
    struct site s;
    uint32_t seed = 3;
    site_open(&s);
    for (int round = 0; round < 40; round++) {
        struct buf log = {0};
        unsigned at = next_random(&seed) % MERGED, twice = next_random(&seed),
                 step = next_random(&seed) & 2 ? 3 : 5;
        for (unsigned i = 0; i < MERGED; i++, at = (at + step) % MERGED) {
            buf_printf(&log, "%s\n", merged[at]);
            if (twice >> at & 1)
                buf_printf(&log, "%s\n", merged[at]);
        }
        struct compilation c;
        compile_log(&c, &s, buf_text(&log));
        assert_int_equal(c.log->events.n, MERGED);
        assert_int_equal(power(&c, "P -> shed.A")->pulled->length, 22 * FOOT);
        assert_int_equal(log_of(&c, "shed.A -> B", true)->pulled->length, 9 * FOOT);
        assert_int_equal(power(&c, "shed.A -> B")->pulled->length, 24 * FOOT + 6 * INCH);
        assert_int_equal(box_states(&c, "shed.B"), 1 << LOG_SET); /* a cable hangs in it */
        compile_free(&c);
        buf_free(&log);
    }
    site_close(&s);
}

/* --- writing ------------------------------------------------------------------------------ */

static void append(struct compilation *c, const struct site *s, const char *line)
{
    struct buf b = {0};
    buf_puts(&b, line);
    const char *failed = log_append(&c->arena, s->log, &b);
    if (failed)
        print_error("%s\n", failed);
    assert_null(failed);
    buf_free(&b);
}

static void events_are_settled(void **state)
{
    (void)state;
    static const char *const typed[][2] = {
        {"pulled shed.B to A cable 14/2 24ft-6in from tail-end",
         "2026-03-20 pulled shed.A -> B cable 14/2 24'-6\" from tail-end\n"},
        {"pulled P -> shed.A 20'", "2026-03-20 pulled P -> shed.A cable 14/2 20'\n"},
        {"stapled shed.B to A cable cat6", "2026-03-20 stapled shed.A -> B cable cat6\n"},
        {"stapled shed.B to A", "2026-03-20 stapled shed.A -> B\n"},
        {"2026-03-01 bored circuit 1", "2026-03-01 bored circuit 1\n"},
        {"stapled shed", "2026-03-20 stapled shed\n"},
        {"inspected low-voltage net", "2026-03-20 inspected low-voltage net\n"},
        {"made-up P", "2026-03-20 made-up P\n"},
        {"not bored shed.A -> P", "2026-03-20 not bored P -> shed.A\n"},
        {"bored P -> shed.A", "2026-03-20 bored P -> shed.A\n"},
        {"2026-03-14 bored shed.A -> P", ""},
        {"pulled \"net she A-B\" 15ft", "2026-03-20 pulled \"net she A-B\" cable cat6 15'\n"},
        {"pulled \"P1 P-she A\" 15ft # tight  bend ",
         "2026-03-20 pulled P -> shed.A cable 14/2 15' # tight  bend\n"},
        {"stapled \"north-end\"", "2026-03-20 stapled shed.B -> C\n"},
        {"inspected \"circuit P.1\"", "2026-03-20 inspected circuit P.1\n"},
        {"2026-03-14 bored P -> shed.A #late", "2026-03-14 bored P -> shed.A #late\n"},
        {"2026-03-14 bored shed.B -> C # dry", ""},
        {"2026-03-14 bored shed.B -> C # wet", ""},
        {"2026-03-14 bored shed.B -> C # no", "2026-03-14 bored shed.B -> C # no\n"},
        {"2026-03-14 bored shed.B -> C", ""},
        {"set shed.A", "2026-03-20 set shed.A\n"},
        {"trimmed P", "2026-03-20 trimmed P\n"},
    };
    struct site s;
    struct compilation c;
    site_open(&s);
    compile_log(&c, &s,
                "2026-03-14 bored P -> shed.A\n2026-03-14 bored shed.B -> C # wet\n"
                "2026-03-14 bored shed.B -> C # dry\n");
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        const char *why = NULL,
                   *line = log_accept(c.log, &c.arena, "2026-03-20", typed[i][0], &why);
        if (!line)
            print_error("%s: %s\n", typed[i][0], why);
        assert_non_null(line);
        assert_string_equal(line, typed[i][1]);
    }
    compile_free(&c);
    site_close(&s);
}

static void refused_with_the_nearest_name(void **state)
{
    (void)state;
    static const char *const typed[][2] = {
        {"made-up shed.D", "did you mean 'shed.A'"},
        {"made-up she", "did you mean 'shed'"},
        {"pulled P to shed.A from tail-and", "did you mean 'tail-end'"},
        {"puled P to shed.A", "did you mean 'pulled'"},
        {"bored shed.A to C", "there is no run"},
        {"not bored P to shed.B", "does not hold"},
        {"pulled shed.A to B 20ft", "is 2 cables"},
        {"pulled \"P1 P-she B\" 20ft", "did you mean 'P1 P-she A\'"},
        {"pulled \"P1 P-she A 20ft", "a quote has no end"},
        {"made-up shed.A # see #torn", "count for nothing"},
        {"set P -> shed.A", "is said of boxes and panels"},
        {"", "missing"},
    };
    struct site s;
    struct compilation c;
    site_open(&s);
    compile_log(&c, &s, "2026-03-14 made-up shed.A\n");
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        const char *why = "";
        assert_null(log_accept(c.log, &c.arena, "2026-03-20", typed[i][0], &why));
        if (!strstr(why, typed[i][1]))
            print_error("%s: %s\n", typed[i][0], why);
        assert_non_null(strstr(why, typed[i][1]));
    }
    compile_free(&c);
    site_close(&s);
}

/* Beginnings of names, in all their parts, and a slip of one letter stand for the one name that
 * they can be: in the log it stands in full. What may be several is refused with their names. */
static void what_is_typed_short_is_written_in_full(void **state)
{
    (void)state;
    static const char *const typed[][2] = {
        {"set sh.a", "2026-03-20 set shed.A\n"},
        {"set she b", "2026-03-20 set shed.B\n"},
        {"pul p to sh.a 20ft", "2026-03-20 pulled P -> shed.A cable 14/2 20'\n"},
        {"stap sh.B to c", "2026-03-20 stapled shed.B -> C\n"},
        {"pulled nor 15ft", "2026-03-20 pulled north-end cable 14/2 15'\n"},
        {"pulled \"p1 p-sh a\" 20ft", "2026-03-20 pulled P -> shed.A cable 14/2 20'\n"},
        {"insp shedd", "2026-03-20 inspected shed\n"},
        {"stapled nroth-end", "2026-03-20 stapled north-end\n"},
    };
    static const char *const refused[][2] = {
        {"set sh", "there is no"},             /* a room is not set, and a box has two parts */
        {"t shed", "'t' is no event"},         /* trimmed, tested */
        {"stapled sh.a to sh", "there is no"}, /* shed.A -> B has three parts */
        {"insp s.a to", "there is no"},        /* nothing behind the arrow: the box, or its label */
        {"set shed.A1", "there is no"},        /* A is no beginning, and A1 no slip for it */
    };
    struct site s;
    struct compilation c;
    site_open(&s);
    compile_log(&c, &s, "");
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        const char *why = "", *line = log_accept(c.log, &c.arena, "2026-03-20", typed[i][0], &why);
        if (!line)
            fail_msg("%s: %s", typed[i][0], why);
        assert_string_equal(line, typed[i][1]);
    }
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        const char *why = "",
                   *line = log_accept(c.log, &c.arena, "2026-03-20", refused[i][0], &why);
        if (line || !strstr(why, refused[i][1]))
            fail_msg("%s: %s %s", refused[i][0], line ? line : "", why);
    }
    compile_free(&c);
    site_close(&s);
}

/* One name or none: all of it goes before its beginning, that before a slip; several are told. */
static void a_short_name_stands_for_one(void **state)
{
    (void)state;
    static const char *const names[] = {"studio.S1", "studio.S10",   "studio.S2",
                                        "store.S1",  "loft.bath.R1", "studio.L1"};
    static const char *const cases[][2] = {
        {"studio.s1", "studio.S1"}, {"stu.s2", "studio.S2"},
        {"sto s1", "store.S1"},     {"st.s1", NULL},
        {"st.s10", "studio.S10"},   {"s.l1", "studio.L1"},
        {"l.b.r", "loft.bath.R1"},  {"l.r1", NULL},
        {"stodio.s1", "studio.S1"}, {"stodio.s3", NULL},
        {"studio", NULL},           {"", NULL},
    };
    struct arena arena = {0};
    near_list list = {0}, *lists = &list;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        near_add(&arena, &list, names[i]);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const char *why = NULL, *name = typed_for(&arena, cases[i][0], &lists, 1, &why);
        if (!name != !cases[i][1] || (name && strcmp(name, cases[i][1]) != 0))
            fail_msg("%s: %s", cases[i][0], name ? name : "none");
        assert_int_equal(!!why, !strcmp(cases[i][0], "st.s1"));
    }
    arena_free(&arena);
}

/* The last line that stands goes first, then the one before it: by lines that are added. */
static void undo_takes_the_last_line_back(void **state)
{
    (void)state;
    struct site s;
    struct compilation c;
    const char *why = "";
    site_open(&s);
    compile_log(&c, &s,
                "2026-03-14 set shed.A\n2026-03-14 set shed.B\n2026-03-15 not set shed.B\n");
    assert_string_equal(log_accept(c.log, &c.arena, "2026-03-20", "undo", &why),
                        "2026-03-20 not set shed.A\n");
    compile_free(&c);
    compile_log(&c, &s, "2026-03-14 set shed.A\n2026-03-15 not set shed.A\n");
    assert_null(log_accept(c.log, &c.arena, "2026-03-20", "undo", &why));
    assert_non_null(strstr(why, "nothing in the log"));
    compile_free(&c);
    site_close(&s);
}

/* Killed at any byte of a write: what stood before is there, what is torn never counts, and the
 * next event is whole. */
static void nothing_is_lost_at_any_byte(void **state)
{
    (void)state;
    static const char whole[] = "2026-03-14 bored P -> shed.A\n2026-03-14 pulled P -> shed.A cable "
                                "14/2 24'-6\" from tail-end\n2026-03-15 stapled shed.B -> C\n";
    struct site s;
    site_open(&s);
    for (size_t cut = 0; cut < sizeof whole; cut++) {
        struct compilation c;
        size_t lines = 0;
        for (size_t i = 0; i < cut; i++)
            lines += whole[i] == '\n';
        bool torn = cut && whole[cut - 1] != '\n';
        write_log(&s, whole, cut);
        compile(&c, s.plan, (struct compile_options){.library = plan_library()});
        assert_int_equal(c.log->events.n, lines);
        assert_int_equal(findings_of(&c, "log-line-torn"), torn);
        assert_int_equal(findings_of(&c, "log-entry-unknown"), 0);
        append(&c, &s, "2026-03-16 made-up shed.A\n");
        compile_free(&c);
        compile(&c, s.plan, (struct compile_options){.library = plan_library()});
        assert_int_equal(c.log->events.n, lines + 1);
        assert_true(log_has(box_states(&c, "shed.A"), LOG_MADE_UP));
        assert_int_equal(findings_of(&c, "log-line-torn"), torn);
        assert_int_equal(findings_of(&c, "log-entry-unknown"), 0);
        compile_free(&c);
    }
    site_close(&s);
}

/* The write that marks a torn line may itself be torn. */
static void a_torn_mark_is_marked_again(void **state)
{
    (void)state;
    static const char second[] =
        "2026-03-14 pulled P -> shed.A 24' #torn\n2026-03-16 made-up shed.A\n";
    struct site s;
    site_open(&s);
    for (size_t cut = 35; cut < sizeof second; cut++) {
        struct compilation c;
        write_log(&s, second, cut);
        compile(&c, s.plan, (struct compile_options){.library = plan_library()});
        append(&c, &s, "2026-03-17 made-up shed.B\n");
        compile_free(&c);
        compile(&c, s.plan, (struct compile_options){.library = plan_library()});
        assert_int_equal(power(&c, "P -> shed.A")->states, 0);
        assert_true(log_has(box_states(&c, "shed.B"), LOG_MADE_UP));
        assert_int_equal(log_has(box_states(&c, "shed.A"), LOG_MADE_UP), cut == sizeof second - 1);
        compile_free(&c);
    }
    site_close(&s);
}

static void write_many(const struct site *s, int who)
{
    struct arena arena = {0};
    for (int i = 0; i < 200; i++) {
        struct buf b = {0};
        buf_printf(&b, "2026-03-%02d made-up shed.%c # %d of %d\n", 10 + who, "AB"[who], i, who);
        if (log_append(&arena, s->log, &b))
            _exit(1);
        buf_free(&b);
    }
    arena_free(&arena);
    _exit(0);
}

static void two_write_at_once(void **state)
{
    (void)state;
    struct site s;
    site_open(&s);
    pid_t child[2];
    for (int i = 0; i < 2; i++) {
        child[i] = fork();
        assert_true(child[i] >= 0);
        if (!child[i])
            write_many(&s, i);
    }
    for (int i = 0; i < 2; i++) {
        int status = 1;
        assert_int_equal(waitpid(child[i], &status, 0), child[i]);
        assert_int_equal(status, 0);
    }
    struct buf b = {0};
    unsigned lines[2] = {0}, other = 0;
    assert_true(file_read(&b, s.log, 1 << 20));
    for (char *line = strtok((char *)buf_text(&b), "\n"); line; line = strtok(NULL, "\n")) {
        int who = 2, number;
        if (sscanf(line, "2026-03-%*d made-up shed.%*c # %d of %d", &number, &who) == 2 &&
            who < 2 && number == (int)lines[who])
            lines[who]++;
        else
            other++;
    }
    assert_int_equal(lines[0], 200);
    assert_int_equal(lines[1], 200);
    assert_int_equal(other, 0);
    buf_free(&b);
    site_close(&s);
}

static void unwritable_logs_are_said(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct buf b = {0};
    buf_puts(&b, "x\n");
    assert_non_null(log_append(&arena, "/nonexistent/shed.log", &b));
    assert_non_null(log_append(&arena, "/tmp", &b));
    if (access("/dev/full", W_OK) == 0)
        assert_non_null(strstr(log_append(&arena, "/dev/full", &b), "No space"));
    buf_free(&b);
    arena_free(&arena);
}

static void paths_lie_beside_the_plan(void **state)
{
    (void)state;
    struct arena arena = {0};
    assert_string_equal(log_path(&arena, "plans/shed.bay"), "plans/shed.log");
    assert_string_equal(log_path(&arena, "shed"), "shed.log");
    assert_null(log_path(&arena, "-"));
    arena_free(&arena);
}

/* --- what is left ------------------------------------------------------------------------- */

/* Whether the report has a row of that stage about that thing. */
static bool is_left(const struct report *todo, const char *stage, const char *thing)
{
    const struct grid *g = &todo->rows;
    for (uint32_t i = 0; i < table_rows(g); i++)
        if (!strcmp(g->cells.at[i * g->column_count + 1].text, stage) &&
            !strcmp(g->cells.at[i * g->column_count + 3].text, thing))
            return true;
    return false;
}

static void what_is_left_and_what_is_on_the_coils(void **state)
{
    (void)state;
    struct site s;
    struct compilation c;
    site_open(&s);
    compile_log(&c, &s,
                "2026-03-14 pulled P -> shed.A cable 14/2 20'-6\" from tail-end\n2026-03-15 pulled "
                "P -> shed.A cable 14/2 21' from tail-end\n"
                "2026-03-15 stapled shed.B -> C\n2026-03-15 made-up shed.A\n2026-03-16 pulled "
                "shed.A -> B cable 14/2 24'\n"
                "2026-03-17 inspected shed.A\n2026-03-17 inspected shed.B\n2026-03-17 inspected "
                "shed.C\n2026-03-17 tested circuit P.1\n");
    struct results r;
    assert_true(cmd_results(&c, &r));
    struct report todo = {.def = report_named("todo")};
    todo.def->fill(&r, &todo);
    assert_false(is_left(&todo, "pull", "P -> shed.A"));
    assert_true(is_left(&todo, "staple", "P -> shed.A"));
    assert_false(is_left(&todo, "staple", "shed.B -> C"));
    assert_true(is_left(&todo, "pull", "shed.A -> B")); /* the other cable between them */
    assert_false(is_left(&todo, "make up", "shed.A"));
    assert_true(is_left(&todo, "make up", "P"));
    assert_false(is_left(&todo, "test", "circuit P.1"));
    assert_false(is_left(&todo, "inspect", "shed"));
    /* every pull comes off a coil: both of the first run off the one that the log names, those
     * without a coil off that of the cut list, the one without a length at its planned cut */
    const struct grid *coils = &todo.totals;
    length planned = 0;
    bool tail_end = false, bought = false;
    for (uint32_t i = 0; i < c.model->runs.n; i++)
        if (!strcmp(address_of_run(&c.arena, c.model->runs.at[i], false), "shed.B -> C"))
            planned = c.routes->of_run[i].cut;
    for (uint32_t i = 0; i < table_rows(coils); i++) {
        const struct cell *row = &coils->cells.at[i * coils->column_count];
        assert_int_equal(row[0].kind, CELL_TEXT);
        if (!strcmp(row[0].text, "tail-end")) {
            tail_end = true;
            assert_int_equal(row[3].integer, 2);
            assert_int_equal(row[5].length, 8 * FOOT + 6 * INCH);
        }
        if (!strcmp(row[0].text, "14/2-1")) {
            bought = true;
            assert_int_equal(row[3].integer, 2);
            assert_int_equal(row[4].length, 24 * FOOT + planned);
            assert_int_equal(row[5].length, 226 * FOOT - planned);
        }
    }
    assert_true(tail_end && bought);
    compile_free(&c);
    site_close(&s);
}

/* --- the command -------------------------------------------------------------------------- */

/* Runs `studbay log PLAN ARGUMENTS` on the binary that STUDBAY names; gives its exit status. */
static int run_log(const struct site *s, const char *before, const char *arguments)
{
    const char *binary = getenv("STUDBAY");
    char command[1024];
    snprintf(command, sizeof command, "%s SOURCE_DATE_EPOCH=1773446400 '%s' log %s %s >%s/out 2>&1",
             before, binary ? binary : "build/studbay", s->plan, arguments, s->folder);
    int status = system(command);
    snprintf(command, sizeof command, "%s/out", s->folder);
    unlink(command);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void log_holds(const struct site *s, const char *text)
{
    struct buf b = {0};
    if (!file_read(&b, s->log, 1 << 20))
        assert_string_equal(text, "");
    assert_string_equal(buf_text(&b), text);
    buf_free(&b);
}

static void the_command_writes_or_touches_nothing(void **state)
{
    (void)state;
    static const char one[] = "2026-03-14 pulled P -> shed.A cable 14/2 20'-6\" from tail-end\n";
    static const char three[] =
        "2026-03-14 pulled P -> shed.A cable 14/2 20'-6\" from tail-end\n2026-03-14 made-up "
        "shed.A\n2026-03-15 bored shed.A -> B\n";
    struct site s;
    site_open(&s);
    assert_int_equal(run_log(&s, "", "made-up shed.D"), 1);
    log_holds(&s, "");
    assert_int_equal(run_log(&s, "", "pulled P to shed.A 20ft-6in from tail-end"), 0);
    log_holds(&s, one);
    assert_int_equal(run_log(&s, "", "pulled \"P1 P-she A\" 20ft-6in from tail-end"),
                     0); /* its label: the same cable */
    assert_int_equal(run_log(&s, "", "pulled 'P to shed.A 20ft-6in' 'from tail-end'"), 0);
    log_holds(&s, one);
    assert_int_equal(run_log(&s, "", "bored shed.A to D"), 1);
    assert_int_equal(run_log(&s, "printf 'made-up shed.A\\nmade-up shed.D\\n' |", "-"), 1);
    assert_int_equal(run_log(&s, "", "pulled P to shed.A 20ft-6in from tail-end"),
                     0); /* the log says so already */
    log_holds(&s, one);
    assert_int_equal(
        run_log(&s, "printf 'made-up shed.A\\n\\n# a note\\n2026-03-15 bored shed.B -> A\\n' |",
                "-"),
        0);
    log_holds(&s, three);
    assert_int_equal(run_log(&s, "", ""), 2);
    log_holds(&s, three);
    site_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(events_set_states),
        cmocka_unit_test(what_names_nothing_is_found),
        cmocka_unit_test(not_takes_back),
        cmocka_unit_test(walls_and_joists_are_bored),
        cmocka_unit_test(order_and_doubles_mean_nothing),
        cmocka_unit_test(events_are_settled),
        cmocka_unit_test(refused_with_the_nearest_name),
        cmocka_unit_test(what_is_typed_short_is_written_in_full),
        cmocka_unit_test(a_short_name_stands_for_one),
        cmocka_unit_test(undo_takes_the_last_line_back),
        cmocka_unit_test(nothing_is_lost_at_any_byte),
        cmocka_unit_test(a_torn_mark_is_marked_again),
        cmocka_unit_test(two_write_at_once),
        cmocka_unit_test(unwritable_logs_are_said),
        cmocka_unit_test(paths_lie_beside_the_plan),
        cmocka_unit_test(what_is_left_and_what_is_on_the_coils),
        cmocka_unit_test(the_command_writes_or_touches_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

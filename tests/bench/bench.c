/* The rows of the benchmark: each a figure, what it is held against and the ratio of the two, above
 * 1 where it is worse. Nothing is asserted, since machines differ.
 *
 *   bench FOLDER STUDBAY [BASE]
 *
 * FOLDER holds the plans that tests/bench/run has made. Rows of whole processes are measured with
 * the binary STUDBAY, and with BASE too, one after the other in turn; the other rows are measured
 * in this program, with the library it was linked with. Seconds are those of the processor, user
 * and system, where the row does not say otherwise. */
#include "base/file.h"
#include "cmd/cmd.h"
#include "compare/compare.h"
#include "cuts/pack.h"
#include "emit/dot/dot.h"
#include "paper/svg.h"
#include "sheets/sheets.h"
#include "emit/reports/reports.h"
#include "fmt/fmt.h"
#include "lsp/server.h"
#include "plans.h"
#include "propose/propose.h"
#include "random.h"
#include "prove/prove.h"
#include "syntax/lexer.h"
#include "syntax/tree.h"

#include <fcntl.h>
#include <math.h>
#include <spawn.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { RUNS = 5, MOST_WORDS = 8 };

extern char **environ;

struct bench {
    const char *folder, *studbay, *base; /* base NULL: there is none */
};

static void fail(const char *what)
{
    fprintf(stderr, "bench: %s\n", what);
    exit(1);
}

/* --- rows --------------------------------------------------------------------------------- */

static void head(const char *title)
{
    printf("\n%-40s %17s   %-32s %6s\n", title, "figure", "against", "ratio");
}

/* The part of a row that every row has; what is printed behind it is the row's own. */
static void row(const char *name, double figure, const char *unit, const char *against,
                double ratio)
{
    printf("%-40s %10.*f %-6s   %-32s %6.2f", name,
           figure < 1     ? 3
           : figure < 100 ? 1
                          : 0,
           figure, unit, against, ratio);
}

static void end_row(void)
{
    putchar('\n');
    fflush(stdout);
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static double median(double *figures, int count)
{
    qsort(figures, (size_t)count, sizeof *figures, by_size);
    return figures[count / 2];
}

/* --- whole processes ---------------------------------------------------------------------- */

struct cost {
    double cpu, wall, peak; /* s, s, bytes */
};

struct pair {
    struct cost now, base;
    bool has_base;
};

static double seconds_of(struct timeval t)
{
    return (double)t.tv_sec + (double)t.tv_usec * 1e-6;
}

static double wall_clock(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

/* Runs a program with nowhere to write to. That it finds faults in the plan is no failure. */
static struct cost run_once(const char *program, const char *const *words)
{
    char *argv[MOST_WORDS + 2] = {(char *)program};
    for (int i = 0; i < MOST_WORDS && words[i]; i++)
        argv[i + 1] = (char *)words[i];
    posix_spawn_file_actions_t files;
    posix_spawn_file_actions_init(&files);
    posix_spawn_file_actions_addopen(&files, 1, "/dev/null", O_WRONLY, 0);
    posix_spawn_file_actions_addopen(&files, 2, "/dev/null", O_WRONLY, 0);
    pid_t pid;
    int status;
    struct rusage used;
    double start = wall_clock();
    if (posix_spawnp(&pid, program, &files, NULL, argv, environ) ||
        wait4(pid, &status, 0, &used) < 0 || !WIFEXITED(status) || WEXITSTATUS(status) > 1)
        fail(program);
    double wall = wall_clock() - start;
    posix_spawn_file_actions_destroy(&files);
    return (struct cost){seconds_of(used.ru_utime) + seconds_of(used.ru_stime), wall,
                         (double)used.ru_maxrss * 1024};
}

static struct cost medians(const struct cost *costs, int count)
{
    double cpu[RUNS], wall[RUNS], peak[RUNS];
    for (int i = 0; i < count; i++) {
        cpu[i] = costs[i].cpu;
        wall[i] = costs[i].wall;
        peak[i] = costs[i].peak;
    }
    return (struct cost){median(cpu, count), median(wall, count), median(peak, count)};
}

/* The median of five runs after one that warms up; both binaries in turn, so that a change of the
 * machine's pace falls on both. What takes seconds needs no warmth and is run once more alone. */
static struct pair measure(const struct bench *b, const char *const *words)
{
    struct cost now[RUNS], base[RUNS];
    int runs = RUNS;
    for (int i = -1; i < runs; i++) {
        struct cost c = run_once(b->studbay, words),
                    of_base = b->base ? run_once(b->base, words) : c;
        if (i < 0 && c.cpu > 2)
            runs = 1;
        if (i >= 0) {
            now[i] = c;
            base[i] = of_base;
        }
    }
    return (struct pair){medians(now, runs), medians(base, runs), b->base != NULL};
}

static struct cost measure_other(const char *program, const char *const *words)
{
    struct bench b = {.studbay = program};
    return measure(&b, words).now;
}

/* `scale` turns what is measured into what is printed. A figure that is better the greater it is
 * has its aim above it. */
static void process_row(const char *name, const struct pair *p, double now, double base,
                        const char *unit, double aim, const char *against, bool greater_is_better)
{
    row(name, now, unit, against, greater_is_better ? aim / now : now / aim);
    if (p->has_base)
        printf("   base %.4g, new/base %.2f", base, now / base);
    end_row();
}

static void time_row(const char *name, const struct pair *p, double aim_ms)
{
    char against[40];
    snprintf(against, sizeof against, "%g ms", aim_ms);
    process_row(name, p, p->now.cpu * 1e3, p->base.cpu * 1e3, "ms", aim_ms, against, false);
}

static void wall_row(const char *name, const struct pair *p, double aim_ms)
{
    char against[40];
    snprintf(against, sizeof against, "%g ms", aim_ms);
    process_row(name, p, p->now.wall * 1e3, p->base.wall * 1e3, "ms", aim_ms, against, false);
}

/* The whole of the process's memory for each byte of the plan, nothing subtracted. */
static void memory_row(const char *name, const struct pair *p, double bytes)
{
    process_row(name, p, p->now.peak / bytes, p->base.peak / bytes, "B/B", 40,
                "40 bytes for each of the plan", false);
}

static const char *path_in(const struct bench *b, const char *name)
{
    static char paths[4][512]; /* as many as one row names */
    static int next;
    char *path = paths[next++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", b->folder, name);
    return path;
}

static double size_of(const char *path)
{
    struct stat st;
    if (stat(path, &st))
        fail(path);
    return (double)st.st_size;
}

#define WORDS(...) ((const char *const[MOST_WORDS]){__VA_ARGS__})

static void start_rows(const struct bench *b)
{
    head("start-up");
    struct cost nothing = measure_other("true", WORDS(NULL));
    struct pair version = measure(b, WORDS("--version")),
                check = measure(b, WORDS("check", path_in(b, "20.bay")));
    process_row("--version", &version, version.now.cpu * 1e3, version.base.cpu * 1e3, "ms",
                nothing.cpu * 1e3, "true(1)", false);
    process_row("check of 20 boxes", &check, check.now.cpu * 1e3, check.base.cpu * 1e3, "ms",
                nothing.cpu * 1e3, "true(1)", false);
    time_row("check of 20 boxes", &check, 5);
}

/* Returns the processor seconds and the memory of the largest check. */
static struct cost check_rows(const struct bench *b)
{
    head("check");
    struct pair lines = measure(b, WORDS("check", path_in(b, "1046.bay")));
    time_row("check of 2,000 lines", &lines, 10);
    struct pair small = measure(b, WORDS("check", path_in(b, "2000.bay"))),
                large = measure(b, WORDS("check", path_in(b, "20000.bay")));
    time_row("check of 20,000 boxes", &large, 1000);
    process_row("check, 20,000 : 2,000 boxes", &large, large.now.cpu / small.now.cpu,
                large.base.cpu / small.base.cpu, "times", 13, "13 times", false);
    memory_row("memory of check, 2,000 boxes", &small, size_of(path_in(b, "2000.bay")));
    memory_row("memory of check, 20,000 boxes", &large, size_of(path_in(b, "20000.bay")));
    struct pair units = measure(b, WORDS("check", path_in(b, "units.bay")));
    process_row("memory of 1,000 units, a box", &units, units.now.peak / 7e3 / 1e3,
                units.base.peak / 7e3 / 1e3, "kB", large.now.peak / 20e3 / 1e3,
                "a box of the 20,000", false);
    struct pair row_of_rooms = measure(b, WORDS("check", path_in(b, "row.bay")));
    process_row("check of 4,000 rooms in a row", &row_of_rooms, row_of_rooms.now.cpu * 1e3,
                row_of_rooms.base.cpu * 1e3, "ms", large.now.cpu * 1e3 * 12 / 20,
                "as many of the 20,000 boxes", false);
    return large.now;
}

static void house_rows(const struct bench *b)
{
    static const char *const plans[][2] = {{"studio", "examples/studio/studio.bay"},
                                           {"flats", "examples/flats/flats.bay"}};
    head("a whole house");
    for (int i = 0; i < 2; i++) {
        char name[60];
        struct pair all = measure(b, WORDS("report", "all", "-o", path_in(b, "all"), plans[i][1])),
                    proof = measure(b, WORDS("prove", plans[i][1]));
        snprintf(name, sizeof name, "report all, %s", plans[i][0]);
        time_row(name, &all, 200);
        snprintf(name, sizeof name, "report all, %s, wall", plans[i][0]);
        wall_row(name, &all, 200);
        snprintf(name, sizeof name, "prove, %s", plans[i][0]);
        time_row(name, &proof, 200);
    }
}

/* The mean of what proposed runs may cost above the least that there can be, in percent, over the
 * circuits that it is told of. */
static double mean_gap(const char *plan)
{
    struct compilation c;
    struct arena a = {0};
    struct proposal p = {.arena = &a};
    double sum = 0;
    unsigned circuits = 0;
    compile(&c, plan, (struct compile_options){.library = plan_library()});
    propose_runs(&c, &(struct propose_asked){.library = plan_library()}, &p);
    for (uint32_t i = 0; i < p.told.n; i++) {
        const char *within = strstr(p.told.at[i], "within ");
        if (!strstr(p.told.at[i], "the least that there can be"))
            continue;
        circuits++;
        sum += within ? strtod(within + strlen("within "), NULL) : 0;
    }
    compile_free(&c);
    arena_free(&a);
    return circuits ? sum / circuits : 0;
}

/* A house of 100 boxes in less than ten seconds, runs within 3 % of the least on average. */
static void propose_rows(const struct bench *b)
{
    static const char *const plans[][2] = {{"100 boxes", "strung.bay"}, {"studio", "studio.bay"}};
    head("proposals");
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        char name[60];
        const char *plan = path_in(b, plans[i][1]);
        struct pair runs = measure(b, WORDS("propose", "runs", plan));
        snprintf(name, sizeof name, "propose runs, %s", plans[i][0]);
        time_row(name, &runs, 10000);
        double gap = mean_gap(plan);
        snprintf(name, sizeof name, "above the least, %s", plans[i][0]);
        row(name, gap, "%", "3 %", gap / 3);
        end_row();
    }
}

static void fmt_rows(const struct bench *b)
{
    const char *plan = path_in(b, "large.bay"), *json = path_in(b, "large.json");
    double mb = size_of(plan) / 1e6;
    head("fmt of 30 MB");
    struct pair fmt = measure(b, WORDS("fmt", plan));
    process_row("fmt", &fmt, mb / fmt.now.cpu, mb / fmt.base.cpu, "MB/s", 80, "80 MB/s", true);
    struct cost wc = measure_other("wc", WORDS(plan));
    process_row("fmt", &fmt, mb / fmt.now.cpu, mb / fmt.base.cpu, "MB/s", mb / wc.cpu,
                "wc(1) of the same file", true);
    if (access(json, R_OK) == 0) { /* tests/bench/run makes it where there is a jq */
        struct cost jq = measure_other("jq", WORDS("empty", json));
        process_row("fmt", &fmt, mb / fmt.now.cpu, mb / fmt.base.cpu, "MB/s",
                    size_of(json) / 1e6 / jq.cpu, "jq empty, of 30 MB of JSON", true);
    }
    process_row("memory of fmt", &fmt, fmt.now.peak / mb / 1e6, fmt.base.peak / mb / 1e6, "B/B", 40,
                "40 bytes for each of the plan", false);
}

static void compare_rows(const struct bench *b, struct cost check)
{
    const char *old = path_in(b, "20000.bay"), *now = path_in(b, "changed.bay");
    head("compare of two plans of 20,000 boxes");
    struct pair p = measure(b, WORDS("compare", old, now));
    process_row("compare", &p, p.now.cpu * 1e3, p.base.cpu * 1e3, "ms", 2e3 * check.cpu,
                "two checks", false);
    process_row("memory of compare", &p, p.now.peak / 1e6, p.base.peak / 1e6, "MB",
                2 * check.peak / 1e6, "two checks", false);
    memory_row("memory of compare", &p, size_of(old) + size_of(now));
}

/* --- in this program ---------------------------------------------------------------------- */

static double processor(void)
{
    struct rusage used;
    getrusage(RUSAGE_SELF, &used);
    return seconds_of(used.ru_utime) + seconds_of(used.ru_stime);
}

/* Something that is done again and again, with fresh memory each time where it takes any. */
typedef void work_fn(void *with);

/* Processor seconds, the median of five after one that warms up; what takes more than a second is
 * done once. */
static double seconds_for(work_fn *work, void *with)
{
    double took[RUNS], start = processor();
    work(with);
    double first = processor() - start;
    if (first > 1)
        return first;
    for (int i = 0; i < RUNS; i++) {
        start = processor();
        work(with);
        took[i] = processor() - start;
    }
    return median(took, RUNS);
}

struct reading {
    struct buf text, copy;
    int stages; /* 1: tokens; 2: the tree too */
};

static void copy_bytes(void *with)
{
    struct reading *r = with;
    r->copy = (struct buf){0};
    buf_add(&r->copy, r->text.at, r->text.n);
    buf_free(&r->copy);
}

static void take(void *count, struct stmt *first)
{
    for (; first; first = first->next)
        ++*(unsigned long *)count;
}

static void read_plan_text(void *with)
{
    struct reading *r = with;
    struct arena arena = {0}, scratch = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {.path = "large.bay", .bytes = r->text.at, .size = (uint32_t)r->text.n};
    unsigned long statements = 0;
    if (!lex(&diag, &source))
        fail("the large plan has too many tokens");
    if (r->stages > 1 && (!parse_each(&diag, &scratch, &source, take, &statements) || !statements))
        fail("the large plan has no statements");
    arena_free(&scratch);
    arena_free(&arena);
}

static void reading_rows(const struct bench *b)
{
    struct reading r = {0};
    if (!file_read(&r.text, path_in(b, "large.bay"), 64 << 20))
        fail("there is no large.bay");
    buf_text(&r.text);
    double mb = (double)r.text.n / 1e6, copied = mb / seconds_for(copy_bytes, &r);
    head("reading 30 MB, in one process");
    for (r.stages = 1; r.stages <= 2; r.stages++) {
        static const char *const names[] = {"", "lex", "lex, layout, parse"};
        static const double aims[] = {
            0, 614, 80}; /* of 614: what a scanner of re2c's does that keeps nothing */
        double speed = mb / seconds_for(read_plan_text, &r);
        char against[40];
        snprintf(against, sizeof against, "%g MB/s", aims[r.stages]);
        row(names[r.stages], speed, "MB/s", against, aims[r.stages] / speed);
        end_row();
        snprintf(against, sizeof against, "a copy of the bytes, %.0f MB/s", copied);
        row(names[r.stages], speed, "MB/s", against, copied / speed);
        end_row();
    }
    buf_free(&r.text);
}

/* --- cuts and proof ----------------------------------------------------------------------- */

enum { ORLIB_PIECES = 120 };

struct instance {
    struct pack_stock stock;
    struct pack_piece pieces[ORLIB_PIECES];
    uint32_t coils;
};

static void pack_instance(void *with)
{
    struct instance *in = with;
    struct arena arena = {0};
    struct pack_result result;
    if (!pack_plan(&arena, &in->stock, 1, in->pieces, ORLIB_PIECES, PACK_STEPS, &result))
        fail("an instance is refused");
    in->coils = result.bought_coils;
    arena_free(&arena);
}

static bool read_instance(FILE *file, struct instance *in, int *best)
{
    int capacity, pieces;
    if (fscanf(file, "%*s %d %d %d", &capacity, &pieces, best) != 3 || pieces != ORLIB_PIECES)
        return false;
    in->stock = (struct pack_stock){.length = capacity, .price = -1, .buy = true, .name = "a coil"};
    for (int i = 0, size; i < pieces; i++) {
        if (fscanf(file, "%d", &size) != 1)
            return false;
        in->pieces[i] = (struct pack_piece){.length = size, .id = (uint32_t)i};
    }
    return true;
}

static void cut_rows(void)
{
    FILE *file = fopen("tests/data/orlib/binpack1.txt", "r");
    int count, best, coils = 0, known = 0;
    double took[64], worst = 0;
    struct instance in;
    if (!file || fscanf(file, "%d", &count) != 1 || count > 64)
        fail("tests/data/orlib/binpack1.txt");
    for (int i = 0; i < count; i++) {
        if (!read_instance(file, &in, &best))
            fail("tests/data/orlib/binpack1.txt");
        took[i] = seconds_for(pack_instance, &in);
        worst = took[i] > worst ? took[i] : worst;
        coils += (int)in.coils;
        known += best;
    }
    fclose(file);
    head("cuts, instances u120 of the OR-Library");
    row("the median of them", median(took, count) * 1e3, "ms", "2000 ms", median(took, count) / 2);
    end_row();
    row("the worst of them", worst * 1e3, "ms", "2000 ms", worst / 2);
    end_row();
    char against[40];
    snprintf(against, sizeof against, "%d, the best known of 1996", known);
    row("coils of all", coils, "coils", against, (double)coils / known);
    end_row();
}

static void compile_plan(struct compilation *c, const char *path)
{
    compile(c, path, (struct compile_options){0});
    if (!c->model || !c->cuts)
        fail(path);
}

static void prove_plan(void *with)
{
    struct compilation *c = with;
    if (!prove(&c->arena, c->model, c->makeup)->holds)
        fail("a proof failed");
}

static void proof_rows(const struct bench *b)
{
    struct compilation c = {0};
    compile_plan(&c, path_in(b, "switches.bay"));
    double took = seconds_for(prove_plan, &c);
    struct verdict *v = prove(&c.arena, c.model, c.makeup);
    head("proof");
    row("a leg of 16 switches", took * 1e3, "ms", "1000 ms", took);
    printf("   %llu positions", (unsigned long long)v->positions);
    end_row();
    compile_free(&c);
}

/* --- reports and drawings ----------------------------------------------------------------- */

struct emitting {
    struct results results;
    const struct report_def *report;
    const struct dot_def *dot;
    const struct sheet_kind *kind;
    struct compilation *c;
    double bytes;
};

static void emit(void *with)
{
    struct emitting *e = with;
    struct buf out = {0};
    if (e->report)
        report_write(e->report, &e->results, REPORT_TEXT, &out);
    else if (e->dot)
        e->dot->write(&e->results, &out);
    else {
        const struct paper *p = sheets_make(&e->results, PAPER_BY_USE, false, &e->kind, 1);
        for (uint32_t i = 0; i < p->sheets.n; i++)
            svg_write(p->sheets.at[i], (struct svg_use){.alone = true}, &out);
    }
    e->bytes = (double)out.n;
    buf_free(&out);
}

static void growth_row(const char *name, double small, double large, double bytes)
{
    row(name, large * 1e3, "ms", "13 times that of 2,000", large / small / 13);
    printf("   2,000: %.1f ms, exponent %.2f", small * 1e3, log10(large / small));
    if (bytes > 0)
        printf(", %.1f MB", bytes / 1e6);
    end_row();
}

static void emit_rows(const struct bench *b)
{
    static const char *const plans[] = {"2000.bay", "20000.bay"};
    struct compilation c[2] = {0};
    struct emitting e[2] = {0};
    for (int i = 0; i < 2; i++) {
        compile_plan(&c[i], path_in(b, plans[i]));
        if (!cmd_results(&c[i], &e[i].results))
            fail("a proof failed");
    }
    head("reports, drawings, proof: 20,000 boxes");
    for (uint32_t k = 0; k < report_count + dot_count + sheet_kind_count; k++) {
        double took[2];
        char name[60];
        for (int i = 0; i < 2; i++) {
            e[i].report = k < report_count ? &report_table[k] : NULL;
            e[i].dot = k >= report_count && k < report_count + dot_count
                           ? &dot_table[k - report_count]
                           : NULL;
            e[i].kind =
                k >= report_count + dot_count ? &sheet_kinds[k - report_count - dot_count] : NULL;
            took[i] = seconds_for(emit, &e[i]);
        }
        snprintf(name, sizeof name, "%s %s",
                 e[0].report ? "report"
                 : e[0].dot  ? "dot"
                             : "draw",
                 e[0].report ? e[0].report->name
                 : e[0].dot  ? e[0].dot->name
                             : e[0].kind->name);
        growth_row(name, took[0], took[1], e[1].bytes);
    }
    growth_row("prove", seconds_for(prove_plan, &c[0]), seconds_for(prove_plan, &c[1]), 0);
    compile_free(&c[0]);
    compile_free(&c[1]);
}

/* --- the language server ------------------------------------------------------------------ */

enum { KEYS = 200 };

/* Seconds from keys to what is told of them. */
struct keys {
    double first[KEYS], all[KEYS];
};

static void send(struct server *s, struct buf *json)
{
    struct buf head = {0};
    buf_printf(&head, "Content-Length: %zu\r\n\r\n", json->n);
    server_take(s, head.at, head.n);
    server_take(s, json->at, json->n);
    buf_free(&head);
    json->n = 0;
}

static void open_plan(struct server *s, const struct buf *text)
{
    struct buf b = {0};
    server_begin(s, NULL, "0", NULL);
    buf_puts(&b, "{\"id\": 0, \"method\": \"initialize\", \"params\": {}}");
    send(s, &b);
    struct json j = json_begin(&b);
    json_begin_object(&j, JSON_ROW);
    json_string_member(&j, "method", "textDocument/didOpen");
    json_key(&j, "params");
    json_begin_object(&j, JSON_ROW);
    json_key(&j, "textDocument");
    json_begin_object(&j, JSON_ROW);
    json_string_member(&j, "uri", "file:///bench/plan.bay");
    json_string_member(&j, "text", text->at);
    while (j.depth)
        json_end(&j);
    send(s, &b);
    while (server_step(s, true))
        continue;
    buf_free(&b);
}

/* A place of the text as lines and letters are counted, and what is typed over so many letters. */
struct key_press {
    unsigned line, at, gone;
    char typed[2];
};

/* A letter before a line somewhere, which spoils it; the next time the same is taken away. */
static struct key_press spoiling_key(int i, const struct buf *text)
{
    (void)text;
    bool gone = i & 1;
    return (struct key_press){9 + (unsigned)(i / 2) * 7 % 1000, 0, gone, {gone ? 0 : 'x'}};
}

/* Another digit in the place of one somewhere, so that a thing moves, grows, or has another number;
 * the next time the one that was there. */
static struct key_press figure_key(int i, const struct buf *text)
{
    uint64_t random = (uint64_t)(i / 2);
    for (;;) {
        size_t at = pick(&random, (unsigned)text->n);
        char was = text->at[at], other = (char)('1' + pick(&random, 9));
        if (was < '1' || was > '9' || other == was)
            continue;
        struct key_press key = {.gone = 1, .typed = {i & 1 ? was : other}};
        size_t start = at;
        while (start && text->at[start - 1] != '\n')
            start--;
        for (size_t k = 0; k < start; k++)
            key.line += text->at[k] == '\n';
        key.at = (unsigned)(at - start);
        return key;
    }
}

typedef struct key_press key_fn(int i, const struct buf *text);

/* A key; the one that spoils a word is told of first when the text is read. */
static void press(struct server *s, struct key_press key, int i, struct keys *keys)
{
    struct buf b = {0};
    buf_printf(&b,
               "{\"method\": \"textDocument/didChange\", \"params\": {\"textDocument\": "
               "{\"uri\": \"file:///bench/plan.bay\"}, \"contentChanges\": [{\"range\": "
               "{\"start\": {\"line\": %u, \"character\": %u}, \"end\": {\"line\": %u, "
               "\"character\": %u}}, \"text\": \"%s\"}]}}",
               key.line, key.at, key.line, key.at + key.gone, key.typed);
    s->out.n = 0;
    double start = processor();
    send(s, &b);
    keys->first[i] = 0;
    while (server_step(s, true))
        if (s->out.n && !keys->first[i])
            keys->first[i] = processor() - start;
    keys->all[i] = processor() - start;
    buf_free(&b);
}

static double of_all(double *figures, int percent)
{
    qsort(figures, KEYS, sizeof *figures, by_size);
    return figures[(KEYS - 1) * percent / 100];
}

static void key_row(const char *name, double took, double cold)
{
    row(name, took * 1e3, "ms", "10 ms", took / 0.010);
    printf("   cold check %.1f ms, ratio %.2f", cold * 1e3, took / cold);
    end_row();
}

static void press_all(const struct buf *text, key_fn *next, struct keys *keys)
{
    struct server s;
    open_plan(&s, text);
    for (int i = 0; i < KEYS; i++)
        press(&s, next(i, text), i, keys);
    server_end(&s);
}

static void compile_cold(void *path)
{
    struct compilation c = {0};
    compile(&c, path, (struct compile_options){.only_findings = true});
    compile_free(&c);
}

/* Held against a check that begins with nothing, the library too. */
static void server_rows_of(const char *what, const char *path)
{
    struct buf text = {0};
    struct keys keys;
    if (!file_read(&text, path, SIZE_MAX))
        fail(path);
    buf_text(&text);
    unsigned lines = 0;
    for (size_t i = 0; i < text.n; i++)
        lines += text.at[i] == '\n';
    char title[60];
    snprintf(title, sizeof title, "language server: %u lines, %s", lines, what);
    head(title);
    double cold = seconds_for(compile_cold, (void *)path);
    press_all(&text, spoiling_key, &keys);
    key_row("a slip: what is wrong with the text, median", of_all(keys.first, 50), cold);
    key_row("the same, 95 %", of_all(keys.first, 95), cold);
    key_row("a slip: all findings, median", of_all(keys.all, 50), cold);
    key_row("the same, 95 %", of_all(keys.all, 95), cold);
    press_all(&text, figure_key, &keys);
    key_row("a figure: all findings, median", of_all(keys.all, 50), cold);
    key_row("the same, 95 %", of_all(keys.all, 95), cold);
    buf_free(&text);
}

static void server_rows(const struct bench *b)
{
    struct plan_text house = {0};
    char folder[512];
    server_rows_of("rooms", path_in(b, "1046.bay"));
    snprintf(folder, sizeof folder, "%s/house", b->folder);
    plan_make(&house, PLAN_CLEAN, 4, MOST_PLAN_BOXES); /* the longest of the first seeds */
    if (mkdir(folder, 0700) || !plan_write(&house, folder))
        fail("no house could be written");
    server_rows_of("a house", path_in(b, "house/plan.bay"));
    plan_free(&house);
}

int main(int argc, char **argv)
{
    if (argc < 3)
        fail("see tests/bench/run");
    struct bench b = {argv[1], argv[2], argc > 3 && *argv[3] ? argv[3] : NULL};
    printf("ratio: figure against what it is held against, the other way round for speeds: above 1 "
           "is worse. %s\n",
           b.base ? "Whole processes: base is the other binary."
                  : "Seconds are the processor's, user and system.");
    start_rows(&b);
    struct cost check = check_rows(&b);
    house_rows(&b);
    propose_rows(&b);
    fmt_rows(&b);
    compare_rows(&b, check);
    reading_rows(&b);
    cut_rows();
    proof_rows(&b);
    emit_rows(&b);
    server_rows(&b);
    return 0;
}

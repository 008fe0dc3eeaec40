/* Makes plans, compiles each once, asks all properties of it, and makes what fails short. */
#include "base/file.h"
#include "properties.h"

#include "random.h"

#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/time.h>
#include <time.h>
#include <unistd.h>

#define PROPERTY(name, every, says) property_function property_##name;
#include "properties.def"
#undef PROPERTY

const struct property properties[] = {
#define PROPERTY(name, every, says) {#name, says, every, property_##name},
#include "properties.def"
#undef PROPERTY
};
const unsigned property_count = sizeof properties / sizeof *properties;

enum { MOST_SHOWN = 20, SHRINKING_SECONDS = 20, PLAN_SECONDS = 120 };

/* --- a plan that ends the program ------------------------------------------------------------ */

static char last_words[200]; /* what is said if a signal ends it */

static void say_and_end(int signal_number)
{
    ssize_t n = write(2, last_words, strlen(last_words));
    (void)n;
    signal(signal_number, SIG_DFL);
    raise(signal_number);
}

static void expect_signals(void)
{
    static const int ends[] = {SIGSEGV, SIGABRT, SIGBUS, SIGFPE, SIGILL, SIGPROF};
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++)
        signal(ends[i], say_and_end);
}

/* So much processor time from now on, whatever else the machine does; 0: as much as is wanted. */
static void limit_seconds(int seconds)
{
    struct itimerval limit = {.it_value = {.tv_sec = seconds}};
    setitimer(ITIMER_PROF, &limit, NULL);
}

/* --- one plan -------------------------------------------------------------------------------- */

struct asker {
    const struct asking *asking;
    struct asked *asked;
    char folder[64], path[80], scratch[80];
    unsigned shown;
};

static void empty_folder(const char *folder)
{
    DIR *d = opendir(folder);
    for (struct dirent *e; d && (e = readdir(d));) {
        char path[512];
        snprintf(path, sizeof path, "%s/%s", folder, e->d_name);
        if (e->d_name[0] != '.' && unlink(path) != 0) {
            empty_folder(path);
            rmdir(path);
        }
    }
    if (d)
        closedir(d);
}

static bool holds(struct asker *a, const struct property *p, struct compilation *c,
                  const struct plan_text *text, uint64_t seed, struct buf *why)
{
    struct subject s = {.c = c, .text = text, .path = a->path, .scratch = a->scratch, .seed = seed};
    bool held = p->holds(&s, why);
    empty_folder(a->scratch);
    return held;
}

static void compile_plan(struct asker *a, struct compilation *c, const struct plan_text *text)
{
    if (!plan_write(text, a->folder)) {
        perror(a->folder);
        exit(2);
    }
    compile(c, a->path,
            (struct compile_options){.library = plan_library(), .cut_steps = SOME_CUT_STEPS});
}

/* --- making it short -------------------------------------------------------------------------- */

static unsigned lines_in(const struct buf *t)
{
    unsigned n = 0;
    for (size_t i = 0; i < t->n; i++)
        n += t->at[i] == '\n';
    return n;
}

/* The text without some of its lines. */
static struct buf without_lines(const struct buf *t, unsigned first, unsigned count)
{
    struct buf out = {0};
    unsigned line = 0;
    for (size_t i = 0; i < t->n; i++) {
        if (line < first || line >= first + count)
            buf_putc(&out, t->at[i]);
        line += t->at[i] == '\n';
    }
    return out;
}

/* How many lines a statement takes that begins on this one: up to the line that closes its block.
 */
static unsigned lines_of_statement(const struct buf *t, unsigned first)
{
    unsigned line = 0, depth = 0;
    for (size_t i = 0; i < t->n; i++) {
        if (line >= first && t->at[i] == '{')
            depth++;
        if (line >= first && t->at[i] == '}' && depth)
            depth--;
        if (t->at[i] != '\n')
            continue;
        if (line >= first && !depth)
            return line + 1 - first;
        line++;
    }
    return 1;
}

/* A line that closes a block goes with the one that opens it. */
static bool closes_block(const struct buf *t, unsigned line)
{
    size_t i = 0;
    for (; line && i < t->n; i++)
        line -= t->at[i] == '\n';
    while (i < t->n && t->at[i] == ' ')
        i++;
    return i < t->n && t->at[i] == '}';
}

struct shortening {
    struct asker *a;
    const struct property *p;
    uint64_t seed;
    struct plan_text text;
    time_t until;
};

/* Keeps the shorter text where it fails too. */
static bool try_shorter(struct shortening *s, struct buf *part, struct buf shorter)
{
    struct buf was = *part, why = {0};
    struct compilation c;
    *part = shorter;
    compile_plan(s->a, &c, &s->text);
    bool fails = !holds(s->a, s->p, &c, &s->text, s->seed, &why);
    compile_free(&c);
    buf_free(&why);
    if (!fails)
        *part = was;
    buf_free(fails ? &was : &shorter);
    return fails;
}

static bool shorten_once(struct shortening *s, struct buf *part)
{
    bool any = false; /* from the end: what stands later names what stands before it */
    for (unsigned line = lines_in(part); line-- > 0 && time(NULL) < s->until;)
        if (!closes_block(part, line))
            any |= try_shorter(s, part, without_lines(part, line, lines_of_statement(part, line)));
    return any;
}

/* Leaves out what the failure does not need: whole files, statements with their blocks, lines. */
static void shorten(struct asker *a, const struct property *p, const struct plan_text *text,
                    uint64_t seed, struct plan_text *out)
{
    struct shortening s = {.a = a, .p = p, .seed = seed, .until = time(NULL) + SHRINKING_SECONDS};
    buf_add(&s.text.plan, text->plan.at, text->plan.n);
    buf_add(&s.text.include, text->include.at, text->include.n);
    buf_add(&s.text.log, text->log.at, text->log.n);
    if (s.text.log.n)
        try_shorter(&s, &s.text.log, (struct buf){0});
    while (time(NULL) < s.until && shorten_once(&s, &s.text.plan) +
                                       shorten_once(&s, &s.text.include) +
                                       shorten_once(&s, &s.text.log))
        ;
    *out = s.text;
}

static void show_failure(struct asker *a, const struct property *p, const struct plan_text *text,
                         enum plan_sort sort, uint64_t seed, const char *why)
{
    fprintf(stderr,
            "%s: a %s plan, seed %llu: %s\n  to write it: soak_test --print %s %llu FOLDER\n",
            p->name, plan_sort_word(sort), (unsigned long long)seed, why, plan_sort_word(sort),
            (unsigned long long)seed);
    if (a->shown++ >= MOST_SHOWN)
        return;
    limit_seconds(PLAN_SECONDS + SHRINKING_SECONDS);
    struct plan_text few = {0};
    shorten(a, p, text, seed, &few);
    if (a->asking->keep) {
        char folder[512];
        snprintf(folder, sizeof folder, "%s/%s-%s-%llu", a->asking->keep, p->name,
                 plan_sort_word(sort), (unsigned long long)seed);
        mkdir(a->asking->keep, 0777);
        mkdir(folder, 0777);
        if (plan_write(&few, folder))
            fprintf(stderr, "  made short: %s/plan.bay\n", folder);
    } else {
        fprintf(stderr, "made short:\n%s%s%s\n", buf_text(&few.plan),
                few.log.n ? "# its log:\n" : "", buf_text(&few.log));
    }
    plan_free(&few);
}

/* --- many --------------------------------------------------------------------------------------
 */

static void read_part(struct buf *out, const char *folder, const char *name)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    file_read(out, path, 1 << 24);
}

/* A plan as plan_write writes it. */
static void read_plan(struct plan_text *text, const char *folder)
{
    read_part(&text->plan, folder, "plan.bay");
    read_part(&text->include, folder, "more.bay");
    read_part(&text->log, folder, "plan.log");
}

static void ask_of_plan(struct asker *a, uint64_t seed, enum plan_sort sort, unsigned number)
{
    struct plan_text text = {0};
    struct compilation c;
    snprintf(
        last_words, sizeof last_words,
        "a %s plan, seed %llu, ended the program or took more than %d s; to write it: soak_test "
        "--print %s %llu FOLDER\n",
        plan_sort_word(sort), (unsigned long long)seed, (int)PLAN_SECONDS, plan_sort_word(sort),
        (unsigned long long)seed);
    limit_seconds(PLAN_SECONDS);
    if (a->asking->from)
        read_plan(&text, a->asking->from);
    else
        plan_make(&text, sort, seed, a->asking->boxes);
    compile_plan(a, &c, &text);
    bool without = !c.diag.counts[ERROR];
    a->asked->plans++;
    a->asked->without_error += without;
    a->asked->clean += sort == PLAN_CLEAN;
    a->asked->clean_without_error += sort == PLAN_CLEAN && without;
    for (unsigned i = 0; i < property_count; i++) {
        const struct property *p = &properties[i];
        struct buf why = {0};
        if (a->asking->only ? strcmp(a->asking->only, p->name) != 0 : number % p->every != 0)
            continue;
        a->asked->asked[i]++;
        if (!holds(a, p, &c, &text, seed, &why)) {
            a->asked->failed[i]++;
            show_failure(a, p, &text, sort, seed, buf_text(&why));
            plan_write(&text, a->folder); /* which holds what was made short */
        }
        buf_free(&why);
    }
    limit_seconds(0);
    compile_free(&c);
    plan_free(&text);
}

static bool begin_folders(struct asker *a)
{
    snprintf(a->folder, sizeof a->folder, "%s/studbay-plans-XXXXXX",
             access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    if (!mkdtemp(a->folder))
        return false;
    snprintf(a->path, sizeof a->path, "%s/plan.bay", a->folder);
    snprintf(a->scratch, sizeof a->scratch, "%s/scratch", a->folder);
    return mkdir(a->scratch, 0700) == 0;
}

void ask_properties(const struct asking *asking, struct asked *out)
{
    struct asker a = {.asking = asking, .asked = out};
    if (!begin_folders(&a)) {
        perror(a.folder);
        exit(2);
    }
    expect_signals();
    time_t until = time(NULL) + asking->seconds;
    for (unsigned i = 0; asking->plans ? i < asking->plans : time(NULL) < until; i++)
        ask_of_plan(&a, asking->seed + (uint64_t)i * asking->step,
                    asking->sort >= 0 ? (enum plan_sort)asking->sort
                                      : (enum plan_sort)(i % PLAN_SORT_COUNT),
                    i / PLAN_SORT_COUNT);
    empty_folder(a.folder);
    rmdir(a.scratch);
    rmdir(a.folder);
}

#define _GNU_SOURCE
#include "trace.h"

#include "fail.h"

#include <elf.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/ptrace.h>
#include <sys/syscall.h>
#include <sys/time.h>
#include <sys/uio.h>
#include <sys/user.h>
#include <sys/wait.h>
#include <unistd.h>

/* Calls that newer machines no longer have. */
#ifdef SYS_open
#define OLD(name) SYS_##name
#else
#define OLD(name) (-2)
#endif

#define CALLS(...)                                                                                 \
    {                                                                                              \
        __VA_ARGS__, -1                                                                            \
    }

const struct kind call_kinds[CALL_KINDS] = {
#define KIND(name, calls, ...) {#name, calls, {__VA_ARGS__}},
#include "kinds.def"
#undef KIND
};

enum { LIMIT_SECONDS = 20 };

/* --- the calls of a traced program ---------------------------------------------------------- */

#if defined __x86_64__
typedef struct user_regs_struct registers;
#define CALL_NUMBER(r)      (r).orig_rax
#define CALL_RESULT(r)      (r).rax
#define CALL_ARGUMENT(r, n) *((unsigned long long *[]){&(r).rdi, &(r).rsi, &(r).rdx}[n])
#elif defined __aarch64__
typedef struct user_pt_regs registers;
#define CALL_NUMBER(r)      (r).regs[8]
#define CALL_RESULT(r)      (r).regs[0]
#define CALL_ARGUMENT(r, n) (r).regs[n]
#endif

static bool get_registers(pid_t pid, registers *r)
{
    struct iovec all = {r, sizeof *r};
    return ptrace(PTRACE_GETREGSET, pid, NT_PRSTATUS, &all) == 0;
}

static void set_registers(pid_t pid, registers *r)
{
    struct iovec all = {r, sizeof *r};
    ptrace(PTRACE_SETREGSET, pid, NT_PRSTATUS, &all);
}

/* Puts a call that there is none in the place of the one that was asked for. */
static void drop_call(pid_t pid, registers *r)
{
    CALL_NUMBER(*r) = (unsigned long long)-1;
    set_registers(pid, r);
#ifdef __aarch64__
    int none = -1;
    ptrace(PTRACE_SETREGSET, pid, NT_ARM_SYSTEM_CALL, &(struct iovec){&none, sizeof none});
#endif
}

static enum call_kind kind_of(long call)
{
    for (int k = 0; k < CALL_KINDS; k++)
        for (const long *c = call_kinds[k].calls; *c != -1; c++)
            if (*c == call)
                return (enum call_kind)k;
    return CALL_KINDS;
}

/* --- one run -------------------------------------------------------------------------------- */

struct tracing {
    const struct traced_run *run;
    const struct fault *fault;
    struct outcome *o;
    pid_t pid;    /* of the program itself */
    bool began;   /* its own calls are seen */
    bool leaving; /* the call that is under way began: its end comes next */
    int give;     /* the error that this call gives at its end; 0: what it gives by itself */
};

static volatile sig_atomic_t late;

static void too_late(int signal)
{
    (void)signal;
    late = 1;
}

static void begin_child(const struct traced_run *r, const char *shared)
{
    enum { MOST = 16 };
    const char *words[MOST] = {getenv("STUDBAY")}, *library = getenv(FAIL_LIBRARY);
    for (int n = 0; n + 2 < MOST && r->words[n]; n++)
        words[n + 1] = r->words[n];
    int in = open(r->input ? r->input : "/dev/null", O_RDONLY);
    int out = r->out ? open(r->out, O_WRONLY | O_CREAT | O_TRUNC, 0644) : -1;
    int err = r->err ? open(r->err, O_WRONLY | O_CREAT | O_TRUNC, 0644) : -1;
    if (in < 0 || (r->out && out < 0) || (r->err && err < 0) || chdir(r->folder) != 0)
        _exit(99);
    dup2(in, 0);
    out < 0 ? close(1) : dup2(out, 1);
    err < 0 ? close(2) : dup2(err, 2);
    closefrom(3);
    signal(SIGPIPE, SIG_DFL);
    setenv("LD_PRELOAD", library, 1);
    setenv(FAIL_SHARED, shared, 1);
    setenv("SOURCE_DATE_EPOCH", "1773446400", 1);
    setenv("LC_ALL", "C", 1);
    if (ptrace(PTRACE_TRACEME, 0, 0, 0) != 0)
        _exit(98);
    execv(words[0], (char *const *)words);
    _exit(97);
}

/* Whether this call is to fail; `count` has counted it. */
static bool is_meant(const struct tracing *t, unsigned count)
{
    return count == t->fault->at || (t->fault->on && count > t->fault->at);
}

/* A call that begins, of the program itself or of a child before it became another program. */
static void enter(struct tracing *t, pid_t pid, registers *r)
{
    long call = (long)CALL_NUMBER(*r);
    enum call_kind kind = kind_of(call);
    struct outcome *o = t->o;
    t->give = 0;
    if (kind == CALL_KINDS) {
        o->unknown = call;
        return;
    }
    unsigned nth = ++o->calls[kind], of_all = ++o->all;
    if (t->fault->sort == SIGNAL_COMES && is_meant(t, of_all)) {
        o->hit = true;
        o->hit_call = call;
        kill(t->pid, t->fault->error);
        return;
    }
    if (t->fault->sort != CALL_FAILS || t->fault->kind != kind || !is_meant(t, nth))
        return;
    o->hit = true;
    o->hit_call = call;
    if (t->fault->error == CUT_SHORT) {
        if (CALL_ARGUMENT(*r, 2) > 1) {
            CALL_ARGUMENT(*r, 2) = 1;
            set_registers(pid, r);
        }
        return;
    }
    t->give = t->fault->error;
    if (kind != CALL_close) /* what is closed is closed, also where that fails */
        drop_call(pid, r);
}

static void leave(struct tracing *t, pid_t pid, registers *r)
{
    if (t->give) {
        CALL_RESULT(*r) = (unsigned long long)-t->give;
        set_registers(pid, r);
    }
    t->give = 0;
}

/* Whether it waits for what nobody here will do. */
static bool waits_for_ever(const struct tracing *t, registers *r)
{
    long call = (long)CALL_NUMBER(*r);
    int time = (int)CALL_ARGUMENT(*r, 2); /* in ms, or a place where it stands */
    bool for_nothing = !CALL_ARGUMENT(*r, 1), for_ever = time == (call == SYS_ppoll ? 0 : -1);
    return t->run->waits && kind_of(call) == CALL_poll && (for_nothing || for_ever);
}

/* The program stops where a call begins or ends. */
static void at_call(struct tracing *t)
{
    registers r;
    if (!get_registers(t->pid, &r))
        return;
    if (t->leaving) {
        leave(t, t->pid, &r);
    } else if (!t->began) {
        t->began = CALL_NUMBER(r) == SYS_close && (int)CALL_ARGUMENT(r, 0) == FAIL_BEGINS;
    } else if (waits_for_ever(t, &r)) {
        t->o->waited = true;
        kill(t->pid, SIGKILL);
    } else {
        enter(t, t->pid, &r);
    }
    t->leaving = !t->leaving;
}

/* A child that is to become another program: that may fail too. It is let go when it has. */
static void at_child(struct tracing *t, pid_t pid, int stop, bool *ending)
{
    registers r;
    if (stop == (SIGTRAP | 0x80) && get_registers(pid, &r)) {
        if (*ending)
            leave(t, pid, &r);
        else if (CALL_NUMBER(r) == SYS_execve)
            enter(t, pid, &r);
        *ending = !*ending;
    }
}

static int stop_signal(int status)
{
    int s = WSTOPSIG(status);
    return status >> 16 || s == SIGTRAP || s == (SIGTRAP | 0x80) || s == SIGSTOP ? 0 : s;
}

/* Goes with it to its end. */
static void follow(struct tracing *t)
{
    const long options = PTRACE_O_TRACESYSGOOD | PTRACE_O_EXITKILL | PTRACE_O_TRACEFORK |
                         PTRACE_O_TRACEVFORK | PTRACE_O_TRACECLONE | PTRACE_O_TRACEEXEC;
    int status;
    bool child_ending = false;
    if (waitpid(t->pid, &status, 0) < 0 || !WIFSTOPPED(status))
        return;
    ptrace(PTRACE_SETOPTIONS, t->pid, 0, options);
    ptrace(PTRACE_SYSCALL, t->pid, 0, 0);
    for (;;) {
        pid_t pid = waitpid(-1, &status, __WALL);
        if (late && !t->o->hung) {
            t->o->hung = true;
            kill(t->pid, SIGKILL);
        }
        if (pid < 0 && errno == EINTR)
            continue;
        if (pid < 0)
            return;
        if (!WIFSTOPPED(status)) {
            if (pid != t->pid)
                continue;
            t->o->status = WIFEXITED(status) ? WEXITSTATUS(status) : -1;
            t->o->signal = WIFSIGNALED(status) ? WTERMSIG(status) : 0;
            return;
        }
        bool became = pid != t->pid && status >> 8 == (SIGTRAP | (PTRACE_EVENT_EXEC << 8));
        if (pid == t->pid && WSTOPSIG(status) == (SIGTRAP | 0x80))
            at_call(t);
        else if (pid != t->pid)
            at_child(t, pid, WSTOPSIG(status), &child_ending);
        if (became) {
            child_ending = false;
            ptrace(PTRACE_DETACH, pid, 0, 0);
        } else {
            ptrace(PTRACE_SYSCALL, pid, 0, stop_signal(status));
        }
    }
}

/* The file that is shared with the library, made once. */
static struct fail_shared *share(char *path)
{
    static struct fail_shared *at;
    static char kept[64];
    if (!at) {
        strcpy(kept, "/tmp/studbay-fail-XXXXXX");
        int fd = mkstemp(kept);
        if (fd < 0 || ftruncate(fd, sizeof *at) != 0)
            return NULL;
        void *p = mmap(NULL, sizeof *at, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
        close(fd);
        at = p == MAP_FAILED ? NULL : p;
    }
    strcpy(path, kept);
    return at;
}

void trace_end(void)
{
    char path[64];
    if (share(path))
        unlink(path);
}

bool trace_run(const struct traced_run *r, const struct fault *f, struct outcome *o)
{
    char path[64];
    struct fail_shared *shared = share(path);
    struct tracing t = {.run = r, .fault = f, .o = o};
    if (!shared)
        return false;
    *o = (struct outcome){.status = -1, .unknown = -1, .hit_call = -1};
    memset(shared, 0, sizeof *shared);
    shared->fail_at = f->sort == MEMORY_FAILS ? f->at : 0;
    shared->on = f->on;
    late = 0;
    sigaction(SIGALRM, &(struct sigaction){.sa_handler = too_late}, NULL);
    setitimer(ITIMER_REAL, &(struct itimerval){.it_value = {LIMIT_SECONDS, 0}}, NULL);
    t.pid = fork();
    if (!t.pid)
        begin_child(r, path);
    if (t.pid > 0)
        follow(&t);
    setitimer(ITIMER_REAL, &(struct itimerval){0}, NULL);
    o->allocations = shared->allocations;
    o->hit |= shared->hit;
    return t.pid > 0 && t.began;
}

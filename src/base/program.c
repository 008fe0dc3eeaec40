/* What goes in lies on a socket, what comes back on a pipe, both at once, so that neither side
 * waits for the other. */
#define _GNU_SOURCE
#include "base/program.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <spawn.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

extern char **environ;

enum { IN_OURS, IN_THEIRS, OUT_OURS, OUT_THEIRS, ENDS };

static void close_end(int *fd)
{
    if (*fd >= 0)
        close(*fd);
    *fd = -1;
}

static void close_all(int *fd)
{
    for (int i = 0; i < ENDS; i++)
        close_end(&fd[i]);
}

/* A socket for its input, since a write to one that is closed gives an error and no signal; a pipe
 * for its output. */
static bool open_ends(int *fd)
{
    int in[2], out[2];
    for (int i = 0; i < ENDS; i++)
        fd[i] = -1;
    if (socketpair(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0, in))
        return false;
    fd[IN_OURS] = in[0];
    fd[IN_THEIRS] = in[1];
    if (pipe2(out, O_CLOEXEC)) {
        close_all(fd);
        return false;
    }
    fd[OUT_OURS] = out[0];
    fd[OUT_THEIRS] = out[1];
    fcntl(fd[IN_OURS], F_SETFL, O_NONBLOCK);
    return true;
}

/* Starts it; 0 or an error number. */
static int start(const int *fd, char *const *words, pid_t *pid)
{
    posix_spawn_file_actions_t actions;
    int error = posix_spawn_file_actions_init(&actions);
    if (error)
        return error;
    error = posix_spawn_file_actions_adddup2(&actions, fd[IN_THEIRS], 0);
    if (!error)
        error = posix_spawn_file_actions_adddup2(&actions, fd[OUT_THEIRS], 1);
    if (!error)
        error = posix_spawnp(pid, words[0], &actions, NULL, words, environ);
    posix_spawn_file_actions_destroy(&actions);
    return error;
}

enum step { GOES_ON, AT_END, FAILED };

/* Sends what the socket takes; closes it when all is sent or the other side wants no more. */
static enum step send_some(int *fd, const struct buf *in, size_t *sent)
{
    ssize_t n = send(fd[IN_OURS], in->at + *sent, in->n - *sent, MSG_NOSIGNAL);
    if (n > 0)
        *sent += (size_t)n;
    bool gone = n < 0 && (errno == EPIPE || errno == ECONNRESET);
    if (*sent == in->n || gone)
        close_end(&fd[IN_OURS]);
    bool later = n < 0 && (errno == EAGAIN || errno == EWOULDBLOCK || errno == EINTR);
    return n >= 0 || gone || later ? GOES_ON : FAILED;
}

static enum step read_some(int *fd, struct buf *out)
{
    char bytes[4096];
    ssize_t n = read(fd[OUT_OURS], bytes, sizeof bytes);
    if (n > 0)
        buf_add(out, bytes, (size_t)n);
    return n > 0 || (n < 0 && errno == EINTR) ? GOES_ON : n ? FAILED : AT_END;
}

static int64_t now_ms(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

enum outcome { FINISHED, TOO_LONG, TOO_LARGE, BROKEN };

/* BROKEN: with errno set. */
static enum outcome exchange(int *fd, const struct buf *in, struct buf *out,
                             struct program_limits limits)
{
    size_t sent = 0, before = out->n;
    int64_t end = now_ms() + (int64_t)limits.seconds * 1000;
    for (enum step step = GOES_ON; step == GOES_ON;) {
        struct pollfd polls[2] = {{.fd = fd[OUT_OURS], .events = POLLIN},
                                  {.fd = fd[IN_OURS], .events = POLLOUT}};
        int64_t left = end - now_ms();
        if (left <= 0)
            return TOO_LONG;
        if (poll(polls, 2, (int)left) < 0) {
            if (errno != EINTR)
                return BROKEN;
            continue;
        }
        if (fd[IN_OURS] >= 0 && polls[1].revents)
            step = send_some(fd, in, &sent);
        if (step == GOES_ON && polls[0].revents)
            step = read_some(fd, out);
        if (step == FAILED)
            return BROKEN;
        if (out->n - before > limits.bytes)
            return TOO_LARGE;
    }
    return FINISHED;
}

/* Waits for the end of what has closed its output; what then still sleeps is ended when its time is
 * up. */
static pid_t wait_for(pid_t pid, int *status, enum outcome *how, unsigned seconds)
{
    enum { STEP_MS = 20 };
    int64_t end = now_ms() + (int64_t)seconds * 1000;
    pid_t ended = 0;
    while (*how == FINISHED && !ended) {
        ended = waitpid(pid, status, WNOHANG);
        if (!ended && now_ms() > end)
            *how = TOO_LONG;
        else if (!ended)
            poll(NULL, 0, STEP_MS);
    }
    if (*how != FINISHED)
        kill(pid, SIGKILL);
    while (ended == 0 || (ended < 0 && errno == EINTR))
        ended = waitpid(pid, status, 0);
    return ended;
}

/* Why there is nothing, or NULL. */
static const char *why_none(struct arena *arena, int status, const struct program *p)
{
    if (WIFSIGNALED(status))
        return arena_printf(arena, "%s was stopped by signal %d", p->words[0], WTERMSIG(status));
    if (WEXITSTATUS(status) == 127)
        return arena_printf(arena, "%s, which cannot be run here; %s", p->needs, p->instead);
    if (WEXITSTATUS(status))
        return arena_printf(arena, "%s failed with exit status %d", p->words[0],
                            WEXITSTATUS(status));
    return NULL;
}

const char *program_run(struct arena *arena, const struct program *p, const struct buf *in,
                        struct buf *out)
{
    int fd[ENDS];
    const char *name = p->words[0];
    size_t before = out->n;
    if (!open_ends(fd))
        return arena_printf(arena, "cannot talk to %s: %s", name, strerror(errno));
    pid_t pid;
    int error = start(fd, p->words, &pid);
    close_end(&fd[IN_THEIRS]);
    close_end(&fd[OUT_THEIRS]);
    if (error) {
        close_all(fd);
        if (error == ENOENT)
            return arena_printf(arena, "%s, which is not installed here; %s", p->needs, p->instead);
        return arena_printf(arena, "cannot run %s: %s", name, strerror(error));
    }
    enum outcome how = exchange(fd, in, out, p->limits);
    int why_broken = errno;
    close_all(fd);
    int status;
    if (wait_for(pid, &status, &how, p->limits.seconds) < 0)
        return arena_printf(arena, "cannot wait for %s: %s", name, strerror(errno));
    if (how == BROKEN)
        return arena_printf(arena, "cannot talk to %s: %s", name, strerror(why_broken));
    if (how == TOO_LONG)
        return arena_printf(arena, "%s took longer than %u seconds and was ended", name,
                            p->limits.seconds);
    if (how == TOO_LARGE)
        return arena_printf(arena, "%s wrote more than %zu bytes and was ended", name,
                            p->limits.bytes);
    const char *why = why_none(arena, status, p);
    return why || out->n > before ? why : arena_printf(arena, "%s wrote nothing", name);
}

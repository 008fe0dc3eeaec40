#include "lsp/loop.h"

#include "lsp/server.h"

#include <errno.h>
#include <limits.h>
#include <poll.h>
#include <signal.h>
#include <unistd.h>

enum waited { CAME, NOTHING_CAME, CLOSED };

/* Reads what is there, of a pipe that poll() found ready. */
static enum waited read_ready(struct server *s, int in)
{
    char bytes[64 << 10];
    ssize_t n = read(in, bytes, sizeof bytes);
    if (n < 0 && (errno == EINTR || errno == EAGAIN || errno == EWOULDBLOCK))
        return NOTHING_CAME;
    if (n <= 0)
        return CLOSED;
    server_take(s, bytes, (size_t)n);
    return CAME;
}

/* The same; `wait`: until something is there. */
static enum waited read_in(struct server *s, int in, bool wait)
{
    static const int until_it_comes = -1;
    struct pollfd at = {.fd = in, .events = POLLIN};
    int ready = poll(&at, 1, wait ? until_it_comes : 0);
    if (ready <= 0)
        return ready == 0 || errno == EINTR ? NOTHING_CAME : CLOSED;
    return read_ready(s, in);
}

/* Writes as much as goes without waiting. False where nobody reads any more. */
static bool write_some(struct server *s, int out, size_t *at)
{
    size_t left = s->out.n - *at;
    ssize_t n = write(out, s->out.at + *at, left < PIPE_BUF ? left : PIPE_BUF);
    if (n < 0)
        return errno == EINTR || errno == EAGAIN || errno == EWOULDBLOCK;
    *at += (size_t)n;
    return true;
}

/* Writes what is to be told; false where nobody reads any more. An editor that reads nothing before
 * all of its own is written is read meanwhile: else both would wait for each other. */
static bool write_out(struct server *s, int in, int out)
{
    enum { KEPT = 1 << 20 };
    bool reads = true;
    for (size_t at = 0; at < s->out.n;) {
        struct pollfd both[] = {{.fd = out, .events = POLLOUT},
                                {.fd = reads ? in : -1, .events = POLLIN}};
        if (poll(both, 2, -1) < 0 && errno != EINTR)
            return false;
        if (both[0].revents && !write_some(s, out, &at))
            return false;
        if (!both[0].revents && both[1].revents)
            reads = read_ready(s, in) != CLOSED;
    }
    s->out.n = 0;
    if (s->out.cap > KEPT)
        buf_free(&s->out);
    return true;
}

/* One turn: all that has come is read, then one message is answered or one plan compiled. False at
 * the end. */
static bool turn(struct server *s, int in, int out)
{
    enum { MOST_READS = 256 }; /* who never stops writing is answered too */
    enum waited came = CAME;
    for (int i = 0; i < MOST_READS && came == CAME; i++)
        came = read_in(s, in, false);
    bool busy = server_step(s, true);
    if (!write_out(s, in, out) || s->state == STATE_ENDED)
        return false;
    if (busy)
        return true;
    return came != CLOSED && read_in(s, in, true) != CLOSED;
}

int loop_run(struct server *s, int in, int out)
{
    signal(SIGPIPE, SIG_IGN); /* a pipe that is closed is told by write() */
    s->status = 1;
    while (turn(s, in, out))
        continue;
    return s->state == STATE_ENDED ? s->status : 1;
}

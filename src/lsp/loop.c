#include "lsp/loop.h"

#include "lsp/server.h"

#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <unistd.h>

/* Writes what is to be told; false where nobody reads any more. */
static bool write_out(struct server *s, int out)
{
    enum { KEPT = 1 << 20 };
    for (size_t at = 0; at < s->out.n;) {
        ssize_t n = write(out, s->out.at + at, s->out.n - at);
        if (n < 0 && (errno == EAGAIN || errno == EWOULDBLOCK))
            poll(&(struct pollfd){.fd = out, .events = POLLOUT}, 1, -1);
        else if (n < 0 && errno != EINTR)
            return false;
        at += n > 0 ? (size_t)n : 0;
    }
    s->out.n = 0;
    if (s->out.cap > KEPT)
        buf_free(&s->out);
    return true;
}

enum waited { CAME, NOTHING_CAME, CLOSED };

/* Reads what is there; `wait`: until something is. */
static enum waited read_in(struct server *s, int in, bool wait)
{
    static const int until_it_comes = -1;
    struct pollfd at = {.fd = in, .events = POLLIN};
    char bytes[64 << 10];
    int ready = poll(&at, 1, wait ? until_it_comes : 0);
    if (ready <= 0)
        return ready == 0 || errno == EINTR ? NOTHING_CAME : CLOSED;
    ssize_t n = read(in, bytes, sizeof bytes);
    if (n < 0 && (errno == EINTR || errno == EAGAIN || errno == EWOULDBLOCK))
        return NOTHING_CAME;
    if (n <= 0)
        return CLOSED;
    server_take(s, bytes, (size_t)n);
    return CAME;
}

/* One turn: all that has come is read, then one message is answered or one plan compiled. False at
 * the end. */
static bool turn(struct server *s, int in, int out)
{
    enum waited came;
    while ((came = read_in(s, in, false)) == CAME)
        continue;
    bool busy = server_step(s, true);
    if (!write_out(s, out) || s->state == STATE_ENDED)
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

/* Messages out of a stream of bytes (LSP 3.17, "Base Protocol"): a head of lines, each ended by
 * \r\n, one of them "Content-Length: N"; an empty line; then N bytes. */
#ifndef STUDBAY_LSP_STREAM_H
#define STUDBAY_LSP_STREAM_H

#include "base/buf.h"

#include <stdint.h>

/* What is longer is no message of an editor: it is passed over. */
enum { LONGEST_HEAD = 4 << 10, LARGEST_MESSAGE = 256 << 20 };

struct stream {
    struct buf in; /* what came and was not taken yet */
    size_t read;   /* of it, the bytes that were */
    uint64_t skip; /* bytes still to come of a message that is too large */
    bool lost;     /* what came was no head: it is passed over up to the next one */
};

enum framed {
    FRAMED_NOTHING, /* it is not whole yet */
    FRAMED_MESSAGE,
    FRAMED_BAD_HEAD,  /* no head with a length; the next one is looked for */
    FRAMED_TOO_LARGE, /* its bytes are passed over */
};

void stream_add(struct stream *s, const char *bytes, size_t n);

/* The next message; its bytes stay until the next call. */
enum framed stream_next(struct stream *s, const char **message, size_t *size);

void stream_free(struct stream *s);

#endif

/* The server on two pipes. */
#ifndef STUDBAY_LSP_LOOP_H
#define STUDBAY_LSP_LOOP_H

struct server;

/* Reads from `in` and writes to `out` until the session ends, or one of them is closed. Gives the
 * exit status: 0 after shutdown and exit, else 1. Nothing waits for what may never come: all that
 * has come is read before a plan is compiled, and no more is compiled than the last text. */
int loop_run(struct server *s, int in, int out);

#endif

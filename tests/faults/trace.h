/* For tests: one run of studbay in which one call to the system, or one allocation, fails. The
 * program is traced, so that what its libraries ask of the system is seen as well. */
#ifndef STUDBAY_TESTS_TRACE_H
#define STUDBAY_TESTS_TRACE_H

#include "base/buf.h"

#include <stdbool.h>

enum call_kind {
#define KIND(name, calls, ...) CALL_##name,
#include "kinds.def"
#undef KIND
    CALL_KINDS
};

/* Instead of an errno: a read or write goes on with one byte alone. */
enum { CUT_SHORT = -1 };

struct kind {
    const char *name;
    long calls[24]; /* those of the system, -1 ends them */
    int errors[8];  /* 0 ends them */
};
extern const struct kind call_kinds[CALL_KINDS];

/* What goes wrong in a run. */
struct fault {
    enum { NOTHING, CALL_FAILS, MEMORY_FAILS, SIGNAL_COMES } sort;
    enum call_kind kind; /* of the call that fails */
    unsigned at;         /* the n-th of its kind, of the allocations, or of all calls; from 1 */
    int error;           /* errno or CUT_SHORT; the signal */
    bool on;             /* all behind it fail too */
};

struct traced_run {
    const char *const *words; /* behind the name of the program; NULL ends them */
    const char *folder;       /* where it runs */
    const char *input;        /* a file for standard input; NULL: nothing comes */
    const char *out, *err;    /* files for what it writes; NULL: that is closed */
    bool waits;               /* it has done its work when it waits for something without end */
};

struct outcome {
    int status; /* -1: a signal ended it */
    int signal;
    bool hung, waited; /* it did not end; it came to wait */
    bool hit;          /* what was to fail failed */
    unsigned calls[CALL_KINDS], all, allocations;
    long unknown;  /* a call of no kind, -1: none */
    long hit_call; /* the call that failed */
};

/* Runs it, with the library that the variable FAIL_LIBRARY names; false where programs cannot be
 * traced here. */
bool trace_run(const struct traced_run *r, const struct fault *f, struct outcome *o);

/* Removes what the runs shared. */
void trace_end(void);

#endif

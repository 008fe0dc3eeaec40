/* For tests: a plan given as a text, compiled with the library that is built in. */
#ifndef STUDBAY_TESTS_COMPILED_H
#define STUDBAY_TESTS_COMPILED_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "compile.h"
#include "diag/render.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "plans.h"
#include "rule_of.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* Writes a text into a new file; `path` ends in six letters that it is named by. */
static inline void write_temporary(char *path, const char *text)
{
    memset(strchr(path, 0) - 6, 0x58, 6);
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    struct buf b = {0};
    buf_puts(&b, text);
    assert_int_equal(write(fd, b.at, b.n), (ssize_t)b.n);
    close(fd);
    buf_free(&b);
}

/* Compiles the text with a site log, NULL: without one; give it back with compile_free. */
static inline void compile_with_log(struct compilation *c, const char *text, const char *log)
{
    static char path[] = "/tmp/studbay-plan-XXXXXX",
                log_path[] = "/tmp/studbay-log-XXXXXX"; /* findings go on naming them */
    write_temporary(path, text);
    if (log)
        write_temporary(log_path, log);
    compile(c, path,
            (struct compile_options){.library = plan_library(),
                                     .cut_steps = SOME_CUT_STEPS,
                                     .log = log ? log_path : NULL});
    unlink(path);
    if (log)
        unlink(log_path);
    assert_false(c->io_failed);
}

static inline void compile_text(struct compilation *c, const char *text)
{
    compile_with_log(c, text, NULL);
}

static inline void show_compiled(struct compilation *c)
{
    struct buf out = {0};
    diag_text(&c->diag, &out, (struct diag_style){0});
    fputs(buf_text(&out), stderr);
    buf_free(&out);
}

/* Compiles a text that must give nothing worse than a warning. */
static inline void compile_sound(struct compilation *c, const char *text)
{
    compile_text(c, text);
    if (c->diag.counts[ERROR])
        show_compiled(c);
    assert_int_equal(c->diag.counts[ERROR], 0);
    assert_non_null(c->model);
}

/* The n-th finding of a rule (from 0), or NULL. */
static inline const struct finding *finding_of(const struct compilation *c, const char *rule,
                                               unsigned n)
{
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (finding_is(&c->diag.findings.at[i], rule) && n-- == 0)
            return &c->diag.findings.at[i];
    return NULL;
}

static inline unsigned findings_of(const struct compilation *c, const char *rule)
{
    unsigned n = 0;
    while (finding_of(c, rule, n))
        n++;
    return n;
}

/* How many errors of the rule a text gives, whose every line can be read. */
static inline unsigned errors_in(const char *text, const char *rule)
{
    struct compilation c;
    compile_text(&c, text);
    assert_null(finding_of(&c, "syntax", 0));
    unsigned n = 0;
    for (uint32_t i = 0; i < c.diag.findings.n; i++)
        n += c.diag.findings.at[i].severity == ERROR && finding_is(&c.diag.findings.at[i], rule);
    compile_free(&c);
    return n;
}

/* Fails unless the text gives exactly one finding of the rule, with `part` in its message, and no
 * other error. */
static inline const struct finding *compile_fault(struct compilation *c, const char *text,
                                                  const char *rule, const char *part)
{
    compile_text(c, text);
    const struct finding *f = finding_of(c, rule, 0);
    unsigned others =
        c->diag.counts[ERROR] - (rule_of(rule)->severity == ERROR ? findings_of(c, rule) : 0);
    if (findings_of(c, rule) != 1 || others || !strstr(f->message, part)) {
        fprintf(stderr, "wanted one %s finding with \"%s\" in it\n", rule, part);
        show_compiled(c);
    }
    assert_int_equal(findings_of(c, rule), 1);
    assert_int_equal(others, 0);
    assert_non_null(strstr(f->message, part));
    return f;
}

static inline void assert_near(double got, double want, double tolerance)
{
    if (!(fabs(got - want) <= tolerance))
        fprintf(stderr, "got %.6f, wanted %.6f within %g\n", got, want, tolerance);
    assert_true(fabs(got - want) <= tolerance);
}

#endif

/* For tests: a plan given as a text, read as the compiler reads it (lex, layout, parse, match),
 * with its findings. */
#ifndef STUDBAY_TESTS_READING_H
#define STUDBAY_TESTS_READING_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/names.h"
#include "diag/diag.h"
#include "diag/render.h"
#include "resolve/language.h"
#include "resolve/match.h"
#include "rule_of.h"
#include "syntax/lexer.h"
#include "syntax/tree.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct reading {
    struct arena arena;
    struct names names;
    struct diag diag;
    const struct language *language;
    struct source source;
    struct tree tree;
    struct node *file;
};

/* Reads the bytes; the findings are in order. Not to be copied or moved; give it back with done().
 */
static inline void read_bytes(struct reading *r, const char *bytes, size_t len)
{
    memset(r, 0, sizeof *r);
    r->names.arena = r->diag.arena = &r->arena;
    r->language = language_new(&r->arena, &r->names);
    r->source = (struct source){
        .path = "plan.bay", .bytes = arena_copy(&r->arena, bytes, len), .size = (uint32_t)len};
    lex(&r->diag, &r->source);
    r->tree = parse(&r->diag, &r->arena, &r->source);
    r->file = match_file(&r->diag, &r->names, r->language, &r->tree);
    diag_finish(&r->diag);
}

static inline void read_plan(struct reading *r, const char *text)
{
    read_bytes(r, text, strlen(text));
}

static inline void done(struct reading *r)
{
    arena_free(&r->arena);
}

/* The findings in the GNU form, for a look at a failure. */
static inline void show_findings(struct reading *r)
{
    struct buf out = {0};
    diag_text(&r->diag, &out, (struct diag_style){0});
    fputs(buf_text(&out), stderr);
    buf_free(&out);
}

/* Fails unless reading gave nothing to find. */
static inline void assert_clean(struct reading *r)
{
    if (r->diag.findings.n)
        show_findings(r);
    assert_int_equal(r->diag.findings.n, 0);
}

/* Fails unless there is exactly one finding, of that rule, with `part` in its message or in what
 * would mend it. */
static inline void assert_only(struct reading *r, const char *rule, const char *part)
{
    const struct finding *f = r->diag.findings.at;
    bool fits = r->diag.findings.n == 1 && finding_is(f, rule) &&
                (strstr(f->message, part) || (f->mend && strstr(f->mend, part)));
    if (!fits) {
        fprintf(stderr, "wanted one %s finding with \"%s\" in it; there are %u\n", rule, part,
                r->diag.findings.n);
        show_findings(r);
    }
    assert_true(fits);
}

#endif

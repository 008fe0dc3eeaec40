/* The canonical layout is the same plan: laid out it is laid out the same again, and the same is
 * found in it, by rule and message. */
#include "properties.h"

#include "fmt/fmt.h"
#include "syntax/lexer.h"
#include "syntax/tree.h"

#include <stdio.h>
#include <string.h>

property_function property_layout;

/* Lays a text out; false where it has faults of form, which the layout leaves alone. */
static bool lay_out(const struct buf *text, struct buf *out)
{
    struct arena arena = {0}, scratch = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {.path = "plan.bay",
                            .bytes = arena_copy(&arena, text->n ? text->at : "", text->n),
                            .size = (uint32_t)text->n};
    lex(&diag, &source);
    parse(&diag, &arena, &source);
    bool whole = fmt_source(&diag, &scratch, &source, out);
    arena_free(&scratch);
    arena_free(&arena);
    return whole;
}

static bool same_findings(const struct compilation *a, const struct compilation *b, struct buf *why)
{
    uint32_t n = a->diag.findings.n < b->diag.findings.n ? a->diag.findings.n : b->diag.findings.n;
    for (uint32_t i = 0; i < n; i++) {
        const struct finding *f = &a->diag.findings.at[i], *g = &b->diag.findings.at[i];
        if (f->rule == g->rule && !strcmp(f->message, g->message))
            continue;
        buf_printf(why, "%s: '%s' became %s: '%s'", f->rule->name, f->message, g->rule->name,
                   g->message);
        return false;
    }
    if (a->diag.findings.n != b->diag.findings.n)
        buf_printf(why, "%u findings became %u", a->diag.findings.n, b->diag.findings.n);
    return a->diag.findings.n == b->diag.findings.n;
}

bool property_layout(const struct subject *s, struct buf *why)
{
    struct plan_text once = {0};
    struct buf twice = {0};
    struct compilation laid;
    char path[200];
    if (!s->c->model || s->c->diag.counts[ERROR])
        return true;
    bool held = lay_out(&s->text->plan, &once.plan) && lay_out(&s->text->include, &once.include);
    if (!held)
        buf_puts(why, "it cannot be laid out");
    buf_add(&once.log, s->text->log.at, s->text->log.n);
    snprintf(path, sizeof path, "%s/plan.bay", s->scratch);
    plan_write(&once, s->scratch);
    compile(&laid, path, (struct compile_options){.library = plan_library()});
    held = held && same_findings(s->c, &laid, why);
    compile_free(&laid);
    if (held && lay_out(&once.plan, &twice) && strcmp(buf_text(&once.plan), buf_text(&twice))) {
        buf_puts(why, "laid out again it is another text");
        held = false;
    }
    buf_free(&twice);
    plan_free(&once);
    return held;
}

/* Reading the one plan of a report or a drawing. */
#include "cmd/cmd.h"

#include "emit/results.h"
#include "prove/prove.h"

#include <string.h>

/* The errors alone, and the summary: the rest is for `check`. */
static void show_errors(struct compilation *c)
{
    struct diag errors = c->diag;
    errors.findings.at = arena_array(&c->arena, struct finding, c->diag.findings.n);
    errors.findings.n = errors.findings.cap = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (c->diag.findings.at[i].severity == ERROR && !c->diag.findings.at[i].waived)
            errors.findings.at[errors.findings.n++] = c->diag.findings.at[i];
    struct buf out = {0};
    diag_text(&errors, &out, (struct diag_style){.color = error_in_color()});
    diag_summary(&c->diag, &out);
    write_error(&out);
    buf_free(&out);
}

bool read_plan_for_output(struct compilation *c, const struct invocation *inv, const char *path,
                          bool cut_list, int *status)
{
    compile(c, path, (struct compile_options){.stdlib = inv->stdlib, .cut_list = cut_list});
    show_errors(c);
    *status = c->io_failed ? EXIT_USAGE : plan_status(&c->diag, inv->strict);
    return !c->io_failed && c->model && c->routes && c->wiring && c->loads && c->cuts;
}

bool proven(struct compilation *c, int *status)
{
    struct verdict *v = prove(&c->arena, c->model, c->makeup);
    if (v->holds)
        return true;
    struct buf out = {0};
    verdict_print_failures(v, &c->arena, &out);
    buf_puts(&out,
             "This is a defect of studbay, not of the plan; nothing of the make-up is printed.\n");
    write_error(&out);
    buf_free(&out);
    *status = EXIT_PROOF;
    return false;
}

struct results results_of(struct compilation *c)
{
    struct results r = {
        .arena = &c->arena,
        .diag = &c->diag,
        .model = c->model,
        .routes = c->routes,
        .bores = c->bores,
        .wiring = c->wiring,
        .makeup = c->makeup,
        .loads = c->loads,
        .panels = c->panels,
        .cuts = c->cuts,
        .log = c->log,
    };
    results_prepare(&r);
    return r;
}

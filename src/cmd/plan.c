/* Reading the one plan of a report or a drawing. */
#include "cmd/cmd.h"

#include "cuts/cuts.h"
#include "emit/results.h"
#include "prove/prove.h"

#include <string.h>

bool cmd_has_our_defect(const struct compilation *c)
{
    bool errors = false; /* those that are waived too */
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        errors |= c->diag.findings.at[i].severity == ERROR;
    return c->verdict && !c->verdict->holds && !errors;
}

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
    diag_text(&errors, &out, (struct diag_style){.color = cmd_error_in_color()});
    if (!cmd_has_our_defect(c))
        diag_summary(&c->diag, &out);
    cmd_write_error(&out);
    buf_free(&out);
}

bool cmd_open_plan(struct compilation *c, const struct invocation *inv, const char *path,
                   bool cut_list, int *status)
{
    compile(
        c, path,
        (struct compile_options){.stdlib = inv->stdlib, .cut_steps = cut_list ? CUTS_EXACT : 0});
    show_errors(c);
    bool readable = !c->io_failed && cmd_may_replace(c, inv->output);
    *status = readable ? cmd_plan_status(&c->diag, inv->strict) : EXIT_USAGE;
    return readable && c->model && c->routes && c->wiring && c->verdict && c->loads && c->cuts;
}

int cmd_tell_unproven(struct compilation *c)
{
    bool ours = cmd_has_our_defect(c);
    struct buf out = {0};
    prove_verdict_print_failures(c->verdict, &c->arena, &out);
    buf_puts(&out,
             ours
                 ? "This is a defect of studbay, not of the plan; nothing of the work is written.\n"
                 : "The plan has errors that may be why; until they are mended nothing of the work "
                   "is written.\n");
    cmd_write_error(&out);
    buf_free(&out);
    return ours ? EXIT_PROOF : EXIT_PLAN;
}

bool cmd_results(struct compilation *c, struct results *r)
{
    if (!c->verdict->holds)
        return false;
    *r = (struct results){
        .arena = &c->arena,
        .diag = &c->diag,
        .model = c->model,
        .routes = c->routes,
        .bores = c->bores,
        .wiring = c->wiring,
        .makeup = c->makeup,
        .verdict = c->verdict,
        .loads = c->loads,
        .panels = c->panels,
        .cuts = c->cuts,
        .log = c->log,
    };
    results_prepare(r);
    return true;
}

bool cmd_read_results(struct compilation *c, const struct invocation *inv, const char *path,
                      bool cut_list, struct results *r, int *status)
{
    if (!cmd_open_plan(c, inv, path, cut_list, status))
        return false;
    if (cmd_results(c, r))
        return true;
    *status = cmd_tell_unproven(c);
    return false;
}

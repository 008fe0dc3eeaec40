/* Reading the one plan of a command: through the library, or as a compilation for who works on
 * that. */
#include "cmd/cmd.h"

#include "cuts/cuts.h"
#include "emit/results.h"
#include "libstudbay/handle.h"
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
    diag_text(&errors, &out, (struct diag_style){.color = cmd_error_in_color()});
    if (!handle_has_defect(c))
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
    struct buf out = {0};
    handle_tell_unproven(c, &out);
    cmd_write_error(&out);
    buf_free(&out);
    return handle_has_defect(c) ? EXIT_PROOF : EXIT_PLAN;
}

bool cmd_results(struct compilation *c, struct results *r)
{
    return c->verdict->holds && handle_fill_results(c, r);
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

/* --- through the library ------------------------------------------------------------------ */

static int write_to_output(void *to, const char *bytes, size_t size)
{
    struct buf b = {(char *)bytes, size, size};
    return !cmd_write_output(&b, to);
}

static int write_to_errors(void *to, const char *bytes, size_t size)
{
    (void)to;
    struct buf b = {(char *)bytes, size, size};
    cmd_write_error(&b);
    return 0;
}

static int write_to_buf(void *to, const char *bytes, size_t size)
{
    buf_add(to, bytes, size);
    return 0;
}

const struct studbay_writer cmd_output = {write_to_output, NULL},
                            cmd_errors = {write_to_errors, NULL};

struct studbay_writer cmd_to_file(const char *path)
{
    return (struct studbay_writer){write_to_output, (void *)path};
}

struct studbay_writer cmd_to_buf(struct buf *b)
{
    return (struct studbay_writer){write_to_buf, b};
}

bool cmd_done(const struct studbay_plan *plan, enum studbay_status status)
{
    const char *words = studbay_error_words(plan);
    if (status == STUDBAY_NO_MEMORY)
        memory_ended();
    if (status != STUDBAY_DONE && status != STUDBAY_STOPPED)
        cmd_complain("%s", *words ? words : studbay_status_words(status));
    return status == STUDBAY_DONE;
}

bool cmd_open(struct studbay_plan **plan, const struct invocation *inv, const char *path,
              bool cut_list, int *status)
{
    struct studbay_opening how = {.size = sizeof how, .folder = inv->stdlib, .cut_list = cut_list};
    struct studbay_wants errors = {
        .size = sizeof errors, .color = cmd_error_in_color(), .errors = true};
    enum studbay_status opened = studbay_open(path, &how, plan);
    if (!*plan)
        return cmd_done(NULL, opened);
    enum studbay_proof proof = studbay_proof(*plan);
    if (!cmd_done(*plan, studbay_write_findings(plan, 1, &errors, cmd_errors)) ||
        (proof != STUDBAY_PROOF_DEFECT &&
         !cmd_done(*plan, studbay_write_counts(*plan, cmd_errors))))
        return false;
    const struct studbay_counts *counts = studbay_counts(*plan);
    *status = opened != STUDBAY_DONE || !cmd_may_write(*plan, inv->output) ? EXIT_USAGE
              : counts->errors || (inv->strict && counts->warnings)        ? EXIT_PLAN
                                                                           : EXIT_FINE;
    if (*status == EXIT_USAGE || proof == STUDBAY_PROOF_HOLDS || proof == STUDBAY_PROOF_NONE)
        return *status != EXIT_USAGE && proof == STUDBAY_PROOF_HOLDS;
    if (!cmd_done(*plan, studbay_write_unproven(*plan, cmd_errors)))
        return false;
    *status = proof == STUDBAY_PROOF_DEFECT ? EXIT_PROOF : EXIT_PLAN;
    return false;
}

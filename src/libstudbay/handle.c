#include "libstudbay/handle.h"

#include "cuts/cuts.h"
#include "fmt/fit.h"
#include "prove/prove.h"
#include "wiring/makeup.h"

#include <string.h>

const char *studbay_version(void)
{
    return STUDBAY_VERSION;
}

const char *studbay_status_words(enum studbay_status status)
{
    static const char *const words[] = {
        [STUDBAY_DONE] = "done",
        [STUDBAY_NO_MEMORY] = "there is not enough memory",
        [STUDBAY_UNREADABLE] = "a file cannot be read",
        [STUDBAY_NO_SUCH] = "there is nothing of that name",
        [STUDBAY_NOT_PROVEN] = "the make-up is not proven: nothing of the work is written",
        [STUDBAY_NOTHING] = "the plan has nothing that this shows",
        [STUDBAY_NOT_LAID_OUT] = "the text has a fault of form and stays as it is",
        [STUDBAY_NOT_MADE] = "it cannot be made",
        [STUDBAY_STOPPED] = "the writer wanted no more",
        [STUDBAY_MISUSE] = "the library was called wrongly",
    };
    unsigned at = (unsigned)status;
    return at < sizeof words / sizeof *words ? words[at] : "there is no such status";
}

const char *studbay_error_words(const struct studbay_plan *plan)
{
    return plan && plan->error ? plan->error : "";
}

/* --- calls -------------------------------------------------------------------------------- */

struct call {
    struct studbay_plan *plan;
    handle_step *step;
    const void *with;
    struct buf out;
    enum studbay_status status;
};

static void run_step(void *with)
{
    struct call *call = with;
    call->plan->error = "";
    call->status = call->step(call->plan, call->with, &call->out);
}

/* All that the plan had is given back already. */
static void note_end(struct studbay_plan *plan)
{
    struct memory memory = plan->memory;
    struct studbay_sheets *drawn = plan->drawn;
    memset(plan, 0, sizeof *plan);
    plan->memory = memory;
    plan->drawn = drawn;
    plan->ended = true;
}

enum studbay_status handle_call(struct studbay_plan *plan, handle_step *step, const void *with,
                                const struct studbay_writer *writer)
{
    if (!plan || (writer && !writer->write))
        return STUDBAY_MISUSE;
    struct call call = {.plan = plan, .step = step, .with = with};
    if (plan->ended)
        return STUDBAY_NO_MEMORY;
    if (!memory_call(&plan->memory, run_step, &call)) {
        note_end(plan);
        return STUDBAY_NO_MEMORY;
    }
    if (writer && call.status == STUDBAY_DONE &&
        writer->write(writer->to, call.out.n ? call.out.at : "", call.out.n))
        call.status = STUDBAY_STOPPED;
    buf_free(&call.out);
    return call.status;
}

const void *const *handle_get_list(struct studbay_plan *plan, struct handle_list *list,
                                   handle_step *step, size_t *count)
{
    bool made =
        plan && !plan->ended && (list->at || handle_call(plan, step, NULL, NULL) == STUDBAY_DONE);
    if (count)
        *count = made ? list->n : 0;
    return made ? list->at : NULL;
}

bool handle_read_wants(const struct studbay_wants *given, struct studbay_wants *wants)
{
    memset(wants, 0, sizeof *wants);
    if (given)
        memcpy(wants, given, given->size < sizeof *wants ? given->size : sizeof *wants);
    wants->size = sizeof *wants;
    return !given || given->size;
}

enum studbay_status handle_refuse(struct studbay_plan *plan, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    plan->error = arena_vprintf(&plan->c.arena, format, args);
    va_end(args);
    return STUDBAY_NO_SUCH;
}

enum studbay_status handle_refuse_unknown(struct studbay_plan *plan, const char *kind,
                                          const char *name, const char *const *names,
                                          uint32_t count)
{
    const char *nearest = diag_nearest(name, names, count);
    if (nearest)
        return handle_refuse(plan, "there is no %s '%s'; did you mean '%s'?", kind, name, nearest);
    return handle_refuse(plan, "there is no %s '%s'", kind, name);
}

enum studbay_status handle_not_made(struct studbay_plan *plan, const char *why)
{
    plan->error = why;
    return STUDBAY_NOT_MADE;
}

/* --- results ------------------------------------------------------------------------------ */

bool handle_has_defect(const struct compilation *c)
{
    bool errors = false; /* those that are waived too */
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        errors |= c->diag.findings.at[i].severity == ERROR;
    return c->verdict && !c->verdict->holds && !errors;
}

bool handle_fill_results(struct compilation *c, struct results *r)
{
    if (!c->model || !c->routes || !c->wiring || !c->verdict || !c->loads || !c->cuts)
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

struct results *handle_results(struct studbay_plan *plan)
{
    struct results *r = &plan->results;
    return r->arena || handle_fill_results(&plan->c, r) ? r : NULL;
}

/* What was dropped or done in haste, where findings alone were asked for. */
static void complete(struct studbay_plan *plan, struct results *r, bool cuts)
{
    struct compilation *c = &plan->c;
    if (!c->makeup)
        r->makeup = c->makeup = wiring_make_up(&c->arena, c->model, c->wiring);
    if (!cuts || plan->exact)
        return;
    c->model->code.reader = "loads"; /* as where it is compiled */
    r->cuts = c->cuts = cuts_plan(&c->arena, c->model, c->routes, c->wiring, c->log, CUTS_EXACT);
    c->model->code.reader = NULL;
    plan->exact = true;
}

bool handle_proven(struct studbay_plan *plan, bool cuts, struct results **results,
                   enum studbay_status *status)
{
    struct results *r = *results = handle_results(plan);
    *status = !r ? STUDBAY_NOTHING : !plan->c.verdict->holds ? STUDBAY_NOT_PROVEN : STUDBAY_DONE;
    if (*status == STUDBAY_DONE)
        complete(plan, r, cuts);
    return *status == STUDBAY_DONE;
}

void handle_tell_unproven(struct compilation *c, struct buf *out)
{
    prove_verdict_print_failures(c->verdict, &c->arena, out);
    buf_puts(out,
             handle_has_defect(c)
                 ? "This is a defect of studbay, not of the plan; nothing of the work is written.\n"
                 : "The plan has errors that may be why; until they are mended nothing of the work "
                   "is written.\n");
}

static enum studbay_status tell_unproven(struct studbay_plan *plan, const void *with,
                                         struct buf *out)
{
    (void)with;
    if (plan->c.verdict && !plan->c.verdict->holds)
        handle_tell_unproven(&plan->c, out);
    return STUDBAY_DONE;
}

enum studbay_status studbay_write_unproven(struct studbay_plan *plan, struct studbay_writer writer)
{
    return handle_call(plan, tell_unproven, NULL, &writer);
}

enum studbay_proof studbay_proof(const struct studbay_plan *plan)
{
    if (!plan || !plan->c.verdict)
        return STUDBAY_PROOF_NONE;
    return plan->c.verdict->holds        ? STUDBAY_PROOF_HOLDS
           : handle_has_defect(&plan->c) ? STUDBAY_PROOF_DEFECT
                                         : STUDBAY_PROOF_PLAN;
}

void handle_fit_mends(struct studbay_plan *plan)
{
    struct fit fit = {.arena = &plan->c.arena};
    for (uint32_t i = 0; !plan->fitted && i < plan->c.diag.findings.n; i++)
        fit_finding(&fit, &plan->c.diag.findings.at[i]);
    plan->fitted = true;
}

void handle_count(struct studbay_plan *plan)
{
    const struct diag *d = &plan->c.diag;
    struct studbay_counts *n = &plan->counts;
    *n = (struct studbay_counts){.more_errors = d->shares[SHARE_ERRORS].full};
    for (uint32_t i = 0; i < d->findings.n; i++) {
        const struct finding *f = &d->findings.at[i];
        bool shown = !d->only || !strcmp(f->rule->name, d->only) || finding_tells_limit(f);
        n->waived += shown && f->waived;
        if (f->waived)
            continue;
        n->errors += shown && f->severity == ERROR;
        n->warnings += shown && f->severity == WARNING;
        n->notes += shown && f->severity == NOTE;
        n->other_errors += !shown && f->severity == ERROR;
    }
}

/* Findings, as structs and as texts. */
#include "libstudbay/handle.h"

#include "base/names.h"
#include "diag/render.h"
#include "emit/defaults.h"
#include "emit/sarif.h"
#include "emit/table.h"
#include "emit/unchecked.h"

#include <string.h>

/* --- structs ------------------------------------------------------------------------------ */

static struct studbay_place place_of(struct studbay_plan *plan, struct span span)
{
    if (!span.source)
        return (struct studbay_place){0};
    struct arena *a = &plan->c.arena;
    struct position from = source_position(a, span.source, span.off),
                    to = source_position(a, span.source, span.off + span.len);
    return (struct studbay_place){span.source->path, span.off, span.len, from.line,
                                  from.column,       to.line,  to.column};
}

static const struct studbay_note *note_of(struct studbay_plan *plan, const struct related *r)
{
    struct studbay_note *note = arena_new(&plan->c.arena, struct studbay_note);
    *note = (struct studbay_note){place_of(plan, r->span), r->message};
    return note;
}

static const struct studbay_mend *mend_of(struct studbay_plan *plan, const struct mend *way)
{
    struct arena *a = &plan->c.arena;
    const struct studbay_edit **edits =
        arena_array(a, const struct studbay_edit *, way->edits.n + 1);
    for (uint32_t i = 0; i < way->edits.n; i++) {
        const struct edit *e = &way->edits.at[i];
        struct studbay_edit *edit = arena_new(a, struct studbay_edit);
        *edit = (struct studbay_edit){place_of(plan, (struct span){e->source, e->off, e->gone}),
                                      e->text};
        edits[i] = edit;
    }
    struct studbay_mend *mend = arena_new(a, struct studbay_mend);
    *mend = (struct studbay_mend){way->words, way->safe, edits, way->edits.n};
    return mend;
}

static const struct studbay_finding *finding_of(struct studbay_plan *plan, const struct finding *f)
{
    struct arena *a = &plan->c.arena;
    struct studbay_finding *out = arena_new(a, struct studbay_finding);
    const struct studbay_note **notes =
        arena_array(a, const struct studbay_note *, f->related_count + 1);
    const struct studbay_mend **mends = arena_array(a, const struct studbay_mend *, f->mends.n + 1);
    for (uint32_t i = 0; i < f->related_count; i++)
        notes[i] = note_of(plan, &f->related[i]);
    for (uint32_t i = 0; i < f->mends.n; i++)
        mends[i] = mend_of(plan, &f->mends.at[i]);
    *out = (struct studbay_finding){.rule = f->rule->name,
                                    .severity = (enum studbay_severity)f->severity,
                                    .place = place_of(plan, f->span),
                                    .message = f->message,
                                    .article = f->article,
                                    .mend = f->mend,
                                    .subject = f->subject,
                                    .waived = f->waived,
                                    .notes = notes,
                                    .note_count = f->related_count,
                                    .mends = mends,
                                    .mend_count = f->mends.n};
    return out;
}

static enum studbay_status list_findings(struct studbay_plan *plan, const void *with,
                                         struct buf *out)
{
    (void)with;
    (void)out;
    const finding_list *from = &plan->c.diag.findings;
    const struct studbay_finding **list =
        arena_array(&plan->c.arena, const struct studbay_finding *, from->n + 1);
    handle_fit_mends(plan);
    for (uint32_t i = 0; i < from->n; i++)
        list[i] = finding_of(plan, &from->at[i]);
    plan->findings = (struct handle_list){(const void *const *)list, from->n};
    return STUDBAY_DONE;
}

const struct studbay_finding *const *studbay_findings(struct studbay_plan *plan, size_t *count)
{
    return (const struct studbay_finding *const *)handle_get_list(
        plan, plan ? &plan->findings : NULL, list_findings, count);
}

const struct studbay_counts *studbay_counts(const struct studbay_plan *plan)
{
    return plan ? &plan->counts : NULL;
}

/* --- of several plans together ------------------------------------------------------------ */

/* What is written of plans; the memory is that of the first. */
struct asked {
    struct studbay_plan *const *plans;
    size_t count;
    struct studbay_wants wants;
    bool mends; /* they are told as edits */
};

/* Beforehand, each with memory of its own: then the others are only read. */
static enum studbay_status prepare(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)out;
    const struct asked *asked = with;
    if (asked->mends)
        handle_fit_mends(plan);
    for (uint32_t i = 0; asked->count > 1 && i < plan->c.source_count; i++)
        source_index(&plan->c.arena, plan->c.sources[i]);
    if (asked->count > 1 && plan->c.log_source)
        source_index(&plan->c.arena, plan->c.log_source);
    return STUDBAY_DONE;
}

static bool is_wanted(const struct finding *f, const struct studbay_wants *wants)
{
    if (wants->errors && (f->severity != ERROR || f->waived))
        return false;
    return !wants->only || !strcmp(f->rule->name, wants->only) || finding_tells_limit(f);
}

/* All findings that are asked for, in the order of the plans. */
static struct diag gather(struct arena *arena, const struct asked *asked)
{
    struct diag all = {.arena = arena};
    for (size_t i = 0; i < asked->count; i++) {
        const finding_list *list = &asked->plans[i]->c.diag.findings;
        for (uint32_t k = 0; k < list->n; k++) {
            const struct finding *f = &list->at[k];
            if (!is_wanted(f, &asked->wants))
                continue;
            *vec_push(arena, &all.findings) = *f;
            if (f->waived)
                all.waived++;
            else
                all.counts[f->severity]++;
        }
    }
    return all;
}

/* The plan where there is just one: what it left out goes with its findings. */
static struct compilation *only_plan(const struct asked *asked)
{
    return asked->count == 1 ? &asked->plans[0]->c : NULL;
}

static enum studbay_status write_together(struct asked *asked, const struct studbay_wants *wants,
                                          handle_step *step, const struct studbay_writer *writer)
{
    if (!asked->plans || !asked->count || !handle_read_wants(wants, &asked->wants))
        return STUDBAY_MISUSE;
    const char *format = asked->wants.format;
    asked->mends = format && strcmp(format, "text") != 0;
    for (size_t i = 0; i < asked->count; i++) {
        enum studbay_status status = handle_call(asked->plans[i], prepare, asked, NULL);
        if (status != STUDBAY_DONE)
            return status;
    }
    return handle_call(asked->plans[0], step, asked, writer);
}

/* --- the findings ------------------------------------------------------------------------- */

static void write_defaults(struct json *j, const void *of)
{
    const struct compilation *one = of;
    defaults_json(one->model, one->wiring, j);
}

static void write_json(struct diag *all, struct compilation *one, struct buf *out)
{
    bool read = one && one->model && one->wiring;
    diag_json(all, out, (struct diag_style){0}, read ? write_defaults : NULL, one);
}

static const char *const formats[] = {"text", "json", "sarif"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

static enum studbay_status write_findings(struct studbay_plan *plan, const void *with,
                                          struct buf *out)
{
    const struct asked *asked = with;
    struct diag all = gather(&plan->c.arena, asked);
    const char *format = asked->wants.format ? asked->wants.format : "text";
    if (!strcmp(format, "json"))
        write_json(&all, only_plan(asked), out);
    else if (!strcmp(format, "sarif"))
        sarif_write(&all, STUDBAY_VERSION, out);
    else if (!strcmp(format, "text"))
        diag_text(&all, out, (struct diag_style){.color = asked->wants.color});
    else
        return handle_refuse_unknown(plan, "format", format, formats, FORMAT_COUNT);
    return STUDBAY_DONE;
}

enum studbay_status studbay_write_findings(struct studbay_plan *const *plans, size_t count,
                                           const struct studbay_wants *wants,
                                           struct studbay_writer writer)
{
    struct asked asked = {.plans = plans, .count = count};
    return write_together(&asked, wants, write_findings, &writer);
}

/* --- what they come to -------------------------------------------------------------------- */

/* Said of several plans together, and of one that could not be read. */
static const char not_checked[] = "Not checked: what the plans do not show, and what only eyes on "
                                  "site can see. The local authority decides.\n";

/* The tables that what is found rests on and that nobody compared with a book; where nothing is
 * found, how many such were asked. */
static void say_recalled(const struct diag *all, struct compilation *one, struct buf *out)
{
    uint32_t count = 0;
    struct map said = {0};
    for (uint32_t i = 0; i < all->findings.n; i++)
        for (uint32_t k = 0; k < all->findings.at[i].recalled_count; k++) {
            const char *name = all->findings.at[i].recalled[k];
            if (map_get(&said, 0, (uintptr_t)name))
                continue;
            map_put(all->arena, &said, 0, (uintptr_t)name, (void *)name);
            buf_printf(out, "%s%s", count++ ? ", " : "Recalled, not compared with a book: ", name);
        }
    if (count)
        buf_puts(out, ".\n");
    else if (one && one->model && code_recalled(&one->model->code, NULL, true, &count) && count)
        buf_printf(out,
                   "Recalled, not compared with a book: %u of the tables that were asked; "
                   "docs/editions.md marks them.\n",
                   count);
}

/* The same for what no published page told of the edition, where the findings are of one plan. */
static void say_unknown(const struct diag *all, struct compilation *one, struct buf *out)
{
    struct code *code = one && one->model ? &one->model->code : NULL;
    struct map said = {0};
    uint32_t count = 0;
    for (uint32_t i = 0; code && i < all->findings.n; i++)
        for (uint32_t k = 0; k < all->findings.at[i].unknown_count; k++) {
            const char *what = names_of(code->lib->names, all->findings.at[i].unknown[k]);
            if (map_get(&said, 0, (uintptr_t)what))
                continue;
            map_put(all->arena, &said, 0, (uintptr_t)what, (void *)what);
            if (!count)
                buf_printf(out,
                           "Not known of %s, so by the edition before: ", code->electrical->label);
            buf_printf(out, "%s%s", count++ ? "; " : "", what);
        }
    if (count)
        buf_puts(out, ".\n");
    else if (code && code_unknown(code, NULL, true, &count) && count)
        buf_printf(out,
                   "Not known of %s, so by the edition before: %u of the tables that were asked; "
                   "docs/editions.md names them.\n",
                   code->electrical->label, count);
}

/* What was not looked at, and what it rests on. */
static void say_limits(struct diag *all, struct compilation *one, struct buf *out)
{
    buf_puts(out, one && one->model ? unchecked_words(&one->arena, &one->diag, one->verdict)
                                    : not_checked);
    say_recalled(all, one, out);
    say_unknown(all, one, out);
}

static const char failed[] = "The proof FAILED; what failed stands on standard error.\n";

static bool has_defect(const struct asked *asked)
{
    bool defect = false;
    for (size_t i = 0; i < asked->count; i++)
        defect |= handle_has_defect(&asked->plans[i]->c);
    return defect;
}

/* By rule, and nothing wider than the page. */
static void write_by_rule(struct diag *all, const struct asked *asked, struct buf *out)
{
    struct buf limits = {0};
    unsigned width = asked->wants.width;
    if (has_defect(asked))
        buf_puts(out, failed);
    handle_summary(all, width, out);
    say_limits(all, only_plan(asked), &limits);
    for (const char *at = buf_text(&limits); *at;) {
        size_t n = strcspn(at, "\n");
        table_print_paragraph(out, arena_copy(all->arena, at, n), width, 0);
        at += n + (at[n] == '\n');
    }
    buf_free(&limits);
}

static enum studbay_status write_summary(struct studbay_plan *plan, const void *with,
                                         struct buf *out)
{
    const struct asked *asked = with;
    struct diag all = gather(&plan->c.arena, asked);
    if (asked->wants.width) {
        write_by_rule(&all, asked, out);
        return STUDBAY_DONE;
    }
    if (has_defect(asked))
        buf_puts(out, failed);
    else
        diag_summary(&all, out);
    say_limits(&all, only_plan(asked), out);
    return STUDBAY_DONE;
}

enum studbay_status studbay_write_summary(struct studbay_plan *const *plans, size_t count,
                                          const struct studbay_wants *wants,
                                          struct studbay_writer writer)
{
    struct asked asked = {.plans = plans, .count = count};
    return write_together(&asked, wants, write_summary, &writer);
}

static enum studbay_status write_counts(struct studbay_plan *plan, const void *with,
                                        struct buf *out)
{
    (void)with;
    diag_summary(&plan->c.diag, out);
    return STUDBAY_DONE;
}

enum studbay_status studbay_write_counts(struct studbay_plan *plan, struct studbay_writer writer)
{
    return handle_call(plan, write_counts, NULL, &writer);
}

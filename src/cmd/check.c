/* studbay check: every finding of one plan or several, counted together. */
#include "cmd/cmd.h"

#include "base/names.h"
#include "emit/defaults.h"
#include "emit/sarif.h"
#include "emit/table.h"
#include "emit/unchecked.h"
#include "fmt/fit.h"

#include <string.h>

static const char *const formats[] = {"text", "json", "sarif"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats, SUMMARY_WIDTH = 100 };

/* Said of several plans together, and of one that could not be read. */
static const char not_checked[] = "Not checked: what the plans do not show, and what only eyes on "
                                  "site can see. The local authority decides.\n";

/* All findings that are asked for, in the order of the plans. */
static struct diag gather(struct arena *arena, const struct compilation *plans, uint32_t count,
                          const char *only)
{
    struct diag all = {.arena = arena};
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = 0; k < plans[i].diag.findings.n; k++) {
            const struct finding *f = &plans[i].diag.findings.at[k];
            if (only && strcmp(f->rule->name, only) && !finding_tells_limit(f))
                continue;
            *vec_push(arena, &all.findings) = *f;
            if (f->waived)
                all.waived++;
            else
                all.counts[f->severity]++;
        }
    return all;
}

/* With --only: what else is wrong is not shown, but it is not kept secret either. */
static void say_what_is_hidden(const struct diag *all, const struct compilation *plans,
                               uint32_t count)
{
    uint32_t errors = 0;
    bool more = false;
    for (uint32_t i = 0; i < count; i++) {
        errors += plans[i].diag.counts[ERROR];
        more |= plans[i].diag.shares[SHARE_ERRORS].full;
    }
    errors -= all->counts[ERROR];
    if (errors)
        cmd_complain("%s%u error%s of other rules not shown", more ? "more than " : "", errors,
                     errors == 1 ? "" : "s");
}

static void write_defaults(struct json *j, const void *of)
{
    const struct compilation *one = of;
    defaults_json(one->model, one->wiring, j);
}

/* `one` is the plan where there is just one: what it left out goes with its findings. */
static void write_json(struct diag *all, struct compilation *one, struct buf *out)
{
    bool read = one && one->model && one->wiring;
    diag_json(all, out, (struct diag_style){0}, read ? write_defaults : NULL, one);
}

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

static const char failed[] = "The proof FAILED; what failed stands on standard error.\n";

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

static void write_text(struct diag *all, struct compilation *one, bool defect, struct buf *out)
{
    cmd_show_findings(all);
    if (defect)
        buf_puts(out, failed);
    else
        diag_summary(all, out);
    say_limits(all, one, out);
}

/* By rule, and nothing wider than the page. */
static void write_summary(struct diag *all, struct compilation *one, bool defect, unsigned width,
                          struct buf *out)
{
    struct buf limits = {0};
    if (defect)
        buf_puts(out, failed);
    cmd_check_summary(all, width, out);
    say_limits(all, one, &limits);
    for (const char *at = buf_text(&limits); *at;) {
        size_t n = strcspn(at, "\n");
        table_print_paragraph(out, arena_copy(all->arena, at, n), width, 0);
        at += n + (at[n] == '\n');
    }
    buf_free(&limits);
}

/* `width` of a summary; 0: it is not asked for. */
static bool write_findings(struct diag *all, const char *format, struct compilation *one,
                           bool defect, unsigned width)
{
    struct buf out = {0};
    if (!strcmp(format, "json"))
        write_json(all, one, &out);
    else if (!strcmp(format, "sarif"))
        sarif_write(all, STUDBAY_VERSION, &out);
    else if (width)
        write_summary(all, one, defect, width, &out);
    else
        write_text(all, one, defect, &out);
    bool written = cmd_write_output(&out, NULL);
    buf_free(&out);
    return written;
}

/* The worst status of mending each; EXIT_USAGE ends it. */
static int fix_plans(const struct invocation *inv)
{
    struct compilation library = {0};
    int worst = EXIT_FINE;
    compile_library(&library, inv->stdlib);
    for (uint32_t i = 0; i < inv->operand_count && worst != EXIT_USAGE; i++) {
        int status = cmd_fix_plan(inv, inv->operands[i], &library);
        worst = status > worst ? status : worst;
    }
    compile_free(&library);
    return worst;
}

/* What cannot be asked of --fix; 0 or an exit status. */
static int refuse_fix(const struct invocation *inv)
{
    if (inv->diff && !inv->fix)
        return cmd_complain("--diff shows what --fix would change: check --fix --diff PLAN");
    if (inv->fix && *inv->fix && !rule_named(inv->fix))
        return cmd_complain_unknown("rule", inv->fix, rule_names, rule_count);
    for (uint32_t i = 0; inv->fix && !inv->diff && i < inv->operand_count; i++)
        if (!strcmp(inv->operands[i], "-"))
            return cmd_complain("standard input cannot be written to; --diff shows the changes");
    return 0;
}

/* As they are to be written, where others read them. */
static void fit_mends(struct compilation *c)
{
    struct fit fit = {.arena = &c->arena};
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        fit_finding(&fit, &c->diag.findings.at[i]);
}

static int check_plans(const struct invocation *inv, const char *format, unsigned width)
{
    struct compilation *plans = arena_array(inv->arena, struct compilation, inv->operand_count),
                       library = {0};
    bool several = inv->operand_count > 1; /* they share the library */
    if (several)
        compile_library(&library, inv->stdlib);
    bool io_failed = false, defect = false;
    for (uint32_t i = 0; i < inv->operand_count; i++) {
        compile(&plans[i], inv->operands[i],
                (struct compile_options){.stdlib = inv->stdlib,
                                         .library = several ? &library : NULL,
                                         .only = inv->only,
                                         .only_findings = true});
        if (strcmp(format, "text") != 0)
            fit_mends(&plans[i]);
        io_failed = io_failed || plans[i].io_failed;
        defect = defect || cmd_has_our_defect(&plans[i]);
    }
    struct diag all = gather(inv->arena, plans, inv->operand_count, inv->only);
    if (width && io_failed)
        cmd_show_findings(&all); /* the summary tells of rules, and not which file it was */
    int status =
        write_findings(&all, format, inv->operand_count == 1 ? &plans[0] : NULL, defect, width) &&
                !io_failed
            ? cmd_plan_status(&all, inv->strict)
            : EXIT_USAGE;
    if (inv->only)
        say_what_is_hidden(&all, plans, inv->operand_count);
    for (uint32_t i = 0; i < inv->operand_count; i++) {
        if (cmd_has_our_defect(&plans[i]))
            status = cmd_tell_unproven(&plans[i]);
        compile_free(&plans[i]);
    }
    compile_free(&library);
    return status;
}

int command_check(const struct invocation *inv)
{
    const char *format = inv->format ? inv->format : "text";
    if (cmd_find_name(format, formats, FORMAT_COUNT) == FORMAT_COUNT)
        return cmd_complain_unknown("format", format, formats, FORMAT_COUNT);
    if (!inv->operand_count)
        return cmd_complain("check wants a plan: studbay check PLAN");
    if (inv->only && !rule_named(inv->only))
        return cmd_complain_unknown("rule", inv->only, rule_names, rule_count);
    if ((inv->summary || inv->width) && strcmp(format, "text") != 0)
        return cmd_complain("--summary and --width are for text");
    if (inv->width && !inv->summary)
        return cmd_complain("--width goes with --summary");
    if (refuse_fix(inv))
        return EXIT_USAGE;
    unsigned width = 0;
    if (inv->summary && !cmd_read_width(inv, SUMMARY_WIDTH, &width))
        return EXIT_USAGE;
    int status = inv->fix ? fix_plans(inv) : EXIT_FINE;
    return inv->diff || status == EXIT_USAGE ? status : check_plans(inv, format, width);
}

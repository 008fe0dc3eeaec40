/* studbay check: every finding of one plan or several, counted together. */
#include "cmd/cmd.h"

#include "libstudbay/studbay.h"

#include <string.h>

static const char *const formats[] = {"text", "json", "sarif"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats, SUMMARY_WIDTH = 100 };

/* What was asked of, and the plans as they were read. */
struct checking {
    const struct invocation *inv;
    struct studbay_library *library; /* several plans share it */
    struct studbay_plan **plans;
    size_t count;
};

static bool write_text(struct checking *x, struct studbay_wants wants, bool readable)
{
    unsigned width = wants.width;
    wants.width = 0;
    wants.color = cmd_error_in_color();
    if ((!width || !readable) && /* the summary tells of rules, and not which file it was */
        !cmd_done(NULL, studbay_write_findings(x->plans, x->count, &wants, cmd_errors)))
        return false;
    wants.width = width;
    return cmd_done(NULL, studbay_write_summary(x->plans, x->count, &wants, cmd_output));
}

/* `width` of a summary; 0: it is not asked for. */
static bool write_findings(struct checking *x, const char *format, unsigned width, bool readable)
{
    struct studbay_wants wants = {
        .size = sizeof wants, .format = format, .width = width, .only = x->inv->only};
    if (!strcmp(format, "text"))
        return write_text(x, wants, readable);
    return cmd_done(NULL, studbay_write_findings(x->plans, x->count, &wants, cmd_output));
}

/* With --only: what else is wrong is not shown, but it is not kept secret either. */
static void say_what_is_hidden(const struct checking *x)
{
    unsigned errors = 0;
    bool more = false;
    for (size_t i = 0; i < x->count; i++) {
        errors += studbay_counts(x->plans[i])->other_errors;
        more |= studbay_counts(x->plans[i])->more_errors;
    }
    if (errors)
        cmd_complain("%s%u error%s of other rules not shown", more ? "more than " : "", errors,
                     errors == 1 ? "" : "s");
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

/* False where there is no memory for one. */
static bool open_plans(struct checking *x, bool *readable)
{
    struct studbay_opening how = {.size = sizeof how,
                                  .folder = x->inv->stdlib,
                                  .only = x->inv->only,
                                  .depth = STUDBAY_FINDINGS};
    if (x->inv->operand_count > 1 &&
        studbay_library_open(x->inv->stdlib, NULL, &x->library) == STUDBAY_NO_MEMORY)
        return cmd_done(NULL, STUDBAY_NO_MEMORY);
    how.library = x->library;
    for (; x->count < x->inv->operand_count; x->count++) {
        enum studbay_status status =
            studbay_open(x->inv->operands[x->count], &how, &x->plans[x->count]);
        *readable &= status == STUDBAY_DONE;
        if (!x->plans[x->count])
            return cmd_done(NULL, status);
    }
    return true;
}

static int plans_status(const struct checking *x)
{
    bool errors = false, warnings = false;
    for (size_t i = 0; i < x->count; i++) {
        errors |= studbay_counts(x->plans[i])->errors > 0;
        warnings |= studbay_counts(x->plans[i])->warnings > 0;
    }
    return errors || (x->inv->strict && warnings) ? EXIT_PLAN : EXIT_FINE;
}

static int tell_plans(struct checking *x, const char *format, unsigned width, bool readable)
{
    int status =
        write_findings(x, format, width, readable) && readable ? plans_status(x) : EXIT_USAGE;
    if (x->inv->only)
        say_what_is_hidden(x);
    for (size_t i = 0; i < x->count; i++)
        if (studbay_proof(x->plans[i]) == STUDBAY_PROOF_DEFECT) {
            status = cmd_done(x->plans[i], studbay_write_unproven(x->plans[i], cmd_errors))
                         ? EXIT_PROOF
                         : EXIT_USAGE;
        }
    return status;
}

static int check_plans(const struct invocation *inv, const char *format, unsigned width)
{
    struct checking x = {
        .inv = inv, .plans = arena_array(inv->arena, struct studbay_plan *, inv->operand_count)};
    bool readable = true;
    int status = open_plans(&x, &readable) ? tell_plans(&x, format, width, readable) : EXIT_USAGE;
    for (size_t i = 0; i < x.count; i++)
        studbay_close(x.plans[i]);
    studbay_library_close(x.library);
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

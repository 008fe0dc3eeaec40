/* studbay report: one report, or each of them as text and CSV into a folder. */
#include "cmd/cmd.h"

#include "base/file.h"
#include "emit/reports/reports.h"
#include "facts/meant.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* In the order of enum report_format. */
static const char *const formats[] = {"text", "csv", "json", "md"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

const char *const cmd_methods[] = {"standard", "optional", "existing", "measured", NULL};

static int list_reports(void)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < report_count; i++)
        buf_printf(&b, "%-10s %s\n", report_table[i].name, report_table[i].doc);
    buf_printf(&b, "%-10s %s\n", "all",
               "each of them as text and CSV, into the folder that -o names");
    bool written = cmd_write_output(&b, NULL);
    buf_free(&b);
    return written ? EXIT_FINE : EXIT_USAGE;
}

static bool write_report(const struct report_def *def, const struct results *r,
                         enum report_format format, const char *path)
{
    struct buf out = {0};
    report_write(def, r, format, &out);
    bool written = cmd_write_output(&out, path);
    buf_free(&out);
    return written;
}

/* Each report as text and as CSV, in that order, with the paths of their files. */
static struct file_text *make_all(const struct results *r, const char *folder, struct buf *texts)
{
    struct file_text *files = arena_array(r->arena, struct file_text, 2 * report_count);
    for (uint32_t i = 0; i < 2 * report_count; i++) {
        const struct report_def *def = &report_table[i / 2];
        files[i].path =
            arena_printf(r->arena, "%s/%s.%s", folder, def->name, i % 2 ? "csv" : "txt");
        files[i].text = &texts[i];
        report_write(def, r, i % 2 ? REPORT_CSV : REPORT_TEXT, &texts[i]);
    }
    return files;
}

/* All of them, or none: a folder that holds reports of two plans would be taken for one. */
static bool put_all(const struct compilation *c, const struct file_text *files, const char *folder)
{
    for (uint32_t i = 0; i < 2 * report_count; i++)
        if (!cmd_may_replace(c, files[i].path))
            return false;
    bool made = mkdir(folder, 0777) == 0;
    if (!made && errno != EEXIST) {
        cmd_complain("cannot make the folder %s: %s", folder, strerror(errno));
        return false;
    }
    bool written = cmd_write_files(files, 2 * report_count);
    if (!written && made)
        rmdir(folder);
    return written;
}

static bool write_all(const struct compilation *c, const struct results *r, const char *folder)
{
    struct buf *texts = arena_array(r->arena, struct buf, 2 * report_count);
    bool written = put_all(c, make_all(r, folder, texts), folder);
    for (uint32_t i = 0; i < 2 * report_count; i++)
        buf_free(&texts[i]);
    return written;
}

/* The report of that name, NULL for all; false, with a message, where there is none. */
static bool find_report(struct arena *arena, const char *name, const struct report_def **def)
{
    *def = report_named(name);
    if (*def || !strcmp(name, "all"))
        return true;
    const char **names = arena_array(arena, const char *, report_count + 1);
    for (uint32_t i = 0; i < report_count; i++)
        names[i] = report_table[i].name;
    names[report_count] = "all";
    cmd_complain_unknown("report", name, names, report_count + 1);
    return false;
}

/* The run that --explain names, the first of several cables; NULL, with a message, where there is
 * none. */
static const struct run *find_run(const struct results *r, const char *name)
{
    struct run_names *names = facts_name_runs(r->arena, r->model);
    const struct run_group *group = facts_runs_called(names, name);
    struct meant_runs meant = facts_runs_of_chain(names, name);
    if (!group && !meant.missing && meant.hops.n == 1)
        group = meant.hops.at[0];
    if (group)
        return group->runs.at[0];
    const char **known = arena_array(r->arena, const char *, r->model->runs.n + 1);
    for (uint32_t i = 0; i < r->model->runs.n; i++)
        known[i] = address_of_run(r->arena, r->model->runs.at[i], false);
    cmd_complain_unknown("run", name, known, r->model->runs.n);
    return NULL;
}

static int make_report(const struct invocation *inv, const struct report_def *def,
                       enum report_format format)
{
    struct compilation c = {0};
    int status;
    struct results r;
    unsigned width, lines;
    if (!cmd_read_width(inv, REPORT_WIDTH, &width) || !cmd_read_paper(inv, &lines))
        return EXIT_USAGE;
    if (cmd_read_results(&c, inv, inv->operands[1], !def || def->wants_cuts, &r, &status)) {
        r.whole = inv->all != NULL;
        r.width = format == REPORT_TEXT ? width : 0;
        r.page_lines = lines;
        r.method_told = inv->method != NULL;
        r.method = inv->method
                       ? (enum demand_method)cmd_find_name(inv->method, cmd_methods, METHOD_COUNT)
                       : METHOD_STANDARD;
        if ((inv->explain && !(r.explained = find_run(&r, inv->explain))) ||
            (def ? !write_report(def, &r, format, inv->output) : !write_all(&c, &r, inv->output)))
            status = EXIT_USAGE;
    }
    compile_free(&c);
    return status;
}

int command_report(const struct invocation *inv)
{
    const struct report_def *def;
    if (!inv->operand_count)
        return list_reports();
    if (!find_report(inv->arena, inv->operands[0], &def))
        return EXIT_USAGE;
    if (inv->operand_count != 2)
        return cmd_complain("report wants a name and one plan: studbay report %s PLAN",
                            inv->operands[0]);
    const char *named = NULL;
    if (def && !cmd_read_format(inv, formats, FORMAT_COUNT, &named))
        return EXIT_USAGE;
    uint32_t format = cmd_find_name(named ? named : "text", formats, FORMAT_COUNT);
    if (inv->method && cmd_find_name(inv->method, cmd_methods, METHOD_COUNT) == METHOD_COUNT)
        return cmd_complain_unknown("method", inv->method, cmd_methods, METHOD_COUNT);
    if (inv->method && def && strcmp(def->name, "load") != 0)
        return cmd_complain(
            "--method is for the load calculation: studbay report load --method METHOD PLAN");
    if (inv->all && (!def || !report_tells_of_whole(def)))
        return cmd_complain("--all is for what is still to cut, to buy and to pay: the reports "
                            "cuts, materials, trim and estimate");
    if (inv->explain && (!def || strcmp(def->name, "runs") != 0))
        return cmd_complain(
            "--explain is for the report of the runs: studbay report runs --explain RUN PLAN");
    if (!def && !inv->output)
        return cmd_complain("report all wants a folder: studbay report all PLAN -o DIR");
    if ((inv->paper || inv->width) && format != REPORT_TEXT)
        return cmd_complain("--width and --paper are for text");
    if (!def && inv->format)
        return cmd_complain("report all writes text and CSV; --format is for one report");
    if (!def && cmd_has_ending(inv->output) && !cmd_is_folder(inv->output))
        return cmd_complain("report all writes a folder, and %s has the name of a file: a folder "
                            "whose name has an ending is written %s/",
                            inv->output, inv->output);
    return make_report(inv, def, format);
}

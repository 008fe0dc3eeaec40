/* studbay report: one report, or each of them as text and CSV into a folder. */
#include "cmd/cmd.h"

#include "base/file.h"
#include "emit/reports/reports.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* In the order of enum report_format. */
static const char *const formats[] = {"text", "csv", "json", "md"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

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

/* Each report as text and as CSV, in that order, with the paths of their files; NULL, with a
 * message, where one cannot be made. */
static struct file_text *make_all(const struct invocation *inv, struct studbay_plan *plan,
                                  struct studbay_wants wants, struct buf *texts)
{
    struct file_text *files = arena_array(inv->arena, struct file_text, 2 * report_count);
    for (uint32_t i = 0; i < 2 * report_count; i++) {
        const struct report_def *def = &report_table[i / 2];
        wants.format = i % 2 ? "csv" : "text";
        files[i].path =
            arena_printf(inv->arena, "%s/%s.%s", inv->output, def->name, i % 2 ? "csv" : "txt");
        files[i].text = &texts[i];
        if (!cmd_done(plan, studbay_write_report(plan, def->name, &wants, cmd_to_buf(&texts[i]))))
            return NULL;
    }
    return files;
}

/* All of them, or none: a folder that holds reports of two plans would be taken for one. */
static bool put_all(const struct studbay_plan *plan, const struct file_text *files,
                    const char *folder)
{
    for (uint32_t i = 0; i < 2 * report_count; i++)
        if (!cmd_may_write(plan, files[i].path))
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

static bool write_all(const struct invocation *inv, struct studbay_plan *plan,
                      const struct studbay_wants *wants)
{
    struct buf *texts = arena_array(inv->arena, struct buf, 2 * report_count);
    struct file_text *files = make_all(inv, plan, *wants, texts);
    bool written = files && put_all(plan, files, inv->output);
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

/* The day of --day, in hundredths of a minute; 0, with a message, where it is none. */
static int64_t read_day(const char *text)
{
    enum { MOST_DIGITS = 4, HUNDREDTHS = 100, HOUR = 60 * HUNDREDTHS, LONGEST = 24 * HOUR };
    const size_t whole = strspn(text, "0123456789"),
                 behind = text[whole] == '.' ? strspn(text + whole + 1, "0123456789") : 0;
    const char *unit = text + whole + (behind ? behind + 1 : 0);
    unit += strspn(unit, " ");
    int64_t of = !strcmp(unit, "h") ? HOUR : !strcmp(unit, "min") ? HUNDREDTHS : 0, n = 0, by = 1;
    for (size_t i = 0; whole && whole + behind <= MOST_DIGITS && i < whole + behind + (behind > 0);
         i++) {
        n = text[i] == '.' ? n : n * 10 + (text[i] - '0');
        by *= i > whole ? 10 : 1;
    }
    int64_t day = n * of / by;
    if (day > 0 && day <= LONGEST)
        return day;
    cmd_complain("--day is a time of up to 24h, as in 8h or 450min: not %s", text);
    return 0;
}

static int make_report(const struct invocation *inv, const struct report_def *def,
                       const char *format)
{
    struct studbay_wants wants = {.size = sizeof wants,
                                  .format = format,
                                  .whole = inv->all != NULL,
                                  .method = inv->method,
                                  .run = inv->explain,
                                  .day = inv->day ? read_day(inv->day) : 0};
    struct studbay_plan *plan = NULL;
    int status = EXIT_USAGE;
    if ((inv->day && !wants.day) || !cmd_read_width(inv, REPORT_WIDTH, &wants.width) ||
        !cmd_read_paper(inv, &wants.page_lines))
        return EXIT_USAGE;
    if (cmd_open(&plan, inv, inv->operands[1], !def || def->wants_cuts, &status) &&
        !(def ? cmd_done(plan,
                         studbay_write_report(plan, def->name, &wants, cmd_to_file(inv->output)))
              : write_all(inv, plan, &wants)))
        status = EXIT_USAGE;
    studbay_close(plan);
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
    if (inv->method && cmd_find_name(inv->method, handle_methods, METHOD_COUNT) == METHOD_COUNT)
        return cmd_complain_unknown("method", inv->method, handle_methods, METHOD_COUNT);
    if (inv->method && def && strcmp(def->name, "load") != 0)
        return cmd_complain(
            "--method is for the load calculation: studbay report load --method METHOD PLAN");
    if (inv->all && (!def || !report_tells_of_whole(def)))
        return cmd_complain("--all is for what is still to cut, to buy and to pay: the reports "
                            "cuts, materials, trim and estimate");
    if (inv->day && (!def || strcmp(def->name, "todo") != 0))
        return cmd_complain("--day is for what is left to do: studbay report todo --day 8h PLAN");
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
    return make_report(inv, def, formats[format]);
}

/* studbay compare: what a change of the plan does to the work. */
#include "cmd/cmd.h"

#include "cuts/cuts.h"
#include "compare/compare.h"
#include "compare/sheet.h"
#include "emit/results.h"
#include "log/log.h"
#include "cmd/revisions.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>

static const char *const formats[] = {"text", "json", "md", "svg", "pdf", "png"}; /* sheets last */
enum { FORMAT_COUNT = sizeof formats / sizeof *formats, SHEETS_FROM = 3, TEXT_WIDTH = 100 };

/* Both plans are held against the log of the work as it stands: the new plan's, else the old one's.
 * NULL where there is neither. */
static const char *log_of(struct arena *arena, const char *old, const char *now)
{
    struct stat st; /* a link that leads nowhere is told */
    const char *path = log_path(arena, now);
    if (path && (lstat(path, &st) == 0 || errno != ENOENT))
        return path;
    path = log_path(arena, old);
    return path && (lstat(path, &st) == 0 || errno != ENOENT) ? path : NULL;
}

static bool is_whole(const struct compilation *c)
{
    return !c->io_failed && c->model && c->routes && c->wiring && c->verdict && c->loads && c->cuts;
}

/* A plan that is compared: a file, or what git has of it. */
struct side {
    const char *path, *revision; /* NULL: as it lies there */
    const struct revision *opened;
    struct unsaved texts;
};

static bool write_text(const struct invocation *inv, const struct comparison *c, const char *format,
                       unsigned width)
{
    struct buf out = {0};
    if (format && !strcmp(format, "json"))
        compare_json(c, &out);
    else if (format && !strcmp(format, "md"))
        compare_markdown(c, &out);
    else
        compare_text(c, width, &out);
    bool written = cmd_write_output(&out, inv->output);
    buf_free(&out);
    return written;
}

static bool write_sheets(const struct invocation *inv, const struct compilation *now,
                         const struct comparison *c)
{
    int size = cmd_read_paper_size(inv);
    return size >= 0 && cmd_write_paper(inv, now, compare_sheets(c, (enum paper_size)size));
}

/* Gives the exit status. */
static int write_comparison(const struct invocation *inv, struct compilation *old,
                            struct compilation *now)
{
    struct results was, is;
    unsigned width = TEXT_WIDTH;
    const char *format;
    if (!cmd_read_format(inv, formats, FORMAT_COUNT, &format))
        return EXIT_USAGE;
    bool sheets = format && cmd_find_name(format, formats, FORMAT_COUNT) >= SHEETS_FROM;
    if (!sheets && (inv->sheet || inv->dpi || inv->paper))
        return cmd_complain("--sheet, --paper and --dpi are for the change sheet: -o with x.pdf, "
                            "x.svg or x.png");
    if (!sheets && !cmd_read_width(inv, TEXT_WIDTH, &width))
        return EXIT_USAGE;
    for (int i = 0; i < 2; i++)
        if (!cmd_results(i ? now : old, i ? &is : &was)) {
            cmd_show_findings(i ? &now->diag : &old->diag);
            return cmd_tell_unproven(i ? now : old);
        }
    struct comparison c;
    compare_plans(inv->arena, &was, &is, &c);
    bool written = cmd_may_replace(old, inv->output) && cmd_may_replace(now, inv->output) &&
                   (sheets ? write_sheets(inv, now, &c) : write_text(inv, &c, format, width));
    return written ? cmd_plan_status(&now->diag, inv->strict) : EXIT_USAGE;
}

/* OLD NEW, where each may be REVISION:PLAN; REVISION PLAN; REVISION REVISION PLAN. */
static void read_sides(const struct invocation *inv, struct side *sides)
{
    struct stat st;
    const char *plan = inv->operands[inv->operand_count - 1];
    for (uint32_t i = 0; i < 2; i++) {
        const char *word = inv->operands[i],
                   *path = revision_split(inv->arena, word, &sides[i].revision);
        bool revision = !path && i + 1 < inv->operand_count && stat(word, &st) != 0 &&
                        (errno == ENOENT || errno == ENOTDIR || errno == ENAMETOOLONG);
        sides[i].path = path ? path : revision ? plan : word;
        if (revision)
            sides[i].revision = word;
    }
}

/* False, with a message, where git has no such plan. */
static bool open_side(const struct invocation *inv, struct side *side)
{
    const char *why = NULL;
    if (!side->revision)
        return true;
    const struct revision *r = revision_open(inv->arena, side->path, side->revision, &why);
    if (r && revision_has(r, side->path)) {
        side->opened = r;
        side->texts = revision_texts(r);
        return true;
    }
    if (r)
        cmd_complain("there is no %s in %s", side->path, side->revision);
    else
        cmd_complain("%s", why);
    return false;
}

/* Where git did not give all of a revision the files of the disk were read for it. */
static bool are_read(const struct side *sides)
{
    const char *why = NULL;
    for (int i = 0; i < 2 && !why; i++)
        why = sides[i].opened ? revision_failed(sides[i].opened) : NULL;
    if (why)
        cmd_complain("%s", why);
    return !why;
}

int command_compare(const struct invocation *inv)
{
    if (inv->operand_count < 2 || inv->operand_count > 3)
        return cmd_complain("compare wants two plans: studbay compare OLD NEW, or a plan of git's: "
                            "studbay compare HEAD~1 PLAN");
    if (inv->format && cmd_find_name(inv->format, formats, FORMAT_COUNT) == FORMAT_COUNT)
        return cmd_complain_unknown("format", inv->format, formats, FORMAT_COUNT);
    struct side sides[2] = {0};
    read_sides(inv, sides);
    for (int i = 0; i < 2; i++)
        if (!open_side(inv, &sides[i]))
            return EXIT_USAGE;
    struct compilation library; /* the plans share it */
    compile_library(&library, inv->stdlib);
    struct compile_options options = {.library = &library,
                                      .cut_steps = CUTS_EXACT,
                                      .log = log_of(inv->arena, sides[0].path, sides[1].path)};
    struct compilation plans[2] = {0};
    int status = EXIT_USAGE;
    for (int i = 0; i < 2; i++) {
        options.unsaved = sides[i].texts;
        compile(&plans[i], sides[i].path, options);
    }
    bool read = are_read(sides);
    if (read && is_whole(&plans[0]) && is_whole(&plans[1])) {
        status = write_comparison(inv, &plans[0], &plans[1]);
    } else if (read) {
        for (int i = 0; i < 2; i++) {
            if (!is_whole(&plans[i]) && sides[i].revision)
                cmd_complain("of %s in %s:", sides[i].path, sides[i].revision);
            if (!is_whole(&plans[i]))
                cmd_show_findings(&plans[i].diag);
        }
    }
    for (int i = 0; i < 2; i++)
        compile_free(&plans[i]);
    compile_free(&library);
    return status;
}

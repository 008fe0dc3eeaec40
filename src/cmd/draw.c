/* studbay draw: the sheets that go by a name, or their graph as DOT. */
#include "cmd/cmd.h"

#include "emit/dot/dot.h"
#include "sheets/sheets.h"

#include <string.h>
#include <unistd.h>

static const char *const formats[] = {"dot", "svg", "png", "pdf"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

/* What a name asks for. */
struct wanted {
    const struct sheet_kind **kinds;
    uint32_t count;
    const struct dot_def *dot; /* the graph; NULL: sheets are written */
};

static int list_drawings(void)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < sheet_drawing_count; i++)
        buf_printf(&b, "%-10s %s\n", sheet_drawings[i].name, sheet_drawings[i].doc);
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        buf_printf(&b, "%-10s %s\n", sheet_kinds[i].name, sheet_kinds[i].doc);
    bool written = cmd_write_output(&b, NULL);
    buf_free(&b);
    return written ? EXIT_FINE : EXIT_USAGE;
}

int cmd_read_paper_size(const struct invocation *inv)
{
    if (!inv->paper)
        return PAPER_BY_USE;
    const char *const *names = sheets_paper_names + PAPER_BY_USE + 1;
    uint32_t count = PAPER_SIZES - PAPER_BY_USE - 1, at = cmd_find_name(inv->paper, names, count);
    if (at == count) {
        cmd_complain_unknown("paper", inv->paper, names, count);
        return -1;
    }
    return (int)at + PAPER_BY_USE + 1;
}

static struct studbay_labels labels_wanted(const struct invocation *inv)
{
    return (struct studbay_labels){.size = sizeof(struct studbay_labels),
                                   .like = inv->sheet,
                                   .page = inv->page,
                                   .label = inv->label,
                                   .columns = inv->columns,
                                   .rows = inv->rows,
                                   .margin_left = inv->margin_left,
                                   .margin_top = inv->margin_top,
                                   .pitch_x = inv->pitch_x,
                                   .pitch_y = inv->pitch_y,
                                   .start = inv->start,
                                   .outline = inv->outline,
                                   .qr = inv->qr};
}

/* Of labels --sheet names the grid, and --number the sheet. */
static bool write_sheets(const struct invocation *inv, const struct wanted *w,
                         struct studbay_plan *plan, const struct studbay_wants *wants)
{
    struct studbay_sheets *sheets;
    bool labels = w->kinds[0]->draw == sheets_labels;
    enum studbay_status status = studbay_draw(plan, inv->operands[0], wants, &sheets);
    if (status == STUDBAY_NOTHING) {
        cmd_complain("there is nothing in the plan that such a sheet shows");
        return false;
    }
    return cmd_done(plan, status) &&
           cmd_write_sheets(inv, &plan->c, sheets, labels ? inv->number : inv->sheet);
}

static bool write_drawing(const struct invocation *inv, const struct wanted *w,
                          struct studbay_plan *plan)
{
    struct studbay_labels labels = labels_wanted(inv);
    struct studbay_wants wants = {.size = sizeof wants,
                                  .circuit = inv->circuit,
                                  .box = inv->box,
                                  .room = inv->room,
                                  .wall = inv->wall,
                                  .level = inv->level,
                                  .paper = inv->paper,
                                  .labels = &labels};
    if (w->dot)
        return cmd_done(
            plan, studbay_write_graph(plan, inv->operands[0], &wants, cmd_to_file(inv->output)));
    return write_sheets(inv, w, plan, &wants);
}

static int make_drawing(const struct invocation *inv, const struct wanted *w)
{
    struct studbay_plan *plan = NULL;
    int status = EXIT_USAGE;
    bool cuts = false;
    for (uint32_t i = 0; i < w->count; i++)
        cuts |= (w->kinds[i]->in & WITH_CUTS) != 0;
    if (cmd_open(&plan, inv, inv->operands[1], cuts, &status) && !write_drawing(inv, w, plan))
        status = EXIT_USAGE;
    studbay_close(plan);
    return status;
}

static int complain_of_name(const struct invocation *inv)
{
    uint32_t count = 0;
    const char **names =
        arena_array(inv->arena, const char *, (size_t)sheet_drawing_count + sheet_kind_count);
    for (uint32_t i = 0; i < sheet_drawing_count; i++)
        names[count++] = sheet_drawings[i].name;
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        names[count++] = sheet_kinds[i].name;
    return cmd_complain_unknown("drawing", inv->operands[0], names, count);
}

/* A graph is written as DOT where a format says so, or where nothing asks for sheets. */
static bool choose_graph(const struct invocation *inv, const char *format, struct wanted *w)
{
    const char *option = inv->paper ? "paper" : inv->sheet ? "sheet" : inv->dpi ? "dpi" : NULL;
    const struct dot_def *dot = dot_named(inv->operands[0]);
    bool named = format && !strcmp(format, "dot"),
         sheets = option || (inv->output && cmd_is_folder(inv->output));
    if (named && option)
        cmd_complain("--%s is for sheets, and DOT is a text", option);
    w->dot = named || (!format && !sheets) ? dot : NULL;
    return !named || !option;
}

/* What is said wrongly, before the plan is read; 0: nothing. */
static int check_options(const struct invocation *inv, struct wanted *w)
{
    const char *format;
    if (inv->operand_count != 2)
        return cmd_complain("draw wants a name and one plan: studbay draw %s PLAN",
                            inv->operands[0]);
    bool graph = dot_named(inv->operands[0]) != NULL; /* the first of the formats is its alone */
    if (!cmd_read_format(inv, formats + !graph, FORMAT_COUNT - !graph, &format) ||
        !choose_graph(inv, format, w))
        return EXIT_USAGE;
    bool bytes = format && (!strcmp(format, "png") || !strcmp(format, "pdf"));
    if (bytes && !inv->output && isatty(STDOUT_FILENO))
        return cmd_complain("%s is nothing to read on a terminal; name a file with -o", format);
    return 0;
}

int command_draw(const struct invocation *inv)
{
    if (!inv->operand_count)
        return list_drawings();
    struct wanted w = {.kinds =
                           arena_array(inv->arena, const struct sheet_kind *, sheet_kind_count)};
    w.count = sheets_by_name(inv->operands[0], w.kinds);
    if (!w.count)
        return complain_of_name(inv);
    int status = check_options(inv, &w);
    return status ? status : make_drawing(inv, &w);
}

/* studbay draw: the sheets that go by a name, or their graph as DOT. */
#include "cmd/cmd.h"

#include "emit/dot/dot.h"
#include "emit/words/circuits.h"
#include "model/site.h"
#include "sheets/labels.h"
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

static bool write_dot(const struct invocation *inv, const struct dot_def *dot,
                      const struct results *r)
{
    struct buf out = {0};
    r->model->code.reader = dot->name;
    dot->write(r, &out);
    bool written = cmd_write_output(&out, inv->output);
    buf_free(&out);
    return written;
}

/* The thing of that name in a list of `count`, `name_of` giving the name of each; NULL, with a
 * message, where there is none. */
typedef const char *name_fn(struct arena *arena, const void *thing);

static const void *choose(struct arena *arena, const char *kind, const char *wanted,
                          void *const *things, uint32_t count, name_fn *name_of)
{
    const char **names = arena_array(arena, const char *, count + 1);
    for (uint32_t i = 0; i < count; i++) {
        names[i] = name_of(arena, things[i]);
        if (!strcmp(names[i], wanted))
            return things[i];
    }
    cmd_complain_unknown(kind, wanted, names, count);
    return NULL;
}

static const char *name_of_circuit(struct arena *arena, const void *thing)
{
    return address_of_circuit(arena, thing, false);
}

/* The circuit of that handle, "P14/16", as the sheets call it; NULL where there is none. */
static const struct circuit *circuit_at(const struct results *r, const char *handle)
{
    for (uint32_t i = 0; handle && i < r->model->circuits.n; i++) {
        const char *is = words_handle(r, r->model->circuits.at[i]);
        if (is && !strcmp(is, handle))
            return r->model->circuits.at[i];
    }
    return NULL;
}

static const char *name_of_box(struct arena *arena, const void *thing)
{
    return address_of_box(arena, thing, false);
}

static const char *name_of_room(struct arena *arena, const void *thing)
{
    return address_of_room(arena, thing, false);
}

static const char *name_of_level(struct arena *arena, const void *thing)
{
    (void)arena;
    return ((const struct level *)thing)->name;
}

/* The wall that is wanted, of the room that is wanted or of any. */
static bool choose_wall(const char *wanted, struct results *r)
{
    VEC(const char *) names = {0};
    for (uint32_t i = 0; i < r->model->rooms.n; i++) {
        const struct room *room = r->model->rooms.at[i];
        for (uint32_t w = 0; (!r->only_room || r->only_room == room) && w < room->wall_count; w++) {
            *vec_push(r->arena, &names) = room->walls[w].name;
            if (!strcmp(room->walls[w].name, wanted))
                r->only_wall = wanted;
        }
    }
    if (!r->only_wall)
        cmd_complain_unknown("wall", wanted, names.at, names.n);
    return r->only_wall != NULL;
}

/* The parts that are wanted; false, with a message, where the plan has none of that name. */
static bool choose_things(const struct invocation *inv, struct results *r)
{
    struct model *m = r->model;
#define CHOOSE(what, field, list)                                                                  \
    if (inv->what && !r->field &&                                                                  \
        !(r->field = choose(r->arena, #what, inv->what, (void *const *)m->list.at, m->list.n,      \
                            name_of_##what)))                                                      \
        return false;
    r->only_circuit = circuit_at(r, inv->circuit);
    CHOOSE(circuit, only_circuit, circuits)
    CHOOSE(box, only_box, boxes)
    CHOOSE(room, only_room, rooms)
    CHOOSE(level, only_level, levels)
#undef CHOOSE
    return !inv->wall || choose_wall(inv->wall, r);
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

static bool write_sheets(const struct invocation *inv, const struct wanted *w,
                         const struct compilation *c, struct results *r)
{
    struct invocation of_labels = *inv;
    struct label_sheet *grid = arena_new(r->arena, struct label_sheet);
    int size = cmd_read_paper_size(inv);
    if (w->kinds[0]->draw == sheets_labels) { /* --sheet names their grid */
        if (!cmd_read_label_sheet(inv, grid))
            return false;
        r->sheet = grid;
        of_labels.sheet = inv->number;
        inv = &of_labels;
    }
    return size >= 0 &&
           cmd_write_paper(inv, c,
                           sheets_make(r, (enum paper_size)size, false, w->kinds, w->count));
}

static int make_drawing(const struct invocation *inv, const struct wanted *w)
{
    struct compilation c = {0};
    int status;
    struct results r;
    bool cuts = false;
    for (uint32_t i = 0; i < w->count; i++)
        cuts |= (w->kinds[i]->in & WITH_CUTS) != 0;
    if (cmd_read_results(&c, inv, inv->operands[1], cuts, &r, &status)) {
        bool written = choose_things(inv, &r) &&
                       (w->dot ? write_dot(inv, w->dot, &r) : write_sheets(inv, w, &c, &r));
        if (!written)
            status = EXIT_USAGE;
    }
    compile_free(&c);
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

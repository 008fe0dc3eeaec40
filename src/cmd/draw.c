/* studbay draw: one drawing, as DOT or as a picture, or the sheets of a kind. */
#include "cmd/cmd.h"

#include "emit/drawings/drawings.h"
#include "emit/words/circuits.h"
#include "model/site.h"
#include "sheets/labels.h"
#include "sheets/sheets.h"

#include <string.h>
#include <unistd.h>

static const char *const formats[] = {"dot", "svg", "png", "pdf"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

/* The circuits of a large house take dot some seconds, and a picture of them some MB. */
static const struct program_limits dot_limits = {.seconds = 300, .bytes = (size_t)256 << 20};

static int list_drawings(void)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < drawing_count; i++)
        buf_printf(&b, "%-10s %s\n", drawing_table[i].name, drawing_table[i].doc);
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        buf_printf(&b, "%-10s %s\n", sheet_kinds[i].name, sheet_kinds[i].doc);
    bool written = cmd_write_output(&b, NULL);
    buf_free(&b);
    return written ? EXIT_FINE : EXIT_USAGE;
}

/* A drawing that is SVG to scale already. */
static bool write_picture(const struct invocation *inv, const struct drawing_def *def,
                          struct results *r)
{
    const char *format;
    if (!cmd_read_format(inv, formats, FORMAT_COUNT, &format))
        return false;
    if (format && strcmp(format, "svg") != 0) {
        cmd_complain("%s is written as SVG: --format svg, or none", def->name);
        return false;
    }
    struct buf out = {0};
    r->model->code.reader = def->name;
    def->draw(r, &out);
    bool written = cmd_write_output(&out, inv->output);
    buf_free(&out);
    return written;
}

static bool write_drawing(const struct invocation *inv, const struct drawing_def *def,
                          const struct results *r)
{
    struct buf dot = {0}, picture = {0};
    const char *format, *failed = NULL;
    if (!cmd_read_format(inv, formats, FORMAT_COUNT, &format))
        return false;
    bool plain = !format || !strcmp(format, "dot");
    r->model->code.reader = def->name;
    def->draw(r, &dot);
    if (!plain)
        failed = dot_picture(r->arena, &dot, format, dot_limits, &picture);
    if (failed)
        cmd_complain("%s", failed);
    bool written = !failed && cmd_write_output(plain ? &dot : &picture, inv->output);
    buf_free(&dot);
    buf_free(&picture);
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

static bool write_sheets(const struct invocation *inv, const struct sheet_kind *kind,
                         const struct compilation *c, struct results *r)
{
    struct invocation of_labels = *inv;
    struct label_sheet *grid = arena_new(r->arena, struct label_sheet);
    int size = cmd_read_paper_size(inv);
    if (kind->draw == sheets_labels) { /* --sheet names their grid */
        if (!cmd_read_label_sheet(inv, grid))
            return false;
        r->sheet = grid;
        of_labels.sheet = inv->number;
        inv = &of_labels;
    }
    return size >= 0 &&
           cmd_write_paper(inv, c, sheets_make(r, (enum paper_size)size, false, &kind, 1));
}

/* One of `def` and `kind` is NULL. */
static int make_drawing(const struct invocation *inv, const struct drawing_def *def,
                        const struct sheet_kind *kind)
{
    struct compilation c = {0};
    int status;
    struct results r;
    bool cuts = kind && kind->in & WITH_CUTS;
    if (cmd_read_results(&c, inv, inv->operands[1], cuts, &r, &status)) {
        bool written = choose_things(inv, &r) && (kind       ? write_sheets(inv, kind, &c, &r)
                                                  : def->svg ? write_picture(inv, def, &r)
                                                             : write_drawing(inv, def, &r));
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
        arena_array(inv->arena, const char *, (size_t)drawing_count + sheet_kind_count);
    for (uint32_t i = 0; i < drawing_count; i++)
        names[count++] = drawing_table[i].name;
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        names[count++] = sheet_kinds[i].name;
    return cmd_complain_unknown("drawing", inv->operands[0], names, count);
}

/* What is said wrongly, before the plan is read; 0: nothing. */
static int check_options(const struct invocation *inv, const struct sheet_kind *kind)
{
    const char *format;
    if (inv->operand_count != 2)
        return cmd_complain("draw wants a name and one plan: studbay draw %s PLAN",
                            inv->operands[0]);
    if (!kind && (inv->paper || inv->dpi))
        return cmd_complain("--%s is for sheets, and %s is a drawing of its own size",
                            inv->paper ? "paper" : "dpi", inv->operands[0]);
    if (!cmd_read_format(inv, formats, FORMAT_COUNT, &format))
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
    const struct drawing_def *def = drawing_named(inv->operands[0]);
    const struct sheet_kind *kind = def ? NULL : sheets_named(inv->operands[0]);
    if (!def && !kind)
        return complain_of_name(inv);
    int status = check_options(inv, kind);
    return status ? status : make_drawing(inv, def, kind);
}

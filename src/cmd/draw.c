/* studbay draw: one drawing, as DOT or as a picture. */
#include "cmd/cmd.h"

#include "emit/drawings/drawings.h"
#include "emit/drawings/label_sheet.h"

#include <string.h>
#include <unistd.h>

static const char *const formats[] = {"dot", "svg", "png", "pdf"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

static int list_drawings(void)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < drawing_count; i++)
        buf_printf(&b, "%-10s %s\n", drawing_table[i].name, drawing_table[i].doc);
    bool written = write_output(&b, NULL);
    buf_free(&b);
    return written ? EXIT_FINE : EXIT_USAGE;
}

/* A drawing that is SVG to scale already. */
static bool write_picture(const struct invocation *inv, const struct drawing_def *def, struct results *r)
{
    struct label_sheet sheet;
    if (inv->format && strcmp(inv->format, "svg") != 0)
        return complain("%s is written as SVG: --format svg, or none", def->name) == EXIT_FINE;
    if (!read_label_sheet(inv, &sheet))
        return false;
    r->sheet = &sheet;
    struct buf out = {0};
    def->draw(r, &out);
    bool written = write_output(&out, inv->output);
    buf_free(&out);
    return written;
}

static bool write_drawing(const struct invocation *inv, const struct drawing_def *def, const struct results *r)
{
    struct buf dot = {0}, picture = {0};
    const char *format = inv->format ? inv->format : "dot", *failed = NULL;
    bool plain = !strcmp(format, "dot");
    def->draw(r, &dot);
    if (!plain)
        failed = dot_picture(r->arena, &dot, format, &picture);
    if (failed)
        complain("%s", failed);
    bool written = !failed && write_output(plain ? &dot : &picture, inv->output);
    buf_free(&dot);
    buf_free(&picture);
    return written;
}

/* The one circuit or box that is wanted; false, with a message, where the plan has none of that name. */
static bool choose_thing(const struct invocation *inv, struct results *r)
{
    VEC(const char *) names = {0};
    for (uint32_t i = 0; inv->circuit && i < r->model->circuits.n; i++) {
        const char *name = circuit_address(r->arena, r->model->circuits.at[i], false);
        *vec_push(r->arena, &names) = name;
        if (!strcmp(name, inv->circuit))
            r->only_circuit = r->model->circuits.at[i];
    }
    if (inv->circuit && !r->only_circuit)
        return !complain_unknown("circuit", inv->circuit, names.at, names.n);
    names.n = 0;
    for (uint32_t i = 0; inv->box && i < r->model->boxes.n; i++) {
        const char *name = box_address(r->arena, r->model->boxes.at[i], false);
        *vec_push(r->arena, &names) = name;
        if (!strcmp(name, inv->box))
            r->only_box = r->model->boxes.at[i];
    }
    return !inv->box || r->only_box || !complain_unknown("box", inv->box, names.at, names.n);
}

static int make_drawing(const struct invocation *inv, const struct drawing_def *def)
{
    struct compilation c = {0};
    int status;
    if (read_plan_for_output(&c, inv, inv->operands[1], &status)) {
        struct results r = results_of(&c);
        if (!choose_thing(inv, &r) || !(def->svg ? write_picture(inv, def, &r) : write_drawing(inv, def, &r)))
            status = EXIT_USAGE;
    }
    compile_free(&c);
    return status;
}

int command_draw(const struct invocation *inv)
{
    if (!inv->operand_count)
        return list_drawings();
    const struct drawing_def *def = drawing_named(inv->operands[0]);
    if (!def) {
        const char **names = arena_array(inv->arena, const char *, drawing_count);
        for (uint32_t i = 0; i < drawing_count; i++)
            names[i] = drawing_table[i].name;
        return complain_unknown("drawing", inv->operands[0], names, drawing_count);
    }
    if (inv->operand_count != 2)
        return complain("draw wants a name and one plan: studbay draw %s PLAN", inv->operands[0]);
    if (inv->format && find_name(inv->format, formats, FORMAT_COUNT) == FORMAT_COUNT)
        return complain_unknown("format", inv->format, formats, FORMAT_COUNT);
    bool bytes = inv->format && (!strcmp(inv->format, "png") || !strcmp(inv->format, "pdf"));
    if (bytes && !inv->output && isatty(STDOUT_FILENO))
        return complain("%s is nothing to read on a terminal; name a file with -o", inv->format);
    return make_drawing(inv, def);
}

/* studbay prove: what is proven of the make-up, or the made-up circuits as a SPICE deck. */
#include "cmd/cmd.h"

#include "base/json.h"
#include "emit/table.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "model/address.h"
#include "model/makeup.h"
#include "model/power.h"
#include "prove/graph.h"
#include "prove/netlist.h"
#include "prove/prove.h"

#include <string.h>

static const char *const formats[] = {"text", "json"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

enum { TEXT_WIDTH = 100, CLAIM_AT = 13 /* of a statement's words */ };

static const char caution[] = "The proof is about the make-up as it is written down. That hands "
                              "did the same, a test shows: circuits dead, locked "
                              "and tested before any work on them. The local authority decides.";

/* --- the verdict -------------------------------------------------------------------------- */

static struct cell circuit_cell(struct compilation *c, const struct circuit *circuit)
{
    return cell_shown(cell_text(address_of_circuit(&c->arena, circuit, false)),
                      panel_circuit_called(&c->arena, c->panels, circuit, false));
}

static void circuit_table(struct compilation *c, const struct verdict *v, struct grid *t)
{
    static const struct column columns[] = {
        {"circuit", "Circuit", 0, 0},
        {"title", "Title", 0, 0},
        {"boxes", "Boxes", 0, COLUMN_RIGHT},
        {"loads", "Loads", 0, COLUMN_RIGHT},
        {"switches", "Switches", 0, COLUMN_RIGHT},
        {"legs", "Legs", 0, COLUMN_RIGHT},
        {"positions", "Positions", 0, COLUMN_RIGHT},
        {"left_out", "Left out", 0, COLUMN_IF_USED},
    };
    table_begin(t, &c->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < v->circuit_count; i++) {
        const struct proven_circuit *p = &v->circuits[i];
        if (!p->circuit->runs.n)
            continue;
        struct cell *row = table_row(t);
        row[0] = circuit_cell(c, p->circuit);
        row[1] = cell_text(p->circuit->title);
        row[2] = cell_integer(p->boxes);
        row[3] = cell_integer(p->loads);
        row[4] = cell_integer(p->switches);
        row[5] = cell_integer(p->legs);
        row[6] = cell_integer((int64_t)p->positions);
        row[7] = cell_text(p->left_out);
    }
}

static void leg_table(struct compilation *c, const struct verdict *v, struct grid *t)
{
    static const struct column columns[] = {
        {"leg", "Leg", 0, 0},
        {"circuit", "Circuit", 0, 0},
        {"switches", "Switches", 0, COLUMN_RIGHT},
        {"loads", "Loads", 0, COLUMN_RIGHT},
        {"positions", "Positions", 0, COLUMN_RIGHT},
    };
    table_begin(t, &c->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < v->legs.n; i++) {
        const struct proven_leg *l = &v->legs.at[i];
        struct cell *row = table_row(t);
        row[0] = cell_text(address_of_leg(&c->arena, l->leg, false));
        row[1] = circuit_cell(c, l->leg->controls.at[0]->circuit);
        row[2] = cell_integer(l->switches);
        row[3] = cell_integer(l->loads);
        row[4] = cell_integer((int64_t)l->positions);
    }
}

/* What is left out is not said to be proven. */
static const char *heading(const struct verdict *v)
{
    uint32_t left = 0, all = 0;
    for (uint32_t i = 0; i < v->circuit_count; i++) {
        left += v->circuits[i].left_out != NULL;
        all += v->circuits[i].left_out || v->circuits[i].boxes;
    }
    return !v->holds     ? "Looked at, with the number of things that each was asked of:"
           : !left       ? "Proven, with the number of things that each was shown of:"
           : left == all ? "Nothing is proven: every circuit is left out."
                         : "Proven, but for the circuits that are left out, with the number of "
                           "things that each was shown of:";
}

static void write_text(struct compilation *c, const struct verdict *v, unsigned width,
                       struct buf *out)
{
    struct grid circuits, legs;
    circuit_table(c, v, &circuits);
    leg_table(c, v, &legs);
    table_print_paragraph(out, "prove: what the make-up does in every position of the switches",
                          width, 0);
    table_print_paragraph(out, c->model->title ? c->model->title : "", width, 0);
    buf_putc(out, '\n');
    table_text(&circuits, out, width);
    if (table_rows(&legs)) {
        buf_putc(out, '\n');
        table_text(&legs, out, width);
    }
    buf_putc(out, '\n');
    table_print_paragraph(out, heading(v), width, 0);
    for (int s = 1; s < STATEMENT_COUNT; s++)
        table_print_paragraph(out,
                              arena_printf(&c->arena, "  %d  %6u  %s", s, v->claims[s],
                                           prove_statement_words((enum statement)s)),
                              width, CLAIM_AT);
    buf_putc(out, '\n');
    table_print_paragraph(out,
                          arena_printf(&c->arena,
                                       "Positions gone through: %llu. Circuits left out: %u.",
                                       (unsigned long long)v->positions, v->left_out),
                          width, 0);
    table_print_paragraph(
        out, v->holds ? caution : "The proof FAILED; what failed stands on standard error.", width,
        0);
}

static void json_failure(struct json *j, struct arena *arena, const struct proof_failure *f)
{
    json_begin_object(j, JSON_ROW);
    json_integer_member(j, "statement", f->statement);
    json_string_member(j, "circuit",
                       f->circuit ? address_of_circuit(arena, f->circuit, false) : NULL);
    json_string_member(j, "leg", f->leg ? address_of_leg(arena, f->leg, false) : NULL);
    json_string_member(j, "box", f->box ? address_of_box(arena, f->box, false) : NULL);
    json_string_member(j, "what", f->what);
    json_string_member(j, "position", f->position);
    json_string_member(j, "path", f->path);
    json_end(j);
}

static void json_statements(struct json *j, const struct verdict *v)
{
    json_key(j, "statements");
    json_begin_array(j, JSON_LINES);
    for (int s = 1; s < STATEMENT_COUNT; s++) {
        json_begin_object(j, JSON_ROW);
        json_integer_member(j, "statement", s);
        json_integer_member(j, "claims", v->claims[s]);
        json_string_member(j, "words", prove_statement_words((enum statement)s));
        json_end(j);
    }
    json_end(j);
}

static void write_json(struct compilation *c, const struct verdict *v, struct buf *out)
{
    struct grid circuits, legs;
    struct json j = json_begin(out);
    circuit_table(c, v, &circuits);
    leg_table(c, v, &legs);
    json_begin_object(&j, JSON_LINES);
    json_string_member(&j, "plan", c->model->title);
    json_bool_member(&j, "holds", v->holds);
    json_integer_member(&j, "positions", (int64_t)v->positions);
    json_integer_member(&j, "left_out", v->left_out);
    json_statements(&j, v);
    json_key(&j, "rows");
    table_json(&circuits, &j);
    json_key(&j, "legs");
    table_json(&legs, &j);
    json_key(&j, "failures");
    json_begin_array(&j, JSON_LINES);
    for (uint32_t i = 0; i < v->failures.n; i++)
        json_failure(&j, &c->arena, &v->failures.at[i]);
    json_end(&j);
    json_end(&j);
    buf_putc(out, '\n');
}

static int write_verdict(const struct invocation *inv, const char *format, struct compilation *c,
                         int status)
{
    const struct verdict *v = c->verdict;
    unsigned width;
    if (!cmd_read_width(inv, TEXT_WIDTH, &width))
        return EXIT_USAGE;
    struct buf out = {0}, failed = {0};
    if (format && !strcmp(format, "json"))
        write_json(c, v, &out);
    else
        write_text(c, v, width, &out);
    prove_verdict_print_failures(v, &c->arena, &failed);
    cmd_write_error(&failed);
    bool written = cmd_write_output(&out, inv->output);
    buf_free(&out);
    buf_free(&failed);
    return !written               ? EXIT_USAGE
           : v->holds             ? status
           : handle_has_defect(c) ? EXIT_PROOF
                                  : EXIT_PLAN;
}

/* --- the deck ----------------------------------------------------------------------------- */

/* The resistance of one conductor of each run, by the edition's table and the route. */
static double *resistances(struct compilation *c)
{
    double *ohm = arena_array(&c->arena, double, c->model->runs.n + 1);
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct cable_def *cable = c->makeup->runs[i].cable;
        if (cable && c->makeup->runs[i].made && c->routes->of_run[i].known)
            ohm[i] = resistance_of_cable(c->model, cable) *
                     length_feet(c->routes->of_run[i].electrical) / 1000;
    }
    return ohm;
}

/* Puts the switches that one BOX=WORD or BOX/LEG=WORD names into their position. False, with a
 * message, where it names none. */
static bool set_switches(struct compilation *c, const struct graph *g, const char *word,
                         uint8_t *at)
{
    const char *equals = strchr(word, '=');
    if (!equals) {
        cmd_complain("--position wants SWITCH=WORD, as in studio.S1=down; '%s' has no =", word);
        return false;
    }
    const char *name = arena_copy(&c->arena, word, (size_t)(equals - word));
    bool found = false;
    for (uint32_t i = 0; i < g->switches.n; i++) {
        const struct switch_part *s = &g->switches.at[i];
        const char *box = address_of_box(&c->arena, s->part->device->box, false);
        if (strcmp(name, box) &&
            (!s->part->leg ||
             strcmp(name, arena_printf(&c->arena, "%s/%s", box, s->part->leg->name))))
            continue;
        for (uint8_t k = 0; k < s->position_count; k++)
            if (!strcmp(s->positions[k].name, equals + 1)) {
                at[i] = k;
                found = true;
            }
    }
    if (!found)
        cmd_complain("--position: no switch '%s' has a position '%s'", name, equals + 1);
    return found;
}

static bool set_positions(struct compilation *c, const struct graph *g, const char *list,
                          uint8_t *at)
{
    while (list && *list) {
        size_t len = strcspn(list, ",");
        if (!set_switches(c, g, arena_copy(&c->arena, list, len), at))
            return false;
        list += len + (list[len] == ',');
    }
    return true;
}

static bool find_circuit(struct compilation *c, const char *wanted, const struct circuit **found)
{
    VEC(const char *) names = {0};
    for (uint32_t i = 0; wanted && i < c->model->circuits.n; i++) {
        const char *name = address_of_circuit(&c->arena, c->model->circuits.at[i], false);
        const char *handle =
            panel_circuit_called(&c->arena, c->panels, c->model->circuits.at[i], false);
        *vec_push(&c->arena, &names) = name;
        if (!strcmp(name, wanted) || !strcmp(handle, wanted))
            *found = c->model->circuits.at[i];
    }
    if (wanted && !*found)
        cmd_complain_unknown("circuit", wanted, names.at, names.n);
    return !wanted || *found;
}

static int write_deck(const struct invocation *inv, struct compilation *c, int status)
{
    struct graph *g = graph_of(&c->arena, c->model, c->makeup);
    uint8_t *at = arena_array(&c->arena, uint8_t, g->switches.n + 1);
    struct netlist_options options = {.verdict = c->verdict,
                                      .ohm = resistances(c),
                                      .at = at,
                                      .constant_current = inv->constant_current != NULL};
    if (!find_circuit(c, inv->circuit, &options.circuit) || !set_positions(c, g, inv->position, at))
        return EXIT_USAGE;
    struct buf out = {0};
    netlist_write(&out, &c->arena, g, &options);
    bool written = cmd_write_output(&out, inv->output);
    buf_free(&out);
    return written ? status : EXIT_USAGE;
}

int command_prove(const struct invocation *inv)
{
    if (inv->operand_count != 1)
        return cmd_complain("prove wants one plan: studbay prove PLAN");
    const char *format = NULL;
    if (inv->netlist && inv->format)
        return cmd_complain("a netlist has one format: leave --format out");
    if (!inv->netlist && !cmd_read_format(inv, formats, FORMAT_COUNT, &format))
        return EXIT_USAGE;
    if (!inv->netlist && (inv->circuit || inv->position || inv->constant_current))
        return cmd_complain("--circuit, --position and --constant-current go with --netlist");
    struct compilation c = {0};
    int status;
    if (cmd_open_plan(&c, inv, inv->operands[0], false, &status))
        status =
            inv->netlist ? write_deck(inv, &c, status) : write_verdict(inv, format, &c, status);
    compile_free(&c);
    return status;
}

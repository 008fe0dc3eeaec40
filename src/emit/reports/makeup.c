/* How each box is made up. JSON has a row a box with its splices, landings and caps; for people
 * each joint is a line of the box's card. */
#include "base/json.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "model/site.h"

#include <string.h>

enum { BOX, UNIT, CIRCUITS, HANDLES, SPLICES, LANDINGS, CAPS, CARD };

static const struct column columns[] = {
    [BOX] = {"box", "Box", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [CIRCUITS] = {"circuits", "Circuits", 0, COLUMN_DATA},
    [HANDLES] = {"handles", "Breakers", 0, COLUMN_DATA},
    [SPLICES] = {"splices", "Splices", 0, COLUMN_DATA},
    [LANDINGS] = {"landings", "Landings", 0, COLUMN_DATA},
    [CAPS] = {"caps", "Caps", 0, COLUMN_DATA},
    [CARD] = {"card", "Make-up", 0, COLUMN_IF_USED},
};

struct words {
    const struct results *r;
    struct json *json;
    struct buf text;
};

static void json_conductor(struct words *w, const struct lead *l)
{
    json_object(w->json, JSON_ROW);
    json_string_member(w->json, "run", view_of_run(w->r, l->run)->address);
    json_string_member(w->json, "colour", lead_color(w->r, l));
    json_string_member(w->json, "size", lead_size(w->r, l));
    json_end(w->json);
}

/* What a pigtail leads to. */
static const char *pigtail_words(const struct words *w, const struct lead *l)
{
    if (l->kind == LEAD_BOX)
        return "the metal box";
    if (l->kind != LEAD_TERMINAL)
        return "the circuit that is there";
    return words_terminal_words(w->r, l);
}

/* "black of P -> studio.S1"; within one card the far end names a cable well enough. */
static void text_conductor(struct words *w, const struct joint *j, const struct lead *l)
{
    struct end far = l->at_to ? l->run->from : l->run->to;
    const char *name = far.box && j->box && far.box->room == j->box->room
                           ? far.box->name
                           : address_of_end(w->r->arena, far, false);
    buf_printf(&w->text, "%s %s %s%s%s", lead_color(w->r, l), l->at_to ? "from" : "to", name,
               l->run->label ? " " : "", l->run->label ? l->run->label : "");
}

static void json_splice(struct words *w, const struct joint *j)
{
    json_object(w->json, JSON_ROW);
    json_string_member(w->json, "net", j->net);
    json_key(w->json, "conductors");
    json_array(w->json, JSON_ROW);
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (j->leads[i].kind == LEAD_CONDUCTOR)
            json_conductor(w, &j->leads[i]);
    json_end(w->json);
    json_key(w->json, "pigtails");
    json_array(w->json, JSON_ROW);
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (j->leads[i].kind != LEAD_CONDUCTOR)
            json_string(w->json, pigtail_words(w, &j->leads[i]));
    json_end(w->json);
    json_string_member(w->json, "connector", j->connector);
    json_end(w->json);
}

/* The conductors first, then the pigtails. */
static void write_splice(struct words *w, const struct joint *j)
{
    bool any = false;
    json_splice(w, j);
    buf_printf(&w->text, "%s: ", j->net);
    for (uint32_t i = 0; i < 2 * j->lead_count; i++) {
        const struct lead *l = &j->leads[i % j->lead_count];
        bool conductor = l->kind == LEAD_CONDUCTOR;
        if (conductor != (i < j->lead_count))
            continue;
        buf_puts(&w->text, any ? " + " : "");
        if (conductor)
            text_conductor(w, j, l);
        else
            buf_puts(&w->text, pigtail_words(w, l));
        any = true;
    }
    buf_printf(&w->text, " (%s)",
               j->connector ? j->connector : "no connector of the library holds them");
}

static void write_landing(struct words *w, const struct joint *j)
{
    const struct lead *end = lead_of_joint(j, LEAD_CONDUCTOR),
                      *terminal = lead_of_joint(j, LEAD_TERMINAL);
    const char *name = words_terminal_words(w->r, terminal);
    json_object(w->json, JSON_ROW);
    json_string_member(w->json, "terminal", name);
    json_string_member(w->json, "run", view_of_run(w->r, end->run)->address);
    json_string_member(w->json, "colour", lead_color(w->r, end));
    json_end(w->json);
    buf_printf(&w->text, "%s: ", name);
    text_conductor(w, j, end);
}

static void write_cap(struct words *w, const struct joint *j)
{
    json_object(w->json, JSON_ROW);
    json_string_member(w->json, "net", j->net);
    json_key(w->json, "conductor");
    json_conductor(w, &j->leads[0]);
    json_end(w->json);
    buf_printf(&w->text, "%s: ", j->net);
    text_conductor(w, j, &j->leads[0]);
}

static struct cell joints_cell(const struct results *r, const struct box *b, enum joint_kind kind,
                               void (*write)(struct words *, const struct joint *))
{
    struct buf nested = {0};
    struct json json = json_begin(&nested);
    struct words w = {.r = r, .json = &json};
    json_array(&json, JSON_ROW);
    for (uint32_t i = r->makeup->first_of_box[b->id]; i < r->makeup->first_of_box[b->id + 1]; i++) {
        if (r->makeup->joints.at[i].kind != kind)
            continue;
        buf_puts(&w.text, w.text.n ? "; " : "");
        write(&w, &r->makeup->joints.at[i]);
    }
    json_end(&json);
    struct cell c = cell_json(arena_copy(r->arena, nested.at, nested.n),
                              arena_copy(r->arena, w.text.n ? w.text.at : "", w.text.n));
    buf_free(&nested);
    buf_free(&w.text);
    return c;
}

/* The breakers that must be off before the box is opened; two of them are named as such. */
static void circuits_cells(const struct results *r, const struct box *b, struct cell *row)
{
    VEC(const char *) names = {0}, called = {0};
    struct map seen = {0};
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct run *run = b->runs.at[i];
        for (uint32_t k = 0; k <= run->also.n; k++) {
            const struct circuit *c = k ? run->also.at[k - 1] : run->circuit;
            void **at = map_at(r->arena, &seen, (uintptr_t)c, 1);
            if (!*at) {
                *vec_push(r->arena, &names) = address_of_circuit(r->arena, c, false);
                *vec_push(r->arena, &called) = words_circuit(r, c);
            }
            *at = (void *)c;
        }
    }
    row[CIRCUITS] = cell_list(names.at, names.n);
    row[HANDLES] = cell_list(called.at, called.n);
    if (names.n < 2)
        return;
    const char *text = names.n == 2 ? "TWO CIRCUITS: breakers "
                                    : arena_printf(r->arena, "%u CIRCUITS: breakers ", names.n);
    for (uint32_t i = 0; i < names.n; i++)
        text = arena_printf(r->arena, "%s%s%s", text,
                            !i                 ? ""
                            : i + 1 == names.n ? " and "
                                               : ", ",
                            called.at[i]);
    row[HANDLES] = cell_shown(row[HANDLES], text);
}

static const char *breakers_words(const struct results *r, const struct cell *circuits)
{
    if (circuits->shown || !circuits->list.count)
        return circuits->shown ? circuits->shown : "";
    return arena_printf(r->arena, "breaker %s", circuits->list.item[0]);
}

/* The joints of a box one below the other: what is spliced, what lands, what is capped. */
static const char *card(const struct results *r, const struct cell *row)
{
    static const struct {
        int column;
        const char *word;
    } sorts[] = {{SPLICES, "splice"}, {LANDINGS, "land"}, {CAPS, "cap"}};
    struct buf b = {0};
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++) {
        for (const char *p = row[sorts[i].column].shown; *p;) {
            size_t len = strcspn(p, ";");
            buf_printf(&b, "%s%s  %.*s", b.n ? "\n" : "", sorts[i].word, (int)len, p);
            p += len;
            p += strspn(p, "; ");
        }
    }
    const char *text = arena_copy(r->arena, b.n ? b.at : "", b.n);
    buf_free(&b);
    return text;
}

void report_makeup(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    uint32_t unmade = 0;
    for (uint32_t i = 0; i < r->model->runs.n; i++)
        unmade += r->model->runs.at[i]->circuit && !r->makeup->runs[i].made &&
                  view_of_run(r, r->model->runs.at[i])->built;
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box *b = r->model->boxes.at[i];
        if (!facts_is_built(b->room->unit) ||
            r->makeup->first_of_box[i] == r->makeup->first_of_box[i + 1])
            continue;
        struct cell *row = table_row(&report->rows);
        row[BOX] = cell_text(view_of_box(r, b)->address);
        row[UNIT] = words_unit_cell(b->room->unit);
        circuits_cells(r, b, row);
        row[SPLICES] = joints_cell(r, b, JOINT_SPLICE, write_splice);
        row[LANDINGS] = joints_cell(r, b, JOINT_LANDING, write_landing);
        row[CAPS] = joints_cell(r, b, JOINT_CAP, write_cap);
        row[BOX].shown =
            arena_printf(r->arena, "%s\n%s", row[BOX].text, breakers_words(r, &row[HANDLES]));
        row[CARD] = cell_shown((struct cell){0}, card(r, row));
    }
    *vec_push(r->arena, &report->notes) =
        "Re-identified: mark that white with another colour wherever it shows. A splice with a "
        "device lists its pigtail; luminaires are spliced with their own wires.";
    if (unmade)
        *vec_push(r->arena, &report->notes) =
            arena_printf(r->arena, "%u run%s could not be made up: see the findings of check.",
                         unmade, unmade == 1 ? "" : "s");
}

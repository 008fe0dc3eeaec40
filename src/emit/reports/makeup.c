/* How each box is made up. JSON has a row a box with its splices, landings and caps; for people
 * each joint is a line of the box's card. */
#include "base/json.h"
#include "cuts/labels.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/cables.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "model/site.h"

#include <string.h>

enum { BOX, UNIT, CIRCUITS, HANDLES, UNPROVEN, TABS, SPLICES, LANDINGS, CAPS, PASSES, CARD };

static const struct column columns[] = {
    [BOX] = {"box", "Box", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [CIRCUITS] = {"circuits", "Circuits", 0, COLUMN_DATA},
    [HANDLES] = {"handles", "Breakers", 0, COLUMN_DATA},
    [UNPROVEN] = {"not_proven", "Not proven", 0, COLUMN_DATA | COLUMN_IF_USED},
    [TABS] = {"tabs", "Tabs", 0, COLUMN_DATA},
    [SPLICES] = {"splices", "Splices", 0, COLUMN_DATA},
    [LANDINGS] = {"landings", "Landings", 0, COLUMN_DATA},
    [CAPS] = {"caps", "Caps", 0, COLUMN_DATA},
    [PASSES] = {"passes", "Passes", 0, COLUMN_DATA | COLUMN_IF_USED},
    [CARD] = {"card", "Make-up", 0, COLUMN_IF_USED},
};

struct words {
    const struct results *r;
    const struct cables *cables; /* of the box at hand */
    bool several; /* circuits that are there already come to the box, and more than one */
    struct json *json;
    struct buf text;
};

/* The cable of a conductor: its run, what is glued on it, and what the card says where that does
 * not tell it from the others of the box. */
static void json_cable(struct words *w, const struct lead *l)
{
    const struct run_view *v = view_of_run(w->r, l->run);
    const char *mark = cables_mark(w->cables, l->run);
    json_string_member(w->json, "run", v->address);
    const char *label = label_is_new(l->run) ? v->tag : NULL;
    json_string_member(w->json, "label", label);
    if (mark && (!label || strcmp(mark, label)))
        json_string_member(w->json, "mark", mark);
    if (!lead_color(w->r, l) && l->conductor != CONDUCTOR_GROUND)
        json_integer_member(w->json, "wire", l->conductor + 1);
    json_string_member(w->json, "colour", lead_color(w->r, l));
}

static void json_conductor(struct words *w, const struct lead *l)
{
    json_begin_object(w->json, JSON_ROW);
    json_cable(w, l);
    json_string_member(w->json, "size", lead_size(w->r, l));
    json_end(w->json);
}

static void json_splice(struct words *w, const struct joint *j)
{
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "net", j->net);
    json_key(w->json, "conductors");
    json_begin_array(w->json, JSON_ROW);
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (j->leads[i].kind == LEAD_CONDUCTOR)
            json_conductor(w, &j->leads[i]);
    json_end(w->json);
    json_key(w->json, "pigtails");
    json_begin_array(w->json, JSON_ROW);
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (lead_is_pigtail(&j->leads[i]))
            json_text(w->json, words_pigtail(w->r, &j->leads[i], w->several));
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
        if (conductor != (i < j->lead_count) || !(conductor || lead_is_pigtail(l)))
            continue;
        buf_printf(&w->text, "%s%s", any ? " + " : "",
                   conductor ? cables_conductor_words(w->cables, l)
                             : words_pigtail(w->r, l, w->several));
        any = true;
    }
    buf_printf(&w->text, " (%s)", words_connector(j));
}

static void write_landing(struct words *w, const struct joint *j)
{
    const struct lead *end = lead_of_joint(j, LEAD_CONDUCTOR),
                      *terminal = lead_of_joint(j, LEAD_TERMINAL);
    const char *name = words_terminal_words(w->r, terminal);
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "terminal", name);
    json_cable(w, end);
    json_end(w->json);
    buf_printf(&w->text, "%s: %s", name, cables_conductor_words(w->cables, end));
}

static void write_cap(struct words *w, const struct joint *j)
{
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "net", j->net);
    json_key(w->json, "conductor");
    json_conductor(w, &j->leads[0]);
    json_end(w->json);
    buf_printf(&w->text, "%s: %s", j->net, cables_conductor_words(w->cables, &j->leads[0]));
}

/* A conductor that is not cut in the box: where it comes from and where it goes on to. */
static void write_pass(struct words *w, const struct joint *j)
{
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "net", j->net);
    json_key(w->json, "conductors");
    json_begin_array(w->json, JSON_ROW);
    for (uint32_t i = 0; i < j->lead_count; i++)
        json_conductor(w, &j->leads[i]);
    json_end(w->json);
    json_end(w->json);
    buf_printf(&w->text, "%s: %s", j->net, cables_pass_words(w->cables, j));
}

/* --- tabs --------------------------------------------------------------------------------- */

static void json_tab(struct words *w, const struct made_tab *t)
{
    const struct lead a = {.kind = LEAD_TERMINAL, .part = t->part, .terminal = t->terminal},
                      b = {.kind = LEAD_TERMINAL, .part = t->beside, .terminal = t->to};
    json_begin_object(w->json, JSON_ROW);
    json_string_member(w->json, "device", words_device_in_box(w->r, t->part->device));
    json_string_member(w->json, "side", words_tab_side(w->r, t));
    json_key(w->json, "between");
    json_begin_array(w->json, JSON_ROW);
    json_text(w->json, words_terminal_words(w->r, &a));
    json_text(w->json, words_terminal_words(w->r, &b));
    json_end(w->json);
    json_bool_member(w->json, "broken", t->broken);
    json_end(w->json);
}

/* A line for each device with tabs. */
static void write_tabs(struct words *w, const struct box *b)
{
    const struct makeup *k = w->r->makeup;
    for (uint32_t i = 0; i < b->device_count; i++) {
        uint32_t id = b->devices[i]->id;
        const char *words = words_tabs(w->r, b->devices[i]);
        for (uint32_t t = k->first_tab[id]; t < k->first_tab[id + 1]; t++)
            json_tab(w, &k->tabs.at[t]);
        if (words)
            buf_printf(&w->text, "%s%s", w->text.n ? "; " : "", words);
    }
}

/* --- cells -------------------------------------------------------------------------------- */

/* The joints of a kind in the box. */
static void write_joints(struct words *w, const struct box *b, enum joint_kind kind)
{
    static void (*const write[])(struct words *,
                                 const struct joint *) = {[JOINT_SPLICE] = write_splice,
                                                          [JOINT_LANDING] = write_landing,
                                                          [JOINT_CAP] = write_cap,
                                                          [JOINT_PASS] = write_pass};
    const struct makeup *k = w->r->makeup;
    for (uint32_t i = k->first_of_box[b->id]; i < k->first_of_box[b->id + 1]; i++) {
        if (k->joints.at[i].kind != kind)
            continue;
        buf_puts(&w->text, w->text.n ? "; " : "");
        write[kind](w, &k->joints.at[i]);
    }
}

/* A list of the card, of joints of a kind or of tabs: empty where the make-up of the box is not
 * proven. */
static struct cell card_cell(const struct cables *cables, bool proven, int column)
{
    const struct results *r = cables->r;
    const struct box *b = cables->box;
    struct buf nested = {0};
    struct json json = json_begin(&nested);
    struct words w = {
        .r = r, .cables = cables, .json = &json, .several = words_old_circuits(b) > 1};
    json_begin_array(&json, JSON_ROW);
    if (proven && column == TABS)
        write_tabs(&w, b);
    else if (proven)
        write_joints(&w, b,
                     column == SPLICES    ? JOINT_SPLICE
                     : column == LANDINGS ? JOINT_LANDING
                     : column == CAPS     ? JOINT_CAP
                                          : JOINT_PASS);
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
        text = arena_listed(r->arena, text, i, names.n, called.at[i]);
    row[HANDLES] = cell_shown(row[HANDLES], text);
}

static const char *breakers_words(const struct results *r, const struct cell *circuits)
{
    if (circuits->shown || !circuits->list.count)
        return circuits->shown ? circuits->shown : "";
    return arena_printf(r->arena, "breaker %s", circuits->list.item[0]);
}

/* The joints of a box one below the other: what is broken off, what is spliced, what lands, what is
 * capped. */
static const char *card(const struct results *r, const struct cell *row)
{
    static const struct {
        int column;
        const char *word;
    } sorts[] = {{TABS, ""},
                 {SPLICES, "splice  "},
                 {LANDINGS, "land  "},
                 {CAPS, "cap  "},
                 {PASSES, "pass  "}};
    struct buf b = {0};
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++) {
        for (const char *p = row[sorts[i].column].shown; *p;) {
            size_t len = strcspn(p, ";");
            buf_printf(&b, "%s%s%.*s", b.n ? "\n" : "", sorts[i].word, (int)len, p);
            p += len;
            p += strspn(p, "; ");
        }
    }
    const char *text = arena_copy(r->arena, b.n ? b.at : "", b.n);
    buf_free(&b);
    return text;
}

/* Whether the card tells cables apart by their labels. */
static bool add_box(const struct results *r, struct report *report, const struct box *b)
{
    struct cables cables;
    struct cell *row = table_row(&report->rows);
    const char *unproven = view_of_box(r, b)->unproven;
    cables_of_box(r, b, &cables);
    row[BOX] = cell_text(view_of_box(r, b)->address);
    row[UNIT] = words_unit_cell(b->room->unit);
    circuits_cells(r, b, row);
    row[UNPROVEN] = cell_text(unproven);
    for (int column = TABS; column <= PASSES; column++)
        row[column] = card_cell(&cables, !unproven, column);
    row[BOX].shown =
        arena_printf(r->arena, "%s\n%s", row[BOX].text, breakers_words(r, &row[HANDLES]));
    row[CARD] =
        cell_shown((struct cell){0},
                   unproven ? arena_printf(r->arena, "not proven, so not printed: %s", unproven)
                            : card(r, row));
    return !unproven && cables.in_brackets;
}

/* The circuits whose make-up is not proven. */
static void note_unproven(const struct results *r, struct report *report)
{
    struct buf b = {0};
    uint32_t n = 0;
    for (uint32_t i = 0; i < r->model->circuits.n; i++) {
        const char *why = facts_is_built(r->model->circuits.at[i]->unit)
                              ? view_unproven(r, r->model->circuits.at[i])
                              : NULL;
        if (why)
            buf_printf(&b, "%s%s", n++ ? "; " : "", why);
    }
    if (n)
        *vec_push(r->arena, &report->notes) =
            arena_printf(r->arena,
                         "Left out, as nothing is proven of %s: %s. No box that %s reaches is "
                         "printed; see the findings of check.",
                         n == 1 ? "it" : "them", buf_text(&b), n == 1 ? "it" : "one of them");
    buf_free(&b);
}

/* Whether a card speaks of a cable that is there and of which nobody says what it is. */
static bool has_old_wires(const struct results *r)
{
    for (uint32_t i = 0; i < r->model->runs.n; i++)
        if (r->makeup->runs[i].made && !r->makeup->runs[i].cable)
            return true;
    return false;
}

/* Whether a card has a raceway among its grounds. */
static bool has_raceways(const struct results *r)
{
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        const struct made_run *m = &r->makeup->runs[i];
        if (m->made && m->cable && m->cable->ground == GROUND_RACEWAY)
            return true;
    }
    return false;
}

void report_makeup(const struct results *r, struct report *report)
{
    bool labels = false;
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box *b = r->model->boxes.at[i];
        if (facts_is_built(b->room->unit) &&
            r->makeup->first_of_box[i] != r->makeup->first_of_box[i + 1])
            labels |= add_box(r, report, b);
    }
    report->says = arena_printf(r->arena, "%s to make up.",
                                arena_counted(r->arena, table_rows(&report->rows), "box", "boxes"));
    *vec_push(r->arena, &report->notes) =
        "Re-identified: mark that white with another colour wherever it shows. A splice with a "
        "device lists its pigtail; luminaires are spliced with their own wires.";
    if (labels)
        *vec_push(r->arena, &report->notes) =
            "In brackets: the label on the cable, where several go to the same place.";
    if (has_raceways(r))
        *vec_push(r->arena, &report->notes) = "A raceway among grounds is no wire: its connectors, "
                                              "made tight on the metal box, join it.";
    if (has_old_wires(r))
        *vec_push(r->arena, &report->notes) =
            "Old wire: of a cable that is there and that the plan does not tell. Its wires are "
            "numbered here; find each at both ends, dead, before it is joined.";
    note_unproven(r, report);
}

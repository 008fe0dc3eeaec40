/* propose circuits: boxes to circuits, with breakers and spaces.
 *
 * What belongs together is put into pieces; each is compiled as a circuit of its own, which tells
 * its load; the pieces are shared out; and the circuits that come of it are compiled again, by
 * words, so that the real stages give them breakers, spaces and findings. Where a rule finds that
 * something leaves no room for others, it is taken out and the rest is shared out anew. */
#include "propose/circuits_work.h"

#include "compile.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "model/address.h"
#include "propose/propose.h"
#include "resolve/edit.h"
#include "resolve/node.h"
#include "resolve/value.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_ROUNDS = 8 };

/* --- settings -----------------------------------------------------------------------------------
 */

static struct circuit_settings settings_of(struct code *code, const char *lights)
{
    code->reader = "propose";
    struct circuit_settings set = {
        .apart = lights ? !strcmp(lights, "apart")
                        : code_says(code, SET_CIRCUIT_PROPOSALS_LIGHTS, "apart"),
        .receptacles = fmax(code_count(code, SET_CIRCUIT_PROPOSALS_RECEPTACLES, 0), 1),
        .lights = fmax(code_count(code, SET_CIRCUIT_PROPOSALS_OUTLETS, 0), 1),
        .receptacle_breaker = code_current(code, SET_CIRCUIT_PROPOSALS_RECEPTACLE_BREAKER, 0),
        .light_breaker = code_current(code, SET_CIRCUIT_PROPOSALS_LIGHT_BREAKER, 0),
        .range_breaker = code_current(code, SET_CIRCUIT_PROPOSALS_RANGE_BREAKER, 0),
        .heat_breaker = code_current(code, SET_CIRCUIT_PROPOSALS_HEAT_BREAKER, 0),
        .fill = code_share(code, SET_CIRCUIT_PROPOSALS_FILL, 1),
        .room_feet = length_feet(code_length(code, SET_CIRCUIT_PROPOSALS_ROOM, 0)),
    };
    code_table(code, LIST_PROPOSED_BREAKERS);
    code->reader = NULL;
    return set;
}

/* The smallest breaker of the list that is no less; the largest of it where all are. */
static double breaker_of(struct code *code, double amps)
{
    const struct table *t = code_find_table(code, LIST_PROPOSED_BREAKERS);
    double best = 0, largest = 0;
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double size = value_amount(&t->rows.at[i].cells[0], 0);
        largest = fmax(largest, size);
        if (size >= amps - 1e-6 && (best <= 0 || size < best))
            best = size;
    }
    return best > 0 ? best : largest;
}

/* --- text ---------------------------------------------------------------------------------------
 */

/* A text in quotes, as the plan has it. */
static const char *quoted(struct arena *a, const char *text)
{
    char *out = arena_array(a, char, 2 * strlen(text) + 3), *to = out;
    *to++ = '"';
    for (; *text; text++) {
        if (*text == '"' || *text == '\\')
            *to++ = '\\';
        *to++ = *text == '\n' ? ' ' : *text;
    }
    *to = '"';
    return out;
}

/* "serves studio.R1 R2", a line for each room. */
static const char *serves_words(struct arena *a, const box_refs *boxes, const char *parted)
{
    const char *words = "";
    const struct room *room = NULL;
    for (uint32_t i = 0; i < boxes->n; i++) {
        const struct box *b = boxes->at[i];
        if (b->room != room)
            words = arena_printf(a, "%s%sserves %s", words, room ? parted : "",
                                 address_of_box(a, b, true));
        else
            words = arena_printf(a, "%s %s", words, b->name);
        room = b->room;
    }
    return words;
}

/* An empty line before it, and each line behind `margin`, which where a text is laid out comes of
 * itself. */
static const char *circuit_text(struct arena *a, const struct proposed_circuit *p,
                                const char *margin)
{
    return arena_printf(a, "\n%scircuit %s %s {\n%s  breaker %g A%s\n%s  %s\n%s}", margin, p->ref,
                        quoted(a, p->title), margin, p->breaker, p->two_pole ? " two-pole" : "",
                        margin, serves_words(a, &p->boxes, arena_printf(a, "\n%s  ", margin)),
                        margin);
}

/* Where the circuits of a panel stand: behind the last of them that stands in the same block, else
 * behind the panel. */
static const struct node *behind(const struct panel *panel)
{
    const struct node *last = panel->node;
    for (uint32_t i = 0; i < panel->circuits.n; i++) {
        const struct circuit *c = panel->circuits.at[i];
        if (c->node && !c->feeds && c->node->parent == panel->node->parent &&
            c->node->source == panel->node->source && c->node->first > last->first)
            last = c->node;
    }
    return last;
}

static int by_space(const void *a, const void *b)
{
    const struct proposed_circuit *x = *(struct proposed_circuit *const *)a,
                                  *y = *(struct proposed_circuit *const *)b;
    return x->space != y->space ? (x->space > y->space) - (x->space < y->space) : (x > y) - (x < y);
}

static const struct piece *first_piece(const struct circuit_work *w,
                                       const struct proposed_circuit *p)
{
    return &w->pieces.at[p->pieces[0]];
}

/* The circuit that is there and takes these boxes too; NULL: a new one. */
static const struct circuit *taker(const struct circuit_work *w, const struct proposed_circuit *p)
{
    for (uint32_t i = 0; i < p->count; i++)
        if (w->pieces.at[p->pieces[i]].circuit)
            return w->pieces.at[p->pieces[i]].circuit;
    return NULL;
}

/* The circuits of one panel in one text, by their spaces. */
static void write_panel(struct circuit_work *w, const struct panel *panel, struct editing e)
{
    struct proposed_circuit **list =
        arena_array(w->arena, struct proposed_circuit *, w->circuits.n + 1);
    const char *text = "";
    uint32_t n = 0;
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        struct proposed_circuit *p = &w->circuits.at[i];
        if (first_piece(w, p)->panel == panel && !taker(w, p) && p->ref)
            list[n++] = p;
    }
    if (!n)
        return;
    qsort(list, n, sizeof(struct proposed_circuit *), by_space);
    for (uint32_t i = 0; i < n; i++)
        text = arena_printf(w->arena, "%s%s%s", text, i ? "\n" : "",
                            circuit_text(w->arena, list[i], panel->unit ? "  " : ""));
    edit_behind(e, behind(panel), text);
}

static void write_circuits(struct circuit_work *w, edit_list *edits)
{
    struct model *m = w->c->model;
    struct editing e = {w->arena, edits};
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        const struct proposed_circuit *p = &w->circuits.at[i];
        const struct circuit *there = taker(w, p);
        if (there && p->boxes.n)
            edit_in_block(e, there->node, serves_words(w->arena, &p->boxes, "\n  "));
    }
    for (uint32_t i = 0; i < m->panels.n; i++)
        write_panel(w, m->panels.at[i], e);
}

/* --- trials -------------------------------------------------------------------------------------
 */

/* The circuit of a trial that has the word of a proposed one. */
static const struct circuit *find_tried(const struct compilation *tried, const char *name)
{
    for (uint32_t i = 0; tried->model && i < tried->model->circuits.n; i++)
        if (!strcmp(tried->model->circuits.at[i]->name, name))
            return tried->model->circuits.at[i];
    return NULL;
}

static const char *word_of(struct circuit_work *w, uint32_t i)
{
    return arena_printf(w->arena, "proposed-%u", i + 1);
}

/* Circuits by words that no plan has. */
static void call_by_words(struct circuit_work *w)
{
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        struct proposed_circuit *p = &w->circuits.at[i];
        p->ref = arena_printf(w->arena, "%s.%s", first_piece(w, p)->panel->name, word_of(w, i));
    }
}

/* A circuit for each group of pieces; without groups for each piece. */
static void group_up(struct circuit_work *w, const uint32_t *group, uint32_t groups)
{
    w->circuits.n = 0;
    for (uint32_t g = 0; g < groups; g++) {
        struct proposed_circuit p = {.pieces = arena_array(w->arena, uint32_t, w->pieces.n + 1)};
        double least = 0;
        for (uint32_t i = 0; i < w->pieces.n; i++) {
            const struct piece *piece = &w->pieces.at[i];
            if ((group ? group[i] : i) != g)
                continue;
            p.pieces[p.count++] = i;
            p.two_pole |= piece->two_pole;
            least = fmax(least, piece->breaker);
            for (uint32_t k = 0; k < piece->boxes.n; k++)
                *vec_push(w->arena, &p.boxes) = piece->boxes.at[k];
        }
        if (p.boxes.n)
            qsort(p.boxes.at, p.boxes.n, sizeof *p.boxes.at, propose_by_place);
        p.breaker = breaker_of(&w->c->model->code, least);
        p.title = "as tried";
        if (p.boxes.n)
            *vec_push(w->arena, &w->circuits) = p;
    }
}

static bool try_circuits(struct circuit_work *w, struct compilation *tried)
{
    edit_list edits = {0};
    call_by_words(w);
    write_circuits(w, &edits);
    return trial_compile(&w->trial, &edits, tried);
}

/* What each piece takes by itself, as its breaker counts it. */
static void weigh_pieces(struct circuit_work *w)
{
    struct compilation tried;
    group_up(w, NULL, w->pieces.n);
    if (!try_circuits(w, &tried))
        return;
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        struct piece *piece = &w->pieces.at[w->circuits.at[i].pieces[0]];
        const struct circuit *c =
            find_tried(&tried, piece->circuit ? piece->circuit->name : word_of(w, i));
        if (c && tried.loads)
            piece->amps = tried.loads->of_circuit[c->id].needed_amps;
    }
    compile_free(&tried);
    for (uint32_t i = 0; i < w->pieces.n; i++)
        if (w->pieces.at[i].circuit && !w->pieces.at[i].boxes.n)
            w->pieces.at[i].amps = w->c->loads->of_circuit[w->pieces.at[i].circuit->id].needed_amps;
}

/* --- what a trial shows
 * --------------------------------------------------------------------------- */

/* The circuit of whose boxes a finding speaks, and the piece. */
static struct piece *piece_called(struct circuit_work *w, const char *subject,
                                  struct proposed_circuit **of)
{
    for (uint32_t i = 0; i < w->circuits.n; i++)
        for (uint32_t k = 0; k < w->circuits.at[i].count; k++) {
            struct piece *piece = &w->pieces.at[w->circuits.at[i].pieces[k]];
            for (uint32_t b = 0; b < piece->boxes.n; b++)
                if (!strcmp(address_of_box(w->arena, piece->boxes.at[b], false), subject)) {
                    *of = &w->circuits.at[i];
                    return piece;
                }
        }
    return NULL;
}

/* Pieces that leave no room for others on their circuit are taken out. True where one was. */
static bool take_out(struct circuit_work *w, const struct compilation *tried)
{
    bool any = false;
    for (uint32_t i = 0; i < tried->diag.findings.n; i++) {
        const struct finding *f = &tried->diag.findings.at[i];
        struct proposed_circuit *of = NULL;
        bool crowded = !strcmp(f->rule->name, "appliance-share") ||
                       !strcmp(f->rule->name, "individual-circuit");
        struct piece *piece = crowded && f->subject ? piece_called(w, f->subject, &of) : NULL;
        if (!piece || of->count < 2 || piece->alone)
            continue;
        piece->alone = any = true;
    }
    return any;
}

/* A breaker for what is connected; the next larger one where a rule finds it too small. True where
 * one changed. */
static bool size_breakers(struct circuit_work *w, const struct compilation *tried)
{
    struct code *code = &w->c->model->code;
    bool any = false;
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        struct proposed_circuit *p = &w->circuits.at[i];
        const struct circuit *c = taker(w, p) ? NULL : find_tried(tried, word_of(w, i));
        if (!c)
            continue;
        double amps = breaker_of(code, tried->loads->of_circuit[c->id].needed_amps);
        const char *subject =
            arena_printf(w->arena, "circuit %s", address_of_circuit(w->arena, c, false));
        for (uint32_t k = 0; k < tried->diag.findings.n; k++) {
            const struct finding *f = &tried->diag.findings.at[k];
            if (!strcmp(f->rule->name, "breaker-overloaded") && f->subject &&
                !strcmp(f->subject, subject))
                amps = fmax(amps, breaker_of(code, p->breaker + 1));
        }
        if (amps > p->breaker + 1e-6) {
            p->breaker = amps;
            any = true;
        }
    }
    return any;
}

/* Spaces as they were found. True where a circuit without one has another panel to go to. */
static bool seat(struct circuit_work *w, const struct compilation *tried)
{
    bool moved = false;
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        struct proposed_circuit *p = &w->circuits.at[i];
        const struct circuit *c = taker(w, p) ? NULL : find_tried(tried, word_of(w, i));
        p->space = c ? tried->panels->of_circuit[c->id].space : 0;
        for (uint32_t k = 0; k < p->count && c && !p->space; k++) {
            struct piece *piece = &w->pieces.at[p->pieces[k]];
            const struct panel *before = piece->panel;
            piece->nth_panel++;
            propose_choose_panels(w);
            moved |= piece->panel != before;
        }
    }
    return moved;
}

/* Shares out, and tries, until nothing is to be changed. */
static void settle_on(struct circuit_work *w)
{
    for (int round = 0; round < MOST_ROUNDS; round++) {
        struct compilation tried;
        propose_share_out(w);
        group_up(w, w->group, w->groups);
        propose_titles(w);
        bool again = try_circuits(w, &tried);
        for (int k = 0; k < MOST_ROUNDS && again && tried.panels && size_breakers(w, &tried); k++) {
            compile_free(&tried);
            again = try_circuits(w, &tried);
        }
        if (!again)
            return;
        again = tried.panels && (take_out(w, &tried) || seat(w, &tried));
        compile_free(&tried);
        if (!again)
            return;
    }
}

/* --- what is told
 * ----------------------------------------------------------------------------------- */

static void tell_panel(struct circuit_work *w, struct proposal *out, const struct panel *panel)
{
    uint32_t circuits = 0, boxes = 0, without = 0;
    double feet = 0;
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        const struct proposed_circuit *p = &w->circuits.at[i];
        if (first_piece(w, p)->panel != panel || taker(w, p))
            continue;
        without += !p->space;
        circuits += p->space > 0;
        boxes += p->space ? p->boxes.n : 0;
        feet += p->space ? propose_feet(panel, p->boxes.at, p->boxes.n) : 0;
    }
    if (circuits)
        propose_tell(out, "panel %s: %s for %s, about %.0f ft of cable by straight ways",
                     address_of_panel(w->arena, panel, true),
                     arena_counted(w->arena, circuits, "circuit", "circuits"),
                     arena_counted(w->arena, boxes, "box", "boxes"), feet);
    if (without)
        propose_tell(out, "panel %s has no space left for %s more; their boxes are left to you",
                     address_of_panel(w->arena, panel, true),
                     arena_counted(w->arena, without, "circuit", "circuits"));
}

static void tell_takers(struct circuit_work *w, struct proposal *out)
{
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        const struct proposed_circuit *p = &w->circuits.at[i];
        const struct circuit *there = taker(w, p);
        if (there && p->boxes.n)
            propose_tell(out, "circuit %s, which is there, takes %s more",
                         address_called_as_written(w->arena, there, true),
                         arena_counted(w->arena, p->boxes.n, "box", "boxes"));
    }
}

static void tell_least(struct circuit_work *w, struct proposal *out)
{
    if (w->groups == w->least)
        propose_tell(
            out,
            "no fewer circuits can feed them, by what may be on one circuit and what one holds");
    else
        propose_tell(
            out, "fewer than %u circuits cannot feed them, with those that are there; these are %u",
            w->least, w->groups);
}

static void tell_left(struct circuit_work *w, struct proposal *out)
{
    if (w->on_existing)
        propose_tell(
            out,
            "%s left: their legs are on an old circuit, or on several; which one feeds them is "
            "yours to say",
            arena_counted(w->arena, w->on_existing, "box is", "boxes are"));
    if (w->homeless)
        propose_tell(out, "%s left: no panel stands in their unit",
                     arena_counted(w->arena, w->homeless, "box is", "boxes are"));
    if (w->following && out->edits.n)
        propose_tell(out, "%s: what is written for one of a kind",
                     arena_counted(w->arena, w->following, "unit has the same circuits",
                                   "units have the same circuits"));
}

static void tell_assumed(struct circuit_work *w, struct proposal *out)
{
    const struct circuit_settings *s = &w->set;
    propose_assume(
        out,
        "a circuit takes %g receptacle devices or %g lights and the like, and known loads up to "
        "%g %% of its breaker: common practice, no book sets it in dwellings",
        s->receptacles, s->lights, 100 * s->fill);
    propose_assume(out, "receptacles on %g A, lights on %g A, %s", s->receptacle_breaker,
                   s->light_breaker,
                   s->apart ? "on circuits of their own" : "together where that saves a circuit");
    propose_assume(
        out, "what makers want on a circuit of its own has one; protection is left to 'propose "
             "protection'");
}

/* --- all of it
 * ---------------------------------------------------------------------------------------- */

static bool anything_to_feed(const struct circuit_work *w)
{
    for (uint32_t i = 0; i < w->pieces.n; i++)
        if (w->pieces.at[i].boxes.n)
            return true;
    return false;
}

/* The numbers of the spaces; a circuit without one is not written. */
static void call_by_numbers(struct circuit_work *w)
{
    for (uint32_t i = 0; i < w->circuits.n; i++) {
        struct proposed_circuit *p = &w->circuits.at[i];
        p->ref = p->space
                     ? arena_printf(w->arena, "%s.%u", first_piece(w, p)->panel->name, p->space)
                     : NULL;
    }
}

bool propose_circuits(struct compilation *c, const struct propose_asked *asked,
                      struct proposal *out)
{
    struct code *code = &c->model->code;
    if (asked->lights && strcmp(asked->lights, "apart") != 0 && strcmp(asked->lights, "with") != 0)
        return propose_refuse(out, "--lights is 'apart' or 'with', not '%s'", asked->lights);
    struct circuit_work w = {.c = c, .arena = out->arena, .set = settings_of(code, asked->lights)};
    w.kitchens_by = (uint32_t)code_count(code, SET_SMALL_APPLIANCE_CIRCUITS_COUNTER_BY, 0);
    w.kitchens_at_least = (uint32_t)code_count(code, SET_SMALL_APPLIANCE_CIRCUITS_COUNT, 0);
    w.one_kitchen = code_cite(code, SET_SMALL_APPLIANCE_CIRCUITS_ONE_KITCHEN);
    out->leaves = "afci-missing gfci-missing";
    propose_find_pieces(&w);
    if (anything_to_feed(&w)) {
        trial_begin(&w.trial, c, asked->library);
        weigh_pieces(&w);
        settle_on(&w);
        trial_free(&w.trial);
        call_by_numbers(&w);
        write_circuits(&w, &out->edits);
        for (uint32_t i = 0; i < c->model->panels.n; i++)
            tell_panel(&w, out, c->model->panels.at[i]);
        tell_takers(&w, out);
        tell_least(&w, out);
        tell_assumed(&w, out);
    }
    tell_left(&w, out);
    if (!out->told.n)
        propose_tell(out, "every box that takes power is on a circuit");
    return true;
}

/* What is pulled in one, box after box: where the coil stands, what is left at each box, and where
 * on the sheath that is. */
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "model/site.h"

enum {
    STRAND,
    COIL,
    CABLE,
    LENGTH,
    STOP,
    AT,
    ROOM,
    UNIT,
    DOES,
    LEAVE,
    MARK,
    LABEL_IN,
    LABEL_OUT,
    HOME_RUN,
    WHY
};

static const struct column columns[] = {
    [STRAND] = {"strand", "Strand", 0, COLUMN_RIGHT},
    [COIL] = {"coil", "Coil", 0, 0},
    [CABLE] = {"cable", "Cable", 0, COLUMN_DATA},
    [LENGTH] = {"length_ft", "Length", 2, COLUMN_RIGHT},
    [STOP] = {"stop", "Stop", 0, COLUMN_RIGHT},
    [AT] = {"at", "At", 0, 0},
    [ROOM] = {"room", "Room", 0, COLUMN_DATA},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [DOES] = {"does", "There", 0, 0},
    [LEAVE] = {"leave_ft", "Leave", 2, COLUMN_RIGHT},
    [MARK] = {"mark_ft", "Mark", 2, COLUMN_RIGHT},
    [LABEL_IN] = {"label_in", "Label before", 0, 0},
    [LABEL_OUT] = {"label_out", "Label behind", 0, 0},
    [HOME_RUN] = {"home_run", "Home run", 0, 0},
    [WHY] = {"why", "Why", 0, COLUMN_IF_USED},
};

/* The same for people, a table for each coil. */
enum { NUMBER, PLACE, THERE, LEFT, MARKED, LABELS };

static const struct column coil_columns[] = {
    [NUMBER] = {"strand", "Strand", 0, COLUMN_RIGHT},
    [PLACE] = {"at", "At", 0, COLUMN_TOP},
    [THERE] = {"does", "There", 0, 0},
    [LEFT] = {"leave_ft", "Leave", 2, COLUMN_RIGHT},
    [MARKED] = {"mark_ft", "Mark at", 2, COLUMN_RIGHT},
    [LABELS] = {"labels", "Labels", 0, 0},
};

enum { SUM_CABLE, SUM_STRANDS, SUM_LENGTH, SUM_LOOPS, SUM_LONG, SUM_BROKEN, SUM_LEAST, SUM_PROVEN };

static const struct column total_columns[] = {
    [SUM_CABLE] = {"cable", "Cable", 0, 0},
    [SUM_STRANDS] = {"strands", "Strands", 0, COLUMN_RIGHT},
    [SUM_LENGTH] = {"length_ft", "Length", 2, COLUMN_RIGHT},
    [SUM_LOOPS] = {"loops", "Loops", 0, COLUMN_RIGHT},
    [SUM_LONG] = {"chains", "Could be pulled through boxes", 0, COLUMN_RIGHT},
    [SUM_BROKEN] = {"broken", "Broken", 0, COLUMN_RIGHT},
    [SUM_LEAST] = {"broken_at_least", "Broken at least", 0, COLUMN_RIGHT},
    [SUM_PROVEN] = {"proven", "Proven", 0, 0},
};

/* --- one stop ----------------------------------------------------------------------------- */

/* A place where something of a strand is left: what comes there, and what goes on. */
struct stop {
    const struct strand *strand;
    uint32_t number; /* of the strand */
    uint32_t at;
    const struct cut *in, *out; /* NULL: the coil stands there; it ends there */
    struct end end;
    length mark; /* of the sheath, from the end that goes ahead */
};

static bool is_at(struct end a, struct end b)
{
    return a.box == b.box && a.panel == b.panel;
}

/* What is left free of a cut at a place; 0: that is not known. */
static length tail_at(const struct results *r, const struct cut *cut, struct end at)
{
    const struct run *run = cut->run;
    if (run->passage && is_at(at, run->passage->runs[run->passage->count - 1]->to))
        return r->routes->of_run[run->passage->runs[run->passage->count - 1]->id].tails[1];
    if (is_at(at, run->from))
        return r->routes->of_run[run->id].tails[0];
    return is_at(at, run->to) ? r->routes->of_run[run->id].tails[1] : 0;
}

static length left_at(const struct results *r, const struct stop *s)
{
    length in = s->in ? tail_at(r, s->in, s->end) : 0,
           out = s->out ? tail_at(r, s->out, s->end) : 0;
    return in + out;
}

/* Why nothing more is pulled from the last box of a strand on, where something could be: in a word,
 * and for people. */
static const struct {
    const char *word, *told;
} reasons[] = {
    [STRAND_CORNERS] = {"corners", "too many corners to pull on"},
    [STRAND_HOLES] = {"holes", "too many holes to pull on"},
    [STRAND_LENGTH] = {"length", "too long to pull on"},
    [STRAND_FISHED] = {"fished", "fished: not pulled on"},
    [STRAND_BROKEN] = {"coil", "goes on from another coil: less to buy"},
};

static const char *does_word(const struct stop *s)
{
    return !s->in ? "coil" : s->out ? "loop" : "end";
}

/* --- rows --------------------------------------------------------------------------------- */

static void add_row(const struct results *r, struct report *report, const struct stop *s)
{
    struct arena *a = r->arena;
    const struct room *room = facts_room_of_end(s->end);
    const struct run_view *in = s->in ? view_of_run(r, s->in->run) : NULL,
                          *out = s->out ? view_of_run(r, s->out->run) : NULL;
    length left = left_at(r, s);
    struct cell *row = table_row(&report->rows);
    row[STRAND] = cell_integer(s->number);
    row[COIL] = cell_text(s->strand->coil->name);
    row[CABLE] = cell_text(s->strand->coil->cable->name);
    row[LENGTH] = cell_length(s->strand->length);
    row[STOP] = cell_integer(s->at);
    row[AT] = cell_text(address_of_end(a, s->end, false));
    row[ROOM] = cell_text(room ? address_of_room(a, room, false) : NULL);
    row[UNIT] = words_unit_cell(address_end_unit(s->end));
    row[DOES] = cell_text(does_word(s));
    if (left)
        row[LEAVE] = cell_length(left);
    row[MARK] = cell_length(s->mark);
    row[LABEL_IN] = cell_text(in ? in->tag : NULL);
    row[LABEL_OUT] = cell_text(out ? out->tag : NULL);
    row[HOME_RUN] = cell_bool((in && in->home_run) || (out && out->home_run));
    row[WHY] = cell_text(s->out ? NULL : reasons[s->in->end].word);
}

/* "P, utility": a panel does not name its room. */
static const char *place_words(const struct results *r, struct end end)
{
    const struct room *room = facts_room_of_end(end);
    const char *name = address_of_end(r->arena, end, false);
    return end.panel && room
               ? arena_printf(r->arena, "%s in %s", name, address_of_room(r->arena, room, false))
               : name;
}

static const char *label_words(const struct results *r, const struct stop *s)
{
    const char *in = s->in ? view_of_run(r, s->in->run)->tag : NULL,
               *out = s->out ? view_of_run(r, s->out->run)->tag : NULL;
    return in && out ? arena_printf(r->arena, "%s | %s", in, out) : in ? in : out;
}

static void add_line(const struct results *r, struct grid *list, const struct stop *s)
{
    struct cell *row = table_row(list);
    length left = left_at(r, s);
    if (!s->in)
        row[NUMBER] = cell_integer(s->number);
    row[PLACE] = cell_text(place_words(r, s->end));
    const char *told = s->out ? NULL : reasons[s->in->end].told;
    row[THERE] = cell_text(!s->in   ? "the coil stands here"
                           : s->out ? "loop"
                           : told   ? arena_printf(r->arena, "end; %s", told)
                                    : "end");
    if (left)
        row[LEFT] = cell_length(left);
    row[MARKED] = cell_length(s->mark);
    row[LABELS] = cell_text(label_words(r, s));
}

/* --- strands ------------------------------------------------------------------------------ */

static void add_strand(const struct results *r, struct report *report, struct grid *list,
                       uint32_t number)
{
    const struct strand *strand = &r->cuts->strands[number - 1];
    length mark = strand->length;
    for (uint32_t at = 0; at <= strand->count; at++) {
        const struct stop stop = {.strand = strand,
                                  .number = number,
                                  .at = at,
                                  .in = at ? &strand->cuts[at - 1] : NULL,
                                  .out = at < strand->count ? &strand->cuts[at] : NULL,
                                  .end = cuts_stop(strand, at),
                                  .mark = mark};
        add_row(r, report, &stop);
        add_line(r, list, &stop);
        mark -= stop.out ? stop.out->length : 0;
    }
}

/* "14/2-1: 2 strands of 14/2, 54'-6\" in all, off 250'". */
static const char *coil_words(const struct results *r, uint32_t first, uint32_t behind)
{
    const struct cut_coil *coil = r->cuts->strands[first].coil;
    length all = 0;
    for (uint32_t i = first; i < behind; i++)
        all += r->cuts->strands[i].length;
    return arena_printf(r->arena, "%s%s: %s of %s, %s in all, off %s", coil->name,
                        coil->on_hand  ? ", on hand"
                        : coil->opened ? ", opened"
                                       : "",
                        arena_counted(r->arena, behind - first, "strand", "strands"),
                        coil->cable->name, length_words(r->arena, all),
                        length_words(r->arena, coil->stock - coil->pulled));
}

static void add_coils(const struct results *r, struct report *report)
{
    const struct cuts *cuts = r->cuts;
    for (uint32_t i = 0, behind; i < cuts->strand_count; i = behind) {
        behind = i;
        while (behind < cuts->strand_count && cuts->strands[behind].coil == cuts->strands[i].coil)
            behind++;
        struct grid *list = report_part(r, report, coil_words(r, i, behind), coil_columns,
                                        sizeof coil_columns / sizeof *coil_columns);
        for (uint32_t k = i; k < behind; k++)
            add_strand(r, report, list, k + 1);
    }
}

/* --- sums --------------------------------------------------------------------------------- */

static void add_total(const struct results *r, struct report *report, const struct cable_cuts *c)
{
    uint32_t strands = 0, cuts = 0, last = 0;
    length all = 0;
    for (uint32_t i = 0; i < c->coil_count; i++)
        for (uint32_t k = c->coils[i].pulled_count; k < c->coils[i].cut_count; k++) {
            const struct cut *cut = &c->coils[i].cuts[k];
            cuts += cut->strand > 0;
            strands += cut->strand > 0 && cut->strand != last;
            all += cut->strand ? cut->length : 0;
            last = cut->strand;
        }
    if (!strands)
        return;
    struct cell *row = table_row(&report->totals);
    row[SUM_CABLE] = cell_text(c->cable->name);
    row[SUM_STRANDS] = cell_integer(strands);
    row[SUM_LENGTH] = cell_length(all);
    row[SUM_LOOPS] = cell_integer(cuts - strands);
    row[SUM_LONG] = cell_integer(c->long_strands);
    row[SUM_BROKEN] = cell_integer(c->broken);
    row[SUM_LEAST] = cell_integer(c->least_broken);
    row[SUM_PROVEN] = cell_bool(c->broken == c->least_broken);
    if (c->broken)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena,
            c->broken == c->least_broken
                ? "%s: %u of %s broken, so that less is bought; with fewer broken, more would be."
                : "%s: at most %u of %s broken, so that less is bought; not proven least.",
            c->cable->name, c->broken,
            arena_counted(r->arena, c->long_strands, "strand", "strands"));
}

static void say_limits(const struct results *r, struct report *report)
{
    struct code *code = &r->model->code;
    double corners = code_count(code, SET_PULLS_MOST_CORNERS, 0),
           holes = code_count(code, SET_PULLS_MOST_HOLES, 0);
    length most = code_length(code, SET_PULLS_MOST_LENGTH, 0);
    *vec_push(r->arena, &report->notes) = arena_printf(
        r->arena,
        "A strand is pulled round %.0f corners, through %.0f holes and %s at the most: common "
        "practice, no code. End it sooner where it no longer comes; log what was pulled, and the "
        "rest is allotted anew.",
        corners, holes, length_words(r->arena, most));
}

static void say_how(const struct results *r, struct report *report)
{
    static const char *const how[] = {
        "Assumed: the coil stands at the panel, else at the end that is nearer the source, and its "
        "free end goes through all the boxes to the last. Elsewhere it serves as well: only the "
        "marks count from the other end then.",
        "Leave: free beyond the sheath's way, both sides of a loop together. Mark: the sheath from "
        "the free end to where it is cut; at the coil that is the whole strand. The rounding of "
        "the cuts lies in the loops.",
        ("Labels: before | behind the cut of a loop, seen from the coil. Label both sides, and "
         "both "
         "ends of a home run, before a loop is cut."),
    };
    for (size_t i = 0; i < sizeof how / sizeof *how; i++)
        *vec_push(r->arena, &report->notes) = how[i];
    bool raceway = false;
    for (uint32_t i = 0; i < r->cuts->strand_count; i++)
        raceway |= r->cuts->strands[i].cuts->run->raceway != NULL;
    if (raceway)
        *vec_push(r->arena, &report->notes) =
            "Single conductors of one raceway are pulled together, each off its own spool.";
    say_limits(r, report);
}

static const char *sum_words(const struct results *r)
{
    uint32_t cuts = 0, coils = 0;
    for (uint32_t i = 0; i < r->cuts->strand_count; i++) {
        cuts += r->cuts->strands[i].count;
        coils += !i || r->cuts->strands[i].coil != r->cuts->strands[i - 1].coil;
    }
    if (!cuts)
        return "Nothing is left to pull.";
    return arena_printf(r->arena, "%s to pull off %s, with %s: %s when these are cut.",
                        arena_counted(r->arena, r->cuts->strand_count, "strand", "strands"),
                        arena_counted(r->arena, coils, "coil", "coils"),
                        arena_counted(r->arena, cuts - r->cuts->strand_count, "loop on the way",
                                      "loops on the way"),
                        arena_counted(r->arena, cuts, "cable", "cables"));
}

void report_pulls(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, total_columns,
                sizeof total_columns / sizeof *total_columns);
    add_coils(r, report);
    for (uint32_t i = 0; i < r->cuts->cable_count; i++)
        add_total(r, report, &r->cuts->cables[i]);
    if (r->cuts->strand_count)
        say_how(r, report);
    report->says = sum_words(r);
}

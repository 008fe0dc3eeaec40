/* Which pieces may be pulled as one: hops of one chain, one behind the other, of one cable, as far
 * as arms reach. */
#include "cuts/work.h"

#include "facts/pulls.h"
#include "framing/routes.h"
#include "model/model.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <string.h>

/* Where pulling has to end, by the table `pulls`: 0 where it has no such end. */
struct limits {
    double corners, holes;
    length length;
    length corner_from; /* a shift to the side by less is no corner */
};

struct finder {
    const struct cutting *x;
    struct limits most;
    struct map of_run;    /* (0, run) -> its piece */
    const piece_list *in; /* as they came */
    uint32_t *next;       /* by piece: that of the next hop, + 1; 0: none */
    bool *led;            /* by piece: it is the next of another */
    piece_list out;       /* strand by strand, in pulling order */
    uint32_t strands;
};

/* --- what follows what -------------------------------------------------------------------- */

/* The end of a hop as its chain names it first, or last. */
static struct end written_end(const struct run *run, bool last)
{
    bool turned = run->from_span.off > run->to_span.off;
    return turned == last ? run->from : run->to;
}

/* In the ground a cable is laid, through the air it is strung, in a raceway it is pulled by itself.
 */
static bool is_pulled_alone(const struct run *run)
{
    return !run->chain || run->raceway || run->underground || run->strung;
}

/* Whether a cable can go on from the one hop into the other: in the box between them a loop is
 * left. */
static bool goes_on(const struct run *run, const struct run *next)
{
    struct end here = written_end(run, true), there = written_end(next, false);
    return next->chain == run->chain && next->hop == run->hop + 1 && here.box &&
           here.box == there.box && !is_pulled_alone(run) && !is_pulled_alone(next);
}

/* The other of two cables beside each other; NULL: there is none. */
static const struct cable_def *cable_beside(const struct finder *f, const struct run *run)
{
    const struct model *m = f->x->m;
    uint32_t at = run->of_two == 'a' ? run->id + 1 : run->id - 1;
    return run->of_two && at < m->runs.n ? wiring_cable_of_run(m->runs.at[at], f->x->wiring) : NULL;
}

/* Whether two hops have the same cables, be it two: else their chain is two runs in one line. */
static bool are_alike(const struct finder *f, const struct run *run, const struct run *next)
{
    return run->of_two == next->of_two && cable_beside(f, run) == cable_beside(f, next);
}

/* Hops of one statement are built one behind the other, of two cables beside each other in turn. */
enum { HOPS_BACK = 3 };

static void link_pieces(struct finder *f)
{
    const struct model *m = f->x->m;
    for (uint32_t i = 0; i < f->in->n; i++) {
        const struct run *run = f->in->at[i].run;
        for (uint32_t back = 1; back <= HOPS_BACK && back <= run->id && !f->led[i]; back++) {
            const struct run *before = m->runs.at[run->id - back];
            const struct piece *piece = map_find(&f->of_run, 0, before);
            uint32_t at = piece ? (uint32_t)(piece - f->in->at) : 0;
            if (!piece || f->next[at] || !goes_on(before, run) || !are_alike(f, before, run))
                continue;
            f->next[at] = i + 1;
            f->led[i] = true;
        }
    }
}

/* --- how far one pulls -------------------------------------------------------------------- */

/* Some way of it lies behind a finish. */
static bool is_fished(const struct finder *f, const struct run *run)
{
    const struct route *route = &f->x->routes->of_run[run->id];
    bool fished = run->fished;
    for (uint32_t i = 0; i < route->segment_count; i++)
        fished |= route->segments[i].closed;
    return fished;
}

/* What of a strand is pulled so far. */
struct drawn {
    uint32_t pieces;
    double corners, holes;
    length length;
    bool fished;
};

static struct drawn drawn_with(const struct finder *f, const struct drawn *so_far,
                               const struct piece *piece)
{
    const struct route *route = &f->x->routes->of_run[piece->run->id];
    uint32_t corners = 0;
    route_bends(route, f->most.corner_from, &corners);
    return (struct drawn){.pieces = so_far->pieces + 1,
                          .corners = so_far->corners + corners,
                          .holes = so_far->holes + route->bores,
                          .length = so_far->length + piece->length,
                          .fished = is_fished(f, piece->run)};
}

/* Why a strand that is so long ends before its next piece. What was fished into a closed wall is
 * not drawn further through it. */
static enum strand_end end_before(const struct finder *f, const struct drawn *is,
                                  const struct drawn *with)
{
    const struct limits *most = &f->most;
    if (is->fished)
        return STRAND_FISHED;
    if (most->corners > 0 && with->corners > most->corners)
        return STRAND_CORNERS;
    if (most->holes > 0 && with->holes > most->holes)
        return STRAND_HOLES;
    return most->length > 0 && with->length > most->length ? STRAND_LENGTH : STRAND_GOES_ON;
}

/* --- the strands of one chain ------------------------------------------------------------- */

/* One begins at the panel, else at the end that is nearer the source, and pulls away from it. */
static bool is_turned(const struct piece *first, const struct piece *last)
{
    struct end begin = written_end(first->run, false), end = written_end(last->run, true);
    if (begin.panel || end.panel)
        return !begin.panel;
    return first->run->from_span.off > first->run->to_span.off &&
           last->run->from_span.off > last->run->to_span.off;
}

/* Whether a piece is pulled from the second of its ends to the first. */
static bool begins_at_its_end(const struct piece *piece, bool turned)
{
    if (piece->run->raceway)
        return !piece->ends[0].panel && piece->ends[1].panel;
    return (piece->run->from_span.off > piece->run->to_span.off) != turned;
}

/* Appends the pieces, in pulling order, with the numbers of their strands. */
static void add_chain(struct finder *f, const struct piece *const *pieces, uint32_t count)
{
    bool turned = is_turned(pieces[0], pieces[count - 1]);
    struct drawn is = {0};
    for (uint32_t i = 0; i < count; i++) {
        const struct piece *piece = pieces[turned ? count - 1 - i : i];
        struct drawn with = drawn_with(f, &is, piece);
        enum strand_end end = is.pieces ? end_before(f, &is, &with) : STRAND_ENDS;
        if (end != STRAND_GOES_ON) {
            if (is.pieces)
                f->out.at[f->out.n - 1].end = end;
            f->strands++;
            with = drawn_with(f, &(struct drawn){0}, piece);
        }
        struct piece *out = vec_push(f->x->arena, &f->out);
        *out = *piece;
        out->strand = f->strands;
        out->turned = begins_at_its_end(piece, turned);
        out->end = i + 1 < count ? STRAND_GOES_ON : STRAND_ENDS;
        is = with;
    }
}

void strands_sort(const struct cutting *x, piece_list *list)
{
    struct arena scratch = {.out_of_memory = x->arena->out_of_memory};
    struct code *code = &x->m->code;
    struct finder f = {.x = x,
                       .in = list,
                       .most = {code_count(code, SET_PULLS_MOST_CORNERS, 0),
                                code_count(code, SET_PULLS_MOST_HOLES, 0),
                                code_length(code, SET_PULLS_MOST_LENGTH, 0),
                                code_length(code, SET_PULLS_CORNER_FROM, 0)}};
    f.next = arena_array(&scratch, uint32_t, list->n + 1);
    f.led = arena_array(&scratch, bool, list->n + 1);
    const struct piece **chain = arena_array(&scratch, const struct piece *, list->n + 1);
    for (uint32_t i = 0; i < list->n; i++)
        map_file(&scratch, &f.of_run, 0, list->at[i].run, &list->at[i]);
    link_pieces(&f);
    for (uint32_t i = 0; i < list->n; i++) {
        uint32_t count = 0;
        for (uint32_t at = f.led[i] ? 0 : i + 1; at; at = f.next[at - 1])
            chain[count++] = &list->at[at - 1];
        if (count)
            add_chain(&f, chain, count);
    }
    *list = f.out;
    arena_free(&scratch);
}

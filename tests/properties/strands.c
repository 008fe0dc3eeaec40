/* Every cable that is to be pulled is pulled in one strand: hops of one chain that follow each
 * other, off one coil, not beyond what is common practice; and two that could be pulled as one are,
 * unless it is said why not. */
#include "properties.h"

#include "cuts/cuts.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/model.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

bool property_strands(const struct subject *s, struct buf *why);

static bool is_same(struct end a, struct end b)
{
    return a.box == b.box && a.panel == b.panel;
}

static bool is_fished(const struct compilation *c, const struct run *run)
{
    const struct route *route = &c->routes->of_run[run->id];
    bool fished = run->fished;
    for (uint32_t i = 0; i < route->segment_count; i++)
        fished |= route->segments[i].closed;
    return fished;
}

/* What is wrong with a strand; NULL: nothing. */
static const char *wrong_with(const struct compilation *c, const struct strand *s)
{
    length sum = 0, most = code_length(&c->model->code, SET_PULLS_MOST_LENGTH, 0);
    double holes = 0, most_holes = code_count(&c->model->code, SET_PULLS_MOST_HOLES, 0);
    for (uint32_t i = 0; i < s->count; i++) {
        const struct cut *cut = &s->cuts[i];
        sum += cut->length;
        holes += c->routes->of_run[cut->run->id].bores;
        if (cut->pulled || cut->strand != (uint32_t)(s - c->cuts->strands) + 1)
            return "holds a cut of another one, or one that is pulled";
        if ((cut->end == STRAND_GOES_ON) != (i + 1 < s->count))
            return "goes on where it ends, or ends where it goes on";
        if (i + 1 == s->count)
            continue;
        const struct run *run = cut->run, *next = cut[1].run;
        if (run->chain != next->chain || (run->hop + 1 != next->hop && next->hop + 1 != run->hop) ||
            !is_same(cuts_stop(s, i + 1), cut[1].ends[cut[1].turned]) || !cuts_stop(s, i + 1).box)
            return "does not go from box to box along its chain";
        if (run->raceway || next->raceway || is_fished(c, run))
            return "goes on behind a raceway or a finish";
    }
    if (sum != s->length)
        return "is not as long as its cuts";
    if (s->count > 1 && (sum > most || holes > most_holes))
        return "is longer than is common practice, or goes through more holes";
    return NULL;
}

/* By run how often it is in a strand, and the strand. */
struct found {
    uint32_t times, strand;
    const struct cut *cut;
};

static struct found *find_all(const struct compilation *c)
{
    struct found *of = calloc(c->model->runs.n + 1, sizeof *of);
    for (uint32_t i = 0; i < c->cuts->strand_count; i++)
        for (uint32_t k = 0; k < c->cuts->strands[i].count; k++) {
            const struct cut *cut = &c->cuts->strands[i].cuts[k];
            of[cut->run->id].times++;
            of[cut->run->id].strand = i + 1;
            of[cut->run->id].cut = cut;
        }
    for (uint32_t i = 0; i < c->cuts->cable_count; i++)
        for (uint32_t k = 0; k < c->cuts->cables[i].too_long_count; k++)
            of[c->cuts->cables[i].too_long[k]->id].times = 1;
    return of;
}

static bool is_to_pull(const struct compilation *c, const struct run *run)
{
    const struct cable_def *cable = wiring_cable_of_run(run, c->wiring);
    return cable && !cable->of && !run->existing && c->routes->of_run[run->id].cut > 0 &&
           !log_hangs(c->log, run->id);
}

/* Two hops of one chain and one cable that meet in a box, in one building of its pattern. */
static bool could_be_one(const struct compilation *c, const struct run *a, const struct run *b)
{
    const struct box *between = a->to.box == b->from.box || a->to.box == b->to.box ? a->to.box
                                : a->from.box == b->from.box || a->from.box == b->to.box
                                    ? a->from.box
                                    : NULL;
    bool alone =
        a->raceway || b->raceway || a->underground || b->underground || a->strung || b->strung;
    return a->chain && a->chain == b->chain && b->hop == a->hop + 1 && between && !alone &&
           !a->of_two && !b->of_two &&
           wiring_cable_of_run(a, c->wiring) == wiring_cable_of_run(b, c->wiring);
}

bool property_strands(const struct subject *s, struct buf *why)
{
    const struct compilation *c = s->c;
    if (!c->model || !c->cuts || !c->makeup)
        return true;
    bool holds = true;
    for (uint32_t i = 0; i < c->cuts->strand_count && holds; i++) {
        const char *wrong = wrong_with(c, &c->cuts->strands[i]);
        if (wrong)
            buf_printf(why, "strand %u %s", i + 1, wrong);
        holds = !wrong;
    }
    struct found *of = find_all(c);
    for (uint32_t i = 0; i < c->model->runs.n && holds; i++) {
        const struct run *run = c->model->runs.at[i], *next = i ? c->model->runs.at[i - 1] : NULL;
        if (!is_to_pull(c, run))
            continue;
        if (of[i].times != 1) {
            buf_printf(why, "run %u is in %u strands", i, of[i].times);
            holds = false;
        }
        if (!next || !is_to_pull(c, next) || !could_be_one(c, next, run) || !of[i].cut ||
            !of[i - 1].cut || of[i].strand == of[i - 1].strand)
            continue;
        if (of[i].cut->end <= STRAND_ENDS && of[i - 1].cut->end <= STRAND_ENDS) {
            buf_printf(why, "runs %u and %u could be pulled as one, and nothing says why not",
                       i - 1, i);
            holds = false;
        }
    }
    free(of);
    return holds;
}

#include "facts/pulls.h"

#include "facts/work.h"
#include "resolve/library.h"

bool facts_is_body(const struct box *b)
{
    return b->declared && b->declared->section > 0;
}

bool facts_is_passed(const struct box *b)
{
    return b->pulled_through || facts_is_body(b);
}

const struct run *facts_pulled_with(const struct run *run)
{
    return run->passage ? run->passage->runs[0] : run;
}

struct end facts_pull_from(const struct run *run)
{
    return facts_pulled_with(run)->from;
}

struct end facts_pull_to(const struct run *run)
{
    return run->passage ? run->passage->runs[run->passage->count - 1]->to : run->to;
}

const char *facts_pull_name(const struct run *run)
{
    for (uint32_t i = 0; run->passage && i < run->passage->count; i++)
        if (run->passage->runs[i]->label)
            return run->passage->runs[i]->label;
    return run->label;
}

bool facts_goes_on(const struct run *run, bool at_to)
{
    return run->passage &&
           run != (at_to ? run->passage->runs[run->passage->count - 1] : run->passage->runs[0]);
}

/* --- which raceways are one pull ---------------------------------------------------------- */

static bool carries(const struct run *r, const struct circuit *c)
{
    bool has = r->circuit == c;
    for (uint32_t i = 0; i < r->also.n; i++)
        has |= r->also.at[i] == c;
    return has;
}

static bool same_circuits(const struct run *r, const struct run *s)
{
    bool same = r->also.n == s->also.n && carries(s, r->circuit);
    for (uint32_t i = 0; i < r->also.n && same; i++)
        same = carries(s, r->also.at[i]);
    return same;
}

static bool is_new_in_raceway(const struct run *r)
{
    return r->raceway && r->circuit && r->circuit->is_tree && r->in_tree && !r->existing &&
           !r->goes;
}

/* One conductor cannot be what the plan writes for both. */
static bool same_conductors(const struct run *r, const struct run *s)
{
    return r->declared == s->declared && (!r->single || !s->single || r->single == s->single);
}

static bool is_empty(const struct box *b)
{
    return !b->device_count && !b->capped.n && !b->terminal_blocks;
}

/* The run that all of `r` goes on into, beyond the box where it ends; NULL: something of it ends or
 * parts there. */
static struct run *next_of(const struct run *r)
{
    const struct box *b = r->to.box;
    if (!b || b->runs.n != 2 || !facts_is_passed(b) || !is_empty(b) || !is_new_in_raceway(r))
        return NULL;
    struct run *next = b->runs.at[b->runs.at[0] == r];
    return next->from.box == b && next->to.box != b && is_new_in_raceway(next) &&
                   r->circuit->root != b && same_circuits(r, next) && same_conductors(r, next)
               ? next
               : NULL;
}

/* Joins runs from one on, as far as one conductor can be what the plan writes for all of them: the
 * first that is left, NULL: none. */
static struct run *join_from(struct model *m, struct run *first)
{
    const struct cable_def *single = NULL;
    uint32_t count = 0;
    struct run *behind = first;
    for (; behind && (!single || !behind->single || behind->single == single);
         behind = next_of(behind)) {
        single = single ? single : behind->single;
        count++;
    }
    struct passage *passage = arena_new(m->arena, struct passage);
    passage->runs = arena_array(m->arena, struct run *, count);
    for (struct run *r = first; r != behind; r = next_of(r)) {
        passage->runs[passage->count++] = r;
        r->passage = count > 1 ? passage : NULL;
    }
    return behind;
}

void facts_find_pulls(struct model *m)
{
    bool *led = arena_array(m->arena, bool, m->runs.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *next = next_of(m->runs.at[i]);
        if (next)
            led[next->id] = true;
    }
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (!led[i] && next_of(m->runs.at[i]))
            for (struct run *r = m->runs.at[i]; r;)
                r = join_from(m, r);
}

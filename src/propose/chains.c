/* A tree of runs as statements: chains as long as they go, each box named as one would type it. */
#include "propose/runs.h"

#include "diag/edits.h"
#include "model/address.h"
#include "model/site.h"
#include "resolve/edit.h"
#include "resolve/node.h"

#include <string.h>

struct chaining {
    const struct string_job *job;
    const uint32_t *parent;
    struct proposal *out;
    struct buf text;
    const struct room *last;
    uint32_t *below; /* by place: how many places its runs lead on to that are not kept */
};

const char *string_box_words(struct arena *a, const struct box *b, const struct unit *here)
{
    const struct unit *unit = b->room->unit;
    bool other = unit && unit != here;
    return arena_printf(a, "%s%s%s.%s", other ? unit->name : "", other ? "." : "", b->room->name,
                        b->name);
}

/* As it is typed in the circuit: a panel, `room.box`, or the box alone behind one of its room. */
static void put_end(struct chaining *x, struct end e)
{
    const struct unit *here = x->job->circuit->unit;
    if (e.panel) {
        buf_puts(&x->text, e.panel->name);
        return;
    }
    buf_puts(&x->text,
             e.box->room == x->last ? e.box->name : string_box_words(x->out->arena, e.box, here));
    x->last = e.box->room;
}

/* The child by which a chain goes on: that with the most behind it, of these the first place. */
static uint32_t next_of(const struct chaining *x, uint32_t at, const bool *done)
{
    uint32_t best = 0;
    for (uint32_t i = 1; i < x->job->count; i++)
        if (!x->job->kept[i] && !done[i] && x->parent[i] == at &&
            (!best || x->below[i] > x->below[best]))
            best = i;
    return best;
}

static void write_chain(struct chaining *x, uint32_t from, bool *done)
{
    x->text.n = 0;
    x->last = NULL;
    buf_puts(&x->text, "run ");
    put_end(x, x->job->places[from]);
    for (uint32_t at = next_of(x, from, done); at; at = next_of(x, at, done)) {
        done[at] = true;
        buf_puts(&x->text, " -> ");
        put_end(x, x->job->places[at]);
    }
    edit_in_block(propose_edits(x->out), x->job->circuit->node,
                  arena_copy(x->out->arena, buf_text(&x->text), x->text.n));
}

/* Chains that leave a place, then those of the places behind it, nearest the source first. */
static void write_from(struct chaining *x, uint32_t from, bool *done)
{
    while (next_of(x, from, done))
        write_chain(x, from, done);
    for (uint32_t i = 1; i < x->job->count; i++)
        if (x->parent[i] == from)
            write_from(x, i, done);
}

static bool all_run(const struct string_job *job)
{
    const struct circuit *c = job->circuit;
    for (uint32_t i = 0; i < c->serves.n; i++) {
        bool met = false;
        for (uint32_t k = 0; k < job->count; k++)
            met |= job->places[k].box == c->serves.at[i];
        if (!met)
            return false;
    }
    return true;
}

void string_take_out(const struct string_job *job, struct editing e)
{
    const struct node *last = NULL;
    for (uint32_t i = 0; i < job->circuit->runs.n; i++) {
        const struct node *chain = job->circuit->runs.at[i]->chain;
        if (chain != last && !map_get(&job->stays, (uintptr_t)chain, 1))
            edit_remove(e, chain);
        last = chain;
    }
}

void string_write(const struct string_job *job, const uint32_t *parent, struct proposal *out)
{
    struct chaining x = {.job = job, .parent = parent, .out = out};
    bool *done = arena_array(out->arena, bool, job->count);
    x.below = arena_array(out->arena, uint32_t, job->count);
    for (uint32_t i = 1; i < job->count; i++)
        for (uint32_t at = i; at && !job->kept[i]; at = parent[at])
            x.below[at]++;
    string_take_out(job, propose_edits(out));
    write_from(&x, 0, done);
    for (const struct node *n = job->circuit->node->child; n && all_run(job); n = n->next)
        if (n->form == F_SERVES && edit_is_written(job->circuit->node, F_SERVES))
            edit_remove(propose_edits(out), n);
    edits_join(&out->edits);
    buf_free(&x.text);
}

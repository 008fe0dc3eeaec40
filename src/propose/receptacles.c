/* propose receptacles: the fewest that the rules of an edition accept, on the sides of studs that
 * are there. */
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "propose/propose.h"
#include "propose/required.h"
#include "propose/sites.h"
#include "propose/spacing.h"

#include <string.h>

/* How often places are chosen anew because some did not do. */
enum { MOST_ROUNDS = 64 };

/* Walls and counters, chosen anew until no box is found fault with; what brings no more of them
 * within reach is not kept. */
static bool add_along(struct siting *p)
{
    uint32_t first = p->added.n;
    length bare = spacing_bare(p);
    for (int round = 0; round < MOST_ROUNDS; round++) {
        p->added.n = first;
        if (round && !siting_compile(p))
            return false;
        if (!spacing_add(p, first))
            return false;
        if (!siting_compile(p))
            break;
        if (siting_refuse_faulty(p, first))
            continue;
        if (spacing_bare(p) < bare)
            return true;
        break;
    }
    p->added.n = first;
    siting_compile(p);
    return false;
}

/* "den: 3 receptacles: R1, R2, R3". */
static void tell_added(const struct siting *p, const struct room *r, struct proposal *out)
{
    const char *names = NULL;
    uint32_t n = 0;
    for (uint32_t i = 0; i < p->added.n; i++)
        if (p->added.at[i].room == r->id) {
            const char *name = p->added.at[i].name;
            names = names ? arena_printf(out->arena, "%s, %s", names, name) : name;
            n++;
        }
    if (n)
        propose_tell(out, "%s: %s: %s", address_of_room(out->arena, r, true),
                     arena_counted(out->arena, n, "receptacle", "receptacles"), names);
}

static bool is_asked(const struct siting *p, const struct finding *f)
{
    const struct room *r = required_room(p, f);
    return required_is_missing(f) && (!p->room || (r && siting_asks_room(p, r)));
}

static void tell(const struct siting *p, const struct compilation *c, bool along,
                 struct proposal *out)
{
    for (uint32_t i = 0; i < c->model->rooms.n; i++)
        tell_added(p, c->model->rooms.at[i], out);
    if (along)
        propose_tell(out, "fewer would leave walls or counters out of reach");
    for (uint32_t i = 0; i < p->now->diag.findings.n; i++)
        if (is_asked(p, &p->now->diag.findings.at[i]))
            propose_tell(out, "no place was found for what is missing: %s [%s]",
                         p->now->diag.findings.at[i].message,
                         p->now->diag.findings.at[i].rule->name);
    if (!out->told.n)
        propose_tell(out, "no receptacle is missing");
}

static void assume(const struct siting *p, struct proposal *out)
{
    struct code *code = &p->now->model->code;
    if (!p->added.n)
        return;
    propose_assume(out,
                   "studs stand where the framing lays them; each box is nailed to the side of "
                   "one");
    propose_assume(
        out,
        "where nothing else is written a receptacle is %s up; over counters and "
        "basins %s",
        length_inch_words(out->arena, code_length(code, SET_DEFAULT_HEIGHTS_RECEPTACLE, 0)),
        length_inch_words(out->arena, code_length(code, SET_DEFAULT_HEIGHTS_ABOVE_COUNTER, 0)));
    propose_assume(out, "what feeds them is still open: 'propose circuits', then 'propose runs'");
}

/* The room that is asked about, by its name; false where there is none of that name. */
static bool has_room(const struct siting *p)
{
    for (uint32_t i = 0; p->room && i < p->of->model->rooms.n; i++)
        if (siting_asks_room(p, p->of->model->rooms.at[i]))
            return true;
    return !p->room;
}

bool propose_receptacles(struct compilation *c, const struct propose_asked *asked,
                         struct proposal *out)
{
    struct siting p;
    struct propose_asked own = *asked;
    own.room = !own.room && own.word_count ? own.words[0] : own.room;
    if (own.word_count > 1 || (own.word_count && asked->room))
        return propose_refuse(out, "one room stands behind the plan: '%s' is another",
                              own.words[own.word_count - 1]);
    siting_begin(&p, c, &own, out->arena, sites_has_receptacle);
    bool known = has_room(&p);
    if (known) {
        bool along = add_along(&p);
        required_add(&p);
        p.copies_too = true;
        for (uint32_t n = UINT32_MAX, k = 0; n != p.added.n && k < MOST_ROUNDS; k++) {
            n = p.added.n;
            add_along(&p);
            required_add(&p);
        }
        added_write(propose_edits(out), c, &p.added, p.alike);
        out->leaves = required_leaves;
        tell(&p, c, along, out);
        assume(&p, out);
    }
    siting_end(&p);
    return known || propose_refuse(out, "there is no room '%s'", own.room);
}

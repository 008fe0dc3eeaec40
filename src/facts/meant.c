#include "facts/meant.h"

#include "base/map.h"
#include "facts/facts.h"
#include "facts/pulls.h"
#include "facts/tags.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"

#include <string.h>

struct run_names {
    struct arena *arena;
    struct names *words;
    struct map boxes, panels; /* (0, address) -> the thing */
    struct map between;       /* (the end that lies lower in memory, the other one) -> run_group */
    struct map called;        /* (0, own name or tag) -> run_group */
};

/* --- filing ------------------------------------------------------------------------------- */

static const void *thing_of(struct end e)
{
    return e.box ? (const void *)e.box : e.panel;
}

static uintptr_t key_of(const struct run_names *n, const char *name)
{
    return (uintptr_t)names_of(n->words, name);
}

static void add_to(struct run_names *n, void **group, const struct run *run)
{
    if (!*group)
        *group = arena_new(n->arena, struct run_group);
    *vec_push(n->arena, &((struct run_group *)*group)->runs) = run;
}

static void file_called(struct run_names *n, const char *name, const struct run *run)
{
    add_to(n, map_at(n->arena, &n->called, 0, key_of(n, name)), run);
}

static void add_between(struct run_names *n, struct end from, struct end to, const struct run *run)
{
    uintptr_t a = (uintptr_t)thing_of(from), b = (uintptr_t)thing_of(to);
    add_to(n, map_at(n->arena, &n->between, a < b ? a : b, a < b ? b : a), run);
}

static void file_run(struct run_names *n, const struct run *run)
{
    add_between(n, run->from, run->to, run);
    if (run->passage) /* what is pulled is called by its own two ends too */
        add_between(n, facts_pull_from(run), facts_pull_to(run), run);
    const char *tag = facts_run_tag(n->arena, run), *short_tag = facts_tag_without_panel(tag, run);
    file_called(n, tag, run);
    if (short_tag)
        file_called(n, short_tag, run);
    const char *old_tag = facts_run_tag_by_word(n->arena, run); /* it may be in the log */
    if (old_tag)
        file_called(n, old_tag, run);
    if (!facts_unit_of_run(run) && !run->of_two)
        return; /* what follows is the tag, or means one run alone */
    if (run->label)
        file_called(n, facts_own_name(n->arena, run), run);
    if (facts_unit_of_run(run))
        file_called(n, address_of_run(n->arena, run, true), run);
}

struct run_names *facts_name_runs(struct arena *arena, const struct model *m)
{
    struct run_names *n = arena_new(arena, struct run_names);
    *n = (struct run_names){.arena = arena, .words = m->names};
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        struct box *b = m->boxes.at[i];
        if (facts_is_built(b->room->unit))
            *map_at(arena, &n->boxes, 0, key_of(n, address_of_box(arena, b, false))) = b;
    }
    for (uint32_t i = 0; i < m->panels.n; i++) {
        struct panel *p = m->panels.at[i];
        if (facts_is_built(p->unit))
            *map_at(arena, &n->panels, 0, key_of(n, address_of_panel(arena, p, false))) = p;
    }
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        if (facts_is_built(facts_unit_of_run(run)) && run_is_whole(run))
            file_run(n, run);
    }
    return n;
}

/* --- asking ------------------------------------------------------------------------------- */

struct end facts_end_called(const struct run_names *names, const char *address)
{
    uintptr_t key = key_of(names, address);
    struct box *box = map_get(&names->boxes, 0, key);
    return (struct end){.box = box, .panel = box ? NULL : map_get(&names->panels, 0, key)};
}

const struct run_group *facts_runs_between(const struct run_names *names, struct end a,
                                           struct end b)
{
    uintptr_t p = (uintptr_t)thing_of(a), q = (uintptr_t)thing_of(b);
    return map_get(&names->between, p < q ? p : q, p < q ? q : p);
}

const char *facts_own_name(struct arena *arena, const struct run *run)
{
    const struct unit *unit = facts_unit_of_run(run);
    return unit ? arena_printf(arena, "%s.%s", unit->name, run->label) : run->label;
}

const struct run_group *facts_runs_called(const struct run_names *names, const char *name)
{
    return map_get(&names->called, 0, key_of(names, name));
}

/* The address that a name means behind an end's; `before` is that end's, NULL for the first. */
static const char *full_address(const struct run_names *n, const char *name, const char *before)
{
    const char *dot = before ? strrchr(before, '.') : NULL;
    if (!dot || strchr(name, '.'))
        return name;
    const char *full = arena_printf(n->arena, "%.*s.%s", (int)(dot - before), before, name);
    bool panel = !map_get(&n->boxes, 0, key_of(n, full)) && map_get(&n->panels, 0, key_of(n, name));
    return panel ? name : full;
}

struct meant_runs facts_runs_of_chain(struct run_names *names, const char *chain)
{
    struct meant_runs meant = {0};
    const char *before = NULL, *at = chain;
    struct end last = {0};
    while (at && !meant.missing) {
        const char *arrow = strstr(at, " -> ");
        const char *written = arrow ? arena_copy(names->arena, at, (size_t)(arrow - at)) : at;
        const char *name = full_address(names, written, before);
        struct end e = facts_end_called(names, name);
        const struct run_group *group = before ? facts_runs_between(names, last, e) : NULL;
        if (!thing_of(e)) {
            meant.missing = "box or panel";
            meant.name = name;
        } else if (group) {
            *vec_push(names->arena, &meant.hops) = group;
        } else if (before) {
            meant.missing = "run";
            meant.name = arena_printf(names->arena, "%s -> %s", before, written);
        }
        last = e;
        before = name;
        at = arrow ? arrow + strlen(" -> ") : NULL;
    }
    return meant;
}

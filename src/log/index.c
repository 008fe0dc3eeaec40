/* Names of the plan as the log writes them: addresses, a run's own name, coils. */
#include "log/entry.h"

#include "diag/near.h"
#include "facts/facts.h"
#include "facts/meant.h"
#include "facts/pulls.h"
#include "facts/tags.h"
#include "log/log.h"
#include "model/address.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <string.h>

enum sort {
    BOX,
    PANEL,
    ROOM,
    LEVEL,
    CIRCUIT,
    CIRCUIT_NUMBER,
    LOW_VOLTAGE,
    RUN_NAME,
    COIL,
    CABLE,
    SORTS
};

struct log_index {
    struct arena *arena;
    struct model *m;
    const struct wiring *wiring;
    struct map things;       /* (sort + 1, interned name) -> the thing */
    struct run_names *meant; /* runs, boxes and panels by their names */
    near_list names[SORTS];  /* for suggestions */
    near_list run_names;     /* addresses of runs */
    near_list labels;        /* what stands on the cables */
    struct gone_index *gone; /* what goes by the plan */
    struct circuit several;  /* stands for a circuit's number that several panels have */
};

/* --- filing ------------------------------------------------------------------------------- */

static void **place_of(struct log_index *x, enum sort sort, const char *name)
{
    void **at =
        map_at(x->arena, &x->things, (uintptr_t)sort + 1, (uintptr_t)names_of(x->m->names, name));
    if (!*at)
        near_add(x->arena, &x->names[sort], name);
    return at;
}

static void file(struct log_index *x, enum sort sort, const char *name, const void *thing)
{
    void **at = place_of(x, sort, name);
    if (!*at)
        *at = (void *)thing;
}

static void suggest_runs(struct log_index *x)
{
    for (uint32_t i = 0; i < x->m->runs.n; i++) {
        const struct run *run = x->m->runs.at[i];
        if (!facts_is_built(facts_unit_of_run(run)) || !run_is_whole(run))
            continue;
        if (run->label)
            near_add(x->arena, &x->names[RUN_NAME], facts_own_name(x->arena, run));
        near_add(x->arena, &x->run_names, address_of_run(x->arena, run, false));
        near_add(x->arena, &x->labels, facts_run_tag(x->arena, run));
    }
}

static void file_circuits(struct log_index *x)
{
    for (uint32_t i = 0; i < x->m->circuits.n; i++) {
        const struct circuit *c = x->m->circuits.at[i];
        if (!facts_is_built(c->unit))
            continue;
        const char *handle = address_handle(x->arena, c, (struct seat){c->space, c->half}, false);
        file(x, CIRCUIT, address_of_circuit(x->arena, c, false), c);
        if (handle) /* as the lists of what is left call it */
            file(x, CIRCUIT, handle, c);
        if (c->feeds || c->unit)
            continue;
        void **at = place_of(x, CIRCUIT_NUMBER, c->name);
        *at = *at ? &x->several : (void *)c;
    }
    for (uint32_t i = 0; i < x->m->low_voltages.n; i++) {
        const struct low_voltage *v = x->m->low_voltages.at[i];
        if (facts_is_built(v->unit))
            file(x, LOW_VOLTAGE,
                 v->unit ? arena_printf(x->arena, "%s.%s", v->unit->name, v->name) : v->name, v);
    }
}

/* A coil that several bear the name of has a number behind it, from the second on, as in the cut
 * list. */
static void file_coils(struct log_index *x)
{
    for (uint32_t i = 0; i < x->m->lib->cable_list.n; i++)
        file(x, CABLE, x->m->lib->cable_list.at[i]->name, x->m->lib->cable_list.at[i]);
    for (uint32_t i = 0; i < x->m->coils.n; i++) {
        const struct coil *coil = x->m->coils.at[i];
        if (!coil->name || !coil->cable)
            continue;
        file(x, COIL, coil->name, coil->cable);
        for (uint32_t k = 2; k <= coil->count; k++)
            file(x, COIL, arena_printf(x->arena, "%s-%u", coil->name, k), coil->cable);
    }
}

struct log_index *index_make(struct arena *arena, struct model *m, const struct wiring *wiring)
{
    struct log_index *x = arena_new(arena, struct log_index);
    *x = (struct log_index){.arena = arena, .m = m, .wiring = wiring};
    x->meant = facts_name_runs(arena, m);
    x->gone = gone_make(arena, m);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (facts_is_built(m->boxes.at[i]->room->unit))
            near_add(arena, &x->names[BOX], address_of_box(arena, m->boxes.at[i], false));
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (facts_is_built(m->panels.at[i]->unit))
            near_add(arena, &x->names[PANEL], address_of_panel(arena, m->panels.at[i], false));
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (facts_is_built(m->rooms.at[i]->unit))
            file(x, ROOM, address_of_room(arena, m->rooms.at[i], false), m->rooms.at[i]);
    for (uint32_t i = 0; i < m->levels.n; i++)
        file(x, LEVEL, m->levels.at[i]->name, m->levels.at[i]);
    file_circuits(x);
    suggest_runs(x);
    file_coils(x);
    return x;
}

/* --- looking up --------------------------------------------------------------------------- */

static void *find(const struct log_index *x, enum sort sort, const char *name)
{
    return map_get(&x->things, (uintptr_t)sort + 1, (uintptr_t)names_of(x->m->names, name));
}

static bool unknown(struct log_index *x, const char *what, const char *name, near_list *among,
                    uint32_t lists, const char **why)
{
    struct nearest near = nearest_to(name);
    for (uint32_t i = 0; i < lists && !near.found; i++)
        nearest_among(&near, &among[i]);
    *why = near.found ? arena_printf(x->arena, "there is no %s '%s'; did you mean %s?", what, name,
                                     nearest_in_words(x->arena, &near, NULL))
                      : arena_printf(x->arena, "there is no %s '%s'", what, name);
    return false;
}

/* Runs of a group, those of the named cable where there are several. */
static bool take_group(struct log_index *x, const struct run_group *g, struct log_event *event,
                       const char **why)
{
    uint32_t taken = 0;
    for (uint32_t i = 0; i < g->runs.n; i++) {
        const struct cable_def *cable = wiring_cable_of_run(g->runs.at[i], x->wiring);
        if (g->runs.n > 1 && event->cable &&
            (!cable || strcmp(library_as_written(cable)->name, event->cable) != 0))
            continue;
        *vec_push(x->arena, &event->about.runs) = g->runs.at[i];
        taken++;
    }
    if (!taken)
        *why = arena_printf(x->arena, "none of the %u runs %s is cable %s", g->runs.n,
                            event->subject, event->cable);
    return taken > 0;
}

/* "A -> B", or a chain of several hops. */
static bool find_chain(struct log_index *x, struct log_event *event, const char **why)
{
    struct meant_runs meant = facts_runs_of_chain(x->meant, event->subject);
    bool of_runs = meant.missing && !strcmp(meant.missing, "run");
    if (meant.missing)
        return unknown(x, meant.missing, meant.name, of_runs ? &x->run_names : x->names,
                       of_runs ? 1 : PANEL + 1, why);
    for (uint32_t i = 0; i < meant.hops.n; i++)
        if (!take_group(x, meant.hops.at[i], event, why))
            return false;
    return true;
}

static void take_box(struct log_index *x, struct log_event *event, const struct box *box)
{
    *vec_push(x->arena, &event->about.boxes) = box;
}

static void take_runs(struct log_index *x, struct log_event *event, struct run *const *runs,
                      uint32_t count)
{
    for (uint32_t i = 0; i < count; i++) {
        *vec_push(x->arena, &event->about.runs) = runs[i];
        const struct end ends[2] = {runs[i]->from, runs[i]->to};
        for (int k = 0; k < 2; k++)
            if (ends[k].box)
                take_box(x, event, ends[k].box);
    }
}

/* Its boxes and panels, and the runs that have both ends in it. */
static void take_room(struct log_index *x, struct log_event *event, const struct room *room)
{
    for (uint32_t i = 0; i < room->boxes.n; i++)
        take_box(x, event, room->boxes.at[i]);
    for (uint32_t i = 0; i < x->m->panels.n; i++)
        if (x->m->panels.at[i]->room == room)
            *vec_push(x->arena, &event->about.panels) = x->m->panels.at[i];
    for (uint32_t i = 0; i < x->m->runs.n; i++)
        if (facts_room_of_end(x->m->runs.at[i]->from) == room &&
            facts_room_of_end(x->m->runs.at[i]->to) == room)
            *vec_push(x->arena, &event->about.runs) = x->m->runs.at[i];
}

static bool find_circuit(struct log_index *x, const char *name, struct log_event *event,
                         const char **why)
{
    const struct circuit *c = find(x, CIRCUIT, name);
    if (!c)
        c = find(x, CIRCUIT_NUMBER, name);
    if (!c)
        return unknown(x, "circuit", name, x->names + CIRCUIT, 2, why);
    if (c == &x->several) {
        *why = arena_printf(
            x->arena, "several panels have a circuit %s; put the panel's name before it", name);
        return false;
    }
    take_runs(x, event, c->runs.at, c->runs.n);
    return true;
}

/* "studio.north": a wall of a room, as one stands in it. */
static const struct wall *find_wall(const struct log_index *x, const char *name)
{
    const char *dot = strrchr(name, '.');
    const struct room *room =
        dot ? find(x, ROOM, arena_copy(x->arena, name, (size_t)(dot - name))) : NULL;
    for (uint32_t i = 0; room && i < room->wall_count; i++)
        if (!strcmp(room->walls[i].name, dot + 1))
            return &room->walls[i];
    return NULL;
}

/* "studio", "studio north", "studio.north", "studio ceiling": what is closed, or on a photograph.
 */
static bool find_closed(struct log_index *x, struct log_event *event, const char **why)
{
    const char *name = event->subject, *blank = strrchr(name, ' '), *dot = strrchr(name, '.');
    const char *at = blank ? blank : dot && !find(x, ROOM, name) ? dot : NULL;
    const char *room = at ? arena_copy(x->arena, name, (size_t)(at - name)) : name;
    event->about.closed = find(x, ROOM, room);
    if (!event->about.closed)
        return unknown(x, "room", room, x->names + ROOM, 1, why);
    event->about.ceiling = at && !strcmp(at + 1, "ceiling");
    if (!at || event->about.ceiling)
        return true;
    event->about.wall = find_wall(x, arena_printf(x->arena, "%s.%s", room, at + 1));
    if (!event->about.wall)
        *why = arena_printf(x->arena, "room '%s' has no wall '%s'", room, at + 1);
    return event->about.wall != NULL;
}

static bool find_plain(struct log_index *x, struct log_event *event, const char **why)
{
    const char *name = event->subject;
    const struct run_group *called = facts_runs_called(x->meant, name);
    struct end e = facts_end_called(x->meant, name);
    if (called)
        return take_group(x, called, event, why);
    if (e.box || e.panel) {
        if (e.box)
            take_box(x, event, e.box);
        else
            *vec_push(x->arena, &event->about.panels) = e.panel;
        return true;
    }
    if (find(x, ROOM, name)) {
        take_room(x, event, find(x, ROOM, name));
        return true;
    }
    if (find(x, CIRCUIT, name))
        return find_circuit(x, name, event, why);
    if ((event->about.wall = find_wall(x, name)))
        return true;
    return unknown(x, "box, panel, room, circuit or run's own name", name, x->names, RUN_NAME + 1,
                   why);
}

static bool find_bare(struct log_index *x, struct log_event *event, const char **why)
{
    const char *name = event->subject;
    if (strstr(name, " -> "))
        return find_chain(x, event, why);
    if (!strncmp(name, "circuit ", 8))
        return find_circuit(x, name + 8, event, why);
    if (!strncmp(name, "joists ", 7)) {
        event->about.joists = find(x, LEVEL, name + 7);
        return event->about.joists || unknown(x, "level", name + 7, x->names + LEVEL, 1, why);
    }
    if (strncmp(name, "low-voltage ", 12) != 0)
        return find_plain(x, event, why);
    const struct low_voltage *v = find(x, LOW_VOLTAGE, name + 12);
    if (!v)
        return unknown(x, "low-voltage cable", name + 12, x->names + LOW_VOLTAGE, 1, why);
    take_runs(x, event, v->runs.at, v->runs.n);
    return true;
}

/* In quotes: the words of a label, or any other name. */
static bool find_subject(struct log_index *x, struct log_event *event, const char **why)
{
    if (*event->subject != '"')
        return find_bare(x, event, why);
    const char *quoted = event->subject,
               *label = arena_copy(x->arena, quoted + 1, strcspn(quoted + 1, "\"")), *unused = NULL;
    const struct run_group *called = facts_runs_called(x->meant, label);
    if (called)
        return take_group(x, called, event, why);
    event->subject = label;
    bool found = find_bare(x, event, &unused);
    if (!found)
        event->subject = quoted;
    return found || unknown(x, "label", label, &x->labels, 1, why);
}

/* --- what fits together ------------------------------------------------------------------- */

/* Cables are bored for, pulled and stapled; boxes and panels are made up; all are tested and
 * inspected. Existing cables stay as they are. */
static bool fits_state(struct log_index *x, struct log_event *event, const char **why)
{
    enum log_state state = event->state;
    bool of_cables = log_is_of_cables(state),
         of_boxes = state == LOG_SET || state == LOG_MADE_UP || state == LOG_TRIMMED;
    if (of_cables) {
        event->about.boxes.n = 0;
        event->about.panels.n = 0;
    }
    if (of_boxes)
        event->about.runs.n = 0;
    if (event->state == LOG_BORED && (event->about.wall || event->about.joists))
        return true;
    if (event->about.runs.n || event->about.boxes.n || event->about.panels.n)
        return true;
    *why = arena_printf(x->arena, "'%s' is said of %s; %s has none", log_state_word(state),
                        of_cables ? "a run, or of all in a circuit or a room" : "boxes and panels",
                        event->subject);
    return false;
}

/* The cable that a coil holds: one that the plan names, or "14/2-1", a bought one of the cut list;
 * NULL for neither. */
static const struct cable_def *cable_on(const struct log_index *x, const char *coil)
{
    const struct cable_def *cable = find(x, COIL, coil);
    const char *dash = strrchr(coil, '-');
    if (cable || !dash || !dash[1] || strspn(dash + 1, "0123456789") != strlen(dash + 1))
        return cable;
    return find(x, CABLE, arena_copy(x->arena, coil, (size_t)(dash - coil)));
}

/* Whether an event speaks of one cable from box to box, hop by hop as its chain names them: one
 * that is new and in no raceway. */
static bool is_strand(const struct log_index *x, const struct log_event *event)
{
    const struct cable_def *first = wiring_cable_of_run(event->about.runs.at[0], x->wiring);
    uint32_t hops = 0;
    for (const char *p = event->subject; (p = strstr(p, " -> ")); p += strlen(" -> "))
        hops++;
    if (*event->subject == '"' || hops != event->about.runs.n)
        return false;
    for (uint32_t i = 0; i < event->about.runs.n; i++) {
        const struct run *run = event->about.runs.at[i];
        if (run->existing || run->raceway || wiring_cable_of_run(run, x->wiring) != first)
            return false;
    }
    return first != NULL;
}

static bool fits_pull(struct log_index *x, struct log_event *event, const char **why)
{
    if ((event->length || event->coil || event->cable) && event->about.runs.n > 1 &&
        !is_strand(x, event)) {
        *why = arena_printf(x->arena,
                            strstr(event->subject, " -> ")
                                ? "%s is %u cables, and not one that is pulled through box after "
                                  "box; say the length and the coil of each, by the run's own name "
                                  "or with `cable NAME`"
                                : "%s is %u cables; say the length and the coil of each, by the "
                                  "run's own name or with `cable NAME`",
                            event->subject, event->about.runs.n);
        return false;
    }
    if (!event->coil)
        return true;
    const struct cable_def *on = cable_on(x, event->coil),
                           *of = library_as_written(
                               wiring_cable_of_run(event->about.runs.at[0], x->wiring));
    const char *pulled = event->cable ? event->cable : of ? of->name : NULL;
    if (!on)
        return unknown(x, "coil", event->coil, x->names + COIL, 1, why);
    if (!pulled || !strcmp(on->name, pulled))
        return true;
    *why = arena_printf(x->arena, "coil %s holds %s, and %s is %s", event->coil, on->name,
                        event->subject, pulled);
    return false;
}

/* What is pulled through several raceways is one thing to pull, whichever of them is named. */
static void name_pulls(struct log_index *x, struct log_event *event)
{
    struct map seen = {0};
    uint32_t kept = 0;
    for (uint32_t i = 0; i < event->about.runs.n; i++) {
        const struct run *run = facts_pulled_with(event->about.runs.at[i]);
        void **at = map_at(x->arena, &seen, 0, (uintptr_t)run);
        if (!*at)
            event->about.runs.at[kept++] = run;
        *at = (void *)run;
    }
    event->about.runs.n = kept;
}

static bool find_work(struct log_index *x, struct log_event *event, const char **why)
{
    const char *subject = event->subject;
    if (event->cable && !find(x, CABLE, event->cable))
        return unknown(x, "cable", event->cable, x->names + CABLE, 1, why);
    bool found = find_subject(x, event, why);
    if (found && event->state == LOG_PULLED)
        name_pulls(x, event);
    if (found)
        return fits_state(x, event, why) &&
               (event->state != LOG_PULLED || fits_pull(x, event, why));
    if (gone_find(x->gone, NULL, event))
        *why =
            arena_printf(x->arena, "%s goes by the plan: what is said of it is 'removed'", subject);
    return false;
}

/* What was taken out goes by the plan. */
static bool find_gone(struct log_index *x, struct log_event *event, const char **why)
{
    struct log_event other = {.state = LOG_TESTED, .subject = event->subject};
    if (gone_find(x->gone, find(x, ROOM, event->subject), event))
        return true;
    if (find_subject(x, &other, why) &&
        other.about.runs.n + other.about.boxes.n + other.about.panels.n)
        *why = arena_printf(x->arena,
                            "nothing of %s goes by the plan: 'remove' on a thing says that it does",
                            event->subject);
    else if (gone_any(x->gone))
        return unknown(x, "thing that goes,", event->subject, gone_names(x->gone), 1, why);
    else
        *why = "nothing goes by the plan: 'remove' on a thing says that it does";
    return false;
}

bool index_find(struct log_index *x, struct log_event *event, const char **why)
{
    bool found = event->state == LOG_CLOSED || event->state == LOG_PHOTO
                     ? find_closed(x, event, why)
                 : event->state == LOG_REMOVED ? find_gone(x, event, why)
                                               : find_work(x, event, why);
    if (!found)
        event->about = (struct log_subject){0};
    return found;
}

bool index_guess(struct log_index *x, struct log_event *event, const char **why)
{
    near_list *of_cables[] = {&x->run_names, &x->labels, &x->names[RUN_NAME], &x->names[CIRCUIT]};
    near_list *of_boxes[] = {&x->names[BOX], &x->names[PANEL]};
    near_list *of_all[] = {&x->names[BOX], &x->names[PANEL],    &x->names[ROOM],   &x->run_names,
                           &x->labels,     &x->names[RUN_NAME], &x->names[CIRCUIT]};
    near_list *of_rooms[] = {&x->names[ROOM]};
    bool boxes =
             event->state == LOG_SET || event->state == LOG_MADE_UP || event->state == LOG_TRIMMED,
         rooms = event->state == LOG_CLOSED || event->state == LOG_PHOTO;
    near_list *const *lists = log_is_of_cables(event->state) ? of_cables
                              : boxes                        ? of_boxes
                              : rooms                        ? of_rooms
                                                             : of_all;
    size_t size = log_is_of_cables(event->state) ? sizeof of_cables
                  : boxes                        ? sizeof of_boxes
                  : rooms                        ? sizeof of_rooms
                                                 : sizeof of_all;
    const char *name =
        typed_for(x->arena, event->subject, lists, (uint32_t)(size / sizeof *lists), why);
    if (!name)
        return false;
    /* a label has blanks and no arrow, and stands in quotes */
    bool label = strchr(name, ' ') && !strstr(name, " -> ");
    event->subject = label ? arena_printf(x->arena, "\"%s\"", name) : name;
    event->words = entry_words(x->arena, event);
    return true;
}

void index_settle(struct log_index *x, struct log_event *event)
{
    const char *arrow = strstr(event->subject, " -> ");
    bool label = *event->subject == '"';
    if (!event->about.runs.n) {
        event->words = entry_words(x->arena, event);
        return;
    }
    if (label || (arrow && !strstr(arrow + 1, " -> "))) {
        const struct run *run = event->about.runs.at[0];
        bool one_of_several = event->about.runs.n == 1 &&
                              facts_runs_between(x->meant, run->from, run->to)->runs.n > 1;
        if (one_of_several && run->label)
            event->subject = facts_own_name(x->arena, run);
        else if (!one_of_several || !label)
            event->subject =
                event->state == LOG_PULLED
                    ? address_between(x->arena, facts_pull_from(run), facts_pull_to(run), false)
                    : address_of_run(x->arena, run, false);
    }
    if (event->state == LOG_PULLED && event->length && !event->cable) {
        const struct cable_def *cable =
            library_as_written(wiring_cable_of_run(event->about.runs.at[0], x->wiring));
        event->cable = cable ? cable->name : NULL;
    }
    event->words = entry_words(x->arena, event);
}

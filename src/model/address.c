#include "model/build.h"
#include "resolve/edit.h"

#include "diag/render.h"

#include <string.h>

static const char *with_unit(struct arena *a, const struct unit *u, bool short_form,
                             const char *rest)
{
    return u && !short_form ? arena_join(a, u->name, ".", rest, NULL) : rest;
}

const char *address_of_room(struct arena *a, const struct room *r, bool short_form)
{
    return with_unit(a, r->unit, short_form, r->name);
}

const char *address_of_box(struct arena *a, const struct box *b, bool short_form)
{
    return with_unit(a, b->room->unit, short_form,
                     arena_join(a, b->room->name, ".", b->name, NULL));
}

const char *address_of_panel(struct arena *a, const struct panel *p, bool short_form)
{
    return with_unit(a, p->unit, short_form, p->name);
}

const char *address_of_end(struct arena *a, struct end e, bool short_form)
{
    return e.box     ? address_of_box(a, e.box, short_form)
           : e.panel ? address_of_panel(a, e.panel, short_form)
                     : "?";
}

const char *address_of_circuit(struct arena *a, const struct circuit *c, bool short_form)
{
    if (c->feeds)
        return arena_join(a, "feeder ", address_of_panel(a, c->feeds, short_form), NULL);
    return c->panel ? arena_join(a, address_of_panel(a, c->panel, short_form), ".", c->name, NULL)
                    : with_unit(a, c->unit, short_form, c->name);
}

/* The panel's name, apart from the number that follows. */
static const char *panel_mark(struct arena *a, const struct panel *p, bool short_form)
{
    const char *name = address_of_panel(a, p, short_form);
    char last = name[strlen(name) - 1];
    return last >= '0' && last <= '9' ? arena_join(a, name, "-", NULL) : name;
}

/* The digits of a number, at the end of `text`. */
static const char *digits(char text[sizeof "4294967295"], uint32_t number)
{
    enum { BASE = 10 };
    char *at = text + sizeof "4294967295" - 1;
    *at = 0;
    do
        *--at = (char)('0' + number % BASE);
    while (number /= BASE);
    return at;
}

const char *address_handle(struct arena *a, const struct circuit *c, struct seat at,
                           bool short_form)
{
    if (!at.space || !c->panel)
        return NULL;
    char first[sizeof "4294967295"], second[sizeof "4294967295"];
    bool two = circuit_poles(c) == 2;
    const char *half = at.half == HALF_UPPER ? " upper" : at.half == HALF_LOWER ? " lower" : "";
    return arena_join(a, panel_mark(a, c->panel, short_form), digits(first, at.space),
                      two ? "/" : "", two ? digits(second, at.space + 2) : "", half, NULL);
}

const char *address_called(struct arena *a, const struct circuit *c, struct seat at,
                           bool short_form)
{
    const char *handle = address_handle(a, c, at, short_form),
               *typed = address_of_circuit(a, c, short_form);
    if (!handle)
        return typed;
    if (c->feeds)
        return arena_printf(a, "%s (%s)", typed, handle);
    return c->number ? handle : arena_printf(a, "%s (%s)", handle, c->name);
}

const char *address_called_as_written(struct arena *a, const struct circuit *c, bool short_form)
{
    return address_called(a, c, (struct seat){c->space, c->half}, short_form);
}

const char *address_between(struct arena *a, struct end from, struct end to, bool short_form)
{
    bool same_room = from.box && to.box && from.box->room == to.box->room;
    return arena_join(a, address_of_end(a, from, short_form), " -> ",
                      same_room ? to.box->name : address_of_end(a, to, short_form), NULL);
}

const char *address_of_run(struct arena *a, const struct run *r, bool short_form)
{
    return address_between(a, r->from, r->to, short_form);
}

const char *address_of_leg(struct arena *a, const struct leg *l, bool short_form)
{
    return with_unit(a, l->unit, short_form, l->name);
}

struct place3 address_end_position(struct end e)
{
    return e.box ? e.box->place.at : e.panel ? e.panel->place.at : (struct place3){0};
}

struct unit *address_end_unit(struct end e)
{
    return e.box ? e.box->room->unit : e.panel ? e.panel->unit : NULL;
}

/* --- findings ----------------------------------------------------------------------------- */

struct finding *model_finding(struct model *m, const struct rule *rule, struct span span,
                              const struct unit *unit, const char *subject, const char *format, ...)
{
    if (diag_is_full(m->diag, rule))
        return diag_add(m->diag, rule, span, "%s", format);
    va_list args;
    va_start(args, format);
    const char *message = arena_vprintf(m->arena, format, args);
    va_end(args);
    struct finding *f = diag_add(m->diag, rule, span, "%s", message);
    f->subject = subject;
    f->article = code_article(&m->code, rule);
    if (unit && unit->node)
        diag_note(m->diag, f, node_name_span(unit->node), "in unit '%s'", unit->name);
    return f;
}

/* Whether a subject is `where` or stands inside it: "studio" covers "studio.R1", "P" covers
 * "circuit P.2" and "P.2". */
static const char *const sorts[] = {"circuit ", "run ", "leg ", "feeder "};

static bool inside(const char *subject, const char *where)
{
    size_t len = strlen(where);
    const char *text = subject;
    if (!strncmp(text, where, len) && (!text[len] || text[len] == '.' || text[len] == '\n'))
        return true;
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++) {
        size_t n = strlen(sorts[i]);
        if (!strncmp(text, sorts[i], n) && !strncmp(text + n, where, len) &&
            (!text[n + len] || strchr(". \n", text[n + len])))
            return true;
        if (!strncmp(where, sorts[i], n) && !strcmp(where + n, text))
            return true;
    }
    return false;
}

static bool covers(const struct waiver *w, const struct finding *f)
{
    if (w->rule != f->rule)
        return false;
    if (!w->subject)
        return true;
    /* A subject may name several addresses, one a line: a run and its circuit. */
    for (const char *s = f->subject; s && *s; s = strchr(s, '\n') ? strchr(s, '\n') + 1 : NULL)
        if (inside(s, w->subject))
            return true;
    return false;
}

/* Waivers by (rule, hash of their subject, with its sort and without), so that of each finding
 * those alone are looked at that name its subject or what that stands in. */
struct filed {
    const struct model *m;
    struct map first;
    uint32_t *next;  /* two for each waiver: index + 1 */
    uint32_t chosen; /* the first that covers the finding at hand: index + 1 */
};

static void file_waiver(struct filed *w, struct arena *scratch, uint32_t entry, const char *subject)
{
    void **at = map_at(scratch, &w->first, (uintptr_t)w->m->waivers.at[entry / 2]->rule,
                       subject ? map_hash_bytes(subject, strlen(subject)) : 0);
    w->next[entry] = (uint32_t)(uintptr_t)*at;
    *at = (void *)(uintptr_t)(entry + 1);
}

static void file_waivers(struct filed *w, struct arena *scratch)
{
    w->next = arena_array(scratch, uint32_t, 2 * w->m->waivers.n + 1);
    for (uint32_t i = 0; i < w->m->waivers.n; i++) {
        const char *subject = w->m->waivers.at[i]->subject;
        file_waiver(w, scratch, 2 * i, subject);
        for (size_t k = 0; subject && k < sizeof sorts / sizeof *sorts; k++)
            if (!strncmp(subject, sorts[k], strlen(sorts[k])))
                file_waiver(w, scratch, 2 * i + 1, subject + strlen(sorts[k]));
    }
}

static void try_filed(struct filed *w, const struct finding *f, uint64_t hash)
{
    uint32_t at = (uint32_t)(uintptr_t)map_get(&w->first, (uintptr_t)f->rule, hash);
    for (; at; at = w->next[at - 1]) {
        uint32_t i = (at - 1) / 2 + 1;
        if (!covers(w->m->waivers.at[i - 1], f))
            continue;
        w->m->waivers.at[i - 1]->used = true;
        w->chosen = !w->chosen || i < w->chosen ? i : w->chosen;
    }
}

/* The address itself and all that it stands in: what ends before a point, a blank or its own end.
 */
static void try_prefixes(struct filed *w, const struct finding *f, const char *text)
{
    for (size_t len = 1; *text && text[len - 1] != '\n'; len++) {
        if (!text[len] || strchr(". \n", text[len]))
            try_filed(w, f, map_hash_bytes(text, len));
        if (!text[len])
            break;
    }
}

static void try_subject(struct filed *w, const struct finding *f, const char *text)
{
    try_prefixes(w, f, text);
    for (size_t i = 0; i < sizeof sorts / sizeof *sorts; i++)
        if (!strncmp(text, sorts[i], strlen(sorts[i])))
            try_prefixes(w, f, text + strlen(sorts[i]));
}

static void file_prefixes(struct arena *scratch, struct map *places, const char *text)
{
    for (size_t len = 1; *text && text[len - 1] != '\n'; len++) {
        if (!text[len] || strchr(". \n", text[len]))
            map_put(scratch, places, map_hash_bytes(text, len), 1, places);
        if (!text[len])
            break;
    }
}

/* The addresses, with their sort, in which an error stands. */
static void file_faults(const struct model *m, struct arena *scratch, struct map *places)
{
    for (uint32_t i = 0; i < m->diag->findings.n; i++) {
        const struct finding *f = &m->diag->findings.at[i];
        for (const char *s = f->severity == ERROR && !f->waived ? f->subject : NULL; s && *s;
             s = strchr(s, '\n') ? strchr(s, '\n') + 1 : NULL)
            file_prefixes(scratch, places, s);
    }
}

/* Whether a room in which a circuit has boxes has an error: its ways may not be known. Each circuit
 * is looked through once. */
static bool has_room_at_fault(const struct circuit *c, struct map *faults, struct arena *scratch)
{
    static const char yes, no;
    void **known = map_at(scratch, faults, (uintptr_t)c, 2);
    for (uint32_t i = 0; !*known && i < c->runs.n; i++) {
        const struct box *ends[] = {c->runs.at[i]->from.box, c->runs.at[i]->to.box};
        for (int e = 0; e < 2; e++) {
            const char *room = ends[e] ? address_of_room(scratch, ends[e]->room, false) : "";
            if (map_get(faults, map_hash_bytes(room, strlen(room)), 1))
                *known = (void *)&yes;
        }
    }
    *known = *known ? *known : (void *)&no;
    return *known == &yes;
}

/* Whether another slip may be why a waiver finds nothing: what it names could not be read whole, or
 * has an error, which is mended first. Of a waiver in a room one error says nothing of the rest. */
static bool may_be_hidden(const struct waiver *w, struct map *faults, struct arena *scratch)
{
    bool small = w->subject && (strchr(w->subject, ' ') || strchr(w->subject, '.'));
    return (w->circuit &&
            (w->circuit->in_doubt || has_room_at_fault(w->circuit, faults, scratch))) ||
           (small && map_get(faults, map_hash_bytes(w->subject, strlen(w->subject)), 1));
}

/* By place in the list of rules the statement that would waive the first of its findings that no
 * waiver covers. */
static const char **lines_that_fit(struct model *m)
{
    const char **lines = arena_array(m->arena, const char *, rule_count);
    for (uint32_t i = 0; i < m->diag->findings.n; i++) {
        const struct finding *f = &m->diag->findings.at[i];
        if (!lines[*f->rule->place])
            lines[*f->rule->place] = finding_waive_line(m->arena, f);
    }
    return lines;
}

/* `line`: the statement that would fit a finding of the rule, or NULL. */
static void say_stale(struct model *m, const struct waiver *w, const char *line)
{
    struct finding *f = model_finding(m, &rule_stale_waiver, node_name_span(w->node), w->unit, NULL,
                                      "this waiver of %s matches no finding", w->rule->name);
    if (line)
        diag_mend(m->diag, f, "leave it out, or name the place that the finding has: %s", line);
    else
        diag_mend(m->diag, f, "leave it out");
    edit_remove(edit_way(m->diag, f, false, "leave it out"), w->node);
}

/* Whether what a waiver is for may not have been looked at: part of the plan could not be read, or
 * something in it does not fit together. */
static bool is_in_doubt(const struct model *m)
{
    for (uint32_t i = 0; i < m->diag->findings.n; i++) {
        const struct finding *f = &m->diag->findings.at[i];
        if (f->severity == ERROR && !f->rule->waivable)
            return true;
    }
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (m->rooms.at[i]->in_doubt)
            return true;
    return m->diag->syntax_lines.n;
}

void model_apply_waivers(struct model *m)
{
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    struct filed w = {.m = m};
    file_waivers(&w, &scratch);
    for (uint32_t i = 0; i < m->diag->findings.n && m->waivers.n; i++) {
        struct finding *f = &m->diag->findings.at[i];
        w.chosen = 0;
        try_filed(&w, f, 0);
        for (const char *s = f->subject; s && *s; s = strchr(s, '\n') ? strchr(s, '\n') + 1 : NULL)
            try_subject(&w, f, s);
        if (!w.chosen) /* the first reason is printed; a second waiver of it is not stale */
            continue;
        const struct waiver *x = m->waivers.at[w.chosen - 1];
        f->waived = x->because;
        f->waived_by = x->by;
        f->waived_on = x->on;
    }
    struct map faults = {0};
    if (m->waivers.n)
        file_faults(m, &scratch, &faults);
    const char **lines = m->waivers.n ? lines_that_fit(m) : NULL;
    for (uint32_t k = 0; m->waivers.n && !is_in_doubt(m) && k < m->waivers.n; k++) {
        const struct waiver *w = m->waivers.at[k];
        if (!w->used && !may_be_hidden(w, &faults, &scratch) &&
            !diag_is_full(m->diag, w->rule)) /* else it may be for one that was left out */
            say_stale(m, w, lines[*w->rule->place]);
    }
    arena_free(&scratch);
}

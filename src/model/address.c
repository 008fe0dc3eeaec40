#include "model/build.h"

#include <string.h>

static const char *with_unit(struct arena *a, const struct unit *u, bool short_form,
                             const char *rest)
{
    return u && !short_form ? arena_printf(a, "%s.%s", u->name, rest) : rest;
}

const char *address_of_room(struct arena *a, const struct room *r, bool short_form)
{
    return with_unit(a, r->unit, short_form, r->name);
}

const char *address_of_box(struct arena *a, const struct box *b, bool short_form)
{
    return with_unit(a, b->room->unit, short_form,
                     arena_printf(a, "%s.%s", b->room->name, b->name));
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
        return arena_printf(a, "feeder %s", address_of_panel(a, c->feeds, short_form));
    return c->panel ? arena_printf(
                          a, "%s.%s",
                          address_of_panel(a, c->panel, short_form || c->panel->unit != c->unit),
                          c->name)
                    : with_unit(a, c->unit, short_form, c->name);
}

const char *address_of_run(struct arena *a, const struct run *r, bool short_form)
{
    const char *from = address_of_end(a, r->from, short_form);
    bool same_room = r->from.box && r->to.box && r->from.box->room == r->to.box->room;
    return arena_printf(a, "%s -> %s", from,
                        same_room ? r->to.box->name : address_of_end(a, r->to, short_form));
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
static bool inside(const char *subject, const char *where)
{
    static const char *const sorts[] = {"circuit ", "run ", "leg ", "feeder "};
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

void model_apply_waivers(struct model *m)
{
    for (uint32_t i = 0; i < m->diag->findings.n && m->waivers.n; i++) {
        struct finding *f = &m->diag->findings.at[i];
        for (uint32_t k = 0; k < m->waivers.n; k++) { /* the first reason is printed; a second
                                                         waiver of the same finding is not stale */
            struct waiver *w = m->waivers.at[k];
            if (!covers(w, f))
                continue;
            w->used++;
            if (f->waived)
                continue;
            f->waived = w->because;
            f->waived_by = w->by;
            f->waived_on = w->on;
        }
    }
    /* Where a part of the plan could not be read, what a waiver is for may be there. */
    for (uint32_t k = 0; k < m->waivers.n && !m->diag->syntax_lines.n; k++) {
        const struct waiver *w = m->waivers.at[k];
        if (!w->used &&
            !diag_is_full(m->diag, w->rule)) /* else it may be for one that was left out */
            diag_mend(m->diag,
                      model_finding(m, &rule_stale_waiver, node_name_span(w->node), w->unit, NULL,
                                    "this waiver of %s matches no finding", w->rule->name),
                      "leave it out, or name the place that the finding has now");
    }
}

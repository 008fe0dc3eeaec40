/* What a plan shows of the lines of the inspection report, in figures of this plan: where a figure
 * is none, nothing is said to be shown. */
#include "emit/reports/inspection.h"
#include "emit/reports/inspection_lines.h"
#include "emit/views.h"
#include "facts/facts.h"
#include "log/log.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/value.h"

static void say(const struct results *r, name_list *list, const char *words)
{
    *vec_push(r->arena, list) = words;
}

/* Words with the places that they are said of; nothing where there are none. */
static void say_places(const struct results *r, name_list *list, const char *words,
                       const name_list *places)
{
    for (uint32_t i = 0; i < places->n; i++)
        say(r, list, i ? places->at[i] : arena_printf(r->arena, "%s: %s", words, places->at[i]));
}

/* The head of every sheet: what the plan gives, what it does not. */
void tell_heading(const struct results *r, const struct tally *t, struct told *told)
{
    (void)t;
    const struct model *m = r->model;
    const struct edition *code = m->code.electrical, *home = m->code.residential;
    const struct {
        const char *name, *value;
    } fields[] = {{"site", m->site},
                  {"owner", m->owner},
                  {"drawn by", m->by},
                  {"date", m->date},
                  {"permit", m->permit},
                  {"edition", code ? code->label : NULL},
                  {"residential edition", home ? home->label : NULL}};
    for (size_t i = 0; i < sizeof fields / sizeof *fields; i++)
        say(r, fields[i].value ? &told->shown : &told->missing,
            fields[i].value ? arena_printf(r->arena, "%s: %s", fields[i].name, fields[i].value)
                            : fields[i].name);
    say(r, &told->shown, "sheets of draw plan are numbered, what is there already is dashed");
    say(r, &told->missing, "kind of occupancy, address and telephone of who drew it");
}

/* How much of the sheet a foot must take; 0: the library does not say. */
static length least_foot(const struct results *r)
{
    return code_length(&r->model->code, SET_PLAN_SHEETS_FOOT, 0);
}

/* By level: whether a floor plan shows some room of it. */
static const bool *drawn_levels(const struct results *r)
{
    bool *drawn = arena_array(r->arena, bool, (size_t)r->model->levels.n + 1);
    for (uint32_t i = 0; i < r->model->rooms.n; i++) {
        const struct room *room = r->model->rooms.at[i];
        if (room->level && room->wall_count && facts_is_built(room->unit))
            drawn[room->level->id] = true;
    }
    return drawn;
}

void tell_scale(const struct results *r, const struct tally *t, struct told *told)
{
    (void)t;
    length least = least_foot(r), drawn = FOOT / VIEW_LEAST_SCALE;
    const bool *shown = drawn_levels(r);
    const char *foot = length_inch_words(r->arena, drawn);
    for (uint32_t i = 0; i < r->model->levels.n; i++)
        if (shown[i])
            say(r, &told->shown,
                arena_printf(r->arena, "draw plan: %s to scale, %s to the foot or more",
                             r->model->levels.at[i]->name, foot));
    if (told->shown.n && drawn < least)
        say(r, &told->missing,
            arena_printf(r->arena, "%s to the foot or more", length_inch_words(r->arena, least)));
    if (told->shown.n)
        say(r, &told->look, "print at 100 % and measure the bar of the scale");
    else
        say(r, &told->missing, "rooms with their size");
}

void tell_floor_plan(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->boxes > t->undrawn.n)
        say(r, &told->shown,
            arena_printf(r->arena, "draw plan: %s with their symbols",
                         arena_counted(r->arena, t->boxes - t->undrawn.n, "box", "boxes")));
    say_places(r, &told->missing, "the place on the floor of", &t->undrawn);
}

void tell_marks(const struct results *r, const struct tally *t, struct told *told)
{
    const char *both = arena_printf(r->arena, "%.0f V outlet", r->model->line_volts);
    if (t->two_line)
        say(r, &told->shown,
            arena_printf(
                r->arena, "draw plan marks %s with the voltage",
                arena_counted(r->arena, t->two_line, both, arena_printf(r->arena, "%ss", both))));
    if (t->gfci_guarded)
        say(r, &told->shown,
            arena_printf(r->arena,
                         "draw plan marks %s with GFCI, in brackets what a device before it "
                         "protects, at the home run what a breaker does; report protection",
                         arena_counted(r->arena, t->gfci_guarded, "outlet", "outlets")));
}

void tell_alarms(const struct results *r, const struct tally *t, struct told *told)
{
    say_places(r, &told->shown, "draw plan, report boxes", &t->alarms);
    say(r, &told->missing,
        t->alarms.n ? "batteries, and that each is heard everywhere" : "an alarm");
}

void tell_panels(const struct results *r, const struct tally *t, struct told *told)
{
    for (uint32_t i = 0; i < r->model->panels.n; i++) {
        const struct panel *p = r->model->panels.at[i];
        double amps = p->main > 0 ? p->main : p->bus;
        if (facts_is_built(p->unit) && amps > 0)
            say(r, &told->shown,
                arena_printf(r->arena, "panel %s%s%s: %g A %s",
                             address_of_panel(r->arena, p, false), p->room ? " in " : "",
                             p->room ? address_of_room(r->arena, p->room, false) : "", amps,
                             p->main > 0 ? "main" : "bus"));
    }
    say_places(r, &told->missing, "the ampacity of panel", &t->no_rating);
}

void tell_schedule(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->circuits)
        say(r, &told->shown,
            arena_printf(r->arena, "report panel: %s with breaker, cable and load, totals by line",
                         arena_counted(r->arena, t->circuits, "circuit", "circuits")));
    say_places(r, &told->missing, "the breaker of", &t->no_breaker);
}

void tell_numbers(const struct results *r, const struct tally *t, struct told *told)
{
    uint32_t left = t->undrawn.n + t->unfed.n;
    if (t->boxes > left)
        say(r, &told->shown,
            arena_printf(r->arena,
                         "draw plan: beside the name of %s; report panel has the same numbers",
                         arena_counted(r->arena, t->boxes - left, "box", "boxes")));
    say_places(r, &told->missing, "the circuit of", &t->unfed);
}

void tell_sizes(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->runs)
        say(r, &told->shown,
            arena_printf(r->arena, "report runs: the cable of %s",
                         arena_counted(r->arena, t->runs, "run", "runs")));
    if (t->circuits > t->no_breaker.n)
        say(r, &told->shown,
            arena_printf(
                r->arena, "report panel: %s",
                arena_counted(r->arena, t->circuits - t->no_breaker.n, "breaker", "breakers")));
    say_places(r, &told->missing, "the breaker of", &t->no_breaker);
}

void tell_load(const struct results *r, const struct tally *t, struct told *told)
{
    (void)t;
    const struct demand *d = demand_work_out(demand_prepare(r->arena, r->model),
                                             demand_method_of(r->model), demand_panel_of(r->model));
    say(r, &told->shown,
        arena_printf(r->arena, "report load: %.0f VA, %.0f A%s", d->va, d->amps,
                     d->known ? "" : " of new load"));
    if (!d->known)
        say(r, &told->missing, "the load that is there already");
}

void tell_one_line(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->circuits)
        say(r, &told->shown,
            "as lists in report panel and report runs: panels, feeders, breakers, cables");
    say(r, &told->missing, "the diagram itself, grounding and bonding of the service");
}

void tell_spacing(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->receptacles)
        say(r, &told->shown,
            arena_printf(r->arena,
                         "draw plan, draw elevation, to scale; distances in report boxes: %s",
                         arena_counted(r->arena, t->receptacles, "receptacle", "receptacles")));
}

void tell_low_voltage(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->low_voltage)
        say(r, &told->shown,
            arena_printf(r->arena, "report runs: %s",
                         arena_counted(r->arena, t->low_voltage, "run", "runs")));
}

void tell_value(const struct results *r, const struct tally *t, struct told *told)
{
    say(r, &told->shown,
        arena_printf(r->arena, "report permit: %s, %s",
                     arena_counted(r->arena, t->openings, "outlet", "outlets"),
                     arena_counted(r->arena, t->circuits, "circuit", "circuits")));
    say(r, &told->missing, "the value of the work");
}

/* What the site log says of the work; without a log nothing is known of it. */
void tell_ready(const struct results *r, const struct tally *t, struct told *told)
{
    static const enum log_state states[] = {LOG_PULLED, LOG_STAPLED, LOG_MADE_UP};
    say(r, &told->look,
        arena_printf(r->arena, "%s set", arena_counted(r->arena, t->cut_boxes, "box", "boxes")));
    say(r, &told->look,
        arena_printf(r->arena, "%s in, stapled and plated",
                     arena_counted(r->arena, t->runs, "run", "runs")));
    say(r, &told->look, "grounds made up, no device in");
    say(r, &told->look, "the approved plan and the permit card are there");
    for (size_t s = 0; r->log && s < sizeof states / sizeof *states; s++) {
        uint32_t n = 0, all = states[s] == LOG_MADE_UP ? t->boxes : t->runs;
        for (uint32_t i = 0; states[s] != LOG_MADE_UP && i < r->model->runs.n; i++)
            n += log_has(r->log->of_run[i].done, states[s]);
        for (uint32_t i = 0; states[s] == LOG_MADE_UP && i < r->model->boxes.n; i++)
            n += log_has(r->log->of_box[i], states[s]);
        say(r, &told->shown,
            arena_printf(r->arena, "by the site log %s: %u of %u", log_state_word(states[s]), n,
                         all));
    }
}

void tell_plates(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->plates)
        say(r, &told->shown,
            arena_printf(r->arena, "report bores: %s",
                         arena_counted(r->arena, t->plates, "nail plate", "nail plates")));
}

void tell_free_conductor(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->runs)
        say(r, &told->shown, "cut lengths hold it: report cuts");
}

void tell_rings(const struct results *r, const struct tally *t, struct told *told)
{
    (void)t;
    say_places(r, &told->shown, "rings in report boxes", &t->ringed);
}

void tell_directory(const struct results *r, const struct tally *t, struct told *told)
{
    if (t->circuits)
        say(r, &told->shown, "report panel");
}

/* What a dwelling's service has outdoors, where the edition asks for it. */
void tell_service(const struct results *r, const struct tally *t, struct told *told)
{
    struct code *code = &r->model->code;
    (void)t;
    if (code_yes(code, SET_EMERGENCY_DISCONNECT_OUTDOORS))
        say(r, &told->missing,
            arena_printf(
                r->arena,
                "whether the service has a disconnect outdoors, marked (%s %s), where work "
                "on the service asks for it",
                code->electrical->label, code_table(code, TABLE_EMERGENCY_DISCONNECT)->source));
}

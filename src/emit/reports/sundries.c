#include "emit/reports/sundries.h"

#include "emit/left.h"
#include "emit/removals.h"
#include "emit/views.h"
#include "framing/routes.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <math.h>

struct sundries {
    const struct results *r;
    struct code *code;
    struct map found; /* (0, interned name) -> its number + 1 in the list */
    sundry_list list;
};

static void add(struct sundries *s, struct sundry what, double count)
{
    if (count <= 0)
        return;
    const char *name = names_of(s->r->model->names, what.name);
    void **at = map_at(s->r->arena, &s->found, 0, (uintptr_t)name);
    if (!*at) {
        *vec_push(s->r->arena, &s->list) = what;
        *at = (void *)(uintptr_t)s->list.n;
    }
    s->list.at[(uintptr_t)*at - 1].count += (uint64_t)ceil(count - 1e-9);
}

/* So many things, of which one piece does for `each`; 0: it is not bought. */
static double shared(uint64_t things, double each)
{
    return each > 0 ? ceil((double)things / each) : 0;
}

/* --- cables ------------------------------------------------------------------------------- */

/* What a family's cables take, by a column of its table; NULL where it has none or no row. */
static const char *hardware(struct sundries *s, const struct word_column *column,
                            const struct cable_def *cable)
{
    return cable->family ? code_cell_word(s->code, column, code_key(s->code, cable->family)) : NULL;
}

/* Straps into concrete have an anchor each. */
static void add_anchors(struct sundries *s, const struct run *run)
{
    add(s, (struct sundry){.name = "anchor for concrete", .unit = "each", .spare = true},
        s->r->routes->of_run[run->id].anchors);
}

/* "staple 1/2\"": of one sort, as wide as the cable is thick. */
static void add_sort(struct sundries *s, const struct cable_def *cable, const char *sort,
                     uint32_t count)
{
    const char *name = sort;
    const struct table *widths = code_table(s->code, TABLE_SUPPORT_WIDTHS);
    for (uint32_t i = 0; sort && widths && i < widths->rows.n && name == sort; i++)
        if (cable->diameter <= code_row_length(s->code, COL_SUPPORT_WIDTHS_UP_TO, i, 0))
            name = arena_printf(
                s->r->arena, "%s %s", sort,
                length_words(s->r->arena,
                             code_row_length(s->code, COL_SUPPORT_WIDTHS_WIDTH, i, 0)));
    if (name)
        add(s, (struct sundry){.name = name, .other = sort, .unit = "each", .spare = true}, count);
}

/* By the cable's family, and by what it is held to. */
static void add_supports(struct sundries *s, const struct run *run, const struct cable_def *cable)
{
    const struct route *route = &s->r->routes->of_run[run->id];
    if (run->spaced) {
        add(s, (struct sundry){.name = "stand-off holder", .unit = "each", .spare = true},
            route->supports);
    } else {
        add_sort(s, cable, hardware(s, COL_CABLE_HARDWARE_SUPPORT, cable),
                 route->supports - route->anchors);
        add_sort(s, cable, hardware(s, COL_CABLE_HARDWARE_ON_CONCRETE, cable), route->anchors);
    }
    add_anchors(s, run);
}

/* The boards and strips of wood that exposed cables lie on and between. */
static void add_boards(struct sundries *s)
{
    length piece = code_length(s->code, SET_MATERIALS_BOARD, 0), boards = 0, strips = 0;
    for (uint32_t i = 0; i < s->r->model->runs.n; i++) {
        const struct run *run = s->r->model->runs.at[i];
        const struct route *route = &s->r->routes->of_run[i];
        bool laid = run->boarded || run->guarded;
        if (!laid || run->existing || !view_built_run(s->r, i) ||
            !left_of_run(s->r, run, LOG_STAPLED))
            continue;
        for (uint32_t k = 0; k < route->segment_count; k++) {
            length across =
                route->segments[k].kind == ACROSS_JOISTS ? route->segments[k].length : 0;
            boards += run->boarded ? across : 0;
            strips += run->guarded ? 2 * across : 0;
        }
    }
    if (piece <= 0)
        return;
    const char *unit = arena_printf(s->r->arena, "piece of %s", length_words(s->r->arena, piece));
    add(s, (struct sundry){.name = "running board", .unit = unit}, (double)boards / (double)piece);
    add(s, (struct sundry){.name = "guard strip", .unit = unit}, (double)strips / (double)piece);
}

/* Metal boxes without clamps, and panels, take a connector for each cable, and a locknut where it
 * does not go into a threaded hole. */
static void add_connector(struct sundries *s, const struct cable_def *cable, struct end e)
{
    const struct box_type *type = e.box ? s->r->wiring->of_box[e.box->id].type : NULL;
    if (e.box && (!type || !type->metal || type->clamp_internal || type->integral))
        return;
    bool wet = type && type->wet;
    const char *sort = wet ? hardware(s, COL_CABLE_HARDWARE_IN_WET, cable) : NULL;
    if (!sort)
        sort = hardware(s, COL_CABLE_HARDWARE_CONNECTOR, cable);
    if (!sort)
        return;
    add(s,
        (struct sundry){.name = arena_printf(s->r->arena, "cable connector %s", sort),
                        .other = "cable connector",
                        .unit = "each"},
        1);
    if (!wet)
        add(s, (struct sundry){.name = "locknut", .unit = "each"}, 1);
}

/* What a raceway takes, by a column of its family's row; none where that says none. */
static void add_fitting(struct sundries *s, const struct run *run, const struct word_column *column,
                        double count, bool spare)
{
    const struct raceway_def *w = run->raceway;
    const char *sort =
        w->family ? code_cell_word(s->code, column, code_key(s->code, w->family)) : NULL;
    if (sort)
        add(s,
            (struct sundry){.name = arena_printf(s->r->arena, "%s %s", sort, w->name),
                            .other = sort,
                            .unit = "each",
                            .spare = spare},
            count);
}

/* A connector at each end, a coupling between two sticks, elbows where the stick is not bent, and
 * at both ends of what is buried what lets it grow. A bend that is bought is joined on both sides.
 */
static void add_raceway(struct sundries *s, const struct run *run)
{
    const struct route *route = &s->r->routes->of_run[run->id];
    const struct raceway_def *w = run->raceway;
    uint32_t bends = 0;
    length way = route_raceway_length(run, route);
    if (run->bends >= 0)
        bends = (uint32_t)run->bends;
    else
        route_bends(route, code_length(s->code, SET_RACEWAY_BENDS_OFFSET, 0), &bends);
    bool elbows = w->family &&
                  code_cell_word(s->code, COL_RACEWAY_HARDWARE_BEND, code_key(s->code, w->family));
    double sticks = w->stick > 0 ? ceil((double)way / (double)w->stick) : 1,
           joints = (sticks > 1 ? sticks - 1 : 0) + (elbows ? bends : 0);
    add_fitting(s, run, COL_RACEWAY_HARDWARE_CONNECTOR, 2, false);
    add_fitting(s, run, COL_RACEWAY_HARDWARE_COUPLING, joints, false);
    add_fitting(s, run, COL_RACEWAY_HARDWARE_BEND, bends, false);
    if (run->underground)
        add_fitting(s, run, COL_RACEWAY_HARDWARE_UNDERGROUND, 2, false);
}

static uint32_t whites_to_mark(const struct results *r, const struct run *run)
{
    const struct run_wiring *w = &r->wiring->of_run[run->id];
    uint32_t n = 0;
    for (uint32_t i = 0; w->conductors && i < w->count; i++)
        n += w->conductors[i].reidentified;
    return n;
}

static bool left_at_end(const struct results *r, struct end e)
{
    return e.box     ? left_in_box(r, e.box, LOG_MADE_UP)
           : e.panel ? left_in_panel(r, e.panel, LOG_MADE_UP)
                     : false;
}

/* Gives how many ends of whites are to be marked. */
static uint32_t add_run(struct sundries *s, const struct run *run)
{
    const struct cable_def *cable = wiring_cable_of_run(run, s->r->wiring);
    bool to_support = !run->existing && left_of_run(s->r, run, LOG_STAPLED),
         to_pull = !run->existing && left_of_run(s->r, run, LOG_PULLED);
    if (run->raceway && to_support) {
        add_fitting(s, run, COL_RACEWAY_HARDWARE_SUPPORT, s->r->routes->of_run[run->id].supports,
                    true);
        add_anchors(s, run);
    } else if (cable && to_support)
        add_supports(s, run, cable);
    if (run->raceway && to_pull) {
        add_raceway(s, run);
    } else if (cable && to_pull) {
        add_connector(s, cable, run->from);
        add_connector(s, cable, run->to);
    }
    return whites_to_mark(s->r, run) *
           (left_at_end(s->r, run->from) + (uint32_t)left_at_end(s->r, run->to));
}

static void add_runs(struct sundries *s)
{
    uint32_t marks = 0;
    for (uint32_t i = 0; i < s->r->model->runs.n; i++)
        if (view_built_run(s->r, i))
            marks += add_run(s, s->r->model->runs.at[i]);
    add(s, (struct sundry){.name = "marking tape", .unit = "roll"},
        shared(marks, code_count(s->code, SET_MATERIALS_MARKS_PER_ROLL, 0)));
}

/* --- grounds ------------------------------------------------------------------------------ */

static bool has_new_ground(const struct results *r, const struct box *b)
{
    bool any = false;
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct cable_def *cable = wiring_cable_of_run(b->runs.at[i], r->wiring);
        any |= !b->runs.at[i]->existing && cable && cable->power;
    }
    return any;
}

static void add_pigtails(struct sundries *s)
{
    const struct model *m = s->r->model;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        const struct box_type *type = s->r->wiring->of_box[i].type;
        if (facts_is_built(b->room->unit) && !b->existing && type && type->metal &&
            !type->integral && type->section <= 0 && has_new_ground(s->r, b) &&
            left_in_box(s->r, b, LOG_MADE_UP))
            add(s, (struct sundry){.name = "ground screw with pigtail", .unit = "each"},
                code_count(s->code, SET_MATERIALS_PIGTAILS_PER_METAL_BOX, 0));
    }
}

/* A panel behind a feeder keeps its grounds on a bar of their own. */
static void add_bars(struct sundries *s)
{
    const struct model *m = s->r->model;
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct panel *p = m->circuits.at[i]->feeds;
        if (p && !p->existing && facts_is_built(p->unit) && left_in_panel(s->r, p, LOG_MADE_UP))
            add(s, (struct sundry){.name = "ground bar", .unit = "each"},
                code_count(s->code, SET_MATERIALS_GROUND_BARS_PER_SUBPANEL, 0));
    }
}

/* --- the rest ----------------------------------------------------------------------------- */

static void add_whips(struct sundries *s)
{
    const struct model *m = s->r->model;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        for (uint32_t k = 0; k < b->device_count && facts_is_built(b->room->unit); k++)
            if (wiring_buys_device(s->r->wiring, b->devices[k]) &&
                left_in_box(s->r, b, LOG_TRIMMED) &&
                code_list_has_name(s->code, LIST_WHIPS, b->devices[k]->def->name))
                add(s, (struct sundry){.name = "whip", .unit = "each"}, 1);
    }
}

/* Appliances that plug in and come without a cord: its sort and length. */
static void add_cords(struct sundries *s)
{
    const struct model *m = s->r->model;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        for (uint32_t k = 0; k < b->device_count && facts_is_built(b->room->unit); k++) {
            const char *device = code_key(s->code, b->devices[k]->def->name),
                       *cord = code_cell_word(s->code, COL_CORDS_CORD, device);
            if (!cord || !wiring_buys_device(s->r->wiring, b->devices[k]) ||
                !left_in_box(s->r, b, LOG_TRIMMED))
                continue;
            length length = code_cell_length(s->code, COL_CORDS_LENGTH, device, 0);
            add(s,
                (struct sundry){.name = arena_printf(s->r->arena, "cord %s, %s", cord,
                                                     length_words(s->r->arena, length)),
                                .unit = "each"},
                1);
        }
    }
}

/* Every hole through a plate is closed against fire and draught. */
static void add_sealant(struct sundries *s)
{
    const struct bores *bores = s->r->bores;
    uint32_t holes = 0;
    for (uint32_t i = 0; i < bores->list.n; i++) {
        const struct bore *bore = &bores->list.at[i];
        bool left = false;
        for (uint32_t k = 0; k < bore->run_count; k++)
            left |= left_of_run(s->r, bore->runs[k], LOG_INSPECTED);
        holes += left && bore->bit && bore_member(bores, bore).member == MEMBER_PLATE;
    }
    add(s,
        (struct sundry){.name = "sealant for holes in plates",
                        .told = "Sealant for holes in top and bottom plates",
                        .unit = "tube"},
        shared(holes, code_count(s->code, SET_MATERIALS_HOLES_PER_SEALANT, 0)));
}

/* A building that stands there with its panel has its electrode. */
bool sundries_has_electrode(const struct results *r, const struct building *b)
{
    bool new_room = false, old_panel = false, left = false, panel = false;
    for (uint32_t i = 0; i < b->rooms.n; i++)
        new_room |= !b->rooms.at[i]->existing && facts_is_built(b->rooms.at[i]->unit);
    for (uint32_t i = 0; i < r->model->panels.n; i++) {
        const struct panel *p = r->model->panels.at[i];
        if (!p->room || p->room->building != b)
            continue;
        panel = true;
        old_panel |= p->existing;
        left |= left_in_panel(r, p, LOG_MADE_UP);
    }
    return b->electrode && new_room && !old_panel && (left || !panel);
}

static void add_electrodes(struct sundries *s)
{
    for (uint32_t i = 0; i < s->r->model->buildings.n; i++) {
        if (!sundries_has_electrode(s->r, s->r->model->buildings.at[i]))
            continue;
        double rods = code_count(s->code, SET_MATERIALS_RODS_PER_ELECTRODE, 0);
        add(s, (struct sundry){.name = "ground rod", .unit = "each"}, rods);
        add(s, (struct sundry){.name = "ground rod clamp", .unit = "each"}, rods);
    }
}

static void add_caps(struct sundries *s)
{
    uint32_t untold;
    add(s, (struct sundry){.name = "cap for a wire end", .unit = "each"},
        removals_caps(s->r, &untold));
}

/* A space that is open when its breaker is out is closed. */
static void add_fillers(struct sundries *s)
{
    const struct model *m = s->r->model;
    for (uint32_t i = 0; i < m->panels.n; i++)
        add(s, (struct sundry){.name = "filler plate", .unit = "each"},
            removals_fillers(s->r, m->panels.at[i]));
}

/* The ribbon over what is buried, as long as that is. */
static void add_ribbon(struct sundries *s)
{
    const struct model *m = s->r->model;
    length roll = code_length(s->code, SET_MATERIALS_RIBBON_ROLL, 0), sum = 0;
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        const struct route *route = &s->r->routes->of_run[i];
        if (run->existing || !run->underground || !view_of_run(s->r, run)->built ||
            !left_of_run(s->r, run, LOG_PULLED))
            continue;
        for (uint32_t k = 0; k < route->segment_count; k++)
            sum += route->segments[k].kind == IN_GROUND ? route->segments[k].length : 0;
    }
    if (roll > 0 && sum > 0)
        add(s, (struct sundry){.name = "warning ribbon", .unit = "roll"},
            ceil((double)sum / (double)roll));
}

sundry_list sundries_count(const struct results *r)
{
    struct sundries s = {.r = r, .code = &r->model->code};
    add_runs(&s);
    add_boards(&s);
    add_pigtails(&s);
    add_bars(&s);
    add_electrodes(&s);
    add_whips(&s);
    add_cords(&s);
    add_caps(&s);
    add_fillers(&s);
    add_sealant(&s);
    add_ribbon(&s);
    return s.list;
}

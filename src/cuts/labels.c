#include "cuts/labels.h"

#include "cuts/cuts.h"
#include "facts/facts.h"
#include "facts/pulls.h"
#include "facts/tags.h"
#include "framing/routes.h"
#include "loads/panel.h"
#include "log/log.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <string.h>

bool label_is_new(const struct run *run)
{
    const struct unit *unit = facts_unit_of_run(run);
    bool known = (run->from.box || run->from.panel) && (run->to.box || run->to.panel);
    return known && !run->existing && (!unit || unit->built);
}

bool label_on_run(const struct run *run)
{
    return label_is_new(run) && run == facts_pulled_with(run);
}

/* "14/3, 24'-6\", circuit P2". */
static const char *cable_line(struct arena *arena, const struct run *run,
                              const struct routes *routes, const struct wiring *wiring,
                              const struct site_log *log, const struct panels *panels)
{
    const struct route *route = &routes->of_run[run->id];
    length is = log_hangs(log, run->id) ? log->of_run[run->id].in_wall : 0;
    if (!is && route->known)
        is = route->cut;
    const struct cable_def *cable = wiring_cable_of_run(run, wiring);
    struct buf b = {0};
    if (cable)
        buf_printf(&b, "%s%s%s, ", cable->name, run->raceway ? " in " : "",
                   run->raceway ? run->raceway->name : "");
    if (is > 0) {
        length_print(&b, is);
        buf_puts(&b, ", ");
    }
    if (run->circuit)
        buf_printf(&b, "%s%s", run->circuit->feeds ? "" : "circuit ",
                   panel_circuit_called(arena, panels, run->circuit, false));
    else if (run->low_voltage)
        buf_puts(&b, run->low_voltage->name);
    const char *line = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return line;
}

static void add_label(struct arena *arena, label_list *list, const struct label *like,
                      struct end end, struct end other)
{
    struct label *label = vec_push(arena, list);
    *label = *like;
    label->end = end;
    label->other = other;
    label->lines[0] = arena_printf(arena, "at %s", address_of_end(arena, end, false));
    label->lines[1] = arena_printf(arena, "to %s", address_of_end(arena, other, false));
}

label_list labels_make(struct arena *arena, const struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct site_log *log,
                       const struct panels *panels)
{
    label_list list = {0};
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        if (!label_on_run(run))
            continue;
        const struct label like = {
            .run = run,
            .tag = facts_run_tag(arena, run),
            .lines = {[2] = cable_line(arena, run, routes, wiring, log, panels)},
            .home_run = facts_pull_from(run).panel || facts_pull_to(run).panel,
        };
        add_label(arena, &list, &like, facts_pull_from(run), facts_pull_to(run));
        add_label(arena, &list, &like, facts_pull_to(run), facts_pull_from(run));
    }
    return list;
}

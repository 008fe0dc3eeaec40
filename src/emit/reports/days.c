#include "emit/reports/days.h"

#include "emit/drills.h"
#include "emit/reports/reports.h"
#include "emit/reports/rounds.h"
#include "emit/reports/times.h"
#include "emit/views.h"
#include "emit/words/devices.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

enum {
    DONE,
    STAGE,
    ROOM,
    THING,
    LABEL,
    COUNT,
    DETAIL,
    STRAND,
    DAY,
    MINUTES,
    LADDER,
    FIRST,
    COLUMNS
};

static const struct column columns[COLUMNS] = {
    [DONE] = {"done", "Done", 0, 0},
    [STAGE] = {"stage", "Stage", 0, 0},
    [ROOM] = {"room", "Room", 0, 0},
    [THING] = {"thing", "What", 0, 0},
    [LABEL] = {"label", "Label", 0, 0},
    [COUNT] = {"count", "Count", 0, COLUMN_DATA},
    [DETAIL] = {"detail", "Detail", 0, 0},
    [STRAND] = {"strand", "Strand", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [DAY] = {"day", "Day", 0, COLUMN_RIGHT},
    [MINUTES] = {"minutes", "Minutes", 2, COLUMN_RIGHT},
    [LADDER] = {"ladder", "Ladder", 0, 0},
    [FIRST] = {"first", "First", 0, 0},
};

enum { SUM_DAY, SUM_TASKS, SUM_MINUTES, SUM_ROOMS, SUM_BRING, SUMS };

static const struct column sum_columns[SUMS] = {
    [SUM_DAY] = {"day", "Day", 0, COLUMN_RIGHT},
    [SUM_TASKS] = {"tasks", "Things", 0, COLUMN_RIGHT},
    [SUM_MINUTES] = {"minutes", "Minutes", 2, COLUMN_RIGHT},
    [SUM_ROOMS] = {"rooms", "Rooms", 0, 0},
    [SUM_BRING] = {"bring", "Bring", 0, 0},
};

/* The same for people, a list for each day. */
enum { TICK, DO, WHAT, TAG, HOW, IN_STRAND, FROM, TAKES };

static const struct column day_columns[] = {
    [TICK] = {"done", "Done", 0, COLUMN_TOP},
    [DO] = {"stage", "Do", 0, COLUMN_TOP},
    [WHAT] = {"thing", "What", 0, COLUMN_TOP},
    [TAG] = {"label", "Label", 0, COLUMN_IF_USED},
    [HOW] = {"detail", "Detail", 0, COLUMN_IF_USED},
    [IN_STRAND] = {"strand", "Strand", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [FROM] = {"ladder", "From", 0, COLUMN_IF_USED},
    [TAKES] = {"minutes", "Minutes", 2, COLUMN_RIGHT},
};

/* Parts of the work that are done by one way through the house each; what waits for an inspection
 * and for the finish parts the rough work from the trim. */
static uint32_t pass_of(enum stage stage)
{
    return stage == BORE ? SET : stage == STAPLE ? PULL : stage;
}

/* A task with its place in the order of the work. */
struct planned {
    const struct task *task;
    work_time time;
    uint32_t place; /* of its room on the way; 0: in none */
    uint32_t day;   /* from 1 */
    bool first;     /* the next trade waits for it */
    bool wanted;    /* it is in what that trade wants; the others of `first` go before that */
};

typedef VEC(struct planned) planned_list;

/* What is wanted first. */
struct wanted {
    const struct results *r;
    bool any;
    VEC(const struct face *) * faces; /* by line of the frame */
    bool *runs, *boxes, *panels; /* by id: they go through it, end in it, or stand at such an end */
};

struct days {
    const struct results *r;
    struct report *report;
    struct tasks tasks;
    struct times times;
    const uint32_t *way;
    struct wanted wanted;
    planned_list list;
    uint32_t count; /* of days */
    bool invented;
};

/* --- what the next trade wants ------------------------------------------------------------ */

static bool box_is_wanted(const struct box *b)
{
    const struct place *p = &b->place;
    if (p->where == OVERHEAD)
        return b->room->first_ceiling;
    return p->known && p->where == ON_WALL && p->wall < b->room->wall_count &&
           b->room->walls[p->wall].first;
}

/* Whether a hole stands in a wall that is wanted, whichever room says so. */
static bool hole_is_wanted(const struct wanted *w, const struct bore *bore)
{
    const struct passed p = bore_member(w->r->bores, bore);
    if (p.member == MEMBER_JOIST)
        return false;
    for (uint32_t i = 0; i < w->faces[p.line].n; i++)
        if (w->faces[p.line].at[i]->lo <= p.on_line && p.on_line <= w->faces[p.line].at[i]->hi)
            return true;
    return false;
}

static void note_faces(struct wanted *w)
{
    const struct model *m = w->r->model;
    const struct skeleton *f = w->r->bores->frame;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        w->any |= room->first_ceiling;
        for (uint32_t k = 0; k < room->wall_count; k++) {
            w->any |= room->walls[k].first;
            const struct face *face = &f->faces[f->first_face[i] + k];
            if (room->walls[k].first && face->line < f->line_count)
                *vec_push(w->r->arena, &w->faces[face->line]) = face;
        }
    }
}

/* A cable is wanted whole: with the boxes at its ends. */
static void note_run(struct wanted *w, const struct run *run)
{
    const struct end ends[] = {run->from, run->to};
    w->runs[run->id] = true;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        if (ends[i].box)
            w->boxes[ends[i].box->id] = true;
        if (ends[i].panel)
            w->panels[ends[i].panel->id] = true;
    }
}

static struct wanted find_wanted(const struct results *r)
{
    const struct model *m = r->model;
    struct wanted w = {
        .r = r,
        .faces = arena_alloc(r->arena, (r->bores->frame->line_count + 1) * sizeof *w.faces),
        .runs = arena_array(r->arena, bool, m->runs.n + 1),
        .boxes = arena_array(r->arena, bool, m->boxes.n + 1),
        .panels = arena_array(r->arena, bool, m->panels.n + 1)};
    note_faces(&w);
    for (uint32_t i = 0; w.any && i < m->boxes.n; i++)
        w.boxes[i] = box_is_wanted(m->boxes.at[i]);
    for (uint32_t i = 0; w.any && i < r->bores->list.n; i++)
        for (uint32_t k = 0;
             hole_is_wanted(&w, &r->bores->list.at[i]) && k < r->bores->list.at[i].run_count; k++)
            note_run(&w, r->bores->list.at[i].runs[k]);
    for (uint32_t i = 0; w.any && i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        if ((run->from.box && box_is_wanted(run->from.box)) ||
            (run->to.box && box_is_wanted(run->to.box)))
            note_run(&w, run);
    }
    return w;
}

/* Whether a task is in what is wanted. */
static bool task_is_wanted(const struct wanted *w, const struct task *t)
{
    if (!w->any || t->stage > MAKE_UP)
        return false;
    if (t->run)
        return w->runs[t->run->id];
    for (uint32_t i = 0; i < t->boxes.n; i++)
        if (box_is_wanted(t->boxes.at[i]))
            return true;
    for (uint32_t i = 0; i < t->bores.n; i++)
        if (hole_is_wanted(w, t->bores.at[i]))
            return true;
    return false;
}

/* Whether what is wanted waits for a task: boxes at the ends of its cables, holes on their way. */
static bool task_goes_before(const struct wanted *w, const struct task *t)
{
    if (!w->any || t->stage > STAPLE)
        return false;
    if (t->panel)
        return w->panels[t->panel->id];
    for (uint32_t i = 0; i < t->boxes.n; i++)
        if (w->boxes[t->boxes.at[i]->id])
            return true;
    for (uint32_t i = 0; i < t->bores.n; i++)
        for (uint32_t k = 0; k < t->bores.at[i]->run_count; k++)
            if (w->runs[t->bores.at[i]->runs[k]->id])
                return true;
    return t->stage <= TAKE_OUT;
}

/* --- order -------------------------------------------------------------------------------- */

static uint32_t place_of(const struct days *d, const struct room *room)
{
    return room ? d->way[room->id] : 0;
}

/* Where a task is done; a line of joists when the rooms of all its cables are behind one. */
static uint32_t place_of_task(const struct days *d, const struct task *t)
{
    uint32_t place = place_of(d, t->room);
    for (uint32_t i = 0; !t->room && i < t->bores.n; i++)
        for (uint32_t k = 0; k < t->bores.at[i]->run_count; k++) {
            uint32_t there = place_of(d, view_of_run(d->r, t->bores.at[i]->runs[k])->room);
            place = there > place ? there : place;
        }
    return place;
}

static int compare(uint32_t a, uint32_t b)
{
    return (a > b) - (a < b);
}

/* By the part of the work, the way, from the floor before from the ladder; the order of the text
 * decides nothing. */
static int in_order(const void *a, const void *b)
{
    const struct planned *x = a, *y = b;
    const struct task *s = x->task, *t = y->task;
    const int by[] = {
        compare(!x->first, !y->first),
        compare(pass_of(s->stage), pass_of(t->stage)),
        compare(x->place, y->place),
        compare(s->ladder, t->ladder),
        compare(s->stage, t->stage),
        strcmp(s->thing, t->thing),
        strcmp(s->label ? s->label : "", t->label ? t->label : ""),
        compare(s->count, t->count),
        x->time < y->time ? -1 : x->time > y->time,
    };
    for (size_t i = 0; i < sizeof by / sizeof *by; i++)
        if (by[i])
            return by[i];
    return 0;
}

static void order_tasks(struct days *d)
{
    for (uint32_t i = 0; i < d->tasks.list.n; i++) {
        const struct task *t = &d->tasks.list.at[i];
        bool wanted = task_is_wanted(&d->wanted, t);
        *vec_push(d->r->arena, &d->list) =
            (struct planned){.task = t,
                             .time = times_of_task(&d->times, t),
                             .place = place_of_task(d, t),
                             .first = wanted || task_goes_before(&d->wanted, t),
                             .wanted = wanted};
        for (int k = 0; k < MOST_EFFORTS; k++)
            d->invented |= d->times.invented[t->efforts[k].work] &&
                           (t->efforts[k].count || t->efforts[k].feet);
    }
    if (d->list.n)
        qsort(d->list.at, d->list.n, sizeof *d->list.at, in_order);
}

/* One behind the other, as many as fit. Behind the inspection, and the finish, a new day begins. */
static void share_out(struct days *d)
{
    work_time used = 0;
    for (uint32_t i = 0; i < d->list.n; i++) {
        struct planned *p = &d->list.at[i];
        const enum stage before = i ? p[-1].task->stage : p->task->stage;
        bool waits = (before == INSPECT || before == COVER) && p->task->stage > COVER;
        if (!i || waits || (used && used + p->time > d->r->day)) {
            d->count++;
            used = 0;
        }
        used += p->time;
        p->day = d->count;
    }
}

/* --- what to bring ------------------------------------------------------------------------ */

typedef VEC(const char *) word_list;

/* What one day asks for. */
struct load {
    const struct days *d;
    word_list bring;  /* each once */
    struct map seen;  /* (0, interned word) */
    VEC(length) bits; /* smallest first */
    length wood;
    struct map feet; /* (0, interned name of a cable) -> its place among `cables` + 1 */
    struct coil_feet {
        const char *name;
        length feet;
    } * cables;
    uint32_t cable_count;
    bool works[WORKS], ladder;
};

static void bring(struct load *l, const char *word)
{
    const char *name = names_of(l->d->r->model->names, word);
    void **at = map_at(l->d->r->arena, &l->seen, 0, (uintptr_t)name);
    if (!*at)
        *vec_push(l->d->r->arena, &l->bring) = name;
    *at = (void *)name;
}

/* What the library says for a kind of work, word by word. */
static void bring_for(struct load *l, const char *kind)
{
    struct code *code = &l->d->r->model->code;
    const char *words = code_cell_text(code, COL_WORK_TOOLS_BRING, code_key(code, kind));
    static const char between[] = ", ";
    while (words && *words) {
        const char *end = strstr(words, between);
        size_t n = end ? (size_t)(end - words) : strlen(words);
        bring(l, arena_copy(l->d->r->arena, words, n));
        words = end ? end + sizeof between - 1 : NULL;
    }
}

static void count_hole(struct load *l, const struct bore *bore)
{
    uint32_t i = 0;
    if (!bore->bit)
        return;
    l->wood += wiring_bored_through(l->d->r->model, l->d->r->bores, bore);
    while (i < l->bits.n && l->bits.at[i] < bore->bit)
        i++;
    if (i < l->bits.n && l->bits.at[i] == bore->bit)
        return;
    vec_push(l->d->r->arena, &l->bits);
    memmove(&l->bits.at[i + 1], &l->bits.at[i], (l->bits.n - 1 - i) * sizeof *l->bits.at);
    l->bits.at[i] = bore->bit;
}

static void count_cable(struct load *l, const struct run *run)
{
    const struct run_view *v = view_of_run(l->d->r, run);
    const char *name = v->written ? names_of(l->d->r->model->names, v->written) : NULL;
    if (!name)
        return;
    void **at = map_at(l->d->r->arena, &l->feet, 0, (uintptr_t)name);
    if (!*at) {
        l->cables[l->cable_count].name = name;
        *at = (void *)(uintptr_t)++l->cable_count;
    }
    l->cables[(uintptr_t)*at - 1].feet += v->route->cut;
}

static int by_name(const void *a, const void *b)
{
    return strcmp(((const struct coil_feet *)a)->name, ((const struct coil_feet *)b)->name);
}

static void bring_cables(struct load *l)
{
    if (l->cable_count)
        qsort(l->cables, l->cable_count, sizeof *l->cables, by_name);
    for (uint32_t i = 0; i < l->cable_count; i++)
        bring(l, arena_printf(l->d->r->arena, "%s of %s",
                              length_words(l->d->r->arena, l->cables[i].feet), l->cables[i].name));
}

/* Which drill, and the bits. */
static void bring_drill(struct load *l)
{
    struct arena *a = l->d->r->arena;
    if (!l->bits.n)
        return;
    bool cord = drills_wood_wants_cord(l->d->r, l->wood) ||
                drills_bit_wants_cord(l->d->r, l->bits.at[l->bits.n - 1]);
    bring(l, cord ? "drill with a cord" : "cordless drill");
    for (uint32_t i = 0; i < l->bits.n; i++)
        bring(l, arena_printf(a, "bit %s", length_words(a, l->bits.at[i])));
}

static word_list load_of(const struct days *d, uint32_t first, uint32_t end)
{
    struct load l = {.d = d, .cables = arena_array(d->r->arena, struct coil_feet, end - first + 1)};
    for (uint32_t i = first; i < end; i++) {
        const struct task *t = d->list.at[i].task;
        for (int k = 0; k < MOST_EFFORTS; k++)
            l.works[t->efforts[k].work] |= t->efforts[k].count || t->efforts[k].feet;
        l.ladder |= t->ladder;
        for (uint32_t k = 0; k < t->bores.n; k++)
            count_hole(&l, t->bores.at[k]);
        if (t->stage == PULL)
            count_cable(&l, t->run);
    }
    if (l.ladder)
        bring_for(&l, "ladder");
    bring_drill(&l);
    for (enum work_kind w = 0; w < WORKS; w++)
        if (l.works[w] && w != WORK_BORE)
            bring_for(&l, model_works[w].word);
    bring_cables(&l);
    return l.bring;
}

/* --- words -------------------------------------------------------------------------------- */

static const char *joined(const struct days *d, const word_list *list)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < list->n; i++)
        buf_printf(&b, "%s%s", i ? ", " : "", list->at[i]);
    const char *words = arena_copy(d->r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

/* Rooms in the order in which they are come into. */
static word_list rooms_of(const struct days *d, uint32_t first, uint32_t end)
{
    word_list rooms = {0};
    struct map seen = {0};
    for (uint32_t i = first; i < end; i++) {
        const struct room *room = d->list.at[i].task->room;
        void **at = room ? map_at(d->r->arena, &seen, 0, (uintptr_t)room) : NULL;
        if (at && !*at) {
            *vec_push(d->r->arena, &rooms) = tasks_room(d->r, room);
            *at = (void *)room;
        }
    }
    return rooms;
}

/* "7 h 52 min". */
static const char *time_words(const struct days *d, work_time t)
{
    struct arena *a = d->r->arena;
    const long long minutes = times_whole_minutes(t), hours = minutes / TIMES_HOUR,
                    more = minutes % TIMES_HOUR;
    if (!hours)
        return arena_printf(a, "%lld min", more);
    return more ? arena_printf(a, "%lld h %lld min", hours, more)
                : arena_printf(a, "%lld h", hours);
}

static work_time time_of(const struct days *d, uint32_t first, uint32_t end)
{
    work_time sum = 0;
    for (uint32_t i = first; i < end; i++)
        sum += d->list.at[i].time;
    return sum;
}

/* --- writing ------------------------------------------------------------------------------ */

static void add_data(const struct days *d, const struct planned *p)
{
    const struct task *t = p->task;
    struct cell *row = table_row(&d->report->rows);
    row[DONE] = cell_shown(cell_bool(false), "[ ]");
    row[STAGE] = cell_text(tasks_stages[t->stage].name);
    row[ROOM] = cell_text(tasks_room(d->r, t->room));
    row[THING] = cell_text(t->thing);
    row[LABEL] = cell_text(t->label);
    row[COUNT] = cell_integer(t->count);
    row[DETAIL] = cell_text(t->detail);
    if (t->strand)
        row[STRAND] = cell_integer(t->strand);
    row[DAY] = cell_integer(p->day);
    row[MINUTES] = cell_number(times_minutes(p->time));
    row[LADDER] = cell_bool(t->ladder);
    row[FIRST] = cell_bool(p->first);
}

static void add_line(const struct days *d, struct grid *list, const struct planned *p)
{
    const struct task *t = p->task;
    struct cell *row = table_row(list);
    row[TICK] = cell_text("[ ]");
    row[DO] = cell_text(words_upper_first(d->r->arena, tasks_stages[t->stage].name));
    row[WHAT] = cell_text(tasks_called(d->r, t));
    row[TAG] = cell_text(t->label);
    row[HOW] = cell_text(t->told ? t->told : t->detail);
    if (t->strand)
        row[IN_STRAND] = cell_integer(t->strand);
    if (t->ladder)
        row[FROM] = cell_text("ladder");
    if (p->time)
        row[TAKES] = cell_number(times_minutes(p->time));
}

/* "Day 2: 7 h 40 min in shop, store. Bring: ladder, ...". */
static void write_day(const struct days *d, uint32_t first, uint32_t end)
{
    struct arena *a = d->r->arena;
    const word_list rooms = rooms_of(d, first, end), load = load_of(d, first, end);
    const work_time time = time_of(d, first, end);
    const uint32_t day = d->list.at[first].day;
    struct cell *sum = table_row(&d->report->totals);
    sum[SUM_DAY] = cell_integer(day);
    sum[SUM_TASKS] = cell_integer(end - first);
    sum[SUM_MINUTES] = cell_number(times_minutes(time));
    sum[SUM_ROOMS] = cell_list(rooms.at, rooms.n);
    sum[SUM_BRING] = cell_list(load.at, load.n);
    struct grid *list = report_part(
        d->r, d->report,
        arena_printf(a, "Day %u: %s%s%s.%s%s%s", day, time_words(d, time), rooms.n ? " in " : "",
                     rooms.n ? joined(d, &rooms) : "", load.n ? " Bring: " : "",
                     load.n ? joined(d, &load) : "", load.n ? "." : ""),
        day_columns, sizeof day_columns / sizeof *day_columns);
    for (uint32_t i = first; i < end; i++) {
        add_data(d, &d->list.at[i]);
        add_line(d, list, &d->list.at[i]);
    }
}

static void write_days(const struct days *d)
{
    for (uint32_t first = 0, end; first < d->list.n; first = end) {
        for (end = first + 1; end < d->list.n && d->list.at[end].day == d->list.at[first].day;)
            end++;
        write_day(d, first, end);
    }
}

/* "Longer than a day by itself: ...": by itself it is alone on its day, or with what takes no time.
 */
static void note_longer(const struct days *d)
{
    word_list longer = {0};
    for (uint32_t i = 0; i < d->list.n; i++)
        if (d->list.at[i].time > d->r->day)
            *vec_push(d->r->arena, &longer) =
                arena_printf(d->r->arena, "%s %s", tasks_stages[d->list.at[i].task->stage].name,
                             tasks_called(d->r, d->list.at[i].task));
    if (longer.n)
        *vec_push(d->r->arena, &d->report->notes) =
            arena_printf(d->r->arena, "Longer than a day: %s.", joined(d, &longer));
}

/* Walls and ceilings of a room that are wanted. */
static word_list wanted_of(const struct days *d, const struct room *room)
{
    word_list list = {0};
    for (uint32_t i = 0; i < room->wall_count; i++)
        if (room->walls[i].first)
            *vec_push(d->r->arena, &list) =
                arena_printf(d->r->arena, "%s wall", room->walls[i].name);
    if (room->first_ceiling)
        *vec_push(d->r->arena, &list) = "ceiling";
    return list;
}

/* When they are free. */
static void note_wanted(const struct days *d)
{
    uint32_t last = 0;
    for (uint32_t i = 0; i < d->list.n; i++)
        last = d->list.at[i].wanted ? d->list.at[i].day : last;
    for (uint32_t i = 0; d->wanted.any && i < d->r->model->rooms.n; i++) {
        const struct room *room = d->r->model->rooms.at[i];
        const word_list list = wanted_of(d, room);
        if (!list.n)
            continue;
        *vec_push(d->r->arena, &d->report->notes) = arena_printf(
            d->r->arena, "First for the next trade: %s, %s%s%s: %s.", tasks_room(d->r, room),
            joined(d, &list), room->first_for ? ", " : "", room->first_for ? room->first_for : "",
            last ? arena_printf(d->r->arena,
                                "all of these are free of this work at the end of day %u", last)
                 : "nothing is left to do there");
    }
}

static void say(const struct days *d)
{
    struct arena *a = d->r->arena;
    d->report->says =
        d->count ? arena_printf(a, "%s of %s: %s of work in %s.",
                                arena_counted(a, d->count, "day", "days"), time_words(d, d->r->day),
                                time_words(d, time_of(d, 0, d->list.n)),
                                arena_counted(a, d->list.n, "thing", "things"))
                 : "Nothing is left to do.";
    if (d->invented)
        *vec_push(a, &d->report->notes) = "Times that the plan has no rate for are the library's, "
                                          "and invented: the estimate names "
                                          "them.";
    *vec_push(a, &d->report->notes) = "What is had inspected and covered takes no time here, and "
                                      "what comes behind it begins a day. "
                                      "What to bring, and which drill, is common trade practice.";
}

void days_fill(const struct results *r, struct report *report)
{
    struct days d = {.r = r,
                     .report = report,
                     .tasks = tasks_find(r, true),
                     .times = times_find(r),
                     .way = rounds_find(r),
                     .wanted = find_wanted(r)};
    table_begin(&report->rows, r->arena, columns, COLUMNS);
    table_begin(&report->totals, r->arena, sum_columns, SUMS);
    order_tasks(&d);
    share_out(&d);
    write_days(&d);
    note_longer(&d);
    note_wanted(&d);
    say(&d);
}

/* The plan sheets: a level a sheet for each subject, or several that meet at match lines. */
#include "emit/words/devices.h"
#include "paper/place.h"
#include "sheets/plans/plan.h"

#include <string.h>

enum {
    SIDE = 62000,  /* the lists beside the plan */
    BELOW = 11000, /* the bar of the scale */
    NORTH = 16000,
    ROW = 3200,        /* of lists */
    COLUMN_GAP = 4000, /* between lists on a sheet of their own */
    MOST_LARGER = 12,  /* rooms of a sheet that are drawn larger */
    LARGER_STEPS = 2   /* once, and once again */
};

static const char *const subject_words[] = {
    [PLAN_POWER] = "power",
    [PLAN_LIGHTS] = "lights and switches",
    [PLAN_ALARMS] = "alarms and low voltage",
    [PLAN_CEILING] = "ceiling",
};

static const char *const said_below[] = {
    [PLAN_POWER] = "receptacles, panels, appliances, home runs",
    [PLAN_LIGHTS] = "luminaires, fans, switches with their legs; lights overhead from the walls "
                    "west and south of them",
    [PLAN_ALARMS] = "alarms, data, television, bells",
    [PLAN_CEILING] = "joists, holes, cables over the ceiling; boxes overhead from the walls west "
                     "and south of them",
};

/* --- what stands beside the plan -------------------------------------------------------------- */

static void draw_north(const struct plan_view *v)
{
    um x = v->side.left + 6 * MM, y = v->side.top;
    struct spot point[3] = {{x, y}, {x - 3 * MM, y + 9 * MM}, {x + 3 * MM, y + 9 * MM}};
    paper_path(v->s, point, 3, true, (struct pen){BLACK, WHITE, LINE_EDGE, DASH_NONE});
    paper_text(v->s, x, y + 13 * MM,
               (struct lettering){.caps = CAPS_NAME, .bold = true, .anchor = AT_MIDDLE}, "N");
}

static void note(struct plan_view *v, const char *text)
{
    struct lettering l = {.caps = CAPS_NOTE};
    v->listed += ROW * paper_write(v->s, v->side.left, v->listed + CAPS_NOTE,
                                   v->side.right - v->side.left, ROW, l, text);
}

static void write_notes(struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    const struct level *l = v->floor->level;
    v->listed = v->side.top + NORTH;
    if (v->subject == PLAN_POWER || v->subject == PLAN_LIGHTS)
        note(v, "Heights to the middle of boxes above the finished floor. Sizes of rooms from "
                "stud face to stud face.");
    if (v->subject == PLAN_POWER)
        note(v, "GFCI, AFCI: the device protects; in brackets: a device before it does; at a home "
                "run: the breaker. WP: weatherproof cover.");
    if (v->subject == PLAN_CEILING || v->subject == PLAN_LIGHTS)
        note(v, "W, S: to the middle of the box from the stud face west and south of it.");
    if (v->subject == PLAN_CEILING && l->joists.lumber.name)
        note(v, arena_printf(arena, "Joists %s at %s, running %s.", l->joists.lumber.name,
                             sheets_height(v->set, l->joists.spacing),
                             l->joists.running_north ? "north" : "east"));
    if (l->slab)
        note(v, "The floor is a concrete slab on the ground.");
    v->listed += MM;
}

/* --- match lines ------------------------------------------------------------------------------ */

static void draw_match(const struct plan_floor *f, const struct plan_tile *t, int east, int south)
{
    const struct plan_tile *other = plan_neighbour(f, t, east, south);
    struct area a = t->field;
    if (!other || !other->page)
        return;
    struct sheet *s = t->page->s;
    um x = east < 0 ? a.left : a.right, y = south < 0 ? a.top : a.bottom;
    struct spot from = {east ? x : a.left, east ? a.top : y},
                to = {east ? x : a.right, east ? a.bottom : y};
    struct lettering l = {
        .caps = CAPS_WORDS, .bold = true, .anchor = AT_MIDDLE, .degrees = east ? -90 : 0};
    const char *words =
        arena_printf(t->page->set->r->arena, "match line: see %s", other->page->s->number);
    paper_begin(s, ROLE_FRAME, NULL, NULL);
    paper_line(s, from.x, from.y, to.x, to.y, (struct pen){BLACK, NO_INK, LINE_CUT, DASH_OUTDOORS});
    if (east)
        paper_text(s, east < 0 ? x - 2 * MM : x + CAPS_WORDS + 2 * MM, (a.top + a.bottom) / 2, l,
                   words);
    else
        paper_text(s, (a.left + a.right) / 2, south < 0 ? y - 2 * MM : y + CAPS_WORDS + 2 * MM, l,
                   words);
    paper_end(s);
}

/* --- what is to be done there ----------------------------------------------------------------- */

static void write_tasks(struct plan_view *v)
{
    uint32_t signs[OPEN_COUNT + 1] = {0}, old = 0, low = 0;
    static const char *const one[] = {"receptacle", "switch", "light", "alarm", "appliance"},
                             *const many[] = {"receptacles", "switches", "lights", "alarms",
                                              "appliances"};
    for (uint32_t i = 0; i < v->marks.n; i++)
        for (uint32_t k = 0; k < v->marks.at[i].count; k++) {
            const struct device *d = v->marks.at[i].devices[k];
            bool of_power = d && plan_shows_device(PLAN_POWER, v->marks.at[i].box, d);
            if (!d || v->marks.at[i].goes || (of_power && v->subject == PLAN_LIGHTS))
                continue;
            if (v->marks.at[i].signs[k].existing)
                old++;
            else if (d->def->sort == SORT_LOW_VOLTAGE)
                low++;
            else
                signs[words_opening_of(d->def)]++;
        }
    for (int i = 0; i < OPEN_COUNT; i++)
        if (signs[i])
            page_task(v->page, "%s", arena_counted(v->r->arena, signs[i], one[i], many[i]));
    if (low)
        page_task(v->page, "%s of low voltage",
                  arena_counted(v->r->arena, low, "outlet", "outlets"));
    if (old)
        page_task(v->page, "%u existing", old);
}

/* --- a sheet ---------------------------------------------------------------------------------- */

static struct area field_of(struct area inside)
{
    inside.right -= SIDE + 3 * MM;
    inside.bottom -= BELOW;
    return inside;
}

um plan_match_at(const struct plan_view *v, int east, int south)
{
    const struct plan_tile *t = plan_neighbour(v->floor, v->tile, east, south);
    return t && !plan_is_empty(v->subject, v->floor, t) ? PLAN_MATCH : 0;
}

/* In the middle of its field, with room for dimensions on the left and below and for the words of
 * match lines. */
static void lay_out(struct plan_view *v)
{
    um wide = paper_scaled(v->tile->high.x - v->tile->low.x, v->ratio),
       high = paper_scaled(v->tile->high.y - v->tile->low.y, v->ratio),
       left = PLAN_BESIDE + plan_match_at(v, -1, 0), right = plan_match_at(v, 1, 0),
       top = plan_match_at(v, 0, -1), bottom = PLAN_BESIDE + plan_match_at(v, 0, 1),
       spare_x = v->field.right - v->field.left - left - right - wide,
       spare_y = v->field.bottom - v->field.top - top - bottom - high;
    v->left = v->field.left + left + (spare_x > 0 ? spare_x / 2 : 0);
    v->top = v->field.top + top + (spare_y > 0 ? spare_y / 2 : 0);
    v->tile->field = (struct area){v->left, v->top, v->left + wide, v->top + high};
}

static const char *title_of(const struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    const struct level *l = v->floor->level;
    const char *title = arena_printf(arena, "%s \xc2\xb7 %s", l->title ? l->title : l->name,
                                     subject_words[v->subject]);
    if (v->floor->room)
        title = arena_printf(arena, "%s, %s larger", title, plan_room_name(v, v->floor->room));
    return v->floor->parts > 1
               ? arena_printf(arena, "%s, part %u of %u", title, v->tile->part, v->floor->parts)
               : title;
}

/* --- lists ------------------------------------------------------------------------------------ */

void plan_list(struct plan_view *v, bool head, const char *words)
{
    *vec_push(v->r->arena, &v->list) = (struct plan_line){head, words};
}

/* The list in lines that are no wider than a column. */
static void break_list(struct plan_view *v)
{
    struct arena *arena = v->r->arena;
    uint32_t count = v->list.n;
    const struct plan_line *list = v->list.at;
    v->list.at = NULL;
    v->list.n = v->list.cap = 0;
    for (uint32_t i = 0; i < count; i++) {
        const char *const *lines;
        struct lettering l = {.caps = CAPS_NOTE, .bold = list[i].head};
        uint32_t rows = paper_lines(v->s, SIDE, l, list[i].words, &lines);
        for (uint32_t k = 0; k < rows; k++)
            *vec_push(arena, &v->list) = (struct plan_line){list[i].head, lines[k]};
    }
}

/* Writes lines of the list from one on, as many as a column has room for; the first that it has
 * not. A head does not end it, and stands a little off what is before it. */
static uint32_t write_column(const struct plan_view *v, struct sheet *s, struct area column,
                             uint32_t i)
{
    um y = column.top;
    for (; i < v->list.n; i++) {
        const struct plan_line *line = &v->list.at[i];
        um off = line->head && y > column.top && !v->list.at[i - 1].head ? MM : 0;
        if (y + off + (1 + line->head) * ROW > column.bottom && y > column.top)
            break;
        y += off;
        paper_text(s, column.left, y + CAPS_NOTE,
                   (struct lettering){.caps = CAPS_NOTE, .bold = line->head}, line->words);
        y += ROW;
    }
    return i;
}

/* What the list beside the plan has no room for stands on sheets of its own. */
static void write_list_sheets(struct plan_view *v, uint32_t i)
{
    struct set *set = v->set;
    while (i < v->list.n) {
        struct page *page =
            page_begin(set, arena_printf(v->r->arena, "%s: the list goes on", title_of(v)),
                       arena_printf(v->r->arena, "what has no room on sheet %s", v->s->number));
        struct area a = page->inside;
        page->level = v->floor->level;
        paper_begin(page->s, ROLE_NOTE, NULL, NULL);
        for (a.right = a.left + SIDE; a.right <= page->inside.right && i < v->list.n;
             a.left += SIDE + COLUMN_GAP, a.right += SIDE + COLUMN_GAP)
            i = write_column(v, page->s, a, i);
        paper_end(page->s);
        page_end(page);
    }
}

/* The list; the first of its lines that is not there. */
static uint32_t write_list(struct plan_view *v)
{
    struct area column = v->side;
    break_list(v);
    column.top = v->listed + MM;
    paper_begin(v->s, ROLE_NOTE, NULL, NULL);
    uint32_t next = column.top + 2 * ROW < column.bottom ? write_column(v, v->s, column, 0) : 0;
    if (next < v->list.n)
        paper_text(v->s, v->side.left, v->side.bottom + ROW, (struct lettering){.caps = CAPS_NOTE},
                   "The list goes on on the next sheet.");
    paper_end(v->s);
    return next;
}

/* --- a sheet ---------------------------------------------------------------------------------- */

/* Whether some of a room is on a tile: a plan may put a box far from its room. */
static bool lies_on(const struct plan_tile *t, const struct room *room)
{
    return room->low.x < t->high.x && room->high.x > t->low.x && room->low.y < t->high.y &&
           room->high.y > t->low.y;
}

/* The rooms in which a sign found no place, some of them. */
static void find_crowded(struct plan_view *v)
{
    const struct room *last = NULL;
    for (uint32_t i = 0; i < v->marks.n && v->tile->crowded.n < MOST_LARGER; i++) {
        const struct room *room = v->marks.at[i].room;
        bool known = !v->marks.at[i].told || room == last || !lies_on(v->tile, room);
        for (uint32_t k = 0; k < v->tile->crowded.n && !known; k++)
            known = v->tile->crowded.at[k] == room;
        if (!known)
            *vec_push(v->r->arena, &v->tile->crowded) = room;
        last = v->marks.at[i].told ? room : last;
    }
}

static void draw_plan(struct plan_view *v)
{
    uint32_t first = v->s->marks.n;
    struct area clip = area_grown(v->tile->field, LINE_CUT);
    paper_clip(v->s, clip);
    plan_draw_building(v);
    plan_letter_legs(v);
    plan_draw_ceiling(v);
    plan_draw_going(v);
    paper_unclip(v->s);
    plan_place_marks(v);
    if (v->larger)
        find_crowded(v);
    paper_clip(v->s, clip);
    plan_draw_legs(v);
    paper_unclip(v->s);
    plan_draw_arrows(v);
    plan_draw_marks(v);
    plan_draw_measures(v);
    plan_name_rooms(v);
    plan_write_wishes(v);
    plan_draw_stairs(v);
    draw_north(v);
    write_notes(v);
    plan_write_words(v, first);
}

static void draw_tile(struct set *set, enum plan_subject subject, const struct plan_floor *floor,
                      struct plan_tile *tile, bool larger)
{
    struct plan_view v = {.set = set,
                          .r = set->r,
                          .subject = subject,
                          .floor = floor,
                          .tile = tile,
                          .larger = larger,
                          .ratio = floor->ratio};
    v.page = tile->page = page_begin(set, title_of(&v), said_below[subject]);
    v.s = v.page->s;
    v.taken = plan_taken_new(set->r->arena, v.s->width, v.s->height);
    v.page->level = floor->level;
    v.page->scale = scales_words(set, floor->ratio);
    if (floor->columns * floor->rows > 1 || floor->room) {
        v.page->low = tile->low;
        v.page->high = tile->high;
    }
    v.field = field_of(v.page->inside);
    v.side = v.page->inside;
    v.side.left = v.side.right - SIDE;
    v.side.bottom -= BELOW;
    lay_out(&v);
    draw_plan(&v);
    uint32_t next = write_list(&v);
    page_scale_bar(v.page, v.page->inside.left, v.page->inside.bottom - 10 * MM, floor->ratio);
    if (floor->room)
        page_task(v.page, "Counted on the sheet of the whole level");
    else
        write_tasks(&v);
    page_end(v.page);
    write_list_sheets(&v, next);
}

/* Whether the level has something of the subject; power plans are drawn of every level. */
static bool has_any(enum plan_subject subject, const struct plan_floor *f)
{
    bool any = subject == PLAN_POWER;
    for (uint32_t i = 0; i < f->columns * f->rows && !any; i++) {
        const struct plan_tile *t = &f->tiles[i];
        any = t->boxes.n || t->gone.n || t->over.n;
    }
    return any;
}

static void draw_matches(struct plan_floor *f)
{
    for (uint32_t i = 0; i < f->columns * f->rows; i++) {
        if (!f->tiles[i].page)
            continue;
        for (int side = -1; side <= 1; side += 2) {
            draw_match(f, &f->tiles[i], side, 0);
            draw_match(f, &f->tiles[i], 0, side);
        }
    }
}

/* A level, then what of it is drawn larger. */
static void draw_floor(struct set *set, enum plan_subject subject, struct plan_floor *f,
                       struct area field, int steps)
{
    uint32_t count = f->columns * f->rows;
    bool larger = steps < LARGER_STEPS && f->ratio > scales_of(set)[0];
    for (uint32_t i = 0; i < count; i++)
        if (!plan_is_empty(subject, f, &f->tiles[i]))
            f->tiles[i].part = ++f->parts;
    for (uint32_t i = 0; i < count; i++)
        if (!plan_is_empty(subject, f, &f->tiles[i]))
            draw_tile(set, subject, f, &f->tiles[i], larger);
    draw_matches(f);
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = 0; k < f->tiles[i].crowded.n; k++)
            draw_floor(set, subject,
                       plan_larger(set, f, &f->tiles[i], f->tiles[i].crowded.at[k], field), field,
                       steps + 1);
}

static void draw_subject(struct set *set, enum plan_subject subject)
{
    struct area field = field_of(page_room(set, NULL));
    struct plan_floor *floors = plan_floors(set, subject, field);
    for (uint32_t i = 0; i < set->r->model->levels.n; i++)
        if (floors[i].any && has_any(subject, &floors[i]))
            draw_floor(set, subject, &floors[i], field, 0);
}

void sheets_plan_power(struct set *set)
{
    draw_subject(set, PLAN_POWER);
}

void sheets_plan_lights(struct set *set)
{
    draw_subject(set, PLAN_LIGHTS);
}

void sheets_plan_alarms(struct set *set)
{
    draw_subject(set, PLAN_ALARMS);
}

void sheets_plan_ceiling(struct set *set)
{
    draw_subject(set, PLAN_CEILING);
}

/* What is marked on site: heights beside the wall, distances from its left corner below it. */
#include "paper/place.h"
#include "sheets/walls/wall.h"

#include <stdlib.h>

enum {
    AXIS_OFF = 6000, /* from the wall or its floor */
    ROW = 3600,      /* least between two heights */
    RIGHT = 9000,    /* beyond the right end: less than what is between two walls */
    NAMES = 4000,    /* below the axis: the names of boxes */
    OPENINGS = 12500 /* below the axis: edges of openings and the ends */
};

static const struct pen thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE};

/* A figure at a place of an axis. */
struct figure {
    length at;
    const char *text, *name; /* name: of a box; or NULL */
    bool bold;
};

typedef VEC(struct figure) figure_list;

static int by_place(const void *va, const void *vb)
{
    const struct figure *a = va, *b = vb;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return b->bold - a->bold;
}

/* One figure for each text: a bold one goes before others that say the same. */
static void sort_figures(figure_list *list)
{
    uint32_t n = 0;
    if (list->n)
        qsort(list->at, list->n, sizeof *list->at, by_place);
    for (uint32_t i = 0; i < list->n; i++) {
        bool same = n && list->at[n - 1].at == list->at[i].at;
        if (same && list->at[i].bold)
            list->at[n - 1] = list->at[i];
        else if (!same)
            list->at[n++] = list->at[i];
    }
    list->n = n;
}

static void add(const struct wall_view *v, figure_list *list, struct figure f)
{
    *vec_push(v->index->r->arena, list) = f;
}

/* --- heights ---------------------------------------------------------------------------------- */

static void collect_heights(const struct wall_view *v, figure_list *list)
{
    const struct skeleton *frame = v->index->r->routes->frame;
    add(v, list, (struct figure){.at = 0});
    add(v, list, (struct figure){.at = v->room->ceiling});
    if (v->room->drop)
        add(v, list, (struct figure){.at = v->room->drop});
    for (uint32_t i = 0; i < v->things.n; i++)
        add(v, list, (struct figure){.at = v->things.at[i].place->up, .bold = true});
    for (uint32_t i = 0; i < v->room->fixtures.n; i++) {
        const struct fixture *x = &v->room->fixtures.at[i];
        length low, high;
        if (x->wall != v->number || x->sort == FIXTURE_OTHER || x->from_left > v->hi ||
            x->from_left + x->wide < v->lo)
            continue;
        frame_opening_heights(frame, v->room, x, &low, &high);
        add(v, list, (struct figure){.at = high});
        if (x->sort == FIXTURE_WINDOW)
            add(v, list, (struct figure){.at = low});
    }
    if (v->line && v->index->bores[v->face - frame->faces].n)
        add(v, list, (struct figure){.at = v->room->level->bore});
    sort_figures(list);
    for (uint32_t i = 0; i < list->n; i++)
        list->at[i].text = sheets_height(v->set, list->at[i].at);
}

static void draw_heights(const struct wall_view *v)
{
    struct arena *arena = v->index->r->arena;
    figure_list list = {0};
    um axis = wall_x(v, v->lo) - AXIS_OFF;
    collect_heights(v, &list);
    struct place_stem *stems = arena_array(arena, struct place_stem, list.n);
    for (uint32_t i = 0; i < list.n; i++) /* from the ceiling down */
        stems[i] = (struct place_stem){.at = wall_y(v, list.at[list.n - 1 - i].at), .width = ROW};
    place_stems(arena, stems, list.n, wall_y(v, v->room->ceiling) - 2 * ROW, v->floor + 2 * ROW);
    paper_line(v->s, axis, v->floor, axis, wall_y(v, v->room->ceiling), thin);
    for (uint32_t i = 0; i < list.n; i++) {
        const struct figure *f = &list.at[list.n - 1 - i];
        um y = stems[i].at, at = stems[i].placed;
        paper_line(v->s, axis - MM, y, axis + 3 * MM, y, thin);
        if (at != y)
            paper_line(v->s, axis - MM, y, axis - 3 * MM, at, thin);
        paper_text(v->s, axis - (at == y ? 2 * MM : 7 * MM / 2), at + CAPS_WORDS / 2,
                   (struct lettering){.caps = CAPS_WORDS, .bold = f->bold, .anchor = AT_END},
                   f->text);
    }
}

/* --- distances -------------------------------------------------------------------------------- */

static void collect_boxes(const struct wall_view *v, figure_list *list)
{
    struct arena *arena = v->index->r->arena;
    for (uint32_t i = 0, next; i < v->things.n; i = next) {
        const char *names = v->things.at[i].name;
        length at = v->things.at[i].place->from_left;
        for (next = i + 1; next < v->things.n && v->things.at[next].place->from_left == at; next++)
            names = arena_printf(arena, "%s, %s", names, v->things.at[next].name);
        add(v, list,
            (struct figure){
                .at = at, .text = sheets_distance(v->set, at), .name = names, .bold = true});
    }
}

static void collect_edges(const struct wall_view *v, figure_list *list)
{
    add(v, list, (struct figure){.at = v->lo});
    add(v, list, (struct figure){.at = v->hi});
    for (uint32_t i = 0; i < v->room->fixtures.n; i++) {
        const struct fixture *x = &v->room->fixtures.at[i];
        if (x->wall != v->number)
            continue;
        if (wall_sees(v, x->from_left))
            add(v, list, (struct figure){.at = x->from_left});
        if (wall_sees(v, x->from_left + x->wide))
            add(v, list, (struct figure){.at = x->from_left + x->wide});
    }
    sort_figures(list);
    for (uint32_t i = 0; i < list->n; i++)
        list->at[i].text = list->at[i].at ? sheets_distance(v->set, list->at[i].at) : "0";
}

/* Sets the figures side by side in letters as large as there is room for; the height of capitals.
 */
static um set_row(const struct wall_view *v, const figure_list *list, struct place_stem *stems)
{
    static const um sizes[] = {CAPS_NAME, CAPS_WORDS, CAPS_NOTE};
    um low = wall_x(v, v->lo) - WALL_BESIDE, high = wall_x(v, v->hi) + RIGHT;
    size_t i = list->n && list->at[0].bold ? 0 : 1;
    for (;; i++) {
        for (uint32_t k = 0; k < list->n; k++) {
            const struct figure *f = &list->at[k];
            struct lettering l = {.caps = sizes[i], .bold = f->bold},
                             n = {.caps = CAPS_NOTE, .bold = true};
            um wide = paper_text_width(v->s, l, f->text),
               name = f->name ? paper_text_width(v->s, n, f->name) : 0;
            stems[k] = (struct place_stem){.at = wall_x(v, f->at),
                                           .width = (wide > name ? wide : name) + 3 * MM / 2};
        }
        if (place_stems(v->index->r->arena, stems, list->n, low, high) ||
            i + 1 == sizeof sizes / sizeof *sizes)
            return sizes[i];
    }
}

static void draw_row(const struct wall_view *v, const figure_list *list, um axis, um top)
{
    struct place_stem *stems =
        arena_array(v->index->r->arena, struct place_stem, (size_t)list->n + 1);
    um caps = set_row(v, list, stems);
    for (uint32_t i = 0; i < list->n; i++) {
        const struct figure *f = &list->at[i];
        um x = stems[i].at, at = stems[i].placed, y = top;
        paper_circle(v->s, x, axis, MM / 2, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
        if (f->name) {
            paper_line(v->s, x, axis, at, y - MM / 2, thin);
            y += CAPS_NOTE;
            paper_text(v->s, at, y,
                       (struct lettering){.caps = CAPS_NOTE, .bold = true, .anchor = AT_MIDDLE},
                       f->name);
            y += MM;
        } else if (at != x) {
            paper_line(v->s, x, y - 3 * MM / 2, at, y - MM / 2, thin);
        }
        paper_text(v->s, at, y + caps,
                   (struct lettering){.caps = caps, .bold = f->bold, .anchor = AT_MIDDLE}, f->text);
    }
}

void wall_draw_measures(const struct wall_view *v)
{
    figure_list boxes = {0}, edges = {0};
    um axis = v->floor + 3 * MM;
    collect_boxes(v, &boxes);
    collect_edges(v, &edges);
    paper_begin(v->s, ROLE_DIMENSION, NULL, NULL);
    draw_heights(v);
    paper_line(v->s, wall_x(v, v->lo), axis, wall_x(v, v->hi), axis, thin);
    draw_row(v, &boxes, axis, axis + NAMES - MM);
    draw_row(v, &edges, axis, axis + OPENINGS);
    paper_end(v->s);
}

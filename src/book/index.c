/* All that has an anchor, from A to Z: the search for those whose browser runs no script. */
#include "book/work.h"

#include "emit/views.h"
#include "emit/words/circuits.h"
#include "model/site.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

struct entry {
    const char *name, *what, *title; /* title: typed by the author, or NULL */
    const char *id;
};

struct entries {
    VEC(struct entry) list;
};

static void add(struct book *b, struct entries *e, const char *name, const char *what,
                const char *title, const char *id)
{
    if (id)
        *vec_push(b->arena, &e->list) = (struct entry){name, what, title, id};
}

static void add_places(struct book *b, struct entries *e)
{
    const struct model *m = b->r->model;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        add(b, e, address_of_room(b->arena, m->rooms.at[i], false), "room",
            book_typed(m->rooms.at[i]->title, m->rooms.at[i]->name), b->ids.rooms[i]);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        add(b, e, view_of_box(b->r, m->boxes.at[i])->address, "box",
            book_typed(m->boxes.at[i]->title, m->boxes.at[i]->name), b->ids.boxes[i]);
}

static void add_wiring(struct book *b, struct entries *e)
{
    const struct model *m = b->r->model;
    for (uint32_t i = 0; i < m->panels.n; i++)
        add(b, e, address_of_panel(b->arena, m->panels.at[i], false), "panel",
            book_typed(m->panels.at[i]->title, m->panels.at[i]->name), b->ids.panels[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        add(b, e, words_circuit(b->r, m->circuits.at[i]), "circuit",
            book_typed(m->circuits.at[i]->title, m->circuits.at[i]->name), b->ids.circuits[i]);
    for (uint32_t i = 0; i < m->low_voltages.n; i++)
        add(b, e, m->low_voltages.at[i]->name, "low voltage",
            book_typed(m->low_voltages.at[i]->title, m->low_voltages.at[i]->name),
            b->ids.cables[i]);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run_view *v = view_of_run(b->r, m->runs.at[i]);
        add(b, e, v->label ? v->label : v->address, v->label ? v->address : "run", NULL,
            b->ids.runs[i]);
    }
}

static int by_name(const void *x, const void *y)
{
    const struct entry *a = x, *b = y;
    int order = strcasecmp(a->name, b->name);
    return order ? order : strcmp(a->id, b->id);
}

static char first_letter(const char *name)
{
    char c = *name;
    return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c >= 'A' && c <= 'Z' ? c : '#';
}

static void put_entry(struct book *b, const struct entry *e)
{
    html_put(b->out, "<li><a href=\"%h\"><b>%t</b> %t", e->id, e->name, e->what);
    if (e->title)
        html_put(b->out, " %a", e->title);
    html_put(b->out, "</a></li>\n");
}

void book_put_index(struct book *b)
{
    struct entries e = {0};
    add_places(b, &e);
    add_wiring(b, &e);
    if (e.list.n)
        qsort(e.list.at, e.list.n, sizeof *e.list.at, by_name);
    html_put(b->out,
             "<section id=\"~index\">\n"
             "<h2>Index</h2>\n<p class=\"says\">%u boxes, runs, circuits, rooms and "
             "panels by their names; a run stands under its tag.</p>\n"
             "<p class=\"filter\" hidden><label for=\"~filter\">Show only what has these letters"
             "</label><input id=\"~filter\" type=\"search\" autocomplete=\"off\"></p>\n",
             e.list.n);
    char letter = 0;
    for (uint32_t i = 0; i < e.list.n; i++) {
        char first[2] = {first_letter(e.list.at[i].name), 0};
        if (*first != letter)
            html_put(b->out, "%m<h3>%t</h3>\n<ul class=\"links\">\n", letter ? "</ul>\n" : "",
                     *first == '#' ? "0 to 9" : first);
        letter = *first;
        put_entry(b, &e.list.at[i]);
    }
    html_put(b->out, "%m</section>\n", letter ? "</ul>\n" : "");
}

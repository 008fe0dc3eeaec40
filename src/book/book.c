#include "book/book.h"

#include "base/base64.h"
#include "book/work.h"
#include "diag/diag.h"
#include "emit/views.h"
#include "facts/facts.h"
#include "model/site.h"
#include "paper/svg.h"
#include "resolve/embedded.h"
#include "sheets/walls/wall.h"

#include <string.h>

/* style.css or script.js. */
static const struct embedded_file *face(const char *name)
{
    const struct embedded_file *f = embedded_book_face;
    while (strcmp(f->path, name))
        f++;
    return f;
}

/* --- the head ----------------------------------------------------------------------------- */

/* style.css, and the classes of the drawings. */
static struct buf style_of(const struct book *b)
{
    const struct embedded_file *f = face("style.css");
    struct buf style = {0};
    buf_add(&style, f->bytes, f->size);
    svg_style(fonts_read(b->arena), ".drawing", &style);
    return style;
}

/* 'sha256-...': the one text that the policy lets through. */
static void put_hash(struct buf *out, const void *bytes, size_t size)
{
    uint8_t digest[SHA256_BYTES];
    base64_sha256(bytes, size, digest);
    buf_puts(out, "'sha256-");
    base64_add(out, digest, sizeof digest);
    buf_putc(out, '\'');
}

/* Nothing is loaded from anywhere, and no style or script runs but these two. */
static void put_policy(struct buf *out, const struct buf *style)
{
    const struct embedded_file *script = face("script.js");
    buf_puts(out, "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                  "base-uri 'none'; form-action 'none'; img-src data:; style-src ");
    put_hash(out, style->at, style->n);
    buf_puts(out, "; script-src ");
    put_hash(out, script->bytes, script->size);
    buf_puts(out, "\">\n");
}

void book_put_head(struct book *b)
{
    struct buf style = style_of(b);
    const char *title = *b->r->model->title ? b->r->model->title : "Job book";
    html_put(b->out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    put_policy(b->out, &style);
    html_put(b->out,
             "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
             "<meta name=\"color-scheme\" content=\"light dark\">\n"
             "<title>%t: job book</title>\n<style>",
             title);
    buf_add(b->out, style.at, style.n);
    buf_free(&style);
    html_put(b->out, "</style>\n</head>\n");
}

/* --- the first page ----------------------------------------------------------------------- */

static void put_plan_lines(struct book *b)
{
    const struct model *m = b->r->model;
    const struct {
        const char *word, *text;
    } lines[] = {{"Site", m->site},
                 {"Owner", m->owner},
                 {"Permit", m->permit},
                 {"Drawn by", m->by},
                 {"Date", m->date}};
    const char *edition = report_edition_words(b->r);
    html_put(b->out, "<p class=\"where\">");
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        if (lines[i].text)
            html_put(b->out, "<span>%t: %a</span>\n", lines[i].word, lines[i].text);
    html_put(b->out, "<span>%t</span></p>\n", edition ? edition : "No edition is named");
}

static void put_contents(struct book *b)
{
    const struct model *m = b->r->model;
    html_put(b->out, "<nav aria-label=\"contents\"><ul class=\"links\">\n");
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (b->ids.rooms[i] && m->rooms.at[i]->boxes.n)
            html_put(b->out, "<li><a href=\"%h\"><b>%a</b> %t</a></li>\n", b->ids.rooms[i],
                     book_room_words(b, m->rooms.at[i]), left_in_room_short(b, m->rooms.at[i]));
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (b->ids.panels[i])
            html_put(b->out, "<li><a href=\"%h\"><b>Panel %t</b> circuits</a></li>\n",
                     b->ids.panels[i], address_of_panel(b->arena, m->panels.at[i], false));
    html_put(b->out, "<li><a href=\"#~findings\"><b>Findings</b> and notes</a></li>\n"
                     "<li><a href=\"#~index\"><b>Index</b> from A to Z</a></li>\n</ul></nav>\n");
}

void book_put_top(struct book *b)
{
    const char *title = *b->r->model->title ? b->r->model->title : "A plan without a title";
    html_put(b->out, "<header>\n<h1>%a</h1>\n%m", title, b->band);
    left_put_in_all(b);
    put_plan_lines(b);
    html_put(b->out,
             "<p class=\"small\">Ticks with a date are those of the site log; the others are "
             "kept by this browser at most. Nothing here says that work meets a code: the "
             "local authority decides.</p>\n");
    put_contents(b);
    html_put(b->out, "</header>\n<main>\n");
}

void book_put_foot(struct book *b)
{
    const struct embedded_file *script = face("script.js");
    html_put(b->out, "</main>\n<footer><p><a href=\"#~top\">To the top</a></p></footer>\n<script>");
    buf_add(b->out, script->bytes, script->size);
    html_put(b->out, "</script>\n</body>\n</html>\n");
}

const char *book_typed(const char *title, const char *name)
{
    return title && name && !strcmp(title, name) ? NULL : title;
}

/* --- rows to tick ------------------------------------------------------------------------- */

static void put_words(struct book *b, const struct tick *tick)
{
    html_put(b->out, "<span class=\"say\"><b>%a</b>", tick->words);
    if (tick->detail)
        html_put(b->out, "<span>%a</span>", tick->detail);
    if (tick->done)
        html_put(b->out, "<span class=\"done\">done by the log%t%t</span>", *tick->done ? ", " : "",
                 tick->done);
    html_put(b->out, "</span>");
}

static void put_more(struct book *b, const struct tick *tick)
{
    if (tick->link)
        html_put(b->out, "<a class=\"more\" href=\"%h\" aria-label=\"%t\">%t</a>", tick->link,
                 tick->link_words,
                 arena_copy(b->arena, tick->link_words, strcspn(tick->link_words, " ")));
    html_put(b->out, "</li>\n");
}

void book_put_tick(struct book *b, const struct tick *tick)
{
    html_put(b->out, "<li class=\"row\"><label><input type=\"checkbox\" data-tick=\"%t\"%m>",
             tick->name, tick->done ? " checked disabled" : "");
    put_words(b, tick);
    html_put(b->out, "</label>");
    put_more(b, tick);
}

void book_put_there(struct book *b, const struct tick *tick)
{
    html_put(b->out, "<li class=\"row there\">");
    put_words(b, tick);
    put_more(b, tick);
}

/* --- the book ----------------------------------------------------------------------------- */

/* The rows of `boxes` stand in the order of the boxes that are built. */
static void find_rows(struct book *b)
{
    const struct model *m = b->r->model;
    const struct grid *t = &b->places.rows;
    uint32_t n = 0;
    b->rows = arena_array(b->arena, const struct cell *, m->boxes.n + 1);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (view_built_box(b->r, i))
            b->rows[i] = &t->cells.at[n++ * t->column_count];
}

static void find_panels(struct book *b)
{
    const struct model *m = b->r->model;
    b->panels_of = arena_array(b->arena, struct panel_list, m->rooms.n + 1);
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (m->panels.at[i]->room && facts_is_built(m->panels.at[i]->unit))
            *vec_push(b->arena, &b->panels_of[m->panels.at[i]->room->id].list) = m->panels.at[i];
}

static const char *band(const struct book *b)
{
    uint32_t n = b->r->diag->counts[ERROR];
    return n ? arena_printf(b->arena,
                            "<p class=\"band\"><a href=\"#~findings\">NOT TO BE BUILT FROM: %u "
                            "error%s</a></p>\n",
                            n, n == 1 ? "" : "s")
             : NULL;
}

void book_write_html(const struct results *r, struct buf *out)
{
    struct book b = {.r = r, .arena = r->arena, .out = out};
    b.places.def = report_named("boxes");
    b.todo.def = report_named("todo");
    report_make(r, &b.places);
    report_make(r, &b.todo);
    find_rows(&b);
    find_panels(&b);
    photos_find(&b);
    anchors_make(&b);
    left_count(&b);
    b.walls = wall_pictures_begin(r);
    b.band = band(&b);
    book_put_head(&b);
    html_put(out, "<body id=\"~top\">\n");
    book_put_top(&b);
    book_put_rooms(&b);
    book_put_panels(&b);
    book_put_findings(&b);
    book_put_index(&b);
    book_put_foot(&b);
}

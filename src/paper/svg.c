#include "paper/svg.h"

#include "base/map.h"
#include "base/names.h"
#include "base/xml.h"
#include "paper/dashes.h"
#include "paper/targets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char *const role_names[ROLE_COUNT] = {
    [ROLE_PLAIN] = "plain",     [ROLE_FRAME] = "frame",         [ROLE_ROOM] = "room",
    [ROLE_FRAMING] = "framing", [ROLE_FIXED] = "fixed",         [ROLE_SYMBOL] = "symbol",
    [ROLE_BOX] = "box",         [ROLE_CABLE] = "cable",         [ROLE_LABEL] = "label",
    [ROLE_LEADER] = "leader",   [ROLE_ROOM_NAME] = "room-name", [ROLE_DIMENSION] = "dimension",
    [ROLE_NOTE] = "note",
};

static const char families[] = "'Liberation Sans', Arial, Helvetica, sans-serif";

struct writing {
    const struct sheet *s;
    struct svg_use use;
    struct buf *out;
    struct arena scratch;
    struct names names;
    struct map ids; /* (0, name) -> given already */
    const struct group *group;
    struct buf look; /* of a page: what the open group without a name gives to the marks in it;
                        empty: there is none */
    struct buf now;  /* of a page: what the mark at hand looks like; empty: as its group says */
    uint32_t clips;  /* that are open */
    uint32_t clip_count;
};

static void number(struct buf *out, const char *name, int64_t value)
{
    buf_printf(out, " %s=\"", name);
    xml_thousandths(out, value);
    buf_putc(out, '"');
}

static void word(struct buf *out, const char *name, const char *before, const char *value)
{
    buf_printf(out, " %s=\"%s", name, before);
    xml_text(out, value);
    buf_putc(out, '"');
}

static bool is_grey(ink value)
{
    return (value >> 16 & 0xff) == (value & 0xff) && (value >> 8 & 0xff) == (value & 0xff);
}

/* In a page, black and white are those of its scheme, and grey is so much of its black. */
static void colour(const struct writing *w, struct buf *out, const char *name, ink value)
{
    if (value == NO_INK)
        buf_printf(out, " %s=\"none\"", name);
    else if (!w->use.alone && value == BLACK)
        buf_printf(out, " %s=\"currentColor\"", name);
    else if (!w->use.alone && value == WHITE)
        buf_printf(out, " %s=\"var(--paper,#fff)\"", name);
    else if (!w->use.alone && is_grey(value))
        buf_printf(out, " %s=\"currentColor\" %s-opacity=\".%02d\"", name, name,
                   (255 - (int)(value & 0xff)) * 100 / 255);
    else
        buf_printf(out, " %s=\"#%06x\"", name, (unsigned)value);
}

static void put_dashes(struct buf *out, enum dash dash)
{
    for (int i = 0; dash_lengths[dash][i]; i++) {
        buf_puts(out, i ? " " : "");
        xml_thousandths(out, dash_lengths[dash][i]);
    }
}

static void write_pen(const struct writing *w, struct buf *out, struct pen pen)
{
    colour(w, out, "fill", pen.fill);
    if (pen.stroke == NO_INK || !pen.width)
        return;
    colour(w, out, "stroke", pen.stroke);
    number(out, "stroke-width", pen.width);
    if (pen.dash) {
        buf_puts(out, " stroke-dasharray=\"");
        put_dashes(out, pen.dash);
        buf_putc(out, '"');
    }
}

static void point(struct buf *out, struct spot p, char between)
{
    xml_thousandths(out, p.x);
    buf_putc(out, between);
    xml_thousandths(out, p.y);
}

/* --- what marks look like -------------------------------------------------------------------- */

static void end_look(struct writing *w)
{
    if (w->look.n)
        buf_puts(w->out, "</g>\n");
    w->look.n = 0;
}

static bool is_same(const struct buf *a, const struct buf *b)
{
    return a->n == b->n && !memcmp(a->at, b->at, a->n);
}

/* In a page, which is to be small, marks that look alike stand in one group that says so; a mark
 * that is alone says it itself. */
static void begin_look(struct writing *w, struct buf *look, const struct buf *next)
{
    w->now.n = 0;
    if (w->look.n && is_same(&w->look, look))
        return;
    end_look(w);
    if (!is_same(look, next)) {
        buf_add(&w->now, look->at, look->n);
        return;
    }
    buf_add(&w->look, look->at, look->n);
    buf_puts(w->out, "<g");
    buf_add(w->out, look->at, look->n);
    buf_puts(w->out, ">\n");
}

static void write_lettering(const struct writing *w, struct buf *out, const struct lettering *l)
{
    static const char *const anchors[] = {NULL, "middle", "end"};
    number(out, "font-size", fonts_size(w->s->paper->fonts, l->bold, l->caps));
    if (l->bold)
        buf_puts(out, " font-weight=\"bold\"");
    if (anchors[l->anchor])
        word(out, "text-anchor", "", anchors[l->anchor]);
    if (l->fill || !w->use.alone)
        colour(w, out, "fill", l->fill);
    if (l->halo) {
        colour(w, out, "stroke", WHITE);
        buf_puts(out, " stroke-linejoin=\"round\" paint-order=\"stroke\"");
        number(out, "stroke-width", 2 * l->halo);
    }
}

/* --- classes ---------------------------------------------------------------------------------
 */

static const struct {
    um width;
    const char *name;
} line_classes[] = {
    {LINE_CUT, "w7"}, {LINE_NEW, "w5"}, {LINE_EDGE, "w4"}, {LINE_THIN, "w3"}, {LINE_FRAMING, "w2"}};

static const struct {
    um caps;
    const char *name, *bold;
} caps_classes[] = {{CAPS_NOTE, "t2", "b2"},
                    {CAPS_WORDS, "t3", "b3"},
                    {CAPS_NAME, "t4", "b4"},
                    {CAPS_TITLE, "t5", "b5"},
                    {CAPS_NUMBER, "t7", "b7"}};

#define COUNT(list) (sizeof(list) / sizeof *(list))

/* What a mark looks like in a bare picture: classes, and attributes for what has none. */
struct look {
    struct buf classes, rest;
};

static void add_class(struct look *l, const char *name)
{
    buf_printf(&l->classes, "%s%s", l->classes.n ? " " : "", name);
}

static void add_fill(const struct writing *w, struct look *l, ink fill)
{
    if (fill == NO_INK || fill == BLACK || fill == WHITE)
        add_class(l, fill == NO_INK ? "n" : fill == BLACK ? "k" : "p");
    else
        colour(w, &l->rest, "fill", fill);
}

static void add_pen(const struct writing *w, struct look *l, struct pen pen)
{
    struct pen stroke = {pen.stroke, BLACK, pen.width, DASH_NONE};
    size_t i = 0;
    add_fill(w, l, pen.fill);
    if (pen.stroke == NO_INK || !pen.width)
        return;
    while (i < COUNT(line_classes) && line_classes[i].width != pen.width)
        i++;
    if (pen.stroke == BLACK && i < COUNT(line_classes)) {
        add_class(l, line_classes[i].name);
    } else {
        colour(w, &l->rest, "stroke", stroke.stroke);
        number(&l->rest, "stroke-width", stroke.width);
    }
    if (pen.dash)
        buf_printf(&l->classes, " d%d", (int)pen.dash);
}

static void add_lettering(const struct writing *w, struct look *l, const struct lettering *of)
{
    size_t i = 0;
    while (i < COUNT(caps_classes) && caps_classes[i].caps != of->caps)
        i++;
    if (i < COUNT(caps_classes)) {
        add_class(l, of->bold ? caps_classes[i].bold : caps_classes[i].name);
    } else {
        number(&l->rest, "font-size", fonts_size(w->s->paper->fonts, of->bold, of->caps));
        if (of->bold)
            buf_puts(&l->rest, " font-weight=\"bold\"");
    }
    if (of->anchor)
        add_class(l, of->anchor == AT_MIDDLE ? "m" : "e");
    if (of->fill)
        add_fill(w, l, of->fill);
    if (of->halo) {
        add_class(l, "h");
        number(&l->rest, "stroke-width", 2 * of->halo);
    }
}

/* What a mark of a page looks like, as attributes. */
static void look_of(const struct writing *w, const struct mark *m, struct buf *out)
{
    struct look l = {0};
    out->n = 0;
    if (!w->use.bare) {
        if (m->kind == MARK_TEXT)
            write_lettering(w, out, &m->lettering);
        else
            write_pen(w, out, m->pen);
        return;
    }
    if (m->kind == MARK_TEXT)
        add_lettering(w, &l, &m->lettering);
    else
        add_pen(w, &l, m->pen);
    if (l.classes.n)
        word(out, "class", "", buf_text(&l.classes));
    buf_add(out, l.rest.at, l.rest.n);
    buf_free(&l.classes);
    buf_free(&l.rest);
}

static void put_caps(const struct fonts *fonts, const char *within, size_t i, bool bold,
                     struct buf *out)
{
    buf_printf(out, "%s .%s { font-size: ", within,
               bold ? caps_classes[i].bold : caps_classes[i].name);
    xml_thousandths(out, fonts_size(fonts, bold, caps_classes[i].caps));
    buf_puts(out, bold ? "px; font-weight: bold }\n" : "px }\n");
}

void svg_style(const struct fonts *fonts, const char *within, struct buf *out)
{
    static const char *const rules[] = {
        "text { fill: currentColor }",
        ".n { fill: none }",
        ".k { fill: currentColor }",
        ".p { fill: var(--paper, #fff) }",
        ".m { text-anchor: middle }",
        ".e { text-anchor: end }",
        ".h { stroke: var(--paper, #fff); stroke-linejoin: round; paint-order: stroke }"};
    buf_printf(out, "%s text { font-family: %s }\n", within, families);
    for (size_t i = 0; i < COUNT(rules); i++)
        buf_printf(out, "%s %s\n", within, rules[i]);
    for (size_t i = 0; i < COUNT(line_classes); i++) {
        buf_printf(out, "%s .%s { stroke: currentColor; stroke-width: ", within,
                   line_classes[i].name);
        xml_thousandths(out, line_classes[i].width);
        buf_puts(out, " }\n");
    }
    for (int dash = DASH_NONE + 1; dash < DASH_COUNT; dash++) {
        buf_printf(out, "%s .d%d { stroke-dasharray: ", within, dash);
        put_dashes(out, (enum dash)dash);
        buf_puts(out, " }\n");
    }
    for (size_t i = 0; i < COUNT(caps_classes); i++) {
        put_caps(fonts, within, i, false, out);
        put_caps(fonts, within, i, true, out);
    }
}

/* Writes what a mark looks like: the whole of a picture that is alone, of a page what the group at
 * hand does not say. */
static void write_look(struct writing *w, const struct mark *m)
{
    if (!w->use.alone)
        buf_add(w->out, w->now.at, w->now.n);
    else if (m->kind == MARK_TEXT)
        write_lettering(w, w->out, &m->lettering);
    else
        write_pen(w, w->out, m->pen);
}

/* --- groups ---------------------------------------------------------------------------------- */

/* An id has no blanks (SVG 2, 5.3.1), as an address may have them in names that are quoted. */
const char *svg_id(struct arena *arena, const char *name)
{
    char *id = arena_printf(arena, "%s", name);
    for (char *p = id; *p; p++)
        if (*p == ' ' || *p == '\t' || *p == '\n')
            *p = '_';
    return id;
}

static void write_id(struct writing *w, const char *subject)
{
    void **given = map_at(&w->scratch, &w->ids, 0, (uintptr_t)names_of(&w->names, subject));
    if (*given)
        return;
    *given = w;
    word(w->out, "id", w->use.prefix ? w->use.prefix : "", svg_id(&w->scratch, subject));
}

static void open_group(struct writing *w, const struct group *g)
{
    buf_puts(w->out, "<g");
    if (g->subject)
        write_id(w, g->subject);
    buf_printf(w->out, " class=\"%s\">", role_names[g->role]);
    if (g->title) {
        buf_puts(w->out, "<title>");
        xml_text(w->out, g->title);
        buf_puts(w->out, "</title>");
    }
    buf_putc(w->out, '\n');
}

static bool lies_in(const struct group *g, const struct group *outer)
{
    while (g && g != outer)
        g = g->outer;
    return g == outer;
}

static void open_down_to(struct writing *w, const struct group *g)
{
    if (g == w->group)
        return;
    open_down_to(w, g->outer);
    open_group(w, g);
    w->group = g;
}

/* Closes and opens groups until the mark's is the innermost. */
static void enter(struct writing *w, const struct group *g)
{
    if (w->use.bare)
        return;
    if (g != w->group)
        end_look(w);
    while (!lies_in(g, w->group)) {
        buf_puts(w->out, "</g>\n");
        w->group = w->group->outer;
    }
    open_down_to(w, g);
}

/* --- marks ----------------------------------------------------------------------------------- */

static void write_points(struct buf *out, const struct mark *m)
{
    buf_puts(out, m->kind == MARK_SHAPE ? "<polygon points=\"" : "<polyline points=\"");
    for (uint32_t i = 0; i < m->count; i++) {
        if (i)
            buf_putc(out, ' ');
        point(out, m->points[i], ',');
    }
    buf_putc(out, '"');
}

static void write_line(struct buf *out, const struct mark *m)
{
    if (m->kind == MARK_SHAPE || m->count > 2) {
        write_points(out, m);
        return;
    }
    buf_puts(out, "<line");
    number(out, "x1", m->points[0].x);
    number(out, "y1", m->points[0].y);
    number(out, "x2", m->points[1].x);
    number(out, "y2", m->points[1].y);
}

static void write_rect(struct buf *out, struct area box, um radius)
{
    buf_puts(out, "<rect");
    number(out, "x", box.left);
    number(out, "y", box.top);
    number(out, "width", box.right - box.left);
    number(out, "height", box.bottom - box.top);
    if (radius)
        number(out, "rx", radius);
}

static struct spot on_arc(const struct mark *m, int degrees)
{
    double a = degrees * 3.14159265358979323846 / 180;
    return (struct spot){m->at.x + llround((double)m->radius * cos(a)),
                         m->at.y + llround((double)m->radius * sin(a))};
}

static void write_arc(struct buf *out, const struct mark *m)
{
    buf_puts(out, "<path d=\"M");
    point(out, on_arc(m, m->from), ' ');
    buf_puts(out, "A");
    xml_thousandths(out, m->radius);
    buf_putc(out, ' ');
    xml_thousandths(out, m->radius);
    buf_printf(out, " 0 %d 1 ", m->to - m->from > 180);
    point(out, on_arc(m, m->to), ' ');
    buf_putc(out, '"');
}

static void write_curve(struct buf *out, const struct mark *m)
{
    buf_puts(out, "<path d=\"M");
    for (uint32_t i = 0; i < m->count; i++) {
        if (i)
            buf_putc(out, i % 3 == 1 ? 'C' : ' ');
        point(out, m->points[i], ' ');
    }
    buf_putc(out, '"');
}

static void write_text(struct writing *w, const struct mark *m)
{
    struct buf *out = w->out;
    const struct lettering *l = &m->lettering;
    buf_puts(out, "<text");
    number(out, "x", m->at.x);
    number(out, "y", m->at.y);
    write_look(w, m);
    if (l->degrees) {
        buf_printf(out, " transform=\"rotate(%d ", l->degrees);
        point(out, m->at, ' ');
        buf_puts(out, ")\"");
    }
    number(out, "textLength", m->width);
    /* letters that are set one by one would lay their halos over each other */
    buf_puts(out, w->use.bare && !l->halo ? ">" : " lengthAdjust=\"spacingAndGlyphs\">");
    xml_text(out, m->text);
    buf_puts(out, "</text>\n");
}

static void open_clip(struct writing *w, const struct mark *m)
{
    const char *prefix = w->use.prefix ? w->use.prefix : "";
    struct buf id = {0};
    xml_text(&id, prefix);
    buf_printf(&id, "clip-%u", ++w->clip_count);
    buf_printf(w->out, "<clipPath id=\"%s\">", buf_text(&id));
    write_rect(w->out, m->box, 0);
    buf_printf(w->out, "/></clipPath>\n<g clip-path=\"url(#%s)\">\n", buf_text(&id));
    buf_free(&id);
}

static void write_link(struct writing *w, const struct mark *m)
{
    const char *target = m->text;
    if (target[0] != '#' && !target_is_page(target))
        return;
    if (target[0] == '#')
        target =
            w->use.target ? w->use.target(w->use.context, target + 1) : svg_id(&w->scratch, target);
    if (!target)
        return;
    buf_puts(w->out, "<a");
    word(w->out, "href", "", target);
    if (!w->use.alone) /* who cannot see it hears where it leads */
        word(w->out, "aria-label", "", m->text + (m->text[0] == '#'));
    buf_putc(w->out, '>');
    write_rect(w->out, m->box, 0);
    buf_puts(w->out, " fill=\"none\" pointer-events=\"all\"/></a>\n");
}

static void write_anchor(struct writing *w, const struct mark *m)
{
    void **given = map_at(&w->scratch, &w->ids, 0, (uintptr_t)names_of(&w->names, m->text));
    if (*given || w->use.bare)
        return;
    buf_puts(w->out, "<g");
    write_id(w, m->text);
    buf_puts(w->out, "/>\n");
}

static bool has_look(const struct mark *m)
{
    return m->kind != MARK_CLIP && m->kind != MARK_UNCLIP && m->kind != MARK_LINK &&
           m->kind != MARK_ANCHOR;
}

static void write_mark(struct writing *w, const struct mark *m)
{
    struct buf *out = w->out;
    switch (m->kind) {
    case MARK_LINE:
    case MARK_SHAPE:
        write_line(out, m);
        break;
    case MARK_RECT:
        write_rect(out, m->box, m->radius);
        break;
    case MARK_CIRCLE:
        buf_puts(out, "<circle");
        number(out, "cx", m->at.x);
        number(out, "cy", m->at.y);
        number(out, "r", m->radius);
        break;
    case MARK_ARC:
        write_arc(out, m);
        break;
    case MARK_CURVE:
        write_curve(out, m);
        break;
    case MARK_TEXT:
        write_text(w, m);
        return;
    case MARK_CLIP:
        open_clip(w, m);
        return;
    case MARK_UNCLIP:
        buf_puts(out, "</g>\n");
        return;
    case MARK_LINK:
        write_link(w, m);
        return;
    case MARK_ANCHOR:
        write_anchor(w, m);
        return;
    }
    write_look(w, m);
    buf_puts(out, "/>\n");
}

/* --- pictures -------------------------------------------------------------------------------- */

static void paper_size(struct buf *out, um width, um height)
{
    buf_puts(out, " width=\"");
    xml_thousandths(out, width);
    buf_puts(out, "mm\" height=\"");
    xml_thousandths(out, height);
    buf_puts(out, "mm\"");
}

static void begin(struct writing *w)
{
    const struct sheet *s = w->s;
    struct buf *out = w->out;
    if (w->use.placed) {
        buf_puts(out, "<svg");
        number(out, "y", w->use.top);
        number(out, "width", s->width);
        number(out, "height", s->height);
    } else {
        buf_puts(out, "<svg xmlns=\"http://www.w3.org/2000/svg\"");
        if (w->use.alone)
            paper_size(out, s->width, s->height);
    }
    buf_puts(out, " viewBox=\"0 0 ");
    point(out, (struct spot){s->width, s->height}, ' ');
    buf_putc(out, '"');
    if (!w->use.bare)
        buf_printf(out, " font-family=\"%s\"", families);
    buf_puts(out, ">\n<title>");
    xml_text(out, s->number);
    buf_puts(out, ": ");
    xml_text(out, s->title);
    buf_puts(out, "</title>\n");
    if (s->doc) {
        buf_puts(out, "<desc>");
        xml_text(out, s->doc);
        buf_puts(out, "</desc>\n");
    }
    if (w->use.alone) {
        write_rect(out, (struct area){0, 0, s->width, s->height}, 0);
        buf_puts(out, " fill=\"#ffffff\"/>\n");
    }
}

/* What a mark of a page looks like; empty: it is alone, has no look, or there is no such mark. */
static void next_look(const struct writing *w, uint32_t i, struct buf *look)
{
    look->n = 0;
    if (!w->use.alone && i < w->s->marks.n && has_look(&w->s->marks.at[i]))
        look_of(w, &w->s->marks.at[i], look);
}

void svg_write(const struct sheet *s, struct svg_use use, struct buf *out)
{
    struct writing w = {.s = s, .use = use, .out = out};
    w.scratch.out_of_memory = s->paper->arena->out_of_memory;
    w.names.arena = &w.scratch;
    begin(&w);
    struct buf look = {0}, next = {0};
    if (s->marks.n)
        next_look(&w, 0, &next);
    for (uint32_t i = 0; i < s->marks.n; i++) {
        struct buf had = look;
        look = next;
        next = had;
        next_look(&w, i + 1, &next);
        /* what a clip holds is closed by its end: groups lie wholly in it or wholly round it */
        enter(&w, s->marks.at[i].group);
        if (look.n)
            begin_look(&w, &look, &next);
        else
            end_look(&w);
        write_mark(&w, &s->marks.at[i]);
    }
    buf_free(&look);
    buf_free(&next);
    enter(&w, NULL);
    end_look(&w);
    buf_puts(out, "</svg>\n");
    buf_free(&w.look);
    buf_free(&w.now);
    arena_free(&w.scratch);
}

const char *svg_prefix(struct arena *arena, uint32_t at, const struct sheet *s)
{
    return at ? arena_printf(arena, "%s.", s->number) : "";
}

void svg_write_column(const struct paper *paper, struct svg_use use, struct buf *out)
{
    enum { APART = 10000 };
    um wide = 0, high = -APART;
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        wide = paper->sheets.at[i]->width > wide ? paper->sheets.at[i]->width : wide;
        high += paper->sheets.at[i]->height + APART;
    }
    buf_puts(out, "<svg xmlns=\"http://www.w3.org/2000/svg\"");
    paper_size(out, wide, high);
    buf_puts(out, " viewBox=\"0 0 ");
    point(out, (struct spot){wide, high}, ' ');
    buf_puts(out, "\">\n<title>");
    xml_text(out, paper->title);
    buf_puts(out, "</title>\n");
    use.alone = use.placed = true;
    use.top = 0;
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        use.prefix = svg_prefix(paper->arena, i, paper->sheets.at[i]);
        svg_write(paper->sheets.at[i], use, out);
        use.top += paper->sheets.at[i]->height + APART;
    }
    buf_puts(out, "</svg>\n");
}

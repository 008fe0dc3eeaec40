#include "markup.h"

#include "base/map.h"
#include "base/names.h"
#include "base/utf8.h"

#include <stdio.h>
#include <string.h>

enum { DEEPEST = 200, LONGEST_NAME = 60 };

struct reader {
    const char *p, *end;
    struct arena arena;
    struct names names;
    struct map ids;           /* (0, interned) -> anything */
    VEC(const char *) wanted; /* interned: what addresses and labels name */
    const char *open[DEEPEST];
    unsigned depth;
    struct buf *why;
};

static const char *const elements[] = {
    "html",    "head",    "meta",     "title",  "style", "body",      "header",  "main", "footer",
    "section", "article", "nav",      "h1",     "h2",    "h3",        "h4",      "p",    "div",
    "span",    "ul",      "li",       "a",      "b",     "small",     "bdi",     "dl",   "dd",
    "dt",      "label",   "input",    "table",  "thead", "tbody",     "tr",      "th",   "td",
    "script",  "svg",     "g",        "desc",   "line",  "polyline",  "polygon", "rect", "circle",
    "path",    "text",    "clipPath", "figure", "img",   "figcaption"};
static const char *const empty_elements[] = {"meta", "input", "img"};
static const char *const attributes[] = {"lang",
                                         "charset",
                                         "http-equiv",
                                         "content",
                                         "name",
                                         "id",
                                         "class",
                                         "href",
                                         "type",
                                         "for",
                                         "tabindex",
                                         "scope",
                                         "data-tick",
                                         "aria-label",
                                         "alt",
                                         "src",
                                         "autocomplete",
                                         "width",
                                         "height",
                                         "viewBox",
                                         "font-family",
                                         "font-size",
                                         "font-weight",
                                         "fill",
                                         "fill-opacity",
                                         "stroke",
                                         "stroke-opacity",
                                         "stroke-width",
                                         "stroke-dasharray",
                                         "stroke-linejoin",
                                         "paint-order",
                                         "text-anchor",
                                         "textLength",
                                         "lengthAdjust",
                                         "transform",
                                         "points",
                                         "x",
                                         "y",
                                         "x1",
                                         "y1",
                                         "x2",
                                         "y2",
                                         "cx",
                                         "cy",
                                         "r",
                                         "rx",
                                         "d",
                                         "clip-path",
                                         "pointer-events"};
static const char *const bare_attributes[] = {"checked", "disabled", "hidden"};

#define AMONG(list, word) among(list, sizeof list / sizeof *list, word)

static bool among(const char *const *list, size_t n, const char *word)
{
    for (size_t i = 0; i < n; i++)
        if (!strcmp(list[i], word))
            return true;
    return false;
}

static bool wrong(struct reader *r, const char *what, const char *name)
{
    size_t left = (size_t)(r->end - r->p);
    if (!r->why->n)
        buf_printf(r->why, "%s%s before: %.*s", what, name, (int)(left < 60 ? left : 60), r->p);
    return false;
}

static bool take(struct reader *r, const char *text)
{
    size_t n = strlen(text);
    if ((size_t)(r->end - r->p) < n || memcmp(r->p, text, n))
        return false;
    r->p += n;
    return true;
}

/* The name of an element or attribute: letters, figures and hyphens. */
static void take_name(struct reader *r, char name[LONGEST_NAME])
{
    static const char letters[] = "abcdefghijklmnopqrstuvwxyz0123456789-"
                                  "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
    size_t n = strspn(r->p, letters);
    n = n < LONGEST_NAME ? n : LONGEST_NAME - 1;
    memcpy(name, r->p, n);
    name[n] = 0;
    r->p += n;
}

static void want(struct reader *r, const char *id)
{
    *vec_push(&r->arena, &r->wanted) = names_of(&r->names, id);
}

static bool note_value(struct reader *r, const char *attribute, const char *value)
{
    if (!strcmp(attribute, "id")) {
        void **at = map_at(&r->arena, &r->ids, 0, (uintptr_t)names_of(&r->names, value));
        if (*at || !*value || strpbrk(value, " \t\n"))
            return wrong(r, "an id that is there twice, or is none: ", value);
        *at = r;
    }
    if (!strcmp(attribute, "href")) {
        if (value[0] != '#')
            return wrong(r, "an address out of the page: ", value);
        want(r, value + 1);
    }
    if (!strcmp(attribute, "src") && strncmp(value, "data:image/", strlen("data:image/")))
        return wrong(r, "a picture from elsewhere: ", value);
    if (!strcmp(attribute, "for"))
        want(r, value);
    return true;
}

static bool take_attribute(struct reader *r)
{
    char name[LONGEST_NAME];
    take_name(r, name);
    if (AMONG(bare_attributes, name))
        return true;
    if (!AMONG(attributes, name))
        return wrong(r, "an attribute that is none of ours: ", name);
    if (!take(r, "=\""))
        return wrong(r, "an attribute without its value in quotes: ", name);
    size_t n = strcspn(r->p, "\"<>\n");
    if (r->p[n] != '"')
        return wrong(r, "a value with what ends it: ", name);
    const char *value = arena_copy(&r->arena, r->p, n);
    r->p += n + 1;
    return note_value(r, name, value);
}

/* What stands in a style or script goes to its end. */
static bool pass_raw(struct reader *r, const char *name)
{
    const char *end = strstr(r->p, !strcmp(name, "style") ? "</style>" : "</script>");
    if (!end)
        return wrong(r, "no end of ", name);
    r->p = end;
    return true;
}

static bool take_element(struct reader *r)
{
    char name[LONGEST_NAME];
    take_name(r, name);
    if (!AMONG(elements, name))
        return wrong(r, "an element that is none of ours: ", name);
    while (take(r, " "))
        if (!take_attribute(r))
            return false;
    if (take(r, "/>")) /* of a drawing */
        return true;
    if (!take(r, ">"))
        return wrong(r, "no end of the tag ", name);
    if (AMONG(empty_elements, name))
        return true;
    if (r->depth == DEEPEST)
        return wrong(r, "too deep: ", name);
    r->open[r->depth++] = names_of(&r->names, name);
    return (strcmp(name, "style") && strcmp(name, "script")) || pass_raw(r, name);
}

static bool take_end(struct reader *r)
{
    char name[LONGEST_NAME];
    take_name(r, name);
    if (!r->depth || strcmp(r->open[r->depth - 1], name))
        return wrong(r, "an end without a beginning: ", name);
    r->depth--;
    return take(r, ">") || wrong(r, "no end of the tag /", name);
}

static bool take_character(struct reader *r)
{
    size_t n;
    uint32_t c = utf8_next(r->p, r->end, &n);
    if (c == UTF8_BAD || (c != '\n' && utf8_is_hidden(c)))
        return wrong(r, "a hidden character", "");
    r->p += n;
    return true;
}

static bool read_page(struct reader *r)
{
    if (!take(r, "<!DOCTYPE html>\n"))
        return wrong(r, "no doctype", "");
    while (r->p < r->end) {
        bool fine = take(r, "</")  ? take_end(r)
                    : take(r, "<") ? take_element(r)
                                   : take_character(r);
        if (!fine)
            return false;
    }
    if (r->depth)
        return wrong(r, "not closed: ", r->open[r->depth - 1]);
    for (uint32_t i = 0; i < r->wanted.n; i++)
        if (!map_find(&r->ids, 0, r->wanted.at[i]))
            return wrong(r, "leads nowhere: ", r->wanted.at[i]);
    return true;
}

bool markup_holds(const struct buf *page, struct buf *why)
{
    struct reader r = {.p = page->at, .end = page->at + page->n, .why = why};
    r.names.arena = &r.arena;
    bool holds = read_page(&r);
    arena_free(&r.arena);
    return holds;
}

bool markup_has_id(const struct buf *page, const char *id)
{
    char wanted[400];
    snprintf(wanted, sizeof wanted, " id=\"%s\"", id);
    return strstr(page->at, wanted) != NULL;
}

/* Text stays within its width, and its pages within their length; a page that goes on with a table
 * begins with its heads, and the pages one after another are the report. */
#include "pages.h"

#include "base/utf8.h"
#include "cmd/cmd.h"
#include "emit/reports/reports.h"
#include "model/model.h"

#include <string.h>

enum { PAGE_LINES = 55, SHORT_PAGE = 21, RUNNING = 2 };

/* Lines of a text, the pages of which are told apart by form feeds. */
struct line {
    const char *at;
    size_t len;
};

typedef VEC(struct line) line_list;

static line_list lines_of(struct arena *arena, const char *text)
{
    line_list list = {0};
    while (*text) {
        size_t n = strcspn(text, "\n");
        *vec_push(arena, &list) = (struct line){text, n};
        text += n + (text[n] == '\n');
    }
    return list;
}

static bool same(struct line a, struct line b)
{
    return a.len == b.len && !memcmp(a.at, b.at, a.len);
}

static bool is_rule(struct line l)
{
    return l.len && strspn(l.at, "- ") >= l.len;
}

/* Where one reads in the report without pages, and the heads of the table that one is in. */
struct reading {
    line_list whole;
    uint32_t at, block; /* the next line; the first behind the last blank one */
    uint32_t head, head_end;
    bool in_table;
};

static void step(struct reading *p)
{
    struct line l = p->whole.at[p->at++];
    if (!l.len) {
        p->block = p->at;
        p->in_table = false;
    } else if (is_rule(l) && p->at < p->whole.n && p->whole.at[p->at].len) {
        p->head = p->block;
        p->head_end = p->at;
        p->in_table = true;
    }
}

/* The heads that a page begins with, up to where it goes on with the report: how many lines, or -1.
 */
static int heads_of_page(const struct reading *p, const struct line *page, uint32_t count)
{
    bool ruled = false;
    for (uint32_t k = 0; k < count; k++) {
        bool titled = k > 1 && !page[k - 1].len; /* of cards */
        if (same(page[k], p->whole.at[p->at]) && (ruled || titled || !k))
            return (int)k;
        ruled = ruled || is_rule(page[k]);
    }
    return -1;
}

/* Of a page that goes on inside a table: its heads, all of them, below its title if it has one. */
static bool has_heads(const struct reading *p, const struct line *page, int heads)
{
    if (!p->in_table)
        return true;
    int own = (int)(p->head_end - p->head), above = heads - own;
    for (int k = 0; above >= 0 && k < own; k++)
        if (!same(page[above + k], p->whole.at[p->head + (uint32_t)k]))
            return false;
    return above == 0 || (above > 1 && !page[above - 1].len);
}

/* A page, without its own heading, against the report. */
static const char *page_fault(struct reading *p, const struct line *page, uint32_t count,
                              bool first)
{
    while (p->at < p->whole.n && !p->whole.at[p->at].len) /* none at the top of a page */
        step(p);
    int heads = first ? 0 : heads_of_page(p, page, count);
    if (heads < 0)
        return "a page goes on with something else";
    if (!first && !has_heads(p, page, heads))
        return "a page inside a table has not its heads";
    for (uint32_t k = (uint32_t)heads; k < count; k++) {
        if (p->at == p->whole.n || !same(page[k], p->whole.at[p->at]))
            return "pages hold something else than the report";
        step(p);
    }
    return NULL;
}

static const char *pages_fault(struct arena *arena, const char *paged, const char *whole,
                               unsigned most, unsigned *read)
{
    struct reading p = {.whole = lines_of(arena, whole)};
    line_list lines = lines_of(arena, paged);
    for (uint32_t from = 0; from < lines.n; ++*read) {
        uint32_t to = from + 1, skip = from ? RUNNING : 0;
        while (to < lines.n && *lines.at[to].at != '\f')
            to++;
        if (to - from > most)
            return "a page is too long";
        if (skip && (to - from <= skip || !strstr(lines.at[from].at, ", page ")))
            return "a page without its number, or without anything else";
        const char *fault = page_fault(&p, &lines.at[from + skip], to - from - skip, !from);
        if (fault)
            return fault;
        from = to;
    }
    while (p.at < p.whole.n && !p.whole.at[p.at].len)
        p.at++;
    return p.at < p.whole.n ? "pages do not hold all of the report" : NULL;
}

static const char *width_fault(struct arena *arena, const char *text, unsigned width)
{
    line_list lines = lines_of(arena, text);
    for (uint32_t i = 0; i < lines.n; i++)
        if (utf8_cells(lines.at[i].at, lines.at[i].len, 0) > width)
            return arena_printf(arena, "wider than %u: %.*s", width, (int)lines.at[i].len,
                                lines.at[i].at);
    return NULL;
}

static const char *written(struct results *r, const struct report_def *def, unsigned width,
                           unsigned page_lines)
{
    struct buf out = {0};
    r->width = width;
    r->page_lines = page_lines;
    report_write(def, r, REPORT_TEXT, &out);
    const char *text = arena_copy(r->arena, buf_text(&out), out.n);
    buf_free(&out);
    return text;
}

/* One report at each width, and in pages of two lengths. */
static const char *report_fault(struct results *r, const struct report_def *def, unsigned *read)
{
    static const unsigned widths[] = {20, 40, 60, 80, 100}, lengths[] = {PAGE_LINES, SHORT_PAGE};
    const char *fault = NULL;
    for (size_t i = 0; i < sizeof widths / sizeof *widths && !fault; i++) {
        const char *whole = written(r, def, widths[i], 0);
        fault = width_fault(r->arena, whole, widths[i]);
        if (!fault && widths[i] >= 40)
            fault = pages_fault(r->arena, written(r, def, widths[i], lengths[i % 2]), whole,
                                lengths[i % 2], read);
    }
    return fault;
}

bool pages_hold(struct compilation *c, unsigned *read, struct buf *why)
{
    struct results r;
    if (!c->model || !c->cuts || !cmd_results(c, &r))
        return true;
    for (uint32_t i = 0; i < report_count; i++) {
        const char *fault = report_fault(&r, &report_table[i], read);
        if (!fault)
            continue;
        buf_printf(why, "report %s: %s", report_table[i].name, fault);
        return false;
    }
    return true;
}

property_function property_pages;

bool property_pages(const struct subject *s, struct buf *why)
{
    unsigned read = 0;
    return pages_hold(s->c, &read, why);
}

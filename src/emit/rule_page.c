#include "emit/rule_page.h"

#include "base/utf8.h"
#include "emit/table.h"
#include "resolve/embedded.h"

#include <string.h>

struct rule_page rule_page_of(const char *rule)
{
    size_t len = strlen(rule);
    for (unsigned i = 0; i < embedded_rule_page_count; i++) {
        const struct embedded_file *f = &embedded_rule_pages[i];
        if (!strncmp(f->path, rule, len) && !strcmp(f->path + len, ".md"))
            return (struct rule_page){(const char *)f->bytes, (uint32_t)f->size};
    }
    return (struct rule_page){0};
}

struct rule_page rule_page_words(struct rule_page page)
{
    static const char plans[] = "## A plan that breaks it";
    const char *end = page.text + page.size;
    for (const char *line = page.text, *stop; line < end; line = stop ? stop + 1 : end) {
        stop = memchr(line, '\n', (size_t)(end - line));
        if ((size_t)(end - line) > strlen(plans) && !memcmp(line, plans, strlen(plans)))
            return (struct rule_page){page.text, (uint32_t)(line - page.text)};
    }
    return page;
}

/* The text of a link, [text](target), shown as "text (target)"; where `at` begins no link, NULL. */
static const char *plain_link(struct buf *out, const char *at, const char *end)
{
    const char *close = memchr(at, ']', (size_t)(end - at));
    if (!close || close + 1 >= end || close[1] != '(')
        return NULL;
    const char *target = close + 2, *last = memchr(target, ')', (size_t)(end - target));
    if (!last)
        return NULL;
    buf_add(out, at + 1, (size_t)(close - at - 1));
    buf_printf(out, " (%.*s)", (int)(last - target), target);
    return last + 1;
}

/* A line of prose without its marks of emphasis and code. */
static void plain_line(struct buf *out, const char *at, const char *end)
{
    while (at < end) {
        const char *behind = *at == '[' ? plain_link(out, at, end) : NULL;
        if (behind) {
            at = behind;
            continue;
        }
        if (*at == '\\' && at + 1 < end && strchr("\\`*_[]<>#|~&", at[1]))
            buf_putc(out, *++at);
        else if (*at == '*' && at + 1 < end && at[1] == '*')
            at++;
        else if (*at != '`')
            buf_putc(out, *at);
        at++;
    }
}

/* A page as it is written for a terminal. */
struct page {
    struct buf *out, paragraph;
    unsigned width;
    bool code, bullet; /* within code; the paragraph is an item of a list */
};

/* Prose is laid out anew: the page's own lines are too wide. */
static void end_paragraph(struct page *p)
{
    if (p->paragraph.n)
        table_print_paragraph(p->out, buf_text(&p->paragraph), p->width, p->bullet ? 2 : 0);
    p->paragraph.n = 0;
}

static void add_prose(struct page *p, const char *line, const char *stop)
{
    bool bullet = stop - line > 2 && !memcmp(line, "- ", 2);
    if (bullet || !p->paragraph.n) {
        end_paragraph(p);
        p->bullet = bullet;
    } else {
        buf_putc(&p->paragraph, ' ');
        line += strspn(line, " ");
    }
    plain_line(&p->paragraph, line, stop);
}

/* Code is indented. A finding that is wider than the page goes on below; lines of a plan, also
 * those that a finding shows, stay as they are. */
static void add_code(struct page *p, const char *line, const char *stop)
{
    size_t len = (size_t)(stop - line);
    if (utf8_cells(line, len, 0) + 2 <= p->width || *line == ' ' || memchr(line, '{', len)) {
        buf_puts(p->out, len ? "  " : "");
        buf_add(p->out, line, len);
        buf_putc(p->out, '\n');
        return;
    }
    struct buf words = {0};
    buf_puts(&words, "  ");
    buf_add(&words, line, len);
    table_print_paragraph(p->out, buf_text(&words), p->width, 6);
    buf_free(&words);
}

/* Headings lose their marks and are underlined. */
static void add_heading(struct page *p, const char *line, const char *stop)
{
    char under = line + 1 < stop && line[1] == '#' ? '-' : '=';
    while (line < stop && (*line == '#' || *line == ' '))
        line++;
    size_t before = p->out->n;
    plain_line(p->out, line, stop);
    size_t len = p->out->n - before;
    buf_putc(p->out, '\n');
    buf_fill(p->out, under, len);
    buf_putc(p->out, '\n');
}

void rule_page_plain(struct buf *out, struct rule_page page, unsigned width)
{
    const char *text = page.text, *end = page.text + page.size;
    struct page p = {.out = out, .width = width};
    while (text < end) {
        const char *line = text, *stop = memchr(text, '\n', (size_t)(end - text));
        stop = stop ? stop : end;
        text = stop < end ? stop + 1 : end;
        bool fence = stop - line >= 3 && !memcmp(line, "```", 3),
             heading = line < stop && *line == '#';
        if (fence || (!p.code && (heading || line == stop)))
            end_paragraph(&p);
        if (fence)
            p.code = !p.code;
        else if (p.code)
            add_code(&p, line, stop);
        else if (heading)
            add_heading(&p, line, stop);
        else if (line == stop)
            buf_putc(out, '\n');
        else
            add_prose(&p, line, stop);
    }
    end_paragraph(&p);
    buf_free(&p.paragraph);
}

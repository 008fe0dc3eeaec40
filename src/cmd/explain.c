/* studbay explain: the page of a rule, from docs/rules, made plain for a terminal. */
#include "cmd/cmd.h"

#include "base/utf8.h"
#include "emit/table.h"
#include "resolve/embedded.h"

#include <string.h>

enum { EXPLAIN_WIDTH = 80 };

static const struct embedded_file *page_of(struct arena *arena, const char *rule)
{
    const char *name = arena_printf(arena, "%s.md", rule);
    for (unsigned i = 0; i < embedded_rule_page_count; i++)
        if (!strcmp(embedded_rule_pages[i].path, name))
            return &embedded_rule_pages[i];
    return NULL;
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
        if (*at == '\\' && at + 1 < end && strchr("\\`*_[]<>#|", at[1]))
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
    bool code, bullet;           /* within code; the paragraph is an item of a list */
};

/* Prose is laid out anew: the page's own lines are too wide. */
static void end_paragraph(struct page *p)
{
    if (p->paragraph.n)
        print_paragraph(p->out, buf_text(&p->paragraph), EXPLAIN_WIDTH, p->bullet ? 2 : 0);
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

/* Code is indented. A finding that is wider than the page goes on below; lines of a plan, also those that a finding shows, stay as they are. */
static void add_code(struct page *p, const char *line, const char *stop)
{
    size_t len = (size_t)(stop - line);
    if (utf8_cells(line, len, 0) + 2 <= EXPLAIN_WIDTH || *line == ' ' || memchr(line, '{', len)) {
        buf_puts(p->out, len ? "  " : "");
        buf_add(p->out, line, len);
        buf_putc(p->out, '\n');
        return;
    }
    struct buf words = {0};
    buf_puts(&words, "  ");
    buf_add(&words, line, len);
    print_paragraph(p->out, buf_text(&words), EXPLAIN_WIDTH, 6);
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

static void plain_page(struct buf *out, const char *text, const char *end)
{
    struct page p = {.out = out};
    while (text < end) {
        const char *line = text, *stop = memchr(text, '\n', (size_t)(end - text));
        stop = stop ? stop : end;
        text = stop < end ? stop + 1 : end;
        bool fence = stop - line >= 3 && !memcmp(line, "```", 3), heading = line < stop && *line == '#';
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

static void explain(struct buf *out, struct arena *arena, enum rule_id id)
{
    const struct rule *rule = &rule_table[id];
    const struct embedded_file *page = page_of(arena, rule->name);
    if (page)
        plain_page(out, (const char *)page->bytes, (const char *)page->bytes + page->size);
    else
        buf_printf(out, "%s\n\nIt asks that %s.\n", rule->name, rule->doc);
    const char *words = rule->waivable ? "A plan may waive it with a reason; that wants the authority's written consent." : "A plan cannot waive it.";
    buf_putc(out, '\n');
    print_paragraph(out, arena_printf(arena, "Severity: %s. %s", severity_word(rule->severity), words), EXPLAIN_WIDTH, 0);
}

static void list_rules(struct buf *out, struct arena *arena)
{
    int widest = 0;
    for (uint32_t i = 0; i < RULE_COUNT; i++)
        if ((int)strlen(rule_table[i].name) > widest)
            widest = (int)strlen(rule_table[i].name);
    for (uint32_t i = 0; i < RULE_COUNT; i++) {
        const char *before = arena_printf(arena, "%-*s  %-7s  ", widest, rule_table[i].name, severity_word(rule_table[i].severity));
        print_paragraph(out, arena_printf(arena, "%s%s", before, rule_table[i].doc), EXPLAIN_WIDTH, (unsigned)strlen(before));
    }
}

int command_explain(const struct invocation *inv)
{
    const char *names[RULE_COUNT];
    for (uint32_t i = 0; i < RULE_COUNT; i++)
        names[i] = rule_table[i].name;
    if (inv->operand_count > 1)
        return complain("explain wants one rule: studbay explain RULE");
    struct buf out = {0};
    if (inv->operand_count) {
        enum rule_id id = rule_named(inv->operands[0]);
        if (id == RULE_COUNT)
            return complain_unknown("rule", inv->operands[0], names, RULE_COUNT);
        explain(&out, inv->arena, id);
    } else {
        list_rules(&out, inv->arena);
    }
    bool written = write_output(&out, NULL);
    buf_free(&out);
    return written ? EXIT_FINE : EXIT_USAGE;
}

/* studbay explain: the page of a rule, from docs/rules, made plain for a terminal. */
#include "cmd/cmd.h"

#include "resolve/embedded.h"

#include <string.h>

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
    buf_putc(out, '\n');
}

/* Headings lose their marks and are underlined; code is indented. */
static void plain_page(struct buf *out, const char *text, const char *end)
{
    bool code = false;
    while (text < end) {
        const char *line = text, *stop = memchr(text, '\n', (size_t)(end - text));
        if (!stop)
            stop = end;
        text = stop < end ? stop + 1 : end;
        if (stop - line >= 3 && !memcmp(line, "```", 3)) {
            code = !code;
        } else if (code) {
            buf_puts(out, stop > line ? "    " : "");
            buf_add(out, line, (size_t)(stop - line));
            buf_putc(out, '\n');
        } else if (line < stop && *line == '#') {
            char under = line + 1 < stop && line[1] == '#' ? '-' : '=';
            while (line < stop && (*line == '#' || *line == ' '))
                line++;
            size_t before = out->n;
            plain_line(out, line, stop);
            buf_fill(out, under, out->n - before - 1);
            buf_putc(out, '\n');
        } else {
            plain_line(out, line, stop);
        }
    }
}

static void explain(struct buf *out, struct arena *arena, enum rule_id id)
{
    const struct rule *rule = &rule_table[id];
    const struct embedded_file *page = page_of(arena, rule->name);
    if (page)
        plain_page(out, (const char *)page->bytes, (const char *)page->bytes + page->size);
    else
        buf_printf(out, "%s\n\nIt asks that %s.\n", rule->name, rule->doc);
    buf_printf(out, "\nSeverity: %s. %s\n", severity_word(rule->severity),
               rule->waivable ? "A plan may waive it with a reason; that wants the authority's written consent." : "A plan cannot waive it.");
}

static void list_rules(struct buf *out)
{
    for (uint32_t i = 0; i < RULE_COUNT; i++)
        buf_printf(out, "%-22s %-8s %s\n", rule_table[i].name, severity_word(rule_table[i].severity), rule_table[i].doc);
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
        list_rules(&out);
    }
    bool written = write_output(&out, NULL);
    buf_free(&out);
    return written ? EXIT_FINE : EXIT_USAGE;
}

/* studbay explain: the page of a rule, from docs/rules, made plain for a terminal. */
#include "cmd/cmd.h"

#include "emit/rule_page.h"
#include "emit/table.h"

#include <string.h>

enum { EXPLAIN_WIDTH = 80 };

static void explain(struct buf *out, struct arena *arena, const struct rule *rule)
{
    struct rule_page page = rule_page_of(rule->name);
    if (page.text)
        rule_page_plain(out, page, EXPLAIN_WIDTH);
    else
        buf_printf(out, "%s\n\nIt asks that %s.\n", rule->name, rule->asks);
    const char *words =
        rule->waivable
            ? "A plan may waive it with a reason; that wants the authority's written consent."
            : "A plan cannot waive it.";
    buf_putc(out, '\n');
    table_print_paragraph(
        out, arena_printf(arena, "Severity: %s. %s", diag_severity_word(rule->severity), words),
        EXPLAIN_WIDTH, 0);
}

static void list_rules(struct buf *out, struct arena *arena)
{
    int widest = 0;
    for (uint32_t i = 0; i < rule_count; i++)
        if ((int)strlen(rule_names[i]) > widest)
            widest = (int)strlen(rule_names[i]);
    for (uint32_t i = 0; i < rule_count; i++) {
        const struct rule *rule = rule_list[i];
        const char *before = arena_printf(arena, "%-*s  %-7s  ", widest, rule->name,
                                          diag_severity_word(rule->severity));
        table_print_paragraph(out, arena_printf(arena, "%s%s", before, rule->asks), EXPLAIN_WIDTH,
                              (unsigned)strlen(before));
    }
}

int command_explain(const struct invocation *inv)
{
    if (inv->operand_count > 1)
        return cmd_complain("explain wants one rule: studbay explain RULE");
    struct buf out = {0};
    if (inv->operand_count) {
        const struct rule *rule = rule_named(inv->operands[0]);
        if (!rule)
            return cmd_complain_unknown("rule", inv->operands[0], rule_names, rule_count);
        explain(&out, inv->arena, rule);
    } else {
        list_rules(&out, inv->arena);
    }
    bool written = cmd_write_output(&out, NULL);
    buf_free(&out);
    return written ? EXIT_FINE : EXIT_USAGE;
}

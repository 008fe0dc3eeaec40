/* studbay explain: the page of a rule, from docs/rules, made plain for a terminal. */
#include "cmd/cmd.h"

#include "emit/rule_page.h"
#include "emit/table.h"

#include <string.h>

enum { EXPLAIN_WIDTH = 80 };

static void explain(struct buf *out, struct arena *arena, enum rule_id id)
{
    const struct rule *rule = &rule_table[id];
    struct rule_page page = rule_page_of(rule->name);
    if (page.text)
        rule_page_plain(out, page, EXPLAIN_WIDTH);
    else
        buf_printf(out, "%s\n\nIt asks that %s.\n", rule->name, rule->doc);
    const char *words =
        rule->waivable
            ? "A plan may waive it with a reason; that wants the authority's written consent."
            : "A plan cannot waive it.";
    buf_putc(out, '\n');
    print_paragraph(out,
                    arena_printf(arena, "Severity: %s. %s", severity_word(rule->severity), words),
                    EXPLAIN_WIDTH, 0);
}

static void list_rules(struct buf *out, struct arena *arena)
{
    int widest = 0;
    for (uint32_t i = 0; i < RULE_COUNT; i++)
        if ((int)strlen(rule_table[i].name) > widest)
            widest = (int)strlen(rule_table[i].name);
    for (uint32_t i = 0; i < RULE_COUNT; i++) {
        const char *before = arena_printf(arena, "%-*s  %-7s  ", widest, rule_table[i].name,
                                          severity_word(rule_table[i].severity));
        print_paragraph(out, arena_printf(arena, "%s%s", before, rule_table[i].doc), EXPLAIN_WIDTH,
                        (unsigned)strlen(before));
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

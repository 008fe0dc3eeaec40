/* studbay explain: the page of a rule, from docs/rules, made plain for a terminal. */
#include "cmd/cmd.h"
#include "cmd/topics.h"

#include "emit/rule_page.h"
#include "emit/table.h"

#include <string.h>

enum { EXPLAIN_WIDTH = 80, NARROW = 60 };

static void explain(struct buf *out, struct arena *arena, const struct rule *rule, unsigned width)
{
    struct rule_page page = rule_page_of(rule->name);
    if (page.text)
        rule_page_plain(out, page, width);
    else
        buf_printf(out, "%s\n\nIt asks that %s.\n", rule->name, rule->asks);
    const char *words =
        !rule->waivable ? "A plan cannot waive it."
        : rule->severity == ERROR
            ? arena_printf(arena,
                           "A plan may waive it with a reason, which wants the authority's written "
                           "consent: waive %s in PLACE because \"...\".",
                           rule->name)
            : arena_printf(arena,
                           "It is advice, which a plan may waive with a reason: waive %s in PLACE "
                           "because \"...\".",
                           rule->name);
    buf_putc(out, '\n');
    table_print_paragraph(
        out, arena_printf(arena, "Severity: %s. %s", diag_severity_word(rule->severity), words),
        width, 0);
}

/* The rules that have the word, or all where it is NULL, family by family; how many. */
static uint32_t list_rules(struct buf *out, struct arena *arena, const near_words *words,
                           const char *word, unsigned width)
{
    int widest = 0;
    uint32_t n = 0;
    const char *family = NULL;
    for (uint32_t i = 0; i < rule_count; i++)
        if ((int)strlen(rule_names[i]) > widest)
            widest = (int)strlen(rule_names[i]);
    for (uint32_t i = 0; i < rule_count; i++) {
        const struct rule *rule = rule_list[i];
        if (word && !topics_has(words, rule->name, rule->asks, word))
            continue;
        if (!family || strcmp(family, rule_families[i]))
            buf_printf(out, "%s%s:\n", n ? "\n" : "", rule_families[i]);
        family = rule_families[i];
        n++;
        const char *before = arena_printf(arena, "%-*s  %-7s  ", widest, rule->name,
                                          diag_severity_word(rule->severity));
        table_print_paragraph(out, arena_printf(arena, "%s%s", before, rule->asks), width,
                              width < NARROW ? 4 : (unsigned)strlen(before));
    }
    return n;
}

/* A word that is no rule: the rules that speak of it. */
static int explain_word(const struct invocation *inv, unsigned width, struct buf *out)
{
    struct compilation c = {0};
    bool read = compile_library(&c, NULL);
    uint32_t found =
        list_rules(out, inv->arena, read ? &c.diag.words : NULL, inv->operands[0], width);
    compile_free(&c);
    return found ? EXIT_FINE
                 : cmd_complain_unknown("rule", inv->operands[0], rule_names, rule_count);
}

int command_explain(const struct invocation *inv)
{
    if (inv->operand_count > 1)
        return cmd_complain("explain wants one rule: studbay explain RULE");
    struct buf out = {0};
    int status = EXIT_FINE;
    unsigned width;
    if (!cmd_read_width(inv, EXPLAIN_WIDTH, &width))
        return EXIT_USAGE;
    if (inv->operand_count) {
        const struct rule *rule = rule_named(inv->operands[0]);
        if (rule)
            explain(&out, inv->arena, rule, width);
        else
            status = explain_word(inv, width, &out);
    } else {
        list_rules(&out, inv->arena, NULL, NULL, width);
    }
    bool written = status == EXIT_FINE && cmd_write_output(&out, NULL);
    buf_free(&out);
    return written ? EXIT_FINE : EXIT_USAGE;
}

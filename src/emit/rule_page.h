/* The page of a rule, docs/rules/NAME.md, as it is built in: whole or without its plans, as
 * Markdown or plain. */
#ifndef STUDBAY_EMIT_RULE_PAGE_H
#define STUDBAY_EMIT_RULE_PAGE_H

#include <stdint.h>

struct buf;

/* Markdown, not ended by a zero byte; text NULL: there is none. */
struct rule_page {
    const char *text;
    uint32_t size;
};

struct rule_page rule_page_of(const char *rule);

/* What it asks, why, its source and how to mend it: the page before its plans. */
struct rule_page rule_page_words(struct rule_page page);

/* Appends the page without marks of Markdown, its prose within `width` cells; plans and links keep
 * their words. */
void rule_page_plain(struct buf *out, struct rule_page page, unsigned width);

#endif

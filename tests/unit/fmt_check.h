/* For the tests of the layout: what has to hold for every text that is laid out. Included by one
 * test program, hence all static. */
#ifndef STUDBAY_TESTS_FMT_CHECK_H
#define STUDBAY_TESTS_FMT_CHECK_H

#include "reading.h"

#include "fmt/fmt.h"
#include "resolve/node.h"
#include "resolve/value.h"

/* Whether a statement begins at the token. */
static bool begins(const struct source *s, uint32_t i)
{
    uint8_t before = i ? s->tokens[i - 1].kind : T_SEMI;
    return before == T_OPEN || before == T_CLOSE || before == T_SEMI ||
           s->tokens[i].flags & TOKEN_ENDS;
}

static bool starts_with(const char *p, const char *end, const char *mark)
{
    return (size_t)(end - p) >= strlen(mark) && !memcmp(p, mark, strlen(mark));
}

/* A token by its value: a length with plain marks and one '_' for whatever joins inches and
 * fraction, nothing for what joins feet and inches. */
static void add_value(struct buf *b, const struct source *s, uint32_t i)
{
    const char *p = s->bytes + s->tokens[i].off, *start = p, *end = p + s->tokens[i].len;
    if (s->tokens[i].kind != T_LENGTH) {
        buf_add(b, p, s->tokens[i].len);
        return;
    }
    while (p < end) {
        if (p > start && strchr(" \t-", *p)) {
            if (b->at[b->n - 1] != '\'' && b->at[b->n - 1] != '_')
                buf_putc(b, '_');
            p++;
        } else if (starts_with(p, end, "\xe2\x80\xb2") || starts_with(p, end, "\xe2\x80\x99")) {
            buf_putc(b, '\'');
            p += 3;
        } else if (starts_with(p, end, "\xe2\x80\xb3") || starts_with(p, end, "\xe2\x80\x9d")) {
            buf_putc(b, '"');
            p += 3;
        } else {
            buf_putc(b, *p++);
        }
    }
}

/* The comments of a gap: how many tokens stand before each, whether it follows one on its line, its
 * text. */
static void add_comments(struct buf *b, const struct source *s, const char *p, const char *end,
                         unsigned before, bool *behind)
{
    while (p < end) {
        if (*p == '\n')
            *behind = false;
        if (*p++ != '#')
            continue;
        const char *from = p;
        while (p < s->bytes + s->size && *p != '\n')
            p++;
        const char *to = p;
        while (to > from && strchr(" \t\r", to[-1]))
            to--;
        buf_printf(b, "%u %s #%.*s\n", before, *behind ? "behind" : "alone", (int)(to - from),
                   from);
    }
}

/* One line a token, `;` left out, those that begin a statement marked; and one line a comment. */
static void list_source(const struct source *s, struct buf *tokens, struct buf *comments)
{
    unsigned count = 0;
    uint32_t from = 0;
    bool behind = false, after_semi = false;
    for (uint32_t i = 0; i < s->token_count; i++) {
        const struct source_token *t = &s->tokens[i];
        add_comments(comments, s, s->bytes + from, s->bytes + t->off, count, &behind);
        from = t->off + t->len;
        if (t->kind == T_SEMI) {
            after_semi = true;
            continue;
        }
        bool begin = t->kind != T_CLOSE && t->kind != T_EOF && (begins(s, i) || after_semi);
        buf_printf(tokens, "%s %u ", begin ? "begin" : "go on", t->kind);
        add_value(tokens, s, i);
        buf_putc(tokens, '\n');
        count++;
        behind = true;
        after_semi = false;
    }
}

/* --- matched trees ------------------------------------------------------------------------ */

static void add_text(struct buf *b, const char *text)
{
    struct json json = json_begin(b);
    if (text)
        json_text(&json, text);
    else
        buf_puts(b, "none");
}

static void add_node_value(struct buf *b, const struct value *v)
{
    buf_printf(b, " (%u %u %u ", v->kind, v->dimension, v->low);
    switch (v->kind) {
    case V_NONE:
        break;
    case V_REF:
        for (unsigned i = 0; i < v->ref->count; i++)
            add_text(b, v->ref->part[i]);
        break;
    case V_INTEGER:
    case V_NUMBER:
    case V_QUANTITY:
    case V_LENGTH:
        buf_printf(b, "%lld", (long long)v->n);
        break;
    default:
        add_text(b, v->name);
    }
    buf_putc(b, ')');
}

/* A tree by forms, values and titles, without places. */
static void list_nodes(struct buf *b, const struct node *n, unsigned depth)
{
    for (; n; n = n->next) {
        buf_printf(b, "%*s%u %u %d %d ", (int)depth, "", n->form, n->alt, n->broken, n->no);
        add_text(b, n->word);
        add_text(b, n->text);
        for (unsigned i = 0; i < n->value_count; i++)
            add_node_value(b, &n->values[i]);
        buf_putc(b, '\n');
        list_nodes(b, n->child, depth + 1);
    }
}

/* --- the checks --------------------------------------------------------------------------- */

static void assert_same(const char *what, struct buf *a, struct buf *b)
{
    if (a->n != b->n || (a->n && memcmp(a->at, b->at, a->n))) {
        size_t i = 0, from = 0;
        for (; i < a->n && i < b->n && a->at[i] == b->at[i]; i++)
            from = a->at[i] == '\n' ? i + 1 : from;
        print_error("%s differ: %.120s\n*** and: %.120s\n", what, buf_text(a) + from,
                    buf_text(b) + from);
        fail();
    }
    buf_free(a);
    buf_free(b);
}

static void lay_out(struct reading *r, struct buf *out)
{
    struct arena scratch = {0};
    if (!fmt_source(&r->diag, &scratch, &r->source, out)) {
        show_findings(r);
        fail();
    }
    arena_free(&scratch);
}

/* Lines end without blanks, no two empty lines follow each other, the file ends in one newline. */
static void assert_tidy(const struct buf *out)
{
    if (!out->n)
        return;
    assert_int_equal(out->at[out->n - 1], '\n');
    assert_int_not_equal(out->at[0], '\n');
    for (size_t i = 1; i < out->n; i++) {
        if (out->at[i] != '\n')
            continue;
        assert_null(strchr(" \t\r", out->at[i - 1]));
        assert_false(i > 1 && out->at[i - 1] == '\n' &&
                     (out->at[i - 2] == '\n' || i == out->n - 1));
    }
}

/* What has to hold for every text: the same tokens in the same statements, the same comments at the
 * same places, and a second time changes nothing. With `matched` the two texts mean the same too.
 */
static void check_layout(const char *bytes, size_t len, bool matched)
{
    struct reading before, after;
    struct buf out = {0}, again = {0}, tokens[2] = {0}, comments[2] = {0}, trees[2] = {0};
    read_bytes(&before, bytes, len);
    lay_out(&before, &out);
    assert_tidy(&out);
    read_bytes(&after, out.at, out.n);
    list_source(&before.source, &tokens[0], &comments[0]);
    list_source(&after.source, &tokens[1], &comments[1]);
    assert_same("tokens", &tokens[0], &tokens[1]);
    assert_same("comments", &comments[0], &comments[1]);
    if (matched) {
        list_nodes(&trees[0], before.file, 0);
        list_nodes(&trees[1], after.file, 0);
        assert_same("trees", &trees[0], &trees[1]);
    }
    lay_out(&after, &again);
    assert_same("first and second layout", &out, &again);
    done(&before);
    done(&after);
}

#endif

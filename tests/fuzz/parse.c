/* Any bytes through the lexer, the layout, the parser and the matcher. Beside crashes it looks for
 * three broken promises: every byte is in one token or one gap, the same bytes give the same
 * findings, matched at once or line by line, and what is reported can be rendered. */
#include "base/buf.h"
#include "diag/render.h"
#include "resolve/language.h"
#include "resolve/match.h"
#include "resolve/node.h"
#include "resolve/value.h"
#include "syntax/lexer.h"
#include "syntax/tree.h"

#include <stdlib.h>
#include <string.h>

static void check(bool holds)
{
    if (!holds)
        abort();
}

/* Tokens are in order and do not overlap; gaps hold blanks, newlines and comments, or bytes that
 * were reported. */
static void check_cover(const struct source *s, bool clean)
{
    uint32_t at = s->size >= 3 && !memcmp(s->bytes, "\xef\xbb\xbf", 3) ? 3 : 0;
    for (uint32_t i = 0; i < s->token_count; i++) {
        const struct source_token *t = &s->tokens[i];
        bool comment = false;
        check(t->off >= at && t->len <= s->size - t->off);
        check((t->kind == T_EOF) == (i + 1 == s->token_count));
        for (; at < t->off && clean; at++) {
            comment = (comment || s->bytes[at] == '#') && s->bytes[at] != '\n';
            check(comment || (s->bytes[at] && strchr(" \t\r\n", s->bytes[at])));
        }
        at = t->off + t->len;
    }
    check(at == s->size);
}

/* Children know their parent, lie in the file, and values lie within it. */
static void check_nodes(const struct node *owner)
{
    for (const struct node *n = owner->child; n; n = n->next) {
        check(n->parent == owner && n->first <= n->last && n->last < n->source->token_count);
        check(n->next || owner->last_child == n);
        for (unsigned i = 0; i < n->value_count; i++)
            check(n->values[i].kind == V_NONE || (n->values[i].first <= n->values[i].last &&
                                                  n->values[i].last < n->source->token_count));
        check_nodes(n);
    }
}

struct words {
    struct arena arena;
    struct names names;
    const struct language *language;
};

/* The language and the names, made anew now and then so that those of past inputs do not pile up.
 */
static struct words *words(void)
{
    static struct words words;
    static unsigned used;
    if (used++ % 512 == 0) {
        arena_free(&words.arena);
        words.names = (struct names){.arena = &words.arena};
        words.language = language_new(&words.arena, &words.names);
    }
    return &words;
}

static void read_once(const char *bytes, size_t size, struct buf *out)
{
    struct arena arena = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {.path = "plan.bay", .bytes = bytes, .size = (uint32_t)size};
    lex(&diag, &source);
    check_cover(&source, diag.findings.n == 0);
    struct tree tree = parse(&diag, &arena, &source);
    struct words *w = words();
    check_nodes(match_file(&diag, &w->names, w->language, &tree));
    diag_finish(&diag);
    diag_text(&diag, out, (struct diag_style){0});
    diag_json(&diag, out, (struct diag_style){0}, NULL, NULL);
    arena_free(&arena);
}

/* The same, matched line by line as the compiler does it. */
static void read_by_lines(const char *bytes, size_t size, bool keep, struct buf *out)
{
    struct arena arena = {0}, scratch = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {.path = "plan.bay", .bytes = bytes, .size = (uint32_t)size};
    lex(&diag, &source);
    struct words *w = words();
    check_nodes(match_source(&diag, &w->names, &scratch, w->language, &source, keep));
    diag_finish(&diag);
    diag_text(&diag, out, (struct diag_style){0});
    diag_json(&diag, out, (struct diag_style){0}, NULL, NULL);
    arena_free(&scratch);
    arena_free(&arena);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct buf first = {0};
    char *copy = malloc(size + 1);
    check(copy != NULL);
    memcpy(copy, data, size);
    copy[size] = 0;
    read_once(copy, size, &first);
    for (int way = 0; way < 3; way++) {
        struct buf again = {0};
        if (way)
            read_by_lines(copy, size, way == 1, &again);
        else
            read_once(copy, size, &again);
        check(first.n == again.n && !memcmp(first.at, again.at, first.n));
        buf_free(&again);
    }
    buf_free(&first);
    free(copy);
    return 0;
}

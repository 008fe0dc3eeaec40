#include "shuffle.h"

#include "random.h"

#include "diag/diag.h"
#include "syntax/lexer.h"
#include "syntax/token.h"
#include "syntax/tree.h"

#include <stdlib.h>
#include <string.h>

struct shuffler {
    struct source *source;
    uint64_t state;
    struct buf *out;
};

static bool begins_with(const struct shuffler *s, const struct stmt *st, const char *word)
{
    const struct source_token *t = &s->source->tokens[st->first];
    return t->len == strlen(word) && !memcmp(s->source->bytes + t->off, word, t->len);
}

static void put_tokens(struct shuffler *s, uint32_t first, uint32_t last)
{
    const struct source_token *a = &s->source->tokens[first], *z = &s->source->tokens[last];
    buf_add(s->out, s->source->bytes + a->off, z->off + z->len - a->off);
}

static void put_statement(struct shuffler *s, const struct stmt *st);

static bool may_name_rooms(const struct shuffler *s, const struct stmt *st)
{
    return begins_with(s, st, "room") || begins_with(s, st, "include");
}

/* Rooms go to other places, but stay in their order: studs of a shared wall are counted from the
 * room that is named first, which the language says. What is moved is put from the last to the
 * first. */
static void keep_rooms(const struct shuffler *s, const struct stmt *first,
                       const struct stmt **moved, unsigned moving)
{
    for (unsigned i = moving; i-- > 0;) {
        if (!may_name_rooms(s, moved[i]))
            continue;
        while (!may_name_rooms(s, first))
            first = first->next;
        moved[i] = first;
        first = first->next;
    }
}

/* The statements of a block: all change places, or only those that begin with `word`. */
static void put_shuffled(struct shuffler *s, const struct stmt *first, const char *word)
{
    unsigned count = 0, moving = 0;
    for (const struct stmt *st = first; st; st = st->next)
        count++;
    const struct stmt **list = calloc(2 * count + 1, sizeof *list), **moved = list + count;
    count = 0;
    for (const struct stmt *st = first; st; st = st->next) {
        list[count++] = st;
        if (!word || begins_with(s, st, word))
            moved[moving++] = st;
    }
    for (unsigned i = moving; i > 1; i--) {
        unsigned k = pick(&s->state, i);
        const struct stmt *held = moved[k];
        moved[k] = moved[i - 1];
        moved[i - 1] = held;
    }
    keep_rooms(s, first, moved, moving);
    for (unsigned i = 0; i < count; i++)
        put_statement(s, !word || begins_with(s, list[i], word) ? moved[--moving] : list[i]);
    free(list);
}

static void put_statement(struct shuffler *s, const struct stmt *st)
{
    bool unit = begins_with(s, st, "unit") || begins_with(s, st, "pattern");
    const char *word = begins_with(s, st, "room")                                           ? "box"
                       : begins_with(s, st, "circuit") || begins_with(s, st, "low-voltage") ? "run"
                                                                                            : NULL;
    if (!st->has_block || (!unit && !word)) {
        put_tokens(s, st->first, st->has_block ? st->close : st->last);
    } else {
        put_tokens(s, st->first, st->open);
        buf_puts(s->out, "\n");
        put_shuffled(s, st->child, word);
        buf_puts(s->out, "}");
    }
    buf_puts(s->out, "\n");
}

void shuffle_text(const char *bytes, size_t size, uint64_t seed, struct buf *out)
{
    if (!size)
        return;
    struct arena arena = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {
        .path = "plan.bay", .bytes = arena_copy(&arena, bytes, size), .size = (uint32_t)size};
    lex(&diag, &source);
    struct tree tree = parse(&diag, &arena, &source);
    struct shuffler s = {.source = &source, .state = seed, .out = out};
    put_shuffled(&s, tree.first, NULL);
    arena_free(&arena);
}

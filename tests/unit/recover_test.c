/* How well reading recovers: the examples are damaged token by token, and what is said of the one
 * fault is counted.
 *
 * language.md, section 9: one fault, one finding; a statement with a syntax finding still declares
 * its name. No such thing holds for every damage (a `{` for a name can be read in several ways), so
 * the test asks for shares; it prints what it found. RECOVER_SHOW=1 prints the damages that fall
 * short. */
#include "base/file.h"
#include "parser.h"
#include "reading.h"
#include "resolve/node.h"
#include "resolve/value.h"

#include <glob.h>

enum damage { DELETE, DUPLICATE, REPLACE, INSERT, SWAP, DAMAGES };
static const char *const damage_words[] = {"deleted", "duplicated", "replaced", "inserted before",
                                           "letters swapped"};

struct tally {
    unsigned damaged, found, findings, exactly_one, names, lost, files_kept;
};

/* Everything that lives as long as the test: the language and the interned keys. */
struct bench {
    struct arena arena;
    struct names names;
    const struct language *language;
    struct tally by[DAMAGES];
    uint64_t seed;
    bool show;
};

static uint32_t any_of(struct bench *b, uint32_t n)
{
    b->seed ^= b->seed << 13;
    b->seed ^= b->seed >> 7;
    b->seed ^= b->seed << 17;
    return (uint32_t)(b->seed >> 11) % n;
}

struct plan {
    struct arena arena;
    struct diag diag;
    struct source source;
    struct tree tree;
    struct node *file;
};

static void read_into(struct bench *b, struct plan *p, const char *bytes, size_t len)
{
    memset(p, 0, sizeof *p);
    p->diag.arena = &p->arena;
    p->source = (struct source){
        .path = "plan.bay", .bytes = arena_copy(&p->arena, bytes, len), .size = (uint32_t)len};
    lex(&p->diag, &p->source);
    p->tree = parse(&p->diag, &p->arena, &p->source);
    p->file = match_file(&p->diag, &b->names, b->language, &p->tree);
    diag_finish(&p->diag);
}

/* --- names and where they stand ----------------------------------------------------------- */

static const char *name_of(struct bench *b, const struct node *n)
{
    const struct value *v = node_value(n, 0);
    return !v || !b->language->forms[n->form].names    ? ""
           : v->kind == V_LENGTH || v->kind == V_GIVEN ? ""
                                                       : node_ref_text(&b->arena, v);
}

/* What is declared and where; `parent` is NULL where the parent's name may have changed. */
static const char *key_of(struct bench *b, const struct node *n, const char *parent)
{
    char text[512];
    int len = snprintf(text, sizeof text, "%d %s in %d %s", (int)n->form, name_of(b, n),
                       (int)n->parent->form, parent ? parent : "?");
    return names_intern(&b->names, text, (size_t)len < sizeof text ? (size_t)len : sizeof text - 1);
}

static void file_names(struct bench *b, struct arena *arena, struct map *map, struct node *owner)
{
    for (struct node *n = owner->child; n; n = n->next) {
        if (b->language->forms[n->form].names) {
            map_file(arena, map, 1, key_of(b, n, name_of(b, n->parent)), n);
            map_file(arena, map, 1, key_of(b, n, NULL), n);
        }
        file_names(b, arena, map, n);
    }
}

/* The names of `owner`'s block that are not in `map`; `spared` is the first token of the statement
 * that was damaged. */
static unsigned count_lost(struct bench *b, const struct map *map, const struct node *owner,
                           uint32_t spared, unsigned *names, const char **lost)
{
    unsigned n_lost = 0;
    for (const struct node *n = owner->child; n; n = n->next) {
        if (b->language->forms[n->form].names && n->first != spared) {
            const char *key = key_of(
                b, n, n->parent->form && n->parent->first == spared ? NULL : name_of(b, n->parent));
            ++*names;
            if (!map_find(map, 1, key)) {
                n_lost++;
                *lost = key;
            }
        }
        n_lost += count_lost(b, map, n, spared, names, lost);
    }
    return n_lost;
}

/* The first token of the innermost statement that a token belongs to. */
static uint32_t statement_of(const struct stmt *s, uint32_t token)
{
    for (; s; s = s->next) {
        if (token < s->first || token > (s->has_block ? s->close : s->last))
            continue;
        uint32_t inner = statement_of(s->child, token);
        return inner != UINT32_MAX ? inner : s->first;
    }
    return UINT32_MAX;
}

/* --- damages ------------------------------------------------------------------------------ */

static void add_token(struct buf *out, const struct source *s, uint32_t token)
{
    buf_add(out, s->bytes + s->tokens[token].off, s->tokens[token].len);
}

static bool swap_letters(struct bench *b, struct buf *out, const struct source *s, uint32_t token)
{
    const struct source_token *t = &s->tokens[token];
    if (t->kind != T_WORD || t->len < 2)
        return false;
    uint32_t at = any_of(b, t->len - 1);
    const char *p = s->bytes + t->off;
    if (p[at] == p[at + 1])
        return false;
    buf_add(out, p, at);
    buf_putc(out, p[at + 1]);
    buf_putc(out, p[at]);
    buf_add(out, p + at + 2, t->len - at - 2);
    return true;
}

/* One token, damaged; false where this damage changes nothing. */
static bool damage_token(struct bench *b, struct buf *out, const struct source *s, uint32_t token,
                         enum damage how)
{
    const struct source_token *t = &s->tokens[token];
    uint32_t other = any_of(b, s->token_count - 1);
    switch (how) {
    case DELETE:
        return true;
    case DUPLICATE:
        add_token(out, s, token);
        buf_putc(out, ' ');
        add_token(out, s, token);
        return true;
    case REPLACE:
        add_token(out, s, other);
        return s->tokens[other].len != t->len ||
               memcmp(s->bytes + s->tokens[other].off, s->bytes + t->off, t->len);
    case INSERT:
        add_token(out, s, other);
        buf_putc(out, ' ');
        add_token(out, s, token);
        return true;
    default:
        return swap_letters(b, out, s, token);
    }
}

/* The text of `s` with one token damaged; false where this damage changes nothing. */
static bool damage(struct bench *b, struct buf *out, const struct source *s, uint32_t token,
                   enum damage how)
{
    const struct source_token *t = &s->tokens[token];
    buf_add(out, s->bytes, t->off);
    bool changed = damage_token(b, out, s, token, how);
    buf_puts(out, s->bytes + t->off + t->len);
    return changed;
}

static void show(struct plan *p, struct plan *whole, uint32_t token, enum damage how,
                 const char *lost)
{
    struct position at =
        source_position(&whole->arena, &whole->source, whole->source.tokens[token].off);
    uint32_t len;
    const char *line = source_line(&p->arena, &p->source, at.line, &len);
    struct buf out = {0};
    diag_text(&p->diag, &out, (struct diag_style){0});
    printf("--- %s, line %u column %u, %u findings%s%s\n%.*s\n%s", damage_words[how], at.line,
           at.cell, p->diag.findings.n, lost ? ", lost " : "", lost ? lost : "", (int)len, line,
           buf_text(&out));
    buf_free(&out);
}

static void try_damage(struct bench *b, struct plan *whole, uint32_t token, enum damage how)
{
    struct buf text = {0};
    if (damage(b, &text, &whole->source, token, how)) {
        struct plan p;
        struct tally *t = &b->by[how];
        struct map map = {0};
        const char *lost = NULL;
        read_into(b, &p, buf_text(&text), text.n);
        t->damaged++;
        if (p.diag.findings.n) {
            file_names(b, &p.arena, &map, p.file);
            unsigned n = count_lost(b, &map, whole->file, statement_of(whole->tree.first, token),
                                    &t->names, &lost);
            t->found++;
            t->findings += p.diag.findings.n;
            t->exactly_one += p.diag.findings.n == 1;
            t->lost += n;
            t->files_kept += n == 0;
            if (b->show && (n || p.diag.findings.n > 1))
                show(&p, whole, token, how, lost);
        }
        arena_free(&p.arena);
    }
    buf_free(&text);
}

/* --- the examples ------------------------------------------------------------------------- */

/* About `most` tokens of a file, spread over it. */
static void damage_file(struct bench *b, const char *path, uint32_t most)
{
    struct buf text = {0};
    struct plan whole;
    assert_true(file_read(&text, path, 1 << 24));
    read_into(b, &whole, buf_text(&text), text.n);
    if (whole.diag.findings.n == 0) {
        uint32_t step = whole.source.token_count / most + 1;
        for (uint32_t i = any_of(b, step); i + 1 < whole.source.token_count; i += step)
            for (int how = 0; how < DAMAGES; how++)
                try_damage(b, &whole, i, (enum damage)how);
    }
    arena_free(&whole.arena);
    buf_free(&text);
}

static void print_tally(const char *what, const struct tally *t)
{
    printf("%-16s %6u damaged, %6u with findings: mean %.3f, exactly one %.1f %%; no name lost "
           "%.1f %% (%.2f %% of names kept)\n",
           what, t->damaged, t->found, (double)t->findings / t->found,
           100.0 * t->exactly_one / t->found, 100.0 * t->files_kept / t->found,
           100.0 * (t->names - t->lost) / t->names);
}

static void one_fault_one_finding(void **state)
{
    (void)state;
    struct bench b = {.seed = 20240229, .show = getenv("RECOVER_SHOW") != NULL};
    b.names.arena = &b.arena;
    b.language = language_new(&b.arena, &b.names);
    glob_t files = {0};
    glob("examples/*.bay", 0, NULL, &files);
    glob("examples/*/*.bay", GLOB_APPEND, NULL, &files);
    for (size_t i = 0; i < files.gl_pathc; i++)
        damage_file(&b, files.gl_pathv[i], 600);
    globfree(&files);
    struct tally all = {0};
    for (int how = 0; how < DAMAGES; how++) {
        const struct tally *t = &b.by[how];
        print_tally(damage_words[how], t);
        all.damaged += t->damaged;
        all.found += t->found;
        all.findings += t->findings;
        all.exactly_one += t->exactly_one;
        all.names += t->names;
        all.lost += t->lost;
        all.files_kept += t->files_kept;
    }
    print_tally("all", &all);
    assert_true(all.found > 2000);
    assert_true(all.findings <= 1.05 * all.found);
    assert_true(all.exactly_one >= 0.97 * all.found);
    assert_true(all.files_kept >= 0.98 * all.found);
    arena_free(&b.arena);
}

/* The findings of a text that is matched as it is parsed, as text. */
static void findings_as_read(struct bench *b, const struct buf *text, bool keep, struct buf *out)
{
    struct arena arena = {0}, scratch = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {.path = "plan.bay",
                            .bytes = arena_copy(&arena, text->at, text->n),
                            .size = (uint32_t)text->n};
    lex(&diag, &source);
    match_source(&diag, &b->names, &scratch, b->language, &source, keep);
    diag_finish(&diag);
    diag_text(&diag, out, (struct diag_style){0});
    arena_free(&scratch);
    arena_free(&arena);
}

/* The findings of a text of which the grammar sees each token. */
static void findings_by_tokens(struct bench *b, const struct buf *text, struct buf *out)
{
    struct arena arena = {0};
    struct diag diag = {.arena = &arena};
    struct source source = {.path = "plan.bay",
                            .bytes = arena_copy(&arena, text->at, text->n),
                            .size = (uint32_t)text->n};
    struct parser parser = {.diag = &diag, .scratch = &arena, .source = &source, .by_tokens = true};
    lex(&diag, &source);
    assert_true(layout(&diag, &arena, &source));
    bay_parse(&parser);
    struct stmt *last = parser.all, *first = last ? last->next : NULL; /* the list is a ring */
    if (last)
        last->next = NULL;
    match_file(&diag, &b->names, b->language, &(struct tree){.source = &source, .first = first});
    diag_finish(&diag);
    diag_text(&diag, out, (struct diag_style){0});
    arena_free(&arena);
}

/* The items of a line that is not at fault are its tokens, none left out, in their order. */
static void assert_items_cover(const struct source *s, const struct stmt *first)
{
    for (const struct stmt *at = first; at; at = at->next) {
        uint32_t token = at->first;
        for (uint32_t i = 0; i < at->item_count && !at->broken; i++) {
            while (s->tokens[token].flags & TOKEN_DROPPED)
                token++;
            assert_int_equal(at->items[i].first, token);
            assert_true(at->items[i].kind == ITEM_TOKEN
                            ? at->items[i].last == token
                            : s->tokens[token].kind ==
                                  (at->items[i].kind == ITEM_REF ? T_WORD : T_LPAREN));
            token = at->items[i].last + 1;
        }
        assert_true(at->broken || !at->item_count || token == at->last + 1);
        assert_items_cover(s, at->child);
    }
}

/* Up to three faults close together, signs more often than words: they may lie in one line, and the
 * grammar may still be on its way out of the one before. */
static void damage_together(struct bench *b, struct buf *out, const struct source *s)
{
    static const char *const signs[] = {"{", "}",  ";",  ".",   "(", ")",  "\n",  "->",
                                        ",", ";{", "}{", ";\n", "x", "\"", "run", "1"};
    uint32_t faults = 1 + any_of(b, 3), token = any_of(b, s->token_count - 40);
    size_t from = 0;
    for (uint32_t i = 0; i < faults; i++, token += 1 + any_of(b, 8)) {
        const struct source_token *t = &s->tokens[token];
        buf_add(out, s->bytes + from, t->off - from);
        if (any_of(b, 3))
            buf_puts(out, signs[any_of(b, sizeof signs / sizeof *signs)]);
        from = t->off + (any_of(b, 2) ? t->len : 0);
    }
    buf_puts(out, s->bytes + from);
}

/* A line without a fault is taken at once, and a file is matched while it is parsed. What is found,
 * and what of two faults of a line is told, is the same as where the grammar sees each token, and
 * where all of it is parsed first. */
static void read_line_by_line(void **state)
{
    (void)state;
    enum { TEXTS = 500 };
    struct bench b = {.seed = 1918};
    struct buf text = {0};
    struct plan whole;
    unsigned found = 0;
    b.names.arena = &b.arena;
    b.language = language_new(&b.arena, &b.names);
    assert_true(file_read(&text, "examples/studio/first-draft.bay", 1 << 24));
    read_into(&b, &whole, buf_text(&text), text.n);
    for (unsigned i = 0; i < TEXTS; i++) {
        struct buf bad = {0}, at_once = {0}, kept = {0}, passed = {0}, by_tokens = {0};
        struct plan p;
        damage_together(&b, &bad, &whole.source);
        read_into(&b, &p, buf_text(&bad), bad.n);
        assert_items_cover(&p.source, p.tree.first);
        diag_text(&p.diag, &at_once, (struct diag_style){0});
        found += p.diag.findings.n > 0;
        findings_as_read(&b, &bad, true, &kept);
        findings_as_read(&b, &bad, false, &passed);
        findings_by_tokens(&b, &bad, &by_tokens);
        assert_string_equal(buf_text(&at_once), buf_text(&by_tokens));
        assert_string_equal(buf_text(&at_once), buf_text(&kept));
        assert_string_equal(buf_text(&at_once), buf_text(&passed));
        buf_free(&bad);
        buf_free(&at_once);
        buf_free(&kept);
        buf_free(&passed);
        buf_free(&by_tokens);
        arena_free(&p.arena);
    }
    printf("read line by line: %u of %u texts with findings\n", found, (unsigned)TEXTS);
    assert_true(found > TEXTS / 2);
    arena_free(&whole.arena);
    arena_free(&b.arena);
    buf_free(&text);
}

/* How many findings a text gives. */
static unsigned findings_of(struct bench *b, struct buf *text)
{
    struct plan p;
    read_into(b, &p, buf_text(text), text->n);
    unsigned n = p.diag.findings.n;
    arena_free(&p.arena);
    buf_free(text);
    return n;
}

/* Two damages, each of which gives one finding alone. */
static void damage_twice(struct bench *b, const struct source *s, uint32_t token, uint32_t apart,
                         unsigned *tried, unsigned *told)
{
    struct buf first = {0}, second = {0}, both = {0};
    enum damage how = (enum damage)any_of(b, DAMAGES), then = (enum damage)any_of(b, DAMAGES);
    const struct source_token *one = &s->tokens[token], *two = &s->tokens[token + apart];
    uint64_t seed = b->seed;
    bool changed = damage(b, &first, s, token, how) & damage(b, &second, s, token + apart, then);
    b->seed = seed;
    buf_add(&both, s->bytes, one->off);
    damage_token(b, &both, s, token, how);
    buf_add(&both, s->bytes + one->off + one->len, two->off - one->off - one->len);
    damage_token(b, &both, s, token + apart, then);
    buf_puts(&both, s->bytes + two->off + two->len);
    unsigned alone = findings_of(b, &first), alone_too = findings_of(b, &second),
             together = findings_of(b, &both);
    if (changed && alone == 1 && alone_too == 1) {
        ++*tried;
        *told += together == 2;
    }
}

/* One fault does not hide another some lines on. */
static void two_faults_two_findings(void **state)
{
    (void)state;
    struct bench b = {.seed = 4711};
    struct buf text = {0};
    struct plan whole;
    unsigned tried = 0, told = 0;
    b.names.arena = &b.arena;
    b.language = language_new(&b.arena, &b.names);
    assert_true(file_read(&text, "examples/studio/studio.bay", 1 << 24));
    read_into(&b, &whole, buf_text(&text), text.n);
    for (uint32_t i = 0; i + 80 < whole.source.token_count - 1; i++)
        damage_twice(&b, &whole.source, i, 40 + any_of(&b, 40), &tried, &told);
    printf("two faults: %u pairs, both told and nothing else in %.1f %%\n", tried,
           100.0 * told / tried);
    assert_true(tried > 500);
    assert_true(told >= 0.95 * tried);
    arena_free(&whole.arena);
    arena_free(&b.arena);
    buf_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(one_fault_one_finding),
                                       cmocka_unit_test(two_faults_two_findings),
                                       cmocka_unit_test(read_line_by_line)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

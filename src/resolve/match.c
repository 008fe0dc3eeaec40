#include "resolve/match.h"

#include "diag/diag.h"
#include "resolve/matcher.h"
#include "resolve/node.h"
#include "syntax/tree.h"

#include <string.h>

static struct node *node_new(struct matcher *m, enum form_id form, struct node *parent,
                             const struct stmt *s)
{
    struct node *n = arena_new(m->nodes, struct node);
    n->form = form;
    n->source = m->source;
    n->first = s->first;
    n->last = s->last;
    n->parent = parent;
    return n;
}

static void match_block(struct matcher *m, struct node *owner, struct stmt *first);

/* Whether a word may be a slip of another: about as long, and alike at one end. Nearly all are
 * none, and the line need not be read for them. */
static bool may_be_slip(const char *word, const char *meant)
{
    enum { MOST_LOST = 2 };
    size_t n = strlen(word), k = strlen(meant);
    return k && k <= n + MOST_LOST && n <= k + MOST_LOST &&
           (*meant == *word || meant[k - 1] == word[n - 1]);
}

static bool may_be_slip_here(struct matcher *m, enum form_id owner, const char *word)
{
    for (uint32_t i = 0; i < m->language->words_in[owner].n; i++)
        if (may_be_slip(word, m->language->words_in[owner].at[i]))
            return true;
    return false;
}

/* Of the other words that begin statements there the nearest whose line it is, or NULL. */
static const char *word_of_line(struct matcher *m, enum form_id owner, const struct stmt *s,
                                const char *word)
{
    enum { MOST_FIT = 16 };
    const char *fit[MOST_FIT];
    uint32_t n = 0;
    for (uint32_t i = 0; i < m->language->words_in[owner].n && n < MOST_FIT; i++) {
        const char *w = m->language->words_in[owner].at[i];
        enum form_id id = language_in_block(m->language, owner, w);
        struct node line = {.form = id, .source = m->source, .word = w};
        if (w != word && may_be_slip(word, w) && match_line_as(m, &line, s, 1, true))
            fit[n++] = w;
    }
    return diag_meant(m->diag, word, fit, n);
}

/* The word that was meant by the first one of a statement: of those near to it one whose line it
 * is, else the nearest. */
static const char *first_word_meant(struct matcher *m, enum form_id owner, const struct stmt *s,
                                    const char *word)
{
    const char *near = word_of_line(m, owner, s, word);
    return near ? near
                : diag_meant(m->diag, word, m->language->words_in[owner].at,
                             m->language->words_in[owner].n);
}

static struct finding *say_unknown(struct matcher *m, const struct node *owner,
                                   const struct stmt *s)
{
    struct value_reader r = match_reader(m, s);
    const char *word = item_word(&r, 0);
    const char *place = owner->form == F_FILE
                            ? "at the top of a plan"
                            : arena_printf(m->diag->arena, "in a block of '%s'", owner->word);
    struct finding *f = diag_syntax(m->diag, &rule_syntax, item_span(&r, 0),
                                    word ? "'%s' begins no statement %s"
                                         : "a statement begins with a word; %s cannot stand %s",
                                    word ? word : item_text(&r, 0), place);
    const char *near = f && word ? first_word_meant(m, owner->form, s, word) : NULL;
    if (near)
        diag_mend_word(m->diag, f, near);
    return f;
}

static enum form_id form_for(struct matcher *m, const struct node *owner, const char *word)
{
    enum form_id id = word ? language_in_block(m->language, owner->form, word) : FORM_COUNT;
    if (id == FORM_COUNT && word)
        id = language_in_block(m->language, owner->form, m->language->any);
    if (id == FORM_COUNT)
        id = language_in_block(m->language, owner->form, m->language->bare);
    return id;
}

static struct span span_of_line(const struct matcher *m, const struct stmt *s)
{
    return token_span(m->source, s->first, s->last);
}

/* "breaker 20 A { afci }": what stands in the block may stand on the line. */
static void mend_block(struct matcher *m, struct finding *f, const struct node *n,
                       const struct stmt *s)
{
    enum { MOST_WORDS = 4 };
    struct span line = span_of_line(m, s);
    const char *whole =
        arena_printf(m->diag->arena, "%.*s", (int)line.len, line.source->bytes + line.off);
    uint32_t count = 0;
    for (const struct stmt *c = s->child; c; c = c->next, count++) {
        struct value_reader r = match_reader(m, c);
        const char *word = c->item_count ? item_word(&r, 0) : NULL;
        if (count == MOST_WORDS || c->has_block || !word ||
            language_on_line(m->language, n->form, word) == FORM_COUNT)
            return;
        line = span_of_line(m, c);
        whole = arena_printf(m->diag->arena, "%s %.*s", whole, (int)line.len,
                             line.source->bytes + line.off);
    }
    if (count)
        diag_mend(m->diag, f, "it stands on the line: write '%s'", whole);
}

static void check_block(struct matcher *m, struct node *n, const struct stmt *s)
{
    const struct form *f = form_of(m, n->form);
    if (f->must_block && !s->has_block && !n->broken) {
        diag_syntax(m->diag, &rule_syntax, node_span(n),
                    "'%s' wants a block in braces: what belongs to it", n->word);
        n->broken = true;
    } else if (!f->may_block && s->has_block && !n->broken) {
        n->parent->lost = true;
        struct finding *found =
            diag_syntax(m->diag, &rule_syntax, token_span(m->source, s->open, s->open),
                        "'%s' has no block", n->word ? n->word : "this line");
        mend_block(m, found, n, s);
        n->broken = true;
    }
}

/* A statement whose word is unknown: reported, then read as what it most likely was meant to be. */
static struct node *match_unknown(struct matcher *m, struct node *owner, const struct stmt *s)
{
    uint32_t from = 1;
    struct finding *f = m->guessed ? NULL : say_unknown(m, owner, s);
    enum form_id id = match_guess(m, owner->form, s, &from);
    owner->lost |= id == FORM_COUNT || !form_of(m, id)->names ||
                   !s->has_block; /* without a block a guess may well be wrong */
    if (id == FORM_COUNT)
        return NULL;
    if (f && !f->mend && from == 0)
        diag_mend(m->diag, f, "begin it with '%s'", form_of(m, id)->word);
    struct node *n = node_new(m, id, owner, s);
    n->word = form_of(m, id)->word;
    match_line_as(m, n, s, from, true);
    n->broken = true;
    return n;
}

/* A line that does not fit may still say what it declares behind what is too much in it: "box 5' R1
 * south". */
static void find_name(struct matcher *m, struct node *n, const struct stmt *s, uint32_t at)
{
    if (!form_of(m, n->form)->names || node_value(n, 0))
        return;
    for (uint32_t more = 1; more <= 2 && at + more < s->item_count && !node_value(n, 0); more++)
        match_line_as(m, n, s, at + more, true);
}

/* Reads the statement as one of another form if its block says so: "leg level upper { floor 10' }".
 */
static bool match_other(struct matcher *m, struct node *n, const struct stmt *s)
{
    uint32_t from = 1;
    enum form_id id = match_guess(m, n->parent->form, s, &from);
    if (id == FORM_COUNT || id == n->form || match_block_votes(m, id, s) <= 0)
        return false;
    n->form = id;
    n->word = form_of(m, id)->word;
    match_line_as(m, n, s, from, true);
    return true;
}

/* Whether the block of a statement holds nothing that its form has, though it holds several things.
 */
static bool strange_block(struct matcher *m, enum form_id form, const struct stmt *s)
{
    const struct language *l = m->language;
    bool takes_any = language_in_block(l, form, l->any) != FORM_COUNT ||
                     language_in_block(l, form, l->bare) != FORM_COUNT;
    return s->has_block && s->child && s->child->next && !takes_any &&
           match_block_votes(m, form, s) <= -2;
}

/* A line that fits its word, with a block that does not: the word is the fault. */
static void check_word(struct matcher *m, struct node *n, const struct stmt *s)
{
    const char *word = n->word;
    if (!word || !strange_block(m, n->form, s) || !match_other(m, n, s))
        return;
    n->broken = true;
    struct span at = token_span(m->source, s->first, s->first);
    struct finding *f =
        diag_syntax(m->diag, &rule_syntax, at,
                    "what stands in this block belongs to '%s', not to '%s'", n->word, word);
    diag_mend_word(m->diag, f, n->word);
}

/* A line that begins with a name of the plan's own, and is no line of such a name, but one of a
 * word that is near to it: "hods 4 of 14". */
static bool is_misspelt(struct matcher *m, const struct node *owner, enum form_id id,
                        const struct stmt *s)
{
    const char *word = item_word(&m->reader, 0);
    bool bare = form_of(m, id)->word == m->language->bare;
    if (!word || s->broken || (form_of(m, id)->word != m->language->any && !bare) ||
        !may_be_slip_here(m, owner->form, word))
        return false;
    const char *near = diag_meant(m->diag, word, m->language->words_in[owner->form].at,
                                  m->language->words_in[owner->form].n);
    enum form_id meant = near ? language_in_block(m->language, owner->form, near) : FORM_COUNT;
    if (meant == FORM_COUNT || meant == id || near == m->language->any)
        return false;
    struct node n = {.form = id, .source = m->source, .word = word};
    if (match_line_as(m, &n, s, !bare, true))
        return false;
    n.form = meant;
    return match_line_as(m, &n, s, 1, true);
}

/* A line that does not fit for one misspelt word: what was said of it is said of that word. `said`:
 * the findings before it was read. */
static void say_slip(struct matcher *m, struct node *n, const struct stmt *s, uint32_t at,
                     uint32_t said)
{
    uint32_t where;
    const char *meant;
    finding_list *all = &m->diag->findings;
    struct finding *f = all->n > said ? &all->at[all->n - 1] : NULL;
    if (!f || f->rule != &rule_syntax)
        return;
    if (!match_find_slip(m, n, s, at, &where, &meant)) {
        meant = at ? word_of_line(m, n->parent->form, s, n->word) : NULL;
        match_line_as(m, n, s, at, true); /* as it was */
        where = 0;
        if (!meant)
            return;
    }
    f->span = item_span(&m->reader, where);
    f->message =
        arena_printf(m->diag->arena, "expected '%s', not %s", meant, item_text(&m->reader, where));
    diag_mend_word(m->diag, f, meant);
}

static struct node *match_known(struct matcher *m, struct node *owner, enum form_id id,
                                struct stmt *s, struct stmt *rest)
{
    const char *word = form_of(m, id)->word != m->language->bare ? item_word(&m->reader, 0) : NULL;
    uint32_t at = word != NULL;
    if (is_misspelt(m, owner, id, s))
        return match_unknown(m, owner, s);
    struct node *n = node_new(m, id, owner, s);
    n->word = word;
    n->broken = s->broken;
    uint32_t said = m->diag->findings.n;
    if (match_line_as(m, n, s, at, s->broken)) {
        if (!m->guessed)
            check_word(m, n, s);
        return n;
    }
    n->broken = true;
    say_slip(m, n, s, at, said);
    const char *fault = item_word(&m->reader, m->at);
    owner->lost |= fault && m->at > at &&
                   language_in_block(m->language, owner->form, fault) !=
                       FORM_COUNT; /* a ';' is missing: the rest is another clause */
    if (match_split(m, owner->form, s, m->at, rest))
        n->last = s->last;
    bool other =
        s->has_block && s->child && match_block_votes(m, n->form, s) <= 0 && match_other(m, n, s);
    if (!other)
        find_name(m, n, s, at);
    return n;
}

/* One statement with its block; what turns out to be a statement of its own on its line comes back
 * in `rest`. */
static void match_statement(struct matcher *m, struct node *owner, struct stmt *s,
                            struct stmt *rest)
{
    m->reader = match_reader(m, s);
    enum form_id id = form_for(m, owner, item_word(&m->reader, 0));
    struct node *n =
        id == FORM_COUNT ? match_unknown(m, owner, s) : match_known(m, owner, id, s, rest);
    if (!n)
        return;
    match_attach(owner, n);
    check_block(m, n, s);
    match_once(m, m->level, owner, n);
    if (s->has_block && form_of(m, n->form)->may_block) {
        bool guessed = m->guessed;
        m->guessed |= n->form != id;
        m->level++;
        match_block(m, n, s->child);
        m->level--;
        m->guessed = guessed;
    }
    if (n->form == F_BOXES)
        rows_spread(m, owner);
}

static void match_block(struct matcher *m, struct node *owner, struct stmt *first)
{
    for (struct stmt *s = first; s; s = s->next) {
        if (diag_is_full(m->diag, &rule_syntax)) { /* nothing that is wrong with it can be told */
            owner->lost = true;
            return;
        }
        if (!s->item_count) { /* a block without a statement before it, reported by the parser: what
                                 is in it is still there */
            match_block(m, owner, s->child);
            continue;
        }
        struct stmt one = *s, rest = {0};
        for (; one.item_count; one = rest, rest = (struct stmt){0})
            match_statement(m, owner, &one, &rest);
    }
}

static struct node *begin_file(struct matcher *m, struct diag *diag, struct names *names,
                               struct arena *nodes, const struct language *language,
                               struct source *source)
{
    *m = (struct matcher){
        .diag = diag, .nodes = nodes, .language = language, .names = names, .source = source};
    m->spare = arena_array(diag->arena, struct value, MOST_VALUES);
    struct node *file = arena_new(diag->arena, struct node);
    file->source = source;
    file->word = language->bare;
    return file;
}

struct node *match_file(struct diag *diag, struct names *names, const struct language *language,
                        const struct tree *tree)
{
    struct matcher m;
    struct node *file = begin_file(&m, diag, names, diag->arena, language, tree->source);
    file->broken = tree->refused;
    match_block(&m, file, tree->first);
    return file;
}

struct matching {
    struct matcher m;
    struct node *file;
    bool keep;
};

static void match_next(void *data, struct stmt *first)
{
    struct matching *on = data;
    on->m.part++;
    on->m.words_of = NULL; /* other items lie now where those of the last statement lay */
    match_block(&on->m, on->file, first);
    if (on->keep)
        return;
    on->file->child = on->file->last_child = NULL;
    arena_reset(on->m.nodes);
}

struct node *match_source(struct diag *diag, struct names *names, struct arena *scratch,
                          const struct language *language, struct source *source, bool keep)
{
    struct arena passing = {.out_of_memory = diag->arena->out_of_memory};
    struct matching on = {.keep = keep};
    on.file = begin_file(&on.m, diag, names, keep ? diag->arena : &passing, language, source);
    on.file->broken = !parse_each(diag, scratch, source, match_next, &on);
    arena_free(&passing);
    return on.file;
}

/* What a broken statement was meant to be, so that what it declares is not lost and the lines round
 * it are read as they are. */
#include "diag/diag.h"
#include "resolve/matcher.h"
#include "resolve/node.h"
#include "syntax/tree.h"

enum { MOST_LOOKED_AT = 8 };

static const char *word_at(struct matcher *m, const struct stmt *s, uint32_t at)
{
    struct value_reader r = {
        .names = m->names, .source = m->source, .items = s->items, .count = s->item_count};
    return item_word(&r, at);
}

/* --- a statement whose word is unknown ---------------------------------------------------- */

int match_block_votes(struct matcher *m, enum form_id form, const struct stmt *s)
{
    int votes = 0, looked_at = 0;
    for (const struct stmt *c = s->child; c && looked_at < MOST_LOOKED_AT;
         c = c->next, looked_at++) {
        const char *word = word_at(m, c, 0);
        votes += word && language_in_block(m->language, form, word) != FORM_COUNT ? 1 : -1;
    }
    return votes;
}

/* How far a form matches the items from `at` on; a whole line counts most. */
static int votes_of_line(struct matcher *m, enum form_id form, const struct stmt *s, uint32_t at)
{
    struct node n = {.form = form, .source = m->source, .word = form_of(m, form)->word};
    bool fits = match_line_as(m, &n, s, at, true);
    uint32_t taken = m->at > at ? m->at - at : 0;
    return (int)(taken < MOST_LOOKED_AT ? taken : MOST_LOOKED_AT) + (fits ? MOST_LOOKED_AT : 0);
}

/* How well `s` would be a statement of this form: by the words of its block, by its line with the
 * first word replaced or missing, by a word near to its own, by the right word in second place. */
static int votes_for(struct matcher *m, enum form_id form, const struct stmt *s, const char *near,
                     uint32_t *from)
{
    const struct form *f = form_of(m, form);
    int votes = s->has_block ? 3 * match_block_votes(m, form, s) : 0;
    *from = 1;
    if (f->word == near)
        votes += MOST_LOOKED_AT;
    if (f->word == word_at(m, s, 1)) {
        *from = 2;
        return votes + 4 * MOST_LOOKED_AT;
    }
    int replaced = votes_of_line(m, form, s, 1), missing = votes_of_line(m, form, s, 0);
    if (missing > replaced)
        *from = 0;
    return votes + (missing > replaced ? missing : replaced);
}

/* Names joined by an arrow are a run, with or without its word. */
static bool is_chain(struct matcher *m, const struct stmt *s)
{
    struct value_reader r = match_reader(m, s);
    for (uint32_t i = 0; i < s->item_count; i++)
        if (item_sign(&r, i) == T_ARROW)
            return true;
    return false;
}

enum form_id match_guess(struct matcher *m, enum form_id owner, const struct stmt *s,
                         uint32_t *from)
{
    const struct language *l = m->language;
    const char *word = word_at(m, s, 0);
    const char *near =
        word ? diag_meant(m->diag, word, l->words_in[owner].at, l->words_in[owner].n) : NULL;
    enum form_id best = FORM_COUNT;
    int most = 1;
    for (uint32_t i = 0; i < l->words_in[owner].n; i++) {
        const char *w = l->words_in[owner].at[i];
        enum form_id id = language_in_block(l, owner, w);
        const struct form *f = form_of(m, id);
        bool worth = f->names || s->has_block || w == near || (id == F_RUN && is_chain(m, s));
        if (!worth || w == l->any || w == l->bare || (s->has_block ? !f->may_block : f->must_block))
            continue;
        uint32_t at;
        int votes = votes_for(m, id, s, near, &at);
        if (votes > most) {
            most = votes;
            best = id;
            *from = at;
        }
    }
    return best;
}

/* --- two statements that were read as one ------------------------------------------------- */

static bool begins_line(const struct matcher *m, const struct item *item)
{
    return m->source->tokens[item->first].flags & TOKEN_NEWLINE;
}

static bool begins_statement(struct matcher *m, enum form_id owner, const struct stmt *s,
                             uint32_t at)
{
    const char *word = word_at(m, s, at);
    return word && language_in_block(m->language, owner, word) != FORM_COUNT;
}

bool match_split(struct matcher *m, enum form_id owner, struct stmt *s, uint32_t fault,
                 struct stmt *rest)
{
    for (uint32_t at = 1; at < s->item_count && at <= fault + 1; at++) {
        if (!begins_line(m, &s->items[at]))
            continue;
        uint32_t start =
            at + (s->items[at].kind ==
                  ITEM_TOKEN); /* behind the sign that joined the line to the one before */
        if (!begins_statement(m, owner, s, start))
            continue;
        *rest = *s;
        rest->items += start;
        rest->item_count -= start;
        rest->first = rest->items[0].first;
        s->item_count = at;
        s->last = s->items[at - 1].last;
        s->has_block = false;
        s->child = s->last_child = NULL;
        return true;
    }
    return false;
}

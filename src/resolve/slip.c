/* One word of a line that is a slip of a word which its form has: with that in its place the line
 * fits. What is wrong is said of the word, not of the place where the reading ended. */
#include "diag/diag.h"
#include "resolve/matcher.h"
#include "resolve/node.h"
#include "syntax/tree.h"

#include <string.h>

/* How many items are looked at, each by reading the line anew, from a little behind the fault:
 * where one alternative ends another went on. */
enum { MOST_TRIED = 10, BEHIND = 2, SHORTEST_WORD = 2 };

typedef VEC(const char *) word_list;

static void add_words(struct matcher *m, word_list *list, enum form_id form)
{
    const struct form *f = form_of(m, form);
    for (uint8_t i = 0; i < f->pattern_count; i++)
        for (const struct step *s = f->patterns[i].steps; s->kind != STEP_END; s++)
            for (uint8_t c = 0; c < s->choice_count; c++)
                *vec_push(m->diag->arena, list) = s->choices[c];
    for (uint32_t i = 0; i < m->language->words_on[form].n; i++)
        *vec_push(m->diag->arena, list) = m->language->words_on[form].at[i];
}

/* What is meant by the word of an item; NULL where it is near to none of them, or one of them. */
static const char *meant_at(struct matcher *m, const word_list *words, uint32_t at)
{
    const char *word = item_word(&m->reader, at);
    if (!word || strlen(word) < SHORTEST_WORD)
        return NULL;
    for (uint32_t i = 0; i < words->n; i++)
        if (words->at[i] == word)
            return NULL;
    return diag_meant(m->diag, word, words->at, words->n);
}

bool match_find_slip(struct matcher *m, struct node *n, const struct stmt *s, uint32_t at,
                     uint32_t *where, const char **meant)
{
    word_list words = {0};
    uint32_t fault = m->at + BEHIND < s->item_count ? m->at + BEHIND : s->item_count - 1;
    for (unsigned d = 0; d < m->depth; d++)
        add_words(m, &words, m->on_line[d]->form);
    bool found = false;
    for (uint32_t i = 0; i < MOST_TRIED && at + i <= fault && !found; i++) {
        const char *word = meant_at(m, &words, fault - i);
        const char **read = word ? &m->reader.words[fault - i] : NULL;
        if (!word)
            continue;
        const char *written = *read;
        *read = word;
        found = match_line_as(m, n, s, at, true);
        *read = written;
        *where = fault - i;
        *meant = word;
    }
    match_line_as(m, n, s, at, true); /* as it was */
    return found;
}

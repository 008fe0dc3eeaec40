/* The circuit directory: directory-vague, directory-duplicate. A circuit's text is what is written in the door of the panel. The words stand in the library. */
#include "rules/check.h"

#include <string.h>

/* Letters and digits of the text; bytes of other alphabets are letters. */
static bool is_letter(char ch)
{
    return (ch >= 'a' && ch <= 'z') || (ch >= 'A' && ch <= 'Z') || (unsigned char)ch >= 0x80;
}

static bool is_digit(char ch)
{
    return ch >= '0' && ch <= '9';
}

/* The next word of a text in small letters, digits not among them; NULL at its end. Moves *at behind it. */
static const char *next_word(struct arena *arena, const char **at)
{
    const char *p = *at;
    while (*p && !is_letter(*p))
        p++;
    const char *start = p;
    while (is_letter(*p))
        p++;
    *at = p;
    if (p == start)
        return NULL;
    char *word = arena_copy(arena, start, (size_t)(p - start));
    for (char *w = word; *w; w++)
        *w = *w >= 'A' && *w <= 'Z' ? (char)(*w + 32) : *w;
    return word;
}

/* Whether any word of a text (or each, where `each`) stands in a list; a text without a word has none. */
static bool words_in(const struct checked *c, const char *text, const char *list, bool each)
{
    bool some = false;
    for (const char *word, *at = text; (word = next_word(c->model->arena, &at));) {
        bool has = code_list_has(&c->model->code, list, word);
        if (has != each)
            return has;
        some = true;
    }
    return each && some;
}

/* An apostrophe, straight or typographic, after a letter and before an s: "Bobby's room". */
static bool names_somebody(const char *text)
{
    for (const char *p = text; *p; p++) {
        size_t mark = *p == '\'' ? 1 : !strncmp(p, "\xe2\x80\x99", 3) ? 3 : 0;
        if (mark && p > text && is_letter(p[-1]) && (p[mark] == 's' || p[mark] == 'S') && !is_letter(p[mark + 1]))
            return true;
    }
    return false;
}

static struct span title_span(const struct circuit *circuit)
{
    const struct node *n = circuit->node;
    return n->text ? token_span(n->source, n->text_token, n->text_token) : circuit_span(circuit);
}

/* A breaker with nothing behind it. */
static bool is_spare(const struct circuit *circuit)
{
    return !circuit->runs.n && !circuit->parts.n && !circuit->existing;
}

static const char *why_vague(const struct checked *c, const struct circuit *circuit)
{
    const char *title = circuit->node->text;
    if (!title)
        return "has no text for the directory of its panel";
    if (is_spare(circuit) && !words_in(c, title, "spare-words", false))
        return "has nothing behind its breaker, and its text does not say so";
    if (names_somebody(title))
        return "is named for somebody, who may move";
    const char *at = title;
    if (!next_word(c->model->arena, &at) || (!is_spare(circuit) && words_in(c, title, "vague-words", true)))
        return "has a text that could be any circuit's";
    return NULL;
}

static bool is_listed(const struct circuit *circuit)
{
    return circuit->panel && circuit->node && !circuit->feeds && !circuit->broken && !node_broken(circuit->node);
}

void check_directory_words(const struct checked *c)
{
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit *circuit = c->model->circuits.at[i];
        const char *why = is_listed(circuit) ? why_vague(c, circuit) : NULL;
        if (!why)
            continue;
        struct finding *f = circuit_finding(c, R_DIRECTORY_VAGUE, circuit, title_span(circuit), "%s %s", circuit_words(c, circuit), why);
        if (is_spare(circuit))
            diag_mend(c->model->diag, f, "\"Spare\"");
        else
            diag_mend(c->model->diag, f, "say what it serves and where, as in \"Kitchen counter by the sink\"");
    }
}

/* The words and numbers of a text, one blank between. */
static const char *folded_title(const struct checked *c, const char *title)
{
    char *folded = arena_copy(c->model->arena, title, strlen(title)), *to = folded;
    for (const char *p = folded; *p; p++) {
        if (is_letter(*p) || is_digit(*p))
            *to++ = *p >= 'A' && *p <= 'Z' ? (char)(*p + 32) : *p;
        else if (to > folded && to[-1] != ' ')
            *to++ = ' ';
    }
    while (to > folded && to[-1] == ' ')
        to--;
    *to = '\0';
    return names_of(c->model->names, folded);
}

void check_directory_doubles(const struct checked *c)
{
    struct model *m = c->model;
    struct map seen = {0};
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *circuit = m->circuits.at[i];
        if (!is_listed(circuit) || !circuit->node->text || is_spare(circuit))
            continue;
        void **at = map_at(m->arena, &seen, (uintptr_t)circuit->panel, (uintptr_t)folded_title(c, circuit->node->text));
        if (!*at) {
            *at = (void *)circuit;
            continue;
        }
        const struct circuit *first = *at;
        struct finding *f = circuit_finding(c, R_DIRECTORY_DUPLICATE, circuit, title_span(circuit), "%s has the same text in the directory as %s", circuit_words(c, circuit),
                                            circuit_words(c, first));
        diag_note(m->diag, f, title_span(first), "the same text");
        diag_mend(m->diag, f, "say what sets them apart");
    }
}

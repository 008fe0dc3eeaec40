#include "resolve/language.h"

#include <string.h>

struct row {
    const char *owners, *place, *word, *pattern, *flags, *doc;
};

#define B  "B"
#define L  "L"
#define BL "BL"
static const struct row rows[FORM_COUNT] = {
    {"", "", "", "", "", "a file"},
#define FORM(id, owners, place, word, pattern, flags, doc)                                         \
    {owners, place, word, pattern, flags, doc},
#include "statements.def"
#undef FORM
};
#undef B
#undef L
#undef BL

static const char *const form_names[FORM_COUNT] = {
    "FILE",
#define FORM(id, owners, place, word, pattern, flags, doc) #id,
#include "statements.def"
#undef FORM
};

static const struct capture_row {
    const char *name, *words;
} capture_rows[CAPTURE_COUNT] = {
    {"", ""},
#define CAPTURE(id, name, words) {name, words},
#include "resolve/captures.def"
#undef CAPTURE
};

enum capture language_capture(const struct language *l, enum form_id form, unsigned alternative,
                              unsigned slot)
{
    const struct form *f = &l->forms[form];
    const struct step *s = alternative < f->pattern_count ? f->patterns[alternative].steps : NULL;
    for (; s && s->kind != STEP_END; s++)
        if (s->kind == STEP_CAPTURE && s->slot == slot)
            return s->capture;
    return C_NONE;
}

const char *resolve_capture_words(enum capture c)
{
    return capture_rows[c].words;
}

static enum capture capture_named(const char *p, size_t len)
{
    int c = CAPTURE_COUNT - 1;
    while (c > 0 && (strncmp(capture_rows[c].name, p, len) || capture_rows[c].name[len]))
        c--;
    return (enum capture)c;
}

/* The language while it is made. */
struct making {
    struct language *l;
    struct arena *arena;
    struct names *names;
};

/* Reads one pattern of the table: words and signs parted by blanks. */
struct pattern_reader {
    const struct making *m;
    VEC(struct step) steps;
    uint32_t open[4], depth;
    uint8_t slots;
};

static struct step *add_step(struct pattern_reader *r, enum step_kind kind)
{
    struct step *s = vec_push(r->m->arena, &r->steps);
    memset(s, 0, sizeof *s);
    s->kind = kind;
    return s;
}

static void read_words(struct pattern_reader *r, const char *p, size_t len)
{
    struct step *s = add_step(r, STEP_WORD);
    s->choices = arena_array(r->m->arena, const char *, len / 2 + 1);
    for (const char *end = p + len; p < end;) {
        const char *bar = memchr(p, '|', (size_t)(end - p));
        const char *to = bar ? bar : end;
        s->choices[s->choice_count++] = names_intern(r->m->names, p, (size_t)(to - p));
        p = to + (bar != NULL);
    }
    if (s->choice_count > 1)
        s->slot = r->slots++;
}

static void read_element(struct pattern_reader *r, const char *p, size_t len)
{
    if (len == 1 && *p == '[') {
        r->open[r->depth++] = r->steps.n;
        add_step(r, STEP_OPTION);
    } else if (len == 1 && *p == ']') {
        uint32_t start = r->open[--r->depth];
        r->steps.at[start].skip = (uint16_t)(r->steps.n - start);
    } else if (*p == '<') {
        struct step *s = add_step(r, STEP_CAPTURE);
        size_t close = (size_t)((const char *)memchr(p, '>', len) - p);
        s->capture = capture_named(p + 1, close - 1);
        s->repeats = len > close + 1;
        s->slot = r->slots;
        r->slots += s->capture == C_WHERE ? 3 : s->capture == C_WHAT ? 2 : 1;
    } else if (len == 1 && strchr(",:+", *p)) {
        add_step(r, STEP_SIGN)->sign = *p == ',' ? T_COMMA : *p == ':' ? T_COLON : T_PLUS;
    } else {
        read_words(r, p, len);
    }
}

static struct pattern read_pattern(const struct making *m, const char *p, const char *end)
{
    struct pattern_reader r = {.m = m};
    while (p < end) {
        size_t len = strcspn(p, " ");
        if (p + len > end)
            len = (size_t)(end - p);
        /* Brackets stand beside their words in the table: "[up <len>]". */
        size_t at = 0;
        while (at < len && p[at] == '[')
            read_element(&r, p + at++, 1);
        size_t stop = len;
        while (stop > at && p[stop - 1] == ']')
            stop--;
        if (stop > at)
            read_element(&r, p + at, stop - at);
        for (; stop < len; stop++)
            read_element(&r, "]", 1);
        p += len;
        p += strspn(p, " ");
    }
    add_step(&r, STEP_END);
    return (struct pattern){r.steps.at, r.slots};
}

static void read_patterns(const struct making *m, struct form *f, const char *text)
{
    f->patterns = arena_array(m->arena, struct pattern, 8);
    for (;;) {
        const char *slash = strstr(text, " / ");
        f->patterns[f->pattern_count++] =
            read_pattern(m, text, slash ? slash : text + strlen(text));
        if (!slash)
            return;
        text = slash + 3;
    }
}

/* The forms by the names that they have in the table, while it is read. */
struct form_index {
    struct arena scratch;
    struct names names;
    struct map forms; /* (0, name) -> one of form_names */
};

static void index_forms(struct form_index *index)
{
    index->names.arena = &index->scratch;
    map_reserve(&index->scratch, &index->forms, FORM_COUNT);
    for (int id = 0; id < FORM_COUNT; id++)
        map_file(&index->scratch, &index->forms, 0, names_of(&index->names, form_names[id]),
                 (void *)&form_names[id]);
}

static int owner_named(struct form_index *index, const char *p, size_t len)
{
    const char *const *name = map_find(&index->forms, 0, names_intern(&index->names, p, len));
    return name ? (int)(name - form_names) : -1;
}

static void place_in(const struct making *m, enum form_id id, int owner)
{
    struct language *l = m->l;
    struct form *f = &l->forms[id];
    if (owner < 0)
        return;
    if (f->in_block) {
        map_put(m->arena, &l->in_block, (uintptr_t)owner + 1, (uintptr_t)f->word, f);
        *vec_push(m->arena, &l->words_in[owner]) = f->word;
        if (f->names)
            *vec_push(m->arena, &l->named_in[owner]) = (uint16_t)id;
    }
    if (f->on_line) {
        map_put(m->arena, &l->on_line, (uintptr_t)owner + 1, (uintptr_t)f->word, f);
        *vec_push(m->arena, &l->words_on[owner]) = f->word;
    }
}

static void read_form(const struct making *m, struct form_index *index, enum form_id id)
{
    const struct row *row = &rows[id];
    struct form *f = &m->l->forms[id];
    *f = (struct form){.word = names_of(m->names, row->word),
                       .doc = row->doc,
                       .source = row->pattern,
                       .on_line = strchr(row->place, 'L') != NULL,
                       .in_block = strchr(row->place, 'B') != NULL,
                       .text = strchr(row->flags, 'T') != NULL,
                       .names = strchr(row->flags, 'N') != NULL,
                       .repeats = strchr(row->flags, 'R') != NULL,
                       .must_block = strchr(row->flags, 'M') != NULL,
                       .flag = strchr(row->flags, 'Y') != NULL,
                       .along_wall = strchr(row->flags, 'W') != NULL};
    f->may_block = f->must_block || strchr(row->flags, 'K');
    read_patterns(m, f, row->pattern);
    for (const char *p = row->owners; *p;) {
        size_t len = strcspn(p, " ");
        place_in(m, id, owner_named(index, p, len));
        p += len;
        p += strspn(p, " ");
    }
}

const struct language *language_new(struct arena *arena, struct names *names)
{
    struct language *l = arena_new(arena, struct language);
    struct making m = {l, arena, names};
    l->any = names_of(names, "*");
    l->bare = names_of(names, "");
    struct form_index index = {.scratch = {.out_of_memory = arena->out_of_memory}};
    index_forms(&index);
    for (int id = 0; id < FORM_COUNT; id++)
        read_form(&m, &index, (enum form_id)id);
    arena_free(&index.scratch);
    return l;
}

static enum form_id find(const struct language *l, const struct map *m, enum form_id owner,
                         const char *word)
{
    const struct form *f = map_get(m, (uintptr_t)owner + 1, (uintptr_t)word);
    return f ? (enum form_id)(f - l->forms) : FORM_COUNT;
}

enum form_id language_in_block(const struct language *l, enum form_id owner, const char *word)
{
    return find(l, &l->in_block, owner, word);
}

enum form_id language_on_line(const struct language *l, enum form_id owner, const char *word)
{
    return find(l, &l->on_line, owner, word);
}

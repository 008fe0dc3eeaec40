#include "propose/trial.h"

#include "diag/edits.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>

static const char standard_input[] = "<stdin>";

const char *trial_real_path(struct arena *a, const char *path)
{
    char real[PATH_MAX];
    bool typed = !strcmp(path, standard_input);
    if (!realpath(typed ? "." : path, real))
        return NULL;
    return typed ? arena_printf(a, "%s/-", real[1] ? real : "") : arena_copy(a, real, strlen(real));
}

void trial_begin(struct trial *t, struct compilation *c, const struct compilation *library)
{
    *t = (struct trial){.c = c, .library = library};
    for (uint32_t i = 0; i < c->source_count; i++) {
        const char *path = c->sources[i]->path, *real = trial_real_path(&t->arena, path);
        if (!real && errno != ENOENT && errno != ENOTDIR) /* never saved: it lies where it says */
            c->untried = arena_printf(&c->arena, "where %s lies cannot be found out: %s", path,
                                      strerror(errno));
        *vec_push(&t->arena, &t->texts) = (struct trial_text){.real = real ? real : path};
    }
}

static const char *text_of(const void *of, const char *real, size_t *size)
{
    const struct trial *t = of;
    for (uint32_t i = 0; i < t->texts.n; i++)
        if (!strcmp(t->texts.at[i].real, real)) {
            *size = t->texts.at[i].text.n;
            return buf_text(&t->texts.at[i].text);
        }
    return NULL;
}

/* The fault that kept it from being compiled, among those of the plan. */
static const char *why_failed(struct arena *arena, const struct compilation *c)
{
    const struct finding *f = c->diag.findings.at, *end = f + c->diag.findings.n;
    while (f < end && strcmp(f->rule->name, "unreadable-file") && strcmp(f->rule->name, "limit"))
        f++;
    return arena_printf(arena, "%s", f < end ? f->message : "it cannot be read");
}

bool trial_compile(struct trial *t, edit_list *edits, struct compilation *after)
{
    const char *path = t->c->sources[0]->path;
    if (!edits_sort(edits))
        return false;
    for (uint32_t i = 0; i < t->texts.n; i++) {
        t->texts.at[i].text.n = 0;
        edits_apply(edits, t->c->sources[i], &t->texts.at[i].text);
    }
    compile(after, strcmp(path, standard_input) ? path : "-",
            (struct compile_options){.stdlib = t->c->stdlib,
                                     .library = t->library,
                                     .only_findings = true,
                                     .unsaved = {text_of, t}});
    if (after->io_failed)
        t->c->untried = why_failed(&t->c->arena, after);
    return true;
}

void trial_free(struct trial *t)
{
    for (uint32_t i = 0; i < t->texts.n; i++)
        buf_free(&t->texts.at[i].text);
    arena_free(&t->arena);
}

uint64_t trial_finding_key(const struct finding *f)
{
    uint64_t parts[3] = {
        map_hash_bytes(f->rule->name, strlen(f->rule->name)),
        map_hash_bytes(f->message, strlen(f->message)),
        f->subject ? map_hash_bytes(f->subject, strlen(f->subject)) : 0,
    };
    return map_hash_bytes(parts, sizeof parts) | 1;
}

uint32_t trial_count_like(const struct compilation *c, uint64_t key)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        n += !c->diag.findings.at[i].waived && trial_finding_key(&c->diag.findings.at[i]) == key;
    return n;
}

static bool has_word(const char *words, const char *word)
{
    size_t n = strlen(word);
    for (const char *at = words; at && (at = strstr(at, word)); at += n)
        if ((at == words || at[-1] == ' ') && (!at[n] || at[n] == ' '))
            return true;
    return false;
}

const struct finding *trial_new_error(const struct compilation *before,
                                      const struct compilation *after, const char *leaves)
{
    for (uint32_t i = 0; i < after->diag.findings.n; i++) {
        const struct finding *f = &after->diag.findings.at[i];
        if (f->severity != ERROR || f->waived || has_word(leaves, f->rule->name))
            continue;
        uint64_t key = trial_finding_key(f);
        if (trial_count_like(after, key) > trial_count_like(before, key))
            return f;
    }
    return NULL;
}

bool trial_has_finding(const struct compilation *c, const struct finding *f)
{
    uint64_t key = trial_finding_key(f);
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (c->diag.findings.at[i].rule == f->rule &&
            trial_finding_key(&c->diag.findings.at[i]) == key)
            return true;
    return false;
}

#include "lsp/roots.h"

#include "base/file.h"
#include "lsp/documents.h"
#include "lsp/uri.h"
#include "syntax/lexer.h"
#include "syntax/token.h"

#include <dirent.h>
#include <string.h>

enum { MOST_FILES = 400, LARGEST_FILE = 4 << 20 };

/* A file and those that it includes, by their places in the list. */
struct linked {
    const char *real;
    VEC(uint32_t) includes;
    bool reaches, reached; /* the file asked about; is included by one that does */
    bool seen;             /* by the walk that is under way */
};

struct search {
    struct server *s;
    struct arena *arena;
    VEC(struct linked) files;
};

static const char *folder_of(struct arena *a, const char *path)
{
    const char *slash = strrchr(path, '/');
    return slash ? arena_copy(a, path, (size_t)(slash - path)) : "";
}

static uint32_t file_number(struct search *f, const char *real)
{
    for (uint32_t i = 0; i < f->files.n; i++)
        if (!strcmp(f->files.at[i].real, real))
            return i;
    if (f->files.n < MOST_FILES)
        *vec_push(f->arena, &f->files) = (struct linked){.real = real};
    return f->files.n - 1;
}

static bool is_plan(const char *name)
{
    size_t n = strlen(name);
    return name[0] != '.' && n > 4 && !strcmp(name + n - 4, ".bay");
}

static void add_folder(struct search *f, const char *folder)
{
    DIR *d = opendir(*folder ? folder : "/");
    if (!d)
        return;
    for (struct dirent *e; (e = readdir(d));)
        if (is_plan(e->d_name))
            file_number(
                f, uri_real_path(f->arena, arena_printf(f->arena, "%s/%s", folder, e->d_name)));
    closedir(d);
}

/* Whether a folder is one of the workspace. */
static bool ends_workspace(const struct server *s, const char *folder)
{
    for (uint32_t i = 0; i < s->folders.n; i++)
        if (!strcmp(s->folders.at[i], folder))
            return true;
    return false;
}

static bool in_workspace(const struct server *s, const char *real)
{
    for (uint32_t i = 0; i < s->folders.n; i++) {
        size_t n = strlen(s->folders.at[i]);
        if (!strncmp(real, s->folders.at[i], n) && real[n] == '/')
            return true;
    }
    return false;
}

/* The folders where a plan may lie that includes the file. */
static void add_folders(struct search *f, const char *real)
{
    const char *folder = folder_of(f->arena, real);
    bool known = in_workspace(f->s, real);
    add_folder(f, folder);
    for (unsigned up = 0; *folder && !ends_workspace(f->s, folder) && (known || up < 1); up++) {
        folder = folder_of(f->arena, folder);
        add_folder(f, folder);
    }
}

/* The text of a file as a source with its tokens; NULL: it cannot be read. */
static struct source *read_tokens(struct search *f, const char *real)
{
    size_t size;
    const char *text = document_unsaved(f->s, real, &size);
    if (!text)
        text = file_read_into(f->arena, real, LARGEST_FILE, &size);
    if (!text || size > LARGEST_FILE)
        return NULL;
    struct source *source = arena_new(f->arena, struct source);
    *source = (struct source){.path = real, .bytes = text, .size = (uint32_t)size};
    struct diag unheard = {.arena = f->arena};
    lex(&unheard, source);
    return source;
}

static bool is_include(const struct source *s, uint32_t token)
{
    static const char word[] = "include";
    const struct source_token *t = &s->tokens[token];
    return token + 1 < s->token_count && t->kind == T_WORD && t->len == sizeof word - 1 &&
           !memcmp(s->bytes + t->off, word, t->len) && t[1].kind == T_TEXT && t[1].len >= 2;
}

/* Reads what a file includes; files that come so stand at the end of the list. */
static void link_file(struct search *f, uint32_t at)
{
    const char *real = f->files.at[at].real, *folder = folder_of(f->arena, real);
    struct source *s = read_tokens(f, real);
    for (uint32_t i = 0; s && i < s->token_count; i++) {
        if (!is_include(s, i))
            continue;
        const struct source_token *t = &s->tokens[i + 1];
        const char *path =
            arena_printf(f->arena, "%s/%.*s", folder, (int)t->len - 2, s->bytes + t->off + 1);
        uint32_t included = file_number(f, uri_real_path(f->arena, path));
        *vec_push(f->arena, &f->files.at[at].includes) = included;
    }
}

static bool walk(struct search *f, uint32_t at, uint32_t wanted)
{
    struct linked *file = &f->files.at[at];
    if (at == wanted)
        return true;
    if (file->seen)
        return false;
    file->seen = true;
    for (uint32_t i = 0; i < file->includes.n; i++)
        if (walk(f, file->includes.at[i], wanted))
            return true;
    return false;
}

static bool leads_to(struct search *f, uint32_t from, uint32_t wanted)
{
    for (uint32_t i = 0; i < f->files.n; i++)
        f->files.at[i].seen = false;
    for (uint32_t i = 0; i < f->files.at[from].includes.n; i++)
        if (walk(f, f->files.at[from].includes.at[i], wanted))
            return true;
    return false;
}

struct root_list roots_of(struct server *s, const char *real)
{
    struct search f = {.s = s, .arena = &s->scratch};
    struct root_list roots = {0};
    uint32_t self = file_number(&f, real);
    add_folders(&f, real);
    for (const struct document *d = s->documents; d; d = d->next)
        file_number(&f, d->real);
    for (uint32_t i = 0; i < f.files.n; i++)
        link_file(&f, i);
    for (uint32_t i = 0; i < f.files.n; i++)
        f.files.at[i].reaches = i != self && leads_to(&f, i, self);
    for (uint32_t i = 0; i < f.files.n; i++)
        for (uint32_t k = 0; f.files.at[i].reaches && k < f.files.at[i].includes.n; k++)
            f.files.at[f.files.at[i].includes.at[k]].reached = true;
    for (uint32_t i = 0; i < f.files.n; i++)
        if (f.files.at[i].reaches && !f.files.at[i].reached)
            *vec_push(f.arena, &roots.paths) = f.files.at[i].real;
    for (uint32_t i = 0; i < f.files.n && !roots.paths.n; i++)
        if (f.files.at[i].reaches) /* they include each other */
            *vec_push(f.arena, &roots.paths) = f.files.at[i].real;
    if (!roots.paths.n)
        *vec_push(f.arena, &roots.paths) = real;
    return roots;
}

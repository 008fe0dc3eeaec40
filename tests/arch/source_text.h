/* Reading the source tree as text, for the tests of its order. Included by one test program, hence
 * all static. */
#ifndef STUDBAY_TESTS_SOURCE_TEXT_H
#define STUDBAY_TESTS_SOURCE_TEXT_H

#include <ctype.h>
#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

/* Files of a tree, each as "folder/..."; sorted by path in byte order. */
struct file_list {
    char **paths;
    size_t count;
};

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* "folder/name"; the caller frees it. */
static char *join(const char *folder, const char *name)
{
    size_t size = strlen(folder) + strlen(name) + 2;
    char *path = malloc(size);
    snprintf(path, size, "%s/%s", folder, name);
    return path;
}

static void add_files(struct file_list *list, const char *folder)
{
    DIR *dir = opendir(folder);
    if (!dir)
        return;
    struct dirent *entry;
    while ((entry = readdir(dir))) {
        struct stat info;
        if (entry->d_name[0] == '.')
            continue;
        char *path = join(folder, entry->d_name);
        if (stat(path, &info) == 0 && S_ISREG(info.st_mode)) {
            list->paths = realloc(list->paths, (list->count + 1) * sizeof *list->paths);
            list->paths[list->count++] = path;
            continue;
        }
        if (S_ISDIR(info.st_mode))
            add_files(list, path);
        free(path);
    }
    closedir(dir);
}

/* Every plain file below `folder`; none where the folder is not there. */
static struct file_list list_files(const char *folder)
{
    struct file_list list = {NULL, 0};
    add_files(&list, folder);
    if (list.count > 0)
        qsort(list.paths, list.count, sizeof *list.paths, by_bytes);
    return list;
}

static void free_files(struct file_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        free(list->paths[i]);
    free(list->paths);
}

/* The whole file, ended by NUL; NULL where it cannot be read. The caller frees it. */
static char *read_text(const char *path)
{
    FILE *file = fopen(path, "rb");
    if (!file)
        return NULL;
    char *text = NULL;
    size_t size = 0, got;
    do {
        text = realloc(text, size + 65536 + 1);
        got = fread(text + size, 1, 65536, file);
        size += got;
    } while (got > 0);
    text[size] = '\0';
    fclose(file);
    return text;
}

/* Blanks out comments, and with `quotes` what stands in quotes too; line ends and offsets stay as
 * they are. */
static void blank_comments(char *text, bool quotes)
{
    enum { CODE, LINE, BLOCK, QUOTED } state = CODE;
    char quote = 0;
    for (char *c = text; *c; c++) {
        bool keep = state == CODE || (state == QUOTED && !quotes) || *c == '\n';
        char now = *c;
        if (state == CODE && now == '/' && (c[1] == '/' || c[1] == '*')) {
            state = c[1] == '/' ? LINE : BLOCK;
            *c++ = ' ';
            keep = false;
        } else if (state == CODE && (now == '"' || now == '\'')) {
            state = QUOTED;
            quote = now;
        } else if (state == QUOTED && now == '\\' && c[1] && c[1] != '\n') {
            if (quotes)
                *c = ' ';
            c++;
        } else if (now == '\n' ? state == LINE || state == QUOTED
                               : state == QUOTED && now == quote) {
            state = CODE;
            keep = true;
        } else if (state == BLOCK && now == '*' && c[1] == '/') {
            state = CODE;
            *c++ = ' ';
        }
        if (!keep)
            *c = ' ';
    }
}

static bool in_word(char c)
{
    return isalnum((unsigned char)c) || c == '_';
}

/* The next whole word `word` at or after `from`, which lies in `text`; NULL if there is none. */
static const char *find_word(const char *text, const char *from, const char *word)
{
    size_t length = strlen(word);
    for (const char *at = from; (at = strstr(at, word)); at++)
        if ((at == text || !in_word(at[-1])) && !in_word(at[length]))
            return at;
    return NULL;
}

/* The line of `at`, counted from 1. */
static inline int line_of(const char *text, const char *at)
{
    int line = 1;
    for (const char *c = text; c < at; c++)
        line += *c == '\n';
    return line;
}

static bool ends_with(const char *text, const char *ending)
{
    size_t length = strlen(text), tail = strlen(ending);
    return length >= tail && strcmp(text + length - tail, ending) == 0;
}

#endif

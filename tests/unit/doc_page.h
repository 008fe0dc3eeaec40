/* For tests of the documentation: a page of Markdown is made again from what it shows, and must
 * come out as it is.
 *
 * What is made again:
 *   ```console          each line "$ COMMAND" is run; what it writes, on both channels, follows it
 *   ```WORD DIR/FILE    the text of that file of the tree
 *   ```bay FILE         written to the scratch folder for the commands of the page; "bay FILE +" is
 * added to its end
 *   ```bay              in canonical layout and without a fault of form; with a `plan` in it,
 * without an error
 *   <!-- made: NAME --> up to <!-- end -->: what the test's own function writes under that name
 *
 * Commands run in a scratch folder of the page that has links to examples, stdlib and docs;
 * `studbay` is the binary that STUDBAY names. BLESS=PATTERN writes the pages whose paths match the
 * pattern anew instead of failing; read the difference before it is committed. */
#ifndef STUDBAY_TESTS_DOC_PAGE_H
#define STUDBAY_TESTS_DOC_PAGE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/file.h"
#include "base/buf.h"

#include <fnmatch.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

enum { LARGEST_PAGE = 4 << 20 };

/* Writes the part of that name; false where there is none. */
typedef bool made_fn(const char *name, struct buf *out);

struct doc_page {
    const char *path;
    made_fn *made;
    char scratch[64];
    unsigned faults;
};

static inline void doc_fault(struct doc_page *p, const char *what, const char *which)
{
    print_error("%s: %s: %s\n", p->path, what, which);
    p->faults++;
}

/* The line at `at`, without its end; `next` is where the next one begins. */
static inline char *doc_line(const char *at, const char **next)
{
    const char *end = strchr(at, '\n');
    size_t n = end ? (size_t)(end - at) : strlen(at);
    *next = end ? end + 1 : at + n;
    return strndup(at, n);
}

/* The exit status of a command run by the shell in the scratch folder; what it writes is added to
 * `out`. */
static inline int doc_run(struct doc_page *p, const char *command, struct buf *out)
{
    char line[4096], part[4096];
    const char *binary = getenv("STUDBAY");
    assert_non_null(binary);
    snprintf(line, sizeof line,
             "unset COLUMNS; cd %s && PATH=\"$(dirname '%s'):$PATH\" NO_COLOR=1 && export PATH "
             "NO_COLOR && { "
             "%s\n} 2>&1",
             p->scratch, binary, command);
    FILE *f = popen(line, "r");
    assert_non_null(f);
    for (size_t n; (n = fread(part, 1, sizeof part, f)) > 0;)
        buf_add(out, part, n);
    int status = pclose(f);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static inline void doc_console(struct doc_page *p, const char *body, const char *end,
                               struct buf *out)
{
    for (const char *next; body < end; body = next) {
        char *line = doc_line(body, &next);
        if (!strncmp(line, "$ ", 2)) {
            buf_printf(out, "%s\n", line);
            doc_run(p, line + 2, out);
            if (out->at[out->n - 1] != '\n')
                buf_putc(out, '\n');
        }
        free(line);
    }
}

static inline void doc_write(struct doc_page *p, const char *name, bool add, const char *body,
                             size_t n)
{
    char path[512];
    snprintf(path, sizeof path, "%s/%s", p->scratch, name);
    FILE *f = fopen(path, add ? "a" : "w");
    assert_non_null(f);
    if (add)
        fputc('\n', f);
    assert_int_equal(fwrite(body, 1, n, f), n);
    fclose(f);
}

/* A fragment must be as `fmt` writes it; a whole plan must have no errors. */
static inline void doc_fragment(struct doc_page *p, const char *body, size_t n)
{
    struct buf said = {0};
    doc_write(p, "fragment.bay", false, body, n);
    if (doc_run(p, "studbay fmt --check fragment.bay", &said) != 0)
        doc_fault(p, "a plan is at fault or not in canonical layout", body);
    else if (!strncmp(body, "plan ", 5) && doc_run(p, "studbay check fragment.bay", &said) != 0)
        doc_fault(p, buf_text(&said), body);
    buf_free(&said);
}

static inline void doc_fence(struct doc_page *p, const char *info, const char *body,
                             const char *end, struct buf *out)
{
    size_t n = (size_t)(end - body);
    if (!strcmp(info, "console")) {
        doc_console(p, body, end, out);
    } else if (!strcmp(info, "bay")) {
        char *text = strndup(body, n);
        doc_fragment(p, text, n);
        free(text);
        buf_add(out, body, n);
    } else if (strchr(info, ' ') && strchr(info, '/')) {
        if (!file_read(out, strchr(info, ' ') + 1, LARGEST_PAGE))
            doc_fault(p, "this file cannot be read", info);
        else if (out->at[out->n - 1] != '\n')
            buf_putc(out, '\n');
    } else if (!strncmp(info, "bay ", 4)) {
        char name[128] = "", plus[2] = "";
        sscanf(info + 4, "%127s %1s", name, plus);
        doc_write(p, name, plus[0] == '+', body, n);
        buf_add(out, body, n);
    } else {
        buf_add(out, body, n);
    }
}

/* Where the line `wanted` begins, from `at` on; NULL where there is none. */
static inline const char *doc_find_line(const char *at, const char *wanted)
{
    for (const char *next; *at; at = next) {
        char *line = doc_line(at, &next);
        bool found = !strcmp(line, wanted);
        free(line);
        if (found)
            return at;
    }
    return NULL;
}

static inline void doc_made(struct doc_page *p, const char *line, struct buf *out)
{
    char name[64] = "";
    sscanf(line, "<!-- made: %63s", name);
    buf_puts(out, "\n");
    if (!p->made || !p->made(name, out))
        doc_fault(p, "nothing is made under this name", name);
    buf_puts(out, "\n");
}

/* The page as it ought to be. */
static inline void doc_remake(struct doc_page *p, const char *text, struct buf *out)
{
    for (const char *next; *text; text = next) {
        char *line = doc_line(text, &next);
        bool fence = !strncmp(line, "```", 3), made = !strncmp(line, "<!-- made: ", 11);
        buf_printf(out, "%s\n", line);
        if (fence || made) {
            const char *end = doc_find_line(next, fence ? "```" : "<!-- end -->");
            if (!end) {
                doc_fault(p, "this is not closed", line);
                buf_puts(out, next);
                free(line);
                return;
            }
            if (fence)
                doc_fence(p, line + 3, next, end, out);
            else
                doc_made(p, line, out);
            free(doc_line(end, &next));
            buf_puts(out, fence ? "```\n" : "<!-- end -->\n");
        }
        free(line);
    }
}

static inline void doc_show_difference(const char *path, const char *is, const char *wanted)
{
    const char *next_is, *next_wanted;
    for (int line = 1; *is || *wanted; line++, is = next_is, wanted = next_wanted) {
        char *a = doc_line(is, &next_is), *b = doc_line(wanted, &next_wanted);
        bool same = !strcmp(a, b);
        if (!same)
            print_error(
                "%s:%d: the page has\n  %s\nand it ought to be\n  %s\n(BLESS=%s writes it anew)\n",
                path, line, a, b, path);
        free(a);
        free(b);
        if (!same)
            return;
    }
}

/* Compares a page with what it ought to be, or writes it where BLESS says so. True where all is
 * well. */
static inline bool doc_settle(const char *path, const char *is, const char *wanted)
{
    const char *bless = getenv("BLESS");
    if (!strcmp(is, wanted))
        return true;
    if (!bless || fnmatch(bless, path, 0) != 0) {
        doc_show_difference(path, is, wanted);
        return false;
    }
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(wanted, f);
    return fclose(f) == 0;
}

static inline void doc_open_scratch(struct doc_page *p)
{
    char link[8192], here[2048];
    strcpy(p->scratch, "/tmp/studbay-page-XXXXXX");
    assert_non_null(mkdtemp(p->scratch));
    assert_non_null(getcwd(here, sizeof here));
    snprintf(link, sizeof link, "ln -s '%s/examples' '%s/stdlib' '%s/docs' %s/", here, here, here,
             p->scratch);
    assert_int_equal(system(link), 0);
}

static inline void doc_close_scratch(struct doc_page *p)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf %s", p->scratch);
    assert_int_equal(system(command), 0);
}

/* Makes a page again and compares; false where it differs or something in it is at fault. */
static inline bool doc_check(const char *path, made_fn *made)
{
    struct doc_page page = {.path = path, .made = made};
    struct buf is = {0}, wanted = {0};
    if (!file_read(&is, path, LARGEST_PAGE)) {
        print_error("%s: there is no such page\n", path);
        return false;
    }
    doc_open_scratch(&page);
    doc_remake(&page, buf_text(&is), &wanted);
    doc_close_scratch(&page);
    bool same = doc_settle(path, buf_text(&is), buf_text(&wanted));
    buf_free(&is);
    buf_free(&wanted);
    return same && page.faults == 0;
}

#endif

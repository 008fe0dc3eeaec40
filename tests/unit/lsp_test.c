/* Sessions with the language server, as they stand in tests/lsp: what an editor says and what comes
 * back, in full.
 *
 *   # words            a comment
 *   > METHOD {...}     a message of that method; one that is answered gets the next id
 *   > open NAME        the text of that name is opened: the lines behind it, after "| "
 *   > type NAME L:C L:C "..."    what stands between two places becomes the text
 *   < {...}            what the server said to it, a message a line
 *
 * What is announced stands in one of them; in the others that is left out.
 *
 * NAME stands for the address file:///plans/NAME, which is on no disk. BLESS=PATTERN writes the
 * lines of the server anew in those whose paths match; read the difference before it is committed.
 *
 * What is announced is shown here: each method of the table has a session in which it does
 * something. */
#include "lsp_client.h"

#include "lsp/methods.h"

#include <dirent.h>
#include <fnmatch.h>

static const char folder[] = "tests/lsp";

struct session {
    const char *path;
    struct server server;
    struct buf written; /* the session as it is */
    unsigned next_id, version;
    bool *shown; /* by method: with content */
};

static char *read_whole(const char *path)
{
    FILE *f = fopen(path, "rb");
    assert_non_null(f);
    struct buf b = {0};
    char part[4096];
    for (size_t n; (n = fread(part, 1, sizeof part, f)) > 0;)
        buf_add(&b, part, n);
    fclose(f);
    char *text = strdup(buf_text(&b));
    buf_free(&b);
    return text;
}

static const struct method *method_of(const char *name)
{
    for (uint32_t i = 0; i < method_count; i++)
        if (!strcmp(method_table[i].name, name))
            return &method_table[i];
    return NULL;
}

/* An answer that says something: not null, not an empty list. */
static bool has_content(const char *said)
{
    const char *result = strstr(said, "\"result\": ");
    return result && strncmp(result + 10, "null", 4) && strncmp(result + 10, "[]", 2);
}

/* What is announced stands in the session of this name alone, so that few change with it. */
static const char *shortened(const struct session *t, const struct method *m, const char *line)
{
    bool announces = m && !strcmp(m->name, "initialize") && !strstr(t->path, "lifecycle") &&
                     strstr(line, "\"capabilities\": ");
    return announces ? "(what is announced)" : line;
}

/* Takes what the server says to what was sent last. */
static void answer(struct session *t, const struct method *m)
{
    client_wait(&t->server);
    char *said = client_said(&t->server);
    bool content = has_content(said);
    for (char *line = said, *end; *line; line = end + 1) {
        end = strchr(line, '\n');
        *end = 0;
        buf_printf(&t->written, "< %s\n", shortened(t, m, line));
    }
    if (m && (m->sort == NOTICE || content || !strcmp(m->name, "shutdown")))
        t->shown[m - method_table] = true;
    free(said);
}

/* "> METHOD PARAMS" */
static void say(struct session *t, const char *method, const char *params)
{
    struct buf b = {0};
    const struct method *m = method_of(method);
    buf_puts(&b, "{\"jsonrpc\": \"2.0\", ");
    if (!m || m->sort == REQUEST)
        buf_printf(&b, "\"id\": %u, ", ++t->next_id);
    buf_printf(&b, "\"method\": \"%s\", \"params\": %s}", method, *params ? params : "{}");
    client_message(&t->server, buf_text(&b));
    buf_free(&b);
    answer(t, m);
}

/* "> type NAME L:C L:C TEXT" */
static void type_text(struct session *t, const char *words)
{
    char name[64];
    unsigned l[4];
    int text = 0;
    struct buf b = {0};
    assert_int_equal(sscanf(words, "%63s %u:%u %u:%u %n", name, &l[0], &l[1], &l[2], &l[3], &text),
                     5);
    buf_printf(&b,
               "{\"textDocument\": {\"uri\": \"file:///plans/%s\", \"version\": %u}, "
               "\"contentChanges\": [{\"range\": {\"start\": {\"line\": %u, \"character\": %u}, "
               "\"end\": {\"line\": %u, \"character\": %u}}, \"text\": %s}]}",
               name, ++t->version, l[0], l[1], l[2], l[3], words + text);
    say(t, "textDocument/didChange", buf_text(&b));
    buf_free(&b);
}

/* The lines behind "> open NAME"; gives where the next one begins. */
static char *open_text(struct session *t, const char *name, char *lines)
{
    struct buf text = {0}, uri = {0};
    while (lines[0] == '|') {
        char *end = strchr(lines, '\n');
        size_t n = (size_t)(end - lines);
        buf_printf(&t->written, "%.*s\n", (int)n, lines);
        if (n > 2)
            buf_add(&text, lines + 2, n - 2);
        buf_putc(&text, '\n');
        lines = end + 1;
    }
    buf_printf(&uri, "file:///plans/%s", name);
    client_open(&t->server, buf_text(&uri), buf_text(&text));
    t->version = 1;
    answer(t, method_of("textDocument/didOpen"));
    buf_free(&text);
    buf_free(&uri);
    return lines;
}

/* One line of the session that is the editor's; gives where the next one begins. */
static char *say_line(struct session *t, char *line, char *next)
{
    char *word = line + 2, *rest = word + strcspn(word, " ");
    if (*rest)
        *rest++ = 0;
    if (!strcmp(word, "open"))
        return open_text(t, rest, next);
    if (!strcmp(word, "type"))
        type_text(t, rest);
    else
        say(t, word, rest);
    return next;
}

static void run_lines(struct session *t, char *at)
{
    while (*at) {
        char *next = strchr(at, '\n');
        assert_non_null(next);
        *next++ = 0;
        if (strncmp(at, "< ", 2))
            buf_printf(&t->written, "%s\n", at);
        at = strncmp(at, "> ", 2) ? next : say_line(t, at, next);
    }
}

/* Shows where the two differ first. */
static void show_difference(const char *path, const char *was, const char *is)
{
    size_t line = 1, start = 0, i = 0;
    for (; was[i] && was[i] == is[i]; i++)
        if (was[i] == '\n') {
            line++;
            start = i + 1;
        }
    print_error("%s:%zu:\n  stands: %.*s\n  comes:  %.*s\n", path, line,
                (int)strcspn(was + start, "\n"), was + start, (int)strcspn(is + start, "\n"),
                is + start);
}

/* Whether the session goes as it stands. */
static bool run_session(const char *path, bool *shown)
{
    struct session t = {.path = path, .shown = shown};
    char *stands = read_whole(path), *lines = strdup(stands);
    const char *bless = getenv("BLESS");
    server_begin(&t.server, NULL, "0", NULL);
    run_lines(&t, lines);
    bool same = !strcmp(stands, buf_text(&t.written));
    if (!same && bless && !fnmatch(bless, path, 0)) {
        FILE *f = fopen(path, "wb");
        assert_non_null(f);
        fwrite(t.written.at, 1, t.written.n, f);
        fclose(f);
        same = true;
    } else if (!same) {
        show_difference(path, stands, buf_text(&t.written));
    }
    server_end(&t.server);
    buf_free(&t.written);
    free(lines);
    free(stands);
    return same;
}

static void sessions_go_as_they_stand(void **state)
{
    (void)state;
    bool *shown = calloc(method_count, sizeof *shown);
    struct dirent **names;
    int n = scandir(folder, &names, NULL, alphasort), run = 0;
    unsigned faults = 0;
    assert_true(n > 0);
    for (int i = 0; i < n; i++) {
        char path[512];
        size_t len = strlen(names[i]->d_name);
        snprintf(path, sizeof path, "%s/%s", folder, names[i]->d_name);
        if (len > 8 && !strcmp(names[i]->d_name + len - 8, ".session")) {
            faults += !run_session(path, shown);
            run++;
        }
        free(names[i]);
    }
    free(names);
    assert_true(run > 0);
    for (uint32_t i = 0; i < method_count; i++)
        if (!shown[i]) {
            print_error("%s is announced, and no session in %s shows it\n", method_table[i].name,
                        folder);
            faults++;
        }
    free(shown);
    assert_int_equal(faults, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sessions_go_as_they_stand),
    };
    return cmocka_run_group_tests_name("lsp", tests, NULL, NULL);
}

/* The order of the source tree: who may include whom, who may print, exit and allocate, what lies
 * where.
 *
 * Run from the top of the tree. Each breach is printed as FILE:LINE: what is wrong. The checks take
 * a path and a text, so that each is also shown a text that breaks it.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "source_text.h"

/* Folders of src in the order they may be built on each other, and what each may include besides
 * itself. "." stands for the files in src itself, "*" for everything. A folder that is not here has
 * no place in the order. */
static const struct layer {
    const char *name, *sees;
} layers[] = {
    {"base", ""},
    {"paper", "base"},
    {"diag", "base"},
    {"syntax", "base diag"},
    {"resolve", "base diag syntax"},
    {"model", "base diag syntax resolve"},
    {"facts", "base diag syntax resolve model"},
    {"framing", "base diag syntax resolve model facts"},
    {"wiring", "base diag syntax resolve model facts framing"},
    {"prove", "base diag model facts"},
    {"loads", "base diag syntax resolve model facts framing wiring prove"},
    {"log", "base diag syntax resolve model facts framing wiring"},
    {"cuts", "base diag syntax resolve model facts framing wiring prove loads log"},
    {"rules", "base diag syntax resolve model facts framing wiring prove loads log cuts"},
    {"emit", "base diag syntax resolve model facts framing wiring prove loads log cuts"},
    {"sheets",
     "base paper diag syntax resolve model facts framing wiring prove loads log cuts emit"},
    {"book", "base paper diag syntax resolve model facts framing wiring prove loads log cuts emit "
             "sheets"},
    {"fmt", "base diag syntax"},
    {"settle", "base diag syntax resolve model facts framing wiring loads log"},
    {"compare", "*"},
    {"where", "*"},
    {"propose", "*"},
    {"lsp", "*"},
    {"libstudbay", "*"},
    {"cmd", "*"},
    {".", "*"},
};

static bool in_list(const char *list, const char *word)
{
    return strcmp(list, "*") == 0 || find_word(list, list, word) != NULL;
}

static const struct layer *find_layer(const char *name)
{
    for (size_t i = 0; i < sizeof layers / sizeof *layers; i++)
        if (strcmp(layers[i].name, name) == 0)
            return &layers[i];
    return NULL;
}

/* The folder of src that "src/FOLDER/..." lies in, "." for a file in src itself; the grammar
 * belongs to syntax. */
static void layer_name(const char *path, char *name, size_t size)
{
    if (strncmp(path, "grammar/", 8) == 0) {
        snprintf(name, size, "syntax");
        return;
    }
    const char *start = path + strlen("src/");
    const char *slash = strchr(start, '/');
    if (slash)
        snprintf(name, size, "%.*s", (int)(slash - start), start);
    else
        snprintf(name, size, ".");
}

static bool file_exists(const char *folder, const char *name)
{
    struct stat info;
    char *path = join(folder, name);
    bool exists = stat(path, &info) == 0 && S_ISREG(info.st_mode);
    free(path);
    return exists;
}

/* Where an included name without a folder lies: beside the including file, in src, or in the
 * grammar. */
static const char *layer_of_plain_name(const char *path, const char *own, const char *name)
{
    char *folder = strndup(path, (size_t)(strrchr(path, '/') - path));
    bool beside = file_exists(folder, name);
    free(folder);
    if (beside)
        return own;
    if (strcmp(name, "parser.h") == 0 || file_exists("grammar", name))
        return "syntax";
    return file_exists("src", name) ? "." : NULL;
}

/* Set while a check is shown a made-up text, whose breaches nobody needs to read. */
static bool quiet;

/* One breach: prints it and gives 1, so that the checks can add up. */
static int breach(const char *path, int line, const char *what, const char *name)
{
    if (!quiet)
        print_error("%s:%d: %s%s\n", path, line, what, name);
    return 1;
}

static int check_include(const char *path, int line, const struct layer *own, const char *name)
{
    char target[512];
    const char *slash = strchr(name, '/');
    if (strstr(name, ".."))
        return breach(path, line, "includes are written from src, without \"..\": ", name);
    if (slash) {
        snprintf(target, sizeof target, "%.*s", (int)(slash - name), name);
    } else {
        const char *layer = layer_of_plain_name(path, own->name, name);
        if (!layer)
            return breach(path, line,
                          "included file is neither here, in src nor in grammar: ", name);
        snprintf(target, sizeof target, "%s", layer);
    }
    if (strcmp(target, own->name) == 0)
        return 0;
    if (!find_layer(target))
        return breach(path, line, "includes a folder that has no place in the order: ", name);
    /* the files in src itself are seen by those who see everything; find_word does not take "." for
     * a word */
    bool seen = strcmp(target, ".") == 0 ? strcmp(own->sees, "*") == 0 : in_list(own->sees, target);
    if (seen)
        return 0;
    char what[512];
    snprintf(what, sizeof what, "%s may include \"%s\" only, not ", own->name, own->sees);
    return breach(path, line, what, name);
}

/* Every #include "..." of the text against the order. `text` is changed. */
static int check_includes(const char *path, char *text)
{
    char own[256];
    layer_name(path, own, sizeof own);
    const struct layer *layer = find_layer(own);
    if (!layer)
        return breach(path, 1, "this folder has no place in the order: ", own);
    int breaches = 0;
    blank_comments(text, false);
    for (char *line = text; line; line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
        char name[256];
        const char *mark = line + strspn(line, " \t");
        if (sscanf(mark, "# include \"%255[^\"\n]\"", name) == 1)
            breaches += check_include(path, line_of(text, line), layer, name);
    }
    return breaches;
}

static bool is_called(const char *text, const char *at, const char *word)
{
    const char *after = at + strlen(word);
    while (*after == ' ')
        after++;
    bool member = at > text && (at[-1] == '.' || (at[-1] == '>' && at - text > 1 && at[-2] == '-'));
    return *after == '(' && !member;
}

/* Each whole word of a blank-parted list that the text holds (or calls, where `calls`). */
static int check_words(const char *path, const char *text, const char *words, bool calls,
                       const char *what)
{
    int breaches = 0;
    char list[512];
    snprintf(list, sizeof list, "%s", words);
    for (char *save, *word = strtok_r(list, " ", &save); word; word = strtok_r(NULL, " ", &save))
        for (const char *at = text; (at = find_word(text, at, word)); at++)
            if (!calls || is_called(text, at, word))
                breaches += breach(path, line_of(text, at), what, word);
    return breaches;
}

/* --- the tree ----------------------------------------------------------------------------- */

/* The headers of the tree of statements, with its values. Who comes behind the model reads what it
 * says there, and takes from the statements their places alone (resolve/written.h). */
static const char *const tree_headers[] = {"src/resolve/node.h", "src/syntax/tree.h"};

static bool may_see_tree(const char *path)
{
    char own[256];
    layer_name(path, own, sizeof own);
    return in_list("syntax resolve model fmt settle where propose lsp .", own);
}

/* The file that is included by `name` in a file of `path`: of src, or beside it. NULL for what lies
 * elsewhere. */
static char *included_file(const char *path, const char *name)
{
    char *folder =
        strchr(name, '/') ? strdup("src") : strndup(path, (size_t)(strrchr(path, '/') - path));
    char *file = file_exists(folder, name) ? join(folder, name) : NULL;
    free(folder);
    return file;
}

enum { MOST_HEADERS = 500 };

/* The files that a text leads to by its includes, each once. */
struct included {
    char *paths[MOST_HEADERS];
    size_t count;
};

static void follow_includes(struct included *all, const char *path, char *text)
{
    blank_comments(text, false);
    for (char *line = text; line; line = strchr(line, '\n') ? strchr(line, '\n') + 1 : NULL) {
        char name[256];
        if (sscanf(line + strspn(line, " \t"), "# include \"%255[^\"\n]\"", name) != 1)
            continue;
        char *file = included_file(path, name);
        bool known = !file;
        for (size_t i = 0; i < all->count && !known; i++)
            known = strcmp(all->paths[i], file) == 0;
        if (known) {
            free(file);
            continue;
        }
        assert_true(all->count < MOST_HEADERS);
        all->paths[all->count++] = file;
        char *inside = read_text(file);
        follow_includes(all, file, inside);
        free(inside);
    }
}

/* Whether a file behind the model sees the tree, by itself or by what it includes; a drawing or a
 * report does not even ask what was written. `text` is changed. */
static int check_tree(const char *path, char *text)
{
    if (may_see_tree(path) || strncmp(path, "src/base/", 9) == 0 ||
        strncmp(path, "src/diag/", 9) == 0)
        return 0;
    struct included all = {.count = 0};
    int breaches = 0;
    follow_includes(&all, path, text);
    for (size_t i = 0; i < all.count; i++)
        for (size_t k = 0; k < sizeof tree_headers / sizeof *tree_headers; k++)
            if (strcmp(all.paths[i], tree_headers[k]) == 0)
                breaches +=
                    breach(path, 1, "what stands behind the model sees no tree: ", tree_headers[k]);
    for (size_t i = 0; i < all.count; i++)
        free(all.paths[i]);
    if (strncmp(path, "src/emit/", 9) == 0)
        breaches +=
            check_words(path, text, "node_child", false, "what is printed comes from the model: ");
    return breaches;
}

/* Printing and exiting belong to the commands, memory and the message of a bug to base. `text` is
 * changed. */
static int check_calls(const char *path, char *text)
{
    bool base = strncmp(path, "src/base/", 9) == 0;
    bool command = strncmp(path, "src/cmd/", 8) == 0 || strcmp(path, "src/main.c") == 0;
    int breaches = 0;
    blank_comments(text, true);
    if (!command) {
        breaches += check_words(path, text, "printf vprintf puts putchar perror", true,
                                "only the commands print: ");
        breaches += check_words(path, text, "stdout", false, "only the commands print: ");
        if (!base)
            breaches += check_words(path, text, "stderr", false, "only the commands print: ");
    }
    if (strcmp(path, "src/main.c") != 0)
        breaches += check_words(path, text, "exit quick_exit _exit", true, "only main exits: ");
    if (!base) {
        breaches += check_words(
            path, text, "malloc calloc realloc reallocarray free strdup strndup asprintf vasprintf",
            true, "memory is taken and given back in base only: ");
        breaches += check_words(path, text, "abort", true, "a bug is reported by base only: ");
    }
    return breaches;
}

/* JSON is written by base/json.c: a key in a text, a word in quotes before a colon, is
 * put together by hand. */
static int check_json(const char *path, char *text)
{
    int breaches = 0;
    if (strcmp(path, "src/base/json.c") == 0)
        return 0;
    blank_comments(text, false);
    for (const char *at = text; (at = strstr(at, "\\\":")); at++) {
        const char *key = at;
        while (key > text && !strchr("\" \n", key[-1]))
            key--;
        if (key > text && key[-1] == '"')
            breaches += breach(path, line_of(text, at), "JSON has one writer, base/json.h", "");
    }
    return breaches;
}

/* Words that mark unfinished work. They are put together here so that this file does not hold them.
 */
static int check_marks(const char *path, char *text)
{
    return check_words(path, text,
                       "TO"
                       "DO FIX"
                       "ME XX"
                       "X HA"
                       "CK",
                       false, "unfinished work is marked here: ");
}

/* What lies at the top; dot-files and what is built come besides. */
static int check_top_name(const char *name)
{
    static const char known[] =
        "README DEVELOPERS LICENSE Makefile grammar src stdlib tests examples docs";
    char stem[256];
    snprintf(stem, sizeof stem, "%s", name);
    if (ends_with(name, ".md"))
        stem[strlen(stem) - 3] = '\0';
    bool page = strcmp(stem, "README") == 0 || strcmp(stem, "DEVELOPERS") == 0;
    if (name[0] == '.' || strcmp(name, "build") == 0 || strncmp(name, "build-", 6) == 0)
        return 0;
    if (page == ends_with(name, ".md") && in_list(known, stem))
        return 0;
    return breach(name, 1, "does not belong at the top of the tree: ", name);
}

typedef int check_fn(const char *path, char *text);

static bool is_source(const char *path)
{
    return ends_with(path, ".c") || ends_with(path, ".h") || ends_with(path, ".def") ||
           ends_with(path, ".re") || ends_with(path, ".y");
}

/* A check over every file of a folder, all of them or the sources alone; the files looked at are
 * added to `seen`. */
static int check_folder(const char *folder, bool sources, check_fn *check, size_t *seen)
{
    int breaches = 0;
    struct file_list files = list_files(folder);
    for (size_t i = 0; i < files.count; i++) {
        if (sources && !is_source(files.paths[i]))
            continue;
        char *text = read_text(files.paths[i]);
        assert_non_null(text);
        breaches += check(files.paths[i], text);
        free(text);
        *seen += 1;
    }
    free_files(&files);
    return breaches;
}

/* The checks themselves: how many breaches a text holds that is not in the tree. */
static int breaches_in(check_fn *check, const char *path, const char *source)
{
    char *text = strdup(source);
    quiet = true;
    int breaches = check(path, text);
    quiet = false;
    free(text);
    return breaches;
}

static void includes_go_one_way(void **state)
{
    (void)state;
    size_t seen = 0;
    int breaches = check_folder("src", true, check_includes, &seen) +
                   check_folder("grammar", true, check_includes, &seen);
    assert_true(seen > 0);
    assert_int_equal(breaches, 0);
}

static void nothing_behind_the_model_sees_the_tree(void **state)
{
    (void)state;
    size_t seen = 0;
    int breaches = check_folder("src", true, check_tree, &seen);
    assert_true(seen > 0);
    assert_int_equal(breaches, 0);
}

static void only_commands_print_and_only_base_allocates(void **state)
{
    (void)state;
    size_t seen = 0;
    int breaches = check_folder("src", true, check_calls, &seen) +
                   check_folder("grammar", true, check_calls, &seen);
    assert_true(seen > 0);
    assert_int_equal(breaches, 0);
}

static void json_has_one_writer(void **state)
{
    (void)state;
    size_t seen = 0;
    int breaches = check_folder("src", true, check_json, &seen);
    assert_true(seen > 0);
    assert_int_equal(breaches, 0);
    assert_int_equal(breaches_in(check_json, "src/emit/x.c", "buf_puts(out, \"\\\"mend\\\": \");"),
                     1);
    assert_int_equal(breaches_in(check_json, "src/emit/x.c", "note = \"\\\"At least\\\": no\";"),
                     0);
    assert_int_equal(breaches_in(check_json, "src/emit/x.c", "/* {\\\"a\\\": 1} */"), 0);
}

static void no_unfinished_work_is_marked(void **state)
{
    (void)state;
    size_t seen = 0;
    int breaches = check_folder("src", false, check_marks, &seen) +
                   check_folder("grammar", false, check_marks, &seen) +
                   check_folder("stdlib", false, check_marks, &seen);
    assert_true(seen > 0);
    assert_int_equal(breaches, 0);
}

static void top_holds_the_fixed_names(void **state)
{
    (void)state;
    int breaches = 0;
    DIR *top = opendir(".");
    assert_non_null(top);
    struct dirent *entry;
    while ((entry = readdir(top)))
        breaches += check_top_name(entry->d_name);
    closedir(top);
    assert_int_equal(breaches, 0);
}

static void wrong_includes_are_found(void **state)
{
    (void)state;
    assert_int_equal(breaches_in(check_includes, "src/wiring/x.c",
                                 "#include \"base/a.h\"\n#include <stdio.h>\n"),
                     0);
    assert_int_equal(breaches_in(check_includes, "src/base/x.c", "#include \"diag/a.h\"\n"), 1);
    assert_int_equal(breaches_in(check_includes, "src/model/x.c",
                                 "\n #  include \"wiring/a.h\"\n#include \"cmd/a.h\""),
                     2);
    assert_int_equal(breaches_in(check_includes, "src/prove/x.c",
                                 "#include \"wiring/a.h\"\n#include \"model/a.h\"\n"),
                     1);
    assert_int_equal(breaches_in(check_includes, "src/fmt/x.c", "/*\n#include \"model/a.h\"\n*/\n"),
                     0);
    assert_int_equal(
        breaches_in(check_includes, "src/emit/reports/x.c", "#include \"../table.h\"\n"), 1);
    assert_int_equal(breaches_in(check_includes, "src/emit/x.c", "#include \"rules/a.h\"\n"), 1);
    assert_int_equal(breaches_in(check_includes, "src/novel/x.c", ""), 1);
    assert_int_equal(breaches_in(check_includes, "src/cmd/x.c",
                                 "#include \"novel/a.h\"\n#include \"no-such.h\"\n"),
                     2);
    assert_int_equal(breaches_in(check_includes, "src/compile.c", "#include \"rules/a.h\"\n"), 0);
    assert_int_equal(breaches_in(check_includes, "grammar/lexer.re", "#include \"model/a.h\"\n"),
                     1);
}

static void trees_are_found(void **state)
{
    (void)state;
    assert_int_equal(breaches_in(check_tree, "src/emit/x.c", "#include \"resolve/node.h\"\n"), 1);
    assert_int_equal(breaches_in(check_tree, "src/rules/x.c", "#include \"model/build.h\"\n"), 1);
    assert_int_equal(breaches_in(check_tree, "src/rules/x.c",
                                 "#include \"model/model.h\"\nnode_child(n, F_MAIN);\n"),
                     0);
    assert_int_equal(breaches_in(check_tree, "src/emit/x.c", "node_child(n, F_MAIN);\n"), 1);
    assert_int_equal(breaches_in(check_tree, "src/model/x.c", "#include \"resolve/node.h\"\n"), 0);
}

static void wrong_calls_are_found(void **state)
{
    (void)state;
    static const char prints[] =
        "void f(void) { printf(\"x\"); fprintf(stderr, \"y\"); fputs(\"z\", stdout); }";
    assert_int_equal(breaches_in(check_calls, "src/rules/x.c", prints), 3);
    assert_int_equal(breaches_in(check_calls, "src/cmd/x.c", prints), 0);
    assert_int_equal(breaches_in(check_calls, "src/base/x.c", prints), 2);
    assert_int_equal(breaches_in(check_calls, "src/model/x.c",
                                 "// printf(\n/* exit(1) */ char *s = \"free(\\\"\", c = '\"';"),
                     0);
    assert_int_equal(breaches_in(check_calls, "src/model/x.c",
                                 "snprintf(b, 1, x); m.free(p); m->free(p); my_exit(1);"),
                     0);
    assert_int_equal(
        breaches_in(check_calls, "src/cmd/x.c", "p = malloc(1); free (p); exit(1); abort();"), 4);
    assert_int_equal(breaches_in(check_calls, "src/base/x.c", "p = malloc(1); free(p); abort();"),
                     0);
    assert_int_equal(breaches_in(check_calls, "src/main.c", "exit(1);"), 0);
}

static void wrong_marks_and_names_are_found(void **state)
{
    (void)state;
    assert_int_equal(breaches_in(check_marks, "src/x.c",
                                 "/* TO"
                                 "DO: more */ int HA"
                                 "CK;"),
                     2);
    assert_int_equal(breaches_in(check_marks, "src/x.c",
                                 "int TO"
                                 "DOS, todo;"),
                     0);
    quiet = true;
    assert_int_equal(check_top_name("src"), 0);
    assert_int_equal(check_top_name("README.md"), 0);
    assert_int_equal(check_top_name(".ci"), 0);
    assert_int_equal(check_top_name("build-san"), 0);
    assert_int_equal(check_top_name("README"), 1);
    assert_int_equal(check_top_name("tools"), 1);
    assert_int_equal(check_top_name("docs.md"), 1);
    assert_int_equal(check_top_name("builder"), 1);
    quiet = false;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(includes_go_one_way),
        cmocka_unit_test(nothing_behind_the_model_sees_the_tree),
        cmocka_unit_test(only_commands_print_and_only_base_allocates),
        cmocka_unit_test(json_has_one_writer),
        cmocka_unit_test(no_unfinished_work_is_marked),
        cmocka_unit_test(top_holds_the_fixed_names),
        cmocka_unit_test(wrong_includes_are_found),
        cmocka_unit_test(trees_are_found),
        cmocka_unit_test(wrong_calls_are_found),
        cmocka_unit_test(wrong_marks_and_names_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

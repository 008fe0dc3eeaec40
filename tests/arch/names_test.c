/* The names that the objects give to each other: each begins with a word of its module, so that one
 * sees where it is from. Static names are free.
 *
 * Reads the list of objects beside the binary that STUDBAY names. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* The words that names of a file or folder may begin with, besides those of the folder, the file
 * and their singulars: what is public of a module is mostly about one sort of thing. */
static const struct module {
    const char *path, *words;
} modules[] = {
    {"base/arena", "vec"},
    {"cmd", "command"},
    {"cuts", "pack"},
    {"cuts/labels", "label"},
    {"diag", "finding"},
    {"diag/near", "nearest"},
    {"emit", "report results"},
    {"emit/dot", "dot"},
    {"emit/reports/inspection_tally", "tally"},
    {"emit/reports/inspection_tell", "tell"},
    {"emit/reports/todo_coils", "todo"},
    {"emit/table", "cell"},
    {"emit/table_text", "table"},
    {"emit/views", "view"},
    {"emit/words", "words lead"},
    {"framing", "frame route"},
    {"framing/hops", "way"},
    {"libstudbay", "studbay handle"},
    {"loads/demand_parts", "demand"},
    {"loads/demand_ranges", "demand"},
    {"loads/order", "panel"},
    {"loads/panel", "panels"},
    {"loads/seats", "panel"},
    {"lsp", "announce sync"},
    {"lsp/position", "line encoding"},
    {"model", "build"},
    {"model/values", "clause val"},
    {"paper", "area fonts place"},
    {"paper/pdf_font", "pdf"},
    {"paper/pdf_page", "pdf"},
    {"propose", "string"},
    {"resolve", "library"},
    {"resolve/code", "table row edition"},
    {"resolve/tables", "edition library"},
    {"resolve/devices", "body def"},
    {"resolve/library", "def value"},
    {"resolve/line", "match"},
    {"resolve/mend", "match"},
    {"resolve/slip", "match"},
    {"resolve/node", "value"},
    {"resolve/value", "item"},
    {"rules/placing", "placing"},
    {"sheets", "page"},
    {"sheets/cards", "card"},
    {"sheets/circuits", "tree"},
    {"sheets/plans", "plan"},
    {"sheets/walls", "wall"},
};

/* Whether a name is the word, or the word and more behind a line. */
static bool begins(const char *name, const char *word, size_t len)
{
    return len && strncmp(name, word, len) == 0 && (name[len] == '_' || !name[len]);
}

static bool begins_with_part(const char *name, const char *part, size_t len)
{
    return begins(name, part, len) || (len && part[len - 1] == 's' && begins(name, part, len - 1));
}

static bool begins_with_one(const char *name, const char *words)
{
    for (const char *at = words; *at; at += strspn(at, " ")) {
        size_t len = strcspn(at, " ");
        if (begins(name, at, len))
            return true;
        at += len;
    }
    return false;
}

/* `path`: "rules/framing/bores", without the folder of the sources and the ending. */
static bool has_prefix(const char *path, const char *name)
{
    const char *folder = path, *file = strrchr(path, '/');
    file = file ? file + 1 : path;
    if (begins_with_part(name, folder, strcspn(folder, "/")) ||
        begins_with_part(name, file, strlen(file)))
        return true;
    for (size_t i = 0; i < sizeof modules / sizeof *modules; i++) {
        size_t len = strlen(modules[i].path);
        if (strncmp(path, modules[i].path, len) == 0 && (!path[len] || path[len] == '/') &&
            begins_with_one(name, modules[i].words))
            return true;
    }
    return false;
}

/* What the schema of the books, the list of rules and the compiler name by themselves, and what
 * bison wants named so. */
static bool is_given(const char *path, const char *name)
{
    return name[0] == '_' || strcmp(path, "main") == 0 || strncmp(path, "gen/", 4) == 0 ||
           strncmp(name, "rule_", 5) == 0 || strncmp(name, "check_of_", 9) == 0 ||
           strncmp(name, "blind_", 6) == 0 || strcmp(path, "resolve/book") == 0;
}

/* The folder that the binary lies in. */
static void build_folder(char *folder, size_t size)
{
    const char *binary = getenv("STUDBAY");
    assert_non_null(binary);
    snprintf(folder, size, "%.*s", (int)(strrchr(binary, '/') - binary), binary);
}

static void public_names_tell_their_module(void **state)
{
    (void)state;
    char folder[512], command[2048], line[1024];
    build_folder(folder, sizeof folder);
    snprintf(command, sizeof command,
             "sed -n 's|^.*/obj/|%s/obj/|p' '%s/objects' | xargs nm -A --defined-only -g", folder,
             folder);
    FILE *symbols = popen(command, "r");
    assert_non_null(symbols);
    unsigned names = 0, wrong = 0;
    while (fgets(line, sizeof line, symbols)) {
        char path[512], name[256];
        const char *start = strstr(line, "/obj/");
        assert_non_null(start);
        if (sscanf(start, "/obj/%511[^.].o:%*s %*c %255s", path, name) != 2)
            continue;
        names++;
        if (!is_given(path, name) && !has_prefix(path, name)) {
            print_error("src/%s.c: the public name %s does not begin with a word of its module\n",
                        path, name);
            wrong++;
        }
    }
    assert_int_equal(pclose(symbols), 0);
    assert_true(names > 500);
    assert_int_equal(wrong, 0);
}

static void wrong_names_are_found(void **state)
{
    (void)state;
    assert_true(has_prefix("base/arena", "arena_alloc"));
    assert_true(has_prefix("base/arena", "vec_grow"));
    assert_true(has_prefix("rules/framing/bores", "rules_member_count"));
    assert_true(has_prefix("rules/framing/bores", "bore_member"));
    assert_true(has_prefix("emit/reports/boxes", "report_boxes"));
    assert_false(has_prefix("base/map", "vec_grow"));
    assert_false(has_prefix("base/arena", "arenas"));
    assert_false(has_prefix("rules/framing/bores", "member_count"));
    assert_false(has_prefix("facts/facts", "is_light"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(public_names_tell_their_module),
        cmocka_unit_test(wrong_names_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

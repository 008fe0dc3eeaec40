/* Each line of the schema, src/resolve/book.def, is read by C: else it is to go. Run from the top
 * of the tree. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "source_text.h"

/* As C writes them, in the order of book.def. */
static const char *const words[] = {
#define TABLE(id, name, ...)          "TABLE_" #id,
#define LIST(id, name, ...)           "LIST_" #id,
#define SETTING(table, id, name, ...) "SET_" #table "_" #id,
#define COLUMN(table, id, name, ...)  "COL_" #table "_" #id,
#include "resolve/book.def"
};

enum { WORDS = sizeof words / sizeof *words };

static bool asked_in(const char *text, const char *word)
{
    return find_word(text, text, word) != NULL;
}

/* A table is asked for with any of its settings and columns too. */
static bool asked_with_settings(const char *text, const char *word)
{
    char own[100];
    size_t size = (size_t)snprintf(own, sizeof own, "%s_", word + strcspn(word, "_") + 1);
    for (size_t i = 0; strncmp(word, "TABLE_", 6) == 0 && i < WORDS; i++)
        if (strncmp(words[i], "TABLE_", 6) &&
            !strncmp(words[i] + strcspn(words[i], "_") + 1, own, size) && asked_in(text, words[i]))
            return true;
    return false;
}

/* All of src as one text without comments and quotes. */
static char *sources(void)
{
    struct file_list files = list_files("src");
    char *all = calloc(1, 1);
    size_t size = 0;
    for (size_t i = 0; i < files.count; i++) {
        char *text = ends_with(files.paths[i], ".c") || ends_with(files.paths[i], ".h")
                         ? read_text(files.paths[i])
                         : NULL;
        if (!text)
            continue;
        blank_comments(text, true);
        size_t more = strlen(text);
        all = realloc(all, size + more + 1);
        memcpy(all + size, text, more + 1);
        size += more;
        free(text);
    }
    free_files(&files);
    return all;
}

static void every_word_is_asked_for(void **state)
{
    (void)state;
    char *text = sources();
    unsigned wrong = 0;
    for (size_t i = 0; i < WORDS; i++)
        if (!asked_in(text, words[i]) && !asked_with_settings(text, words[i])) {
            print_error("src/resolve/book.def: nothing in src asks for %s\n", words[i]);
            wrong++;
        }
    free(text);
    assert_true(WORDS > 400);
    assert_int_equal(wrong, 0);
}

static void words_are_found(void **state)
{
    (void)state;
    static const char text[] =
        "code_share(c, SET_BOX_FILL_EACH_FURTHER, 0); code_list_has(c, LIST_DIMMERS, w);";
    assert_true(asked_in(text, "LIST_DIMMERS"));
    assert_false(asked_in(text, "LIST_DIM"));
    assert_false(asked_in(text, "TABLE_BOX_FILL"));
    assert_true(asked_with_settings(text, "TABLE_BOX_FILL"));
    assert_false(asked_with_settings(text, "TABLE_BOX_LOADS"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_word_is_asked_for),
        cmocka_unit_test(words_are_found),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

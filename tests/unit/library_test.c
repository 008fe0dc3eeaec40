/* A table that the library lacks is an error that names it, never a default: each is taken away from every edition, and the studio compiled. */
#include "compiled.h"
#include "resolve/embedded.h"

#include <sys/stat.h>

static const char *const tables[] = {"ampacity-copper", "conductor-allowance", "gfci-places", "gfci-near",  "gfci",           "gfci-scope",
                                     "afci",      "afci-places",         "weather-places", "switch-neutral-places", "receptacle-spacing-places", "damp-locations"};

/* The text with each 'table NAME {' or 'list NAME {' called by another name of the same length. */
static void rename_table(struct buf *text, const char *name)
{
    static const char *const words[] = {"table", "list"};
    for (int w = 0; w < 2; w++) {
        char head[80];
        snprintf(head, sizeof head, "\n  %s %s ", words[w], name);
        for (char *at = text->at; (at = strstr(at, head)); at++)
            at[strlen(head) - strlen(name) - 1] = 'z';
    }
}

static void write_library(const char *folder, const char *without)
{
    char path[512];
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        struct buf text = {0};
        buf_printf(&text, "%.*s", (int)embedded_stdlib[i].size, (const char *)embedded_stdlib[i].bytes);
        buf_text(&text);
        rename_table(&text, without);
        snprintf(path, sizeof path, "%s/%s", folder, embedded_stdlib[i].path);
        char *slash = strchr(path + strlen(folder) + 1, '/');
        if (slash) {
            *slash = 0;
            mkdir(path, 0700);
            *slash = '/';
        }
        FILE *f = fopen(path, "w");
        assert_non_null(f);
        assert_int_equal(fwrite(text.at, 1, text.n, f), text.n);
        assert_int_equal(fclose(f), 0);
        buf_free(&text);
    }
}

static void remove_library(const char *folder)
{
    char path[512];
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        snprintf(path, sizeof path, "%s/%s", folder, embedded_stdlib[i].path);
        unlink(path);
        char *slash = strchr(path + strlen(folder) + 1, '/');
        if (slash) {
            *slash = 0;
            rmdir(path);
        }
    }
    rmdir(folder);
}

static void missing_tables_are_told(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    assert_non_null(mkdtemp(folder));
    for (size_t i = 0; i < sizeof tables / sizeof *tables; i++) {
        struct compilation c;
        write_library(folder, tables[i]);
        compile(&c, "examples/studio/studio.bay", (struct compile_options){.stdlib = folder});
        const struct finding *f = finding_of(&c, R_LIBRARY, 0);
        if (!f)
            fprintf(stderr, "%s is not missed\n", tables[i]);
        assert_non_null(f);
        assert_non_null(strstr(f->message, tables[i]));
        compile_free(&c);
    }
    remove_library(folder);
}

/* The same way of writing it, with nothing taken away: no finding, so that the test above sees the table that is gone. */
static void a_whole_library_lacks_nothing(void **state)
{
    (void)state;
    char folder[] = "/tmp/studbay-library-XXXXXX";
    struct compilation c;
    assert_non_null(mkdtemp(folder));
    write_library(folder, "no-such-table");
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.stdlib = folder});
    assert_null(finding_of(&c, R_LIBRARY, 0));
    assert_int_equal(c.diag.counts[ERROR], 0);
    compile_free(&c);
    remove_library(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(missing_tables_are_told), cmocka_unit_test(a_whole_library_lacks_nothing)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

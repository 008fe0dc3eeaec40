/* The man pages, which are made of what the binary says of itself, and what shells complete, from
 * the same lists. */
#define _GNU_SOURCE
#include "shell.h"

#include "base/buf.h"
#include "base/file.h"
#include "cmd/cmd.h"

/* At the top of the tree. */
static const char *at_top(const char *line)
{
    return shell_run_in(".", line);
}

static int set_up(void **state)
{
    assert_int_equal(shell_begin(state), 0);
    at_top("sh src/cmd/man.sh \"$S\" $D/man");
    return shell_status;
}

/* Each command has its page, which has each option that it takes and an example; each form is in
 * the page of the language. */
static void pages_have_all(void **state)
{
    (void)state;
    static const struct {
        const char *name, *value;
    } options[] = {
#define OPTION(name, letter, value, member, doc) {name, value},
#include "cmd/options.def"
#undef OPTION
    };
    char path[128], wanted[128];
    for (uint32_t i = 0; i < command_count; i++) {
        struct buf page = {0};
        snprintf(path, sizeof path, "%s/man/studbay-%s.1", shell_folder, command_table[i].name);
        assert_true(file_read(&page, path, 1 << 20));
        for (size_t k = 0; k < sizeof options / sizeof *options; k++) {
            bool may_be_left = options[k].value && *options[k].value == '[';
            snprintf(wanted, sizeof wanted, "Fl \\-%s%s%s%s", options[k].name,
                     may_be_left        ? " Ns Oo"
                     : options[k].value ? " Ar "
                                        : "",
                     may_be_left || !options[k].value ? "" : options[k].value,
                     may_be_left ? "" : "\n");
            if (!strstr(buf_text(&page), wanted) == cmd_takes(&command_table[i], options[k].name))
                fail_msg("%s: %s", path, wanted);
        }
        snprintf(wanted, sizeof wanted, "\n  studbay %s", command_table[i].name);
        if (!strstr(buf_text(&page), ".Sh EXAMPLES\n.Bd -literal") ||
            !strstr(buf_text(&page), wanted))
            fail_msg("%s has no example of its command", path);
        buf_free(&page);
    }
    snprintf(path, sizeof path, "grep -c '^.It Li' $D/man/studbay.5");
    assert_true(atoi(at_top(path)) > 200);
}

/* By mandoc's own check of mdoc(7), of its strictest level. It looks for the pages that others name
 * among those that are installed; here they are looked for beside. */
static void pages_are_clean(void **state)
{
    (void)state;
    const char *said = at_top("for page in $D/man/*; do mandoc -T lint $page; done | grep -v "
                              "'referenced manual not found: Xr studbay'");
    assert_string_equal(said, "");
    said = at_top("cat $D/man/* | sed -n 's/^\\.Xr \\([^ ]*\\) \\([15]\\).*/\\1.\\2/p' | sort -u | "
                  "while read page; do test -f $D/man/$page || echo $page; done");
    assert_string_equal(said, "");
}

/* Examples of the pages are commands that exist, with options that they take. */
static void examples_can_be_typed(void **state)
{
    (void)state;
    const char *lines = at_top("sed -n 's/^  studbay \\([a-z]*\\) .*/\\1/p' $D/man/*.1 | sort -u");
    char copy[4096];
    snprintf(copy, sizeof copy, "%s", lines);
    unsigned n = 0;
    for (char *word = strtok(copy, "\n"); word; word = strtok(NULL, "\n"), n++) {
        uint32_t i = 0;
        while (i < command_count && strcmp(command_table[i].name, word) != 0)
            i++;
        assert_true(i < command_count);
    }
    assert_true(n > 10);
}

/* A line that is typed so far, its last word to be completed, and what must be offered for it, and
 * what must not. */
static const struct {
    const char *line, *offers, *lacks;
} typed[] = {
    {"dr", "draw", NULL},
    {"report cu", "cuts", "--format"},
    {"report --met", "--method", "--box"},
    {"draw examples/studio/studio.bay --box studio.S", "studio.S1", "P.1"},
    {"draw examples/studio/studio.bay --circuit P.1", "P.12", "studio.S1"},
    {"draw plan-p", "plan-power", NULL},
    {"book examples/studio/studio.bay --paper a", "a4", NULL},
    {"list dev", "devices", NULL},
    {"explain box-over", "box-overfilled", NULL},
    {"log examples/studio/studio.bay pu", "pulled", NULL},
    {"log examples/studio/studio.bay pulled studio.S", "studio.S1", "P.12"},
    {"check --stri", "--strict", "--box"},
};

/* What each shell does with the words; $LINE is the line. */
static const struct {
    const char *name, *script;
} shells[] = {
    {"bash", "bash -c 'source $D/bash; read -ra COMP_WORDS <<<\"studbay $LINE\"; "
             "COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); "
             "_studbay; printf \"%s\\n\" \"${COMPREPLY[@]}\"'"},
    {"zsh", "zsh -f -c 'compadd() { shift; print -l -- $@ }; _describe() { print -l -- "
            "${${(P)2}%%:*} }; _files() { print files }; "
            "words=(studbay ${=LINE}); CURRENT=${#words}; PREFIX=${words[-1]}; source $D/zsh' | "
            "grep -e \"^${LINE##* }\""},
    {"fish", "fish --no-config -c 'source $D/fish; complete -C \"studbay $LINE\"' | cut -f1"},
};

static bool offers(const char *said, const char *word)
{
    size_t n = strlen(word);
    for (const char *p = said; (p = strstr(p, word)); p += n)
        if ((p == said || p[-1] == '\n') && p[n] == '\n')
            return true;
    return false;
}

static void shells_complete_what_there_is(void **state)
{
    (void)state;
    const char *must = getenv("EDITORS");
    char line[2048];
    for (size_t i = 0; i < sizeof shells / sizeof *shells; i++) {
        snprintf(line, sizeof line, "command -v %s", shells[i].name);
        if (!*at_top(line)) {
            if (must && !strcmp(must, "must"))
                fail_msg("there is no %s", shells[i].name);
            print_message("not run: there is no %s\n", shells[i].name);
            continue;
        }
        snprintf(line, sizeof line, "sh src/cmd/completions.sh studbay %s >$D/%s", shells[i].name,
                 shells[i].name);
        assert_string_equal(at_top(line), "");
        for (size_t k = 0; k < sizeof typed / sizeof *typed; k++) {
            snprintf(line, sizeof line, "export LINE='%s'; %s", typed[k].line, shells[i].script);
            const char *said = at_top(line);
            if (!offers(said, typed[k].offers) || (typed[k].lacks && offers(said, typed[k].lacks)))
                fail_msg("%s: studbay %s: %s", shells[i].name, typed[k].line, said);
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pages_have_all),
        cmocka_unit_test(pages_are_clean),
        cmocka_unit_test(examples_can_be_typed),
        cmocka_unit_test(shells_complete_what_there_is),
    };
    return cmocka_run_group_tests(tests, set_up, shell_end);
}

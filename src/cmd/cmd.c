/* The command line: commands, options, help, and the two streams that they all write to. */
#include "cmd/cmd.h"

#include "base/file.h"
#include "base/utf8.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

const struct command command_table[] = {
#define COMMAND(name, function, usage, doc, options, help)                                         \
    {name, usage, doc, options, help, function},
#include "cmd/commands.def"
#undef COMMAND
};
const uint32_t command_count = sizeof command_table / sizeof *command_table;

struct option {
    const char *name;
    char letter;
    const char *value, *doc;
    size_t at; /* where in struct invocation it is kept */
};

static const struct option option_table[] = {
#define OPTION(name, letter, value, member, doc)                                                   \
    {name, letter, value, doc, offsetof(struct invocation, member)},
#include "cmd/options.def"
#undef OPTION
};
enum { OPTION_COUNT = sizeof option_table / sizeof *option_table };

/* --- streams ------------------------------------------------------------------------------ */

/* False with errno set. A stream that has failed before is written no more. */
static bool write_stream(FILE *stream, const struct buf *b)
{
    for (size_t at = 0; at < b->n;) {
        errno = 0;
        at += fwrite(b->at + at, 1, b->n - at, stream);
        if (at < b->n && errno != EINTR)
            return false;
        clearerr(stream);
    }
    return fflush(stream) == 0;
}

void cmd_write_error(const struct buf *b)
{
    if (!ferror(stderr))
        write_stream(stderr, b);
}

void cmd_show_findings(struct diag *d)
{
    struct buf out = {0};
    diag_text(d, &out, (struct diag_style){.color = cmd_error_in_color()});
    cmd_write_error(&out);
    buf_free(&out);
}

int cmd_complain(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int len = vsnprintf(NULL, 0, format, args);
    va_end(args);
    struct buf text = {0}, masked = {0};
    buf_reserve(&text, (size_t)len + 1);
    buf_reserve(&masked, UTF8_MASKED(len) + 1);
    va_start(args, format);
    vsnprintf(text.at, (size_t)len + 1, format, args);
    va_end(args);
    utf8_mask(masked.at, text.at, (size_t)len);
    text.n = 0;
    buf_printf(&text, "studbay: %s\n", masked.at);
    cmd_write_error(&text);
    buf_free(&text);
    buf_free(&masked);
    return EXIT_USAGE;
}

int cmd_complain_unknown(const char *kind, const char *name, const char *const *names,
                         uint32_t count)
{
    const char *nearest = diag_nearest(name, names, count);
    if (nearest)
        return cmd_complain("there is no %s '%s'; did you mean '%s'?", kind, name, nearest);
    return cmd_complain("there is no %s '%s'", kind, name);
}

uint32_t cmd_find_name(const char *name, const char *const *names, uint32_t count)
{
    uint32_t i = 0;
    while (i < count && strcmp(names[i], name))
        i++;
    return i;
}

static bool written_to(const char *path, bool written)
{
    if (!written)
        cmd_complain("cannot write %s: %s", path, strerror(errno));
    return written;
}

bool cmd_save_file(const struct buf *b, const char *path)
{
    return written_to(path, file_save(b, path));
}

bool cmd_write_files(const struct file_text *files, size_t count)
{
    size_t failed;
    bool written = file_write_all(files, count, &failed);
    return written_to(files[failed].path, written);
}

void cmd_put_path(struct buf *out, const char *path)
{
    if (isatty(STDOUT_FILENO))
        utf8_put_masked(out, path);
    else
        buf_puts(out, path);
}

bool cmd_write_output(const struct buf *b, const char *path)
{
    if (path)
        return written_to(path, file_write(b, path));
    if (ferror(stdout))
        return false; /* it is said already */
    bool written = write_stream(stdout, b);
    if (!written)
        cmd_complain("cannot write to standard output: %s", strerror(errno));
    return written;
}

static bool may_replace(bool read, const char *path)
{
    if (read)
        cmd_complain("%s is read for this: it is not written over", path);
    return !read;
}

bool cmd_may_replace(const struct compilation *c, const char *path)
{
    return may_replace(path && compile_has_read(c, path), path);
}

bool cmd_may_write(const struct studbay_plan *plan, const char *path)
{
    return may_replace(path && studbay_has_read(plan, path), path);
}

bool cmd_error_in_color(void)
{
    const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");
    return !no_color && term && strcmp(term, "dumb") && isatty(STDERR_FILENO);
}

int cmd_plan_status(const struct diag *d, bool strict)
{
    return d->counts[ERROR] || (strict && d->counts[WARNING]) ? EXIT_PLAN : EXIT_FINE;
}

/* --- help --------------------------------------------------------------------------------- */

static const char usage[] = "studbay: a compiler for electrical rough-in plans\n\n"
                            "usage: studbay COMMAND [OPTION...] PLAN\n"
                            "       studbay --help | --version | COMMAND --help\n\n"
                            "A PLAN is a .bay file, or - for standard input.\n\ncommands:\n";

static const char statuses[] = "\nexit status: 0 no errors, 1 errors in the plan, 2 bad usage or a "
                               "file that cannot be read or written,\n"
                               "3 a proof that failed.\n\n"
                               "studbay helps to plan; it does not replace a permit, an "
                               "inspection, a licensed electrician or the local\n"
                               "authority, which decides.\n";

static void general_help(struct buf *b)
{
    buf_puts(b, usage);
    for (uint32_t i = 0; i < command_count; i++)
        buf_printf(b, "  %-9s %s\n", command_table[i].name, command_table[i].doc);
    buf_puts(b, statuses);
}

bool cmd_takes(const struct command *command, const char *option)
{
    const char *at = command->options;
    size_t len = strlen(option);
    while ((at = strstr(at, option))) {
        if ((at == command->options || at[-1] == ' ') && (at[len] == ' ' || !at[len]))
            return true;
        at += len;
    }
    return false;
}

/* --fix, and --fix=RULE */
static bool may_lack_value(const struct option *o)
{
    return o->value && *o->value == '[';
}

static void command_help(struct buf *b, const struct command *command)
{
    buf_printf(b, "usage: studbay %s [OPTION...]%s%s\n\n%s: %s.\n%s\noptions:\n", command->name,
               *command->usage ? " " : "", command->usage, command->name, command->doc,
               command->help);
    for (int i = 0; i < OPTION_COUNT; i++) {
        const struct option *o = &option_table[i];
        if (!cmd_takes(command, o->name))
            continue;
        struct buf name = {0};
        if (o->letter)
            buf_printf(&name, "-%c, ", o->letter);
        buf_printf(&name, "--%s%s%s", o->name, o->value && !may_lack_value(o) ? " " : "",
                   o->value ? o->value : "");
        buf_printf(b, "  %-20s %s\n", buf_text(&name), o->doc);
        buf_free(&name);
    }
    buf_printf(b, "  %-20s %s\n", "-h, --help", "this help");
}

static int print_help(const struct command *command)
{
    struct buf b = {0};
    if (command)
        command_help(&b, command);
    else
        general_help(&b);
    bool written = cmd_write_output(&b, NULL);
    buf_free(&b);
    return written ? EXIT_FINE : EXIT_USAGE;
}

static int print_version(void)
{
    struct buf b = {0};
    buf_puts(&b, "studbay " STUDBAY_VERSION "\n");
    bool written = cmd_write_output(&b, NULL);
    buf_free(&b);
    return written ? EXIT_FINE : EXIT_USAGE;
}

/* --- reading the command line ------------------------------------------------------------- */

/* The words that are left, and what is said of them. */
struct words {
    int argc, next;
    char **argv;
};

static const struct option *option_named(const char *name, size_t len)
{
    for (int i = 0; i < OPTION_COUNT; i++)
        if (strlen(option_table[i].name) == len && !memcmp(option_table[i].name, name, len))
            return &option_table[i];
    return NULL;
}

static int unknown_option(const struct invocation *inv, const char *name)
{
    const char *known[OPTION_COUNT + 2];
    uint32_t n = 0;
    for (int i = 0; i < OPTION_COUNT; i++)
        if (cmd_takes(inv->command, option_table[i].name))
            known[n++] = option_table[i].name;
    known[n++] = "help";
    const char *nearest = diag_nearest(name, known, n);
    if (nearest)
        return cmd_complain("%s takes no option --%s; did you mean --%s?", inv->command->name, name,
                            nearest);
    return cmd_complain("%s takes no option --%s; `studbay %s --help` lists its options",
                        inv->command->name, name, inv->command->name);
}

/* Keeps an option; `value` is what stood behind = or the letter, or NULL. 0 or an exit status. */
static int keep_option(struct invocation *inv, struct words *w, const struct option *o,
                       const char *value)
{
    if (!o->value) {
        if (value)
            return cmd_complain("--%s takes no value", o->name);
        value = "";
    } else if (!value && may_lack_value(o)) {
        value = "";
    } else if (!value) {
        if (w->next >= w->argc)
            return cmd_complain("--%s wants a value: --%s %s", o->name, o->name, o->value);
        value = w->argv[w->next++];
    }
    const char **kept = (const char **)((char *)inv + o->at);
    if (*kept && o->value)
        return cmd_complain("--%s is given twice", o->name);
    *kept = value;
    return 0;
}

static int long_option(struct invocation *inv, struct words *w, const char *word)
{
    const char *equals = strchr(word, '=');
    size_t len = equals ? (size_t)(equals - word) : strlen(word);
    const struct option *o = option_named(word, len);
    if (!o || !cmd_takes(inv->command, o->name))
        return unknown_option(inv, arena_copy(inv->arena, word, len));
    return keep_option(inv, w, o, equals ? equals + 1 : NULL);
}

static int short_option(struct invocation *inv, struct words *w, const char *word)
{
    for (int i = 0; i < OPTION_COUNT; i++)
        if (option_table[i].letter == word[0] && word[0] &&
            cmd_takes(inv->command, option_table[i].name))
            return keep_option(inv, w, &option_table[i], word[1] ? word + 1 : NULL);
    return cmd_complain("%s takes no option -%c; `studbay %s --help` lists its options",
                        inv->command->name, word[0], inv->command->name);
}

static bool is_help(const char *word)
{
    return !strcmp(word, "-h") || !strcmp(word, "--help");
}

/* Whether what stands behind its first operand is another command's. */
static bool passes_on(const struct command *command)
{
    return strstr(command->options, "...");
}

/* Sorts the words into options and operands. 0 or an exit status; `help` where help is asked for.
 */
static int sort_words(struct invocation *inv, struct words *w, bool *help)
{
    bool only_operands = false;
    while (w->next < w->argc) {
        const char *word = w->argv[w->next++];
        int status = 0;
        if (only_operands || word[0] != '-' || !word[1]) {
            inv->operands[inv->operand_count++] = word;
            only_operands |= passes_on(inv->command);
        } else if (!strcmp(word, "--")) {
            only_operands = true;
        } else if (is_help(word)) {
            *help = true;
            return 0;
        } else {
            status =
                word[1] == '-' ? long_option(inv, w, word + 2) : short_option(inv, w, word + 1);
        }
        if (status)
            return status;
    }
    return 0;
}

static int run_command(struct arena *arena, const struct command *command, int argc, char **argv)
{
    struct invocation inv = {
        .command = command, .arena = arena, .operands = arena_array(arena, const char *, argc + 1)};
    struct words w = {.argc = argc, .argv = argv};
    bool help = false;
    int status = sort_words(&inv, &w, &help);
    if (status)
        return status;
    return help ? print_help(command) : command->run(&inv);
}

/* Runs what the words say; gives its status. */
static int run_words(int argc, char **argv)
{
    struct buf help = {0};
    if (argc < 2) {
        general_help(&help);
        cmd_write_error(&help);
        buf_free(&help);
        return EXIT_USAGE;
    }
    if (is_help(argv[1]))
        return print_help(NULL);
    if (!strcmp(argv[1], "--version"))
        return print_version();
    const char **names;
    struct arena arena = {0};
    names = arena_array(&arena, const char *, command_count);
    for (uint32_t i = 0; i < command_count; i++)
        names[i] = command_table[i].name;
    uint32_t at = cmd_find_name(argv[1], names, command_count);
    int status;
    if (argv[1][0] == '-' && argv[1][1])
        status = cmd_complain("the command comes first; `studbay --help` lists the commands");
    else if (at == command_count)
        status = cmd_complain_unknown("command", argv[1], names, command_count);
    else
        status = run_command(&arena, &command_table[at], argc - 2, argv + 2);
    arena_free(&arena);
    return status;
}

int command_main(int argc, char **argv)
{
    int status = run_words(argc, argv);
    return status == EXIT_FINE && ferror(stderr) ? EXIT_USAGE : status;
}

/* studbay log: events of the site, checked against the plan and added to the log beside it. */
#include "cmd/cmd.h"

#include "cmd/log_next.h"

#include "base/file.h"
#include "base/utf8.h"
#include "log/log.h"
#include "prove/prove.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { LARGEST_INPUT = 1 << 20 };

/* Today, or the day of SOURCE_DATE_EPOCH; NULL, with a message, where that is no time. */
static const char *today(struct arena *arena)
{
    int64_t epoch;
    if (!cmd_read_epoch(&epoch))
        return NULL;
    time_t now = epoch < 0 ? time(NULL) : (time_t)epoch;
    struct tm day;
    char text[64];
    if (!(epoch < 0 ? localtime_r(&now, &day) : gmtime_r(&now, &day)) ||
        !strftime(text, sizeof text, "%Y-%m-%d", &day)) {
        cmd_complain("the clock has no day that can be written");
        return NULL;
    }
    return arena_copy(arena, text, strlen(text));
}

/* What stands on a label, whose quotes the shell has taken away: words held together, right behind
 * that for the event. An event or a part of one may be held together too; it has a word for it, or
 * ends in a length. */
static bool is_label(const char **words, uint32_t at)
{
    static const char *const others[] = {"->", " to ", " from ", " cable ", "\"", "#", "\n"};
    const char *word = words[at], *last = strrchr(word, ' ');
    if (at && last && !strcmp(words[at - 1], log_state_word(LOG_PHOTO)))
        return !strchr(word, '"'); /* a file whose name has blanks */
    if (!at || !last || strchr("0123456789", last[1]) || !log_is_state_word(words[at - 1]))
        return false;
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (strstr(word, others[i]))
            return false;
    return true;
}

static const char *joined(struct arena *arena, const char **words, uint32_t count)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < count; i++) {
        const char *quote = is_label(words, i) ? "\"" : "";
        buf_printf(&b, "%s%s%s%s", i ? " " : "", quote, words[i], quote);
    }
    const char *text = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return text;
}

/* Whether a line has what nobody reads: it would go into the log and to every terminal. */
static bool has_hidden(const char *line)
{
    size_t n;
    for (const char *end = line + strlen(line); line < end; line += n) {
        uint32_t c = utf8_next(line, end, &n);
        if (c == UTF8_BAD || (c != '\r' && utf8_is_hidden(c)))
            return true;
    }
    return false;
}

/* One event a line. False with a message where one of them is refused: then none is written. */
static bool accept_all(struct compilation *c, const char *day, const char *events,
                       struct buf *lines)
{
    const char *at = events;
    bool fine = true;
    while (*at) {
        size_t len = strcspn(at, "\n");
        const char *event = arena_copy(&c->arena, at, len), *why = NULL;
        at += len + (at[len] == '\n');
        if (!event[strspn(event, " \t\r")] || event[strspn(event, " \t")] == '#')
            continue;
        const char *line = NULL;
        if (has_hidden(event))
            why = "a control or hidden character, or what is no UTF-8, does not belong in the log";
        else
            line = log_accept(c->log, &c->arena, day, event, &why);
        if (line && !*line)
            cmd_complain("the log says so already: %s", event);
        else if (line)
            buf_puts(lines, line);
        else
            cmd_complain("%s", why);
        fine = fine && line;
    }
    return fine;
}

/* What was written is shown, so that a slip is seen at once. */
static int write_events(const struct invocation *inv, struct compilation *c, const char *path,
                        const char *events)
{
    struct buf lines = {0};
    int status = EXIT_PLAN;
    const char *day = today(&c->arena);
    if (!day)
        return EXIT_USAGE;
    if (accept_all(c, day, events, &lines)) {
        const char *failed = lines.n ? log_append(&c->arena, path, &lines) : NULL;
        status = !failed && (!lines.n || cmd_write_output(&lines, NULL)) ? EXIT_FINE : EXIT_USAGE;
        if (failed)
            cmd_complain("%s", failed);
        else if (lines.n)
            cmd_tell_next(inv, buf_text(&lines));
    }
    buf_free(&lines);
    return status;
}

static const char *read_events(const struct invocation *inv)
{
    if (inv->operand_count > 2 || strcmp(inv->operands[1], "-") != 0)
        return joined(inv->arena, inv->operands + 1, inv->operand_count - 1);
    struct buf b = {0};
    const char *events =
        file_read(&b, "-", LARGEST_INPUT) ? arena_copy(inv->arena, buf_text(&b), b.n) : NULL;
    int why = errno;
    buf_free(&b);
    errno = why;
    return events;
}

int command_log(const struct invocation *inv)
{
    if (inv->operand_count < 2)
        return cmd_complain(
            "log wants a plan and an event: studbay log PLAN pulled 'studio.S1 -> L1' 24ft");
    const char *path = log_path(inv->arena, inv->operands[0]);
    if (!path)
        return cmd_complain("log wants a plan in a file: its log lies beside it");
    const char *events = read_events(inv);
    if (!events)
        return cmd_complain("cannot read the events from standard input: %s", strerror(errno));
    struct compilation c = {0};
    int status = EXIT_USAGE;
    compile(&c, inv->operands[0], (struct compile_options){.stdlib = inv->stdlib});
    if (c.io_failed || !c.model || !c.routes || !c.wiring) {
        cmd_show_findings(&c.diag);
    } else if (!c.verdict->holds) {
        status = cmd_tell_unproven(&c);
    } else {
        if (!c.log)
            c.log = log_read(&c.arena, c.model, c.routes, c.wiring,
                             &(struct source){.path = path, .bytes = ""});
        status = write_events(inv, &c, path, events);
    }
    compile_free(&c);
    return status;
}

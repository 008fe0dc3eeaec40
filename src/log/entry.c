/* A line of the log: DATE [not] STATE SUBJECT [cable CABLE] [LENGTH] [from COIL] [# note]. A
 * subject in quotes is what stands on a label. */
#include "log/entry.h"

#include "base/date.h"
#include "diag/diag.h"
#include "log/log.h"
#include "resolve/measure.h"

#include <string.h>

static const char *const states[] = {
    [LOG_SET] = "set",         [LOG_BORED] = "bored",     [LOG_PULLED] = "pulled",
    [LOG_STAPLED] = "stapled", [LOG_MADE_UP] = "made-up", [LOG_INSPECTED] = "inspected",
    [LOG_TRIMMED] = "trimmed", [LOG_TESTED] = "tested",   [LOG_CLOSED] = "closed",
    [LOG_REMOVED] = "removed", [LOG_PHOTO] = "photo",
};

const char *log_state_word(enum log_state state)
{
    return states[state];
}

bool log_is_state_word(const char *word)
{
    for (int s = 0; s < LOG_STATES; s++)
        if (!strcmp(word, states[s]))
            return true;
    return false;
}

struct word_list {
    VEC(const char *) word;
    uint32_t next;
    const char *note; /* behind the words: "# tight", or NULL */
    bool open;        /* a quote has no end */
};

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static bool is_figure(char c)
{
    return c >= '0' && c <= '9';
}

/* Where a word ends: at a blank or an arrow, what is quoted at its second quote. */
static const char *word_end(const char *p, bool *open)
{
    if (*p == '"') {
        const char *end = strchr(p + 1, '"');
        *open = *open || !end;
        return end ? end + 1 : p + strlen(p);
    }
    if (p[0] == '-' && p[1] == '>')
        return p + 2;
    while (*p && !is_blank(*p) && !(p[0] == '-' && p[1] == '>'))
        p++;
    return p;
}

/* From its # to the end of the line, the blanks there left out. */
static const char *note_at(struct arena *arena, const char *p)
{
    size_t len = strlen(p);
    while (len && is_blank(p[len - 1]))
        len--;
    return arena_copy(arena, p, len);
}

/* The words before a note, and the note; an arrow is a word of its own. */
static struct word_list split(struct arena *arena, const char *line)
{
    struct word_list list = {0};
    const char *p = line;
    while (*p) {
        if (is_blank(*p)) {
            p++;
            continue;
        }
        if (*p == '#') {
            list.note = note_at(arena, p);
            break;
        }
        const char *end = word_end(p, &list.open);
        *vec_push(arena, &list.word) = arena_copy(arena, p, (size_t)(end - p));
        p = end;
    }
    return list;
}

static const char *peek(const struct word_list *w)
{
    return w->next < w->word.n ? w->word.at[w->next] : "";
}

static bool take(struct word_list *w, const char *word)
{
    if (strcmp(peek(w), word) != 0)
        return false;
    w->next++;
    return true;
}

static const char *joined(struct arena *arena, const struct word_list *w, uint32_t from,
                          uint32_t to)
{
    struct buf b = {0};
    for (uint32_t i = from; i < to; i++)
        buf_printf(&b, "%s%s", i > from ? " " : "", w->word.at[i]);
    const char *text = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return text;
}

/* The one state whose word begins so; LOG_STATES: none, or several. */
static int begun_state(const char *word)
{
    int found = LOG_STATES;
    for (int s = 0; s < LOG_STATES; s++)
        if (!strncmp(states[s], word, strlen(word))) {
            if (found < LOG_STATES)
                return LOG_STATES;
            found = s;
        }
    return found;
}

/* In the log the words stand in full; `typed` are beginnings of theirs enough. */
static bool read_state(struct arena *arena, struct word_list *w, bool typed,
                       struct log_event *event, const char **why)
{
    event->undoes = take(w, "not");
    const char *word = peek(w);
    for (int s = 0; s < LOG_STATES; s++)
        if (take(w, states[s])) {
            event->state = (enum log_state)s;
            return true;
        }
    const char *near = diag_nearest(word, states, LOG_STATES);
    int begun = typed && *word ? begun_state(word) : LOG_STATES;
    if (begun < LOG_STATES) {
        w->next++;
        event->state = (enum log_state)begun;
        return true;
    }
    if (near)
        *why = arena_printf(arena, "'%s' is no event; did you mean '%s'?", word, near);
    else
        *why = arena_printf(arena,
                            "'%s' is no event; an event is set, bored, pulled, stapled, made-up, "
                            "inspected, trimmed, tested, closed, removed or photo",
                            word);
    return false;
}

/* Up to a length or a word of what follows it. `to` may stand for the arrow, which a shell takes
 * for its own. */
static void read_subject(struct arena *arena, struct word_list *w, struct log_event *event)
{
    uint32_t from = w->next;
    if (*peek(w) == '"') {
        event->subject = w->word.at[w->next++];
        return;
    }
    bool named = take(w, "circuit") || take(w, "low-voltage") || take(w, "joists");
    if (named && *peek(w))
        w->next++;
    while (*peek(w) && !is_figure(*peek(w)) && strcmp(peek(w), "cable") != 0 &&
           strcmp(peek(w), "from") != 0) {
        if (!strcmp(peek(w), "to"))
            w->word.at[w->next] = "->";
        w->next++;
    }
    event->subject = joined(arena, w, from, w->next);
}

/* 24ft-6in, which needs no quoting in a shell, as 24'-6". */
static const char *with_marks(struct arena *arena, const char *measure)
{
    struct buf b = {0};
    for (const char *p = measure; *p; p++) {
        bool feet = !strncmp(p, "ft", 2), inches = !strncmp(p, "in", 2);
        buf_putc(&b, feet ? '\'' : inches ? '"' : *p);
        p += feet || inches;
    }
    const char *text = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return text;
}

/* "FILE of ROOM WALL"; a name with blanks stands in quotes. */
static bool read_photo(struct arena *arena, struct word_list *w, struct log_event *event,
                       const char **why)
{
    const char *name = peek(w);
    event->photo = *name == '"' ? arena_copy(arena, name + 1, strlen(name) - 2) : name;
    if (!*event->photo) {
        *why = "the file of the photograph is missing";
        return false;
    }
    w->next++;
    if (!take(w, "of") || !*peek(w)) {
        *why = "a photograph is of something: photo FILE of ROOM WALL";
        return false;
    }
    uint32_t from = w->next;
    w->next = w->word.n;
    event->subject = joined(arena, w, from, w->next);
    return true;
}

/* Of a run: which cable it is. */
static bool read_cable(struct word_list *w, struct log_event *event, const char **why)
{
    if (!take(w, "cable"))
        return true;
    if (!*peek(w)) {
        *why = "the cable's name is missing after 'cable'";
        return false;
    }
    event->cable = w->word.at[w->next++];
    return true;
}

static bool read_pull(struct arena *arena, struct word_list *w, struct log_event *event,
                      const char **why)
{
    uint32_t from = w->next;
    while (*peek(w) && strcmp(peek(w), "from") != 0)
        w->next++;
    const char *measure = joined(arena, w, from, w->next);
    if (*measure && (!measure_length(arena, with_marks(arena, measure), &event->length) ||
                     event->length <= 0)) {
        *why = arena_printf(arena, "'%s' is no length such as 24'-6\"", measure);
        return false;
    }
    if (take(w, "from")) {
        if (!*peek(w)) {
            *why = "the coil's name is missing after 'from'";
            return false;
        }
        event->coil = w->word.at[w->next++];
    }
    return true;
}

bool entry_read(struct arena *arena, const char *line, const char *today, struct log_event *event,
                const char **why)
{
    struct word_list w = split(arena, line);
    event->note = w.note;
    if (w.open) {
        *why = "a quote has no end";
        return false;
    }
    if (!w.word.n)
        return true;
    if (date_is(peek(&w))) {
        event->date = w.word.at[w.next++];
    } else if (today && !date_has_form(peek(&w))) {
        event->date = today;
    } else {
        *why = arena_printf(arena, "'%s' is no date such as 2026-03-14", peek(&w));
        return false;
    }
    if (!read_state(arena, &w, today != NULL, event, why))
        return false;
    if (event->state != LOG_PHOTO)
        read_subject(arena, &w, event);
    else if (!read_photo(arena, &w, event, why))
        return false;
    if (!*event->subject) {
        *why = arena_printf(arena, "what was %s is missing", states[event->state]);
        return false;
    }
    if (log_is_of_cables(event->state) && !read_cable(&w, event, why))
        return false;
    if (event->state == LOG_PULLED && !read_pull(arena, &w, event, why))
        return false;
    if (*peek(&w)) {
        *why = arena_printf(arena, "'%s' does not belong in this event", peek(&w));
        return false;
    }
    event->words = entry_words(arena, event);
    return true;
}

const char *entry_words(struct arena *arena, const struct log_event *event)
{
    struct buf b = {0};
    const char *quote = event->photo && strpbrk(event->photo, " \t") ? "\"" : "";
    if (event->photo)
        buf_printf(&b, "%s %s%s%s of %s", states[event->state], quote, event->photo, quote,
                   event->subject);
    else
        buf_printf(&b, "%s %s", states[event->state], event->subject);
    if (event->cable)
        buf_printf(&b, " cable %s", event->cable);
    if (event->length) {
        buf_putc(&b, ' ');
        length_print(&b, event->length);
    }
    if (event->coil)
        buf_printf(&b, " from %s", event->coil);
    const char *words = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

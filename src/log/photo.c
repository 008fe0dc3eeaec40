/* Photographs of what lies behind a finish: files beside the log, which it names. */
#include "diag/diag.h"
#include "log/entry.h"
#include "log/log.h"
#include "model/address.h"
#include "model/finding.h"
#include "model/model.h"
#include "model/site.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Whether a file begins as a JPEG does (ISO/IEC 10918-1, B.1.1.3: SOI, then a marker) or a PNG
 * (PNG specification, 5.2). */
static bool is_picture(const char *path)
{
    static const unsigned char png[] = {0x89, 'P', 'N', 'G', '\r', '\n', 0x1a, '\n'},
                               jpeg[] = {0xff, 0xd8, 0xff};
    unsigned char first[sizeof png] = {0};
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    ssize_t n = fd < 0 ? 0 : read(fd, first, sizeof first);
    if (fd >= 0)
        close(fd);
    return (n >= (ssize_t)sizeof png && !memcmp(first, png, sizeof png)) ||
           (n >= (ssize_t)sizeof jpeg && !memcmp(first, jpeg, sizeof jpeg));
}

/* The folder of a file with a slash at its end, links followed; NULL where there is none. */
static const char *folder_of(struct arena *arena, const char *path)
{
    char real[PATH_MAX];
    const char *slash = strrchr(path, '/');
    const char *folder = slash ? arena_copy(arena, path, (size_t)(slash + 1 - path)) : "./";
    return realpath(folder, real) ? arena_printf(arena, "%s/", strcmp(real, "/") ? real : "")
                                  : NULL;
}

const char *photo_find(struct arena *arena, const char *log_path, const char *file,
                       const char **why)
{
    char real[PATH_MAX];
    struct stat st;
    const char *folder = folder_of(arena, log_path);
    bool found =
        folder && *file != '/' && realpath(arena_printf(arena, "%s%s", folder, file), real);
    const char *fault =
        *file == '/'                              ? "is not named by its path from the log's folder"
        : !found                                  ? strerror(folder ? errno : ENOENT)
        : strncmp(real, folder, strlen(folder))   ? "leads out of the log's folder"
        : stat(real, &st) || !S_ISREG(st.st_mode) ? "is no plain file"
        : st.st_size > (off_t)MOST_PHOTO_MB << 20
            ? arena_printf(arena, "is larger than %d MB: make it smaller", MOST_PHOTO_MB)
        : !is_picture(real) ? "is no JPEG or PNG"
                            : NULL;
    if (!fault)
        return arena_printf(arena, "%s", real);
    *why = arena_printf(arena, "the photograph %s%s %s", file, found || *file == '/' ? "" : ":",
                        fault);
    return NULL;
}

/* --- findings ----------------------------------------------------------------------------- */

RULE(photo_missing, "photo-missing", WARNING, WAIVABLE,
     "each photograph of the site log is there and can be shown");

RULE(photo_too_late, "photo-too-late", NOTE, FIRM,
     "a photograph shows what lies behind the finish");

/* Whether what is closed of a room has what is shown of it. */
static bool is_part(const struct log_subject *part, const struct log_subject *whole)
{
    return (!whole->wall && !whole->ceiling) || (whole->wall && whole->wall == part->wall) ||
           (whole->ceiling && part->ceiling);
}

const char *log_closed_on(const struct site_log *log, const struct log_event *e)
{
    const log_closings *closings = map_find(&log->closings, 0, e->about.closed);
    const char *first = NULL;
    for (uint32_t i = 0; closings && i < closings->n; i++) {
        const struct log_event *c = closings->at[i];
        if (is_part(&e->about, &c->about) && (!first || strcmp(c->date, first) < 0))
            first = c->date;
    }
    return first;
}

static const char *of_words(struct arena *arena, const struct log_subject *about)
{
    const char *room = address_of_room(arena, about->closed, true);
    return about->wall ? arena_printf(arena, "the %s wall of room '%s'", about->wall->name, room)
           : about->ceiling ? arena_printf(arena, "the ceiling of room '%s'", room)
                            : arena_printf(arena, "room '%s'", room);
}

static void look_at(struct site_log *log, struct model *m, struct log_event *e)
{
    const char *why = NULL, *closed = log_closed_on(log, e);
    bool looked = !e->span.source->off_disk; /* else nothing lies beside the log */
    if (looked)
        e->photo_path = photo_find(m->arena, log->path, e->photo, &why);
    if (looked && !e->photo_path) {
        struct finding *f = diag_add(m->diag, &rule_photo_missing, e->span, "%s", why);
        f->subject = address_of_room(m->arena, e->about.closed, false);
        diag_mend(m->diag, f, "put it beside the log, or take the event back with 'not'");
    }
    if (closed && strcmp(e->date, closed) > 0)
        diag_add(
            m->diag, &rule_photo_too_late, e->span,
            "the photograph %s was taken on %s, and %s was closed on %s: it does not show what "
            "lies behind",
            e->photo, e->date, of_words(m->arena, &e->about), closed);
}

static void note_closings(struct site_log *log, struct model *m)
{
    for (uint32_t i = 0; i < log->events.n; i++) {
        struct log_event *e = log->events.at[i];
        if (e->state != LOG_CLOSED || !e->about.closed || e->undoes || e->taken_back)
            continue;
        void **at = map_at(m->arena, &log->closings, 0, (uintptr_t)e->about.closed);
        if (!*at)
            *at = arena_new(m->arena, log_closings);
        *vec_push(m->arena, (log_closings *)*at) = e;
    }
}

void photo_settle(struct site_log *log, struct model *m)
{
    note_closings(log, m);
    for (uint32_t i = 0; i < log->events.n; i++) {
        struct log_event *e = log->events.at[i];
        if (e->state == LOG_PHOTO && e->about.closed && !e->undoes && !e->taken_back)
            look_at(log, m, e);
    }
}

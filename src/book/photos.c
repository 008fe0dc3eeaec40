/* Photographs of the site log: what a wall looked like before its finish was on. */
#include "book/work.h"

#include "base/base64.h"
#include "base/file.h"
#include "log/log.h"
#include "model/site.h"

#include <string.h>

void photos_find(struct book *b)
{
    const struct site_log *log = b->r->log;
    for (uint32_t i = 0; log && i < log->events.n; i++) {
        const struct log_event *e = log->events.at[i];
        const char *closed = e->photo_path ? log_closed_on(log, e) : NULL;
        if (!e->photo_path || (closed && strcmp(e->date, closed) > 0))
            continue;
        void **at =
            map_at(b->arena, &b->photos, (uintptr_t)e->about.closed, (uintptr_t)e->about.wall);
        if (!*at)
            *at = arena_new(b->arena, photo_list);
        *vec_push(b->arena, (photo_list *)*at) = e;
    }
}

bool photos_are_of(const struct book *b, const struct room *room, const struct wall *wall)
{
    return map_find(&b->photos, room, wall) != NULL;
}

/* The first byte tells a JPEG from a PNG; the log has seen that it is one of them. */
static void put_photo(struct book *b, const struct log_event *e, const char *what)
{
    struct buf bytes = {0};
    if (!file_read(&bytes, e->photo_path, (size_t)MOST_PHOTO_MB << 20) || !bytes.n) {
        html_put(b->out, "<p class=\"small\">The photograph %a cannot be read.</p>\n", e->photo);
        buf_free(&bytes);
        return;
    }
    bool jpeg = (unsigned char)bytes.at[0] == 0xff;
    html_put(b->out, "<figure><img alt=\"%t, %t\" src=\"data:image/%t;base64,", what, e->date,
             jpeg ? "jpeg" : "png");
    base64_add(b->out, bytes.at, bytes.n);
    html_put(b->out, "\"><figcaption>%t, %t%t%a</figcaption></figure>\n", what, e->date,
             e->note ? ": " : "", e->note ? e->note + 1 + strspn(e->note + 1, " ") : NULL);
    buf_free(&bytes);
}

void photos_put(struct book *b, const struct room *room, const struct wall *wall)
{
    const photo_list *list = map_find(&b->photos, room, wall);
    for (uint32_t i = 0; list && i < list->n; i++) {
        const struct log_event *e = list->at[i];
        put_photo(b, e,
                  wall ? arena_printf(b->arena, "%s, %s wall", book_room_words(b, room), wall->name)
                  : e->about.ceiling
                      ? arena_printf(b->arena, "%s, ceiling", book_room_words(b, room))
                      : book_room_words(b, room));
    }
}

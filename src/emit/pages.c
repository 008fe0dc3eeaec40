#include "emit/pages.h"

#include "base/utf8.h"

#include <stdbool.h>
#include <string.h>

enum { RUNNING = 2 }; /* lines of a page's own heading */

/* While pages are printed, or only counted. */
struct printing {
    const struct page_text *text;
    const char *title;
    unsigned lines, used; /* of a page; of them written */
    uint32_t page, pages; /* number of this one; of all, 0: not known yet */
    struct page_piece {
        const char *at;
        size_t len;
        unsigned lines;
    } head;
    struct buf *out; /* NULL: they are counted */
};

static struct page_piece piece_between(const struct page_text *text, size_t from, size_t to)
{
    struct page_piece piece = {.at = text->out->at + from, .len = to - from};
    for (size_t i = from; i < to; i++)
        piece.lines += text->out->at[i] == '\n';
    return piece;
}

void pages_mark(struct page_text *text, enum page_mark_kind kind)
{
    *vec_push(text->arena, &text->marks) = (struct page_mark){text->out->n, kind};
}

static void put(struct printing *p, const char *bytes, size_t len, unsigned lines)
{
    if (p->out && len)
        buf_add(p->out, bytes, len);
    p->used += lines;
}

/* How many bytes of the title fit in so many cells. */
static size_t fitting(const char *title, unsigned cells)
{
    const char *p = title, *end = title + strlen(title);
    unsigned used = 0;
    while (p < end && *p != '\n') {
        size_t n;
        used += utf8_width(utf8_next(p, end, &n));
        if (used > cells)
            break;
        p += n;
    }
    return (size_t)(p - title);
}

/* On one line, whatever it holds. */
static void put_title(struct printing *p, size_t len)
{
    for (size_t i = 0; i < len; i++)
        put(p, (unsigned char)p->title[i] < ' ' ? " " : &p->title[i], 1, 0);
}

static void begin_page(struct printing *p, bool with_head)
{
    struct buf number = {0};
    buf_printf(&number, ", page %u of %u", ++p->page, p->pages);
    unsigned room = p->text->width > number.n ? p->text->width - (unsigned)number.n : 0;
    p->used = 0;
    put(p, "\f", 1, 0);
    put_title(p, fitting(p->title, room));
    put(p, buf_text(&number), number.n, 0);
    put(p, "\n\n", 2, RUNNING);
    buf_free(&number);
    if (with_head)
        put(p, p->head.at, p->head.len, p->head.lines);
}

/* What is longer than a page, line by line. */
static void put_lines(struct printing *p, struct page_piece piece)
{
    for (const char *at = piece.at, *end = at + piece.len; at < end;) {
        const char *stop = memchr(at, '\n', (size_t)(end - at));
        size_t len = stop ? (size_t)(stop + 1 - at) : (size_t)(end - at);
        if (p->used >= p->lines)
            begin_page(p, true);
        put(p, at, len, 1);
        at += len;
    }
}

/* Blank lines at the top of a page say nothing. */
static void drop_blank(const struct printing *p, struct page_piece *piece)
{
    while (p->page > 1 && p->used == RUNNING && piece->len && *piece->at == '\n') {
        piece->at++;
        piece->len--;
        piece->lines--;
    }
}

/* A piece on this page if it fits there together with `with` more lines, else on the next. */
static void put_piece(struct printing *p, struct page_piece piece, unsigned with, bool is_head)
{
    if (p->used + piece.lines + with > p->lines && p->used > RUNNING + p->head.lines)
        begin_page(p, !is_head);
    drop_blank(p, &piece);
    if (p->used + piece.lines > p->lines)
        put_lines(p, piece);
    else
        put(p, piece.at, piece.len, piece.lines);
}

static struct page_piece piece_of_mark(const struct page_text *text, uint32_t mark)
{
    size_t end = mark + 1 < text->marks.n ? text->marks.at[mark + 1].at : text->out->n;
    return piece_between(text, text->marks.at[mark].at, end);
}

static uint32_t print_pages(struct printing *p)
{
    const struct page_text *text = p->text;
    struct page_piece none = {0};
    p->page = 1;
    p->used = 0;
    p->head = none;
    put_piece(p, piece_between(text, 0, text->marks.n ? text->marks.at[0].at : text->out->n), 0,
              false);
    for (uint32_t i = 0; i < text->marks.n; i++) {
        struct page_piece piece = piece_of_mark(text, i);
        bool head = text->marks.at[i].kind == PAGE_HEAD;
        unsigned with = head && i + 1 < text->marks.n ? piece_of_mark(text, i + 1).lines : 0;
        if (text->marks.at[i].kind != PAGE_ROW)
            p->head = none;
        put_piece(p, piece, with, head);
        if (head)
            p->head = piece;
    }
    return p->page;
}

void pages_print(const struct page_text *text, const char *title, unsigned lines, struct buf *out)
{
    struct printing p = {.text = text, .title = title, .lines = lines};
    p.pages = print_pages(&p);
    p.out = out;
    print_pages(&p);
}

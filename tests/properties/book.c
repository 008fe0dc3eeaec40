/* The job book of any plan is whole markup in which every box, run and circuit has its anchor, and
 * every address leads somewhere. */
#include "markup.h"
#include "properties.h"

#include "book/book.h"
#include "cmd/cmd.h"
#include "emit/views.h"
#include "model/model.h"

property_function property_book;

/* What is built has its card, whose figures are those of the report; ids of runs: book_test.c. */
static bool has_cards(const struct results *r, const struct buf *page, struct buf *why)
{
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box_view *v = view_built_box(r, i);
        if (v && !markup_has_id(page, v->address)) {
            buf_printf(why, "the book has no card of %s", v->address);
            return false;
        }
    }
    return true;
}

bool property_book(const struct subject *s, struct buf *why)
{
    struct results r;
    struct buf page = {0};
    if (!s->c->model || !s->c->cuts || !cmd_results(s->c, &r))
        return true;
    book_write_html(&r, &page);
    buf_text(&page);
    bool held = markup_holds(&page, why) && has_cards(&r, &page, why);
    buf_free(&page);
    return held;
}

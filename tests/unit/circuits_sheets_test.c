/* The circuit diagrams: whatever the shape of a circuit, each of its cables is drawn once and each
 * of its boxes once in full; where the tree is cut, the two ends have one figure and name each
 * other's sheet; and the paper is that which was asked for (no published source). */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/views.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "sheets/sheets.h"

#include <glob.h>

static unsigned cuts_seen, sheets_seen;

/* How often a group of that role shows a thing: by its subject, or else by its title. */
static unsigned groups_of(const struct paper *p, enum role role, const char *name, bool in_full)
{
    const struct group *last = NULL;
    unsigned n = 0;
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            const struct group *g = m->group;
            const char *is = !g || g->role != role ? NULL : g->subject ? g->subject : g->title;
            if (is && g != last && !strcmp(is, name))
                n += !in_full || m->pen.dash != DASH_BEHIND; /* its first mark is its outline */
            last = g;
        }
    return n;
}

/* Cables between the same two boxes may be called alike. */
static unsigned runs_called(const struct results *r, const struct circuit *c, const char *address)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < c->runs.n; i++)
        n += !strcmp(view_of_run(r, c->runs.at[i])->address, address);
    return n;
}

static bool ends_a_text(const struct paper *p, const char *words)
{
    size_t len = strlen(words);
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            size_t has = m->kind == MARK_TEXT ? strlen(m->text) : 0;
            if (has >= len && !strcmp(m->text + has - len, words))
                return true;
        }
    return false;
}

/* The length to cut is told whole, however long the name of the cable is. */
static void look_for_lengths(const struct results *r, const struct circuit *c,
                             const struct paper *p)
{
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *run = c->runs.at[i];
        const struct run_view *v = view_of_run(r, run);
        if (run_is_whole(run) && !run->existing && v->route->known && v->cut &&
            !ends_a_text(p, v->cut))
            fail_msg("%s: its length %s is not told", v->address, v->cut);
    }
}

static void look_for_runs(const struct results *r, const struct circuit *c, const struct paper *p)
{
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (run_is_whole(c->runs.at[i])) {
            const char *address = view_of_run(r, c->runs.at[i])->address;
            unsigned n = groups_of(p, ROLE_CABLE, address, false);
            if (n != runs_called(r, c, address))
                fail_msg("%s: %u times drawn", address, n);
        }
}

static void look_for_boxes(const struct results *r, const struct circuit *c, const struct paper *p)
{
    for (uint32_t i = 0; i < c->runs.n; i++)
        for (int end = 0; end < 2; end++) {
            const struct run *run = c->runs.at[i];
            const struct box *b = end ? run->to.box : run->from.box;
            if (!b || !run_is_whole(run))
                continue;
            unsigned n = groups_of(p, ROLE_BOX, view_of_box(r, b)->address, true);
            if (n != 1)
                fail_msg("%s: %u times drawn", view_of_box(r, b)->address, n);
        }
}

/* Each figure stands in two circles, and beside them the other one's sheet where it is another. */
static void look_for_cuts(struct arena *arena, const struct paper *p)
{
    enum { MOST = 2000 };
    static const struct sheet *first[MOST];
    memset(first, 0, sizeof first);
    unsigned open = 0;
    for (uint32_t i = 0; i < p->sheets.n; i++) {
        const struct sheet *s = p->sheets.at[i];
        for (uint32_t k = 0; k + 1 < s->marks.n; k++) {
            const struct mark *circle = &s->marks.at[k], *text = circle + 1;
            if (circle->kind != MARK_CIRCLE)
                continue;
            assert_int_equal(text->kind, MARK_TEXT);
            long figure = strtol(text->text, NULL, 10);
            assert_true(figure > 0 && figure < MOST);
            open += first[figure] ? -1U : 1;
            const struct sheet *other = first[figure];
            first[figure] = s;
            cuts_seen += other != NULL;
            bool told = false, here = false;
            for (uint32_t w = 0; other && w < other->marks.n; w++)
                told |=
                    other->marks.at[w].kind == MARK_TEXT &&
                    !strcmp(other->marks.at[w].text, arena_printf(arena, "sheet %s", s->number));
            for (uint32_t w = 0; other && w < s->marks.n; w++)
                here |=
                    s->marks.at[w].kind == MARK_TEXT &&
                    !strcmp(s->marks.at[w].text, arena_printf(arena, "sheet %s", other->number));
            assert_true(!other || other == s || (told && here));
        }
    }
    assert_int_equal(open, 0);
}

static void look_beside(const struct sheet *s)
{
    for (uint32_t i = 0; i < s->marks.n; i++) {
        struct area a = paper_mark_area(&s->marks.at[i]);
        assert_true(a.left >= 0 && a.top >= 0 && a.right <= s->width && a.bottom <= s->height);
    }
}

static void look_at_circuits(struct compilation *c, enum paper_size size, um wide, um high)
{
    struct results r;
    const struct sheet_kind *kind = sheets_named("branch-circuits");
    if (!c->model || !cmd_results(c, &r))
        return;
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit *circuit = c->model->circuits.at[i];
        if (!facts_is_built(circuit->unit))
            continue;
        r.only_circuit = circuit;
        const struct paper *p = sheets_make(&r, size, false, &kind, 1);
        look_for_lengths(&r, circuit, p);
        look_for_runs(&r, circuit, p);
        look_for_boxes(&r, circuit, p);
        look_for_cuts(&c->arena, p);
        for (uint32_t k = 0; k < p->sheets.n; k++, sheets_seen++) {
            assert_true(p->sheets.at[k]->width == wide && p->sheets.at[k]->height == high);
            look_beside(p->sheets.at[k]);
        }
    }
}

static void circuits_of_the_examples_are_whole(void **state)
{
    (void)state;
    glob_t plans;
    cuts_seen = sheets_seen = 0;
    assert_int_equal(glob("examples/*/*.bay", 0, NULL, &plans), 0);
    for (size_t i = 0; i < plans.gl_pathc; i++) {
        struct compilation c;
        compile(&c, plans.gl_pathv[i], (struct compile_options){.library = plan_library()});
        look_at_circuits(&c, PAPER_BY_USE, 11 * PAPER_INCH, 17 * PAPER_INCH / 2);
        look_at_circuits(&c, PAPER_TABLOID, 17 * PAPER_INCH, 11 * PAPER_INCH);
        compile_free(&c);
    }
    globfree(&plans);
    assert_true(sheets_seen > 50 && cuts_seen > 20);
}

static void compile_buf(struct compilation *c, struct buf *text)
{
    compile_text(c, buf_text(text));
    buf_free(text);
}

enum { BOXES = 40 };

static void begin_shape(struct buf *text)
{
    buf_puts(text,
             "plan \"Shape\" { edition nec-2023 }\nroom h { kind workshop; size 60' by 60'\n");
    for (int i = 1; i <= BOXES; i++)
        buf_printf(text, "box B%d overhead at %d', %d' { luminaire }\n", i, 1 + i % 8 * 7,
                   1 + i / 8 * 7);
    buf_puts(text, "}\npanel P { in h south at 4' up 5'; main 60 A; spaces 8 }\n"
                   "circuit P.1 \"Shape\" { breaker 20 A\n");
}

/* BESIDE: here and there two cables; BACKWARDS: runs are written towards the panel. */
enum { CHAIN, STAR, COMB, TREE, RING, BESIDE, BACKWARDS, SHAPES };

/* The box that a box comes from. */
static int before(int shape, int i)
{
    return shape == STAR                          ? 1
           : shape == TREE                        ? i / 2
           : shape == COMB && i % 5 == 0 && i > 5 ? i - 5
                                                  : i - 1;
}

static void circuits_of_every_shape_are_whole(void **state)
{
    (void)state;
    cuts_seen = sheets_seen = 0;
    for (int shape = 0; shape < SHAPES; shape++) {
        struct buf text = {0};
        struct compilation c;
        begin_shape(&text);
        buf_puts(&text, "run P -> h.B1\n");
        for (int i = 2; i <= BOXES; i++) {
            int from = before(shape, i);
            buf_printf(&text, "run h.B%d -> h.B%d\n", shape == BACKWARDS ? i : from,
                       shape == BACKWARDS ? from : i);
            if (shape == BESIDE && i % 4 == 0)
                buf_printf(&text, "run h.B%d -> h.B%d\n", from, i);
        }
        if (shape == RING)
            buf_puts(&text, "run h.B40 -> h.B3\n");
        buf_puts(&text, "}\n");
        compile_buf(&c, &text);
        look_at_circuits(&c, PAPER_A4, 297 * MM, 210 * MM);
        compile_free(&c);
    }
    assert_true(sheets_seen > SHAPES && cuts_seen > 3 * SHAPES);
}

/* Of a plan that is not finished: what hangs together with no breaker may be wider than what does.
 */
static void pieces_without_a_breaker_lie_on_the_sheet(void **state)
{
    (void)state;
    sheets_seen = 0;
    for (int last = 3; last <= 8; last++)
        for (int fed = 0; fed < 2; fed++) {
            struct buf text = {0};
            struct compilation c;
            begin_shape(&text);
            buf_puts(&text, fed ? "run P -> h.B1\n" : "");
            for (int i = 3; i <= last; i++)
                buf_printf(&text, "run h.B%d -> h.B%d\n", i - 1, i);
            buf_puts(&text, "}\n");
            compile_buf(&c, &text);
            look_at_circuits(&c, PAPER_A4, 297 * MM, 210 * MM);
            compile_free(&c);
        }
    assert_true(sheets_seen >= 12);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(circuits_of_the_examples_are_whole),
        cmocka_unit_test(circuits_of_every_shape_are_whole),
        cmocka_unit_test(pieces_without_a_breaker_lie_on_the_sheet),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* Wall sheets: boxes, holes and cables stand at their true places on paper, nothing leaves its
 * page, every box of a wall is drawn and can be found. */
#include "compiled.h"
#include "cmd/cmd.h"

#include "emit/views.h"
#include "facts/facts.h"
#include "model/address.h"
#include "paper/targets.h"
#include "sheets/sheets.h"

static const char shed[] =
    "plan \"Shed\" { edition nec-2023 }\n"
    "room shed { kind workshop; size 14' by 10'\n"
    "door north at 5' wide 3' to outside\nwindow west at 6' wide 3'\n"
    "box A west at 2' { receptacle }\nbox B west at 8'-6\" up 48\" { receptacle }\n"
    "box C west at 8'-6\" up 20\" { receptacle }\nbox S north at 9' up 48\" { switch leg lamp }\n"
    "box L overhead at 5', 5' { luminaire leg lamp } }\n"
    "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.2 { breaker 20 A; cable 12/2\nrun P -> shed.A -> B -> C\nrun shed.B -> S -> L }\n";

static struct results drawn; /* of the last drawing */

static struct paper *draw(struct compilation *c, const char *wall, const struct room *room,
                          const struct level *level)
{
    const struct sheet_kind *kind = sheets_named("elevation");
    assert_true(cmd_results(c, &drawn));
    drawn.only_wall = wall;
    drawn.only_room = room;
    drawn.only_level = level;
    return sheets_make(&drawn, PAPER_BY_USE, false, &kind, 1);
}

/* The middle of a box on the sheet. */
static bool place_of(const struct sheet *s, const char *address, struct spot *at)
{
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (!m->group || m->group->role != ROLE_BOX || !m->group->subject ||
            strcmp(m->group->subject, address) != 0 ||
            (m->kind != MARK_RECT && m->kind != MARK_CIRCLE))
            continue;
        struct area a = paper_mark_area(m);
        *at = (struct spot){(a.left + a.right) / 2, (a.top + a.bottom) / 2};
        return true;
    }
    return false;
}

/* "2 mm on the sheet": what is measured with a scale is right to 0.2 mm. */
static void assert_apart(um is, length really, int ratio)
{
    um ought = paper_scaled(really, ratio);
    if (is < ought - 200 || is > ought + 200)
        fail_msg("%lld um apart on paper, and ought to be %lld", (long long)is, (long long)ought);
}

/* The sheet that shows the box, and its scale by what it says. */
static const struct sheet *sheet_with(const struct paper *p, const char *address, struct spot *at,
                                      int *ratio)
{
    static const struct {
        const char *words;
        int ratio;
    } scales[] = {{"1\" = 1'-0\"", 12},   {"3/4\" = 1'-0\"", 16},  {"1/2\" = 1'-0\"", 24},
                  {"3/8\" = 1'-0\"", 32}, {"1/4\" = 1'-0\"", 48},  {"3/16\" = 1'-0\"", 64},
                  {"1/8\" = 1'-0\"", 96}, {"1/16\" = 1'-0\"", 192}};
    for (uint32_t i = 0; i < p->sheets.n; i++) {
        const struct sheet *s = p->sheets.at[i];
        *ratio = 0;
        for (uint32_t k = 0; k < s->marks.n; k++)
            for (size_t w = 0; w < sizeof scales / sizeof *scales; w++)
                if (s->marks.at[k].kind == MARK_TEXT &&
                    !strcmp(s->marks.at[k].text, scales[w].words))
                    *ratio = scales[w].ratio;
        if (place_of(s, address, at))
            return s;
    }
    return NULL;
}

static void boxes_stand_to_scale(void **state)
{
    (void)state;
    struct compilation c;
    struct spot a, b, d, none;
    int ratio;
    compile_text(&c, shed);
    struct paper *p = draw(&c, "west", NULL, NULL);
    const struct sheet *s = sheet_with(p, "shed.A", &a, &ratio);
    assert_non_null(s);
    assert_true(place_of(s, "shed.B", &b) && place_of(s, "shed.C", &d) && ratio);
    /* west is walked from the south */
    assert_apart(b.x - a.x, 6 * FOOT + 6 * INCH, ratio);
    assert_apart(b.x - d.x, 0, ratio);
    assert_apart(d.y - b.y, 28 * INCH, ratio);
    assert_apart(a.y - d.y, 4 * INCH, ratio);
    assert_false(place_of(s, "shed.S", &none));
    compile_free(&c);
}

/* Boxes of one wall against each other, on every wall of the examples. */
static void boxes_of_the_examples_stand_to_scale(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                        "examples/shed/boat-shed.bay"};
    unsigned compared = 0;
    for (size_t n = 0; n < sizeof plans / sizeof *plans; n++) {
        struct compilation c;
        compile(&c, plans[n], (struct compile_options){.library = plan_library()});
        struct paper *p = draw(&c, NULL, NULL, NULL);
        struct targets *targets = targets_of(&c.arena, p);
        struct spot last = {0}, at;
        for (uint32_t i = 0; i < c.model->boxes.n; i++) {
            const struct box *box = c.model->boxes.at[i];
            const char *address = address_of_box(&c.arena, box, false);
            int ratio;
            if (!facts_is_built(box->room->unit))
                continue;
            const struct sheet *s = sheet_with(p, address, &at, &ratio);
            assert_int_equal(s != NULL, box->place.where == ON_WALL);
            if (!s)
                continue;
            assert_non_null(targets_find(targets, address));
            const struct box *before = NULL; /* the last one on that wall */
            for (uint32_t k = 0; k < i; k++)
                if (c.model->boxes.at[k]->room == box->room &&
                    c.model->boxes.at[k]->place.where == ON_WALL &&
                    c.model->boxes.at[k]->place.wall == box->place.wall)
                    before = c.model->boxes.at[k];
            if (!before || !place_of(s, address_of_box(&c.arena, before, false), &last))
                continue;
            const struct place *is = view_place_of_box(&drawn, box),
                               *was = view_place_of_box(&drawn, before);
            assert_apart(at.x - last.x, is->from_left - was->from_left, ratio);
            assert_apart(last.y - at.y, is->up - was->up, ratio);
            compared++;
        }
        compile_free(&c);
    }
    assert_true(compared > 60);
}

/* One wall alone on its sheet is drawn to the largest scale that holds it. */
static void scale_fits_the_paper(void **state)
{
    (void)state;
    static const struct {
        const char *size;
        int ratio;
    } cases[] = {{"9' by 9'", 16}, {"17' by 9'", 24}, {"36' by 9'", 48}, {"60' by 9'", 96}};
    int last = 0;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        struct buf plan = {0};
        struct spot at;
        int ratio;
        buf_printf(&plan,
                   "plan \"Barn\" { edition nec-2023 }\nroom barn { kind workshop; size %s; box A "
                   "north at 2' { receptacle } }\n",
                   cases[i].size);
        compile_text(&c, buf_text(&plan));
        assert_non_null(sheet_with(draw(&c, "north", NULL, NULL), "barn.A", &at, &ratio));
        if (ratio < last || ratio > 2 * cases[i].ratio || 2 * ratio < cases[i].ratio)
            fail_msg("%s is drawn 1 to %d", cases[i].size, ratio);
        last = ratio;
        buf_free(&plan);
        compile_free(&c);
    }
}

/* One room, or one level, leaves the others out. */
static void a_part_can_be_chosen(void **state)
{
    (void)state;
    struct compilation c;
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
    const struct room *room = NULL;
    for (uint32_t i = 0; i < c.model->rooms.n; i++)
        if (!strcmp(c.model->rooms.at[i]->name, "bath"))
            room = c.model->rooms.at[i];
    assert_non_null(room);
    for (int level = 0; level < 2; level++) {
        struct paper *p = draw(&c, NULL, level ? NULL : room, level ? room->level : NULL);
        struct spot at;
        int ratio;
        assert_non_null(sheet_with(p, "bath.R1", &at, &ratio));
        assert_int_equal(sheet_with(p, "studio.R1", &at, &ratio) != NULL, level);
        assert_null(sheet_with(p, "shop.R1", &at, &ratio));
    }
    compile_free(&c);
}

/* What is drawn of a wall stays inside the border of its sheet. */
static void nothing_leaves_the_page(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                        "examples/small/old-box.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        struct paper *p = draw(&c, NULL, NULL, NULL);
        for (uint32_t k = 0; k < p->sheets.n; k++) {
            const struct sheet *s = p->sheets.at[k];
            struct area border = {10 * MM, 10 * MM, s->width - 10 * MM, s->height - 10 * MM};
            for (uint32_t n = 0; n < s->marks.n; n++) {
                struct area a = paper_mark_area(&s->marks.at[n]);
                const struct group *group = s->marks.at[n].group;
                if (!group || group->role == ROLE_FRAME)
                    continue;
                assert_true(a.left >= border.left && a.right <= border.right &&
                            a.top >= border.top && a.bottom <= border.bottom);
            }
        }
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(boxes_stand_to_scale),
        cmocka_unit_test(boxes_of_the_examples_stand_to_scale),
        cmocka_unit_test(scale_fits_the_paper),
        cmocka_unit_test(a_part_can_be_chosen),
        cmocka_unit_test(nothing_leaves_the_page),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

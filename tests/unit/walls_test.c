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

/* A kitchen whose door is written in the den alone. */
static const char kitchen[] =
    "plan \"Kitchen\" { edition nec-2023 }\n"
    "room kitchen { kind workshop; corner 9', 0'; size 14' by 10'\n"
    "window north at 1' wide 3'\ncounter north at 6' wide 4'\n"
    "counter south at 5' wide 3' { sill 30\" }\n"
    "tub east at 1' wide 5' \"Dog bath\"\nfixed east at 7' wide 2' \"Larder\"\n"
    "opening south at 1' wide 3' { to outside }\n"
    "box A north at 11' up 44\" { receptacle }\n"
    "box B west at 1' { receptacle }\nbox C east at 1' { receptacle }\n"
    "box D south at 10' { receptacle } }\n"
    "room den { kind workshop; corner 0', 0'; size 9' by 10'\n"
    "door east at 3' wide 2'-10\" { to kitchen } }\n";

/* Where a text stands on the sheet. */
static bool written_at(const struct sheet *s, const char *text, struct area *at)
{
    for (uint32_t i = 0; i < s->marks.n; i++)
        if (s->marks.at[i].kind == MARK_TEXT && !strcmp(s->marks.at[i].text, text)) {
            *at = paper_mark_area(&s->marks.at[i]);
            return true;
        }
    return false;
}

/* The rectangle of what is called so. */
static struct area drawn_as(const struct sheet *s, const char *title, uint32_t nth)
{
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->kind == MARK_RECT && m->group && m->group->role == ROLE_FIXED && m->group->title &&
            !strcmp(m->group->title, title) && !nth--)
            return paper_mark_area(m);
    }
    fail_msg("no %s is drawn", title);
    return (struct area){0, 0, 0, 0};
}

static bool holds(struct area a, struct area inside)
{
    return a.left <= inside.left && a.right >= inside.right && a.top <= inside.top &&
           a.bottom >= inside.bottom;
}

/* Openings say their kind, how wide they are and where they lead, from both of their rooms. */
static void openings_are_in_words(void **state)
{
    (void)state;
    struct compilation c;
    struct area at;
    compile_text(&c, kitchen);
    const struct sheet *s = draw(&c, "north", NULL, NULL)->sheets.at[0];
    assert_true(written_at(s, "window 3'", &at));
    assert_true(holds(drawn_as(s, "window", 0), at));
    assert_false(written_at(s, "to outside", &at));
    assert_true(written_at(draw(&c, "south", NULL, NULL)->sheets.at[0], "to outside", &at));
    s = draw(&c, "west", NULL, NULL)->sheets.at[0];
    assert_true(written_at(s, "door 2'-10\"", &at) && written_at(s, "to den", &at));
    compile_free(&c);
}

/* Heights as common trade practice has them (table fixed-things): a counter 36", what the plan has
 * no height of goes up to the ceiling. */
static void fixed_things_stand_as_high_as_they_are(void **state)
{
    (void)state;
    struct compilation c;
    struct area at;
    compile_text(&c, kitchen);
    const struct sheet *s = draw(&c, "north", NULL, NULL)->sheets.at[0];
    struct area counter = drawn_as(s, "counter", 0), window = drawn_as(s, "window", 0);
    um foot = (counter.right - counter.left) / 4;
    assert_in_range(counter.bottom - counter.top, 3 * foot - 300, 3 * foot + 500);
    assert_true(written_at(s, "counter", &at) && holds(counter, at) && window.top < counter.top);
    s = draw(&c, "south", NULL, NULL)->sheets.at[0];
    counter = drawn_as(s, "counter", 0);
    foot = (counter.right - counter.left) / 3;
    assert_in_range(counter.bottom - counter.top, foot / 2 - 300, foot / 2 + 500);
    s = draw(&c, "east", NULL, NULL)->sheets.at[0];
    struct area tub = drawn_as(s, "Dog bath", 0), larder = drawn_as(s, "Larder", 0);
    foot = (tub.right - tub.left) / 5;
    assert_in_range(tub.bottom - tub.top, foot, 2 * foot);
    assert_true(larder.bottom - larder.top > 7 * foot && larder.bottom == tub.bottom);
    compile_free(&c);
}

static bool is_header(const struct mark *m)
{
    return m->kind == MARK_RECT && m->pen.fill == 0xdddddd && m->group->role == ROLE_FRAMING;
}

/* The name of a cable that passes has no frame: on a header one could not read it. */
static void names_of_cables_keep_off_headers(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                        "examples/cellar/pottery.bay"};
    unsigned names = 0, on_headers = 0;
    for (size_t n = 0; n < sizeof plans / sizeof *plans; n++) {
        struct compilation c;
        compile(&c, plans[n], (struct compile_options){.library = plan_library()});
        struct paper *p = draw(&c, NULL, NULL, NULL);
        for (uint32_t k = 0; k < p->sheets.n; k++)
            for (uint32_t i = 0; i < p->sheets.at[k]->marks.n; i++) {
                const struct mark *m = &p->sheets.at[k]->marks.at[i];
                if (m->kind != MARK_TEXT || !m->group || m->group->role != ROLE_LABEL ||
                    m->group->subject || !strstr(m->text, "\xe2\x86\x92"))
                    continue;
                names++;
                for (uint32_t h = 0; h < i; h++) {
                    const struct mark *header = &p->sheets.at[k]->marks.at[h];
                    on_headers +=
                        is_header(header) &&
                        area_meets(paper_mark_area(header), area_grown(paper_mark_area(m), -200));
                }
            }
        compile_free(&c);
    }
    assert_true(names > 100);
    print_message("%u of %u names of cables on a header\n", on_headers, names);
    assert_true(on_headers * 50 < names);
}

/* All notes of a sheet behind each other. */
static const char *notes_of(struct arena *arena, const struct sheet *s)
{
    const char *all = " ";
    for (uint32_t i = 0; i < s->marks.n; i++)
        if (s->marks.at[i].kind == MARK_TEXT && s->marks.at[i].group &&
            s->marks.at[i].group->role == ROLE_NOTE)
            all = arena_printf(arena, "%s%s ", all, s->marks.at[i].text);
    return all;
}

/* A number that stands for words is told on the same sheet; where there is no room for all of them,
 * nine of ten at least. */
static void numbers_are_told_on_their_sheet(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                        "examples/cellar/pottery.bay"};
    unsigned keys = 0, told = 0;
    for (size_t n = 0; n < sizeof plans / sizeof *plans; n++) {
        struct compilation c;
        compile(&c, plans[n], (struct compile_options){.library = plan_library()});
        struct paper *p = draw(&c, NULL, NULL, NULL);
        for (uint32_t k = 0; k < p->sheets.n; k++) {
            const struct sheet *s = p->sheets.at[k];
            const char *notes = notes_of(&c.arena, s);
            for (uint32_t i = 0; i < s->marks.n; i++) {
                const struct mark *m = &s->marks.at[i];
                if (m->kind != MARK_TEXT || !m->group || m->group->role != ROLE_LABEL ||
                    m->lettering.anchor != AT_MIDDLE)
                    continue;
                keys++;
                told += strstr(notes, arena_printf(&c.arena, " %s ", m->text)) != NULL;
            }
        }
        compile_free(&c);
    }
    print_message("%u of %u numbers are told\n", told, keys);
    assert_true(keys > 20 && told * 10 >= keys * 9);
}

/* Two flats have a living room each: a sheet says whose it is, so no two are called the same. */
static void sheets_are_told_apart(void **state)
{
    (void)state;
    struct compilation c;
    compile(&c, "examples/flats/flats.bay", (struct compile_options){.library = plan_library()});
    struct paper *p = draw(&c, NULL, NULL, NULL);
    bool flat = false;
    for (uint32_t i = 0; i < p->sheets.n; i++) {
        flat |= !strncmp(p->sheets.at[i]->title, "Flat 101, Kitchen", 17);
        for (uint32_t k = 0; k < i; k++)
            assert_string_not_equal(p->sheets.at[i]->title, p->sheets.at[k]->title);
    }
    assert_true(flat);
    compile_free(&c);
}

/* What the face has no letter for is told on the sheet, each letter once. */
static void letters_that_the_face_lacks_are_told(void **state)
{
    (void)state;
    static const char plan[] =
        "plan \"Barn\" { edition nec-2023 }\nroom barn \"\xd8\xba\xd8\xb1\xd8\xba\" { kind "
        "workshop; size 9' by 9'\nbox A north at 2' { receptacle } }\n";
    for (int lacks = 0; lacks < 2; lacks++) {
        struct compilation c;
        bool told = false;
        compile_text(&c, lacks
                             ? plan
                             : "plan \"Barn\" { edition nec-2023 }\nroom barn \"Gr\xc3\xb6\xc3\x9f"
                               "e\" { kind workshop; size 9' by 9'\n"
                               "box A north at 2' { receptacle } }\n");
        const struct sheet *s = draw(&c, "north", NULL, NULL)->sheets.at[0];
        for (uint32_t i = 0; i < s->marks.n; i++)
            told |= s->marks.at[i].kind == MARK_TEXT &&
                    strstr(s->marks.at[i].text, "no letter for U+063A U+0631:");
        assert_int_equal(told, lacks);
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
        cmocka_unit_test(openings_are_in_words),
        cmocka_unit_test(fixed_things_stand_as_high_as_they_are),
        cmocka_unit_test(names_of_cables_keep_off_headers),
        cmocka_unit_test(sheets_are_told_apart),
        cmocka_unit_test(numbers_are_told_on_their_sheet),
        cmocka_unit_test(letters_that_the_face_lacks_are_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

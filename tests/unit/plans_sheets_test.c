/* The plan sheets: nothing on them lies on anything else, every box is on the sheets of its subject
 * at its true place, the legend shows what is drawn, and no two signs of the library share letters.
 * What must be zero was measured on drawings that failed (no published source). */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/views.h"
#include "facts/devices.h"
#include "facts/facts.h"
#include "resolve/library.h"
#include "sheet_counts.h"
#include "sheets/plans/plan.h"
#include "sheets/sheets.h"

#include <glob.h>

static const char *const kinds[] = {"plan-power", "plan-lights", "plan-alarms", "plan-ceiling"};
enum { KINDS = sizeof kinds / sizeof *kinds };

static struct paper *sheets_of(const struct results *r, int kind, enum paper_size size)
{
    const struct sheet_kind *k = sheets_named(kinds[kind]);
    assert_non_null(k);
    return sheets_make(r, size, false, &k, 1);
}

typedef void check_fn(const struct results *r, int kind, const struct paper *p);

/* Asks of the plan sheets of every example, subject by subject. */
static void ask_examples(check_fn *check)
{
    glob_t plans;
    unsigned sheets = 0;
    assert_int_equal(glob("examples/*/*.bay", 0, NULL, &plans), 0);
    for (size_t i = 0; i < plans.gl_pathc; i++) {
        struct compilation c;
        struct results r;
        compile(&c, plans.gl_pathv[i],
                (struct compile_options){.library = plan_library(), .cut_steps = SOME_CUT_STEPS});
        for (int k = 0; c.makeup && cmd_results(&c, &r) && k < KINDS; k++) {
            struct paper *p = sheets_of(&r, k, k % 2 ? PAPER_A3 : PAPER_BY_USE);
            sheets += p->sheets.n;
            check(&r, k, p);
        }
        compile_free(&c);
    }
    globfree(&plans);
    assert_true(sheets > 20); /* the test has sheets to read */
}

/* --- parts ------------------------------------------------------------------------------------ */

/* "level, part 2 of 4" in the order of the sheets, and as many as are said. */
static void count_parts(const struct results *r, int kind, const struct paper *p)
{
    unsigned last = 0, all = 0;
    (void)r;
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            const char *words = m->kind == MARK_TEXT ? strstr(m->text, ", part ") : NULL;
            unsigned part, of;
            if (!words || sscanf(words, ", part %u of %u", &part, &of) != 2 ||
                strstr(words, "goes on"))
                continue;
            if (part != last + 1 || (all && of != all))
                fail_msg("%s: '%s' comes behind part %u of %u", kinds[kind], m->text, last, all);
            last = part == of ? 0 : part;
            all = last ? of : 0;
        }
    assert_int_equal(last, 0);
}

static void parts_are_counted_as_they_are_drawn(void **state)
{
    (void)state;
    ask_examples(count_parts);
}

/* --- counts ----------------------------------------------------------------------------------- */

static void count_them(const struct results *r, int kind, const struct paper *p)
{
    struct buf why = {0};
    unsigned faults = 0;
    (void)r;
    for (uint32_t i = 0; i < p->sheets.n; i++)
        faults += sheet_count(p->sheets.at[i], &why).all;
    if (faults)
        print_error("%s: %s", kinds[kind], buf_text(&why));
    buf_free(&why);
    assert_int_equal(faults, 0);
}

static void nothing_lies_on_anything_in_the_examples(void **state)
{
    (void)state;
    ask_examples(count_them);
}

/* --- every box ----------------------------------------------------------------------------------
 */

/* Whether a device stands on the plan of a subject, said anew: by its sort, what hangs on a leg
 * with the lights too, what is overhead with the ceiling too. */
static bool belongs(int kind, const struct box *b, const struct device *d)
{
    bool leg = false, light = d->def->sort == SORT_LUMINAIRE || d->def->sort == SORT_CONTROL;
    for (uint32_t i = 0; i < d->part_count; i++) {
        leg |= d->parts[i].leg != NULL;
        light |= facts_is_light(&d->parts[i]);
    }
    bool low = d->def->sort == SORT_LOW_VOLTAGE, alarm = d->def->sort == SORT_ALARM;
    switch (kind) {
    case 0:
        return d->def->sort == SORT_RECEPTACLE || d->def->sort == SORT_APPLIANCE ||
               (d->def->sort == SORT_EQUIPMENT && !light && !leg);
    case 1:
        return (light || leg) && !low && !alarm;
    case 2:
        return low || alarm;
    default:
        return b->place.where == OVERHEAD;
    }
}

static bool is_expected(int kind, const struct box *b)
{
    bool any = false;
    for (uint32_t i = 0; i < b->device_count; i++)
        any |= belongs(kind, b, b->devices[i]);
    return any;
}

static bool is_near(struct spot a, struct spot b)
{
    return llabs(a.x - b.x) <= MM / 5 && llabs(a.y - b.y) <= MM / 5;
}

/* Whether a mark has its middle, or an end, at a place. */
static bool mark_is_at(const struct mark *m, struct spot at)
{
    struct area a = paper_mark_area(m);
    struct spot middle = {(a.left + a.right) / 2, (a.top + a.bottom) / 2};
    if (is_near(middle, at) || (m->kind == MARK_CIRCLE && is_near(m->at, at)))
        return true;
    for (uint32_t i = 0; i < m->count && m->kind == MARK_LINE; i++)
        if (is_near(m->points[i], at))
            return true;
    return false;
}

/* The first corner of a room, as it is drawn on a sheet. */
static bool corner_of(const struct sheet *s, const char *room, struct spot *at)
{
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->group && m->group->role == ROLE_ROOM && m->group->subject && m->kind == MARK_SHAPE &&
            !strcmp(m->group->subject, room)) {
            *at = m->points[0];
            return true;
        }
    }
    return false;
}

/* "1/4\" = 1'-0\"" or "1:50", read back from the sheet. */
static int ratio_of(const struct results *r, const struct sheet *s, enum paper_size size)
{
    struct set set = {.r = r, .metric = size >= PAPER_A4};
    for (const int *ratio = scales_of(&set); *ratio; ratio++)
        for (uint32_t i = 0; i < s->marks.n; i++)
            if (s->marks.at[i].kind == MARK_TEXT &&
                !strcmp(s->marks.at[i].text, scales_words(&set, *ratio)))
                return *ratio;
    return 0;
}

/* On how many sheets a box has a sign; each leads to its true place. */
static unsigned signs_of(const struct results *r, int kind, const struct paper *p,
                         const struct box *b)
{
    const char *address = address_of_box(r->arena, b, false),
               *room = address_of_room(r->arena, b->room, false);
    unsigned found = 0;
    for (uint32_t i = 0; i < p->sheets.n; i++) {
        const struct sheet *s = p->sheets.at[i];
        struct spot corner = {0, 0};
        bool any = false, placed = false;
        int ratio = 0;
        for (uint32_t k = 0; k < s->marks.n; k++) {
            const struct mark *m = &s->marks.at[k];
            if (!m->group || m->group->role != ROLE_SYMBOL || !m->group->subject ||
                strcmp(m->group->subject, address) != 0)
                continue;
            if (!any) {
                assert_true(corner_of(s, room, &corner));
                ratio = ratio_of(r, s, kind % 2 ? PAPER_A3 : PAPER_BY_USE);
                assert_true(ratio > 0);
            }
            any = true;
            struct place3 at = view_place_of_box(r, b)->at;
            struct point from = b->room->walls[0].left;
            placed |= mark_is_at(m, (struct spot){corner.x + paper_scaled(at.x - from.x, ratio),
                                                  corner.y - paper_scaled(at.y - from.y, ratio)});
        }
        if (any && !placed)
            fail_msg("%s, %s: %s is not at its place", kinds[kind], s->number, address);
        found += any;
    }
    return found;
}

static void look_for_boxes(const struct results *r, int kind, const struct paper *p)
{
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box *b = r->model->boxes.at[i];
        if (!b->room->level || !b->room->wall_count || !facts_is_built(b->room->unit) ||
            !b->device_count)
            continue;
        unsigned found = signs_of(r, kind, p, b);
        if (found != is_expected(kind, b))
            fail_msg("%s: %s is on %u sheets", kinds[kind], address_of_box(r->arena, b, false),
                     found);
    }
}

static void every_box_is_on_the_sheets_of_its_subject(void **state)
{
    (void)state;
    ask_examples(look_for_boxes);
}

/* --- nothing is left out without a word --------------------------------------------------------
 */

static bool says(const struct paper *p, const char *words)
{
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            if (m->kind == MARK_TEXT && strstr(m->text, words))
                return true;
        }
    return false;
}

/* Each cable that is drawn over a ceiling is named there or in the list, each box beside its sign
 * or in the list. */
static void look_for_names(const struct results *r, int kind, const struct paper *p)
{
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box *b = r->model->boxes.at[i];
        if (b->room->level && b->room->wall_count && facts_is_built(b->room->unit) &&
            is_expected(kind, b) && !says(p, b->name))
            fail_msg("%s: %s is not named", kinds[kind], b->name);
    }
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        const struct run_view *view = view_of_run(r, r->model->runs.at[i]);
        bool drawn = false;
        for (uint32_t s = 0; s < p->sheets.n && !drawn && kind == 3; s++)
            for (uint32_t k = 0; k < p->sheets.at[s]->marks.n && !drawn; k++) {
                const struct group *g = p->sheets.at[s]->marks.at[k].group;
                drawn = g && g->role == ROLE_CABLE && g->title && !strcmp(g->title, view->address);
            }
        if (drawn && !says(p, view->tag))
            fail_msg("%s: the cable %s is not named", kinds[kind], view->address);
    }
}

static void every_box_and_cable_is_named(void **state)
{
    (void)state;
    ask_examples(look_for_names);
}

/* --- the legend ---------------------------------------------------------------------------------
 */

/* Whether the strip has the words of a sign, on one line or on two. */
static bool legend_has(struct arena *arena, const struct sheet *s, const char *words)
{
    const char *before = NULL;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        if (m->kind != MARK_TEXT || !m->group || m->group->role != ROLE_FRAME)
            continue;
        if (!strcmp(m->text, words) ||
            (before && !strcmp(arena_printf(arena, "%s %s", before, m->text), words)))
            return true;
        before = m->text;
    }
    return false;
}

static bool is_drawn(const struct results *r, int kind, const struct sheet *s, const char *words)
{
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box *b = r->model->boxes.at[i];
        const char *address = address_of_box(r->arena, b, false);
        bool has = false;
        for (uint32_t k = 0; k < b->device_count; k++)
            has |= belongs(kind, b, b->devices[k]) &&
                   !strcmp(plan_sign_of(r, b->devices[k]).words, words);
        for (uint32_t k = 0; has && k < s->marks.n; k++) {
            const struct mark *m = &s->marks.at[k];
            if (m->group && m->group->role == ROLE_SYMBOL && m->group->subject &&
                !strcmp(m->group->subject, address))
                return true;
        }
    }
    return false;
}

static void read_legend(const struct results *r, int kind, const struct paper *p)
{
    const struct table *t = code_table(&r->model->code, TABLE_PLAN_SIGNS);
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < t->rows.n; k++) {
            const char *words =
                code_cell_text(&r->model->code, COL_PLAN_SIGNS_WORDS, t->rows.at[k].key);
            const struct sheet *s = p->sheets.at[i];
            bool told = legend_has(r->arena, s, words) ||
                        legend_has(r->arena, s, arena_printf(r->arena, "%s, existing", words));
            if (told != is_drawn(r, kind, s, words) &&
                !legend_has(r->arena, s, arena_printf(r->arena, "%s, goes", words)))
                fail_msg("%s, %s: '%s' is %s the legend", kinds[kind], s->number, words,
                         told ? "needlessly in" : "missing in");
        }
}

static void the_legend_shows_what_is_drawn(void **state)
{
    (void)state;
    ask_examples(read_legend);
}

/* --- letters ------------------------------------------------------------------------------------
 */

static void no_two_signs_share_letters(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"Letters\" { language 1; edition nec-2023 }\n");
    struct code *code = &c.model->code;
    const struct table *t = code_table(code, TABLE_PLAN_SIGNS);
    assert_true(t->rows.n > 40);
    for (uint32_t i = 0; i < t->rows.n; i++)
        for (uint32_t k = 0; k < t->rows.n; k++) {
            const char *a = t->rows.at[i].key, *b = t->rows.at[k].key,
                       *la = code_cell_text(code, COL_PLAN_SIGNS_LETTERS, a),
                       *lb = code_cell_text(code, COL_PLAN_SIGNS_LETTERS, b);
            bool one = !strcmp(code_cell_text(code, COL_PLAN_SIGNS_WORDS, a),
                               code_cell_text(code, COL_PLAN_SIGNS_WORDS, b));
            if (la && lb && !strcmp(la, lb) != one)
                fail_msg("%s and %s: %s", a, b, la);
            if (!la && !lb && !one) /* then their shapes differ */
                assert_string_not_equal(code_cell_word(code, COL_PLAN_SIGNS_SHAPE, a),
                                        code_cell_word(code, COL_PLAN_SIGNS_SHAPE, b));
        }
    compile_free(&c);
}

static void every_device_of_the_library_has_a_sign(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"Letters\" { language 1; edition nec-2023 }\n");
    const struct library *lib = &plan_library()->lib;
    unsigned seen = 0;
    for (uint32_t i = 0; i < lib->device_list.n; i++, seen++)
        if (!facts_device_key(c.model, lib->device_list.at[i], TABLE_PLAN_SIGNS))
            fail_msg("%s has no sign", lib->device_list.at[i]->name);
    assert_true(seen > 60);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(parts_are_counted_as_they_are_drawn),
        cmocka_unit_test(no_two_signs_share_letters),
        cmocka_unit_test(every_device_of_the_library_has_a_sign),
        cmocka_unit_test(every_box_is_on_the_sheets_of_its_subject),
        cmocka_unit_test(every_box_and_cable_is_named),
        cmocka_unit_test(the_legend_shows_what_is_drawn),
        cmocka_unit_test(nothing_lies_on_anything_in_the_examples),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

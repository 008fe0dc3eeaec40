/* Rows and grids of boxes: each stands where it would stand if it were written alone, in rooms as
 * they are, mirrored and turned; what does not come out is said once. */
#include "compiled.h"
#include "generate.h"

enum { SEEDS = 60 };

#define PLAN_HEAD "plan \"Rows\" { edition nec-2023 }\n"

static const char *const walls[] = {"north", "east", "south", "west"};
static const char *const ways[] = {"", "opposite-hand", "turn left", "turn right; opposite-hand"};

/* The same boxes in two texts: as a row, and one by one. */
static void write_wall_row(uint64_t *state, struct buf *row, struct buf *each)
{
    unsigned first = pick(state, 12), count = 2 + pick(state, 5), from = 3 + pick(state, 9),
             every = 5 + pick(state, 40);
    const char *wall = walls[pick(state, 4)], *up = pick(state, 2) ? " up 44\"" : "";
    buf_printf(row, "boxes R%u to R%u %s from %u\" every %u\"%s { receptacle }\n", first,
               first + count - 1, wall, from, every, up);
    for (unsigned i = 0; i < count; i++)
        buf_printf(each, "box R%u %s at %u\"%s { receptacle }\n", first + i, wall, from + i * every,
                   up);
}

static void write_grid(uint64_t *state, struct buf *row, struct buf *each)
{
    unsigned east = 1 + pick(state, 4), north = 1 + pick(state, 3), from = 9 + pick(state, 30),
             by_east = 20 + pick(state, 20), by_north = 20 + pick(state, 20);
    north += east * north == 1;
    const char *where = pick(state, 3) ? "overhead" : "floor";
    bool alike = pick(state, 2);
    by_north = alike ? by_east : by_north;
    buf_printf(row, "boxes C1 to C%u %s %u by %u from %u\", 1' every %u\"", east * north, where,
               east, north, from, by_east);
    if (!alike)
        buf_printf(row, ", %u\"", by_north);
    buf_puts(row, " { luminaire leg l }\n");
    for (unsigned i = 0; i < east * north; i++)
        buf_printf(each, "box C%u %s at %u\", %u\" { luminaire leg l }\n", i + 1, where,
                   from + i % east * by_east, 12 + i / east * by_north);
}

static void compile_room(struct compilation *c, const char *boxes, unsigned way)
{
    struct buf text = {0};
    buf_printf(&text,
               PLAN_HEAD "room den \"Den\" { kind living; corner 0', 0'; size 22' by 20'\n%s}\n"
                         "room copy : den \"Copy\" { corner 40', 40'; %s }\n",
               boxes, ways[way]);
    compile_text(c, buf_text(&text));
    buf_free(&text);
    assert_null(finding_of(c, "syntax", 0));
    assert_non_null(c->model);
}

static unsigned boxes_that_differ(const struct model *a, const struct model *b)
{
    unsigned n = a->boxes.n != b->boxes.n;
    for (uint32_t i = 0; i < a->boxes.n && i < b->boxes.n; i++) {
        const struct box *x = a->boxes.at[i], *y = b->boxes.at[i];
        const struct place *p = &x->place, *q = &y->place;
        n += strcmp(x->name, y->name) || x->device_count != y->device_count || !p->known ||
             p->where != q->where || p->wall != q->wall || p->from_left != q->from_left ||
             p->up != q->up || p->at.x != q->at.x || p->at.y != q->at.y || p->at.z != q->at.z;
    }
    return n;
}

static void a_row_is_its_boxes(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        uint64_t random = seed;
        struct buf row = {0}, each = {0};
        write_wall_row(&random, &row, &each);
        write_grid(&random, &row, &each);
        struct compilation a, b;
        compile_room(&a, buf_text(&row), (unsigned)(seed % 4));
        compile_room(&b, buf_text(&each), (unsigned)(seed % 4));
        assert_true(a.model->boxes.n > 4);
        if (boxes_that_differ(a.model, b.model))
            fail_msg("seed %u: the row %s is not %s", (unsigned)seed, buf_text(&row),
                     buf_text(&each));
        compile_free(&a);
        compile_free(&b);
        buf_free(&row);
        buf_free(&each);
    }
}

static void what_does_not_come_out_is_said(void **state)
{
    (void)state;
    static const struct {
        const char *row, *part, *mend;
    } cases[] = {
        {"boxes C1 to C5 overhead 3 by 2 from 3', 4' every 6' { }",
         "C1 to C5 are 5 boxes, and 3 by 2 are 6", "write 'C1 to C6'"},
        {"boxes C3 to C6 overhead 2 by 3 from 3', 4' every 6' { }", "4 boxes, and 2 by 3 are 6",
         "write 'C3 to C8'"},
        {"boxes C1 to C4 overhead 0 by 4 from 3', 4' every 6' { }", "0 by 4 are 0", NULL},
        {"boxes R4 to R1 south from 2' every 6' { }", "numbered upward", "write 'R1 to R4'"},
        {"boxes R1 to S4 south from 2' every 6' { }", "numbered upward behind one name",
         "as in R1 to R4"},
        {"boxes north to south south from 2' every 6' { }", "numbered upward", "as in R1 to R4"},
        {"boxes R01 to R04 south from 2' every 6' { }", "numbered upward", "as in R1 to R4"},
        {"boxes R1 to R900 south from 2' every 1\" { }", "at most 400", "more rows than one"},
        {"boxes R1 to R99999999 south from 2' every 1\" { }", "numbered upward", "as in R1 to R4"},
        {"boxes R1 to R4 south from 2' every 0' { }", "more than 0", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        struct buf text = {0};
        buf_printf(&text, PLAN_HEAD "room den { kind living; size 20' by 20'; %s }\n",
                   cases[i].row);
        const struct finding *f = compile_fault(&c, buf_text(&text), "syntax", cases[i].part);
        if (cases[i].mend && (!f->mend || !strstr(f->mend, cases[i].mend)))
            fail_msg("%s: the mend is %s", cases[i].row, f->mend ? f->mend : "not given");
        assert_int_equal(c.diag.findings.n - c.diag.counts[NOTE], 1);
        compile_free(&c);
        buf_free(&text);
    }
}

/* A copy may say one box of the row anew, and take one away. */
static void a_box_of_a_row_is_its_own(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, PLAN_HEAD
                 "room den { kind living; corner 0', 0'; size 20' by 20'\n"
                 "  boxes R1 to R4 south from 2' every 5' { receptacle } }\n"
                 "room copy : den { corner 40', 0'; without R2; box R3 { receptacle-gfci } }\n");
    assert_null(finding_of(&c, "syntax", 0));
    assert_null(finding_of(&c, "unknown-name", 0));
    assert_int_equal(c.model->boxes.n, 7);
    const struct box *r3 = c.model->boxes.at[5];
    assert_string_equal(r3->name, "R3");
    assert_string_equal(r3->devices[0]->def->name, "receptacle-gfci");
    assert_int_equal(r3->place.from_left, c.model->boxes.at[2]->place.from_left);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_row_is_its_boxes),
        cmocka_unit_test(what_does_not_come_out_is_said),
        cmocka_unit_test(a_box_of_a_row_is_its_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

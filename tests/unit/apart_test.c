/* What stands far off changes nothing: each house of a long row is told what it is told alone. The
 * few boxes of one house are looked through one by one, those of a row by the place where they
 * stand; so the one is held against the other. */
#include "compiled.h"
#include "generate.h"

enum { HOUSES = 14, APART = 100 };

static const char *const rules[] = {"wet-zone", "gfci-missing", "hvac-receptacle"};

/* A bath with a tub and a plant room with a furnace, and receptacles anywhere along their walls. */
static void write_house(struct buf *out, unsigned house, uint64_t state)
{
    static const char *const walls[] = {"north", "east", "south", "west"};
    static const char *const kinds[] = {"receptacle", "receptacle-gfci"};
    int x = (int)house * APART - 7 * APART + (int)pick(&state, 9), y = (int)pick(&state, 40) - 20;
    buf_printf(out,
               "room bath%u { kind bath; corner %d', %d'; size 12' by 9'\n"
               "tub west at %u' wide 5' deep 30\"\n",
               house, x, y, pick(&state, 4));
    for (unsigned i = 0; i < 4; i++)
        buf_printf(out, "box R%u %s at %u\" up %u\" { %s }\n", i, walls[i],
                   6 + pick(&state, i % 2 ? 96 : 132), 18 + pick(&state, 78),
                   kinds[pick(&state, 2)]);
    buf_printf(out,
               "}\nroom plant%u { kind utility; corner %d', %d'; size 50' by 9'\n"
               "box F1 north at 49' { furnace }\n", /* it is served within 25 ft */
               house, x, y + 10);
    for (unsigned i = 1; i < 3; i++)
        buf_printf(out, "box R%u %s at %u' { %s }\n", i, walls[2 * i - 2], 1 + pick(&state, 46),
                   kinds[pick(&state, 2)]);
    buf_puts(out, "}\n");
    buf_printf(out,
               "circuit P.%u { breaker 20 A; run P -> bath%u.R0 -> R1 -> R2 -> R3 }\n"
               "circuit P.%u { breaker 20 A; run P -> plant%u.F1 -> R1 -> R2 }\n",
               2 * house + 1, house, 2 * house + 2, house);
}

static void compile_houses(struct compilation *c, uint64_t seed, unsigned from, unsigned behind)
{
    struct buf text = {0};
    buf_puts(&text, "plan \"Row\" { edition nec-2023 }\nroom yard { kind storage; corner 0', 90'; "
                    "size 9' by 9' }\npanel P { in yard west at 4'; main 200 A; spaces 60 }\n");
    for (unsigned i = from; i < behind; i++)
        write_house(&text, i, seed * HOUSES + i);
    compile_text(c, buf_text(&text));
    assert_int_equal(findings_of(c, "syntax") + findings_of(c, "unknown-name"), 0);
    buf_free(&text);
}

/* What is said of the rooms of one house by the rules that look round. */
static void told_of(const struct compilation *c, unsigned house, struct buf *out)
{
    char names[2][32];
    snprintf(names[0], sizeof names[0], "bath%u.", house);
    snprintf(names[1], sizeof names[1], "plant%u.", house);
    for (size_t r = 0; r < sizeof rules / sizeof *rules; r++) {
        const struct finding *f;
        for (unsigned n = 0; (f = finding_of(c, rules[r], n)); n++)
            if (strstr(f->message, names[0]) || strstr(f->message, names[1]))
                buf_printf(out, "%s: %s\n", rules[r], f->message);
    }
    buf_text(out);
}

static void houses_are_told_what_each_is_alone(void **state)
{
    (void)state;
    unsigned found[3] = {0}, to_service = 0;
    for (uint64_t seed = 1; seed <= 3; seed++) {
        struct compilation row;
        compile_houses(&row, seed, 0, HOUSES);
        for (unsigned i = 0; i < HOUSES; i++) {
            struct compilation one;
            struct buf in_row = {0}, alone = {0};
            compile_houses(&one, seed, i, i + 1);
            told_of(&row, i, &in_row);
            told_of(&one, i, &alone);
            assert_string_equal(in_row.at, alone.at);
            for (size_t r = 0; r < sizeof rules / sizeof *rules; r++)
                found[r] += findings_of(&one, rules[r]);
            to_service += strstr(alone.at, "those who service the furnace in") != NULL;
            buf_free(&in_row);
            buf_free(&alone);
            compile_free(&one);
        }
        compile_free(&row);
    }
    assert_true(found[0] > 5 && found[1] > 5 && found[2] > 5 && to_service > 5);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(houses_are_told_what_each_is_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

/* studbay propose receptacles, alarms, protection: what they add is what the rules miss, the fewest
 * of it, and nothing when they are asked again. */
#include "compiled.h"

#include "base/file.h"
#include "diag/edits.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "plans.h"
#include "propose/propose.h"
#include "random.h"
#include "shuffle.h"

/* The text of the one source of a plan with what is proposed done. */
static const char *proposed(const char *name, const char *text, struct proposal *p, struct arena *a)
{
    struct compilation c;
    struct propose_asked asked = {.library = plan_library()};
    struct buf out = {0};
    *p = (struct proposal){.arena = a};
    compile_text(&c, text);
    assert_true(propose_named(name)->run(&c, &asked, p));
    assert_true(edits_sort(&p->edits));
    edits_apply(&p->edits, c.sources[0], &out);
    const char *kept = arena_copy(a, buf_text(&out), out.n);
    buf_free(&out);
    compile_free(&c);
    return kept;
}

static uint32_t count_of(const char *text, const char *word)
{
    uint32_t n = 0;
    for (const char *at = text; (at = strstr(at, word)); at++)
        n++;
    return n;
}

/* --- one wall ----------------------------------------------------------------------------- */

/* A room of which one wall is no door: so long, after a door so wide. */
static const char *one_wall(struct arena *a, const char *wide, const char *before,
                            const char *long_, const char *after)
{
    return arena_printf(a,
                        "plan \"Wall\" { edition nec-2023 }\n"
                        "room den {\n"
                        "  kind living\n"
                        "  size %s by 9'\n"
                        "  door south at 0' wide %s\n"
                        "  door west at 0' wide 9'\n"
                        "  door east at 0' wide 9'\n"
                        "  door north at 0' wide %s\n"
                        "  door north at %s wide %s\n"
                        "}\n",
                        wide, wide, before, long_, after);
}

/* NFPA 70 210.52(A)(1): no point along the floor line of a wall space is more than 6 ft from a
 * receptacle; (A)(2): a wall space is 2 ft wide or more. So 12 ft have one, in the middle. */
static void walls_by_hand(void **state)
{
    static const struct {
        const char *wide, *before, *to, *after;
        uint32_t receptacles;
    } cases[] = {
        /* 1'-11": no wall space */
        {"10'", "3'", "4'-11\"", "5'-1\"", 0},
        /* 2' */
        {"10'", "3'", "5'", "5'", 1},
        /* 12', with a box beside a stud in its middle, at 9'-6" */
        {"18'-6\"", "3'-6\"", "15'-6\"", "3'", 1},
        /* 12' and 2": one does not reach both ends */
        {"18'-8\"", "3'-6\"", "15'-8\"", "3'", 2},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct arena a = {0};
        struct proposal p;
        const char *text = proposed(
            "receptacles",
            one_wall(&a, cases[i].wide, cases[i].before, cases[i].to, cases[i].after), &p, &a);
        assert_int_equal(count_of(text, "{ receptacle }"), cases[i].receptacles);
        assert_int_equal(p.edits.n, cases[i].receptacles);
        assert_int_equal(errors_in(text, "receptacle-spacing"), 0);
        arena_free(&a);
    }
}

/* --- whole rooms, by all subsets ---------------------------------------------------------- */

/* The rule as it is printed (NFPA 70 210.52(A)(1), (2)), for a rectangular room with doors alone: a
 * wall space goes from door to door along the floor line, round corners, and begins anew at each
 * door; the places of receptacles that one is to have are taken along it. */
enum { MOST_SITES = 256, MOST_DOORS = 2 };

struct oracle {
    length whole, doors[MOST_DOORS][2]; /* round the room, in order */
    uint32_t door_count;
    length sites[MOST_SITES]; /* where a box may stand */
    uint32_t site_count;
};

/* Whether `count` places of those from the `first` on reach a space that is reached up to `from`.
 */
static bool reaches(const struct oracle *o, const length *sites, uint32_t n, length from, length to,
                    uint32_t count)
{
    if (to - from <= 0)
        return true;
    for (uint32_t i = 0; i < n && count; i++)
        if (sites[i] - 6 * FOOT <= from &&
            reaches(o, sites + i + 1, n - i - 1, sites[i] + 6 * FOOT, to, count - 1))
            return true;
    return false;
}

/* The fewest for the space between two places of the floor line. */
static uint32_t fewest_between(const struct oracle *o, length from, length to)
{
    length sites[2 * MOST_SITES];
    uint32_t n = 0;
    for (int round = 0; round < 2; round++)
        for (uint32_t i = 0; i < o->site_count; i++) {
            length at = o->sites[i] + round * o->whole;
            if (at >= from && at <= to)
                sites[n++] = at;
        }
    for (uint32_t count = 0; count <= n; count++)
        if (reaches(o, sites, n, from, to, count))
            return count;
    return UINT32_MAX;
}

static uint32_t fewest(const struct oracle *o)
{
    uint32_t sum = 0;
    for (uint32_t i = 0; i < o->door_count; i++) {
        length from = o->doors[i][1],
               to = i + 1 < o->door_count ? o->doors[i + 1][0] : o->doors[0][0] + o->whole;
        if (to - from >= 2 * FOOT)
            sum += fewest_between(o, from, to);
    }
    return sum;
}

static int by_length(const void *a, const void *b)
{
    const length *p = a, *q = b;
    return (*p > *q) - (*p < *q);
}

/* The sites along the walls, which begin with the south one or another: each wall's own place on
 * the line is counted from the first. */
static void find_sites(struct compilation *c, struct oracle *o)
{
    struct room *r = c->model->rooms.at[0];
    struct free_places *free =
        mountings_free(&c->arena, c->model, c->routes->frame, c->routes->mountings);
    length start = 0;
    for (uint32_t wall = 0; wall < r->wall_count; wall++) {
        place_list places = {0};
        mountings_places(&c->arena, free, r, wall, 16 * INCH, &places);
        for (uint32_t i = 0; i < places.n; i++)
            o->sites[o->site_count++] = start + places.at[i].from_left;
        for (uint32_t i = 0; i < r->fixtures.n; i++) {
            const struct fixture *x = &r->fixtures.at[i];
            if (x->wall != wall)
                continue;
            o->doors[o->door_count][0] = start + x->from_left;
            o->doors[o->door_count++][1] = start + x->from_left + x->wide;
        }
        start += r->walls[wall].length;
    }
    o->whole = start;
    qsort(o->sites, o->site_count, sizeof *o->sites, by_length);
    qsort(o->doors, o->door_count, sizeof *o->doors, by_length);
}

static void rooms_have_the_fewest(void **state)
{
    uint64_t random = 3;
    (void)state;
    for (int i = 0; i < 60; i++) {
        struct arena a = {0};
        struct proposal p;
        struct compilation c;
        struct oracle o = {0};
        unsigned wide = 84 + pick(&random, 120), deep = 84 + pick(&random, 100);
        const char *more = pick(&random, 2) ? arena_printf(&a, "  door north at %u\" wide 30\"\n",
                                                           6 + pick(&random, wide - 42))
                                            : "";
        const char *text = arena_printf(&a,
                                        "plan \"Room\" { edition nec-2023 }\n"
                                        "room den {\n"
                                        "  kind living\n"
                                        "  size %u\" by %u\"\n"
                                        "  door south at %u\" wide 30\"\n%s"
                                        "}\n",
                                        wide, deep, 6 + pick(&random, wide - 42), more);
        compile_text(&c, text);
        find_sites(&c, &o);
        const char *with = proposed("receptacles", text, &p, &a);
        assert_int_equal(count_of(with, "{ receptacle }"), fewest(&o));
        assert_int_equal(errors_in(with, "receptacle-spacing"), 0);
        compile_free(&c);
        arena_free(&a);
    }
}

/* --- whole houses ------------------------------------------------------------------------- */

static bool begins(const char *line, const char *word)
{
    line += strspn(line, " ");
    return !strncmp(line, word, strlen(word)) && line[strlen(word)] == ' ';
}

static bool has_in(const char *line, size_t n, const char *word)
{
    for (size_t i = 0; i + strlen(word) <= n; i++)
        if (!strncmp(line + i, word, strlen(word)))
            return true;
    return false;
}

/* A plan without its circuits, and without the boxes on whose line a word stands. */
static const char *stripped(struct arena *a, const char *text, const char *const *words)
{
    struct buf out = {0};
    int deep = 0;
    for (const char *at = text; *at;) {
        size_t n = strcspn(at, "\n");
        bool gone = deep > 0 || begins(at, "circuit") || begins(at, "building");
        for (size_t i = 0; gone && i < n; i++)
            deep += (at[i] == '{') - (at[i] == '}');
        for (size_t i = 0; words[i]; i++)
            gone |= begins(at, "box") && has_in(at, n, words[i]);
        if (!gone)
            buf_add(&out, at, n + (at[n] == '\n'));
        at += n + (at[n] == '\n');
    }
    const char *kept = arena_copy(a, buf_text(&out), out.n);
    buf_free(&out);
    return kept;
}

/* The n-th house of the generator. */
static const char *house(struct arena *a, unsigned n)
{
    for (uint64_t seed = 1;; seed++) {
        struct plan_text t = {0};
        plan_make(&t, PLAN_CLEAN, seed, 0);
        const char *text = strstr(buf_text(&t.plan), "A house drawn up") && !n--
                               ? arena_copy(a, t.plan.at, t.plan.n)
                               : NULL;
        plan_free(&t);
        if (text)
            return text;
        assert_true(seed < 2000);
    }
}

/* Errors and warnings that are not about feeding. */
static uint32_t faults(const char *text)
{
    struct compilation c;
    uint32_t n = 0;
    compile_text(&c, text);
    for (uint32_t i = 0; i < c.diag.findings.n; i++)
        n += c.diag.findings.at[i].severity != NOTE && !propose_is_unfed(&c.diag.findings.at[i]);
    compile_free(&c);
    return n;
}

static uint32_t errors_of_all(const char *text, const char *const *rules)
{
    uint32_t n = 0;
    for (size_t i = 0; rules[i]; i++)
        n += errors_in(text, rules[i]);
    return n;
}

static const char *const receptacle_rules[] = {"receptacle-spacing", "counter-spacing",
                                               "basin-receptacle",   "island-receptacle",
                                               "foyer-receptacle",   "laundry-receptacle",
                                               "garage-receptacle",  "basement-receptacle",
                                               "hall-receptacle",    "outdoor-receptacle",
                                               "hvac-receptacle",    "building-receptacle",
                                               "deck-receptacle",    NULL};

static const char *const alarm_rules[] = {"smoke-alarm", "carbon-monoxide-alarm",
                                          "alarm-interconnect", "alarm-too-near", NULL};

/* Proposes for a plan that misses much: then nothing is missing, nothing else is wrong that was
 * not, and nothing is proposed anew. */
static void check_proposed(const char *name, const char *text, const char *const *rules)
{
    struct arena a = {0};
    struct proposal p;
    assert_true(errors_of_all(text, rules) > 0);
    const char *with = proposed(name, text, &p, &a);
    assert_int_equal(errors_of_all(with, rules), 0);
    assert_true(faults(with) < faults(text));
    const char *again = proposed(name, with, &p, &a);
    assert_int_equal(p.edits.n, 0);
    assert_string_equal(again, with);
    arena_free(&a);
}

enum { HOUSES = 3 };

static void houses_get_their_receptacles(void **state)
{
    static const char *const words[] = {"receptacle", NULL};
    (void)state;
    for (unsigned i = 0; i < HOUSES; i++) {
        struct arena a = {0};
        check_proposed("receptacles", stripped(&a, house(&a, i), words), receptacle_rules);
        arena_free(&a);
    }
}

static void houses_get_their_alarms(void **state)
{
    static const char *const words[] = {"-alarm", NULL};
    (void)state;
    for (unsigned i = 0; i < HOUSES; i++) {
        struct arena a = {0};
        check_proposed("alarms", stripped(&a, house(&a, i), words), alarm_rules);
        arena_free(&a);
    }
}

/* The statements that are in the second text and not in the first, by rooms, without names; in the
 * order of the alphabet. */
static const char *new_lines(struct arena *a, const char *before, const char *after)
{
    const char *lines[256];
    uint32_t n = 0;
    const char *room = "";
    struct buf out = {0};
    for (const char *at = after; *at;) {
        size_t len = strcspn(at, "\n");
        const char *line = arena_copy(a, at, len);
        if (begins(line, "room"))
            room = line;
        if (begins(line, "box") && !strstr(before, line) && n < 256)
            lines[n++] = arena_printf(a, "%s%s\n", room, strchr(strchr(line, 'x') + 2, ' '));
        at += len + (at[len] == '\n');
    }
    for (uint32_t i = 1; i < n; i++)
        for (uint32_t k = i; k && strcmp(lines[k], lines[k - 1]) < 0; k--) {
            const char *other = lines[k];
            lines[k] = lines[k - 1];
            lines[k - 1] = other;
        }
    for (uint32_t i = 0; i < n; i++)
        buf_puts(&out, lines[i]);
    const char *kept = arena_copy(a, buf_text(&out), out.n);
    buf_free(&out);
    return kept;
}

/* Other names and another order of statements change nothing of what is proposed. */
static void order_changes_nothing(void **state)
{
    static const char *const words[] = {"receptacle", "-alarm", NULL};
    static const char *const names[] = {"receptacles", "alarms"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        struct arena a = {0};
        struct proposal p, q;
        struct buf other = {0};
        const char *text = stripped(&a, house(&a, 0), words);
        shuffle_text(text, strlen(text), 5 + i, &other);
        const char *one = proposed(names[i], text, &p, &a),
                   *two = proposed(names[i], buf_text(&other), &q, &a);
        assert_true(p.edits.n > 0);
        assert_string_equal(new_lines(&a, text, one), new_lines(&a, buf_text(&other), two));
        buf_free(&other);
        arena_free(&a);
    }
}

/* --- places that must have one ------------------------------------------------------------- */

#define ISLAND(edition)                                                                            \
    "plan \"Kitchen\" { edition " edition " }\n"                                                   \
    "room kitchen {\n"                                                                             \
    "  kind kitchen\n"                                                                             \
    "  corner 0', 0'\n"                                                                            \
    "  size 20' by 16'\n"                                                                          \
    "  counter north at 0' wide 12' deep 25\"\n"                                                   \
    "  sink north at 4' wide 2'-6\" deep 22\"\n"                                                   \
    "  range north at 8' wide 2'-6\"\n"                                                            \
    "  island at 5', 6' size 6' by 3'\n"                                                           \
    "}\n"

/* NFPA 70 210.52(C)(2): an island of 18 ft2 has one receptacle by the edition of 2017 (24 in by 12
 * in or more), two by that of 2020 (one for the first 9 ft2, one for each further 18 ft2 or a part
 * of it), none by that of 2023. */
static void islands_as_the_edition_asks(void **state)
{
    static const struct {
        const char *text;
        uint32_t receptacles;
    } cases[] = {{ISLAND("nec-2017"), 1}, {ISLAND("nec-2020"), 2}, {ISLAND("nec-2023"), 0}};
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct arena a = {0};
        struct proposal p;
        const char *text = proposed("receptacles", cases[i].text, &p, &a);
        assert_int_equal(count_of(text, " floor at "), cases[i].receptacles);
        assert_int_equal(errors_of_all(text, receptacle_rules), 0);
        arena_free(&a);
    }
}

/* Flats of one text get their boxes in that text, once. */
static void copies_share_theirs(void **state)
{
    static const char *const words[] = {"receptacle", NULL};
    struct arena a = {0};
    struct proposal p;
    struct buf flats = {0};
    (void)state;
    assert_true(file_read(&flats, "examples/flats/flats.bay", 1 << 20));
    const char *text = stripped(&a, buf_text(&flats), words);
    assert_true(errors_of_all(text, receptacle_rules) > 0);
    text = proposed("receptacles", text, &p, &a);
    assert_int_equal(errors_of_all(text, receptacle_rules), 0);
    assert_int_equal(p.edits.n, count_of(text, "{ receptacle }"));
    proposed("receptacles", text, &p, &a);
    assert_int_equal(p.edits.n, 0);
    buf_free(&flats);
    arena_free(&a);
}

/* --- alarms by hand ----------------------------------------------------------------------- */

#define HALL                                                                                       \
    "plan \"Alarms\" { edition nec-2023 }\n"                                                       \
    "level main { floor 0'; ceiling 8'; walls 2x4 at 16\"; joists 2x8 at 16\" running north }\n"   \
    "room hall { on main; kind hall; corner 0', 0'; size 20' by 4'\n"                              \
    "  door north at 2' wide 30\" to one\n"                                                        \
    "  door north at 12' wide 30\" to two\n"                                                       \
    "}\n"                                                                                          \
    "room one { on main; kind bedroom; corner 0', 4'-3 1/2\"; size 9' by 10' }\n"                  \
    "room two { on main; kind bedroom; corner 9'-3 1/2\", 4'-3 1/2\"; size 10' by 10' }\n"

/* IRC R314.3 (R310.3 since 2024): in each sleeping room, outside each sleeping area near the
 * bedrooms, on each storey; R315.2 (R311.2): of carbon monoxide outside each sleeping area where a
 * garage is attached. One device may be both. */
static void alarms_by_hand(void **state)
{
    struct arena a = {0};
    struct proposal p;
    (void)state;
    const char *text = proposed("alarms", HALL, &p, &a);
    assert_int_equal(count_of(text, "{ smoke-alarm }"), 3);
    assert_int_equal(p.edits.n, 3);
    text = proposed("alarms",
                    HALL "room garage { on main; kind garage; corner 20'-3 1/2\", 0'; attached\n"
                         "  size 12' by 20'\n  door west at 18' wide 30\" to hall\n}\n",
                    &p, &a);
    assert_int_equal(count_of(text, "{ smoke-alarm }"), 2);
    assert_int_equal(count_of(text, "{ smoke-co-alarm }"), 1);
    assert_int_equal(p.edits.n, 3);
    arena_free(&a);
}

/* New ones hang on the circuit of those that are there. */
static void alarms_join_those_there(void **state)
{
    struct arena a = {0};
    struct proposal p;
    (void)state;
    const char *text =
        proposed("alarms",
                 HALL "room den { on main; kind bedroom; corner 0', -10'-3 1/2\"; size 9' by 10'\n"
                      "  door north at 2' wide 30\" to hall\n"
                      "  box X1 overhead at 4', 4' { smoke-alarm }\n}\n"
                      "panel P { in hall west at 2' up 5'; main 100 A; spaces 12 }\n"
                      "circuit P.1 \"Alarms\" { breaker 15 A afci; run P -> den.X1 }\n",
                 &p, &a);
    assert_non_null(strstr(text, "serves"));
    assert_int_equal(errors_of_all(text, alarm_rules), 0);
    arena_free(&a);
}

/* --- protection --------------------------------------------------------------------------- */

#define BATH(breaker, words, more)                                                                 \
    "plan \"Bath\" { edition nec-2023 }\n"                                                         \
    "room bath { kind bath; corner 0', 0'; size 8' by 8'\n"                                        \
    "  box R1 north at 2' up 42\" { receptacle-20 }\n"                                             \
    "  box R2 north at 6' up 42\" { receptacle-20 }\n"                                             \
    "}\n"                                                                                          \
    "room cellar { kind utility; corner 20', 0'; size 8' by 8' }\n"                                \
    "panel P { in cellar west at 4' up 5'; main 100 A; spaces 12" words " }\n"                     \
    "circuit P.1 \"Bath receptacles\" {\n"                                                         \
    "  breaker 20 A" breaker "\n"                                                                  \
    "  run P -> bath.R1 -> R2\n"                                                                   \
    "}\n" more

/* NFPA 70 210.8(A)(1): receptacles of bathrooms have ground-fault protection; 210.8 has it by a
 * breaker or by a device before them. What is cheapest depends on prices alone. */
static void cheapest_protection(void **state)
{
    struct arena a = {0};
    struct proposal p;
    (void)state;
    const char *text = proposed("protection", BATH("", "", ""), &p, &a);
    assert_non_null(strstr(text, "breaker 20 A gfci")); /* no prices: one part, the breaker first */
    assert_int_equal(p.assumed.n, 1);
    assert_int_equal(errors_in(text, "gfci-missing"), 0);
    text = proposed("protection",
                    BATH("", "",
                         "price breaker 20 A 8.00\nprice breaker 20 A gfci 48.00\n"
                         "price receptacle-20 2.00\nprice receptacle-gfci-20 20.00\n"),
                    &p, &a);
    assert_non_null(strstr(text, "{ receptacle-gfci-20 onward }")); /* 18 against 40 */
    assert_int_equal(count_of(text, "receptacle-gfci-20 onward"), 1);
    assert_null(strstr(text, "breaker 20 A gfci\n  run"));
    assert_int_equal(p.assumed.n, 0);
    assert_int_equal(errors_in(text, "gfci-missing"), 0);
    text = proposed("protection",
                    BATH("", "",
                         "price breaker 20 A 8.00\nprice breaker 20 A gfci 24.00\n"
                         "price receptacle-20 2.00\nprice receptacle-gfci-20 20.00\n"),
                    &p, &a);
    assert_non_null(strstr(text, "breaker 20 A gfci\n  run")); /* 16 against 18 */
    arena_free(&a);
}

#define OLD_BATH(breaker)                                                                          \
    "plan \"Bath\" { edition nec-2023 }\n"                                                         \
    "room bath { kind bath; corner 0', 0'; size 8' by 8'\n"                                        \
    "  box J1 overhead at 4', 4' { existing; type octagon-2-1-8-deep; holds 4 of 12; grounds 2 "   \
    "}\n"                                                                                          \
    "  box R1 north at 2' up 42\" { receptacle-20 }\n"                                             \
    "}\n"                                                                                          \
    "room cellar { kind utility; corner 20', 0'; size 8' by 8' }\n"                                \
    "panel P { in cellar west at 4' up 5'; main 100 A; spaces 12; existing }\n"                    \
    "circuit P.1 \"Old bath\" {\n"                                                                 \
    "  existing\n"                                                                                 \
    "  breaker 20 A" breaker "\n"                                                                  \
    "  run bath.J1 -> R1\n"                                                                        \
    "}\n"

/* A breaker that is there stays what it is: one that is to protect is a new one. */
static void old_breakers_are_replaced(void **state)
{
    struct arena a = {0};
    struct proposal p;
    (void)state;
    const char *text = proposed("protection", OLD_BATH(""), &p, &a);
    assert_non_null(strstr(text, "breaker 20 A new gfci"));
    assert_int_equal(errors_in(text, "gfci-missing"), 0);
    text = proposed("protection", OLD_BATH(" gfci"), &p, &a);
    assert_int_equal(p.edits.n, 0);
    assert_int_equal(p.told.n, 1);
    arena_free(&a);
}

/* Houses without a word of protection. */
static void houses_get_their_protection(void **state)
{
    static const char *const gone[] = {" dual-function", " afci", " gfci", "-gfci", " onward"};
    static const char *const rules[] = {"gfci-missing", "afci-missing", NULL};
    (void)state;
    for (unsigned i = 0; i < HOUSES; i++) {
        struct arena a = {0};
        char *text = (char *)house(&a, i);
        for (size_t k = 0; k < sizeof gone / sizeof *gone; k++)
            for (char *at; (at = strstr(text, gone[k]));)
                memmove(at, at + strlen(gone[k]), strlen(at + strlen(gone[k])) + 1);
        check_proposed("protection", text, rules);
        arena_free(&a);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(walls_by_hand),
                                       cmocka_unit_test(rooms_have_the_fewest),
                                       cmocka_unit_test(houses_get_their_receptacles),
                                       cmocka_unit_test(houses_get_their_alarms),
                                       cmocka_unit_test(order_changes_nothing),
                                       cmocka_unit_test(islands_as_the_edition_asks),
                                       cmocka_unit_test(copies_share_theirs),
                                       cmocka_unit_test(alarms_by_hand),
                                       cmocka_unit_test(alarms_join_those_there),
                                       cmocka_unit_test(cheapest_protection),
                                       cmocka_unit_test(old_breakers_are_replaced),
                                       cmocka_unit_test(houses_get_their_protection)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

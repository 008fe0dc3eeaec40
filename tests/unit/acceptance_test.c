/* What the language promises of slips, doubles, copies and waivers: one fault is one finding, and nothing that is wrong goes by unsaid. */
#include "compiled.h"

static const char *shed(const char *clauses, const char *second, const char *breaker, const char *rest)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition nec-2023 }\nroom shed { %s; corner 0', 0'; size 12' by 10'\nbox R1 south at 2' { receptacle }\n%s }\n"
             "panel P \"Panel\" { in shed north at 6' up 5'; main 100 A; spaces 12 }\ncircuit 1 \"Shed receptacles\" { %s; run P -> shed.R1 -> R2 }\n%s",
             clauses, second, breaker, rest);
    return text;
}

static const char storage[] = "kind storage", r2[] = "box R2 south at 8' { receptacle }", afci[] = "breaker 15 A afci";
static const char more[] = "box R2 south at 8' { receptacle }\nbox R3 east at 3' { receptacle }\nbox R4 east at 7' { receptacle }";

static unsigned count_of(const struct compilation *c, enum rule_id rule)
{
    unsigned n = 0;
    while (finding_of(c, rule, n))
        n++;
    return n;
}

/* The text has one finding of the rule that holds the words, and none of `silent`. */
static void one(const char *text, enum rule_id rule, const char *words, enum rule_id silent)
{
    struct compilation c;
    compile_text(&c, text);
    if (count_of(&c, rule) != 1 || count_of(&c, silent))
        show_compiled(&c);
    assert_int_equal(count_of(&c, rule), 1);
    assert_non_null(strstr(finding_of(&c, rule, 0)->message, words));
    assert_int_equal(count_of(&c, silent), 0);
    compile_free(&c);
}

static void measures_are_not_below_nothing(void **state)
{
    (void)state;
    one(shed(storage, r2, "breaker -20 A", ""), R_SYNTAX, "more than 0", R_UNKNOWN_NAME);
    one(shed(storage, r2, "breaker 0 A", ""), R_SYNTAX, "more than 0", R_UNKNOWN_NAME);
    one(shed(storage, "box R2 south at 8' { receptacle -5 W }", afci, ""), R_SYNTAX, "below 0", R_UNKNOWN_NAME);
}

/* A comma before three digits parts thousands; before others it stands for a point. */
static void commas_in_numbers(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, shed(storage, r2, "breaker 1,5 A", ""));
    assert_non_null(strstr(finding_of(&c, R_WRONG_UNIT, 0)->mend, "1.5"));
    compile_free(&c);
    compile_text(&c, shed(storage, "box R2 south at 8' { receptacle 1,200 VA }", afci, ""));
    assert_non_null(strstr(finding_of(&c, R_WRONG_UNIT, 0)->mend, "1200"));
    compile_free(&c);
}

static void texts_are_utf8(void **state)
{
    (void)state;
    one(shed(storage, r2, afci, "leg x \"caf\xe9\"\n"), R_SYNTAX, "UTF-8", R_LIMIT);
    struct compilation c;
    compile_text(&c, shed(storage, r2, afci, "coil 14/2 250' \"caf\xc3\xa9\"\n"));
    assert_int_equal(count_of(&c, R_SYNTAX), 0);
    compile_free(&c);
}

static void doubles_are_said_once(void **state)
{
    (void)state;
    one(shed(storage, "box r1 south at 8' { receptacle }", afci, ""), R_DUPLICATE_NAME, "only in case", R_UNKNOWN_NAME);
    one(shed(storage, r2, afci, "circuit 1 \"x\" { breaker 20 A }\n"), R_DUPLICATE_NAME, "already", R_DIRECTORY_VAGUE);
    one(shed("kind storage; outline from 0', 0' { w north 10'; n east 12'; e south 10'; s west 12' }", r2, afci, ""), R_DUPLICATE_CLAUSE, "a size or an outline", R_OUTLINE_OPEN);
}

static void circuits_count_from_one(void **state)
{
    (void)state;
    one(shed(storage, r2, afci, "circuit 02 \"Spare\" { breaker 20 A }\n"), R_SYNTAX, "leading zero", R_DUPLICATE_NAME);
    one(shed(storage, r2, afci, "circuit P.02 \"Spare\" { breaker 20 A }\n"), R_SYNTAX, "leading zero", R_DUPLICATE_NAME);
}

static void a_run_that_feeds_has_that_name(void **state)
{
    (void)state;
    one(shed(storage, "box R2 south at 8' { receptacle by north }", afci, ""), R_UNKNOWN_NAME, "'north'", R_SYNTAX);
}

/* What holds for one hop only is refused on a chain and then left out. */
static void names_of_chains(void **state)
{
    (void)state;
    one(shed(storage, more, afci, "circuit 2 \"Shed bench\" { breaker 20 A; run P -> shed.R3 -> R4 as far }\n"), R_SYNTAX, "one hop", R_LABELS_ALIKE);
}

static void copies_of_nothing(void **state)
{
    (void)state;
    one(shed(storage, r2, afci, "room attic : loft \"Attic\" { corner 20', 0' }\n"), R_UNKNOWN_NAME, "'loft'", R_MISSING_CLAUSE);
    one(shed(storage, r2, afci, "room attic : attic \"Attic\" { corner 20', 0' }\n"), R_DEFINITION_CYCLE, "itself", R_DEFAULT_KIND);
    one(shed(storage, r2, afci, "unit flat : loft \"Flat\" { corner 40', 0'; room den { box R9 south at 2' { receptacle } } }\n"), R_UNKNOWN_NAME, "'loft'", R_MISSING_CLAUSE);
}

static const char flats[] =
    "plan \"Flats\" { edition nec-2023 }\npattern flat { given lamp 12 W; room den { kind storage; corner 0', 0'; size 12' by 10'\n"
    "box L1 overhead at 5', 5' { luminaire (lamp) } } }\nunit u1 : flat { corner 0', 0'; %s }\n";

static void copies_change_what_is_there(void **state)
{
    (void)state;
    static char text[1000];
    snprintf(text, sizeof text, flats, "without den.L9");
    one(text, R_UNKNOWN_NAME, "'den.L9'", R_SYNTAX);
    snprintf(text, sizeof text, flats, "given lampe 9 W");
    one(text, R_UNKNOWN_NAME, "'lampe'", R_SYNTAX);
    struct compilation c;
    snprintf(text, sizeof text, flats, "given lamp 9 W; given fan 60 W; room den { box L2 overhead at 8', 5' { luminaire (fan) } }; without den.L1");
    compile_text(&c, text);
    assert_int_equal(count_of(&c, R_UNKNOWN_NAME), 0);
    compile_free(&c);
}

static void shape_of_a_copy(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, shed(storage, r2, afci, "room den : shed { outline from 20', 0' { w north 11'; n east 12'; e south 11'; s west 12' }; without R1; without R2 }\n"));
    assert_int_equal(count_of(&c, R_DUPLICATE_CLAUSE), 0);
    compile_free(&c);
}

static void waivers_of_defaults(void **state)
{
    (void)state;
    one(shed("waive default-kind because \"a shed\"", r2, afci, ""), R_DEFAULT_KIND, "kind", R_STALE_WAIVER);
    struct compilation c;
    compile_text(&c, shed("finish 1/2\"", r2, afci, "waive default-kind in shed because \"one\"\nwaive default-kind because \"two\"\n"));
    assert_string_equal(finding_of(&c, R_DEFAULT_KIND, 0)->waived, "one");
    assert_int_equal(count_of(&c, R_STALE_WAIVER), 0);
    compile_free(&c);
}

/* A run that closes a loop is no second wire at the breaker. */
static void loops_at_the_panel(void **state)
{
    (void)state;
    one(shed(storage, more, afci, "circuit 2 \"Shed bench\" { breaker 20 A; run P -> shed.R3 -> R4; run P -> shed.R4 }\n"), R_LOOP, "closes a loop", R_BREAKER_TWO_WIRES);
}

/* A thing whose name is misspelt where it is declared is not missed anew at each use. */
static void names_are_missed_once(void **state)
{
    (void)state;
    one(shed(storage, "box R3 south at 8' { receptacle }", afci, "circuit 2 \"Shed bench\" { breaker 20 A; run P -> shed.R2 }\n"), R_UNKNOWN_NAME, "'R2'", R_SYNTAX);
    one(shed(storage, r2, afci, "circuit 2 \"Barn\" { breaker 20 A; run P -> barn.R3 -> barn.R4 }\n"), R_UNKNOWN_NAME, "'barn'", R_SYNTAX);
    one(shed(storage, r2, afci, "room { kind storage; corner 20', 0'; size 9' by 9' }\ncircuit 2 \"Barn\" { breaker 20 A; run P -> barn.R3 }\n"), R_SYNTAX, "name", R_UNKNOWN_NAME);
}

/* A residential code alone says nothing of wiring; an unknown edition is one finding, the other alone. */
static void an_electrical_code_is_named(void **state)
{
    (void)state;
    one("plan \"T\" { edition irc-2024 }\n", R_MISSING_CLAUSE, "electrical code", R_UNKNOWN_NAME);
    one("plan \"T\" { edition irc-2024; edition nec-2032 }\n", R_UNKNOWN_NAME, "nec-2032", R_MISSING_CLAUSE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(measures_are_not_below_nothing), cmocka_unit_test(commas_in_numbers), cmocka_unit_test(texts_are_utf8), cmocka_unit_test(doubles_are_said_once),
        cmocka_unit_test(circuits_count_from_one), cmocka_unit_test(a_run_that_feeds_has_that_name), cmocka_unit_test(names_of_chains), cmocka_unit_test(copies_of_nothing),
        cmocka_unit_test(copies_change_what_is_there), cmocka_unit_test(shape_of_a_copy), cmocka_unit_test(waivers_of_defaults), cmocka_unit_test(loops_at_the_panel), cmocka_unit_test(names_are_missed_once),
        cmocka_unit_test(an_electrical_code_is_named),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

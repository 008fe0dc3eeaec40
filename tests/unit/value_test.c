/* Values against language.md, section 2: lengths are exact, quantities have units, the wrong unit
 * is named with the right one. */
#include "base/length.h"
#include "diag/render.h"
#include "reading.h"
#include "resolve/node.h"
#include "resolve/value.h"

/* A plan of one statement in a block: "level a { floor 4' }". */
static void read_clause(struct reading *r, const char *owner, const char *clause)
{
    char text[512];
    snprintf(text, sizeof text, "%s { %s }\n", owner, clause);
    read_plan(r, text);
}

static const struct value *first_value(struct reading *r)
{
    assert_clean(r);
    const struct value *v = node_value(r->file->child->child, 0);
    assert_non_null(v);
    return v;
}

/* --- lengths ------------------------------------------------------------------------------ */

/* "Lengths are exact: whole numbers of 1/1,016,000 inch" */
static void assert_length(const char *spelling, length wanted)
{
    struct reading r;
    char clause[128];
    snprintf(clause, sizeof clause, "floor %s", spelling);
    read_clause(&r, "level a", clause);
    const struct value *v = first_value(&r);
    assert_int_equal(v->kind, V_LENGTH);
    if (v->n != wanted)
        fprintf(stderr, "%s is %lld\n", spelling, (long long)v->n);
    assert_true(v->n == wanted);
    done(&r);
}

static void spellings(void **state)
{
    (void)state;
    const length inch = 1016000, foot = 12192000;
    assert_int_equal(INCH, inch);
    assert_length("4'", 4 * foot);
    assert_length("4'-6\"", 4 * foot + 6 * inch);
    assert_length("4' 6\"", 4 * foot + 6 * inch);
    assert_length("4'6\"", 4 * foot + 6 * inch);
    assert_length("4' 6 1/2\"", 4 * foot + 6 * inch + inch / 2);
    assert_length("4'-6-1/2\"", 4 * foot + 6 * inch + inch / 2);
    assert_length("4'-6 1/2\"", 4 * foot + 6 * inch + inch / 2);
    assert_length("4'-1/2\"", 4 * foot + inch / 2);
    assert_length("16\"", 16 * inch);
    assert_length("3/4\"", inch * 3 / 4);
    assert_length("16-1/2\"", 16 * inch + inch / 2);
    assert_length("16 1/2\"", 16 * inch + inch / 2);
    assert_length("2.5'", 2 * foot + foot / 2);
    assert_length("4ft", 4 * foot);
    assert_length("4 ft", 4 * foot);
    assert_length("16in", 16 * inch);
    assert_length("2.4m", 2400 * (length)40000);
    assert_length("450mm", 450 * (length)40000);
    assert_length("-8'-10\"", -(8 * foot + 10 * inch));
    assert_length("-2.4 m", -2400 * (length)40000);
    assert_length("0", 0);
    assert_length("0'", 0);
    assert_length("4\xe2\x80\xb2", 4 * foot);
    assert_length("4\xe2\x80\xb2-6\xe2\x80\xb3", 4 * foot + 6 * inch);
    assert_length("4\xe2\x80\x99 6 1/2\xe2\x80\x9d", 4 * foot + 6 * inch + inch / 2);
}

/* "Fractions are halves to 64ths" */
static void fractions(void **state)
{
    (void)state;
    assert_length("1/2\"", INCH / 2);
    assert_length("1/4\"", INCH / 4);
    assert_length("5/8\"", INCH / 8 * 5);
    assert_length("3/16\"", INCH / 16 * 3);
    assert_length("31/32\"", INCH / 32 * 31);
    assert_length("63/64\"", INCH / 64 * 63);
    assert_length("9'-11 63/64\"", 9 * FOOT + 11 * INCH + INCH / 64 * 63);
}

/* "64ths, thousandths of an inch, of a foot and of a millimetre" */
static void thousandths(void **state)
{
    (void)state;
    assert_length("0.001\"", 1016);
    assert_length("0.43\"", 436880);
    assert_length("0.001'", 12192);
    assert_length("0.001mm", 40);
    assert_length("1.5 mm", 60000);
    assert_length("0.0254 m", INCH);
    assert_length("25.4 mm", INCH);
    assert_length("304.8mm", FOOT);
    assert_length("0.0000254 m", 1016);
    assert_length("2.500'", 2 * FOOT + FOOT / 2);
    assert_length("1.0000000000\"", INCH);
}

static void assert_clause(const char *owner, const char *clause, const char *rule, const char *part)
{
    struct reading r;
    read_clause(&r, owner, clause);
    assert_only(&r, rule, part);
    done(&r);
}

static void refused_lengths(void **state)
{
    (void)state;
    assert_clause("level a", "floor 4'-12\"", "syntax", "below 12");
    assert_clause("level a", "floor 4' 12 1/2\"", "syntax", "below 12");
    assert_length("4'-11 63/64\"", 4 * FOOT + 11 * INCH + INCH / 64 * 63);
    assert_length("12\"", FOOT);
    assert_clause("level a", "floor 1/3\"", "syntax", "halves");
    assert_clause("level a", "floor 4' 1/128\"", "syntax", "halves");
    assert_clause("level a", "floor 1/0\"", "syntax", "halves");
    assert_clause("level a", "floor 0.0000001\"", "syntax", "exactly");
    assert_clause("level a", "floor 0.0000001 mm", "syntax", "exactly");
    assert_clause("level a", "floor 1.0000000001'", "syntax", "exactly");
    assert_clause("level a", "floor 200000'", "limit", "no length");
    assert_clause("level a", "floor 99999999999999999999999999'", "limit", "no length");
    assert_clause("level a", "floor 99999999999 m", "limit", "no length");
}

/* --- slips -------------------------------------------------------------------------------- */

/* What people write who mean another trade's or another country's spelling. The hint is told word
 * by word, and what it says is taken where the slip stood. */
static void slips_are_mended_by_their_hints(void **state)
{
    (void)state;
    static const struct {
        const char *owner, *clause, *slip, *hint, *mended;
    } slips[] = {
        {"room a", "size %s", "14x10", "write 14' by 10'", "14' by 10'"},
        {"room a", "size %s", "14 x 10", "write 14' by 10'", "14' by 10'"},
        {"room a", "size %s", "14 by 10", "write 14' by 10'", "14' by 10'"},
        {"level a", "floor %s", "40 cm", "write 400 mm", "400 mm"},
        {"level a", "floor %s", "4 feet", "write 4 ft", "4 ft"},
        {"level a", "floor %s", "16 inches", "write 16 in", "16 in"},
        {"level a", "floor %s", "4", "write 4' for feet, 4\" for inches", "4'"},
        {"level a", "walls %s at 16\"", "2 x 4", "lumber is written in one word: 2x4", "2x4"},
        {"level a", "walls %s at 16\"", "2X4", "lumber is written with a small x: 2x4", "2x4"},
        {"circuit P.1", "cable %s", "14-2", "a cable is written 14/2", "14/2"},
        {"circuit P.1", "cable %s", "12-3", "a cable is written 12/3", "12/3"},
        {"circuit P.1", "breaker %s", "15 amps", "write 15 A", "15 A"},
        {"device d : heater", "load %s W", "1,500", "a number has no comma in it: 1500", "1500"},
        {"device d : heater", "load %s kW", "1,5", "a number has no comma in it: 1.5", "1.5"},
        {"device d : heater", "load %s", "1500 watts", "write 1500 W", "1500 W"},
        {"device d : heater", "load %s", "2 kw", "write 2 kW", "2 kW"},
    };
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        struct reading r;
        char clause[128];
        snprintf(clause, sizeof clause, slips[i].clause, slips[i].slip);
        read_clause(&r, slips[i].owner, clause);
        if (r.diag.findings.n != 1)
            show_findings(&r);
        assert_int_equal(r.diag.findings.n, 1);
        assert_non_null(r.diag.findings.at[0].mend);
        assert_string_equal(r.diag.findings.at[0].mend, slips[i].hint);
        assert_non_null(strstr(slips[i].hint, slips[i].mended));
        done(&r);
        snprintf(clause, sizeof clause, slips[i].clause, slips[i].mended);
        read_clause(&r, slips[i].owner, clause);
        assert_clean(&r);
        done(&r);
    }
}

/* --- quantities --------------------------------------------------------------------------- */

static void assert_quantity(const char *owner, const char *clause, enum dimension dimension,
                            int64_t millionths)
{
    struct reading r;
    read_clause(&r, owner, clause);
    const struct value *v = first_value(&r);
    assert_int_equal(v->kind, V_QUANTITY);
    assert_int_equal(v->dimension, dimension);
    if (v->n != millionths)
        fprintf(stderr, "%s is %lld\n", clause, (long long)v->n);
    assert_true(v->n == millionths);
    done(&r);
}

static void quantities(void **state)
{
    (void)state;
    assert_quantity("circuit 1", "breaker 20 A", D_CURRENT, 20 * MILLION);
    assert_quantity("circuit 1", "breaker 20A", D_CURRENT, 20 * MILLION);
    assert_quantity("circuit 1", "load 90 W", D_LOAD, 90 * MILLION);
    assert_quantity("circuit 1", "load 1.5 kW", D_LOAD, 1500 * MILLION);
    assert_quantity("circuit 1", "load 900 VA", D_LOAD, 900 * MILLION);
    assert_quantity("circuit 1", "load 1.2kVA", D_LOAD, 1200 * MILLION);
    assert_quantity("circuit 1", "drop 3 %", D_PERCENT, 3 * MILLION);
    assert_quantity("circuit 1", "drop 2.5%", D_PERCENT, 2500000);
    assert_quantity("plan \"T\"", "area 320 ft2", D_AREA, 320 * (int64_t)MILLION);
    assert_quantity("plan \"T\"", "area 30 m2", D_AREA, 322917313); /* 1 ft2 = 0.09290304 m2 */
    assert_quantity("box-type a", "volume 20 in3", D_VOLUME, 20 * MILLION);
    assert_quantity("box-type a", "volume 100 cm3", D_VOLUME, 6102374); /* 1 in3 = 16.387064 cm3 */
    assert_quantity("box-type a", "holds 50 lb", D_WEIGHT, 50 * MILLION);
    assert_quantity("box-type a", "holds 10 kg", D_WEIGHT, 22046226); /* 1 lb = 0.45359237 kg */
    assert_quantity("cable 12/3", "rated 60 C", D_TEMPERATURE, 60 * MILLION);
    assert_quantity("cable 12/3", "rated 140 F", D_TEMPERATURE, 60 * MILLION);
}

/* The cells of a row keep whatever unit they have. */
static void cells(void **state)
{
    (void)state;
    struct reading r;
    read_plan(&r, "edition a { table b {\n 14, 15 A, 2 ohm, 3 VA/ft2, 250 kcmil, 1 in2, 4 mm2, 0.5 "
                  "m, yes, \"t\", 12/2\n} }\n");
    assert_clean(&r);
    const struct node *row = r.file->child->child->child;
    static const uint8_t dimensions[] = {D_NONE,    D_CURRENT, D_RESISTANCE, D_AREA_LOAD,
                                         D_SECTION, D_SECTION, D_SECTION,    D_LENGTH};
    static const int64_t n[] = {14,          15 * MILLION,        2 * MILLION,
                                3 * MILLION, 250 * MILLION,       1273239545,
                                7894101,     500 * (int64_t)40000};
    assert_int_equal(row->value_count, 11);
    for (int i = 0; i < 8; i++) {
        assert_int_equal(row->values[i].dimension, dimensions[i]);
        assert_true(row->values[i].n == n[i]);
    }
    assert_int_equal(row->values[8].kind, V_NAME);
    assert_int_equal(row->values[9].kind, V_TEXT);
    assert_int_equal(row->values[10].kind, V_SLASHED);
    done(&r);
}

static void voltages(void **state)
{
    (void)state;
    struct reading r;
    read_clause(&r, "plan \"T\"", "supply 120/240 V");
    const struct value *v = first_value(&r);
    assert_int_equal(v->dimension, D_VOLTAGE);
    assert_int_equal(v->low, 120);
    assert_true(v->n == 240 * (int64_t)MILLION);
    done(&r);
    assert_quantity("plan \"T\"", "supply 240 V", D_VOLTAGE, 240 * MILLION);
}

/* "A plain number or another dimension where one is wanted is wrong-unit and names both." */
static void wrong_units(void **state)
{
    (void)state;
    struct reading r;
    read_clause(&r, "circuit 1", "breaker 20");
    assert_only(&r, "wrong-unit", "'20' is a plain number; breaker wants a current such as 20 A");
    done(&r);
    read_clause(&r, "circuit 1", "breaker 20 V");
    assert_only(&r, "wrong-unit", "'20 V' is a voltage; breaker wants a current");
    done(&r);
    read_clause(&r, "level a", "floor 9");
    assert_only(&r, "wrong-unit", "'9' is a plain number; floor wants a length");
    done(&r);
    read_clause(&r, "plan \"T\"", "slack 6 A");
    assert_only(&r, "wrong-unit", "'6 A' is a current; slack wants a length");
    done(&r);
    read_clause(&r, "circuit 1", "breaker 20'");
    assert_only(&r, "wrong-unit", "is a length; breaker wants a current");
    done(&r);
    read_clause(&r, "panel P", "spaces 20 A");
    assert_only(&r, "wrong-unit", "'20 A' is a current; spaces wants a whole number");
    done(&r);
    read_clause(&r, "panel P", "spaces 2.5");
    assert_only(&r, "syntax", "expected a whole number");
    done(&r);
    read_clause(&r, "plan \"T\"", "supply 120/240");
    assert_only(&r, "syntax", "a voltage such as");
    done(&r);
    /* 0 needs a unit where the measure is no length. */
    read_clause(&r, "circuit 1", "breaker 0");
    assert_only(&r, "wrong-unit", "a plain number");
    done(&r);
}

/* settled.md 6: a unit stands on the number's line, and is case-sensitive. */
static void where_units_stand(void **state)
{
    (void)state;
    struct reading r;
    read_plan(&r, "circuit 1 {\n breaker 20\n A\n}\n");
    assert_true(r.diag.findings.n >= 1);
    assert_true(finding_is(&r.diag.findings.at[0], "wrong-unit"));
    done(&r);
    assert_clause("circuit 1", "breaker 20 a", "wrong-unit", "write 20 A");
    assert_clause("circuit 1", "load 20 kva", "wrong-unit", "write 20 kVA");
}

/* "a number (at most nine digits)" */
static void digits(void **state)
{
    (void)state;
    struct reading r;
    read_clause(&r, "panel P", "spaces 999999999");
    assert_true(first_value(&r)->n == 999999999);
    done(&r);
    assert_clause("panel P", "spaces 1000000000", "limit", "nine digits");
    assert_clause("circuit 1", "load 0.0000001 W", "limit", "six behind the point");
    assert_quantity("circuit 1", "load 0.000001 kW", D_LOAD, 1000);
}

static void texts(void **state)
{
    (void)state;
    struct reading r;
    read_clause(&r, "plan \"T\"", "note \"a \\\"b\\\" \\\\ c\\nd\"");
    const struct value *v = first_value(&r);
    assert_int_equal(v->kind, V_TEXT);
    assert_string_equal(v->name, "a \"b\" \\ c\nd");
    done(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(spellings),
        cmocka_unit_test(fractions),
        cmocka_unit_test(thousandths),
        cmocka_unit_test(refused_lengths),
        cmocka_unit_test(slips_are_mended_by_their_hints),
        cmocka_unit_test(quantities),
        cmocka_unit_test(cells),
        cmocka_unit_test(voltages),
        cmocka_unit_test(wrong_units),
        cmocka_unit_test(where_units_stand),
        cmocka_unit_test(digits),
        cmocka_unit_test(texts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

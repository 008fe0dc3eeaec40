/* The amendments of docs/amendments, as they are pasted below a plan: each takes away what it says,
 * and nothing else is found that was not found before. What places amend most often: published
 * amendments of states and cities, such as https://dlr.sd.gov/electrical/tool_box.aspx (210.8(F),
 * 210.8(D), 230.67, 406.9(C)) and
 * https://forums.mikeholt.com/threads/nec-code-for-island-recepticals.67977 (islands). Run from the
 * top of the tree. */
#include "compiled.h"

#include "base/file.h"

#include <glob.h>

enum { LARGEST = 1 << 16 };

static const struct amended {
    const char *file, *rule;
    unsigned before, after; /* findings of the rule */
    const char *plan;
} amended[] = {
    {"heating-outdoors-exempt", "gfci-missing", 2, 1,
     "plan \"Yard\" { edition nec-2023 }\n"
     "room y { kind outdoors; corner 0', 0'; size 30' by 12'\n"
     "  box A1 north at 2' { heat-pump mca 18 A max-breaker 30 A }\n"
     "  box A2 north at 8' { ev-supply } }\n"
     "room u { kind utility; corner 0', 20'; size 10' by 10' }\n"
     "panel P { in u north at 5' up 5'; main 100 A; spaces 20 }\n"
     "circuit P.1 { breaker 30 A two-pole; run P -> y.A1 }\n"
     "circuit P.2 { breaker 40 A two-pole; run P -> y.A2 }\n"},
    {"appliances-without-gfci", "gfci-missing", 3, 1,
     "plan \"Dwelling\" { edition nec-2023 }\n"
     "room l { kind living; corner 0', 0'; size 20' by 10'\n"
     "  box A1 north at 2' { dryer-receptacle }\n"
     "  box A2 north at 8' { range }\n"
     "  box A3 north at 14' { dishwasher } }\n"
     "room u { kind utility; corner 0', 20'; size 10' by 10' }\n"
     "panel P { in u north at 5' up 5'; main 100 A; spaces 20 }\n"
     "circuit P.1 { breaker 30 A two-pole; run P -> l.A1 }\n"
     "circuit P.2 { breaker 40 A two-pole; run P -> l.A2 }\n"
     "circuit P.5 { breaker 20 A afci; run P -> l.A3 }\n"},
    {"what-must-not-trip", "gfci-missing", 3, 1,
     "plan \"Garage\" { edition nec-2023 }\n"
     "room g { kind garage; size 20' by 20'\n"
     "  box A1 north at 2' { refrigerator }\n"
     "  box A2 north at 8' { sump-pump }\n"
     "  box A3 north at 14' { receptacle } }\n"
     "panel P { in g south at 5' up 5'; main 100 A; spaces 20 }\n"
     "circuit P.1 { breaker 20 A; run P -> g.A1 }\n"
     "circuit P.2 { breaker 20 A; run P -> g.A2 }\n"
     "circuit P.3 { breaker 20 A; run P -> g.A3 }\n"},
    {"arc-faults-in-bedrooms", "afci-missing", 2, 1,
     "plan \"Dwelling\" { edition nec-2023 }\n"
     "room l { kind living; corner 0', 0'; size 20' by 10'; box R1 north at 2' { receptacle } }\n"
     "room b { kind bedroom; corner 0', 20'; size 20' by 10'; box R1 north at 2' { receptacle } }\n"
     "room u { kind utility; corner 0', 40'; size 10' by 10' }\n"
     "panel P { in u north at 5' up 5'; main 100 A; spaces 20 }\n"
     "circuit P.1 { breaker 20 A; run P -> l.R1 }\n"
     "circuit P.2 { breaker 20 A; run P -> b.R1 }\n"},
    {"service-as-2017", "surge-protection", 1, 0,
     "plan \"Dwelling\" { edition nec-2023; calculate dwelling }\n"
     "room k { kind kitchen; corner 0', 0'; size 20' by 10' }\n"
     "room u { kind utility; corner 0', 20'; size 10' by 10'; box W1 south at 2' { water-heater } "
     "}\n"
     "panel P { in u north at 5' up 5'; main 100 A; spaces 20 }\n"
     "circuit P.1 { breaker 30 A two-pole; run P -> u.W1 }\n"},
    {"tub-zone-as-2017", "wet-zone", 1, 0,
     "plan \"Bath\" { edition nec-2023 }\n"
     "room b { kind bath; size 10' by 10'; tub north at 0' wide 5' deep 30\"\n"
     "  box R1 north at 7' up 42\" { receptacle-gfci-20 } }\n"
     "panel P { in b south at 5' up 5'; main 100 A; spaces 20 }\n"
     "circuit P.1 { breaker 20 A; run P -> b.R1 }\n"},
    {"islands-optional", "island-receptacle", 1, 0,
     "plan \"Kitchen\" { edition nec-2020 }\n"
     "room k { kind kitchen; size 14' by 12'; island at 5', 4' size 4'-6\" by 2'\n"
     "  box R1 north at 2' { receptacle-gfci-20 } }\n"
     "panel P { in k south at 5' up 5'; main 100 A; spaces 20 }\n"
     "circuit P.1 { breaker 20 A afci; run P -> k.R1 }\n"},
};

enum { AMENDED = sizeof amended / sizeof *amended };

static void path_of(const struct amended *a, char path[200])
{
    snprintf(path, 200, "docs/amendments/%s.bay", a->file);
}

static void each_takes_away_what_it_says(void **state)
{
    (void)state;
    for (int i = 0; i < AMENDED; i++) {
        const struct amended *a = &amended[i];
        struct compilation plain, changed;
        struct buf text = {0};
        char path[200];
        path_of(a, path);
        buf_puts(&text, a->plan);
        assert_true(file_read(&text, path, LARGEST));
        compile_text(&plain, a->plan);
        compile_text(&changed, buf_text(&text));
        unsigned was = findings_of(&plain, a->rule), is = findings_of(&changed, a->rule);
        if (was != a->before || is != a->after)
            fail_msg("%s: %u findings of %s without it and %u with it, not %u and %u", path, was,
                     a->rule, is, a->before, a->after);
        assert_int_equal(plain.diag.findings.n - was, changed.diag.findings.n - is);
        compile_free(&plain);
        compile_free(&changed);
        buf_free(&text);
    }
}

/* What is pasted below a plan of the edition of 2026 says so in its first line, and no more of it.
 */
static void heating_is_exempt_by_the_edition_of_2026_too(void **state)
{
    (void)state;
    struct buf text = {0};
    char path[200], *at;
    path_of(&amended[0], path);
    buf_puts(&text, amended[0].plan);
    assert_true(file_read(&text, path, LARGEST));
    buf_text(&text);
    while ((at = strstr(text.at, " nec-2023 ")))
        memcpy(at, " nec-2026 ", strlen(" nec-2026 "));
    struct compilation c;
    compile_text(&c, text.at);
    const struct finding *f = finding_of(&c, "gfci-missing", 0);
    assert_int_equal(findings_of(&c, "gfci-missing"), 1);
    assert_non_null(strstr(f->message, "ev-supply"));
    assert_string_equal(c.model->code.electrical->name, "nec-2026");
    compile_free(&c);
    buf_free(&text);
}

/* None is shown that is not tried, and each is shown in the page. */
static void all_are_tried_and_shown(void **state)
{
    (void)state;
    glob_t found;
    struct buf page = {0};
    assert_true(file_read(&page, "docs/editions.md", 4 << 20));
    assert_int_equal(glob("docs/amendments/*.bay", 0, NULL, &found), 0);
    assert_int_equal(found.gl_pathc, AMENDED);
    for (size_t i = 0; i < found.gl_pathc; i++)
        if (!strstr(buf_text(&page), found.gl_pathv[i]))
            fail_msg("docs/editions.md does not show %s", found.gl_pathv[i]);
    for (int i = 0; i < AMENDED; i++) {
        char path[200];
        bool there = false;
        path_of(&amended[i], path);
        for (size_t k = 0; k < found.gl_pathc; k++)
            there |= !strcmp(found.gl_pathv[k], path);
        assert_true(there);
    }
    globfree(&found);
    buf_free(&page);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_takes_away_what_it_says),
        cmocka_unit_test(heating_is_exempt_by_the_edition_of_2026_too),
        cmocka_unit_test(all_are_tried_and_shown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

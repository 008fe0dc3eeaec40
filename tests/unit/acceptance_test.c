/* What the language promises of slips, doubles, copies and waivers: one fault is one finding, and
 * nothing that is wrong goes by unsaid. */
#include "base/file.h"
#include "compiled.h"
#include "syntax/token.h"

#include "syntax/lexer.h"

static const char *shed(const char *clauses, const char *second, const char *breaker,
                        const char *rest)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition nec-2023 }\nroom shed { %s; corner 0', 0'; size 12' by "
             "10'\nbox R1 south at 2' { receptacle }\n%s }\n"
             "panel P \"Panel\" { in shed north at 6' up 5'; main 100 A; spaces 12 }\ncircuit 1 "
             "\"Shed receptacles\" { %s; run P -> shed.R1 -> R2 }\n%s",
             clauses, second, breaker, rest);
    return text;
}

static const char storage[] = "kind storage", r2[] = "box R2 south at 8' { receptacle }",
                  afci[] = "breaker 15 A afci";
static const char more[] = "box R2 south at 8' { receptacle }\nbox R3 east at 3' { receptacle "
                           "}\nbox R4 east at 7' { receptacle }";

static unsigned count_of(const struct compilation *c, const char *rule)
{
    unsigned n = 0;
    while (finding_of(c, rule, n))
        n++;
    return n;
}

/* The text has one finding of the rule that holds the words, and none of `silent`. */
static void one(const char *text, const char *rule, const char *words, const char *silent)
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
    one(shed(storage, r2, "breaker -20 A", ""), "syntax", "more than 0", "unknown-name");
    one(shed(storage, r2, "breaker 0 A", ""), "syntax", "more than 0", "unknown-name");
    one(shed(storage, "box R2 south at 8' { receptacle -5 W }", afci, ""), "syntax", "below 0",
        "unknown-name");
}

/* A comma before three digits parts thousands; before others it stands for a point. */
static void commas_in_numbers(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, shed(storage, r2, "breaker 1,5 A", ""));
    assert_non_null(strstr(finding_of(&c, "wrong-unit", 0)->mend, "1.5"));
    compile_free(&c);
    compile_text(&c, shed(storage, "box R2 south at 8' { receptacle 1,200 VA }", afci, ""));
    assert_non_null(strstr(finding_of(&c, "wrong-unit", 0)->mend, "1200"));
    compile_free(&c);
}

static void texts_are_utf8(void **state)
{
    (void)state;
    one(shed(storage, r2, afci, "leg x \"caf\xe9\"\n"), "syntax", "UTF-8", "limit");
    struct compilation c;
    compile_text(&c, shed(storage, r2, afci, "coil 14/2 250' \"caf\xc3\xa9\"\n"));
    assert_int_equal(count_of(&c, "syntax"), 0);
    compile_free(&c);
}

static void doubles_are_said_once(void **state)
{
    (void)state;
    one(shed(storage, "box r1 south at 8' { receptacle }", afci, ""), "duplicate-name",
        "only in case", "unknown-name");
    one(shed(storage, r2, afci, "circuit 1 \"x\" { breaker 20 A }\n"), "duplicate-name", "already",
        "directory-vague");
    one(shed("kind storage; outline from 0', 0' { w north 10'; n east 12'; e south 10'; s west 12' "
             "}",
             r2, afci, ""),
        "duplicate-clause", "a size or an outline", "outline-open");
}

static void circuits_count_from_one(void **state)
{
    (void)state;
    one(shed(storage, r2, afci, "circuit 02 \"Spare\" { breaker 20 A }\n"), "syntax",
        "leading zero", "duplicate-name");
    one(shed(storage, r2, afci, "circuit P.02 \"Spare\" { breaker 20 A }\n"), "syntax",
        "leading zero", "duplicate-name");
}

static void a_run_that_feeds_has_that_name(void **state)
{
    (void)state;
    one(shed(storage, "box R2 south at 8' { receptacle by north }", afci, ""), "unknown-name",
        "'north'", "syntax");
}

/* What holds for one hop only is refused on a chain and then left out. */
static void names_of_chains(void **state)
{
    (void)state;
    one(shed(storage, more, afci,
             "circuit 2 \"Shed bench\" { breaker 20 A; run P -> shed.R3 -> R4 as far }\n"),
        "syntax", "one hop", "labels-alike");
}

static void copies_of_nothing(void **state)
{
    (void)state;
    one(shed(storage, r2, afci, "room attic : loft \"Attic\" { corner 20', 0' }\n"), "unknown-name",
        "'loft'", "missing-clause");
    one(shed(storage, r2, afci, "room attic : attic \"Attic\" { corner 20', 0' }\n"),
        "definition-cycle", "itself", "default-kind");
    one(shed(storage, r2, afci,
             "unit flat : loft \"Flat\" { corner 40', 0'; room den { box R9 south at 2' { "
             "receptacle } } }\n"),
        "unknown-name", "'loft'", "missing-clause");
}

static const char flats[] =
    "plan \"Flats\" { edition nec-2023 }\npattern flat { given lamp 12 W; room den { kind storage; "
    "corner 0', 0'; size 12' by 10'\n"
    "box L1 overhead at 5', 5' { luminaire (lamp) } } }\nunit u1 : flat { corner 0', 0'; %s }\n";

static void copies_change_what_is_there(void **state)
{
    (void)state;
    static char text[1000];
    snprintf(text, sizeof text, flats, "without den.L9");
    one(text, "unknown-name", "'den.L9'", "syntax");
    snprintf(text, sizeof text, flats, "given lampe 9 W");
    one(text, "unknown-name", "'lampe'", "syntax");
    struct compilation c;
    snprintf(text, sizeof text, flats,
             "given lamp 9 W; given fan 60 W; room den { box L2 overhead at 8', 5' { luminaire "
             "(fan) } }; without den.L1");
    compile_text(&c, text);
    assert_int_equal(count_of(&c, "unknown-name"), 0);
    compile_free(&c);
}

static void shape_of_a_copy(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, shed(storage, r2, afci,
                          "room den : shed { outline from 20', 0' { w north 11'; n east 12'; e "
                          "south 11'; s west 12' }; without R1; without R2 }\n"));
    assert_int_equal(count_of(&c, "duplicate-clause"), 0);
    compile_free(&c);
}

static void waivers_of_defaults(void **state)
{
    (void)state;
    one(shed("waive default-kind because \"a shed\"", r2, afci, ""), "default-kind", "kind",
        "stale-waiver");
    struct compilation c;
    compile_text(
        &c,
        shed("finish 1/2\"", r2, afci,
             "waive default-kind in shed because \"one\"\nwaive default-kind because \"two\"\n"));
    assert_string_equal(finding_of(&c, "default-kind", 0)->waived, "one");
    assert_int_equal(count_of(&c, "stale-waiver"), 0);
    compile_free(&c);
}

/* A run that closes a loop is no second wire at the breaker. */
static void loops_at_the_panel(void **state)
{
    (void)state;
    one(shed(storage, more, afci,
             "circuit 2 \"Shed bench\" { breaker 20 A; run P -> shed.R3 -> R4; run P -> shed.R4 "
             "}\n"),
        "loop-in-circuit", "closes a loop", "breaker-two-wires");
}

/* A thing whose name is misspelt where it is declared is not missed anew at each use. */
static void names_are_missed_once(void **state)
{
    (void)state;
    one(shed(storage, "box R3 south at 8' { receptacle }", afci,
             "circuit 2 \"Shed bench\" { breaker 20 A; run P -> shed.R2 }\n"),
        "unknown-name", "'R2'", "syntax");
    one(shed(storage, r2, afci,
             "circuit 2 \"Barn\" { breaker 20 A; run P -> barn.R3 -> barn.R4 }\n"),
        "unknown-name", "'barn'", "syntax");
    one(shed(storage, r2, afci,
             "room { kind storage; corner 20', 0'; size 9' by 9' }\ncircuit 2 \"Barn\" { breaker "
             "20 A; run P -> barn.R3 }\n"),
        "syntax", "name", "unknown-name");
}

/* A residential code alone says nothing of wiring; an unknown edition is one finding, the other
 * alone. */
static void an_electrical_code_is_named(void **state)
{
    (void)state;
    one("plan \"T\" { edition irc-2024 }\n", "missing-clause", "electrical code", "unknown-name");
    one("plan \"T\" { edition irc-2024; edition nec-2032 }\n", "unknown-name", "nec-2032",
        "missing-clause");
}

/* --- one fault, one finding, through all stages (language.md, section 9; settled 39 and 40)  */

/* All findings of the text are `count` of the rule, the first of them at the line and column, with
 * the words in its message or in what would mend it. */
static void all_of(const char *text, const char *rule, unsigned count, uint32_t line,
                   uint32_t column, const char *words)
{
    struct compilation c;
    compile_text(&c, text);
    const struct finding *f = finding_of(&c, rule, 0);
    struct position at =
        f ? source_position(&c.arena, f->span.source, f->span.off) : (struct position){0};
    bool good = f && count_of(&c, rule) == count && c.diag.findings.n == count && at.line == line &&
                at.column == column;
    good = good && (strstr(f->message, words) || (f->mend && strstr(f->mend, words)));
    if (!good)
        show_compiled(&c);
    assert_true(good);
    compile_free(&c);
}

static const char *plain(const char *size, const char *box, const char *run, const char *rest)
{
    static char text[8000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition nec-2023 }\nroom shed {\nkind storage; corner 0', "
             "0'\n%s\nbox R1 south at 2' { receptacle }\n%s\n}\n"
             "panel P \"Panel\" { in shed north at 6' up 5'; main 100 A; spaces 12 }\ncircuit 1 "
             "\"Shed receptacle\" {\nbreaker 15 A\n%s\n}\n%s",
             size, box, run, rest);
    return text;
}

static const char size[] = "size 12' by 10'", run[] = "run P -> shed.R1";

/* Whatever the slip of a measure, the one finding says what to write. */
static void slips_get_a_hint(void **state)
{
    (void)state;
    static const struct {
        const char *size;
        uint32_t column;
        const char *words;
    } sizes[] = {{"size 18'x14'", 9, "'by'"},
                 {"size 18' x14'", 10, "'by'"},
                 {"size 18'x14", 9, "'by'"},
                 {"size 18' X 14'", 10, "'by'"},
                 {"size 18' \xc3\x97 14'", 10, "'by'"},
                 {"size 12x10", 6, "12' by 10'"}};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++)
        all_of(plain(sizes[i].size, "", run, ""), "syntax", 1, 4, sizes[i].column, sizes[i].words);
    all_of(plain("size 400cm by 3m", "", run, ""), "wrong-unit", 1, 4, 6, "4000 mm");
    all_of(plain("size 12 by 10", "", run, ""), "wrong-unit", 1, 4, 6, "12' by 10'");
    all_of(plain(size, "box R2 south at 4 ft 6 in { receptacle }", run, ""), "syntax", 1, 6, 22,
           "4'-6\"");
    all_of(plain(size, "door south at 4 ft 6 in wide 3'", run, ""), "syntax", 1, 6, 20, "4'-6\"");
    all_of(plain(size, "", run, "level main { walls 2x4 at 16\" o.c. }\n"), "syntax", 1, 13, 31,
           "on centre");
    all_of(plain(size, "", run, "level main { walls 2X4 at 16\" }\n"), "syntax", 1, 13, 20, "2x4");
}

/* A cable that the library lacks is not answered with another one. */
static void cables_that_are_not_there(void **state)
{
    (void)state;
    static const char *const slips[][2] = {
        {"12/2-nm", "write '12/2'"},     {"14/2-G", "write '14/2'"},
        {"12/2-ux", "write '12/2-uf'"},  {"14/5", "14/2, 14/3, 14/4 and 14/2/2"},
        {"1/0", "the library has 14/2"}, {"cat5", "write 'cat6'"}};
    char text[100];
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        snprintf(text, sizeof text, "run P -> shed.R1 cable %s", slips[i][0]);
        all_of(plain(size, "", text, ""), "unknown-name", 1, 11, 24, slips[i][1]);
        snprintf(text, sizeof text, "coil %s 250'\n", slips[i][0]);
        all_of(plain(size, "", run, text), "unknown-name", 1, 13, 6, slips[i][1]);
    }
}

/* A clause that is refused is not missed: it may have been any. */
static void what_is_refused_is_not_missed(void **state)
{
    (void)state;
    all_of(plain("12' by 10'", "", run, ""), "syntax", 1, 4, 1, "begins with a word");
    all_of(plain("isze 12' by 10'", "", run, ""), "syntax", 1, 4, 1, "write 'size'");
    all_of(plain(size, "", "P -> shed.R1", ""), "syntax", 1, 11, 1, "begin it with 'run'");
    all_of(plain(size, "", "run P -> shed.R1 14/2", ""), "syntax", 1, 11, 18, "no meaning");
    all_of(plain(size, "box R2 south at { receptacle }", run, ""), "syntax", 1, 6, 16, "a length");
    all_of("plan \"Shed\" { edition nec-2023 }\nroom shed; {\nkind storage\nsize 12' by 10'\n}\n",
           "syntax", 1, 2, 10, "leave it out");
    all_of("plan \"Shed\" { edition nec-2023 }\ninclude \"none.bay\"\nlevel a { floor 0' }\nroom "
           "shed { on b; kind storage; size 12' by 10'; box R1 south at 2' { lamp-of-mine } }\n",
           "unreadable-file", 1, 2, 9, "none.bay");
    struct buf deep = {0};
    buf_puts(&deep, "plan \"Shed\" { edition nec-2023 }\n");
    for (int i = 0; i < 300; i++)
        buf_puts(&deep, "{");
    all_of(buf_text(&deep), "limit", 1, 2, 33, "deeper than 32");
    buf_free(&deep);
}

static void doubles_of_rooms_and_panels(void **state)
{
    (void)state;
    all_of("plan \"Shed\" { edition nec-2023 }\nroom shed { kind storage; size 12' by 10'; box R1 "
           "south at 2' { receptacle } }\n"
           "panel shed \"Panel\" { in shed north at 6' up 5'; main 100 A; spaces 12 }\ncircuit 1 "
           "\"Shed\" { breaker 15 A; run shed -> shed.R1 }\n",
           "duplicate-name", 1, 3, 7, "already");
    all_of(plain(size, "", run,
                 "room shed { kind storage; size 9' by 9'; box R2 south at 2' { receptacle } "
                 "}\ncircuit 2 \"Bench\" { breaker 15 A; run P -> shed.R2 }\n"),
           "duplicate-name", 1, 13, 6, "already");
}

/* Said once, at the first place that names it, whatever names it. */
static void a_misspelt_declaration_is_one_fault(void **state)
{
    (void)state;
    all_of(plain(size, "door north at 1' wide 3' to barn", run,
                 "room shop { kind storage; corner 20', 0'; size 9' by 9'; door north at 1' wide "
                 "3' to barn }\ncircuit 2 \"Barn\" { breaker 15 A; run P -> barn.R1 }\n"),
           "unknown-name", 1, 6, 29, "'barn'");
    all_of(plain(size,
                 "box S1 south at 5' { switch leg lamps }\nbox L1 overhead at 5', 5' { luminaire "
                 "leg lamsp 20 W }",
                 "run P -> shed.R1 -> S1 -> L1", ""),
           "leg-without-switch", 1, 7, 39, "write 'lamps'");
}

static void texts_hold_no_control_characters(void **state)
{
    (void)state;
    all_of(plain(size, "", run, "coil 14/2 250' \"a\001b\"\n"), "syntax", 1, 13, 18, "byte 1");
    all_of(plain(size, "", run, "# x\177\n"), "syntax", 1, 13, 4, "byte 127");
    struct compilation c;
    compile_text(&c, plain(size, "", run, "# a tab\there, and CR LF \r\n"));
    assert_int_equal(c.diag.findings.n, 0);
    compile_free(&c);
}

static void long_names_are_shown_short(void **state)
{
    (void)state;
    char text[3200] = "box R2 south at 4' { ";
    size_t at = strlen(text);
    memset(text + at, 'x', 3000);
    strcpy(text + at + 3000, " }");
    struct compilation c;
    compile_text(&c, plain(size, text, run, ""));
    assert_int_equal(c.diag.findings.n, 1);
    assert_true(strlen(finding_of(&c, "unknown-name", 0)->message) < 120);
    compile_free(&c);
}

static void a_reason_is_given(void **state)
{
    (void)state;
    all_of(plain(size, "", run, "waive voltage-drop because \"\"\n"), "syntax", 1, 13, 28,
           "reason");
    all_of(plain(size, "waive voltage-drop because \" \"", run, ""), "syntax", 1, 6, 28, "reason");
    all_of(plain(size, "", run,
                 "amend nec-2023 because \"\" { list gfci-places { without kitchen } }\n"),
           "syntax", 1, 13, 24, "reason");
}

/* Section 6: a finding points at the line that would mend it. */
static void what_a_copy_takes_away(void **state)
{
    (void)state;
    static const char base[] =
        "plan \"Flats\" { edition nec-2023 }\npattern flat {\nroom den { kind storage; corner 0', "
        "0'; size 12' by 10'\nbox R1 south at 2' { receptacle }\nbox R2 south at 8' { receptacle } "
        "}\n"
        "panel P \"Panel\" { in den north at 6' up 5'; main 100 A; spaces 12 }\ncircuit 1 \"Den\" "
        "{ breaker 15 A; run P -> den.R1 -> R2 }\n}\n"
        "unit u1 : flat { corner 0', 0' }\nunit u2 : flat { corner 20', 0'; %s }\n";
    static char text[2000];
    struct compilation c;
    snprintf(text, sizeof text, base, "without den.R2");
    compile_text(&c, text);
    const struct finding *f = finding_of(&c, "unknown-name", 0);
    assert_int_equal(count_of(&c, "unknown-name"), 1);
    struct position at = source_position(&c.arena, f->span.source, f->span.off);
    assert_int_equal(at.line, 10);
    assert_int_equal(at.column, 42);
    assert_int_equal(f->related_count, 2);
    assert_non_null(strstr(f->related[0].message, "unit 'u2'"));
    assert_int_equal(
        source_position(&c.arena, f->related[1].span.source, f->related[1].span.off).line, 7);
    compile_free(&c);
    snprintf(text, sizeof text, base, "room den { without R2 }");
    one(text, "unknown-name", "taken away", "unfed-box");
    /* taken away and written anew: nothing is left to say */
    snprintf(text, sizeof text, base,
             "without den.R2; without 1; circuit 1 \"Den\" { breaker 15 A; run P -> den.R1 }");
    compile_text(&c, text);
    assert_int_equal(count_of(&c, "unknown-name") + count_of(&c, "unfed-box"), 0);
    assert_int_equal(c.model->circuits.n, 2);
    assert_int_equal(c.model->circuits.at[1]->runs.n, 1);
    compile_free(&c);
}

/* Units that lie over each other: the later one would be moved, and both are named in full. */
static void units_that_overlap(void **state)
{
    (void)state;
    all_of("plan \"Flats\" { edition nec-2023 }\npattern flat { room a { kind storage; corner 0', "
           "0'; size 9' by 9' }\nroom b { kind storage; corner 9'-4 1/2\", 0'; size 9' by 9' } }\n"
           "unit u1 : flat { corner 0', 0' }\nunit u2 : flat { corner 5', 0' }\n",
           "rooms-overlap", 1, 5, 6, "'u2.a' lies over room 'u1.");
}

/* Section 7 and settled 20: what the library has is based upon, never redefined; definitions stand
 * on what is there and not on themselves. */
static void definitions_of_a_plan(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        const char *rule;
        uint32_t column;
        const char *words;
    } faults[] = {
        {"device receptacle { load 5 W }", "duplicate-name", 8, "my-receptacle : receptacle"},
        {"cable 14/2 { size 14 }", "duplicate-name", 7, "14/2-own : 14/2"},
        {"kind bath { wet }", "duplicate-name", 6, "cannot be redefined"},
        {"box-type nail-on-1g-20 { volume 5 in3 }", "duplicate-name", 10, "cannot be redefined"},
        {"edition nec-2023 { }", "duplicate-name", 9, "cannot be redefined"},
        {"kind den { wett }", "syntax", 12, "write 'wet'"},
        {"cable 14/2-x : nm { size 14; ground bear }", "syntax", 37, "write 'bare'"}};
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++)
        all_of(plain(size, "", run, faults[i].text), faults[i].rule, 1, 13, faults[i].column,
               faults[i].words);
    /* where the library has it first, there is no place to show; where the plan has it, there is */
    struct compilation twice;
    compile_text(&twice, plain(size, "", run,
                               "kind den : workshop { wet }\nkind den : workshop { damp }\n"));
    const struct finding *f = finding_of(&twice, "duplicate-name", 0);
    assert_non_null(f);
    assert_string_equal(f->message, "kind 'den' is defined twice");
    assert_int_equal(f->related_count, 1);
    assert_string_equal(f->related[0].message, "first defined here");
    assert_true(f->related[0].span.off < f->span.off);
    compile_free(&twice);
    compile_text(&twice, plain(size, "", run, "kind bath { wet }"));
    assert_int_equal(finding_of(&twice, "duplicate-name", 0)->related_count, 0);
    compile_free(&twice);
    all_of(plain(size, "", run, "device spare : receptacle { load 5 W }"), "unused-definition", 1,
           13, 8, "nothing uses it");
    struct compilation c;
    compile_text(&c, plain(size, "box L1 overhead at 5', 5' { heat-lamp }",
                           "run P -> shed.R1 -> L1 cable 14/2-shed",
                           "device heat-lamp : luminaire \"Heat lamp\" { load 250 W }\ncable "
                           "14/2-shed : 14/2 { diameter 0.4\" }\n"));
    assert_int_equal(c.diag.findings.n, 0);
    assert_true(c.model->devices.at[1]->parts[0].load == 250);
    compile_free(&c);
}

/* Settled 37: an amendment holds for its edition and those based on it, row by row; what it names
 * must be there. */
static void amendments(void **state)
{
    (void)state;
    static const struct {
        const char *edition, *text;
        const char *rule;
        uint32_t column;
        const char *words;
    } faults[] = {
        {"nec-2023", "list gfci-plaecs { pantry }", "unknown-name", 38, "write 'gfci-places'"},
        {"nec-2023", "list gfci-places { without ktichen }", "unknown-name", 60,
         "write 'without kitchen'"},
        {"nec-2023", "table free-conductor { at-bx 6\" }", "unknown-name", 56, "write 'at-box'"},
        {"nec-2023", "table free-conductor { at-box 6 A }", "wrong-unit", 63, "a length"},
        {"nec-2023", "table ampacity-copper { 14, 15 A, 20 A }", "syntax", 57,
         "has 4 cells: size, at-60, at-75, at-90"},
        {"nec-2023", "table ampacity-copper { 14, 15 V, 20 A, 25 A }", "wrong-unit", 61,
         "a current"},
        {"nec-2032", "list gfci-places { pantry }", "unknown-name", 7, "write 'nec-2023'"}};
    char text[300];
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        snprintf(text, sizeof text, "amend %s because \"ours\" { %s }\n", faults[i].edition,
                 faults[i].text);
        all_of(plain(size, "", run, text), faults[i].rule, 1, 13, faults[i].column,
               faults[i].words);
    }
    static const char smaller[] = "{ table ampacity-copper { 14, 10 A, 10 A, 10 A } }\n";
    static const char *const editions[] = {"nec-2017", "nec-2020", "nec-2023"};
    for (size_t i = 0; i < 3; i++) {
        snprintf(text, sizeof text, "amend %s because \"ours\" %s", editions[i], smaller);
        one(plain(size, "", "run P -> shed.R1 cable 14/2", text), "conductor-undersized",
            "good for 10 A", "unused-definition");
    }
    all_of("plan \"Shed\" { edition nec-2017 }\namend nec-2023 because \"ours\" { list gfci-places "
           "{ pantry } }\n",
           "unused-definition", 1, 2, 7, "not checked by it");
}

/* Settled 41: `1a` is no name, and what is left of it none either. */
static void half_a_name(void **state)
{
    (void)state;
    all_of(plain(size, "", run, "circuit 1a \"Bench\" { breaker 15 A }\n"), "syntax", 1, 13, 10,
           "no meaning");
}

/* --- every word of the examples, damaged -------------------------------------------------- */

struct damages {
    struct compilation whole;
    unsigned faults, findings;
};

/* What is said of the damaged text and not of the whole one; notes only count. */
static unsigned new_findings(const struct damages *d, const char *text)
{
    struct compilation c;
    unsigned n = 0;
    compile_text(&c, text);
    for (uint32_t i = 0; i < c.diag.findings.n; i++) {
        const struct finding *f = &c.diag.findings.at[i];
        bool known = f->severity == NOTE;
        for (uint32_t k = 0; k < d->whole.diag.findings.n && !known; k++)
            known = f->rule == d->whole.diag.findings.at[k].rule &&
                    !strcmp(f->message, d->whole.diag.findings.at[k].message);
        n += !known;
    }
    compile_free(&c);
    return n;
}

static void damage_each(struct damages *d, const char *path, uint32_t step)
{
    struct buf text = {0}, out = {0};
    assert_true(file_read(&text, path, 1 << 20));
    compile_text(&d->whole, buf_text(&text));
    const struct source *s = d->whole.sources[0];
    for (uint32_t i = 0; i + 1 < s->token_count; i += step) {
        const struct source_token *t = &s->tokens[i];
        bool swap = i % 2 && t->kind == T_WORD && t->len > 3 &&
                    s->bytes[t->off + 1] != s->bytes[t->off + 2];
        out.n = 0;
        buf_add(&out, s->bytes, t->off);
        if (swap) {
            buf_add(&out, (char[]){s->bytes[t->off], s->bytes[t->off + 2], s->bytes[t->off + 1]},
                    3);
            buf_add(&out, s->bytes + t->off + 3, t->len - 3);
        }
        buf_add(&out, s->bytes + t->off + t->len, s->size - t->off - t->len);
        unsigned n = new_findings(d, buf_text(&out));
        d->faults += n > 0;
        d->findings += n;
    }
    compile_free(&d->whole);
    buf_free(&text);
    buf_free(&out);
}

/* recover_test asks the same of the form alone. Some damages are two faults (a box that loses its
 * receptacle is buried, and the wall lacks it), so shares count. */
static void faults_of_all_stages(void **state)
{
    (void)state;
    struct damages d = {.faults = 0};
    damage_each(&d, "examples/small/two-places.bay", 1);
    damage_each(&d, "examples/small/old-box.bay", 1);
    damage_each(&d, "examples/studio/studio.bay", 3);
    printf("%u faults, %.3f findings each\n", d.faults, (double)d.findings / d.faults);
    assert_true(d.faults > 500);
    assert_true(d.findings <= 1.05 * d.faults);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(measures_are_not_below_nothing),
        cmocka_unit_test(commas_in_numbers),
        cmocka_unit_test(texts_are_utf8),
        cmocka_unit_test(doubles_are_said_once),
        cmocka_unit_test(circuits_count_from_one),
        cmocka_unit_test(a_run_that_feeds_has_that_name),
        cmocka_unit_test(names_of_chains),
        cmocka_unit_test(copies_of_nothing),
        cmocka_unit_test(copies_change_what_is_there),
        cmocka_unit_test(shape_of_a_copy),
        cmocka_unit_test(waivers_of_defaults),
        cmocka_unit_test(loops_at_the_panel),
        cmocka_unit_test(names_are_missed_once),
        cmocka_unit_test(an_electrical_code_is_named),
        cmocka_unit_test(slips_get_a_hint),
        cmocka_unit_test(cables_that_are_not_there),
        cmocka_unit_test(what_is_refused_is_not_missed),
        cmocka_unit_test(doubles_of_rooms_and_panels),
        cmocka_unit_test(a_misspelt_declaration_is_one_fault),
        cmocka_unit_test(texts_hold_no_control_characters),
        cmocka_unit_test(long_names_are_shown_short),
        cmocka_unit_test(a_reason_is_given),
        cmocka_unit_test(what_a_copy_takes_away),
        cmocka_unit_test(units_that_overlap),
        cmocka_unit_test(definitions_of_a_plan),
        cmocka_unit_test(amendments),
        cmocka_unit_test(half_a_name),
        cmocka_unit_test(faults_of_all_stages),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

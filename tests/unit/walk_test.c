/* The reports of the last stages, as the command writes them: protection, trim, test, permit,
 * inspection; and what a check says it did not check. */
#include "base/file.h"
#include "compiled.h"

#include "cmd/cmd.h"
#include "emit/reports/inspection_lines.h"
#include "emit/reports/reports.h"
#include "emit/unchecked.h"
#include "rules/check.h"

#include <glob.h>
#include <sys/wait.h>

static const char house[] =
    "plan \"Small house\" { edition nec-2023; site \"Mill lane\" }\n"
    "room bath { kind bath; corner 0', 0'; size 8' by 6'; basin north at 2' wide 2'\n"
    "  box R1 north at 1' up 42\" { receptacle-gfci onward }\n  box R2 north at 5' up 42\" { "
    "receptacle }\n"
    "  box S1 south at 5'-5 15/16\" { switch leg light }\n  box S2 south at 1'-5 15/16\" { switch "
    "leg light }\n  box "
    "L1 overhead at 4', 3' { luminaire leg light } }\n"
    "room shed { kind workshop; corner 8'-4 1/2\", 0'; size 8' by 8'; box R1 north at 2' { type "
    "square-2-1-8-deep; receptacle } }\n"
    "panel P { in shed east at 4' up 5'; main 100 A; spaces 12 }\n"
    "circuit P.1 \"Bath receptacles\" { breaker 20 A; run P -> bath.R1 -> R2 }\n"
    "circuit P.2 \"Bath light\" { breaker 15 A; run P -> bath.S1 -> L1; run bath.S1 -> S2 }\n"
    "circuit P.3 \"Shed receptacle\" { breaker 20 A gfci; run P -> shed.R1 }\n";

/* The report of a file in a format; to be given back with buf_free. */
static void write_of(const char *name, const char *file, const char *format, struct buf *out)
{
    char result[] = "/tmp/studbay-walk-XXXXXX";
    close(mkstemp(result));
    char *argv[] = {"studbay",      "report", (char *)name, (char *)file, "--format",
                    (char *)format, "-o",     result,       NULL};
    assert_in_range(command_main(8, argv), 0, 1);
    *out = (struct buf){0};
    assert_true(file_read(out, result, 1 << 20));
    unlink(result);
}

static void write_as(const char *name, const char *plan, const char *format, struct buf *out)
{
    char file[] = "/tmp/studbay-walk-XXXXXX";
    int fd = mkstemp(file);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, plan, strlen(plan)), (ssize_t)strlen(plan));
    close(fd);
    write_of(name, file, format, out);
    unlink(file);
}

static void write_report(const char *name, const char *plan, struct buf *out)
{
    write_as(name, plan, "csv", out);
}

static void assert_lines(const char *report, const char *plan, const char *const *lines)
{
    struct buf out;
    write_report(report, plan, &out);
    for (; *lines; lines++)
        if (!strstr(buf_text(&out), *lines))
            fail_msg("report %s lacks \"%s\":\n%s", report, *lines, buf_text(&out));
    buf_free(&out);
}

static void protection_names_who_protects_and_where_it_is_reset(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "bath.R1,receptacle-gfci,bath,GFCI,GFCI: receptacle-gfci,bath.R1,NEC 2023 210.8(A)(1)",
        "bath.R2,receptacle,bath,GFCI,GFCI: receptacle-gfci,bath.R1,NEC 2023 210.8(A)(1)",
        "shed.R1,receptacle,workshop,,GFCI: breaker of circuit P3,breaker P3",
        NULL,
    };
    assert_lines("protection", house, lines);
}

static void trim_counts_by_room_and_by_plate(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "devices,bath,three-way,2,bath.S1; bath.S2", "luminaires,bath,luminaire,1,bath.L1",
        "plates,,1-gang: switch,2,", "breakers,,20 A gfci,1,P3", NULL};
    assert_lines("trim", house, lines);
}

static void the_test_sheet_follows_each_breaker(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "P,1,P1,Bath receptacles,20 A,bath.R1; bath.R2,\"receptacle-gfci in bath.R1, which kills "
        "bath.R2 too\",bath.R1; bath.R2,",
        "all 4 positions, on in half of them", "the breaker (gfci)", NULL};
    assert_lines("test", house, lines);
}

static void the_application_has_its_figures(void **state)
{
    (void)state;
    static const char *const lines[] = {"job,site,,,Mill lane",
                                        "openings,receptacles,3,new,",
                                        "openings,switches and controls,2,new,",
                                        "openings,all,6,new,",
                                        "circuits,\"20 A, one pole\",2,new,",
                                        "panels,panel P,100,A main,",
                                        NULL};
    assert_lines("permit", house, lines);
}

/* What the rules found is told; what they did not look at is never called good. */
static void the_walk_round_tells_faults_and_what_is_left(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "trim-out,GFCI protection,no fault found,",
        "before cover,Metal boxes bonded,look on site,a ground on the box: shed.R1,",
        "for the permit,Plot plan with the service,not in the plan,",
        "before cover,Fan outlets on boxes for fans,nothing of the kind,",
        "\"Address, owner, who drew it, date, edition on every sheet\",shown,\"site: Mill lane; ",
        NULL,
    };
    assert_lines("inspection", house, lines);
    char bare[3000];
    snprintf(bare, sizeof bare, "%s", house);
    char *at = strstr(bare, "receptacle-gfci onward");
    memcpy(at, "receptacle            ", strlen("receptacle-gfci onward"));
    static const char *const faults[] = {"trim-out,GFCI protection,fault,gfci-missing (1): P1,",
                                         NULL};
    assert_lines("inspection", bare, faults);
    struct buf out;
    write_report("inspection", house, &out);
    assert_null(strstr(buf_text(&out), "checked,"));
    assert_null(strstr(buf_text(&out), "meets"));
    buf_free(&out);
}

/* What any rule finds is told by the walk-round, in a line of its own or among the others. */
static void the_walk_round_tells_of_every_rule(void **state)
{
    (void)state;
    for (uint32_t i = 0; i < check_count; i++) {
        const struct rule *rule = check_list[i]->rule;
        char path[256];
        struct buf out;
        snprintf(path, sizeof path, "tests/rules/%s.bad.bay", rule->name);
        if (rule->severity == NOTE ||
            !strcmp(rule->name, "definition-faulty")) /* nothing is printed of such a plan */
            continue;
        write_of("inspection", path, "csv", &out);
        if (!strstr(buf_text(&out), rule->name))
            fail_msg("report inspection does not tell of %s", rule->name);
        buf_free(&out);
    }
}

static uint32_t judged_in(const struct rule *rule, const char *which)
{
    char path[256];
    struct compilation c;
    snprintf(path, sizeof path, "tests/rules/%s.%s.bay", rule->name, which);
    compile(&c, path, (struct compile_options){.library = plan_library(), .only_findings = true});
    uint32_t n = diag_judged(&c.diag, rule);
    compile_free(&c);
    return n;
}

/* A rule that a line speaks of counts what it judges: in the plan that it finds a fault in, and in
 * the one where it finds none. Of others nothing is said to be without fault. */
static void a_rule_counts_what_it_judges(void **state)
{
    (void)state;
    for (uint32_t i = 0; i < inspection_line_count; i++)
        for (int k = 0; k < LINE_RULES && inspection_lines[i].rules[k]; k++) {
            const struct rule *rule = rule_named(inspection_lines[i].rules[k]);
            if (!judged_in(rule, "good") || !judged_in(rule, "bad"))
                fail_msg("%s judges %u things of its good plan, %u of its bad one", rule->name,
                         judged_in(rule, "good"), judged_in(rule, "bad"));
        }
}

/* Where nothing of the kind is in a plan nothing is called without fault: a room alone. */
static void nothing_is_without_fault_that_was_not_judged(void **state)
{
    (void)state;
    struct buf out;
    write_report("inspection",
                 "plan \"Bare\" { edition nec-2023 }\nroom shed { kind workshop; corner 0', 0'; "
                 "size 8' by 8' }\n",
                 &out);
    assert_null(strstr(buf_text(&out), "no fault found"));
    buf_free(&out);
}

/* Each line of two merged lists has its item: what a submission contains
 * (http://www.hillsborough.net/226/Electrical-Plan, http://litchfield-park.org/534/Electrical-Plan,
 * https://www.ocplanning.net/building/pme/electricalPlancheckReq.asp,
 * https://www.chesterfield.gov/391/Electrical-Checklist,
 * http://cityoffargo.com/Residential/MaintainingYourProperty/BuildingCodesPermits/ElectricalPermits/),
 * and what inspectors correct most often
 * (http://www.personcounty.net/departments-services/departments-i-z/inspections/common-code-violations,
 * https://www.johnstonnc.com/insp/content.cfm?pageid=83,
 * http://charmeck.org/mecklenburg/county/CodeEnforcement/DefectCodeList/Pages/Electrical%20Defect%20Codes.aspx,
 * https://www.ecmweb.com/national-electrical-code/article/21256591/the-top-10-most-commonly-cited-electrical-code-violations,
 * http://www.maumee.org). */
static void every_line_of_the_lists_has_its_item(void **state)
{
    (void)state;
    static const char *const items[][2] = {
        {"job address, who drew it, date, edition, on every sheet",
         "for the permit,\"Address, owner, who drew it, date, edition on every sheet\""},
        {"readable scale", "for the permit,Readable scale"},
        {"plot plan with building and service", "for the permit,Plot plan with the service"},
        {"floor plan with every receptacle, switch, luminaire, alarm",
         "for the permit,\"Floor plan with every outlet, switch, light and alarm\""},
        {"mark every 240 V outlet and every GFCI outlet",
         "for the permit,Outlets of both lines and GFCI outlets marked"},
        {"alarm locations, interconnection, battery",
         "for the permit,\"Alarms by storey, room and hall, joined, with battery\""},
        {"panel locations and ampacity", "for the permit,Panels: place and ampacity"},
        {"panel schedule", "for the permit,Panel schedule"},
        {"circuit number beside each outlet", "for the permit,Circuit number beside each outlet"},
        {"conductor and raceway sizes, overcurrent protection",
         "for the permit,\"Conductor and raceway sizes, overcurrent protection\""},
        {"load calculation", "for the permit,Load calculation"},
        {"one-line diagram", "for the permit,One-line diagram"},
        {"required lights and switches, service receptacle, disconnects",
         "for the permit,\"Lights and switches at stairs and doors, service receptacles, "
         "disconnects\""},
        {"special equipment notes", "for the permit,Special equipment: whirlpool tubs"},
        {"wall spacing readable from the plan",
         "for the permit,Wall spacing readable from the plan"},
        {"low voltage may be left out", "for the permit,Low voltage (may be left out)"},
        {"value of the work, count of circuits or openings",
         "for the permit,\"Value of the work, count of circuits and openings\""},
        {"GFCI missing or not reachable", "trim-out,GFCI protection"},
        {"wall receptacle spacing", "before boring,Receptacles along the walls"},
        {"counter, island, peninsula receptacles",
         "before boring,\"Receptacles over counters, islands, peninsulas\""},
        {"box fill", "before cover,Box fill"},
        {"grounds not made up", "before cover,Grounds made up"},
        {"metal boxes not bonded", "before cover,Metal boxes bonded"},
        {"luminaire in the wrong place",
         "before boring,Luminaires out of closets' shelves and tub zones"},
        {"grounding electrode, service bonding",
         "before cover,\"Grounding electrode, bonding of the service\""},
        {"cable not secured", "before cover,Cable secured near boxes and along its way"},
        {"hole near the face of a stud without a plate",
         "before cover,\"Plates over holes near the face, and over notches\""},
        {"AFCI missing", "trim-out,AFCI protection"},
        {"breaker does not match conductor or label",
         "before boring,Breakers suit conductors and labels"},
        {"directory blank, vague or stale", "trim-out,Circuit directory"},
        {"smoke or CO alarm missing or misplaced", "trim-out,Smoke and carbon monoxide alarms"},
        {"recessed luminaire of the wrong type in insulation",
         "before cover,\"Recessed luminaires fit for insulation, clear of wood\""},
        {"not ready, no stamped plan on site", "before cover,\"Ready: boxes set, cables in, "
                                               "stapled, plated, grounds made up, no devices\""},
        {"holes through plates not sealed", "before cover,Holes through plates sealed"},
        {"required 20 A circuits wrong", "before boring,\"Required circuits, undivided\""},
        {"sheath does not reach into the box",
         "before cover,\"Sheath reaches into the box, clamps\""},
        {"box support", "before cover,Boxes held firmly: ceilings"},
        {"box support, four gangs and more", "before cover,Boxes held firmly: wide ones"},
        {"too little free conductor", "before cover,Free conductor at each box"},
        {"cables bundled, or many in a sealed hole",
         "before cover,\"Cables bundled, or many in a sealed hole\""},
        {"fan on a box that is not for fans", "before cover,Fan outlets on boxes for fans"},
        {"white conductor used as hot not re-marked",
         "before cover,\"White conductors that are hot, re-marked\""},
        {"sub-panel neutral not separated from ground",
         "before cover,Sub-panel: neutral apart from ground"},
        {"multiwire: pigtail, lines, common trip",
         "before cover,\"Multiwire circuits: pigtails, lines, common disconnect\""},
        {"box set back too far", "before cover,Boxes flush with the finish"},
        {"outdoor, porch, deck receptacle",
         "before boring,\"Outdoor, porch and deck receptacles\""},
        {"cable damaged", "before cover,Cable whole"},
        {"hydromassage access", "trim-out,\"Whirlpool: access to its motor, GFCI\""},
        {"lights and three-way control at stairs",
         "before boring,\"Lights, and three-way control at stairs\""},
        {"no neutral at a switch box", "before cover,A neutral at switches"},
        {"maker's instructions not followed", "trim-out,Makers' instructions followed"},
        {"outlet over or in a tub or shower", "before boring,Outlets over or in a tub or shower"},
    };
    struct buf out;
    write_report("inspection", house, &out);
    for (size_t i = 0; i < sizeof items / sizeof *items; i++)
        if (!strstr(buf_text(&out), items[i][1]))
            fail_msg("no item for: %s", items[i][0]);
    buf_free(&out);
}

/* A line says what this plan has: change the plan, and the line changes. */
static void lines_change_with_the_plan(void **state)
{
    (void)state;
    static const struct {
        const char *find, *put, *line;
    } changes[] = {
        {"site \"Mill lane\"", "", "on every sheet\",not in the plan,\"site; owner"},
        {"site \"Mill lane\"", "site \"Mill lane\"; owner \"A. Miller\"; date \"2026-03-01\"",
         "owner: A. Miller; date: 2026-03-01"},
        {"plan \"Small house\"",
         "amend nec-2023 because \"a county's list\" { table plan-sheets { foot 1/2\" } }\nplan "
         "\"Small house\"",
         "Readable scale,not in the plan,\"1/2\"\" to the foot or more\""},
        {"type square-2-1-8-deep; receptacle }",
         "type square-2-1-8-deep; receptacle }; box R9 overhead at 1', 1' { receptacle }",
         "draw plan: 7 boxes with their symbols"},
        {"{ breaker 20 A gfci; run P -> shed.R1 }", "{ breaker 20 A; run P -> shed.R1 }",
         "draw plan marks 2 outlets with GFCI"},
        {"{ type square-2-1-8-deep; receptacle }", "{ receptacle-240-20 }",
         "draw plan marks 1 240 V outlet with the voltage"},
        {"{ luminaire leg light } }",
         "{ luminaire leg light }; box A1 overhead at 2', 2' { smoke-alarm } }",
         "with battery\",shown,\"draw plan, report boxes: bath.A1\""},
        {"main 100 A; ", "", "Panels: place and ampacity,not in the plan,the ampacity of panel: P"},
        {"breaker 20 A gfci; ", "", "Panel schedule,not in the plan,the breaker of: P3"},
        {"breaker 20 A gfci; ", "", "overcurrent protection\",not in the plan,the breaker of: P3"},
        {"run P -> shed.R1", "",
         "Circuit number beside each outlet,not in the plan,the circuit of: shed.R1"},
        {"size 8' by 8'", "size 8' by 150'",
         "Load calculation,shown,\"report load: 4835 VA, 20 A\""},
        {"{ luminaire leg light } }", "{ luminaire leg light }; box W1 south at 3' { whirlpool } }",
         "Special equipment: whirlpool tubs,look on site,\"protection, bonding and access of: "
         "bath.W1\""},
        {"kind workshop", "kind living",
         "Wall spacing readable from the plan,fault,receptacle-spacing (1): shed,"},
        {"{ luminaire leg light } }",
         "{ luminaire leg light }; box D1 south at 3' { data }; box D2 south at 4' { data } } "
         "low-voltage net \"Net\" { cable cat6; run bath.D1 -> D2 }",
         "Low voltage (may be left out),shown,report runs: 1 run"},
        {"{ luminaire leg light } }",
         "{ luminaire leg light }; box D2 south at 4' { receptacle } }",
         "report permit: 7 outlets, 3 circuits"},
        {"kind workshop", "kind outdoors",
         "\"Outdoor, porch and deck receptacles\",look on site,covers and gaskets of: shed.R1"},
        {"kind workshop", "kind kitchen; counter south at 0' wide 6' deep 24\"",
         "\"Receptacles over counters, islands, peninsulas\",fault,counter-spacing (1): shed"},
        {"basin north at 2' wide 2'", "basin north at 2' wide 2'; tub east at 0' wide 5' deep 30\"",
         "Outlets over or in a tub or shower,fault,wet-zone (1): bath.R2"},
        {"kind bath;", "kind closet; door west at 1' wide 2'-6\";",
         "Luminaires out of closets' shelves and tub zones,look on site,shelves and rods in: bath"},
        {"-> L1; run", "-> L1 notched 3/4\"; run",
         "Notches in studs and joists,look on site,depth of the notches in: joist 1 over main"},
        {"-> L1; run", "-> L1 notched 3/4\"; run",
         "\"Plates over holes near the face, and over notches\",shown,report bores: 4 nail plates"},
        {"\"Bath light\" { breaker 15 A", "\"Bath light\" { breaker 16 A",
         "Breakers suit conductors and labels,fault,"},
        {"{ type square-2-1-8-deep; receptacle }", "{ receptacle }",
         "Metal boxes bonded,nothing of the kind"},
        {"{ luminaire leg light } }", "{ paddle-fan leg light } }",
         "Fan outlets on boxes for fans,look on site,the mark in: bath.L1"},
        {"{ luminaire leg light } }", "{ recessed leg light } }",
         "clear of wood\",look on site,the label in: bath.L1"},
        {"run bath.S1 -> S2 }", "}",
         "\"White conductors that are hot, re-marked\",nothing of the kind"},
        {"box R2 north at 5' up 42\" { receptacle }",
         "box R2 north at 5' up 42\" { existing; receptacle }",
         "Old boxes that new work touches,look on site,what is in: bath.R2"},
        {"breaker 20 A gfci", "breaker 20 A afci",
         "AFCI protection,look on site,press the test at: P3"},
        {"\"Shed receptacle\"", "\"Lights\"", "Circuit directory,fault,directory-vague (1): P3"},
        {"receptacle-gfci onward", "receptacle", "GFCI protection,fault,gfci-missing (1): P1"},
        {"run P -> shed.R1", "", "Other rules: see check,fault,unfed-box (1): shed.R1"},
    };
    struct buf before, after;
    write_report("inspection", house, &before);
    for (size_t i = 0; i < sizeof changes / sizeof *changes; i++) {
        char changed[4000];
        const char *at = strstr(house, changes[i].find);
        assert_non_null(at);
        snprintf(changed, sizeof changed, "%.*s%s%s", (int)(at - house), house, changes[i].put,
                 at + strlen(changes[i].find));
        write_report("inspection", changed, &after);
        if (strstr(buf_text(&before), changes[i].line))
            fail_msg("was there before the change: %s", changes[i].line);
        if (!strstr(buf_text(&after), changes[i].line))
            fail_msg("with %s for %s there is no \"%s\":\n%s", changes[i].put, changes[i].find,
                     changes[i].line, buf_text(&after));
        buf_free(&after);
    }
    buf_free(&before);
}

/* As people read it: each item once, within the page, nothing called good without the word for it.
 */
static void the_walk_round_is_a_list_to_tick(void **state)
{
    (void)state;
    struct buf out;
    write_as("inspection", house, "text", &out);
    const char *text = buf_text(&out), *first = strstr(text, "[ ] Box fill (NEC 2023 314.16)\n");
    assert_non_null(first);
    assert_null(strstr(first + strlen("[ ] Box"), "Box fill ("));
    assert_non_null(
        strstr(text, "\n      look on site      the first staple closer to: bath.S1, S2\n"));
    assert_non_null(strstr(text, "\nBefore cover\n------------\n"));
    for (const char *line = text; *line; line += strcspn(line, "\n") + 1)
        assert_true(strcspn(line, "\n") <= 100);
    buf_free(&out);
}

/* Adds a plan with the reports that are counted again. */
static void add_plan(FILE *f, const char *path, bool first)
{
    static const char *const reports[] = {"permit", "boxes",     "panel", "runs",      "legs",
                                          "trim",   "materials", "test",  "protection"};
    struct compilation c;
    compile(&c, path, (struct compile_options){.library = plan_library()});
    assert_non_null(c.makeup);
    struct results r;
    assert_true(cmd_results(&c, &r));
    fprintf(f, "%s{\"plan\": \"%s\"", first ? "[" : ",\n", path);
    for (size_t i = 0; i < sizeof reports / sizeof *reports; i++) {
        struct buf out = {0};
        report_write(report_named(reports[i]), &r, REPORT_JSON, &out);
        fprintf(f, ",\n\"%s\": %s", reports[i], buf_text(&out));
        buf_free(&out);
    }
    fputs("}", f);
    compile_free(&c);
}

/* What the other count comes to: 0 where it agrees, 2 where it does not. The reports go to it
 * through `filter`. */
static int recount(const char *filter, const char *const *patterns)
{
    char command[600];
    snprintf(command, sizeof command, "%s /usr/bin/python3 tests/tools/recount.py >&2", filter);
    glob_t plans = {0};
    for (int i = 0; patterns[i]; i++)
        assert_int_equal(glob(patterns[i], i ? GLOB_APPEND : 0, NULL, &plans), 0);
    FILE *f = popen(command, "w");
    assert_non_null(f);
    for (size_t i = 0; i < plans.gl_pathc; i++)
        add_plan(f, plans.gl_pathv[i], i == 0);
    fputs("]\n", f);
    globfree(&plans);
    int status = pclose(f);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

/* Counted again, from other reports, by a program that shares nothing with ours: openings,
 * circuits, devices, plates, breakers, what breakers kill, where a protection stands. */
static void counts_agree_with_another_count(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/*/*.bay", "tests/rules/*.good.bay", NULL};
    assert_int_equal(recount("", plans), 0);
}

/* The other count must be able to disagree: a report that says one receptacle too many is found
 * out. */
static void another_count_refuses(void **state)
{
    (void)state;
    static const char *const plan[] = {"examples/studio/studio.bay", NULL};
    static const char *const spoils[] = {"/openings.*receptacles/s/26/27/",
                                         "/devices.*studio.*receptacle\"/s/: 4/: 5/",
                                         "/\"kills\"/s/\"shop.R2\", //; s/, \"shop.R2\"//",
                                         "/shop.R2.*reset/s/\"shop.R1\"/\"studio.R5\"/"};
    for (size_t i = 0; i < sizeof spoils / sizeof *spoils; i++) {
        char filter[200];
        snprintf(filter, sizeof filter, "sed '%s' |", spoils[i]);
        assert_int_equal(recount(filter, plan), 2);
    }
}

static void a_check_says_what_it_did_not_check(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, house);
    assert_string_equal(unchecked_words(&c.arena, &c.diag, c.verdict),
                        "Not checked, as the plan does not show it: the weight of what hangs from "
                        "bath.L1; what will be stored before panel P; whether a switch is by the "
                        "entrance of bath; what will stand before the GFCI device in bath.R1.\n"
                        "On site only: how cables and boxes are fastened, splices and grounds, "
                        "damage, labels of the makers. The local authority decides.\n");
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(protection_names_who_protects_and_where_it_is_reset),
        cmocka_unit_test(trim_counts_by_room_and_by_plate),
        cmocka_unit_test(the_test_sheet_follows_each_breaker),
        cmocka_unit_test(the_application_has_its_figures),
        cmocka_unit_test(the_walk_round_tells_faults_and_what_is_left),
        cmocka_unit_test(the_walk_round_tells_of_every_rule),
        cmocka_unit_test(a_rule_counts_what_it_judges),
        cmocka_unit_test(nothing_is_without_fault_that_was_not_judged),
        cmocka_unit_test(every_line_of_the_lists_has_its_item),
        cmocka_unit_test(lines_change_with_the_plan),
        cmocka_unit_test(the_walk_round_is_a_list_to_tick),
        cmocka_unit_test(counts_agree_with_another_count),
        cmocka_unit_test(another_count_refuses),
        cmocka_unit_test(a_check_says_what_it_did_not_check),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

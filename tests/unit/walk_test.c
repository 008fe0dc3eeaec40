/* The reports of the last stages, as the command writes them: protection, trim, test, permit, inspection; and what a check says it did not check. */
#include "compiled.h"

#include "cmd/cmd.h"
#include "emit/unchecked.h"

static const char house[] = "plan \"Small house\" { edition nec-2023; site \"Mill lane\" }\n"
                            "room bath { kind bath; corner 0', 0'; size 8' by 6'; basin north at 2' wide 2'\n"
                            "  box R1 north at 1' up 42\" { receptacle-gfci onward }\n  box R2 north at 5' up 42\" { receptacle }\n"
                            "  box S1 south at 6' { switch leg light }\n  box S2 south at 1' { switch leg light }\n  box L1 overhead at 4', 3' { luminaire leg light } }\n"
                            "room shed { kind workshop; corner 8'-4 1/2\", 0'; size 8' by 8'; box R1 north at 2' { type square-2-1-8-deep; receptacle } }\n"
                            "panel P { in shed east at 4' up 5'; main 100 A; spaces 12 }\n"
                            "circuit P.1 \"Bath receptacles\" { breaker 20 A; run P -> bath.R1 -> R2 }\n"
                            "circuit P.2 \"Bath light\" { breaker 15 A; run P -> bath.S1 -> L1; run bath.S1 -> S2 }\n"
                            "circuit P.3 \"Shed receptacle\" { breaker 20 A gfci; run P -> shed.R1 }\n";

/* The report as CSV; to be given back with buf_free. */
static void write_report(const char *name, const char *plan, struct buf *out)
{
    char file[] = "/tmp/studbay-walk-XXXXXX", result[] = "/tmp/studbay-walk-XXXXXX";
    int fd = mkstemp(file), other = mkstemp(result);
    assert_true(fd >= 0 && other >= 0);
    assert_int_equal(write(fd, plan, strlen(plan)), (ssize_t)strlen(plan));
    close(fd);
    close(other);
    char *argv[] = {"studbay", "report", (char *)name, file, "--format=csv", "-o", result, NULL};
    assert_in_range(command_main(7, argv), 0, 1);
    *out = (struct buf){0};
    assert_true(buf_read_file(out, result, 1 << 20));
    unlink(file);
    unlink(result);
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
        "shed.R1,receptacle,workshop,,GFCI: breaker of circuit P.3,\"panel P, space",
        NULL,
    };
    assert_lines("protection", house, lines);
}

static void trim_counts_by_room_and_by_plate(void **state)
{
    (void)state;
    static const char *const lines[] = {"devices,bath,three-way,2,bath.S1; bath.S2", "luminaires,bath,luminaire,1,bath.L1", "plates,,1-gang: switch,2,", "breakers,,20 A gfci,1,P.3", NULL};
    assert_lines("trim", house, lines);
}

static void the_test_sheet_follows_each_breaker(void **state)
{
    (void)state;
    static const char *const lines[] = {"P,1,Bath receptacles,20 A,bath.R1; bath.R2,receptacle-gfci in bath.R1,bath.R1; bath.R2,", "all 4 positions, on in half of them", "the breaker (gfci)", NULL};
    assert_lines("test", house, lines);
}

static void the_application_has_its_figures(void **state)
{
    (void)state;
    static const char *const lines[] = {"job,site,,,Mill lane",           "openings,receptacles,3,new,",    "openings,switches and controls,2,new,", "openings,all,6,new,",
                                        "circuits,\"20 A, one pole\",2,new,", "panels,panel P,100,A main,", NULL};
    assert_lines("permit", house, lines);
}

/* What the rules found is told; what they did not look at is never called good. */
static void the_walk_round_tells_faults_and_what_is_left(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "trim-out,GFCI protection,no fault found,", "before cover,Metal boxes bonded,look on site,a ground on the box shed.R1,", "for the permit,Plot plan with the service,not in the plan,",
        "before cover,Fan outlets on boxes for fans,nothing of the kind,", "\"Address, owner, who drew it, date, edition on every sheet\",shown,site,", NULL,
    };
    assert_lines("inspection", house, lines);
    char bare[3000];
    snprintf(bare, sizeof bare, "%s", house);
    char *at = strstr(bare, "receptacle-gfci onward");
    memcpy(at, "receptacle            ", strlen("receptacle-gfci onward"));
    static const char *const faults[] = {"trim-out,GFCI protection,fault,gfci-missing: 2; bath.R1; bath.R2,", NULL};
    assert_lines("inspection", bare, faults);
    struct buf out;
    write_report("inspection", house, &out);
    assert_null(strstr(buf_text(&out), "checked,"));
    assert_null(strstr(buf_text(&out), "meets"));
    buf_free(&out);
}

static void a_check_says_what_it_did_not_check(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, house);
    assert_string_equal(unchecked_words(&c.arena, c.model, c.protected),
                        "Not checked, as the plan does not show it: what will stand before 1 GFCI device; the weight of 1 luminaire or fan.\n"
                        "On site only: how cables and boxes are fastened, splices and grounds, damage, labels of the makers. The local authority decides.\n");
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
        cmocka_unit_test(a_check_says_what_it_did_not_check),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

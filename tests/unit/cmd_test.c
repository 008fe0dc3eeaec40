/* The commands from outside: what they print where, their exit status, and what becomes of files.
 * STUDBAY names the binary; run from the top of the tree. */
#define _GNU_SOURCE
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/file.h"
#include "base/buf.h"
#include "base/utf8.h"
#include "emit/reports/reports.h"
#include "hostile.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

static const char good[] =
    "plan \"Shed\" {\n  edition nec-2023\n}\n\nroom shed \"Shed\" {\n  kind storage\n  size 10' by "
    "8'\n"
    "  box S1 south at 3' up 48\" { switch leg light }\n  box L1 overhead at 5', 4' { luminaire "
    "leg light 20 W }\n}\n\n"
    "panel P \"Panel\" {\n  in shed west at 2' up 5'\n  main 60 A\n  spaces 8\n}\n\n"
    "circuit P.1 \"Shed light\" {\n  breaker 15 A afci\n  run P -> shed.S1 -> L1\n}\n";

/* A folder of its own for each run of the program, and what the last command gave. */
static char folder[] = "/tmp/studbay-cmd-XXXXXX";
static struct buf out, err;
static int status;

static const char *in_folder(const char *name)
{
    static char path[2][256];
    static int which;
    which = !which;
    snprintf(path[which], sizeof path[which], "%s/%s", folder, name);
    return path[which];
}

static void read_back(struct buf *b, const char *name)
{
    b->n = 0;
    if (!file_read(b, in_folder(name), 1 << 24))
        b->n = 0;
    buf_text(b);
}

static void write_file(const char *name, const char *text)
{
    struct buf b = {0};
    buf_puts(&b, text);
    assert_true(file_write(&b, in_folder(name)));
    buf_free(&b);
}

/* Runs `$STUDBAY ARGUMENTS` with $D for the folder. */
static void run(const char *arguments)
{
    struct buf line = {0};
    buf_printf(&line, "D=%s; \"$STUDBAY\" %s >%s/out 2>%s/err", folder, arguments, folder, folder);
    if (strchr(arguments, '>')) {
        line.n = 0;
        buf_printf(&line, "D=%s; \"$STUDBAY\" %s 2>%s/err", folder, arguments, folder);
    }
    int wait = system(buf_text(&line));
    status = WIFEXITED(wait) ? WEXITSTATUS(wait) : -1;
    buf_free(&line);
    read_back(&out, "out");
    read_back(&err, "err");
}

#define assert_has(b, text)   assert_non_null(strstr(buf_text(&(b)), (text)))
#define assert_lacks(b, text) assert_null(strstr(buf_text(&(b)), (text)))

static int set_up(void **state)
{
    (void)state;
    if (!getenv("STUDBAY") || !mkdtemp(folder))
        return -1;
    unsetenv("NO_COLOR");
    unsetenv("COLUMNS");
    write_file("good.bay", good);
    write_file("bad.bay", "plan \"Bad\" {\n  edition nec-2023\n}\n\nroom a \"A\" {\n  kind "
                          "storage\n  size 10' by 8'\n  box R1 south at 3' { receptakle }\n}\n");
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    char line[128];
    snprintf(line, sizeof line, "rm -rf %s", folder);
    buf_free(&out);
    buf_free(&err);
    return system(line);
}

static void help_and_version(void **state)
{
    (void)state;
    run("");
    assert_int_equal(status, 2);
    assert_has(err, "usage: studbay");
    run("--help");
    assert_int_equal(status, 0);
    static const char *const commands[] = {"check", "report", "draw", "fmt", "explain"};
    for (int i = 0; i < 5; i++) {
        assert_has(out, commands[i]);
        char line[32];
        snprintf(line, sizeof line, "%s --help", commands[i]);
        struct buf all = {0};
        buf_add(&all, out.at, out.n);
        run(line);
        assert_int_equal(status, 0);
        assert_has(out, "usage: studbay ");
        assert_has(out, commands[i]);
        out.n = 0;
        buf_add(&out, all.at, all.n);
        buf_free(&all);
    }
    run("--version");
    assert_int_equal(status, 0);
    assert_string_equal(buf_text(&out), "studbay 0.1.0\n");
}

static void slips_get_the_nearest_name(void **state)
{
    (void)state;
    static const struct {
        const char *arguments, *said;
    } slips[] = {
        {"chek x", "did you mean 'check'"},
        {"report boxs $D/good.bay", "did you mean 'boxes'"},
        {"draw circuit $D/good.bay", "did you mean 'circuits'"},
        {"check --formt json $D/good.bay", "did you mean --format"},
        {"check --format jsn $D/good.bay", "did you mean 'json'"},
        {"check --format yaml $D/good.bay", "there is no format 'yaml'"},
        {"check --only voltage-dorp $D/good.bay", "did you mean 'voltage-drop'"},
        {"explain voltage-drp", "did you mean 'voltage-drop'"},
        {"check --strict=yes $D/good.bay", "takes no value"},
        {"check $D/good.bay --format", "wants a value"},
        {"check -q $D/good.bay", "takes no option -q"},
        {"check", "wants a plan"},
        {"report boxes", "wants a name and one plan"},
        {"report all $D/good.bay", "wants a folder"},
        {"report load --method optionl $D/good.bay", "did you mean 'optional'"},
        {"report boxes --method optional $D/good.bay", "is for the load calculation"},
        {"fmt --write --check $D/good.bay", "one of them"},
    };
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        run(slips[i].arguments);
        assert_int_equal(status, 2);
        assert_int_equal(out.n, 0);
        assert_has(err, slips[i].said);
    }
}

static void check_says_findings_and_a_summary(void **state)
{
    (void)state;
    run("check $D/good.bay");
    assert_int_equal(status, 0);
    assert_has(out, "The local authority decides.");
    run("check $D/bad.bay");
    assert_int_equal(status, 1);
    assert_has(err, "bad.bay:8:");
    assert_has(out, "error");
    assert_lacks(err, "\x1b");
    run("check $D/none.bay");
    assert_int_equal(status, 2);
    assert_has(err, "none.bay");
}

static void check_counts_several_plans_together(void **state)
{
    (void)state;
    run("check --format json $D/bad.bay $D/good.bay $D/bad.bay");
    assert_int_equal(status, 1);
    assert_has(out, "\"counts\": {\"error\": 2,");
    assert_int_equal(err.n, 0);
    run("check --format=json - < $D/good.bay > $D/out");
    assert_int_equal(status, 0);
    assert_has(out, "\"counts\": {\"error\": 0,");
}

static void one_rule_alone_and_strictness(void **state)
{
    (void)state;
    run("check --only voltage-drop $D/bad.bay");
    assert_int_equal(status, 0);
    assert_has(err, "of other rules not shown");
    write_file("warned.bay",
               "plan \"W\" {\n  edition nec-2023\n}\n\nroom a \"A\" {\n  size 10' by 8'\n}\n");
    run("check $D/warned.bay");
    assert_int_equal(status, 0);
    assert_has(out, "1 warning");
    run("check --strict $D/warned.bay");
    assert_int_equal(status, 1);
}

/* A plan whose runs lead to more boxes that are not there than are told, and two rooms in one
 * place, which is found after them. */
static void more_findings_than_are_told(void **state)
{
    (void)state;
    struct buf plan = {0};
    buf_puts(&plan,
             "plan \"W\" { edition nec-2023 }\nwaive rooms-overlap because \"x\"\nroom a \"A\" { "
             "kind storage; corner 0', 0'; size 10' by 8' }\n"
             "room b \"B\" { kind storage; corner 0', 0'; size 10' by 8' }\npanel P { in a west at "
             "2' up 5'; main 60 A; spaces 8 }\ncircuit P.1 \"Light\" { breaker 15 A\n");
    for (int i = 0; i <= 10000; i++)
        buf_printf(&plan, "  run P -> a.X%d\n", i);
    buf_puts(&plan, "}\n");
    write_file("many.bay", buf_text(&plan));
    run("check $D/many.bay");
    assert_int_equal(status, 1);
    assert_has(out, "10001 errors");
    assert_has(err, "'X9999'");
    assert_lacks(err, "'X10000'");
    assert_has(
        err,
        "studbay: error: there are more than 10000 errors; those after them are not told [limit]");
    assert_lacks(
        err,
        "rooms-overlap"); /* nor is its waiver said to be stale: it is for one that is not told */
    run("check --format sarif $D/many.bay");
    assert_int_equal(status, 1);
    assert_has(out, "\"ruleId\": \"limit\"");

    memset(strstr(plan.at, "waive"), ' ', strlen("waive rooms-overlap because \"x\""));
    write_file("many.bay", buf_text(&plan));
    run("check --only rooms-overlap $D/many.bay");
    assert_int_equal(status, 1);
    assert_has(out, "1 error\n");
    assert_has(err, "[rooms-overlap]");
    assert_has(err, "more than 10000 errors of other rules not shown");
    assert_lacks(err, "[limit]");
    run("report inspection $D/many.bay");
    assert_int_equal(status, 1);
    assert_has(out, "not every finding is told: see limit");
    buf_free(&plan);
}

static void reports_come_in_four_formats(void **state)
{
    (void)state;
    run("report");
    assert_int_equal(status, 0);
    assert_has(out, "materials");
    run("report boxes $D/good.bay --format json");
    assert_int_equal(status, 0);
    assert_has(out, "\"report\": \"boxes\",\n  \"plan\": \"Shed\",\n  \"edition\": \"nec-2023");
    assert_has(out, "{\"box\": \"shed.S1\", \"room\": \"shed\", \"wall\": \"south\", "
                    "\"from_left_ft\": 3.00, \"from_right_ft\": 7.00, \"up_in\": 48.00, ");
    assert_has(out, "\"devices\": [\"single-pole switch leg light\"]");
    run("report boxes $D/good.bay --format csv");
    assert_has(out, "box,room,wall,from_left_ft,from_right_ft,");
    run("report boxes $D/good.bay --format md");
    assert_has(out, "| --- |");
    run("report panel $D/good.bay");
    assert_has(out, "licensed electrician");
    run("report legs $D/good.bay --format json");
    assert_has(
        out,
        "\"switches\": [{\"box\": \"shed.S1\", \"kind\": \"single-pole\"}], \"loads\": "
        "[\"shed.L1\"], \"panel\": \"P\", \"circuit\": \"1\", \"handle\": \"P1\", \"va\": 20}");
}

static void a_shared_wall_has_its_studs_from_the_room_named_first(void **state)
{
    (void)state;
    write_file("two.bay", "plan \"Two\" {\n  edition nec-2023\n}\n\nroom a {\n  kind storage\n  "
                          "corner 0', 0'\n  size 10' by 8'\n}\n\n"
                          "room b {\n  kind storage\n  corner 0', 8'-3 1/2\"\n  size 10' by 8'\n  "
                          "box R1 south at 3' { receptacle }\n}\n\n"
                          "panel P { in a west at 2' up 5'; main 60 A; spaces 8 }\n\ncircuit P.1 "
                          "\"Room b\" {\n  breaker 20 A\n  run P -> b.R1\n}\n");
    /* 84" from the west end of the wall of a: its stud at 80" is to the right of who stands in b,
     * and the box to the left of it; counted from b's own end it would be to the right */
    run("report boxes $D/two.bay --format json");
    assert_has(out, "\"box\": \"b.R1\"");
    assert_has(out, "\"stud_side\": \"left\"");
}

/* Annex D, example D1(a): see demand_test.c. */
static void load_is_calculated_step_by_step(void **state)
{
    (void)state;
    write_file("load.bay",
               "plan \"Dwelling\" {\n  edition nec-2023\n  area 1500 ft2\n}\n\nroom k {\n  kind "
               "workshop\n  size 12' by 10'\n"
               "  box E1 south at 2' { range 12 kW }\n  box D1 south at 5' { dryer 5.5 kW }\n}\n\n"
               "panel P { in k north at 5' up 5'; main 100 A; spaces 12 }\n\ncircuit P.1 \"Range\" "
               "{\n  breaker 40 A two-pole gfci\n  run P -> k.E1\n}\n\n"
               "circuit P.2 \"Dryer\" {\n  breaker 30 A two-pole gfci\n  run P -> k.D1\n}\n");
    run("report load $D/load.bay --format json");
    assert_int_equal(status, 0);
    assert_has(out, "\"item\": \"of it from 3000 to 120000 VA\", \"va\": 6000, \"factor\": 0.3500, "
                    "\"demand_va\": 2100, \"article\": \"Table 220.45\"}");
    assert_has(out, "\"totals\": {\"va\": 18600, \"amps\": 77.5, \"neutral_amps\": 60.6, "
                    "\"minimum_service_a\": 100}");
    run("report load --method optional $D/load.bay --format json");
    assert_has(out, "\"totals\": {\"va\": 16600, \"amps\": 69.2, \"neutral_amps\": 60.6, "
                    "\"minimum_service_a\": 100}");
    run("report load --method measured $D/load.bay");
    assert_has(out, "does not say what was measured");
}

static void one_run_is_explained(void **state)
{
    (void)state;
    run("report runs --explain 'P -> shed.S1' $D/good.bay >$D/out");
    assert_int_equal(status, 0);
    assert_has(out, "the stud bay, shed ");
    assert_has(out, "run P -> shed.S1: ");
    run("report runs --explain 'P -> shed.S9' $D/good.bay >$D/out");
    assert_int_equal(status, 2);
    assert_has(err, "did you mean 'P -> shed.S1'");
    run("report boxes --explain 'P -> shed.S1' $D/good.bay >$D/out");
    assert_int_equal(status, 2);
    assert_has(err, "is for the report of the runs");
}

static void a_faulty_plan_is_reported_as_far_as_it_goes(void **state)
{
    (void)state;
    run("report boxes $D/bad.bay");
    assert_int_equal(status, 1);
    assert_has(out, "The plan has");
    assert_has(err, "bad.bay:8:");
    run("report boxes $D/none.bay");
    assert_int_equal(status, 2);
    assert_int_equal(out.n, 0);
}

static void all_reports_go_to_a_folder(void **state)
{
    (void)state;
    static const char *const names[] = {"boxes", "panel", "fill", "legs",
                                        "runs",  "drop",  "cuts", "materials"};
    run("report all $D/good.bay -o $D/reports");
    assert_int_equal(status, 0);
    for (int i = 0; i < 8; i++) {
        char name[64];
        struct stat info;
        snprintf(name, sizeof name, "reports/%s.txt", names[i]);
        assert_int_equal(stat(in_folder(name), &info), 0);
        snprintf(name, sizeof name, "reports/%s.csv", names[i]);
        assert_int_equal(stat(in_folder(name), &info), 0);
    }
}

static void output_that_cannot_be_written_is_an_error(void **state)
{
    (void)state;
    run("report boxes $D/good.bay > /dev/full");
    assert_int_equal(status, 2);
    assert_has(err, "cannot write to standard output");
    run("check $D/good.bay > /dev/full");
    assert_int_equal(status, 2);
    run("--help > /dev/full");
    assert_int_equal(status, 2);
    run("report boxes $D/good.bay -o $D/no/such/place");
    assert_int_equal(status, 2);
    assert_has(err, "cannot write");
}

/* Whatever name leads to it, a file that was read is not written over: the plan, what it includes,
 * its log, the library. */
static void nothing_that_was_read_is_written_over(void **state)
{
    (void)state;
    static const char *const commands[] = {
        "report boxes $D/kept.bay",        "draw plan $D/kept.bay",
        "draw circuits $D/kept.bay",       "prove $D/kept.bay",
        "prove --netlist $D/kept.bay",     "compare $D/kept.bay $D/good.bay",
        "compare $D/good.bay $D/kept.bay", "report runs $D/kept.bay --stdlib $D/lib"};
    static const char *const names[] = {"kept.bay", "part.bay",   "kept.log",     "hard.txt",
                                        "soft.txt", "./kept.bay", "lib/kinds.bay"};
    write_file("kept.bay", good);
    write_file("part.bay", "# of the plan\n");
    write_file("kept.log", "2026-03-14 set shed.S1\n");
    char line[512];
    snprintf(line, sizeof line,
             "cd %s && echo 'include \"part.bay\"' >>kept.bay && cp -r '%s/stdlib' lib && "
             "ln kept.log hard.txt && ln -s part.bay soft.txt && cat kept.bay part.bay kept.log "
             "lib/kinds.bay | cksum >before",
             folder, getenv("PWD"));
    assert_int_equal(system(line), 0);
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++)
        for (size_t k = 0; k < sizeof names / sizeof *names; k++) {
            bool library = strstr(names[k], "lib") != NULL;
            if (library != (strstr(commands[i], "lib") != NULL))
                continue;
            snprintf(line, sizeof line, "%s -o $D/%s", commands[i], names[k]);
            run(line);
            if (status != 2)
                print_error("%s\n", line);
            assert_int_equal(status, 2);
            assert_true(strstr(buf_text(&err), "is read for this") ||
                        strstr(buf_text(&err), "the name of a file for this ends in"));
        }
    write_file("boxes.txt", good);
    run("report all $D/boxes.txt -o $D");
    assert_int_equal(status, 2);
    snprintf(line, sizeof line,
             "cd %s && cat kept.bay part.bay kept.log lib/kinds.bay | cksum | cmp - before && "
             "test ! -e panel.txt",
             folder);
    assert_int_equal(system(line), 0);
}

/* What nobody named is read only where it lies in its folder and is a plain file: a log that is a
 * link would print what it leads to. */
static void what_lies_beside_is_a_plain_file_of_its_folder(void **state)
{
    (void)state;
    static const struct {
        const char *make, *says;
    } cases[] = {
        {"ln -s /etc/passwd by.log", "leads out of its folder"},
        {"mkfifo by.log", "is no plain file"},
        {"ln -s nowhere by.log", "No such file"},
        {"mkdir by.log", "Is a directory"},
    };
    char line[256];
    write_file("by.bay", good);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        snprintf(line, sizeof line, "cd %s && rm -rf by.log && %s", folder, cases[i].make);
        assert_int_equal(system(line), 0);
        for (int k = 0; k < 3; k++) {
            run(k == 0   ? "check $D/by.bay"
                : k == 1 ? "compare $D/by.bay $D/by.bay"
                         : "log $D/by.bay set shed");
            assert_int_equal(status, 2);
            assert_has(err, cases[i].says);
            assert_lacks(err, "root:");
        }
    }
    snprintf(line, sizeof line,
             "cd %s && rm -rf by.log && echo '2026-03-14 set shed.S1' >real.log && "
             "ln -s real.log by.log && cp -r '%s/stdlib' odd && mkfifo odd/pipe.bay",
             folder, getenv("PWD"));
    assert_int_equal(system(line), 0);
    run("check $D/by.bay");
    assert_int_equal(status, 0);
    run("check $D/good.bay --stdlib $D/odd");
    assert_int_equal(status, 2);
    assert_has(err, "is no plain file");
}

/* A name that ends in what is no format is a slip of the pen: no folder, and no text under it. */
static void the_name_of_the_output_is_understood(void **state)
{
    (void)state;
    static const struct {
        const char *line, *says; /* NULL: it is written */
    } cases[] = {
        {"draw circuits -o $D/a.xyz $D/good.bay", "ends in .dot, .svg, .png or .pdf"},
        {"draw plan-power -o $D/a.svgg $D/good.bay", "a folder's ends in /"},
        {"draw plan-power -o $D/a.xyz --format svg $D/good.bay", NULL},
        {"draw plan-power -o $D/folder.d/ $D/good.bay", NULL},
        {"draw plan-power -o $D/folder.d $D/good.bay", NULL},
        {"book $D/good.bay -o $D/b.xyz", "none of these"},
        {"report boxes -o $D/a.pdf $D/good.bay", "ends in .txt, .csv, .json or .md"},
        {"report boxes -o $D/a.csv $D/good.bay", NULL},
        {"report boxes -o $D/boxes $D/good.bay", NULL},
        {"report boxes --format text -o $D/a.lst $D/good.bay", NULL},
        {"report boxes --format md -o $D/a.csv $D/good.bay", "leave one out"},
        {"report all -o $D/all.zip $D/good.bay", "all.zip/"},
        {"prove -o $D/a.svg $D/good.bay", "ends in .txt or .json"},
        {"prove -o $D/a.json $D/good.bay", NULL},
        {"compare -o $D/a.doc $D/good.bay $D/good.bay", ".json, .md, .svg, .pdf or .png"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        run(cases[i].line);
        if ((status == 2) != (cases[i].says != NULL) ||
            (cases[i].says && !strstr(buf_text(&err), cases[i].says)))
            fail_msg("%s: %d %s", cases[i].line, status, buf_text(&err));
    }
    struct buf text = {0};
    char path[300];
    snprintf(path, sizeof path, "%s/a.csv", folder);
    assert_true(file_read(&text, path, 1 << 20));
    assert_has(text, "box,room,wall,");
    buf_free(&text);
}

/* Where nothing says what is wanted of circuits or wiring, it is the graph; all pictures are the
 * sheets, and want no other program. */
static void drawings_are_dot_or_sheets(void **state)
{
    (void)state;
    static const struct {
        const char *line, *begins, *has;
    } cases[] = {
        {"draw circuits $D/good.bay", "digraph circuits {", "HOME RUN"},
        {"draw circuits --format dot $D/good.bay", "digraph circuits {", "HOME RUN"},
        {"draw wiring $D/good.bay", "graph wiring {", "cluster_box"},
        {"draw circuits --format svg $D/good.bay", "<svg ", "Circuit diagrams"},
        {"draw circuits --paper a4 $D/good.bay", "<svg ", "Circuit diagrams"},
        {"draw circuits --sheet 1 $D/good.bay", "<svg ", "Circuit diagrams"},
        {"draw wiring --format svg $D/good.bay", "<svg ", "Box cards"},
        {"draw plan $D/good.bay", "<svg ", "Power plans"},
        {"draw plan --format svg $D/good.bay", "<svg ", "Power plans"},
        {"draw circuits --format pdf $D/good.bay", "%PDF-", ""},
    };
    char *path = strdup(getenv("PATH"));
    char *studbay = realpath(getenv("STUDBAY"), NULL);
    setenv("STUDBAY", studbay, 1);
    setenv("PATH", "/nonexistent", 1);
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        run(cases[i].line);
        assert_int_equal(status, 0);
        if (strncmp(buf_text(&out), cases[i].begins, strlen(cases[i].begins)) != 0)
            fail_msg("%s: %.60s", cases[i].line, buf_text(&out));
        assert_has(out, cases[i].has);
    }
    setenv("PATH", path, 1);
    free(path);
    free(studbay);
    run("draw circuits $D/good.bay -o $D/c.svg");
    assert_int_equal(status, 0);
    assert_int_equal(out.n, 0);
    read_back(&out, "c.svg");
    assert_has(out, "<svg ");
    run("draw wiring $D/good.bay -o $D/cards/");
    assert_int_equal(status, 0);
    read_back(&out, "cards/C-1.svg");
    assert_has(out, "<svg ");
}

/* What studbay writes as DOT, Graphviz reads. */
static void graphs_are_read_by_graphviz(void **state)
{
    (void)state;
    static const char *const names[] = {"circuits", "wiring"};
    for (int i = 0; i < 2; i++) {
        char line[300];
        snprintf(line, sizeof line,
                 "\"$STUDBAY\" draw %s --format dot examples/studio/studio.bay 2>/dev/null | dot "
                 "-Tplain | grep -q '^node '",
                 names[i]);
        assert_int_equal(system(line), 0);
    }
}

static void output_is_the_same_each_time(void **state)
{
    (void)state;
    static const char *const lines[] = {"draw circuits examples/studio/studio.bay",
                                        "report materials examples/studio/studio.bay",
                                        "report panel examples/studio/studio.bay --format json"};
    for (int i = 0; i < 3; i++) {
        struct buf first = {0};
        run(lines[i]);
        assert_int_equal(status, 0);
        buf_puts(&first, buf_text(&out));
        run(lines[i]);
        assert_string_equal(buf_text(&first), buf_text(&out));
        assert_true(first.n > 1000);
        buf_free(&first);
    }
}

static void fmt_changes_files_only_when_told(void **state)
{
    (void)state;
    static const char loose[] =
        "plan   \"F\" { edition   nec-2023 }\nroom a { kind storage;size 10' by 8' }\n";
    write_file("loose.bay", loose);
    run("fmt --check $D/loose.bay");
    assert_int_equal(status, 1);
    assert_has(out, "loose.bay\n");
    run("fmt $D/loose.bay");
    assert_int_equal(status, 0);
    assert_has(out, "plan \"F\" {");
    struct buf canonical = {0};
    buf_puts(&canonical, buf_text(&out));
    read_back(&out, "loose.bay");
    assert_string_equal(buf_text(&out), loose);
    run("fmt --write $D/loose.bay");
    assert_int_equal(status, 0);
    read_back(&out, "loose.bay");
    assert_string_equal(buf_text(&out), buf_text(&canonical));
    run("fmt --check $D/loose.bay");
    assert_int_equal(status, 0);
    run("fmt --write -");
    assert_int_equal(status, 2);
    buf_free(&canonical);
}

/* A link goes on leading to its file; what may not be written stays; a file whose bytes could not
 * all be read as tokens is not touched. */
static void fmt_keeps_what_is_there(void **state)
{
    (void)state;
    static const char loose[] = "plan   \"F\" { edition   nec-2023 }\r\n";
    write_file("target.bay", loose);
    assert_int_equal(symlink("target.bay", in_folder("link.bay")), 0);
    run("fmt --write $D/link.bay");
    assert_int_equal(status, 0);
    struct stat st;
    assert_int_equal(lstat(in_folder("link.bay"), &st), 0);
    assert_true(S_ISLNK(st.st_mode));
    read_back(&out, "target.bay");
    assert_string_equal(buf_text(&out), "plan \"F\" { edition nec-2023 }\n");
    static const char *const stray[] = {"room a { size 18' \xc3\x97 14' }\n",
                                        "room a { @ kind storage }\n"};
    for (size_t i = 0; i < sizeof stray / sizeof *stray; i++) {
        write_file("stray.bay", stray[i]);
        run("fmt --write $D/stray.bay");
        assert_int_equal(status, 1);
        read_back(&out, "stray.bay");
        assert_string_equal(buf_text(&out), stray[i]);
    }
    write_file("word.bay",
               "romm   a { kind storage }\n"); /* its tokens are all there: laid out, and told */
    run("fmt $D/word.bay");
    assert_int_equal(status, 1);
    assert_has(out, "romm a { kind storage }\n");
    run("draw plan --format svg -o /dev/null examples/small/two-places.bay");
    assert_int_equal(status, 0);
    assert_int_equal(stat("/dev/null", &st), 0);
    assert_true(S_ISCHR(st.st_mode));
}

static void explain_tells_of_every_rule(void **state)
{
    (void)state;
    run("explain");
    assert_int_equal(status, 0);
    assert_has(out, "box-overfilled");
    run("explain box-overfilled");
    assert_int_equal(status, 0);
    assert_has(out, "box-overfilled");
    assert_has(out, "A plan cannot waive it.");
    run("explain voltage-drop");
    assert_has(out, "It is advice");
    run("explain box-gangs");
    assert_has(out, "written consent");
    run("explain smoke"); /* no rule: those that speak of it */
    assert_int_equal(status, 0);
    assert_has(out, "smoke-alarm");
    run("explain nothing-of-the-sort");
    assert_int_equal(status, 2);
}

static void lists_what_there_is_to_write(void **state)
{
    (void)state;
    static const struct {
        const char *command, *has, *lacks;
    } cases[] = {
        {"list devices", "receptacle-gfci", "nail-on-1g-18"},
        {"list devices fan", "paddle-fan", "receptacle-gfci"},
        {"list devices outlet", "receptacle-gfci", "paddle-fan"}, /* as the trade says */
        {"list kinds bathroom", "bath", "garage"},
        {"list boxes", "nail-on-1g-18", "paddle-fan"},
        {"list cables 12/", "12/2", "14/2"},
        {"list rules smoke", "smoke-alarm", "box-gangs"},
        {"list reports", "makeup", "12/2"},
        {"list drawings", "plan-power", "12/2"},
        {"list commands", "settle", "12/2"},
        {"list forms tub", "a bath tub", "dryer"},
        {"list forms --format csv", "box; boxes", "Meaning"},
        {"list units --format json", "{\"name\": \"kVA\", \"says\": \"a load\"}", "Meaning"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        run(cases[i].command);
        assert_int_equal(status, 0);
        assert_has(out, cases[i].has);
        if (strstr(buf_text(&out), cases[i].lacks))
            fail_msg("%s: %s", cases[i].command, buf_text(&out));
    }
    run("list");
    assert_int_equal(status, 2);
    run("list device");
    assert_int_equal(status, 2);
    assert_has(err, "devices");
    run("list devices nothing-of-the-sort");
    assert_int_equal(status, 2);
}

/* What comes next is what is left of the cable that was logged, in the order of the work; then what
 * is left at all. */
static void the_log_tells_what_is_next(void **state)
{
    (void)state;
    write_file("next.bay", good);
    run("log $D/next.bay pulled P to shed.S1 20ft");
    assert_int_equal(status, 0);
    assert_has(err, "next: staple P -> shed.S1 (P1 P-she S1): ");
    assert_lacks(out, "next:");
    run("log $D/next.bay stapled P to shed.S1");
    assert_has(err, "next: set shed overhead: 1 box: L1\n"); /* a cable hangs in S1: that is set */
    run("log $D/next.bay stapled P to shed.S1");
    assert_lacks(err, "next:"); /* the log says so already */
    run("log $D/next.bay set shed.S1");
    assert_lacks(err, "next: make up"); /* its other cable is not in */
    run("log $D/next.bay tested shed");
    run("log $D/next.bay tested P");
    run("log $D/next.bay bored shed");
    run("log $D/next.bay stapled shed.S1 to L1");
    assert_has(err, "next: inspect shed: ");
}

/* --- what a plan says is hostile ------------------------------------------------------------ */

/* Nothing that a terminal obeys, turns round or cannot read. */
static void assert_plain(const struct buf *b, const char *what)
{
    const char *p = b->at, *end = p + b->n;
    size_t len;
    for (; p < end; p += len) {
        uint32_t c = utf8_next(p, end, &len);
        if (c == UTF8_BAD || (utf8_is_hidden(c) && c != '\r'))
            fail_msg("%s prints byte %u raw", what, (unsigned)(unsigned char)*p);
    }
}

/* The good plan with the bytes in a text, in a comment and in the names of the files. */
static void write_hostile(const char *name, const char *bytes)
{
    struct buf b = {0};
    const char *title = strstr(good, "Shed\"");
    buf_add(&b, good, (size_t)(title - good));
    buf_printf(&b, "%s%s\n# %s\n", bytes, title, bytes);
    assert_true(file_write(&b, in_folder(name)));
    buf_free(&b);
}

static void no_byte_of_a_plan_reaches_the_terminal(void **state)
{
    (void)state;
    static const char *const hostile[] = {
        "\x1b[31m",
        "\xff\xfe",
        "\xc2\x9b"
        "31m",
        "\xe2\x80\xae",
        "\xe2\x81\xa6",
        "\xe2\x80\xa8",
        "\xef\xbf\xbf",
        "\x7f",
    };
    static const char *const commands[] = {
        "check",
        "check --format json",
        "check --format sarif",
        "prove",
        "prove --netlist",
        "report panel",
        "report panel --format csv",
        "report panel --format md",
        "report todo --format json",
        "draw circuits --format dot",
        "draw plan --format svg",
        "fmt",
        "fmt --check",
        "settle",
    };
    for (size_t i = 0; i < sizeof hostile / sizeof *hostile; i++) {
        write_hostile("h.bay", hostile[i]);
        for (size_t k = 0; k < sizeof commands / sizeof *commands; k++) {
            char line[128];
            snprintf(line, sizeof line, "%s $D/h.bay", commands[k]);
            run(line);
            assert_plain(&out, line);
            assert_plain(&err, line);
        }
        run("check $D/h.bay");
        assert_int_equal(status, 1);
        assert_has(err, "[syntax]");
        run("report panel $D/nothing$(printf '\\033\\302\\233').bay");
        assert_int_equal(status, 2);
        assert_plain(&err, "a name");
    }
}

static void nothing_hidden_goes_into_the_log(void **state)
{
    (void)state;
    write_file("plan.bay", good);
    unlink(in_folder("plan.log"));
    run("log $D/plan.bay \"pulled shed.S1 to L1 9ft # $(printf '\\033[31m')\"");
    assert_int_equal(status, 1);
    assert_plain(&err, "log");
    assert_int_not_equal(access(in_folder("plan.log"), F_OK), 0);
    run("log $D/plan.bay 'pulled shed.S1 to L1 9ft # tr\xc3\xa8s juste'");
    assert_int_equal(status, 0);
    unlink(in_folder("plan.log"));
}

static void letters_of_all_scripts_are_texts(void **state)
{
    (void)state;
    write_hostile("h.bay", "K\xc3\xbc"
                           "che \xd7\x9e\xd7\x98\xd7\x91\xd7\x97 \xe2\x80\x93 \xf0\x9f\x92\xa1 ");
    run("check $D/h.bay");
    assert_int_equal(status, 0);
    run("report panel $D/h.bay");
    assert_has(out, "K\xc3\xbc"
                    "che \xd7\x9e\xd7\x98\xd7\x91\xd7\x97 \xe2\x80\x93 \xf0\x9f\x92\xa1 Shed");
}

/* The good plan with another title of its circuit. */
static void write_titled(const char *title)
{
    struct buf b = {0};
    const char *old = strstr(good, "Shed light");
    buf_add(&b, good, (size_t)(old - good));
    buf_printf(&b, "%s%s", title, old + strlen("Shed light"));
    assert_true(file_write(&b, in_folder("t.bay")));
    buf_free(&b);
}

static void no_field_is_a_formula(void **state)
{
    (void)state;
    static const char *const titles[] = {"=1+2", "+1", "-1", "@SUM(A1)", "\t=1", "'=1", "''-1"};
    for (size_t i = 0; i < sizeof titles / sizeof *titles; i++) {
        char field[64];
        write_titled(titles[i]);
        run("report panel --format csv $D/t.bay");
        snprintf(field, sizeof field, ",'%s,", titles[i]);
        assert_has(out, field);
    }
    static const char *const plain[] = {"Lights = 3 + 1", "'t was there", "''"};
    for (size_t i = 0; i < sizeof plain / sizeof *plain; i++) {
        char field[64];
        write_titled(plain[i]);
        run("report panel --format csv $D/t.bay");
        snprintf(field, sizeof field, ",%s,", plain[i]);
        assert_has(out, field);
    }
}

/* Texts that would be something else where they were written as they are: a line of a deck, a mark
 * of a document, an end of a string. */
static const char *const typed[] = {"\\n.control\\nshell date\\n.endc",
                                    ".end",
                                    "* ; $ { } ' \\\" \\\\",
                                    "| a | b |\\n\\n# [x](http://x.example) <b>`c`</b>",
                                    "</script>]]>&lt;--",
                                    "\xd7\xa9\xd7\x9c (\xd7\x95",
                                    "\\n\\\\u0000 {0} $(id)"};

static void write_typed(const char *text)
{
    struct buf plan = {0};
    hostile_plan(&plan, text);
    assert_true(file_write(&plan, in_folder("typed.bay")));
    buf_free(&plan);
}

/* What ngspice reads of a deck: without comments, which begin with a star or behind a semicolon. */
static void read_deck(const char *deck, struct buf *kept)
{
    for (const char *p = deck; *p;) {
        size_t line = strcspn(p, "\n"), code = strcspn(p, ";\n");
        if (*p != '*' && p != deck) /* the first line is a title */
            buf_printf(kept, "%.*s\n", (int)code, p);
        p += line + (p[line] == '\n');
    }
    buf_text(kept);
}

/* A deck is the same whatever names and titles say. */
static void no_text_is_a_line_of_a_deck(void **state)
{
    (void)state;
    write_typed("plain");
    run("prove --netlist $D/typed.bay");
    struct buf plain = {0};
    read_deck(out.at, &plain);
    assert_non_null(strstr(plain.at, "\nR"));
    for (size_t i = 0; i < sizeof typed / sizeof *typed; i++) {
        write_typed(typed[i]);
        run("prove --netlist $D/typed.bay");
        struct buf deck = {0};
        read_deck(out.at, &deck);
        assert_string_equal(deck.at, plain.at);
        buf_free(&deck);
    }
    buf_free(&plain);
}

/* What Graphviz makes of a graph: its nodes, edges and frames, and whether all words of the text
 * stand in it. */
struct picture {
    int nodes, edges, frames;
    bool has_text;
};

static int times_in(const char *text, const char *word)
{
    int n = 0;
    for (; (text = strstr(text, word)); text += strlen(word))
        n++;
    return n;
}

/* The graph of that name of typed.bay, and whether `words`, as XML writes them, stand in it. */
static struct picture picture_of(const char *graph, const char *words)
{
    char line[512];
    snprintf(line, sizeof line, "draw %s --format dot $D/typed.bay -o $D/typed.dot", graph);
    run(line);
    snprintf(line, sizeof line, "dot -Tsvg %s/typed.dot >%s/out 2>%s/err", folder, folder, folder);
    assert_int_equal(system(line), 0);
    read_back(&out, "out");
    read_back(&err, "err");
    assert_string_equal(buf_text(&err), "");
    assert_null(strstr(out.at, "<script"));
    assert_null(strstr(out.at, "<a "));
    return (struct picture){times_in(out.at, "class=\"node\""), times_in(out.at, "class=\"edge\""),
                            times_in(out.at, "class=\"cluster\""), strstr(out.at, words) != NULL};
}

/* A graph has the same nodes and edges whatever names and titles say, and Graphviz shows them
 * letter by letter: its escapes and entities are the documentation's (attribute type escString;
 * "Special Characters" of the language DOT). Skipped where there is no Graphviz. */
static void no_text_is_a_part_of_a_graph(void **state)
{
    (void)state;
    static const struct {
        const char *typed, *shown;
    } texts[] = {
        {"plain", "plain"},
        {"x\\\" ]; evil -> b; y [label=\\\"z", "x&quot; ]; evil &#45;&gt; b; y [label=&quot;z"},
        {"a \\\\N \\\\G \\\\l b\\\\", "a \\N \\G \\l b\\"},
        {"&lt; &#60; &eacute; &amp;amp;", "&amp;lt; &amp;#60; &amp;eacute; &amp;amp;amp;"},
        {"} | {<p0_0> q}", "} | {&lt;p0_0&gt; q}"},
        {"</text><script>alert(1)</script>", "&lt;/text&gt;&lt;script&gt;alert(1)&lt;/script&gt;"},
        {"<b>no HTML</b>", "&lt;b&gt;no HTML&lt;/b&gt;"},
        {"# /* // ]]>-->", "# /* // ]]&gt;&#45;&#45;&gt;"},
    };
    static const char *const graphs[] = {"circuits", "wiring"};
    if (system("command -v dot >/dev/null"))
        skip();
    for (size_t g = 0; g < sizeof graphs / sizeof *graphs; g++) {
        struct picture plain = {0};
        for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
            write_typed(texts[i].typed);
            struct picture now = picture_of(graphs[g], texts[i].shown);
            if (!i)
                plain = now;
            if (!now.has_text)
                fail_msg("%s: %s is not shown as it is", graphs[g], texts[i].typed);
            assert_true(now.nodes > 3 && now.edges > 2 && now.frames > 1);
            assert_int_equal(now.nodes, plain.nodes);
            assert_int_equal(now.edges, plain.edges);
            assert_int_equal(now.frames, plain.frames);
        }
    }
}

/* A word that is too long is a fault of the text that names no line: where else something can be
 * mended, all formats still tell of both. */
static void a_word_without_end_is_told_in_all_formats(void **state)
{
    (void)state;
    static const char *const commands[] = {"check $D/typed.bay", "check --format json $D/typed.bay",
                                           "check --format sarif $D/typed.bay"};
    struct buf word = {0};
    buf_fill(&word, 'W', 10000);
    write_typed(buf_text(&word));
    buf_free(&word);
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
        run(commands[i]);
        assert_int_equal(status, 1);
        struct buf *told = i ? &out : &err;
        assert_has(*told, "more than the 4096 that one word may have");
        assert_has(*told, "surge-protection");
    }
}

/* But for the first draft, which is there to be mended, and parts of others. */
static void examples_are_without_errors(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "studio/studio", "flats/flats",   "cellar/pottery",         "shed/boat-shed",
        "small/cellar",  "small/old-box", "small/protected-onward", "small/two-places"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        char line[64];
        snprintf(line, sizeof line, "check examples/%s.bay", plans[i]);
        run(line);
        if (status)
            fail_msg("%s: %s%s", plans[i], out.at, err.at);
    }
}

static void other_files_are_named(void **state)
{
    (void)state;
    struct buf b = {0};
    buf_add(&b, "\xff\xfe", 2);
    for (const char *p = good; *p; p++)
        buf_add(&b, (char[2]){*p, 0}, 2);
    assert_true(file_write(&b, in_folder("u.bay")));
    run("check $D/u.bay");
    assert_has(err, "save the plan as UTF-8");
    assert_has(out, "1 error\n");
    b.n = 0;
    buf_puts(&b, "# all of it would be a comment\r");
    for (const char *p = good; *p; p++)
        buf_putc(&b, *p == '\n' ? '\r' : *p);
    assert_true(file_write(&b, in_folder("u.bay")));
    run("check $D/u.bay");
    assert_has(err, "save the plan with line feeds");
    assert_has(out, "1 error\n");
    buf_free(&b);
}

static void days_are_days(void **state)
{
    (void)state;
    write_file("plan.bay", good);
    run("log $D/plan.bay 2026-02-30 pulled shed.S1 to L1 9ft");
    assert_int_equal(status, 1);
    assert_has(err, "'2026-02-30' is no date");
    run("log $D/plan.bay 2028-02-29 pulled shed.S1 to L1 9ft");
    assert_int_equal(status, 0);
    unlink(in_folder("plan.log"));
    static const char *const epochs[] = {"garbage", "", "-1", "253402300800", "1e9"};
    for (size_t i = 0; i < sizeof epochs / sizeof *epochs; i++) {
        setenv("SOURCE_DATE_EPOCH", epochs[i], 1);
        run("log $D/plan.bay pulled shed.S1 to L1 9ft");
        assert_int_equal(status, 2);
        assert_has(err, "SOURCE_DATE_EPOCH");
        assert_int_not_equal(access(in_folder("plan.log"), F_OK), 0);
    }
    unsetenv("SOURCE_DATE_EPOCH");
}

/* A signal at any time leaves whole files and nothing beside them. */
static void signals_leave_nothing_behind(void **state)
{
    (void)state;
    enum { TRIES = 30 };
    for (unsigned i = 0; i < TRIES; i++) {
        char line[512];
        snprintf(line, sizeof line,
                 "D=%s; mkdir $D/s && printf 'plan \"a\" {  edition nec-2023  }\\n' >$D/s/p.bay; "
                 "timeout -s TERM 0.%03u \"$STUDBAY\" fmt --write $D/s/p.bay 2>/dev/null; "
                 "timeout -s INT 0.%03u \"$STUDBAY\" report all -o $D/s/o $D/plan.bay "
                 ">/dev/null 2>&1; find $D/s -name '*.*.*' >$D/out; "
                 "ls $D/s/o 2>/dev/null | wc -l >$D/count; rm -r $D/s",
                 folder, 1 + i % 10, 5 + 3 * i);
        assert_int_not_equal(system(line), -1);
        read_back(&out, "out");
        assert_string_equal(buf_text(&out), "");
        read_back(&out, "count"); /* all reports, or none */
        unsigned count = (unsigned)strtoul(buf_text(&out), NULL, 10);
        assert_true(count == 0 || count == 2 * report_count);
    }
}

/* Where one report finds no room, those of another plan all stay as they were. */
static void reports_without_room_change_none(void **state)
{
    (void)state;
    write_file("plan.bay", good);
    run("report all examples/studio/studio.bay -o $D/old");
    assert_int_equal(status, 0);
    char line[512];
    snprintf(line, sizeof line,
             "cd %s && cp -r old was && for o in old new; do (trap '' XFSZ; ulimit -f 1; "
             "\"$STUDBAY\" report all plan.bay -o $o 2>err); done; diff -r old was >out; "
             "ls -a . new >>out 2>/dev/null; rm -r old was",
             folder);
    assert_int_not_equal(system(line), -1);
    read_back(&err, "err");
    assert_has(err, "cannot write new/");
    read_back(&out, "out");
    assert_null(strstr(buf_text(&out), "diff "));
    assert_null(strstr(buf_text(&out), "Only in"));
    assert_null(strstr(buf_text(&out), "\nnew"));
}

/* A file keeps its other names, and whose it is. */
static void fmt_keeps_names_and_owner(void **state)
{
    (void)state;
    static const char loose[] = "plan   \"F\" { edition   nec-2023 }\n",
                      tight[] = "plan \"F\" { edition nec-2023 }\n";
    struct stat st;
    write_file("own.bay", loose);
    char one[256];
    snprintf(one, sizeof one, "%s", in_folder("own.bay"));
    assert_int_equal(link(one, in_folder("other.bay")), 0);
    run("fmt --write $D/own.bay");
    assert_int_equal(status, 0);
    read_back(&out, "other.bay");
    assert_string_equal(buf_text(&out), tight);
    assert_int_equal(stat(in_folder("own.bay"), &st), 0);
    assert_int_equal(st.st_nlink, 2);
    unlink(in_folder("other.bay"));
    if (geteuid() != 0)
        return; /* none but root can give a file away */
    write_file("own.bay", loose);
    assert_int_equal(chown(in_folder("own.bay"), 1, 1), 0);
    run("fmt --write $D/own.bay");
    read_back(&out, "own.bay");
    assert_string_equal(buf_text(&out), tight);
    assert_int_equal(stat(in_folder("own.bay"), &st), 0);
    assert_int_equal(st.st_uid, 1);
    assert_int_equal(st.st_gid, 1);
}

/* What a terminal would take for a command is not in what it is shown; a program that reads gets
 * the name as it is. */
static void names_on_a_terminal_are_masked(void **state)
{
    (void)state;
    char line[200], seen[300] = "";
    write_file("a\033[2J.bay", "plan   \"F\" { edition   nec-2023 }\n");
    int terminal = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(terminal >= 0 && !grantpt(terminal) && !unlockpt(terminal));
    int other = open(ptsname(terminal), O_RDWR | O_NOCTTY); /* so that it stays open */
    snprintf(line, sizeof line, "fmt --check $D/a*.bay >%s", ptsname(terminal));
    run(line);
    assert_int_equal(status, 1);
    assert_true(read(terminal, seen, sizeof seen - 1) > 0);
    assert_non_null(strstr(seen, "a\xef\xbf\xbd[2J.bay"));
    assert_null(strchr(seen, '\033'));
    close(other);
    close(terminal);
    run("fmt --check $D/a*.bay");
    assert_has(out, "a\033[2J.bay");
}

static void new_files_are_as_the_umask_says(void **state)
{
    (void)state;
    struct stat st;
    char name[256];
    write_file("plan.bay", good);
    mode_t before = umask(077);
    run("report panel $D/plan.bay -o $D/panel.txt");
    umask(before);
    assert_int_equal(stat(in_folder("panel.txt"), &st), 0);
    assert_int_equal(st.st_mode & 0777, 0600);
    memset(name, 'n', 255);
    name[255] = 0;
    char line[512];
    snprintf(line, sizeof line, "report panel $D/plan.bay -o $D/%s", name);
    run(line);
    assert_int_equal(status, 0);
}

/* A link that leads to nothing yet goes on leading there. */
static void what_a_link_leads_to_is_made(void **state)
{
    (void)state;
    struct stat st;
    write_file("plan.bay", good);
    mkdir(in_folder("far"), 0777);
    assert_int_equal(symlink("far/next", in_folder("first")), 0);
    assert_int_equal(symlink("panel.txt", in_folder("far/next")), 0);
    run("report panel $D/plan.bay -o $D/first --format text");
    assert_int_equal(status, 0);
    assert_int_equal(lstat(in_folder("first"), &st), 0);
    assert_true(S_ISLNK(st.st_mode));
    assert_int_equal(lstat(in_folder("far/panel.txt"), &st), 0);
    assert_true(S_ISREG(st.st_mode) && st.st_size > 100);
    assert_int_equal(symlink("ring", in_folder("ring")), 0);
    run("report panel $D/plan.bay -o $D/ring --format text");
    assert_int_equal(status, 2);
    assert_has(err, "Too many levels of symbolic links");
}

/* Of what lies outside of the plan's folder it is not even told whether it is there. */
static void an_include_tells_nothing_of_other_folders(void **state)
{
    (void)state;
    static const char *const outside[] = {"../../../../../../etc/passwd", "../nowhere.bay",
                                          "in/../../nowhere.bay", "./../in/../../../nowhere.bay"};
    static const char *const inside[] = {"nowhere.bay", "in/../nowhere.bay", "./in/nowhere.bay"};
    char text[256];
    mkdir(in_folder("in"), 0777);
    for (size_t i = 0; i < 7; i++) {
        const char *name = i < 4 ? outside[i] : inside[i - 4];
        snprintf(text, sizeof text, "plan \"A\" { edition nec-2023 }\ninclude \"%s\"\n", name);
        write_file("plan.bay", text);
        run("check $D/plan.bay");
        assert_int_equal(status, 1);
        assert_has(err, i < 4 ? "leads out of its folder" : "No such file");
        assert_lacks(err, i < 4 ? "No such file" : "leads out");
    }
    write_file("plan.bay", "plan \"A\" { edition nec-2023 }\ninclude \"in/a.bay\"\n");
    write_file("in/a.bay", "include \"../nowhere.bay\"\ninclude \"../../nowhere.bay\"\n");
    run("check $D/plan.bay");
    assert_has(err, "in/../nowhere.bay: No such file");
    assert_has(err, "error: ../../nowhere.bay leads out of its folder");
}

/* The widest line of what the last command wrote. */
static size_t widest_line(const struct buf *b)
{
    size_t most = 0;
    for (const char *at = b->at; at < b->at + b->n;) {
        size_t n = strcspn(at, "\n"), cells = utf8_cells(at, n, 0);
        most = cells > most ? cells : most;
        at += n + 1;
    }
    return most;
}

/* As --width says, else as COLUMNS, else as the terminal, else 100; a file is the same wherever it
 * is made. */
static void text_is_as_wide_as_its_page(void **state)
{
    (void)state;
    run("report protection $D/good.bay");
    size_t wide = widest_line(&out);
    assert_true(wide > 60 && wide <= 100);
    run("report protection --width 60 $D/good.bay");
    assert_true(widest_line(&out) <= 60 && widest_line(&out) > 40);
    setenv("COLUMNS", "40", 1);
    static const char *const commands[] = {"report protection", "prove", "explain smoke",
                                           "list kinds kitchen", "compare $D/good.bay"};
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
        char line[128];
        snprintf(line, sizeof line, "%s%s", commands[i],
                 strchr("rpc", *commands[i]) ? " $D/good.bay" : "");
        run(line);
        assert_int_equal(status, 0);
        assert_true(out.n && widest_line(&out) <= 40);
    }
    run("report protection -o $D/file.txt $D/good.bay");
    read_back(&out, "file.txt");
    assert_int_equal(widest_line(&out), wide);
    static const char *const none[] = {"", "wide", "12", "100000", "-3"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) { /* nothing that is a width */
        setenv("COLUMNS", none[i], 1);
        run("report protection $D/good.bay");
        assert_int_equal(widest_line(&out), wide);
    }
    unsetenv("COLUMNS");
}

static void text_is_as_wide_as_its_terminal(void **state)
{
    (void)state;
    char line[200];
    struct buf seen = {0};
    struct winsize size = {.ws_col = 40, .ws_row = 24};
    int terminal = posix_openpt(O_RDWR | O_NOCTTY);
    assert_true(terminal >= 0 && !grantpt(terminal) && !unlockpt(terminal));
    int other = open(ptsname(terminal), O_RDWR | O_NOCTTY);
    assert_int_equal(ioctl(terminal, TIOCSWINSZ, &size), 0);
    snprintf(line, sizeof line, "report legs $D/good.bay >%s", ptsname(terminal));
    run(line);
    assert_int_equal(status, 0);
    buf_reserve(&seen, 4096);
    ssize_t n = read(terminal, seen.at, 4000);
    assert_true(n > 0);
    seen.n = (size_t)n;
    for (size_t i = 0; i < seen.n; i++) /* the terminal's own ends of lines */
        if (seen.at[i] == '\r')
            seen.at[i] = ' ';
    buf_text(&seen);
    assert_has(seen, "light");
    assert_true(widest_line(&seen) <= 41);
    buf_free(&seen);
    close(other);
    close(terminal);
}

static void paper_has_pages(void **state)
{
    (void)state;
    static const struct {
        const char *arguments, *said;
    } slips[] = {
        {"report boxes --width 0 $D/good.bay", "--width wants a number from 20 to 1000, not '0'"},
        {"report boxes --width 80x $D/good.bay", "not '80x'"},
        {"report boxes --paper a5 $D/good.bay", "there is no paper 'a5'; did you mean 'a4'?"},
        {"report boxes --paper a4 --format csv $D/good.bay", "--width and --paper are for text"},
        {"report boxes --width 80 --format md $D/good.bay", "--width and --paper are for text"},
    };
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        run(slips[i].arguments);
        assert_int_equal(status, 2);
        assert_has(err, slips[i].said);
        assert_int_equal(out.n, 0);
    }
    run("report inspection --paper letter $D/good.bay");
    assert_int_equal(status, 0);
    assert_has(out, "\n\finspection: Shed, page 2 of ");
    assert_true(widest_line(&out) <= 80);
    run("report inspection --paper a4 $D/good.bay");
    assert_true(widest_line(&out) <= 78);
}

/* By rule, with number and place, and nothing of it on standard error; the sums are those of the
 * findings. */
static void a_summary_tells_rules_and_places(void **state)
{
    (void)state;
    write_file("many.bay",
               "plan \"Many\" {\n  edition nec-2023\n}\n\nroom a \"A\" {\n  kind storage\n"
               "  size 10' by 8'\n  box R1 south at 3' { receptakle }\n"
               "  box R2 south at 6' { receptakle }\n  box R3 north at 3' { receptacle }\n}\n");
    run("check --summary $D/many.bay");
    assert_int_equal(status, 1);
    assert_int_equal(err.n, 0);
    assert_has(out, "3 errors");
    assert_has(out, "     2  error  unknown-name  8; 9\n");
    assert_has(out, "     1  error  unfed-box     10 a.R3\n");
    assert_true(strstr(buf_text(&out), "3 errors") < strstr(buf_text(&out), "Number"));
    run("check --summary --width 40 $D/many.bay $D/bad.bay");
    assert_has(out, "many.bay:8");
    assert_has(out, "bad.bay:8");
    assert_true(widest_line(&out) <= 40);
    run("check --summary $D/good.bay");
    assert_int_equal(status, 0);
    assert_has(out, "no findings\n");
    assert_lacks(out, "Number");
    run("check --summary --strict --only unfed-box $D/many.bay");
    assert_has(out, "1 error\n");
    run("check --summary $D/none.bay");
    assert_int_equal(status, 2);
    assert_has(out, "none.bay");
    run("check --summary --format json $D/good.bay");
    assert_int_equal(status, 2);
    assert_has(err, "--summary and --width are for text");
    run("check --width 60 $D/good.bay");
    assert_int_equal(status, 2);
    assert_has(err, "--width goes with --summary");
}

/* --- settle ------------------------------------------------------------------------------- */

static const char halves[] =
    "plan \"Halves\" { edition nec-2023 }\n"
    "include \"rooms.bay\"\n"
    "panel P { in shed west at 2' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.1 \"Shed light\" { breaker 15 A afci; run P -> shed.S1 -> L1 }\n";

static const char rooms[] = "room shed {\n  kind storage\n  size 10' by 8'\n"
                            "  box S1 south at 2'-10\" up 48\" { switch leg light }\n"
                            "  box L1 overhead at 5', 5' { luminaire leg light 20 W }\n}\n";

static void settles_each_file(void **state)
{
    (void)state;
    struct buf text = {0};
    write_file("halves.bay", halves);
    write_file("rooms.bay", rooms);
    run("settle $D/halves.bay");
    assert_int_equal(status, 0);
    assert_has(out, "run P -> shed.S1 -> L1 cable 14/2 }");
    assert_lacks(out, "type");
    assert_has(err, "settled: 2 types, 2 cables\n");
    assert_has(err, "/rooms.bay would change too");
    run("settle --check $D/halves.bay");
    assert_int_equal(status, 1);
    assert_has(out, "/halves.bay\n");
    assert_has(out, "/rooms.bay\n");
    run("settle --write --only types $D/halves.bay");
    assert_int_equal(status, 0);
    read_back(&text, "halves.bay");
    assert_string_equal(buf_text(&text), halves);
    read_back(&text, "rooms.bay");
    assert_has(text, "up 48\" type nail-on-1g-18 {");
    run("settle --write $D/halves.bay");
    assert_has(err, "settled: 2 cables\n");
    run("settle --check $D/halves.bay");
    assert_int_equal(status, 0);
    assert_int_equal(out.n, 0);
    buf_free(&text);
}

static void settles_no_plan_with_errors(void **state)
{
    (void)state;
    struct buf text = {0};
    write_file("halves.bay", "plan \"Halves\" { edition nec-2023 }\ninclude \"rooms.bay\"\n");
    write_file("rooms.bay", rooms);
    run("settle --write $D/halves.bay");
    assert_int_equal(status, 1);
    assert_int_equal(out.n, 0);
    assert_has(err, "has errors and is not settled");
    read_back(&text, "rooms.bay");
    assert_string_equal(buf_text(&text), rooms);
    buf_free(&text);
}

static void settle_is_asked_in_words(void **state)
{
    (void)state;
    write_file("plan.bay", good);
    run("settle --only types,cabels $D/plan.bay");
    assert_int_equal(status, 2);
    assert_has(err, "did you mean 'cables'?");
    run("settle --write --check $D/plan.bay");
    assert_int_equal(status, 2);
    run("settle --write - <$D/plan.bay >$D/out");
    assert_int_equal(status, 2);
    run("settle");
    assert_int_equal(status, 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(help_and_version),
        cmocka_unit_test(slips_get_the_nearest_name),
        cmocka_unit_test(check_says_findings_and_a_summary),
        cmocka_unit_test(check_counts_several_plans_together),
        cmocka_unit_test(one_rule_alone_and_strictness),
        cmocka_unit_test(more_findings_than_are_told),
        cmocka_unit_test(reports_come_in_four_formats),
        cmocka_unit_test(a_shared_wall_has_its_studs_from_the_room_named_first),
        cmocka_unit_test(one_run_is_explained),
        cmocka_unit_test(load_is_calculated_step_by_step),
        cmocka_unit_test(a_faulty_plan_is_reported_as_far_as_it_goes),
        cmocka_unit_test(all_reports_go_to_a_folder),
        cmocka_unit_test(output_that_cannot_be_written_is_an_error),
        cmocka_unit_test(nothing_that_was_read_is_written_over),
        cmocka_unit_test(what_lies_beside_is_a_plain_file_of_its_folder),
        cmocka_unit_test(the_name_of_the_output_is_understood),
        cmocka_unit_test(drawings_are_dot_or_sheets),
        cmocka_unit_test(graphs_are_read_by_graphviz),
        cmocka_unit_test(output_is_the_same_each_time),
        cmocka_unit_test(fmt_changes_files_only_when_told),
        cmocka_unit_test(fmt_keeps_what_is_there),
        cmocka_unit_test(explain_tells_of_every_rule),
        cmocka_unit_test(lists_what_there_is_to_write),
        cmocka_unit_test(the_log_tells_what_is_next),
        cmocka_unit_test(no_byte_of_a_plan_reaches_the_terminal),
        cmocka_unit_test(nothing_hidden_goes_into_the_log),
        cmocka_unit_test(letters_of_all_scripts_are_texts),
        cmocka_unit_test(no_text_is_a_line_of_a_deck),
        cmocka_unit_test(no_text_is_a_part_of_a_graph),
        cmocka_unit_test(a_word_without_end_is_told_in_all_formats),
        cmocka_unit_test(examples_are_without_errors),
        cmocka_unit_test(no_field_is_a_formula),
        cmocka_unit_test(other_files_are_named),
        cmocka_unit_test(days_are_days),
        cmocka_unit_test(signals_leave_nothing_behind),
        cmocka_unit_test(new_files_are_as_the_umask_says),
        cmocka_unit_test(what_a_link_leads_to_is_made),
        cmocka_unit_test(an_include_tells_nothing_of_other_folders),
        cmocka_unit_test(reports_without_room_change_none),
        cmocka_unit_test(fmt_keeps_names_and_owner),
        cmocka_unit_test(names_on_a_terminal_are_masked),
        cmocka_unit_test(text_is_as_wide_as_its_page),
        cmocka_unit_test(text_is_as_wide_as_its_terminal),
        cmocka_unit_test(paper_has_pages),
        cmocka_unit_test(a_summary_tells_rules_and_places),
        cmocka_unit_test(settles_each_file),
        cmocka_unit_test(settles_no_plan_with_errors),
        cmocka_unit_test(settle_is_asked_in_words),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}

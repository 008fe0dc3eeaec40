/* A chain with words in parentheses is the runs that it stands for, written one by one. */
#include "compiled.h"
#include "generate.h"

#include "cmd/cmd.h"
#include "emit/reports/reports.h"

enum { SEEDS = 120, BOXES = 6 };

static const char *const words[] = {"",
                                    "via overhead",
                                    "via studs",
                                    "fished",
                                    "exposed",
                                    "spare 3'",
                                    "length 40'",
                                    "cable 12/3",
                                    "as feed",
                                    "existing",
                                    "line-side",
                                    "via under spare 1'",
                                    "length 30' cable 12/2"};

static const char head[] =
    "plan \"Hops\" { edition nec-2023 }\n"
    "level main { floor 0'; ceiling 8'; walls 2x4 at 16\"; joists 2x10 at 16\" running east;\n"
    "  floor-joists 2x10 at 16\" running east }\n"
    "room den \"Den\" { on main; kind workshop; corner 0', 0'; size 20' by 14'\n"
    "  boxes R1 to R6 south from 2' every 3' up 44\" { receptacle } }\n"
    "panel P { in den east at 4' up 5'; main 100 A; spaces 12 }\n"
    "circuit P.1 \"Bench receptacles\" { breaker 20 A dual-function\n";

/* The same circuit twice: as one chain, and run by run. What the chain says behind its end holds
 * for hops that do not say that themselves. */
static void write_chain(uint64_t seed, struct buf *chain, struct buf *each)
{
    uint64_t state = seed;
    const char *all = pick(&state, 3) ? "" : " notched 1/4\"";
    buf_printf(chain, "%srun P", head);
    buf_puts(each, head);
    for (unsigned i = 0; i < BOXES; i++) {
        const char *own = words[pick(&state, sizeof words / sizeof *words)];
        if (i)
            buf_printf(each, "run den.R%u -> R%u %s%s\n", i, i + 1, own, all);
        else
            buf_printf(each, "run P -> den.R1 %s%s\n", own, all);
        buf_printf(chain, " -> %sR%u", i ? "" : "den.", i + 1);
        if (*own)
            buf_printf(chain, " (%s)", own);
    }
    buf_printf(chain, "%s }\n", all);
    buf_puts(each, "}\n");
}

static int by_message(const void *a, const void *b)
{
    return strcmp((*(const struct finding *const *)a)->message,
                  (*(const struct finding *const *)b)->message);
}

/* Findings by their words, each once: they stand in other places of the two texts, and what one
 * clause of a chain says of several hops is said once. */
static void all_findings(const struct compilation *c, struct buf *out)
{
    enum { MOST = 200 };
    const struct finding *by[MOST];
    uint32_t n = c->diag.findings.n;
    assert_true(n <= MOST);
    for (uint32_t i = 0; i < n; i++)
        by[i] = &c->diag.findings.at[i];
    qsort(by, n, sizeof *by, by_message);
    for (uint32_t i = 0; i < n; i++)
        if (!i || by_message(&by[i - 1], &by[i]))
            buf_printf(out, "%s %s\n", by[i]->rule->name, by[i]->message);
}

static void all_reports(const char *text, struct buf *out)
{
    struct compilation c;
    struct results r;
    compile_text(&c, text);
    assert_null(finding_of(&c, "syntax", 0));
    assert_true(cmd_results(&c, &r));
    static const char *const names[] = {"runs", "bores", "makeup", "materials"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        report_write(report_named(names[i]), &r, REPORT_TEXT, out);
    all_findings(&c, out);
    compile_free(&c);
}

static void a_chain_is_its_runs(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= SEEDS; seed++) {
        struct buf chain = {0}, each = {0}, of_chain = {0}, of_each = {0};
        write_chain(seed, &chain, &each);
        all_reports(buf_text(&chain), &of_chain);
        all_reports(buf_text(&each), &of_each);
        assert_true(of_chain.n > 1000);
        if (strcmp(buf_text(&of_chain), buf_text(&of_each)) != 0)
            print_error("seed %u\n%s", (unsigned)seed, buf_text(&chain));
        assert_string_equal(buf_text(&of_chain), buf_text(&of_each));
        buf_free(&chain);
        buf_free(&each);
        buf_free(&of_chain);
        buf_free(&of_each);
    }
}

static void slips_are_said_once(void **state)
{
    (void)state;
    static const struct {
        const char *run, *part;
    } cases[] = {
        {"run P -> den.R1 (via) -> R2", "expected 'overhead', 'studs' or 'under'"},
        {"run P -> den.R1 (via under -> R2", "a parenthesis holds"},
        {"run P -> den.R1 () -> R2", "a parenthesis holds"},
        {"run P -> den.R1 via under) -> R2", "a parenthesis holds"},
        {"run P -> den.R1 (under) -> R2", "'under' has no meaning here"},
        {"run P (via under) -> den.R1 -> R2", "expected '->' and a box, not '(via under)'"},
        {"run P -> den.R1 (via under) (fished) -> R2", "'(fished)' has no meaning here"},
        {"run P -> den.R1 -> R2 length 3'", "'length' is for a run of one hop"},
        {"run P -> den.R1 -> R2 via (a b)", "not '(a b)'"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        struct buf text = {0};
        buf_printf(&text, "%s%s\nrun den.R2 -> R3 -> R4 -> R5 -> R6 }\n", head, cases[i].run);
        compile_fault(&c, buf_text(&text), "syntax", cases[i].part);
        compile_free(&c);
        buf_free(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_chain_is_its_runs),
        cmocka_unit_test(slips_are_said_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

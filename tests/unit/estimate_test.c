/* What a job costs: prices of the plan and of its list, times, markup and tax, all to the
 * hundredth. The figures below are reckoned by hand. */
#include "compiled.h"

#include "cmd/cmd.h"
#include "emit/money.h"
#include "emit/reports/reports.h"
#include "model/orders.h"

#include <sys/stat.h>

static const char shed[] = "plan \"Shed\" { edition nec-2023; currency USD }\n"
                           "room shed \"Shed\" { kind workshop; size 14' by 10'\n"
                           "  box R1 west at 7' up 48\" { receptacle }\n}\n"
                           "panel P \"P\" { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                           "circuit P.1 \"Bench\" { breaker 20 A; run P -> shed.R1 }\n";

/* The plan with more lines and a price list beside it; NULL: without one. */
static void compile_priced(struct compilation *c, const char *more, const char *list)
{
    char folder[] = "/tmp/studbay-prices-XXXXXX", plan[64], prices[64];
    assert_non_null(mkdtemp(folder));
    snprintf(plan, sizeof plan, "%s/shed.bay", folder);
    snprintf(prices, sizeof prices, "%s/prices.csv", folder);
    FILE *f = fopen(plan, "w");
    fprintf(f, "%s%s", shed, more);
    fclose(f);
    if (list) {
        f = fopen(prices, "w");
        fputs(list, f);
        fclose(f);
    }
    compile(c, plan, (struct compile_options){.library = plan_library()});
    unlink(plan);
    unlink(prices);
    rmdir(folder);
}

static char *estimate_of(struct compilation *c, enum report_format format)
{
    struct results r;
    struct buf out = {0};
    assert_true(cmd_results(c, &r));
    report_write(report_named("estimate"), &r, format, &out);
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

static void assert_told(const char *more, const char *list, enum report_format format,
                        const char *part)
{
    struct compilation c;
    compile_priced(&c, more, list);
    char *text = estimate_of(&c, format);
    if (!strstr(text, part))
        fprintf(stderr, "'%s' is not in:\n%s", part, text);
    assert_non_null(strstr(text, part));
    free(text);
    compile_free(&c);
}

static void sums_are_exact(void **state)
{
    (void)state;
    assert_int_equal(money_of(0.035, 247), 865); /* 8.645 is half a hundredth: up */
    assert_int_equal(money_of(1.15, 26), 2990);
    assert_int_equal(money_of(0.1, 3), 30);
    assert_int_equal(money_of_hours(52.33, 663), 34695); /* 6.63 h: 346.9479 */
    assert_int_equal(money_share(298051, 8.25), 24589);  /* 245.892075 */
    assert_int_equal(money_share(1, 50), 1);             /* half a hundredth: up */
    assert_int_equal(money_of(999999999, UINT64_MAX), INT64_MAX);
    assert_int_equal(money_add(INT64_MAX, 1), INT64_MAX);
}

static void what_is_not_said_is_told(void **state)
{
    (void)state;
    assert_told("", NULL, REPORT_TEXT, "The plan names no wage");
    assert_told("", NULL, REPORT_TEXT, "Invented: how long it takes to set, hang, bore");
    assert_told("", NULL, REPORT_TEXT, "Materials without a price yet");
    assert_told("", NULL, REPORT_JSON, "\"work\": null");
    assert_told("wage 40\nrate set 6 min\n", NULL, REPORT_JSON,
                "\"item\": \"set\", \"quantity\": 1, \"unit\": \"box\", \"each_min\": 6.0000, "
                "\"minutes\": 6.00, \"hours\": 0.10, \"invented\": false, \"unit_price\": 40.0000, "
                "\"price\": 4.00");
    assert_told("rate hang 0.5 h\n", NULL, REPORT_JSON,
                "\"each_min\": 30.0000, \"minutes\": 30.00");
}

/* 100 on each of two allowances; 10 % on materials alone are nothing, 5 % on all are 10, and the
 * tax of 8 % is on both with the markup. */
static void shares_stand_on_what_they_say(void **state)
{
    (void)state;
    static const char more[] = "allowance \"a\" 150.00\nrental \"b\" 25.00 days 2\nmarkup 5 %\n"
                               "markup 10 % on materials\ntax 8 % on allowances\n";
    assert_told(more, NULL, REPORT_JSON,
                "\"item\": \"all\", \"quantity\": null, \"unit\": null, "
                "\"of\": 200.00, \"percent\": 5.0000, \"unit_price\": "
                "null, \"price\": 10.00");
    assert_told(more, NULL, REPORT_JSON,
                "\"of\": 157.50, \"percent\": 8.0000, \"unit_price\": "
                "null, \"price\": 12.60");
    assert_told(more, NULL, REPORT_JSON,
                "\"rentals\": 50.00, \"allowances\": 150.00, \"markup\": "
                "10.00, \"tax\": 12.60, \"total\": 222.60");
}

static void lists_are_read(void **state)
{
    (void)state;
    static const char *const lists[] = {
        "part,price\nbreaker 20 A,9.80\n",
        "\xef\xbb\xbfpart,price\r\nbreaker 20 A,9.80\r\n",
        "shop, Price , PART\nours, 9.8 ,  breaker  20 A \n\n",
        "part,price\n\"breaker 20 A\",\"9.80\"",
        "part,price\nbreaker 20 A,9.80\nbreaker 20 A,9.800\nlathe,\n",
    };
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        struct compilation c;
        compile_priced(&c, "", lists[i]);
        assert_int_equal(findings_of(&c, "price-unreadable"), 0);
        assert_true(model_price(c.model, "breaker 20 A") == 9.8);
        compile_free(&c);
    }
    struct compilation c;
    compile_priced(&c, "price breaker 20 A 11.00\n", lists[0]);
    assert_true(model_price(c.model, "breaker 20 A") == 11);
    compile_free(&c);
    compile_priced(&c, "", "part,price\n\"ring 1/2\"\" 1-gang\",3.20\n");
    assert_true(model_price(c.model, "ring 1/2\" 1-gang") == 3.2);
    compile_free(&c);
}

static void what_cannot_be_read_is_told(void **state)
{
    (void)state;
    static const struct {
        const char *list, *message, *mend;
    } slips[] = {
        {"", NULL, NULL},
        {"item;cost\n", "columns 'part' and 'price'", "part,price"},
        {"part,cost\n", "no column 'price'", "part,price"},
        {"part,price\nbreaker 20 A,$9.80\n", "'$9.80' is no price", "alone: 9.80"},
        {"part,price\nbreaker 20 A,\"1,204.50\"\n", "is no price", "alone: 1204.50"},
        {"part,price\nbreaker 20 A,\"9,80\"\n", "is no price", "alone: 9.80"},
        {"part,price\nbreaker 20 A,-3\n", "'-3' is no price", "a number such as"},
        {"part,price\nbreaker 20 A,nan\n", "'nan' is no price", "a number such as"},
        {"part,price\nbreaker 20 A,1e9\n", "'1e9' is no price", "a number such as"},
        {"part,price\nbreaker 20 A,9.80 USD\n", "is no price", "alone: 9.80"},
        {"part,price\nbreaker 20 A,1234567890\n", "is no price", "at most nine"},
        {"part,price\nbreaker 20 A\n", "fewer columns", "comma between"},
        {"part,price\n,9.80\n", "names no part", "as a price of the plan"},
        {"part,price\n\"breaker 20 A,9.80\n", "a quote is open", "close it"},
        {"part,price\nbreaker 20 A,9\nbreaker 20 A,8\n", "another price", "leave out"},
        {"part,price\nbreaker 20 A,\x1b[31m\x80\n", "is no price", "a number such as"},
    };
    for (size_t i = 0; i < sizeof slips / sizeof *slips; i++) {
        struct compilation c;
        compile_priced(&c, "", slips[i].list);
        const struct finding *f = finding_of(&c, "price-unreadable", 0);
        assert_int_equal(findings_of(&c, "price-unreadable"), slips[i].message != NULL);
        if (f && !(strstr(f->message, slips[i].message) && strstr(f->mend, slips[i].mend)))
            fprintf(stderr, "%s: %s; %s\n", slips[i].list, f->message, f->mend);
        assert_true(!f || (strstr(f->message, slips[i].message) && strstr(f->mend, slips[i].mend)));
        assert_true(!f || (!strchr(f->message, 0x1b) && !strchr(f->mend, 0x1b)));
        compile_free(&c);
    }
}

static void what_is_said_twice_is_told(void **state)
{
    (void)state;
    static const char *const twice[] = {"wage 40\nwage 41\n", "rate bore 1 min\nrate bore 2 min\n",
                                        "markup 3 %\nmarkup 4 %\n",
                                        "tax 3 % on work\ntax 4 % on work\n",
                                        "price cover 3\nprice cover 4\n"},
                             *const once[] = {"wage 40\nwage 40\n", "markup 3 %\ntax 3 %\n",
                                              "markup 3 % on work\nmarkup 4 % on materials\n",
                                              "price cover 3\nprice cover 3\n",
                                              "rental \"lift\" 3\nrental \"lift\" 4\n"};
    struct compilation c;
    for (size_t i = 0; i < sizeof twice / sizeof *twice; i++) {
        compile_priced(&c, twice[i], NULL);
        assert_int_equal(findings_of(&c, "duplicate-clause"), 1);
        compile_free(&c);
        compile_priced(&c, once[i], NULL);
        assert_int_equal(c.diag.counts[ERROR], 0);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sums_are_exact),
        cmocka_unit_test(what_is_not_said_is_told),
        cmocka_unit_test(shares_stand_on_what_they_say),
        cmocka_unit_test(lists_are_read),
        cmocka_unit_test(what_cannot_be_read_is_told),
        cmocka_unit_test(what_is_said_twice_is_told),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

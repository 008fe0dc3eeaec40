/* The lexer against language.md, section 2, and settled.md: token forms, newlines, bytes, texts. */
#include "base/buf.h"
#include "diag/render.h"
#include "reading.h"
#include "resolve/node.h"

/* The kinds of the tokens of a text, parted by blanks, without the last T_EOF. */
static void kinds(const char *text, size_t len, char *out)
{
    static const char *const names[] = {
        "EOF",
#define TOKEN(id, words) #id,
#include "tokens.def"
#undef TOKEN
    };
    struct reading r;
    read_bytes(&r, text, len);
    *out = 0;
    for (uint32_t i = 0; i + 1 < r.source.token_count; i++)
        sprintf(out + strlen(out), "%s%s", i ? " " : "", names[r.source.tokens[i].kind]);
    done(&r);
}

static void assert_kinds(const char *text, const char *wanted)
{
    char got[4096];
    kinds(text, strlen(text), got);
    if (strcmp(got, wanted))
        fprintf(stderr, "%s\n", text);
    assert_string_equal(got, wanted);
}

static void words_and_names(void **state)
{
    (void)state;
    assert_kinds("plan low-voltage P R1 a_b x2-y", "WORD WORD WORD WORD WORD WORD");
    assert_kinds("nec-2023 wall-luminaire cat6 rg6", "WORD WORD WORD WORD");
    assert_kinds("a-", "WORD"); /* a hyphen stands within a name only; the lone one is reported */
    assert_kinds("a--b", "WORD WORD");
    assert_kinds("run studio.R1", "WORD WORD DOT WORD");
    assert_kinds("A->B", "WORD ARROW WORD");
    assert_kinds("circuit P.1", "WORD WORD DOT NUMBER");
}

static void cables_sizes_lumber(void **state)
{
    (void)state;
    assert_kinds("12/2 14/3 14/2/2 12/2-uf 16/2-speaker 18/2-bell",
                 "SLASHED SLASHED SLASHED SLASHED SLASHED SLASHED");
    assert_kinds("1/0 4/0", "SLASHED SLASHED");
    assert_kinds("2x4 2x10", "LUMBER LUMBER");
    assert_kinds("12-2", "NUMBER NUMBER");
}

static void lengths(void **state)
{
    (void)state;
    static const char *const forms[] = {"4'",
                                        "4'-6\"",
                                        "4' 6 1/2\"",
                                        "4'-6-1/2\"",
                                        "16\"",
                                        "3/4\"",
                                        "16-1/2\"",
                                        "2.5'",
                                        "-8'-10\"",
                                        "4'6\"",
                                        "6 1/2\"",
                                        "0'",
                                        "4\xe2\x80\xb2",
                                        "4\xe2\x80\xb2-6\xe2\x80\xb3",
                                        "4\xe2\x80\x99 6\xe2\x80\x9d"};
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
        assert_kinds(forms[i], "LENGTH");
    assert_kinds("4ft 16in 2.4m 450mm", "NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD");
    assert_kinds("18' by 14'", "LENGTH WORD LENGTH");
    assert_kinds("4', 7'", "LENGTH COMMA LENGTH");
    assert_kinds("4'\n6\"", "LENGTH LENGTH"); /* a length stays on its line */
}

/* "A quote right after a digit is always an inch mark, so a text has a blank before it." */
static void inch_mark_or_text(void **state)
{
    (void)state;
    assert_kinds("at 16\" \"a text\"", "WORD LENGTH TEXT");
    assert_kinds("wide 3' \"built-in\"", "WORD LENGTH TEXT");
}

static void quantities(void **state)
{
    (void)state;
    assert_kinds("20 A 20A 120/240 V", "NUMBER WORD NUMBER WORD SLASHED WORD");
    assert_kinds("3 % 3% 0.4 ohm/kft 3 VA/ft2", "NUMBER UNIT NUMBER UNIT NUMBER UNIT NUMBER UNIT");
    assert_kinds(
        "20 in3 7 cm3 320 ft2 30 m2 1 in2 4 mm2 250 kcmil",
        "NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD");
    assert_kinds("35 lb 16 kg 60 C 140 F 2 ohm 1.5 kW 9 VA 2 kVA",
                 "NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD NUMBER WORD NUMBER "
                 "WORD NUMBER WORD");
}

static void signs(void **state)
{
    (void)state;
    assert_kinds("{ } ; , -> + : . ( )",
                 "OPEN CLOSE SEMI COMMA ARROW PLUS COLON DOT LPAREN RPAREN");
    assert_kinds("# a comment { \" }\nplan", "WORD");
    assert_kinds("plan # a comment at the end", "WORD");
}

static void texts(void **state)
{
    (void)state;
    assert_kinds("\"a text\" \"\" \"with \\\" and \\\\ and \\n\"", "TEXT TEXT TEXT");
    assert_kinds("\"# no comment\"", "TEXT");
    assert_kinds("\"\xe2\x80\x9cquoted\xe2\x80\x9d\"", "TEXT");
}

/* --- newlines: settled.md 1, 2 and 3 ------------------------------------------------------ */

/* The statements of a text as the parser sees them: words of a line joined by '_', blocks in
 * braces. */
static void shape(const struct reading *r, const struct stmt *s, char *out)
{
    for (; s; s = s->next) {
        for (uint32_t i = 0; i < s->item_count; i++) {
            const struct source_token *t = &r->source.tokens[s->items[i].first];
            sprintf(out + strlen(out), "%s%.*s",
                    i                                     ? "_"
                    : *out && out[strlen(out) - 1] != '{' ? " "
                                                          : "",
                    (int)t->len, r->source.bytes + t->off);
        }
        if (s->has_block) {
            strcat(out, "{");
            shape(r, s->child, out);
            strcat(out, "}");
        }
    }
}

static void assert_shape(const char *text, const char *wanted)
{
    struct reading r;
    char got[4096] = "";
    read_plan(&r, text);
    shape(&r, r.tree.first, got);
    assert_string_equal(got, wanted);
    done(&r);
}

static void line_ends(void **state)
{
    (void)state;
    assert_shape("a b\nc d", "a_b c_d");
    assert_shape("a b\n\n\n# nothing\nc", "a_b c");
    assert_shape("a {\n b\n c\n}\nd", "a{b c} d");
    assert_shape("a 1,\n 2", "a_1_,_2");
    assert_shape("a ->\n b", "a_->_b");
    assert_shape("a +\n b", "a_+_b");
    assert_shape("a :\n b", "a_:_b");
    assert_shape("a 1\n , 2", "a_1_,_2");
    assert_shape("a\n -> b", "a_->_b");
    assert_shape("a\n{ b }", "a{b}");
    assert_shape("a,  # said why\n\n  # and more\n b", "a_,_b");
    assert_shape("a\n# between\n\n-> b", "a_->_b");
    assert_shape("a\n+ b", "a +_b"); /* '+' joins at the end of a line only */
}

static void semicolons(void **state)
{
    (void)state;
    assert_shape("a; b; c", "a b c");
    assert_shape(";;a;;\n;b;", "a b");
    assert_shape("a {; b;; c; };d", "a{b c} d");
    assert_shape("a { b } c", "a{b} c");
    assert_shape("a { }", "a{}");
    assert_shape("", "");
    assert_shape("a { b", "a{b}");
}

static void bytes_of_lines(void **state)
{
    (void)state;
    assert_shape("a b\r\nc\r\n", "a_b c");
    assert_shape("\xef\xbb\xbf"
                 "a\nb",
                 "a b");
    assert_shape("a\tb\n\tc", "a_b c");
    struct reading r;
    read_plan(&r, "\xef\xbb\xbfplan \"T\" {\r\n\tlanguage 1\r\n\tedition nec-2023\r\n}\r\n");
    assert_clean(&r);
    done(&r);
}

/* --- what does not belong ----------------------------------------------------------------- */

static void assert_fault(const char *text, size_t len, const char *part)
{
    struct reading r;
    read_bytes(&r, text, len);
    assert_only(&r, "syntax", part);
    done(&r);
}

static void bad_bytes(void **state)
{
    (void)state;
    assert_fault("leg a\0b", 7, "byte 0");
    assert_fault("leg a \x01", 7, "byte 1");
    assert_fault("leg a \x7f", 7, "byte 127");
    assert_fault("leg a \r\rleg b", 13, "carriage return alone"); /* CR alone is no newline */
    assert_fault("leg a \xc3\xa9", 8, "no meaning outside a text");
    assert_fault("leg \xe2\x80\x9cx\xe2\x80\x9d", 11, "typographic quotes");
    assert_fault("leg a // why", 12, "a comment begins with '#'");
    assert_fault("leg a @", 7, "'@' has no meaning");
    assert_fault("leg a \"x\x02y\"", 11, "byte 2");
    assert_fault("leg a \"x\\ty\"", 12, "a backslash in a text");
    assert_fault("leg a \"x\0y\"", 11, "byte 0");
    assert_fault("leg a # x\0y", 12, "in a comment");
    assert_fault("leg a # x\xff", 10, "no UTF-8");
}

static void open_texts(void **state)
{
    (void)state;
    struct reading r;
    read_plan(&r, "leg a \"no end\nleg b\n");
    assert_only(&r, "syntax", "no closing quote");
    assert_non_null(r.file->child);
    assert_string_equal(r.file->child->text, "no end");
    assert_string_equal(node_name(r.file->child->next, 0), "b");
    done(&r);

    /* A brace that ends the line is the block's. */
    read_plan(&r, "plan \"T {\n  language 1\n}\nleg b\n");
    assert_only(&r, "syntax", "no closing quote");
    assert_int_equal(r.file->child->form, F_PLAN);
    assert_int_equal(r.file->child->child->form, F_LANGUAGE);
    assert_string_equal(r.file->child->text, "T");
    done(&r);

    read_plan(&r, "leg a \"ends in a backslash\\");
    assert_only(&r, "syntax", "no closing quote");
    done(&r);
}

/* architecture.md: every byte is in one token or one gap; gaps hold blanks, newlines and comments.
 */
static void nothing_is_lost(void **state)
{
    (void)state;
    const char *text = "\xef\xbb\xbf"
                       "plan \"T\" { # why\r\n\tlanguage 1;edition nec-2023\n}\n# end";
    struct reading r;
    read_plan(&r, text);
    uint32_t at = 3;
    for (uint32_t i = 0; i < r.source.token_count; i++) {
        const struct source_token *t = &r.source.tokens[i];
        bool comment = false;
        assert_true(t->off >= at);
        for (; at < t->off; at++) {
            comment = (comment || text[at] == '#') && text[at] != '\n';
            assert_true(comment || strchr(" \t\r\n", text[at]));
        }
        at += t->len;
    }
    assert_int_equal(at, strlen(text));
    done(&r);
}

static void long_words(void **state)
{
    (void)state;
    char *text = malloc(6000);
    struct reading r;
    memset(text, 'a', 6000);
    memcpy(text, "leg ", 4);
    read_bytes(&r, text, 6000);
    assert_only(&r, "limit", "more than the 4096");
    done(&r);
    free(text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_and_names), cmocka_unit_test(cables_sizes_lumber),
        cmocka_unit_test(lengths),         cmocka_unit_test(inch_mark_or_text),
        cmocka_unit_test(quantities),      cmocka_unit_test(signs),
        cmocka_unit_test(texts),           cmocka_unit_test(line_ends),
        cmocka_unit_test(semicolons),      cmocka_unit_test(bytes_of_lines),
        cmocka_unit_test(bad_bytes),       cmocka_unit_test(open_texts),
        cmocka_unit_test(nothing_is_lost), cmocka_unit_test(long_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

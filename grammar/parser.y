/* Tokens to a tree of statements. The grammar knows the shape only: a statement is a line of items with an optional block. What a line may say stands in
 * statements.def and is matched afterwards; where lines end and braces are missing, layout.c has decided before. Values live in an arena: no destructors. */
%require "3.8"
%define api.pure full
%define api.prefix {bay_}
%define api.token.prefix {Y_}
%define api.token.raw
%define parse.error custom
%define parse.lac full
%expect 0
%locations
%define api.location.type {struct range}
%param { struct parser *pp }

%code requires {
#include "syntax/parse.h"
}

%code {
#include <stddef.h>

#define YYLLOC_DEFAULT(Current, Rhs, N) \
    ((Current) = (N) ? (struct range){YYRHSLOC(Rhs, 1).first, YYRHSLOC(Rhs, N).last} : (struct range){YYRHSLOC(Rhs, 0).last, YYRHSLOC(Rhs, 0).last})
static int bay_lex(BAY_STYPE *value, struct range *where, struct parser *pp);
static void bay_error(const struct range *where, struct parser *pp, const char *message);
}

/* Eight bytes, each member as wide as the union: what is copied at every step is then stored and loaded in one piece. A list is its last statement. */
%union {
    struct stmt *stmt;
    uint64_t kind;
}

%token EOF 0 "the end of the file"
%token END WORD NUMBER OPEN CLOSE DOT LPAREN RPAREN
%token SIGN "any other token: it stands by itself in a line"
%token <stmt> LINE "a line of well-formed items, which needs no grammar"

%nterm tops
%nterm <stmt> stmts block stmt last line head
%nterm <kind> item
%nterm group part

%%

file:   tops last                   { parse_top(pp, $last, true); }
        ;
tops:   %empty
      | tops stmt                   { parse_top(pp, $stmt, yychar == Y_BAY_EMPTY); }
      | tops END
        ;
stmts:  %empty                      { $$ = NULL; }
      | stmts[all] stmt             { $$ = parse_add($all, $stmt); }
      | stmts[all] END              { $$ = $all; }
        ;
stmt:   line END
      | line block                  { $$ = parse_block($line, $block, @block); }
        ;
last:   %empty                      { $$ = NULL; }
      | line
        ;
line:   head                        { $$ = parse_line(pp, $head); }
      | LINE
        ;
block:  OPEN stmts last CLOSE       { $$ = parse_add($stmts, $last); }
        ;
head:   item                        { $$ = parse_head(pp, $item, @item); }
      | head item                   { $$ = parse_more(pp, $1, $item, @item); }
        ;
item:   ref                         { $$ = ITEM_REF; }
      | NUMBER                      { $$ = ITEM_TOKEN; }
      | SIGN                        { $$ = ITEM_TOKEN; }
      | LPAREN WORD RPAREN          { $$ = ITEM_GIVEN; }
      | LPAREN WORD group RPAREN    { $$ = ITEM_GROUP; }
      | error                       { $$ = ITEM_BROKEN; }
        ;
group:  part
      | group part
        ;
part:   WORD | NUMBER | SIGN | DOT | LPAREN WORD RPAREN
        ;
ref:    WORD
      | ref DOT WORD
      | ref DOT NUMBER
        ;
%%

static int bay_lex(BAY_STYPE *value, struct range *where, struct parser *pp)
{
    static const uint8_t tokens[TOKEN_KINDS] = {
        [T_EOF] = Y_EOF, [T_END] = Y_END, [T_SEMI] = Y_END, [T_WORD] = Y_WORD, [T_NUMBER] = Y_NUMBER, [T_OPEN] = Y_OPEN, [T_CLOSE] = Y_CLOSE, [T_DOT] = Y_DOT,
        [T_LPAREN] = Y_LPAREN, [T_RPAREN] = Y_RPAREN, [T_LENGTH] = Y_SIGN, [T_SLASHED] = Y_SIGN, [T_LUMBER] = Y_SIGN, [T_UNIT] = Y_SIGN, [T_TEXT] = Y_SIGN,
        [T_COMMA] = Y_SIGN, [T_ARROW] = Y_SIGN, [T_PLUS] = Y_SIGN, [T_COLON] = Y_SIGN,
    };
    if ((value->stmt = parse_whole_line(pp, where)))
        return Y_LINE;
    return tokens[parse_next(pp, where)];
}

static void bay_error(const struct range *where, struct parser *pp, const char *message)
{
    parse_fault(pp, *where, message);
}

/* The grammar refuses little: a dot or a parenthesis out of place, a brace where a statement should begin. What it would take tells which. */
static int yyreport_syntax_error(const yypcontext_t *context, struct parser *pp)
{
    enum { MOST = YYNTOKENS };
    yysymbol_kind_t expected[MOST];
    int n = yypcontext_expected_tokens(context, expected, MOST);
    bool name = n >= 1 && expected[0] == YYSYMBOL_WORD, closing = false;
    for (int i = 0; i < n; i++)
        closing |= expected[i] == YYSYMBOL_RPAREN;
    parse_unexpected(pp, *yypcontext_location(context), closing || (n == 1 && name) ? WANTS_GIVEN : n == 2 && name ? WANTS_NAME : WANTS_STATEMENT);
    return 0;
}

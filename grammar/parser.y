/* Tokens to a tree of statements. The grammar knows the shape only: a statement is a line of items with an optional block. What a line may say stands in
 * statements.def and is matched afterwards; where lines end and braces are missing, layout.c has decided before. Values live in an arena: no destructors. */
%require "3.8"
%define api.pure full
%define api.prefix {bay_}
%define api.token.prefix {Y_}
%define api.token.raw
%define parse.error custom
%define parse.lac full
%define parse.trace
%expect 0
%locations
%define api.location.type {struct range}
%param { struct parser *pp }

%code requires {
#include "syntax/parse.h"
}

%code {
#define YYLLOC_DEFAULT(Current, Rhs, N) \
    ((Current) = (N) ? (struct range){YYRHSLOC(Rhs, 1).first, YYRHSLOC(Rhs, N).last} : (struct range){YYRHSLOC(Rhs, 0).last, YYRHSLOC(Rhs, 0).last})
static int bay_lex(BAY_STYPE *value, struct range *where, struct parser *pp);
static void bay_error(const struct range *where, struct parser *pp, const char *message);
}

%union {
    struct stmt *stmt;
    struct stmt_list list;
    struct item item;
}

%token EOF 0 "the end of the file"
%token END WORD NUMBER LENGTH SLASHED LUMBER UNIT TEXT OPEN CLOSE COMMA ARROW PLUS COLON DOT LPAREN RPAREN

%nterm <stmt> stmt last head
%nterm <list> stmts block
%nterm <item> item

%%

file:   stmts last                  { parse_done(pp, parse_add($stmts, $last)); }
        ;
stmts:  %empty                      { $$ = (struct stmt_list){0}; }
      | stmts[all] stmt             { $$ = parse_add($all, $stmt); }
      | stmts[all] END              { $$ = $all; }
        ;
stmt:   head END
      | head block                  { $$ = parse_block($head, $block, @block); }
        ;
last:   %empty                      { $$ = NULL; }
      | head
        ;
block:  OPEN stmts last CLOSE       { $$ = parse_add($stmts, $last); }
        ;
head:   item                        { $$ = parse_head(pp, $item); }
      | head item                   { $$ = parse_more(pp, $1, $item); }
        ;
item:   ref                         { $$ = (struct item){@$.first, @$.last, ITEM_REF}; }
      | sign                        { $$ = (struct item){@$.first, @$.last, ITEM_TOKEN}; }
      | LPAREN WORD RPAREN          { $$ = (struct item){@$.first, @$.last, ITEM_GIVEN}; }
      | error                       { $$ = (struct item){@$.first, @$.last, ITEM_BROKEN}; }
        ;
ref:    WORD
      | ref DOT WORD
      | ref DOT NUMBER
        ;
sign:   NUMBER | LENGTH | SLASHED | LUMBER | UNIT | TEXT | COMMA | ARROW | PLUS | COLON
        ;
%%

static int bay_lex(BAY_STYPE *value, struct range *where, struct parser *pp)
{
    (void)value;
    switch (parse_next(pp, where)) {
    case T_EOF: return Y_EOF;
#define TOKEN(id, words) case T_##id: return Y_##id;
#define Y_SEMI Y_END
#include "tokens.def"
#undef TOKEN
    default: return Y_BAY_UNDEF;
    }
}

static void bay_error(const struct range *where, struct parser *pp, const char *message)
{
    parse_fault(pp, *where, message);
}

/* The grammar refuses little: a dot or a parenthesis out of place, a brace where a statement should begin. What it would take tells which. */
static int yyreport_syntax_error(const yypcontext_t *context, struct parser *pp)
{
    yysymbol_kind_t expected[2];
    int n = yypcontext_expected_tokens(context, expected, 2);
    bool name = n >= 1 && expected[0] == YYSYMBOL_WORD, closing = n == 1 && expected[0] == YYSYMBOL_RPAREN;
    parse_unexpected(pp, *yypcontext_location(context), closing || (n == 1 && name) ? WANTS_GIVEN : n == 2 && name ? WANTS_NAME : WANTS_STATEMENT);
    return 0;
}

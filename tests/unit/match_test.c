/* Statements against statements.def: each form from an example line, options in any order, slips
 * with their hints. */
#include "base/length.h"
#include "diag/render.h"
#include "reading.h"
#include "resolve/node.h"
#include "resolve/value.h"

/* --- every form --------------------------------------------------------------------------- */

/* Each line of the table of statements at least once; the forms follow language.md, sections 4
 * to 7. */
static const char all_forms[] =
    "plan \"Job\" {\n"
    "  language 1\n  edition nec-2023\n  edition irc-2024\n  supply 120/240 V\n  site \"S\"\n  "
    "owner \"O\"\n  permit \"P\"\n  by \"B\"\n  date \"D\"\n"
    "  note \"one\"\n  note \"two\"\n  book \"https://e.org/b.html\"\n  slack 6\"\n  stock-step "
    "6\"\n  area 320 ft2\n  calculate "
    "addition\n  existing 40 A measured\n  existing 5000 VA \"range\"\n"
    "  service 200 A\n  currency USD\n  waive default-kind because \"known\"\n"
    "}\n"
    "include \"other.bay\"\n"
    "building barn \"Barn\" { rooms den; electrode; disconnect den.R3 }\n"
    "level loft { floor 9'; ceiling 8'; walls 2x4 at 16\"; joists 2x10 at 16\" running east; "
    "floor-joists truss-12 at 19.2\" running north; bore 24\"; below-grade; ambient 40 C; slab }\n"
    "room den : studio \"Den\" {\n"
    "  on loft\n  kind living office\n  corner 0', 0'\n  outline from 0', 0' { a north 4'; b east "
    "3'; c south 4' west 1'; d west 2' }\n  ceiling 7'\n"
    "  opposite-hand\n  turn left\n  without R3\n  walls 2x6 at 24\"\n  joists 2x8 at 16\"\n"
    "  door south at 1' wide 3' hinge left swings in to hall sill 0' header 6\" deep 4\" \"front "
    "door\"\n  "
    "door north at 0' wide 6' sliding fixed right to outside\n"
    "  beam \"steel\" from 0', 4' to 9', 4' size 4\" by 8\"; duct from 1', 1' to 1', 9' size 12\" "
    "by "
    "8\" up 6'; pipe from 2', 1' to 2', 9' size 4\" by 4\"; soffit from 3', 1' to 3', 9' size 1' "
    "by "
    "1'\n"
    "  drop-ceiling 7'; cabinet north at 0' wide 3' from 54\" to 84\" \"cups\"; closed north "
    "ceiling\n  box OLD west at 4' { existing; remove; receptacle }\n"
    "  wall north east concrete furred 2x4 at 16\" gap 1\"; scuttle at 2', 2' size 2' by 2'\n  "
    "window east at 4' wide 5' sill 2' { }\n  opening west at 2' wide 4' to hall\n  railing "
    "north at 0' wide 3'\n  fixed north at 9' wide 3' \"wardrobe\"\n"
    "  counter north at 0' wide 5' deep 25\"\n  sink north at 2' wide 2'\n  basin north at 2' wide "
    "2'\n  tub north at 2' wide 5'\n  shower north at 2' wide 3'\n"
    "  range north at 2' wide 30\"\n  wet-wall north\n  wet-wall east at 1' wide 2'\n  peninsula "
    "north at 2' wide 3' out 5'\n  island at 4', 4' size 3' by 5'\n"
    "  chase at 1', 1' size 1' by 1'\n  stairs 14 risers from hall to den\n  area nook kind dining "
    "from 1', 1' size 4' by 4'\n  unfinished\n  bearing a b\n"
    "  outside c\n  first a \"the plumber\"\n  insulated a b c\n  finish 1/2\"\n  bays 2\n  "
    "attached\n  detached; covered "
    "no\n  waive "
    "outlet-spacing because \"R\" by \"inspector\" on \"2024-05-01\"\n"
    "  box R1 a at 2' up 16\" type nail-on-1g-20 gangs 1 cover blank { existing; holds 4 of 14; "
    "grounds 2; terminal-blocks 1; pulled-through; capped leg later; receptacle }\n"
    "  box R2 \"two\" floor at 3', 4' { receptacle half leg lamp \"lower\" { half leg disposal 940 "
    "VA; half 1200 VA } }\n"
    "  boxes C1 to C6 overhead 3 by 2 from 3', 4' every 6', 5' { luminaire }\n"
    "  box L1 overhead at 4', 7' { recessed leg cans 12 W }\n  box L2 overhead 2' from a, 3' from "
    "b { luminaire from leg cans circuit P.2 pole a }\n  box J1\n"
    "  box H1 a at 9' { heat-pump mca 18 A max-breaker 30 A continuous fuel-fired line-side by "
    "feed2 backup of den.F1 existing; receptacle-gfci onward load-side }\n"
    "}\n"
    "room studio \"Studio\" { size 18' by 14' }\n"
    "panel M \"House\" { existing; in shop east at 2' up 5'; main 200 A; spaces 40; taken 1 to 22; "
    "taken 30; half-size; waive working-space because \"old\" }\n"
    "panel P \"Loft\" { in shop overhead at 2', 5'; bus 100 A; feeder from M cable 6/3 breaker 60 "
    "A tied space 3 length 40' via under }\n"
    "circuit P.1 \"Lights\" {\n"
    "  from P\n  breaker 20 A two-pole afci gfci new\n  multiwire\n  half upper\n  space 3\n  "
    "cable "
    "12/2\n  drop 3 "
    "%\n  load 180 W \"stairs\"\n  upstream 25' of 14\n  existing\n  without x\n"
    "  run P -> den.R1 (length 30' fished) -> R2 via studs notched 3/4\" fished line-side "
    "existing\n  run den.R1 -> L1 "
    "cable 14/3 + 14/2 length 30' spare 2' as feed2 exposed spaced running-board guard-strips "
    "overhead underground 18\" under drive for "
    "circuits "
    "1, 2 "
    "load-side \"short\"\n"
    "}\n"
    "circuit 2 \"Spare\" { breaker 15 A dual-function; serves den.R1 R2 studio.L1 }\n"
    "leg cans \"Cans\" limit 300 W\n"
    "leg lamp { limit 60 W }\n"
    "low-voltage net \"Network\" { cable cat6; run den.R1 -> den.L1 }\n"
    "coil 14/2 250' price 96.00 count 2 as roll\ncoil 12/2 63' on-hand \"from the barn\"\n"
    "price breaker 20 A afci 58.00\n"
    "rate bore 1.5 min\nwage 52.00\nrental \"right-angle drill\" 45.00 days 2\n"
    "allowance \"luminaires\" 600.00\nmarkup 12 % on materials\ntax 8.25 %\n"
    "waive voltage-drop in circuit P.1 because \"kept\" by \"authority\" on \"May\"\n"
    "waive loop-in-circuit in run den.R1 -> den.L1 because \"kept\"\n"
    "amend nec-2023 because \"town\" { table drop { most 3 % }; without old-list; list places { "
    "bath; without garage } }\n"
    "trade \"can\" means recessed luminaire\n"
    "unit u1 : one-bed \"Flat\" { on loft; corner 0', 6'; opposite-hand; turn around; given lamp 9 "
    "W; without living.R2 }\n"
    "pattern one-bed \"One\" { given lamp 12 W; room living { size 9' by 9'; box L1 overhead at "
    "1', 1' { recessed (lamp) } } }\n"
    "device paddle : fan \"Fan\" {\n"
    "  sort luminaire\n  yokes 0\n  outlets 1\n  gangs 1\n  height 48\"\n  takes 14 to 10\n  cable "
    "cat6\n  load "
    "60 W\n  rating 15 "
    "A\n  volts 120 V\n  continuous\n  terminal hot takes line leg\n"
    "  position up joins hot load and a b\n  position off\n  part fan 2 { terminal hot takes leg; "
    "load 70 W; light; volts 120 V; continuous; tab hot to line }\n  wants-neutral\n  place first\n"
    "  multi companion\n  integral\n  protects gfci\n  fixed\n  demand fixed\n  motor\n  fan-box\n "
    " tamper-resistant\n  co-alr\n  al-cu\n  housing 6\"\n  clear-of-insulation\n  fittings 1\n  "
    "fixture-wires 2 of "
    "18\n  mount "
    "ceiling\n}\n"
    "cable 12/3 : nm { size 12; conductors black red white; ground bare; ground-size 12; "
    "neutral-size 12; diameter "
    "0.43\"; suits dry damp; metal copper; rated 90 C from 60 C; terminals 75 C; stock 50' 250'; "
    "family nm }\n"
    "cable thhn-12 : thhn { single }\n"
    "raceway emt-3/4 : emt \"EMT\" { inside 0.824\"; across 0.922\"; family emt; metal; support "
    "10', "
    "3'; stick 10'; grounds 20 A, 6'; may-fish; suits dry }\n"
    "circuit 3 \"Bench\" { in emt-3/4; run den.R1 -> R2 for circuits 1, 2 in emt-1/2 bends 3 "
    "ground "
    "bare }\n"
    "circuit 5 \"Gone\" { run den.R1 -> den.OLD existing remove abandoned }\n"
    "coil thhn-12 500' color white\n"
    "box-type nail-on-1g-20 : plain \"Single\" { gangs 1; volume 20 in3; depth 3\"; conduit-body "
    "1.1 in2; ring 1/2\" "
    "adds 3 in3; mount wall; clamp none; metal; divided; wet no; old-work; fan 35 lb; holds 50 lb; "
    "integral; fastened nails; wide 4\"; fittings 0 }\n"
    "kind bath : wet { wet; counts-area; habitable; sleeping no; unfinished no }\n"
    "edition nec-2023 : nec-2020 \"NFPA 70\" {\n"
    "  table ampacity source \"310.16\" recalled {\n    columns size, at-60\n    14, 15 A\n    "
    "most 3 %\n    without 12\n  }\n  list places source \"210.8\" { bath; garage }\n  without "
    "old\n}\n";

static void note_forms(const struct node *owner, bool *seen)
{
    for (const struct node *n = owner->child; n; n = n->next) {
        seen[node_in_row(n) ? F_BOXES : n->form] = true;
        note_forms(n, seen);
    }
}

static void every_form(void **state)
{
    (void)state;
    static const char *const names[FORM_COUNT] = {
        "FILE",
#define FORM(id, owners, place, word, pattern, flags, doc) #id,
#include "statements.def"
#undef FORM
    };
    struct reading r;
    bool seen[FORM_COUNT] = {true};
    read_plan(&r, all_forms);
    assert_clean(&r);
    note_forms(r.file, seen);
    unsigned missing = 0;
    for (int i = 0; i < FORM_COUNT; i++) {
        if (!seen[i])
            fprintf(stderr, "no example of %s\n", names[i]);
        missing += !seen[i];
    }
    assert_int_equal(missing, 0);
    done(&r);
}

/* --- single statements -------------------------------------------------------------------- */

static struct node *only(struct reading *r, const char *text)
{
    read_plan(r, text);
    assert_clean(r);
    assert_non_null(r->file->child);
    return r->file->child;
}

static void names_and_titles(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(&r, "room den : studio \"The den\" { }");
    assert_int_equal(n->form, F_ROOM);
    assert_string_equal(node_name(n, 0), "den");
    assert_string_equal(node_name(n, 1), "studio");
    assert_string_equal(n->text, "The den");
    done(&r);

    n = only(&r, "panel P { }");
    assert_null(n->text);
    assert_null(node_value(n, 1));
    done(&r);

    /* "Every named thing may carry a text right before its block." */
    n = only(&r, "leg cans \"Cans\"");
    assert_string_equal(n->text, "Cans");
    done(&r);
    read_plan(&r, "level a { floor 9' \"nine\" }");
    assert_only(&r, "syntax", "a text has no place");
    done(&r);
}

static void addresses(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(&r, "circuit P.1 { run P -> studio.R1 -> u101.living.R1 -> 2 }");
    const struct value *v = node_value(n, 0);
    assert_int_equal(v->kind, V_REF);
    assert_string_equal(node_ref_text(&r.arena, v), "P.1");
    const struct node *run = n->child;
    assert_int_equal(run->value_count, 4);
    assert_string_equal(node_ref_text(&r.arena, &run->values[1]), "studio.R1");
    assert_string_equal(node_ref_text(&r.arena, &run->values[2]), "u101.living.R1");
    assert_int_equal(run->values[3].kind, V_INTEGER);
    done(&r);

    n = only(&r, "waive voltage-drop in circuit P.1 because \"x\"");
    assert_string_equal(node_name(n, 0), "voltage-drop");
    assert_string_equal(node_name(n, 1), "circuit");
    assert_string_equal(node_ref_text(&r.arena, node_value(n, 2)), "P.1");
    done(&r);
    n = only(&r, "waive voltage-drop in studio because \"x\"");
    assert_null(node_value(n, 1));
    assert_string_equal(node_name(n, 2), "studio");
    done(&r);
    n = only(&r, "waive voltage-drop in run studio.S1 -> S2 because \"x\"");
    assert_string_equal(node_ref_text(&r.arena, node_value(n, 2)), "studio.S1");
    assert_string_equal(node_name(n, 3), "S2");
    done(&r);
}

/* "options come in any order, each once" (settled.md 10) */
static void any_order(void **state)
{
    (void)state;
    static const char *const options[] = {"cable 14/3", "via overhead",     "fished",
                                          "length 30'", "\"the long one\"", "as feed"};
    enum { COUNT = sizeof options / sizeof *options };
    for (int turn = 0; turn < 2 * COUNT; turn++) {
        char text[512] = "circuit 1 { run P -> a.R1";
        for (int i = 0; i < COUNT; i++) {
            strcat(text, " ");
            strcat(text, options[(turn + (turn < COUNT ? i : COUNT - i)) % COUNT]);
        }
        strcat(text, " }");
        struct reading r;
        struct node *run = only(&r, text)->child;
        assert_string_equal(node_name(node_child(run, F_CABLE), 0), "14/3");
        assert_string_equal(node_name(node_child(run, F_VIA), 0), "overhead");
        assert_true(node_flag(run, F_FISHED));
        assert_true(node_value(node_child(run, F_LENGTH), 0)->n == 30 * FOOT);
        assert_string_equal(node_name(node_child(run, F_AS), 0), "feed");
        assert_string_equal(run->text, "the long one");
        done(&r);
    }
}

/* Options of a clause stand on its line: `afci` is the breaker's, `space` the feeder's. */
static void options_of_clauses(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(&r, "panel P { feeder breaker 60 A gfci space 3 from M }");
    const struct node *feeder = n->child, *breaker = node_child(feeder, F_BREAKER);
    assert_true(node_flag(breaker, F_GFCI));
    assert_int_equal(node_value(node_child(feeder, F_SPACE), 0)->n, 3);
    assert_string_equal(node_name(node_child(feeder, F_FEED_FROM), 0), "M");
    done(&r);
}

static void in_block_or_on_line(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(&r, "room a { box R1 north at 1' type t existing { receptacle }\n box R2 "
                              "north at 1' { type t; existing; receptacle } }");
    for (const struct node *box = n->child; box; box = box->next) {
        assert_string_equal(node_name(node_child(box, F_BOX_TYPE), 0), "t");
        assert_true(node_flag(box, F_EXISTING));
        assert_non_null(node_child(box, F_DEVICE));
    }
    done(&r);
}

/* "A flag stands for yes, `FLAG no` takes it away." */
static void flags(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(&r, "kind a { wet; sleeping no }");
    assert_true(node_flag(n, F_DEF_WET));
    assert_false(node_flag(n, F_SLEEPING));
    assert_false(node_flag(n, F_HABITABLE));
    assert_true(node_child(n, F_SLEEPING)->no);
    done(&r);
}

static void given_values(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(&r, "pattern p { given lamp 12 W; given h 4'; room a { size (h) by 9'; "
                              "box L1 overhead at 1', (h) { recessed leg x (lamp) } } }");
    const struct node *room = node_child(n, F_ROOM), *size = node_child(room, F_SIZE);
    assert_int_equal(node_value(size, 0)->kind, V_GIVEN);
    assert_string_equal(node_value(size, 0)->name, "h");
    const struct node *load = node_child(node_child(node_child(room, F_BOX), F_DEVICE), F_DEV_LOAD);
    assert_int_equal(node_value(load, 0)->kind, V_GIVEN);
    assert_string_equal(node_value(load, 0)->name, "lamp");
    done(&r);
    read_plan(&r, "level a { floor (h }");
    assert_only(&r, "syntax", "a parenthesis holds the name of a given value");
    done(&r);
}

/* "A bare name may not be one of the words of the statement it stands in (a leg is not called
 * `circuit`); after a dot any name may stand." */
static void words_as_names(void **state)
{
    (void)state;
    struct reading r;
    read_plan(&r, "room a { box R1 north at 1' { switch leg circuit } }");
    assert_only(&r, "syntax", "'circuit' is a word of this statement");
    done(&r);
    only(&r, "circuit 1 { run P -> a.cable -> a.via }");
    done(&r);
    only(&r, "room kind { kind kitchen; box run north at 1' { receptacle leg from2 } }");
    done(&r);
    only(&r, "leg box\nleg plan\nroom room { }\npanel leg { }");
    done(&r);
}

static void tables(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(
        &r, "edition e { table t source \"s\" { columns a, b\n 14, 15 A\n most 3 %\n solo\n } }");
    const struct node *table = n->child, *row = node_child(table, F_ROW);
    assert_int_equal(node_child(table, F_COLUMNS)->value_count, 2);
    assert_int_equal(row->value_count, 2);
    assert_int_equal(row->alt, 0);
    assert_int_equal(row->next->alt, 1);
    assert_string_equal(node_name(row->next, 0), "most");
    assert_int_equal(row->next->next->value_count, 1);
    done(&r);
}

static void prices(void **state)
{
    (void)state;
    struct reading r;
    struct node *n = only(&r, "price breaker 20  A\tafci 58.00\nprice receptacle 2");
    assert_string_equal(node_name(n, 0), "breaker 20 A afci");
    assert_true(node_value(n, 1)->n == 58);
    assert_string_equal(node_name(n->next, 0), "receptacle");
    done(&r);
}

/* --- clauses twice: settled.md 9 ---------------------------------------------------------- */

static void clauses_twice(void **state)
{
    (void)state;
    struct reading r;
    read_plan(&r, "panel P {\n  spaces 30\n  spaces 24\n}");
    assert_only(&r, "duplicate-clause", "spaces is given twice; the first counts");
    const struct finding *f = r.diag.findings.at;
    assert_int_equal(source_position(&r.arena, f->span.source, f->span.off).line, 3);
    assert_int_equal(f->related_count, 1);
    assert_int_equal(source_position(&r.arena, f->span.source, f->related[0].span.off).line, 2);
    assert_int_equal(node_value(node_child(r.file->child, F_SPACES), 0)->n, 30);
    done(&r);

    read_plan(&r, "circuit 1 { run P -> a.R1 cable 12/2 via studs cable 14/2 }");
    assert_only(&r, "duplicate-clause", "cable is given twice");
    done(&r);
    read_plan(&r, "room a { box R1 north at 1' type x { type y; receptacle } }");
    assert_only(&r, "duplicate-clause", "type is given twice");
    done(&r);
    read_plan(&r, "room a { box R1 north at 1' { receptacle 90 W 100 W } }");
    assert_only(&r, "duplicate-clause", "its load is given twice");
    done(&r);
    /* The same clause of two owners, one inside the other, is none given twice. */
    only(&r, "room a { box R1 north at 1' { existing; receptacle existing; gangs 1 }\n box R2 "
             "north at 2' { existing; receptacle existing } }");
    done(&r);
    only(&r, "plan \"T\" { note \"a\"; note \"b\"; existing 10 A measured; existing 9 VA; edition "
             "a; edition b }");
    done(&r);
}

/* --- slips -------------------------------------------------------------------------------- */

static void assert_slip(const char *text, const char *rule, const char *hint)
{
    struct reading r;
    read_plan(&r, text);
    assert_only(&r, rule, hint);
    done(&r);
}

/* "Common slips get a hint" */
static void slips(void **state)
{
    (void)state;
    assert_slip("circuit 1 { cable 12-2 }", "syntax", "12/2");
    assert_slip("circuit 1 { breaker 20 amps }", "wrong-unit", "write 20 A");
    assert_slip("circuit 1 { load 1,200 VA }", "wrong-unit", "1200");
    assert_slip("room a { size 18' x 14' }", "syntax", "'by'");
    assert_slip("level a { walls 2x4 at 16\" oc }", "syntax", "on centre");
    assert_slip("room a { corner 4'6, 0' }", "syntax", "4'-6\"");
    assert_slip("room a { shower at 6', 0' }", "syntax", "'shower WALL at ... wide ...'");
    assert_slip("room a { wet-wall at 6' wide 3' }", "syntax", "'wet-wall WALL at ... wide ...'");
    assert_slip("level a { floor 4'6 }", "syntax", "4'-6\"");
    assert_slip("room a { fixed north at 1' wide 3' \"a 12\" shelf\" }", "syntax",
                "is written \\\"");
    assert_slip("room a { fixed north at 1' wide 3' \"a 12\" by 14\" }", "syntax",
                "is written \\\"");
    assert_slip("leg a \"3/4\"pipe\"", "syntax", "is written \\\"");
}

/* Slips beside those that the language names. */
static void more_slips(void **state)
{
    (void)state;
    assert_slip("level a { walls 2 x 4 at 16\" }", "syntax", "2x4");
    assert_slip("include downstairs.bay", "syntax", "\"downstairs.bay\"");
    assert_slip("room a { box 7 north at 3' }", "syntax", "begins with a letter");
    assert_slip("room a { box R1 overhead at 3' }", "syntax", "expected ','");
    assert_slip("room a { box R1 at 3' }", "syntax", "'at'");
    assert_slip("circuit 1 { breaker 20 A AFCI }", "syntax", "write 'afci'");
    assert_slip("room a { box R1 north at foo }", "syntax",
                "expected a length such as 4'-6\" after 'at', not 'foo'");
}

static void nearest_words(void **state)
{
    (void)state;
    assert_slip("levle a { floor 9' }", "syntax", "write 'level'");
    assert_slip("level a { flor 9' }", "syntax", "write 'floor'");
    assert_slip("circuit 1 { run P -> a.R1 cabel 12/2 }", "syntax", "write 'cable'");
    assert_slip("circuit 1 { run P -> a.R1 via overhaed }", "syntax", "write 'overhead'");
    assert_slip("blah 1", "syntax", "'blah' begins no statement at the top of a plan");
    assert_slip("level a { blah 1 }", "syntax", "in a block of 'level'");
}

/* --- a slip in every word of every form ----------------------------------------------------- */

/* Words of the language in the text of all forms, by where they stand. */
struct own_words {
    uint32_t at[2000], n[2000], count;
};

static bool is_own_word(const struct language *l, const struct node *n, const char *word,
                        size_t len)
{
    const struct form *f = &l->forms[n->form];
    for (uint8_t i = 0; i < f->pattern_count; i++)
        for (const struct step *s = f->patterns[i].steps; s->kind != STEP_END; s++)
            for (uint8_t c = 0; c < s->choice_count; c++)
                if (strlen(s->choices[c]) == len && !memcmp(s->choices[c], word, len))
                    return true;
    return n->word == f->word && strlen(f->word) == len && !memcmp(f->word, word, len);
}

static void note_own_words(const struct reading *r, const struct node *owner, struct own_words *w)
{
    for (const struct node *n = owner->child; n; n = n->next) {
        for (uint32_t t = n->first; t <= n->last && !node_in_row(n); t++) {
            const struct source_token *token = &r->source.tokens[t];
            bool noted = false;
            for (uint32_t i = 0; i < w->count; i++)
                noted |= w->at[i] == token->off;
            if (noted || token->kind != T_WORD ||
                !is_own_word(r->language, n, r->source.bytes + token->off, token->len))
                continue;
            assert_true(w->count < sizeof w->at / sizeof *w->at);
            w->at[w->count] = token->off;
            w->n[w->count++] = token->len;
        }
        note_own_words(r, n, w);
    }
}

/* A letter twice, one left out, two in the wrong order. */
static size_t misspell(char *out, const char *word, size_t n, int how)
{
    memcpy(out, word, n);
    if (how == 0) {
        out[n] = out[n - 1];
        return n + 1;
    }
    if (how == 1) {
        memmove(out + n / 2, out + n / 2 + 1, n - n / 2 - 1);
        return n - 1;
    }
    char letter = out[n / 2];
    out[n / 2] = out[n / 2 - 1];
    out[n / 2 - 1] = letter;
    return n;
}

/* Whether the mend of the first finding names the word that was meant. In a block of names of the
 * plan's own, devices or settings, it may be one of these: what is no name is found later. */
static bool names_word(const struct reading *r, const char *word, size_t n)
{
    static const char *const as_names[] = {"existing", "remove", "capped", "without",
                                           "pulled-through"};
    for (size_t i = 0; i < sizeof as_names / sizeof *as_names && !r->diag.findings.n; i++)
        if (strlen(as_names[i]) == n && !memcmp(as_names[i], word, n))
            return true;
    const char *mend = r->diag.findings.n ? r->diag.findings.at[0].mend : NULL;
    char meant[100];
    snprintf(meant, sizeof meant, "'%.*s'", (int)n, word);
    return mend && strstr(mend, meant);
}

static void a_slip_in_every_word(void **state)
{
    (void)state;
    static struct own_words words;
    struct reading r;
    read_plan(&r, all_forms);
    note_own_words(&r, r.file, &words);
    done(&r);
    unsigned unnamed = 0;
    for (uint32_t i = 0; i < words.count; i++)
        for (int how = 0; how < 3; how++) {
            static char text[sizeof all_forms + 1];
            const char *word = all_forms + words.at[i];
            size_t n = words.n[i], at = words.at[i];
            if (how && n < 4)
                continue;
            memcpy(text, all_forms, at);
            size_t slip = misspell(text + at, word, n, how);
            strcpy(text + at + slip, word + n);
            if (slip == n && !memcmp(text + at, word, n))
                continue;
            read_plan(&r, text);
            if (!names_word(&r, word, n)) {
                fprintf(stderr, "'%.*s' for '%.*s':\n", (int)slip, text + at, (int)n, word);
                show_findings(&r);
                unnamed++;
            }
            done(&r);
        }
    assert_int_equal(unnamed, 0);
    assert_true(words.count > 300);
}

static void blocks(void **state)
{
    (void)state;
    assert_slip("level a", "syntax", "wants a block");
    assert_slip("include \"x.bay\" { }", "syntax", "has no block");
    assert_slip("level a { floor 9' { } }", "syntax", "has no block");
}

/* settled.md 40: "A statement with a syntax finding still declares its name; nothing more is said
 * of it." */
static void broken_statements(void **state)
{
    (void)state;
    struct reading r;
    read_plan(&r, "room den \"Den\" blah { size 1' by 2' }\nroom studio { size 1' by 2' }");
    assert_only(&r, "syntax", "'blah' has no meaning here");
    assert_true(r.file->child->broken);
    assert_string_equal(node_name(r.file->child, 0), "den");
    assert_non_null(node_child(r.file->child, F_SIZE));
    assert_false(r.file->child->next->broken);
    done(&r);

    read_plan(&r, "roomm den { size 1' by 2'; box R1 north at 1' { receptacle } }");
    assert_only(&r, "syntax", "write 'room'");
    assert_int_equal(r.file->child->form, F_ROOM);
    assert_string_equal(node_name(node_child(r.file->child, F_BOX), 0), "R1");
    done(&r);

    read_plan(&r, "room 5' den { size 1' by 2' }");
    assert_only(&r, "syntax", "expected a name");
    assert_string_equal(node_name(r.file->child, 0), "den");
    done(&r);

    /* The line fits, its block does not. */
    read_plan(
        &r, "room M \"House panel\" { existing; in shop east at 2' up 5'; main 200 A; spaces 40 }");
    assert_only(&r, "syntax", "belongs to 'panel', not to 'room'");
    assert_int_equal(r.file->child->form, F_PANEL);
    assert_string_equal(node_name(r.file->child, 0), "M");
    done(&r);

    /* A line that ends in a comma by mistake does not swallow the next statement. */
    read_plan(&r, "room a {\n corner 0',\n box R1 north at 1' { receptacle }\n}");
    assert_only(&r, "syntax", "expected a length");
    assert_string_equal(node_name(node_child(r.file->child, F_BOX), 0), "R1");
    done(&r);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_form),
        cmocka_unit_test(names_and_titles),
        cmocka_unit_test(addresses),
        cmocka_unit_test(any_order),
        cmocka_unit_test(options_of_clauses),
        cmocka_unit_test(in_block_or_on_line),
        cmocka_unit_test(flags),
        cmocka_unit_test(given_values),
        cmocka_unit_test(words_as_names),
        cmocka_unit_test(tables),
        cmocka_unit_test(prices),
        cmocka_unit_test(clauses_twice),
        cmocka_unit_test(slips),
        cmocka_unit_test(more_slips),
        cmocka_unit_test(nearest_words),
        cmocka_unit_test(a_slip_in_every_word),
        cmocka_unit_test(blocks),
        cmocka_unit_test(broken_statements),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

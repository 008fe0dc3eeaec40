/* Names with their places, and what changes where one becomes another: what stands in units and
 * copies, in values that are given, in files that are included and in the site log; what is
 * refused. Of plans made at random: tests/properties/renamed.c. Run from the top of the tree. */
#include "compiled.h"
#include "log/log.h"
#include "resolve/language.h"
#include "resolve/node.h"
#include "resolve/value.h"
#include "renamed.h"
#include "cmd/cmd.h"
#include "where/tell.h"
#include "where/walk.h"

#include <glob.h>

/* --- plans in folders of their own -------------------------------------------------------- */

struct home {
    char folder[32], plan[64], more[64], log[64];
    struct compilation c;
    struct whereabouts *names;
};

static void write_text(const char *path, const char *text)
{
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
}

static void compile_home(struct home *h)
{
    compile(&h->c, h->plan,
            (struct compile_options){
                .library = plan_library(), .mentions = true, .cut_steps = SOME_CUT_STEPS});
    assert_non_null(h->c.model);
    h->names = where_make(&h->c.arena, &h->c);
}

/* A plan with what it includes and its log, NULL for what there is not. */
static void move_in(struct home *h, const char *plan, const char *more, const char *log)
{
    snprintf(h->folder, sizeof h->folder, "/tmp/studbay-where-XXXXXX");
    assert_non_null(mkdtemp(h->folder));
    snprintf(h->plan, sizeof h->plan, "%s/plan.bay", h->folder);
    snprintf(h->more, sizeof h->more, "%s/more.bay", h->folder);
    snprintf(h->log, sizeof h->log, "%s/plan.log", h->folder);
    write_text(h->plan, plan);
    if (more)
        write_text(h->more, more);
    if (log)
        write_text(h->log, log);
    compile_home(h);
}

static void move_out(struct home *h)
{
    compile_free(&h->c);
    unlink(h->plan);
    unlink(h->more);
    unlink(h->log);
    assert_int_equal(rmdir(h->folder), 0);
}

/* The name at the first place of some words in the plan, `in` bytes behind their beginning. */
static const struct where_name *name_in(const struct home *h, const char *words, size_t in)
{
    const struct source *s = h->c.sources[0];
    const char *at = strstr(s->bytes, words);
    assert_non_null(at);
    return where_name_at(h->names, s, (uint32_t)(at - s->bytes) + (uint32_t)in, NULL);
}

/* --- renaming ----------------------------------------------------------------------------- */

static const char *edited(struct home *h, const struct where_edits *e, const struct source *s)
{
    size_t size;
    return where_edited(&h->c.arena, s, e, &size);
}

/* The name becomes `to`; the plan, its include and its log must then be these (NULL: not asked),
 * and say the same. */
static void assert_becomes(struct home *h, const struct where_name *name, const char *to,
                           const char *plan, const char *more, const char *log)
{
    assert_non_null(name);
    struct where_edits e = where_rename(h->names, name, to);
    if (e.refused)
        print_error("%s\n", e.refused);
    assert_null(e.refused);
    struct home after;
    const struct source *log_source =
        h->c.log && h->c.log->events.n ? h->c.log->events.at[0]->span.source : NULL;
    const char *new_plan = edited(h, &e, h->c.sources[0]), *why = "";
    assert_string_equal(new_plan, plan);
    if (more)
        assert_string_equal(edited(h, &e, h->c.sources[1]), more);
    if (log)
        assert_string_equal(edited(h, &e, log_source), log);
    move_in(&after, new_plan, h->c.source_count > 1 ? edited(h, &e, h->c.sources[1]) : NULL,
            log_source ? edited(h, &e, log_source) : NULL);
    bool well = where_renamed_well(h->names, after.names, &e, &why);
    if (!well)
        print_error("%s\n", why);
    assert_true(well);
    move_out(&after);
}

/* The name cannot become `to`, for a reason with these words in it. */
static void assert_refused(struct home *h, const struct where_name *name, const char *to,
                           const char *words)
{
    assert_non_null(name);
    struct where_edits e = where_rename(h->names, name, to);
    const char *why = e.refused;
    struct home after;
    if (!why) {
        move_in(&after, edited(h, &e, h->c.sources[0]), NULL, NULL);
        if (where_renamed_well(h->names, after.names, &e, &why))
            why = "it is not refused";
        why = arena_copy(&h->c.arena, why, strlen(why));
        move_out(&after);
    }
    if (!strstr(why, words))
        print_error("%s\n", why);
    assert_non_null(strstr(why, words));
}

#define HEAD  "plan \"Where\" { edition nec-2023 }\n"
#define PANEL "panel P \"Panel\" { in a south at 2' up 5'; main 100 A; spaces 12 }\n"

static const char small[] =
    HEAD "room a { kind hall; size 10' by 8'\n"
         "  box S1 north at 1' up 4' { switch leg x }\n"
         "  box L1 overhead at 5', 4' { luminaire leg x }\n"
         "  box R1 north at 6' { receptacle }\n}\n" PANEL "leg x \"Light\" { }\n"
         "circuit P.bed \"Bed\" { breaker 15 A; run a.S1 -> P; run a.S1 -> L1; run a.S1 -> R1 as "
         "feed }\n"
         "circuit P.4 \"Spare\" { breaker 15 A }\n"
         "waive default-kind in a.R1 because \"so\"\n"
         "waive default-kind in circuit P.bed because \"so\"\n"
         "waive default-kind in leg x because \"so\"\n";

static void places_of_a_room(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, small, NULL, NULL);
    const struct where_name *a = name_in(&h, "room a", 5);
    assert_int_equal(a->sort, MENTION_ROOM);
    assert_string_equal(a->text, "a");
    assert_int_equal(a->places.n, 6); /* itself, the panel's, three runs, a waiver */
    assert_ptr_equal(name_in(&h, "a.S1 -> L1", 0), a);
    assert_ptr_equal(name_in(&h, "a.S1 -> L1", 1), a); /* its end */
    assert_ptr_equal(a->things.at[0], h.c.model->rooms.at[0]);
    struct where_spans d = where_definitions(&h.c.arena, a);
    assert_int_equal(d.spans.n, 1);
    assert_int_equal(d.spans.at[0].off, strstr(small, "room a") + 5 - small);
    assert_null(name_in(&h, "size", 1));
    move_out(&h);
}

static void sorts_of_names(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, small, NULL, NULL);
    static const struct {
        const char *words;
        size_t in;
        enum mention_sort sort;
    } names[] = {
        {"edition nec-2023", 8, MENTION_EDITION},
        {"kind hall", 5, MENTION_KIND},
        {"box S1", 4, MENTION_BOX},
        {"switch leg x", 0, MENTION_DEVICE},
        {"switch leg x", 11, MENTION_LEG},
        {"panel P", 6, MENTION_PANEL},
        {"in a south", 3, MENTION_ROOM},
        {"leg x \"Light\"", 4, MENTION_LEG},
        {"circuit P.bed", 8, MENTION_PANEL},
        {"circuit P.bed", 10, MENTION_CIRCUIT},
        {"-> L1", 3, MENTION_BOX},
        {"as feed", 3, MENTION_RUN},
        {"circuit P.4", 10, MENTION_CIRCUIT},
        {"waive default-kind", 6, MENTION_RULE},
        {"in leg x because", 7, MENTION_LEG},
    };
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        const struct where_name *n = name_in(&h, names[i].words, names[i].in);
        if (!n || n->sort != names[i].sort)
            print_error("%s\n", names[i].words);
        assert_non_null(n);
        assert_int_equal(n->sort, names[i].sort);
    }
    move_out(&h);
}

/* Every `from` of a text becomes `to`; what comes back lives for three further ones. */
static const char *with(const char *text, const char *from, const char *to)
{
    static struct buf kept[4];
    static unsigned next;
    struct buf b = {0};
    for (const char *at; (at = strstr(text, from)); text = at + strlen(from)) {
        buf_add(&b, text, (size_t)(at - text));
        buf_puts(&b, to);
    }
    buf_puts(&b, text);
    next = (next + 1) % 4;
    buf_free(&kept[next]);
    kept[next] = b;
    return buf_text(&kept[next]);
}

static void renames(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, small, NULL, NULL);
    assert_becomes(&h, name_in(&h, "box S1", 4), "door-switch", with(small, "S1", "door-switch"),
                   NULL, NULL);
    assert_becomes(&h, name_in(&h, "leg x", 4), "light", with(small, "leg x", "leg light"), NULL,
                   NULL);
    assert_becomes(&h, name_in(&h, "P.bed", 2), "sleep", with(small, "P.bed", "P.sleep"), NULL,
                   NULL);
    assert_becomes(&h, name_in(&h, "as feed", 3), "line", with(small, "feed", "line"), NULL, NULL);
    move_out(&h);
}

static void refuses(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, small, NULL, NULL);
    assert_refused(&h, name_in(&h, "box S1", 4), "R1", "is there already");
    assert_refused(&h, name_in(&h, "box S1", 4), "r1", "differs only in case");
    assert_refused(&h, name_in(&h, "room a", 5), "P", "is there already");
    assert_refused(&h, name_in(&h, "box S1", 4), "S 1", "is no name");
    assert_refused(&h, name_in(&h, "box S1", 4), "", "is no name");
    assert_refused(&h, name_in(&h, "box S1", 4), "14", "is no name");
    assert_refused(&h, name_in(&h, "box S1", 4), "a.S2", "is no name");
    assert_refused(&h, name_in(&h, "box S1", 4), "up", "is a word of this statement");
    assert_refused(&h, name_in(&h, "P.4", 2), "spare", "called by the space");
    assert_refused(&h, name_in(&h, "switch leg", 0), "knob", "stands in the library");
    assert_refused(&h, name_in(&h, "kind hall", 5), "way", "stands in the library");
    assert_refused(&h, name_in(&h, "default-kind", 0), "other", "is a rule");
    /* a panel of that name would be a box of the room in the chain */
    assert_refused(&h, name_in(&h, "panel P", 6), "L1", "nothing feeds");
    move_out(&h);
}

/* --- units, copies, given values ---------------------------------------------------------- */

static const char units[] =
    HEAD "level low { floor 0; ceiling 8' }\nlevel high { floor 9'; ceiling 8' }\n"
         "room lobby { kind hall; on low; corner 40', 0; size 8' by 8' }\n"
         "panel M { in lobby north at 2' up 5'; main 100 A; spaces 12 }\n"
         "pattern flat {\n  given where low\n  given deep 5'\n  on high\n"
         "  room bath { kind bathroom; size 8' by (deep)\n"
         "    box S1 north at 1' up 4' { switch leg x }\n"
         "    box L1 overhead at 2', 2' { luminaire leg x }\n"
         "    box R1 north at 3' up 4' { receptacle }\n  }\n"
         "  panel P { in bath south at 2' up 5'; main 60 A; spaces 8 }\n"
         "  circuit P.b { breaker 15 A; run P -> bath.S1 -> L1 }\n"
         "  circuit P.r { breaker 20 A; run P -> bath.R1 }\n}\n"
         "unit one : flat { on (where); corner 0, 0 }\n"
         "unit two : flat { on low; corner 20', 0; given deep 6'; without bath.R1; without P.r\n"
         "  room bath { box S1 north at 2' up 4' { switch leg x } }\n}\n"
         "waive default-kind in one.bath.S1 because \"so\"\n";

static void names_in_units(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, units, NULL, NULL);
    const struct where_name *bath = name_in(&h, "room bath", 5), *s1 = name_in(&h, "box S1", 4);
    assert_int_equal(bath->things.n, 2); /* one in each copy */
    assert_int_equal(s1->things.n, 2);
    assert_ptr_equal(name_in(&h, "one.bath.S1", 9), s1);
    assert_ptr_equal(name_in(&h, "without bath.R1", 13), name_in(&h, "box R1", 4));
    assert_becomes(&h, bath, "wash", with(with(units, "bath", "wash"), "washroom", "bathroom"),
                   NULL, NULL);
    assert_becomes(&h, s1, "by-door", with(units, "S1", "by-door"), NULL, NULL);
    assert_becomes(&h, name_in(&h, "given deep", 6), "far", with(units, "deep", "far"), NULL, NULL);
    assert_becomes(&h, name_in(&h, "unit one", 5), "east",
                   with(with(units, "unit one", "unit east"), "in one.", "in east."), NULL, NULL);
    assert_becomes(&h, name_in(&h, "pattern flat", 8), "home", with(units, "flat", "home"), NULL,
                   NULL);
    assert_becomes(&h, name_in(&h, "circuit P.r", 10), "outlet", with(units, "P.r", "P.outlet"),
                   NULL, NULL);
    move_out(&h);
}

/* What both units replace is read by none of them, and is the name of a level all the same; so is
 * what a given value stands for. */
static void names_that_nothing_reads(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, units, NULL, NULL);
    const char *renamed = with(with(units, "level high", "level top"), "on high", "on top");
    assert_becomes(&h, name_in(&h, "level high", 6), "top", renamed, NULL, NULL);
    renamed = with(with(with(units, "level low", "level ground"), "on low", "on ground"),
                   "where low", "where ground");
    assert_becomes(&h, name_in(&h, "level low", 6), "ground", renamed, NULL, NULL);
    move_out(&h);
}

/* A unit's own name stands nearer than one of the plan. */
static void names_that_stand_nearer(void **state)
{
    (void)state;
    struct home h;
    static const char plan[] =
        HEAD "room a { kind hall; size 8' by 8'; box S1 north at 1' { receptacle } }\n"
             "panel M { in a south at 2' up 5'; main 100 A; spaces 12 }\n"
             "unit one { corner 20', 0\n"
             "  room b { kind hall; size 8' by 8'; box R1 north at 1' { receptacle } }\n"
             "  circuit M.b { breaker 20 A; run M -> b.R1 }\n}\n";
    move_in(&h, plan, NULL, NULL);
    assert_refused(&h, name_in(&h, "panel M", 6), "b", "there is no panel 'b'");
    assert_refused(&h, name_in(&h, "room b", 5), "M", "M");
    move_out(&h);
}

static void copies_of_rooms(void **state)
{
    (void)state;
    struct home h;
    static const char plan[] =
        HEAD "room a { kind hall; corner 0, 0; outline from 0, 0 { left north 8'; top east 8'; "
             "right south 8'; foot west 8' }\n"
             "  box R1 top at 1' { receptacle }\n  box R2 left at 4' { receptacle }\n}\n"
             "room b : a { corner 20', 0; without R2; box R1 { receptacle } }\n"
             "panel P { in b foot at 2' up 5'; main 100 A; spaces 12 }\n"
             "circuit P.r { breaker 20 A; run P -> a.R1 -> R2; run a.R1 -> b.R1 }\n";
    move_in(&h, plan, NULL, NULL);
    assert_becomes(&h, name_in(&h, "box R1", 4), "first", with(plan, "R1", "first"), NULL, NULL);
    assert_becomes(&h, name_in(&h, "box R2", 4), "other", with(plan, "R2", "other"), NULL, NULL);
    assert_becomes(&h, name_in(&h, "{ left north", 2), "sunset", with(plan, "left", "sunset"), NULL,
                   NULL);
    assert_becomes(
        &h, name_in(&h, "room a", 5), "hall-1",
        with(with(with(plan, "room a", "room hall-1"), ": a", ": hall-1"), "a.R", "hall-1.R"), NULL,
        NULL);
    move_out(&h);
}

/* --- rows, definitions -------------------------------------------------------------------- */

static void rows_and_islands(void **state)
{
    (void)state;
    struct home h;
    static const char plan[] =
        HEAD "room a { kind kitchen; size 20' by 18'\n"
             "  boxes L1 to L4 overhead 2 by 2 from 3', 3' every 5' { luminaire leg x }\n"
             "  island work at 8', 8' size 4' by 3'\n"
             "  box S1 north at 1' up 4' { switch leg x }\n"
             "  box R1 island work north at 1' { receptacle }\n}\n" PANEL
             "circuit P.l { breaker 15 A; run P -> a.S1 -> L1 -> L2 -> L3 -> L4 }\n";
    move_in(&h, plan, NULL, NULL);
    assert_refused(&h, name_in(&h, "boxes L1", 6), "D1", "one of a row");
    assert_refused(&h, name_in(&h, "-> L3", 3), "D1", "one of a row");
    assert_string_equal(name_in(&h, "-> L3", 3)->text, "L3");
    assert_int_equal(name_in(&h, "-> L3", 3)->places.n, 2);
    assert_becomes(&h, name_in(&h, "island work", 7), "bench", with(plan, "work", "bench"), NULL,
                   NULL);
    move_out(&h);
}

static void definitions_of_a_plan(void **state)
{
    (void)state;
    struct home h;
    static const char plan[] =
        HEAD "device lamp : luminaire { load 20 W }\n"
             "device fan-lamp : paddle-fan { part fan { terminal hot takes line leg\n"
             "    terminal neutral takes neutral; terminal ground takes ground; load 60 W }\n"
             "  part light { terminal hot takes line leg; terminal neutral takes neutral\n"
             "    terminal ground takes ground; load 30 W } }\n"
             "box-type drum : octagon { volume 22 in3 }\n"
             "cable 14/2-own : 14/2 { }\n"
             "kind den : living { }\n"
             "room a { kind den; size 10' by 8'\n"
             "  box S1 north at 1' up 4' { switch leg x; switch leg y }\n"
             "  box L1 overhead at 5', 4' { type drum; lamp leg x }\n"
             "  box F1 overhead at 7', 4' { fan-lamp { fan leg y; light leg y } }\n}\n" PANEL
             "circuit P.l { breaker 15 A; cable 14/2-own; run P -> a.S1; run a.S1 -> L1; run a.S1 "
             "-> F1 }\n"
             "price 14/2-own 100' 40\nprice drum 3\n"
             "trade \"bulb\" means lamp\n";
    move_in(&h, plan, NULL, NULL);
    assert_becomes(&h, name_in(&h, "device lamp", 7), "bulb",
                   with(with(with(plan, "device lamp", "device bulb"), "; lamp leg", "; bulb leg"),
                        "means lamp", "means bulb"),
                   NULL, NULL);
    assert_becomes(&h, name_in(&h, "cable 14/2-own", 6), "14/2-mine",
                   with(plan, "14/2-own", "14/2-mine"), NULL, NULL);
    assert_becomes(&h, name_in(&h, "box-type drum", 9), "can", with(plan, "drum", "can"), NULL,
                   NULL);
    assert_becomes(&h, name_in(&h, "kind den", 5), "nook", with(plan, "den", "nook"), NULL, NULL);
    assert_becomes(&h, name_in(&h, "part light", 5), "glow",
                   with(with(plan, "part light", "part glow"), "; light leg", "; glow leg"), NULL,
                   NULL);
    assert_refused(&h, name_in(&h, "kind den", 5), "hall", "hall");
    move_out(&h);
}

/* --- files and the log -------------------------------------------------------------------- */

static void included_files(void **state)
{
    (void)state;
    struct home h;
    static const char plan[] =
        HEAD "include \"more.bay\"\n" PANEL "circuit P.r { breaker 20 A; run P -> a.R1 }\n",
                      more[] = "room a { kind hall; size 10' by 8'\n"
                               "  box R1 north at 1' { receptacle }\n}\n";
    move_in(&h, plan, more, NULL);
    const struct where_name *file = name_in(&h, "\"more.bay", 1);
    assert_int_equal(file->sort, MENTION_FILE);
    assert_ptr_equal(file->things.at[0], h.c.sources[1]);
    assert_refused(&h, file, "less", "where it lies");
    assert_becomes(&h, name_in(&h, "a.R1", 2), "first", with(plan, "R1", "first"),
                   with(more, "R1", "first"), NULL);
    move_out(&h);
}

/* What a copy has from its base in another file is told of the copy: tokens are those of one file.
 */
static void copies_of_another_file(void **state)
{
    (void)state;
    struct home h;
    static const char
        plan[] = HEAD "include \"more.bay\"\n"
                      "room b : a { corner 20', 0; size 8' by 8'; box R1 { receptacle } }\n",
        more[] =
            "# a file of more words than the other one\n"
            "room a { kind hall; corner 0, 0\n"
            "  outline from 0, 0 { left north 8'; top east 8'; right south 8'; foot west 8' }\n"
            "  box R1 top at 1' up 16\" { receptacle }\n}\n";
    move_in(&h, plan, more, NULL);
    const struct finding *f = finding_of(&h.c, "unknown-name", 0);
    assert_ptr_equal(f->span.source, h.c.sources[0]);
    assert_int_equal(f->span.off, strstr(plan, "R1") - plan);
    assert_becomes(&h, name_in(&h, "box R1", 4), "first", with(plan, "R1", "first"),
                   with(more, "R1", "first"), NULL);
    move_out(&h);
}

static void names_in_the_log(void **state)
{
    (void)state;
    struct home h;
    static const char log[] = "2026-03-01 set a.S1\n"
                              "2026-03-02 pulled P -> a.S1 -> L1 # tight\n"
                              "2026-03-02 pulled feed 14' from tail\n"
                              "2026-03-03 not pulled P -> a.S1 -> L1\n"
                              "2026-03-04 stapled circuit P.bed\n"
                              "2026-03-05 inspected a\n"
                              "2026-03-06 stapled a.L1 to S1\n"
                              "2026-03-07 closed a north\n";
    struct buf text = {0};
    buf_printf(&text, "%scoil 14/2 60' as tail on-hand\n", small);
    move_in(&h, buf_text(&text), NULL, log);
    const char *t = buf_text(&text);
    assert_becomes(&h, name_in(&h, "box S1", 4), "door", with(t, "S1", "door"), NULL,
                   with(log, "S1", "door"));
    assert_becomes(&h, name_in(&h, "box L1", 4), "lamp", with(t, "L1", "lamp"), NULL,
                   with(log, "L1", "lamp"));
    assert_becomes(&h, name_in(&h, "as tail", 3), "rest", with(t, "tail", "rest"), NULL,
                   with(log, "tail", "rest"));
    assert_becomes(&h, name_in(&h, "as feed", 3), "line", with(t, "feed", "line"), NULL,
                   with(log, "feed", "line"));
    assert_becomes(&h, name_in(&h, "P.bed", 2), "sleep", with(t, "P.bed", "P.sleep"), NULL,
                   with(log, "P.bed", "P.sleep"));
    buf_free(&text);
    move_out(&h);
}

/* A handle parts figures from figures; in a unit the unit's name stands before. */
static void handles_in_the_log(void **state)
{
    (void)state;
    struct home h;
    static const char plan[] =
        HEAD "room a { kind hall; size 10' by 8'; box R1 north at 6' { receptacle } }\n" PANEL
             "circuit P.4 \"Outlet\" { breaker 20 A afci; run P -> a.R1 }\n",
                      log[] = "2026-03-04 stapled circuit P4\n2026-03-05 stapled circuit P.4\n"
                              "2026-03-06 set P # P hangs\n";
    move_in(&h, plan, NULL, log);
    assert_int_equal(findings_of(&h.c, "log-entry-unknown"), 0);
    const char *renamed = with(with(with(plan, "panel P", "panel Q1"), "circuit P.", "circuit Q1."),
                               "run P", "run Q1");
    assert_becomes(&h, name_in(&h, "panel P", 6), "Q1", renamed, NULL,
                   "2026-03-04 stapled circuit Q1-4\n2026-03-05 stapled circuit Q1.4\n"
                   "2026-03-06 set Q1 # P hangs\n");
    move_out(&h);
    static const char unit_log[] = "2026-03-01 set one.bath.S1\n"
                                   "2026-03-02 pulled one.P -> one.bath.S1 -> L1\n"
                                   "2026-03-03 closed two.bath ceiling\n";
    move_in(&h, units, NULL, unit_log);
    assert_int_equal(findings_of(&h.c, "log-entry-unknown"), 0);
    assert_becomes(&h, name_in(&h, "room bath", 5), "wash",
                   with(with(units, "bath", "wash"), "washroom", "bathroom"), NULL,
                   with(unit_log, "bath", "wash"));
    assert_becomes(&h, name_in(&h, "unit one", 5), "east",
                   with(with(units, "unit one", "unit east"), "in one.", "in east."), NULL,
                   with(unit_log, "one.", "east."));
    move_out(&h);
}

/* What is glued to a cable cannot be renamed, and the log may go by it. */
static void labels_in_the_log(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, small, NULL, "2026-03-01 pulled \"P bed a S1-L1\"\n");
    assert_int_equal(findings_of(&h.c, "log-entry-unknown"), 0);
    assert_refused(&h, name_in(&h, "box S1", 4), "door", "by its label");
    assert_refused(&h, name_in(&h, "panel P", 6), "Q", "by its label");
    struct where_edits e = where_rename(h.names, name_in(&h, "box R1", 4), "socket");
    assert_null(e.refused);
    move_out(&h);
}

/* --- what is told ------------------------------------------------------------------------- */

static void assert_told(struct home *h, const struct results *r, const char *words, size_t in,
                        const char *want)
{
    struct where_teller *t = where_tell_begin(&h->c.arena, h->names, r);
    const char *told = where_tell_name(t, name_in(h, words, in));
    if (!strstr(told, want))
        print_error("%s\nwanted: %s\n", told, want);
    assert_non_null(strstr(told, want));
}

/* NEC 2023 314.16(B): of 14 AWG 2 in3 for each wire, for the grounds, two for the yoke. */
static void tells_what_reports_say(void **state)
{
    (void)state;
    struct home h;
    struct results r;
    static const char plan[] =
        HEAD "room a \"Alcove\" { kind hall; size 10' by 8'\n"
             "  box S1 north at 1' up 4' { switch leg x }\n"
             "  box L1 overhead at 5', 4' { luminaire leg x 20 W }\n}\n" PANEL
             "circuit P.bed \"Bed\" { breaker 15 A afci; run P -> a.S1 -> L1 }\n"
             "amend nec-2023 because \"here\" { table conductor-allowance { 14, 2.5 in3 } }\n"
             "waive default-kind because \"so\"\n";
    move_in(&h, plan, NULL, NULL);
    assert_true(cmd_results(&h.c, &r));
    assert_told(&h, &r, "box S1", 4, "Fill: needs 20.00 in3"); /* 8 times the amended 2.5 in3 */
    assert_told(&h, &r, "box S1", 4, "Circuit: P1 (bed) Bed, 15 A afci");
    assert_told(&h, &r, "box S1", 4, "- land  single-pole line: black from P");
    assert_told(&h, &r, "box S1", 4, "centre 48\" up");
    assert_told(&h, &r, "P.bed", 2, "2 boxes, ");
    assert_told(&h, &r, "P.bed", 2, "Rooms: a");
    assert_told(&h, &r, "leg x", 4, "Switches: a.S1 single-pole");
    assert_told(&h, &r, "leg x", 4, "Works: a.L1");
    assert_told(&h, &r, "switch leg", 0, "device switch ");
    assert_told(&h, &r, "kind hall", 5, "of the library");
    assert_told(&h, &r, "edition nec", 8, "Amended by this plan: `conductor-allowance`");
    assert_told(&h, &r, "table conductor-allowance", 6, "314.16(B)");
    assert_told(&h, &r, "14, 2.5", 0, "14, 2");
    assert_told(&h, &r, "room a", 5, "10' by 8'");
    assert_told(&h, &r, "default-kind", 0, "default-kind");
    assert_told(&h, NULL, "box S1", 4, "**box** `a.S1`"); /* nothing is proven */
    struct span at;
    const struct source *s = h.c.sources[0];
    const struct run *run =
        where_run_at(h.names, s, (uint32_t)(strstr(s->bytes, "-> L1") - s->bytes), &at);
    assert_string_equal(run->to.box->name, "L1");
    const char *told = where_tell_run(where_tell_begin(&h.c.arena, h.names, &r), run);
    assert_non_null(strstr(told, "14/2, cut "));
    assert_non_null(strstr(told, "Coil: from 14/2-1"));
    move_out(&h);
}

/* Nothing that a plan's author typed is markup. */
static void tells_hostile_words(void **state)
{
    (void)state;
    struct home h;
    struct results r;
    static const char plan[] =
        HEAD "device bulb : luminaire \"```` </b>\" { load 20 W }\n"
             "room a \"*A* <b>[x](y)\" { kind hall; size 10' by 8'\n"
             "  box S1 \"`_S_`\" north at 1' up 4' { switch \"**s**\" leg x }\n"
             "  box L1 overhead at 5', 4' { bulb leg x 20 W }\n}\n" PANEL
             "circuit P.bed \"~~Bed~~\" { breaker 15 A afci; run P -> a.S1 -> L1 }\n";
    move_in(&h, plan, NULL, NULL);
    assert_true(cmd_results(&h.c, &r));
    assert_told(&h, &r, "room a", 5, "\\*A\\* \\<b\\>\\[x\\](y)");
    assert_told(&h, &r, "box S1", 4, "\\`\\_S\\_\\`");
    assert_told(&h, &r, "P.bed", 2, "\\~\\~Bed\\~\\~");
    assert_told(&h, &r, "{ bulb", 2, "`````bay\ndevice bulb : luminaire \"```` </b>\"");
    struct where_teller *t = where_tell_begin(&h.c.arena, h.names, &r);
    for (uint32_t i = 0; i < where_name_count(h.names); i++) {
        const char *told = where_tell_name(t, where_name_by_id(h.names, i));
        assert_null(strstr(told, "**s**"));
        assert_null(strstr(told, "(null)"));
    }
    move_out(&h);
}

/* From the panel to the last box, and back again. */
static void walks_a_circuit(void **state)
{
    (void)state;
    struct home h;
    move_in(&h, small, NULL, NULL);
    struct arena *a = &h.c.arena;
    struct where_step at = where_step_of(name_in(&h, "panel P", 6));
    struct where_steps on = where_onward(a, at);
    assert_int_equal(on.steps.n, 2);
    assert_string_equal(where_step_address(a, on.steps.at[0]), "P.bed");
    assert_int_equal(where_onward(a, on.steps.at[1]).steps.n, 0);
    on = where_onward(a, on.steps.at[0]);
    assert_int_equal(on.steps.n, 1);
    assert_string_equal(where_step_address(a, on.steps.at[0]), "a.S1");
    struct where_steps back = where_back(a, on.steps.at[0]);
    assert_int_equal(back.steps.n, 1);
    assert_string_equal(where_step_address(a, back.steps.at[0]), "P.bed");
    assert_ptr_equal(where_back(a, back.steps.at[0]).steps.at[0].thing, at.thing);
    on = where_onward(a, on.steps.at[0]);
    assert_int_equal(on.steps.n, 2);
    assert_string_equal(where_step_address(a, on.steps.at[0]), "a.L1");
    assert_string_equal(where_step_address(a, where_back(a, on.steps.at[1]).steps.at[0]), "a.S1");
    assert_int_equal(where_onward(a, on.steps.at[1]).steps.n, 0);
    assert_null(where_step_of(name_in(&h, "room a", 5)).thing);
    move_out(&h);
}

/* --- that no name is missed --------------------------------------------------------------- */

/* Captures whose names mean things. */
static bool is_of_names(enum capture c)
{
    return c == C_NAME || c == C_REF || c == C_CHAIN || c == C_REFS || c == C_CABLE;
}

/* Words that are no names of things: sides of a room, colours, nets and the like. */
static bool is_word(const struct node *n, unsigned i, const char *name)
{
    static const char *const words[] = {"north", "east", "south", "west", "ceiling", "outside"};
    static const enum form_id forms[] = {F_COIL_COLOR, F_CONDUCTORS, F_CURRENCY, F_SUITS};
    bool word = (n->form == F_POSITION && !i) || (n->form == F_TERMINAL && i > 1);
    for (size_t k = 0; k < sizeof words / sizeof *words; k++)
        word |= !strcmp(name, words[k]);
    for (size_t k = 0; k < sizeof forms / sizeof *forms; k++)
        word |= n->form == forms[k];
    return word;
}

struct looking {
    const struct home *h;
    const struct source *source;
    unsigned missed;
};

static void look_at_value(struct looking *l, const struct node *n, unsigned i)
{
    const struct value *v = &n->values[i];
    if ((v->kind != V_NAME && v->kind != V_REF && v->kind != V_SLASHED) ||
        (v->kind == V_NAME && is_word(n, i, v->name)))
        return;
    for (uint32_t t = v->first; t <= v->last; t += 2) {
        struct span at = token_span(n->source, t, t);
        if (where_name_at(l->h->names, l->source, at.off, NULL))
            continue;
        l->missed++;
        print_error("%s: nothing is known of '%.*s' in '%s'\n", l->source->path, (int)at.len,
                    at.source->bytes + at.off, n->word);
    }
}

static void look_at(struct looking *l, const struct node *n)
{
    for (unsigned i = 0; i < n->value_count; i++)
        if (is_of_names(language_capture(l->h->c.language, n->form, n->alt, i)))
            look_at_value(l, n, i);
    for (const struct node *c = n->child; c; c = c->next)
        look_at(l, c);
}

static unsigned names_missed(const char *path)
{
    struct home h = {0};
    snprintf(h.plan, sizeof h.plan, "%s", path);
    compile_home(&h);
    unsigned missed = 0;
    for (uint32_t i = 0; i < h.c.source_count; i++) {
        struct compilation alone;
        struct node *file = compile_file(&alone, h.c.sources[i]->path,
                                         (struct compile_options){.library = plan_library()});
        struct looking l = {.h = &h, .source = h.c.sources[i]};
        look_at(&l, file);
        missed += l.missed;
        compile_free(&alone);
    }
    compile_free(&h.c);
    return missed;
}

static void no_name_is_missed(void **state)
{
    (void)state;
    unsigned missed = 0;
    glob_t found;
    assert_int_equal(glob("examples/*/*.bay", 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) /* a part of the studio has no panel */
        if (!strstr(found.gl_pathv[i], "/downstairs.bay"))
            missed += names_missed(found.gl_pathv[i]);
    globfree(&found);
    for (uint64_t seed = 1; seed <= 60; seed++) {
        struct plan_text text = {0};
        char folder[] = "/tmp/studbay-where-XXXXXX", path[64], command[64];
        assert_non_null(mkdtemp(folder));
        plan_make(&text, PLAN_CLEAN, seed, 0);
        assert_true(plan_write(&text, folder));
        snprintf(path, sizeof path, "%s/plan.bay", folder);
        missed += names_missed(path);
        snprintf(command, sizeof command, "rm -r %s", folder);
        assert_int_equal(system(command), 0);
        plan_free(&text);
    }
    assert_int_equal(missed, 0);
}

/* --- the plans of the tree ---------------------------------------------------------------- */

static void plans_of_the_tree(void **state)
{
    (void)state;
    static const char *const where[] = {"examples/*/*.bay", "docs/*/*.bay",
                                        "tests/rules/*.good.bay"};
    unsigned faults = 0;
    glob_t found;
    for (size_t i = 0; i < sizeof where / sizeof *where; i++)
        assert_int_equal(glob(where[i], i ? GLOB_APPEND : 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        char folder[] = "/tmp/studbay-where-XXXXXX", command[64];
        struct buf why = {0};
        assert_non_null(mkdtemp(folder));
        bool held =
            renamed_is_the_plan(found.gl_pathv[i], NULL, i + 1, i < 12 ? 6 : 1, folder, &why);
        if (!held)
            print_error("%s: %s\n", found.gl_pathv[i], buf_text(&why));
        faults += !held;
        snprintf(command, sizeof command, "rm -r %s", folder);
        assert_int_equal(system(command), 0);
        buf_free(&why);
    }
    globfree(&found);
    assert_int_equal(faults, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(places_of_a_room),
        cmocka_unit_test(sorts_of_names),
        cmocka_unit_test(renames),
        cmocka_unit_test(refuses),
        cmocka_unit_test(names_in_units),
        cmocka_unit_test(names_that_nothing_reads),
        cmocka_unit_test(names_that_stand_nearer),
        cmocka_unit_test(copies_of_rooms),
        cmocka_unit_test(rows_and_islands),
        cmocka_unit_test(definitions_of_a_plan),
        cmocka_unit_test(included_files),
        cmocka_unit_test(copies_of_another_file),
        cmocka_unit_test(names_in_the_log),
        cmocka_unit_test(handles_in_the_log),
        cmocka_unit_test(labels_in_the_log),
        cmocka_unit_test(tells_what_reports_say),
        cmocka_unit_test(tells_hostile_words),
        cmocka_unit_test(walks_a_circuit),
        cmocka_unit_test(no_name_is_missed),
        cmocka_unit_test(plans_of_the_tree),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}

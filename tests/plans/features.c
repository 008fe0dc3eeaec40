/* What a plan has besides rooms, panels and circuits: one function for each feature and one line of
 * the table, with where it is asked for and how often it comes.
 *
 * A NEW FEATURE OF THE LANGUAGE joins here: write a function that puts its words on the thing that
 * it is given (a room, a box, a circuit, a run, by their number), or that adds what it needs with
 * draft_box, draft_next, draft_device and draft_wall, and a line of `features`. `clean` is its
 * chance, in percent, in a plan that is meant to be without an error, 0 where it cannot be; `bold`
 * in the others. What a circuit can be made of stands in wirings.c. plans_test.c tells which lines
 * of statements.def no plan of the generator has. */
#include "draft.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* --- the plan ------------------------------------------------------------------------------- */

static void say_edition(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_printf(&d->plan, "edition %s\n",
               ONE_OF(d, "nec-2023", "nec-2023", "nec-2023", "nec-2026", "nec-2017", "nec-2020"));
}

static void say_head(struct draft *d, unsigned unused)
{
    (void)unused;
    /* before and after the end of an exemption, and what is no date to hang it on */
    buf_printf(&d->plan, "date \"%s\"\n", ONE_OF(d, "2026-04-01", "2026-10-12", "this spring"));
    buf_puts(&d->plan, "language 1\nsite \"Orchard lane\"\nowner \"A. Owner\"\npermit \"pending\"\n"
                       "by \"the owner\"\nnote \"drawn up at random\"\n"
                       "book \"https://example.org/book.html\"\n");
}

static void say_orders(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_printf(&d->plan, "slack %s\nstock-step %s\n", ONE_OF(d, "6\"", "1'", "0\""),
               ONE_OF(d, "6\"", "1'", "1/4\""));
}

static void say_supply(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_puts(&d->plan, "supply 120/240 V\n");
}

static void say_prices(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_puts(&d->plan, "currency USD\n");
    buf_puts(&d->ends, "price breaker 20 A afci 58.00\nprice receptacle 1.40\n"
                       "price receptacle-gfci 21.50\n");
}

/* What the work costs, and how long it takes. */
static void say_terms(struct draft *d, unsigned unused)
{
    (void)unused;
    static const char *const lines[] = {
        "rate bore 1.5 min\n",
        "rate pull 0.15 min\nrate make-up 0.2 h\n",
        "rate set 7 min\nrate staple 0.333 min\n",
        "rate trim 0 min\nrate test 45 min\n",
        "wage 52.00\n",
        "rental \"right-angle drill\" 45.00 days 2\n",
        "rental \"lift\" 120.50\nrental \"lift\" 90\n",
        "allowance \"luminaires, as the owner chooses\" 600.00\n",
        "markup 12 % on materials\n",
        "markup 7.5 %\n",
        "markup 3.333 % on work\n",
        "tax 8.25 % on materials\n",
        "tax 1 %\ntax 2 % on rentals\n",
        "price nail-on-1g-18 0.0349\nprice staple 0.035\nprice cover 0.89\n",
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        if (chance(&d->state, 50))
            buf_puts(&d->ends, lines[i]);
}

static void say_calculation(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_puts(&d->plan, ONE_OF(d, "area 900 ft2\ncalculate dwelling\n",
                              "calculate addition\nexisting 60 A measured\nservice 200 A\n",
                              "calculate feeder\nexisting 1200 W \"the old house\"\n"));
}

/* Some rooms stand in a second file. */
static void set_apart(struct draft *d, unsigned unused)
{
    (void)unused;
    d->apart = d->room_count > 1;
}

/* All rooms, panels and circuits stand in a pattern, and units follow it. */
static void set_in_units(struct draft *d, unsigned unused)
{
    (void)unused;
    d->in_units = !d->apart;
}

/* --- levels --------------------------------------------------------------------------------- */

static void say_level(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_printf(
        &d->level_words, "ceiling 8'\nwalls %s at 16\"\njoists %s at 16\" running %s\nbore 24\"\n",
        ONE_OF(d, "2x4", "2x4", "2x6"), ONE_OF(d, "2x10", "2x12"), ONE_OF(d, "east", "north"));
    if (d->bold && chance(&d->state, 20))
        buf_puts(&d->level_words,
                 ONE_OF(d, "below-grade\nambient 60 F\nfloor-joists 2x10 at 16\" running east\n",
                        "below-grade\n", "below-grade\nslab no\n"));
    else
        d->slab = chance(&d->state, 25);
}

/* --- boxes ---------------------------------------------------------------------------------- */

static void say_box_type(struct draft *d, unsigned box)
{
    struct draft_box *b = &d->boxes[box];
    if (strchr(buf_text(&b->words), '\n'))
        return;
    bool flat = !strncmp(b->place, "overhead", 8) || !strncmp(b->place, "floor", 5);
    if (flat)
        return;
    buf_printf(&b->words, "type %s\n",
               ONE_OF(d, "square-2-1-8-deep", "nail-on-2g-42", "square-large-2-1-8-deep",
                      "nail-on-3g-54"));
}

static void say_box_words(struct draft *d, unsigned box)
{
    buf_printf(&d->boxes[box].words, "%s\n",
               ONE_OF(d, "terminal-blocks 1", "gangs 2", "gangs 3", "cover blank", "cover in-use",
                      "type own-square", "waive box-height because \"asked for\""));
}

/* --- circuits and runs ---------------------------------------------------------------------- */

static void say_circuit_words(struct draft *d, unsigned circuit)
{
    buf_printf(&d->circuits[circuit].words, "%s\n",
               ONE_OF(d, "drop 3 %", "drop 5 %", "waive voltage-drop because \"measured\""));
}

static void say_circuit_cable(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    buf_printf(&c->words, "cable %s/%s\n", c->amps == 15 ? "14" : "12",
               c->use == USE_MULTIWIRE ? "3" : ONE_OF(d, "2", "3"));
}

/* What is sold but rarely chosen: copper-clad conductors to a thing of its own. */
static void say_clad(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    if (d->defined && c->use == USE_OWN && !c->existing)
        buf_puts(&c->words, "cable 10/2-clad\n");
}

static void say_run_words(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    struct draft_run *r = &c->runs[c->run_count ? pick(&d->state, c->run_count) : 0];
    if (!c->run_count || *r->words)
        return;
    snprintf(r->words, sizeof r->words, "%s",
             ONE_OF(d, " via overhead", " via studs",
                    d->slab && !d->bold ? " via overhead" : " via under", " spare 3'", " fished",
                    " exposed", " spaced", " running-board", " guard-strips", " length 40'",
                    " \"a note of its own\""));
}

static void say_bold_run_words(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    if (c->run_count && !*c->runs[0].words)
        snprintf(c->runs[0].words, sizeof c->runs->words, " %s",
                 ONE_OF(d, "notched 1/2\"", "underground 24\"", "underground 12\" under slab",
                        "underground 18\" under building", "overhead", "for circuits 1, 2",
                        "existing", "line-side", "length 3'", "cable 14/2 + 14/3", "cable 14/2"));
}

/* A raceway for all runs of a circuit, with the conductors or without. */
static void say_raceway(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    if (c->existing || strstr(buf_text(&c->words), "cable "))
        return;
    buf_printf(&c->words, "in %s\n",
               d->defined && chance(&d->state, 30) ? ONE_OF(d, "own-tube", "own-hose")
               : !d->bold /* larger ones go through no plate of 2x4 */
                   ? ONE_OF(d, "emt-3/4", "emt-1", "pvc-3/4", "pvc80-1", "fmc-3/4", "lfmc-3/4",
                            "lfnc-3/4", "rmc-3/4")
                   : ONE_OF(d, "emt-1", "emt-1-1/4", "pvc-1", "pvc80-1-1/2", "fmc-1", "lfmc-1",
                            "lfnc-1-1/4", "rmc-1"));
    if (chance(&d->state, 30))
        buf_printf(&c->words, "ground%s\n", ONE_OF(d, "", " green", " bare"));
    if (d->bold && chance(&d->state, 30))
        buf_printf(&c->words, "cable %s\n", ONE_OF(d, "thhn-12", "thhn-14", "thhn-1/0", "use2-2"));
}

static void say_bold_raceway(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    struct draft_run *r = &c->runs[c->run_count ? pick(&d->state, c->run_count) : 0];
    if (c->run_count && !*r->words)
        snprintf(r->words, sizeof r->words, " %s",
                 ONE_OF(d, "in emt-1/2 bends 5", "in emt-1 bends 2 ground",
                        "in pvc-1 underground 18\"", "in rmc-1 underground 6\" under street",
                        "in pvc-3/4 underground 12\" under concrete",
                        "in emt-1/2 for circuits 1, 2", "in fmc-1/2 cable thhn-12",
                        "in emt-1/2 cable 12/2", "cable thhn-12", "in pvc-1/2 fished",
                        "in emt-3/4 overhead", "in rmc-2 length 12'"));
}

/* The conduit body for the raceway of a circuit; NULL where none is made for it. */
static const char *body_for(struct draft *d, const char *words)
{
    static const struct {
        const char *raceway, *size;
        bool plastic;
    } fits[] = {{"in emt-3/4", "3-4", false}, {"in emt-1\n", "1", false},
                {"in rmc-3/4", "3-4", false}, {"in rmc-1\n", "1", false},
                {"in pvc-3/4", "3-4", true},  {"in pvc-1\n", "1", true},
                {"in pvc80-1\n", "1", true}};
    static char type[40];
    for (unsigned i = 0; i < sizeof fits / sizeof *fits; i++)
        if (strstr(words, fits[i].raceway)) {
            snprintf(type, sizeof type, "type body-%s%s-%s", fits[i].plastic ? "pvc-" : "",
                     ONE_OF(d, "lb", "ll", "lr", "c", "t"), fits[i].size);
            return type;
        }
    return NULL;
}

/* A box on the way of a run in a raceway, from which its conductors are pulled through: they go on
 * uncut. Bold ones are of any size, hold things, or are no such boxes. */
static void pull_through(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    const char *words = buf_text(&c->words), *in = strstr(words, "in ");
    bool raceway = in && (in == words || in[-1] == '\n');
    unsigned at = c->run_count ? pick(&d->state, c->run_count) : 0;
    if (!c->run_count || c->run_count + 1 >= sizeof c->runs / sizeof *c->runs ||
        c->box_count >= MOST_OF_CIRCUIT || c->existing || (!raceway && !d->bold) ||
        *c->runs[at].words)
        return;
    unsigned before = c->run_count;
    int box =
        draft_next_in(d, c, c->runs[at].from, chance(&d->state, 50) ? COUNTER_HIGH : OVERHEAD);
    if (c->run_count == before) /* there is no place left */
        return;
    c->runs[at].from = box;
    const char *body = raceway ? body_for(d, in) : NULL;
    if (d->bold && chance(&d->state, 30))
        body = ONE_OF(d, "type body-lb-1-2", "type body-pvc-t-3-4", "type body-c-2",
                      d->defined ? "type own-body" : "pulled-through");
    buf_printf(&d->boxes[box].words, "cover blank\n%s\n",
               body && chance(&d->state, 60) ? body : "pulled-through");
    if (d->bold && chance(&d->state, 20))
        draft_device(d, box, c, "%s", ONE_OF(d, "receptacle", "luminaire", "switch leg l1"));
}

static void panel_words(struct draft *d, unsigned panel)
{
    buf_printf(&d->panels[panel].words, "%s\n",
               ONE_OF(d, "bus 200 A", "taken 40", "terminals 75 C", "al-cu",
                      "waive panel-place because \"as it was\"", "existing"));
}

/* One that heats only when another cannot. */
static void back_up(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    if (c->use != USE_TWO_POLE || c->box_count < 2)
        return;
    char name[40];
    draft_device(d, c->boxes[1], c, "heater backup of %s",
                 draft_address(d, c->boxes[0], name, sizeof name));
}

/* A second circuit reaches a box of another one: devices say whose they are. */
static void share_box(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    if (!c->box_count || d->circuit_count < 2 || c->use & (USE_TWO_POLE | USE_ALARMS | USE_OWN))
        return;
    struct draft_circuit *other = &d->circuits[(circuit + 1) % d->circuit_count];
    if (other->panel != c->panel || !other->box_count ||
        other->use & (USE_TWO_POLE | USE_ALARMS | USE_OWN | USE_MULTIWIRE))
        return;
    int at = c->boxes[pick(&d->state, c->box_count)];
    struct draft_box *b = &d->boxes[at];
    if (b->shared || strchr(buf_text(&b->devices), '{') || strstr(buf_text(&b->words), "capped"))
        return;
    struct buf named = {0};
    for (size_t i = 0; i < b->devices.n; i++) {
        if (b->devices.at[i] == '\n')
            buf_printf(&named, " circuit %s", c->name);
        buf_putc(&named, b->devices.at[i]);
    }
    buf_free(&b->devices);
    b->devices = named;
    b->shared = true;
    draft_run(other, draft_tail(d, other), at, "");
    unsigned leg = ++d->legs;
    draft_device(d, at, other, "switch leg l%u", leg);
    int light = draft_next(d, other, at, OVERHEAD);
    draft_device(d, light, other, "luminaire leg l%u", leg);
}

/* Boxes that it serves: reached by its runs too, in a bold plan perhaps by others alone, or by
 * none.
 */
static void say_serves(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    struct draft_circuit *of =
        d->bold && chance(&d->state, 30) ? &d->circuits[pick(&d->state, d->circuit_count)] : c;
    char name[40];
    if (!of->box_count || c->existing)
        return;
    buf_puts(&c->words, "serves");
    for (unsigned i = 0; i < of->box_count && i < 5; i++)
        buf_printf(&c->words, " %s", draft_address(d, of->boxes[i], name, sizeof name));
    buf_putc(&c->words, '\n');
    if (d->bold && chance(&d->state, 40) && of == c)
        c->run_count = pick(&d->state, c->run_count + 1);
}

static void add_serves(struct draft *d, unsigned unused)
{
    (void)unused;
    for (unsigned i = 0; i < d->circuit_count; i++)
        if (chance(&d->state, 25))
            say_serves(d, i);
}

/* Halves of a receptacle fed by two circuits. */
static void split_by_circuits(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit], *other;
    other = &d->circuits[(circuit + 1) % d->circuit_count];
    if (c->use != USE_RECEPTACLES || other->use != USE_RECEPTACLES || c->panel != other->panel ||
        c == other || !c->box_count || !other->box_count)
        return;
    int at = draft_next(d, c, draft_tail(d, c), LOW);
    if (at == NO_BOX || d->boxes[at].devices.n || d->boxes[at].shared)
        return;
    d->boxes[at].shared = true;
    draft_run(other, draft_tail(d, other), at, "");
    unsigned leg = ++d->legs;
    if (chance(&d->state, 50)) {
        draft_device(d, at, c, "switch leg l%u", leg);
        buf_printf(&d->boxes[at].devices,
                   "receptacle { half leg l%u circuit %s; half circuit %s }\n", leg, c->name,
                   other->name);
    } else {
        buf_printf(&d->boxes[at].devices, "receptacle { half circuit %s; half circuit %s }\n",
                   c->name, other->name);
    }
}

/* Two circuits in one cable; in a bold plan the second of them also by one of its own. */
static void share_cable(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit],
                         *other = &d->circuits[(circuit + 1) % d->circuit_count];
    if (c->use != USE_RECEPTACLES || other->use != USE_RECEPTACLES || c->panel != other->panel ||
        c == other || !c->box_count || !other->box_count || c->existing || other->existing)
        return;
    int at = draft_next(d, c, draft_tail(d, c), LOW), to = draft_next(d, c, at, LOW);
    if (at == to || d->boxes[at].devices.n || d->boxes[to].devices.n || d->boxes[at].shared ||
        d->boxes[to].shared)
        return;
    d->boxes[at].shared = d->boxes[to].shared = true;
    char words[40];
    snprintf(words, sizeof words, " for circuits %s", other->name);
    memcpy(c->runs[c->run_count - 1].words, words, sizeof words);
    draft_run(other, draft_tail(d, other), at, "");
    if (d->bold && chance(&d->state, 40))
        draft_run(other, at, to, "");
    draft_device(d, at, c, "receptacle");
    draft_device(d, to, chance(&d->state, 50) ? c : other, "receptacle");
    draft_device(d, to, other, "receptacle");
}

/* A leg kept for later in a box of another circuit, or far away. */
static void cap_elsewhere(struct draft *d, unsigned box)
{
    if (d->legs)
        buf_printf(&d->boxes[box].words, "capped leg l%u\n", 1 + pick(&d->state, d->legs));
}

/* --- what was there ------------------------------------------------------------------------- */

/* What goes: a circuit, the end of one, a box. */
static void take_out_circuit(struct draft *d, unsigned circuit)
{
    buf_puts(&d->circuits[circuit].words, "remove\n");
}

static void take_out_run(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    if (c->run_count && !*c->runs[c->run_count - 1].words)
        snprintf(c->runs[c->run_count - 1].words, sizeof c->runs->words, "%s",
                 ONE_OF(d, " remove", " remove abandoned"));
}

static void take_out_box(struct draft *d, unsigned box)
{
    if (!strchr(buf_text(&d->boxes[box].words), '\n'))
        buf_puts(&d->boxes[box].words, ONE_OF(d, "remove\n", "remove\ncover blank\n"));
}

/* One of the devices of a box goes. */
static void take_out_device(struct draft *d, unsigned box)
{
    struct buf *devices = &d->boxes[box].devices;
    if (!devices->n || devices->at[devices->n - 1] != '\n' || strchr(buf_text(devices), '{'))
        return;
    devices->at[--devices->n] = '\0';
    buf_puts(devices, ONE_OF(d, " remove\n", " remove\n", " remove\nreceptacle existing no\n"));
}

static void make_existing(struct draft *d, unsigned circuit)
{
    struct draft_circuit *c = &d->circuits[circuit];
    if (c->box_count < 2 || c->use & (USE_TWO_POLE | USE_MULTIWIRE) || c->runs[0].from != NO_BOX)
        return;
    c->existing = true;
    if (chance(&d->state, 30))
        snprintf(c->breaker + strlen(c->breaker), sizeof c->breaker - strlen(c->breaker), " new");
    buf_puts(&c->words, "existing\nload 400 W \"what was there\"\nupstream 35' of 12\n");
    struct draft_box *b = &d->boxes[c->boxes[0]];
    buf_puts(&b->words, "existing\nholds 2 of 12\ngrounds 1\n");
    if (chance(&d->state, 30))
        buf_puts(&b->devices, "receptacle remove\n");
    memmove(c->runs, c->runs + 1, --c->run_count * sizeof *c->runs);
}

/* --- the ends ------------------------------------------------------------------------------- */

static void add_coils(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_puts(&d->ends,
             "coil 12/2 250' price 138.00\ncoil 14/2 63' on-hand as tail-end\n"
             "coil 14/3 250' price 152.00 count 2\n"
             "coil thhn-12 500' color white on-hand as spool\ncoil thhn-14 500' price 61.00\n"
             "coil emt-1 10' on-hand count 4\n");
}

static void add_low_voltage(struct draft *d, unsigned unused)
{
    (void)unused;
    int from = draft_box(d, pick(&d->state, d->room_count), LOW);
    if (from == NO_BOX)
        return;
    buf_puts(&d->boxes[from].devices, "data\ncoax\n");
    char a[40], b[40];
    buf_printf(&d->low_voltage, "low-voltage network {\n  cable cat6\n");
    for (unsigned i = 0, n = 1 + pick(&d->state, 3); i < n; i++) {
        int to = draft_box(d, pick(&d->state, d->room_count), LOW);
        if (to == NO_BOX)
            break;
        buf_puts(&d->boxes[to].devices, "data\n");
        buf_printf(&d->low_voltage, "  run %s -> %s\n", draft_address(d, from, a, sizeof a),
                   draft_address(d, to, b, sizeof b));
    }
    buf_puts(&d->low_voltage, "}\n\n");
}

/* The last room stands apart, with what its supply may want there. */
static void set_building(struct draft *d, unsigned unused)
{
    (void)unused;
    char at[40];
    if (d->in_units || d->room_count < 2 || !d->box_count)
        return;
    buf_printf(&d->ends, "building barn \"Barn\" {\n  rooms room%u\n%s", d->room_count,
               ONE_OF(d, "", "  electrode\n", "  waive building-supply because \"as it was\"\n"));
    if (chance(&d->state, 50))
        buf_printf(&d->ends, "  disconnect %s\n",
                   draft_address(d, (int)pick(&d->state, d->box_count), at, sizeof at));
    buf_puts(&d->ends, "}\n");
}

/* A leg for whose boxes there was no place is not to be declared. */
static bool leg_is_used(struct draft *d, unsigned leg)
{
    char word[24];
    int n = snprintf(word, sizeof word, "leg l%u", leg);
    for (unsigned i = 0; i < d->box_count; i++)
        for (const char *at = buf_text(&d->boxes[i].devices); (at = strstr(at, word)); at++)
            if (!strchr("0123456789", at[n]) || !at[n])
                return true;
    return false;
}

static void say_legs(struct draft *d, unsigned unused)
{
    (void)unused;
    for (unsigned leg = 1; leg <= d->legs; leg++)
        if (d->bold || leg_is_used(d, leg))
            buf_printf(&d->legs_said, "leg l%u \"worked together\"%s\n", leg,
                       chance(&d->state, 10) ? " { limit 4000 W }" : "");
    if (d->legs)
        buf_puts(&d->legs_said, "\n");
}

static void add_waiver(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_puts(&d->ends, "waive voltage-drop because \"measured on site\" by \"the office\" on "
                       "\"2026-05-01\"\n");
}

/* Cables wider than any that is sold, so that what is asked at random can be wired. */
static void add_wide_cables(struct draft *d, unsigned unused)
{
    (void)unused;
    buf_puts(&d->definitions,
             "cable 12/9 : nm { size 12; conductors black red blue yellow brown orange pink white "
             "white-red; diameter 0.7\"; stock 1000' }\n");
}

/* Devices and a box of the plan's own definitions. */
static void say_definitions_used(struct draft *d, unsigned unused)
{
    (void)unused;
    if (!d->defined || !d->circuit_count)
        return;
    for (unsigned i = 0; i < d->circuit_count; i++) {
        struct draft_circuit *c = &d->circuits[i];
        if (c->use != USE_LIGHTS || c->existing)
            continue;
        unsigned leg = ++d->legs;
        int place = draft_next(d, c, draft_tail(d, c), SWITCH_HIGH);
        draft_device(d, place, c, "own-switch leg l%u", leg);
        int light = draft_next(d, c, place, OVERHEAD);
        draft_device(d, light, c,
                     chance(&d->state, 50) ? "bench-lamp leg l%u"
                                           : "own-pair { lamp leg l%u; blower }",
                     leg);
        return;
    }
}

/* Finishes that were put on, and what was taken out, be it that it stays by the plan. What was left
 * behind them stands. */
static void log_finishes(struct draft *d, unsigned unused)
{
    (void)unused;
    char name[40];
    if (d->in_units)
        return;
    for (unsigned i = 0; i < d->room_count; i++)
        if (chance(&d->state, 50))
            buf_printf(&d->log, "2026-03-%02u closed %s%s\n", 1 + pick(&d->state, 28),
                       d->rooms[i].name, ONE_OF(d, "", " north", " west", " ceiling"));
    buf_puts(&d->ends, "waive closed-too-early because \"opened again\"\n");
    for (unsigned i = 0; i < d->box_count; i++)
        if (d->bold ? chance(&d->state, 10)
                    : strstr(buf_text(&d->boxes[i].devices), " remove\n") != NULL)
            buf_printf(&d->log, "2026-02-%02u removed %s\n", 1 + pick(&d->state, 28),
                       draft_address(d, (int)i, name, sizeof name));
    for (unsigned i = 0; i < d->circuit_count && d->bold; i++)
        if (chance(&d->state, 20))
            buf_printf(&d->log, "2026-02-%02u removed circuit %s.%s\n", 1 + pick(&d->state, 28),
                       d->panels[d->circuits[i].panel].name, d->circuits[i].name);
}

/* The first two cables of a circuit, pulled in one where one follows the other. */
static void log_strand(struct draft *d, const struct draft_circuit *c, const char *from)
{
    const struct draft_run *first = &c->runs[0], *next = &c->runs[1];
    char name[40], behind[40];
    if (c->run_count < 2 || next->from != first->to || next->to == NO_BOX)
        return;
    buf_printf(&d->log, "2026-03-%02u pulled %s -> %s -> %s %u'%s\n", 1 + pick(&d->state, 28), from,
               draft_address(d, first->to, name, sizeof name),
               draft_address(d, next->to, behind, sizeof behind), 300 + pick(&d->state, 60),
               ONE_OF(d, "", " from 14/2-1", " # in one"));
}

static void keep_log(struct draft *d, unsigned unused)
{
    (void)unused;
    char name[40];
    for (unsigned i = 0; i < d->circuit_count && !d->in_units; i++) {
        struct draft_circuit *c = &d->circuits[i];
        if (!c->run_count || !chance(&d->state, 40))
            continue;
        const struct draft_run *r = &c->runs[0];
        if (r->to == NO_BOX || c->existing)
            continue;
        buf_printf(&d->log, "2026-03-%02u %s %s -> %s%s\n", 1 + pick(&d->state, 28),
                   ONE_OF(d, "bored", "pulled", "stapled"),
                   r->from == NO_BOX ? d->panels[c->panel].name : "P",
                   draft_address(d, r->to, name, sizeof name), "");
        if (chance(&d->state, 50))
            buf_printf(&d->log, "2026-03-%02u pulled %s -> %s %u'%s\n", 1 + pick(&d->state, 28),
                       r->from == NO_BOX ? d->panels[c->panel].name : "P", name,
                       150 + pick(&d->state, 60), ONE_OF(d, "", " from 14/2-1", " # tight"));
        if (chance(&d->state, 25))
            log_strand(d, c, r->from == NO_BOX ? d->panels[c->panel].name : "P");
        if (chance(&d->state, 30))
            buf_printf(&d->log, "2026-04-%02u %s %s # as drawn\n", 1 + pick(&d->state, 28),
                       ONE_OF(d, "set", "made-up", "inspected", "trimmed", "tested"), name);
        if (chance(&d->state, 20))
            buf_printf(&d->log, "2026-03-%02u photo %s of %.*s%s\n", 1 + pick(&d->state, 28),
                       ONE_OF(d, "wall.jpg", "\"open wall.png\""), (int)strcspn(name, "."), name,
                       ONE_OF(d, "", " ceiling", " north", " # stapled"));
    }
}

/* --- the table ------------------------------------------------------------------------------ */

/* What a feature is asked for: once for the plan before or after all is drawn, or for each thing of
 * a sort when all circuits are drawn. */
enum stage { FIRST, EACH_ROOM, EACH_PANEL, EACH_CIRCUIT, EACH_BOX, LAST };

static const struct feature {
    enum stage stage;
    unsigned clean, bold; /* percent */
    void (*put)(struct draft *, unsigned thing);
} features[] = {
    {FIRST, 100, 100, say_edition},
    {FIRST, 30, 30, say_head},
    {FIRST, 30, 30, say_orders},
    {FIRST, 30, 30, say_supply},
    {FIRST, 30, 30, say_prices},
    {FIRST, 25, 30, say_terms},
    {FIRST, 0, 20, say_calculation},
    {FIRST, 15, 15, set_apart},
    {FIRST, 10, 10, set_in_units},
    {FIRST, 100, 100, say_level},
    {FIRST, 20, 20, feature_definitions},
    {FIRST, 30, 100, add_wide_cables},
    {FIRST, 20, 20, feature_copies},
    {EACH_ROOM, 0, 20, feature_kind},
    {EACH_ROOM, 20, 30, feature_room_words},
    {EACH_ROOM, 15, 20, feature_walls},
    {EACH_ROOM, 0, 20, feature_bold_room_words},
    {EACH_ROOM, 40, 40, feature_window},
    {EACH_ROOM, 10, 20, feature_outside_door},
    {EACH_ROOM, 20, 20, feature_furniture},
    {EACH_ROOM, 10, 10, feature_cabinet},
    {EACH_ROOM, 10, 10, feature_pipe},
    {EACH_ROOM, 0, 15, feature_bulk},
    {EACH_ROOM, 0, 30, feature_fixture},
    {EACH_ROOM, 0, 10, feature_on_floor},
    {EACH_ROOM, 15, 15, feature_outline},
    {EACH_CIRCUIT, 20, 30, share_box},
    {EACH_CIRCUIT, 10, 20, share_cable},
    {EACH_CIRCUIT, 0, 30, split_by_circuits},
    {EACH_CIRCUIT, 5, 10, make_existing},
    {EACH_CIRCUIT, 0, 4, take_out_circuit},
    {EACH_CIRCUIT, 0, 8, take_out_run},
    {EACH_BOX, 0, 3, take_out_box},
    {EACH_BOX, 0, 3, take_out_device},
    {EACH_CIRCUIT, 5, 20, say_circuit_words},
    {EACH_CIRCUIT, 0, 10, say_circuit_cable},
    {EACH_CIRCUIT, 10, 15, say_clad},
    {EACH_CIRCUIT, 8, 12, say_raceway},
    {EACH_CIRCUIT, 0, 10, say_bold_raceway},
    {EACH_CIRCUIT, 10, 30, say_run_words},
    {EACH_CIRCUIT, 0, 15, say_bold_run_words},
    {EACH_CIRCUIT, 0, 10, back_up},
    {EACH_CIRCUIT, 40, 30, pull_through},
    {EACH_PANEL, 0, 30, panel_words},
    {EACH_BOX, 0, 2, say_box_type},
    {EACH_BOX, 0, 3, say_box_words},
    {EACH_BOX, 0, 2, cap_elsewhere},
    {LAST, 20, 20, add_low_voltage},
    {LAST, 30, 30, add_coils},
    {LAST, 60, 60, say_legs},
    {LAST, 10, 20, add_waiver},
    {LAST, 0, 15, set_building},
    {LAST, 0, 16, feature_amendment},
    {LAST, 20, 30, keep_log},
    {LAST, 15, 20, log_finishes},
    {LAST, 20, 30, say_definitions_used},
    {LAST, 30, 40, add_serves},
};

static void ask_features(struct draft *d, enum stage stage, unsigned things)
{
    for (unsigned i = 0; i < sizeof features / sizeof *features; i++)
        for (unsigned thing = 0; thing < things && features[i].stage == stage; thing++)
            if (chance(&d->state, d->bold ? features[i].bold : features[i].clean))
                features[i].put(d, thing);
}

/* --- drawing up ----------------------------------------------------------------------------- */

static void add_panel(struct draft *d, unsigned room)
{
    struct draft_panel *p = &d->panels[d->panel_count++];
    unsigned at;
    snprintf(p->name, sizeof p->name, "%s", d->panel_count == 1 ? "P" : "Q");
    p->room = room;
    p->spaces = 42;
    enum draft_side side = (enum draft_side)pick(&d->state, SIDES);
    for (unsigned i = 0; i < SIDES; i++, side = (side + 1) % SIDES)
        if (draft_wall(d, room, side, 2, &at))
            break;
    buf_printf(&p->words, "in %s %s at %u' up 5'\n%s\n", d->rooms[room].name, draft_side_word(side),
               at / 12 + 1, d->panel_count == 1 ? "main 200 A" : "bus 100 A");
    if (chance(&d->state, 30)) {
        unsigned first = 25 + pick(&d->state, 10), last = first + pick(&d->state, 6);
        buf_printf(&p->words, "taken %u to %u\n", first, last);
        for (unsigned n = first; n <= last; n++)
            p->taken[n] = true;
    }
    p->half_size = chance(&d->state, 20);
    if (p->half_size)
        buf_puts(&p->words, "half-size\n");
    if (d->panel_count > 1)
        buf_printf(&p->words, "feeder from P breaker 60 A%s\n",
                   ONE_OF(d, "", " cable 6/3", " via overhead", " cable 4/3", " { length 60' }",
                          d->bold && d->defined ? " al-cu cable 6/3-thin" : " al-cu"));
}

static const struct {
    enum draft_use use;
    unsigned weight, amps, poles;
    const char *words;
    bool bold; /* in bold plans alone */
} uses[] = {
    {USE_LIGHTS, 30, 15, 1, " afci", false},
    {USE_RECEPTACLES, 30, 20, 1, " dual-function", false},
    {USE_MULTIWIRE, 6, 20, 2, " two-pole dual-function", false},
    {USE_MULTIWIRE, 2, 20, 2, " tied", true},
    {USE_TWO_POLE, 8, 20, 2, " two-pole gfci", false},
    {USE_ALARMS, 4, 15, 1, " afci", false},
    {USE_OWN, 8, 20, 1, " dual-function", false},
};

/* Its space: that of its number, or of a word that says it or leaves it to be found. Of two
 * half-size breakers in a space the second is named by a word. */
static void name_circuit(struct draft *d, struct draft_circuit *c, unsigned poles)
{
    struct draft_panel *p = &d->panels[c->panel];
    bool second = poles == 1 && p->half_taken && chance(&d->state, 60),
         word = second || chance(&d->state, 15);
    c->number = second ? p->half_taken : draft_number(p, poles);
    c->seated = second || chance(&d->state, 50);
    if (second) {
        c->half = "lower";
        p->half_taken = 0;
    } else if (p->half_size && poles == 1 && !p->half_taken && (!word || c->seated) &&
               chance(&d->state, 40)) {
        c->half = "upper";
        p->half_taken = c->number;
    }
    snprintf(c->name, sizeof c->name, "%s%u%s", word ? "c" : "", c->number, second ? "-low" : "");
}

/* A circuit without boxes, or NULL where the panels are full. */
static struct draft_circuit *begin_circuit(struct draft *d, unsigned use, unsigned room)
{
    struct draft_circuit *c = &d->circuits[d->circuit_count];
    c->panel = pick(&d->state, d->panel_count);
    name_circuit(d, c, uses[use].poles);
    if (!c->number || d->circuit_count + 1 == MOST_CIRCUITS)
        return NULL;
    d->circuit_count++;
    c->use = uses[use].use;
    c->amps = uses[use].amps;
    c->room = room;
    snprintf(c->breaker, sizeof c->breaker, "%s", uses[use].words);
    return c;
}

static bool add_circuit(struct draft *d)
{
    unsigned all = 0, use = 0;
    for (unsigned i = 0; i < sizeof uses / sizeof *uses; i++)
        all += uses[i].bold && !d->bold ? 0 : uses[i].weight;
    for (unsigned at = pick(&d->state, all), weight;; use++) {
        weight = uses[use].bold && !d->bold ? 0 : uses[use].weight;
        if (at < weight)
            break;
        at -= weight;
    }
    struct draft_circuit *c = begin_circuit(d, use, pick(&d->state, d->room_count));
    if (!c)
        return false;
    /* loads that stay on add up: a clean plan has few of them on a breaker */
    unsigned most = c->use == USE_OWN                      ? 1
                    : d->bold                              ? 20
                    : c->use & (USE_TWO_POLE | USE_LIGHTS) ? 3
                                                           : 9,
             wanted = 1 + pick(&d->state, most);
    wanted = wanted < d->budget ? wanted : d->budget;
    for (unsigned tries = 0; c->box_count < wanted && tries < 20; tries++)
        draft_wiring(d, c);
    return true;
}

/* What rules ask of every room: a light that a switch at it works. */
static void light_rooms(struct draft *d)
{
    struct draft_circuit *c = NULL;
    for (unsigned room = 0; room < d->room_count; room++) {
        if (room % 4 == 0)
            c = begin_circuit(d, 0, room);
        if (c)
            draft_light_room(d, c, room);
    }
}

void draft_draw_up(struct draft *d, unsigned boxes)
{
    d->budget = boxes;
    draft_house(d, boxes);
    ask_features(d, FIRST, 1);
    ask_features(d, EACH_ROOM, d->room_count);
    add_panel(d, 0);
    if (d->room_count > 1 && chance(&d->state, 20))
        add_panel(d, 1);
    if (!d->bold)
        light_rooms(d);
    while (d->budget && add_circuit(d))
        ;
    ask_features(d, EACH_PANEL, d->panel_count);
    ask_features(d, EACH_CIRCUIT, d->circuit_count);
    ask_features(d, EACH_BOX, d->box_count);
    ask_features(d, LAST, 1);
}

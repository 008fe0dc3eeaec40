/* No figure of a code book stands in C: those are in stdlib/, with their sources.
 *
 * Every number in src/ is of a kind that no book decides (0, 1 and 2, tolerances, bits, conversions
 * of units, subscripts), or stands in the list below with the reason why it is there; what lays out
 * pages and reads characters is left out by file. Every text in src/ that holds an article, a
 * conductor size or a measure stands in a list too. Run from the top of the tree. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <regex.h>

#include "source_text.h"

/* Files and folders whose numbers say nothing of a building: what of them could be a figure of a
 * book would have to come from elsewhere. */
static const struct {
    const char *path, *why;
} left_out[] = {
    {"src/base/", "memory, characters, units of length"},
    {"src/cmd/", "options and printing"},
    {"src/diag/", "the form of messages"},
    {"src/libstudbay/", "options and printing"},
    {"src/lsp/", "a protocol"},
    {"src/syntax/", "characters and tokens"},
    {"src/fmt/", "the layout of plans"},
    {"src/prove/", "a simulation that sees the make-up alone"},
    {"src/cuts/pack", "the arithmetic of a packing problem"},
    {"src/emit/dot/", "where lines stand on paper"},
    {"src/sheets/", "where lines stand on paper"},
    {"src/paper/", "where lines stand on paper, and how wide they are"},
    {"src/emit/table", "widths of columns, decimals"},
    {"src/emit/sarif", "a format for machines"},
    {"src/resolve/units.def", "units of measure, defined by standards of measure"},
    {"src/resolve/value.c", "units of measure, and how numbers are written"},
    {"src/resolve/line.c", "the form of statements"},
    {"src/resolve/language", "the form of statements"},
    {"src/resolve/match", "the form of statements"},
    {"src/resolve/mend.c", "the form of statements"},
    {"src/resolve/slip.c", "the form of statements"},
};

/* Numbers that stand in other files, and why. */
static const struct known {
    const char *file, *number, *why;
} known[] = {
    {"src/book/rooms.c", "5", "pixels of a millimetre that is drawn"},
    {"src/book/cards.c", "26", "letters of the alphabet"},
    {"src/book/html.c", "32", "from capital letters to small ones"},
    {"src/compare/runs.c", "4", "weight of a run's own name"},
    {"src/compile.c", "64", "largest file in MB, deepest include"},
    {"src/compile.c", "4", "depth of folders; the letters of .bay"},
    {"src/compile.c", "3", "MB that the library and a small plan take"},
    {"src/cuts/cuts.h", "1000", "effort of the quick packing"},
    {"src/emit/views.h", "48", "a scale of paper"},
    {"src/propose/added.c", "10", "decimal digits"},
    {"src/propose/alarms.c", "64", "how often places are chosen anew"},
    {"src/propose/alarms.c", "100000", "steps of a search"},
    {"src/propose/alarms.c", "1000", "a cost above all distances in a house"},
    {"src/propose/receptacles.c", "64", "how often places are chosen anew"},
    {"src/propose/required.c", "16", "places that are tried"},
    {"src/propose/required.c", "8", "parts of the length of a counter where a box is tried"},
    {"src/propose/required.c", "4", "corners"},
    {"src/facts/tags.c", "3", "letters that a tag keeps of a name"},
    {"src/cuts/cuts.c", "10", "tenths of a unit of money"},
    {"src/cuts/labels.h", "3", "lines of a label"},
    {"src/cuts/strands.c", "3", "how far back the hop before one is built"},
    {"src/cuts/opened.c", "10", "decimal digits"},
    {"src/emit/reports/bores.c", "4", "decimals"},
    {"src/emit/reports/inspection_lines.h", "12", "room for the rules of a line"},
    {"src/emit/reports/load.c", "4", "decimals"},
    {"src/emit/rule_page.c", "6", "how far a finding that goes on below is set in"},
    {"src/emit/rule_page.c", "3", "backticks that fence a plan"},
    {"src/emit/reports/inspection_text.c", "6", "where a state is written"},
    {"src/emit/reports/inspection_text.c", "60", "width of a narrow page"},
    {"src/emit/reports/inspection_text.c", "24", "where its evidence is written"},
    {"src/emit/reports/inspection_text.c", "4", "width of the box to tick"},
    {"src/emit/reports/panel.c", "60", "width of a narrow page"},
    {"src/emit/reports/reports.h", "100", "width of a printed page"},
    {"src/emit/reports/test.c", "16", "switches whose positions are counted"},
    {"src/framing/frame.h", "20000", "more members are a slip of the pen"},
    {"src/framing/bulks.c", "200", "parts of a beam that runs aslant"},
    {"src/framing/bulks.c", "3", "three quarters"},
    {"src/framing/bulks.c", "4", "three quarters"},
    {"src/framing/round.c", "24", "beams and ducts that one way is led round"},
    {"src/framing/round.c", "4", "sides of a rectangle, ways on a grid"},
    {"src/model/bulks.c", "4", "place of a value in its statement"},
    {"src/where/log.c", "4", "parts of an address"},
    {"src/where/tell.c", "40", "lines of a definition that an editor shows"},
    {"src/model/bulks.c", "5", "place of a value in its statement"},
    {"src/facts/boxes.c", "3", "places of an area"},
    {"src/facts/boxes.c", "10", "the base of a number"},
    {"src/emit/money.c", "1000000", "millionths of the currency"},
    {"src/emit/money.c", "100", "hundredths of the currency"},
    {"src/emit/reports/estimate.c", "4", "decimals of what is written exactly"},
    {"src/emit/reports/tasks.h", "3", "kinds of work in one task"},
    {"src/emit/reports/times.c", "1000000", "millionths of a minute"},
    {"src/emit/reports/times.c", "100", "hundredths of a minute"},
    {"src/emit/reports/times.h", "60", "minutes of an hour"},
    {"src/model/price_list.c", "40", "bytes of what is written, in a finding"},
    {"src/model/price_list.c", "9", "digits of a number"},
    {"src/model/price_list.c", "6", "digits behind the point"},
    {"src/model/price_list.c", "10", "decimal digits"},
    {"src/facts/boxes.c", "4", "the area of a circle"},
    {"src/rules/boxes/bodies.c", "3", "places of an area"},
    {"src/model/bulks.c", "6", "place of a value in its statement"},
    {"src/framing/risers.c", "64", "ways up that are kept in a search"},
    {"src/loads/balance.c", "48", "effort of a search"},
    {"src/loads/balance.c", "1500", "effort of a search"},
    {"src/loads/demand_parts.h", "4", "a bit set"},
    {"src/loads/demand_ranges.c", "0.5", "to the nearest whole step"},
    {"src/model/power.c", "10", "the base of a number"},
    {"src/model/address.c", "10", "the base of a number"},
    {"src/wiring/fill.c", "16", "choices of boxes that are remembered"},
    {"src/loads/loads.h", "10", "panels one behind another"},
    {"src/loads/panel.h", "4", "moves that are named"},
    {"src/loads/seats.c", "6", "pairs of spaces that are named"},
    {"src/loads/panel.c", "3", "spaces 1 and 3 lie below each other"},
    {"src/loads/panel.c", "4", "spaces of one line lie four numbers apart"},
    {"src/loads/panel.c", "10000", "most spaces that are reckoned with"},
    {"src/log/index.c", "7", "letters of a word"},
    {"src/log/index.c", "8", "letters of a word"},
    {"src/log/index.c", "12", "letters of a word"},
    {"src/log/log.c", "4", "letters of .bay"},
    {"src/log/log.h", "8", "MB of the largest photograph"},
    {"src/model/boxes.c", "64", "legs that a misspelt name is compared with"},
    {"src/model/build.h", "200000", "most boxes that are built"},
    {"src/model/build.h", "10000", "more of what is counted on a line is a slip of the pen"},
    {"src/propose/allot.h", "12", "pieces of which all sets are gone through"},
    {"src/propose/circuits.c", "8", "rounds of trying at the most"},
    {"src/propose/circuits.c", "3", "quotes, and the end of a text"},
    {"src/propose/circuits_share.c", "64", "boxes of a tree that is reckoned exactly"},
    {"src/propose/circuits_titles.c", "3", "rooms that a title names"},
    {"src/propose/circuits_titles.c", "100", "titles alike that are told apart"},
    {"src/propose/propose.h", "5", "steps of a proposal for all"},
    {"src/propose/exchange.c", "8", "places nearest to one, to which a run is joined"},
    {"src/propose/exchange.c", "0.1", "how much the way to the source counts in a search"},
    {"src/propose/exchange.c", "0.3", "the same"},
    {"src/propose/exchange.c", "3", "the same"},
    {"src/propose/prices.c", "2.0", "conductors of a pair"},
    {"src/propose/runs.c", "0.05", "a tenth of a percent, rounded up"},
    {"src/propose/runs.h", "4", "so that costs can be added"},
    {"src/propose/runs.h", "64", "bits of a set"},
    {"src/propose/runs.h", "14", "places up to which all trees are searched"},
    {"src/propose/runs.h", "8", "conductors of a cable at the most"},
    {"src/propose/subsets.c", "24", "trees that are compiled at the most"},
    {"src/propose/subsets.c", "200000000", "steps of a search at the most"},
    {"src/model/tree.c", "16", "circuits of one box that a finding names at the most"},
    {"src/model/tree.c", "8", "boxes of one circuit that a finding names at the most"},
    {"src/wiring/cables.c", "16", "conductors of one cable that a finding names at the most"},
    {"src/model/fixed.c", "3", "place of a value in its statement"},
    {"src/model/orders.c", "3", "place of a value in its statement"},
    {"src/model/orders.c", "4", "place of a value in its statement"},
    {"src/model/power.c", "10000", "a space of a higher number is a slip of the pen"},
    {"src/model/runs.c", "64", "cables of one size that a mend names at the most"},
    {"src/resolve/node.h", "4", "place of a value in a statement"},
    {"src/resolve/node.h", "5", "place of a value in a statement"},
    {"src/resolve/node.h", "6", "place of a value in a statement"},
    {"src/resolve/node.h", "8", "place of a value in a statement"},
    {"src/resolve/rows.c", "3", "place of a value in a statement"},
    {"src/resolve/rows.c", "4", "place of a value in a statement"},
    {"src/resolve/rows.c", "5", "place of a value in a statement"},
    {"src/resolve/rows.c", "8", "place of a value in a statement"},
    {"src/resolve/rows.c", "6", "most digits behind a name"},
    {"src/resolve/rows.c", "10", "digits are decimal"},
    {"src/resolve/rows.c", "400", "most boxes of a row"},
    {"src/model/site.c", "3", "corners of a polygon; place of a value; an alternative"},
    {"src/model/site.c", "1000", "most walls of an outline"},
    {"src/model/site.c", "4", "sides of a rectangle; place of a value"},
    {"src/model/values.c", "8", "missing names of things of which another mend is looked for"},
    {"src/model/values.c", "32", "from capital letters to small ones"},
    {"src/resolve/code.c", "10", "decimal digits"},
    {"src/resolve/definitions.c", "255", "what a byte holds"},
    {"src/resolve/definitions.c", "3", "4/0, the thickest size that has a gauge"},
    {"src/resolve/definitions.c", "4", "travelers of a four-way switch"},
    {"src/resolve/definitions.c", "40", "the thinnest size that has a gauge"},
    {"src/resolve/definitions.c", "5", "behind the terminals of a position"},
    {"src/resolve/devices.c", "4", "terminals of a position, travelers of a four-way switch"},
    {"src/resolve/library.c", "10", "decimal digits"},
    {"src/resolve/library.c", "100", "percent"},
    {"src/resolve/library.c", "255", "what a byte holds"},
    {"src/resolve/library.c", "32", "from small letters to capital ones"},
    {"src/resolve/reading.h", "15", "of a part on a device"},
    {"src/resolve/reading.h", "16", "room for rings"},
    {"src/resolve/reading.h", "255", "what a byte holds"},
    {"src/resolve/reading.h", "32", "room for terminals"},
    {"src/resolve/reading.h", "8", "room for positions and parts"},
    {"src/resolve/library.h", "3", "a bit set"},
    {"src/resolve/library.h", "4", "a bit set"},
    {"src/resolve/library.h", "8", "a bit set"},
    {"src/resolve/library.h", "12", "gangs of the widest box"},
    {"src/resolve/library.h", "16", "a bit set; most conductors of a cable"},
    {"src/resolve/library.h", "32", "a bit set"},
    {"src/resolve/library.h", "64", "a bit set"},
    {"src/resolve/library.h", "128", "a bit set"},
    {"src/resolve/value.h", "1000000", "quantities are kept in millionths"},
    {"src/facts/conductors.c", "0.0005", "a tolerance"},
    {"src/facts/raceways.c", "10", "decimals"},
    {"src/facts/raceways.c", "4", "decimals; a quarter of a square"},
    {"src/facts/raceways.c", "3", "decimals"},
    {"src/wiring/raceways.c", "3", "a place in the list of colours"},
    {"src/wiring/raceways.c", "4", "a place in the list of colours"},
    {"src/wiring/raceways.c", "5", "a place in the list of colours"},
    {"src/framing/routes.c", "3", "axes"},
    {"src/resolve/edit.h", "8", "ways that are offered of many"},
    {"src/rules/panels/clearance.c", "4", "corners of a rectangle"},
    {"src/rules/receptacles/counters.c", "0.999", "a tolerance"},
    {"src/rules/panels/directory.c", "3", "letters at the end of a plural"},
    {"src/rules/panels/directory.c", "4", "letters of the shortest plural"},
    {"src/rules/panels/directory.c", "32", "from capital letters to small ones"},
    {"src/rules/conductors/drop.c", "3", "decimals"},
    {"src/rules/panels/feeders.c", "3", "conductors of a feeder with a neutral: two lines and it"},
    {"src/rules/framing/bores.c", "3", "rules and members told apart"},
    {"src/rules/circuits/individual.c", "4", "others that a message names"},
    {"src/facts/nearby.c", "3", "a square and its neighbours"},
    {"src/facts/nearby.c", "9", "a square and its neighbours"},
    {"src/rules/framing/notches.c", "3", "thirds; members told apart"},
    {"src/rules/panels/panels.c", "4", "breakers that a message names"},
    {"src/rules/geometry/rooms.c", "3", "corners of a polygon"},
    {"src/rules/space.c", "4", "corners of a rectangle; a quadratic equation"},
    {"src/rules/receptacles/along_walls.c", "4", "rooms that a message names"},
    {"src/rules/zones/zones.c", "4", "corners of a rectangle"},
    {"src/wiring/bundles.c", "62", "bits of a key"},
    {"src/wiring/bundles.c", "63", "bits of a key"},
    {"src/wiring/cables.c", "3", "weights of colours"},
    {"src/wiring/cables.c", "4", "weights of colours; most conductors of a cable"},
    {"src/wiring/cables.c", "5", "weights of colours"},
    {"src/wiring/cables.c", "10", "weights of colours"},
    {"src/wiring/cables.c", "100", "weights of colours"},
    {"src/wiring/makeup.c", "16", "room for sizes"},
    {"src/model/power.h", "6", "legs in series that are followed"},
    {"src/wiring/nets.c", "16", "a key of several parts"},
    {"src/wiring/nets.c", "4096", "a key of several parts"},
    {"src/wiring/order.c", "3", "weights of orders"},
    {"src/wiring/order.c", "4", "rounds of a search"},
    {"src/wiring/parts.c", "4", "rounds of a search"},
    {"src/wiring/parts.c", "1024", "ways that are tried"},
    {"src/facts/rooms.c", "3", "thirds, in a search"},
    {"src/facts/rooms.c", "40", "rounds of a search"},
    {"src/wiring/terminals.c", "4", "terminals of a position"},
    {"src/wiring/work.h", "8", "switches whose order is searched for the best"},
};

enum { KNOWN = sizeof known / sizeof *known, LEFT_OUT = sizeof left_out / sizeof *left_out };

static bool quiet;

static int breach(const char *path, int line, const char *what, const char *found)
{
    if (!quiet)
        print_error("%s:%d: %s: %s\n", path, line, what, found);
    return 1;
}

static bool is_left_out(const char *path)
{
    for (size_t i = 0; i < LEFT_OUT; i++)
        if (!strncmp(path, left_out[i].path, strlen(left_out[i].path)))
            return true;
    return false;
}

/* --- numbers ------------------------------------------------------------------------------ */

/* A number in a text whose comments and quotes are blanked. */
struct number {
    const char *text, *at; /* the whole text, and where the number stands in it */
    const char *source;    /* the text before it was blanked */
    char word[64];         /* as written, without the u and l behind it */
};

/* The number at or after `from`; false where there is none. */
static bool next_number(const char *text, const char *from, struct number *n)
{
    for (const char *c = from; *c; c++) {
        if (!isdigit((unsigned char)*c) || (c > text && (in_word(c[-1]) || c[-1] == '.')))
            continue;
        size_t size = 0;
        bool hex = c[0] == '0' && (c[1] == 'x' || c[1] == 'X');
        while (in_word(c[size]) || c[size] == '.' ||
               ((c[size] == '-' || c[size] == '+') && !hex && size &&
                (c[size - 1] == 'e' || c[size - 1] == 'E')))
            size++;
        snprintf(n->word, sizeof n->word, "%.*s", (int)size, c);
        while (!hex && size > 1 && size < sizeof n->word && strchr("uUlL", n->word[size - 1]))
            n->word[--size] = '\0';
        n->text = text;
        n->at = c;
        return true;
    }
    return false;
}

static const char *before(const struct number *n)
{
    const char *c = n->at;
    while (c > n->text && (c[-1] == ' ' || c[-1] == '\n'))
        c--;
    return c;
}

static bool follows(const struct number *n, const char *words)
{
    const char *c = before(n);
    size_t size = strlen(words);
    return (size_t)(c - n->text) >= size && !strncmp(c - size, words, size);
}

static const char *behind(const struct number *n)
{
    const char *c = n->at;
    while (in_word(*c) || *c == '.')
        c++;
    return c + strspn(c, " ");
}

/* Whether it is multiplied by a length: "8 * FOOT" is a measure, "12 * feet" a conversion. */
static bool is_measure(const struct number *n)
{
    const char *c = behind(n);
    if (*c != '*')
        return false;
    c += 1 + strspn(c + 1, " ");
    return find_word(n->text, c, "FOOT") == c || find_word(n->text, c, "INCH") == c;
}

/* Per cent, per thousand and inches in a foot, as factors. */
static bool is_conversion(const struct number *n)
{
    static const char *const factors[] = {"100", "1000", "12"};
    char last = before(n) > n->text ? before(n)[-1] : 0, next = *behind(n);
    for (size_t i = 0; i < sizeof factors / sizeof *factors; i++)
        if (!strcmp(n->word, factors[i]))
            return (last == '*' || last == '/' || next == '*' || next == '/') && !is_measure(n);
    return false;
}

/* A power of ten with an exponent: a tolerance, or what is as good as infinite. */
static bool is_power(const char *word)
{
    return !strncmp(word, "1e", 2) && strspn(word + 2, "+-0123456789") == strlen(word + 2);
}

/* The number of bytes of the text in quotes right before it, as in strncmp(word, "circuit ", 8). */
static bool is_length_of_text(const struct number *n)
{
    const char *c = before(n);
    if (c == n->text || c[-1] != ',')
        return false;
    for (c--; c > n->text && c[-1] == ' ';)
        c--;
    if (c == n->text || c[-1] != '"')
        return false;
    const char *open = c - 1;
    while (open > n->text && open[-1] != '"')
        open--;
    long bytes = 0;
    for (const char *s = n->source + (open - n->text), *end = n->source + (c - 1 - n->text);
         s < end; bytes++)
        s += *s != '\\' ? 1 : s[1] == 'x' ? 4 : 2;
    return strtol(n->word, NULL, 10) == bytes;
}

static bool on_line_of(const struct number *n, const char *words)
{
    const char *line = n->at;
    while (line > n->text && line[-1] != '\n')
        line--;
    const char *found = strstr(line, words), *end = strchr(line, '\n');
    return found && (!end || found < end);
}

/* What no book decides, wherever it stands. */
static bool is_plain(const struct number *n)
{
    static const char *const small[] = {"0", "1", "2"};
    for (size_t i = 0; i < sizeof small / sizeof *small; i++)
        if (!strcmp(n->word, small[i]))
            return !is_measure(n) || !strcmp(n->word, "0");
    bool bits = n->word[0] == '0' && (n->word[1] == 'x' || isdigit((unsigned char)n->word[1]));
    return bits || is_power(n->word) || is_conversion(n) || is_length_of_text(n) ||
           follows(n, "<<") || follows(n, ">>") || follows(n, "[") || follows(n, "INCH /") ||
           on_line_of(n, "format(printf");
}

static int find_known(const char *path, const char *word)
{
    for (int i = 0; i < KNOWN; i++)
        if (!strcmp(known[i].file, path) && !strcmp(known[i].number, word))
            return i;
    return -1;
}

/* Notes which known numbers a file has; a breach for each that is not known. */
static int check_numbers(const char *path, const char *source, bool seen[KNOWN])
{
    int breaches = 0;
    char *text = strdup(source);
    blank_comments(text, true);
    struct number n = {.source = source};
    for (const char *from = text; next_number(text, from, &n); from = n.at + strlen(n.word)) {
        if (is_plain(&n))
            continue;
        int i = find_known(path, n.word);
        if (i < 0)
            breaches += breach(
                path, line_of(text, n.at),
                "a figure of a book stands in stdlib/, any other in the list of this test", n.word);
        else
            seen[i] = true;
    }
    free(text);
    return breaches;
}

/* --- texts -------------------------------------------------------------------------------- */

/* What a text may not hold: it would be a figure or an article of a book. */
static const struct {
    const char *pattern, *what;
} forbidden[] = {
    {"(^|[^0-9.])[0-9]{3}\\.[0-9]", "an article"},
    {"(^|[^A-Za-z])[RE][0-9]{3}", "an article"},
    {"(NEC|NFPA|IRC)( |[0-9])", "a book"},
    {"[0-9] ?AWG", "a conductor size"},
    {"[0-9] ?(A|V|VA|kVA|W|kW|ft|ft2|in|in3|lb)([^A-Za-z0-9_/]|$)", "a measure"},
    {"[0-9] ?%%?$|[0-9] ?%%?[^A-Za-z0-9.*]", "a share"},
    {"[0-9](\\\\\"|')", "a length"},
    {"(two|three|four|five|six|seven|eight|nine|ten|twelve|quarter|half|third)( of)?( an?)? "
     "(inch|foot|feet|gang|amp|volt)",
     "a measure"},
};

/* Texts that hold such a thing and are none: examples of what a plan may say, and words of formats.
 */
static const struct {
    const char *file, *part, *why;
} texts[] = {
    {"src/base/length.c", "0'", "no length at all"},
    {"src/cmd/commands.def", "24ft", "an example of an event"},
    {"src/cmd/log.c", "24ft", "an example of an event"},
    {"src/cmd/options.def", "8.5in", "an example of an option"},
    {"src/libstudbay/labels.c", "0.5in", "an example of an option"},
    {"src/libstudbay/labels.c", "8.5in", "an example of an option"},
    {"src/emit/dot/circuits.c", "margin=", "measures of a drawing"},
    {"src/sheets/labels.c", "100\\\" wide", "what a label sheet may measure"},
    {"src/sheets/labels.c", "1.4\\\" wide", "what a label must measure"},
    {"src/sheets/labels.c", "15 mm high", "what a label with a code must measure"},
    {"src/emit/reports/inspection_lines.c", "240 V outlets", "what the trade calls them"},
    {"src/sheets/sheets.def", "E20", "numbers of sheets"},
    {"src/sheets/scales.c", "= 1'-0", "a scale"},
    {"src/sheets/scales.c", "2 in. long", "a bar to hold a rule against"},
    {"src/book/book.c", "charset=", "markup"},
    {"src/book/book.c", "initial-scale=", "markup"},
    {"src/book/panels.c", "tabindex=", "markup"},
    {"src/book/rooms.c", "tabindex=", "markup"},
    {"src/emit/reports/inspection_tell.c", "print at 100 %", "a printer's scale"},
    {"src/emit/sarif.c", "sarif-schema-2.1.0", "the version of a format"},
    {"src/loads/demand.c", "existing 62 A", "an example of a statement"},
    {"src/loads/demand.c", "existing 14.2 kVA", "an example of a statement"},
    {"src/log/entry.c", "24'-6", "an example of a length"},
    {"src/model/power.c", "main 100 A", "an example of a statement"},
    {"src/model/power.c", "breaker 15 A", "an example of a statement"},
    {"src/model/power.c", "breaker 20 A", "an example of a statement"},
    {"src/model/power.c", "at 2' up 5'", "an example of a statement"},
    {"src/model/runs.c", "3/4", "an example of a length"},
    {"src/model/runs.c", "in emt-1/2", "an example of a clause"},
    {"src/model/site.c", "16", "an example of a length"},
    {"src/model/site.c", "12' by 10'", "an example of a statement"},
    {"src/resolve/captures.def", "such as 4'-6", "an example of a length"},
    {"src/resolve/captures.def", "such as 20 A", "an example of a current"},
    {"src/resolve/captures.def", "such as 120 V", "an example of a voltage"},
    {"src/resolve/captures.def", "such as 90 W", "an example of a load"},
    {"src/resolve/captures.def", "such as 320 ft2", "an example of an area"},
    {"src/resolve/captures.def", "such as 20 in3", "an example of a volume"},
    {"src/resolve/captures.def", "such as 3 %", "an example of a share"},
    {"src/resolve/captures.def", "such as 35 lb", "an example of a weight"},
};

enum { FORBIDDEN = sizeof forbidden / sizeof *forbidden, TEXTS = sizeof texts / sizeof *texts };

static regex_t compiled[FORBIDDEN];

/* The text in quotes at or after `from` in a source whose comments are blanked, as written between
 * the quotes; NULL where there is none. Adjacent texts are one. */
static char *next_text(const char *from, const char **rest)
{
    const char *open = from;
    for (; *open && *open != '"'; open++)
        if (*open == '\'')
            open += open[1] == '\\' ? 3 : 2;
    if (!*open)
        return NULL;
    char *words = calloc(strlen(open) + 1, 1);
    size_t size = 0;
    const char *c = open;
    while (*c == '"') {
        for (c++; *c && *c != '"'; c++) {
            words[size++] = *c;
            if (*c == '\\' && c[1])
                words[size++] = *++c;
        }
        c += *c == '"';
        *rest = c;
        c += strspn(c, " \n");
    }
    return words;
}

static int find_text(const char *path, const char *words)
{
    for (int i = 0; i < TEXTS; i++)
        if (!strcmp(texts[i].file, path) && strstr(words, texts[i].part))
            return i;
    return -1;
}

static int check_texts(const char *path, const char *source, bool seen[TEXTS])
{
    int breaches = 0;
    char *text = strdup(source), *words;
    blank_comments(text, false);
    for (const char *from = text, *rest = text; (words = next_text(from, &rest)); from = rest) {
        int i = find_text(path, words);
        if (i >= 0)
            seen[i] = true;
        for (size_t k = 0; i < 0 && k < FORBIDDEN; k++)
            if (!regexec(&compiled[k], words, 0, NULL, 0)) {
                breaches += breach(path, line_of(text, rest), forbidden[k].what, words);
                break;
            }
        free(words);
    }
    free(text);
    return breaches;
}

/* --- the tests ---------------------------------------------------------------------------- */

static bool is_source(const char *path)
{
    return ends_with(path, ".c") || ends_with(path, ".h") || ends_with(path, ".def");
}

static int compile_patterns(void **state)
{
    (void)state;
    for (size_t i = 0; i < FORBIDDEN; i++)
        if (regcomp(&compiled[i], forbidden[i].pattern, REG_EXTENDED | REG_NOSUB))
            return 1;
    return 0;
}

static int free_patterns(void **state)
{
    (void)state;
    for (size_t i = 0; i < FORBIDDEN; i++)
        regfree(&compiled[i]);
    return 0;
}

static void numbers_are_no_figures_of_a_book(void **state)
{
    (void)state;
    int breaches = 0;
    bool seen[KNOWN] = {0};
    struct file_list files = list_files("src");
    assert_true(files.count > 0);
    for (size_t i = 0; i < files.count; i++) {
        if (!is_source(files.paths[i]) || is_left_out(files.paths[i]))
            continue;
        char *text = read_text(files.paths[i]);
        breaches += check_numbers(files.paths[i], text, seen);
        free(text);
    }
    free_files(&files);
    for (int i = 0; i < KNOWN; i++)
        if (!seen[i]) {
            print_error("%s: %s stands there no more: %s\n", known[i].file, known[i].number,
                        known[i].why);
            breaches++;
        }
    assert_int_equal(breaches, 0);
}

static void texts_hold_no_article_and_no_figure(void **state)
{
    (void)state;
    int breaches = 0;
    bool seen[TEXTS] = {0};
    struct file_list files = list_files("src");
    assert_true(files.count > 0);
    for (size_t i = 0; i < files.count; i++) {
        if (!is_source(files.paths[i]))
            continue;
        char *text = read_text(files.paths[i]);
        breaches += check_texts(files.paths[i], text, seen);
        free(text);
    }
    free_files(&files);
    for (int i = 0; i < TEXTS; i++)
        if (!seen[i]) {
            print_error("%s: no text holds '%s' any more\n", texts[i].file, texts[i].part);
            breaches++;
        }
    assert_int_equal(breaches, 0);
}

static int numbers_in(const char *source)
{
    bool seen[KNOWN] = {0};
    quiet = true;
    int breaches = check_numbers("src/rules/x.c", source, seen);
    quiet = false;
    return breaches;
}

static int texts_in(const char *source)
{
    bool seen[TEXTS] = {0};
    quiet = true;
    int breaches = check_texts("src/rules/x.c", source, seen);
    quiet = false;
    return breaches;
}

static void figures_are_found(void **state)
{
    (void)state;
    assert_int_equal(numbers_in("double most = 6 * FOOT; // 12 ft\n/* 24 in. */"), 1);
    assert_int_equal(numbers_in("if (amps > 1.25 * load || amps > 0.8 * rating) x = 15;"), 3);
    assert_int_equal(numbers_in("length reach = 12 * FOOT, gap = 2 * FOOT, none = 0 * FOOT;"), 2);
    assert_int_equal(numbers_in("x = 100 * share / 1000; y = feet * 12; z = INCH / 64;"), 0);
    assert_int_equal(numbers_in("a[3] = 1u << 20 | 0x7f | 0644; b = 1e-9; c = 2;"), 0);
    assert_int_equal(
        numbers_in(
            "strncmp(word, \"circuit \", 8); memcmp(p, \"\\xe2\\x80\\n\", 3); f(\"ab\", 3);"),
        1);
    assert_int_equal(numbers_in("x = 18; y = 40.5;"), 2);
    assert_int_equal(numbers_in("f(\"18\", '9'); name2 = p3 + v4.x5;"), 0);
    assert_int_equal(numbers_in("x = 2e3; y = 1e3;"), 1);
}

static void articles_and_measures_are_found(void **state)
{
    (void)state;
    assert_int_equal(texts_in("f(\"see 210.8(A)\"); g(\"R602.6\"); h(\"by NEC 2023\");"), 3);
    assert_int_equal(texts_in("f(\"within 6 ft of it\"); g(\"a 20 A breaker\"); h(\"12 AWG\"); "
                              "i(\"at most 80 %% of it\");"),
                     4);
    assert_int_equal(texts_in("f(\"six inches\", \"a quarter of an inch\", \"four gangs\");"), 3);
    assert_int_equal(texts_in("f(\"'up 48\\\"'\"); g(\"5'-6\");"), 2);
    assert_int_equal(texts_in("f(\"split \" \"within 6 \" \"ft\");"), 1);
    assert_int_equal(texts_in("/* \"20 A\" */ f(\"%g A, %.0f VA, %s in3, %d%% or %.1f %%\"); c = "
                              "'\"'; g(\"one of two\");"),
                     0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(numbers_are_no_figures_of_a_book),
        cmocka_unit_test(texts_hold_no_article_and_no_figure),
        cmocka_unit_test(figures_are_found),
        cmocka_unit_test(articles_and_measures_are_found),
    };
    return cmocka_run_group_tests(tests, compile_patterns, free_patterns);
}

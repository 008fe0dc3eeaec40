#include "where/tell.h"

#include "emit/reports/reports.h"
#include "emit/rule_page.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "facts/facts.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "model/site.h"
#include "prove/prove.h"
#include "resolve/language.h"
#include "syntax/token.h"
#include "where/table.h"
#include "where/work.h"

#include <string.h>

struct where_teller {
    struct arena *arena;
    const struct whereabouts *w;
    const struct results *r;
    struct report **reports; /* by place in the list of all; NULL: not asked for yet */
    struct map first_row; /* (a column, hash of a text) -> 1 + the first row that has it; (a column,
                             0) -> anything, when it is filed */
};

struct where_teller *where_tell_begin(struct arena *arena, const struct whereabouts *w,
                                      const struct results *r)
{
    struct where_teller *t = arena_new(arena, struct where_teller);
    *t = (struct where_teller){.arena = arena, .w = w, .r = r};
    t->reports = arena_array(arena, struct report *, report_count);
    return t;
}

/* --- rows of reports ---------------------------------------------------------------------- */

static const struct grid *rows_of(struct where_teller *t, const char *name)
{
    const struct report_def *def = report_named(name);
    struct report **at = &t->reports[def - report_table];
    if (!*at) {
        *at = arena_new(t->arena, struct report);
        (*at)->def = def;
        report_make(t->r, *at);
    }
    return &(*at)->rows;
}

/* A row of a report; `row` NULL: it has none of the thing. */
struct told_row {
    const struct grid *grid;
    const struct cell *row;
};

static const char *words_at(struct where_teller *t, struct told_row told, const char *column)
{
    struct buf b = {0};
    uint32_t i = table_column(told.grid, column);
    if (told.row)
        cell_print(&told.grid->columns[i], &told.row[i], &b);
    const char *text = b.n ? arena_copy(t->arena, buf_text(&b), b.n) : NULL;
    buf_free(&b);
    return text;
}

/* In a line; a list in a cell has one for each. */
static const char *line_at(struct where_teller *t, struct told_row told, const char *column)
{
    struct buf b = {0};
    const char *words = words_at(t, told, column);
    for (const char *p = words; p && *p; p++)
        buf_puts(&b, *p == '\n' ? "; " : (char[2]){*p, 0});
    words = words ? arena_copy(t->arena, buf_text(&b), b.n) : NULL;
    buf_free(&b);
    return words;
}

static bool has_text(const struct cell *cell, const char *text)
{
    return text && cell->kind == CELL_TEXT && cell->text && !strcmp(cell->text, text);
}

/* Files the first row of each text of a column, so that a row is found without looking at all. */
static void file_rows(struct where_teller *t, const struct grid *grid, uint32_t column)
{
    const struct cell *cells = &grid->cells.at[column];
    for (uint32_t i = 0; i < table_rows(grid); i++) {
        const struct cell *cell = &cells[(size_t)i * grid->column_count];
        if (cell->kind != CELL_TEXT || !cell->text)
            continue;
        void **first = map_at(t->arena, &t->first_row, (uintptr_t)cells,
                              (uintptr_t)map_hash_bytes(cell->text, strlen(cell->text)));
        *first = *first ? *first : (void *)(uintptr_t)(i + 1);
    }
}

/* The row in which two columns have these texts; of `second` NULL the first alone is asked. */
static struct told_row row_of(struct where_teller *t, const char *report, const char *column,
                              const char *text, const char *second, const char *other)
{
    struct told_row told = {.grid = rows_of(t, report)};
    uint32_t a = table_column(told.grid, column), b = second ? table_column(told.grid, second) : a;
    if (!text || !table_rows(told.grid))
        return told;
    void **filed = map_at(t->arena, &t->first_row, (uintptr_t)&told.grid->cells.at[a], 0);
    if (!*filed)
        file_rows(t, told.grid, a);
    *map_at(t->arena, &t->first_row, (uintptr_t)&told.grid->cells.at[a], 0) = t;
    uintptr_t first = (uintptr_t)map_get(&t->first_row, (uintptr_t)&told.grid->cells.at[a],
                                         (uintptr_t)map_hash_bytes(text, strlen(text)));
    for (uint32_t i = (uint32_t)first - 1; first && !told.row && i < table_rows(told.grid); i++) {
        const struct cell *row = &told.grid->cells.at[(size_t)i * told.grid->column_count];
        if (has_text(&row[a], text) && (!second || has_text(&row[b], other)))
            told.row = row;
    }
    return told;
}

/* Of words that a plan's author typed nothing is markup. */
static void put_text(struct buf *b, const char *text)
{
    table_print_markdown(b, text);
}

/* "Cut 24'-6\"" and the like, each where its column holds something; parted by commas. */
struct told_column {
    const char *name, *before, *after;
};

static void put_columns(struct where_teller *t, struct buf *b, const char *head,
                        struct told_row told, const struct told_column *columns, size_t count)
{
    bool any = false;
    for (size_t i = 0; i < count; i++) {
        const char *words = line_at(t, told, columns[i].name);
        if (!words || !strcmp(words, "0")) /* of what is counted nothing is there */
            continue;
        buf_printf(b, "%s%s", any ? ", " : head, columns[i].before);
        put_text(b, words);
        buf_puts(b, columns[i].after);
        any = true;
    }
    if (any)
        buf_puts(b, "\n\n");
}

#define COUNT(array) (sizeof(array) / sizeof *(array))

static const char *finish(struct where_teller *t, struct buf *b)
{
    while (b->n && b->at[b->n - 1] == '\n')
        b->n--;
    const char *text = arena_copy(t->arena, buf_text(b), b->n);
    buf_free(b);
    return text;
}

static void put_head(struct buf *b, const char *what, const char *name, const char *title)
{
    buf_printf(b, "**%s** `%s`", what, name);
    if (title && strcmp(title, name) != 0) {
        buf_puts(b, " ");
        put_text(b, title);
    }
    buf_puts(b, "\n\n");
}

/* --- boxes -------------------------------------------------------------------------------- */

static void put_place(struct where_teller *t, struct buf *b, const char *address)
{
    static const struct told_column columns[] = {
        {"wall", "", ""},
        {"from_left_ft", "", " from its left"},
        {"from_right_ft", "", " from its right"},
        {"up_in", "centre ", " up"},
        {"stud", "stud: ", ""},
        {"type", "type ", ""},
    };
    static const struct told_column devices[] = {{"devices", "", ""}};
    struct told_row told = row_of(t, "boxes", "box", address, NULL, NULL);
    put_columns(t, b, "Place: ", told, columns, COUNT(columns));
    put_columns(t, b, "Holds: ", told, devices, COUNT(devices));
}

static void put_fill(struct where_teller *t, struct buf *b, const char *address)
{
    static const struct told_column columns[] = {
        {"required_in3", "needs ", " in3"}, {"volume_in3", "has ", " in3"},
        {"free_in3", "free ", " in3"},      {"percent", "", " % full"},
        {"conductors", "wires: ", ""},      {"grounds", "grounds: ", ""},
        {"clamps", "clamps: ", ""},         {"fittings", "fittings: ", ""},
        {"devices", "devices: ", ""},       {"terminal_blocks", "terminal blocks: ", ""}};
    put_columns(t, b, "Fill: ", row_of(t, "fill", "box", address, NULL, NULL), columns,
                COUNT(columns));
}

static void put_circuit_words(struct where_teller *t, struct buf *b, const struct circuit *c,
                              bool title)
{
    const char *breaker = words_breaker(t->arena, c);
    put_text(b, words_circuit(t->r, c));
    if (c->text && title) {
        buf_puts(b, " ");
        put_text(b, c->text);
    }
    if (breaker)
        buf_printf(b, ", %s", breaker);
}

/* The circuits that come to a box, each once. */
static void put_circuits(struct where_teller *t, struct buf *b, const struct box *x)
{
    struct map seen = {0};
    for (uint32_t i = 0; i < x->runs.n; i++)
        for (uint32_t k = 0; k <= x->runs.at[i]->also.n; k++) {
            const struct run *run = x->runs.at[i];
            const struct circuit *c = k ? run->also.at[k - 1] : run->circuit;
            void **at = map_at(t->arena, &seen, 1, (uintptr_t)c);
            if (*at)
                continue;
            *at = (void *)c;
            buf_puts(b, seen.n == 1 ? "Circuit: " : "; ");
            put_circuit_words(t, b, c, true);
        }
    if (seen.n)
        buf_puts(b, "\n\n");
}

/* What protects its outlets, as the report of the protection says it. */
static void put_protection(struct where_teller *t, struct buf *b, const char *address)
{
    static const struct told_column own[] = {{"outlet", "", ""},
                                             {"asks", "asked: ", ""},
                                             {"by", "protected by ", ""}},
                                    far[] = {{"outlet", "", ""},
                                             {"asks", "asked: ", ""},
                                             {"by", "protected by ", ""},
                                             {"reset_at", "reset at ", ""}};
    struct told_row told = {.grid = rows_of(t, "protection")};
    uint32_t box = table_column(told.grid, "box");
    for (uint32_t i = 0; i < table_rows(told.grid); i++) {
        told.row = &told.grid->cells.at[(size_t)i * told.grid->column_count];
        if (!has_text(&told.row[box], address))
            continue;
        const char *by = line_at(t, told, "by"), *reset = line_at(t, told, "reset_at");
        bool elsewhere = reset && strcmp(reset, address) && !(by && strstr(by, reset));
        put_columns(t, b, "Protection: ", told, elsewhere ? far : own,
                    elsewhere ? COUNT(far) : COUNT(own));
    }
}

static void put_card(struct where_teller *t, struct buf *b, const char *address)
{
    const char *card = words_at(t, row_of(t, "makeup", "box", address, NULL, NULL), "card");
    if (!card)
        return;
    buf_puts(b, "Make-up:\n\n");
    for (const char *end; *card; card = *end ? end + 1 : end) {
        end = card + strcspn(card, "\n");
        buf_puts(b, "- ");
        put_text(b, arena_copy(t->arena, card, (size_t)(end - card)));
        buf_puts(b, "\n");
    }
}

const char *where_tell_box(struct where_teller *t, const struct box *x)
{
    struct buf b = {0};
    const char *address = address_of_box(t->arena, x, false);
    put_head(&b, "box", address, x->title == x->name ? NULL : x->title);
    if (t->r && facts_is_built(x->room->unit)) {
        put_place(t, &b, address);
        put_fill(t, &b, address);
        put_circuits(t, &b, x);
        put_protection(t, &b, address);
        put_card(t, &b, address);
    }
    return finish(t, &b);
}

/* --- runs and circuits -------------------------------------------------------------------- */

const char *where_tell_run(struct where_teller *t, const struct run *run)
{
    static const struct told_column columns[] = {{"cable", "", ""},
                                                 {"cut_ft", "cut ", ""},
                                                 {"route_ft", "route ", ""},
                                                 {"pulled_ft", "pulled ", ""},
                                                 {"label", "label ", ""},
                                                 {"bores", "bores: ", ""},
                                                 {"supports", "staples: ", ""}};
    static const struct told_column nets[] = {{"nets", "", ""}, {"spares", "spare: ", ""}};
    static const struct told_column coil[] = {{"coil", "from ", ""}, {"piece", "piece ", ""}};
    struct buf b = {0};
    const char *address = address_of_run(t->arena, run, false);
    put_head(&b, "run", address, run->title);
    if (t->r && run_is_whole(run) && facts_is_built(facts_unit_of_run(run))) {
        const char *tag = view_of_run(t->r, run)->label;
        struct told_row told = row_of(t, "runs", "run", address, tag ? "label" : NULL, tag);
        put_columns(t, &b, "", told, columns, COUNT(columns));
        put_columns(t, &b, "Conductors: ", told, nets, COUNT(nets));
        put_columns(t, &b, "Coil: ", row_of(t, "cuts", "run", address, tag ? "label" : NULL, tag),
                    coil, COUNT(coil));
    }
    return finish(t, &b);
}

/* The boxes that the runs of a circuit lead to, each once. */
static uint32_t count_boxes(struct arena *a, const struct circuit *c)
{
    struct map seen = {0};
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct box *ends[2] = {c->runs.at[i]->from.box, c->runs.at[i]->to.box};
        for (int k = 0; k < 2; k++)
            if (ends[k])
                map_put(a, &seen, 1, (uintptr_t)ends[k], (void *)ends[k]);
    }
    return seen.n;
}

/* What is cut for its runs; 0 where the way of one is not known. */
static length cut_for(const struct where_teller *t, const struct circuit *c)
{
    length sum = 0;
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct route *way = &t->r->routes->of_run[c->runs.at[i]->id];
        if (!way->known)
            return 0;
        sum += way->cut;
    }
    return sum;
}

static struct told_row panel_row(struct where_teller *t, const struct circuit *c)
{
    return row_of(t, "panel", "handle", words_handle(t->r, c), NULL, NULL);
}

const char *where_circuit_line(struct where_teller *t, const struct circuit *c)
{
    if (!t->r || !c->runs.n || !facts_is_built(c->unit))
        return NULL;
    const char *va = words_at(t, panel_row(t, c), "va");
    length cut = cut_for(t, c);
    return arena_printf(t->arena, "%s%s%s%s%s",
                        arena_counted(t->arena, count_boxes(t->arena, c), "box", "boxes"),
                        cut ? ", " : "", cut ? length_words(t->arena, cut) : "",
                        cut ? " of cable" : "", va ? arena_printf(t->arena, ", %s VA", va) : "");
}

const char *where_tell_circuit(struct where_teller *t, const struct circuit *c)
{
    static const struct told_column columns[] = {{"rooms", "", ""}};
    struct buf b = {0};
    const char *line = where_circuit_line(t, c);
    put_head(&b, c->feeds ? "feeder" : "circuit", address_of_circuit(t->arena, c, false), c->text);
    if (t->r) {
        put_circuit_words(t, &b, c, false);
        buf_printf(&b, "\n\n%s%s", line ? line : "", line ? "\n\n" : "");
        put_columns(t, &b, "Rooms: ", panel_row(t, c), columns, COUNT(columns));
    }
    return finish(t, &b);
}

const char *where_tell_leg(struct where_teller *t, const struct leg *l)
{
    static const struct told_column columns[] = {{"switches", "Switches: ", ""}};
    static const struct told_column loads[] = {{"loads", "Works: ", ""}};
    static const struct told_column circuit[] = {{"circuit", "Circuit: ", ""}, {"va", "", " VA"}};
    struct buf b = {0};
    put_head(&b, "leg", address_of_leg(t->arena, l, false), l->title);
    if (t->r) {
        struct told_row told = row_of(t, "legs", "leg", l->name, l->unit ? "unit" : NULL,
                                      l->unit ? l->unit->name : NULL);
        put_columns(t, &b, "", told, columns, COUNT(columns));
        put_columns(t, &b, "", told, loads, COUNT(loads));
        put_columns(t, &b, "", told, circuit, COUNT(circuit));
    }
    return finish(t, &b);
}

/* --- other things of the plan ------------------------------------------------------------- */

static void put_room(struct where_teller *t, struct buf *b, const struct room *room)
{
    put_head(b, "room", address_of_room(t->arena, room, false),
             room->title == room->name ? NULL : room->title);
    for (uint32_t i = 0; i < room->kind_count; i++)
        buf_printf(b, "%s%s", i ? ", " : "Kind: ", room->kinds[i]->name);
    if (room->kind_count)
        buf_puts(b, "\n\n");
    if (room->wall_count)
        buf_printf(b, "%s by %s, ceiling %s, on `%s`\n\n",
                   length_words(t->arena, room->high.x - room->low.x),
                   length_words(t->arena, room->high.y - room->low.y),
                   length_words(t->arena, room->ceiling), room->level->name);
    buf_printf(b, "%s\n", arena_counted(t->arena, room->boxes.n, "box", "boxes"));
}

static void put_panel(struct where_teller *t, struct buf *b, const struct panel *p)
{
    put_head(b, "panel", address_of_panel(t->arena, p, false), p->title);
    if (p->main > 0)
        buf_printf(b, "Main %g A\n\n", p->main);
    if (p->bus > 0)
        buf_printf(b, "Bus %g A\n\n", p->bus);
    buf_printf(b, "%s%s%s\n", arena_counted(t->arena, p->circuits.n, "circuit", "circuits"),
               p->spaces ? ", " : "",
               p->spaces ? arena_counted(t->arena, p->spaces, "space", "spaces") : "");
}

static void put_level(struct where_teller *t, struct buf *b, const struct level *l)
{
    put_head(b, "level", l->name, l->title);
    buf_printf(b, "Floor at %s, ceiling %s, studs %s at %g\"\n", length_words(t->arena, l->floor),
               length_words(t->arena, l->ceiling),
               l->walls.lumber.name ? l->walls.lumber.name : "?", length_inches(l->walls.spacing));
}

static void put_coil(struct where_teller *t, struct buf *b, const struct coil *c)
{
    put_head(b, "coil", c->name, c->title);
    buf_printf(b, "%s of `%s`%s\n", length_words(t->arena, c->length),
               c->cable     ? c->cable->name
               : c->raceway ? c->raceway->name
                            : "?",
               c->on_hand ? ", on hand" : "");
}

/* --- definitions -------------------------------------------------------------------------- */

enum { MOST_LINES = 40 };

/* The line of a statement, with its block where it has one. */
static struct span statement_span(const struct node *n)
{
    struct span at = node_span(n);
    const struct source *s = at.source;
    uint32_t t = 0, high = s->token_count;
    while (t < high) { /* the first token behind the line */
        uint32_t middle = (t + high) / 2;
        if (s->tokens[middle].off < at.off + at.len)
            t = middle + 1;
        else
            high = middle;
    }
    int depth = 0;
    bool block = t < s->token_count && s->tokens[t].kind == T_OPEN;
    for (; block && t < s->token_count; t++) {
        depth += s->tokens[t].kind == T_OPEN;
        depth -= s->tokens[t].kind == T_CLOSE;
        at.len = s->tokens[t].off + s->tokens[t].len - at.off;
        block = depth > 0;
    }
    return at;
}

static const char fence[] = "```";

/* Of a text, the most backticks in a row: more of them fence it. */
static uint32_t longest_marks(const char *text, size_t size)
{
    uint32_t longest = 0, n = 0;
    for (size_t i = 0; i < size; i++) {
        n = text[i] == '`' ? n + 1 : 0;
        longest = n > longest ? n : longest;
    }
    return longest;
}

/* A text of the plan or of the library, from the beginning of its line. */
static void put_source(struct buf *b, struct span at)
{
    uint32_t begin = at.off, lines = 0;
    const char *bytes = at.source->bytes;
    while (begin && bytes[begin - 1] != '\n' && strchr(" \t", bytes[begin - 1]))
        begin--;
    uint32_t end = begin;
    while (end < at.off + at.len && lines < MOST_LINES)
        lines += bytes[end++] == '\n';
    uint32_t marks = longest_marks(bytes + begin, end - begin);
    marks = marks < strlen(fence) ? (uint32_t)strlen(fence) : marks + 1;
    buf_fill(b, '`', marks);
    buf_puts(b, "bay\n");
    buf_add(b, bytes + begin, end - begin);
    buf_printf(b, "%s%s", end && bytes[end - 1] == '\n' ? "" : "\n",
               end < at.off + at.len ? "...\n" : "");
    buf_fill(b, '`', marks);
    buf_puts(b, "\n");
}

static void put_definition(struct buf *b, const struct where_name *name)
{
    const struct node *n = name->statements.n ? name->statements.at[0] : NULL;
    buf_printf(b, "**%s** `%s`%s\n\n", where_sort_words(name->sort), name->text,
               name->of_library ? ", of the library" : "");
    if (n)
        put_source(b, statement_span(n));
}

const char *where_tell_rule(struct arena *arena, const struct rule *rule)
{
    struct rule_page page = rule_page_words(rule_page_of(rule->name));
    return page.text ? arena_copy(arena, page.text, page.size)
                     : arena_printf(arena, "**rule** `%s`\n\n%s", rule->name, rule->asks);
}

static void put_unit(struct buf *b, const struct where_name *name, const struct unit *u)
{
    put_head(b, u->built ? "unit" : "pattern", name->text, u->title);
}

/* An edition is long: which it is, on what it stands, and what the plan changes of it. */
static void put_edition(struct where_teller *t, struct buf *b, const struct edition *e)
{
    const struct model *m = t->w->c->model;
    put_head(b, "edition", e->name, e->title);
    if (e->base)
        buf_printf(b, "As `%s`, but for what changed.\n\n", e->base->name);
    for (uint32_t i = 0; i < m->amendments.n; i++) {
        const struct amendment *a = &m->amendments.at[i];
        for (uint32_t k = 0; a->edition == e && k < a->table_count; k++)
            buf_printf(b, "%s`%s`%s", k ? ", " : "Amended by this plan: ", a->tables[k],
                       k + 1 == a->table_count ? "\n\n" : "");
    }
}

/* A line of a table with the table that it stands in, its source, and whether that was compared. */
static void put_figure(struct buf *b, const struct where_name *name)
{
    const struct node *line = name->statements.n ? name->statements.at[0] : NULL;
    struct where_table in = line ? where_table_of(line) : (struct where_table){0};
    if (in.name)
        buf_printf(b, "**table** `%s`", in.name);
    if (in.source)
        buf_printf(b, ", %s", in.source);
    buf_puts(b, in.recalled ? ", recalled, not compared with a book\n\n" : "\n\n");
    if (in.columns)
        put_source(b, node_span(in.columns));
    if (line && name->sort == MENTION_FIGURE)
        put_source(b, node_span(line));
    else if (line)
        put_source(b, statement_span(line));
}

/* --- names -------------------------------------------------------------------------------- */

/* What is told of the first of its things; NULL: its statement is all there is. */
static const char *tell_thing(struct where_teller *t, const struct where_name *name, struct buf *b)
{
    const void *thing = name->things.n ? name->things.at[0] : NULL;
    switch (thing ? name->sort : MENTION_SORTS) {
    case MENTION_BOX:
        return where_tell_box(t, thing);
    case MENTION_RUN:
        return where_tell_run(t, thing);
    case MENTION_CIRCUIT:
        return where_tell_circuit(t, thing);
    case MENTION_LEG:
        return where_tell_leg(t, thing);
    case MENTION_RULE:
        return where_tell_rule(t->arena, thing);
    case MENTION_ROOM:
        put_room(t, b, thing);
        return NULL;
    case MENTION_PANEL:
        put_panel(t, b, thing);
        return NULL;
    case MENTION_LEVEL:
        put_level(t, b, thing);
        return NULL;
    case MENTION_COIL:
        put_coil(t, b, thing);
        return NULL;
    case MENTION_UNIT:
        put_unit(b, name, thing);
        return NULL;
    case MENTION_EDITION:
        put_edition(t, b, thing);
        return NULL;
    case MENTION_FILE:
        buf_puts(b, "**file** ");
        put_text(b, ((const struct source *)thing)->path);
        return NULL;
    default:
        if (name->sort == MENTION_TABLE || name->sort == MENTION_FIGURE ||
            name->sort == MENTION_LUMBER)
            put_figure(b, name);
        else
            put_definition(b, name);
        return NULL;
    }
}

const char *where_tell_name(struct where_teller *t, const struct where_name *name)
{
    struct buf b = {0};
    const char *told = tell_thing(t, name, &b);
    if (told)
        buf_puts(&b, told);
    if (name->things.n > 1)
        buf_printf(&b, "\n\n%s named so here, one in each copy.",
                   arena_counted(t->arena, name->things.n, "thing is", "things are"));
    return finish(t, &b);
}

const char *where_form_words(struct arena *arena, const struct language *l, enum form_id form)
{
    const struct form *f = &l->forms[form];
    const char *word = f->word == l->any ? "NAME" : f->word == l->bare ? "" : f->word;
    return arena_printf(arena, "`%s%s%s`\n\n%s", word, *word && *f->source ? " " : "", f->source,
                        f->doc);
}

#include "compare/compare.h"

#include "base/json.h"
#include "compare/work.h"
#include "diag/diag.h"
#include "diag/render.h"
#include "emit/reports/reports.h"
#include "model/address.h"
#include "model/site.h"

#include <string.h>

/* --- boxes -------------------------------------------------------------------------------- */

enum { BOX, BOX_CHANGE, BOX_OLD, BOX_NEW };

static const struct column box_columns[] = {
    [BOX] = {"box", "Box", 0, 0},
    [BOX_CHANGE] = {"change", "Change", 0, 0},
    [BOX_OLD] = {"old_place", "Was", 0, 0},
    [BOX_NEW] = {"new_place", "Now", 0, 0},
};

/* "west, 7' from the left, 48\" up". */
static const char *place_words(struct arena *arena, const struct box *b)
{
    const struct place *p = &b->place;
    if (p->where == ON_WALL && p->wall < b->room->wall_count)
        return arena_printf(arena, "%s, %s from the left, %s up", b->room->walls[p->wall].name,
                            length_words(arena, p->from_left), length_words(arena, p->up));
    const char *up = p->on_island ? arena_printf(arena, ", %s up", length_words(arena, p->up)) : "";
    return arena_printf(arena, "%s, %s east and %s north of the room's corner%s",
                        p->where == OVERHEAD ? "overhead"
                        : p->on_island       ? "island"
                                             : "floor",
                        length_words(arena, p->at.x - b->room->low.x),
                        length_words(arena, p->at.y - b->room->low.y), up);
}

static void add_box(struct comparison *c, const char *change, const struct box *old,
                    const struct box *now)
{
    struct cell *row = table_row(&c->boxes);
    *vec_push(c->arena, &c->box_rooms) = address_of_room(c->arena, (now ? now : old)->room, false);
    row[BOX] = cell_text(address_of_box(c->arena, now ? now : old, false));
    row[BOX_CHANGE] = cell_text(change);
    row[BOX_OLD] = cell_text(old ? place_words(c->arena, old) : NULL);
    row[BOX_NEW] = cell_text(now ? place_words(c->arena, now) : NULL);
}

static bool is_new_work(const struct box *b)
{
    return !b->existing && facts_is_built(b->room->unit);
}

static bool moved(const struct box *a, const struct box *b)
{
    return a->place.at.x != b->place.at.x || a->place.at.y != b->place.at.y ||
           a->place.at.z != b->place.at.z;
}

/* Boxes that are there and that the new plan takes out, where the old one leaves them; `kept` has
 * those that it does not tell again. */
static void compare_gone_boxes(struct comparison *c, struct names *names, const struct map *old,
                               struct map *kept)
{
    for (uint32_t i = 0; i < c->now->model->gone.boxes.n; i++) {
        struct box *b = c->now->model->gone.boxes.at[i];
        const char *name = names_of(names, address_of_box(c->arena, b, false));
        const struct box *was = map_find(old, 0, name);
        if (was)
            add_box(c, "taken out", was, NULL);
        map_put(c->arena, kept, 0, (uintptr_t)name, b);
    }
}

/* Boxes that the old plan takes out, where the new one leaves them. */
static void compare_staying_boxes(struct comparison *c, struct names *names, const struct map *kept)
{
    for (uint32_t i = 0; i < c->old->model->gone.boxes.n; i++) {
        const struct box *was = c->old->model->gone.boxes.at[i],
                         *is = map_find(kept, 0,
                                        names_of(names, address_of_box(c->arena, was, false)));
        if (is && is->existing && !is->goes)
            add_box(c, "stays", was, is);
    }
}

static void compare_boxes(struct comparison *c)
{
    struct map old = {0}, kept = {0};
    struct names names = {.arena = c->arena};
    table_begin(&c->boxes, c->arena, box_columns, sizeof box_columns / sizeof *box_columns);
    for (uint32_t i = 0; i < c->old->model->boxes.n; i++) {
        struct box *b = c->old->model->boxes.at[i];
        const char *name = names_of(&names, view_of_box(c->old, b)->address);
        if (facts_is_built(b->room->unit) && !map_find(&old, 0, name))
            map_put(c->arena, &old, 0, (uintptr_t)name, b);
    }
    for (uint32_t i = 0; i < c->now->model->boxes.n; i++) {
        struct box *b = c->now->model->boxes.at[i];
        if (!facts_is_built(b->room->unit))
            continue;
        const char *name = names_of(&names, view_of_box(c->now, b)->address);
        const struct box *was = map_find(&old, 0, name);
        if (map_find(&kept, 0, name))
            continue; /* two of one name, which is an error: the first stands for both */
        map_put(c->arena, &kept, 0, (uintptr_t)name, b);
        if (was ? moved(was, b)
                : is_new_work(b)) /* an old box that moves was misjudged, or is moved */
            add_box(c, was ? "moved" : "added", was, b);
    }
    compare_gone_boxes(c, &names, &old, &kept);
    compare_staying_boxes(c, &names, &kept);
    for (uint32_t i = 0; i < c->old->model->boxes.n; i++) {
        struct box *b = c->old->model->boxes.at[i];
        if (is_new_work(b) &&
            !map_find(&kept, 0, names_of(&names, view_of_box(c->old, b)->address)))
            add_box(c, "gone", b, NULL);
    }
}

/* --- purchases ---------------------------------------------------------------------------- */

enum { ITEM, ITEM_UNIT, ITEM_OLD, ITEM_NEW, ITEM_MORE };

static const struct column buy_columns[] = {
    [ITEM] = {"item", "Item", 0, 0},
    [ITEM_UNIT] = {"unit", "Unit", 0, 0},
    [ITEM_OLD] = {"old", "Was", 0, COLUMN_RIGHT},
    [ITEM_NEW] = {"new", "Now", 0, COLUMN_RIGHT},
    [ITEM_MORE] = {"more", "More", 0, COLUMN_RIGHT},
};

static const struct cell *cell_at(const struct grid *g, uint32_t row, uint32_t column)
{
    return &g->cells.at[row * g->column_count + column];
}

static void add_purchase(struct comparison *c, const char *item, const char *unit, int64_t old,
                         int64_t now)
{
    if (old == now)
        return;
    struct cell *row = table_row(&c->buy);
    row[ITEM] = cell_text(item);
    row[ITEM_UNIT] = cell_text(unit);
    row[ITEM_OLD] = cell_integer(old);
    row[ITEM_NEW] = cell_integer(now);
    row[ITEM_MORE] = cell_integer(now - old);
}

/* Both lists of materials, item by item: the new plan's in its order, then what is not bought any
 * more. */
static void compare_purchases(struct comparison *c)
{
    const struct report_def *materials = report_named("materials");
    struct report old = {.def = materials}, now = {.def = materials};
    struct map was = {0}, kept = {0};
    struct names names = {.arena = c->arena};
    materials->fill(c->old, &old);
    materials->fill(c->now, &now);
    uint32_t item = table_column_named(&now.rows, "item"),
             quantity = table_column_named(&now.rows, "quantity"),
             unit = table_column_named(&now.rows, "unit");
    table_begin(&c->buy, c->arena, buy_columns, sizeof buy_columns / sizeof *buy_columns);
    for (uint32_t i = 0; i < table_rows(&old.rows); i++)
        map_put(c->arena, &was, 0, (uintptr_t)names_of(&names, cell_at(&old.rows, i, item)->text),
                (void *)cell_at(&old.rows, i, quantity));
    for (uint32_t i = 0; i < table_rows(&now.rows); i++) {
        const char *name = names_of(&names, cell_at(&now.rows, i, item)->text);
        const struct cell *before = map_find(&was, 0, name);
        map_put(c->arena, &kept, 0, (uintptr_t)name, (void *)name);
        add_purchase(c, name, cell_at(&now.rows, i, unit)->text, before ? before->integer : 0,
                     cell_at(&now.rows, i, quantity)->integer);
    }
    for (uint32_t i = 0; i < table_rows(&old.rows); i++) {
        const char *name = names_of(&names, cell_at(&old.rows, i, item)->text);
        if (!map_find(&kept, 0, name))
            add_purchase(c, name, cell_at(&old.rows, i, unit)->text,
                         cell_at(&old.rows, i, quantity)->integer, 0);
    }
}

/* --- findings ----------------------------------------------------------------------------- */

enum { FINDING_CHANGE, SEVERITY, RULE, MESSAGE, FILE_NAME, LINE };

static const struct column finding_columns[] = {
    [FINDING_CHANGE] = {"change", "Change", 0, 0},
    [SEVERITY] = {"severity", "Severity", 0, 0},
    [RULE] = {"rule", "Rule", 0, 0},
    [MESSAGE] = {"message", "Message", 0, 0},
    [FILE_NAME] = {"file", "File", 0, COLUMN_DATA},
    [LINE] = {"line", "Line", 0, COLUMN_DATA | COLUMN_RIGHT},
};

/* How often a finding of that rule and those words stands in a plan; lines move, words stay. */
struct tally {
    uint32_t n;
};

static struct tally *tally_of(struct comparison *c, struct map *tallies, struct names *names,
                              const struct finding *f)
{
    const char *key =
        names_of(names, arena_printf(c->arena, "%s%s", f->waived ? "waived " : "", f->message));
    void **at = map_at(c->arena, tallies, (uintptr_t)f->rule + 1, (uintptr_t)key);
    if (!*at)
        *at = arena_new(c->arena, struct tally);
    return *at;
}

static void count_findings(struct comparison *c, struct map *tallies, struct names *names,
                           const struct diag *d)
{
    for (uint32_t i = 0; i < d->findings.n; i++)
        tally_of(c, tallies, names, &d->findings.at[i])->n++;
}

/* Those that the other plan has fewer of. */
static void list_findings(struct comparison *c, const struct results *in, struct map *others,
                          struct names *names, const char *change)
{
    for (uint32_t i = 0; i < in->diag->findings.n; i++) {
        const struct finding *f = &in->diag->findings.at[i];
        struct tally *other = tally_of(c, others, names, f);
        if (other->n) {
            other->n--;
            continue;
        }
        struct cell *row = table_row(&c->findings);
        row[FINDING_CHANGE] = cell_text(change);
        row[SEVERITY] = cell_text(f->waived ? "waived" : diag_severity_word(f->severity));
        row[RULE] = cell_text(f->rule->name);
        row[MESSAGE] = cell_text(f->message);
        if (f->span.source) {
            row[FILE_NAME] = cell_text(f->span.source->path);
            row[LINE] = cell_integer(source_line_number(c->arena, f->span.source, f->span.off));
        }
    }
}

static void compare_findings(struct comparison *c)
{
    struct map old = {0}, now = {0};
    struct names names = {.arena = c->arena};
    table_begin(&c->findings, c->arena, finding_columns,
                sizeof finding_columns / sizeof *finding_columns);
    count_findings(c, &old, &names, c->old->diag);
    count_findings(c, &now, &names, c->now->diag);
    list_findings(c, c->now, &old, &names, "appears");
    list_findings(c, c->old, &now, &names, "goes");
}

/* --- all of it ---------------------------------------------------------------------------- */

void compare_plans(struct arena *arena, const struct results *old, const struct results *now,
                   struct comparison *c)
{
    *c = (struct comparison){.arena = arena, .old = old, .now = now};
    pair_list pairs = compare_match_runs(arena, old, now);
    compare_runs(c, &pairs);
    compare_boxes(c);
    compare_bores(c, &pairs);
    compare_purchases(c);
    compare_breakers(c);
    compare_removals(c);
    compare_findings(c);
    compare_labels(c, &pairs);
}

static void text_section(const struct grid *g, const char *heading, unsigned width, struct buf *out)
{
    if (!table_rows(g))
        return;
    buf_putc(out, '\n');
    table_print_paragraph(out, heading, width, 0);
    buf_putc(out, '\n');
    table_text(g, out, width);
}

/* Below a blank line. */
static void text_below(const char *words, unsigned width, struct buf *out)
{
    buf_putc(out, '\n');
    table_print_paragraph(out, words, width, 0);
}

/* A kept run is counted, not listed, where there is nothing to do about it. */
bool compare_is_listed(const struct comparison *c, uint32_t row)
{
    const struct cell *change = cell_at(&c->runs, row, table_column_named(&c->runs, "change")),
                      *note = cell_at(&c->runs, row, table_column_named(&c->runs, "note"));
    if (strcmp(change->text, "kept") != 0)
        return true;
    return note->kind != CELL_NONE &&
           (strncmp(note->text, compare_still_reaches, strlen(compare_still_reaches)) != 0 ||
            strchr(note->text, ';'));
}

static struct grid listed_runs(const struct comparison *c)
{
    struct grid listed;
    table_begin(&listed, c->arena, c->runs.columns, c->runs.column_count);
    for (uint32_t i = 0; i < table_rows(&c->runs); i++)
        if (compare_is_listed(c, i))
            memcpy(table_row(&listed), cell_at(&c->runs, i, 0),
                   c->runs.column_count * sizeof(struct cell));
    return listed;
}

const char compare_without_log[] = "There is no site log: nothing is known of cables in the wall.";
const char compare_caution[] =
    "Circuits dead and tested before a cable is moved. What is abandoned in the wall is a "
    "matter for the local authority.";

const char *compare_counts(const struct comparison *c)
{
    const uint32_t *n = c->runs_by_change;
    return arena_printf(
        c->arena,
        "runs: %u kept, %u moved, %u in another cable, %u added, %u abandoned; boxes: "
        "%u changed; bores: %u no longer used, %u new",
        n[RUN_KEPT], n[RUN_MOVED], n[RUN_RECABLED], n[RUN_ADDED], n[RUN_ABANDONED],
        table_rows(&c->boxes), c->unused_bores, c->new_bores);
}

struct section {
    const char *heading;
    const struct grid *rows;
};

/* What people are told, in this order; the last one has no heading. */
static const struct section *list_sections(const struct comparison *c, const struct grid *runs)
{
    const struct section all[] = {
        {"Runs", runs},
        {"Boxes", &c->boxes},
        {"Bores no longer used", &c->bores},
        {"New bores", &c->new_bore_rows},
        {"To be bought, more or less", &c->buy},
        {"Labels on cables", &c->labels},
        {"Breakers: the directory of the panel is to be written anew", &c->breakers},
        {"What is there and goes", &c->goes},
        {"Findings", &c->findings},
        {NULL, NULL}};
    return memcpy(arena_alloc(c->arena, sizeof all), all, sizeof all);
}

void compare_markdown(const struct comparison *c, struct buf *out)
{
    struct grid runs = listed_runs(c);
    const struct section *s = list_sections(c, &runs);
    buf_puts(out, "## What the change does to the work\n\n");
    table_print_markdown(out, compare_counts(c));
    buf_putc(out, '\n');
    for (; s->heading; s++) {
        if (!table_rows(s->rows))
            continue;
        buf_printf(out, "\n### %s\n\n", s->heading);
        table_markdown(s->rows, out);
    }
    if (!c->now->log)
        buf_printf(out, "\n%s\n", compare_without_log);
    buf_printf(out, "\n%s\n", compare_caution);
}

void compare_text(const struct comparison *c, unsigned width, struct buf *out)
{
    struct grid runs = listed_runs(c);
    const struct section *s = list_sections(c, &runs);
    table_print_paragraph(out, compare_counts(c), width, 0);
    for (; s->heading; s++)
        text_section(s->rows, s->heading, width, out);
    if (!c->now->log)
        text_below(compare_without_log, width, out);
    text_below(compare_caution, width, out);
}

static void json_section(struct json *j, const struct grid *g, const char *name)
{
    json_key(j, name);
    table_json(g, j);
}

static void json_counts(struct json *j, const struct comparison *c)
{
    const uint32_t *n = c->runs_by_change;
    json_key(j, "counts");
    json_begin_object(j, JSON_ROW);
    json_integer_member(j, "kept", n[RUN_KEPT]);
    json_integer_member(j, "moved", n[RUN_MOVED]);
    json_integer_member(j, "recabled", n[RUN_RECABLED]);
    json_integer_member(j, "added", n[RUN_ADDED]);
    json_integer_member(j, "abandoned", n[RUN_ABANDONED]);
    json_integer_member(j, "unused_bores", c->unused_bores);
    json_integer_member(j, "new_bores", c->new_bores);
    json_end(j);
}

void compare_json(const struct comparison *c, struct buf *out)
{
    struct json j = json_begin(out);
    json_begin_object(&j, JSON_LINES);
    json_string_member(&j, "old", c->old->model->title);
    json_string_member(&j, "new", c->now->model->title);
    json_bool_member(&j, "log", c->now->log != NULL);
    json_counts(&j, c);
    json_section(&j, &c->runs, "runs");
    json_section(&j, &c->boxes, "boxes");
    json_section(&j, &c->bores, "bores");
    json_section(&j, &c->new_bore_rows, "new_bores");
    json_section(&j, &c->buy, "buy");
    json_section(&j, &c->labels, "labels");
    json_section(&j, &c->breakers, "breakers");
    json_section(&j, &c->goes, "goes");
    json_section(&j, &c->findings, "findings");
    json_end(&j);
    buf_putc(out, '\n');
}

/* From statements to the model, part by part. */
#include "model/build.h"
#include "resolve/edit.h"

#include "base/date.h"

#include <string.h>

/* --- the plan statement ------------------------------------------------------------------- */

RULE(missing_clause, "missing-clause", ERROR, FIRM, "what has no default is written");

static void find_plan(struct builder *b)
{
    for (const struct node *n = b->file->child; n; n = n->next) {
        if (n->form != F_PLAN)
            continue;
        if (b->m->plan) {
            struct finding *f =
                diag_add(b->diag, &rule_duplicate_clause, token_span(n->source, n->first, n->first),
                         "a plan has one 'plan' statement in all its files together");
            diag_note(b->diag, f,
                      token_span(b->m->plan->source, b->m->plan->first, b->m->plan->first),
                      "first given here");
        } else {
            b->m->plan = n;
        }
    }
    if (!b->m->plan && !b->file->broken) {
        struct span top = {b->file->source, 0, 0};
        struct finding *f =
            diag_add(b->diag, &rule_missing_clause, top, "there is no 'plan' statement");
        diag_mend(b->diag, f, "begin with: plan \"Title\" { edition nec-2023 }");
        edit_at_top(edit_way(b->diag, f, false, "plan \"Title\" { edition nec-2023 }"),
                    b->file->source, "plan \"Title\" { edition nec-2023 }");
    }
}

/* An electrical code names the residential code that is adopted beside it. */
static bool is_electrical(struct builder *b, struct edition *e)
{
    return edition_table(b->m->lib, e, names_of(b->m->names, book_tables[TABLE_PARTNER].name)) !=
           NULL;
}

/* The edition whose name is the nearest: by it the rest is checked, so that nothing is said that
 * another book would ask. NULL where none is near. */
static struct edition *edition_meant(struct builder *b, const char *name)
{
    struct nearest n = nearest_meant(&b->diag->words, name);
    nearest_among(&n, build_map_names(b, &b->m->lib->editions, 0).lists[0]);
    return n.found ? library_edition(b->m->lib, names_of(b->m->names, n.found)) : NULL;
}

/* Whether the library knows it. */
static bool read_edition(struct builder *b, const struct node *n)
{
    struct code *c = &b->m->code;
    const char *name = val_name(b, n, 0);
    struct edition *e = library_edition(b->m->lib, name);
    if (!e) {
        if (!name)
            return false;
        build_unknown(b, value_span(n, node_value(n, 0)), "edition", name,
                      build_map_names(b, &b->m->lib->editions, 0));
        struct edition *meant = edition_meant(b, name);
        if (meant && !c->electrical && is_electrical(b, meant))
            c->electrical = meant;
        return false;
    }
    library_use(e);
    build_mention_definition(b, n, 0, MENTION_EDITION, e);
    struct edition **book = is_electrical(b, e) ? &c->electrical : &c->residential;
    if (*book)
        diag_add(b->diag, &rule_duplicate_clause, node_span(n),
                 "an edition of this book is given already: %s", (*book)->name);
    else
        *book = e;
    return true;
}

static void say_no_edition(struct builder *b)
{
    const struct edition *usual = b->m->code.electrical;
    struct finding *f =
        diag_add(b->diag, &rule_missing_clause,
                 token_span(b->m->plan->source, b->m->plan->first, b->m->plan->first),
                 "the plan names no edition of the electrical code to be checked by");
    if (!usual)
        return;
    diag_mend(b->diag, f, "add 'edition %s', or the edition that is in force where the job is",
              usual->name);
    const char *text = arena_printf(b->arena, "edition %s", usual->name);
    edit_first(edit_way(b->diag, f, false, "%s", text), b->m->plan, text);
}

static void read_editions(struct builder *b)
{
    struct code *c = &b->m->code;
    c->lib = b->m->lib;
    c->reader = "model";
    bool all_known = true;
    for (const struct node *n = b->m->plan ? b->m->plan->child : NULL; n; n = n->next)
        if (n->form == F_EDITION)
            all_known &= !n->broken && read_edition(b, n);
    bool none_named =
        !c->electrical && all_known && b->m->plan && !b->m->plan->broken && !b->m->plan->lost;
    /* Without a known edition the library's usual one serves, so that all else is still checked. */
    for (uint32_t i = b->m->lib->edition_list.n; i-- > 0 && !c->electrical;)
        if (is_electrical(b, b->m->lib->edition_list.at[i]))
            code_take_usual(c, b->m->lib->edition_list.at[i]);
    if (none_named)
        say_no_edition(b);
    if (!c->electrical && b->m->lib->edition_list.n) {
        diag_add(
            b->diag, &rule_library_incomplete, (struct span){0},
            "no edition of the library has the table '%s', by which an electrical code is known",
            book_tables[TABLE_PARTNER].name);
        c->electrical = b->m->lib->edition_list.at[b->m->lib->edition_list.n - 1];
    }
    if (!c->residential && c->electrical)
        c->residential = library_edition(b->m->lib, code_word(c, SET_PARTNER_RESIDENTIAL));
}

/* What the load calculation is told. */
static void read_calculation(struct builder *b, const struct node *n)
{
    struct model *m = b->m;
    m->area = clause_amount(b, n, F_PLAN_AREA, C_AREA, 0);
    m->service = clause_amount(b, n, F_SERVICE, C_AMP, 0);
    const char *what = val_name(b, clause(n, F_CALCULATE), 0);
    m->calculate = !what                       ? CALCULATE_NOT_SAID
                   : !strcmp(what, "dwelling") ? CALCULATE_DWELLING
                   : !strcmp(what, "addition") ? CALCULATE_ADDITION
                                               : CALCULATE_FEEDER;
    for (const struct node *c = n ? n->child : NULL; c; c = c->next) {
        if (c->form != F_EXISTING_LOAD || c->broken)
            continue;
        const struct value *what_for = node_value(c, 1);
        if (c->alt == 0)
            m->measured += val_amount(b, c, 0, C_AMP, 0);
        else
            *vec_push(b->arena, &m->existing_loads) = (struct existing_load){
                val_amount(b, c, 0, C_LOAD, 0),
                what_for && what_for->kind == V_TEXT ? what_for->name : c->text};
    }
}

/* A voltage that is on no list has lines and neutral in the wrong places, or three phases: all that
 * is worked out from it would be wrong, so the usual one is taken until it is mended. */
static const struct value *known_supply(struct builder *b, const struct node *n)
{
    struct code *code = &b->m->code;
    const struct value *supply = node_value(n, 0);
    if (!supply || !code_table(code, LIST_SUPPLIES) ||
        code_list_has_value(code, LIST_SUPPLIES, supply))
        return supply;
    struct finding *f = diag_add(b->diag, &rule_limit, node_span(n),
                                 "a plan is reckoned with a supply of %s, not with this one",
                                 code_list_words(code, LIST_SUPPLIES));
    diag_mend(b->diag, f, "write 'supply %s'", code_list_words(code, LIST_SUPPLIES));
    return NULL;
}

static void read_supply(struct model *m, const struct value *supply)
{
    double usual = code_voltage(&m->code, SET_PLAN_DEFAULTS_SUPPLY, 0);
    m->line_volts = value_amount(supply, usual);
    m->volts = !supply       ? code_low_voltage(&m->code, SET_PLAN_DEFAULTS_SUPPLY, 0)
               : supply->low ? supply->low
                             : m->line_volts;
}

/* The address of the job book, which a code on a label leads to. */
static const char *read_book(struct builder *b, const struct node *n)
{
    const char *address = clause_text(b, n, F_BOOK);
    if (!address || !strncmp(address, "https://", 8) || !strncmp(address, "http://", 7))
        return address;
    struct finding *f = diag_add(b->diag, &rule_limit, node_span(clause(n, F_BOOK)),
                                 "the address of a job book begins with https:// or http://");
    diag_mend(b->diag, f, "write it as a browser shows it, or leave the line out");
    return NULL;
}

static void read_plan(struct builder *b)
{
    struct model *m = b->m;
    const struct node *n = m->plan;
    m->title = n && n->text ? n->text : "";
    m->site = clause_text(b, n, F_SITE);
    m->owner = clause_text(b, n, F_OWNER);
    m->permit = clause_text(b, n, F_PERMIT);
    m->by = clause_text(b, n, F_BY);
    m->date = clause_text(b, n, F_DATE);
    m->book = read_book(b, n);
    m->dated = m->date && date_is(m->date) ? m->date : NULL;
    m->currency = clause_text(b, n, F_CURRENCY);
    for (const struct node *c = n ? n->child : NULL; c; c = c->next)
        if (c->form == F_NOTE && !c->broken)
            *vec_push(b->arena, &m->notes) = node_value(c, 0)->name;
    code_table(&m->code, TABLE_PLAN_DEFAULTS);
    read_supply(m, known_supply(b, clause(n, F_SUPPLY)));
    m->slack = clause_length(b, n, F_SLACK, code_length(&m->code, SET_PLAN_DEFAULTS_SLACK, 0));
    m->stock_step =
        clause_length(b, n, F_STOCK_STEP, code_length(&m->code, SET_PLAN_DEFAULTS_STOCK_STEP, 0));
    m->written.supply = node_child(n, F_SUPPLY);
    m->written.slack = node_child(n, F_SLACK);
    m->written.stock_step = node_child(n, F_STOCK_STEP);
    read_calculation(b, n);
    double language = clause_amount(b, n, F_LANGUAGE, C_NUM, 1);
    if (language != 1)
        diag_add(b->diag, &rule_limit, node_span(clause(n, F_LANGUAGE)),
                 "this compiler reads language 1, not language %g", language);
}

/* --- scopes ------------------------------------------------------------------------------- */

static void index_statements(struct builder *b)
{
    for (const struct node *n = b->file->child; n; n = n->next) {
        const char *name = node_name(n, 0);
        if (name && (n->form == F_ROOM || n->form == F_UNIT || n->form == F_PATTERN) &&
            !map_get(&b->statements, n->form, (uintptr_t)name))
            map_put(b->arena, &b->statements, n->form, (uintptr_t)name, (void *)n);
    }
}

static struct scope *add_scope(struct builder *b, struct unit *unit, const struct node *node,
                               const struct node *first)
{
    struct scope *s = arena_new(b->arena, struct scope);
    *s = (struct scope){.unit = unit,
                        .node = node,
                        .first = first,
                        .in_doubt = node_broken(node) ? ITS_FEED | ITS_DEVICES : 0};
    *vec_push(b->arena, &b->scopes) = s;
    map_put(b->arena, &b->scope_of, (uintptr_t)unit, 1, s);
    s->in_doubt |= unit ? b->scopes.at[0]->in_doubt & ITS_NAMES : 0;
    if (b->file->broken)
        s->in_doubt |= ITS_FEED | ITS_DEVICES | ITS_NAMES;
    for (const struct node *n = first; n; n = n->next)
        if (!node_name(n, 0)) {
            bool names = n->form == F_ROOM || n->form == F_PANEL || n->form == F_UNIT;
            s->in_doubt |= (names ? ITS_NAMES : 0) | (n->form == F_ROOM ? ITS_DEVICES : 0);
        }
    for (const struct node *n = node ? first : NULL; n; n = n->next) {
        if (n->form != F_GIVEN || !node_name(n, 0))
            continue;
        map_put(b->arena, &b->given, (uintptr_t)s, (uintptr_t)node_name(n, 0), (void *)n);
        mention_name(b->m->lib->mentions, n, MENTION_GIVEN, NULL);
    }
    return s;
}

static void add_unit(struct builder *b, const struct node *n, bool built)
{
    const char *name = node_name(n, 0);
    const struct node *whole = name ? build_copies(b, n, b->file->child) : NULL;
    if (!whole)
        return;
    struct unit *u = arena_new(b->arena, struct unit);
    *u = (struct unit){.id = b->m->units.n,
                       .name = name,
                       .title = whole->text ? whole->text : name,
                       .node = n,
                       .built = built};
    mention_name(b->m->lib->mentions, n, MENTION_UNIT, u);
    if (built && !build_declare_thing(b, NULL, name, "unit", n, (struct named){.unit = u}))
        return;
    *vec_push(b->arena, &b->m->units) = u;
    add_scope(b, u, whole, whole->child);
}

/* The plan itself, its units, and patterns that no unit is built from: those are checked all the
 * same. */
static void add_scopes(struct builder *b)
{
    add_scope(b, NULL, NULL, b->file->child);
    for (const struct node *n = b->file->child; n; n = n->next)
        if (n->form == F_UNIT)
            add_unit(b, n, true);
    for (const struct node *n = b->file->child; n; n = n->next)
        if (n->form == F_PATTERN && (b->every_pattern || !map_get(&b->drawn_upon, (uintptr_t)n, 0)))
            add_unit(b, n, false);
}

RULE(unused_definition, "unused-definition", WARNING, WAIVABLE, "what a plan defines, it uses");

/* --- all of it ---------------------------------------------------------------------------- */

static void each_scope(struct builder *b, void (*build)(struct builder *, struct scope *))
{
    for (uint32_t i = 0; i < b->scopes.n; i++) {
        b->scope = b->scopes.at[i];
        build(b, b->scope);
    }
}

static struct builder *begin(struct arena *arena, struct diag *diag, struct names *names,
                             const struct language *language, struct library *lib,
                             const struct node *file)
{
    struct model *m = arena_new(arena, struct model);
    *m = (struct model){.diag = diag, .arena = arena, .names = names, .lib = lib};
    struct builder *b = arena_new(arena, struct builder);
    *b = (struct builder){.m = m, .language = language, .arena = arena, .diag = diag, .file = file};
    return b;
}

static struct model *build_all(struct builder *b)
{
    struct model *m = b->m;
    find_plan(b);
    read_editions(b);
    read_plan(b);
    index_statements(b);
    build_levels(b);
    add_scopes(b);
    each_scope(b, build_rooms);
    each_scope(b, build_place_rooms);
    build_level_bulks(b);
    each_scope(b, build_room_bulks);
    build_share_walls(b);
    each_scope(b, build_panels);
    each_scope(b, build_boxes);
    build_buildings(b);
    each_scope(b, build_circuits);
    build_check_feeder_rings(b);
    each_scope(b, build_low_voltage);
    build_finish_circuits(b);
    build_spread_existing(b);
    build_take_out(b);
    build_trees(b);
    build_check_legs(b);
    build_orders(b);
    build_terms(b);
    build_mend_unknown(b);
    build_amendments(b);
    each_scope(b, build_waivers);
    build_circuit_waivers(b);
    m->read_in_full = !b->diag->syntax_lines.n && !b->file->broken;
    return m;
}

struct model *model_build(struct arena *arena, struct diag *diag, struct names *names,
                          const struct language *language, struct library *lib,
                          const struct node *file)
{
    return build_all(begin(arena, diag, names, language, lib, file));
}

static struct named named(const struct model *m, const struct unit *in, const char *name)
{
    const struct named *found = map_find(&m->scope, in, name);
    return found ? *found : (struct named){0};
}

struct room *model_room_called(const struct model *m, const struct unit *in, const char *name)
{
    return named(m, in, name).room;
}

struct panel *model_panel_called(const struct model *m, const struct unit *in, const char *name)
{
    return named(m, in, name).panel;
}

struct unit *model_unit_called(const struct model *m, const char *name)
{
    return named(m, NULL, name).unit;
}

struct level *model_level_called(const struct model *m, const char *name)
{
    for (uint32_t i = 0; i < m->levels.n; i++)
        if (m->levels.at[i]->name == name)
            return m->levels.at[i];
    return NULL;
}

static bool has_pattern(const struct node *file)
{
    const struct node *n = file->child;
    while (n && n->form != F_PATTERN)
        n = n->next;
    return n;
}

/* What a unit changes or takes away of its pattern is looked up by no unit. */
void model_mention_patterns(const struct model *m, const struct language *language,
                            const struct node *file)
{
    struct mentions *mentions = m->lib->mentions;
    if (!mentions || !has_pattern(file))
        return;
    struct diag unsaid = {.arena = m->arena};
    struct library lib = *m->lib;
    lib.diag = &unsaid;
    struct builder *b = begin(m->arena, &unsaid, m->names, language, &lib, file);
    b->every_pattern = true;
    mentions->patterns = true;
    build_all(b);
    mentions->patterns = false;
}

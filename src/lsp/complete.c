/* What can be written here: forms by their place, words of patterns, names of the plan and of the
 * library, each with what is said of it in the table or the library; and what the trade calls it.
 */
#include "diag/render.h"
#include "lsp/documents.h"
#include "lsp/expect.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "model/address.h"
#include "model/site.h"
#include "resolve/library.h"

#include <string.h>

/* LSP 3.17, "CompletionItemKind" and "InsertTextFormat". */
enum item_kind_of {
    ITEM_FIELD = 5,
    ITEM_VARIABLE = 6,
    ITEM_CLASS = 7,
    ITEM_MODULE = 9,
    ITEM_VALUE = 12,
    ITEM_KEYWORD = 14,
    ITEM_STRUCT = 22,
    ITEM_EVENT = 23,
};
enum { AS_SNIPPET = 2 };

struct completing {
    struct server *s;
    struct form_of *form;
    struct plan *plan; /* NULL: none can be made of the text */
    struct expecting expect;
    struct line_table *lines;
    size_t from, to; /* what the chosen one stands in place of */
    bool line_free;  /* the editor takes patterns to fill in, and nothing stands behind the place */
    struct map put;  /* labels that were */
};

/* --- one item ----------------------------------------------------------------------------- */

struct offer {
    const char *label, *detail, *documentation, *text; /* text NULL: the label */
    int kind;
    char rank; /* those of one letter stand together, 'a' first */
    bool snippet;
};

static void put_offer(struct completing *c, struct offer o)
{
    struct json *j = &c->s->json;
    const char *text = o.text ? o.text : o.label;
    const char *key = names_of(&c->form->c.names, o.label);
    if (map_find(&c->put, 0, key))
        return;
    map_file(&c->s->scratch, &c->put, 0, key, c);
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "label", o.label);
    json_integer_member(j, "kind", o.kind);
    if (o.detail && *o.detail && strcmp(o.detail, o.label))
        json_string_member(j, "detail", o.detail);
    if (o.documentation && *o.documentation)
        message_markup(c->s, "documentation", o.documentation);
    json_string_member(j, "sortText", arena_printf(&c->s->scratch, "%c%s", o.rank, o.label));
    if (o.snippet)
        json_integer_member(j, "insertTextFormat", AS_SNIPPET);
    json_key(j, "textEdit");
    message_edit(c->s, c->lines, c->from, c->to, text);
    json_end(j);
}

/* --- forms -------------------------------------------------------------------------------- */

/* A step of a pattern as a part of a snippet: a choice, or what is wanted in the place. */
static void put_place(struct buf *b, const struct step *step, unsigned *n)
{
    if (step->kind == STEP_WORD && step->choice_count == 1) {
        buf_puts(b, step->choices[0]);
    } else if (step->kind == STEP_WORD) {
        buf_printf(b, "${%u|", ++*n);
        for (unsigned i = 0; i < step->choice_count; i++)
            buf_printf(b, "%s%s", i ? "," : "", step->choices[i]);
        buf_puts(b, "|}");
    } else if (step->kind == STEP_SIGN) {
        buf_puts(b, step->sign == T_COMMA ? "," : step->sign == T_COLON ? ":" : "+");
    } else if (step->capture == C_TEXT) {
        buf_printf(b, "\"${%u}\"", ++*n);
    } else {
        buf_printf(b, "${%u}", ++*n);
    }
}

/* The first way to write a form, what may be left out left out. */
static const char *snippet_of(struct completing *c, const struct form *f, const char *word)
{
    struct buf b = {0};
    unsigned n = 0;
    buf_puts(&b, word);
    for (const struct step *p = f->patterns[0].steps; p->kind != STEP_END; p++) {
        if (p->kind == STEP_OPTION) {
            p += p->skip - 1;
            continue;
        }
        if (p->kind != STEP_SIGN)
            buf_putc(&b, ' ');
        put_place(&b, p, &n);
    }
    if (f->must_block)
        buf_printf(&b, " {\n\t${%u}\n}", ++n);
    const char *text = arena_copy(&c->s->scratch, b.at, b.n);
    buf_free(&b);
    return text;
}

static void offer_form(struct completing *c, const struct form *f, char rank)
{
    bool snippet = c->line_free && (f->must_block || *f->source);
    const char *pattern =
        *f->source ? arena_printf(&c->s->scratch, "%s %s", f->word, f->source) : f->word;
    if (!*f->word || !strcmp(f->word, "*") || !strcmp(f->word, "("))
        return;
    put_offer(c, (struct offer){.label = f->word,
                                .detail = pattern,
                                .documentation = f->doc,
                                .text = snippet ? snippet_of(c, f, f->word) : NULL,
                                .kind = ITEM_KEYWORD,
                                .rank = rank,
                                .snippet = snippet});
}

/* --- what the library has ----------------------------------------------------------------- */

/* A type, and below it the words of the trade that mean it. */
static void offer_type(struct completing *c, const char *name, const char *title, char rank)
{
    put_offer(c, (struct offer){.label = name, .detail = title, .kind = ITEM_STRUCT, .rank = rank});
}

static bool names_type(const struct library *lib, enum form_id form, const char *name)
{
    const struct map *of = form == F_DEVICE     ? &lib->devices
                           : form == F_BOX_TYPE ? &lib->box_types
                           : form == F_KIND     ? &lib->kinds
                                                : &lib->cables;
    return map_find(of, 0, name) != NULL;
}

static void offer_trade_words(struct completing *c, const struct library *lib, enum form_id form)
{
    const near_words *words = &c->s->library.diag.words;
    for (uint32_t i = 0; i < words->n; i++) {
        const struct near_word *w = &words->at[i];
        const char *means = w->count ? names_of(&c->form->c.names, w->means[0]) : "";
        if (!names_type(lib, form, means))
            continue;
        put_offer(c, (struct offer){.label = w->word,
                                    .detail = arena_printf(&c->s->scratch, "is %s here", means),
                                    .text = means,
                                    .kind = ITEM_STRUCT,
                                    .rank = 'x'});
    }
}

static void offer_devices(struct completing *c, const struct library *lib)
{
    for (uint32_t i = 0; i < lib->device_list.n; i++)
        offer_type(c, lib->device_list.at[i]->name, lib->device_list.at[i]->title, 'b');
    offer_trade_words(c, lib, F_DEVICE);
}

static void offer_box_types(struct completing *c, const struct library *lib)
{
    for (uint32_t i = 0; i < lib->box_type_list.n; i++)
        offer_type(c, lib->box_type_list.at[i]->name, lib->box_type_list.at[i]->title, 'b');
    offer_trade_words(c, lib, F_BOX_TYPE);
}

static void offer_kinds(struct completing *c, const struct library *lib)
{
    for (uint32_t i = 0; i < lib->kind_list.n; i++)
        offer_type(c, lib->kind_list.at[i]->name, lib->kind_list.at[i]->title, 'b');
    offer_trade_words(c, lib, F_KIND);
}

static void offer_cables(struct completing *c, const struct library *lib)
{
    for (uint32_t i = 0; i < lib->cable_list.n; i++)
        offer_type(c, lib->cable_list.at[i]->name, lib->cable_list.at[i]->title, 'b');
    offer_trade_words(c, lib, F_CABLE);
}

static void offer_raceways(struct completing *c, const struct library *lib)
{
    for (uint32_t i = 0; i < lib->raceway_list.n; i++)
        offer_type(c, lib->raceway_list.at[i]->name, lib->raceway_list.at[i]->title, 'b');
}

static void offer_editions(struct completing *c, const struct library *lib)
{
    for (uint32_t i = 0; i < lib->edition_list.n; i++)
        offer_type(c, lib->edition_list.at[i]->name, lib->edition_list.at[i]->label, 'b');
}

static void offer_rules(struct completing *c)
{
    for (uint32_t i = 0; i < rule_count; i++)
        if (rules_by_name[i]->waivable)
            put_offer(c, (struct offer){.label = rules_by_name[i]->name,
                                        .detail = diag_severity_word(rules_by_name[i]->severity),
                                        .documentation = rules_by_name[i]->asks,
                                        .kind = ITEM_EVENT,
                                        .rank = 'b'});
}

/* --- what the plan has -------------------------------------------------------------------- */

static const struct model *model_of(const struct completing *c)
{
    return c->plan ? c->plan->c->model : NULL;
}

static void offer_name(struct completing *c, const char *name, const char *title, int kind,
                       char rank)
{
    put_offer(c, (struct offer){.label = name, .detail = title, .kind = kind, .rank = rank});
}

static void offer_rooms(struct completing *c)
{
    const struct model *m = model_of(c);
    for (uint32_t i = 0; m && i < m->rooms.n; i++)
        offer_name(c, address_of_room(&c->s->scratch, m->rooms.at[i], false), m->rooms.at[i]->title,
                   ITEM_MODULE, 'c');
}

static void offer_levels(struct completing *c)
{
    const struct model *m = model_of(c);
    for (uint32_t i = 0; m && i < m->levels.n; i++)
        if (m->levels.at[i]->name)
            offer_name(c, m->levels.at[i]->name, m->levels.at[i]->title, ITEM_MODULE, 'b');
}

static void offer_legs(struct completing *c)
{
    const struct model *m = model_of(c);
    for (uint32_t i = 0; m && i < m->legs.n; i++)
        offer_name(c, m->legs.at[i]->name, m->legs.at[i]->title, ITEM_VARIABLE, 'b');
}

static void offer_panels(struct completing *c)
{
    const struct model *m = model_of(c);
    for (uint32_t i = 0; m && i < m->panels.n; i++)
        offer_name(c, address_of_panel(&c->s->scratch, m->panels.at[i], false),
                   m->panels.at[i]->title, ITEM_CLASS, 'd');
}

static void offer_circuits(struct completing *c)
{
    const struct model *m = model_of(c);
    for (uint32_t i = 0; m && i < m->circuits.n; i++)
        if (!m->circuits.at[i]->feeds)
            offer_name(c, address_of_circuit(&c->s->scratch, m->circuits.at[i], false),
                       m->circuits.at[i]->title, ITEM_EVENT, 'c');
}

/* What stands in a box, in a few words. */
static const char *box_detail(struct completing *c, const struct box *b)
{
    struct buf words = {0};
    if (b->title && strcmp(b->title, b->name))
        buf_puts(&words, b->title);
    for (uint32_t i = 0; i < b->device_count; i++)
        buf_printf(&words, "%s%s", words.n ? ", " : "",
                   b->devices[i]->def ? b->devices[i]->def->name : "?");
    const char *text = arena_copy(&c->s->scratch, words.at ? words.at : "", words.n);
    buf_free(&words);
    return text;
}

static void offer_boxes_of(struct completing *c, const struct room *room, char rank)
{
    for (uint32_t i = 0; i < room->boxes.n; i++)
        offer_name(c, room->boxes.at[i]->name, box_detail(c, room->boxes.at[i]), ITEM_FIELD, rank);
}

/* The room that a name with its dots leads to: of the tokens from `first` up to `end`. */
static const struct room *room_named(struct completing *c, uint32_t first, uint32_t end)
{
    const struct source *source = c->form->source;
    const struct model *m = model_of(c);
    const char *name = arena_copy(&c->s->scratch, source->bytes + form_start(source, first),
                                  form_end(source, end - 1) - form_start(source, first));
    for (uint32_t i = 0; m && i < m->rooms.n; i++)
        if (!strcmp(address_of_room(&c->s->scratch, m->rooms.at[i], false), name))
            return m->rooms.at[i];
    return NULL;
}

/* Where a name with dots begins whose last dot stands before the token. */
static uint32_t dotted_start(const struct source *source, uint32_t dot)
{
    uint32_t at = dot;
    while (at > 0 && source->tokens[at].kind == T_DOT)
        at -= at > 1 && source->tokens[at - 2].kind == T_DOT ? 2 : 1;
    return at;
}

/* The room of the box named last in the line, which may be left out of the next name. */
static const struct room *room_last_named(struct completing *c)
{
    const struct source *source = c->form->source;
    for (uint32_t at = c->expect.before; at-- > c->expect.first;) {
        if (source->tokens[at].kind != T_DOT)
            continue;
        const struct room *room = room_named(c, dotted_start(source, at), at);
        if (room)
            return room;
    }
    return NULL;
}

/* Boxes of the room last named first, then rooms and panels. */
static void offer_ends(struct completing *c)
{
    const struct room *room = room_last_named(c);
    if (room)
        offer_boxes_of(c, room, 'a');
    offer_rooms(c);
    offer_panels(c);
}

/* The room in whose block the place stands, as it was compiled last; NULL: in none. */
static const struct room *room_around(struct completing *c)
{
    const struct model *m = model_of(c);
    const struct node *n = c->form->file ? form_node_at(c->form, c->expect.first) : NULL;
    while (n && n->form != F_ROOM)
        n = n->parent;
    const char *name = n ? node_name(n, 0) : NULL;
    for (uint32_t i = 0; m && name && i < m->rooms.n; i++)
        if (!strcmp(m->rooms.at[i]->name, name))
            return m->rooms.at[i];
    return NULL;
}

/* The room that the words right before the place name; NULL: they name none. */
static const struct room *room_just_named(struct completing *c)
{
    const struct source *source = c->form->source;
    uint32_t first = c->expect.before;
    if (first <= c->expect.first)
        return NULL;
    for (first--; first > c->expect.first + 1 && source->tokens[first - 1].kind == T_DOT;)
        first -= 2;
    return room_named(c, first, c->expect.before);
}

/* Walls of a room that is drawn have names of their own. */
static void offer_walls(struct completing *c, const struct room *room)
{
    static const char *const sides[] = {"north", "east", "south", "west"};
    for (uint32_t i = 0; room && i < room->wall_count; i++)
        if (room->walls[i].written)
            offer_name(c, room->walls[i].written, "wall", ITEM_VALUE, 'b');
    for (size_t i = 0; !(room && room->wall_count) && i < sizeof sides / sizeof *sides; i++)
        offer_name(c, sides[i], "wall", ITEM_VALUE, 'b');
}

/* --- what a pattern wants ----------------------------------------------------------------- */

static void offer_cable_of(struct completing *c, const struct library *lib, enum form_id form)
{
    if (form == F_IN || form == F_RACEWAY_DEF)
        offer_raceways(c, lib);
    else
        offer_cables(c, lib);
}

static void offer_refs(struct completing *c, enum form_id form)
{
    switch (form) {
    case F_CIRCUIT:
    case F_FEED_FROM:
        offer_panels(c);
        break;
    case F_DEV_CIRCUIT:
    case F_FOR_CIRCUITS:
        offer_circuits(c);
        break;
    case F_TO:
    case F_STAIRS:
    case F_PANEL_IN:
    case F_BUILDING_ROOMS:
        offer_rooms(c);
        break;
    default:
        offer_ends(c);
    }
}

/* Names, by what the form does with them. */
static void offer_names(struct completing *c, const struct library *lib, const struct expected *e)
{
    const struct form *f = &c->form->c.language->forms[e->form];
    switch (e->form) {
    case F_KIND:
    case F_ROOM_AREA:
        offer_kinds(c, lib);
        break;
    case F_BOX_TYPE:
        offer_box_types(c, lib);
        break;
    case F_EDITION:
    case F_AMEND:
        offer_editions(c, lib);
        break;
    case F_ON:
        offer_levels(c);
        break;
    case F_DEV_LEG:
    case F_DEV_FROM:
    case F_CAPPED:
    case F_LEG:
        offer_legs(c);
        break;
    case F_WAIVE:
    case F_WAIVE_HERE:
        offer_rules(c);
        break;
    case F_ROOM:
        if (e->place)
            offer_rooms(c);
        break;
    case F_DEVICE_DEF:
        if (e->place)
            offer_devices(c, lib);
        break;
    case F_BOX_DEF:
        if (e->place)
            offer_box_types(c, lib);
        break;
    default:
        if (e->form == F_PANEL_IN && e->place)
            offer_walls(c, room_just_named(c));
        else if (f->along_wall || (e->form == F_BOX && e->place))
            offer_walls(c, room_around(c));
    }
}

static void offer_step(struct completing *c, const struct library *lib, const struct expected *e)
{
    const struct form *f = &c->form->c.language->forms[e->form];
    if (e->step->kind == STEP_WORD)
        for (unsigned i = 0; i < e->step->choice_count; i++)
            put_offer(c, (struct offer){.label = e->step->choices[i],
                                        .detail = f->word,
                                        .documentation = f->doc,
                                        .kind = ITEM_VALUE,
                                        .rank = 'b'});
    if (e->step->kind != STEP_CAPTURE)
        return;
    switch (e->step->capture) {
    case C_NAME:
        offer_names(c, lib, e);
        break;
    case C_CABLE:
        offer_cable_of(c, lib, e->form);
        break;
    case C_REF:
    case C_REFS:
        offer_refs(c, e->form);
        break;
    case C_CHAIN:
    case C_WHERE:
        offer_ends(c);
        break;
    default:
        break;
    }
}

/* Behind a dot: what is in the room, or in the unit. */
static void offer_behind_dot(struct completing *c, uint32_t dot)
{
    const struct source *source = c->form->source;
    uint32_t first = dotted_start(source, dot);
    const struct room *room = room_named(c, first, dot);
    const struct model *m = model_of(c);
    if (room)
        offer_boxes_of(c, room, 'a');
    const char *unit = form_text(&c->s->scratch, source, first);
    for (uint32_t i = 0; m && !room && i < m->rooms.n; i++)
        if (m->rooms.at[i]->unit && !strcmp(m->rooms.at[i]->unit->name, unit))
            offer_name(c, m->rooms.at[i]->name, m->rooms.at[i]->title, ITEM_MODULE, 'a');
}

static void offer_all(struct completing *c)
{
    const struct language *l = c->form->c.language;
    const struct expecting *e = &c->expect;
    const struct library *lib = c->plan ? &c->plan->c->lib : &c->s->library.lib;
    uint32_t before = e->before;
    if (before && c->form->source->tokens[before - 1].kind == T_DOT) {
        offer_behind_dot(c, before - 1);
        return;
    }
    for (uint32_t i = 0; e->begins && e->owner != FORM_COUNT && i < l->words_in[e->owner].n; i++)
        offer_form(c, &l->forms[language_in_block(l, e->owner, l->words_in[e->owner].at[i])], 'a');
    if (e->begins && (e->owner == F_BOX || e->owner == F_BOXES))
        offer_devices(c, lib);
    for (uint32_t i = 0; i < e->steps.n; i++)
        offer_step(c, lib, &e->steps.at[i]);
    for (uint32_t i = 0; i < e->options.n; i++)
        for (uint32_t k = 0; k < l->words_on[e->options.at[i]].n; k++)
            offer_form(c,
                       &l->forms[language_on_line(l, e->options.at[i],
                                                  l->words_on[e->options.at[i]].at[k])],
                       'b');
}

/* --- the method --------------------------------------------------------------------------- */

/* In a comment or a text nothing is offered. */
static bool in_words(const struct form_of *form, size_t off)
{
    const struct source *source = form->source;
    uint32_t token = form_token_at(source, off ? off - 1 : 0);
    const struct source_token *t = &source->tokens[token];
    size_t gap = token ? form_end(source, token - 1) : 0, line = off;
    if (t->kind == T_TEXT && t->off < off && off < t->off + t->len)
        return true;
    while (line > gap && source->bytes[line - 1] != '\n')
        line--;
    return off > line && memchr(source->bytes + line, '#', off - line) != NULL &&
           (t->off >= off || t->kind == T_EOF);
}

/* Whether nothing stands behind the place on its line. */
static bool ends_line(const struct document *d, size_t off)
{
    size_t end = off;
    while (end < d->text.n && (d->text.at[end] == ' ' || d->text.at[end] == '\t'))
        end++;
    return end == d->text.n || d->text.at[end] == '\n' || d->text.at[end] == '\r';
}

void complete_at(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    size_t off = document_offset(s, d, read_member(params, "position"));
    struct completing c = {.s = s, .plan = plan_of(s, d), .to = off};
    c.form = form_get(s, d);
    c.lines = document_lines(s, d);
    c.line_free = s->client.snippets && ends_line(d, off);
    message_begin_answer(s, id);
    json_begin_object(&s->json, JSON_ROW);
    json_bool_member(&s->json, "isIncomplete", false);
    json_key(&s->json, "items");
    json_begin_array(&s->json, JSON_ROW);
    if (c.form->file && !in_words(c.form, off)) {
        c.expect = expect_at(s, c.form, off);
        c.from = c.expect.from;
        offer_all(&c);
    }
    message_send(s);
}

void announce_completion(struct server *s)
{
    json_begin_object(&s->json, JSON_ROW);
    json_texts_member(&s->json, "triggerCharacters", (const char *const[]){".", " ", ">"}, 3);
    json_bool_member(&s->json, "resolveProvider", false);
    json_end(&s->json);
}

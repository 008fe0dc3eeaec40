/* What the open plans have by a name that holds the letters asked for. */
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "lsp/symbols.h"
#include "model/address.h"
#include "model/site.h"

#include <ctype.h>
#include <string.h>

enum { MOST_FOUND = 1000 };

struct finding_names {
    struct server *s;
    struct plan *plan;
    const char *letters;
    unsigned found;
};

/* Whether the letters stand in the name in their order, small or capital, as editors filter. */
static bool has_letters(const char *name, const char *letters)
{
    for (; *name && *letters; name++)
        letters += tolower((unsigned char)*name) == tolower((unsigned char)*letters);
    return !*letters;
}

static void put_found(struct finding_names *f, const struct node *n, const char *name,
                      const char *title)
{
    struct plan_file *file = n ? plan_file_source(f->plan, n->source) : NULL;
    if (!file || f->found >= MOST_FOUND ||
        !(has_letters(name, f->letters) || (title && has_letters(title, f->letters))))
        return;
    struct span at = node_name_span(n);
    struct json *j = &f->s->json;
    f->found++;
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "name", name);
    json_integer_member(j, "kind", symbol_kind(n->form));
    if (title && strcmp(title, symbol_name(&f->s->scratch, n)))
        json_string_member(j, "containerName", title);
    json_key(j, "location");
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "uri", file->uri);
    message_range(f->s, "range", plan_file_lines(f->s, f->plan, file), at.off, at.off + at.len);
    json_end(j);
    json_end(j);
}

static void find_in_plan(struct finding_names *f)
{
    const struct model *m = f->plan->c->model;
    struct arena *a = &f->s->scratch;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        put_found(f, m->rooms.at[i]->node, address_of_room(a, m->rooms.at[i], false),
                  m->rooms.at[i]->title);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        put_found(f, m->boxes.at[i]->node, address_of_box(a, m->boxes.at[i], false),
                  m->boxes.at[i]->title);
    for (uint32_t i = 0; i < m->panels.n; i++)
        put_found(f, m->panels.at[i]->node, address_of_panel(a, m->panels.at[i], false),
                  m->panels.at[i]->title);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (!m->circuits.at[i]->feeds)
            put_found(f, m->circuits.at[i]->node, address_of_circuit(a, m->circuits.at[i], false),
                      m->circuits.at[i]->title);
    for (uint32_t i = 0; i < m->legs.n; i++)
        put_found(f, m->legs.at[i]->node, address_of_leg(a, m->legs.at[i], false),
                  m->legs.at[i]->title);
}

void find_symbols(struct server *s, json_in id, json_in params)
{
    const char *letters = read_text(read_member(params, "query"));
    while (plan_compile_first(s))
        continue;
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    for (struct plan *p = s->plans; p; p = p->next)
        if (p->c->model)
            find_in_plan(&(struct finding_names){s, p, letters ? letters : "", 0});
    message_send(s);
}

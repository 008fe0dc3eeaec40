/* What can be done about what stands at a place, each as edits that are laid out as the text is:
 * what mends a finding, the waiver that lets it stand, what was worked out written into the plan,
 * a chain of runs parted into its hops, an opening in the other room that it opens to, and what is
 * proposed for the whole plan. */
#include "diag/edits.h"
#include "diag/render.h"
#include "fmt/fit.h"
#include "lsp/across.h"
#include "lsp/changes.h"
#include "lsp/diagnostics.h"
#include "lsp/documents.h"
#include "lsp/forms.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "propose/propose.h"
#include "propose/trial.h"
#include "resolve/edit.h"
#include "resolve/node.h"
#include "settle/settle.h"

#include <string.h>

static const char mend_kind[] = "quickfix", rewrite_kind[] = "refactor.rewrite",
                  settle_kind[] = "source.settle", mend_all_kind[] = "source.fixAll",
                  propose_kind[] = "source.propose";

struct acting {
    struct server *s;
    struct document *d;
    struct plan *p;
    struct plan_file *file;
    json_in context;
    size_t from, to;
    struct fit fit;
};

/* --- which ------------------------------------------------------------------------------- */

/* Whether the editor asks for actions of a kind: a kind that it names stands for all below it. */
static bool is_asked(const struct acting *a, const char *kind)
{
    json_in only = read_member(a->context, "only");
    for (uint32_t i = 0; i < read_count(only); i++) {
        const char *one = read_text(read_at(only, i));
        size_t n = one ? strlen(one) : 0;
        if (one && !strncmp(one, kind, n) && (!n || !kind[n] || kind[n] == '.'))
            return true;
    }
    return !read_is_array(only);
}

/* What concerns the whole plan is worked out where a person asks, not at each move of the cursor.
 */
static bool is_asked_of_all(const struct acting *a, const char *kind)
{
    enum { AUTOMATIC = 2 };
    return is_asked(a, kind) &&
           (read_is_array(read_member(a->context, "only")) ||
            read_number(read_member(a->context, "triggerKind"), 1) != AUTOMATIC);
}

/* Whether a stretch of the file touches what is asked about. */
static bool touches(const struct acting *a, const struct source *source, size_t off, size_t len)
{
    return source == a->file->source && off <= a->to && off + len >= a->from;
}

/* --- one action --------------------------------------------------------------------------- */

static void put_action(struct acting *a, const char *title, const char *kind,
                       const struct finding *f, bool preferred, const edit_list *edits)
{
    struct json *j = &a->s->json;
    json_begin_object(j, JSON_ROW);
    json_string_member(j, "title", title);
    json_string_member(j, "kind", kind);
    if (f) {
        json_key(j, "diagnostics");
        json_begin_array(j, JSON_ROW);
        diagnostics_write(a->s, a->p, a->file, f);
        json_end(j);
    }
    if (preferred)
        json_bool_member(j, "isPreferred", true);
    json_key(j, "edit");
    changes_write(a->s, a->p, edits);
    json_end(j);
}

/* --- findings ----------------------------------------------------------------------------- */

static void put_mends(struct acting *a, struct finding *f)
{
    fit_finding(&a->fit, f);
    for (uint32_t i = 0; i < f->mends.n; i++)
        if (f->mends.at[i].edits.n)
            put_action(a, f->mends.at[i].words, mend_kind, f,
                       f->mends.n == 1 && f->mends.at[i].safe, &f->mends.at[i].edits);
}

/* The waiver at the end of the file, its reason to be filled in. */
static void put_waiver(struct acting *a, const struct finding *f)
{
    struct source *source = a->file->source;
    const char *line = finding_waive_line(&a->s->scratch, f);
    bool ended = !source->size || source->bytes[source->size - 1] == '\n';
    if (!line)
        return;
    struct mend way = {.words = "", .safe = false};
    *vec_push(&a->p->c->arena, &way.edits) = (struct edit){
        source, source->size, 0, arena_printf(&a->p->c->arena, "%s%s\n", ended ? "" : "\n", line)};
    fit_mend(&a->fit, &way);
    if (way.edits.n)
        put_action(a, arena_printf(&a->s->scratch, "let it stand, with a reason: %s", line),
                   mend_kind, f, false, &way.edits);
}

static void put_findings(struct acting *a)
{
    for (uint32_t i = 0; i < a->p->c->diag.findings.n; i++) {
        struct finding *f = &a->p->c->diag.findings.at[i];
        if (f->waived || !touches(a, f->span.source, f->span.off, f->span.len))
            continue;
        put_mends(a, f);
        put_waiver(a, f);
    }
}

/* Each finding that has one mend, and that a safe one, as far as they do not touch each other. */
static void put_all_mends(struct acting *a)
{
    edit_list all = {0};
    uint32_t count = 0;
    for (uint32_t i = 0; i < a->p->c->diag.findings.n; i++) {
        struct finding *f = &a->p->c->diag.findings.at[i];
        if (f->waived || f->mends.n != 1 || !f->mends.at[0].safe)
            continue;
        struct mend *way = &f->mends.at[0];
        fit_mend(&a->fit, way);
        if (!way->edits.n || !edits_apart(&all, &way->edits))
            continue;
        for (uint32_t k = 0; k < way->edits.n; k++)
            *vec_push(&a->s->scratch, &all) = way->edits.at[k];
        edits_sort(&all);
        count++;
    }
    if (count)
        put_action(a,
                   arena_printf(&a->s->scratch, "mend %s that can be mended in one way",
                                arena_counted(&a->s->scratch, count, "finding", "findings")),
                   mend_all_kind, NULL, false, &all);
}

/* --- what was worked out ------------------------------------------------------------------ */

/* What is put in, on one line. */
static const char *settled_words(struct acting *a, const char *text)
{
    text += strspn(text, " \n;");
    size_t n = strcspn(text, "\n");
    return arena_printf(&a->s->scratch, "write what was worked out: %.*s", (int)n, text);
}

/* What stands on the lines that are asked about. A chain that is parted is one action. */
static void put_settled(struct acting *a)
{
    const struct settled *settled = plan_settled(a->p, false);
    struct line_table *lines = plan_file_lines(a->s, a->p, a->file);
    uint32_t first = line_table_place(lines, a->from).line,
             last = line_table_place(lines, a->to).line;
    size_t from = lines->starts.at[first],
           to = last + 1 < lines->starts.n ? lines->starts.at[last + 1] - 1 : lines->size;
    edit_list edits = {0};
    for (uint32_t i = 0; settled && i < settled->edits.n; i++) {
        struct edit e = settled->edits.at[i];
        if (e.source == a->file->source && e.off >= from && e.off <= to)
            *vec_push(&a->s->scratch, &edits) = e;
    }
    if (edits.n)
        put_action(a, settled_words(a, edits.at[0].text), rewrite_kind, NULL, false, &edits);
}

static void put_all_settled(struct acting *a)
{
    const struct settled *all = a->p->c->diag.counts[ERROR] ? NULL : plan_settled(a->p, false);
    if (all && all->edits.n)
        put_action(a, "settle: write all that was worked out into the plan", settle_kind, NULL,
                   false, &all->edits);
}

/* --- chains ------------------------------------------------------------------------------- */

/* The run whose chain holds the place, of more than one hop; NULL: there is none. */
static const struct node *chain_at(struct acting *a, const struct form_of *form)
{
    const struct node *n = form_node_at(form, form_token_at(form->source, a->from));
    while (n->form != F_FILE && n->form != F_RUN)
        n = n->parent;
    return n->form == F_RUN && !n->broken ? n : NULL;
}

static void put_parted_chain(struct acting *a)
{
    struct form_of *form = form_get(a->s, a->d);
    const struct node *n = form->file ? chain_at(a, form) : NULL;
    struct mend way = {.words = ""};
    if (!n || !edit_split_chain((struct editing){&a->p->c->arena, &way.edits}, n))
        return;
    for (uint32_t i = 0; i < way.edits.n; i++)
        way.edits.at[i].source = a->file->source;
    fit_mend(&a->fit, &way);
    if (way.edits.n)
        put_action(a, "part this chain into its hops", rewrite_kind, NULL, false, &way.edits);
}

/* --- openings ----------------------------------------------------------------------------- */

static void put_opening(struct acting *a)
{
    const char *room;
    const struct mend *found =
        a->p->c->model ? across_write(a->p->c, a->file->source, a->from, a->to, &room) : NULL;
    if (!found)
        return;
    struct mend way = *found;
    fit_mend(&a->fit, &way);
    if (way.edits.n)
        put_action(a, arena_printf(&a->s->scratch, "write this opening in room '%s' too", room),
                   rewrite_kind, NULL, false, &way.edits);
}

/* --- proposals ---------------------------------------------------------------------------- */

/* Whether the plan has no error with it that it had not before: the command gives none else. */
static bool proposal_holds(struct acting *a, const struct proposal *p, edit_list *edits)
{
    struct trial trial;
    struct compilation after;
    trial_begin(&trial, a->p->c, &a->s->library);
    bool holds = trial_compile(&trial, edits, &after);
    if (holds) {
        holds = after.model && !trial_new_error(a->p->c, &after, p->leaves);
        compile_free(&after);
    }
    trial_free(&trial);
    return holds;
}

static void put_proposal(struct acting *a, const struct proposal_def *def)
{
    struct proposal p = {.arena = &a->p->c->arena};
    struct propose_asked asked = {.library = &a->s->library};
    if (!def->run(a->p->c, &asked, &p) || !p.edits.n)
        return;
    struct mend way = {.words = "", .edits = p.edits};
    fit_mend(&a->fit, &way);
    if (way.edits.n && !a->p->c->untried && proposal_holds(a, &p, &way.edits))
        put_action(a, arena_printf(&a->s->scratch, "propose %s: %s", def->name, def->doc),
                   propose_kind, NULL, false, &way.edits);
}

/* Each step, where an editor asks for proposals by their kind: they take a while. */
static void put_proposals(struct acting *a)
{
    bool asked = read_is_array(read_member(a->context, "only")) && is_asked(a, propose_kind);
    for (int i = 0; i < PROPOSE_STEPS && asked && a->p->c->model && a->p->c->routes; i++) {
        const struct proposal_def *def = propose_named(propose_steps[i]);
        if (def)
            put_proposal(a, def);
    }
}

/* --- the method --------------------------------------------------------------------------- */

static void put_actions(struct acting *a)
{
    if (is_asked(a, mend_kind))
        put_findings(a);
    if (is_asked(a, rewrite_kind)) {
        put_settled(a);
        put_parted_chain(a);
        put_opening(a);
    }
    if (is_asked_of_all(a, mend_all_kind))
        put_all_mends(a);
    if (is_asked_of_all(a, settle_kind))
        put_all_settled(a);
    put_proposals(a);
}

void actions_at(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct acting a = {
        .s = s, .d = d, .p = plan_of(s, d), .context = read_member(params, "context")};
    a.file = a.p ? plan_file_of(a.p, d) : NULL;
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    if (a.file && s->client.action_literals) {
        a.from = document_offset(s, d, read_path(params, "range.start"));
        a.to = document_offset(s, d, read_path(params, "range.end"));
        a.fit.arena = &a.p->c->arena;
        put_actions(&a);
    }
    message_send(s);
}

void announce_actions(struct server *s)
{
    static const char *const kinds[] = {mend_kind, rewrite_kind, settle_kind, mend_all_kind,
                                        propose_kind};
    json_begin_object(&s->json, JSON_ROW);
    json_texts_member(&s->json, "codeActionKinds", kinds, sizeof kinds / sizeof *kinds);
    json_end(&s->json);
}

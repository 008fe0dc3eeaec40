/* studbay propose: shows as a difference what is proposed, or writes it into the files of the plan.
 *
 * What is proposed must hold: the plan with it is compiled again, and where an error has come that
 * was not there nothing is given. */
#include "propose/propose.h"
#include "cmd/texts.h"

#include "base/utf8.h"
#include "diag/edits.h"
#include "fmt/fit.h"
#include "propose/trial.h"

#include <string.h>

static int list_proposals(void)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < propose_count; i++)
        buf_printf(&b, "%-12s %s\n", propose_table[i].name, propose_table[i].doc);
    bool written = cmd_write_output(&b, NULL);
    buf_free(&b);
    return written ? EXIT_FINE : EXIT_USAGE;
}

static const struct proposal_def *find_proposal(const struct invocation *inv, const char *name)
{
    const struct proposal_def *def = propose_named(name);
    const char **names = arena_array(inv->arena, const char *, propose_count);
    for (uint32_t i = 0; i < propose_count; i++)
        names[i] = propose_table[i].name;
    if (!def)
        cmd_complain_unknown("proposal", name, names, propose_count);
    return def;
}

static bool has_word(const char *words, const char *word)
{
    size_t n = strlen(word);
    for (const char *at = words; (at = strstr(at, word)); at += n)
        if ((at == words || at[-1] == ' ') && (!at[n] || at[n] == ' '))
            return true;
    return false;
}

/* Options that another proposal takes, and this one does not. */
static bool takes_options(const struct invocation *inv, const struct proposal_def *def)
{
    const struct {
        const char *name, *value;
    } given[] = {{"circuit", inv->circuit}, {"room", inv->room}, {"lights", inv->lights}};
    for (size_t i = 0; i < sizeof given / sizeof *given; i++)
        if (given[i].value && !has_word(def->options, given[i].name)) {
            cmd_complain("propose %s takes no --%s", def->name, given[i].name);
            return false;
        }
    return true;
}

static void say(const char *before, const sentence_list *list)
{
    struct buf out = {0};
    for (uint32_t i = 0; i < list->n; i++) {
        buf_puts(&out, before);
        utf8_put_masked(&out, list->at[i]);
        buf_putc(&out, '\n');
    }
    cmd_write_error(&out);
    buf_free(&out);
}

/* Whether the plan holds with the edits; then they are in its texts. `leaves`: the rules whose
 * errors may come. */
static bool hold(struct texts *t, struct compilation *c, struct proposal *p, const char *leaves)
{
    struct compilation after;
    struct fit fit = {.arena = &c->arena};
    struct mend way = {.edits = p->edits};
    fit_mend(&fit, &way);
    if (p->edits.n && !way.edits.n) {
        cmd_complain("the proposal writes twice in one place: a fault of studbay");
        return false;
    }
    texts_try(t, c, &way.edits);
    t->trying = true;
    texts_compile(t, &after);
    t->trying = false;
    const struct finding *f = t->unread ? NULL : trial_new_error(c, &after, leaves);
    if (f)
        cmd_complain("nothing is proposed: the plan would have an error that it has not now: %s "
                     "[%s]",
                     f->message, f->rule->name);
    else
        texts_keep(t);
    compile_free(&after);
    return !f && !t->unread;
}

static int answer(const struct invocation *inv, struct texts *t, struct compilation *c,
                  struct proposal *p)
{
    if (!hold(t, c, p, p->leaves))
        return EXIT_USAGE;
    int status = inv->write ? texts_write(t) : texts_show_difference(t);
    if (status == EXIT_USAGE)
        return status;
    say("", &p->told);
    say("assumed: ", &p->assumed);
    return status;
}

static int propose(const struct invocation *inv, const struct proposal_def *def,
                   const struct compilation *library)
{
    struct texts t = {.path = inv->operands[1], .stdlib = inv->stdlib, .library = library};
    struct arena arena = {0};
    struct proposal p = {.arena = &arena};
    struct propose_asked asked = {.library = library,
                                  .circuit = inv->circuit,
                                  .room = inv->room,
                                  .lights = inv->lights,
                                  .words = inv->operands + 2,
                                  .word_count = inv->operand_count - 2};
    struct compilation c;
    int status = EXIT_USAGE;
    texts_compile(&t, &c);
    if (t.unread)
        status = EXIT_USAGE; /* it is said why */
    else if (!c.model || !c.routes)
        cmd_complain("%s cannot be read; studbay check says why", t.path);
    else if (!def->run(&c, &asked, &p) && !c.untried)
        cmd_complain("%s", p.refused);
    else if (c.untried)
        cmd_complain("nothing is proposed: what was tried could not be compiled: %s", c.untried);
    else
        status = answer(inv, &t, &c, &p);
    compile_free(&c);
    arena_free(&arena);
    texts_free(&t);
    return status;
}

/* --- one after the other ------------------------------------------------------------------ */

/* What a later step sees to, between the first and the last. */
static const char for_later[] = "unfed-box afci-missing gfci-missing";

/* One step on the texts as they stand. False where the plan cannot be read. */
static bool go_step(const struct invocation *inv, struct texts *t, const struct proposal_def *def)
{
    struct arena arena = {0};
    struct proposal p = {.arena = &arena};
    struct propose_asked asked = {.library = t->library, .lights = inv->lights};
    struct compilation c;
    texts_compile(t, &c);
    bool read = !t->unread && c.model && c.routes;
    if (!read && !t->unread)
        cmd_complain("%s cannot be read; studbay check says why", t->path);
    bool done = read && def->run(&c, &asked, &p);
    if (read && c.untried) {
        cmd_complain("nothing is proposed: what was tried could not be compiled: %s", c.untried);
        read = false;
    } else if (read && !done)
        cmd_complain("%s: %s", def->name, p.refused);
    else if (done) {
        const char *leaves = arena_printf(&arena, "%s%s%s", for_later, p.leaves ? " " : "",
                                          p.leaves ? p.leaves : "");
        if (!p.edits.n || hold(t, &c, &p, leaves)) {
            say(arena_printf(&arena, "%s: ", def->name), &p.told);
            say(arena_printf(&arena, "%s assumed: ", def->name), &p.assumed);
        }
    }
    compile_free(&c);
    arena_free(&arena);
    return read;
}

/* What of the plan with all steps is wrong, and left to a person. */
static void say_left(struct texts *t)
{
    enum { MOST_TOLD = 12 };
    struct compilation c;
    struct buf out = {0};
    uint32_t told = 0, left = 0;
    texts_compile(t, &c);
    for (uint32_t i = 0; i < c.diag.findings.n; i++) {
        const struct finding *f = &c.diag.findings.at[i];
        if (f->waived || f->severity == NOTE)
            continue;
        left++;
        if (told == MOST_TOLD)
            continue;
        told++;
        buf_puts(&out, "left to you: ");
        utf8_put_masked(&out, f->message);
        buf_printf(&out, " [%s]\n", f->rule->name);
    }
    if (left > told)
        buf_printf(&out, "left to you: %u more; studbay check tells them\n", left - told);
    if (!left)
        buf_puts(&out, "with all of it check finds nothing worse than a note\n");
    cmd_write_error(&out);
    buf_free(&out);
    compile_free(&c);
}

static int propose_steps_of(const struct invocation *inv, const struct compilation *library)
{
    struct texts t = {.path = inv->operands[0], .stdlib = inv->stdlib, .library = library};
    bool read = true;
    for (int i = 0; i < PROPOSE_STEPS && read; i++) {
        const struct proposal_def *def = propose_named(propose_steps[i]);
        read = !def || go_step(inv, &t, def);
    }
    int status = !read ? EXIT_USAGE : inv->write ? texts_write(&t) : texts_show_difference(&t);
    if (read && status != EXIT_USAGE)
        say_left(&t);
    texts_free(&t);
    return status;
}

static int propose_all(const struct invocation *inv)
{
    struct compilation library;
    if (inv->circuit || inv->room)
        return cmd_complain("--%s goes with one proposal: studbay propose NAME PLAN",
                            inv->circuit ? "circuit" : "room");
    if (inv->write && !strcmp(inv->operands[0], "-"))
        return cmd_complain("standard input cannot be written to");
    compile_library(&library, inv->stdlib);
    int status = propose_steps_of(inv, &library);
    compile_free(&library);
    return status;
}

int command_propose(const struct invocation *inv)
{
    if (!inv->operand_count)
        return list_proposals();
    if (inv->operand_count == 1 && !propose_named(inv->operands[0]))
        return propose_all(inv);
    const struct proposal_def *def = find_proposal(inv, inv->operands[0]);
    if (!def || !takes_options(inv, def))
        return EXIT_USAGE;
    if (inv->operand_count < 2)
        return cmd_complain("propose %s wants a plan: studbay propose %s %s", def->name, def->name,
                            def->usage);
    if (inv->write && !strcmp(inv->operands[1], "-"))
        return cmd_complain("standard input cannot be written to");
    struct compilation library;
    compile_library(&library, inv->stdlib);
    int status = propose(inv, def, &library);
    compile_free(&library);
    return status;
}

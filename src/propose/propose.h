/* Proposals: a command reads a compiled plan and answers with edits of its text, which a person
 * reads as a difference and keeps or not. Nothing is decided silently: what it costs and how far it
 * may be from the best is told, and so is each thing that was assumed.
 *
 * A proposal sees everything, as the language server does, and changes nothing itself. */
#ifndef STUDBAY_PROPOSE_PROPOSE_H
#define STUDBAY_PROPOSE_PROPOSE_H

#include "compile.h"

typedef VEC(const char *) sentence_list;

/* What comes of it; begins with its arena alone. */
struct proposal {
    struct arena *arena;
    edit_list edits;       /* of the sources of the compilation, in any order; none: nothing is
                              proposed */
    sentence_list told;    /* what it costs, and how far from the best; why there is nothing */
    sentence_list assumed; /* what the plan does not say and was taken for granted */
    const char *leaves;    /* rules whose errors may come with it, for another proposal is for them:
                              "afci-missing gfci-missing"; NULL: none */
    const char *refused;   /* why there can be no proposal, where it gave false */
};

/* What is asked for besides the plan; each NULL where it is not said. */
struct propose_asked {
    const struct compilation *library; /* for plans that are tried, as of compile_options */
    const char *circuit, *room, *lights;
    const char **words; /* behind the plan */
    uint32_t word_count;
};

/* Works on a compilation of the plan with all findings (`c->model` is set), and leaves it as it
 * is. False, with `refused`, where what is asked for makes no sense; true with no edits where there
 * is nothing to propose, and then `told` says why. */
typedef bool propose_fn(struct compilation *c, const struct propose_asked *asked,
                        struct proposal *out);

struct proposal_def {
    const char *name, *usage, *doc, *options; /* options: those of the command that it takes */
    propose_fn *run;
};

extern const struct proposal_def propose_table[];
extern const uint32_t propose_count;

#define PROPOSAL(name, function, usage, doc, options) propose_fn function;
#include "propose/proposals.def"
#undef PROPOSAL

/* The one of that name, or NULL. */
const struct proposal_def *propose_named(const char *name);

/* What `propose` alone goes through, in this order, as far as the table has it. */
enum { PROPOSE_STEPS = 5 };
extern const char *const propose_steps[PROPOSE_STEPS];

/* Whether a finding says no more than that nothing feeds a box yet. */
bool propose_is_unfed(const struct finding *f);

/* Add a sentence, which is kept in the arena of the proposal; the last refuses, and is false. */
#define propose_tell(out, ...)                                                                     \
    (void)(*vec_push((out)->arena, &(out)->told) = arena_printf((out)->arena, __VA_ARGS__))
#define propose_assume(out, ...)                                                                   \
    (void)(*vec_push((out)->arena, &(out)->assumed) = arena_printf((out)->arena, __VA_ARGS__))
#define propose_refuse(out, ...) ((out)->refused = arena_printf((out)->arena, __VA_ARGS__), false)

/* The statements of a proposal go where edits of a plan go (resolve/edit.h). */
struct editing propose_edits(struct proposal *out);

#endif

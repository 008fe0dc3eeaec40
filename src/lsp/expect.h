/* What may stand at a place of a text, by the table of forms: asked while a line is being written,
 * so of its tokens, not of the tree. */
#ifndef STUDBAY_LSP_EXPECT_H
#define STUDBAY_LSP_EXPECT_H

#include "lsp/forms.h"
#include "resolve/language.h"

/* A step of a pattern that may stand there. */
struct expected {
    enum form_id form;
    unsigned alternative;
    const struct step *step;
    unsigned place; /* of what the pattern wants filled in, counted from 0 */
};

struct expecting {
    size_t from;        /* where the word begins that is being written; the place itself, if none */
    uint32_t first;     /* the first token of the line that is being written */
    uint32_t before;    /* tokens that stand before the word */
    enum form_id owner; /* in whose block it stands; FORM_COUNT where that is not known */
    enum form_id form;  /* of the line; FORM_COUNT: none begins it yet */
    bool begins;        /* a statement of the owner's block may begin here */
    VEC(struct expected) steps;
    VEC(enum form_id) options; /* forms whose options may stand here */
};

struct expecting expect_at(struct server *s, struct form_of *form, size_t off);

#endif

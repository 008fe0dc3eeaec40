/* The text of a plan that was drawn up. One statement stands on a line, so that lines can be left
 * out one by one. */
#include "draft.h"

#include <stdio.h>
#include <string.h>

/* Lines of a buffer, each behind so many blanks. */
static void put_lines(struct buf *out, const char *text, unsigned blanks)
{
    while (*text) {
        size_t n = strcspn(text, "\n");
        buf_printf(out, "%*s%.*s\n", (int)blanks, "", (int)n, text);
        text += n + (text[n] == '\n');
    }
}

static void put_eighths(struct buf *out, int eighths)
{
    static const char *const parts[] = {"", "1/8", "1/4", "3/8", "1/2", "5/8", "3/4", "7/8"};
    bool below = eighths < 0;
    unsigned n = (unsigned)(below ? -eighths : eighths), inches = n / 8;
    const char *part = parts[n % 8];
    buf_printf(out, "%s%u'-%u%s%s\"", below ? "-" : "", inches / 12, inches % 12, *part ? " " : "",
               part);
}

static void put_box(struct draft *d, struct buf *out, const struct draft_box *b)
{
    (void)d;
    buf_printf(out, "  box %s %s {\n", b->name, b->place);
    put_lines(out, buf_text((struct buf *)&b->words), 4);
    put_lines(out, buf_text((struct buf *)&b->devices), 4);
    buf_puts(out, "  }\n");
}

/* Where two boxes that are alike but for their places make a row: what stands behind their names.
 */
static bool row_of(const struct draft_box *a, const struct draft_box *b, char *out, size_t room)
{
    char wall[12], rest[20] = "", wall_b[12], rest_b[20] = "";
    unsigned at, at_b, north, north_b;
    if (sscanf(a->place, "%11s at %u'-6\"%19[^\n]", wall, &at, rest) >= 2 &&
        sscanf(b->place, "%11s at %u'-6\"%19[^\n]", wall_b, &at_b, rest_b) >= 2 &&
        strstr(a->place, "-6\"") && strstr(b->place, "-6\""))
        return !strcmp(wall, wall_b) && !strcmp(rest, rest_b) && at < at_b &&
               snprintf(out, room, "%s from %u'-6\" every %u'%s", wall, at, at_b - at, rest) > 0;
    if (sscanf(a->place, "%11s at %u', %u'", wall, &at, &north) != 3 ||
        sscanf(b->place, "%11s at %u', %u'", wall_b, &at_b, &north_b) != 3 || strcmp(wall, wall_b))
        return false;
    if (north == north_b && at < at_b)
        return snprintf(out, room, "%s 2 by 1 from %u', %u' every %u'", wall, at, north,
                        at_b - at) > 0;
    return at == at_b && north < north_b &&
           snprintf(out, room, "%s 1 by 2 from %u', %u' every 1', %u'", wall, at, north,
                    north_b - north) > 0;
}

/* Two boxes as one statement, where they are alike. */
static bool put_row(struct draft *d, struct buf *out, unsigned first)
{
    struct draft_box *a = &d->boxes[first], *b = a + 1;
    char place[80];
    if (first + 1 == d->box_count || a->room != b->room || *a->name != *b->name ||
        strcmp(buf_text(&a->words), buf_text(&b->words)) != 0 ||
        strcmp(buf_text(&a->devices), buf_text(&b->devices)) != 0 ||
        !row_of(a, b, place, sizeof place) || !chance(&d->state, 50))
        return false;
    buf_printf(out, "  boxes %s to %s %s {\n", a->name, b->name, place);
    put_lines(out, buf_text(&a->words), 4);
    put_lines(out, buf_text(&a->devices), 4);
    buf_puts(out, "  }\n");
    return true;
}

static void put_room(struct draft *d, struct buf *out, unsigned room)
{
    struct draft_room *r = &d->rooms[room];
    buf_printf(out, "room %s {\n", r->name);
    if (d->levels > 1)
        buf_printf(out, "  on level%u\n", r->level + 1);
    buf_printf(out, "  kind %s\n  corner ", r->kind);
    put_eighths(out, r->east);
    buf_puts(out, ", ");
    put_eighths(out, r->north);
    buf_puts(out, "\n");
    if (r->outlined)
        buf_printf(out,
                   "  outline from 0', 0' {\n    west north %d'\n    north east %d'\n"
                   "    east south %d'\n    south west %d'\n  }\n",
                   r->deep, r->wide, r->deep, r->wide);
    else
        buf_printf(out, "  size %d' by %d'\n", r->wide, r->deep);
    put_lines(out, buf_text(&r->words), 2);
    for (unsigned i = 0; i < d->box_count; i++)
        if (d->boxes[i].room == room && put_row(d, out, i))
            i++;
        else if (d->boxes[i].room == room)
            put_box(d, out, &d->boxes[i]);
    buf_puts(out, "}\n\n");
}

static void put_panel(struct draft *d, struct buf *out, const struct draft_panel *p)
{
    (void)d;
    buf_printf(out, "panel %s {\n", p->name);
    put_lines(out, buf_text((struct buf *)&p->words), 2);
    buf_printf(out, "  spaces %u\n}\n\n", p->spaces);
}

static void put_end(struct draft *d, struct buf *out, const struct draft_circuit *c, int box)
{
    char name[40];
    buf_puts(out,
             box == NO_BOX ? d->panels[c->panel].name : draft_address(d, box, name, sizeof name));
}

/* Whether what is said of a run may stand in parentheses in a chain: a text is for a run alone. */
static bool fits_hop(const struct draft_run *r)
{
    return !strchr(r->words, '"') || strstr(r->words, "notched");
}

/* Runs one by one, or as a chain where one begins at the end of the one before it. */
static void put_runs(struct draft *d, struct buf *out, const struct draft_circuit *c)
{
    for (unsigned i = 0; i < c->run_count;) {
        unsigned first = i;
        buf_puts(out, "  run ");
        put_end(d, out, c, c->runs[i].from);
        for (bool more = true; more; i++) {
            const struct draft_run *r = &c->runs[i];
            buf_puts(out, " -> ");
            put_end(d, out, c, r->to);
            more = i + 1 < c->run_count && fits_hop(r) && fits_hop(r + 1) && r[1].from == r->to &&
                   chance(&d->state, 70);
            if (*r->words && (more || i > first))
                buf_printf(out, " (%s)", r->words + 1);
            else
                buf_puts(out, r->words);
        }
        buf_puts(out, "\n");
    }
}

static void put_circuit(struct draft *d, struct buf *out, const struct draft_circuit *c)
{
    buf_printf(out, "circuit %s.%s {\n  breaker %u A%s\n", d->panels[c->panel].name, c->name,
               c->amps, c->breaker);
    if (c->seated && *c->name == 'c')
        buf_printf(out, "  space %u\n", c->number);
    if (c->half)
        buf_printf(out, "  half %s\n", c->half);
    if (c->use == USE_MULTIWIRE)
        buf_puts(out, "  multiwire\n");
    put_lines(out, buf_text((struct buf *)&c->words), 2);
    put_runs(d, out, c);
    buf_puts(out, "}\n\n");
}

static void put_plan(struct draft *d, struct buf *out)
{
    buf_puts(out, "plan \"Drawn up at random\" {\n");
    put_lines(out, buf_text(&d->plan), 2);
    buf_puts(out, "}\n\n");
    for (unsigned level = 0; level < d->levels && d->levels > 1; level++) {
        buf_printf(out, "level level%u {\n  floor %u'\n", level + 1, 10 * level);
        put_lines(out, buf_text(&d->level_words), 2);
        buf_puts(out, d->slab && !level ? "  slab\n}\n\n" : "}\n\n");
    }
    buf_puts(out, buf_text(&d->definitions));
}

/* Rooms, panels, circuits and legs: what a unit may hold. */
static void put_unit(struct draft *d, struct plan_text *out)
{
    for (unsigned i = 0; i < d->room_count; i++)
        put_room(d, d->apart && i % 2 ? &out->include : &out->plan, i);
    buf_puts(&out->plan, buf_text(&d->more_rooms));
    for (unsigned i = 0; i < d->panel_count; i++)
        put_panel(d, &out->plan, &d->panels[i]);
    buf_puts(&out->plan, buf_text(&d->legs_said));
    for (unsigned i = 0; i < d->circuit_count; i++)
        put_circuit(d, &out->plan, &d->circuits[i]);
    buf_puts(&out->plan, buf_text(&d->low_voltage));
}

/* Units after the pattern, one beside the other. */
static void put_copies(struct draft *d, struct buf *out)
{
    int wide = 0;
    for (unsigned i = 0; i < d->room_count; i++) {
        int east = d->rooms[i].east + 96 * d->rooms[i].wide;
        wide = east > wide ? east : wide;
    }
    buf_puts(out, "}\n\nunit u1 : flat { corner 0', 0' }\n");
    for (unsigned i = 2, n = 2 + pick(&d->state, 2); i <= n; i++)
        buf_printf(out, "unit u%u : flat { corner %u', 0'; given lamp 9 W%s }\n", i,
                   (i - 1) * ((unsigned)wide / 96 + 50),
                   chance(&d->state, 50) ? "; opposite-hand" : "");
    buf_puts(out, "\n");
}

/* What stands in a block stands deeper: the layout tells what belongs to it. */
static void indent_from(struct buf *text, size_t at)
{
    struct buf out = {0};
    buf_add(&out, text->at, at);
    for (; at < text->n; at++) {
        bool begins = !at || text->at[at - 1] == '\n';
        buf_printf(&out, "%s%c", begins && text->at[at] != '\n' ? "  " : "", text->at[at]);
    }
    buf_free(text);
    *text = out;
}

void draft_write(struct draft *d, struct plan_text *out)
{
    put_plan(d, &out->plan);
    if (d->apart)
        buf_puts(&out->plan, "include \"more.bay\"\n\n");
    if (d->in_units)
        buf_puts(&out->plan, "pattern flat {\n  corner 0', 0'\n  given lamp 12 W\n\n");
    size_t inner = out->plan.n;
    put_unit(d, out);
    if (d->in_units)
        indent_from(&out->plan, inner);
    if (d->in_units)
        put_copies(d, &out->plan);
    buf_puts(&out->plan, buf_text(&d->ends));
    if (d->log.n)
        buf_puts(&out->log, buf_text(&d->log));
}

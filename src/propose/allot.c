#include "propose/allot_work.h"

#include <stdlib.h>
#include <string.h>

/* Parts that have nothing to do with each other: by piece the number of its part. */
static uint32_t part_up(const struct allot_asked *asked, struct arena *scratch, uint32_t *part)
{
    uint32_t parts = 0, *queue = arena_array(scratch, uint32_t, asked->count + 1);
    for (uint32_t i = 0; i < asked->count; i++)
        part[i] = UINT32_MAX;
    for (uint32_t first = 0; first < asked->count; first++) {
        uint32_t head = 0, tail = 0;
        if (part[first] != UINT32_MAX)
            continue;
        part[first] = parts;
        queue[tail++] = first;
        while (head < tail) {
            uint32_t at = queue[head++];
            for (uint32_t k = 0; k < asked->count; k++)
                if (part[k] == UINT32_MAX && asked->may(asked->of, (uint32_t[]){at, k}, 2)) {
                    part[k] = parts;
                    queue[tail++] = k;
                }
        }
        parts++;
    }
    return parts;
}

/* Whether all that may be with a piece may be with each other: it has one sort of company. */
static bool is_plain(const struct allot_asked *asked, const uint32_t *pieces, uint32_t n,
                     uint32_t which)
{
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = i + 1; k < n; k++)
            if (i != which && k != which &&
                asked->may(asked->of, (uint32_t[]){pieces[which], pieces[i]}, 2) &&
                asked->may(asked->of, (uint32_t[]){pieces[which], pieces[k]}, 2) &&
                !asked->may(asked->of, (uint32_t[]){pieces[i], pieces[k]}, 2))
                return false;
    return true;
}

/* Pieces of one sort of company fall apart into sorts, none of which shares a group with another:
 * the groups of each add up. */
static uint32_t least_of_sorts(const struct allot_asked *asked, struct arena *scratch,
                               const uint32_t *pieces, uint32_t n)
{
    uint32_t *plain = arena_array(scratch, uint32_t, n + 1), count = 0, sum = 0;
    bool *done = arena_array(scratch, bool, n + 1);
    for (uint32_t i = 0; i < n; i++)
        if (is_plain(asked, pieces, n, i))
            plain[count++] = pieces[i];
    for (uint32_t i = 0; i < count; i++) {
        uint32_t *sort = arena_array(scratch, uint32_t, count), in = 0;
        for (uint32_t k = i; k < count && !done[i]; k++)
            if (k == i || asked->may(asked->of, (uint32_t[]){plain[i], plain[k]}, 2))
                sort[in++] = plain[k];
        for (uint32_t k = i + 1; k < count && in; k++)
            done[k] = done[k] || asked->may(asked->of, (uint32_t[]){plain[i], plain[k]}, 2);
        sum += in ? asked->least(asked->of, sort, in) : 0;
    }
    return sum;
}

uint32_t allot_least(const struct allot_asked *asked, struct arena *scratch, const uint32_t *pieces,
                     uint32_t n)
{
    uint32_t all = asked->least(asked->of, pieces, n),
             sorts = least_of_sorts(asked, scratch, pieces, n),
             wanted = allot_wanted(asked, pieces, n), least = all > sorts ? all : sorts;
    return least > wanted ? least : wanted;
}

uint32_t allot_wanted(const struct allot_asked *asked, const uint32_t *pieces, uint32_t n)
{
    uint32_t wanted = asked->wanted(asked->of, pieces, n);
    return wanted < n ? wanted : n;
}

struct allot_groups *allot_no_groups(const struct allot_part *work)
{
    struct allot_groups *out = arena_new(work->scratch, struct allot_groups);
    out->of = arena_array(work->scratch, struct allot_group, work->n + 1);
    for (uint32_t i = 0; i <= work->n; i++)
        out->of[i].at = arena_array(work->scratch, uint32_t, work->n + 1);
    return out;
}

/* Groups in the order of their first pieces. */
static void number(struct allotted *a, uint32_t count, struct arena *scratch)
{
    uint32_t *name = arena_array(scratch, uint32_t, count + 1), next = 0;
    for (uint32_t i = 0; i < count; i++) {
        uint32_t *of = &name[a->group[i]];
        if (!*of)
            *of = ++next;
        a->group[i] = *of - 1;
    }
    a->groups = next;
}

struct allotted allot(struct arena *arena, const struct allot_asked *asked)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct allotted out = {.group = arena_array(arena, uint32_t, asked->count + 1), .exact = true};
    uint32_t *part = arena_array(&scratch, uint32_t, asked->count + 1),
             *pieces = arena_array(&scratch, uint32_t, asked->count + 1),
             parts = part_up(asked, &scratch, part);
    for (uint32_t p = 0; p < parts; p++) {
        struct allot_part work = {.asked = asked, .scratch = &scratch, .pieces = pieces};
        for (uint32_t i = 0; i < asked->count; i++)
            if (part[i] == p)
                pieces[work.n++] = i;
        bool small = work.n <= MOST_EXACT;
        struct allot_groups *found = small ? propose_exactly(&work) : allot_search(&work);
        for (uint32_t g = 0; g < found->count; g++)
            for (uint32_t i = 0; i < found->of[g].n; i++)
                out.group[found->of[g].at[i]] = out.groups + g;
        out.groups += found->count;
        out.least += small ? found->count : allot_least(asked, &scratch, pieces, work.n);
        out.cost += found->cost;
        out.exact = out.exact && small;
    }
    number(&out, asked->count, &scratch);
    arena_free(&scratch);
    return out;
}

/* Studs of every line: laid out by the spacing, and doubled where walls meet and beside openings.
 * IRC R602.3, R602.7.5. */
#include "framing/frame.h"

#include <stdlib.h>
#include <string.h>

/* A face that reaches further along a line than all before it. */
struct cover {
    length lo, hi;
};

/* How many of the covers begin at or before a place. */
static uint32_t covers_up_to(const struct cover *covers, uint32_t n, length at)
{
    uint32_t lo = 0, hi = n;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        if (covers[mid].lo <= at)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

static bool has_studs(const struct face *face)
{
    length spacing = frame_wall_of(face)->framing.spacing, size = face->hi - face->lo;
    return spacing > 0 && size > 0 && size / spacing <= MOST_MEMBERS;
}

static struct upright from_plate_to_plate(const struct skeleton *f, const struct face *face,
                                          length at, enum upright_kind kind)
{
    length thick = frame_wall_of(face)->framing.lumber.thickness;
    return (struct upright){.at = at,
                            .kind = (uint8_t)kind,
                            .face = face,
                            .low = thick,
                            .high = face->room->ceiling - f->figures.top_plates * thick};
}

/* Studs of a face where no room named before it has the wall. */
static uint32_t lay_out(const struct skeleton *f, const struct face *face,
                        const struct cover *covers, uint32_t count, struct upright *studs)
{
    length spacing = frame_wall_of(face)->framing.spacing, size = face->hi - face->lo;
    uint32_t n = 0, most = has_studs(face) ? (uint32_t)((size - 1) / spacing) : 0;
    /* a mirror image is framed as one: from where its text counts */
    bool from_lo = face->forward != face->room->walls[face->wall].mirrored;
    for (uint32_t k = 1; k <= most; k++) {
        length at = from_lo ? face->lo + (length)k * spacing : face->hi - (length)k * spacing;
        uint32_t before = covers_up_to(covers, count, at);
        if (before && covers[before - 1].hi >= at)
            continue;
        studs[n] = from_plate_to_plate(f, face, at, STUD_COMMON);
        studs[n++].index = from_lo == face->forward ? k : most + 1 - k;
    }
    return n;
}

/* No more than these: with those at the ends of walls. */
static uint64_t most_studs(const struct skeleton *f)
{
    uint64_t n = 0;
    for (uint32_t i = 0; i < f->line_count; i++)
        for (uint32_t k = 0; k < f->lines[i].face_count; k++) {
            const struct face *face = f->sorted[f->lines[i].first_face + k];
            length spacing = frame_wall_of(face)->framing.spacing;
            length studs = spacing > 0 ? (face->hi - face->lo) / spacing : 0;
            n += 2 + (studs <= MOST_MEMBERS ? (uint64_t)studs : 0);
        }
    return n;
}

/* Adds a stretch to the covers, which are kept in order and apart from each other. */
static uint32_t add_cover(struct cover *covers, uint32_t n, struct cover c)
{
    uint32_t i = covers_up_to(covers, n, c.lo), k;
    if (i && covers[i - 1].hi >= c.lo)
        i--;
    for (k = i; k < n && covers[k].lo <= c.hi; k++) {
        c.lo = covers[k].lo < c.lo ? covers[k].lo : c.lo;
        c.hi = covers[k].hi > c.hi ? covers[k].hi : c.hi;
    }
    memmove(&covers[i + 1], &covers[k], (n - k) * sizeof *covers);
    covers[i] = c;
    return n + 1 - (k - i);
}

/* --- the ends of walls, and the frames of openings ----------------------------------------- */

/* A stud at each end of a face, where another wall meets it. */
static uint32_t lay_ends(const struct skeleton *f, const struct face *face, struct upright *studs)
{
    const struct room *room = face->room;
    length half = frame_wall_of(face)->framing.lumber.thickness / 2;
    const struct face *before = frame_face_of(
                          f, room, (face->wall + room->wall_count - 1) % room->wall_count),
                      *after = frame_face_of(f, room, (face->wall + 1) % room->wall_count);
    const struct face *at_lo = face->forward ? before : after,
                      *at_hi = face->forward ? after : before;
    uint32_t n = 0;
    if (!has_studs(face) || face->hi - face->lo <= 2 * half)
        return 0;
    if (at_lo->line != face->line)
        studs[n++] = from_plate_to_plate(f, face, face->lo + half, STUD_END);
    if (at_hi->line != face->line)
        studs[n++] = from_plate_to_plate(f, face, face->hi - half, STUD_END);
    return n;
}

/* Jacks and a king on one side of an opening, from its edge outward. */
static uint32_t lay_side(const struct skeleton *f, const struct line *l,
                         const struct rough_opening *r, bool right, struct upright *studs)
{
    const struct face *face = frame_face_at(f, l, right ? r->hi : r->lo);
    length half = frame_wall_of(face)->framing.lumber.thickness / 2;
    if (!has_studs(face))
        return 0;
    for (uint32_t i = 0; i <= r->jacks; i++) {
        length out = half * (2 * (length)i + 1);
        studs[i] = from_plate_to_plate(f, face, right ? r->hi + out : r->lo - out,
                                       i < r->jacks ? STUD_JACK : STUD_KING);
        if (i < r->jacks)
            studs[i].high = r->head;
    }
    return r->jacks + 1;
}

static uint32_t lay_openings(const struct skeleton *f, const struct line *l, struct upright *studs)
{
    uint32_t n = 0;
    for (uint32_t i = l->first_opening; i < l->first_opening + l->opening_count; i++) {
        n += lay_side(f, l, &f->openings[i], false, &studs[n]);
        n += lay_side(f, l, &f->openings[i], true, &studs[n]);
    }
    return n;
}

/* --- what stays of them -------------------------------------------------------------------- */

/* The pieces of a stud that an opening cuts. The one under its sill stays among the studs where
 * bores go through it; false where there is none. */
static bool cut_short(struct skeleton *f, struct line *l, const struct rough_opening *r,
                      struct upright *u)
{
    struct upright over = *u, under = *u;
    over.kind = under.kind = STUD_CRIPPLE;
    over.low = r->top;
    under.high = r->sill - 2 * frame_half_stud(u);
    if (over.low < over.high)
        f->cripples[l->first_cripple + l->cripple_count++] = over;
    if (under.low >= under.high)
        return false;
    if (!r->under)
        f->cripples[l->first_cripple + l->cripple_count++] = under;
    *u = under;
    return r->under;
}

/* Whether one of those that stay stands where this one would. */
static bool is_taken(const struct upright *studs, const bool *stays, uint32_t count, uint32_t i)
{
    length thick = 2 * frame_half_stud(&studs[i]);
    for (uint32_t k = i; k-- > 0 && studs[i].at - studs[k].at < thick;)
        if (stays[k])
            return true;
    for (uint32_t k = i + 1; k < count && studs[k].at - studs[i].at < thick; k++)
        if (stays[k])
            return true;
    return false;
}

/* Of those that are alike in one place the first: rooms without number may lie over each other.
 * Says how many are left. */
static uint32_t leave_copies_out(struct upright *studs, uint32_t count)
{
    uint32_t kept = 0;
    for (uint32_t i = 0; i < count; i++) {
        const struct upright *last = kept ? &studs[kept - 1] : NULL;
        if (!last || last->at != studs[i].at || last->kind != studs[i].kind ||
            frame_half_stud(last) != frame_half_stud(&studs[i]))
            studs[kept++] = studs[i];
    }
    return kept;
}

/* Of those that would stand in one place the one stays that carries most, then the first. */
static uint32_t thin_out(struct skeleton *f, struct line *l, struct upright *studs, bool *stays,
                         uint32_t count)
{
    uint32_t n = 0, kept = 0;
    for (uint32_t i = 0; i < count; i++) {
        struct upright u = studs[i];
        const struct rough_opening *r = frame_opening_at(f, l, u.at);
        if (u.at <= l->lo || u.at >= l->hi ||
            (r && (u.kind != STUD_COMMON || !cut_short(f, l, r, &u))))
            continue;
        stays[n] = false;
        studs[n++] = u;
    }
    n = leave_copies_out(studs, n);
    for (int kind = STUD_JACK; kind >= STUD_COMMON; kind--)
        for (uint32_t i = 0; i < n; i++)
            stays[i] |= studs[i].kind == kind && !is_taken(studs, stays, n, i);
    for (uint32_t i = 0; i < n; i++)
        if (stays[i])
            studs[kept++] = studs[i];
    return kept;
}

static int by_at(const void *va, const void *vb)
{
    const struct upright *a = va, *b = vb;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return b->kind - a->kind;
}

/* --- places beside wood -------------------------------------------------------------------- */

uint32_t frame_first_cripple(const struct skeleton *f, const struct line *l, length at)
{
    uint32_t lo = 0, hi = l->cripple_count;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        if (f->cripples[l->first_cripple + mid].at < at)
            lo = mid + 1;
        else
            hi = mid;
    }
    return l->first_cripple + lo;
}

length frame_half_stud(const struct upright *u)
{
    return frame_wall_of(u->face)->framing.lumber.thickness / 2;
}

/* How many studs of a line begin before a place. */
static uint32_t begun_before(const struct skeleton *f, const struct line *l, length at)
{
    uint32_t lo = 0, hi = l->stud_count;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        const struct upright *u = &f->studs[l->first_stud + mid];
        if (u->at - frame_half_stud(u) < at)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

/* The faces of the n-th stud of a line. Before the first and behind the last there is none near. */
static length left_face(const struct skeleton *f, const struct line *l, uint32_t n)
{
    if (n >= l->stud_count)
        return l->hi + FOOT;
    const struct upright *u = &f->studs[l->first_stud + n];
    return u->at - frame_half_stud(u);
}

static length right_face(const struct skeleton *f, const struct line *l, uint32_t n)
{
    if (n >= l->stud_count)
        return l->lo - FOOT;
    const struct upright *u = &f->studs[l->first_stud + n];
    return u->at + frame_half_stud(u);
}

bool frame_bay_at(const struct skeleton *f, const struct line *l, length at, length *lo, length *hi)
{
    uint32_t begun = begun_before(f, l, at);
    *lo = begun ? right_face(f, l, begun - 1) : l->lo;
    *hi = begun < l->stud_count ? left_face(f, l, begun) : l->hi;
    return *lo <= at;
}

bool frame_in_wood(const struct skeleton *f, const struct line *l, length at)
{
    uint32_t begun = begun_before(f, l, at);
    return begun && right_face(f, l, begun - 1) > at;
}

/* From wood, or from a bay too narrow for a cable, on to the next bay. */
static length out_of_wood(const struct skeleton *f, const struct line *l, length at, bool right)
{
    uint32_t next = begun_before(f, l, at); /* the first stud to the right of the place */
    length lo = next ? right_face(f, l, next - 1) : l->lo - FOOT, hi = left_face(f, l, next);
    if (lo <= at && hi - lo >= f->figures.least_bay)
        return at;
    if (right) {
        while (next < l->stud_count &&
               left_face(f, l, next) - right_face(f, l, next - 1) < f->figures.least_bay)
            next++;
        return next ? right_face(f, l, next - 1) : at;
    }
    uint32_t first = lo > at ? next - 1 : next; /* the last stud to pass, from the right */
    while (first && left_face(f, l, first) - right_face(f, l, first - 1) < f->figures.least_bay)
        first--;
    return left_face(f, l, first);
}

length frame_clear_place(const struct skeleton *f, const struct line *l, length at, bool right,
                         bool past_openings)
{
    length step = right ? 1 : -1, clear = out_of_wood(f, l, at + step, right);
    clear = clear == at + step ? at : clear;
    const struct rough_opening *r = past_openings ? frame_opening_at(f, l, clear + step) : NULL;
    return !r ? clear : right ? r->clear_right : r->clear_left;
}

/* Each opening is left where the next one is, so that no row of them is walked twice. */
static void find_clear_places(struct skeleton *f, const struct line *l)
{
    struct rough_opening *openings = &f->openings[l->first_opening];
    for (uint32_t i = l->opening_count; i-- > 0;)
        openings[i].clear_right = frame_clear_place(f, l, openings[i].hi, true, true);
    for (uint32_t i = 0; i < l->opening_count; i++)
        openings[i].clear_left = frame_clear_place(f, l, openings[i].lo, false, true);
}

/* --- all of a line ------------------------------------------------------------------------- */

/* Studs at the most: each opening has its kings, and jacks as its header asks. */
static uint64_t most_at_openings(const struct skeleton *f)
{
    uint64_t n = 0;
    for (uint32_t i = 0; i < f->line_count; i++)
        for (uint32_t k = 0; k < f->lines[i].opening_count; k++)
            n += 2 * (1 + (uint64_t)f->openings[f->lines[i].first_opening + k].jacks);
    return n;
}

void frame_find_uprights(struct arena *arena, struct skeleton *f)
{
    uint64_t most = most_studs(f);
    most += most_at_openings(f) + 1;
    f->studs = arena_array(arena, struct upright, most);
    bool *stays = arena_array(arena, bool, most);
    f->cripples = arena_array(arena, struct upright, 2 * most);
    uint32_t widest = 0, total = 0, cripples = 0;
    for (uint32_t i = 0; i < f->line_count; i++)
        widest = f->lines[i].face_count > widest ? f->lines[i].face_count : widest;
    struct cover *covers = arena_array(arena, struct cover, widest + 1);
    for (uint32_t i = 0; i < f->line_count; i++) {
        struct line *l = &f->lines[i];
        struct upright *studs = &f->studs[total];
        uint32_t covered = 0, count = lay_openings(f, l, studs);
        for (uint32_t k = 0; k < l->face_count; k++) {
            const struct face *face = f->sorted[l->first_face + k];
            count += lay_out(f, face, covers, covered, &studs[count]);
            count += lay_ends(f, face, &studs[count]);
            covered = add_cover(covers, covered, (struct cover){face->lo, face->hi});
        }
        qsort(studs, count, sizeof *studs, by_at);
        l->first_stud = total;
        l->first_cripple = cripples;
        l->stud_count = thin_out(f, l, studs, stays, count);
        total += l->stud_count;
        cripples += l->cripple_count;
        find_clear_places(f, l);
    }
}

uint32_t frame_studs_before(const struct skeleton *f, const struct line *l, length at, bool with)
{
    uint32_t lo = 0, hi = l->stud_count;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        length s = f->studs[l->first_stud + mid].at;
        if (s < at || (with && s == at))
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

uint32_t frame_studs_between(const struct skeleton *f, const struct line *l, length a, length b,
                             uint32_t *first)
{
    length lo = a < b ? a : b, hi = a < b ? b : a;
    uint32_t from = frame_studs_before(f, l, lo, true), to = frame_studs_before(f, l, hi, false);
    if (first)
        *first = l->first_stud + from;
    return to > from ? to - from : 0;
}

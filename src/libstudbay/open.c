/* Libraries and plans: opened and closed. */
#include "libstudbay/handle.h"

#include "base/map.h"
#include "base/names.h"
#include "cuts/cuts.h"

#include <string.h>

/* --- memory ------------------------------------------------------------------------------- */

static bool is_memory(const struct studbay_memory *memory)
{
    return !memory || (memory->take && memory->give);
}

struct made {
    size_t size;
    void *block;
};

static void make_block(void *with)
{
    struct made *made = with;
    made->block = memory_take(made->size);
}

/* A zeroed handle of that size from the memory that it will use itself; NULL where there is none.
 */
static void *new_handle(const struct studbay_memory *memory, size_t size)
{
    struct memory m = {0};
    struct made made = {size, NULL};
    if (memory)
        m = (struct memory){.take = memory->take, .give = memory->give, .of = memory->of};
    bool whole = memory_call(&m, make_block, &made);
    if (!whole || !made.block)
        return NULL;
    memory_keep(made.block);
    *(struct memory *)made.block = m;
    return made.block;
}

/* --- the library -------------------------------------------------------------------------- */

struct library_opening {
    struct studbay_library *library;
    const char *folder;
    bool read;
};

static void read_library(void *with)
{
    struct library_opening *o = with;
    o->read = compile_library(&o->library->c, o->folder);
}

enum studbay_status studbay_library_open(const char *folder, const struct studbay_memory *memory,
                                         struct studbay_library **library)
{
    if (!library || !is_memory(memory))
        return STUDBAY_MISUSE;
    struct library_opening o = {new_handle(memory, sizeof **library), folder, false};
    *library = o.library;
    if (!o.library)
        return STUDBAY_NO_MEMORY;
    if (memory_call(&o.library->memory, read_library, &o))
        return o.read ? STUDBAY_DONE : STUDBAY_UNREADABLE;
    memory_give(o.library);
    *library = NULL;
    return STUDBAY_NO_MEMORY;
}

void studbay_library_close(struct studbay_library *library)
{
    if (!library)
        return;
    compile_free(&library->c);
    memory_release(&library->memory);
    memory_give(library);
}

/* --- plans -------------------------------------------------------------------------------- */

/* A text that stands for a file. */
struct text {
    const char *name, *bytes;
    size_t size;
    const struct text *other; /* whose name has the same hash */
};

static uint64_t hash_of(const char *name)
{
    return map_hash_bytes(name, strlen(name));
}

static const char *text_called(const void *of, const char *real, size_t *size)
{
    const struct studbay_plan *plan = of;
    const struct text *t = map_get(&plan->texts, 0, (uintptr_t)hash_of(real));
    while (t && strcmp(t->name, real) != 0)
        t = t->other;
    if (t)
        *size = t->size;
    return t ? t->bytes : NULL;
}

/* Of two of one name the later counts. */
static void keep_texts(struct studbay_plan *plan, const struct studbay_text *texts, size_t count)
{
    struct arena *a = &plan->kept;
    for (size_t i = 0; i < count; i++) {
        struct text *t = arena_new(a, struct text);
        void **at = map_at(a, &plan->texts, 0, (uintptr_t)hash_of(texts[i].name));
        *t = (struct text){arena_copy(a, texts[i].name, strlen(texts[i].name)),
                           arena_copy(a, texts[i].bytes, texts[i].size), texts[i].size, *at};
        *at = t;
    }
}

struct plan_opening {
    const char *path;
    const struct studbay_opening *how;
};

static void compile_whole(struct studbay_plan *plan, const char *path,
                          const struct studbay_opening *how, struct unsaved unsaved)
{
    struct compile_options options = {.stdlib = how->folder,
                                      .unsaved = unsaved,
                                      .only_findings = how->depth == STUDBAY_FINDINGS,
                                      .cut_steps = how->cut_list ? CUTS_EXACT : 0};
    if (how->library)
        options.library = &how->library->c;
    if (how->log)
        options.log = arena_copy(&plan->kept, how->log, strlen(how->log));
    if (how->only)
        options.only = plan->only = arena_copy(&plan->kept, how->only, strlen(how->only));
    compile(&plan->c, path, options);
    plan->exact = how->cut_list;
}

static enum studbay_status read_plan(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)out;
    const struct plan_opening *o = with;
    struct unsaved unsaved = {0};
    if (o->how->text_count) {
        keep_texts(plan, o->how->texts, o->how->text_count);
        unsaved = (struct unsaved){.text = text_called, .of = plan, .alone = true};
    }
    const char *path = arena_copy(&plan->kept, o->path, strlen(o->path));
    if (o->how->depth == STUDBAY_FORM)
        plan->form = compile_form(&plan->c, path, unsaved);
    else
        compile_whole(plan, path, o->how, unsaved);
    handle_count(plan);
    return plan->c.out_of_memory ? STUDBAY_NO_MEMORY
           : plan->c.io_failed   ? STUDBAY_UNREADABLE
                                 : STUDBAY_DONE;
}

static bool is_opening(const struct studbay_opening *how)
{
    for (size_t i = 0; how->texts && i < how->text_count; i++)
        if (!how->texts[i].name || (!how->texts[i].bytes && how->texts[i].size))
            return false;
    return (how->texts || !how->text_count) && is_memory(how->memory) &&
           (unsigned)how->depth <= STUDBAY_FORM;
}

enum studbay_status studbay_open(const char *path, const struct studbay_opening *opening,
                                 struct studbay_plan **plan)
{
    struct studbay_opening how = {.size = sizeof how};
    if (opening)
        memcpy(&how, opening, opening->size < sizeof how ? opening->size : sizeof how);
    if (!path || !plan || (opening && !opening->size) || !is_opening(&how))
        return STUDBAY_MISUSE;
    *plan = new_handle(how.memory, sizeof **plan);
    if (!*plan)
        return STUDBAY_NO_MEMORY;
    struct plan_opening o = {path, &how};
    enum studbay_status status = handle_call(*plan, read_plan, &o, NULL);
    if (status == STUDBAY_NO_MEMORY) {
        studbay_close(*plan);
        *plan = NULL;
    }
    return status;
}

void studbay_close(struct studbay_plan *plan)
{
    if (!plan)
        return;
    for (struct studbay_sheets *s = plan->drawn, *before; s; s = before) {
        before = s->before;
        memory_give(s);
    }
    memory_release(&plan->memory);
    memory_give(plan);
}

/* --- what was read ------------------------------------------------------------------------ */

static enum studbay_status list_sources(struct studbay_plan *plan, const void *with,
                                        struct buf *out)
{
    (void)with;
    (void)out;
    struct compilation *c = &plan->c;
    const struct studbay_source **list =
        arena_array(&c->arena, const struct studbay_source *, c->source_count + 1);
    for (uint32_t i = 0; i < c->source_count; i++) {
        struct studbay_source *s = arena_new(&c->arena, struct studbay_source);
        *s =
            (struct studbay_source){c->sources[i]->path, c->sources[i]->bytes, c->sources[i]->size};
        list[i] = s;
    }
    plan->sources = (struct handle_list){(const void *const *)list, c->source_count};
    return STUDBAY_DONE;
}

const struct studbay_source *const *studbay_sources(struct studbay_plan *plan, size_t *count)
{
    return (const struct studbay_source *const *)handle_get_list(plan, plan ? &plan->sources : NULL,
                                                                 list_sources, count);
}

bool studbay_has_read(const struct studbay_plan *plan, const char *path)
{
    return plan && path && compile_has_read(&plan->c, path);
}

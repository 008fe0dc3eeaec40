#include "rules/dwelling.h"

#include "model/model.h"
#include "model/site.h"
#include "rules/rules.h"

void rules_each_dwelling(const struct checked *c, void (*check)(const struct dwelling *d))
{
    for (uint32_t i = 0; i <= c->model->units.n; i++)
        check(&(struct dwelling){c, c->dwellings[i]});
}

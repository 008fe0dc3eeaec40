/* Resistance of conductors by the edition's table (NFPA 70 Chapter 9, Table 8: direct current, 75 C, uncoated). */
#include "loads/drops.h"

double size_resistance(struct model *m, enum metal metal, const char *size)
{
    const char *name = metal == ALUMINIUM ? "resistance-aluminium" : "resistance-copper";
    struct table *t = code_table(&m->code, name);
    if (!t || !size)
        return 0;
    bool solid = gauge_of(size) >= (int)code_setting(&m->code, name, "solid-to", 0);
    return value_amount(table_cell(&m->code, t, size, solid ? "solid" : "stranded"), 0);
}

double cable_resistance(struct model *m, const struct cable_def *cable)
{
    return size_resistance(m, cable->metal, cable->size);
}

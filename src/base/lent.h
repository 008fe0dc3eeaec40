/* Memory for libraries of others, which take and give back their blocks one by one. They are never
 * told that there is none: few of them know what to do then. */
#ifndef STUDBAY_BASE_LENT_H
#define STUDBAY_BASE_LENT_H

/* A zeroed block; where there is none, memory_missing (memory.h) ends the call or the program. */
void *lent_take(unsigned size);

/* Gives it back; NULL does nothing. */
void lent_give(void *block);

#endif

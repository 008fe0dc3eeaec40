/* Memory for libraries of others, which take and give back their blocks one by one and want to be
 * told where there is none. */
#ifndef STUDBAY_BASE_LENT_H
#define STUDBAY_BASE_LENT_H

/* A zeroed block; NULL, with errno ENOMEM, where the system has no more memory. */
void *lent_take(unsigned size);

/* Gives it back; NULL does nothing. */
void lent_give(void *block);

#endif

/* Sums of money as they are printed: whole hundredths of the currency. Each line is rounded by
 * itself, half a hundredth up, and a sum is the sum of the lines as they are printed. */
#ifndef STUDBAY_EMIT_MONEY_H
#define STUDBAY_EMIT_MONEY_H

#include <stdint.h>

typedef int64_t money; /* hundredths; what is beyond it stays at its end */

/* What so many cost at a price (six figures behind the point at most; none below 0). */
money money_of(double price, uint64_t quantity);

/* What so many hundredths of an hour cost at the price of an hour. */
money money_of_hours(double price, int64_t hundredths);

/* A share of a sum, in percent. */
money money_share(money of, double percent);

money money_add(money a, money b);

/* In the currency, for a cell with two figures behind the point. */
double money_amount(money m);

#endif

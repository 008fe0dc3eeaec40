#include "emit/money.h"

#include <math.h>

enum { MILLIONTHS = 1000000, HUNDREDTHS = 100, PER_HUNDREDTH = MILLIONTHS / HUNDREDTHS };

static money kept(__int128 n)
{
    return n > INT64_MAX ? INT64_MAX : n < INT64_MIN ? INT64_MIN : (money)n;
}

/* `n` over `by`, the nearest whole number. */
static __int128 nearest(__int128 n, __int128 by)
{
    return (n + by / 2) / by;
}

/* What is written has six figures behind the point at most, so this is exact. */
static __int128 millionths(double n)
{
    return llround(n * MILLIONTHS);
}

money money_of(double price, uint64_t quantity)
{
    return kept(nearest(millionths(price) * (__int128)quantity, PER_HUNDREDTH));
}

money money_of_hours(double price, int64_t hundredths)
{
    return kept(nearest(millionths(price) * hundredths, MILLIONTHS));
}

money money_share(money of, double percent)
{
    return kept(nearest(millionths(percent) * of, (__int128)MILLIONTHS * HUNDREDTHS));
}

money money_add(money a, money b)
{
    return kept((__int128)a + b);
}

double money_amount(money m)
{
    return (double)m / HUNDREDTHS;
}

#include "base/date.h"

#include <stddef.h>
#include <string.h>

static bool is_figure(char c)
{
    return c >= '0' && c <= '9';
}

static unsigned figures(const char *p, unsigned n)
{
    unsigned value = 0;
    while (n--)
        value = value * 10 + (unsigned)(*p++ - '0');
    return value;
}

bool date_has_form(const char *text)
{
    static const char form[] = "0000-00-00";
    if (strlen(text) != strlen(form))
        return false;
    for (size_t i = 0; form[i]; i++)
        if (form[i] == '0' ? !is_figure(text[i]) : text[i] != form[i])
            return false;
    return true;
}

bool date_is(const char *text)
{
    static const unsigned days[] = {0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    enum { FEBRUARY = 2, MONTHS = 12 };
    if (!date_has_form(text))
        return false;
    unsigned year = figures(text, 4), month = figures(text + 5, 2), day = figures(text + 8, 2);
    bool leap = !(year % 4) && (year % 100 || !(year % 400));
    return month >= 1 && month <= MONTHS && day >= 1 &&
           day <= days[month] + (leap && month == FEBRUARY);
}

uint32_t date_number(const char *day)
{
    uint32_t number = 0;
    for (const char *p = day; *p; p++)
        if (is_figure(*p))
            number = number * 10 + (uint32_t)(*p - '0');
    return number;
}

/* The pictures of the documentation are what their commands draw, byte for byte. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <stdlib.h>

static void pictures_are_what_their_commands_draw(void **state)
{
    (void)state;
    assert_int_equal(system("sh tests/tools/pictures.sh --check"), 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(pictures_are_what_their_commands_draw)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}

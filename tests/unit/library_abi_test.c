/* The library as others see it: what it gives out, that its header stands alone, that programs in C
 * and Python run with it. */
#include "shell.h"

#include <unistd.h>

/* Of the tree. */
static char top[512];

/* The line with the folder of the build as $B and the top of the tree as $T; what it says. */
static const char *built(const char *line)
{
    static char command[4096];
    snprintf(command, sizeof command, "export B=$(dirname \"$S\") T='%s' && %s", top, line);
    return sh(command);
}

static void works(const char *line)
{
    const char *said = built(line);
    if (shell_status)
        print_error("%s\n%s\n", line, said);
    assert_int_equal(shell_status, 0);
}

/* The names that the header declares, sorted, in the file `declared`. */
#define DECLARED                                                                                   \
    "cc -E -P \"$T/src/libstudbay/studbay.h\" | grep -o 'studbay_[a-z_]*(' | tr -d '(' | sort -u " \
    ">declared"

static void what_is_exported_is_what_the_header_has(void **state)
{
    (void)state;
    works(DECLARED " && test $(wc -l <declared) -gt 30");
    works("nm -D --defined-only --format=posix \"$B/libstudbay.so\" | awk '$2 != \"A\" { "
          "sub(/@.*/, \"\", $1); "
          "print $1 }' | sort -u >shared && diff declared shared");
    works("nm -g --defined-only --format=posix \"$B/libstudbay.a\" | awk 'NF > 2 { print $1 }' | "
          "sort -u >static "
          "&& diff declared static");
    works("objdump -p \"$B/libstudbay.so\" | grep -q 'SONAME *libstudbay.so.0$'");
    works("nm -D --defined-only \"$B/libstudbay.so\" | grep studbay_open@@STUDBAY_0.1");
}

/* Nothing is kept between calls: what can be written is what the loader puts right, and whose call
 * a thread runs. */
static void there_are_no_globals(void **state)
{
    (void)state;
    works("nm --format=posix \"$B/libstudbay.a\" | awk '$2 ~ /^[bBdDcC]$/ { print $1, $4 }' >kept; "
          "objdump -h \"$B/libstudbay.o\" | awk '$2 ~ /^\\.(data|bss)$/ && $3 !~ /^0+$/ { print; "
          "n++ } "
          "END { exit n > 0 }'");
    works("objdump -h \"$B/libstudbay.o\" | awk '$2 == \".tbss\" && $3 !~ /^0+8$/ { print; n++ } "
          "END { exit n > 0 }'");
}

/* It takes no part in ending the program and in printing. */
static void it_neither_prints_nor_exits(void **state)
{
    (void)state;
    works("! nm -u \"$B/libstudbay.o\" | grep -E ' "
          "(exit|_exit|quick_exit|printf|puts|putchar|perror|stdout|getenv|"
          "setlocale)$'");
}

static void the_header_stands_alone(void **state)
{
    (void)state;
    works("echo '#include <studbay.h>' >h.c && cp h.c h.cc");
    works("cc -std=c99 -pedantic -Wall -Wextra -Werror -I\"$T/src/libstudbay\" -fsyntax-only h.c");
    works("c++ -std=c++11 -pedantic -Wall -Wextra -Werror -I\"$T/src/libstudbay\" -fsyntax-only "
          "h.cc");
}

static const char wants_cable[] = "14/2     2 pieces    39.5 ft";

static void a_program_runs_with_it(void **state)
{
    (void)state;
    works("make -s -C \"$T\" BUILD=\"$B\" LIBDIR=/usr/lib PREFIX=/usr \"$B/libstudbay.pc\" && "
          "mkdir -p include lib && "
          "cp \"$T/src/libstudbay/studbay.h\" include && cp -P \"$B\"/libstudbay.so* lib && "
          "sed \"s|^prefix=.*|prefix=$D|; s|^libdir=.*|libdir=$D/lib|\" \"$B/libstudbay.pc\" "
          ">libstudbay.pc");
    works("export PKG_CONFIG_PATH=. && cc -Wall -Wextra -Werror "
          "\"$T/examples/libstudbay/cables.c\" -o shared "
          "$(pkg-config --cflags --libs libstudbay) && cc \"$T/examples/libstudbay/cables.c\" -o "
          "static -Iinclude "
          "\"$B/libstudbay.a\" -lhpdf -lqrencode -lfribidi -lm");
    works("LD_LIBRARY_PATH=lib ./shared \"$T/examples/small/two-places.bay\" >a && ./static "
          "\"$T/examples/small/two-places.bay\" >b && cmp a b && \"$S\" report cuts --format csv "
          "\"$T/examples/small/two-places.bay\" >c && tail -n +4 a | cmp - c");
    assert_non_null(strstr(built("cat a"), wants_cable));
}

static void python_runs_with_it(void **state)
{
    (void)state;
    works("export LIBSTUDBAY=\"$B/libstudbay.so\" && cd \"$T/examples/libstudbay\" && "
          "python3 -B studbay.py ../small/two-places.bay cuts csv >\"$D/p\" && "
          "\"$S\" report cuts --format csv ../small/two-places.bay >\"$D/q\" && cmp \"$D/p\" "
          "\"$D/q\"");
    works("export LIBSTUDBAY=\"$B/libstudbay.so\" PYTHONPATH=\"$T/examples/libstudbay\" && python3 "
          "-B -c '\n"
          "import studbay\n"
          "with studbay.Plan(\"a.bay\", texts={\"a.bay\": \"plan\\n\"}) as plan:\n"
          "    assert [f.rule for f in plan.findings()] != []\n"
          "    assert plan.findings()[-1].file == \"a.bay\"\n"
          "    try:\n"
          "        plan.report(\"cutz\")\n"
          "        assert False\n"
          "    except studbay.Error as why:\n"
          "        assert \"cuts\" in str(why), why\n'");
}

static int begin(void **state)
{
    return getcwd(top, sizeof top) ? shell_begin(state) : 1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_exported_is_what_the_header_has),
        cmocka_unit_test(there_are_no_globals),
        cmocka_unit_test(it_neither_prints_nor_exits),
        cmocka_unit_test(the_header_stands_alone),
        cmocka_unit_test(a_program_runs_with_it),
        cmocka_unit_test(python_runs_with_it),
    };
    return cmocka_run_group_tests(tests, begin, shell_end);
}

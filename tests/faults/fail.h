/* What the test and the library that makes allocations fail tell each other. */
#ifndef STUDBAY_TESTS_FAIL_H
#define STUDBAY_TESTS_FAIL_H

/* The variable that names the file. */
#define FAIL_SHARED "STUDBAY_TEST_FAIL"

/* The variable that names the library itself. */
#define FAIL_LIBRARY "STUDBAY_TEST_FAIL_LIBRARY"

/* What is closed where the program itself begins: no file has that number. */
enum { FAIL_BEGINS = -9119 };

struct fail_shared {
    unsigned fail_at, on;      /* the allocation that fails, from 1; 0: none. And all behind it */
    unsigned allocations, hit; /* how many there were; whether one has failed */
};

#endif

/* For tests: numbers that look random and are always the same for a seed. */
#ifndef STUDBAY_TESTS_RANDOM_H
#define STUDBAY_TESTS_RANDOM_H

#include <stdbool.h>
#include <stdint.h>

/* splitmix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", 2014). */
static inline uint64_t random_number(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

/* A number from 0 to below - 1. */
static inline unsigned pick(uint64_t *state, unsigned below)
{
    return (unsigned)(random_number(state) % below);
}

static inline bool chance(uint64_t *state, unsigned percent)
{
    return pick(state, 100) < percent;
}

#endif

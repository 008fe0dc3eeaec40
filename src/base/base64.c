#include "base/base64.h"

#include <string.h>

void base64_add(struct buf *out, const void *bytes, size_t len)
{
    static const char letters[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    const uint8_t *p = bytes;
    buf_reserve(out, (len + 2) / 3 * 4 + 1);
    for (size_t i = 0; i < len; i += 3) {
        uint32_t three = (uint32_t)p[i] << 16 | (i + 1 < len ? (uint32_t)p[i + 1] << 8 : 0) |
                         (i + 2 < len ? p[i + 2] : 0);
        buf_putc(out, letters[three >> 18 & 63]);
        buf_putc(out, letters[three >> 12 & 63]);
        buf_putc(out, i + 1 < len ? letters[three >> 6 & 63] : '=');
        buf_putc(out, i + 2 < len ? letters[three & 63] : '=');
    }
}

/* The first 32 bits of the fractions of the cube roots of the first 64 primes: FIPS 180-4, 4.2.2.
 */
static const uint32_t rounds[64] = {
    0x428a2f98, 0x71374491, 0xb5c0fbcf, 0xe9b5dba5, 0x3956c25b, 0x59f111f1, 0x923f82a4, 0xab1c5ed5,
    0xd807aa98, 0x12835b01, 0x243185be, 0x550c7dc3, 0x72be5d74, 0x80deb1fe, 0x9bdc06a7, 0xc19bf174,
    0xe49b69c1, 0xefbe4786, 0x0fc19dc6, 0x240ca1cc, 0x2de92c6f, 0x4a7484aa, 0x5cb0a9dc, 0x76f988da,
    0x983e5152, 0xa831c66d, 0xb00327c8, 0xbf597fc7, 0xc6e00bf3, 0xd5a79147, 0x06ca6351, 0x14292967,
    0x27b70a85, 0x2e1b2138, 0x4d2c6dfc, 0x53380d13, 0x650a7354, 0x766a0abb, 0x81c2c92e, 0x92722c85,
    0xa2bfe8a1, 0xa81a664b, 0xc24b8b70, 0xc76c51a3, 0xd192e819, 0xd6990624, 0xf40e3585, 0x106aa070,
    0x19a4c116, 0x1e376c08, 0x2748774c, 0x34b0bcb5, 0x391c0cb3, 0x4ed8aa4a, 0x5b9cca4f, 0x682e6ff3,
    0x748f82ee, 0x78a5636f, 0x84c87814, 0x8cc70208, 0x90befffa, 0xa4506ceb, 0xbef9a3f7, 0xc67178f2};

enum { BLOCK = 64, WORDS = 8 };

static uint32_t turned(uint32_t x, int by)
{
    return x >> by | x << (32 - by);
}

static void take_block(uint32_t state[WORDS], const uint8_t block[BLOCK])
{
    uint32_t w[64], v[WORDS];
    for (int i = 0; i < 16; i++)
        w[i] = (uint32_t)block[4 * i] << 24 | (uint32_t)block[4 * i + 1] << 16 |
               (uint32_t)block[4 * i + 2] << 8 | block[4 * i + 3];
    for (int i = 16; i < 64; i++) {
        uint32_t s0 = turned(w[i - 15], 7) ^ turned(w[i - 15], 18) ^ w[i - 15] >> 3,
                 s1 = turned(w[i - 2], 17) ^ turned(w[i - 2], 19) ^ w[i - 2] >> 10;
        w[i] = w[i - 16] + s0 + w[i - 7] + s1;
    }
    memcpy(v, state, sizeof v);
    for (int i = 0; i < 64; i++) {
        uint32_t s1 = turned(v[4], 6) ^ turned(v[4], 11) ^ turned(v[4], 25),
                 s0 = turned(v[0], 2) ^ turned(v[0], 13) ^ turned(v[0], 22),
                 choice = (v[4] & v[5]) ^ (~v[4] & v[6]),
                 most = (v[0] & v[1]) ^ (v[0] & v[2]) ^ (v[1] & v[2]),
                 one = v[7] + s1 + choice + rounds[i] + w[i];
        memmove(v + 1, v, (WORDS - 1) * sizeof *v);
        v[4] += one;
        v[0] = one + s0 + most;
    }
    for (int i = 0; i < WORDS; i++)
        state[i] += v[i];
}

void base64_sha256(const void *bytes, size_t len, uint8_t digest[SHA256_BYTES])
{
    uint32_t state[WORDS] = {0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a,
                             0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19};
    const uint8_t *p = bytes;
    uint8_t last[2 * BLOCK] = {0};
    size_t whole = len / BLOCK * BLOCK, rest = len - whole,
           end = rest < BLOCK - 8 ? BLOCK : 2 * BLOCK;
    for (size_t i = 0; i < whole; i += BLOCK)
        take_block(state, p + i);
    if (rest)
        memcpy(last, p + whole, rest);
    last[rest] = 0x80;
    for (int i = 0; i < 8; i++)
        last[end - 1 - (size_t)i] = (uint8_t)((uint64_t)len * 8 >> 8 * i);
    for (size_t i = 0; i < end; i += BLOCK)
        take_block(state, last + i);
    for (int i = 0; i < SHA256_BYTES; i++)
        digest[i] = (uint8_t)(state[i / 4] >> (24 - 8 * (i % 4)));
}

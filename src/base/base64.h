/* Bytes as text by RFC 4648, part 4, and the digest that web pages name their own parts by. */
#ifndef STUDBAY_BASE_BASE64_H
#define STUDBAY_BASE_BASE64_H

#include "base/buf.h"

#include <stdint.h>

/* Appends the bytes in base 64, padded. */
void base64_add(struct buf *out, const void *bytes, size_t len);

enum { SHA256_BYTES = 32 };

/* The SHA-256 digest of the bytes: FIPS 180-4, part 6.2. */
void base64_sha256(const void *bytes, size_t len, uint8_t digest[SHA256_BYTES]);

#endif

/* Addresses of files, file:///home/x/plan.bay, and their paths (RFC 8089, RFC 3986). */
#ifndef STUDBAY_LSP_URI_H
#define STUDBAY_LSP_URI_H

struct arena;

/* The path that an address names; NULL where it is none of a file of this machine. */
const char *uri_path(struct arena *arena, const char *uri);

/* The address of an absolute path. */
const char *uri_of_path(struct arena *arena, const char *path);

/* Where a file lies: its path without links, as far as it is on the disk. What is open under an
 * address that is no file's is taken to lie at the top, named by that address. */
const char *uri_real(struct arena *arena, const char *uri);

/* The same of a path. */
const char *uri_real_path(struct arena *arena, const char *path);

#endif

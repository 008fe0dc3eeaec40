/* Files built into the binary: the standard library, the pages of the rules, the book's face, plans
 * to begin with.
 *
 * The arrays are written by embed.sh while building, from stdlib/ (every .bay file), docs/rules/
 * (every .md file), src/book/face/ and src/cmd/new/.
 */
#ifndef STUDBAY_RESOLVE_EMBEDDED_H
#define STUDBAY_RESOLVE_EMBEDDED_H

/* One file as it was when studbay was built. */
struct embedded_file {
    const char
        *path; /* within its folder, parted by '/': "devices/receptacle.bay", "box-overfilled.md" */
    const unsigned char
        *bytes;         /* bytes of any kind; a NUL that is not part of the file follows the last */
    unsigned long size; /* bytes in the file, without that NUL */
};

/* The standard library, sorted by path (byte order). The entry after the last has path NULL. */
extern const struct embedded_file embedded_stdlib[];
extern const unsigned embedded_stdlib_count;

/* One page a rule for `studbay explain`, sorted and ended the same way; there may be none. */
extern const struct embedded_file embedded_rule_pages[];
extern const unsigned embedded_rule_page_count;

/* The style and the script of the job book. */
extern const struct embedded_file embedded_book_face[];
extern const unsigned embedded_book_face_count;

/* What `studbay new` lays into a folder. */
extern const struct embedded_file embedded_new[];
extern const unsigned embedded_new_count;

#endif

/* What cable a plan wants, with its findings: a program that uses libstudbay.
 *
 *     cc cables.c -o cables $(pkg-config --cflags --libs libstudbay)
 *     ./cables ../small/two-places.bay
 */
#include <studbay.h>

#include <stdio.h>

static int to_file(void *file, const char *bytes, size_t size)
{
    return fwrite(bytes, 1, size, file) != size;
}

static void tell_findings(struct studbay_plan *plan)
{
    size_t count;
    const struct studbay_finding *const *findings = studbay_findings(plan, &count);
    for (size_t i = 0; i < count; i++)
        fprintf(stderr, "%s:%u: %s [%s]\n", findings[i]->place.file ? findings[i]->place.file : "",
                findings[i]->place.line, findings[i]->message, findings[i]->rule);
}

static void tell_cables(struct studbay_plan *plan)
{
    size_t count;
    const struct studbay_cable *const *cables = studbay_cables(plan, &count);
    for (size_t i = 0; i < count; i++)
        printf("%-6s %3u pieces %7.1f ft\n", cables[i]->name, cables[i]->pieces,
               (double)cables[i]->cut / (double)(12 * STUDBAY_INCH));
}

int main(int argc, char **argv)
{
    struct studbay_plan *plan = NULL;
    if (argc != 2) {
        fprintf(stderr, "usage: cables PLAN\n");
        return 2;
    }
    enum studbay_status status = studbay_open(argv[1], NULL, &plan);
    tell_findings(plan);
    if (status == STUDBAY_DONE) {
        struct studbay_wants wants = {.size = sizeof wants, .format = "csv"};
        struct studbay_writer out = {to_file, stdout};
        tell_cables(plan);
        status = studbay_write_report(plan, "cuts", &wants, out);
    }
    if (status != STUDBAY_DONE)
        fprintf(stderr, "cables: %s\n", studbay_status_words(status));
    studbay_close(plan);
    return status == STUDBAY_DONE ? 0 : 1;
}

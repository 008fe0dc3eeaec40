/* Text for XML and HTML. */
#ifndef STUDBAY_BASE_XML_H
#define STUDBAY_BASE_XML_H

#include "base/buf.h"

#include <stdint.h>

/* `text` escaped, for elements and quoted attributes; control characters become U+FFFD. */
void xml_text(struct buf *b, const char *text);

/* So many thousandths as a decimal without needless zeros, whatever the locale: "-1.25". */
void xml_thousandths(struct buf *b, int64_t value);

#endif

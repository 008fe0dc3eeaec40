/* Text for XML and HTML. */
#ifndef STUDBAY_BASE_XML_H
#define STUDBAY_BASE_XML_H

#include "base/buf.h"

/* `text` escaped, for elements and quoted attributes; control characters become U+FFFD. */
void xml_text(struct buf *b, const char *text);

#endif

/* Where an attribute of markup stands in its text.
 *
 * GLib's markup parser tells where it stands only after an element, perhaps lines below.  So a second hand
 * moves through the same text from start tag to start tag: the parser's next element is always this hand's
 * next.
 */
#ifndef ENGINE_SVG_HAND_H
#define ENGINE_SVG_HAND_H

#include <glib.h>

/* Begin with NEXT and TAG at TEXT. */
typedef struct EngineSvgHand
{
  const char *text, *end; /* END is a 0 */
  const char *next, *tag; /* TAG: the present start tag; NEXT: its end */
} EngineSvgHand;

void engine_svg_hand_next (EngineSvgHand *hand);
/* Where the value of an attribute of the present tag begins; the tag if it cannot be found. */
const char *engine_svg_hand_value (const EngineSvgHand *hand, const char *attribute);
/* Line and column of a place, both from 1, columns in characters. */
void engine_svg_hand_count (const EngineSvgHand *hand, const char *at, int *line, int *column);

#endif

/* Single panels that are each other's counterpart by name: "Front, left" and "Front, right". */
#ifndef ENGINE_TWIN_NAME_H
#define ENGINE_TWIN_NAME_H

#include "model/document.h"

/* What a single panel of one side shares with its counterpart: its name without the word for the side, lower
 * case, with its words in order.  NULL for a mirrored panel, a centre panel, and a name that holds nothing
 * else. */
char *engine_twin_key (const ModelPanel *panel);

#endif

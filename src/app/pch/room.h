/* Read once for all files of the room; no file relies on it. */
#include <gtk/gtk.h>

/* A small picture of a document: its pieces on a scrap of paper.
 */
#ifndef APP_THUMB_H
#define APP_THUMB_H

#include "model/document.h"

#include <gtk/gtk.h>

/* Draws DOC's panels, as drawn, fitted into WIDTH x HEIGHT px.  Takes DOC; NULL: an empty scrap. */
GtkWidget *app_thumb_new (ModelDocument *doc, int width, int height);

#endif

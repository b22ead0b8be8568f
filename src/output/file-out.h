/* Files written whole or not at all. */
#ifndef OUTPUT_FILE_OUT_H
#define OUTPUT_FILE_OUT_H

#include <cairo.h>
#include <glib.h>
#include <stdbool.h>

/* Puts DATA into a new file beside PATH, forces it to the disk, then takes PATH's name.  On any failure what
 * was at PATH is untouched and nothing is left beside it.  A link is followed; permissions of an existing
 * file are kept. */
bool output_file_write (const char *path, const void *data, gsize length, GError **error);
/* A cairo_write_func_t that appends to the GByteArray CLOSURE. */
cairo_status_t output_file_collect (void *closure, const unsigned char *data, unsigned int length);
/* Ends a PDF surface (destroys it and CR) and writes what it collected. */
bool output_file_write_surface (
  cairo_surface_t *surface, cairo_t *cr, GByteArray *bytes, const char *path, GError **error);
/* For a PDF's creation date: DATE if it is one ("2026-03-14"), else a fixed day; never the clock.  Free with
 * g_free. */
char *output_file_pdf_date (const char *date);

#endif

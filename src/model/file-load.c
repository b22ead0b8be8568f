/* A document from a file: readable, of a sane size, and every trouble told in one line that names it. */
#include "model/file.h"

#include <glib/gi18n.h>

/* No document is near this; reading a larger file would only make the machine swap. */
#define MAX_FILE_BYTES (256 * 1024 * 1024)

/* A short reason in our own words for the usual troubles; GIO's own text names the file a second time. */
static const char *
reason_for (const GError *error)
{
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND))
    return _ ("there is no such file");
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_PERMISSION_DENIED))
    return _ ("you may not read this file");
  if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY))
    return _ ("this is a folder");
  return error->message;
}

/* Puts the file's name before the message and keeps it on one line whatever the name holds. */
static void
name_file (GError **error, GFile *file, const char *reason)
{
  g_autofree char *name = g_file_get_parse_name (file);
  g_autofree char *message = g_strdup_printf ("%s: %s", name, reason);
  GQuark domain = (*error)->domain;
  int code = (*error)->code;

  for (char *c = message; *c != '\0'; c++)
    if (g_ascii_iscntrl (*c))
      *c = ' ';
  g_clear_error (error);
  g_set_error_literal (error, domain, code, message);
}

static bool
is_readable (GFile *file, GError **error)
{
  g_autoptr (GFileInfo) info
    = g_file_query_info (file, G_FILE_ATTRIBUTE_STANDARD_TYPE "," G_FILE_ATTRIBUTE_STANDARD_SIZE,
                         G_FILE_QUERY_INFO_NONE, NULL, error);
  GFileType type;

  if (info == NULL)
    return false;
  type = g_file_info_get_file_type (info);
  if (type == G_FILE_TYPE_DIRECTORY)
    g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_IS_DIRECTORY, "");
  /* A pipe or a device may never end. */
  else if (type == G_FILE_TYPE_SPECIAL)
    g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_NOT_REGULAR_FILE, _ ("this is not an ordinary file"));
  else if (g_file_info_has_attribute (info, G_FILE_ATTRIBUTE_STANDARD_SIZE)
           && g_file_info_get_size (info) > MAX_FILE_BYTES)
    g_set_error_literal (error, G_IO_ERROR, G_IO_ERROR_FAILED, _ ("the file is too large to be a document"));
  else
    return true;
  return false;
}

ModelDocument *
model_document_load (GFile *file, char **etag, GError **error)
{
  g_autoptr (GError) trouble = NULL;
  g_autofree char *data = NULL, *read_etag = NULL;
  ModelDocument *doc = NULL;
  gsize length = 0;

  if (is_readable (file, &trouble) && g_file_load_contents (file, NULL, &data, &length, &read_etag, &trouble))
    doc = model_document_from_data (data, length, &trouble);
  if (doc == NULL)
  {
    g_autofree char *reason = g_strdup (reason_for (trouble));

    name_file (&trouble, file, reason);
    g_propagate_error (error, g_steal_pointer (&trouble));
    return NULL;
  }
  if (etag != NULL)
  {
    g_free (*etag);
    *etag = g_steal_pointer (&read_etag);
  }
  return doc;
}

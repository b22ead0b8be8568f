/* rewrite FILE: reads a document and writes it back in the program's own layout. */
#include "model/store.h"

#include <stdio.h>

int
main (int argc, char **argv)
{
  if (argc != 2)
    return 2;
  g_autoptr (GFile) file = g_file_new_for_path (argv[1]);
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) doc = model_document_load (file, NULL, &error);
  if (doc == NULL || !model_store_save (doc, file, NULL, &error))
  {
    fprintf (stderr, "%s\n", error->message);
    return 2;
  }
  return 0;
}

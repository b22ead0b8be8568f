/* The dispatcher, and what the verbs share. */
#include "cli/cli.h"

#include "cli/verb.h"
#include "model/file.h"
#include "panelwright-config.h"

#include <glib/gi18n.h>
#include <glib/gstdio.h>
#include <stdio.h>
#include <string.h>

static const CliVerb *const verbs[] = {
  &cli_verb_check, &cli_verb_measure, &cli_verb_sheet,  &cli_verb_cut,
  &cli_verb_mat,   &cli_verb_new,     &cli_verb_settle, &cli_verb_trace,
};

static const CliVerb *
find_verb (const char *name)
{
  for (size_t i = 0; i < G_N_ELEMENTS (verbs); i++)
    if (strcmp (verbs[i]->name, name) == 0)
      return verbs[i];
  return NULL;
}

/* A name or a library's message may hold anything; what a script reads must stay one line. */
static char *
one_line (const char *text)
{
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  GString *line = g_string_new (NULL);
  for (const char *p = valid; *p != '\0'; p = g_utf8_next_char (p))
  {
    gunichar c = g_utf8_get_char (p);
    if (c == '\n' || c == '\r' || c == '\t')
      g_string_append_c (line, ' ');
    else if (g_unichar_iscntrl (c) || c == 0x2028 || c == 0x2029)
      g_string_append_printf (line, "\\x%02x", c);
    else
      g_string_append_unichar (line, c);
  }
  return g_string_free (line, FALSE);
}

CliStatus
cli_complain (const char *format, ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *text = g_strdup_vprintf (format, args);
  va_end (args);
  g_autofree char *line = one_line (text);
  fprintf (stderr, "panelwright: %s\n", line);
  return CLI_UNUSABLE;
}

bool
cli_parse (const CliVerb *verb, int argc, char **argv, const GOptionEntry *entries, char **file)
{
  g_autoptr (GError) error = NULL;
  g_autofree char *usage = g_strdup_printf ("%s", verb->usage);
  g_autoptr (GOptionContext) context = g_option_context_new (usage);
  if (entries != NULL)
    g_option_context_add_main_entries (context, entries, PW_GETTEXT);
  g_autofree char *program = g_strdup_printf ("panelwright %s", verb->name);
  g_set_prgname (program);
  if (!g_option_context_parse (context, &argc, &argv, &error))
  {
    cli_complain ("%s: %s", verb->name, error->message);
    return false;
  }
  /* "--" is left in the list; a file may follow it whose name begins with a dash. */
  int from = 1;
  if (argc > 1 && strcmp (argv[1], "--") == 0)
    from = 2;
  if (file == NULL)
  {
    if (argc <= from)
      return true;
    /* Translators: a verb of the command line, what was given and is not wanted, and again the verb and its
     * usage. */
    cli_complain (_ ("%s does not want “%s”: panelwright %s %s"), verb->name, argv[from], verb->name,
                  verb->usage);
    return false;
  }
  if (argc - from != 1)
  {
    /* Translators: %s is a verb of the command line and its usage. */
    cli_complain (_ ("%s wants exactly one file: panelwright %s %s"), verb->name, verb->name, verb->usage);
    return false;
  }
  *file = g_strdup (argv[from]);
  return true;
}

ModelDocument *
cli_load (const char *path)
{
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = model_document_load (file, NULL, &error);
  if (doc == NULL)
    cli_complain ("%s", error->message);
  return doc;
}

bool
cli_output_is_sound (const CliVerb *verb, const char *output, const char *input)
{
  if (output == NULL)
  {
    cli_complain (_ ("%s wants --output FILE"), verb->name);
    return false;
  }
  GStatBuf out, in;
  if (g_stat (output, &out) == 0)
  {
    if (input != NULL && g_stat (input, &in) == 0 && out.st_dev == in.st_dev && out.st_ino == in.st_ino)
    {
      cli_complain (_ ("%s: the output would replace the document itself"), output);
      return false;
    }
    if (S_ISDIR (out.st_mode))
    {
      cli_complain (_ ("%s: is a folder"), output);
      return false;
    }
  }
  return true;
}

CliStatus
cli_print (const char *text)
{
  if (fputs (text, stdout) == EOF || (!g_str_has_suffix (text, "\n") && fputc ('\n', stdout) == EOF)
      || fflush (stdout) == EOF)
    return cli_complain (_ ("standard output: %s"), g_strerror (errno));
  return CLI_DONE;
}

static void
print_help (void)
{
  printf (_ ("Panelwright: exact panels for fitted costume armour.\n\n"
             "  panelwright [FILE]   opens the window\n"));
  for (size_t i = 0; i < G_N_ELEMENTS (verbs); i++)
    printf ("  panelwright %s %s\n      %s\n", verbs[i]->name, verbs[i]->usage, _ (verbs[i]->summary));
  printf (
    _ ("\nExit status: 0 done (check: everything agrees), 1 check found something, 2 unusable.\n"
       "Costume armour is not protective equipment; event rules and local codes decide what may be worn.\n"));
}

bool
cli_is_wanted (int argc, char **argv)
{
  if (argc < 2)
    return false;
  return find_verb (argv[1]) != NULL || strcmp (argv[1], "--help") == 0 || strcmp (argv[1], "-h") == 0
         || strcmp (argv[1], "--version") == 0;
}

int
cli_main (int argc, char **argv)
{
  if (argc < 2)
    return cli_complain (_ ("which verb?  panelwright --help lists them"));
  if (strcmp (argv[1], "--version") == 0)
  {
    printf ("panelwright %s\n", PW_VERSION);
    return CLI_DONE;
  }
  const CliVerb *verb = find_verb (argv[1]);
  if (verb == NULL)
  {
    print_help ();
    return CLI_DONE;
  }
  return verb->run (argc - 1, argv + 1);
}

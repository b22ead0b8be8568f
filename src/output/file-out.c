#include "output/file-out.h"
#include "output/sheet.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gi18n.h>
#include <glib/gstdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

G_DEFINE_QUARK (output - error - quark, output_error)

static bool
fail (GError **error, const char *path, int number)
{
  g_autofree char *name = g_filename_display_name (path);
  g_set_error (error, OUTPUT_ERROR, OUTPUT_ERROR_WRITE, _ ("%s: cannot be written: %s"), name,
               g_strerror (number));
  return false;
}

static bool
write_all (int fd, const char *data, gsize length)
{
  while (length > 0)
  {
    const ssize_t n = write (fd, data, MIN (length, (gsize)1 << 26));
    if (n < 0 && errno == EINTR)
      continue;
    if (n <= 0)
    {
      if (n == 0)
        errno = EIO;
      return false;
    }
    data += n;
    length -= (gsize)n;
  }
  return true;
}

/* The new file's rights: those of the one it replaces, else what the user's mask leaves. */
static mode_t
wanted_mode (const struct stat *old)
{
  if (old != NULL)
    return old->st_mode & 07777;
  const mode_t mask = umask (0);
  umask (mask);
  return 0666 & ~mask;
}

static void
settle_directory (const char *directory)
{
  const int fd = g_open (directory, O_RDONLY | O_CLOEXEC, 0);
  if (fd < 0)
    return;
  if (fsync (fd) != 0)
    errno = 0; /* some file systems cannot; the file itself is safe */
  close (fd);
}

bool
output_file_write (const char *path, const void *data, gsize length, GError **error)
{
  struct stat old;
  const bool there = g_stat (path, (GStatBuf *)&old) == 0;
  if (there && S_ISDIR (old.st_mode))
    return fail (error, path, EISDIR);
  if (there && !S_ISREG (old.st_mode))
  {
    g_autofree char *name = g_filename_display_name (path);
    g_set_error (error, OUTPUT_ERROR, OUTPUT_ERROR_WRITE, _ ("%s: is not an ordinary file"), name);
    return false;
  }
  /* Renaming onto a link would replace the link. */
  char *resolved = there ? realpath (path, NULL) : NULL;
  g_autofree char *target = g_strdup (resolved != NULL ? resolved : path);
  free (resolved);
  g_autofree char *directory = g_path_get_dirname (target);
  g_autofree char *base = g_path_get_basename (target);
  g_autofree char *hidden = g_strdup_printf (".%.200s.XXXXXX", base);
  g_autofree char *beside = g_build_filename (directory, hidden, NULL);
  const int fd = g_mkstemp_full (beside, O_WRONLY | O_CLOEXEC, 0600);
  if (fd < 0)
    return fail (error, path, errno);
  bool well = write_all (fd, (const char *)data, length)
              && fchmod (fd, wanted_mode (there ? &old : NULL)) == 0 && fsync (fd) == 0;
  int number = errno;
  if (close (fd) != 0 && well)
  {
    well = false;
    number = errno;
  }
  if (well && g_rename (beside, target) != 0)
  {
    well = false;
    number = errno;
  }
  if (!well)
  {
    g_unlink (beside);
    return fail (error, path, number);
  }
  settle_directory (directory);
  return true;
}

cairo_status_t
output_file_collect (void *closure, const unsigned char *data, unsigned int length)
{
  g_byte_array_append ((GByteArray *)closure, data, length);
  return CAIRO_STATUS_SUCCESS;
}

bool
output_file_write_surface (
  cairo_surface_t *surface, cairo_t *cr, GByteArray *bytes, const char *path, GError **error)
{
  cairo_status_t status = cairo_status (cr);
  cairo_destroy (cr);
  cairo_surface_finish (surface);
  if (status == CAIRO_STATUS_SUCCESS)
    status = cairo_surface_status (surface);
  cairo_surface_destroy (surface);
  if (status != CAIRO_STATUS_SUCCESS)
  {
    g_autofree char *name = g_filename_display_name (path);
    g_set_error (error, OUTPUT_ERROR, OUTPUT_ERROR_WRITE, _ ("%s: cannot be drawn: %s"), name,
                 cairo_status_to_string (status));
    return false;
  }
  return output_file_write (path, bytes->data, bytes->len, error);
}

char *
output_file_pdf_date (const char *date)
{
  int year = 0, month = 0, day = 0;
  char tail = '\0';
  if (date != NULL && sscanf (date, "%4d-%2d-%2d%c", &year, &month, &day, &tail) == 3
      && g_date_valid_dmy ((GDateDay)CLAMP (day, 0, 32), (GDateMonth)CLAMP (month, 0, 13),
                           (GDateYear)CLAMP (year, 0, 9999)))
    return g_strdup_printf ("%04d-%02d-%02dT12:00:00Z", year, month, day);
  return g_strdup ("2000-01-01T12:00:00Z");
}

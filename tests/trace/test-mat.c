/* The printed mat: its layout, and photos of it whose camera is known. */
#include "trace/judge.h"
#include "trace/mat.h"
#include "trace/photograph.h"
#include "trace/piece.h"

#include <string.h>

static const char *const papers[] = { "a4", "a3", "letter", "tabloid" };

static guint
turned (guint word)
{
  return ((word << 1) | (word >> (TRACE_MARK_FIELDS - 1))) & ((1u << TRACE_MARK_FIELDS) - 1u);
}

/* No two marks of any papers look alike however they are turned, nor does one that is misread in one field.
 */
static void
test_words (void)
{
  GArray *words = g_array_new (FALSE, FALSE, sizeof (guint));
  for (gsize p = 0; p < G_N_ELEMENTS (papers); p++)
  {
    TraceMat mat;
    g_assert_true (trace_mat_layout (papers[p], &mat));
    g_assert_cmpint (mat.count, >=, 20);
    for (int m = 0; m < mat.count; m++)
      g_array_append_val (words, mat.mark[m].fields);
  }
  for (guint a = 0; a < words->len; a++)
    for (guint b = 0; b < words->len; b++)
    {
      guint other = g_array_index (words, guint, b);
      for (int i = 0; i < TRACE_MARK_FIELDS; i++, other = turned (other))
        if (a != b || i > 0)
          g_assert_cmpint (__builtin_popcount (g_array_index (words, guint, a) ^ other), >=, 2);
    }
  g_array_free (words, TRUE);
  TraceMat mat;
  g_assert_false (trace_mat_layout ("b5", &mat));
}

/* Marks stay on the paper, clear of the frame, clear of one another. */
static void
test_layout (void)
{
  for (gsize p = 0; p < G_N_ELEMENTS (papers); p++)
  {
    TraceMat mat;
    g_assert_true (trace_mat_layout (papers[p], &mat));
    for (int m = 0; m < mat.count; m++)
    {
      const GeomPoint c = mat.mark[m].centre;
      const double edge = MIN (MIN (c.x, mat.width_mm - c.x), MIN (c.y, mat.height_mm - c.y));
      g_assert_cmpfloat (edge - TRACE_MARK_RING_MM, >=, 8.0);
      g_assert_cmpfloat (edge + TRACE_MARK_RING_MM, <=, TRACE_MAT_FRAME_MM - 1.0);
      for (int other = 0; other < m; other++)
        g_assert_cmpfloat (geom_distance (c, mat.mark[other].centre), >=, 30.0);
    }
  }
}

typedef struct Ink
{
  GeomPath discs, gaps, fields;
} Ink;

static void
draw_mat (const TraceMat *mat, Ink *ink)
{
  const double turn = 2.0 * G_PI;
  geom_path_init (&ink->discs);
  geom_path_init (&ink->gaps);
  geom_path_init (&ink->fields);
  for (int m = 0; m < mat->count; m++)
  {
    const GeomPoint c = mat->mark[m].centre;
    photograph_arc (&ink->discs, c, TRACE_MARK_RING_MM, 0.0, turn);
    photograph_arc (&ink->gaps, c, TRACE_MARK_RING_INNER_MM, 0.0, turn);
    for (int f = 0; f < TRACE_MARK_FIELDS; f++)
    {
      if (!(mat->mark[m].fields >> f & 1u))
        continue;
      const double a = turn * f / TRACE_MARK_FIELDS, b = turn * (f + 1) / TRACE_MARK_FIELDS;
      const size_t first = ink->fields.count;
      photograph_arc (&ink->fields, c, TRACE_MARK_FIELDS_MM, a, b);
      const GeomPoint outer = { c.x + TRACE_MARK_FIELDS_MM * cos (b), c.y + TRACE_MARK_FIELDS_MM * sin (b) };
      const GeomPoint inner
        = { c.x + TRACE_MARK_FIELDS_INNER_MM * cos (b), c.y + TRACE_MARK_FIELDS_INNER_MM * sin (b) };
      geom_path_append_line (&ink->fields, outer, inner);
      photograph_arc (&ink->fields, c, TRACE_MARK_FIELDS_INNER_MM, b, a);
      const GeomPoint from
        = { c.x + TRACE_MARK_FIELDS_INNER_MM * cos (a), c.y + TRACE_MARK_FIELDS_INNER_MM * sin (a) };
      geom_path_append_line (&ink->fields, from, ink->fields.piece[first].p[0]);
    }
  }
}

static Judged
shoot_mat (
  Camera *camera, const char *paper, Shape shape, double perimeter_mm, double beside_mm, int least_marks)
{
  TraceMat mat;
  g_assert_true (trace_mat_layout (paper, &mat));
  camera->sheet_width_mm = mat.width_mm;
  camera->sheet_height_mm = mat.height_mm;
  Ink ink;
  draw_mat (&mat, &ink);
  GeomPath truth;
  GeomPoint corner[8];
  const int corners
    = photograph_shape (shape, perimeter_mm, mat.width_mm, mat.height_mm, 90.0, &truth, corner);
  /* A scrap of cloth over some of the marks. */
  GeomPath scrap;
  geom_path_init (&scrap);
  photograph_arc (&scrap, geom_point (0.0, mat.height_mm * 0.4), MAX (beside_mm, 1.0), 0.0, 2.0 * G_PI);
  const Colour black = { 38.0, 38.0, 40.0 }, brown = { 112.0, 70.0, 42.0 }, cloth = { 70.0, 90.0, 120.0 };
  const Thing things[] = { { &ink.discs, black, 0.0 },
                           { &ink.gaps, camera->paper, 0.0 },
                           { &ink.fields, black, 0.0 },
                           { &truth, brown, 0.08 },
                           { &scrap, cloth, 0.0 } };
  g_autoptr (TracePhoto) photo = photograph_take (camera, things, beside_mm > 0.0 ? 5 : 4);
  if (g_getenv ("PHOTOGRAPH_KEEP") != NULL)
    photograph_write_ppm (photo, g_getenv ("PHOTOGRAPH_KEEP"));
  GError *error = NULL;
  TraceMatSeen seen;
  trace_mat_find (photo, &seen, &error);
  g_assert_no_error (error);
  g_assert_cmpstr (seen.mat.paper, ==, paper);
  double off = 0.0;
  for (int i = 0; i < 121; i++)
  {
    const GeomPoint p = { mat.width_mm * (0.1 + 0.08 * (i % 11)), mat.height_mm * (0.1 + 0.08 * (i / 11)) };
    off = MAX (off, geom_distance (trace_view_to_picture (&seen.view, p), photograph_see (camera, p))
                      / trace_view_scale_at (&seen.view, p));
  }
  g_autoptr (TraceResult) result = trace_pieces_find (photo, &seen.view, trace_mat_look (&mat), 0.0, &error);
  g_assert_no_error (error);
  const TracePiece *piece = g_ptr_array_index (result->pieces, 0);
  Judged j = judge (&piece->outline, &truth, corner, corners);
  j.pieces = result->pieces->len;
  g_test_message ("%s: %d of %d marks, %.3f px; k %+.4f for %+.4f; plane off by %.3f mm; mean %.3f, corner "
                  "%.3f, perimeter %+.3f mm, %zu edges",
                  paper, seen.marks, mat.count, seen.error_px, seen.view.k, camera->lens_k, off, j.mean_mm,
                  j.corner_mm, j.perimeter_mm, j.edges);
  g_assert_cmpint (seen.marks, >=, least_marks);
  g_assert_cmpfloat (off, <=, 0.2);
  geom_path_clear (&truth);
  geom_path_clear (&scrap);
  geom_path_clear (&ink.discs);
  geom_path_clear (&ink.gaps);
  geom_path_clear (&ink.fields);
  return j;
}

/* Lengths within 0.5 mm: with a lens that bends a side of the sheet by some millimetres, turned, slanted,
 * partly covered. */
static void
test_photos (void)
{
  static const struct
  {
    const char *paper;
    double lens, tilt, roll, covered_mm;
    Shape shape;
    double perimeter_mm;
    int marks;
  } rows[] = {
    { "a4", 0.0, 5.0, 91.0, 0.0, SHAPE_GUSSET, 420.0, 24 },
    { "a3", -0.03, 20.0, -88.0, 0.0, SHAPE_BRACER, 850.0, 36 },
    { "letter", 0.02, 30.0, 178.0, 30.0, SHAPE_FRONT, 420.0, 20 },
    { "tabloid", -0.05, 12.0, 40.0, 50.0, SHAPE_BRACER, 700.0, 26 },
  };
  for (gsize i = 0; i < G_N_ELEMENTS (rows); i++)
  {
    Camera camera = photograph_camera ();
    camera.seed = (unsigned)(500 + i);
    camera.fill = i == 3 ? 0.7 : 0.9;
    camera.lens_k = rows[i].lens;
    camera.tilt_deg = rows[i].tilt;
    camera.roll_deg = rows[i].roll;
    const Judged j = shoot_mat (&camera, rows[i].paper, rows[i].shape, rows[i].perimeter_mm,
                                rows[i].covered_mm, rows[i].marks);
    g_assert_cmpuint (j.pieces, ==, 1);
    g_assert_cmpfloat (j.mean_mm, <=, 0.15);
    g_assert_cmpfloat (fabs (j.perimeter_mm), <=, 0.6);
    g_assert_cmpfloat (j.corner_mm, <=, 0.4);
  }
}

static void
test_none (void)
{
  Camera camera = photograph_camera ();
  camera.width = 1600;
  camera.height = 1200;
  g_autoptr (TracePhoto) photo = photograph_take (&camera, NULL, 0);
  GError *error = NULL;
  TraceMatSeen seen;
  g_assert_false (trace_mat_find (photo, &seen, &error));
  g_assert_error (error, TRACE_ERROR, TRACE_ERROR_MAT);
  g_clear_error (&error);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/trace/mat/words", test_words);
  g_test_add_func ("/trace/mat/layout", test_layout);
  g_test_add_func ("/trace/mat/photos", test_photos);
  g_test_add_func ("/trace/mat/none", test_none);
  return g_test_run ();
}

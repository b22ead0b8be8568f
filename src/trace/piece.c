#include "trace/piece.h"

#include "trace/contrast.h"
#include "trace/rim.h"
#include "trace/tolerance.h"

#include <glib/gi18n.h>

static void
piece_free (gpointer data)
{
  TracePiece *piece = data;
  trace_outline_clear (&piece->outline);
  g_free (piece);
}

static void
add_piece (TraceResult *result,
           const TraceRaster *raster,
           const TraceContrast *contrast,
           const TraceLoop *loop,
           double tolerance_mm)
{
  if (loop->cut_off)
  {
    result->cut_off += loop->depth_px > TRACE_RIM_MM * raster->px_per_mm;
    return;
  }
  g_autoptr (TraceRim) rim = trace_rim_new (contrast, raster, loop);
  if (rim == NULL)
    return;
  TracePiece *piece = g_new0 (TracePiece, 1);
  piece->holes = loop->holes;
  piece->area_mm2 = loop->area_px / (raster->px_per_mm * raster->px_per_mm);
  piece->blur_mm = rim->blur_mm;
  if (trace_outline_fit ((const GeomPoint *)(void *)rim->sample->data, rim->sample->len, rim->blur_mm,
                         tolerance_mm, &piece->outline))
    g_ptr_array_add (result->pieces, piece);
  else
    piece_free (piece);
}

/* About how much of the whole time has gone when each part of the work is done. */
#define DONE_FLAT 0.35
#define DONE_PAPER 0.5
#define DONE_SPOTS 0.65

typedef struct Watch
{
  TraceProgress progress;
  void *user;
} Watch;

static bool
goes_on (const Watch *watch, double done, GError **error)
{
  if (watch->progress == NULL || watch->progress (done, watch->user))
    return true;
  g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_STOPPED, _ ("it was stopped"));
  return false;
}

static bool
look (const TraceRaster *raster, TraceResult *result, double tolerance_mm, const Watch *watch, GError **error)
{
  TracePaper paper;
  if (!trace_paper_find (raster, &paper, error) || !goes_on (watch, DONE_PAPER, error))
    return false;
  const double px2 = raster->px_per_mm * raster->px_per_mm;
  g_autoptr (TraceSpots) spots = trace_spots_find (raster, &paper);
  for (guint s = 0; s < spots->spot->len; s++)
  {
    const TraceSpot *spot = &g_array_index (spots->spot, TraceSpot, s);
    if (!goes_on (watch, DONE_SPOTS + (1.0 - DONE_SPOTS) * s / spots->spot->len, error))
      return false;
    g_autoptr (TraceContrast) contrast = trace_contrast_new (raster, &paper, spot);
    if (contrast == NULL)
      continue;
    g_autoptr (GPtrArray) loops
      = trace_loops_find (contrast, raster, TRACE_LEAST_PIECE_MM2 * px2, TRACE_LEAST_HOLE_MM2 * px2);
    for (guint i = 0; i < loops->len; i++)
    {
      const TraceLoop *loop = g_ptr_array_index (loops, i);
      if (trace_spot_holds (spots, spot, (const GeomPoint *)(void *)loop->corner->data, loop->corner->len))
        add_piece (result, raster, contrast, loop, tolerance_mm);
    }
  }
  if (result->pieces->len > 0)
    return true;
  g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_PIECE,
                       result->cut_off > 0
                         ? _ ("the piece reaches over the rim of the sheet; lay it wholly on the sheet")
                         : _ ("no piece was found on the sheet"));
  return false;
}

TraceResult *
trace_pieces_find (
  const TracePhoto *photo, const TraceView *view, GeomBox box_mm, double tolerance_mm, GError **error)
{
  return trace_pieces_find_watched (photo, view, box_mm, tolerance_mm, NULL, NULL, error);
}

TraceResult *
trace_pieces_find_watched (const TracePhoto *photo,
                           const TraceView *view,
                           GeomBox box_mm,
                           double tolerance_mm,
                           TraceProgress progress,
                           void *user,
                           GError **error)
{
  const Watch watch = { progress, user };
  g_autoptr (TraceRaster) raster = trace_raster_new (photo, view, box_mm);
  if (raster == NULL)
  {
    g_set_error_literal (error, TRACE_ERROR, TRACE_ERROR_SIZE,
                         _ ("there is not enough memory for this picture"));
    return NULL;
  }
  if (raster->px_per_mm < TRACE_LEAST_PX_PER_MM)
  {
    g_set_error_literal (
      error, TRACE_ERROR, TRACE_ERROR_SIZE,
      _ ("the sheet is too small in the picture to measure on: it takes at least one pixel a millimetre"));
    return NULL;
  }
  if (!goes_on (&watch, DONE_FLAT, error))
    return NULL;
  if (!(tolerance_mm > 0.0))
    tolerance_mm = TRACE_TOLERANCE_MM;
  g_autoptr (TraceResult) result = g_new0 (TraceResult, 1);
  result->pieces = g_ptr_array_new_with_free_func (piece_free);
  result->px_per_mm = raster->px_per_mm;
  if (!look (raster, result, CLAMP (tolerance_mm, TRACE_LEAST_TOLERANCE_MM, TRACE_MOST_TOLERANCE_MM), &watch,
             error))
    return NULL;
  return g_steal_pointer (&result);
}

void
trace_result_free (TraceResult *result)
{
  if (result == NULL)
    return;
  g_ptr_array_unref (result->pieces);
  g_free (result);
}

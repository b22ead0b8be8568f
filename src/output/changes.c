/* Text top to bottom in one column; a line never breaks over a page, since a figure parted from its edge is
 * worse than a white foot.  The pages are counted by a first pass that draws into nothing. */
#include "output/changes.h"

#include "engine/sheet-plan.h"
#include "output/draw-parts.h"
#include "output/file-out.h"

#include <cairo-pdf.h>
#include <glib/gi18n.h>

#define POINTS_IN_MM (72.0 / 25.4) /* ISO 32000-1, 8.3.2.3: a unit of the page is 1/72 inch */
#define MARGIN 16.0
#define TITLE 6.0
#define BODY 3.4
#define FOOT 14.0
#define LEAD 1.4
#define PANEL_GAP 4.0

typedef struct List
{
  cairo_t *cr;
  const ModelDocument *was, *now;
  const char *was_name;
  const GArray *changes;
  EnginePaper paper;
  double y;
  guint page, pages; /* PAGES 0: only counting */
  guint only;        /* 0: all pages, each shown; else this one alone, and not shown */
} List;

static bool
is_drawn (const List *list)
{
  return list->only == 0 || list->page == list->only;
}

static void
draw_foot (const List *list)
{
  double y = list->paper.height_mm - MARGIN - BODY, width = list->paper.width_mm - 2.0 * MARGIN;
  g_autofree char *page = g_strdup_printf (_ ("Page %1$u of %2$u"), list->page, MAX (list->pages, 1));
  output_text_show (list->cr, MARGIN, y - 5.6, BODY, OUTPUT_TEXT_PLAIN, width,
                    _ ("Costume armour, not protective equipment."));
  output_text_line (list->cr, MARGIN, y, BODY, OUTPUT_TEXT_PLAIN, page);
}

static void
end_page (List *list)
{
  if (is_drawn (list))
    draw_foot (list);
  if (list->only == 0)
    cairo_show_page (list->cr);
}

/* Room for HEIGHT_MM more, on a new page if need be. */
static void
need (List *list, double height_mm)
{
  if (list->y + height_mm <= list->paper.height_mm - MARGIN - FOOT || list->y <= MARGIN)
    return;
  end_page (list);
  list->page++;
  list->y = MARGIN;
}

static double
width_mm (const List *list)
{
  return list->paper.width_mm - 2.0 * MARGIN;
}

static void
put (List *list, double size, int style, const char *text)
{
  list->y
    += LEAD
       + (is_drawn (list) ? output_text_show (list->cr, MARGIN, list->y, size, style, width_mm (list), text)
                          : output_text_size (list->cr, size, style, width_mm (list), text).height);
}

static void
draw_head (List *list)
{
  const ModelHead *head = list->now->head;
  put (list, TITLE, OUTPUT_TEXT_BOLD, head->title[0] != '\0' ? head->title : _ ("Panels"));
  g_autofree char *count = engine_changes_count (list->changes->len);
  /* Translators: "4 differences", the name of an earlier revision. */
  g_autofree char *since = g_strdup_printf (_ ("%1$s since “%2$s”"), count, list->was_name);
  put (list, BODY, OUTPUT_TEXT_PLAIN, since);
  if (head->revision[0] != '\0')
  {
    g_autofree char *present
      = head->revision_date[0] != '\0'
          ? g_strdup_printf (_ ("Now: %1$s, %2$s"), head->revision, head->revision_date)
          : g_strdup_printf (_ ("Now: %s"), head->revision);
    put (list, BODY, OUTPUT_TEXT_PLAIN, present);
  }
  list->y += PANEL_GAP;
}

static void
draw_list (List *list)
{
  guint last_panel = 0;
  list->page = 1;
  list->y = MARGIN;
  draw_head (list);
  for (guint i = 0; i < list->changes->len; i++)
  {
    const EngineChange *change = &g_array_index (list->changes, EngineChange, i);
    guint panel = change->join_id == 0 ? change->panel_id : 0;
    if (i > 0 && panel != last_panel)
      list->y += PANEL_GAP;
    last_panel = panel;
    g_autofree char *subject = engine_change_subject (list->was, list->now, change);
    g_autofree char *text = engine_change_text (list->was, list->now, change);
    need (list, output_text_size (list->cr, BODY, OUTPUT_TEXT_BOLD, width_mm (list), subject).height
                  + output_text_size (list->cr, BODY, OUTPUT_TEXT_PLAIN, width_mm (list), text).height
                  + 2.0 * LEAD);
    put (list, BODY, OUTPUT_TEXT_BOLD, subject);
    put (list, BODY, OUTPUT_TEXT_PLAIN, text);
  }
  end_page (list);
}

/* The list is for the table, not for cutting: a household printer's page. */
EnginePaper
output_changes_paper (const ModelDocument *now)
{
  EnginePaper paper;
  bool letter = g_str_equal (now->head->paper, "letter") || g_str_equal (now->head->paper, "tabloid");
  engine_paper_parse (letter ? "letter" : "a4", &paper);
  return paper;
}

bool
output_changes_write_pdf (const ModelDocument *was,
                          const char *was_name,
                          const ModelDocument *now,
                          const GArray *changes,
                          const char *path,
                          GError **error)
{
  List list = {
    .was = was, .now = now, .was_name = was_name, .changes = changes, .paper = output_changes_paper (now)
  };
  g_autoptr (GByteArray) bytes = g_byte_array_new ();
  for (int pass = 0;; pass++)
  {
    g_byte_array_set_size (bytes, 0);
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream (
      output_file_collect, bytes, list.paper.width_mm * POINTS_IN_MM, list.paper.height_mm * POINTS_IN_MM);
    g_autofree char *date = output_file_pdf_date (now->head->revision_date);
    cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATE_DATE, date);
    cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_CREATOR, "Panelwright");
    cairo_pdf_surface_set_metadata (surface, CAIRO_PDF_METADATA_TITLE, _ ("What has changed"));
    list.cr = cairo_create (surface);
    cairo_scale (list.cr, POINTS_IN_MM, POINTS_IN_MM);
    draw_list (&list);
    if (pass == 1)
      return output_file_write_surface (surface, list.cr, bytes, path, error);
    cairo_destroy (list.cr);
    cairo_surface_destroy (surface);
    list.pages = list.page;
  }
}

guint
output_changes_page_count (const ModelDocument *was,
                           const char *was_name,
                           const ModelDocument *now,
                           const GArray *changes)
{
  List list = { .was = was, .now = now, .was_name = was_name, .changes = changes };
  list.paper = output_changes_paper (now);
  list.only = G_MAXUINT;
  cairo_surface_t *surface = cairo_image_surface_create (CAIRO_FORMAT_A8, 1, 1);
  list.cr = cairo_create (surface);
  draw_list (&list);
  cairo_destroy (list.cr);
  cairo_surface_destroy (surface);
  return list.page;
}

void
output_changes_draw_page (cairo_t *cr,
                          const ModelDocument *was,
                          const char *was_name,
                          const ModelDocument *now,
                          const GArray *changes,
                          guint page,
                          guint pages)
{
  List list = { .cr = cr, .was = was, .now = now, .was_name = was_name, .changes = changes };
  list.paper = output_changes_paper (now);
  list.only = page + 1;
  list.pages = pages;
  draw_list (&list);
}

/* The start view.  Every way in ends at the same place: panels at true size. */
#include "app/start-view.h"

#include "app/starter-cards.h"
#include "app/theme.h"
#include "app/thumb.h"
#include "engine/places.h"
#include "engine/words.h"
#include "model/file.h"
#include "output/draw.h"
#include "panelwright-config.h"

#include <glib/gi18n.h>

#define RECENT_SHOWN 5
#define SIDE_PX 340

struct _AppStartView
{
  GtkWidget parent;
  GtkWidget *scroll, *columns, *main, *side, *recent;
  bool folded;
};

G_DEFINE_FINAL_TYPE (AppStartView, app_start_view, GTK_TYPE_WIDGET)

enum
{
  SIGNAL_BLANK,
  SIGNAL_OPEN,
  SIGNAL_EXAMPLE,
  SIGNAL_COUNT
};
static guint signals[SIGNAL_COUNT];

typedef struct Example
{
  const char *file, *name, *text;
} Example;

static const Example examples[] = {
  { "caravan-guard.panelwright", N_ ("Caravan guard, jerkin"),
    N_ ("Six panels, every kind of join. It is finished: spoil it freely.") },
  { "caravan-guard-first-draft.panelwright", N_ ("The same, first draft"),
    N_ ("What usually goes wrong is still in it: found and settled.") },
  { "caravan-bracer.panelwright", N_ ("Caravan guard, bracers"),
    N_ ("A cone cut open: wrist, forearm and length are all it takes.") },
  { "caravan-mantle-fitting.panelwright", N_ ("A mantle, at its fitting"),
    N_ ("One edge meets three lames over a dart; not corrected yet.") },
};

GFile *
app_shipped_file (const char *name)
{
  const char *folders[] = { g_getenv ("PANELWRIGHT_DATA"), PW_DATA_DIR };
  for (guint i = 0; i < G_N_ELEMENTS (folders); i++)
  {
    if (folders[i] == NULL)
      continue;
    g_autofree char *path = g_build_filename (folders[i], name, NULL);
    if (g_file_test (path, G_FILE_TEST_IS_REGULAR))
      return g_file_new_for_path (path);
  }
  return NULL;
}

/* ---- small pieces ---- */

static GtkWidget *
label (const char *text, const char *css, float xalign)
{
  GtkWidget *widget = gtk_label_new (text);
  if (css != NULL)
    gtk_widget_add_css_class (widget, css);
  gtk_label_set_xalign (GTK_LABEL (widget), xalign);
  return widget;
}

static GtkWidget *
paragraph (const char *text, int chars)
{
  GtkWidget *widget = label (text, "pw-dim", 0);
  gtk_label_set_wrap (GTK_LABEL (widget), TRUE);
  gtk_label_set_width_chars (GTK_LABEL (widget), 12);
  gtk_label_set_max_width_chars (GTK_LABEL (widget), chars);
  return widget;
}

static GtkWidget *
column (int spacing)
{
  return gtk_box_new (GTK_ORIENTATION_VERTICAL, spacing);
}

static GtkWidget *
row (int spacing)
{
  return gtk_box_new (GTK_ORIENTATION_HORIZONTAL, spacing);
}

static void
append (GtkWidget *box, GtkWidget *child)
{
  gtk_box_append (GTK_BOX (box), child);
}

static void
set_margins (GtkWidget *widget, int top, int right, int bottom, int left)
{
  gtk_widget_set_margin_top (widget, top);
  gtk_widget_set_margin_end (widget, right);
  gtk_widget_set_margin_bottom (widget, bottom);
  gtk_widget_set_margin_start (widget, left);
}

static void
name_for_readers (GtkWidget *widget, const char *name)
{
  gtk_accessible_update_property (GTK_ACCESSIBLE (widget), GTK_ACCESSIBLE_PROPERTY_LABEL, name, -1);
}

/* ---- a card that is one button ---- */

static void
emit_file (GtkWidget *button, guint signal)
{
  GtkWidget *view = gtk_widget_get_ancestor (button, APP_TYPE_START_VIEW);
  GFile *file = g_object_get_data (G_OBJECT (button), "file");
  if (view != NULL && file != NULL)
    g_signal_emit (view, signals[signal], 0, file);
}

static void
on_example (GtkWidget *button, gpointer user)
{
  emit_file (button, SIGNAL_EXAMPLE);
}

static void
on_recent (GtkWidget *button, gpointer user)
{
  emit_file (button, SIGNAL_OPEN);
}

static void
on_blank (GtkWidget *button, gpointer user)
{
  GtkWidget *view = gtk_widget_get_ancestor (button, APP_TYPE_START_VIEW);
  if (view != NULL)
    g_signal_emit (view, signals[SIGNAL_BLANK], 0);
}

static GtkWidget *
example_card (const Example *example)
{
  g_autoptr (GFile) file = app_shipped_file (example->file);
  if (file == NULL)
    return NULL;
  GtkWidget *button = gtk_button_new ();
  gtk_widget_add_css_class (button, "pw-start-card");
  GtkWidget *box = column (4);
  GtkWidget *thumb = app_thumb_new (model_document_load (file, NULL, NULL), 180, 128);
  gtk_widget_add_css_class (thumb, "pw-start-scrap");
  append (box, thumb);
  GtkWidget *name = label (_ (example->name), "pw-heading", 0);
  set_margins (name, 8, 14, 0, 14);
  append (box, name);
  GtkWidget *text = paragraph (_ (example->text), 22);
  gtk_label_set_yalign (GTK_LABEL (text), 0);
  set_margins (text, 0, 14, 12, 14);
  append (box, text);
  gtk_button_set_child (GTK_BUTTON (button), box);
  gtk_widget_set_hexpand (button, TRUE);
  name_for_readers (button, _ (example->name));
  g_object_set_data_full (G_OBJECT (button), "file", g_steal_pointer (&file), g_object_unref);
  g_signal_connect (button, "clicked", G_CALLBACK (on_example), NULL);
  return button;
}

/* ---- on blank paper: a curve under a pen, drawn with the canvas's own hand ---- */

static void
draw_pen (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user)
{
  OutputInk ink;
  app_theme_ink (&ink, 100);
  const double step = 24;
  output_set_tone (cr, &ink, OUTPUT_TONE_GRID);
  cairo_set_line_width (cr, 1);
  for (double x = 12.5; x < width; x += step)
  {
    cairo_move_to (cr, x, 0);
    cairo_line_to (cr, x, height);
  }
  for (double y = 12.5; y < height; y += step)
  {
    cairo_move_to (cr, 0, y);
    cairo_line_to (cr, width, y);
  }
  cairo_stroke (cr);
  double x0 = width * 0.2, y0 = height * 0.74, x1 = width * 0.8, y1 = height * 0.52;
  cairo_move_to (cr, x0, y0);
  cairo_curve_to (cr, width * 0.32, height * 0.1, width * 0.6, height * 0.1, x1, y1);
  output_set_tone (cr, &ink, OUTPUT_TONE_BLUE);
  cairo_set_line_width (cr, 2.4);
  cairo_stroke (cr);
  cairo_rectangle (cr, x0 - 5.5, y0 - 5.5, 11, 11);
  output_set_tone (cr, &ink, OUTPUT_TONE_FACE);
  cairo_fill_preserve (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_INK);
  cairo_set_line_width (cr, 2);
  cairo_stroke (cr);
  cairo_arc (cr, x1, y1, 9, 0, 2 * G_PI);
  cairo_set_line_width (cr, 1.4);
  cairo_stroke (cr);
  cairo_arc (cr, x1, y1, 2, 0, 2 * G_PI);
  cairo_fill (cr);
}

/* A photo, not quite straight, of one piece on a sheet whose corners are ringed. */
static void
draw_photo (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user)
{
  OutputInk ink;
  app_theme_ink (&ink, 100);
  const double sheet[4][2] = { { 0.22, 0.16 }, { 0.84, 0.10 }, { 0.78, 0.90 }, { 0.16, 0.82 } };
  output_set_tone (cr, &ink, OUTPUT_TONE_TRACE);
  cairo_rectangle (cr, 0, 0, width, height);
  cairo_fill (cr);
  for (int i = 0; i < 4; i++)
    cairo_line_to (cr, width * sheet[i][0], height * sheet[i][1]);
  cairo_close_path (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_FACE);
  cairo_fill (cr);
  cairo_move_to (cr, width * 0.36, height * 0.70);
  cairo_curve_to (cr, width * 0.33, height * 0.45, width * 0.35, height * 0.36, width * 0.40, height * 0.30);
  cairo_curve_to (cr, width * 0.48, height * 0.24, width * 0.58, height * 0.24, width * 0.66, height * 0.28);
  cairo_curve_to (cr, width * 0.66, height * 0.45, width * 0.66, height * 0.55, width * 0.62, height * 0.74);
  cairo_close_path (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_INK_2);
  cairo_fill (cr);
  cairo_set_line_width (cr, 2);
  output_set_tone (cr, &ink, OUTPUT_TONE_BLUE);
  for (int i = 0; i < 4; i++)
  {
    cairo_new_sub_path (cr);
    cairo_arc (cr, width * sheet[i][0], height * sheet[i][1], 5, 0, 2 * G_PI);
  }
  cairo_stroke (cr);
}

/* A way in: its picture, a heading, a sentence, and the button that goes it. */
static GtkWidget *
way_card (GtkDrawingAreaDrawFunc draw, const char *name, const char *text, GtkWidget *button)
{
  GtkWidget *card = row (0);
  gtk_widget_add_css_class (card, "pw-start-flat");
  GtkWidget *picture = gtk_drawing_area_new ();
  gtk_drawing_area_set_content_width (GTK_DRAWING_AREA (picture), 140);
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (picture), 120);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (picture), draw, NULL, NULL);
  gtk_widget_set_overflow (picture, GTK_OVERFLOW_HIDDEN);
  gtk_widget_add_css_class (picture, "pw-start-scrap");
  append (card, picture);
  GtkWidget *box = column (4);
  set_margins (box, 12, 16, 12, 16);
  gtk_widget_set_hexpand (box, TRUE);
  gtk_widget_set_valign (box, GTK_ALIGN_CENTER);
  append (box, label (name, "pw-heading", 0));
  append (box, paragraph (text, 30));
  gtk_widget_set_halign (button, GTK_ALIGN_START);
  set_margins (button, 6, 0, 0, 0);
  append (box, button);
  append (card, box);
  return card;
}

static GtkWidget *
photo_card (void)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (_ ("Choose a _photo"));
  gtk_widget_add_css_class (button, "pw-stamp");
  name_for_readers (button, _ ("Choose a photo"));
  gtk_actionable_set_action_name (GTK_ACTIONABLE (button), "app.from-photo");
  return way_card (draw_photo, _ ("From a photo or scan"),
                   _ ("Pieces on the table, a sheet of paper in view: they arrive at true size."), button);
}

static GtkWidget *
blank_card (void)
{
  GtkWidget *button = gtk_button_new_with_mnemonic (_ ("_Take a sheet"));
  gtk_widget_add_css_class (button, "pw-stamp");
  name_for_readers (button, _ ("Take a sheet"));
  g_signal_connect (button, "clicked", G_CALLBACK (on_blank), NULL);
  return way_card (draw_pen, _ ("On blank paper"),
                   _ ("Draw with pen or mouse at true size: click for corners, drag for curves."), button);
}

/* Cards beside one another, below one another where that is too narrow. */
static GtkWidget *
card_rows (guint least, guint most)
{
  GtkWidget *box = gtk_flow_box_new ();
  gtk_flow_box_set_homogeneous (GTK_FLOW_BOX (box), TRUE);
  gtk_flow_box_set_selection_mode (GTK_FLOW_BOX (box), GTK_SELECTION_NONE);
  gtk_flow_box_set_min_children_per_line (GTK_FLOW_BOX (box), least);
  gtk_flow_box_set_max_children_per_line (GTK_FLOW_BOX (box), most);
  gtk_flow_box_set_column_spacing (GTK_FLOW_BOX (box), 16);
  gtk_flow_box_set_row_spacing (GTK_FLOW_BOX (box), 16);
  return box;
}

/* The card is what takes the focus, not the place it lies in. */
static void
lay_card (GtkWidget *rows, GtkWidget *card)
{
  GtkWidget *place = gtk_flow_box_child_new ();
  gtk_flow_box_child_set_child (GTK_FLOW_BOX_CHILD (place), card);
  gtk_widget_set_focusable (place, FALSE);
  gtk_widget_add_css_class (place, "pw-start-place");
  gtk_flow_box_append (GTK_FLOW_BOX (rows), place);
}

/* ---- the first minute, on a rule ---- */

static void
draw_rule (GtkDrawingArea *area, cairo_t *cr, int width, int height, gpointer user)
{
  OutputInk ink;
  app_theme_ink (&ink, 100);
  output_set_tone (cr, &ink, OUTPUT_TONE_OCHRE_SOFT);
  cairo_rectangle (cr, 4, 0, width - 4, height);
  cairo_fill (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_INK_2);
  cairo_set_line_width (cr, 1);
  cairo_rectangle (cr, 4.5, 0.5, width - 5, height - 1);
  cairo_stroke (cr);
  int tick = 0;
  for (double x = 12.5; x < width - 4; x += 10, tick++)
  {
    cairo_move_to (cr, x, 1);
    cairo_line_to (cr, x, tick % 10 == 0 ? 17 : tick % 5 == 0 ? 12 : 7);
  }
  cairo_stroke (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_STEEL_2);
  cairo_rectangle (cr, 0, 0, 8, height);
  cairo_fill_preserve (cr);
  output_set_tone (cr, &ink, OUTPUT_TONE_INK_2);
  cairo_stroke (cr);
}

static GtkWidget *
first_minute (void)
{
  static const char *const steps[][2] = {
    { N_ ("Open the caravan guard"), N_ ("it is finished, spoil it freely") },
    { N_ ("Tap an edge"), N_ ("read its length, type a new one") },
    { N_ ("Pull a node"), N_ ("two tapes part and agree again") },
    { N_ ("Print one sheet"), N_ ("lay a ruler on the square") },
  };
  GtkWidget *overlay = gtk_overlay_new ();
  GtkWidget *rule = gtk_drawing_area_new ();
  gtk_drawing_area_set_content_height (GTK_DRAWING_AREA (rule), 76);
  gtk_drawing_area_set_draw_func (GTK_DRAWING_AREA (rule), draw_rule, NULL, NULL);
  gtk_overlay_set_child (GTK_OVERLAY (overlay), rule);
  GtkWidget *line = row (8);
  gtk_box_set_homogeneous (GTK_BOX (line), TRUE);
  set_margins (line, 16, 12, 0, 24);
  for (guint i = 0; i < G_N_ELEMENTS (steps); i++)
  {
    GtkWidget *step = row (10);
    gtk_widget_set_valign (step, GTK_ALIGN_CENTER);
    g_autofree char *figure = g_strdup_printf ("%u", i + 1);
    GtkWidget *number = label (figure, "pw-start-number", 0.5f);
    gtk_widget_set_valign (number, GTK_ALIGN_CENTER);
    append (step, number);
    GtkWidget *words = column (0);
    GtkWidget *name = label (_ (steps[i][0]), "pw-strong", 0);
    gtk_label_set_ellipsize (GTK_LABEL (name), PANGO_ELLIPSIZE_END);
    append (words, name);
    GtkWidget *text = label (_ (steps[i][1]), "pw-small", 0);
    gtk_label_set_ellipsize (GTK_LABEL (text), PANGO_ELLIPSIZE_END);
    append (words, text);
    append (step, words);
    append (line, step);
  }
  gtk_overlay_add_overlay (GTK_OVERLAY (overlay), line);
  return overlay;
}

/* ---- what was last worked on ---- */

/* A file that went elsewhere keeps its place: the maker then knows what to look for. */
static GtkWidget *
lost_row (GFile *file, GDateTime *when)
{
  g_autofree char *base = g_file_get_basename (file), *place = g_file_get_parse_name (file);
  g_autofree char *day = when != NULL ? g_date_time_format (when, "%x") : NULL;
  const char *why = g_file_query_exists (file, NULL) ? _ ("cannot be read") : _ ("not there any more");
  g_autofree char *line = day != NULL ? g_strdup_printf ("%s; %s", day, why) : g_strdup (why);
  g_autofree char *spoken = g_strdup_printf ("%s, %s", base, why);
  GtkWidget *button = gtk_button_new ();
  gtk_widget_add_css_class (button, "pw-start-card");
  gtk_widget_add_css_class (button, "pw-start-lost");
  GtkWidget *box = column (4);
  set_margins (box, 10, 12, 10, 12);
  GtkWidget *const lines[] = { label (base, "pw-strong", 0), label (line, "pw-small", 0) };
  for (guint i = 0; i < G_N_ELEMENTS (lines); i++)
  {
    gtk_label_set_ellipsize (GTK_LABEL (lines[i]), PANGO_ELLIPSIZE_END);
    append (box, lines[i]);
  }
  gtk_button_set_child (GTK_BUTTON (button), box);
  gtk_widget_set_sensitive (button, FALSE);
  name_for_readers (button, spoken);
  gtk_widget_set_tooltip_text (button, place);
  return button;
}

static GtkWidget *
recent_row (GFile *file, GDateTime *when)
{
  g_autoptr (ModelDocument) doc = model_document_load (file, NULL, NULL);
  if (doc == NULL)
    return lost_row (file, when);
  g_autoptr (EngineReview) review = engine_review_new (doc);
  g_autoptr (GArray) open = engine_review_open_places (review);
  g_autofree char *state = engine_words_count (open->len);
  g_autofree char *day = when != NULL ? g_date_time_format (when, "%x") : NULL;
  g_autofree char *line = day != NULL ? g_strdup_printf ("%s; %s", day, state) : g_strdup (state);
  g_autofree char *base = g_file_get_basename (file);
  const char *title = doc->head->title[0] != '\0' ? doc->head->title : base;

  GtkWidget *button = gtk_button_new ();
  gtk_widget_add_css_class (button, "pw-start-card");
  GtkWidget *box = row (12);
  set_margins (box, 6, 10, 6, 6);
  GtkWidget *thumb = app_thumb_new (model_document_copy (doc), 64, 64);
  gtk_widget_add_css_class (thumb, "pw-start-scrap");
  append (box, thumb);
  GtkWidget *words = column (4);
  gtk_widget_set_valign (words, GTK_ALIGN_CENTER);
  GtkWidget *name = label (title, "pw-strong", 0);
  gtk_label_set_ellipsize (GTK_LABEL (name), PANGO_ELLIPSIZE_END);
  append (words, name);
  GtkWidget *below = row (6);
  GtkWidget *sign = gtk_image_new_from_icon_name (open->len > 0 ? "panelwright-not-agreeing-symbolic"
                                                                : "panelwright-agreeing-symbolic");
  gtk_widget_add_css_class (sign, open->len > 0 ? "pw-madder" : "pw-moss");
  append (below, sign);
  GtkWidget *text = label (line, "pw-small", 0);
  gtk_widget_add_css_class (text, "pw-dim");
  gtk_label_set_ellipsize (GTK_LABEL (text), PANGO_ELLIPSIZE_END);
  append (below, text);
  append (words, below);
  append (box, words);
  gtk_button_set_child (GTK_BUTTON (button), box);
  name_for_readers (button, title);
  g_autofree char *place = g_file_get_parse_name (file);
  gtk_widget_set_tooltip_text (button, place);
  g_object_set_data_full (G_OBJECT (button), "file", g_object_ref (file), g_object_unref);
  g_signal_connect (button, "clicked", G_CALLBACK (on_recent), NULL);
  return button;
}

static gint
newest_first (gconstpointer a, gconstpointer b)
{
  GDateTime *x = gtk_recent_info_get_modified ((GtkRecentInfo *)a);
  GDateTime *y = gtk_recent_info_get_modified ((GtkRecentInfo *)b);
  return g_date_time_compare (y, x);
}

void
app_start_view_refresh (AppStartView *self)
{
  GtkWidget *child;
  while ((child = gtk_widget_get_first_child (self->recent)) != NULL)
    gtk_box_remove (GTK_BOX (self->recent), child);
  GList *items = g_list_sort (gtk_recent_manager_get_items (gtk_recent_manager_get_default ()), newest_first);
  int shown = 0;
  for (GList *i = items; i != NULL && shown < RECENT_SHOWN; i = i->next)
  {
    GtkRecentInfo *info = i->data;
    const char *uri = gtk_recent_info_get_uri (info);
    if (!g_str_has_suffix (uri, ".panelwright"))
      continue;
    g_autoptr (GFile) file = g_file_new_for_uri (uri);
    append (self->recent, recent_row (file, gtk_recent_info_get_modified (info)));
    shown++;
  }
  g_list_free_full (items, (GDestroyNotify)gtk_recent_info_unref);
  if (shown == 0)
    append (self->recent, paragraph (_ ("Nothing yet. What you save will lie here."), 30));
}

/* ---- the whole ---- */

static GtkWidget *
main_column (void)
{
  GtkWidget *box = column (0);
  gtk_widget_set_hexpand (box, TRUE);
  gtk_widget_set_valign (box, GTK_ALIGN_START);
  set_margins (box, 24, 48, 24, 48);
  append (box, label (_ ("What goes on the bench today?"), "pw-greeting", 0));
  GtkWidget *below
    = label (_ ("Every way in ends at the same place: panels at true size that fit one body."), "pw-dim", 0);
  gtk_label_set_wrap (GTK_LABEL (below), TRUE);
  set_margins (below, 2, 0, 16, 0);
  append (box, below);
  GtkWidget *measures = row (12);
  append (measures, label (_ ("From measures"), "pw-heading", 0));
  GtkWidget *promise
    = label (_ ("type a few figures, get a panel that fits; pull it about afterwards"), "pw-dim", 0);
  gtk_label_set_ellipsize (GTK_LABEL (promise), PANGO_ELLIPSIZE_END);
  append (measures, promise);
  set_margins (measures, 0, 0, 8, 0);
  append (box, measures);
  GtkWidget *starters = app_starter_cards_new ();
  set_margins (starters, 0, 0, 16, 0);
  append (box, starters);
  GtkWidget *ways = card_rows (1, 2);
  lay_card (ways, photo_card ());
  lay_card (ways, blank_card ());
  append (box, ways);
  g_autoptr (GtkWidget) cards = g_object_ref_sink (card_rows (2, 4));
  for (guint i = 0; i < G_N_ELEMENTS (examples); i++)
  {
    GtkWidget *card = example_card (&examples[i]);
    if (card != NULL)
      lay_card (cards, card);
  }
  if (gtk_widget_get_first_child (cards) != NULL)
  {
    GtkWidget *heading = label (_ ("Look at a finished one"), "pw-heading", 0);
    set_margins (heading, 16, 0, 8, 0);
    append (box, heading);
    append (box, cards);
  }
  GtkWidget *minute = row (16);
  append (minute, label (_ ("The first minute"), "pw-heading", 0));
  GtkWidget *tour = gtk_button_new_with_mnemonic (_ ("Take the guided _tour"));
  gtk_widget_add_css_class (tour, "pw-plain");
  gtk_actionable_set_action_name (GTK_ACTIONABLE (tour), "win.tour");
  append (minute, tour);
  set_margins (minute, 16, 0, 8, 0);
  append (box, minute);
  append (box, first_minute ());
  return box;
}

static GtkWidget *
side_column (AppStartView *self)
{
  GtkWidget *box = column (0);
  gtk_widget_add_css_class (box, "pw-start-side");
  GtkWidget *inner = column (8);
  set_margins (inner, 24, 20, 24, 20);
  append (inner, label (_ ("Go on with"), "pw-heading", 0));
  self->recent = column (8);
  append (inner, self->recent);
  GtkWidget *caution = column (4);
  set_margins (caution, 24, 0, 0, 0);
  append (caution, label (_ ("For costumes, not for protection."), "pw-strong", 0));
  append (caution, paragraph (_ ("Event rules and local codes decide what may be worn or struck. Never wrap "
                                 "film or tape round the neck or the face, never alone, scissors at hand."),
                              36));
  append (inner, caution);
  append (box, inner);
  return box;
}

/* The least width the left column can do with; below it and the side together, the side folds under. */
static int
main_width (AppStartView *self)
{
  int least = 0;
  gtk_widget_measure (self->main, GTK_ORIENTATION_HORIZONTAL, -1, &least, NULL, NULL, NULL);
  return least;
}

static void
app_start_view_measure (GtkWidget *widget,
                        GtkOrientation orientation,
                        int for_size,
                        int *minimum,
                        int *natural,
                        int *minimum_baseline,
                        int *natural_baseline)
{
  AppStartView *self = APP_START_VIEW (widget);
  gtk_widget_measure (self->scroll, orientation, for_size, minimum, natural, minimum_baseline,
                      natural_baseline);
  if (orientation == GTK_ORIENTATION_HORIZONTAL)
  {
    *minimum = main_width (self);
    *natural = MAX (*natural, *minimum + SIDE_PX);
  }
}

static void
app_start_view_size_allocate (GtkWidget *widget, int width, int height, int baseline)
{
  AppStartView *self = APP_START_VIEW (widget);
  bool fold = width < main_width (self) + SIDE_PX;
  if (fold != self->folded)
  {
    self->folded = fold;
    gtk_orientable_set_orientation (GTK_ORIENTABLE (self->columns),
                                    fold ? GTK_ORIENTATION_VERTICAL : GTK_ORIENTATION_HORIZONTAL);
    gtk_widget_set_size_request (self->side, fold ? -1 : SIDE_PX, -1);
  }
  gtk_widget_allocate (self->scroll, width, height, baseline, NULL);
}

static void
app_start_view_dispose (GObject *object)
{
  AppStartView *self = APP_START_VIEW (object);
  g_clear_pointer (&self->scroll, gtk_widget_unparent);
  G_OBJECT_CLASS (app_start_view_parent_class)->dispose (object);
}

static void
app_start_view_class_init (AppStartViewClass *klass)
{
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);
  G_OBJECT_CLASS (klass)->dispose = app_start_view_dispose;
  widget_class->measure = app_start_view_measure;
  widget_class->size_allocate = app_start_view_size_allocate;
  GType type = G_TYPE_FROM_CLASS (klass);
  signals[SIGNAL_BLANK]
    = g_signal_new ("blank", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 0);
  signals[SIGNAL_OPEN]
    = g_signal_new ("open", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_FILE);
  signals[SIGNAL_EXAMPLE]
    = g_signal_new ("example", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_FILE);
  gtk_widget_class_set_css_name (widget_class, "pwstart");
}

static void
app_start_view_init (AppStartView *self)
{
  self->columns = row (0);
  self->main = main_column ();
  append (self->columns, self->main);
  self->side = side_column (self);
  gtk_widget_set_size_request (self->side, SIDE_PX, -1);
  append (self->columns, self->side);
  self->scroll = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (self->scroll), GTK_POLICY_NEVER, GTK_POLICY_AUTOMATIC);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scroll), self->columns);
  gtk_widget_set_parent (self->scroll, GTK_WIDGET (self));
  app_start_view_refresh (self);
}

GtkWidget *
app_start_view_new (void)
{
  return g_object_new (APP_TYPE_START_VIEW, NULL);
}

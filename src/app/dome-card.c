/* Tapes pinned to the panel and read over the wrap are believed first; without any, two fields say the dome.
 * It is taken for round and rounded, a cap: the least that any dome of that height asks of the material,
 * unless it is said to be pointed.  What is proposed is begun with one button, previewed and not yet done. */
#include "app/dome-card.h"

#include "app/label.h"
#include "app/relief.h"
#include "app/unit-entry.h"
#include "engine/assembled.h"
#include "engine/taped.h"

#include <glib/gi18n.h>
#include <math.h>

#define MOST_MM 2000.0
#define LEAST_MM 0.1
#define FIELD_CHARS 8
#define MOST_PLACES 8

struct _AppDomeCard
{
  GtkWidget parent;
  double base_mm, height_mm; /* NAN: not said yet */
  ModelMaterial *material;   /* a copy, NULL: none */
  ModelDocument *words_doc;  /* empty, in the maker's unit: lengths are put into words by it */
  ModelPanel *panel;         /* a copy */
  EngineReview *review;      /* the session's; NULL once that is gone */
  bool twin;                 /* the side in hand is not the drawn one */
  EngineDomeFit fit;         /* by the tapes; or known false */
  EngineDome dome;
  GeomPoint apex; /* where a proposal begins */
  GtkWidget *expander, *lead, *fields, *base, *height, *pointed, *answer, *takes, *says, *caution, *deeds,
    *begin[4], *assembled;
};

G_DEFINE_FINAL_TYPE (AppDomeCard, app_dome_card, GTK_TYPE_WIDGET)

static char *
takes_words (const ModelMaterial *material)
{
  double plain = engine_strain_limit (material, false) * 100.0,
         formed = engine_strain_limit (material, true) * 100.0;
  if (material != NULL && material->stretch_percent > 0.0)
    return engine_material_forms (material)
             ? g_strdup_printf (_ ("As its stretch says, the material takes %.1f %%; formed, %.1f %%."),
                                plain, formed)
             : g_strdup_printf (_ ("As its stretch says, the material takes %.1f %%."), plain);
  switch (material != NULL ? material->kind : MODEL_MATERIAL_OTHER)
  {
  case MODEL_MATERIAL_LEATHER:
    return g_strdup_printf (_ ("By common practice this leather takes %.1f %% dry, %.1f %% formed wet."),
                            plain, formed);
  case MODEL_MATERIAL_FOAM:
    return g_strdup_printf (_ ("By common practice this foam takes %.1f %% as it is, %.1f %% warmed."), plain,
                            formed);
  case MODEL_MATERIAL_CLOTH:
    return g_strdup_printf (_ ("By common practice this cloth takes %.1f %%."), plain);
  case MODEL_MATERIAL_OTHER:
    break;
  }
  return g_strdup_printf (_ ("Taken to bear %.1f %%: say the material to know better."), plain);
}

/* Without tapes the top is taken for the roomiest place of the panel. */
static GeomPoint
middle_of (const ModelPanel *panel, bool twin)
{
  GeomPath path;
  geom_path_init (&path);
  app_panel_side_path (panel, twin, &path);
  GeomPoint at = output_label_place (&path, NULL);
  geom_path_clear (&path);
  return at;
}

static bool
find_dome (AppDomeCard *self, bool pointed)
{
  self->fit = engine_panel_dome (self->panel, self->twin, pointed);
  if (self->fit.known)
  {
    self->dome = self->fit.dome;
    self->apex = self->fit.apex;
    return true;
  }
  if (isnan (self->base_mm) || isnan (self->height_mm))
    return false;
  self->dome = pointed ? engine_dome_cone (self->base_mm / 2.0, self->height_mm)
                       : engine_dome_cap (self->base_mm / 2.0, self->height_mm);
  self->apex = middle_of (self->panel, self->twin);
  return true;
}

static char *
says_words (AppDomeCard *self)
{
  if (!self->fit.known)
    return engine_dome_words (self->words_doc, &self->dome, self->material);
  g_autoptr (GPtrArray) words = engine_dome_fit_words (self->words_doc, &self->fit, self->material);
  g_ptr_array_add (words, NULL);
  return g_strjoinv ("\n", (char **)words->pdata);
}

/* One dart takes out no more than it can; the rest is for another one. */
static double
begin_deg (const AppDomeCard *self, guint deed)
{
  double deg = round (self->dome.wedge_rad * 1800.0 / G_PI) / 10.0;
  return deed == APP_RELIEF_DART ? MIN (deg, ENGINE_WIDEST_DART_DEG) : deg;
}

/* Which proposals make sense, the one the engine names first. */
static void
show_deeds (AppDomeCard *self, bool said)
{
  EngineRelief relief = said ? engine_dome_relief (&self->dome, self->material) : ENGINE_RELIEF_NONE;
  bool holds = said && !(self->fit.known && self->fit.contradictory) && relief != ENGINE_RELIEF_NONE;
  bool saddle = relief == ENGINE_RELIEF_SPREAD,
       forms = holds && !saddle && engine_material_forms (self->material)
               && self->dome.least_strain <= engine_strain_limit (self->material, true);
  gtk_widget_set_visible (self->deeds, holds);
  gtk_widget_set_visible (self->begin[APP_RELIEF_DART], holds && !saddle);
  if (holds)
  {
    g_autofree char *dart = g_strdup_printf (_ ("Begin a dart of %.1f°"), begin_deg (self, APP_RELIEF_DART));
    gtk_button_set_label (GTK_BUTTON (self->begin[APP_RELIEF_DART]), dart);
  }
  gtk_widget_set_visible (self->begin[APP_RELIEF_SEAM], holds && !saddle);
  gtk_widget_set_visible (self->begin[APP_RELIEF_SPREAD], holds && saddle);
  gtk_widget_set_visible (self->begin[APP_RELIEF_FORM], forms);
  gtk_widget_set_visible (self->caution, forms);
  if (forms)
    app_label_set (self->caution, self->material->kind == MODEL_MATERIAL_FOAM
                                    ? _ ("Heated foam needs ventilation; keep the heat off bare hands.")
                                    : _ ("Wet-form over the form, never over a person: it tightens as it "
                                         "dries."));
}

static void
answer (AppDomeCard *self)
{
  bool open = self->words_doc != NULL && self->panel != NULL
              && gtk_expander_get_expanded (GTK_EXPANDER (self->expander));
  bool said = open && find_dome (self, gtk_check_button_get_active (GTK_CHECK_BUTTON (self->pointed)));
  bool taped = said && self->fit.known;
  app_label_set (self->lead, taped ? _ ("The dome by what was taped over the wrap:")
                                   : _ ("Tape over the fullest part and pin what it reads, or say the dome "
                                        "on the form:"));
  gtk_widget_set_visible (self->fields, !taped);
  gtk_widget_set_visible (self->answer, said);
  gtk_widget_set_visible (self->takes, said);
  gtk_widget_set_visible (self->says, said);
  show_deeds (self, said);
  if (!said)
    return;
  g_autofree char *figures
    = self->dome.wedge_rad < 0.0
        ? g_strdup_printf (_ ("A saddle: %.1f° are missing."), -self->dome.wedge_rad * 180.0 / G_PI)
        : g_strdup_printf (_ ("Wedge to take out: %.1f°. Left in, the material gives %.1f %%."),
                           self->dome.wedge_rad * 180.0 / G_PI, self->dome.least_strain * 100.0);
  g_autofree char *takes = takes_words (self->material);
  g_autofree char *says = says_words (self);
  app_label_set (self->answer, figures);
  app_label_set (self->takes, takes);
  app_label_set (self->says, says);
}

/* What meets at this panel: in words, that the marks on the paper need not be seen. */
static void
show_assembled (AppDomeCard *self, EngineReview *review)
{
  if (!gtk_expander_get_expanded (GTK_EXPANDER (self->expander)))
    return;
  const ModelDocument *doc = engine_review_document (review);
  g_autoptr (EngineFlatMap) map = engine_flat_map_new (review);
  g_autoptr (GString) text = g_string_new (NULL);
  guint shown = 0, more = 0;
  /* Left and right alike say the same: once is enough. */
  g_autoptr (GHashTable) said = g_hash_table_new_full (g_str_hash, g_str_equal, g_free, NULL);
  for (guint i = 0; i < map->places->len; i++)
  {
    const EngineFlatPlace *place = &g_array_index (map->places, EngineFlatPlace, i);
    if (!engine_flat_place_shows (place) || !engine_flat_place_touches (map, place, self->panel->id))
      continue;
    char *words = engine_flat_place_words (doc, map, place);
    if (!g_hash_table_add (said, words))
      continue;
    if (shown == MOST_PLACES)
      more++;
    else
      g_string_append_printf (text, "%s%s", shown++ > 0 ? "\n" : "", words);
  }
  if (more > 0)
  {
    g_autofree char *words = g_strdup_printf (ngettext ("%u more place.", "%u more places.", more), more);
    g_string_append_printf (text, "\n%s", words);
  }
  app_label_set (self->assembled,
                 shown > 0 ? text->str : _ ("Put together with the others, this panel lies flat."));
}

static void
on_begin (GtkButton *button, AppDomeCard *self)
{
  guint deed = GPOINTER_TO_UINT (g_object_get_data (G_OBJECT (button), "deed"));
  gtk_widget_activate_action (GTK_WIDGET (self), "win.relief", "(uddd)", deed, self->apex.x, self->apex.y,
                              begin_deg (self, deed));
}

static void
on_base (AppDomeCard *self, double mm)
{
  self->base_mm = mm;
  answer (self);
}

static void
on_height (AppDomeCard *self, double mm)
{
  self->height_mm = mm;
  answer (self);
}

static void
on_expanded (AppDomeCard *self)
{
  answer (self);
  if (self->panel != NULL && self->review != NULL)
    show_assembled (self, self->review);
}

void
app_dome_card_show (AppDomeCard *self, EngineReview *review, const ModelPanel *panel, ModelSide side)
{
  const ModelDocument *doc = engine_review_document (review);
  const ModelMaterial *material = model_document_material (doc, panel->material_id);
  self->review = review;
  g_clear_pointer (&self->material, model_material_free);
  g_clear_pointer (&self->panel, model_panel_free);
  self->panel = model_panel_copy (panel);
  self->twin
    = engine_panel_is_corrected (panel) && side == model_side_other (engine_panel_drawn_side (panel));
  if (material != NULL)
    self->material = model_material_copy (material);
  if (self->words_doc == NULL)
    self->words_doc = model_document_new ();
  self->words_doc->head->unit = doc->head->unit;
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->base), doc->head->unit);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->height), doc->head->unit);
  on_expanded (self);
}

void
app_dome_card_forget (AppDomeCard *self)
{
  self->review = NULL;
}

GtkWidget *
app_dome_card_deed (AppDomeCard *self, guint deed)
{
  return self->begin[deed];
}

const char *
app_dome_card_assembled (AppDomeCard *self)
{
  return gtk_label_get_text (GTK_LABEL (self->assembled));
}

GtkWidget *
app_dome_card_base (AppDomeCard *self)
{
  return self->base;
}

GtkWidget *
app_dome_card_height (AppDomeCard *self)
{
  return self->height;
}

const char *
app_dome_card_says (AppDomeCard *self)
{
  return gtk_widget_get_visible (self->says) ? gtk_label_get_text (GTK_LABEL (self->says)) : NULL;
}

static GtkWidget *
length_field (AppDomeCard *self, const char *name, GCallback committed)
{
  GtkWidget *entry = app_unit_entry_new ();
  app_unit_entry_set_shows_unit (APP_UNIT_ENTRY (entry), true);
  app_unit_entry_set_name (APP_UNIT_ENTRY (entry), name);
  app_unit_entry_set_range (APP_UNIT_ENTRY (entry), LEAST_MM, MOST_MM);
  app_unit_entry_set_optional (APP_UNIT_ENTRY (entry), "–");
  app_unit_entry_set_width (APP_UNIT_ENTRY (entry), FIELD_CHARS);
  app_unit_entry_set_mm (APP_UNIT_ENTRY (entry), NAN);
  g_signal_connect_object (entry, "committed", committed, self, G_CONNECT_SWAPPED);
  return entry;
}

static void
app_dome_card_dispose (GObject *object)
{
  AppDomeCard *self = APP_DOME_CARD (object);
  g_clear_pointer (&self->expander, gtk_widget_unparent);
  g_clear_pointer (&self->material, model_material_free);
  g_clear_pointer (&self->words_doc, model_document_free);
  g_clear_pointer (&self->panel, model_panel_free);
  G_OBJECT_CLASS (app_dome_card_parent_class)->dispose (object);
}

static void
app_dome_card_class_init (AppDomeCardClass *klass)
{
  G_OBJECT_CLASS (klass)->dispose = app_dome_card_dispose;
  gtk_widget_class_set_layout_manager_type (GTK_WIDGET_CLASS (klass), GTK_TYPE_BIN_LAYOUT);
}

static void
app_dome_card_init (AppDomeCard *self)
{
  self->base_mm = self->height_mm = (double)NAN;
  self->expander = gtk_expander_new (_ ("Will it lie flat?"));
  gtk_widget_set_tooltip_text (self->expander, _ ("What the material has to do over the fullest part."));
  gtk_accessible_update_property (GTK_ACCESSIBLE (self->expander), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  _ ("Will it lie flat?"), -1);
  gtk_widget_set_parent (self->expander, GTK_WIDGET (self));
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  gtk_widget_set_margin_top (box, 8);
  self->base = length_field (self, _ ("Width of the dome’s base"), G_CALLBACK (on_base));
  self->height = length_field (self, _ ("Height of the dome"), G_CALLBACK (on_height));
  self->pointed = gtk_check_button_new_with_label (_ ("Pointed"));
  gtk_widget_set_tooltip_text (self->pointed, _ ("Straight from the base to the tip, not rounded."));
  g_signal_connect_swapped (self->pointed, "toggled", G_CALLBACK (answer), self);
  self->answer = app_prose_new (NULL, "pw-strong pw-number");
  self->takes = app_prose_new (NULL, "pw-dim pw-number");
  self->says = app_prose_new (NULL, "pw-number");
  self->lead = app_prose_new (NULL, "pw-dim");
  self->fields = gtk_box_new (GTK_ORIENTATION_VERTICAL, 8);
  gtk_box_append (GTK_BOX (self->fields), app_field_new (_ ("Base, across"), self->base));
  gtk_box_append (GTK_BOX (self->fields), app_field_new (_ ("Height"), self->height));
  static const char *const deeds[]
    = { N_ ("Begin the dart"), N_ ("Begin cutting apart"), N_ ("Begin the slash"), N_ ("Note: form it") };
  static const char *const tips[]
    = { N_ ("The dart with this angle to the top is previewed; nothing is changed yet."),
        N_ ("The cut through the top is previewed; nothing is changed yet."),
        N_ ("The slash with this angle is previewed; nothing is changed yet."),
        N_ ("Writes it into the panel’s note.") };
  self->deeds = gtk_box_new (GTK_ORIENTATION_VERTICAL, 4);
  for (guint i = 0; i < G_N_ELEMENTS (deeds); i++)
  {
    self->begin[i] = app_button_new (_ (deeds[i]), NULL, NULL);
    gtk_widget_set_tooltip_text (self->begin[i], _ (tips[i]));
    g_object_set_data (G_OBJECT (self->begin[i]), "deed", GUINT_TO_POINTER (i));
    g_signal_connect (self->begin[i], "clicked", G_CALLBACK (on_begin), self);
    gtk_box_append (GTK_BOX (self->deeds), self->begin[i]);
  }
  self->caution = app_prose_new (NULL, "pw-dim");
  self->assembled = app_prose_new (NULL, "pw-number");
  GtkWidget *const rows[] = { self->lead,     self->fields,  self->pointed,
                              self->answer,   self->takes,   self->says,
                              self->deeds,    self->caution, app_prose_new (_ ("Put together"), "pw-strong"),
                              self->assembled };
  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    gtk_box_append (GTK_BOX (box), rows[i]);
  gtk_expander_set_child (GTK_EXPANDER (self->expander), box);
  g_signal_connect_swapped (self->expander, "notify::expanded", G_CALLBACK (on_expanded), self);
  answer (self);
}

GtkWidget *
app_dome_card_new (void)
{
  return g_object_new (APP_TYPE_DOME_CARD, NULL);
}

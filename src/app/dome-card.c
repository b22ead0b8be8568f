/* Two fields and the answer under them.  The dome is taken for round and rounded, a cap: the least that any
 * dome of that height asks of the material, unless it is said to be pointed. */
#include "app/dome-card.h"

#include "app/label.h"
#include "app/unit-entry.h"
#include "engine/flat.h"

#include <glib/gi18n.h>
#include <math.h>

#define MOST_MM 2000.0
#define LEAST_MM 0.1
#define FIELD_CHARS 8

struct _AppDomeCard
{
  GtkWidget parent;
  double base_mm, height_mm; /* NAN: not said yet */
  ModelMaterial *material;   /* a copy, NULL: none */
  ModelDocument *words_doc;  /* empty, in the maker's unit: lengths are put into words by it */
  GtkWidget *expander, *base, *height, *pointed, *answer, *takes, *says;
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

static void
answer (AppDomeCard *self)
{
  bool said = !isnan (self->base_mm) && !isnan (self->height_mm) && self->words_doc != NULL;
  gtk_widget_set_visible (self->answer, said);
  gtk_widget_set_visible (self->takes, said);
  gtk_widget_set_visible (self->says, said);
  if (!said)
    return;
  bool pointed = gtk_check_button_get_active (GTK_CHECK_BUTTON (self->pointed));
  EngineDome dome = pointed ? engine_dome_cone (self->base_mm / 2.0, self->height_mm)
                            : engine_dome_cap (self->base_mm / 2.0, self->height_mm);
  g_autofree char *figures
    = g_strdup_printf (_ ("Wedge to take out: %.1f°. Left in, the material gives %.1f %%."),
                       dome.wedge_rad * 180.0 / G_PI, dome.least_strain * 100.0);
  g_autofree char *takes = takes_words (self->material);
  g_autofree char *says = engine_dome_words (self->words_doc, &dome, self->material);
  app_label_set (self->answer, figures);
  app_label_set (self->takes, takes);
  app_label_set (self->says, says);
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

void
app_dome_card_show (AppDomeCard *self, const ModelDocument *doc, const ModelMaterial *material)
{
  g_clear_pointer (&self->material, model_material_free);
  if (material != NULL)
    self->material = model_material_copy (material);
  if (self->words_doc == NULL)
    self->words_doc = model_document_new ();
  self->words_doc->head->unit = doc->head->unit;
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->base), doc->head->unit);
  app_unit_entry_set_unit (APP_UNIT_ENTRY (self->height), doc->head->unit);
  answer (self);
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
  gtk_box_append (GTK_BOX (box),
                  app_prose_new (_ ("The dome over the fullest part, on the form:"), "pw-dim"));
  gtk_box_append (GTK_BOX (box), app_field_new (_ ("Base, across"), self->base));
  gtk_box_append (GTK_BOX (box), app_field_new (_ ("Height"), self->height));
  gtk_box_append (GTK_BOX (box), self->pointed);
  gtk_box_append (GTK_BOX (box), self->answer);
  gtk_box_append (GTK_BOX (box), self->takes);
  gtk_box_append (GTK_BOX (box), self->says);
  gtk_expander_set_child (GTK_EXPANDER (self->expander), box);
  answer (self);
}

GtkWidget *
app_dome_card_new (void)
{
  return g_object_new (APP_TYPE_DOME_CARD, NULL);
}

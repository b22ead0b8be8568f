/* Several panels at once: laid out, brought into line, chosen by material.  The engine says where they go;
 * here it becomes one step of undo. */
#include "app/canvas-private.h"

#include "engine/arrange.h"
#include "engine/words.h"

#include <glib/gi18n.h>

typedef enum Deed
{
  DEED_ARRANGE,
  DEED_ALIGN,
  DEED_DISTRIBUTE,
  DEED_MATERIAL
} Deed;

typedef struct Command
{
  const char *name;
  Deed deed;
  int how;           /* EngineAlign; DISTRIBUTE: across; ARRANGE: by material */
  const char *label; /* untranslated, with its letter */
  const char *step;  /* of undo, untranslated */
  guint key;
  GdkModifierType state;
  const char *accel; /* the same for menus */
  int section;       /* of the menu */
  guint least;       /* so many panels must be chosen */
} Command;

#define ALT_SHIFT (GDK_ALT_MASK | GDK_SHIFT_MASK)
#define CTRL_SHIFT (GDK_CONTROL_MASK | GDK_SHIFT_MASK)

static const Command commands[] = {
  { "arrange", DEED_ARRANGE, 0, N_ ("_Arrange panels"), N_ ("Arrange panels"), GDK_KEY_A, CTRL_SHIFT,
    "<Control><Shift>a", 0, 0 },
  { "arrange-by-material", DEED_ARRANGE, 1, N_ ("Arrange by _material"), N_ ("Arrange by material"),
    GDK_KEY_G, CTRL_SHIFT, "<Control><Shift>g", 0, 0 },
  { "align-left", DEED_ALIGN, ENGINE_ALIGN_LEFT, N_ ("_Left edges in line"), N_ ("Bring into line"),
    GDK_KEY_Left, ALT_SHIFT, "<Alt><Shift>Left", 1, 2 },
  { "align-upright-middle", DEED_ALIGN, ENGINE_ALIGN_UPRIGHT_MIDDLE, N_ ("Middles on one _upright line"),
    N_ ("Bring into line"), GDK_KEY_I, ALT_SHIFT, "<Alt><Shift>i", 1, 2 },
  { "align-right", DEED_ALIGN, ENGINE_ALIGN_RIGHT, N_ ("_Right edges in line"), N_ ("Bring into line"),
    GDK_KEY_Right, ALT_SHIFT, "<Alt><Shift>Right", 1, 2 },
  { "align-top", DEED_ALIGN, ENGINE_ALIGN_TOP, N_ ("_Tops in line"), N_ ("Bring into line"), GDK_KEY_Up,
    ALT_SHIFT, "<Alt><Shift>Up", 2, 2 },
  { "align-level-middle", DEED_ALIGN, ENGINE_ALIGN_LEVEL_MIDDLE, N_ ("Middles on one l_evel line"),
    N_ ("Bring into line"), GDK_KEY_E, ALT_SHIFT, "<Alt><Shift>e", 2, 2 },
  { "align-bottom", DEED_ALIGN, ENGINE_ALIGN_BOTTOM, N_ ("_Feet in line"), N_ ("Bring into line"),
    GDK_KEY_Down, ALT_SHIFT, "<Alt><Shift>Down", 2, 2 },
  { "distribute-across", DEED_DISTRIBUTE, 1, N_ ("Equal spaces a_cross"), N_ ("Equal spaces"), GDK_KEY_S,
    ALT_SHIFT, "<Alt><Shift>s", 3, 3 },
  { "distribute-up", DEED_DISTRIBUTE, 0, N_ ("Equal spaces up and _down"), N_ ("Equal spaces"), GDK_KEY_D,
    ALT_SHIFT, "<Alt><Shift>d", 3, 3 },
  { "select-material", DEED_MATERIAL, 0, N_ ("Choose all of this mat_erial"), NULL, GDK_KEY_M, CTRL_SHIFT,
    "<Control><Shift>m", 4, 1 },
};

/* ---- doing ---- */

/* Takes CHANGED. */
static guint
put_changed (AppCanvas *self, GPtrArray *changed, const char *step)
{
  guint count = changed->len;
  model_history_begin (app_canvas_history (self), step);
  for (guint i = 0; i < count; i++)
    model_history_put_panel (app_canvas_history (self), model_panel_copy (g_ptr_array_index (changed, i)));
  model_history_end (app_canvas_history (self));
  g_ptr_array_unref (changed);
  return count;
}

static guint
count_locked (AppCanvas *self, const GArray *ids)
{
  guint locked = 0;
  for (guint i = 0; i < ids->len; i++)
  {
    const ModelPanel *panel
      = model_document_panel (app_canvas_document (self), g_array_index (ids, guint, i));
    locked += panel != NULL && panel->locked;
  }
  return locked;
}

static void
say_moved (AppCanvas *self, guint moved, guint locked)
{
  g_autofree char *words = NULL;
  if (locked > 0)
    words = g_strdup_printf (ngettext ("%u panel is locked and stays where it is.",
                                       "%u panels are locked and stay where they are.", locked),
                             locked);
  else if (moved == 0)
    words = g_strdup (_ ("They lie so already."));
  else
    words = g_strdup_printf (ngettext ("%u panel moved", "%u panels moved", moved), moved);
  app_canvas_tell (self, words);
}

static void
arrange (AppCanvas *self, bool by_material, const char *step)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelDocument *doc = app_canvas_document (self);
  /* One panel alone has nothing to be arranged with: then all are meant. */
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  if (s->panels->len > 1)
    g_array_append_vals (ids, s->panels->data, s->panels->len);
  else
    for (guint i = 0; i < doc->panels->len; i++)
      g_array_append_val (ids, ((const ModelPanel *)g_ptr_array_index (doc->panels, i))->id);
  guint locked = count_locked (self, ids);
  guint moved = put_changed (self,
                             engine_arrange (app_session_review (self->session), (const guint *)ids->data,
                                             ids->len, ENGINE_ARRANGE_GAP_MM, by_material),
                             step);
  if (moved > 0)
    app_canvas_fit (self);
  say_moved (self, moved, locked);
}

static void
select_material (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelDocument *doc = app_canvas_document (self);
  const ModelPanel *like = model_document_panel (doc, g_array_index (s->panels, guint, 0));
  g_autoptr (GArray) ids = g_array_new (FALSE, FALSE, sizeof (guint));
  for (guint i = 0; like != NULL && i < doc->panels->len; i++)
  {
    const ModelPanel *panel = g_ptr_array_index (doc->panels, i);
    if (!panel->hidden && panel->material_id == like->material_id)
      g_array_append_val (ids, panel->id);
  }
  if (ids->len == 0)
    return;
  g_autofree char *material = engine_words_material (doc, like);
  g_autofree char *words
    = material[0] != '\0'
        ? g_strdup_printf (ngettext ("%u panel of %s", "%u panels of %s", ids->len), ids->len, material)
        : g_strdup_printf (ngettext ("%u panel without a material", "%u panels without a material", ids->len),
                           ids->len);
  app_session_select_panels (self->session, (const guint *)ids->data, ids->len);
  app_canvas_tell (self, words);
}

static void
run (AppCanvas *self, const Command *command)
{
  const AppSelection *s = app_canvas_selection (self);
  if (s == NULL || model_history_is_open (app_canvas_history (self)) || s->panels->len < command->least)
    return;
  const ModelDocument *doc = app_canvas_document (self);
  g_autoptr (GArray) ids = g_array_copy (s->panels);
  const guint *id = (const guint *)ids->data;
  switch (command->deed)
  {
  case DEED_ARRANGE:
    arrange (self, command->how != 0, _ (command->step));
    break;
  case DEED_ALIGN:
    say_moved (
      self,
      put_changed (self, engine_align (doc, id, ids->len, (EngineAlign)command->how), _ (command->step)),
      count_locked (self, ids));
    break;
  case DEED_DISTRIBUTE:
    say_moved (
      self, put_changed (self, engine_distribute (doc, id, ids->len, command->how != 0), _ (command->step)),
      count_locked (self, ids));
    break;
  case DEED_MATERIAL:
    select_material (self);
    break;
  }
}

/* ---- actions, keys, menus ---- */

static void
on_action (GtkWidget *widget, const char *name, GVariant *parameter)
{
  AppCanvas *self = APP_CANVAS (widget);
  for (guint i = 0; i < G_N_ELEMENTS (commands) && self->session != NULL; i++)
    if (g_str_equal (name + strlen ("canvas."), commands[i].name))
      run (self, &commands[i]);
}

void
app_canvas_arrange_class (GtkWidgetClass *klass)
{
  for (guint i = 0; i < G_N_ELEMENTS (commands); i++)
  {
    g_autofree char *name = g_strconcat ("canvas.", commands[i].name, NULL);
    gtk_widget_class_install_action (klass, name, NULL, on_action);
  }
}

void
app_canvas_arrange_refresh (AppCanvas *self)
{
  const AppSelection *s = app_canvas_selection (self);
  const ModelDocument *doc = app_canvas_document (self);
  guint chosen = s != NULL && s->edges->len == 0 && s->nodes->len == 0 ? s->panels->len : 0;
  for (guint i = 0; i < G_N_ELEMENTS (commands); i++)
  {
    g_autofree char *name = g_strconcat ("canvas.", commands[i].name, NULL);
    gtk_widget_action_set_enabled (GTK_WIDGET (self), name,
                                   chosen >= commands[i].least && doc != NULL && doc->panels->len > 0);
  }
}

bool
app_canvas_arrange_key (AppCanvas *self, guint keyval, GdkModifierType state)
{
  state &= gtk_accelerator_get_default_mod_mask ();
  for (guint i = 0; i < G_N_ELEMENTS (commands); i++)
    if (gdk_keyval_to_upper (keyval) == commands[i].key && state == commands[i].state
        && self->session != NULL)
    {
      run (self, &commands[i]);
      return true;
    }
  return false;
}

static void
append (GMenu *menu, const Command *command)
{
  g_autofree char *action = g_strconcat ("canvas.", command->name, NULL);
  g_autoptr (GMenuItem) item = g_menu_item_new (_ (command->label), action);
  g_menu_item_set_attribute (item, "accel", "s", command->accel);
  g_menu_append_item (menu, item);
}

GMenuModel *
app_canvas_arrange_menu (void)
{
  GMenu *menu = g_menu_new ();
  for (int section = 0; section <= 4; section++)
  {
    g_autoptr (GMenu) rows = g_menu_new ();
    for (guint i = 0; i < G_N_ELEMENTS (commands); i++)
      if (commands[i].section == section)
        append (rows, &commands[i]);
    g_menu_append_section (menu, NULL, G_MENU_MODEL (rows));
  }
  return G_MENU_MODEL (menu);
}

/* The interface of a tool: one file each (app/tool-*.c), one row in the table of app/tool.c.
 *
 * Mouse, pen and touch come through one funnel as AppInput.
 */
#ifndef APP_TOOL_H
#define APP_TOOL_H

#include "app/canvas.h"

typedef struct AppInput
{
  double x, y;     /* widget px */
  GeomPoint at;    /* paper mm */
  double pressure; /* 1 for a mouse */
  GdkModifierType state;
  guint button;
  int presses; /* 1, 2 ... in quick succession */
  bool pen, eraser;
} AppInput;

typedef struct AppTool AppTool;

typedef struct AppToolClass
{
  AppToolKind kind;
  const char *key;                        /* "choose": for settings and tests */
  const char *name, *hint, *icon, *accel; /* name and hint untranslated */
  AppTool *(*create) (AppCanvas *canvas);
  void (*destroy) (AppTool *tool);
  void (*press) (AppTool *tool, const AppInput *in);
  void (*motion) (AppTool *tool, const AppInput *in); /* button held */
  void (*release) (AppTool *tool, const AppInput *in);
  void (*hover) (AppTool *tool, const AppInput *in); /* no button; IN NULL: pointer gone */
  void (*cancel) (AppTool *tool);                    /* Escape, lost grab: back to before the press */
  bool (*key_pressed) (AppTool *tool, guint keyval, GdkModifierType state);
  /* How many things are set that are not finished yet: corners, runs.  NULL: nothing is ever begun. */
  guint (*begun) (const AppTool *tool);
  /* What follows the pointer: CR in widget px. */
  void (*draw) (AppTool *tool, cairo_t *cr);
} AppToolClass;

struct AppTool
{
  const AppToolClass *klass;
  AppCanvas *canvas;
};

const AppToolClass *app_tool_class (AppToolKind kind);

#endif

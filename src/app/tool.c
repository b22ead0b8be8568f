/* The table of tools: what the rail shows, what the window's actions name, who does the work. */
#include "app/canvas-private.h"

#include <glib/gi18n.h>

extern const AppToolClass app_tool_choose, app_tool_outline, app_tool_stroke, app_tool_shape, app_tool_cut,
  app_tool_dart, app_tool_mark, app_tool_tape, app_tool_join, app_tool_girth;

const AppToolClass *
app_tool_class (AppToolKind kind)
{
  switch (kind)
  {
  case APP_TOOL_CHOOSE:
    return &app_tool_choose;
  case APP_TOOL_OUTLINE:
    return &app_tool_outline;
  case APP_TOOL_STROKE:
    return &app_tool_stroke;
  case APP_TOOL_SHAPE:
    return &app_tool_shape;
  case APP_TOOL_CUT:
    return &app_tool_cut;
  case APP_TOOL_DART:
    return &app_tool_dart;
  case APP_TOOL_MARK:
    return &app_tool_mark;
  case APP_TOOL_TAPE:
    return &app_tool_tape;
  case APP_TOOL_JOIN:
    return &app_tool_join;
  case APP_TOOL_GIRTH:
    return &app_tool_girth;
  case APP_TOOL_COUNT:
    break;
  }
  return NULL;
}

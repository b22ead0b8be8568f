/* SVG from elsewhere.  Expected figures: closed forms of the shapes, the examples and notes of SVG 1.1 (W3C
 * Recommendation, second edition), and the lengths of the inch (25.4 mm, 96 px, 72 pt, 6 pc). */
#include "engine/svg-in.h"
#include "engine/svg-path.h"
#include "fixture.h"
#include "model/file.h"

#include <string.h>

#define PX (25.4 / 96.0)

static ModelDocument *
read_text (const char *text, EngineSvgReport *report)
{
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = engine_svg_read (text, strlen (text), report, &error);
  g_assert_no_error (error);
  g_assert_nonnull (doc);
  return doc;
}

/* BODY in a drawing whose unit is a millimetre, 1000 x 1000 of them. */
static ModelDocument *
read_mm (const char *body, EngineSvgReport *report)
{
  g_autofree char *text = g_strdup_printf ("<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"1000mm\" "
                                           "height=\"1000mm\" viewBox=\"0 0 1000 1000\">%s</svg>",
                                           body);
  return read_text (text, report);
}

static const ModelPanel *
panel_at (const ModelDocument *doc, guint index)
{
  g_assert_cmpuint (index, <, doc->panels->len);
  return g_ptr_array_index (doc->panels, index);
}

static GeomBox
box_of (const ModelPanel *panel)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  GeomBox box = geom_path_box (&path);
  geom_path_clear (&path);
  return box;
}

static double
area_of (const ModelPanel *panel)
{
  GeomPath path;
  geom_path_init (&path);
  model_panel_path (panel, &path, NULL);
  double area = geom_path_area (&path);
  geom_path_clear (&path);
  return area;
}

static void
assert_box (GeomBox box, double x0, double y0, double x1, double y1, double within)
{
  fixture_near (box.x0, x0, within);
  fixture_near (box.y0, y0, within);
  fixture_near (box.x1, x1, within);
  fixture_near (box.y1, y1, within);
}

/* ---- path data ---- */

/* All of these are the rectangle 10..40 x 10..30, whatever the command: 8.3 of SVG 1.1. */
static const char *const rectangles[] = {
  "M10,10 L40,10 L40,30 L10,30 Z",
  "M 10 10 40 10 40 30 10 30 z",
  "m10 10 30 0 0 20-30 0z",
  "m10,10h30v20h-30z",
  "M10 10H40V30H10Z",
  "M10,10 C10,10 40,10 40,10 C40,10 40,30 40,30 L10,30 Z",
  "M10,10 C20,10 40,10 40,10 S40,20 40,30 L10,30 Z",
  "M10,10 Q25,10 40,10 L40,30 L10,30 Z",
  "M10,10 q15,0 30,0 v20 H10z",
  "M1e1,1.0E1 L4e+1,10 L.4e2,30 L10.,30 z",
  "M10 10 A0 5 0 0 1 40 10 V30 H10 Z",
  "\n\tM10,10\r\nL40,10 , 40,30 10 30 Z ",
  "M10-0.0e0 m0 10 L40+10 40+30+10+30Z",
  "M10 10h10 10 10v20h-30z",
};

static void
test_commands (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (rectangles); i++)
  {
    g_test_message ("%s", rectangles[i]);
    g_autofree char *body = g_strdup_printf ("<path d=\"%s\"/>", rectangles[i]);
    EngineSvgReport report;
    g_autoptr (ModelDocument) doc = read_mm (body, &report);
    g_assert_cmpuint (doc->panels->len, ==, 1);
    assert_box (box_of (panel_at (doc, 0)), 10, 970, 40, 990, 1e-6);
    fixture_near (area_of (panel_at (doc, 0)), 600.0, 1e-6);
  }
}

static EngineSvgPen
drawn (const char *data)
{
  EngineSvgPen pen;
  gsize at = 0;
  engine_svg_pen_init (&pen, 1.0);
  g_assert_true (engine_svg_path_data (data, &pen, &at));
  g_assert_cmpuint (at, ==, strlen (data));
  return pen;
}

/* The smooth shorthands repeat the control point, mirrored (8.3.6, 8.3.7). */
static void
test_shorthands (void)
{
  static const char *const same[][2] = {
    { "M100,200 C100,100 250,100 250,200 S400,300 400,200",
      "M100,200 C100,100 250,100 250,200 C250,300 400,300 400,200" },
    { "M0,0 S10,20 30,0", "M0,0 C0,0 10,20 30,0" },
    { "M0,0 L5,5 S10,20 30,0", "M0,0 L5,5 C5,5 10,20 30,0" },
    { "M200,300 Q400,50 600,300 T1000,300", "M200,300 Q400,50 600,300 Q800,550 1000,300" },
    { "M0,0 T10,0", "M0,0 Q0,0 10,0" },
    { "M0,0 q5,5 10,0 t10,0 t10,0", "M0,0 Q5,5 10,0 Q15,-5 20,0 Q25,5 30,0" },
    { "m5,5 c1,2 3,4 5,6 s1,1 2,2 z m1,1 l2,0", "M5,5 C6,7 8,9 10,11 C12,13 11,12 12,13 L5,5 Z M6,6 L8,6" },
  };
  for (guint i = 0; i < G_N_ELEMENTS (same); i++)
  {
    EngineSvgPen p = drawn (same[i][0]), q = drawn (same[i][1]);
    g_assert_cmpuint (p.loops->len, ==, q.loops->len);
    for (guint l = 0; l < p.loops->len; l++)
    {
      const GeomPath *a = g_ptr_array_index (p.loops, l), *b = g_ptr_array_index (q.loops, l);
      g_assert_cmpuint (a->count, ==, b->count);
      for (size_t k = 0; k < a->count; k++)
        for (int c = 0; c < 4; c++)
        {
          fixture_near (a->piece[k].p[c].x, b->piece[k].p[c].x, 1e-12);
          fixture_near (a->piece[k].p[c].y, b->piece[k].p[c].y, 1e-12);
        }
    }
    engine_svg_pen_clear (&p);
    engine_svg_pen_clear (&q);
  }
}

/* A quadratic is its cubic exactly: on (0,0) (5,10) (10,0) the middle lies at height 5. */
static void
test_quadratic_is_exact (void)
{
  EngineSvgPen pen = drawn ("M0,0 Q5,10 10,0");
  const GeomPath *path = g_ptr_array_index (pen.loops, 0);
  for (int i = 0; i <= 20; i++)
  {
    double t = i / 20.0;
    GeomPoint p = geom_cubic_at (&path->piece[0], t);
    fixture_near (p.x, 10.0 * t, 1e-12);
    fixture_near (p.y, 20.0 * t * (1.0 - t), 1e-12);
  }
  engine_svg_pen_clear (&pen);
}

/* ---- arcs ---- */

/* The four arcs of the figure in 8.3.8, "M 125,75 a100,50 0 ?,? 100,50", seen in its own plane (y down).  By
 * hand: the ends differ by exactly the two half axes, so the middles are (225, 75) and (125, 125), and the
 * arcs a quarter and three quarters; SWEEP goes with growing angle. */
static const struct
{
  const char *data;
  double rx, ry, turn_deg, cx, cy, share;
} arcs[] = {
  { "M125,75 a100,50 0 0,0 100,50", 100, 50, 0, 225, 75, -0.25 },
  { "M125,75 a100,50 0 0,1 100,50", 100, 50, 0, 125, 125, 0.25 },
  { "M125,75 a100,50 0 1,0 100,50", 100, 50, 0, 125, 125, -0.75 },
  { "M125,75 a100,50 0 1,1 100,50", 100, 50, 0, 225, 75, 0.75 },
  { "M125,75 a100,50 0 11100,50", 100, 50, 0, 225, 75, 0.75 },
  { "M125,75 a-100-50 0 1 1 100 50", 100, 50, 0, 225, 75, 0.75 },
  /* F.6.6: radii too small are grown until they just reach: half circles about (5, 0). */
  { "M0,0 A1,1 0 0 1 10,0", 5, 5, 0, 5, 0, 0.5 },
  { "M0,0 A1,1 0 1 0 10,0", 5, 5, 0, 5, 0, -0.5 },
  { "M0,0 A5,5 0 0 1 10,0", 5, 5, 0, 5, 0, 0.5 },
  /* The first arc, the plane turned by 90 degrees about the origin: (x, y) becomes (-y, x). */
  { "M-75,125 A100,50 90 0,0 -125,225", 100, 50, 90, -75, 225, -0.25 },
  { "M3000,0 A3000,3000 0 0 1 0,3000", 3000, 3000, 0, 0, 0, 0.25 },
};

static void
test_arcs (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (arcs); i++)
  {
    g_test_message ("%s", arcs[i].data);
    EngineSvgPen pen = drawn (arcs[i].data);
    const GeomPath *path = g_ptr_array_index (pen.loops, 0);
    double turn = arcs[i].turn_deg * G_PI / 180.0, swept = 0.0, last = NAN;
    for (size_t k = 0; k < path->count; k++)
      for (int s = 0; s <= 64; s++)
      {
        GeomPoint p
          = geom_sub (geom_cubic_at (&path->piece[k], s / 64.0), geom_point (arcs[i].cx, arcs[i].cy));
        double x = (cos (turn) * p.x + sin (turn) * p.y) / arcs[i].rx,
               y = (-sin (turn) * p.x + cos (turn) * p.y) / arcs[i].ry, angle = atan2 (y, x);
        fixture_near ((hypot (x, y) - 1.0) * arcs[i].rx, 0.0, ENGINE_SVG_ARC_MM);
        if (!isnan (last))
          swept += remainder (angle - last, 2.0 * G_PI);
        last = angle;
      }
    fixture_near (swept, arcs[i].share * 2.0 * G_PI, 1e-9);
    engine_svg_pen_clear (&pen);
  }
}

/* The pies of the figure in 8.3.8: three quarters and one quarter of a disc of 150. */
static void
test_pies (void)
{
  g_autoptr (ModelDocument) doc = read_mm ("<path d=\"M300,200 h-150 a150,150 0 1,0 150,-150 z\"/>"
                                           "<path d=\"M275,175 v-150 a150,150 0 0,0 -150,150 z\"/>",
                                           NULL);
  g_assert_cmpuint (doc->panels->len, ==, 2);
  fixture_near (area_of (panel_at (doc, 0)), 0.75 * G_PI * 150 * 150, 0.5);
  fixture_near (area_of (panel_at (doc, 1)), 0.25 * G_PI * 150 * 150, 0.5);
  g_assert_cmpuint (panel_at (doc, 0)->edges->len, ==, 3);
}

/* An arc without length is left out, one without a radius is a line (F.6.2). */
static void
test_arcs_out_of_range (void)
{
  g_autoptr (ModelDocument) doc
    = read_mm ("<path d=\"M0,0 a7,7 0 1 1 0,0 h10 A0,7 0 1 1 10,10 a7,0 30 0 0 -10,0 z\"/>", NULL);
  g_assert_cmpuint (doc->panels->len, ==, 1);
  fixture_near (area_of (panel_at (doc, 0)), 100.0, 1e-9);
}

/* ---- shapes ---- */

static const struct
{
  const char *text;
  double x0, y0, x1, y1; /* y down, as drawn */
  double area;
  guint edges;
} shapes[] = {
  { "<rect x=\"10\" y=\"20\" width=\"30\" height=\"40\"/>", 10, 20, 40, 60, 1200, 4 },
  { "<circle cx=\"50\" cy=\"60\" r=\"20\"/>", 30, 40, 70, 80, G_PI * 400, 1 },
  { "<ellipse cx=\"50\" cy=\"60\" rx=\"30\" ry=\"10\"/>", 20, 50, 80, 70, G_PI * 300, 1 },
  /* Corners of a quarter ellipse each: w h - (4 - pi) rx ry. */
  { "<rect width=\"30\" height=\"40\" rx=\"5\" ry=\"10\"/>", 0, 0, 30, 40, 1200 - (4 - G_PI) * 50, 1 },
  { "<rect width=\"30\" height=\"40\" rx=\"5\"/>", 0, 0, 30, 40, 1200 - (4 - G_PI) * 25, 1 },
  { "<rect width=\"30\" height=\"40\" ry=\"100\"/>", 0, 0, 30, 40, G_PI * 15 * 20, 1 },
  { "<polygon points=\"0,0 40,0 40,30\"/>", 0, 0, 40, 30, 600, 3 },
  { "<polyline points=\"0 0 40 0 40 30 0 0\"/>", 0, 0, 40, 30, 600, 3 },
  { "<polygon points=\"0,0,40,0,40,30,0,30\"/>", 0, 0, 40, 30, 1200, 4 },
  { "<rect x=\"10%\" y=\"1%\" width=\"5%\" height=\"2%\"/>", 100, 10, 150, 30, 1000, 4 },
  { "<circle cx=\"5%\" cy=\"5%\" r=\"1%\"/>", 40, 40, 60, 60, G_PI * 100, 1 },
};

static void
test_shapes (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (shapes); i++)
  {
    g_test_message ("%s", shapes[i].text);
    g_autoptr (ModelDocument) doc = read_mm (shapes[i].text, NULL);
    const ModelPanel *panel = panel_at (doc, 0);
    assert_box (box_of (panel), shapes[i].x0, 1000 - shapes[i].y1, shapes[i].x1, 1000 - shapes[i].y0,
                ENGINE_SVG_ARC_MM);
    /* Area: what the arcs may stray, times the length round about. */
    fixture_near (area_of (panel), shapes[i].area, ENGINE_SVG_ARC_MM * 200);
    g_assert_cmpuint (panel->edges->len, ==, shapes[i].edges);
  }
}

static void
test_shapes_without_an_area (void)
{
  EngineSvgReport report;
  g_autoptr (ModelDocument) doc
    = read_mm ("<rect width=\"0\" height=\"9\"/><circle r=\"0\"/><ellipse rx=\"4\"/><path/><path "
               "d=\"\"/><path d=\"M5 5\"/>"
               "<polygon/><path d=\"M0 0H50Z\"/><line x1=\"0\" y1=\"0\" x2=\"9\" y2=\"9\"/>",
               &report);
  g_assert_cmpuint (doc->panels->len, ==, 0);
  g_assert_cmpuint (report.panels, ==, 0);
  g_assert_cmpuint (report.empty, ==, 1);
  g_assert_cmpuint (report.open, ==, 1);
}

/* Corners are where the tangent breaks. */
static void
test_corners (void)
{
  g_autoptr (ModelDocument) doc = read_mm (
    "<path d=\"M0,0 H40 A20,20 0 0 1 40,40 H0 Z\"/>" /* tangents run on into the half circle */
    "<path d=\"M0,100 C10,110 20,110 30,100 C40,90 50,90 60,100 V150 H0 Z\"/>" /* and through an S */
    "<polygon points=\"0,200 50,202 100,200 100,250 0,250\"/>",                /* 4.6 degrees: no corner */
    NULL);
  g_assert_cmpuint (panel_at (doc, 0)->edges->len, ==, 2);
  g_assert_cmpuint (model_panel_node_count (panel_at (doc, 0)), >=, 5);
  g_assert_cmpuint (panel_at (doc, 1)->edges->len, ==, 4);
  g_assert_cmpuint (panel_at (doc, 2)->edges->len, ==, 4);
}

/* ---- transforms ---- */

static GeomAffine
transform (const char *text)
{
  GeomAffine map;
  gsize at;
  g_assert_true (engine_svg_transform (text, &map, &at));
  return map;
}

static void
assert_map (GeomAffine m, double a, double b, double c, double d, double e, double f, double within)
{
  fixture_near (m.xx, a, within);
  fixture_near (m.yx, b, within);
  fixture_near (m.xy, c, within);
  fixture_near (m.yy, d, within);
  fixture_near (m.x0, e, within);
  fixture_near (m.y0, f, within);
}

static void
test_transforms (void)
{
  /* 7.4 of SVG 1.1, printed there with three figures: translate (50, 90), rotate (-45), translate (130, 160).
   */
  assert_map (transform ("translate(50,90) rotate(-45) translate(130,160)"), .707, -.707, .707, .707, 255.03,
              111.21, 0.05);
  assert_map (transform ("matrix(1 2 3 4 5 6)"), 1, 2, 3, 4, 5, 6, 0);
  assert_map (transform ("translate(7)"), 1, 0, 0, 1, 7, 0, 0);
  assert_map (transform (" translate ( 7 , -8 ) "), 1, 0, 0, 1, 7, -8, 0);
  assert_map (transform ("scale(3)"), 3, 0, 0, 3, 0, 0, 0);
  assert_map (transform ("scale(3-2)"), 3, 0, 0, -2, 0, 0, 0);
  assert_map (transform ("rotate(90)"), 0, 1, -1, 0, 0, 0, 1e-15);
  /* About (10, 20): translate (10, 20) rotate (90) translate (-10, -20). */
  assert_map (transform ("rotate(90,10,20)"), 0, 1, -1, 0, 30, 10, 1e-13);
  assert_map (transform ("translate(10 20)rotate(90)translate(-10 -20)"), 0, 1, -1, 0, 30, 10, 1e-13);
  assert_map (transform ("skewX(45)"), 1, 0, 1, 1, 0, 0, 1e-15);
  assert_map (transform ("skewY(45)"), 1, 1, 0, 1, 0, 0, 1e-15);
  assert_map (transform (""), 1, 0, 0, 1, 0, 0, 0);
  assert_map (transform ("none"), 1, 0, 0, 1, 0, 0, 0);
  static const char *const bad[]
    = { "turn(3)",    "scale()",    "scale(1,2,3)", "matrix(1 2 3 4 5)", "rotate(1,2)",   "translate(1",
        "skewX(1 2)", "scale(nan)", "scale(1e99)",  "scale(1)x",         "translate 1 2", "rotate(0x10)" };
  for (guint i = 0; i < G_N_ELEMENTS (bad); i++)
  {
    GeomAffine map;
    gsize at;
    g_assert_false (engine_svg_transform (bad[i], &map, &at));
  }
}

/* The outer one is done last; a shape's own first. */
static void
test_nested_transforms (void)
{
  g_autoptr (ModelDocument) doc
    = read_mm ("<g transform=\"translate(100,200)\"><g transform=\"scale(2,3)\">"
               "<rect transform=\"rotate(90)\" x=\"0\" y=\"-10\" width=\"20\" height=\"10\"/></g></g>",
               NULL);
  /* rotate (90): (x, y) to (-y, x): 0..10 by 0..20; scaled 0..20 by 0..60; moved 100..120 by 200..260. */
  assert_box (box_of (panel_at (doc, 0)), 100, 1000 - 260, 120, 1000 - 200, 1e-9);
}

/* ---- units ---- */

static const struct
{
  const char *text;
  double w_mm, h_mm; /* of the rectangle in it */
} units[] = {
  { "<svg><rect width=\"96\" height=\"96px\"/></svg>", 25.4, 25.4 },
  { "<svg><rect width=\"1in\" height=\"72pt\"/></svg>", 25.4, 25.4 },
  { "<svg><rect width=\"6pc\" height=\"2.54cm\"/></svg>", 25.4, 25.4 },
  { "<svg><rect width=\"25.4mm\" height=\"254MM\"/></svg>", 25.4, 254 },
  { "<svg><rect width=\"2em\" height=\"4ex\"/></svg>", 32 * PX, 32 * PX },
  { "<svg width=\"210mm\" height=\"297mm\" viewBox=\"0 0 210 297\"><rect width=\"10\" height=\"20\"/></svg>",
    10, 20 },
  { "<svg width=\"21cm\" height=\"29.7cm\" viewBox=\"0,0,2100,2970\"><rect width=\"10\" "
    "height=\"20\"/></svg>",
    1, 2 },
  { "<svg width=\"10in\" height=\"10in\" viewBox=\"5 5 1000 1000\"><rect width=\"100\" height=\"50\"/></svg>",
    25.4, 12.7 },
  /* meet: the smaller scale for both; slice: the larger; none: each its own. */
  { "<svg width=\"100mm\" height=\"300mm\" viewBox=\"0 0 100 100\"><rect width=\"10\" height=\"10\"/></svg>",
    10, 10 },
  { "<svg width=\"100mm\" height=\"300mm\" viewBox=\"0 0 100 100\" preserveAspectRatio=\"xMinYMin slice\">"
    "<rect width=\"10\" height=\"10\"/></svg>",
    30, 30 },
  { "<svg width=\"100mm\" height=\"300mm\" viewBox=\"0 0 100 100\" preserveAspectRatio=\"none\">"
    "<rect width=\"10\" height=\"10\"/></svg>",
    10, 30 },
  { "<svg width=\"100%\" viewBox=\"0 0 96 96\"><rect width=\"96\" height=\"48\"/></svg>", 25.4, 12.7 },
  { "<svg width=\"50mm\" viewBox=\"0 0 100 200\"><rect width=\"10\" height=\"20\"/></svg>", 5, 10 },
  { "<svg width=\"200mm\" height=\"200mm\" viewBox=\"0 0 200 200\"><svg x=\"10\" y=\"10\" width=\"100\" "
    "height=\"100\" "
    "viewBox=\"0 0 10 10\"><rect width=\"1\" height=\"50%\"/></svg></svg>",
    10, 50 },
  { "<svg:svg xmlns:svg=\"http://www.w3.org/2000/svg\"><svg:rect width=\"1in\" height=\"2in\"/></svg:svg>",
    25.4, 50.8 },
};

static void
test_units (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (units); i++)
  {
    g_test_message ("%s", units[i].text);
    g_autoptr (ModelDocument) doc = read_text (units[i].text, NULL);
    GeomBox box = box_of (panel_at (doc, 0));
    fixture_near (box.x1 - box.x0, units[i].w_mm, 1e-9);
    fixture_near (box.y1 - box.y0, units[i].h_mm, 1e-9);
  }
}

/* xMidYMid puts a square of 100 into 100 x 300 at 100 from the top; xMaxYMax at 200. */
static void
test_where_the_view_lies (void)
{
  g_autoptr (ModelDocument) doc = read_text ("<svg width=\"100mm\" height=\"300mm\" viewBox=\"0 0 100 "
                                             "100\"><rect width=\"100\" height=\"100\"/></svg>",
                                             NULL);
  assert_box (box_of (panel_at (doc, 0)), 0, 100, 100, 200, 1e-9);
  g_autoptr (ModelDocument) low
    = read_text ("<svg width=\"100mm\" height=\"300mm\" viewBox=\"0 0 100 100\" "
                 "preserveAspectRatio=\"xMaxYMax meet\"><rect width=\"100\" height=\"100\"/></svg>",
                 NULL);
  assert_box (box_of (panel_at (low, 0)), 0, 0, 100, 100, 1e-9);
}

/* ---- which outlines ---- */

static void
test_ends_that_meet (void)
{
  EngineSvgReport report;
  g_autoptr (ModelDocument) doc
    = read_mm ("<path d=\"M0,0 H50 V50 H0 V0.4\"/><path d=\"M0,0 H50 V50 H0 V0.6\"/>", &report);
  g_assert_cmpuint (doc->panels->len, ==, 1);
  g_assert_cmpuint (report.open, ==, 1);
  g_assert_cmpuint (report.closed, ==, 1);
  g_autofree char *words = engine_svg_report_words (&report);
  g_assert_cmpstr (words, ==, "1 panel came in. 1 open line was left out.");
}

static void
test_holes_and_islands (void)
{
  EngineSvgReport report;
  g_autoptr (ModelDocument) doc = read_mm ("<path d=\"M0,0H100V100H0Z M10,10H90V90H10Z M20,20H80V80H20Z\"/>"
                                           "<path d=\"M200,0h50v50h-50z m100,0h50v50h-50z\"/>",
                                           &report);
  g_assert_cmpuint (doc->panels->len, ==, 4); /* the outer one, the island, and two side by side */
  g_assert_cmpuint (report.holes, ==, 1);
  fixture_near (area_of (panel_at (doc, 0)), 10000, 1e-6);
  fixture_near (area_of (panel_at (doc, 1)), 3600, 1e-6);
}

static void
test_what_is_not_drawn (void)
{
  EngineSvgReport report;
  const char *square = "<path d=\"M0,0H50V50H0Z\"/>";
  const char *const around[][2] = { { "<defs>", "</defs>" },
                                    { "<clipPath>", "</clipPath>" },
                                    { "<mask><g>", "</g></mask>" },
                                    { "<symbol>", "</symbol>" },
                                    { "<g display=\"none\">", "</g>" },
                                    { "<g style=\"fill:red; display : none\">", "</g>" },
                                    { "<g visibility=\"hidden\">", "</g>" },
                                    { "<metadata>", "</metadata>" },
                                    { "<other:thing>", "</other:thing>" },
                                    { "<text>", "</text>" },
                                    { "<path>", "</path>" },
                                    { "<!-- ", " -->" } };
  for (guint i = 0; i < G_N_ELEMENTS (around); i++)
  {
    g_autofree char *body = g_strconcat (around[i][0], square, around[i][1], square, NULL);
    g_autoptr (ModelDocument) doc = read_mm (body, &report);
    g_test_message ("%s", around[i][0]);
    g_assert_cmpuint (doc->panels->len, ==, 1);
  }
  g_autoptr (ModelDocument) doc = read_mm ("<text>Front</text><image/><use href=\"#a\"/>", &report);
  g_assert_cmpuint (doc->panels->len, ==, 0);
  g_assert_cmpuint (report.others, ==, 3);
}

static void
test_names (void)
{
  g_autoptr (ModelDocument) doc
    = read_mm ("<g id=\"layer1\"><title>Bracer</title><path id=\"p1\" d=\"M0,0H50V50H0Z\"/>"
               "<path id=\"p2\" d=\"M0,0H50V50H0Z\"><title>Collar &amp; strap</title></path></g>"
               "<g data-label=\"Jerkin, left\"><rect width=\"9\" height=\"9\"/></g>"
               "<rect id=\"belt\" width=\"9\" height=\"9\"/><rect width=\"9\" height=\"9\"/>",
               NULL);
  const char *const wanted[] = { "Bracer", "Collar & strap", "Jerkin, left", "belt", "Panel" };
  for (guint i = 0; i < G_N_ELEMENTS (wanted); i++)
    g_assert_cmpstr (panel_at (doc, i)->name, ==, wanted[i]);
}

/* As in our own cut files: the knife follows class "cut" alone. */
static void
test_class_cut (void)
{
  g_autoptr (ModelDocument) doc = read_mm (
    "<g><path class=\"seam\" d=\"M5,5H45V45H5Z\"/><path class=\"heavy cut\" d=\"M0,0H50V50H0Z\"/></g>"
    "<path d=\"M0,0H5V5H0Z\"/>",
    NULL);
  g_assert_cmpuint (doc->panels->len, ==, 1);
  fixture_near (area_of (panel_at (doc, 0)), 2500, 1e-9);
}

/* What came in can be saved and read again. */
static void
test_saves (void)
{
  g_autoptr (ModelDocument) doc
    = read_mm ("<circle r=\"50\" cx=\"9\"/><rect width=\"30\" height=\"40\" rx=\"5\"/>", NULL);
  gsize length;
  g_autofree char *data = model_document_to_data (doc, &length);
  g_autoptr (GError) error = NULL;
  g_autoptr (ModelDocument) again = model_document_from_data (data, length, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (again->panels->len, ==, 2);
}

/* ---- what cannot be understood ---- */

#define HEAD "<svg>\n  <g>\n"
/* The place is that of the first character that cannot be read, counted by hand: four blanks and "<path d="
 * and a quote are 13 characters, so the data begins in column 14. */
static const struct
{
  const char *text, *says;
} faults[] = {
  { "", "line 1, column 1:" },
  { "   ", "line 1" },
  { "not at all", "line 1" },
  { "\n <html>\n</html>", "line 2, column 2:" },
  { HEAD "    <path d=\"M 0 0 L 10 nan Z\"/></g></svg>", "line 3, column 25:" },
  { HEAD "    <path d=\"M 0 0 L 10 inf Z\"/></g></svg>", "line 3, column 25:" },
  { HEAD "    <path d=\"M 0 0 L 10 1e999 Z\"/></g></svg>", "line 3, column 25:" },
  { HEAD "    <path d=\"M 0 0 L 0x10 0 Z\"/></g></svg>", "line 3, column 23:" },
  { HEAD "    <path d=\"L 0 0 10 10\"/></g></svg>", "line 3, column 14:" },
  { HEAD "    <path d=\"M 0 0 X 10 10\"/></g></svg>", "line 3, column 20:" },
  { HEAD "    <path d=\"M 0 0 L 10\"/></g></svg>", "line 3, column 24:" },
  { HEAD "    <path d=\"M 0 0\n 0 X\"/></g></svg>", "line 4, column 4:" },
  { HEAD "  <!-- <path d='' --> <path id='d' d = 'M 0 0 X'/></g></svg>", "line 3, column 47:" },
  { "<?xml version='1.0'?>\n<!DOCTYPE svg [ <!ELEMENT svg ANY> ]>\n<svg><path d='?'/></svg>",
    "line 3, column 15:" },
  { "<svg><g id=\"\303\244\303\266\"/><path d=\"?\"/></svg>", "line 1, column 27:" },
  { HEAD "    <path d=\"M 0 0 L 10 10,\"/></g></svg>", "line 3" },
  { HEAD "    <path d=\"M 0 0 A 5 5 0 2 0 10 10\"/></g></svg>", "line 3, column 28:" },
  { HEAD "    <path d=\"M 0 0 c 9e8 9e8 9e8 9e8 9e8 9e8 9e8 9e8 9e8 9e8 9e8 9e8\"/></g></svg>", "line 3" },
  { HEAD "    <rect width=\"wide\" height=\"3\"/></g></svg>", "line 3, column 18:" },
  { HEAD "    <rect height=\"3\" width=\"-1\"/></g></svg>", "line 3, column 29:" },
  { HEAD "    <rect width=\"1furlong\" height=\"3\"/></g></svg>", "line 3, column" },
  { HEAD "    <circle r=\"-1\"/></g></svg>", "line 3, column" },
  { HEAD "    <polygon points=\"1,2 3\"/></g></svg>", "line 3, column" },
  { HEAD "    <g transform=\"scale(1,\"/></g></svg>", "line 3, column" },
  { HEAD "    <path d=\"M0 0H5V5Z\">\n</g></svg>", "line 4, column" },
  { HEAD "    <path d=\"M0 0H5V5Z\"/></g>\n", "line 4, column" },
  { HEAD "    <path d=M0/></g></svg>", "line 3, column" },
  { HEAD "    <text>&nothing;</text></g></svg>", "line 3, column" },
  { "<svg width=\"0\"/>", "line 1, column" },
  { "<svg viewBox=\"0 0 0 10\"/>", "line 1, column" },
  { "<svg viewBox=\"0 0 10\"/>", "line 1, column" },
  { "<svg/>\n<svg/>", "line 2" },
  { "<svg>\xff\xfe</svg>", "line 1, column" },
  /* An entity of entities: there are none but XML's own, so it cannot grow. */
  { "<!DOCTYPE svg [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;\">]>\n<svg><text>&b;</text></svg>",
    "line 2, column" },
};

static void
test_faults (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (faults); i++)
  {
    g_autoptr (GError) error = NULL;
    /* One of them is not UTF-8 on purpose: the report must be. */
    g_autofree char *shown = g_utf8_make_valid (faults[i].text, -1);
    g_test_message ("%s", shown);
    ModelDocument *doc = engine_svg_read (faults[i].text, strlen (faults[i].text), NULL, &error);
    g_assert_null (doc);
    g_assert_true (error != NULL && error->domain == ENGINE_SVG_ERROR);
    g_test_message ("%s", error->message);
    g_assert_nonnull (strstr (error->message, faults[i].says));
  }
}

static void
assert_too_much (GString *text)
{
  g_autoptr (GError) error = NULL;
  ModelDocument *doc = engine_svg_read (text->str, text->len, NULL, &error);
  g_assert_null (doc);
  g_assert_error (error, ENGINE_SVG_ERROR, ENGINE_SVG_ERROR_TOO_MUCH);
  g_string_free (text, TRUE);
}

static void
repeat (GString *text, const char *what, guint times)
{
  for (guint i = 0; i < times; i++)
    g_string_append (text, what);
}

static void
test_too_much (void)
{
  GString *deep = g_string_new ("<svg>");
  repeat (deep, "<g>", 100000);
  assert_too_much (deep);

  GString *many = g_string_new ("<svg>");
  repeat (many, "<path d=\"M0 0H5V5Z\"/>", ENGINE_SVG_MOST_OUTLINES + 1);
  g_string_append (many, "</svg>");
  assert_too_much (many);

  GString *pieces = g_string_new ("<svg>");
  for (int k = 0; k < 6; k++)
  {
    g_string_append (pieces, "<path d=\"M0 0");
    repeat (pieces, "h1v1", 50000);
    g_string_append (pieces, "z\"/>");
  }
  g_string_append (pieces, "</svg>");
  assert_too_much (pieces);

  /* Rings in rings: each would have to be looked at against each. */
  GString *rings = g_string_new ("<svg><path d=\"");
  for (guint i = 0; i < 4000; i++)
  {
    g_string_append_printf (rings, "M%u %u", i, i);
    repeat (rings, "h1", 50);
    g_string_append_printf (rings, "H%u", 9000 - i);
    g_string_append_printf (rings, "V%uH%uz", 9000 - i, i);
  }
  g_string_append (rings, "\"/></svg>");
  assert_too_much (rings);

  assert_too_much (g_string_new ("<svg><rect width=\"1e8\" height=\"1e8\"/></svg>"));
}

/* Bytes of a good drawing changed at random: an answer of either kind, and what is read can be saved. */
static void
test_damaged (void)
{
  static const char good[]
    = "<svg width=\"90mm\" height=\"90mm\" viewBox=\"0 0 90 90\"><g transform=\"translate(1,2) rotate(30 4 "
      "5)\">"
      "<path id=\"a\" d=\"M0,0 C1,2 3,4 5,6 S7 8 9 1 Q2,3 4,5 T6,7 A8,9 1 0 1 2,3 H40 V50 z m1 1 l20 0 0 "
      "20z\"/></g>"
      "<rect x=\"1\" y=\"2\" width=\"30\" height=\"40\" rx=\"5\"/><circle cx=\"50\" cy=\"50\" r=\"20\"/>"
      "<polygon points=\"1,2 30,4 5,60\"/><title>Bracer</title></svg>";
  static const char spice[] = "0123456789.,-+eEMmZzAaSsTtQq()<>/\"&; \n\xc3";
  g_autoptr (GRand) rand = g_rand_new_with_seed (20261125);
  guint read = 0;
  for (guint round = 0; round < 4000; round++)
  {
    g_autofree char *text = g_strdup (good);
    for (int k = g_rand_int_range (rand, 1, 5); k > 0; k--)
      text[g_rand_int_range (rand, 0, sizeof good - 1)] = spice[g_rand_int_range (rand, 0, sizeof spice - 1)];
    gsize length = (gsize)g_rand_int_range (rand, sizeof good / 2, sizeof good);
    if (round % 2 == 0)
      length = sizeof good - 1;
    g_autoptr (GError) error = NULL;
    g_autoptr (ModelDocument) doc = engine_svg_read (text, length, NULL, &error);
    if (doc == NULL)
    {
      g_assert_true (error != NULL && error->domain == ENGINE_SVG_ERROR);
      continue;
    }
    read++;
    gsize saved;
    g_autofree char *data = model_document_to_data (doc, &saved);
    g_autoptr (ModelDocument) again = model_document_from_data (data, saved, &error);
    g_assert_no_error (error);
    g_assert_nonnull (again);
  }
  g_assert_cmpuint (read, >, 100);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  const struct
  {
    const char *name;
    void (*test) (void);
  } tests[] = {
    { "path/commands", test_commands },
    { "path/shorthands", test_shorthands },
    { "path/a-quadratic-is-exact", test_quadratic_is_exact },
    { "arc/ends-to-middle", test_arcs },
    { "arc/pies", test_pies },
    { "arc/out-of-range", test_arcs_out_of_range },
    { "shapes", test_shapes },
    { "shapes-without-an-area", test_shapes_without_an_area },
    { "corners", test_corners },
    { "transforms", test_transforms },
    { "nested-transforms", test_nested_transforms },
    { "units", test_units },
    { "where-the-view-lies", test_where_the_view_lies },
    { "ends-that-meet", test_ends_that_meet },
    { "holes-and-islands", test_holes_and_islands },
    { "what-is-not-drawn", test_what_is_not_drawn },
    { "names", test_names },
    { "class-cut", test_class_cut },
    { "saves", test_saves },
    { "faults", test_faults },
    { "too-much", test_too_much },
    { "damaged", test_damaged },
  };
  for (guint i = 0; i < G_N_ELEMENTS (tests); i++)
  {
    g_autofree char *path = g_strconcat ("/engine/svg-in/", tests[i].name, NULL);
    g_test_add_func (path, tests[i].test);
  }
  return g_test_run ();
}

#include "fixture.h"

/* The names are the file format of scripts: `check --json`. */
static void
test_names (void)
{
  static const char *names[]
    = { "join-length", "join-drift", "lap-side", "form-against-wearer", "twin", "outline", "sheet-fit" };
  for (guint i = 0; i < G_N_ELEMENTS (names); i++)
    g_assert_nonnull (engine_check_named (names[i]));
  g_assert_null (engine_check_named ("join"));
  g_assert_null (engine_check_named (""));
  for (guint i = 0; engine_checks ()[i]; i++)
  {
    const EngineCheck *check = engine_checks ()[i];
    g_assert_true (engine_check_named (check->name) == check);
    g_assert_nonnull (check->run);
    g_assert_nonnull (check->text);
  }
}

static void
test_blank (void)
{
  EngineFinding blank = engine_finding_blank (&engine_check_twin);
  g_assert_true (blank.check == &engine_check_twin);
  g_assert_false (blank.holds);
  g_assert_true (isnan (blank.expected) && isnan (blank.actual) && isnan (blank.difference)
                 && isnan (blank.tolerance));
  g_assert_cmpuint (blank.panel_id + blank.edge_id + blank.other_panel_id + blank.join_id + blank.measure_id,
                    ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/engine/check-table/names", test_names);
  g_test_add_func ("/engine/check-table/blank", test_blank);
  return g_test_run ();
}

/* The print dialog draws with the same function as the PDF, in millimetres of the whole paper, so that 100 mm
 * is 100 mm on both. */
#include "app/printing.h"

#include "output/changes.h"
#include "output/mat.h"
#include "output/sheet.h"

#include <glib/gi18n.h>

typedef struct Job
{
  EngineReview *review;
  const EngineSheetPlan *plan;
  int only_page;
  TraceMat mat;             /* printed when there is no PLAN and no NOW */
  ModelDocument *was, *now; /* the list of changes: two states */
  char *was_name;
  GArray *changes;
  guint pages;
  AppPrintDone done;
  gpointer user;
} Job;

static void
job_free (gpointer data, GClosure *closure)
{
  Job *job = data;
  if (job->was != NULL)
    model_state_unref (job->was);
  if (job->now != NULL)
    model_state_unref (job->now);
  g_free (job->was_name);
  if (job->changes != NULL)
    g_array_unref (job->changes);
  g_free (job);
}

static void
on_begin (GtkPrintOperation *operation, GtkPrintContext *context, Job *job)
{
  if (job->now != NULL)
  {
    job->pages = output_changes_page_count (job->was, job->was_name, job->now, job->changes);
    gtk_print_operation_set_n_pages (operation, (int)job->pages);
    return;
  }
  gtk_print_operation_set_n_pages (
    operation, job->plan == NULL || job->only_page >= 0 ? 1 : (int)output_sheet_page_count (job->plan));
}

static void
on_draw (GtkPrintOperation *operation, GtkPrintContext *context, int page, Job *job)
{
  if (job->now != NULL)
  {
    output_changes_draw_page (gtk_print_context_get_cairo_context (context), job->was, job->was_name,
                              job->now, job->changes, (guint)page, job->pages);
    return;
  }
  if (job->plan == NULL)
  {
    output_mat_draw (gtk_print_context_get_cairo_context (context), &job->mat);
    return;
  }
  guint number = (guint)(job->only_page >= 0 ? job->only_page : page);
  output_sheet_draw (gtk_print_context_get_cairo_context (context), job->review, job->plan, number);
}

static void
on_done (GtkPrintOperation *operation, GtkPrintOperationResult result, Job *job)
{
  g_autoptr (GError) error = NULL;
  const char *message = NULL;
  if (result == GTK_PRINT_OPERATION_RESULT_ERROR)
  {
    gtk_print_operation_get_error (operation, &error);
    message = error != NULL ? error->message : _ ("The printer did not take the sheets.");
  }
  else if (result == GTK_PRINT_OPERATION_RESULT_CANCEL)
    message = "";
  job->done (message, job->user);
}

/* The paper by its own size, so that the dialog does not offer to fit it to another. */
static GtkPageSetup *
page_setup (double width_mm, double height_mm)
{
  static const struct
  {
    const char *name;
    double width_mm, height_mm;
  } known[] = {
    { GTK_PAPER_NAME_A4, 210, 297 },
    { GTK_PAPER_NAME_A3, 297, 420 },
    { GTK_PAPER_NAME_LETTER, 215.9, 279.4 },
    { "na_ledger", 279.4, 431.8 },
  };
  GtkPaperSize *size = NULL;
  for (guint i = 0; i < G_N_ELEMENTS (known) && size == NULL; i++)
    if (ABS (width_mm - known[i].width_mm) < 0.05 && ABS (height_mm - known[i].height_mm) < 0.05)
      size = gtk_paper_size_new (known[i].name);
  if (size == NULL)
    size = gtk_paper_size_new_custom ("panelwright-own", _ ("Own size"), width_mm, height_mm, GTK_UNIT_MM);
  GtkPageSetup *setup = gtk_page_setup_new ();
  gtk_page_setup_set_paper_size (setup, size);
  for (int side = 0; side < 4; side++)
  {
    void (*const set[]) (GtkPageSetup *, double, GtkUnit)
      = { gtk_page_setup_set_top_margin, gtk_page_setup_set_bottom_margin, gtk_page_setup_set_left_margin,
          gtk_page_setup_set_right_margin };
    set[side](setup, 0, GTK_UNIT_MM);
  }
  gtk_paper_size_free (size);
  return setup;
}

/* Takes JOB. */
static void
run (GtkWindow *parent, Job *job, const char *title, double width_mm, double height_mm)
{
  g_autoptr (GtkPrintOperation) operation = gtk_print_operation_new ();
  g_autoptr (GtkPageSetup) setup = page_setup (width_mm, height_mm);
  g_autoptr (GtkPrintSettings) settings = gtk_print_settings_new ();
  gtk_print_settings_set_scale (settings, 100.0);
  gtk_print_operation_set_print_settings (operation, settings);
  gtk_print_operation_set_default_page_setup (operation, setup);
  gtk_print_operation_set_unit (operation, GTK_UNIT_MM);
  gtk_print_operation_set_use_full_page (operation, TRUE);
  gtk_print_operation_set_embed_page_setup (operation, FALSE);
  gtk_print_operation_set_job_name (operation, title);
  gtk_print_operation_set_allow_async (operation, TRUE);
  g_signal_connect (operation, "begin-print", G_CALLBACK (on_begin), job);
  g_signal_connect (operation, "draw-page", G_CALLBACK (on_draw), job);
  g_signal_connect_data (operation, "done", G_CALLBACK (on_done), job, job_free, 0);
  g_autoptr (GError) error = NULL;
  /* An error is told through "done" as well. */
  gtk_print_operation_run (operation, GTK_PRINT_OPERATION_ACTION_PRINT_DIALOG, parent, &error);
}

void
app_print_run (GtkWindow *parent,
               EngineReview *review,
               const EngineSheetPlan *plan,
               const char *title,
               int only_page,
               AppPrintDone done,
               gpointer user)
{
  Job *job = g_new0 (Job, 1);
  *job = (Job) { .review = review, .plan = plan, .only_page = only_page, .done = done, .user = user };
  run (parent, job, title, plan->paper.width_mm, plan->paper.height_mm);
}

void
app_print_changes (GtkWindow *parent,
                   ModelDocument *was,
                   const char *was_name,
                   const ModelDocument *now,
                   const GArray *changes,
                   AppPrintDone done,
                   gpointer user)
{
  Job *job = g_new0 (Job, 1);
  *job = (Job) { .only_page = -1, .done = done, .user = user };
  job->was = model_state_ref (was);
  job->was_name = g_strdup (was_name);
  job->now = model_state_new (now);
  job->changes = g_array_new (FALSE, FALSE, sizeof (EngineChange));
  g_array_append_vals (job->changes, changes->data, changes->len);
  EnginePaper paper = output_changes_paper (now);
  run (parent, job, _ ("What has changed"), paper.width_mm, paper.height_mm);
}

void
app_print_mat (GtkWindow *parent, const char *paper, AppPrintDone done, gpointer user)
{
  Job *job = g_new0 (Job, 1);
  *job = (Job) { .only_page = 0, .done = done, .user = user };
  if (!trace_mat_layout (paper, &job->mat))
    trace_mat_layout ("a4", &job->mat);
  run (parent, job, _ ("Mat for photos"), job->mat.width_mm, job->mat.height_mm);
}

/* Reports of a document as JSON text, by the contract: `check --json`, `measure --json`; and as plain lines
 * for people.
 */
#ifndef OUTPUT_REPORT_H
#define OUTPUT_REPORT_H

#include "engine/review.h"

/* NAME: what to call the document. */
char *output_report_check_json (EngineReview *review, const char *name);
char *output_report_check_text (EngineReview *review, const char *name);
char *output_report_measure_json (EngineReview *review);
char *output_report_measure_text (EngineReview *review);

#endif

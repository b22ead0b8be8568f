#include "engine/svg-hand.h"

#include <string.h>

static const char *
past (const char *p, const char *end, const char *what)
{
  const char *found = g_strstr_len (p, end - p, what);
  return found != NULL ? found + strlen (what) : end;
}

static const char *
past_doctype (const char *p, const char *end)
{
  int inner = 0;
  for (; p < end && (*p != '>' || inner > 0); p++)
    inner += (*p == '[' || *p == '<') - (*p == ']' || *p == '>');
  return p;
}

static const char *
past_tag (const char *p, const char *end)
{
  char quote = '\0';
  for (; p < end && (quote != '\0' || *p != '>'); p++)
    if (quote == '\0' ? *p == '"' || *p == '\'' : *p == quote)
      quote = quote == '\0' ? *p : '\0';
  return p;
}

void
engine_svg_hand_next (EngineSvgHand *h)
{
  const char *end = h->end;
  for (const char *p = h->next; p < end; p++)
  {
    if (*p != '<')
      continue;
    if (g_str_has_prefix (p, "<!--"))
      p = past (p + 4, end, "-->") - 1;
    else if (g_str_has_prefix (p, "<![CDATA["))
      p = past (p + 9, end, "]]>") - 1;
    else if (g_str_has_prefix (p, "<?"))
      p = past (p + 2, end, "?>") - 1;
    else if (p[1] == '!')
      p = past_doctype (p + 2, end);
    else if (p[1] == '/')
      p = past_tag (p + 2, end);
    else
    {
      h->tag = p;
      h->next = past_tag (p + 1, end);
      return;
    }
  }
  h->tag = h->next = end;
}

void
engine_svg_hand_count (const EngineSvgHand *h, const char *at, int *line, int *column)
{
  const char *start = h->text;
  *line = 1;
  for (const char *p = h->text; p < at; p++)
    if (*p == '\n')
    {
      ++*line;
      start = p + 1;
    }
  *column = 1;
  for (const char *p = start; p < at; p++)
    *column += ((guchar)*p & 0xc0) != 0x80; /* characters, not bytes */
}

const char *
engine_svg_hand_value (const EngineSvgHand *h, const char *attribute)
{
  for (const char *p = h->tag; p < h->next; p++)
  {
    if (*p == '"' || *p == '\'')
    {
      const char *close = memchr (p + 1, *p, (gsize)(h->next - p - 1));
      p = close != NULL ? close : h->next;
      continue;
    }
    if (!g_ascii_isspace (*p) || !g_str_has_prefix (p + 1, attribute))
      continue;
    const char *q = p + 1 + strlen (attribute);
    while (q < h->next && g_ascii_isspace (*q))
      q++;
    const char *mark = q < h->next && *q == '=' ? q + 1 : NULL;
    while (mark != NULL && mark < h->next && g_ascii_isspace (*mark))
      mark++;
    if (mark != NULL && mark < h->next)
      return mark + 1;
  }
  return h->tag;
}

// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/letters.h"

#include "sheet/fonts.h"

#include <math.h>
#include <pango/pangocairo.h>
#include <string.h>

/*
  Fitting tries sizes from the wished one down in steps of STEP. One line is preferred as long as it
  is not much smaller than wished (ONE_LINE); then two, and so on; what fits nowhere is set at the
  least height on all its lines and cut at their end.
*/

#define GRID_MM 0.05 ///< Of sizes that were made smaller
#define STEP 0.94
#define ONE_LINE 0.72
#define SLACK_MM 0.01

enum { TEXT_MAX = 4096, LACK_MAX = 8 };

double
letters_height_mm(double distance_m)
{
  return distance_m * 1000.0 / LETTERS_EASY_RATIO;
}

typedef struct {
  double w_mm, h_mm; ///< Of its black
  double x_mm, y_mm; ///< From the layout's corner to the black
  int lines;
  bool is_cut;
} Extent;

// ---- What is set ----

// Bytes of a character at `c` that turns text round by force or shuts it off from its neighbours
// (U+202A to U+202E, U+2066 to U+2069); 0 = it is none. One left open in a name would turn round
// the words of ours that follow: "NEVER", a socket.
static size_t
turner_bytes(const char* c)
{
  const bool is_low =
    !strncmp(c, "\xE2\x80", 2) && (unsigned char)c[2] >= 0xAA && (unsigned char)c[2] <= 0xAE;
  const bool is_high =
    !strncmp(c, "\xE2\x81", 2) && (unsigned char)c[2] >= 0xA6 && (unsigned char)c[2] <= 0xA9;
  return is_low || is_high ? 3 : 0;
}

// Text of lists as it can be set: no control characters, no line ends, trimmed; "" when nothing is
// left. `text` itself when there was nothing to do.
static const char*
clean(Canvas* canvas, const char* text)
{
  bool is_clean = text[0] != ' ';
  size_t n = 0;
  for (; text[n]; ++n) {
    is_clean =
      is_clean && (unsigned char)text[n] >= ' ' && text[n] != 0x7F && !turner_bytes(text + n);
  }
  if (is_clean && n <= TEXT_MAX && (n == 0 || text[n - 1] != ' ') &&
      g_utf8_validate(text, -1, NULL)) {
    return text;
  }
  char* const made = arena_text(canvas->arena, text, n < TEXT_MAX ? n : TEXT_MAX);
  if (!made) {
    canvas->status = canvas->status == STATUS_OK ? STATUS_NO_MEMORY : canvas->status;
    return "";
  }
  const char* end = NULL;
  while (!g_utf8_validate(made, -1, &end)) {
    made[end - made] = '?';
  }
  char* to = made;
  for (const char* c = made; *c;) {
    const size_t n_turner = turner_bytes(c);
    if (n_turner == 0) {
      *to++ = (unsigned char)*c < ' ' || *c == 0x7F ? ' ' : *c;
    }
    c += n_turner ? n_turner : 1;
  }
  *to = '\0';
  return g_strstrip(made);
}

static void
set_size(Canvas* canvas, double height_mm, bool is_bold)
{
  PangoFontDescription* const font = pango_font_description_new();
  pango_font_description_set_family_static(font, "DejaVu Sans");
  pango_font_description_set_weight(font, is_bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_size(font, (int)lround(height_mm / FONTS_CAPITAL_RATIO * PANGO_SCALE));
  pango_layout_set_font_description(canvas->layout, font);
  pango_font_description_free(font);
}

// Characters that no font has; [*n] each once.
static void
find_lacking(PangoLayout* layout, gunichar lacking[LACK_MAX], int* n)
{
  PangoLayoutIter* const at = pango_layout_get_iter(layout);
  *n = 0;
  do {
    const PangoLayoutRun* const run = pango_layout_iter_get_run_readonly(at);
    for (int i = 0; run && i < run->glyphs->num_glyphs; ++i) {
      const PangoGlyph glyph = run->glyphs->glyphs[i].glyph;
      const gunichar letter = glyph & ~(PangoGlyph)PANGO_GLYPH_UNKNOWN_FLAG;
      bool is_known = !(glyph & PANGO_GLYPH_UNKNOWN_FLAG) || glyph == PANGO_GLYPH_EMPTY;
      for (int k = 0; !is_known && k < *n; ++k) {
        is_known = lacking[k] == letter;
      }
      if (!is_known && *n < LACK_MAX) {
        lacking[(*n)++] = letter;
      }
    }
  } while (pango_layout_iter_next_run(at));
  pango_layout_iter_free(at);
}

static bool
is_among(gunichar letter, const gunichar list[], int n)
{
  for (int i = 0; i < n; ++i) {
    if (list[i] == letter) {
      return true;
    }
  }
  return false;
}

// The same text with "?" for what is lacking; a run of them is one "?".
static const char*
without(Canvas* canvas, const char* text, const gunichar lacking[], int n)
{
  char* const made = arena_array(canvas->arena, strlen(text) + 1, 1);
  size_t at = 0;
  bool was_lacking = false;
  if (!made) {
    canvas->status = STATUS_NO_MEMORY;
    return "";
  }
  for (const char* c = text; *c; c = g_utf8_next_char(c)) {
    const bool lacks = is_among(g_utf8_get_char(c), lacking, n);
    const size_t bytes = (size_t)(g_utf8_next_char(c) - c);
    if (lacks && !was_lacking) {
      made[at++] = '?';
    } else if (!lacks) {
      memcpy(made + at, c, bytes);
      at += bytes;
    }
    was_lacking = lacks;
  }
  return made;
}

// Hand the text to the layout, less what cannot be set. False: nothing to set.
static bool
set_text(Canvas* canvas, const char* text, Letters how)
{
  const char* set = clean(canvas, text);
  if (!set[0] || canvas->status != STATUS_OK) {
    return false;
  }
  pango_layout_set_width(canvas->layout, -1);
  pango_layout_set_height(canvas->layout, -1);
  pango_layout_set_ellipsize(canvas->layout, PANGO_ELLIPSIZE_NONE);
  pango_layout_set_wrap(canvas->layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_alignment(canvas->layout, how.align == LETTERS_CENTRE ? PANGO_ALIGN_CENTER
                                             : how.align == LETTERS_END  ? PANGO_ALIGN_RIGHT
                                                                         : PANGO_ALIGN_LEFT);
  set_size(canvas, how.height_mm, how.is_bold);
  pango_layout_set_text(canvas->layout, set, -1);
  for (int round = 0; round < 64 && pango_layout_get_unknown_glyphs_count(canvas->layout) > 0;
       ++round) {
    gunichar lacking[LACK_MAX];
    int n = 0;
    find_lacking(canvas->layout, lacking, &n);
    if (n == 0) {
      break;
    }
    for (int i = 0; i < n; ++i) {
      canvas_lack(canvas, fonts_package(lacking[i]), clean(canvas, text));
    }
    set = without(canvas, set, lacking, n);
    pango_layout_set_text(canvas->layout, set, -1);
  }
  return canvas->status == STATUS_OK;
}

// ---- How large ----

static Extent
measure(Canvas* canvas, double height_mm, bool is_bold, double w_mm)
{
  PangoRectangle ink;
  set_size(canvas, height_mm, is_bold);
  pango_layout_set_width(canvas->layout, w_mm > 0.0 ? (int)(w_mm * PANGO_SCALE) : -1);
  pango_layout_get_extents(canvas->layout, &ink, NULL);
  return (Extent){(double)ink.width / PANGO_SCALE,
                  (double)ink.height / PANGO_SCALE,
                  (double)ink.x / PANGO_SCALE,
                  (double)ink.y / PANGO_SCALE,
                  pango_layout_get_line_count(canvas->layout),
                  false};
}

static bool
is_in(const Extent* extent, double w_mm, double h_mm, int lines)
{
  return extent->w_mm <= w_mm + SLACK_MM && extent->h_mm <= h_mm + SLACK_MM &&
         extent->lines <= lines;
}

// The next size down on a grid. A size of its own for each text would be a font of its own, looked
// up in all that are installed: that was a quarter of the time a day's paper took.
static double
on_grid(double height_mm, double least_mm)
{
  return fmax(least_mm, floor(height_mm / GRID_MM + 1e-9) * GRID_MM);
}

// The largest size at which the text stands in a room on so many lines; 0 = none down to `least`.
// Widths grow with the size, so `natural_mm`, the width on one line at the wished height, says
// where to begin, and of most long texts that there is no use in trying.
static double
largest(Canvas* canvas, Letters how, double natural_mm, Room room, int lines, double least_mm,
        Extent* extent)
{
  const double wide_mm = lines * (room.w_mm + SLACK_MM);
  const double most_mm =
    natural_mm > wide_mm ? how.height_mm * wide_mm / natural_mm : how.height_mm;
  if (most_mm < least_mm) {
    return 0.0;
  }
  const double first_mm = natural_mm > wide_mm ? on_grid(most_mm, least_mm) : most_mm;
  for (double height = first_mm;; height = on_grid(height * STEP, least_mm)) {
    *extent = measure(canvas, height, how.is_bold, lines > 1 ? room.w_mm : -1.0);
    if (is_in(extent, room.w_mm, room.h_mm, lines)) {
      return height;
    }
    if (height <= least_mm) {
      return 0.0;
    }
  }
}

// At the least height on as many lines as there may be, the rest cut.
static double
cut(Canvas* canvas, Letters how, double w_mm, double h_mm, int lines, double least_mm,
    Extent* extent)
{
  pango_layout_set_ellipsize(canvas->layout, PANGO_ELLIPSIZE_END);
  for (double height = least_mm; height > 0.1; height *= STEP) {
    for (int n = lines; n >= 1; --n) {
      pango_layout_set_height(canvas->layout, -n);
      *extent = measure(canvas, height, how.is_bold, w_mm);
      if (is_in(extent, w_mm, h_mm, lines)) {
        extent->is_cut = pango_layout_is_ellipsized(canvas->layout);
        return height;
      }
    }
  }
  return 0.0;
}

static double
fit(Canvas* canvas, Letters how, double w_mm, double h_mm, Extent* extent)
{
  const Room room = {0.0, 0.0, w_mm, h_mm};
  const int lines = how.lines > 1 ? how.lines : 1;
  const bool may_shrink = how.least_mm > 0.0 && how.least_mm < how.height_mm;
  const double least_mm = may_shrink ? how.least_mm : how.height_mm;
  const double one_line_mm = lines > 1 ? fmax(least_mm, how.height_mm * ONE_LINE) : least_mm;
  const double natural_mm = measure(canvas, how.height_mm, how.is_bold, -1.0).w_mm;
  double height = largest(canvas, how, natural_mm, room, 1, one_line_mm, extent);
  for (int n = 2; height == 0.0 && n <= lines; ++n) {
    height = largest(canvas, how, natural_mm, room, n, n < lines ? one_line_mm : least_mm, extent);
  }
  return height > 0.0 ? height : cut(canvas, how, w_mm, h_mm, lines, least_mm, extent);
}

// ---- Drawing ----

static bool
is_from_right(const Canvas* canvas)
{
  return pango_layout_get_direction(canvas->layout, 0) == PANGO_DIRECTION_RTL;
}

static double
clamp(double value, double low, double high)
{
  return fmax(low, fmin(value, high));
}

double
letters_draw(Canvas* canvas, Room room, const char* text, Letters how)
{
  Extent extent = {0};
  if (!text || canvas->status != STATUS_OK || canvas->job.is_dry || !set_text(canvas, text, how)) {
    return 0.0;
  }
  const double height = fit(canvas, how, room.w_mm, room.h_mm, &extent);
  if (height == 0.0) {
    return 0.0;
  }
  if (extent.is_cut) {
    canvas_note(canvas, "A text is too long for its place and ends in \"...\": \"%.60s\".", text);
  }
  // Where the black goes; a line of capitals stands in the middle by its capitals, so that names
  // with and without tails share a line.
  const bool at_end =
    how.align == LETTERS_END || (how.align == LETTERS_START && is_from_right(canvas));
  const double ink_x = how.align == LETTERS_CENTRE ? room.x_mm + (room.w_mm - extent.w_mm) / 2.0
                       : at_end                    ? room.x_mm + room.w_mm - extent.w_mm
                                                   : room.x_mm;
  const double base = (double)pango_layout_get_baseline(canvas->layout) / PANGO_SCALE;
  double ink_y = room.y_mm;
  if (!how.at_top) {
    ink_y = extent.lines > 1 ? room.y_mm + (room.h_mm - extent.h_mm) / 2.0
                             : room.y_mm + (room.h_mm + height) / 2.0 - (base - extent.y_mm);
  }
  ink_y = clamp(ink_y, room.y_mm, fmax(room.y_mm, room.y_mm + room.h_mm - extent.h_mm));
  if (canvas->cairo) {
    cairo_move_to(canvas->cairo, ink_x - extent.x_mm, ink_y - extent.y_mm);
    pango_cairo_update_layout(canvas->cairo, canvas->layout);
    pango_cairo_show_layout(canvas->cairo, canvas->layout);
  }
  canvas_report(canvas, MARK_TEXT, (Room){ink_x, ink_y, extent.w_mm, extent.h_mm}, room, height,
                text, extent.is_cut);
  return height;
}

double
letters_needs_mm(Canvas* canvas, double w_mm, const char* text, Letters how)
{
  Extent extent = {0};
  if (!text || canvas->status != STATUS_OK || !set_text(canvas, text, how)) {
    return 0.0;
  }
  (void)fit(canvas, how, w_mm, 1e6, &extent);
  return extent.h_mm;
}

double
letters_width_mm(Canvas* canvas, const char* text, double height_mm, bool is_bold)
{
  const Letters how = {.height_mm = height_mm, .is_bold = is_bold};
  if (!text || canvas->status != STATUS_OK || !set_text(canvas, text, how)) {
    return 0.0;
  }
  return measure(canvas, height_mm, is_bold, -1.0).w_mm;
}

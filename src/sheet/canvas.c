// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/canvas.h"

#include "sheet/fonts.h"

#include <cairo-pdf.h>
#include <cairo-svg.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define POINTS_PER_MM (72.0 / 25.4)

enum { FIRST_ROOM = 256 * 1024 };

static cairo_status_t
take_bytes(void* user, const unsigned char* bytes, unsigned int n)
{
  Canvas* const canvas = user;
  if (canvas->n_bytes + n > canvas->n_room) {
    const size_t least = canvas->n_bytes + n;
    size_t room = canvas->n_room ? canvas->n_room : FIRST_ROOM;
    while (room < least) {
      room *= 2;
    }
    char* const grown = arena_grow(canvas->arena, canvas->bytes, canvas->n_bytes, room, 1);
    if (!grown) {
      return CAIRO_STATUS_NO_MEMORY;
    }
    canvas->bytes = grown;
    canvas->n_room = room;
  }
  memcpy(canvas->bytes + canvas->n_bytes, bytes, n);
  canvas->n_bytes += n;
  return CAIRO_STATUS_SUCCESS;
}

// cairo writes the time of day into a PDF unless told otherwise; none at all is what we want.
static void
name_it(Canvas* canvas)
{
  const char* const date = canvas->job.date;
  const bool is_date = date && strlen(date) == 10 && date[4] == '-' && date[7] == '-' &&
                       strspn(date, "0123456789-") == 10;
  cairo_pdf_surface_set_metadata(canvas->surface, CAIRO_PDF_METADATA_CREATE_DATE,
                                 is_date ? date : NULL);
  if (canvas->job.title) {
    cairo_pdf_surface_set_metadata(canvas->surface, CAIRO_PDF_METADATA_TITLE, canvas->job.title);
  }
}

void
canvas_init(Arena* arena, const CanvasJob* job, Canvas* canvas)
{
  *canvas = (Canvas){.arena = arena, .job = *job, .section = -1};
  cairo_matrix_init_identity(&canvas->turned);
  canvas->layout = fonts_layout(job->fonts);
  if (job->sort == CANVAS_PDF) {
    canvas->surface = cairo_pdf_surface_create_for_stream(take_bytes, canvas, 1.0, 1.0);
    cairo_pdf_surface_restrict_to_version(canvas->surface, CAIRO_PDF_VERSION_1_5);
    name_it(canvas);
    canvas->cairo = cairo_create(canvas->surface);
  }
}

static void
stop_drawing(Canvas* canvas)
{
  if (canvas->cairo) {
    cairo_destroy(canvas->cairo);
    canvas->cairo = NULL;
  }
  if (canvas->surface) {
    cairo_surface_destroy(canvas->surface);
    canvas->surface = NULL;
  }
}

void
canvas_free(Canvas* canvas)
{
  stop_drawing(canvas);
  if (canvas->layout) {
    g_object_unref(canvas->layout);
    canvas->layout = NULL;
  }
}

void
canvas_section(Canvas* canvas)
{
  if (canvas->section + 1 >= CANVAS_MAX_SECTIONS) {
    canvas->status = canvas->status == STATUS_OK ? STATUS_LIMIT : canvas->status;
    return;
  }
  ++canvas->section;
  canvas->section_page = 0;
}

// The one page of a picture: from here to the next page everything is drawn.
static void
begin_picture(Canvas* canvas, double w_mm, double h_mm)
{
  canvas->surface = cairo_svg_surface_create_for_stream(take_bytes, canvas, w_mm * POINTS_PER_MM,
                                                        h_mm * POINTS_PER_MM);
  canvas->cairo = cairo_create(canvas->surface);
  cairo_set_source_rgb(canvas->cairo, 1.0, 1.0, 1.0);
  cairo_paint(canvas->cairo);
}

static void
set_matrix(Canvas* canvas)
{
  if (canvas->cairo) {
    cairo_matrix_t all;
    cairo_matrix_t scale;
    cairo_matrix_init_scale(&scale, POINTS_PER_MM, POINTS_PER_MM);
    cairo_matrix_multiply(&all, &canvas->turned, &scale);
    cairo_set_matrix(canvas->cairo, &all);
  }
}

void
canvas_page(Canvas* canvas, double w_mm, double h_mm)
{
  if (canvas->section < 0) {
    canvas_section(canvas);
  }
  if (canvas->status != STATUS_OK) {
    return;
  }
  if (canvas->job.sort == CANVAS_PDF) {
    if (canvas->n_pages > 0) {
      cairo_show_page(canvas->cairo);
    }
    cairo_pdf_surface_set_size(canvas->surface, w_mm * POINTS_PER_MM, h_mm * POINTS_PER_MM);
  }
  ++canvas->n_pages;
  ++canvas->section_page;
  canvas->sections[canvas->section] = canvas->section_page;
  canvas->page_w_mm = w_mm;
  canvas->page_h_mm = h_mm;
  if (canvas->job.sort == CANVAS_PICTURE) {
    stop_drawing(canvas);
    if (canvas->n_pages == canvas->job.picture_page) {
      begin_picture(canvas, w_mm, h_mm);
    }
  }
  cairo_matrix_init_identity(&canvas->turned);
  set_matrix(canvas);
  if (canvas->cairo) {
    cairo_set_source_rgb(canvas->cairo, 0.0, 0.0, 0.0);
  }
}

int
canvas_total(const Canvas* canvas)
{
  const int at = canvas->section;
  return canvas->job.totals && at >= 0 && at < canvas->job.n_totals ? canvas->job.totals[at] : 0;
}

Status
canvas_done(Canvas* canvas, const char** bytes, size_t* n_bytes)
{
  if (canvas->surface) {
    cairo_surface_finish(canvas->surface);
    const cairo_status_t drawn = cairo_surface_status(canvas->surface);
    const cairo_status_t done = canvas->cairo ? cairo_status(canvas->cairo) : CAIRO_STATUS_SUCCESS;
    if (canvas->status == STATUS_OK && (drawn || (done && done != CAIRO_STATUS_SURFACE_FINISHED))) {
      canvas->status = STATUS_NO_MEMORY; // The only thing of ours that can refuse is `take_bytes`
    }
  }
  stop_drawing(canvas);
  if (canvas->status == STATUS_OK) {
    *bytes = canvas->bytes;
    *n_bytes = canvas->n_bytes;
  }
  return canvas->status;
}

void
canvas_note(Canvas* canvas, const char* format, ...)
{
  char text[400];
  va_list args;
  va_start(args, format);
  (void)vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  for (int i = 0; i < canvas->n_notes; ++i) {
    if (!strcmp(canvas->notes[i], text)) {
      return;
    }
  }
  if (canvas->n_notes < CANVAS_MAX_NOTES) {
    const char* const kept = arena_copy(canvas->arena, text);
    if (kept) {
      canvas->notes[canvas->n_notes++] = kept;
    } else {
      canvas->status = canvas->status == STATUS_OK ? STATUS_NO_MEMORY : canvas->status;
    }
  }
}

void
canvas_lack(Canvas* canvas, const char* package, const char* text)
{
  for (int i = 0; i < canvas->n_lacks; ++i) {
    if (!strcmp(canvas->lacks[i].package, package)) {
      return;
    }
  }
  const char* const kept = arena_copy(canvas->arena, text);
  if (!kept) {
    canvas->status = canvas->status == STATUS_OK ? STATUS_NO_MEMORY : canvas->status;
  } else if (canvas->n_lacks < CANVAS_MAX_LACKS) {
    canvas->lacks[canvas->n_lacks++] = (CanvasLack){package, kept};
  }
}

const char*
canvas_format(Canvas* canvas, const char* format, ...)
{
  va_list args;
  va_list again;
  va_start(args, format);
  va_copy(again, args);
  const int n = vsnprintf(NULL, 0, format, args);
  char* const text = n < 0 ? NULL : arena_array(canvas->arena, (size_t)n + 1, 1);
  if (text) {
    (void)vsnprintf(text, (size_t)n + 1, format, again);
  } else {
    canvas->status = canvas->status == STATUS_OK ? STATUS_NO_MEMORY : canvas->status;
  }
  va_end(again);
  va_end(args);
  return text ? text : "";
}

// ---- Drawing ----

cairo_matrix_t
canvas_turn(Canvas* canvas, double x_mm, double y_mm, int quarters)
{
  static const double cosine[] = {1.0, 0.0, -1.0, 0.0}; // Exact: no sum of small angles
  const cairo_matrix_t before = canvas->turned;
  const double c = cosine[quarters & 3];
  const double s = cosine[(quarters + 3) & 3];
  cairo_matrix_t turn;
  cairo_matrix_init(&turn, c, s, -s, c, x_mm, y_mm);
  cairo_matrix_multiply(&canvas->turned, &turn, &before);
  set_matrix(canvas);
  return before;
}

void
canvas_back(Canvas* canvas, cairo_matrix_t before)
{
  canvas->turned = before;
  set_matrix(canvas);
}

void
canvas_line(Canvas* canvas, double x0_mm, double y0_mm, double x1_mm, double y1_mm, double wide_mm)
{
  if (canvas->cairo) {
    cairo_set_line_width(canvas->cairo, wide_mm);
    cairo_move_to(canvas->cairo, x0_mm, y0_mm);
    cairo_line_to(canvas->cairo, x1_mm, y1_mm);
    cairo_stroke(canvas->cairo);
  }
}

void
canvas_dashes(Canvas* canvas, double x0_mm, double y0_mm, double x1_mm, double y1_mm)
{
  static const double dashes[] = {1.2, 1.2};
  if (canvas->cairo) {
    cairo_set_dash(canvas->cairo, dashes, 2, 0.0);
    canvas_line(canvas, x0_mm, y0_mm, x1_mm, y1_mm, 0.15);
    cairo_set_dash(canvas->cairo, NULL, 0, 0.0);
  }
}

void
canvas_frame(Canvas* canvas, Room room, double wide_mm)
{
  if (canvas->cairo) {
    cairo_set_line_width(canvas->cairo, wide_mm);
    cairo_rectangle(canvas->cairo, room.x_mm, room.y_mm, room.w_mm, room.h_mm);
    cairo_stroke(canvas->cairo);
  }
}

void
canvas_fill(Canvas* canvas, Room room, bool is_black)
{
  if (canvas->cairo) {
    const double shade = is_black ? 0.0 : 1.0;
    cairo_set_source_rgb(canvas->cairo, shade, shade, shade);
    cairo_rectangle(canvas->cairo, room.x_mm, room.y_mm, room.w_mm, room.h_mm);
    cairo_fill(canvas->cairo);
    cairo_set_source_rgb(canvas->cairo, 0.0, 0.0, 0.0);
  }
}

void
canvas_circle(Canvas* canvas, double x_mm, double y_mm, double radius_mm, double wide_mm,
              bool is_filled)
{
  if (canvas->cairo) {
    cairo_set_line_width(canvas->cairo, wide_mm);
    cairo_new_path(canvas->cairo);
    cairo_arc(canvas->cairo, x_mm, y_mm, radius_mm, 0.0, 2.0 * 3.14159265358979323846);
    (is_filled ? cairo_fill : cairo_stroke)(canvas->cairo);
  }
}

static Room
on_page(const Canvas* canvas, Room room)
{
  double x0 = room.x_mm;
  double y0 = room.y_mm;
  double x1 = room.x_mm + room.w_mm;
  double y1 = room.y_mm + room.h_mm;
  cairo_matrix_transform_point(&canvas->turned, &x0, &y0);
  cairo_matrix_transform_point(&canvas->turned, &x1, &y1);
  return (Room){fmin(x0, x1), fmin(y0, y1), fabs(x1 - x0), fabs(y1 - y0)};
}

void
canvas_report(Canvas* canvas, MarkSort sort, Room ink, Room room, double height_mm,
              const char* text, bool is_cut)
{
  canvas->n_codes += sort == MARK_CODE;
  if (canvas->job.see) {
    const CanvasMark mark = {sort,
                             canvas->n_pages,
                             canvas->page_w_mm,
                             canvas->page_h_mm,
                             on_page(canvas, ink),
                             on_page(canvas, room),
                             height_mm,
                             text,
                             is_cut};
    canvas->job.see(canvas->job.see_user, &mark);
  }
}

// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <cairo.h>
#include <pango/pango.h>
#include <stdbool.h>

/*
  The paper a sheet is drawn on: pages in millimetres, black only.

  A canvas draws to one of three: a PDF of all pages, an SVG picture of one page (for a look before
  printing), or nothing, which counts the pages. All three run the same drawing code, so that what
  was looked at is what is printed.

  Same drawing, same bytes: no clock is asked (a PDF of ours carries no date unless it is given
  one), letters are laid out without hinting, and colour fonts are left out, since a printer here
  has black.

  A drawing step cannot fail by itself: the first failure stays in the canvas and canvas_done hands
  it back, as TextOut does. What was drawn can be reported to whoever listens (`see`): tests hold
  the reported boxes apart.

  One thread a canvas; canvases of different threads know nothing of each other.
*/

typedef enum { CANVAS_COUNT, CANVAS_PDF, CANVAS_PICTURE } CanvasSort;

enum { CANVAS_MAX_SECTIONS = 512, CANVAS_MAX_NOTES = 24, CANVAS_MAX_LACKS = 4 };

typedef struct {
  double x_mm, y_mm, w_mm, h_mm; ///< From the page's top left corner, before any turning
} Room;

typedef enum {
  MARK_TEXT, ///< `ink` is where its black is, `room` what it was given
  MARK_CODE  ///< A QR code: `room` with its quiet zone, `ink` without
} MarkSort;

/// Letters that no font here has: each package that would bring some, once.
typedef struct {
  const char* package; ///< Static
  const char* text;    ///< The first that has such letters
} CanvasLack;

/// One thing drawn.
typedef struct {
  MarkSort sort;
  int page; ///< From 1
  double page_w_mm, page_h_mm;
  Room ink;
  Room room;
  double height_mm; ///< Of the capitals it got; of a code: one module
  const char* text; ///< As it was handed in; lives as long as the call
  bool is_cut;      ///< Did not fit as a whole
} CanvasMark;

typedef void (*CanvasSee)(void* user, const CanvasMark* mark);

typedef struct {
  CanvasSort sort;
  bool is_dry;       ///< Of CANVAS_COUNT: pages alone, no notes, nothing reported
  int picture_page;  ///< Of CANVAS_PICTURE, from 1
  const char* title; ///< Of the PDF
  const char* date;  ///< "2031-06-14": put inside; "" or another text = none inside
  const int* totals; ///< [n_totals] pages of each section, from a count before; NULL = not known
  int n_totals;
  struct CanvasFonts* fonts; ///< Borrowed: fonts_new
  CanvasSee see;             ///< NULL = nobody listens
  void* see_user;
} CanvasJob;

typedef struct {
  Arena* arena;
  CanvasJob job;
  Status status; ///< First failure
  // What it draws with
  cairo_surface_t* surface;
  cairo_t* cairo; ///< NULL while nothing is to be drawn
  PangoLayout* layout;
  cairo_matrix_t turned; ///< Where we are on the page, in mm
  double page_w_mm, page_h_mm;
  // What it made
  char* bytes;
  size_t n_bytes, n_room;
  int n_pages;
  int section;                         ///< Index, -1 before the first
  int section_page;                    ///< From 1, in the section
  int sections[CANVAS_MAX_SECTIONS];   ///< Pages of each
  const char* notes[CANVAS_MAX_NOTES]; ///< Sentences for whoever prints
  int n_notes;
  CanvasLack lacks[CANVAS_MAX_LACKS]; ///< Letters that were in no font
  int n_lacks;
  int n_codes; ///< QR codes drawn
} Canvas;

/// Start; the first page comes with canvas_page. To be ended with canvas_free.
void
canvas_init(Arena* arena, const CanvasJob* job, Canvas* canvas);

/// Legal on an all-zero one.
void
canvas_free(Canvas* canvas);

/// A part whose pages are counted by themselves ("page 1 of 2") begins.
void
canvas_section(Canvas* canvas);

/// A fresh page.
void
canvas_page(Canvas* canvas, double w_mm, double h_mm);

/// Pages of the section we are in; 0 = not known yet.
int
canvas_total(const Canvas* canvas);

/// Close the file. @param[out] bytes Live in the arena; NULL and 0 for CANVAS_COUNT.
Status
canvas_done(Canvas* canvas, const char** bytes, size_t* n_bytes);

/// Say something to whoever prints; the same sentence only once.
void
canvas_note(Canvas* canvas, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// Letters of a text are in no font here; a package that has them.
void
canvas_lack(Canvas* canvas, const char* package, const char* text);

/// A formatted text in the canvas's arena; "" (and the failure kept) when there is no memory.
const char*
canvas_format(Canvas* canvas, const char* format, ...) __attribute__((format(printf, 2, 3)));

// ---- Drawing ----

/// From here on (x, y) is the origin, turned clockwise by quarter turns. Undone by canvas_back with
/// what this returns.
cairo_matrix_t
canvas_turn(Canvas* canvas, double x_mm, double y_mm, int quarters);

void
canvas_back(Canvas* canvas, cairo_matrix_t before);

void
canvas_line(Canvas* canvas, double x0_mm, double y0_mm, double x1_mm, double y1_mm, double wide_mm);

/// Dashes: where to cut or fold.
void
canvas_dashes(Canvas* canvas, double x0_mm, double y0_mm, double x1_mm, double y1_mm);

void
canvas_frame(Canvas* canvas, Room room, double wide_mm);

/// Filled: 0 white, 1 black.
void
canvas_fill(Canvas* canvas, Room room, bool is_black);

/// A circle, filled or not.
void
canvas_circle(Canvas* canvas, double x_mm, double y_mm, double radius_mm, double wide_mm,
              bool is_filled);

/// Report a mark in the page's own coordinates. For letters and codes.
void
canvas_report(Canvas* canvas, MarkSort sort, Room ink, Room room, double height_mm,
              const char* text, bool is_cut);

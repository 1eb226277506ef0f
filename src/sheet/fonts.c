// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/fonts.h"

#include <fontconfig/fontconfig.h>
#include <pango/pangocairo.h>
#include <pango/pangofc-fontmap.h>
#include <stdlib.h>

#if defined(__SANITIZE_ADDRESS__)
#define WATCHES_LEAKS
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define WATCHES_LEAKS
#endif
#endif

// fontconfig keeps offsets where others keep pointers, and a leak checker cannot follow those: what
// it still holds at the end of the program looks lost.
#ifdef WATCHES_LEAKS
const char*
__lsan_default_suppressions(void);
const char*
__lsan_default_suppressions(void)
{
  return "leak:libfontconfig\nleak:libpango\n";
}

const char*
__lsan_default_options(void);
const char*
__lsan_default_options(void)
{
  return "print_suppressions=0";
}
#endif

struct CanvasFonts {
  FcConfig* config;
  PangoFontMap* map;
  PangoContext* context;
};

// A font with colours would print as a grey smear, or not at all.
static const char no_colours[] =
  "<?xml version=\"1.0\"?><!DOCTYPE fontconfig SYSTEM \"fonts.dtd\"><fontconfig><selectfont>"
  "<rejectfont><pattern><patelt name=\"color\"><bool>true</bool></patelt></pattern></rejectfont>"
  "</selectfont></fontconfig>";

static Status
no_fonts(Error* error)
{
  return error_set(error, STATUS_IO, NULL, 0, 0,
                   "There is no font to print with: install the package fonts-dejavu-core.");
}

Status
fonts_new(CanvasFonts** fonts, Error* error)
{
  CanvasFonts* const made = calloc(1, sizeof(*made));
  if (!made) {
    return STATUS_NO_MEMORY;
  }
  made->config = FcConfigCreate();
  const FcFontSet* set = NULL;
  if (made->config && FcConfigParseAndLoad(made->config, NULL, FcTrue) &&
      FcConfigParseAndLoadFromMemory(made->config, (const FcChar8*)no_colours, FcTrue) &&
      FcConfigBuildFonts(made->config)) {
    set = FcConfigGetFonts(made->config, FcSetSystem);
  }
  if (!set || set->nfont == 0) {
    fonts_free(made);
    return no_fonts(error);
  }
  made->map = pango_cairo_font_map_new_for_font_type(CAIRO_FONT_TYPE_FT);
  if (!made->map) {
    fonts_free(made);
    return no_fonts(error);
  }
  pango_fc_font_map_set_config(PANGO_FC_FONT_MAP(made->map), made->config);
  pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(made->map), 72.0);
  made->context = pango_font_map_create_context(made->map);
  cairo_font_options_t* const options = cairo_font_options_create();
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  pango_cairo_context_set_font_options(made->context, options);
  cairo_font_options_destroy(options);
  pango_context_set_round_glyph_positions(made->context, FALSE);
  pango_context_set_language(made->context, pango_language_from_string("en")); // Not the locale's
  *fonts = made;
  return STATUS_OK;
}

void
fonts_free(CanvasFonts* fonts)
{
  if (!fonts) {
    return;
  }
  if (fonts->context) {
    g_object_unref(fonts->context);
  }
  if (fonts->map) {
    g_object_unref(fonts->map);
  }
  if (fonts->config) {
    FcConfigDestroy(fonts->config);
  }
  free(fonts);
}

PangoLayout*
fonts_layout(const CanvasFonts* fonts)
{
  return pango_layout_new(fonts->context);
}

const char*
fonts_package(uint32_t letter)
{
  static const struct {
    uint32_t first, last; ///< Blocks of the Unicode standard
    const char* package;
  } blocks[] = {
    {0x1100, 0x11FF, "fonts-noto-cjk"},   {0x2190, 0x23FF, "fonts-symbola"},
    {0x2460, 0x2BFF, "fonts-symbola"},    {0x2E80, 0x9FFF, "fonts-noto-cjk"},
    {0xA960, 0xA97F, "fonts-noto-cjk"},   {0xAC00, 0xD7FF, "fonts-noto-cjk"},
    {0xF900, 0xFAFF, "fonts-noto-cjk"},   {0xFE30, 0xFE4F, "fonts-noto-cjk"},
    {0xFF00, 0xFFEF, "fonts-noto-cjk"},   {0x1F000, 0x1FAFF, "fonts-symbola"},
    {0x20000, 0x3FFFF, "fonts-noto-cjk"},
  };
  for (size_t i = 0; i < sizeof(blocks) / sizeof(blocks[0]); ++i) {
    if (letter >= blocks[i].first && letter <= blocks[i].last) {
      return blocks[i].package;
    }
  }
  return "fonts-noto-core";
}

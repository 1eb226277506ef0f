// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/screen.h"

#include "base/text.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

static const char* const paints[] = {
  [PAINT_PLAIN] = "",        [PAINT_STRONG] = "\033[1m", [PAINT_GOOD] = "\033[32m",
  [PAINT_WARN] = "\033[33m", [PAINT_BAD] = "\033[1;31m", [PAINT_FAINT] = "\033[2m",
};

static int
width_of(FILE* out, bool is_terminal)
{
  int width = 0;
  const char* const columns = getenv("COLUMNS");
  if (columns && text_whole(columns, 1, 10000, &width)) {
    return width < 20 ? 20 : width > 200 ? 200 : width;
  }
  struct winsize size;
  if (is_terminal && ioctl(fileno(out), TIOCGWINSZ, &size) == 0 && size.ws_col > 0) {
    return size.ws_col < 20 ? 20 : size.ws_col > 200 ? 200 : size.ws_col;
  }
  return 80;
}

void
screen_init(Screen* screen, FILE* out)
{
  const char* const no_color = getenv("NO_COLOR");
  const char* const term = getenv("TERM");
  screen->out = out;
  screen->is_terminal = isatty(fileno(out)) == 1;
  screen->has_escapes = screen->is_terminal && !(no_color && no_color[0]) && term && term[0] &&
                        strcmp(term, "dumb") != 0;
  screen->width = width_of(out, screen->is_terminal);
}

static void
paint_on(const Screen* screen, Paint paint)
{
  if (screen->has_escapes && paint != PAINT_PLAIN) {
    (void)fputs(paints[paint], screen->out);
  }
}

static void
paint_off(const Screen* screen, Paint paint)
{
  if (screen->has_escapes && paint != PAINT_PLAIN) {
    (void)fputs("\033[0m", screen->out);
  }
}

// Bytes of the character at `text`, 1 for a stray byte.
static size_t
character(const char* text)
{
  size_t n = 1;
  while (((unsigned char)text[n] & 0xC0) == 0x80) {
    ++n;
  }
  return n;
}

static bool
is_control(const char* text, size_t n)
{
  const unsigned char c = (unsigned char)text[0];
  return c < 0x20 || c == 0x7F || (n == 2 && c == 0xC2 && (unsigned char)text[1] < 0xA0);
}

static int
columns_of(const char* text, size_t n)
{
  char one[16];
  if (n >= sizeof(one) || is_control(text, n)) {
    return 1;
  }
  memcpy(one, text, n);
  one[n] = '\0';
  return text_width(one);
}

static void
put_character(const Screen* screen, const char* text, size_t n)
{
  if (is_control(text, n)) {
    (void)fputc(' ', screen->out);
  } else {
    (void)fwrite(text, 1, n, screen->out);
  }
}

static int
put_blanks(const Screen* screen, int n)
{
  for (int i = 0; i < n; ++i) {
    (void)fputc(' ', screen->out);
  }
  return n;
}

// A word: up to the next blank.
static size_t
word_length(const char* text, int* columns)
{
  size_t n = 0;
  *columns = 0;
  while (text[n] && text[n] != ' ' && text[n] != '\n') {
    const size_t step = character(text + n);
    *columns += columns_of(text + n, step);
    n += step;
  }
  return n;
}

void
screen_rest(const Screen* screen, Paint paint, int column, int indent, const char* text)
{
  const int room = indent < screen->width - 10 ? indent : 2;
  bool fresh = true; // Nothing on this line yet behind the indent
  paint_on(screen, paint);
  while (*text) {
    if (*text == '\n') {
      (void)fputc('\n', screen->out);
      column = put_blanks(screen, room);
      fresh = true;
      ++text;
      continue;
    }
    if (*text == ' ') {
      ++text;
      continue;
    }
    int columns = 0;
    size_t left = word_length(text, &columns);
    if (column + columns + !fresh > screen->width && (!fresh || column > room)) {
      (void)fputc('\n', screen->out);
      column = put_blanks(screen, room);
      fresh = true;
    }
    if (!fresh) {
      column += put_blanks(screen, 1);
    }
    while (left > 0) {
      const size_t n = character(text);
      const int wide = columns_of(text, n);
      if (column + wide > screen->width) { // A word longer than a line
        (void)fputc('\n', screen->out);
        column = put_blanks(screen, room);
      }
      put_character(screen, text, n);
      column += wide;
      text += n;
      left -= n;
    }
    fresh = false;
  }
  paint_off(screen, paint);
  (void)fputc('\n', screen->out);
}

void
screen_item(const Screen* screen, Paint paint, const char* lead, const char* text)
{
  (void)fputs(lead, screen->out);
  const int n = text_width(lead);
  screen_rest(screen, paint, n, n, text);
}

void
screen_say(const Screen* screen, Paint paint, const char* format, ...)
{
  char text[1500];
  va_list args;
  va_start(args, format);
  (void)vsnprintf(text, sizeof(text), format, args);
  va_end(args);
  screen_rest(screen, paint, 0, 0, text);
}

void
screen_cell(const Screen* screen, Paint paint, const char* text, int columns)
{
  int used = 0;
  const int most = columns < 0 ? -columns : columns;
  paint_on(screen, paint);
  while (*text) {
    const size_t n = character(text);
    const int wide = columns_of(text, n);
    if (most > 0 && used + wide > most) {
      break;
    }
    put_character(screen, text, n);
    used += wide;
    text += n;
  }
  paint_off(screen, paint);
  (void)put_blanks(screen, columns - used);
}

void
screen_gap(const Screen* screen)
{
  (void)fputc('\n', screen->out);
}

void
screen_clear(const Screen* screen)
{
  if (screen->has_escapes) {
    (void)fputs("\033[H\033[2J", screen->out);
  }
}

const char*
screen_seconds(double seconds, char text[32])
{
  const int whole = !(seconds > 0) ? 0 : seconds > 86400 ? 86400 : (int)lround(seconds);
  if (whole < 90) {
    (void)snprintf(text, 32, "%d s", whole);
  } else if (whole < 600 && whole % 60) {
    (void)snprintf(text, 32, "%d min %d s", whole / 60, whole % 60);
  } else {
    (void)snprintf(text, 32, "%d min", (whole + 30) / 60);
  }
  return text;
}

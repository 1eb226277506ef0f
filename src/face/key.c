// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/key.h"

#include <ctype.h>
#include <poll.h>
#include <signal.h>
#include <stdio.h>
#include <sys/signalfd.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

static double
clock_s(void)
{
  struct timespec now;
  (void)clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

void
keys_init(Keys* keys, const Screen* screen)
{
  *keys = (Keys){screen->is_terminal && isatty(STDIN_FILENO) == 1, clock_s(), 0, "on this line"};
}

double
keys_seconds(const Keys* keys)
{
  return clock_s() - keys->start_s;
}

// In a pipe: the first letter or digit of a line; lines without one are passed over.
static int
next_of_pipe(void)
{
  int key = 0;
  for (int c; (c = getchar()) != EOF;) {
    if (c == '\n' && key) {
      return key;
    }
    key = !key && !isspace(c) ? tolower(c) : key;
  }
  return key ? key : KEY_END;
}

static void
show_clock(const Keys* keys, const Screen* screen)
{
  if (screen->has_escapes) {
    const int s = (int)keys_seconds(keys);
    (void)fprintf(screen->out, "\r%d:%02d %s. Key: \033[K", s / 60, s % 60, keys->clock_says);
    (void)fflush(screen->out);
  }
}

static int
wait_key(Keys* keys, const Screen* screen, int signals, double until_s)
{
  struct pollfd both[2] = {{STDIN_FILENO, POLLIN, 0}, {signals, POLLIN, 0}};
  for (;;) {
    show_clock(keys, screen);
    if (until_s > 0 && keys_seconds(keys) >= until_s) {
      return KEY_LATER;
    }
    if (poll(both, 2, 1000) <= 0) {
      continue; // A second has gone by
    }
    struct signalfd_siginfo info;
    if ((both[1].revents & POLLIN) && read(signals, &info, sizeof(info)) == (ssize_t)sizeof(info)) {
      keys->signal = (int)info.ssi_signo;
      return KEY_END;
    }
    unsigned char c = 0;
    if (both[0].revents && read(STDIN_FILENO, &c, 1) != 1) {
      return KEY_END;
    }
    if (c == 4) {
      return KEY_END;
    }
    if (c > ' ' && c < 0x7F) {
      return tolower(c);
    }
  }
}

static int
next_of_terminal(Keys* keys, const Screen* screen, double until_s)
{
  struct termios before;
  sigset_t ours;
  sigset_t theirs;
  (void)sigemptyset(&ours);
  static const int caught[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGTSTP};
  for (size_t i = 0; i < sizeof(caught) / sizeof(caught[0]); ++i) {
    (void)sigaddset(&ours, caught[i]);
  }
  if (tcgetattr(STDIN_FILENO, &before) != 0) {
    return KEY_END;
  }
  (void)sigprocmask(SIG_BLOCK, &ours, &theirs);
  const int signals = signalfd(-1, &ours, SFD_CLOEXEC);
  struct termios raw = before;
  raw.c_lflag &= ~(tcflag_t)(ICANON | ECHO);
  raw.c_cc[VMIN] = 1;
  raw.c_cc[VTIME] = 0;
  int key = KEY_END;
  if (signals >= 0 && tcsetattr(STDIN_FILENO, TCSADRAIN, &raw) == 0) {
    key = wait_key(keys, screen, signals, until_s);
    (void)tcsetattr(STDIN_FILENO, TCSADRAIN, &before);
  }
  if (signals >= 0) {
    (void)close(signals);
  }
  (void)sigprocmask(SIG_SETMASK, &theirs, NULL);
  (void)fputc('\n', screen->out);
  return key;
}

int
keys_next(Keys* keys, const Screen* screen, double until_s)
{
  (void)fflush(screen->out);
  if (!keys->is_keys) {
    return next_of_pipe();
  }
  const int key = next_of_terminal(keys, screen, until_s);
  if (keys->signal == SIGTSTP) { // Laid aside with ^Z: wait, then draw again
    keys->signal = 0;
    (void)raise(SIGSTOP);
    return KEY_LATER;
  }
  return key;
}

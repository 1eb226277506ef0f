// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/section.h"

#include "circuit/kernel.h"

void
view_section_half(View v, const Section* section, const PortTones* tones)
{
  for (int i = 0; i < v.n * (v.n - 1) / 2; ++i) {
    if (section->pair_siemens[i] != 0.0 || (tones && section->pair_f[i] != 0.0)) {
      view_admit(v, v.g, i, tones, 0.5 * section->pair_siemens[i], 0.5 * section->pair_f[i]);
    }
  }
  for (int i = 0; i < v.n; ++i) {
    const double earth_f = section->earth_f[i] + section->room_f[i];
    if (section->earth_siemens[i] != 0.0 || (tones && earth_f != 0.0)) {
      view_admit(v, v.e, i, tones, 0.5 * section->earth_siemens[i], 0.5 * earth_f);
    }
    if (tones && section->room_f[i] != 0.0) {
      view_room(v, i, tones, 0.5 * section->room_f[i]);
    }
  }
}

void
view_section(View v, const Section* section, const PortTones* tones)
{
  assert(section->n == v.n);
  view_section_half(v, section, tones);
  view_series_all(v, section->series_ohm);
  view_section_half(v, section, tones);
}

void
section_pass(const Section* section, Port* port)
{
  view_section(view_dc(port), section, NULL);
}

void
section_pass_ac(const Section* section, const PortTones* tones, PortAc* port)
{
  view_section(view_ac(port), section, tones);
}

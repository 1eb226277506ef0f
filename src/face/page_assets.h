// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stddef.h>

/*
  The crew page as the program carries it: every file of web/dist/manifest.json with the path it is
  served under. web/assemble writes the table when the program is built; where there was no Node
  to build the page with, it is empty, and a server says how to get one.

  A path under /a/ holds a hash of what is in the file, so it may be kept for ever; "/" may not.
*/

typedef struct {
  const char* path;           ///< Served under, as in "/a/page-5EGCPQG6.js"; "/" is the page itself
  const char* type;           ///< Content-Type
  const char* tag;            ///< For ETag: a hash of the bytes, in hex, without quotes
  const unsigned char* bytes; ///< [n_bytes]
  size_t n_bytes;
  const unsigned char* gzip; ///< The same compressed. [n_gzip]
  size_t n_gzip;
} PageAsset;

extern const PageAsset page_assets[]; ///< [n_page_assets], by path; one empty entry when 0
extern const size_t n_page_assets;

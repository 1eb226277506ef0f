// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

/*
  Printed sheets on the disk: first every one under another name beside its place and safely down,
  then all get their names. So a full disk leaves what was there before, and never half a folder.
*/

typedef struct {
  const char* path;
  const char* bytes; ///< [n_bytes]
  size_t n_bytes;
  const char* part; ///< Set by paper_file_write
} PaperFile;

/// Whether a file may be written: it is not there, is an older PDF, or --force was given.
Status
paper_file_may(const Face* face, const char* path);

/// Write all. A file that is there and is no PDF stays, unless --force. @return STATUS_EXISTS,
/// STATUS_FULL, STATUS_IO with the file and why; what was there before is then untouched, or the
/// sentence says which files are new already.
Status
paper_file_write(const Face* face, PaperFile* files, int n);

// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/paper_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static Status
cannot(const Face* face, const char* path, int why)
{
  return error_set(face->error, why == ENOSPC ? STATUS_FULL : STATUS_IO, NULL, 0, 0,
                   "\"%s\" could not be written: %s.", path, strerror(why));
}

Status
paper_file_may(const Face* face, const char* path)
{
  char head[4] = "";
  struct stat about;
  if (stat(path, &about) != 0) {
    return STATUS_OK; // Whatever else is wrong with it shows when it is written
  }
  if (!S_ISREG(about.st_mode)) {
    return error_set(face->error, STATUS_EXISTS, NULL, 0, 0,
                     "\"%s\" is there and is no file: give another name.", path);
  }
  const int file = open(path, O_RDONLY | O_CLOEXEC);
  const bool is_pdf = file >= 0 && read(file, head, sizeof(head)) == (ssize_t)sizeof(head) &&
                      !memcmp(head, "%PDF", 4);
  if (file >= 0) {
    (void)close(file);
  }
  return is_pdf || about.st_size == 0 || face->args->force
           ? STATUS_OK
           : error_set(face->error, STATUS_EXISTS, NULL, 0, 0,
                       "\"%s\" is there and is no PDF: give another name, or --force to write over "
                       "it.",
                       path);
}

static Status
write_part(const Face* face, PaperFile* file)
{
  const char* const part = arena_format(face->arena, "%s.part", file->path);
  size_t done = 0;
  if (!part) {
    return STATUS_NO_MEMORY;
  }
  const int out = open(part, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0666);
  if (out < 0) {
    return cannot(face, file->path, errno);
  }
  file->part = part;
  while (done < file->n_bytes) {
    const ssize_t n = write(out, file->bytes + done, file->n_bytes - done);
    if (n < 0 && errno != EINTR) {
      const int why = errno;
      (void)close(out);
      return cannot(face, file->path, why);
    }
    done += n > 0 ? (size_t)n : 0;
  }
  const int why = fsync(out) == 0 ? 0 : errno;
  if (close(out) != 0 || why) {
    return cannot(face, file->path, why ? why : errno);
  }
  return STATUS_OK;
}

static void
take_back(PaperFile* files, int n)
{
  for (int i = 0; i < n; ++i) {
    if (files[i].part) {
      (void)unlink(files[i].part);
      files[i].part = NULL;
    }
  }
}

Status
paper_file_write(const Face* face, PaperFile* files, int n)
{
  Status st = STATUS_OK;
  for (int i = 0; i < n && st == STATUS_OK; ++i) {
    st = paper_file_may(face, files[i].path);
  }
  for (int i = 0; i < n && st == STATUS_OK; ++i) {
    st = write_part(face, &files[i]);
  }
  int n_named = 0;
  for (int i = 0; i < n && st == STATUS_OK; ++i) {
    if (rename(files[i].part, files[i].path) != 0) {
      const char* const why = strerror(errno);
      st =
        error_set(face->error, STATUS_IO, NULL, 0, 0,
                  "\"%s\" could not get its name (%s); %d of %d sheets are new, the others are as "
                  "they were.",
                  files[i].path, why, n_named, n);
    } else {
      files[i].part = NULL;
      ++n_named;
    }
  }
  if (st != STATUS_OK) {
    take_back(files, n);
  }
  return st;
}

// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_asset.h"

#include "face/http_pack.h"
#include "face/page_assets.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char no_page[] =
  "Linewalk is running, but this program was built without the crew page.\n\n"
  "The page is built with Node (18 or newer): install nodejs and npm, type \"make\" again in the\n"
  "folder of the sources, and start the server anew. What the page shows can be asked for without\n"
  "it: GET /api/1/lines, /api/1/line?line=45, /api/1/next (docs/api.md has them all).\n";

static HttpReply
without_page(const char* path)
{
  if (strcmp(path, "/") != 0) {
    return http_reply_say(MHD_HTTP_NOT_FOUND, "There is nothing here.");
  }
  char* const text = malloc(sizeof(no_page));
  if (text) {
    memcpy(text, no_page, sizeof(no_page));
  }
  return http_reply_text(MHD_HTTP_OK, "text/plain; charset=utf-8", text, sizeof(no_page) - 1);
}

static const PageAsset*
asset_of(const char* path)
{
  for (size_t i = 0; i < n_page_assets; ++i) {
    if (!strcmp(page_assets[i].path, path)) {
      return &page_assets[i];
    }
  }
  return NULL;
}

HttpReply
http_asset_reply(struct MHD_Connection* connection, const char* path)
{
  const PageAsset* const asset = asset_of(path);
  if (!asset) {
    return without_page(n_page_assets > 0 ? "" : path);
  }
  char tag[80];
  (void)snprintf(tag, sizeof(tag), "W/\"%s\"", asset->tag); // Weak: packed or not
  const char* const has = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "If-None-Match");
  const bool is_same = has && strstr(has, tag);
  const bool is_gzip =
    asset->n_gzip > 0 &&
    http_pack_takes(MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Accept-Encoding"));
  const size_t n = is_same ? 0 : is_gzip ? asset->n_gzip : asset->n_bytes;
  // The table is constant and outlives every response; libmicrohttpd does not write into it
  void* const bytes = (void*)(uintptr_t)(is_gzip ? asset->gzip : asset->bytes);
  HttpReply reply = {is_same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK,
                     MHD_create_response_from_buffer(n, bytes, MHD_RESPMEM_PERSISTENT)};
  if (!reply.response) {
    return reply;
  }
  http_reply_guard(reply.response);
  http_reply_header(&reply, "Content-Type", asset->type);
  http_reply_header(&reply, "ETag", tag);
  http_reply_header(&reply, "Vary", "Accept-Encoding");
  // A path under /a/ names its bytes by their hash
  http_reply_header(&reply, "Cache-Control",
                    strncmp(path, "/a/", 3) ? "no-cache" : "max-age=31536000, immutable");
  if (is_gzip && !is_same) {
    http_reply_header(&reply, "Content-Encoding", "gzip");
  }
  return reply;
}

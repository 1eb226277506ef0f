// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_asset.h"

#include <stdlib.h>
#include <string.h>

static const char no_page[] =
  "Linewalk is running, but this program was built without the crew page.\n\n"
  "The page is built with Node (18 or newer): install nodejs and npm, type \"make\" again in the\n"
  "folder of the sources, and start the server anew. What the page shows can be asked for without\n"
  "it: GET /api/1/lines, /api/1/line?line=45, /api/1/next (docs/api.md has them all).\n";

HttpReply
http_asset_reply(struct MHD_Connection* connection, const char* path)
{
  (void)connection;
  if (strcmp(path, "/") != 0) {
    return http_reply_say(MHD_HTTP_NOT_FOUND, "There is nothing here.");
  }
  char* const text = malloc(sizeof(no_page));
  if (text) {
    memcpy(text, no_page, sizeof(no_page));
  }
  return http_reply_text(MHD_HTTP_OK, "text/plain; charset=utf-8", text, sizeof(no_page) - 1);
}

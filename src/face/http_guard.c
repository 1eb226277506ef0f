// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_guard.h"

#include "face/http_door.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

void
http_guard_address(struct MHD_Connection* connection, char* text)
{
  const union MHD_ConnectionInfo* const info =
    MHD_get_connection_info(connection, MHD_CONNECTION_INFO_CLIENT_ADDRESS);
  const struct sockaddr* const address = info ? info->client_addr : NULL;
  text[0] = '\0';
  if (address && address->sa_family == AF_INET) {
    const struct sockaddr_in* const four = (const struct sockaddr_in*)(const void*)address;
    (void)inet_ntop(AF_INET, &four->sin_addr, text, HTTP_ADDRESS_ROOM);
  } else if (address && address->sa_family == AF_INET6) {
    const struct sockaddr_in6* const six = (const struct sockaddr_in6*)(const void*)address;
    (void)inet_ntop(AF_INET6, &six->sin6_addr, text, HTTP_ADDRESS_ROOM);
  }
}

bool
http_guard_is_loopback(const char* address)
{
  return !strcmp(address, "127.0.0.1") || !strcmp(address, "::1");
}

// The name of a Host without its port; false when there is none or it does not fit.
static bool
host_name(const char* host, char name[80])
{
  size_t n = strlen(host);
  const char* const bracket = host[0] == '[' ? strchr(host, ']') : NULL;
  if (host[0] == '[' && (!bracket || (bracket[1] && bracket[1] != ':'))) {
    return false;
  }
  const char* const colon = strchr(bracket ? bracket : host, ':');
  if (colon) {
    if (strspn(colon + 1, "0123456789") != strlen(colon + 1)) {
      return false;
    }
    n = (size_t)(colon - host);
  }
  if (bracket) {
    ++host;
    n = (size_t)(bracket - host);
  }
  if (n == 0 || n >= 80) {
    return false;
  }
  memcpy(name, host, n);
  name[n] = '\0';
  return true;
}

bool
http_guard_host_is_good(const char* host)
{
  static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-";
  unsigned char address[16];
  char name[80];
  if (!host_name(host, name)) {
    return false;
  }
  if (inet_pton(AF_INET, name, address) == 1 || inet_pton(AF_INET6, name, address) == 1) {
    return true;
  }
  const size_t n_plain = strspn(name, letters);
  return n_plain > 0 && (!name[n_plain] || !strcasecmp(name + n_plain, ".local"));
}

bool
http_guard_origin_is_good(const char* origin, const char* host)
{
  static const char start[] = "http://";
  return !strncmp(origin, start, sizeof(start) - 1) &&
         !strcasecmp(origin + sizeof(start) - 1, host);
}

bool
http_guard_host(struct MHD_Connection* connection, HttpReply* refused)
{
  const char* const host = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Host");
  if (host && http_guard_host_is_good(host)) {
    return true;
  }
  *refused = http_reply_say(MHD_HTTP_MISDIRECTED_REQUEST,
                            "This box is asked under a name that is not its own: use its address "
                            "as a number.");
  return false;
}

// JSON and nothing else: a form of another site cannot send that without asking first.
static bool
is_json(const char* type)
{
  static const char json[] = "application/json";
  const size_t n = sizeof(json) - 1;
  return type && !strncasecmp(type, json, n) && (!type[n] || type[n] == ';' || type[n] == ' ');
}

bool
http_guard_write(struct MHD_Connection* connection, size_t most_bytes, HttpReply* refused)
{
  const char* const host = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Host");
  const char* const origin = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Origin");
  const char* const site =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Sec-Fetch-Site");
  const char* const type = MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Content-Type");
  const char* const length =
    MHD_lookup_connection_value(connection, MHD_HEADER_KIND, "Content-Length");
  if ((origin && !http_guard_origin_is_good(origin, host ? host : "")) ||
      (site && strcmp(site, "same-origin") != 0)) {
    *refused = http_reply_say(MHD_HTTP_FORBIDDEN, "This came from another page than ours.");
    return false;
  }
  if (!is_json(type)) {
    *refused = http_reply_say(MHD_HTTP_UNSUPPORTED_MEDIA_TYPE,
                              "Send JSON, with Content-Type: application/json.");
    return false;
  }
  // libmicrohttpd has judged it to be digits; without one (chunked) nobody knows how long it gets
  if (!length || strlen(length) > 9 || strtoul(length, NULL, 10) > most_bytes) {
    *refused = length ? http_reply_say(MHD_HTTP_CONTENT_TOO_LARGE,
                                       "That is more than %zu bytes at once.", most_bytes)
                      : http_reply_say(MHD_HTTP_LENGTH_REQUIRED, "Say how long it is.");
    return false;
  }
  return true;
}

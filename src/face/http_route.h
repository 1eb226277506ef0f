// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_answer.h"
#include "face/http_door.h"
#include "face/http_server.h"
#include "face/http_stream.h"

/*
  What is asked, who may ask it, and who answers: the table of paths.

  Every request is judged by its head alone, before a byte of its body is taken in: is it meant for
  us (Host), does a page of ours send it (Origin), does whoever asks have a token, may their role do
  this, is the body of a size and a type that we take. What fails is answered at once.
*/

/// What the loop does next.
typedef enum {
  HTTP_STEP_BODY,   ///< Take the body in
  HTTP_STEP_WAIT,   ///< Somebody works on it; the connection is suspended
  HTTP_STEP_REPLY,  ///< request->reply is to be queued
  HTTP_STEP_QUEUED, ///< Is queued already
  HTTP_STEP_FAIL    ///< Cut the connection
} HttpStep;

/// Everything the paths lead to; owned by the server.
typedef struct {
  HttpLimits limits;
  bool lan;
  int port;
  HttpDoor* door;
  HttpStream* stream;
  HttpWriter* writer;
  HttpAnswers* answers;
} HttpRoute;

/// Judge the head.
HttpStep
http_route_head(HttpRoute* route, HttpRequest* request, const char* method);

/// Most bytes of this request's body.
size_t
http_route_body_max(const HttpRoute* route, const HttpRequest* request);

/// The body is whole.
HttpStep
http_route_body(HttpRoute* route, HttpRequest* request);

/// A worker is done with it.
HttpStep
http_route_done(HttpRoute* route, HttpRequest* request);

// SPDX-License-Identifier: GPL-3.0-or-later

/*
  crowd LINEWALK SHOW STREAMS STUCK FACTS RATE: that many phones read along, some more never read,
  and one tells RATE facts a second (0 = as fast as they are answered). Every fact must reach every
  phone that reads, once and in order; a phone that comes last must be let in or told kindly. How
  long it took is printed and decides nothing.
*/

#include "client.h"

#include <fcntl.h>
#include <poll.h>
#include <pthread.h>
#include <stdatomic.h>

enum { MOST_FACTS = 4000, MOST_STREAMS = 2000 };

typedef struct {
  int socket;
  long last_seq; ///< Newest fact it has
  long n_facts;
  bool is_wrong; ///< Out of order or twice
  char tail[32]; ///< Begin of a line whose end has not come
  size_t n_tail;
} Phone;

typedef struct {
  int port;
  int n_facts;
  double rate;
  long first_seq; ///< Of the first fact told
  _Atomic int n_answered;
  double asked_ms[MOST_FACTS];
  double answered_ms[MOST_FACTS];
} Teller;

static Phone phones[MOST_STREAMS];
static Teller teller;
static float arrived_ms[MOST_STREAMS][MOST_FACTS];

static int
by_size(const void* a_, const void* b_)
{
  const float a = *(const float*)a_;
  const float b = *(const float*)b_;
  return (a > b) - (a < b);
}

static void*
tell(void* unused)
{
  char answer[4000];
  char json[300];
  const int to = client_connect(teller.port);
  const double began = clock_ms();
  (void)unused;
  for (int i = 0; i < teller.n_facts; ++i) {
    if (teller.rate > 0) {
      const double left = began + i * 1000.0 / teller.rate - clock_ms();
      wait_ms(left > 0 ? left : 0);
    }
    (void)snprintf(json, sizeof(json),
                   "{\"facts\":[{\"id\":\"crowd-%06d\",\"verb\":\"saw\",\"line\":%d,\"check\":"
                   "\"level\",\"reading\":\"normal\",\"at\":\"foh\"}]}",
                   i, 1 + i % 48);
    teller.asked_ms[i] = clock_ms();
    if (client_post(to, "facts", json, answer, sizeof(answer)) != 200 ||
        !strstr(answer, "\"is\":\"new\"")) {
      printf("FAIL: fact %d was not taken: %.300s\n", i, answer);
      break;
    }
    teller.answered_ms[i] = clock_ms();
    if (i == 0) {
      teller.first_seq = atol(strstr(answer, "\"seq\":") + 6);
    }
    atomic_store(&teller.n_answered, i + 1);
  }
  (void)close(to);
  return NULL;
}

static void
take_line(int phone, const char* line)
{
  Phone* const p = &phones[phone];
  const long seq = strncmp(line, "id: ", 4) ? 0 : atol(line + 4);
  if (seq > 0) {
    p->is_wrong = p->is_wrong || (p->last_seq > 0 && seq != p->last_seq + 1);
    if (p->n_facts < MOST_FACTS) {
      arrived_ms[phone][p->n_facts] = (float)(clock_ms() - teller.asked_ms[0]);
    }
    p->last_seq = seq;
    ++p->n_facts;
  }
}

// Lines are cut by "\n"; only their beginnings matter.
static void
take_bytes(int phone, const char* bytes, ssize_t n)
{
  Phone* const p = &phones[phone];
  for (ssize_t i = 0; i < n; ++i) {
    if (bytes[i] == '\n') {
      p->tail[p->n_tail] = '\0';
      take_line(phone, p->tail);
      p->n_tail = 0;
    } else if (p->n_tail < sizeof(p->tail) - 1) {
      p->tail[p->n_tail++] = bytes[i];
    }
  }
}

static int
open_stream(int port, bool reads)
{
  static const char ask[] = "GET /api/1/stream HTTP/1.1\r\nHost: localhost\r\n\r\n";
  const int one = client_connect(port);
  if (one >= 0 && !reads) {
    const int small = 4096;
    (void)setsockopt(one, SOL_SOCKET, SO_RCVBUF, &small, sizeof(small));
  }
  if (one < 0 || !client_send(one, ask, sizeof(ask) - 1)) {
    give_up("a phone could not connect");
  }
  return one;
}

static long
memory_kb(pid_t pid)
{
  char path[64];
  char line[200];
  long kb = 0;
  (void)snprintf(path, sizeof(path), "/proc/%d/status", (int)pid);
  FILE* const in = fopen(path, "r");
  while (in && fgets(line, sizeof(line), in)) {
    if (!strncmp(line, "VmHWM:", 6)) {
      kb = atol(line + 6);
    }
  }
  if (in) {
    (void)fclose(in);
  }
  return kb;
}

// Read until everybody has everything, or nothing has come for a long while.
static void
read_all(int n_streams, int n_facts)
{
  static struct pollfd polled[MOST_STREAMS];
  char room[16384];
  int n_full = 0;
  for (double silent_ms = 0; n_full < n_streams && silent_ms < 60000;) {
    for (int i = 0; i < n_streams; ++i) {
      polled[i] = (struct pollfd){.fd = phones[i].socket, .events = POLLIN};
    }
    const int n = poll(polled, (nfds_t)n_streams, 1000);
    silent_ms = n > 0 ? 0 : silent_ms + 1000;
    for (int i = 0; i < n_streams; ++i) {
      if (polled[i].revents) {
        const ssize_t got = recv(phones[i].socket, room, sizeof(room), MSG_DONTWAIT);
        take_bytes(i, room, got > 0 ? got : 0);
        if (got == 0) {
          phones[i].is_wrong = true; // Cut, though it reads
          (void)close(phones[i].socket);
          phones[i].socket = -1;
        }
      }
    }
    n_full = 0;
    for (int i = 0; i < n_streams; ++i) {
      n_full += phones[i].n_facts >= n_facts || phones[i].socket < 0;
    }
  }
}

int
main(int argc, char** argv)
{
  if (argc != 7) {
    (void)fprintf(stderr, "crowd LINEWALK SHOW STREAMS STUCK FACTS RATE\n");
    return 2;
  }
  const int n_streams = atoi(argv[3]);
  const int n_stuck = atoi(argv[4]);
  const int n_facts = atoi(argv[5]);
  int n_failed = 0;
  pthread_t telling;
  const Served served =
    served_start(argv[1], argv[2], "address=3000 connections=3000 streams=2500 patience=10");
  if (n_streams > MOST_STREAMS || n_facts > MOST_FACTS || n_streams < 1 || n_facts < 1) {
    give_up("more than this program keeps");
  }
  teller.port = served.port;
  teller.n_facts = n_facts;
  teller.rate = atof(argv[6]);
  for (int i = 0; i < n_streams; ++i) {
    phones[i].socket = open_stream(served.port, true);
  }
  for (int i = 0; i < n_stuck; ++i) {
    (void)open_stream(served.port, false);
  }
  // A first answer says that all before it were let in
  char body[4000];
  const int asks = client_connect(served.port);
  (void)client_get(asks, "/api/1/me", body, sizeof(body));
  wait_ms(300);
  if (pthread_create(&telling, NULL, tell, NULL) != 0) {
    give_up("no thread");
  }
  read_all(n_streams, n_facts);
  (void)pthread_join(telling, NULL);
  const int n_told = atomic_load(&teller.n_answered);
  size_t n_late = 0;
  float* const late = calloc((size_t)n_streams * (size_t)n_facts, sizeof(float));
  float* const answers = calloc((size_t)n_facts, sizeof(float));
  for (int i = 0; i < n_streams; ++i) {
    if (phones[i].n_facts != n_told || phones[i].is_wrong) {
      printf("FAIL: phone %d got %ld of %d facts%s\n", i, phones[i].n_facts, n_told,
             phones[i].is_wrong ? ", not in order or cut" : "");
      ++n_failed;
    }
    for (int k = 0; k < phones[i].n_facts && k < n_told; ++k) {
      const double after = (double)arrived_ms[i][k] + teller.asked_ms[0] - teller.answered_ms[k];
      late[n_late++] = (float)(after > 0 ? after : 0);
    }
  }
  for (int k = 0; k < n_told; ++k) {
    answers[k] = (float)(teller.answered_ms[k] - teller.asked_ms[k]);
  }
  qsort(late, n_late, sizeof(float), by_size);
  qsort(answers, (size_t)n_told, sizeof(float), by_size);
  if (n_late > 0 && n_told > 0) {
    printf("figure: serve_%d_streams_after_answer_p50 %.2f ms\n", n_streams,
           (double)late[n_late / 2]);
    printf("figure: serve_%d_streams_after_answer_p99 %.2f ms\n", n_streams,
           (double)late[n_late * 99 / 100]);
    printf("figure: serve_%d_streams_answer_p50 %.2f ms\n", n_streams, (double)answers[n_told / 2]);
    printf("figure: serve_%d_streams_answer_p99 %.2f ms\n", n_streams,
           (double)answers[n_told * 99 / 100]);
  }
  printf("figure: serve_%d_streams_memory %.1f MB\n", n_streams,
         (double)memory_kb(served.pid) / 1024);
  n_failed += n_told != n_facts;
  const int code = served_end(&served, SIGINT);
  if (code != 0) {
    printf("FAIL: the server ended with %d\n", code);
    ++n_failed;
  }
  free(late);
  free(answers);
  printf("%d passed, %d failed\n", n_streams + 2 - n_failed, n_failed);
  return n_failed != 0;
}

// SPDX-License-Identifier: GPL-3.0-or-later

/*
  burst LINEWALK SHOW ROUNDS: several phones tell facts as fast as they are answered; in the middle
  of it the server is killed (SIGKILL) and started again. Every fact that was answered must be
  there, once.
*/

#include "client.h"

#include <pthread.h>
#include <stdatomic.h>

enum { N_TELLERS = 4, MOST = 4000 };

typedef struct {
  int port;
  int round;
  int number;
  int n_answered; ///< Facts 0 to n_answered - 1 were answered
} Teller;

static void*
tell(void* user)
{
  Teller* const t = user;
  char answer[4000];
  char json[300];
  const int to = client_connect(t->port);
  for (int i = 0; to >= 0 && i < MOST; ++i) {
    (void)snprintf(json, sizeof(json),
                   "{\"facts\":[{\"id\":\"r%05d-t%d-f%06d\",\"verb\":\"saw\",\"line\":%d,\"check\":"
                   "\"hum\",\"reading\":\"none\",\"at\":\"foh\"}]}",
                   t->round, t->number, i, 1 + i % 48);
    if (client_post(to, "facts", json, answer, sizeof(answer)) != 200 ||
        !strstr(answer, "\"is\":\"new\"")) {
      break;
    }
    t->n_answered = i + 1;
  }
  (void)close(to);
  return NULL;
}

// Every id of the log, one after the other in `ids`; @return how many facts.
static long
read_log(int port, char** ids)
{
  static char body[1 << 20];
  char path[80];
  long n = 0;
  size_t n_ids = 0;
  size_t room = 0;
  *ids = NULL;
  // Going back from the newest would need no order; forward it is told by `after` and one line each
  const int to = client_connect(port);
  for (int line = 1; line <= 48; ++line) {
    (void)snprintf(path, sizeof(path), "/api/1/facts?line=%d&limit=500", line);
    if (client_get(to, path, body, sizeof(body)) != 200) {
      give_up("the log could not be read");
    }
    for (const char* at = body; (at = strstr(at, "\"id\":\"")); ++at) {
      const char* const id = at + 6;
      const size_t n_id = strcspn(id, "\"");
      if (n_ids + n_id + 2 > room) {
        room = room * 2 + 4096;
        *ids = realloc(*ids, room);
        if (!*ids) {
          give_up("no memory");
        }
      }
      memcpy(*ids + n_ids, id, n_id);
      (*ids)[n_ids + n_id] = '\n';
      n_ids += n_id + 1;
      (*ids)[n_ids] = '\0';
      ++n;
    }
  }
  (void)close(to);
  return n;
}

int
main(int argc, char** argv)
{
  if (argc != 4) {
    (void)fprintf(stderr, "burst LINEWALK SHOW ROUNDS\n");
    return 2;
  }
  const int n_rounds = atoi(argv[3]);
  int n_failed = 0;
  long n_all = 0;
  unsigned seed = 20310614;
  printf("seed %u\n", seed);
  for (int round = 0; round < n_rounds; ++round) {
    pthread_t threads[N_TELLERS];
    Teller tellers[N_TELLERS];
    char show[200];
    char copy[500];
    char id[40];
    char* ids = NULL;
    // Each round a show of its own, so that the log stays as short as one answer
    (void)snprintf(show, sizeof(show), "burst-%d.show", round);
    (void)snprintf(copy, sizeof(copy), "cp '%s' '%s'", argv[2], show);
    if (system(copy) != 0) {
      give_up("the show could not be copied");
    }
    Served served = served_start(argv[1], show, "patience=10");
    for (int i = 0; i < N_TELLERS; ++i) {
      tellers[i] = (Teller){served.port, round, i, 0};
      if (pthread_create(&threads[i], NULL, tell, &tellers[i]) != 0) {
        give_up("no thread");
      }
    }
    seed = seed * 1103515245U + 12345U;
    wait_ms(20 + (seed >> 16) % 200);
    (void)served_end(&served, SIGKILL);
    for (int i = 0; i < N_TELLERS; ++i) {
      (void)pthread_join(threads[i], NULL);
    }
    served = served_start(argv[1], show, "patience=10");
    (void)read_log(served.port, &ids);
    int n_lost = 0;
    for (int i = 0; i < N_TELLERS; ++i) {
      n_all += tellers[i].n_answered;
      for (int k = 0; k < tellers[i].n_answered; ++k) {
        (void)snprintf(id, sizeof(id), "r%05d-t%d-f%06d\n", round, i, k);
        const char* const at = ids ? strstr(ids, id) : NULL;
        n_lost += !at || strstr(at + 1, id) != NULL;
      }
    }
    if (n_lost > 0) {
      printf("FAIL: round %d: %d answered facts are not there once\n", round, n_lost);
      ++n_failed;
    }
    free(ids);
    if (served_end(&served, SIGTERM) != 0) {
      printf("FAIL: round %d: the server did not end well\n", round);
      ++n_failed;
    }
    (void)unlink(show);
  }
  if (n_all == 0) {
    printf("FAIL: nothing was ever answered\n");
    ++n_failed;
  }
  printf("figure: serve_killed_rounds %d rounds\nfigure: serve_killed_answered_facts %ld facts\n",
         n_rounds, n_all);
  printf("%d passed, %d failed\n", n_rounds + 1 - n_failed, n_failed);
  return n_failed != 0;
}

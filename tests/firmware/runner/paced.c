#define _GNU_SOURCE
#include "paced.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <time.h>
#include <unistd.h>

#include "runner.h"

/* On a busy machine the board becomes slow, but loses no bytes. */
static const double MOST_BEHIND_S = 0.005;

static int master;
static int is_open; /* a host has the port open */

static double seconds(void) {
  struct timespec now;
  clock_gettime(CLOCK_MONOTONIC, &now);
  return (double)now.tv_sec + 1e-9 * (double)now.tv_nsec;
}

/* Without a host the bytes are lost, as with a real USB-to-serial chip. */
static void to_pty(const uint8_t *bytes, size_t number) {
  if (is_open && write(master, bytes, number) < 0 && errno != EAGAIN && errno != EIO) {
    fail("the pseudo-terminal cannot be written");
  }
}

static void open_pty(const char *link) {
  master = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK);
  if (master < 0 || grantpt(master) != 0 || unlockpt(master) != 0) fail("no pseudo-terminal");
  const char *const path = ptsname(master);
  const int slave = open(path, O_RDWR | O_NOCTTY);
  struct termios raw;
  if (slave < 0 || tcgetattr(slave, &raw) != 0) fail("no pseudo-terminal");
  cfmakeraw(&raw);
  tcsetattr(slave, TCSANOW, &raw);
  close(slave); /* so that opening and closing by the host are detected */
  unlink(link);
  if (symlink(path, link) != 0) fail("the link cannot be made");
  printf("port %s\n", path);
  fflush(stdout);
}

static void listen_to_pty(int reset_on_open) {
  struct pollfd port = {.fd = master, .events = POLLIN};
  poll(&port, 1, 0);
  const int open_now = !(port.revents & POLLHUP);
  /* A pulse on DTR, through a capacitor. */
  if (open_now && !is_open && reset_on_open) restart();
  is_open = open_now;
  if (!(port.revents & POLLIN) || line_waiting() > 4096) return;
  uint8_t bytes[4096];
  const ssize_t number = read(master, bytes, sizeof bytes);
  if (number > 0) line_receive(bytes, (size_t)number);
}

/* Whole lines only: a partial one waits for the rest. Returns 0 at the end of the commands. */
static int take_orders(void) {
  static char held[4096];
  static size_t number;
  const ssize_t got = read(STDIN_FILENO, held + number, sizeof held - 1 - number);
  if (got <= 0) return 0;
  number += (size_t)got;
  held[number] = 0;
  char *rest = held;
  for (char *end; (end = strchr(rest, '\n')) != NULL; rest = end + 1) {
    *end = 0;
    obey(rest);
    printf("done %.4f %s\n", now_us(), rest);
  }
  number -= (size_t)(rest - held);
  memmove(held, rest, number);
  return 1;
}

int live(const char *link, int reset_on_open) {
  open_pty(link);
  line_sent = to_pty;
  const double slice_s = 0.0001;
  double base_s = seconds() - (double)avr->cycle / avr->frequency;
  for (;;) {
    double behind_s = seconds() - base_s - (double)avr->cycle / avr->frequency;
    struct pollfd waits[] = {{.fd = STDIN_FILENO, .events = POLLIN},
                             {.fd = is_open ? master : -1, .events = POLLIN}};
    const struct timespec slice = {0, behind_s > slice_s ? 0 : (long)(1e9 * slice_s)};
    ppoll(waits, 2, &slice, NULL);
    if ((waits[0].revents & (POLLIN | POLLHUP)) && !take_orders()) break;
    listen_to_pty(reset_on_open);
    behind_s = seconds() - base_s - (double)avr->cycle / avr->frequency;
    if (behind_s > MOST_BEHIND_S) base_s += behind_s - MOST_BEHIND_S;
    /* In small steps, so that the port is polled as often while time is caught up. */
    const double step_s = behind_s < 2 * slice_s ? behind_s : 2 * slice_s;
    if (step_s > 0) run_to(avr->cycle + (avr_cycle_count_t)(step_s * avr->frequency));
    fflush(stdout);
  }
  unlink(link);
  return 0;
}

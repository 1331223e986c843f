/*
 * pty-bridge LINK: one end of a serial line for a program that cannot open pseudo-terminals itself.
 *
 * Makes a pseudo-terminal and a symbolic link LINK to its far end, which the browser opens as a port.
 * Standard input goes out on the line, what arrives on the line goes to standard output. The line hangs
 * up when standard input ends. File descriptor 3 receives one line of text for each of these:
 *
 *   ready       the link is there
 *   opened      the browser opened the port
 *   closed      ... and closed it
 *   speed N     it set the line to N baud
 *   dropped N   N bytes so far found the line full and are lost
 *
 * SIGUSR1 holds up what the browser writes, as a converter does that takes nothing more; SIGUSR2 lets it go on.
 *
 * A real board does not wait for a listener: bytes for a closed port vanish, and bytes that find the line
 * full are lost and counted. A pseudo-terminal holds 12 kB; Linux keeps 64 kB for a USB converter, so that
 * much more is kept here.
 */
#define _GNU_SOURCE
#include <asm/termbits.h>
#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

enum { EVENTS = 3, LOOK_AGAIN_MS = 5, ROOM = 65536 };

static void fail(const char *what) {
  perror(what);
  exit(1);
}

static int make_line(const char *link) {
  int line = posix_openpt(O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
  if (line < 0 || grantpt(line) != 0 || unlockpt(line) != 0) fail("pseudo-terminal");
  char path[64];
  if (ptsname_r(line, path, sizeof path) != 0) fail("ptsname_r");

  /* Raw from the start, so that nothing is echoed before the browser sets its own mode. Opening and
   * closing it once also makes the far end count as closed from now on. */
  int far = open(path, O_RDWR | O_NOCTTY);
  struct termios2 mode;
  if (far < 0 || ioctl(far, TCGETS2, &mode) != 0) fail(path);
  mode.c_iflag = mode.c_oflag = mode.c_lflag = 0;
  mode.c_cflag = CS8 | CREAD | CLOCAL | B9600;
  if (ioctl(far, TCSETS2, &mode) != 0) fail(path);
  close(far);

  unlink(link);
  if (symlink(path, link) != 0) fail(link);
  return line;
}

static unsigned line_speed(int line) {
  struct termios2 mode;
  return ioctl(line, TCGETS2, &mode) == 0 ? mode.c_ospeed : 0;
}

static volatile sig_atomic_t held_up;

static void hear_signal(int signal) { held_up = signal == SIGUSR1; }

/* Only the far end can be told to send nothing; nothing is lost meanwhile. */
static void hold_up(const char *path, bool stop) {
  int far = open(path, O_RDWR | O_NOCTTY | O_NONBLOCK);
  if (far < 0 || ioctl(far, TCXONC, stop ? TCOOFF : TCOON) != 0) fail(path);
  close(far);
}

static bool write_all(int file, const char *bytes, ssize_t count) {
  while (count > 0) {
    ssize_t written = write(file, bytes, count);
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return false;
    bytes += written;
    count -= written;
  }
  return true;
}

/* Bytes on their way to the browser. */
static struct {
  char bytes[ROOM];
  size_t count;
  unsigned long long dropped;
} queue;

static void send_queue(int line) {
  ssize_t sent = queue.count > 0 ? write(line, queue.bytes, queue.count) : 0;
  if (sent <= 0) return;
  queue.count -= sent;
  memmove(queue.bytes, queue.bytes + sent, queue.count);
}

static void enqueue(const char *bytes, size_t count) {
  size_t fits = count < ROOM - queue.count ? count : ROOM - queue.count;
  memcpy(queue.bytes + queue.count, bytes, fits);
  queue.count += fits;
  if (fits < count) {
    queue.dropped += count - fits;
    dprintf(EVENTS, "dropped %llu\n", queue.dropped);
  }
}

int main(int count, char **arguments) {
  if (count != 2) {
    fputs("usage: pty-bridge LINK\n", stderr);
    return 2;
  }
  signal(SIGPIPE, SIG_IGN);
  signal(SIGUSR1, hear_signal);
  signal(SIGUSR2, hear_signal);
  int line = make_line(arguments[1]);
  dprintf(EVENTS, "ready\n");

  static char buffer[ROOM];
  bool is_open = false;
  bool is_held_up = false;
  unsigned speed = 0;
  for (;;) {
    /* While nobody has the port open, poll() reports a hang-up at once and for ever, and opening it
     * does not wake poll() up: then look again now and then instead. */
    short wanted = queue.count > 0 ? POLLIN | POLLOUT : POLLIN;
    struct pollfd ends[2] = {{STDIN_FILENO, POLLIN, 0}, {is_open ? line : -1, wanted, 0}};
    if (poll(ends, 2, LOOK_AGAIN_MS) < 0 && errno != EINTR) fail("poll");

    struct pollfd state = {line, POLLIN, 0};
    poll(&state, 1, 0);
    bool now_open = !(state.revents & POLLHUP);
    if (now_open != is_open) {
      is_open = now_open;
      speed = 0;
      queue.count = 0;
      dprintf(EVENTS, is_open ? "opened\n" : "closed\n");
    }
    if (is_open && is_held_up != (bool)held_up) {
      is_held_up = held_up;
      hold_up(arguments[1], is_held_up);
    }
    if (is_open && line_speed(line) != speed) {
      speed = line_speed(line);
      dprintf(EVENTS, "speed %u\n", speed);
    }
    if (state.revents & POLLIN) {
      ssize_t got = read(line, buffer, sizeof buffer);
      if (got > 0 && !write_all(STDOUT_FILENO, buffer, got)) break;
    }
    if (ends[0].revents) {
      ssize_t got = read(STDIN_FILENO, buffer, sizeof buffer);
      if (got == 0 || (got < 0 && errno != EINTR)) break;
      if (got > 0 && is_open) enqueue(buffer, got);
    }
    send_queue(line);
  }
  unlink(arguments[1]);
  return 0;
}

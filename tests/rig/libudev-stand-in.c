/*
 * Stands in for libudev.so.1 inside the browser under test, so that its own Web Serial code finds
 * pseudo-terminals where it looks for serial ports. Only the calls that Chromium makes are here.
 *
 * LEAFCLOCK_PORTS        a directory. Each file in it is one serial port: lines KEY=VALUE, the udev
 *                        properties of that port. Renaming a file into the directory plugs the port in,
 *                        removing the file unplugs it. Whatever ports the machine really has stay hidden.
 * LEAFCLOCK_MODEM_LINES  a file. A pseudo-terminal has no modem lines, so their state is kept here in
 *                        memory and each change is appended to this file, "DTR=1 RTS=0", and to one of the
 *                        same name and the terminal's number, "FILE.7".
 * LEAFCLOCK_CALENDAR     a file of one 64-bit number: so many seconds the calendar is ahead of the machine's own,
 *                        as after a sleep in which the monotonic clock stood still.
 */
#define _GNU_SOURCE
#include <dirent.h>
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/inotify.h>
#include <sys/ioctl.h>
#include <sys/mman.h>
#include <sys/stat.h>
#include <sys/sysmacros.h>
#include <sys/time.h>
#include <unistd.h>

static const char DEVICES[] = "/sys/devices/stand-in/tty/";

struct udev {
  char unused;
};
struct udev_list_entry {
  struct udev_list_entry *next;
  char *name;
  char *value;
};
struct udev_device {
  char *syspath;
  const char *sysname; /* the end of syspath */
  const char *action;  /* "add" or "remove" when it comes from a monitor, else NULL */
  struct udev_list_entry *properties;
};
struct udev_enumerate {
  bool other_subsystem;
  struct udev_list_entry *found;
};
struct udev_monitor {
  bool other_subsystem;
  int watch;
};

static const char *ports_directory(void) {
  const char *directory = getenv("LEAFCLOCK_PORTS");
  return directory ? directory : "/nonexistent";
}

/* --- lists --------------------------------------------------------------------------------------- */

static void prepend(struct udev_list_entry **list, const char *name, const char *value) {
  struct udev_list_entry *entry = malloc(sizeof *entry);
  entry->next = *list;
  entry->name = strdup(name);
  entry->value = value ? strdup(value) : NULL;
  *list = entry;
}

static void free_list(struct udev_list_entry *list) {
  while (list) {
    struct udev_list_entry *next = list->next;
    free(list->name);
    free(list->value);
    free(list);
    list = next;
  }
}

struct udev_list_entry *udev_list_entry_get_next(struct udev_list_entry *entry) { return entry->next; }
const char *udev_list_entry_get_name(struct udev_list_entry *entry) { return entry->name; }
const char *udev_list_entry_get_value(struct udev_list_entry *entry) { return entry->value; }

/* --- devices ------------------------------------------------------------------------------------- */

static struct udev_device *new_device(const char *name, const char *action) {
  char path[PATH_MAX], line[1024];
  snprintf(path, sizeof path, "%s/%s", ports_directory(), name);
  FILE *file = fopen(path, "re");
  /* A port just unplugged has no file any more; its removal is reported by name alone. */
  if (!file && !(action && strcmp(action, "remove") == 0)) {
    errno = ENODEV;
    return NULL;
  }
  struct udev_device *device = calloc(1, sizeof *device);
  if (asprintf(&device->syspath, "%s%s", DEVICES, name) < 0) abort();
  device->sysname = device->syspath + strlen(DEVICES);
  device->action = action;
  prepend(&device->properties, "SUBSYSTEM", "tty");
  while (file && fgets(line, sizeof line, file)) {
    line[strcspn(line, "\n")] = 0;
    char *equals = strchr(line, '=');
    if (!equals) continue;
    *equals = 0;
    prepend(&device->properties, line, equals + 1);
  }
  if (file) fclose(file);
  return device;
}

struct udev_device *udev_device_new_from_syspath(struct udev *udev, const char *syspath) {
  (void)udev;
  if (strncmp(syspath, DEVICES, strlen(DEVICES)) != 0) {
    errno = ENODEV;
    return NULL;
  }
  return new_device(syspath + strlen(DEVICES), NULL);
}

struct udev_device *udev_device_new_from_subsystem_sysname(struct udev *udev, const char *subsystem,
                                                           const char *sysname) {
  (void)udev;
  if (strcmp(subsystem, "tty") != 0) {
    errno = ENODEV;
    return NULL;
  }
  return new_device(sysname, NULL);
}

struct udev_device *udev_device_new_from_devnum(struct udev *udev, char type, dev_t number) {
  (void)udev, (void)type, (void)number;
  errno = ENODEV;
  return NULL;
}

struct udev_device *udev_device_unref(struct udev_device *device) {
  if (device) {
    free_list(device->properties);
    free(device->syspath);
    free(device);
  }
  return NULL;
}

const char *udev_device_get_property_value(struct udev_device *device, const char *key) {
  for (struct udev_list_entry *entry = device->properties; entry; entry = entry->next)
    if (strcmp(entry->name, key) == 0) return entry->value;
  return NULL;
}

struct udev_list_entry *udev_device_get_properties_list_entry(struct udev_device *device) {
  return device->properties;
}
const char *udev_device_get_syspath(struct udev_device *device) { return device->syspath; }
const char *udev_device_get_sysname(struct udev_device *device) { return device->sysname; }
const char *udev_device_get_action(struct udev_device *device) { return device->action; }
const char *udev_device_get_devnode(struct udev_device *device) {
  return udev_device_get_property_value(device, "DEVNAME");
}
const char *udev_device_get_subsystem(struct udev_device *device) {
  (void)device;
  return "tty";
}
const char *udev_device_get_devtype(struct udev_device *device) {
  (void)device;
  return NULL;
}
const char *udev_device_get_driver(struct udev_device *device) {
  (void)device;
  return NULL;
}
const char *udev_device_get_sysattr_value(struct udev_device *device, const char *attribute) {
  (void)device, (void)attribute;
  return NULL;
}
struct udev_device *udev_device_get_parent(struct udev_device *device) {
  (void)device;
  return NULL;
}
struct udev_device *udev_device_get_parent_with_subsystem_devtype(struct udev_device *device,
                                                                  const char *subsystem, const char *type) {
  (void)device, (void)subsystem, (void)type;
  return NULL;
}

/* --- looking once -------------------------------------------------------------------------------- */

struct udev *udev_new(void) { return calloc(1, sizeof(struct udev)); }
struct udev *udev_unref(struct udev *udev) {
  free(udev);
  return NULL;
}

struct udev_enumerate *udev_enumerate_new(struct udev *udev) {
  (void)udev;
  return calloc(1, sizeof(struct udev_enumerate));
}

int udev_enumerate_add_match_subsystem(struct udev_enumerate *enumerate, const char *subsystem) {
  enumerate->other_subsystem = strcmp(subsystem, "tty") != 0;
  return 0;
}

int udev_enumerate_scan_devices(struct udev_enumerate *enumerate) {
  free_list(enumerate->found);
  enumerate->found = NULL;
  DIR *directory = enumerate->other_subsystem ? NULL : opendir(ports_directory());
  if (!directory) return 0;
  for (struct dirent *file; (file = readdir(directory));) {
    if (file->d_name[0] == '.') continue;
    char syspath[PATH_MAX];
    snprintf(syspath, sizeof syspath, "%s%s", DEVICES, file->d_name);
    prepend(&enumerate->found, syspath, NULL);
  }
  closedir(directory);
  return 0;
}

struct udev_list_entry *udev_enumerate_get_list_entry(struct udev_enumerate *enumerate) {
  return enumerate->found;
}

struct udev_enumerate *udev_enumerate_unref(struct udev_enumerate *enumerate) {
  if (enumerate) free_list(enumerate->found);
  free(enumerate);
  return NULL;
}

/* --- being told ---------------------------------------------------------------------------------- */

struct udev_monitor *udev_monitor_new_from_netlink(struct udev *udev, const char *name) {
  (void)udev, (void)name;
  struct udev_monitor *monitor = calloc(1, sizeof *monitor);
  monitor->watch = inotify_init1(IN_NONBLOCK | IN_CLOEXEC);
  return monitor;
}

int udev_monitor_filter_add_match_subsystem_devtype(struct udev_monitor *monitor, const char *subsystem,
                                                    const char *type) {
  (void)type;
  monitor->other_subsystem = strcmp(subsystem, "tty") != 0;
  return 0;
}

int udev_monitor_enable_receiving(struct udev_monitor *monitor) {
  if (!monitor->other_subsystem)
    inotify_add_watch(monitor->watch, ports_directory(), IN_MOVED_TO | IN_MOVED_FROM | IN_DELETE);
  return 0;
}

int udev_monitor_get_fd(struct udev_monitor *monitor) { return monitor->watch; }

/* The caller takes one device each time the descriptor is readable, so exactly one event may be read
 * from it: the smallest buffer that the kernel accepts holds one event and no more. */
static bool read_one_event(int watch, char *buffer, size_t size) {
  for (size_t enough = sizeof(struct inotify_event); enough <= size; enough++) {
    if (read(watch, buffer, enough) > 0) return true;
    if (errno != EINVAL) return false;
  }
  return false;
}

struct udev_device *udev_monitor_receive_device(struct udev_monitor *monitor) {
  _Alignas(struct inotify_event) char buffer[sizeof(struct inotify_event) + NAME_MAX + 1];
  while (read_one_event(monitor->watch, buffer, sizeof buffer)) {
    const struct inotify_event *event = (const struct inotify_event *)buffer;
    if (event->len == 0 || event->name[0] == '.') continue;
    struct udev_device *device = new_device(event->name, event->mask & IN_MOVED_TO ? "add" : "remove");
    if (device) return device;
  }
  return NULL;
}

struct udev_monitor *udev_monitor_unref(struct udev_monitor *monitor) {
  if (monitor) close(monitor->watch);
  free(monitor);
  return NULL;
}

/* --- what a pseudo-terminal lacks ---------------------------------------------------------------- */

enum { LARGEST_TERMINAL = 4096 };

static bool is_pseudo_terminal(int file, unsigned *number) {
  struct stat status;
  if (fstat(file, &status) != 0 || !S_ISCHR(status.st_mode)) return false;
  *number = minor(status.st_rdev);
  /* Linux devices.txt: 136 to 143 are the far ends of Unix98 pseudo-terminals. */
  return major(status.st_rdev) >= 136 && major(status.st_rdev) <= 143 && *number < LARGEST_TERMINAL;
}

static void append_modem_lines(const char *log, int state) {
  int file = open(log, O_WRONLY | O_APPEND | O_CREAT | O_CLOEXEC, 0600);
  if (file < 0) return;
  dprintf(file, "DTR=%d RTS=%d\n", (state & TIOCM_DTR) != 0, (state & TIOCM_RTS) != 0);
  close(file);
}

static int ours[LARGEST_TERMINAL];

/* A port that is closed lets go of its lines, and opening it sets them: told to the terminal's own board alone, which
 * may not have seen by itself that the port was closed and opened again within a few milliseconds. */
static void modem_lines_opened(unsigned number) {
  ours[number] = TIOCM_DTR | TIOCM_RTS;
  const char *log = getenv("LEAFCLOCK_MODEM_LINES");
  if (!log) return;
  char own[PATH_MAX];
  snprintf(own, sizeof own, "%s.%u", log, number);
  append_modem_lines(own, 0);
  append_modem_lines(own, ours[number]);
}

static int modem_lines(unsigned number, unsigned long request, int *argument) {
  const int outputs = TIOCM_DTR | TIOCM_RTS, inputs = TIOCM_CTS | TIOCM_DSR | TIOCM_CAR;
  int *state = &ours[number];
  int before = *state;
  switch (request) {
  case TIOCMGET: *argument = *state | inputs; return 0;
  case TIOCMSET: *state = *argument & outputs; break;
  case TIOCMBIS: *state |= *argument & outputs; break;
  case TIOCMBIC: *state &= ~(*argument & outputs); break;
  }
  const char *log = getenv("LEAFCLOCK_MODEM_LINES");
  if (log && *state != before) {
    char own[PATH_MAX];
    snprintf(own, sizeof own, "%s.%u", log, number);
    append_modem_lines(log, *state);
    append_modem_lines(own, *state);
  }
  return 0;
}

int ioctl(int file, unsigned long request, ...) {
  static int (*system_ioctl)(int, unsigned long, void *);
  va_list arguments;
  va_start(arguments, request);
  void *argument = va_arg(arguments, void *);
  va_end(arguments);
  if (!system_ioctl) *(void **)&system_ioctl = dlsym(RTLD_NEXT, "ioctl");

  unsigned number;
  switch (request) {
  case TIOCMGET:
  case TIOCMSET:
  case TIOCMBIS:
  case TIOCMBIC:
    if (is_pseudo_terminal(file, &number)) return modem_lines(number, request, argument);
    break;
  case TIOCEXCL:
    /* A real port forgets at close that it was opened for one program alone. A pseudo-terminal
     * remembers as long as the other end lives, and could never be opened again; a lock that
     * belongs to the open file does what is meant. */
    if (is_pseudo_terminal(file, &number)) {
      int result = flock(file, LOCK_EX | LOCK_NB);
      if (result != 0) errno = EBUSY;
      else modem_lines_opened(number);
      return result;
    }
    break;
  }
  return system_ioctl(file, request, argument);
}

/* --- sleep of the computer ----------------------------------------------------------------------- */

/* Shared with every process of the browser, which fork from one that has asked for the time already. */
static const int64_t *calendar_lead(void) {
  static const int64_t none, *lead;
  if (lead) return lead;
  const char *path = getenv("LEAFCLOCK_CALENDAR");
  int file = path ? open(path, O_RDONLY | O_CLOEXEC) : -1;
  void *shared = file < 0 ? MAP_FAILED : mmap(NULL, sizeof *lead, PROT_READ, MAP_SHARED, file, 0);
  if (file >= 0) close(file);
  return lead = shared == MAP_FAILED ? &none : shared;
}

/* What Chromium takes the calendar from; its monotonic clock comes from clock_gettime. */
int gettimeofday(struct timeval *restrict time, void *restrict zone) {
  static int (*system_gettimeofday)(struct timeval *, void *);
  if (!system_gettimeofday) *(void **)&system_gettimeofday = dlsym(RTLD_NEXT, "gettimeofday");
  int result = system_gettimeofday(time, zone);
  if (result == 0) time->tv_sec += *(const volatile int64_t *)calendar_lead();
  return result;
}

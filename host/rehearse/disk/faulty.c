// A disk that fails, put between a program and the C library (LD_PRELOAD): for files whose name ends in "log.db" or
// "log.db-wal". DISK_FAULT names the fault, which begins after DISK_AFTER calls of its kind and lasts DISK_FOR of
// them; the program itself may name another, with another DISK_PLAN, and calls are then counted anew. What is
// written since the last fsync is noted with what was there before in DISK_UNDO, so that a power cut can take it
// back, sector by sector. DISK_FAILED gets one byte for each call that failed.
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/uio.h>
#include <unistd.h>

#define PATH_MAX_BYTES 512

struct note {
  char path[PATH_MAX_BYTES];
  int64_t offset;
  int64_t length; // -1: everything before is on the disk
};

static long seen = 0;
static char plan[32];
static int undo = -1;
static int failed = -1;

static ssize_t (*real_pwrite)(int, const void *, size_t, off64_t);
static ssize_t (*real_pread)(int, void *, size_t, off64_t);
static int (*real_fsync)(int);

static long number(const char *name) {
  const char *text = getenv(name);
  return text ? atol(text) : 0;
}

static int is_kind(const char *kind) {
  const char *fault = getenv("DISK_FAULT");
  return fault && strcmp(fault, kind) == 0;
}

__attribute__((constructor)) static void begin(void) {
  real_pwrite = dlsym(RTLD_NEXT, "pwrite64");
  real_pread = dlsym(RTLD_NEXT, "pread64");
  real_fsync = dlsym(RTLD_NEXT, "fsync");
  const char *file = getenv("DISK_UNDO");
  if (file) undo = open(file, O_WRONLY | O_CREAT | O_APPEND, 0600);
  file = getenv("DISK_FAILED");
  if (file) failed = open(file, O_WRONLY | O_CREAT | O_APPEND, 0600);
}

static int ends_in(const char *path, const char *end) {
  size_t a = strlen(path), b = strlen(end);
  return a >= b && strcmp(path + a - b, end) == 0;
}

static int is_ours(int fd, char *path) {
  char link[64];
  snprintf(link, sizeof link, "/proc/self/fd/%d", fd);
  ssize_t n = readlink(link, path, PATH_MAX_BYTES - 1);
  if (n <= 0) return 0;
  path[n] = 0;
  return ends_in(path, "log.db") || ends_in(path, "log.db-wal");
}

static int is_due(void) {
  const char *now = getenv("DISK_PLAN");
  if (now && strncmp(now, plan, sizeof plan - 1) != 0) {
    strncpy(plan, now, sizeof plan - 1);
    seen = 0;
  }
  long turn = seen++ - number("DISK_AFTER");
  if (turn < 0 || turn >= number("DISK_FOR")) return 0;
  if (failed >= 0 && write(failed, "!", 1) < 0) abort();
  return 1;
}

static void die_if_due(void) {
  if (is_kind("killed") && is_due()) kill(getpid(), SIGKILL);
}

static void note_write(int fd, const char *path, size_t n, off64_t offset) {
  if (undo < 0) return;
  size_t whole = sizeof(struct note) + n;
  char *text = calloc(1, whole);
  struct note *note = (struct note *)text;
  strcpy(note->path, path);
  note->offset = offset;
  note->length = n;
  real_pread(fd, text + sizeof *note, n, offset);
  if (write(undo, text, whole) < 0) abort();
  free(text);
}

static ssize_t put(int fd, const void *bytes, size_t n, off64_t offset) {
  char path[PATH_MAX_BYTES];
  if (!is_ours(fd, path)) return real_pwrite(fd, bytes, n, offset);
  die_if_due();
  if ((is_kind("full") || is_kind("refused") || is_kind("torn")) && is_due()) {
    note_write(fd, path, n / 2, offset);
    if (n > 1) real_pwrite(fd, bytes, n / 2, offset);
    if (is_kind("torn")) kill(getpid(), SIGKILL);
    errno = is_kind("full") ? ENOSPC : EIO;
    return -1;
  }
  note_write(fd, path, n, offset);
  return real_pwrite(fd, bytes, n, offset);
}

ssize_t pwrite(int fd, const void *bytes, size_t n, off_t offset) { return put(fd, bytes, n, offset); }
ssize_t pwrite64(int fd, const void *bytes, size_t n, off64_t offset) { return put(fd, bytes, n, offset); }

// How much of the write-ahead file this program has read: the system then has it in memory, and does not ask the
// disk again.
static off64_t in_memory = 0;

static ssize_t get(int fd, void *bytes, size_t n, off64_t offset) {
  char path[PATH_MAX_BYTES];
  if (!is_kind("unreadable") || !is_ours(fd, path)) return real_pread(fd, bytes, n, offset);
  int is_wal = ends_in(path, "-wal");
  if (!(is_wal && offset + (off64_t)n <= in_memory) && is_due()) {
    errno = EIO;
    return -1;
  }
  ssize_t got = real_pread(fd, bytes, n, offset);
  if (is_wal && got > 0 && offset <= in_memory && offset + got > in_memory) in_memory = offset + got;
  return got;
}

ssize_t pread(int fd, void *bytes, size_t n, off_t offset) { return get(fd, bytes, n, offset); }
ssize_t pread64(int fd, void *bytes, size_t n, off64_t offset) { return get(fd, bytes, n, offset); }

static int flush(int fd) {
  char path[PATH_MAX_BYTES];
  if (!is_ours(fd, path)) return real_fsync(fd);
  die_if_due();
  if (is_kind("unsynced") && is_due()) {
    errno = EIO;
    return -1;
  }
  int done = real_fsync(fd);
  if (done == 0 && undo >= 0) {
    struct note note = {.offset = 0, .length = -1};
    strcpy(note.path, path);
    if (write(undo, &note, sizeof note) < 0) abort();
  }
  return done;
}

int fsync(int fd) { return flush(fd); }
int fdatasync(int fd) { return flush(fd); }

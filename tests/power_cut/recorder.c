/* Records, in order, every write and sync that a process makes to the files of one folder.
 *
 * Loaded with LD_PRELOAD. RECORDED_FOLDER names the folder, RECORDING the file the
 * record goes to. Each event is: kind (1 byte), file number, offset, length (8 bytes
 * each, native order), then `length` bytes of data. Kinds: O open (data: the path),
 * W write, T truncate (offset: the new size), S sync, U unlink. The folder itself is
 * a file too: its sync is what makes an unlink durable.
 */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/types.h>
#include <unistd.h>

#define MOST_FDS 4096
#define MOST_FILES 64

static pthread_mutex_t lock = PTHREAD_MUTEX_INITIALIZER;
static int number_of_fd[MOST_FDS]; /* 0: not watched */
static char *paths[MOST_FILES];
static int files = 0;
static int recording = -1;

static ssize_t (*real_write)(int, const void *, size_t);
static ssize_t (*real_pwrite)(int, const void *, size_t, off_t);
static int (*real_ftruncate)(int, off_t);
static int (*real_fsync)(int);
static int (*real_fdatasync)(int);
static int (*real_close)(int);
static int (*real_unlink)(const char *);
static int (*real_open)(const char *, int, ...);
static int (*real_openat)(int, const char *, int, ...);

__attribute__((constructor)) static void start(void) {
  real_write = dlsym(RTLD_NEXT, "write");
  real_pwrite = dlsym(RTLD_NEXT, "pwrite64");
  real_ftruncate = dlsym(RTLD_NEXT, "ftruncate64");
  real_fsync = dlsym(RTLD_NEXT, "fsync");
  real_fdatasync = dlsym(RTLD_NEXT, "fdatasync");
  real_close = dlsym(RTLD_NEXT, "close");
  real_unlink = dlsym(RTLD_NEXT, "unlink");
  real_open = dlsym(RTLD_NEXT, "open64");
  real_openat = dlsym(RTLD_NEXT, "openat64");
  const char *to = getenv("RECORDING");
  if (to) recording = real_open(to, O_WRONLY | O_CREAT | O_APPEND | O_CLOEXEC, 0600);
}

static void put(char kind, uint64_t file, uint64_t offset, uint64_t length, const void *data) {
  char head[25];
  head[0] = kind;
  memcpy(head + 1, &file, 8);
  memcpy(head + 9, &offset, 8);
  memcpy(head + 17, &length, 8);
  if (real_write(recording, head, sizeof head) != (ssize_t)sizeof head) abort();
  if (length && real_write(recording, data, length) != (ssize_t)length) abort();
}

static int watched(int fd) { return fd >= 0 && fd < MOST_FDS ? number_of_fd[fd] : 0; }

/* The number of a path in the recorded folder, 0 for any other. Call with the lock held. */
static int number_of(const char *path) {
  const char *folder = getenv("RECORDED_FOLDER");
  size_t length = folder ? strlen(folder) : 0;
  if (recording < 0 || !folder || strncmp(path, folder, length) != 0) return 0;
  if (path[length] != '/' && path[length] != 0) return 0;
  for (int i = 0; i < files; i++)
    if (strcmp(paths[i], path) == 0) return i + 1;
  if (files == MOST_FILES) abort();
  paths[files++] = strdup(path);
  return files;
}

static int opened(int fd, const char *path) {
  if (fd < 0 || fd >= MOST_FDS) return fd;
  pthread_mutex_lock(&lock);
  number_of_fd[fd] = number_of(path);
  if (number_of_fd[fd]) put('O', number_of_fd[fd], 0, strlen(path), path);
  pthread_mutex_unlock(&lock);
  return fd;
}

int unlink(const char *path) {
  int result = real_unlink(path);
  pthread_mutex_lock(&lock);
  int number = result == 0 ? number_of(path) : 0;
  if (number) put('U', number, 0, 0, NULL);
  pthread_mutex_unlock(&lock);
  return result;
}

int open(const char *path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  int mode = va_arg(rest, int);
  va_end(rest);
  return opened(real_open(path, flags, mode), path);
}
int open64(const char *path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  int mode = va_arg(rest, int);
  va_end(rest);
  return opened(real_open(path, flags, mode), path);
}
int openat(int folder, const char *path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  int mode = va_arg(rest, int);
  va_end(rest);
  return opened(real_openat(folder, path, flags, mode), path);
}
int openat64(int folder, const char *path, int flags, ...) {
  va_list rest;
  va_start(rest, flags);
  int mode = va_arg(rest, int);
  va_end(rest);
  return opened(real_openat(folder, path, flags, mode), path);
}
int close(int fd) {
  if (watched(fd)) number_of_fd[fd] = 0;
  return real_close(fd);
}

/* The event is put down after the call: an acknowledgement that follows it in time
 * follows it in the record too. */
static ssize_t wrote(int fd, const void *data, ssize_t length, off_t offset) {
  int number = watched(fd);
  if (number && length > 0) {
    pthread_mutex_lock(&lock);
    put('W', number, offset, length, data);
    pthread_mutex_unlock(&lock);
  }
  return length;
}
ssize_t write(int fd, const void *data, size_t length) {
  off_t offset = watched(fd) ? lseek(fd, 0, SEEK_CUR) : 0;
  return wrote(fd, data, real_write(fd, data, length), offset);
}
ssize_t pwrite(int fd, const void *data, size_t length, off_t offset) {
  return wrote(fd, data, real_pwrite(fd, data, length, offset), offset);
}
ssize_t pwrite64(int fd, const void *data, size_t length, off64_t offset) {
  return wrote(fd, data, real_pwrite(fd, data, length, offset), offset);
}

static int noted(int fd, char kind, off_t size, int result) {
  int number = watched(fd);
  if (number && result == 0) {
    pthread_mutex_lock(&lock);
    put(kind, number, size, 0, NULL);
    pthread_mutex_unlock(&lock);
  }
  return result;
}
int ftruncate(int fd, off_t size) { return noted(fd, 'T', size, real_ftruncate(fd, size)); }
int ftruncate64(int fd, off64_t size) { return noted(fd, 'T', size, real_ftruncate(fd, size)); }
int fsync(int fd) { return noted(fd, 'S', 0, real_fsync(fd)); }
int fdatasync(int fd) { return noted(fd, 'S', 0, real_fdatasync(fd)); }

/* Lets the n-th call of one kind fail in the program that is given this library (LD_PRELOAD), as
   PLYLOOM_FAULT says: `KIND NUMBER HOW`. Where the call came, the file that PLYLOOM_FAULT_CAME names is made.

   KIND is write, open (of files to be made), sync, truncate, thread, memory or clock; HOW is an errno, or
   0 for a write of a single byte. Writes to the errors are left alone: they tell what happened. The clock of
   the calendar jumps by ten years, forth and back, from its n-th call on.

   What it is not: a part of the program. */
#define _GNU_SOURCE
#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

static char kind[16];
static long at;
static int how;
static atomic_long calls;
static const char *came;

static long number(const char **from) {
    long n = 0;
    while (**from == ' ') ++*from;
    while (**from >= '0' && **from <= '9') n = 10 * n + (*(*from)++ - '0');
    return n;
}

__attribute__((constructor)) static void begin(void) {
    const char *fault = getenv("PLYLOOM_FAULT");
    came = getenv("PLYLOOM_FAULT_CAME");
    if (!fault || !came) return;
    size_t i = 0;
    while (*fault && *fault != ' ' && i + 1 < sizeof kind) kind[i++] = *fault++;
    at = number(&fault);
    how = (int)number(&fault);
}

/* Whether this call is to fail. */
static int fails(const char *mine) {
    if (strcmp(kind, mine) != 0) return 0;
    long now = atomic_fetch_add(&calls, 1) + 1;
    int hit = strcmp(mine, "clock") == 0 ? now >= at : now == at;
    if (hit) {
        int kept = errno;
        long file = syscall(SYS_openat, AT_FDCWD, came, O_CREAT | O_WRONLY, 0600);
        if (file >= 0) syscall(SYS_close, file);
        errno = kept;
    }
    return hit;
}

ssize_t write(int file, const void *bytes, size_t count) {
    if (file != 2 && fails("write")) {
        if (how) {
            errno = how;
            return -1;
        }
        if (count > 1) count = 1;
    }
    return syscall(SYS_write, file, bytes, count);
}

static int opened(int folder, const char *path, int flags, mode_t mode) {
    if ((flags & O_CREAT) && fails("open")) {
        errno = how;
        return -1;
    }
    return (int)syscall(SYS_openat, folder, path, flags, mode);
}

int open64(const char *path, int flags, ...) {
    mode_t mode = 0;
    if (flags & (O_CREAT | O_TMPFILE)) {
        va_list rest;
        va_start(rest, flags);
        mode = va_arg(rest, mode_t);
        va_end(rest);
    }
    return opened(AT_FDCWD, path, flags, mode);
}

int open(const char *path, int flags, ...) {
    mode_t mode = 0;
    if (flags & (O_CREAT | O_TMPFILE)) {
        va_list rest;
        va_start(rest, flags);
        mode = va_arg(rest, mode_t);
        va_end(rest);
    }
    return opened(AT_FDCWD, path, flags, mode);
}

int fsync(int file) {
    if (fails("sync")) {
        errno = how;
        return -1;
    }
    return (int)syscall(SYS_fsync, file);
}

int ftruncate64(int file, off64_t length) {
    if (fails("truncate")) {
        errno = how;
        return -1;
    }
    return (int)syscall(SYS_ftruncate, file, length);
}

int clock_gettime(clockid_t clock, struct timespec *time) {
    int done = (int)syscall(SYS_clock_gettime, clock, time);
    if (done == 0 && clock == CLOCK_REALTIME && fails("clock")) {
        time->tv_sec += atomic_load(&calls) % 2 ? 315360000 : -315360000;
    }
    return done;
}

int pthread_create(pthread_t *thread, const pthread_attr_t *marks, void *(*work)(void *), void *with) {
    static int (*real)(pthread_t *, const pthread_attr_t *, void *(*)(void *), void *);
    if (fails("thread")) return how;
    if (!real) real = dlsym(RTLD_NEXT, "pthread_create");
    return real(thread, marks, work, with);
}

extern void *__libc_malloc(size_t);
extern void *__libc_calloc(size_t, size_t);
extern void *__libc_realloc(void *, size_t);
extern void *__libc_memalign(size_t, size_t);

void *malloc(size_t size) { return fails("memory") ? NULL : __libc_malloc(size); }
void *calloc(size_t count, size_t size) { return fails("memory") ? NULL : __libc_calloc(count, size); }
void *realloc(void *old, size_t size) { return fails("memory") ? NULL : __libc_realloc(old, size); }
int posix_memalign(void **to, size_t alignment, size_t size) {
    if (fails("memory")) return ENOMEM;
    *to = __libc_memalign(alignment, size);
    return *to ? 0 : ENOMEM;
}

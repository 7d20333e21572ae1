/* A disk that fails on purpose: loaded before the C library (LD_PRELOAD), it stands between a program and
 * the files under one folder.
 *
 *   DISK_ROOT   the folder, an absolute path without a slash at its end
 *   DISK_TRACE  every operation on it is written here, with what it wrote, and every line that the program
 *               says (its standard output), in the order in which they came
 *   DISK_FROM, DISK_TO   the operations of these numbers fail (from 1; none where 0)
 *   DISK_HOW    eio, enospc; torn (half of the bytes are written, then EIO); short (half of the bytes are
 *               written and the call says so, as it may)
 *
 * Calls the kernel by number: on a 64-bit Linux, whatever library the program was built with. What is
 * written through a mapping (SQLite's -shm, which no power-off survives) is not seen.
 */
#define _GNU_SOURCE
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/uio.h>
#include <unistd.h>

#define MOST 4096

static char root[PATH_MAX];
static size_t root_len;
static int trace = -1;
static long long from, to, number;
static enum { EIO_, ENOSPC_, TORN, SHORT } how;
static char is_ours[MOST];
static int ready;

__attribute__((constructor)) static void begin(void) {
    if (ready) return;
    ready = 1;
    const char *r = getenv("DISK_ROOT"), *t = getenv("DISK_TRACE"), *h = getenv("DISK_HOW");
    if (!r || !t || strlen(r) >= sizeof root) return;
    strcpy(root, r);
    root_len = strlen(root);
    trace = syscall(SYS_openat, AT_FDCWD, t, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    from = getenv("DISK_FROM") ? atoll(getenv("DISK_FROM")) : 0;
    to = getenv("DISK_TO") ? atoll(getenv("DISK_TO")) : 0;
    if (h && !strcmp(h, "enospc")) how = ENOSPC_;
    if (h && !strcmp(h, "torn")) how = TORN;
    if (h && !strcmp(h, "short")) how = SHORT;
}

static int ours(const char *path) {
    begin();
    return trace >= 0 && !strncmp(path, root, root_len) &&
           (path[root_len] == '/' || path[root_len] == 0);
}

static int mine(int fd) {
    begin();
    return trace >= 0 && fd >= 0 && fd < MOST && is_ours[fd];
}

/* The absolute path of a name in an open folder. */
static const char *whole(int at, const char *path, char *into) {
    if (path[0] == '/') return path;
    char link[64];
    if (at == AT_FDCWD) {
        if (!getcwd(into, PATH_MAX)) return path;
    } else {
        snprintf(link, sizeof link, "/proc/self/fd/%d", at);
        ssize_t n = readlink(link, into, PATH_MAX - 1);
        if (n < 0) return path;
        into[n] = 0;
    }
    size_t n = strlen(into);
    snprintf(into + n, PATH_MAX - n, "/%s", path);
    return into;
}

/* One record: kind, number, result, file, offset, flags, two paths, bytes. */
static void tell(char kind, long long no, long long result, int fd, long long off, unsigned flags,
                 const char *a, const char *b, const struct iovec *parts, int count, size_t most) {
    int saved = errno;
    struct { char kind; long long no, result; int fd; long long off; unsigned flags; uint16_t a, b; uint32_t n; }
        __attribute__((packed)) head = {kind, no, result, fd, off, flags, 0, 0, 0};
    struct iovec v[36];
    int used = 1;
    head.a = a ? strlen(a) : 0;
    head.b = b ? strlen(b) : 0;
    v[0] = (struct iovec){&head, sizeof head};
    if (head.a) v[used++] = (struct iovec){(void *)a, head.a};
    if (head.b) v[used++] = (struct iovec){(void *)b, head.b};
    for (int i = 0; i < count && used < 36 && most > 0; i++) {
        size_t n = parts[i].iov_len < most ? parts[i].iov_len : most;
        v[used++] = (struct iovec){parts[i].iov_base, n};
        head.n += n;
        most -= n;
    }
    syscall(SYS_writev, trace, v, used);
    errno = saved;
}

/* Counts an operation; says whether it is one that fails. */
static int fails(void) {
    number++;
    return from > 0 && number >= from && number <= to;
}

static int refused(void) {
    errno = how == ENOSPC_ ? ENOSPC : EIO;
    return -1;
}

/* ---- names ---- */

static int opened(int at, const char *path, int flags, mode_t mode) {
    char into[PATH_MAX];
    const char *p = whole(at, path, into);
    if (!ours(p)) {
        int other = syscall(SYS_openat, at, path, flags, mode);
        if (other >= 0 && other < MOST) is_ours[other] = 0;
        return other;
    }
    int bad = fails();
    int fd = bad ? refused() : (int)syscall(SYS_openat, at, path, flags, mode);
    if (fd >= 0 && fd < MOST) is_ours[fd] = 1;
    tell('o', number, fd, fd, 0, flags, p + root_len, 0, 0, 0, 0);
    return fd;
}

#define MODE(last)                                                                                          \
    mode_t mode = 0;                                                                                         \
    if (flags & (O_CREAT | __O_TMPFILE)) {                                                                   \
        va_list list;                                                                                        \
        va_start(list, last);                                                                                \
        mode = va_arg(list, int);                                                                            \
        va_end(list);                                                                                        \
    }

int open(const char *path, int flags, ...) { MODE(flags) return opened(AT_FDCWD, path, flags, mode); }
int open64(const char *path, int flags, ...) { MODE(flags) return opened(AT_FDCWD, path, flags, mode); }
int openat(int at, const char *path, int flags, ...) { MODE(flags) return opened(at, path, flags, mode); }
int openat64(int at, const char *path, int flags, ...) { MODE(flags) return opened(at, path, flags, mode); }
int creat(const char *path, mode_t mode) { return opened(AT_FDCWD, path, O_CREAT | O_WRONLY | O_TRUNC, mode); }
int creat64(const char *path, mode_t mode) { return creat(path, mode); }

int close(int fd) {
    if (mine(fd)) {
        is_ours[fd] = 0;
        tell('c', -1, 0, fd, 0, 0, 0, 0, 0, 0, 0);
    }
    return syscall(SYS_close, fd);
}

int renameat2(int at, const char *path, int to_at, const char *to_path, unsigned flags) {
    char a[PATH_MAX], b[PATH_MAX];
    const char *p = whole(at, path, a), *q = whole(to_at, to_path, b);
    if (!ours(p) || !ours(q)) return syscall(SYS_renameat2, at, path, to_at, to_path, flags);
    int bad = fails();
    int r = bad ? refused() : (int)syscall(SYS_renameat2, at, path, to_at, to_path, flags);
    tell('m', number, r, -1, 0, flags, p + root_len, q + root_len, 0, 0, 0);
    return r;
}
int rename(const char *a, const char *b) { return renameat2(AT_FDCWD, a, AT_FDCWD, b, 0); }
int renameat(int x, const char *a, int y, const char *b) { return renameat2(x, a, y, b, 0); }

int unlinkat(int at, const char *path, int flags) {
    char a[PATH_MAX];
    const char *p = whole(at, path, a);
    if (!ours(p)) return syscall(SYS_unlinkat, at, path, flags);
    int bad = fails();
    int r = bad ? refused() : (int)syscall(SYS_unlinkat, at, path, flags);
    tell('u', number, r, -1, 0, flags, p + root_len, 0, 0, 0, 0);
    return r;
}
int unlink(const char *path) { return unlinkat(AT_FDCWD, path, 0); }
int rmdir(const char *path) { return unlinkat(AT_FDCWD, path, AT_REMOVEDIR); }

int mkdirat(int at, const char *path, mode_t mode) {
    char a[PATH_MAX];
    const char *p = whole(at, path, a);
    if (!ours(p)) return syscall(SYS_mkdirat, at, path, mode);
    int bad = fails();
    int r = bad ? refused() : (int)syscall(SYS_mkdirat, at, path, mode);
    tell('d', number, r, -1, 0, 0, p + root_len, 0, 0, 0, 0);
    return r;
}
int mkdir(const char *path, mode_t mode) { return mkdirat(AT_FDCWD, path, mode); }

/* ---- bytes ---- */

static ssize_t put(int fd, const struct iovec *parts, int count, long long off) {
    int says = fd == 1;
    if (!says && !mine(fd))
        return off < 0 ? syscall(SYS_writev, fd, parts, count) : syscall(SYS_pwritev, fd, parts, count, off, 0);
    size_t all = 0;
    for (int i = 0; i < count; i++) all += parts[i].iov_len;
    if (says) {
        begin();
        if (trace >= 0) tell('s', -1, all, fd, 0, 0, 0, 0, parts, count, all);
        return syscall(SYS_writev, fd, parts, count);
    }
    long long at = off;
    if (off < 0) {
        struct stat s;
        int flags = fcntl(fd, F_GETFL);
        at = lseek(fd, 0, SEEK_CUR);
        if ((flags & O_APPEND) && !fstat(fd, &s)) at = s.st_size;
    }
    size_t most = all;
    int bad = fails();
    if (bad && (how == EIO_ || how == ENOSPC_ || all < 2)) {
        ssize_t r = refused();
        tell('w', number, r, fd, at, 0, 0, 0, 0, 0, 0);
        return r;
    }
    if (bad) most = all / 2;
    ssize_t done = 0;
    for (int i = 0; i < count && (size_t)done < most; i++) {
        size_t n = parts[i].iov_len < most - done ? parts[i].iov_len : most - done;
        ssize_t r = off < 0 ? syscall(SYS_write, fd, parts[i].iov_base, n)
                            : syscall(SYS_pwrite64, fd, parts[i].iov_base, n, off + done);
        if (r < 0) {
            if (!done) done = r;
            break;
        }
        done += r;
        if ((size_t)r < n) break;
    }
    tell('w', number, done, fd, at, 0, 0, 0, parts, count, done > 0 ? done : 0);
    if (bad && how == TORN) {
        errno = EIO;
        return -1;
    }
    return done;
}

ssize_t write(int fd, const void *p, size_t n) {
    struct iovec v = {(void *)p, n};
    return put(fd, &v, 1, -1);
}
ssize_t pwrite(int fd, const void *p, size_t n, off_t off) {
    struct iovec v = {(void *)p, n};
    return put(fd, &v, 1, off);
}
ssize_t pwrite64(int fd, const void *p, size_t n, off64_t off) { return pwrite(fd, p, n, off); }
ssize_t writev(int fd, const struct iovec *v, int n) { return put(fd, v, n, -1); }
ssize_t pwritev(int fd, const struct iovec *v, int n, off_t off) { return put(fd, v, n, off); }
ssize_t pwritev64(int fd, const struct iovec *v, int n, off64_t off) { return put(fd, v, n, off); }

static int gets_none(int fd) {
    int bad = fails();
    if (bad) refused();
    tell('r', number, bad ? -1 : 0, fd, 0, 0, 0, 0, 0, 0, 0);
    if (bad) errno = EIO;
    return bad;
}
ssize_t read(int fd, void *p, size_t n) {
    if (mine(fd) && gets_none(fd)) return -1;
    return syscall(SYS_read, fd, p, n);
}
ssize_t pread(int fd, void *p, size_t n, off_t off) {
    if (mine(fd) && gets_none(fd)) return -1;
    return syscall(SYS_pread64, fd, p, n, off);
}
ssize_t pread64(int fd, void *p, size_t n, off64_t off) { return pread(fd, p, n, off); }

static int synced(int fd, long call) {
    if (!mine(fd)) return syscall(call, fd);
    int bad = fails();
    int r = bad ? refused() : (int)syscall(call, fd);
    tell('f', number, r, fd, 0, 0, 0, 0, 0, 0, 0);
    return r;
}
int fsync(int fd) { return synced(fd, SYS_fsync); }
int fdatasync(int fd) { return synced(fd, SYS_fdatasync); }

int ftruncate(int fd, off_t length) {
    if (!mine(fd)) return syscall(SYS_ftruncate, fd, length);
    int bad = fails();
    int r = bad ? refused() : (int)syscall(SYS_ftruncate, fd, length);
    tell('t', number, r, fd, length, 0, 0, 0, 0, 0, 0);
    return r;
}
int ftruncate64(int fd, off64_t length) { return ftruncate(fd, length); }

/* Ways around what is counted: not there, so that the caller takes the plain one. */
ssize_t copy_file_range(int a, off64_t *x, int b, off64_t *y, size_t n, unsigned f) {
    if (mine(a) || mine(b)) {
        errno = ENOSYS;
        return -1;
    }
    return syscall(SYS_copy_file_range, a, x, b, y, n, f);
}
ssize_t sendfile(int a, int b, off_t *x, size_t n) {
    if (mine(a) || mine(b)) {
        errno = ENOSYS;
        return -1;
    }
    return syscall(SYS_sendfile, a, b, x, n);
}
ssize_t sendfile64(int a, int b, off64_t *x, size_t n) { return sendfile(a, b, x, n); }
int fallocate(int fd, int mode, off_t off, off_t n) {
    if (mine(fd)) {
        errno = EOPNOTSUPP;
        return -1;
    }
    return syscall(SYS_fallocate, fd, mode, off, n);
}
int fallocate64(int fd, int mode, off64_t off, off64_t n) { return fallocate(fd, mode, off, n); }
int posix_fallocate(int fd, off_t off, off_t n) { return mine(fd) ? EOPNOTSUPP : (syscall(SYS_fallocate, fd, 0, off, n) ? errno : 0); }
int posix_fallocate64(int fd, off64_t off, off64_t n) { return posix_fallocate(fd, off, n); }

#pragma once

#include <sqlite3.h>

#include <map>
#include <stdexcept>

namespace gyle::test {

// A disk that is full or broken. While it exists, SQLite opens files through it, and the n-th write, sync or
// truncation (counted over all files) and all later ones fail with `error`.
class FailingDisk {
 public:
  FailingDisk() {
    real() = sqlite3_vfs_find(nullptr);
    shim() = *real();
    shim().zName = "failing";
    shim().xOpen = open;
    if (sqlite3_vfs_register(&shim(), 1) != SQLITE_OK) throw std::runtime_error("cannot register the disk");
  }
  FailingDisk(const FailingDisk&) = delete;
  FailingDisk& operator=(const FailingDisk&) = delete;
  ~FailingDisk() {
    heal();
    sqlite3_vfs_unregister(&shim());
    sqlite3_vfs_register(real(), 1);
  }

  static void fail_from(int nth, int error) {
    left() = nth;
    code() = error;
  }
  static void heal() { left() = 0; }
  static bool has_failed() { return left() < 0; }  // since fail_from

 private:
  static sqlite3_vfs*& real() {
    static sqlite3_vfs* vfs = nullptr;
    return vfs;
  }
  static sqlite3_vfs& shim() {
    static sqlite3_vfs vfs{};
    return vfs;
  }
  static const sqlite3_io_methods*& posix() {
    static const sqlite3_io_methods* methods = nullptr;
    return methods;
  }
  static int& left() {
    static int n = 0;
    return n;
  }
  static int& code() {
    static int c = 0;
    return c;
  }

  static bool fails() {
    if (left() == 0) return false;
    if (left() > 1) {
      --left();
      return false;
    }
    left() = -1;
    return true;
  }
  static int write(sqlite3_file* file, const void* data, int size, sqlite3_int64 offset) {
    return fails() ? code() : posix()->xWrite(file, data, size, offset);
  }
  static int sync(sqlite3_file* file, int flags) {
    return fails() ? SQLITE_IOERR_FSYNC : posix()->xSync(file, flags);
  }
  static int truncate(sqlite3_file* file, sqlite3_int64 size) {
    return fails() ? SQLITE_IOERR_TRUNCATE : posix()->xTruncate(file, size);
  }
  static int open(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    const int result = real()->xOpen(real(), name, file, flags, out_flags);
    if (file->pMethods == nullptr) return result;
    // The method tables of databases and logs differ in locking only.
    if (posix() == nullptr) posix() = file->pMethods;
    if (file->pMethods->xWrite != posix()->xWrite) throw std::logic_error("files of two kinds");
    static std::map<const sqlite3_io_methods*, sqlite3_io_methods> failing;
    sqlite3_io_methods& methods = failing[file->pMethods];
    methods = *file->pMethods;
    methods.xWrite = write;
    methods.xSync = sync;
    methods.xTruncate = truncate;
    file->pMethods = &methods;
    return result;
  }
};

}  // namespace gyle::test

#pragma once

#include <fcntl.h>
#include <sqlite3.h>
#include <stdio.h>
#include <unistd.h>

#include <algorithm>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <functional>
#include <map>
#include <memory>
#include <random>
#include <stdexcept>
#include <string>
#include <vector>

// What the daemon itself asks of the system beside SQLite. A program that includes this is linked with --wrap for
// each.
extern "C" {
int __real_fsync(int file);
int __real_link(const char* from, const char* to);
int __real_rename(const char* from, const char* to);
int __real_renameat2(int from_folder, const char* from, int to_folder, const char* to, unsigned flags);
int __wrap_fsync(int file);
int __wrap_link(const char* from, const char* to);
int __wrap_rename(const char* from, const char* to);
int __wrap_renameat2(int from_folder, const char* from, int to_folder, const char* to, unsigned flags);
}

namespace gyle::test {

// A disk with a cache that loses its power. While it exists it follows what happens to the files of one folder, and
// tells at any moment what may be on the disk:
//   written   what was not synced is there or not, each sector by itself, in any order; a file that grew by it may
//             hold rubbish in place of it
//   names     a file that was made, renamed or deleted has its new name only once the folder was synced; before that, or
//             not, in the order in which it happened. A sync of the file does not bring its name.
//   synced    is there
// SQLite reaches it as its default VFS, the daemon's own calls by the linker's --wrap. Shared memory (-shm) is not
// of the disk. For one thread, and one of them at a time.
class PowerCutDisk {
 public:
  PowerCutDisk(std::filesystem::path folder, unsigned seed) : folder_(std::move(folder)), random_(seed) {
    for (const auto& entry : std::filesystem::directory_iterator(folder_)) {
      names_[entry.path()] = std::make_shared<File>(File{content_of(entry.path()), {}});
    }
    durable_names_ = names_;
    real_ = sqlite3_vfs_find(nullptr);
    shim_ = *real_;
    shim_.zName = "power-cut";
    shim_.xOpen = open;
    shim_.xDelete = remove;
    if (sqlite3_vfs_register(&shim_, 1) != SQLITE_OK) throw std::runtime_error("cannot register the disk");
    disk() = this;
  }
  PowerCutDisk(const PowerCutDisk&) = delete;
  PowerCutDisk& operator=(const PowerCutDisk&) = delete;
  ~PowerCutDisk() {
    sqlite3_vfs_unregister(&shim_);
    sqlite3_vfs_register(real_, 1);
    disk() = nullptr;
  }

  // Called before each step has happened for good: the file that is written, cut, synced, deleted or gets a name.
  std::function<void(const std::filesystem::path&)> at_each_step;

  // The power fails now: what is then on the disk goes into the empty folder `into`. Each call draws another fate of
  // what was not synced.
  void cut(const std::filesystem::path& into) {
    std::map<std::filesystem::path, FilePtr> names = durable_names_;
    const std::size_t survivors = std::uniform_int_distribution<std::size_t>(0, renamings_.size())(random_);
    for (std::size_t i = 0; i < survivors; ++i) apply(renamings_[i], names);
    constexpr double kSurvives[] = {0, 0.1, 0.5, 0.9, 1};
    const double odds = kSurvives[std::uniform_int_distribution<std::size_t>(0, 4)(random_)];
    for (const auto& [path, file] : names) {
      const std::string content = after_cut(*file, odds);
      std::ofstream out(into / path.filename(), std::ios::binary);
      out.write(content.data(), static_cast<std::streamsize>(content.size()));
    }
  }

 private:
  static constexpr std::size_t kSector = 512;

  struct Change {
    std::size_t at;     // where it was written, or the new size
    std::string bytes;  // empty: the size was set
  };
  struct File {
    std::string synced;
    std::vector<Change> changes;  // since then
  };
  using FilePtr = std::shared_ptr<File>;
  struct Renaming {                                                // happens as a whole
    std::vector<std::pair<std::filesystem::path, FilePtr>> names;  // no file: the name goes
  };
  struct OpenFile {
    FilePtr file;
    std::filesystem::path path;
    bool brings_name = false;  // SQLite syncs the folder with the first sync of a log
    const sqlite3_io_methods* methods = nullptr;
    sqlite3_io_methods shim{};
  };

  static PowerCutDisk*& disk() {
    static PowerCutDisk* one = nullptr;
    return one;
  }
  friend int ::__wrap_fsync(int);
  friend int ::__wrap_link(const char*, const char*);
  friend int ::__wrap_rename(const char*, const char*);
  friend int ::__wrap_renameat2(int, const char*, int, const char*, unsigned);

  static std::string content_of(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    return {std::istreambuf_iterator<char>(in), {}};
  }

  bool is_ours(const std::filesystem::path& path) const {
    return path.parent_path() == folder_ && !path.string().ends_with("-shm");
  }
  void step(const std::filesystem::path& path) const {
    if (at_each_step) at_each_step(path);
  }

  static void apply(const Renaming& renaming, std::map<std::filesystem::path, FilePtr>& names) {
    for (const auto& [path, file] : renaming.names) {
      if (file) {
        names[path] = file;
      } else {
        names.erase(path);
      }
    }
  }
  static void apply(const Change& change, std::string& content) {
    if (change.bytes.empty()) {
      content.resize(change.at);
    } else {
      if (content.size() < change.at + change.bytes.size()) content.resize(change.at + change.bytes.size());
      content.replace(change.at, change.bytes.size(), change.bytes);
    }
  }

  bool chance(double odds) { return std::uniform_real_distribution<>()(random_) < odds; }

  std::string after_cut(const File& file, double odds) {
    std::string content = file.synced;
    for (const Change& change : file.changes) {
      if (change.bytes.empty()) {
        if (chance(odds)) content.resize(change.at);
        continue;
      }
      const std::size_t end = change.at + change.bytes.size();
      if (content.size() < end && chance(0.2)) content.resize(end, chance(0.5) ? '\0' : '\xa5');
      for (std::size_t from = change.at; from < end;) {
        const std::size_t to = std::min(end, (from / kSector + 1) * kSector);
        if (chance(odds)) apply({from, change.bytes.substr(from - change.at, to - from)}, content);
        from = to;
      }
    }
    return content;
  }

  void renamed(Renaming renaming) {
    apply(renaming, names_);
    const std::filesystem::path path = renaming.names.front().first;
    renamings_.push_back(std::move(renaming));
    step(path);
  }
  void changed(const OpenFile& open, Change change) {
    open.file->changes.push_back(std::move(change));
    step(open.path);
  }
  void file_synced(File& file) {
    for (const Change& change : file.changes) apply(change, file.synced);
    file.changes.clear();
  }
  void folder_synced() {
    durable_names_ = names_;
    renamings_.clear();
  }
  void move(const std::filesystem::path& from, const std::filesystem::path& to) {
    if (const auto file = names_.find(from); is_ours(to) && file != names_.end()) {
      renamed({{{to, file->second}, {from, nullptr}}});
    }
  }

  static OpenFile& of(sqlite3_file* file) { return *disk()->open_files_.at(file); }

  static int write(sqlite3_file* file, const void* data, int size, sqlite3_int64 offset) {
    OpenFile& open = of(file);
    const int result = open.methods->xWrite(file, data, size, offset);
    if (result == SQLITE_OK) {
      disk()->changed(open, {static_cast<std::size_t>(offset),
                             std::string(static_cast<const char*>(data), static_cast<std::size_t>(size))});
    }
    return result;
  }
  static int truncate(sqlite3_file* file, sqlite3_int64 size) {
    OpenFile& open = of(file);
    const int result = open.methods->xTruncate(file, size);
    if (result == SQLITE_OK) disk()->changed(open, {static_cast<std::size_t>(size), ""});
    return result;
  }
  static int sync(sqlite3_file* file, int) {
    OpenFile& open = of(file);
    disk()->step(open.path);
    disk()->file_synced(*open.file);
    if (std::exchange(open.brings_name, false)) disk()->folder_synced();
    return SQLITE_OK;
  }
  static int close(sqlite3_file* file) {
    const auto methods = of(file).methods;
    file->pMethods = methods;
    disk()->open_files_.erase(file);
    return methods->xClose(file);
  }
  static int open(sqlite3_vfs*, const char* name, sqlite3_file* file, int flags, int* out_flags) {
    PowerCutDisk& self = *disk();
    const bool ours = name != nullptr && self.is_ours(name);
    const bool was_there = ours && std::filesystem::exists(name);
    const int result = self.real_->xOpen(self.real_, name, file, flags, out_flags);
    if (!ours || result != SQLITE_OK) return result;
    auto open = std::make_unique<OpenFile>();
    open->path = name;
    open->brings_name =
        (flags & SQLITE_OPEN_CREATE) != 0 && (flags & (SQLITE_OPEN_MAIN_JOURNAL | SQLITE_OPEN_WAL)) != 0;
    open->methods = file->pMethods;
    open->shim = *file->pMethods;
    open->shim.xWrite = write;
    open->shim.xTruncate = truncate;
    open->shim.xSync = sync;
    open->shim.xClose = close;
    file->pMethods = &open->shim;
    if (!was_there) self.renamed({{{open->path, std::make_shared<File>()}}});
    open->file = self.names_.at(open->path);
    self.open_files_[file] = std::move(open);
    return SQLITE_OK;
  }
  static int remove(sqlite3_vfs*, const char* name, int sync_folder) {
    PowerCutDisk& self = *disk();
    const int result = self.real_->xDelete(self.real_, name, 0);
    if (result != SQLITE_OK || !self.is_ours(name)) return result;
    self.renamed({{{name, nullptr}}});
    if (sync_folder != 0) self.folder_synced();
    return result;
  }

  std::filesystem::path folder_;
  std::mt19937 random_;
  sqlite3_vfs* real_ = nullptr;
  sqlite3_vfs shim_{};
  std::map<std::filesystem::path, FilePtr> names_, durable_names_;
  std::vector<Renaming> renamings_;  // since the folder was synced
  std::map<sqlite3_file*, std::unique_ptr<OpenFile>> open_files_;
};

}  // namespace gyle::test

extern "C" {

int __wrap_fsync(int file) {
  auto* const disk = gyle::test::PowerCutDisk::disk();
  if (disk == nullptr) return __real_fsync(file);
  std::error_code ignored;
  const auto path = std::filesystem::read_symlink("/proc/self/fd/" + std::to_string(file), ignored);
  if (path == disk->folder_) {
    disk->step(path);
    disk->folder_synced();
  } else if (const auto named = disk->names_.find(path); named != disk->names_.end()) {
    disk->step(path);
    disk->file_synced(*named->second);
  }
  return 0;
}

int __wrap_link(const char* from, const char* to) {
  const int result = __real_link(from, to);
  auto* const disk = gyle::test::PowerCutDisk::disk();
  if (disk != nullptr && result == 0 && disk->is_ours(to)) disk->renamed({{{to, disk->names_.at(from)}}});
  return result;
}

int __wrap_rename(const char* from, const char* to) {
  const int result = __real_rename(from, to);
  if (auto* const disk = gyle::test::PowerCutDisk::disk(); disk != nullptr && result == 0)
    disk->move(from, to);
  return result;
}

int __wrap_renameat2(int from_folder, const char* from, int to_folder, const char* to, unsigned flags) {
  const int result = __real_renameat2(from_folder, from, to_folder, to, flags);
  if (auto* const disk = gyle::test::PowerCutDisk::disk(); disk != nullptr && result == 0)
    disk->move(from, to);
  return result;
}
}

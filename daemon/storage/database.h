#pragma once

#include <chrono>
#include <filesystem>
#include <memory>
#include <stop_token>

#include "base/result.h"

namespace gyle {

// One connection to the database file that holds the journal, the batches and the outbox.
//   durable  a call of the classes on top that has returned success survives a kill and a power cut:
//            write-ahead log, synchronous FULL
//   shared   several connections and processes may have the file open. A call waits up to 10 s for another's
//            lock; `stop` ends that wait early, with Errc::storage
//   moved    when the file is no longer at its path, because it was deleted, moved or replaced, nothing is
//            committed any more: Errc::storage, until that very file is back
//   threads  one connection belongs to one thread at a time; open one for each
//   owner    Journal, BatchStore and Outbox use a connection and must not outlive it
class Database {
 public:
  // Creates the file when it is absent, brings an older one up to date. Errc::storage when the file cannot be
  // opened, is damaged, is no database of ours, or was written by a newer version; it is then left as it was.
  static Result<Database> open(const std::filesystem::path& path, std::stop_token stop = {});

  // A further connection to a database that is open already, on which nothing can be written.
  static Result<Database> open_for_reading(const std::filesystem::path& path, std::stop_token stop = {});

  Database(Database&&) noexcept;
  Database& operator=(Database&&) noexcept;
  ~Database();

  // Reads the whole file: what is wrong with it, as Errc::storage. Takes as long as reading it does.
  Status check();

  // The same without comparing indexes with their tables, for `limit` at most: false when the time was too
  // short to check everything.
  Result<bool> quick_check(std::chrono::milliseconds limit);

  struct Connection;  // storage/connection.h, for the .cpp files of this folder
  Connection& connection() { return *connection_; }

 private:
  explicit Database(std::unique_ptr<Connection> connection);
  std::unique_ptr<Connection> connection_;
};

}  // namespace gyle

#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>

#include "base/clock.h"

namespace gyle {

// The state of the machine that the daemon runs on, all at one moment.
struct MachineLook {
  Time wall;            // the machine's clock; may be set at any moment
  Duration since_boot;  // never set, and goes on while the machine sleeps
  struct Disk {
    std::uint64_t free_bytes;      // that this process may use
    std::uint64_t database_bytes;  // the database with its write-ahead log
  };
  std::optional<Disk> disk;  // absent: it could not be read
};

// Never set, and goes on while the machine sleeps.
Duration time_since_boot();

// `database`: whose disk. A few microseconds.
MachineLook look_at_machine(const Clock& wall, const std::filesystem::path& database);

}  // namespace gyle

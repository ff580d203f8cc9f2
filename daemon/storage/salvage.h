#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "base/result.h"

namespace gyle {

struct SalvagedTable {
  std::string name;
  std::int64_t rows = 0;  // saved
  bool whole = true;      // read from its first row to its last without an error
};

// Saves what can still be read of a damaged database into a new one, which the daemon can use.
//   how      row by row; unreadable rows are skipped, and rows that contradict another are left out. How much
//            is missing cannot be known from a damaged file, so it is not reported
//   source   only read, with the write-ahead log beside it, through a copy beside `to`; it must not be in use
//   errors   Errc::not_found: no such file; Errc::conflict: `to` is there already, or the database is in use;
//            Errc::storage: nothing in it can be read, or `to` cannot be written. Then there is no `to`
//   tests    tests/unit/storage/salvage_test.cpp
Result<std::vector<SalvagedTable>> salvage(const std::filesystem::path& from,
                                           const std::filesystem::path& to);

}  // namespace gyle

#pragma once

#include <cstdint>

namespace SQLite {
class Database;
}

namespace gyle::storage {

// In the caller's transaction: marks the batch to be re-evaluated (storage/judging_log.h) and deletes its
// stored ending.
void mark_judging_due(SQLite::Database& db, std::int64_t batch);

}  // namespace gyle::storage

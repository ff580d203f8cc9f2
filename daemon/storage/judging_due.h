#pragma once

#include <cstdint>

namespace SQLite {
class Database;
}

namespace gyle::storage {

// In the caller's transaction: the batch is to be judged anew (storage/judging_log.h).
void mark_judging_due(SQLite::Database& db, std::int64_t batch);

}  // namespace gyle::storage

#pragma once

#include <cstdint>

namespace SQLite {
class Database;
}

namespace gyle::storage {

// In the caller's transaction: the batch is to be judged again (storage/judging_log.h), and what is stored
// of its end counts no more.
void mark_judging_due(SQLite::Database& db, std::int64_t batch);

}  // namespace gyle::storage

#pragma once

#include <optional>
#include <span>
#include <string_view>

#include "base/result.h"

namespace SQLite {
class Database;
}

namespace gyle::storage {

// The files of migrations/ in order, built in. The n-th takes a database from version n - 1 to n.
std::span<const std::string_view> migrations();

// Brings `db` to `version`, the newest unless given, in one transaction. Errc::storage when it belongs to
// another program or to a newer version; nothing is changed then. May throw what SQLite throws.
Status migrate(SQLite::Database& db, std::optional<int> version = {});

// Whether it is a database of ours, of this version or an older one, or one in which nothing is yet. Errors
// as above.
Status check_ours(SQLite::Database& db);

}  // namespace gyle::storage

#pragma once

#include <compare>
#include <cstddef>
#include <cstdint>
#include <memory>
#include <nlohmann/json_fwd.hpp>
#include <optional>
#include <string>
#include <string_view>

#include "control/call.h"

namespace gyle {

// Where a page of a long list ended. It names the last item on it, not a position: items inserted meanwhile
// neither repeat nor hide others. Opaque to clients.
struct Cursor {
  std::int64_t major = 0;
  std::int64_t minor = 0;

  auto operator<=>(const Cursor&) const = default;
};

std::string cursor_text(const Cursor& cursor);

struct PageQuery {
  std::optional<Cursor> after;
  std::size_t limit;
};

// The cursor and limit of a query. Errc::malformed: a cursor that no answer gave, or a limit that is not from
// 1 to `most`.
Result<PageQuery> page_query(const Call& call, int limit, int most);
// The limit alone, for a list whose cursor is of another kind.
Result<std::size_t> page_limit(const Call& call, int limit, int most);
Error no_such_cursor();

// The items of a list that fit one answer, which stays below 1 MB.
class Page {
 public:
  explicit Page(std::size_t limit, std::size_t most_bytes = 900'000);
  explicit Page(const PageQuery& query, std::size_t most_bytes = 900'000) : Page(query.limit, most_bytes) {}
  ~Page();

  // False: it is full, and `item` is not on it.
  bool add(nlohmann::ordered_json item, std::string_view cursor);
  bool add(nlohmann::ordered_json item, const Cursor& cursor);

  // Puts the items under `name`, and under "next" the cursor of the rest when there is one.
  void put(nlohmann::ordered_json& answer, const char* name);

 private:
  struct Items;
  std::unique_ptr<Items> items_;
  std::size_t limit_;
  std::size_t most_bytes_;
  std::size_t bytes_ = 0;
  bool full_ = false;
  std::string last_;
};

}  // namespace gyle

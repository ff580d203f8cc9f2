#include "control/paging.h"

#include <fmt/format.h>

#include <charconv>
#include <nlohmann/json.hpp>

namespace gyle {
using Json = nlohmann::ordered_json;

std::string cursor_text(const Cursor& cursor) { return fmt::format("{}.{}", cursor.major, cursor.minor); }

Result<std::size_t> page_limit(const Call& call, int limit, int most) {
  BOOST_OUTCOME_TRY(wanted, call.number("limit", 1, most));
  return static_cast<std::size_t>(wanted.value_or(limit));
}

Error no_such_cursor() {
  return {Errc::malformed,
          "the cursor must be the \"next\" of an earlier answer; without one the list begins"};
}

Result<PageQuery> page_query(const Call& call, int limit, int most) {
  PageQuery query;
  BOOST_OUTCOME_TRY(wanted, page_limit(call, limit, most));
  query.limit = wanted;
  const auto text = call.query("cursor");
  if (!text) return query;
  Cursor cursor;
  const char* const end = text->data() + text->size();
  const auto major = std::from_chars(text->data(), end, cursor.major);
  if (major.ec == std::errc{} && major.ptr != end && *major.ptr == '.') {
    const auto minor = std::from_chars(major.ptr + 1, end, cursor.minor);
    if (minor.ec == std::errc{} && minor.ptr == end) {
      query.after = cursor;
      return query;
    }
  }
  return no_such_cursor();
}

struct Page::Items {
  Json list = Json::array();
};

Page::Page(std::size_t limit, std::size_t most_bytes)
    : items_(std::make_unique<Items>()), limit_(limit), most_bytes_(most_bytes) {}
Page::~Page() = default;

bool Page::add(Json item, const Cursor& cursor) {
  return add(std::move(item), std::string_view(cursor_text(cursor)));
}

bool Page::add(Json item, std::string_view cursor) {
  const std::size_t bytes = item.dump(-1, ' ', false, Json::error_handler_t::replace).size() + 1;
  Json& list = items_->list;
  full_ = full_ || list.size() == limit_ || (!list.empty() && bytes_ + bytes > most_bytes_);
  if (full_) return false;
  bytes_ += bytes;
  last_ = cursor;
  list.push_back(std::move(item));
  return true;
}

void Page::put(Json& answer, const char* name) {
  answer[name] = std::move(items_->list);
  if (full_) answer["next"] = std::move(last_);
}

}  // namespace gyle

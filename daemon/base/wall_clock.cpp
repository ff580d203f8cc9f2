#include "base/wall_clock.h"

namespace gyle {
namespace {

// Two digits, at most `most`.
std::optional<int> two_digits(std::string_view text, int most) {
  if (text.size() != 2 || text[0] < '0' || text[0] > '9' || text[1] < '0' || text[1] > '9') return {};
  const int value = (text[0] - '0') * 10 + (text[1] - '0');
  return value <= most ? std::optional(value) : std::nullopt;
}

}  // namespace

std::optional<std::chrono::minutes> read_clock(std::string_view text) {
  if (text.size() != 5 || text[2] != ':') return std::nullopt;
  const auto hour = two_digits(text.substr(0, 2), 23);
  const auto minute = two_digits(text.substr(3), 59);
  return hour && minute ? std::optional(std::chrono::minutes(*hour * 60 + *minute)) : std::nullopt;
}

Time moment_of(const date::time_zone& zone, date::local_time<std::chrono::minutes> local) {
  const auto info = zone.get_info(local);
  if (info.result == date::local_info::nonexistent) return Time(info.first.end);
  return Time(local.time_since_epoch() - info.first.offset);
}

date::local_time<std::chrono::minutes> wall_clock(const date::time_zone& zone, Time time) {
  return date::floor<std::chrono::minutes>(zone.to_local(time));
}

}  // namespace gyle

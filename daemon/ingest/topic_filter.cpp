#include "ingest/topic_filter.h"

#include <algorithm>

namespace gyle {

bool topic_matches(std::string_view filter, std::string_view topic) {
  if (filter.empty() || topic.empty()) return false;
  // A broker's own topics are never meant by a leading wildcard.
  if (topic.front() == '$' && filter.front() != '$') return false;
  while (true) {
    if (filter == "#") return true;
    const std::size_t filter_end = filter.find('/');
    const std::size_t topic_end = topic.find('/');
    const std::string_view wanted = filter.substr(0, filter_end);
    if (wanted != "+" && wanted != topic.substr(0, topic_end)) return false;
    const bool filter_over = filter_end == std::string_view::npos;
    const bool topic_over = topic_end == std::string_view::npos;
    if (topic_over) return filter_over || filter.substr(filter_end) == "/#";  // "a/#" also means "a"
    if (filter_over) return false;
    filter.remove_prefix(filter_end + 1);
    topic.remove_prefix(topic_end + 1);
  }
}

Status check_topic_filter(std::string_view filter) {
  constexpr std::size_t kLongest = 65535;
  if (filter.empty() || filter.size() > kLongest || filter.find('\0') != std::string_view::npos) {
    return fail(Errc::malformed, "a topic has 1 to 65535 bytes, none of them zero");
  }
  if (filter.substr(0, 7) == "$share/") {
    return fail(Errc::malformed, "a shared subscription would miss messages; leave out $share and its group");
  }
  for (std::size_t level = 0; level < topic_levels(filter); ++level) {
    const std::string_view text = *topic_level(filter, level);
    if (text.size() > 1 && text.find_first_of("+#") != std::string_view::npos) {
      return fail(Errc::malformed, "\"+\" and \"#\" stand alone between slashes, as in \"cellar/+/state\"");
    }
    if (text == "#" && level + 1 != topic_levels(filter)) {
      return fail(Errc::malformed, "\"#\" can only be the last level; \"+\" stands for one level in between");
    }
  }
  return success();
}

std::size_t topic_levels(std::string_view topic) {
  return static_cast<std::size_t>(std::count(topic.begin(), topic.end(), '/')) + 1;
}

std::optional<std::string_view> topic_level(std::string_view topic, std::size_t level) {
  for (; level > 0; --level) {
    const std::size_t slash = topic.find('/');
    if (slash == std::string_view::npos) return std::nullopt;
    topic.remove_prefix(slash + 1);
  }
  return topic.substr(0, topic.find('/'));
}

}  // namespace gyle

#pragma once

#include <cstddef>
#include <optional>
#include <string_view>

#include "base/result.h"
#include "ingest/source.h"  // topic_matches

namespace gyle {

// Whether a broker accepts `filter` in a subscription (MQTT 5.0 section 4.7): 1 to 65535 bytes, no NUL, "+"
// alone in its level, "#" alone in the last one. Shared subscriptions are refused: the daemon wants every
// message. Errc::malformed says what is expected.
Status check_topic_filter(std::string_view filter);

// Number of levels of a topic or filter: one more than its slashes.
std::size_t topic_levels(std::string_view topic);

// The 0-based level of a topic; absent when it has fewer.
std::optional<std::string_view> topic_level(std::string_view topic, std::size_t level);

}  // namespace gyle

#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace gyle {

// Whether every topic that filter `b` matches is matched by filter `a` too (MQTT 5.0 section 4.7).
bool covers(std::string_view a, std::string_view b);

// `filters` without those that another one covers: a broker may deliver a message once for each subscription
// that matches it. Two that overlap without covering each other both stay.
std::vector<std::string> without_covered(const std::vector<std::string>& filters);

}  // namespace gyle

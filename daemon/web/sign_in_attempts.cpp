#include "web/sign_in_attempts.h"

#include <algorithm>

namespace gyle {
namespace {

constexpr double kMost = 5.0;
constexpr Duration kRegained = minutes(1);
constexpr std::size_t kPeersKept = 1000;

// A clock that was set back gives nothing, and takes nothing.
double left_at(double left, Time as_of, Time now) {
  const double passed = in_seconds(std::max(now - as_of, Duration(0)));
  return std::min(kMost, left + passed / in_seconds(kRegained));
}

}  // namespace

bool SignInAttempts::failed(std::string_view peer, Time now) {
  auto found = peers_.find(peer);
  if (found == peers_.end()) {
    // An address that has all its tries again need not be remembered.
    std::erase_if(peers_, [now](const auto& entry) {
      return left_at(entry.second.left, entry.second.as_of, now) >= kMost;
    });
    if (peers_.size() >= kPeersKept) {
      peers_.erase(std::max_element(peers_.begin(), peers_.end(), [](const auto& a, const auto& b) {
        return a.second.left < b.second.left;
      }));
    }
    found = peers_.emplace(peer, Allowance{kMost, now}).first;
  }
  Allowance& own = found->second;
  const double left = left_at(own.left, own.as_of, now);
  const bool allowed = left >= 1.0;
  if (allowed) own = {left - 1.0, now};
  return allowed;
}

}  // namespace gyle

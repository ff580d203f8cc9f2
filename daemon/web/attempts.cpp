#include "web/attempts.h"

#include <algorithm>

namespace gyle {
namespace {

constexpr double kPerPeer = 5.0;
constexpr double kOfAll = 30.0;
constexpr Duration kPeerRegains = minutes(1);
constexpr Duration kAllRegain = seconds(2);
constexpr std::size_t kPeersKept = 1000;

// A clock that was set back gives nothing, and takes nothing.
double left_at(double left, Time as_of, Time now, Duration regains, double most) {
  const double passed = in_seconds(std::max(now - as_of, Duration(0)));
  return std::min(most, left + passed / in_seconds(regains));
}

}  // namespace

bool Attempts::allowed(std::string_view peer, Time now) const {
  if (left_at(all_.left, all_.as_of, now, kAllRegain, kOfAll) < 1.0) return false;
  const auto found = peers_.find(peer);
  return found == peers_.end() ||
         left_at(found->second.left, found->second.as_of, now, kPeerRegains, kPerPeer) >= 1.0;
}

void Attempts::failed(std::string_view peer, Time now) {
  all_ = {left_at(all_.left, all_.as_of, now, kAllRegain, kOfAll) - 1.0, now};
  // Who has all tries again need not be remembered. Of too many, whom the limit of all together holds back.
  std::erase_if(peers_, [now](const auto& entry) {
    return left_at(entry.second.left, entry.second.as_of, now, kPeerRegains, kPerPeer) >= kPerPeer;
  });
  auto found = peers_.find(peer);
  if (found == peers_.end()) {
    if (peers_.size() >= kPeersKept) return;
    found = peers_.emplace(peer, Allowance{kPerPeer, now}).first;
  }
  Allowance& own = found->second;
  own = {left_at(own.left, own.as_of, now, kPeerRegains, kPerPeer) - 1.0, now};
}

}  // namespace gyle

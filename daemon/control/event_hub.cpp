#include "control/event_hub.h"

#include <vector>

namespace gyle {

void EventHub::publish(std::string text) {
  const Event event = std::make_shared<const std::string>(std::move(text));
  std::vector<std::uint64_t> subscriptions;
  subscriptions.reserve(takers_.size());
  for (const auto& [subscription, take] : takers_) subscriptions.push_back(subscription);
  for (const std::uint64_t subscription : subscriptions) {
    const auto taker = takers_.find(subscription);
    if (taker == takers_.end()) continue;
    const auto take = taker->second;  // it may end its own subscription
    take(event);
  }
}

std::uint64_t EventHub::subscribe(std::function<void(const Event&)> take) {
  takers_.emplace(next_, std::move(take));
  return next_++;
}

}  // namespace gyle

#include "mqtt/backlog_gate.h"

#include <algorithm>
#include <optional>

namespace gyle {
namespace {

using namespace std::chrono_literals;

constexpr auto kWindow = 2s;
constexpr auto kBlocked = 2s;
constexpr std::size_t kMany = 100;  // in a window
constexpr std::size_t kTopics = 1000;
constexpr std::size_t kKnown = 5;  // intervals
constexpr int kFaster = 20;
constexpr auto kHeldUp = 500ms;

}  // namespace

void BacklogGate::connected(bool session_present, Instant now) {
  open_ = session_present;
  opened_ = now;
}

bool BacklogGate::is_backlog(const std::string& topic, Instant now) {
  if (open_ && drained(now)) open_ = false;
  begun_ = now;
  return out_of_rhythm(topic, now) || open_;
}

void BacklogGate::finished(Instant now) {
  recent_.push_back({begun_, now});
  if (recent_.size() > kMany) recent_.pop_front();
  if (now - begun_ > kBlocked) {
    open_ = true;
    opened_ = now;
  }
}

bool BacklogGate::drained(Instant now) const {
  if (now - opened_ < kWindow) return false;
  const Instant start = now - kWindow;
  if (recent_.size() == kMany && recent_.front().begin > start) return false;
  Instant::duration busy{};
  for (const Span& span : recent_) {
    if (span.end > start) busy += span.end - std::max(span.begin, start);
  }
  return busy < kWindow / 2;
}

bool BacklogGate::out_of_rhythm(const std::string& topic, Instant now) {
  if (rhythms_.size() >= kTopics && !rhythms_.contains(topic)) rhythms_.clear();
  const auto [place, fresh] = rhythms_.try_emplace(topic);
  Rhythm& rhythm = place->second;
  const Instant::duration interval = now - rhythm.last;
  rhythm.last = now;
  if (fresh || open_) return false;  // nothing to learn from how a backlog comes
  const std::size_t known = std::min(rhythm.count, rhythm.intervals.size());
  if (known >= kKnown && interval < kHeldUp) {
    auto sorted = rhythm.intervals;
    const auto middle = sorted.begin() + static_cast<std::ptrdiff_t>(known / 2);
    std::nth_element(sorted.begin(), middle, sorted.begin() + static_cast<std::ptrdiff_t>(known));
    if (interval * kFaster < *middle) return true;
  }
  rhythm.intervals[rhythm.count++ % rhythm.intervals.size()] = interval;
  return false;
}

}  // namespace gyle

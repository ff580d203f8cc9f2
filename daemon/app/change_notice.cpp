#include "app/change_notice.h"

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace gyle {
namespace {

constexpr Duration kPause = seconds(1);

}  // namespace

ChangeNotice::ChangeNotice(EventHub& hub, const Clock& clock, Parts parts)
    : hub_(hub), clock_(clock), parts_(std::move(parts)) {}

void ChangeNotice::changed_in(const std::string& vessel) {
  vessels_.insert(vessel);
  schedule();
}

void ChangeNotice::changed() {
  all_ = true;
  schedule();
}

void ChangeNotice::schedule() {
  if (scheduled_) return;
  scheduled_ = true;
  parts_.after(Duration(0), [this] { publish(); });
}

void ChangeNotice::publish() {
  if (hub_.listeners() > 0) {
    const auto now = std::chrono::floor<seconds>(clock_.now()).time_since_epoch().count();
    hub_.publish(fmt::format("event: changed\ndata: {{\"time\":{},\"batches\":[{}]}}\n\n", now,
                             fmt::join(parts_.batches(all_ ? std::set<std::string>() : vessels_), ",")));
  }
  vessels_.clear();
  all_ = false;
  parts_.after(kPause, [this] {
    scheduled_ = false;
    if (all_ || !vessels_.empty()) schedule();
  });
}

}  // namespace gyle

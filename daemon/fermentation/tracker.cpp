#include "fermentation/tracker.h"

#include <utility>

namespace gyle {

class Tracker::Judgement {
 public:
  explicit Judgement(BatchSpec spec) : spec_(std::move(spec)) {}
  BatchSpec spec_;
};

Tracker::Tracker(BatchSpec spec) : judgement_(std::make_unique<Judgement>(std::move(spec))) {}
Tracker::Tracker(const Tracker& other) : judgement_(std::make_unique<Judgement>(*other.judgement_)) {}
Tracker::Tracker(Tracker&&) noexcept = default;
Tracker& Tracker::operator=(const Tracker& other) {
  if (this != &other) judgement_ = std::make_unique<Judgement>(*other.judgement_);
  return *this;
}
Tracker& Tracker::operator=(Tracker&&) noexcept = default;
Tracker::~Tracker() = default;

Outcome Tracker::advance(const Event&) { return {}; }
BatchView Tracker::view() const { return {}; }
const BatchSpec& Tracker::spec() const { return judgement_->spec_; }

}  // namespace gyle

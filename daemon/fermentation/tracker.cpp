#include "fermentation/tracker.h"

#include <utility>

#include "fermentation/judgement.h"

namespace gyle {

Tracker::Tracker(BatchSpec spec) : judgement_(std::make_unique<Judgement>(std::move(spec))) {}
Tracker::Tracker(const Tracker& other) : judgement_(std::make_unique<Judgement>(*other.judgement_)) {}
Tracker::Tracker(Tracker&&) noexcept = default;
Tracker& Tracker::operator=(const Tracker& other) {
  if (this != &other) judgement_ = std::make_unique<Judgement>(*other.judgement_);
  return *this;
}
Tracker& Tracker::operator=(Tracker&&) noexcept = default;
Tracker::~Tracker() = default;

Outcome Tracker::advance(const Event& event) { return judgement_->advance(event); }
BatchView Tracker::view() const { return judgement_->view(); }
Outlook Tracker::outlook(const WhatIf& question) const { return judgement_->outlook(question); }
const BatchSpec& Tracker::spec() const { return judgement_->spec(); }

}  // namespace gyle

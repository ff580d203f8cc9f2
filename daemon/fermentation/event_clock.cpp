#include "fermentation/event_clock.h"

#include <algorithm>

namespace gyle {
namespace {

// Leads beyond this need several rows even if nothing contradicts.
constexpr Duration kLongLead = days(14);
constexpr int kRowsForLongLead = 5;

Duration patience(Duration interval) { return interval * 5 / 2 + minutes(5); }

}  // namespace

EventClock::Verdict EventClock::offer(Time time, std::size_t sensor) {
  if (time < pitched_ - kBeforePitch || time > now_ + kFarthestLead) return Verdict::refused;
  if (time > now_ + kFreeLead && !in_time(time, sensor) && !confirms(time, sensor)) return Verdict::refused;
  if (time <= now_ - kLate) return Verdict::late;
  accept(time, sensor);
  return Verdict::accepted;
}

void EventClock::tick(Time time) {
  if (time <= now_ || time > now_ + kFarthestLead) return;
  ticked_ = true;
  now_ = time;
  if (candidate_ && candidate_->latest <= now_ + kFreeLead) candidate_.reset();
}

bool EventClock::in_time(Time time, std::size_t sensor) const {
  if (ticked_) return false;
  if (rhythms_.empty()) return time <= pitched_ + kSlowestRhythm;
  if (sensor >= rhythms_.size() || !rhythms_[sensor].last) return false;
  const Rhythm& own = rhythms_[sensor];
  // A sensor that was heard once has not shown its rhythm yet.
  const Duration own_patience = own.interval == Duration{} ? kSlowestRhythm : patience(own.interval);
  if (time > *own.last + own_patience) return false;
  for (std::size_t i = 0; i < rhythms_.size(); ++i) {
    const Rhythm& other = rhythms_[i];
    if (i == sensor || !other.last || *other.last < now_ - days(1)) continue;
    if (time > *other.last + std::max<Duration>(patience(other.interval), kFreeLead)) return false;
  }
  return true;
}

bool EventClock::confirms(Time time, std::size_t sensor) {
  const Duration within = candidate_ && candidate_->sensor == sensor ? kSlowestRhythm : kFreeLead;
  if (!candidate_ || time < candidate_->first - hours(1) || time > candidate_->latest + within) {
    candidate_ = Candidate{time, time, sensor, 1};
    return false;
  }
  Candidate& candidate = *candidate_;
  ++candidate.rows;
  candidate.latest = std::max(candidate.latest, time);
  const bool another = sensor != candidate.sensor;
  if (candidate.first - now_ > kLongLead) return another && candidate.rows >= kRowsForLongLead;
  // A sensor alone must go on for so long that the others would have been heard.
  return another || candidate.latest - candidate.first >= longest_silence_of_others(sensor);
}

Duration EventClock::longest_silence_of_others(std::size_t sensor) const {
  Duration longest{};
  for (std::size_t i = 0; i < rhythms_.size(); ++i) {
    const Rhythm& other = rhythms_[i];
    if (i == sensor || !other.last || *other.last < now_ - days(1)) continue;
    longest = std::max(longest, std::min(patience(other.interval), kFreeLead));
  }
  return longest;
}

void EventClock::accept(Time time, std::size_t sensor) {
  candidate_.reset();
  now_ = std::max(now_, time);
  if (sensor >= rhythms_.size()) rhythms_.resize(sensor + 1);
  Rhythm& rhythm = rhythms_[sensor];
  if (rhythm.last && time > *rhythm.last) {
    const Duration gap = std::min<Duration>(time - *rhythm.last, kSlowestRhythm);
    rhythm.interval = rhythm.interval == Duration{} ? gap : (rhythm.interval * 7 + gap) / 8;
  }
  rhythm.last = std::max(rhythm.last.value_or(time), time);
}

}  // namespace gyle

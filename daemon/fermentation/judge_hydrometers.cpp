#include <algorithm>
#include <cmath>

#include "fermentation/judgement.h"

namespace gyle {
namespace {

constexpr double kCompareH = 24;         // the last hours of both
constexpr std::size_t kFewestHours = 6;  // in common
constexpr double kBesideSd = 0.4;  // points: foam and yeast on either, and their biases with temperature
constexpr double kDisagree = 2.5;  // points
constexpr double kOdder = 1.0;     // points: the odd one is farther off than the next by so much
constexpr double kProbesDisagree = 1.0;  // K

}  // namespace

// By how much the primary hydrometer shows more than each of the others that are heard, over the last hours.
std::vector<Tracker::Judgement::Beside> Tracker::Judgement::others_beside() const {
  std::vector<Beside> all;
  if (!primary_ || primary_ == hand_) return all;
  const GravityTrack& track = tracks_.at(*primary_);
  const auto& ours = track.history().hours();
  const double slope = track.estimate().warmth_slope;
  for (const auto& [sensor, other] : tracks_) {
    if (sensor == *primary_ || sensor == hand_ || std::abs(track.last_h() - other.last_h()) > kCompareH / 2)
      continue;
    const auto& theirs = other.history().hours();
    const double their_slope = other.estimate().warmth_slope;
    double sum = 0;
    std::size_t count = 0;
    auto at = theirs.begin();
    for (const HourMean& hour : ours) {
      if (hour.suspect || hour.time_h < track.last_h() - kCompareH) continue;
      while (at != theirs.end() && std::floor(at->time_h) < std::floor(hour.time_h)) ++at;
      if (at == theirs.end()) break;
      if (at->suspect || std::floor(at->time_h) != std::floor(hour.time_h)) continue;
      sum += hour.points - slope * hour.warmth - (at->points - their_slope * at->warmth);
      ++count;
    }
    if (count >= kFewestHours) all.push_back({sensor, sum / static_cast<double>(count), other.moved()});
  }
  return all;
}

std::vector<HydrometerBeside> Tracker::Judgement::hydrometers_beside() const {
  std::vector<HydrometerBeside> all;
  // A jump of either is in its offset already.
  for (const Beside& one : others_beside()) all.push_back({one.difference - moved() + one.moved, kBesideSd});
  return all;
}

// Sensors of the same beer that differ by more than they should.
std::vector<Reason> Tracker::Judgement::disagreements() const {
  std::vector<Reason> all;
  const auto others = others_beside();
  struct Off {
    std::size_t sensor;
    double offset;
  };
  std::vector<Off> offsets;
  if (primary_) offsets.push_back({*primary_, offset()});
  for (const Beside& one : others) offsets.push_back({one.sensor, offset() - one.difference});
  const auto [low, high] = std::minmax_element(
      offsets.begin(), offsets.end(), [](const Off& a, const Off& b) { return a.offset < b.offset; });
  const double difference = offsets.size() > 1 ? high->offset - low->offset : 0.0;
  if (difference > kDisagree) {
    std::sort(offsets.begin(), offsets.end(),
              [](const Off& a, const Off& b) { return std::abs(a.offset) > std::abs(b.offset); });
    const bool known = std::abs(offsets[0].offset) - std::abs(offsets[1].offset) > kOdder;
    Reason reason{Finding::hydrometers_disagree, {}, {}};
    if (known) {
      reason.sensor = watch_.at(offsets[0].sensor).id;
      reason.numbers.emplace_back("offset_points", offsets[0].offset);
    } else {
      reason.numbers.emplace_back("difference_points", difference);
    }
    all.push_back(std::move(reason));
  }
  if (const auto other = beer_temperature_.disagreement();
      other && std::abs(other->by.value) > kProbesDisagree) {
    all.push_back(
        {Finding::probes_disagree, {{"warmer_celsius", other->by.value}}, watch_.at(other->probe).id});
  }
  return all;
}

}  // namespace gyle

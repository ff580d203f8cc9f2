#pragma once

#include <span>
#include <vector>

namespace gyle {

// The mean of the good readings of about an hour.
struct HourMean {
  double time_h;       // mean time, hours since the pitch
  double thermal_h;    // thermal time then
  double points;       // gravity above 1.000, as the hydrometer shows it
  double warmth;       // beer temperature above the track's reference, K
  double readings;     // how many, weighted
  double span_h;       // length that it represents; grows when old hours are merged
  double scatter_var;  // from reading to reading, points^2
  double driven;       // sum of the changes that a model of the batch expected until then
  bool suspect;        // the hydrometer was pinned or displaced: not the gravity of the beer
};

// The readings of a hydrometer, hour by hour. Bounded: the oldest hours are merged in pairs.
class GravityHistory {
 public:
  static constexpr std::size_t kMost = 1200;

  // `reading`: a single one, with span_h 1.
  void add(const HourMean& reading);
  // Marks what was shown in [from, to] as not that of the beer.
  void suspect(double from_h, double to_h);
  // What was shown before `until_h` becomes `keep * points + by`.
  void change(double until_h, double keep, double by);
  // What was shown from then on is that of the beer after all.
  void trust(double from_h);

  const std::vector<HourMean>& hours() const { return hours_; }  // the last one may still grow
  bool empty() const { return hours_.empty(); }

 private:
  void merge_oldest();
  std::vector<HourMean> hours_;
  double hour_began_ = 0;
};

// The good hours, the newest singly, older ones merged by three or twelve: enough for a fit.
std::vector<HourMean> condensed(std::span<const HourMean> hours, double now_h);

}  // namespace gyle

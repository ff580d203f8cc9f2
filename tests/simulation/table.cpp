#include "simulation/table.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <map>
#include <numeric>

namespace gyle::simulation {
namespace {

using Batches = std::vector<const Judged*>;

Batches pick(const std::vector<Judged>& batches, const std::function<bool(const Judged&)>& wanted) {
  Batches some;
  for (const Judged& batch : batches) {
    if (wanted(batch)) some.push_back(&batch);
  }
  return some;
}

template <class Value>
std::vector<double> values_of(const Batches& batches, Value value) {
  std::vector<double> values;
  for (const Judged* batch : batches) {
    if (const std::optional<double> v = value(batch->score)) values.push_back(*v);
  }
  return values;
}

// Batches for which something applies and those for which it is so.
struct Share {
  int hits = 0;
  int of = 0;
  double percent() const { return of > 0 ? 100.0 * hits / of : std::numeric_limits<double>::quiet_NaN(); }
};

template <class Test>
Share share_of(const Batches& batches, Test test) {
  Share share;
  for (const Judged* batch : batches) {
    const std::optional<bool> answer = test(batch->score);
    if (!answer) continue;
    ++share.of;
    share.hits += *answer ? 1 : 0;
  }
  return share;
}

double mean(const std::vector<double>& values) {
  if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

std::string text(const Share& share) {
  return fmt::format("{:.1f} % ({}/{})", share.percent(), share.hits, share.of);
}

std::optional<double> magnitude(const std::optional<double>& value) {
  if (!value) return std::nullopt;
  return std::fabs(*value);
}

struct IntervalTable {
  double median;
  double p95;
  double coverage;
  double width;
  double absent;  // percent
};

IntervalTable interval_table(const Batches& batches, std::size_t at,
                             const std::function<std::optional<IntervalScore>(const Score&)>& pick_score) {
  std::vector<double> errors;
  std::vector<double> widths;
  int held = 0;
  int due = 0;
  for (const Judged* batch : batches) {
    if (!batch->score.forecast_due[at]) continue;
    ++due;
    const auto score = pick_score(batch->score);
    if (!score) continue;
    errors.push_back(std::fabs(score->error));
    widths.push_back(score->width);
    held += score->holds ? 1 : 0;
  }
  const auto n = static_cast<double>(errors.size());
  return IntervalTable{quantile(errors, 0.5), quantile(errors, 0.95), errors.empty() ? NAN : 100.0 * held / n,
                       mean(widths), due > 0 ? 100.0 * (due - n) / due : NAN};
}

class Table {
 public:
  explicit Table(const std::vector<Judged>& batches)
      : everyone_(pick(batches, [](const Judged&) { return true; })),
        healthy_(pick(batches, [](const Judged& b) { return b.healthy; })) {}

  std::vector<Row> rows() {
    endings();
    stuck();
    steps();
    forecasts();
    curve();
    ready();
    alarms();
    return std::move(rows_);
  }

 private:
  void add(std::string quantity, std::string reached, std::string goal, bool met) {
    rows_.push_back(Row{std::move(quantity), std::move(reached), std::move(goal), met});
  }
  void add_share(std::string quantity, const Share& share, std::string goal, double low, double high) {
    const double percent = share.percent();
    add(std::move(quantity), text(share), std::move(goal),
        share.of == 0 || (percent >= low && percent <= high));
  }

  void endings() {
    add_share("final-gravity-stable with more than 0.002 SG to go",
              share_of(everyone_, [](const Score& s) { return std::optional(s.worst_to_go > 2.0); }), "none",
              0, 0);
    add_share("... with more than 0.001 SG to go",
              share_of(everyone_, [](const Score& s) { return std::optional(s.worst_to_go > 1.0); }),
              "<= 1 %", 0, 1);
    const auto due = [](const Score& s) { return s.final_delay_h || s.final_missed; };
    const auto missed = [&](const Score& s) { return due(s) ? std::optional(s.final_missed) : std::nullopt; };
    add_share("never said within 10 days of being true (healthy)", share_of(healthy_, missed), "<= 0.5 %", 0,
              0.5);
    add_share("    the same, every batch", share_of(everyone_, missed), "", 0, 100);
    for (const bool healthy : {true, false}) {
      const auto delays =
          values_of(healthy ? healthy_ : everyone_, [](const Score& s) { return s.final_delay_h; });
      const double median = quantile(delays, 0.5);
      const double p95 = quantile(delays, 0.95);
      add(healthy ? "delay after true end plus window (healthy): median, p95" : "    the same, every batch",
          fmt::format("{:.1f} h, {:.1f} h", median, p95), healthy ? "<= 4 h, 28 h" : "",
          !healthy || (median <= 4.0 && p95 <= 28.0));
    }
  }

  void stuck() {
    const auto found = [](const Score& s) {
      return s.has_stuck ? std::optional(s.stuck_delay_h && *s.stuck_delay_h <= 36.0) : std::nullopt;
    };
    add_share("stuck found within 36 h", share_of(everyone_, found), "100 %", 100, 100);
    const auto delays = values_of(everyone_, [](const Score& s) { return s.stuck_delay_h; });
    const double median = quantile(delays, 0.5);
    add("    delay: median, p95", fmt::format("{:.1f} h, {:.1f} h", median, quantile(delays, 0.95)),
        "<= 20 h", median <= 20.0);
    const auto false_stuck = [](const Score& s) { return std::optional(s.false_stuck > 0); };
    add_share("stuck said of healthy beer", share_of(healthy_, false_stuck), "<= 0.5 %", 0, 0.5);
    const auto not_stuck = [](const Score& s) {
      return s.has_stuck ? std::nullopt : std::optional(s.false_stuck > 0);
    };
    add_share("stuck said of any beer not stuck", share_of(everyone_, not_stuck), "<= 1.5 %", 0, 1.5);
    add_share("stuck or never-started beer called final",
              share_of(everyone_, [](const Score& s) { return std::optional(s.stuck_called_final); }), "0", 0,
              0);
  }

  void steps() {
    for (const bool healthy : {true, false}) {
      const Batches& some = healthy ? healthy_ : everyone_;
      const auto errors = values_of(some, [](const Score& s) { return magnitude(s.step_error_h); });
      const double median = quantile(errors, 0.5);
      const double p95 = quantile(errors, 0.95);
      const Share missed = share_of(some, [](const Score& s) {
        return s.step_error_h || s.step_missed ? std::optional(s.step_missed) : std::nullopt;
      });
      add(healthy ? "step-due error (healthy): median, p95; missed" : "    the same, every batch",
          fmt::format("{:.1f} h, {:.1f} h; {}", median, p95, text(missed)), healthy ? "<= 1 h, 5 h" : "",
          !healthy || (median <= 1.0 && p95 <= 5.0 && missed.hits == 0));
    }
    for (const bool healthy : {true, false}) {
      const Batches& some = healthy ? healthy_ : everyone_;
      const auto errors = values_of(some, [](const Score& s) { return magnitude(s.step_forecast_error_h); });
      const double median = quantile(errors, 0.5);
      const double p95 = quantile(errors, 0.95);
      const Share absent = share_of(some, [](const Score& s) {
        return s.step_forecast_error_h || s.step_forecast_absent ? std::optional(s.step_forecast_absent)
                                                                 : std::nullopt;
      });
      add(healthy ? "step time forecast 24 h ahead (healthy): median, p95 error; absent"
                  : "    the same, every batch",
          fmt::format("{:.1f} h, {:.1f} h; {}", median, p95, text(absent)), healthy ? "<= 3 h, 12 h" : "",
          !healthy || (median <= 3.0 && p95 <= 12.0));
    }
  }

  void forecasts() {
    constexpr double kMedianGoal[] = {99.0, 0.6, 99.0, 0.3};
    constexpr double kP95Goal[] = {99.0, 2.0, 99.0, 1.2};
    const char* gravity_goal[] = {"", "<= 0.6 (2.0)", "77-86 %, <= 3 wide", "<= 0.3 (1.2)"};
    for (std::size_t i = 0; i < kShares.size(); ++i) {
      for (const bool healthy : {true, false}) {
        const auto t = interval_table(healthy ? healthy_ : everyone_, i,
                                      [&](const Score& s) { return s.final_gravity[i]; });
        bool met = !healthy || (t.median <= kMedianGoal[i] && t.p95 <= kP95Goal[i]);
        if (healthy && i == 2) met = t.coverage >= 77.0 && t.coverage <= 86.0 && t.width <= 3.0;
        add(healthy ? fmt::format("final gravity forecast at {:.0f} % (healthy): error (p95); 80 % interval",
                                  kShares[i] * 100)
                    : "    the same, every batch",
            fmt::format("{:.2f} ({:.2f}); {:.0f} %, {:.1f} wide; absent {:.0f} %", t.median, t.p95,
                        t.coverage, t.width, t.absent),
            healthy ? gravity_goal[i] : "", met);
      }
    }
    for (std::size_t i = 0; i < kShares.size(); ++i) {
      for (const bool healthy : {true, false}) {
        const auto t = interval_table(healthy ? healthy_ : everyone_, i,
                                      [&](const Score& s) { return s.final_time[i]; });
        const bool met = !healthy || i != 2 ||
                         (t.median <= 10.0 && t.p95 <= 50.0 && t.coverage >= 77.0 && t.coverage <= 84.0 &&
                          t.width <= 50.0);
        add(healthy ? fmt::format("finish time forecast at {:.0f} % (healthy): error (p95); 80 % interval",
                                  kShares[i] * 100)
                    : "    the same, every batch",
            fmt::format("{:.1f} h ({:.1f}); {:.0f} %, {:.0f} h wide; absent {:.0f} %", t.median, t.p95,
                        t.coverage, t.width, t.absent),
            healthy && i == 2 ? "<= 10 h, 50 h; 77-84 %, <= 50 h" : "", met);
      }
    }
  }

  void curve() {
    for (const bool shown : {true, false}) {
      const auto frame = [&](const Score& s) -> const CurveScore& { return shown ? s.as_shown : s.as_true; };
      const auto ratio = [&](const Batches& some) {
        return mean(values_of(some, [&](const Score& s) {
          const CurveScore& c = frame(s);
          return c.points > 0 && c.raw_rms_points > 0 ? std::optional(c.rms_points / c.raw_rms_points)
                                                      : std::nullopt;
        }));
      };
      const auto absolute = [&](const Batches& some) {
        return mean(values_of(some, [&](const Score& s) {
          const CurveScore& c = frame(s);
          return c.points > 0 && c.raw_mae_points > 0 ? std::optional(c.mae_points / c.raw_mae_points)
                                                      : std::nullopt;
        }));
      };
      const auto covered = [&](const Batches& some) {
        return 100.0 * mean(values_of(some, [&](const Score& s) {
                 return frame(s).points > 0 ? std::optional(frame(s).covered) : std::nullopt;
               }));
      };
      const auto width = [&](const Batches& some) {
        return mean(values_of(some, [&](const Score& s) {
          return frame(s).points > 0 ? std::optional(frame(s).width_points) : std::nullopt;
        }));
      };
      const std::string against = shown ? "as the hydrometer would show it" : "gravity of the beer";
      add(fmt::format("curve error / raw error ({}): rms, abs; healthy rms, abs", against),
          fmt::format("{:.2f}, {:.2f}; {:.2f}, {:.2f}", ratio(everyone_), absolute(everyone_),
                      ratio(healthy_), absolute(healthy_)),
          shown ? "<= 0.18" : "", !shown || ratio(healthy_) <= 0.18);
      add(fmt::format("80 % band holds the truth ({}): all; healthy; width", against),
          fmt::format("{:.0f} %; {:.0f} %; {:.2f}, {:.2f}", covered(everyone_), covered(healthy_),
                      width(everyone_), width(healthy_)),
          shown ? "77-84 %" : "", !shown || (covered(everyone_) >= 77.0 && covered(everyone_) <= 84.0));
    }
  }

  void ready() {
    std::vector<double> errors, widths;
    Share held;
    for (const Judged* batch : everyone_) {
      const auto& s = batch->score.ready_time;
      if (!s) continue;
      errors.push_back(std::fabs(s->error));
      widths.push_back(s->width);
      ++held.of;
      held.hits += s->holds ? 1 : 0;
    }
    add("ready to package, said at 75 %, against the alert: median, p95; interval",
        fmt::format("{:.1f} h, {:.1f} h; {:.0f} %, {:.0f} h wide", quantile(errors, 0.5),
                    quantile(errors, 0.95), held.percent(), mean(widths)),
        "77-86 %", held.percent() >= 77.0 && held.percent() <= 86.0);
    const auto at_use = values_of(everyone_, [](const Score& s) { return s.at_use; });
    add("curve at the moment of use over raw, bias out: mean, median",
        fmt::format("{:.2f}, {:.2f}", mean(at_use), quantile(at_use, 0.5)), "<= 0.18", mean(at_use) <= 0.18);
  }

  void alarms() {
    const auto more_than_none = [](int Score::*count) {
      return [count](const Score& s) { return std::optional(s.*count > 0); };
    };
    add_share("frozen within 48 h", share_of(everyone_, [](const Score& s) { return s.frozen_found; }),
              "100 %", 100, 100);
    add_share("    false", share_of(everyone_, more_than_none(&Score::false_frozen)), "0", 0, 0);
    add_share("silent within 24 h", share_of(everyone_, [](const Score& s) { return s.silent_found; }),
              "100 %", 100, 100);
    add_share("    within 3 of its intervals or 2 h",
              share_of(everyone_, [](const Score& s) { return s.silent_found_quickly; }), "100 %", 100, 100);
    add_share("    false", share_of(everyone_, more_than_none(&Score::false_silent)), "0", 0, 0);
    add_share("temperature out of range within 12 h",
              share_of(everyone_, [](const Score& s) { return s.range_found; }), ">= 99 %", 99, 100);
    add_share("    false", share_of(everyone_, more_than_none(&Score::false_range)), "0", 0, 0);
    add_share("over-attenuated: false",
              share_of(everyone_, [](const Score& s) { return std::optional(s.over_false); }), "<= 0.5 %", 0,
              0.5);
    add_share("    recall within 5 days", share_of(everyone_, [](const Score& s) { return s.over_found; }),
              ">= 97 %", 97, 100);
    const auto delays = values_of(everyone_, [](const Score& s) { return s.start_delay_h; });
    const double median = quantile(delays, 0.5);
    add("start: median delay, p95", fmt::format("{:.1f} h, {:.1f} h", median, quantile(delays, 0.95)),
        "<= 4 h", median <= 4.0);
    const auto missed = [](const Score& s) {
      return s.start_delay_h || s.start_missed ? std::optional(s.start_missed) : std::nullopt;
    };
    add_share("    missed by 24 h", share_of(everyone_, missed), "<= 0.3 %", 0, 0.3);
    add_share("    false", share_of(everyone_, [](const Score& s) { return std::optional(s.start_false); }),
              "<= 0.2 %", 0, 0.2);
    const double raised =
        mean(values_of(healthy_, [](const Score& s) { return std::optional<double>(s.raised); }));
    const double needed =
        mean(values_of(healthy_, [](const Score& s) { return std::optional<double>(s.needed); }));
    add("alerts per healthy batch", fmt::format("{:.2f} (its plan needs {:.2f})", raised, needed),
        "needs + 0.1", raised <= needed + 0.1);
    add_share("step-not-held within 3 days",
              share_of(everyone_, [](const Score& s) { return s.not_held_found; }), "", 0, 100);
    add_share("    false", share_of(everyone_, more_than_none(&Score::false_not_held)), "", 0, 100);
    add_share("slow-start within 96 h", share_of(everyone_, [](const Score& s) { return s.slow_start_said; }),
              "", 0, 100);
    add_share("    false",
              share_of(everyone_, [](const Score& s) { return std::optional(s.slow_start_false); }), "", 0,
              100);
    add_share("sensor-implausible: false", share_of(everyone_, more_than_none(&Score::false_implausible)), "",
              0, 100);
    add_share("step-due although never due",
              share_of(everyone_, [](const Score& s) { return std::optional(s.step_early_without_reason); }),
              "", 0, 100);
    add("core, microseconds per reading: mean",
        fmt::format("{:.2f}", mean(values_of(
                                  everyone_,
                                  [](const Score& s) { return std::optional(s.microseconds_per_reading); }))),
        "", true);
  }

  Batches everyone_;
  Batches healthy_;
  std::vector<Row> rows_;
};

std::string grouped(const std::vector<Judged>& batches,
                    const std::function<std::string(const Judged&)>& group) {
  std::vector<std::string> order;
  std::map<std::string, Batches> groups;
  for (const Judged& batch : batches) {
    const std::string key = group(batch);
    if (groups.find(key) == groups.end()) order.push_back(key);
    groups[key].push_back(&batch);
  }
  std::sort(order.begin(), order.end());
  std::string out = fmt::format(
      "{:20} {:>4} {:>4} {:>4} {:>5} {:>13} {:>10} {:>5} {:>11} {:>11} {:>11} {:>15} {:>12} {:>11} {:>6}\n",
      "", "n", ">2", ">1", "never", "end delay", "stuck", "false", "step", "start", "FG50", "FG75 cov wid",
      "FT75", "curve cov", "alerts");
  for (const std::string& key : order) {
    const Batches& some = groups[key];
    const auto count = [&](auto test) {
      return std::count_if(some.begin(), some.end(), [&](const Judged* b) { return test(b->score); });
    };
    const auto delays = values_of(some, [](const Score& s) { return s.final_delay_h; });
    const auto steps = values_of(some, [](const Score& s) { return magnitude(s.step_error_h); });
    const auto starts = values_of(some, [](const Score& s) { return s.start_delay_h; });
    const auto fg50 = interval_table(some, 1, [](const Score& s) { return s.final_gravity[1]; });
    const auto fg75 = interval_table(some, 2, [](const Score& s) { return s.final_gravity[2]; });
    const auto ft75 = interval_table(some, 2, [](const Score& s) { return s.final_time[2]; });
    const auto ratio = mean(values_of(some, [](const Score& s) {
      return s.as_shown.points > 0 ? std::optional(s.as_shown.rms_points / s.as_shown.raw_rms_points)
                                   : std::nullopt;
    }));
    const auto covered = mean(values_of(some, [](const Score& s) {
      return s.as_shown.points > 0 ? std::optional(s.as_shown.covered) : std::nullopt;
    }));
    const auto alerts =
        mean(values_of(some, [](const Score& s) { return std::optional<double>(s.raised - s.needed); }));
    out += fmt::format(
        "{:20} {:4} {:4} {:4} {:5} {:6.1f} {:6.1f} {:>10} {:5} {:5.1f} {:5.1f} {:5.1f} {:5.1f} {:5.2f} "
        "{:5.2f} {:5.2f} {:3.0f}% {:4.1f} {:5.1f} {:6.1f} {:5.2f} {:4.0f}% {:+6.2f}\n",
        key, some.size(), count([](const Score& s) { return s.worst_to_go > 2.0; }),
        count([](const Score& s) { return s.worst_to_go > 1.0; }),
        count([](const Score& s) { return s.final_missed; }), quantile(delays, 0.5), quantile(delays, 0.95),
        fmt::format("{}/{}",
                    count([](const Score& s) { return s.stuck_delay_h && *s.stuck_delay_h <= 36.0; }),
                    count([](const Score& s) { return s.has_stuck; })),
        count([](const Score& s) { return s.false_stuck > 0; }), quantile(steps, 0.5), quantile(steps, 0.95),
        quantile(starts, 0.5), quantile(starts, 0.95), fg50.median, fg50.p95, fg75.median, fg75.coverage,
        fg75.width, ft75.median, ft75.p95, ratio, 100.0 * covered, alerts);
  }
  return out;
}

}  // namespace

double quantile(std::vector<double> values, double q) {
  if (values.empty()) return std::numeric_limits<double>::quiet_NaN();
  std::sort(values.begin(), values.end());
  const auto rank = static_cast<std::size_t>(std::ceil(q * static_cast<double>(values.size())));
  return values[std::clamp<std::size_t>(rank, 1, values.size()) - 1];
}

std::vector<Row> rows_of(const std::vector<Judged>& batches) { return Table(batches).rows(); }

std::string by_kind(const std::vector<Judged>& batches) {
  return grouped(batches, [](const Judged& b) { return b.kind; });
}

std::string by_family(const std::vector<Judged>& batches) {
  return grouped(batches, [](const Judged& b) { return std::string(name(b.family)); });
}

std::string calibration(const std::vector<Judged>& batches) {
  using Scores = std::array<std::optional<IntervalScore>, 4> Score::*;
  constexpr double kCoverage = 0.8;
  std::string out = fmt::format("{:32} {:>5} {:>7} {:>18} {:>24}\n", "80 % interval of", "n", "scale",
                                "one left out", "holds the one left out");
  for (const auto& [what, scores] : {std::pair<const char*, Scores>{"final gravity", &Score::final_gravity},
                                     {"finish time", &Score::final_time},
                                     {"step time", &Score::step_time}}) {
    for (std::size_t i = 0; i < kShares.size(); ++i) {
      std::map<Family, std::vector<double>> reaches;
      std::vector<double> all;
      for (const Judged& batch : batches) {
        const auto& one = (batch.score.*scores)[i];
        if (!batch.healthy || !one) continue;
        reaches[batch.family].push_back(one->reach);
        all.push_back(one->reach);
      }
      if (all.empty()) continue;
      std::vector<double> scales;
      int held = 0;
      double worst = 1;
      for (const auto& [left_out, its] : reaches) {
        std::vector<double> others;
        for (const auto& [family, of] : reaches) {
          if (family != left_out) others.insert(others.end(), of.begin(), of.end());
        }
        if (others.empty()) continue;
        scales.push_back(quantile(others, kCoverage));
        const auto hits = std::count_if(its.begin(), its.end(), [&](double r) { return r <= scales.back(); });
        held += static_cast<int>(hits);
        worst = std::min(worst, static_cast<double>(hits) / static_cast<double>(its.size()));
      }
      out += fmt::format("{:32} {:5} {:7.2f} {:8.2f} to {:6.2f} {:10.0f} %, worst {:3.0f} %\n",
                         fmt::format("{} at {:.0f} %", what, 100 * kShares[i]), all.size(),
                         quantile(all, kCoverage), quantile(scales, 0), quantile(scales, 1),
                         100.0 * held / static_cast<double>(all.size()), 100 * worst);
    }
  }
  return out;
}

std::string worst(const std::vector<Judged>& batches) {
  std::string out;
  const auto list = [&](const char* what, auto test) {
    std::string line;
    int shown = 0;
    for (const Judged& batch : batches) {
      if (test(batch.score) && shown++ < 40) line += fmt::format(" {}:{}", batch.seed, batch.kind);
    }
    if (!line.empty()) out += fmt::format("{} ({}):{}\n", what, shown, line);
  };
  list("called final with more than 2 points to go", [](const Score& s) { return s.worst_to_go > 2.0; });
  list("called final with 1 to 2 points to go",
       [](const Score& s) { return s.worst_to_go > 1.0 && s.worst_to_go <= 2.0; });
  list("stuck or never started, called final", [](const Score& s) { return s.stuck_called_final; });
  list("final never said", [](const Score& s) { return s.final_missed; });
  list("stuck not found within 36 h",
       [](const Score& s) { return s.has_stuck && !(s.stuck_delay_h && *s.stuck_delay_h <= 36.0); });
  list("stuck said wrongly", [](const Score& s) { return s.false_stuck > 0; });
  list("step-due missed", [](const Score& s) { return s.step_missed; });
  list("start missed by 24 h", [](const Score& s) { return s.start_missed; });
  list("start said wrongly", [](const Score& s) { return s.start_false; });
  list("slow start said wrongly", [](const Score& s) { return s.slow_start_false; });
  list("over-attenuated missed", [](const Score& s) { return s.over_found && !*s.over_found; });
  list("over-attenuated said wrongly", [](const Score& s) { return s.over_false; });
  list("frozen missed", [](const Score& s) { return s.frozen_found && !*s.frozen_found; });
  list("frozen said wrongly", [](const Score& s) { return s.false_frozen > 0; });
  list("silent missed", [](const Score& s) { return s.silent_found && !*s.silent_found; });
  list("silent said wrongly", [](const Score& s) { return s.false_silent > 0; });
  list("out of range missed", [](const Score& s) { return s.range_found && !*s.range_found; });
  list("out of range said wrongly", [](const Score& s) { return s.false_range > 0; });
  list("step-not-held missed", [](const Score& s) { return s.not_held_found && !*s.not_held_found; });
  list("step-not-held said wrongly", [](const Score& s) { return s.false_not_held > 0; });
  const auto largest = [&](const char* what, auto value, bool healthy_only) {
    std::vector<std::pair<double, const Judged*>> found;
    for (const Judged& batch : batches) {
      if (healthy_only && !batch.healthy) continue;
      if (const std::optional<double> v = value(batch.score)) found.emplace_back(*v, &batch);
    }
    std::sort(found.begin(), found.end(),
              [](const auto& a, const auto& b) { return std::fabs(a.first) > std::fabs(b.first); });
    if (found.empty()) return;
    out += fmt::format("{}:", what);
    for (std::size_t i = 0; i < std::min<std::size_t>(10, found.size()); ++i) {
      out += fmt::format(" {}:{} {:.1f}", found[i].second->seed, found[i].second->kind, found[i].first);
    }
    out += "\n";
  };
  const auto error = [](const std::optional<IntervalScore>& s) {
    return s ? std::optional(s->error) : std::nullopt;
  };
  largest(
      "end delay, h (healthy)", [](const Score& s) { return s.final_delay_h; }, true);
  largest(
      "step error, h (healthy)", [](const Score& s) { return s.step_error_h; }, true);
  largest(
      "final gravity at 50 %, points (healthy)", [&](const Score& s) { return error(s.final_gravity[1]); },
      true);
  largest(
      "final gravity at 90 %, points (healthy)", [&](const Score& s) { return error(s.final_gravity[3]); },
      true);
  largest(
      "finish time at 75 %, h (healthy)", [&](const Score& s) { return error(s.final_time[2]); }, true);
  largest(
      "curve rms, points (all)",
      [](const Score& s) {
        return s.as_shown.points > 0 ? std::optional(s.as_shown.rms_points) : std::nullopt;
      },
      false);
  return out;
}

}  // namespace gyle::simulation

#include "wording/explanation.h"

#include <fmt/format.h>

#include <cmath>

#include "wording/evidence_words.h"
#include "wording/format.h"
#include "wording/outlook_lines.h"
#include "wording/yeast_lines.h"

namespace gyle {
namespace {

constexpr double kRestartPoints = 1.5;  // of fall show that a beer moves again

const char* sentence(Stage stage) {
  switch (stage) {
    case Stage::lag:
      return "has not started to ferment, as far as can be seen";
    case Stage::active:
      return "is fermenting";
    case Stage::slowing:
      return "is slowing down towards its end";
    case Stage::finished:
      return "has reached its final gravity";
    case Stage::stuck:
      return "has stopped early";
  }
  return "";
}

Paragraph stage(const BatchSpec& batch, const BatchView& view, const DisplaySettings& display, Time now) {
  Paragraph paragraph{"Where it stands", {}};
  std::string first = fmt::format("{} {}", batch.name, sentence(view.stage));
  if (view.known && view.old_at(now)) {
    first = fmt::format("As of {}, {}", show_time_from(*view.known, display, now), first);
  }
  if (view.gravity) {
    first += fmt::format(
        ": gravity {}, between {} and {} with 80 % certainty", show_gravity(view.gravity->value, display, 4),
        show_gravity(view.gravity->low, display, 4), show_gravity(view.gravity->high, display, 4));
  }
  paragraph.sentences.push_back(first + ".");
  for (const Reason& reason : view.reasons) {
    const std::string numbers = evidence_words(reason.numbers, display);
    std::string text = reason_sentence(reason);
    if (!numbers.empty() && !text.empty() && text.back() == '.') {
      text = fmt::format("{} ({}).", text.substr(0, text.size() - 1), numbers);
    }
    paragraph.sentences.push_back(text);
  }
  return paragraph;
}

Paragraph reported(std::span<const ReportedDecision> alerts, const DisplaySettings& display, Time now) {
  Paragraph paragraph{"Alerts sent", {}};
  for (const ReportedDecision& one : alerts) {
    const std::string numbers = evidence_words(one.decision.evidence, display);
    paragraph.sentences.push_back(
        fmt::format("{}: {}{}", show_time_from(one.decision.time, display, now), one.text,
                    numbers.empty() ? "" : fmt::format(" (Evidence: {}.)", numbers)));
  }
  if (alerts.empty()) paragraph.sentences.emplace_back("Nothing so far.");
  return paragraph;
}

struct HoldEndWords {
  const BatchSpec& batch;
  const BatchView& view;
  const DisplaySettings& display;

  std::string operator()(const UntilProgress& until) const {
    return at_attenuation(until.fraction * described_at(batch, view.time).yeast.expected_attenuation());
  }
  std::string operator()(const UntilAttenuation& until) const { return at_attenuation(until.apparent); }
  std::string at_attenuation(double wanted) const {
    std::string words = fmt::format("when apparent attenuation reaches {}", show_percent(wanted));
    if (view.original_gravity) {
      words += fmt::format(", which is at {}",
                           show_gravity(1 + (*view.original_gravity - 1) * (1 - wanted), display));
    }
    return words;
  }
  std::string operator()(const UntilDays& until) const {
    return fmt::format("after {}", show_length(from_hours(until.days * 24)));
  }
  std::string operator()(const UntilGravity& until) const {
    return fmt::format("when gravity has come down to {}", show_gravity(until.gravity.value(), display));
  }
  std::string operator()(const UntilFinalGravity&) const { return "when final gravity is stable"; }
};

Paragraph waits(const BatchSpec& batch, const BatchView& view, const DisplaySettings& display, Time now) {
  Paragraph paragraph{"What comes next, and what would change this", {}};
  auto& say = paragraph.sentences;
  const bool old = view.old_at(now);
  if (old) say.push_back(old_sentence(view, display, now));
  if (view.stage == Stage::lag) {
    say.emplace_back(
        "A fall of gravity that is clearly more than the noise of its hydrometer: then it has started.");
  }
  const auto hold = static_cast<std::size_t>(view.holds_over);
  if (view.stage != Stage::stuck && hold < batch.plan.size()) {
    std::string text = fmt::format("Hold {} of the plan, at {}, is over {}", hold + 1,
                                   show_temperature(batch.plan[hold].temperature.value, display),
                                   std::visit(HoldEndWords{batch, view, display}, batch.plan[hold].until));
    if (!old && view.forecast.step_time && view.forecast.step == view.holds_over + 1) {
      const std::string span = show_span(*view.forecast.step_time, display);
      if (!span.empty()) text += fmt::format("; expected {}", span);
    }
    say.push_back(text + ".");
  }
  if (view.stage == Stage::finished) {
    say.push_back(
        fmt::format("{} Should gravity fall by more than {}, the alert is withdrawn.",
                    old ? "A new reading or a sample, before it is packaged." : "Nothing but the packaging.",
                    show_gravity_change(1.5 * batch.final_gravity.tolerance.value, display)));
  } else if (view.stage == Stage::stuck) {
    say.push_back(
        fmt::format("A fall of more than {} shows that it moves again; warmth or fresh yeast may "
                    "do it.",
                    show_gravity_change(kRestartPoints, display)));
  } else {
    say.push_back(
        fmt::format("Final gravity counts as stable when it has changed by no more than {} over {} "
                    "and no more than that is still to come.",
                    show_gravity_change(batch.final_gravity.tolerance.value, display),
                    show_length(batch.final_gravity.window)));
    if (!old && view.forecast.final_gravity && view.forecast.final_time) {
      const std::string span = show_span(*view.forecast.final_time, display);
      if (!span.empty()) {
        say.push_back(fmt::format("It is expected to come to {} {}.",
                                  show_gravity(view.forecast.final_gravity->value, display), span));
      }
    }
  }
  if (const std::string band = band_sentence(batch.yeast); !band.empty() && view.stage != Stage::finished) {
    say.push_back(band);
  }
  if (view.stage == Stage::lag || view.stage == Stage::active) {
    if (std::string half = half_sentence(batch.yeast, display); !half.empty()) say.push_back(std::move(half));
  }
  return paragraph;
}

Paragraph trust(const BatchView& view, const DisplaySettings& display, Time now) {
  Paragraph paragraph{"How far the sensors are trusted", {}};
  auto& say = paragraph.sentences;
  if (view.offset && view.gravity) {
    const double offset = view.offset->value.value;
    const double doubt = (view.offset->high.value - view.offset->low.value) / 2;
    say.push_back(
        std::abs(offset) < doubt
            ? fmt::format("The hydrometer is taken to read true, to within {}.",
                          show_gravity_change(std::abs(offset) + doubt, display))
            : fmt::format("The hydrometer is taken to read {} too {}, give or take {}; that is corrected.",
                          show_gravity_change(std::abs(offset), display), offset > 0 ? "high" : "low",
                          show_gravity_change(doubt, display)));
    say.emplace_back("A hand sample makes this surer (gylekeeper sample).");
  }
  if (view.original_gravity_inferred && view.original_gravity) {
    say.push_back(fmt::format("The original gravity was not given; {} is inferred from the readings.",
                              show_gravity(*view.original_gravity, display)));
  }
  for (const SensorHealth& sensor : view.sensors) {
    std::string text = sensor.sensor + ":";
    if (sensor.last_heard) text += fmt::format(" last heard {} ago", show_length(now - *sensor.last_heard));
    if (sensor.usual_interval) text += fmt::format(", usually {}", show_interval(*sensor.usual_interval));
    if (sensor.battery_v) text += fmt::format(", battery at {:.2f} V", *sensor.battery_v);
    std::string faults;
    if (sensor.silent) faults += ", silent";
    if (sensor.frozen) faults += ", frozen on one value";
    if (sensor.implausible) faults += ", reports what cannot be";
    if (!faults.empty()) faults += ": it is not used";
    if (sensor.battery_low)
      faults += std::string(faults.empty() ? "" : ";") + " charge or change its battery";
    if (!faults.empty() && faults.front() == ' ') faults.insert(0, ":");
    say.push_back(text + (faults.empty() ? ", in order." : faults + "."));
  }
  if (say.empty()) say.emplace_back("No sensor of this batch has been heard.");
  return paragraph;
}

}  // namespace

const char* finding_sentence(Finding finding) {
  switch (finding) {
    case Finding::no_reading:
      return "No gravity reading has arrived yet.";
    case Finding::outdated:
      return "No gravity has been known for too long: neither its rate nor its end can be estimated.";
    case Finding::not_falling:
      return "Gravity has not yet fallen by more than the hydrometer's noise.";
    case Finding::falling:
      return "Gravity is falling.";
    case Finding::slower:
      return "Gravity falls much more slowly than at its fastest.";
    case Finding::stable:
      return "Gravity has been stable over the whole window, and no more than the tolerance is expected to "
             "follow.";
    case Finding::stopped:
      return "Gravity has stopped although more sugar is left than the yeast should leave.";
    case Finding::reads_high:
      return "The hydrometer reads high against the original gravity or the hand samples; this is corrected.";
    case Finding::reads_low:
      return "The hydrometer reads low against the original gravity or the hand samples; this is corrected.";
    case Finding::waiting_to_be_stable:
      return "It counts as stable when neither the change over the window nor what is left to fall is more "
             "than the tolerance.";
    case Finding::end_unknown:
      return "It has gone further than its yeast should and may go on: where and when it ends is not known.";
    case Finding::hydrometers_disagree:
      return "The hydrometers in this vessel disagree; which of them is wrong cannot be seen from here.";
    case Finding::probes_disagree:
      return "Two probes in this beer disagree.";
  }
  return "";
}

std::string reason_sentence(const Reason& reason) {
  if (!reason.sensor.empty() && reason.finding == Finding::hydrometers_disagree) {
    return fmt::format("The hydrometers in this vessel disagree; {} is the odd one.", reason.sensor);
  }
  if (!reason.sensor.empty() && reason.finding == Finding::probes_disagree) {
    return fmt::format("Two probes in this beer disagree; {} is not the one that is used.", reason.sensor);
  }
  return finding_sentence(reason.finding);
}

std::vector<Paragraph> explanation(const BatchSpec& batch, const BatchView& view,
                                   std::span<const ReportedDecision> alerts, const DisplaySettings& display,
                                   Time now) {
  return {stage(batch, view, display, now), reported(alerts, display, now), waits(batch, view, display, now),
          trust(view, display, now)};
}

}  // namespace gyle

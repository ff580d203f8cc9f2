#include "wording/amendment_lines.h"

#include <fmt/format.h>

#include "wording/addition_words.h"
#include "wording/fitted_text.h"
#include "wording/format.h"

namespace gyle {
namespace {

constexpr std::size_t kMostOfNote = 60;  // columns

struct Differences {
  std::vector<std::string> phrases;

  void compare(const char* what, const std::string& before, const std::string& after) {
    if (before != after) phrases.push_back(fmt::format("{} {}, not {}", what, after, before));
  }
};

std::string hold_words(const Hold& hold, const DisplaySettings& display) {
  struct {
    const DisplaySettings& display;
    std::string operator()(const UntilProgress& until) const {
      return fmt::format("until {} of the fall", show_percent(until.fraction));
    }
    std::string operator()(const UntilAttenuation& until) const {
      return fmt::format("until {} attenuation", show_percent(until.apparent));
    }
    std::string operator()(const UntilDays& until) const {
      return "for " + show_length(from_hours(until.days * 24));
    }
    std::string operator()(const UntilGravity& until) const {
      return "until " + show_gravity(until.gravity.value(), display);
    }
    std::string operator()(const UntilFinalGravity&) const { return "until final gravity"; }
  } const words{display};
  return show_temperature(hold.temperature.value, display) + " " + std::visit(words, hold.until);
}

std::string plan_words(const std::vector<Hold>& plan, const DisplaySettings& display) {
  std::string words;
  for (const Hold& hold : plan) words += (words.empty() ? "" : ", ") + hold_words(hold, display);
  return words.empty() ? "none" : "[" + words + "]";
}

std::string additions_words(const std::vector<Addition>& additions, const DisplaySettings& display) {
  std::string words;
  for (const Addition& one : additions) {
    words += fmt::format("{}{} at {}", words.empty() ? "" : ", ", addition_words(one, display),
                         show_time(one.time, display));
  }
  return words.empty() ? "none" : "[" + words + "]";
}

std::string quoted(const std::string& text) { return text.empty() ? "none" : "\"" + text + "\""; }

std::string entry_words(const Entry& entry, const DisplaySettings& display) {
  struct {
    const DisplaySettings& display;
    std::string operator()(const NotThere&) const { return "nothing"; }
    std::string operator()(const BatchSpec& spec) const { return quoted(spec.name); }
    std::string operator()(const HandSample& sample) const {
      return fmt::format("{} of {}", show_gravity(sample.gravity.value(), display, 4),
                         show_time(sample.time, display));
    }
    std::string operator()(const WrittenNote& note) const {
      return fmt::format("\"{}\" of {}", fitted(note.text.substr(0, note.text.find('\n')), kMostOfNote),
                         show_time(note.time, display));
    }
    std::string operator()(Time time) const { return show_time(time, display); }
  } const words{display};
  return std::visit(words, entry);
}

bool there(const Entry& entry) { return !std::holds_alternative<NotThere>(entry); }

std::string change_words(const Amendment& a, const DisplaySettings& display) {
  if (a.thing == AmendedThing::packaged) {
    return there(a.after)
               ? fmt::format("packaged {}{}", entry_words(a.after, display),
                             there(a.before) ? ", not " + entry_words(a.before, display) : "")
               : fmt::format("back in its vessel, not packaged {}", entry_words(a.before, display));
  }
  const std::string which = fmt::format("{} {}", name(a.thing), a.number);
  if (!there(a.after)) return fmt::format("{} taken back: {}", which, entry_words(a.before, display));
  if (!there(a.before)) return fmt::format("{} put back: {}", which, entry_words(a.after, display));
  return fmt::format("{}: {}, not {}", which, entry_words(a.after, display), entry_words(a.before, display));
}

}  // namespace

std::vector<std::string> description_differences(const BatchSpec& before, const BatchSpec& after,
                                                 const DisplaySettings& display) {
  const auto gravity = [&](const BatchSpec& spec) {
    return spec.original_gravity ? show_gravity(spec.original_gravity->value(), display, 4) : "unknown";
  };
  const auto volume = [&](const BatchSpec& spec) {
    return spec.volume_l ? show_volume(*spec.volume_l, display) : "unknown";
  };
  const auto attenuation = [](const BatchSpec& spec) {
    return fmt::format("{} to {}", show_percent(spec.yeast.attenuation_low),
                       show_percent(spec.yeast.attenuation_high));
  };
  const auto range = [&](const BatchSpec& spec) {
    return show_temperature_range(spec.yeast.temperature_low.value, spec.yeast.temperature_high.value,
                                  display);
  };
  const auto rule = [&](const BatchSpec& spec) {
    return fmt::format("{} over {}", show_gravity_change(spec.final_gravity.tolerance.value, display),
                       show_length(spec.final_gravity.window));
  };
  Differences d;
  d.compare("name", quoted(before.name), quoted(after.name));
  d.compare("pitched", show_time(before.pitched, display), show_time(after.pitched, display));
  d.compare("original gravity", gravity(before), gravity(after));
  d.compare("volume", volume(before), volume(after));
  d.compare("yeast", quoted(before.yeast.name), quoted(after.yeast.name));
  d.compare("expected attenuation", attenuation(before), attenuation(after));
  d.compare("the yeast's range", range(before), range(after));
  d.compare("final gravity stable when it changes by at most", rule(before), rule(after));
  d.compare("plan", plan_words(before.plan, display), plan_words(after.plan, display));
  d.compare("additions", additions_words(before.additions, display),
            additions_words(after.additions, display));
  return d.phrases;
}

std::vector<std::string> amendment_lines(const Amendment& amendment, const DisplaySettings& display) {
  std::vector<std::string> changes;
  const auto* before = std::get_if<BatchSpec>(&amendment.before);
  const auto* after = std::get_if<BatchSpec>(&amendment.after);
  if (before != nullptr && after != nullptr) changes = description_differences(*before, *after, display);
  if (changes.empty()) {
    changes = {amendment.thing == AmendedThing::description ? "the description"
                                                            : change_words(amendment, display)};
  }
  std::vector<std::string> lines;
  std::string head = fmt::format("{:>3}  {}  ", amendment.id, show_time(amendment.time, display));
  const std::string tail = amendment.undone   ? "  (undone)"
                           : amendment.undoes ? fmt::format("  (undoes {})", *amendment.undoes)
                                              : "";
  for (const std::string& change : changes) {
    lines.push_back(head + change + (&change == &changes.back() ? tail : ""));
    head.assign(head.size(), ' ');
  }
  return lines;
}

}  // namespace gyle
